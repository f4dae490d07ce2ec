"""`oaktag make`."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Final

import click

from ..checks.by_size import but_for_numbers, sizes_words
from ..finish.cut_list import cut_list
from ..job import Job, load_job
from ..laying import make_with_lay
from ..model.finding import CheckFailed, Finding
from ..model.nest import Nest
from ..origin import origin_of, refuse_another, write_made
from ..pipeline import FORMATS, Result, spelt_pieces
from ..progress import Progress
from ..units import Unit
from .kinds import Place
from .show import finding_as_json, findings_as_text, summary

MOST_NAMED: Final = 4
"""Of more single pieces a folder does not bear the names."""


@click.command("make")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("-o", "--output", "folder", type=Place(), help="folder to write to  [JOB's name + -pattern]")
@click.option("--replace", is_flag=True, help="write over the pattern of another job that lies there")
@click.option("--piece", "pieces", multiple=True, help="only this piece, into a folder of its own; may be repeated")
@click.option("--only", multiple=True, type=click.Choice(FORMATS), help="write only this; may be repeated")
@click.option("--size", "sizes", multiple=True, help="draw only this size of a chart; may be repeated")
@click.option("--despite", multiple=True, metavar="ID", help="write although this check fails; may be repeated")
@click.option("--json", "as_json", is_flag=True, help="print the answer as JSON")
def command(
    job: Path,
    folder: Path | None,
    replace: bool,
    pieces: tuple[str, ...],
    only: tuple[str, ...],
    sizes: tuple[str, ...],
    despite: tuple[str, ...],
    as_json: bool,
) -> None:
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
    origin = origin_of(job)
    place = folder if folder is not None else folder_for(job.stem, "pattern", pieces)
    stale = refuse_another(place, origin, asked.printed_title, replace=replace, pieces=spelt_pieces(pieces))
    try:
        with Progress() as told:
            result = make_with_lay(asked, only=only, sizes=sizes, pieces=pieces, despite=despite, told=told)
    except CheckFailed as failed:
        report_failed(failed, as_json=as_json, unit=asked.unit)
        raise
    written = write_made(place, result.files, origin, stale=stale)
    report_made(asked, result, written, as_json=as_json)


def folder_for(stem: str, made: str, pieces: tuple[str, ...]) -> Path:
    """Where the files go that are given no folder: JOB-pattern, and single pieces into one of their own."""
    names = "-".join(dict.fromkeys(spelt_pieces(pieces))) if len(pieces) <= MOST_NAMED else "pieces"
    return Path(f"{stem}-{names or made}")


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
