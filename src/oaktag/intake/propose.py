"""A first plan for a drawing: every outline and edge with its length, seams by equal length, and a numbered picture."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape
from typing import Final

from ..geometry.path import Path, flatten, path_length, place_at
from ..geometry.point import XY, along, left_of
from ..geometry.polygon import Box, contains
from ..units import Unit, show
from .drawn import names_of
from .model import Drawing, DrawnPath, DrawnPoint, Outline, Outlines, Said
from .plan import MEANINGS, Lines, Reading, name_of

_MATERIALS: Final = ("shell", "lining", "interfacing")
"""Words for cloth that files write in capitals."""
_SHORTEST_SEAM: Final = 40.0
_EQUAL: Final = 1.0
"""Edges whose lengths differ by less may be a seam, mm."""
_IDLE: Final = re.compile(r"(?i)^(path|polygon|polyline|rect|g|layer|line|use|svg|group|[0-9a-f]+)[-_ ]?\d*$")
"""Ids and layers that say nothing: those that editors give."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """The text of the plan, and the picture that its numbers stand in, as SVG."""

    plan: str
    picture: str


def proposed(
    drawing: Drawing,
    outlines: Outlines,
    reading: Reading,
    *,
    title: str,
    file: str,
    unit: Unit,
    picture: str,
    rules: str = "",
) -> Proposal:
    """A plan that can be used as it is: names from the drawing's words and layers, e1, e2, … for edges.

    `file` is the drawing, `picture` the picture and `rules` a table of rules (.rul), as the plan names them.
    """
    names = _piece_names(outlines.outlines)
    lines = [
        f"# A first plan for {file}: {len(outlines.outlines)} outlines, in true size by {drawing.unit}.",
        f"# The numbers are those of {picture}. Give names to pieces and edges, say what is cut, and run",
        "#   oaktag finish DRAWING --plan THIS -o FOLDER",
        f"title   = {_text(title)}",
        f"drawing = {_text(file)}",
        f'units   = "{unit}"',
        "",
        *_reading(reading),
        *_lines(drawing, outlines),
        "[allowances]              # by edge or piece.edge; 10 mm where nothing is said, hems 40 mm, folds none",
        *(f"# {name} = {_text(show(10.0, unit))}" for name in ("side", "hem")),
        "",
    ]
    for number, (name, outline) in enumerate(zip(names, outlines.outlines, strict=True), start=1):
        lines += _piece(number, name, outline, unit)
    lines += _seams(names, outlines.outlines)
    if rules:
        lines += ["[sizes]                   # make = [...] for some of them", f"rules = {_text(rules)}", ""]
    for note in dict.fromkeys((*drawing.notes, *outlines.notes)):
        lines.append(f"# told while reading: {' '.join(note.split())}")
    return Proposal("\n".join(lines).rstrip() + "\n", _picture(outlines.outlines, names))


def _text(words: str) -> str:
    return '"' + words.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _reading(reading: Reading) -> list[str]:
    rows = []
    if reading.unit is not None:
        rows.append(f'unit  = "{reading.unit}"')
    if reading.scale is not None:
        rows.append(f"scale = {reading.scale!r}")
    if reading.known is not None:
        rows.append(f"known = {_text(f'{reading.known.path}={reading.known.length:g}mm')}")
    usual = Reading()
    if reading.corner_angle != usual.corner_angle:
        rows.append(f"corner_angle = {reading.corner_angle:g}")
    if reading.gap != usual.gap:
        rows.append(f"gap = {reading.gap:g}")
    if reading.outline:
        rows.append(f'outline = "{reading.outline}"   # what the outlines are: "cut line" or "stitch line"')
    head = "[reading]                 # corner_angle: a sharper turn than that parts two edges, degrees"
    open_ = [] if reading.outline else ['# outline = "cut line"   # where the outlines are cut along, not sewn along']
    return [head, *(rows or ["# corner_angle = 25"]), *open_, ""]


def _lines(drawing: Drawing, outlines: Outlines) -> Iterator[str]:
    """What the lines inside are taken for, and the layers and ids there are."""
    yield "[lines]                   # layers or ids, * for any letters; what is not named is drawn as it is"
    guess = Lines()
    found: Counter[str] = Counter()
    drawn: list[DrawnPath | DrawnPoint] = []
    for outline in outlines.outlines:
        drawn += [*outline.paths, *outline.points]
    by_meaning: dict[str, list[str]] = {}
    for one in (*drawn, *outlines.loose):
        names = names_of(one)
        meaning = guess.meaning(names)
        telling = [n for n in names if guess.meaning((n,)) == meaning and not _IDLE.match(n)]
        name = telling[-1] if telling else names[0] if names else ""  # the widest group that says it
        found[name] += 1
        if meaning is not None and name not in by_meaning.setdefault(meaning, []):
            by_meaning[meaning].append(name)
    for meaning in MEANINGS:
        if meaning in by_meaning:
            yield f"{meaning:8} = [{', '.join(_text(name) for name in by_meaning[meaning][:20])}]"
    others = [name for name in found if name and not any(name in names for names in by_meaning.values())]
    for name in others[:20]:
        yield f"# {_text(name)}: {found[name]} line(s), drawn as internal lines"
    yield f"# any of: {', '.join(MEANINGS)}"
    yield ""


def _piece(number: int, name: str, outline: Outline, unit: Unit) -> list[str]:
    lengths = [path_length(edge) for edge in outline.edges]
    box = Box.round(p for edge in outline.edges for p in flatten(edge, 0.5))
    words = "; ".join(text.words for text in outline.texts)[:90]
    said = outline.said
    fold = f"e{said.fold}" if said is not None and said.fold else ""
    rows = [
        f"[pieces.{_key(name)}]" + (f"    # says: {' '.join(words.split())}" if words else ""),
        f"outline  = {number}" + (f"         # {outline.id or outline.layer}" if outline.id or outline.layer else ""),
        f"# {show(box.width, unit)} wide, {show(box.height, unit)} long",
        *_cut(said, fold),
        'edges    = [              # counter-clockwise from the first corner; "-" goes on with the one before',
    ]
    for i, (edge, length) in enumerate(zip(outline.edges, lengths, strict=True), start=1):
        (x0, y0), (x1, y1) = edge[0].start, edge[-1].end
        way = "up" if y1 - y0 > abs(x1 - x0) else "down" if y0 - y1 > abs(x1 - x0) else "right" if x1 > x0 else "left"
        rows.append(f'    "e{i}",{"":16} # {i}: {show(length, unit)} ({length:.1f} mm), goes {way}')
    return [*rows, "]", '# notches = { e1 = ["10 cm"] }', ""]


def _cut(said: Said | None, fold: str) -> list[str]:
    """How often it is cut, of what, and on which fold, as the file says."""
    remark = "# pair = true for two that mirror each other; fold = EDGE for a half"
    if said is None:
        return [f"cut      = 1              {remark}"]
    right, left = said.right or 0, said.left or 0
    rows = [f"cut      = {max(1, right + left):<14} {remark}"]
    if right == left and right and not fold:
        rows.append("pair     = true")
    if fold:
        rows.append(f"fold     = {_text(fold)}")
    if said.material:
        plain = said.material.lower()
        rows.append(f"material = {_text(plain if plain in _MATERIALS else ' '.join(said.material.split())[:80])}")
    rows.append(f"label    = {_text(' '.join(said.name.split())[:80])}      # as the file has it")
    return rows


def _key(name: str) -> str:
    """A key of TOML: in quotes where it is more than plain letters, digits, _ and -."""
    return name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else _text(name)


def _seams(names: Sequence[str], outlines: Sequence[Outline]) -> Iterator[str]:
    """Edges of two pieces that are equally long: sure ones as they are, where there are several as remarks."""
    edges = [
        (f"{name}.e{i}", name, path_length(edge))
        for name, outline in zip(names, outlines, strict=True)
        for i, edge in enumerate(outline.edges, start=1)
    ]
    equal = [
        (a, b)
        for n, a in enumerate(edges)
        for b in edges[n + 1 :]
        if a[1] != b[1] and min(a[2], b[2]) >= _SHORTEST_SEAM and abs(a[2] - b[2]) <= _EQUAL
    ]
    count = Counter(ref for pair in equal for ref, _, _ in pair)
    if equal:
        yield "# Edges that are equally long: seams, perhaps. Each is walked and told if its sides differ."
    for (a, _, long), (b, _, other) in equal[:60]:
        sure = count[a] == 1 and count[b] == 1
        rows = [
            "[[seams]]",
            f"a = {_text(a)}               # {long:.1f} mm",
            f"b = {_text(b)}               # {other:.1f} mm",
            "",
        ]
        yield from rows if sure else (f"# {row}".rstrip() for row in rows)


def _piece_names(outlines: Sequence[Outline]) -> list[str]:
    """From the words in it, else its id, group or layer, else piece1, piece2, …"""
    found: list[str] = []
    for number, outline in enumerate(outlines, start=1):
        words = [text.words for text in sorted(outline.texts, key=lambda t: -t.height)]
        said = [outline.id, *reversed(outline.groups), outline.layer]
        candidates = [*words, *(name for name in said if name and not _IDLE.match(name))]
        own = name_of(outline.said.name) if outline.said is not None else ""
        base = own or next((slug for word in candidates if (slug := _slug(word))), f"piece{number}")
        name, count = base, 1
        while name in found:
            count += 1
            name = f"{base}_{count}"
        found.append(name)
    return found


def _slug(words: str) -> str:
    plain = re.sub(r"(?i)^\s*\d+\s+of\s+\d+\s*:?\s*", "", words)
    plain = re.sub(r"(?i)[._ -]?(cut[ _-]?line|boundary|outline|contour)$", "", plain)
    slug = name_of(plain, 24)
    return slug if any(sign.isalpha() for sign in slug) else ""


# ---------------------------------------------------------------- the picture


def _picture(outlines: Sequence[Outline], names: Sequence[str]) -> str:
    """Outlines with their numbers and names, every edge with its number inside, a dot at each corner, a ring at the
    first."""
    flat = [[flatten(edge, 0.2) for edge in outline.edges] for outline in outlines]
    whole = Box.round([p for one in flat for edge in one for p in edge] or [(0.0, 0.0), (100.0, 100.0)])
    k = 1000.0 / max(whole.width, whole.height, 1.0)
    pad = 20.0

    def at(p: XY) -> str:
        return f"{(p[0] - whole.left) * k + pad:.1f} {(whole.top - p[1]) * k + pad:.1f}"

    def words(p: XY, text: str, size: float, weight: int = 400, fill: str = "#16181d") -> str:
        x, y = at(p).split()
        return (
            f'<text x="{x}" y="{y}" font-size="{size:.1f}" font-weight="{weight}" fill="{fill}" text-anchor="middle" '
            f'dominant-baseline="central">{escape(text)}</text>'
        )

    out: list[str] = []
    for number, (outline, edges, name) in enumerate(zip(outlines, flat, names, strict=True), start=1):
        ring = [p for edge in edges for p in edge[:-1]]
        d = "M" + "L".join(at(p) for p in ring) + "Z"
        out.append(f'<path d="{d}" fill="#eceef2" stroke="#16181d" stroke-width="1.6"/>')
        box = Box.round(ring)
        size = max(11.0, min(34.0, 0.12 * min(box.width, box.height) * k))
        middle = _middle(ring, box)
        out.append(words(middle, f"{number} {name}", size, 700, "#1f4e79"))
        for i, path in enumerate(outline.edges, start=1):
            out.append(_edge_number(path, i, ring, k, words))
            corner = at(path[0].start)
            x, y = corner.split()
            look = 'r="6" fill="none" stroke="#7a2e1d" stroke-width="2"' if i == 1 else 'r="3" fill="#7a2e1d"'
            out.append(f'<circle cx="{x}" cy="{y}" {look}/>')
    wide, high = whole.width * k + 2 * pad, whole.height * k + 2 * pad
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.0f}" height="{high:.0f}" '
        f'viewBox="0 0 {wide:.1f} {high:.1f}" font-family="sans-serif">\n<title>Outlines and edges by number; a ring '
        f'is the first corner. Not to scale.</title>\n<rect width="100%" height="100%" fill="#fff"/>\n'
        + "\n".join(out)
        + "\n</svg>\n"
    )


def _edge_number(path: Path, number: int, ring: Sequence[XY], k: float, words: object) -> str:
    length = path_length(path)
    p, way = place_at(path, length / 2)
    inside = along(p, left_of(way), 14.0 / k)
    if not contains(ring, inside):
        inside = along(p, left_of(way), 7.0 / k)
    assert callable(words)
    return str(words(inside, str(number), 13.0))


def _middle(ring: Sequence[XY], box: Box) -> XY:
    from ..geometry.polygon import crossings

    best: tuple[float, XY] = (-1.0, ((box.left + box.right) / 2, (box.bottom + box.top) / 2))
    for part in (0.5, 0.4, 0.6, 0.3, 0.7):
        y = box.bottom + part * box.height
        xs = crossings(ring, y)
        for a, b in zip(xs[::2], xs[1::2], strict=False):
            if b - a > best[0] * 1.1:
                best = b - a, ((a + b) / 2, y)
    return best[1]
