"""The grade rule table that goes with a pattern-data file (ASTM D6673-10, as public notes and two files show it).

How far the points that carry a rule move, from the sample size to each other size: the file names rules by number, the
DXF says at which point which of them holds.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Final, TypeAlias

from ..values import dataclass, field

Steps: TypeAlias = tuple[int, ...]
"""dx, dy of every size in turn, in steps of the table's last decimal."""
_PAIRS: Final = 4
"""Pairs in a line, at most."""
_NOISE: Final = 4
"""Decimals of a step that are kept before it is rounded, so that equal moves never fall either side of a half."""


@dataclass(slots=True)
class Rules:
    """Rules by what they do; points whose moves are the same when rounded share one. Rule 1 moves nothing."""

    sizes: int
    decimals: int
    numbers: dict[Steps, int] = field(default_factory=dict)

    def number(self, moves: Iterable[float]) -> int:
        """The rule for dx, dy of every size in turn, in units of the file."""
        self.still()
        per_unit = 10**self.decimals
        steps = tuple(round(round(move * per_unit, _NOISE)) for move in moves)
        return self.numbers.setdefault(steps, len(self.numbers) + 1)

    def still(self) -> int:
        """The rule of points that stay where they are."""
        return self.numbers.setdefault((0,) * (2 * self.sizes), 1)


def render(head: Mapping[str, str], sizes: Sequence[str], sample: str, rules: Rules) -> bytes:
    """The table as the bytes of a .rul file, lines ending in CR LF.

    `head`: its first lines, `Identifier: value`. Every rule has a pair x, y for each size in the order of the list,
    measured from the sample size, up to four pairs a line; x runs along the grade reference line.
    """
    lines = [f"{key}: {value}".strip() for key, value in head.items()]
    lines += [f"NUMBER OF SIZES: {len(sizes)}", f"SIZE LIST: {' '.join(sizes)}", f"SAMPLE SIZE: {sample}"]
    wide = rules.decimals + 5
    per_unit = 10**rules.decimals
    rules.still()
    for steps, number in rules.numbers.items():
        lines.append(f"RULE: DELTA {number}")
        pairs = [
            f"{x / per_unit:{wide + 2}.{rules.decimals}f},{y / per_unit:{wide}.{rules.decimals}f}"
            for x, y in zip(steps[::2], steps[1::2], strict=True)
        ]
        lines += ["".join(pairs[i : i + _PAIRS]) for i in range(0, len(pairs), _PAIRS)]
    return "".join(f"{line}\r\n" for line in [*lines, "END"]).encode("ascii")
