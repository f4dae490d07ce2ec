"""SVG from elsewhere: shapes in true size, mm, y up, curves as exact lines and cubics (SVG 1.1; CSS 2.1 for lengths).

The tree is walked as a browser would draw it: nested transforms, views and viewBoxes, `use` and `symbol`, what is
hidden left out and told. svgelements is not used here but to test against: it draws symbols where they are defined,
rounds the millimetre to 0.0393701 in, follows `use` without end, and knows no lines to put in a message.

A subpath is a path. `id` is the element's; further subpaths and further copies of it are `id.2`, `id.3`.
"""

from __future__ import annotations

import re
from collections import Counter
from contextlib import suppress
from math import hypot, pi, sqrt
from typing import Final

from ..errors import InputError, InputErrors, Where
from ..geometry.curve import Curve, Line
from ..geometry.point import Point
from ..geometry.polygon import Box
from ..units import INCH
from ..values import dataclass, field, replace
from .css import Sheet, sheet_of
from .limits import DEEPEST, FARTHEST, LONGEST_TEXT, MOST_TOLD, Budget, too_deep
from .model import Drawing, DrawnPath, DrawnPoint, DrawnText
from .path_data import Subpath, numbers, subpaths, through, transform_of
from .runs import (
    MARK,
    Affine,
    after,
    arc,
    closed_run,
    comes_back,
    ellipse_map,
    flattens,
    mapped,
    strays,
    stretch,
)  # fmt: skip
from .xml_tree import SVG_SPACE, Node, root_of

PX: Final = INCH / 96
"""mm of a CSS pixel, and of a user unit where nothing else is said (CSS 2.1, 4.3.2)."""
_MM: Final = {"mm": 1.0, "cm": 10.0, "q": 0.25, "in": INCH, "pt": INCH / 72, "pc": INCH / 6}
"""mm of the absolute units of CSS."""
_CAPITALS: Final = 0.7
"""Height of capitals by size of type (common practice, no source)."""
_LENGTH: Final = re.compile(r"([+-]?(?>[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?>e[+-]?[0-9]+)?)\s*+([a-z]*+|%)", re.IGNORECASE)
_XLINK: Final = "http://www.w3.org/1999/xlink href"
_GROUPS: Final = frozenset(("g", "a", "svg", "switch", "use", "symbol"))
_SHAPES: Final = frozenset(("path", "rect", "circle", "ellipse", "line", "polyline", "polygon"))
_TOLD: Final = {"image": "pictures", "foreignObject": "foreign objects", "flowRoot": "flowed texts"}
_ALIGN: Final = re.compile(r"(?:defer\s+)?(none|x(Min|Mid|Max)Y(Min|Mid|Max))(?:\s+(meet|slice))?")
_PART: Final = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
_TYPE_SIZES: Final = {
    "xx-small": 9.0, "x-small": 10.0, "small": 13.0, "medium": 16.0, "large": 18.0, "x-large": 24.0, "xx-large": 32.0,
}  # fmt: skip
"""px of the sizes of type by name (CSS Fonts 3, 3.5, from memory)."""


@dataclass(frozen=True, slots=True)
class Told:
    """What the maker says of the size: `scale`, mm per unit of the viewBox; `unit`, what bare sizes are meant in."""

    scale: float | None = None
    unit: str | None = None


@dataclass(frozen=True, slots=True)
class Sized:
    """How the root lies on the table: its map to mm, y up; the view in its own units; how that is known ("": not)."""

    matrix: Affine
    width: float
    height: float
    unit: str
    page: tuple[float, float] | None
    notes: tuple[str, ...] = ()
    mm_per_unit: float = PX


@dataclass(frozen=True, slots=True)
class _Scope:
    """What a group hands on to what lies in it."""

    matrix: Affine
    width: float
    height: float
    layer: str = ""
    groups: tuple[str, ...] = ()
    visible: bool = True
    font_size: float = 16.0
    above: tuple[Node, ...] = ()
    used: tuple[int, ...] = ()
    depth: int = 0
    named: str = ""
    """The id of the `use` that draws this, for the shape that it draws."""


@dataclass(slots=True)
class _Found:
    """What has been read so far."""

    name: str
    budget: Budget
    sheet: Sheet
    ids: dict[str, Node]
    paths: list[DrawnPath] = field(default_factory=list)
    texts: list[DrawnText] = field(default_factory=list)
    points: list[DrawnPoint] = field(default_factory=list)
    mistakes: list[InputError] = field(default_factory=list)
    hidden: Counter[str] = field(default_factory=Counter)
    told: Counter[str] = field(default_factory=Counter)
    times: Counter[str] = field(default_factory=Counter)

    def wrong(self, node: Node, found: str, expected: str = "") -> None:
        """Keeps a mistake; raises them all once there are many."""
        where = Where(self.name, node.line, node.id or node.tag)
        self.mistakes.append(InputError(found, where=where, expected=expected))
        if len(self.mistakes) >= MOST_TOLD:
            raise InputErrors(self.mistakes)


def read_svg(data: bytes, name: str, told: Told = Told(), budget: Budget | None = None) -> tuple[Drawing, Sized]:
    """The drawing, and how its size is known; where it is not (`Sized.unit` is ""), at 96 units an inch.

    Raises InputError or InputErrors, with lines: not SVG, damaged, too big, recursive.
    """
    root = root_of(data, name)
    if root.tag != "svg":
        raise InputError(
            "its outermost element is not <svg>", where=Where(name, root.line), expected="a drawing in SVG",
            instead=f'An SVG begins with <svg xmlns="{SVG_SPACE}">',
        )  # fmt: skip
    ids: dict[str, Node] = {}
    styles: list[str] = []
    waiting = [root]
    while waiting:
        node = waiting.pop()
        if node.tag == "style":
            styles.append(node.words())
        if "id" in node.attributes:
            ids.setdefault(node.attributes["id"], node)
        waiting.extend(reversed(node.children))
    found = _Found(name, (budget or Budget(name)).anew(), sheet_of(styles), ids)
    try:
        sized = _sized(root, told)
    except ValueError as error:
        raise InputError(str(error), where=Where(name, root.line, "svg")) from None
    scope = _Scope(sized.matrix, sized.width, sized.height)
    said = found.sheet.of(root, ())
    if said.get("display") == "none":
        raise InputError("the whole drawing is hidden (display: none)", where=Where(name, root.line, "svg"))
    scope = _styled(scope, root, said, found)
    for child in root.children:
        _draw(child, scope, found)
    if found.mistakes:
        raise found.mistakes[0] if len(found.mistakes) == 1 else InputErrors(found.mistakes)
    drawing = Drawing(
        name, sized.unit, tuple(found.paths), tuple(found.texts), tuple(found.points),
        (*sized.notes, *_notes(found)),
    )  # fmt: skip
    return drawing, sized


def _notes(found: _Found) -> list[str]:
    notes = []
    if found.hidden:
        names = [name for name in found.hidden if name][:5]
        notes.append(
            f"Hidden, and left out: {_count(sum(found.hidden.values()), 'element')}"
            + (f" (among them {', '.join(names)})." if names else ".")
        )
    notes += [f"{what}: {count}." for what, count in found.told.items()]
    if found.sheet.unread:
        listed = ", ".join(found.sheet.unread[:3])
        notes.append(
            f"Rules of the style sheet that are not followed, though they may hide or move something: {listed}."
        )
    return notes


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


# ---------------------------------------------------------------------------------------------------------------- sizes


def length(text: str, whole: float, font_size: float) -> float:
    """A length in user units (px); `whole` is what a percentage is of. Raises ValueError."""
    match = _LENGTH.fullmatch(text.strip())
    if match is None:
        raise ValueError(f"{text.strip()[:30]!r} is not a length")
    value, unit = float(match[1]), match[2].lower()
    if unit in ("", "px"):
        pass
    elif unit == "%":
        value *= whole / 100
    elif unit in _MM:
        value *= _MM[unit] / PX
    elif unit in ("em", "rem", "ex"):
        value *= {"em": font_size, "rem": 16.0, "ex": font_size / 2}[unit]
    else:
        raise ValueError(f"{unit!r} is not a unit of length (in {text.strip()[:30]!r})")
    if not abs(value) < 1e15:
        raise ValueError(f"{text.strip()[:30]!r} is too large")
    return value


def _side(root: Node, key: str) -> tuple[float, str] | None:
    """The root's width or height: the number and its unit ("" if bare); None if it is not told in lengths."""
    spelt = root.attributes.get(key, "")
    for part in root.attributes.get("style", "").split(";"):
        name, _, said = part.partition(":")
        if name.strip().lower() == key and _LENGTH.fullmatch(said.strip()) and "%" not in said:
            spelt = said
    spelt = spelt.strip()
    if spelt in ("", "auto"):
        return None
    match = _LENGTH.fullmatch(spelt)
    if match is None:
        raise ValueError(f"its {key} is {spelt[:30]!r}, which is not a length")
    value, unit = float(match[1]), match[2].lower()
    if unit == "%":
        return None
    if unit and unit != "px" and unit not in _MM:
        raise ValueError(f"its {key} is {spelt[:30]!r}, in a unit that is not known")
    if not 0.0 < value < 1e9:
        raise ValueError(f"its {key} is {spelt[:30]!r}; it must be more than nothing")
    return value, unit


def _view_box(node: Node) -> tuple[float, float, float, float] | None:
    text = node.attributes.get("viewBox", "").strip()
    if not text or text == "none":
        return None
    box = numbers(text, "")
    if len(box) != 4:
        raise ValueError(f"its viewBox is {text[:40]!r}; left, top, width and height are due")
    if not (0.0 < box[2] < 1e12 and 0.0 < box[3] < 1e12):
        raise ValueError(f"its viewBox is {box[2]:g} by {box[3]:g}; both must be more than nothing")
    return box[0], box[1], box[2], box[3]


def _fitted(node: Node, box: tuple[float, float, float, float], width: float, height: float) -> Affine:
    """The viewBox laid in a view of that size, y down (SVG 1.1, 7.8)."""
    text = " ".join(node.attributes.get("preserveAspectRatio", "").split()) or "xMidYMid meet"
    match = _ALIGN.fullmatch(text)
    if match is None:
        raise ValueError(f"its preserveAspectRatio is {text[:40]!r}, which is not understood")
    sx, sy = width / box[2], height / box[3]
    if match[1] == "none":
        return (sx, 0.0, 0.0, sy, -box[0] * sx, -box[1] * sy)
    s = max(sx, sy) if match[4] == "slice" else min(sx, sy)
    left, top = (width - box[2] * s) * _PART[match[2]], (height - box[3] * s) * _PART[match[3]]
    return (s, 0.0, 0.0, s, left - box[0] * s, top - box[1] * s)


def _sized(root: Node, told: Told) -> Sized:
    wide, high = _side(root, "width"), _side(root, "height")
    box = _view_box(root)
    sides = [side for side in (wide, high) if side is not None]
    absolute = bool(sides) and all(unit in _MM for _, unit in sides)
    bare = bool(sides) and all(not unit for _, unit in sides)
    per, known, notes = PX, "", []
    scale = told.scale
    if scale is not None:
        known = f"{scale:g} mm a unit (as told)"
    elif told.unit is not None:
        per = _MM[told.unit]
        known = f"{told.unit} (as told)"
        if box is None or not bare:
            scale = per
    elif absolute:
        told_by = " and ".join(key for key, side in (("width", wide), ("height", high)) if side is not None)
        known = f"{sides[0][1]} ({told_by}{' and viewBox' if box else ''})"
    if known and absolute and (told.scale is not None or told.unit is not None):
        said = " by ".join(f"{value:g} {unit}" for value, unit in sides)
        notes.append(f"The file says that it is {said}; what was told is taken instead.")
    if scale is not None:
        if box is None:
            drawn_w, drawn_h = (wide[0] if wide else 0.0), (high[0] if high else 0.0)
            box = (0.0, 0.0, drawn_w, drawn_h)
        matrix: Affine = (scale, 0.0, 0.0, -scale, -box[0] * scale, (box[1] + box[3]) * scale)
        page = (box[2] * scale, box[3] * scale) if box[2] and box[3] else None
        return Sized(matrix, box[2], box[3], known, page, tuple(notes), scale)
    mm = {"": per, "px": PX, **_MM}
    w = wide[0] * mm[wide[1]] if wide else None
    h = high[0] * mm[high[1]] if high else None
    if box is None:
        if known:
            notes.append("It has no viewBox: its numbers are taken as 1/96 in, as CSS has it.")
        matrix = (PX, 0.0, 0.0, -PX, 0.0, h or 0.0)
        page = (w, h) if w and h else None
        return Sized(matrix, (w or 0.0) / PX, (h or 0.0) / PX, known, page, tuple(notes), PX)
    if w is None:
        w = h * box[2] / box[3] if h is not None else box[2] * PX
    if h is None:
        h = w * box[3] / box[2]
    fit = _fitted(root, box, w, h)
    if abs(fit[0] - fit[3]) > 1e-4 * fit[3]:
        notes.append(
            f"It is stretched: {fit[0] / fit[3]:.4f} as much in width as in height (preserveAspectRatio none)."
        )
    elif abs(w * box[3] - h * box[2]) > 1e-3 * w * box[3]:
        notes.append(
            f"Its page is {w:.1f} by {h:.1f} mm and its viewBox {box[2]:g} by {box[3]:g}, which have not the same "
            f"shape; a unit is {fit[0]:.6g} mm."
        )
    turned = after((1.0, 0.0, 0.0, -1.0, 0.0, h), fit)
    return Sized(turned, box[2], box[3], known, (w, h), tuple(notes), fit[0])


# ----------------------------------------------------------------------------------------------------------------- walk


def _draw(node: Node, scope: _Scope, found: _Found) -> None:
    tag = node.tag
    if tag not in _SHAPES and tag not in _GROUPS and tag != "text":
        if tag in _TOLD:
            found.told[f"Not read, {_TOLD[tag]}"] += 1
        return
    found.budget.take_element()
    try:
        _drawn(node, tag, scope, found)
    except ValueError as error:
        found.wrong(node, str(error))


def _drawn(node: Node, tag: str, scope: _Scope, found: _Found) -> None:
    said = found.sheet.of(node, scope.above)
    if said.get("display") == "none":
        found.hidden[node.label or node.id] += 1
        return
    scope = _styled(scope, node, said, found)
    if "transform" in node.attributes:
        scope = replace(scope, matrix=after(scope.matrix, transform_of(node.attributes["transform"])))
        if flattens(scope.matrix):
            found.told["Left out, as a transform leaves nothing of them"] += 1
            return
    if tag in _SHAPES:
        _shape(node, tag, scope, found)
    elif tag == "text":
        _text(node, scope, found)
    elif tag == "use":
        _use(node, scope, found)
    elif tag == "switch":
        _inside(node, _grouped(scope, node, found), found, _chosen(node))
    elif tag == "svg":
        inner = _viewed(node, scope, _measures(node, scope, ("x", "y", "width", "height")))
        _inside(node, _grouped(inner, node, found), found, node.children)
    elif tag != "symbol":  # a symbol is drawn only where it is used
        _inside(node, _grouped(scope, node, found), found, node.children)


def _styled(scope: _Scope, node: Node, said: dict[str, str], found: _Found) -> _Scope:
    """With what styles say; told where they would clip or move something."""
    if said.get("transform", "none") != "none":
        found.told["Not followed, transforms in styles; what has them may lie elsewhere"] += 1
    for key in ("clip-path", "mask"):
        if node.attributes.get(key, said.get(key, "none")) != "none":
            found.told[f"Taken whole, though cut by a {key}"] += 1
    if "visibility" in said and said["visibility"] != "inherit":
        scope = replace(scope, visible=said["visibility"] == "visible")
    if "font-size" in said:
        size = said["font-size"].strip().lower()
        with suppress(ValueError):  # as a browser does: a size of type moves no line
            scope = replace(scope, font_size=_TYPE_SIZES.get(size) or length(size, scope.font_size, scope.font_size))
    return scope


def _grouped(scope: _Scope, node: Node, found: _Found) -> _Scope:
    if scope.depth >= DEEPEST:
        raise too_deep(found.name, "groups lie in each other", node.line, node.id)
    name = node.label or node.id
    return replace(
        scope, layer=name or scope.layer, groups=(*scope.groups, name) if name else scope.groups,
        above=(*scope.above, node), depth=scope.depth + 1, named="",
    )  # fmt: skip


def _inside(node: Node, scope: _Scope, found: _Found, children: list[Node]) -> None:
    for child in children:
        _draw(child, scope, found)


def _chosen(node: Node) -> list[Node]:
    """The one child of a switch that is drawn: the first that asks for no extension and no language, else the first
    that asks for no extension (SVG 1.1, 5.8)."""
    plain = [c for c in node.children if c.tag and not c.attributes.get("requiredExtensions")]
    free = [c for c in plain if "systemLanguage" not in c.attributes]
    return (free or plain)[:1]


def _measures(node: Node, scope: _Scope, keys: tuple[str, ...]) -> dict[str, float]:
    """The lengths of a shape in user units; those that are not told are not there."""
    found = {}
    for key in keys:
        if (text := node.attributes.get(key)) is None or text.strip() == "auto":
            continue
        across = key in ("x", "width", "cx", "rx", "x1", "x2")
        diagonal = hypot(scope.width, scope.height) / sqrt(2)
        whole = diagonal if key == "r" else scope.width if across else scope.height
        try:
            value = length(text, whole, scope.font_size)
        except ValueError as error:
            raise ValueError(f"its {key}: {error}") from None
        if key in ("width", "height", "r", "rx", "ry") and value < 0.0:
            raise ValueError(f"its {key} is {text.strip()[:30]}; it must not be less than nothing")
        found[key] = value
    return found


def _viewed(node: Node, scope: _Scope, n: dict[str, float]) -> _Scope:
    """Within a nested svg or a symbol of that place and size (the whole view, where none is told)."""
    width, height = n.get("width", scope.width), n.get("height", scope.height)
    m = after(scope.matrix, (1.0, 0.0, 0.0, 1.0, n.get("x", 0.0), n.get("y", 0.0)))
    box = _view_box(node)
    if box is None:
        return replace(scope, matrix=m, width=width, height=height)
    if width == 0.0 or height == 0.0:
        raise ValueError("its view has no size: width and height are due")
    return replace(scope, matrix=after(m, _fitted(node, box, width, height)), width=box[2], height=box[3])


def _use(node: Node, scope: _Scope, found: _Found) -> None:
    target = node.attributes.get("href", node.attributes.get(_XLINK, "")).strip()
    if not target.startswith("#"):
        found.told["Not followed, uses of what is in other files"] += 1
        return
    meant = found.ids.get(target[1:])
    if meant is None:
        found.told[f"Not there, though used: {target[:40]}"] += 1
        return
    if id(meant) in scope.used or meant in scope.above:
        raise InputError(
            f"it uses {target}, in which it lies itself, so it has no end", where=Where(found.name, node.line, node.id)
        )
    n = _measures(node, scope, ("x", "y", "width", "height"))
    at: Affine = (1.0, 0.0, 0.0, 1.0, n.pop("x", 0.0), n.pop("y", 0.0))
    inner = replace(_grouped(scope, node, found), matrix=after(scope.matrix, at), used=(*scope.used, id(meant)))
    if meant.tag in ("symbol", "svg"):
        said = found.sheet.of(meant, inner.above)
        if said.get("display") == "none" and meant.tag == "svg":
            found.hidden[meant.label or meant.id] += 1
            return
        own = _measures(meant, inner, ("x", "y", "width", "height"))
        placed = _viewed(meant, _styled(inner, meant, said, found), {**own, **n})
        _inside(meant, _grouped(placed, meant, found), found, meant.children)
        return
    _draw(meant, replace(inner, named=node.id or node.label), found)


# --------------------------------------------------------------------------------------------------------------- shapes


def _shape(node: Node, tag: str, scope: _Scope, found: _Found) -> None:
    name = scope.named or node.id
    if not scope.visible:
        found.hidden[node.label or node.id] += 1
        return
    m = scope.matrix
    if tag == "path":
        runs = subpaths(node.attributes.get("d", ""), m, found.budget)
        for run in runs or [Subpath([], False, True)]:
            _keep(run, name, node, scope, found)
        return
    if tag in ("polyline", "polygon"):
        given = numbers(node.attributes.get("points", ""), found.name)
        if len(given) % 2:
            raise ValueError(f"its points are {len(given)} numbers; they come in pairs")
        found.budget.take_points(len(given) // 2)
        curves = through(given, m)
        closed = tag == "polygon" or comes_back(curves)
        _keep(Subpath(closed_run(curves) if closed else curves, closed, True), name, node, scope, found)
        return
    found.budget.take_points(4)
    if tag == "line":
        n = _measures(node, scope, ("x1", "y1", "x2", "y2"))
        a, b = mapped(m, n.get("x1", 0.0), n.get("y1", 0.0)), mapped(m, n.get("x2", 0.0), n.get("y2", 0.0))
        _keep(Subpath([Line(a, b)] if a != b else [], False, False), name, node, scope, found)
    elif tag == "rect":
        curves = _rectangle(_measures(node, scope, ("x", "y", "width", "height", "rx", "ry")), m)
        _keep(Subpath(curves, True, False), name, node, scope, found)
    else:
        n = _measures(node, scope, ("cx", "cy", "r") if tag == "circle" else ("cx", "cy", "rx", "ry"))
        if tag == "circle":
            rx = ry = n.get("r", 0.0)
        else:
            rx, ry = n.get("rx", n.get("ry", 0.0)), n.get("ry", n.get("rx", 0.0))
        if rx == 0.0 or ry == 0.0:
            return
        laid = after(m, ellipse_map(n.get("cx", 0.0), n.get("cy", 0.0), rx, ry))
        _keep(Subpath(closed_run(arc(laid, 0.0, 2 * pi)), True, False), name, node, scope, found)
        if 2 * stretch(laid) < MARK:
            found.points.append(DrawnPoint(mapped(laid, 0.0, 0.0), scope.layer, name, scope.groups))


def _rectangle(n: dict[str, float], m: Affine) -> list[Curve]:
    """From the top left, clockwise as seen (SVG 1.1, 9.2); empty if it has no area."""
    x, y, w, h = n.get("x", 0.0), n.get("y", 0.0), n.get("width", 0.0), n.get("height", 0.0)
    if w == 0.0 or h == 0.0:
        return []
    rx, ry = n.get("rx", n.get("ry", 0.0)), n.get("ry", n.get("rx", 0.0))
    rx, ry = min(rx, w / 2), min(ry, h / 2)
    if rx == 0.0 or ry == 0.0:
        return closed_run(through([x, y, x + w, y, x + w, y + h, x, y + h], m))
    curves: list[Curve] = []
    here = mapped(m, x + rx, y)
    corners = ((x + w - rx, y + ry), (x + w - rx, y + h - ry), (x + rx, y + h - ry), (x + rx, y + ry))
    for i, (cx, cy) in enumerate(corners):
        turn = arc(after(m, ellipse_map(cx, cy, rx, ry)), (i - 1) * pi / 2, i * pi / 2)
        if _apart(here, turn[0].start):
            curves.append(Line(here, turn[0].start))
        curves += turn
        here = turn[-1].end
    return closed_run(curves)


def _apart(p: Point, q: Point) -> bool:
    return hypot(p[0] - q[0], p[1] - q[1]) > 1e-9


def _keep(run: Subpath, name: str, node: Node, scope: _Scope, found: _Found) -> None:
    if not run.curves:
        found.told["Left out, lines without length"] += 1
        return
    if (far := strays(run.curves)) is not None:
        raise ValueError(f"it has a point at ({far[0]:g}, {far[1]:g}) mm, which is on no table")
    found.paths.append(
        DrawnPath(
            tuple(run.curves), run.closed, scope.layer, _alone(name, found), scope.groups,
            run.straight and len(run.curves) > 1, node.label,
        )
    )  # fmt: skip


def _alone(name: str, found: _Found) -> str:
    """The name, or with a number where it is taken."""
    if not name:
        return ""
    found.times[name] += 1
    return name if found.times[name] == 1 else f"{name}.{found.times[name]}"


def _text(node: Node, scope: _Scope, found: _Found) -> None:
    """Words at each place that is told; those that run on stay with what is before them."""
    if not scope.visible:
        found.hidden[node.label or node.id] += 1
        return
    runs: list[tuple[Point, float, list[str]]] = []
    _runs(node, scope, (0.0, 0.0), runs, found)
    for at, size, words in runs:
        said = " ".join("".join(words).split())[:LONGEST_TEXT]
        if not said:
            continue
        if strays([Line(at, at)]) is not None:
            raise ValueError(f"its words stand at ({at[0]:g}, {at[1]:g}) mm, which is on no table")
        size = size if size < FARTHEST else 0.0  # not known
        found.texts.append(DrawnText(said, at, size, scope.layer, scope.named or node.id, scope.groups))


def _runs(
    node: Node, scope: _Scope, near: tuple[float, float], runs: list[tuple[Point, float, list[str]]], found: _Found
) -> tuple[float, float]:
    places = {}
    for key, whole in (("x", scope.width), ("y", scope.height), ("dx", scope.width), ("dy", scope.height)):
        first = node.attributes.get(key, "")[:200].replace(",", " ").split()[:1]
        if first:
            places[key] = length(first[0], whole, scope.font_size)
    at = places.get("x", near[0]) + places.get("dx", 0.0), places.get("y", near[1]) + places.get("dy", 0.0)
    if not runs or "x" in places or "y" in places or "dy" in places:
        m = scope.matrix
        size = scope.font_size * hypot(m[2], m[3]) * _CAPITALS
        runs.append((mapped(m, *at), size, []))
    for part in node.parts:
        if isinstance(part, str):
            runs[-1][2].append(part)
        elif part.tag in ("tspan", "a", "textPath"):
            found.budget.take_element()
            said = found.sheet.of(part, scope.above)
            if said.get("display") == "none":
                continue
            if scope.depth >= DEEPEST:
                raise too_deep(found.name, "texts lie in each other", part.line)
            inner = replace(_styled(scope, part, said, found), depth=scope.depth + 1)
            if inner.visible:
                at = _runs(part, inner, at, runs, found)
    return at


# ----------------------------------------------------------------------------------------- sizes that must be asked for


def size_needed(drawing: Drawing, sized: Sized) -> InputError:
    """The question for a drawing whose true size nobody told."""
    box = (
        Box.round(p for path in drawing.paths for curve in path.curves for p in curve.controls())
        if drawing.paths
        else None
    )
    page = f"its page would be {sized.page[0]:.1f} by {sized.page[1]:.1f} mm" if sized.page else ""
    drawn = f"what is drawn would be {box.width:.1f} by {box.height:.1f} mm" if box else "nothing is drawn"
    per = sized.mm_per_unit
    return InputError(
        "its true size is not told: width and height are in px or missing. At 96 px to the inch, as is usual, "
        f"{page + ' and ' if page else ''}{drawn}",
        where=Where(drawing.name),
        expected="width and height in mm, cm or in, or to be told the scale",
        instead=f"If that is its size give --scale {per:.6g} (at 72 px to the inch {per * 96 / 72:.6g}, at 90 "
        f'{per * 96 / 90:.6g}); else --unit mm, cm or in, or the length of one of its lines, --known "ID=100mm"',
    )
