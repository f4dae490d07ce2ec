"""`oaktag compare`."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, cast

import click

from ..errors import InputError
from ..progress import Progress
from ..units import UNITS, Unit, parse_length, show
from .kinds import Place
from .options import as_json, despite

if TYPE_CHECKING:
    from ..compare.table import Comparison

_ROOM = 100.0
"""The most that can be asked to be left of an allowance, mm."""


@click.command("compare")
@click.argument("old", type=click.Path(path_type=Path))
@click.argument("new", type=click.Path(path_type=Path), required=False)
@click.option("--measurements", type=click.Path(path_type=Path), help="the job OLD on the measurements of this file")
@click.option("-o", "--output", "folder", type=Place(), help="folder for compare.html, compare.pdf and compare.json")
@click.option("--at", multiple=True, metavar="POINT", help="lay the pieces on each other here; may be repeated")
@click.option("--keep", metavar="LENGTH", help="what has to be left of an allowance  [1/4 in, 6 mm]")
@click.option("--size", help="compare this size of a set, instead of its base")
@click.option("--fits", is_flag=True, help="exit with 1 if cloth cut by OLD cannot take NEW")
@click.option("--units", type=click.Choice(UNITS), help="the unit of all that is told  [that of the job]")
@click.option("--paper", help="paper of compare.pdf  [letter for inches, else a4]")
@despite("compare although this check of NEW fails; may be repeated")
@as_json("what compare.json holds")
@click.pass_context
def command(
    ctx: click.Context,
    old: Path,
    new: Path | None,
    measurements: Path | None,
    folder: Path | None,
    at: tuple[str, ...],
    keep: str | None,
    size: str | None,
    fits: bool,
    units: str | None,
    paper: str | None,
    despite: tuple[str, ...],
    as_json: bool,
) -> None:
    """Lay a new pattern on the old one: what changed, and whether cloth that is cut already can take it.

    OLD and NEW are jobs, folders that oaktag has written, or their pattern.json. Files are written with -o.

    \b
    Example:
      oaktag compare autumn.toml spring.toml -o changes
      oaktag compare alto-3.toml --measurements spring-measures.toml
      oaktag compare alto-3-pattern alto-3.toml --at underarm --fits
    """
    from ..compare import as_json as values
    from ..compare.fits import KEEP
    from ..compare.table import compare
    from ..comparing import files_of, refuse_idle_size, taken_from, with_name
    from ..export.files import write_all
    from ..model.finding import CheckFailed
    from ..sheet.paper import PAPERS, usual_paper
    from .make import report_failed

    if (new is None) == (measurements is None):
        found = "both NEW and --measurements are given" if new is not None else "only one pattern is named"
        raise InputError(
            found, expected="OLD NEW, or OLD --measurements FILE", instead=f"Write oaktag compare {old} NEW"
        )
    if paper is not None and paper not in PAPERS:
        raise InputError(f"--paper {paper}: no such paper", expected=f"one of {', '.join(PAPERS)}")
    with Progress() as told:
        before = taken_from(old, size=size, told=told)
        try:
            after = taken_from(new or old, size=size, measurements=measurements, despite=despite, told=told)
        except CheckFailed as failed:
            report_failed(failed, as_json=as_json, unit=before.unit or "mm")
            raise
        refuse_idle_size(size, before.side, after.side)
        unit: Unit = cast("Unit", units) if units else after.unit or before.unit or "mm"
        left = KEEP if keep is None else parse_length(keep, unit)
        if not 0 <= left <= _ROOM:
            raise InputError(f"--keep {keep}: so much is left of no allowance", expected=f"0 to {show(_ROOM, unit)}")
        if measurements is not None:
            before, after = with_name(before, "old measures"), with_name(after, "new measures")
        compared = compare(before.side, after.side, at, left)
        written: tuple[Path, ...] = ()
        if folder is not None:
            told("writing pictures and pages", 0, 0)
            written = write_all(folder, files_of(compared, unit, PAPERS[paper or usual_paper(unit)]))
    if as_json:
        answer = {**values.as_values(compared), "written": [str(path) for path in written]}
        click.echo(json.dumps(answer, ensure_ascii=False))
    else:
        _tell(compared, unit)
        for path in written:
            click.echo(f"wrote {path}")
    if fits and not compared.held:
        ctx.exit(1)


def _tell(compared: Comparison, unit: Unit) -> None:
    """What changed, in short tables; what does not fit the cloth; and the statement last."""
    from ..compare.table import changes

    old, new = compared.titled
    click.echo(f"old     {old}\nnew     {new}")
    for laid in compared.laid:
        click.echo(f"laid    {laid.new.title}: {laid.words}")
    for words, names in (("only in the old pattern", compared.only_old), ("only in the new one", compared.only_new)):
        if names:
            click.echo(f"note    {words}: {', '.join(compared.titles(names))}")
    rows = changes(compared, unit)
    for row in rows:
        click.echo("  ".join(cell.ljust(wide) for cell, wide in zip(row, _widths(rows), strict=True)).rstrip())
    for held, words in compared.told(unit):
        click.echo(f"{'ok' if held else 'NO':8}{words}")
    click.echo(compared.statement())


def _widths(rows: list[tuple[str, ...]]) -> list[int]:
    return [max(map(len, column)) for column in zip(*rows, strict=True)]
