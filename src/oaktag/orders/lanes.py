"""An executor of worker processes of this machine, in which an order that kills its worker harms no other.

The standard library's pool of several processes gives up all that is under way when one process dies. So each worker
is a pool of its own, with one order at a time: who was in it is known. An order whose worker died is tried once more,
in a fresh one, since it may have been the machine (no memory left, somebody's kill); then it is given up.
"""

from __future__ import annotations

import gc
import multiprocessing
import os
import sys
import threading
import time
from collections import deque
from collections.abc import Callable
from concurrent.futures import CancelledError, Executor, Future, ProcessPoolExecutor
from concurrent.futures import wait as futures_wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from functools import partial
from multiprocessing.connection import Connection
from typing import Any, Final

from ..errors import DeviceError
from ..values import dataclass

TRIES: Final = 2
_YOUNG: Final = 1_000_000
"""Rings of references, which an order hardly leaves, are looked for when so many objects more are there than at the
last look: more than an order needs while it is made, since to go through those costs a tenth of its time."""


def cores() -> int:
    """Those that this process may use."""
    return len(os.sched_getaffinity(0)) if sys.platform == "linux" else os.cpu_count() or 1


class WorkerLost(DeviceError):  # noqa: N818 - reads as what happened
    """What made the order has died, or was ended; the text says why."""


@dataclass(slots=True)
class _Asked:
    """An order that waits or is under way."""

    future: Future[Any]
    call: Callable[[], Any]
    tries: int = 0
    began: float = 0.0


class Lanes(Executor):
    """So many workers, `seconds` and `memory` (bytes) at most for each order; 0: no limit."""

    def __init__(self, count: int, *, seconds: float = 0.0, memory: int = 0, loaded: tuple[str, ...] = ()) -> None:
        method = "forkserver" if "forkserver" in multiprocessing.get_all_start_methods() else "spawn"
        self._context = multiprocessing.get_context(method)
        if method == "forkserver":
            self._context.set_forkserver_preload([__name__, *loaded])
        self._seconds, self._memory = seconds, memory
        self._lock = threading.RLock()
        self._waiting: deque[_Asked] = deque()
        self._idle: list[_Lane] = [_Lane(self._context, memory) for _ in range(count)]
        self._lanes = tuple(self._idle)
        self._over = False
        self._asked: set[Future[Any]] = set()

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        future: Future[Any] = Future()
        with self._lock:
            if self._over:
                raise RuntimeError("these workers have been sent home")
            self._asked.add(future)
            future.add_done_callback(self._asked.discard)
            self._waiting.append(_Asked(future, partial(_within, self._seconds, fn, args, kwargs)))
            self._feed()
        return future

    def _feed(self) -> None:
        with self._lock:
            while self._idle and self._waiting and not self._over:
                asked = self._waiting.popleft()
                if asked.tries or asked.future.set_running_or_notify_cancel():
                    lane = self._idle.pop()
                    asked.began, asked.tries = time.monotonic(), asked.tries + 1
                    lane.submit(asked.call).add_done_callback(partial(self._done, lane, asked))

    def _done(self, lane: _Lane, asked: _Asked, inner: Future[Any]) -> None:
        """In a thread of the pool: hands the result on, renews a lane that broke, gives the next order out."""
        try:
            error = inner.exception()
        except CancelledError:
            error = WorkerLost("stopped")
        with self._lock:
            again = False
            if isinstance(error, BrokenProcessPool) and not self._over:
                lane.renew()
                late = bool(self._seconds) and time.monotonic() - asked.began >= self._seconds
                again = not late and asked.tries < TRIES
                error = WorkerLost(
                    f"it took longer than {self._seconds:g} s." if late else
                    "the process that made it died, and so did a second one."
                )  # fmt: skip
            if again:
                self._waiting.appendleft(asked)
            self._idle.append(lane)
            self._feed()
        if again:
            return
        if error is not None:
            asked.future.set_exception(error)
        else:
            asked.future.set_result(inner.result())

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """With `cancel_futures` workers end at once, and what they were about is lost. Else all that was asked is done,
        and waited for."""
        if wait and not cancel_futures:
            futures_wait(tuple(self._asked))
        with self._lock:
            self._over = True
            waiting = list(self._waiting) if cancel_futures else []
            if cancel_futures:
                self._waiting.clear()
        for asked in waiting:
            asked.future.cancel()
        for lane in self._lanes:
            lane.end(at_once=cancel_futures, wait=wait)


class _Lane:
    """One worker, and the pipe by whose end it knows that nobody wants it any more."""

    def __init__(self, context: Any, memory: int) -> None:
        self._context, self._memory = context, memory
        self._open()

    def _open(self) -> None:
        theirs, self._ours = self._context.Pipe(duplex=False)
        self.pool = ProcessPoolExecutor(
            1, mp_context=self._context, initializer=_settle_in, initargs=(theirs, self._memory)
        )

    def submit(self, call: Callable[[], Any]) -> Future[Any]:
        try:
            return self.pool.submit(call)
        except BrokenProcessPool:  # it died while it had nothing to do
            self.renew()
            return self.pool.submit(call)

    def renew(self) -> None:
        """A new worker. The old pool is taken down by a thread: it is the pool itself that tells of its end, with its
        lock held (Python 3.12 and later)."""
        self._ours.close()
        threading.Thread(target=self.pool.shutdown, kwargs={"wait": False}, name="oaktag renewal").start()
        self._open()

    def end(self, *, at_once: bool, wait: bool) -> None:
        if at_once:
            self._ours.close()
        self.pool.shutdown(wait=wait, cancel_futures=at_once)
        self._ours.close()


def _settle_in(wanted: Connection, memory: int) -> None:
    """In a new worker: Ctrl-C is the parent's to hear; it ends with the parent, however that ends.

    The thread that waits for it also keeps `make` from parting its work with a copy of the process (`beside`): the
    other core has another worker.
    """
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    if memory and sys.platform != "win32":
        import resource

        resource.setrlimit(resource.RLIMIT_DATA, (memory, memory))
    threading.Thread(target=_end_with, args=(wanted,), name="oaktag worker", daemon=True).start()
    gc.freeze()
    gc.set_threshold(_YOUNG, 10, 10)


def _end_with(wanted: Connection) -> None:
    with suppress(EOFError, OSError):
        wanted.recv_bytes()
    os._exit(0)


def _within(seconds: float, fn: Callable[..., Any], args: tuple[Any, ...], kwargs: dict[str, Any]) -> Any:
    """In a worker: the call, or the end of the worker when the time is over, whatever it is about."""
    if not seconds:
        return fn(*args, **kwargs)
    alarm = threading.Timer(seconds, os._exit, (1,))
    alarm.daemon = True
    alarm.start()
    try:
        return fn(*args, **kwargs)
    finally:
        alarm.cancel()
