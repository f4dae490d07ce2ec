"""`oaktag lay`."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ..errors import InputError, Where
from ..laying import FORMS
from ..progress import Progress

if TYPE_CHECKING:
    from ..job import Job
    from ..lay.placed import Lay
    from ..lay.plan import Plan
    from ..lay.words import Asked
    from ..units import Unit


@click.command("lay")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--cloth-width", metavar="LENGTH", help="as the cloth is sold: 150cm, 60in  [width below [cloth]]")
@click.option("--fold", "spread", flag_value="fold", help="folded lengthwise, right sides together")
@click.option("--open", "spread", flag_value="open", help="flat, in one layer  [default]")
@click.option("--tubular", "spread", flag_value="tubular", help="a knitted tube that lies flat")
@click.option("--one-way", is_flag=True, default=None, help="all pieces the same way up: nap, print")
@click.option("--gap", metavar="LENGTH", help="between pieces  [3 mm]")
@click.option("--selvedge", metavar="LENGTH", help="kept free along each selvedge  [1 cm]")
@click.option("--ends", metavar="LENGTH", help="kept free at either end  [1 cm]")
@click.option("--shrink", metavar="ALONGxACROSS", help="what the cloth loses in the wash before it is cut: 2%x1%")
@click.option(
    "--quantity", metavar="SIZE=COUNT,…", help="garments of each size: 10=2,12=3; a number for one body  [1 each]"
)
@click.option("--grain-tolerance", type=click.FloatRange(0, 10), help="how far a grain line may be off, degrees  [0]")
@click.option("--flaw", "flaws", multiple=True, metavar="PLACE", help='a box to keep off: "20cm,110cm,3cm x 5cm"')
@click.option("--repeat", metavar="ALONGxACROSS", help="of a stripe or check, to be matched: 6cm, 6cmx4cm")
@click.option(
    "--match", "matches", multiple=True, metavar="SEAM=NOTCH", help='where a seam is matched: "side seam=waist"'
)
@click.option("--material", "materials", multiple=True, help="only this cloth: shell, lining, …; may be repeated")
@click.option("--seconds", default=20.0, show_default=True, type=click.FloatRange(0, 86_400), help="for each cloth")
@click.option("--seed", default=1, show_default=True, help="another number tries other ways")
@click.option("--workers", type=click.IntRange(1, 64), help="processor cores to pack with  [all]")
@click.option("--table", metavar="LENGTH", help="split the order over lays of at most this length")
@click.option(
    "--plies", type=click.IntRange(1, 500), default=50, show_default=True, help="with --table: the most plies"
)
@click.option("--as", "forms", multiple=True, type=click.Choice(FORMS), help="write the lay at full size as this, too")
@click.option(
    "-o", "--output", "folder", type=click.Path(path_type=Path), help="folder to write to  [JOB's name + -lay]"
)
@click.option("--replace", is_flag=True, help="write over the lay of another job that lies there")
@click.option("--judge", "kept", type=click.Path(path_type=Path), help="judge this lay.json, and write its files")
@click.option("--despite", multiple=True, metavar="ID", help="lay although this check fails; may be repeated")
@click.option("--json", "as_json", is_flag=True, help="print the answer as JSON")
def command(
    job: Path,
    cloth_width: str | None,
    spread: str | None,
    one_way: bool | None,
    gap: str | None,
    selvedge: str | None,
    ends: str | None,
    shrink: str | None,
    quantity: str | None,
    grain_tolerance: float | None,
    flaws: tuple[str, ...],
    repeat: str | None,
    matches: tuple[str, ...],
    materials: tuple[str, ...],
    seconds: float,
    seed: int,
    workers: int | None,
    table: str | None,
    plies: int,
    forms: tuple[str, ...],
    folder: Path | None,
    replace: bool,
    kept: Path | None,
    despite: tuple[str, ...],
    as_json: bool,
) -> None:
    """Lay the pieces on cloth: how much to buy, and the picture to cut by.

    Writes lay.json (keep it: `make` uses it where the job names it, lay = "lay.json" below [output]), lay.html and
    lay-small.pdf. Ctrl-C ends the search with the best lay so far.

    \b
    Example:
      oaktag lay alto-3.toml --cloth-width 150cm --fold
      oaktag lay stage-dress.toml --cloth-width 60in --quantity 10=2,12=3 --seconds 60 --as pdf
      oaktag lay stage-dress.toml --cloth-width 150cm --quantity 10=20,12=30,14=24 --table 6m --plies 20
    """
    from ..job import load_job
    from ..lay.words import Asked, flaw_of, length_of, quantities_of, repeat_of, shrink_of
    from ..laying import judged_lay, lay_files, lay_job
    from ..origin import origin_of, refuse_another, write_made

    asked_job = load_job(job)
    unit = asked_job.unit

    def length(value: str | None, name: str) -> float | None:
        return None if value is None else length_of(value, unit, Where(f"--{name}"))

    asked = Asked(
        width=length(cloth_width, "cloth-width"),
        spread=spread,
        one_way=one_way or None,
        gap=length(gap, "gap"),
        selvedge=length(selvedge, "selvedge"),
        ends=length(ends, "ends"),
        shrink=None if shrink is None else shrink_of(shrink, Where("--shrink")),
        tolerance=grain_tolerance,
        flaws=tuple(flaw_of(flaw, unit, Where("--flaw")) for flaw in flaws) or None,
        repeat=None if repeat is None else repeat_of(repeat, unit, Where("--repeat")),
    )
    quantities = None
    if quantity is not None:
        where = Where("--quantity")
        quantities = {"": int(quantity)} if quantity.strip().isdigit() else quantities_of(quantity, where)
    chosen = _matches(matches) if matches else None
    place = folder if folder is not None else Path(f"{job.stem}-lay")
    if table is not None:
        _plan(asked_job, asked, quantities, _metres(table, unit), plies, materials, despite, as_json=as_json)
        return
    origin = origin_of(job)
    stale = refuse_another(place, origin, asked_job.printed_title, replace=replace)
    if kept is not None:
        laid = judged_lay(asked_job, kept, despite=despite)
    else:
        with Progress() as progress:
            laid = lay_job(
                asked_job, asked, quantities, matches=chosen, materials=materials, seconds=seconds, seed=seed,
                workers=workers, despite=despite, told=partial(_tell, progress, seconds),
            )  # fmt: skip
    files = lay_files(asked_job, laid.nest, laid.kept, forms)
    written = write_made(place, files, origin, stale=stale)
    if as_json:
        click.echo(json.dumps({"lays": [_row(lay) for lay in laid.kept.lays], "written": [str(p) for p in written]}))
        return
    for lay in laid.kept.lays:
        click.echo(_words(lay, unit))
    for path in written:
        click.echo(f"wrote {path}")


def _metres(value: str, unit: Unit) -> float:
    """A table's length, which people tell in metres or yards, too; mm."""
    from ..lay.words import length_of

    text = value.strip().lower()
    for ending, mm in (("yd", 914.4), ("mm", 0.0), ("cm", 0.0), ("m", 1000.0)):
        if text.endswith(ending) and mm:
            try:
                return float(text.removesuffix(ending)) * mm
            except ValueError:
                break
        if text.endswith(ending):
            break
    return length_of(value, unit, Where("--table"), most=100_000.0)


def _matches(matches: tuple[str, ...]) -> dict[str, str]:
    found: dict[str, str] = {}
    for match in matches:
        seam, sign, notch = match.partition("=")
        if not sign:
            raise InputError(
                f"--match {match} names no notch", expected="SEAM=NOTCH", instead='Write --match "side seam=waist"'
            )
        found[seam.strip()] = notch.strip()
    return found


def _tell(progress: Progress, most: float, material: str, seconds: float, lay: Lay) -> None:
    """Every better lay."""
    progress(f"{material}: {lay.length / 1000:.3f} m, {lay.use:.1f} %, found after {seconds:.0f} of {most:.0f} s")


def _words(lay: Lay, unit: Unit) -> str:
    from ..export.cloth_table import length_words, width_words

    bought = f", buy {length_words(lay.to_buy, unit)}" if lay.cloth.shrink_along else ""
    placed = sum(len(stretch.placements) for stretch in lay.stretches)
    return (
        f"{lay.material}: {length_words(lay.length, unit)} of cloth {width_words(lay.cloth.width, unit)} wide, "
        f"{lay.cloth.words()}{bought}; {placed} pieces placed, {lay.use:.1f} % used"
    )


def _row(lay: Lay) -> dict[str, object]:
    return {
        "material": lay.material, "length": lay.length, "to_buy": lay.to_buy, "use_percent": lay.use,
        "width": lay.cloth.width, "spread": lay.cloth.spread, "one_way": lay.cloth.one_way,
    }  # fmt: skip


def _plan(
    job: Job,
    asked: Asked,
    quantities: Mapping[str, int] | None,
    table: float,
    plies: int,
    materials: tuple[str, ...],
    despite: tuple[str, ...],
    *,
    as_json: bool,
) -> None:
    """The order split over lays, the numbers of lays side by side."""
    from ..laying import plan_job

    with Progress() as told:
        found = plan_job(
            job, asked, quantities, table=table, plies=plies, materials=materials, despite=despite, told=told
        )
    if as_json:
        rows = {material: [_plan_row(plan) for plan in plans] for material, plans in found.items()}
        click.echo(json.dumps({"plans": rows}))
        return
    for material, plans in found.items():
        click.echo(f"{material}: lays of at most {table / 1000:.2f} m and {plies} plies")
        for plan in plans:
            best = "" if plan.proved else "  (the best found in the time)"
            click.echo(f"  {len(plan.lays)} lay{'s' * (len(plan.lays) > 1)}: {plan.cloth / 1000:.2f} m of cloth{best}")
            for lay in plan.lays:
                click.echo(f"    {lay.plies:3} plies of {lay.length / 1000:.2f} m: {lay.words()}")


def _plan_row(plan: Plan) -> dict[str, object]:
    return {
        "cloth": plan.cloth, "proved": plan.proved,
        "lays": [{"plies": lay.plies, "length": lay.length, "garments": dict(lay.garments)} for lay in plan.lays],
    }  # fmt: skip
