"""The shell: front and back in one length, or bodice and skirt joined by a waist seam."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from ...draft.board import Board
from ...draft.construct import side_curve, trimmed, x_at
from ...draft.cuts import cut
from ...draft.darts import dart_cap, trued_beside_dart, waist_over_darts
from ...draft.inside import widest
from ...draft.stretches import NEAR, cut_run
from ...errors import DraftError, GeometryError
from ...geometry.curve import Line
from ...geometry.path import path_length, place_at, reverse, shifted, solve
from ...geometry.point import Point, along, direction
from ...model.length import Length
from ...model.piece import (
    Dart,
    Edge,
    EdgeKind,
    InternalLine,
    LevelLine,
    LineKind,
    NotchPlace,
    Piece,
    Take,
    half_cut,
)
from ...units import INCH, show, show_at_most
from ...values import replace
from .half import Half, slope
from .openings import Opened
from .shaping import BESIDE_DART, LEAST_DART, BustDart, dart_places, usual_bust_level


def shell_piece(half: Half, opened: Opened) -> Piece:
    """Front or back in one length, from the half as drafted on the body; without vent or slit."""
    points, (side, bust_darts) = half.drawn_points(), _drawn_side(half)
    neck, hem, x = points["neck_centre"], points["hem_centre"], half.beside_centre
    above = half.darts[0].points[0].y if half.darts else points["waist_side"].y
    whole = Piece(
        half.name,
        (
            Edge.straight(f"centre_{half.name}", neck, hem, EdgeKind.FOLD),
            Edge("hem", EdgeKind.HEM, shifted(half.hem, 0.0, -half.drop)),
            side,
            Edge("armhole", EdgeKind.SEAM, half.armhole),
            Edge.straight("shoulder", points["shoulder_tip"], points["neck_side"]),
            Edge("neckline", EdgeKind.SEAM, half.neckline),
        ),
        points=points,
        grain=(
            Point(x, (points["underarm"].y + above) / 2),
            Point(x, (points["hip_side"].y + points["hem_side"].y) / 2),
        ),
        to_cut=half_cut(True),
        darts=(*half.darts, *bust_darts),
        notches=(
            *_side_notches(half, side, opened),
            NotchPlace("armhole", half.under_notch, half.count, "sleeve"),
            NotchPlace("neckline", path_length(half.neckline) / 2, half.count, "facing"),
        ),
        internal_lines=tuple(
            InternalLine(f"{name} line", (Point(0.0, end.y), end), LineKind.BALANCE)
            for name, end in (("waist", points["waist_side"]), ("hip", points["hip_side"]))
        ),
        worn="body",
        levels=_levels(half),
        sheets=(half.name,),
    )
    return whole if half.name == "front" or opened.nowhere_at_back else _with_centre_seam(whole, opened)


def _with_centre_seam(whole: Piece, opened: Opened) -> Piece:
    """The centre line no longer on the fold: a seam, with the zip's end."""
    centre, *others = whole.edges
    seam = replace(centre, kind=EdgeKind.SEAM)
    whole = replace(whole, edges=(seam, *others), to_cut=half_cut(False))
    if opened.back_end is None:
        return whole
    end = Point(0.0, -opened.back_end)
    line = InternalLine("zip end", (end, Point(30.0, end.y)), LineKind.ZIP)
    return replace(
        whole,
        points={**whole.points, "zip_end": end},
        notches=(NotchPlace(seam.name, seam.start.y - end.y, 1, "zip end"), *whole.notches),
        internal_lines=(*whole.internal_lines, line),
    )


def with_zip_end(whole: Piece, opened: Opened) -> Piece:
    """The back with the end of the zip where it lies after a fitting."""
    end = opened.back_end
    if end is None or "zip_end" not in whole.points:
        return whole
    centre = whole.edge(f"centre_{whole.name}")
    far = solve(lambda far: place_at(centre.curves, far)[0].y + end, 0.0, centre.length(), near=1e-6)
    at = place_at(centre.curves, far)[0]
    return replace(
        whole,
        points={**whole.points, "zip_end": at},
        notches=tuple(replace(n, at=far) if n.name == "zip end" else n for n in whole.notches),
        internal_lines=tuple(
            replace(x, points=(at, Point(at.x + 30.0, at.y))) if x.name == "zip end" else x
            for x in whole.internal_lines
        ),
    )


def with_opening(whole: Piece, opened: Opened, vent_width: Length) -> Piece:
    """Vent or slit at the foot of the centre back seam, where there is one."""
    (centre, hem_edge, *others), opening = whole.edges, opened.walk.opening
    if centre.kind is EdgeKind.FOLD:
        return whole
    name, hem, far = centre.name, centre.end, centre.length() - opened.walk.opening_length
    upper, lower = cut_run(centre.curves, far)
    top = upper[-1].end
    edges, below, named = [replace(centre, curves=upper)], hem_edge.curves, dict(whole.points)
    lines = list(whole.internal_lines)
    notches = [notch for notch in whole.notches if notch.edge == name]
    rest = [notch for notch in whole.notches if notch.edge != name]
    notches.append(NotchPlace(name, far, 1, "hem fold" if opening == "none" else f"{opening} top"))
    if opening == "slit":
        named["slit_top"] = top
        edges.append(Edge("slit", EdgeKind.OPENING, lower))
    elif opening == "vent":
        slant, corner = Point(top.x - vent_width.mm, top.y - vent_width.mm / 2), Point(hem.x - vent_width.mm, hem.y)
        named |= {"vent_top": top, "vent_hem": corner}
        edges += [Edge.straight("vent_top", top, slant), Edge.straight("vent_edge", slant, corner, EdgeKind.OPENING)]
        lines.append(InternalLine("vent fold", (top, hem), LineKind.FOLD))
        below = (Line(corner, hem), *below)
    if opening != "none":
        notches.append(NotchPlace(edges[-1].name, edges[-1].length(), 1, "hem fold"))
    return replace(
        whole,
        edges=(*edges, replace(hem_edge, curves=below), *others),
        points=named,
        notches=(*notches, *rest),
        internal_lines=tuple(lines),
    )


def fitted_shells(on: Board, front: Half, plain: tuple[Piece, ...]) -> tuple[Piece, ...]:
    """Front and back with what was pinned at a fitting put into them, for which the front has its bust point."""
    across = on.body.bust_point_width.mm / 2
    level = -front.bust_dart.tip.y if front.bust_dart else front.bust_level or usual_bust_level(on).mm
    shell, back = plain
    marked = replace(shell, points={**shell.points, "bust_point": Point(across, -level)})
    fitted = on.fitted(marked, back)
    if fitted == (marked, back):
        return plain
    return tuple(
        replace(
            each,
            points={name: p for name, p in each.points.items() if name != "bust_point"},
            internal_lines=tuple(_in_one(each.internal_lines)),
        )
        for each in fitted
    )


def _in_one(lines: Sequence[InternalLine]) -> Iterator[InternalLine]:
    """The waist line and the hip line from the centre to the side, over what was slashed open."""
    for name, parts in groupby(lines, lambda line: line.name):
        first, *others = parts
        ends = sorted((p for line in (first, *others) for p in line.points), key=lambda p: p.x)
        yield replace(first, name=name, points=(ends[0], ends[-1])) if others else first


def as_fitted(half: Half, whole: Piece) -> Half:
    """The half as its piece is after a fitting: what is drawn to it goes by the piece from here on."""
    side, hem = whole.edge("side"), whole.edge("hem")
    opened = next(
        (dart for dart in whole.darts if dart.is_open and any(t.tip == dart.points[1] for t in side.takes)), None
    )
    dart: BustDart | None = None
    upper, lower = side.curves, side.curves[:0]
    if opened is not None:
        low, tip, high = opened.points
        take = next(take for take in side.takes if take.tip == tip)
        dart = BustDart(-high.y, high.y - low.y, tip)
        lower, upper = cut_run(side.curves, take.start)[0], cut_run(side.curves, take.end)[1]
    drop = dart.drop if dart else 0.0

    def raised(p: Point) -> Point:
        return Point(p.x, p.y + drop) if dart and p.y < -dart.depth - drop + NEAR else p

    return replace(
        half,
        points={name: raised(p) for name, p in whole.points.items()},
        darts=tuple(dart for dart in whole.darts if not dart.is_open),
        neckline=whole.edge("neckline").curves,
        armhole=whole.edge("armhole").curves,
        side=reverse((*shifted(lower, 0.0, drop), *upper)),
        hem=shifted(hem.curves, 0.0, drop),
        bust_dart=dart,
        to_notch=next(notch.at for notch in whole.notches if notch.edge == "armhole" and notch.name == "sleeve"),
    )


def _levels(half: Half) -> tuple[LevelLine, ...]:
    """The levels of the body, each from the centre line to beyond the side; and without a name the two sides of a bust
    dart, closed there."""
    beyond, dart = max(p.x for p in half.points.values()) + INCH, half.bust_dart
    places = ("bust", "underarm"), ("waist", "waist_side"), ("hip", "hip_side"), ("hem", "hem_centre")
    depths = [("top", 0.0), *((name, half.depth(point)) for name, point in places)]
    heights = [(name, depth, half.lowered(Point(0.0, -depth)).y) for name, depth in depths]
    if dart is not None:
        heights += [("", dart.depth, -dart.depth), ("", dart.depth, -dart.depth - dart.drop)]
    return tuple(
        LevelLine(name, depth, (Point(0.0, y), Point(beyond, y)))
        for name, depth, y in sorted(heights, key=lambda level: (level[1], -level[2]))
    )


# ---------------------------------------------------------------- side


def _drawn_side(half: Half) -> tuple[Edge, tuple[Dart, ...]]:
    """The side seam upwards, and the bust dart that opens in it, its cap mirrored from below: it is pressed down."""
    lower, dart = reverse(shifted(half.side[1:], 0.0, -half.drop)), half.bust_dart
    if dart is None:
        return Edge("side", EdgeKind.SEAM, (*lower, *reverse(half.side[:1]))), ()
    curve = half.side[0]
    above, below = curve.split((-dart.depth - curve.start.y) / (curve.end.y - curve.start.y))
    before, after = trued_beside_dart(reverse(shifted((below,), 0.0, -dart.drop)), dart.tip, reverse((above,)))
    cap = dart_cap(before, dart.tip, after, pressed_to_start=True)
    start = path_length((*lower, *before))
    take = Take(start, start + path_length(cap), "dart", dart.tip, "start")
    low = half.lowered(Point(x_at(half.side, -dart.depth - 1e-9), -dart.depth - 1e-9))
    opened = Dart("bust", (low, dart.tip, Point(low.x, low.y + dart.drop)), dart.drop)
    return Edge("side", EdgeKind.SEAM, (*lower, *before, *cap, *after), (take,)), (opened,)


def _side_notches(half: Half, side: Edge, opened: Opened) -> tuple[NotchPlace, ...]:
    """The hem's fold, hip and waist; the dart's legs; both ends of a side zip."""
    places = [("hem fold", 0.0), ("hip", half.side[-1].length()), ("waist", path_length(half.side[1:]))]
    places += [("bust dart", leg) for take in side.takes for leg in (take.start, take.end)]
    if (zipper := opened.side_zip) is not None:
        for depth, name in ((zipper.end_depth, "zip end"), (zipper.top_depth, "zip top")):
            below = path_length(trimmed(half.side, -depth, half.side[-1].end.y))
            over = half.bust_dart is not None and depth < half.bust_dart.depth
            places.append((name, below + sum(take.end - take.start for take in side.takes if over)))
    return tuple(NotchPlace("side", at, 1, name) for name, at in places)


# ---------------------------------------------------------------- waist seam


def cut_at_waist(whole: Piece, half: Half) -> tuple[Piece, Piece]:
    """Bodice and skirt: one dart intake at the waist, and a waist edge that runs smoothly with the dart closed.

    Raises DraftError for a dart that is too wide for that.
    """
    points, x = whole.points, half.beside_centre
    waist, beside = next(line.points for line in whole.internal_lines if line.name == "waist line")
    marked = replace(
        whole,
        points={**points, "waist_centre": waist},
        darts=tuple(dart for dart in whole.darts if dart.is_open),
        notches=tuple(notch for notch in whole.notches if notch.name != "waist"),
        internal_lines=tuple(line for line in whole.internal_lines if line.name != "waist line"),
        levels=tuple(_along_waist(level, waist, beside) for level in whole.levels),
    )
    bodice, skirt = cut(marked, waist, beside, names=(half.upper, half.lower), edge="waist", holding="armhole")
    try:
        upper, lower = _waists(half.darts, bodice.edges[0].start, bodice.edges[0].end, half.slope_below_waist)
    except GeometryError:
        raise DraftError(_dart_too_wide(half, waist)) from None
    (_, *down), (_, *round_) = (tuple(replace(edge, spans=()) for edge in part.edges) for part in (bodice, skirt))
    return replace(
        bodice,
        edges=(down[-1], upper[0], *down[:-1]),
        grain=(Point(x, (points["underarm"].y * 2 + waist.y) / 3), Point(x, waist.y + 25)),
        darts=(*upper[1], *bodice.darts),
        notches=(*bodice.notches, *_dart_notches(upper[0])),
    ), replace(
        skirt,
        edges=(*round_, lower[0]),
        grain=(Point(x, waist.y - 40), Point(x, (points["hip_side"].y + points["hem_side"].y) / 2)),
        darts=lower[1],
        notches=(*skirt.notches, *_dart_notches(lower[0])),
    )


def _along_waist(level: LevelLine, waist: Point, beside: Point) -> LevelLine:
    """The waist's level along the line that is cut, where a fitting has led that aslant: both pieces have it."""
    if level.name != "waist" or all(abs(p.y - waist.y) < NEAR for p in (*level.points, beside)):
        return level
    return replace(level, points=(waist, along(beside, direction(waist, beside), INCH)))


def _waists(
    darts: tuple[Dart, ...], waist: Point, beside: Point, leaving: float
) -> list[tuple[Edge, tuple[Dart, ...]]]:  # fmt: skip
    """The waist edges of bodice and skirt, with the darts that open at them; GeometryError if these are too wide."""
    return [waist_over_darts("waist", darts, waist, beside, leaving, upwards=up) for up in (False, True)]


def _dart_too_wide(half: Half, waist: Point) -> str:
    """What to change: the widest dart that an edge runs over, found by trying."""
    unit, p, quarter, first = half.sheet.unit, half.points, half.quarter, half.darts[0].points[0].x

    def drawn(narrower: float) -> None:
        """Both waists over darts of that intake; the side of the waist moves in with it."""
        x = quarter.waist.mm + narrower
        down = [p["underarm"], Point(x, p["waist_side"].y), p["hip_side"], p["hem_side"]]
        darts = tuple(
            replace(dart, intake=intake, points=tuple(Point(at, each.y) for each in dart.points))
            for dart, (at, intake) in zip(half.darts, dart_places(quarter.count, narrower, first, x), strict=True)
        )
        _waists(darts, waist, Point(x, waist.y), slope(side_curve(down)[1:]))

    low = widest(drawn, LEAST_DART, quarter.darts.mm)
    least = 2 * (first + BESIDE_DART - quarter.waist.mm) if quarter.count == 1 else 0.0
    narrower = f"Make dart_intake {show_at_most(low, unit)} or less, or set"
    return (
        f"{half.name}: the waist dart, {show(half.darts[0].intake, unit)} wide, is too wide for its length to be sewn "
        f'into a waist seam. {narrower if low - INCH / 8 > max(0.0, least) else "Set"} waist_seam = "no".'
    )


def _dart_notches(edge: Edge) -> tuple[NotchPlace, ...]:
    return tuple(NotchPlace(edge.name, leg, 1, "dart") for take in edge.takes for leg in (take.start, take.end))
