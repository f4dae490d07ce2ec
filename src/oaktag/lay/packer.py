"""A process that packs a strip and tells every better answer: `python -m oaktag.lay.packer`, JSON in and out.

It is a process by itself so that it ends when its time is over, however deep the packing library is in its work, and so
that a shape which the library cannot bear ends nothing but this.

In: {"height": mm, "items": [{"id", "shape", "demand", "turns"}], "seconds": n, "workers": n, "seed": n}.
Out, a line each: {"width": mm, "placed": [[id, degrees, x, y], …]}, the better ones later; {"error": …} where it fails.
"""

from __future__ import annotations

import json
import os
import sys
import threading
from math import ceil
from typing import Any


def main() -> None:
    """Reads one task from standard input; writes answers to standard output until the time is over."""
    import spyrrow

    task = json.load(sys.stdin)
    queue = spyrrow.ProgressQueue()
    ended = threading.Event()
    failed: list[str] = []
    answers: list[Any] = []

    def solve() -> None:
        try:
            items = [
                spyrrow.Item(item["id"], [tuple(p) for p in item["shape"]], item["demand"], item["turns"])
                for item in task["items"]
            ]
            instance = spyrrow.StripPackingInstance("lay", task["height"], items)
            explore = max(1, round(task["seconds"] * 0.8))
            config = spyrrow.StripPackingConfig(
                early_termination=False,
                total_computation_time=None,
                exploration_time=explore,
                compression_time=max(1, ceil(task["seconds"] - explore)),
                num_workers=task["workers"],
                seed=task["seed"],
            )
            answers.append(instance.solve(config, queue))
        except BaseException as error:  # the library raises more than Exception where a shape is not to its taste
            failed.append(str(error).splitlines()[0] if str(error) else type(error).__name__)
        finally:
            ended.set()

    threading.Thread(target=solve, daemon=True).start()
    parent = os.getppid()
    while not ended.wait(0.05):
        if os.getppid() != parent:  # whoever asked is gone
            os._exit(1)
        _tell([solution for kind, solution in queue.drain() if kind.phase_name() != "final" and _holds(kind)])
    if failed:
        _say(json.dumps({"error": failed[0]}))
    else:
        _tell(answers)


def _holds(kind: Any) -> bool:
    """Whether such an answer is one without overlaps."""
    name = str(kind)
    return "Feas" in name and "Infeas" not in name


def _tell(solutions: list[Any]) -> None:
    for solution in solutions[-1:]:
        placed = [[item.id, item.rotation, *item.translation] for item in solution.placed_items]
        _say(json.dumps({"width": solution.width, "placed": placed}))


def _say(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
