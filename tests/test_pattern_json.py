"""The geometry file against the pattern it was written from."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from itertools import pairwise
from math import hypot, inf, nan
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oaktag.body.measurements import Measurements
from oaktag.export import pattern_json
from oaktag.model.finding import Finding, Severity
from oaktag.model.nest import Nest
from samples import sample_findings, sample_pattern
from wardrobe import ALTO, dressed

HALF = 0.00005 + 1e-9
"""Half of 1e-4 mm, to which numbers are rounded."""


def loaded() -> Any:
    return json.loads(pattern_json.render(Nest.single(sample_pattern()), sample_findings()))


def near(found: list[list[float]], meant: Any) -> bool:
    return len(found) == len(meant) and all(
        abs(x - ex) <= HALF and abs(y - ey) <= HALF for (x, y), (ex, ey) in zip(found, meant, strict=True)
    )


def test_keys_are_the_contracts() -> None:
    top = loaded()
    assert list(top) == ["oaktag", "title", "garment", "unit", "sizes", "base", "pieces", "seams", "checks", "steps"]
    assert (top["oaktag"], top["unit"], top["sizes"], top["base"]) == (1, "mm", ["12"], "12")
    assert top["title"] == "Lighthouse choir, alto 3 – première"
    for piece in top["pieces"]:
        assert set(piece) == {
            *("name", "size", "material", "quantity", "on_fold", "mirrored_pair", "stitch_line", "cut_line", "edges"),
            *("darts", "notches", "drill_holes", "grain_line", "fold_line", "internal_lines", "label", "points"),
            *("label_angle", "label_lines"),  # beyond the contract's: where each line of the label stands
        }
        for edge in piece["edges"]:
            assert set(edge) == {"name", "kind", "points", "length", "allowance"}
        for notch in piece["notches"]:
            assert set(notch) == {"edge", "name", "point", "direction", "count", "cut_points", "kind", "depth", "width"}
    assert set(top["seams"][0]) == {"name", "a", "b", "length_a", "length_b", "ease", "least", "most"}
    assert set(top["checks"][0]) == {"id", "severity", "passed", "measured", "limit", "unit", "size", "message"}
    assert set(top["steps"][0]) == {"piece", "size", "label", "formula", "value"}


def test_geometry_is_the_patterns() -> None:
    for found, marked in zip(loaded()["pieces"], sample_pattern().pieces, strict=True):
        cut, piece = marked.cut, marked.cut.piece
        assert near(found["stitch_line"], cut.stitch_line)
        assert near(found["cut_line"], cut.cut_line)
        for line in (found["stitch_line"], found["cut_line"]):
            assert line[0] != line[-1]
            assert sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(line, line[1:] + line[:1], strict=True)) > 0
        assert [edge["name"] for edge in found["edges"]] == [edge.name for edge in piece.edges]
        for edge in found["edges"]:
            assert near(edge["points"], cut.lines[edge["name"]])
            assert edge["allowance"] == cut.allowances[edge["name"]]
        assert near(found["grain_line"], marked.grain_line)
        assert near(found["drill_holes"], marked.drill_holes)
        assert found["label"] == list(marked.label.lines)
        for notch, meant in zip(found["notches"], marked.notches, strict=True):
            assert near([notch["point"], notch["direction"]], [meant.point, meant.direction])
            assert near(notch["cut_points"], meant.spots)
            assert notch["count"] == len(notch["cut_points"])
            assert hypot(*notch["direction"]) == pytest.approx(1.0, abs=2e-4)


def test_numbers_that_can_be_worked_out_by_hand() -> None:
    front, sleeve, pocket = loaded()["pieces"]
    assert pocket["stitch_line"] == [[0, 0], [150, 0], [150, 140], [0, 140]]
    assert {edge["name"]: edge["length"] for edge in pocket["edges"]} == {
        "bottom": 150,
        "right": 140,
        "top": 150,
        "left": 140,
    }
    assert (pocket["quantity"], pocket["material"], pocket["fold_line"]) == (2, "lining", None)
    assert (front["on_fold"], front["mirrored_pair"]) == (True, False)
    assert (sleeve["on_fold"], sleeve["mirrored_pair"]) == (False, True)
    assert front["fold_line"] == [[0, -630], [0, -74]]
    assert front["darts"] == [
        {"name": "waist", "points": [[120, -280], [130, -400], [120, -520], [110, -400]], "intake": 20}
    ]
    assert front["points"]["underarm"] == [245, -230]
    edges = {edge["name"]: edge for edge in front["edges"]}
    assert (edges["centre_front"]["kind"], edges["hem"]["kind"], edges["side"]["kind"]) == ("fold", "hem", "seam")
    assert edges["shoulder"]["length"] == pytest.approx(117.0470, abs=1e-4)  # √(110² + 40²)


def test_lengths_are_of_the_curve_not_of_its_chords() -> None:
    front = loaded()["pieces"][0]
    armhole = next(edge for edge in front["edges"] if edge["name"] == "armhole")
    (curve,) = sample_pattern().piece("front").cut.piece.edge("armhole").curves
    # 20,000 chords fall short of a cubic's length by less than 1e-6 mm.
    places = [curve.at(i / 20_000) for i in range(20_001)]
    dense = sum(hypot(q.x - p.x, q.y - p.y) for p, q in pairwise(places))
    assert armhole["length"] == pytest.approx(dense, abs=1e-4)
    chords = sum(hypot(q[0] - p[0], q[1] - p[1]) for p, q in pairwise(armhole["points"]))
    assert armhole["length"] > chords + 0.005


def test_seams_checks_and_steps() -> None:
    top = loaded()
    (seam,) = top["seams"]
    # √(60² + 400²) for both sides of the sleeve
    assert (seam["length_a"], seam["length_b"]) == (404.475, 404.475)
    assert (seam["a"], seam["b"]) == (["sleeve.side_front"], ["sleeve.side_back"])
    assert (seam["ease"], seam["least"], seam["most"]) == (0, -0.5, 0.5)
    passed, failed = top["checks"]
    assert (passed["passed"], failed["passed"]) == (True, False)
    assert (passed["severity"], failed["severity"]) == ("error", "warning")
    assert failed["message"] == 'Move the "front" notch 2¾ mm away.'
    assert top["steps"][0]["formula"] == "bust girth ÷ 6 + 1 in + 1 1/2 in"
    assert (top["steps"][0]["value"], top["steps"][0]["size"]) == (241.3, "12")


def test_steps_speak_the_makers_unit() -> None:
    top = json.loads(pattern_json.render(Nest.single(replace(sample_pattern(), unit="cm")), ()))
    assert top["steps"][0]["formula"] == "bust girth ÷ 6 + 2.5 cm + 3.8 cm"
    assert top["checks"] == []


def test_the_same_pattern_gives_the_same_bytes_one_key_a_line() -> None:
    data = pattern_json.render(Nest.single(sample_pattern()), sample_findings())
    assert data == pattern_json.render(Nest.single(sample_pattern()), sample_findings())
    text = data.decode("utf-8")
    assert text.endswith("}\n") and "\r" not in text
    assert text.count('"cut_line":') == len(re.findall(r'^      "cut_line": \[\[.*\]\],$', text, re.MULTILINE)) == 3
    outside_strings = re.sub(r'"(?:[^"\\]|\\.)*"', "", text)
    numbers = re.findall(r"[-+\d.][-+\d.eE]*", outside_strings)
    assert numbers and all(re.fullmatch(r"-?\d+(\.\d{0,3}[1-9])?", each) and each != "-0" for each in numbers)


@given(st.floats(-1e6, 1e6))
def test_numbers_keep_a_ten_thousandth(value: float) -> None:
    text = pattern_json.number(value)
    assert abs(json.loads(text) - value) <= HALF
    assert "e" not in text and text != "-0"


@pytest.mark.parametrize("value", [inf, -inf, nan])
def test_a_finding_without_a_number_is_null(value: float) -> None:
    finding = Finding("walk", Severity.INFO, True, value, value, "mm", "any step", "12")
    data = pattern_json.render(Nest.single(sample_pattern()), (finding,))
    check = json.loads(data, parse_constant=pytest.fail)["checks"][0]
    assert check["measured"] is None and check["limit"] is None


@given(st.text(st.characters(exclude_categories=("Cs",)), max_size=40))
def test_any_words_come_back(words: str) -> None:
    pattern = replace(sample_pattern(), title=words, size=words)
    top = json.loads(pattern_json.render(Nest.single(pattern), ()))
    assert top["title"] == words and top["base"] == words and top["pieces"][0]["size"] == words


def test_a_seam_is_told_as_it_is_sewn() -> None:
    """Side a less side b is the ease, whatever is folded away: darts of a bodice, a cap sleeve that leaves the armhole
    alone below it; what is folded is told with its edge."""
    pattern = dressed(Measurements({**ALTO, "front_waist_length": 460.0}), bust_dart="side", sleeve="cap")
    top = json.loads(pattern_json.render(Nest.single(pattern), ()))
    seams = {seam["name"]: seam for seam in top["seams"]}
    for seam in seams.values():
        assert seam["least"] <= seam["length_a"] - seam["length_b"] <= seam["most"], seam["name"]
    front = next(piece for piece in top["pieces"] if piece["name"] == "front")
    side = next(edge for edge in front["edges"] if edge["name"] == "side")
    (take,) = side["takes"]
    assert take["kind"] == "dart"
    assert seams["side seam"]["length_a"] == pytest.approx(side["length"] - take["end"] + take["start"], abs=1e-3)
    halves = [piece for piece in top["pieces"] if piece["name"] in ("front", "back")]
    armholes = [edge["length"] for piece in halves for edge in piece["edges"] if edge["name"] == "armhole"]
    cap = seams["sleeve cap"]
    assert cap["free"] > 0
    assert cap["length_b"] + cap["free"] == pytest.approx(sum(armholes), abs=1e-3)


def test_levels_of_the_body_are_told_with_their_depth() -> None:
    top = json.loads(pattern_json.render(Nest.single(dressed(ALTO)), ()))
    front = next(piece for piece in top["pieces"] if piece["name"] == "front")
    assert front["worn"] == "body"
    depths = {level["name"]: level["depth"] for level in front["levels"]}
    # the waist lies her back waist length below the nape, and the nape 1 in above the level of the side neck point
    assert depths["hip"] - depths["waist"] == pytest.approx(ALTO["waist_to_hip"], abs=1e-3)
    assert all(y == -depths[level["name"]] for level in front["levels"] for _, y in level["points"])
