"""The measures of the finished garment as a table: what a maker looks for first."""

from __future__ import annotations

from itertools import groupby
from typing import Final

from ..checks.finished import finished
from ..model.pattern import Pattern
from ..units import show
from .report_page import TABLE_END, escaped, table_start

ABOUT: Final = (
    "Measured on the stitch lines of the finished pieces, darts closed, not copied from the order; rounded as a tape "
    "is read."
)


def finished_section(pattern: Pattern) -> str:
    """Body, wearing ease and garment in the maker's unit; nothing where the pattern tells nothing of what goes
    round."""
    measures = finished(pattern)
    if not measures:
        return ""
    unit = pattern.unit
    out = [
        f'<section id="finished">\n<h2>Finished measurements</h2>\n<p class="small">{ABOUT}</p>\n',
        table_start("Finished measurements", "Measurement", ("Body", "n"), ("Ease", "n"), ("Garment", "n"), kind="fit"),
    ]
    for index, (group, own) in enumerate(groupby(measures, lambda one: one.group)):
        out.append("</tbody>\n<tbody>\n" if index else "")
        out.append(f'<tr><th scope="rowgroup" colspan="4" class="of">{group}</th></tr>\n')
        for one in own:
            cells = "".join(
                f'<td class="n">{"" if mm is None else escaped(show(mm, unit))}</td>'
                for mm in (one.body, one.ease, one.garment)
            )
            out.append(f'<tr><th scope="row">{escaped(one.words)}</th>{cells}</tr>\n')
    return "".join([*out, TABLE_END, "</section>\n"])
