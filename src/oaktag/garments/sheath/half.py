"""Front and back: one half each, from the top line down, as chalked on the fold."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import hypot
from typing import Final

from ...body.estimates import NAPE_DEPTH, SHOULDER_DROP
from ...draft.board import Board, Body
from ...draft.construct import armhole, flared_hem, neckline, side_curve, square_neckline, v_neckline, x_at
from ...draft.sketch import Sketch
from ...errors import DraftError
from ...geometry.curve import Line
from ...geometry.path import Path, path_length, solve
from ...geometry.point import Point, distance
from ...model.length import Length, found, greatest, inch, least, mm
from ...model.piece import Dart
from ...units import INCH, Unit, show, show_at_least, show_at_most
from ...values import dataclass
from .shaping import (
    BUST_DART,
    WAIST_DART,
    BustDart,
    Quarter,
    bust_dart,
    bust_level,
    darts_fit,
    named_points,
    waist_darts,
)

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


@dataclass(frozen=True, slots=True)
class Block:
    """The numbers that front and back share; depths are below the top line."""

    drop: Length
    """Of the shoulder tip."""
    chest: Length
    waist: Length
    hip: Length
    hem: Length
    neck: Neck
    shoulder: Length
    """Half the shoulder width."""
    hollow: Length
    """Mid armhole inside the shoulder tip."""
    quarter: Quarter
    hem_shape: str
    hem_side: tuple[Length, Length]
    """How far across, and how far down."""


def draft_half(
    on: Board, name: str, block: Block, *, cut_apart: bool, with_bust_dart: bool, dart_top: Length | None,
    dart_end: Length,
) -> Half:  # fmt: skip
    """One half, from the top line down, as it is chalked on the fold. Raises DraftError for what cannot be drawn."""
    s, length, quarter = on.sketch(name), length_taken(on.body), block.quarter
    _set_points(on.body, s, block)
    if refused := refusal(s, length):
        raise DraftError(f"{name}: {refused}")
    darts_fit(name, quarter, on.body.bust_point_width.mm / 2, on.unit)
    level = side_dart = None
    if name == "front":
        level = bust_level(on)
        if level is not None:
            s.tell(level, about=(WAIST_DART, BUST_DART))
        if with_bust_dart:
            side_dart = bust_dart(on, s, level, block.waist, length)
    depths = block.chest, block.waist, block.hip
    darts = waist_darts(on, s, quarter, dart_end, dart_top, side_dart, level, depths)
    curves = curves_of(s, block.neck, block.hem_shape)
    return Half(name, s.points, s, cut_apart, darts, quarter, *curves, side_dart, None if level is None else level.mm)


def _set_points(body: Body, s: Sketch, block: Block) -> None:
    """Levels first, then the places on them from the neck down."""
    quarter, neck, (hem_across, hem_down) = block.quarter, block.neck, block.hem_side
    s.tell(block.chest, at="underarm.y", level=True)
    s.tell(block.waist, at="waist_side.y", level=True)
    s.tell(block.hip, at="hip_side.y", level=True)
    s.tell(block.hem, at="hem_centre.y", level=True)
    s.at("neck_side", right=neck.width.called("neck width"))
    depth = neck.front if s.name == "front" else neck.back
    s.at("neck_centre", down=depth.called(f"{s.name} neck depth"))
    s.at("shoulder_tip", right=block.shoulder, down=block.drop.told("below the top line"))
    half_way = ((block.drop + block.chest) / 2).told("half way between shoulder tip and chest line")
    s.at("mid_armhole", right=block.shoulder - block.hollow.plain, down=half_way)
    s.at("underarm", right=quarter.bust, down=block.chest)
    s.tell(quarter.darts, about=WAIST_DART)
    s.at("waist_side", right=quarter.waist_side, down=block.waist)
    s.at("hip_side", right=quarter.hip, down=block.hip)
    s.at("hem_side", right=hem_across, down=hem_down)
    s.at("hem_centre", down=block.hem)
    if s.name == "back":
        s.at("nape", down=nape(body, block.waist))


# ---------------------------------------------------------------- levels


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


def waist_line(body: Body) -> Length:
    """How far the waist line lies below the top line, the level of the side neck point.

    The method lays its verticals from the side neck point (trade lists: "half length"), so `side_neck_to_waist` is used
    as it stands. Where only the nape's length was taken, the nape lies `NAPE_DEPTH` below the top line, whatever the
    neckline is.
    """
    half = body.get("side_neck_to_waist")
    if half is None:
        return (body.back_waist_length + _NAPE.told("{} from the top line to the nape", _NAPE)).called("waist line")
    return half.told("side neck to waist, from the top line").called("waist line")


def nape(body: Body, waist: Length) -> Length:
    """How far the nape lies below the top line: above the waist line by what was measured, or else NAPE_DEPTH."""
    back = body.get("back_waist_length")
    if back is None or body.get("side_neck_to_waist") is None:
        return _NAPE.told("the method's back neck depth")
    return waist - back


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
    free_width, free_depth = free

    def lacks(width: float, depth: float) -> float:
        """By how much the neckline is too short for the head."""
        side = Point(width, 0.0)
        fronts = NECKS[plain.style][0](side, tip, Point(0.0, -depth))
        backs = neckline(side, tip, Point(0.0, -plain.back.mm))
        return head.mm + HEAD_EASE + _CLEAR - 2 * (path_length(fronts) + path_length(backs))

    width, depth = wide, deep = plain.width.mm, plain.front.mm
    widest, deepest = max(width, tip.x - _SHOULDER_LEFT.mm), max(depth, chest - 2 * INCH)
    if plain.style != "boat" and free_width and free_depth:
        more = _grown(lambda by: lacks(wide + by, deep + by), 0.0, min(widest - width, deepest - depth))
        width, depth = width + more, depth + more
    if free_width:
        width = _grown(lambda x: lacks(x, depth), width, widest)
    if free_depth:
        depth = _grown(lambda y: lacks(width, y), depth, deepest)
    words = "so that a head of {} passes the neckline"
    return Neck(
        plain.style,
        found(width, words, head) if width > wide else plain.width,
        found(depth, words, head) if depth > deep else plain.front,
        plain.back,
    )


def _grown(lacks: Callable[[float], float], value: float, most: float) -> float:
    """The value, or as much more as is lacking, `most` at most."""
    if lacks(value) <= 0:
        return value
    return most if lacks(most) >= 0 else solve(lacks, value, most, near=0.01)


# ---------------------------------------------------------------- armhole, side, hem


def free_hollow(on: Board, beyond_tip: Length) -> Length:
    """How far mid armhole lies inside the shoulder tip: 1/2 in, up to 1 in for the scoop's sake. `beyond_tip` is the
    underarm beyond the shoulder tip."""
    return least(greatest(LEAST_SCOOP - beyond_tip, on.usual(inch(0.5))), inch(1))


def hem_side(
    on: Board, shape: str, quarter: Quarter, hip: Length, hem: Length, peg: Length | None, flare: Length
) -> tuple[Length, Length]:
    """The side of the hem: how far across, and how far down."""
    as_hip, across = quarter.hip.told("as the hip line"), "hem side, across the hem line"
    if shape == "straight":
        return as_hip.called(across), hem
    if shape == "a-line":
        below = (max(0.0, (hem - hip).mm ** 2 - flare.mm**2)) ** 0.5
        return as_hip + flare, found(hip.mm + below, "so that the side is as long below the hip as the centre")
    if peg is not None:
        return (as_hip - peg).called(across), hem
    if quarter.waist > quarter.hip:
        on.note(
            f"The pegged hem would be wider than the hip line ({on.say(quarter.waist * 4)} against "
            f"{on.say(quarter.hip * 4)} all round): it was capped at the hip line."
        )
        return quarter.hip.told("the hip line, since the waist is wider").called(across), hem
    return quarter.waist.called(across), hem


def curves_of(s: Sketch, neck: Neck, hem: str) -> tuple[Path, Path, Path, Path]:
    """Neckline, armhole, side and hem of a half whose points are set."""
    p = s.points
    neckline = neck.path(s.name, p)
    if s.name == "front" and neck.style == "square":
        _square_neck_has_a_level_part(neckline, p, s.unit)
    side = side_curve(
        [p["underarm"], p["waist_side"], p["hip_side"], p["hem_side"]],
        straight_end=hem == "straight",
        flared=hem == "a-line",
    )
    hole = armhole(p["underarm"], p["mid_armhole"], p["shoulder_tip"], p["neck_side"], slope(side))
    lower: Path = (Line(p["hem_centre"], p["hem_side"]),)
    if hem == "a-line":
        lower = flared_hem(p["hem_centre"], p["hem_side"], side[-1].way(1.0))
    shoulder = found(distance(p["neck_side"], p["shoulder_tip"]), "straight, neck side to shoulder tip")
    s.tell(shoulder, "shoulder")
    s.tell(found(path_length(neckline), NECKS[neck.style if s.name == "front" else "round"][1]), "neckline")
    words = "curve square to the shoulder, through mid armhole, square to the side seam at the underarm, so long"
    s.tell(found(path_length(hole), words), "armhole")
    s.tell(found(path_length(side), "curve hollow above the waist and round below it, so long"), "side seam")
    return neckline, hole, side, lower


# ---------------------------------------------------------------- what cannot be drafted


def _square_neck_has_a_level_part(neck: Path, points: Mapping[str, Point], unit: Unit) -> None:
    """Refuse a square neck that runs into the centre line before it is as deep as asked. Raises DraftError."""
    side, level = points["neck_side"], neck[0].end.x
    if level < _LEVEL_NECK:
        slant = (side.x - level) / (side.y - points["neck_centre"].y)
        deepest = (side.x - _LEVEL_NECK) / slant
        raise DraftError(
            "front: square to a shoulder as steep as this, the neckline runs into the centre line before it is "
            f"{show(-points['neck_centre'].y, unit)} deep. Make front_neck_depth {show_at_most(deepest, unit)} or "
            "less, neck_width wider, or shoulder_drop less."
        )


def refusal(s: Sketch, length: str) -> str:
    """What the method cannot draw of a half, and what to change; empty if it can. `length` lies the waist line."""
    p, unit = s.points, s.unit
    neck, chest, waist, hip, hem = (
        -p[point].y for point in ("neck_centre", "underarm", "waist_side", "hip_side", "hem_centre")
    )
    tip, mid, underarm = p["shoulder_tip"].x, p["mid_armhole"].x, p["underarm"].x
    flare = max(0.0, p["hem_side"].x - p["hip_side"].x)
    shortest = hip + hypot(_BELOW_HIP, flare)

    def say(mm: float) -> str:
        return show(mm, unit)

    if (shoulder := tip - p["neck_side"].x) < 30:
        return (
            f"only {say(max(0.0, shoulder))} of shoulder is left beside the neck; at least {say(30)} is needed. Make "
            f"neck_width {show_at_most(tip - 30, unit)} or less, or check shoulder_width and bust_girth."
        )
    if (hole := underarm - mid) < 15:
        hollow = tip - mid + 15 - hole
        inside = f", or make armhole_hollow {show_at_least(hollow, unit)} or more" if hollow <= _MOST_HOLLOW else ""
        return (
            f"the quarter chest, {say(underarm)}, leaves no room for an armhole beyond mid armhole at {say(mid)}. Add "
            f"{show_at_least(4 * (15 - hole), unit)} or more to ease_bust{inside}, or check shoulder_width and "
            "bust_girth."
        )
    if neck > chest - 10:
        return (
            f"the neck, {say(neck)} deep, reaches the chest line, {say(chest)} down. Make {s.name}_neck_depth "
            f"{show_at_most(chest - 10, unit)} or less."
        )
    if waist - chest < 30:
        return (
            f"the chest line, {say(chest)} down, is too near the waist line, {say(waist)} down. Lower "
            f"armhole_depth_ease, or check {length} and bust_girth."
        )
    if hem < shortest - 1e-6:
        flared = f", where it is flared by {say(flare)}" if flare > 0 else ""
        return (
            f"the hem, {say(hem)} down, must lie at least {say(_BELOW_HIP)} below the hip line, {say(hip)} down, at "
            f"the side too{flared}. Make length {show_at_least(shortest, unit)} or more"
            f"{', or flare less' if flare > 0 else ''}."
        )
    return ""
