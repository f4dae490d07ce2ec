"""Old and new pattern together: every edge, level, seam and point, before and after, and what the cloth can take."""

from __future__ import annotations

from collections.abc import Sequence

from ..model.piece import piece_words
from ..units import Unit, show
from ..values import dataclass
from .fits import KEEP, PieceFit, fit_of
from .laid import Laid, lay_on, refuse_unknown_points, shared_points
from .side import Side

OLD, NEW = "the old pattern", "the new pattern"
"""What the two are called where their titles do not tell."""


@dataclass(frozen=True, slots=True)
class Row:
    """A length before and after, mm; None where one of the patterns has none."""

    of: str
    name: str
    before: float | None
    after: float | None
    drawn_before: float | None = None
    drawn_after: float | None = None
    """As drawn, where the others are as sewn."""

    @property
    def change(self) -> float | None:
        return self.after - self.before if self.before is not None and self.after is not None else None


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two patterns compared, mm. `keep`: what has to be left of an allowance that is let out."""

    old: Side
    new: Side
    keep: float
    laid: tuple[Laid, ...]
    fits: tuple[PieceFit, ...]
    only_old: tuple[str, ...]
    only_new: tuple[str, ...]
    edges: tuple[Row, ...]
    levels: tuple[Row, ...]
    seams: tuple[Row, ...]

    @property
    def drawn(self) -> tuple[tuple[Laid, PieceFit], ...]:
        """The pieces that pictures show: those that changed, or all where none did."""
        pairs = tuple(zip(self.laid, self.fits, strict=True))
        return tuple(pair for pair in pairs if not pair[0].same) or pairs

    @property
    def titled(self) -> tuple[str, str]:
        """What the two are called: by their titles, if those differ."""
        names = [f"{side.title}, size {side.size}" if side.size else side.title for side in (self.old, self.new)]
        if names[0] == names[1] or not all(names):
            return OLD, NEW
        return names[0], names[1]

    @property
    def title(self) -> str:
        """Of pages: `OLD mezzo 2, spring; NEW mezzo 2, autumn`."""
        old, new = self.titled
        if old == OLD:
            return f"OLD and NEW: {self.new.title or self.new.garment or 'two patterns'}"
        return f"OLD {old}; NEW {new}"

    @property
    def held(self) -> bool:
        """Whether cloth that is cut by the old pattern can take the new one, and no piece is lacking."""
        return all(fit.held for fit in self.fits) and not self.only_new

    def statement(self) -> str:
        """The answer in a sentence."""
        taken, no = ([fit.title for fit in self.fits if fit.held is held] for held in (True, False))
        lacking = self.titles(self.only_new)
        if not self.laid:
            return "No piece of the new pattern has the name of an old one: nothing could be laid on each other."
        if not no and not lacking:
            return "Cloth cut by the old pattern can take the new one, laid as here."
        says = f"Cloth cut by the old pattern can take the new one in {', '.join(taken)}" if taken else ""
        if no:
            says += f"; not in {', '.join(no)}" if says else (
                f"Cloth cut by the old pattern cannot take the new one: not in {', '.join(no)}"
            )  # fmt: skip
        return f"{says}; still to be cut: {', '.join(lacking)}." if lacking else f"{says}."

    def told(self, unit: Unit) -> list[tuple[bool, str]]:
        """What there is to say of each edge that has changed, and whether it holds: those that do not come first."""
        found = []
        for fit in self.fits:
            if fit.hindered:
                found.append((False, f"{fit.title}: {fit.hindered}"))
            found += [(e.held, f"{fit.title}, {piece_words(e.edge)}: {e.words(unit)}") for e in fit.edges if e.changed]
        found += [(False, f"{name}: a new piece, to be cut") for name in self.titles(self.only_new)]
        return sorted(found, key=lambda one: one[0])

    def titles(self, names: Sequence[str]) -> list[str]:
        """Pieces as they are called."""
        titles = {piece.name: piece.title for piece in (*self.new.pieces, *self.old.pieces)}
        return [titles[name] for name in names]


def compare(old: Side, new: Side, at: Sequence[str] = (), keep: float = KEEP) -> Comparison:
    """Pieces of one name laid on each other. Raises InputError for a point of `at` that no piece of both has."""
    refuse_unknown_points(at, old, new)
    pairs = [(piece, other) for piece in old.pieces if (other := new.piece(piece.name)) is not None]
    shared = shared_points(old)
    laid = tuple(lay_on(a, b, at, shared) for a, b in pairs)
    both = {piece.name for piece, _ in pairs}
    return Comparison(
        old, new, keep, laid, tuple(fit_of(one, keep) for one in laid),
        tuple(p.name for p in old.pieces if p.name not in both),
        tuple(p.name for p in new.pieces if p.name not in both),
        tuple(row for one in laid for row in _edges(one)),
        _levels(old, new), _seams(old, new),
    )  # fmt: skip


def _edges(laid: Laid) -> list[Row]:
    names = dict.fromkeys(edge.name for piece in (laid.old, laid.new) for edge in piece.edges)
    rows = []
    for name in names:
        a, b = laid.old.edge(name), laid.new.edge(name)
        sewn = [edge.sewn if edge is not None else None for edge in (a, b)]
        drawn = [edge.drawn if edge is not None else None for edge in (a, b)]
        rows.append(Row(laid.old.name, name, *sewn, *drawn))
    return rows


def _levels(old: Side, new: Side) -> tuple[Row, ...]:
    before, after = old.girths(), new.girths()
    return tuple(Row(*key, before.get(key), after.get(key)) for key in dict.fromkeys((*before, *after)))


def _seams(old: Side, new: Side) -> tuple[Row, ...]:
    before, after = ({seam.name: seam.ease for seam in side.seams} for side in (old, new))
    return tuple(Row("", name, before.get(name), after.get(name)) for name in dict.fromkeys((*before, *after)))


def shown(value: float | None, unit: Unit, *, signed: bool = False) -> str:
    """A length of a row as it is read; a change with its sign.

    >>> shown(None, "in"), shown(3.2, "in", signed=True), shown(-0.01, "cm", signed=True), shown(12.0, "cm")
    ('–', '+1/8 in', '0', '1.2 cm')
    """
    if value is None:
        return "\N{EN DASH}"
    text = show(value, unit)
    if signed and text == show(0.0, unit):
        return "0"
    return f"+{text}" if signed and value > 0 else text


def changes(compared: Comparison, unit: Unit) -> list[tuple[str, ...]]:
    """What changed of levels, edges and seams, as a maker can read it, with a heading; a line where nothing did."""
    titles = {piece.name: piece.title for piece in (*compared.old.pieces, *compared.new.pieces)}
    rows = [
        *((f"round {row.of}".rstrip(), row.name, row) for row in compared.levels),
        *((titles[row.of], piece_words(row.name), row) for row in compared.edges),
        *(("ease", row.name, row) for row in compared.seams),
    ]
    told = [
        (of, name, shown(row.before, unit), shown(row.after, unit), shown(row.change, unit, signed=True))
        for of, name, row in rows
        if row.change is None or shown(row.change, unit, signed=True) != "0"
    ]
    return [("of", "what", "before", "after", "change"), *told] if told else [("no length changes", "", "", "", "")]
