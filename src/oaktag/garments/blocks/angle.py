"""The block whose bust dart is an angle: front and back unlike, from bust, waist and back length alone.

    B/24+3.4 ─ 22°      the front stands B/5 + 8.3 above the bust line, the back B/12 + 13.7 and its neck rise
       │    \\__          the bust dart, (B/4 - 2.5)° at the bust point, opens at the armhole
       │   G'  )        the bust over the waist is dealt out: under the bust point 14 (a), beside it 15 (b), side
       BP──G           11 (c), back 35 (d) and 18 (e), centre back 7 of 100 (f)
Rules: drafting rules for women's blocks, 4 (a textbook's block for grown women, from memory; proved there: the dart's
angle and its chord agree, the shares sum to 100, and what its pages print comes out). Worked rules, proved on 40 women:
curves solved through the printed points; back neck 112 degrees to the shoulder; of a dart d above 4 cm the rest goes to
e and c; the front armhole above the dart has handles of 0.3 and 0.2 of its chord.
The back's shoulder is straight with its dart closed, whose legs are alike: it lies some mm nearer the tip than printed.
"""

from __future__ import annotations

from math import cos, radians, tan
from typing import Final

from ...draft.board import Board
from ...draft.moves import turn
from ...draft.rulers import Bevel, curve, drawn_curve
from ...draft.sketch import Sketch
from ...geometry.curve import Cubic, Line
from ...geometry.point import Point, direction, distance, left_of
from ...model.length import Length, cm, found, least, mm
from ...model.piece import Cut, Piece, half_cut
from ...units import show
from ...values import dataclass
from .lower import WIDEST, Asked, Half, WaistDart, finished, lean_deg, loose_side, share_through, shoulder_dart, up_to

SHARES: Final = {"a": 0.14, "b": 0.15, "c": 0.11, "d": 0.35, "e": 0.18, "f": 0.07}
FRONT_DEG: Final = 22.0
BACK_DEG: Final = 18.0
NECK_DEG: Final = 112.0
BACK_NECK: Final = 0.64
"""The share of the back neck's curve, of which no point is printed: so the neck is 0.218 B + 19.83 (worked rules)."""
HANDLES: Final = 0.2, 0.3
"""Of the armhole above the bust dart, at the leg and at the shoulder tip, as parts of the chord."""
_NARROW: Final = cm(6)
MEMORY: Final = (
    "The block by angle is drafted from memory of a textbook's block for grown women; its own proofs hold. Chosen, as "
    "they served forty women: where the rest of a waist dart over 4 cm goes, and the curves where no point is printed. "
    "Try it in calico first."
)


@dataclass(frozen=True, slots=True)
class _Frame:
    bust: Length
    """The girth."""
    back: Length
    chest: Length
    beyond: Length
    """B/32: from the chest line to the dart's lower leg."""
    arm: Length
    """Between C and F, on the bust line."""
    neck: Length
    high: Length
    """From the bust line up to the nape."""
    rise: Length
    """The nape below the back's side neck point."""
    front_high: Length
    """From the bust line up to the front's side neck point."""
    deg: float
    surplus: Length


def angle_block(on: Board, asked: Asked) -> tuple[Piece, Piece]:
    """Front and back. Raises DraftError where chest and back leave no room for the arm."""
    bust = on.body.bust_girth
    half = ((bust + asked.ease_bust) / 2).called("half block")
    back, chest = (bust / 8 + cm(7.4)).called("half back width"), (bust / 8 + cm(6.2)).called("half chest width")
    beyond = (bust / 32).called("dart leg beyond the chest line")
    arm = (half - back - chest - beyond).called("armhole width")
    if arm < _NARROW:
        on.refuse(f"half the block, {on.say(half)}, leaves {on.say(arm)} for the arm, and {on.say(_NARROW)} is wanted",
                  "ease_bust to more")  # fmt: skip
    neck = (bust / 24 + cm(3.4)).called("front neck width")
    surplus = (half - (on.body.waist_girth + asked.ease_waist) / 2).called("the bust over the waist, in a half")
    frame = _Frame(
        bust, back, chest, beyond, arm, neck, (bust / 12 + cm(13.7)).called("bust line to nape"),
        ((neck + cm(0.2)) / 3).called("back neck rise"), (bust / 5 + cm(8.3)).called("bust line to front neck side"),
        degrees_of(bust), surplus,
    )  # fmt: skip
    on.note(MEMORY)
    return _halves(on, asked, frame)


def degrees_of(bust: Length) -> float:
    """The angle of the bust dart."""
    return bust.mm / 40 - 2.5


def _halves(on: Board, asked: Asked, frame: _Frame) -> tuple[Piece, Piece]:
    shaped = asked.shaped(on, frame.surplus)
    one = not shaped or asked.front_count(on, 2) == 1
    takes = _takes(frame, asked, one=one)
    side = (takes["c"] if shaped else loose_side(frame.surplus)) / 2
    under = frame.back + frame.arm / 2, frame.chest + frame.beyond + frame.arm / 2
    more = None if asked.below is None else (asked.hip(on) - under[0] - under[1]) / 2
    bust = (frame.rise + frame.high).called("bust line")
    waist = (frame.rise + on.body.back_waist_length).called("waist line")
    lower = (frame.front_high - bust).called("the front stands higher by")

    f = on.sketch("front", Cut("fold"), worn="body")
    lean = lean_deg(side, waist - bust, asked)
    _front_upper(f, frame, under[1], lean)
    darts = []
    if shaped and not one:
        beside = frame.chest + frame.beyond - cm(1.5)
        darts = [WaistDart("waist", frame.chest / 2 + cm(0.7), takes["a"], frame.front_high + cm(2.5)),
                 WaistDart("waist_2", beside, takes["b"], _leg_at(f, beside))]  # fmt: skip
    elif shaped:
        darts = [WaistDart("waist", frame.chest / 2 + cm(0.7), takes["a"], frame.front_high + cm(2.5))]
    sewn = under[1] - side - (takes["a"] + takes["b"] if shaped else mm(0))
    front = finished(on, f, Half(bust, waist, under[1], side, sewn, darts, lower=(lower, lower),
                                 hip=more and under[1] + more), asked)  # fmt: skip

    b = on.sketch("back", half_cut(not asked.seam), worn="body")
    _back_upper(b, frame, under[0], bust, lean)
    blades = frame.back / 2 + cm(0.5)
    g_line = (frame.rise + (frame.high + cm(8)) / 2 + cm(0.5)).called("G line")
    darts = [WaistDart("waist", blades, takes["e"], bust - cm(2)),
             WaistDart("waist_2", frame.back - cm(1), takes["d"], g_line)] if shaped else []  # fmt: skip
    centre = takes["f"] if asked.seam and shaped else mm(0) if asked.seam else None
    taken = takes["d"] + takes["e"] + (centre or mm(0)) if shaped else mm(0)
    back = finished(on, b, Half(bust, waist, under[0], side, under[0] - side - taken, darts, centre,
                                hip=more and under[0] + more), asked, beside=front)  # fmt: skip
    return front, back


def _takes(frame: _Frame, asked: Asked, *, one: bool) -> dict[str, Length]:
    """What each waist dart takes in; a centre back on the fold takes nothing, and e its share; of `one` in front, a has
    that of b. No dart takes in more than 4 cm: d's rest goes to e and c, any other's to c, the side."""
    each = {name: (frame.surplus * share).called(f"dart {name}") for name, share in SHARES.items()}
    over = each["d"] - least(each["d"], WIDEST)
    more = [("d", mm(0) - over), ("e", over / 2), ("c", over / 2)] if over.mm > 0 else []
    more += [] if asked.seam else [("e", each["f"]), ("f", mm(0) - each["f"])]
    more += [("a", each["b"]), ("b", mm(0) - each["b"])] if one else []
    for name, by in more:
        each[name] = (each[name] + by).called(f"dart {name}")
    for name in ("a", "e"):
        over = each[name] - WIDEST
        if over.mm > 0:
            each |= {name: WIDEST.called(f"dart {name}"), "c": (each["c"] + over).called("dart c")}
    return each


def _front_upper(s: Sketch, frame: _Frame, under: Length, lean: float) -> None:
    """Neck, shoulder, and the armhole with the bust dart."""
    high, p = frame.front_high, s.points
    across = (frame.chest + cm(1.8) - frame.neck).called("front shoulder, across")
    s.at("neck_side", right=frame.neck)
    s.at("neck_centre", down=(frame.neck + cm(0.5)).called("front neck depth"))
    s.at("shoulder_tip", of="neck_side", right=across, down=across * round(tan(radians(FRONT_DEG)), 5))
    s.at("bust_point", right=frame.chest / 2 + cm(0.7), down=high)
    s.at("underarm", right=under, down=high)
    s.at("armhole_corner", right=frame.chest + frame.beyond, down=high)
    s.at("dart_low", of="armhole_corner", up=((frame.high - cm(8)) / 2 - cm(0.5)).called("bust line to G line"))
    reach = found(distance(p["bust_point"], p["dart_low"]), "bust point to the G line")
    s.swing("dart_high", "dart_low", about="bust_point", deg=frame.deg, reach=reach)
    wide = found(distance(p["dart_low"], p["dart_high"]), "straight across the bust dart")
    s.edge("shoulder", "shoulder_tip", "neck_side")
    corner = Point(p["neck_side"].x, p["neck_centre"].y)
    past = found(distance((0.0, 0.0), corner) / 3 - 5.0, f"a third of the neck's diagonal less {show(5.0, s.unit)}")
    s.tell(past, "neck, from the corner, on the diagonal")
    share = share_through(p["neck_side"], corner, p["neck_centre"], past, toward=Point(0.0, 0.0))
    s.edge("neck", "neck_side", curve(Bevel(90.0 - FRONT_DEG), "level", share=share), "neck_centre")
    far = (frame.arm / 6 + cm(0.5)).called("armhole, from the corner, halving it")
    s.tell(far)
    low = share_through(p["underarm"], p["armhole_corner"], p["dart_low"], far, lean_deg=lean)
    lower = drawn_curve(p["underarm"], turn((0.0, 0.0), -lean).point((-1.0, 0.0)), p["dart_low"], (0.0, 1.0), low)
    a, b = p["dart_high"], p["shoulder_tip"]
    turned, square = turn((0.0, 0.0), frame.deg).point((0.0, 1.0)), left_of(direction(p["neck_side"], b))
    leg, tip = HANDLES[0] * distance(a, b), HANDLES[1] * distance(a, b)
    upper = Cubic.leaving_and_arriving(a, (turned.x * leg, turned.y * leg), b, (square.x * tip, square.y * tip))
    s.trace("armhole", "underarm", (lower, Line(p["dart_low"], a), upper), "shoulder_tip")
    s.dart("bust", "armhole", at=found(lower.length(), "lower armhole") + wide / 2, of="underarm", intake=wide,
           deep=up_to(s, "dart_low", "dart_high"))  # fmt: skip


def _leg_at(s: Sketch, x: Length) -> Length:
    """How far down the lower leg of the bust dart lies at x."""
    a, b = s.points["bust_point"], s.points["dart_low"]
    return found(-(a.y + (b.y - a.y) * (x.mm - a.x) / (b.x - a.x)), "on the lower leg of the bust dart")


def _back_upper(s: Sketch, frame: _Frame, under: Length, bust: Length, lean: float) -> None:
    """Neck, shoulder with its dart, armhole."""
    p, width = s.points, (frame.neck + cm(0.2)).called("back neck width")
    rise = frame.rise
    front = (frame.chest + cm(1.8) - frame.neck) / cos(radians(FRONT_DEG))
    dart = (frame.bust / 32 - cm(0.8)).called("shoulder dart")
    s.at("neck_side", right=width)
    s.at("neck_centre", down=rise)
    s.slant("shoulder_tip", of="neck_side", far=front.called("front shoulder") + dart, deg=-BACK_DEG)
    s.at("underarm", right=under, down=bust)
    s.at("armhole_corner", right=frame.back, down=bust)
    s.at("pitch", right=frame.back, down=(rise + (frame.high + cm(8)) / 2).called("back pitch, down"))
    s.at("blade_centre", down=(rise + cm(8)).called("blade line"))
    s.at("shoulder_dart", right=frame.back / 2 + cm(1), down=rise + cm(8))
    shoulder_dart(s, front)
    s.edge("neck", "neck_side", curve(Bevel(NECK_DEG), "level", share=BACK_NECK), "neck_centre")
    far = (frame.arm / 6 + cm(0.8)).called("armhole, from the corner, halving it")
    s.tell(far)
    low = share_through(p["underarm"], p["armhole_corner"], p["pitch"], far, lean_deg=lean)
    s.edge("armhole", "underarm", curve(180.0 - lean, "upright", share=low), "pitch", curve("upright", "square"),
           "shoulder_tip")  # fmt: skip
