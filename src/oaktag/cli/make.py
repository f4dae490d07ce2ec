"""`oaktag make`."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Final

import click

from ..checks.by_size import but_for_numbers, sizes_words
from ..errors import OaktagError
from ..finish.cut_list import cut_list
from ..job import Job, load_job
from ..model.finding import CheckFailed, Finding
from ..model.nest import Nest
from ..origin import Origin, origin_of, refuse_another, write_made
from ..pipeline import Result, spelt_pieces
from ..progress import Progress
from ..units import Unit
from .options import JOB, Narrowed, Target, as_json, narrowed, target
from .show import finding_as_json, findings_as_text, summary

MOST_NAMED: Final = 4
"""Of more single pieces a folder does not bear the names."""


@click.command("make")
@JOB
@target("JOB's name + -pattern")
@narrowed()
@as_json()
def command(job: Path, target: Target, narrowed: Narrowed, as_json: bool) -> None:
    """Draft, check, and write every file of the pattern.

    The folder keeps a copy of the job in job/, and is written over by the same job only.

    \b
    Example:
      oaktag make alto-3.toml -o alto-3
      oaktag make alto-3.toml --only pdf --only report
      oaktag make stage-dress.toml --only pdf --size 14
      oaktag make alto-3.toml --piece sleeve           writes alto-3-sleeve
    """
    asked = load_job(job)
    origin = origin_of(job, made_by=asked.made_by, sitting=asked.sitting)
    write_pattern(asked, origin, f"{job.stem}-pattern", target, narrowed, as_json=as_json)


def write_pattern(job: Job, origin: Origin, usual: str, target: Target, narrowed: Narrowed, *, as_json: bool) -> None:
    """What is asked for of a pattern, into its folder, and what there is to know of it. Raises as `make` does."""
    named = spelt_pieces(narrowed.pieces)
    place = target.folder if target.folder is not None else folder_for(usual, named)
    stale = refuse_another(place, origin, job.printed_title, replace=target.replace, pieces=named)
    try:
        with Progress() as told:
            result = narrowed.made(job, told)
    except CheckFailed as failed:
        report_failed(failed, as_json=as_json, unit=job.unit)
        raise
    report_made(job, result, write_made(place, result.files, origin, stale=stale), as_json=as_json)
    if job.sitting is not None and not named:
        write_into_book(job, origin, job.sitting.day, as_json=as_json)


def write_into_book(job: Job, origin: Origin, measured: str, *, as_json: bool) -> None:
    """What was made of a client's measurements, into the book that they are from. The pattern is made by then: what
    goes wrong is a note."""
    from ..book.store import Book, book_path
    from ..origin import made_of

    made = made_of(job, origin.file, origin.copies[origin.file], measured)
    try:
        with Book(book_path()) as book, book.changing():
            book.made_again(job.client, made)
    except OaktagError as error:
        click.echo(
            f"note    the pattern is made, and it was not written into the measurement book. {error}", err=as_json
        )


def folder_for(usual: str, pieces: tuple[str, ...]) -> Path:
    """Where the files go that are given no folder: JOB-pattern, and single pieces into one of their own."""
    stem = usual.rpartition("-")[0]
    names = "-".join(dict.fromkeys(pieces)) if len(pieces) <= MOST_NAMED else "pieces"
    return Path(f"{stem}-{names}" if names else usual)


def report_failed(failed: CheckFailed, *, as_json: bool, unit: Unit = "in") -> None:
    """What the checks found, where one of them stands in the way."""
    if as_json:
        click.echo(_as_json([], failed.findings))
    else:
        click.echo("\n".join(findings_as_text(failed.findings, every=False, unit=unit)))


def report_made(job: Job, result: Result, written: Sequence[Path], *, as_json: bool) -> None:
    """What was made, what there is to know of it, and the files."""
    if as_json:
        click.echo(_as_json(written, result.findings, result.left_out))
        return
    for caution in result.cautions if job.output.profile.cuts else ():
        click.echo(f"caution {caution}")
    for note in (*notes_of(result.nest), *result.notes):
        click.echo(f"note    {note}")
    if len(result.nest.sizes) > 1:
        click.echo(f"sizes   {', '.join(result.nest.sizes)}; base {result.nest.base}. To cut of each size:")
    for cloth in cut_list(result.pattern):
        click.echo(f"cut     {cloth.words()}")
    for line in findings_as_text(result.findings, every=False, unit=job.unit):
        click.echo(line)
    click.echo(summary(result.findings))
    for missing in result.left_out:
        click.echo(f"warning {missing}")
    for path in written:
        click.echo(f"wrote {path}")


def notes_of(nest: Nest) -> list[str]:
    """What the drafts and the finishing have to say, each thing once; sizes are named where not all say it."""
    said: dict[str, dict[str, list[str]]] = {}
    for pattern in nest.patterns:
        draft = pattern.draft
        notes = [*draft.notes, *(n for p in pattern.pieces for n in p.cut.notes)]
        if draft.assumed:
            notes.append(f"not measured, so assumed for the stride: {'; '.join(draft.assumed)}.")
        for note in notes:
            said.setdefault(but_for_numbers(note), {}).setdefault(note, []).append(pattern.size)
    lines = []
    for alike in said.values():
        note, own = next(iter(alike.items()))
        some = [size for size in nest.sizes if any(size in sizes for sizes in alike.values())]
        which = "" if len(some) == len(nest.sizes) else f"{sizes_words(nest.sizes, some)}: "
        more = "" if len(alike) == 1 else f" (So in size {own[0]}; in the others by other numbers: see the report.)"
        lines.append(f"{which}{note}{more}")
    return lines


def _as_json(written: Sequence[Path], findings: Sequence[Finding], left_out: Sequence[str] = ()) -> str:
    told = {
        "written": [str(path) for path in written], "not_written": list(left_out),
        "checks": [finding_as_json(f) for f in findings],
    }  # fmt: skip
    return json.dumps(told, ensure_ascii=False)
