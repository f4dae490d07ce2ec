"""The lining, derived from the shell and its facings; one length from the facing to the hem, also over a waist seam."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from ...draft.board import Board
from ...draft.construct import flared_hem, level_curve, trimmed
from ...draft.cuts import cut
from ...draft.moves import copy
from ...draft.sketch import Sketch
from ...errors import DraftError
from ...geometry.curve import Line
from ...geometry.path import Path, path_length, pinned, place_at, reverse, shifted
from ...geometry.point import XY, Point, along, direction, left_of
from ...model.length import Length, found, inch
from ...model.piece import Edge, EdgeKind, InternalLine, LineKind, NotchPlace, Piece, Take, half_cut
from ...units import INCH
from ...values import replace
from .facings import armhole_edge, armhole_notch
from .half import Half
from .openings import Opened
from .shell import CentreLine, drawn_side, open_bust_darts, side_notches

OPEN_ABOVE: Final = inch(0.5)
"""The lining's centre back seam ends this far above a vent or slit (1/2 in; common practice, no source)."""
PLEAT_TACK: Final = inch(1)
"""A waist pleat is marked this far above and below the waist line (1 in; common practice, no source)."""
WIDTHS: Final[Mapping[str, Mapping[str, Length]]] = {
    "lining": {"hem": inch(1), "top_edge": inch(0.5), "centre_back": inch(1), "slit": inch(1)},
    "interfacing": dict.fromkeys(("centre_back", "outer_edge", "side", "armhole", "shoulder", "neckline"), inch(0.125)),
}
"""Allowances by material and edge, where they differ from the shell's (common practice, no source)."""


def own_widths(pieces: Iterable[Piece], lined: bool) -> dict[str, Length]:
    """Allowances of linings, of interfacings, and of facings that a lining is sewn to, by piece and edge."""
    own = {
        f"{piece.name}.{edge.name}": WIDTHS[piece.material][edge.name]
        for piece in pieces
        if piece.material in WIDTHS
        for edge in piece.edges
        if edge.kind is not EdgeKind.FOLD and edge.name in WIDTHS[piece.material]
    }
    return own | {f"facing_{half}.outer_edge": inch(0.5) for half in ("front", "back") if lined}


def draft_lining(
    on: Board, front: Half, back: Half, opened: Opened, facings: Sequence[Piece], sleeve: Piece | None, *,
    in_one: bool, sleeved: str, turn: Length, rise: Length, pleat: Length,
) -> list[Piece]:  # fmt: skip
    """Lining of front, back and sleeve.

    The top edge is the facing's; shoulder, armhole and side are the shell's; the hem hangs higher. Waist darts are laid
    as pleats the other way, a bust dart is sewn. At the centre back a pleat gives ease, unless a zip is there.
    Raises DraftError where the facing leaves no room.
    """
    faced = sleeved in ("none", "cap")
    pieces = [
        _half(on, half, opened, facing, rise, pleat,
              None if in_one else armhole_edge(on, half, turn) if faced else half.armhole)
        for half, facing in zip((front, back), facings, strict=False)
    ]  # fmt: skip
    if faced and not in_one:
        on.note(
            "The lining is sewn to the armhole, which has no facing of its own."
            + (' facing = "all-in-one" would keep it out of sight.' if sleeved == "none" else "")
        )
    elif sleeve is not None:
        pieces.append(_sleeve(on, sleeve, rise.mm))
    _tell(on, bool(front.darts), opened)
    return pieces


def _tell(on: Board, darts: bool, opened: Opened) -> None:
    """How it is sewn in."""
    tack, above = (on.say(on.usual(length)) for length in (PLEAT_TACK, OPEN_ABOVE))
    if darts:
        on.note(
            "Lining: lay the waist darts as pleats, towards the side seams where the shell's are pressed to the "
            f"centre; tack them {tack} above and below the waist line, and leave them loose beyond."
        )
    if opened.zipper is not None:
        on.note(
            "Lining: leave the side seam open between the zip notches, and sew the lining to the zip by hand."
            if opened.back_end is None
            else "Lining: the zip leaves no place for a pleat at the centre back; "
            "its ease is in the loose waist pleats."
        )
    if (kind := opened.walk.opening) != "none":
        on.note(f"Lining: sew its centre back seam only down to {above} above the {kind}; from there hem its edges.")


# ---------------------------------------------------------------- front and back


def _half(
    on: Board, half: Half, opened: Opened, facing: Piece, rise: Length, pleat: Length, armhole: Path | None
) -> Piece:  # fmt: skip
    """One half; under a facing in one with that of the armhole it has neither armhole nor shoulder."""
    s = on.sketch(f"lining_{half.name}")
    s.tell(found(half.depth("hem_centre") - rise.mm, "the shell's hem line − {}", rise), "hem line", "hem_centre.y")
    top = reverse(facing.edge("outer_edge").curves)
    corner, way = place_at(reverse(half.side), rise.mm)
    hem = shifted(_hem(half, rise.mm, corner, (-way.x, -way.y)), 0.0, -half.drop)
    start, named = top[0].start, dict[str, Point]()
    upper: tuple[Edge, ...] = ()
    notches: tuple[NotchPlace, ...] = ()
    if armhole is not None:
        start, tip = armhole[0].start, armhole[-1].end
        upper = (Edge("armhole", EdgeKind.SEAM, armhole), Edge.straight("shoulder", tip, top[0].start))
        named = {"underarm": start, "shoulder_tip": tip}
        notches = (armhole_notch(half, armhole, "sleeve"),)
        s.tell(found(upper[1].length(), "what the facing leaves of it"), "shoulder", about="shoulder")
    if corner.y > half.points["hip_side"].y - 10:
        raise DraftError(
            f"{s.name}: its hem would lie at the hip line. Make lining_hem_rise less, or the dress longer."
        )
    whole = replace(half, side=trimmed(half.side, start.y, corner.y))
    drawn = drawn_side(whole)
    edge, points = replace(drawn, curves=pinned(drawn.curves, hem[-1].end, start)), half.drawn_points()
    centre = _centre(on, s, half, opened, top, hem[0].start, pleat.mm)
    long = path_length(top)
    laid = (Take(long, long + path_length(centre.top), "pleat"),) if centre.top else ()
    return Piece(
        s.name,
        (
            *centre.edges,
            Edge("hem", EdgeKind.HEM, (*centre.hem, *hem)),
            edge,
            *upper,
            Edge("top_edge", EdgeKind.SEAM, (*top, *centre.top), laid),
        ),
        points={key: points[key] for key in ("waist_side", "hip_side")}
        | {"hem_side": hem[-1].end, "hem_centre": hem[0].start}
        | {key: p for key, p in facing.points.items() if key.startswith("facing_")}
        | named
        | dict(centre.points),
        grain=_grain(half, points, hem[0].start),
        to_cut=half_cut(centre.on_fold, "lining"),
        darts=open_bust_darts(whole),
        notches=(
            *centre.notches,
            *(n for n in side_notches(whole, drawn, opened) if n.at <= edge.length() - 1),
            *notches,
            NotchPlace("top_edge", long / 2, half.count, "facing"),
        ),
        internal_lines=(*_waist_pleats(half, points["waist_side"].y, on.usual(PLEAT_TACK).mm), *centre.lines),
    )


def _hem(half: Half, rise: float, corner: Point, side_way: XY) -> Path:
    """As the shell's hem, higher; square to the side, where the shell's own side seam has not ended yet."""
    centre = Point(0.0, half.hem[0].start.y + rise)
    if not all(isinstance(curve, Line) for curve in half.hem):
        return flared_hem(centre, corner, side_way)
    middle = Point(corner.x / 2, centre.y)
    return (Line(centre, middle), *flared_hem(middle, corner, side_way))


def _centre(on: Board, s: Sketch, half: Half, opened: Opened, top: Path, hem: Point, pleat: float) -> CentreLine:
    """On the fold; or a seam, which an opening at the hem ends. Without a zip, the back is wider by a pleat."""
    low, name = top[-1].end, f"centre_{half.name}"
    if half.name == "front":
        return CentreLine((Edge.straight(name, low, hem, EdgeKind.FOLD),))
    zip_end, walk = opened.back_end, opened.walk
    deep = pleat if zip_end is None else 0.0
    outer, waist = Point(low.x - deep, low.y), half.points["waist_side"].y
    line = CentreLine(())
    curves: Path = ()
    if deep > 0:
        s.tell(found(deep, "beyond the centre back line, so deep"), "centre back pleat", about=name)
        at_waist = Point(outer.x, waist)
        curves = (Line(outer, at_waist), level_curve(at_waist, (0.0, half.points["hip_side"].y), 0.0, 0.0))
        line = CentreLine(
            (),
            top=(Line(low, outer),),
            notches=(NotchPlace("top_edge", path_length(top), 1, "pleat"),),
            lines=(InternalLine("pleat line", (low, Point(low.x, waist)), LineKind.PLEAT),),
        )
    if opened.nowhere_at_back:
        foot = Point(outer.x, hem.y)
        edge = Edge.straight(name, outer, foot, EdgeKind.FOLD)
        return replace(line, edges=(edge,), hem=(Line(foot, hem),) if deep > 0 else ())
    last, notches = curves[-1].end if curves else outer, line.notches
    if zip_end is not None:
        notches += (NotchPlace(name, low.y + zip_end, 1, "zip end"),)
    if walk.opening == "none":
        return replace(line, edges=(Edge(name, EdgeKind.SEAM, (*curves, Line(last, hem))),), notches=notches)
    above = on.usual(OPEN_ABOVE)
    stop = Point(0.0, -half.depth("hem_centre") - half.drop + walk.opening_length + above.mm)
    if stop.y > last.y - 1 or stop.y < hem.y + INCH:
        raise DraftError(
            f"lining_back: its centre back seam has no room above the {walk.opening}. Make opening_length or "
            "lining_hem_rise less."
        )
    s.tell(found(stop.y - hem.y, "{} above the opening, from the hem up", above), "centre back seam ends", about="slit")
    closed = Edge(name, EdgeKind.SEAM, (*curves, Line(last, stop)))
    return replace(
        line,
        edges=(closed, Edge.straight("slit", stop, hem, EdgeKind.OPENING)),
        notches=(*notches, NotchPlace(name, closed.length(), 1, f"{walk.opening} top")),
        points={"opening_top": stop},
    )


def _waist_pleats(half: Half, y: float, tack: float) -> tuple[InternalLine, ...]:
    """Where each waist dart is laid as a pleat: a line on either side of it, across the waist."""
    return tuple(
        InternalLine(words, (Point(leg.x, y + tack), Point(leg.x, y - tack)), LineKind.PLEAT)
        for dart in half.darts
        for words, leg in (("pleat, lay to the side", dart.points[3]), ("pleat", dart.points[1]))
    )


def _grain(half: Half, points: Mapping[str, Point], hem: Point) -> tuple[Point, Point]:
    """Upright, between the centre line and the waist pleat, from below the top edge to half way down the skirt."""
    x = half.beside_centre
    above = half.darts[0].points[0].y if half.darts else points["underarm"].y
    return Point(x, (above + points["waist_side"].y) / 2), Point(x, (points["hip_side"].y + hem.y) / 2)


# ---------------------------------------------------------------- sleeve


def _sleeve(on: Board, sleeve: Piece, rise: float) -> Piece:
    """The sleeve, cut off above its hem."""
    hem = sleeve.edge("hem")
    short = min(sleeve.edge("underarm_front").length(), sleeve.edge("underarm_back").length()) / 2
    if rise > short:
        on.note(f"The sleeve lining is only {on.say(short)} shorter than the sleeve, whose seam is that short.")
        rise = short
    way = direction(hem.start, hem.end)
    a, b = (along(p, left_of(way), rise) for p in (hem.start, hem.end))
    upper, _ = cut(sleeve, a, b, edge="hem", names=("upper_sleeve", "cut_off"))
    kept = copy(upper, "lining_sleeve")
    first, *rest = kept.edges
    folds = (("underarm_front", 0.0), ("underarm_back", kept.edge("underarm_back").length()))
    return replace(
        kept,
        edges=(replace(first, kind=EdgeKind.HEM), *rest),
        points={key: p for key, p in kept.points.items() if not key.startswith("hem")}
        | {"hem_back": first.start, "hem_front": first.end},
        to_cut=replace(kept.to_cut, cloth="lining"),
        worn="",
        notches=(*kept.notches, *(NotchPlace(edge, at, 1, "hem fold") for edge, at in folds)),
    )
