"""Drawings from elsewhere against the bare libraries on the same files, taking turns; by hand.

`python tests/bench/bench_intake.py`: 200 pieces, 100,000 points; the best of five turns of each. The libraries only
parse and walk: svgelements its segments, ezdxf its entities and their points.
"""

from __future__ import annotations

import math
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import ezdxf
import svgelements

from oaktag.intake.read import read_drawing

PIECES, POINTS, TURNS = 200, 500, 5


def outline(number: int) -> list[tuple[float, float]]:
    """A wavy oval of POINTS points, 300 by 500 mm, in a row of twenty."""
    x, y = 350.0 * (number % 20), 550.0 * (number // 20)
    turns = [2 * math.pi * i / POINTS for i in range(POINTS)]
    return [
        (x + (150 + 4 * math.sin(9 * t)) * math.cos(t), y + (250 + 4 * math.sin(7 * t)) * math.sin(t)) for t in turns
    ]


def svg_of(curved: bool) -> str:
    paths = []
    for number in range(PIECES):
        points = [f"{x:.4f},{y:.4f}" for x, y in outline(number)]
        if curved:  # two handles and a point: as many numbers
            triples = [" ".join(points[i : i + 3]) for i in range(1, len(points) - 2, 3)]
            data = f"M {points[0]} C {' '.join(triples)} Z"
        else:
            data = f"M {points[0]} L {' '.join(points[1:])} Z"
        paths.append(f'<g id="piece-{number}" transform="translate(3,4)"><path id="p{number}" d="{data}"/></g>')
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="7000mm" height="5500mm" viewBox="0 0 7000 5500">'
        f"{''.join(paths)}</svg>"
    )


def dxf_of(path: Path, bulge: float) -> None:
    document = ezdxf.new("R2010", units=4)
    for number in range(PIECES):
        points = [(x, y, bulge) for x, y in outline(number)]
        document.modelspace().add_lwpolyline(points, format="xyb", close=True, dxfattribs={"layer": f"P{number}"})
    document.saveas(path)


def bare_svg(path: Path) -> int:
    count = 0
    for element in svgelements.SVG.parse(str(path)).elements():
        if isinstance(element, svgelements.Path):
            for segment in element:
                if segment.end is not None:
                    count += 1
    return count


def bare_dxf(path: Path) -> int:
    count = 0
    for entity in ezdxf.readfile(str(path)).modelspace():
        for _ in entity.get_points("xyb"):
            count += 1
    return count


def bare_curves(path: Path) -> int:
    """With the library's own curves, which a bulge needs."""
    from ezdxf.path import make_path

    count = 0
    for entity in ezdxf.readfile(str(path)).modelspace():
        for _ in make_path(entity):
            count += 1
    return count


def ours(path: Path) -> int:
    return sum(len(drawn.curves) for drawn in read_drawing(path).paths)


def best(functions: dict[str, Callable[[Path], int]], path: Path) -> dict[str, float]:
    found = dict.fromkeys(functions, math.inf)
    for _ in range(TURNS):
        for name, function in functions.items():
            begun = time.perf_counter()
            function(path)
            found[name] = min(found[name], time.perf_counter() - begun)
    return found


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        at = Path(folder)
        (at / "lines.svg").write_text(svg_of(False))
        (at / "curves.svg").write_text(svg_of(True))
        dxf_of(at / "lines.dxf", 0.0)
        dxf_of(at / "bulges.dxf", 0.01)
        for name, bare in (
            ("lines.svg", bare_svg), ("curves.svg", bare_svg), ("lines.dxf", bare_dxf), ("bulges.dxf", bare_dxf),
            ("bulges.dxf", bare_curves),
        ):  # fmt: skip
            path = at / name
            took = best({"read_drawing": ours, bare.__name__: bare}, path)
            mine, theirs = took["read_drawing"], took[bare.__name__]
            print(
                f"{name}, {path.stat().st_size / 1e6:.1f} MB, {ours(path):,} curves: read_drawing {mine:.3f} s, "
                f"{bare.__name__} {theirs:.3f} s, ratio {mine / theirs:.2f}"
            )


if __name__ == "__main__":
    main()
