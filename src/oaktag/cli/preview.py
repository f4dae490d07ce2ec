"""`oaktag preview`."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ..errors import InputError
from ..export.files import write_all
from ..progress import Progress
from .kinds import Number, Place, Whole
from .options import as_json
from .show import table

if TYPE_CHECKING:
    from ..preview.picture import Preview


@click.command("preview")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("-o", "--output", type=Place("pattern.png"), help="picture to write  [beside FILE: NAME-plt.png]")
@click.option("--dpi", type=Number(5, 1_200), default=50.0, show_default=True, help="pixels an inch")
@click.option("--for", "device", metavar="DEVICE", help="show what this device can reach, and read a plot as it does")
@click.option("--travel", is_flag=True, help="draw the way of the lifted pen, too")
@click.option("--page", type=Whole(1, 1_000_000), default=1, show_default=True, help="page of a PDF")
@as_json()
def command(
    file: Path, output: Path | None, dpi: float, device: str | None, travel: bool, page: int, as_json: bool
) -> None:
    """Make a picture of what a plot, PDF, SVG or DXF will really draw, from the file itself.

    \b
    Example:
      oaktag preview alto-3/pattern.plt --for roll-914 --travel
      oaktag preview alto-3/pattern-letter.pdf --page 4 -o page-4.png

    With --for, a pale frame shows what the device can reach; what lies outside is drawn in red.
    """
    from ..device.store import find_device
    from ..preview.picture import preview
    from ..verify.together import stray

    if output is not None and output.suffix.lower() != ".png":
        raise InputError(f"-o {output}: the picture is a PNG", expected="a name that ends in .png")
    profile = find_device(device, beside=Path()) if device is not None else None
    with Progress() as told:
        seen = preview(file, dpi=dpi, device=profile, travel=travel, page=page, told=told)
    place = output if output is not None else file.with_name(_name(file, seen))
    (written,) = write_all(place.parent, {place.name: seen.png})
    if other := stray(file):
        click.echo(f"warning {file} {other}", err=True)
    if seen.beyond:
        parts = f"{seen.outside / 1000:.2f} m of its lines lie" if seen.outside is not None else "some of it lies"
        click.echo(
            f"warning {file}: {parts} outside of what {device} can reach, up to {seen.beyond:.1f} mm: drawn in red",
            err=True,
        )
    if as_json:
        answer = {key: value for key, value in asdict(seen).items() if key != "png"}
        click.echo(json.dumps({"file": str(file), "picture": str(written), **answer}, ensure_ascii=False))
        return
    table(_rows(seen))
    for note in seen.notes:
        click.echo(f"note    {note}")
    click.echo(f"wrote {written}: {seen.pixels[0]} by {seen.pixels[1]} pixels, {seen.dpi:.4g} dpi")


def _name(file: Path, seen: Preview) -> str:
    page = f"-{seen.page}" if seen.pages > 1 else ""
    return f"{file.stem}-{file.suffix[1:].lower()}{page}.png"


def _rows(seen: Preview) -> list[tuple[str, str]]:
    kind = seen.kind + (f", page {seen.page} of {seen.pages}" if seen.kind == "PDF" else "")
    rows = [
        ("kind", kind),
        ("size", f"{seen.width:.1f} by {seen.height:.1f} mm"),
        ("lines", f"{seen.lines:,}, {seen.points:,} points"),
    ]
    for pen in seen.pens:
        dots = f"{pen.dots:,} dots" if pen.dots else ""
        lines = f"{pen.lines:,} lines, {pen.drawn / 1000:.1f} m" if pen.lines else ""
        rows.append((pen.name, f"{', '.join(filter(None, (lines, dots)))}; {pen.looks}"))
    rows.append(("drawn", f"{seen.drawn / 1000:.1f} m"))
    if seen.travel is not None:
        rows.append(("pen up", f"{seen.travel / 1000:.1f} m"))
    return rows
