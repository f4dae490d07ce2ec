"""The files of a roll, read back: roll.json against the orders that are kept with it, every cut line, mark and code
where roll.json says that it lies, and whether the pieces can be cut apart.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from hashlib import file_digest
from math import hypot, inf
from pathlib import Path
from typing import Any, Final

from ..errors import InputError
from ..formats import FORMATS, Format, Reader, function
from ..geometry.point import XY
from ..geometry.polygon import distance_to_line
from ..values import dataclass, replace
from .compare import Placement
from .drawing import Drawing, Run, mean_side, slug
from .expected import Expected, Source, plots_held, read_expected, sent_of
from .hpgl import Plotter, followed
from .lay_marks import lay_mark_facts
from .lays import SQUARE_NAMES, Placed, flat_runs, laid_in, laid_over_pages, unread
from .marks import Judged
from .plot_marks import STITCH, Drawn, OnSheet, mark_facts
from .plots import PlotHeld, stream_facts
from .rows import Row
from .sent import Sent, lines_on_sheet, plot_undone, undone

ROLL: Final = "roll.json"
HEAD: Final = "head-of-the-roll"
"""The figure of the words where a roll begins."""
_NEAR: Final = 0.02
"""roll.json has lines to 0.001 mm and matrices to six digits."""
_AGAIN: Final = "Make the roll again with oaktag roll"
_OWN: Final = "own reader"
_CODE: Final = "code"
_JUDGE: Final = "judge"
_CENTRE: Final = 0.25
"""mm: the middle of a dark module is nearer to a line that fills it, that of a light one is not."""
_MODULES: Final = (0.4, 2.0)
"""mm, of the sides of modules that a scanner reads."""
_FARTHEST: Final = 1e6


def roll_rows(folder: Path, only: str = "") -> Iterator[Row]:
    """Rows of roll.json, then of each file of the roll; `only` names one file."""
    path = folder / ROLL
    try:
        roll = _read(path)
    except InputError as error:
        yield _told(ROLL, "the file", f"{ROLL} cannot be read: {error.found}")
        return
    except (OSError, ValueError, ArithmeticError, LookupError, TypeError, AttributeError, RecursionError) as error:
        yield _told(ROLL, "the file", f"{ROLL} cannot be read: {error!r}"[:200])
        return
    if only in ("", ROLL):
        yield from _own_rows(folder, roll)
    for number, length in enumerate(roll.lengths, start=1):
        pieces = [piece for piece in roll.pieces if piece.length == number]
        for row in length.files:
            file = folder / row.name
            if file.is_file() and only in ("", file.name):
                yield from _file_rows(file, row, pieces, roll)


@dataclass(frozen=True, slots=True)
class _Code:
    text: str
    module: float
    matrix: tuple[float, ...]
    inside: bool


@dataclass(frozen=True, slots=True)
class _Piece:
    """One piece of roll.json."""

    number: int
    order: str
    name: str
    size: str
    part: int
    parts: int
    length: int
    matrix: tuple[float, ...]
    rings: tuple[tuple[XY, ...], ...]
    outline: tuple[XY, ...]
    code: _Code

    @property
    def words(self) -> str:
        return f"{self.number}, {self.order} {self.name}{f' {self.size}' if self.size else ''}"


@dataclass(frozen=True, slots=True)
class _File:
    name: str
    form: Format
    how: Reader
    sent: Sent | None
    left_out: tuple[str, ...] = ()
    """Roles that its device has no pen for."""


@dataclass(frozen=True, slots=True)
class _Length:
    width: float
    long: float
    files: tuple[_File, ...]


@dataclass(frozen=True, slots=True)
class _Roll:
    of: int
    gap: float
    pieces: tuple[_Piece, ...]
    lengths: tuple[_Length, ...]
    orders: Mapping[str, str]
    """SHA-256 of the pattern.json of each."""
    patterns: Mapping[str, Mapping[tuple[str, str], Expected]]
    """The pieces of each order by name and size; of a copy that is not as it was, none."""
    sums: Mapping[str, str]
    plots: Mapping[str, PlotHeld]


def _read(path: Path) -> _Roll:
    data = json.loads(path.read_bytes())
    orders = {_plain(str(row["order"])): str(row["sha256"]) for row in data["orders"]}
    sums = {_plain(str(row["file"])): str(row["sha256"]) for row in data["files"]}
    patterns = {name: _pattern(path.parent / f"orders/{name}.json", told) for name, told in orders.items()}
    source = Source(data, str(path), "")
    return _Roll(
        int(data["of"]), _number(data["gap"]), tuple(map(_piece, data["pieces"])),
        tuple(_Length(_number(row["width"]), _number(row["long"]),
                      tuple(_file(Source(one, str(path), "lengths")) for one in row["files"]))
              for row in data["lengths"]),
        orders, patterns, sums, plots_held(source),
    )  # fmt: skip


def _plain(name: str) -> str:
    if not re.fullmatch(r"(?:orders/)?[^/\\\0]{1,200}", name) or name in (".", ".."):
        raise ValueError(f"{name!r} is no file of a roll")
    return name


def _number(value: Any) -> float:
    number = float(value)
    if not abs(number) <= _FARTHEST:
        raise ValueError(f"{number:g} lies on no roll")
    return number


def _ring(points: Any) -> tuple[XY, ...]:
    ring = tuple((_number(x), _number(y)) for x, y in points)
    if len(ring) < 3:
        raise ValueError("a line round a piece has less than three points")
    return ring


def _six(row: Any) -> tuple[float, ...]:
    six = tuple(map(_number, row))
    if len(six) != 6:
        raise ValueError("a matrix has six numbers")
    return six


def _piece(row: Any) -> _Piece:
    code = row["code"]
    return _Piece(
        int(row["number"]), str(row["order"]), str(row["piece"]), str(row["size"]),
        int(row.get("part", 1)), int(row.get("parts", 1)), int(row["length"]), _six(row["matrix"]),
        tuple(map(_ring, row["cut_lines"])), _ring(row["outline"]),
        _Code(str(code["text"]), _number(code["module"]), _six(code["matrix"]), code["stands"] == "inside"),
    )  # fmt: skip


def _file(row: Source) -> _File:
    forms = {form.word: form for form in FORMATS}
    form = forms[row.one_of("format", tuple(forms))]
    how = form.lay_reader
    if how is None:
        raise ValueError(f"there is no reader of {form.word}")
    sent = sent_of(row.part("sent")) if row.has("sent") else None
    left_out = tuple(role.words() for role in row.parts("left_out")) if row.has("left_out") else ()
    return _File(_plain(row.text("file")), form, how, sent, left_out)


def _pattern(path: Path, told: str) -> dict[tuple[str, str], Expected]:
    if not path.is_file() or _sum(path) != told:
        return {}
    meant = read_expected(path)
    several = len(meant.sizes) > 1
    return {(piece.name, piece.size if several else ""): piece for piece in meant.pieces}


def _sum(path: Path) -> str:
    with path.open("rb") as file:
        return file_digest(file, "sha256").hexdigest()


def _told(file: str, what: str, wrong: str, reader: str = _OWN, right: str = "") -> Row:
    """A row of what is not measured; 0 where nothing is wrong."""
    return Row(file, reader, what, None if wrong else 0.0, _NEAR, not wrong, f"{wrong}. {_AGAIN}." if wrong else right)


def _row(file: str, reader: str, what: str, worst: float | None, limit: float) -> Row:
    held = worst is not None and worst <= limit
    said = "was not found" if worst is None else f"is {worst:.3f} mm off; at most {limit:g} mm is allowed"
    return Row(file, reader, what, worst, limit, held, "" if held else f"{what} {said}. {_AGAIN}.")


# ---- roll.json itself


def _own_rows(folder: Path, roll: _Roll) -> Iterator[Row]:
    yield _told(ROLL, "the files are of this roll", next(_wrong_files(folder, roll), ""), "SHA-256",
                f"{len(roll.sums)} files are those that were written with it")  # fmt: skip
    yield _row(ROLL, _OWN, f"{len(roll.pieces)} pieces as their orders have them", _off_orders(roll), _NEAR)
    yield _told(ROLL, "its cut list", next(_wrong_list(roll), ""), _OWN, "every piece once, with a number of its own")
    yield _told(ROLL, "what its codes say", next(_wrong_codes(roll), ""), _OWN, "order, piece, size and set of each")
    yield _told(ROLL, "it can be cut", next(_wrong_places(roll), ""), _JUDGE,
                "pieces apart from each other and on the paper, each code within its own")  # fmt: skip


def _wrong_files(folder: Path, roll: _Roll) -> Iterator[str]:
    for name, told in roll.sums.items():
        path = folder / name
        if not path.is_file():
            yield f"{name} is not there"
        elif _sum(path) != told:
            yield f"{name} is not the file that was written with {ROLL}: it is of another roll, or was changed since"
    for name, told in roll.orders.items():
        if roll.sums.get(f"orders/{name}.json") != told:
            yield f"the order {name} is told to be of another pattern than orders/{name}.json"


def _off_orders(roll: _Roll) -> float:
    """How far the cut lines of pattern.json are off those of roll.json, moved there; of a piece in parts each part lies
    on the cut line or in the piece."""
    import shapely

    worst = 0.0
    for piece in roll.pieces:
        known = roll.patterns.get(piece.order, {}).get((piece.name, piece.size))
        if known is None:
            return inf
        ring = [_moved(piece.matrix, p) for p in known.shapes[0].cut.points]
        if piece.parts == 1:
            if len(piece.rings) != 1:
                return inf
            worst = max(worst, _apart(ring, piece.rings[0]))
        else:
            whole = shapely.Polygon(ring).buffer(_NEAR)
            outside = [shapely.Polygon(part).difference(whole).area for part in piece.rings]
            worst = max(worst, *outside)
    return worst


def _apart(ring: Sequence[XY], other: Sequence[XY]) -> float:
    if len(ring) == len(other):
        apart = max(hypot(ax - bx, ay - by) for (ax, ay), (bx, by) in zip(ring, other, strict=True))
        if apart <= _NEAR:
            return apart
    ways = ((ring, [*other, other[0]]), (other, [*ring, ring[0]]))
    return max(distance_to_line(p, closed) for points, closed in ways for p in points)


def _moved(matrix: Sequence[float], p: XY) -> XY:
    xx, xy, yx, yy, dx, dy = matrix
    return xx * p[0] + xy * p[1] + dx, yx * p[0] + yy * p[1] + dy


def _wrong_list(roll: _Roll) -> Iterator[str]:
    numbers = [piece.number for piece in roll.pieces]
    keys = [(piece.order, piece.name, piece.size, piece.part) for piece in roll.pieces]
    if len(set(numbers)) < len(numbers) or not all(1 <= number <= roll.of for number in numbers):
        yield "a number comes twice, or is none of its cut list"
    if len(set(keys)) < len(keys):
        yield "a piece comes twice"
    if len(keys) == roll.of:
        if numbers != sorted(numbers):
            yield "the pieces are not in the order of their numbers"
        held = {(order, name, size) for order, name, size, _ in keys}
        for order, known in roll.patterns.items():
            sizes = {size for own, _, size in held if own == order}
            lacking = [name for name, size in known if size in sizes and (order, name, size) not in held]
            if lacking:
                yield f"{lacking[0]} of {order} is not in it"


def _wrong_codes(roll: _Roll) -> Iterator[str]:
    for piece in roll.pieces:
        if not piece.code.text:
            continue
        words = ("_".join(word.split()) or "-" for word in (piece.order, piece.name, piece.size))
        meant = " ".join((*words, roll.orders.get(piece.order, "")[:8]))
        if piece.code.text != meant:
            yield f"the code of {piece.words} says {piece.code.text!r}, {meant!r} is meant"
        low, high = _MODULES
        if not low <= piece.code.module <= high:
            yield f"the squares of the code of {piece.words} are {piece.code.module:g} mm wide"


def _wrong_places(roll: _Roll) -> Iterator[str]:
    import shapely

    for number, length in enumerate(roll.lengths, start=1):
        own = [piece for piece in roll.pieces if piece.length == number]
        shapes: list[Any] = [shapely.Polygon(piece.outline) for piece in own]
        paper = shapely.box(0.0, 0.0, length.width, length.long).buffer(_NEAR)
        tree = shapely.STRtree(shapes)
        for i, (piece, shape) in enumerate(zip(own, shapes, strict=True)):
            if not paper.contains(shape):
                yield f"{piece.words} leaves the paper"
            for j in tree.query(shape.buffer(roll.gap)):
                if j > i and shape.distance(shapes[j]) < roll.gap - _NEAR:
                    apart = shape.distance(shapes[j])
                    yield f"{piece.words} and {own[j].words} are {apart:.2f} mm apart, {roll.gap:g} mm are meant"
            cut = shapely.union_all([shapely.Polygon(ring) for ring in piece.rings])
            if not shape.buffer(_NEAR).contains(cut):
                yield f"{piece.words} is larger than the room that is told"
            if piece.code.text:
                side = len(_matrix(piece.code.text)) * piece.code.module
                corners = ((0.0, 0.0), (side, 0.0), (side, side), (0.0, side))
                square = shapely.Polygon([_moved(piece.code.matrix, p) for p in corners])
                if not (cut if piece.code.inside else shape).buffer(_NEAR).contains(square):
                    yield f"the code of {piece.words} does not lie on it"


def _matrix(text: str) -> list[list[bool]]:
    """The modules of a code, rows from the top (ISO/IEC 18004, by segno)."""
    import segno

    rows = segno.make(text, error="m", micro=False, boost_error=False).matrix
    return [[bool(cell) for cell in row] for row in rows]


# ---- the files


def _file_rows(file: Path, row: _File, pieces: Sequence[_Piece], roll: _Roll) -> Iterator[Row]:
    how = row.how
    plotter = None
    try:
        if how.stream:
            plotter = followed(file.read_bytes())
        drawing = _drawing(file, row, plotter, roll.plots.get(file.name))
    except Exception as error:  # a library may raise anything on a damaged file
        yield unread(file, how, error)
        return
    rings = [ring for piece in pieces for ring in _with_kerf(piece, row.sent)]
    runs = [run for group in (*drawing.cut.values(), (drawing.loose,)) for run in flat_runs(group) if run.closed]
    laid = laid_over_pages(drawing, rings) if drawing.in_tiles else laid_in(runs, rings)
    yield _row(file.name, how.name, f"{len(rings)} cut lines", laid.worst if laid is not None else None, how.limit)
    for fact in drawing.proved:
        yield _told(file.name, fact.what, fact.wrong, how.name, fact.right)
    if laid is not None and _CODE not in row.left_out:
        lines = drawing.codes or drawing.strokes
        yield _told(file.name, "codes", next(_unlike(pieces, lines, laid), ""), how.name,
                    f"every square of {len(pieces)} codes dark or light as it is meant")  # fmt: skip
    if laid is not None and drawing.marks and all(piece.parts == 1 for piece in pieces):
        yield from _mark_rows(file.name, how, drawing, pieces, roll, laid)
    if laid is not None and plotter is not None:
        yield from _plot_mark_rows(file.name, row, plotter, pieces, roll, laid)
    for side, words in SQUARE_NAMES.items():
        worst = max((abs(mean_side(square) - side) for square in drawing.squares.get(side, ())), default=None)
        yield _row(file.name, how.name, words, worst, how.limit)


def _drawing(file: Path, row: _File, plotter: Plotter | None, plot: PlotHeld | None) -> Drawing:
    """The drawing, with undone what was done to it for its device."""
    if plotter is not None:
        drawing = plot_undone(plotter, row.sent or Sent())
        return replace(drawing, proved=(*drawing.proved, *stream_facts(plotter, plot, row.sent)))
    found: Drawing = function(row.how.read)(file)
    return found if row.sent is None else undone(found, row.sent)


def _with_kerf(piece: _Piece, sent: Sent | None) -> Iterator[tuple[XY, ...]]:
    """Its cut lines; where a beam takes something away, moved out by half of that."""
    import shapely

    if sent is None or not sent.kerf:
        yield from piece.rings
        return
    for ring in piece.rings:
        grown = shapely.Polygon(ring).buffer(sent.kerf / 2, join_style="mitre", mitre_limit=10)
        yield tuple((float(x), float(y)) for x, y in grown.exterior.coords[:-1])


def _unlike(pieces: Sequence[_Piece], lines: Sequence[Run], laid: Placed) -> Iterator[str]:
    """Codes of which a square is not as it is meant, by the lines that are drawn; as the file has them on the roll."""
    import numpy as np
    import shapely

    drawn = [shapely.LineString([laid.to_lay(p) for p in run.points]) for run in lines if len(run.points) > 1]
    if not drawn:
        if any(piece.code.text for piece in pieces):
            yield "there are none"
        return
    tree = shapely.STRtree(drawn)
    for piece in pieces:
        if not piece.code.text:
            continue
        rows, side = _matrix(piece.code.text), piece.code.module
        middles = [
            _moved(piece.code.matrix, ((column + 0.5) * side, (len(rows) - row - 0.5) * side))
            for row in range(len(rows))
            for column in range(len(rows))
        ]
        found = tree.query(shapely.points(middles), predicate="dwithin", distance=_CENTRE)[0]
        dark = np.zeros(len(middles), dtype=bool)
        dark[found] = True
        meant = np.array([cell for row in rows for cell in row])
        off = int((dark != meant).sum())
        if off:
            yield f"{off} squares of the code of {piece.words} are not as they are meant"


def _plot_mark_rows(
    file: str, row: _File, plotter: Plotter, pieces: Sequence[_Piece], roll: _Roll, laid: Placed
) -> Iterator[Row]:
    """Each role of the marks of all whole pieces, and their stitch lines, looked for in all that is drawn."""
    import numpy as np
    import shapely

    sent = row.sent or Sent()
    ends = Drawn(lines_on_sheet(plotter, sent)).ends
    for _ in range(laid.turns):
        ends = np.stack((-ends[..., 1], ends[..., 0]), axis=-1)
    ends = ends + np.array(laid.shift)
    tree = shapely.STRtree(shapely.linestrings(ends)), ends
    on_sheet = []
    for piece in pieces:
        known = roll.patterns.get(piece.order, {}).get((piece.name, piece.size))
        if known is None or piece.parts > 1:
            continue
        shape = known.shapes[0]
        marks = {role: own for role, own in known.meant(shape).items() if role not in row.left_out}
        stitch = () if STITCH in row.left_out else known.seams
        turns, (dx, dy) = _quarters(piece.matrix), piece.matrix[4:]
        tabs = sent.knife is not None and sent.knife[2] > 0
        on_sheet.append(OnSheet(piece.words, shape.cut, stitch, marks, Placement(turns, dx, dy), tabs=tabs))
    told: dict[str, list[Judged]] = {}
    for what, found in mark_facts(on_sheet, tree, row.how.limit):
        told.setdefault(what.rpartition(": ")[2], []).append(found)
    for role, own in told.items():
        wrong = next((found.wrong for found in own if found.wrong), "")
        worst = max(found.worst for found in own)
        said = f"{wrong}. {_AGAIN}." if wrong else ""
        yield Row(file, row.how.name, role, worst, row.how.limit, not wrong, said)


def _quarters(matrix: Sequence[float]) -> int:
    """Quarter turns counter-clockwise of a matrix."""
    return next(
        (
            n
            for n, way in enumerate(((1, 0), (0, 1), (-1, 0), (0, -1)))
            if hypot(matrix[0] - way[0], matrix[2] - way[1]) < 1e-3
        ),
        0,
    )


def _mark_rows(
    file: str, how: Reader, drawing: Drawing, pieces: Sequence[_Piece], roll: _Roll, laid: Placed
) -> Iterator[Row]:
    """Each role of the marks of all pieces together; then their names."""
    known = {
        (f"{order}/{name}", size): piece for order, own in roll.patterns.items() for (name, size), piece in own.items()
    }
    placed = [
        {"piece": f"{piece.order}/{piece.name}", "size": piece.size, "unfolded": False, "on_fold": True,
         "matrix": piece.matrix}
        for piece in pieces
    ]  # fmt: skip
    lay = {"stretches": [{"length": 0.0, "placements": placed}]}
    own = replace(drawing, marks={named: held for named, held in drawing.marks.items() if slug(named.name) != HEAD})
    outlines = [piece.outline for piece in pieces]
    for what, found in lay_mark_facts(lay, own, known, outlines, laid.to_lay, how.limit):
        said = f"{found.wrong}. {_AGAIN}." if found.wrong else ""
        yield Row(file, how.name, what, found.worst, how.limit, not found.wrong, said)
