"""The style options of a garment, and the judging of what the maker wrote for them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import suppress
from difflib import SequenceMatcher, get_close_matches
from types import MappingProxyType
from typing import Final, TypeAlias

from ..body.measurements import UNIT_WORDS, carries_unit, in_another_unit, range_words, spoken, typed_length
from ..errors import InputError, Where
from ..units import Unit, rounded, show
from ..values import dataclass, field

NO_WISHES: Final[Mapping[str, str]] = MappingProxyType({})
Locate: TypeAlias = Callable[[str], Where]
Style: TypeAlias = Mapping[str, float | str | None]
"""The options of a job: lengths in mm, shares as plain numbers, choices in words; None: worked out from the body."""


@dataclass(frozen=True, slots=True)
class LengthOption:
    """A length in mm that the maker may choose, from `least` to `most`.

    `default` is given as inches have it; `usual` is that of a maker's unit, in round centimetres where metric is read,
    or `metric`, where what is bought comes in other sizes there.
    None: worked out from the body, as `default_words` says, in which {name} stands for each of `lengths`. `auto`: the
    text "auto" asks for just that. `group` is the heading it is listed under; `when` names another option and its
    values with which alone it counts. `of_cloth`: left as it is, it is as wide as the job's cloth.
    """

    name: str
    words: str
    default: float | None
    least: float
    most: float
    default_words: str = ""
    auto: bool = False
    lengths: Mapping[str, float] = field(default_factory=dict)
    group: str = ""
    when: tuple[str, ...] = ()
    metric: float | None = None
    of_cloth: bool = False

    def usual(self, unit: Unit) -> float | None:
        """The default of a job in that unit, mm; None where it is worked out from the body."""
        if unit != "in" and self.metric is not None:
            return self.metric
        return None if self.default is None else rounded(self.default, unit)

    def usual_words(self, unit: Unit) -> str:
        """The default as people read it."""
        usual = self.usual(unit)
        if usual is not None:
            return show(usual, unit)
        return self.default_words.format(**{name: show(rounded(mm, unit), unit) for name, mm in self.lengths.items()})

    def range(self, unit: Unit) -> tuple[float, float]:
        """Least and most of a job in that unit, mm."""
        return rounded(self.least, unit), self.most

    def range_words(self, unit: Unit) -> str:
        """What may be written."""
        least, most = self.range(unit)
        return f"{show(least, unit)} to {show(most, unit)}"

    def read(self, value: object, unit: Unit, where: Where) -> float | None:
        """What the maker wrote, mm; None for "auto". Raises InputError."""
        least, most = self.range(unit)
        expected = range_words(least, most, unit)
        if isinstance(value, str) and value.strip().lower() == "auto":
            if self.auto:
                return None
            raise InputError(f'"auto" cannot be the {self.words}', where=where, expected=expected)
        try:
            mm = typed_length(value, unit, where)
        except InputError as error:
            if error.expected and self.auto:
                error = InputError(error.found, where=where, expected=f'{expected}, or "auto"', instead=error.instead)
            raise error from None
        if least - 1e-6 <= mm <= most + 1e-6:
            return mm
        taken = "" if carries_unit(value) else f", taken as {UNIT_WORDS[unit]},"
        elsewise = "" if carries_unit(value) else in_another_unit(value, unit, least, most)
        raise InputError(
            f"{spoken(value)}{taken} is too {'much' if mm > most else 'little'} for the {self.words}",
            where=where,
            expected=expected,
            instead=f"Write {elsewise}" if elsewise else "",
        )

    def as_json(self, unit: Unit) -> dict[str, object]:
        """What a program may know of it, lengths in mm."""
        least, most = self.range(unit)
        worked_out = self.usual_words(unit) if self.default is None else ""
        return {
            "name": self.name, "words": self.words, "default": self.usual(unit), "default_words": worked_out,
            "least": least, "most": most,
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class ChoiceOption:
    """One of a few words; a count may be typed as a number, and yes and no as true and false."""

    name: str
    words: str
    default: str
    choices: tuple[str, ...]
    group: str = ""
    when: tuple[str, ...] = ()

    def usual(self, unit: Unit) -> str:
        """The default, whatever the unit."""
        return self.default

    def usual_words(self, unit: Unit) -> str:
        return self.default

    def range_words(self, unit: Unit) -> str:
        """What may be written."""
        return " | ".join(self.choices)

    def read(self, value: object, unit: Unit, where: Where) -> str:
        """What the maker wrote. Raises InputError."""
        if isinstance(value, bool):
            text = "yes" if value else "no"
        else:
            text = str(value) if isinstance(value, (str, int)) else ""
        if text in self.choices:
            return text
        expected = " or ".join(f'"{choice}"' for choice in self.choices)
        raise unknown(
            f"{spoken(value)} is not a choice of {self.words}", text, self.choices, where, expected=expected, quote=True
        )

    def as_json(self, unit: Unit) -> dict[str, object]:
        """What a program may know of it."""
        return {"name": self.name, "words": self.words, "default": self.default, "choices": self.choices}


@dataclass(frozen=True, slots=True)
class ShareOption:
    """A part of something, from `least` to `most`: 0.25, or "25 %"; without a default it is `worked_out`."""

    name: str
    words: str
    default: float | None
    least: float
    most: float
    worked_out: str = ""
    group: str = ""
    when: tuple[str, ...] = ()

    def usual(self, unit: Unit) -> float | None:
        """The default, whatever the unit."""
        return self.default

    def usual_words(self, unit: Unit) -> str:
        return self.worked_out if self.default is None else percent(self.default)

    def range_words(self, unit: Unit) -> str:
        """What may be written."""
        return f"{percent(self.least)} to {percent(self.most)}"

    def read(self, value: object, unit: Unit, where: Where) -> float | None:
        """What the maker wrote, as a plain number; None for "auto". Raises InputError."""
        found: float | None = None
        if self.default is None and value == "auto":
            return None
        if isinstance(value, str):
            text = value.strip().removesuffix("%").strip().replace(",", ".")
            with suppress(ValueError):
                found = float(text) / (100.0 if value.strip().endswith("%") else 1.0)
        elif isinstance(value, (int, float)) and not isinstance(value, bool):
            found = float(value)
        if found is not None and self.least - 1e-9 <= found <= self.most + 1e-9:
            return found
        raise InputError(
            f"{spoken(value)} cannot be the {self.words}",
            where=where,
            expected=self.range_words(unit),
            instead=f'Write "{percent(self.least if self.default is None else self.default)}"',
        )

    def as_json(self, unit: Unit) -> dict[str, object]:
        """What a program may know of it."""
        return {
            "name": self.name, "words": self.words, "default": self.default, "least": self.least, "most": self.most,
        }  # fmt: skip


Option: TypeAlias = LengthOption | ChoiceOption | ShareOption


def percent(share: float) -> str:
    """A part in words: `25 %`."""
    return f"{100 * share:g} %"


def counts(option: Option, style: Style) -> bool:
    """Whether an option counts in that style: the one that it hangs on has a value with which it does."""
    return not option.when or str(style.get(option.when[0])) in option.when[1:]


def near_words(name: str, known: tuple[str, ...]) -> tuple[str, ...]:
    """The known words that may have been meant: the one that is very near, else at most three, nearest first.

    >>> near_words("Ease-Bust", ("ease_bust", "ease_waist")), near_words("x", ("side",))
    (('ease_bust',), ())
    """
    spelt = _spelt(name)
    very_near = _very_near(spelt, known)
    if very_near:
        return very_near
    plain = {_spelt(word): word for word in known}
    near = get_close_matches(spelt, plain, n=3, cutoff=0.6)
    return tuple(plain[word] for word in near if _akin(spelt, word))


def _spelt(name: str) -> str:
    return name[:60].lower().replace("-", "_").replace(" ", "_")


def _very_near(spelt: str, known: tuple[str, ...]) -> tuple[str, ...]:
    """The known word that differs by a slip of the pen, or has the same parts in another order."""
    plain = {_spelt(word): word for word in known}
    near = get_close_matches(spelt, plain, n=1, cutoff=0.85)
    parts = sorted(spelt.split("_"))
    turned = [word for word in plain if "_" in spelt and sorted(word.split("_")) == parts]
    return tuple(plain[word] for word in (near or turned[:1]))


def _akin(spelt: str, word: str) -> bool:
    """Whether two names have more in common than letters: `hip_letout` is no misspelt `zip_length`."""
    parts, others = spelt.split("_"), word.split("_")
    begun = spelt.startswith(word) or word.startswith(spelt)
    held = parts[0] == others[0] or set(parts) <= set(others)
    return begun or held or sorted(spelt) == sorted(word) or _alike(spelt, word)


def _alike(spelt: str, word: str) -> bool:
    return SequenceMatcher(None, spelt, word).ratio() >= 0.75


def served(name: str, known: tuple[str, ...], wishes: Mapping[str, str]) -> str:
    """What serves the wish behind a word of the trade that is not a known name; "" for a word that is none, or where a
    known one is nearer.

    >>> wishes = {"skirt": "Write hem", "let_out": "Write side"}
    >>> served("hip-let-out", ("zip_length",), wishes), served("skirt", ("sleeve",), wishes), served("x", (), wishes)
    ('Write side', 'Write hem', '')
    """
    spelt = _spelt(name)
    if _very_near(spelt, known):
        return ""
    if spelt in wishes:
        return wishes[spelt]
    held = [wish for wish in wishes if f"_{wish}_" in f"_{spelt}_"]
    return wishes[max(held, key=len)] if held and not any(_alike(spelt, _spelt(word)) for word in known) else ""


def unknown(
    found: str,
    name: str,
    known: tuple[str, ...],
    where: Where,
    *,
    expected: str = "",
    quote: bool = False,
    wishes: Mapping[str, str] = NO_WISHES,
) -> InputError:
    """The error for a word that is not known: what serves the wish, where it is a common one; else it offers the near
    ones, and lists all if they are few or none is near."""
    serves = served(name, known, wishes)
    if serves:
        return InputError(found, where=where, instead=serves)
    near = near_words(name, known)
    words = [f'"{word}"' if quote else word for word in near]
    if not expected and (len(known) <= 8 or not near):
        expected = f"one of {', '.join(known)}" if len(known) > 1 else "".join(known)
    return InputError(
        found,
        where=where,
        expected=expected,
        instead=f"Write {' or '.join(words)}" if words else "",
    )


def defaults(options: tuple[Option, ...], unit: Unit = "in") -> dict[str, float | str | None]:
    """The style of a maker who asks for nothing: lengths in mm, None where worked out from the body."""
    return {option.name: option.usual(unit) for option in options}


def validated(
    options: tuple[Option, ...],
    raw: Mapping[str, object],
    unit: Unit,
    locate: Locate,
    wishes: Mapping[str, str] = NO_WISHES,
) -> tuple[Mapping[str, float | str | None], tuple[InputError, ...]]:
    """The style in full, defaults filled in (lengths in mm, None where worked out), and every mistake in `raw`.

    A mistaken entry takes its default, so that the rest can still be judged.
    """
    by_name = {option.name: option for option in options}
    style = defaults(options, unit)
    errors: list[InputError] = []
    for name, value in raw.items():
        option = by_name.get(name)
        try:
            if option is None:
                found = f"{spoken(name)} is not an option of this garment"
                raise unknown(found, name, tuple(by_name), locate(name), wishes=wishes)
            style[name] = option.read(value, unit, locate(name))
        except InputError as error:
            errors.append(error)
    return style, tuple(errors)
