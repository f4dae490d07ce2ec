"""Faults mended on a draft as it stands: what lies on a piece follows, what is sewn to it is made to fit; patterns that
were drawn elsewhere; sets of sizes."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import Phase, assume, given, settings
from hypothesis import strategies as st

from fitted import BODY, drafted, faults, piece, sewn
from fitted import apart as outlines_apart
from oaktag.body.measurements import Measurements
from oaktag.checks.run import check
from oaktag.draft.inside import far_along
from oaktag.draft.moves import placed, turn, turned_over
from oaktag.errors import DraftError, InputErrors
from oaktag.fitting.as_drawn import laid, places_told
from oaktag.fitting.drafts import on_draft
from oaktag.fitting.fitter import Fitter
from oaktag.fitting.follow import Lying
from oaktag.fitting.refit import refitted
from oaktag.fitting.table import BY_NAME
from oaktag.fitting.warp import Pin
from oaktag.geometry.affine import Move
from oaktag.geometry.path import place_at
from oaktag.geometry.point import Point, distance
from oaktag.job import load_job
from oaktag.model.draft import Draft
from oaktag.model.finding import Severity
from oaktag.model.fitted import Ask
from oaktag.model.piece import Edge
from oaktag.model.sewing import seam_lengths
from oaktag.pipeline import make, nest_of
from oaktag.values import replace
from wardrobe import finished, women

DRAWINGS = Path(__file__).parents[1] / "fixtures" / "drawings"
Operation = Callable[[Fitter], None]


def altered(draft: Draft, operation: Operation) -> Draft:
    """The draft with an operation on its pieces as they stand."""
    table = Fitter(draft.pieces, "cm", Lying(draft.seams, as_drawn=True))
    operation(table)
    pieces, notes = refitted(draft, table.pieces, "fault", "cm")
    return replace(draft, pieces=pieces, notes=(*draft.notes, *notes))


def square_shoulder(on: Fitter) -> None:
    """The tips of front and back up by 8 mm."""
    for role in ("front", "back"):
        armhole = on.edge(role, "armhole")
        on.shift(role, (Pin(armhole.name, on.at(role, "armhole", "shoulder"), up=8.0),))


def front_alone(on: Fitter) -> None:
    """The front armhole 8 mm more hollow in its middle."""
    armhole = on.edge("front", "armhole")
    on.shift("front", (Pin(armhole.name, armhole.length() / 2, right=-8.0),))


def broad_shoulder(on: Fitter) -> None:
    """Slashed from the middle of the shoulder to the armhole, and spread by 6 mm there."""
    for role in ("front", "back"):
        shoulder, armhole = on.edge(role, "shoulder"), on.edge(role, "armhole")
        on.slash(role, (shoulder.name, shoulder.length() / 2), (armhole.name, armhole.length() * 0.4), 6.0)


def wider(on: Fitter) -> None:
    """All beyond 6 cm from the centre moved outwards, by 5 mm from 10 cm on."""
    for role in ("front", "back"):
        on.warp(role, lambda p: Point(p.x + 5.0 * max(0.0, min(1.0, (p.x - 60.0) / 40.0)), p.y))


def off(draft: Draft, name: str) -> float:
    """How much longer side a of a seam is than side b, mm."""
    seam = next(seam for seam in draft.seams if seam.name == name)
    both = seam_lengths(lambda each: piece(draft, each), seam)
    return both.a - both.b


def apart(one: Edge, other: Edge) -> float:
    """How far the second edge leaves the line of the first at most, mm."""
    return max(far_along(one.curves, place_at(other.curves, other.length() * k / 16)[0])[1] for k in range(17))


# ---------------------------------------------------------------- what lies on a piece


@pytest.mark.parametrize("operation", [square_shoulder, broad_shoulder, wider])
@pytest.mark.parametrize(
    "style", [{}, {"facing": "all-in-one", "interfacing": "yes"}, {"lining": "full"}], ids=["plain", "in one", "lined"]
)
def test_facings_and_linings_follow_the_shell(operation: Operation, style: dict[str, str]) -> None:
    # a facing has the very shape of what it faces (common practice, no source)
    plain = drafted("sheath-dress", BODY, sleeve="none", **style)
    new = altered(plain, operation)
    for seam in new.seams:
        if seam.how == "faced":
            assert off(new, seam.name) == pytest.approx(off(plain, seam.name), abs=0.05), seam.name
    for name in ("front", "back"):
        shell = piece(new, name)
        for each in new.pieces:
            if name in each.name.split("_") and each.name != name and operation is not broad_shoulder:
                for edge in each.edges:
                    if edge.name in ("neckline", "armhole"):
                        assert apart(shell.edge(edge.name), edge) < 0.1, (each.name, edge.name)
    judged = {each for each in faults(finished(new)) if not each.startswith(("girth", "zip"))}
    assert judged <= set(faults(finished(plain)))


def test_a_slash_opens_a_facing_as_far_as_it_crosses_it() -> None:
    plain = drafted("sheath-dress", BODY, sleeve="none", facing="all-in-one")
    new = altered(plain, broad_shoulder)
    for name in ("front", "back"):
        grown = [sewn(new, f"{each}.shoulder") - sewn(plain, f"{each}.shoulder") for each in (name, f"facing_{name}")]
        assert grown[0] > 5.0  # 6 mm straight across the shoulder's middle
        assert grown[1] == pytest.approx(grown[0], abs=0.02)


# ---------------------------------------------------------------- sleeve, bands, collars


@pytest.mark.parametrize("name", ["sheath-dress", "t-shirt", "blouse"])
@pytest.mark.parametrize("operation", [square_shoulder, front_alone])
def test_the_cap_keeps_its_ease_in_the_new_armhole(name: str, operation: Operation) -> None:
    # armhole changed by d: cap changed by d, in front and back where it happened (alterations, law 6)
    plain = drafted(name, BODY)
    new = altered(plain, operation)
    seam = next(s for s in plain.seams if s.a[0].edge == "cap" or s.a[0].piece == "sleeve")
    assert off(new, seam.name) == pytest.approx(off(plain, seam.name), abs=0.05)
    cap, was = piece(new, "sleeve").edge("cap"), piece(plain, "sleeve").edge("cap")
    top, old = (next(n.at for n in piece(d, "sleeve").notches if n.name == "shoulder") for d in (new, plain))
    front = sewn(new, "front.armhole") - sewn(plain, "front.armhole")
    back = sewn(new, "back.armhole") - sewn(plain, "back.armhole")
    assert abs(front) > 0.5
    assert top - old == pytest.approx(front, abs=0.1)
    assert cap.length() - top - (was.length() - old) == pytest.approx(back, abs=0.1)
    assert any("cap of the sleeve" in note for note in new.notes)
    judged = {each for each in faults(finished(new)) if not each.startswith(("girth", "zip"))}
    assert judged <= set(faults(finished(plain)))


def test_a_lined_sleeve_has_its_lining_s_cap_changed_alike() -> None:
    plain = drafted("sheath-dress", BODY, sleeve="long", lining="full")
    new = altered(plain, square_shoulder)
    assert sewn(new, "lining_sleeve.cap") - sewn(plain, "lining_sleeve.cap") == pytest.approx(
        sewn(new, "sleeve.cap") - sewn(plain, "sleeve.cap"), abs=0.1
    )
    assert off(new, "lining sleeve cap") == pytest.approx(off(plain, "lining sleeve cap"), abs=0.05)


def front_waist(on: Fitter) -> None:
    """The front waist let out at the side, by 6 mm."""
    waist = on.edge("front", "waist")
    on.shift("front", (Pin(waist.name, on.at("front", "waist", "side"), right=6.0),))


def test_a_band_is_lengthened_where_its_seam_was() -> None:
    # the front half of the band grows, so notches beyond it move, those before it stay (common practice, no source)
    plain = drafted("straight-skirt", BODY)
    new = altered(plain, front_waist)
    by = sewn(new, "front.waist") - sewn(plain, "front.waist")
    assert by == pytest.approx(6.0, abs=0.3)
    places = [[(n.name, n.at) for n in piece(draft, "waistband").notches] for draft in (plain, new)]
    moved = {(name, round(at)): now - at for (name, at), (_, now) in zip(*map(sorted, places), strict=True)}
    assert list(moved.values()) == pytest.approx([by, 2 * by, 0.0, 2 * by], abs=0.02)  # centre, lap, side, other side
    assert off(new, "waist seam") == pytest.approx(off(plain, "waist seam"), abs=0.02)
    assert sewn(new, "waistband.lap_end") == pytest.approx(60.0, abs=0.01)
    judged = {each for each in faults(finished(new)) if not each.startswith("girth")}
    assert judged <= set(faults(finished(plain)))


def test_a_side_seam_of_which_one_side_was_changed_is_refused() -> None:
    plain = drafted("straight-skirt", BODY)
    with pytest.raises(DraftError, match=r"the side seam would not fit: front\.side .* cm"):
        altered(plain, lambda on: on.shift("front", (Pin("side", on.at("front", "side", "waist"), up=9.0),)))


def test_a_collar_is_lengthened_along_its_neck() -> None:
    plain = drafted("blouse", BODY)
    new = altered(plain, wider)
    seam = next(seam for seam in plain.seams if seam.name == "collar seam")
    assert off(new, seam.name) == pytest.approx(off(plain, seam.name), abs=0.05)
    assert sewn(new, "back.neck", "front.neck") - sewn(plain, "back.neck", "front.neck") > 1.0
    assert sewn(new, "collar.collar_end") == pytest.approx(sewn(plain, "collar.collar_end"), abs=0.05)


def test_what_cannot_follow_is_refused_by_name_with_both_lengths() -> None:
    plain = drafted("sheath-dress", BODY, sleeve="none", waist_seam="yes")
    with pytest.raises(DraftError, match=r"front waist seam .*bodice_front\.waist .* cm .*skirt_front\.waist .* cm"):
        altered(plain, lambda on: on.warp("front", lambda p: Point(p.x + 5.0 * (p.x > 60.0), p.y)))


@settings(max_examples=4, deadline=None, phases=[Phase.explicit, Phase.generate])
@given(woman=st.sampled_from(women()), by=st.floats(2.0, 10.0))
def test_what_was_altered_is_taken_back_by_its_reverse(woman: tuple[str, Measurements], by: float) -> None:
    def lifted(sign: float) -> Operation:
        def operation(on: Fitter) -> None:
            for role in ("front", "back"):
                armhole = on.edge(role, "armhole")
                on.shift(role, (Pin(armhole.name, on.at(role, "armhole", "shoulder"), up=sign * by),))

        return operation

    try:
        plain = drafted("sheath-dress", woman[1], lining="full", interfacing="yes")
    except DraftError:
        assume(False)
    there = altered(plain, lifted(1.0))
    assert outlines_apart(plain, there) > 1.0
    assert outlines_apart(plain, altered(there, lifted(-1.0))) < 0.1


# ---------------------------------------------------------------- sheath dress

SHEATHS: list[dict[str, str]] = [
    {},
    {"sleeve": "none", "facing": "all-in-one", "interfacing": "yes"},
    {"sleeve": "long", "lining": "full", "bust_dart": "side"},
    {"waist_seam": "yes", "sleeve": "none", "bust_dart": "side", "opening": "slit"},
    {"waist_seam": "yes", "lining": "full", "zip": "side", "hem": "a-line"},
]


def kinds(found: list[str]) -> set[tuple[str, ...]]:
    """What was found, without its numbers."""
    return {tuple(each.split(":")[:2]) for each in found}


@pytest.mark.parametrize("number", range(len(SHEATHS)))
def test_every_fault_is_mended_on_a_sheath_or_refused_by_its_limit(number: int) -> None:
    style, done = SHEATHS[number], 0
    plain = drafted("sheath-dress", BODY, **style)
    known = kinds(faults(finished(plain)))
    for k, fault in enumerate(BY_NAME.values()):
        if k % len(SHEATHS) != number:
            continue
        amount = 3.0 if fault.name == "dart_level" else 6.0  # its dart lies 2 cm below the underarm
        ask = Ask(fault.name, amount, "", *(fault.seams[:1] or ("",)), *(fault.levels[:1] or ("",)))
        try:
            new = drafted("sheath-dress", BODY, ask, **style)
        except DraftError as error:
            assert fault.name.replace("_", " ") in str(error).replace("_", " ")
            continue
        done += 1
        assert new.altered
        odd = {one for one in kinds(faults(finished(new))) - known if one[0] not in ("entry.head", "zip.reach")}
        assert not odd, (fault.name, style)
    assert done


@pytest.mark.parametrize("name", ["full_bust", "long_waist", "thick_neck", "shorter"])
@pytest.mark.parametrize("style", SHEATHS, ids=lambda style: " ".join(style.values()))
def test_facings_lining_and_waist_seam_of_a_sheath_follow(name: str, style: dict[str, str]) -> None:
    plain, new = drafted("sheath-dress", BODY, **style), drafted("sheath-dress", BODY, Ask(name, 6.0), **style)
    assert [each.name for each in plain.pieces] == [each.name for each in new.pieces]
    for seam in new.seams:
        assert off(new, seam.name) == pytest.approx(off(plain, seam.name), abs=0.5), seam.name
    assert any(abs(was.after - was.before) > 4.0 for each in new.altered for was in each.edges)
    assert "bust_point" not in {point for each in new.pieces for point in each.points}


@pytest.mark.parametrize("name", ["square_shoulder", "high_hip", "full_bust"])
def test_a_fault_of_one_side_of_a_sheath(name: str) -> None:
    style = {"lining": "full", "sleeve": "long"}
    known = kinds(faults(finished(drafted("sheath-dress", BODY, **style))))
    new = drafted("sheath-dress", BODY, Ask(name, 6.0, "left"), **style)
    assert kinds(faults(finished(new))) <= known


# ---------------------------------------------------------------- drawn elsewhere


def by_hand(draft: Draft) -> Draft:
    """The draft as if another hand had drawn it: bare pieces, each turned over or round and laid somewhere."""
    over, round_ = turned_over((0.0, 0.0), (0.0, 1.0)), turn((0.0, 0.0), 180.0)
    ways = (Move.by(500.0, -40.0), over.then(Move.by(-300.0, 7.0)), round_, round_.then(over), over)
    return replace(
        draft,
        pieces=tuple(
            placed(replace(each, worn="", levels=()), ways[k % len(ways)]) for k, each in enumerate(draft.pieces)
        ),
        claims=(),
        by_hand=3.0,
    )


def lengths(draft: Draft) -> dict[str, float]:
    return {f"{each.name}.{edge.name}": edge.length() for each in draft.pieces for edge in each.edges}


@pytest.mark.parametrize("name", ["bodice", "sheath-dress", "dress", "t-shirt"])
def test_a_drawn_pattern_is_laid_as_halves_are_and_laid_back(name: str) -> None:
    drawn = by_hand(drafted(name, BODY))
    table = laid(drawn)
    for role in ("front", "back"):
        half = next(each for each in table.draft.pieces if each.worn and role in each.name.split("_"))
        edges = {edge.name: edge for edge in half.edges}
        centre, side = edges[f"centre_{role}"], edges["side"]
        assert abs(max(centre.start, centre.end, key=lambda p: p.y).x) < 1e-6
        assert min(side.start.x, side.end.x) > 50.0
        assert edges["armhole"].start.y > min(p.y for edge in half.edges for p in (edge.start, edge.end)) + 100.0
    moved = tuple(replace(each, notes=("touched",)) for each in table.draft.pieces)
    back, _ = table.back(moved)
    for was, now in zip(drawn.pieces, back.pieces, strict=True):
        assert [edge.name for edge in was.edges] == [edge.name for edge in now.edges]
        for one, other in zip(was.edges, now.edges, strict=True):
            assert all(
                distance(p, q) < 1e-6
                for a, b in zip(one.curves, other.curves, strict=True)
                for p, q in zip(a.controls(), b.controls(), strict=True)
            )
        assert (now.worn, now.levels) == ("", ())


@pytest.mark.parametrize("name", ["bodice", "straight-skirt"])
def test_a_fault_is_mended_alike_on_a_drawn_pattern(name: str) -> None:
    plain, ask = drafted(name, BODY), Ask("sway_back", 10.0)
    drawn = by_hand(plain)
    same = lengths(on_draft(plain, [ask], "cm"))
    now = on_draft(drawn, [ask], "cm")
    assert lengths(now) == pytest.approx(same, abs=0.1)
    assert now.altered[0].pieces[0] == "back"
    told = {row.name: row.before - row.after for row in now.altered[0].edges}
    assert told["back.centre_back"] == pytest.approx(10.0, abs=0.1)


def test_a_drawn_facing_is_laid_on_its_shell_by_the_seam_that_they_share() -> None:
    drawn = by_hand(drafted("sheath-dress", BODY, sleeve="none"))
    table = laid(drawn)
    on = Fitter(table.draft.pieces, "cm", Lying(table.draft.seams, as_drawn=False))
    wider(on)
    pieces, _ = refitted(table.draft, on.pieces, "fault", "cm")
    new, _ = table.back(pieces)
    for half in ("front", "back"):
        for edge, facing in (("neckline", f"facing_{half}"), ("armhole", f"armhole_facing_{half}")):
            assert sewn(new, f"{facing}.{edge}") == pytest.approx(sewn(new, f"{half}.{edge}"), abs=0.02)
    grown = sewn(new, "facing_front.neckline") - sewn(drawn, "facing_front.neckline")
    assert grown > 1.0
    assert not any(piece(new, name).worn for name in ("front", "facing_front"))


def test_names_that_are_not_the_trade_s_are_told_in_the_job() -> None:
    plain = drafted("bodice", BODY)
    drawn = by_hand(plain)
    names = {"waist": "e1", "centre_back": "e2"}

    def called_otherwise(name: str) -> str:
        return names.get(name, name)

    pieces = []
    for each in drawn.pieces:
        if each.name == "back":
            edges = tuple(replace(edge, name=called_otherwise(edge.name)) for edge in each.edges)
            notches = tuple(replace(n, edge=called_otherwise(n.edge)) for n in each.notches)
            each = replace(each, name="hinten", edges=edges, notches=notches)
        pieces.append(each)
    refs = [
        tuple(
            ref._replace(piece="hinten", edge=called_otherwise(ref.edge)) if ref.piece == "back" else ref for ref in run
        )
        for seam in drawn.seams
        for run in (seam.a, seam.b)
    ]
    seams = tuple(replace(seam, a=refs[2 * k], b=refs[2 * k + 1], meets=()) for k, seam in enumerate(drawn.seams))
    drawn, ask = replace(drawn, pieces=tuple(pieces), seams=seams), Ask("sway_back", 10.0)
    with pytest.raises(DraftError, match=r"hinten: .*e1.*\[fitting\.places\]"):
        on_draft(drawn, [ask], "cm")
    places = {"back": {"piece": "hinten", "waist": "e1", "centre": "e2"}}
    now = on_draft(drawn, [ask], "cm", places)
    assert sewn(drawn, "hinten.e2") - sewn(now, "hinten.e2") == pytest.approx(10.0, abs=0.1)
    assert {row.name for row in now.altered[0].edges} >= {"hinten.e2"}
    assert [each.name for each in now.pieces] == [each.name for each in drawn.pieces]
    with pytest.raises(DraftError, match=r"back\.waist: the hinten has no edge 'taille'. Expected one of"):
        on_draft(drawn, [ask], "cm", {"back": {"piece": "hinten", "waist": "taille"}})
    with pytest.raises(DraftError, match=r"back\.piece: no piece is called 'dos'"):
        on_draft(drawn, [ask], "cm", {"back": {"piece": "dos"}})
    assert "front.armhole" in places_told(drawn)


def test_a_cut_line_that_was_drawn_is_made_anew_and_told() -> None:
    drawn = by_hand(drafted("bodice", BODY))
    ring = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0))
    drawn = replace(drawn, pieces=tuple(replace(each, cut_line=ring) for each in drawn.pieces))
    now = on_draft(drawn, [Ask("sway_back", 10.0)], "cm")
    assert piece(now, "back").cut_line == ()
    assert piece(now, "front").cut_line == ring  # it was not changed
    assert "the cut lines are made anew from the allowances: back." in " ".join(now.notes)


# ---------------------------------------------------------------- jobs and sets


def skirt_job(folder: Path, fitting: str) -> Path:
    """The drawn skirt in three sizes, with what was pinned."""
    for name in ("skirt.svg", "skirt-rules.csv"):
        shutil.copy(DRAWINGS / name, folder / name)
    path = folder / "skirt.toml"
    path.write_text((DRAWINGS / "skirt.toml").read_text() + fitting)
    return path


def long(nest_draft: Draft) -> tuple[float, float]:
    """Centre back of the skirt, and how much longer its band is than its waist all round."""
    waist = 2 * sewn(nest_draft, "front.waist", "back.waist")
    return sewn(nest_draft, "back.centre_back"), sewn(nest_draft, "waistband.seam") - waist


@pytest.mark.parametrize("size", ["", "L", "M"])
def test_a_fitting_goes_into_every_size_of_a_drawn_set_or_into_one(tmp_path: Path, size: str) -> None:
    plain = nest_of(load_job(DRAWINGS / "skirt.toml"))
    told = f'\n[fitting]\nsway_back = "1.2 cm"\n{f"size = {size!r}" if size else ""}\n'
    fitted = nest_of(load_job(skirt_job(tmp_path, told)))
    for was, now in zip(plain.patterns, fitted.patterns, strict=True):
        (centre, ease), (new, new_ease) = long(was.draft), long(now.draft)
        assert centre - new == pytest.approx(12.0 if size in ("", now.size) else 0.0, abs=0.05)
        assert new_ease == pytest.approx(ease, abs=0.05)  # the waistband follows in each size
        assert bool(now.draft.altered) == (size in ("", now.size))


@pytest.mark.parametrize(
    "told",
    [
        'let_out = { seam = "side", level = "hip", amount = "1 cm" }',
        'take_in = { seam = "side", level = "waist", amount = "0.5 cm" }',
        'high_hip = { left = "1 cm" }',
        'longer = "5 cm"',
        'large_seat = "1 cm"',
        'large_abdomen = "1 cm"',
    ],
)
def test_a_drawn_skirt_fits_after_every_fault_that_skirts_have(tmp_path: Path, told: str) -> None:
    job = skirt_job(tmp_path, f"\n[fitting]\n{told}\n")
    job.write_text(job.read_text().replace('[sizes]\nrules = "skirt-rules.csv"', ""))
    pattern = nest_of(load_job(job)).base_pattern
    errors = [each for each in check(pattern) if not each.passed and each.severity is Severity.ERROR]
    assert not errors
    assert "No hip line is drawn: it was taken to lie 20 cm below the waist." in pattern.draft.notes


def test_sizes_that_were_drawn_are_fitted_each(tmp_path: Path) -> None:
    job = load_job(skirt_job(tmp_path, '\n[fitting]\nsway_back = "1.2 cm"\n'))
    plain = nest_of(load_job(DRAWINGS / "skirt.toml"))
    assert job.sizes is not None
    drawn = replace(job.sizes, rules=None, drawn={each.size: each.draft for each in plain.patterns})
    fitted = nest_of(replace(job, sizes=drawn))
    gone = [long(a.draft)[0] - long(b.draft)[0] for a, b in zip(plain.patterns, fitted.patterns, strict=True)]
    assert gone == pytest.approx([12.0] * 3, abs=0.05)


def test_a_fault_that_one_size_cannot_have_names_it(tmp_path: Path) -> None:
    job = skirt_job(tmp_path, '\n[fitting]\nround_back = "1 cm"\nsize = "L"\n')
    with pytest.raises(DraftError, match=r"size L: \[fitting\] round back: .*\n.*back: centre_back, waist, side, hem"):
        nest_of(load_job(job))


def test_places_are_for_drawn_patterns_and_name_what_is_there(tmp_path: Path) -> None:
    with pytest.raises(InputErrors, match="tells no place"):
        load_job(skirt_job(tmp_path, '\n[fitting]\nsway_back = "1 cm"\n[fitting.places]\ntop.waist = "e1"\n'))
    job = tmp_path / "dress.toml"
    job.write_text('garment = "bodice"\nunits = "cm"\n[fitting]\nsway_back = 1\n[fitting.places]\nback.waist = "e1"\n')
    with pytest.raises(InputErrors, match="the pattern is not drawn"):
        load_job(job)


SKIRTS = """garment = "straight-skirt"
units   = "cm"
[sizes]
chart = "women"
make  = ["12", "14", "16"]
base  = "14"
"""


def centre_backs(job: Path) -> list[float]:
    return [sewn(each.draft, "back.centre_back") for each in nest_of(load_job(job)).patterns]


@pytest.mark.parametrize("size", ["", "16"])
def test_a_fitting_goes_into_every_size_of_a_chart_or_into_one(tmp_path: Path, size: str) -> None:
    plain, fitted = tmp_path / "plain.toml", tmp_path / "fitted.toml"
    plain.write_text(SKIRTS)
    fitted.write_text(f"{SKIRTS}[fitting]\nsway_back = 1.2\n{f'size = {size!r}' if size else ''}\n")
    gone = [was - now for was, now in zip(centre_backs(plain), centre_backs(fitted), strict=True)]
    assert gone == pytest.approx([12.0 if size in ("", each) else 0.0 for each in ("12", "14", "16")], abs=0.2)


@pytest.mark.parametrize("size", ["", "16", "14"])
def test_sizes_by_rules_are_graded_from_the_fitted_base_or_fitted_alone(tmp_path: Path, size: str) -> None:
    chart, plain, fitted = (tmp_path / f"{name}.toml" for name in ("chart", "plain", "fitted"))
    chart.write_text(SKIRTS)
    rules = make(load_job(chart), only=("dxf",)).files["grade-rules.csv"]
    (tmp_path / "rules.csv").write_bytes(rules)
    by_rules = SKIRTS.replace('base  = "14"', 'rules = "rules.csv"')
    plain.write_text(by_rules)
    fitted.write_text(f"{by_rules}[fitting]\nsway_back = 1.2\n{f'size = {size!r}' if size else ''}\n")
    gone = [was - now for was, now in zip(centre_backs(plain), centre_backs(fitted), strict=True)]
    assert gone == pytest.approx([12.0 if size in ("", each) else 0.0 for each in ("12", "14", "16")], abs=0.3)
