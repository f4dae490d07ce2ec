"""A garment as one function, whose signature says what may be asked of it.

    @garment("half apron")
    def half_apron(on: Board, *, long: Length = length("waist to hem", inch(24)), pocket: bool = flag("a pocket")):
        ...

Options are the keyword arguments. Measurements are what the function asks the body for: found by drafting it for a
standard figure in the style of the job.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from functools import cache
from itertools import product
from typing import Any, Final

from ..body.measurements import KINDS, Measurements, Wearer
from ..body.whom import wearer_of
from ..errors import DraftError
from ..model.draft import Draft
from ..model.fitted import Mend
from ..model.length import Length
from ..model.piece import EdgeKind
from ..units import Unit
from ..values import dataclass, replace
from .board import Board, Measured, standard
from .garment import Garment, Names
from .options import ChoiceOption, LengthOption, Option, ShareOption, Style, counts, defaults

Drafting = Callable[..., Draft]


@dataclass(frozen=True, slots=True)
class Asked:
    """An option before it has its name, which is that of the argument it stands at; `typed` makes the argument."""

    make: Callable[[str], Option]
    typed: Callable[[str, Any], object]


def length(
    words: str,
    default: Length | None = None,
    *,
    least: Length | None = None,
    most: Length | None = None,
    worked_out: str = "",
    where: Mapping[str, Length] | None = None,
    auto: bool | None = None,
    group: str = "",
    when: tuple[str, ...] = (),
    metric: Length | None = None,
    of_cloth: bool = False,
) -> Any:
    """A length; without a default it is None, `worked_out` from the body as these words say; `{name}` in them stands
    for a length of `where`. `auto`: whether "auto" may be written to ask for that; without a default it may, unless
    told. `metric`: the default where metric is read, if it is not the one in inches, rounded. `of_cloth`: left as it
    is, it is how wide the cloth of the job is, if that is told."""
    low, high = 0.0 if least is None else least.mm, 3000.0 if most is None else most.mm
    start = None if default is None else default.mm
    named = {name: each.mm for name, each in (where or {}).items()}

    def make(name: str) -> Option:
        asked = start is None if auto is None else auto
        own = None if metric is None else metric.mm
        return LengthOption(name, words, start, low, high, worked_out, asked, named, group, when, own, of_cloth)

    return Asked(make, lambda name, value: None if value is None else Length(float(value), "option", name=name))


def choice(words: str, *choices: str, group: str = "", when: tuple[str, ...] = ()) -> Any:
    """One of a few words; the first is the default."""
    return Asked(
        lambda name: ChoiceOption(name, words, choices[0], choices, group, when), lambda name, value: str(value)
    )


def count(
    words: str, default: int, *, least: int = 0, most: int = 9, group: str = "", when: tuple[str, ...] = ()
) -> Any:
    """How many."""
    numbers = tuple(str(number) for number in range(least, most + 1))
    return Asked(
        lambda name: ChoiceOption(name, words, str(default), numbers, group, when), lambda name, value: int(value)
    )


def flag(words: str, default: bool = False, *, group: str = "", when: tuple[str, ...] = ()) -> Any:
    """Yes or no."""
    usual = "yes" if default else "no"
    return Asked(
        lambda name: ChoiceOption(name, words, usual, ("no", "yes"), group, when), lambda name, value: value == "yes"
    )


def share(
    words: str,
    default: float | None,
    *,
    least: float = 0.0,
    most: float = 1.0,
    worked_out: str = "",
    group: str = "",
    when: tuple[str, ...] = (),
) -> Any:
    """A part of something: 0.25 is a quarter. Without a default it is None, `worked_out` as these words say."""
    return Asked(
        lambda name: ShareOption(name, words, default, least, most, worked_out, group, when),
        lambda name, value: None if value is None else float(value),
    )


def garment(
    words: str,
    *,
    name: str = "",
    for_whom: str = "",
    noun: str = "garment",
    instead: Mapping[str, str] | None = None,
    wishes: Mapping[str, str] | None = None,
    shown_in: Sequence[Mapping[str, str]] = (),
) -> Callable[[Drafting], Garment]:
    """What makes a garment of a drafting function; `name` is the function's unless told.

    `noun` is what it is called in a sentence: "skirt". `shown_in` are styles that between them have every piece, edge
    and measurement; without them each choice is tried in turn.
    """

    def made(function: Drafting) -> Garment:
        own = name or function.__name__.replace("_", "-")
        asked = {
            argument: told.default
            for argument, told in inspect.signature(function).parameters.items()
            if isinstance(told.default, Asked)
        }
        options = _hung(tuple(told.make(argument) for argument, told in asked.items()))
        typed = {argument: told.typed for argument, told in asked.items()}
        drafting = _Drafting(own, function, options, typed, noun, shown_in, dict(instead or {}), wearer_of(for_whom))
        return Garment(
            own,
            words,
            drafting,
            needs=drafting.needs,
            options=options,
            names_of=cache(drafting.names),
            instead=dict(instead or {}),
            wishes=dict(wishes or {}),
            for_whom=for_whom,
            needs_of=drafting.needs_of,
        )

    return made


_YES_NO: Final = {"True": "yes", "False": "no"}


def _hung(options: tuple[Option, ...]) -> tuple[Option, ...]:
    """The options with what they hang on in the words of the job; ValueError for what cannot be."""
    choices = {option.name: option.choices for option in options if isinstance(option, ChoiceOption)}
    told: list[Option] = []
    for option in options:
        if option.when:
            other, *values = (option.when,) if isinstance(option.when, str) else option.when
            words = [_YES_NO.get(str(value), str(value)) for value in values or (True,)]
            if other not in choices or not set(words) <= set(choices[other]):
                offered = " or ".join(f'("{name}", "{words[0]}")' for name, words in choices.items())
                raise ValueError(f"{option.name}: when={option.when!r} names no choice; write {offered or 'no when'}")
            option = replace(option, when=(other, *words))
        told.append(option)
    return tuple(told)


@dataclass(frozen=True, slots=True, eq=False)
class _Drafting:
    """The function with what its arguments are."""

    garment: str
    function: Drafting
    options: tuple[Option, ...]
    typed: Mapping[str, Callable[[str, Any], object]]
    noun: str
    shown_in: Sequence[Mapping[str, str]]
    instead: Mapping[str, str]
    wearer: Wearer
    """For whom it is drafted where nothing is measured."""

    def __call__(self, body: Measurements, style: Style, unit: Unit, mend: Mend | None = None) -> Draft:
        """The draft for that body, its pieces mended where it is told how; options that were given in vain are told."""
        draft, _ = self._on(body, style, unit, mend)
        vain = [
            f"{option.name} counts only with {option.when[0]} = {' or '.join(option.when[1:])}: it was left aside."
            for option in self.options
            if option.when and not counts(option, style) and style.get(option.name) != option.usual(unit)
        ]
        return replace(draft, notes=(*draft.notes, *vain)) if vain else draft

    def _on(self, body: Measurements, style: Style, unit: Unit, mend: Mend | None = None) -> tuple[Draft, Board]:
        board = self._board(body, style, unit, mend)
        return self.function(board, **self._arguments(style)), board

    def _board(self, body: Measurements, style: Style, unit: Unit, mend: Mend | None = None) -> Board:
        return Board(self.garment, body, style, unit, self.noun, self.instead, mend)

    def _arguments(self, style: Style) -> dict[str, object]:
        return {name: typed(name, style[name]) for name, typed in self.typed.items()}

    def needs(self, style: Style) -> tuple[str, ...]:
        """The measurements without which it cannot be drafted in that style."""
        return self.needs_of(style, self.wearer)

    def needs_of(self, style: Style, wearer: Wearer) -> tuple[str, ...]:
        """The same of any wearer."""
        nobody = Measurements({}, wearer=wearer)
        board = self._tried({**defaults(self.options), **style}, nobody, only_measured=True)
        return tuple(board.body.missing)

    def names(self) -> Names:
        """All measurements that it can use, and the names of its edges and pieces: as drawn, but those that are
        `shown_in` a few styles in the order of the garment's own widths, where these are told for all that have one."""
        boards = [self._tried(*trial) for trial in self._trials()]
        if all(board.unfinished is None for board in boards):
            self._on(*next(self._trials())[::-1], "in")  # tells why nothing can be drawn
        drafts = [board.unfinished for board in boards if board.unfinished is not None]
        pieces = [piece for draft in drafts for piece in draft.pieces]
        edges = {edge.name: edge.kind for piece in pieces for edge in piece.edges}
        table = [name for name in (drafts[0].default_allowances if drafts else ()) if name in edges]
        rest = [name for name in edges if name not in table]
        by_table = self.shown_in and all(edges[name] is EdgeKind.FOLD for name in rest)
        ordered = (*rest, *table) if by_table else tuple(edges)
        if not pieces:  # tells why nothing can be drawn
            self._on(self._standard(), defaults(self.options), "in")
        uses = dict.fromkeys(name for board in boards for name in board.body.asked)
        return Names(tuple(uses), ordered, tuple(dict.fromkeys(piece.name for piece in pieces)))

    def _trials(self) -> Iterator[tuple[Style, Measurements]]:
        """For one who was not measured at all: `shown_in` these; or every choice in turn, and again for one of whom
        everything was taken."""
        usual = defaults(self.options)
        others: Sequence[Mapping[str, str]] = self.shown_in or [
            {},
            *(
                {option.name: value} | ({option.when[0]: option.when[1]} if option.when else {})
                for option in self.options
                if isinstance(option, ChoiceOption)
                for value in option.choices
                if value != option.default
            ),
        ]
        bodies = [Measurements({}, wearer=self.wearer)]
        if not self.shown_in:
            bodies.append(self._standard())
        for other, body in product(others, bodies):
            yield usual | dict(other), body

    def _standard(self) -> Measurements:
        """One of whom everything was taken."""
        return Measurements({name: standard(name, self.wearer) for name in KINDS}, wearer=self.wearer)

    def _tried(self, style: Style, body: Measurements, only_measured: bool = False) -> Board:
        """The table after a draft for nobody in particular: a standard figure stands in."""
        board = self._board(body, style, "in")
        board.only_measured = only_measured
        with suppress(DraftError, Measured):
            self.function(board, **self._arguments(style))
        return board
