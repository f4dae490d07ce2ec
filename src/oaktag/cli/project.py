"""`oaktag project`."""

from __future__ import annotations

import json
from pathlib import Path

import click

from ..device.page_server import PORT, open_server, serve
from ..export.files import write_all
from ..job import load_job
from ..laying import lay_projection
from ..model.finding import CheckFailed
from ..pipeline import projection
from ..progress import Progress
from .kinds import Place, Whole
from .make import report_failed
from .options import JOB, as_json, despite, sizes
from .show import finding_as_json, findings_as_text, summary


@click.command("project")
@JOB
@click.option("-o", "--output", "file", type=Place(), help="file to write  [JOB's name + -projection.html]")
@sizes("only this size of a chart")
@click.option("--lay", "kept", type=click.Path(path_type=Path), help="show this lay.json, instead of the pieces")
@click.option("--material", default="", help="with --lay: of which cloth  [the first]")
@despite()
@click.option("--serve", "serving", is_flag=True, help="show the page to this machine's browser until Ctrl-C")
@click.option(
    "--port", type=Whole(0, 65_535), default=PORT, show_default=True,
    help="where --serve shows it; the browser keeps tables by port, so keep to one",
)  # fmt: skip
@as_json()
def command(
    job: Path,
    file: Path | None,
    sizes: tuple[str, ...],
    kept: Path | None,
    material: str,
    despite: tuple[str, ...],
    serving: bool,
    port: int,
    as_json: bool,
) -> None:
    """Write the projection page: the pieces true to size on the cutting table, by a projector.

    One HTML file for any recent browser; it works offline. Its first step squares up the table, key H is its help.
    Do not look into the lens, and hang the projector on a second tether.

    \b
    Example:
      oaktag project alto-3.toml
      oaktag project stage-dress.toml --size 14 -o choir-14.html
      oaktag project alto-3.toml --serve
    """
    asked = load_job(job)
    try:
        with Progress() as told:
            if kept is not None:
                result = lay_projection(asked, kept, material=material, despite=despite)
            else:
                result = projection(asked, sizes=sizes, despite=despite, told=told)
    except CheckFailed as failed:
        report_failed(failed, as_json=as_json, unit=asked.unit)
        raise
    (page,) = result.files.values()
    server = open_server(page, port) if serving else None
    usual = Path(f"{job.stem}-projection.html")
    place = usual if file is None else file / usual if file.is_dir() else file
    written = write_all(place.parent, {place.name: page})
    if as_json:
        answer: dict[str, object] = {
            "written": [str(path) for path in written],
            "checks": [finding_as_json(f) for f in result.findings],
        }
        if server is not None:
            answer["address"] = server.url
        click.echo(json.dumps(answer, ensure_ascii=False))
    else:
        for line in findings_as_text(result.findings, every=False, unit=asked.unit):
            click.echo(line)
        click.echo(summary(result.findings))
        for path in written:
            click.echo(f"wrote {path}")
    if server is not None:
        serve(server, lambda url: None if as_json else click.echo(f"open  {url}  in a browser here; Ctrl-C ends it"))
