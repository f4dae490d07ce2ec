"""lay.json: a lay that is kept, used again and judged; and read back for the pattern that it was made of."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from hashlib import sha256
from itertools import chain
from pathlib import Path
from typing import Any, Final, TypeAlias

from ..errors import InputError, Where
from ..geometry.affine import Move
from ..geometry.point import Point
from ..geometry.polygon import Box
from ..model.nest import Nest
from ..values import dataclass, field, replace
from .cloth import SPREADS, Cloth
from .judge import judged
from .matching import MatchPoint
from .pieces import LayPiece, Pieces, Variant, pieces_for
from .placed import Lay, Placement, Stretch
from .words import counted

VERSION: Final = 1
LARGEST: Final = 50_000_000
MOST_PLIES: Final = 500
FARTHEST: Final = 1e7
"""No place on a cloth is further off, mm: 10 km."""
SPARE: Final = 10_000.0
"""Cloth that a stretch may have beyond its pieces, one behind the other, mm."""
MOST_PLACED: Final = 100_000
"""Pieces in one lay; a cutting room has thousands at most (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Kept:
    """What one file holds: a lay for each kind of cloth, for so many garments of each size in each of its plies."""

    quantities: Mapping[str, int]
    lays: tuple[Lay, ...]
    matches: Mapping[str, str]
    plies: int = 1
    orders: Mapping[str, str] = field(default_factory=dict)
    """Of a lay of several orders: which order a piece is of, by its name here."""
    sums: Mapping[str, str] = field(default_factory=dict)
    """SHA-256 of the pattern.json of each order that is a made folder."""


def render(kept: Kept, title: str, *, plain: bool = True) -> bytes:
    """Lengths in mm to 0.0001; `matrix` [xx, xy, yx, yy, dx, dy] takes pattern.json's coordinates to the cloth.

    `outline` is the cut line where it lies on its stretch, for programs that only want to see it; `cut_list` has every
    piece that one garment takes, as it lies before it is put down, so that the lay can be judged without its job.
    `plain`: whether plots of the lay are drawn as they are, without a correction or a knife's way.
    """
    data = {
        "lay": VERSION,
        "unit": "mm",
        "title": title,
        "plain": plain,
        "quantities": dict(kept.quantities),
        **({"plies": kept.plies} if kept.plies > 1 else {}),
        "matches": dict(kept.matches),
        **({"orders": _orders(kept)} if kept.orders else {}),
        "lays": [_lay(lay, kept.orders) for lay in kept.lays],
    }
    return (_dumped(data) + "\n").encode()


def _dumped(data: Any) -> str:
    """Indented, but a piece and a placement on one line each."""
    rows: list[str] = []
    for lay in data["lays"]:
        for holder, key in ((lay, "cut_list"), *((stretch, "placements") for stretch in lay["stretches"])):
            own = holder[key]
            rows += [json.dumps(row, ensure_ascii=False, allow_nan=False) for row in own]
            holder[key] = [None] * len(own)
    text = json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False)
    waiting = iter(rows)
    return re.sub(r"(?m)^( +)null(?=,?$)", lambda gap: gap[1] + next(waiting), text)


def _orders(kept: Kept) -> list[dict[str, str]]:
    """Each order once, and of which set it is, where that is known."""
    names = dict.fromkeys(kept.orders.values())
    return [{"order": name, **({"sha256": kept.sums[name]} if name in kept.sums else {})} for name in names]


def _lay(lay: Lay, orders: Mapping[str, str]) -> dict[str, object]:
    cloth = lay.cloth
    return {
        "material": lay.material,
        "found": lay.how,
        "length": round(lay.length, 4),
        "to_buy": round(lay.to_buy, 4),
        "use_percent": round(lay.use, 3),
        "pieces": _digest(p.piece for stretch in lay.stretches for p in stretch.placements),
        "cloth": {
            "width": cloth.width, "spread": cloth.spread, "one_way": cloth.one_way, "gap": cloth.gap,
            "selvedge": cloth.selvedge, "ends": cloth.ends, "shrink_along": cloth.shrink_along,
            "shrink_across": cloth.shrink_across, "tolerance_deg": cloth.tolerance_deg,
            "flaws": [[flaw.left, flaw.bottom, flaw.right, flaw.top] for flaw in cloth.flaws],
            "repeat_along": cloth.repeat_along, "repeat_across": cloth.repeat_across,
        },
        "cut_list": _cut_list(lay),
        "stretches": [
            {
                "spread": stretch.cloth.spread,
                "length": round(stretch.length, 4),
                "placements": [_placement(placed, orders) for placed in stretch.placements],
            }
            for stretch in lay.stretches
        ],
    }  # fmt: skip


def _placement(placed: Placement, orders: Mapping[str, str]) -> dict[str, object]:
    piece, variant = placed.piece, placed.variant
    move = placed.whole_move()
    return {
        **({"order": orders[piece.name]} if piece.name in orders else {}),
        "piece": piece.name, "size": piece.size, "garment": piece.garment, "copy": piece.copy,
        "mirrored": variant.mirrored, "turn": variant.turn, "x": round(placed.at[0], 4), "y": round(placed.at[1], 4),
        "on_fold": piece.on_fold, "unfolded": piece.unfolded,
        "outline": [[round(x, 3), round(y, 3)] for x, y in placed.outline()],
        "matrix": [round(v, 6) for v in _six(move)],
    }  # fmt: skip


def _cut_list(lay: Lay) -> list[dict[str, object]]:
    """The pieces of one garment of each size, in full precision."""
    found: dict[tuple[str, str, int], dict[str, object]] = {}
    for stretch in lay.stretches:
        for piece in (placed.piece for placed in stretch.placements):
            found.setdefault((piece.name, piece.size, piece.copy), {
                "piece": piece.name, "size": piece.size, "copy": piece.copy,
                "quantity": piece.quantity, "pair": piece.pair, "one_way": piece.one_way,
                "on_fold": piece.on_fold, "unfolded": piece.unfolded,
                "outline": [list(p) for p in piece.outline], "home": list(_six(piece.home)),
                "variants": [[v.mirrored, v.turn] for v in piece.variants],
                "matches": [[m.seam, m.side, *m.at, m.leads] for m in piece.matches],
            })  # fmt: skip
    return list(found.values())


def _six(move: Move) -> tuple[float, ...]:
    return move.xx, move.xy, move.yx, move.yy, move.dx, move.dy


def _digest(pieces: Any) -> str:
    """Of every outline, to a hundredth of a mm: another pattern has another one."""
    lines = sorted(f"{p.key}:{[(round(x, 2) + 0.0, round(y, 2) + 0.0) for x, y in p.outline]}" for p in pieces)
    return sha256("\n".join(lines).encode()).hexdigest()[:16]


def read(path: Path, nest: Nest) -> Kept:
    """The lays of a file, on the pattern's own outlines, judged again.

    Raises InputError for a file that is none, is damaged, was made of another pattern, or whose lay does not hold.
    """
    where = Where(str(path))
    data = _json(path, where)
    try:
        quantities = counted({str(size): int(count) for size, count in data["quantities"].items()}, where)
        plies = int(data.get("plies", 1))
        if not 1 <= plies <= MOST_PLIES or not data["lays"] or not all(lay["stretches"] for lay in data["lays"]):
            raise ValueError("there is nothing in it, or in too many plies")
        matches = {str(seam): str(notch) for seam, notch in data["matches"].items()}
        lays = tuple(_read_lay(row, nest, quantities, matches, where) for row in data["lays"])
    except (KeyError, TypeError, ValueError, AttributeError, IndexError, OverflowError) as error:
        raise InputError(
            f"is not a lay that oaktag has written: {error!r}"[:200],
            where=where,
            instead="Lay it again with oaktag lay",
        ) from None
    return Kept(quantities, lays, matches, plies)


def _no_number(text: str) -> float:
    """NaN and Infinity, which JSON has not (RFC 8259, section 6)."""
    raise ValueError(f"{text} is no number")


def _number(value: object) -> float:
    """A place on the cloth or an angle; 1e400 is infinite to a reader of JSON."""
    number = float(str(value))
    if not abs(number) <= FARTHEST:
        raise ValueError(f"{number:g} lies on no cloth")
    return number


def read_alone(path: Path) -> tuple[dict[str, Any], tuple[tuple[Lay, Pieces], ...]]:
    """What a file says, and each lay of it with the pieces of its own cut list; nothing is judged.

    Raises InputError for a file that is none, is damaged, or was written before lays had a cut list.
    """
    where = Where(str(path))
    data = _json(path, where)
    try:
        _refuse_infinite(data)
        quantities = {str(size): int(count) for size, count in data["quantities"].items()}
        if not data["lays"]:
            raise ValueError("it has no lay")
        return data, tuple(_laid_alone(row, quantities, where) for row in data["lays"])
    except (KeyError, TypeError, ValueError, AttributeError, IndexError, OverflowError) as error:
        raise InputError(
            f"is not a lay that oaktag has written: {error!r}"[:200],
            where=where,
            instead="Lay it again with oaktag lay",
        ) from None


def _laid_alone(row: Mapping[str, Any], quantities: Mapping[str, int], where: Where) -> tuple[Lay, Pieces]:
    cloth = _read_cloth(row["cloth"], where)
    by_key: dict[Key, LayPiece] = {}
    several = len(quantities) > 1 or any(one["size"] for one in row["cut_list"])
    if sum(max(0, count) for count in quantities.values()) * len(row["cut_list"]) > MOST_PLACED:
        raise ValueError(f"quantities ask for more than {MOST_PLACED} pieces")
    for one in row["cut_list"]:
        piece = LayPiece(
            str(one["piece"]), str(one["size"]), 1, int(one["copy"]),
            tuple((float(x), float(y)) for x, y in one["outline"]), Move(*(float(v) for v in one["home"])),
            tuple(Variant(bool(mirrored), float(turn)) for mirrored, turn in one["variants"]),
            bool(one["on_fold"]), bool(one["unfolded"]),
            tuple(
                MatchPoint(str(seam), int(side), Point(float(x), float(y)), str(leads))
                for seam, side, x, y, leads in one["matches"]
            ),
            int(one["quantity"]), bool(one["pair"]), bool(one["one_way"]),
        )  # fmt: skip
        if len(piece.outline) < 3:
            raise ValueError(f"the outline of {piece.key} has {len(piece.outline)} points")
        for garment in range(1, quantities[piece.size] + 1 if several else sum(quantities.values()) + 1):
            by_key[piece.name, piece.size, garment, piece.copy] = replace(piece, garment=garment)
    return _placed(row, cloth, by_key, where), Pieces(tuple(by_key.values()))


def digest_holds(row: Mapping[str, Any], pieces: Pieces) -> bool:
    """Whether the cut list of a lay has the outlines that it was laid with."""
    return bool(_digest((*pieces.spread, *pieces.opened)) == row["pieces"])


def _refuse_infinite(value: Any) -> None:
    """ValueError for a number that no lay has."""
    if isinstance(value, dict):
        value = list(value.values())
    if isinstance(value, list):
        for one in value:
            _refuse_infinite(one)
    elif isinstance(value, (int, float)) and not abs(value) < FARTHEST:
        raise ValueError(f"{value!r:.40} is no length of a lay")


def _json(path: Path, where: Where) -> dict[str, Any]:
    try:
        if path.stat().st_size > LARGEST:
            raise InputError("is larger than 50 MB", where=where, expected="a lay.json that oaktag lay has written")
        data = json.loads(path.read_bytes(), parse_constant=_no_number)
    except OSError as error:
        raise InputError(
            f"cannot be read: {error.strerror}", where=where, expected="a lay.json that oaktag lay has written"
        ) from None
    except (ValueError, RecursionError) as error:
        raise InputError(f"is not JSON: {str(error)[:100]}", where=where, expected="a lay.json") from None
    if not isinstance(data, dict) or data.get("lay") != VERSION:
        raise InputError(
            "is not a lay of this version",
            where=where,
            expected=f'"lay": {VERSION}',
            instead="Lay it again with oaktag lay",
        )
    return data


def _read_lay(
    row: Mapping[str, Any], nest: Nest, quantities: Mapping[str, int], matches: Mapping[str, str], where: Where
) -> Lay:
    cloth = _read_cloth(row["cloth"], where)
    pieces = pieces_for(nest, row["material"], cloth, quantities, matches)
    by_key = {(p.name, p.size, p.garment, p.copy): p for p in chain(pieces.spread, pieces.opened)}
    if _digest(by_key.values()) != row["pieces"]:
        raise InputError(
            f"the lay of {row['material']} was made of another pattern",
            where=where,
            expected="the measurements, style and allowances that it was laid with",
            instead="Lay it again with oaktag lay",
        )
    lay = _placed(row, cloth, by_key, where)
    _refuse(lay, pieces, where)
    return lay


Key: TypeAlias = "tuple[str, str, int, int]"
"""Of a piece to place: its name, its size, which garment, which copy."""


def _placed(row: Mapping[str, Any], cloth: Cloth, by_key: Mapping[Key, LayPiece], where: Where) -> Lay:
    """The lay of one kind of cloth, as a file has it."""
    stretches: list[Stretch] = []
    for part in row["stretches"]:
        own = cloth if part["spread"] == cloth.spread and not stretches else cloth.opened()
        placements = tuple(
            Placement(
                by_key[str(p["piece"]), str(p["size"]), int(p["garment"]), int(p["copy"])],
                Variant(bool(p["mirrored"]), _number(p["turn"])),
                (_number(p["x"]), _number(p["y"])),
            )
            for p in part["placements"]
        )
        stretches.append(Stretch(own, placements, _length(_number(part["length"]), own, placements, where)))
    return Lay(str(row["material"]), tuple(stretches), str(row["found"]))


def _length(length: float, cloth: Cloth, placements: tuple[Placement, ...], where: Where) -> float:
    """Of a stretch: not absurdly more than its pieces one behind the other. Whether it holds them is judged later."""
    boxes = [Box.round(placed.outline()) for placed in placements]
    most = SPARE + sum(box.height + cloth.gap + cloth.repeat_along for box in boxes)
    if not 0.0 <= length <= most:
        raise InputError(
            f"a stretch of it is {length:.6g} mm long", where=where,
            expected=f"{most:.0f} mm at most for what lies on it", instead="Lay it again with oaktag lay",
        )  # fmt: skip
    return length


def _refuse(lay: Lay, pieces: Pieces, where: Where) -> None:
    verdict = judged(lay, pieces)
    if not verdict.holds:
        more = f" (and {len(verdict.problems) - 3} more)" if len(verdict.problems) > 3 else ""
        raise InputError(
            f"the lay of {lay.material} does not hold: {'; '.join(verdict.problems[:3])}{more}",
            where=where,
            expected="no overlap, everything on the cloth, the grain kept, each piece once",
            instead="Lay it again with oaktag lay",
        )


def _read_cloth(row: Mapping[str, Any], where: Where) -> Cloth:
    numbers = (
        "width", "gap", "selvedge", "ends", "shrink_along", "shrink_across", "tolerance_deg", "repeat_along",
        "repeat_across",
    )  # fmt: skip
    values = {name: float(row[name]) for name in numbers}
    if row["spread"] not in SPREADS or any(not 0 <= v < 1e6 for v in values.values()) or not values["width"]:
        raise InputError("its cloth is none", where=where, expected="widths and gaps in mm")
    flaws = tuple(Box(*map(_number, flaw)) for flaw in row["flaws"])
    return Cloth(spread=str(row["spread"]), one_way=bool(row["one_way"]), flaws=flaws, **values)
