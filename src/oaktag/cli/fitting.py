"""`oaktag fitting`: what it prints and asks; the faults of fit, and what is worked out of them, are in `fitting/`."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from textwrap import fill
from typing import TYPE_CHECKING, Any, Final

import click

from ..body.measurements import spoken
from ..errors import InputError, Where
from ..progress import Progress
from ..units import UNITS, Unit
from .kinds import Place
from .options import as_json

if TYPE_CHECKING:
    from ..fitting.ask import Found, Question, Sign
    from ..fitting.fault import Fault
    from ..fitting.tried import Tried

_WIDE: Final = 100
_BACK: Final = "0"


@click.command("fitting")
@click.argument("words", nargs=-1, metavar="[NAME | WORDS...]")
@click.option("--ask", is_flag=True, help="ask what is seen, and name the fault; answers are numbers")
@click.option("--answers", metavar="NUMBERS", help='the answers beforehand, as "6 1" (with --ask)')
@click.option("-o", "--output", type=Place("fitting.html"), help="a page (.html), or of one fault its picture (.svg)")
@click.option("--units", type=click.Choice(UNITS), default="in", show_default=True, help="print lengths in this unit")
@as_json("the answer as JSON, lengths in mm")
def command(
    words: tuple[str, ...], ask: bool, answers: str | None, output: Path | None, units: Unit, as_json: bool
) -> None:
    """The faults of fit: their signs, how they are pinned, and what to write in the job.

    Without a name all are listed, in the order in which they are fitted. Words that are no name find the nearest signs.

    \b
    Example:
      oaktag fitting
      oaktag fitting sway_back -o sway_back.svg
      oaktag fitting folds slant from the neck to the armhole
      oaktag fitting --ask               for one who does not know the name
      oaktag fitting -o fitting.html     a page of all, with pictures
    """
    from ..fitting.ask import nearest
    from ..fitting.table import BY_NAME, GROUPS

    if answers is not None and not ask:
        raise InputError("--answers: nothing was asked", instead='Write oaktag fitting --ask --answers "6 1"')
    if ask:
        if words or output is not None:
            raise InputError("--ask needs no name and no -o", instead="Write oaktag fitting --ask")
        _told_found(_asked(answers, quiet=as_json), units, as_json=as_json)
        return
    said = " ".join(words)
    name = "_".join(said.lower().replace("-", " ").replace("_", " ").split())
    if not said:
        _listed(GROUPS, output, units, as_json=as_json)
    elif name in BY_NAME:
        _whole(BY_NAME[name], output, units, as_json=as_json)
    else:
        if output is not None:
            raise InputError(f"{spoken(said)} is not a fault of fit", where=Where("-o"), expected="a name of one")
        _told_near(said, nearest(said), units, as_json=as_json)


# ------------------------------------------------------------------------------------------------------------- the list


def _listed(groups: Mapping[str, Sequence[Fault]], output: Path | None, unit: Unit, *, as_json: bool) -> None:
    from ..fitting.in_words import CAUTIONS

    rows = [(group, fault) for group, faults in groups.items() for fault in faults]
    if output is not None:
        _write_page(output, groups, unit)
    if as_json:
        click.echo(json.dumps([{"group": group, **_values(fault)} for group, fault in rows], ensure_ascii=False))
        return
    click.echo("Faults of fit, in the order of fitting: one at a time, and look again before the next.")
    for group, faults in groups.items():
        if faults:
            click.echo(f"\n{group.upper()}")
            for fault in faults:
                click.echo("\n".join(_short(fault, unit)))
    click.echo("")
    for line in CAUTIONS:
        click.echo(_filled("caution ", line))
    if output is not None:
        click.echo(f"wrote {output}")


def _short(fault: Fault, unit: Unit) -> Iterator[str]:
    from ..fitting.in_words import reach

    yield f"  {fault.name}"
    for head, words in (("sign", fault.sign), ("pin", fault.pin), ("amount", reach(fault, unit))):
        yield _filled(f"    {head:8}", words)


def _filled(head: str, words: str) -> str:
    return fill(words, _WIDE, initial_indent=head, subsequent_indent=" " * len(head), break_on_hyphens=False)


# ------------------------------------------------------------------------------------------------------------ one whole


def _whole(fault: Fault, output: Path | None, unit: Unit, *, as_json: bool) -> None:
    from ..fitting.ask import signs_of
    from ..fitting.in_words import CAUTIONS, in_the_job, reach
    from ..fitting.tried import tried

    if output is not None and output.suffix.lower() not in (".svg", ".html"):
        raise InputError(f"{output}: is no name of a picture", expected="a name that ends in .svg or .html")
    rows = tried((fault,), unit)[fault.name]
    if output is not None:
        _write_one(output, fault, rows, unit)
    if as_json:
        click.echo(json.dumps({**_values(fault), "garments": [row.garment for row in rows]}, ensure_ascii=False))
        return
    click.echo(f"{fault.words.upper()}\n")
    told = (
        ("sign", fault.sign), ("pin", fault.pin), ("change", fault.change), ("stays", fault.stays),
        ("amount", reach(fault, unit)), *(("apart", sign.apart) for sign in signs_of(fault) if sign.apart),
        ("in", ", ".join(row.garment for row in rows) or "no garment that ships"),
    )  # fmt: skip
    for head, words in told:
        click.echo(_filled(f"{head:8}", words))
    click.echo("\nIn the job:\n")
    click.echo("\n".join(f"  {line}" for line in in_the_job(fault, unit).splitlines()))
    click.echo("")
    for line in CAUTIONS:
        click.echo(_filled("caution ", line))
    if output is not None:
        click.echo(f"wrote {output}")


def _values(fault: Fault) -> dict[str, Any]:
    from ..fitting.ask import signs_of

    return {
        "name": fault.name, "sign": fault.sign, "pin": fault.pin, "change": fault.change, "stays": fault.stays,
        "usual": fault.usual, "least": round(fault.least.mm, 3), "most": round(fault.most.mm, 3),
        "keeps": list(fault.keeps), "seams": list(fault.seams), "levels": list(fault.levels), "source": fault.source,
        "signs": [{"where": sign.where, "seen": sign.words, "apart": sign.apart} for sign in signs_of(fault)],
    }  # fmt: skip


def _write_page(output: Path, groups: Mapping[str, Sequence[Fault]], unit: Unit) -> None:
    from ..export.files import write_all
    from ..export.fitting_page import render
    from ..fitting.tried import tried

    if output.suffix.lower() != ".html":
        raise InputError(f"{output}: is no name of a page", expected="one that ends in .html; of one fault also .svg")
    faults = [fault for rows in groups.values() for fault in rows]
    with Progress() as told:
        found = tried(faults, unit, told=told)
    write_all(output.parent, {output.name: render(groups, found, unit)})


def _write_one(output: Path, fault: Fault, rows: Sequence[Tried], unit: Unit) -> None:
    from ..export.fault_picture import picture
    from ..export.files import write_all
    from ..export.fitting_page import render
    from ..fitting.tried import shown

    if output.suffix.lower() == ".html":
        data = render({fault.words: (fault,)}, {fault.name: rows}, unit)
    else:
        best = shown(rows, fault)
        svg = picture(best, unit) if best is not None else ""
        if not svg:
            raise InputError(f"{fault.words} moves no outline of a garment that ships", where=Where(str(output)))
        data = svg.encode()
    write_all(output.parent, {output.name: data})


# ------------------------------------------------------------------------------------------------------------- by words


def _told_near(said: str, found: Sequence[tuple[Fault, Sign | None]], unit: Unit, *, as_json: bool) -> None:
    if not found:
        raise InputError(
            f"{spoken(said)} is in no sign of a fault", instead="Write oaktag fitting --ask",
            expected="a name that oaktag fitting lists, or words for what is seen",
        )  # fmt: skip
    if as_json:
        told = [{**_values(fault), "seen": sign.words if sign else fault.sign} for fault, sign in found]
        click.echo(json.dumps(told, ensure_ascii=False))
        return
    click.echo("The nearest signs, the likeliest first:\n")
    for fault, sign in found:
        click.echo(f"  {fault.name}")
        click.echo(_filled("    ", sign.words if sign else fault.sign))
        if sign and sign.apart:
            click.echo(_filled("    ", sign.apart))
    click.echo(f"\nOne of them whole: oaktag fitting {found[0][0].name}")


# -------------------------------------------------------------------------------------------------------- the questions


def _asked(answers: str | None, *, quiet: bool) -> Found:
    """What the answers come to, given beforehand or line by line; 0 goes back to the question before."""
    from ..fitting.ask import Question, asked

    given = answers.replace(",", " ").split() if answers is not None else None
    numbers: list[int] = []
    while isinstance(now := asked(numbers), Question):
        if given is None and not quiet:
            click.echo(now.words)
            for k, words in enumerate(now.answers, 1):
                click.echo(f"  {k:2}  {words}")
            click.echo("   0  back" if numbers else "", nl=bool(numbers))
        word = _answer(now, given)
        if word == _BACK and numbers:
            numbers.pop()
        elif word.isdecimal() and word.isascii() and 1 <= int(word[:6]) <= len(now.answers):
            numbers.append(int(word[:6]))
        elif given is None and sys.stdin.isatty():
            click.echo(f"Write a number from 1 to {len(now.answers)}.")
        else:
            raise InputError(
                f"{spoken(word)} is no answer to “{now.words}”", expected=f"a number from 1 to {len(now.answers)}",
                where=Where("--answers" if given is not None else "--ask"),
            )  # fmt: skip
    if given:
        raise InputError(f"{spoken(' '.join(given))} answers nothing: all was asked", where=Where("--answers"))
    return now


def _answer(question: Question, given: list[str] | None) -> str:
    """The next answer; InputError where there are no more."""
    if given is not None:
        if given:
            return given.pop(0)
    elif sys.stdin is not None:
        try:
            line = sys.stdin.readline()
        except UnicodeDecodeError:
            line = "?\n"  # an odd letter is no number
        if line:
            return line.strip()
    raise InputError(
        f"“{question.words}” was not answered", where=Where("--ask"),
        expected="; ".join(f"{k} {words}" for k, words in enumerate(question.answers, 1)),
    )  # fmt: skip


def _told_found(found: Found, unit: Unit, *, as_json: bool) -> None:
    from ..fitting.in_words import in_the_job

    if as_json:
        told = {
            "seen": found.sign.words, "side": found.side, "apart": found.sign.apart,
            "faults": [_values(fault) for fault in found.faults],
        }  # fmt: skip
        click.echo(json.dumps(told, ensure_ascii=False))
        return
    for fault in found.faults:
        click.echo(f"\n{fault.words.upper()}")
        click.echo("\n".join([*_short(fault, unit)][1:]))
        click.echo("\n".join(f"    {line}" for line in in_the_job(fault, unit, found.side, found.sign).splitlines()))
    if found.sign.apart:
        click.echo(_filled("\nTo tell them apart: ", found.sign.apart))
    click.echo(f"\nWhole: oaktag fitting {found.faults[0].name}")
