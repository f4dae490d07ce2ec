"""What the files should hold: pattern.json, read strictly."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from ..errors import InputError, Where
from ..geometry.point import XY, direction, mirrored
from ..geometry.polygon import Box
from ..values import dataclass, field, replace
from .drawing import FARTHEST, Named, Run, Runs, inside_box, slug
from .marks import NO_MARKS, ROLES, Lettered, Mark, Marks, NamedLine, NotchMark, meant_by_role
from .plots import PartHeld, PlotHeld
from .sent import Sent

NOTCH_KINDS: Final = ("slit", "V", "V outwards", "T", "castle", "check", "U")
FORMAT: Final = 1
"""The pattern.json that is read: its key `oaktag`."""
_AGAIN = "Run oaktag make to write the folder again"


@dataclass(frozen=True, slots=True)
class Shape:
    """A piece as it may be drawn: its cut line, and the sets of runs that its stitch line may be drawn as."""

    cut: Run
    stitch: tuple[Runs, ...]
    unfolded: bool = False


@dataclass(frozen=True, slots=True)
class Expected:
    """One piece of one size. `shapes`: as in pattern.json; and unfolded, if it is cut on the fold.

    `shift`: what is added to lay it on the base size of its set, mm.
    """

    name: str
    size: str
    label: str
    shapes: tuple[Shape, ...]
    shift: XY = (0.0, 0.0)
    of_set: bool = False
    marks: Marks = NO_MARKS
    unfolded_marks: Marks | None = None
    """On both halves, where it may be drawn unfolded."""
    box: Box | None = None
    """Of a panel: the part of the piece that it holds."""
    seams: Runs = ()
    """Its stitch line where that is drawn beside the cut line: edges with an allowance."""

    def meant(self, shape: Shape, *, axes: bool = True) -> dict[str, tuple[Mark, ...]]:
        """The marks that are to be drawn with one of its shapes, by role; the axes of darts are not drawn in nests."""
        both = self.unfolded_marks if shape.unfolded else None
        return meant_by_role(both or self.marks, self.box, axes=axes)


@dataclass(frozen=True, slots=True)
class PanelHeld:
    """One panel of a piece: what of it lies in the box, mm."""

    piece: str
    size: str
    part: int
    of: int
    box: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Held:
    """What a file of a set holds: its sizes, whether they lie on each other, whether they have their stitch lines."""

    sizes: tuple[str, ...]
    nested: bool = False
    stitch_lines: bool = True
    pieces: tuple[tuple[str, str], ...] | None = None
    """The pieces (name, size) that lie whole on one of several sheets; None: all."""
    panels: tuple[PanelHeld, ...] = ()
    small_block: bool = False
    sent: Sent | None = None
    left_out: tuple[str, ...] = ()
    """Roles (`lettering`) that the device has no pen for."""


@dataclass(frozen=True, slots=True)
class Meant:
    """What pattern.json has: the pieces of all sizes, and what each file holds of them."""

    pieces: tuple[Expected, ...]
    base: str = ""
    drawn: Mapping[str, Held] = field(default_factory=dict)
    plots: Mapping[str, PlotHeld] = field(default_factory=dict)
    title: str = ""

    @property
    def sizes(self) -> tuple[str, ...]:
        """Of all pieces, in their order."""
        return tuple(dict.fromkeys(piece.size for piece in self.pieces))

    def held(self, file: str) -> Held:
        """What a file holds; all sizes, each by itself, if pattern.json does not say."""
        return self.drawn.get(file, Held(self.sizes))

    def of(self, held: Held) -> tuple[Expected, ...]:
        """The pieces of the sizes that a file holds."""
        pieces = tuple(piece for piece in self.pieces if piece.size in held.sizes)
        found = [p for p in pieces if held.pieces is None or (p.name, p.size) in held.pieces]
        for panel in held.panels:  # in a nest the panel has something of every size
            own = [p for p in pieces if p.name == panel.piece and (held.nested or p.size == panel.size)]
            found += [part for p in own for part in _panel(p, panel, nested=held.nested)]
        if held.sent is not None and held.sent.kerf:
            found = [_with_kerf(piece, held.sent.kerf) for piece in found]
        return (*found, SMALL_BLOCK) if held.small_block else tuple(found)


_LEFT_OUT: Final = ("cut line", "stitch line", *ROLES, "scale block", "joins")

SMALL_BLOCK: Final = Expected(
    "small scale block", "", "small scale block",
    (Shape(Run(((0.0, 0.0), (50.0, 0.0), (50.0, 50.0), (0.0, 50.0)), closed=True), ((),)),),
)  # fmt: skip


def _panel(piece: Expected, panel: PanelHeld, *, nested: bool) -> list[Expected]:
    """What of a piece lies on a panel, as pieces of their own; the box of a nest counts from its base size."""
    from shapely import Polygon, box

    dx, dy = piece.shift if nested else (0.0, 0.0)
    low_x, low_y, high_x, high_y = panel.box
    own = Box(low_x - dx, low_y - dy, high_x - dx, high_y - dy)
    left = Polygon(piece.shapes[0].cut.points).intersection(box(own.left, own.bottom, own.right, own.top))
    parts = [part for part in getattr(left, "geoms", [left]) if part.geom_type == "Polygon" and part.area > 0]
    name = f"{piece.name}, part {panel.part} of {panel.of}"
    return [
        Expected(
            name, piece.size, name + piece.label.removeprefix(piece.name), (_shape(part),), piece.shift, piece.of_set,
            piece.marks, box=own, seams=tuple(run for seam in piece.seams for run in inside_box(seam, own)),
        )
        for part in parts
    ]  # fmt: skip


def _with_kerf(piece: Expected, kerf: float) -> Expected:
    """Its cut lines moved out by half the kerf."""
    from shapely import Polygon

    shapes = tuple(
        replace(
            _shape(Polygon(shape.cut.points).buffer(kerf / 2, join_style="mitre", mitre_limit=10)),
            unfolded=shape.unfolded,
        )
        for shape in piece.shapes
    )
    return replace(piece, shapes=shapes)


def _shape(polygon: Any) -> Shape:
    ring = tuple((float(x), float(y)) for x, y in polygon.exterior.coords[:-1])
    return Shape(Run(ring, closed=True), ((),))


def pattern_data(path: Path) -> Source:
    """What pattern.json says: an object with pieces, in mm. Raises InputError: place, found, expected, what to type."""
    where = Where(str(path))
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise InputError(
            "there is no pattern.json to measure against",
            where=where,
            expected="a folder that oaktag make has written",
            instead="Run oaktag make JOB -o FOLDER first, then oaktag verify FOLDER",
        ) from None
    except (OSError, ValueError, RecursionError) as error:
        raise InputError(
            f"it cannot be read ({_first_line(error)})", where=where, expected="JSON text", instead=_AGAIN
        ) from None
    if not isinstance(data, dict) or not isinstance(data.get("pieces"), list) or not data["pieces"]:
        raise InputError(
            "it holds no pieces", where=where, expected='a JSON object with a list "pieces"', instead=_AGAIN
        )
    if data.get("unit", "mm") != "mm":
        raise InputError(
            f"unit is {data['unit']!r}", where=Where(str(path), 0, "unit"), expected='"mm"', instead=_AGAIN
        )
    return Source(data, str(path), "")


def refuse_newer(top: Source, instead: str) -> None:
    """InputError unless pattern.json is of a format that this Oaktag reads; `instead`: what to do with a newer one."""
    number = top.part("oaktag")
    if type(number.value) is not int or not 1 <= number.value <= FORMAT:
        newer = type(number.value) is int and number.value > FORMAT
        raise InputError(
            f"it is of format {number.value}, and this Oaktag reads up to {FORMAT}" if newer
            else f"found {str(number.value)[:40]!r} where the format is told",
            where=Where(number.file, 0, number.key), expected=f"{FORMAT}, as oaktag make writes it",
            instead=instead if newer else "",
        )  # fmt: skip


def read_expected(path: Path) -> Meant:
    """pattern.json, its pieces in its order. Raises InputError: place, found, expected, what to type instead."""
    top = pattern_data(path)
    pieces = top.parts("pieces")
    sizes = tuple(dict.fromkeys(piece.text("size") for piece in pieces))
    drawn = _drawn(top, sizes) if top.has("drawn") else {}
    stacked = any(held.nested for held in drawn.values())
    return Meant(
        tuple(_expected(piece, len(sizes) > 1, stacked) for piece in pieces),
        top.one_of("base", sizes) if drawn and len(sizes) > 1 else sizes[0],
        drawn,
        plots_held(top) if top.has("plots") else {},
        top.text("title") if top.has("title") else "",
    )


def _drawn(top: Source, sizes: tuple[str, ...]) -> dict[str, Held]:
    found: dict[str, Held] = {}
    for row in top.parts("drawn"):
        file = row.text("file")
        if file in found:
            raise row.part("file").wrong("each file once")
        held = row.parts("sizes")
        if not held or len({size.among(sizes) for size in held}) < len(held):
            raise row.part("sizes").wrong("the sizes that the file holds, each once")
        found[file] = Held(
            tuple(size.among(sizes) for size in held),
            row.one_of("layout", ("nested", "apart")) == "nested" and len(held) > 1,
            row.truth("stitch_lines"),
            _pieces_held(row, sizes),
            tuple(_panel_held(panel, sizes) for panel in (row.parts("panels") if row.has("panels") else ())),
            row.has("small_block") and row.truth("small_block"),
            sent_of(row.part("sent")) if row.has("sent") else None,
            tuple(role.among(_LEFT_OUT) for role in row.parts("left_out")) if row.has("left_out") else (),
        )
    return found


def plots_held(top: Source) -> dict[str, PlotHeld]:
    """What is told of each plot; nothing of one that was written before it was told where it has to stay."""
    found: dict[str, PlotHeld] = {}
    for row in top.parts("plots"):
        if not row.has("page"):
            continue
        least, most = row.part("range").numbers(2, 1e10)
        parts = tuple(
            PartHeld(
                part.text("name"), part.count("pen"), part.count("lines"), part.part("drawn").number(0.0, 1e9)
            )
            for part in row.parts("parts")
        )  # fmt: skip
        found[row.text("file")] = PlotHeld(
            row.part("unit").number(0.001, 1.0), row.one_of("axis", ("along", "across")),
            row.one_of("origin", ("corner", "centre")) == "centre",
            row.part("page").numbers(2), row.part("room").numbers(2), least, most, parts,
        )  # fmt: skip
    return found


def _pieces_held(row: Source, sizes: Sequence[str]) -> tuple[tuple[str, str], ...] | None:
    if not row.has("pieces"):
        return None
    found = []
    for pair in row.parts("pieces"):
        if not isinstance(pair.value, list) or len(pair.value) != 2 or not isinstance(pair.value[0], str):
            raise pair.wrong("a piece and its size")
        found.append((pair.value[0], Source(pair.value[1], pair.file, pair.key).among(sizes)))
    return tuple(found)


def _panel_held(row: Source, sizes: Sequence[str]) -> PanelHeld:
    low, high = (row.part("box").numbers(4)[:2], row.part("box").numbers(4)[2:])
    return PanelHeld(
        row.text("piece"), row.one_of("size", sizes), row.count("part"), row.count("of"), (*low, *high)
    )  # fmt: skip


def sent_of(source: Source) -> Sent:
    knife = source.part("knife").numbers(3) if source.has("knife") else None
    return Sent(
        source.part("unit").number(0.001, 1.0),
        source.one_of("axis", ("along", "across")),
        source.part("frame").number(1.0, FARTHEST) if source.has("frame") else None,
        source.part("correction").numbers(4) if source.has("correction") else (1.0, 0.0, 0.0, 1.0),
        (knife[0], int(knife[1]), knife[2]) if knife is not None else None,
        source.part("kerf").number(0.0, 100.0) if source.has("kerf") else 0.0,
    )


@dataclass(frozen=True, slots=True)
class Source:
    """A value of pattern.json with its key, so that every mistake names its place."""

    value: Any
    file: str
    key: str

    def wrong(self, expected: str) -> InputError:
        shown = repr(self.value)
        shown = shown if len(shown) <= 40 else shown[:37] + "..."
        return InputError(f"found {shown}", where=Where(self.file, 0, self.key), expected=expected, instead=_AGAIN)

    def part(self, key: str) -> Source:
        if not isinstance(self.value, dict):
            raise self.wrong("an object")
        return Source(self.value.get(key), self.file, f"{self.key}.{key}" if self.key else key)

    def text(self, key: str) -> str:
        return self.part(key).words()

    def among(self, words: Sequence[str]) -> str:
        if not isinstance(self.value, str) or self.value not in words:
            raise self.wrong(f"one of {', '.join(words)}")
        return self.value

    def one_of(self, key: str, words: Sequence[str]) -> str:
        return self.part(key).among(words)

    def truth(self, key: str) -> bool:
        part = self.part(key)
        if not isinstance(part.value, bool):
            raise part.wrong("true or false")
        return part.value

    def has(self, key: str) -> bool:
        return isinstance(self.value, dict) and key in self.value

    def number(self, least: float, most: float) -> float:
        if type(self.value) not in (int, float) or not least <= self.value <= most:
            raise self.wrong(f"a number from {least:g} to {most:g}")
        return float(self.value)

    def numbers(self, count: int, most: float = FARTHEST) -> Any:
        if not isinstance(self.value, list) or len(self.value) != count:
            raise self.wrong(f"a list of {count} numbers")
        return tuple(Source(item, self.file, self.key).number(-most, most) for item in self.value)

    def count(self, key: str) -> int:
        part = self.part(key)
        if type(part.value) is not int or part.value < 1:
            raise part.wrong("a whole number from 1")
        return part.value

    def parts(self, key: str) -> list[Source]:
        part = self.part(key)
        if not isinstance(part.value, list):
            raise part.wrong("a list")
        return [Source(item, self.file, f"{part.key}[{i}]") for i, item in enumerate(part.value)]

    def words(self) -> str:
        if not isinstance(self.value, str):
            raise self.wrong("a text")
        return self.value

    def pair(self, key: str) -> list[Source]:
        found = self.parts(key)
        if len(found) != 2:
            raise self.part(key).wrong("two points [x, y]")
        return found

    def points(self, key: str, least: int) -> tuple[XY, ...]:
        part = self.part(key)
        if not isinstance(part.value, list) or len(part.value) < least:
            raise part.wrong(f"a list of at least {least} points [x, y]")
        return tuple(Source(item, self.file, f"{part.key}[{i}]").point() for i, item in enumerate(part.value))

    def point(self) -> XY:
        pair = self.value
        good = isinstance(pair, list) and len(pair) == 2 and all(type(n) in (int, float) for n in pair)
        if not good or not all(abs(n) < FARTHEST for n in pair):
            raise self.wrong("a point [x, y] in mm")
        return float(pair[0]), float(pair[1])


def _expected(piece: Source, several_sizes: bool, stacked: bool) -> Expected:
    name, size = piece.text("name"), piece.text("size")
    cut = Run(piece.points("cut_line", 3), closed=True)
    ring = Run(piece.points("stitch_line", 3), closed=True)
    edges = [(edge.text("kind"), Run(edge.points("points", 2))) for edge in piece.parts("edges")]
    folds = [edge for kind, edge in edges if kind == "fold"]
    sewn = tuple(edge for kind, edge in edges if kind != "fold")
    half = Shape(cut, ((ring,), sewn) if folds and sewn else ((ring,),))
    whole = _unfolded(half, sewn, folds[0]) if folds and sewn else None
    label = f"{name}, size {size}" if several_sizes else name
    shift = piece.part("shift")
    by = shift.point() if stacked or shift.value is not None else (0.0, 0.0)
    marks = _marks(piece)
    both = None
    if whole is not None:
        a, b = folds[0].points[0], folds[0].points[-1]
        both = marks.unfolded(a, direction(a, b))
    seams = tuple(
        run for edge, (kind, run) in zip(piece.parts("edges"), edges, strict=True)
        if kind != "fold" and edge.has("allowance") and edge.part("allowance").number(0.0, FARTHEST) > 0.0
    )  # fmt: skip
    shapes = (half, whole) if whole else (half,)
    return Expected(name, size, label, shapes, by, several_sizes, marks, both, seams=seams)


def _marks(piece: Source) -> Marks:
    """The marks of a piece; those that pattern.json does not have are none."""

    def parts(key: str) -> list[Source]:
        return piece.parts(key) if piece.has(key) else []

    def ends(key: str) -> tuple[XY, ...]:
        return tuple(point.point() for point in piece.pair(key)) if piece.has(key) and piece.value[key] else ()

    def lines(key: str, least: int) -> tuple[NamedLine, ...]:
        return tuple(NamedLine(line.text("name"), line.points("points", least)) for line in parts(key))

    return Marks(
        tuple(mark for notch in parts("notches") for mark in _notches(notch)),
        piece.points("drill_holes", 0) if piece.has("drill_holes") else (),
        ends("grain_line"),
        ends("fold_line"),
        lines("darts", 3),
        lines("internal_lines", 2),
        tuple(line.words() for line in parts("label")),
        piece.has("one_way") and piece.truth("one_way"),
        piece.text("title") if piece.has("title") else "",
        piece.text("material") if piece.has("material") else "",
        piece.count("quantity") if piece.has("quantity") else 0,
        piece.has("mirrored_pair") and piece.truth("mirrored_pair"),
        _lettered(piece) if piece.has("label_lines") else (),
    )


def _lettered(piece: Source) -> tuple[Lettered, ...]:
    texts, lines = piece.parts("label"), piece.parts("label_lines")
    if len(texts) != len(lines):
        raise piece.part("label_lines").wrong("a place for each line of the label")
    angle = piece.part("label_angle").number(-360.0, 360.0)
    return tuple(
        Lettered(text.words(), line.part("at").point(), line.part("height").number(0.1, FARTHEST), angle)
        for text, line in zip(texts, lines, strict=True)
    )


def _notches(notch: Source) -> Iterator[NotchMark]:
    """Each of the one or two places of a notch on the cut line."""
    spots = notch.points("cut_points", 1) if notch.has("cut_points") else ()
    direction_out = notch.part("direction").point() if notch.has("direction") else (0.0, 1.0)
    ways = notch.points("ways", len(spots)) if notch.has("ways") else (direction_out,) * len(spots)
    kind = notch.one_of("kind", NOTCH_KINDS) if notch.has("kind") else "slit"
    depth, width = (
        notch.part(key).number(0.0, FARTHEST) if notch.has(key) else 0.0 for key in ("depth", "width")
    )  # fmt: skip
    edge, name = (notch.text(key) if notch.has(key) else "" for key in ("edge", "name"))
    told = f"the notch {name!r} of the edge {edge}" if name else f"a notch of the edge {edge}"
    for i, (spot, way) in enumerate(zip(spots, ways, strict=False), start=1):
        which = f", {i} of {len(spots)}" if len(spots) > 1 else ""
        yield NotchMark(spot, kind, depth, width, way, told + which)


def _unfolded(half: Shape, sewn: Runs, fold: Run) -> Shape | None:
    """Both halves about the fold; None where the cut line does not run along the fold exactly once."""
    a, way = fold.points[0], direction(fold.points[0], fold.points[-1])
    if way == (0.0, 0.0):
        return None

    def flip(points: Sequence[XY]) -> tuple[XY, ...]:
        return tuple((p[0], p[1]) for p in (mirrored(q, a, way) for q in points))

    ring = unfolded_ring(half.cut.points, a, way)
    if ring is None:
        return None
    return Shape(Run(ring, closed=True), ((*sewn, *(Run(flip(edge.points)) for edge in sewn)),), unfolded=True)


def unfolded_ring(ring: Sequence[XY], a: XY, way: XY) -> tuple[XY, ...] | None:
    """A cut line of a half, unfolded about the line through a along `way`; None where it does not lie on that once."""
    on = [abs((p[0] - a[0]) * way[1] - (p[1] - a[1]) * way[0]) < 1e-3 for p in ring]
    starts = [i for i, here in enumerate(on) if here and not on[(i + 1) % len(ring)]]
    if len(starts) != 1:
        return None
    walk = [ring[(starts[0] + i) % len(ring)] for i in range(len(ring) + 1)]
    steps = [on[(starts[0] + i) % len(ring)] for i in range(len(ring) + 1)]
    outside = walk[: steps.index(True, 1) + 1]
    return (*outside, *((p[0], p[1]) for p in (mirrored(q, a, way) for q in outside[-2:0:-1])))


def pieces_named(named: Named, pieces: Sequence[Expected], *, short: bool = False) -> tuple[Expected, ...]:
    """The pieces that a file's name can mean: one; or every size of it, where the file does not tell sizes apart.

    In a set a size means itself alone, as `sizes_by_word` has spelt it.
    `short`: the format holds 20 characters of a name (ASTM D6673-10, 4.3.1.2, as practised).
    """
    name, size = slug(named.name), slug(named.size)
    pieces = tuple(p for p in pieces if not (named.size and p.of_set) or p.size == named.size)
    if short:
        held = tuple(p for p in pieces if slug(slug(p.name)[:20]) == slug(name[:20]))
        if len({p.name for p in held}) != 1 and (one := _numbered(p.name for p in pieces).get(slug(name[:20]))):
            held = tuple(p for p in pieces if p.name == one)
        if not held and (numbered := re.fullmatch(r"piece-(\d+)", name)):  # of a name that ASCII cannot spell
            names = list(dict.fromkeys(p.name for p in pieces))
            wanted = names[int(numbered[1]) - 1 : int(numbered[1])]
            held = tuple(p for p in pieces if p.name in wanted and not p.name.isascii())
        exact = tuple(p for p in held if slug(p.size) == size)
        return exact if named.size and len(held) > 1 else held
    with_size = tuple(
        p
        for p in pieces
        if name in (slug(f"{p.name} {p.size}"), slug(f"{p.size} {p.name}"), slug(f"{p.name} size {p.size}"))
    )
    return with_size or tuple(p for p in pieces if slug(p.name) == name)


def _numbered(names: Iterable[str]) -> dict[str, str]:
    """By what 20 characters hold of it the name of each piece; where several begin alike, the second in the file ends
    in 2, and so on.

    >>> list(_numbered(["a_very_long_name_of_a_piece_left", "a_very_long_name_of_a_piece_right"]))
    ['a-very-long-name-of', 'a-very-long-name-o-2']
    """
    found: dict[str, str] = {}
    for name in dict.fromkeys(names):
        short, number = slug(slug(name)[:20]), 2
        while short in found:
            short = slug(f"{slug(name)[: 19 - len(str(number))]}-{number}")
            number += 1
        found[short] = name
    return found


def sizes_by_word(words: Iterable[str], sizes: Sequence[str]) -> dict[str, str]:
    """Which size each word of a file names: spelt alike; else but for capitals, then for signs.

    Only sizes that a file of ASCII cannot spell, or that it spells alike, are told by their order: a wrong name is no
    spelling of the size that is left.

    >>> sizes_by_word(["12", "12-2", "TALL"], ["12", "12-", "tall"])
    {'12': '12', 'TALL': 'tall', '12-2': '12-'}
    """
    left, found = [word for word in dict.fromkeys(words) if word], dict[str, str]()
    for spelt in (str, str.casefold, slug):
        for size in sizes:
            named = [word for word in left if spelt(word) == spelt(size)]
            if size not in found.values() and len(named) == 1:
                found[named[0]] = size
                left.remove(named[0])
    alike = Counter(map(slug, sizes))
    rest = [s for s in sizes if s not in found.values() and (not s.isascii() or alike[slug(s)] > 1)]
    return found | (dict(zip(left, rest, strict=True)) if len(left) == len(rest) else {})


def _first_line(error: BaseException) -> str:
    return (str(error).splitlines() or [type(error).__name__])[0]
