"""What the garments of the wardrobe claim: a sound one holds, and one that was spoilt by hand fails by the same claim.

Bounds: fit checks and garment rules of the trade, as beside each constant of claims/.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest

from by_the_tape import drafted
from oaktag.body.charts import shipped
from oaktag.body.measurements import Measurements
from oaktag.body.whom import CHILDREN
from oaktag.checks.run import check
from oaktag.claims.girth import Girth
from oaktag.draft.board import Board
from oaktag.draft.garment import GARMENT_NAMES, find_garment
from oaktag.garments.parts.cuffs import cuffed
from oaktag.garments.parts.part import Part, together
from oaktag.garments.parts.sleeves import sleeve
from oaktag.geometry.affine import Move
from oaktag.geometry.curve import Line
from oaktag.geometry.path import moved_path
from oaktag.geometry.point import Point
from oaktag.model.finding import Finding
from oaktag.model.length import cm
from oaktag.model.pattern import Pattern
from oaktag.model.piece import Edge, InternalLine, LineKind, Piece
from test_sleeves import halves
from wardrobe import ROOT, finished, with_cut, with_drafted, with_edge

BODY = Measurements(dict(shipped("women").body("14")))
CHILD = Measurements(shipped("children").body("122"), wearer="child")


@cache
def sewn(garment: str, *style: tuple[str, object]) -> Pattern:
    found = find_garment(garment)
    return finished(drafted(found, CHILD if found.for_whom == CHILDREN else BODY, "cm", **dict(style)), "cm")


def told(pattern: Pattern, name: str) -> list[Finding]:
    """The findings of that id, by the claims of the draft alone."""
    return [f for claim in pattern.draft.claims for f in claim.check(pattern) if f.id == name]


def holds(pattern: Pattern, name: str) -> bool:
    findings = told(pattern, name)
    assert findings, f"nothing claims {name}"
    return all(f.passed for f in findings)


def stretched(by: float) -> Callable[[Edge], Edge]:
    """An edge so many times as long, as drawn."""

    def longer(edge: Edge) -> Edge:
        return replace(edge, curves=moved_path(edge.curves, Move(by, 0.0, 0.0, by, 0.0, 0.0)), takes=(), spans=())

    return longer


# ---------------------------------------------------------------- collars

COLLARS = {
    "stand and fall": ("stand", "neck"), "mandarin": ("stand", "neck"), "one-piece": ("collar", "neck"),
    "flat": ("collar", "neck"), "tie": ("tie", "neck"),
}  # fmt: skip


@pytest.mark.parametrize("kind", COLLARS)
@pytest.mark.parametrize("garment", ["shirt", "blouse"])
def test_a_collar_is_as_long_as_the_neckline(garment: str, kind: str) -> None:
    """To half the neckline, or 3 mm shorter for the turn of the cloth (garment rules 3.3)."""
    pattern = sewn(garment, ("collar_kind", kind))
    assert holds(pattern, "collar.neck")
    (finding,) = told(pattern, "collar.neck")
    assert abs(finding.measured) < 0.5
    neck = "yoke" if garment == "shirt" else "back"
    for by in (0.9, 1.1):
        assert not holds(with_edge(pattern, neck, "neck", stretched(by)), "collar.neck")
    piece, edge = COLLARS[kind]
    off = with_edge(pattern, piece, edge, stretched(1.05))
    if kind not in ("stand and fall", "mandarin", "tie"):  # there a place of the edge is named, and stays
        assert not holds(off, "collar.neck")


def test_what_goes_on_over_the_button_stand_is_not_part_of_the_neckline() -> None:
    """A collar that is as long as the seam, but too short for the neckline and too long beyond the centre line."""
    pattern = sewn("shirt")
    stand = pattern.piece("stand").cut.piece
    moved = {**stand.points, "front_low": stand.points["end_low"]}
    assert not holds(with_drafted(pattern, "stand", lambda p: replace(p, points=moved)), "collar.neck")


def test_a_fall_covers_its_stand() -> None:
    """By 6 mm at the centre at least (garment rules 3.3)."""
    pattern = sewn("shirt")
    assert holds(pattern, "collar.covers")
    low = with_edge(pattern, "fall", "centre_back", stretched(0.8))
    (finding,) = told(low, "collar.covers")
    assert not finding.passed and finding.severity.value == "warning"


# ---------------------------------------------------------------- buttonholes


def holes_moved(pattern: Pattern, piece: str, dx: float, dy: float = 0.0, by: float = 1.0) -> Pattern:
    """The holes of a piece moved, and so many times as long."""

    def moved(own: Piece) -> Piece:
        def hole(line: InternalLine) -> InternalLine:
            if not line.name.startswith("buttonhole"):
                return line
            (a, b) = line.points
            a, b = Point(a.x + dx, a.y + dy), Point(b.x + dx, b.y + dy)
            return replace(line, points=(a, Point(a.x + (b.x - a.x) * by, a.y + (b.y - a.y) * by)))

        return replace(own, internal_lines=tuple(map(hole, own.internal_lines)))

    return with_drafted(pattern, piece, moved)


HOLED = [
    ("shirt", "front", "buttons", ()), ("shirt", "stand", "collar.hole", ()),
    ("blouse", "front", "buttons", ()), ("blouse", "back", "buttons", (("opens", "back"),)),
    ("blouse", "front", "buttons", (("front_facing", "apart"), ("upright_holes", "yes"))),
]  # fmt: skip


@pytest.mark.parametrize(("garment", "piece", "family", "style"), HOLED)
def test_holes_are_long_enough_inside_and_away_from_the_edge(
    garment: str, piece: str, family: str, style: tuple[tuple[str, object], ...]
) -> None:
    """A hole is 3 mm longer than its button; the button's middle 3/4 of it within the finished edge (makers' lists)."""
    pattern = sewn(garment, *style)
    for what in ("fits", "inside", "edge"):
        assert holds(pattern, f"{family}.{what}")
    assert not holds(holes_moved(pattern, piece, 0.0, by=0.8), f"{family}.fits")
    far = holes_moved(pattern, piece, 0.0, 400.0)
    assert not holds(far, f"{family}.inside")
    (message,) = (f.message for f in told(far, f"{family}.inside"))
    assert "leaves the piece" in message and "buttonhole" in message
    own = pattern.piece(piece).cut.piece
    hole = next(line for line in own.internal_lines if line.name.startswith("buttonhole"))
    reach = max(p.x for e in own.edges for p in (e.start, e.end)) - hole.points[0].x if piece == "stand" else 0.0
    near = holes_moved(pattern, piece, reach - 5.0 if piece == "stand" else -8.0)
    assert not holds(near, f"{family}.edge")
    assert all(f.severity.value == "warning" for f in told(near, f"{family}.edge"))


def test_a_fold_is_a_finished_edge() -> None:
    """The facing cut on lies beyond it: a hole that is inside the piece may still be too near to the front edge."""
    pattern = sewn("blouse", ("front_facing", "cut on"))
    folds = [line for line in pattern.piece("front").cut.piece.internal_lines if line.kind is LineKind.FOLD]
    assert folds
    near = holes_moved(pattern, "front", -12.0)
    assert holds(near, "buttons.inside") and not holds(near, "buttons.edge")


def test_gaps_and_the_bust_line() -> None:
    pattern = sewn("shirt")
    assert all(holds(pattern, f"buttons.{what}") for what in ("even", "bust", "gap", "hem"))
    assert not holds(holes_moved(pattern, "front", 0.0, 20.0), "buttons.bust")

    def one_lower(own: Piece) -> Piece:
        lines = [replace(line, points=tuple(Point(p.x, p.y - 30.0) for p in line.points))
                 if line.name == "buttonhole 3" else line for line in own.internal_lines]  # fmt: skip
        return replace(own, internal_lines=tuple(lines))

    assert not holds(with_drafted(pattern, "front", one_lower), "buttons.even")

    def apart(own: Piece) -> Piece:
        return replace(own, internal_lines=tuple(x for x in own.internal_lines if x.name not in
                                                 ("buttonhole 2", "buttonhole 3", "buttonhole 4")))  # fmt: skip

    assert not holds(with_drafted(pattern, "front", apart), "buttons.gap")


@pytest.mark.parametrize("count", ["4", "6", "8", "10", "12"])
@pytest.mark.parametrize("size", ["8", "14", "26"])
@pytest.mark.parametrize("kind", ["flat", "stand and fall"])
def test_no_number_of_buttons_goes_beyond_the_hem(kind: str, size: str, count: str) -> None:
    """The last 10 cm above it (garment rules 3.2), however many are asked for: too few lie further up, or far apart."""
    body = Measurements(dict(shipped("women").body(size)))
    pattern = finished(drafted(find_garment("shirt"), body, collar_kind=kind, buttons=count), "cm")
    assert all(holds(pattern, f"buttons.{what}") for what in ("even", "bust", "hem", "fits", "inside", "edge"))


# ---------------------------------------------------------------- cuffs and bands


def test_the_hand_passes_a_cuff_with_its_placket_open() -> None:
    front, back = halves("14")
    on = Board("test", BODY, {}, "cm", "blouse")
    arm = cuffed(on, sleeve(on, "plain", front, back, hem=cm(26)), wide=cm(6))
    pattern = finished(together(on, [Part((front, back)), arm]), "cm")
    assert holds(pattern, "entry.hand")
    short = with_drafted(pattern, "sleeve", lambda own: replace(own, internal_lines=tuple(
        replace(line, points=(line.points[0], Point(line.points[0].x, line.points[0].y + 5.0)))
        if line.name == "placket" else line for line in own.internal_lines)))  # fmt: skip
    small = with_edge(short, "cuff", "wrist_edge", stretched(0.9))
    assert not holds(small, "entry.hand")
    assert "ease_wrist" in told(small, "entry.hand")[0].message


def test_pleats_fold_where_they_are_laid() -> None:
    pattern = sewn("shirt")
    assert holds(pattern, "pleats.wrist")

    def askew(own: Piece) -> Piece:
        lines = [replace(x, points=tuple(Point(p.x + 3.0, p.y) for p in x.points)) if x.kind is LineKind.PLEAT else x
                 for x in own.internal_lines]  # fmt: skip
        return replace(own, internal_lines=tuple(lines))

    assert not holds(with_drafted(pattern, "sleeve", askew), "pleats.wrist")
    none = with_drafted(pattern, "sleeve", lambda own: replace(
        own, internal_lines=tuple(x for x in own.internal_lines if x.kind is not LineKind.PLEAT)))  # fmt: skip
    assert not holds(none, "pleats.wrist")


# ---------------------------------------------------------------- gathers


def test_gathers_have_the_cloth_that_was_told() -> None:
    pattern = sewn("gathered-skirt")
    assert holds(pattern, "gathers.waist")
    assert "2.00 times as much" in told(pattern, "gathers.waist")[0].message
    assert not holds(with_edge(pattern, "front", "waist", stretched(0.97)), "gathers.waist")


# ---------------------------------------------------------------- princess seams


@pytest.mark.parametrize("garment", ["bodice", "dress"])
@pytest.mark.parametrize("method", ["quarter", "close", "angle"])
@pytest.mark.parametrize("start", ["shoulder", "armhole"])
def test_princess_seams_agree_but_for_a_little_ease(garment: str, method: str, start: str) -> None:
    """Equal below the bust (0.2 cm a segment), the side panel up to 6 mm longer (garment rules 2.2, 8)."""
    pattern = sewn(garment, ("method", method), ("princess", start))
    for half in ("front", "back"):
        assert holds(pattern, f"princess.{half}.below") and holds(pattern, f"princess.{half}.ease")

    def shorter(own: Piece) -> Piece:
        """The notch at the bust 5 mm nearer to the lower end."""
        edge = own.edge("princess")
        by = -5.0 if edge.start.y < edge.end.y else 5.0
        notches = tuple(
            replace(n, at=n.at + by) if (n.edge, n.name) == ("princess", "bust") else n for n in own.notches
        )
        return replace(own, notches=notches)

    off = with_drafted(pattern, "front_side", shorter)
    assert not holds(off, "princess.front.below") and holds(off, "princess.front.ease")


@pytest.mark.parametrize(("by", "held"), [(5.0, True), (8.0, False), (-4.0, False)])
def test_no_more_ease_than_can_be_eased(by: float, held: bool) -> None:
    """The seam takes any ease that the panels have, so the seam alone would not tell."""
    pattern = sewn("bodice", ("princess", "shoulder"))

    def longer(edge: Edge) -> Edge:
        """Straight on at its upper end."""
        top_first = edge.start.y > edge.end.y
        end = edge.start if top_first else edge.end
        more = Line(Point(end.x, end.y + by), end) if top_first else Line(end, Point(end.x, end.y + by))
        if by > 0:
            return replace(edge, curves=(more, *edge.curves) if top_first else (*edge.curves, more))
        whole = edge.length()
        return replace(edge, curves=moved_path(edge.curves, Move(1 + by / whole, 0, 0, 1 + by / whole, 0, 0)))

    spoilt = with_edge(pattern, "back_side", "princess", longer)
    if by > 0:  # the notch stays as far from the lower end
        edge = pattern.piece("back_side").cut.piece.edge("princess")
        if edge.start.y > edge.end.y:
            spoilt = with_drafted(spoilt, "back_side", lambda own: replace(own, notches=tuple(
                replace(n, at=n.at + by) if n.edge == "princess" else n for n in own.notches)))  # fmt: skip
    assert holds(spoilt, "princess.back.ease") == held
    (finding,) = told(spoilt, "princess.back.ease")
    assert finding.measured == pytest.approx(told(pattern, "princess.back.ease")[0].measured + by, abs=0.02)


# ---------------------------------------------------------------- circles and their cloth


@pytest.mark.parametrize("parts", ["one", "halves", "quarters", "8 gores"])
@pytest.mark.parametrize("circle", ["full", "half"])
def test_the_hem_of_a_circle(circle: str, parts: str) -> None:
    """The waist, and the length by the angle (geometry)."""
    pattern = sewn("circle-skirt", ("circle_part", circle), ("cut_in", parts), ("cloth_wide", 300))
    assert holds(pattern, "girth.hem") and holds(pattern, "cloth.wide")
    name = next(piece.name for piece in pattern.pieces if piece.cut.piece.worn == "body")
    assert not holds(with_edge(pattern, name, "hem", stretched(0.99)), "girth.hem")


def test_every_part_goes_on_the_cloth() -> None:
    """On cloth 150 cm wide a half circle goes in halves; a part three times as large does not."""
    pattern = sewn("circle-skirt", ("cloth_wide", 150))
    (finding,) = told(pattern, "cloth.wide")
    assert finding.passed and finding.measured < 1500

    spoilt = with_cut(pattern, "front", lambda cut: replace(
        cut, cut_line=tuple((x * 3, y * 3) for x, y in cut.cut_line)))  # fmt: skip
    assert not holds(spoilt, "cloth.wide")
    assert "cut_in" in told(spoilt, "cloth.wide")[0].message


# ---------------------------------------------------------------- girths by every method


@pytest.mark.parametrize("method", ["quarter", "close", "angle"])
@pytest.mark.parametrize("garment", ["bodice", "blouse", "dress"])
def test_bust_waist_and_hip_of_every_method(garment: str, method: str) -> None:
    """Each is claimed, holds, and fails when a side is drawn 1 cm further in."""
    style: dict[str, object] = {"method": method} | ({"below_waist": 25} if garment == "blouse" else {})
    if garment == "bodice":
        style |= {"below_waist": 25}
    if garment == "dress":
        style |= {"joined": "one"}
    pattern = sewn(garment, *style.items())
    for level in ("bust", "waist", "hip"):
        assert holds(pattern, f"girth.{level}"), level
    narrow = with_cut(pattern, "front", lambda cut: replace(
        cut, stitch_line=tuple(Point(x * 0.9, y) for x, y in cut.stitch_line)))  # fmt: skip
    assert not holds(narrow, "girth.bust")
    if any(isinstance(claim, Girth) and claim.id == "girth.hip" for claim in pattern.draft.claims):
        assert not holds(narrow, "girth.hip")


# ---------------------------------------------------------------- bands, openings, style lines


def narrower(piece: str, edge: str, by: float = 0.9) -> Callable[[Pattern], Pattern]:
    return lambda pattern: with_edge(pattern, piece, edge, stretched(by))


def pressed_in(*pieces: str, by: float = 0.85) -> Callable[[Pattern], Pattern]:
    """Pieces whose stitch line is narrower, about x = 0."""

    def spoilt(pattern: Pattern) -> Pattern:
        for name in pieces:
            pattern = with_cut(pattern, name, lambda cut: replace(
                cut, stitch_line=tuple(Point(x * by, y) for x, y in cut.stitch_line)))  # fmt: skip
        return pattern

    return spoilt


SPOILT: list[tuple[str, dict[str, object], str, Callable[[Pattern], Pattern]]] = [
    ("straight-skirt", {}, "seam.waist-seam", narrower("front", "waist", 0.98)),
    ("straight-skirt", {"waist": "curved band"}, "seam.waist-seam", narrower("front", "waist")),
    ("straight-skirt", {"waist": "curved band"}, "girth.waist", narrower("waistband", "upper_edge")),
    ("gored-skirt", {}, "girth.waist", narrower("side_1", "waist")),
    ("gored-skirt", {}, "girth.hip", pressed_in("side_1")),
    ("gored-skirt", {}, "seam.front-to-side-1", narrower("front", "seam_1", 0.98)),
    ("straight-skirt", {}, "opening.hip", narrower("front", "waist", 0.2)),
    ("straight-skirt", {"waist": "elastic"}, "entry.hip", narrower("front", "waist", 0.8)),
    ("pleated-skirt", {}, "pleats.cloth", narrower("panel", "hem", 0.98)),
    ("trousers", {"closure": "elastic"}, "entry.hip", narrower("front", "waist", 0.7)),
    ("wrap-skirt", {}, "walk.overlap", narrower("front", "hem", 0.3)),
    ("circle-skirt", {}, "girth.hip", pressed_in("front", "back", by=0.4)),
    ("gathered-skirt", {}, "girth.hip", pressed_in("front", "back", by=0.5)),
    ("bodice", {"closure": "none", "waist_darts": "no"}, "entry.neckline", narrower("front", "neck", 0.7)),
    ("bodice", {"princess": "shoulder"}, "seam.front-princess-seam", narrower("front_side", "princess", 0.98)),
    ("shirt", {}, "seam.back-yoke-seam", narrower("yoke", "yoke", 0.98)),
    ("shirt", {}, "girth.chest", pressed_in("front")),
    ("shirt", {}, "girth.hip", pressed_in("front", by=0.6)),
    ("shirt", {"collar_kind": "mandarin"}, "collar.top", narrower("stand", "top_edge", 0.7)),
    ("shirt", {}, "seam.stand-seam", narrower("stand", "neck", 0.98)),
    ("shirt", {}, "seam.fall-to-stand", narrower("fall", "fall_edge", 0.98)),
    ("blouse", {}, "seam.armhole-seam", narrower("sleeve", "cap", 0.98)),
    ("t-shirt", {}, "entry.neckband", narrower("neckband", "neck", 0.6)),
    ("t-shirt", {}, "entry.neckline", narrower("front", "neck", 0.5)),
    ("t-shirt", {}, "girth.bust", pressed_in("back")),
    ("kimono-gown", {}, "entry.head", narrower("front", "neck", 0.6)),
    ("kimono-gown", {}, "underarm.deep.gusset", narrower("gusset", "front_arm")),
]  # fmt: skip


@pytest.mark.parametrize(("garment", "style", "name", "spoil"), SPOILT, ids=lambda x: x if isinstance(x, str) else "")
def test_sound_it_holds_and_spoilt_it_fails(
    garment: str, style: dict[str, object], name: str, spoil: Callable[[Pattern], Pattern]
) -> None:
    pattern = sewn(garment, *style.items())

    def findings(of: Pattern) -> list[bool]:
        made = check(of) if name.startswith("seam.") else told(of, name)
        return [f.passed for f in made if f.id == name]

    assert findings(pattern) and all(findings(pattern))
    assert not all(findings(spoil(pattern)))


# ---------------------------------------------------------------- all of them


def claims_told() -> set[str]:
    """The ids that docs/checks.md tells of, `walk.*` for all of a family."""
    return set(re.findall(r"`([a-z-]+(?:\.[a-z*-]+)*)`", (ROOT / "docs" / "checks.md").read_text(encoding="utf-8")))


@pytest.mark.parametrize("name", GARMENT_NAMES)
def test_what_a_garment_claims_is_told(name: str) -> None:
    """In its usual style: every finding of a claim has a row of docs/checks.md, by its id or its family."""
    known = claims_told()
    pattern = sewn(name)
    found = {f.id for claim in pattern.draft.claims for f in claim.check(pattern)}
    assert [each for each in found if each not in known and f"{each.split('.')[0]}.*" not in known] == []
