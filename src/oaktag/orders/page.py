"""summary.html: how the orders of a batch ended, what needs somebody first, with a small picture of each pattern.

However many orders there are, the page holds so many as a browser opens at once; the manifest has them all.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Final
from urllib.parse import quote

from ..checks.by_size import but_for_numbers
from ..export.report_page import TABLE_END, cautions_section, counted, escaped, prove_the_scale, table_start
from ..export.report_page import page as report_page
from ..values import dataclass, field
from .cells import one_line
from .model import Ended

MOST: Final = 10_000
"""Orders that the page shows."""
ROOM_FOR_PICTURES: Final = 10_000_000
"""Bytes; the orders after these are shown by their names alone, which lead to their reports."""
LARGEST_PICTURE: Final = 30_000
_LEAP: Final = 100
"""So many orders are one link in the list that leads through a long section."""
_MOST_ROWS: Final = 40
_MOST_FINDINGS: Final = 4
_MOST_COLUMNS: Final = 6
_LONGEST_VALUE: Final = 80
_LONGEST_REASON: Final = 1_200
_PLACE: Final = re.compile(r"^[^:\n]{1,300}?(?::\d+|\.(?:toml|csv|tsv|txt))(?: [^:\n]{1,80})?: ")
_KINDS: Final = {
    "failed": ("Failed", "the machine or the program failed at these: look at the reason, and start the batch again"),
    "refused": ("Refused", "nothing was made of these: the reason says what to change"),
    "warned": ("Made, with warnings", "read these before you cut"),
    "done": ("Made", ""),
}
"""In the order in which somebody is needed: what a section is called, and what it asks for."""
_CSS: Final = """
.orders{list-style:none;padding:0;margin:.5rem 0}
.orders>li{display:grid;grid-template-columns:8rem minmax(0,1fr);gap:.2rem 1.2rem;max-width:none;margin:0;
padding:.7rem 0;border-bottom:1px solid #b9bcc4;content-visibility:auto;contain-intrinsic-size:auto 5.5rem}
.orders>li>div{grid-column:2}
.orders .picture{grid-column:1;grid-row:1;min-height:1px}
.orders img{display:block;max-width:100%;max-height:7rem;width:auto;height:auto}
.bare>li{grid-template-columns:minmax(0,1fr)}
.bare>li>div{grid-column:1}
.orders h3{margin:0;overflow-wrap:anywhere}
.orders h3 a{color:#16181d}
.orders p{margin:.1rem 0}
.orders .found{margin:.3rem 0 0}
.orders .found li{margin:.3rem 0}
.orders .found .sign{width:1.3rem;height:1.3rem;line-height:1.1rem;border-width:1.5px;font-size:.85rem}
.leap{columns:12rem;column-gap:1.5rem;font-size:.85rem;list-style:none;padding:0}
.leap li{margin:0;padding:.12rem 0}
.leap a{color:#16181d;overflow-wrap:anywhere}
summary h2{display:inline-block;margin:0;border:0;padding:0}
summary h2::before{content:none}
section.ended{margin:2.2rem 0 .7rem;border-top:2px solid #16181d;padding-top:.4rem}
@media (max-width:699px){.orders>li{grid-template-columns:5rem minmax(0,1fr);gap:.2rem .8rem}
.bare>li{grid-template-columns:minmax(0,1fr)}.orders img{max-height:5rem}}
@media print{.orders>li{content-visibility:visible;grid-template-columns:24mm minmax(0,1fr);padding:.3rem 0}
.bare>li{grid-template-columns:minmax(0,1fr)}.orders img{max-height:22mm}.leap{display:none}.orders h3{font-size:10pt}
.orders h3 a{text-decoration:none}}
"""


@dataclass(slots=True)
class _Section:
    """The orders of one kind: how many, and as they are shown, each with its name."""

    count: int = 0
    garments: int = 0
    shown: list[tuple[str, str]] = field(default_factory=list)


@dataclass(slots=True)
class _Counts:
    """What many orders have in common: a reason, a day."""

    count: int = 0
    of: dict[str, int] = field(default_factory=dict)
    first: str = ""


def page(ended: Iterable[Ended], title: str) -> bytes:
    """The page as UTF-8; it needs nothing from outside but the folders beside it, and has no script.

    The orders are gone through once, and those that it does not show are not held. How long each took is left to the
    manifest: the same orders give the same page."""
    sections = {kind: _Section() for kind in _KINDS}
    reasons: dict[str, _Counts] = {}
    days: dict[str, _Counts] = {}
    room = ROOM_FOR_PICTURES
    for one in ended:
        kind = "warned" if one.ending == "done" and one.findings else one.ending
        section = sections[kind]
        section.count += 1
        section.garments += one.quantity
        if one.ending != "done":
            _count(reasons, _kind_of(one.reason), "", one.name, 1)
        if one.due:
            _count(days, one.due, "made" if one.ending == "done" else "not", one.name, one.quantity)
        if len(section.shown) < MOST:
            shown = _picture(one, room)
            room -= len(shown)
            section.shown.append((one.name, _order(one, kind, shown)))
    links = {kind: f"{_KINDS[kind][0]} ({section.count:,})" for kind, section in sections.items() if section.count}
    links |= {"reasons": "Reasons"} if reasons else {}
    links |= {"days": "Days"} if days else {}
    parts = (*_sections(sections), *_reasons(reasons), *_days(days), _last())
    under = f"{counted(sum(section.count for section in sections.values()), 'order')}, " + _garments(sections)
    return report_page(title, under, _verdict(sections), links, parts, more=_CSS, called="orders")


def _garments(sections: Mapping[str, _Section]) -> str:
    made = sum(sections[kind].garments for kind in ("warned", "done"))
    return f"{counted(sum(one.garments for one in sections.values()), 'garment')}; patterns made for {made:,}"


def _count(rows: dict[str, _Counts], key: str, of: str, name: str, more: int) -> None:
    if key not in rows and len(rows) >= 50 * _MOST_ROWS:
        return
    row = rows.setdefault(key, _Counts(first=name))
    row.count += more
    row.of[of] = row.of.get(of, 0) + 1


def _kind_of(reason: str) -> str:
    """A reason without its place and its numbers, so that those alike are counted as one."""
    return but_for_numbers(one_line(_PLACE.sub("", reason, count=1), 160))


def _verdict(sections: Mapping[str, _Section]) -> str:
    failed, refused, warned, done = (sections[kind].count for kind in _KINDS)
    made = warned + done
    told = [f"{failed:,} failed"] * (failed > 0) + [f"{refused:,} refused"] * (refused > 0)
    if not failed + refused + made:
        look, sign, say = "ask", "!", "There was no order."
    elif failed or refused:
        look, sign = "bad" if failed else "ask", "×" if failed else "!"
        say = f"{', '.join(told)}; {made:,} made" + (f", {warned:,} of them with warnings." if warned else ".")
    elif warned:
        look, sign, say = "ask", "!", f"All {made:,} made, {warned:,} of them with warnings: read those before you cut."
    else:
        look, sign, say = (
            "good",
            "✓",
            f"All {made:,} made, without a warning." if made > 1 else "Made, without a warning.",
        )
    return f'<p class="verdict {look}"><span class="sign" aria-hidden="true">{sign}</span><strong>{say}</strong></p>\n'


def _sections(sections: Mapping[str, _Section]) -> Iterator[str]:
    room = MOST
    for kind, section in sections.items():
        if not section.count:
            continue
        title, asks = _KINDS[kind]
        shown, room = section.shown[:room], room - len(section.shown[:room])
        yield f'<section id="{kind}" class="ended">\n<details open>\n<summary><h2>{title} ({section.count:,})</h2>'
        yield "</summary>\n"
        if asks:
            yield f"<p>{asks[0].upper()}{asks[1:]}.</p>\n"
        if len(shown) > _LEAP:
            yield '<ul class="leap">\n'
            for at in range(0, len(shown), _LEAP):
                first, last = shown[at][0], shown[min(at + _LEAP, len(shown)) - 1][0]
                yield f'<li><a href="#{_id(first)}">{escaped(first)} – {escaped(last)}</a></li>\n'
            yield "</ul>\n"
        bare = "" if any("<img" in row for _, row in shown) else " bare"
        yield f'<ul class="orders{bare}">\n'
        yield from (row for _, row in shown)
        yield "</ul>\n"
        if section.count > len(shown):
            more = section.count - len(shown)
            yield f"<p><b>{more:,} more</b> are not shown here: manifest.csv has every order.</p>\n"
        yield "</details>\n</section>\n"


def _id(name: str) -> str:
    return quote(f"order-{name}", safe="")


def _picture(one: Ended, room: int) -> str:
    """As a picture, in which nothing is run; "" for none, and for one that would make the page heavy."""
    if not one.picture.startswith("<svg") or len(one.picture) > LARGEST_PICTURE or len(one.picture) > room:
        return ""
    data = quote(one.picture, safe=" ='/:;,.()-_")
    return (
        f'<div class="picture"><img loading="lazy" decoding="async" alt="The pieces of {escaped(one.name)}" '
        f'src="data:image/svg+xml,{data}"></div>'
    )


def _order(one: Ended, kind: str, picture: str) -> str:
    """One order as it is listed."""
    title = escaped(one_line(one.title or one.name, 120))
    place = quote(one.name, safe="")
    if one.ending == "done":
        title = f'<a href="{place}/{"report.html" if "report.html" in one.sums else ""}">{title}</a>'
    facts = [one.name] if one.title and one.title != one.name else []
    facts += [one.source]
    facts += [counted(one.quantity, "garment")] if one.quantity > 1 else []
    facts += [f"due {one.due}"] if one.due else []
    own = [(key, value) for key, value in one.columns.items() if value and key != "client"][:_MOST_COLUMNS]
    facts += [f"{one_line(key, 40)}: {one_line(value, _LONGEST_VALUE)}" for key, value in own]
    told = f'<p class="small">{escaped(" · ".join(map(one_line, facts)))}</p>'
    found = [one_line(one.reason, _LONGEST_REASON)] if one.ending != "done" else list(one.findings[:_MOST_FINDINGS])
    more = len(one.findings) - _MOST_FINDINGS if one.ending == "done" else 0
    found += [f"{more} more in its report."] if more > 0 else []
    look, sign = ("error", "×") if kind in ("failed", "refused") else ("warning", "!")
    items = "".join(
        f'<li class="{look}"><span class="sign" aria-hidden="true">{sign}</span><div>{escaped(words)}</div></li>'
        for words in found
        if words
    )
    listed = f'<ul class="found">{items}</ul>' if items else ""
    return f'<li id="{_id(one.name)}">{picture}<div><h3>{title}</h3>{told}{listed}</div></li>\n'


def _reasons(reasons: Mapping[str, _Counts]) -> Iterator[str]:
    if not reasons:
        return
    rows = sorted(reasons.items(), key=lambda row: -row[1].count)
    yield '<section id="reasons">\n<h2>Reasons</h2>\n<p>Why orders were not made; numbers are left out.</p>\n'
    yield table_start("Reasons", ("Orders", "n"), ("Why", "m"), "The first")
    for words, row in rows[:_MOST_ROWS]:
        first = f'<a href="#{_id(row.first)}">{escaped(row.first)}</a>'
        yield f'<tr><td class="n">{row.count:,}</td><td>{escaped(words)}</td><td>{first}</td></tr>\n'
    yield TABLE_END
    yield _rest(len(rows), "reason")
    yield "</section>\n"


def _days(days: Mapping[str, _Counts]) -> Iterator[str]:
    if not days:
        return
    yield '<section id="days">\n<h2>Days</h2>\n<p>What is due when.</p>\n'
    yield table_start("Days", "Due", ("Garments", "n"), ("Orders made", "n"), ("Orders not made", "n"))
    for day, row in sorted(days.items())[:_MOST_ROWS]:
        made, not_made = row.of.get("made", 0), row.of.get("not", 0)
        yield f'<tr><th scope="row">{escaped(day)}</th><td class="n">{row.count:,}</td><td class="n">{made:,}</td>'
        yield f'<td class="n">{not_made:,}</td></tr>\n'
    yield TABLE_END
    yield _rest(len(days), "day")
    yield "</section>\n"


def _rest(count: int, word: str) -> str:
    more = count - _MOST_ROWS
    return f"<p>{counted(more, word)} more: see manifest.csv.</p>\n" if more > 0 else ""


def _last() -> str:
    """What holds for every pattern of a batch."""
    return f'<section id="prove">\n<h2>Before you cut</h2>\n{prove_the_scale()}</section>\n{cautions_section()}'
