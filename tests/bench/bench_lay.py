"""Benchmarks of laying, run by hand.

usage: bench_lay.py instances [SECONDS …]   swim, shirts, albano, blaz1, jakobs1 of the literature: density of our lay
                                            and of the bare library in the same seconds, side by side, one worker each
       bench_lay.py dress [SECONDS]         the demo's size set of 6 on 150 cm: open and folded, one-way and two-way
       bench_lay.py estimates [SECONDS]     the report's estimate against a lay, one worker: demo jobs, other styles
"""

from __future__ import annotations

import csv
import json
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKING = ROOT / "fixtures/packing"
NAMES = ("swim", "shirts", "albano", "blaz1", "jakobs1")
ACROSS = 10_000.0
"""Width of every instance, mm: their units are none."""


def table() -> dict[str, dict[str, str]]:
    with (PACKING / "best_known.csv").open() as file:
        return {row["instance"]: row for row in csv.DictReader(file)}


def instance(name: str) -> tuple[float, list[tuple[str, list[tuple[float, float]], int, list[float]]], float]:
    """Scaled: width, items, area."""
    data = json.loads((PACKING / f"{name}.json").read_text())
    width = float(data["strip_width_of_best_known"])
    k = ACROSS / width
    items = [
        (
            f"i{item['id']}",
            [(x * k, y * k) for x, y in item["polygon"]],
            item["demand"],
            [float(t) for t in item["allowed_rotations_deg"]],
        )
        for item in data["items"]
    ]
    return ACROSS, items, data["total_piece_area"] * k * k


def ours(name: str, seconds: float) -> float:
    from oaktag.geometry.affine import Move
    from oaktag.geometry.polygon import area
    from oaktag.lay.cloth import Cloth
    from oaktag.lay.judge import judged
    from oaktag.lay.pieces import LayPiece, Pieces, Variant
    from oaktag.lay.search import lay_of

    width, items, total = instance(name)
    cloth = Cloth(width, gap=0.0, selvedge=0.0, ends=0.0)
    pieces = []
    for key, ring, demand, turns in items:
        upright = [(-y, x) for x, y in ring]  # the strip's length is up
        if area(upright) < 0:
            upright.reverse()
        variants = tuple(Variant(False, turn) for turn in turns)
        pieces += [LayPiece(key, "", 1, n, tuple(upright), Move(), variants) for n in range(1, demand + 1)]
    asked = Pieces(tuple(pieces))
    lay = lay_of("cloth", asked, cloth, seconds, workers=1)
    verdict = judged(lay, asked)
    assert verdict.holds, verdict.problems
    return 100 * total / (width * lay.length)


def bare(name: str, seconds: float) -> float:
    import spyrrow

    width, items, total = instance(name)
    strip = spyrrow.StripPackingInstance(
        name, width, [spyrrow.Item(key, ring, demand=n, allowed_orientations=turns) for key, ring, n, turns in items]
    )
    explore = max(1, round(seconds * 0.8))
    config = spyrrow.StripPackingConfig(
        early_termination=False, total_computation_time=None, exploration_time=explore,
        compression_time=max(1, int(seconds) - explore), num_workers=1, seed=1,
    )  # fmt: skip
    return 100 * total / (width * strip.solve(config).width)


def instances(all_seconds: list[int]) -> None:
    known = table()
    print(
        f"{'instance':9} {'s':>4} {'oaktag':>7} {'bare':>7} {'best known':>11} {'ROMA':>6} {'GCS':>6} {'ELS':>6}",
        flush=True,
    )
    for seconds in all_seconds:
        for name in NAMES:
            start = time.perf_counter()
            with ThreadPoolExecutor(1) as pool:
                other = pool.submit(bare, name, seconds)
                mine = ours(name, seconds)
                took = time.perf_counter() - start
                theirs = other.result()
            row = known[name]
            print(
                f"{name:9} {seconds:4} {mine:7.2f} {theirs:7.2f} {row['best_known_density_pct']:>11} "
                f"{row['roma_2019_density_pct']:>6} {row['gcs_2013_density_pct']:>6} {row['els_2012_density_pct']:>6}"
                f"   took {took:.1f} s", flush=True,
            )  # fmt: skip


def dress(seconds: float) -> None:
    from oaktag.job import load_job
    from oaktag.lay.bound import least_length
    from oaktag.lay.cloth import Cloth
    from oaktag.lay.judge import judged
    from oaktag.lay.pieces import pieces_for
    from oaktag.lay.search import lay_of
    from oaktag.pipeline import nest_of

    nest = nest_of(load_job(ROOT / "fixtures/choir/stage-dress.toml"))
    order = {"8": 1, "10": 2, "12": 3, "14": 3, "16": 2, "18": 1}
    for spread in ("open", "fold"):
        for one_way in (False, True):
            cloth = Cloth(1500.0, spread, one_way=one_way)
            pieces = pieces_for(nest, "shell", cloth, order)
            start = time.perf_counter()
            quick = lay_of("shell", pieces, cloth, 0.0)
            soon = time.perf_counter() - start
            start = time.perf_counter()
            lay = lay_of("shell", pieces, cloth, seconds)
            took = time.perf_counter() - start
            assert judged(lay, pieces).holds
            least = least_length(pieces.spread, cloth)
            print(
                f"{cloth.words():28} {pieces.count} pieces  {lay.length / 1000:.3f} m  use {lay.use:.1f} %  "
                f"bound {least / 1000:.3f} m  +{100 * (lay.length / least - 1):.1f} %  "
                f"first {quick.length / 1000:.3f} m after {soon:.2f} s, took {took:.1f} s",
                flush=True,
            )


DRESSES = (
    ("alto-3", "", 1500.0), ("soprano-1", "", 1500.0), ("conductor", "", 1143.0), ("soloist", "", 1400.0),
    ("worked", "", 1371.6), ("stage-dress", "", 1524.0), ("alto-3", "sleeve = 'short'", 1120.0),
    ("alto-3", "sleeve = 'long'; hem = 'straight'", 1371.6),
    ("alto-3", "hem = 'a-line'; sleeve = 'elbow'; neckline = 'v'", 1500.0),
    ("alto-3", "waist_seam = 'yes'; bust_dart = 'side'", 1500.0),
    ("alto-3", "zip = 'side'; neckline = 'boat'; neck_width = 5.5", 1500.0),
    ("alto-3", "sleeve = 'none'; facing = 'all-in-one'", 900.0),
    ("alto-3", "sleeve = 'cap'; opening = 'slit'; facing_width = 2.5", 1143.0),
    ("alto-3", "sleeve = 'none'; neckline = 'square'", 1120.0),
    ("alto-3", "waist_seam = 'yes'; sleeve = 'long'; hem = 'a-line'", 1524.0),
    ("alto-3", "sleeve = 'none'; hem = 'straight'; length = '140 cm'", 1371.6),
    ("alto-3", "sleeve = 'elbow'; hem = 'straight'", 914.4), ("soprano-1", "", 1120.0), ("conductor", "", 1500.0),
    ("alto-3", "", 1371.6), ("soprano-1", "neckline = 'v'; sleeve = 'long'; hem = 'pegged'", 1371.6),
    ("soloist", "sleeve = 'none'; hem = 'a-line'; length = 115", 1143.0),
)  # fmt: skip
"""A demo job, the style in place of its own, and the width of the cloth, mm; the last five set no constant."""


def estimated(seconds: float) -> None:
    from tempfile import TemporaryDirectory

    from oaktag.job import load_job
    from oaktag.lay.cloth import Cloth
    from oaktag.lay.estimate import estimates
    from oaktag.lay.pieces import pieces_for
    from oaktag.lay.search import lay_of
    from oaktag.pipeline import nest_of

    offs = []
    for job, style, width in DRESSES:
        path = ROOT / f"fixtures/choir/{job}.toml"
        with TemporaryDirectory() as folder:
            if style:
                text = path.read_text(encoding="utf-8").split("[style]")[0]
                path = Path(folder) / "job.toml"
                path.write_text(f"{text}[style]\n" + style.replace("; ", "\n"), encoding="utf-8")
            nest = nest_of(load_job(path))
        (one,) = estimates(nest, "shell", {nest.base: 1}, (width,), Cloth(1500.0, "fold"))
        cloth = Cloth(width, "fold" if one.folded else "open")
        lay = lay_of("shell", pieces_for(nest, "shell", cloth, {nest.base: 1}), cloth, seconds, workers=1)
        offs.append(100 * (one.length / lay.length - 1))
        print(
            f"{job:12} {style:52} {width / 10:6.1f} cm {cloth.spread:5} estimate {one.length / 1000:.3f} m  "
            f"lay {lay.length / 1000:.3f} m  {offs[-1]:+.1f} %", flush=True,
        )  # fmt: skip
    print(f"from {min(offs):+.1f} to {max(offs):+.1f} %, mean {sum(offs) / len(offs):+.1f} %")


if __name__ == "__main__":
    if sys.argv[1:2] == ["instances"]:
        instances([int(s) for s in sys.argv[2:]] or [10, 60, 300])
    elif sys.argv[1:2] == ["dress"]:
        dress(float(sys.argv[2]) if len(sys.argv) > 2 else 60.0)
    elif sys.argv[1:2] == ["estimates"]:
        estimated(float(sys.argv[2]) if len(sys.argv) > 2 else 20.0)
    else:
        raise SystemExit(__doc__)
