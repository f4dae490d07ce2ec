"""Front and back: what they share, and one half of either as chalked on the fold."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import hypot, inf
from typing import Final

from ...body.estimates import NAPE_DEPTH, SHOULDER_DROP
from ...draft.board import Board, Body
from ...draft.construct import armhole, flared_hem, neckline, side_curve, square_neckline, v_neckline, x_at
from ...draft.sketch import Sketch
from ...errors import DraftError
from ...geometry.curve import Line
from ...geometry.path import Path, path_length
from ...geometry.point import Point
from ...model.length import Length, found, greatest, inch, least, mm
from ...model.piece import Dart
from ...units import INCH, show, show_at_least, show_at_most
from ...values import dataclass, replace
from .shaping import BustDart, Quarter, named_points

_LEVEL_NECK: Final = 10.0
"""Half the level part of a square neck at least, mm (common practice, no source)."""
_LEAST_DROP, _MOST_DROP = inch(0.25), inch(2.5)
"""Square and sloping shoulders are followed so far (common practice, no source)."""
LEAST_SCOOP: Final = mm(18)
"""The underarm beyond mid armhole, where the hollow is free to choose (common practice, no source)."""
_SHOULDER_LEFT: Final = mm(31)
"""A neck that is widened for the head leaves so much of the shoulder (3 cm; common practice, no source)."""
_CLEAR: Final = 1.0
"""And so much of the neckline is to spare, mm."""
_MOST_HOLLOW: Final = 1.75 * INCH
"""No deeper hollow is advised (common practice, no source)."""
SCYE_LESS: Final = inch(0.5)
"""What bust ÷ 6 may be at most: the scye depth less this. The chest line then lies 1 in below the armpit: 1 in of nape
depth, the scye depth and 1 in of ease, of which shoulder drop and armhole_depth_ease are 2 1/2 in. The scye depth of a
body and 2.5 cm is the depth that blocks are drafted with (derived: a survey's against a textbook's chart)."""
DEEP_SCYE: Final = 0.561
"""Scye depth by back waist length: 95 of 100 women of the survey have less (fixtures/bodies; a test works it out)."""
_BELOW_HIP: Final = 50.0
"""The hem lies this far below the hip line at least, at the side as at the centre, mm (common practice, no source)."""
_NAPE: Final = mm(NAPE_DEPTH)
HEAD: Final = mm(550)
"""Head girth of women where it was not measured (mean 55 cm; common practice, no source)."""
HEAD_EASE: Final = 30.0
"""The neckline over the head girth, mm (3 cm; common practice, no source)."""
BOAT_WIDER: Final = inch(2)
SQUARE_DEEPER: Final = inch(1)
BOAT_DEPTH: Final = inch(1.75)
"""What is added to a twelfth of the bust, and the depth of a boat neck (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Half:
    """A drafted half, front or back: its points, and the curves that other pieces are drawn to.

    All as on the body, front and back alike; what a bust dart adds in length is left to the pieces (`lowered`).
    """

    name: str
    points: Mapping[str, Point]
    sheet: Sketch
    cut_apart: bool
    """Whether bodice and skirt are pieces of their own."""
    darts: tuple[Dart, ...]
    """The waist darts, none to two, the first nearest the centre: these as drawn on the piece, lowered already."""
    quarter: Quarter
    neckline: Path
    armhole: Path
    side: Path
    """From the underarm down to the waist, the hip and the hem."""
    hem: Path
    """From the centre to the side."""
    bust_dart: BustDart | None = None
    bust_level: float | None = None
    """Depth of the bust point, where it was measured."""
    to_notch: float = 0.0
    """From the underarm along the armhole to the notch at its middle, mm; 0 for its first curve."""

    @property
    def under_notch(self) -> float:
        """From the underarm along the armhole to the notch at its middle, mm."""
        return self.to_notch or self.armhole[0].length()

    @property
    def count(self) -> int:
        """Notches that tell front and back apart."""
        return 1 if self.name == "front" else 2

    @property
    def upper(self) -> str:
        """The piece that holds the half's neck, shoulder and armhole."""
        return f"bodice_{self.name}" if self.cut_apart else self.name

    @property
    def lower(self) -> str:
        """The piece that holds the half's hem."""
        return f"skirt_{self.name}" if self.cut_apart else self.name

    @property
    def drop(self) -> float:
        return self.bust_dart.drop if self.bust_dart else 0.0

    @property
    def side_slope(self) -> float:
        """dx/dy of the side seam at the underarm, to which the armhole is trued."""
        return slope(self.side)

    @property
    def slope_below_waist(self) -> float:
        """dx/dy of the side seam where it leaves the waist line."""
        waist = self.points["waist_side"].y
        return slope(next((curve,) for curve in self.side if curve.start.y < waist + 0.1))

    def depth(self, point: str) -> float:
        """How far below the top line a point lies on the body, mm."""
        return -self.points[point].y

    def lowered(self, p: Point) -> Point:
        """Where a point of the body lies on the piece."""
        return Point(p.x, p.y - self.drop) if self.bust_dart and p.y < -self.bust_dart.depth else p

    def drawn_points(self) -> dict[str, Point]:
        """Every named point where it lies on the piece."""
        return {name: self.lowered(p) for name, p in self.points.items()} | named_points(self.darts)

    def width_at(self, depth: float) -> float:
        """Half width at a depth below the top line, the darts closed."""
        y = self.lowered(Point(0.0, -depth)).y
        return x_at(self.side, -depth) - sum(dart.width_at(y) for dart in self.darts)

    @property
    def beside_centre(self) -> float:
        """Half way from the centre line to the first waist dart, where a grain line has room; mm."""
        return self.darts[0].points[3].x / 2 if self.darts else self.points["waist_side"].x / 3


def slope(side: Path) -> float:
    """dx/dy where a side seam begins."""
    way = side[0].way(0.0)
    return way.x / way.y


def natural_drop(on: Board) -> Length:
    """How far the shoulder tip lies below the top line: 1 in as the method has it.

    Where the heights of side neck point and shoulder point are known, so much more or less as her shoulders slope more
    or less than the mean of the survey: heights on a standing body are not a draft's, their difference from the mean
    is (a sloping shoulder is lowered by what it slopes more, and the armhole with it: common practice).
    """
    usual, neck, tip = on.usual(inch(1)), on.body.get("side_neck_height"), on.body.get("shoulder_height")
    if neck is None or tip is None:
        return usual
    as_hers = usual + neck - tip - mm(SHOULDER_DROP)
    drop = least(greatest(as_hers, _LEAST_DROP), _MOST_DROP)
    if abs((drop - as_hers).mm) > 0.5:
        on.note(
            f"The shoulders slope by {on.say(neck - tip)}, the mean being {on.say(SHOULDER_DROP)}: they were drafted "
            f"{on.say(drop)} below the top line. Check side_neck_height and shoulder_height."
        )
    words = "{} + side neck height − shoulder height − {}"
    return drop.told(words, usual, mm(SHOULDER_DROP)).called("shoulder drop")


def scye_part(on: Board, waist: Length) -> Length:
    """What of the chest line's depth the body gives: by the scye depth where it was measured, else by the bust.

    A depth that grows by a sixth of the bust lies above the armpit of a slender woman, and reaches towards the waist of
    a large one: no scye does, so it is bounded. In a chart, where a scye grows half as fast, an armhole by the bust
    makes the side seam, and the underarm of the sleeve, much shorter from size to size.
    """
    bust, scye, back = on.body.bust_girth / 6, on.body.get("scye_depth"), on.body.get("back_waist_length")
    if scye is not None:
        most = scye - SCYE_LESS
    else:
        words = f"back waist length × {DEEP_SCYE} − {{}} (less than bust girth ÷ 6)"
        most = ((back or found((waist - _NAPE).mm, "back waist length")) * DEEP_SCYE - SCYE_LESS).told(words, SCYE_LESS)
    if bust > most:
        on.note(
            f"The chest line by the bust would lie {on.say(bust - most)} deeper than an armhole goes"
            + (" by scye_depth" if scye is not None else "; measure scye_depth to place it by the body")
            + ": it was raised."
        )
    return bust if scye is None and bust <= most else most


def waist_and_nape(body: Body) -> tuple[Length, Length]:
    """How far waist line and nape lie below the top line, the level of the side neck point.

    The method lays its verticals from the side neck point (trade lists: "half length"), so `side_neck_to_waist` is used
    as it stands. Where only the nape's length was taken, the nape lies `NAPE_DEPTH` below the top line, whatever the
    neckline is.
    """
    half, back = body.get("side_neck_to_waist"), body.get("back_waist_length")
    nape = _NAPE.told("the method's back neck depth")
    if half is None:
        waist = body.back_waist_length + _NAPE.told("{} from the top line to the nape", _NAPE)
        return waist.called("waist line"), nape
    waist = half.told("side neck to waist, from the top line").called("waist line")
    return waist, nape if back is None else waist - back


def length_taken(body: Body) -> str:
    """The measurement that the waist line lies by."""
    return "back_waist_length" if body.get("side_neck_to_waist") is None else "side_neck_to_waist"


# ---------------------------------------------------------------- neck


NECKS: Final[Mapping[str, tuple[Callable[[Point, Point, Point], Path], str]]] = {
    "round": (neckline, "curve square to the shoulder and to the centre line, so long"),
    "boat": (neckline, "curve square to the shoulder and to the centre line, so long"),
    "v": (v_neckline, "straight to the centre, but rounded off square to the shoulder, so long"),
    "square": (square_neckline, "straight down square to the shoulder, then level to the centre, so long"),
}


@dataclass(frozen=True, slots=True)
class Neck:
    """Half width, alike in front and back, and the depth of either."""

    style: str
    width: Length
    front: Length
    back: Length

    def path(self, half: str, points: Mapping[str, Point]) -> Path:
        shape = NECKS[self.style][0] if half == "front" else neckline
        return shape(points["neck_side"], points["shoulder_tip"], points["neck_centre"])


def plain_neck(on: Board, style: str, width: Length | None, front: Length | None, back: Length, sixth: Length) -> Neck:
    """As asked for, else by the bust. `sixth` is what of it went into the chest line: a V reaches no deeper."""
    bust = on.body.bust_girth
    wide = bust / 12 + on.usual(BOAT_WIDER) if style == "boat" else bust / 12
    deep = {
        "round": bust / 12,
        "v": sixth if sixth.mm > bust.mm / 6 - 1e-6 else sixth.told("as the chest line, no ease added"),
        "square": bust / 12 + on.usual(SQUARE_DEEPER),
        "boat": on.usual(BOAT_DEPTH).told("below the top line"),
    }[style]
    most = on.body.shoulder_width / 2 - _SHOULDER_LEFT
    if width is None and wide > most:
        wide = greatest(most, mm(0)).told("shoulder width ÷ 2 − {}, which must be left", _SHOULDER_LEFT)
    return Neck(
        style,
        wide if width is None else width.told("as asked for"),
        deep if front is None else front.told("as asked for"),
        back.told("below the top line"),
    )


def neck_for_the_head(on: Board, plain: Neck, free: tuple[bool, bool], tip: Point, chest: float) -> Neck:
    """Where no zip opens the neck, what is free to choose (width, front depth) is as wide, then as deep, as the head
    needs."""
    head = on.body.get("head_girth") or HEAD
    width, depth = plain.width.mm, plain.front.mm
    widest, deepest = max(width, tip.x - _SHOULDER_LEFT.mm), max(depth, chest - 2 * INCH)

    def lacks(width: float, depth: float) -> float:
        """By how much the neckline is too short for the head."""
        side = Point(width, 0.0)
        fronts = NECKS[plain.style][0](side, tip, Point(0.0, -depth))
        backs = neckline(side, tip, Point(0.0, -plain.back.mm))
        return head.mm + HEAD_EASE + _CLEAR - 2 * (path_length(fronts) + path_length(backs))

    for wider, deeper in ((True, True), (True, False), (False, True)):
        if (wider and not free[0]) or (deeper and not free[1]) or (wider and deeper and plain.style == "boat"):
            continue
        room = min(widest - width if wider else inf, deepest - depth if deeper else inf)
        more = on.solve(mm(0), mm(room), so_that="", lack=lambda by: (
            lacks(width + by.mm * wider, depth + by.mm * deeper)  # noqa: B023 - used at once
        )).mm  # fmt: skip
        width, depth = width + more * wider, depth + more * deeper
    words = "so that a head of {} passes the neckline"
    return replace(
        plain,
        width=found(width, words, head) if width > plain.width.mm else plain.width,
        front=found(depth, words, head) if depth > plain.front.mm else plain.front,
    )


# ---------------------------------------------------------------- side, hem, curves


def hem_side(
    on: Board, shape: str, quarter: Quarter, hip: Length, hem: Length, peg: Length | None, flare: Length
) -> tuple[Length, Length]:
    """The side of the hem: how far across, and how far down."""
    as_hip = quarter.hip.told("as the hip line")
    capped = shape == "pegged" and peg is None and quarter.waist > quarter.hip
    if shape == "a-line":
        below = (max(0.0, (hem - hip).mm ** 2 - flare.mm**2)) ** 0.5
        return as_hip + flare, found(hip.mm + below, "so that the side is as long below the hip as the centre")
    if capped:
        on.note(
            f"The pegged hem would be wider than the hip line ({on.say(quarter.waist * 4)} against "
            f"{on.say(quarter.hip * 4)} all round): it was capped at the hip line."
        )
        as_hip = quarter.hip.told("the hip line, since the waist is wider")
    across = as_hip if shape == "straight" or capped else quarter.waist if peg is None else as_hip - peg
    return across.called("hem side, across the hem line"), hem


def curves_of(s: Sketch, neck: Neck, hem: str) -> tuple[Path, Path, Path, Path]:
    """Neckline, armhole, side and hem of a half whose points are set.

    Raises DraftError for a square neck that runs into the centre line before it is as deep as asked.
    """
    p = s.points
    round_neck = neck.path(s.name, p)
    if s.name == "front" and neck.style == "square" and (level := round_neck[0].end.x) < _LEVEL_NECK:
        deep = p["neck_side"].y - p["neck_centre"].y
        deepest = (p["neck_side"].x - _LEVEL_NECK) * deep / (p["neck_side"].x - level)
        raise DraftError(
            "front: square to a shoulder as steep as this, the neckline runs into the centre line before it is "
            f"{show(-p['neck_centre'].y, s.unit)} deep. Make front_neck_depth {show_at_most(deepest, s.unit)} or "
            "less, neck_width wider, or shoulder_drop less."
        )
    down = [p[point] for point in ("underarm", "waist_side", "hip_side", "hem_side")]
    side = side_curve(down, straight_end=hem == "straight", flared=hem == "a-line")
    hole = armhole(p["underarm"], p["mid_armhole"], p["shoulder_tip"], p["neck_side"], slope(side))
    lower: Path = (Line(p["hem_centre"], p["hem_side"]),)
    if hem == "a-line":
        lower = flared_hem(p["hem_centre"], p["hem_side"], side[-1].way(1.0))
    through = "curve square to the shoulder, through mid armhole, square to the side seam at the underarm, so long"
    for label, path, words in (
        ("shoulder", (Line(p["neck_side"], p["shoulder_tip"]),), "straight, neck side to shoulder tip"),
        ("neckline", round_neck, NECKS[neck.style if s.name == "front" else "round"][1]),
        ("armhole", hole, through),
        ("side seam", side, "curve hollow above the waist and round below it, so long"),
    ):
        s.tell(found(path_length(path), words), label)
    return round_neck, hole, side, lower


# ---------------------------------------------------------------- what cannot be drafted


def refuse(on: Board, s: Sketch) -> None:
    """Refuse what the method cannot draw of a half, and say what to change. Raises DraftError."""
    p, say = s.points, on.say
    neck, chest, waist, hip, hem = (
        -p[point].y for point in ("neck_centre", "underarm", "waist_side", "hip_side", "hem_centre")
    )
    tip, mid, underarm = p["shoulder_tip"].x, p["mid_armhole"].x, p["underarm"].x
    shoulder, hole, flare = tip - p["neck_side"].x, underarm - mid, max(0.0, p["hem_side"].x - p["hip_side"].x)
    shortest = hip + hypot(_BELOW_HIP, flare)
    refused = ""
    if shoulder < 30:
        refused = (
            f"only {say(max(0.0, shoulder))} of shoulder is left beside the neck; at least {say(30)} is needed. Make "
            f"neck_width {show_at_most(tip - 30, on.unit)} or less, or check shoulder_width and bust_girth."
        )
    elif hole < 15:
        hollow = tip - mid + 15 - hole
        inside = f", or make armhole_hollow {show_at_least(hollow, on.unit)} or more" if hollow <= _MOST_HOLLOW else ""
        refused = (
            f"the quarter chest, {say(underarm)}, leaves no room for an armhole beyond mid armhole at {say(mid)}. Add "
            f"{show_at_least(4 * (15 - hole), on.unit)} or more to ease_bust{inside}, or check shoulder_width and "
            "bust_girth."
        )
    elif neck > chest - 10:
        refused = (
            f"the neck, {say(neck)} deep, reaches the chest line, {say(chest)} down. Make {s.name}_neck_depth "
            f"{show_at_most(chest - 10, on.unit)} or less."
        )
    elif waist - chest < 30:
        refused = (
            f"the chest line, {say(chest)} down, is too near the waist line, {say(waist)} down. Lower "
            f"armhole_depth_ease, or check {length_taken(on.body)} and bust_girth."
        )
    elif hem < shortest - 1e-6:
        where, less = (f", where it is flared by {say(flare)}", ", or flare less") if flare > 0 else ("", "")
        refused = (
            f"the hem, {say(hem)} down, must lie at least {say(_BELOW_HIP)} below the hip line, {say(hip)} down, at "
            f"the side too{where}. Make length {show_at_least(shortest, on.unit)} or more{less}."
        )
    if refused:
        raise DraftError(f"{s.name}: {refused}")
