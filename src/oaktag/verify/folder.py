"""The whole of it: every written file of a folder, read back and compared with pattern.json."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from importlib.util import find_spec
from math import isfinite
from pathlib import Path
from typing import Final

from ..errors import InputError, Where
from .compare import Fit, Lines, fits_of, length_of, measured, mirrored_run
from .drawing import (
    SQUARES,
    Drawing,
    Named,
    Run,
    Runs,
    UnreadableError,
    checked,
    mean_side,
    worst_of_square,
)
from .dxf import read_dxf
from .expected import Expected, Shape, pieces_named, read_expected
from .gdal import read_dxf_with_gdal
from .hpgl import read_hpgl
from .pattern_data import READER, mark_rows, read_own
from .pdf import read_pdf, read_tiled_pdf
from .rows import Row
from .svg import read_svg

_AGAIN: Final = "Write it again with oaktag make"
_SQUARE_NAMES: Final = {100.0: "100 mm square", 101.6: "4 in square"}


@dataclass(frozen=True, slots=True)
class _Format:
    """How one kind of file is read, and how near it must be, mm (contract: tolerances)."""

    reader: str
    read: Callable[[Path], Drawing]
    limit: float = 0.05
    scale_limit: float = 0.001
    turns: tuple[int, ...] = (0, 1, 2, 3)
    short_names: bool = False


_DXF: Final = _Format("ezdxf", read_dxf, turns=(0,), short_names=True)
_GDAL: Final = _Format("GDAL", read_dxf_with_gdal, turns=(0,), short_names=True)
_OWN: Final = _Format(READER, read_own, turns=(0,), short_names=True)
_SVG: Final = _Format("svgelements", read_svg)
_ROLL: Final = _Format("PDFium", read_pdf)
_TILES: Final = _Format("PDFium", read_tiled_pdf)
_HPGL: Final = _Format("HP-GL reader", read_hpgl, limit=0.06, scale_limit=0.025)


def verify(folder: Path) -> tuple[Row, ...]:
    """Every written file of a folder against its pattern.json; or one file against the pattern.json beside it.

    A row for each line of each piece, for each square of the scale block, and for a file that cannot be read.
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
    pieces = read_expected(base / "pattern.json")
    jobs = [(path, how) for path, how in _files(base) if only in ("", "pattern.json", path.name)]
    if not jobs:
        raise InputError(
            "there is nothing to read back" + (" in this file" if only else ""),
            where=Where(str(folder)),
            expected="pattern.dxf, pattern.svg, pattern.plt, pattern-roll.pdf or another pattern-….pdf",
            instead="Run oaktag make JOB -o FOLDER to write them",
        )
    rows = [row for path, how in jobs for row in _rows(path, how, pieces)]
    marks = [row for path, how in jobs if how is _OWN for row in mark_rows(path, base / "pattern.json", pieces)]
    return (*rows, *marks)


def _files(base: Path) -> Iterator[tuple[Path, _Format]]:
    for name, how in (("pattern.dxf", _DXF), ("pattern.dxf", _GDAL), ("pattern.dxf", _OWN), ("pattern.svg", _SVG)):
        if (base / name).exists() and (how is not _GDAL or find_spec("pyogrio")):
            yield base / name, how
    for path in sorted(base.glob("pattern-*.pdf"), key=lambda p: (p.name != "pattern-roll.pdf", p.name)):
        yield path, _ROLL if path.name == "pattern-roll.pdf" else _TILES
    if (base / "pattern.plt").exists():
        yield base / "pattern.plt", _HPGL


def _rows(path: Path, how: _Format, pieces: Sequence[Expected]) -> Iterator[Row]:
    file = _File(path.name, how, pieces)
    try:
        drawing = checked(how.read(path))
    except UnreadableError as error:
        yield file.row("the file", None, how.limit, False, f"{path.name} cannot be read: {error}. {_AGAIN}.")
        return
    except Exception as error:  # a library may raise anything on a damaged file
        first = (str(error).splitlines() or [""])[0].replace(str(path), path.name)
        said = re.sub(r"^\S+\.c(pp)?, \d+: ", "", first).strip().rstrip(".")[:200] or type(error).__name__
        yield file.row("the file", None, how.limit, False, f"{how.reader} cannot read {path.name}: {said}. {_AGAIN}.")
        return
    yield from file.pieces_of(drawing) if not drawing.loose else file.loose_pieces_of(drawing)
    for item in drawing.measured:
        passed = item.worst <= item.limit
        yield file.row(
            item.what, item.worst, item.limit, passed, item.message if passed else f"{item.message}. {_AGAIN}."
        )
    yield from file.squares_of(drawing)


@dataclass(frozen=True, slots=True)
class _Laid:
    """One piece found: as which shape, and where its cut line lies."""

    piece: Expected
    shape: Shape
    fit: Fit
    runs: Runs


@dataclass(frozen=True, slots=True)
class _File:
    """One file being compared."""

    name: str
    how: _Format
    expected: Sequence[Expected]

    def row(self, what: str, worst: float | None, limit: float, passed: bool, message: str) -> Row:
        return Row(self.name, self.how.reader, what, worst, limit, passed, message)

    def pieces_of(self, drawing: Drawing) -> Iterator[Row]:
        """Rows of a file that names its pieces."""
        names = dict.fromkeys((*drawing.cut, *drawing.stitch))
        meant = {named: pieces_named(named, self.expected, short=self.how.short_names) for named in names}
        held = {(p.name, p.size): named for named, pieces in meant.items() for p in pieces}
        for piece in self.expected:
            named = held.get((piece.name, piece.size))
            if named is None:
                yield self._missing(piece, "cut line")
                yield self._missing(piece, "stitch line")
            elif len(meant[named]) == 1:
                yield from self._piece(
                    piece, drawing.cut.get(named, ()), drawing.stitch.get(named, ()), drawing.in_tiles
                )
        for named in names:
            if len(meant[named]) > 1:
                yield from self._nest(meant[named], drawing, named)
            elif not meant[named]:
                size = f" in size {named.size}" if named.size else ""
                said = f"pattern.json has no piece {named.name!r}{size}; it has {self._known()}. {_AGAIN}."
                yield self.row(f"{named.name}: unknown piece", None, self.how.limit, False, said)

    def loose_pieces_of(self, drawing: Drawing) -> Iterator[Row]:
        """Rows of a file that names no pieces: each cut line is the closed line that fits it best."""
        squares = set(drawing.squares.values())
        laid = self._assigned(self.expected, tuple(run for run in drawing.loose if run.points not in squares))
        for piece in self.expected:
            if found := laid.get((piece.name, piece.size)):
                yield self._cut_row(found, in_tiles=False)
            else:
                said = f"no closed line in {self.name} has the size of its cut line. {_AGAIN}."
                yield self.row(f"{piece.label}: cut line", None, self.how.limit, False, said)

    def squares_of(self, drawing: Drawing) -> Iterator[Row]:
        """Rows of the scale block."""
        for nominal in SQUARES:
            what, limit = f"scale block: {_SQUARE_NAMES[nominal]}", self.how.scale_limit
            square = drawing.squares.get(nominal)
            if square is None:
                yield self.row(what, None, limit, False, f"{self.name} has no such square. {_AGAIN}.")
                continue
            worst = worst_of_square(square, nominal)
            passed = worst <= limit + 1e-9
            said = f"sides and diagonals within {worst:.4f} mm of {nominal:g} mm"
            if not passed:
                said = (
                    f"its sides are {mean_side(square):.3f} mm on average, and a side or diagonal is {worst:.3f} mm "
                    f"off; {nominal:g} mm is meant, to {limit:g} mm. {_AGAIN}, and print nothing from this file."
                )
            yield self.row(what, worst, limit, passed, said)

    def _known(self) -> str:
        return ", ".join(dict.fromkeys(piece.name for piece in self.expected))

    def _missing(self, piece: Expected, role: str) -> Row:
        said = f"the {role} of {piece.label} is not in {self.name}. {_AGAIN}."
        return self.row(f"{piece.label}: {role}", None, self.how.limit, False, said)

    def _piece(self, piece: Expected, cut: Runs, stitch: Runs, in_tiles: bool) -> Iterator[Row]:
        """Cut line, then stitch line in the same place: they must lie right to each other as well."""
        drawn, sewn = Lines(cut), Lines(stitch)
        laid = [
            _Laid(piece, shape, fit, cut)
            for shape in piece.shapes
            for fit in fits_of(drawn, Lines((shape.cut,)), self.how.turns)
        ]
        if not laid:
            yield self._missing(piece, "cut line")
            yield self._missing(piece, "stitch line") if sewn.empty else self._stitch_alone(piece, sewn)
            return
        best = min(item.fit.worst for item in laid)
        close = [item for item in laid if item.fit.worst <= max(self.how.limit, best)]
        if sewn.empty:
            yield self._cut_row(min(close, key=lambda item: item.fit.worst), in_tiles=in_tiles)
            yield self._missing(piece, "stitch line")
            return
        pairs = [
            (item, runs, measured(sewn, Lines(runs), item.fit.placement))
            for item in close
            for runs in item.shape.stitch
        ]
        item, runs, fit = min(pairs, key=lambda pair: pair[2].worst)
        yield self._cut_row(item, in_tiles=in_tiles)
        yield self._line_row(f"{piece.label}: stitch line", fit, runs, stitch, in_tiles=in_tiles)

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
        far, _ = drawn.nearest(fit.placement.to_file(points))
        i = int(far.argmax())
        return Fit(float(far[i]), (float(points[i, 0]), float(points[i, 1])), fit.placement)

    def _assigned(self, pieces: Sequence[Expected], closed: Runs) -> dict[tuple[str, str], _Laid]:
        """Each piece with the closed line that fits it best, no line taken twice; other sizes are not tried."""
        pairs: list[tuple[float, int, int, _Laid]] = []
        boxes = [Lines((run,)) for run in closed]
        for p, piece in enumerate(pieces):
            for shape in piece.shapes:
                meant = Lines((shape.cut,))
                for r, drawn in enumerate(boxes):
                    if _alike(meant, drawn) and (fits := fits_of(drawn, meant, self.how.turns)):
                        pairs.append((fits[0].worst, p, r, _Laid(piece, shape, fits[0], (closed[r],))))
        taken: set[int] = set()
        found: dict[tuple[str, str], _Laid] = {}
        for _, _, r, laid in sorted(pairs, key=lambda pair: pair[:3]):
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
        turned_over = fits_of(drawn, Lines((mirrored_run(laid.shape.cut),)))
        if turned_over and turned_over[0].worst <= self.how.limit:
            return f"{label} is mirrored: it would be cut the wrong way round"
        for other in self.expected:
            if other is laid.piece:
                continue
            for shape in other.shapes:
                fits = fits_of(drawn, Lines((shape.cut,)))
                if fits and fits[0].worst <= self.how.limit:
                    return f"what is drawn as {label} is the outline of {other.label}"
        scale = _scale(drawn, Lines((laid.shape.cut,)), laid.fit.placement.turns)
        scaled = Run(tuple((x * scale, y * scale) for x, y in laid.shape.cut.points), closed=True)
        fits = fits_of(drawn, Lines((scaled,))) if scale != 1.0 else ()
        if fits and fits[0].worst <= self.how.limit:
            return f"{label} is drawn at {scale:.2%} of full size, up to {laid.fit.worst:.2f} mm off"
        return ""


def _alike(meant: Lines, drawn: Lines) -> bool:
    """Whether the bounds are near enough, in either turn, that one may be a faulty copy of the other."""
    a, b = meant.box(), drawn.box()
    near = [abs(x - y) <= 3.0 + 0.02 * x for x, y in
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
