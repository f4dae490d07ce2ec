"""`oaktag calibrate`."""

from __future__ import annotations

import json
from pathlib import Path

import click

from ..device.correction import SQUARE, calibrated
from ..device.store import find_device, forget_correction, keep_correction
from ..errors import InputError
from ..units import parse_length


@click.command("calibrate")
@click.argument("device")
@click.option("--across", help="the side of the 100 mm square across the paper, as printed; mm unless it has a unit")
@click.option("--along", help="its side along the way of the paper")
@click.option("--diagonals", nargs=2, help="its two diagonals; the first rises to the right")
@click.option("--forget", is_flag=True, help="remove the correction")
@click.option("--dry-run", is_flag=True, help="tell the correction and keep nothing")
@click.option("--json", "as_json", is_flag=True, help="print the answer as JSON")
def command(
    device: str,
    across: str | None,
    along: str | None,
    diagonals: tuple[str, str] | None,
    forget: bool,
    dry_run: bool,
    as_json: bool,
) -> None:
    """Turn four lengths measured on a printed scale block into the device's correction.

    Measure the 100 mm square with a steel rule, to 0.1 mm: its side across the paper, its side along the way of the
    paper, and both diagonals, first the one that rises to the right when the paper's start is at the bottom. From then
    on every sheet for this device is corrected, and says so.

    \b
    Example:
      oaktag calibrate roll-914 --across 99.6 --along 100.2 --diagonals 141.1 141.5
      oaktag calibrate home-printer --across 99.6 --along 99.7
      oaktag calibrate roll-914 --forget
    """
    profile = find_device(device, beside=Path())
    if forget:
        had = forget_correction(profile.name)
        click.echo(f"{profile.name} has no correction any more" if had else f"{profile.name} had no correction")
        return
    if across is None or along is None:
        raise InputError(
            "two lengths are needed at least",
            expected="--across and --along, and --diagonals if there may be skew",
            instead=f"Write oaktag calibrate {device} --across 99.6 --along 100.2 --diagonals 141.1 141.5",
        )
    told = _length(across, "--across"), _length(along, "--along")
    both = None if diagonals is None else (_length(diagonals[0], "--diagonals"), _length(diagonals[1], "--diagonals"))
    found = calibrated(*told, both)
    correction = profile.correction.after(found.correction)
    words = f"{told[0]:g} across, {told[1]:g} along" + (f", {both[0]:g} and {both[1]:g} diagonals" if both else "")
    place = None if dry_run else keep_correction(profile.name, correction, f"measured {words} on {SQUARE:g} mm")
    if as_json:
        answer = {
            "device": profile.name,
            "correction": correction.matrix,
            "misfit": found.misfit,
            "warnings": found.warnings,
            "kept": str(place) if place else None,
        }
        click.echo(json.dumps(answer))
        return
    click.echo(f"{profile.name}: {correction.words()}")
    if both is not None:
        click.echo(f"the four lengths agree within {found.misfit:.2f} mm")
    for warning in found.warnings:
        click.echo(f"warning {warning}")
    if place is not None:
        click.echo(f"kept in {place}")
        click.echo("Print the scale block again and measure it: 100.0 mm each way, 141.4 mm from corner to corner.")


def _length(text: str, option: str) -> float:
    try:
        return parse_length(text, "mm")
    except InputError as error:
        raise InputError(f"{option}: {error.found}", expected=error.expected, instead=error.instead) from None
