"""`oaktag steps`."""

from __future__ import annotations

import json
from pathlib import Path

import click

from ..checks.run import check, standing_errors
from ..draft.steps_words import rounding_words, step_lines
from ..errors import InputError, Where
from ..export.files import write_all
from ..job import Job, load_job
from ..model.finding import CheckFailed
from ..model.pattern import Pattern
from ..pipeline import known_sizes, nest_of, refuse_unknown
from ..progress import Progress
from .kinds import Place
from .options import JOB, as_json, despite


@click.command("steps")
@JOB
@click.option("--piece", help="only the steps of this piece")
@click.option("--size", help="this size of a chart  [the base]")
@click.option("--card", type=Place("chalk-card.pdf"), help="write the chalk card, a PDF with pictures, to this file")
@despite("write the card although this check fails")
@as_json("the steps as JSON, values in mm")
def command(
    job: Path, piece: str | None, size: str | None, card: Path | None, despite: tuple[str, ...], as_json: bool
) -> None:
    """The worked steps, in drafting order, so that the pieces can be drawn on cloth with chalk.

    With --card, also a PDF to lie beside the cloth: every line and mark with its distances, pictures of a few steps
    each, on the job's paper.

    \b
    Example:
      oaktag steps alto-3.toml
      oaktag steps alto-3.toml --piece front
      oaktag steps alto-3.toml --card chalk-card.pdf
    """
    if despite and card is None:
        raise InputError("--despite: nothing is checked without --card", instead="Leave it out, or add --card FILE")
    asked = load_job(job)
    if asked.drawn is not None:
        raise InputError(
            "this pattern was drawn elsewhere, so there are no steps of a draft", where=Where(str(job)),
            expected="a job with a garment", instead="See its lines and lengths in report.html",
        )  # fmt: skip
    with Progress() as told:
        nest = nest_of(asked, told)
    pattern = nest.base_pattern if size is None else nest.of(known_sizes((size,), nest.sizes)[0])
    steps = pattern.draft.steps
    if piece is not None:
        names = sorted({step.piece for step in steps})
        if piece not in names:
            raise InputError(f"no piece is called {piece!r}", expected=" or ".join(names))
        steps = tuple(step for step in steps if step.piece == piece)
    if card is not None:
        _write_card(card, asked, pattern, piece, despite)
    if as_json:
        rows = [
            {"piece": s.piece, "label": s.label, "formula": s.words(pattern.unit), "value": round(s.value, 4)}
            for s in steps
        ]
        click.echo(json.dumps(rows, ensure_ascii=False))
        return
    click.echo(f"{pattern.title}: {rounding_words(pattern.unit)}\n")
    for line in step_lines(steps, pattern.unit):
        click.echo(line)
    if pattern.draft.altered and piece is None:
        from ..fitting.told import lines

        click.echo("\nFitting, before -> after, as sewn:")
        for line in lines(pattern.draft, pattern.unit):
            click.echo(line)
    if pattern.draft.notes and piece is None:
        click.echo("\nTo know:")
        for note in pattern.draft.notes:
            click.echo(f"- {note}")


def _write_card(card: Path, job: Job, pattern: Pattern, piece: str | None, despite: tuple[str, ...]) -> None:
    """The card of the pieces that the steps tell of; as for any file, a failed check stops it."""
    from ..export.chalk_card import render
    from ..model.piece import sheets_of
    from ..sheet.paper import PAPERS, at_hand

    with Progress() as told:
        told("checking")
        findings = check(pattern)
    refuse_unknown(despite, findings)
    errors = standing_errors(findings, despite)
    if errors:
        ids = ", ".join(sorted({error.id for error in errors}))
        why = "\n".join(dict.fromkeys(error.message for error in errors))
        raise CheckFailed(f"the card was not written: {len(errors)} check(s) failed ({ids})\n{why}", findings)
    only = None
    if piece is not None:
        only = [p.name for p in pattern.pieces if piece in sheets_of(p.cut.piece)]
    with Progress() as told:
        drawn = render(pattern, at_hand(PAPERS[job.paper], job.unit), only=only, told=told)
    (path,) = write_all(card.parent, {card.name: drawn})
    click.echo(f"wrote {path}", err=True)
