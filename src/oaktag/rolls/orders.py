"""Orders: made folders, read as far as their pieces are drawn and cut. Nothing is drafted again."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from hashlib import sha256
from itertools import pairwise
from pathlib import Path
from typing import Any, Final

from ..errors import InputError, InputErrors, Where
from ..geometry.curve import Line
from ..geometry.point import XY, Point, along
from ..lay.words import KEYS, Asked, asked_of
from ..model.draft import Draft
from ..model.nest import Nest
from ..model.pattern import CutPiece, Label, MarkedPiece, Notch, Pattern
from ..model.piece import Cut, Dart, Edge, EdgeKind, InternalLine, LineKind, NotchKind, Piece
from ..sheet.drawing import label_box, way_of
from ..units import UNITS, Unit
from ..values import dataclass
from ..verify.expected import Source, pattern_data, refuse_newer
from ..verify.together import stray_files

PATTERN: Final = "pattern.json"
_USUAL: Final = "-pattern"
"""How `oaktag make` calls a folder after its job."""
_LENGTH: Final = 60
_DIGITS: Final = 8
_LARGEST: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class Order:
    """One made folder. `data` is its pattern.json, byte for byte; `cloth` what its job says below [cloth]."""

    name: str
    title: str
    data: bytes
    nest: Nest
    unit: Unit | None = None
    cloth: Mapping[str, Any] | None = None

    @property
    def digest(self) -> str:
        """SHA-256 of pattern.json (FIPS 180-4)."""
        return sha256(self.data).hexdigest()

    @property
    def mark(self) -> str:
        """The first digits of it, as they stand in a code."""
        return self.digest[:_DIGITS]

    @property
    def several(self) -> bool:
        """Whether it is a set of sizes."""
        return len(self.nest.sizes) > 1


def name_of(folder: Path) -> str:
    """An order is called as its folder, without what `make` adds, and without blanks.

    >>> name_of(Path("made/alto-3-pattern")), name_of(Path("made/alto 3")), name_of(Path("-pattern"))
    ('alto-3', 'alto-3', '-pattern')
    """
    told = folder.resolve().name
    return "-".join((told.removesuffix(_USUAL) or told).split())


def read_orders(folders: Sequence[Path], sizes: Sequence[str] = ()) -> tuple[Order, ...]:
    """The orders, in the order of their folders; of sets only some `sizes`, if they are named.

    Raises InputErrors with everything that is wrong with any of them: then nothing is drawn.
    """
    errors: list[InputError] = []
    found: dict[str, tuple[Order, Path]] = {}
    for folder in folders:
        try:
            order = read_order(folder, sizes)
            if order.name in found:
                raise InputError(
                    f"an order is called {order.name}, and so is that in {found[order.name][1]}",
                    where=Where(str(folder)), expected="a name for each order: that of its folder",
                    instead="Rename one of the two folders",
                )  # fmt: skip
            found[order.name] = order, folder
        except InputError as error:
            errors.append(error)
    if len(errors) == 1:
        raise errors[0]
    if errors:
        raise InputErrors(errors)
    orders = tuple(order for order, _ in found.values())
    for size in sizes:
        if not any(order.several and size in order.nest.sizes for order in orders):
            raise InputError(f"--size {size}: none of the orders is a set that has it")
    return orders


def read_order(folder: Path, sizes: Sequence[str] = ()) -> Order:
    """One folder. Raises InputError for what is none, was changed since it was made, or is of a newer Oaktag."""
    where = Where(str(folder))
    if not folder.is_dir():
        raise InputError(
            "there is no such folder" if not folder.exists() else "it is a file", where=where,
            expected="a folder that oaktag make has written", instead="Run oaktag make JOB -o FOLDER first",
        )  # fmt: skip
    name = name_of(folder)
    if not name.isprintable() or len(name) > _LENGTH:
        raise InputError("its name cannot be written on a piece", where=where, expected=f"at most {_LENGTH} signs")
    path = folder / PATTERN
    if not path.is_file():
        raise InputError(
            "there is no pattern.json in it", where=where, expected="a folder that oaktag make has written",
            instead=f"Run oaktag make JOB -o {folder} first",
        )  # fmt: skip
    if changed := stray_files(folder):
        more = f" and {len(changed) - 1} more" if len(changed) > 1 else ""
        raise InputError(
            f"{changed[0]}{more} was changed since the folder was made", where=where,
            expected="the files as they were written together", instead=f"Write it again: oaktag make JOB -o {folder}",
        )  # fmt: skip
    job = _job_beside(folder)
    cloth = job.get("cloth")
    return order_of(
        name, path.read_bytes(), path, sizes=sizes, unit=next((u for u in UNITS if u == job.get("units")), None),
        cloth=cloth if isinstance(cloth, dict) else {},
    )  # fmt: skip


def order_of(
    name: str,
    data: bytes,
    path: Path,
    *,
    sizes: Sequence[str] = (),
    unit: Unit | None = None,
    cloth: Mapping[str, Any] | None = None,
) -> Order:
    """What a pattern.json says; `path` is where it lies, for what there is to complain of."""
    source = pattern_data(path)
    refuse_newer(source, "Make the folder again with this Oaktag")
    title = source.text("title") if source.has("title") else name
    garment = source.text("garment") if source.has("garment") else ""
    rows = source.parts("pieces")
    every = tuple(dict.fromkeys(row.text("size") for row in rows))
    kept = tuple(size for size in every if size in sizes) if len(every) > 1 and sizes else every
    kept = kept or every
    patterns = tuple(
        Pattern(title, size, unit or "mm", _draft(garment), tuple(_pieces(rows, size))) for size in kept
    )  # fmt: skip
    base = source.text("base") if source.has("base") else kept[0]
    return Order(name, title, data, Nest(patterns, base if base in kept else kept[0]), unit, cloth)


def asked_of_job(order: Order, folder: Path) -> dict[str, Asked]:
    """What the job of a made folder says of each kind of cloth, "" of all of them. Raises InputError for what it cannot
    say."""
    table = order.cloth or {}
    of = {"": table, **{key: part for key, part in table.items() if isinstance(part, dict)}}
    unit = order.unit or "cm"
    where = Where(str(folder / "job"), 0, "cloth")
    told = {name: {key: value for key, value in part.items() if key in KEYS} for name, part in of.items()}
    return {name: asked_of(part, unit, dict.fromkeys(part, where)) for name, part in told.items()}


def _draft(garment: str) -> Draft:
    return Draft(garment, (), (), (), (), (), {}, {}, {})


def _job_beside(folder: Path) -> Mapping[str, Any]:
    """The copy of the job that lies in a made folder; nothing where there is none."""
    for path in sorted((folder / "job").glob("*.toml")):
        with suppress(OSError, ValueError, RecursionError):
            told = tomllib.loads(path.read_bytes()[:_LARGEST].decode("utf-8-sig"))
            if "garment" in told or "drawing" in told:
                return told
    return {}


def _pieces(rows: Sequence[Source], size: str) -> Iterable[MarkedPiece]:
    own = [row for row in rows if row.text("size") == size]
    names = [row.text("name") for row in own]
    for number, row in enumerate(own, start=1):
        if names.count(row.text("name")) > 1:
            raise row.part("name").wrong("a name for each piece")
        yield _piece(row, number)


def _piece(row: Source, number: int) -> MarkedPiece:
    """As far as it is drawn and cut; its curves are the runs of points that they were written as."""
    edges = row.parts("edges")
    lines = {edge.text("name"): edge.points("points", 2) for edge in edges}
    allowances = {edge.text("name"): edge.part("allowance").number(0.0, 1e6) for edge in edges}
    grain = _ends(row, "grain_line")
    if grain is None:
        raise row.part("grain_line").wrong("two points [x, y]")
    on_fold, pair, one_way = (row.has(key) and row.truth(key) for key in ("on_fold", "mirrored_pair", "one_way"))
    count = row.count("quantity") if row.has("quantity") else 0
    to_cut = Cut("fold" if on_fold else "pair" if pair else "whole", count, row.text("material"))
    piece = Piece(
        row.text("name"),
        tuple(_edge(edge, lines[edge.text("name")]) for edge in edges),
        {}, grain, to_cut,
        darts=tuple(_dart(dart) for dart in _rows(row, "darts")),
        internal_lines=tuple(_line(line) for line in _rows(row, "internal_lines")),
        one_way=one_way,
        label=row.text("title") if row.has("title") else "",
    )  # fmt: skip
    cut = CutPiece(piece, lines, row.points("stitch_line", 3), row.points("cut_line", 3), {}, allowances, {})
    holes = tuple(Point(*p) for p in row.points("drill_holes", 0)) if row.has("drill_holes") else ()
    notches = tuple(_notch(notch) for notch in _rows(row, "notches"))
    return MarkedPiece(cut, number, notches, holes, grain, _ends(row, "fold_line"), _label(row))


def _rows(row: Source, key: str) -> list[Source]:
    return row.parts(key) if row.has(key) else []


def _ends(row: Source, key: str) -> tuple[Point, Point] | None:
    if not row.has(key) or row.part(key).value is None:
        return None
    a, b = (Point(*end.point()) for end in row.pair(key))
    return a, b


def _points(row: Source, least: int) -> tuple[Point, ...]:
    return tuple(Point(*p) for p in row.points("points", least))


def _edge(row: Source, points: Sequence[XY]) -> Edge:
    kind = EdgeKind(row.one_of("kind", [kind.value for kind in EdgeKind]))
    ends = [Point(*p) for p in points]
    return Edge(row.text("name"), kind, tuple(Line(a, b) for a, b in pairwise(ends)))


def _dart(row: Source) -> Dart:
    return Dart(row.text("name"), _points(row, 3), row.part("intake").number(-1e6, 1e6) if row.has("intake") else 0.0)


def _line(row: Source) -> InternalLine:
    kind = row.one_of("kind", [kind.value for kind in LineKind]) if row.has("kind") else LineKind.PLAIN.value
    return InternalLine(row.text("name"), _points(row, 2), LineKind(kind))


def _notch(row: Source) -> Notch:
    spots = tuple(Point(*p) for p in row.points("cut_points", 1))
    return Notch(
        row.text("edge"),
        Point(*row.part("point").point()),
        Point(*row.part("direction").point()),
        row.count("count"),
        row.text("name"),
        spots,
        row.part("depth").number(0.0, 1e6),
        NotchKind(row.one_of("kind", [kind.value for kind in NotchKind])),
        row.part("width").number(0.0, 1e6),
        tuple(Point(*p) for p in row.points("ways", len(spots))) if row.has("ways") else (),
    )


def _label(row: Source) -> Label:
    """As it was set: `label_lines` has the middle of each baseline, the label's own place is that of its box."""
    texts = tuple(line.words() for line in _rows(row, "label"))
    places = _rows(row, "label_lines")
    if not texts or not places:
        return Label((), Point(0.0, 0.0), 1.0, 0.0)
    angle = row.part("label_angle").number(-360.0, 360.0)
    height = places[0].part("height").number(0.1, 1e4)
    width, high = label_box(texts, height)
    down = way_of(angle - 90.0)
    first = places[0].part("at").point()
    return Label(texts, along(Point(*first), down, high / 2 - height), height, width, angle)
