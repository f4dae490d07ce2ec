"""All that a garment is handed: the body, the unit, and clean sheets.

    def apron(on: Board, *, length: Length = length("waist to hem", inch(24))) -> Draft:
        front = on.sketch("front", Cut("fold"), worn="body")
        front.at("waist_side", right=on.body.waist_girth / 4)
        ...
        return on.draft([front.piece()], seams=[...])

A measurement that was not taken is estimated where it can be, and told; else a standard figure's stands in for it, so
that the draft runs on and all that is missing is told together.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cache
from itertools import chain
from types import MappingProxyType
from typing import TYPE_CHECKING, NoReturn

from ..body.estimates import estimate, half_length, proportions
from ..body.measurements import KINDS, Measurements, Wearer, kinds_of
from ..errors import DraftError
from ..geometry.path import solve
from ..model.claim import Claim
from ..model.cord import Cord
from ..model.draft import Draft, Fold, Notion
from ..model.fitted import Altered, Mend
from ..model.length import Length, customary, found
from ..model.piece import Cut, EdgeKind, Join, Piece, Seam
from ..model.ref import Ref
from ..model.sewing import derived_joins, notched, seam_widths
from ..model.widths import Allowance
from ..units import INCH, Unit, rounded, show
from ..values import replace
from .options import Style
from .sketch import Sketch

if TYPE_CHECKING:
    from ..body.charts import SizeChart

_BY_KIND: Mapping[EdgeKind, float] = {
    EdgeKind.SEAM: INCH / 2, EdgeKind.HEM: 2 * INCH, EdgeKind.OPENING: INCH / 2,
}  # fmt: skip
"""The allowance of an edge that no table names, mm (common practice, no source)."""


class Measured(Exception):  # noqa: N818  (no error: the end of a draft that was made to learn what is needed)
    """All has been measured."""


class Body:
    """The measurements, by name: `on.body.hip_girth`. `asked` are those that were, `missing` those that are needed and
    were not taken."""

    def __init__(self, taken: Measurements, unit: Unit, notes: list[str]) -> None:
        self._taken, self._unit, self._notes = taken, unit, notes
        self.asked: dict[str, None] = {}
        self.missing: dict[str, None] = {}
        self.estimates: set[str] = set()
        """What was told of measurements that were not taken."""
        self._all_told = False
        self._known: dict[str, float] = dict(taken)
        self.wearer = taken.wearer
        """Whose body it is, as the job or the garment says; "" where neither does."""

    def __getattr__(self, name: str) -> Length:
        if name.startswith("_") or name not in KINDS:
            raise AttributeError(f"no measurement is called {name}")
        length = Length(self._measure(name), "body", name=name)
        setattr(self, name, length)  # asked for once
        return length

    def take(self, names: Sequence[str]) -> None:
        """All that will be asked for, told beforehand."""
        self.asked |= dict.fromkeys(names)
        self._all_told = True

    def _ask(self, name: str) -> None:
        assert not self._all_told, f"{name} was not told to be taken"
        self.asked[name] = None

    def get(self, name: str) -> Length | None:
        """A measurement that the garment uses where it was taken, and does without else."""
        if name not in self.asked:
            self._ask(name)
        value = self._taken.get(name)
        return None if value is None else Length(value, "body", name=name)

    def _measure(self, name: str) -> float:
        if name not in self.asked:
            self._ask(name)
        if name in self._known:
            return self._known[name]
        people = proportions(self.wearer)
        if people.estimates(name):
            base = people.rests_on(name)
            if base:
                self._measure(base)
            guess = estimate(name, self._known, self._unit, self.wearer)
            note = f"{name} was not measured; assumed {guess.words}."
            self.estimates.add(note)
            self._notes.append(note)
            self._known[name] = guess.value
        else:
            self.missing[name] = None
            self._known[name] = standard(name, self.wearer)
        return self._known[name]

    def with_estimates(self, *names: str) -> tuple[dict[str, float], tuple[str, ...]]:
        """The measurements, mm, each that was not taken estimated from those before it; and in what words. It is for
        the caller to tell them."""
        known, words = dict(self._known), []
        for name in names:
            if name not in self.asked:
                self._ask(name)
            if name not in known:
                guess = estimate(name, known, self._unit, self.wearer)
                known[name] = guess.value
                words.append(guess.words)
        return {name: known[name] for name in names}, tuple(words)

    @property
    def waist_line(self) -> Length:
        """From the side neck point down to the waist: measured there, or from the nape's length."""
        self.asked |= {"side_neck_to_waist": None, "back_waist_length": None}
        depth = half_length(self._taken, self.wearer)
        if depth is not None:
            return Length(depth, "found", name="half length")
        return self.back_waist_length


@cache
def standard(name: str, wearer: str = "") -> float:
    """The number of a standard figure, mm: the middle size of the chart that ships, or the middle of what is known."""
    row = _chart(wearer).rows.get(name)
    kind = kinds_of(wearer)[name]
    return row[len(row) // 2] if row else (kind.least + kind.most) / 2


@cache
def _chart(wearer: str) -> SizeChart:
    from ..body.charts import CHART_OF, shipped

    return shipped(CHART_OF[wearer or "woman"])


class Board:
    """The table, the tape and the chalk. Local to one draft."""

    def __init__(
        self, garment: str, body: Measurements, style: Style, unit: Unit, noun: str = "garment",
        instead: Mapping[str, str] = MappingProxyType({}), mend: Mend | None = None,
    ) -> None:  # fmt: skip
        self._notes: list[str] = []
        self.body, self.unit = Body(body, unit, self._notes), unit
        self._garment, self._style, self._noun = garment, style, noun
        self._taken, self._instead = body, instead
        self.only_measured = False
        """Whether the draft is made to learn what must be measured, and ends at `take`."""
        self._sheets: list[Sketch] = []
        self._worked: dict[str, float | str] = {}
        self._mend = mend
        self._altered: dict[tuple[object, ...], Altered] = {}
        self.unfinished: Draft | None = None
        """What was drawn, although a measurement is missing."""

    def sketch(self, name: str, cut: Cut | None = None, *, worn: str = "") -> Sketch:
        """A clean sheet for a piece. `worn`: what it goes round, "body", "leg" or "arm"; empty: nothing."""
        sheet = Sketch(name, cut or Cut(), worn, self.unit)
        self._sheets.append(sheet)
        return sheet

    def solve(self, low: Length, high: Length, *, lack: Callable[[Length], float], so_that: str) -> Length:
        """The least length from `low` to `high` at which nothing is lacking, mm; `high` where that does not serve.

        It is found by tries, on sheets that are thrown away.
        """
        sheets, notes = len(self._sheets), len(self._notes)

        def tried(mm: float) -> float:
            lacking = lack(Length(mm))
            del self._sheets[sheets:]
            self._notes[notes:] = [note for note in self._notes[notes:] if note in self.body.estimates]
            return lacking

        if tried(low.mm) <= 0:
            return low
        if tried(high.mm) >= 0:
            return high
        return found(solve(tried, low.mm, high.mm, near=0.01), so_that)

    def fitted(self, *pieces: Piece, as_long: Sequence[str] = ()) -> tuple[Piece, ...]:
        """The halves that all else is made from, with what was pinned at the fitting put into them, as far as they have
        the places. `as_long`: edges that were drafted to what they are sewn to, as fitted: they stay as long. Raises
        DraftError for what cannot be."""
        if self._mend is None:
            return pieces
        mended, altered = self._mend(pieces, as_long)
        self._altered |= {(one.ask, *(piece.name for piece in pieces)): one for one in altered}
        return mended

    def take(self, *names: str, also: Sequence[str] = ()) -> None:
        """What must be measured, told before the draft begins: a draft that is made to learn that ends here. `also` is
        what serves where it was taken, in the draft or in the checks. Without this all is asked for in passing."""
        names = ("stature", *names) if self.body.wearer == "child" else names  # by which its safety is judged
        self.body.take((*names, *also))
        if self.only_measured:
            self.body.missing |= dict.fromkeys(names)
            raise Measured

    def worn_by(self, wearer: Wearer) -> None:
        """What an option of the garment says of the wearer: from here on that one's proportions count."""
        self.body.wearer = wearer
        self._taken = replace(self._taken, wearer=wearer)

    def usual(self, length: Length) -> Length:
        """A customary number as those who read the job's unit would set it: 1 in is 2.5 cm."""
        return customary(length, self.unit)

    def say(self, length: Length | float) -> str:
        """A length as the maker reads it."""
        return show(length.mm if isinstance(length, Length) else length, self.unit)

    def note(self, text: str) -> None:
        """Something that the maker is to know."""
        self._notes.append(text)

    def refuse(self, text: str, change: str) -> NoReturn:
        """Refuse the draft: what does not go, and what is to be changed. Raises DraftError."""
        raise DraftError(f"{text.rstrip('.')}. Change {change}.")

    def settle(self, option: str, value: str) -> str:
        """Structure that hangs on a number: what the job says of an option, else, where it says "auto", this. In a set
        of sizes what the base has settled stands for all, so that they are built alike."""
        asked = str(self._style.get(option) or "auto")
        self.work(option, value if asked == "auto" else asked)
        return value if asked == "auto" else asked

    def work(self, option: str, value: Length | str) -> None:
        """What an option came to that was left to the draft."""
        self._worked[option] = value.mm if isinstance(value, Length) else value

    def draft(
        self,
        pieces: Sequence[Piece],
        *,
        seams: Sequence[Seam] = (),
        joins: Sequence[Join] | None = None,
        claims: Sequence[Claim] = (),
        notions: Sequence[Notion] = (),
        cords: Sequence[Cord] = (),
        widths: Mapping[str, Length] | None = None,
        notches: bool = True,
        folding: Mapping[str, tuple[Fold, ...]] = MappingProxyType({}),
    ) -> Draft:
        """What was drawn, as a draft. The order of sewing is that of the seams, and notches and runs that go on over
        them follow from them, where `joins` does not tell those. `widths` are allowances by edge, or by piece and edge.
        `notches`: whether they follow; not so where the pieces have all of theirs. `cords` is what hangs from it and
        can catch. Of what a child wears safety is claimed besides, here for every garment. `folding`: how the cloth of
        a piece is folded before it is chalked.

        Raises DraftError that names every measurement which is missing.
        """
        pieces = notched(pieces, seams) if notches else pieces
        if self.body.wearer == "child":
            from ..claims.safety import reminders, safety

            claims = (*claims, *safety(self.body.stature))
            self._notes[:0] = reminders(self.unit)
        self.unfinished = Draft(
            garment=self._garment,
            pieces=tuple(pieces),
            seams=tuple(seams),
            joins=tuple(derived_joins(pieces, seams) if joins is None else joins),
            steps=tuple(chain.from_iterable(sheet.steps for sheet in self._sheets)),
            notes=tuple(self._notes),
            body=self._taken,
            style={name: value for name, value in self._style.items() if value is not None},
            default_allowances=_allowances(pieces, seams, {} if widths is None else widths, self.unit),
            claims=tuple(claims),
            noun=self._noun,
            uses=tuple(self.body.asked),
            worked=dict(self._worked),
            notions=tuple(notions),
            cords=tuple(cords),
            folding=dict(folding),
            altered=tuple(self._altered.values()),
        )
        if self.body.missing:
            names = (f"{n} or {self._instead[n]}" if n in self._instead else n for n in self.body.missing)
            raise DraftError(f"not measured: {', '.join(names)}. Take them.")
        return self.unfinished


def _allowances(
    pieces: Sequence[Piece], seams: Sequence[Seam], widths: Mapping[str, Length], unit: Unit
) -> dict[str, Allowance]:
    """A width for every edge: by name where it is told, else as its seam says, else by what is done there; mm."""
    found: dict[str, Allowance] = {name: rounded(width.mm, unit) for name, width in widths.items()}
    rest = [
        (Ref(piece.name, edge.name), edge.kind)
        for piece in pieces
        for edge in piece.edges
        if edge.name not in widths and edge.kind is not EdgeKind.FOLD
    ]
    told = seam_widths(seams) if rest else {}
    for ref, kind in rest:
        if str(ref) not in widths:
            found[str(ref)] = rounded(told.get(ref) or _BY_KIND[kind], unit)
    return found
