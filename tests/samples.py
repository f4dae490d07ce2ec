"""A small pattern made by hand, for the tests of whatever reads or writes patterns; no garment's draft is behind it.

front    half on the fold (x = 0), curved armhole and neckline, a waist dart, notches, drill holes, a waist line
sleeve   cut as a mirrored pair, curved cap, a double notch
pocket   a plain 150 × 140 mm square-cornered piece, whose every number can be worked out in the head
"""

from __future__ import annotations

from itertools import pairwise

from oaktag.geometry.affine import Move
from oaktag.geometry.curve import Cubic
from oaktag.geometry.path import flatten, parallel, place_at
from oaktag.geometry.point import XY, Point, along, distance, meeting, right_of
from oaktag.geometry.polygon import Box
from oaktag.model.draft import Draft, Step
from oaktag.model.finding import Finding, Severity
from oaktag.model.pattern import CutPiece, Label, MarkedPiece, Notch, Pattern
from oaktag.model.piece import Cut, Dart, Edge, EdgeKind, InternalLine, NotchPlace, Piece, sew
from oaktag.sheet.strokes import Figure, Role, Sheet, Stroke

NOTCH_DEPTH = 4.0
DOUBLE_APART = 6.0
"""Centre to centre of a double notch, mm (common practice, no source)."""

P = Point


def front() -> Piece:
    """Half a front on the fold: centre front on x = 0, top line y = 0, hem at y = -600."""
    hem, corner, underarm = P(0, -600), P(250, -600), P(245, -230)
    shoulder, neck, top = P(180, -40), P(70, 0), P(0, -80)
    return Piece(
        "front",
        edges=(
            Edge.straight("hem", hem, corner, EdgeKind.HEM),
            Edge.straight("side", corner, underarm),
            Edge(
                "armhole", EdgeKind.SEAM, (Cubic.leaving_and_arriving(underarm, P(-75, 1.0), shoulder, P(15.0, 110.0)),)
            ),
            Edge.straight("shoulder", shoulder, neck),
            Edge("neckline", EdgeKind.SEAM, (Cubic.leaving_and_arriving(neck, P(0, -55), top, P(-45, 0)),)),
            Edge.straight("centre_front", top, hem, EdgeKind.FOLD),
        ),
        points={"underarm": underarm, "shoulder_tip": shoulder, "neck": neck},
        grain=(P(40, -560), P(40, -160)),
        to_cut=Cut("fold"),
        darts=(Dart("waist", (P(120, -280), P(130, -400), P(120, -520), P(110, -400)), 20.0),),
        notches=(NotchPlace("side", 200.0, name="waist"), NotchPlace("armhole", 120.0, name="front armhole")),
        internal_lines=(
            InternalLine("waist line", (P(0, -400), P(110, -400))),
            InternalLine("facing line", (P(85, -5.454545), P(60, -90), P(0, -120))),
        ),
    )


def sleeve() -> Piece:
    """A plain sleeve; both underarm edges are equally long, the cap runs from front (right) to back (left)."""
    right, front_underarm, top, back_underarm, left = P(220, 0), P(280, 400), P(110, 530), P(-60, 400), P(0, 0)
    cap = (
        Cubic.leaving_and_arriving(front_underarm, P(-95, 8), top, P(-70, 0)),
        Cubic.leaving_and_arriving(top, P(-70, 0), back_underarm, P(-95, -8)),
    )
    return Piece(
        "sleeve",
        edges=(
            Edge.straight("hem", left, right, EdgeKind.HEM),
            Edge.straight("side_front", right, front_underarm),
            Edge("cap", EdgeKind.SEAM, cap),
            Edge.straight("side_back", back_underarm, left),
        ),
        points={"front_underarm": front_underarm, "back_underarm": back_underarm, "crown": top},
        grain=(P(110, 60), P(110, 460)),
        to_cut=Cut("pair"),
        notches=(
            NotchPlace("cap", 80.0, name="front armhole"),
            NotchPlace("cap", cap[0].length(), name="shoulder"),
            NotchPlace("cap", cap[0].length() * 2 - 80.0, count=2, name="back armhole"),
        ),
    )


def pocket() -> Piece:
    """150 × 140 mm; with 10 mm all round and 25 mm at the top edge the cut line is 170 × 175 mm."""
    a, b, c, d = P(0, 0), P(150, 0), P(150, 140), P(0, 140)
    return Piece(
        "pocket",
        edges=(
            Edge.straight("bottom", a, b),
            Edge.straight("right", b, c),
            Edge.straight("top", c, d, EdgeKind.HEM),
            Edge.straight("left", d, a),
        ),
        points={},
        grain=(P(75, 20), P(75, 120)),
        to_cut=Cut("whole", 2, "lining"),
    )


def cut_piece(piece: Piece, allowances: dict[str, float]) -> CutPiece:
    """Mitred corners all round; serves convex corners alone, as these pieces have."""
    lines = {edge.name: tuple(flatten(edge.curves)) for edge in piece.edges}
    runs = {edge.name: tuple(flatten(parallel(edge.curves, allowances[edge.name]))) for edge in piece.edges}
    stitch_line = tuple(p for line in lines.values() for p in line[:-1])
    cut_line: list[XY] = []
    for before, edge in zip((piece.edges[-1], *piece.edges), piece.edges, strict=False):
        arriving, leaving = before.curves[-1].way(1.0), edge.curves[0].way(0.0)
        corner = meeting(runs[before.name][-1], arriving, runs[edge.name][0], leaving)
        assert corner is not None
        for p in (corner, *runs[edge.name]):
            if not cut_line or distance(p, cut_line[-1]) > 1e-6:
                cut_line.append(p)
    while distance(cut_line[0], cut_line[-1]) < 1e-6:
        cut_line.pop()
    return CutPiece(
        piece=piece,
        lines=lines,
        stitch_line=stitch_line,
        cut_line=tuple(cut_line),
        cut_edges=runs,
        allowances=allowances,
        corners={edge.name: "mitre" for edge in piece.edges},
    )


def on_line(p: XY, ring: tuple[XY, ...]) -> Point:
    """The point of a closed line nearest to p."""
    nearest = []
    for (ax, ay), (bx, by) in pairwise((*ring, ring[0])):
        dx, dy = bx - ax, by - ay
        t = min(1.0, max(0.0, ((p[0] - ax) * dx + (p[1] - ay) * dy) / (dx * dx + dy * dy)))
        nearest.append(Point(ax + t * dx, ay + t * dy))
    return min(nearest, key=lambda q: distance(p, q))


def notch(cut: CutPiece, place: NotchPlace) -> Notch:
    """Square to the stitch line, out to the cut line."""
    at, way = place_at(cut.piece.edge(place.edge).curves, place.at)
    outwards = right_of(way)
    shifts = (0.0,) if place.count == 1 else (-DOUBLE_APART / 2, DOUBLE_APART / 2)
    reach = cut.allowances[place.edge]
    spots = tuple(on_line(along(along(at, way, shift), outwards, reach), cut.cut_line) for shift in shifts)
    return Notch(place.edge, at, outwards, place.count, place.name, spots, NOTCH_DEPTH)


def marked_piece(
    piece: Piece, number: int, allowances: dict[str, float], label: Label, *, drill_holes: tuple[Point, ...] = ()
) -> MarkedPiece:
    cut = cut_piece(piece, allowances)
    ends = [p for p in cut.cut_line if abs(p[0]) < 1e-6]
    fold = (Point(*min(ends, key=lambda p: p[1])), Point(*max(ends, key=lambda p: p[1]))) if piece.on_fold else None
    notches = tuple(notch(cut, place) for place in piece.notches)
    return MarkedPiece(cut, number, notches, drill_holes, piece.grain, fold, label)


def sample_pattern() -> Pattern:
    """Three pieces in one size, all marked."""
    pieces = (
        marked_piece(
            front(),
            1,
            {"hem": 30.0, "side": 15.0, "armhole": 10.0, "shoulder": 12.0, "neckline": 6.0, "centre_front": 0.0},
            Label(("1 FRONT", "size 12 – cut 1 on the fold", "hem 1½ in"), P(150, -330), 6.0, 90.0),
            drill_holes=(P(120, -292.7), P(120, -507.3)),
        ),
        marked_piece(
            sleeve(),
            2,
            {"hem": 25.0, "side_front": 15.0, "cap": 10.0, "side_back": 15.0},
            Label(("2 SLEEVE", "size 12", "cut 2"), P(180, 250), 6.0, 80.0),
        ),
        marked_piece(
            pocket(),
            3,
            {"bottom": 10.0, "right": 10.0, "top": 25.0, "left": 10.0},
            Label(("3 POCKET",), P(40, 70), 5.0, 50.0, 90.0),
        ),
    )
    draft = Draft(
        garment="sample-dress",
        pieces=tuple(piece.cut.piece for piece in pieces),
        seams=(sew("sleeve seam", "sleeve.side_front", to="sleeve.side_back"),),
        joins=(),
        steps=(
            # 42 in ÷ 6 + 1 in + 1 1/2 in = 9 1/2 in = 241.3 mm, by hand
            Step("front", "chest line", "bust girth ÷ 6 + {a} + {b}", 241.3, {"a": 25.4, "b": 38.1}),
            Step("sleeve", "hem width", "wrist girth + {ease}", 220.0, {"ease": 50.8}),
        ),
        notes=(),
        body={"bust_girth": 1066.8},
        style={},
        default_allowances={},
    )
    return Pattern("Lighthouse choir, alto 3 – première", "12", "in", draft, pieces)


def sample_findings() -> tuple[Finding, ...]:
    """One that passed, one that did not, with quotes and signs in the words."""
    return (
        Finding("seam.length", Severity.ERROR, True, 0.0, 0.5, "mm", "sleeve seam: both edges are 404.5 mm.", "12"),
        Finding("marks.spacing", Severity.WARNING, False, 3.25, 6.0, "mm", 'Move the "front" notch 2¾ mm away.', "12"),
    )


def scale_figure(side: float = 100.0) -> Figure:
    """A square and its diagonals."""
    a, b, c, d = (0.0, 0.0), (side, 0.0), (side, side), (0.0, side)
    return Figure(
        "scale block",
        (
            Stroke(Role.SCALE, (a, b, c, d), closed=True),
            Stroke(Role.SCALE, (a, c)),
            Stroke(Role.SCALE, (b, d)),
        ),
    )


def figure_of(marked: MarkedPiece) -> Figure:
    """Every mark of the piece as strokes; the lettering is a lone L, which shows any mirroring."""
    piece, x, y = marked.cut.piece, marked.label.at.x, marked.label.at.y
    strokes = [
        Stroke(Role.CUT, marked.cut.cut_line, closed=True),
        Stroke(Role.STITCH, marked.cut.stitch_line, closed=True),
        Stroke(Role.GRAIN, marked.grain_line),
        Stroke(Role.LABEL, ((x, y + 20), (x, y), (x + 10, y))),
    ]
    strokes += [Stroke(Role.DART, dart.points, closed=True) for dart in piece.darts]
    strokes += [Stroke(Role.INTERNAL, line.points) for line in piece.internal_lines]
    for each in marked.notches:
        strokes += [Stroke(Role.NOTCH, (spot, along(spot, each.direction, -each.depth))) for spot in each.spots]
    for hx, hy in marked.drill_holes:
        strokes += [
            Stroke(Role.DRILL, ((hx - 3, hy), (hx + 3, hy))),
            Stroke(Role.DRILL, ((hx, hy - 3), (hx, hy + 3))),
        ]
    if marked.fold_line:
        strokes.append(Stroke(Role.FOLD, marked.fold_line))
    return Figure(marked.name, tuple(strokes))


def sample_sheet() -> Sheet:
    """The pieces and a scale block in a row from left to right, 10 mm apart, on a sheet that just holds them."""
    figures: list[Figure] = []
    x, height = 10.0, 0.0
    for figure in (*map(figure_of, sample_pattern().pieces), scale_figure()):
        box: Box = figure.bounds()
        figures.append(figure.moved(Move.by(x - box.left, 10.0 - box.bottom)))
        x, height = x + box.width + 10.0, max(height, box.height + 20.0)
    return Sheet("Lighthouse choir, alto 3", x, height, tuple(figures))
