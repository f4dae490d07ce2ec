"""What a batch has made of clients' measurements, written into the book that they are from, as `oaktag make` does."""

from __future__ import annotations

from collections.abc import Callable

from ..errors import OaktagError
from .model import Order
from .work import How, laid_out


def into_book(order: Order, how: How, told: Callable[[str], None]) -> None:
    """A garment of hers; the pattern is made by then, so what goes wrong is told and stops nothing. The book is that of
    this machine: no worker sees it."""
    from ..book.people import client_and_day
    from ..book.store import Book, book_path
    from ..job import load_job
    from ..origin import made_of

    if not order.client:
        return
    client, _ = client_and_day(order.client)
    try:
        with laid_out(order, how) as path:
            made = made_of(load_job(path), order.job, order.files[order.job], order.measured)
        with Book(book_path()) as book, book.changing():
            book.made_again(client, made)
    except (OaktagError, OSError) as error:
        told(f"{order.name} is made, and it was not written into the measurement book. {error}")
