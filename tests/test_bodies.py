"""Real bodies, and any body like them: the dress is drafted, its pieces are sound, or the refusal says what to change.

300 women of a 1988 survey (fixtures/bodies, see its README; what was estimated stands in `wardrobe.women`), all of them
in three styles and every fifth in the others.
"""

from __future__ import annotations

import csv
import math
import re
from dataclasses import dataclass
from functools import cache

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon

from oaktag.body.measurements import KINDS, Measurements
from oaktag.checks.run import check
from oaktag.draft.options import ChoiceOption, defaults
from oaktag.errors import DraftError, OaktagError
from oaktag.garments.sheath_dress import sheath_dress
from oaktag.model.finding import Finding, Severity
from oaktag.model.pattern import Pattern
from oaktag.model.walking import hem_needed, leg_girth
from oaktag.units import Unit, parse_length
from wardrobe import (
    FIXTURES,
    IN,
    LENGTH,
    dense,
    dress,
    dressed,
    eases_of,
    edge_tape,
    level_of,
    sewn_tape,
    tape,
    walk_of,
    women,
    zip_of,
)

STYLES: dict[str, dict[str, str]] = {
    "default": {},
    "straight-long": {"hem": "straight", "sleeve": "long"},
    "waist-bust": {"waist_seam": "yes", "bust_dart": "side", "hem": "a-line"},
    "a-line-elbow": {"hem": "a-line", "sleeve": "elbow"},
    "v-slit": {"neckline": "v", "sleeve": "none", "opening": "slit"},
    "square-cap": {"neckline": "square", "sleeve": "cap"},
    "boat-side": {"neckline": "boat", "zip": "side", "neck_width": "14.5 cm"},
    "all-in-one": {"sleeve": "none", "facing": "all-in-one", "interfacing": "yes"},
    "waist-long": {"waist_seam": "yes", "sleeve": "long", "hem": "straight"},
    "bust-sleeveless": {"bust_dart": "side", "sleeve": "none"},
    "lined": {"lining": "full", "interfacing": "yes"},
    "lined-side": {
        "lining": "full", "zip": "side", "hem": "straight", "neckline": "boat", "neck_width": "14.5 cm",
    },
}  # fmt: skip
EVERYONE = ("default", "straight-long", "waist-bust")
"""The styles that every woman is dressed in: between them the pegged, the straight and the flared hem, with and without
a waist seam and a bust dart; every fifth woman wears the others."""
BODIES = dict(women())


def wearers(style: str) -> dict[str, Measurements]:
    return BODIES if style in EVERYONE else dict(list(BODIES.items())[::5])


@dataclass(frozen=True)
class Outcome:
    pattern: Pattern | None
    findings: tuple[Finding, ...]
    refusal: OaktagError | None


@cache
def outcomes(style: str) -> dict[str, Outcome]:
    """What became of every woman in that style; anything but a pattern or an error of our own is a failure here."""
    made = {}
    for name, body in wearers(style).items():
        try:
            pattern = dressed(body, "in", **STYLES[style])
        except OaktagError as refusal:
            made[name] = Outcome(None, (), refusal)
        else:
            made[name] = Outcome(pattern, check(pattern), None)
    return made


def patterns(style: str) -> dict[str, Pattern]:
    drafted = {name: made.pattern for name, made in outcomes(style).items() if made.pattern is not None}
    assert len(drafted) > 0.93 * len(wearers(style))
    return drafted


every_style = pytest.mark.parametrize("style", STYLES)


@every_style
def test_a_refusal_is_one_that_says_what_to_change(style: str) -> None:
    for name, made in outcomes(style).items():
        if made.refusal is not None:
            assert isinstance(made.refusal, DraftError), (name, repr(made.refusal))
            assert says_what_to_change(str(made.refusal)), (name, str(made.refusal))


def says_what_to_change(text: str) -> bool:
    """Whether it names an option or a measurement, and what to do with it."""
    names = [option.name for option in sheath_dress.options] + list(KINDS)
    verbs = re.search(
        r"\b([Aa]dd|[Mm]ake|[Ss]et|[Tt]ake|[Ll]ower|[Rr]aise|[Cc]hange|[Cc]heck|[Ww]iden|[Gg]ive|[Cc]hoose)\b", text
    )
    return bool(verbs) and any(re.search(rf"\b{name}\b", text) for name in names)


@every_style
def test_few_are_refused(style: str) -> None:
    """At most one woman in thirty: the quarter method has no dart to spare for those whose shoulders are very wide.

    A bust dart finds no room between chest line and waist in another one of twenty; and a boat neck of 14.5 cm is more
    than narrow shoulders can carry, which is for the maker to choose.
    """
    refused = [str(made.refusal) for made in outcomes(style).values() if made.refusal is not None]
    no_room = [text for text in refused if "bust dart of" in text]
    too_wide = [text for text in refused if "of shoulder is left beside the neck" in text]
    assert len(refused) - len(no_room) - len(too_wide) <= len(wearers(style)) / 30
    assert len(no_room) <= (len(wearers(style)) / 20 if "bust_dart" in STYLES[style] else 0)
    assert not too_wide or "neck_width" in STYLES[style]


@every_style
def test_no_check_fails(style: str) -> None:
    errors = [
        (name, finding.message)
        for name, made in outcomes(style).items()
        for finding in made.findings
        if not finding.passed and finding.severity is Severity.ERROR and finding.id != "entry.head"
    ]
    assert errors == []


@every_style
def test_warnings_are_about_the_body_or_the_stride(style: str) -> None:
    warned = {
        finding.id
        for made in outcomes(style).values()
        for finding in made.findings
        if not finding.passed and finding.severity is Severity.WARNING
    }
    # the last two for a reason, which the next tests look into
    assert {name for name in warned if not name.startswith("body.")} <= {
        "walk.stride", "walk.zip-clear", "side.waist", "dart.bust-point", "dart.intake", "corner.lies-flat",
    }  # fmt: skip


@every_style
def test_only_a_sleeve_whose_hem_is_deeper_than_its_underarm_seam_does_not_lie_flat(style: str) -> None:
    for name, made in outcomes(style).items():
        for finding in made.findings:
            if finding.id == "corner.lies-flat" and not finding.passed:
                assert made.pattern is not None
                piece = finding.message.split(":")[0]
                assert "hem/underarm_front" in finding.message, (name, finding.message)
                hem = made.pattern.piece(piece).cut.allowances["hem"]
                assert edge_tape(made.pattern, f"{piece}.underarm_front") < hem, (name, finding.message)


@every_style
def test_a_bust_dart_is_doubted_where_the_front_is_much_longer_than_the_back(style: str) -> None:
    """Above 1 1/2 in (38 mm; common practice, no source), and nowhere else: the waist darts are all 1 in wide."""
    for name, made in outcomes(style).items():
        doubted = {f.message.split(":")[0] for f in made.findings if f.id == "dart.intake" and not f.passed}
        longer = BODIES[name]["front_waist_length"] - BODIES[name]["back_waist_length"] - IN  # the nape lies 1 in down
        wide = "bust_dart" in STYLES[style] and longer > 1.5 * IN + 0.1 and made.pattern is not None
        front = "bodice_front" if "waist_seam" in STYLES[style] else "front"
        assert doubted == ({front} if wide else set()), name


@pytest.mark.parametrize("style", ["boat-side", "lined-side"])
def test_the_head_passes_the_neckline_or_it_is_told(style: str) -> None:
    """By tape: the neckline must be 3 cm more than the head (common practice, no source)."""
    told = set()
    for name, pattern in patterns(style).items():
        neck = 2 * edge_tape(pattern, "front.neckline", "back.neckline")
        (finding,) = [f for f in outcomes(style)[name].findings if f.id == "entry.head"]
        assert finding.measured == pytest.approx(neck, abs=0.3), name
        assert finding.passed == (finding.measured >= BODIES[name]["head_girth"] + 30), name
        told.add(finding.passed)
    assert True in told


@every_style
def test_outlines_are_valid_and_the_cut_line_surrounds_the_stitch_line(style: str) -> None:
    for name, pattern in patterns(style).items():
        for marked in pattern.pieces:
            stitch, cut = Polygon(marked.cut.stitch_line), Polygon(marked.cut.cut_line)
            assert stitch.is_valid and stitch.exterior.is_ccw, (name, marked.name)
            assert cut.is_valid and cut.exterior.is_ccw, (name, marked.name)
            assert cut.buffer(1e-3).covers(stitch), (name, marked.name)


@every_style
def test_every_seam_walks(style: str) -> None:
    """Both sides of each seam by tape, darts closed; flattening takes less than 0.05 mm from either."""
    for name, pattern in patterns(style).items():
        for seam in pattern.draft.seams:
            ease = sewn_tape(pattern, *seam.a) - (sewn_tape(pattern, *seam.b) - seam.free)
            if seam.name == "back lining to facing" and pattern.piece("lining_back").cut.piece.on_fold:
                ease -= IN  # its pleat at the centre back is laid first
            assert ease == pytest.approx(seam.ease, abs=0.1), (name, seam.name)


@pytest.mark.parametrize("style", ["default", "straight-long", "a-line-elbow", "boat-side", "lined"])
def test_the_cap_has_the_ease_that_was_asked_for(style: str) -> None:
    for name, pattern in patterns(style).items():
        cap = edge_tape(pattern, "sleeve.cap")
        hole = edge_tape(pattern, "front.armhole", "back.armhole")
        assert cap - hole == pytest.approx(0.75 * IN, abs=0.1), name
        # The lines that were taped lie within 0.05 mm of the curves, so the curves say the same.
        sleeve = pattern.piece("sleeve").cut.piece
        assert tape(dense(sleeve.edge("cap").curves, 100)) == pytest.approx(cap, abs=0.05), name


def girth(pattern: Pattern, depth: float) -> float:
    """The dress all round at a depth below the bust dart, by shapely: the pieces cut across, darts left out.

    Below a bust dart the front is drawn lower, by what it takes in.
    """
    total = 0.0
    names = {piece.name for piece in pattern.pieces}
    for half in ("front", "back"):
        above = depth < level_of(pattern.draft, "waist")
        piece = pattern.piece(half if half in names else f"{'bodice' if above else 'skirt'}_{half}").cut
        bust = [dart for front in pattern.pieces for dart in front.cut.piece.darts if dart.name == "bust"]
        down = bust[0].intake if bust and half == "front" and depth > -bust[0].points[1].y else 0.0
        ring = Polygon([(max(0.0, x), y) for x, y in piece.stitch_line])
        for dart in piece.piece.darts:
            ring = ring.difference(Polygon(dart.points))
        total += ring.buffer(0).intersection(LineString([(-1, -depth - down), (2000, -depth - down)])).length
    return 2 * total


@every_style
def test_the_zip_ends_where_the_hip_passes(style: str) -> None:
    for name, pattern in patterns(style).items():
        zipper = zip_of(pattern.draft)
        hip = BODIES[name]["hip_girth"]
        hip_line, waist = level_of(pattern.draft, "hip"), level_of(pattern.draft, "waist")
        for depth in (zipper.end_depth, (zipper.end_depth + hip_line) / 2, hip_line):
            if zipper.end_depth <= depth <= hip_line:
                assert girth(pattern, depth) >= hip - 0.1, name
        assert zipper.length % (IN / 2) == pytest.approx(0, abs=1e-6) or zipper.length % (IN / 2) > IN / 2 - 1e-6
        # and no longer than it must be: half an inch less would not do
        shorter = zipper.end_depth - IN / 2 - 0.1
        assert girth(pattern, min(shorter, hip_line)) < hip + 0.1 or shorter <= waist, name


@pytest.mark.parametrize(
    "style", ["default", "v-slit", "square-cap", "boat-side", "all-in-one", "bust-sleeveless", "lined"]
)
def test_the_opening_is_the_shortest_that_serves(style: str) -> None:
    """A step of 67 cm, in whole inches from 6 in; an inch less fails."""
    for name, pattern in patterns(style).items():
        walk = walk_of(pattern.draft)
        assert walk.opening in ("vent", "slit")

        def serves(length: float, pattern: Pattern = pattern) -> bool:
            walk = walk_of(pattern.draft)
            depth = walk.hem_depth - length
            height = walk.top_height - depth
            needed = hem_needed(670, walk.stature / 2, height, leg_girth(walk, height))
            return girth(pattern, depth) >= needed - 0.05

        inches = walk.opening_length / IN
        assert inches == pytest.approx(round(inches))
        assert inches >= 6 - 1e-9
        assert serves(walk.opening_length), name
        assert inches < 6.5 or not serves(walk.opening_length - IN), name


@every_style
def test_finished_girths_are_those_of_the_body_and_its_ease(style: str) -> None:
    for name, pattern in patterns(style).items():
        body = BODIES[name]
        for level, ease in (("bust", 2 * IN), ("waist", IN), ("hip", 2 * IN)):
            if level == "waist" and "waist_seam" in STYLES[style]:
                round_it = 2 * sewn_tape(pattern, "bodice_front.waist", "bodice_back.waist")
            else:
                round_it = girth(pattern, level_of(pattern.draft, level) - 1e-6)
            # the widest place of a smooth side is passed at the level itself, to 0.05 mm of flattening on four edges
            assert round_it == pytest.approx(body[f"{level}_girth"] + ease, abs=0.5), (name, level)


@every_style
def test_a_metric_dress_is_in_round_centimetres_and_as_sound(style: str) -> None:
    """Every tenth woman: round ease and allowances, a zip as they are sold, a vent in whole centimetres."""
    refused = 0
    for name, body in list(BODIES.items())[::10]:
        try:
            pattern = dressed(body, "cm", **STYLES[style])
        except DraftError:
            refused += 1
            continue
        bad = [f for f in check(pattern) if not f.passed and f.severity is Severity.ERROR and f.id != "entry.head"]
        assert bad == [], name
        assert eases_of(pattern.draft) == [50.0, 25.0, 50.0]
        zipper, walk = zip_of(pattern.draft), walk_of(pattern.draft)
        assert zipper.length / 50 == pytest.approx(round(zipper.length / 50))
        assert walk.opening_length / 10 == pytest.approx(round(walk.opening_length / 10))
        assert walk.opening == "none" or walk.opening_length >= 150 or "no room" in " ".join(pattern.draft.notes)
        assert all(width % 5 == 0 or width < 5 for width in pattern.draft.default_allowances.values())
    assert refused <= 3  # as few as in inches: see test_few_are_refused


# ------------------------------------------------------------------------------------------------ advice that works

ADVICE = rf"([Aa]dd|[Tt]ake) ({LENGTH})(?: or more)? (?:to|from) (\w+)"


def ways_out(refusal: DraftError) -> list[tuple[str, str, str]]:
    return [(verb.lower(), length, option) for verb, length, option in re.findall(ADVICE, str(refusal))]


def followed(raw: dict[str, str], unit: Unit, verb: str, length: str, option: str) -> dict[str, str]:
    now = parse_length(raw[option], unit) if option in raw else defaults(sheath_dress.options, unit)[option]
    assert isinstance(now, float)
    by = parse_length(length, unit)
    return {**raw, option: f"{now + by if verb == 'add' else now - by:.6f} mm"}


TIGHT: dict[str, dict[str, str]] = {
    **STYLES,
    "no ease": {"ease_bust": "0 mm", "sleeve": "none"},
    "wide sleeve": {"ease_biceps": "130 mm", "armhole_depth_ease": "15 mm"},
    "deep armhole": {"armhole_depth_ease": "70 mm"},
}


@cache
def refusals(style: str, unit: Unit) -> dict[str, DraftError]:
    """Whom that style cannot serve, and why; anything else but a draft is judged by the tests above."""
    if style in STYLES and unit == "in":
        made = outcomes(style).items()
        return {name: outcome.refusal for name, outcome in made if isinstance(outcome.refusal, DraftError)}
    found = {}
    for name, body in (wearers(style) if style in STYLES else BODIES).items():
        try:
            dress(body, unit, **TIGHT[style])
        except DraftError as refusal:
            found[name] = refusal
        except OaktagError:
            pass
    return found


@pytest.mark.parametrize("unit", ["cm", "in"])
@pytest.mark.parametrize("style", TIGHT)
def test_the_advice_of_a_refusal_is_enough(style: str, unit: Unit) -> None:
    for name, refusal in refusals(style, unit).items():
        for way in ways_out(refusal):
            try:
                dress(BODIES[name], unit, **followed(TIGHT[style], unit, *way))
            except DraftError as again:
                # Mended, something else may be in the way; but not the same again.
                assert str(again).split(",")[0] != str(refusal).split(",")[0], (name, str(refusal), str(again))


def test_the_advice_is_put_to_the_test() -> None:
    assert sum(len(ways_out(refusal)) for style in TIGHT for refusal in refusals(style, "cm").values()) >= 60


# ------------------------------------------------------------------------------------------------------- any body


def _spans() -> dict[str, tuple[float, float]]:
    """Least and most of each measurement among the women."""
    with (FIXTURES / "bodies" / "women_1988_300.csv").open() as file:
        assert sum(1 for _ in csv.reader(file)) == 301
    names = next(iter(BODIES.values()))
    return {name: (min(b[name] for b in BODIES.values()), max(b[name] for b in BODIES.values())) for name in names}


SPANS = _spans()


@st.composite
def like_a_woman(draw: st.DrawFn) -> Measurements:
    """One of the women, larger or smaller over all, and off by up to 6 % in each measurement."""
    body = draw(st.sampled_from(list(BODIES.values())))
    girths = draw(st.floats(0.85, 1.5))
    lengths = draw(st.floats(0.9, 1.12))
    offs = draw(st.lists(st.floats(0.94, 1.06), min_size=len(body), max_size=len(body)))
    return Measurements(
        {
            name: min(
                max(body[name] * off * (girths if "girth" in name else lengths), KINDS[name].least), KINDS[name].most
            )
            for (name, off) in zip(body, offs, strict=True)
        }
    )


@st.composite
def put_together(draw: st.DrawFn) -> Measurements:
    """Each measurement by itself anywhere in its span among the women: bodies that nobody has, and typing slips."""
    return Measurements({name: draw(st.floats(*span)) for name, span in SPANS.items()})


@st.composite
def styles(draw: st.DrawFn, wild: bool) -> dict[str, str]:
    """Any choice, and lengths: near the default, or (wild) anywhere in the range."""
    raw = {}
    for option in sheath_dress.options:
        if not draw(st.booleans()):
            continue
        if isinstance(option, ChoiceOption):
            raw[option.name] = draw(st.sampled_from(option.choices))
        elif wild:
            raw[option.name] = f"{draw(st.floats(option.least, option.most)):.3f} mm"
        elif option.default is not None:
            narrowest = 1.0 if "facing" in option.name else 0.7  # a narrower one may have no room for its label
            least, most = max(option.least, option.default * narrowest), min(option.most, option.default * 1.4)
            raw[option.name] = f"{draw(st.floats(least, most)):.3f} mm"
    return raw


FIT = ("zip", "sleeve", "walk", "entry")
"""Checks that a body and a style may rightly fail."""
ODD = (*FIT, "cut")
"""And, of bodies that nobody has: a side so hollow that no allowance of 1 1/2 in goes round it, which is told."""
EXTREMES = (*FIT, "cut", "outline", "marks")
"""And those that only an extreme style may fail."""


def drafted_or_refused(body: Measurements, raw: dict[str, str], may_fail: tuple[str, ...] = FIT) -> None:
    """A pattern whose pieces are sound and whose errors say what to do; or a refusal that does."""
    try:
        pattern = dressed(body, "cm", **raw)
    except DraftError as refusal:
        assert says_what_to_change(str(refusal)), str(refusal)
        return
    findings = check(pattern)
    for finding in findings:
        if not finding.passed:
            assert math.isfinite(finding.measured)
            if finding.severity is Severity.ERROR:
                assert finding.id.split(".")[0] in may_fail, finding
                assert says_what_to_do(finding.message), finding
    if not [f for f in findings if not f.passed and f.severity is Severity.ERROR]:
        for marked in pattern.pieces:
            assert Polygon(marked.cut.stitch_line).is_valid, marked.name
            assert Polygon(marked.cut.cut_line).is_valid, marked.name


def says_what_to_do(text: str) -> bool:
    named = says_what_to_change(text) or "narrower allowance" in text or "style options" in text
    return named or "opening = " in text or "widen the hem" in text


slow = settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@given(like_a_woman(), styles(wild=False))
@slow
def test_any_body_in_any_usual_style(body: Measurements, raw: dict[str, str]) -> None:
    drafted_or_refused(body, raw)


@given(like_a_woman(), styles(wild=True))
@slow
def test_any_body_in_any_style(body: Measurements, raw: dict[str, str]) -> None:
    drafted_or_refused(body, raw, EXTREMES)


@given(put_together(), styles(wild=False))
@slow
def test_any_measurements_in_any_usual_style(body: Measurements, raw: dict[str, str]) -> None:
    drafted_or_refused(body, raw, ODD)


@given(st.sampled_from(list(BODIES)), st.sampled_from(list(STYLES)))
@settings(max_examples=15, deadline=None)
def test_centimetres_and_millimetres_differ_in_words_and_nothing_else(name: str, style: str) -> None:
    try:
        made = dressed(BODIES[name], "cm", **STYLES[style])
    except DraftError:
        return
    other = dressed(BODIES[name], "mm", **STYLES[style])
    for a, b in zip(made.pieces, other.pieces, strict=True):
        assert a.cut.cut_line == b.cut.cut_line
        assert a.cut.stitch_line == b.cut.stitch_line
