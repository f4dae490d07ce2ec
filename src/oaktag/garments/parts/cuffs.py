"""What a sleeve ends in: a buttoned cuff with a placket, a closed band, or elastic; its hem laid in pleats or gathered.

     cuff_end ________________ lap_end     the button on the middle of the lap, the hole over it
          |-o              : +|            wrist_edge: sewn to the sleeve up to the lap (:)
          |________________:__|
Cuff: wrist + 4 to 5 cm, of which 2 are lap; placket 12 cm on the line half way from the back crease to the underarm,
always, since no buttoned wrist passes the hand (worked rules 4: hand less wrist is 2.2 to 5.3 cm); pleats about 2.75
cm deep (chosen values). Band: the arm there and 2 to 3 cm (a chosen value), the hand and 1 cm at least. Elastic: as
long as the arm there is round, and 1 in that is lapped (school shorts, trade notes on children's wear); its casing
is the hem, turned up by the elastic's width and 1/2 in (common practice, no source). The arm is its upper girth down to
0.4 of its length, from there evenly less to the wrist (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ...claims.measure import run_length
from ...claims.sleeve import SleeveFits
from ...draft.board import Board
from ...draft.sketch import Sketch
from ...geometry.path import place_at
from ...geometry.point import Point, along, direction, left_of
from ...model.claim import Claim
from ...model.draft import Notion
from ...model.finding import Finding
from ...model.length import Length, cm, found, greatest, inch, mm
from ...model.pattern import Pattern
from ...model.piece import Cut, EdgeKind, InternalLine, LineKind, Piece, Seam, Take, sew
from ...model.ref import Ref, refs
from ...units import show, show_at_least
from ...values import dataclass, replace
from .button_stand import BEYOND_CENTRE, hole_long
from .part import Part

ENDS: Final = ("hem", "pleated cuff", "gathered cuff", "band", "elastic")
DEEP: Final = {"cuff": inch(2.5), "band": inch(1), "elastic": inch(0.375)}
EASES: Final = {"cuff": inch(1.75), "band": inch(1)}
"""How deep it is, and how much longer than the arm; of elastic its width (a cuff 5 to 7 cm, the eases: chosen values;
the others common practice, no source)."""
_TURNED: Final = inch(0.5)
"""A casing is so much deeper than its elastic: 1/4 in to turn in and 1/4 in of play (common practice, no source)."""
LAP: Final = cm(2)
SLIT: Final = cm(12)
PLEAT: Final = 27.5
_FOLDS: Final = 40.0
"""The folds of a pleat are drawn so long, mm (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class HandPasses(Claim):
    """The hand and 1 cm pass what a sleeve ends in: a band; a cuff laid flat with both lips of its slit. `change` has
    `{more}` for what is lacking."""

    what: str
    edges: tuple[Ref, ...]
    hand: Length

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, wanted = pattern.unit, self.hand.mm + 10.0
        wide = run_length(pattern, self.edges)
        say = f"{self.what} is {show(wide, unit)} round, the hand {show(self.hand.mm, unit)}."
        do = f"The hand does not pass: {self.change.format(more=show_at_least(wanted - wide, unit))}"
        yield self.finding(wide >= wanted, round(wide, 1), round(wanted, 1), say, do)


def arm_at(on: Board, share: float) -> Length:
    """How big the arm is so far down, as a part of its length, from the shoulder."""
    upper, wrist = on.body.upper_arm_girth, on.body.wrist_girth
    below = min(max(share - 0.4, 0.0) / 0.6, 1.0)
    arm = wrist if below == 1.0 else upper - (upper - wrist) * below if below else upper
    return arm.called("arm, where the sleeve ends")


def ended(
    on: Board, arm: Part, end: str, *, share: float, wide: Length, ease: Length, button: Length | None = None
) -> Part:
    """The sleeve with what it ends in, one of `ENDS`, at that part of the arm's length; `wide` and `ease` as `DEEP` and
    `EASES` have them, `button`: the diameter of a cuff's. Raises DraftError for a buttoned cuff that is not at the
    wrist, and a sleeve that is too narrow for it."""
    around = arm_at(on, share)
    if end in ("pleated cuff", "gathered cuff"):
        if share < 1.0:
            on.refuse("a buttoned cuff goes round the wrist", 'reach to "long", or cuff to "band" or "elastic"')
        return cuffed(on, arm, wide=wide, ease_wrist=ease, gathered=end == "gathered cuff", button=button)
    if end == "band":
        return banded(on, arm, wide=wide, around=greatest(around + ease, on.body.hand_girth + cm(1)))
    return elastic(on, arm, wide=wide, around=around) if end == "elastic" else arm


def hem_of(arm: Part) -> tuple[Piece, Piece]:
    """The sleeve, and the same with its hem as a seam, `wrist_edge`."""
    own = arm.pieces[0]
    edges = tuple(replace(e, name="wrist_edge", kind=EdgeKind.SEAM) if e.name == "hem" else e for e in own.edges)
    return own, replace(own, edges=edges)


def cuffed(
    on: Board, arm: Part, *, wide: Length, ease_wrist: Length = cm(4.5), gathered: bool = False,
    button: Length | None = None,
) -> Part:  # fmt: skip
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
    over = (hem - seam).mm
    count = int(on.settle("wrist_pleats", str(max(1, round(over / PLEAT)))))
    gathered = gathered or count > 3
    own = _slit(own, hem.mm / 4)
    if not gathered:
        first = hem.mm / 4 + 25.0
        own = _pleated(own, [first + (over / count + 10.0) * k for k in range(count)], over / count)
    run = "cuff.wrist_edge from start to lap"
    joined = (
        sew("cuff seam", "sleeve.wrist_edge from end to start", to=run, how="gathered", ease=over)
        if gathered
        else sew("cuff seam", run, to="sleeve.wrist_edge", within=1.0)
    )
    (lips, cuff), more = placket_and_cuff(on, cuff_long, wide, button), (own, *arm.pieces[1:])
    return replace(
        arm,
        pieces=(*more, *cuff.pieces),
        seams=(lips, *arm.seams, joined),
        claims=(*_without_wrist(arm), *cuff.claims),
        notions=(*arm.notions, *cuff.notions),
    )


def placket_and_cuff(on: Board, long: Length, wide: Length, button: Length | None = None) -> tuple[Seam, Part]:
    """The cuff and the strip for its placket, for a sleeve with a slit `placket`; the seam of that strip, and the claim
    that the hand passes. `button`: its diameter, where hole and button are to be marked."""
    s = on.sketch("cuff", Cut("pair", 4))
    s.box(long, wide, ("cuff_end", "wrist_edge", "lap_end", "cuff_outer"))
    s.notch("wrist_edge", "lap", "bottom_right", at=LAP)
    notions: tuple[Notion, ...] = ()
    if button is not None:
        _buttoned(s, wide, button)
        notions = (Notion("cuff button", button.mm, "button", "", "", 2),)
    strip = on.sketch("placket", Cut("pair", 2))
    strip.box(SLIT * 2, cm(4), ("placket_start", "slit", "placket_end", "placket_inside"))
    run = refs("cuff.wrist_edge", "sleeve.placket both lips")
    passes = HandPasses("entry.hand", "add {more} to ease_wrist.", "with its placket open the cuff", run,
                        on.body.hand_girth)  # fmt: skip
    lips = sew("placket seam", "placket.slit", to="sleeve.placket both lips")
    return lips, Part((strip.piece(), s.piece()), (), (passes,), notions)


def _buttoned(s: Sketch, wide: Length, button: Length) -> None:
    """Hole and button half way up the cuff, the button on the middle of the lap."""
    s.at("button", left=LAP / 2, down=wide / 2, of="top_right")
    s.at("button_end", down=mm(4), of="button")
    s.line("button", "button", "button_end", kind=LineKind.PLACEMENT)
    s.at("hole_start", right=LAP / 2 - BEYOND_CENTRE, down=wide / 2, of="top_left")
    s.at("hole_end", right=hole_long(button), of="hole_start")
    s.line("buttonhole", "hole_start", "hole_end", kind=LineKind.PLACEMENT)


def elastic(on: Board, arm: Part, *, wide: Length, around: Length) -> Part:
    """The sleeve with elastic, `wide` across, in its turned-up hem, drawn in to the arm that goes `around` it there."""
    hem = found(arm.pieces[0].edge("hem").length(), "hem of the sleeve")
    if hem < around + cm(2):
        on.refuse(f"the hem of the sleeve is {on.say(hem)} round, and the arm there {on.say(around)}: elastic has "
                  "nothing to draw in", "sleeve_kind to a fuller one")  # fmt: skip
    lap, deep = on.usual(inch(1)), wide + on.usual(_TURNED)
    on.note(f"Elastic in the sleeve: cut two pieces {on.say(wide)} wide and {on.say(around + lap)} long, the "
            f"{on.say(around)} of the arm there and {on.say(lap)} to lap. Turn the hem up by {on.say(deep)} as its "
            "casing, and leave a gap to thread it through.")  # fmt: skip
    return replace(arm, widths={**arm.widths, "sleeve.hem": deep})


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
        claims=(
            *_without_wrist(arm),
            HandPasses(
                "entry.hand",
                "add {more} to ease_wrist.",
                "the band of the sleeve",
                refs("sleeve_band.band_seam"),
                on.body.hand_girth,
            ),
        ),
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
    """The sleeve with the line of its placket, along the grain, so far along the wrist from the back, mm."""
    p = place_at(piece.edge("wrist_edge").curves, far)[0]
    up = direction(*sorted(piece.grain, key=lambda end: end.y))
    slit = InternalLine("placket", (p, along(p, up, SLIT.mm)))
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
