"""Numbers that are none, through every option of every verb: each is refused before any work, in one sentence."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from at_the_door import oaktag_here
from oaktag.cli import COMMANDS, command_of
from oaktag.cli.kinds import Number
from wardrobe import FIXTURES

NONE = ("nan", "inf", "-inf", "-1", "1e309", "²", "٣", "9" * 5000, "", " ", "1_0", "0x10", "\x1b[2J", "1e99")
ALTO = FIXTURES / "choir" / "alto-3.toml"
WITH = {
    "lay": (ALTO, "--cloth-width", "60in"),
    "finish": (FIXTURES / "drawings" / "skirt.svg",),
    "preview": (FIXTURES / "drawings" / "skirt.svg",),
    "project": (ALTO,),
    "send": ("pattern.plt", "--to", "roll-914", "--at", "file:/dev/null"),
    "sizes": ("--from", "singers.csv"),
    "calibrate": ("roll-914",),
    "batch": (ALTO, "-o", "made"),
    "roll": ("made",),
}
"""What each verb is called with beside the option."""
TEXTS = {
    "lay": ("cloth-width", "gap", "selvedge", "ends", "shrink", "quantity", "flaw", "repeat", "table"),
    "finish": ("known",),
    "sizes": ("step", "within"),
    "calibrate": ("across", "along"),
    "send": ("from",),
    "roll": ("gap",),
}
"""Options that take lengths and counts as people write them, with their units."""
SINGERS = "bust_girth (cm),waist_girth (cm),hip_girth (cm)\n" + "".join(
    f"{n},{n - 18},{n + 7}\n" for n in range(84, 114, 2)
)


def options() -> Iterator[tuple[str, click.Option]]:
    for verb in COMMANDS:
        command = command_of(verb)
        yield from ((verb, option) for option in command.params if isinstance(option, click.Option))


NUMBERS = [(verb, option) for verb, option in options() if isinstance(option.type, Number)]


def test_every_option_that_takes_a_number_is_of_the_one_type() -> None:
    kinds = (click.types.IntParamType, click.types.FloatParamType, click.types.IntRange, click.types.FloatRange)
    others = [(verb, option.name) for verb, option in options() if isinstance(option.type, kinds)]
    assert [name for name in others if name not in [(verb, option.name) for verb, option in NUMBERS]] == []
    assert len(NUMBERS) >= 13


@pytest.mark.parametrize(("verb", "option"), NUMBERS, ids=lambda given: getattr(given, "name", given))
def test_no_number_is_taken_for_one(verb: str, option: click.Option) -> None:
    assert isinstance(option.type, Number)
    for text in (*NONE, str(option.type.most + 1), str(option.type.least - 1)):
        if text == "-1" and option.type.least <= -1:
            continue
        with pytest.raises(click.BadParameter) as told:
            option.type.convert(text, option, None)
        said = told.value.format_message()
        assert option.opts[0] in said and " is not a " in said and len(said) < 200, said
        assert said.endswith(f" from {option.type.least:,} to {option.type.most:,}.")


@pytest.mark.parametrize(("verb", "option"), NUMBERS, ids=lambda given: getattr(given, "name", given))
def test_both_ends_of_a_range_are_numbers(verb: str, option: click.Option) -> None:
    assert isinstance(option.type, Number)
    for end in (option.type.least, option.type.most):
        assert option.type.convert(str(end), option, None) == end
    if isinstance(option.default, (int, float)):
        assert option.type.convert(option.default, option, None) == option.default


@pytest.mark.parametrize(("verb", "name"), [(verb, name) for verb, names in TEXTS.items() for name in names])
def test_lengths_and_counts_are_refused_with_what_to_type(verb: str, name: str, tmp_path: Path) -> None:
    (tmp_path / "pattern.plt").write_text("IN;SP1;PU0,0;PD0,4000,4000,4000,0,0;PU;SP0;")
    more = {"across": ("--along", "100"), "along": ("--across", "100")}.get(name, ())
    (tmp_path / "singers.csv").write_text(SINGERS)
    for text in NONE:
        if text == "٣" and name != "quantity" and name != "from":
            continue  # a figure as Arabic writes it, which a length may be written in
        if (text, name) == ("0x10", "repeat"):
            continue  # stripes along the cloth, one every 10 of its unit
        known = f"bar={text}" if name == "known" else text
        run = oaktag_here(verb, *WITH[verb], *more, f"--{name}", known, cwd=tmp_path)
        assert run.code == 2 and run.foreseen, (text, run)
        assert f"--{name}" in run.err and len(run.err) < 400, run.err
        assert "\x1b" not in run.err and run.out == ""
    assert sorted(path.name for path in tmp_path.iterdir()) == ["pattern.plt", "singers.csv"]


def test_the_door_refuses_them_too(tmp_path: Path) -> None:
    """As `test_no_number_is_taken_for_one`, from the words to the exit code."""
    for verb, option in NUMBERS:
        run = oaktag_here(verb, *WITH[verb], f"{option.opts[-1]}=nan", cwd=tmp_path)
        assert run.code == 2 and run.foreseen and option.opts[-1] in run.err, (verb, option.name, run)
