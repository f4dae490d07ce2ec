"""Orders given out to an executor, whichever it is, and taken back in the order of the input.

Of an input without end only what is under way is in memory. What has ended is in the journal at once, whatever stands
before it; so a batch that is killed goes on where it was.
"""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, CancelledError, Executor, Future, wait
from contextlib import suppress
from hashlib import sha256
from re import fullmatch
from typing import Final

from ..errors import DeviceError, OaktagError
from ..values import dataclass, replace
from .keep import Journal, Kept, digest_of
from .model import Ended, Order, Unread
from .stores import Stamp
from .work import FOR_ALL, How, make_order

AHEAD: Final = 50
"""So many orders a worker may be done before one that is slow; then it is waited for."""
_IN_A_ROW: Final = 5
"""So many orders that failed one after the other for what is no fault of theirs, and the batch stops: the disk is full,
or gone, or the workers are not ours."""
NAME: Final = r"\w[\w-]{0,119}"
"""What a folder of an order may be called."""
TAKEN: Final = ("done", "refused")
"""Folders of a watched batch (`watch`), so of no order."""


@dataclass(slots=True)
class Counts:
    """How far a batch is."""

    done: int = 0
    refused: int = 0
    failed: int = 0
    kept: int = 0
    """Of these, how many were made before, and nothing of them has changed."""

    @property
    def ended(self) -> int:
        return self.done + self.refused + self.failed

    def count(self, ended: Ended, *, anew: bool) -> None:
        setattr(self, ended.ending, getattr(self, ended.ending) + 1)
        self.kept += not anew


@dataclass(slots=True)
class _Place:
    """An order's place in the row: how it ended, as soon as it has."""

    order: Order | Unread
    ended: Ended | None = None


class Batch:
    """Orders through an executor. `slots` says how many it works at, which may change while it works; `made` is told
    of each order that has become something."""

    def __init__(
        self, journal: Journal, how: How, executor: Executor, slots: Callable[[], int], *, wholly: bool = False,
        made: Callable[[Order], None] = lambda order: None,
    ) -> None:  # fmt: skip
        self.counts = Counts()
        self._journal, self._how, self._executor, self._slots = journal, how, executor, slots
        self._wholly, self._settings, self._made = wholly, how.settings, made
        self._under_way: dict[Future[Kept], _Place] = {}
        self._alike = 0
        self._began = time.monotonic()

    def rate(self) -> float:
        """Orders made a second, without those that were there already."""
        passed = time.monotonic() - self._began
        return (self.counts.ended - self.counts.kept) / passed if passed > 0 else 0.0

    def run(self, orders: Iterable[Order | Unread]) -> Iterator[Ended]:
        """How each order ended, in the order of the input. DeviceError where no order can be made any more."""
        row: deque[_Place] = deque()
        seen: set[str] = set()
        for order in orders:
            place = _Place(order)
            row.append(place)
            self._begin(place, seen)
            slots = max(1, self._slots())  # as many again wait at the workers' door
            while len(self._under_way) >= 2 * slots or len(row) > slots * AHEAD:
                self._collect()
                yield from _ended(row)
            yield from _ended(row)
        while row:
            if self._under_way:
                self._collect()
            yield from _ended(row)

    def _begin(self, place: _Place, seen: set[str]) -> None:
        order = place.order
        twice = order.name in seen
        seen.add(order.name)
        if isinstance(order, Unread) or twice or not _may_be_called(order.name):
            place.ended = self._unread(order, twice=twice)
            if self._how.keep_others and _may_be_called(order.name) and not self._stands_beside(Kept(place.ended)):
                self._journal.add(Kept(place.ended))
            self.counts.count(place.ended, anew=True)
            return
        digest = self._digest(order)
        kept = self._journal.kept(order.name)
        if kept is not None and kept.ended.digest == digest and self._stands(kept):
            place.ended = replace(
                kept.ended, source=order.source, quantity=order.quantity, due=order.due, columns=order.columns
            )
            self.counts.count(place.ended, anew=False)
            return
        self._under_way[self._executor.submit(make_order, order.for_workers, digest, self._how)] = place

    def _digest(self, order: Order) -> str:
        trusted = "\nits garment files are trusted" if self._how.trusts(order) else ""
        return digest_of(order, f"{self._settings}{trusted}", self._how.only)

    def _unread(self, order: Order | Unread, *, twice: bool) -> Ended:
        if not isinstance(order, Unread):
            reason = (
                f"{order.name!r} cannot be the name of an order's folder: write letters, figures, - and _, and not "
                f"{' or '.join(TAKEN)}."
            )
            if twice:
                reason = f"an order before it is named {order.name}, too: give each a name of its own."
            return Ended(
                order.name, order.source, "refused", reason, quantity=order.quantity, due=order.due,
                columns=order.columns,
            )  # fmt: skip
        if not twice and not self._how.keep_others and _may_be_called(order.name) and order.name in self._journal:
            self._how.store.remove(order.name)
        return Ended(order.name, order.source, "refused", order.reason, columns=order.columns)

    def _stands(self, kept: Kept) -> bool:
        """Whether what was kept is still so: a refusal is, a fault is tried again, and files lie there unchanged."""
        if kept.ended.ending != "done":
            return kept.ended.ending == "refused"
        there = self._how.store.stamps(kept.ended.name)
        if not all(self._same(kept, file, there.get(file)) for file in kept.ended.sums):
            return False
        stamps = {file: there[file] for file in kept.ended.sums}
        if stamps != kept.stamps:  # copied from elsewhere: read once, and not at every batch
            self._journal.add(Kept(kept.ended, stamps))
        return True

    def _same(self, kept: Kept, file: str, stamp: Stamp | None) -> bool:
        """By size and time; where the time is another, or all are to be read, by the sum."""
        held = kept.stamps.get(file)
        if stamp is None or held is None or stamp[0] != held[0]:
            return False
        if stamp == held and not self._wholly:
            return True
        with suppress(OSError):
            return sha256(self._how.store.read(kept.ended.name, file)).hexdigest() == kept.ended.sums[file]
        return False

    def _collect(self) -> None:
        """Waits for one at least, and puts into the journal what has ended."""
        done, _ = wait(self._under_way, return_when=FIRST_COMPLETED)
        for future in done:
            place = self._under_way.pop(future)
            assert isinstance(place.order, Order)
            kept = self._result(future, place.order)
            kept = replace(kept, ended=replace(kept.ended, columns=place.order.columns))
            if not self._stands_beside(kept):
                self._journal.add(kept)
            place.ended = kept.ended
            self.counts.count(kept.ended, anew=True)
            if kept.ended.ending == "done":
                self._made(place.order)
            self._alike = self._alike + 1 if kept.ended.reason.startswith(FOR_ALL) else 0
            if self._alike >= _IN_A_ROW:
                raise DeviceError(
                    f"{_IN_A_ROW} orders failed one after the other, so the batch has stopped: {kept.ended.reason} "
                    "Then run the same again: it goes on where it was."
                )

    def _stands_beside(self, kept: Kept) -> bool:
        """Whether what was made before under that name stays, and so the line of the journal that tells of it."""
        before = self._journal.kept(kept.ended.name) if self._how.keep_others and kept.ended.ending != "done" else None
        return before is not None and before.ended.ending == "done"

    def _result(self, future: Future[Kept], order: Order) -> Kept:
        """How it ended, also where its worker did not live to tell."""
        try:
            return future.result()
        except CancelledError:
            raise DeviceError("the workers are gone. Run the same again: it goes on where it was.") from None
        except OaktagError as error:
            reason = str(error)
        except Exception as error:
            reason = f"the worker was lost ({type(error).__name__}: {error})."
        digest = self._digest(order)
        if not self._how.keep_others:
            with suppress(OaktagError, OSError):
                self._how.store.remove(order.name)
        return Kept(
            Ended(
                order.name, order.source, "failed", reason, digest=digest, quantity=order.quantity, due=order.due,
                columns=order.columns,
            )
        )  # fmt: skip


def _may_be_called(name: str) -> bool:
    return fullmatch(NAME, name) is not None and name.lower() not in TAKEN


def _ended(row: deque[_Place]) -> Iterator[Ended]:
    """Those at the head of the row that have ended."""
    while row and (ended := row[0].ended) is not None:
        row.popleft()
        yield ended
