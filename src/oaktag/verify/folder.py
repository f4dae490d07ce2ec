"""The whole of it: every written file of a folder, read back and compared with pattern.json."""

from __future__ import annotations

import re
from collections.abc import Callable, Container, Generator, Iterable, Iterator, Mapping, Sequence
from functools import partial
from importlib.util import find_spec
from itertools import combinations
from math import hypot, inf, isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Final, TypeAlias

from ..beside import beside
from ..errors import InputError, Where
from ..formats import FILES, File, Reader, file_of, function
from ..geometry.point import XY, distance
from ..geometry.polygon import Box, area
from ..progress import Told, silent
from ..values import dataclass, replace
from .compare import Fit, Lines, Placement, ends_of, fits_of, length_of, measured, mirrored_run
from .dashes import LEAST, Followed, followed
from .drawing import (
    SQUARES,
    Drawing,
    Named,
    Run,
    Runs,
    UnreadableError,
    checked,
    mean_side,
    slug,
    squares_by_size,
    worst_of_square,
)
from .expected import SMALL_BLOCK, Expected, Held, Meant, Shape, pieces_named, read_expected, sizes_by_word
from .hpgl import drawing_of
from .hpgl import followed as followed_plot
from .letters import lines_of, misread
from .marks import AROUND, BESIDE, FOLD, GRAIN, LINES, ROLES, WORDS, Judged, judged, judged_words
from .pattern_data import mark_rows
from .plot_marks import Drawn, OnSheet, layer_facts, mark_facts, strangers
from .plots import spans, stream_facts
from .rows import Row
from .rules import rule_rows
from .sent import Sent, lines_on_sheet, plot_undone, undone
from .together import set_rows

if TYPE_CHECKING:
    from .compare import Floats

_AGAIN: Final = "Write it again with oaktag make"
_KEY: Final = "key"
"""The figure that tells which line pattern is which size."""
_TOUCHING: Final = 5.0
"""mm² that two pieces may share where their cut lines meet: 50 mm of the limit of outlines, on both."""
_NEAR_SQUARE: Final = 2.0
"""A side this near to one of a scale square may be one, mm; a piece's side, this near to what it should be."""
_NO_HOMES: Final[Mapping[str, Box]] = {}
_Plain: TypeAlias = tuple[str, str, str, float | None, float, bool, str]
_SQUARE_NAMES: Final = {100.0: "100 mm square", 101.6: "4 in square"}


def verify(folder: Path, told: Told = silent) -> tuple[Row, ...]:
    """Every written file of a folder against its pattern.json; or one file against the pattern.json beside it.

    A row for each line of each piece, for each square of the scale block, and for a file that cannot be read.
    Then one for each file that is not of the set which pattern.json lists, and remarks on what else lies there.
    Of a set, also one for the sizes of a piece that lie on each other, and two for each size made by base and rules.
    Files that are not there are passed over. Raises InputError without a pattern.json, or with no file to read.
    """
    if folder.is_file():
        base, only = folder.parent, folder.name
    else:
        base, only = folder, ""
        if not folder.exists():
            raise InputError(
                "there is no such folder",
                where=Where(str(folder)),
                expected="a folder that oaktag make has written",
                instead="Run oaktag make JOB -o FOLDER first, then oaktag verify FOLDER",
            )
    json_path = base / "pattern.json"
    if not json_path.exists():
        from .lays import lay_files

        if (base / "roll.json").exists():  # as oaktag roll writes it
            from .rolls import roll_rows

            told("reading the roll", 0, 0)
            return tuple(roll_rows(base, only))
        if lay_files(base):  # as oaktag lay writes it
            told("reading the lay", 0, 0)
            return _lays(base, None, only)
    told("reading pattern.json", 0, 0)
    meant = read_expected(json_path)
    tasks = list(_tasks(base, only, meant))
    mine, others = _shared_out(tasks)
    with beside(lambda: [_plain(task.rows()) for task in others], when=bool(mine and others)) as read_beside:
        told("reading the lay", 0, 0)
        lays = _lays(base, json_path, only.replace("pattern.json", ""), meant.pieces)
        if not tasks and not lays:
            raise InputError(
                "there is nothing to read back" + (" in this file" if only else ""),
                where=Where(str(folder)),
                expected="pattern.dxf, pattern.svg, pattern.plt, pattern-roll.pdf or another pattern-….pdf",
                instead="Run oaktag make JOB -o FOLDER to write them",
            )
        found = {task.at: _read_here(task, len(tasks), told) for task in mine}
        told_beside = read_beside()
    for task, plain in zip(others, told_beside or (), strict=False):
        found[task.at] = [Row(*values) for values in plain]
    for task in others if told_beside is None else ():
        found[task.at] = _read_here(task, len(tasks), told)
    rows = [row for at in sorted(found) for row in found[at]]
    return (*rows, *lays, *set_rows(base, only.replace("pattern.json", "")))


def _lays(base: Path, pattern: Path | None, only: str, meant: Sequence[Expected] = ()) -> tuple[Row, ...]:
    """Rows of the lays, if there are any: what reads them is loaded then."""
    if not any(base.glob("lay*.json")) and not (base / "orders.html").exists():
        return ()
    from .lays import lay_rows

    return tuple(lay_rows(base, pattern, only, meant))


@dataclass(frozen=True, slots=True)
class _Task:
    """A part of the reading, the how manyth it is; its rows; and about how long it takes, ms, beside loading."""

    at: int
    path: Path
    how: Reader
    rows: Callable[[], Iterator[Row]]
    takes: float


def _tasks(base: Path, only: str, meant: Meant) -> Iterator[_Task]:
    """Every file with every reader of it, then marks and rules of pattern data."""
    jobs = [found for found in _files(base) if only in ("", "pattern.json", found[0].name)]
    work: list[tuple[Path, Reader, Callable[[], Iterator[Row]]]] = []
    for path, file, how in jobs:
        if not file.with_base:
            work.append((path, how, partial(_rows, path, how, meant)))
    for path, file, how in jobs:
        if how.facts and not file.with_base:
            pieces = meant.of(meant.held(path.name))
            work.append((path, how, partial(mark_rows, path, pieces, meant.title, meant.base)))
    for file, how in ((file, file.readers[0]) for _, file in FILES if file.with_base):
        ruled = (base / file.with_base, base / file.name)
        if any(path in ruled for path, _, _ in jobs):
            work.append((ruled[0], how, partial(rule_rows, *ruled, meant)))
    for at, (path, how, rows) in enumerate(work, start=1):
        yield _Task(at, path, how, rows, how.pace * (path.stat().st_size if path.exists() else 0) / 1000)


def _shared_out(tasks: Sequence[_Task]) -> tuple[list[_Task], list[_Task]]:
    """In two parts that take about as long: the longest first, each to the part that is then done sooner."""
    parts: tuple[list[_Task], list[_Task]] = ([], [])
    done = [0.0, 0.0]
    for task in sorted(tasks, key=lambda task: -(task.takes + task.how.load)):
        would = [
            done[k] + task.takes + (task.how.load if all(t.how.name != task.how.name for t in parts[k]) else 0.0)
            for k in (0, 1)
        ]
        k = 0 if would[0] <= would[1] else 1
        parts[k].append(task)
        done[k] = would[k]
    return parts


def _read_here(task: _Task, of: int, told: Told) -> list[Row]:
    told(f"reading {task.path.name} with {task.how.name}", task.at, of)
    return list(task.rows())


def _plain(rows: Iterable[Row]) -> list[_Plain]:
    """Rows as `marshal` holds them: a number of numpy is made one of Python."""
    return [
        (r.file, r.reader, r.what, None if r.worst is None else float(r.worst), r.limit, r.passed, r.message)
        for r in rows
    ]


def _files(base: Path) -> Iterator[tuple[Path, File, Reader]]:
    """What lies in the folder of the table of formats, with each of its readers."""
    kinds = [(path, file_of(path.name)) for path in sorted(base.iterdir(), key=_by_number)]
    for _, file in FILES:
        for path in (path for path, kind in kinds if kind is file):
            for how in file.readers if not file.with_base or (base / file.with_base).exists() else ():
                if not how.needs or find_spec(how.needs):
                    yield path, file, how


def _by_number(path: Path) -> tuple[int, str]:
    """pattern-10 comes after pattern-9."""
    number = re.search(r"-(\d+)\.\w+$", path.name)
    return (int(number[1]) if number else 0, path.name)


def _rows(path: Path, how: Reader, meant: Meant) -> Iterator[Row]:
    held = meant.held(path.name)
    file = _File(path.name, how, meant.of(held), held, meant.base)
    try:
        drawing, sheet, parts = _plotted(path, held, meant) if how.stream else (_read(path, how, held.sent), None, [])
    except UnreadableError as error:
        yield file.row("the file", None, how.limit, False, f"{path.name} cannot be read: {error}. {_AGAIN}.")
        return
    except Exception as error:  # a library may raise anything on a damaged file
        first = (str(error).splitlines() or [""])[0].replace(str(path), path.name)
        said = re.sub(r"^\S+\.c(pp)?, \d+: ", "", first).strip().rstrip(".")[:200] or type(error).__name__
        yield file.row("the file", None, how.limit, False, f"{how.name} cannot read {path.name}: {said}. {_AGAIN}.")
        return
    laid: list[_Laid] = []
    if drawing.loose and not held.small_block:
        drawing = replace(drawing, squares=squares_by_size(run for run in drawing.loose if not file.is_a_piece(run)))
    if drawing.loose:
        yield from file.loose_pieces_of(drawing, laid, sheet.homes(parts) if sheet is not None else _NO_HOMES)
    else:
        yield from file.pieces_of(file.with_sizes(drawing), laid)
    if sheet is not None:
        yield from file.marks_on_plot(sheet, parts, laid)
    if how.layers:
        yield from file.marks_on_layers(drawing.by_role, laid)
    for fact in drawing.proved:
        said = f"{fact.wrong}. {_AGAIN}, and print nothing from this file." if fact.wrong else fact.right
        yield file.fact(fact.what, not fact.wrong, said)
    if len(laid) > 1 and not how.short_names:  # blocks of pattern data lie on no sheet
        yield file.apart(laid)
    yield from file.words_of(laid)
    if held.nested and how.marks and WORDS not in held.left_out and not drawing.loose:
        yield from file.sizes_told(file.with_sizes(drawing))
    for item in drawing.measured:
        passed = item.worst <= item.limit
        yield file.row(
            item.what, item.worst, item.limit, passed, item.message if passed else f"{item.message}. {_AGAIN}."
        )
    if not held.small_block:
        yield from file.squares_of(drawing)


def _read(path: Path, how: Reader, sent: Sent | None) -> Drawing:
    """The drawing, with undone what was done to it for its device."""
    if sent is not None and how.corrects:
        return checked(function(how.read)(path, sent.correction))
    drawing: Drawing = function(how.read)(path)
    return checked(drawing if sent is None else undone(drawing, sent))


def _plotted(path: Path, held: Held, meant: Meant) -> tuple[Drawing, Drawn, list[tuple[str, int, int]]]:
    """The drawing in a plot, its lines on the sheet, and which of them are drawn of what."""
    plotter, plot = followed_plot(path.read_bytes()), meant.plots.get(path.name)
    drawing = checked(plot_undone(plotter, held.sent) if held.sent is not None else drawing_of(plotter))
    facts = tuple(stream_facts(plotter, plot, held.sent))
    sheet = Drawn(lines_on_sheet(plotter, held.sent or Sent(axis="across")))
    parts = [(part.name, first, last) for part, first, last in spans(plot, held.sent)] if plot else []
    return replace(drawing, proved=(*drawing.proved, *facts)), sheet, parts


def _drawn_in(laid: _Laid, runs: Runs | Sequence[Run]) -> Floats:
    """Straight runs of the file in the coordinates of the piece that is laid there."""
    ends = ends_of(runs)
    return laid.fit.placement.to_pattern(ends.reshape(-1, 2)).reshape(-1, 2, 2)


def _between(first: _Laid, other: _Laid) -> XY:
    """What is added to a point of another size to lay it on the first, in a nest."""
    (ax, ay), (bx, by) = first.piece.shift, other.piece.shift
    return bx - ax, by - ay


def _shifted(points: Sequence[XY], by: XY) -> list[XY]:
    return [(x + by[0], y + by[1]) for x, y in points]


def same_pattern(a: Sequence[float], b: Sequence[float]) -> bool:
    """Whether two line patterns look the same: part for part within a twelfth, for they are fitted to their lines."""
    return len(a) == len(b) and all(abs(x - y) <= max(x, y) / 12 for x, y in zip(a, b, strict=True))


def _sides(points: Sequence[XY]) -> list[float]:
    """The sides of a ring by their length."""
    return sorted(distance(a, b) for a, b in zip(points, (*points[1:], *points[:1]), strict=True))


@dataclass(frozen=True, slots=True)
class _Laid:
    """One piece found: as which shape, and where its cut line lies."""

    piece: Expected
    shape: Shape
    fit: Fit
    runs: Runs
    turned: tuple[Fit, ...] = ()
    """Other turns in which its cut line lies as well."""
    lettering: Runs = ()
    """Where it is drawn whole, by itself."""


@dataclass(frozen=True, slots=True)
class _File:
    """One file being compared."""

    name: str
    how: Reader
    expected: Sequence[Expected]
    held: Held
    base: str

    @property
    def sizes(self) -> tuple[str, ...]:
        return self.held.sizes

    def with_sizes(self, drawing: Drawing) -> Drawing:
        """In a set, with the sizes spelt as pattern.json spells them."""
        if not any(piece.of_set for piece in self.expected):
            return drawing
        names = dict.fromkeys((*drawing.cut, *drawing.stitch, *drawing.marks, *drawing.dashes))
        named = sizes_by_word((name.size for name in names), self.sizes)
        spelt = {name: replace(name, size=named.get(name.size, name.size)) for name in names}
        return replace(
            drawing,
            cut={spelt[name]: runs for name, runs in drawing.cut.items()},
            stitch={spelt[name]: runs for name, runs in drawing.stitch.items()},
            marks={spelt[name]: own for name, own in drawing.marks.items()},
            dashes={spelt[name]: own for name, own in drawing.dashes.items()},
        )

    def is_a_piece(self, run: Run) -> bool:
        """Whether a closed line of four corners is a piece of nearly that shape, and no square of a scale block."""
        if len(run.points) != 4:
            return False
        sides = _sides(run.points)
        if any(abs(a - side) <= _NEAR_SQUARE for side in SQUARES for a in (sides[0], sides[-1])):
            return False
        cuts = (_sides(s.cut.points) for piece in self.expected for s in piece.shapes if len(s.cut.points) == 4)
        return any(max(abs(a - b) for a, b in zip(sides, cut, strict=True)) <= _NEAR_SQUARE for cut in cuts)

    def row(self, what: str, worst: float | None, limit: float, passed: bool, message: str) -> Row:
        return Row(self.name, self.how.name, what, worst, limit, passed, message)

    def fact(self, what: str, holds: bool, message: str) -> Row:
        """Of something that is not measured: 0 where it holds."""
        return self.row(what, 0.0 if holds else None, 0.0, holds, message)

    def pieces_of(self, drawing: Drawing, placed: list[_Laid]) -> Iterator[Row]:
        """Rows of a file that names its pieces; `placed` is told where each lies."""
        names = dict.fromkeys((*drawing.cut, *drawing.stitch))
        meant = {named: pieces_named(named, self.expected, short=self.how.short_names) for named in names}
        held = {(p.name, p.size): named for named, pieces in meant.items() for p in pieces}
        stacked = self.held.nested and all(len(pieces) < 2 for pieces in meant.values())
        if stacked:
            for name in dict.fromkeys(piece.name for piece in self.expected):
                yield from self._stacked(
                    [piece for piece in self.expected if piece.name == name], held, drawing, placed
                )
        for piece in self.expected if not stacked else ():
            named = held.get((piece.name, piece.size))
            if named is None:
                yield from self._all_missing(piece)
            elif len(meant[named]) == 1:
                laid = yield from self._piece(
                    piece, drawing.cut.get(named, ()), drawing.stitch.get(named, ()), drawing.in_tiles
                )
                if laid is not None:
                    marks = drawing.marks.get(named, {})
                    ways = [replace(laid, fit=at) for at in (laid.fit, *laid.turned)]
                    told = [[*self._marks_of(way, marks)] if self.how.marks else [] for way in ways]
                    wrong = [sum(not row.passed for row in rows) for rows in told]
                    best = wrong.index(min(wrong))
                    placed.append(replace(ways[best], lettering=() if drawing.in_tiles else marks.get(WORDS, ())))
                    yield from told[best]
        for named in names:
            if len(meant[named]) > 1:
                yield from self._nest(meant[named], drawing, named)
            elif not meant[named]:
                yield self._unknown(named)
        known = {slug(named.name) for named in names} | {slug(piece.name) for piece in self.expected}
        for named, own in drawing.marks.items():
            if slug(named.name) not in known and any(own.get(role) for role in LINES):
                said = f"marks are drawn for {named.name!r}, which pattern.json does not have. {_AGAIN}."
                yield self.row(f"{named.name}: unknown piece", None, self.how.limit, False, said)

    def _unknown(self, named: Named) -> Row:
        size = f" in size {named.size}" if named.size else ""
        here = " for this file" if any(piece.of_set for piece in self.expected) else ""
        said = f"pattern.json has no piece {named.name!r}{size}{here}; it has {self._known()}. {_AGAIN}."
        return self.row(f"{named.name}: unknown piece", None, self.how.limit, False, said)

    def _marks_of(self, laid: _Laid, drawn: Mapping[str, Runs]) -> Iterator[Row]:
        """A row for each role of the marks of a piece, that are meant or drawn."""
        piece = laid.piece
        meant = piece.meant(laid.shape)
        for role in ROLES:
            runs, marks = drawn.get(role, ()), meant.get(role, ())
            words = piece.marks.words if role == WORDS else ()
            if role in self.held.left_out or not (runs or marks or words):
                continue
            ends = _drawn_in(laid, runs)
            if role == WORDS:
                found = judged_words(ends, [laid.shape.cut.points], words, BESIDE, panel=piece.box is not None)
            else:
                found = judged(role, marks, ends, self.how.limit)
            yield self._mark_row(piece.label, role, found)

    def _mark_row(self, label: str, role: str, found: Judged) -> Row:
        said = f"{found.wrong}. {_AGAIN}." if found.wrong else f"within {found.worst:.3f} mm of pattern.json"
        if role == WORDS and not found.wrong:
            said = "its lettering lies on the piece"
        return self.row(f"{label}: {role}", found.worst, self.how.limit, not found.wrong, said)

    def _stacked_marks(self, stack: Mapping[str, _Laid], named: Mapping[str, Named], drawing: Drawing) -> Iterator[Row]:
        """Marks of a nest: of every size what is its own, and what is drawn once for all of them."""
        first, *_ = stack.values()
        name = next(iter(named.values())).name
        meant = {size: laid.piece.meant(laid.shape, axes=False) for size, laid in stack.items()}
        common = drawing.marks.get(Named(name), {})
        for role in (role for role in LINES if role not in self.held.left_out):
            once = common.get(role, ())
            every = [m.moved(*_between(first, laid)) for size, laid in stack.items() for m in meant[size][role]]
            found = []
            for size, laid in stack.items():
                own = drawing.marks.get(named[size], {}).get(role, ())
                if not (own or once or meant[size][role]):
                    continue
                mine = (*own, *once) if laid is first else own
                found.append((
                    laid.piece.label,
                    judged(
                        role, meant[size][role], _drawn_in(laid, (*own, *once)), self.how.limit,
                        own=_drawn_in(laid, mine), others=every if laid is first else (),
                    ),
                ))  # fmt: skip
            if role == GRAIN and found:  # drawn once, for the base
                found = [min(found, key=lambda pair: (bool(pair[1].wrong), pair[1].worst))]
            for label, one in found:
                yield self._mark_row(label, role, one)
        if WORDS not in self.held.left_out and first.piece.marks.words:
            runs = [run for named_as in (Named(name), *named.values()) for run in
                    drawing.marks.get(named_as, {}).get(WORDS, ())]  # fmt: skip
            room = [_shifted(laid.shape.cut.points, _between(first, laid)) for laid in stack.values()]
            words = judged_words(_drawn_in(first, runs), room, first.piece.marks.words, AROUND)
            yield self._mark_row(first.piece.name, WORDS, words)

    def sizes_told(self, drawing: Drawing) -> Iterator[Row]:
        """Of a nest: whether the sizes are told apart: by line patterns, names beside lines, the key."""
        wrong = ""
        for name in dict.fromkeys(piece.name for piece in self.expected):
            patterns = {
                named.size: dashes for named, dashes in drawing.dashes.items() if slug(named.name) == slug(name)
            }
            for a, b in combinations(patterns, 2):
                if same_pattern(patterns[a], patterns[b]):
                    wrong = wrong or f"sizes {a} and {b} of the {name} are drawn in the same line pattern"
        yield self.fact("line patterns of the sizes", not wrong, wrong and f"{wrong}. {_AGAIN}.")
        lettered = {named.size for named, own in drawing.marks.items() if own.get(WORDS) and named.size in self.sizes}
        nameless = [size for size in self.sizes if size not in lettered]
        wrong = f"no line bears the name of size {', '.join(nameless)}. {_AGAIN}." if nameless else ""
        yield self.fact("names of the sizes", not nameless, wrong)
        if self.held.pieces is None:
            key = [own for named, own in drawing.marks.items() if slug(named.name) == _KEY and own.get(WORDS)]
            wrong = "" if key else f"the key, which line pattern is which size, is not drawn. {_AGAIN}."
            yield self.fact("key of the sizes", not wrong, wrong)

    def words_of(self, laid: Sequence[_Laid]) -> Iterator[Row]:
        """Whether each label reads as it is meant."""
        labels = {
            item.piece.label: lines_of(item.piece.marks.lettered, item.lettering, item.fit.placement.to_pattern)
            for item in laid
            if item.lettering and item.piece.box is None
        }
        for label, wrong in misread(labels):
            said = f"{wrong}. {_AGAIN}." if wrong else "every line of the label is drawn as it reads"
            yield self.fact(f"{label}: words", not wrong, said)

    def apart(self, laid: Sequence[_Laid]) -> Row:
        """Whether no two pieces lie on each other: their cut lines may touch and no more."""
        import shapely

        rings = [shapely.Polygon(item.fit.placement.to_file(_array(item.shape.cut.points))).buffer(0) for item in laid]
        pairs = shapely.STRtree(rings).query(rings, predicate="intersects").T
        worst, a, b = max(
            ((shapely.intersection(rings[a], rings[b]).area, a, b) for a, b in pairs.tolist() if a < b),
            default=(0.0, 0, 0),
        )
        said = "no piece lies on another"
        if worst > _TOUCHING:
            said = f"{laid[a].piece.label} lies on {laid[b].piece.label}, over {worst / 100:.1f} cm². {_AGAIN}."
        return self.fact("pieces apart", worst <= _TOUCHING, said)

    def marks_on_plot(
        self, sheet: Drawn, parts: Sequence[tuple[str, int, int]], laid: Sequence[_Laid]
    ) -> Iterator[Row]:
        """Rows of the marks of each piece, and of what is drawn beside them; `parts`: what is drawn in which lines."""
        tree = sheet.tree()
        found: list[tuple[str, Judged]] = []
        pieces: list[OnSheet] = []
        for item in (item for item in laid if item.piece is not SMALL_BLOCK):
            ways = []
            for fit in (item.fit, *item.turned):
                own = [self._on_sheet(one, at) for one, at in self._sizes_of(replace(item, fit=fit))]
                told = list(mark_facts(own, tree, self.how.limit))
                ways.append((sum(bool(judged.wrong) for _, judged in told), own, told))
            _, own, told = min(ways, key=lambda way: way[0])
            pieces += own
            found += told
        names = {name for name, _, _ in parts}
        named = [replace(item, label=_part_name(item.label, names)) for item in pieces]
        found += strangers(named, parts, sheet, self.how.limit, nested=self.held.nested)
        for what, told_of in found:
            label, _, role = what.rpartition(": ")
            yield self._mark_row(label, role, told_of)

    def marks_on_layers(self, by_role: Mapping[str, Runs], laid: Sequence[_Laid]) -> Iterator[Row]:
        """Rows of the marks of each piece in a file that has a layer for each role."""
        pieces: list[OnSheet] = []
        trees = {role: Drawn([run.points for run in runs]).tree() for role, runs in by_role.items()}
        for item in (item for item in laid if item.piece is not SMALL_BLOCK):
            ways = []
            for fit in (item.fit, *item.turned):
                own = [self._on_sheet(one, at) for one, at in self._sizes_of(replace(item, fit=fit))]
                wrong = 0
                for role, tree in trees.items() if item.turned else ():
                    only = [replace(piece, marks={role: piece.marks.get(role, ())}, stitch=()) for piece in own]
                    wrong += sum(bool(judged.wrong) for _, judged in mark_facts(only, tree, self.how.limit))
                ways.append((wrong, own))
            pieces += min(ways, key=lambda way: way[0])[1]
        for what, told_of in layer_facts(pieces, by_role, self.how.limit):
            label, _, role = what.rpartition(": ")
            yield self._mark_row(label, role, told_of)

    def _sizes_of(self, item: _Laid) -> Iterator[tuple[_Laid, Placement]]:
        """A piece and where it lies; in a nest all sizes of it."""
        if not self.held.nested:
            yield item, item.fit.placement
            return
        at = item.piece.shapes.index(item.shape)
        for piece in self.expected:
            if piece.name == item.piece.name:
                shape = piece.shapes[min(at, len(piece.shapes) - 1)]
                yield replace(item, piece=piece, shape=shape), _on_base(item.fit.placement, piece, item.piece)

    def _on_sheet(self, item: _Laid, place: Placement) -> OnSheet:
        piece, nested = item.piece, self.held.nested
        once = (GRAIN, FOLD)
        roles = [role for role in LINES if role not in self.held.left_out]
        if nested and piece.size != self.base:
            roles = [role for role in roles if role not in once]
        marks = piece.meant(item.shape, axes=not nested)
        letters = sum(not sign.isspace() for words in piece.marks.words for sign in words)
        lettered = not nested and piece.box is None and WORDS not in self.held.left_out
        return OnSheet(
            piece.label, item.shape.cut, piece.seams if self.held.stitch_lines and not nested else (),
            {role: marks[role] for role in roles if role in marks}, place, letters if lettered else 0,
            piece.marks.lettered if lettered else (), piece.box is not None or nested,
            self.held.sent is not None and self.held.sent.knife is not None,
        )  # fmt: skip

    def loose_pieces_of(
        self, drawing: Drawing, placed: list[_Laid], homes: Mapping[str, Box] = _NO_HOMES
    ) -> Iterator[Row]:
        """Rows of a file that names no pieces: each cut line is the closed line that fits it best."""
        squares = {square for found in drawing.squares.values() for square in found}
        closed = tuple(run for run in drawing.loose if run.points not in squares)
        if self.held.nested:
            yield from self._dashed_pieces_of(closed, drawing.strokes, placed, homes)
            return
        laid = self._assigned(self.expected, closed, homes)
        for piece in self.expected:
            if found := laid.get((piece.name, piece.size)):
                placed.append(found)
                yield self._cut_row(found, in_tiles=False)
            else:
                said = f"no closed line in {self.name} has the size of its cut line. {_AGAIN}."
                yield self.row(f"{piece.label}: cut line", None, self.how.limit, False, said)

    def squares_of(self, drawing: Drawing) -> Iterator[Row]:
        """Rows of the scale block."""
        for nominal in SQUARES:
            what, limit = f"scale block: {_SQUARE_NAMES[nominal]}", self.how.scale_limit
            found = drawing.squares.get(nominal, ())
            other = max(len(squares) for squares in drawing.squares.values()) if drawing.squares else 0
            if len(found) < max(1, other):
                said = f"{self.name} has no such square" if not found else f"{self.name} lacks one such square"
                yield self.row(what, None, limit, False, f"{said}. {_AGAIN}.")
                continue
            square = max(found, key=lambda each: worst_of_square(each, nominal))
            worst = worst_of_square(square, nominal)
            passed = worst <= limit + 1e-9
            said = f"sides and diagonals within {worst:.4f} mm of {nominal:g} mm"
            if len(found) > 1:
                said = f"{len(found)} squares: {said}"
            if not passed:
                said = (
                    f"its sides are {mean_side(square):.3f} mm on average, and a side or diagonal is {worst:.3f} mm "
                    f"off; {nominal:g} mm is meant, to {limit:g} mm. {_AGAIN}, and print nothing from this file."
                )
            yield self.row(what, worst, limit, passed, said)

    def _known(self) -> str:
        names = ", ".join(dict.fromkeys(piece.name for piece in self.expected))
        return names if len(self.sizes) < 2 else f"{names}, in sizes {', '.join(self.sizes)}"

    def _all_missing(self, piece: Expected) -> Iterator[Row]:
        yield self._missing(piece, "cut line")
        if self.held.stitch_lines:
            yield self._missing(piece, "stitch line")

    def _stacked(
        self,
        pieces: Sequence[Expected],
        held: Mapping[tuple[str, str], Named],
        drawing: Drawing,
        placed: list[_Laid],
    ) -> Iterator[Row]:
        """The sizes of one piece on each other: the lines of each by themselves, then how the sizes lie together."""
        named = {piece.size: held[piece.name, piece.size] for piece in pieces if (piece.name, piece.size) in held}
        cut = {size: drawing.cut.get(name, ()) for size, name in named.items()}
        drawn = {size: Lines(runs) for size, runs in cut.items()}
        there = [piece for piece in pieces if piece.size in drawn and not drawn[piece.size].empty]
        stacks = self._stacks(there, drawn, cut) if there else []
        stack = min(stacks, key=_off) if stacks else {}
        for piece in pieces:
            if piece.size not in stack:
                yield from self._all_missing(piece)
                continue
            laid = stack[piece.size][1]
            yield self._cut_row(laid, in_tiles=drawing.in_tiles)
            if not self.held.stitch_lines:
                continue
            stitch = drawing.stitch.get(named[piece.size], ())
            sewn = Lines(stitch)
            if sewn.empty:
                yield self._missing(piece, "stitch line")
                continue
            pairs = [(runs, measured(sewn, Lines(runs), laid.fit.placement)) for runs in laid.shape.stitch]
            runs, fit = min(pairs, key=lambda pair: pair[1].worst)
            yield self._line_row(f"{piece.label}: stitch line", fit, runs, stitch, in_tiles=drawing.in_tiles)
        if len(stack) > 1:
            worst, size = max((off, size) for size, (off, _) in stack.items())
            first, limit = next(iter(stack)), self.how.limit
            said = f"every size lies within {worst:.3f} mm of its place on size {first}"
            if worst > limit:
                said = f"size {size} lies {worst:.3f} mm from its place on size {first}, limit {limit:g} mm. {_AGAIN}."
            yield self.row(f"{pieces[0].name}: sizes stacked", worst, limit, worst <= limit, said)
        if stack:
            placed.append(max((laid for _, laid in stack.values()), key=lambda laid: abs(area(laid.shape.cut.points))))
            if self.how.marks:
                near = max(_off(stack), self.how.limit)  # a square lies as well in another turn: its marks tell which
                ways = [s for s in stacks if _off(s) <= near]
                marked = [
                    list(self._stacked_marks({size: laid for size, (_, laid) in way.items()}, named, drawing))
                    for way in ways
                ]
                yield from min(marked, key=lambda rows: sum(not row.passed for row in rows))

    def _stacks(
        self, pieces: Sequence[Expected], drawn: Mapping[str, Lines], cut: Mapping[str, Runs]
    ) -> list[dict[str, tuple[float, _Laid]]]:
        """Every way to lay the base, or the first size there is, and the others in its turn: how far each is off."""
        first = next((piece for piece in pieces if piece.size == self.base), pieces[0])
        ways = [
            (at, fit)
            for at, shape in enumerate(first.shapes)
            if shape in _likely(first.shapes, drawn[first.size])
            for fit in fits_of(drawn[first.size], Lines((shape.cut,)), self.how.turns)
        ]
        best = min(fit.worst for _, fit in ways)
        found = []
        for at, fit in ways:
            if fit.worst > max(self.how.limit, best):
                continue
            stack = {first.size: (0.0, _Laid(first, first.shapes[at], fit, cut[first.size]))}
            for piece in pieces:
                if piece is first:
                    continue
                shape = piece.shapes[min(at, len(piece.shapes) - 1)]
                own = fits_of(drawn[piece.size], Lines((shape.cut,)), (fit.placement.turns,))[0]
                meant = _on_base(fit.placement, piece, first)
                off = hypot(own.placement.dx - meant.dx, own.placement.dy - meant.dy)
                stack[piece.size] = (off, _Laid(piece, shape, own, cut[piece.size]))
            found.append(stack)
        return found

    def _dashed_pieces_of(
        self, closed: Runs, strokes: Runs, placed: list[_Laid], homes: Mapping[str, Box]
    ) -> Iterator[Row]:
        """Rows of a nest without names: each piece is laid by the size that is drawn solid, the others are dashes."""
        names = list(dict.fromkeys(piece.name for piece in self.expected))
        solid = {name: laid for (name, _), laid in self._assigned(self._of_base(), closed, homes).items()}
        for name in names:
            if name not in solid:  # the base is not in this file: any other size may be the solid one
                others = [piece for piece in self.expected if piece.name == name and piece.size != self.base]
                found = self._assigned(others, closed, homes).values()
                if found:
                    solid[name] = min(found, key=lambda laid: laid.fit.worst)
        for name in names:
            pieces = [piece for piece in self.expected if piece.name == name]
            laid = solid.get(name)
            if laid is None:
                for piece in pieces:
                    said = f"no closed line in {self.name} has the size of the {name}, to lay its sizes by. {_AGAIN}."
                    yield self.row(f"{piece.label}: cut line", None, self.how.limit, False, said)
                continue
            laid, lines = self._followed(laid, [piece for piece in pieces if piece is not laid.piece], closed, strokes)
            placed.append(laid)
            for piece in pieces:
                if piece is laid.piece:
                    yield self._cut_row(laid, in_tiles=False)
                else:
                    yield self._dashed_row(piece, laid, lines[piece.size])

    def _of_base(self) -> list[Expected]:
        return [piece for piece in self.expected if piece.size == self.base]

    def _followed(
        self, laid: _Laid, others: Sequence[Expected], closed: Runs, strokes: Runs
    ) -> tuple[_Laid, dict[str, Followed]]:
        """The other sizes where they should lie on the solid one; in that turn of it which suits them best."""
        at = laid.piece.shapes.index(laid.shape)
        fits = fits_of(Lines(laid.runs), Lines((laid.shape.cut,)), self.how.turns)
        tried = []
        for fit in fits:
            if fit.worst > max(self.how.limit, fits[0].worst):
                continue
            meant = {}
            for piece in others:
                place = _on_base(fit.placement, piece, laid.piece)
                cut = piece.shapes[min(at, len(piece.shapes) - 1)].cut
                meant[piece.size] = Run(_points(place, cut), closed=True)
            lines = followed(meant, closed, strokes, self.how.limit) if meant else {}
            tried.append((max((line.worst for line in lines.values()), default=0.0), replace(laid, fit=fit), lines))
        _, best, lines = min(tried, key=lambda t: t[0])
        return best, lines

    def _dashed_row(self, piece: Expected, laid: _Laid, line: Followed) -> Row:
        limit = self.how.limit
        x, y = _back(_on_base(laid.fit.placement, piece, laid.piece), line.at)
        said = f"within {line.worst:.3f} mm of pattern.json, {line.drawn:.0%} of it drawn"
        passed = line.worst <= limit and line.drawn >= LEAST
        if line.worst > limit:
            said = f"{line.worst:.3f} mm off at ({x:.1f}, {y:.1f}) of pattern.json, limit {limit:g} mm. {_AGAIN}."
        elif not passed:
            said = f"only {line.drawn:.0%} of its length is drawn, at least {LEAST:.0%} is meant. {_AGAIN}."
        return self.row(f"{piece.label}: cut line", line.worst, limit, passed, said)

    def _missing(self, piece: Expected, role: str) -> Row:
        said = f"the {role} of {piece.label} is not in {self.name}. {_AGAIN}."
        return self.row(f"{piece.label}: {role}", None, self.how.limit, False, said)

    def _piece(self, piece: Expected, cut: Runs, stitch: Runs, in_tiles: bool) -> Generator[Row, None, _Laid | None]:
        """Cut line, then stitch line in the same place: they must lie right to each other as well. Where it lies."""
        drawn, sewn = Lines(cut), Lines(stitch)
        laid = [
            _Laid(piece, shape, fit, cut)
            for shape in _likely(piece.shapes, drawn)
            for fit in fits_of(drawn, Lines((shape.cut,)), self.how.turns)
        ]
        if not laid:
            yield self._missing(piece, "cut line")
            if self.held.stitch_lines:
                yield self._missing(piece, "stitch line") if sewn.empty else self._stitch_alone(piece, sewn)
            return None
        best = min(item.fit.worst for item in laid)
        close = [item for item in laid if item.fit.worst <= max(self.how.limit, best)]
        if sewn.empty or not self.held.stitch_lines:
            nearest = min(close, key=lambda item: item.fit.worst)
            yield self._cut_row(nearest, in_tiles=in_tiles)
            if self.held.stitch_lines:
                yield self._missing(piece, "stitch line")
            return nearest
        pairs = [
            (item, runs, measured(sewn, Lines(runs), item.fit.placement))
            for item in close
            for runs in item.shape.stitch
        ]
        item, runs, fit = min(pairs, key=lambda pair: pair[2].worst)
        yield self._cut_row(item, in_tiles=in_tiles)
        yield self._line_row(f"{piece.label}: stitch line", fit, runs, stitch, in_tiles=in_tiles)
        near = max(self.how.limit, fit.worst)
        return replace(item, turned=tuple(
            other.fit for other, _, sewn_at in pairs
            if other.shape is item.shape and other is not item and sewn_at.worst <= near
        ))  # fmt: skip

    def _stitch_alone(self, piece: Expected, sewn: Lines) -> Row:
        said = f"its place cannot be judged without the cut line of {piece.label}. {_AGAIN}."
        return self.row(f"{piece.label}: stitch line", None, self.how.limit, False, said)

    def _nest(self, pieces: Sequence[Expected], drawing: Drawing, named: Named) -> Iterator[Row]:
        """Several sizes under one name: each closed cut line by its shape; what cannot be told apart, all together."""
        cut, stitch = drawing.cut.get(named, ()), drawing.stitch.get(named, ())
        closed = tuple(run for run in cut if run.closed)
        if drawing.in_tiles or len(closed) != len(cut):
            shapes = [piece.shapes[0] for piece in pieces]
            whole = fits_of(Lines(cut), Lines(tuple(shape.cut for shape in shapes)), self.how.turns)
            for piece, shape in zip(pieces, shapes, strict=True):
                if not whole:
                    yield self._missing(piece, "cut line")
                    continue
                yield self._line_row(f"{piece.label}: cut line", whole[0], (shape.cut,), cut, in_tiles=True)
            laid = {(p.name, p.size): _Laid(p, s, whole[0], cut) for p, s in zip(pieces, shapes, strict=True) if whole}
        else:
            laid = self._assigned(pieces, closed)
            for piece in pieces:
                found = laid.get((piece.name, piece.size))
                yield self._cut_row(found, in_tiles=False) if found else self._missing(piece, "cut line")
        sewn = Lines(stitch)
        for piece in pieces:
            found = laid.get((piece.name, piece.size))
            if sewn.empty or found is None:
                yield self._missing(piece, "stitch line")
                continue
            near = [self._covered(sewn, Lines(runs), found.fit) for runs in found.shape.stitch]
            fit = min(near, key=lambda f: f.worst)
            yield self._line_row(f"{piece.label}: stitch line", fit, (), stitch, in_tiles=True)

    def _covered(self, drawn: Lines, meant: Lines, fit: Fit) -> Fit:
        """One way only, from what is meant to what is drawn."""
        points = meant.samples()
        far = drawn.off(fit.placement.to_file(points))
        i = int(far.argmax())
        return Fit(float(far[i]), (float(points[i, 0]), float(points[i, 1])), fit.placement)

    def _assigned(
        self, pieces: Sequence[Expected], closed: Runs, homes: Mapping[str, Box] = _NO_HOMES
    ) -> dict[tuple[str, str], _Laid]:
        """Each piece with the closed line that fits it best, no line taken twice; other sizes are not tried.

        Lines of the very size come first; what is then left may be a faulty copy. Of those, a piece that may be drawn
        as its half or whole comes last, since its whole may be alike to another piece, as gores are; pieces that are
        alike are taken in the order of the file. `homes`: where the file is known to have a piece; a line that lies
        there is taken before others.
        """
        boxes = [Box.round(run.points) for run in closed]
        taken: set[int] = set()
        found: dict[tuple[str, str], _Laid] = {}
        for slack, part, limit in ((1.0, 0.0, self.how.limit), (3.0, 0.02, inf)):
            pairs: list[tuple[bool, int, float, int, int, _Laid]] = []
            for p, piece in enumerate(pieces):
                if (piece.name, piece.size) in found:
                    continue
                home = homes.get(piece.label) or homes.get(piece.label.rpartition(", size ")[0])
                for shape in piece.shapes:
                    meant, box = Lines((shape.cut,)), Box.round(shape.cut.points)
                    for r, run in enumerate(closed):
                        if r in taken or not _alike(box, boxes[r], slack, part):
                            continue
                        if (fits := fits_of(Lines((run,)), meant, self.how.turns)) and fits[0].worst <= limit:
                            turned = tuple(fit for fit in fits[1:] if fit.worst <= min(limit, self.how.limit))
                            away = home is not None and not _within(boxes[r], home)
                            laid = _Laid(piece, shape, fits[0], (run,), turned)
                            ways = 0 if part else len(piece.shapes)
                            pairs.append((away, ways, round(fits[0].worst, 3), p, r, laid))
            for _, _, _, _, r, laid in sorted(pairs, key=lambda pair: pair[:5]):
                key = (laid.piece.name, laid.piece.size)
                if key not in found and r not in taken:
                    found[key] = laid
                    taken.add(r)
        return found

    def _cut_row(self, laid: _Laid, *, in_tiles: bool) -> Row:
        what = f"{laid.piece.label}: cut line"
        row = self._line_row(what, laid.fit, (laid.shape.cut,), laid.runs, in_tiles=in_tiles)
        reason = "" if row.passed or laid.fit.worst <= self.how.limit else self._reason(laid)
        return self.row(what, row.worst, row.limit, row.passed, f"{reason}. {_AGAIN}.") if reason else row

    def _line_row(self, what: str, fit: Fit, meant: Runs, drawn: Runs, *, in_tiles: bool) -> Row:
        limit = self.how.limit
        if fit.worst > limit:
            said = f"{fit.worst:.3f} mm off at ({fit.at[0]:.1f}, {fit.at[1]:.1f}) of pattern.json, limit {limit:g} mm"
            return self.row(what, fit.worst, limit, False, f"{said}. {_AGAIN}.")
        # A line that is `limit` too wide all round is about 8 limits longer (four right corners); more is drawn twice.
        long, wanted = (0.0, 0.0) if in_tiles else (length_of(drawn), length_of(meant))
        if abs(long - wanted) > 8 * limit:
            said = (
                f"the drawn line is {long:.1f} mm long, {wanted:.1f} mm is meant: a part is drawn twice or not at all"
            )
            return self.row(what, fit.worst, limit, False, f"{said}. {_AGAIN}.")
        return self.row(what, fit.worst, limit, True, f"within {fit.worst:.3f} mm of pattern.json")

    def _reason(self, laid: _Laid) -> str:
        """What went wrong with a cut line, in words, where it is one of the known mistakes; "" else."""
        drawn, label = Lines(laid.runs), laid.piece.label
        box = drawn.box()

        def as_big(cut: Run) -> bool:
            """Only then can it be the same line; to lay it would take long."""
            return _alike(Box.round(cut.points), box, 1.0, 0.0)

        cut = laid.shape.cut
        turned_over = fits_of(drawn, Lines((mirrored_run(cut),))) if as_big(cut) else ()
        if turned_over and turned_over[0].worst <= self.how.limit:
            return f"{label} is mirrored: it would be cut the wrong way round"
        for other in self.expected:
            if other is laid.piece:
                continue
            for shape in other.shapes:
                fits = fits_of(drawn, Lines((shape.cut,))) if as_big(shape.cut) else ()
                if fits and fits[0].worst <= self.how.limit:
                    return f"what is drawn as {label} is the outline of {other.label}"
        scale = _scale(drawn, Lines((laid.shape.cut,)), laid.fit.placement.turns)
        scaled = Run(tuple((x * scale, y * scale) for x, y in laid.shape.cut.points), closed=True)
        fits = fits_of(drawn, Lines((scaled,))) if scale != 1.0 else ()
        if fits and fits[0].worst <= self.how.limit:
            return f"{label} is drawn at {scale:.2%} of full size, up to {laid.fit.worst:.2f} mm off"
        return ""


def _part_name(label: str, parts: Container[str]) -> str:
    """What a plot calls a piece: without its size, where sizes lie on each other or there is one of them."""
    return label if label in parts else label.rpartition(", size ")[0]


def _likely(shapes: Sequence[Shape], drawn: Lines) -> Sequence[Shape]:
    """Those of about the size of what is drawn (half or whole); all of them, if none is or nothing is drawn."""
    box = None if drawn.empty else drawn.box()
    return [shape for shape in shapes if box and _alike(Box.round(shape.cut.points), box)] or shapes


def _off(stack: Mapping[str, tuple[float, _Laid]]) -> float:
    """How far the sizes are from their places on each other, at most, mm."""
    return max(off for off, _ in stack.values())


def _on_base(base: Placement, piece: Expected, first: Expected) -> Placement:
    """Where a size lies if `first` lies so."""
    (x, y), *_ = base.to_file(_array([(piece.shift[0] - first.shift[0], piece.shift[1] - first.shift[1])]))
    return Placement(base.turns, float(x), float(y))


def _points(place: Placement, run: Run) -> tuple[XY, ...]:
    return tuple((float(x), float(y)) for x, y in place.to_file(_array(run.points)))


def _back(place: Placement, point: XY) -> XY:
    (x, y), *_ = place.to_pattern(_array([point]))
    return float(x), float(y)


def _array(points: Sequence[XY]) -> Floats:
    import numpy as np

    return np.array(points, dtype=np.float64)


def _within(box: Box, other: Box) -> bool:
    """Whether a box lies in another, but for a step of a plotter or so."""
    slack = 0.1
    return (
        box.left >= other.left - slack and box.right <= other.right + slack
        and box.bottom >= other.bottom - slack and box.top <= other.top + slack
    )  # fmt: skip


def _alike(a: Box, b: Box, slack: float = 3.0, part: float = 0.02) -> bool:
    """Whether the bounds are near enough, in either turn, that one may be a faulty copy of the other."""
    near = [abs(x - y) <= slack + part * x for x, y in
            zip((*sorted((a.width, a.height)),), (*sorted((b.width, b.height)),), strict=True)]  # fmt: skip
    return all(near)


def _scale(drawn: Lines, meant: Lines, turns: int) -> float:
    """The scale that both sides of the bounds agree on to 0.05 %; 1 if they do not."""
    box, wanted = drawn.box(), meant.box()
    width, height = (wanted.height, wanted.width) if turns % 2 else (wanted.width, wanted.height)
    if min(width, height) < 1.0:
        return 1.0
    across, up = box.width / width, box.height / height
    same = isfinite(across) and abs(across - up) < 5e-4 and abs(across - 1.0) > 2e-4
    return (across + up) / 2 if same else 1.0
