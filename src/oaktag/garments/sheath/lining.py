"""The lining, derived from the shell and its facings; one length from the facing to the hem, also over a waist seam."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from ...draft.construct import flared_hem, level_curve, trimmed
from ...draft.derive import split
from ...draft.worksheet import Worksheet
from ...errors import DraftError
from ...geometry.curve import Line
from ...geometry.path import Path, path_length, pinned, place_at, reverse, shifted
from ...geometry.point import XY, Point, along, direction, left_of
from ...model.draft import Step, Zip
from ...model.piece import Edge, EdgeKind, InternalLine, LineKind, NotchPlace, Piece, half_cut, sew
from ...model.walking import Walk
from ...units import INCH, Unit, rounded, show
from ...values import dataclass, replace
from ...model.length import Length
from .shell import Made
from .facings import armhole_edge, armhole_notch, to_shell
from .half import Half
from .shell import back_on_fold, drawn_side, open_bust_darts, side_edge, side_notches, smooth_across
from .style import Asked

OPEN_ABOVE: Final = INCH / 2
"""The lining's centre back seam ends this far above a vent or slit, mm (1/2 in; common practice, no source)."""
PLEAT_TACK: Final = INCH
"""A waist pleat is marked this far above and below the waist line, mm (1 in; common practice, no source)."""
TRIMMED: Final = INCH / 8
"""Allowance of interfacing, mm (1/8 in; common practice, no source)."""


def default_allowances(pieces: tuple[Piece, ...], unit: Unit) -> dict[str, float]:
    """Widths of linings, of facings that a lining is sewn to, and of interfacings, by piece and edge.

    Common practice, no source.
    """
    own: dict[str, float] = {}
    names = {piece.name for piece in pieces}
    for piece in pieces:
        if piece.material == "lining":
            for edge, width in (("hem", INCH), ("top_edge", INCH / 2), ("centre_back", INCH), ("slit", INCH)):
                if any(e.name == edge and e.kind is not EdgeKind.FOLD for e in piece.edges):
                    own[f"{piece.name}.{edge}"] = width
        elif piece.material == "interfacing":
            own |= {f"{piece.name}.{e.name}": TRIMMED for e in piece.edges if e.kind is not EdgeKind.FOLD}
    if "lining_front" in names:
        own |= {f"{name}.outer_edge": INCH / 2 for name in ("facing_front", "facing_back")}
    from ...model.length import mm
    return {name: mm(width) for name, width in own.items()}


def draft_lining(
    on,
    front: Half,
    back: Half,
    asked: Asked,
    unit: Unit,
    zipper: Zip | None,
    walk: Walk,
    facings: Made,
    sleeve: Piece | None,
    notes: list[str],
) -> Made:
    """Lining of front, back and sleeve; nothing where none is asked for.

    The top edge is the facing's; shoulder, armhole and side are the shell's; the hem hangs higher. Waist darts are laid
    as pleats the other way, a bust dart is sewn. At the centre back a pleat gives ease, unless a zip is there.
    Raises DraftError where the facing leaves no room.
    """
    if not (asked.choice("lining") == "full"):
        return Made(), []
    made = [_half(on, half, asked, unit, zipper, walk, facings) for half in (front, back)]
    pieces = [piece for piece, _ in made]
    steps = [step for _, own in made for step in own]
    all_in_one = asked.choice("facing") == "all-in-one"
    seams = [
        sew(f"{half.name} lining to facing", f"lining_{half.name}.top_edge", to=f"facing_{half.name}.outer_edge")
        for half in (front, back)
    ]
    seams.append(sew("lining side seam", "lining_front.side", to="lining_back.side"))
    joins = [smooth_across("lining hem across the side", "lining_front", "lining_back", "hem", "side")]
    if not all_in_one:
        seams.append(sew("lining shoulder seam", "lining_front.shoulder", to="lining_back.shoulder"))
        joins.append(
            smooth_across("lining armhole across the shoulder", "lining_front", "lining_back", "armhole", "shoulder")
        )
        if (asked.choice("sleeve") in ("none", "cap")):
            seams += [
                to_shell(half, piece, "armhole", "lining")
                for half, piece in zip((front, back), pieces, strict=True)
            ]
            notes.append(
                "The lining is sewn to the armhole, which has no facing of its own."
                + (' facing = "all-in-one" would keep it out of sight.' if asked.choice("sleeve") == "none" else "")
            )
        elif sleeve is not None:
            lining = _sleeve(sleeve, asked, unit, notes)
            pieces.append(lining)
            ease = asked.length("cap_ease")
            armholes = ("lining_front.armhole", "lining_back.armhole")
            seams.append(sew("lining sleeve cap", "lining_sleeve.cap", to=armholes, ease=ease))
            seams.append(sew("lining underarm seam", "lining_sleeve.underarm_front", to="lining_sleeve.underarm_back"))
    notes += _notes(front, asked, unit, zipper, walk)
    return Made(tuple(pieces), tuple(seams), tuple(joins)), steps


def _notes(front: Half, asked: Asked, unit: Unit, zipper: Zip | None, walk: Walk) -> list[str]:
    notes = []
    tack, above = (show(rounded(length, unit), unit) for length in (PLEAT_TACK, OPEN_ABOVE))
    if front.darts:
        notes.append(
            "Lining: lay the waist darts as pleats, towards the side seams where the shell's are pressed to the "
            f"centre; tack them {tack} above and below the waist line, and leave them loose beyond."
        )
    if zipper is not None and zipper.place == "centre back":
        notes.append(
            "Lining: the zip leaves no place for a pleat at the centre back; its ease is in the loose waist pleats."
        )
    if zipper is not None and zipper.place == "side":
        notes.append("Lining: leave the side seam open between the zip notches, and sew the lining to the zip by hand.")
    if walk.opening != "none":
        notes.append(
            f"Lining: sew its centre back seam only down to {above} above the {walk.opening}; from there hem its edges."
        )
    return notes


# ---------------------------------------------------------------- front and back


@dataclass(frozen=True, slots=True)
class _CentreLine:
    """The lining's centre, from the top edge down to the hem, what it adds to the top edge and to the hem."""

    edges: tuple[Edge, ...]
    top: Path = ()
    hem: Path = ()
    notches: tuple[NotchPlace, ...] = ()
    lines: tuple[InternalLine, ...] = ()
    points: Mapping[str, Point] | None = None


def _half(
    on, half: Half, asked: Asked, unit: Unit, zipper: Zip | None, walk: Walk, facings: Made
) -> tuple[Piece, list[Step]]:
    name = f"lining_{half.name}"
    w = Worksheet(name)
    facing = facings.piece(f"facing_{half.name}")
    all_in_one = asked.choice("facing") == "all-in-one"
    top = reverse(facing.edge("outer_edge").curves)
    rise = asked.length("lining_hem_rise")
    w("hem line", "the shell's hem line − {rise}", half.depth("hem_centre") - rise, rise=rise)
    corner, way = place_at(reverse(half.side), rise)
    hem = shifted(_hem(half, rise, corner, (-way.x, -way.y)), 0.0, -half.drop)
    hem_centre = hem[0].start
    upper: tuple[Edge, ...] = ()
    if all_in_one:
        start = top[0].start
    else:
        faced = (asked.choice("sleeve") in ("none", "cap"))
        armhole = armhole_edge(on, half, Length(asked.length("turn_of_cloth") if faced else 0.0, "option", name="turn_of_cloth"))
        start = armhole[0].start
        upper = (
            Edge("armhole", EdgeKind.SEAM, armhole),
            Edge.straight("shoulder", armhole[-1].end, top[0].start),
        )
        w("shoulder", "what the facing leaves of it", upper[1].length())
    if corner.y > half.points["hip_side"].y - 10:
        raise DraftError(f"{name}: its hem would lie at the hip line. Make lining_hem_rise less, or the dress longer.")
    whole = replace(half, side=trimmed(half.side, start.y, corner.y))
    side = drawn_side(whole)
    lower, upper_side = pinned(side.lower, hem[-1].end), pinned(side.upper, end=start)
    edge = side_edge((*lower, *upper_side), side.mouth, path_length(lower))
    centre = _centre(half, asked, zipper, walk, top, hem_centre, unit, w)
    points = half.drawn_points()
    on_fold = centre.edges[0].kind is EdgeKind.FOLD
    count = 1 if half.name == "front" else 2
    mouths = ((path_length(top), path_length(top) + path_length(centre.top)),) if centre.top else ()
    piece = Piece(
        name,
        (
            *centre.edges,
            Edge("hem", EdgeKind.HEM, (*centre.hem, *hem)),
            edge,
            *upper,
            Edge("top_edge", EdgeKind.SEAM, (*top, *centre.top), mouths),
        ),
        points={key: points[key] for key in ("waist_side", "hip_side")}
        | {"hem_side": hem[-1].end, "hem_centre": hem_centre}
        | {key: p for key, p in facing.points.items() if key.startswith("facing_")}
        | ({} if all_in_one else {"underarm": start, "shoulder_tip": upper[0].end})
        | dict(centre.points or {}),
        grain=_grain(half, points, hem_centre),
        to_cut=half_cut(on_fold, "lining"),
        darts=open_bust_darts(whole, side),
        notches=(
            *centre.notches,
            *(n for n in side_notches(whole, side, zipper) if n.at <= edge.length() - 1),
            *(() if all_in_one else (armhole_notch(half, upper[0].curves, "sleeve"),)),
            NotchPlace("top_edge", path_length(top) / 2, count, "facing"),
        ),
        internal_lines=(*_waist_pleats(half, points, unit), *centre.lines),
    )  # fmt: skip
    return piece, w.steps


def _hem(half: Half, rise: float, corner: Point, side_way: XY) -> Path:
    """As the shell's hem, higher; square to the side, where the shell's own side seam has not ended yet."""
    centre = Point(0.0, half.hem[0].start.y + rise)
    if not all(isinstance(curve, Line) for curve in half.hem):
        return flared_hem(centre, corner, side_way)
    middle = Point(corner.x / 2, centre.y)
    return (Line(centre, middle), *flared_hem(middle, corner, side_way))


def _centre(
    half: Half, asked: Asked, zipper: Zip | None, walk: Walk, top: Path, hem: Point, unit: Unit, w: Worksheet
) -> _CentreLine:
    """On the fold; or a seam, which an opening at the hem ends. Without a zip, the back is wider by a pleat."""
    low = top[-1].end
    if half.name == "front":
        return _CentreLine((Edge.straight("centre_front", low, hem, EdgeKind.FOLD),))
    zipped = zipper is not None and zipper.place == "centre back"
    deep = 0.0 if zipped else asked.length("lining_pleat")
    waist, hip = half.points["waist_side"].y, half.points["hip_side"].y
    added: Path = ()
    lines: tuple[InternalLine, ...] = ()
    notches: tuple[NotchPlace, ...] = ()
    if deep > 0:
        w("centre back pleat", "beyond the centre back line, so deep", deep)
        added = (Line(low, Point(low.x - deep, low.y)),)
        lines = (InternalLine("pleat line", (low, Point(low.x, waist)), LineKind.PLEAT),)
        notches = (NotchPlace("top_edge", path_length(top), 1, "pleat"),)
    outer = Point(low.x - deep, low.y)
    if back_on_fold(zipper, walk):
        foot = Point(outer.x, hem.y)
        below = (Line(foot, hem),) if deep > 0 else ()
        edge = Edge.straight("centre_back", outer, foot, EdgeKind.FOLD)
        return _CentreLine((edge,), added, below, notches, lines)
    at_waist = Point(outer.x, waist)
    seam: Path = (Line(outer, at_waist), level_curve(at_waist, (0.0, hip), 0.0, 0.0)) if deep > 0 else ()
    last = seam[-1].end if seam else outer
    if zipped and zipper is not None:
        notches += (NotchPlace("centre_back", low.y + zipper.end_depth, 1, "zip end"),)
    if walk.opening == "none":
        return _CentreLine((Edge("centre_back", EdgeKind.SEAM, (*seam, Line(last, hem))),), added, (), notches, lines)
    shell_hem = -half.depth("hem_centre") - half.drop
    above = rounded(OPEN_ABOVE, unit)
    stop = Point(0.0, shell_hem + walk.opening_length + above)
    if stop.y > last.y - 1 or stop.y < hem.y + INCH:
        raise DraftError(
            f"lining_back: its centre back seam has no room above the {walk.opening}. Make opening_length or "
            "lining_hem_rise less."
        )
    w("centre back seam ends", "{above} above the opening, from the hem up", stop.y - hem.y, above=above)
    closed = Edge("centre_back", EdgeKind.SEAM, (*seam, Line(last, stop)))
    notches += (NotchPlace("centre_back", closed.length(), 1, f"{walk.opening} top"),)
    slit = Edge.straight("slit", stop, hem, EdgeKind.OPENING)
    return _CentreLine((closed, slit), added, (), notches, lines, {"opening_top": stop})


def _waist_pleats(half: Half, points: Mapping[str, Point], unit: Unit) -> tuple[InternalLine, ...]:
    """Where each waist dart is laid as a pleat: a line on either side of it, across the waist."""
    y, tack = points["waist_side"].y, rounded(PLEAT_TACK, unit)
    return tuple(
        InternalLine(words, (Point(leg.x, y + tack), Point(leg.x, y - tack)), LineKind.PLEAT)
        for dart in half.darts
        for words, leg in (("pleat, lay to the side", dart.points[3]), ("pleat", dart.points[1]))
    )


def _grain(half: Half, points: Mapping[str, Point], hem: Point) -> tuple[Point, Point]:
    """Upright, between the centre line and the waist pleat, from below the top edge to half way down the skirt."""
    x = half.beside_centre
    above = half.darts[0].points[0].y if half.darts else points["underarm"].y
    top = (above + points["waist_side"].y) / 2
    return Point(x, top), Point(x, (points["hip_side"].y + hem.y) / 2)


# ---------------------------------------------------------------- sleeve


def _sleeve(sleeve: Piece, asked: Asked, unit: Unit, notes: list[str]) -> Piece:
    """The sleeve, cut off above its hem."""
    hem = sleeve.edge("hem")
    rise = asked.length("lining_hem_rise")
    short = min(sleeve.edge("underarm_front").length(), sleeve.edge("underarm_back").length()) / 2
    if rise > short:
        notes.append(
            f"The sleeve lining is only {show(short, unit)} shorter than the sleeve, whose seam is that short."
        )
        rise = short
    way = direction(hem.start, hem.end)
    a, b = (along(p, left_of(way), rise) for p in (hem.start, hem.end))
    kept, _ = split(sleeve, a, b, name="hem", names=("lining_sleeve", "cut_off"))
    first, *rest = kept.edges
    back = kept.edge("underarm_back").length()
    return replace(
        kept,
        edges=(replace(first, kind=EdgeKind.HEM), *rest),
        points={key: p for key, p in kept.points.items() if not key.startswith("hem")}
        | {"hem_back": first.start, "hem_front": first.end},
        to_cut=replace(kept.to_cut, cloth="lining"),
        notches=(
            *kept.notches,
            NotchPlace("underarm_front", 0.0, 1, "hem fold"),
            NotchPlace("underarm_back", back, 1, "hem fold"),
        ),
    )
