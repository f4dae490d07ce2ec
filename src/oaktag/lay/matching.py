"""Where a stripe or a check must meet when a seam is sewn: points of two pieces that fall on each other.

A seam is matched at one pair of notches that meet when it is sewn: side seams at the waist, a sleeve at the front notch
of its cap (common practice, no source). Along the rest of the seam a stripe then follows as far as the two edges are
alike; where one is bent or eased in, it cannot.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final, TypeAlias

from ..errors import InputError
from ..geometry.point import Point
from ..model.pattern import MarkedPiece, Notch, Pattern
from ..model.piece import Seam
from ..values import dataclass

_MEET: Final = 1.0
"""Notches whose sewn distances differ by less meet, mm."""


SeamSide: TypeAlias = tuple[str, int]
"""A seam, and which of the two of that name."""


@dataclass(frozen=True, slots=True)
class Meeting:
    """Two notches that meet when a seam is sewn."""

    seam: str
    a: str
    b: str
    notch_a: Notch
    notch_b: Notch


@dataclass(frozen=True, slots=True)
class MatchPoint:
    """A point of a piece, in its own coordinates, that must fall where the repeat is at the seam's other piece.

    `side` is +1 or -1: the left or the right one of two seams of that name, the same for both of the pieces that meet
    there. `leads` is the piece to which this one is matched; empty for the one that leads.
    """

    seam: str
    side: int
    at: Point
    leads: str = ""


def meetings(pattern: Pattern, chosen: Mapping[str, str] | None = None) -> tuple[Meeting, ...]:
    """One pair of notches for each seam that is matched, between pieces of the same cloth.

    `chosen` names the notch (of either side) for a seam by the seam's name; without it those that the draft names.
    Raises InputError for a seam or a notch that the pattern does not have.
    """
    if chosen:
        known = [seam.name for seam in pattern.draft.seams]
        for name in chosen:
            if name not in known:
                raise InputError(f'match: there is no seam "{name}"', expected=f"one of {', '.join(known)}")
    found: list[Meeting] = []
    for seam in pattern.draft.seams:
        if chosen and seam.name not in chosen:
            continue
        pairs = list(_pairs(pattern, seam))
        wanted = (chosen[seam.name],) if chosen else pattern.draft.match_at
        for name in wanted:
            fit = [pair for pair in pairs if name in (pair.notch_a.name, pair.notch_b.name)]
            if fit:
                found.append(fit[0])
                break
        else:
            if chosen:
                names = sorted({n for pair in pairs for n in (pair.notch_a.name, pair.notch_b.name)})
                raise InputError(
                    f'match: {seam.name} has no notch "{chosen[seam.name]}" on both of its edges',
                    expected=f"one of {', '.join(names)}" if names else "a seam with a notch on both edges",
                )
    return tuple(found)


def _pairs(pattern: Pattern, seam: Seam) -> list[Meeting]:
    found: list[Meeting] = []
    for one in seam.a:
        for other in seam.b:
            a, b = pattern.piece(one.piece), pattern.piece(other.piece)
            if a is b or a.cut.piece.material != b.cut.piece.material:
                continue
            for na in a.notches:
                for nb in b.notches:
                    if na.edge == one.edge and nb.edge == other.edge and na.count == nb.count:
                        x, y = _sewn(a, na), _sewn(b, nb)
                        ends = (p.cut.piece.edge(e).sewn_length() for p, e in ((a, one.edge), (b, other.edge)))
                        apart = min(abs(x - y), *(abs(end - x - y) for end in ends))
                        if na.name == nb.name or apart < _MEET:
                            found.append(Meeting(seam.name, one.piece, other.piece, na, nb))
    return found


def _sewn(piece: MarkedPiece, notch: Notch) -> float:
    """How far along the sewn edge the notch is, mm, to the nearest place that is meant."""
    drafted = piece.cut.piece
    edge = drafted.edge(notch.edge)
    return min(
        (edge.sewn(n.at) for n in drafted.notches if n.edge == notch.edge and n.name == notch.name),
        default=0.0,
    )


def match_points(
    pattern: Pattern, piece: MarkedPiece, chosen: Mapping[str, str] | None = None
) -> tuple[MatchPoint, ...]:
    """The points of one piece that are matched, and the piece that it follows in each."""
    found = meetings(pattern, chosen)
    level, follows = _levels(found)
    points: list[MatchPoint] = []
    for meeting in found:
        for name, notch, other in ((meeting.a, meeting.notch_a, meeting.b), (meeting.b, meeting.notch_b, meeting.a)):
            if name != piece.name or (follows.get(name) != other and follows.get(other) != name):
                continue
            way = 1 if notch.direction.x > 0 else -1
            # two pieces that are sewn to each other meet with the right side of one at the left of the other
            side = way if level[name] % 2 == 0 else -way
            points.append(MatchPoint(meeting.seam, side, notch.point, other if follows.get(name) == other else ""))
    return tuple(points)


def _levels(found: Sequence[Meeting]) -> tuple[dict[str, int], dict[str, str]]:
    """How many seams a piece is away from the one that leads, and which piece it follows: the one with most leads."""
    beside: dict[str, list[str]] = {}
    for meeting in found:
        beside.setdefault(meeting.a, []).append(meeting.b)
        beside.setdefault(meeting.b, []).append(meeting.a)
    level: dict[str, int] = {}
    follows: dict[str, str] = {}
    for start in sorted(beside, key=lambda name: (-len(set(beside[name])), list(beside).index(name))):
        if start in level:
            continue
        level[start] = 0
        waiting = [start]
        while waiting:
            name = waiting.pop(0)
            for other in beside[name]:
                if other not in level:
                    level[other] = level[name] + 1
                    follows[other] = name
                    waiting.append(other)
    return level, follows
