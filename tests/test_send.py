"""Plots on their way: parts; fake plotters on loopback and on a pseudo terminal that are slow, stall or hang up."""

from __future__ import annotations

import contextlib
import os
import re
import shlex
import signal
import socket
import stat
import subprocess
import sys
import threading
import time
import tty
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oaktag.device.store import find_device
from oaktag.device.stream import PEN_UP, commands_of, read_stream
from oaktag.device.wire import open_wire, send
from oaktag.errors import DeviceError, InputError
from oaktag.export import hpgl
from oaktag.verify.hpgl import pen_lines
from samples import sample_sheet
from wardrobe import oaktag, oaktag_alone

PACE = 960
"""Bytes a second at 9600 baud, 8N1 (ten bits a byte)."""
FASTER = 40
"""The fakes run so many times faster than a real line, so that a test takes seconds."""


@cache
def plot(device: str = "roll-1067") -> bytes:
    return hpgl.plot(sample_sheet(), find_device(device)).data


# ---- parts


@pytest.mark.parametrize("device", ["roll-1067", "roll-914-coded", "roll-914-serial", "knife-600", "pen-1980s"])
def test_head_parts_and_tail_are_the_file(device: str) -> None:
    profile = find_device(device)
    made = hpgl.plot(sample_sheet(), replace(profile, width=1200.0, length=None, unit=0.025, most=10**6))
    stream = read_stream(made.data)
    assert len(stream.parts) == len(made.parts)
    assert stream.head + b"".join(made.data[p.start : p.end] for p in stream.parts) + stream.tail == made.data
    assert stream.head.startswith(b"IN;") and PEN_UP.replace(b";", b";\n").strip() in stream.tail


@pytest.mark.parametrize("device", ["roll-1067", "roll-914-coded"])
def test_a_resumed_plot_draws_that_part_and_all_after_it(device: str) -> None:
    data = hpgl.plot(sample_sheet(), replace(find_device(device), width=1200.0)).data
    stream = read_stream(data)
    whole = pen_lines(data)
    for number in range(1, len(stream.parts) + 1):
        got = pen_lines(stream.resumed(number).data)
        assert got == whole[len(whole) - len(got) :]  # points and pens alike
        drawn_before = pen_lines(data[: stream.parts[number - 1].start] + b"PU;SP0;") if number > 1 else []
        assert len(drawn_before) + len(got) == len(whole)


CODES = ["PU1,2", "PD3,4,5,6", "SP2", "VS10", "PE<=O]`b", "LBfront\x03", "PA", "FR"]


@given(st.lists(st.sampled_from(CODES), max_size=20), st.sampled_from(["\n", "\r\n", ""]), st.integers(0, 2**16))
def test_commands_are_the_file_byte_for_byte(codes: list[str], end: str, seed: int) -> None:
    text = "IN;" + end
    for i, code in enumerate(codes):
        text += ("\n\n" if (seed >> i) & 1 else "") + code + ("" if code.startswith("LB") else ";") + end
    data = text.encode()
    commands = list(commands_of(data))
    assert [c.code.decode() for c in commands] == ["IN", *(code[:2] for code in codes)]
    between = b"".join(data[a.end : b.start] for a, b in pairwise(commands))
    assert between.strip(b"\r\n") == b""
    stream = read_stream(data)
    assert stream.head + b"".join(data[p.start : p.end] for p in stream.parts) + stream.tail == data


def test_what_is_no_plot_is_refused(tmp_path: Path) -> None:
    for data in (b"", b"%PDF-1.6", b"SP1;PU0,0;", b"IN;\x1bq", b"IN;5"):
        with pytest.raises(InputError):
            read_stream(data)


# ---- a fake plotter on loopback


class Plotter:
    """Takes bytes at a pace, may stall once for some time, may hang up."""

    def __init__(
        self,
        *,
        pace: float = PACE * FASTER,
        stall_after: int = -1,
        stall: float = 0.0,
        drop_after: int = -1,
        port: int = 0,
    ):
        self.server = socket.create_server(("127.0.0.1", port))
        self.server.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 2048)
        self.port = self.server.getsockname()[1]
        self.pace, self.stall_after, self.stall, self.drop_after = pace, stall_after, stall, drop_after
        self.got = bytearray()
        self.thread = threading.Thread(target=self._run, daemon=True)
        self.thread.start()

    def _run(self) -> None:
        line, _ = self.server.accept()
        with line:
            while chunk := line.recv(512):
                self.got += chunk
                if 0 <= self.drop_after <= len(self.got):
                    line.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, b"\1\0\0\0\0\0\0\0")  # reset, not closed
                    return
                if 0 <= self.stall_after <= len(self.got):
                    self.stall_after = -1
                    time.sleep(self.stall)
                time.sleep(len(chunk) / self.pace)

    def close(self) -> None:
        self.thread.join(30)
        assert not self.thread.is_alive()
        self.server.close()

    def finish(self) -> bytes:
        self.close()
        return bytes(self.got)


@pytest.fixture
def written(tmp_path: Path) -> Path:
    path = tmp_path / "pattern.plt"
    path.write_bytes(plot())
    return path


def sent(path: Path, *arguments: object, device: str = "roll-1067") -> subprocess.CompletedProcess[str]:
    return oaktag_alone(
        "send", path.name, "--to", device, *arguments, cwd=path.parent, OAKTAG_DEVICES=str(path.parent / "d")
    )


def test_every_byte_arrives_at_a_slow_pace_with_a_stall(written: Path) -> None:
    plotter = Plotter(stall_after=4000, stall=1.0)
    told = sent(written, "--at", f"tcp:127.0.0.1:{plotter.port}", "--json")
    assert told.returncode == 0, told.stderr
    assert plotter.finish() == plot()
    assert f'"sent": {len(plot())}' in told.stdout


def test_a_plotter_that_takes_nothing_more_is_given_up(written: Path) -> None:
    plotter = Plotter(stall_after=2000, stall=6.0)
    written.write_bytes(plot() + b" " * 3_000_000)  # more than any buffer on the way holds
    told = sent(written, "--at", f"tcp:127.0.0.1:{plotter.port}", "--timeout", "1")
    assert told.returncode == 3
    assert "nothing was taken for 1 seconds" in told.stderr and "To go on: oaktag send pattern.plt" in told.stderr
    plotter.close()


def test_a_line_that_drops_is_told_with_how_to_go_on(written: Path) -> None:
    plotter = Plotter(drop_after=3000)
    written.write_bytes(plot().replace(b"PU;\nSP0;", b"PU;\n" * 200_000 + b"SP0;"))
    told = sent(written, "--at", f"tcp:127.0.0.1:{plotter.port}")
    assert told.returncode == 3
    assert re.search(r"the line broke: .* after [\d,]+ of [\d,]+ bytes, in part \d+ .*--from \d+", told.stderr), (
        told.stderr
    )
    plotter.close()


def test_nobody_at_home(written: Path) -> None:
    free = socket.create_server(("127.0.0.1", 0))
    port = free.getsockname()[1]
    free.close()
    told = sent(written, "--at", f"tcp:127.0.0.1:{port}")
    assert told.returncode == 3 and "cannot be opened" in told.stderr and "Traceback" not in told.stderr


def test_ctrl_c_ends_a_command_lifts_the_pen_and_the_rest_is_drawn_later(written: Path) -> None:
    plotter = Plotter(pace=PACE * 8)
    command = [sys.executable, "-m", "oaktag", "send", str(written), "--to", "roll-1067", "--at"]
    environment = os.environ | {"OAKTAG_DEVICES": str(written.parent / "d")}
    child = subprocess.Popen(
        [*command, f"tcp:127.0.0.1:{plotter.port}"], stderr=subprocess.PIPE, text=True, env=environment
    )
    until = time.monotonic() + 20
    while len(plotter.got) < 6000 and time.monotonic() < until:
        time.sleep(0.02)
    child.send_signal(signal.SIGINT)
    _, told = child.communicate(timeout=60)
    assert child.returncode == 3 and "stopped, the pen is up" in told, told
    got = plotter.finish()
    body, _, end = got.rpartition(b"\n" + PEN_UP + b"\n")
    assert end == b"" and plot().startswith(body) and len(body) < len(plot())
    assert len(body) in {c.end for c in commands_of(plot())}  # at the end of a command
    number = int(re.search(r"--from (\d+)", told)[1])  # type: ignore[index]
    again = Plotter()
    rest = sent(written, "--at", f"tcp:127.0.0.1:{again.port}", "--from", number)
    assert rest.returncode == 0, rest.stderr
    whole, first, second = pen_lines(plot()), pen_lines(body + PEN_UP), pen_lines(again.finish())
    assert second == whole[len(whole) - len(second) :]
    assert len(first) + len(second) >= len(whole)  # nothing is missing; of the part that was stopped some comes twice


def test_parts_have_the_names_of_pattern_json(tmp_path: Path) -> None:
    choir = Path(__file__).resolve().parents[1] / "fixtures/choir/alto-3.toml"
    made = oaktag("make", choir, "-o", "out", "--only", "json", "--only", "hpgl", cwd=tmp_path)
    assert made.returncode == 0
    told = sent(tmp_path / "out/pattern.plt", "--parts", device="roll-914")
    assert told.returncode == 0
    assert re.search(r"\d+  front, pen 2  \([\d,]+ bytes\)", told.stdout) and "sleeve, pen 1" in told.stdout
    plotter = Plotter(pace=1e9)
    got = sent(
        tmp_path / "out/pattern.plt",
        "--from",
        "sleeve, pen 1",
        "--at",
        f"tcp:127.0.0.1:{plotter.port}",
        device="roll-914",
    )
    assert got.returncode == 0
    assert plotter.finish().startswith(b"IN;\n")
    wrong = sent(tmp_path / "out/pattern.plt", "--from", "collar", device="roll-914")
    assert wrong.returncode == 2 and "no such part" in wrong.stderr


# ---- a serial line


@contextlib.contextmanager
def terminal() -> Iterator[tuple[int, str]]:
    """A pseudo terminal: our end, and the name of theirs."""
    ours, theirs = os.openpty()
    tty.setraw(ours)
    name = os.ttyname(theirs)
    try:
        yield ours, name
    finally:
        os.close(ours)
        os.close(theirs)


def test_a_serial_line_heeds_xoff_and_xon() -> None:
    data = plot()
    profile = find_device("roll-900-frames")
    got = bytearray()
    held: list[int] = []
    with terminal() as (ours, name):
        wire = open_wire(f"serial:{name}", profile.link, 5.0)
        done = threading.Event()

        def device() -> None:
            stopped = False
            while not done.is_set() or len(got) < len(data):
                if len(got) > 5000 and not stopped:
                    stopped = True
                    os.write(ours, b"\x13")  # XOFF
                    time.sleep(0.3)  # what is under way arrives
                    os.set_blocking(ours, False)
                    with contextlib.suppress(BlockingIOError):
                        while chunk := os.read(ours, 4096):
                            got.extend(chunk)
                    before = len(got)
                    time.sleep(0.6)
                    with contextlib.suppress(BlockingIOError):
                        got.extend(os.read(ours, 4096))
                    held.append(len(got) - before)
                    os.set_blocking(ours, True)
                    os.write(ours, b"\x11")  # XON
                got.extend(os.read(ours, 256))
                time.sleep(256 / (PACE * FASTER))

        reader = threading.Thread(target=device, daemon=True)
        reader.start()
        count = send(data, wire, chunk=profile.link.buffer, seconds=5.0, stopped=lambda: False, told=lambda _: None)
        done.set()
        reader.join(30)
        wire.finish(2.0)
    assert count == len(data) and bytes(got) == data
    assert held == [0]  # while it was held off, nothing came


def test_xoff_that_the_driver_passes_on_is_heeded_too() -> None:
    link = replace(find_device("roll-900-frames").link, flow="xon/xoff")
    with terminal() as (ours, name):
        wire = open_wire(f"serial:{name}", link, 5.0)
        wire.line.xonxoff = False  # type: ignore[attr-defined]
        os.write(ours, b"\x13")
        time.sleep(0.1)
        assert wire.write_some(b"PU;") == 0
        os.write(ours, b"\x11")
        time.sleep(0.1)
        assert wire.write_some(b"PU;") == 3
        wire.finish(1.0)


def test_a_serial_line_that_is_held_off_for_ever_times_out() -> None:
    link = find_device("roll-900-frames").link
    with terminal() as (ours, name):
        wire = open_wire(f"serial:{name}", link, 5.0)
        os.write(ours, b"\x13")
        time.sleep(0.1)
        with pytest.raises(TimeoutError, match="nothing was taken"):
            send(plot(), wire, chunk=512, seconds=0.6, stopped=lambda: False, told=lambda _: None)


# ---- files and queues


def test_a_file_takes_the_bytes(written: Path) -> None:
    told = sent(written, "--at", f"file:{written.parent / 'port'}")
    assert told.returncode == 0 and (written.parent / "port").read_bytes() == plot()
    told = sent(written, "--at", "file:/nowhere/port")
    assert told.returncode == 3 and "cannot be opened" in told.stderr


def test_a_printer_queue_gets_raw_bytes(written: Path) -> None:
    programs = written.parent / "bin"
    programs.mkdir()
    fake = programs / "lp"
    fake.write_text(
        f'#!/bin/sh\necho "$@" > {written.parent}/asked\ncat > {written.parent}/printed\n', encoding="utf-8"
    )
    fake.chmod(fake.stat().st_mode | stat.S_IXUSR)
    path = f"{programs}{os.pathsep}{os.environ['PATH']}"
    told = oaktag("send", written.name, "--to", "roll-1067", "--at", "queue:wide", cwd=written.parent, PATH=path,
                  OAKTAG_DEVICES=str(written.parent / "d"))  # fmt: skip
    assert told.returncode == 0, told.stderr
    assert (written.parent / "printed").read_bytes() == plot()
    assert (written.parent / "asked").read_text().split() == ["-d", "wide", "-o", "raw", "-"]
    fake.write_text("#!/bin/sh\ncat > /dev/null\necho no such queue >&2\nexit 1\n", encoding="utf-8")
    told = oaktag("send", written.name, "--to", "roll-1067", "--at", "queue:wide", cwd=written.parent, PATH=path,
                  OAKTAG_DEVICES=str(written.parent / "d"))  # fmt: skip
    assert told.returncode == 3 and "refused the plot: no such queue" in told.stderr


# ---- the line that says how to go on, pasted


FOLDER = "alto 3's"
"""With a space and a quote, as people name folders."""


@pytest.fixture
def room(tmp_path: Path) -> Path:
    """A folder to type in, with a plot in a folder of its own."""
    (tmp_path / FOLDER).mkdir()
    (tmp_path / FOLDER / "pattern.plt").write_bytes(plot())
    return tmp_path


def typed(room: Path, *words: object, **environment: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "oaktag", "send", f"{FOLDER}/pattern.plt", *map(str, words)],
        cwd=room, stderr=subprocess.PIPE, text=True,
        env=os.environ | {"OAKTAG_DEVICES": str(room / "d")} | environment,
    )  # fmt: skip


def broken_off(child: subprocess.Popen[str], until: object = None) -> str:
    """What it told when it exited with 3; Ctrl-C is pressed once that is true."""
    if callable(until):
        for _ in range(1000):
            if until() or child.poll() is not None:
                break
            time.sleep(0.02)
        child.send_signal(signal.SIGINT)
    _, told = child.communicate(timeout=60)
    assert child.returncode == 3, told
    return told


def pasted(told: str, room: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    """The line that was printed, taken apart as a shell does, and run from the same folder."""
    line = told.partition("To go on: ")[2].strip()
    program, *words = shlex.split(line)
    assert program == "oaktag", told
    return oaktag_alone(*words, cwd=room, OAKTAG_DEVICES=str(room / "d"), **environment)


def is_the_rest(got: bytes) -> None:
    """The end of the plot, from the start of one of its parts on."""
    whole, rest = pen_lines(plot()), pen_lines(got)
    assert rest == whole[len(whole) - len(rest) :] and rest


def drop(room: Path) -> str:
    (room / FOLDER / "pattern.plt").write_bytes(plot().replace(b"PU;\nSP0;", b"PU;\n" * 40_000 + b"SP0;"))
    plotter = Plotter(drop_after=3000)
    told = broken_off(typed(room, "--to", "roll-1067", "--at", f"tcp:127.0.0.1:{plotter.port}"))
    plotter.close()
    assert "the line broke" in told
    return told


def time_out(room: Path) -> str:
    (room / FOLDER / "pattern.plt").write_bytes(plot() + b" " * 400_000)
    plotter = Plotter(stall_after=2000, stall=2.0, pace=1e9)
    told = broken_off(typed(room, "--to", "roll-1067", "--at", f"tcp:127.0.0.1:{plotter.port}", "--timeout", "0.5"))
    plotter.close()
    assert "nothing was taken for 0.5 seconds" in told
    return told


def ctrl_c(room: Path) -> str:
    plotter = Plotter(pace=PACE * 8)
    child = typed(room, "--to", "roll-1067", "--at", f"tcp:127.0.0.1:{plotter.port}")
    told = broken_off(child, lambda: len(plotter.got) > 6000)
    plotter.close()
    assert "stopped, the pen is up" in told
    return told


def ctrl_c_while_it_takes_nothing(room: Path) -> str:
    (room / FOLDER / "pattern.plt").write_bytes(plot() + b" " * 400_000)
    plotter = Plotter(stall_after=2000, stall=3.5, pace=1e9)
    child = typed(room, "--to", "roll-1067", "--at", f"tcp:127.0.0.1:{plotter.port}", "--timeout", "2")

    def full() -> bool:
        begun = len(plotter.got) > 2000
        time.sleep(0.5 if begun else 0.0)  # so that every buffer on the way is full
        return begun

    told = broken_off(child, full)
    plotter.close()
    assert "its pen may be down" in told
    return told


@pytest.mark.parametrize("broken", [drop, time_out, ctrl_c, ctrl_c_while_it_takes_nothing])
def test_the_printed_line_goes_on_over_tcp(broken: Callable[[Path], str], room: Path) -> None:
    told = broken(room)
    port = int(re.search(r"--at tcp:127\.0\.0\.1:(\d+)", told)[1])  # type: ignore[index]
    again = Plotter(pace=1e9, port=port)
    run = pasted(told, room)
    assert run.returncode == 0, run.stderr
    is_the_rest(again.finish())


def test_the_printed_line_of_a_plot_that_was_gone_on_with_counts_parts_of_the_whole(room: Path) -> None:
    plotter = Plotter(pace=PACE * 8)
    child = typed(room, "--to", "roll-1067", "--at", f"tcp:127.0.0.1:{plotter.port}", "--from", "2")
    told = broken_off(child, lambda: len(plotter.got) > 1500)
    plotter.close()
    again = Plotter(pace=1e9, port=plotter.port)
    assert pasted(told, room).returncode == 0
    is_the_rest(again.finish())
    assert int(re.search(r"--from (\d+)", told)[1]) >= 2  # type: ignore[index]


def test_the_printed_line_names_a_profile_as_it_was_named(room: Path) -> None:
    """A profile in a file beside the work, with its address in it: nothing else must be typed."""
    plotter = Plotter(pace=PACE * 8)
    profile = f'width = 1067\n[link]\nat = "tcp:127.0.0.1:{plotter.port}"\n'
    (room / "near.toml").write_text(profile, encoding="utf-8")
    told = broken_off(typed(room, "--to", "near.toml"), lambda: len(plotter.got) > 3000)
    plotter.close()
    assert "--to near.toml" in told and "--at" not in told
    again = Plotter(pace=1e9, port=plotter.port)
    assert pasted(told, room).returncode == 0
    is_the_rest(again.finish())


@pytest.mark.parametrize("hung_up", [False, True])
def test_the_printed_line_goes_on_over_a_serial_line(hung_up: bool, room: Path) -> None:
    got = bytearray()
    ended = threading.Event()
    ours, theirs = os.openpty()
    tty.setraw(ours)
    name = os.ttyname(theirs)
    line = room / "line"  # so that another terminal can stand there later, as a cable that is plugged in again
    line.symlink_to(name)

    def device(end: int, pace: float, taken: bytearray) -> None:
        with contextlib.suppress(OSError):
            while not ended.is_set() and (chunk := os.read(end, 256)):
                taken.extend(chunk)
                time.sleep(len(chunk) / pace)

    threading.Thread(target=device, args=(ours, PACE * 8, got), daemon=True).start()
    (room / "near.toml").write_text('width = 1067\n[link]\nflow = "xon/xoff"\nbuffer = 512\n', encoding="utf-8")
    child = typed(room, "--to", "near.toml", "--at", f"serial:{line}")
    if hung_up:
        while len(got) < 3000 and child.poll() is None:
            time.sleep(0.02)
        ended.set()
        os.close(theirs)
        time.sleep(0.3)
        os.close(ours)
        told = broken_off(child)
        assert "the line broke" in told
    else:
        told = broken_off(child, lambda: len(got) > 3000)
        assert "stopped, the pen is up" in told
    assert f"--at serial:{line}" in told
    line.unlink()
    rest = bytearray()
    ended.clear()
    with terminal() as (end, other):
        line.symlink_to(other)
        threading.Thread(target=device, args=(end, 1e9, rest), daemon=True).start()
        run = pasted(told, room)
        assert run.returncode == 0, run.stderr
        time.sleep(0.3)
        ended.set()
    is_the_rest(bytes(rest))


def test_the_printed_line_goes_on_to_a_device_file(room: Path) -> None:
    port = room / "lp 0"
    os.mkfifo(port)
    taken = bytearray()

    def device(most: int) -> None:
        taken.clear()
        with port.open("rb", buffering=0) as end:
            while len(taken) < most and (chunk := end.read(512)):
                taken.extend(chunk)

    reader = threading.Thread(target=device, args=(3000,))
    reader.start()
    (room / FOLDER / "pattern.plt").write_bytes(plot() + b" " * 300_000)  # more than a pipe holds
    time.sleep(0.2)  # the reader waits in open
    told = broken_off(typed(room, "--to", "roll-1067", "--at", f"file:{port}"))
    reader.join(10)
    assert "the line broke" in told
    again = threading.Thread(target=device, args=(10**9,))
    again.start()
    time.sleep(0.2)
    run = pasted(told, room)
    again.join(10)
    assert run.returncode == 0, run.stderr
    is_the_rest(bytes(taken))


def test_the_printed_line_goes_on_to_a_queue(room: Path) -> None:
    programs = room / "bin"
    programs.mkdir()
    fake = programs / "lp"
    path = f"{programs}{os.pathsep}{os.environ['PATH']}"
    fake.write_text(f"#!/bin/sh\nhead -c 3000 > {room}/printed\n", encoding="utf-8")
    fake.chmod(fake.stat().st_mode | stat.S_IXUSR)
    (room / FOLDER / "pattern.plt").write_bytes(plot() + b" " * 300_000)
    told = broken_off(typed(room, "--to", "roll-1067", "--at", "queue:wide", PATH=path))
    assert "the line broke" in told
    fake.write_text(f"#!/bin/sh\ncat > {room}/printed\n", encoding="utf-8")
    run = pasted(told, room, PATH=path)
    assert run.returncode == 0, run.stderr
    is_the_rest((room / "printed").read_bytes())


def test_what_is_no_plain_file_name_can_be_pasted_too(tmp_path: Path) -> None:
    from oaktag.cli.send import _Typed

    line = _Typed(Path("-odd.plt"), "roll-914", "tcp:192.0.2.20", 60.0, True).line_from(7)
    assert shlex.split(line) == [
        "oaktag", "send", "./-odd.plt", "--to", "roll-914", "--at", "tcp:192.0.2.20", "--timeout", "60", "--yes",
        "--from", "7",
    ]  # fmt: skip


# ---- refused before a byte is sent


def test_what_the_device_does_not_take_is_refused(tmp_path: Path) -> None:
    plain = tmp_path / "plain.plt"
    plain.write_bytes(plot())
    eight = tmp_path / "eight.plt"
    eight.write_bytes(hpgl.plot(sample_sheet(), replace(find_device("roll-914-coded"), width=1200.0)).data)
    wide = tmp_path / "wide.plt"
    wide.write_bytes(b"IN;SP1;PU0,0;PD40000,0;PU;SP0;")
    page = tmp_path / "page.pdf"
    page.write_bytes(b"%PDF-1.6\n")
    for path, device, words in (
        (eight, "roll-900-16bit", "coded lines (PE)"),
        (eight, "roll-914-serial", "have 8 bits, and the line to roll-914-serial has 7"),
        (wide, "roll-900-16bit", "a coordinate of 40,000 plotter units; expected -32,767 to 32,767"),
        (page, "roll-914", "a .pdf is no plot"),
        (plain, "laser-900x600", "takes a general CAD drawing"),
        (tmp_path / "gone.plt", "roll-914", "no such file"),
        (plain, "roll-1067", "it is not known where roll-1067 is"),
    ):
        told = sent(path, device=device)
        assert told.returncode == 2 and words in told.stderr, told.stderr
    told = sent(plain, "--at", "usb:1")
    assert told.returncode == 2 and "'usb:1' is no address of a device; expected tcp:HOST" in told.stderr


def test_a_knife_is_not_started_before_its_cautions_are_read(written: Path) -> None:
    port = f"file:{written.parent / 'port'}"
    first = sent(written, "--at", port, device="knife-1600x1200")
    assert first.returncode == 2 and "caution The blade is sharp" in first.stderr and "Add --yes" in first.stderr
    assert not (written.parent / "port").exists()
    second = sent(written, "--at", port, "--yes", device="knife-1600x1200")
    assert second.returncode == 0 and "caution" in second.stderr
    third = sent(written, "--at", port, device="knife-1600x1200")
    assert third.returncode == 0 and "caution" not in third.stderr


def test_a_queue_without_programs(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "/nowhere")
    with pytest.raises(DeviceError, match="neither lp nor lpr"):
        open_wire("queue:wide", find_device("roll-914").link, 1.0)
