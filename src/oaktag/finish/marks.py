"""Notches, drill holes, fold line, label: what a maker who sees only this one piece must know."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import atan2, degrees, inf
from typing import Final

from ..errors import GeometryError
from ..geometry.curve import CHORD
from ..geometry.path import flatten, place_at
from ..geometry.point import XY, Point, along, between, direction, distance, left_of, right_of
from ..geometry.polygon import nearest_on
from ..model.pattern import CutPattern, CutPiece, Label, MarkedPiece, Notch, Pattern
from ..model.piece import DOUBLE_APART, Dart, EdgeKind, NotchKind, NotchPlace, Piece, cut_words, piece_words, title_of
from ..model.ref import Ref
from ..model.widths import Profile
from ..units import INCH, Unit, show
from ..values import dataclass, replace
from .grain import kept_grain, placed_grain
from .handling import handling
from .labels import LabelBox, Measured, Wording, find_spot
from .notches import balance_sizes, leave_out_together, off_corners

NOTCH_DEPTH: Final = 4.0
"""Notch, mm (common practice, no source; 4.0 mm in public exchange files)."""
NOTCH_WIDTH: Final = 3.0
"""Its breadth at the cut line where it has one, mm (common practice, no source; 3.0 mm in public exchange files)."""
NOTCH_CLEAR: Final = 3.0
"""Kept between a notch and the stitch line, mm (1/8 in; common practice, no source)."""
NARROW: Final = 6.5
"""Up to this allowance (6 mm, 1/4 in) a notch stands outwards instead, mm (common practice, no source)."""
DRILL_INSIDE_POINT: Final = INCH / 2
"""A drill hole lies this far inside a dart point on its axis, mm (1/2 in; common practice, no source)."""
DRILL_INSIDE_LEG: Final = INCH / 8
"""And this far inside the legs at the widest place, mm (1/8 in; common practice, no source)."""
FOLD_CLEAR: Final = 16.0
"""Kept free for the fold bracket and its words, mm."""


def mark(
    cut: CutPattern,
    *,
    title: str,
    size: str,
    size_words: str,
    unit: Unit,
    label_box: LabelBox,
    date: str = "",
    notch: NotchKind = NotchKind.SLIT,
) -> Pattern:
    """Every piece with its marks. `label_box` measures a label (the lettering is the sheet's business).

    The pieces' own notches that lie too near to a corner are moved or left out, with a note, and balance notches are
    added to long seams: the `piece` of a marked piece holds them all. `notch` is the kind for those that name none.
    """
    sizes = {size: (cut, size_words)}
    (pattern,) = mark_sizes(sizes, title=title, unit=unit, label_box=label_box, date=date, notch=notch)
    return pattern


def mark_sizes(
    sizes: Mapping[str, tuple[CutPattern, str]],
    *,
    title: str,
    unit: Unit,
    label_box: LabelBox,
    date: str = "",
    notch: NotchKind = NotchKind.SLIT,
) -> tuple[Pattern, ...]:
    """As `mark`, for several sizes of one pattern (with what their labels say of the size): all get the same notches.

    A notch that one size has no room for is left out of all; balance notches are as many as the size that needs the
    most, each at the same part of its edge.
    """
    tidied = _tidied([cut for cut, _ in sizes.values()], unit)
    added = balance_sizes([({p.piece.name: p.piece for p in cut.pieces}, cut.draft) for cut in tidied])
    measured = Measured(label_box)
    return tuple(
        _marked(cut, more, size, _Words(0, len(cut.pieces), title, words, unit, date), measured, notch)
        for (size, (_, words)), cut, more in zip(sizes.items(), tidied, added, strict=True)
    )


def _marked(
    cut: CutPattern,
    added: Mapping[str, Sequence[NotchPlace]],
    size: str,
    words: _Words,
    measured: Measured,
    notch: NotchKind,
) -> Pattern:
    eased = {
        ref.whole: seam.how == "gathered"
        for seam in cut.draft.seams
        if seam.ease > 0.5 or seam.how == "gathered"
        for ref in seam.a
    }
    pieces = tuple(
        _mark_piece(
            _with_notches(piece, added[piece.piece.name]), replace(words, number=number), eased, measured, notch
        )
        for number, piece in enumerate(cut.pieces, 1)
    )
    return Pattern(title=words.title, size=size, unit=words.unit, draft=cut.draft, pieces=pieces, date=words.date)


def _tidied(cuts: Sequence[CutPattern], unit: Unit) -> list[CutPattern]:
    """Every piece without the notches that lie too near to a corner; what one size leaves out, all leave out."""
    kept = [{cut.piece.name: off_corners(cut.piece, unit) for cut in pattern.pieces} for pattern in cuts]
    if len(cuts) > 1:
        kept = leave_out_together(kept)
    return [
        replace(
            pattern,
            pieces=tuple(
                cut
                if not here[cut.piece.name][1]
                else replace(
                    cut,
                    piece=replace(cut.piece, notches=here[cut.piece.name][0]),
                    notes=(*cut.notes, *here[cut.piece.name][1]),
                )
                for cut in pattern.pieces
            ),
        )
        for pattern, here in zip(cuts, kept, strict=True)
    ]


@dataclass(frozen=True, slots=True)
class _Words:
    """What a label says besides the piece itself."""

    number: int
    of: int
    title: str
    size: str
    unit: Unit
    date: str


def _with_notches(cut: CutPiece, added: Sequence[NotchPlace]) -> CutPiece:
    if not added:
        return cut
    return replace(cut, piece=replace(cut.piece, notches=(*cut.piece.notches, *added)))


def _mark_piece(
    cut: CutPiece, words: _Words, eased: Mapping[Ref, bool], measured: Measured, notch: NotchKind
) -> MarkedPiece:
    piece = cut.piece
    outline = [p for edge in piece.edges for p in flatten(edge.curves, 0.8)[:-1]]
    darts: list[Sequence[XY]] = [
        dart.points if dart.is_open else [*dart.points, dart.points[0]] for dart in piece.darts
    ]
    fold = _fold_line(cut)
    grain = kept_grain(piece.grain, outline) if piece.grain_stays else None
    if grain is None:
        grain = placed_grain(piece.grain, outline, darts, fold, FOLD_CLEAR + 4.0)
    obstacles = [*darts, *(line.points for line in piece.internal_lines), grain]
    if fold is not None:
        inwards = left_of(direction(*fold))
        obstacles.append([along(end, inwards, FOLD_CLEAR) for end in fold])
    full = {edge.name: eased[ref] for edge in piece.edges if (ref := Ref(piece.name, edge.name)) in eased}
    todo = handling(cut, frozenset(full), words.unit, frozenset(name for name, gathered in full.items() if gathered))
    spot = find_spot(outline, obstacles, _wordings(cut, words, todo), measured, _turn_to(grain))
    return MarkedPiece(
        cut=cut,
        number=words.number,
        notches=tuple(_notch(cut, place, place.kind or notch) for place in piece.notches),
        drill_holes=(
            *(piece.points[name] for name in piece.holes),
            *(hole for dart in piece.darts for hole in drill_holes(dart)),
        ),
        grain_line=grain,
        fold_line=fold,
        label=Label(spot.lines, spot.at, spot.height, spot.width, spot.angle_deg),
        handling=todo,
    )


def _turn_to(grain: tuple[Point, Point]) -> float:
    """The angle of lettering along the grain, never upside down: upwards on an upright one, across on a level one."""
    way = direction(*grain)
    angle = degrees(atan2(way.y, way.x))
    angle = angle - 180.0 if angle > 90.1 else angle + 180.0 if angle <= -89.9 else angle
    return angle if abs(angle) > 0.1 else 90.0


def notch_shape(kind: NotchKind, width: float) -> tuple[NotchKind, float, float]:
    """Kind, depth and breadth of a notch on an allowance of that width, mm.

    It is cut in no nearer than 3 mm to the stitch line; on an allowance too narrow for that it stands outwards as a V.
    """
    if kind is NotchKind.V_OUT or width <= NARROW:
        return NotchKind.V_OUT, NOTCH_DEPTH, NOTCH_WIDTH
    return kind, min(NOTCH_DEPTH, width - NOTCH_CLEAR), 0.0 if kind is NotchKind.SLIT else NOTCH_WIDTH


def _notch(cut: CutPiece, place: NotchPlace, kind: NotchKind) -> Notch:
    """Square to the stitch line at its place, run out to the cut line; a double notch has one either side."""
    edge = cut.piece.edge(place.edge)
    point, way = place_at(edge.curves, place.at)
    if place.out is not None and cut.as_drawn:
        spot, outwards = place.out
        return Notch(place.edge, point, outwards, 1, place.name, (spot,), place.depth, kind, place.width)
    width, stepped = _width_at(cut, place)
    if place.count == 1:
        froms = [(point, _leg_way(cut.piece, point) or right_of(way))]
    else:
        half = DOUBLE_APART / 2
        froms = [(p, right_of(w)) for p, w in (place_at(edge.curves, place.at + by) for by in (-half, half))]
    if stepped:
        spots = tuple(along(start, out, width) for start, out in froms)
    else:
        found = [_out_to(cut.cut_line, start, out, width) for start, out in froms]
        spots = tuple(spot for spot in found if spot is not None)
        if len(spots) < len(found):
            raise GeometryError(
                f"{piece_words(cut.piece.name)}: the {place.name} notch of the {piece_words(place.edge)} does not "
                f"reach the cut line, which turns away there. Give {cut.piece.name}.{place.edge} and the edges beside "
                "it allowances that are more alike"
            )
    room = min(distance(start, spot) for (start, _), spot in zip(froms, spots, strict=True))
    kind, depth, breadth = notch_shape(kind, min(width, room))
    if place.depth and kind is not NotchKind.V_OUT:
        depth = min(place.depth, min(width, room) - NOTCH_CLEAR)
        breadth = place.width if kind is not NotchKind.SLIT and place.width else breadth
    ways = () if place.count == 1 else tuple(out for _, out in froms)
    return Notch(
        place.edge,
        point,
        froms[0][1] if place.count == 1 else right_of(way),
        place.count,
        place.name,
        spots,
        depth,
        kind,
        breadth,
        ways,
    )


def _width_at(cut: CutPiece, place: NotchPlace) -> tuple[float, bool]:
    """The allowance at a notch; the narrower one where it steps just there, and whether it does."""
    before, after = (cut.width_at(place.edge, place.at, after=side) for side in (False, True))
    return min(before, after), abs(before - after) > 1e-6


def _leg_way(piece: Piece, point: Point) -> Point | None:
    """A notch of an open dart's leg runs on in the leg, so that both meet when the dart is folded."""
    for dart in piece.darts:
        if dart.is_open and min(distance(point, dart.points[0]), distance(point, dart.points[-1])) < 0.05:
            return direction(dart.points[1], point)
    return None


def _out_to(ring: Sequence[XY], start: Point, way: Point, width: float) -> Point | None:
    """Where a ray from the stitch line first meets the cut line; the width itself where the ray only grazes it.

    The place itself where there is no allowance: both lines are one there, but for how finely each is drawn.
    None where the ray meets nothing.
    """
    nearest = inf
    sx, sy = start
    wx, wy = way
    x0, y0 = ring[-1]
    before = (x0 - sx) * wy - (y0 - sy) * wx
    for x1, y1 in ring:
        after = (x1 - sx) * wy - (y1 - sy) * wx
        if (before <= 1e-9 and after >= -1e-9) or (before >= -1e-9 and after <= 1e-9):
            span = before - after
            part = before / span if abs(span) > 1e-12 else 0.0
            far = (x0 + (x1 - x0) * part - sx) * wx + (y0 + (y1 - y0) * part - sy) * wy
            if -2 * CHORD < far < nearest:
                nearest = max(far, 0.0)
        x0, y0, before = x1, y1, after
    if nearest is inf:  # past a corner of the cut line by less than lines are drawn fine
        spot, off = nearest_on(ring, along(start, way, width))
        return Point(*spot) if off < 2 * CHORD else None
    return along(start, way, nearest if nearest < 3 * max(width, 1.0) else width)


def drill_holes(dart: Dart) -> tuple[Point, ...]:
    """Inside the dart, so that sewing hides them: short of each point on the axis, and inside each leg point."""
    if dart.is_open:
        first, tip, second = dart.points
        return (along(tip, direction(tip, between(first, second)), min(DRILL_INSIDE_POINT, distance(tip, first) / 3)),)
    upper, outer, lower, inner = dart.points
    holes = [
        along(upper, direction(upper, lower), min(DRILL_INSIDE_POINT, distance(upper, lower) / 6)),
        along(outer, direction(outer, inner), min(DRILL_INSIDE_LEG, dart.intake / 4)),
        along(lower, direction(lower, upper), min(DRILL_INSIDE_POINT, distance(upper, lower) / 6)),
        along(inner, direction(inner, outer), min(DRILL_INSIDE_LEG, dart.intake / 4)),
    ]
    return tuple(holes)


def _fold_line(cut: CutPiece) -> tuple[Point, Point] | None:
    """The fold from cut edge to cut edge, in the outline's direction."""
    for edge in cut.piece.edges:
        if edge.kind is EdgeKind.FOLD:
            way = direction(edge.start, edge.end)
            across = right_of(way)
            reach = [
                (p[0] - edge.start.x) * way.x + (p[1] - edge.start.y) * way.y
                for p in cut.cut_line
                if abs((p[0] - edge.start.x) * across.x + (p[1] - edge.start.y) * across.y) < 1e-4
            ] or [0.0, edge.length()]
            return along(edge.start, way, min(reach)), along(edge.start, way, max(reach))
    return None


# ---------------------------------------------------------------- words


def allowance_words(
    allowances: Mapping[str, float], piece: Piece, unit: Unit, profiles: Mapping[str, Profile] | None = None
) -> str:
    """`allowances included: hem 2 in, side 1 1/2 in, armhole shoulder neckline 1/2 in`."""
    by_width: dict[tuple[float, float], list[str]] = {}
    for edge in piece.edges:
        if edge.kind is not EdgeKind.FOLD:
            most = least = allowances[edge.name]
            if profiles and edge.name in profiles:
                least = min(width for _, width in profiles[edge.name].stations)
            by_width.setdefault((most, least), []).append(piece_words(edge.name))
    parts = []
    for (most, least), names in sorted(by_width.items(), reverse=True):
        words = show(most, unit) if most else "none"
        parts.append(f"{', '.join(names)} {words}" + (f" to {show(least, unit)}" if least < most else ""))
    return "allowances included: " + "; ".join(parts)


def short_allowance_words(allowances: Mapping[str, float], piece: Piece, unit: Unit) -> str:
    """The width of most of the outline, then the others: `allowances 1/2 in; outer edge 1/4 in`."""
    along_edges: dict[float, float] = {}
    names: dict[float, list[str]] = {}
    for edge in piece.edges:
        if edge.kind is not EdgeKind.FOLD:
            width = allowances[edge.name]
            chord = distance(edge.start, edge.end)
            along_edges[width] = along_edges.get(width, 0.0) + chord + (1e6 if edge.kind is EdgeKind.SEAM else 0.0)
            names.setdefault(width, []).append(piece_words(edge.name))
    if not along_edges:
        return "no allowances"
    first = max(along_edges, key=lambda width: (along_edges[width], width))
    others = [
        f"{', '.join(names[width])} {show(width, unit) if width else 'none'}"
        for width in sorted(names, reverse=True)
        if width != first
    ]
    return "; ".join([f"allowances {show(first, unit) if first else 'none'}", *others])


def _wordings(cut: CutPiece, words: _Words, todo: tuple[str, ...]) -> list[Wording]:
    """The same facts in more words or fewer; what is to be done to the allowances only where there is room."""
    piece = cut.piece
    count, name = f"{words.number} of {words.of}", title_of(piece)
    head = f"{count}: {name}".upper()
    facts = [words.title, f"size: {words.size}" + (f", {words.date}" if words.date else ""), cut_words(piece)]
    if piece.one_way:
        facts.append("one way: all pieces the same way up")
    full = allowance_words(cut.allowances, piece, words.unit, cut.profiles)
    short = short_allowance_words(cut.allowances, piece, words.unit)
    flowing = "; ".join([f"{count}, {facts[0]}", *facts[1:], short])
    found = [
        Wording((head, *facts, full), least=5.0),
        Wording((name.upper(), count, *facts, short)),
        Wording((name.upper(), flowing), most=4.5),
    ]
    if todo:
        last = "; ".join(todo)
        found = [
            Wording((head, *facts, full, last), least=6.2, shortest=15.0),
            Wording((head, *facts, short, last), least=6.2, shortest=15.0),
            *found,
        ]
    return found
