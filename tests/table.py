"""A simulated projector over a table, and hands at the page: for the tests of the projection page.

The truth is worked with numpy from the formula of standard projective geometry, never with the page's own numbers.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from oaktag.sheet.strokes import Figure, Role, Sheet, Stroke
from wardrobe import CHROMIUM, tool

Array = NDArray[np.float64]


def homography(table: Sequence[tuple[float, float]], page: Sequence[tuple[float, float]]) -> Array:
    """The 3 × 3 matrix that takes four table points (mm) to page points (px): two linear rows a pair, solved."""
    rows, values = [], []
    for (x, y), (u, v) in zip(table, page, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        values += [u, v]
    return np.append(np.linalg.solve(np.array(rows, float), np.array(values, float)), 1.0).reshape(3, 3)


def through(h: Array, points: object) -> Array:
    """`points` (n, 2) through a homography."""
    flat = np.asarray(points, float)
    far = np.column_stack([flat, np.ones(len(flat))]) @ h.T
    return far[:, :2] / far[:, 2:]


def distances(a: object, b: object) -> Array:
    return np.linalg.norm(np.asarray(a, float) - np.asarray(b, float), axis=1)


@dataclass(frozen=True)
class Projector:
    """Where a projector throws the corners of a mat: `width` × `depth` mm, corners in page px."""

    width: float
    depth: float
    corners: tuple[tuple[float, float], ...]

    @property
    def mat(self) -> list[tuple[float, float]]:
        return [(0, 0), (self.width, 0), (self.width, self.depth), (0, self.depth)]

    @property
    def truth(self) -> Array:
        return homography(self.mat, self.corners)

    def on_table(self, page: object) -> Array:
        """Page px as they fall on the table, mm."""
        return through(np.linalg.inv(self.truth), page)


ASLANT = Projector(600.0, 400.0, ((143.37, 702.81), (1171.64, 655.23), (1093.19, 88.46), (201.72, 131.95)))
"""A lamp that stands aside: 600 × 400 mm in a window of 1280 × 800 px."""
LENS = Projector(910.0, 590.0, ((96.2, 748.9), (1203.4, 761.3), (1010.7, 60.2), (290.5, 82.6)))
"""One that looks on from the near side."""


def curve(points: int = 60) -> tuple[tuple[float, float], ...]:
    """A closed outline that is no polygon of few corners, about 220 × 160 mm."""
    turns = [2 * math.pi * i / points for i in range(points)]
    return tuple((110 + 100 * math.cos(t) + 8 * math.cos(3 * t), 80 + 70 * math.sin(t)) for t in turns)


def demo_sheet(title: str = "Lighthouse choir, test cloth") -> Sheet:
    """A half on the fold (x = 20, 150 × 300 mm), a leaf, and a square in two sizes."""
    half = ((20.0, 20.0), (170.0, 20.0), (150.0, 250.0), (60.0, 320.0), (20.0, 280.0))
    front = Figure(
        "front",
        (
            Stroke(Role.CUT, half, closed=True),
            Stroke(Role.STITCH, ((160.0, 30.0), (140.0, 240.0))),
            Stroke(Role.FOLD, ((20.0, 20.0), (20.0, 280.0))),
            Stroke(Role.FOLD, ((20.0, 60.0), (34.0, 60.0), (34.0, 240.0), (20.0, 240.0))),
            Stroke(Role.GRAIN, ((60.0, 60.0), (60.0, 240.0))),
            Stroke(Role.LABEL, ((80.0, 100.0), (90.0, 100.0), (90.0, 110.0))),
        ),
    )
    leaf = Figure("leaf_piece", (Stroke(Role.CUT, tuple((x + 220, y + 20) for x, y in curve()), closed=True),))
    square = Figure(
        "pocket",
        tuple(
            Stroke(Role.CUT, ((250.0, 220.0), (right, 220.0), (right, right - 30.0), (250.0, right - 30.0)), True, n, d)
            for right, n, d in ((330.0, "10", (6.0, 3.0)), (340.0, "12", ()))
        ),
    )  # fmt: skip
    return Sheet(title, 460.0, 340.0, (front, leaf, square))


# ---- hands


@contextmanager
def chromium() -> Iterator[Any]:
    """A headless Chromium that is driven by real events; skipped without it, but never in CI."""
    if CHROMIUM is None:
        tool("chromium")
    play_module = pytest.importorskip("playwright.sync_api")
    with play_module.sync_playwright() as play:
        browser = play.chromium.launch(
            executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu", "--hide-scrollbars"]
        )
        try:
            yield browser
        finally:
            browser.close()


def settled(page: Any) -> Any:
    """The page's state, after two frames."""
    page.evaluate("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")
    return page.evaluate("oaktag.state()")


def wait_until(page: Any, holds: Callable[[], bool]) -> None:
    """For what a browser does in its own time: a tap that may become a double tap, a look round once a second."""
    for _ in range(100):
        if holds():
            return
        page.wait_for_timeout(100)
    raise AssertionError("it never came")


def press(page: Any, *keys: str) -> Any:
    for key in keys:
        page.keyboard.press(key)
    return settled(page)


def give_mat(page: Any, width: str, depth: str, name: str = "") -> Any:
    """Fills in the form that asks for the mat, by keys alone."""
    page.keyboard.type(width)
    page.keyboard.press("Tab")
    page.keyboard.type(depth)
    if name:
        page.keyboard.press("Tab")
        page.keyboard.type(name)
    return press(page, "Enter")


def drag(page: Any, start: Sequence[float], end: Sequence[float]) -> None:
    page.mouse.move(*start)
    page.mouse.down()
    page.mouse.move(*[(a + b) / 2 for a, b in zip(start, end, strict=True)])
    page.mouse.move(*end)
    page.mouse.up()


def set_step(page: Any, wanted: int) -> None:
    """0 fine, 1 usual, 2 large: by key S, which goes round."""
    while page.evaluate("oaktag.state().step") != wanted:
        page.keyboard.press("s")


def nudge(page: Any, point: int, goal: Sequence[float]) -> None:
    """Brings a point to its goal by keys alone: large, usual, then fine steps."""
    page.keyboard.press(str(point + 1))
    for step, size in ((2, 10.0), (1, 1.0), (0, 0.1)):
        set_step(page, step)
        _walk(page, page.evaluate("oaktag.state().points")[point]["px"], goal, size)
    set_step(page, 1)


def _walk(page: Any, at: Sequence[float], goal: Sequence[float], size: float) -> None:
    across, down = (round((g - a) / size) for a, g in zip(at, goal, strict=True))
    for _ in range(abs(across)):
        page.keyboard.press("ArrowRight" if across > 0 else "ArrowLeft")
    for _ in range(abs(down)):
        page.keyboard.press("ArrowDown" if down > 0 else "ArrowUp")


def square_up(page: Any, projector: Projector) -> Any:
    """As a maker does: drags every corner by the mouse to whole px, then takes fine steps with the keys."""
    for index, goal in enumerate(projector.corners):
        start = page.evaluate("oaktag.state().points")[index]["px"]
        drag(page, start, [round(value) for value in goal])
        nudge(page, index, goal)
    return press(page, "Enter")
