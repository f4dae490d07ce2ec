"""`oaktag send`."""

from __future__ import annotations

import json
import os
import shlex
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType
from typing import Any, Final

import click

from ..device.profile import LANGUAGES, PLOTTED, DeviceProfile
from ..device.store import find_device, mark_seen, was_seen
from ..device.stream import PEN_UP, Stream, commands_of, named, read_stream
from ..device.wire import Wire, open_wire, send
from ..errors import DeviceError, InputError, Where
from ..units import whole
from ..values import dataclass
from ..verify.drawing import UnreadableError
from ..verify.hpgl import reach_of
from ..verify.together import stray
from .kinds import Number
from .options import as_json

_SECONDS: Final = 120.0
"""Without progress, before a device is given up."""
_LIFTING: Final = 10.0
"""The same, for the few bytes that lift the pen."""


@dataclass(frozen=True, slots=True)
class _Typed:
    """What was typed, so that it can be typed again for another part."""

    file: Path
    device: str
    address: str | None
    timeout: float
    yes: bool

    def line_from(self, part: int) -> str:
        """The line to paste, in the words of this system's shell."""
        file = str(self.file)
        words = ["oaktag", "send", f".{os.sep}{file}" if file.startswith("-") else file, "--to", self.device]
        words += ["--at", self.address] if self.address else []
        words += ["--timeout", f"{self.timeout:g}"] if self.timeout != _SECONDS else []
        words += ["--yes"] if self.yes else []
        words += ["--from", str(part)]
        return subprocess.list2cmdline(words) if os.name == "nt" else shlex.join(words)


@click.command("send")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--to", "device", required=True, help="the device: oaktag devices lists them")
@click.option("--at", "address", help="where it is: tcp:HOST[:PORT], serial:PATH, file:PATH or queue:NAME")
@click.option("--from", "start", metavar="PART", help="go on at this part, by its number or name")
@click.option("--parts", is_flag=True, help="list the parts and send nothing")
@click.option(
    "--timeout", type=Number(0.1, 86_400), default=_SECONDS, show_default=True,
    help="seconds without progress before it is given up",
)  # fmt: skip
@click.option("--yes", is_flag=True, help="the cautions are read: do not ask")
@as_json()
def command(
    file: Path,
    device: str,
    address: str | None,
    start: str | None,
    parts: bool,
    timeout: float,
    yes: bool,
    as_json: bool,
) -> None:
    """Stream a plot to a plotter or cutter.

    Ctrl-C stops after the command that is being sent, lifts the pen, and says how to go on. A plot that was stopped
    or broken off exits with 3.

    \b
    Example:
      oaktag send alto-3/pattern.plt --to roll-914 --at tcp:192.0.2.20
      oaktag send alto-3/pattern.plt --to pen-1980s --at serial:/dev/ttyUSB0 --from 5
    """
    profile = find_device(device, beside=Path())
    stream = _stream(file, profile)
    if parts:
        _list(stream, as_json=as_json)
        return
    if other := stray(file):
        raise InputError(
            f"it {other}", where=Where(str(file)), expected="a plot of the set it lies in",
            instead="Write the folder again; if you mean this plot, copy it into a folder of its own, and send that",
        )  # fmt: skip
    first = _part(stream, start) if start is not None else 1
    where = profile.link.at if address is None else address
    if not where and address is None:
        raise InputError(
            f"it is not known where {profile.name} is",
            expected="--at tcp:HOST, serial:PATH, file:PATH or queue:NAME",
            instead='or write at = "tcp:HOST" below [link] of its profile',
        )
    if first > 1 and stream.parts[first - 1].frames:
        click.echo("note    frames before that part are not advanced: set the paper to where it was", err=True)
    _cautions(profile, yes=yes)
    typed = _Typed(file, device, address, timeout, yes)
    _sent(stream.resumed(first), open_wire(where, profile.link, timeout), profile, typed, first, as_json=as_json)


def _stream(file: Path, profile: DeviceProfile) -> Stream:
    """The plot, proved to be one that the device takes. Raises InputError."""
    where = Where(str(file))
    if profile.language not in PLOTTED:
        raise InputError(
            f"{profile.name} takes {LANGUAGES[profile.language]}",
            where=where,
            expected="a device that takes HP-GL",
            instead="Open the file in the program of the machine" if profile.cuts else "Print the PDF",
        )
    try:
        data = file.read_bytes()
    except FileNotFoundError:
        raise InputError("no such file", where=where, expected="a plot, such as pattern.plt") from None
    except OSError as error:
        raise InputError(f"cannot be read: {error.strerror}", where=where, expected="a plot") from None
    if data[:4] == b"%PDF" or data.lstrip()[:5] in (b"<?xml", b"<svg ") or data.lstrip()[:1] == b"0":
        raise InputError(
            f"a {file.suffix or 'file'} is no plot",
            where=where,
            expected="HP-GL",
            instead="Send the .plt of the same folder",
        )
    try:
        stream = read_stream(data)
    except InputError as error:
        raise InputError(error.found, where=where, expected=error.expected) from None
    coded = [data[c.start : c.end] for c in commands_of(data) if c.code == b"PE"]
    eight = any(any(byte > 127 for byte in line) for line in coded)
    if coded and profile.language in ("hpgl",):
        raise InputError(
            f"it holds coded lines (PE), and {profile.name} takes {LANGUAGES[profile.language]}", where=where,
            expected="a plot made for it", instead=f'Make it again with device = "{profile.name}"',
        )  # fmt: skip
    if eight and profile.link.bits == 7:
        raise InputError(
            f"its coded lines have 8 bits, and the line to {profile.name} has 7", where=where,
            expected="a plot made for it", instead=f'Make it again with device = "{profile.name}"',
        )  # fmt: skip
    try:
        low, high = reach_of(data)
    except UnreadableError as error:
        raise InputError(str(error), where=where, expected="a whole plot") from None
    if low < profile.least or high > profile.most:
        raise InputError(
            f"it has a coordinate of {low if low < profile.least else high:,.0f} plotter units", where=where,
            expected=f"{profile.least:,} to {profile.most:,} on {profile.name}",
            instead=f'Make it again with device = "{profile.name}"',
        )  # fmt: skip
    return named(stream, _names(file))


def _names(file: Path) -> list[str]:
    """What pattern.json beside the file calls its parts, or roll.json."""
    for beside in ("pattern.json", "roll.json"):
        try:
            told = json.loads((file.parent / beside).read_text(encoding="utf-8"))
            rows = [row["parts"] for row in told["plots"] if row["file"] == file.name]
            return [f"{part['name']}, pen {part['pen']}" for part in rows[0]]
        except (OSError, ValueError, KeyError, IndexError, TypeError, AttributeError, RecursionError):
            continue
    return []


def _list(stream: Stream, *, as_json: bool) -> None:
    if as_json:
        rows = [{"part": k, "name": p.name, "bytes": p.end - p.start} for k, p in enumerate(stream.parts, start=1)]
        click.echo(json.dumps(rows, ensure_ascii=False))
        return
    for number, part in enumerate(stream.parts, start=1):
        click.echo(f"{number:4}  {part.name}  ({part.end - part.start:,} bytes)")


def _part(stream: Stream, wanted: str) -> int:
    if 1 <= (whole(wanted) or 0) <= len(stream.parts):
        return int(wanted)
    found = [k for k, part in enumerate(stream.parts, start=1) if wanted in (part.name, part.name.split(", pen ")[0])]
    if not found:
        raise InputError(
            f"--from {wanted}: the plot has no such part",
            expected=f"1 to {len(stream.parts)}, or a name that --parts lists",
        )
    return found[0]


def _cautions(profile: DeviceProfile, *, yes: bool) -> None:
    """Shown at the first use of a device; one that cuts is not started before they are read."""
    if not profile.cautions or was_seen(profile.name):
        return
    for caution in profile.cautions:
        click.echo(f"caution {caution}", err=True)
    if not yes and sys.stdin.isatty():
        click.confirm("Read, and the machine is ready?", abort=True, err=True)
    elif not yes and profile.cuts:
        raise InputError(
            f"{profile.name} cuts, and this is its first use", expected="the cautions above to be read",
            instead="Add --yes when they are",
        )  # fmt: skip
    mark_seen(profile.name)


@contextmanager
def _stop_flag() -> Iterator[list[bool]]:
    """A flag that Ctrl-C raises; a second Ctrl-C breaks off at once."""
    flag: list[bool] = []

    def stop(number: int, frame: FrameType | None) -> None:
        if flag:
            raise KeyboardInterrupt
        flag.append(True)

    before: Any = signal.signal(signal.SIGINT, stop)
    try:
        yield flag
    finally:
        signal.signal(signal.SIGINT, before)


@contextmanager
def _bar(name: str, size: int, *, shown: bool) -> Iterator[Callable[[int], None]]:
    """Told how many bytes are sent, it shows a bar on a terminal."""
    if not shown:
        yield lambda count: None
        return
    with click.progressbar(length=size, label=name, file=sys.stderr) as bar:
        yield lambda count: bar.update(count - bar.pos)


def _sent(stream: Stream, wire: Wire, profile: DeviceProfile, typed: _Typed, first: int, *, as_json: bool) -> None:
    data, seconds = stream.data, typed.timeout
    chunk = min(profile.link.buffer, 4096)
    began = time.monotonic()
    shown = sys.stderr.isatty() and not as_json
    reached = 0

    def told(count: int) -> None:
        nonlocal reached
        reached = count
        show(count)

    def how_far() -> str:
        part = stream.part_at(reached)
        again = typed.line_from(part + first - 1)
        return (
            f"after {reached:,} of {len(data):,} bytes, in part {part + first - 1} ({stream.parts[part - 1].name}). "
            f"To go on: {again}"
        )

    with _stop_flag() as stopped, _bar(typed.file.name, len(data), shown=shown) as show:
        try:
            sent = send(data, wire, chunk=chunk, seconds=seconds, stopped=lambda: bool(stopped), told=told)
            lifted = sent == len(data) or _lift(stream, wire, sent, min(_LIFTING, seconds))
            if lifted:
                wire.finish(seconds)
        except KeyboardInterrupt:
            raise DeviceError(f"broken off, the pen may be down, {how_far()}") from None
        except OSError as error:
            why = str(error) if isinstance(error, TimeoutError) else f"the line broke: {error.strerror or error}"
            raise DeviceError(f"{why}, {how_far()}") from None
    if not lifted:
        raise DeviceError(
            f"the device takes no more bytes, so its pen may be down: lift it at the machine. Stopped {how_far()}"
        )
    if sent < len(data):
        raise DeviceError(f"stopped, the pen is up, {how_far()}")
    took = time.monotonic() - began
    if as_json:
        click.echo(json.dumps({"sent": sent, "of": len(data), "parts": len(stream.parts), "seconds": round(took, 1)}))
    else:
        click.echo(f"sent {sent:,} bytes, {len(stream.parts)} parts, in {took:.0f} s")


def _lift(stream: Stream, wire: Wire, sent: int, seconds: float) -> bool:
    """Ends the command that is under way, and puts the pen away; whether the device took that in the time."""
    end = stream.boundary(sent) if sent else 0
    rest = stream.data[sent:end] + b"\n" + PEN_UP + b"\n"
    try:
        return send(rest, wire, chunk=4096, seconds=seconds, stopped=lambda: False, told=lambda _: None) == len(rest)
    except TimeoutError:
        return False
