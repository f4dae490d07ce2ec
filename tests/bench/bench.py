"""Benchmarks, run by hand: every figure is a ratio to a floor measured in the same run, turn and turn about.

usage: bench.py make [RUNS]      `oaktag make`, whole process, against floor_make.py; peak memory of both
       bench.py help [RUNS]      `oaktag --help` against an empty Python
       bench.py bodies           300 bodies drafted, finished and checked in one process, with a profile
"""

from __future__ import annotations

import csv
import json
import math
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "fixtures/choir/alto-3.toml"
OAKTAG = Path(sys.executable).with_name("oaktag")


def taking_turns(commands: dict[str, list[str]], runs: int) -> dict[str, tuple[float, float]]:
    """Median seconds and peak MB of each command; they take turns, so that drift of the machine hits all alike."""
    seconds: dict[str, list[float]] = {name: [] for name in commands}
    peak: dict[str, float] = {}
    for turn in range(runs + 2):
        for name, argv in commands.items():
            start = time.perf_counter()
            child = subprocess.Popen(argv, stdout=subprocess.DEVNULL)
            _, status, used = os.wait4(child.pid, 0)
            took = time.perf_counter() - start
            if status:
                raise SystemExit(f"{argv} failed")
            if turn >= 2:
                seconds[name].append(took)
                peak[name] = max(peak.get(name, 0.0), used.ru_maxrss / 1024)
    return {name: (statistics.median(took), peak[name]) for name, took in seconds.items()}


def geometry(path: Path) -> None:
    """The demo's exact curves and all strokes of its roll, for the floor."""
    from oaktag.device.profile import DEVICES, usable_width
    from oaktag.job import load_job
    from oaktag.pipeline import EDGE, pattern_of
    from oaktag.sheet.arrange import arrange
    from oaktag.sheet.drawing import figure_of
    from oaktag.sheet.scale_block import scale_block

    pattern = pattern_of(load_job(DEMO))
    figures = [figure_of(piece) for piece in pattern.pieces]
    width = usable_width(DEVICES["roll-914"])
    roll = arrange("", [*figures, scale_block(290.0, 300.0)], width, margin=EDGE)
    data = {
        "height": roll.height,
        "pieces": {
            p.name: [c.controls() for edge in p.cut.piece.edges for c in edge.curves] for p in pattern.pieces
        },
        "strokes": [(s.closed, s.points) for f in roll.figures for s in f.strokes],
    }
    path.write_text(json.dumps(data))


def bench_make(runs: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder) / "geometry.json"
        geometry(data)
        floor = str(ROOT / "tests/bench/floor_make.py")
        found = taking_turns(
            {
                "python -c pass": [sys.executable, "-c", "pass"],
                "floor": [sys.executable, floor, str(data), f"{folder}/floor"],
                "oaktag make": [str(OAKTAG), "make", str(DEMO), "-o", f"{folder}/made"],
            },
            runs,
        )
    base = found["floor"][0]
    for name, (seconds, peak) in found.items():
        print(f"{name:16} {seconds * 1e3:7.1f} ms  {seconds / base:5.2f} x floor  peak {peak:6.1f} MB")


def bench_help(runs: int) -> None:
    found = taking_turns(
        {"python -c pass": [sys.executable, "-c", "pass"], "oaktag --help": [str(OAKTAG), "--help"]}, runs
    )
    base = found["python -c pass"][0]
    for name, (seconds, peak) in found.items():
        print(f"{name:16} {seconds * 1e3:7.1f} ms  {seconds / base:5.2f} x empty Python  peak {peak:6.1f} MB")


def bodies() -> list[dict[str, float]]:
    """The 300 women of the fixture; the survey has no shoulder width over the back, so it is estimated."""
    from oaktag.garments.sheath_dress import GARMENT

    found = []
    with (ROOT / "fixtures/bodies/women_1988_300.csv").open() as file:
        for row in csv.DictReader(line for line in file if not line.startswith("#")):
            body = {name: float(row[name]) for name in GARMENT.uses if row.get(name)}
            body["shoulder_width"] = 2 * float(row["shoulder_length"]) + float(row["neck_base_girth"]) / math.pi
            found.append(body)
    return found


def bench_bodies() -> None:
    from oaktag.body.measurements import Measurements
    from oaktag.checks.run import check
    from oaktag.draft.options import validated
    from oaktag.errors import OaktagError, Where
    from oaktag.finish.allowances import allow
    from oaktag.finish.marks import mark
    from oaktag.garments.sheath_dress import OPTIONS, sheath_dress
    from oaktag.sheet.drawing import label_box

    style, _ = validated(OPTIONS, {}, "in", lambda key: Where("", 0, key))
    everyone = [Measurements(body) for body in bodies()]
    spent = {"draft": 0.0, "allow": 0.0, "mark": 0.0, "check": 0.0}

    def timed(stage: str, call: Callable[[], object]) -> object:
        start = time.process_time()
        value = call()
        spent[stage] += time.process_time() - start
        return value

    refused = 0
    for body in everyone:
        try:
            draft = timed("draft", lambda: sheath_dress(body, style, "in"))
        except OaktagError:
            refused += 1
            continue
        cut = timed("allow", lambda: allow(draft, {}))
        pattern = timed(
            "mark",
            lambda: mark(cut, title="bench", size="measured", size_words="", unit="in", label_box=label_box),
        )
        timed("check", lambda: check(pattern))
    finished = sum(spent[stage] for stage in ("draft", "allow", "mark"))
    n = len(everyone)
    print(f"{n} bodies, {refused} refused: {finished / n * 1e3:.2f} ms a body drafted and finished (processor time)")
    for stage, seconds in spent.items():
        print(f"  {stage:6} {seconds / n * 1e3:6.2f} ms a body")
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


def main() -> None:
    what = sys.argv[1] if len(sys.argv) > 1 else ""
    runs = int(sys.argv[2]) if len(sys.argv) > 2 else 11
    if what == "make":
        bench_make(runs)
    elif what == "help":
        bench_help(runs)
    elif what == "bodies":
        bench_bodies()
    else:
        raise SystemExit(__doc__)


if __name__ == "__main__":
    main()
