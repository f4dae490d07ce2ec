"""orders.html: an order split over lays, for the cutting room: what is spread, how long, in how many plies."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ..lay.cloth import Cloth
from ..lay.plan import Plan
from ..lay.words import buy_words, tape_words
from ..units import Unit
from .cloth_table import width_words
from .report_page import cautions_section, counted, escaped, files_section, page, table_start


def render(
    title: str,
    order: Mapping[str, int],
    rows: Sequence[tuple[str, Cloth, Plan, Sequence[Plan], Sequence[str]]],
    unit: Unit,
    files: tuple[str, ...],
) -> bytes:
    """The sheet, HTML 5, UTF-8. A row is a kind of cloth: its name, the cloth, the plan that was laid (with the lengths
    that were found), the plans with other numbers of lays, and the names of the lays' files without their endings."""
    links = {f"cloth-{i}": escaped(material) for i, (material, *_) in enumerate(rows)} | {"cautions": "Cautions"}
    parts: list[str] = []
    for number, (material, cloth, plan, others, names) in enumerate(rows):
        parts.append(f'<section id="cloth-{number}">\n<h2>{escaped(material)}</h2>\n')
        parts += _lays(order, cloth, plan, names, unit)
        parts += _others(plan, others, cloth, unit)
        parts.append("</section>\n")
    parts += [files_section(files), cautions_section(())]
    buys = "; ".join(
        f"{material}: {counted(len(plan.lays), 'lay')}, buy {buy_words(cloth.to_buy(plan.cloth), unit)} of cloth "
        f"{width_words(cloth.width, unit)} wide"
        for material, cloth, plan, _, _ in rows
    )
    under = ", ".join(f"{count} of size {size}" for size, count in order.items())
    head = f'<p class="verdict"><strong>{escaped(buys)}</strong></p>\n'
    return page(f"{title}: orders for the lays", under, head, links, parts)


def _lays(order: Mapping[str, int], cloth: Cloth, plan: Plan, names: Sequence[str], unit: Unit) -> Iterator[str]:
    sizes = list(order)
    yield f"<p>{escaped(cloth.words())}. Garments of each size in one ply; a ply is cut to the length.</p>\n"
    heads = [(escaped(f"size {size}" if size else "garments"), "n") for size in sizes]
    yield table_start("the lays", "Lay", *heads, ("Plies", "n"), ("Length", "n"), ("Cloth", "n"))
    cut = dict.fromkeys(sizes, 0)
    for lay, name in zip(plan.lays, names, strict=True):
        own = dict(lay.garments)
        for size, count in own.items():
            cut[size] += count * lay.plies
        cells = [str(own[size]) if size in own else "–" for size in sizes]
        cells += [str(lay.plies), tape_words(lay.length, unit), tape_words(lay.cloth, unit)]
        yield (
            f'<tr><th scope="row"><a href="{escaped(name)}.html">{escaped(name)}</a></th>'
            + "".join(f'<td class="n">{escaped(cell)}</td>' for cell in cells)
            + "</tr>\n"
        )
    plies = sum(lay.plies for lay in plan.lays)
    cells = [*(str(cut[size]) for size in sizes), str(plies), "", tape_words(plan.cloth, unit)]
    total = "".join(f'<td class="n">{escaped(cell)}</td>' for cell in cells)
    yield f'</tbody><tfoot><tr><th scope="row">Cut in all</th>{total}</tr></tfoot></table></div>\n'


def _others(plan: Plan, others: Sequence[Plan], cloth: Cloth, unit: Unit) -> Iterator[str]:
    told = [other for other in others if len(other.lays) != len(plan.lays)]
    if not told:
        return
    words = "; ".join(
        f"{counted(len(other.lays), 'lay')}: about {buy_words(cloth.to_buy(other.cloth), unit)}" for other in told
    )
    yield (
        f'<p class="small">Other numbers of lays: {escaped(words)}. Fewer lays are fewer set-ups; '
        "<code>--lays</code> takes another number.</p>\n"
    )
