"""Pockets on finished pieces: in the side seam, patched on, or slant.

    front, back, bags = in_seam_pockets(on, front, back)        # notches on the sides, and the bags with their seams
    back, patch = patch_pocket(on, back, right=inch(2.5), down=inch(4))
    front, slant = slant_pocket(on, front)

The seams of a part come before the side seam. Rules: in-seam opening 6 in, its top 3 in below the waist (School
Needlework, and a sewing blog: 5 to 6 1/2 in); patch 5 by 5 1/2 in (a class's notes), never square (a pattern book of
1922), its hem 1 in; slant 5 cm in at the waist, hip ÷ 6 down the side, bag hip ÷ 3 long and hip ÷ 6 wide (a lesson on
trousers); the curves of the bags are common practice, no source.
"""

from __future__ import annotations

from ...draft.board import Board
from ...draft.cuts import cut
from ...draft.rulers import curve
from ...draft.stretches import place
from ...geometry.path import part, path_length, reverse
from ...geometry.point import Point
from ...model.length import Length, inch
from ...model.piece import Cut, InternalLine, LineKind, NotchPlace, Piece, sew
from ...values import replace
from .part import Part


def in_seam_pockets(
    on: Board, front: Piece, back: Piece, *, edge: str = "side", top: Length | None = None, wide: Length | None = None
) -> tuple[Piece, Piece, Part]:
    """Pockets in the side seam: `top` of the opening below the waist, 3 in, and so `wide`, 6 in."""
    begin = top or on.usual(inch(3))
    end = begin + (wide or on.usual(inch(6)))
    marked = [replace(p, notches=(*p.notches, *(NotchPlace(edge, _from_top(p, edge, far.mm), 1, name) for name, far in
                                                (("pocket top", begin), ("pocket end", end)))))
              for p in (front, back)]  # fmt: skip
    low, high = sorted(_from_top(front, edge, far.mm) for far in (begin, end))
    run = part(front.edge(edge).curves, low, high)
    run = run if run[0].start.y < run[-1].end.y else reverse(run)
    bag = on.sketch("pocket_bag", Cut("pair", 4))
    bag.trace("mouth", "pocket_end", run, "pocket_top")
    bag.at("bag_low", of="pocket_end", left=on.usual(inch(3)), down=on.usual(inch(2)))
    bag.at("bag_in", of="pocket_end", left=on.usual(inch(6)), up=on.usual(inch(1)))
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
    on: Board, piece: Piece, *, right: Length, down: Length, wide: Length | None = None, high: Length | None = None
) -> tuple[Piece, Part]:
    """A patch pocket on either half of a piece, with a hem to turn: its upper corner so far right of and below the
    piece's origin, where a line shows its place. Raises DraftError where it does not lie on the piece."""
    across, tall = wide or on.usual(inch(5)), high or on.usual(inch(5.5))
    a, b = Point(right.mm, -down.mm), Point(right.mm + across.mm, -down.mm - tall.mm)
    corners = (a, Point(a.x, b.y), b, Point(b.x, a.y), a)
    reach = [p for edge in piece.edges for p in (edge.start, edge.end)]
    if b.x > max(p.x for p in reach) - 10 or b.y < min(p.y for p in reach) + 10:
        on.refuse(
            f"a pocket {on.say(across)} wide and {on.say(tall)} high does not lie on the {piece.name}", "its place"
        )
    patch = on.sketch("patch_pocket", Cut("pair", 2))
    patch.box(across, tall, ("inner_side", "lower_edge", "outer_side", "hem"))
    patch.hem("hem", "top_right", "top_left")
    placed = replace(piece, internal_lines=(*piece.internal_lines, InternalLine("pocket", corners, LineKind.PLACEMENT)))
    return placed, Part((patch.piece(),), widths={"patch_pocket.hem": on.usual(inch(1))})


def slant_pocket(on: Board, piece: Piece, *, side: str = "side", waist: str = "waist") -> tuple[Piece, Part]:
    """A slant pocket: the piece cut from the waist, 5 cm from the side, to hip ÷ 6 down the side; what is cut off is
    the under piece, cut with its bag, and the rest is called after the piece, `front_main`.

    Raises GeometryError where a dart lies in the way.
    """
    down = (on.body.hip_girth / 6).called("pocket down the side")
    in_by = on.usual(inch(2)).called("pocket from the side")
    top, beside = piece.edge(waist), piece.edge(side)
    at_side = place(beside, _from_top(piece, side, down.mm))
    starts = top.start.x > top.end.x
    at_waist = place(top, in_by.mm if starts else top.length() - in_by.mm)
    corner = f"{piece.name}_main"
    main, under = cut(piece, at_waist, at_side, names=(corner, "under_piece"), edge="slant", holding=_centre(piece))
    bag = on.sketch("slant_bag", Cut("pair", 2))
    path = main.edge("slant").curves
    run = path if path[0].start.y < path[-1].end.y else reverse(path)
    bag.trace("mouth", "slant_low", run, "slant_top")
    long, wide = on.body.hip_girth / 3, on.body.hip_girth / 6
    bag.at("bag_low", of="slant_top", down=long)
    bag.at("bag_in", of="slant_top", left=wide / 2, down=long / 2)
    bag.edge("bag", "slant_low", curve(-90.0, "level"), "bag_low", curve("level", "upright"), "bag_in",
             curve("upright", "free"), "slant_top")  # fmt: skip
    on.note(f"Slant pocket: its mouth is {on.say(path_length(path))} long; tape it, so that it does not stretch.")
    return main, Part(
        (replace(under, worn=""), bag.piece()), (sew("pocket mouth", "slant_bag.mouth", to=f"{corner}.slant"),)
    )


def _centre(piece: Piece) -> str:
    return next(edge.name for edge in piece.edges if edge.name.startswith("centre"))


def _from_top(piece: Piece, edge: str, far: float) -> float:
    """How far along an edge a place lies that is so far from its upper end, mm."""
    one = piece.edge(edge)
    return far if one.start.y > one.end.y else one.length() - far
