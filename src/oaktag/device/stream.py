"""A plot file as commands and parts, so that it can be stopped between commands and taken up again at a part.

An empty line stands before every part (what is drawn of one piece with one pen). The commands themselves are kept byte
for byte: head, parts and tail together are the file. Syntax: HP PCL 5 Technical Reference, part II.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

from ..errors import InputError
from ..values import dataclass, replace

PEN_UP: Final = b"PU;SP0;"
"""What a plot that is stopped is ended with."""
_ESCAPE: Final = re.compile(rb"\x1b(?:\.(?:[@HIMNT][\d;]*:|[A-Z()])|%-12345X(?:@PJL[^\n]*\n)*|%-?\d+[ABX]|E)")
_ADVANCES: Final = (b"FR", b"AF", b"AH")


@dataclass(frozen=True, slots=True)
class Command:
    """One command, its end included, and where it lies in the file."""

    code: bytes
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Part:
    """One part: its bytes from `start` to `end`, what must be set before it, and how many frames lie before it."""

    name: str
    start: int
    end: int
    state: bytes
    frames: int


@dataclass(frozen=True, slots=True)
class Stream:
    """A plot; the head ends where the first part begins, the tail begins where the last one ends."""

    data: bytes
    parts: tuple[Part, ...]
    boundaries: tuple[int, ...]
    """Where a command ends."""

    @property
    def head(self) -> bytes:
        return self.data[: self.parts[0].start]

    @property
    def tail(self) -> bytes:
        return self.data[self.parts[-1].end :]

    def resumed(self, number: int) -> Stream:
        """The head, what must be set, then that part (from 1) and all after it."""
        part = self.parts[number - 1]
        if number == 1:
            return self
        return read_stream(self.head + part.state + self.data[part.start :], [p.name for p in self.parts[number - 1 :]])

    def part_at(self, place: int) -> int:
        """The number of the part that a byte belongs to, from 1."""
        return max(1, bisect_right([part.start for part in self.parts], place))

    def boundary(self, place: int) -> int:
        """The end of the command that the byte before `place` belongs to."""
        for end in self.boundaries[bisect_right(self.boundaries, place - 1) :]:
            return end
        return len(self.data)


def read_stream(data: bytes, names: Sequence[str] = ()) -> Stream:
    """The plot in the bytes of a file; `names` of its parts are used if there are as many.

    Raises InputError for what is no stream of HP-GL commands that begins with IN.
    """
    commands = list(commands_of(data))
    if not commands or commands[0].code != b"IN":
        found = commands[0].code.decode("latin-1") if commands else "nothing"
        raise InputError(f"it begins with {found}", expected="a plot in HP-GL, which begins with IN")
    begins: list[int] = []
    for before, after in pairwise(commands):
        between = data[before.end : after.start].replace(b"\r\n", b"\n").replace(b"\r", b"\n")
        if between.count(b"\n") >= 2:
            begins.append(before.end)
    tail = _tail(data, commands)
    starts = [start for start in begins if start < tail] or [commands[0].end]
    ends = [*starts[1:], tail]
    parts: list[Part] = []
    state: dict[bytes, bytes] = {}
    frames = k = 0
    for number, (start, end) in enumerate(zip(starts, ends, strict=True), start=1):
        while k < len(commands) and commands[k].start < start:
            command = commands[k]
            if command.code in (b"SP", b"VS", b"FS"):
                state[command.code] = data[command.start : command.end].strip()
            frames += command.code in _ADVANCES
            k += 1
        name = names[number - 1] if len(names) == len(starts) else f"part {number}"
        setting = b"".join(state[code] + b"\n" for code in (b"SP", b"VS", b"FS") if code in state)
        parts.append(Part(name, start, end, b"PU;\n" + setting if setting else b"", frames))
    return Stream(data, tuple(parts), tuple(command.end for command in commands))


def named(stream: Stream, names: Sequence[str]) -> Stream:
    """The same with its parts named, if there are as many names."""
    if len(names) != len(stream.parts):
        return stream
    return replace(stream, parts=tuple(replace(p, name=n) for p, n in zip(stream.parts, names, strict=True)))


def commands_of(data: bytes) -> Iterator[Command]:
    """Every command with its terminator. Raises InputError for bytes that begin none."""
    i, size = 0, len(data)
    while i < size:
        byte = data[i]
        if byte in b" ;\t\r\n\x00\x03":
            i += 1
            continue
        if byte == 0x1B:
            match = _ESCAPE.match(data, i)
            if match is None:
                raise InputError(f"byte {i + 1} begins an escape sequence that is not HP-GL's", expected="a plot")
            i = match.end()
            continue
        code = data[i : i + 2].upper()
        if len(code) < 2 or not code.isalpha():
            raise InputError(f"byte {i + 1} is {data[i : i + 1]!r}", expected="an HP-GL command, such as PU")
        start, i = i, i + 2
        if code in (b"LB", b"PE", b"CO"):
            end = data.find(b"\x03" if code == b"LB" else b";", i)
            i = size if end < 0 else end + 1
        else:
            while i < size and data[i] not in b";\x1b\n" and not chr(data[i]).isalpha():
                i += 1
            i += i < size and data[i] in b";\n"
        yield Command(code, start, i)


def _tail(data: bytes, commands: Sequence[Command]) -> int:
    """Where the last putting away of the pen begins; the file's end if the pen is not put away."""
    for k in range(len(commands) - 1, max(-1, len(commands) - 8), -1):
        command = commands[k]
        if command.code == b"SP" and data[command.start : command.end].strip(b" ;\r\n")[2:].strip() in (b"", b"0"):
            return commands[k - 1].start if k and commands[k - 1].code == b"PU" else command.start
    return len(data)
