"""`oaktag trust`."""

from __future__ import annotations

import json
from pathlib import Path

import click

from ..errors import InputError
from ..outside.trust import is_trusted, trust, trusted_folders, where_of, withdraw


@click.command("trust")
@click.argument("folder", required=False, type=click.Path(path_type=Path))
@click.option("--withdraw", "ends", is_flag=True, help="trust the folder no longer")
@click.option("--json", "as_json", is_flag=True, help="print the trusted folders as JSON")
def command(folder: Path | None, ends: bool, as_json: bool) -> None:
    """Trust a folder whose garment files may be run, or list those that are trusted.

    A garment file (garment = "my_skirt.py" in a job) is a program, and is run with all your rights: it can read, change
    and send whatever you can. Trust a folder only if you wrote what lies in it, or have read it. What is put there
    later is run as well; folders in it are not trusted with it.

    \b
    Example:
      oaktag trust garments
      oaktag trust                       lists them
      oaktag trust garments --withdraw
    """
    told = ""
    if folder is None:
        if ends:
            raise InputError("--withdraw: no folder is named", instead="Write oaktag trust FOLDER --withdraw")
    elif ends:
        if not withdraw(folder):
            raise InputError("this folder is not trusted", where=where_of(folder), expected="one that is listed",
                             instead="oaktag trust lists them")  # fmt: skip
        told = f"no longer trusted: {_shown(folder)}"
    else:
        real = trust(folder)
        files = sorted(entry.name for entry in real.glob("*.py"))
        told = f"trusted: {_shown(real)}\nmay be run now: {', '.join(map(_printable, files)) or 'nothing yet'}"
    listed = trusted_folders()
    if as_json:
        click.echo(json.dumps({"folders": listed}))
    elif told:
        click.echo(told)
    else:
        for one in listed:
            held = is_trusted(Path(one)) if Path(one).is_dir() else None
            why = {True: "", False: "   (everybody may write there: not run)", None: "   (is not there)"}[held]
            click.echo(f"{_printable(one)}{why}")
        if not listed:
            click.echo("no folder is trusted: no garment file is run")


def _shown(folder: Path) -> str:
    return _printable(str(folder))


def _printable(text: str) -> str:
    return "".join(c if c.isprintable() else "\ufffd" for c in text)
