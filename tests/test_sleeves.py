"""Sleeves fitted to the armholes of drafts that ship: caps measured by dense chords, the laws of their styles."""

from __future__ import annotations

from itertools import pairwise
from math import hypot

import pytest

from by_the_tape import measured_whole, number, worked
from oaktag.body.charts import shipped
from oaktag.checks.run import check
from oaktag.draft.board import Board
from oaktag.draft.garment import find_garment
from oaktag.draft.options import defaults
from oaktag.errors import DraftError
from oaktag.finish.allowances import allow
from oaktag.finish.marks import mark
from oaktag.garments.blocks import METHODS, block
from oaktag.garments.parts.cuffs import banded, cuffed
from oaktag.garments.parts.part import Part, together
from oaktag.garments.parts.sleeve_styles import flared
from oaktag.garments.parts.sleeves import SLEEVES, sleeve
from oaktag.model.draft import Draft
from oaktag.model.length import Length, cm, mm
from oaktag.model.piece import Edge, Piece, sew
from oaktag.sheet.drawing import label_box

WOMEN = shipped("women")


def chords(edge: Edge) -> float:
    """Its length as a tape of 400 chords a curve would have it, mm."""
    far = 0.0
    for curve in edge.curves:
        points = [curve.at(i / 400) for i in range(401)]
        far += sum(hypot(q.x - p.x, q.y - p.y) for p, q in pairwise(points))
    return far


def halves(size: str) -> tuple[Piece, Piece]:
    garment = find_garment("t-shirt")
    pieces = {piece.name: piece for piece in garment.drafted(WOMEN.body(size), defaults(garment.options), "cm").pieces}
    return pieces["front"], pieces["back"]


def sleeved(kind: str, size: str = "14", ease: Length | None = None) -> tuple[Draft, Piece, float]:
    """The draft, its sleeve, and the armhole by chords, mm."""
    front, back = halves(size)
    on = Board("test", WOMEN.body(size), {}, "cm", "blouse")
    part = sleeve(on, kind, front, back, ease_cap=ease)
    seams = (sew("shoulder seam", "front.shoulder", to="back.shoulder"), sew("side", "front.side", to="back.side"))
    draft = together(on, [Part((front, back), seams), part])
    arm = next((piece for piece in draft.pieces if piece.name == "sleeve"), front)
    return draft, arm, chords(front.edge("armhole")) + chords(back.edge("armhole"))


@pytest.mark.parametrize("kind", [kind for kind in SLEEVES if kind != "none"])
@pytest.mark.parametrize("size", ["8", "14", "20"])
def test_every_cap_is_the_armhole_and_its_ease(kind: str, size: str) -> None:
    _, arm, armhole = sleeved(kind, size)
    cap = arm.edge("cap")
    gathered = sum(take.end - take.start for take in cap.takes)
    ease = 0.0 if kind in ("puff", "puff cap", "gathered cap") else 30.0  # 1 1/4 in as it is set in cm
    free = sum(part / 3 for part in armholes(size)) if kind == "cap" else 0.0  # its notches lie at a third
    assert chords(cap) - gathered == pytest.approx(armhole - free + ease, abs=0.1)


def armholes(size: str) -> tuple[float, ...]:
    return tuple(chords(half.edge("armhole")) for half in halves(size))


def test_a_cap_sleeve_covers_the_tip_and_leaves_the_armhole_below_its_notches() -> None:
    draft, arm, armhole = sleeved("cap")
    (seam,) = [seam for seam in draft.seams if seam.name == "armhole seam"]
    assert seam.free == pytest.approx(armhole / 3, abs=0.1)
    assert [edge.name for edge in arm.edges] == ["cap", "hem"]
    label = mark(allow(draft, {}), title="", size="", size_words="", unit="cm", label_box=label_box)
    assert not [f.message for f in check(label) if not f.passed and f.id.startswith("seam.")]
    front = next(piece for piece in draft.pieces if piece.name == "front")
    end = next(n.at for n in front.notches if n.edge == "armhole" and n.name == "front")
    assert end == pytest.approx(front.edge("armhole").length() / 3, abs=0.1)


def test_no_ease_where_none_is_asked_for() -> None:
    _, arm, armhole = sleeved("plain", ease=mm(0))
    assert chords(arm.edge("cap")) == pytest.approx(armhole, abs=0.05)


def test_the_cap_of_a_shirt_is_fitted_to_an_armhole_that_a_yoke_runs_over() -> None:
    """No flatter than a sixth of the armhole (worked rules 4), and sewn to the pieces of a shirt that ships."""
    garment = find_garment("shirt")
    pieces = {p.name: p for p in garment.drafted(WOMEN.body("14"), defaults(garment.options), "cm").pieces}
    run = [pieces[name].edge("armhole") for name in ("front", "yoke", "back")]
    on = Board("test", WOMEN.body("14"), {}, "cm", "shirt")
    yoke = sum(map(chords, run))
    to = ("front.armhole", "yoke.armhole", "back.armhole")
    front, back = halves("14")
    part = sleeve(on, "plain", front, back, ease_cap=mm(0), usual_ease=cm(9), to=to)
    assert [str(ref) for ref in part.seams[1].b] == list(to)
    part = sleeve(on, "plain", (pieces["front"], pieces["yoke"]), pieces["back"], ease_cap=mm(0), usual_ease=cm(9))
    arm = part.pieces[0]
    assert chords(arm.edge("cap")) == pytest.approx(yoke, abs=0.05)
    assert arm.points["cap_top"].y >= yoke / 6 - 0.1


def test_none_is_no_sleeve() -> None:
    draft, _, _ = sleeved("none")
    assert [piece.name for piece in draft.pieces] == ["front", "back"]


def test_a_bell_adds_n_times_the_spread_at_its_hem_and_nothing_at_its_cap() -> None:
    """gw-112: four slashes of 5 cm add 20 cm; a new smooth hem may stray by 2 mm."""
    _, arm, _ = sleeved("plain")
    bell = flared(arm, cm(20).mm)
    assert chords(bell.edge("hem")) == pytest.approx(chords(arm.edge("hem")) + 200.0, abs=2.0)
    assert chords(bell.edge("cap")) == pytest.approx(chords(arm.edge("cap")), abs=0.01)


@pytest.mark.parametrize(("kind", "ratio"), [("puff", 1.6), ("puff cap", 1.6), ("gathered cap", 1.3)])
def test_what_is_gathered_is_its_ratio_of_the_seam(kind: str, ratio: float) -> None:
    """gw-113: the ratio is the gathered cloth over the part of the armhole that it is gathered to."""
    _, arm, armhole = sleeved(kind)
    cap = arm.edge("cap")
    front, back = (next(n.at for n in arm.notches if n.name == name) for name in ("front", "back"))
    below = front + cap.length() - back
    assert (back - front) / (armhole - below) == pytest.approx(ratio, abs=0.002)


@pytest.mark.parametrize("kind", ["plain", "bishop", "puff"])
def test_a_sleeve_ends_in_a_cuff_or_a_band(kind: str) -> None:
    """All that the hem is longer than its cuff is laid or gathered; no check of a seam fails."""
    front, back = halves("14")
    on = Board("test", WOMEN.body("14"), {}, "cm", "blouse")
    reach = "short" if kind == "puff" else "long"
    arm = sleeve(on, kind, front, back, reach=reach, hem=None if kind == "puff" else cm(26))
    if kind == "puff":
        part = banded(on, arm, wide=cm(3), around=on.body.upper_arm_girth + cm(2.5))
    else:
        part = cuffed(on, arm, wide=cm(6), gathered=kind == "bishop")
    seams = (sew("shoulder seam", "front.shoulder", to="back.shoulder"), sew("side", "front.side", to="back.side"))
    draft = together(on, [Part((front, back), seams), part])
    label = mark(allow(draft, {}), title="", size="", size_words="", unit="cm", label_box=label_box)
    failed = [f.message for f in check(label) if not f.passed and f.id.startswith(("seam.", "entry."))]
    assert not failed


def test_a_sleeve_is_shorter_by_its_cuff() -> None:
    """gw-170: 60 of arm less 1.25 of shoulder (told as its length here) and a cuff of 5 leave 53.75."""
    told = worked()["gw-170"]
    arm, cuff, extra = (cm(number(told, name)) for name in ("arm", "cuff", "extra"))
    front, back = halves("14")
    on = Board("test", WOMEN.body("14"), {}, "cm", "blouse")
    own = sleeve(on, "plain", front, back, long=arm - extra, cuff=cuff).pieces[0]
    centre = own.points["cap_top"].y - own.edge("hem").start.y
    assert centre / 10 == pytest.approx(float(told["value"]), abs=0.02)


def test_a_bishop_of_four_sections_gains_three_spreads_at_its_hem() -> None:
    """gw-111: (4 - 1) spreads of 2 in are 6 in; the hem is drawn lower, so it is that or a little more."""
    told = worked()["gw-111"]
    gained = (number(told, "sections") - 1) * number(told, "spread")
    assert gained == float(told["value"])
    (_, plain, _), (_, bishop, _) = sleeved("plain"), sleeved("bishop")
    more = chords(bishop.edge("hem")) - chords(plain.edge("hem"))
    assert gained * 25.4 - 4 <= more <= gained * 25.4 + 20
    assert chords(bishop.edge("cap")) == pytest.approx(chords(plain.edge("cap")), abs=0.01)


def wrist_of(part: Part) -> list[bool]:
    """Whether the hand passes the hem, as the check of the sleeve tells; nothing where it is not claimed."""
    front, back = halves("14")
    on = Board("test", WOMEN.body("14"), {}, "cm", "blouse")
    seams = (sew("shoulder seam", "front.shoulder", to="back.shoulder"), sew("side", "front.side", to="back.side"))
    draft = together(on, [Part((front, back), seams), part])
    label = mark(allow(draft, {}), title="", size="", size_words="", unit="cm", label_box=label_box)
    return [f.passed for f in check(label) if f.id == "sleeve.wrist"]


def test_the_hand_passes_a_wrist_without_a_cuff() -> None:
    front, back = halves("14")

    def plain(more: float) -> Part:
        on = Board("test", WOMEN.body("14"), {}, "cm", "blouse")
        return sleeve(on, "plain", front, back, hem=on.body.hand_girth + mm(more))

    assert [wrist_of(plain(more)) for more in (10.5, 9.5)] == [[True], [False]]
    on = Board("test", WOMEN.body("14"), {}, "cm", "blouse")
    assert wrist_of(sleeve(on, "plain", front, back)) == [True]
    assert wrist_of(sleeve(on, "plain", front, back, reach="elbow")) == []
    assert wrist_of(cuffed(on, sleeve(on, "plain", front, back), wide=cm(6))) == []


@pytest.mark.parametrize("method", METHODS)
def test_every_sleeve_goes_into_every_block_on_women_of_the_survey(method: str) -> None:
    """The cap is the armhole and its ease by chords, no higher than the shoulder stands over the underarm; a woman that
    is refused is told why. (Darts are taken off as their takes say.)"""
    refused, tried = [], 0
    for woman, body in list(measured_whole("women_1988_60.csv").items())[::20]:
        for kind in SLEEVES:
            if kind == "none":
                continue
            on = Board("test", body, {}, "cm", "blouse")
            front, back = block(on, method, ease_bust=cm(10), ease_waist=cm(5), ease_hip=cm(8))
            tried += 1
            try:
                (arm, *_), ease = sleeve(on, kind, front, back).pieces, 0.0
            except DraftError as error:
                refused.append(f"{woman} {kind}: {error}")
                continue
            edges = [half.edge("armhole") for half in (front, back)]
            darts = [sum(take.end - take.start for take in edge.takes) for edge in edges]  # the angle's lies there
            cap, armhole = arm.edge("cap"), [chords(e) - dart for e, dart in zip(edges, darts, strict=True)]
            if kind not in ("puff", "puff cap", "gathered cap"):
                ease = 30.0
            if kind == "cap":
                assert chords(cap) < sum(armhole) + ease - 100.0
            else:
                gathered = sum(take.end - take.start for take in cap.takes)
                assert chords(cap) - gathered == pytest.approx(sum(armhole) + ease, abs=0.3), (woman, kind)
            if kind == "plain" and not any(darts):
                stands = sum(h.edge("armhole").end.y - h.edge("armhole").start.y for h in (front, back)) / 2
                assert arm.points["cap_top"].y <= stands + 0.1, woman
    assert len(refused) <= tried * 0.02, refused
