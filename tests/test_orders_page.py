"""The summary of a batch: what it says, that nothing in an order is more than words to it, and that it stays small."""

from __future__ import annotations

import re
import tracemalloc
from collections.abc import Iterator
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from oaktag.orders import page as summary
from oaktag.orders.model import Ended
from oaktag.orders.names import folder_name
from oaktag.orders.page import page
from table import chromium

PICTURE = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20" width="40" height="20">'
    '<path d="M0,0 40,0 40,20z"/></svg>'
)
MADE = {"report.html": "sum", "pattern.plt": "sum"}


class Read(HTMLParser):
    """The standard library's parser; every element must be closed in its turn. Keeps elements, and words by section."""

    def __init__(self, html: bytes) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[tuple[str, str]] = []
        self.words: dict[str, str] = {}
        self.feed(html.decode("utf-8"))
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in ("meta", "img"):
            self.open.append((tag, dict(attrs).get("id") or ""))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop()[0] == tag

    def handle_data(self, data: str) -> None:
        if not any(tag == "style" for tag, _ in self.open):
            for place in {name for _, name in self.open if name} | {""}:
                self.words[place] = self.words.get(place, "") + data.replace("\u00a0", " ")

    def all(self, tag: str, attribute: str) -> list[str]:
        return [str(own[attribute]) for name, own in self.elements if name == tag and attribute in own]


def done(name: str, **more: Any) -> Ended:
    return Ended(name, "stage.csv, line 2", "done", **{"sums": MADE, "picture": PICTURE, **more})


BATCH = (
    done("alto-7", title="alto 7", seconds=0.34, due="2026-12-04", quantity=2,
         columns={"row": "2", "client": "Rosa Quill"}),
    Ended("alto-8", "stage.csv, line 4", "refused", 'stage.csv:4 hip_girth: "103" is taken as inches.',
          due="2026-12-04"),
    done("mezzo-2", findings=("hem: 40 in is narrow for stairs.", "b", "c", "d", "e", "f")),
    Ended("alto-9", "stage.csv, line 6", "refused", 'stage.csv:6 hip_girth: "110" is taken as inches.'),
    Ended("bass-1", "stage.csv, line 7", "failed", "the worker that made it was killed.", due="2026-11-30"),
    done("tenor-4", sums={"pattern.plt": "sum"}),
)  # fmt: skip


@pytest.fixture(scope="module")
def read() -> Read:
    return Read(page(BATCH, "stage"))


def test_what_needs_somebody_comes_first(read: Read) -> None:
    sections = [own.get("id") for tag, own in read.elements if tag == "section"]
    assert sections == ["failed", "refused", "warned", "done", "reasons", "days", "prove", "cautions"]
    assert "1 failed, 2 refused; 3 made, 1 of them with warnings." in read.words[""]
    assert "6 orders, 7 garments; patterns made for 4" in read.words[""]
    orders = [name.removeprefix("order-") for name in read.all("li", "id")]
    assert orders == ["bass-1", "alto-8", "alto-9", "mezzo-2", "alto-7", "tenor-4"]
    assert '"103" is taken as inches.' in read.words["order-alto-8"]
    assert "the worker that made it was killed." in read.words["order-bass-1"]
    assert "hem: 40 in is narrow for stairs." in read.words["order-mezzo-2"]
    assert "2 more in its report." in read.words["order-mezzo-2"]
    for words in ("alto 7", "alto-7", "stage.csv, line 2", "2 garments", "due 2026-12-04", "row: 2"):
        assert words in read.words["order-alto-7"]


def test_nothing_is_asked_from_outside() -> None:
    assert not re.search(r"https?:|@import|url\(|javascript:", page([done("a", picture="")], "x").decode())


def test_a_clients_name_is_not_on_the_page(read: Read) -> None:
    assert "Rosa" not in read.words[""]


def test_an_order_leads_to_its_report_or_its_folder(read: Read) -> None:
    links = read.all("a", "href")
    assert [link for link in links if link[0] != "#"] == ["mezzo-2/report.html", "alto-7/report.html", "tenor-4/"]
    ids = [str(own["id"]) for _, own in read.elements if "id" in own]
    assert len(set(ids)) == len(ids)
    assert {link[1:] for link in links if link[0] == "#"} <= set(ids)


def test_reasons_that_differ_by_numbers_are_one(read: Read) -> None:
    rows = re.findall(r"(?m)^(\d+)(\D.*)$", read.words["reasons"])
    assert rows == [("2", '"#" is taken as inches.alto-8'), ("1", "the worker that made it was killed.bass-1")]


def test_many_reasons_and_days_have_an_end() -> None:
    words = [f"{a}{b}" for a in "abcdef" for b in "uvwxyz!"]
    days = [f"2026-{month:02}-{day:02}" for month in range(1, 7) for day in range(1, 8)]
    told = [Ended(f"n{k}", "a.csv, line 2", "refused", words[k], due=days[k]) for k in range(42)]
    got = Read(page(told, "stage"))
    assert "2 reasons more: see manifest.csv." in got.words["reasons"]
    assert len(re.findall(r"(?m)^1[a-f]", got.words["reasons"])) == 40
    assert "2 days more: see manifest.csv." in got.words["days"]
    assert sum(line.startswith("2026") for line in got.words["days"].split("\n")) == 40
    assert [link for link in got.all("a", "href") if link in ("#refused", "#reasons", "#days")] == [
        "#refused", "#reasons", "#days"
    ]  # fmt: skip


def test_what_is_due_when_is_added_up(read: Read) -> None:
    """By hand: on the last of November one garment, not made; on the fourth three, two of them in the order made."""
    assert read.words["days"].split("\n")[-4:-2] == ["2026-11-30101", "2026-12-04311"]


@pytest.mark.parametrize(
    ("ended", "said"),
    [
        ((), "There was no order."),
        ((done("a"),), "Made, without a warning."),
        ((done("a"), done("b")), "All 2 made, without a warning."),
        ((done("a", findings=("x",)), done("b")), "All 2 made, 1 of them with warnings: read those before you cut."),
        ((Ended("a", "a.toml", "refused", "x"),), "1 refused; 0 made."),
    ],
)
def test_the_first_sentence_says_how_it_went(ended: tuple[Ended, ...], said: str) -> None:
    assert said in Read(page(ended, "stage")).words[""]


def test_a_picture_is_shown_as_one_and_nothing_in_it_is_run() -> None:
    hostile = '<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"><script>alert(2)</script></svg>'
    got = Read(page([done("a", picture=hostile), done("b", picture="<script>1</script>"), done("c", picture="")], "x"))
    assert not [tag for tag, _ in got.elements if tag in ("script", "svg", "path")]
    (source,) = got.all("img", "src")
    assert source.startswith("data:image/svg+xml,%3Csvg xmlns=%22http://www.w3.org/2000/svg%22")


def test_pictures_have_an_end_and_names_go_on(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(summary, "ROOM_FOR_PICTURES", 1_000)
    got = Read(page((done(f"n{k}") for k in range(50)), "stage"))
    assert 1 <= len(got.all("img", "src")) <= 1_000 // len(PICTURE)
    assert len(got.all("li", "id")) == 50


def many(count: int) -> Iterator[Ended]:
    for k in range(count):
        if k % 10 == 3:
            yield Ended(f"n{k}", f"stage.csv, line {k}", "refused", f"stage.csv:{k} order: no {k} of it.")
        else:
            yield done(f"n{k}")


def test_a_page_of_any_batch_is_small(monkeypatch: pytest.MonkeyPatch) -> None:
    """300 orders are shown, what needs somebody first; the rest is counted, and not held."""
    monkeypatch.setattr(summary, "MOST", 300)

    def made(count: int) -> tuple[Read, int, int]:
        tracemalloc.start()
        try:
            data = page(many(count), "stage")
            return Read(data), len(data), tracemalloc.get_traced_memory()[1]
        finally:
            tracemalloc.stop()

    some, size, _ = made(1_000)
    assert len(some.all("li", "id")) == 300
    assert "Refused (100)" in some.words[""]
    assert "700 more are not shown here: manifest.csv has every order." in some.words["done"]
    more, larger, peak = made(8_000)
    assert "Refused (800)" in more.words[""]
    assert "500 more are not shown here" in more.words["refused"]
    assert larger < 1.2 * size
    assert peak < 5_000_000


def test_a_long_section_is_leapt_through() -> None:
    got = Read(page((done(f"n{k}") for k in range(250)), "stage"))
    leaps = [link for link in got.all("a", "href") if link.startswith("#order-")]
    assert leaps == ["#order-n0", "#order-n100", "#order-n200"]
    assert "n100 – n199" in got.words["done"]
    assert "n200 – n249" in got.words["done"]


ANY = st.text(st.one_of(st.sampled_from("<>&\"'=`/\0\x1b\u2028%#?"), st.characters()), max_size=30)
TAGS = st.sampled_from(
    ("<script>alert(1)</script>", '"><img src=x onerror=alert(1)>', "</style><b>", "javascript:alert(1)", "<!--", "]]>")
)
WORDS = st.one_of(ANY, TAGS)


@settings(max_examples=150)
@given(
    st.lists(
        st.builds(
            Ended, WORDS.map(folder_name), WORDS, st.sampled_from(("done", "refused", "failed")), WORDS,
            columns=st.dictionaries(WORDS, WORDS, max_size=3), due=WORDS, title=WORDS, picture=WORDS,
            findings=st.lists(WORDS, max_size=3).map(tuple), sums=st.just(MADE),
        ),
        max_size=4, unique_by=lambda one: one.name,
    ),
    WORDS,
)  # fmt: skip
def test_whatever_stands_in_an_order_is_words(ended: list[Ended], title: str) -> None:
    got = Read(page(ended, title))
    tags = {tag for tag, _ in got.elements}
    assert not tags & {"script", "iframe", "object", "embed", "base", "link", "form", "svg"}
    assert not [name for _, own in got.elements for name in own if name.startswith("on") and name != "open"]
    assert all(source.startswith("data:image/svg+xml,") for source in got.all("img", "src"))
    for link in got.all("a", "href"):
        assert link.startswith("#") or re.fullmatch(r"[\w%.~-]+/(report\.html)?", link)


def test_a_browser_keeps_the_page_within_a_phone_and_shows_its_pictures(tmp_path: Path) -> None:
    long = [done("x" * 60, title="y" * 120, columns={"remark": "z" * 200}), *BATCH]
    file = tmp_path / "summary.html"
    file.write_bytes(page(long, "stage"))
    with chromium() as browser:
        for width in (390, 1280):
            shown = browser.new_page(viewport={"width": width, "height": 900})
            shown.goto(file.as_uri())
            assert shown.evaluate("document.documentElement.scrollWidth") == width
            sizes = shown.evaluate("[...document.images].map(i => [i.complete, i.naturalWidth, i.clientWidth])")
            assert sizes == [[True, 40, 40]] * 4
            shown.close()


def test_orders_that_are_gone_through_once_are_enough() -> None:
    batch = iter(BATCH)
    assert page(batch, "stage") == page(BATCH, "stage")
    assert next(batch, None) is None


def test_the_same_orders_give_the_same_page_however_long_they_took() -> None:
    assert page([replace(one, seconds=one.seconds + 1) for one in BATCH], "stage") == page(BATCH, "stage")
