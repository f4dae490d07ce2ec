"""Whom a garment is for: a body that it is not drafted for is refused, and told why.

A child is no small woman: no bust, a waist as wide as the hip, shoulders and back of other proportions. Limits by
measured people (fixtures/bodies): children from 2 to 20 years measured in 1975-77, women measured in 1988 and 2010-12,
men measured in 1988.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import Final, Protocol

from ..errors import InputError, Where
from ..units import Unit, show
from .measurements import WEARERS, Wearer, spoken

WOMEN: Final = "women"
MEN: Final = "men"
GROWN: Final = "women and men"
CHILDREN: Final = "children"
ANYBODY: Final = "anybody"
_SERVES: Final[Mapping[str, tuple[Wearer, ...]]] = MappingProxyType(
    {WOMEN: ("woman",), MEN: ("man",), GROWN: ("woman", "man"), CHILDREN: ("child",), ANYBODY: WEARERS}
)
"""Whom each word means; the first is taken for the wearer where nobody says who it is."""
FOR_WHOM: Final = tuple(_SERVES)
"""The words that a garment may say. One that says nothing refuses nobody, and is not named to anybody either."""

CHILD_STATURE: Final = 1400.0
"""Shorter is a child, mm: 19 of 20 children up to 10 years; the shortest of 600 women has 1448."""
GROWN_BUST: Final = 880.0
GROWN_HIP: Final = 920.0
"""But not with a bust or hip as large as this, mm, which no child up to 10 years has that is so short."""
CHILD_BUST: Final = 745.0
CHILD_HIP: Final = 830.0
"""A child, whatever the stature, is smaller in both, mm: 19 of 20 children up to 10 years, and none of 600 women."""

NO_CHILD: Final[Mapping[str, float]] = MappingProxyType({"bust_girth": 860.0, "hip_girth": 900.0, "stature": 1650.0})
"""Any of these, mm, is too much for a child up to 12 years: 3 of 205 have as much, and 9 of 10 women and men."""

SMALLEST: Final = 440.0
"""Less is another unit, and no child, mm: the smallest of 300 from 2 years has 457."""
MOST_NAMED: Final = 6
"""Garments that are named in place of one that is refused."""

Serving = Callable[[Wearer], Sequence[str]]
"""The names of the garments for a wearer."""


class _ForWhom(Protocol):
    @property
    def name(self) -> str: ...
    @property
    def for_whom(self) -> str: ...


def wearer_of(for_whom: str, said: str = "") -> Wearer:
    """Whose proportions count: the wearer that the job says, else the first whom the garment is for.

    >>> wearer_of("women and men"), wearer_of("women and men", "man"), wearer_of("children"), wearer_of("")
    ('woman', 'man', 'child', 'woman')
    """
    return next((wearer for wearer in WEARERS if wearer == said), _SERVES.get(for_whom, WEARERS)[0])


def may_be(for_whom: str) -> tuple[Wearer, ...]:
    """All whom a garment for those people is drafted for."""
    return _SERVES.get(for_whom, WEARERS)


def serving(wearer: Wearer, garments: Iterable[_ForWhom]) -> tuple[str, ...]:
    """The names of those garments that say they are for that wearer."""
    return tuple(each.name for each in garments if wearer in _SERVES.get(each.for_whom, ()))


def said_wearer(value: object, where: Where) -> Wearer:
    """Whom a job says its measurements are of; InputError for any other word."""
    for wearer in WEARERS:
        if value == wearer:
            return wearer
    listed = ", ".join(f'"{wearer}"' for wearer in WEARERS)
    raise InputError(f"{spoken(value)} is no wearer", where=where, expected=listed, instead='Write wearer = "child"')


def child_signs(body: Mapping[str, float]) -> tuple[str, ...]:
    """The measurements by which a body is a child's; none if it is not, or too little was measured.

    >>> child_signs({"bust_girth": 635.0, "hip_girth": 690.0}), child_signs({"bust_girth": 752.0, "hip_girth": 812.0})
    (('bust_girth', 'hip_girth'), ())
    >>> child_signs({"bust_girth": 760.0, "hip_girth": 840.0, "stature": 1350.0})
    ('stature', 'bust_girth', 'hip_girth')
    """
    bust, hip, stature = body.get("bust_girth"), body.get("hip_girth"), body.get("stature")
    if bust is None or hip is None or min(bust, hip) < SMALLEST:
        return ()
    if bust < CHILD_BUST and hip < CHILD_HIP:
        return ("bust_girth", "hip_girth")
    if stature is not None and stature < CHILD_STATURE and bust < GROWN_BUST and hip < GROWN_HIP:
        return ("stature", "bust_girth", "hip_girth")
    return ()


def grown_signs(body: Mapping[str, float]) -> tuple[str, ...]:
    """The measurements by which a body is no child's up to 12 years; none where it may be.

    >>> grown_signs({"bust_girth": 905.0, "hip_girth": 890.0}), grown_signs({"bust_girth": 635.0, "stature": 1220.0})
    (('bust_girth',), ())
    """
    if child_signs(body):
        return ()
    return tuple(name for name, least in NO_CHILD.items() if body.get(name, 0.0) >= least)


def not_for(for_whom: str, body: Mapping[str, float], unit: Unit, said: str = "", named: Serving | None = None) -> str:
    """Why a garment for those people cannot be drafted for that body; empty if it can, or if it is for anybody.

    `said` is the wearer that the job names: it is believed. `named` tells the garments to make instead.
    """
    serves = may_be(for_whom)
    grown = "" if for_whom == CHILDREN else "grown "
    if said:
        if said in serves:
            return ""
        others = _instead("Write", wearer_of("", said), named)
        leave = f"Leave out wearer to draft it as for a {serves[0]}" if "child" not in (said, *serves) else ""
        return f"drafted for {grown}{for_whom}, and the wearer is said to be a {said}. {others}{leave}".rstrip()
    if "child" not in serves:
        signs = child_signs(body)
        who, is_grown = ("she", "woman") if for_whom == WOMEN else ("the wearer", serves[0])
        return (
            f"drafted for grown {for_whom}, and these are the measurements of a child ({_listed(signs, body, unit)}). "
            f"A child needs another draft, {_instead('write', 'child', named) or 'and there is none here. '}"
            f'Check the numbers and their unit if {who} is grown, and write wearer = "{is_grown}" below [measurements].'
            if signs
            else ""
        )
    signs = grown_signs(body) if serves == ("child",) else ()
    return (
        f"drafted for children up to 12 years, and these are the measurements of a grown wearer "
        f"({_listed(signs, body, unit)}). {_instead('Write', 'woman', named)}"
        'If it is a child, write wearer = "child" below [measurements].'
        if signs
        else ""
    )


def _listed(signs: Sequence[str], body: Mapping[str, float], unit: Unit) -> str:
    return ", ".join(f"{name} {show(body[name], unit)}" for name in signs)


def _instead(write: str, wearer: Wearer, named: Serving | None) -> str:
    """What to write for that wearer, with a blank behind it; empty where there is no garment."""
    names = named(wearer) if named is not None else ()
    listed = " or ".join(f'"{name}"' for name in names[:MOST_NAMED])
    more = " (`oaktag garments` lists more)" if len(names) > MOST_NAMED else ""
    return f"{write} garment = {listed}{more}. " if names else ""
