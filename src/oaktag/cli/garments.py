"""`oaktag garments`."""

from __future__ import annotations

import json

import click

from ..draft.garment import GARMENT_NAMES, Garment
from ..errors import InputError
from ..outside.find import garment_named, hidden_names, offered_names
from .options import as_json
from .show import table


@click.command("garments")
@click.argument("files", nargs=-1)
@as_json("the list as JSON")
def command(files: tuple[str, ...], as_json: bool) -> None:
    """List the garments that can be drafted: ours, those of installed packages, and the FILES of your own that are
    named.

    \b
    Example:
      oaktag garments
      oaktag garments my_skirt.py
    """
    found = [garment_named(name) for name in (*GARMENT_NAMES, *files)]
    for name in offered_names():
        try:
            found.append(garment_named(name))
        except InputError as error:  # a package that is broken takes nothing from the others
            click.echo(f"note    {error}", err=True)
    for name in hidden_names():
        click.echo(
            f"note    {name} of an installed package is not listed: a garment that ships has this name", err=True
        )
    if as_json:
        click.echo(json.dumps([{"name": g.name, "words": g.words, **_whose(g)} for g in found], ensure_ascii=False))
        return
    table([(g.name, g.words, " ".join(_whose(g).values())) for g in found])


def _whose(garment: Garment) -> dict[str, str]:
    """Where one comes from that is none of ours."""
    if garment.file is not None:
        return {"file": garment.file.name}
    return {"package": garment.package} if garment.package else {}
