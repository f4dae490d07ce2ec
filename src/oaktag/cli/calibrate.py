"""`oaktag calibrate`."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from ..device.correction import SQUARE, Calibration, Doubt, Reading, calibrated, doubt
from ..device.store import find_device, forget_correction, keep_correction, kept_readings
from ..errors import InputError
from ..units import parse_length
from .options import as_json


@click.command("calibrate")
@click.argument("device")
@click.option("--across", help="the side of the 100 mm square across the paper, as printed; mm unless it has a unit")
@click.option("--along", help="its side along the way of the paper")
@click.option("--diagonals", nargs=2, help="its two diagonals; the first rises to the right")
@click.option("--on-top", is_flag=True, help="take the reading on top of the correction although it is doubted")
@click.option("--forget", is_flag=True, help="remove the correction")
@click.option("--dry-run", is_flag=True, help="tell the correction and keep nothing")
@as_json()
def command(
    device: str,
    across: str | None,
    along: str | None,
    diagonals: tuple[str, str] | None,
    on_top: bool,
    forget: bool,
    dry_run: bool,
    as_json: bool,
) -> None:
    """Turn four lengths measured on a printed scale block into the device's correction.

    Measure the 100 mm square with a steel rule, to 0.1 mm: its side across the paper, its side along the way of the
    paper, and both diagonals, first the one that rises to the right when the paper's start is at the bottom. From then
    on every sheet for this device is corrected, and says so. A print that was made with the correction is measured in
    the same way, and its reading taken on top.

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
    both = None if diagonals is None else (_length(diagonals[0], "--diagonals"), _length(diagonals[1], "--diagonals"))
    reading = Reading(_length(across, "--across"), _length(along, "--along"), both)
    found = calibrated(reading.across, reading.along, reading.diagonals)
    before = kept_readings(profile.name)
    doubted = doubt(reading, before, device)
    if doubted is not None and not on_top and not dry_run:
        _ask(doubted, as_json=as_json)
    correction = profile.correction.after(found.correction)
    words = f"measured {reading.words()} on {SQUARE:g} mm"
    warnings = [*found.warnings] + ([doubted.found] if doubted is not None else [])
    place = None
    if not dry_run:
        place = keep_correction(profile.name, correction, words, readings=(*before, reading))
    if as_json:
        answer = {
            "device": profile.name,
            "correction": correction.matrix,
            "misfit": found.misfit,
            "warnings": warnings,
            "kept": str(place) if place else None,
        }
        click.echo(json.dumps(answer))
        return
    click.echo(f"{profile.name}: {correction.words()}")
    if both is not None:
        click.echo(f"the four lengths agree within {found.misfit:.2f} mm")
        _tell_lean(reading, found)
    for warning in warnings:
        click.echo(f"warning {warning}")
    if place is not None:
        click.echo(f"kept in {place}")
        click.echo("Print the scale block again and measure it: 100.0 mm each way, 141.4 mm from corner to corner.")


def _ask(doubted: Doubt, *, as_json: bool) -> None:
    """On a terminal whether it is meant; else it is refused, with what to type."""
    error = InputError(
        doubted.found, expected=doubted.expected,
        instead=f"{doubted.instead}. If the reading is right as it is, add --on-top",
    )  # fmt: skip
    if as_json or not sys.stdin.isatty():
        raise error
    click.echo(f"{doubted.found}; expected {doubted.expected}. {doubted.instead}.", err=True)
    click.confirm("Take it on top of the correction all the same?", abort=True, err=True)


def _tell_lean(reading: Reading, found: Calibration) -> None:
    """What only a look can tell: which way the square leans."""
    lean = -found.correction.xy / found.correction.xx / found.correction.yy * SQUARE
    if abs(lean) < 0.2:  # less than a rule shows for certain
        return
    click.echo(
        f"by the diagonals the square leans {abs(lean):.1f} mm to the {'right' if lean > 0 else 'left'} on "
        f"{SQUARE:g} mm, seen with the start of the paper at the bottom. Exchanged diagonals would say the opposite, "
        "and the numbers cannot tell: look with a set square. If on the next print the diagonals differ by about "
        f"{2 * abs(reading.unlike):.1f} mm in place of nothing, they were exchanged."
    )


def _length(text: str, option: str) -> float:
    try:
        return parse_length(text, "mm")
    except InputError as error:
        raise InputError(f"{option}: {error.found}", expected=error.expected, instead=error.instead) from None
