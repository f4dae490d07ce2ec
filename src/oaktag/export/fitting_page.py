"""Faults of fit as a page: the sign on a figure, how it is pinned, what it does to the pieces. No script, no link."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

from ..fitting.ask import signs_of
from ..fitting.fault import Fault
from ..fitting.in_words import CAUTIONS, in_the_job, reach
from ..fitting.tried import Tried, shown
from ..model.piece import piece_words
from ..units import Unit, show
from .body_figure import drawn
from .fault_picture import changed, picture
from .report_page import cautions_section, escaped, page

_CSS: Final = """
body{max-width:76rem}
.fault{display:grid;grid-template-columns:minmax(0,10rem) minmax(0,26rem) minmax(16rem,1fr);gap:1rem 1.5rem;
align-items:start;margin:0 0 2rem}
.fault svg{max-width:100%;height:auto}
.fault dl{margin:0}.fault dt{font-weight:700;margin-top:.5rem}.fault dt:first-child{margin:0}.fault dd{margin:0}
.fault pre{margin:.2rem 0;overflow-x:auto}
.alone{color:#3a3f4a}
@media (max-width:899px){.fault{display:block}.fault figure{margin:0 0 1rem}}
@media print{.fault{display:grid;grid-template-columns:24mm 52mm 1fr;break-inside:avoid}
.fault figure{width:auto;margin:0}.fault figure svg{max-height:60mm}}
"""
_INTRO: Final = (
    "Fit in this order, one fault at a time, and look again before the next. Pin on the trial garment, measure what is "
    "pinned, and write it below [fitting] in the job. Grey and thin is the piece as drafted, black and bold as fitted, "
    "and the ring is where it moves most; the pictures are of a standard figure, and not to scale."
)


def render(groups: Mapping[str, Sequence[Fault]], tried: Mapping[str, Sequence[Tried]], unit: Unit) -> bytes:
    """The page, UTF-8; `tried` are the garments that have the places for each fault, by its name."""
    links = {_id(group): group.capitalize() for group, rows in groups.items() if rows}
    count = sum(map(len, groups.values()))
    parts = [f"<p>{escaped(_INTRO)}</p>\n"]
    for group, rows in groups.items():
        if rows:
            parts.append(f'<section id="{_id(group)}">\n<h2>{escaped(group.capitalize())}</h2>\n')
            for fault in rows:
                parts += _fault(fault, tried.get(fault.name, ()), unit, head=count > 1)
            parts.append("</section>\n")
    pins = "".join(f"<li>{escaped(words)}</li>\n" for words in CAUTIONS)
    parts.append(cautions_section().replace("<ul>\n", f"<ul>\n{pins}", 1))
    under = f"{count} faults, in the order of fitting." if count > 1 else "One of the faults of fit."
    title = "Faults of fit" if count > 1 else next(fault.words for rows in groups.values() for fault in rows)
    made = page(title.capitalize(), under, "", {**links, "cautions": "Cautions"}, parts, more=_CSS)
    return made.replace("– pattern report</title>".encode(), "– fitting</title>".encode(), 1)


def _fault(fault: Fault, tried: Sequence[Tried], unit: Unit, *, head: bool) -> Iterator[str]:
    yield f'<h3 id="{fault.name}">{escaped(fault.words.capitalize())}</h3>\n' if head else ""
    yield '<div class="fault">\n'
    signs = signs_of(fault)
    figure = f"{drawn(signs[0])}<figcaption>seen from the {signs[0].view}</figcaption>" if signs else ""
    yield f"<figure>{figure}</figure>\n"
    best = shown(tried, fault)
    yield "<figure>"
    if best is not None:
        yield picture(best, unit)
        moved = _listed(piece_words(one.after.name) for one in changed(best)) or "no outline"
        words = f"{best.garment}, by {show(best.ask.amount, unit)}. It changes: {moved}"
        yield f"<figcaption>{escaped(words)}</figcaption>"
    yield "</figure>\n<dl>\n"
    rows = {
        "Sign": fault.sign,
        "Pin and measure": fault.pin,
        "What is changed": fault.change,
        "What stays": fault.stays,
        "Usual amount": reach(fault, unit),
    }
    for sign in signs:
        if sign.apart:
            rows["Tell it from"] = sign.apart
    for term, words in rows.items():
        yield f"<dt>{term}</dt><dd>{escaped(words)}</dd>\n"
    yield f"<dt>In the job</dt><dd><pre>{escaped(in_the_job(fault, unit))}</pre></dd>\n"
    garments = _listed(one.garment for one in tried) or "none that ships"
    yield f"<dt>Garments</dt><dd>{escaped(garments)}</dd>\n</dl>\n</div>\n"


def _listed(names: Iterable[str]) -> str:
    return ", ".join(names)


def _id(group: str) -> str:
    return group.replace(" ", "-")
