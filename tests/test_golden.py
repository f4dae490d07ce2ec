"""Golden drawings: every stroke of the demo dress, one a line, to 0.01 mm, so that a review shows what moved.

`pytest tests/test_golden.py --regold` rewrites them and says what moved, and how far. A missing golden fails.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import zip_longest
from pathlib import Path

import pytest
import shapely

from oaktag.job import load_job
from oaktag.pipeline import pattern_of
from oaktag.sheet.drawing import figure_of
from oaktag.sheet.strokes import Figure, Role, Stroke

GOLDEN = Path(__file__).parent / "golden"
JOBS = Path(__file__).parents[1] / "fixtures" / "choir"
LAST_PLACE = 0.0101
"""Other machines may round the last place of a coordinate the other way, mm."""
pytestmark = pytest.mark.smoke


def as_text(figure: Figure) -> str:
    """`CUT closed 0.00,10.00 215.00,10.00 ...`: one stroke a line, mm."""
    return "".join(
        f"{stroke.role.name} {'closed' if stroke.closed else 'open'} "
        + " ".join(f"{x + 0.0:.2f},{y + 0.0:.2f}" for x, y in ((round(x, 2), round(y, 2)) for x, y in stroke.points))
        + "\n"
        for stroke in figure.strokes
    )


def from_text(text: str) -> list[Stroke]:
    strokes = []
    for line in text.splitlines():
        role, closed, *points = line.split()
        pairs = (re.split(",", point) for point in points)
        strokes.append(Stroke(Role[role], tuple((float(x), float(y)) for x, y in pairs), closed == "closed"))
    return strokes


def moved_by(was: Stroke, now: Stroke) -> float:
    """The furthest that any place of one stroke is from the other, mm; 0 when they agree to the last place."""
    if len(was.points) == len(now.points):
        steps = [max(abs(a[0] - b[0]), abs(a[1] - b[1])) for a, b in zip(was.points, now.points, strict=True)]
        if max(steps) <= LAST_PLACE:
            return 0.0
    shapes = [shapely.LineString([*s.points, s.points[0]] if s.closed else s.points) for s in (was, now)]
    return max(LAST_PLACE, float(shapes[0].hausdorff_distance(shapes[1])))


def differences(was: list[Stroke], now: list[Stroke]) -> list[str]:
    """One line for each stroke that is not as it was; empty when the drawings agree."""
    found = []
    for number, (a, b) in enumerate(zip_longest(was, now), 1):
        if a is None or b is None:
            stroke, word = (b, "is new") if a is None else (a, "is gone")
            assert stroke is not None
            found.append(f"stroke {number} ({stroke.role.value}) {word}")
        elif (a.role, a.closed) != (b.role, b.closed):
            found.append(f"stroke {number} was a {a.role.value} and is a {b.role.value}")
        elif (far := moved_by(a, b)) > 0:
            counts = "" if len(a.points) == len(b.points) else f", {len(a.points)} points and now {len(b.points)}"
            found.append(f"stroke {number} ({a.role.value}) moved by {far:.2f} mm{counts}")
    return found


def overlay(was: list[Stroke], now: list[Stroke]) -> str:
    """Both drawings, full size: as it was in blue, as it is in red on top."""
    xs, ys = zip(*(p for stroke in (*was, *now) for p in stroke.points), strict=True)
    left, top, width, height = min(xs) - 10, max(ys) + 10, max(xs) - min(xs) + 20, max(ys) - min(ys) + 20
    size = f'width="{width:.2f}mm" height="{height:.2f}mm" viewBox="0 0 {width:.2f} {height:.2f}"'
    lines = [f'<svg xmlns="http://www.w3.org/2000/svg" {size}>', '<rect width="100%" height="100%" fill="white"/>']
    for strokes, colour, thick in ((was, "#3070ff", 0.8), (now, "#e02020", 0.3)):
        for stroke in strokes:
            points = " ".join(f"{x - left:.2f},{top - y:.2f}" for x, y in stroke.points)
            kind = "polygon" if stroke.closed else "polyline"
            lines.append(f'<{kind} points="{points}" fill="none" stroke="{colour}" stroke-width="{thick}"/>')
    return "\n".join([*lines, "</svg>", ""])


@dataclass(frozen=True)
class Golden:
    """Compares one drawing with its file; with `noted`, rewrites the file instead and notes what moved."""

    folder: Path
    overlays: Path
    noted: list[str] | None = None

    def problems(self, name: str, figure: Figure) -> list[str]:
        path = self.folder / f"{name}.strokes"
        text = as_text(figure)
        if not path.exists():
            if self.noted is None:
                return [f"{name}: no golden drawing. Look at it, then run pytest --regold"]
            self.noted.append(f"{name}: new")
            path.write_text(text, encoding="utf-8", newline="\n")
            return []
        was, now = from_text(path.read_text(encoding="utf-8")), from_text(text)
        found = [f"{name}: {difference}" for difference in differences(was, now)]
        if self.noted is not None:
            self.noted.extend(found)
            if found:
                path.write_text(text, encoding="utf-8", newline="\n")
            return []
        if found:
            picture = self.overlays / f"{name}.svg"
            picture.write_text(overlay(was, now), encoding="utf-8")
            found.append(f"{name}: was in blue, is in red: {picture}. If it is meant, run pytest --regold")
        return found


@pytest.mark.parametrize("job", ["alto-3"])
def test_the_drawings_are_as_they_were(job: str, tmp_path: Path, regolded: list[str] | None) -> None:
    golden = Golden(GOLDEN, tmp_path, regolded)
    pattern = pattern_of(load_job(JOBS / f"{job}.toml"))
    drawn = {f"{job}-{piece.name}": figure_of(piece) for piece in pattern.pieces}
    problems = [problem for name, figure in drawn.items() for problem in golden.problems(name, figure)]
    for left_over in sorted({path.stem for path in GOLDEN.glob(f"{job}-*.strokes")} - set(drawn)):
        if regolded is None:
            problems.append(f"{left_over}: a golden drawing of no piece. Run pytest --regold")
        else:
            regolded.append(f"{left_over}: gone")
            (GOLDEN / f"{left_over}.strokes").unlink()
    assert not problems, "\n".join(problems)


# ---------------------------------------------------------------- the comparison itself

SQUARE = Figure(
    "square",
    (
        Stroke(Role.CUT, ((0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)), closed=True),
        Stroke(Role.GRAIN, ((50.0, 10.0), (50.0, 90.0))),
    ),
)


def with_grain(*points: tuple[float, float]) -> Figure:
    return Figure("square", (SQUARE.strokes[0], Stroke(Role.GRAIN, points)))


def test_text_reads_back() -> None:
    text = as_text(Figure("one", (Stroke(Role.NOTCH, ((-0.001, 1.006), (2.0, -3.0))),)))
    assert text == "NOTCH open 0.00,1.01 2.00,-3.00\n"
    assert from_text(as_text(SQUARE)) == list(SQUARE.strokes)


def test_a_missing_golden_fails(tmp_path: Path) -> None:
    assert Golden(tmp_path, tmp_path).problems("square", SQUARE) == [
        "square: no golden drawing. Look at it, then run pytest --regold"
    ]
    assert list(tmp_path.iterdir()) == []


def test_a_moved_stroke_is_named_with_how_far_and_drawn(tmp_path: Path) -> None:
    noted: list[str] = []
    assert Golden(tmp_path, tmp_path, noted).problems("square", SQUARE) == []
    assert noted == ["square: new"]
    golden = Golden(tmp_path, tmp_path)
    assert golden.problems("square", SQUARE) == []
    assert golden.problems("square", with_grain((50.004, 10.0), (50.0, 90.0))) == []
    problems = golden.problems("square", with_grain((50.3, 10.4), (50.0, 90.0)))
    assert problems[0] == "square: stroke 2 (grain line) moved by 0.50 mm"
    picture = tmp_path / "square.svg"
    assert str(picture) in problems[1]
    assert picture.read_text(encoding="utf-8").count("<poly") == 4


def test_new_and_lost_strokes_are_named(tmp_path: Path) -> None:
    noted: list[str] = []
    Golden(tmp_path, tmp_path, noted).problems("square", SQUARE)
    golden = Golden(tmp_path, tmp_path)
    fewer = Figure("square", SQUARE.strokes[:1])
    more = Figure("square", (*SQUARE.strokes, Stroke(Role.DRILL, ((1.0, 1.0), (2.0, 2.0)))))
    assert golden.problems("square", fewer)[0] == "square: stroke 2 (grain line) is gone"
    assert golden.problems("square", more)[0] == "square: stroke 3 (drill holes) is new"
    bent = golden.problems("square", with_grain((50.0, 10.0), (51.0, 50.0), (50.0, 90.0)))
    assert bent[0] == "square: stroke 2 (grain line) moved by 1.00 mm, 2 points and now 3"


def test_regold_says_what_moved_and_rewrites(tmp_path: Path) -> None:
    noted: list[str] = []
    golden = Golden(tmp_path, tmp_path, noted)
    golden.problems("square", SQUARE)
    golden.problems("square", with_grain((50.0, 12.0), (50.0, 90.0)))
    assert noted == ["square: new", "square: stroke 2 (grain line) moved by 2.00 mm"]
    assert Golden(tmp_path, tmp_path).problems("square", with_grain((50.0, 12.0), (50.0, 90.0))) == []
