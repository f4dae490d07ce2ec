"""`oaktag roll`."""

from __future__ import annotations

import json
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from ..errors import InputError, Where
from ..formats import words_of
from ..lay.words import Search
from ..progress import Progress
from .kinds import Whole
from .lay import search_options
from .options import Target, as_json, sizes, target, together

if TYPE_CHECKING:
    from ..lay.placed import Lay
    from ..rolling import Rolled

FORMS: Final = tuple(word for word in words_of(lay=True) if word != "project")
_MOST_GAP: Final = 50.0


@click.command("roll")
@click.argument("folders", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="FOLDER…")
@click.option("--device", "named", metavar="NAME", help="the plotter or cutter: a name, or a TOML file  [roll-914]")
@click.option(
    "--by",
    type=click.Choice(("free", "order")),
    default="free",
    show_default=True,
    help="order: each order's pieces together, in the order of the folders",
)
@click.option("--gap", metavar="LENGTH", help="between pieces  [5 mm]")
@sizes("of sets only this size")
@together("search", Search, *search_options("of search, in all"))
@click.option(
    "--as",
    "forms",
    multiple=True,
    type=click.Choice(FORMS),
    help="write the roll as this; may be repeated  [what the device takes, pdf, svg]",
)
@click.option("--split", is_flag=True, help="the PDF in pages of at most 5 m instead of one long page")
@click.option(
    "--from",
    "begin",
    type=Whole(1, 1_000_000),
    metavar="NUMBER",
    help="after a jam: of a roll that was made, this piece of its cut list and all after it",
)
@click.option(
    "--again",
    multiple=True,
    metavar="WHAT",
    help="of a roll that was made, this once more: ORDER, ORDER/PIECE or a number; may be repeated",
)
@target("roll", "roll")
@as_json()
def command(
    folders: tuple[Path, ...],
    named: str | None,
    by: str,
    gap: str | None,
    sizes: tuple[str, ...],
    search: Search,
    forms: tuple[str, ...],
    split: bool,
    begin: int | None,
    again: tuple[str, ...],
    target: Target,
    as_json: bool,
) -> None:
    """One roll of paper for many orders: the pieces of all FOLDERs that oaktag make has written, packed, each with its
    order's name, its place in the cut list and a code.

    Writes roll.plt (or what the device takes), roll.pdf, roll.svg, roll.html and roll-cuts.csv with the cut list, and
    roll.json. Keep the folder: with --from or --again, FOLDER is the folder of a roll, and what is wanted again is
    plotted with the same numbers. Ctrl-C ends the search with the best so far.

    \b
    Example:
      oaktag roll alto-3-pattern conductor-pattern soloist-pattern --device roll-914 -o monday
      oaktag roll monday --from 7
      oaktag roll monday --again alto-3/front --again 12
    """  # fmt: skip
    from ..device.store import find_device
    from ..export.files import write_all
    from ..rolling import plot_again, refuse_another, roll_orders
    from ..rolls.file import is_roll
    from ..rolls.pack import GAP
    from ..units import parse_length

    device = find_device(named or "roll-914") if named or not (begin or again) else None
    if begin is not None and again:
        raise InputError("--from and --again are both given", expected="one of them")
    for folder in folders:
        if not (begin or again) and is_roll(folder):
            raise InputError(
                "it is a roll already", where=Where(str(folder)), expected="folders that oaktag make has written",
                instead="Add --from NUMBER or --again ORDER to plot of it what is wanted again",
            )  # fmt: skip
    with Progress() as progress:
        told = partial(_tell, progress, search.seconds)
        if begin is not None or again:
            idle = [word for word, given in (("--gap", gap), ("--size", sizes), ("--by order", by == "order")) if given]
            if idle:
                raise InputError(f"{idle[0]}: the roll is made", expected="--from or --again alone")
            rolled = plot_again(
                _one(folders, begin, again), device, begin=begin, wanted=again, search=search, forms=forms,
                one_page=not split, told=told,
            )  # fmt: skip
        else:
            assert device is not None
            room = GAP if gap is None else parse_length(gap, "mm", Where("--gap"))
            if not 0 <= room <= _MOST_GAP:
                raise InputError(f"--gap {gap} is out of range", expected="0 to 50 mm")
            rolled = roll_orders(
                folders, device, sizes=sizes, by_order=by == "order", gap=room, search=search, forms=forms,
                one_page=not split, told=told,
            )  # fmt: skip
        place = target.folder if target.folder is not None else _usual(folders, begin, again)
        if (begin is not None or again) and place.resolve() == folders[0].resolve():
            raise InputError(
                "the roll itself lies there", where=Where(str(place)), expected="another folder, so that it is kept",
                instead="Name another folder with -o, or leave -o out",
            )  # fmt: skip
        old = refuse_another(place, rolled.roll, replace_it=target.replace)
        progress("writing the roll", 0, 0)
        written = write_all(place, rolled.files)
    for path in old:
        if path not in written and path.is_file():
            path.unlink()
    if as_json:
        click.echo(json.dumps({**_row(rolled), "written": [str(path) for path in written]}))
        return
    for note in rolled.notes:
        click.echo(f"note    {note}")
    click.echo(_words(rolled))
    for path in written:
        click.echo(f"wrote {path}")


def _one(folders: tuple[Path, ...], begin: int | None, again: tuple[str, ...]) -> Path:
    """The folder of the roll. Raises InputError where there is no roll, or more than one folder."""
    from ..rolls.file import is_roll

    option = f"--from {begin}" if begin is not None else f"--again {again[0]}"
    if len(folders) != 1 or not is_roll(folders[0]):
        found = f"{len(folders)} folders are named" if len(folders) != 1 else "there is no roll.json in it"
        raise InputError(
            found, where=Where(str(folders[0])), expected=f"with {option} the one folder that oaktag roll has written",
            instead=f"Write oaktag roll ROLL {option}",
        )  # fmt: skip
    return folders[0]


def _usual(folders: tuple[Path, ...], begin: int | None, again: tuple[str, ...]) -> Path:
    """Where the files go if nothing is said: beside the roll that they are of."""
    if begin is not None:
        return folders[0].with_name(f"{folders[0].resolve().name}-from-{begin}")
    if again:
        return folders[0].with_name(f"{folders[0].resolve().name}-again")
    return Path("roll")


def _tell(progress: Progress, most: float, seconds: float, lay: Lay) -> None:
    """Every better packing."""
    progress(f"packing: {lay.length / 1000:.2f} m, found after {seconds:.0f} of {most:.0f} s", 0, 0)


def _words(rolled: Rolled) -> str:
    """What was put on how much paper."""
    from ..lay.words import tape_words

    roll, unit = rolled.roll, rolled.unit
    count = len(roll.puts)
    whole = "" if count == roll.of else f" of {roll.of}"
    plots = f" in {len(roll.lengths)} plots" if len(roll.lengths) > 1 else ""
    orders = len({put.piece.order for _, put in roll.puts})
    return (
        f"{count}{whole} pieces of {orders} order{'s' * (orders != 1)} on {tape_words(rolled.long, unit)} of paper"
        f"{plots}; by their area they need {tape_words(rolled.least, unit)} at the least"
    )


def _row(rolled: Rolled) -> dict[str, object]:
    roll = rolled.roll
    return {
        "device": roll.device, "pieces": len(roll.puts), "of": roll.of, "orders": [order.name for order in roll.orders],
        "lengths": [length.long for length in roll.lengths], "least": rolled.least,
        "beside": [put.number for _, put in roll.puts if put.piece.tag.place == "beside"], "notes": list(rolled.notes),
    }  # fmt: skip
