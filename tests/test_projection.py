"""The projection page, in a real browser under a simulated projector: real mouse, key and touch events go in; what the
page says that it draws, and the pixels of screenshots, are held against numpy's own homography.
"""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from oaktag.errors import GeometryError
from oaktag.export.projection import render
from oaktag.sheet.strokes import Figure, Role, Sheet, Stroke
from table import (
    ASLANT,
    LENS,
    Projector,
    chromium,
    demo_sheet,
    distances,
    drag,
    give_mat,
    homography,
    nudge,
    press,
    set_step,
    settled,
    square_up,
    through,
    wait_until,
)

NEAR_PX = 0.5
"""How near a drawn point must be to the truth, px (the task's own limit)."""
NEAR_SCALE = 0.002
"""How true 100 mm must be (the task's own limit)."""


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with chromium() as found:
        yield found


@pytest.fixture(scope="module")
def page_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("page") / "demo.html"
    path.write_bytes(render(demo_sheet(), "cm"))
    return path


class Opened:
    """A page in a window of its own, with what it asked of the network and what went wrong in it."""

    def __init__(self, browser: Any, address: str, width: int = 1280, height: int = 800, **how: Any) -> None:
        self.context = browser.new_context(viewport={"width": width, "height": height}, **how)
        self.requests: list[str] = []
        self.troubles: list[str] = []
        self.page = self.context.new_page()
        self.page.on("request", lambda request: self.requests.append(request.url))
        self.page.on("pageerror", lambda error: self.troubles.append(str(error)))
        self.page.on("console", lambda line: self.troubles.append(line.text) if line.type == "error" else None)
        self.address = address


@pytest.fixture
def opened(browser: Any, page_file: Path) -> Iterator[Any]:
    """Opens the demo page, or another; each time in a browser that has never seen it."""
    all_opened: list[Opened] = []

    def open_page(path: Path = page_file, init: str = "", **how: Any) -> Any:
        one = Opened(browser, path.as_uri(), **how)
        all_opened.append(one)
        if init:
            one.page.add_init_script(init)
        one.page.goto(one.address)
        settled(one.page)
        return one.page

    yield open_page
    for one in all_opened:
        one.context.close()
        assert one.troubles == []
        assert [url for url in one.requests if not url.startswith(("file:", "data:", "http://127.0.0.1"))] == []


def squared(page: Any, projector: Projector = ASLANT) -> Any:
    give_mat(page, f"{projector.width / 10:g}", f"{projector.depth / 10:g}")
    return square_up(page, projector)


def figures(page: Any, role: str = "cut") -> dict[str, np.ndarray]:
    """Drawn lines of a role by piece, px of the screen; the first of each."""
    found: dict[str, np.ndarray] = {}
    for line in page.evaluate("oaktag.shown()"):
        if line["role"] == role:
            found.setdefault(line["figure"], np.array(line["points"]))
    return found


def picture(page: Any) -> np.ndarray:
    """A screenshot's brightness, (height, width), 0 to 255."""
    return np.asarray(Image.open(io.BytesIO(page.screenshot())).convert("L"), float)


# ---- the fit


def test_the_published_check_vector(opened: Any) -> None:
    """Table (0,0) (600,0) (600,400) (0,400) mm on px (100,80) (1180,120) (1120,760) (140,700).

    The eight numbers are those of the project's facts, and of the eight equations solved in whole fractions by hand.
    """
    page = opened()
    table = [(0, 0), (600, 0), (600, 400), (0, 400)]
    seen = [(100, 80), (1180, 120), (1120, 760), (140, 700)]
    pairs = [{"at": at, "px": px} for at, px in zip(table, seen, strict=True)]
    h = page.evaluate("pairs => oaktag.fitted(pairs)", pairs)
    facts = (1.720186013, 0.134844642, 100, 0.058549989, 1.724223207, 80, -0.000067639, 0.000248890, 1)
    assert h == pytest.approx(facts, abs=1e-8, rel=0)
    fractions = (40691 / 23655, 4253 / 31540, 100, 277 / 4731, 27191 / 15770, 80, -8 / 118275, 157 / 630800, 1)
    assert h == pytest.approx(fractions, rel=1e-11)
    for at, px in (
        ((300, 200), (624.60733, 429.73822)),
        ((100, 100), (280.42041, 253.67935)),
        ((500, 300), (961.28040, 601.95360)),
    ):
        assert page.evaluate("([h, x, y]) => oaktag.mapped(h, x, y)", [h, *at]) == pytest.approx(px, abs=1e-5)


def test_four_points_are_met_exactly_whatever_the_quad(opened: Any) -> None:
    rng = np.random.default_rng(3)
    cases = []
    for _ in range(300):
        table = np.array([(0, 0), (1, 0), (1, 1), (0, 1)]) * rng.uniform(200, 2000, 2)
        page_points = np.array([(0, 0), (1, 0), (1, 1), (0, 1)]) * rng.uniform(300, 1800, 2) + rng.uniform(
            0, 90, (4, 2)
        )
        cases.append((table, page_points))
    pairs = [[{"at": list(a), "px": list(b)} for a, b in zip(t.tolist(), p.tolist(), strict=True)] for t, p in cases]
    fits = opened().evaluate("all => all.map(oaktag.fitted)", pairs)
    for (table, seen), h in zip(cases, fits, strict=True):
        inside = rng.uniform(0, 1, (10, 2)) * table[2]
        own = through(np.array(h).reshape(3, 3), inside)
        assert distances(own, through(homography(table.tolist(), seen.tolist()), inside)).max() < 1e-6


def squares_left(h: np.ndarray, table: np.ndarray, seen: np.ndarray) -> float:
    return float((distances(through(h, table), seen) ** 2).sum())


def test_more_points_are_fitted_by_least_squares(opened: Any) -> None:
    """No change of any of the eight numbers makes the sum of squares smaller; and noise is shared out, not followed."""
    rng = np.random.default_rng(11)
    table = np.array([(x, y) for x in (0, 300, 600) for y in (0, 200, 400)], float)
    truth = ASLANT.truth
    seen = through(truth, table) + rng.normal(0, 1.0, (9, 2))
    pairs = [{"at": a, "px": b} for a, b in zip(table.tolist(), seen.tolist(), strict=True)]
    h = np.array(opened().evaluate("pairs => oaktag.fitted(pairs)", pairs)).reshape(3, 3)
    least = squares_left(h, table, seen)
    assert least < squares_left(truth, table, seen)
    for row in range(3):
        for column in range(3):
            if (row, column) != (2, 2):
                for change in (1e-5, -1e-5):
                    other = h.copy()
                    other[row, column] *= 1 + change
                    assert squares_left(other, table, seen) > least
    noise = (distances(through(truth, table), seen) ** 2).mean()
    assert (distances(through(h, table), through(truth, table)) ** 2).mean() < noise


# ---- squared up by hand, true on the table


@pytest.mark.parametrize("projector", [ASLANT, LENS])
def test_drawn_points_land_where_they_should(opened: Any, projector: Projector) -> None:
    page = opened()
    state = squared(page, projector)
    assert state["view"] == "test"
    assert state["warnings"] == []
    square, card = (np.array(line["points"]) for line in page.evaluate("oaktag.shown()"))
    x, y = (projector.width - 100 - 15 - 85.6) / 2, (projector.depth - 100) / 2
    expected = [(x, y), (x + 100, y), (x + 100, y + 100), (x, y + 100)]
    assert distances(square, through(projector.truth, expected)).max() < NEAR_PX
    thrown = projector.on_table(square)
    for a, b in ((0, 1), (1, 2), (2, 3), (3, 0)):
        assert np.linalg.norm(thrown[a] - thrown[b]) == pytest.approx(100, rel=NEAR_SCALE)
    for a, b in ((0, 2), (1, 3)):
        assert np.linalg.norm(thrown[a] - thrown[b]) == pytest.approx(141.42, rel=NEAR_SCALE)
    width, height = np.ptp(projector.on_table(card), axis=0)
    assert (width, height) == pytest.approx((85.60, 53.98), rel=NEAR_SCALE)  # ISO/IEC 7810, ID-1


def test_a_card_has_its_round_corners(opened: Any) -> None:
    """ISO/IEC 7810: 3.18 mm; a corner of the box lies (√2 − 1) r from the outline."""
    page = opened()
    squared(page)
    thrown = ASLANT.on_table(page.evaluate("oaktag.shown()")[1]["points"])
    for corner in (thrown.min(axis=0), thrown.max(axis=0)):
        assert distances(thrown, [corner]).min() == pytest.approx(3.18 * (np.sqrt(2) - 1), abs=0.06)


def crossing_in(bright: np.ndarray, truth: np.ndarray, corner: int) -> np.ndarray:
    """Where two sides of a drawn quad cross, from pixels alone: lines through the middle of the light across each."""
    lines = []
    for a, b in ((corner, (corner + 1) % 4), (corner, (corner - 1) % 4)):
        way = (truth[b] - truth[a]) / np.linalg.norm(truth[b] - truth[a])
        across = np.array([-way[1], way[0]])
        seen = []
        for part in np.linspace(0.25, 0.75, 25):
            at = truth[a] + part * (truth[b] - truth[a])
            offsets = np.arange(-5, 5.01, 0.25)
            samples = at + offsets[:, None] * across
            columns, rows = np.floor(samples[:, 0]).astype(int), np.floor(samples[:, 1]).astype(int)
            light = np.clip(bright[rows, columns] - 30, 0, None)
            assert light.sum() > 0, "no line here"
            seen.append(at + across * (light * offsets).sum() / light.sum())
        middle = np.mean(seen, axis=0)
        lines.append((middle, np.linalg.svd(np.array(seen) - middle)[2][0]))
    (p, d), (q, e) = lines
    return p + d * np.linalg.solve(np.column_stack([d, -e]), q - p)[0]


@pytest.mark.parametrize("scale", [1, 2])
def test_the_lone_square_is_true_in_the_pixels_themselves(opened: Any, scale: int) -> None:
    page = opened(device_scale_factor=scale)
    squared(page)
    press(page, "u", "u")  # words away
    x, y = (600 - 200.6) / 2, 150.0
    truth = through(ASLANT.truth, [(x, y), (x + 100, y), (x + 100, y + 100), (x, y + 100)]) * scale
    bright = picture(page)
    assert bright.shape == (800 * scale, 1280 * scale)
    seen = np.array([crossing_in(bright, truth, corner) for corner in range(4)])
    assert distances(seen, truth).max() < NEAR_PX * scale
    thrown = ASLANT.on_table(seen / scale)
    for a, b in ((0, 1), (1, 2), (2, 3), (3, 0)):
        assert np.linalg.norm(thrown[a] - thrown[b]) == pytest.approx(100, rel=NEAR_SCALE)
    drawn = np.array(page.evaluate("oaktag.shown()")[0]["points"])
    assert distances(drawn, truth).max() < NEAR_PX * scale


def test_pieces_are_true_to_size_wherever_they_lie(opened: Any) -> None:
    page = opened()
    squared(page)
    press(page, "Enter", "n")
    set_step(page, 2)
    press(page, "ArrowRight", "ArrowUp", "r")
    drawn = figures(page)["leaf piece"]
    (outline,) = (f.strokes[0].points for f in demo_sheet().figures if f.name == "leaf_piece")
    cut = np.array(outline)
    thrown = ASLANT.on_table(drawn)
    sides = distances(thrown, np.roll(thrown, -1, axis=0))
    assert sides.sum() == pytest.approx(distances(cut, np.roll(cut, -1, axis=0)).sum(), rel=NEAR_SCALE)
    for i, j in ((0, 30), (15, 45), (7, 52)):
        true = np.linalg.norm(cut[i] - cut[j])
        assert np.linalg.norm(thrown[i] - thrown[j]) == pytest.approx(true, rel=NEAR_SCALE)
    middle = (thrown.min(axis=0) + thrown.max(axis=0)) / 2
    assert middle == pytest.approx((350, 250), abs=0.5)  # the mat's middle, and 50 mm to the right and away from it


def test_the_keyboard_alone_suffices(opened: Any) -> None:
    page = opened()
    page.mouse.move(3, 3)
    state = give_mat(page, "60", "40 cm", "by the window")
    assert (state["name"], state["mat"]) == ("by the window", {"width": 600, "depth": 400})
    for index, goal in enumerate(ASLANT.corners):
        nudge(page, index, goal)
    press(page, "Tab", "Tab")
    assert page.evaluate("oaktag.state().chosenPoint") == 1
    state = press(page, "a")
    assert state["points"][4]["at"] == [300, 200]
    nudge(page, 4, through(ASLANT.truth, [(300, 200)])[0])
    assert max(settled(page)["left"]) < 0.1  # mm
    press(page, "Enter", "Enter")
    drawn = figures(page)["front"]
    thrown = ASLANT.on_table(drawn)
    assert np.ptp(thrown, axis=0) == pytest.approx((300, 150), rel=NEAR_SCALE)  # its grain runs along the mat
    state = press(page, "g", "l", "e", "a", "Enter", "m", "i", "w", "k")
    assert (state["chosen"], state["light"], state["width"]) == ("leaf piece", True, 3)


def test_the_error_that_is_left_is_told_in_mm(opened: Any) -> None:
    """A fifth point 6 px off: the page's numbers are the distances that numpy finds with the page's own fit."""
    page = opened()
    give_mat(page, "60", "40")
    for index, goal in enumerate(ASLANT.corners):
        drag(page, page.evaluate("oaktag.state().points")[index]["px"], [round(v) for v in goal])
    press(page, "a")
    state = press(page, *["ArrowRight"] * 6)
    seen = np.array([point["px"] for point in state["points"]])
    table = np.array([point["at"] for point in state["points"]])
    h = np.array(state["fit"]).reshape(3, 3)
    left = distances(through(np.linalg.inv(h), seen), table)
    assert state["left"] == pytest.approx(left.tolist(), abs=1e-6)
    assert 0.5 < left.max() < 6
    assert f"Error left: {left.max():.1f} mm, at point {int(left.argmax()) + 1}" in page.inner_text("#told")
    assert press(page, "x")["left"] == pytest.approx([0] * 4, abs=1e-9)


def touch(page: Any, start: Any, end: Any) -> None:
    """A finger, put down, drawn and lifted."""
    hand = page.context.new_cdp_session(page)
    path = [(np.array(start) + (np.array(end) - np.array(start)) * part).tolist() for part in (0.0, 0.3, 0.7, 1.0)]
    for kind, at in (("touchStart", path[0]), *(("touchMove", at) for at in path[1:])):
        hand.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": at[0], "y": at[1]}]})
    hand.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def test_fingers_square_up_and_move_pieces(opened: Any) -> None:
    page = opened(has_touch=True)
    give_mat(page, "60", "40")
    for index, goal in enumerate(ASLANT.corners):
        touch(page, np.array(page.evaluate("oaktag.state().points")[index]["px"]) + 9, np.array(goal) + 9)
    state = settled(page)
    assert distances([point["px"] for point in state["points"]], ASLANT.corners).max() < NEAR_PX
    for view in ("test", "pieces"):
        page.touchscreen.tap(*button(page, "Enter"))
        wait_until(page, lambda view=view: settled(page)["view"] == view)
    before = ASLANT.on_table(figures(page)["front"])
    touch(page, (640, 400), (700, 350))
    settled(page)
    moved = ASLANT.on_table(figures(page)["front"]) - before
    start, end = ASLANT.on_table([(640, 400), (700, 350)])
    assert moved == pytest.approx(np.tile(end - start, (len(moved), 1)), abs=0.3)


def button(page: Any, key: str) -> tuple[float, float]:
    """The middle of the button that bears a key."""
    box = page.locator("button:visible", has=page.locator(f'kbd:text-is("{key}")')).first.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


# ---- what is refused


def test_a_quad_that_cannot_be_is_refused_in_clear_words(opened: Any) -> None:
    page = opened()
    give_mat(page, "60", "40")
    corners = [point["px"] for point in page.evaluate("oaktag.state().points")]
    drag(page, corners[2], ((corners[0][0] + corners[1][0]) / 2, corners[0][1] - 4))
    assert "in one line" in settled(page)["trouble"]
    page.mouse.move(4, 4)
    assert press(page, "Enter")["view"] == "square"
    assert press(page, "p")["view"] == "square"
    press(page, "0")
    drag(page, corners[2], (corners[0][0] + 90, corners[0][1] - 80))
    assert "points inwards" in settled(page)["trouble"]
    press(page, "0")
    near, far = corners[0][1] - 150, corners[2][1] + 150
    drag(page, corners[0], (corners[1][0], near))
    drag(page, corners[1], corners[0])
    assert "cross" in settled(page)["trouble"]
    drag(page, corners[3], (corners[2][0], far))
    drag(page, corners[2], corners[3])
    assert "mirrored" in settled(page)["trouble"]
    assert press(page, "v")["trouble"] == ""  # it comes by way of a mirror, then


@pytest.mark.parametrize("typed", ["", "wide", "1/0", "60 furlongs", "5", "1e9", "-60", "NaN"])
def test_a_mat_that_cannot_be_is_refused(opened: Any, typed: str) -> None:
    page = opened()
    page.keyboard.press("Backspace")
    give_mat(page, typed, "40")
    assert page.is_visible("#over")
    assert page.inner_text("#over .wrong") != ""
    assert settled(page)["name"] == ""
    page.keyboard.press("Escape")
    assert page.is_visible("#over")


def test_lengths_are_typed_as_makers_type_them(opened: Any) -> None:
    """1 in = 25.4 mm; worked by hand."""
    page = opened()
    for text, unit, mm in (
        ("23 1/2", "in", 596.9), ("23½", "in", 596.9), ("1/4", "in", 6.35), ("60 cm", "in", 600), ("60,5", "cm", 605),
        ("600", "mm", 600), ('24"', "cm", 609.6), ("23-1/2 in", "cm", 596.9), ("60.25 CM", "in", 602.5),
    ):  # fmt: skip
        assert page.evaluate("([t, u]) => oaktag.parsedLength(t, u)", [text, unit]) == pytest.approx(mm), text
    for text in ("", "abc", "1/0", "12 13", "--3", "1 2/3 4", "60 parsecs", "constructor", "5 constructor", "1e5"):
        assert page.evaluate("t => oaktag.parsedLength(t, 'in')", text) is None, text
    for mm, unit, text in ((596.9, "in", "23 1/2"), (6.35, "in", "1/4"), (605, "cm", "60.5"), (600, "in", "23.622")):
        assert page.evaluate("([m, u]) => oaktag.typedLength(m, u)", [mm, unit]) == text


# ---- kept, by table, and stale when things change


def test_a_table_is_kept_and_found_again(opened: Any) -> None:
    page = opened()
    squared(page)
    before = settled(page)
    page.reload()
    wait_until(page, lambda: settled(page)["view"] == "pieces")  # a window takes its place in its own time
    after = settled(page)
    assert (after["name"], after["mat"], after["points"]) == (before["name"], before["mat"], before["points"])
    assert after["warnings"] == []


def test_another_window_is_told_as_stale_until_squared_up_there(opened: Any) -> None:
    page = opened()
    squared(page)
    press(page, "Enter")
    page.set_viewport_size({"width": 1280, "height": 740})
    state = settled(page)
    assert state["stale"]
    assert "the window's height (was 800, is 740)" in page.inner_text("#warned")
    assert "Cut nothing" in page.inner_text("#warned")
    press(page, "u", "u")
    assert page.is_visible("#warned")  # it does not go away with the other words
    page.set_viewport_size({"width": 1280, "height": 800})
    state = settled(page)
    assert state["stale"] == []
    page.set_viewport_size({"width": 1000, "height": 700})
    press(page, "q", "ArrowLeft")
    assert settled(page)["stale"]  # one corner moved is not a table squared up
    assert press(page, "Enter")["stale"] == []
    page.reload()
    assert settled(page)["stale"] == []
    page.set_viewport_size({"width": 1280, "height": 800})
    state = settled(page)
    assert state["stale"] == []  # both windows are kept
    assert distances([point["px"] for point in state["points"]], ASLANT.corners).max() < NEAR_PX


def test_zoom_makes_a_table_stale(opened: Any) -> None:
    page = opened()
    squared(page)
    page.context.new_cdp_session(page).send(
        "Emulation.setDeviceMetricsOverride", {"width": 1280, "height": 800, "deviceScaleFactor": 1.25, "mobile": False}
    )
    wait_until(page, lambda: "STALE" in page.inner_text("#warned"))
    assert any("the zoom" in words for words in settled(page)["stale"])


def test_several_tables_by_name(opened: Any) -> None:
    page = opened()
    squared(page)
    first = settled(page)["points"]
    press(page, "q", "l", "n")
    page.keyboard.type("90")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.type("cutting table")
    press(page, "Enter")
    assert "already" in page.inner_text("#over .wrong")
    page.keyboard.press("Control+a")
    page.keyboard.type("__proto__")
    state = press(page, "Enter")
    assert (state["name"], state["mat"]["width"], state["view"]) == ("__proto__", 900, "square")
    press(page, "ArrowLeft", "Enter")
    page.reload()
    assert settled(page)["name"] == "__proto__"
    press(page, "q", "l", "ArrowDown")
    state = press(page, "Enter")
    assert (state["name"], state["points"]) == ("cutting table", first)
    press(page, "l", "ArrowUp", "x", "Escape")
    page.reload()
    assert settled(page)["name"] == "cutting table"
    assert "__proto__" not in page.evaluate("localStorage.getItem('oaktag tables 1')")


def test_a_new_mat_wants_squaring_up_again(opened: Any) -> None:
    page = opened()
    squared(page)
    press(page, "q", "m")
    give_mat(page, "70", "40")
    state = press(page, "t")
    assert state["mat"]["width"] == 700
    assert "not been squared up" in state["warnings"][0]
    page.reload()
    assert settled(page)["view"] == "square"


def test_points_that_are_being_moved_outlast_a_change_of_the_window(opened: Any) -> None:
    page = opened()
    give_mat(page, "60", "40")
    for index, goal in enumerate(ASLANT.corners):
        drag(page, page.evaluate("oaktag.state().points")[index]["px"], goal)
    before = settled(page)["points"]
    page.set_viewport_size({"width": 1290, "height": 810})
    assert settled(page)["points"] == before


def test_only_the_maker_can_say_that_it_fits(opened: Any) -> None:
    """Corners that were moved, or shown in the test, are not squared up; "corners fit" or "measures true" says so."""
    page = opened()
    give_mat(page, "60", "40")
    for _ in range(2):
        state = press(page, "ArrowLeft", "t")
        assert "not been squared up" in state["warnings"][0]
        assert "not been squared up" in press(page, "p")["warnings"][0]
        press(page, "t")
        assert press(page, "Enter")["warnings"] == []
        kept = page.evaluate("localStorage.getItem('oaktag tables 1')")
        press(page, "q", "0")  # starting anew is not squaring up, and takes nothing from what is kept
        assert page.evaluate("localStorage.getItem('oaktag tables 1')") == kept


def test_a_browser_that_keeps_nothing_is_told_and_served(opened: Any) -> None:
    page = opened(init="Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('no'); } });")
    state = squared(page)
    assert "keeps nothing" in state["warnings"][0]
    assert press(page, "Enter")["view"] == "pieces"
    assert figures(page)


@pytest.mark.parametrize(
    "junk",
    ["{", "[]", "null", "7", '{"tables": 3}', '{"last": "a", "tables": {"a": {"mat": {"width": -1}}}}',
     '{"last": "a", "turn": 1, "tables": {"a": {"mat": {"width": 600, "depth": 400}, "fits": {"x": {"points": []}}}}}'],
)  # fmt: skip
def test_what_was_kept_by_someone_else_does_no_harm(opened: Any, junk: str) -> None:
    page = opened(init=f"localStorage.setItem('oaktag tables 1', {json.dumps(junk)})")
    state = settled(page)
    assert state["view"] == "square"
    assert state["name"] == ""
    assert squared(page)["view"] == "test"


# ---- pieces, moved and shown


def laid(page: Any) -> dict[str, np.ndarray]:
    return {name: ASLANT.on_table(points) for name, points in figures(page).items()}


def test_moves_turns_and_mirrors(opened: Any) -> None:
    page = opened()
    squared(page)
    press(page, "Enter")
    before = laid(page)["front"]
    for step, mm in ((1, 5), (2, 50), (0, 1)):
        set_step(page, step)
        press(page, "ArrowRight", "ArrowUp")
        after = laid(page)["front"]
        assert np.mean(after - before, axis=0) == pytest.approx((mm, mm), abs=0.3)
        press(page, "ArrowLeft", "ArrowDown")
    start = page.evaluate("oaktag.state().moves")
    assert press(page, *"rrrr")["moves"] == start
    assert press(page, *"lr")["moves"] == start
    assert press(page, *"mm")["moves"] == start
    press(page, "m")
    assert "MIRRORED" in page.inner_text("#told")
    mirrored = laid(page)["front"]
    middle = (before.min(axis=0) + before.max(axis=0))[0]
    assert mirrored[:, 0] == pytest.approx(middle - before[:, 0], abs=0.5)
    press(page, "m", "r")
    turned = laid(page)["front"]
    centre = (before.min(axis=0) + before.max(axis=0)) / 2
    x, y = (before - centre).T
    assert turned == pytest.approx(centre + np.column_stack([y, -x]), abs=0.5)  # a quarter to the right
    press(page, "ArrowLeft", "c")
    assert laid(page)["front"].mean(axis=0) == pytest.approx(turned.mean(axis=0), abs=0.3)
    assert press(page, "0")["moves"] == start


def test_a_piece_alone_and_all_together(opened: Any) -> None:
    page = opened()
    squared(page)
    state = press(page, "Enter")
    assert (state["alone"], state["moveAll"], set(figures(page))) == (True, False, {"front"})
    state = press(page, "n", "n", "n", "b")
    assert state["chosen"] == "pocket"
    alone = laid(page)["pocket"]
    state = press(page, "a")
    assert (state["alone"], state["moveAll"]) == (False, True)
    assert "moves ALL" in page.inner_text("#told")
    before = laid(page)
    assert set(before) == {"front", "leaf piece", "pocket"}
    apart = before["pocket"][0] - before["leaf piece"][0]
    given = {f.name.replace("_", " "): np.array(f.strokes[0].points) for f in demo_sheet().figures}
    x, y = given["pocket"][0] - given["leaf piece"][0]
    assert apart == pytest.approx((y, -x), abs=0.4)  # as the sheet has them, its top to the right
    press(page, "ArrowUp")
    for name, points in laid(page).items():
        assert points - before[name] == pytest.approx(np.tile((0, 5), (len(points), 1)), abs=0.3)
    press(page, "a")
    still = laid(page)
    press(page, "ArrowLeft")
    after = laid(page)
    assert after["pocket"] - still["pocket"] == pytest.approx(np.tile((-5, 0), (4, 1)), abs=0.3)
    assert after["front"] == pytest.approx(still["front"])
    press(page, "o")
    assert laid(page)["pocket"] == pytest.approx(alone)  # alone, it lies where it lay alone
    press(page, "o")
    assert laid(page)["pocket"] == pytest.approx(after["pocket"])


def test_the_mouse_takes_the_piece_it_lies_on(opened: Any) -> None:
    page = opened()
    squared(page)
    press(page, "Enter", "o", "j")
    before = laid(page)
    spot = through(ASLANT.truth, [before["leaf piece"].mean(axis=0)])[0]
    page.mouse.move(*spot)
    page.mouse.down()
    page.mouse.move(spot[0] - 40, spot[1] + 30)
    page.mouse.up()
    state = settled(page)
    assert state["chosen"] == "leaf piece"
    after = laid(page)
    start, end = ASLANT.on_table([spot, (spot[0] - 40, spot[1] + 30)])
    assert np.mean(after["leaf piece"] - before["leaf piece"], axis=0) == pytest.approx(end - start, abs=0.4)
    assert after["front"] == pytest.approx(before["front"])


def test_a_half_on_the_fold_is_unfolded(opened: Any) -> None:
    page = opened()
    squared(page)
    press(page, "Enter")
    half = [ASLANT.on_table(line["points"]) for line in page.evaluate("oaktag.shown()") if line["role"] == "cut"]
    (edge,) = half
    assert len(edge) == 5  # the side that lies on the fold is not a line to cut: open, from fold to fold
    assert not any(line["closed"] for line in page.evaluate("oaktag.shown()") if line["role"] == "cut")
    assert "half, on the fold" in page.inner_text("#told")
    press(page, "y")
    assert "UNFOLDED" in page.inner_text("#told")
    first, second = [
        ASLANT.on_table(line["points"]) for line in page.evaluate("oaktag.shown()") if line["role"] == "cut"
    ]
    assert first == pytest.approx(edge)
    fold = first[0, 1]  # the grain lies along the mat, so the fold is a line of one y
    assert first[-1, 1] == pytest.approx(fold, abs=0.3)
    assert second == pytest.approx(np.column_stack([first[:, 0], 2 * fold - first[:, 1]]), abs=0.4)
    brackets = [line for line in page.evaluate("oaktag.shown()") if line["role"] == "fold" and len(line["points"]) > 2]
    assert brackets == []
    words = [line for line in page.evaluate("oaktag.shown()") if line["role"] == "label"]
    assert len(words) == 1  # no lettering in the looking-glass
    press(page, "y")
    assert len([line for line in page.evaluate("oaktag.shown()") if line["role"] == "cut"]) == 1
    assert "unfold" not in [verb.lower() for verb in page.locator("#keys button").all_inner_texts()]


def test_sizes_with_folds_of_their_own_unfold_about_them(opened: Any, tmp_path: Path) -> None:
    """Stacked on a point that is not on the fold, each size has its fold elsewhere."""
    strokes = []
    for size, fold in (("10", 30.0), ("12", 22.0)):
        ring = ((fold, 10.0), (150.0, 10.0), (150.0, 110.0), (fold, 110.0))
        strokes += [
            Stroke(Role.CUT, ring, True, size, ()),
            Stroke(Role.FOLD, ((fold, 10.0), (fold, 110.0)), False, size),
        ]
    path = tmp_path / "folds.html"
    path.write_bytes(render(Sheet("folds", 200, 120, (Figure("front", tuple(strokes)),)), "cm"))
    page = opened(path)
    squared(page)
    press(page, "Enter", "y")
    by_size = {size: [] for size in ("10", "12")}
    for line in page.evaluate("oaktag.shown()"):
        if line["role"] == "cut":
            by_size[line["size"]].append(ASLANT.on_table(line["points"]))
    for size, width in (("10", 2 * 120), ("12", 2 * 128)):
        both = np.concatenate(by_size[size])
        assert len(by_size[size]) == 2
        assert sorted(np.ptp(both, axis=0)) == pytest.approx([100, width], rel=NEAR_SCALE)


def test_roles_and_sizes_are_hidden_and_shown(opened: Any) -> None:
    page = opened()
    squared(page)
    press(page, "Enter")
    roles = {line["role"] for line in page.evaluate("oaktag.shown()")}
    assert roles == {"cut", "stitch", "fold", "grain", "label"}
    press(page, "v", "2", "ArrowDown", "Enter", "Escape")  # stitch lines, then the row below: fold lines
    assert {line["role"] for line in page.evaluate("oaktag.shown()")} == roles - {"stitch", "fold"}
    assert "hidden: stitch lines, fold lines" in page.inner_text("#told")
    press(page, "n", "n")
    assert [line["size"] for line in page.evaluate("oaktag.shown()")] == ["10", "12"]
    for sizes in (["10"], ["12"], ["10", "12"]):
        press(page, "z")
        assert [line["size"] for line in page.evaluate("oaktag.shown()")] == sizes


def test_the_break_is_dark_and_ends_with_any_key_or_a_tap(opened: Any) -> None:
    page = opened()
    squared(page)
    press(page, "Enter", "i")
    assert picture(page).mean() > 180
    assert press(page, " ")["resting"]
    assert picture(page).mean() < 3
    assert not press(page, "n")["resting"]
    assert settled(page)["chosen"] == "front"  # the key that ends a break does nothing else
    press(page, " ")
    page.mouse.click(30, 30)
    assert not settled(page)["resting"]
    assert picture(page).mean() > 180


def test_words_are_flipped_for_a_mirror_and_arrows_follow_them(opened: Any) -> None:
    page = opened()
    give_mat(page, "60", "40")
    for key_count, (fx, fy) in enumerate(((1, 1), (-1, 1), (-1, -1), (1, -1))):
        matrix = page.evaluate("new DOMMatrix(getComputedStyle(document.getElementById('card')).transform).toJSON()")
        assert (np.sign(matrix["a"]), np.sign(matrix["d"])) == (fx, fy), key_count
        state = settled(page)
        assert state["trouble"] == ""
        (u, v), (u2, _), (_, v3) = (state["points"][i]["px"] for i in (0, 1, 2))
        assert (np.sign(u2 - u), np.sign(v - v3)) == (fx, fy)  # corner 2 is to the right of 1, 3 is away, as words lie
        press(page, "v")
    page.reload()
    settled(page)
    if page.is_visible("#over"):
        give_mat(page, "60", "40")
    press(page, "v")
    before = settled(page)["points"][0]["px"]
    after = press(page, "ArrowRight", "ArrowUp")["points"][0]["px"]
    assert (after[0] - before[0], after[1] - before[1]) == (-1, -1)


def test_pieces_beyond_the_horizon_do_no_harm(opened: Any) -> None:
    """A very slanting lamp: far from the mat, a point has no place in the picture."""
    page = opened()
    give_mat(page, "60", "40")
    steep = Projector(600, 400, ((40, 760), (1240, 760), (760, 420), (520, 420)))
    for index, goal in enumerate(steep.corners):
        drag(page, page.evaluate("oaktag.state().points")[index]["px"], goal)
    page.mouse.move(3, 3)
    press(page, "Enter", "Enter", "a")
    set_step(page, 2)
    for way in ("ArrowUp", "ArrowRight", "ArrowDown"):
        press(page, *[way] * 15)
        for line in page.evaluate("oaktag.shown()"):
            assert np.isfinite(line["points"]).all()


# ---- the page as a whole


def test_it_asks_nobody_for_anything_and_allows_nothing_else(page_file: Path) -> None:
    text = page_file.read_text(encoding="utf-8")
    assert text.lower().startswith("<!doctype html>")
    assert not re.search(r"""(?:src|href)=(?!"data:)""", text.split("<script>")[0])
    policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]*)"', text)
    assert policy is not None
    assert "default-src 'none'" in policy[1]
    assert "unsafe" not in policy[1]
    for word in ("fetch(", "XMLHttpRequest", "WebSocket", "innerHTML", "eval(", "import("):
        assert word not in text, word


def test_the_policy_stops_what_is_put_in(browser: Any, tmp_path: Path, page_file: Path) -> None:
    text = page_file.read_text(encoding="utf-8").replace("</body>", "<script>window.put_in = 1</script></body>")
    (tmp_path / "other.html").write_text(text, encoding="utf-8")
    context = browser.new_context()
    page = context.new_page()
    page.goto((tmp_path / "other.html").as_uri())
    assert page.evaluate("window.put_in") is None
    assert page.evaluate("typeof window.oaktag") == "object"
    context.close()


def test_names_with_markup_are_words(opened: Any, tmp_path: Path) -> None:
    name = "</script><script>window.hacked = 1</script>{{script}}<!--"
    sheet = Sheet(name, 100, 100, (Figure(name, (Stroke(Role.CUT, ((1, 1), (90, 1), (50, 80)), True, "<b>12"),)),))
    path = tmp_path / "markup.html"
    path.write_bytes(render(sheet, "in"))
    page = opened(path)
    give_mat(page, "24", "18")
    press(page, "Enter", "Enter")
    assert page.evaluate("window.hacked") is None
    assert page.title().startswith(name)
    assert name in page.inner_text("#name")


def test_every_key_stands_alone_and_is_told(opened: Any) -> None:
    """In each mode no two buttons bear the same key, and the help tells every key of every button."""
    page = opened()
    squared(page)
    keys = set()
    for view in ("q", "t", "p"):
        press(page, view)
        if view == "q":
            press(page, "u")  # all keys, not the few
        shown = page.locator("#keys kbd").all_inner_texts()
        assert len(shown) == len(set(shown))
        assert all(len(key) == 1 or key in ("Enter", "Space") for key in shown)
        keys |= set(shown)
    press(page, "h")
    told = page.locator("#over kbd").all_inner_texts()
    assert keys - set("←↑↓→") <= set(told)
    words = page.inner_text("#over")
    for caution in ("look into the lens", "second tether", "vents", "100 mm each way"):
        assert caution in words
    press(page, "Backspace")
    assert not page.is_visible("#over")


@pytest.mark.parametrize("window", [(1280, 800), (1920, 1080)])
def test_letters_can_be_read_from_the_table(opened: Any, window: tuple[int, int]) -> None:
    """24 px and more (the task's own limit), and nothing runs out of the window."""
    page = opened(width=window[0], height=window[1])
    for step in ("", "Enter", "Enter", "Enter", "u", "h"):
        if step:
            press(page, step)
        sizes = page.evaluate(
            "[...document.querySelectorAll('#card *, #over *, #recall *')].filter(e => e.offsetParent && e.innerText)"
            ".map(e => parseFloat(getComputedStyle(e).fontSize))"
        )
        assert min(sizes) >= 24
        for place in ("#card", "#over"):
            if page.is_visible(place):
                box = page.locator(place).bounding_box()
                assert box["x"] >= 0
                assert box["y"] >= 0
                assert box["x"] + box["width"] <= window[0]
                assert box["y"] + box["height"] <= window[1]


# ---- in the hand, and lettering


def lies_under(page: Any, at: Any) -> str:
    """The id of what a finger meets at a place of the window."""
    return str(page.evaluate("([x, y]) => document.elementFromPoint(x, y)?.id ?? ''", [float(at[0]), float(at[1])]))


def test_corners_are_reached_by_a_finger_on_a_telephone(opened: Any) -> None:
    """390 × 844 px. Every corner lies free, with 22 px round it (44 px is the usual least size of what a finger hits;
    common practice, no source), as it was first put and again near the edges of the window; and dragging moves it."""
    page = opened(width=390, height=844, has_touch=True)
    give_mat(page, "90", "60")
    for goals in ([(30, 560), (350, 540), (340, 290), (40, 300)], [(28, 812), (362, 815), (360, 30), (30, 28)]):
        for index, goal in enumerate(goals):
            points = [point["px"] for point in settled(page)["points"]]
            for dx, dy in ((0, 0), (-22, 0), (22, 0), (0, -22), (0, 22)):
                for u, v in points:
                    assert lies_under(page, (u + dx, v + dy)) == "table", (goals, index, (u, v), (dx, dy))
            touch(page, points[index], goal)
        moved = settled(page)["points"]
        assert distances([point["px"] for point in moved], goals).max() < NEAR_PX
    assert settled(page)["trouble"] == ""


@pytest.mark.parametrize("window", [(390, 844), (1280, 800)])
def test_the_test_is_seen_beside_the_words(opened: Any, window: tuple[int, int]) -> None:
    page = opened(width=window[0], height=window[1])
    give_mat(page, "90", "60")
    press(page, "Enter")
    for line in page.evaluate("oaktag.shown()"):
        for corner in line["points"]:
            assert lies_under(page, corner) == "table"
    for place in page.locator("#card button").all():
        box = place.bounding_box()
        assert box["height"] >= 44 and box["x"] >= 0 and box["x"] + box["width"] <= window[0]
    card = page.locator("#card").bounding_box()
    assert card["y"] >= 0 and card["y"] + card["height"] <= window[1]


@pytest.mark.parametrize("window", [(390, 844), (1280, 800)])
def test_mirrored_stays_when_the_words_are_away(opened: Any, window: tuple[int, int]) -> None:
    page = opened(width=window[0], height=window[1])
    give_mat(page, "60", "40")
    press(page, "Enter", "Enter", "u", "u")
    assert not page.is_visible("#card") and not page.is_visible("#stays")
    press(page, "m")
    assert page.inner_text("#stays") == "MIRRORED" and page.is_visible("#stays")
    press(page, "r")
    assert page.is_visible("#stays")  # turned too, and still mirrored
    press(page, "n")
    assert not page.is_visible("#stays")  # alone, the next piece is not
    press(page, "o")
    assert page.is_visible("#stays") == page.evaluate(
        "oaktag.state().moves.some(([a, b, c, d]) => a * d - b * c < 0)"
    )  # of all that is shown


def test_the_next_piece_lies_on_the_mat(opened: Any) -> None:
    """Thrown off the mat or laid beyond it: whatever is chosen comes on to it, and alone it is there too."""
    page = opened()
    squared(page)
    press(page, "Enter")
    set_step(page, 2)

    def on_mat(piece: str) -> bool:
        if piece not in figures(page):  # out of sight
            return False
        thrown = ASLANT.on_table(figures(page)[piece])
        middle = (thrown.min(axis=0) + thrown.max(axis=0)) / 2
        return bool((middle > 0).all() and (middle < (ASLANT.width, ASLANT.depth)).all())

    labels = [press(page, "n")["chosen"] for _ in range(3)]
    labels = [labels[-1], *labels[:-1]]
    press(page, *["ArrowRight"] * 60)
    assert not on_mat(labels[0])
    press(page, "n", "b")
    assert on_mat(labels[0])
    press(page, "o", "a", *["ArrowUp"] * 60)  # all of them, far beyond
    before = np.array(page.evaluate("oaktag.state().moves"))
    for _ in labels:
        state = press(page, "n")
        assert on_mat(state["chosen"])
    shifts = np.array(page.evaluate("oaktag.state().moves")) - before
    assert np.abs(shifts - shifts[0]).max() < 1e-6 and np.abs(shifts[0]).max() > 100  # they keep to each other
    press(page, "o")
    assert on_mat(settled(page)["chosen"])


def lettered(page: Any) -> np.ndarray:
    """The pixels of names alone, (rows and columns): what vanishes with the lettering of a piece that has no other."""
    with_names = picture(page)
    press(page, "v")
    page.get_by_text("lettering", exact=True).click()
    press(page, "Escape")
    without = picture(page)
    press(page, "v")
    page.get_by_text("lettering", exact=True).click()
    press(page, "Escape")
    return np.argwhere(np.abs(with_names - without) > 100)


@pytest.mark.parametrize("mount", ["", "v"])
def test_names_are_upright_and_ten_millimetres_high_however_a_piece_lies(
    opened: Any, tmp_path: Path, mount: str
) -> None:
    """On the table its light is 10 mm high at least, so that it is read from a metre, and wider than high, whatever the
    turn; the first letter, an L, has its stem at the reader's left and its foot at the near edge."""
    path = tmp_path / "name.html"
    square = ((20.0, 20.0), (320.0, 20.0), (320.0, 320.0), (20.0, 320.0))
    path.write_bytes(
        render(Sheet("t", 340.0, 340.0, (Figure("LEEL", (Stroke(Role.CUT, square, closed=True),)),)), "cm")
    )
    page = opened(path)
    give_mat(page, "60", "40")
    if mount:
        press(page, mount)
    flip = -1.0 if mount else 1.0
    press(page, "Enter", "Enter", "u", "u")
    scale = abs(figures(page)["LEEL"][0][0] - figures(page)["LEEL"][2][0]) / 300.0  # px a mm: the mat lies straight
    for keys in (("r",), ("r",), ("m",), ("r",), ("r",), ("l",)):
        press(page, *keys)
        lit = lettered(page)
        mirrored = page.is_visible("#stays")
        high, wide = np.ptp(lit, axis=0) / scale
        if not mirrored:
            assert high >= 10 and wide > 1.8 * high
            rows, columns = lit[:, 0], lit[:, 1]
            first = np.abs(columns - (columns.min() if flip > 0 else columns.max())) < wide * scale / 5.5
            letter = lit[first]  # an L at the left of the one who reads
            stem = np.abs(letter[:, 1] - (letter[:, 1].min() if flip > 0 else letter[:, 1].max())) < 2
            assert np.ptp(letter[stem][:, 0]) > 0.9 * np.ptp(rows)
            assert np.median(letter[~stem][:, 0]) > rows.mean()  # its foot is at the near edge
        else:
            assert high >= 20  # MIRRORED stands under the name


def test_a_lay_opens_as_a_whole(opened: Any, tmp_path: Path) -> None:
    path = tmp_path / "lay.html"
    path.write_bytes(render(demo_sheet(), "in", start="lay"))
    page = opened(path)
    give_mat(page, "24", "18")
    state = press(page, "Enter", "Enter")
    assert (state["alone"], state["moveAll"]) == (False, True)
    assert len(figures(page)) == 3


def test_a_sheet_without_figures_is_refused() -> None:
    with pytest.raises(GeometryError, match="no figures"):
        render(Sheet("empty", 10, 10, ()), "cm")
    with pytest.raises(GeometryError, match="outside the sheet"):
        render(Sheet("out", 10, 10, (Figure("a", (Stroke(Role.CUT, ((0, 0), (99, 0))),)),)), "cm")


def test_the_data_are_the_sheet_to_a_hundredth() -> None:
    text = render(demo_sheet(), "cm").decode()
    data = json.loads(re.search(r'id="figures">(.*?)</script>', text)[1])  # type: ignore[index]
    for figure, given in zip(data["figures"], demo_sheet().figures, strict=True):
        lines = [line for group in figure["groups"] for line in group["lines"]]
        assert len(lines) == len(given.strokes)
        for (closed, steps), stroke in zip(lines, given.strokes, strict=True):
            points = np.cumsum(np.array(steps).reshape(-1, 2), axis=0) / 100
            assert points == pytest.approx(np.array(stroke.points), abs=0.00501)
            assert bool(closed) == stroke.closed
    assert render(demo_sheet(), "cm") == render(demo_sheet(), "cm")
