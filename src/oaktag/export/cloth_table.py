"""How much cloth to buy in the widths that shops have, as a table for a page."""

from __future__ import annotations

from collections.abc import Mapping

from ..errors import InputError
from ..lay.cloth import Cloth
from ..lay.estimate import WIDTHS_CM, WIDTHS_IN, YARD, estimates
from ..lay.pieces import materials_of
from ..model.nest import Nest
from ..model.piece import piece_words
from ..units import INCH, Unit, show
from .report_page import escaped, table_start


def length_words(mm: float, unit: Unit) -> str:
    """`1.40 m`, or `1 5/8 yd (55 1/8 in)`, rounded up.

    >>> length_words(1396.0, "cm"), length_words(1396.0, "in")
    ('1.40 m', '1 5/8 yd (55 in)')
    """
    if unit != "in":
        return f"{-(-mm // 10) / 100:.2f} m"
    eighths = int(-(-(mm - 1e-6) // (YARD / 8)))
    whole, part = divmod(eighths, 8)
    fraction = {0: "", 1: "1/8", 2: "1/4", 3: "3/8", 4: "1/2", 5: "5/8", 6: "3/4", 7: "7/8"}[part]
    yards = " ".join(filter(None, (str(whole) if whole or not part else "", fraction)))
    return f"{yards} yd ({show(mm, 'in')})"


def width_words(mm: float, unit: Unit) -> str:
    """Cloth is sold by both: `59 in (150 cm)`, `150 cm`."""
    return f"{show(mm, unit)} ({mm / 10:g} cm)" if unit == "in" else show(mm, "cm")


def counter_table(
    nest: Nest, material: str, quantities: Mapping[str, int], unit: Unit, cloth: Cloth | None = None
) -> str:
    """Length to buy for the widths that shops have, estimated without a search; rounded up to 10 cm or 1/8 yd."""
    widths = [w * 10 for w in WIDTHS_CM] + [w * INCH for w in WIDTHS_IN]
    found = estimates(nest, material, quantities, widths, cloth or Cloth(1500.0, "fold"))
    rows = [
        table_start(
            f"{escaped(material)}: about how much to buy", "Width", ("To buy", "n"), "Laid", "What sets the length"
        )
    ]
    for index, one in enumerate(found):
        inches = index >= len(WIDTHS_CM)
        wide = f"{one.width / INCH:g} in" if inches else f"{one.width / 10:g} cm"
        if not one.fits:
            rows.append(f'<tr><th scope="row">{wide}</th><td class="n">–</td><td colspan="2">too narrow</td></tr>\n')
            continue
        buy = one.to_buy(inches)
        length = length_words(buy, "in").partition(" (")[0] if inches else f"{buy / 1000:.1f} m"
        by = ", ".join(piece_words(name) for name in one.by[:8]) + (", …" if len(one.by) > 8 else "")
        rows.append(
            f'<tr><th scope="row">{wide}</th><td class="n">{length}</td><td>{"folded" if one.folded else "open"}</td>'
            f"<td>{escaped(by)}</td></tr>\n"
        )
    rows.append("</tbody></table></div>\n")
    return "".join(rows)


def cloth_section(nest: Nest, unit: Unit, quantities: Mapping[str, int]) -> str:
    """For the report of a pattern: how much cloth one garment takes, told at once."""
    try:
        tables = "".join(counter_table(nest, material, quantities, unit) for material in materials_of(nest))
    except InputError as error:  # a fold across the grain, say: then nothing can be laid
        return (
            f'<section id="cloth">\n<h2>Cloth to buy</h2>\n<p>Not estimated: {escaped(error.found)}.</p>\n</section>\n'
        )
    each = ", ".join(f"{count} of size {size}" for size, count in quantities.items()) if len(nest.sizes) > 1 else "one"
    return (
        '<section id="cloth">\n<h2>Cloth to buy</h2>\n'
        f"<p>An estimate for {escaped(each)}, without a search: pieces slid together either way up, 1 cm of selvedge "
        "and of either end left free, nothing added for shrinking. Buy 5 to 10 % more for cloth that shrinks or is to "
        "be matched. <code>oaktag lay</code> finds the true length and draws the lay.</p>\n"
        f"{tables}</section>\n"
    )
