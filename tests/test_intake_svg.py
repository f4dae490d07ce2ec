"""SVG from elsewhere against Chromium (places, units, arcs), svgelements (path data) and sizes worked by hand."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from oaktag.errors import InputError, InputErrors, OaktagError
from oaktag.geometry.path import flatten, path_length
from oaktag.geometry.polygon import Box
from oaktag.intake.model import Drawing, DrawnPath, Known
from oaktag.intake.read import parse_drawing, read_drawing
from wardrobe import CHROMIUM, dense, said_in, tape

DRAWINGS = Path(__file__).parent.parent / "fixtures" / "drawings"
MM = 25.4 / 96.0
"""CSS 2.1, 4.3.2: 1 px is 1/96 in."""


def read(text: str, **told: object) -> Drawing:
    return parse_drawing(text.encode(), "in.svg", **told)  # type: ignore[arg-type]


def svg(inner: str, head: str = 'width="200mm" height="200mm" viewBox="0 0 200 200"', before: str = "") -> str:
    return (
        f'{before}<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        f'xmlns:ed="urn:an-editor" {head}>{inner}</svg>'
    )


def complaint(text: str | bytes, **told: object) -> str:
    with pytest.raises((InputError, InputErrors)) as caught:
        parse_drawing(text if isinstance(text, bytes) else text.encode(), "in.svg", **told)  # type: ignore[arg-type]
    assert str(caught.value).startswith("in.svg")
    return str(caught.value)


def one(drawing: Drawing, name: str) -> DrawnPath:
    (path,) = [path for path in drawing.paths if path.id == name]
    return path


def box(path: DrawnPath) -> tuple[float, float, float, float]:
    b = Box.round(dense(path.curves, 200))
    return b.left, b.bottom, b.right, b.top


def off(p: tuple[float, float], line: Sequence[tuple[float, float]]) -> float:
    """Distance from a point to a polyline."""
    best = math.inf
    for (ax, ay), (bx, by) in pairwise(line):
        dx, dy = bx - ax, by - ay
        size = dx * dx + dy * dy
        t = max(0.0, min(1.0, ((p[0] - ax) * dx + (p[1] - ay) * dy) / size)) if size else 0.0
        best = min(best, math.hypot(p[0] - ax - t * dx, p[1] - ay - t * dy))
    return best


# --------------------------------------------------------------------------------------------------- against Chromium

SHAPES = (
    '<path id="front" d="M20 30H100C110 60 120 90 118 140S70 170 20 150Z m5 10 l10 0 0 12z"/>'
    '<path id="quad" d="M10 10q20 30 40 0t40 0 30 10T140 30"/>'
    '<path id="arcs" d="M30 90a25 15 -30 0 1 50-25a25 10 40 1 0 20 20 5 5 0 0110 10A1 1 0 0 0 150 120"/>'
    '<rect id="round" x="20" y="110" width="60" height="30" rx="12" ry="40"/>'
    '<rect id="square" x="5" y="5" width="10%" height="1in"/>'
    '<ellipse id="oval" cx="100" cy="60" rx="40" ry="11"/><circle id="circle" cx="3cm" cy="50%" r="10%"/>'
    '<line id="line" x1="1" y1="2" x2="150" y2="33pt"/><polyline id="poly" points="1,1 20-5 33,44 7 50"/>'
    '<polygon id="gon" points="110,120 140 120,130 150"/>'
)
TURNED = (
    '<g transform="translate(30 20)rotate(15),scale(.8,-1.1) skewX(10)"><g transform="matrix(0 1 -1 0 10 -50)">'
    f'<g transform="rotate(30 50 50) skewY(-5)translate(7)">{SHAPES}</g></g></g>'
)
NESTED = (
    '<svg x="10" y="5" width="50" height="50%" viewBox="0 0 150 300" preserveAspectRatio="xMaxYMin meet">'
    f'<svg x="2" y="3" overflow="visible">{SHAPES}</svg></svg>'
)
CASES = {
    "mm": ('width="200mm" height="150mm" viewBox="0 0 200 150"', SHAPES),
    "no viewBox": ('width="21cm" height="9in"', SHAPES),
    "inches": ('width="7in" height="6in" viewBox="-20 -30 300 200"', SHAPES),
    "points, min": ('width="600pt" height="300pt" viewBox="0 0 150 150" preserveAspectRatio="xMinYMax"', SHAPES),
    "picas, slice": ('width="40pc" height="30pc" viewBox="0 0 100 150" preserveAspectRatio="xMaxYMid slice"', SHAPES),
    "stretched": ('width="150mm" height="150mm" viewBox="0 0 200 100" preserveAspectRatio="none"', SHAPES),
    "transforms": ('width="200mm" height="200mm" viewBox="0 0 200 200"', TURNED),
    "nested views": ('width="200mm" height="200mm" viewBox="0 0 100 100"', NESTED),
}


def asked_of_chromium(folder: Path, text: str, what: str) -> object:
    """What a script says about the drawing, laid in a frame of its own."""
    (folder / "drawing.svg").write_text(text, encoding="utf-8")
    (folder / "ask.html").write_text(
        '<body style="margin:0"><iframe id="f" src="drawing.svg" style="width:5000px;height:5000px;border:0"></iframe>'
        f"<p id=said></p><script>f.onload=()=>{{const d=f.contentDocument;"
        f"said.textContent=JSON.stringify(({what})(d))}}</script>",
        encoding="utf-8",
    )
    return json.loads(said_in(folder, "[^<]*"))


SAMPLES = 1_500
POINTS = (
    "d=>Object.fromEntries([...d.querySelectorAll('path,rect,circle,ellipse,line,polyline,polygon')]"
    ".filter(e=>e.id&&e.getScreenCTM()&&e.getClientRects().length).map(e=>{const m=e.getScreenCTM(),"
    f"n=e.getTotalLength();return [e.id,Array.from({{length:{SAMPLES + 1}}},(_,i)=>"
    f"{{const p=e.getPointAtLength(n*i/{SAMPLES}).matrixTransform(m);return [p.x,p.y]}})]}}))"
)


def as_chromium(folder: Path, text: str, drawing: Drawing, height: float) -> None:
    """Every line lies where Chromium draws it, and is as long; `height` of the page in mm.

    Chromium lays a quarter of an arc of a path as one cubic, which is up to 2.7e-4 of its radius off the arc (0.04 mm
    at 140 mm, the largest here); all else it lays out in steps of 1/64 px, which is 0.004 mm.
    """
    theirs = asked_of_chromium(folder, text, POINTS)
    assert isinstance(theirs, dict)
    names = {path.id.split(".")[0] for path in drawing.paths}
    assert names == set(theirs)
    for name, places in theirs.items():
        ours = [flatten(path.curves, 0.0005) for path in drawing.paths if path.id.split(".")[0] == name]
        placed = [(x * MM, height - y * MM) for x, y in places]
        near = 0.04 if name in ("arcs", "pocket") else 0.01
        for p in placed[::15]:
            assert min(off(p, line) for line in ours) < near, (name, p)
        if len(ours) == 1:  # none is missing; chords cut up to eight corners
            assert tape(ours[0]) == pytest.approx(tape(placed), rel=2e-3), name
            assert math.dist(ours[0][0], placed[0]) < 0.01


@pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed")
@pytest.mark.parametrize("case", sorted(CASES))
def test_lines_lie_where_chromium_draws_them(tmp_path: Path, case: str) -> None:
    head, inner = CASES[case]
    text = svg(inner, head)
    size = asked_of_chromium(tmp_path, text, "d=>d.documentElement.getBoundingClientRect().height")
    assert isinstance(size, (int, float))
    as_chromium(tmp_path, text, read(text), size * MM)


@pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed")
@pytest.mark.parametrize("name", ["editor-plain-mm.svg", "editor-own-in-turned.svg"])
def test_what_an_editor_saved_lies_where_chromium_draws_it(tmp_path: Path, name: str) -> None:
    path = DRAWINGS / name
    height = {"editor-plain-mm.svg": 420.0, "editor-own-in-turned.svg": 16 * 25.4}[name]
    as_chromium(tmp_path, path.read_text(encoding="utf-8"), read_drawing(path), height)


USES = (
    '<defs><rect id="patch" width="20" height="12"/><g id="pair"><use href="#patch"/><circle cx="40" cy="8" r="7"/></g>'
    '</defs><symbol id="button" viewBox="0 0 10 20" preserveAspectRatio="xMinYMin"><ellipse cx="5" cy="10" rx="5" '
    'ry="9"/></symbol><symbol id="plain"><path d="M0 0H30V7z"/></symbol>'
    '<use id="a" xlink:href="#patch" x="110" y="20"/><use id="b" href="#pair" transform="scale(2 1.5)" x="3" y="4"/>'
    '<use id="c" href="#button" x="10" y="60" width="30" height="40"/><use id="d" href="#plain" x="50" y="100"/>'
    '<use id="e" href="#button" x="60" y="40" width="50" height="50"/><use id="f" href="#inner" x="5" y="3"/>'
    '<svg id="inner" x="100" y="100" width="40" height="20" viewBox="0 0 80 80"><rect x="5" y="5" width="60" height="9"'
    "/></svg>"
)


@pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed")
def test_uses_and_symbols_lie_where_chromium_draws_them(tmp_path: Path) -> None:
    text = svg(USES)
    asked = "d=>Object.fromEntries([...'abcdef'].map(n=>{const r=d.getElementById(n).getBoundingClientRect();"
    theirs = asked_of_chromium(tmp_path, text, asked + "return [n,[r.left,r.top,r.right,r.bottom]]}))")
    assert isinstance(theirs, dict)
    drawing = read(text)
    for name, (left, top, right, bottom) in theirs.items():
        paths = [path for path in drawing.paths if path.groups[:1] == (name,)]
        ours = Box.round(p for path in paths for p in dense(path.curves, 100))
        expected = [left * MM, 200 - bottom * MM, right * MM, 200 - top * MM]
        assert [ours.left, ours.bottom, ours.right, ours.top] == pytest.approx(expected, abs=0.02), name
    assert one(drawing, "a").closed  # a use of one shape gives it its own name


SEEN = (
    "<style>.gone{display:none} g.layer > .faint{visibility:hidden} #named{display:none} path.gone.back{display:inline}"
    " g g path.deep{display:none!important} rect{visibility:collapse} /* .kept{display:none} */ .a,.b{display:none}"
    "</style>"
    '<path id="p1" class="gone" d="M0 0h9"/><path id="p2" class="gone back" d="M0 0h9"/><g class="layer">'
    '<path id="p3" class="faint" d="M0 0h9"/><g><path id="p4" class="faint deep" style="display:inline" d="M0 0h9"/>'
    '<path id="p5" class="faint" d="M0 0h9"/></g></g><path id="named" d="M0 0h9"/><rect id="p6" width="9" height="9"/>'
    '<path id="p7" class="kept b" d="M0 0h9"/><path id="p8" class="kept" d="M0 0h9"/>'
    '<g visibility="hidden"><path id="p9" visibility="visible" d="M0 0h9"/><path id="p10" d="M0 0h9"/></g>'
    '<g style="display:none"><path id="p11" style="display:inline" d="M0 0h9"/></g>'
    '<path id="p12" display="none" style="display:inline" d="M0 0h9"/>'
    '<clipPath id="cp"><path id="p13" d="M0 0h9"/></clipPath><defs><path id="p14" d="M0 0h9"/></defs>'
    '<switch><path id="p15" requiredExtensions="urn:x" d="M0 0h9"/><path id="p16" d="M0 0h9"/><path id="p17" d="M0 0"/>'
    '</switch><marker><path id="p18" d="M0 0h9"/></marker><pattern id="pt"><path id="p19" d="M0 0h9"/></pattern>'
    '<mask><path id="p20" d="M0 0h9"/></mask><symbol><path id="p21" d="M0 0h9"/></symbol>'
)


@pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed")
def test_what_is_hidden_in_chromium_is_left_out_and_told(tmp_path: Path) -> None:
    """A hidden shape has no client rectangle or a computed visibility of hidden."""
    text = svg(SEEN)
    shown = (
        "d=>[...d.querySelectorAll('path,rect')].filter(e=>e.getClientRects().length&&getComputedStyle(e).visibility"
        "=='visible'&&!e.closest('clipPath,defs,marker,pattern,mask,symbol')).map(e=>e.id).sort()"
    )
    theirs = asked_of_chromium(tmp_path, text, shown)
    drawing = read(text)
    assert sorted(path.id for path in drawing.paths) == theirs
    assert {"p2", "p5", "p8", "p9", "p12", "p16"} == set(theirs)  # by the rules of CSS 2.1, 6.4, by hand
    assert any(note.startswith("Hidden, and left out: 8 elements (among them p1, p3, p4") for note in drawing.notes)


# ------------------------------------------------------------------------------------------------ against svgelements

_numbers = st.integers(-300, 300).map(lambda n: n / 4)


@st.composite
def path_data(draw: st.DrawFn) -> str:
    """S comes after C or S alone, T after Q or T: svgelements mirrors handles elsewhere too (see SVG 1.1, 8.3.6)."""
    parts = [f"M{draw(_numbers)} {draw(_numbers)}"]
    command = "M"
    for _ in range(draw(st.integers(1, 6))):
        smooth = "Ss" if command in "CcSs" else "Tt" if command in "QqTt" else ""
        command = draw(st.sampled_from("LlHhVvCcQqAaZzMm" + smooth))
        if command in "Aa":
            radii = draw(st.tuples(st.integers(1, 200), st.integers(1, 200), st.integers(-360, 360)))
            flags = draw(st.tuples(st.sampled_from("01"), st.sampled_from("01")))
            numbers = [*map(str, radii), *flags, str(draw(_numbers)), str(draw(_numbers))]
        else:
            due = {"L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "Z": 0, "M": 2}[command.upper()]
            numbers = [str(draw(_numbers)) for _ in range(due)]
        parts.append(command + draw(st.sampled_from([" ", ","])).join(numbers))
    return draw(st.sampled_from(["", " ", "\n"])).join(parts)


@settings(max_examples=150, deadline=None)
@given(path_data())
def test_path_data_is_read_as_svgelements_reads_it(data: str) -> None:
    import svgelements

    try:
        drawing = read(svg(f'<path id="p" d="{data}"/>', 'width="200mm" height="200mm" viewBox="0 0 200 200"'))
    except InputError as error:
        assert "nothing is drawn" in str(error)
        drawing = None
    places = [
        (float(p.x), 200 - float(p.y))
        for segment in svgelements.Path(data)
        if type(segment).__name__ != "Move" and segment.start is not None and segment.end is not None
        if segment.length(error=1e-3) > 1e-9
        for p in (segment.point(i / 7) for i in range(8))
    ]
    assert (drawing is None) == (not places)
    if drawing is None:
        return
    lines = [flatten(path.curves, 0.001) for path in drawing.paths]
    for p in places:
        assert min(off(p, line) for line in lines) < 0.01, (p, data)


def test_numbers_and_flags_may_run_together() -> None:
    """SVG 1.1, 8.3.9: no blank is due where none is needed; flags are one character."""
    run = read(svg('<path d="M10-5.5L.5.25 1e1-2a5 5 0 0110-.5"/>')).paths[0]
    assert [tuple(c.end) for c in run.curves[:2]] == [(0.5, 199.75), (10.0, 202.0)]
    assert run.curves[-1].end == pytest.approx((20.0, 202.5))
    assert "M has 3 numbers" in complaint(svg('<path d="M10-5.5.5"/>'))


def test_handles_are_mirrored_only_after_their_own_kind() -> None:
    """SVG 1.1, 8.3.6: after a Q, the first handle of an S is where the pen is; after a C, a T is straight."""
    smooth = read(svg('<path d="M0 0Q10 10 20 0S40 10 50 0"/>')).paths[0].curves[1]
    assert smooth.controls() == ((20.0, 200.0), (20.0, 200.0), (40.0, 190.0), (50.0, 200.0))
    straight = read(svg('<path d="M0 0C0 9 9 9 9 0T30 0"/>')).paths[0].curves[1]
    assert {p[1] for p in straight.controls()} == {200.0}


# ------------------------------------------------------------------------------------------------- by hand: the curves


def test_arcs_lie_within_a_thousandth_of_a_mm() -> None:
    """Every point of the cubics of a circle of 500 mm lies 500 mm from its middle."""
    text = svg('<circle id="c" cx="600" cy="600" r="500"/>', 'width="1200mm" height="1200mm" viewBox="0 0 1200 1200"')
    for x, y in dense(read(text).paths[0].curves, 50):
        assert math.dist((x, y), (600, 600)) == pytest.approx(500.0, abs=0.001)


def test_quadratics_are_the_same_curves() -> None:
    """A quadratic by its own formula, at 50 parameters."""
    a, q, d = (10.0, 190.0), (60.0, 90.0), (120.0, 180.0)
    (curve,) = read(svg('<path d="M10 10Q60 110 120 20"/>')).paths[0].curves
    for i in range(51):
        t = i / 50
        u = 1 - t
        expected = [u * u * a[k] + 2 * u * t * q[k] + t * t * d[k] for k in (0, 1)]
        assert list(curve.at(t)) == pytest.approx(expected, abs=1e-9)


def test_closed_runs_end_where_they_begin_and_subpaths_are_paths() -> None:
    drawing = read(svg('<path id="p" d="M0 0H50V50Z M10 10h5v5h-5v-5 M20 20h5"/>'))
    assert [(p.id, p.closed, len(p.curves)) for p in drawing.paths] == [
        ("p", True, 3),
        ("p.2", True, 4),
        ("p.3", False, 1),
    ]
    for path in drawing.paths[:2]:
        assert path.curves[0].start == path.curves[-1].end
    assert drawing.paths[0].polyline
    assert not read(svg('<path d="M0 0C1 1 2 2 9 0z"/>')).paths[0].polyline


def test_small_circles_are_points_too() -> None:
    drawing = read(svg('<circle id="a" cx="50" cy="20" r="2.9"/><circle cx="9" cy="9" r="3.1"/>'))
    assert [(p.id, tuple(p.at)) for p in drawing.points] == [("a", pytest.approx((50.0, 180.0)))]
    assert len(drawing.paths) == 2


def test_labels_groups_and_words() -> None:
    text = svg(
        '<g id="g1" ed:label="front"><g><g id="inner"><path id="p" ed:label="side seam" d="M0 0h9"/></g>'
        '<text id="t" x="5" y="20" font-size="10">CUT <tspan>TWO</tspan><tspan x="5" y="40">ON  FOLD</tspan></text></g>'
        "</g>"
    )
    drawing = read(text)
    path = one(drawing, "p")
    assert (path.layer, path.groups, path.label) == ("inner", ("front", "inner"), "side seam")
    assert [(t.words, tuple(t.at), t.layer) for t in drawing.texts] == [
        ("CUT TWO", (5.0, 180.0), "front"),
        ("ON FOLD", (5.0, 160.0), "front"),
    ]
    assert drawing.texts[0].height == pytest.approx(7.0)  # capitals are 0.7 of the size of type


def test_words_that_are_used_have_the_name_of_their_use() -> None:
    """As lines that are used have: what is drawn is the use, and its original may be used again."""
    inner = (
        '<defs><text id="word" x="5" y="9">Front</text></defs><use id="one" href="#word"/><use href="#word" y="20"/>'
    )
    texts = read(svg(f'{inner}<text id="own" x="50" y="60">Back</text>')).texts
    assert [(text.words, text.id) for text in texts] == [("Front", "one"), ("Front", "word"), ("Back", "own")]
    assert [xy for text in texts for xy in text.at] == pytest.approx(
        [5, 191, 5, 171, 50, 140]
    )  # y up, on a page 200 mm high


def test_copies_have_names_of_their_own() -> None:
    drawing = read(svg('<defs><g id="g"><path id="p" d="M0 0h9"/></g></defs><use href="#g"/><use href="#g" y="5"/>'))
    assert [path.id for path in drawing.paths] == ["p", "p.2"]


# --------------------------------------------------------------------------------------------------- by hand: the size


@pytest.mark.parametrize(
    ("size", "mm"),
    [("100mm", 100), ("10cm", 100), ("4in", 101.6), ("72pt", 25.4), ("6pc", 25.4), ("400Q", 100), ("1e2mm", 100)],
)
def test_absolute_sizes(size: str, mm: float) -> None:
    """CSS 2.1, 4.3.2: 1 in = 2.54 cm = 72 pt = 6 pc; a Q is a quarter of a mm (CSS Values 3)."""
    drawing = read(svg('<path d="M0 0H50"/>', f'width="{size}" height="{size}" viewBox="0 0 50 50"'))
    assert path_length(drawing.paths[0].curves) == pytest.approx(mm, rel=1e-12)


def test_one_side_and_a_view_box_tell_the_size() -> None:
    """150 mm over 200 units; the height is 75 mm then, so the top lies at y = 75."""
    (path,) = read(svg('<path d="M0 0H200"/>', 'width="150mm" viewBox="0 0 200 100"')).paths
    assert path.curves[0].controls() == ((0.0, 75.0), (150.0, 75.0))


@pytest.mark.parametrize("head", ['width="200" height="200"', 'width="200px" height="9cm"', 'width="100%"', ""])
def test_a_size_in_pixels_is_asked_for(head: str) -> None:
    said = complaint(svg('<path id="p" d="M0 0H96V48"/>', head + ' viewBox="0 0 96 96"'))
    assert "--scale" in said
    assert '--known "ID=100mm"' in said
    assert "mm" in said


def test_the_question_names_the_usual_size() -> None:
    """960 px are 10 in; 1/96 in is 0.264583 mm, 1/90 in 0.282222, 1/72 in 0.352778."""
    said = complaint(svg('<path id="p" d="M0 0H960V480"/>', 'width="1920" height="960"'))
    assert "its page would be 508.0 by 254.0 mm and what is drawn would be 254.0 by 127.0 mm" in said
    assert "--scale 0.264583 (at 72 px to the inch 0.352778, at 90 0.282222)" in said


def test_a_size_that_is_told() -> None:
    head = 'width="960" height="960" viewBox="0 0 480 480"'
    text = svg('<path id="p" d="M0 0H100"/><path id="q" ed:label="ruler" d="M0 9H50"/>', head)

    def long(**told: object) -> float:
        return path_length(one(read(text, **told), "p").curves)

    assert long(scale=2.0) == pytest.approx(200)
    assert long(unit="mm") == pytest.approx(200)  # 960 mm over 480
    assert long(unit="in") == pytest.approx(200 * 25.4)
    assert long(known=Known("q", 100.0)) == pytest.approx(200)
    assert long(known=Known("ruler", 25.4)) == pytest.approx(50.8)
    assert read(text, known=Known("ruler", 25.4)).unit == "ruler = 25.4 mm"
    no_width = svg('<path id="p" d="M0 0H100"/>', 'viewBox="0 0 480 480"')
    assert path_length(read(no_width, unit="cm").paths[0].curves) == pytest.approx(1000)


def test_a_small_circle_tells_the_size_of_a_large_drawing() -> None:
    """A button of 15 mm round against a line of 600 units: 600 × 15 / (2π × 3) mm."""
    text = svg('<circle id="b" r="3"/><path id="p" d="M0 0H600"/>', 'viewBox="0 0 900 900"')
    found = path_length(one(read(text, known=Known("b", 15.0)), "p").curves)
    assert found == pytest.approx(600 * 15 / (6 * math.pi), abs=0.01)


def test_what_is_told_and_what_the_file_says() -> None:
    text = svg('<path id="p" d="M0 0H100"/>')
    drawing = read(text, known=Known("p", 90.0))
    assert "By the file's own word" in drawing.notes[0]
    assert any("what was told is taken" in note for note in read(text, scale=2.0).notes)
    assert "no line is called 'q'" in complaint(text, known=Known("q", 9.0))
    assert "are both told" in complaint(text, scale=1.0, unit="mm")
    assert "not a unit" in complaint(text, unit="px")
    assert "scale" in complaint(text, scale=math.nan)


def test_drawings_saved_by_an_editor_have_one_size() -> None:
    """By hand: the front is 220 by 360 mm to its corners, the square's sides are 100 mm, the button is 5 mm."""
    plain = read_drawing(DRAWINGS / "editor-plain-mm.svg")
    in_px = read_drawing(DRAWINGS / "editor-plain-px.svg", known=Known("button", 5 * math.pi))
    turned = read_drawing(DRAWINGS / "editor-own-in-turned.svg")
    for drawing in (plain, in_px, turned):
        square = one(drawing, "square")
        assert path_length(square.curves) == pytest.approx(4 * 80 + 2 * math.pi * 10, abs=0.02)
        corners = [c.end for c in one(drawing, "front-outline").curves]
        assert math.dist(corners[0], one(drawing, "front-outline").curves[0].start) == pytest.approx(180.0, abs=0.02)
        assert any("Hidden" in note for note in drawing.notes)
        assert len(drawing.paths) == 4
        assert len(drawing.points) == 1
    assert box(one(plain, "square")) == pytest.approx((60.0, 70.0, 160.0, 170.0), abs=1e-6)
    a, b = one(turned, "front-outline").curves[0].start, one(turned, "front-outline").curves[0].end
    assert math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])) == pytest.approx(-15.0, abs=0.01)  # clockwise, y down
    assert one(turned, "front-outline").label == "skirt front"


# ------------------------------------------------------------------------------------------------------------- refused

BAD = {
    "empty": (b"", "empty"),
    "blank": (b" \n\0", "empty"),
    "no drawing": (b"hello there", "begins neither"),
    "packed": (b"\x1f\x8b\x08\0", "packed"),
    "pdf": (b"%PDF-1.4", "a PDF"),
    "html": (b"<html></html>", "not <svg>"),
    "cut short": (svg('<path d="M0 0h9"/>').encode()[:-20], "stops before its end"),
    "cut in a tag": (svg('<path d="M0 0h9"/>').encode()[:-10], "stops before its end"),
    "not utf-8": (svg("<path id='\xe9' d='M0 0h9'/>").encode("latin-1"), "not UTF-8"),
    "unknown encoding": (b'<?xml version="1.0" encoding="x-none"?>' + svg("").encode(), "encoding"),
    "an entity": (b'<!DOCTYPE svg [<!ENTITY a "b">]>' + svg("<text>&a;</text>").encode(), "entities"),
    "an outer entity": (b'<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///x">]>' + svg("&a;").encode(), "entities"),
    "a parameter entity": (b'<!DOCTYPE svg [<!ENTITY % a "b"> %a;]>' + svg("").encode(), "entities"),
    "nothing drawn": (svg("").encode(), "nothing is drawn"),
    "zero viewBox": (svg("<path/>", 'width="9mm" height="9mm" viewBox="0 0 0 9"').encode(), "viewBox is 0 by 9"),
    "negative viewBox": (svg("", 'width="9mm" height="9mm" viewBox="0 0 9 -9"').encode(), "viewBox is 9 by -9"),
    "short viewBox": (svg("", 'width="9mm" height="9mm" viewBox="0 0 9"').encode(), "left, top, width"),
    "no width": (svg("", 'width="0mm" height="9mm"').encode(), "more than nothing"),
    "odd unit": (svg("", 'width="9furlongs"').encode(), "not known"),
    "nan": (svg('<path d="M nan 0 L 9 9"/>').encode(), "stands where a number is due"),
    "inf": (svg('<path d="M 1e999 0 L 9 9"/>').encode(), "too large"),
    "far away": (svg('<path d="M 1e9 0 L 9 9"/>').encode(), "on no table"),
    "far by transform": (svg('<g transform="scale(1e300)"><path d="M1 0L9e9 9"/></g>').encode(), "larger than any"),
    "half a point": (svg('<path id="p" d="M 0 0 L 9"/>').encode(), "L has 1 number"),
    "no move": (svg('<path d="L 9 9"/>').encode(), "begin with"),
    "bad flag": (svg('<path d="M0 0A5 5 0 2 0 9 9"/>').encode(), "no arc"),
    "odd points": (svg('<polygon points="1 2 3"/>').encode(), "pairs"),
    "bad transform": (svg('<g transform="turn(9)"><path d="M0 0h9"/></g>').encode(), "transform is not understood"),
    "bad number of numbers": (svg('<g transform="scale(1 2 3)"><path d="M0 0h9"/></g>').encode(), "1 or 2 are due"),
    "negative radius": (svg('<circle r="-5"/>').encode(), "less than nothing"),
    "bad length": (svg('<circle r="five"/>').encode(), "not a length"),
    "use of itself": (svg('<g id="a"><use href="#a"/></g>').encode(), "lies itself"),
    "use in a ring": (svg('<defs><g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g></defs><use href="#a"/>')
                      .encode(), "lies itself"),
    "use of the root": (svg('<use href="#r"/>', 'id="r" width="9mm" height="9mm"').encode(), "lies itself"),
    "deep": (svg("<g>" * 5_000 + "</g>" * 5_000).encode(), "deep"),
    "two roots": (svg("").encode() * 2, "not XML"),
    "hidden whole": (svg('<path d="M0 0h9"/>', 'display="none" width="9mm" height="9mm"').encode(), "hidden"),
}  # fmt: skip


@pytest.mark.parametrize("case", sorted(BAD))
def test_bad_files_are_refused_in_words(case: str) -> None:
    data, words = BAD[case]
    assert words in complaint(data)


def test_all_mistakes_come_together_with_their_lines() -> None:
    said = complaint(svg('\n<path id="a" d="M0"/>\n<circle id="b" r="-1"/>\n<path d="M0 0h9"/>')).split("\n")
    assert [line.split(": ")[0] for line in said] == ["in.svg:2 a", "in.svg:3 b"]


def test_uses_that_multiply_are_refused_soon() -> None:
    """Each level draws the one below ten times: ten levels would be 10^10 lines."""
    levels = "".join(f'<g id="l{i}">' + f'<use href="#l{i - 1}"/>' * 10 + "</g>" for i in range(1, 11))
    said = complaint(svg(f'<defs><path id="l0" d="M0 0h9"/>{levels}</defs><use href="#l10"/>'))
    assert "more than 200,000 elements" in said


def test_too_many_points_and_elements_are_refused() -> None:
    assert "1,000,000 points" in complaint(svg(f'<path d="M0 0{"h1" * 1_000_001}"/>'))
    assert "1,000,000 points" in complaint(svg(f'<polyline points="{"1 2 " * 1_000_001}"/>'))
    assert "200,000 elements" in complaint(svg("<path/>" * 200_001))


def test_a_file_that_is_too_long_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "long.svg"
    with path.open("wb") as file:
        file.truncate(100_000_001)  # a hole: it takes no room
    with pytest.raises(InputError, match="longer than 100 MB"):
        read_drawing(path)
    with pytest.raises(InputError, match="no such file"):
        read_drawing(tmp_path / "none.svg")
    with pytest.raises(InputError, match="folder"):
        read_drawing(tmp_path)


def test_a_plain_doctype_and_other_encodings_are_read() -> None:
    doctype = (
        '<?xml version="1.0" standalone="no"?>\n<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" '
        '"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">\n'
    )
    assert len(read(svg('<path d="M0 0h9"/>', before=doctype)).paths) == 1
    text = svg('<path id="ä" d="M0 0h9"/>', before='<?xml version="1.0" encoding="ISO-8859-1"?>')
    assert parse_drawing(text.encode("latin-1"), "x").paths[0].id == "ä"
    assert parse_drawing(svg('<path id="ä" d="M0 0h9"/>').encode("utf-16"), "x").paths[0].id == "ä"
    assert parse_drawing(b"\xef\xbb\xbf" + svg('<path d="M0 0h9"/>').encode(), "x").paths


def test_what_is_not_followed_is_told() -> None:
    drawing = read(
        svg(
            "<style>[x]{display:none} @media print{path{display:none}} .m{transform:scale(2)}</style>"
            '<image href="a.png"/><path class="m" clip-path="url(#c)" d="M0 0h9"/><use href="other.svg#a"/>'
            '<use href="#none"/><path d="M5 5"/><g transform="scale(0)"><path d="M0 0h9"/></g>'
        )
    )
    told = "\n".join(drawing.notes)
    words = "pictures: 1|clip-path|other files|#none|without length|leaves nothing|[x]|@media|transforms in styles"
    for word in words.split("|"):
        assert word in told, word


def test_errors_of_intake_are_the_project_s_own() -> None:
    assert issubclass(InputErrors, OaktagError)
