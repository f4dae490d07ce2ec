"""`oaktag garment NAME`."""

from __future__ import annotations

import json

import click

from ..body.measurements import kinds_of
from ..body.whom import wearer_of
from ..draft.options import defaults
from ..outside.find import garment_named
from ..units import UNITS, Unit
from .init import serves_instead
from .options import as_json
from .show import table


@click.command("garment")
@click.argument("name")
@click.option("--units", type=click.Choice(UNITS), default="in", show_default=True, help="print lengths in this unit")
@as_json("the answer as JSON, lengths in mm")
def command(name: str, units: Unit, as_json: bool) -> None:
    """One garment: the measurements it needs, and its style options with defaults and ranges.

    \b
    Example:
      oaktag garment sheath-dress --units cm
      oaktag garment my_skirt.py         a file of your own, in a trusted folder
    """
    garment = garment_named(name)
    needed = garment.needs(defaults(garment.options, units))
    kinds = kinds_of(wearer_of(garment.for_whom))
    if as_json:
        told = {
            "name": garment.name,
            "words": garment.words,
            "for_whom": garment.for_whom,
            "measurements": [{"name": m, "needed": m in needed, "how": kinds[m].how} for m in garment.uses],
            "instead": dict(garment.instead),
            "options": [option.as_json(units) for option in garment.options],
            "edges": garment.edges,
            "pieces": garment.pieces,
        }
        click.echo(json.dumps(told, ensure_ascii=False))
        return
    click.echo(f"{garment.name}: {garment.words}")
    click.echo(f"For whom: {garment.for_whom or 'anybody'}\n\nMeasurements (needed in the default style marked *)")
    table([(f"  {m}{' *' if m in needed else ''}", kinds[m].how + serves_instead(garment, m)) for m in garment.uses])
    click.echo("\n[style] options")
    table([(f"  {o.name}", o.usual_words(units), o.range_words(units), o.words) for o in garment.options])
    click.echo("\n[allowances] by edge (or piece.edge): " + ", ".join(garment.edges))
    click.echo("pieces: " + ", ".join(garment.pieces))
