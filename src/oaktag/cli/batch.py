"""`oaktag batch`."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from ..errors import InputError
from ..formats import words_of
from ..progress import Progress
from ..units import UNITS, Unit
from .kinds import Number, Whole
from .options import as_json

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from ..orders.model import Ended
    from ..orders.run import Batch

MB: Final = 1_000_000
MOST_MINUTES: Final = 24 * 60.0


@click.command("batch")
@click.argument("orders", nargs=-1, type=click.Path(path_type=Path))
@click.option("-o", "--out", metavar="DIR", help="folder or store (s3://…, sftp://…) to write to")
@click.option("--only", multiple=True, type=click.Choice(words_of()), help="write only this; may be repeated")
@click.option("--unit", type=click.Choice(UNITS), help="of plain numbers in tables that do not say it")
@click.option("--jobs", type=Whole(1, 1024), help="so many orders at a time  [one for each core]")
@click.option("--on", metavar="ADDRESS", help="make them on a Dask cluster: tcp://HOST:PORT")
@click.option("--minutes", type=Number(0, MOST_MINUTES), default=5.0, help="longest time of an order; 0: any  [5]")
@click.option("--memory", type=Whole(0, 10**6), default=2000, help="most memory of an order, MB; 0: any  [2000]")
@click.option("--whole", is_flag=True, help="read all files that were made before, not only their size and time")
@click.option("--watch", metavar="DIR", type=click.Path(path_type=Path), help="make the jobs that appear in a folder")
@click.option("--once", is_flag=True, help="with --watch: end when nothing is left")
@as_json("a line of JSON: how many orders ended how")
@click.pass_context
def command(
    ctx: click.Context,
    orders: tuple[Path, ...],
    out: str | None,
    only: tuple[str, ...],
    unit: Unit | None,
    jobs: int | None,
    on: str | None,
    minutes: float,
    memory: int,
    whole: bool,
    watch: Path | None,
    once: bool,
    as_json: bool,
) -> None:
    """Make many orders at once: job files, folders of them, a table of orders (CSV), book:JOB for all of the book.

    Each order has a folder in DIR, as oaktag make writes it; manifest.csv and manifest.jsonl say how each ended: done,
    refused (and why), failed; summary.html shows it. Run again, only what has changed is made anew; stopped, it goes on
    where it was. Exit code 0: all are done; 1: some are not.

    \b
    Example:
      oaktag batch orders -o made
      oaktag batch orders.csv -o made --only hpgl --only json
      oaktag batch orders --out s3://choir/made --on tcp://10.0.0.5:8786
      oaktag batch --watch in --out made
    """
    import gc

    from ..orders.booked import into_book
    from ..orders.keep import Journal, Manifest
    from ..orders.run import Batch
    from ..orders.stores import store_of
    from ..orders.work import how

    gc.enable()  # a batch may run for days
    if out is None or not out:
        raise InputError("no place is named to write to", expected="--out DIR", instead="Write --out made")
    if bool(orders) == (watch is not None):
        raise InputError(
            "no orders are named" if watch is None else "orders and --watch are given both",
            expected="orders, or a folder to watch", instead="Write oaktag batch orders --out made",
        )  # fmt: skip
    if once and watch is None:
        raise InputError("--once is about a folder that is watched", expected="--watch DIR with it")
    store = store_of(out if "://" in out else str(Path(out).absolute()))
    if on is not None and store.where().startswith("memory:"):
        raise InputError(f"--out {out}: is in the memory of one process", expected="a place that all workers reach")
    if watch is not None:
        from ..orders.watch import Watch, place_for

        place_for(watch, store)
    store.begin()
    own = how(store, only, keep_others=watch is not None)
    with Journal(store) as journal, _workers(on, jobs, minutes, memory) as (executor, slots):
        made = partial(into_book, how=own, told=_note)
        batch = Batch(journal, own, executor, slots, wholly=whole, made=made)
        if watch is not None:
            watched = Watch(watch, store, journal, batch)
            with Progress() as told:
                for ended in watched.run(once=once, told=told):
                    if not as_json:
                        _tell(ended)
        else:
            from ..orders.gather import gather

            manifest = Manifest(journal)
            try:
                with Progress() as progress, _counted(orders, unit, progress) as total:
                    for ended in batch.run(gather(orders, unit=unit, told=_note)):
                        manifest.add(ended)
                        progress(_words(batch, total()))
                        if ended.ending != "done" and not as_json:
                            _tell(ended)
                manifest.write(store)
            finally:
                manifest.close()
    _tell_all(batch, store.where(), as_json=as_json)
    if batch.counts.refused or batch.counts.failed:
        ctx.exit(1)


@contextmanager
def _workers(
    on: str | None, jobs: int | None, minutes: float, memory: int
) -> Iterator[tuple[Executor, Callable[[], int]]]:
    """What makes the orders, and how many at a time."""
    if on is not None:
        from ..orders.cluster import cluster

        with cluster(on) as found:
            yield found
        return
    from ..orders.lanes import Lanes, cores
    from ..orders.work import LOADED

    count = jobs or cores()
    lanes = Lanes(count, seconds=minutes * 60, memory=memory * MB, loaded=LOADED)
    try:
        yield lanes, lambda: count
    finally:
        lanes.shutdown(cancel_futures=True)


@contextmanager
def _counted(orders: tuple[Path, ...], unit: Unit | None, progress: Progress) -> Iterator[Callable[[], int]]:
    """How many orders there are, counted meanwhile where somebody looks at it; 0 as long as it is not known."""
    import threading

    from ..orders.gather import gather

    found: list[int] = []
    over = threading.Event()

    def count() -> None:
        number = 0
        for _ in gather(orders, unit=unit):
            number += 1
            if over.is_set():
                return
        found.append(number)

    if progress.live:
        threading.Thread(target=count, daemon=True).start()
    try:
        yield lambda: found[0] if found else 0
    finally:
        over.set()


def _note(words: str) -> None:
    click.echo(f"note    {words}", err=True)


def _words(batch: Batch, total: int) -> str:
    """`120 of 1,000 orders, 880 left, 3.1 a second, 2 refused`."""
    counts = batch.counts
    parts = [f"{counts.ended:,} of {total:,} orders" if total else f"{counts.ended:,} orders"]
    if total:
        parts.append(f"{total - counts.ended:,} left")
    if (rate := batch.rate()) > 0:
        parts.append(f"{rate:.1f} a second")
    parts += [f"{n} {word}" for n, word in ((counts.refused, "refused"), (counts.failed, "failed")) if n]
    return ", ".join(parts)


def _tell(ended: Ended) -> None:
    first, *more = ended.reason.splitlines() or [""]
    click.echo(f"{ended.ending:8}{ended.name} ({ended.source}){f': {first}' if first else ''}")
    for line in more:
        click.echo(f"{'':8}{line}")


def _tell_all(batch: Batch, where: str, *, as_json: bool) -> None:
    counts = batch.counts
    if as_json:
        told: dict[str, Any] = {
            "orders": counts.ended, "done": counts.done, "refused": counts.refused, "failed": counts.failed,
            "unchanged": counts.kept, "out": where,
        }  # fmt: skip
        click.echo(json.dumps(told, ensure_ascii=False))
        return
    kept = f" ({counts.kept:,} of all unchanged since they were made)" if counts.kept else ""
    click.echo(
        f"{counts.ended:,} orders: {counts.done:,} done, {counts.refused:,} refused, {counts.failed:,} failed{kept}"
    )
    click.echo(f"wrote {where}")
