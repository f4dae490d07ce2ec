"""How much cloth to buy in the widths that shops have, as a table for a page."""

from __future__ import annotations

from collections.abc import Mapping

from ..errors import InputError
from ..lay.cloth import SELVEDGE, Cloth
from ..lay.estimate import OFF, WIDTHS_CM, WIDTHS_IN, estimates
from ..lay.pieces import materials_of
from ..lay.words import buy_words, tape_words
from ..model.nest import Nest
from ..model.piece import piece_words
from ..units import INCH, Unit, show
from .report_page import escaped, table_start


def length_words(mm: float, unit: Unit) -> str:
    """What to buy for it, and in brackets what a tape says: `1 5/8 yd (55 1/8 in)`, `1.40 m (139.6 cm)`.

    >>> length_words(1396.0, "cm"), length_words(1396.0, "in")
    ('1.40 m (139.6 cm)', '1 5/8 yd (55 in)')
    """
    return f"{buy_words(mm, unit)} ({tape_words(mm, unit)})"


def width_words(mm: float, unit: Unit) -> str:
    """Cloth is sold by both: `59 in (150 cm)`, `150 cm`."""
    return f"{show(mm, unit)} ({round(mm / 10):d} cm)" if unit == "in" else show(mm, "cm")


def counter_table(
    nest: Nest, material: str, quantities: Mapping[str, int], unit: Unit, cloth: Cloth | None = None
) -> str:
    """Length to buy for the widths that shops have, estimated without a search; rounded up to what a shop cuts."""
    inches = unit == "in"
    widths = [w * INCH for w in WIDTHS_IN] if inches else [w * 10 for w in WIDTHS_CM]
    rows = [
        table_start(
            f"{escaped(material)}: about how much to buy", "Width", ("To buy", "n"), "Laid", "What sets the length"
        )
    ]
    for one in estimates(nest, material, quantities, widths, cloth or Cloth(1500.0, "fold")):
        wide = escaped(width_words(one.width, unit))
        if not one.fits:
            rows.append(f'<tr><th scope="row">{wide}</th><td class="n">–</td><td colspan="2">too narrow</td></tr>\n')
            continue
        by = ", ".join(piece_words(name) for name in one.by[:8]) + (", …" if len(one.by) > 8 else "")
        rows.append(
            f'<tr><th scope="row">{wide}</th><td class="n">{escaped(buy_words(one.length, unit))}</td>'
            f"<td>{'folded' if one.folded else 'open'}</td><td>{escaped(by or 'all of them')}</td></tr>\n"
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
        f"<p>An estimate for {escaped(each)}, pieces either way up, {escaped(show(SELVEDGE, unit))} of selvedge and of "
        "either end left free, nothing added for shrinking; rounded up to what a shop cuts. "
        "<code>oaktag lay</code> searches for the true length and draws the lay: it may be up to "
        f"{100 * OFF:.0f} % longer or shorter, so lay before you buy. "
        "Buy 5 to 10 % more for cloth that shrinks or is to be matched.</p>\n"
        f"{tables}</section>\n"
    )
