"""Damaged drawings: nothing but the project's own errors, in bounded time, whatever was done to a file.

A long campaign by hand: `python tests/test_intake_fuzz.py 20000 svg` (or `dxf`, `binary`, `sewn`) counts what came.
"""

from __future__ import annotations

import random
import re
import sys
import time
from collections import Counter
from collections.abc import Callable
from functools import cache
from io import BytesIO, StringIO
from math import isfinite
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from oaktag.errors import InputError, InputErrors
from oaktag.intake.model import Drawing, Known
from oaktag.intake.read import parse_drawing

FIXTURES = Path(__file__).parent.parent / "fixtures"
SVG = b"""<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" xmlns:ed="urn:an-editor"
 width="200mm" height="150mm" viewBox="0 0 200 150" preserveAspectRatio="xMidYMid meet">
<style>.gone, g > path.a{display:none} #x{visibility:hidden} @media print{path{display:none}}</style>
<defs><g id="g1"><rect id="r" x="5" y="5%" width="1cm" height="20" rx="3"/></g></defs>
<symbol id="s" viewBox="0 0 10 10"><circle cx="5" cy="5" r="4"/></symbol>
<g id="layer" ed:label="front" transform="translate(10 20) rotate(15) scale(1.5,-1) skewX(3) matrix(1 0 0 1 2 3)">
<path id="p" d="M10 10h50v-5.5l1e1.5C1 2 3 4 5 6s7 8 9 1q1 2 3 4t5 6
a5 4 30 0110-5A3 3 0 1 0 20 20z m3 4L9 9H3V8S1 2 3 4T9 9"/>
<ellipse cx="9" cy="8" rx="7" ry="5" style="fill:none;visibility:visible"/><line x1="1" x2="9" y2="5pt"/>
<polyline points="1,2 3,4 5 6"/><polygon points="1 2 3 4 9 9"/></g>
<use href="#g1" x="5" transform="scale(2)"/><use xlink:href="#s" width="20" height="30"/>
<svg x="5" width="50%" viewBox="0 0 9 9"><path d="M0 0L9 9"/></svg><switch><g><path d="M0 0 1 1"/></g></switch>
<text x="5 6" y="7" font-size="12px">CUT <tspan x="9" dy="1em">2</tspan></text></svg>
"""
NASTY = (
    b"nan", b"inf", b"-inf", b"1e999", b"-1", b"0", b"1e308", b"99999999999999999999", b"", b" ", b"\0", b"\xff\xfe",
    b"<", b">", b"&a;", b"<!ENTITY a 'b'>", b"url(#x)", b"%", b"e", b"-", b".", b"1e", b"M", b"A", b"z", b"\r", b"\n",
    b"4.9e-324", b"2147483648", b"INSERT", b"SPLINE", b"LWPOLYLINE", b"VERTEX", b"SEQEND", b"0\nENDSEC\n", b"0\nEOF\n",
    b"ELLIPSE", b"ARC", b"MTEXT", b"BLOCK", b"\\U+FFFF", b"\\P{\\H", b"rotate(", b"scale(0)", b"/*", b"}", b"{",
)  # fmt: skip
ALLOWED = (InputError, InputErrors)
SECONDS = 20.0


def dxf(release: str, *, binary: bool = False) -> bytes:
    import ezdxf

    document = ezdxf.new(release)
    if release != "R12":
        document.header["$INSUNITS"] = 4
    document.layers.add("OFF").off()
    block = document.blocks.new("POCKET", base_point=(1, 2))
    block.add_circle((3, 3), 2)
    block.add_polyline2d([(0, 0, 0.5), (90, 0, 0), (9, 9, -1)], format="xyb", close=True)
    outer = document.blocks.new("FRONT")
    outer.add_blockref("POCKET", (5, 5), dxfattribs={"rotation": 30, "xscale": -2})
    space: Any = document.modelspace()
    many = {"row_count": 2, "column_count": 2, "row_spacing": 9, "column_spacing": 9}
    space.add_blockref("FRONT", (1, 1), dxfattribs=many).add_attrib("TAG", "words", (1, 2))
    space.add_line((0, 0), (100, 50), dxfattribs={"layer": "OFF"})
    space.add_arc((0, 0), 50, 20, 200, dxfattribs={"extrusion": (0, 0, -1)})
    space.add_polyline3d([(0, 0, 0), (100, 0, 5), (9, 9, 9)])
    space.add_point((1, 2))
    space.add_text("FRONT", height=5).set_placement((3, 4))
    if release != "R12":
        space.add_lwpolyline([(0, 0, 0.5), (100, 0, 0), (100, 200, -1)], format="xyb", close=True)
        space.add_ellipse((0, 0), (50, 10, 0), 0.4, 1, 5)
        space.add_open_spline([(0, 0), (10, 50), (90, 20), (50, 0), (9, 9)], degree=3)
        space.add_rational_spline([(0, 0), (10, 50), (90, 20), (50, 0), (9, 9)], [1, 2, 1, 2, 1], degree=4)
        space.add_spline([(0, 0), (10, 50), (90, 20)])
        space.add_mtext("one\\Ptwo {\\H2x;three}")
        space.add_hatch().paths.add_polyline_path([(0, 0), (9, 0), (9, 9)])
    if binary:
        raw = BytesIO()
        document.write(raw, fmt="bin")
        return raw.getvalue()
    text = StringIO()
    document.write(text)
    return text.getvalue().encode("utf-8", "replace")


@cache
def sources(kind: str) -> list[bytes]:
    if kind == "svg":
        return [SVG, *(path.read_bytes() for path in sorted((FIXTURES / "drawings").glob("*.svg")))]
    if kind == "dxf":
        return [
            dxf("R12"),
            dxf("R2000"),
            *(path.read_bytes() for path in sorted((FIXTURES / "drawings").glob("*.dxf"))),
        ]
    if kind == "binary":
        return [dxf("R2000", binary=True)]
    return [path.read_bytes() for path in sorted((FIXTURES / "exchange").glob("*.dxf"))]


def mutated(data: bytes, rng: random.Random) -> bytes:
    """One to six wounds: bytes, slices, lines, numbers and words changed, dropped, doubled, moved."""
    for _ in range(rng.choice((1, 1, 1, 2, 2, 3, 6))):
        if not data:
            return data
        a, b = sorted((rng.randrange(len(data)), rng.randrange(len(data))))
        kind = rng.randrange(10)
        if kind == 0:
            data = data[:a] + bytes([rng.randrange(256)]) + data[a + 1 :]
        elif kind == 1:
            data = data[:a] + data[min(b, a + rng.randrange(1, 60)) :]
        elif kind == 2:
            data = data[:a] + rng.choice(NASTY) + data[a:]
        elif kind == 3:
            data = (
                data[:a] if rng.random() < 0.3 else data[:a] + data[a : a + 200] * rng.randint(2, 4) + data[a + 200 :]
            )
        elif kind in (4, 5):  # a number becomes another
            spots = list(re.finditer(rb"-?\d+\.?\d*", data))
            if spots:
                spot = rng.choice(spots)
                data = data[: spot.start()] + rng.choice(NASTY[:30]) + data[spot.end() :]
        elif kind in (6, 7):  # lines, or elements
            split = b"\n" if rng.random() < 0.7 else b">"
            rows = data.split(split)
            i, k = rng.randrange(len(rows)), rng.randrange(len(rows))
            action = rng.randrange(3)
            if action == 0:
                del rows[i]
            elif action == 1:
                rows[i], rows[k] = rows[k], rows[i]
            else:
                rows.insert(k, rows[i])
            data = split.join(rows)
        elif kind == 8:  # a word becomes another of the same file
            words = list(re.finditer(rb"[A-Za-z_$#]{2,}", data))
            if words:
                spot, other = rng.choice(words), rng.choice(words)
                data = data[: spot.start()] + other[0] + data[spot.end() :]
        else:  # a pair of a DXF, or two attributes' worth, doubled elsewhere
            piece = data[a : a + rng.randrange(1, 400)]
            data = data[:b] + piece + data[b:]
    return data


NUMBERS = (
    b"0",
    b"-1",
    b"1e30",
    b"1e-30",
    b"5",
    b"-0.0",
    b"1e999",
    b"2",
    b"360",
    b"1e6",
    b"32767",
    b"-32768",
    b"0.5",
    b"3",
)


def altered(data: bytes, rng: random.Random) -> bytes:
    """One to four changes that leave XML or DXF well-formed: values, attributes, elements and entities."""
    for _ in range(rng.randint(1, 4)):
        data = _altered_svg(data, rng) if data.lstrip().startswith(b"<") else _altered_dxf(data, rng)
    return data


def _altered_svg(data: bytes, rng: random.Random) -> bytes:
    values = list(re.finditer(rb'(?<=[a-z]=")[^"<]*(?=")', data))
    spot = rng.choice(values)
    kind = rng.randrange(4)
    if kind == 0:
        new = rng.choice(values)[0]
    elif kind == 1:
        numbers = list(re.finditer(rb"-?[0-9.]+", spot[0])) or [re.compile(b"").search(spot[0])]
        number = rng.choice(numbers)
        assert number is not None
        new = spot[0][: number.start()] + rng.choice(NUMBERS) + spot[0][number.end() :]
    elif kind == 2:
        new = bytes(rng.choice(spot[0] or b"0") for _ in range(rng.randrange(60)))
    else:  # an element that holds none is doubled, dropped or moved
        elements = list(re.finditer(rb"<[a-z]+ [^<>]*/>", data))
        if not elements:
            return data
        element, other = rng.choice(elements), rng.choice(elements)
        rest = data[: element.start()] + data[element.end() :] if rng.random() < 0.5 else data
        at = min(other.start(), len(rest))
        at = rest.rfind(b"<", 0, at + 1)
        return rest[:at] + element[0] + rest[at:] if at > 200 else rest
    return data[: spot.start()] + new + data[spot.end() :]


def _altered_dxf(data: bytes, rng: random.Random) -> bytes:
    rows = data.replace(b"\r\n", b"\n").split(b"\n")
    pairs = len(rows) // 2
    i = rng.randrange(pairs)
    kind = rng.randrange(5)
    if kind == 0:  # the value of a code is what another pair of that code has
        alike = [j for j in range(pairs) if rows[2 * j] == rows[2 * i]]
        rows[2 * i + 1] = rows[2 * rng.choice(alike) + 1]
    elif kind in (1, 2):
        drawn = [j for j in range(pairs) if rows[2 * j].strip() in CODES]
        if drawn:
            rows[2 * rng.choice(drawn) + 1] = rng.choice(NUMBERS)
    elif kind == 3:
        del rows[2 * i : 2 * i + 2]
    else:  # an entity is doubled, dropped or moved
        starts = [j for j in range(pairs) if rows[2 * j].strip() == b"0"]
        if len(starts) > 2:
            n = rng.randrange(len(starts) - 1)
            entity = rows[2 * starts[n] : 2 * starts[n + 1]]
            at = rng.choice(starts)
            if rng.random() < 0.5:
                del rows[2 * starts[n] : 2 * starts[n + 1]]
                at = min(at, len(rows) // 2 - 2)
            rows[2 * at : 2 * at] = entity
    return b"\n".join(rows)


CODES = frozenset(str(code).encode() for code in (*range(10, 80), 90, 210, 220, 230))


def wounded(kind: str, rng: random.Random) -> bytes:
    data = rng.choice(sources(kind))
    return mutated(data, rng) if kind == "binary" or rng.random() < 0.4 else altered(data, rng)


def judged(data: bytes, **told: Any) -> str:
    """What came of it: read, or refused. Anything but that, or what is not finite, or too slow, fails."""
    begun = time.perf_counter()
    try:
        drawing = parse_drawing(data, "in", **told)
    except ALLOWED as error:
        assert str(error).startswith("in"), error
        came = "refused at the door" if "damaged, or not what it seems" in str(error) else "refused"
    else:
        assert isinstance(drawing, Drawing)
        for path in drawing.paths:
            assert path.curves
            assert all(isfinite(v) for c in path.curves for p in c.controls() for v in p)
            if path.closed:
                assert path.curves[0].start == path.curves[-1].end
        assert all(isfinite(v) for point in drawing.points for v in point.at)
        assert all(isfinite(v) for text in drawing.texts for v in (*text.at, text.height))
        came = "read"
    assert time.perf_counter() - begun < SECONDS
    return came


UNIT: dict[str, Any] = {"unit": "mm"}
TOLD: dict[str, tuple[dict[str, Any], ...]] = {
    "svg": ({}, {}, UNIT, {"scale": 0.5}, {"known": Known("p", 100.0)}), "dxf": ({}, UNIT, UNIT, {"scale": 0.5}),
    "binary": ({}, UNIT, {"scale": 0.5}), "sewn": ({}, UNIT, UNIT, {"scale": 0.5}, {"known": Known("p", 100.0)}),
}  # fmt: skip


@pytest.mark.parametrize("kind", ["svg", "dxf", "binary", "sewn"])
@settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))
@given(seed=st.integers(0, 2**40))
def test_nothing_but_words_comes_of_damaged_files(kind: str, seed: int) -> None:
    rng = random.Random(seed)
    judged(wounded(kind, rng), **rng.choice(TOLD[kind]))


@settings(max_examples=200, deadline=None)
@given(
    data=st.binary(max_size=400),
    begin=st.sampled_from([b"<svg ", b"0\nSECTION\n", b"AutoCAD Binary DXF\r\n\x1a\0", b""]),
)
def test_nothing_but_words_comes_of_noise(data: bytes, begin: bytes) -> None:
    judged(begin + data)
    judged(begin + data + b"\n0\nEOF\n")


_text = st.text(alphabet="MmLlHhVvCcSsQqTtAaZz0123456789.-+eE, \n#%()", max_size=80)


@settings(max_examples=200, deadline=None)
@given(d=_text, transform=st.one_of(st.just(""), _text), box=_text, style=_text)
def test_nothing_but_words_comes_of_odd_attributes(d: str, transform: str, box: str, style: str) -> None:
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"'
    judged(f'{head}><g transform="{transform}"><path d="M0 0{d}"/></g></svg>'.encode())
    judged(f'{head} viewBox="{box}"><path style="{style}" d="M0 0h9"/></svg>'.encode())


def campaign(count: int, kind: str, judge: Callable[..., str] = judged) -> None:
    came: Counter[str] = Counter()
    slowest = (0.0, 0)
    for seed in range(count):
        rng = random.Random(seed)
        data = wounded(kind, rng)
        begun = time.perf_counter()
        try:
            came[judge(data, **rng.choice(TOLD[kind]))] += 1
        except BaseException as error:
            came[f"{type(error).__name__}: {str(error)[:100]} (seed {seed})"] += 1
            if isinstance(error, KeyboardInterrupt):
                raise
        slowest = max(slowest, (time.perf_counter() - begun, seed))
    print(kind, count, dict(came), f"slowest {slowest[0]:.2f} s (seed {slowest[1]})")  # noqa: T201


if __name__ == "__main__":
    campaign(int(sys.argv[1]), sys.argv[2])
