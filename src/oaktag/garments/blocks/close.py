"""The close-fitting block: half a body on one frame, by back width, chest, neck and shoulder; a shoulder bust dart.

    20   27─ .30     front and back are drafted apart, so that shoulder tips never cross; numbers are the method's
     │  \\ /    (     points. The bust dart, 20-27 wide at the neck end, opens in the middle of the shoulder here, so
    21   26     31    that it can be sewn: the same when it is closed.
     │        22─32
Rules: drafting rules for women's blocks, 2 (worked class notes of a metric block for women, read; points 28 to 32 and
the depths of the armhole from memory). Body measures are mapped: scye depth + 2.5 cm, neck base + 3 cm, shoulder less
2.25 cm; the waist's surplus at the centre back 0.08, back dart 0.27, side 0.30, front dart 0.35; neck upright at the
front, its angles with the shoulder together 180 degrees (worked rules, proved on 40 women).
"""

from __future__ import annotations

from math import asin, degrees
from typing import Final

from ...draft.board import Board
from ...draft.rulers import Bevel, Way, curve
from ...draft.sketch import Sketch
from ...geometry.point import direction, distance, turn_deg
from ...model.length import Length, cm, found, mm
from ...model.piece import Cut, Piece, half_cut
from ...values import dataclass
from .lower import WIDEST, Asked, Half, WaistDart, finished, lean_deg, loose_side, share_through, shoulder_dart, up_to

STEEP_DEG: Final = 12.0
"""A front shoulder, its dart closed, slopes by this at least (worked rules)."""
_FLAT_DEG: Final = 4.0
"""And a flatter one than this is none (judgement, no source)."""
_BEYOND_DEG: Final = 3.0
"""So far off the straight way an armhole leaves its pitch, and arrives at the shoulder, at least (judgement)."""
_NARROW: Final = cm(6)
"""Of the frame so much is left for the arm at least (judgement, no source)."""
SPLIT: Final = {"centre": 0.08, "back": 0.27, "side": 0.30, "front": 0.35}
MEMORY: Final = (
    "The close-fitting block is drafted from memory where the page was not read: the front shoulder (points 28 to 30), "
    "the front pitch (31), the side seam (32) and how deep the armhole is hollowed. Chosen, as it served forty women: "
    "the share of each waist dart and the side, and by how much scye depth, neck base and shoulder are mapped. Try it "
    "in calico first."
)


@dataclass(frozen=True, slots=True)
class _Frame:
    """What front and back share."""

    bust: Length
    """The bust line, point 2, below point 0."""
    bust_point: Length
    waist: Length
    back: Length
    """2-14"""
    chest: Length
    """3-22"""
    arm: Length
    """14-22"""
    neck: Length
    shoulder: Length
    depth: Length
    """The armscye depth as the method takes it."""
    surplus: Length


def close_block(on: Board, asked: Asked) -> tuple[Piece, Piece]:
    """Front and back. Raises DraftError where they leave no room for the arm, or a shoulder does not slope."""
    body = on.body
    depth = (body.scye_depth + cm(2.5)).called("armscye depth")
    bust_line = (cm(1.5) + depth + cm(0.5)).called("bust line")
    back = (body.across_back_width / 2 + cm(0.5)).called("half back width")
    dart = (body.bust_girth * 0.15 - cm(6.2)).called("bust dart")
    chest = ((body.get("across_chest_width") or body.bust_girth * 0.3 + cm(6)) / 2 + dart / 2).called("half chest")
    half = ((body.bust_girth + asked.ease_bust) / 2).called("half block")
    arm = (half - back - chest).called("armhole width")
    if arm < _NARROW:
        on.refuse(f"half the block, {on.say(half)}, less half the back and the chest, {on.say(back + chest)}, leaves "
                  f"{on.say(arm)} for the arm, and {on.say(_NARROW)} is wanted",
                  "ease_bust to more, or measure across_back_width and across_chest_width again")  # fmt: skip
    surplus = (half - (body.waist_girth + asked.ease_waist) / 2).called("the bust over the waist, in a half")
    frame = _Frame(
        bust_line, (bust_line + cm(2.5)).called("bust level"), (cm(1.5) + body.back_waist_length).called("waist line"),
        back, chest, arm, (body.neck_base_girth + cm(3)).called("neck"),
        (body.shoulder_length - cm(2.25)).called("shoulder"), depth, surplus,
    )  # fmt: skip
    on.note(MEMORY)
    return _halves(on, asked, frame, dart)


def _halves(on: Board, asked: Asked, frame: _Frame, dart: Length) -> tuple[Piece, Piece]:
    shaped = asked.shaped(on, frame.surplus)
    at = {name: (frame.surplus * share).called(f"{name} takes in") for name, share in SPLIT.items()}
    if not asked.seam:
        at["back"] = (at["back"] + at["centre"]).called("back takes in")
    count = asked.front_count(on, 2 if at["front"] > WIDEST else 1) if shaped else 1
    for name in (("back", "front") if count == 1 else ("back",)) if shaped else ():
        over = at[name] - WIDEST
        if over.mm > 0:
            at |= {name: WIDEST.called(f"{name} takes in"), "side": (at["side"] + over).called("side takes in")}
    if not shaped:
        at["side"] = loose_side(frame.surplus)
    side = at["side"] / 2
    under = frame.back + frame.arm / 2, frame.chest + frame.arm / 2
    more = None if asked.below is None else (asked.hip(on) - under[0] - under[1]) / 2
    centre = at["centre"] if asked.seam and shaped else mm(0) if asked.seam else None

    f, b = on.sketch("front", Cut("fold"), worn="body"), on.sketch("back", half_cut(not asked.seam), worn="body")
    lean = lean_deg(side, frame.waist - frame.bust, asked)
    _front_upper(on, f, frame, dart, under[1])
    _back_upper(b, frame, under[0], 180.0 - _neck_deg(f))
    past = (on.body.bust_girth * 0.03 - cm(0.64), on.body.bust_girth * 0.03 - cm(0.14))
    turned = _over_square(b) - _over_square(f)
    for s, far, out in zip((f, b), past, (turned, -turned), strict=True):
        _armhole(s, far.called("armhole, from the corner, halving it"), lean, out)
    waist = under[0] - side - ((at["back"] + (centre or mm(0))) if shaped else mm(0))
    middle = frame.back / 2
    darts = [WaistDart("waist", middle, at["back"], frame.bust)] if shaped else []
    back = finished(on, b, Half(frame.bust_point, frame.waist, under[0], side, waist, darts, centre,
                                hip=more and under[0] + more), asked)  # fmt: skip

    waist = under[1] - side - (at["front"] if shaped else mm(0))
    darts = []
    if shaped:
        below = (frame.bust_point + cm(2.5)).called("front waist dart, point")
        each = at["front"] / count
        darts = [WaistDart("waist", frame.chest / 2, each, below)]
        if count == 2:
            second = (frame.chest / 2 + under[1] - side) / 2
            darts.append(WaistDart("waist_2", second, each, below + cm(2.5)))
    front = finished(on, f, Half(frame.bust_point, frame.waist, under[1], side, waist, darts,
                                 hip=more and under[1] + more), asked, beside=back)  # fmt: skip
    return front, back


def _back_upper(s: Sketch, frame: _Frame, under: Length, neck_deg: float) -> None:
    """Points 0 to 18."""
    s.at("neck_centre", down=cm(1.5))
    s.at("neck_side", right=(frame.neck / 5 - cm(0.2)).called("back neck width"))
    s.at("shoulder_tip", of="neck_side", down=_back_tip(frame),
         far=frame.shoulder + cm(1))  # fmt: skip
    s.at("underarm", right=under, down=frame.bust)
    s.at("armhole_corner", right=frame.back, down=frame.bust)
    tip = found(-s.points["shoulder_tip"].y, "shoulder line")
    s.at("pitch", right=frame.back, down=(tip + frame.bust) / 2)
    s.at("blade_centre", down=(cm(1.5) + frame.bust) / 2)
    s.between("mid_shoulder", "neck_side", "shoulder_tip")
    s.at("shoulder_dart", of="mid_shoulder", left=cm(1), far=cm(5))
    shoulder_dart(s, frame.shoulder)
    s.edge("neck", "neck_side", curve(Bevel(neck_deg), "level"), "neck_centre")


def _front_upper(on: Board, s: Sketch, frame: _Frame, dart: Length, under: Length) -> None:
    """Points 20 to 31, and the bust dart."""
    tip = _back_tip(frame)
    s.at("neck_centre", down=(frame.neck / 5 - cm(0.2)).called("front neck depth"))
    s.at("neck_side", right=(frame.neck / 5 - cm(0.7)).called("front neck width"))
    s.at("bust_point", right=frame.chest / 2, down=frame.bust_point)
    s.at("underarm", right=under, down=frame.bust)
    s.at("armhole_corner", right=frame.chest, down=frame.bust)
    s.at("pitch", of="armhole_corner", up=(frame.bust - (frame.neck / 5 - cm(0.2))) / 3)
    reach = found(distance(s.points["neck_side"], s.points["bust_point"]), "side neck point to bust point")
    deg = 2 * degrees(asin(dart.over(reach) / 2))
    s.swing("dart_neck", "neck_side", about="bust_point", deg=-deg, reach=reach)
    fall = found(s.points["dart_neck"].y + tip.mm + 15.0, f"to {on.say(cm(1.5))} below the back's shoulder tip")
    if fall > frame.shoulder:
        on.refuse(f"the front shoulder, {on.say(frame.shoulder)} long, would have to fall by {on.say(fall)}",
                  "scye_depth or shoulder_length, if it was mistaken")  # fmt: skip
    s.at("shoulder_tip", of="dart_neck", down=fall, far=frame.shoulder)
    p = s.points
    slope = turn_deg(direction(p["dart_neck"], p["shoulder_tip"]), (1.0, 0.0)) - deg
    if slope < _FLAT_DEG:
        on.refuse(f"the front shoulder would slope by {slope:.0f}°, its dart closed, and {STEEP_DEG:.0f}° or more is "
                  "usual", "the method, or measure scye_depth and shoulder_length again")  # fmt: skip
    if slope < STEEP_DEG:
        on.note(f"The front shoulder slopes by {slope:.0f}° alone, its dart closed: {STEEP_DEG:.0f}° or more is usual. "
                "Look to scye_depth and shoulder_length.")  # fmt: skip
    s.between("dart_outer", "dart_neck", "shoulder_tip")
    s.swing("dart_inner", "dart_outer", about="bust_point", deg=deg,
            reach=found(distance(p["dart_outer"], p["bust_point"]), "from there to the bust point"))  # fmt: skip
    wide = found(distance(p["dart_outer"], p["dart_inner"]), "between the two middles of the shoulder")
    s.edge("shoulder", "shoulder_tip", "dart_outer", "dart_inner", "neck_side")
    s.edge("neck", "neck_side", curve("upright", "level"), "neck_centre")
    s.dart("bust", "shoulder", at=frame.shoulder / 2 + wide / 2, of="shoulder_tip", intake=wide,
           deep=up_to(s, "dart_outer", "dart_inner"), pressed="neck_side")  # fmt: skip


def _armhole(s: Sketch, far: Length, lean: float, out_deg: float) -> None:
    """Square to the side, past the corner as far as told, upright at the pitch, square to the shoulder but for
    `out_deg`."""
    p = s.points
    s.tell(far)
    rising, square = _rising_and_square(s)
    end: Way = min(square + out_deg, rising - _BEYOND_DEG) if out_deg else "square"
    way = max(90.0, rising + _BEYOND_DEG, rising + (rising - square) / 4)  # else it would turn within mm of the tip
    share = share_through(p["underarm"], p["armhole_corner"], p["pitch"], far, lean_deg=lean, inwards_deg=way - 90.0)
    s.edge("armhole", "underarm", curve(180.0 - lean, way, share=share), "pitch", curve(way, end), "shoulder_tip")


def _over_square(s: Sketch) -> float:
    """By how many degrees an armhole square to the shoulder would make an S, since the tip lies far beyond the pitch:
    it arrives so far from square, hardly off the straight way, and that of the other half as far the other way."""
    rising, square = _rising_and_square(s)
    return max(0.0, square - (rising - _BEYOND_DEG))


def _rising_and_square(s: Sketch) -> tuple[float, float]:
    """How steeply the tip lies above the pitch, and the way that is square to the shoulder there, degrees."""
    p, level = s.points, (1.0, 0.0)
    rising = turn_deg(level, direction(p["pitch"], p["shoulder_tip"]))
    return rising, 90.0 + turn_deg(level, direction(p["dart_outer"], p["shoulder_tip"]))


def _back_tip(frame: _Frame) -> Length:
    return (cm(1.5) + frame.depth / 5 - cm(0.7)).called("shoulder line, down")


def _neck_deg(front: Sketch) -> float:
    """The angle of an upright neck and the shoulder in front, its dart closed."""
    return abs(turn_deg((0.0, -1.0), direction(front.points["neck_side"], front.points["dart_inner"])))
