"""Damage to lay.json: a lay that is whole, folded and matched, and lays of an order that was split."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from spoil import Kind

LAY = "lay.json"


def changed(change: Callable[[Any], None]) -> Callable[[bytes], bytes]:
    """What the file says, changed."""

    def spoil(data: bytes) -> bytes:
        told = json.loads(data)
        change(told)
        return json.dumps(told).encode()

    return spoil


def first(change: Callable[[Any], None]) -> Callable[[bytes], bytes]:
    """The first lay, changed."""
    return changed(lambda told: change(told["lays"][0]))


def placed(lay: Any, number: int = 0) -> Any:
    return lay["stretches"][0]["placements"][number]


def move(lay: Any, number: int, dx: float, dy: float) -> None:
    """A piece put down elsewhere, in all that is said of it."""
    own = placed(lay, number)
    own["x"] += dx
    own["y"] += dy
    own["outline"] = [[x + dx, y + dy] for x, y in own["outline"]]
    own["matrix"][4] += dx
    own["matrix"][5] += dy


def onto_its_neighbour(lay: Any) -> None:
    move(lay, 1, placed(lay, 0)["x"] - placed(lay, 1)["x"], placed(lay, 0)["y"] - placed(lay, 1)["y"])


def lies_at(number: int, **words: Any) -> Callable[[Any], None]:
    return lambda lay: placed(lay, number).update(words)


def turned(lay: Any) -> None:
    """A piece turned by a quarter, in all that is said of it."""
    own = placed(lay, 0)
    x, y = own["x"], own["y"]
    own["turn"] += 90.0
    own["outline"] = [[x - (q - y), y + (p - x)] for p, q in own["outline"]]
    xx, xy, yx, yy, dx, dy = own["matrix"]
    own["matrix"] = [-yx, -yy, xx, xy, x - (dy - y), y + (dx - x)]


def mirrored(lay: Any) -> None:
    """A piece turned over, in all that is said of it."""
    own = placed(lay, 0)
    x = own["x"]
    own["mirrored"] = not own["mirrored"]
    own["outline"] = [[2 * x - p, q] for p, q in own["outline"]]
    xx, xy, yx, yy, dx, dy = own["matrix"]
    own["matrix"] = [-xx, -xy, yx, yy, 2 * x - dx, dy]


def left_out(lay: Any) -> None:
    del lay["stretches"][0]["placements"][0]


def left_out_of_all(lay: Any) -> None:
    """A piece left out, of the cut list too."""
    own = lay["stretches"][0]["placements"].pop(0)
    lay["cut_list"] = [one for one in lay["cut_list"] if one["piece"] != own["piece"]]
    for stretch in lay["stretches"]:
        stretch["placements"] = [one for one in stretch["placements"] if one["piece"] != own["piece"]]


def doubled(lay: Any) -> None:
    lay["stretches"][0]["placements"].append(placed(lay, 0))


def stretch(**words: Any) -> Callable[[Any], None]:
    return lambda lay: lay["stretches"][0].update(words)


def cloth(**words: Any) -> Callable[[Any], None]:
    return lambda lay: lay["cloth"].update(words)


def listed(**words: Any) -> Callable[[Any], None]:
    return lambda lay: lay["cut_list"][0].update(words)


def of_another(key: str) -> Callable[[Any], None]:
    """What is said of the next piece, said of the first."""
    return lambda lay: placed(lay, 0).update({key: placed(lay, 1)[key]})


def no_pairs(lay: Any) -> None:
    for one in lay["cut_list"]:
        one["pair"] = False


def another_outline(lay: Any) -> None:
    lay["cut_list"][0]["outline"] = lay["cut_list"][1]["outline"]


def garments(count: int) -> Callable[[bytes], bytes]:
    return changed(lambda told: told.update(quantities=dict.fromkeys(told["quantities"], count)))


def longer(lay: Any) -> None:
    """A stretch that is told to be longer than its pieces need, and the lay with it."""
    for own in (lay, lay["stretches"][0]):
        own["length"] += 500.0
    lay["to_buy"] += 500.0


KINDS = (
    Kind("a piece on its neighbour", LAY, first(onto_its_neighbour), made="lay"),
    Kind("a piece off the side of the cloth", LAY, first(lambda lay: move(lay, 0, -3000.0, 0.0)), made="lay"),
    Kind("a piece off the end of the cloth", LAY, first(lambda lay: move(lay, 0, 0.0, 9000.0)), made="lay"),
    Kind("a piece into the gap to the next", LAY, first(lambda lay: move(lay, 0, 0.0, -8.0)), made="lay"),
    Kind("a piece left out", LAY, first(left_out), made="lay"),
    Kind("a piece left out, of the cut list too", LAY, first(left_out_of_all), made="lay"),
    Kind("a piece doubled", LAY, first(doubled), made="lay"),
    Kind("a piece turned by a quarter", LAY, first(turned), made="lay"),
    Kind("a piece turned over", LAY, first(mirrored), made="lay"),
    Kind("a turn told that is not drawn", LAY, first(lies_at(0, turn=90.0)), made="lay"),
    Kind("a place told that is not drawn", LAY, first(lies_at(0, x=12.0)), made="lay"),
    Kind("a matrix of another piece", LAY, first(of_another("matrix")), made="lay"),
    Kind("an outline of another piece", LAY, first(of_another("outline")), made="lay"),
    Kind("a piece of another name", LAY, first(lies_at(0, piece="collar")), made="lay"),
    Kind("the length told too short", LAY, first(lambda lay: lay.update(length=lay["length"] - 100.0)), made="lay"),
    Kind("a stretch told too short", LAY, first(stretch(length=500.0)), made="lay"),
    Kind("all lengths told too long", LAY, first(longer), made="lay"),
    Kind("the length to buy told too short", LAY, first(lambda lay: lay.update(to_buy=100.0)), made="lay"),
    Kind("the use of the cloth told too high", LAY, first(lambda lay: lay.update(use_percent=99.0)), made="lay"),
    Kind("another spread of the cloth", LAY, first(cloth(spread="fold")), made="lay"),
    Kind("another spread of a stretch", LAY, first(stretch(spread="fold")), made="lay"),
    Kind("a narrower cloth", LAY, first(cloth(width=700.0)), made="lay"),
    Kind("a cloth with nap", LAY, first(cloth(one_way=True)), made="lay"),
    Kind("a wider gap", LAY, first(cloth(gap=40.0)), made="lay"),
    Kind("a flaw under a piece", LAY, first(cloth(flaws=[[100.0, 100.0, 400.0, 400.0]])), made="lay"),
    Kind("a wider tolerance of the grain", LAY, first(cloth(tolerance_deg=5.0)), made="lay"),
    Kind("a stripe that is not matched", LAY, first(cloth(repeat_along=60.0, repeat_across=60.0)), made="lay",
         harmless="a lay that was not asked to match has no points to match"),
    Kind("another quantity of a piece", LAY, first(listed(quantity=4)), made="lay"),
    Kind("a pair told to be none", LAY, first(no_pairs), made="lay"),
    Kind("a piece of the cut list with another outline", LAY, first(another_outline), made="lay"),
    Kind("more garments", LAY, garments(2), made="lay"),
    Kind("no lays", LAY, changed(lambda told: told.update(lays=[])), made="lay"),
    Kind("an infinite length", LAY, first(stretch(length=float("inf"))), made="lay"),
    Kind("a place that is no number", LAY, first(lies_at(0, x=float("nan"))), made="lay"),
    Kind("a huge number of garments", LAY, garments(10**12), made="lay"),
    Kind("an outline of no points", LAY, first(lies_at(0, outline=[])), made="lay"),
    Kind("a matrix of four numbers", LAY, first(lies_at(0, matrix=[1, 0, 0, 1])), made="lay"),
    Kind("a list where a lay should be", LAY, changed(lambda told: told.update(lays=[[1, 2]])), made="lay"),
    Kind("the end cut off", LAY, lambda data: data[: len(data) // 2], made="lay"),
    Kind("nothing in it", LAY, lambda data: b"", made="lay"),
    Kind("another title", LAY, changed(lambda told: told.update(title="by hand")), made="lay",
         harmless="a title moves no piece"),
)  # fmt: skip
