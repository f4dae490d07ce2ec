"""Drawings as a hand makes them: half a skirt's front with darts of every kind, as plain-text SVG and by ezdxf as DXF.

All is invented, for the Lighthouse Choir's wardrobe room; mm, y up. A hand wobbles: lines leave their way by up to
`wobble` mm, smoothly, and strokes end that far off.
"""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import ezdxf

XY = tuple[float, float]


@dataclass
class Hand:
    """Draws, and keeps what it drew."""

    seed: int
    wobble: float
    outlines: list[list[XY]] = field(default_factory=list)
    strokes: list[tuple[list[XY], bool]] = field(default_factory=list)
    words: list[tuple[str, XY]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.dice = random.Random(self.seed)

    def near(self, p: XY) -> XY:
        r, turn = self.wobble * self.dice.random(), self.dice.uniform(0, math.tau)
        return (p[0] + r * math.cos(turn), p[1] + r * math.sin(turn))

    def run(self, points: Sequence[XY]) -> list[XY]:
        """Through the points, from the first to the last; between them off by the wobble."""
        found: list[XY] = [points[0]]
        for a, b in itertools.pairwise(points):
            long = math.dist(a, b)
            steps = max(2, int(long / 6))
            across = (-(b[1] - a[1]) / long, (b[0] - a[0]) / long)
            waves = [(self.dice.uniform(-1, 1), self.dice.randint(1, 3)) for _ in range(2)]
            for k in range(1, steps):
                t = k / steps
                off = self.wobble * sum(w * math.sin(math.pi * n * t) for w, n in waves) / 2
                found.append((a[0] + (b[0] - a[0]) * t + off * across[0], a[1] + (b[1] - a[1]) * t + off * across[1]))
            found.append(b)
        return found

    def curve(self, *points: XY) -> list[XY]:
        """Smoothly through the points (their ends a little off), a place every 8 mm or so, off by the wobble."""
        placed = [self.near(points[0]), *points[1:-1], self.near(points[-1])]
        ways = [placed[0], *placed, placed[-1]]
        found: list[XY] = []
        for p, a, b, q in zip(ways, ways[1:], ways[2:], ways[3:], strict=False):
            steps = max(2, int(math.dist(a, b) / 8))
            for k in range(steps):
                found.append(tuple(_through(p[i], a[i], b[i], q[i], k / steps) for i in (0, 1)))  # type: ignore[arg-type]
        found.append(placed[-1])
        waves = [(self.dice.uniform(-1, 1), self.dice.randint(1, 4)) for _ in range(3)]
        last = len(found) - 1
        for k in range(1, last):
            off = self.wobble * sum(w * math.sin(math.pi * n * k / last) for w, n in waves) / 3
            (ax, ay), (bx, by) = found[k - 1], found[k + 1]
            long = math.dist((ax, ay), (bx, by))
            found[k] = (found[k][0] - off * (by - ay) / long, found[k][1] + off * (bx - ax) / long)
        return found

    def outline_of(self, *edges: Sequence[XY]) -> None:
        """Closed, of smooth edges from corner to corner; where one ends the next begins."""
        runs = [self.curve(*edge) for edge in edges]
        self.outlines.append(
            [p for run, after in zip(runs, [*runs[1:], runs[0]], strict=True) for p in _led(run, after)]
        )

    def outline(self, *corners: XY) -> None:
        """Closed, its corners a little off."""
        placed = [self.near(p) for p in corners]
        self.outlines.append(self.run([*placed, placed[0]])[:-1])

    def stroke(self, *points: XY, closed: bool = False) -> None:
        placed = [self.near(p) for p in points]
        run = self.run([*placed, placed[0]])[:-1] if closed else self.run(placed)
        self.strokes.append((run, closed))

    def turned(self, degrees: float) -> Hand:
        """All of it, turned about 0, 0."""
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))

        def turn(points: Sequence[XY]) -> list[XY]:
            return [(x * c - y * s, x * s + y * c) for x, y in points]

        self.outlines = [turn(points) for points in self.outlines]
        self.strokes = [(turn(points), closed) for points, closed in self.strokes]
        return self

    def svg(self, path: Path) -> Path:
        rows = ['<svg xmlns="http://www.w3.org/2000/svg" width="900mm" height="900mm" viewBox="-100 -800 900 900">']
        for points, closed in [(outline, True) for outline in self.outlines] + self.strokes:
            tag = "polygon" if closed else "polyline"
            rows.append(
                f'<{tag} fill="none" stroke="#000" points="{" ".join(f"{x:.3f},{-y:.3f}" for x, y in points)}"/>'
            )
        rows += [f'<text x="{x}" y="{-y}" font-size="16">{text}</text>' for text, (x, y) in self.words]
        path.write_text("\n".join([*rows, "</svg>"]) + "\n")
        return path

    def dxf(self, path: Path) -> Path:
        document = ezdxf.new("R2010")
        document.header["$INSUNITS"] = 4
        space = document.modelspace()
        for points, closed in [(outline, True) for outline in self.outlines] + self.strokes:
            space.add_lwpolyline(points, close=closed)
        for text, place in self.words:
            space.add_text(text, height=16).set_placement(place)
        document.saveas(path)
        return path


def _through(p: float, a: float, b: float, q: float, t: float) -> float:
    """Between a and b on a smooth way from p to q."""
    m, n = (b - p) / 2, (q - a) / 2
    return (2 * t**3 - 3 * t**2 + 1) * a + (t**3 - 2 * t**2 + t) * m + (3 * t**2 - 2 * t**3) * b + (t**3 - t**2) * n


def _led(run: Sequence[XY], after: Sequence[XY]) -> list[XY]:
    """A run whose end leads over to the beginning of the next, without its last point."""
    dx, dy = after[0][0] - run[-1][0], after[0][1] - run[-1][1]
    last = len(run) - 1
    return [(x + dx * k / last, y + dy * k / last) for k, (x, y) in enumerate(run)][:-1]


def skirt(seed: int, wobble: float, longer: float = 0.0) -> Hand:
    """The choir's spring skirt, half its front and half its back, with a waistband: sides of 57 cm. No layers, no ids,
    no words. `longer`: how much the back's side is drawn longer at the hem, mm."""
    hand = Hand(seed, wobble)
    hand.outline_of(
        [(0, 0), (140, 1), (270, 12)], [(270, 12), (262, 210), (251, 380), (226, 581)],
        [(226, 581), (150, 570), (0, 568)], [(0, 568), (0, 0)],
    )  # fmt: skip
    hand.stroke((120, 571), (128, 470))
    hand.stroke((140, 570), (129, 470))
    hand.stroke((252, 380), (244, 380))
    hand.stroke((70, 100), (70, 480))
    hand.outline_of(
        [(330, 12 - longer), (460, 1 - longer / 2), (600, 0)], [(600, 0), (600, 560)],
        [(600, 560), (470, 567), (374, 581)], [(374, 581), (349, 380), (338, 210), (330, 12 - longer)],
    )  # fmt: skip
    hand.stroke((450, 571), (466, 440), (480, 564))
    hand.stroke((349, 380), (357, 380))
    hand.stroke((530, 100), (530, 480))
    hand.outline((0, -110), (680, -110), (680, -40), (0, -40))
    hand.stroke((0, -75), (680, -75))
    hand.words += [("FRONT", (90, 300)), ("BACK", (420, 300)), ("WAISTBAND", (90, -65))]
    return hand


TIP, LEFT, RIGHT = (150.0, 500.0), (138.0, 600.0), (162.0, 600.0)
"""A dart of 24 mm, 100 mm deep, in a waist at y = 600."""
FRONT = ((0.0, 0.0), (280.0, 0.0), (250.0, 400.0), (240.0, 600.0), (0.0, 600.0))


def at(end: XY, more: float) -> XY:
    """The end of a leg, led on by so much (or cut short)."""
    long = math.dist(TIP, end)
    return (end[0] + (end[0] - TIP[0]) * more / long, end[1] + (end[1] - TIP[1]) * more / long)


def front_with_dart(kind: str, seed: int, wobble: float) -> Hand:
    hand = Hand(seed, wobble)
    if kind == "cut out of the outline":
        hand.outline(*FRONT[:4], RIGHT, TIP, LEFT, FRONT[4])
        return hand
    hand.outline(*FRONT)
    if kind == "two strokes":
        hand.stroke(LEFT, TIP)
        hand.stroke(RIGHT, TIP)
    elif kind == "two strokes from the point":
        hand.stroke(TIP, RIGHT)
        hand.stroke(TIP, LEFT)
    elif kind == "two strokes that cross at the point":
        hand.stroke(LEFT, at_tip(LEFT))
        hand.stroke(RIGHT, at_tip(RIGHT))
    elif kind == "two strokes that cross the edge":
        hand.stroke(at(LEFT, 7.0), TIP)
        hand.stroke(at(RIGHT, 4.0), TIP)
    elif kind == "two strokes that stop short":
        hand.stroke(at(LEFT, -4.0), TIP)
        hand.stroke(TIP, at(RIGHT, -2.5))
    elif kind == "a V left open at the edge":
        hand.stroke(LEFT, TIP, RIGHT)
    elif kind == "a V that crosses the edge":
        hand.stroke(at(LEFT, 5.0), TIP, at(RIGHT, 8.0))
    elif kind == "a V that stops short":
        hand.stroke(at(LEFT, -3.0), TIP, at(RIGHT, -5.0))
    elif kind == "a triangle over the edge":
        hand.stroke(at(LEFT, 10.0), TIP, at(RIGHT, 10.0), closed=True)
    elif kind == "a triangle far over the edge":
        hand.stroke(at(LEFT, 22.0), TIP, at(RIGHT, 22.0), closed=True)
    elif kind == "a triangle on the edge":
        hand.stroke(LEFT, TIP, RIGHT, closed=True)
    elif kind == "a triangle in one stroke":
        hand.stroke(LEFT, TIP, RIGHT, at(LEFT, 1.5))
    elif kind == "legs and mouth in three strokes":
        hand.stroke(LEFT, TIP)
        hand.stroke(RIGHT, TIP)
        hand.stroke(LEFT, RIGHT)
    elif kind == "legs and middle in three strokes":
        hand.stroke(LEFT, TIP)
        hand.stroke((150.0, 600.0), TIP)
        hand.stroke(RIGHT, TIP)
    else:
        raise AssertionError(kind)
    return hand


def at_tip(end: XY) -> XY:
    """The point, and 5 mm more."""
    long = math.dist(end, TIP)
    return (TIP[0] + (TIP[0] - end[0]) * 5 / long, TIP[1] + (TIP[1] - end[1]) * 5 / long)


KINDS = (
    "two strokes", "two strokes from the point", "two strokes that cross at the point",
    "two strokes that cross the edge", "two strokes that stop short", "a V left open at the edge",
    "a V that crosses the edge", "a V that stops short", "a triangle over the edge", "a triangle far over the edge",
    "a triangle on the edge", "a triangle in one stroke", "legs and mouth in three strokes",
    "legs and middle in three strokes", "cut out of the outline",
)  # fmt: skip


def no_dart(kind: str, seed: int, wobble: float) -> Hand:
    """A front with lines inside that are no dart."""
    hand = Hand(seed, wobble)
    if kind in ("V notch cut out of the waist", "deep V notch cut out of the hem"):
        x, y, deep = (150.0, 600.0, -8.0) if "waist" in kind else (140.0, 0.0, 14.0)
        half = 4.0 if "waist" in kind else -6.0
        notch = [(x + half, y), (x, y + deep), (x - half, y)]
        corners = [*FRONT[:4], *notch, FRONT[4]] if "waist" in kind else [FRONT[0], *notch, *FRONT[1:]]
        hand.outline(*corners)
        return hand
    hand.outline(*FRONT)
    for points in _NO_DARTS[kind]:
        closed = points[0] == points[-1]
        hand.stroke(*(points[:-1] if closed else points), closed=closed)
    return hand


_NO_DARTS: dict[str, list[list[XY]]] = {
    "fold line from waist to hem": [[(120, 600), (120, 0)]],
    "two fold lines across": [[(0, 300), (257, 300)], [(0, 340), (254, 340)]],
    "pleat lines": [[(100, 600), (100, 480)], [(130, 600), (130, 480)]],
    "pleat lines that taper": [[(100, 600), (108, 450)], [(135, 600), (127, 450)]],
    "box pleat lines": [[(80, 600), (80, 0)], [(110, 600), (110, 0)], [(140, 600), (140, 0)]],
    "pleat with its sign across": [[(100, 600), (100, 480)], [(130, 600), (130, 480)], [(130, 600), (100, 480)]],
    "short tucks": [[(100, 600), (100, 560)], [(112, 600), (112, 560)], [(124, 600), (124, 560)]],
    "sunray pleats": [[(x, 600), (120, 250)] for x in (60, 90, 120, 150, 180)],
    "slanted pocket opening": [[(170, 600), (246, 470)]],
    "slanted pocket with its bag": [[(170, 600), (246, 470)], [(170, 600), (170, 400), (249, 400)]],
    "patch pocket": [[(80, 480), (200, 480), (200, 340), (80, 340), (80, 480)]],
    "pointed patch pocket": [[(80, 480), (200, 480), (200, 360), (140, 330), (80, 360), (80, 480)]],
    "pocket flap with a point": [[(90, 480), (190, 480), (140, 440), (90, 480)]],
    "welt": [[(90, 470), (200, 470), (200, 458), (90, 458), (90, 470)]],
    "topstitching along waist and side": [[(0, 592), (234, 592), (244, 400), (272, 0)]],
    "topstitching along the waist, two rows": [[(0, 594), (240, 594)], [(0, 588), (240, 588)]],
    "fly stitching": [[(40, 600), (40, 460), (32, 440), (16, 432), (0, 430)]],
    "chevron from side to centre": [[(0, 420), (120, 300), (252, 380)]],
    "wide chevron in the waist": [[(60, 600), (130, 530), (200, 600)]],
    "arrow of a grain line": [[(140, 100), (140, 500)], [(134, 485), (140, 500)], [(146, 485), (140, 500)]],
    "crosses for buttons": [[(20, 500), (30, 510)], [(20, 510), (30, 500)]],
    "pennant inside": [[(100, 300), (124, 300), (112, 200), (100, 300)]],
    "style line from waist to side": [[(120, 600), (140, 480), (251, 380)]],
    "kick pleat": [[(60, 0), (60, 160)], [(0, 160), (60, 160)]],
    "one leg alone": [[(138, 600), (150, 500)]],
    "notches in the waist": [[(100, 600), (100, 592)], [(108, 600), (108, 592)]],
    "darning zigzag": [[(100, 600), (110, 560), (120, 600), (130, 560), (140, 600)]],
}
NO_DARTS = (*_NO_DARTS, "V notch cut out of the waist", "deep V notch cut out of the hem")
