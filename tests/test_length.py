"""Lengths that tell their formula: what is printed, read back by a calculator, is the number."""

from __future__ import annotations

import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oaktag.model.length import Length, cm, customary, found, greatest, inch, least, mm, total

BODY = {"bust_girth": 900.0, "waist_girth": 700.0}
STYLE = {"ease": 50.0}


def worked(length: Length) -> float:
    """What a calculator makes of the printed formula: its letters and names stand for numbers."""
    text, lengths = length.words()
    text = text.format(**{name: repr(value) for name, value in lengths.items()})
    for name, value in BODY.items():
        text = text.replace(name.replace("_", " "), repr(value))
    text = text.replace("×", "*").replace("÷", "/").replace("−", "-")
    return float(eval(text, {"__builtins__": {}}))


leaves = st.one_of(
    st.floats(1, 500).map(mm),
    st.sampled_from([Length(mm, "body", name=name) for name, mm in BODY.items()]),
    st.just(Length(50.0, "option", name="ease")),
)
numbers = st.sampled_from([2.0, 3.0, 4.0, 6.0, 0.5, 0.561, 12.0, 1 / 3])
formulas = st.recursive(
    leaves,
    lambda parts: st.one_of(
        st.tuples(parts, parts).map(lambda two: two[0] + two[1]),
        st.tuples(parts, parts).map(lambda two: two[0] - two[1]),
        st.tuples(parts, numbers).map(lambda two: two[0] * two[1]),
        st.tuples(parts, numbers).map(lambda two: two[0] / two[1]),
        parts.map(lambda one: one.plain),
    ),
    max_leaves=12,
)


@given(formulas)
def test_the_printed_formula_gives_the_number(length: Length) -> None:
    assert worked(length) == pytest.approx(length.mm, rel=1e-9, abs=1e-6)


@given(formulas)
def test_the_same_formula_works_again_for_another_body(length: Length) -> None:
    assert length.again(BODY, STYLE) == pytest.approx(length.mm, rel=1e-12, abs=1e-9)
    more = length.again({"bust_girth": 1000.0, "waist_girth": 700.0}, STYLE)
    uses = any(leaf.name == "bust_girth" for leaf in length.leaves())
    assert more is not None
    assert uses or more == pytest.approx(length.mm, rel=1e-12, abs=1e-9)


@given(formulas)
def test_a_length_is_plain_data(length: Length) -> None:
    assert pickle.loads(pickle.dumps(length)) == length


def test_five_what() -> None:
    for wrong in (lambda: inch(1) + 5, lambda: 5 + inch(1), lambda: inch(1) - 5.0, lambda: inch(2) * inch(2)):
        with pytest.raises(TypeError):
            wrong()
    with pytest.raises(TypeError):
        inch(2) / inch(1)
    assert inch(2).over(inch(1)) == 2.0


def test_words_of_the_trade() -> None:
    bust = Length(900.0, "body", name="bust_girth")
    quarter = ((bust + inch(2)) / 4).called("quarter bust")
    assert quarter.words() == ("(bust girth + {a}) ÷ 4", {"a": 50.8})
    assert (quarter + inch(1)).words() == ("quarter bust + {a}", {"a": 25.4})
    assert (bust - (inch(1) - cm(2))).words()[0] == "bust girth − ({a} − {b})"
    assert (least(bust, inch(3)) / 2).words()[0] == "(the smaller of bust girth and {a}) ÷ 2"
    assert greatest(bust, inch(3)).mm == 900.0
    assert total(inch(1), inch(2), inch(3)).mm == pytest.approx(152.4)
    assert customary(inch(1), "cm").mm == 25.0


def test_no_brackets_are_left_round_what_nothing_is_added_to() -> None:
    bust, ease = Length(900.0, "body", name="bust_girth"), Length(0.0, "option", name="ease")
    assert ((bust + ease) / 4).words() == ("bust girth ÷ 4", {})
    assert ((bust - ease - ease) * 2).words() == ("bust girth × 2", {})
    assert ((bust + ease + inch(1)) / 4).words() == ("(bust girth + {a}) ÷ 4", {"a": 25.4})


def test_words_of_its_own_show_the_numbers_that_are_named_in_them() -> None:
    dart = inch(1).called("dart")
    waist = Length(700.0, "body", name="waist_girth") / 4 + dart.told("{} for the dart", dart)
    assert waist.words() == ("waist girth ÷ 4 + {a} for the dart", {"a": 25.4})
    assert waist.again({"waist_girth": 800.0}, {}) == pytest.approx(225.4)
    assert [one.name for one in waist.shown()[2]] == ["dart"]
    assert (inch(2) + dart.told("as the dart")).words() == ("{a} + as the dart", {"a": 50.8})
    passes = found(400.0, "so that a head of {} passes", cm(55))
    assert passes.words() == ("so that a head of {a} passes", {"a": 550.0})
    assert passes.again({}, {}) is None
    assert passes.told("as the head").again({}, {}) is None


def test_what_was_found_on_a_piece_is_not_worked_again() -> None:
    cap = found(412.0, "the armhole") + inch(0.5)
    assert cap.words() == ("the armhole + {a}", {"a": 12.7})
    assert cap.again(BODY, STYLE) is None
    assert (Length(55.0, "body", name="head_girth") + inch(1)).again(BODY, STYLE) is None
