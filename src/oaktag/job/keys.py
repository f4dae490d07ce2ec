"""Every key of the job file: its name, what it is for, and what reads it.

A key more is a row more: unknown keys, `oaktag init` and docs/job.md go by this table.
"""

from __future__ import annotations

from typing import Final

from ..formats import usual
from ..lay.words import KEYS as CLOTH_KEYS
from .cloth import cloth_of, matches_of, quantities_of
from .drawing import drawing_of
from .fitting import fitting_of
from .measured import body_of, client_of, day_in, unit_of
from .named import garment_of, names_a_garment_file
from .output import (
    device_of,
    formats_of,
    lay_of,
    names_a_profile,
    output_of,
    paper_of,
    picked_sizes_of,
    print_client_of,
    word,
)
from .reader import Key, Read
from .sizes import base_of, chart_of, make_of, names_a_chart_file, rules_of, sizes_of, stack_of


def _line(most: int) -> Read:
    """What reads a short text."""
    return lambda reader, key: reader.words(key, most=most)


def _is_named(value: object) -> bool:
    return isinstance(value, str)


_TOP: Final = (
    Key("title", "printed on every piece; no personal name is needed", _line(120)),
    Key("client", "whom it is for, printed only with `print_client`; without [measurements] they are those in her book",
        client_of),
    Key("measured", "on which day she was measured, of those in the measurement book  [her last]", day_in),
    Key("garment", "what to draft; `oaktag garments` lists them; or a file of your own", garment_of,
        file=names_a_garment_file),
    Key("drawing", "a pattern that was drawn elsewhere, in place of a garment: an SVG or DXF file", drawing_of,
        file=_is_named),
    Key("units", "of every plain number in the file: in, cm or mm", unit_of),
    Key("date", "printed where it is given; nothing else has a date", day_in),
    Key("measurements", "of the body, without ease; or the name of a file that holds them", body_of, table=True,
        file=_is_named),
    Key("sizes", "a set of sizes, in place of one body", sizes_of, table=True),
    Key("style", "options of the garment; `oaktag garment NAME` lists them", table=True),
    Key("fitting", "what was pinned at a fitting; `oaktag fitting` lists the faults", fitting_of, table=True),
    Key("allowances", "by edge, or by piece and edge: side, hem, front.side", table=True),
    Key("corners", "how two allowances meet, by their edges: side/hem, front.side/hem", table=True),
    Key("cloth", "for `oaktag lay`; a kind of cloth that differs has a table in it: [cloth.lining]", cloth_of,
        table=True),
    Key("output", "the files and what they are for", output_of, table=True),
    Key("reading", "how a drawing is read, where it does not say its size", table=True),
    Key("lines", "which layers or ids of a drawing are grain lines, folds, notches, …", table=True),
    Key("pieces", "what each piece of a drawing is: [pieces.front]"),
    Key("seams", "pairs of edges of a drawing that are sewn to each other: [[seams]]"),
    Key("sewing_order", "the edges of a drawing in the order in which they are sewn"),
)  # fmt: skip
_SIZES: Final = (
    Key("chart", "a size chart that ships, by name, or a CSV file", chart_of, file=names_a_chart_file),
    Key("rules", "a table of grade rules: only the base is drafted, the others are graded", rules_of,
        file=lambda value: True),
    Key("make", "the sizes to make  [all]", make_of),
    Key("base", "the base size  [the middle one]", base_of),
    Key("stack", "the point on which the sizes are nested, such as underarm", stack_of),
)  # fmt: skip
_CLOTH: Final = (
    *(Key(key.name, key.words) for key in CLOTH_KEYS.values()),
    Key("quantity", 'garments of each size: { "10" = 2, "12" = 3 }; a number for one body', quantities_of),
    Key("stretch", 'across, for a garment of knit cloth, by the hand test: "40 %" (`oaktag stretch-card`)'),
    Key("stretch_along", "the same along the cloth"),
    Key("recovery", "how far it comes back when it is let go, of what it was stretched"),
    Key("match", 'at which notch a seam meets the repeat: { "side seam" = "waist" }', matches_of),
)  # fmt: skip
_OUTPUT: Final = (
    Key("formats", "what is written beside pattern.json and report.html", formats_of,
        example="[{}]".format(", ".join(f'"{form}"' for form in usual()))),
    Key("paper", "of the pages: letter, a4, a4-letter (prints on both), a3, legal, tabloid, a2, a1, a0",
        paper_of, example='"a4-letter"'),
    Key("tiles", "pages lie on each other by a strip; or butt, edge to edge",
        word("way to join tiles", ("overlap", "butt")), example='"overlap"'),
    Key("roll", "a roll PDF above 5,080 mm: several pages; or one-page, for few readers",
        word("way to write a long roll", ("split", "one-page")), example='"split"'),
    Key("device", "the plotter or cutter: `oaktag devices` lists them; or a TOML file of your own", device_of,
        example='"roll-914"', file=names_a_profile),
    Key("printer", "the printer of the pages, if it is calibrated", device_of, example='"home-printer"',
        file=names_a_profile),
    Key("sizes", 'the sizes to draw, of all that are made; by format: { pdf = ["12"] }', picked_sizes_of),
    Key("layout", "a set of sizes: each piece with all its sizes; or apart", word("layout", ("nested", "apart")),
        example='"nested"'),
    Key("dxf_units", "of pattern.dxf; or english, in inches", word("unit of the DXF", ("metric", "english")),
        example='"metric"'),
    Key("dxf_flavour", "of a set's pattern.dxf; or aama, for older readers",
        word("flavour of the DXF", ("astm", "aama")), example='"astm"'),
    Key("print_client", "print the client's name on pages and pieces", print_client_of, example="false"),
    Key("lay", "a lay that was kept, to be written with the pattern", lay_of, file=lambda value: True),
)  # fmt: skip

KEYS: Final = {
    table: {row.name: row for row in rows}
    for table, rows in (("", _TOP), ("sizes", _SIZES), ("cloth", _CLOTH), ("output", _OUTPUT))
}
"""By table, "" for those at the top; those of a drawing's tables are in intake/plan.py."""
DRAWING_TABLES: Final = ("reading", "lines", "pieces", "seams", "sewing_order")
"""What is said of a drawing that stands in place of a garment: see intake/plan.py."""
