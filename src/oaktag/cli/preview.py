"""`oaktag preview`."""

from __future__ import annotations

import json
from pathlib import Path

import click

from ..device.store import find_device
from ..errors import InputError, Where
from ..export.files import write_all
from ..preview.picture import draw, draw_pdf
from ..preview.read import read_picture


@click.command("preview")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("-o", "--output", "out", type=click.Path(path_type=Path), help="the picture  [FILE + .png]")
@click.option("--dpi", default=50.0, show_default=True, type=click.FloatRange(5, 600), help="pixels an inch")
@click.option("--for", "device", help="show what this device can reach, in its unit and frames")
@click.option("--travel", is_flag=True, help="show where the pen goes while it is up")
@click.option("--page", default=1, show_default=True, help="of a PDF")
@click.option("--json", "as_json", is_flag=True, help="print the answer as JSON")
def command(
    file: Path, out: Path | None, dpi: float, device: str | None, travel: bool, page: int, as_json: bool
) -> None:
    """A picture of what a file will really draw: .plt, .dxf, .pdf or .svg, read from the file itself.

    \b
    Example:
      oaktag preview alto-3/pattern.plt -o plot.png --for roll-914 --travel
      oaktag preview alto-3/pattern-a4.pdf --page 3
    """
    profile = find_device(device, beside=Path()) if device else None
    pens: tuple[int, ...] = ()
    notes: tuple[str, ...] = ()
    if file.suffix.lower() == ".pdf" and file.is_file():
        told = draw_pdf(file, page, dpi)
    else:
        picture = read_picture(file, profile)
        pens, notes = picture.pens, picture.notes
        try:
            told = draw(picture, dpi, travel=travel)
        except InputError as error:
            raise InputError(error.found, where=Where(str(file)), expected=error.expected) from None
    place = out if out is not None else file.with_name(file.name + ".png")
    write_all(place.parent, {place.name: told.png})
    if told.dpi < dpi - 1e-9:
        notes = (*notes, f"the picture would be too large at {dpi:g} dpi, so it has {told.dpi:.1f}")
    if told.beyond:
        notes = (*notes, f"{told.beyond} lines leave what {device} can reach; they are red")
    if as_json:
        answer = {
            "picture": str(place), "dpi": told.dpi, "width": told.width, "height": told.height, "lines": told.lines,
            "points": told.points, "pens": pens, "down": told.down, "up": told.up, "beyond": told.beyond,
        }  # fmt: skip
        click.echo(json.dumps(answer))
        return
    for note in notes:
        click.echo(f"note    {note}", err=True)
    said = f"{told.width:.1f} by {told.height:.1f} mm"
    if told.lines:
        said += f", {told.lines:,} lines of {told.points:,} points, {told.down / 1000:.2f} m"
    if pens:
        said += f", {told.up / 1000:.2f} m with the pen up, pen {', '.join(map(str, pens))}"
    click.echo(said)
    click.echo(f"wrote {place}")
