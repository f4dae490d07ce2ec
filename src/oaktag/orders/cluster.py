"""The same orders on many machines: an executor of a Dask scheduler."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import Executor
from contextlib import contextmanager
from typing import Any, Final

from ..errors import DeviceError, InputError

RETRIES: Final = 2
"""So many times the library gives an order out again whose worker raised an error; one whose worker died, as often as
its setting `distributed.scheduler.allowed-failures` says."""
_SECONDS: Final = 10
"""How long a scheduler is waited for."""


@contextmanager
def cluster(address: str) -> Iterator[tuple[Executor, Callable[[], int]]]:
    """The executor of a scheduler, and how many orders its workers make at a time; certificates for tls:// are those of
    Dask's settings. InputError where the library is missing, DeviceError where no scheduler answers."""
    try:
        from distributed import Client
    except ImportError:
        raise InputError(
            f"--on {address}: a cluster needs Dask, which is not installed", expected="distributed",
            instead='Write pip install "oaktag[cluster]"',
        ) from None  # fmt: skip
    try:
        client: Any = Client(address, timeout=_SECONDS, set_as_default=False)  # type: ignore[no-untyped-call]
    except (OSError, TimeoutError, ValueError) as error:
        raise DeviceError(
            f"--on {address}: no scheduler answers there ({error}). Start one with: dask scheduler --host ADDRESS"
        ) from None
    with client:

        def slots() -> int:
            try:
                return sum(client.nthreads().values())
            except Exception as error:
                raise DeviceError(f"--on {address}: the scheduler is gone. Run the same again: it goes on.") from error

        executor: Executor = client.get_executor(retries=RETRIES, pure=False)
        try:
            yield executor, slots
        finally:
            executor.shutdown(wait=False)
