"""A plot as a stream for its device: whole, with pens that draw, inside what the device can reach, part by part.

What pattern.json tells of a plot (`plots`) is held to what an interpreter of our own follows. What clips, turns or
dashes lines is refused: instructions by HP PCL 5 Technical Reference, part II (HP-GL/2), and the HP-GL command lists of
plotter makers; which of them a cut line does not bear is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import hypot
from typing import TYPE_CHECKING, Final

from ..values import dataclass
from .drawing import Proved
from .hpgl import Plotter
from .sent import Sent

if TYPE_CHECKING:
    pass

_HARMLESS: Final = frozenset(
    {"IN", "DF", "PS", "EC", "SP", "VS", "FS", "AS", "PW", "WU", "NP", "FR", "AF", "AH", "PG", "PE", "BP", "CO", "MC"}
)
"""They draw nothing, and lines are drawn after them as before; PS and IN only at the beginning, DF right after IN."""
_LEAST: Final = 0.06
"""mm that all lines of a part together may be off what is told: roundings of the two sums."""


@dataclass(frozen=True, slots=True)
class PartHeld:
    """A figure with one pen: its lines, and how long they are together, mm."""

    name: str
    pen: int
    lines: int
    drawn: float


@dataclass(frozen=True, slots=True)
class PlotHeld:
    """What pattern.json tells of a plot: its parts, how long and wide it is and the device draws (mm), its numbers."""

    unit: float
    axis: str
    centred: bool
    page: tuple[float, float]
    room: tuple[float, float]
    least: float
    most: float
    parts: tuple[PartHeld, ...]


def stream_facts(plotter: Plotter, held: PlotHeld | None, sent: Sent | None) -> Iterator[Proved]:
    """Whether the stream is whole and draws all of it; where pattern.json tells nothing of it, by itself alone."""
    yield Proved("commands", next(_wrong_commands(plotter, held, sent), ""), "begun once, ended, nothing is clipped")
    yield Proved("pens", next(_wrong_pens(plotter, held), ""), "every line with a pen that draws")
    yield Proved("within the paper", next(_outside(plotter, held, sent), ""), "no line leaves the paper")
    if held is not None:
        yield Proved("parts", next(_wrong_parts(plotter, held, sent), ""), "every line of each part, none besides")


def _wrong_commands(plotter: Plotter, held: PlotHeld | None, sent: Sent | None) -> Iterator[str]:
    commands, all_lines = plotter.commands, len(plotter.lines)
    begun = [command for command in commands if command.code == "IN"]
    if len(begun) != 1:
        yield f"it is begun {len(begun)} times (IN), and a second time throws away what was sent before"
    if begun[0] is not commands[0] or begun[0].lines:
        yield "IN does not come first"
    for number, command in enumerate(commands):
        code, early = command.code, not command.lines
        if code not in _HARMLESS:
            yield f"{code} may clip, turn, dash or scale what is drawn"
        if code == "DF" and number != 1:
            yield "DF comes after other instructions, and undoes them"
        if code == "PS" and not early:
            yield "PS comes when something is drawn already"
        if code in ("PG", "AH") and command.lines < all_lines:
            yield f"{code} feeds the paper out before all is drawn"
        if code in ("FR", "AF") and command.lines < all_lines and (sent is None or sent.frame is None):
            yield f"{code} moves the paper on before all is drawn"
    sizes = [command.numbers for command in commands if command.code == "PS"]
    if len(sizes) > 1:
        yield "PS comes more than once"
    for numbers in sizes:
        if len(numbers) != 2:
            yield f"PS has {len(numbers)} numbers, where the length and the width of the plot are"
        elif held is not None and any(
            abs(got * held.unit - want) > 2 * held.unit for got, want in zip(numbers, held.page, strict=True)
        ):
            told = " by ".join(f"{got * held.unit:.2f}" for got in numbers)
            yield f"PS asks for {told} mm, and the plot is {held.page[0]:.2f} by {held.page[1]:.2f} mm"
        elif held is None and _over((0.0, numbers[0], 0.0, numbers[1]), _reach(plotter)) > 1.0:
            yield f"PS clips it: {numbers[0]:g} by {numbers[1]:g} plotter units are less than is drawn"
    ends = [command for command in commands if command.lines == all_lines and command.code == "SP"]
    if all_lines and (not ends or (ends[-1].numbers or (0.0,))[0] != 0.0):
        yield "the pen is not put away at the end (SP0)"
    if plotter.down:
        yield "the pen is down at the end"


def _wrong_pens(plotter: Plotter, held: PlotHeld | None) -> Iterator[str]:
    if bare := sum(line.pen <= 0 for line in plotter.lines):
        yield f"{bare} of {len(plotter.lines)} lines are drawn while no pen is taken (SP0), so they are not there"
    if plotter.texts:
        yield f"{plotter.texts} texts are left to the device's own letters"
    if held is not None:
        known = {part.pen for part in held.parts}
        for pen in sorted({line.pen for line in plotter.lines} - known):
            yield f"lines are drawn with pen {pen}; pattern.json has {', '.join(map(str, sorted(known)))}"


def _reach(plotter: Plotter) -> tuple[float, float, float, float]:
    """The least and most that the pen goes along X, then along Y, drawing or not; plotter units."""
    points = [p for line in plotter.lines for p in line.points]
    points += [move.points[-1] for move in plotter.moves]  # where the first one begins is where the pen rests
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return (min(xs), max(xs), min(ys), max(ys)) if xs else (0.0, 0.0, 0.0, 0.0)


def _over(room: Sequence[float], reach: Sequence[float]) -> float:
    return max(room[0] - reach[0], reach[1] - room[1], room[2] - reach[2], reach[3] - room[3])


def _outside(plotter: Plotter, held: PlotHeld | None, sent: Sent | None) -> Iterator[str]:
    """Whether any point lies beyond the page, the device's room or its numbers."""
    reach = _reach(plotter)
    if held is None:
        return
    low, high = min(reach[0], reach[2]), max(reach[1], reach[3])
    if low < held.least or high > held.most:
        yield (
            f"it has a coordinate of {low if low < held.least else high:,.0f} plotter units, and the device reads "
            f"{held.least:,.0f} to {held.most:,.0f}"
        )
    along, across = (min(page, room) for page, room in zip(held.page, held.room, strict=True))
    if sent is not None and sent.frame is not None:
        along = min(along, sent.frame)
    back = (held.room[0] / 2, held.room[1] / 2) if held.centred else (0.0, 0.0)
    if held.centred and held.room[0] > 1e5:
        back = held.page[0] / 2, back[1]
    slack = 2 * held.unit + (sent.knife[0] if sent is not None and sent.knife is not None else 0.0)
    room = (-back[0], along - back[0], -back[1], across - back[1])
    in_mm = [value * held.unit for value in (reach if held.axis == "along" else (*reach[2:], *reach[:2]))]
    over = _over(room, in_mm)
    if over > slack:
        yield (
            f"it goes {over:.1f} mm beyond the paper: {in_mm[0]:.1f} to {in_mm[1]:.1f} mm along it and {in_mm[2]:.1f} "
            f"to {in_mm[3]:.1f} mm across, where {room[0]:.1f} to {room[1]:.1f} and {room[2]:.1f} to {room[3]:.1f} are"
        )


def spans(held: PlotHeld, sent: Sent | None) -> list[tuple[PartHeld, int, int]]:
    """Of each part which lines are its own: from, to. A knife's first cut, in the waste, is of no part."""
    at = 1 if sent is not None and sent.knife is not None else 0
    found = []
    for part in held.parts:
        found.append((part, at, at + part.lines))
        at += part.lines
    return found


def _wrong_parts(plotter: Plotter, held: PlotHeld, sent: Sent | None) -> Iterator[str]:
    lines = plotter.lines
    for number, (part, first, last) in enumerate(spans(held, sent), start=1):
        own = lines[first:last]
        what = f"part {number}, {part.name} with pen {part.pen}"
        if len(own) < part.lines:
            yield f"{what}, is drawn in {len(own)} lines, {part.lines} are meant"
            return
        if wrong := next((line.pen for line in own if line.pen != part.pen), None):
            yield f"{what}, is drawn with pen {wrong}"
        ways = [way for one in own for way in pairwise(one.points)]
        drawn = held.unit * sum([hypot(bx - ax, by - ay) for (ax, ay), (bx, by) in ways])
        if abs(drawn - part.drawn) > _LEAST:
            yield f"the lines of {what}, are {drawn:.2f} mm long together, {part.drawn:.2f} mm are meant"
    meant = sum(part.lines for part in held.parts) + (1 if sent is not None and sent.knife is not None else 0)
    if len(lines) != meant:
        yield f"it draws {len(lines)} lines, {meant} are meant"
