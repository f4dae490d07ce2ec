"""From what is seen to the name of a fault: the questions, the search by words, and the figure with its strokes."""

from __future__ import annotations

import json
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from pathlib import Path

import pytest

from oaktag.export.body_figure import drawn
from oaktag.fitting.ask import SIGNS, WHERE, Found, Question, Sign, asked, nearest, signs_of
from oaktag.fitting.table import BY_NAME
from wardrobe import oaktag


def every_end(answers: tuple[int, ...] = ()) -> Iterator[tuple[tuple[int, ...], Found]]:
    now = asked(answers)
    if isinstance(now, Found):
        yield answers, now
        return
    assert len(answers) < 3, "three questions are enough"
    assert 2 <= len(now.answers) <= 10, (answers, now)
    assert len(set(now.answers)) == len(now.answers)
    for k in range(1, len(now.answers) + 1):
        yield from every_end((*answers, k))


def test_every_way_through_the_questions_ends_in_one_or_two_faults() -> None:
    ends = [found for _, found in every_end()]
    for found in ends:
        assert 1 <= len(found.faults) <= 2
        assert bool(found.sign.apart) == (len(found.faults) == 2), found.sign.words
    assert {sign.words for sign in SIGNS} == {found.sign.words for found in ends}


def test_every_fault_of_the_table_can_be_found_by_the_questions() -> None:
    reached = {fault.name for _, found in every_end() for fault in found.faults}
    assert reached == set(BY_NAME)


def test_a_number_that_no_answer_has_is_refused() -> None:
    for answers in ((0,), (99,), (1, 0), (1, 99)):
        with pytest.raises(IndexError):
            asked(answers)


def test_a_side_is_asked_only_where_one_can_have_it_alone() -> None:
    for answers, found in every_end():
        assert len(answers) == (2 if found.sign.sides == "both" else 3)
        assert found.side in {"any": ("", "left", "right"), "both": ("",), "one": ("left", "right")}[found.sign.sides]


# what dressmakers say (common practice, no source), in other words than the table's
PHRASES = (
    ("diagonal folds from neck to armhole", "sloping_shoulder"),
    ("swayback wrinkles", "sway_back"),
    ("folds across the small of her back", "sway_back"),
    ("tight over the tummy, hem hikes up in front", "large_abdomen"),
    ("shoulder seam falls off", "narrow_shoulder"),
    ("gaping neck in front", "hollow_chest"),
    ("bust darts too high", "dart_level"),
    ("sleeves tight on the biceps", "large_upper_arm"),
    ("hump at nape", "high_round_back"),
    ("trousers cut in between the legs", "crotch_depth"),
    ("sloping sholders", "sloping_shoulder"),
    ("drag lines pointing to the bust", "full_bust"),
    ("skirt hem rises behind", "large_seat"),
    ("one hip higher than the other", "high_hip"),
)


@pytest.mark.parametrize(("said", "fault"), PHRASES)
def test_words_for_what_is_seen_find_the_fault(said: str, fault: str) -> None:
    assert fault in [each.name for each, _ in nearest(said)][:2]


@pytest.mark.parametrize("name", BY_NAME)
def test_a_fault_is_the_first_that_its_own_sign_finds(name: str) -> None:
    assert name in [each.name for each, _ in nearest(BY_NAME[name].sign)][:2]
    assert nearest(name.replace("_", " "))[0][0].name == name


def test_words_that_say_nothing_find_nothing() -> None:
    assert nearest("") == nearest("the of it") == nearest("qqqq 12 ÿ") == []


# ------------------------------------------------------------------------------------------------------ on the terminal


def typed(text: str, cwd: Path, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", "oaktag", "fitting", "--ask", *words], input=text, cwd=cwd,
                          capture_output=True, text=True, encoding="utf-8", timeout=60)  # fmt: skip


def way_to(name: str, side: str = "") -> tuple[int, ...]:
    return next(answers for answers, found in every_end() if found.faults[0].name == name and found.side == side)


def test_answers_come_line_by_line_through_a_pipe(tmp_path: Path) -> None:
    way = way_to("sway_back")
    run = typed("".join(f"{k}\n" for k in (1, 0, *way)), tmp_path)  # 0 goes back
    assert run.returncode == 0, run.stderr
    assert run.stdout.count("Where is it?") == 2
    assert "SWAY BACK" in run.stdout and "[fitting]" in run.stdout and "sway_back = " in run.stdout


def test_answers_that_end_or_are_wrong_are_told(tmp_path: Path) -> None:
    for answers, told in (
        ("", "was not answered"), ("99", '"99" is no answer'), ("x", '"x" is no answer'),
        ("1 1 1 1 1", "answers nothing"), ("-1", '"-1" is no answer'), ("²", "is no answer"),
    ):  # fmt: skip
        run = oaktag("fitting", "--ask", "--answers", answers, cwd=tmp_path)
        assert run.returncode == 2, answers
        assert told in run.stderr, answers
    ended = oaktag("fitting", "--ask", cwd=tmp_path)  # nothing on standard input
    assert ended.returncode == 2 and "“Where is it?” was not answered" in ended.stderr


def test_one_side_is_written_as_the_job_wants_it(tmp_path: Path) -> None:
    way = " ".join(map(str, way_to("square_shoulder", "left")))
    run = oaktag("fitting", "--ask", "--answers", way, cwd=tmp_path)
    assert 'square_shoulder = { left = "3/8 in" }' in run.stdout
    told = json.loads(oaktag("fitting", "--ask", "--answers", way, "--json", cwd=tmp_path).stdout)
    assert told["side"] == "left" and told["faults"][0]["name"] == "square_shoulder"


# ----------------------------------------------------------------------------------------------------------- the figure


def strokes(sign: Sign) -> list[str]:
    root = ET.fromstring(drawn(sign))
    return [path.get("d", "") for path in root.iter("{http://www.w3.org/2000/svg}path") if path.get("stroke")]


@pytest.mark.parametrize("sign", SIGNS, ids=lambda sign: f"{sign.where}: {sign.words}")
def test_a_sign_is_drawn_on_the_figure(sign: Sign) -> None:
    found = strokes(sign)
    assert found
    xs = [float(pair.split()[0]) for d in found for pair in d[1:].replace("C", "  ").split("  ")]
    assert min(xs) > 0
    assert max(xs) < 190
    if sign.sides == "one":
        assert min(xs) > 90  # her left, seen from the front


def test_every_fault_has_a_figure_and_every_place_a_sign() -> None:
    assert all(signs_of(fault) for fault in BY_NAME.values())
    assert {sign.where for sign in SIGNS} == set(WHERE)
    assert isinstance(asked(()), Question)
