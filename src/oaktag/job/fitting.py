"""What was pinned at a fitting: [fitting].

[fitting]
sway_back = "3/8"
high_hip = { left = "1/2" }
let_out = { seam = "side", level = "waist", amount = "1/4" }      # a list of these where there are several
size = "14"                                                       # of a set, this size alone
[fitting.places]                                                  # of a drawn pattern, what it calls a place
front.armhole = "edge 4"
front.piece = "outline 1"
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from ..body.measurements import spoken
from ..draft.options import unknown
from ..errors import InputError
from ..model.fitted import Ask, FittedSide
from ..units import Unit, parse_length, show
from .model import Fitting, SizeSet
from .reader import Reader

if TYPE_CHECKING:
    from ..fitting.fault import Fault

_SIDES: Sequence[FittedSide] = ("left", "right")
_SEAM = ("seam", "level", "amount", *_SIDES)


def fitting_of(reader: Reader, table: str) -> Fitting:
    """Every fault that is named, in the order of the file; faults of the reader for what cannot be."""
    typed = reader.table(table)
    if not typed:
        return Fitting()
    from ..fitting.table import BY_NAME

    asks: list[Ask] = []
    for name, value in typed.items():
        if name in ("size", "places"):
            continue
        fault = BY_NAME.get(name)
        if fault is None:
            found = f"{spoken(name)} is not a fault of fit"
            reader.errors.append(unknown(found, name, (*BY_NAME, "size", "places"), reader.where(table, name)))
            continue
        rows = value if isinstance(value, list) and fault.seams and value else [value]
        for row in rows:
            asks += _asks(reader, fault, row, table, name)
    return Fitting(tuple(asks), _size(reader, typed, table), _places(reader, typed, table))


def _asks(reader: Reader, fault: Fault, value: object, *at: str) -> Iterator[Ask]:
    """What one value says: an amount; or amounts by side; of what is let out, its seam and level too."""
    words = value if isinstance(value, Mapping) else {"amount": value}
    example = f'Write {at[-1]} = {{ seam = "{fault.seams[0]}", amount = "1/4" }}' if fault.seams else ""
    if isinstance(value, list):
        expected = "seams and amounts" if fault.seams else "one amount, as pinned"
        reader.fault("a list tells nothing of it", *at, expected=expected, instead=example)
        return
    if fault.seams and "seam" not in words:
        reader.fault(f"nothing says at which seam it is {fault.words}", *at, instead=example)
        return
    known = _SEAM if fault.seams else ("amount", *_SIDES)
    reader.refuse_others(words, known, *at)
    seam, level = str(words.get("seam", "")), str(words.get("level", ""))
    for word, choices, kind in ((seam, fault.seams, "seam"), (level, ("", *fault.levels), "level")):
        if fault.seams and word not in choices:
            offered = ", ".join(filter(None, choices))
            reader.fault(
                f"{spoken(word)} is no {kind} that can be {fault.words}", *at, expected=f"{kind} = one of {offered}"
            )
            return
    amounts = {side: words[side] for side in ("amount", *_SIDES) if side in words}
    if not amounts:
        reader.fault(f"nothing says how much of {fault.words} was pinned", *at, instead=f'Write {at[-1]} = "1/2"')
    for side, typed in amounts.items():
        amount = reader.take(lambda typed=typed: _amount(reader, fault, typed, *at))  # type: ignore[misc]
        if amount is not None:
            yield Ask(fault.name, amount, side if side in _SIDES else "", seam, level)  # type: ignore[arg-type]


def _amount(reader: Reader, fault: Fault, typed: object, *at: str) -> float:
    unit: Unit = reader.of("units")
    amount = parse_length(typed, unit, reader.where(*at))
    least, most = fault.least.mm, fault.most.mm
    if not least - 0.05 <= amount <= most + 0.05:
        raise InputError(
            f"{show(amount, unit)} of {fault.words} is {'less' if amount < least else 'more'} than can be mended",
            where=reader.where(*at),
            expected=f"{'more than 0' if 0 < least < 2 else show(least, unit)}, up to {show(most, unit)}, as pinned",
            instead="" if amount < least else "Draft it anew on measurements taken again",
        )  # fmt: skip
    return amount


def _places(reader: Reader, typed: Mapping[str, object], table: str) -> Mapping[str, Mapping[str, str]]:
    """What a drawn pattern calls the places of front, back and sleeve."""
    if "places" not in typed:
        return {}
    from ..fitting.fitter import ROLES

    at = (table, "places")
    if not reader.is_drawn:
        reader.fault("the pattern is not drawn, so its places are known", *at, instead="Leave [fitting.places] out")
        return {}
    found: dict[str, dict[str, str]] = {}
    rows = typed["places"]
    for role, names in rows.items() if isinstance(rows, Mapping) else [("", rows)]:
        if role not in ROLES or not isinstance(names, Mapping):
            reader.fault(
                f"{spoken(role)} tells no place", *at, expected=f'{", ".join(ROLES)} and a place, as front.side = "e4"'
            )
            continue
        for place, name in names.items():
            if isinstance(name, str) and name.strip():
                found.setdefault(role, {})[place] = name.strip()
            else:
                reader.fault(
                    f"{spoken(name)} is not the name of an edge", *at, role, place, expected="a text in quotes"
                )
    return found


def _size(reader: Reader, typed: Mapping[str, object], table: str) -> str:
    """The size that was tried on, of a set."""
    if "size" not in typed:
        return ""
    sizes: SizeSet | None = reader.of("sizes")
    size = str(typed["size"])
    if sizes is None:
        reader.fault("the job makes one size", table, "size", instead="Leave size out")
    elif size not in sizes.make:
        reader.fault(f"size {spoken(size)} is not made by this job", table, "size", expected=", ".join(sizes.make))
    return size
