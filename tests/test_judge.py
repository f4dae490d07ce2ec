"""Every registered garment before a judge that reads pattern.json alone; and the judge before wrong patterns."""

from __future__ import annotations

import copy
import subprocess
import sys
from functools import cache
from typing import Any

import pytest

from by_the_tape import CHILDREN, measured_whole
from judge import judge
from oaktag.draft.garment import GARMENT_NAMES, find_garment
from oaktag.errors import DraftError
from survey import MEN, girths, made, methods, odd_style
from wardrobe import ROOT

STYLES = [
    (name, method, odd) for name in GARMENT_NAMES for method in methods(find_garment(name)) for odd in (False, True)
]
WOMEN = [list(measured_whole("women_1988_60.csv").values())[k] for k in (3, 22, 41)]
MAN = list(measured_whole(MEN).values())[7]
SMALL = [list(measured_whole(CHILDREN).values())[k] for k in (3, 22, 41)]


@pytest.mark.parametrize(("name", "method", "odd"), STYLES)
def test_the_judge_finds_nothing(name: str, method: str, odd: bool) -> None:
    garment = find_garment(name)
    style = odd_style(name, method) if odd else {"method": method} if method else {}
    tried = 0
    grown = [*WOMEN, *([MAN] if garment.for_whom != "women" else [])]
    for body in SMALL if garment.for_whom == "children" else grown:
        try:
            pattern = made(garment, body, style)
        except DraftError:  # who is refused, and why, is told by tests/survey.py and in the tests of each
            continue
        tried += 1
        assert not [str(fault) for fault in judge(pattern, girths(body))]
    assert tried >= 2


# ---------------------------------------------------------------- patterns that are wrong


@cache
def _made(name: str) -> dict[str, Any]:
    return made(find_garment(name), WOMEN[0], odd_style(name) if name == "sheath-dress" else {})


def pattern_of(name: str) -> dict[str, Any]:
    return copy.deepcopy(_made(name))


def piece(pattern: dict[str, Any], name: str) -> Any:
    return next(row for row in pattern["pieces"] if row["name"] == name)


def edge(pattern: dict[str, Any], name: str, edge_name: str) -> Any:
    return next(row for row in piece(pattern, name)["edges"] if row["name"] == edge_name)


def rules(pattern: dict[str, Any], **body: float) -> set[str]:
    return {fault.rule for fault in judge(pattern, body)}


def moved(row: Any, edge_name: str, at: int, by: tuple[float, float]) -> None:
    """One point of an edge elsewhere, in the stitch line too."""
    line = next(e for e in row["edges"] if e["name"] == edge_name)["points"]
    old, new = line[at], [line[at][0] + by[0], line[at][1] + by[1]]
    for run in [row["stitch_line"], *(e["points"] for e in row["edges"])]:
        for k, point in enumerate(run):
            if point == old:
                run[k] = new


def test_a_corner_that_moved() -> None:
    pattern = pattern_of("straight-skirt")
    moved(piece(pattern, "front"), "side", 0, (0.0, -3.0))  # 3 mm longer at the hem than the back
    found = [str(fault) for fault in judge(pattern)]
    assert any(words.startswith("seam: side seam") for words in found), found
    assert any(words.startswith("outline: front.side") for words in found), found


def test_a_point_of_an_edge_that_left_the_stitch_line() -> None:
    pattern = pattern_of("t-shirt")
    edge(pattern, "front", "armhole")["points"][4][0] += 2.0
    assert "outline" in rules(pattern)


def test_a_stitch_line_that_crosses_itself() -> None:
    pattern = pattern_of("t-shirt")
    ring = piece(pattern, "front")["stitch_line"]
    ring[2], ring[-3] = ring[-3], ring[2]
    assert "outline" in rules(pattern)


def test_a_piece_that_lies_face_down() -> None:
    pattern = pattern_of("t-shirt")
    for line in ("stitch_line", "cut_line"):
        piece(pattern, "front")[line].reverse()
    assert "outline" in rules(pattern)


def test_a_cut_line_inside_the_stitch_line() -> None:
    pattern = pattern_of("shirt")
    cuff = piece(pattern, "cuff")
    cuff["cut_line"], cuff["stitch_line"] = cuff["stitch_line"], cuff["cut_line"]
    assert "allowance" in rules(pattern)


@pytest.mark.parametrize("by", [-0.2, 0.2])
def test_an_allowance_that_is_not_told(by: float) -> None:
    pattern = pattern_of("trousers")
    row = edge(pattern, "back", "side")
    row["allowance"] += by
    assert "allowance" in rules(pattern)


def test_a_seam_that_is_shorter_than_told() -> None:
    """An armhole that loses 4 mm: it fits neither its cap nor what is told of it."""
    pattern = pattern_of("sheath-dress")
    seam = next(row for row in pattern["seams"] if row["name"] == "shoulder seam")
    seam["length_a"] -= 4.0
    assert "seam" in rules(pattern)


@pytest.mark.parametrize("ease", [-2.0, 2.0])
def test_an_ease_that_is_not_there(ease: float) -> None:
    pattern = pattern_of("t-shirt")
    seam = next(row for row in pattern["seams"] if row["name"] == "armhole seam")
    for key in ("ease", "least", "most"):
        seam[key] += ease
    assert "seam" in rules(pattern)


def test_a_side_of_a_seam_that_was_forgotten() -> None:
    """A cap that is sewn to front and back, but not to the yoke between them."""
    pattern = pattern_of("shirt")
    seam = next(row for row in pattern["seams"] if row["name"] == "armhole seam")
    seam["b"].remove("yoke.armhole")
    assert "seam" in rules(pattern)


def test_a_seam_of_an_edge_that_is_not_there() -> None:
    pattern = pattern_of("shirt")
    pattern["seams"][0]["a"] = ["back.yolk"]
    assert "seam" in rules(pattern)


def test_a_dart_without_a_leg() -> None:
    pattern = pattern_of("straight-skirt")
    piece(pattern, "front")["darts"][0]["points"].pop()
    assert {"dart", "seam"} <= rules(pattern)


def test_a_dart_that_was_left_out() -> None:
    pattern = pattern_of("straight-skirt")
    piece(pattern, "front")["darts"].pop()
    assert {"dart", "seam", "girth"} <= rules(pattern)


def test_legs_of_two_lengths_and_an_intake_that_is_none() -> None:
    pattern = pattern_of("sheath-dress")
    dart = next(d for row in pattern["pieces"] for d in row["darts"])
    dart["points"][1][0] += 3.0
    found = [str(fault) for fault in judge(pattern)]
    assert any("one leg is" in words for words in found), found
    dart["points"][1][0] -= 3.0
    dart["intake"] += 2.0
    assert any("between its legs" in str(fault) for fault in judge(pattern))


def test_a_pleat_that_is_not_told() -> None:
    pattern = pattern_of("shirt")
    del edge(pattern, "back", "yoke")["takes"]
    assert "seam" in rules(pattern)


@pytest.mark.parametrize(
    ("name", "check"), [("t-shirt", "girth.bust"), ("trousers", "girth.waist"), ("shirt", "girth.chest")]
)
def test_a_girth_that_is_not_there(name: str, check: str) -> None:
    pattern = pattern_of(name)
    next(row for row in pattern["checks"] if row["id"] == check)["measured"] += 5.0
    assert rules(pattern) == {"girth"}


def test_a_garment_of_another_body() -> None:
    assert "girth" not in rules(pattern_of("straight-skirt"), **girths(WOMEN[0]))
    assert "girth" in rules(pattern_of("straight-skirt"), hip=WOMEN[0]["hip_girth"] + 10)


def test_a_cloth_that_is_too_narrow() -> None:
    """A side that lost 4 mm all the way down, front and back, with the seams as long as before."""
    pattern = pattern_of("t-shirt")
    for name in ("front", "back"):
        row = piece(pattern, name)
        for run in [row["stitch_line"], *(e["points"] for e in row["edges"])]:
            for point in run:
                point[0] -= 4.0 * (point[0] > 100)
    assert "girth" in rules(pattern)


def test_a_corner_that_dips_untold() -> None:
    pattern = pattern_of("straight-skirt")
    for name in ("front", "back"):
        moved(piece(pattern, name), "side", 0 if name == "front" else -1, (0.0, 12.0))
    assert "corner" in rules(pattern)


def test_a_corner_that_dips_and_is_told() -> None:
    pattern = pattern_of("straight-skirt")
    assert "corner" not in rules(pattern)


@pytest.mark.parametrize("key", ["point", "cut_points"])
def test_a_notch_beside_its_edge(key: str) -> None:
    pattern = pattern_of("straight-skirt")
    notch = piece(pattern, "front")["notches"][0]
    (notch[key] if key == "point" else notch[key][0])[0] += 1.0
    assert rules(pattern) == {"notch"}


def test_notches_that_do_not_meet() -> None:
    pattern = pattern_of("straight-skirt")
    notch = next(n for n in piece(pattern, "front")["notches"] if n["name"] == "hip")
    line = edge(pattern, "front", "side")["points"]
    notch["point"] = line[len(line) // 4]
    assert any("apart when sewn" in str(fault) for fault in judge(pattern))


def test_a_fold_that_is_not_straight_and_one_that_is_not_there() -> None:
    pattern = pattern_of("t-shirt")
    row = piece(pattern, "front")
    row["fold_line"] = [[x + 1.0, y] for x, y in row["fold_line"]]
    assert rules(pattern) == {"fold"}
    edge(pattern, "front", "centre_front")["kind"] = "seam"
    assert "fold" in rules(pattern)


def test_marks_that_leave_the_cloth() -> None:
    for change in ("grain_line", "drill_holes", "internal_lines"):
        pattern = pattern_of("shirt")
        row = piece(pattern, "front")
        if change == "internal_lines":
            row[change][0]["points"][0][0] += 900.0
        elif change == "grain_line":
            row[change][0][0] += 900.0
        else:
            row[change] = [[900.0, 0.0]]
        assert rules(pattern) == {"inside"}, change


def test_it_shares_nothing_with_the_program() -> None:
    """Run as a program, with the source out of the way: it starts, and imports none of it."""
    code = (
        "import sys; sys.path[:0] = ['tests']; import judge; sys.exit(any(n.startswith('oaktag') for n in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", code], cwd=ROOT).returncode == 0
