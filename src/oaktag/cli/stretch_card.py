"""`oaktag stretch-card`."""

from __future__ import annotations

from pathlib import Path

import click

from ..export.files import write_all
from ..export.stretch_card import render
from ..sheet.paper import PAPERS, usual_paper
from ..units import UNITS, Unit
from .kinds import Place


@click.command("stretch-card")
@click.argument("file", type=Place("stretch-card.pdf"), default="stretch-card.pdf")
@click.option("--paper", type=click.Choice(list(PAPERS)), help="paper  [letter where inches are read, else a4]")
@click.option("--units", type=click.Choice(UNITS), default="in", show_default=True, help="unit of what is read")
def command(file: Path, paper: str | None, units: Unit) -> None:
    """Write a card with rulers that read how far knit cloth stretches, and how far it comes back.

    \b
    Example:
      oaktag stretch-card
      oaktag stretch-card card.pdf --units cm --paper a4
    """
    (written,) = write_all(file.parent, {file.name: render(PAPERS[paper or usual_paper(units)], units)})
    click.echo(f"wrote {written}; print it at 100 %, and measure its square before you trust the rulers")
