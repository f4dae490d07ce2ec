"""The ways by which bytes reach a device: raw TCP, a serial line, a device file, a printer queue.

`write_some` takes what can be taken within a moment and says how much that was, so that a stop is heeded at once and it
is known how far a plot has got.
"""

from __future__ import annotations

import os
import select
import shutil
import socket
import subprocess
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any, Final, Protocol

from ..errors import DeviceError, InputError
from ..units import whole
from .profile import Link

PORT: Final = 9100
"""TCP port at which raw bytes are printed (common practice, no source)."""
XON: Final = 0x11
XOFF: Final = 0x13
_MOMENT: Final = 0.2
"""Seconds after which a stop is looked for."""
_EXPECTED: Final = "tcp:HOST, tcp:HOST:PORT, serial:PATH, file:PATH or queue:NAME"


class Wire(Protocol):
    """An open way to a device."""

    def write_some(self, data: bytes) -> int:
        """How many of the bytes were taken; 0 if none could be in a moment. OSError where the way is broken."""
        ...

    def finish(self, seconds: float) -> None:
        """Waits until all is sent, at most so long, and closes."""
        ...


def open_wire(address: str, link: Link, seconds: float) -> Wire:
    """Opens what an address names. Raises InputError for no address, DeviceError where it cannot be opened."""
    kind, _, rest = address.partition(":")
    if not rest or kind not in ("tcp", "serial", "file", "queue"):
        raise InputError(f"{address!r} is no address of a device", expected=_EXPECTED)
    try:
        if kind == "tcp":
            host, _, port = rest.rpartition(":") if ":" in rest else (rest, "", str(PORT))
            if not 0 < (whole(port) or 0) < 65536:
                raise InputError(f"{port!r} is no TCP port", expected="a number from 1 to 65535")
            return _Tcp(host, int(port), link, seconds)
        if kind == "serial":
            return _Serial(rest, link)
        if kind == "file":
            return _File(Path(rest))
        return _Queue(rest)
    except OSError as error:
        raise DeviceError(f"{address} cannot be opened: {error.strerror or error}") from None
    except ValueError:  # a host of more than 63 letters between two dots (RFC 1035, 2.3.4), or a NUL in a path
        raise InputError(f"{address!r} is no address of a device", expected=_EXPECTED) from None


def send(
    data: bytes,
    wire: Wire,
    *,
    chunk: int,
    seconds: float,
    stopped: Callable[[], bool],
    told: Callable[[int], None],
) -> int:
    """Sends the bytes in chunks of at most `chunk`; how many were taken when all were, or it was stopped.

    `told` is called with the count so far. Raises TimeoutError when nothing is taken for so many seconds, OSError when
    the way breaks.
    """
    sent, since = 0, time.monotonic()
    while sent < len(data) and not stopped():
        count = wire.write_some(data[sent : sent + chunk])
        if count:
            sent, since = sent + count, time.monotonic()
            told(sent)
        elif time.monotonic() - since > seconds:
            raise TimeoutError(f"nothing was taken for {seconds:g} seconds")
    return sent


def _when_ready(fd: int, write: Callable[[], int]) -> int:
    _, ready, _ = select.select([], [fd], [], _MOMENT)
    if not ready:
        return 0
    try:
        return write()
    except (BlockingIOError, InterruptedError):
        return 0


class _Tcp:
    def __init__(self, host: str, port: int, link: Link, seconds: float) -> None:
        self.socket = socket.create_connection((host, port), timeout=min(seconds, 15.0))
        # A small buffer on our side: the count is then what the device has taken, but for little.
        self.socket.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, max(4096, link.buffer))
        self.socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        self.socket.setblocking(False)

    def write_some(self, data: bytes) -> int:
        return _when_ready(self.socket.fileno(), lambda: self.socket.send(data))

    def finish(self, seconds: float) -> None:
        with self.socket:
            self.socket.shutdown(socket.SHUT_WR)
            self.socket.settimeout(min(seconds, 3.0))
            with suppress(TimeoutError):
                while self.socket.recv(4096):
                    pass


class _Serial:
    """XON and XOFF are also heeded here, for drivers that pass them on as data."""

    def __init__(self, path: str, link: Link) -> None:
        import serial

        parity = {"none": serial.PARITY_NONE, "even": serial.PARITY_EVEN, "odd": serial.PARITY_ODD}[link.parity]
        self.line: Any = serial.Serial(
            path,
            link.baud,
            bytesize=link.bits,
            parity=parity,
            stopbits=link.stop_bits,
            xonxoff=link.flow == "xon/xoff",
            rtscts=link.flow == "rts/cts",
            timeout=0,
            write_timeout=_MOMENT,
        )
        self.flow = link.flow
        self.held = False

    def write_some(self, data: bytes) -> int:
        if self.flow == "xon/xoff" and self.line.in_waiting:
            for byte in self.line.read(self.line.in_waiting):
                if byte in (XON, XOFF):
                    self.held = byte == XOFF
        if self.held:
            time.sleep(_MOMENT / 10)
            return 0
        if os.name == "nt":
            import serial

            try:
                return int(self.line.write(data[:64]))
            except serial.SerialTimeoutException:
                return 0
        fd = self.line.fileno()
        return _when_ready(fd, lambda: os.write(fd, data))

    def finish(self, seconds: float) -> None:
        until = time.monotonic() + seconds
        with suppress(OSError):
            while self.line.out_waiting and time.monotonic() < until:
                time.sleep(_MOMENT / 10)
        self.line.close()


class _File:
    def __init__(self, path: Path) -> None:
        self.fd = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC | getattr(os, "O_NONBLOCK", 0), 0o644)

    def write_some(self, data: bytes) -> int:
        return _when_ready(self.fd, lambda: os.write(self.fd, data))

    def finish(self, seconds: float) -> None:
        os.close(self.fd)


class _Queue:
    def __init__(self, name: str) -> None:
        if shutil.which("lp"):
            command = ["lp", "-d", name, "-o", "raw", "-"]
        elif shutil.which("lpr"):
            command = ["lpr", "-P", name, "-l"]
        else:
            raise DeviceError("there is neither lp nor lpr on this computer, so no printer queue can be used")
        self.name = name
        # A group of its own: Ctrl-C is for us, and the queue is closed in order.
        self.child = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, start_new_session=True
        )

    def write_some(self, data: bytes) -> int:
        assert self.child.stdin is not None
        fd = self.child.stdin.fileno()
        return _when_ready(fd, lambda: os.write(fd, data[:4096]))

    def finish(self, seconds: float) -> None:
        try:
            _, told = self.child.communicate(timeout=seconds)
        except subprocess.TimeoutExpired:
            self.child.kill()
            raise DeviceError(f"the queue {self.name} did not take the plot within {seconds:g} seconds") from None
        if self.child.returncode:
            why = told.decode("utf-8", "replace").strip().splitlines()[:1]
            raise DeviceError(f"the queue {self.name} refused the plot: {''.join(why) or 'no reason given'}")
