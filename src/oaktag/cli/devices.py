"""`oaktag devices`."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path

import click

from ..device.profile import LANGUAGES, PLOTTED, DeviceProfile, usable_length, usable_width
from ..device.store import device_names, find_device, folder, own_names
from .options import as_json
from .show import table


@click.command("devices")
@click.argument("name", required=False)
@as_json()
def command(name: str | None, as_json: bool) -> None:
    """List the plotters, cutters and printers that a job can name, or explain one.

    \b
    Example:
      oaktag devices
      oaktag devices knife-600
      oaktag devices ./my-plotter.toml

    A profile of your own is a TOML file beside the job, or in the folder that is named below the list.
    """
    if name is not None:
        profile = find_device(name, beside=Path())
        if as_json:
            click.echo(json.dumps(asdict(profile), ensure_ascii=False))
            return
        click.echo(f"{profile.name}: {profile.words}")
        table([(f"  {key}", value) for key, value in facts(profile)])
        for caution in profile.cautions:
            click.echo(f"caution {caution}")
        return
    profiles = [find_device(each) for each in device_names()]
    if as_json:
        click.echo(json.dumps([asdict(profile) for profile in profiles], ensure_ascii=False))
        return
    own = own_names()
    table([(p.name, p.words + (" (your own)" if p.name in own else "")) for p in profiles])
    click.echo(f"your own lie in {folder()}")


def facts(profile: DeviceProfile) -> list[tuple[str, str]]:
    """What there is to know of a device: names and words."""
    long = "endless" if profile.length is None else f"{profile.length:g} mm"
    rows = [
        ("takes", LANGUAGES[profile.language]),
        ("paper", f"{profile.width:g} mm across, {long} along"),
        ("drawings", f"up to {usable_width(profile):.1f} mm across and {usable_length(profile):.0f} mm along"),
        ("margins", f"{profile.side:g} mm at the sides, {profile.start:g} mm at the start, {profile.end:g} at the end"),
    ]
    if profile.language in PLOTTED:
        low, high = (
            ("0", f"{profile.most:,}") if profile.origin == "corner" else (f"{profile.least:,}", f"{profile.most:,}")
        )
        rows += [
            ("unit", f"{profile.unit:g} mm, coordinates from {low} to {high}"),
            ("origin", "a corner" if profile.origin == "corner" else "the middle of the sheet"),
            ("axes", "X along the paper" if profile.axis == "along" else "X across the paper"),
            ("pens", _pens(profile)),
        ]
        if profile.frame is not None:
            rows.append(("frames", f"{profile.frame:g} mm long, then {profile.frame_advance}"))
        for key, values, unit in (("speed", profile.speed, "cm a second"), ("force", profile.force, "")):
            if values:
                told = ", ".join(f"{value:g}" if pen == 0 else f"pen {pen} {value:g}" for pen, value in values.items())
                rows.append((key, f"{told} {unit}".strip()))
        link = profile.link
        rows.append(("line", f"{link.baud} baud, {link.bits} bits, flow {link.flow}, buffer {link.buffer:,} bytes"))
        if link.at:
            rows.append(("found at", link.at))
    if profile.blade is not None:
        blade = profile.blade
        tabs = f", {blade.tabs} tabs of {blade.tab_width:g} mm" if blade.tabs else ""
        turned = f"turned in place at corners above {blade.swivel_deg:g}°"
        rows.append(("knife", f"tip {blade.offset:g} mm behind the axis, overcut {blade.overcut:g} mm, {turned}{tabs}"))
    if profile.laser is not None:
        rows.append(("kerf", f"{profile.laser.kerf:g} mm"))
    corrected = profile.correction.words() if not profile.correction.identity else "none: see oaktag calibrate"
    rows.append(("correction", corrected))
    return rows


def _pens(profile: DeviceProfile) -> str:
    by_pen: dict[int, list[str]] = {}
    for role, pen in profile.pens.items():
        by_pen.setdefault(pen, []).append(role)
    told = [f"{pen}: {', '.join(roles)}" if pen else f"not drawn: {', '.join(roles)}" for pen, roles in by_pen.items()]
    return "; ".join([*told, "1: all else"] if told else ["1: all"])
