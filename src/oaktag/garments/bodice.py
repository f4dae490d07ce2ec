"""A bodice by one of three methods, its bust dart where the style wants it, or with princess lines; faced, sleeveless.

Methods (garments/blocks): quarter, the quarter measure that the sheath dress is drafted by; close, a close-fitting
block by back, chest and neck; angle, front and back unlike, the bust dart by an angle. Eases as each method has them
where none is asked for: round the bust 8, 10, 12 cm, round the waist 6 cm (drafting rules for women's blocks, 1, 2, 4;
the quarter's, and the waist of it, common practice, no source). Darts move about the bust point (parts/style_darts).
"""

from __future__ import annotations

from collections.abc import Iterator

from ..body.whom import WOMEN
from ..claims.girth import SUM_LIMIT, Girth, GirthAtLeast
from ..claims.measure import girth_at, level_depth
from ..claims.openings import BodyPasses, OpenedPasses, Passes
from ..draft.board import Board
from ..draft.signature import choice, flag, garment, length, share
from ..errors import DraftError, GeometryError
from ..model.claim import Claim
from ..model.draft import Draft, Notion
from ..model.finding import Finding, Severity
from ..model.length import Length, found, inch, mm
from ..model.pattern import Pattern
from ..model.piece import NotchPlace, Piece
from ..model.ref import refs
from ..units import show
from ..values import dataclass, replace
from .blocks import METHODS, block, bust_ease, bust_round, eased
from .parts.neckline import KEYHOLE_END, KEYHOLES, STYLES
from .parts.part import Part, together
from .parts.princess_seams import princess_claims
from .parts.style_darts import FOLDS, PLACES, carried, widened
from .parts.upper import (
    HEAD,
    HEAD_EASE,
    SHORTEST,
    TURNED,
    Cuts,
    Neck,
    both_of,
    crossed_neck,
    cut_up,
    falling_waist,
    refused,
    relevelled,
    styled,
    waist_of,
)
from .parts.upper_facings import facings_of
from .parts.waistline import SHAPES, shaped
from .parts.yokes import YOKES


@dataclass(frozen=True, slots=True)
class BustAsDrafted(Claim):
    """Whatever was moved or cut, the bodice is as wide round the bust as its block, and wider than the body.

    No girth whose ease is one in all sizes: darts that reach above the level take in more on some. `girth.bust`.
    """

    body: Length
    block: Length

    @property
    def asked(self) -> bool:
        return True

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, wanted = pattern.unit, self.block.mm
        have = girth_at(pattern, level_depth(pattern, "bust"))
        held = abs(have - wanted) <= SUM_LIMIT and have > self.body.mm
        say = f"bust: the bodice is {show(have, unit)} round, its block {show(wanted, unit)}, the body "
        yield self.finding(held, round(have, 2), round(wanted, 2), f"{say}{show(self.body.mm, unit)}.", self.change)


@garment(
    "bodice for women by three methods: quarter, close-fitting, or by the angle of the bust dart",
    for_whom=WOMEN,
    noun="bodice",
)
def bodice(
    on: Board,
    *,
    method: str = choice("how it is drafted", *METHODS),
    ease_bust: Length | None = bust_ease(least=inch(1), most=inch(12)),
    ease_waist: Length = length("wearing ease round the waist", inch(2.5), most=inch(12)),
    waist_darts: bool = flag("waist darts", True),
    front_darts: str = choice("waist darts in each front half", "auto", "one", "two", when=("waist_darts", "yes")),
    bust_dart: str = choice("where the bust dart opens", "auto", *PLACES, when=("princess", "none")),
    bust_fold: str = choice("what the bust dart is sewn as", *FOLDS, when=("princess", "none")),
    dart_back: Length = length("point of the bust dart, back from the bust point", inch(0.75), least=mm(0),
                               most=inch(1.5), when=("princess", "none")),
    princess: str = choice("princess lines", "none", "shoulder", "armhole"),
    neckline: str = choice("neckline", *STYLES, group="neckline"),
    neck_wider: Length | None = length("neckline wider, at each shoulder", most=inch(4), worked_out="by its style",
                                       group="neckline"),
    neck_deeper: Length | None = length("front neckline deeper", most=inch(9), worked_out="by its style",
                                        group="neckline"),
    back_deeper: Length = length("back neckline deeper", mm(0), most=inch(8), group="neckline"),
    keyhole: str = choice("keyhole opening below the neckline", *KEYHOLES, group="neckline"),
    keyhole_deep: Length | None = length(
        "its depth", least=inch(1.5), most=inch(7), worked_out="{a}, or so that the head passes",
        where={"a": inch(3)}, group="neckline"),
    wrap_ends: str = choice("how a wrap front is held", "seam", "ties", when=("neckline", "wrap"), group="neckline"),
    yoke: str = choice("yoke", *YOKES, when=("princess", "none"), group="yoke"),
    yoke_down: float = share("yoke line, of the way from shoulder tip to underarm", 0.5, least=0.2, most=0.8,
                             group="yoke"),
    yoke_full: Length = length("let in below a yoke and gathered, in each half", mm(0), most=inch(1.5), group="yoke"),
    closure: str = choice("how it closes", "back", "none"),
    below_waist: Length = length("how far it goes on below the waist", mm(0), most=inch(12)),
    ease_hip: Length = length("wearing ease round the hip", inch(2.5), most=inch(12)),
    waist_shape: str = choice("front waist seam", *SHAPES),
    waist_deep: Length = length("its centre below the waist", inch(2), least=inch(0.5), most=inch(4),
                                when=("waist_shape", "point", "curve")),
    facings: bool = flag("facings at neck and armholes", True, group="facings"),
    facing_wide: Length = length("facings, finished", inch(2), least=inch(1), most=inch(3), when=("facings", "yes"),
                                 group="facings"),
) -> Draft:  # fmt: skip
    """Front and back, or their panels, and facings."""
    body = on.body
    asked = eased(on, method, ease_bust)
    for name in ("hip_girth", "waist_to_hip"):  # of use for a longer one
        body.get(name)
    if mm(0) < below_waist < SHORTEST:
        on.refuse(f"{on.say(below_waist)} below the waist is neither a waist seam nor a hem",
                  f"below_waist to 0 or to {on.say(on.usual(SHORTEST))} or more")  # fmt: skip
    seam, low = closure == "back", below_waist if below_waist >= SHORTEST else None
    neck = Neck(neckline, neck_wider, neck_deeper, back_deeper, keyhole, keyhole_deep, wrap_ends)
    cuts = Cuts(princess, bust_dart, bust_fold, dart_back, yoke, yoke_down, yoke_full, neckline == "wrap")
    refused(on, neck, cuts, closed=closure == "back", waist_seam=low is None, facings=facings)
    one = cuts.needs_one or bust_dart not in ("auto", "shoulder", "armhole")
    front, back = block(
        on, method, ease_bust=asked, ease_waist=ease_waist, below=low, ease_hip=ease_hip, waist_darts=waist_darts,
        front_darts="one" if one else front_darts, centre_back="seam" if seam else "fold",
    )  # fmt: skip
    bust, drafted = bust_round(front, back), (front, back)
    has_darts = any(dart.name == "waist" for dart in front.darts)
    if bust < body.bust_girth:
        on.refuse(f"the block is {on.say(bust)} round at the bust, no more than the body", "ease_bust to more")
    on.note(f"Round the bust the bodice is {on.say(bust)}: {on.say(bust - body.bust_girth)} of ease in wear.")
    if waist_shape != "level" and (low or neckline == "wrap"):
        on.refuse(
            "a shaped waist needs a waist seam, and a front on the fold", "waist_shape to level, or below_waist to 0"
        )
    try:
        if waist_shape != "level":
            front = shaped(front, "waist", waist_deep.mm, waist_shape)
        front, back, faced = styled(on, front, back, cuts.place, neck, has_darts, closure)
        if seam:
            end = NotchPlace("centre_back", back.edge("centre_back").length(), 1, "zip end")
            back = replace(back, notches=(*back.notches, end))
        pieces, seams = cut_up(on, front, back, cuts)
    except GeometryError as error:
        raise DraftError(f"{error}. Change {cuts.change}.") from error
    pieces = tuple(relevelled(drafted, piece) for piece in pieces)
    claims = _claims(
        on,
        pieces,
        ease_waist,
        bust,
        asked if method == "quarter" else None,
        low,
        ease_hip,
        has_darts,
        closure,
        neck,
        cuts,
        waist_shape != "level",
    )
    parts = [Part(pieces, neck.seams(front) + seams, claims, (_zip(on, back),) if seam else ()), *neck.more(on)]
    if facings:
        try:
            parts.append(facings_of(pieces, faced, facing_wide))
        except GeometryError as error:
            raise DraftError(f"{error}. Make facing_wide less, or set facings to no.") from error
    draft = together(on, parts, claims=princess_claims(pieces))
    return replace(draft, advice={**draft.advice, **carried(on, bust_dart, TURNED)})


def _claims(
    on: Board, pieces: tuple[Piece, ...], ease_waist: Length, have: Length, ease_bust: Length | None,
    low: Length | None, ease_hip: Length, shaped: bool, closure: str, neck: Neck, cuts: Cuts, falls: bool,
) -> tuple[Claim, ...]:  # fmt: skip
    """Bust and waist all round, the hip below; and, without a zip, that head and bust pass."""
    body, bust, at_waist = on.body, on.body.bust_girth, () if low else refs(*waist_of(pieces))
    waist: Claim = Girth("girth.waist", "Change ease_waist.", "waist", body.waist_girth, ease_waist,
                         at_waist)  # fmt: skip
    if falls and shaped:
        waist = falling_waist(on, ease_waist, at_waist)
    if not shaped:
        more = "add {more} to ease_bust."
        waist = (
            GirthAtLeast("girth.waist", more, "waist", body.waist_girth, mm(0))
            if low
            else Passes(
                "girth.waist",
                more,
                "waist",
                at_waist,
                "waist",
                body.waist_girth,
                "as measured",
                0.0,
            )
        )
    least = ease_bust or found((have - bust).mm, "what is left of the ease at the bust")
    claims = [GirthAtLeast("girth.bust", "add {more} to ease_bust.", "bust", bust, least, severity=Severity.ERROR)
              if cuts.fuller or cuts.fold != "dart" or cuts.turned or falls or widened(*pieces) else
              BustAsDrafted("girth.bust", "Change ease_bust.", bust, have) if ease_bust is None else
              Girth("girth.bust", "Change ease_bust.", "bust", bust, ease_bust), waist]  # fmt: skip
    if low and low >= body.waist_to_hip:
        claims.append(Girth("girth.hip", "Change ease_hip.", "hip", body.hip_girth, ease_hip))
    if closure == "none" and not neck.tied:
        head = body.get("head_girth")
        if head is None:
            on.note(f"head_girth was not measured; assumed {on.say(HEAD)} (common practice, no source).")
        known, tight = (
            "as measured" if head else "assumed",
            "set closure to back, waist_darts to no, or ease_waist to more.",
        )
        edges = refs(*both_of(pieces, "neck")) if neck.style != "wrap" else refs(*crossed_neck(pieces))
        wide = "add {more} round it with neck_wider or neck_deeper, or set closure to back."
        if neck.keyhole != "none":
            claims.append(OpenedPasses("entry.neckline", "set keyhole_deep to {enough} or more.", f"centre {neck.half}",
                                       edges, KEYHOLE_END, head or HEAD, HEAD_EASE.mm))  # fmt: skip
        else:
            claims.append(Passes("entry.neckline", wide, "neckline", edges, "head", head or HEAD, known, HEAD_EASE.mm))
        claims.append(BodyPasses("entry.bust", tight, bust, "a zip") if low else
                      Passes("entry.bust", tight, "waist", at_waist, "bust", bust, "as measured", 0.0))  # fmt: skip
    return tuple(claims)


def _zip(on: Board, back: Piece) -> Notion:
    on.note("The zip at the centre back opens it all the way down: buy one that comes apart, if nothing is sewn on.")
    return Notion("zip", back.edge("centre_back").length(), "below_waist", "", "zip end")
