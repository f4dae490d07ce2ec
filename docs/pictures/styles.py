"""A sheet of small pictures of a garment, one for each value of each option: as worn, else the pieces that change."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from typing import NamedTuple

from flats import VIEWS, Flat, Line, Shape
from shapely.geometry import LineString

from oaktag.draft.garment import Garment, find_garment
from oaktag.draft.options import ChoiceOption, LengthOption, Option, percent
from oaktag.errors import OaktagError
from oaktag.export.svg import escaped
from oaktag.geometry.path import flatten
from oaktag.model.draft import Draft
from oaktag.model.piece import piece_words
from oaktag.units import show

_WIDE, _TALL, _GAP, _LETTER = 800.0, 84.0, 12.0, 10.0
_FINE = 4
"""Units to a pixel: numbers on the sheet have no decimals."""
_LINES = {"edge": "e", "fine": "n", "zip": "z", "button": "e"}
Part = tuple[str, str, bool]
"""A path of a figure: its class, its data, and whether it is mirrored."""


class Figure(NamedTuple):
    """A small drawing, from its upper left corner, in units."""

    parts: tuple[Part, ...]
    left: float
    top: float
    wide: float
    tall: float


class Cell(NamedTuple):
    caption: str
    figure: Figure


def _data(line: Line, scale: float, *, closed: bool) -> str:
    """A line as whole units, each place from the one before; nothing where it is shorter than a unit."""
    thin = LineString([(x * scale, -y * scale) for x, y in line]).simplify(2.8).coords
    points = [(round(x), round(y)) for x, y in thin]
    steps = [(b[0] - a[0], b[1] - a[1]) for a, b in zip(points, points[1:], strict=False) if a != b]
    if not steps:
        return ""
    run = " ".join(f"{x},{y}" for x, y in steps)
    return f"M{points[0][0]},{points[0][1]}l{run}{'z' * closed}"


def _figure(shapes: list[Shape], scale: float) -> Figure:
    parts: list[Part] = []
    for shape in shapes:
        every = [p for ring in [*shape.fill, *(line for _, line in shape.lines)] for p in ring]
        flip = bool(every) and sum(x for x, _ in every) < -1e-6
        turned = shape.mirrored() if flip else shape
        fill = "".join(_data(ring, scale, closed=True) for ring in turned.fill if len(ring) > 2)
        if fill:
            parts.append(("f" if shape.colour == "#fff" else "g", fill, flip))
        for kind in ("edge", "fine", "zip"):
            run = "".join(
                _data(line, scale, closed=False) for seen, line in turned.lines if seen == kind and len(line) > 1
            )
            if run:
                parts.append((_LINES[kind], run, flip))
        dots = [line[0] for seen, line in turned.lines if seen == "button"]
        if dots:
            parts.append(("e", "".join(f"M{round(x * scale) - 3},{round(-y * scale)}h6" for x, y in dots), flip))
    points = [p for shape in shapes for ring in [*shape.fill, *(line for _, line in shape.lines)] for p in ring]
    if not points:
        return Figure((), 0.0, 0.0, 100.0, 100.0)
    xs, ys = [x * scale for x, _ in points], [-y * scale for _, y in points]
    return Figure(tuple(parts), min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))


def _pieces(draft: Draft, names: list[str]) -> list[Shape]:
    """Pieces beside each other, as drafted."""
    shapes, x = [], 0.0
    for piece in draft.pieces:
        if piece.name not in names:
            continue
        ring = [(p[0], p[1]) for edge in piece.edges for p in flatten(edge.curves, 1.0)]
        left, top = min(p[0] for p in ring), max(p[1] for p in ring)
        moved = lambda line, by=(x - left, -top): [(p[0] + by[0], p[1] + by[1]) for p in line]  # noqa: E731
        inside = [("fine", moved(line.points)) for line in piece.internal_lines]
        darts = [("fine", moved(dart.points)) for dart in piece.darts]
        shapes.append(Shape([], [("edge", moved([*ring, ring[0]])), *inside, *darts]))
        x += max(p[0] for p in ring) - left + 40
    return shapes


def _same(a: Draft, b: Draft, name: str) -> bool:
    """Whether a piece is in both, and looks alike."""
    found = [
        [(p.edges, p.internal_lines, p.darts, p.notches) for p in draft.pieces if p.name == name] for draft in (a, b)
    ]
    return bool(found[0]) and found[0] == found[1]


def _values(option: Option) -> list[tuple[str, str, list[str]]]:
    """What is shown of an option: in words, as it is written, and what else to try where that cannot be drafted."""
    if isinstance(option, ChoiceOption):
        words = [word for word in option.choices if word != "auto"]
        if len(words) > 5 and all(word.isdigit() for word in words):
            words = [words[0], words[len(words) // 2], words[-1]]
        return [(word, word, []) for word in words]
    usual = option.usual("in")
    middle = float(usual) if usual is not None else (option.least + option.most) / 2
    found = []
    for end in (option.least, option.most):
        tries = [end + part * (middle - end) for part in (0.4, 0.6, 0.8)]
        if isinstance(option, LengthOption):
            found.append(("", f"{tries[0] / 10:.3f} cm", [f"{mm / 10:.3f} cm" for mm in tries[1:]]))
        else:
            found.append(("", percent(tries[0]), [percent(round(share, 3)) for share in tries[1:]]))
    return found


def _told(option: Option, written: str) -> str:
    if isinstance(option, LengthOption):
        return show(round(float(written.removesuffix(" cm")) * 10 / 3.175) * 3.175, "in")
    return written


def _context(garment: Garment, option: Option) -> dict[str, object]:
    """The style in which an option counts."""
    found: dict[str, object] = {}
    while option.when:
        name, value = option.when[0], option.when[1]
        usual = next(other for other in garment.options if other.name == name)
        if str(usual.usual("in")) not in option.when[1:]:
            found[name] = value
        option = usual
    return found


class Drawn(NamedTuple):
    draft: Draft
    flats: list[Flat]
    """The draft as worn, once it was asked for."""

    @property
    def flat(self) -> Flat:
        if not self.flats:
            self.flats.append(Flat(self.draft))
        return self.flats[0]


Made = list[tuple[str, Drawn]]


def sheet(name: str, drafted: Callable[..., Draft]) -> str:
    """The sheet of a garment; `drafted` makes it in a style, and raises OaktagError where it cannot."""
    garment = find_garment(name)
    seen: dict[tuple[tuple[str, object], ...], Drawn | None] = {}

    def drawn(style: Mapping[str, object]) -> Drawn | None:
        key = tuple(sorted(style.items()))
        if key not in seen:
            try:
                seen[key] = Drawn(drafted(name, **style), [])
            except OaktagError:
                seen[key] = None
        return seen[key]

    def made(option: Option, context: Mapping[str, object]) -> Made:
        found = []
        for words, written, others in _values(option):
            for value in (written, *others):
                one = drawn({**context, option.name: value})
                if one is not None:
                    found.append((words or _told(option, value), one))
                    break
        return found if len({words for words, _ in found}) > 1 and _differ(found) else []

    usual = drawn({})
    assert usual is not None
    heights = [p[1] for shape in usual.flat.shapes["front"] for ring in shape.fill for p in ring]
    scale = _FINE * _TALL / (max(heights) - min(heights))
    blocks = []
    for option in garment.options:
        own = _context(garment, option)
        found, told = made(option, own), ""
        for other, value in () if found else _others(garment, option):
            found = made(option, {**own, other: value})
            if found:
                told = f" (with {piece_words(other)}: {value})"
                break
        cells = _cells(found, scale)
        if cells:
            blocks.append((f"{option.words}: {option.name}{told}", cells))
    return _svg(name, blocks)


def _others(garment: Garment, option: Option) -> list[tuple[str, str]]:
    """What else may be chosen, where an option changes nothing of the garment in its usual style."""
    choices = [other for other in garment.options if isinstance(other, ChoiceOption) and other.name != option.name]
    return [(other.name, value) for other in choices for value in other.choices[:6] if value != other.default]


def _differ(made: Made) -> bool:
    """Whether any piece differs from one to another."""
    drafts = [one.draft for _, one in made]
    names = {piece.name for draft in drafts for piece in draft.pieces}
    return any(not _same(drafts[0], draft, name) for draft in drafts[1:] for name in names)


def _cells(made: Made, scale: float) -> list[Cell]:
    """The pictures of an option's values, from the side on which they differ; else of the pieces that do."""
    if len(made) < 2:
        return []
    spread = {view: [_ink(one.flat.shapes[view]) for _, one in made] for view in VIEWS}
    unlike_by = {view: (max(inks) - min(inks)) / max(1.0, max(inks)) for view, inks in spread.items()}
    view = max(VIEWS, key=lambda view: unlike_by[view] - 0.01 * VIEWS.index(view))
    if unlike_by[view] > 0.004:
        return [Cell(words, _figure(one.flat.shapes[view], scale)) for words, one in made]
    names = dict.fromkeys(piece.name for _, one in made for piece in one.draft.pieces)
    unlike = [name for name in names if not all(_same(made[0][1].draft, one.draft, name) for _, one in made[1:])][:2]
    shapes = [(words, _pieces(one.draft, unlike)) for words, one in made]
    kept = [[p for shape in own for _, line in shape.lines for p in line] for _, own in shapes]
    if not any(kept):
        return []
    tall = max(max(y for _, y in points) - min(y for _, y in points) for points in kept if points)
    wide = max(max(x for x, _ in points) - min(x for x, _ in points) for points in kept if points)
    by = _FINE * min(_TALL * 0.8 / tall, 150.0 / wide)
    return [Cell(words, _figure(own, by) if own else Figure((), 0, 0, 60, 60)) for words, own in shapes]


def _ink(shapes: list[Shape]) -> float:
    """How long the lines of a drawing are together."""
    return sum(LineString(line).length for shape in shapes for _, line in shape.lines if len(line) > 1)


def _svg(name: str, blocks: list[tuple[str, list[Cell]]]) -> str:
    often = Counter(cell.figure.parts for _, cells in blocks for cell in cells)
    again = {parts: f"f{i}" for i, parts in enumerate(parts for parts, count in often.items() if count > 1)}
    times = Counter(part[:2] for parts in often for part in parts)
    shared = {part: f"a{i}" for i, part in enumerate(part for part, count in times.items() if count > 1)}
    rows, x, y, tall = [], _GAP, _GAP, 0.0
    for title, cells in blocks:
        first = True
        whole = sum(max(cell.figure.wide / _FINE, 0.56 * _LETTER * len(cell.caption)) + _GAP for cell in cells)
        if x > _GAP and x + max(whole, 0.63 * _LETTER * len(title)) > _WIDE - _GAP:
            x, y, tall = _GAP, y + tall + 2.6 * _LETTER, 0.0
        for cell in cells:
            wide = max(cell.figure.wide / _FINE, 0.56 * _LETTER * len(cell.caption)) + _GAP
            room = max(wide, 0.63 * _LETTER * len(title)) + _GAP if first else wide
            if x + room > _WIDE - _GAP and x > _GAP:
                x, y, tall = _GAP, y + tall + 2.6 * _LETTER, 0.0
            if first:
                rows.append(f'<text x="{x:.0f}" y="{y + _LETTER:.0f}" font-weight="bold">{escaped(title)}</text>')
                end = x + room
            parts = cell.figure.parts
            drawn = f'<use href="#{again[parts]}"/>' if parts in again else _paths(parts, shared)
            rows.append(_cell(cell, x, y + 1.8 * _LETTER, drawn))
            tall = max(tall, 1.8 * _LETTER + cell.figure.tall / _FINE + 1.4 * _LETTER)
            x += wide
            first = False
        x = max(x, end) + 1.5 * _GAP
    height = y + tall + 2 * _GAP
    defs = "".join(f'<path id="{key}"{_class(kind)} d="{data}"/>' for (kind, data), key in shared.items())
    defs += "".join(f'<g id="{key}">{_paths(parts, shared)}</g>' for parts, key in again.items())
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDE:.0f}" height="{height:.0f}" '
        f'viewBox="0 0 {_WIDE:.0f} {height:.0f}" role="img" font-family="sans-serif" font-size="{_LETTER:.0f}">\n'
        f"<title>{name}: its options</title>\n"
        "<style>path{fill:none;stroke:#16181d;stroke-width:3.4;stroke-linejoin:round}.f{fill:#fff;stroke:none}"
        ".g{fill:#e4e4e4;stroke:none}.n{stroke:#2f5d3a;stroke-width:2}.z{stroke:#1f4e79;stroke-width:7}</style>\n"
        f"<defs>{defs}</defs>\n" f'<rect width="{_WIDE:.0f}" height="{height:.0f}" fill="#fff"/>\n'
        + "\n".join(rows) + "\n</svg>\n"
    )  # fmt: skip


def _class(kind: str) -> str:
    """How a path is drawn, where it is no edge."""
    return "" if kind == "e" else f' class="{kind}"'


def _paths(parts: tuple[Part, ...], shared: Mapping[tuple[str, str], str]) -> str:
    paths = []
    for kind, data, flip in parts:
        turn = ' transform="scale(-1 1)"' if flip else ""
        key = shared.get((kind, data))
        paths.append(f'<use href="#{key}"{turn}/>' if key else f'<path{_class(kind)} d="{data}"{turn}/>')
    return "".join(paths)


def _cell(cell: Cell, x: float, y: float, drawn: str) -> str:
    figure = cell.figure
    place = f"translate({x - figure.left / _FINE:.1f} {y - figure.top / _FINE:.1f}) scale({1 / _FINE})"
    caption = f'<text x="{x:.0f}" y="{y + figure.tall / _FINE + 1.2 * _LETTER:.0f}">{escaped(cell.caption)}</text>'
    return f'<g transform="{place}">{drawn}</g>{caption}'
