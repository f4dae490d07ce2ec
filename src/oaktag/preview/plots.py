"""HP-GL as it will be drawn: pen-down lines by pen, and the ways of the lifted pen.

Without a device the picture has the plotter's own axes and the usual plotter unit. With one, its unit, axes, frames,
knife and correction are those of the profile, and the paper is seen with its width across the picture.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from ..device.profile import LANGUAGES, PLOTTED, DeviceProfile
from ..errors import InputError
from ..geometry.point import XY
from ..verify.hpgl import UNIT, PenLine, followed
from ..verify.knife import tip_path
from .marks import Drawn, Ink, Line, nth_ink
from .reach import farthest, plotted_reach, ring_of, split

MORE: Final = 20.0
"""mm of an endless roll that is shown beyond the drawing."""


def read_plot(data: bytes, device: DeviceProfile | None) -> Drawn:
    """All lines in the order of the file. Raises UnreadableError, InputError for a device that takes no pen moves."""
    if device is not None and device.language not in PLOTTED:
        raise InputError(
            f"{device.name} takes {LANGUAGES[device.language]}, and this is HP-GL",
            expected="a device that takes HP-GL; see oaktag devices",
        )
    path = followed(data)
    inks: dict[int, Ink] = {}
    for line in path.lines:
        inks.setdefault(line.pen, nth_ink(f"pen {line.pen}", max(line.pen, 1) - 1))
    notes = [f"{path.texts} texts (LB) are left to the plotter's own letters and not drawn here"] if path.texts else []
    if device is None:
        return Drawn(
            "HP-GL",
            tuple(Line(_mm(line.points, UNIT), inks[line.pen]) for line in path.lines),
            moves=tuple(_mm(line.points, UNIT) for line in path.moves),
            notes=tuple(notes),
        )
    view = _View(device)
    marks: list[Line] = []
    outside: list[tuple[XY, ...]] = []
    beyond, facing = 0.0, 0.0
    for line in path.lines:
        sent = _mm(line.points, device.unit)
        parts = split(sent, view.reach)
        for within, part in parts:
            if not within:
                outside.append(view.paper(part, line))
                beyond = max(beyond, farthest(part, view.reach))
        if device.blade is not None and line.pen == device.pen("cut"):
            tips, facing = tip_path(sent, device.blade.offset, facing)
            marks.append(Line(view.paper(tips, line), inks[line.pen]))
        else:
            marks.append(Line(view.paper(sent, line), inks[line.pen]))
    if device.blade is not None:
        notes.append("of the knife the way of its tip is drawn, not that of its holder")
    frames = 1 + max((line.frame for line in path.lines), default=0)
    if device.frame is None and frames > 1:
        notes.append(f"it is sent in {frames} frames, and {device.name} draws in one go: they lie on one another")
    moves = tuple(view.paper(_mm(line.points, device.unit), line) for line in path.moves)
    return Drawn(
        "HP-GL",
        tuple(marks),
        moves=moves,
        outside=tuple(outside),
        beyond=beyond,
        frame=view.shown(frames, [line.points for line in marks]),
        notes=tuple(notes),
    )


class _View:
    """From the device's axes to paper that is seen with its width across."""

    def __init__(self, device: DeviceProfile) -> None:
        self.device = device
        self.reach = plotted_reach(device)
        self.back = device.correction.undone()
        self.step = 0.0 if device.frame is None else round(device.frame / device.unit) * device.unit
        self.along = device.axis == "along"

    def paper(self, points: Iterable[XY], line: PenLine) -> tuple[XY, ...]:
        return self.placed(points, line.frame)

    def placed(self, points: Iterable[XY], frame: int) -> tuple[XY, ...]:
        far = self.step * frame
        turned = [(-y, x + far) if self.along else (x, y + far) for x, y in points]
        return tuple(turned) if self.device.correction.identity else tuple(self.back.points(turned))

    def shown(self, frames: int, lines: Iterable[tuple[XY, ...]]) -> tuple[tuple[XY, ...], ...]:
        """The reach of each frame; of an endless roll no more than is needed."""
        count = frames if self.device.frame is not None else 1
        rings = [self.placed(ring_of(self.reach), frame) for frame in range(count)]
        if self.device.length is not None or self.device.frame is not None:
            return tuple(rings)
        top = max((y for line in lines for _, y in line), default=0.0) + MORE
        bottom = min((y for line in lines for _, y in line), default=0.0) - MORE
        return tuple(tuple((x, min(max(y, bottom), top)) for x, y in ring) for ring in rings)


def _mm(points: Iterable[XY], unit: float) -> tuple[XY, ...]:
    return tuple((x * unit, y * unit) for x, y in points)
