"""Damage to HP-GL: the plot of a dress, of a nest, in frames, and of a drag knife."""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import pairwise
from math import hypot

from spoil import Kind

Change = Callable[[bytes], bytes]
PLT = "pattern.plt"
RUNS = re.compile(rb"PU-?\d+,-?\d+;\n(?:PD[-\d,]+;\n)+")
"""Pen up to a place, then down through others: one line."""


def swap(old: str, new: str, count: int = 1) -> Change:
    return lambda data: data.replace(old.encode(), new.encode(), count)


def last(old: str, new: str) -> Change:
    """At the last place."""
    return lambda data: new.encode().join(data.rsplit(old.encode(), 1))


def every_number(change: Callable[[int, int], tuple[int, int]]) -> Change:
    """Every pair of coordinates, changed."""

    def moved(match: re.Match[bytes]) -> bytes:
        numbers = [int(n) for n in match[2].split(b",")]
        pairs = [change(x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]
        return match[1] + ",".join(f"{x},{y}" for x, y in pairs).encode()

    return lambda data: re.sub(rb"(P[UD])(-?\d[-\d,]*)", moved, data)


def points(run: bytes) -> list[tuple[int, int]]:
    numbers = [int(n) for n in re.findall(rb"-?\d+", run)]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def size(run: bytes) -> int:
    """The larger side of the box round a line, plotter units."""
    xs, ys = zip(*points(run), strict=True)
    return max(max(xs) - min(xs), max(ys) - min(ys))


def closed(run: bytes) -> bool:
    own = points(run)
    return len(own) > 3 and own[0] == own[-1]


def runs(change: Callable[[int, bytes], bytes]) -> Change:
    """Every line, changed by its number."""

    def spoil(data: bytes) -> bytes:
        count = iter(range(1_000_000))
        return RUNS.sub(lambda match: change(next(count), match[0]), data)

    return spoil


def one_run(which: Callable[[bytes], bool], change: Callable[[bytes], bytes]) -> Change:
    """The first line that is so, changed."""

    def spoil(data: bytes) -> bytes:
        done = False
        out: list[bytes] = []
        at = 0
        for match in RUNS.finditer(data):
            if not done and which(match[0]):
                done = True
                out += [data[at : match.start()], change(match[0])]
                at = match.end()
        return b"".join([*out, data[at:]])

    return spoil


def shifted(run: bytes, dx: int, dy: int) -> bytes:
    return every_number(lambda x, y: (x + dx, y + dy))(run)


def one_slit(change: Callable[[bytes], bytes]) -> Change:
    """The first notch, changed: a straight line of 4 mm that ends on a cut line."""

    def spoil(data: bytes) -> bytes:
        cut = [points(match[0]) for match in RUNS.finditer(data) if is_cut_line(match[0])]

        def is_slit(run: bytes) -> bool:
            own = points(run)
            return (
                len(own) == 2
                and abs(hypot(own[1][0] - own[0][0], own[1][1] - own[0][1]) - 160) < 2
                and any(off(end, a, b) < 1.5 for end in own for line in cut for a, b in pairwise(line))
            )

        return one_run(is_slit, change)(data)

    return spoil


def off(p: tuple[int, int], a: tuple[int, int], b: tuple[int, int]) -> float:
    """How far a place is from a straight run, plotter units."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    part = max(0.0, min(1.0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / max(1, dx * dx + dy * dy)))
    return hypot(p[0] - a[0] - part * dx, p[1] - a[1] - part * dy)


def is_hole(run: bytes) -> bool:
    return closed(run) and len(points(run)) == 25 and abs(size(run) - 120) <= 2


def is_grain(run: bytes) -> bool:
    """A long straight line of two points: the shaft of an arrow."""
    return len(points(run)) == 2 and size(run) > 4000


def is_letter(run: bytes) -> bool:
    xs, ys = zip(*points(run), strict=True)
    return len(xs) > 4 and min(max(xs) - min(xs), max(ys) - min(ys)) > 40 and size(run) < 200 and not closed(run)


def is_round_letter(run: bytes) -> bool:
    """A 2 or an e of a label; what is written along a fold is larger."""
    return is_letter(run) and len(points(run)) > 14 and size(run) < 150


def is_cut_line(run: bytes) -> bool:
    return closed(run) and size(run) > 3000


def mirrored(data: bytes) -> bytes:
    return every_number(lambda x, y: (x, 36160 - y))(data)


def pens_exchanged(data: bytes) -> bytes:
    return data.replace(b"SP1;", b"SP9;").replace(b"SP2;", b"SP1;").replace(b"SP9;", b"SP2;")


def inches_of_1000(x: int, y: int) -> tuple[int, int]:
    return round(x / 1.016), round(y / 1.016)


def middle(old: str, new: str, at: int = 150_000) -> Change:
    """Text for text, at the first place after so many bytes."""
    return lambda data: data[:at] + data[at:].replace(old.encode(), new.encode(), 1)


def lifted(run: bytes) -> bytes:
    """The last part of a line with the pen up."""
    return b"PU".join(run.rsplit(b"PD", 1))


def along_its_edge(run: bytes) -> bytes:
    """A slit 5 mm to its side."""
    (ax, ay), (bx, by) = points(run)
    return shifted(run, 5 * (by - ay) // 4, 5 * (ax - bx) // 4)


def leaning(run: bytes) -> bytes:
    (ax, ay), (bx, by) = points(run)
    return b"PU%d,%d;\nPD%d,%d;\n" % (ax, ay, bx - 300, by + 2000)


def crossed(run: bytes) -> bytes:
    """With a stroke of 10 cm across its beginning."""
    x, y = points(run)[0]
    return run + b"PU%d,%d;\nPD%d,%d;\n" % (x, y, x, y + 4000)


def corner_off(run: bytes) -> bytes:
    return re.sub(rb"PD(\d+),", lambda m: b"PD%d," % (int(m[1]) + 40), run, count=1)


def only_closed(_: int, run: bytes) -> bytes:
    return run if closed(run) else b""


def not_closed(_: int, run: bytes) -> bytes:
    return run if not closed(run) or size(run) > 3000 else b""


def every_other_dash(number: int, run: bytes) -> bytes:
    return b"" if not closed(run) and number % 2 and size(run) > 400 else run


KINDS = (
    Kind("every pen put away (SP0)", PLT, lambda data: re.sub(rb"SP\d", b"SP0", data)),
    Kind("the pen that draws the marks put away", PLT, swap("SP2;", "SP0;")),
    Kind("the two pens exchanged", PLT, pens_exchanged),
    Kind("a pen that the device does not have", PLT, swap("SP1;", "SP5;")),
    Kind("IW that clips", PLT, swap("IN;\n", "IN;\nIW0,0,20000,20000;\n")),
    Kind("PS that is too short", PLT, lambda data: re.sub(rb"PS\d+,", b"PS20000,", data)),
    Kind("PS of another job, far longer", PLT, lambda data: re.sub(rb"PS\d+,", b"PS400000,", data)),
    Kind("PS in the middle", PLT, middle("PU", "PS100,100;\nPU")),
    Kind("everything 10,000 units off along the roll", PLT, every_number(lambda x, y: (x + 10_000, y))),
    Kind("everything 10,000 units off across the roll", PLT, every_number(lambda x, y: (x, y + 10_000))),
    Kind("everything 10,000 units off the beginning", PLT, every_number(lambda x, y: (x - 10_000, y))),
    Kind("everything mirrored", PLT, mirrored),
    Kind("everything drawn at 1000 units to the inch", PLT, every_number(inches_of_1000)),
    Kind("all open strokes gone", PLT, runs(only_closed)),
    Kind("all closed strokes gone but the largest", PLT, runs(not_closed)),
    Kind("a stray PD for PU between pieces", PLT, lambda d: re.sub(rb"\n\nPU(\d+,\d+;)", rb"\n\nPD\1", d, count=2)),
    Kind("a stray PD for PU between two letters", PLT, middle("\nPU", "\nPD", 200_000)),
    Kind("a PU for PD: a part of a line not drawn", PLT, one_run(lambda run: run.count(b"PD") > 3, lifted)),
    Kind("a second IN in the middle", PLT, middle("PU", "IN;\nPU")),
    Kind("a second IN at the end", PLT, last("SP0;", "SP0;\nIN;")),
    Kind("no IN", PLT, swap("IN;\n", "")),
    Kind("a line type (LT) that dashes all lines", PLT, swap("IN;\n", "IN;\nLT2;\n")),
    Kind("scaling (SC)", PLT, swap("IN;\n", "IN;\nSC0,1000,0,1000;\n")),
    Kind("axes turned (RO)", PLT, swap("IN;\n", "IN;\nRO90;\n")),
    Kind("the page fed out in the middle", PLT, middle("PU", "PG;\nPU")),
    Kind("the end cut off", PLT, lambda data: data[: len(data) * 2 // 3]),
    Kind("the pen left in its holder at the end", PLT, last("PU;\nSP0;\nPG;", "PG;")),
    Kind("one notch gone", PLT, one_slit(lambda run: b"")),
    Kind("one notch 5 mm along the edge", PLT, one_slit(along_its_edge)),
    Kind("one drill hole 2 mm off", PLT, one_run(is_hole, lambda run: shifted(run, 80, 0))),
    Kind("all drill holes' circles gone", PLT, runs(lambda _, run: b"" if is_hole(run) else run)),
    Kind("a grain line turned", PLT, one_run(is_grain, leaning)),
    Kind("a grain line gone", PLT, one_run(is_grain, lambda run: b"")),
    Kind("all lettering gone", PLT, runs(lambda _, run: b"" if is_letter(run) else run)),
    Kind("a letter gone", PLT, one_run(is_letter, lambda run: b"")),
    Kind("a letter of a label 50 mm off", PLT, one_run(is_round_letter, lambda run: shifted(run, 2000, 0))),
    Kind("one line drawn twice", PLT, one_run(is_cut_line, lambda run: run * 2)),
    Kind("a stroke more, across a piece", PLT, one_run(is_grain, crossed)),
    Kind("a cut line's corner 1 mm off", PLT, one_run(is_cut_line, corner_off)),
    Kind("the pen's speed changed", PLT, swap("SP1;\n", "SP1;\nVS20;\n"), harmless="how fast it draws moves no line"),
    Kind("a remark (CO)", PLT, swap("IN;\n", 'IN;\nCO"by hand";\n'), harmless="a remark draws nothing"),
    Kind("blank lines more", PLT, swap("IN;\n", "IN;\n\n\n"), harmless="blank lines draw nothing"),
    Kind("every other dash of a nest gone", PLT, runs(every_other_dash), made="nest"),
    Kind("every pen of a nest put away (SP0)", PLT, lambda data: re.sub(rb"SP\d", b"SP0", data), made="nest"),
    Kind("one notch of a nest gone", PLT, one_slit(lambda run: b""), made="nest"),
    Kind("the paper not moved on between frames", PLT, swap("AF;\n", ""), made="frames"),
    Kind("the paper moved on twice", PLT, swap("AF;\n", "AF;\nAF;\n"), made="frames"),
    Kind("the knife put away", PLT, swap("SP2;", "SP0;"), made="knife"),
    Kind("the knife draws the marks", PLT, swap("SP1;", "SP2;"), made="knife"),
)
"""Lettering, notches and holes are told apart by their shapes, so that this knows nothing of what wrote them."""
