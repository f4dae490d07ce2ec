"""Collars fitted to a neck as it was drafted, of halves that are sewn at the shoulder.

     cb________            each is drawn as one half, from the fold (the centre back; the centre front of what opens at
      |        `---.ne     the back) to where the neck opens: neck edge, end, outer edge
     ch____________`.      flat: the halves laid shoulder on shoulder, necks touching, lapped at the armhole end
Kinds: stand and fall (a top edge 3/16 in shorter in each half, so that its front rises 1.3 to 1.6 cm; the fall spread
by three laps of 1/8 in: worked rules 4), mandarin (a stand alone, its front raised 1.3 to 2 cm, no tighter at its top
than the neck and 0.5 cm), flat (back laid on front, shoulders lapped 1 to 1.5 cm; the outer edge loses lap x width ÷
shoulder), one-piece (3 in deep, its front raised 1.5 cm, its end leaning out 2 in 7: trade lists, garments 3.3), tie
(a band with ends; common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import asin, atan2, degrees
from typing import Final, Literal

from ...claims.buttons import HolesKept
from ...claims.edges import EdgesMeet
from ...claims.girth import RunInRange
from ...draft.board import Board
from ...draft.moves import laid, placed, turn
from ...draft.rulers import curve
from ...draft.sketch import Sketch
from ...geometry.path import Path, reverse
from ...geometry.point import Point, along, direction, distance, right_of
from ...model.claim import Claim
from ...model.cord import Cord
from ...model.finding import Severity
from ...model.length import Length, cm, found, inch, mm, total
from ...model.piece import Cut, LineKind, Piece, Seam, sew
from ...model.ref import refs
from ...values import dataclass, replace
from .button_stand import BEYOND_CENTRE, hole_long
from .part import Part, ruled

COLLARS: Final = ("none", "stand and fall", "mandarin", "flat", "one-piece", "tie")
TO_CENTRE: Final = ("flat", "one-piece", "tie")
"""Those whose ends meet on the centre line; the others go on over a button stand."""
SHORTER: Final = inch(3 / 16)
SPREAD: Final = cm(0.95)
"""How much shorter the top of a stand is than its neck edge, and longer the outer edge of a fall, in each half."""
FALL_OVER: Final = inch(0.5)
"""A fall is deeper at its centre than its stand (trade lists; at least 0.6 cm, or the seam shows)."""
COVERS: Final = 6.0
"""At its centre a fall is longer than its stand by this at least, mm (garment rules 3.3)."""
TURN: Final = 3.0
"""A collar may be so much shorter than half the neckline, for the turn of the cloth, mm (garment rules 3.3)."""
_NARROWS: Final = cm(1.4)
"""So much less a neck measures at the top of a stand than at its base, at least (40 bodies of a survey: 1.4 to 5.6)."""
_ROUND: Final = 0.6
"""The corner of a round flat collar, as part of its width (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Neck:
    """A half neckline as it is sewn, from the collar's fold to where it opens."""

    first: Piece
    last: Piece
    long: Length
    to: tuple[str, ...]
    fold: str
    change: str

    @classmethod
    def of(cls, front: Piece, back: Piece, to: Sequence[str], opens: str, change: str) -> Neck:
        first, last = (back, front) if opens == "front" else (front, back)
        each = [found(half.edge("neck").sewn_length(), f"neck of the {half.name}") for half in (first, last)]
        edges = tuple(to) or (f"{first.name}.neck", f"{last.name}.neck")
        fold = "centre_back" if opens == "front" else "centre_front"
        return cls(first, last, total(*each).called("half neckline"), edges, fold, change)

    def meets(self, edge: str) -> EdgesMeet:
        """A collar's edge, from its fold to the centre line, is as long as the neckline, or 3 mm shorter for the turn
        of the cloth (garment rules 3.3)."""
        own = tuple(ref for ref in self.to if ref.endswith(".neck"))
        return EdgesMeet("collar.neck", f"change {self.change}.", "half the collar, to half the neckline", refs(edge),
                         refs(*own), -TURN, 1.0)  # fmt: skip


def collar(
    on: Board,
    kind: str,
    front: Piece,
    back: Piece,
    *,
    wide: Length,
    point: Length,
    beyond: Length | None = None,
    shape: str = "round",
    lap: Length | None = None,
    rise: Length | None = None,
    ends: Length | None = None,
    to: Sequence[str] = (),
    opens: str = "front",
    change: str = "neck_base_girth, if it was mistaken",
) -> Part:
    """A collar of a kind, one of `COLLARS`, for the halves' edges `neck`; its neck edge is exactly as long.

    `wide`: of a stand and fall or a mandarin collar the stand, of a flat or one-piece collar its whole depth, of a tie
    its finished width. `point`: the length of a pointed end. `beyond`: how far a stand goes on over a button stand.
    `shape`, `lap`: of a flat collar "round" or "pointed", and how far the shoulders are lapped at the armhole end, 1.2
    cm unless told. `rise`: how far the front of a mandarin collar is raised, 1.6 cm unless told. `ends`: how long a tie
    goes on beyond the neck, 28 in unless told. `to`: the edges that it is sewn to, from its fold on, where the halves
    are cut or go on after it was fitted. `opens`: at the "front" or "back". Raises DraftError where it cannot be drawn.
    """
    neck = Neck.of(front, back, to, opens, change)
    match kind:
        case "none":
            return Part()
        case "stand and fall":
            return _stand_and_fall(on, neck, wide, point, beyond or mm(0))
        case "mandarin":
            return _mandarin(on, neck, wide, rise or cm(1.6), beyond or mm(0))
        case "flat":
            part = _flat(on, neck, wide, point, cm(1.2) if lap is None else lap, shape)
            return replace(part, claims=(neck.meets("collar.neck"),))
        case "one-piece":
            return _one_piece(on, neck, wide, point)
    return _tie(on, neck, wide, ends or on.usual(inch(28)))


def _layers(name: str, *edges: str) -> tuple[Seam, ...]:
    """What a collar's two layers are sewn together at, before they are turned."""
    return tuple(sew(edge.replace("_", " "), f"{name}.{edge}", to=f"{name}.{edge}") for edge in edges)


def _stand(on: Board, neck: Neck, wide: Length, lean: float, beyond: Length, top: str) -> Sketch:
    """The stand: its neck edge bent up by so many degrees, going on `beyond` the centre line to a rounded end."""
    s = on.sketch("stand", Cut("fold", 2))
    slope = lean / 2 * 3.14159265 / 180
    s.at("centre_low")
    s.at("centre_high", up=wide)
    s.at("front_low", right=neck.long, up=slope * neck.long)
    s.slant("front_high", "front_low", wide, 90 + lean)
    s.fold(neck.fold, "centre_high", "centre_low")
    if beyond.mm:
        s.slant("end_low", "front_low", beyond, lean)
        s.edge("neck", "centre_low", curve("level", lean), "front_low", "end_low")
        s.edge("stand_end", "end_low", curve(lean + 80.0, lean + 180.0), "front_high")
    else:
        s.edge("neck", "centre_low", curve("level", lean), "front_low")
        s.edge("stand_end", "front_low", "front_high")
    s.fit("neck", to=neck.long + beyond, move="front_low", way="right", change=neck.change)
    s.edge(top, "front_high", curve(lean + 180.0, "level"), "centre_high")
    if beyond.mm:
        s.slant("button", "front_low", wide / 2, 90 + lean)
        s.slant("hole_front", "button", BEYOND_CENTRE, lean)
        s.slant("hole_back", "button", hole_long(beyond) - BEYOND_CENTRE, 180 + lean)
        s.line("buttonhole", "hole_front", "hole_back", kind=LineKind.PLACEMENT)
    return s


def _stand_and_fall(on: Board, neck: Neck, wide: Length, point: Length, beyond: Length) -> Part:
    stand = _stand(on, neck, wide, degrees(SHORTER.over(wide)), beyond, "fall_edge")
    fall_wide = (wide + FALL_OVER).called("fall")
    top = stand.long("fall_edge").called("top of the stand")
    fall = on.sketch("fall", Cut("fold", 2))
    turned = degrees(SPREAD.over(fall_wide))
    fall.at("centre_high")
    fall.at("centre_low", down=fall_wide)
    fall.at("front_high", right=top, up=SPREAD.over(fall_wide) / 2 * top)
    fall.slant("front_low", "front_high", point, turned - 75)
    fall.fold(neck.fold, "centre_high", "centre_low")
    fall.edge("fall_edge", "centre_high", curve("level", turned), "front_high")
    fall.edge("collar_end", "front_high", "front_low")
    fall.edge("collar_edge", "centre_low", curve("level", turned), "front_low")
    fall.fit("fall_edge", to=top, move="front_high", way="right", change="the width of the stand")
    seams = (
        *_layers("fall", "collar_edge", "collar_end"),
        sew("fall to stand", "fall.fall_edge", to="stand.fall_edge"),
        sew("stand seam", "stand.neck", to=neck.to),
    )
    covers = EdgesMeet("collar.covers", "the seam of the stand would show.", "fall, to its stand",
                       refs(f"fall.{neck.fold}"), refs(f"stand.{neck.fold}"), COVERS, 1000.0,
                       Severity.WARNING)  # fmt: skip
    claims = (neck.meets(f"stand.neck from {neck.fold} to front_low"), covers, *_hole(beyond))
    return Part((stand.piece(), fall.piece()), seams, claims)


def _hole(button: Length) -> tuple[Claim, ...]:
    """What is claimed of the hole of a stand, that goes on by its button."""
    change = "change button, or make the stand wider with collar_wide."
    return (HolesKept("collar.hole", change, "stand", button, "buttonhole"),) if button.mm else ()


def _mandarin(on: Board, neck: Neck, wide: Length, rise: Length, beyond: Length) -> Part:
    s = _stand(on, neck, wide, degrees(2 * rise.over(neck.long)), beyond, "top_edge")
    half = ((on.body.neck_base_girth - _NARROWS) / 2).called("half the neck at the top of the collar, at most")
    top = RunInRange("collar.top", "make the collar lower, until its top edge is {off} longer.",
                     refs("stand.top_edge"), half, 2.5, 1000.0)  # fmt: skip
    seams = (*_layers("stand", "top_edge", "stand_end"), sew("collar seam", "stand.neck", to=neck.to))
    low = neck.meets(f"stand.neck from {neck.fold} to front_low")
    return Part((s.piece(),), seams, (low, top, *_hole(beyond)))


def _one_piece(on: Board, neck: Neck, wide: Length, point: Length) -> Part:
    s = on.sketch("collar", Cut("fold", 2))
    raised = cm(1.5)
    lean = degrees(2 * raised.over(neck.long))
    s.at("centre_low")
    s.at("centre_high", up=wide)
    s.at("front_low", right=neck.long, up=raised)
    s.slant("front_high", "front_low", point, 74)
    s.fold(neck.fold, "centre_high", "centre_low")
    s.edge("neck", "centre_low", curve("level", lean), "front_low")
    s.fit("neck", to=neck.long, move="front_low", way="right", change=neck.change)
    s.edge("collar_end", "front_low", "front_high")
    s.edge("collar_edge", "front_high", curve("free", "level"), "centre_high")
    seams = (*_layers("collar", "collar_edge", "collar_end"), sew("collar seam", "collar.neck", to=neck.to))
    return Part((s.piece(),), seams, (neck.meets("collar.neck"),))


def _tie(on: Board, neck: Neck, wide: Length, ends: Length) -> Part:
    s = on.sketch("tie", Cut("fold"))
    s.box(neck.long + ends, wide * 2, (neck.fold, "neck", "tie_end", "neck_inside"), fold=neck.fold)
    s.at("fold_start", down=wide)
    s.at("fold_end", right=neck.long + ends, down=wide)
    s.line("fold", "fold_start", "fold_end", kind=LineKind.FOLD)
    s.notch("neck", "tie", "bottom_left", at=neck.long)
    seam = sew("collar seam", "tie.neck from start to tie", to=neck.to)
    hangs = Cord("tie", "neck", "tie", ends)
    return Part((s.piece(),), (seam,), (neck.meets("tie.neck from start to tie"),), cords=(hangs,))


def _flat(on: Board, neck: Neck, wide: Length, point: Length, lap: Length, shape: str) -> Part:
    """The last half laid on the first at the shoulder, necks touching; neck and outer edge drawn off them."""
    first, last = neck.first, neck.last
    shoulder = found(last.edge("shoulder").sewn_length(), f"shoulder of the {last.name}").called("shoulder")
    deg = degrees(2 * asin(min(0.5, lap.over(shoulder) / 2)))
    s = on.sketch("collar", Cut("fold", 2))
    s.tell(lap, "shoulders lapped, at the armhole end", about=("neck", "collar_edge"))
    side = first.points["neck_side"]
    other = laid(first, "shoulder", last, "shoulder", at=_end_at(first, side), over=True)
    other = placed(other, turn(side, -deg))
    begun = _from(first.edge("neck").curves, first.points["neck_centre"])
    gone = _from(other.edge("neck").curves, side)
    at_side = direction((0.0, 0.0), _sum(begun[-1].way(1.0), gone[0].way(0.0)))
    at_end = gone[-1].way(1.0)
    down = right_of(at_end)
    s.put("centre_high", Point(0.0, begun[0].start.y))
    s.put("neck_side", side)
    s.put("front_high", gone[-1].end)
    s.at("centre_low", down=wide, of="centre_high")
    s.fold(neck.fold, "centre_high", "centre_low")
    s.edge("neck", "centre_high", curve("level", _deg(at_side)), "neck_side", curve(_deg(at_side), _deg(at_end)),
           "front_high")  # fmt: skip
    s.fit("neck", to=neck.long, move="front_high", way="up", change=neck.change)
    end = s.points["front_high"]
    s.tell(wide, "collar, square off the neck", about="collar_edge")
    s.put("outer_side", along(side, right_of(at_side), wide.mm))
    half_way = s.drawn("neck")[0].curves[-1]
    at_middle = half_way.way(0.5)
    s.put("outer_front", along(half_way.at(0.5), right_of(at_middle), wide.mm))
    back = (-at_end.x, -at_end.y)
    run = ("centre_low", curve("level", _deg(at_side)), "outer_side", curve(_deg(at_side), _deg(at_middle)),
           "outer_front", curve(_deg(at_middle), _deg(at_end)))  # fmt: skip
    if shape == "round":
        inwards = wide.mm * _ROUND
        s.put("round_high", along(end, down, wide.mm - inwards))
        s.put("round_low", along(along(end, down, wide.mm), Point(*back), inwards))
        s.edge("collar_end", "front_high", "round_high")
        corner = curve(_deg(at_end), _deg(Point(-down.x, -down.y)))
        s.edge("collar_edge", *run, "round_low", corner, "round_high")
    else:
        s.tell(point, "collar point", about="collar_end")
        s.put("front_low", along(end, down, point.mm))
        s.edge("collar_end", "front_high", "front_low")
        s.edge("collar_edge", *run, "front_low")
    seam = sew("collar seam", f"collar.neck from {neck.fold} to collar_end", to=neck.to)
    return Part((ruled(s.piece(), "neck"),), (*_layers("collar", "collar_edge", "collar_end"), seam))


def _end_at(piece: Piece, side: Point) -> Literal["start", "end"]:
    return (
        "start" if distance(piece.edge("shoulder").start, side) < distance(piece.edge("shoulder").end, side) else "end"
    )


def _from(path: Path, start: Point) -> Path:
    """The run from that end on."""
    return path if distance(path[0].start, start) < distance(path[-1].end, start) else reverse(path)


def _sum(a: Point, b: Point) -> Point:
    return Point(a.x + b.x, a.y + b.y)


def _deg(way: Point) -> float:
    return degrees(atan2(way.y, way.x))


def bound(on: Board, front: Piece, back: Piece, wide: Length, *, beyond: str = "", opens: str = "front") -> Part:
    """A neck without a collar: a strip on the bias, folded over its edge (and that of a button stand, `beyond`)."""
    neck = Neck.of(front, back, (), opens, "")
    run = (*neck.to, *((f"{neck.last.name}.{beyond}",) if beyond else ()))
    over = found(neck.last.edge(beyond).length(), "button stand") if beyond else mm(0)
    s = on.sketch("neck_binding", Cut("fold"))
    s.box(neck.long + over, wide * 4, (neck.fold, "neck", "binding_end", "binding_inside"), fold=neck.fold)
    strip = replace(s.piece(), notes=("cut on the bias",))
    return Part((strip,), (sew("neck binding", "neck_binding.neck", to=run),))
