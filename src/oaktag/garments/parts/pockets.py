"""Pockets on finished pieces: in the side seam, patched on, slant, or with a welt.

    panels = pocketed(on, panels, "slant", front="front.side", back="back.side")

The seams of a part come before the side seam. Rules: in-seam opening 6 in, its top 3 in below the waist (School
Needlework, and a sewing blog: 5 to 6 1/2 in); patch 5 by 5 1/2 in (a class's notes), never square (a pattern book of
1922), its hem 1 in; welt hip ÷ 8 wide, slant 5 cm in at the waist, hip ÷ 6 down the side, bag hip ÷ 3 long (a lesson on
trousers); the curves of the bags, and a welt 7 cm below the waist, are common practice, no source.
"""

from __future__ import annotations

from typing import Any

from ...draft.board import Board
from ...draft.cuts import cut
from ...draft.moves import turn
from ...draft.rulers import curve
from ...draft.signature import choice
from ...draft.stretches import place
from ...errors import GeometryError
from ...geometry.path import moved_path, part, reverse
from ...geometry.point import Point, along, between, direction, turn_deg
from ...model.length import Length, cm, inch, least, mm
from ...model.piece import Cut, InternalLine, LineKind, NotchPlace, Piece, Seam, sew
from ...model.ref import Ref
from ...values import replace
from .part import Part

IN_SEAM = "in the side seams"


def pocket_kinds(*kinds: str) -> Any:
    """The option of what pockets there are: none, and the kinds that a garment allows."""
    return choice("pockets", "none", *kinds)


def pocketed(
    on: Board, panels: Part, kind: str, *, front: str, back: str, right: Length = inch(2), down: Length = inch(5)
) -> Part:
    """The panels with pockets of that kind. `front` and `back` are the edges of the side seam, `back.side`; a patch
    lies so far `right` of the front's origin, and `down`. Raises DraftError where they do not fit."""
    (name, side), behind = Ref.of(front)[:2], Ref.of(back).piece
    by_name = {piece.name: piece for piece in panels.pieces}
    if kind == "none":
        return panels
    if name not in by_name or behind not in by_name:
        on.refuse("pockets want a side seam between a front and a back", 'pocket_kind to "none"')
    if kind == IN_SEAM:
        by_name[name], by_name[behind], more = in_seam_pockets(on, by_name[name], by_name[behind], edge=side)
    elif kind == "patch":
        by_name[name], more = patch_pocket(on, by_name[name], right=on.usual(right), down=on.usual(down))
    else:
        by_name[name], more = slant_pocket(on, by_name[name], side=side)
        panels = replace(panels, seams=tuple(_with_bag(seam, Ref(name, side)) for seam in panels.seams), top=tuple(
            top for ref in panels.top for top in ((f"pocket_back.{Ref.of(ref).edge}", ref) if Ref.of(ref).piece == name
                                                  else (ref,))))  # fmt: skip
    return replace(panels, pieces=(*by_name.values(), *more.pieces), seams=(*more.seams, *panels.seams),
                   widths={**panels.widths, **more.widths})  # fmt: skip


def _with_bag(seam: Seam, side: Ref) -> Seam:
    """A side seam, of which what was cut off for a slant pocket is a part."""
    a, b = (tuple(each for ref in run for each in ((ref, Ref("pocket_back", side.edge)) if ref == side else (ref,)))
            for run in (seam.a, seam.b))  # fmt: skip
    return replace(seam, a=a, b=b)


def in_seam_pockets(
    on: Board, front: Piece, back: Piece, *, edge: str = "side", top: Length | None = None, wide: Length | None = None,
    deep: Length | None = None,
) -> tuple[Piece, Piece, Part]:  # fmt: skip
    """Pockets in the side seam: `top` of the opening below the waist, 3 in, and so `wide`, 6 in; the bag goes in from
    the seam so `deep`, 6 in."""
    deep = deep or on.usual(inch(6))
    begin = top or on.usual(inch(3))
    end = begin + (wide or on.usual(inch(6)))
    marked = [replace(p, notches=(*p.notches, *(NotchPlace(edge, _from_top(p, edge, far.mm), 1, name) for name, far in
                                                (("pocket top", begin), ("pocket end", end)))))
              for p in (front, back)]  # fmt: skip
    low, high = sorted(_from_top(front, edge, far.mm) for far in (begin, end))
    run = part(front.edge(edge).curves, low, high)
    run = run if run[0].start.y < run[-1].end.y else reverse(run)
    upright = turn_deg(direction(run[0].start, run[-1].end), Point(0.0, 1.0))
    run = moved_path(run, turn(run[0].start, upright))
    bag = on.sketch("pocket_bag", Cut("pair", 4))
    bag.trace("mouth", "pocket_end", run, "pocket_top")
    bag.at("bag_low", of="pocket_end", left=deep / 2, down=on.usual(inch(2)))
    bag.at("bag_in", of="pocket_end", left=deep, up=on.usual(inch(1)))
    bag.edge("bag", "pocket_end", curve(-90.0, "level"), "bag_low", curve("level", "upright"), "bag_in",
             curve("upright", "level"), "pocket_top")  # fmt: skip
    seams = [sew(f"{p.name} pocket seam", "pocket_bag.mouth", to=f"{p.name}.{edge} from pocket end to pocket top")
             for p in marked]  # fmt: skip
    on.note("Leave the side seams open between the pocket notches.")
    return (
        marked[0],
        marked[1],
        Part((bag.piece(),), (*seams, sew("pocket bag", "pocket_bag.bag", to="pocket_bag.bag"))),
    )


def patch_pocket(
    on: Board, piece: Piece, *, right: Length, down: Length, wide: Length | None = None, high: Length | None = None,
    name: str = "patch_pocket",
) -> tuple[Piece, Part]:  # fmt: skip
    """A patch pocket on either half of a piece, with a hem to turn: its upper corner so far right of and below the
    piece's origin, where a line shows its place. Raises DraftError where it does not lie on the piece."""
    across, tall = wide or on.usual(inch(5)), high or on.usual(inch(5.5))
    a, b = Point(right.mm, -down.mm), Point(right.mm + across.mm, -down.mm - tall.mm)
    corners = (a, Point(a.x, b.y), b, Point(b.x, a.y), a)
    reach = [p for edge in piece.edges for one in edge.curves for p in (one.start, one.end)]
    if b.x > max(p.x for p in reach) - 10 or b.y < min(p.y for p in reach) + 10:
        on.refuse(
            f"a pocket {on.say(across)} wide and {on.say(tall)} high does not lie on the {piece.name}", "its place"
        )
    patch = on.sketch(name, Cut("pair", 2))
    patch.box(across, tall, ("inner_side", "lower_edge", "outer_side", "hem"))
    patch.hem("hem", "top_right", "top_left")
    placed = replace(piece, internal_lines=(*piece.internal_lines, InternalLine("pocket", corners, LineKind.PLACEMENT)))
    return placed, Part((patch.piece(),), widths={f"{name}.hem": on.usual(inch(1))})


def welt_pocket(
    on: Board, piece: Piece, *, wide: Length, down: Length | None = None, waist: str = "waist"
) -> tuple[Piece, Part]:
    """A welt pocket on either half of a back: the place of its mouth, so far `down` below the waist, 7 cm, and along
    it; a welt, folded, 1/2 in high; a bag that hangs from it, twice 6 in long."""
    deep, high = down or on.usual(cm(7)), on.usual(inch(0.5))
    edge = piece.edge(waist)
    way, middle = direction(edge.start, edge.end), between(edge.start, edge.end)
    square = Point(way.y, -way.x) if way.x > 0 else Point(-way.y, way.x)
    middle = along(middle, square, deep.mm)
    ends = tuple(along(middle, way, share * wide.mm) for share in (-0.5, 0.5))
    mouth = (*ends, *(along(p, square, high.mm) for p in ends[::-1]), ends[0])
    welt, bag = on.sketch("back_welt", Cut("pair", 2)), on.sketch("back_bag", Cut("pair", 2, "lining"))
    welt.box(wide, high * 2, ("welt_end", "welt_seam", "welt_end_2", "mouth"))
    welt.between("fold_start", "bottom_left", "top_left")
    welt.between("fold_end", "bottom_right", "top_right")
    welt.line("fold", "fold_start", "fold_end", kind=LineKind.FOLD)
    bag.box(wide + on.usual(inch(1)), on.usual(inch(6)) * 2, ("bag_side", "bag_low", "bag_side_2", "bag_top"))
    on.note("Back pockets: sew the darts first, then cut the mouth open inside its line and turn the welt up over it.")
    return replace(
        piece, internal_lines=(*piece.internal_lines, InternalLine("welt pocket", mouth, LineKind.PLACEMENT))
    ), (Part((welt.piece(), bag.piece())))


def slant_pocket(on: Board, piece: Piece, *, side: str = "side", waist: str = "waist") -> tuple[Piece, Part]:
    """A slant pocket: the corner of a front cut off from the waist, 5 cm from the side, to hip ÷ 6 down the side, which
    stays 2 cm above the hip, or above where the side is widest. The back bag has what was cut off, with its bit of
    waist and side; the front bag is sewn along the slant. Both go 2 cm on below the waist, and are caught in its seam.
    Raises DraftError for no room."""
    hip, hip_line = on.body.hip_girth, next(level.depth for level in piece.levels if level.name == "hip")
    if "hip_side" in piece.points:
        hip_line = min(hip_line, -piece.points["hip_side"].y)
    down = least(hip / 6, mm(hip_line) - cm(2)).called("pocket down the side")
    top, beside = piece.edge(waist), piece.edge(side)
    a = place(top, cm(5).mm if top.start in (beside.start, beside.end) else top.length() - cm(5).mm)
    b = place(beside, _from_top(piece, side, down.mm))
    try:
        main, corner = cut(piece, a, b, names=(f"{piece.name}_main", "pocket_corner"), edge="slant",
                           holding=next(edge for edge in piece.beside(waist) if edge != side))  # fmt: skip
    except GeometryError:
        on.refuse(f"a slant pocket {on.say(cm(5))} from the side does not fit beside the darts and seams of the waist",
                  "pocket_kind")  # fmt: skip
    runs = [corner.edge(name).curves for name in (waist, side)]
    if runs[0][0].start != a:
        runs[0] = reverse(runs[0])
    if runs[1][-1].end != b:
        runs[1] = reverse(runs[1])
    bags = [on.sketch("pocket_back", Cut("pair", 2)), on.sketch("pocket_front", Cut("pair", 2, "lining"))]
    for bag in bags:
        bag.put("pocket_top", runs[0][0].start)
        bag.put("pocket_side", runs[1][-1].end)
        if bag.name == "pocket_back":
            bag.put("waist_side", runs[1][0].start)
            bag.trace(waist, "pocket_top", runs[0], "waist_side")
            bag.trace(side, "waist_side", runs[1], "pocket_side")
        else:
            bag.edge("slant", "pocket_top", "pocket_side")
        bag.at("bag_low", of="pocket_side", left=hip / 12, down=hip / 6)
        bag.at("bag_in", of="pocket_top", left=hip / 16, down=hip / 6)
        bag.at("bag_top", of="pocket_top", left=cm(2))
        bag.edge("bag", "pocket_side", curve("upright", "level"), "bag_low", curve("level", "upright"), "bag_in",
                 curve("upright", "upright"), "bag_top")  # fmt: skip
        bag.edge("bag_top", "bag_top", "pocket_top")
    on.note("Tape the mouths of the slant pockets, so that they do not stretch.")
    return replace(main, name=piece.name), Part(tuple(bag.piece() for bag in bags), (
        sew("pocket seam", "pocket_front.slant from start to end", to=f"{piece.name}.slant from start to end",
            how="faced"),
        sew("pocket bag", "pocket_front.bag from start to end", to="pocket_back.bag from start to end", within=1.0),
    ))  # fmt: skip  # a bag is trimmed even


def _from_top(piece: Piece, edge: str, far: float) -> float:
    """How far along an edge a place lies that is so far from its upper end, mm."""
    one = piece.edge(edge)
    return far if one.start.y > one.end.y else one.length() - far
