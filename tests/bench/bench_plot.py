"""Plots, by hand: writing a big one against a plain loop, and the way of the pen against other orders.

usage: bench_plot.py write [RUNS]   a plot of 1,000,000 points against an f-string loop that writes the same commands,
                                    in one process, turn and turn about; peak memory of each in a process of its own
       bench_plot.py travel         pen-up metres of the demo dress: order of the sheet, greedy, ours, a library's tour
                                    (python-tsp, or ortools, if installed by hand)
"""

from __future__ import annotations

import math
import resource
import statistics
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
POINTS, A_LINE = 1_000_000, 400


def big_sheet(points: int = POINTS) -> Any:
    """Outlines of 400 points, 2,500 of them side by side on a wide roll, as one figure."""
    from oaktag.sheet.strokes import Figure, Role, Sheet, Stroke

    strokes = []
    for n in range(points // A_LINE):
        cx, cy = 20.0 + (n % 50) * 35.0, 20.0 + (n // 50) * 35.0
        ring = tuple(
            (cx + (12 + 3 * math.sin(5 * a + n)) * math.cos(a), cy + (12 + 3 * math.cos(3 * a)) * math.sin(a))
            for a in (2 * math.pi * i / A_LINE for i in range(A_LINE))
        )
        strokes.append(Stroke(Role.CUT, ring, closed=True))
    return Sheet("", 1800.0, 40.0 + (points // A_LINE // 50) * 35.0, (Figure("outlines", tuple(strokes)),))


def plain_loop(sheet: Any) -> bytes:
    """The same commands with an f-string a point; strokes in their order."""
    out = ["IN;\n", f"PS{round(sheet.height * 40)},{round(sheet.width * 40)};\n", "\nPU;\nSP1;\n"]
    width = sheet.width
    for figure in sheet.figures:
        for stroke in figure.strokes:
            points = [*stroke.points, stroke.points[0]]
            x, y = points[0]
            out.append(f"PU{round(y * 40)},{round((width - x) * 40)};\n")
            for i in range(1, len(points), 12):
                out.append(
                    "PD" + ",".join([f"{round(y * 40)},{round((width - x) * 40)}" for x, y in points[i : i + 12]])
                )
                out.append(";\n")
    out.append("PU;\nSP0;\nPG;")
    return "".join(out).encode()


def ours(sheet: Any) -> bytes:
    from oaktag.device.store import find_device
    from oaktag.export.hpgl import plot

    return plot(sheet, find_device("roll-1830")).data


def as_given(sheet: Any) -> bytes:
    """Ours without the search for a short way: the writing alone, as the loop does it."""
    from oaktag.export import hpgl

    before = hpgl.tour
    hpgl.tour = lambda ends, at: [(number, False) for number in range(len(ends))]
    try:
        return ours(sheet)
    finally:
        hpgl.tour = before


def memory(name: str) -> None:
    """Prints by how many MB the peak grew over the drawing itself, and the size of the output."""
    sheet = big_sheet()
    small = big_sheet(80_000)
    (plain_loop if name == "plain" else ours)(small)  # imports are no part of it
    del small
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    with Path("/proc/self/status").open() as status:
        now = next(int(line.split()[1]) / 1024 for line in status if line.startswith("VmRSS"))
    data = (plain_loop if name == "plain" else ours)(sheet)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{max(peak, before) - now:.1f} {len(data) / 1e6:.1f}")


def write(runs: int) -> None:
    sheet = big_sheet()
    ours(sheet)
    took: dict[str, list[float]] = {"plain f-string loop": [], "oaktag, as given": [], "oaktag": []}
    for _ in range(runs):
        for name, make in (("plain f-string loop", plain_loop), ("oaktag, as given", as_given), ("oaktag", ours)):
            start = time.perf_counter()
            data = make(sheet)
            took[name].append(time.perf_counter() - start)
    floor = statistics.median(took["plain f-string loop"])
    for name, each in took.items():
        short = "plain" if name.startswith("plain") else "ours"
        told = subprocess.run([sys.executable, __file__, "memory", short], capture_output=True, text=True, check=True)
        grown, size = map(float, told.stdout.split())
        median = statistics.median(each)
        memory_told = f"peak +{grown:6.1f} MB, {grown / size:4.1f} x output"
        print(f"{name:20} {median * 1e3:8.1f} ms  {median / floor:5.2f} x   {memory_told}")
    print(f"{POINTS:,} points, {len(data) / 1e6:.1f} MB")


def travel() -> None:
    from oaktag.device.store import find_device
    from oaktag.export import hpgl, route
    from oaktag.job import load_job
    from oaktag.pipeline import nest_of
    from oaktag.sheet.drawing import figure_of
    from oaktag.sheet.on_device import laid_on

    pattern = nest_of(load_job(ROOT / "fixtures/choir/alto-3.toml")).base_pattern
    device = find_device("roll-914")
    (laid,) = laid_on(device, "", [figure_of(piece) for piece in pattern.pieces])
    start = time.perf_counter()
    plot = hpgl.plot(laid.sheet, device)
    took = time.perf_counter() - start
    print(f"order of the sheet       {plot.travel_as_given / 1000:7.2f} m")
    before, route.tour = route.tour, route.walk
    hpgl.tour = route.walk  # type: ignore[attr-defined]
    greedy = hpgl.plot(laid.sheet, device)
    route.tour = hpgl.tour = before  # type: ignore[attr-defined]
    print(f"greedy, piece by piece   {greedy.travel / 1000:7.2f} m")
    print(f"oaktag                   {plot.travel / 1000:7.2f} m   (whole plot in {took * 1e3:.0f} ms)")
    place = hpgl._Place.of(laid.sheet, device)
    total = alone = 0.0
    at = (0, 0)
    for figure in laid.sheet.figures:
        for pen in (2, 1):
            drawn = hpgl._of_figure(figure, device, place, hpgl._lists)
            runs = [r for role, held in drawn.by_role.items() if device.pen(role.name.lower()) == pen for r in held]
            if not runs:
                continue
            ends = [hpgl._ends(run) for run in runs]
            library = library_tour(ends, at)
            own = route.tour(ends, at)
            total += route.travel(ends, library, at)
            alone += route.travel(ends, own, at)
            at = ends[library[-1][0]][0 if library[-1][1] else 1]
    print("each piece and pen by itself, every run on its own, from the same starts:")
    print(f"  oaktag's tour          {alone * device.unit / 1000:7.2f} m")
    print(f"  the library's tour     {total * device.unit / 1000:7.2f} m")


def library_tour(ends: Any, at: Any) -> Any:
    """Of an open path through runs that may be turned, by OR-Tools' routing with guided local search, 5 s a piece."""
    from ortools.constraint_solver import pywrapcp, routing_enums_pb2

    count = len(ends)
    # node 2i: run i from its first end; 2i+1: from its last. A disjunction takes one of the two.
    places = [(a, b) for start, end in ends for a, b in ((start, end), (end, start))]
    manager = pywrapcp.RoutingIndexManager(2 * count + 2, 1, [2 * count], [2 * count + 1])
    model = pywrapcp.RoutingModel(manager)

    def cost(i: int, j: int) -> int:
        a, b = manager.IndexToNode(i), manager.IndexToNode(j)
        if b == 2 * count + 1:
            return 0
        p = at if a == 2 * count else places[a][1]
        q = places[b][0]
        return round(math.hypot(p[0] - q[0], p[1] - q[1]))

    model.SetArcCostEvaluatorOfAllVehicles(model.RegisterTransitCallback(cost))
    for i in range(count):
        model.AddDisjunction([manager.NodeToIndex(2 * i), manager.NodeToIndex(2 * i + 1)], 10**9, 1)
    how = pywrapcp.DefaultRoutingSearchParameters()
    how.first_solution_strategy = routing_enums_pb2.FirstSolutionStrategy.PATH_CHEAPEST_ARC
    how.local_search_metaheuristic = routing_enums_pb2.LocalSearchMetaheuristic.GUIDED_LOCAL_SEARCH
    how.time_limit.FromSeconds(5)
    found = model.SolveWithParameters(how)
    steps, index = [], model.Start(0)
    while not model.IsEnd(index):
        node = manager.IndexToNode(index)
        if node < 2 * count:
            steps.append((node // 2, node % 2 == 1))
        index = found.Value(model.NextVar(index))
    return steps


if __name__ == "__main__":
    words = sys.argv[1:] or ["write"]
    if words[0] == "memory":
        memory(words[1])
    elif words[0] == "travel":
        travel()
    else:
        write(int(words[1]) if len(words) > 1 else 5)
