"""`oaktag verify`."""

from __future__ import annotations

import os
from pathlib import Path

import click

from ..progress import Progress
from ..verify.folder import verify
from ..verify.rows import as_json as rows_as_json
from ..verify.together import BESIDE, age_rows
from .options import as_json
from .show import table


@click.command("verify")
@click.argument("path", type=click.Path(path_type=Path))
@as_json("the rows as JSON")
@click.pass_context
def command(ctx: click.Context, path: Path, as_json: bool) -> None:
    """Read every written file back with independent readers and compare it with pattern.json.

    Exits with 1 if any outline or scale block is off, or a file is not of the set that was written together. What lies
    in the folder besides is named, and fails nothing.

    \b
    Example:
      oaktag verify alto-3-pattern
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # numpy's sums here are small: to start threads takes longer
    with Progress() as told:
        rows = (*verify(path, told), *age_rows(path if path.is_dir() else path.parent))
    if as_json:
        click.echo(rows_as_json(rows))
    else:
        cells = [("file", "reader", "what", "worst mm", "limit mm", "")]
        for row in (row for row in rows if row.what != BESIDE):
            worst = "-" if row.worst is None else f"{row.worst:.4f}"
            cells.append((row.file, row.reader, row.what, worst, f"{row.limit:g}", "ok" if row.passed else "OFF"))
        table(cells)
        for row in rows:
            if not row.passed:
                click.echo(f"OFF     {row.file}: {row.message}")
            elif row.what == BESIDE:
                click.echo(f"note    {row.message}")
        off, judged = sum(not row.passed for row in rows), sum(row.what != BESIDE for row in rows)
        click.echo(f"{judged} rows: " + (f"{off} off" if off else "all within their limits"))
    if not all(row.passed for row in rows):
        ctx.exit(1)
