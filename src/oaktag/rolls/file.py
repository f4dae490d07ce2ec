"""roll.json: where every piece of a roll lies, so that it is read back, and plotted again after a jam."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from hashlib import sha256
from pathlib import Path
from typing import Any, Final

from ..errors import InputError, Where
from ..geometry.affine import Move
from ..lay.pieces import Variant
from ..lay.placed import Placement
from ..units import UNITS
from ..values import dataclass
from .orders import Order, order_of
from .pack import Length, Paper, Put
from .pieces import RollPiece, roll_pieces

VERSION: Final = 1
NAME: Final = "roll.json"
COPIES: Final = "orders"
"""The folder beside roll.json where each order's pattern.json is kept, byte for byte."""
_LARGEST: Final = 200_000_000
_FARTHEST: Final = 1e6
_AGAIN: Final = "Make the roll again: oaktag roll FOLDER…"


@dataclass(frozen=True, slots=True)
class Roll:
    """A whole roll: of which orders, for which device, and its lengths. `of`: pieces in the cut list that it is of."""

    title: str
    orders: tuple[Order, ...]
    device: str
    paper: Paper
    by_order: bool
    lengths: tuple[Length, ...]
    of: int

    @property
    def puts(self) -> tuple[tuple[int, Put], ...]:
        """Every piece with the length that it lies on, from 1."""
        return tuple((n, put) for n, length in enumerate(self.lengths, start=1) for put in length.puts)


def copies_of(orders: Sequence[Order]) -> dict[str, bytes]:
    """The files that are kept of the orders."""
    return {f"{COPIES}/{order.name}.json": order.data for order in orders}


def render(roll: Roll, lengths: Sequence[Mapping[str, object]], plots: Sequence[Any] = ()) -> bytes:
    """Lengths in mm. `matrix` [xx, xy, yx, yy, dx, dy] takes pattern.json's coordinates to the roll; `cut_lines` lie
    there already; `code` has the text, the side of a module, and the matrix that takes its square there: with its lower
    left corner, without the quiet zone, at (0, 0). `lengths` and `plots` tell of the files."""
    data: dict[str, Any] = {
        "roll": VERSION,
        "unit": "mm",
        "title": roll.title,
        "device": roll.device,
        "across": roll.paper.across,
        "most": roll.paper.most,
        "gap": roll.paper.gap,
        "by": "order" if roll.by_order else "free",
        "of": roll.of,
        "orders": [
            {"order": o.name, "title": o.title, "pattern": f"{COPIES}/{o.name}.json", "sha256": o.digest,
             "sizes": list(o.nest.sizes), "units": o.unit}
            for o in roll.orders
        ],
        "lengths": list(lengths),
        "plots": list(plots),
        "pieces": [_piece(number, put) for number, put in roll.puts],
    }  # fmt: skip
    return (_dumped(data) + "\n").encode()


def with_sums(files: Mapping[str, bytes]) -> dict[str, bytes]:
    """The files, roll.json last with a list of the others by SHA-256 (FIPS 180-4)."""
    data = json.loads(files[NAME])
    others = {name: content for name, content in files.items() if name != NAME}
    data["files"] = [{"file": name, "sha256": sha256(content).hexdigest()} for name, content in sorted(others.items())]
    return {**others, NAME: (_dumped(data) + "\n").encode()}


def _dumped(data: Mapping[str, Any]) -> str:
    """A piece, an order, a plot and a file on one line each."""
    rows: list[str] = []
    shown: dict[str, Any] = {}
    for key, value in data.items():
        if isinstance(value, list):
            rows += [json.dumps(row, ensure_ascii=False, allow_nan=False) for row in value]
            shown[key] = [None] * len(value)
        else:
            shown[key] = value
    text = json.dumps(shown, indent=1, ensure_ascii=False, allow_nan=False)
    waiting = iter(rows)
    return re.sub(r"(?m)^( +)null(?=,?$)", lambda gap: gap[1] + next(waiting), text)


def _six(move: Move) -> list[float]:
    return [round(part, 6) for part in (move.xx, move.xy, move.yx, move.yy, move.dx, move.dy)]


def _piece(length: int, put: Put) -> dict[str, Any]:
    own, placed = put.piece, put.placed
    return {
        "number": put.number, "order": own.order, "piece": own.name, "title": own.words, "size": own.size,
        **({"part": own.part, "parts": own.parts} if own.parts > 1 else {}),
        "quantity": own.marked.cut.piece.quantity, "cut": own.cut, "cloth": own.marked.cut.piece.material,
        "length": length, "turn": placed.variant.turn, "x": round(placed.at[0], 4), "y": round(placed.at[1], 4),
        "matrix": _six(put.move),
        "cut_lines": [[[round(x, 3), round(y, 3)] for x, y in put.move.points(ring)] for ring in own.rings],
        "outline": [[round(x, 3), round(y, 3)] for x, y in placed.outline()],
        "code": code_row(put),
    }  # fmt: skip


def code_row(put: Put) -> dict[str, Any]:
    """Where the code of a piece is, and what it says."""
    from .code import QUIET

    tag = put.piece.tag
    x, y = tag.corner()
    quiet = QUIET * tag.module
    move = Move.by(x + quiet, y + quiet).then(tag.move).then(put.move)
    return {"text": tag.text, "module": tag.module, "stands": tag.place, "matrix": _six(move)}


# ------------------------------------------------------------------------------------------------------------ reading


@dataclass(frozen=True, slots=True)
class Kept:
    """A roll that was read back: whether it holds all of its cut list, and its pieces by number."""

    roll: Roll
    pieces: Mapping[int, RollPiece]
    complete: bool


def is_roll(folder: Path) -> bool:
    """Whether a folder holds a roll."""
    return (folder / NAME).is_file()


def read(folder: Path) -> Kept:
    """The roll of a folder, its pieces made anew from the orders that are kept there, each at its place.

    Raises InputError for a file that is none, is damaged, or does not go with the orders beside it.
    """
    path = folder / NAME
    where = Where(str(path))
    data = _json(path, where)
    try:
        orders = tuple(_order(folder, row) for row in data["orders"])
        paper = Paper(_number(data["across"]), _number(data["most"]), _number(data["gap"]))
        made = {piece.key: piece for piece in roll_pieces(orders, paper.room)}
        rows = data["pieces"]
        by_number: dict[int, RollPiece] = {}
        lengths: dict[int, list[Put]] = {}
        for row in rows:
            key = str(row["order"]), str(row["piece"]), str(row["size"]), int(row.get("part", 1))
            number = int(row["number"])
            if number in by_number or key not in made:
                raise ValueError(f"piece {number} is none of its orders, or comes twice")
            by_number[number] = made[key]
            placed = Placement(
                made[key].lay_piece(), Variant(False, _number(row["turn"])), (_number(row["x"]), _number(row["y"]))
            )
            lengths.setdefault(int(row["length"]), []).append(Put(number, made[key], placed))
        of = int(data["of"])
        kept = tuple(Length(paper.across, 0.0, tuple(lengths[n]), ()) for n in sorted(lengths))
        title, device = str(data["title"]), str(data["device"])
        roll = Roll(title, orders, device, paper, data["by"] == "order", kept, of)
    except (KeyError, TypeError, ValueError, AttributeError, IndexError, OverflowError) as error:
        raise InputError(
            f"is not a roll that oaktag has written: {error!r}"[:200], where=where, instead=_AGAIN
        ) from None
    if of != len(made):
        raise InputError(f"it counts {of} pieces, and its orders have {len(made)}", where=where, instead=_AGAIN)
    return Kept(roll, by_number, len(by_number) == of)


def _order(folder: Path, row: Mapping[str, Any]) -> Order:
    name, told = str(row["order"]), str(row["pattern"])
    if not re.fullmatch(rf"{COPIES}/[^/\\\0]+\.json", told):
        raise ValueError(f"{told!r} is no copy of an order")
    path = folder / told
    try:
        data = path.read_bytes()
    except OSError:
        raise InputError(
            "the copy of an order is not there", where=Where(str(path)), expected="the files as they were written",
            instead=_AGAIN,
        ) from None  # fmt: skip
    if sha256(data).hexdigest() != row["sha256"]:
        raise InputError(
            f"the copy of {name} was changed since the roll was made", where=Where(str(path)),
            expected="the file as it was written", instead=_AGAIN,
        )  # fmt: skip
    unit = next((unit for unit in UNITS if unit == row.get("units")), None)
    return order_of(name, data, path, sizes=[str(size) for size in row["sizes"]], unit=unit)


def _number(value: object) -> float:
    number = float(str(value))
    if not abs(number) <= _FARTHEST:
        raise ValueError(f"{number:g} lies on no roll")
    return number


def _json(path: Path, where: Where) -> dict[str, Any]:
    try:
        if path.stat().st_size > _LARGEST:
            raise InputError("is larger than 200 MB", where=where, expected="a roll.json that oaktag roll has written")
        data = json.loads(path.read_bytes())
    except OSError as error:
        raise InputError(f"cannot be read: {error.strerror}", where=where, expected="a roll.json") from None
    except (ValueError, RecursionError) as error:
        raise InputError(f"is not JSON: {str(error)[:100]}", where=where, expected="a roll.json") from None
    if not isinstance(data, dict) or data.get("roll") != VERSION:
        raise InputError(
            "is not a roll of this version", where=where, expected=f'"roll": {VERSION}', instead=_AGAIN
        )  # fmt: skip
    return data
