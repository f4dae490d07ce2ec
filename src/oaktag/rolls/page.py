"""roll.html: a picture of the roll, and the cut list in the order in which it is drawn."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Final

from ..device.profile import DeviceProfile
from ..export.lay_page import picture
from ..export.report_page import (
    TABLE_END,
    bullets,
    cautions_section,
    counted,
    escaped,
    files_section,
    page,
    prove_the_scale,
    table_start,
)
from ..geometry.polygon import Box
from ..lay.names import Told
from ..lay.placed import Stretch
from ..lay.words import tape_words
from ..units import Unit
from ..values import replace
from .cut_list import CutRow
from .file import Roll
from .pack import HEAD, Length

_CSS: Final = """
.cuts td,.cuts th{white-space:nowrap}
@media print{.lay{display:block;width:100%;margin:0 0 .8rem}.lay svg{max-height:none}}
"""
_STANDS: Final = {"inside": "on the piece", "beside": "beside it", "none": "left out: it has no room"}


def render(
    roll: Roll, rows: Sequence[CutRow], device: DeviceProfile, unit: Unit, files: Sequence[str], notes: Sequence[str]
) -> bytes:
    """The page, HTML 5, UTF-8. Pictures show the paper with its length to the right; they are not to scale."""
    orders = tuple(dict.fromkeys(row.put.piece.order for row in rows))
    long = "; ".join(f"{tape_words(length.long, unit)}" for length in roll.lengths)
    whole = "" if len(rows) == roll.of else f" of {roll.of}"
    said = (
        f"{counted(len(rows), 'piece')}{whole} of {counted(len(orders), 'order')} on {long} of paper, for {device.name}"
    )
    head = f'<p class="verdict"><strong>{escaped(said)}</strong></p>\n'
    parts = ['<section id="roll">\n<h2>The roll</h2>\n', bullets(list(notes)) if notes else ""]
    for number, length in enumerate(roll.lengths, start=1):
        if len(roll.lengths) > 1:
            parts.append(f"<h3>plot {number}: {escaped(tape_words(length.long, unit))} long</h3>\n")
        parts.append(_picture(roll, length, orders, unit))
    parts += ["</section>\n", *_cuts(roll, rows, unit), *_orders(roll, rows)]
    parts += [prove_the_scale(), files_section(files), cautions_section(device.cautions)]
    links = {"roll": "The roll", "cuts": "Cut list", "orders": "Orders", "cautions": "Cautions"}
    under = "by order" if roll.by_order else "packed freely"
    return page(roll.title, under, head, links, parts, more=_CSS)


def _picture(roll: Roll, length: Length, orders: Sequence[str], unit: Unit) -> str:
    told: list[Told] = []
    for put in length.puts:
        # two shades in turn, so that neighbouring orders are told apart
        shade = orders.index(put.piece.order) % 2 + 1
        placed = replace(put.placed, piece=replace(put.placed.piece, copy=shade))
        words = " ".join(filter(None, (put.piece.order, put.piece.words, put.piece.size)))
        told.append(Told(put.number, placed, words, Box.round(placed.outline()), 0.0, True))
    blocks = [figure.moved(move).bounds() for figure, move in length.blocks if figure.name != HEAD]
    stretch = Stretch(roll.paper.cloth(), tuple(one.placed for one in told), length.long)
    return picture(stretch, told, unit, blocks=blocks)


def _cuts(roll: Roll, rows: Sequence[CutRow], unit: Unit) -> Iterator[str]:
    yield '<section id="cuts">\n<h2>Cut list</h2>\n'
    yield (
        '<p class="small">In the order in which the pieces are drawn: each is whole before the next begins, unless the '
        "machine cuts. Measured from the start of the plot.</p>\n"
    )
    plots, frames = len(roll.lengths) > 1, any(row.frames for row in rows)
    columns: list[str | tuple[str, str]] = [("No.", "n"), "Order", "Piece", "Size", ("Cut", "n"), "How", "Cloth"]
    columns += [("Plot", "n")] if plots else []
    columns += [("Frame", "n")] if frames else []
    columns += [("Begins", "n"), ("Ends", "n"), "Code"]
    yield table_start("the cut list", *columns, kind="cuts")
    for row in rows:
        own = row.put.piece
        cells = [own.order, own.words, own.size, str(row.drafted.quantity), row.how, row.drafted.material]
        cells += [str(row.plot)] if plots else []
        cells += [row.frame] if frames else []
        cells += [tape_words(row.box.bottom, unit), tape_words(row.box.top, unit), _STANDS[own.tag.place]]
        shown = "".join(
            f"<td{_kind(column)}>{escaped(cell)}</td>" for column, cell in zip(columns[1:], cells, strict=True)
        )
        yield f'<tr><th scope="row" class="n">{row.put.number}</th>{shown}</tr>\n'
    yield TABLE_END + "</section>\n"


def _kind(column: str | tuple[str, str]) -> str:
    return "" if isinstance(column, str) else f' class="{column[1]}"'


def _orders(roll: Roll, rows: Sequence[CutRow]) -> Iterator[str]:
    count = Counter(row.put.piece.order for row in rows)
    yield '<section id="orders">\n<h2>Orders</h2>\n'
    yield '<p class="small">A code says order, piece, size and the first digits of the set.</p>\n'
    yield table_start("the orders", "Order", "Pattern", ("Pieces", "n"), "Set")
    for order in roll.orders:
        if count[order.name]:
            yield (
                f'<tr><th scope="row">{escaped(order.name)}</th><td>{escaped(order.title)}</td>'
                f'<td class="n">{count[order.name]}</td><td>{order.mark}</td></tr>\n'
            )
    yield TABLE_END + "</section>\n"
