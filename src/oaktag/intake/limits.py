"""How much of a drawing is read, and what is refused for being more; counted while it is read."""

from __future__ import annotations

from typing import Final, NamedTuple

from ..errors import InputError, Where
from ..values import dataclass, field

MOST_BYTES: Final = 100_000_000
MOST_POINTS: Final = 1_000_000
MOST_ELEMENTS: Final = 200_000
DEEPEST: Final = 100
"""Groups within groups, blocks within blocks, uses of uses."""
MOST_TOLD: Final = 20
"""Mistakes that are told together before reading is given up."""
FARTHEST: Final = 1_000_000.0
"""mm: no pattern reaches as far as 1 km."""
LONGEST_TEXT: Final = 2_000
"""Characters that are kept of one text."""


MOST_WORK: Final = 12_000_000
"""Steps that one drawing may take from its bytes to its outlines: about a microsecond each, as measured here."""


class Work(NamedTuple):
    """A kind of work: steps for one of them, what they are called, and what a maker does where there are too many."""

    steps: float
    words: str
    instead: str


POINT: Final = Work(4.0, "points", "Simplify its lines, or save it in parts")
ELEMENT: Final = Work(15.0, "elements, copies counted each time", "Save it in parts")
COPY: Final = Work(40.0, "copies of blocks", "Save it in parts, or take the blocks apart")
ROW: Final = Work(3.2, "lines of DXF text", "Save it in parts, or simplify its lines")
ENTRY: Final = Work(15.0, "entries of a DXF", "Save it in parts")
VERTEX: Final = Work(30.0, "vertices of old polylines (POLYLINE)", "Save it as DXF R2000, or simplify its lines")
CHORD: Final = Work(4.0, "chords of its curves, parted finely enough", "Simplify its curves, or save it in parts")
PAIR: Final = Work(0.4, "pairs of lines that may cross", "Simplify it, or draw outlines that do not cross themselves")
CROSSING: Final = Work(4.0, "places where outlines cross themselves", "Draw outlines that do not cross themselves")
LOOP: Final = Work(0.02, "comparisons of loops to be cut off", "Draw outlines that do not cross themselves")
ALIKE: Final = Work(50.0, "lines that may be drawn twice", "Leave out what is drawn over itself")
INSIDE: Final = Work(2.0, "points of closed lines looked for in others", "Save it in parts")
JOIN: Final = Work(8.0, "ends of lines to be joined", "Draw each outline as one closed line")
NEAR: Final = Work(4.0, "pairs of ends that lie near each other", "Draw each outline as one closed line")
NET: Final = Work(15.0, "lines that meet in a net", "Draw each outline as one closed line")
FIT: Final = Work(200.0, "curves tried through its points", "Simplify its lines, or save it in parts")
LINE: Final = Work(60.0, "lines within outlines", "Leave out what need not be drawn on a piece")
OUTLINE: Final = Work(2_000.0, "outlines of pieces", "Save it in parts, or say below [lines] what is an outline")
PIECE: Final = Work(20_000.0, "outlines, each to be a piece", "Write a plan that names those that are meant")
"""In a first plan: each piece is finished and checked."""


@dataclass(slots=True)
class Budget:
    """What is still allowed of one drawing. It is the one thing here that changes; made new for each reading.

    All work is counted in the same steps where it is done, before it is done if it can be known: so many points cost
    the same whether they are in one line or in many, and few points that cross each other everywhere cost much.
    """

    name: str
    points: int = MOST_POINTS
    elements: int = MOST_ELEMENTS
    work: float = MOST_WORK
    done: dict[Work, int] = field(default_factory=dict)

    def anew(self) -> Budget:
        """Itself, with all points and elements allowed again: a drawing may be read twice, to measure it first."""
        self.points, self.elements = MOST_POINTS, MOST_ELEMENTS
        return self

    def spend(self, kind: Work, count: int) -> None:
        """Raises InputError once all the work together is too much, naming that of which there was most."""
        self.done[kind] = self.done.get(kind, 0) + count
        self.work -= kind.steps * count
        if self.work < 0:
            most = max(self.done, key=lambda k: k.steps * self.done[k])
            raise InputError(
                f"it is too much to be worked through: {self.done[most]:,} {most.words}, and more",
                where=Where(self.name), expected="a drawing of sewing patterns", instead=most.instead,
            )  # fmt: skip

    def take_points(self, count: int) -> None:
        """Raises InputError once there are too many."""
        self.points -= count
        if self.points < 0:
            raise too_many(self.name, MOST_POINTS, "points")
        self.spend(POINT, count)

    def take_element(self, count: int = 1) -> None:
        """Raises InputError once there are too many, copies of symbols and blocks counted each time."""
        self.elements -= count
        if self.elements < 0:
            raise too_many(self.name, MOST_ELEMENTS, "elements, copies counted each time")
        self.spend(ELEMENT, count)


def too_many(name: str, most: int, what: str) -> InputError:
    """That there is more than can be read."""
    return InputError(
        f"it has more than {most:,} {what}", where=Where(name), expected="a drawing of sewing patterns",
        instead="Save it in parts, or simplify it",
    )  # fmt: skip


def too_deep(name: str, what: str, line: int = 0, key: str = "") -> InputError:
    """That things lie in each other without end."""
    return InputError(f"{what} more than {DEEPEST} deep", where=Where(name, line, key))
