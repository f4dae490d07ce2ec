"""What a maker says of cloth, in a job file or on the command line, as values; and a cloth put together from them."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import fields
from typing import Any, Final

from ..errors import InputError, Where
from ..geometry.polygon import Box
from ..units import INCH, Unit, parse_length, show, whole
from ..values import dataclass
from .cloth import ENDS, GAP, SELVEDGE, SPREADS, Cloth, shop_length

WIDEST: Final = 10_000.0
MOST_GARMENTS: Final = 2_000
_TAPE: Final = 3048.0
"""Beyond 120 in a length is told in yards, or metres (tapes are 60 or 120 in, 150 or 300 cm long; common practice)."""
_TIMES: Final = re.compile(r"\s*[x×*]\s*", re.IGNORECASE)
_PERCENT: Final = re.compile(r"(\d+(?:[.,]\d+)?)\s*%")


@dataclass(frozen=True, slots=True)
class Search:
    """How long is searched, and which way."""

    seconds: float = 20.0
    seed: int = 1
    workers: int | None = None
    """Processor cores; None: all."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What was said of one kind of cloth; None: nothing was. Lengths in mm, `shrink` in parts of one."""

    width: float | None = None
    spread: str | None = None
    one_way: bool | None = None
    gap: float | None = None
    selvedge: float | None = None
    ends: float | None = None
    shrink: tuple[float, float] | None = None
    tolerance: float | None = None
    flaws: tuple[Box, ...] | None = None
    repeat: tuple[float, float] | None = None

    def over(self, other: Asked) -> Asked:
        """This, and where it says nothing what the other says."""
        pairs: dict[str, Any] = {}
        for own in fields(self):
            mine = getattr(self, own.name)
            pairs[own.name] = getattr(other, own.name) if mine is None else mine
        return Asked(**pairs)

    def cloth(self) -> Cloth:
        """InputError where the width is not said, or leaves no room between the selvedges."""
        if self.width is None:
            raise InputError(
                "the width of the cloth is not known",
                expected="--cloth-width, or width below [cloth] in the job",
                instead="Write --cloth-width 150cm",
            )
        shrink = self.shrink or (0.0, 0.0)
        repeat = self.repeat or (0.0, 0.0)
        cloth = Cloth(
            self.width,
            self.spread or "open",
            one_way=bool(self.one_way),
            gap=GAP if self.gap is None else self.gap,
            selvedge=SELVEDGE if self.selvedge is None else self.selvedge,
            ends=ENDS if self.ends is None else self.ends,
            shrink_along=shrink[0],
            shrink_across=shrink[1],
            tolerance_deg=self.tolerance or 0.0,
            flaws=self.flaws or (),
            repeat_along=repeat[0],
            repeat_across=repeat[1],
        )
        if cloth.right - cloth.left < 50.0:
            raise InputError(
                f"cloth of {self.width:.0f} mm leaves {max(0.0, cloth.right - cloth.left):.0f} mm between its edges",
                expected="wider cloth or narrower selvedges",
            )
        return cloth


def tape_words(mm: float, unit: Unit) -> str:
    """A length along the cloth as a tape or a table's edge says it.

    >>> tape_words(1333.5, "in"), tape_words(12860.0, "in"), tape_words(1335.0, "cm"), tape_words(12860.0, "cm")
    ('52 1/2 in', '14 yd 2 1/4 in', '133.5 cm', '12.86 m')
    """
    if mm < _TAPE:
        return show(mm, unit)
    if unit != "in":
        return f"{mm / 1000:.2f} m"
    yards, rest = divmod(round(mm / INCH * 8), 36 * 8)
    return f"{yards} yd {show(rest * INCH / 8, unit)}" if rest else f"{yards} yd"


def buy_words(mm: float, unit: Unit) -> str:
    """What to ask for in a shop, rounded up to what it cuts.

    >>> buy_words(1333.5, "in"), buy_words(1333.5, "cm"), buy_words(1097.28, "in")
    ('1 1/2 yd', '1.35 m', '1 1/4 yd')
    """
    length = shop_length(mm, unit == "in")
    if unit != "in":
        return f"{length / 1000:.2f} m"
    return show(length / 36, unit, with_unit=False) + " yd"


def length_of(value: object, unit: Unit, where: Where, *, most: float = WIDEST) -> float:
    """mm, from 0 to `most`."""
    mm = parse_length(value, unit, where)
    if not 0 <= mm <= most:
        raise InputError(f"{value} is out of range", where=where, expected=f"0 to {most / 10:g} cm")
    return mm


def shrink_of(value: object, where: Where) -> tuple[float, float]:
    """`2%x1%`: along and across; `2%`: along alone. Parts of one.

    >>> shrink_of("2%x1%", Where(""))
    (0.02, 0.01)
    """
    parts = [_PERCENT.fullmatch(part) for part in _TIMES.split(str(value).strip())]
    numbers = [float(part[1].replace(",", ".")) / 100 for part in parts if part is not None]
    if len(numbers) != len(parts) or len(parts) > 2 or not all(n <= 0.3 for n in numbers):
        raise InputError(
            f"{value} is not what a cloth shrinks by", where=where,
            expected="per cent along x per cent across, up to 30 %",
            instead="Write 2%x1%",
        )  # fmt: skip
    return numbers[0], numbers[1] if len(numbers) == 2 else 0.0


def repeat_of(value: object, unit: Unit, where: Where) -> tuple[float, float]:
    """`6 cm`: stripes across the cloth, one every 6 cm along it; `6 cm x 4 cm`: a check; `0 x 4 cm`: stripes along it.

    >>> repeat_of("6cm x 4cm", "cm", Where("")), repeat_of("6 cm", "cm", Where(""))
    ((60.0, 40.0), (60.0, 0.0))
    """
    parts = [value] if not isinstance(value, str) else list(_TIMES.split(value.strip()))
    if len(parts) > 2:
        raise InputError(f"{value} is not a repeat", where=where, expected="along x across", instead="Write 6cmx4cm")
    sizes = [length_of(part, unit, where, most=2000.0) for part in parts]
    if any(0 < size < 2.0 for size in sizes) or not any(sizes):
        raise InputError(f"{value} is not a repeat", where=where, expected="2 mm at least, 0 for none")
    return sizes[0], sizes[1] if len(sizes) == 2 else 0.0


def flaw_of(value: object, unit: Unit, where: Where) -> Box:
    """`20cm,1.1m` is none: `20 cm, 110 cm, 3 cm x 5 cm`: from the left edge, from the start, across x along."""
    parts = [part.strip() for part in str(value).split(",")]
    sizes = _TIMES.split(parts[2]) if len(parts) == 3 else []
    if len(sizes) != 2:
        raise InputError(
            f"{value} is not the place of a flaw", where=where,
            expected="from the left edge, from the start of the lay, its size across x along",
            instead='Write "20 cm, 110 cm, 3 cm x 5 cm"',
        )  # fmt: skip
    left, bottom = length_of(parts[0], unit, where), length_of(parts[1], unit, where, most=1e6)
    return Box(left, bottom, left + length_of(sizes[0], unit, where), bottom + length_of(sizes[1], unit, where))


def quantities_of(value: str, where: Where) -> dict[str, int]:
    """`10=2,12=3`, or `10:2,12:3`: garments of each size; a count alone is told of no size, "".

    >>> quantities_of("10=2, 12=3", Where("")), quantities_of("38:2", Where("")), quantities_of(" 3", Where(""))
    ({'10': 2, '12': 3}, {'38': 2}, {'': 3})
    """
    alone = whole(value.strip())
    if alone is not None:
        return counted({"": alone}, where)
    found: dict[str, int] = {}
    for part in value.split(","):
        size, sign, count = part.partition("=" if "=" in part else ":")
        size, number = size.strip(), whole(count.strip())
        if not sign or not size or number is None or size in found:
            raise InputError(
                f"{value} is not a quantity of each size", where=where, expected="SIZE=COUNT, each size once",
                instead="Write 10=2,12=3",
            )  # fmt: skip
        found[size] = number
    return counted(found, where)


def counted(quantities: Mapping[str, int], where: Where) -> dict[str, int]:
    """Those of which there are any; InputError for none at all, and for more than can be meant."""
    found = {size: count for size, count in quantities.items() if count}
    if not 0 < sum(found.values()) <= MOST_GARMENTS:
        raise InputError(
            f"{sum(found.values())} garments are asked for", where=where, expected=f"1 to {MOST_GARMENTS} in all"
        )
    return found


def asked_of(table: Mapping[str, object], unit: Unit, where: Mapping[str, Where]) -> Asked:
    """What keys say of the cloth itself, in a job or on the command line; `where` has the place of each."""
    rows = {name: KEYS[name] for name in table}
    return Asked(**{row.field or name: row.read(table[name], unit, where[name]) for name, row in rows.items()})


def _spread_of(value: object, unit: Unit, where: Where) -> str:
    if value not in SPREADS:
        raise InputError(f"{value!r} is not a way to spread", where=where, expected=f"one of {', '.join(SPREADS)}")
    return str(value)


def _one_way_of(value: object, unit: Unit, where: Where) -> bool:
    if not isinstance(value, bool):
        raise InputError(f"{value!r} is neither true nor false", where=where, expected="true or false")
    return value


def _tolerance_of(value: object, unit: Unit, where: Where) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not 0 <= value <= 10:
        raise InputError(f"{value!r} is out of range", where=where, expected="0 to 10 degrees")
    return float(value)


def _flaws_of(value: object, unit: Unit, where: Where) -> tuple[Box, ...]:
    if not isinstance(value, list) or len(value) > 200:
        raise InputError("the flaws are not a list", where=where, expected='["20 cm, 110 cm, 3 cm x 5 cm"]')
    return tuple(flaw_of(flaw, unit, where) for flaw in value)


@dataclass(frozen=True, slots=True)
class ClothKey:
    """A key of a [cloth] table that is about the cloth itself, and what reads it, for `field` of `Asked`."""

    name: str
    words: str
    read: Callable[[object, Unit, Where], Any] = length_of
    field: str = ""


_ROWS: Final = (
    ClothKey("width", "as it is sold: 150cm, 60in"),
    ClothKey("spread", "fold, lengthwise and right sides together; open, in one layer; tubular, a knitted tube  [open]",
             _spread_of),
    ClothKey("one_way", "all pieces the same way up: nap, print", _one_way_of),
    ClothKey("gap", "between pieces  [3 mm, 1/8 in]"),
    ClothKey("selvedge", "kept free along each selvedge  [1 cm, 3/8 in]"),
    ClothKey("ends", "kept free at either end  [1 cm, 3/8 in]"),
    ClothKey("shrink", "what the cloth loses in the wash before it is cut, along x across: 2%x1%",
             lambda value, unit, where: shrink_of(value, where)),
    ClothKey("grain_tolerance", "how far a grain line may be off, degrees  [0]", _tolerance_of, "tolerance"),
    ClothKey("flaws", 'boxes to keep off: ["20 cm, 110 cm, 3 cm x 5 cm"]', _flaws_of),
    ClothKey("repeat", "of a stripe or check, to be matched, along x across: 6cm, 6cmx4cm", repeat_of),
)  # fmt: skip
KEYS: Final = {row.name: row for row in _ROWS}
