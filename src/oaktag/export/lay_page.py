"""lay.html: how much cloth, and how to lay it, for the counter and the cutting table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from ..geometry.polygon import Box, simplified
from ..lay.estimate import setters
from ..lay.file import Kept
from ..lay.judge import worst_phase
from ..lay.names import Told, arrow_of, name_of, told
from ..lay.placed import Lay, Stretch
from ..lay.sheet import splices
from ..lay.words import buy_words, tape_words
from ..model.nest import Nest
from ..model.piece import piece_words
from ..units import INCH, Unit, show, show_fine
from .cloth_table import counter_table, width_words
from .report_page import TABLE_END, cautions_section, counted, escaped, files_section, page, table_start

_PAGE_PX: Final = 960.0
"""Width of a picture: that of the page."""
_LEFT: Final = 40.0
_TOP: Final = 20.0
_BELOW: Final = 8.0
_ROW: Final = 3000.0
"""A longer lay is drawn in rows, so that its names can be read, mm."""
_HIGHEST: Final = 1000.0
_WITHIN: Final = 0.5
_LETTERS: Final = (11.0, 17.0)
"""The least and the largest, px: on a printed page of 182 mm the least are 6 points."""
_ARROW: Final = 11.0
_MARK: Final = 'fill="none" stroke="#7a2e1d" stroke-width="1.5"'
UNIT_WORDS: Final = {"in": "inches", "cm": "centimetres", "mm": "centimetres"}
_CSS: Final = """
.places td,.places th{white-space:nowrap}
@media print{.lay{display:block;width:100%;margin:0 0 .8rem}.lay svg{max-height:none}}
"""


def render(nest: Nest, kept: Kept, unit: Unit, files: tuple[str, ...]) -> bytes:
    """The page, HTML 5, UTF-8: for each kind of cloth the length to buy, the picture and what sets the length.

    Pictures show the cloth with its length to the right; they are not to scale for cutting.
    """
    title = f"{nest.base_pattern.title}: lay"
    order = ", ".join(f"{count} of size {size}" for size, count in kept.quantities.items())
    orders = len(set(kept.orders.values()))
    under = order if len(nest.sizes) > 1 else counted(sum(kept.quantities.values()), "garment")
    under = f"one of each of {counted(orders, 'order')}" if orders else under
    links = {f"lay-{i}": lay.material for i, lay in enumerate(kept.lays)}
    parts: list[str] = []
    for number, lay in enumerate(kept.lays):
        parts += list(_lay(nest, kept, lay, number, unit))
    links |= {"counter": "Other widths"} if kept.plies == 1 else {}
    links["cautions"] = "Cautions"
    parts += list(_counter(nest, kept, unit)) if kept.plies == 1 else []
    parts += [files_section(files), cautions_section(())]
    lengths = "; ".join(
        f"{lay.material}: {f'{kept.plies} plies of {tape_words(lay.length, unit)}; ' if kept.plies > 1 else ''}buy "
        f"{buy_words(lay.to_buy * kept.plies, unit)} of cloth {width_words(lay.cloth.width, unit)} wide"
        for lay in kept.lays
    )
    head = f'<p class="verdict"><strong>{escaped(lengths)}</strong></p>\n'
    return page(title, under, head, links, parts, more=_CSS)


def _lay(nest: Nest, kept: Kept, lay: Lay, number: int, unit: Unit) -> Iterator[str]:
    cloth = lay.cloth
    yield f'<section id="lay-{number}">\n<h2>{escaped(lay.material)}</h2>\n'
    facts = [
        f"cloth {width_words(cloth.width, unit)} wide, {cloth.words()}",
        f"the lay is {tape_words(lay.length, unit)} long and uses {lay.use:.1f} % of the cloth",
    ]
    if cloth.shrink_along or cloth.shrink_across:
        facts.append(
            f"the cloth loses {100 * cloth.shrink_along:g} % of its length and {100 * cloth.shrink_across:g} % of its "
            f"width in the wash: buy {buy_words(lay.to_buy, unit)}, and wash it before you lay it"
        )
    facts.append(
        f"{show(cloth.selvedge, unit)} along each selvedge and {show(cloth.ends, unit)} at the ends are kept free, "
        f"{show(cloth.gap, unit) if unit == 'in' else f'{cloth.gap:g} mm'} between pieces"
    )
    boxes = [(p.piece.name, Box.round(p.outline())) for p in lay.stretches[0].placements]
    if boxes:
        chain = [piece_words(name) for name in setters(boxes, cloth.ends + cloth.gap, cloth.gap + 2.0)]
        facts.append(f"what sets the length, from the start: {', '.join(chain)}")
    if cloth.matched:
        facts.append(
            f"a repeat of {show(cloth.repeat_along, unit)} along and {show(cloth.repeat_across, unit)} across is met "
            f"at the marked points to {show_fine(max(worst_phase(s) for s in lay.stretches), unit)} {unit}"
        )
        if cloth.layers == 2:
            facts.append("fold the cloth in the middle of a stripe, pin the stripes of both layers on each other")
    if cloth.spread == "fold":
        facts.append("fold it lengthwise, right sides together, the fold straight along the grain")
    yield "<ul>\n" + "".join(f"<li>{escaped(fact)}</li>\n" for fact in facts) + "</ul>\n"
    for index, stretch in enumerate(lay.stretches):
        words = "the stretch that is opened out" if index else f"the cloth as it lies, {cloth.words()}"
        yield f"<h3>{escaped(words)}: {escaped(tape_words(stretch.length, unit))} long</h3>\n"
        pieces = told(stretch, nest)
        yield picture(stretch, pieces, unit)
        yield from _places(stretch, pieces, unit)
        cuts = splices(stretch)
        if stretch.length > 2000.0 and cuts:
            at = ", ".join(f"{tape_words(s.at, unit)} (overlap {show(s.overlap, unit)})" for s in cuts)
            yield f'<p class="small">Where a ply may end and the next begin, from the start: {escaped(at)}.</p>\n'
    yield "</section>\n"


def _places(stretch: Stretch, pieces: Sequence[Told], unit: Unit) -> Iterator[str]:
    """Where each piece lies, for a tape and chalk."""
    edge = edge_words(stretch)
    yield (
        f'<p class="small">To chalk: measure from the start of the cloth and from the {edge}, to the cut line. The '
        "arrows lie along the grain and point to the top of a piece.</p>\n"
    )
    names = (
        "Piece",
        ("Begins", "n"),
        ("Ends", "n"),
        (f"Nearest to the {edge}", "n"),
        ("Furthest", "n"),
        ("Grain line", "n"),
    )
    yield table_start("where each piece lies", ("No.", "n"), *names).replace("<table>", '<table class="places">')
    for one in pieces:
        box = one.box
        garment = f", garment {one.placed.piece.garment}" if one.placed.piece.garment > 1 else ""
        near = ("on the fold",) * 2 if one.placed.piece.on_fold else (show(box.left, unit), show(one.grain, unit))
        cells = (tape_words(box.bottom, unit), tape_words(box.top, unit), near[0], show(box.right, unit), near[1])
        yield (
            f'<tr><td class="n">{one.number}</td><th scope="row">{escaped(one.words + garment)}</th>'
            + "".join(f'<td class="n">{escaped(cell)}</td>' for cell in cells)
            + "</tr>\n"
        )
    yield TABLE_END


def edge_words(stretch: Stretch) -> str:
    """From which edge of the cloth is measured."""
    return {"open": "left selvedge", "fold": "fold", "tubular": "left fold"}[stretch.cloth.spread]


def marks(length: float, unit: Unit) -> tuple[list[float], list[tuple[float, str]]]:
    """Where a tape's marks are along a length, the small ones and those with words, mm."""
    step, every, per = (3 * INCH, 4, INCH) if unit == "in" else (50.0, 4, 10.0)
    small = [i * step for i in range(int(length / step) + 1)]
    return small, [(mm, f"{mm / per:.0f}") for mm in small[::every]]


def picture(stretch: Stretch, pieces: Sequence[Told], unit: Unit, *, blocks: Sequence[Box] | None = None) -> str:
    """SVG as wide as the page: length to the right, the left edge (or the fold) at the top; a long lay in rows. Grey
    pieces with numbers and names, arrows along the grain, a tape's marks, dotted lines at the repeat, crossed flaws.

    `blocks` are the scale blocks of a roll of paper, which has no grain; None: it is cloth."""
    paper = blocks is not None
    rows = max(1, -(-stretch.length // _ROW))
    long = stretch.length / rows
    k = min((_PAGE_PX - _LEFT) / long, _HIGHEST / stretch.cloth.spread_width)
    drawn = "".join(_piece(one, k) for one in pieces) + _over(stretch, k) + _blocks(blocks or (), k)
    high = stretch.cloth.spread_width * k
    edge = "the left edge" if paper else "the fold" if stretch.cloth.spread != "open" else "the left selvedge"
    words = f"{edge} is at the top, the start at the left"
    what = "roll of paper" if paper else f"lay, {escaped(stretch.cloth.words())}"
    out: list[str] = []
    for row in range(int(rows)):
        start = row * long * k
        box = f"{start - _LEFT:.1f} {-_TOP:.1f} {long * k + _LEFT + 1:.1f} {high + _TOP + _BELOW:.1f}"
        seen = Box(0.0, row * long, stretch.cloth.spread_width, (row + 1) * long)
        letters = "".join(_letters(one, seen, k, grain=not paper) for one in pieces)
        left, right = start - 1, start + long * k + 1
        clip = f'<clipPath id="row{row}"><path d="M{left:.1f} -2H{right:.1f}V{high + 3:.1f}H{left:.1f}Z"/></clipPath>'
        out.append(
            f'<figure class="lay"><svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="{box}" '
            f'width="{long * k + _LEFT + 1:.0f}" height="{high + _TOP + _BELOW:.0f}" font-family="sans-serif">'
            f"<title>{what}: {words}; marks in {UNIT_WORDS[unit]}</title>{clip}"
            f"{_tape(stretch, row * long, long, k, unit)}"
            f'<g clip-path="url(#row{row})">{_edges(stretch, k)}{drawn}{letters}</g></svg></figure>\n'
        )
    legend = f"{words[0].upper()}{words[1:]}. Marks in {UNIT_WORDS[unit]}."
    return "".join(out) + f'<p class="small">{legend}</p>\n'


def _piece(one: Told, k: float) -> str:
    ring = simplified(one.placed.outline(), _WITHIN)
    d = "M" + " ".join(f"{y * k:.1f} {x * k:.1f}" for x, y in ring) + "Z"
    fill = "#dfe3ea" if not one.placed.variant.mirrored and one.placed.piece.copy % 2 else "#eceef2"
    return f'<path class="piece" d="{d}" fill="{fill}" stroke="#16181d" stroke-width="1"/>'


def _blocks(blocks: Sequence[Box], k: float) -> str:
    """Rectangles with their diagonals."""
    ways = [(box.bottom * k, box.left * k, box.top * k, box.right * k) for box in blocks]
    d = "".join(
        f"M{a:.1f} {b:.1f}H{c:.1f}V{e:.1f}H{a:.1f}ZL{c:.1f} {e:.1f}M{a:.1f} {e:.1f}L{c:.1f} {b:.1f}"
        for a, b, c, e in ways
    )
    return f'<path d="{d}" fill="none" stroke="#6a6f7a" stroke-width=".7"/>' if d else ""


def _letters(one: Told, seen: Box, k: float, *, grain: bool = True) -> str:
    """The name in the part that is seen, and an arrow along the `grain`, to the top of the piece."""
    least, most = (size / k for size in _LETTERS)
    name = name_of(one, seen, least=least, most=most, along_first=True, arrow=_ARROW / k)
    if name is None:
        return _arrow(one, k) if grain else ""
    size, x, y = name.size * k, name.at[1] * k, name.at[0] * k
    turned = "" if name.along else f' transform="rotate(-90 {x:.1f} {y:.1f})"'
    top = y - size * 1.2 * (len(name.lines) - 1) / 2 + size * 0.36
    lines = "".join(
        f'<tspan x="{x:.1f}" y="{top + i * size * 1.2:.1f}">{escaped(line)}</tspan>'
        for i, line in enumerate(name.lines)
    )
    return f'<text class="name" font-size="{size:.1f}" text-anchor="middle"{turned}>{lines}</text>' + (
        _arrow(one, k) if grain else ""
    )


def _arrow(one: Told, k: float) -> str:
    line = arrow_of(one, _ARROW / k)
    if line is None:
        return ""
    (y, tail), (_, tip) = ((x * k, along * k) for x, along in line)
    way = 4.0 if tip > tail else -4.0
    return (
        f'<path d="M{tail:.1f} {y:.1f}H{tip:.1f}m{-way:.1f} -2.5 {way:.1f} 2.5 {-way:.1f} 2.5" '
        'fill="none" stroke="#1f4e79" stroke-width="1.2"/>'
    )


def _tape(stretch: Stretch, start: float, long: float, k: float, unit: Unit) -> str:
    """A tape's marks along the upper edge and down the left one."""
    d: list[str] = []
    words: list[str] = []
    small, large = marks(stretch.length, unit)
    end = start + long + 0.5
    d += [f"M{mm * k:.1f} -3v-3" for mm in small if start <= mm <= end]
    for mm, text in large:
        if start <= mm <= end - 8 / k:
            d.append(f"M{mm * k:.1f} -3v-6")
            words.append(f'<text x="{mm * k + 2:.1f}" y="-8" font-size="10">{text}</text>')
    small, large = marks(stretch.cloth.spread_width, unit)
    x = start * k
    d += [f"M{x - 3:.1f} {mm * k:.1f}h-3" for mm in small]
    for mm, text in large:
        d.append(f"M{x - 3:.1f} {mm * k:.1f}h-6")
        words.append(f'<text x="{x - 11:.1f}" y="{mm * k + 3.5:.1f}" font-size="10" text-anchor="end">{text}</text>')
    return f'<path d="{"".join(d)}" stroke="#3a3f4a" stroke-width=".8"/><g fill="#3a3f4a">{"".join(words)}</g>'


def _edges(stretch: Stretch, k: float) -> str:
    cloth = stretch.cloth
    wide, high = stretch.length * k, cloth.spread_width * k
    edges = f'<path d="M.5 .5V{high:.1f}M{wide:.1f} .5V{high:.1f}" stroke="#16181d"/>'
    for y, fold in ((0.5, cloth.spread != "open"), (high, cloth.spread == "tubular")):
        dashes = ' stroke-dasharray="13 3 2 3" stroke-width="2.4"' if fold else ' stroke-width="1"'
        edges += f'<path d="M.5 {y:.1f}H{wide:.1f}" stroke="#16181d"{dashes}/>'
    return edges


def _over(stretch: Stretch, k: float) -> str:
    """The repeat, the points that are matched, and flaws."""
    cloth = stretch.cloth
    out: list[str] = []
    if cloth.matched:
        out.append(_repeat_lines(stretch, k))
        for placed in stretch.placements:
            for _, (x, y) in placed.matched_points(cloth):
                if x >= 0:
                    out.append(f'<circle cx="{y * k:.1f}" cy="{x * k:.1f}" r="3" {_MARK}/>')
    for flaw in cloth.flaws:
        a, b, c, e = (round(v * k, 1) for v in (flaw.bottom, flaw.left, flaw.top, flaw.right))
        out.append(f'<path d="M{a} {b}H{c}V{e}H{a}ZL{c} {e}M{a} {e}L{c} {b}" {_MARK}/>')
    return "".join(out)


def _repeat_lines(stretch: Stretch, k: float) -> str:
    """Dotted lines where the repeat is, through a matched point."""
    cloth = stretch.cloth
    points = [(x, y) for placed in stretch.placements for _, (x, y) in placed.matched_points(cloth) if x >= 0]
    if not points:
        return ""
    x0, y0 = points[0]
    d: list[str] = []
    if cloth.repeat_along > 0:
        y = y0 % cloth.repeat_along
        while y < stretch.length:
            d.append(f"M{y * k:.1f} 0V{cloth.spread_width * k:.0f}")
            y += cloth.repeat_along
    if cloth.repeat_across > 0:
        x = x0 % cloth.repeat_across
        while x < cloth.spread_width:
            d.append(f"M0 {x * k:.1f}H{stretch.length * k:.1f}")
            x += cloth.repeat_across
    return f'<path d="{"".join(d)}" fill="none" stroke="#6a6f7a" stroke-width=".7" stroke-dasharray="1 3"/>'


def _counter(nest: Nest, kept: Kept, unit: Unit) -> Iterator[str]:
    yield '<section id="counter">\n<h2>Other widths</h2>\n'
    for lay in kept.lays:
        yield counter_table(nest, lay.material, kept.quantities, unit, lay.cloth)
    yield "</section>\n"
