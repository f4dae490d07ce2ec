"""The pieces front and back."""

from __future__ import annotations

from ...geometry.path import path_length, reverse
from ...geometry.point import Point
from ...model.draft import Zip
from ...model.piece import Dart, Edge, EdgeKind, InternalLine, NotchPlace, Piece
from ...model.walking import Walk
from .half import Half
from .style import Asked


def _balance_lines(half: Half) -> tuple[InternalLine, ...]:
    p = half.points
    return (
        InternalLine("waist line", (Point(0.0, p["waist_side"].y), p["waist_side"])),
        InternalLine("hip line", (Point(0.0, p["hip_side"].y), p["hip_side"])),
    )


def _grain(half: Half) -> tuple[Point, Point]:
    """Upright, between the centre line and the dart, from below the chest line to half way down the skirt."""
    inner = half.dart.points[3].x
    top = (half.points["underarm"].y + half.dart.points[0].y) / 2
    bottom = (half.points["hip_side"].y + half.points["hem_side"].y) / 2
    return Point(inner / 2, top), Point(inner / 2, bottom)


def _shared_edges(half: Half) -> tuple[Edge, Edge, Edge, Edge]:
    p = half.points
    return (
        Edge("side", EdgeKind.SEAM, reverse(half.side)),
        Edge("armhole", EdgeKind.SEAM, half.armhole),
        Edge.straight("shoulder", p["shoulder_tip"], p["neck_side"]),
        Edge("neckline", EdgeKind.SEAM, half.neckline),
    )


def _shared_notches(half: Half, count: int) -> tuple[NotchPlace, ...]:
    """Single in front, double in the back; hip and waist at the side; the hem's fold."""
    to_hip = half.side[2].length()
    to_waist = to_hip + half.side[1].length()
    return (
        NotchPlace("side", 0.0, 1, "hem fold"),
        NotchPlace("side", to_hip, 1, "hip"),
        NotchPlace("side", to_waist, 1, "waist"),
        NotchPlace("armhole", half.armhole[0].length(), count, "sleeve"),
        NotchPlace("neckline", path_length(half.neckline) / 2, count, "facing"),
    )


def _darts(half: Half) -> tuple[Dart, ...]:
    return (half.dart,) if half.dart.intake > 0 else ()


def front_piece(half: Half) -> Piece:
    p = half.points
    return Piece(
        "front",
        (
            Edge.straight("centre_front", p["neck_centre"], p["hem_centre"], EdgeKind.FOLD),
            Edge.straight("hem", p["hem_centre"], p["hem_side"], EdgeKind.HEM),
            *_shared_edges(half),
        ),
        points=p,
        grain=_grain(half),
        on_fold=True,
        darts=_darts(half),
        notches=_shared_notches(half, 1),
        internal_lines=_balance_lines(half),
    )


def back_piece(half: Half, zipper: Zip, walk: Walk, asked: Asked) -> Piece:
    """As the front, with a centre back seam: zip above, vent or slit below."""
    p = dict(half.points)
    neck, hem = p["neck_centre"], p["hem_centre"]
    lines = list(_balance_lines(half))
    zip_end = Point(0.0, -zipper.end_depth)
    lines.append(InternalLine("zip end", (zip_end, Point(30.0, zip_end.y))))
    top = Point(0.0, hem.y + walk.opening_length)
    p["zip_end"] = zip_end
    down: tuple[Edge, ...]
    if walk.opening == "vent":
        width = asked.length("vent_width")
        slant = Point(-width, top.y - width / 2)
        corner = Point(-width, hem.y)
        down = (
            Edge.straight("centre_back", neck, top),
            Edge.straight("vent_top", top, slant),
            Edge.straight("vent_edge", slant, corner, EdgeKind.OPENING),
            Edge.straight("hem", corner, p["hem_side"], EdgeKind.HEM),
        )
        p |= {"vent_top": top, "vent_hem": corner}
        lines.append(InternalLine("vent fold", (top, hem)))
        last = NotchPlace("vent_edge", down[2].length(), 1, "hem fold")
    elif walk.opening == "slit":
        down = (
            Edge.straight("centre_back", neck, top),
            Edge.straight("slit", top, hem, EdgeKind.OPENING),
            Edge.straight("hem", hem, p["hem_side"], EdgeKind.HEM),
        )
        p["slit_top"] = top
        last = NotchPlace("slit", down[1].length(), 1, "hem fold")
    else:
        down = (
            Edge.straight("centre_back", neck, hem),
            Edge.straight("hem", hem, p["hem_side"], EdgeKind.HEM),
        )
        last = NotchPlace("centre_back", down[0].length(), 1, "hem fold")
    marks = [NotchPlace("centre_back", zipper.length, 1, "zip end"), last]
    if walk.opening != "none":
        marks.append(NotchPlace("centre_back", down[0].length(), 1, f"{walk.opening} top"))
    return Piece(
        "back",
        (*down, *_shared_edges(half)),
        points=p,
        grain=_grain(half),
        quantity=2,
        mirrored_pair=True,
        darts=_darts(half),
        notches=(*marks, *_shared_notches(half, 2)),
        internal_lines=tuple(lines),
    )
