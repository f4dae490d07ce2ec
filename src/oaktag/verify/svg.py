"""SVG: the tree read with ElementTree, outlines with svgelements, marks by a reader of straight lines of our own.

What is proved besides the lines: that the sheet has its size in mm and one user unit is one (SVG 1.1, 7.2, 7.7, 7.10),
and that every line shows: drawn with a pen, in a colour that shows, not hidden, clipped, covered or off the sheet.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping
from math import ceil, inf
from pathlib import Path
from typing import Any, Final
from xml.etree import ElementTree

from ..geometry.point import XY
from ..values import dataclass
from .drawing import FARTHEST, Drawing, Named, Proved, Run, UnreadableError, slug, squares_by_size
from .marks import ROLES

_NS: Final = "{http://www.w3.org/2000/svg}"
_UNITS: Final = {"mm": 1.0, "cm": 10.0, "in": 25.4, "pt": 25.4 / 72, "pc": 25.4 / 6, "px": 25.4 / 96, "": 25.4 / 96}
"""mm in each unit of SVG; a bare number is px (SVG 1.1, 7.10; CSS: 96 px to the inch)."""
_SIZED: Final = re.compile(r"\s*([+-]?[\d.]+(?:[eE][+-]?\d+)?)\s*([a-z]{0,2})\s*")
_EXACT: Final = 1e-4
"""mm by which a mm of the file may differ from one of the sheet, and a stroke lie off the sheet (files: 4 digits)."""
_PLAIN: Final = re.compile(r"(?:M[L0-9\s.,-]*Z?\s*)*")
_SMALL: Final = 50.0
"""mm; what is smaller is no square of a scale block, but its lettering."""
_SILENT: Final = {"title", "desc", "metadata", "defs"}
_GROUPS: Final = {"svg", "g", "a"}
_HIDING: Final = ("clip-path", "mask", "filter")
_PALE: Final = 0.8
"""Relative luminance (0 black, 1 white; CSS Color 4, 10.1) above which a line does not show on paper (our own)."""
_FAINT: Final = 0.5
"""Least opacity of a line that shows (our own)."""
_THIN: Final = 0.01
"""Least width of a line that shows, mm."""
_OUTLINES: Final = ("cut-line", "stitch-line")
_MARKS: Final = {role.replace(" ", "-"): role for role in ROLES}
_CODE: Final = "code"
_OTHERS: Final = ("scale-block", "joins", _CODE)


def read_svg(path: Path) -> Drawing:
    """Paths with ids `piece.cut-line`, `piece.notches`, `scale-block.…`; mm, y up. Raises UnreadableError.

    Of several sizes each path has its `data-size`; its id is `piece.cut-line.12` in a nest, `piece.12.cut-line` apart.
    In a nest `piece.cut-line.corners.12` repeats parts of the line.
    """
    data = path.read_bytes()
    if b"<svg" not in data[:100_000]:
        raise UnreadableError("it has no <svg> element")
    try:
        root = ElementTree.fromstring(data)
    except ElementTree.ParseError as error:
        raise UnreadableError(f"it is no whole XML file ({error})") from None
    if root.tag not in ("svg", f"{_NS}svg"):
        raise UnreadableError("it has no <svg> element")
    sheet = _sheet(root)
    roles: dict[str, dict[Named, list[Run]]] = {role: defaultdict(list) for role in _OUTLINES}
    marks: dict[Named, dict[str, list[Run]]] = {}
    scale: list[Run] = []
    codes: list[Run] = []
    hidden: list[str] = []
    outside: list[str] = []
    dashes: dict[Named, tuple[float, ...]] = {}
    for shape in _shapes(root, _Look()):
        if shape.wrong:
            hidden.append(shape.wrong)
        if not shape.id or "." not in shape.id:
            continue
        name, role, more = _parted(shape.id, shape.size)
        mark = _MARKS.get(role)
        if shape.size and not _signs(more.removeprefix("corners.")).startswith(_signs(shape.size) if more else ""):
            hidden.append(f"{shape.id} says that it is of size {shape.size}")
        if role not in (*_OUTLINES, *_OTHERS) and mark is None and "scale-block" not in shape.id:
            hidden.append(f"{shape.id} is no part of a pattern")
            continue
        scales = slug(name).startswith("scale-block")
        runs = sheet.runs(
            shape, exact=0.0 if mark is None and not scales and role != _CODE else _SMALL if scales else inf
        )
        if any(not sheet.holds(run) for run in runs):
            outside.append(shape.id)
        if more.startswith("corners.") or shape.unseen:
            continue
        if scales:
            scale.extend(runs)
        elif slug(name) == "small-scale-block":
            roles["cut-line"][Named(name)].extend(run for run in runs if run.closed and run.length() > 150.0)
        elif role == _CODE:
            codes.extend(runs)
        elif mark is not None:
            marks.setdefault(Named(name, shape.size), defaultdict(list))[mark].extend(runs)
        elif role in _OUTLINES:
            roles[role][Named(name, shape.size)].extend(runs)
            if role == "cut-line":
                dashes[Named(name, shape.size)] = shape.dashes
    cut, stitch = ({n: tuple(runs) for n, runs in roles[role].items()} for role in _OUTLINES)
    proved = (
        Proved("size of the sheet", sheet.wrong, sheet.right),
        Proved("lines that show", _several(hidden), "every line is drawn with a pen, in a colour that shows"),
        Proved("inside the sheet", f"{_several(outside)} leaves the sheet" if outside else "", "every line lies on it"),
    )
    held = {named: {role: tuple(runs) for role, runs in own.items()} for named, own in marks.items()}
    return Drawing(
        cut, stitch, squares=squares_by_size(scale), marks=held, proved=proved, dashes=dashes, codes=tuple(codes)
    )


def _several(words: list[str]) -> str:
    return words[0] + (f", and {len(words) - 1} more like it" if len(words) > 1 else "") if words else ""


# ---- the sheet


@dataclass(frozen=True, slots=True)
class _Sheet:
    """What is shown of the user's units, and how large a unit is printed, mm."""

    left: float
    top: float
    width: float
    height: float
    scale: float
    wrong: str
    right: str

    def holds(self, run: Run) -> bool:
        """Whether a run (mm, y up) lies on the sheet."""
        k, slack = self.scale, 100 * _EXACT
        xs, ys = [x for x, _ in run.points], [-y for _, y in run.points]
        return (
            self.left * k - slack <= min(xs)
            and max(xs) <= (self.left + self.width) * k + slack
            and self.top * k - slack <= min(ys)
            and max(ys) <= (self.top + self.height) * k + slack
        )

    def runs(self, shape: _Shape, *, exact: float) -> list[Run]:
        """The lines of a path, mm, y up: by svgelements those that are as large as `exact`, mm, or not plain."""
        k, matrix = self.scale, shape.matrix
        if matrix is not None or not _PLAIN.fullmatch(shape.data):
            return self._read(shape.data, matrix)
        if not exact:
            return self._read(shape.data, None)
        found: list[Run] = []
        for part in shape.data.split("M")[1:]:
            points, closed = _plain(part)
            if exact < inf and _extent(points) * k >= exact:
                found += self._read(f"M{part}", None)
            elif len(points) > 1:
                found.append(Run.of([(x * k, -y * k) for x, y in points], closed=closed))
        return found

    def _read(self, data: str, matrix: Any) -> list[Run]:
        import svgelements as svg

        drawn: Any = svg.Path(data)
        if matrix is not None:
            drawn = abs(drawn * matrix)
        found = [_run(part, self.scale) for part in drawn.as_subpaths()]
        return [run for run in found if len(run.points) > 1]


def _sheet(root: ElementTree.Element) -> _Sheet:
    sized = [_SIZED.fullmatch(root.get(key, "")) for key in ("width", "height")]
    try:
        box = [float(part) for part in re.split(r"[\s,]+", root.get("viewBox", "").strip()) if part]
    except ValueError:
        box = []
    if len(box) != 4 or min(box[2:], default=0.0) <= 0.0 or any(abs(part) > FARTHEST for part in box):
        width, height = (float(match[1]) if match else 0.0 for match in sized)
        said = "it has no viewBox of four numbers, so that nothing says how large a unit is"
        return _Sheet(0.0, 0.0, width, height, 25.4 / 96, said, "")
    left, top, width, height = box
    wrong = ""
    mm = [float(match[1]) * _UNITS[match[2]] if match and match[2] in _UNITS else 0.0 for match in sized]
    if any(match is None or match[2] not in ("mm", "cm", "in", "pt", "pc") for match in sized):
        told = " and ".join(f"{key} {root.get(key, 'not given')!r}" for key in ("width", "height"))
        scale = min(mm[0] / width, mm[1] / height) or 25.4 / 96
        wrong = f"{told} name no length of paper: a program takes them for px and prints at {scale:.1%}; mm is meant"
        return _Sheet(left, top, width, height, scale, wrong, "")
    scale = min(mm[0] / width, mm[1] / height)
    if max(abs(mm[0] - width * scale), abs(mm[1] - height * scale), abs(mm[0] - width), abs(mm[1] - height)) > _EXACT:
        wrong = (
            f"the sheet is {mm[0]:.3f} by {mm[1]:.3f} mm and its viewBox {width:g} by {height:g}: it prints at "
            f"{scale:.2%} of full size"
        )
    elif root.get("preserveAspectRatio", "xMidYMid meet").split()[-1] == "slice":
        wrong = "preserveAspectRatio slices the sheet"
    elif root.get("transform"):
        wrong = "the whole sheet is transformed"
    return _Sheet(left, top, width, height, scale, wrong, f"{mm[0]:.1f} by {mm[1]:.1f} mm, one unit of the file a mm")


# ---- what is drawn, and whether it shows


@dataclass(frozen=True, slots=True)
class _Look:
    """How elements within a group are drawn (SVG 1.1, 11): presentation attributes and the group's own effects."""

    stroke: str = "none"
    fill: str = "black"
    width: str = "1"
    stroke_opacity: str = "1"
    dashes: str = "none"
    visibility: str = "visible"
    opacity: float = 1.0
    hidden: str = ""
    matrix: Any = None

    def within(self, element: ElementTree.Element) -> _Look:
        own = _properties(element)

        def given(key: str, usual: str) -> str:
            value = own.get(key, usual).strip()
            return usual if value == "inherit" else value

        hidden = self.hidden or next((f"is under a {key}" for key in _HIDING if own.get(key, "none") != "none"), "")
        if own.get("display", "inline").strip() == "none":
            hidden = hidden or "is not displayed"
        matrix = self.matrix
        if own.get("transform"):
            import svgelements as svg

            matrix = svg.Matrix(own["transform"]) * (self.matrix if self.matrix is not None else svg.Matrix())
        return _Look(
            given("stroke", self.stroke),
            given("fill", self.fill),
            given("stroke-width", self.width),
            given("stroke-opacity", self.stroke_opacity),
            given("stroke-dasharray", self.dashes),
            given("visibility", self.visibility),
            self.opacity * _share(own.get("opacity", "1")),
            hidden,
            matrix,
        )

    def pattern(self) -> tuple[float, ...]:
        """Its line pattern; none where it is solid."""
        found = re.findall(r"\d[\d.]*|\.\d+", self.dashes) if self.dashes != "none" else []
        return tuple(float(part) for part in found)

    def wrong(self) -> str:
        """Why a path that looks so does not show as a line; "" if it does."""
        if self.hidden or self.visibility != "visible":
            return self.hidden or "is not visible"
        if self.opacity * _share(self.stroke_opacity) < _FAINT:
            return "is drawn so faint that it does not show"
        if self.stroke == "none" or _luminance(self.stroke) > _PALE:
            return f"is drawn in {self.stroke}, which does not show on paper"
        width = _SIZED.fullmatch(self.width)
        if width is None or not float(width[1]) >= _THIN:
            return f"is drawn with a pen of width {self.width}"
        if self.fill not in ("none", "transparent"):
            return "is filled, and may cover what lies under it"
        if self.dashes != "none":
            parts = self.pattern()
            if sum(parts) <= 0.0 or sum(parts[::2]) < 0.15 * sum(parts):
                return f"is drawn in dashes of {self.dashes}, which hardly show"
        return ""


def _share(text: str) -> float:
    """An opacity, 0 to 1; 0 where it cannot be read."""
    match = re.fullmatch(r"\s*([\d.]+)(%?)\s*", text)
    return float(match[1]) / (100.0 if match[2] else 1.0) if match else 0.0


def _luminance(colour: str) -> float:
    """0 black to 1 white (CSS Color 4, 10.1), as it shows on white paper; 1 where there is no such colour."""
    import svgelements as svg

    found: Any = svg.Color(colour)
    if found.value is None:
        return 1.0

    def linear(value: float) -> float:
        return value / 12.92 if value <= 0.04045 else float(((value + 0.055) / 1.055) ** 2.4)

    red, green, blue = (linear(value / 255) for value in (found.red, found.green, found.blue))
    covers: float = found.alpha / 255
    return (0.2126 * red + 0.7152 * green + 0.0722 * blue) * covers + 1.0 - covers


def _properties(element: ElementTree.Element) -> Mapping[str, str]:
    """Its attributes, and what its style says instead."""
    style = element.get("style")
    if not style:
        return element.attrib
    pairs = (part.split(":", 1) for part in style.split(";") if ":" in part)
    return dict(element.attrib) | {key.strip(): value.split("!")[0].strip() for key, value in pairs}


@dataclass(frozen=True, slots=True)
class _Shape:
    """One path as it is drawn; `wrong` says why it does not show, `unseen` that it is not there at all."""

    id: str
    size: str
    data: str
    matrix: Any
    wrong: str
    unseen: bool
    dashes: tuple[float, ...] = ()


def _shapes(element: ElementTree.Element, outer: _Look) -> Iterator[_Shape]:
    """Every path, in its order; whatever else would be drawn is told as a fault."""
    look = outer.within(element)
    for child in element:
        tag = child.tag.removeprefix(_NS) if isinstance(child.tag, str) else ""
        id_ = child.get("id", "")
        if tag in _GROUPS:
            yield from _shapes(child, look)
        elif tag == "path":
            own = look.within(child)
            wrong = own.wrong()
            said = f"{id_ or 'a path without a name'} {wrong}" if wrong else ""
            if not said and "." not in id_:
                said = f"a path named {id_!r} is no part of a pattern"
            yield _Shape(
                id_, child.get("data-size", ""), child.get("d", ""), own.matrix, said, bool(wrong), own.pattern()
            )
        elif tag and tag not in _SILENT:
            what = (
                "has a style sheet, which may hide lines"
                if tag == "style"
                else f"draws a <{tag}>, which may hide lines"
            )
            yield _Shape("", "", "", None, f"it {what}", True)


# ---- names and lines


def _signs(text: str) -> str:
    """Letters and figures alone: an id cannot hold every sign of a size's name."""
    return re.sub(r"[^a-z0-9]", "", text.lower())


def _parted(id_: str, size: str) -> tuple[str, str, str]:
    """Piece, role, and what follows the role, of an id.

    >>> _parted("front.cut-line.corners.1.5", "1.5"), _parted("front.1.5.cut-line", "1.5"), _parted("a.b.cut-line", "")
    (('front', 'cut-line', 'corners.1.5'), ('front', 'cut-line', ''), ('a.b', 'cut-line', ''))
    """
    name, _, role = id_.rpartition(".")
    known = (*_OUTLINES, *_OTHERS, *_MARKS)
    if size:
        first, _, rest = id_.partition(".")
        own, _, more = rest.partition(".")
        if own in known:
            return first, own, more
        return first, role, ""
    if role.isdigit() and role not in known:  # strokes of one role in several line patterns
        name, _, role = name.rpartition(".")
    return name, role, ""


def _plain(part: str) -> tuple[list[XY], bool]:
    """A line of path data that has M, L and Z alone (SVG 1.1, 8.3), without its M: points, and whether it is closed."""
    numbers = [float(n) for n in part.replace("L", " ").replace("Z", " ").replace(",", " ").split()]
    return list(zip(numbers[::2], numbers[1::2], strict=True)), "Z" in part


def _extent(points: list[XY]) -> float:
    """The longer side of the bounds."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return max(max(xs) - min(xs), max(ys) - min(ys)) if points else 0.0


def _run(path: Any, scale: float) -> Run:
    points: list[XY] = []
    closed = False
    for segment in path:
        kind = type(segment).__name__
        closed = closed or kind == "Close"
        if kind in ("Move", "Line"):
            points.append((segment.end.x * scale, -segment.end.y * scale))
        elif kind != "Close":
            points.extend((x * scale, y * scale) for x, y in _curve(segment))
    return Run.of(points, closed=closed)


def _curve(segment: Any) -> list[XY]:
    """Curves as chords, near enough for 0.002 mm on any radius above 20 mm: half a millimetre each, 200 at most."""
    count = min(200, max(8, ceil(float(segment.length(error=1e-3)) / 0.5)))
    points = (segment.point(i / count) for i in range(1, count + 1))
    return [(p.x, -p.y) for p in points]
