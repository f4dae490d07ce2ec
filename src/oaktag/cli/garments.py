"""`oaktag garments`."""

from __future__ import annotations

import json

import click

from ..draft.garment import GARMENT_NAMES, find_garment
from .options import as_json
from .show import table


@click.command("garments")
@as_json("the list as JSON")
def command(as_json: bool) -> None:
    """List the garments that can be drafted.

    \b
    Example:
      oaktag garments
    """
    found = [find_garment(name) for name in GARMENT_NAMES]
    if as_json:
        click.echo(json.dumps([{"name": g.name, "words": g.words} for g in found], ensure_ascii=False))
        return
    table([(g.name, g.words) for g in found])
