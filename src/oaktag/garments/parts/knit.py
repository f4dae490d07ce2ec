"""Knit cloth: what its stretch lets a garment be smaller than the body, and what it must not.

By classes of stretch across: 0 to 25 % nothing is taken off, to 50 % 2.5 %, to 75 % 4 %, to 100 % 7.5 %, above, and
where cloth stretches by 60 % both ways, 10 %, and 5 % of the lengths (starting values: the classes from sewing
teachers, the amounts from memory or chosen). Cloth that does not come back by 90 % is taken in by nothing (chosen).
A garment smaller by r is stretched by 1 ÷ (1 − r) − 1 in wear (geometry); a top may use half of the stretch, leggings
0.6, a seam 0.4, and what passes over the head once 0.8 (chosen). A flat band of width w lies flat round a neck of girth
N at 1 − π w ÷ N of it (geometry).
"""

from __future__ import annotations

from math import pi
from typing import Final

from ...draft.board import Board
from ...draft.options import percent
from ...model.length import Length

TOP: Final = 0.5
"""Of the stretch that cloth has, so much may be used in wear by a top (worked rules; chosen)."""
LEGS: Final = 0.6
"""By leggings."""
TO_PASS: Final = 0.8
"""And so much to pull it over the head, the hip, a hand or a foot (worked rules; chosen)."""
RECOVERS: Final = 0.9
"""Cloth that comes back by less is not made smaller than the body (common practice, no source)."""
BOTH_WAYS: Final = 0.6
"""Cloth that stretches so far both ways is for dance and swimming."""
_CLASSES: Final = ((0.25, 0.0), (0.5, 0.025), (0.75, 0.04), (1.0, 0.075))
_MOST: Final = 0.1


def usual_reduction(stretch: float, along: float, recovery: float) -> tuple[float, float]:
    """What is taken off girths and off lengths of the body, by the class of the cloth, parts of one.

    >>> usual_reduction(0.2, 0.1, 0.95), usual_reduction(0.4, 0.2, 0.95), usual_reduction(0.8, 0.7, 0.95)
    ((0.0, 0.0), (0.025, 0.0), (0.1, 0.05))
    """
    if recovery < RECOVERS:
        return 0.0, 0.0
    if min(stretch, along) >= BOTH_WAYS:
        return _MOST, _MOST / 2
    return next((less for most, less in _CLASSES if stretch <= most), _MOST), 0.0


def used_in_wear(reduce: float) -> float:
    """How far the body stretches what is smaller by so much.

    >>> round(used_in_wear(1 / 3), 3)
    0.5
    """
    return 1 / (1 - reduce) - 1


def taken_in(
    on: Board, reduce: float | None, stretch: float, along: float, recovery: float, used: float
) -> tuple[float, float]:
    """Parts of girths and lengths that are taken off; refused where cloth does not give so much, or bags."""
    usual, off_lengths = usual_reduction(stretch, along, recovery)
    if reduce is None:
        on.note(f"Girths are {percent(usual)} smaller than the body, by the stretch of the cloth "
                f"({percent(stretch)}; a starting value, from memory). Make a trial of the same cloth.")  # fmt: skip
        return usual, off_lengths
    if reduce and recovery < RECOVERS:
        on.refuse(f"cloth that comes back by {percent(recovery)} bags, and is not made smaller than the body",
                  f"reduce to 0, or take a cloth of {percent(RECOVERS)} recovery or more")  # fmt: skip
    if used_in_wear(reduce) > used * stretch:
        on.refuse(f"taken in by {percent(reduce)}, it is stretched by {used_in_wear(reduce):.0%} in wear, and cloth "
                  f"that gives {percent(stretch)} serves for {used * stretch:.0%}",
                  "reduce to less, or stretch for a cloth that has more")  # fmt: skip
    return reduce, off_lengths


def flat_ratio(wide: Length, line: Length) -> float:
    """How long a band so wide is, of the neckline round which it lies flat."""
    return 1 - wide.over(line) * pi
