"""Path data, lists of points and transforms of SVG as numbers and curves (SVG 1.1, 7.6, 8.3, 9.7.1)."""

from __future__ import annotations

import re
from itertools import islice, pairwise
from math import cos, isfinite, radians, sin, tan
from typing import Final, NamedTuple

from ..geometry.curve import Cubic, Curve, Line
from ..geometry.point import Point
from .limits import MOST_POINTS, Budget, too_many
from .runs import IDENTITY, Affine, after, arc, closed_run, comes_back, pinned_ends, raised, svg_arc

_N: Final = r"[+-]?(?>[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?>[eE][+-]?[0-9]+)?"
_NUMBER: Final = re.compile(_N)
_S: Final = r"[\s,]*+"
_ARC: Final = re.compile(rf"{_S}({_N}){_S}({_N}){_S}({_N}){_S}([01]){_S}([01]){_S}({_N}){_S}({_N}){_S}")
_COMMAND: Final = re.compile(r"([MmZzLlHhVvCcSsQqTtAa])")
_COMMANDS: Final = "MmZzLlHhVvCcSsQqTtAa"
_BETWEEN: Final = " \t\r\n\f,"
_DUE: Final = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7}
_TRANSFORM: Final = re.compile(r"[\s,]*+(matrix|translate|scale|rotate|skewX|skewY)\s*+\(([^()]*+)\)")
_LONG: Final = 2_000_000
"""Characters from which numbers are counted before they are taken."""


class Subpath(NamedTuple):
    """`straight`: it was given by points alone."""

    curves: list[Curve]
    closed: bool
    straight: bool


def numbers(text: str, name: str) -> list[float]:
    """Numbers parted by blanks or commas. Raises ValueError for anything else, InputError for too many."""
    if len(text) > _LONG and sum(1 for _ in islice(_NUMBER.finditer(text), 2 * MOST_POINTS + 1)) > 2 * MOST_POINTS:
        raise too_many(name, MOST_POINTS, "points")
    if rest := _NUMBER.sub("", text).strip(_BETWEEN):
        raise ValueError(f"{rest[:20]!r} stands where a number is due")
    found = list(map(float, _NUMBER.findall(text)))
    if found and not (isfinite(max(found)) and isfinite(min(found))):
        raise ValueError("a number is too large")
    return found


def transform_of(text: str) -> Affine:
    """The map of a list of transforms. Raises ValueError."""
    if len(text) > 20_000:
        raise ValueError("its transform is absurdly long")
    m, at = IDENTITY, 0
    if text.strip() in ("", "none"):
        return m
    while at < len(text):
        match = _TRANSFORM.match(text, at)
        if match is None:
            if text[at:].strip(_BETWEEN):
                raise ValueError(f"its transform is not understood at {text[at : at + 30].strip()!r}")
            break
        m = after(m, _one(match[1], numbers(match[2], "")))
        at = match.end()
    if not all(map(isfinite, m)):
        raise ValueError("its transform is too large")
    return m


def _one(kind: str, n: list[float]) -> Affine:
    due = {"matrix": (6,), "translate": (1, 2), "scale": (1, 2), "rotate": (1, 3), "skewX": (1,), "skewY": (1,)}[kind]
    if len(n) not in due:
        raise ValueError(f"{kind}() has {len(n)} numbers; {' or '.join(map(str, due))} are due")
    if kind == "matrix":
        return (n[0], n[1], n[2], n[3], n[4], n[5])
    if kind == "translate":
        return (1.0, 0.0, 0.0, 1.0, n[0], n[1] if len(n) == 2 else 0.0)
    if kind == "scale":
        return (n[0], 0.0, 0.0, n[-1], 0.0, 0.0)
    if kind == "rotate":
        c, s = cos(radians(n[0])), sin(radians(n[0]))
        x, y = (n[1], n[2]) if len(n) == 3 else (0.0, 0.0)
        return (c, s, -s, c, x - c * x + s * y, y - s * x - c * y)
    if kind == "skewX":
        return (1.0, 0.0, tan(radians(n[0])), 1.0, 0.0, 0.0)
    return (1.0, tan(radians(n[0])), 0.0, 1.0, 0.0, 0.0)


def through(points: list[float], m: Affine) -> list[Curve]:
    """Straight runs through points given as x, y, x, y …, mapped; points that are repeated are dropped."""
    a, b, c, d, e, f = m
    placed = [Point(a * x + c * y + e, b * x + d * y + f) for x, y in zip(points[0::2], points[1::2], strict=False)]
    return [Line(p, q) for p, q in pairwise(placed) if p != q]


def subpaths(text: str, m: Affine, budget: Budget) -> list[Subpath]:
    """The subpaths of path data, mapped; those without length are left out.

    Raises ValueError with what is wrong: a damaged path leaves open what is to be cut, so none of it is taken.
    """
    if sum(map(text.count, _COMMANDS)) > MOST_POINTS:
        raise too_many(budget.name, MOST_POINTS, "points")
    parts = _COMMAND.split(text)
    if stray := parts[0].strip(_BETWEEN):
        raise ValueError(f"its path data begin with {stray[:20]!r}; they begin with M")
    ma, mb, mc, md, me, mf = m
    found: list[Subpath] = []
    curves: list[Curve] = []
    x = y = sx = sy = 0.0  # where the pen is, where the subpath began
    hx = hy = 0.0  # the last handle
    last = ""
    here = Point(me, mf)
    begun = here
    straight = True

    def finish(closed: bool) -> None:
        nonlocal curves
        if curves:
            back = closed or comes_back(curves)
            found.append(Subpath(closed_run(curves) if back else curves, back, straight))
        curves = []

    for command, body in zip(parts[1::2], parts[2::2], strict=True):
        kind, relative = command.upper(), command.islower()
        if not last and kind != "M":
            raise ValueError(f"its path data begin with {command}; they begin with M")
        if kind == "Z":
            if body.strip(_BETWEEN):
                raise ValueError(f"{body.strip()[:20]!r} stands after {command}, which takes no numbers")
            finish(True)
            x, y, here, straight, last = sx, sy, begun, True, "Z"
            budget.take_points(1)
            continue
        n = _arc_numbers(body, budget) if kind == "A" else numbers(body, budget.name)
        due = _DUE[kind]
        if not n or len(n) % due:
            raise ValueError(f"{command} has {len(n)} numbers; {due} or so many times {due} are due")
        budget.take_points(len(n) // due)
        if kind == "M":
            finish(False)
            x, y = (x + n[0], y + n[1]) if relative else (n[0], n[1])
            sx, sy, straight = x, y, True
            here = begun = Point(ma * x + mc * y + me, mb * x + md * y + mf)
            n = n[2:]
            kind = "L"
            last = "M"
        if kind == "L":
            for i in range(0, len(n), 2):
                x, y = (x + n[i], y + n[i + 1]) if relative else (n[i], n[i + 1])
                to = Point(ma * x + mc * y + me, mb * x + md * y + mf)
                if to != here:
                    curves.append(Line(here, to))
                    here = to
            last = last if not n else "L"
            continue
        if kind in "HV":
            for value in n:
                if kind == "H":
                    x = x + value if relative else value
                else:
                    y = y + value if relative else value
                to = Point(ma * x + mc * y + me, mb * x + md * y + mf)
                if to != here:
                    curves.append(Line(here, to))
                    here = to
            last = kind
            continue
        straight = False
        for i in range(0, len(n), due):
            ox, oy = (x, y) if relative else (0.0, 0.0)
            ex, ey = ox + n[i + due - 2], oy + n[i + due - 1]
            to = Point(ma * ex + mc * ey + me, mb * ex + md * ey + mf)
            if kind == "A":
                run = _arc(m, (x, y), n[i : i + 5], (ex, ey), here, to)
            else:
                if kind == "C":
                    bx, by, hx2, hy2 = ox + n[i], oy + n[i + 1], ox + n[i + 2], oy + n[i + 3]
                elif kind == "S":
                    bx, by = (2 * x - hx, 2 * y - hy) if last in ("C", "S") else (x, y)
                    hx2, hy2 = ox + n[i], oy + n[i + 1]
                elif kind == "Q":
                    hx2, hy2 = bx, by = ox + n[i], oy + n[i + 1]
                else:
                    hx2, hy2 = bx, by = (2 * x - hx, 2 * y - hy) if last in ("Q", "T") else (x, y)
                first = Point(ma * bx + mc * by + me, mb * bx + md * by + mf)
                if kind in "CS":
                    second = Point(ma * hx2 + mc * hy2 + me, mb * hx2 + md * hy2 + mf)
                    run = [Cubic(here, first, second, to)]
                else:
                    run = [raised(here, first, to)]
                if here == first == to and run[0].controls()[2] == to:
                    run = []
                hx, hy = hx2, hy2
            curves += run
            x, y, here, last = ex, ey, to, kind
    finish(False)
    return found


def _arc_numbers(text: str, budget: Budget) -> list[float]:
    found: list[float] = []
    at = 0
    while at < len(text):
        match = _ARC.match(text, at)
        if match is None:
            break
        found += map(float, match.groups())
        budget.take_points(0 if len(found) < 7 * MOST_POINTS else MOST_POINTS + 1)
        at = match.end()
    if rest := text[at:].strip(_BETWEEN):
        raise ValueError(f"{rest[:30]!r} is no arc; two radii, an angle, two flags (0 or 1) and a point are due")
    if found and not (isfinite(max(found)) and isfinite(min(found))):
        raise ValueError("a number is too large")
    return found


def _arc(
    m: Affine, p: tuple[float, float], n: list[float], q: tuple[float, float], here: Point, to: Point
) -> list[Curve]:
    if p == q:
        return []
    drawn = svg_arc(p, n[0], n[1], radians(n[2]), bool(n[3]), bool(n[4]), q)
    if drawn is None:
        return [Line(here, to)] if here != to else []
    circle, start, end = drawn
    return pinned_ends(arc(after(m, circle), start, end), here, to)
