"""What a sleeve ends in: a buttoned cuff with a placket, or a closed band; its hem laid in pleats or gathered.

Cuff: wrist + 4 to 5 cm, of which 2 are lap; placket 12 cm on the line half way from the back crease to the underarm,
always, since no buttoned wrist passes the hand (worked rules 4: hand less wrist is 2.2 to 5.3 cm); pleats about 2.75 cm
deep (chosen values). Band: the arm there and 2 to 3 cm (a chosen value).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ...claims.measure import run_length
from ...claims.sleeve import SleeveFits
from ...draft.board import Board
from ...geometry.path import place_at
from ...geometry.point import Point, along, left_of
from ...model.claim import Claim
from ...model.finding import Finding
from ...model.length import Length, cm, found, mm
from ...model.pattern import Pattern
from ...model.piece import Cut, EdgeKind, InternalLine, LineKind, Piece, Take, sew
from ...model.ref import Ref
from ...units import show, show_at_least
from ...values import dataclass, replace
from .part import Part

LAP: Final = cm(2)
SLIT: Final = cm(12)
PLEAT: Final = 27.5
_FOLDS: Final = 40.0
"""The folds of a pleat are drawn so long, mm (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class HandPasses(Claim):
    """With its placket open a cuff passes the hand and 1 cm: the cuff, laid flat, and both lips of the slit."""

    cuff: Ref
    slit: Ref
    hand: Length

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, wanted = pattern.unit, self.hand.mm + 10.0
        wide = run_length(pattern, (self.cuff, self.slit))
        say = f"with its placket open the cuff is {show(wide, unit)} round, the hand {show(self.hand.mm, unit)}."
        do = f"The hand does not pass: {self.change.format(more=show_at_least(wanted - wide, unit))}"
        yield self.finding(wide >= wanted, round(wide, 1), round(wanted, 1), say, do)


def hem_of(arm: Part) -> tuple[Piece, Piece]:
    """The sleeve, and the same with its hem as a seam, `wrist_edge`."""
    own = arm.pieces[0]
    edges = tuple(replace(e, name="wrist_edge", kind=EdgeKind.SEAM) if e.name == "hem" else e for e in own.edges)
    return own, replace(own, edges=edges)


def cuffed(on: Board, arm: Part, *, wide: Length, ease_wrist: Length = cm(4.5), gathered: bool = False) -> Part:
    """The sleeve with a placket and a buttoned cuff, `wide` deep, wrist and `ease_wrist` long, its lap in that.

    The sleeve's hem is laid in pleats, all that it is longer than the cuff; gathered where that was asked for, or where
    it asks for more than three. Raises DraftError for a hem that is shorter than the cuff.
    """
    _, own = hem_of(arm)
    cuff_long = (on.body.wrist_girth + ease_wrist).called("cuff")
    hem, seam = found(own.edge("wrist_edge").length(), "hem of the sleeve"), cuff_long - LAP
    if hem < seam:
        on.refuse(f"the sleeve is {on.say(hem)} wide at the wrist, and its cuff {on.say(seam)} without the lap",
                  "ease_wrist to less")  # fmt: skip
    over, count = (hem - seam).mm, max(1, round((hem - seam).mm / PLEAT))
    gathered = gathered or count > 3
    own = _slit(own, hem.mm / 4)
    if not gathered and over > 1.0:
        first = hem.mm / 4 + 25.0
        own = _pleated(own, [first + (over / count + 10.0) * k for k in range(count)], over / count)
    s = on.sketch("cuff", Cut("pair", 4))
    s.box(cuff_long, wide, ("cuff_end", "wrist_edge", "lap_end", "cuff_outer"))
    s.notch("wrist_edge", "lap", "bottom_right", at=LAP)
    strip = on.sketch("placket", Cut("pair", 2))
    strip.box(SLIT * 2, cm(4), ("placket_start", "slit", "placket_end", "placket_inside"))
    run = "cuff.wrist_edge from start to lap"
    joined = (
        sew("cuff seam", "sleeve.wrist_edge from end to start", to=run, how="gathered", ease=over)
        if gathered
        else sew("cuff seam", run, to="sleeve.wrist_edge", within=1.0)
    )
    lips = sew("placket seam", "placket.slit", to="sleeve.placket both lips")
    passes = HandPasses("entry.hand", "add {more} to ease_wrist.", Ref.of("cuff.wrist_edge"),
                        Ref.of("sleeve.placket both lips"), on.body.hand_girth)  # fmt: skip
    return replace(
        arm,
        pieces=(own, *arm.pieces[1:], s.piece(), strip.piece()),
        seams=(lips, *arm.seams, joined),
        claims=(*_without_wrist(arm), passes),
    )


def banded(on: Board, arm: Part, *, wide: Length, around: Length) -> Part:
    """The sleeve gathered to a closed band, folded double and `wide` deep, that goes `around` the arm: about 2 to 3 cm
    more than it; where the hem is no longer than that, the band is as long as the hem."""
    _, own = hem_of(arm)
    hem = own.edge("wrist_edge").length()
    over = max(0.0, hem - around.mm)
    s = on.sketch("sleeve_band", Cut("pair", 2))
    s.box(mm(hem) if not over else around, wide * 2, ("band_start", "band_seam", "band_end", "band_inside"))
    s.at("fold_start", down=wide)
    s.at("fold_end", down=wide, of="top_right")
    s.line("fold", "fold_start", "fold_end", kind=LineKind.FOLD)
    return replace(
        arm,
        pieces=(own, *arm.pieces[1:], s.piece()),
        claims=_without_wrist(arm),
        seams=(
            *arm.seams,
            sew("band end", "sleeve_band.band_start", to="sleeve_band.band_end"),
            sew(
                "band seam",
                "sleeve.wrist_edge from end to start",
                to="sleeve_band.band_seam from start to end",
                how="gathered" if over else "plain",
                ease=over,
            ),
        ),
    )


def _without_wrist(arm: Part) -> tuple[Claim, ...]:
    """What is claimed of the sleeve, but that the hand passes its hem: it passes the cuff or band, or does not."""
    return tuple(replace(c, wrist_opening=None, fist=None) if isinstance(c, SleeveFits) else c for c in arm.claims)


def _slit(piece: Piece, far: float) -> Piece:
    """The sleeve with the line of its placket, so far along the wrist from the back, mm."""
    p, way = place_at(piece.edge("wrist_edge").curves, far)
    slit = InternalLine("placket", (p, along(p, left_of(way), SLIT.mm)))
    return replace(piece, internal_lines=(*piece.internal_lines, slit))


def _pleated(piece: Piece, starts: list[float], intake: float) -> Piece:
    """Pleats laid in the wrist, each from so far along it, mm, towards its start; their folds are drawn."""
    own = piece.edge("wrist_edge")
    lines: list[InternalLine] = []
    for number, start in enumerate(starts, 1):
        for fold, far in enumerate((start, start + intake), 1):
            p, way = place_at(own.curves, far)
            ends: tuple[Point, Point] = (p, along(p, left_of(way), _FOLDS))
            lines.append(InternalLine(f"wrist {number} pleat {fold}", ends, LineKind.PLEAT))
    takes = tuple(Take(start, start + intake, "pleat", None, "start") for start in starts)
    return replace(
        piece,
        edges=tuple(replace(e, takes=takes) if e is own else e for e in piece.edges),
        internal_lines=(*piece.internal_lines, *lines),
    )
