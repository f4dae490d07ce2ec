"""`oaktag lay`."""

from __future__ import annotations

import json
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ..errors import InputError, Where
from ..laying import FORMS
from ..progress import Progress
from .kinds import Number, Place, Whole

if TYPE_CHECKING:
    from ..lay.placed import Lay
    from ..lay.plan import Plan
    from ..laying import Split
    from ..units import Unit


@click.command("lay")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--cloth-width", metavar="LENGTH", help="as the cloth is sold: 150cm, 60in  [width below [cloth]]")
@click.option("--fold", "spread", flag_value="fold", help="folded lengthwise, right sides together")
@click.option("--open", "spread", flag_value="open", help="flat, in one layer  [default]")
@click.option("--tubular", "spread", flag_value="tubular", help="a knitted tube that lies flat")
@click.option("--one-way", is_flag=True, default=None, help="all pieces the same way up: nap, print")
@click.option("--gap", metavar="LENGTH", help="between pieces  [3 mm, 1/8 in]")
@click.option("--selvedge", metavar="LENGTH", help="kept free along each selvedge  [1 cm, 3/8 in]")
@click.option("--ends", metavar="LENGTH", help="kept free at either end  [1 cm, 3/8 in]")
@click.option("--shrink", metavar="ALONGxACROSS", help="what the cloth loses in the wash before it is cut: 2%x1%")
@click.option(
    "--quantity", metavar="SIZE=COUNT,…", help="garments of each size: 10=2,12=3; a number for one body  [1 each]"
)
@click.option("--grain-tolerance", type=Number(0, 10), help="how far a grain line may be off, degrees  [0]")
@click.option("--flaw", "flaws", multiple=True, metavar="PLACE", help='a box to keep off: "20cm,110cm,3cm x 5cm"')
@click.option("--repeat", metavar="ALONGxACROSS", help="of a stripe or check, to be matched: 6cm, 6cmx4cm")
@click.option(
    "--match", "matches", multiple=True, metavar="SEAM=NOTCH", help='where a seam is matched: "side seam=waist"'
)
@click.option("--material", "materials", multiple=True, help="only this cloth: shell, lining, …; may be repeated")
@click.option("--seconds", default=20.0, show_default=True, type=Number(0, 86_400), help="for each cloth")
@click.option(
    "--seed", default=1, show_default=True, type=Whole(0, 999_999_999), help="another number tries other ways"
)
@click.option("--workers", type=Whole(1, 64), help="processor cores to pack with  [all]")
@click.option("--table", metavar="LENGTH", help="split the order over lays of at most this length")
@click.option("--plies", type=Whole(1, 500), default=50, show_default=True, help="with --table: the most plies")
@click.option("--lays", type=Whole(1, 12), help="with --table: so many lays  [those that take least cloth]")
@click.option("--as", "forms", multiple=True, type=click.Choice(FORMS), help="write the lay at full size as this, too")
@click.option("-o", "--output", "folder", type=Place(), help="folder to write to  [JOB's name + -lay]")
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
    lays: int | None,
    forms: tuple[str, ...],
    folder: Path | None,
    replace: bool,
    kept: Path | None,
    despite: tuple[str, ...],
    as_json: bool,
) -> None:
    """Lay the pieces on cloth: how much to buy, and the picture to cut by.

    Writes lay.json (keep it: `make` uses it where the job names it, lay = "lay.json" below [output]), lay.html and
    lay-small.pdf. Ctrl-C ends the search with the best lay so far. With --table an order is split over lays; each of
    them is written (lay-1.json, lay-1.html, …), and orders.html lists them.

    \b
    Example:
      oaktag lay alto-3.toml --cloth-width 150cm --fold
      oaktag lay stage-dress.toml --cloth-width 60in --quantity 10=2,12=3 --seconds 60 --as pdf
      oaktag lay stage-dress.toml --cloth-width 150cm --quantity 10=20,12=30,14=24 --table 6m --plies 20
    """
    from ..job import load_job
    from ..lay.words import Asked, flaw_of, length_of, quantities_of, repeat_of, shrink_of
    from ..laying import judged_lay, lay_files, lay_job, plan_files, plan_job
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
        quantities = quantities_of(quantity, where)
    chosen = _matches(matches) if matches else None
    place = folder if folder is not None else Path(f"{job.stem}-lay")
    origin = origin_of(job, made_by=asked_job.made_by)
    stale = refuse_another(place, origin, asked_job.printed_title, replace=replace)
    if table is not None:
        longest = _metres(table, unit)
        with Progress() as progress:
            split = plan_job(
                asked_job, asked, quantities, table=longest, plies=plies, lays=lays, matches=chosen,
                materials=materials, seconds=seconds, seed=seed, workers=workers, despite=despite,
                told=partial(_tell, progress, unit, seconds),
            )  # fmt: skip
        written = write_made(place, plan_files(asked_job, split, forms), origin, stale=stale)
        if as_json:
            rows = {one.material: [_plan_row(plan) for plan in one.plans] for one in split.planned}
            taken = {one.material: _plan_row(one.taken) for one in split.planned}
            click.echo(json.dumps({"plans": rows, "taken": taken, "written": [str(path) for path in written]}))
            return
        _tell_plans(split, longest, plies, unit)
        for path in written:
            click.echo(f"wrote {path}")
        return
    if kept is not None:
        laid = judged_lay(asked_job, kept, despite=despite)
    else:
        with Progress() as progress:
            laid = lay_job(
                asked_job, asked, quantities, matches=chosen, materials=materials, seconds=seconds, seed=seed,
                workers=workers, despite=despite, told=partial(_tell, progress, unit, seconds),
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
    for ending, ours, count in (("yd", "in", 36.0), ("mm", "", 1.0), ("cm", "", 1.0), ("m", "cm", 100.0)):
        if text.endswith(ending) and ours:
            return count * length_of(text.removesuffix(ending) + ours, unit, Where("--table"), most=100_000.0 / count)
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


def _tell(progress: Progress, unit: Unit, most: float, material: str, seconds: float, lay: Lay) -> None:
    """Every better lay."""
    from ..lay.words import tape_words

    long = tape_words(lay.length, unit)
    progress(f"{material}: {long}, {lay.use:.1f} %, found after {seconds:.0f} of {most:.0f} s")


def _words(lay: Lay, unit: Unit) -> str:
    from ..export.cloth_table import length_words, width_words
    from ..lay.words import buy_words

    bought = f", buy {buy_words(lay.to_buy, unit)}" if lay.cloth.shrink_along else ""
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


def _tell_plans(split: Split, table: float, plies: int, unit: Unit) -> None:
    """The numbers of lays side by side, and the lays of the one that was taken."""
    from ..lay.words import buy_words, tape_words

    for one in split.planned:
        cloth = one.lays[0].lays[0].cloth
        click.echo(f"{one.material}: lays of at most {tape_words(table, unit)} and {plies} plies")
        for plan in one.plans:
            count = f"{len(plan.lays)} lay{'s' * (len(plan.lays) > 1)}"
            if len(plan.lays) != len(one.taken.lays):
                click.echo(f"  {count}: about {buy_words(cloth.to_buy(plan.cloth), unit)} of cloth")
                continue
            best = "" if plan.proved else "  (the best found in the time)"
            click.echo(f"  {count}: {buy_words(cloth.to_buy(one.taken.cloth), unit)} of cloth{best}")
            for name, lay in zip(split.names(one), one.taken.lays, strict=True):
                click.echo(f"    {name}: {lay.plies:3} plies of {tape_words(lay.length, unit)}: {lay.words()}")


def _plan_row(plan: Plan) -> dict[str, object]:
    return {
        "cloth": plan.cloth, "proved": plan.proved,
        "lays": [{"plies": lay.plies, "length": lay.length, "garments": dict(lay.garments)} for lay in plan.lays],
    }  # fmt: skip
