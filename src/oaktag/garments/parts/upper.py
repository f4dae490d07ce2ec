"""The upper part of a bodice or dress in its style: neckline, bust dart, yokes, princess lines, cut from a block."""

from __future__ import annotations

from typing import Final

from ...claims.openings import Passes
from ...draft.board import Board
from ...geometry.point import Point
from ...model.claim import Claim
from ...model.draft import Notion
from ...model.length import Length, cm, inch, mm
from ...model.piece import Piece, Seam, sew
from ...model.ref import Ref
from ...values import dataclass, replace
from ..blocks import levelled
from .neckline import WRAP_END, keyhole_deep, new_neck, with_keyhole
from .part import Part
from .princess import back_princess, came_of, front_princess, princess_seam
from .style_darts import folded, placed, pulled_back
from .wrap_front import CROSSING, is_wrapped, own_levels, own_waist, wrap_seam, wrap_ties
from .yokes import back_yoke, front_yoke, fuller, matched, yoke_level, yoke_seam

SHORTEST: Final = inch(2)
HEAD: Final = cm(55)
HEAD_EASE: Final = cm(3)
"""Head girth of women where it was not measured, and the neckline over it (common practice, no source)."""
TURNED: Final = ", turned to gathers or a pleat (bust_fold), or to a princess line (princess)"


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
    if neck.style == "sweetheart" and cuts.yoked("front"):
        on.refuse("the line of a front yoke would run into a sweetheart neckline", "yoke to none or back, or neckline")
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
