"""The choir's wardrobe room: bodies to dress, dresses made of them, and a few rulers that are not the project's own."""

from __future__ import annotations

import csv
import gc
import io
import math
import os
import re
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache, lru_cache
from itertools import pairwise
from pathlib import Path
from typing import Any, NamedTuple, TypeAlias, TypeVar

import pytest

from oaktag.body.measurements import Measurements
from oaktag.checks.run import check
from oaktag.claims.girth import Girth
from oaktag.claims.measure import reach_of_notion
from oaktag.claims.openings import OpensTo
from oaktag.claims.stride import Stride
from oaktag.draft.garment import find_garment
from oaktag.draft.options import validated
from oaktag.errors import Where
from oaktag.finish.allowances import allow
from oaktag.finish.marks import mark
from oaktag.geometry.curve import Cubic, Line
from oaktag.grade.nest import graded
from oaktag.model.claim import Claim
from oaktag.model.draft import Draft
from oaktag.model.finding import Finding
from oaktag.model.nest import Nest
from oaktag.model.pattern import CutPiece, MarkedPiece, Pattern
from oaktag.model.piece import Edge, Piece
from oaktag.model.walking import Walk
from oaktag.sheet.drawing import label_box
from oaktag.units import Unit

_Kind = TypeVar("_Kind", bound=Claim)
ROOT = Path(__file__).parent.parent
FIXTURES = ROOT / "fixtures"
IN = 25.4
DRESS = find_garment("sheath-dress")
_TAKEN = (
    "bust_girth", "waist_girth", "hip_girth", "back_waist_length", "waist_to_hip", "bust_point_width",
    "upper_arm_girth", "arm_length", "wrist_girth", "hand_girth", "stature", "waist_height", "knee_height",
    "crotch_height", "ankle_height", "knee_girth", "calf_girth", "ankle_girth", "thigh_girth", "shoulder_length",
    "neck_base_girth", "head_girth",
)  # fmt: skip


def inches(**measured: float) -> Measurements:
    """A body given in inches."""
    return Measurements({name: value * IN for name, value in measured.items()})


ALTO = inches(
    bust_girth=38, waist_girth=30.5, hip_girth=41, shoulder_width=15.5, back_waist_length=16, waist_to_hip=8,
    bust_point_width=7.5, upper_arm_girth=12, arm_length=22.75, wrist_girth=6.375, hand_girth=8.25, stature=65,
    waist_height=41, knee_height=18, knee_girth=15, calf_girth=14.5,
)  # fmt: skip
"""An invented body that every style can be drafted for."""


@cache
def women() -> tuple[tuple[str, Measurements], ...]:
    """The 300 women of fixtures/bodies; shoulder width estimated as 2 × shoulder length + neck base girth / pi.

    The survey's bust height is from the floor, so the length from the neck to the bust point is taken. Its front length
    starts at the front neck point; 70 mm more is an estimate of that from the side neck point.
    """
    with (FIXTURES / "bodies" / "women_1988_300.csv").open() as file:
        rows = list(csv.DictReader(file))
    found = []
    for row in rows:
        body = {name: float(row[name]) for name in _TAKEN}
        body["bust_height"] = float(row["neck_to_bust_point"])
        body["front_waist_length"] = float(row["front_waist_length"]) + 70.0
        body["shoulder_width"] = 2 * body["shoulder_length"] + body["neck_base_girth"] / math.pi
        found.append((row["id"], Measurements(body)))
    return tuple(found)


def dress(body: Measurements, unit: Unit = "in", **raw: object) -> Draft:
    """The draft, styled as a job file in that unit would; the style must be valid. One that was asked for before is
    handed out again: nobody can change it, and the same input is drafted alike (`test_cli` proves that by processes).
    """
    return _drafted(*_asked(body, unit, raw))


def dressed(body: Measurements, unit: Unit = "in", **raw: object) -> Pattern:
    """The finished pattern; shared as the draft is."""
    return _dressed(*_asked(body, unit, raw))


_Words: TypeAlias = tuple[tuple[str, Any, type], ...]
_Asked: TypeAlias = tuple[tuple[tuple[str, float], ...], tuple[tuple[str, str], ...], Unit, _Words]


def _asked(body: Measurements, unit: Unit, raw: dict[str, object]) -> _Asked:
    """By type as well: 40 is told otherwise than 40.0, and a yes is no number."""
    words = tuple((name, value, type(value)) for name, value in raw.items())
    return tuple(body.items()), tuple(body.typed.items()), unit, words


@lru_cache(maxsize=256)
def _drafted(*asked: Any) -> Draft:
    values, typed, unit, words = asked
    raw = {name: value for name, value, _ in words}
    style, errors = validated(DRESS.options, raw, unit, lambda key: Where("test", 0, key))
    assert not errors, errors
    return DRESS.told(DRESS.draft(Measurements(dict(values), typed=dict(typed)), style, unit), unit)


@lru_cache(maxsize=128)
def _dressed(*asked: Any) -> Pattern:
    return finished(_drafted(*asked), asked[2])


def finished(draft: Draft, unit: Unit = "in", allowances: dict[str, float] | None = None) -> Pattern:
    """With cut lines and marks."""
    return mark(
        allow(draft, allowances or {}),
        title="Lighthouse choir",
        size="measured",
        size_words="made to measure",
        unit=unit,
        label_box=label_box,
    )


# ------------------------------------------------------------------------------------- what a draft claims and tells


def claimed(draft: Draft, kind: type[_Kind]) -> _Kind:
    """The first claim of that kind."""
    return next(claim for claim in draft.claims if isinstance(claim, kind))


def walk_of(draft: Draft) -> Walk:
    """What the dress knows of her stride, and its vent or slit."""
    return claimed(draft, Stride).walk


class Zipped(NamedTuple):
    """A zip, and where its notches lie below the top line, mm."""

    length: float
    top_depth: float
    end_depth: float
    place: str


def zip_of(draft: Draft) -> Zipped:
    (notion,) = draft.notions
    reach = reach_of_notion(draft.pieces, notion)
    assert reach is not None
    return Zipped(notion.length, *reach, claimed(draft, OpensTo).place)


def level_of(draft: Draft, name: str) -> float:
    """How far below the top line a level lies, mm."""
    return next(level.depth for piece in draft.pieces for level in piece.levels if level.name == name)


def eases_of(draft: Draft) -> list[float]:
    """Wearing ease at bust, waist and hip, mm."""
    return [claim.ease.mm for claim in draft.claims if isinstance(claim, Girth)]


_STEPS = {
    "bust_girth": 1.5, "waist_girth": 1.5, "hip_girth": 1.5, "shoulder_width": 0.375, "back_waist_length": 0.25,
    "bust_point_width": 0.25, "upper_arm_girth": 0.5, "wrist_girth": 0.125, "arm_length": 0.25, "waist_to_hip": 0.125,
}  # fmt: skip
"""Inches a size from one choir size to the next (invented)."""


def singer(steps: float) -> Measurements:
    """ALTO so many sizes larger (or, negative, smaller)."""
    return Measurements({name: value + steps * IN * _STEPS.get(name, 0.0) for name, value in ALTO.items()})


def nested(sizes: Sequence[str] = ("8", "10", "12", "14", "16"), base: str = "12", **raw: object) -> Nest:
    """A dress in several sizes, the base drafted for ALTO; sizes are even numbers, a step of two being one size."""
    return graded(
        {size: dress(singer((int(size) - int(base)) / 2), **raw) for size in sizes},
        base,
        {},
        {},
        title="Lighthouse choir",
        unit="in",
        label_box=label_box,
    )


def failed(pattern: Pattern) -> list[Finding]:
    """What did not pass."""
    return [finding for finding in check(pattern) if not finding.passed]


def found(pattern: Pattern, name: str) -> Finding:
    """A finding of that id: the first that failed, if any did."""
    all_of_it = [finding for finding in check(pattern) if finding.id == name]
    bad = [finding for finding in all_of_it if not finding.passed]
    assert all_of_it, f"no finding {name}"
    return (bad or all_of_it)[0]


# ------------------------------------------------------------------------------------- breaking a pattern on purpose


def with_piece(pattern: Pattern, name: str, change: Callable[[MarkedPiece], MarkedPiece]) -> Pattern:
    assert any(piece.name == name for piece in pattern.pieces)
    return replace(pattern, pieces=tuple(change(p) if p.name == name else p for p in pattern.pieces))


def with_cut(pattern: Pattern, name: str, change: Callable[[CutPiece], CutPiece]) -> Pattern:
    return with_piece(pattern, name, lambda piece: replace(piece, cut=change(piece.cut)))


def with_drafted(pattern: Pattern, name: str, change: Callable[[Piece], Piece]) -> Pattern:
    return with_cut(pattern, name, lambda cut: replace(cut, piece=change(cut.piece)))


def with_edge(pattern: Pattern, name: str, edge: str, change: Callable[[Edge], Edge]) -> Pattern:
    def changed(piece: Piece) -> Piece:
        return replace(piece, edges=tuple(change(e) if e.name == edge else e for e in piece.edges))

    return with_drafted(pattern, name, changed)


# --------------------------------------------------------------------------- rulers that are not the project's own


def dense(curves: Sequence[Line | Cubic], steps: int = 400) -> list[tuple[float, float]]:
    """A run of curves as a fine polyline, by Bernstein polynomials; `steps` to a cubic."""
    points = [tuple(curves[0].controls()[0])]
    for curve in curves:
        controls = curve.controls()
        n = len(controls) - 1
        for i in range(1, (steps if n == 3 else 1) + 1):
            t = i / (steps if n == 3 else 1)
            weights = [math.comb(n, k) * t**k * (1 - t) ** (n - k) for k in range(n + 1)]
            points.append(
                (
                    sum(w * c[0] for w, c in zip(weights, controls, strict=True)),
                    sum(w * c[1] for w, c in zip(weights, controls, strict=True)),
                )
            )
    return points


def tape(points: Sequence[tuple[float, float]]) -> float:
    """Length of an open polyline."""
    return sum(math.dist(a, b) for a, b in pairwise(points))


def edge_tape(pattern: Pattern, *refs: object) -> float:
    """Length of flattened edges, laid end to end with a tape."""
    total = 0.0
    for ref in refs:
        piece, edge = str(ref).split(".")
        total += tape(pattern.piece(piece).cut.lines[edge])
    return total


def sewn_tape(pattern: Pattern, *refs: object) -> float:
    """As `edge_tape`, with the darts that open in these edges closed: the tape skips from leg to leg."""
    total = 0.0
    for ref in refs:
        name, edge = str(ref).split(".")
        cut = pattern.piece(name).cut
        line = cut.lines[edge]
        total += tape(line)
        for dart in cut.piece.darts:
            if len(dart.points) == 3:
                ends = [i for i, p in enumerate(line) if min(math.dist(p, q) for q in dart.points[::2]) < 0.05]
                total -= tape(line[min(ends) : max(ends) + 1]) if len(ends) == 2 else 0.0
    return total


# --------------------------------------------------------------------------------------------------- command line


def oaktag(*arguments: object, cwd: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    """The command line from the folder `cwd`, through its own door, as if in a process of its own: words, exit code.

    It is called within this process, where all is imported already: that takes a tenth of a start. What is about the
    process itself (imports, signals, the language of the machine, streams that fail) is `oaktag_alone`.
    """
    from oaktag.__main__ import ended

    command = ["oaktag", *map(str, arguments)]
    given, said, told = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="") for _ in range(3))
    collecting, heard = gc.isenabled(), [(n, signal.getsignal(n)) for n in (signal.SIGTERM, signal.SIGINT)]
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(cwd)
        for name, value in environment.items():
            patch.setenv(name, value)
        patch.setattr(sys, "argv", command)
        for name, stream in {"stdin": given, "stdout": said, "stderr": told}.items():
            patch.setattr(sys, name, stream)
        try:
            code = ended()
        finally:
            for number, handler in heard:
                signal.signal(number, handler)
            if collecting:
                gc.enable()
    return subprocess.CompletedProcess(command, code, *(_plain(stream) for stream in (said, told)))


def _plain(stream: io.TextIOWrapper) -> str:
    stream.flush()
    stream.seek(0)
    return stream.buffer.read().decode("utf-8").replace("\r\n", "\n")  # as a pipe that is read as text


def oaktag_alone(
    *arguments: object, cwd: Path, seed: str = "0", **environment: str
) -> subprocess.CompletedProcess[str]:
    """The command line in a process of its own, from the folder `cwd`."""
    return subprocess.run(
        [sys.executable, "-m", "oaktag", *map(str, arguments)],
        cwd=cwd,
        env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONIOENCODING": "utf-8", **environment},
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=60,
    )


def tool(name: str) -> str:
    """The path of a program that reads files independently; its tests are skipped without it, but never in CI."""
    path = shutil.which(name)
    if path is None:
        if os.environ.get("CI"):
            pytest.fail(f"{name} is not installed")
        pytest.skip(f"{name} is not installed")
    return path


CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")


def in_a_frame(folder: Path, html: bytes, width: int, *questions: str) -> list[float]:
    """What Chromium answers about a page in a frame that wide (px): a number for each expression on its `document`."""
    (folder / "page.html").write_bytes(html)
    asked = ",".join(f"(document=>{question})(f.contentDocument)" for question in questions)
    (folder / "ask.html").write_text(
        f'<iframe id="f" src="page.html" style="width:{width}px;height:800px;border:0"></iframe><p id="said"></p>'
        f'<script>f.onload=()=>{{said.textContent=[{asked}].join(" ")}}</script>',
        encoding="utf-8",
    )
    return [float(word) for word in said_in(folder, r"[\d. ]+").split()]


def said_in(folder: Path, pattern: str) -> str:
    """What the page `ask.html` of the folder wrote into its `said`, run in Chromium."""
    done = subprocess.run(
        [
            str(CHROMIUM), "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
            "--disable-background-networking", "--disable-component-update", "--disable-sync",
            "--allow-file-access-from-files", f"--user-data-dir={folder / 'profile'}", "--dump-dom",
            (folder / "ask.html").as_uri(),
        ],
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    said = re.search(rf'id="said">({pattern})<', done.stdout)
    assert said is not None, done.stderr[-500:]
    return said[1]


LENGTH = r"-?\d[\d./]*(?: \d+/\d+)? (?:in|cm)"
"""A length as it is told to makers."""


def lengths_in(text: str) -> list[str]:
    return re.findall(LENGTH, text)
