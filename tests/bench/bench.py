"""Benchmarks, run by hand: every figure is a ratio to a floor measured in the same run, turn and turn about.

usage: bench.py make [RUNS]      `oaktag make`, whole process, against floor_make.py; peak memory of both
       bench.py help [RUNS]      `oaktag --help` against an empty Python
       bench.py bodies           300 bodies drafted, finished and checked in one process, by stage
       bench.py sets [RUNS]      `oaktag make` of 5, 10 and 20 sizes of a lined dress, whole process, every format,
                                 against floor_sets.py with plain writers and with ezdxf; peak memory; growth
       bench.py nest             20 sizes of a lined dress: graded, checked by size, checked across, graded by rules
       bench.py styles           300 bodies in twelve styles: how many pass, warn, fail or are refused, and why
       bench.py dxf-read [RUNS]  a graded nest, 10 sizes of 8 pieces, 400 points a line: ours, ezdxf, a bare loop
       bench.py tiles [RUNS]     tiled, layered PDF of ten sizes, tiling included, against reportlab (to be installed by
                                 hand) drawing the same segments, already cut into pages
       bench.py cut [RUNS]       cut lines of 100 outlines of 400 points against a bare pyclipper offset of the same
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
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "fixtures/choir/alto-3.toml"
OAKTAG = Path(sys.executable).with_name("oaktag")


def taking_turns(commands: dict[str, list[str]], runs: int) -> dict[str, tuple[float, float]]:
    """Median seconds and peak MB of each command; they take turns, so that drift of the machine hits all alike.

    Compiled modules are kept between the runs, as an installation keeps them.
    """
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    seconds: dict[str, list[float]] = {name: [] for name in commands}
    peak: dict[str, float] = {}
    for turn in range(runs + 2):
        for name, argv in commands.items():
            start = time.perf_counter()
            child = subprocess.Popen(argv, stdout=subprocess.DEVNULL, env=environment)
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
    from oaktag.device.profile import usable_width
    from oaktag.device.store import find_device
    from oaktag.job import load_job
    from oaktag.pipeline import pattern_of
    from oaktag.sheet.arrange import arrange
    from oaktag.sheet.drawing import figure_of
    from oaktag.sheet.on_device import EDGE
    from oaktag.sheet.scale_block import scale_block

    pattern = pattern_of(load_job(DEMO))
    figures = [figure_of(piece) for piece in pattern.pieces]
    width = usable_width(find_device("roll-914"))
    roll = arrange("", [*figures, scale_block(290.0, 300.0)], width, margin=EDGE)
    data = {
        "height": roll.height,
        "pieces": {p.name: [c.controls() for edge in p.cut.piece.edges for c in edge.curves] for p in pattern.pieces},
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
    from oaktag.garments.sheath_dress import sheath_dress

    found = []
    with (ROOT / "fixtures/bodies/women_1988_300.csv").open() as file:
        for row in csv.DictReader(line for line in file if not line.startswith("#")):
            body = {name: float(row[name]) for name in sheath_dress.uses if row.get(name)}
            body["bust_height"] = float(row["neck_to_bust_point"])  # the survey's column of that name is from the floor
            body["front_waist_length"] = (
                float(row["front_waist_length"]) + 70
            )  # measured there from the front neck point
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
    from oaktag.garments.sheath_dress import sheath_dress
    from oaktag.sheet.drawing import label_box

    style, _ = validated(sheath_dress.options, {}, "in", lambda key: Where("", 0, key))
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
            draft = timed("draft", lambda body=body: sheath_dress.draft(body, style, "in"))
        except OaktagError:
            refused += 1
            continue
        cut = timed("allow", lambda draft=draft: allow(draft, {}))
        pattern = timed(
            "mark",
            lambda cut=cut: mark(cut, title="bench", size="measured", size_words="", unit="in", label_box=label_box),
        )
        timed("check", lambda pattern=pattern: check(pattern))
    finished = sum(spent[stage] for stage in ("draft", "allow", "mark"))
    n = len(everyone)
    print(f"{n} bodies, {refused} refused: {finished / n * 1e3:.2f} ms a body drafted and finished (processor time)")
    for stage, seconds in spent.items():
        print(f"  {stage:6} {seconds / n * 1e3:6.2f} ms a body")
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


def outlines(count: int = 100, points: int = 400) -> list[tuple[list[tuple[float, float]], list[int]]]:
    """Stitch lines of real bodies' pieces, resampled to so many points, with the indices of their corners."""
    from oaktag.body.measurements import Measurements
    from oaktag.draft.options import validated
    from oaktag.errors import OaktagError, Where
    from oaktag.garments.sheath_dress import sheath_dress
    from oaktag.geometry.path import flatten

    style, _ = validated(sheath_dress.options, {}, "in", lambda key: Where("", 0, key))
    found: list[tuple[list[tuple[float, float]], list[int]]] = []
    for body in bodies():
        try:
            draft = sheath_dress.draft(Measurements(body), style, "in")
        except OaktagError:
            continue
        for piece in draft.pieces:
            total = sum(edge.length() for edge in piece.edges)
            ring: list[tuple[float, float]] = []
            corners = []
            for edge in piece.edges:
                corners.append(len(ring))
                line = flatten(edge.curves, 0.002)
                ring.extend(resampled(line, max(2, round(points * edge.length() / total)))[:-1])
            found.append((ring, corners))
            if len(found) == count:
                return found
    return found


def resampled(line: list[tuple[float, float]], n: int) -> list[tuple[float, float]]:
    """n + 1 points evenly along a line."""
    steps = [math.dist(a, b) for a, b in zip(line, line[1:])]
    total, out, walked, i = sum(steps), [], 0.0, 0
    for k in range(n):
        want = total * k / n
        while walked + steps[i] < want:
            walked += steps[i]
            i += 1
        t = (want - walked) / steps[i]
        out.append((line[i][0] + (line[i + 1][0] - line[i][0]) * t, line[i][1] + (line[i + 1][1] - line[i][1]) * t))
    return [*out, line[-1]]


def bench_cut(runs: int) -> None:
    import pyclipper
    import shapely

    from oaktag.finish.allowances import cut_line_of
    from oaktag.model.piece import EdgeKind

    width = 10.0
    rings = outlines()
    edges = [
        [
            (f"e{k}", EdgeKind.SEAM, (*ring, ring[0])[a : (b if b else len(ring)) + 1])
            for k, (a, b) in enumerate(zip(corners, [*corners[1:], 0]))
        ]
        for ring, corners in rings
    ]

    def floor() -> list[list[list[int]]]:
        engine = pyclipper.PyclipperOffset(10.0, 100)
        out = []
        for ring, _ in rings:
            engine.Clear()
            points = [(round(x * 1e4), round(y * 1e4)) for x, y in ring]
            engine.AddPath(points, pyclipper.JT_MITER, pyclipper.ET_CLOSEDPOLYGON)
            out.append(next([(x / 1e4, y / 1e4) for x, y in found] for found in engine.Execute(width * 1e4)))
        return out

    def ours() -> list[list[tuple[float, float]]]:
        return [cut_line_of(lines, {name: width for name, _, _ in lines}) for lines in edges]

    took: dict[str, list[float]] = {"floor": [], "ours": []}
    for turn in range(runs + 1):
        for name, call in (("floor", floor), ("ours", ours)):
            start = time.process_time()
            result = call()
            if turn:
                took[name].append(time.process_time() - start)
            if name == "ours":
                cuts = result
    worst = 0.0
    for (ring, _), cut in zip(rings, cuts):
        mitred = shapely.Polygon(ring).buffer(width, join_style="mitre", mitre_limit=10)
        worst = max(worst, shapely.hausdorff_distance(shapely.Polygon(cut).exterior, mitred.exterior))
    base = statistics.median(took["floor"])
    for name, seconds in took.items():
        median = statistics.median(seconds)
        print(f"{name:6} {median / len(rings) * 1e6:7.1f} us an outline  {median / base:5.2f} x pyclipper")
    print(
        f"{len(rings)} outlines, {sum(len(r) for r, _ in rings) / len(rings):.0f} points each; "
        f"worst deviation {worst:.4f} mm"
    )


def nest_dxf(sizes: int = 10) -> str:
    """A graded nest of real bodies' pieces: each with layers 1 and 14; turn and curve points in the base size alone."""
    rows = ["0\nSECTION\n2\nHEADER\n0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n"]
    names = []
    for k, (ring, corners) in enumerate(outlines(8)):
        for size in range(sizes):
            names.append(f"PIECE{k}_{size}")
            rows.append(f"0\nBLOCK\n8\n0\n2\n{names[-1]}\n70\n64\n10\n0.0\n20\n0.0\n")
            for y, words in enumerate((f"Piece Name: PIECE{k}", f"Size: {size}")):
                rows.append(f"0\nTEXT\n8\n1\n10\n0.0\n20\n{y}.0\n40\n3.5\n1\n{words}\n")
            for layer, grown in ((1, 1.05), (14, 1.0)):
                factor = grown * (1 + 0.02 * size)
                placed = [(x * factor, y * factor) for x, y in ring]
                rows.append(f"0\nPOLYLINE\n8\n{layer}\n66\n1\n70\n1\n")
                rows += [f"0\nVERTEX\n8\n{layer}\n10\n{x:.4f}\n20\n{y:.4f}\n" for x, y in placed]
                rows.append(f"0\nSEQEND\n8\n{layer}\n")
                if size == sizes // 2:
                    for i, (x, y) in enumerate(placed):
                        rows.append(f"0\nPOINT\n8\n{2 if i in corners else 3}\n10\n{x:.4f}\n20\n{y:.4f}\n")
            rows.append("0\nLINE\n8\n5\n10\n0.0\n20\n0.0\n11\n100.0\n21\n0.0\n0\nENDBLK\n")
    rows.append("0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nTEXT\n8\n1\n10\n0.0\n20\n0.0\n40\n3.5\n1\nUnits: METRIC\n")
    rows += [f"0\nINSERT\n8\n1\n2\n{name}\n10\n0.0\n20\n0.0\n" for name in names]
    return "".join([*rows, "0\nENDSEC\n0\nEOF\n"])


def bare_read(path: Path) -> dict[str, list[tuple[str, list[tuple[float, float]]]]]:
    """The least that gives the vertices of every polyline by block and layer: no check, no mark, no text."""
    rows = path.read_text(encoding="latin-1").split("\n")
    blocks: dict[str, list[tuple[str, list[tuple[float, float]]]]] = {}
    held: list[tuple[str, list[tuple[float, float]]]] = []
    kind, layer, line, x = "", "", [], 0.0
    for code, value in zip(map(int, rows[0:-1:2]), rows[1::2]):
        if code == 0:
            kind = value
            if value == "POLYLINE":
                line = []
            elif value == "SEQEND":
                held.append((layer, line))
        elif kind == "VERTEX":
            if code == 10:
                x = float(value)
            elif code == 20:
                line.append((x, float(value)))
        elif kind == "BLOCK" and code == 2:
            held = blocks[value] = []
        elif kind == "POLYLINE" and code == 8:
            layer = value
    return blocks


def in_a_fresh_process(call: Callable[[], object]) -> float:
    """Processor seconds of a call in a child, so that no call works in a heap that another has left full of holes."""
    end, begin = os.pipe()
    child = os.fork()
    if not child:
        start = time.process_time()
        call()
        os.write(begin, f"{time.process_time() - start}".encode())
        os._exit(0)
    os.close(begin)
    with os.fdopen(end) as told:
        seconds = float(told.read())
    os.waitpid(child, 0)
    return seconds


def bench_dxf_read(runs: int) -> None:
    import ezdxf

    from oaktag.exchange.pattern_data import read_pattern_data

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "nest.dxf"
        path.write_text(nest_dxf(), encoding="ascii")
        readers: dict[str, Callable[[], object]] = {
            "bare loop": lambda: bare_read(path),
            "ours": lambda: read_pattern_data(path),
            "ezdxf": lambda: ezdxf.readfile(path),
        }
        took: dict[str, list[float]] = {name: [] for name in readers}
        for _ in range(runs):
            for name, call in readers.items():
                took[name].append(in_a_fresh_process(call))
        data = read_pattern_data(path)
        kept = {f"{p.block} {layer}": line for p in data.pieces for layer, line in (("1", p.boundary_raw),)}
        bare = {f"{block} {layer}": tuple(line) for block, lines in bare_read(path).items() for layer, line in lines}
        if any(bare[key] != line for key, line in kept.items()):
            raise SystemExit("ours and the bare loop do not agree")
        ours = statistics.median(took["ours"])
        for name, seconds in took.items():
            median = statistics.median(seconds)
            print(f"{name:10} {median * 1e3:8.1f} ms processor time  {median / ours:6.2f} x ours")
        vertices = sum(len(p.boundary) + sum(len(s.points) for s in p.stitch_lines) for p in data.pieces)
        print(f"{len(data.pieces)} blocks, {vertices} vertices, {path.stat().st_size / 1e6:.1f} MB")


STYLES: dict[str, dict[str, object]] = {
    "pegged, short sleeve, vent": {},
    "straight, long sleeve": {"hem": "straight", "sleeve": "long"},
    "A-line, elbow sleeve": {"hem": "a-line", "sleeve": "elbow"},
    "V neck, no sleeve, slit": {"neckline": "v", "sleeve": "none", "opening": "slit"},
    "square neck, cap sleeve": {"neckline": "square", "sleeve": "cap"},
    "boat neck, side zip": {"neckline": "boat", "zip": "side", "neck_width": "14.5 cm"},
    "all-in-one facing": {"sleeve": "none", "facing": "all-in-one", "interfacing": "yes"},
    "waist seam, long sleeve": {"waist_seam": "yes", "sleeve": "long", "hem": "straight"},
    "waist seam, bust dart": {"waist_seam": "yes", "bust_dart": "side", "hem": "a-line"},
    "bust dart, no sleeve": {"bust_dart": "side", "sleeve": "none"},
    "lined, back zip": {"lining": "full", "interfacing": "yes"},
    "lined, side zip, straight": {
        "lining": "full",
        "zip": "side",
        "hem": "straight",
        "neckline": "boat",
        "neck_width": "14.5 cm",
    },
}


def bench_styles() -> None:
    from collections import Counter

    from oaktag.body.measurements import Measurements
    from oaktag.checks.run import check
    from oaktag.draft.options import validated
    from oaktag.errors import OaktagError, Where
    from oaktag.finish.allowances import allow
    from oaktag.finish.marks import mark
    from oaktag.garments.sheath_dress import sheath_dress
    from oaktag.sheet.drawing import label_box

    for words, asked in STYLES.items():
        style, errors = validated(sheath_dress.options, asked, "cm", lambda key: Where("", 0, key))
        if errors:
            raise SystemExit(str(errors[0]))
        count: Counter[str] = Counter()
        reasons: Counter[str] = Counter()
        start = time.process_time()
        for body in bodies():
            try:
                draft = sheath_dress.draft(Measurements(body), style, "cm")
                pattern = mark(
                    allow(draft, {}), title="bench", size="measured", size_words="", unit="cm", label_box=label_box
                )
                findings = check(pattern)
            except OaktagError as error:
                count["refused"] += 1
                reasons[" ".join(w for w in str(error).split(". ")[0].split() if not w[0].isdigit())[:90]] += 1
                continue
            failed = {f.severity.value: f for f in findings if not f.passed and f.severity.value != "info"}
            count["error" if "error" in failed else "warn" if failed else "pass"] += 1
            reasons.update(
                {f"{f.severity.value} {f.id}" for f in findings if not f.passed and f.severity.value != "info"}
            )
        took = (time.process_time() - start) / 300 * 1e3
        print(f"{words}: " + ", ".join(f"{n} {what}" for what, n in sorted(count.items())) + f"; {took:.1f} ms a body")
        for reason, n in reasons.most_common():
            print(f"    {n:4} {reason}")


def bench_nest() -> None:
    """Times, and each as a part of drafting the 20 sizes."""
    sys.path[:0] = [str(ROOT / "tests")]
    from oaktag.checks.across import ACROSS
    from oaktag.checks.run import check
    from oaktag.grade.nest import graded
    from oaktag.grade.ruled import graded_by_rules
    from oaktag.grade.rules import rules_of
    from oaktag.sheet.drawing import label_box
    from wardrobe import dress, singer

    style: dict[str, object] = {"lining": "full", "sleeve": "long", "opening": "vent", "opening_length": 8}
    spent: dict[str, list[float]] = {}

    def timed(stage: str, call: Callable[[], Any]) -> Any:
        start = time.perf_counter()
        result = call()
        spent.setdefault(stage, []).append(time.perf_counter() - start)
        return result

    for _ in range(5):
        drafts = timed("draft", lambda: {str(n): dress(singer((n - 20) / 2), **style) for n in range(4, 44, 2)})
        nest = timed(
            "finish",
            lambda: graded(drafts, "20", {}, {}, title="", unit="in", label_box=label_box),  # noqa: B023
        )
        timed("check each", lambda: [check(pattern) for pattern in nest.patterns])  # noqa: B023
        for rule in ACROSS:
            timed(f"across: {rule.__name__}", lambda: list(rule(nest)))  # noqa: B023
        rules = timed("export rules", lambda: rules_of(nest))  # noqa: B023
        timed("grade by rules", lambda: graded_by_rules(drafts["20"], "20", rules, nest.bodies))  # noqa: B023
    print(f"{len(nest.patterns)} sizes × {len(nest.patterns[0].pieces)} pieces")
    across = sum(statistics.median(times) for stage, times in spent.items() if stage.startswith("across"))
    floor = statistics.median(spent["draft"])
    for stage, seconds in [*((s, statistics.median(t)) for s, t in spent.items()), ("across, together", across)]:
        print(f"{stage:26} {seconds * 1e3:8.1f} ms  {seconds / floor:6.2f} × drafting")


def set_of(count: int, folder: Path) -> Path:
    """A job of that many sizes of a lined dress, on a chart drawn through sizes 8 and 20 of the one that ships."""
    from oaktag.body.charts import load_chart

    chart = load_chart("women", ROOT)
    low, high = chart.sizes.index("8"), chart.sizes.index("20")
    sizes = [f"s{i + 1}" for i in range(count)]
    lines = [",".join(["measurement", "unit", *sizes])]
    for name, row in chart.rows.items():
        step = (row[high] - row[low]) / (count - 1)
        lines.append(",".join([name, "mm", *(f"{row[low] + step * i:.2f}" for i in range(count))]))
    (folder / f"chart-{count}.csv").write_text("\n".join([*lines, ""]))
    job = folder / f"job-{count}.toml"
    job.write_text(
        f'title = "Lighthouse choir"\ngarment = "sheath-dress"\nunits = "in"\n[sizes]\nchart = "chart-{count}.csv"\n'
        '[style]\nlength = 40\nsleeve = "elbow"\nlining = "full"\nopening_length = 8\n'
        '[output]\npaper = "a4"\n'
    )
    return job


def set_geometry(job: Path, path: Path) -> None:
    """Exact curves of every size, and all strokes as they are drawn, for the floor."""
    import pickle

    from oaktag.device.profile import usable_width
    from oaktag.device.store import find_device
    from oaktag.job import load_job
    from oaktag.pipeline import make, nest_of
    from oaktag.sheet.arrange import arrange
    from oaktag.sheet.dashes import dashed_line
    from oaktag.sheet.nest import key_figure, nest_figures
    from oaktag.sheet.on_device import EDGE
    from oaktag.sheet.scale_block import scale_block

    asked = load_job(job)
    nest = nest_of(asked)
    figures = [*nest_figures(nest), key_figure(nest), scale_block(290.0, 300.0)]
    roll = arrange("", figures, usable_width(find_device("roll-914")), margin=EDGE)
    strokes = [s for f in roll.figures for s in f.strokes]
    plotted = [
        (False, [tuple(p) for p in dash])
        for s in strokes
        for dash in (dashed_line(s.points, s.dashes, closed=s.closed) if s.dashes else [s.points])
    ]
    rules = make(asked, only=("dxf",)).files["pattern.rul"].decode().split("RULE: DELTA")[1:]
    path.write_bytes(
        pickle.dumps(
            {
                "base": nest.base,
                "height": roll.height,
                "pieces": {
                    (p.name, pattern.size): [
                        tuple(tuple(q) for q in c.controls()) for e in p.cut.piece.edges for c in e.curves
                    ]
                    for pattern in nest.patterns
                    for p in pattern.pieces
                },
                "strokes": [(s.closed, [tuple(p) for p in s.points]) for s in strokes],
                "plotted": plotted,
                "rules": rules,
            }
        )
    )


def bench_sets(runs: int) -> None:
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        grown: dict[int, float] = {}
        for count in (5, 10, 20):
            job, data = set_of(count, folder), folder / f"geometry-{count}.pickle"
            set_geometry(job, data)
            floor = str(ROOT / "tests/bench/floor_sets.py")
            found = taking_turns(
                {
                    "f-strings": [sys.executable, floor, str(data), f"{folder}/plain", "f-string"],
                    "ezdxf": [sys.executable, floor, str(data), f"{folder}/library", "ezdxf"],
                    "oaktag make": [str(OAKTAG), "make", str(job), "-o", f"{folder}/made-{count}"],
                },
                runs,
            )
            plain, library = found["f-strings"][0], found["ezdxf"][0]
            print(f"{count} sizes")
            for name, (seconds, peak) in found.items():
                print(
                    f"  {name:12} {seconds * 1e3:8.1f} ms  {seconds / plain:5.2f} x plain writers"
                    f"  {seconds / library:5.2f} x ezdxf  peak {peak:6.1f} MB"
                )
            grown[count] = found["oaktag make"][0]
        a, b = (grown[10] - grown[5]) / 5, (grown[20] - grown[10]) / 10
        print(f"one size more costs {a * 1e3:.1f} ms between 5 and 10 sizes, {b * 1e3:.1f} ms between 10 and 20")


def bench_tiles(runs: int) -> None:
    """On A4, in memory, reportlab without layers and dashes: 8 outlines of 375 points in ten sizes; and a real nest."""
    from io import BytesIO

    from reportlab.pdfgen.canvas import Canvas

    from oaktag.export.pdf import render_tiles
    from oaktag.export.tiles import cut_into_tiles, tile_pitch
    from oaktag.job import load_job
    from oaktag.pipeline import nest_of
    from oaktag.sheet.arrange import arrange_for_tiles
    from oaktag.sheet.nest import nest_figures
    from oaktag.sheet.paper import PAPERS
    from oaktag.sheet.strokes import Figure, Role, Stroke

    paper, points = PAPERS["a4"], 72 / 25.4
    with tempfile.TemporaryDirectory() as folder:
        figures = nest_figures(nest_of(load_job(set_of(10, Path(folder)))))

    def reportlab(pages: list[list[tuple[bool, list[tuple[float, float]]]]]) -> bytes:
        held = BytesIO()
        canvas = Canvas(held, pagesize=(paper.width * points, paper.height * points), pageCompression=1)
        for strokes in pages:
            canvas.setLineWidth(0.5)
            for closed, line in strokes:
                path = canvas.beginPath()
                path.moveTo(*line[0])
                for x, y in line[1:]:
                    path.lineTo(x, y)
                if closed:
                    path.close()
                canvas.drawPath(path, stroke=1, fill=0)
            canvas.showPage()
        canvas.save()
        return held.getvalue()

    plain = [
        Figure(
            f"piece {i}",
            tuple(
                Stroke(
                    Role.CUT, tuple((x * (1 + 0.02 * k), y * (1 + 0.02 * k)) for x, y in ring), True, f"size {k}", ()
                )
                for k in range(10)
            ),
        )
        for i, (ring, _) in enumerate(outlines(8, 375))
    ]
    for what, drawn in (("outlines of ten sizes", plain), ("ten sizes of a lined dress, lettered", figures)):
        sheet = arrange_for_tiles("Lighthouse choir", drawn, *tile_pitch(paper))
        pages = [
            [
                (s.closed, [((x - t.live.left + 10) * points, (y - t.live.bottom + 10) * points) for x, y in s.points])
                for f in t.figures
                for s in f.strokes
            ]
            for t in cut_into_tiles(sheet, paper).tiles
            if not t.blank
        ]
        makers: dict[str, Callable[[], bytes]] = {
            "reportlab": lambda pages=pages: reportlab(pages),
            "ours": lambda sheet=sheet: render_tiles(sheet, paper),
        }
        took: dict[str, list[float]] = {name: [] for name in makers}
        size: dict[str, int] = {}
        for turn in range(runs + 1):
            for name, call in makers.items():
                start = time.process_time()
                size[name] = len(call())
                if turn:
                    took[name].append(time.process_time() - start)
        base = statistics.median(took["reportlab"])
        segments = sum(len(line) - 1 + closed for strokes in pages for closed, line in strokes)
        print(f"{what}: {len(pages)} pages, {segments} segments")
        for name, seconds in took.items():
            median = statistics.median(seconds)
            print(f"  {name:10} {median * 1e3:7.1f} ms  {median / base:5.2f} x reportlab  {size[name] / 1e3:6.0f} kB")


def main() -> None:
    what = sys.argv[1] if len(sys.argv) > 1 else ""
    runs = int(sys.argv[2]) if len(sys.argv) > 2 else 11
    if what == "make":
        bench_make(runs)
    elif what == "help":
        bench_help(runs)
    elif what == "bodies":
        bench_bodies()
    elif what == "sets":
        bench_sets(runs)
    elif what == "nest":
        bench_nest()
    elif what == "styles":
        bench_styles()
    elif what == "dxf-read":
        bench_dxf_read(runs)
    elif what == "tiles":
        bench_tiles(runs)
    elif what == "cut":
        bench_cut(runs)
    else:
        raise SystemExit(__doc__)


if __name__ == "__main__":
    main()
