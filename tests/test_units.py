"""Text <-> mm at the door. Expected numbers by hand from 1 in = 25.4 mm (international inch, 1959)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oaktag.errors import InputError, Where
from oaktag.units import UNITS, parse_length, show, was_rounded


@pytest.mark.parametrize(
    ("typed", "unit", "mm"),
    [
        (38, "in", 965.2),
        (38.5, "in", 977.9),
        (38, "cm", 380.0),
        (38, "mm", 38.0),
        ("30 1/2", "in", 774.7),
        ("30-1/2", "in", 774.7),
        ("30½", "in", 774.7),
        ("30 ½", "in", 774.7),
        ("½", "in", 12.7),
        ("3/8", "in", 9.525),
        ("-3/8", "in", -9.525),
        ("−1", "cm", -10.0),
        ("30.5", "in", 774.7),
        ("30,5", "cm", 305.0),
        (' 15 1/2" ', "cm", 393.7),
        ("104 cm", "in", 1040.0),
        ("104cm", "in", 1040.0),
        ("1040 MM", "in", 1040.0),
        ("2 inches", "mm", 50.8),
        ("0", "in", 0.0),
        (0.1, "in", 2.54),
        ("38/2", "in", 482.6),
    ],
)
def test_lengths_that_can_be_read(typed, unit, mm):
    assert parse_length(typed, unit) == pytest.approx(mm, abs=1e-9)


def test_no_binary_dust_from_tenths():
    assert parse_length(30.5, "in") == 774.7  # exactly, by way of fractions: 30.5 × 25.4
    assert parse_length(0.3, "cm") == 3.0


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("", "'' is not a length"),
        ("a span", "'a span' is not a length"),
        ("1/0", "divides by zero"),
        ("38 yards", "'yards' is not a unit of length; expected in, cm or mm. Write \"38 cm\"."),
        ("1e3", "is not a length"),
        ("1.2.3", "is not a length"),
        ("30 1/2 1/2", "is not a length"),
        (True, "True is not a length"),
        (None, "None is not a length"),
        ([38], "is not a length"),
        (float("nan"), "nan is not a length; expected a finite number"),
        (float("-inf"), "-inf is not a length"),
        (10**12, "absurdly large"),
        ("9" * 50, "is not a length"),
    ],
)
def test_what_is_not_a_length_says_so_and_where(typed, told):
    with pytest.raises(InputError) as caught:
        parse_length(typed, "in", Where("job.toml", 7, "measurements.hip_girth"))
    assert str(caught.value).startswith("job.toml:7 measurements.hip_girth: ")
    assert told in str(caught.value)


@pytest.mark.parametrize(
    ("mm", "unit", "words"),
    [
        (774.7, "in", "30 1/2 in"),
        (965.2, "in", "38 in"),
        (9.525, "in", "3/8 in"),
        (0.0, "in", "0 in"),
        (-12.7, "in", "-1/2 in"),
        (-0.5, "in", "0 in"),
        (25.4 * 2.999, "in", "3 in"),
        (1040.0, "cm", "104 cm"),
        (385.0, "cm", "38.5 cm"),
        (2641.6, "mm", "2641.6 mm"),
        (-0.01, "mm", "0 mm"),
    ],
)
def test_show(mm, unit, words):
    assert show(mm, unit) == words


def test_show_without_unit_and_with_about():
    assert show(774.7, "in", with_unit=False) == "30 1/2"
    assert show(775.5, "in", exact=True) == "about 30 1/2 in"
    assert was_rounded(775.5, "in")
    assert not was_rounded(774.7, "in")
    assert not was_rounded(775.5, "mm")


# shown to 1/8 in, 0.1 cm, 0.1 mm: reading it back moves a length by half of that at most
HALF_STEP = {"in": 25.4 / 16, "cm": 0.5, "mm": 0.05}


@given(st.floats(-3000, 3000), st.sampled_from(UNITS), st.sampled_from(UNITS))
def test_what_is_shown_can_be_typed(mm, unit, file_unit):
    assert parse_length(show(mm, unit), file_unit) == pytest.approx(mm, abs=HALF_STEP[unit] + 1e-6)


@given(st.integers(0, 99), st.integers(0, 15))
def test_fractions_add_up(whole, sixteenths):
    assert parse_length(f"{whole} {sixteenths}/16", "in") == pytest.approx(25.4 * (whole + sixteenths / 16), abs=1e-9)


@given(st.text(max_size=30))
def test_any_text_is_a_length_or_an_input_error(text):
    try:
        assert isinstance(parse_length(text, "in"), float)
    except InputError as error:
        assert str(error)
