"""General DXF drawings: lines, arcs, splines and texts of the model space, blocks taken apart, in mm.

Read with ezdxf, from R12 to R2018, text or binary. What the entities mean: DXF reference (from memory). Units are those
of $INSUNITS, or the maker's; they are never guessed from the size of what is drawn, but that is told.
"""

from __future__ import annotations

import logging
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from io import StringIO
from itertools import islice, pairwise
from math import isfinite, pi, radians
from typing import Any, Final

from ..errors import InputError, InputErrors, OaktagError, Where
from ..geometry.curve import Curve, Line
from ..geometry.point import Point
from ..geometry.polygon import Box
from ..units import INCH
from ..values import dataclass, field, replace
from .limits import (
    COPY,
    DEEPEST,
    ENTRY,
    FARTHEST,
    LONGEST_TEXT,
    MOST_ELEMENTS,
    MOST_POINTS,
    MOST_TOLD,
    ROW,
    VERTEX,
    Budget,
    too_deep,
    too_many,
)  # fmt: skip
from .model import Drawing, DrawnPath, DrawnPoint, DrawnText
from .runs import MARK, Affine, after, arc, bulged, closed_run, comes_back, ellipse_map, mapped, strays, stretch
from .splines import exact, fitted

UNITS: Final[Mapping[int, tuple[str, float]]] = {
    1: ("in", INCH), 2: ("ft", 12 * INCH), 4: ("mm", 1.0), 5: ("cm", 10.0), 6: ("m", 1_000.0),
    8: ("microinches", INCH / 1e6), 9: ("mils", INCH / 1_000), 10: ("yd", 36 * INCH), 13: ("µm", 0.001),
    14: ("dm", 100.0), 21: ("US survey ft", 1_200_000 / 3_937),
}  # fmt: skip
"""$INSUNITS in which a pattern may be drawn: name and mm (DXF reference, from memory)."""
ASKED: Final[Mapping[str, float]] = {"mm": 1.0, "cm": 10.0, "in": INCH}
LEAST, MOST = 100.0, 3_000.0
"""The largest piece of a garment is longer than the first and shorter than the second, mm (common practice, no
source)."""
UNLIKELY: Final = (30.0, 5_000.0)
"""mm: a drawing whose largest outline is smaller or larger is told so, whatever unit it names."""
_BINARY: Final = b"AutoCAD Binary DXF"
_ENTITY: Final = re.compile(rb"(?:^|[\r\n])[ \t]*0[ \t]*\r?\n[ \t]*((?:3D)?[A-Z_][A-Z_0-9]{0,32})")
_POINT: Final = re.compile(rb"[\r\n][ \t]*1[01][ \t]*\r?\n")
_SILENT: Final = frozenset(("ATTDEF", "VIEWPORT", "SEQEND"))
_OTHERS, _NO_FLAGS = (
    rf"(?>[ \t]*+(?:{codes})[ \t]*+\n{value}\n)*+"
    for codes, value in (("5|6|8|62|30|40|41", r"[^\n]*+"), ("70", r"[ \t]*+0[ \t]*+"))
)
_CORNER: Final = (
    rf"[ \t]*+0[ \t]*+\nVERTEX[ \t]*+\n{_OTHERS}[ \t]*+10[ \t]*+\n([^\n]*+)\n[ \t]*+20[ \t]*+\n([^\n]*+)\n"
    rf"{_OTHERS}{_NO_FLAGS}((?>[ \t]*+42[ \t]*+\n[^\n]*+\n)?+){_NO_FLAGS}"
)
_VERTEX: Final = re.compile(_CORNER)
_PAIRS: Final = r"(?>[ \t]*+[1-9][0-9]*+[ \t]*+\n[^\n]*+\n)*+"
_PAIR: Final = re.compile(r"([^\n]*+)\n([^\n]*+)\n")
_OLD: Final = re.compile(
    rf"\nPOLYLINE[ \t]*+\n({_PAIRS})((?>{_CORNER.replace('((?>', '(?:(?>').replace('([^', '(?:[^')})++)"
    rf"[ \t]*+0[ \t]*+\nSEQEND[ \t]*+\n{_PAIRS}"
)
"""A POLYLINE whose vertices say no more than their places and bulges: what it says itself, and its vertices."""
_PLAIN: Final = frozenset(("5", "6", "8", "62", "66", "70", "10", "20", "30"))
_FIT_FRAME, _POLYFACE = 16, 16 | 64
_MOST_COPIES: Final = 5_000
_LONGEST_SPLINE: Final = 20_000
_HIGHEST_DEGREE: Final = 10


@dataclass(frozen=True, slots=True)
class Told:
    """What the maker says of the size: `scale`, mm per unit of the drawing, and how that is put in words."""

    scale: float | None = None
    words: str = ""


@dataclass(frozen=True, slots=True)
class _Plan:
    """From 3D to the table, seen from above: x' = xx x + xy y + xz z + x0, and so on; mm."""

    xx: float
    xy: float
    xz: float
    x0: float
    yx: float
    yy: float
    yz: float
    y0: float

    def place(self, p: Any) -> Point:
        x, y, z = p[0], p[1], p[2] if len(p) > 2 else 0.0
        return Point(
            self.xx * x + self.xy * y + self.xz * z + self.x0, self.yx * x + self.yy * y + self.yz * z + self.y0
        )

    def way(self, p: Any) -> Point:
        """A direction or a difference."""
        x, y, z = p[0], p[1], p[2] if len(p) > 2 else 0.0
        return Point(self.xx * x + self.xy * y + self.xz * z, self.yx * x + self.yy * y + self.yz * z)

    def flat(self, entity: Any, elevation: float) -> Affine:
        """The map of an entity's own plane (OCS) at that height."""
        if not entity.dxf.hasattr("extrusion") or entity.dxf.extrusion == (0.0, 0.0, 1.0):
            return (
                self.xx, self.yx, self.xy, self.yy,
                self.xz * elevation + self.x0, self.yz * elevation + self.y0,
            )  # fmt: skip
        ocs = entity.ocs()
        ux, uy = self.way(ocs.to_wcs((1.0, 0.0, 0.0))), self.way(ocs.to_wcs((0.0, 1.0, 0.0)))
        at = self.place(ocs.to_wcs((0.0, 0.0, elevation)))
        return (ux[0], ux[1], uy[0], uy[1], at[0], at[1])

    def within(self, matrix: Any) -> _Plan:
        """The plan of a block whose INSERT has that matrix."""
        (ax, ay, az), (bx, by, bz), (cx, cy, cz), (dx, dy, dz) = (row[:3] for row in matrix.rows())
        ux, uy, uz, at = (
            self.way((ax, ay, az)),
            self.way((bx, by, bz)),
            self.way((cx, cy, cz)),
            self.place((dx, dy, dz)),
        )
        return _Plan(ux[0], uy[0], uz[0], at[0], ux[1], uy[1], uz[1], at[1])


@dataclass(frozen=True, slots=True)
class _Scope:
    """What an INSERT hands on to what is in its block."""

    plan: _Plan
    layer: str = ""
    groups: tuple[str, ...] = ()
    prefix: str = ""
    blocks: tuple[str, ...] = ()


@dataclass(slots=True)
class _Found:
    """What has been read so far; `off` and `frozen` are names of layers in small letters."""

    name: str
    document: Any
    off: frozenset[str]
    frozen: frozenset[str]
    budget: Budget
    paths: list[DrawnPath] = field(default_factory=list)
    texts: list[DrawnText] = field(default_factory=list)
    points: list[DrawnPoint] = field(default_factory=list)
    mistakes: list[InputError] = field(default_factory=list)
    hidden: Counter[str] = field(default_factory=Counter)
    unread: Counter[str] = field(default_factory=Counter)
    told: Counter[str] = field(default_factory=Counter)

    def wrong(self, kind: str, key: str, found: str) -> None:
        """Keeps a mistake; raises them all once there are many."""
        self.mistakes.append(InputError(found, where=Where(self.name, 0, f"{kind} {key}".strip())))
        if len(self.mistakes) >= MOST_TOLD:
            raise InputErrors(self.mistakes)


def read_cad(data: bytes, name: str, told: Told = Told(), budget: Budget | None = None) -> tuple[Drawing, bool]:
    """The drawing, and whether its size is known; where it is not, a unit is taken as a mm.

    Raises InputError or InputErrors: damaged, cut short, too big, blocks that hold themselves.
    """
    with _heard() as said:
        drawing, known = _read(data, name, told, (budget or Budget(name)).anew())
    if said:
        listed = "; ".join(dict.fromkeys(said[:3]))
        note = f"The file is damaged in {len(said)} places, and what stands there may be missing ({listed})."
        drawing = replace(drawing, notes=(note, *drawing.notes))
    return drawing, known


@contextmanager
def _heard() -> Iterator[list[str]]:
    """What the library logs of damage meanwhile, a line each, instead of on the terminal."""
    said: list[str] = []

    class Listener(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            if len(said) < 10_000:
                said.append(" ".join(record.getMessage().split()).rstrip(".")[:120])

    logger, listener = logging.getLogger("ezdxf"), Listener(logging.WARNING)
    before = logger.propagate
    logger.addHandler(listener)
    logger.propagate = False
    try:
        yield said
    finally:
        logger.propagate = before
        logger.removeHandler(listener)


def _read(data: bytes, name: str, told: Told, budget: Budget) -> tuple[Drawing, bool]:
    document = _loaded(data, name, budget)
    code = document.header.get("$INSUNITS", 0)
    unit, mm, known = "", 1.0, True
    if told.scale is not None:
        unit, mm = told.words or f"{told.scale:g} mm a unit (as told)", told.scale
    elif isinstance(code, int) and code in UNITS:
        unit, mm = f"{UNITS[code][0]} ($INSUNITS {code})", UNITS[code][1]
    else:
        known = False
    layers = [(layer.dxf.name.lower(), layer.is_off(), layer.is_frozen()) for layer in document.layers]
    found = _Found(
        name, document, frozenset(n for n, off, _ in layers if off), frozenset(n for n, _, cold in layers if cold),
        budget,
    )  # fmt: skip
    if _drawn_by(document.modelspace(), found, {}, 0) > MOST_ELEMENTS:
        raise too_many(name, MOST_ELEMENTS, "elements, copies counted each time")
    _walk(document.modelspace(), _Scope(_Plan(mm, 0.0, 0.0, 0.0, 0.0, mm, 0.0, 0.0)), found)
    if found.mistakes:
        raise found.mistakes[0] if len(found.mistakes) == 1 else InputErrors(found.mistakes)
    notes = _notes(found)
    drawing = Drawing(name, unit, tuple(found.paths), tuple(found.texts), tuple(found.points), tuple(notes))
    if known and (note := _unlikely(drawing, mm)):
        drawing = replace(drawing, notes=(note, *drawing.notes))
    return drawing, known


def _notes(found: _Found) -> list[str]:
    notes = []
    if found.hidden:
        layers = ", ".join(f"{layer or '(none)'} ({count})" for layer, count in sorted(found.hidden.items())[:8])
        notes.append(f"Hidden (layers that are off or frozen, or the entities themselves), and left out: {layers}.")
    if found.unread:
        kinds = ", ".join(f"{count} {kind}" for kind, count in sorted(found.unread.items()))
        notes.append(f"Not read, as this reader does not follow them: {kinds}.")
    notes += [f"{what}: {count}." for what, count in found.told.items()]
    on_paper = sum(
        1
        for layout in found.document.layouts
        if not layout.is_modelspace
        for entity in islice(layout, MOST_ELEMENTS)
        if entity.dxftype() != "VIEWPORT"
    )
    if on_paper:
        notes.append(f"Left out, as they lie on sheets of paper and not in the model space: {on_paper}.")
    return notes


# ------------------------------------------------------------------------------------------------------------- the file


def _loaded(data: bytes, name: str, budget: Budget) -> Any:
    """The document. Raises InputError for whatever the library makes of damaged files."""
    from ezdxf.document import Drawing as Document
    from ezdxf.filemanagement import dxf_stream_info
    from ezdxf.lldxf.tagger import ascii_tags_loader, binary_tags_loader

    _need_whole(data, name, budget)
    try:
        if data.startswith(_BINARY):
            return Document.load(binary_tags_loader(data))
        info = dxf_stream_info(StringIO(data[:200_000].decode("utf-8", "ignore").replace("\r\n", "\n")))
        text = data.removeprefix(b"\xef\xbb\xbf").decode(info.encoding, "surrogateescape")
        if "\r" in text:
            text = text.replace("\r\n", "\n").replace("\r", "\n")
        text = _with_short_polylines(text)
        budget.spend(ROW, text.count("\n"))
        budget.spend(VERTEX, text.count("\nVERTEX"))
        return Document.load(ascii_tags_loader(StringIO(text)))
    except OaktagError:
        raise
    except Exception as error:  # a library may raise anything on a damaged file
        said = " ".join(str(error).split()).rstrip(".")[:200] or type(error).__name__
        raise InputError(
            f"it is no DXF that can be read ({said})", where=Where(name), expected="a DXF of release R12 to R2018",
            instead="Save it again as DXF",
        ) from None  # fmt: skip


def _need_whole(data: bytes, name: str, budget: Budget) -> None:
    where = Where(name)
    if data.startswith(_BINARY):
        if len(data) > 20_000_000:
            raise InputError("a binary DXF of more than 20 MB is not read", where=where, instead="Save it as ASCII DXF")
        if not data.rstrip(b"\0").endswith(b"EOF"):
            raise _cut_short(name)
        return
    if not data.rstrip(b"\0\x1a \t\r\n").endswith(b"EOF"):
        raise _cut_short(name)
    vertices = others = 0
    for match in _ENTITY.finditer(data):
        if match[1] == b"VERTEX":
            vertices += 1
        else:
            others += 1
        if others > 2 * MOST_ELEMENTS:  # with the entries of tables and objects
            raise too_many(name, MOST_ELEMENTS, "elements")
        if vertices > MOST_POINTS:
            raise too_many(name, MOST_POINTS, "points")
    budget.spend(ENTRY, others)
    if data.count(b"\n") < 2 * MOST_ELEMENTS:  # a pair takes two lines
        return
    if sum(1 for _ in islice(_POINT.finditer(data), 3 * MOST_POINTS + 1)) > 3 * MOST_POINTS:
        raise too_many(name, MOST_POINTS, "points")


def _with_short_polylines(text: str) -> str:
    """The same DXF with each plain old POLYLINE as one LWPOLYLINE, which takes a fraction of the time and memory.

    Plain: flat and at no height, no mesh, no curve fitted through it, nothing said of its vertices but where they are
    and how the line bulges. All others stay as they are.
    """
    parts: list[str] = []
    done = at = 0
    while (spot := text.find("\nPOLYLINE", at)) >= 0:
        at = spot + 1
        match = _OLD.match(text, spot)
        if match is None or text[text.rfind("\n", 0, spot) + 1 : spot].strip() != "0":
            continue
        head = [(code.strip(), value.strip()) for code, value in _PAIR.findall(match[1])]
        said = dict(head)
        if len(said) < len(head) or not said.keys() <= _PLAIN or said.get("70", "0") not in ("0", "1"):
            continue
        if any(said.get(code, "0").strip("-0.") for code in ("10", "20", "30")):
            continue
        own = "".join(f"{code}\n{value}\n" for code, value in head if code not in ("10", "20", "30", "66"))
        flags = f"70\n{said.get('70', '0')}\n"
        parts += [text[done:spot], f"\nLWPOLYLINE\n{own}100\nAcDbEntity\n100\nAcDbPolyline\n{flags}"]
        parts.append(_VERTEX.sub(r"10\n\1\n20\n\2\n\3", match[2]))
        done = at = match.end()
    return "".join((*parts, text[done:])) if parts else text


def _cut_short(name: str) -> InputError:
    return InputError(
        "the file stops before EOF, so its end is missing", where=Where(name), expected="0, EOF on its last two lines",
        instead="Fetch or save the file again",
    )  # fmt: skip


# ----------------------------------------------------------------------------------------------------------------- walk


def _walk(space: Iterable[Any], scope: _Scope, found: _Found) -> None:
    for entity in space:
        found.budget.take_element()
        kind = entity.dxftype()
        own = str(entity.dxf.get("layer", "0"))
        layer = scope.layer if own == "0" and scope.blocks else own
        low = layer.lower()
        if low in found.frozen or (low in found.off and kind != "INSERT") or entity.dxf.get("invisible", 0):
            if kind not in _SILENT:
                found.hidden[layer] += 1
            continue
        handle = scope.prefix + str(entity.dxf.get("handle", "") or "")
        try:
            if kind == "INSERT":
                _insert(entity, replace(scope, layer=layer), handle, found)
            else:
                _entity(entity, kind, layer, handle, scope, found)
        except OaktagError:
            raise
        except (ValueError, TypeError, KeyError, AttributeError, IndexError, ArithmeticError) as error:
            said = " ".join(str(error).split()).rstrip(".")[:200] or type(error).__name__
            found.wrong(kind, handle, f"it cannot be read ({said})")


def _entity(entity: Any, kind: str, layer: str, handle: str, scope: _Scope, found: _Found) -> None:
    read = _READERS.get(kind)
    if read is not None:
        curves, closed, polyline = read(entity, scope.plan, found.budget)
        _keep(curves, closed, polyline, layer, handle, scope, found)
        if kind == "CIRCLE":
            m = scope.plan.flat(entity, entity.dxf.center[2])
            if 2 * abs(entity.dxf.radius) * stretch(m) < MARK:
                at = mapped(m, entity.dxf.center[0], entity.dxf.center[1])
                found.points.append(DrawnPoint(at, layer, handle, scope.groups))
    elif kind == "POLYLINE":
        if entity.dxf.flags & _POLYFACE:
            found.unread["POLYLINE (mesh)"] += 1
            return
        curves, closed = _polyline(entity, scope.plan, found.budget)
        _keep(curves, closed, _is_straight(curves), layer, handle, scope, found)
    elif kind == "POINT":
        found.budget.take_points(1)
        at = scope.plan.place(entity.dxf.location)
        _near(at)
        found.points.append(DrawnPoint(at, layer, handle, scope.groups))
    elif kind in ("TEXT", "MTEXT", "ATTRIB"):
        _text(entity, kind, layer, handle, scope, found)
    elif kind not in _SILENT:
        found.unread[kind] += 1


def _near(*points: Point) -> None:
    if (far := strays([Line(p, p) for p in points])) is not None:
        raise ValueError(f"it has a point at ({far[0]:g}, {far[1]:g}) mm, which is on no table")


def _keep(
    curves: list[Curve], closed: bool, polyline: bool, layer: str, handle: str, scope: _Scope, found: _Found
) -> None:
    if (far := strays(curves)) is not None:
        raise ValueError(f"it has a point at ({far[0]:g}, {far[1]:g}) mm, which is on no table")
    curves = [c for c in curves if c.start != c.end or any(p != c.start for p in c.controls())]
    if not curves:
        found.told["Left out, lines without length"] += 1
        return
    closed = closed or comes_back(curves)
    run = tuple(closed_run(curves) if closed else curves)
    found.paths.append(DrawnPath(run, closed, layer, handle, scope.groups, polyline and len(run) > 1))


def _drawn_by(space: Iterable[Any], found: _Found, known: dict[str, int], depth: int) -> int:
    """How many elements a space draws, those of its blocks counted each time; known before the first is looked at.

    What has no end is told when it is walked.
    """
    total = 0
    for entity in space:
        low = str(entity.dxf.get("layer", "0")).lower()
        if low in found.frozen or entity.dxf.get("invisible", 0):
            continue
        total += 1
        if entity.dxftype() != "INSERT" or depth > DEEPEST:
            continue
        key = str(entity.dxf.get("name", "")).lower()
        block = found.document.blocks.get(key)
        if block is None:
            continue
        if key not in known:
            known[key] = 0  # while it is counted: it may hold itself
            known[key] = _drawn_by(block, found, known, depth + 1)
        columns, rows = _grid(entity)
        total += known[key] * columns * rows + (columns * rows if columns * rows > 1 else 0)
    return total


def _grid(entity: Any) -> tuple[int, int]:
    """Columns and rows of an INSERT."""
    dxf = entity.dxf
    columns = max(1, dxf.get("column_count", 1)) if dxf.get("column_spacing", 0.0) else 1
    rows = max(1, dxf.get("row_count", 1)) if dxf.get("row_spacing", 0.0) else 1
    return columns, rows


def _insert(entity: Any, scope: _Scope, handle: str, found: _Found) -> None:
    for attrib in entity.attribs:
        found.budget.take_element()
        if not attrib.is_invisible:
            own = str(attrib.dxf.get("layer", "0"))
            layer = scope.layer if own == "0" else own
            if layer.lower() in found.off | found.frozen:
                found.hidden[layer] += 1
            else:
                _text(attrib, "ATTRIB", layer, str(attrib.dxf.get("handle", "") or ""), scope, found)
    name = str(entity.dxf.get("name", ""))
    block = found.document.blocks.get(name)
    if block is None:
        found.told[f"Left out, INSERTs of block {name[:60]!r}, which is not there"] += 1
        return
    if block.block is not None and block.block.dxf.get("flags", 0) & 0b1100:
        found.told[f"Left out, INSERTs of block {name[:60]!r}, which is in another file"] += 1
        return
    key = name.lower()
    if key in scope.blocks:
        raise InputError(
            f"block {name[:60]!r} is inserted in itself, so it has no end",
            where=Where(found.name, 0, f"INSERT {handle}".strip()),
        )
    if len(scope.blocks) >= DEEPEST:
        raise too_deep(found.name, "blocks are inserted in each other", 0, f"INSERT {handle}")
    groups = scope.groups if name.startswith("*") else (*scope.groups, name)
    for number, matrix in enumerate(_places(entity, found)):
        copy = f"{handle}.{number + 1}" if number else handle
        _walk(
            block,
            replace(
                scope, plan=scope.plan.within(matrix), groups=groups, prefix=f"{copy}.", blocks=(*scope.blocks, key)
            ),
            found,
        )


def _places(entity: Any, found: _Found) -> Iterator[Any]:
    """The matrix of each copy: an INSERT may have rows and columns, which turn with it but do not scale."""
    from ezdxf.math import Matrix44, Vec3

    matrix = entity.matrix44()
    numbers = [n for row in matrix.rows() for n in row]
    if not all(map(isfinite, numbers)):
        raise ValueError("its place is not finite")
    dxf = entity.dxf
    across, up = dxf.get("column_spacing", 0.0), dxf.get("row_spacing", 0.0)
    columns, rows = _grid(entity)
    found.budget.spend(COPY, columns * rows)
    if columns * rows > 1:
        found.budget.take_element(columns * rows)
        if columns * rows > _MOST_COPIES:
            raise too_many(found.name, _MOST_COPIES, "copies of one block in rows and columns")
    ocs = entity.ocs()
    for row in range(rows):
        for column in range(columns):
            if row or column:
                off = Vec3(column * across, row * up, 0.0).rotate_deg(dxf.get("rotation", 0.0))
                off = Vec3(ocs.to_wcs(off))
                yield matrix * Matrix44.translate(off.x, off.y, off.z)
            else:
                yield matrix


# ------------------------------------------------------------------------------------------------------------- entities


def _line(entity: Any, plan: _Plan, budget: Budget) -> tuple[list[Curve], bool, bool]:
    budget.take_points(2)
    return [Line(plan.place(entity.dxf.start), plan.place(entity.dxf.end))], False, False


def _arc(entity: Any, plan: _Plan, budget: Budget) -> tuple[list[Curve], bool, bool]:
    budget.take_points(4)
    start, end = radians(entity.dxf.start_angle), radians(entity.dxf.end_angle)
    return arc(_circle_map(entity, plan), start, start + ((end - start) % (2 * pi) or 2 * pi)), False, False


def _circle(entity: Any, plan: _Plan, budget: Budget) -> tuple[list[Curve], bool, bool]:
    budget.take_points(4)
    return arc(_circle_map(entity, plan), 0.0, 2 * pi), True, False


def _circle_map(entity: Any, plan: _Plan) -> Affine:
    centre, radius = entity.dxf.center, entity.dxf.radius
    if not radius > 0.0:
        raise ValueError(f"its radius is {radius:g}")
    return after(plan.flat(entity, centre[2]), ellipse_map(centre[0], centre[1], radius, radius))


def _ellipse(entity: Any, plan: _Plan, budget: Budget) -> tuple[list[Curve], bool, bool]:
    budget.take_points(4)
    dxf = entity.dxf
    if not 0.0 < abs(dxf.ratio) <= 1e6:
        raise ValueError(f"its ratio is {dxf.ratio:g}")
    u, v = plan.way(dxf.major_axis), plan.way(dxf.extrusion.cross(dxf.major_axis).normalize(_size(entity)))
    at = plan.place(dxf.center)
    start, end = dxf.start_param, dxf.end_param
    sweep = (end - start) % (2 * pi)
    whole = sweep < 1e-9 or 2 * pi - sweep < 1e-9
    m = (u[0], u[1], v[0], v[1], at[0], at[1])
    return arc(m, start, start + (2 * pi if whole else sweep)), whole, False


def _size(entity: Any) -> float:
    """Length of the minor axis."""
    return float(entity.dxf.major_axis.magnitude * entity.dxf.ratio)


def _lwpolyline(entity: Any, plan: _Plan, budget: Budget) -> tuple[list[Curve], bool, bool]:
    m = plan.flat(entity, entity.dxf.get("elevation", 0.0))
    points = [(x, y, bulge) for x, y, _, _, bulge in entity.lwpoints.values.tolist()]  # x, y, widths, bulge
    budget.take_points(len(points))
    return _vertices(points, bool(entity.closed), m)


def _vertices(points: list[tuple[float, float, float]], closed: bool, m: Affine) -> tuple[list[Curve], bool, bool]:
    if not points:
        return [], closed, True
    if not any(bulge for _, _, bulge in points):
        a, b, c, d, e, f = m
        placed = [Point(a * x + c * y + e, b * x + d * y + f) for x, y, _ in points]
        if closed:
            placed.append(placed[0])
        return [Line(p, q) for p, q in pairwise(placed) if p != q], closed, True
    curves: list[Curve] = []
    placed = [mapped(m, x, y) for x, y, _ in points]
    if closed:
        points, placed = [*points, points[0]], [*placed, placed[0]]
    for ((x, y, bulge), (u, v, _)), (here, there) in zip(pairwise(points), pairwise(placed), strict=True):
        if bulge and not isfinite(bulge):
            raise ValueError("a bulge is not finite")
        if bulge:
            curves += bulged(m, (x, y), (u, v), bulge, here, there)
        elif here != there:
            curves.append(Line(here, there))
    return curves, closed, False


def _polyline(entity: Any, plan: _Plan, budget: Budget) -> tuple[list[Curve], bool]:
    vertices = [v for v in entity.vertices if not v.dxf.get("flags", 0) & _FIT_FRAME]
    budget.take_points(len(vertices))
    closed = bool(entity.dxf.flags & 1)
    if entity.dxf.flags & 8:  # in space: straight runs
        placed = [plan.place(v.dxf.location) for v in vertices]
        return [Line(p, q) for p, q in pairwise([*placed, *placed[:1]] if closed else placed) if p != q], closed
    high = entity.dxf.elevation[2] if entity.dxf.hasattr("elevation") else 0.0
    points = [(v.dxf.location[0], v.dxf.location[1], v.dxf.get("bulge", 0.0)) for v in vertices]
    curves, closed, _ = _vertices(points, closed, plan.flat(entity, high))
    return curves, closed


def _is_straight(curves: list[Curve]) -> bool:
    return all(isinstance(curve, Line) for curve in curves)


def _spline(entity: Any, plan: _Plan, budget: Budget) -> tuple[list[Curve], bool, bool]:
    degree = int(entity.dxf.degree)
    controls = [tuple(map(float, p)) for p in entity.control_points]  # the library's are numpy's
    knots, weights = list(map(float, entity.knots)), list(map(float, entity.weights))
    fits = len(entity.fit_points)
    budget.take_points(max(len(controls), fits))
    if max(len(controls), fits) > _LONGEST_SPLINE:
        raise ValueError(f"it has more than {_LONGEST_SPLINE:,} points")
    if not 1 <= degree <= _HIGHEST_DEGREE:
        raise ValueError(f"its degree is {degree}")
    if not all(map(isfinite, (v for p in controls for v in p))):
        raise ValueError("a control point is not finite")
    closed = bool(entity.closed)
    if not controls:
        if fits < 2:
            raise ValueError("it has no control points")
        if fits > 1_000:
            raise ValueError(f"it has {fits} points to pass through and no control points")
        tool = entity.construction_tool()
        controls = [tuple(map(float, p)) for p in tool.control_points]
        knots, weights = list(map(float, tool.knots())), list(map(float, tool.weights()))
        degree = int(tool.degree)
    if len(controls) <= degree or len(knots) != len(controls) + degree + 1:
        raise ValueError(
            f"it has {len(controls)} control points and {len(knots)} knots, which do not fit degree {degree}"
        )
    if any(not b >= a for a, b in pairwise(knots)) or not isfinite(knots[-1]) or not isfinite(knots[0]):
        raise ValueError("its knots do not rise")
    if weights and (len(weights) != len(controls) or not all(0.0 < w < 1e12 for w in weights)):
        raise ValueError("its weights do not fit its control points")
    rational = bool(weights) and max(weights) - min(weights) > 1e-9 * max(weights)
    if degree <= 3 and not rational:
        curves = exact([plan.place(p) for p in controls], knots, degree)
    else:
        curves = _fitted_spline(controls, knots, weights if rational else None, degree, plan, budget)
    return curves, closed, False


def _fitted_spline(
    controls: list[Any], knots: list[float], weights: list[float] | None, degree: int, plan: _Plan, budget: Budget
) -> list[Curve]:
    from ezdxf.math import BSpline

    tool = BSpline(controls, order=degree + 1, knots=knots, weights=weights)

    def place(t: float) -> tuple[Point, Point]:
        at, speed = tool.derivative(t, n=1)[:2]
        return plan.place(at), plan.way(speed)

    curves: list[Curve] = []
    for span in range(degree, len(controls)):
        if knots[span + 1] > knots[span]:
            # a hair inside, so that the derivative is this span's also where the next begins
            inside = knots[span + 1] - 1e-9 * (knots[span + 1] - knots[span])
            curves += fitted(place, knots[span], inside)
            budget.take_points(len(curves) // 1_000)
    for i, (before, here) in enumerate(pairwise(list(curves)), 1):
        curves[i] = here.with_controls((before.end, *here.controls()[1:]))
    return curves


_READERS: Final = {
    "LINE": _line, "ARC": _arc, "CIRCLE": _circle, "ELLIPSE": _ellipse, "LWPOLYLINE": _lwpolyline, "SPLINE": _spline,
}  # fmt: skip


def _text(entity: Any, kind: str, layer: str, handle: str, scope: _Scope, found: _Found) -> None:
    dxf = entity.dxf
    if kind == "MTEXT":
        words, height, at = entity.plain_text(), dxf.get("char_height", 0.0), scope.plan.place(dxf.insert)
        m = scope.plan.flat(entity, 0.0)
    else:
        words, height = entity.plain_text(), dxf.get("height", 0.0)
        justified = (dxf.get("halign", 0) or dxf.get("valign", 0)) and dxf.hasattr("align_point")
        place = dxf.align_point if justified and dxf.get("halign", 0) not in (3, 5) else dxf.insert
        m = scope.plan.flat(entity, place[2] if len(place) > 2 else 0.0)
        at = mapped(m, place[0], place[1])
    words = " ".join(str(words)[: 4 * LONGEST_TEXT].split())[:LONGEST_TEXT]
    words = words.encode("utf-8", "replace").decode("utf-8")
    if words:
        _near(at)
        size = abs(height) * stretch(m)
        size = size if size < FARTHEST else 0.0  # not known
        found.texts.append(DrawnText(words, at, size, layer, handle, scope.groups))


# ---------------------------------------------------------------------------------------------------------------- units


def largest(drawing: Drawing) -> tuple[float, float] | None:
    """Longer and shorter side of the largest closed outline, or of all that is drawn if none is closed, mm."""
    closed = [path for path in drawing.paths if path.closed]
    boxes = [_box([path]) for path in closed] or ([_box(drawing.paths)] if drawing.paths else [])
    if not boxes:
        return None
    box = max(boxes, key=lambda b: max(b.width, b.height))
    return max(box.width, box.height), min(box.width, box.height)


def _box(paths: Iterable[DrawnPath]) -> Box:
    return Box.round(p for path in paths for curve in path.curves for p in curve.controls())


def _fitting(long: float) -> list[str]:
    """Units in which a length, in units of the drawing, is that of a piece of a garment."""
    return [unit for unit, mm in ASKED.items() if LEAST <= long * mm <= MOST]


def _unlikely(drawing: Drawing, mm: float) -> str:
    size = largest(drawing)
    if size is None or UNLIKELY[0] <= size[0] <= UNLIKELY[1]:
        return ""
    would = [
        f"in {unit} it would be {size[0] / mm * by:.4g} by {size[1] / mm * by:.4g} mm"
        for unit, by in ASKED.items()
        if abs(by - mm) > 1e-9 * mm
    ]
    return (
        f"With its units, {drawing.unit}, its largest outline is {size[0]:.4g} by {size[1]:.4g} mm, which no piece of "
        f"a garment is; {', '.join(would)} (--unit)."
    )


def unit_needed(drawing: Drawing) -> InputError:
    """The question for a drawing without units; it has been read as if in mm."""
    size = largest(drawing)
    found = "it does not say its units ($INSUNITS is 0 or missing)"
    instead = 'Give --unit mm, cm or in, --scale MM-A-UNIT, or the length of one of its lines, --known "ID=100mm"'
    if size is not None:
        found += f", and its largest outline is {size[0]:.6g} by {size[1]:.6g} of them"
        if fitting := _fitting(size[0]):
            instead = f"It has the size of a garment's piece in {' or '.join(fitting)}. {instead}"
    return InputError(found, where=Where(drawing.name), expected="units of mm, cm or in", instead=instead)
