"""The bust dart where the style wants it: moved, parted in two, let into the waist dart, gathered or laid in a pleat.

All moves turn about the bust point, so the angle that is taken in stays what it was; the dart's point is pulled back
from there at the end (1.5 to 2.5 cm; common practice), its ends stay (the laws for moving darts, garment rules, 2.2).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, Literal

from ...draft.board import Board
from ...draft.cuts import mouth_of
from ...draft.moves import turn
from ...draft.pivots import open_dart, pivot, refold, trued
from ...draft.sectors import Gap, Kind, Opening, Swing, swung
from ...errors import GeometryError
from ...geometry.affine import Move
from ...geometry.path import place_at, solve
from ...geometry.point import Point, along, between, direction, distance, turn_deg
from ...model.length import cm
from ...model.piece import Edge, EdgeKind, Piece
from ...values import replace

PLACES: Final = ("side", "french", "shoulder", "armhole", "neck", "waist", "centre")
"""Where a bust dart may open: `french` low in the side, `waist` in the waist dart, `centre` at the centre front."""
SHARE: Final = {"shoulder": 0.5, "armhole": 0.42, "neck": 0.5}
"""How far along its edge, counter-clockwise, a dart opens, in the armhole where no pitch is known (common practice, no
source)."""
FOLDS: Final[Mapping[str, Kind]] = {"dart": "dart", "gathers": "gathers", "pleat": "pleat", "tuck": "tuck"}
DOWN: Final = {"side": 0.35, "french": 0.75}
"""How far down from the underarm to the waist, of the way, one in the side opens (common practice, no source)."""
_EDGE: Final = {"french": "side", "centre": "centre_front"}
_BACK: Final = 20.0
"""So much of a dart is left at least, however far its point is pulled back, mm (judgement, no source)."""


def placed(front: Piece, place: str, *, part: float = 1.0, dart: str = "bust") -> Piece:
    """The front with its bust dart, or a part of it, opened at that place; the other part stays where it is.

    At the centre the fold becomes a seam. Raises GeometryError where a cut would lie across another dart.
    """
    front = seamed(front) if place == "centre" else front
    if place == "waist":
        return let_into(front, dart, "waist")
    edge, at = where(front, place)
    home = front.edges[mouth_of(front, open_dart(front, dart))[0]].name
    if home == edge and place != "french" and part == 1:
        return front
    name = dart if part == 1 else f"{dart}_2"
    pressed: Literal["start", "end"] = "end" if place == "neck" else "start"
    return pivot(front, dart, Opening(edge, at, share=part, pressed=pressed, name=name), about=_apex(front))


def _apex(front: Piece) -> Point:
    return front.points["bust_point"]


def where(front: Piece, place: str) -> tuple[str, float]:
    """The edge, and how far along it, mm, a dart of that place opens."""
    name = _EDGE.get(place, place)
    edge = front.edge(name)
    if place == "centre":
        return name, edge.start.y - front.points["bust_point"].y
    if name == "side":
        high, low = front.points["underarm"].y, front.points["waist_side"].y
        return name, at_level(front, name, high + (low - high) * DOWN[place])
    if name == "armhole" and "pitch" in front.points:
        far = _far_to(edge, front.points["pitch"])
        if far is not None:
            return name, far
    far = SHARE[place] * edge.sewn_length()
    return name, far + sum(take.end - take.start for take in edge.takes if take.start < far)


def _far_to(edge: Edge, p: Point) -> float | None:
    """How far along an edge the joint of two of its runs lies at a point; None where there is none."""
    far = 0.0
    for curve in edge.curves[:-1]:
        far += curve.length()
        if distance(curve.end, p) < 0.01:
            return far
    return None


def at_level(piece: Piece, name: str, y: float) -> float:
    """How far along an edge it passes a level, mm. Raises GeometryError where it does not."""
    edge = piece.edge(name)
    if (edge.start.y - y) * (edge.end.y - y) >= 0:
        raise GeometryError(f"{piece.name}: its {name.replace('_', ' ')} does not reach that level")
    return solve(lambda far: place_at(edge.curves, far)[0].y - y, 0.0, edge.length(), near=1e-6)


def seamed(front: Piece) -> Piece:
    """The front with a seam at its centre instead of the fold."""
    edges = tuple(replace(e, kind=EdgeKind.SEAM) if e.kind is EdgeKind.FOLD else e for e in front.edges)
    return replace(front, edges=edges, to_cut=replace(front.to_cut, side="pair", count=2 * front.to_cut.count))


def let_into(piece: Piece, dart: str, other: str) -> Piece:
    """A dart closed, and another that opens at an edge made wider by as much: both about the point of the first.

    Raises GeometryError where the legs of the other are not alike from there.
    """
    one, two = open_dart(piece, dart), open_dart(piece, other)
    apex = one.points[1]
    legs = distance(apex, two.points[0]), distance(apex, two.points[2])
    if abs(legs[0] - legs[1]) > 1.0:
        raise GeometryError(
            f"{piece.name}: the legs of the {other} dart are {legs[0]:.1f} and {legs[1]:.1f} mm long, measured to the "
            f"point of the {dart} dart, so the two cannot be one"
        )
    (home, low, high), (index, start, end) = mouth_of(piece, one), mouth_of(piece, two)
    pressed = next(take.pressed or "start" for take in piece.edges[index].takes if abs(take.start - start) < 1e-3)
    fill = Opening(piece.edges[index].name, start, pressed=pressed, name=other)
    closing = turn(apex, turn_deg(direction(apex, one.points[2]), direction(apex, one.points[0])))
    bare = replace(piece, darts=tuple(each for each in piece.darts if each not in (one, two)))
    gaps = [Gap(home, low, high), Gap(index, start, end, fill)]
    return swung(bare, Swing(gaps, [closing, Move()], apex), dart)


def folded(front: Piece, kind: str, *, dart: str = "bust", reach: float = 40.0) -> Piece:
    """The bust dart gathered, laid in a pleat or a tuck, or left as it is."""
    return front if kind == "dart" else refold(front, dart, FOLDS[kind], reach=reach)


def pulled_back(piece: Piece, dart: str, by: float) -> Piece:
    """The point of a dart pulled back by `by` mm, as far as it is long enough for that; the edge is trued over it."""
    first, tip, second = open_dart(piece, dart).points
    middle = between(first, second)
    by = min(by, distance(tip, middle) - _BACK)
    return trued(piece, dart, along(tip, direction(tip, middle), by)) if by > 1 else piece


def carried(on: Board, place: str, change: str = "") -> dict[str, str]:
    """What is told, as a note, of a dart that carries the bust, however much it takes in: the one called so, or that of
    the front's waist which it was let into. The number is the published close-fitting block's (worked garments 75)."""
    says = f"carries the bust: a published block takes in {on.say(cm(7))} there at a bust of {on.say(cm(88))}. "
    says += f"It may be split in two{change}"
    return {f"note dart.intake {name}": says for name in ("front waist" if place == "waist" else "bust",)}


def widened(*pieces: Piece) -> bool:
    """Whether the point of a bust dart, pulled back, gives cloth at the bust level: one that opens above it, from a
    bust point below it."""
    return any(
        dart.name == "bust" and piece.points["bust_point"].y < y - 0.1 and min(p.y for p in dart.points[::2]) > y
        for piece in pieces if "bust_point" in piece.points
        for y in [line.points[0].y for line in piece.levels if line.name == "bust"]
        for dart in piece.darts if dart.is_open
    )  # fmt: skip
