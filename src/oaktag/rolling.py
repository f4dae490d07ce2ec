"""The line from made folders to one roll and its files; and from a roll to the plots that are wanted again.

folders -> orders -> pieces with their codes -> packed lengths -> sheets -> files, roll.json last.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TypeAlias

from .errors import InputError, Where
from .formats import Format, asked_for, taken_by
from .lay.words import Search
from .laying import rendered
from .rolls import file
from .rolls.orders import Order, read_orders
from .rolls.pack import Paper, head_room, kept_lengths, least_length, lengths_of
from .rolls.pieces import RollPiece, roll_pieces
from .units import Unit
from .values import dataclass, replace

if TYPE_CHECKING:
    from .device.profile import DeviceProfile
    from .export.hpgl import Plot
    from .lay.placed import Lay
    from .sheet.strokes import Figure, Sheet

Told: TypeAlias = "Callable[[float, Lay], None]"
USUAL: Final = ("pdf", "svg")
"""Written beside what the device takes."""
_MARGIN: Final = 5.0
_LONG_PAGE: Final = 5080.0


@dataclass(frozen=True, slots=True)
class Rolled:
    """A roll with its files by name, what there is to say of it, and the least that its pieces could need, mm."""

    roll: file.Roll
    files: Mapping[str, bytes]
    notes: tuple[str, ...]
    least: float
    unit: Unit

    @property
    def long(self) -> float:
        """Of paper in all, mm."""
        return sum(length.long for length in self.roll.lengths)


def roll_orders(
    folders: Sequence[Path],
    device: DeviceProfile,
    *,
    sizes: Sequence[str] = (),
    by_order: bool = False,
    gap: float,
    search: Search,
    forms: Sequence[str] = (),
    one_page: bool = True,
    told: Told | None = None,
) -> Rolled:
    """The pieces of all folders on one roll of the device, packed within the time.

    Raises InputError (InputErrors for several) for folders that cannot be read, and then nothing is made; for a device
    that has sheets, and where a piece fits on no length.
    """
    rows = _forms(forms, device)
    orders = read_orders(folders, sizes)
    _refuse_sheets(device)
    paper = _paper(device, gap, orders)
    pieces = roll_pieces(orders, paper.room)
    title = f"roll of {_counted(len(orders), 'order')}, {_counted(len(pieces), 'piece')}"
    head = _head(title, orders, device, paper)
    lengths = lengths_of(pieces, paper, search, head, by_order=by_order, told=told)
    roll = file.Roll(title, orders, device.name, paper, by_order, lengths, len(pieces))
    return _written(roll, device, rows, one_page, least_length(pieces, paper))


def plot_again(
    folder: Path,
    device: DeviceProfile | None,
    *,
    begin: int | None = None,
    wanted: Sequence[str] = (),
    search: Search,
    forms: Sequence[str] = (),
    one_page: bool = True,
    told: Told | None = None,
) -> Rolled:
    """Of a roll that was made: from piece `begin` of its cut list to its end, as they lay; or what is `wanted`: orders
    (`alto-3`), pieces of them (`alto-3/front`) or numbers, packed anew. Numbers and codes stay.

    Raises InputError for a device with another width of paper, and for what the roll has none of.
    """
    kept = file.read(folder)
    roll = kept.roll
    device = device if device is not None else _found(roll.device, folder)
    rows = _forms(forms, device)
    _refuse_sheets(device)
    paper = replace(_paper(device, roll.paper.gap, roll.orders))
    if begin is not None and paper.across < roll.paper.across - 1e-6:
        raise InputError(
            f"the roll is for paper on which {roll.paper.across:.0f} mm across can be drawn, and {device.name} draws "
            f"{paper.across:.0f} mm", expected="a device that is as wide", instead=f"Leave --device {device.name} out",
        )  # fmt: skip
    if begin is not None:
        order = [put.number for _, put in roll.puts]
        if begin not in order:
            raise InputError(
                f"--from {begin}: there is no such piece", expected=f"a number of its cut list: {_numbers(order)}"
            )
        gone = set(order[: order.index(begin)])
        groups = [[put for put in length.puts if put.number not in gone] for length in roll.lengths]
        own = replace(paper, across=max(paper.across, roll.paper.across))
        title = f"{roll.title}: from piece {begin} on"
        lengths = kept_lengths(groups, own, _head(title, roll.orders, device, own))
    else:
        chosen = _chosen(kept, wanted)
        own = paper
        title = f"{roll.title}: {', '.join(wanted)} again"
        numbers = {piece.key: number for number, piece in chosen.items()}
        packed = lengths_of(
            list(chosen.values()), own, search, _head(title, roll.orders, device, own), by_order=False, told=told
        )
        lengths = tuple(
            replace(one, puts=tuple(replace(put, number=numbers[put.piece.key]) for put in one.puts)) for one in packed
        )
    pieces = [put.piece for length in lengths for put in length.puts]
    new = replace(roll, title=title, device=device.name, paper=own, lengths=lengths)
    return _written(new, device, rows, one_page, least_length(pieces, own))


def refuse_another(folder: Path, rolled: file.Roll, *, replace_it: bool) -> tuple[Path, ...]:
    """The files of an earlier roll in the folder, which go when this one is written; InputError where it is of other
    orders, unless it may be replaced."""
    path = folder / file.NAME
    if not path.is_file():
        return ()
    try:
        data = json.loads(path.read_bytes())
        held = [str(row["order"]) for row in data["orders"]]
        names = [str(row["file"]) for row in data.get("files", ())]
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        held, names = [], []
    if held != [order.name for order in rolled.orders] and not replace_it:
        raise InputError(
            f"the folder holds a roll of {', '.join(held) or 'others'}", where=Where(str(folder)),
            expected="a folder of its own for each roll",
            instead="Name another folder with -o, or add --replace to write over it",
        )  # fmt: skip
    plain = [name for name in names if all(part not in ("", ".", "..") for part in name.split("/"))]
    return tuple(folder / name for name in plain if name.count("/") <= 1 and "\\" not in name)


def _found(name: str, folder: Path) -> DeviceProfile:
    from .device.store import find_device

    try:
        return find_device(name)
    except InputError as error:
        raise InputError(
            f"the roll is for {name}, which is not known here", where=Where(str(folder)), expected="a device",
            instead="Name it with --device: a name, or its TOML file",
        ) from error  # fmt: skip


def _numbers(order: Sequence[int]) -> str:
    """`1 to 86`; or all of a few that do not follow one another."""
    if sorted(order) == list(range(min(order), max(order) + 1)):
        return f"{min(order)} to {max(order)}"
    return ", ".join(map(str, order))


def _counted(count: int, word: str) -> str:
    return f"{count} {word}{'s' * (count != 1)}"


def _forms(forms: Sequence[str], device: DeviceProfile) -> tuple[Format, ...]:
    """The formats that are written: those asked for, else what the device takes and pages."""
    own = taken_by(device.language)
    wanted = tuple(forms) or tuple(dict.fromkeys((own.word, *USUAL)))
    rows = asked_for(wanted)
    for row in rows:
        if row.device and row.only_those and device.language not in row.languages:
            raise InputError(
                f"{device.name} takes no {row.word}", expected=f'"{own.word}"', instead=f"Write --as {own.word}"
            )
    return rows


def _refuse_sheets(device: DeviceProfile) -> None:
    from .device.profile import usable_length

    if device.length is not None or usable_length(device) < 1000.0:
        found = (
            f"{device.name} has sheets"
            if device.length is not None
            else (f"{device.name} draws {usable_length(device):.0f} mm at once")
        )
        raise InputError(
            found, expected="a device with a roll, of which a metre and more is drawn at once",
            instead="Name one with --device, such as roll-914; oaktag devices lists them",
        )  # fmt: skip


def _paper(device: DeviceProfile, gap: float, orders: Sequence[Order]) -> Paper:
    """What of the device's paper can be used, with room for what its correction adds."""
    from .device.profile import usable_length, usable_width
    from .lay.bound import least_by_area

    across, most = usable_width(device), usable_length(device)
    if device.correction.identity:
        return Paper(across, most, gap)
    rough = Paper(across, most, gap)
    pieces = [piece.lay_piece() for piece in roll_pieces(orders, rough.room)]
    long = min(most, 1.5 * least_by_area(pieces, rough.cloth()))
    left, bottom, right, top = device.correction.bounds(across, long)
    return Paper(across - max(0.0, right - left - across), most - max(0.0, top - bottom - long), gap)


def _head(title: str, orders: Sequence[Order], device: DeviceProfile, paper: Paper) -> Figure:
    from .rolls.sheet import head_of

    names = ", ".join(order.name for order in orders)
    return head_of(f"Oaktag: {title}", [f"orders: {names}", f"for {device.name}"], device, head_room(paper))


def _chosen(kept: file.Kept, wanted: Sequence[str]) -> dict[int, RollPiece]:
    """The pieces that are wanted, by number, in the order of the cut list."""
    numbers: set[int] = set()
    for word in wanted:
        found = [number for number, piece in kept.pieces.items() if _is_meant(word, number, piece)]
        if not found:
            orders = ", ".join(dict.fromkeys(piece.order for piece in kept.pieces.values()))
            raise InputError(
                f"--again {word}: the roll has no such order or piece",
                expected=f"an order ({orders}), ORDER/PIECE, or a number up to {max(kept.pieces)}",
            )  # fmt: skip
        numbers.update(found)
    return {number: kept.pieces[number] for number in sorted(numbers)}


def _is_meant(word: str, number: int, piece: RollPiece) -> bool:
    order, sign, name = word.partition("/")
    if sign:
        same = "_".join(name.split()) == piece.name
        sized = f"{piece.name}/{piece.size}" == name
        return order == piece.order and (same or sized)
    return word == piece.order or (word.isdecimal() and word.isascii() and int(word) == number)


# --------------------------------------------------------------------------------------------------------------- files


def _written(roll: file.Roll, device: DeviceProfile, rows: Sequence[Format], one_page: bool, least: float) -> Rolled:
    """Every file of the roll. What every length is drawn in is named by its number where there are several."""
    from .export.pattern_json import plot_row, sent_row
    from .rolls import cut_list, page
    from .rolls.sheet import sheet_of
    from .writing import left_out_by, plot_words, sent_words, way_of_pen

    unit: Unit = next((order.unit for order in roll.orders if order.unit), "cm")
    files: dict[str, bytes] = {}
    told: list[dict[str, object]] = []
    plots: list[Any] = []
    notes: list[str] = []
    several = len(roll.lengths) > 1
    for number, length in enumerate(roll.lengths, start=1):
        stem = f"roll-{number}" if several else "roll"
        title = roll.title + (f", plot {number} of {len(roll.lengths)}" if several else "")
        names: list[dict[str, object]] = []
        for row in rows:
            sheet = sheet_of(length, title, "filled" if row.word in ("pdf", "svg") else "pen")
            name = stem + row.lay.removeprefix("-roll")
            made = _made(row, sheet, device, unit, one_page)
            files[name] = made if isinstance(made, bytes) else made.data
            names.append({"file": name, "format": row.word})
            if not isinstance(made, bytes):
                plots.append(json.loads(plot_row(plot_words(name, made, device))))
                notes.append(way_of_pen(name, made))
            if row.device:
                sent = sent_words(device, plotted=not isinstance(made, bytes))
                names[-1]["sent"] = json.loads(sent_row(sent))
                if left_out := left_out_by(device, codes=True):
                    names[-1]["left_out"] = list(left_out)
        told.append({"width": round(length.width, 4), "long": round(length.long, 4), "files": names})
    notes += _notes(roll, device, rows, one_page)
    cuts = cut_list.rows_of(roll, device.frame)
    files["roll-cuts.csv"] = cut_list.as_csv(cuts)
    listed = (*files, "roll.html", file.NAME)
    files["roll.html"] = page.render(roll, cuts, device, unit, listed, notes)
    files |= file.copies_of(roll.orders)
    files[file.NAME] = file.render(roll, told, plots)
    return Rolled(roll, file.with_sums(files), tuple(notes), least, unit)


def _made(row: Format, sheet: Sheet, device: DeviceProfile, unit: Unit, one_page: bool) -> bytes | Plot:
    if row.word == "hpgl":
        from .export.hpgl import plot

        return plot(sheet, device, in_order=True)
    known = {"device": device, "unit": unit, "margin": _MARGIN, "one_page": one_page, "start": "lay"}
    made: bytes | Plot = rendered(row, sheet, known)
    return made


def _notes(roll: file.Roll, device: DeviceProfile, rows: Sequence[Format], one_page: bool) -> list[str]:
    """What there is to say: corrections, long pages, pieces in parts, codes beside their pieces."""
    puts = [put for _, put in roll.puts]
    notes: list[str] = []
    if not device.correction.identity:
        notes.append(f"corrected for {device.name}: {device.correction.words()}.")
    longest = max(length.long for length in roll.lengths) + 2 * _MARGIN
    if one_page and longest > _LONG_PAGE and any(row.word == "pdf" for row in rows):
        notes.append(
            "the PDF is one page of more than 5,080 mm, in a larger unit that some printers overlook: measure its "
            "scale blocks before you pay, or add --split for pages of at most 5 m."
        )
    if not device.pen("code") and any(row.device for row in rows):
        notes.append(f"{device.name} has no pen for codes: they are only in PDF and SVG.")
    parted = dict.fromkeys(f"{put.piece.order} {put.piece.name}" for put in puts if put.piece.parts > 1)
    if parted:
        notes.append(f"wider than the paper, so in parts that are joined along marked lines: {', '.join(parted)}.")
    beside = [f"{put.number}" for put in puts if put.piece.tag.place == "beside"]
    if beside:
        notes.append(f"too small for a code, which stands beside them with a line to them: {', '.join(beside)}.")
    return notes
