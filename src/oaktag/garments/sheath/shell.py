"""The shell: front and back in one length, or bodice and skirt joined by a waist seam."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from typing import Final

from ...draft.construct import side_curve, trimmed, x_at
from ...draft.darts import dart_cap, trued_beside_dart, trued_waist
from ...errors import DraftError, GeometryError
from ...geometry.path import Path, path_length, reverse, shifted
from ...geometry.point import Point, distance, turn_deg
from ...model.draft import GirthPiece, Zip
from ...model.piece import Corner, Dart, Edge, EdgeKind, InternalLine, Join, LineKind, NotchPlace, Piece, Seam, half_cut
from ...model.walking import Walk
from ...units import INCH, Unit, show, show_at_most
from ...values import dataclass, field, replace
from .half import Half
from .shaping import BESIDE_DART, LEAST_DART, dart_places
from .style import Asked

_LEGS_ALIKE: Final = 0.9
"""Legs of a dart trued at a waist seam differ by no more than this, mm (within the 1 mm of the check)."""
_SHARPEST_CAP_DEG: Final = 140.0
"""The edge over an open dart turns by no more than this at the fold: a sharper point cannot be cut (judgement, no
source)."""


@dataclass(frozen=True, slots=True)
class Shell:
    """The pieces of the shell, and what goes round the body where."""

    pieces: tuple[Piece, ...]
    girths: tuple[GirthPiece, ...]


@dataclass(frozen=True, slots=True)
class Made:
    """Pieces, and how they are sewn."""

    pieces: Sequence[Piece] = ()
    seams: Sequence[Seam] = ()
    joins: Sequence[Join] = ()

    def piece(self, name: str) -> Piece:
        """The piece of that name."""
        return next(piece for piece in self.pieces if piece.name == name)


def widest(works: Callable[[float], bool], low: float, high: float) -> float:
    """The greatest width between two that works, found by trying, to 0.1 mm; one that raises GeometryError does not."""

    def serves(width: float) -> bool:
        with suppress(GeometryError):
            return works(width)
        return False

    while high - low > 0.1:
        middle = (low + high) / 2
        low, high = (middle, high) if serves(middle) else (low, middle)
    return low


@dataclass(frozen=True, slots=True)
class DrawnSide:
    """A side seam as it is drawn, upwards, with the bust dart opened in it."""

    lower: Path
    """From the hem to the waist."""
    upper: Path
    """From the waist to the underarm."""
    mouth: tuple[float, float] | None
    """Where the bust dart opens, mm from the waist up."""


def upper_name(half: str, waist_seam: bool) -> str:
    """The piece that holds the half's neck, shoulder and armhole."""
    return f"bodice_{half}" if waist_seam else half


def lower_name(half: str, waist_seam: bool) -> str:
    """The piece that holds the half's hem."""
    return f"skirt_{half}" if waist_seam else half


def smooth_across(
    name: str, front: str, back: str, run: str, across: str, before_deg: float | None = None, mend: str = ""
) -> Join:
    """Two pieces sewn at the edge `across`, over which the edge `run` of both must pass smoothly."""
    return Join(name, Corner(front, run, across), Corner(back, run, across), before_deg, mend)


def draft_shell(front: Half, back: Half, asked: Asked, unit: Unit, zipper: Zip | None, walk: Walk) -> Shell:
    """Front and back, from the halves as drafted on the body.

    Raises DraftError for a waist dart that is too wide for a waist seam.
    """
    waist_seam = asked.choice("waist_seam") == "yes"
    pieces: list[Piece] = []
    girths: list[GirthPiece] = []
    for half in (front, back):
        pieces += _pieces_of(half, asked, unit, zipper, walk, waist_seam)
        girths += _girths_of(half, waist_seam)
    return Shell(tuple(pieces), tuple(girths))


def back_on_fold(zipper: Zip | None, walk: Walk) -> bool:
    """Whether the back needs no centre seam: no zip there, and no vent or slit."""
    return (zipper is None or zipper.place != "centre back") and walk.opening == "none"


def _girths_of(half: Half, waist_seam: bool) -> list[GirthPiece]:
    waist = -half.points["waist_side"].y
    above, below = upper_name(half.name, waist_seam), lower_name(half.name, waist_seam)
    cuts = [0.0, half.bust_dart.depth if half.bust_dart else waist, waist, half.depth("hem_centre")]
    return [
        GirthPiece(above, cuts[0], cuts[1]),
        GirthPiece(above, cuts[1], cuts[2], half.drop),
        GirthPiece(below, cuts[2], cuts[3], half.drop),
    ]


def _pieces_of(half: Half, asked: Asked, unit: Unit, zipper: Zip | None, walk: Walk, waist_seam: bool) -> list[Piece]:
    points = half.drawn_points()
    side = drawn_side(half)
    centre = _centre(half, points, asked, zipper, walk)
    on_fold = centre.edges[0].kind is EdgeKind.FOLD
    top_edges = (
        Edge("armhole", EdgeKind.SEAM, half.armhole),
        Edge.straight("shoulder", points["shoulder_tip"], points["neck_side"]),
        Edge("neckline", EdgeKind.SEAM, half.neckline),
    )
    hem = Edge("hem", EdgeKind.HEM, (*centre.hem, *shifted(half.hem, 0.0, -half.drop)))
    count = 1 if half.name == "front" else 2
    top_notches = (
        NotchPlace("armhole", half.armhole[0].length(), count, "sleeve"),
        NotchPlace("neckline", path_length(half.neckline) / 2, count, "facing"),
    )
    bust_darts = open_bust_darts(half, side)
    whole = Piece(
        half.name,
        (*centre.edges, hem, side_edge((*side.lower, *side.upper), side.mouth, path_length(side.lower)), *top_edges),
        points={**points, **centre.points},
        grain=_grain(half, points),
        to_cut=half_cut(on_fold),
        darts=(*half.darts, *bust_darts),
        notches=(*centre.notches, *side_notches(half, side, zipper), *top_notches),
        internal_lines=(*_balance_lines(points), *centre.lines),
    )
    return _cut_at_waist(whole, half, unit, side, bust_darts) if waist_seam else [whole]


# ---------------------------------------------------------------- centre


@dataclass(frozen=True, slots=True)
class _Centre:
    """The centre line, from the neck down to the hem, and what is marked on it."""

    edges: tuple[Edge, ...]
    hem: Path = ()
    """The part of the hem beyond the centre line, on a vent's extension."""
    points: Mapping[str, Point] = field(default_factory=dict)
    notches: tuple[NotchPlace, ...] = ()
    lines: tuple[InternalLine, ...] = ()


def _centre(half: Half, points: dict[str, Point], asked: Asked, zipper: Zip | None, walk: Walk) -> _Centre:
    neck, hem = points["neck_centre"], points["hem_centre"]
    if half.name == "front":
        return _Centre((Edge.straight("centre_front", neck, hem, EdgeKind.FOLD),))
    if back_on_fold(zipper, walk):
        return _Centre((Edge.straight("centre_back", neck, hem, EdgeKind.FOLD),))
    notches: list[NotchPlace] = []
    lines: list[InternalLine] = []
    named: dict[str, Point] = {}
    if zipper is not None and zipper.place == "centre back":
        end = Point(0.0, -zipper.end_depth)
        notches.append(NotchPlace("centre_back", neck.y - end.y, 1, "zip end"))
        lines.append(InternalLine("zip end", (end, Point(30.0, end.y)), LineKind.ZIP))
        named["zip_end"] = end
    top = Point(0.0, hem.y + walk.opening_length)
    long = neck.y - top.y
    if walk.opening == "none":
        notches.append(NotchPlace("centre_back", long, 1, "hem fold"))
        return _Centre((Edge.straight("centre_back", neck, hem),), (), named, tuple(notches), tuple(lines))
    notches.append(NotchPlace("centre_back", long, 1, f"{walk.opening} top"))
    if walk.opening == "slit":
        named["slit_top"] = top
        notches.append(NotchPlace("slit", walk.opening_length, 1, "hem fold"))
        slit = Edge.straight("slit", top, hem, EdgeKind.OPENING)
        return _Centre((Edge.straight("centre_back", neck, top), slit), (), named, tuple(notches), tuple(lines))
    width = asked.length("vent_width")
    slant, corner = Point(-width, top.y - width / 2), Point(-width, hem.y)
    edge = Edge.straight("vent_edge", slant, corner, EdgeKind.OPENING)
    named |= {"vent_top": top, "vent_hem": corner}
    notches.append(NotchPlace("vent_edge", edge.length(), 1, "hem fold"))
    lines.append(InternalLine("vent fold", (top, hem), LineKind.FOLD))
    edges = (Edge.straight("centre_back", neck, top), Edge.straight("vent_top", top, slant), edge)
    return _Centre(edges, Edge.straight("hem", corner, hem).curves, named, tuple(notches), tuple(lines))


# ---------------------------------------------------------------- side


def drawn_side(half: Half) -> DrawnSide:
    """The side seam upwards; a bust dart opens in it, its cap mirrored from below, since it is pressed down."""
    lower = reverse(shifted(half.side[1:], 0.0, -half.drop))
    dart = half.bust_dart
    if dart is None:
        return DrawnSide(lower, reverse(half.side[:1]), None)
    curve = half.side[0]
    above, below = curve.split((-dart.depth - curve.start.y) / (curve.end.y - curve.start.y))
    before, after = trued_beside_dart(reverse(shifted((below,), 0.0, -dart.drop)), dart.tip, reverse((above,)))
    cap = dart_cap(before, dart.tip, after, pressed_to_start=True)
    start = path_length(before)
    return DrawnSide(lower, (*before, *cap, *after), (start, start + path_length(cap)))


def side_edge(path: Path, mouth: tuple[float, float] | None, above: float) -> Edge:
    """The side seam as an edge; the dart's mouth, mm from the waist up, lies `above` mm from its start."""
    mouths = () if mouth is None else ((mouth[0] + above, mouth[1] + above),)
    return Edge("side", EdgeKind.SEAM, path, mouths)


def open_bust_darts(half: Half, side: DrawnSide) -> tuple[Dart, ...]:
    """The bust dart as it opens in the drawn side seam, if there is one."""
    dart = half.bust_dart
    if dart is None:
        return ()
    low = half.lowered(Point(x_at(half.side, -dart.depth - 1e-9), -dart.depth - 1e-9))
    return (Dart("bust", (low, dart.tip, Point(low.x, low.y + dart.drop)), dart.drop),)


def side_notches(half: Half, side: DrawnSide, zipper: Zip | None) -> tuple[NotchPlace, ...]:
    """The hem's fold, hip and waist; the dart's legs; both ends of a side zip."""
    to_hip = side.lower[0].length()
    to_waist = path_length(side.lower)
    notches = [
        NotchPlace("side", 0.0, 1, "hem fold"),
        NotchPlace("side", to_hip, 1, "hip"),
        NotchPlace("side", to_waist, 1, "waist"),
    ]
    if side.mouth is not None:
        notches += [NotchPlace("side", to_waist + place, 1, "bust dart") for place in side.mouth]
    if zipper is not None and zipper.place == "side":
        for depth, name in ((zipper.end_depth, "zip end"), (zipper.top_depth, "zip top")):
            notches.append(NotchPlace("side", _far_up(half, side, depth), 1, name))
    return tuple(notches)


def _far_up(half: Half, side: DrawnSide, depth: float) -> float:
    """How far up the drawn side edge a depth of the body lies, mm."""
    below = path_length(trimmed(half.side, -depth, half.side[-1].end.y))
    cap = side.mouth[1] - side.mouth[0] if side.mouth and half.bust_dart and depth < half.bust_dart.depth else 0.0
    return below + cap


# ---------------------------------------------------------------- darts, lines, grain


def _balance_lines(points: dict[str, Point]) -> tuple[InternalLine, ...]:
    return tuple(
        InternalLine(f"{name} line", (Point(0.0, points[f"{name}_side"].y), points[f"{name}_side"]), LineKind.BALANCE)
        for name in ("waist", "hip")
    )


def _grain(half: Half, points: dict[str, Point]) -> tuple[Point, Point]:
    """Upright, between the centre line and the dart, from below the chest line to half way down the skirt."""
    x = half.beside_centre
    above = half.darts[0].points[0].y if half.darts else points["waist_side"].y
    return Point(x, (points["underarm"].y + above) / 2), Point(x, (points["hip_side"].y + points["hem_side"].y) / 2)


# ---------------------------------------------------------------- waist seam


def _cut_at_waist(whole: Piece, half: Half, unit: Unit, side: DrawnSide, bust_darts: tuple[Dart, ...]) -> list[Piece]:
    """Bodice and skirt: one dart intake at the waist, and a waist edge that runs smoothly with the dart closed."""
    points = dict(whole.points)
    waist = Point(0.0, points["waist_side"].y)
    leaving = half.side[1].way(0.0)
    slope = leaving.x / leaving.y
    try:
        bodice_waist, bodice_darts = _waist_edge(half.darts, waist, points["waist_side"], slope, upwards=False)
        skirt_waist, skirt_darts = _waist_edge(half.darts, waist, points["waist_side"], slope, upwards=True)
    except GeometryError:
        raise DraftError(_dart_too_wide(half, points, waist, unit)) from None
    above, below = _centre_edges(whole, waist)
    x = half.beside_centre
    to_waist = path_length(side.lower)
    upper_notches = tuple(
        replace(n, at=n.at - to_waist) if n.edge == "side" else n
        for n in whole.notches
        if n.edge in ("armhole", "neckline") or (n.edge == "side" and n.at > to_waist + 1e-6)
    )
    centre_name = above[0].name
    lower_edges = {edge.name for edge in below}
    cut_off = above[0].length()
    lower_notches = tuple(
        replace(n, at=n.at - cut_off) if n.edge == centre_name else n
        for n in whole.notches
        if (n.edge in lower_edges and (n.edge != centre_name or n.at > cut_off))
        or (n.edge == "side" and n.at < to_waist - 1e-6)
    )
    upper_notches += tuple(n for n in whole.notches if n.edge == centre_name and n.at < cut_off)
    hem = whole.edge("hem")
    bodice = replace(
        whole,
        name=f"bodice_{half.name}",
        edges=(*above, bodice_waist, side_edge(side.upper, side.mouth, 0.0), *whole.edges[-3:]),
        points={k: p for k, p in points.items() if p.y >= waist.y - 1e-6} | {"waist_centre": waist},
        grain=(Point(x, (points["underarm"].y * 2 + waist.y) / 3), Point(x, waist.y + 25)),
        darts=(*bodice_darts, *bust_darts),
        notches=(*upper_notches, *_mouth_notches(bodice_waist)),
        internal_lines=tuple(line for line in whole.internal_lines if line.points[0].y > waist.y + 1e-6),
    )
    skirt = replace(
        whole,
        name=f"skirt_{half.name}",
        edges=(*below, hem, Edge("side", EdgeKind.SEAM, side.lower), skirt_waist),
        points={k: p for k, p in points.items() if p.y <= waist.y + 1e-6} | {"waist_centre": waist},
        grain=(Point(x, waist.y - 40), Point(x, (points["hip_side"].y + points["hem_side"].y) / 2)),
        darts=skirt_darts,
        notches=(*lower_notches, *_mouth_notches(skirt_waist)),
        internal_lines=tuple(line for line in whole.internal_lines if line.points[0].y < waist.y - 1e-6),
    )
    return [bodice, skirt]


def _waist_edge(
    darts: tuple[Dart, ...], waist: Point, side: Point, slope: float, *, upwards: bool
) -> tuple[Edge, tuple[Dart, ...]]:
    """The waist of bodice (left to right) or skirt (right to left), its darts pressed towards the centre.

    Raises GeometryError where a dart is too wide for its length.
    """
    if not darts:
        edge = Edge.straight("waist", waist, side)
        return (Edge("waist", EdgeKind.SEAM, reverse(edge.curves)) if upwards else edge), ()
    tips = [dart.points[2 if upwards else 0] for dart in darts]
    runs = trued_waist(waist, side, slope, [(dart.intake, tip) for dart, tip in zip(darts, tips, strict=True)])
    between = zip(darts, tips, strict=True)
    if upwards:
        runs, between = tuple(reverse(run) for run in runs[::-1]), zip(darts[::-1], tips[::-1], strict=True)
    path, mouths, opened = runs[0], [], []
    for (dart, tip), after in zip(between, runs[1:], strict=True):
        before = path
        cap = dart_cap(before, tip, after, pressed_to_start=not upwards)
        fold = len(cap) // 2
        if (
            abs(distance(before[-1].end, tip) - distance(after[0].start, tip)) > _LEGS_ALIKE
            or abs(turn_deg(cap[fold - 1].way(1.0), cap[fold].way(0.0))) > _SHARPEST_CAP_DEG
        ):
            raise GeometryError("no edge runs smoothly over a dart as wide as that")
        start = path_length(before)
        mouths.append((start, start + path_length(cap)))
        opened.append(Dart(dart.name, (before[-1].end, tip, after[0].start), dart.intake))
        path = (*before, *cap, *after)
    edge = Edge("waist", EdgeKind.SEAM, path, tuple(mouths))
    return edge, tuple(opened[::-1] if upwards else opened)


def _dart_too_wide(half: Half, points: Mapping[str, Point], waist: Point, unit: Unit) -> str:
    """What to change: the widest dart that an edge runs over, found by trying."""
    side = half.points["waist_side"]
    quarter, count, first = half.quarter, len(half.darts), half.darts[0].points[0].x

    def runs(narrower: float) -> bool:
        """Whether both waists can be drawn over darts of that intake; the side of the waist moves in with it."""
        x = quarter.waist.mm + narrower
        down = [half.points["underarm"], Point(x, side.y), half.points["hip_side"], half.points["hem_side"]]
        leaving = side_curve(down)[1].way(0.0)
        darts = tuple(
            replace(dart, intake=intake, points=tuple(Point(at, p.y) for p in dart.points))
            for dart, (at, intake) in zip(half.darts, dart_places(count, narrower, first, x), strict=True)
        )
        try:
            for upwards in (False, True):
                _waist_edge(darts, waist, Point(x, waist.y), leaving.x / leaving.y, upwards=upwards)
        except GeometryError:
            return False
        return True

    low, high = LEAST_DART, quarter.darts.mm
    while high - low > 0.1:
        middle = (low + high) / 2
        low, high = (middle, high) if runs(middle) else (low, middle)
    least = 2 * (first + BESIDE_DART - quarter.waist.mm) if count == 1 else 0.0
    narrower = (
        f"Make dart_intake {show_at_most(low, unit)} or less, or set" if low - INCH / 8 > max(0.0, least) else "Set"
    )
    return (
        f"{half.name}: the waist dart, {show(half.darts[0].intake, unit)} wide, is too wide for its length to be sewn "
        f'into a waist seam. {narrower} waist_seam = "no".'
    )


def _mouth_notches(edge: Edge) -> tuple[NotchPlace, ...]:
    return tuple(NotchPlace(edge.name, place, 1, "dart") for mouth in edge.mouths for place in mouth)


def _centre_edges(whole: Piece, waist: Point) -> tuple[tuple[Edge, ...], tuple[Edge, ...]]:
    """The centre line above the waist, and what lies below it."""
    first = whole.edges[0]
    above = Edge.straight(first.name, first.start, waist, first.kind)
    below = Edge.straight(first.name, waist, first.end, first.kind)
    others = tuple(edge for edge in whole.edges[1:] if edge.name in ("vent_top", "vent_edge", "slit"))
    return (above,), (below, *others)
