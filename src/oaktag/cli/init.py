"""`oaktag init`."""

from __future__ import annotations

from pathlib import Path

import click

from ..body.measurements import kinds_of
from ..body.whom import may_be, wearer_of
from ..draft.garment import GARMENT_NAMES, Garment
from ..draft.options import ChoiceOption, defaults
from ..errors import InputError, Where
from ..export.files import write_all
from ..job import KEYS
from ..outside.find import garment_named, name_in_job
from ..sheet.paper import usual_paper
from ..units import UNITS, Unit, rounded, show
from .kinds import Place


@click.command("init")
@click.argument("file", type=Place("dress.toml"))
@click.option(
    "--garment", "name", default=GARMENT_NAMES[0], show_default=True, help="what oaktag garments lists, or a file"
)
@click.option("--units", type=click.Choice(UNITS), default="in", show_default=True, help="unit of plain numbers")
@click.option("--force", is_flag=True, help="write over a file that is there")
def command(file: Path, name: str, units: Unit, force: bool) -> None:
    """Write a commented job file to start from.

    \b
    Example:
      oaktag init alto-3.toml --units cm
      oaktag init apron.toml --garment my_apron.py
    """
    if file.exists() and not force:
        raise InputError(
            "there is a file of this name",
            where=Where(str(file)),
            instead=f"Write another name, or oaktag init {file} --force to replace it",
        )
    garment = garment_named(name)
    text = job_text(garment, units, name_in_job(garment, name, file.parent))
    write_all(file.parent, {file.name: text.encode()})
    click.echo(f"wrote {file}; fill in the measurements, then run: oaktag make {file}")


def serves_instead(garment: Garment, name: str) -> str:
    """What is said of a measurement that may be taken instead of another."""
    return "".join(f" Serves instead of {needed}." for needed, other in garment.instead.items() if other == name)


def job_text(garment: Garment, units: Unit, name: str = "") -> str:
    """A job file with every key: the needed measurements to fill in, the rest commented out with their defaults.

    `name` is how the job calls the garment, where that is not by its own."""
    rows = KEYS["output"]
    examples = {row.name: row.example for row in rows.values() if row.example} | {"paper": f'"{usual_paper(units)}"'}
    needed = garment.needs(defaults(garment.options, units))
    edge = garment.edges[min(1, len(garment.edges) - 1)]
    lines = [
        "# A job for oaktag: measurements in, pattern out. Run: oaktag make THIS-FILE",
        "# For a set of sizes, a table [sizes] that names a chart stands in place of [measurements]: oaktag sizes",
        'title   = "my first dress"       # printed on every piece; no personal name is needed',
        f'garment = "{name or garment.name}"' + (f"         # for {garment.for_whom}" if garment.for_whom else ""),
        f'units   = "{units}"                     # of every plain number here; "104 cm" carries its own',
        "",
        '[measurements]                   # of the body, without ease; write "38", "30 1/2" or "104 cm"',
    ]
    wearers, kinds = may_be(garment.for_whom) if garment.for_whom else (), kinds_of(wearer_of(garment.for_whom))
    if len(wearers) > 1:
        others = " or ".join(f'"{wearer}"' for wearer in wearers[1:])
        entry = f'# wearer = "{wearers[0]}"'
        lines.append(f"{entry:<28} # or {others}: whose proportions stand for what is not taken")
    for m in garment.uses:
        mark = "" if m in needed else "# "
        entry = f'{mark}{m} = ""'
        lines.append(f"{entry:<28} # {kinds[m].how}{serves_instead(garment, m)}")
    lines += ["", "[style]                          # what is commented out is the default"]
    for option in garment.options:
        if isinstance(option, ChoiceOption):
            lines.append(f'# {option.name} = "{option.default}"   # {option.words}: {", ".join(option.choices)}')
        elif option.default is None:
            lines.append(f'# {option.name} = ""   # {option.words}; default: {option.usual_words(units)}')
        else:
            lines.append(f'# {option.name} = "{option.usual_words(units)}"   # {option.words}')
    lines += [
        "",
        f"[allowances]                     # by edge, or by piece and edge: {edge}, {garment.pieces[0]}.{edge}",
        f'# {edge} = "{show(rounded(38.1, units), units)}"',
        "",
        "[output]",
        *(f"{f'# {name} = {example}':<33} # {rows[name].words.replace('`', '')}" for name, example in examples.items()),
        "",
    ]
    return "\n".join(lines)
