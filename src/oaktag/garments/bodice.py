"""A bodice by one of three methods, its bust dart where the style wants it, or with princess lines; faced, sleeveless.

Methods (garments/blocks): quarter, the quarter measure that the sheath dress is drafted by; close, a close-fitting
block by back, chest and neck; angle, front and back unlike, the bust dart by an angle. Eases as each method has them
where none is asked for: round the bust 8, 10, 12 cm, round the waist 6 cm (drafting rules for women's blocks, 1, 2, 4;
the quarter's, and the waist of it, common practice, no source). Darts move about the bust point (parts/style_darts).
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Final

from ..body.whom import WOMEN
from ..claims.girth import SUM_LIMIT, Girth, GirthAtLeast
from ..claims.measure import girth_at, level_depth
from ..claims.openings import BodyPasses, OpenedPasses, Passes
from ..draft.board import Board
from ..draft.facings import facing
from ..draft.signature import choice, flag, garment, length, share
from ..errors import DraftError, GeometryError
from ..geometry.curve import Cubic, Curve, Line
from ..geometry.path import Path, path_length, pinned, place_at
from ..geometry.point import Point, turn_deg
from ..model.claim import Claim
from ..model.draft import Draft, Notion
from ..model.finding import Finding, Severity
from ..model.length import Length, cm, found, inch, mm
from ..model.pattern import Pattern
from ..model.piece import NotchPlace, Piece, Seam, sew
from ..model.ref import Ref, refs
from ..units import show
from ..values import dataclass, replace
from .blocks import METHODS, block, bust_ease, bust_round, eased, levelled
from .parts.neckline import KEYHOLE_END, KEYHOLES, STYLES, WRAP_END, keyhole_deep, keyhole_of, new_neck, with_keyhole
from .parts.part import Part, together
from .parts.princess import back_princess, came_of, front_princess, princess_seam
from .parts.princess_seams import princess_claims
from .parts.style_darts import FOLDS, PLACES, folded, placed, pulled_back
from .parts.waistline import SHAPES, shaped
from .parts.wrap_front import CROSSING, is_wrapped, own_levels, own_waist, wrap_seam, wrap_ties
from .parts.yokes import YOKES, back_yoke, front_yoke, fuller, matched, yoke_level, yoke_seam

_CORNER_DEG: Final = 3.0
_PARTS: Final = 8
SHORTEST: Final = inch(2)
HEAD: Final = cm(55)
HEAD_EASE: Final = cm(3)
"""Head girth of women where it was not measured, and the neckline over it (common practice, no source)."""
WIDE: Final = "a bust dart of this block does; let princess lines take it, or gathers (bust_fold)"


@dataclass(frozen=True, slots=True)
class BustAsDrafted(Claim):
    """Whatever was moved or cut, the bodice is as wide round the bust as its block, and wider than the body.

    No girth whose ease is one in all sizes: darts that reach above the level take in more on some. `girth.bust`.
    """

    body: Length
    block: Length

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
    return replace(draft, advice={**draft.advice, "dart.intake bust": WIDE})


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
              if cuts.fuller or cuts.fold != "dart" or cuts.turned or falls else
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


def falling_waist(on: Board, ease: Length, edges: tuple[Ref, ...]) -> Claim:
    """A shaped waist seam is no shorter than the waist and its ease, to 5 mm: it is straighter than the block's."""
    return Passes("girth.waist", "add {more} to ease_waist.", "waist seam", edges, "waist", on.body.waist_girth,
                  "as measured", ease.mm - 5.0)  # fmt: skip


def relevelled(drafted: tuple[Piece, Piece], piece: Piece) -> Piece:
    """A piece with the levels of the half that it came of; a wrap front up to its centre."""
    half = drafted[piece.name.startswith("back")]
    made = levelled(half, piece)
    if is_wrapped(made):
        return own_levels(made)
    for level in half.levels:
        edge = next((edge for edge in made.edges if edge.name == level.name), None)
        y = min(p.y for p in level.points)
        if edge and edge.start.x < 1.0 and edge.start.y < y - 5.0:  # it falls to the centre
            line = Point(edge.start.x, y), edge.end
            made = replace(made, levels=tuple(replace(each, points=line) if each.name == level.name else each
                                              for each in made.levels))  # fmt: skip
    return made


def both_of(pieces: tuple[Piece, ...], edge: str) -> tuple[str, ...]:
    """An edge of front and back, wherever it lies now."""
    return (*came_of(pieces, f"front.{edge}"), *came_of(pieces, f"back.{edge}"))


def waist_of(pieces: tuple[Piece, ...]) -> tuple[str, ...]:
    """The waist of both, of a wrap front up to its centre."""
    wrapped = {piece.name for piece in pieces if is_wrapped(piece)}
    runs = ((Ref.of(run).piece, run) for run in both_of(pieces, "waist"))
    return tuple(own_waist(name) if name in wrapped else run for name, run in runs)


def crossed_neck(pieces: tuple[Piece, ...]) -> tuple[str, ...]:
    """The neck of a wrap front, as far as its halves do not lie over each other, and that of the back."""
    return (f"front.neck from shoulder to {CROSSING}", *came_of(pieces, "back.neck"))


@dataclass(frozen=True, slots=True)
class Neck:
    """The neckline that is asked for."""

    style: str
    wider: Length | None = None
    deeper: Length | None = None
    back_deeper: Length = mm(0)
    keyhole: str = "none"
    """Front or back, and its shape."""
    keyhole_deep: Length | None = None
    wrap_ends: str = "seam"

    @property
    def half(self) -> str:
        return self.keyhole.split()[0]

    @property
    def tied(self) -> bool:
        return self.style == "wrap" and self.wrap_ends == "ties"

    def seams(self, front: Piece) -> tuple[Seam, ...]:
        """The ends of a wrap front, caught in the side seams."""
        return (wrap_seam(front),) if is_wrapped(front) and not self.tied else ()

    def more(self, on: Board) -> tuple[Part, ...]:
        """Ties of a wrap front; the button of a keyhole."""
        if self.tied:
            return (wrap_ties(on, on.usual(WRAP_END)),)
        if self.keyhole == "none":
            return ()
        on.note(f"Close the keyhole at the top of the {self.half} with a button and a loop of bias cut tube, sewn in "
                "between facing and shell. Sew facing and shell together on its line, then cut it open.")  # fmt: skip
        return (Part(notions=(Notion("button", on.usual(inch(0.375)).mm, "keyhole", "", "", 1),)),)


@dataclass(frozen=True, slots=True)
class Cuts:
    """How the halves are cut up: princess lines or yokes; and the bust dart."""

    princess: str
    bust_dart: str
    fold: str
    dart_back: Length
    yoke: str = "none"
    yoke_down: float = 0.5
    full: Length = mm(0)
    wraps: bool = False

    def yoked(self, half: str) -> bool:
        return self.yoke in (half, "both") and self.princess == "none"

    @property
    def turned(self) -> bool:
        """Whether the bust dart goes into the seam of a front yoke."""
        return self.yoked("front") and self.bust_dart in ("auto", "shoulder", "armhole", "neck")

    @property
    def fuller(self) -> bool:
        return self.full.mm > 0 and (self.yoked("front") or self.yoked("back"))

    @property
    def place(self) -> str:
        """Where the bust dart is to be, or the princess line begins."""
        return self.princess if self.princess != "none" else "side" if self.turned else self.bust_dart

    @property
    def needs_one(self) -> bool:
        """Whether one waist dart alone is in the way of no cut."""
        return self.princess != "none" or self.yoked("front") or self.wraps

    @property
    def change(self) -> str:
        return "yoke, yoke_down, neckline or bust_dart" if self.yoke != "none" else "bust_dart, princess or neckline"


def refused(on: Board, neck: Neck, cuts: Cuts, *, closed: bool, waist_seam: bool, facings: bool) -> None:
    """Refuse what does not go together."""
    if neck.style == "wrap":
        if cuts.princess != "none" or cuts.yoked("front"):
            on.refuse("a wrap front is drawn in one piece", "princess or yoke to none, or neckline")
        if cuts.bust_dart in ("neck", "centre"):
            on.refuse(f"a wrap front has no room for a bust dart at its {cuts.bust_dart}", "bust_dart to side or waist")
        if not waist_seam:
            on.refuse("a wrap front ends at a waist seam, at the other side", "neckline, or end it at the waist")
    if neck.keyhole == "none":
        return
    if not facings:
        on.refuse("a keyhole is faced", "facings to yes, or keyhole to none")
    if neck.style not in ("plain", "round", "boat") and neck.half == "front":
        on.refuse(f"a keyhole opens below a round neck, and this one is {neck.style}",
                  "neckline to plain, round or boat, or keyhole to none")  # fmt: skip
    if closed and neck.half == "back":
        on.refuse("a zip runs where the keyhole would be", "closure to none, or keyhole")
    if cuts.bust_dart == "centre" and neck.half == "front" and cuts.princess == "none":
        on.refuse("a seam runs where the keyhole would be", "bust_dart, or keyhole")


@dataclass(frozen=True, slots=True)
class Faced:
    """The halves that facings are cut from: of the neck, and of the armhole in front."""

    front: Piece
    back: Piece
    arm: Piece


def styled(
    on: Board, front: Piece, back: Piece, place: str, neck: Neck, shaped: bool, closure: str,
) -> tuple[Piece, Piece, Faced]:  # fmt: skip
    """The bust dart where it is wanted, and the neckline; and the halves that facings are made from."""
    has = any(dart.name == "bust" for dart in front.darts)
    if not has and place not in ("auto", "none"):
        on.note("There is no bust dart to be moved.")
    if place == "waist" and not shaped:
        on.refuse("there is no waist dart to let the bust dart into", "bust_dart, or waist_darts to yes")
    late = place in ("neck", "centre")
    if has and (place != "auto" or neck.style == "wrap"):
        front = placed(front, "side" if late or place == "auto" else place)
    head = (on.body.get("head_girth") or HEAD) + HEAD_EASE if closure == "none" else None
    plain = new_neck(on, front, back, "round", wider=neck.wider)[0] if neck.style == "wrap" else None
    front, back = new_neck(on, front, back, neck.style, wider=neck.wider, deeper=neck.deeper,
                           back_deeper=neck.back_deeper, head=head if neck.keyhole == "none" else None)  # fmt: skip
    if neck.keyhole != "none":
        halves = {"front": front, "back": back}
        deep = keyhole_deep(on, front, back, neck.keyhole_deep, head)
        halves[neck.half] = with_keyhole(on, halves[neck.half], neck.keyhole.split()[1], deep)
        front, back = halves["front"], halves["back"]
    faced = Faced(front, back, plain or front)
    if has and late:
        front = placed(front, place)
    return front, back, faced


def cut_up(on: Board, front: Piece, back: Piece, cuts: Cuts) -> tuple[tuple[Piece, ...], tuple[Seam, ...]]:
    """The shell's pieces, with the points of their darts pulled back, or cut along princess lines or at yokes; and its
    seams."""
    fronts: tuple[Piece, ...] = (front,)
    backs: tuple[Piece, ...] = (back,)
    lines: list[Seam] = []
    if cuts.princess == "none":
        if cuts.yoked("front"):
            fronts = front_yoke(front, yoke_level(front, cuts.yoke_down), turned=cuts.turned)
        fronts = (*fronts[:-1], _sewn_in(fronts[-1], cuts))
        if cuts.yoked("back"):
            backs = back_yoke(back, yoke_level(back, cuts.yoke_down))
        fronts, backs = (_filled(both, cuts.full.mm) for both in (fronts, backs))
        lines = [yoke_seam(both[0], both[1], f"{name} yoke seam") for name, both in (("back", backs), ("front", fronts))
                 if len(both) > 1]  # fmt: skip
    else:
        if not any(dart.name == "waist" for dart in (*front.darts, *back.darts)):
            on.refuse("princess lines run through the waist darts, and there are none", "princess to none")
        centre, side = front_princess(front, cuts.princess)
        behind, beside = back_princess(back, cuts.princess)
        fronts, backs = (centre, side), (behind, beside)
        lines = [princess_seam(centre, side, "front princess seam"),
                 princess_seam(behind, beside, "back princess seam")]  # fmt: skip
        on.note(f"Ease the side panel to the centre one over the bust, by {on.say(abs(lines[0].ease))}: the princess "
                "seam.")  # fmt: skip
    pieces = (*fronts, *backs)
    centres = []
    for half in (back, front):
        if half.mirrored_pair and not is_wrapped(half):
            edges = came_of(pieces, f"{half.name}.centre_{half.name}")
            centres.append(sew(f"centre {half.name} seam", *edges, to=edges))
    return pieces, (*lines, *centres, *_joined(pieces))


def _filled(half: tuple[Piece, ...], by: float) -> tuple[Piece, ...]:
    """A yoke and what is below it: this fuller, unless a dart is sewn into the seam; and the notches of the seam."""
    if len(half) == 1:
        return half
    upper, below = half
    if by and not below.edge("yoke").takes:
        below = fuller(below, by)
    return matched(upper, below), below


def _sewn_in(front: Piece, cuts: Cuts) -> Piece:
    """The bust dart as it is sewn, its point pulled back from the bust point."""
    if any(dart.name == "bust" for dart in front.darts):
        return pulled_back(front, "bust", cuts.dart_back.mm) if cuts.fold == "dart" else folded(front, cuts.fold)
    at_apex = any(p == front.points.get("bust_point") for d in front.darts for p in d.points[1:2])
    return pulled_back(front, "waist", cuts.dart_back.mm) if at_apex else front


def _joined(pieces: tuple[Piece, ...]) -> list[Seam]:
    """Shoulder and side seams."""
    return [sew(f"{edge} seam", *came_of(pieces, f"front.{edge}"), to=came_of(pieces, f"back.{edge}"))
            for edge in ("shoulder", "side")]  # fmt: skip


def _zip(on: Board, back: Piece) -> Notion:
    on.note("The zip at the centre back opens it all the way down: buy one that comes apart, if nothing is sewn on.")
    return Notion("zip", back.edge("centre_back").length(), "below_waist", "", "zip end")


def facings_of(
    shell: tuple[Piece, ...], faced: Faced, wide: Length, *, necks: bool = True, armholes: bool = True
) -> Part:
    """Facings of the neck, and of the armholes, cut from the halves with their darts closed."""
    pieces, own, to_shell = [], [], []
    front, back, arm = faced.front, faced.back, faced.arm
    whole = placed(arm, "centre" if _dips(arm) else "neck") if arm.edge("side").takes else arm
    for what, beside in (("neck", ("shoulder",)), ("armhole", ("shoulder", "side")))[not necks : 1 + armholes]:
        made_of = whole if what == "armhole" else front
        first = _facing(made_of, what, f"{what}_facing_front", wide.mm)
        pair = [_marked(first, shell, what), _facing(back, what, f"{what}_facing_{back.name}", wide.mm)]
        pieces += pair
        own += [sew(f"{what} facing {edge} seam", f"{pair[0].name}.{edge}", to=f"{pair[1].name}.{edge}")
                for edge in beside]  # fmt: skip
        to_shell += [sew(f"{half.name} {what} facing", f"{made.name}.{what}", to=came_of(shell, f"{half.name}.{what}"),
                         how="faced", meets=[f"{made.name}.neck 3/4"] if what == "neck" and _dips(half) else ())
                     for half, made in zip((front, back), pair, strict=True)]  # fmt: skip
    return Part(tuple(map(_even, pieces)), (*own, *to_shell))


def _facing(half: Piece, what: str, name: str, wide: float) -> Piece:
    """A strip as wide all along; of a neck with a dip or a keyhole, deeper at the centre, in one curve."""
    hole = keyhole_of(half) if what == "neck" else None
    if hole:
        deep = half.points["neck_centre"].y - min(p.y for p in hole.points)
        made = facing(half, (what,), name, (wide, deep + wide / 2))
        ends = [replace(n, at=n.at) for n in half.notches if n.name == KEYHOLE_END]
        return replace(made, internal_lines=(hole,), notches=(*made.notches, *ends))
    if is_wrapped(half):
        wide = min(wide, 0.85 * half.edge("wrap_end").length())
    return facing(half, (what,), name, (wide, wide) if what == "neck" and _dips(half) else wide)


def _dips(half: Piece) -> bool:
    """Whether its neck falls to the centre in an arc."""
    last = half.edge("neck").curves[-1]
    return isinstance(last, Cubic) and last.way(1.0).y < -0.5


def _marked(facing: Piece, shell: tuple[Piece, ...], what: str) -> Piece:
    """The facing of the front with the notches that the shell has since it was cut: where gathers begin and end."""
    for piece in shell:
        if piece.name == "front":
            edge = piece.edge(what)
            notches = tuple(
                replace(n, at=edge.sewn(n.at))
                for n in piece.notches
                if n.edge == what and not any(t.kind != "gathers" and t.start <= n.at <= t.end for t in edge.takes)
            )
            return replace(facing, notches=notches)
    return facing


def _even(made: Piece) -> Piece:
    """The facing with as many curves in each edge that is its own in every size: so sizes are drawn alike."""
    own = ("free_edge", "shoulder", "side", "wrap_end")
    edges = (replace(each, curves=_evened(each.curves)) if each.name in own else each for each in made.edges)
    return replace(made, edges=tuple(edges))


def _evened(path: Path) -> Path:
    """The line drawn anew through eight places of each run between two corners; a straight run in one."""
    runs: list[list[Curve]] = [[path[0]]]
    for before, curve in pairwise(path):
        if abs(turn_deg(before.way(1.0), curve.way(0.0))) > _CORNER_DEG:
            runs.append([])
        runs[-1].append(curve)
    found: list[Curve] = []
    for run in runs:
        long = path_length(run)
        if all(isinstance(curve, Line) for curve in run):
            found.append(Line(run[0].start, run[-1].end))
            continue
        places = [place_at(run, long * k / _PARTS) for k in range(_PARTS + 1)]
        third = long / _PARTS / 3
        for (a, leave), (b, arrive) in pairwise(places):
            handles = Point(leave.x * third, leave.y * third), Point(arrive.x * third, arrive.y * third)
            found.append(Cubic.leaving_and_arriving(a, handles[0], b, handles[1]))
    return pinned(tuple(found), path[0].start, path[-1].end)
