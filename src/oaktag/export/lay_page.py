"""lay.html: how much cloth, and how to lay it, for the counter and the cutting table."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ..geometry.polygon import Box, simplified
from ..lay.estimate import setters
from ..lay.file import Kept
from ..lay.judge import worst_phase
from ..lay.names import name_of
from ..lay.placed import Lay, Stretch
from ..lay.sheet import splices
from ..model.nest import Nest
from ..model.piece import piece_words
from ..units import Unit, show
from .cloth_table import counter_table, length_words, width_words
from .report_page import cautions_section, escaped, files_section, page

_ACROSS_PX: Final = 280.0
"""Width of the cloth in the picture, CSS px."""
_WITHIN: Final = 0.5
_FONT: Final = (7.0, 13.0)
_MARK: Final = 'fill="none" stroke="#7a2e1d" stroke-width="1.5"'


def render(nest: Nest, kept: Kept, unit: Unit, files: tuple[str, ...]) -> bytes:
    """The page, HTML 5, UTF-8: for each kind of cloth the length to buy, the picture and what sets the length.

    Pictures show the cloth with its length to the right; they are not to scale for cutting.
    """
    title = f"{nest.base_pattern.title}: lay"
    order = ", ".join(f"{count} of size {size}" for size, count in kept.quantities.items())
    under = order if len(nest.sizes) > 1 else f"{sum(kept.quantities.values())} garment(s)"
    links = {f"lay-{i}": lay.material for i, lay in enumerate(kept.lays)}
    parts: list[str] = []
    for number, lay in enumerate(kept.lays):
        parts += list(_lay(nest, kept, lay, number, unit))
    links |= {"counter": "Other widths", "cautions": "Cautions"}
    parts += list(_counter(nest, kept, unit))
    parts += [files_section(files), cautions_section(())]
    lengths = "; ".join(
        f"{lay.material}: {length_words(lay.to_buy, unit)} of cloth {width_words(lay.cloth.width, unit)} wide"
        for lay in kept.lays
    )
    head = f'<div class="verdict"><div class="sign">m</div><div><b>{escaped(lengths)}</b></div></div>\n'
    return page(title, under, head, links, parts)


def _lay(nest: Nest, kept: Kept, lay: Lay, number: int, unit: Unit) -> Iterator[str]:
    cloth = lay.cloth
    yield f'<section id="lay-{number}">\n<h2>{escaped(lay.material)}</h2>\n'
    facts = [
        f"cloth {width_words(cloth.width, unit)} wide, {cloth.words()}",
        f"the lay is {length_words(lay.length, unit)} long and uses {lay.use:.1f} % of the cloth",
    ]
    if cloth.shrink_along or cloth.shrink_across:
        facts.append(
            f"the cloth loses {100 * cloth.shrink_along:g} % of its length and {100 * cloth.shrink_across:g} % of its "
            f"width in the wash: buy {length_words(lay.to_buy, unit)}, and wash it before you lay it"
        )
    facts.append(
        f"{show(cloth.selvedge, unit)} along each selvedge and {show(cloth.ends, unit)} at the ends are kept free, "
        f"{cloth.gap:g} mm between pieces"
    )
    boxes = [(p.piece.name, Box.round(p.outline())) for p in lay.stretches[0].placements]
    if boxes:
        chain = [piece_words(name) for name in setters(boxes, cloth.ends + cloth.gap, cloth.gap + 2.0)]
        facts.append(f"what sets the length, from the start: {', '.join(chain)}")
    if cloth.matched:
        facts.append(
            f"a repeat of {show(cloth.repeat_along, unit)} along and {show(cloth.repeat_across, unit)} across is met "
            f"at the marked points to {max(worst_phase(s) for s in lay.stretches):.2f} mm"
        )
        if cloth.layers == 2:
            facts.append("fold the cloth in the middle of a stripe, pin the stripes of both layers on each other")
    if cloth.spread == "fold":
        facts.append("fold it lengthwise, right sides together, the fold straight along the grain")
    yield "<ul>\n" + "".join(f"<li>{escaped(fact)}</li>\n" for fact in facts) + "</ul>\n"
    for index, stretch in enumerate(lay.stretches):
        words = "the stretch that is opened out" if index else f"the cloth as it lies, {cloth.words()}"
        yield f"<h3>{escaped(words)}: {length_words(stretch.length, unit)}</h3>\n"
        yield f'<div class="scroll"><figure>{picture(stretch)}</figure></div>\n'
        cuts = splices(stretch)
        if stretch.length > 2000.0 and cuts:
            at = ", ".join(f"{length_words(s.at, unit)} (overlap {show(s.overlap, unit)})" for s in cuts)
            yield f'<p class="small">Where a ply may end and the next begin, from the start: {escaped(at)}.</p>\n'
    yield "</section>\n"


def picture(stretch: Stretch) -> str:
    """SVG: length to the right, the left edge (or the fold) at the top; grey pieces with their names, arrows along the
    grain, dotted lines at the repeat, flaws crossed out."""
    cloth = stretch.cloth
    k = _ACROSS_PX / cloth.spread_width
    wide, high = stretch.length * k, _ACROSS_PX
    out: list[str] = []
    if cloth.matched:
        out.append(_repeat_lines(stretch, k))
    for placed in stretch.placements:
        ring = simplified(placed.outline(), _WITHIN)
        d = "M" + " ".join(f"{y * k:.1f} {x * k:.1f}" for x, y in ring) + "Z"
        fill = "#dfe3ea" if not placed.variant.mirrored and placed.piece.copy % 2 else "#eceef2"
        out.append(f'<path d="{d}" fill="{fill}" stroke="#16181d" stroke-width="1"/>')
        name = name_of(placed)
        size = min(_FONT[1], max(_FONT[0], name.across * k * 0.5), 1.8 * name.along * k / max(1, len(name.words)))
        up = placed.whole_move()
        way = 1.0 if up.yy * 1.0 > 0 else -1.0
        x, y = name.at[1] * k, name.at[0] * k
        reach = min(0.3 * name.along * k, 40.0)
        if reach > 9.0:
            foot = y + size * 0.75
            tip, barb = x + way * reach, 4 * way
            out.append(
                f'<path d="M{x - way * reach:.1f} {foot:.1f}H{tip:.1f}'
                f'm{-barb:.1f} -2.5 {barb:.1f} 2.5 {-barb:.1f} 2.5" fill="none" stroke="#1f4e79" stroke-width="1"/>'
            )
        out.append(
            f'<text x="{x:.1f}" y="{y:.1f}" font-size="{max(4.5, size):.1f}" text-anchor="middle">'
            f"{escaped(name.words)}</text>"
        )
    if cloth.matched:
        for placed in stretch.placements:
            for _, (x, y) in placed.matched_points(cloth):
                if x >= 0:
                    out.append(f'<circle cx="{y * k:.1f}" cy="{x * k:.1f}" r="3" {_MARK}/>')
    for flaw in cloth.flaws:
        a, b, c, e = (round(v * k, 1) for v in (flaw.bottom, flaw.left, flaw.top, flaw.right))
        out.append(f'<path d="M{a} {b}H{c}V{e}H{a}ZL{c} {e}M{a} {e}L{c} {b}" {_MARK}/>')
    edges = f'<path d="M.5 .5V{high:.1f}M{wide:.1f} .5V{high:.1f}" stroke="#16181d"/>'
    for y, fold in ((0.5, cloth.spread != "open"), (high, cloth.spread == "tubular")):
        dashes = ' stroke-dasharray="13 3 2 3" stroke-width="2.4"' if fold else ' stroke-width="1"'
        edges += f'<path d="M.5 {y:.1f}H{wide:.1f}" stroke="#16181d"{dashes}/>'
    words = "fold" if cloth.spread != "open" else "selvedge"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" width="{wide + 12:.0f}" height="{high + 24:.0f}" '
        f'viewBox="-6 -18 {wide + 12:.1f} {high + 24:.1f}"><title>lay, {escaped(cloth.words())}; not to scale</title>'
        f'<text x="0" y="-6" font-size="11">{words}; the start is at the left</text>{edges}{"".join(out)}</svg>\n'
    )


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
            d.append(f"M{y * k:.1f} 0V{_ACROSS_PX:.0f}")
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
