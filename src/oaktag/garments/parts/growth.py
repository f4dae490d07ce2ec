"""Room to grow in children's garments: a deep hem, tucks above it, a wider waist seam.

    hem = growth_hem(on, SKIRT, sizes=2)
    skirt = tucks(on, skirt, "hem", 3, cm(1), above=hem + cm(1))

Rules: of each size, 6 cm in height, the skirt takes 0.55 and a leg 0.67 from the waist down, a sleeve 0.36 (derived:
0.5 to 0.6 for a skirt in the trade's rule; leg and sleeve as the chart of children that ships grows). Or, by a magazine
of 1976 for sizes 4 to 6: bodice 1/2 in, skirt 1 1/2 in, a long dress 2 1/4 in a size. Usual hems 7 cm of a skirt, 4 of
a sleeve, 5 of a leg (chosen); a waist seam 1/2 in wider; a tuck takes twice its depth.
"""

from __future__ import annotations

from typing import Final

from ...draft.board import Board
from ...draft.inside import crossing
from ...draft.pivots import spread
from ...draft.sectors import Opening
from ...errors import GeometryError
from ...geometry.curve import Line
from ...geometry.point import Point
from ...model.length import Length, cm, inch
from ...model.piece import Edge, EdgeKind, InternalLine, LineKind, Piece
from ...values import replace

STEP: Final = cm(6)
"""From one size to the next, in height."""
SKIRT: Final = 0.55
LEG: Final = 0.67
SLEEVE: Final = 0.36
SKIRT_HEM: Final = inch(2.75)
LEG_HEM: Final = inch(2)
SLEEVE_HEM: Final = inch(1.5)
BODICE_A_SIZE: Final = inch(0.5)
SKIRT_A_SIZE: Final = inch(1.5)
FLOOR_A_SIZE: Final = inch(2.25)
"""How much longer bodice, short skirt and long dress get from one size to the next."""
TURNED: Final = inch(0.375)
"""Of a hem that is let down so much stays turned (common practice, no source)."""
WAIST_SEAM: Final = inch(1)
"""The allowance of a waist seam that can be let out: 1/2 in, and 1/2 in more."""


def growth_hem(on: Board, share: float, sizes: float = 1.0) -> Length:
    """What a garment must be let down by for so many sizes, where it takes that share of what the child grows."""
    return on.usual(STEP * (share * sizes)).called("room to grow")


def grown(sizes: float, *, to_floor: bool = False) -> Length:
    """By how much a dress gets longer in so many sizes: bodice and skirt, or down to the floor.

    >>> grown(1).mm / 25.4, grown(2, to_floor=True).mm / 25.4
    (2.0, 4.5)
    """
    return (FLOOR_A_SIZE if to_floor else BODICE_A_SIZE + SKIRT_A_SIZE) * sizes


def tell_growth(on: Board, what: str, hem: Length, share: float) -> None:
    """Tell the maker how far a hem can be let down, and for how many sizes that is."""
    room, a_size = hem - TURNED, growth_hem(on, share)
    if room.mm <= 0:
        return
    on.note(f"To grow: the hem of the {what} can be let down by {on.say(on.usual(room))}; from one size to the next "
            f"({on.say(STEP)} in height) it takes {on.say(a_size)}.")  # fmt: skip


def tucks(on: Board, piece: Piece, edge: str, count: int, deep: Length, *, above: Length | None = None) -> Piece:
    """A piece made longer by decorative tucks across it above a hem, each taking twice its depth; they are laid down
    towards the hem, as far apart as they are deep, the lowest fold so far above the hem, 3 in. Levels stay as worn.

    Raises DraftError where a tuck does not lie on the piece, where a hem bends so that no straight tuck goes along it,
    and where darts lie in the way.
    """
    low = above or on.usual(inch(3))
    hem = piece.edge(edge)
    heights = [p.y for curve in hem.curves for p in (curve.start, curve.at(0.5), curve.end)]
    bent = max(heights) - min(heights)
    if bent > deep.mm:
        on.refuse(f"the hem of the {piece.name} bends by {on.say(bent)}, and tucks {on.say(deep)} deep go straight "
                  "across", "tucks to 0")  # fmt: skip
    lines: list[InternalLine] = []
    for k in range(count):  # from the top down: each lowers the hem, and leaves where it is what lies above
        fold = min(heights) + low.mm + 2 * deep.mm * (count - 1 - 2 * k)
        piece, three = _tucked(on, piece, fold, deep.mm, k + 1)
        lines += three
    on.note(
        f"Tucks: {count} across the {piece.name.replace('_', ' ')}, each {on.say(deep)} deep. Fold each at its "
        f"middle line, stitch its outer lines together, press it down. Let out, it gives {on.say(deep * 2)}."
    )
    return replace(piece, internal_lines=(*piece.internal_lines, *lines))


def _tucked(on: Board, piece: Piece, fold: float, deep: float, number: int) -> tuple[Piece, list[InternalLine]]:
    """One tuck put in, whose fold lies at the level `fold` when it is pressed down; and its three lines."""
    level = fold + deep
    xs = [p.x for each in piece.edges for p in (each.start, each.end)]
    across = (Line(Point(min(xs) - 1000.0, level), Point(max(xs) + 1000.0, level)),)
    met = [(each, found) for each in piece.edges if (found := crossing(each.curves, across)) is not None]
    higher = [each.name for each in piece.edges if min(each.start.y, each.end.y) > level]
    if len(met) != 2 or not higher:
        on.refuse(f"tuck {number} does not lie on the {piece.name}", "tucks to fewer, or less deep")
    met.sort(key=lambda pair: pair[0].start.y < pair[0].end.y)  # first the edge that runs down to the hem
    (down, first), (up, second) = met
    folds = {each.name for each in piece.edges if each.kind is EdgeKind.FOLD}
    loose = replace(piece, edges=tuple(replace(each, kind=EdgeKind.SEAM) for each in piece.edges))
    try:
        longer = spread(loose, Opening(down.name, first.far, "tuck", pressed="end"), (up.name, second.far), 2 * deep,
                        2 * deep, hold=higher[0])  # fmt: skip
    except GeometryError as fault:
        on.refuse(f"tuck {number} does not lie on the {piece.name}: {fault}", "tucks to fewer, or less deep")
    ends = (first.at, second.at)
    three = [
        InternalLine(f"tuck {number} {'fold' if k == 1 else f'line {k // 2 + 1}'}",
                     tuple(Point(p.x, level - k * deep) for p in ends), LineKind.FOLD if k == 1 else LineKind.PLEAT)
        for k in range(3)
    ]  # fmt: skip
    kinds = {each.name: each.kind for each in piece.edges}
    edges = [replace(each, kind=kinds[each.name]) for each in longer.edges]
    edges = [
        Edge.straight(each.name, each.start, each.end, each.kind) if each.name in folds else each for each in edges
    ]
    notches = tuple(each for each in longer.notches if each.name != "tuck" or each.edge not in folds)
    return replace(longer, edges=tuple(edges), notches=notches), three
