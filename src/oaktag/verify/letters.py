"""Lettering that is drawn in strokes, read: the same sign must have the same shape wherever it stands.

No table of letters is used, so that nothing is shared with what drew them. pattern.json tells the words of each line of
a label, where its baseline is and how high its capitals are. The signs drawn there are told apart by the white between
them and laid side by side with the words; what a sign looks like is what it looks like most often in the file.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import combinations
from math import cos, radians, sin
from typing import TYPE_CHECKING, Any, Final, TypeAlias

from ..values import dataclass
from .drawing import Runs
from .marks import Lettered

if TYPE_CHECKING:
    from .compare import Floats

_BELOW, _ABOVE = 0.4, 1.2
"""How far a sign may reach below its baseline and above it, as a part of the capitals' height."""
_ACCENT: Final = 0.05
"""A stroke that lies further below the baseline is none of the line's, as a part of the capitals' height."""
_WHITE: Final = 0.02
"""Least white between two signs, as a part of the capitals' height."""
_ON_GRID: Final = 0.06
"""mm that a corner of a sign may differ in a plot: two plotter units, each way."""
_OFF_MIDDLE: Final = 0.5
"""The middle of the signs from the middle of the baseline, at most, in heights of a capital."""
_ALIKE: Final = 0.02
"""mm that one sign may differ from another that is the same, and a hundredth of its height."""

Shape = Any
"""A sign's strokes, from its left edge and its baseline, in heights of a capital."""
Drawn: TypeAlias = tuple[Shape, float]
"""A sign as it is drawn: its shape, and how high its capitals are."""
Alike: TypeAlias = Callable[[Drawn, Drawn], bool]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a label as it is drawn: its words without blanks, and the shape of each sign; none if unreadable."""

    words: str
    text: str
    height: float
    shapes: tuple[Shape, ...]
    found: int
    """How many signs stand there."""
    off: float = 0.0
    """How far their middle lies from the middle of the baseline, in heights of a capital."""


def lines_of(lettered: Sequence[Lettered], runs: Runs, to_pattern: Any) -> tuple[Line, ...]:
    """What is drawn at each line of a label; lines with signs that may fall apart (`"`, accents) are passed over."""
    import numpy as np

    if not lettered or not runs:
        return tuple(Line("", own.text, own.height, (), 0) for own in lettered)
    counts = np.array([len(run.points) for run in runs])
    points = to_pattern(np.array([p for run in runs for p in run.points]))
    starts = np.concatenate(([0], np.cumsum(counts)[:-1]))
    found: list[Line] = []
    for own in lettered:
        words = "".join(own.text.split())
        if not words.isascii() or '"' in words or not words:
            continue
        turn = radians(own.angle_deg)
        c, s = cos(turn), sin(turn)
        (x, y), h = own.at, own.height
        along = ((points[:, 0] - x) * c + (points[:, 1] - y) * s) / h
        up = ((points[:, 1] - y) * c - (points[:, 0] - x) * s) / h
        left, right = np.minimum.reduceat(along, starts), np.maximum.reduceat(along, starts)
        low, high = np.minimum.reduceat(up, starts), np.maximum.reduceat(up, starts)
        under = (high < -_ACCENT) & ("_" not in words)  # an accent of the line below reaches up so far
        held = np.flatnonzero((low > -_BELOW) & (high < _ABOVE) & ~under)
        held = held[np.argsort(left[held], kind="stable")]
        signs = _signs(held.tolist(), left, right)
        drawn = len(signs)
        if drawn > len(words):  # something else stands in the same row: the words have their middle at 0
            middles = [
                abs(left[signs[i][0]] + max(right[k] for k in signs[i + len(words) - 1]))
                for i in range(drawn - len(words) + 1)
            ]
            first = middles.index(min(middles))
            signs = signs[first : first + len(words)]
        both = np.stack((along, up), axis=1)
        shapes = [
            np.concatenate([both[starts[k] : starts[k] + counts[k]] for k in sorted(sign)]) - (left[sign[0]], 0.0)
            for sign in signs
        ]
        off = (left[signs[0][0]] + max(right[k] for k in signs[-1])) / 2 if signs else 0.0
        found.append(Line(words, own.text, h, tuple(shapes), drawn, float(off)))
    return tuple(found)


def _signs(held: Sequence[int], left: Floats, right: Floats) -> list[list[int]]:
    """Strokes from left to right, those together that no white parts."""
    signs: list[list[int]] = []
    end = -1e9
    for k in held:
        if not signs or left[k] > end + _WHITE:
            signs.append([])
        signs[-1].append(k)
        end = max(end, float(right[k]))
    return signs


def misplaced(lines: Sequence[Line]) -> str:
    """What is the matter with the places of the signs of a label, "" if nothing is; their shapes are not looked at."""
    for line in lines:
        if len(line.shapes) != len(line.words):
            return f"{line.text!r} has {len(line.words)} signs, and {line.found} are drawn there"
        if abs(line.off) > _OFF_MIDDLE:
            return f"{line.text!r} is drawn {abs(line.off) * line.height:.1f} mm beside its place"
    return ""


def misread(labels: Mapping[str, Sequence[Line]], *, any_way: bool = False) -> Iterator[tuple[str, str]]:
    """Of each label what is the matter with its words, "" if nothing is; `any_way`: strokes of a sign are drawn from
    either end and in any order, on the grid of a plotter."""
    alike = _same_places if any_way else _alike
    seen: dict[str, list[Drawn]] = defaultdict(list)
    for lines in labels.values():
        for line in lines:
            if len(line.shapes) == len(line.words):
                for sign, shape in zip(line.words, line.shapes, strict=True):
                    seen[sign].append((shape, line.height))
    usual = {sign: _most_usual(shapes, alike) for sign, shapes in seen.items()}
    taken = _taken_for(usual, {sign: len(shapes) for sign, shapes in seen.items()}, alike)
    for label, lines in labels.items():
        yield label, next((wrong for line in lines if (wrong := _wrong(line, usual, taken, alike))), "")


def _taken_for(usual: Mapping[str, Drawn], seen: Mapping[str, int], alike: Alike) -> dict[str, str]:
    """Signs that look like another one that stands in the file more often; of `l` and `I` no one can tell."""
    found: dict[str, str] = {}
    for a, b in combinations(usual, 2):
        if {a, b} != {"l", "I"} and alike(usual[a], usual[b]):
            less, more = (a, b) if seen[a] < seen[b] else (b, a)
            found[less] = more
    return found


def _wrong(line: Line, usual: Mapping[str, Drawn], taken: Mapping[str, str], alike: Alike) -> str:
    if wrong := misplaced((line,)):
        return wrong
    for sign, shape in zip(line.words, line.shapes, strict=True):
        if not alike((shape, line.height), usual[sign]):
            return f"{line.text!r} is not what is drawn there: its {sign!r} looks like no other"
        if sign in taken:
            return f"{line.text!r} is not what is drawn there: its {sign!r} is drawn as {taken[sign]!r}"
    return ""


def _most_usual(shapes: Sequence[Drawn], alike: Alike) -> Drawn:
    """The shape that most of them are like."""
    groups: list[list[Drawn]] = []
    for shape in shapes:
        group = next((group for group in groups if alike(shape, group[0])), None)
        if group is None:
            groups.append([shape])
        else:
            group.append(shape)
    return max(groups, key=len)[0]


def _alike(a: Drawn, b: Drawn) -> bool:
    import numpy as np

    if len(a[0]) != len(b[0]):
        return False
    return bool(np.abs(a[0] - b[0]).max() <= 0.01 + _ALIKE / min(a[1], b[1]))


def _same_places(a: Drawn, b: Drawn) -> bool:
    """Whether every corner of either sign lies at one of the other."""
    import numpy as np

    near = np.hypot(*(a[0][:, None] - b[0][None]).T)
    return bool(max(near.min(axis=0).max(), near.min(axis=1).max()) <= 0.01 + _ON_GRID / min(a[1], b[1]))
