"""Pairs of a DXF as blocks of lines, points and texts, in the file's own units; what they mean comes later.

Only what pattern data can hold is taken up: POLYLINE, LINE, POINT, TEXT, INSERT, and LWPOLYLINE, ARC, CIRCLE, MTEXT of
newer files. All else is counted, so that it can be told. Bulges and arcs become straight runs. Handles, subclass
markers, tables, classes and objects of newer releases are passed over.

Vertices of a polyline mostly have the same codes one after the other, so their columns are taken as slices; only where
one differs are they read one by one.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from itertools import repeat
from math import acos, atan, atan2, ceil, cos, hypot, pi, radians, sin
from typing import Any, Final, NamedTuple, TypeAlias

from ..errors import InputError, InputErrors, Where
from ..geometry.point import XY
from ..values import dataclass, field
from .tokens import MOST_ENTITIES, Tokens

FARTHEST: Final = 1e7
"""Farthest coordinate, in units of the file: no pattern reaches as far as 10 km."""
MOST_TOLD: Final = 20
"""Mistakes that are told together before reading is given up."""
NO_LAYER: Final = -1
_SAGITTA: Final = 0.002
"""How far straight runs may lie from the arc that they stand for, in units of the file (0.05 mm if they are inches)."""
_COMMA: Final = re.compile(r"[-+]?\d{1,9},\d{1,9}")
_NUMBER: Final = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_MTEXT: Final = re.compile(r"\\[A-Za-z][^;\\{}]{0,80};|[{}]")


class RawLine(NamedTuple):
    """`at`: the index of its first pair, for its line in messages."""

    layer: int
    points: list[XY]
    closed: bool
    at: int


RawPoint: TypeAlias = tuple[int, float, float, float, float, float | None, int]
"""Layer, x, y, group 30, group 39, group 50 (None if it is not there), index of its first pair."""


class RawText(NamedTuple):
    """`words` is None where the text has none (no group 1)."""

    layer: int
    x: float
    y: float
    height: float
    angle_deg: float
    words: str | None
    at: int


class RawInsert(NamedTuple):
    name: str
    x: float
    y: float
    x_scale: float
    y_scale: float
    angle_deg: float
    repeated: bool
    at: int


@dataclass(slots=True)
class RawBlock:
    """A block while it is read; the ENTITIES section has the same form."""

    name: str
    at: int
    base: XY = (0.0, 0.0)
    lines: list[RawLine] = field(default_factory=list)
    points: list[RawPoint] = field(default_factory=list)
    texts: list[RawText] = field(default_factory=list)
    inserts: list[RawInsert] = field(default_factory=list)
    others: Counter[str] = field(default_factory=Counter)


@dataclass(frozen=True, slots=True)
class Records:
    """All of a file. `header`: its variables with their first value; `oddities`: what was met, and how often."""

    blocks: tuple[RawBlock, ...]
    entities: RawBlock
    header: Mapping[str, str]
    oddities: Mapping[str, int]


class _BadNumberError(Exception):
    def __init__(self, index: int, found: str | None, what: str) -> None:
        self.index, self.found, self.what = index, found, what


def records_of(tokens: Tokens) -> Records:
    """Blocks and loose entities. Raises InputErrors: every number that is none, 20 at most, each with its line."""
    return _Walk(tokens).records()


class _Walk:
    """One walk through the pairs, entity by entity; `i` is always the index of an entity's first pair (group 0)."""

    def __init__(self, tokens: Tokens) -> None:
        self.tokens = tokens
        self.codes, self.values = tokens.codes, tokens.values
        self.layers: dict[str, int] = {}
        self.problems: list[InputError] = []
        self.oddities: Counter[str] = Counter()
        self.arc_points = 0

    def records(self) -> Records:
        count = self.codes.count(0)
        if count > MOST_ENTITIES:
            raise InputError(
                f"it has {count} entities", where=Where(self.tokens.name),
                expected=f"at most {MOST_ENTITIES}: a whole style has some ten thousand",
            )  # fmt: skip
        blocks: list[RawBlock] = []
        entities = RawBlock("", 0)
        header: dict[str, str] = {}
        section = ""
        holder: RawBlock | None = None
        i, size = 0, len(self.codes)
        while i < size:
            kind = self.values[i].strip()
            after = self.after(i)
            if kind == "SECTION":
                section = self.fields(i, after).get(2, "").strip().upper()
                holder = entities if section == "ENTITIES" else None
                if section == "HEADER":
                    header |= self.variables(i, after)
            elif kind == "ENDSEC":
                holder, section = None, ""
            elif kind == "BLOCK" and section == "BLOCKS":
                if holder is not None:
                    self.oddities[f"{holder.name}: ENDBLK is missing"] += 1
                holder = self.block(i, after)
                blocks.append(holder)
            elif kind == "ENDBLK":
                holder = None if section == "BLOCKS" else holder
            elif holder is not None:
                try:
                    after = self.entity(holder, kind, i, after)
                except _BadNumberError as bad:
                    self.tell(bad)
            i = after
        if self.problems:
            raise InputErrors(self.problems)
        return Records(tuple(blocks), entities, header, self.oddities)

    def tell(self, bad: _BadNumberError) -> None:
        found = "it is missing" if bad.found is None else f"{bad.found.strip()[:40]!r} is not a number"
        if bad.found is not None and _NUMBER.fullmatch(bad.found.strip()):
            found = f"{bad.found.strip()[:40]} is farther than any pattern reaches"
        self.problems.append(
            InputError(
                f"{bad.what}: {found}",
                where=self.tokens.where(bad.index),
                expected=f"a finite number below {FARTHEST:g}, with a decimal point",
            )
        )
        if len(self.problems) >= MOST_TOLD:
            raise InputErrors(self.problems)

    # ------------------------------------------------------------------------------------------------ parts of records

    def after(self, i: int) -> int:
        """Where the next entity begins."""
        found = self.codes.find(0, i + 1)
        return found if found >= 0 else len(self.codes)

    def is_kind(self, i: int, kind: str) -> bool:
        return i < len(self.codes) and self.values[i].strip() == kind

    def fields(self, i: int, end: int) -> dict[int, str]:
        """Values of an entity by group code; of a code that comes again, the last."""
        return dict(zip(self.codes[i:end], self.values[i:end], strict=True))

    def number(self, i: int, found: Mapping[int, str], code: int, default: float | None = None) -> float:
        text = found.get(code)
        if text is None:
            if default is not None:
                return default
            raise _BadNumberError(i, None, f"{self.values[i].strip()[:40]}, group {code}")
        return self.checked(text, i, code)

    def checked(self, text: str, i: int, code: int, index: int | None = None) -> float:
        """A number of a field; its line is looked for only if it is none."""
        try:
            value = float(text)
            if -FARTHEST < value < FARTHEST and "_" not in text:
                return value
        except ValueError:
            if _COMMA.fullmatch(text.strip()):
                self.oddities["Numbers have decimal commas; read as points"] += 1
                return float(text.strip().replace(",", "."))
        place = index if index is not None else self.codes.rindex(code, i, self.after(i))
        raise _BadNumberError(place, text, f"{self.values[i].strip()[:40]}, group {code}")

    def layer(self, text: str | None) -> int:
        if text is None:
            return NO_LAYER
        number = self.layers.get(text)
        if number is None:
            plain = text.strip()
            number = self.layers[text] = int(plain) if re.fullmatch(r"\d{1,4}", plain) else NO_LAYER
        return number

    def variables(self, start: int, end: int) -> dict[str, str]:
        """Header variables: a 9 names one, its first value follows."""
        found: dict[str, str] = {}
        for k in range(start, end - 1):
            if self.codes[k] == 9:
                found[self.values[k].strip().upper()] = self.values[k + 1].strip()
        return found

    def block(self, i: int, after: int) -> RawBlock:
        found = self.fields(i, after)
        block = RawBlock(found.get(2, "").strip(), i)
        try:
            block.base = self.number(i, found, 10, 0.0), self.number(i, found, 20, 0.0)
        except _BadNumberError as bad:
            self.tell(bad)
        return block

    # ------------------------------------------------------------------------------------------------- runs of entities

    def run(self, i: int) -> tuple[int, int]:
        """Where a run of entities of one kind with the same codes ends that begins at i, and how many they are.

        Looked for in strides that double while they hold and are halved when they do not.
        """
        codes, values, kind = self.codes, self.values, self.values[i]
        width = self.after(i) - i
        form = codes[i : i + width]
        end, stride, growing = i, 1, True
        while stride:
            stop = end + width * stride
            if codes[end:stop] == form * stride and values[end:stop:width].count(kind) == stride:
                end = stop
                stride = stride * 2 if growing else stride // 2
            else:
                growing = False
                stride //= 2
        if end < len(codes) and codes[end]:
            end -= width  # the last has more codes
        return end, (end - i) // width

    def column(self, code: int, a: int, b: int, width: int) -> list[float] | None:
        """The numbers of one code in a run a..b; None if one is no number, or too great."""
        written = self.values[self.codes.index(code, a) : b : width]
        try:
            numbers = list(map(float, written))
        except ValueError:
            return None
        total = sum(numbers)  # not a number if one of them is none
        near = total == total and min(numbers) > -FARTHEST and max(numbers) < FARTHEST
        return numbers if near and not (self.tokens.has_underscores and "_" in "".join(written)) else None

    def points(self, holder: RawBlock, i: int) -> int:
        """Takes up a run of points; returns where it ends, i if they must be read one by one."""
        end, count = self.run(i)
        if count < 4:
            return i
        width = (end - i) // count
        form = self.codes[i : i + width]
        if not {8, 10, 20} <= set(form):
            return i
        columns: list[Iterable[float | None]] = []
        for code, default in ((10, 0.0), (20, 0.0), (30, 0.0), (39, 0.0), (50, None)):
            column = self.column(code, i, end, width) if code in form else repeat(default, count)
            if column is None:
                return i
            columns.append(column)
        written = self.values[i + form.index(8) : end : width]
        layers = {text: self.layer(text) for text in set(written)}
        taken: Any = zip(map(layers.__getitem__, written), *columns, range(i, end, width), strict=True)
        holder.points += taken
        return end

    # -------------------------------------------------------------------------------------------------------- entities

    def entity(self, holder: RawBlock, kind: str, i: int, after: int) -> int:
        """Takes up the entity i; returns where the next begins that does not belong to it."""
        if kind == "POLYLINE":
            return self.polyline(holder, i, after)
        if kind == "POINT" and (end := self.points(holder, i)) > i:
            return end
        found = self.fields(i, after)
        layer = self.layer(found.get(8))
        if kind == "POINT":
            x, y = self.number(i, found, 10), self.number(i, found, 20)
            z, thickness = self.number(i, found, 30, 0.0), self.number(i, found, 39, 0.0)
            angle = self.number(i, found, 50) if 50 in found else None
            holder.points.append((layer, x, y, z, thickness, angle, i))
        elif kind == "LINE":
            a = self.number(i, found, 10), self.number(i, found, 20)
            b = self.number(i, found, 11), self.number(i, found, 21)
            holder.lines.append(RawLine(layer, [a, b], False, i))
        elif kind in ("TEXT", "MTEXT"):
            words = found.get(1) if kind == "TEXT" else self.long_text(i, after)
            x, y = self.number(i, found, 10, 0.0), self.number(i, found, 20, 0.0)
            height, angle_deg = self.number(i, found, 40, 0.0), self.number(i, found, 50, 0.0)
            holder.texts.append(RawText(layer, x, y, height, angle_deg, words, i))
        elif kind == "INSERT":
            x, y = self.number(i, found, 10, 0.0), self.number(i, found, 20, 0.0)
            scales = self.number(i, found, 41, 1.0), self.number(i, found, 42, 1.0)
            repeated = self.number(i, found, 70, 1.0) * self.number(i, found, 71, 1.0) > 1
            angle_deg = self.number(i, found, 50, 0.0)
            holder.inserts.append(RawInsert(found.get(2, "").strip(), x, y, *scales, angle_deg, repeated, i))
        elif kind == "LWPOLYLINE":
            self.light_polyline(holder, i, after, layer, int(self.number(i, found, 70, 0.0)))
        elif kind in ("ARC", "CIRCLE"):
            self.arc(holder, i, found, layer, whole=kind == "CIRCLE")
        elif kind != "SEQEND":
            told = layer if layer != NO_LAYER else found.get(8, "").strip()[:40]
            holder.others[f"{kind[:40]} on layer {told}" if told != "" else kind[:40]] += 1
        return after

    def long_text(self, i: int, end: int) -> str:
        """The words of an MTEXT, without its codes for fonts and heights."""
        parts = [v for c, v in zip(self.codes[i:end], self.values[i:end], strict=True) if c in (1, 3)]
        return _MTEXT.sub("", "".join(parts)[:8_000].replace("\\P", " ").replace("\\~", " "))

    def polyline(self, holder: RawBlock, i: int, after: int) -> int:
        """A POLYLINE with its vertices. What ends it is taken with it, as is the run of vertices without SEQEND."""
        found = self.fields(i, after)
        runs: list[tuple[int, int, int]] = []
        end = after
        while self.is_kind(end, "VERTEX"):
            stop, count = self.run(end)
            runs.append((end, stop, count))
            end = stop
        vertices_end = end
        if self.is_kind(end, "SEQEND"):
            end = self.after(end)
        else:
            self.oddities[f"{holder.name or 'ENTITIES'}: SEQEND is missing after a polyline"] += 1
        try:
            layer = self.layer(found.get(8))
            flags = int(self.number(i, found, 70, 0.0))
            closed = bool(flags & 1)
            if layer == NO_LAYER and runs:
                layer = self.layer(self.fields(after, self.after(after)).get(8))
            if flags & 80:
                holder.others[f"mesh on layer {layer}"] += 1
            elif not runs:
                holder.others[f"POLYLINE without vertices on layer {layer}"] += 1
            else:
                points = self.vertices(runs)
                if points is None:
                    points = self.one_by_one(after, vertices_end, closed)
                if points:
                    holder.lines.append(RawLine(layer, points, closed, i))
        except _BadNumberError as bad:
            self.tell(bad)
        return end

    def vertices(self, runs: Sequence[tuple[int, int, int]]) -> list[XY] | None:
        """The points of runs of vertices; None if they must be read one by one."""
        points: list[XY] = []
        for a, b, count in runs:
            width = (b - a) // count
            form = self.codes[a : a + width]
            if 10 not in form or 20 not in form:
                return None
            if 42 in form and any(self.column(42, a, b, width) or (1.0,)):
                return None
            if 70 in form and any(text.strip() == "16" for text in self.values[a + form.index(70) : b : width]):
                return None
            xs, ys = self.column(10, a, b, width), self.column(20, a, b, width)
            if xs is None or ys is None:
                return None
            points += zip(xs, ys, strict=True)
        return points

    def one_by_one(self, i: int, end: int, closed: bool) -> list[XY]:
        corners: list[tuple[float, float, float]] = []
        first = i
        while i < end:
            after = self.after(i)
            found = self.fields(i, after)
            if not int(self.number(i, found, 70, 0.0)) & 16:  # else a control point of a fitted curve, not on it
                x, y = self.number(i, found, 10), self.number(i, found, 20)
                corners.append((x, y, self.number(i, found, 42, 0.0)))
            i = after
        return self.bulged(corners, closed, first)

    def light_polyline(self, holder: RawBlock, i: int, end: int, layer: int, flags: int) -> None:
        corners: list[tuple[float, float, float]] = []
        x: float | None = None
        for k in range(i, end):
            code, value = self.codes[k], self.values[k]
            if code == 10:
                x = self.checked(value, i, code, k)
            elif code == 20 and x is not None:
                corners.append((x, self.checked(value, i, code, k), 0.0))
                x = None
            elif code == 42 and corners:
                corners[-1] = (*corners[-1][:2], self.checked(value, i, code, k))
        if corners:
            closed = bool(flags & 1)
            points = self.bulged(corners, closed, i)
            holder.lines.append(RawLine(layer, points, closed, i))
        else:
            holder.others[f"LWPOLYLINE without vertices on layer {layer}"] += 1

    def bulged(self, corners: Sequence[tuple[float, float, float]], closed: bool, at: int) -> list[XY]:
        """Corners with the arcs between them; a bulge is the tangent of a quarter of the arc's angle, + to the left."""
        points: list[XY] = []
        for k, (x, y, bulge) in enumerate(corners):
            points.append((x, y))
            if bulge and (closed or k + 1 < len(corners)):
                end = corners[(k + 1) % len(corners)]
                dx, dy = end[0] - x, end[1] - y
                chord = hypot(dx, dy)
                if not chord or abs(bulge) > 1e4:
                    continue
                # The centre lies (1 - b²) / 4b chords to the left of the middle of the chord.
                off = (1 - bulge * bulge) / (4 * bulge)
                centre = x + dx / 2 - dy * off, y + dy / 2 + dx * off
                start = atan2(y - centre[1], x - centre[0])
                radius = chord * (1 + bulge * bulge) / (4 * abs(bulge))
                points += self.arc_points_of(centre, radius, start, 4 * atan(bulge), at)[1:-1]
        return points

    def arc(self, holder: RawBlock, i: int, found: Mapping[int, str], layer: int, *, whole: bool) -> None:
        centre = self.number(i, found, 10), self.number(i, found, 20)
        radius = self.number(i, found, 40)
        start = 0.0 if whole else radians(self.number(i, found, 50))
        swept = 2 * pi if whole else (radians(self.number(i, found, 51)) - start) % (2 * pi) or 2 * pi
        points = self.arc_points_of(centre, abs(radius), start, swept, i)
        if len(points) > 1:
            holder.lines.append(RawLine(layer, points[:-1] if whole else points, whole, i))

    def arc_points_of(self, centre: XY, radius: float, start: float, swept: float, at: int) -> list[XY]:
        """Points along an arc, both ends included; radians, counter-clockwise if `swept` is positive."""
        if not radius:
            return []
        step = 2 * acos(max(1 - _SAGITTA / radius, 0.9))
        count = min(720, max(1, ceil(abs(swept) / max(step, 1e-4))))
        self.arc_points += count
        if self.arc_points > MOST_ENTITIES:
            raise InputError(
                f"its arcs come to more than {MOST_ENTITIES} points", where=self.tokens.where(at),
                expected="a pattern: a whole style has some ten thousand",
            )  # fmt: skip
        x, y = centre
        angles = [start + swept * k / count for k in range(count + 1)]
        return [(x + radius * cos(angle), y + radius * sin(angle)) for angle in angles]
