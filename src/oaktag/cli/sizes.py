"""`oaktag sizes`."""

from __future__ import annotations

import json
from pathlib import Path
from typing import get_args

import click

from ..body.charts import check_chart, load_chart
from ..body.proposed import Naming
from ..units import UNITS, Unit


@click.command("sizes")
@click.argument("chart", required=False)
@click.option(
    "--unit", type=click.Choice(UNITS), help="print lengths in this; also the unit of plain numbers of people"
)
@click.option("--garment", help="name what this garment needs and the chart lacks")
@click.option("--people", type=click.Path(path_type=Path), help="say whom CHART serves: a CSV, one line a person")
@click.option("--from", "source", type=click.Path(path_type=Path), help="propose a chart from the people in this CSV")
@click.option("--step", default="4cm", show_default=True, help="interval from size to size (with --from)")
@click.option("--by", help="the measurement that leads  [bust_girth, or the first there is]")
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
@click.option("-o", "--output", type=click.Path(path_type=Path), help="write the proposed chart to this CSV")
@click.option("--picture", type=click.Path(path_type=Path), help="draw whom the chart serves: an SVG file")
@click.option("--json", "as_json", is_flag=True, help="print the answer as JSON, lengths in mm")
@click.pass_context
def command(
    ctx: click.Context,
    chart: str | None,
    unit: Unit | None,
    garment: str | None,
    people: Path | None,
    source: Path | None,
    step: str,
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
    """
    _refuse_mixed(ctx, chart, people, source, output, picture, within)
    needs = _needs(garment)
    if source is not None:
        _propose(source, unit, step, by, naming, within, output, picture, needs, as_json)
        return
    if chart is None:
        _list(as_json)
        return
    loaded = load_chart(chart, Path())
    shown = unit or loaded.unit
    notes = check_chart(loaded, needs, shown)
    served = None
    if people is not None:
        served = _served(loaded, people, unit, shown, by, within, picture)
    if as_json:
        click.echo(json.dumps({**_chart_as_json(loaded, notes), **_served_as_json(served)}, ensure_ascii=False))
    else:
        _print_chart(loaded, shown, brief=people is not None)
        _print_notes(notes)
        if garment is not None:
            _print_unused(loaded, garment)
        if served is not None:
            _print_served(served, shown)
    if any(note.severity == "error" for note in notes):
        ctx.exit(1)
