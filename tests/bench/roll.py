"""One roll for many made folders, against a roll for each of them, and against what their area needs at the least.

python tests/bench/roll.py FOLDER… [--seconds 20]: folders that oaktag make has written. Says lengths, and ratios of
them; the search is given the same seconds in all for one roll and for all rolls of their own.
"""

from __future__ import annotations

import argparse
import time
from pathlib import Path

from oaktag.device.profile import usable_length, usable_width
from oaktag.device.store import find_device
from oaktag.lay.words import Search
from oaktag.rolls.orders import Order, read_orders
from oaktag.rolls.pack import HEAD, Paper, least_length, lengths_of
from oaktag.rolls.pieces import roll_pieces
from oaktag.sheet.strokes import Figure


def long_of(orders: tuple[Order, ...], paper: Paper, seconds: float, *, by_order: bool = False) -> float:
    """Of the paper that they take, mm."""
    pieces = roll_pieces(orders, paper.room)
    found = lengths_of(pieces, paper, Search(seconds), Figure(HEAD, ()), by_order=by_order)
    return sum(length.long for length in found)


def main() -> None:
    reader = argparse.ArgumentParser()
    reader.add_argument("folders", nargs="+", type=Path)
    reader.add_argument("--seconds", type=float, default=20.0)
    reader.add_argument("--device", default="roll-914")
    asked = reader.parse_args()
    device = find_device(asked.device)
    paper = Paper(usable_width(device), usable_length(device))
    orders = read_orders(asked.folders)
    begun = time.monotonic()
    pieces = roll_pieces(orders, paper.room)
    marked = time.monotonic() - begun
    least = least_length(pieces, paper)
    rows = [("area, at the least", least)]
    rows.append(("one roll, packed freely", long_of(orders, paper, asked.seconds)))
    rows.append(("one roll, by order", long_of(orders, paper, asked.seconds, by_order=True)))
    share = asked.seconds / len(orders)
    rows.append(("a roll for each", sum(long_of((order,), paper, share) for order in orders)))
    print(f"{len(orders)} orders, {len(pieces)} pieces on {device.name}; {asked.seconds:g} s in all")
    print(f"{'marked with codes in':28}{marked:8.1f} s")
    for words, long in rows:
        print(f"{words:28}{long / 1000:8.2f} m{long / least:8.2f} of the area bound")


if __name__ == "__main__":
    main()
