"""From cleaned outlines and what the plan says of them to a draft: pieces with named edges, marks, seams.

From here on a drawn pattern goes the same way as a drafted one.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Mapping, Sequence
from math import atan2, degrees
from typing import Any, Final, Literal

from ..errors import GeometryError, InputError, InputErrors
from ..geometry.affine import Move
from ..geometry.curve import Curve, Line
from ..geometry.path import Path, flatten, moved_path, parallel, part, path_length, pinned, place_at
from ..geometry.point import XY, Point, along, between, direction, distance, meeting, right_of
from ..geometry.polygon import Box, distance_to_line, distance_to_segment, nearest_on, ray_out
from ..model.draft import Draft
from ..model.piece import (
    Cut,
    Dart,
    Edge,
    EdgeKind,
    InternalLine,
    LineKind,
    NotchKind,
    NotchPlace,
    Piece,
    Seam,
    Take,
    piece_words,
    sew,
    title_of,
)
from ..model.ref import Ref
from ..model.sewing import SEAM_ALLOWANCE, derived_joins, usual_allowance
from ..model.widths import Allowance, Station
from ..units import whole
from ..values import dataclass, replace
from .darts import FoundDart, Stroke, corners_of_stroke, darts_in, far_along
from .model import Drawing, DrawnNotch, DrawnPath, DrawnPoint, Outline, Outlines
from .plan import CUT_OFF, SAME, PiecePlan, Plan

GARMENT: Final = "drawn pattern"
"""What a draft that was drawn elsewhere calls its garment."""
NECK_EDGES: Final = ("shoulder", "neckline")
MATCH_AT: Final = ("waist", "front armhole", "hip")
"""Names that people write at edges and notches, for what is told of them: see `Draft`."""
BY_HAND: Final = 3.0
"""What two sides of a seam may differ by because a hand drew them, mm (common practice, no source: 1/8 in)."""
IDLE: Final = re.compile(r"(?i)^(path|polygon|polyline|rect|g|layer|line|use|svg|group|[0-9a-f]+)[-_ ]?\d*$")
"""Ids and layers that say nothing: those that editors give."""
_STRAIGHT: Final = 0.1
_UPRIGHT: Final = 0.01
"""A line is upright if its ends are no further apart across, mm."""
_TOUCHES: Final = 3.0
"""A notch mark that comes this near to an edge belongs to it, mm."""
_WIDEST: Final = 60.0
"""A notch of the piece's own group lies on its cut line, no further off than an allowance is wide, mm."""
_CORNER: Final = 0.5
_LED: Final = 0.5
"""A leg that was led on to its edge or cut off there by more is told, mm."""
_SNAP: Final = 0.5
"""An edge that is split this near to a joint of its lines is split there, mm."""
_SLIVER: Final = 0.05
"""A shorter end of a traced line is left out, mm: it says nothing of the line's direction."""
_SPOTS: Final = 24
"""Places along an edge at which the distance of its cut line is measured."""
_MOST_MEASURED: Final = 2_000_000
"""Runs of the cut line that are looked at for it in all; where a piece has more, fewer places are measured."""
_MOSTLY: Final = 0.6
"""An allowance is even if it is so at this share of its places: beside a bend of the edge the distance is another."""
_EVEN: Final = 0.2
"""An allowance that differs by less along its edge is one width, mm: what files and curves are rounded by."""
_ROUNDED: Final = 0.05
"""So much a width may differ between two sizes for how the file is rounded, mm."""
_NOTCH: Final = 15.0
"""A line at an edge that is no longer marks a notch, mm."""
_SMALL: Final = 8.0
"""A closed line inside a piece that is no larger marks a hole, mm."""


def drafts_of(
    drawing: Drawing, outlines: Outlines, plan: Plan, allowances: Mapping[str, Allowance] | None = None
) -> dict[str, Draft]:
    """A draft of every size that the drawing has, by the same plan; of its only one, under the size's name or "".

    The sizes of a piece lie on each other as they do in the file. `allowances` are those of the plan; without them no
    stitch line is looked for inside a cut line, which is enough to know all names. Raises InputErrors as draft_of does.
    """
    base, frames = draft_of(drawing, outlines, plan, allowances)
    found: dict[str, Draft] = {}
    for size, own in (outlines.sizes or {outlines.base: outlines.outlines}).items():
        if size == outlines.base:
            found[size] = base
            continue
        draft, _ = draft_of(drawing, replace(outlines, outlines=own), plan, allowances, frames)
        like = base.default_allowances
        widths = {key: _as_in_base(width, like.get(key)) for key, width in draft.default_allowances.items()}
        found[size] = replace(draft, default_allowances=widths)
    return found


def _as_in_base(width: Allowance, base: Allowance | None) -> Allowance:
    """A measured allowance as the base has it, where it differs by no more than files are rounded."""
    if isinstance(width, (int, float)) and isinstance(base, (int, float)) and abs(width - base) <= _ROUNDED:
        return base
    return width


def draft_of(
    drawing: Drawing,
    outlines: Outlines,
    plan: Plan,
    allowances: Mapping[str, Allowance] | None = None,
    frames: Mapping[str, _Frame] | None = None,
) -> tuple[Draft, dict[str, _Frame]]:
    """All pieces of the plan, their seams and joins; and how each was moved. `frames` are those of the base size.

    `allowances` (by edge or piece.edge, mm) as in drafts_of. Raises InputErrors with every mistake of the plan."""
    errors: list[InputError] = []
    notes = (
        [*drawing.notes, *outlines.notes] if drawing.pattern is None or not _has_said(outlines) else [*outlines.notes]
    )
    pieces: list[Piece] = []
    moved: dict[str, _Frame] = {}
    measured: dict[str, Allowance] = {}
    taken: dict[int, str] = {}
    for own in plan.pieces:
        try:
            number = _number(own, outlines.outlines, drawing)
            if number in taken:
                raise InputError(
                    f"outline {number + 1} is already {taken[number]}", where=own.where, expected="each outline once"
                )
            taken[number] = own.name
            outline = outlines.outlines[number]
            piece, said, frame = _piece(own, outline, plan, allowances, (frames or {}).get(own.name))
            moved[own.name] = frame
            if piece.cut_line and not outline.traced:
                piece, own_widths, more = _with_measured(piece, allowances or {})
                measured |= own_widths
                said += more
            pieces.append(piece)
            notes += said
        except InputError as error:
            errors.append(error)
        except GeometryError as error:
            errors.append(InputError(f"{own.name}: {error}", where=own.where))
    seams = _seams(plan, pieces, errors)
    if errors:
        raise InputErrors(errors)
    left = [str(i + 1) for i in range(len(outlines.outlines)) if i not in taken]
    if left:
        notes.append(f"Not used by the plan: outline {', '.join(left)}.")
    edges = [(piece, edge) for piece in pieces for edge in piece.edges]
    widths: dict[str, Allowance] = {edge.name: SEAM_ALLOWANCE for _, edge in edges}
    widths |= {f"{piece.name}.{edge.name}": usual_allowance(edge) for piece, edge in edges}
    widths |= measured
    draft = Draft(
        garment=GARMENT,
        pieces=tuple(pieces),
        seams=tuple(seams),
        joins=tuple(derived_joins(pieces, seams)),
        steps=(),
        notes=tuple(dict.fromkeys(_sentence(note) for note in notes)),
        body={},
        style={},
        default_allowances=widths,
        neck_edges=NECK_EDGES,
        match_at=MATCH_AT,
        sewing_order=_sewing_order(plan, pieces, seams),
        by_hand=BY_HAND,
    )
    return draft, moved


def _has_said(outlines: Outlines) -> bool:
    return any(outline.said is not None for outline in outlines.outlines)


def _sewing_order(plan: Plan, pieces: Sequence[Piece], seams: Sequence[Seam]) -> tuple[str, ...]:
    """The plan's; then the edges of its seams as they come, then any others, hems last."""
    edges = [edge for piece in pieces for edge in piece.edges]
    sewn = [ref.edge for seam in seams for ref in (*seam.a, *seam.b)]
    plain = [edge.name for edge in edges if edge.kind is EdgeKind.SEAM]
    return tuple(dict.fromkeys([*plan.sewing_order, *sewn, *plain, *(edge.name for edge in edges)]))


def _sentence(words: str) -> str:
    words = words.strip()
    words = words[:1].upper() + words[1:]
    return words if words.endswith(".") else f"{words}."


def _number(own: PiecePlan, outlines: Sequence[Outline], drawing: Drawing) -> int:
    if isinstance(own.outline, int):
        if 1 <= own.outline <= len(outlines):
            return own.outline - 1
        raise InputError(
            f"{own.name}: there is no outline {own.outline}", where=own.where,
            expected=f"1 to {len(outlines)}, as in the picture of --propose",
        )  # fmt: skip
    found = [i for i, one in enumerate(outlines) if own.outline in (one.id, one.layer, *one.groups)]
    if len(found) == 1:
        return found[0]
    names = sorted({name for one in outlines for name in (one.id, one.layer) if name})
    raise InputError(
        f"{own.name}: {len(found) or 'no'} outlines are called {own.outline!r} in {drawing.name}", where=own.where,
        expected=f"a number from 1 to {len(outlines)}" + (f", or one of {', '.join(names[:20])}" if names else ""),
    )  # fmt: skip


# ---------------------------------------------------------------- one piece


def _piece(
    own: PiecePlan,
    outline: Outline,
    plan: Plan,
    allowances: Mapping[str, Allowance] | None,
    base: _Frame | None,
) -> tuple[Piece, list[str], _Frame]:
    paths = _split(own, outline.edges)
    tracing = outline.traced and allowances is not None
    names, runs = _named(own, paths, tracing=tracing)
    _refuse_names(own, names)
    frame = _home(own, dict(zip(names, runs, strict=True)), base)
    move = frame.move()
    runs = [moved_path(run, move) for run in runs]
    if own.fold:
        runs = _on_axis(own, names, runs)
    edges = [Edge(name, _kind(own, name), run) for name, run in zip(names, runs, strict=True)]
    cut = _cut_line(outline, move, folded=bool(own.fold))
    said: list[str] = []
    if tracing:
        edges, told = _inside(own, edges, allowances or {})
        said.append(told)
    lines = _Lines(own, plan, edges, move)
    darts = lines.take_darts(outline)
    for number, path in enumerate(outline.paths):
        if number not in darts:
            lines.take(path)
    for point in outline.points:
        of_group = bool(point.groups) and point.groups[:1] == outline.groups[:1]
        lines.take_point(point, _WIDEST if of_group else _TOUCHES)
    if outline.said is not None:
        flats = [flatten(edge.curves, 0.01) for edge in edges] if outline.said.notches else []
        at_edges = base.notch_edges if base is not None else ("",) * len(outline.said.notches)
        drawn = [
            _drawn_notch(notch, edges, flats, move, cut, on)
            for notch, on in zip(outline.said.notches, at_edges, strict=False)
        ]
        lines.notches += drawn
        frame = replace(frame, notch_edges=tuple(notch.edge for notch in drawn))
    notches = [*lines.notches, *_planned_notches(own, edges)]
    grain = _grain(own, edges, lines.grain)
    points = {f"hole {i}": at for i, at in enumerate(lines.holes, start=1)}
    piece = Piece(
        name=own.name,
        edges=tuple(lines.edges),
        points=points,
        grain=grain,
        to_cut=Cut("fold" if own.fold else "pair" if own.pair else "whole", own.cut, own.material),
        darts=tuple(lines.darts),
        notches=tuple(sorted(notches, key=lambda n: (names.index(n.edge), n.at))),
        internal_lines=tuple(lines.inner),
        one_way=own.one_way,
        holes=tuple(points),
        notes=_said(own, outline),
        cut_line=cut,
        grain_stays=bool(cut) and lines.grain is not None and not own.grain,
        label=own.label if own.label and own.label != piece_words(own.name) else "",
    )
    return piece, [*said, *lines.notes], frame


def _cut_line(outline: Outline, move: Move, *, folded: bool) -> tuple[XY, ...]:
    """The cut line that was drawn, moved as the piece is; on the fold it lies exactly on it."""
    ring = [move.point(p) for p in outline.cut]
    if folded:
        ring = [Point(0.0, p.y) if abs(p.x) <= _STRAIGHT else p for p in ring]
    return tuple((p.x, p.y) for p in ring)


def _drawn_notch(
    notch: DrawnNotch, edges: Sequence[Edge], flats: Sequence[Sequence[XY]], move: Move, cut: Sequence[XY], on: str
) -> NotchPlace:
    """A notch of the file on the edge that it points at, or `on` the one where the base has it; depth and width are the
    file's."""
    spot, tip = move.point(notch.at), move.point(along(notch.at, notch.way, 1.0))
    way = direction(spot, tip)
    best: tuple[float, str, float] | None = None
    beside = [(edge, points) for edge, points in zip(edges, flats, strict=True) if on in ("", edge.name)]
    for edge, points in beside:
        walked = 0.0
        for a, b in itertools.pairwise(points):
            met = meeting(spot, (-way.x, -way.y), a, direction(a, b)) if a != b else None
            size = distance(a, b)
            if met is not None and distance(a, met) + distance(met, b) <= size + 1e-6:
                off = (met.x - spot.x) * -way.x + (met.y - spot.y) * -way.y
                if -_CORNER <= off <= _WIDEST and (best is None or off < best[0]):
                    best = off, edge.name, walked + distance(a, met)
            walked += size
    if best is None:
        edge, _ = min(beside, key=lambda pair: distance_to_line(spot, pair[1]))
        best = 0.0, edge.name, far_along(edge.curves, spot)
    _, name, at = best
    at = min(at, next(edge for edge in edges if edge.name == name).length())
    out = (spot, way) if cut else None
    return NotchPlace(name, at, 1, "notch", NotchKind(notch.kind), notch.depth, notch.width, out)


def _with_measured(piece: Piece, asked: Mapping[str, Allowance]) -> tuple[Piece, dict[str, Allowance], list[str]]:
    """The allowances that lie between its stitch line and its cut line, edge by edge; where the plan asks for others,
    the cut line goes, and is made anew."""
    widths = {f"{piece.name}.{edge.name}": _measured_width(piece, edge) for edge in piece.edges}
    names = [edge.name for edge in piece.edges if f"{piece.name}.{edge.name}" in asked or edge.name in asked]
    if not names:
        return piece, widths, []
    plain = tuple(replace(n, out=None) for n in piece.notches)
    told = f"{title_of(piece)}: the plan gives allowances of {', '.join(names)}, so its cut line is made anew"
    return replace(piece, cut_line=(), notches=plain), widths, [told]


def _measured_width(piece: Piece, edge: Edge) -> Allowance:
    """How far the cut line lies outside an edge, away from its corners: one width, or several where it changes, mm."""
    if edge.kind is EdgeKind.FOLD:
        return 0.0
    length = edge.length()
    found: list[tuple[float, float]] = []
    spots = max(1, min(_SPOTS, _MOST_MEASURED // (len(piece.edges) * len(piece.cut_line))))
    for i in range(spots):
        far = length * (i + 0.5) / spots
        p, way = place_at(edge.curves, far)
        _, near = nearest_on(piece.cut_line, p)
        out = ray_out(piece.cut_line, p, right_of(way))
        found.append((far, out if out <= 1.5 * near + _EVEN else near))
    widest = max(width for _, width in found)
    clear = [(far, w) for far, w in found if min(far, length - far) > 1.2 * widest]
    if len(clear) < len(found) / 3:  # corners reach over all of a short edge
        clear = found[len(found) // 3 : len(found) - len(found) // 3]
    middle = sorted(width for _, width in clear)[len(clear) // 2]
    even = sum(abs(width - middle) <= _EVEN for _, width in clear)
    if even >= _MOSTLY * len(clear):
        return round(middle, 2) + 0.0
    kept = clear[:1]
    for i in range(1, len(clear)):
        (a, first), (far, width) = kept[-1], clear[i]
        b, last = clear[min(i + 1, len(clear) - 1)]
        if i == len(clear) - 1 or abs(first + (last - first) * (far - a) / (b - a) - width) > _EVEN:
            kept.append((far, width))
    return tuple(Station(round(far, 1), round(width, 1)) for far, width in kept)


def _said(own: PiecePlan, outline: Outline) -> tuple[str, ...]:
    """What is written on it, as one note."""
    words = "; ".join(" ".join(text.words.split()) for text in outline.texts)
    return (f"Written on the {piece_words(own.name)}: {words[:300]}.",) if words else ()


def _split(own: PiecePlan, edges: Sequence[Path]) -> list[Path]:
    """Edges, some with further corners at distances from their start: keys are their numbers, from 1."""
    found: list[Path] = []
    for key in own.split:
        if not 1 <= (whole(key) or 0) <= len(edges):
            raise InputError(
                f"{own.name}: there is no edge {key!r} to split", where=own.where, expected=f"1 to {len(edges)}"
            )
    for number, edge in enumerate(edges, start=1):
        length = path_length(edge)
        joints = list(itertools.accumulate(curve.length() for curve in edge))[:-1]
        asked = sorted(own.split.get(str(number), ()))
        stops = [0.0, *(next((j for j in joints if abs(j - far) <= _SNAP), far) for far in asked)]
        stops.append(length)
        if any(not b - a >= 1.0 for a, b in itertools.pairwise(stops)):
            raise InputError(
                f"{own.name}: edge {number} is {length:.1f} mm long and cannot be split there", where=own.where,
                expected="distances from its start, 1 mm at least from its ends and from each other",
            )  # fmt: skip
        found += [part(edge, a, b) for a, b in itertools.pairwise(stops)] if len(stops) > 2 else [edge]
    return found


def _named(own: PiecePlan, paths: Sequence[Path], *, tracing: bool) -> tuple[list[str], list[Path]]:
    names = own.edges or tuple(f"e{i}" for i in range(1, len(paths) + 1))
    if len(names) != len(paths):
        lengths = ", ".join(f"{path_length(path) / 10:.1f} cm" for path in paths)
        raise InputError(
            f"{own.name}: {len(names)} edges are named, and its outline has {len(paths)} ({lengths})", where=own.where,
            expected="a name for each from the first corner on, counter-clockwise",
            instead=f'Write "{SAME}" for one that goes on with the edge before it, or change corner_angle',
        )  # fmt: skip
    if names[0] == SAME:
        count = next((i for i, name in enumerate(names) if name != SAME), len(names))
        if count == len(names):
            raise InputError(f"{own.name}: no edge has a name", where=own.where, expected="one name at least")
        names, paths = (*names[count:], *names[:count]), (*paths[count:], *paths[:count])
    kept: list[str] = []
    runs: list[Path] = []
    for name, run in zip(names, paths, strict=True):
        if name == CUT_OFF and tracing:
            continue
        if name == SAME:
            runs[-1] = (*runs[-1], *run)
        else:
            kept.append(name)
            runs.append(tuple(run))
    return kept, runs


def _refuse_names(own: PiecePlan, names: Sequence[str]) -> None:
    for word, key in ((own.fold, "fold"), (own.grain if own.grain != "up" else "", "grain")):
        if word and word not in names:
            raise InputError(
                f"{own.name}: {key} = {word!r}: it has no such edge", where=own.where, expected=", ".join(names)
            )
    for key in own.notches:
        if key not in names:
            raise InputError(
                f"{own.name}: notches on {key!r}: it has no such edge", where=own.where, expected=", ".join(names)
            )
    if own.fold and own.pair:
        raise InputError(f"{own.name} is cut on the fold and as a pair", where=own.where, expected="one of the two")
    if own.pair and own.cut % 2:
        raise InputError(f"{own.name}: a pair is cut {own.cut} times", where=own.where, expected="an even number")


@dataclass(frozen=True, slots=True)
class _Frame:
    """How a piece was laid: turned, then moved."""

    turn: Move
    dx: float
    dy: float
    notch_edges: tuple[str, ...] = ()
    """On which edge each of its notches is, in the file's order."""

    def move(self) -> Move:
        return self.turn.then(Move.by(self.dx, self.dy))


def _home(own: PiecePlan, runs: Mapping[str, Path], base: _Frame | None) -> _Frame:
    """Turns a fold upright, so that it is x = 0; other pieces stay as they are drawn. The top is y = 0.

    A piece of another size is moved as that of the base is, but for its fold, which lies on x = 0 in all.
    """
    if base is not None:
        if not own.fold:
            return replace(base)
        return _Frame(base.turn, -base.turn.point(runs[own.fold][0].start).x, base.dy)
    turn = Move()
    if own.fold:
        start, end = runs[own.fold][0].start, runs[own.fold][-1].end
        angle = degrees(atan2(end[1] - start[1], end[0] - start[0]))
        if abs(start[0] - end[0]) > _UPRIGHT:
            turn = Move.turned((90.0 - angle + 90.0) % 180.0 - 90.0)
    box = Box.round(turn.points([p for run in runs.values() for p in flatten(run, 0.5)]))
    across = turn.point(runs[own.fold][0].start).x if own.fold else (box.left + box.right) / 2
    return _Frame(turn, -across, -box.top)


def names_of(path: DrawnPath | DrawnPoint) -> tuple[str, ...]:
    """All that it goes by, the nearest first: its label, id and layer, then its groups."""
    label = path.label if isinstance(path, DrawnPath) else ""
    found = tuple(name for name in (label, path.id, path.layer, *reversed(path.groups)) if name)
    return (*found, f"line {path.number}") if isinstance(path, DrawnPath) and path.number else found


def called(path: DrawnPath, outline: Outline | None) -> str:
    """The name by which [lines] can tell it from others: not that of its outline, nor one that an editor gave if there
    is a better one."""
    own = () if outline is None else (outline.id, outline.layer, *outline.groups)
    words = [name for name in names_of(path) if name not in own]
    telling = [name for name in words if not IDLE.match(name)]
    return next(iter((*telling, *words, *names_of(path))), "a line")


def _on_axis(own: PiecePlan, names: Sequence[str], runs: Sequence[Path]) -> list[Path]:
    """The fold as one straight line on x = 0; its neighbours end on it."""
    at = list(names).index(own.fold)
    fold = runs[at]
    bent = max(abs(x) for x, _ in flatten(fold, 0.01))
    if bent > _STRAIGHT:
        raise InputError(
            f"{own.name}: the fold {own.fold!r} is not straight; it leaves its line by {bent:.1f} mm", where=own.where,
            expected="a straight edge",
        )  # fmt: skip
    start, end = Point(0.0, fold[0].start[1]), Point(0.0, fold[-1].end[1])
    found = list(runs)
    found[at] = (Line(start, end),)
    before, after = (at - 1) % len(runs), (at + 1) % len(runs)
    found[before] = pinned(found[before], end=start)
    found[after] = pinned(found[after], start=end)
    return found


def _kind(own: PiecePlan, name: str) -> EdgeKind:
    if name == own.fold:
        return EdgeKind.FOLD
    return EdgeKind.HEM if name == "hem" or name.startswith(("hem_", "hem-")) else EdgeKind.SEAM


def _inside(own: PiecePlan, edges: Sequence[Edge], allowances: Mapping[str, Allowance]) -> tuple[list[Edge], str]:
    """The stitch line, where the outline is the cut line: every edge inwards by its allowance, met at the corners; and
    how far that is, in words."""
    widths = []
    for edge in edges:
        width = allowances.get(f"{own.name}.{edge.name}", allowances.get(edge.name, usual_allowance(edge)))
        if edge.kind is EdgeKind.FOLD:
            width = 0.0
        if not isinstance(width, (int, float)):
            raise InputError(
                f"{own.name}: the allowance of {edge.name} changes along it", where=own.where,
                expected="one width for an edge whose stitch line is found from its cut line",
            )  # fmt: skip
        widths.append(float(width))
    moved = [parallel(edge.curves, -width) if width else edge.curves for edge, width in zip(edges, widths, strict=True)]
    count = len(edges)
    corners = [_met(own, moved[i - 1], moved[i], edges[i].start) for i in range(count)]
    found: list[Edge] = []
    for i, edge in enumerate(edges):
        run = _between(moved[i], corners[i], corners[(i + 1) % count])
        found.append(replace(edge, curves=run))
    by_width: dict[float, list[str]] = {}
    for edge, width in zip(edges, widths, strict=True):
        if edge.kind is not EdgeKind.FOLD:
            by_width.setdefault(width, []).append(edge.name)
    listed = "; ".join(f"{', '.join(names)} {width:g} mm" for width, names in by_width.items())
    words = own.label or piece_words(own.name)
    return found, f"{words}: the stitch line is traced inside the cut line, which stays as it is drawn: {listed}"


def _met(own: PiecePlan, before: Path, after: Path, corner: Point) -> Point:
    """Where two parallels meet: on their curves, or on the straight lines that lead them on."""
    import shapely

    reach = 200.0
    a, b = flatten(before, 0.005), flatten(after, 0.005)
    enda, startb = before[-1].way(1.0), after[0].way(0.0)
    first = shapely.LineString([*a, (a[-1][0] + reach * enda.x, a[-1][1] + reach * enda.y)])
    second = shapely.LineString([(b[0][0] - reach * startb.x, b[0][1] - reach * startb.y), *b])
    shared = shapely.intersection(first, second)
    spots = [(float(x), float(y)) for x, y in shapely.get_coordinates(shared)]
    if spots:
        return Point(*min(spots, key=lambda p: distance(p, corner)))
    met = meeting(before[-1].end, enda, after[0].start, startb)
    if met is not None and distance(met, corner) < reach:
        return met
    if distance(before[-1].end, after[0].start) < _CORNER:
        return before[-1].end
    raise GeometryError(
        f"two stitch lines do not meet near ({corner.x:.1f}, {corner.y:.1f}) mm; {own.name} is too narrow"
    )


def _between(run: Path, start: Point, end: Point) -> Path:
    """The run from one point to another, each on it or on the straight line that leads it on."""
    length = path_length(run)
    first, last = far_along(run, start), far_along(run, end)
    kept: list[Curve] = list(part(run, max(0.0, first), min(length, last)))
    while len(kept) > 1 and kept[0].length() < _SLIVER:
        kept.pop(0)
    while len(kept) > 1 and kept[-1].length() < _SLIVER:
        kept.pop()
    if not kept:
        raise GeometryError("its allowances are wider than the piece")
    if first <= 1e-6 and distance(start, kept[0].start) > _SLIVER:
        kept.insert(0, Line(start, kept[0].start))
    if last >= length - 1e-6 and distance(end, kept[-1].end) > _SLIVER:
        kept.append(Line(kept[-1].end, end))
    merged = _merged(kept)
    return pinned(tuple(merged), start, end)


def _merged(run: Sequence[Curve]) -> list[Curve]:
    """Straight runs in one line as one."""
    found: list[Curve] = [run[0]]
    for curve in run[1:]:
        last = found[-1]
        if isinstance(last, Line) and isinstance(curve, Line):
            spare = distance_to_segment(last.b, last.a, curve.b)
            if spare < 1e-6:
                found[-1] = Line(last.a, curve.b)
                continue
        found.append(curve)
    return found


# ---------------------------------------------------------------- what lies inside


def ring_of(edges: Sequence[Path]) -> Any:
    """The outline as a ring of points."""
    import shapely

    ring = shapely.LinearRing([p for edge in edges for p in flatten(edge, 0.01)[:-1]])
    shapely.prepare(ring)
    return ring


def looks_like(run: Path, ring: Any, *, closed: bool) -> Literal["drill", "notch", "internal"]:
    """What a line of no name is taken for: a small closed one for a hole, a short one that begins or ends on the
    outline or crosses it for a notch."""
    points = flatten(run, 0.05)
    if closed:
        box = Box.round(points)
        return "drill" if max(box.width, box.height) <= _SMALL else "internal"
    if sum(distance(a, b) for a, b in itertools.pairwise(points)) > _NOTCH:
        return "internal"
    return "notch" if _reaches(points, ring) is not None else "internal"


def _reaches(points: Sequence[XY], ring: Any) -> Point | None:
    """Where a line begins or ends on the outline, within 0.3 mm, or crosses it."""
    import shapely

    for end in (points[0], points[-1]):
        if shapely.dwithin(ring, shapely.Point(end), 0.3):
            return Point(*end)
    line = shapely.LineString(points)
    crossing = shapely.get_coordinates(ring.intersection(line)).tolist() if ring.intersects(line) else []
    return Point(*crossing[0]) if crossing else None


class _Lines:
    """Takes the lines and points of a piece one by one, for what the plan says that they mean."""

    def __init__(self, own: PiecePlan, plan: Plan, edges: Sequence[Edge], move: Move) -> None:
        self.own, self.plan, self.edges, self.move = own, plan, list(edges), move
        self.ring = ring_of([edge.curves for edge in edges])
        self.grain: tuple[Point, Point] | None = None
        self.inner: list[InternalLine] = []
        self.darts: list[Dart] = []
        self.notches: list[NotchPlace] = []
        self.holes: list[Point] = []
        self.notes: list[str] = []
        self.names: dict[tuple[str, str], int] = {}
        self._runs: list[Any] = []

    def take(self, path: DrawnPath) -> None:
        meaning = self.plan.lines.meaning(names_of(path))
        run = moved_path(path.curves, self.move)
        points = flatten(run, 0.05)
        box = Box.round(points)
        if meaning in ("ignore", "outline"):
            return
        if meaning == "grain" and not path.closed:
            line = run[0].start, run[-1].end
            if self.grain is None or distance(*line) > distance(*self.grain):
                self.grain = line
            return
        meaning = meaning or looks_like(run, self.ring, closed=path.closed)
        if meaning == "drill":
            self.holes.append(Point((box.left + box.right) / 2, (box.bottom + box.top) / 2))
        elif meaning == "notch":
            self._notch(path, points)
        elif meaning == "dart":
            self._double(path, run)
        else:
            kind = LineKind.FOLD if meaning == "fold" else LineKind.PLAIN
            if path.closed and meaning == "cutout":
                kind = LineKind.CUTOUT
            closing = [points[0]] if path.closed and points[0] != points[-1] else []
            line_points = tuple(Point(*p) for p in (*points, *closing))
            name = path.label or path.id or path.layer or "line"
            self.inner.append(InternalLine(self._once("line", name.lower()), line_points, kind))

    def take_point(self, point: DrawnPoint, touches: float) -> None:
        meaning = self.plan.lines.meaning(names_of(point))
        at = self.move.point(point.at)
        if meaning == "notch":
            self._place(at, point.id or point.layer, touches)
        elif meaning not in ("ignore", "outline") and all(distance(at, hole) > 0.5 for hole in self.holes):
            self.holes.append(at)

    def _notch(self, path: DrawnPath, points: Sequence[XY]) -> None:
        ends = (points[0], points[-1]) if not path.closed else points
        at = _reaches(points, self.ring) or min(ends, key=lambda p: self._gap(p)[0])
        self._place(Point(*at), path.label or path.id or path.layer)

    def _place(self, at: Point, name: str, touches: float = _TOUCHES) -> None:
        gap, edge, far = self._nearest(at)
        if gap > touches:
            self.notes.append(
                f"{self.own.name}: a notch at ({at.x:.1f}, {at.y:.1f}) mm is {gap:.1f} mm off every edge; left out"
            )
            return
        if all(n.edge != edge.name or abs(n.at - far) > 1.0 for n in self.notches):
            self.notches.append(NotchPlace(edge.name, far, name="notch"))

    def _nearest(self, p: XY) -> tuple[float, Edge, float]:
        gap, i = self._gap(p)
        return gap, self.edges[i], far_along(self.edges[i].curves, p)

    def _gap(self, p: XY) -> tuple[float, int]:
        """How far the nearest edge is, mm, and its number."""
        import shapely

        if not self._runs:
            self._runs = [shapely.LineString(flatten(edge.curves, 0.01)) for edge in self.edges]
        gaps = shapely.distance(self._runs, shapely.Point(p)).tolist()
        return min((gap, i) for i, gap in enumerate(gaps))

    def _once(self, kind: str, name: str) -> str:
        """The name, with a number behind it if there is one of this kind already."""
        wanted = name
        while (kind, wanted) in self.names:
            self.names[kind, name] += 1
            wanted = f"{name} {self.names[kind, name]}"
        self.names[kind, wanted] = 1
        return wanted

    def take_darts(self, outline: Outline) -> set[int]:
        """The darts among the lines, whether they are named or look like darts; the numbers of their lines."""
        paths = outline.paths
        asked = [(i, self.plan.lines.meaning(names_of(path))) for i, path in enumerate(paths)]
        numbers = [i for i, meaning in asked if meaning in (None, "dart")]
        strokes = [
            Stroke(moved_path(paths[i].curves, self.move), paths[i].closed, asked[i][1] == "dart") for i in numbers
        ]
        used: set[int] = set()
        for dart in darts_in([edge.curves for edge in self.edges], strokes):
            edge = self.edges[dart.edge]
            name = self._once("dart", edge.name)
            self.darts.append(Dart(name, dart.points, dart.intake))
            self.edges[dart.edge] = replace(edge, takes=(*edge.takes, Take(dart.start, dart.end, tip=dart.points[1])))
            used |= {numbers[n] for n in dart.strokes}
            self.notes += self._of_dart(dart, edge, [called(paths[numbers[n]], outline) for n in dart.strokes])
        return used

    def _of_dart(self, dart: FoundDart, edge: Edge, words: Sequence[str]) -> Iterator[str]:
        place = f"{self.own.name}: the dart at {edge.name}"
        if not dart.named:
            first, tip, second = dart.points
            words = list(dict.fromkeys(words))
            yield (
                f"{self.own.name}: {' and '.join(words)}: taken for a dart at {edge.name} by their shape, "
                f"{dart.intake:.1f} mm wide and {distance(tip, between(first, second)):.1f} mm long; if it is none "
                f"write internal = [{', '.join(_quoted(name) for name in words)}] below [lines]"
            )
        if dart.moved > _LED:
            by = f"{dart.moved:.1f} mm"
            yield f"{place} did not end on it; its legs were led on to it, or cut off there, by {by} at most"

    def _double(self, path: DrawnPath, run: Path) -> None:
        """A dart inside the piece, with a point at both ends."""
        corners = corners_of_stroke(run, closed=path.closed)
        if len(corners) == 5 and corners[0] == corners[-1]:
            corners.pop()
            top = max(range(4), key=lambda i: corners[i][1])
            upper, second, lower, fourth = (corners[(top + k) % 4] for k in range(4))
            outer, inner = (second, fourth) if second[0] > fourth[0] else (fourth, second)
            name = self._once("dart", "inner")
            self.darts.append(Dart(name, (upper, outer, lower, inner), distance(outer, inner)))
            return
        self.notes.append(
            f"{self.own.name}: {path.name} is said to be a dart, and has no point inside with two legs that end at one "
            "edge; it is drawn as a line"
        )
        self.inner.append(InternalLine(self._once("line", "dart"), tuple(Point(*p) for p in flatten(run, 0.05))))


def _quoted(name: str) -> str:
    return '"' + name.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _planned_notches(own: PiecePlan, edges: Sequence[Edge]) -> Iterator[NotchPlace]:
    for edge in edges:
        for far in own.notches.get(edge.name, ()):
            if not 0.0 <= far <= edge.length():
                raise InputError(
                    f"{own.name}: a notch {far / 10:.1f} cm along {edge.name} of {edge.length() / 10:.1f} cm",
                    where=own.where, expected="a distance from its start along it",
                )  # fmt: skip
            yield NotchPlace(edge.name, far, name="notch")


def _grain(own: PiecePlan, edges: Sequence[Edge], drawn: tuple[Point, Point] | None) -> tuple[Point, Point]:
    """As drawn; else through the middle of the piece, along the edge that the plan names, or upright. It points up."""
    if drawn is not None and not own.grain:
        a, b = drawn
    else:
        box = Box.round(p for edge in edges for p in flatten(edge.curves, 0.5))
        middle = Point((box.left + box.right) / 2, (box.bottom + box.top) / 2)
        way = Point(0.0, 1.0)
        if own.grain and own.grain != "up":
            edge = next(edge for edge in edges if edge.name == own.grain)
            way = direction(edge.start, edge.end)
        half = 0.25 * (box.height if abs(way.y) > abs(way.x) else box.width)
        a, b = along(middle, way, -half), along(middle, way, half)
    upwards = b.y > a.y + 1e-9 or (abs(b.y - a.y) <= 1e-9 and b.x > a.x)
    return (a, b) if upwards else (b, a)


# ---------------------------------------------------------------- seams


def _seams(plan: Plan, pieces: Sequence[Piece], errors: list[InputError]) -> list[Seam]:
    known = {Ref(piece.name, edge.name) for piece in pieces for edge in piece.edges}
    found: list[Seam] = []
    for own in plan.seams:
        missing = [ref for ref in (*own.a, *own.b) if ref not in known]
        for ref in missing:
            near = map(str, sorted(k for k in known if k.piece == ref.piece) or sorted(known))
            errors.append(
                InputError(f"{own.name}: there is no {ref}", where=own.where, expected=", ".join(list(near)[:20]))
            )
        if not missing:
            sides = [tuple(map(str, run)) for run in (own.a, own.b)]
            found.append(sew(own.name, *sides[0], to=sides[1], ease=own.ease, within=own.tolerance))
    return found
