"""`oaktag lay`."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from ..errors import InputError, Where
from ..formats import words_of
from ..lay.words import KEYS, Search
from ..progress import Progress
from ..values import dataclass
from .kinds import Number, Whole
from .options import Decorator, Target, as_json, despite, frozen, target, together

if TYPE_CHECKING:
    from ..lay.placed import Lay
    from ..lay.plan import Plan
    from ..lay.words import Asked
    from ..laying import Split as Orders
    from ..units import Unit


FORMS: Final = words_of(lay=True)


@dataclass(frozen=True, slots=True)
class Order:
    """What is laid: of how many garments, where they meet, and of which cloth."""

    quantity: str | None
    matches: tuple[str, ...]
    materials: tuple[str, ...]

    def values(self) -> dict[str, Any]:
        """As `lay_job` takes them. Raises InputError that names the option."""
        from ..lay.words import quantities_of

        order = None if self.quantity is None else quantities_of(self.quantity, Where("--quantity"))
        matches = _matches(self.matches) if self.matches else None
        return {"quantities": order, "matches": matches, "materials": self.materials}


def search_options(of_seconds: str) -> tuple[Decorator, ...]:
    """The options of a `Search`."""
    return (
        click.option("--seconds", default=20.0, show_default=True, type=Number(0, 86_400), help=of_seconds),
        click.option(
            "--seed", default=1, show_default=True, type=Whole(0, 999_999_999), help="another number tries other ways"
        ),
        click.option("--workers", type=Whole(1, 64), help="processor cores to pack with  [all]"),
    )


@dataclass(frozen=True, slots=True)
class Split:
    """How an order is split over lays."""

    table: str | None
    plies: int
    lays: int | None


@click.command("lay")
@click.argument("jobs", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="JOB…")
@together(
    "cloth",
    frozen,
    click.option("--cloth-width", "width", metavar="LENGTH", help="as it is sold: 150cm, 60in  [width below [cloth]]"),
    click.option("--fold", "spread", flag_value="fold", help="folded lengthwise, right sides together"),
    click.option("--open", "spread", flag_value="open", help="flat, in one layer  [default]"),
    click.option("--tubular", "spread", flag_value="tubular", help="a knitted tube that lies flat"),
    click.option("--one-way", is_flag=True, default=None, help=KEYS["one_way"].words),
    *(click.option(f"--{name}", metavar="LENGTH", help=KEYS[name].words) for name in ("gap", "selvedge", "ends")),
    click.option("--shrink", metavar="ALONGxACROSS", help=KEYS["shrink"].words),
    click.option("--grain-tolerance", type=Number(0, 10), help=KEYS["grain_tolerance"].words),
    click.option("--flaw", "flaws", multiple=True, metavar="PLACE", help='a box to keep off: "20cm,110cm,3cm x 5cm"'),
    click.option("--repeat", metavar="ALONGxACROSS", help=KEYS["repeat"].words),
)
@together(
    "order",
    Order,
    click.option(
        "--quantity", metavar="SIZE=COUNT,…", help="garments of each size: 10=2,12=3; a number for one body  [1 each]"
    ),
    click.option(
        "--match", "matches", multiple=True, metavar="SEAM=NOTCH", help='where a seam is matched: "side seam=waist"'
    ),
    click.option("--material", "materials", multiple=True, help="only this cloth: shell, lining, …; may be repeated"),
)
@together("search", Search, *search_options("for each cloth"))
@together(
    "split",
    Split,
    click.option("--table", metavar="LENGTH", help="split the order over lays of at most this length"),
    click.option("--plies", type=Whole(1, 500), default=50, show_default=True, help="with --table: the most plies"),
    click.option("--lays", type=Whole(1, 12), help="with --table: so many lays  [those that take least cloth]"),
)
@click.option("--as", "forms", multiple=True, type=click.Choice(FORMS), help="write the lay at full size as this, too")
@target("JOB's name + -lay; orders-lay", "lay")
@click.option("--judge", "kept", type=click.Path(path_type=Path), help="judge this lay.json, and write its files")
@despite("lay although this check fails; may be repeated")
@as_json()
def command(
    jobs: tuple[Path, ...],
    cloth: Mapping[str, Any],
    order: Order,
    search: Search,
    split: Split,
    forms: tuple[str, ...],
    target: Target,
    kept: Path | None,
    despite: tuple[str, ...],
    as_json: bool,
) -> None:
    """Lay the pieces on cloth: how much to buy, and the picture to cut by.

    Writes lay.json (keep it: `make` uses it where the job names it, lay = "lay.json" below [output]), lay.html and
    lay-small.pdf. Ctrl-C ends the search with the best lay so far. With --table an order is split over lays; each of
    them is written (lay-1.json, lay-1.html, …), and orders.html lists them. Several jobs, or folders that oaktag make
    has written, are laid together if they are of the same cloth: one garment of each, every piece named by its order.

    \b
    Example:
      oaktag lay alto-3.toml --cloth-width 150cm --fold
      oaktag lay stage-dress.toml --cloth-width 60in --quantity 10=2,12=3 --seconds 60 --as pdf
      oaktag lay stage-dress.toml --cloth-width 150cm --quantity 10=20,12=30,14=24 --table 6m --plies 20
      oaktag lay alto-3-pattern conductor-pattern --cloth-width 150cm
    """  # fmt: skip
    from ..job import load_job
    from ..laying import judged_lay, lay_files, lay_job, plan_files, plan_job
    from ..origin import origin_of, refuse_another, write_made

    if len(jobs) > 1 or jobs[0].is_dir():
        _lay_together(jobs, cloth, order, search, split, forms, target, kept, despite, as_json=as_json)
        return
    (job,) = jobs
    asked = load_job(job)
    unit, origin = asked.unit, origin_of(job, made_by=asked.made_by, sitting=asked.sitting)
    how = {"asked": _asked(cloth, unit), **order.values(), **asdict(search), "despite": despite}
    place = target.folder if target.folder is not None else Path(f"{job.stem}-lay")
    stale = refuse_another(place, origin, asked.printed_title, replace=target.replace)
    longest = None if split.table is None else _metres(split.table, unit)
    with Progress() as progress:
        told = partial(_tell, progress, unit, search.seconds)
        if longest is not None:
            parts = plan_job(asked, table=longest, plies=split.plies, lays=split.lays, told=told, **how)
            files, answer = plan_files(asked, parts, forms), _plans_row(parts)
            lines = _plans_told(parts, longest, split.plies, unit)
        else:
            laid = lay_job(asked, told=told, **how) if kept is None else judged_lay(asked, kept, despite=despite)
            files, answer = (
                lay_files(asked.output, unit, laid.nest, laid.kept, forms),
                {"lays": [*map(_row, laid.kept.lays)]},
            )
            lines = [_words(lay, unit) for lay in laid.kept.lays]
    _tell_written(write_made(place, files, origin, stale=stale), lines, answer, as_json=as_json)


def _lay_together(
    paths: tuple[Path, ...],
    cloth: Mapping[str, Any],
    order: Order,
    search: Search,
    split: Split,
    forms: tuple[str, ...],
    target: Target,
    kept: Path | None,
    despite: tuple[str, ...],
    *,
    as_json: bool,
) -> None:
    """Several orders in one lay. Raises InputError for what is only said of one order."""
    from ..laying import lay_files, lay_orders, orders_of
    from ..origin import Origin, refuse_another, write_made

    only_one = {"--quantity": order.quantity, "--match": order.matches, "--table": split.table, "--judge": kept}
    for option, given in only_one.items():
        if given:
            raise InputError(f"{option}: it is said of one job, and these are orders", expected="one of each order",
                             instead=f"Leave {option} out, or name one job file")  # fmt: skip
    orders = orders_of(paths, despite)
    unit = orders.unit
    place = target.folder if target.folder is not None else Path("orders-lay")
    title = ", ".join(one.name for one in orders.each)
    origin = Origin(f"the lay of {title}", title, "", {})
    stale = refuse_another(place, origin, title, replace=target.replace)
    with Progress() as progress:
        laid = lay_orders(
            orders, _asked(cloth, unit), materials=order.materials, **asdict(search),
            told=partial(_tell, progress, unit, search.seconds),
        )  # fmt: skip
        files = lay_files(orders.output, unit, laid.nest, laid.kept, forms)
    answer = {"lays": [*map(_row, laid.kept.lays)], "orders": [one.name for one in orders.each]}
    lines = [_words(lay, unit) for lay in laid.kept.lays]
    _tell_written(write_made(place, files, origin, stale=stale), lines, answer, as_json=as_json)


def _tell_written(written: Sequence[Path], lines: Sequence[str], answer: Mapping[str, Any], *, as_json: bool) -> None:
    """What was laid, and the files."""
    if as_json:
        click.echo(json.dumps({**answer, "written": [str(path) for path in written]}))
        return
    for line in (*lines, *(f"wrote {path}" for path in written)):
        click.echo(line)


def _asked(cloth: Mapping[str, Any], unit: Unit) -> Asked:
    """What is said of the cloth, each as a key of [cloth] in a job. Raises InputError that names the option."""
    from ..lay.words import asked_of

    told = {key: list(value) if key == "flaws" else value for key, value in cloth.items() if value not in (None, ())}
    named = {"width": "--cloth-width", "flaws": "--flaw"}
    return asked_of(told, unit, {key: Where(named.get(key, f"--{key.replace('_', '-')}")) for key in told})


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


def _plans_told(split: Orders, table: float, plies: int, unit: Unit) -> list[str]:
    """The numbers of lays side by side, and the lays of the one that was taken."""
    from ..lay.words import buy_words, tape_words

    lines = []
    for one in split.planned:
        cloth = one.lays[0].lays[0].cloth
        lines.append(f"{one.material}: lays of at most {tape_words(table, unit)} and {plies} plies")
        for plan in one.plans:
            count = f"{len(plan.lays)} lay{'s' * (len(plan.lays) > 1)}"
            if len(plan.lays) != len(one.taken.lays):
                lines.append(f"  {count}: about {buy_words(cloth.to_buy(plan.cloth), unit)} of cloth")
                continue
            best = "" if plan.proved else "  (the best found in the time)"
            lines.append(f"  {count}: {buy_words(cloth.to_buy(one.taken.cloth), unit)} of cloth{best}")
            for name, lay in zip(split.names(one), one.taken.lays, strict=True):
                lines.append(f"    {name}: {lay.plies:3} plies of {tape_words(lay.length, unit)}: {lay.words()}")
    return lines


def _plans_row(split: Orders) -> dict[str, object]:
    plans = {one.material: [_plan_row(plan) for plan in one.plans] for one in split.planned}
    return {"plans": plans, "taken": {one.material: _plan_row(one.taken) for one in split.planned}}


def _plan_row(plan: Plan) -> dict[str, object]:
    return {
        "cloth": plan.cloth, "proved": plan.proved,
        "lays": [{"plies": lay.plies, "length": lay.length, "garments": dict(lay.garments)} for lay in plan.lays],
    }  # fmt: skip
