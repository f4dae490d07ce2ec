"""A length that tells its own formula: a number, and the tree of how it came about.

    quarter = ((bust_girth + ease) / 4 + intake).called("quarter bust")
    quarter.mm        263.1
    quarter.words()   ("(bust girth + {a}) ÷ 4 + {b}", {"a": 50.8, "b": 25.4})

Every number of a draft is written once, as the dressmaker would say it; the worked lines of the report, the letters of
the chalk card and the regrading of a claim follow. Adding a bare number is a mistake that Python tells: five what?
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import reduce
from typing import Final, Literal, TypeAlias

from ..units import INCH, Unit, rounded
from ..values import dataclass

Op: TypeAlias = Literal[
    "number", "body", "option", "found", "named", "told", "+", "−", "×", "÷", "least", "greatest"
]  # fmt: skip
_ALPHABET: Final = "abcdefghijklmnopqrstuvwxyz"
_BINDS: Final[Mapping[str, int]] = {"+": 1, "−": 1, "×": 2, "÷": 2}
"""How tightly an operation holds its parts together; all else is one word."""


@dataclass(frozen=True, slots=True)
class Length:
    """A length in mm with its formula; plain data, so that it can be sent, compared and worked again.

    `name` is the measurement of a "body" leaf, the option of an "option" leaf, what a "named" length is called, and of
    a "found" one (measured on a piece, or solved) how it was found; of a "told" one the words that stand for its
    formula, in which `{}` is the number of each part after the first. `factor` is the number of × and ÷.
    """

    mm: float
    op: Op = "number"
    parts: tuple[Length, ...] = ()
    name: str = ""
    factor: float = 1.0

    def __add__(self, other: Length) -> Length:
        return Length(self.mm + other.mm, "+", (self, other)) if isinstance(other, Length) else NotImplemented

    def __sub__(self, other: Length) -> Length:
        return Length(self.mm - other.mm, "−", (self, other)) if isinstance(other, Length) else NotImplemented

    def __mul__(self, by: float) -> Length:
        if isinstance(by, Length):
            return NotImplemented
        return self if by == 1 else Length(self.mm * by, "×", (self,), "", by)

    __rmul__ = __mul__

    def __truediv__(self, by: float) -> Length:
        if isinstance(by, Length):
            return NotImplemented
        return self if by == 1 else Length(self.mm / by, "÷", (self,), "", by)

    def __lt__(self, other: Length) -> bool:
        return self.mm < other.mm

    def __le__(self, other: Length) -> bool:
        return self.mm <= other.mm

    def __gt__(self, other: Length) -> bool:
        return self.mm > other.mm

    def __ge__(self, other: Length) -> bool:
        return self.mm >= other.mm

    def over(self, other: Length) -> float:
        """This length as a part of another: a plain number."""
        return self.mm / other.mm

    def called(self, name: str) -> Length:
        """The same length under a name of its own: what uses it says the name, not the formula."""
        return Length(self.mm, "named", (self,), name)

    def told(self, words: str, *numbers: Length) -> Length:
        """The same length, told in words of its own; `{}` in them stands for each of the numbers.

        >>> (inch(8) + inch(1).told("{} for the dart", inch(1))).words()[0]
        '{a} + {b} for the dart'
        """
        return Length(self.mm, "told", (self, *numbers), words)

    @property
    def plain(self) -> Length:
        """The same length, told as its number where it is a part of another."""
        return self.told("{}", self)

    @property
    def formula(self) -> Length:
        """How it came about, of a named length; itself else."""
        return self.parts[0] if self.op == "named" else self

    def words(self) -> tuple[str, Mapping[str, float]]:
        """The formula with `{letter}` for each number, and the numbers, mm: as a worked line tells it.

        >>> ((Length(900.0, "body", name="bust_girth") + inch(2)) / 4).words()
        ('(bust girth + {a}) ÷ 4', {'a': 50.8})
        """
        formula, known, _ = self.shown()
        return formula, known

    def shown(self) -> tuple[str, Mapping[str, float], Sequence[Length]]:
        """The same, and the named lengths whose names or numbers are seen in it."""
        known: dict[str, float] = {}
        named: list[Length] = []
        return _words(self.parts[0] if self.op == "named" else self, known, named), known, named

    def again(self, body: Mapping[str, float], style: Mapping[str, object]) -> float | None:
        """The same formula for another body or style, mm; None where it hangs on what was found on a piece, or on a
        measurement that was not taken."""
        if self.op in _LEAVES:
            return _LEAVES[self.op](self, body, style)
        if self.op == "told":
            return self.parts[0].again(body, style)
        parts = [part.again(body, style) for part in self.parts]
        known = [part for part in parts if part is not None]
        return _WORKED[self.op](known, self.factor) if len(known) == len(parts) else None

    def leaves(self) -> Iterator[Length]:
        """What it is made of: numbers, measurements, options, and what was found."""
        if not self.parts:
            yield self
        for part in self.parts[:1] if self.op == "told" else self.parts:
            yield from part.leaves()


def _option(length: Length, style: Mapping[str, object]) -> float | None:
    value = style.get(length.name, length.mm)
    return float(value) if isinstance(value, (int, float)) else None


_LEAVES: Final[Mapping[str, Callable[[Length, Mapping[str, float], Mapping[str, object]], float | None]]] = {
    "number": lambda length, body, style: length.mm,
    "body": lambda length, body, style: body.get(length.name),
    "option": lambda length, body, style: _option(length, style),
    "found": lambda length, body, style: None,
}
_WORKED: Final[Mapping[str, Callable[[list[float], float], float]]] = {
    "named": lambda parts, factor: parts[0],
    "+": lambda parts, factor: parts[0] + parts[1],
    "−": lambda parts, factor: parts[0] - parts[1],
    "×": lambda parts, factor: parts[0] * factor,
    "÷": lambda parts, factor: parts[0] / factor,
    "least": lambda parts, factor: min(parts),
    "greatest": lambda parts, factor: max(parts),
}


def _words(length: Length, known: dict[str, float], named: list[Length]) -> str:
    """One part of a formula, without brackets round it."""
    if length.op == "found":
        return length.name
    if length.op == "named":
        named.append(length)
        return length.name
    if length.op == "body":
        return length.name.replace("_", " ")
    if length.op in ("number", "option"):
        return _lettered(length, known)
    if length.op == "told":
        named += [part for part in length.parts[1:] if part.op == "named"]
        return length.name.format(*[_lettered(part, known) for part in length.parts[1:]])
    if length.op in ("least", "greatest"):
        which = "smaller" if length.op == "least" else "greater"
        return f"the {which} of {' and '.join(_words(part, known, named) for part in length.parts)}"
    if length.op in ("×", "÷"):
        by = _number(length.factor)
        return f"{_held(length.parts[0], 2, known, named)} {length.op} {f'({by})' if '/' in by else by}"
    first, second = length.parts
    if second.op in ("number", "option") and second.mm == 0:  # nothing added is nothing told
        return _words(first, known, named)
    one = _held(first, 1, known, named) if first.op in _LOOSE else _words(first, known, named)
    if second.op in _LOOSE:
        return f"{one} {length.op} {_held(second, 2 if length.op == '−' else 1, known, named)}"
    return f"{one} {length.op} {_words(second, known, named)}"


def _lettered(length: Length, known: dict[str, float]) -> str:
    count = len(known)
    letter = _ALPHABET[count] if count < 26 else _letter(count)
    known[letter] = length.mm
    return f"{{{letter}}}"


_LOOSE: Final = frozenset({*_BINDS, "least", "greatest"})
"""Operations that may fall apart where they are a part; all else is one word."""


def _held(part: Length, binds: int, known: dict[str, float], named: list[Length]) -> str:
    """A part, in brackets where it would fall apart; a choice of two is told in brackets wherever it is a part."""
    while part.op in ("+", "−") and part.parts[1].op in ("number", "option") and part.parts[1].mm == 0:
        part = part.parts[0]
    text = _words(part, known, named)
    return f"({text})" if part.op in _LOOSE and _BINDS.get(part.op, 0) < binds else text


def _letter(number: int) -> str:
    """a, b, ... z, a1, b1, ..."""
    return chr(ord("a") + number % 26) + (str(number // 26) if number > 25 else "")


def _number(factor: float) -> str:
    """A factor as people write it: `4`, `0.561`, `1/3` for a third.

    >>> _number(4.0), _number(0.561), _number(1 / 3), _number(2 / 5)
    ('4', '0.561', '1/3', '0.4')
    """
    text = f"{factor:g}"
    if len(text) <= 5:
        return text
    from fractions import Fraction

    near = Fraction(factor).limit_denominator(12)
    return str(near) if abs(float(near) - factor) < 1e-9 else text


def inch(number: float) -> Length:
    """So many inches, exactly."""
    return Length(number * INCH)


def cm(number: float) -> Length:
    """So many centimetres."""
    return Length(number * 10.0)


def mm(number: float) -> Length:
    """So many millimetres."""
    return Length(float(number))


def customary(length: Length, unit: Unit) -> Length:
    """A number as those who read that unit would set it: 1 in is 2.5 cm (`units.rounded`)."""
    return Length(rounded(length.mm, unit))


def found(value: float, words: str, *numbers: Length) -> Length:
    """What was measured on a piece, or solved: `words` tell how, with `{}` for each of the numbers. It cannot be worked
    again for another body."""
    length = Length(value, "found", (), words)
    return length.told(words, *numbers) if numbers else length


def least(*lengths: Length) -> Length:
    """The smallest of several."""
    return Length(min(length.mm for length in lengths), "least", lengths)


def greatest(*lengths: Length) -> Length:
    """The greatest of several."""
    return Length(max(length.mm for length in lengths), "greatest", lengths)


def total(*lengths: Length) -> Length:
    """Several lengths together."""
    return reduce(Length.__add__, lengths)
