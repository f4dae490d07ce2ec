"""The command line: a module a verb; parse, call, print. `--help` imports nothing but click."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from importlib import import_module
from typing import Final

import click

COMMANDS: Final = {
    "init": "write a commented job file to start from",
    "garments": "list the garments that can be drafted",
    "garment": "one garment's measurements and style options",
    "trust": "trust a folder whose garment files may be run; list those folders",
    "sizes": "size charts: print and check one, propose one from measured people, say whom it serves",
    "book": "the measurement book: clients, their measurements over time, what was made for them",
    "make": "the main job: draft, check, write every file",
    "batch": "make many orders at once, here or on a cluster; go on where it was stopped",
    "lay": "lay the pieces on cloth: how much to buy, and the picture to cut by",
    "roll": "one roll of paper for many orders: packed, each piece with its order and a code",
    "project": "the projection page, true to size on the cutting table",
    "finish": "finish a pattern that was drawn elsewhere: SVG, DXF",
    "check": "the checks alone",
    "steps": "the worked steps of the draft, with this body's numbers",
    "devices": "list the plotters, cutters and printers, or explain one",
    "preview": "a picture of what a file will really draw",
    "send": "stream a plot to a plotter or cutter",
    "stretch-card": "a card to print that reads how far knit cloth stretches",
    "calibrate": "turn four lengths measured on a printed scale block into a device's correction",
    "fitting": "faults of fit: what is seen, how it is pinned, what to write in the job",
    "compare": "lay a new pattern on the old one: what changed, what cut cloth can still take",
    "verify": "read written files back, prove their scale and geometry",
}
"""Every verb and its line of help, so that the list costs no import."""


def command_of(verb: str) -> click.Command:
    """A verb's command; its module, of the same name with underscores, is imported. ImportError if there is none."""
    command: click.Command = import_module(f"oaktag.cli.{verb.replace('-', '_')}").command
    return command


class Verbs(click.Group):
    """Imports a verb's module when the verb is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            from difflib import get_close_matches

            near = get_close_matches(cmd_name, COMMANDS, n=1)
            ctx.fail(
                f"there is no command {cmd_name!r}. " + (f"Write oaktag {near[0]}." if near else "See oaktag --help.")
            )
        return command_of(cmd_name)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


def _version(ctx: click.Context, param: click.Parameter, value: bool) -> None:
    if value and not ctx.resilient_parsing:
        from importlib.metadata import version

        click.echo(f"oaktag {version('oaktag')}")
        ctx.exit()


@click.group(cls=Verbs, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.option("--version", is_flag=True, is_eager=True, expose_value=False, callback=_version, help="print the version")
def verbs() -> None:
    """Measurements in; checked, full-scale sewing patterns out.

    \b
    Example:
      oaktag init dress.toml       then write your measurements into it
      oaktag make dress.toml       writes the pattern files
    """


def run() -> int:
    """Run a verb; every foreseen mistake is told on stderr; returns the exit code of `errors`.

    KeyboardInterrupt, OSError and what nobody foresaw are left to the door (`__main__`).
    """
    import gc

    from ..errors import OaktagError

    gc.disable()  # a run ends within seconds and makes few cycles: looking for them takes a third of a size set's time
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    if "_OAKTAG_COMPLETE" in os.environ:  # a shell asks what could come next; to odd questions there is no answer
        with suppress(click.ClickException, KeyError, ValueError):
            verbs.main(prog_name="oaktag")
        return 0
    try:
        with verbs.make_context("oaktag", sys.argv[1:]) as context:
            verbs.invoke(context)
    except click.exceptions.Exit as end:
        return end.exit_code
    except OaktagError as error:
        return _told(partial(click.echo, str(error), err=True), error.exit_code)
    except click.ClickException as error:
        return _told(error.show, error.exit_code)
    except click.Abort:  # Ctrl-C where a question was asked
        raise KeyboardInterrupt from None
    return 0


def _told(tell: Callable[[], object], code: int) -> int:
    """The mistake is told if anybody can be told, and its code stands in any case."""
    with suppress(OSError):
        tell()
    return code
