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
from ..claims.openings import BodyPasses, Passes
from ..draft.board import Board
from ..draft.facings import facing
from ..draft.signature import choice, flag, garment, length
from ..errors import DraftError, GeometryError
from ..geometry.curve import Cubic, Curve, Line
from ..geometry.path import Path, path_length, pinned, place_at
from ..geometry.point import Point, turn_deg
from ..model.claim import Claim
from ..model.draft import Draft, Notion
from ..model.finding import Finding
from ..model.length import Length, cm, inch, mm
from ..model.pattern import Pattern
from ..model.piece import NotchPlace, Piece, Seam, sew
from ..model.ref import refs
from ..units import show
from ..values import dataclass, replace
from .blocks import METHODS, block, bust_ease, bust_round, eased, levelled
from .parts.neckline import STYLES, new_neck
from .parts.part import Part, together
from .parts.princess import back_princess, came_of, front_princess, princess_seam
from .parts.princess_seams import princess_claims
from .parts.style_darts import FOLDS, PLACES, folded, placed, pulled_back

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
    closure: str = choice("how it closes", "back", "none"),
    below_waist: Length = length("how far it goes on below the waist", mm(0), most=inch(12)),
    ease_hip: Length = length("wearing ease round the hip", inch(2.5), most=inch(12)),
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
    one = princess != "none" or bust_dart not in ("auto", "shoulder", "armhole")
    front, back = block(
        on, method, ease_bust=asked, ease_waist=ease_waist, below=low, ease_hip=ease_hip, waist_darts=waist_darts,
        front_darts="one" if one else front_darts, centre_back="seam" if seam else "fold",
    )  # fmt: skip
    bust, drafted = bust_round(front, back), (front, back)
    shaped = any(dart.name == "waist" for dart in front.darts)
    if bust < body.bust_girth:
        on.refuse(f"the block is {on.say(bust)} round at the bust, no more than the body", "ease_bust to more")
    on.note(f"Round the bust the bodice is {on.say(bust)}: {on.say(bust - body.bust_girth)} of ease in wear.")
    try:
        front, back, faced = styled(on, front, back, bust_dart if princess == "none" else princess, neckline,
                                     (neck_wider, neck_deeper, back_deeper), shaped, closure)  # fmt: skip
        if seam:
            end = NotchPlace("centre_back", back.edge("centre_back").length(), 1, "zip end")
            back = replace(back, notches=(*back.notches, end))
        pieces, seams = cut_up(on, front, back, princess, bust_fold, dart_back)
    except GeometryError as error:
        raise DraftError(f"{error}. Change bust_dart, princess or neckline.") from error
    pieces = tuple(levelled(drafted[piece.name.startswith("back")], piece) for piece in pieces)
    claims = _claims(
        on, pieces, ease_waist, bust, asked if method == "quarter" else None, low, ease_hip, shaped, closure
    )
    parts = [Part(pieces, seams, claims, (_zip(on, back),) if seam else ())]
    if facings:
        try:
            parts.append(facings_of(pieces, faced, facing_wide))
        except GeometryError as error:
            raise DraftError(f"{error}. Make facing_wide less, or set facings to no.") from error
    draft = together(on, parts, claims=princess_claims(pieces))
    return replace(draft, advice={**draft.advice, "dart.intake bust": WIDE})


def _claims(
    on: Board, pieces: tuple[Piece, ...], ease_waist: Length, have: Length, ease_bust: Length | None,
    low: Length | None, ease_hip: Length, shaped: bool, closure: str,
) -> tuple[Claim, ...]:  # fmt: skip
    """Bust and waist all round, the hip below; and, without a zip, that head and bust pass."""
    body, bust = on.body, on.body.bust_girth
    waist: Claim = Girth("girth.waist", "Change ease_waist.", "waist", body.waist_girth, ease_waist,
                         () if low else refs(*both_of(pieces, "waist")))  # fmt: skip
    if not shaped:
        more = "add {more} to ease_bust."
        waist = (
            GirthAtLeast("girth.waist", more, "waist", body.waist_girth, mm(0))
            if low
            else Passes(
                "girth.waist",
                more,
                "waist",
                refs(*both_of(pieces, "waist")),
                "waist",
                body.waist_girth,
                "as measured",
                0.0,
            )
        )
    claims = [BustAsDrafted("girth.bust", "Change ease_bust.", bust, have) if ease_bust is None else
              Girth("girth.bust", "Change ease_bust.", "bust", bust, ease_bust), waist]  # fmt: skip
    if low and low >= body.waist_to_hip:
        claims.append(Girth("girth.hip", "Change ease_hip.", "hip", body.hip_girth, ease_hip))
    if closure == "none":
        head = body.get("head_girth")
        if head is None:
            on.note(f"head_girth was not measured; assumed {on.say(HEAD)} (common practice, no source).")
        known, tight = (
            "as measured" if head else "assumed",
            "set closure to back, waist_darts to no, or ease_waist to more.",
        )
        claims += [
            Passes("entry.neckline", "add {more} round it with neck_wider or neck_deeper, or closure = \"back\".",
                   "neckline", refs(*both_of(pieces, "neck")), "head", head or HEAD, known, HEAD_EASE.mm),
            BodyPasses("entry.bust", tight, bust, "a zip") if low else Passes(
                "entry.bust", tight, "waist", refs(*both_of(pieces, "waist")), "bust", bust, "as measured", 0.0),
        ]  # fmt: skip
    return tuple(claims)


def both_of(pieces: tuple[Piece, ...], edge: str) -> tuple[str, ...]:
    """An edge of front and back, wherever it lies now."""
    return (*came_of(pieces, f"front.{edge}"), *came_of(pieces, f"back.{edge}"))


def styled(
    on: Board, front: Piece, back: Piece, place: str, style: str, neck: tuple[Length | None, Length | None, Length],
    shaped: bool, closure: str,
) -> tuple[Piece, Piece, tuple[Piece, Piece]]:  # fmt: skip
    """The bust dart where it is wanted, and the neckline; and the halves that facings are made from."""
    has = any(dart.name == "bust" for dart in front.darts)
    if not has and place not in ("auto", "none"):
        on.note("There is no bust dart to be moved.")
    if place == "waist" and not shaped:
        on.refuse("there is no waist dart to let the bust dart into", "bust_dart, or waist_darts to yes")
    late = place in ("neck", "centre")
    if has and place != "auto":
        front = placed(front, "side" if late else place)
    front, back = new_neck(
        on,
        front,
        back,
        style,
        wider=neck[0],
        deeper=neck[1],
        back_deeper=neck[2],
        head=(on.body.get("head_girth") or HEAD) + HEAD_EASE if closure == "none" else None,
    )
    faced = front, back
    if has and late:
        front = placed(front, place)
    return front, back, faced


def cut_up(
    on: Board, front: Piece, back: Piece, princess: str, fold: str, dart_back: Length
) -> tuple[tuple[Piece, ...], tuple[Seam, ...]]:
    """The shell's pieces, with the points of their darts pulled back, or cut along princess lines; and its seams."""
    first = [sew(f"centre {half.name} seam", f"{half.name}.centre_{half.name}", to=f"{half.name}.centre_{half.name}")
             for half in (back, front) if half.mirrored_pair]  # fmt: skip
    if princess == "none":
        known = {dart.name for dart in front.darts}
        if "bust" in known:
            front = pulled_back(front, "bust", dart_back.mm) if fold == "dart" else folded(front, fold)
        elif len(front.darts) and any(p == front.points.get("bust_point") for d in front.darts for p in d.points[1:2]):
            front = pulled_back(front, "waist", dart_back.mm)
        return (front, back), (*first, *_joined((front, back)))
    if not any(dart.name == "waist" for dart in (*front.darts, *back.darts)):
        on.refuse("princess lines run through the waist darts, and there are none", "princess to none")
    fronts, backs = front_princess(front, princess), back_princess(back, princess)
    lines = [princess_seam(*fronts, "front princess seam"), princess_seam(*backs, "back princess seam")]
    on.note(f"Ease the side panel to the centre one over the bust, by {on.say(abs(lines[0].ease))}: the princess seam.")
    pieces = (*fronts, *backs)
    if back.mirrored_pair:
        (edge,) = came_of(pieces, "back.centre_back")
        first = [sew("centre back seam", edge, to=edge)]
    return pieces, (*lines, *first, *_joined(pieces))


def _joined(pieces: tuple[Piece, ...]) -> list[Seam]:
    """Shoulder and side seams."""
    return [sew(f"{edge} seam", *came_of(pieces, f"front.{edge}"), to=came_of(pieces, f"back.{edge}"))
            for edge in ("shoulder", "side")]  # fmt: skip


def _zip(on: Board, back: Piece) -> Notion:
    on.note("The zip at the centre back opens it all the way down: buy one that comes apart, if nothing is sewn on.")
    return Notion("zip", back.edge("centre_back").length(), "below_waist", "", "zip end")


def facings_of(shell: tuple[Piece, ...], halves: tuple[Piece, Piece], wide: Length, *, armholes: bool = True) -> Part:
    """Facings of the neck, and of the armholes, cut from the halves with their darts closed."""
    pieces, own, to_shell = [], [], []
    front, back = halves
    whole = placed(front, "neck") if front.edge("side").takes else front
    for what, beside in (("neck", ("shoulder",)), ("armhole", ("shoulder", "side")))[: 1 + armholes]:
        first = facing(whole if what == "armhole" else front, (what,), f"{what}_facing_front", wide.mm)
        pair = [_marked(first, shell, what), facing(back, (what,), f"{what}_facing_{back.name}", wide.mm)]
        pieces += pair
        own += [sew(f"{what} facing {edge} seam", f"{pair[0].name}.{edge}", to=f"{pair[1].name}.{edge}")
                for edge in beside]  # fmt: skip
        to_shell += [sew(f"{half.name} {what} facing", f"{made.name}.{what}", to=came_of(shell, f"{half.name}.{what}"),
                         how="faced")
                     for half, made in zip(halves, pair, strict=True)]  # fmt: skip
    return Part(tuple(map(_even, pieces)), (*own, *to_shell))


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
    own = ("free_edge", "shoulder", "side")
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
