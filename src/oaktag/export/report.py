"""report.html: what a maker keeps beside the table. One file that needs nothing else: no script, font or picture of
another place; read on a phone, or printed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import cos, radians, sin
from typing import Final

from ..body.measurements import KINDS, carries_unit, kinds_of
from ..checks.by_size import paragraphs
from ..draft.chalk.card import chalk_pieces
from ..draft.chalk.marks import ChalkPiece, MarkKind
from ..draft.chalk.numbers import rounding_words as chalk_rounding
from ..draft.steps_words import rounding_words, step_line, steps_by_piece
from ..finish.cut_list import cut_list
from ..finish.marks import allowance_words
from ..geometry.point import XY, along, direction
from ..geometry.polygon import Box
from ..model.draft import Draft
from ..model.finding import Finding
from ..model.nest import Nest
from ..model.pattern import MarkedPiece, Pattern
from ..model.piece import EdgeKind, cut_words, piece_words, title_of
from ..sheet.strokes import Role
from ..units import Unit, show, show_at_least
from .cloth_table import cloth_section
from .finished_table import finished_section
from .report_page import (
    PX,
    STEADY,
    TABLE_END,
    arrow,
    assumed_section,
    bullets,
    cautions_section,
    cloth_box,
    counted,
    escaped,
    files_section,
    fitting_section,
    found_list,
    garment_words,
    notion_words,
    page,
    passed_details,
    prove_the_scale,
    stroke,
    style_rows,
    table_start,
    value_row,
    verdict,
)

_SAID: Final = re.compile(r"(?:^|assumed |× |with )([a-z][a-z ]*?) (\d[\d ./]* (?:in|cm|mm)\b)")

_PICTURE: Final = (250.0, 300.0)
"""Greatest width and height of a picture, CSS px."""
_LEGEND: Final[Mapping[Role, str]] = {
    Role.CUT: "cut here",
    Role.STITCH: "sew here",
    Role.FOLD: "lay on the fold, do not cut",
    Role.GRAIN: "grain line, parallel to the selvedge",
    Role.NOTCH: "notch",
    Role.DART: "dart",
    Role.DRILL: "drill hole",
    Role.INTERNAL: "line inside the piece: do not cut",
}


def render(
    pattern: Pattern,
    findings: tuple[Finding, ...],
    *,
    size_words: str,
    files: tuple[str, ...] = (),
    cautions: tuple[str, ...] = (),
) -> bytes:
    """The report as HTML 5, UTF-8: verdict, finished measurements, what to know before cutting, checks, cut list with
    pictures, measurements and style, worked steps, `files` (names of what was written) and cautions, those of the
    device too.

    Lengths in the maker's unit, rounded as `units.show` rounds; cloth sizes are rounded up; what the checks measured
    is in decimals of that unit, since their limits are finer than 1/8 in. Pictures are not to scale. Everything that
    came from outside is escaped. Raises nothing of its own.
    """
    draft, unit = pattern.draft, pattern.unit
    title = pattern.title.strip() or garment_words(draft.garment)
    size = f"size: {size_words}" if size_words else ""
    under = " · ".join(part for part in (garment_words(draft.garment), size, pattern.date) if part)
    drafted = bool(draft.steps)  # not so where it was drawn elsewhere
    fit = finished_section(pattern)
    links = {"finished": "Finished measurements"} if fit else {}
    links |= {"before": "Before you cut", **({"fitting": "Fitting"} if draft.altered else {})}
    links |= {"checks": "Checks", "cut": "Cut list", "cloth": "Cloth to buy"}
    if drafted:
        links |= {"body": "Measurements and style", "steps": "Worked steps", "chalk": "Chalk card"}
    links["cautions"] = "Cautions"
    parts = [
        fit,
        *_before(pattern),
        *fitting_section(draft, unit),
        *_checks(findings, unit),
        *_cut_list(pattern),
        cloth_section(Nest.single(pattern), unit, {pattern.size: 1}),
        *(_body_and_style(draft, unit) if drafted else ()),
        *(_steps(draft, unit) if drafted else ()),
        *(_chalk(pattern) if drafted else ()),
        files_section(files),
        cautions_section(cautions),
    ]
    return page(title, under, verdict(findings), links, parts)


# ---------------------------------------------------------------- verdict, notes, checks


def _before(pattern: Pattern) -> Iterator[str]:
    draft = pattern.draft
    yield '<section id="before">\n<h2>Before you cut</h2>\n'
    yield prove_the_scale()
    notes = [*draft.notes]
    for piece in pattern.pieces:
        notes += [*piece.cut.piece.notes, *piece.cut.notes]
    if notes:
        yield f"<h3>Notes</h3>\n{bullets(dict.fromkeys(notes))}"
    if draft.assumed:
        yield assumed_section(draft.assumed)
    yield "</section>\n"


def _checks(findings: Sequence[Finding], unit: Unit) -> Iterator[str]:
    failed = [f for f in findings if not f.passed]
    others = [f for f in findings if f.passed]
    yield '<section id="checks">\n<h2>Checks</h2>\n'
    if failed:
        yield from found_list(paragraphs(failed), unit)
    elif findings:
        yield "<p>Nothing to report: every check passed.</p>\n"
    else:
        yield "<p>No check was made.</p>\n"
    words = "The check that passed" if len(others) == 1 else f"The {len(others)} checks that passed"
    yield from passed_details(others, words, "Checks that passed", unit)
    yield "</section>\n"


# ---------------------------------------------------------------- cut list and pictures


def _cut_list(pattern: Pattern) -> Iterator[str]:
    unit = pattern.unit
    yield '<section id="cut" class="cut">\n<h2>Cut list</h2>\n'
    yield table_start(
        "Cut list",
        "No.",
        "Piece",
        ("Cut", "w"),
        ("Cloth for each: along × across the grain", "w"),
        ("Allowances, included; handling", "m"),
        kind="cards",
    )
    cloths = cut_list(pattern)
    for index, cloth in enumerate(cloths):
        if len(cloths) > 1:
            yield "</tbody>\n<tbody>\n" if index else ""
            yield (
                f'<tr><td></td><th scope="rowgroup" colspan="4">from {escaped(cloth.material)}: '
                f"{cloth.total} to cut</th></tr>\n"
            )
        for piece in cloth.pieces:
            drafted = piece.cut.piece
            allowances = allowance_words(piece.cut.allowances, drafted, unit, piece.cut.profiles).removeprefix(
                "allowances included: "
            )
            todo = "".join(f"<br>{escaped(line)}" for line in piece.handling)
            yield (
                f'<tr><td>{piece.number}</td><th scope="row">{escaped(title_of(piece.cut.piece))}</th>'
                f'<td>{escaped(cut_words(drafted))}</td><td data-is="cloth">{escaped(_cloth_words(piece, unit))}</td>'
                f'<td data-is="allowances">{escaped(allowances)}{todo}</td></tr>\n'
            )
    total = ", ".join(f"{cloth.total} of {cloth.material}" for cloth in cloths)
    yield (
        f'</tbody>\n<tfoot><tr><td></td><th scope="row">total</th><td colspan="3">'
        f"{escaped(counted(len(pattern.pieces), 'pattern piece'))}; to cut from cloth: {escaped(total)}"
        "</td></tr></tfoot></table></div>\n"
    )
    yield (
        '<p class="small">Cloth sizes are rounded up and are those of the cut line alone; leave room between pieces. '
        "A piece cut on the fold is given as folded, and its pattern is the half.</p>\n"
    )
    notions = notion_words(pattern.draft, unit)
    if notions:
        yield f"<p>Also needed: {escaped('; '.join(notions))}.</p>\n"
    yield "<h3>The pieces</h3>\n"
    yield (
        "<p>The pictures show shapes and marks. They are not to scale, and not to one scale among themselves: "
        "cut from the full-size files, never from here.</p>\n"
    )
    yield _key(pattern.pieces)
    yield '<div class="pieces">\n'
    for piece in pattern.pieces:
        half = " (half)" if piece.fold_line is not None else ""
        yield (
            f"<figure>\n{_picture(piece)}<figcaption><b>{piece.number} {escaped(title_of(piece.cut.piece))}</b>{half}"
            f"<br>{escaped(cut_words(piece.cut.piece))}<br>{escaped(_cloth_words(piece, unit))}</figcaption>\n"
            "</figure>\n"
        )
    yield "</div>\n</section>\n"


def _cloth_words(piece: MarkedPiece, unit: Unit) -> str:
    """The box round the cut line, along and across the grain, rounded up."""
    long, wide = (show_at_least(size, unit) for size in cloth_box(piece))
    return f"{long} × {wide}" + (", folded" if piece.cut.piece.on_fold else "")


def _key(pieces: Sequence[MarkedPiece]) -> str:
    """The lines and marks that occur, with their names."""
    occurs = {Role.CUT, Role.GRAIN}
    for piece in pieces:
        drafted = piece.cut.piece
        seen = (
            (Role.STITCH, any(width > 0 for width in piece.cut.allowances.values())),
            (Role.FOLD, piece.fold_line is not None),
            (Role.NOTCH, bool(piece.notches)),
            (Role.DART, bool(drafted.darts)),
            (Role.DRILL, bool(piece.drill_holes)),
            (Role.INTERNAL, bool(drafted.internal_lines)),
        )
        occurs |= {role for role, is_there in seen if is_there}
    items = []
    for role, words in _LEGEND.items():
        if role not in occurs:
            continue
        if role is Role.NOTCH:
            drawn = f'<path d="M2 9H42" {stroke(Role.CUT)}/><path d="M22 9V2" {stroke(role)}/>'
        elif role is Role.DRILL:
            drawn = f'<circle cx="22" cy="6" r="3.2" {stroke(role)}/><path d="M17 6H27M22 1V11" {stroke(role)}/>'
        else:
            heads = "M9 2 2 6 9 10M35 2 42 6 35 10" if role is Role.GRAIN else ""
            drawn = f'<path d="M2 6H42{heads}" {stroke(role)}/>'
        items.append(
            f'<li><svg width="44" height="12" viewBox="0 0 44 12" aria-hidden="true">{drawn}</svg>{words}</li>\n'
        )
    return f'<ul class="key">\n{"".join(items)}</ul>\n'


def _picture(piece: MarkedPiece) -> str:
    """A piece as SVG: viewBox in mm, y turned over; lines keep their width in px however wide the picture is."""
    cut = piece.cut
    box = Box.round(cut.cut_line)
    mm = max(box.width / (_PICTURE[0] - 16), box.height / (_PICTURE[1] - 16))  # a CSS px of this picture, in mm
    pad = 8 * mm
    width, height = box.width + 2 * pad, box.height + 2 * pad

    def d(points: Iterable[XY], closed: bool = False) -> str:
        pairs = [f"{x - box.left + pad:.2f} {box.top + pad - y:.2f}" for x, y in points]
        return f"M{' '.join(pairs)}{'Z' if closed else ''}"

    lines: dict[Role, list[str]] = {role: [] for role in PX}
    lines[Role.CUT].append(d(cut.cut_line, True))
    for edge in cut.piece.edges:
        if edge.kind is not EdgeKind.FOLD and cut.allowances[edge.name] > 0:
            lines[Role.STITCH].append(d(cut.lines[edge.name]))
    lines[Role.DART] += [d(dart.points, True) for dart in cut.piece.darts]
    lines[Role.INTERNAL] += [d(line.points) for line in cut.piece.internal_lines]
    lines[Role.GRAIN] += [d(line) for line in arrow(piece.grain_line, 6 * mm)]
    for notch in piece.notches:
        for spot in notch.spots:
            lines[Role.NOTCH].append(d((spot, along(spot, notch.direction, -6 * mm))))
    drawn: list[str] = []
    for role, paths in lines.items():
        if role is Role.FOLD and piece.fold_line is not None:
            fold = d(piece.fold_line)
            drawn.append(f'<path d="{fold}" fill="none" stroke="#fff" stroke-width="4" {STEADY}/>')
            paths = [fold]
        if paths:
            drawn.append(f'<path d="{"".join(paths)}" {stroke(role)} {STEADY}/>')
    for x, y in piece.drill_holes:
        drawn.append(
            f'<circle cx="{x - box.left + pad:.2f}" cy="{box.top + pad - y:.2f}" r="{2 * mm:.2f}" '
            f"{stroke(Role.DRILL)} {STEADY}/>"
        )
    x, y = piece.label.at.x - box.left + pad, box.top + pad - piece.label.at.y
    name = escaped(title_of(piece.cut.piece))
    says = f"{piece.number} {name}, {escaped(cut_words(cut.piece))}. Not to scale."
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" width="{width / mm:.0f}" height="{height / mm:.0f}" '
        f'viewBox="0 0 {width:.2f} {height:.2f}"><title>{says}</title>{"".join(drawn)}'
        f'<text x="{x:.2f}" y="{y:.2f}" text-anchor="middle" dominant-baseline="central" font-size="{19 * mm:.2f}" '
        f'font-weight="700" fill="#16181d">{piece.number}</text></svg>\n'
    )


# ---------------------------------------------------------------- measurements, style, steps


def _body_and_style(draft: Draft, unit: Unit) -> Iterator[str]:
    yield '<section id="body">\n<h2>Measurements and style</h2>\n<div class="two">\n<div>\n'
    yield table_start("Measurements used", "Measurement", ("Value", "n"), "")
    typed, kinds = getattr(draft.body, "typed", {}), kinds_of(getattr(draft.body, "wearer", ""))
    for name, mm in draft.body.items():
        words = kinds[name].words if name in KINDS else piece_words(name)
        wrote = typed.get(name, "")
        remark = f"given as {wrote}" if carries_unit(wrote) else "given"
        yield value_row(words, show(mm, unit, exact=True), remark)
    for words, value in _assumed(draft).items():
        yield value_row(words, f"about {value}", "assumed")
    yield f"{TABLE_END}</div>\n<div>\n"
    yield table_start("Style", "Option", ("Value", "n"), "")
    for words, value, remark in style_rows(draft, unit):
        yield value_row(words, value, remark)
    yield (
        f'{TABLE_END}</div>\n</div>\n<p class="small">Measurements are personal: show this page only to those who '
        "sew from it.</p>\n</section>\n"
    )


def _assumed(draft: Draft) -> dict[str, str]:
    """Words -> value of the measurements that the draft says it assumed."""
    said: dict[str, str] = {}
    for text in (*draft.notes, *draft.assumed):
        for words, value in _SAID.findall(text):
            name = words.replace(" ", "_")
            if name in KINDS and name not in draft.body:
                said.setdefault(words, value)
    return said


def _steps(draft: Draft, unit: Unit) -> Iterator[str]:
    yield f'<section id="steps">\n<h2>Worked steps</h2>\n<p>{escaped(rounding_words(unit))}</p>\n'
    for piece, steps in steps_by_piece(draft.steps).items():
        tall = ' class="tall"' if len(steps) > 8 else ""
        yield f"<h3>{escaped(piece_words(piece))}</h3>\n<ol{tall}>\n"
        for step in steps:
            line = escaped(step_line(step, unit))
            label = escaped(step.label)
            yield f"<li><b>{label}</b>{line.removeprefix(label)}</li>\n"
        yield "</ol>\n"
    yield "</section>\n"


def _chalk(pattern: Pattern) -> Iterator[str]:
    """For those who draw on the cloth itself: every place and line with its two distances, a table for each piece."""
    yield (
        '<section id="chalk">\n<h2>Chalk card</h2>\n<p>To draw the pieces on the cloth with chalk and tape. '
        "Every place is given by two distances, across from an upright line and down from a level one; lines are "
        f"stitch lines. {escaped(chalk_rounding(pattern.unit))} <b>oaktag steps --card</b> writes this as large "
        "pages with pictures.</p>\n"
    )
    columns = ("Step", ("Chalk", "w"), "Place", ("Across", "n"), ("Down", "n"))
    for piece in chalk_pieces(pattern):
        words = escaped(f"{piece.title}: {piece.cut}")
        yield f"<details>\n<summary>{words}</summary>\n{_chalk_picture(piece)}"
        yield table_start(f"Chalk card, {words}", *columns)
        for step in piece.steps:
            spots = [spot for mark in step.marks for spot in mark.spots]
            rows = step.table
            if not rows and len(spots) == 1:
                rows = ((spots[0].letter, "", spots[0].across, spots[0].down),)
            say = "<br>".join(escaped(text) for text in (*step.words, *step.formula))
            span = f' rowspan="{len(rows)}"' if len(rows) > 1 else ""
            told = f"<td{span}>{step.number}</td><td{span}><b>{escaped(step.title)}</b><br>{say}</td>"
            for letter, name, across, down in rows or (("", "", "", ""),):
                place = f"<b>{letter}</b> {escaped(name)}" if letter else escaped(name)
                numbers = f'<td class="n">{escaped(across)}</td><td class="n">{escaped(down)}</td>'
                yield f"<tr>{told}<td>{place}</td>{numbers}</tr>\n"
                told = ""
        yield f"{TABLE_END}</details>\n"
    yield "</section>\n"


def _chalk_picture(piece: ChalkPiece) -> str:
    """The stitch lines with the letters of their places, each letter on the far side from the middle of the piece."""
    box = Box.round(piece.outline)
    mm = max(box.width / 220, box.height / 300)  # a CSS px of this picture, in mm
    pad = 20 * mm
    middle = ((box.left + box.right) / 2, (box.bottom + box.top) / 2)

    def d(points: Iterable[XY]) -> str:
        return "M" + " ".join(f"{x - box.left + pad:.1f} {box.top + pad - y:.1f}" for x, y in points)

    marks = [mark for step in piece.steps for mark in step.marks]
    levels = "".join(d(mark.line) for mark in marks if mark.kind in (MarkKind.LEVEL, MarkKind.UPRIGHT))
    darts = "".join(d(mark.line) for mark in marks if mark.kind in (MarkKind.DART, MarkKind.INSIDE))
    places = {spot.letter: spot.at for mark in marks for spot in mark.spots if spot.letter}
    letters = []
    taken: list[XY] = []
    for letter, at in places.items():
        out = direction(middle, at)
        turns = [(cos(radians(deg)), sin(radians(deg))) for deg in (0, 40, -40, 80, -80, 120, -120, 180)]
        ways = [(out[0] * c - out[1] * s, out[0] * s + out[1] * c) for c, s in turns]
        spots = [along(at, way, far * mm) for far in (9, 14, 19) for way in ways]
        free = (p for p in spots if all(max(abs(p[0] - x), abs(p[1] - y)) > 13 * mm for x, y in taken))
        x, y = next(free, spots[0])
        taken.append((x, y))
        letters.append(f'<text x="{x - box.left + pad:.1f}" y="{box.top + pad - y:.1f}">{letter}</text>')
    width, height = box.width + 2 * pad, box.height + 2 * pad
    dots = "".join(d((at, at)) for at in places.values())
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" width="{width / mm:.0f}" height="{height / mm:.0f}" '
        f'viewBox="0 0 {width:.1f} {height:.1f}" style="max-width:100%;height:auto">'
        f"<title>{escaped(piece.title)}, its places lettered. Not to scale.</title>"
        f'<path d="{levels}" {stroke(Role.INTERNAL)} {STEADY}/>'
        f'<path d="{d(piece.outline)}Z{darts}" {stroke(Role.GRAIN)} {STEADY}/>'
        f'<path d="{dots}" stroke="#16181d" stroke-width="5" stroke-linecap="round" {STEADY}/>'
        f'<g text-anchor="middle" dominant-baseline="central" font-size="{14 * mm:.1f}" font-weight="700">'
        f"{''.join(letters)}</g></svg>\n"
    )
