"""`oaktag check`."""

from __future__ import annotations

import json
from pathlib import Path

import click

from ..checks.run import check_nest, standing_errors
from ..job import load_job
from ..pipeline import nest_of, refuse_unknown
from ..progress import Progress
from .options import JOB, as_json, despite
from .show import finding_as_json, findings_as_text, summary


@click.command("check")
@JOB
@despite("let this check fail; may be repeated")
@as_json("the findings as JSON")
@click.pass_context
def command(ctx: click.Context, job: Path, despite: tuple[str, ...], as_json: bool) -> None:
    """Draft and check, and write nothing. Exits with 1 if a check of severity error fails.

    \b
    Example:
      oaktag check alto-3.toml
    """
    asked = load_job(job)
    with Progress() as told:
        findings = check_nest(nest_of(asked, told), told)
    refuse_unknown(despite, findings)
    if as_json:
        click.echo(json.dumps([finding_as_json(f) for f in findings], ensure_ascii=False))
    else:
        for line in findings_as_text(findings, every=True, unit=asked.unit):
            click.echo(line)
        click.echo(summary(findings))
    if standing_errors(findings, despite):
        ctx.exit(1)
