"""`oaktag sizes`."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Literal, get_args

import click

from ..body.charts import CHART_NAMES, ChartNote, SizeChart, chart_as_csv, check_chart, load_chart, shipped, written
from ..body.coverage import WITHIN, Coverage, cover, share
from ..body.measurements import KINDS, WEARERS, Wearer, kinds_of, near_names, range_words, spoken, typed_length
from ..body.people import People, load_people
from ..body.proposed import Naming, Proposal, leading, propose, usual_step
from ..body.whom import wearer_of
from ..draft.garment import Garment
from ..draft.options import defaults
from ..errors import InputError, Where
from ..export.files import write_all
from ..outside.find import garment_named
from ..units import UNITS, Unit, show
from ..values import replace
from .kinds import Place
from .options import as_json
from .show import SIGNS, table

WIDEST = 500.0
"""The widest tolerance, mm: more than this and everybody is served."""


@click.command("sizes")
@click.argument("chart", required=False)
@click.option(
    "--unit", type=click.Choice(UNITS), help="print lengths in this; also the unit of plain numbers of people"
)
@click.option("--garment", help="name what this garment needs and the chart lacks")
@click.option("--people", type=click.Path(path_type=Path), help="say whom CHART serves: a CSV, one line a person")
@click.option("--from", "source", type=click.Path(path_type=Path), help="propose a chart from the people in this CSV")
@click.option(
    "--wearer", type=click.Choice(WEARERS), help="whose measurements they are, where the file does not say  [woman]"
)
@click.option("--step", help="interval from size to size (with --from)  [4cm; children's heights 6cm]")
@click.option("--by", help="the measurement that leads  [bust_girth, of children stature, or the first there is]")
@click.option(
    "--names",
    "naming",
    type=click.Choice(get_args(Naming)),
    default="measurement",
    show_default=True,
    help="call the sizes by their measurement or 1, 2, 3 (with --from)",
)
@click.option(
    "--within",
    multiple=True,
    metavar="[MEASUREMENT=]LENGTH",
    help="how far off a size still serves; alone: waist and hip girth  [4cm]",
)
@click.option("-o", "--output", type=Place("choir.csv"), help="write the proposed chart to this CSV")
@click.option("--picture", type=Place("served.svg"), help="draw whom the chart serves: an SVG file")
@as_json("the answer as JSON, lengths in mm")
@click.pass_context
def command(
    ctx: click.Context,
    chart: str | None,
    unit: Unit | None,
    garment: str | None,
    people: Path | None,
    source: Path | None,
    wearer: Wearer | None,
    step: str | None,
    by: str | None,
    naming: Naming,
    within: tuple[str, ...],
    output: Path | None,
    picture: Path | None,
    as_json: bool,
) -> None:
    """Size charts: list those that ship, print and check one (CHART: its name, or a CSV), propose one from people.

    Exits with 1 if the chart lacks what --garment needs. Names and other columns of a file of people are not read.

    \b
    Example:
      oaktag sizes
      oaktag sizes women --unit in --garment sheath-dress
      oaktag sizes women --people singers.csv --picture served.svg
      oaktag sizes --from singers.csv --step 5cm -o choir.csv
      oaktag sizes --from youngest.csv --wearer child -o youngest-sizes.csv
    """
    _refuse_mixed(ctx, chart, source, people)
    charts, pictures = _target(output, ".csv", "--output"), _target(picture, ".svg", "--picture")
    wearing = garment_named(garment) if garment else None
    whose: Wearer | Literal[""] = wearer or (wearer_of(wearing.for_whom) if wearing is not None else "")
    lead = _measurement(by, "--by") if by else ""
    proposal, crowd = None, None
    if source is not None:
        crowd = load_people(source, unit, whose)
        shown = unit or crowd.unit
        lead = lead or next((name for name in leading(whose) if name in crowd.columns), crowd.columns[0])
        width = usual_step(lead, whose)
        if step is not None:
            width = typed_length(step, shown, Where("--step"), example="--step 4cm")
        name = charts.stem if charts else "proposed"
        proposal = propose(crowd, by=lead, step=width, unit=shown, name=name, naming=naming, wearer=whose)
        loaded = proposal.chart
    elif chart is None:
        _list(as_json)
        return
    else:
        loaded = load_chart(chart, Path(), wearer=whose)
        loaded = replace(loaded, wearer=loaded.wearer or whose)
        shown = unit or loaded.unit
        crowd = load_people(people, unit, loaded.wearer) if people is not None else None
    needs = wearing.needs_for(defaults(wearing.options), loaded.wearer) if wearing else ()
    instead = wearing.instead if wearing else {}
    notes = check_chart(loaded, needs, shown, instead=instead)
    served = None
    if crowd is not None:
        others, named = _within(within, shown)
        served = cover(loaded, crowd, by=lead, within=named, others=others)
    lacks = any(note.severity == "error" for note in notes)
    if not lacks:
        _write(loaded, served, charts, pictures, shown)
    if as_json:
        told = {**_chart_as_json(loaded, notes), **_proposal_as_json(proposal), **_served_as_json(served)}
        click.echo(json.dumps(told, ensure_ascii=False))
    else:
        if proposal is not None or crowd is None:
            _print_chart(loaded, shown)
        if proposal is not None:
            _print_proposal(proposal, lead, shown)
        if proposal is not None or crowd is None or garment:
            _print_notes(notes)
            click.echo()
        if wearing is not None:
            _print_unused(loaded, wearing)
        if served is not None and crowd is not None:
            _print_served(served, crowd, loaded, shown)
    if lacks:
        ctx.exit(1)


# ------------------------------------------------------------------------------------------------------- what was asked


def _refuse_mixed(ctx: click.Context, chart: str | None, source: Path | None, people: Path | None) -> None:
    """Options that say nothing together."""
    given = {name for name, value in ctx.params.items() if _was_given(ctx, name) and value not in (None, ())}
    if source is not None and chart is not None:
        raise InputError(
            "a chart is either printed or proposed",
            expected="CHART or --from",
            instead=f"Write oaktag sizes {chart} --people {source} to see whom {chart} serves",
        )
    if source is not None and people is not None:
        raise InputError("--from and --people are two files of people", expected="one of them")
    only = {"step": "--step", "naming": "--names", "output": "--output"}
    for name in ("step", "naming", "output"):
        if name in given and source is None:
            raise InputError(f"{only[name]} is for a proposed chart", instead="Write it with --from CUSTOMERS.csv")
    for name, words in (("within", "--within"), ("picture", "--picture"), ("by", "--by")):
        if name in given and source is None and people is None:
            raise InputError(f"{words} is for people", instead="Write it with --from or --people and a CSV of people")
    if chart is None and source is None and given & {"people", "garment"}:
        raise InputError("no chart is named", expected="a chart", instead=f"Write oaktag sizes {CHART_NAMES[0]} …")


def _was_given(ctx: click.Context, name: str) -> bool:
    return ctx.get_parameter_source(name) is not click.core.ParameterSource.DEFAULT


def _target(path: Path | None, suffix: str, option: str) -> Path | None:
    """A file to write; its ending says what it is."""
    if path is not None and (path.suffix.lower() != suffix or path.name in ("", ".", "..")):
        stem = path.stem.strip(".") or "chart"
        raise InputError(
            f"{str(path)!r} cannot be the name of this file: it does not end in {suffix}",
            where=Where(option),
            instead=f"Write {option} {path.with_name(stem + suffix) if path.name else stem + suffix}",
        )
    return path


def _measurement(name: str, option: str) -> str:
    if name in KINDS:
        return name
    near = near_names(name)
    raise InputError(
        f"{spoken(name)} is not a measurement",
        where=Where(option),
        expected="" if near else "a measurement, such as bust_girth",
        instead=f"Write {' or '.join(near)}" if near else "",
    )


def _within(asked: Sequence[str], unit: Unit) -> tuple[float, dict[str, float]]:
    """`4cm` for all, `waist_girth=3cm` for one."""
    others, named = WITHIN, {}
    for text in asked:
        name, _, length = text.rpartition("=")
        where = Where("--within")
        mm = typed_length(length, unit, where, example="--within waist_girth=3cm")
        if not 0 < mm <= WIDEST:
            raise InputError(f"{spoken(length)} is no tolerance", where=where, expected=range_words(1, WIDEST, unit))
        if name:
            named[_measurement(name.strip(), "--within")] = mm
        else:
            others = mm
    return others, named


def _write(chart: SizeChart, served: Coverage | None, charts: Path | None, pictures: Path | None, unit: Unit) -> None:
    """All files of a folder, or none."""
    folders: dict[Path, dict[str, bytes]] = {}
    if charts is not None:
        folders.setdefault(charts.parent, {})[charts.name] = chart_as_csv(chart)
    if pictures is not None and served is not None:
        from ..export.coverage_picture import render

        folders.setdefault(pictures.parent, {})[pictures.name] = render(served, chart.title, unit)
    for folder, files in folders.items():
        for path in write_all(folder, files):
            click.echo(f"wrote {path}", err=True)


# ------------------------------------------------------------------------------------------------------------ printing


def _list(as_json: bool) -> None:
    charts = [shipped(name) for name in CHART_NAMES]
    if as_json:
        told = [{"name": c.name, "title": c.title, "source": c.source, "sizes": c.sizes} for c in charts]
        click.echo(json.dumps(told, ensure_ascii=False))
        return
    table([(c.name, c.title, f"{len(c.sizes)} sizes, {c.sizes[0]} to {c.sizes[-1]}") for c in charts])


def _print_chart(chart: SizeChart, unit: Unit) -> None:
    click.echo(f"{chart.name}: {chart.title} ({unit})")
    if chart.source:
        click.echo(f"source: {chart.source}")
    for note in chart.notes:
        click.echo(note)
    click.echo()
    rows = [(f"  {name}", *(_cell(value, chart, unit) for value in row)) for name, row in chart.rows.items()]
    table([("  size", *chart.sizes), *rows])
    click.echo()


def _cell(mm: float, chart: SizeChart, unit: Unit) -> str:
    """In the chart's own unit as it stands there, in another to what a tape shows."""
    return written(mm, unit) if unit == chart.unit else show(mm, unit, with_unit=False)


def _print_proposal(proposal: Proposal, by: str, unit: Unit) -> None:
    """The lines behind the chart, and what is to be known of the people."""
    click.echo("The lines behind it: people measured, growth from size to size, how far people vary about it (sd)")
    rows = [
        (f"  {line.name}", str(line.people), proposal.growth(line, by, unit), show(line.spread, unit))
        for line in proposal.trends
    ]
    if rows:
        table(rows)
    click.echo()
    for remark in proposal.notes:
        click.echo(f"note    {remark}")


def _print_notes(notes: Sequence[ChartNote]) -> None:
    for note in notes:
        place = f" ({note.where})" if note.where is not None and note.severity != "info" and note.where.line else ""
        click.echo(f"{SIGNS[note.severity]:8}{note.id}: {note.message}{place}")
    if not any(note.severity != "info" for note in notes):
        click.echo("ok      every size grows, in usual proportions.")


def _print_unused(chart: SizeChart, found: Garment) -> None:
    needed = found.needs_for(defaults(found.options), chart.wearer)
    known = {*needed, *(found.instead[name] for name in needed if name in found.instead)}
    unused = [name for name in found.uses if name not in chart.rows and name not in known]
    if unused:
        click.echo(f"note    not in the chart, and used by {found.name} in some styles: {', '.join(unused)}.")


def _print_served(served: Coverage, people: People, chart: SizeChart, unit: Unit) -> None:
    whole = len(served.placed)
    kinds = kinds_of(chart.wearer)
    words = [kinds[name].words for name in served.judged]
    tolerances = ", ".join(f"{kinds[name].words} {text}" for name, text in served.tolerances(unit).items())
    click.echo(f"Whom {chart.name} serves: {whole} people of {people.file}, each at the size nearest in {words[0]}")
    click.echo(f"served if within: {tolerances}\n")
    rows = [("  size", *words, "nearest", "served", "of all")]
    for size in chart.sizes:
        body, (near, fits) = chart.body(size), served.of_size(size)
        lengths = (_cell(body[name], chart, unit) for name in served.judged)
        rows.append((f"  {size}", *lengths, str(near), str(fits), share(fits, whole)))
    table(rows)
    click.echo(f"\nserved {share(served.served, whole)} ({served.served} of {whole})")
    for name in served.judged:
        small, large = served.missed(name)
        if small or large:
            alone = f"{served.missed_only(name)} for nothing else"
            click.echo(f"not served for {kinds[name].words}: {small} smaller, {large} larger than their size; {alone}")
    for name, count in served.not_judged.items():
        click.echo(f"note    {count} without {kinds[name].words} were not judged.")
    if served.dropped:
        dropped = " and ".join(kinds[name].words for name in served.dropped)
        click.echo(f"note    {dropped} could not be judged: the chart or the people have none.")
    if people.passed_over:
        click.echo(f"note    {people.passed_over} column(s) that are no measurement were not read.")


# ---------------------------------------------------------------------------------------------------------------- JSON


def _chart_as_json(chart: SizeChart, notes: Sequence[ChartNote]) -> dict[str, object]:
    return {
        "name": chart.name, "title": chart.title, "source": chart.source, **_worn_by(chart), "unit": "mm",
        "sizes": chart.sizes,
        "extrapolated": chart.extrapolated, "rows": {name: list(row) for name, row in chart.rows.items()},
        "checks": [
            {"id": n.id, "severity": n.severity, "sizes": n.sizes, "measurement": n.measurement, "message": n.message}
            for n in notes
        ],
    }  # fmt: skip


def _worn_by(chart: SizeChart) -> dict[str, str]:
    return {"wearer": chart.wearer} if chart.wearer else {}


def _proposal_as_json(proposal: Proposal | None) -> dict[str, object]:
    if proposal is None:
        return {}
    lines = [
        {"name": t.name, "people": t.people, "slopes": dict(t.slopes), "spread": round(t.spread, 2)}
        for t in proposal.trends
    ]
    return {"trends": lines, "remarks": proposal.notes}


def _served_as_json(served: Coverage | None) -> Mapping[str, object]:
    if served is None:
        return {}
    sizes = [
        {"size": w.size, **dict(zip(("nearest", "served"), served.of_size(w.size), strict=True))}
        for w in served.windows
    ]
    missed = {
        name: {"smaller": served.missed(name)[0], "larger": served.missed(name)[1], "only": served.missed_only(name)}
        for name in served.judged
    }
    told = {
        "judged": served.judged, "people": len(served.placed), "served": served.served, "sizes": sizes,
        "missed": missed, "not_judged": served.not_judged, "dropped": served.dropped,
    }  # fmt: skip
    return {"coverage": told}
