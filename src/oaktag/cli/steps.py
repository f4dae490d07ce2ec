"""`oaktag steps`."""

from __future__ import annotations

import json
from pathlib import Path

import click

from ..draft.steps_words import rounding_words, step_lines
from ..errors import InputError
from ..job import load_job
from ..pipeline import pattern_of


@click.command("steps")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--piece", help="only the steps of this piece")
@click.option("--json", "as_json", is_flag=True, help="print the steps as JSON, values in mm")
def command(job: Path, piece: str | None, as_json: bool) -> None:
    """The worked steps, in drafting order, so that the pieces can be drawn on cloth with chalk.

    \b
    Example:
      oaktag steps alto-3.toml
      oaktag steps alto-3.toml --piece front
    """
    pattern = pattern_of(load_job(job))
    steps = pattern.draft.steps
    if piece is not None:
        names = sorted({step.piece for step in steps})
        if piece not in names:
            raise InputError(f"no piece is called {piece!r}", expected=" or ".join(names))
        steps = tuple(step for step in steps if step.piece == piece)
    if as_json:
        told = [
            {"piece": s.piece, "label": s.label, "formula": s.words(pattern.unit), "value": round(s.value, 4)}
            for s in steps
        ]
        click.echo(json.dumps(told, ensure_ascii=False))
        return
    click.echo(f"{pattern.title}: {rounding_words(pattern.unit)}\n")
    for line in step_lines(steps, pattern.unit):
        click.echo(line)
