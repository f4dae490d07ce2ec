"""SVG as it will be drawn: strokes with their colours, widths, dashes and transforms, fills, words.

Read with svgelements at 96 units to the inch (CSS Values and Units 3, 5.2): a length without a unit is 1/96 in.
"""

from __future__ import annotations

import re
from io import BytesIO
from math import atan2, ceil, degrees, hypot, sqrt
from typing import Any, Final
from xml.etree import ElementTree

from ..geometry.point import XY
from ..geometry.polygon import Box
from ..verify.drawing import FARTHEST, UnreadableError
from .marks import RGB, Area, Drawn, Ink, Line, Mark, Words

_PX: Final = 25.4 / 96.0
"""mm in a CSS pixel."""
_LENGTHS: Final = {"mm": 1.0, "cm": 10.0, "q": 0.25, "in": 25.4, "pt": 25.4 / 72, "pc": 25.4 / 6}
"""mm of the units of CSS."""
_CHORD: Final = 0.3
"""mm: curves are drawn as chords of that length, or shorter."""
_CAPITALS: Final = 0.7
"""Height of capitals by size of type (common practice, no source)."""
_LEFT_OUT: Final = ("image", "filter", "mask", "clipPath", "linearGradient", "radialGradient", "pattern", "marker")
_ANCHORS: Final = {"start": "ls", "middle": "ms", "end": "rs"}


def read_svg(data: bytes) -> Drawn:
    """Shapes in the order in which they are painted, from the page's lower left corner. Raises UnreadableError."""
    import svgelements as svg

    tidy, left_out = _tidied(data)
    try:
        document: Any = svg.SVG.parse(BytesIO(tidy), reify=False, ppi=96.0)
    except (ValueError, KeyError, TypeError, AttributeError, IndexError, ZeroDivisionError, RecursionError) as error:
        raise UnreadableError(f"it is no drawing that can be read ({error or type(error).__name__})") from None
    width, height = float(document.width), float(document.height)
    if not (0.0 < width * _PX < FARTHEST and 0.0 < height * _PX < FARTHEST):
        raise UnreadableError(f"its page is {width * _PX:g} by {height * _PX:g} mm")
    marks: list[Mark] = []
    texts = 0
    for element in document.elements():
        values = getattr(element, "values", {})
        if values.get("visibility") in ("hidden", "collapse") or values.get("display") == "none":
            continue
        if isinstance(element, svg.Text):
            marks += _words(element, height)
            texts += 1
        elif isinstance(element, svg.Shape):
            marks += _painted(element, svg, height)
    notes = []
    if texts:
        notes.append(f"{texts} texts are drawn in another type than the device's")
    if left_out:
        notes.append(f"not drawn as they will be: {', '.join(left_out)}")
    sized = document.viewbox is not None or (document.values.get("width") and document.values.get("height"))
    if not sized:
        notes.append("it names no size: all that it draws is shown, a unit taken for 1/96 in")
    page = Box(0.0, 0.0, width * _PX, height * _PX) if sized else None
    return Drawn("SVG", tuple(marks), page=page, notes=tuple(notes))


def _tidied(data: bytes) -> tuple[bytes, list[str]]:
    """Without what is only drawn where it is used, which svgelements draws in its place; and what is not followed."""
    try:
        root = ElementTree.fromstring(data)
    except (ElementTree.ParseError, ValueError, LookupError) as error:
        raise UnreadableError(f"it is not XML: {error}") from None
    if root.tag.rpartition("}")[2] != "svg":
        raise UnreadableError("it has no <svg> element")
    space = root.tag.rpartition("}")[0]
    prefix = f"{space}}}" if space else ""
    kept_apart = {prefix + name for name in ("symbol", "clipPath", "mask", "marker", "pattern")}
    for parent in list(root.iter()):
        for child in list(parent):
            if child.tag in kept_apart:
                if parent.tag == prefix + "defs":
                    continue
                place = list(parent).index(child)
                parent.remove(child)
                defs = ElementTree.Element(prefix + "defs")
                defs.append(child)
                parent.insert(place, defs)
    for text in root.iter(prefix + "text"):  # a run in the middle of a line would be drawn at the line's start
        runs = list(text.iter(prefix + "tspan"))
        if runs and not any(run.get(key) for run in runs for key in ("x", "y", "dx", "dy")):
            text.text = "".join(text.itertext())
            for child in list(text):
                text.remove(child)
    for side in ("width", "height"):  # svgelements has 0.0393701 in to the millimetre, a millionth too much
        if said := re.fullmatch(
            r"\s*\+?([\d.]+(?:e[-+]?\d+)?)\s*(mm|cm|in|pt|pc|q)\s*", root.get(side, ""), re.IGNORECASE
        ):
            try:
                root.set(side, f"{float(said[1]) * _LENGTHS[said[2].lower()] / _PX:.12g}")
            except ValueError:
                raise UnreadableError(f"its {side} is {root.get(side)!r}, which is no length") from None
    found = {str(e.tag).rpartition("}")[2] for e in root.iter()}
    return ElementTree.tostring(root), [name for name in _LEFT_OUT if name in found]


def _painted(shape: Any, svg: Any, height: float) -> list[Mark]:
    path: Any = abs(svg.Path(shape))
    matrix = shape.transform
    scale = sqrt(abs(matrix.a * matrix.d - matrix.b * matrix.c)) * _PX
    rings = [ring for part in path.as_subpaths() if (ring := _points(svg.Path(part), height))]
    whole = _number(shape.values.get("opacity"), 1.0)
    found: list[Mark] = []
    if (fill := _colour(shape.fill)) is not None and any(len(ring) > 2 for ring in rings):
        rule = shape.values.get("fill-rule", "nonzero")
        found.append(Area(tuple(r for r in rings if len(r) > 2), fill[0], fill[1] * whole, rule == "evenodd"))
    stroke = _colour(shape.stroke)
    width = float(shape.stroke_width if shape.stroke_width is not None else 1.0)
    if stroke is not None and width > 0.0:
        fixed = shape.values.get("vector-effect") == "non-scaling-stroke"
        by = _PX if fixed else scale
        dashes = _dashes(shape.values.get("stroke-dasharray"), svg, by)
        name = shape.values.get("stroke") or "stroke"
        ink = Ink(str(name), stroke[0], width * by, 1, dashes, alpha=stroke[1] * whole)
        found += [Line(ring, ink) for ring in rings]
    return found


def _points(path: Any, height: float) -> tuple[XY, ...]:
    """A subpath as chords, mm, y up."""
    points: list[XY] = []
    for segment in path:
        kind = type(segment).__name__
        if segment.end is None:
            continue
        if kind in ("Move", "Line", "Close"):
            places = [segment.end]
        else:
            box = segment.bbox()
            size = hypot(box[2] - box[0], box[3] - box[1]) * _PX
            count = min(400, max(8, ceil(2.0 * size / _CHORD)))
            places = [segment.point(i / count) for i in range(1, count + 1)]
        for p in places:
            x, y = float(p.x) * _PX, (height - float(p.y)) * _PX
            if not (abs(x) < FARTHEST and abs(y) < FARTHEST):
                raise UnreadableError(f"it has a point at ({x:g}, {y:g}) mm, which is on no sheet")
            points.append((x, y))
    return tuple(points)


def _colour(colour: Any) -> tuple[RGB, float] | None:
    if colour is None or colour.value is None:
        return None
    return (int(colour.red), int(colour.green), int(colour.blue)), float(colour.opacity)


def _number(text: object, usual: float) -> float:
    try:
        return min(1.0, max(0.0, float(str(text)))) if text is not None else usual
    except ValueError:
        return usual


def _dashes(text: object, svg: Any, by: float) -> tuple[float, ...]:
    """In mm; an odd number of them is gone through twice (SVG 1.1, 11.4). What is no length draws a whole line."""
    words = re.split(r"[\s,]+", str(text or "").strip())
    try:
        lengths = [float(svg.Length(word).value(ppi=96.0)) * by for word in words if word and word != "none"]
    except (ValueError, TypeError):
        return ()
    if not lengths or min(lengths) < 0.0 or sum(lengths) <= 0.0:
        return ()
    return tuple(lengths * (1 + len(lengths) % 2))


def _words(text: Any, height: float) -> list[Mark]:
    said = " ".join(str(text.text or "").split())
    if not said:
        return []
    m = text.transform
    x, y = float(text.x or 0.0), float(text.y or 0.0)
    at = ((m.a * x + m.c * y + m.e) * _PX, (height - (m.b * x + m.d * y + m.f)) * _PX)
    size = float(text.font_size or 16.0) * hypot(m.c, m.d) * _PX
    fill = _colour(text.fill)
    if fill is None:
        return []
    anchor = _ANCHORS.get(str(text.anchor), "ls")
    return [Words(said, at, size * _CAPITALS, degrees(atan2(-m.b, m.a)), fill[0], anchor)]
