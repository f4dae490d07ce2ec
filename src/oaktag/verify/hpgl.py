"""HP-GL read by a small interpreter of its own: IN SP PU PD PA PR PE; plotter unit 0.025 mm.

Syntax and units: HP PCL 5 Technical Reference, part II (HP-GL/2), chapters on number formats, the vector group and PE.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from ..geometry.point import XY
from ..values import dataclass, field
from .drawing import Drawing, Run, UnreadableError, squares_by_size

UNIT: Final = 0.025
"""mm in a plotter unit: 40 to the millimetre."""
_IGNORED: Final = frozenset(
    {"DF", "SP", "PS", "PG", "VS", "FS", "AS", "PW", "WU", "NP", "LT", "LA", "PC", "PT", "MC", "PP", "BP", "EC"}
    | {"FR", "AF", "AH", "RP", "NR", "IW", "IP", "DT", "SI", "DI", "LO", "QL", "TR", "SM", "UL", "CR", "ST", "LM"}
)
"""They choose a pen or paper, or write; they move no line."""
_NUMBER: Final = re.compile(rb"[-+]?(?:\d+\.?\d*|\.\d+)")
_PEN: Final = re.compile(rb"[; \r\n]*P([UD])(-?\d{1,9},-?\d{1,9}(?:,-?\d{1,9},-?\d{1,9})*)(?=;)")
"""What nearly every instruction is: the pen up or down, and whole numbers in pairs."""
_BLANK: Final = re.compile(rb"[ ;\t\r\n\x03\x00]+")
_FARTHEST: Final = 2.0**31
"""Plotter units; HP-GL/2 goes to 2^30 (PCL 5 Technical Reference, part II)."""


def read_hpgl(path: Path) -> Drawing:
    """Its closed contours, the scale block's squares among them, and its open lines; mm. Raises UnreadableError."""
    return drawing_of(followed(path.read_bytes()))


def drawing_of(plotter: Plotter) -> Drawing:
    """What was drawn, as lines of the usual plotter unit. Raises UnreadableError."""
    lines = [
        Run.of([(x * UNIT, y * UNIT) for x, y in line.points], near=UNIT * 1.5)  # one step either way in x and y
        for line in plotter.lines
    ]
    runs = tuple(run for run in lines if run.closed)
    if not runs:
        raise UnreadableError("it draws no closed line, so it holds no pattern")
    strokes = tuple(run for run in lines if not run.closed and len(run.points) > 1)
    return Drawing(loose=runs, strokes=strokes, squares=squares_by_size(runs))


@dataclass(frozen=True, slots=True)
class PenLine:
    """One pen-down line, plotter units; the frame it is drawn in counts from 0, as frames are advanced."""

    points: tuple[XY, ...]
    pen: int
    frame: int


@dataclass(frozen=True, slots=True)
class Command:
    """An instruction that draws nothing, and how many lines were drawn before it."""

    code: str
    numbers: tuple[float, ...]
    lines: int


@dataclass(slots=True)
class Plotter:
    """Where the pen is, and what it has drawn; plotter units."""

    at: tuple[float, float] = (0.0, 0.0)
    down: bool = False
    absolute: bool = True
    pen: int = 0
    frame: int = 0
    least: float = 0.0
    most: float = 0.0
    line: list[tuple[float, float]] = field(default_factory=list)
    lines: list[PenLine] = field(default_factory=list)
    moves: list[PenLine] = field(default_factory=list)
    """Ways with the pen up, two points each, in their order."""
    texts: int = 0
    """How many it was told to write with its own letters."""
    commands: list[Command] = field(default_factory=list)
    """All but those that move the pen, in their order."""

    def move(self, x: float, y: float, *, absolute: bool, down: bool) -> None:
        self.through((x, y) if absolute else (self.at[0] + x, self.at[1] + y), down=down)

    def through(self, numbers: Sequence[float], *, down: bool) -> None:
        """To points, by x and y in turn; from where the pen is, if it comes down."""
        points = list(zip(numbers[::2], numbers[1::2], strict=True))
        if not points:
            return
        if down:
            self.line += points if self.line else [self.at, *points]
        else:
            self.lift()
            for at, to in zip([self.at, *points[:-1]], points, strict=True):
                if to != at:
                    self.moves.append(PenLine((at, to), self.pen, self.frame))
        self.at = points[-1]
        self.least, self.most = min(self.least, *numbers), max(self.most, *numbers)

    def lift(self) -> None:
        if self.line:
            self.lines.append(PenLine(tuple(self.line), self.pen, self.frame))
        self.line = []


def pen_lines(data: bytes) -> list[PenLine]:
    """All that is drawn, in its order. Raises UnreadableError."""
    return followed(data).lines


def followed(data: bytes) -> Plotter:
    """The plotter after all commands: what it drew, and its ways with the pen up. Raises UnreadableError."""
    plotter = Plotter()
    started = ended = False
    i = 0
    while i < len(data):
        if started and plotter.absolute and (pen := _PEN.match(data, i)):
            plotter.down = pen[1] == b"D"
            ended = ended and not plotter.down
            plotter.through([float(n) for n in pen[2].split(b",")], down=plotter.down)
            i = pen.end()
            continue
        byte = data[i]
        if byte == 0x1B:
            i = _past_escape(data, i)
            continue
        if blank := _BLANK.match(data, i):
            i = blank.end()
            continue
        code = data[i : i + 2].decode("latin-1").upper()
        if len(code) < 2 or not code.isalpha() or not code.isascii():
            raise UnreadableError(f"byte {i + 1} is {data[i : i + 1]!r}, where an HP-GL instruction should begin")
        if code == "IN":
            started = True
        if not started:
            raise UnreadableError(f"it begins with {code}, not with IN, so it is not HP-GL for a plotter")
        start, i = i + 2, _instruction(plotter, code, data, i + 2)
        if code in ("PD", "PE"):
            ended = False
        elif code == "PG" or (code == "SP" and data[start:i].strip(b" ;\r\n") in (b"", b"0")):
            ended = True
    plotter.lift()
    if not started:
        raise UnreadableError("it holds no HP-GL instruction")
    if not ended:
        raise UnreadableError("it stops before the pen is put away (SP0 or PG), so its end is missing")
    return plotter


def reach_of(data: bytes) -> tuple[float, float]:
    """The least and the greatest coordinate that the pen is sent to, up or down. Raises UnreadableError."""
    plotter = followed(data)
    return plotter.least, plotter.most


def _past_escape(data: bytes, i: int) -> int:
    """Past `ESC %0B`, `ESC E`, a job header of the printer, or a serial control `ESC . X 81;;17:`."""
    if data[i + 1 : i + 2] == b".":
        match = re.compile(rb"\x1b\.(?:[@HIMNT][\d;]*:|[A-Z()])").match(data, i)
    elif data[i + 1 : i + 10] == b"%-12345X@":
        match = re.compile(rb"\x1b%-12345X(?:@PJL[^\n]*\n)*").match(data, i)
    else:
        match = re.compile(rb"\x1b(?:%-?\d+[ABX]|E)").match(data, i)
    if match is None:
        raise UnreadableError(f"byte {i + 1} begins an escape sequence that is not HP-GL's")
    return match.end()


def _instruction(plotter: Plotter, code: str, data: bytes, i: int) -> int:
    """Does one instruction whose parameters begin at i; returns where the next begins."""
    if code == "PE":
        return _encoded(plotter, data, i)
    if code in ("LB", "CO"):
        end = data.find(b"\x03" if code == "LB" else b";", i)
        if end < 0:
            raise UnreadableError(f"the text of {code} before byte {i} has no end")
        plotter.texts += code == "LB"
        plotter.commands.append(Command(code, (), len(plotter.lines) + bool(plotter.line)))
        return end + 1
    end = i
    while end < len(data) and data[end] not in b";\x1b" and not chr(data[end]).isalpha():
        end += 1
    raw = data[i:end]
    numbers = [float(n) for n in _NUMBER.findall(raw)]
    if numbers and (max(numbers) > _FARTHEST or min(numbers) < -_FARTHEST):
        raise UnreadableError(f"{code} before byte {i + 1} has a number that no plotter can reach: {raw[:20]!r}")
    if _NUMBER.sub(b"", raw).strip(b" ,\t\r\n"):
        raise UnreadableError(f"{code} before byte {i + 1} has parameters that are not numbers: {raw[:20]!r}")
    if code not in ("PU", "PD", "PA", "PR"):
        plotter.commands.append(Command(code, tuple(numbers), len(plotter.lines) + bool(plotter.line)))
    if code == "IN":
        plotter.lift()
        plotter.at, plotter.down, plotter.absolute = (0.0, 0.0), False, True
    elif code in ("PU", "PD", "PA", "PR"):
        if code in ("PA", "PR"):
            plotter.absolute = code == "PA"
        else:
            plotter.down = code == "PD"
        if len(numbers) % 2:
            raise UnreadableError(f"{code} before byte {i + 1} has {len(numbers)} numbers, not pairs of x and y")
        if not plotter.down:
            plotter.lift()
        if plotter.absolute:
            plotter.through(numbers, down=plotter.down)
        for x, y in zip(numbers[::2], numbers[1::2], strict=True) if not plotter.absolute else ():
            plotter.move(x, y, absolute=False, down=plotter.down)
    elif code in _IGNORED:
        if code in ("SP", "PG", "FR", "AF", "AH"):
            plotter.lift()
        if code == "SP":
            plotter.pen = int(numbers[0]) if numbers else 0
        if code in ("FR", "AF"):
            plotter.frame += 1
            plotter.at = (0.0, 0.0)
    else:
        raise UnreadableError(f"instruction {code} at byte {i - 1} may move lines, and this reader does not follow it")
    if end >= len(data) and numbers and code in ("PU", "PD", "PA", "PR"):
        raise UnreadableError(f"it stops in the middle of {code}, so its end is missing")
    return end


def _encoded(plotter: Plotter, data: bytes, i: int) -> int:
    """PE: pairs are relative with the pen down, unless flagged; base 64, or base 32 after the flag 7."""
    end = data.find(b";", i)
    if end < 0:
        raise UnreadableError(f"the coded line before byte {i + 1} has no end")
    bits, fraction, drawing, absolute = 6, 0, True, False
    pair: list[float] = []
    want = ""
    value = shift = 0
    for place in range(i, end):
        byte = data[place]
        held = byte & 0x7F if bits == 5 else byte
        if shift == 0 and not pair and not want and (flag := chr(byte & 0x7F)) in "<=:>7":
            drawing = drawing and flag != "<"
            absolute = absolute or flag == "="
            want = flag if flag in ":>" else ""
            bits = 5 if flag == "7" else bits
            continue
        if held in (9, 10, 13, 32):
            continue
        base = 1 << bits
        last = 191 if bits == 6 else 95
        if last <= held < last + base:
            digit, done = held - last, True
        elif 63 <= held < 63 + base:
            digit, done = held - 63, False
        else:
            raise UnreadableError(f"byte {place + 1} is no digit of a coded line")
        value |= digit << shift
        shift += bits
        if not done:
            if shift > 60:
                raise UnreadableError(f"the number at byte {place + 1} of a coded line is too long")
            continue
        number = -(value >> 1) if value & 1 else value >> 1
        value = shift = 0
        if want:
            fraction, want = (number, "") if want == ">" else (fraction, "")
            continue
        pair.append(number / 2.0**fraction)
        if len(pair) == 2:
            plotter.move(pair[0], pair[1], absolute=absolute, down=drawing)
            pair, drawing, absolute = [], True, False
    if shift or pair or want:
        raise UnreadableError(f"the coded line before byte {end + 1} stops in the middle of a number")
    plotter.down = True
    return end + 1
