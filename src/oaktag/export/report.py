"""report.html: what a maker keeps beside the table. One file that needs nothing else: no script, font or picture of
another place; read on a phone, or printed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from html import escape
from math import isfinite
from typing import Final

from ..body.measurements import KINDS, carries_unit
from ..draft.chalk import ChalkPiece, MarkKind, chalk_pieces
from ..draft.chalk import rounding_words as chalk_rounding
from ..draft.garment import find_garment
from ..draft.options import LengthOption, Option
from ..draft.steps_words import rounding_words, step_line, steps_by_piece
from ..errors import InputError
from ..finish.cut_list import cut_list
from ..finish.marks import allowance_words
from ..geometry.point import XY, Polyline, along, direction, left_of
from ..geometry.polygon import Box
from ..model.draft import Draft
from ..model.finding import Finding, Severity
from ..model.pattern import MarkedPiece, Pattern
from ..model.piece import EdgeKind, cut_words, piece_words
from ..sheet.scale_block import SENTENCE
from ..sheet.strokes import Role
from ..units import Unit, show, show_at_least
from .svg import STYLES

_SIGNS: Final = {Severity.ERROR: ("×", "Error"), Severity.WARNING: ("!", "Warning"), Severity.INFO: ("i", "Remark")}
_NOT_SHOWN: Final = re.compile(r"[^\t\n\r\u0020-\u007e\u00a0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_NUMBER_GAP: Final = re.compile(r"(?<=\d) (?=\d+/\d|(?:in|cm|mm)\b)")
_SAID: Final = re.compile(r"(?:^|assumed |× |with )([a-z][a-z ]*?) (\d[\d ./]* (?:in|cm|mm)\b)")

_PICTURE: Final = (250.0, 300.0)
"""Greatest width and height of a picture, CSS px."""
_PX: Final[Mapping[Role, tuple[float, str]]] = {  # widths and dashes for pictures this small, our own choice
    Role.CUT: (2.2, ""),
    Role.STITCH: (1.1, "5 3"),
    Role.FOLD: (1.8, "13 3 2 3"),
    Role.DART: (1.1, "8 2 1.5 2 1.5 2"),
    Role.INTERNAL: (1.1, "1.2 3"),
    Role.GRAIN: (1.1, ""),
    Role.NOTCH: (2.0, ""),
    Role.DRILL: (1.1, ""),
}
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
_FILES: Final = (  # the first that fits
    (re.compile(r"-roll\.pdf$"), "one long page at full size, for a wide printer or a copy shop"),
    (re.compile(r"\.pdf$"), "pages at full size: print at 100 %, prove the scale, tape together"),
    (re.compile(r"\.dxf$"), "for a cutting room or a cutter"),
    (re.compile(r"\.rul$"), "the grade rules that go with the DXF file"),
    (re.compile(r"\.plt$"), "for a pen plotter"),
    (re.compile(r"\.svg$"), "one drawing at full size, for a cutter or a drawing program"),
    (re.compile(r"\.json$"), "every number of the pattern, in mm"),
    (re.compile(r"\.html$"), "this page"),
)
_CAUTIONS: Final = {  # facts: 16 CFR 1120 and ASTM F1816-97 (US), EN 14682 (EU, from memory); the rest common practice
    "Blades.": "Keep fingers, hair and cords clear of scissors, rotary cutters and machine blades. A blade that stands "
    "still is still sharp: change it with the power off, and know the stop key. A plotter’s carriage moves without "
    "warning. Do not leave a machine at work alone; put no PVC, vinyl or imitation leather under a laser.",
    "Needles and irons.": "Unplug the machine before changing a needle, and do not sew over pins. Steam scalds: turn "
    "the iron off before you leave it. Count the pins, above all in children’s clothes.",
    "Narrow hems.": "A hem that is wide enough on the level may still be too narrow for stairs, a bus or a stage. "
    "Baste it, try real stairs and a chair, and lengthen the vent or slit if it binds.",
    "Cords in children’s clothes.": "No cords at the hood or neck. In the United States children’s outerwear may have "
    "none there in sizes 2T to 12, and at the waist or hem no more than 3 in (76 mm) beyond the channel in sizes 2T to "
    "16 (16 CFR 1120); Europe has its own rule, EN 14682. Small parts and nightwear have rules too.",
    "The law and the manual come first.": "Follow the manual of your device and the rules where you sew and where you "
    "sell. Oaktag certifies nothing.",
}
_CSS: Final = """
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%;text-size-adjust:100%}
body{margin:0 auto;padding:1.2rem 1rem 3rem;max-width:64rem;background:#fff;color:#16181d;
font:16px/1.5 system-ui,-apple-system,"Segoe UI",Roboto,"Noto Sans","Liberation Sans",sans-serif;
font-variant-numeric:lining-nums tabular-nums;overflow-wrap:break-word}
h1{font-size:1.7rem;line-height:1.2;margin:0 0 .2rem}
h2{position:relative;font-size:1.2rem;line-height:1.3;margin:2.4rem 0 .7rem;padding-top:.7rem;
border-top:2px solid #16181d}
h2::before{content:"";position:absolute;top:-2px;left:0;border:7px solid transparent;border-top-color:#16181d;
border-bottom:0}
h3{font-size:1rem;margin:1.3rem 0 .3rem}
p,ul,ol{margin:.5rem 0}
p,li{max-width:44rem}
ul,ol{padding-left:1.4rem}
ol{padding-left:2.1rem}
li{margin:.25rem 0}
.of{margin:0;color:#3a3f4a}
.verdict{display:flex;gap:.7rem;align-items:center;max-width:44rem;margin:1rem 0;padding:.6rem .8rem;
border:1px solid #16181d;border-left-width:8px}
.bad{border-width:3px;border-left-width:12px}
.sign{flex:none;display:inline-block;width:1.6rem;height:1.6rem;border:2px solid #16181d;border-radius:50%;
text-align:center;font-weight:700;line-height:1.4rem}
.error .sign,.bad .sign{background:#16181d;color:#fff;border-radius:0}
.warning .sign,.ask .sign{border-radius:0}
nav{font-size:.9rem;margin:.8rem 0}
nav a{display:inline-block;padding:.35rem .9rem .35rem 0;color:#16181d}
.found{list-style:none;padding:0}
.found li{display:flex;gap:.7rem;margin:.6rem 0}
.small,.found small{font-size:.85rem;color:#3a3f4a}
.found small{display:block}
.scroll{overflow-x:auto;max-width:100%}
table{border-collapse:collapse;font-size:.92rem;line-height:1.35}
caption{text-align:left;font-weight:700;padding:.3rem 0}
th,td{text-align:left;vertical-align:top;padding:.35rem .9rem .35rem 0;border-bottom:1px solid #b9bcc4}
thead th{border-bottom:1.5px solid #16181d;vertical-align:bottom}
tbody th{font-weight:600;min-width:6rem}
tfoot td,tfoot th{border-bottom:0;font-weight:600}
.n{text-align:right;white-space:nowrap}
.w{min-width:10rem}
.m{min-width:20rem}
summary{cursor:pointer;padding:.4rem 0;font-weight:600}
.pieces{display:grid;grid-template-columns:repeat(auto-fill,minmax(15rem,1fr));gap:1.6rem 1.2rem;margin:1rem 0}
figure{margin:0;break-inside:avoid}
li{break-inside:avoid}
figure svg,.key svg{display:block;max-width:100%;height:auto}
figcaption{margin-top:.5rem;font-size:.9rem;line-height:1.35}
.key{display:flex;flex-wrap:wrap;gap:.3rem 1.4rem;list-style:none;padding:0;font-size:.9rem}
.key li{display:flex;align-items:center;gap:.5rem;margin:0}
.two{display:grid;grid-template-columns:2fr 3fr;gap:0 2.5rem;align-items:start}
.tall{columns:2;column-gap:2.5rem}
@media (max-width:699px){.two{display:block}.two>div+div{margin-top:1.5rem}.tall{columns:1}
.pieces{grid-template-columns:1fr}figure svg{margin:0 auto}
figcaption{text-align:center}h1{font-size:1.45rem}}
@page{margin:15mm 14mm 16mm}
@media print{
body{max-width:none;padding:0;font-size:10pt;line-height:1.38}
nav{display:none}
h1{font-size:17pt}h2{font-size:12.5pt;margin-top:1.3rem}h3{margin-top:.8rem}
h2,h3,caption,summary{break-after:avoid}
tr,li,figure,.verdict,.key{break-inside:avoid}
p,li{orphans:3;widows:3;max-width:none}
thead{display:table-header-group}tfoot{display:table-row-group}
.scroll{overflow:visible}table{font-size:8.6pt}th,td{padding:.2rem .7rem .2rem 0}.w,.m{min-width:0}
.pieces{display:block;margin:.6rem 0;orphans:1;widows:1}
figure{display:inline-block;width:17.8%;margin:0 1.2% .8rem 0;vertical-align:top}
figure svg{max-height:58mm;width:auto}
figcaption{font-size:8.6pt}
.two{display:block}.two>div+div{margin-top:1rem}td.small{font-size:inherit}.small,.found small,.key{font-size:8.6pt}
.cut{break-before:page}
details::details-content{content-visibility:visible;display:block;block-size:auto}
details>*{display:block}summary{list-style:none}summary::-webkit-details-marker{display:none}
.tall{columns:2}
*{-webkit-print-color-adjust:exact;print-color-adjust:exact}
}
""".strip()


def render(pattern: Pattern, findings: tuple[Finding, ...], *, size_words: str, files: tuple[str, ...] = ()) -> bytes:
    """The report as HTML 5, UTF-8: verdict, what to know before cutting, checks, cut list with pictures, measurements
    and style, worked steps, `files` (names of what was written) and cautions.

    Lengths in the maker's unit, rounded as `units.show` rounds; cloth sizes are rounded up; what the checks measured
    is in their own units, since their limits are finer than 1/8 in. Pictures are not to scale. Everything that came
    from outside is escaped. Raises nothing of its own.
    """
    draft, unit = pattern.draft, pattern.unit
    title = pattern.title.strip() or _garment_words(draft.garment)
    size = f"size: {size_words}" if size_words else ""
    under = " · ".join(part for part in (_garment_words(draft.garment), size, pattern.date) if part)
    parts = [
        (
            '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
            '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
            f"<title>{_text(title)} – pattern report</title>\n<style>\n{_CSS}\n</style>\n</head>\n<body>\n<header>\n"
            f'<h1>{_text(title)}</h1>\n<p class="of">{_text(under)}</p>\n'
        ),
        _verdict(findings),
        (
            '<nav aria-label="On this page"><a href="#before">Before you cut</a><a href="#checks">Checks</a>'
            '<a href="#cut">Cut list</a><a href="#body">Measurements and style</a><a href="#steps">Worked steps</a>'
            '<a href="#chalk">Chalk card</a><a href="#cautions">Cautions</a></nav>\n</header>\n<main>\n'
        ),
        *_before(pattern),
        *_checks(findings),
        *_cut_list(pattern),
        *_body_and_style(draft, unit),
        *_steps(draft, unit),
        *_chalk(pattern),
        *_files_and_cautions(files),
        "</main>\n</body>\n</html>\n",
    ]
    return "".join(parts).encode("utf-8")


# ---------------------------------------------------------------- verdict, notes, checks


def _verdict(findings: Sequence[Finding]) -> str:
    failed = [f for f in findings if not f.passed]
    errors, warnings, remarks = (sum(f.severity is s for f in failed) for s in Severity)
    of_all = f"{len(findings) - len(failed)} of {_counted(len(findings), 'check')} passed"
    problems = [_counted(n, word) for n, word in ((errors, "error"), (warnings, "warning")) if n]
    also = f"; {_counted(remarks, 'remark')} to read" if remarks else ""
    if not findings:
        look, sign, say = "ask", "!", "No check was made of this pattern."
    elif errors:
        look, sign, say = "bad", "×", f"Do not cut yet: {', '.join(problems)}. {of_all}{also}."
    elif warnings:
        look, sign, say = "ask", "!", f"{problems[0]}: read before you cut. {of_all}{also}."
    elif remarks:
        look, sign, say = "good", "✓", f"No errors, no warnings. {of_all}{also}."
    else:
        look, sign = "good", "✓"
        say = f"All {len(findings)} checks passed." if len(findings) > 1 else "The one check passed."
    return f'<p class="verdict {look}"><span class="sign" aria-hidden="true">{sign}</span><strong>{say}</strong></p>\n'


def _before(pattern: Pattern) -> Iterator[str]:
    draft = pattern.draft
    yield '<section id="before">\n<h2>Before you cut</h2>\n'
    yield f"<p><b>Prove the scale.</b> {_text(SENTENCE)}</p>\n"
    notes = [*draft.notes]
    for piece in pattern.pieces:
        notes += [*piece.cut.piece.notes, *piece.cut.notes]
    if notes:
        yield f"<h3>Notes</h3>\n{_bullets(dict.fromkeys(notes))}"
    if draft.walk is not None and draft.walk.assumed:
        yield "<h3>What was assumed</h3>\n<p>These were not measured. Measure them and add them to the job for a surer "
        yield f"hem and vent.</p>\n{_bullets(draft.walk.assumed)}"
    yield "</section>\n"


def _checks(findings: Sequence[Finding]) -> Iterator[str]:
    failed = [f for severity in Severity for f in findings if not f.passed and f.severity is severity]
    others = [f for f in findings if f.passed]
    yield '<section id="checks">\n<h2>Checks</h2>\n'
    if failed:
        yield '<ul class="found">\n'
        for f in failed:
            sign, word = _SIGNS[f.severity]
            found = f"{f.id}: measured {_figure(f.measured)} {f.unit}, limit {_figure(f.limit)} {f.unit}"
            yield (
                f'<li class="{f.severity.value}"><span class="sign" aria-hidden="true">{sign}</span><span>'
                f"<b>{word}.</b> {_text(f.message)}<small>{_text(found)}</small></span></li>\n"
            )
        yield "</ul>\n"
    elif findings:
        yield "<p>Nothing to report: every check passed.</p>\n"
    else:
        yield "<p>No check was made.</p>\n"
    if others:
        words = "The check that passed" if len(others) == 1 else f"The {len(others)} checks that passed"
        yield f"<details>\n<summary>{words}</summary>\n"
        yield '<p class="small">In millimetres or the unit named, since the limits are finer than 1/8 in.</p>\n'
        yield _table_start(
            "Checks that passed", ("What was found", "m"), ("Measured", "n"), ("Limit", "n"), "Unit", "Check"
        )
        for f in others:
            yield (
                f'<tr><td>{_text(f.message)}</td><td class="n">{_figure(f.measured)}</td><td class="n">'
                f"{_figure(f.limit)}</td><td>{_text(f.unit)}</td><td>{_text(f.id)}</td></tr>\n"
            )
        yield f"{_TABLE_END}</details>\n"
    yield "</section>\n"


# ---------------------------------------------------------------- cut list and pictures


def _cut_list(pattern: Pattern) -> Iterator[str]:
    unit = pattern.unit
    yield '<section id="cut" class="cut">\n<h2>Cut list</h2>\n'
    yield _table_start(
        "Cut list",
        "No.",
        "Piece",
        ("Cut", "w"),
        ("Cloth for each: along × across the grain", "w"),
        ("Allowances, included; handling", "m"),
    )
    cloths = cut_list(pattern)
    for index, cloth in enumerate(cloths):
        if len(cloths) > 1:
            yield "</tbody>\n<tbody>\n" if index else ""
            yield (
                f'<tr><td></td><th scope="rowgroup" colspan="4">from {_text(cloth.material)}: '
                f"{cloth.total} to cut</th></tr>\n"
            )
        for piece in cloth.pieces:
            drafted = piece.cut.piece
            allowances = allowance_words(piece.cut.allowances, drafted, unit, piece.cut.profiles).removeprefix(
                "allowances included: "
            )
            todo = "".join(f"<br>{_text(line)}" for line in piece.handling)
            yield (
                f'<tr><td>{piece.number}</td><th scope="row">{_text(piece_words(piece.name))}</th>'
                f"<td>{_text(cut_words(drafted))}</td><td>{_text(_cloth_words(piece, unit))}</td>"
                f"<td>{_text(allowances)}{todo}</td></tr>\n"
            )
    total = ", ".join(f"{cloth.total} of {cloth.material}" for cloth in cloths)
    yield (
        f'</tbody>\n<tfoot><tr><td></td><th scope="row">total</th><td colspan="3">'
        f"{_text(_counted(len(pattern.pieces), 'pattern piece'))}; to cut from cloth: {_text(total)}"
        "</td></tr></tfoot></table></div>\n"
    )
    yield (
        '<p class="small">Cloth sizes are rounded up and are those of the cut line alone; leave room between pieces. '
        "A piece cut on the fold is given as folded, and its pattern is the half.</p>\n"
    )
    zipper = pattern.draft.zip
    if zipper is not None:
        yield f"<p>Also needed: a zip, {_text(show(zipper.length, unit))} long.</p>\n"
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
            f"<figure>\n{_picture(piece)}<figcaption><b>{piece.number} {_text(piece_words(piece.name))}</b>{half}<br>"
            f"{_text(cut_words(piece.cut.piece))}<br>{_text(_cloth_words(piece, unit))}</figcaption>\n</figure>\n"
        )
    yield "</div>\n</section>\n"


def _cloth_words(piece: MarkedPiece, unit: Unit) -> str:
    """The box round the cut line, along and across the grain, rounded up."""
    way = direction(*piece.grain_line)
    across = left_of(way)
    box = Box.round((x * way[0] + y * way[1], x * across[0] + y * across[1]) for x, y in piece.cut.cut_line)
    long, wide = (show_at_least(size, unit) for size in (box.width, box.height))
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
            drawn = f'<path d="M2 9H42" {_stroke(Role.CUT)}/><path d="M22 9V2" {_stroke(role)}/>'
        elif role is Role.DRILL:
            drawn = f'<circle cx="22" cy="6" r="3.2" {_stroke(role)}/><path d="M17 6H27M22 1V11" {_stroke(role)}/>'
        else:
            heads = "M9 2 2 6 9 10M35 2 42 6 35 10" if role is Role.GRAIN else ""
            drawn = f'<path d="M2 6H42{heads}" {_stroke(role)}/>'
        items.append(
            f'<li><svg width="44" height="12" viewBox="0 0 44 12" aria-hidden="true">{drawn}</svg>{words}</li>\n'
        )
    return f'<ul class="key">\n{"".join(items)}</ul>\n'


def _stroke(role: Role) -> str:
    width, dashes = _PX[role]
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f'fill="none" stroke="{STYLES[role].colour}" stroke-width="{width:g}"{dashed} stroke-linejoin="round"'


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

    lines: dict[Role, list[str]] = {role: [] for role in _PX}
    lines[Role.CUT].append(d(cut.cut_line, True))
    for edge in cut.piece.edges:
        if edge.kind is not EdgeKind.FOLD and cut.allowances[edge.name] > 0:
            lines[Role.STITCH].append(d(cut.lines[edge.name]))
    lines[Role.DART] += [d(dart.points, True) for dart in cut.piece.darts]
    lines[Role.INTERNAL] += [d(line.points) for line in cut.piece.internal_lines]
    lines[Role.GRAIN] += [d(line) for line in _arrow(piece.grain_line, 6 * mm)]
    for notch in piece.notches:
        for spot in notch.spots:
            lines[Role.NOTCH].append(d((spot, along(spot, notch.direction, -6 * mm))))
    drawn: list[str] = []
    for role, paths in lines.items():
        if role is Role.FOLD and piece.fold_line is not None:
            fold = d(piece.fold_line)
            drawn.append(f'<path d="{fold}" fill="none" stroke="#fff" stroke-width="4" {_STEADY}/>')
            paths = [fold]
        if paths:
            drawn.append(f'<path d="{"".join(paths)}" {_stroke(role)} {_STEADY}/>')
    for x, y in piece.drill_holes:
        drawn.append(
            f'<circle cx="{x - box.left + pad:.2f}" cy="{box.top + pad - y:.2f}" r="{2 * mm:.2f}" '
            f"{_stroke(Role.DRILL)} {_STEADY}/>"
        )
    x, y = piece.label.at.x - box.left + pad, box.top + pad - piece.label.at.y
    name = _text(piece_words(piece.name))
    says = f"{piece.number} {name}, {_text(cut_words(cut.piece))}. Not to scale."
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" width="{width / mm:.0f}" height="{height / mm:.0f}" '
        f'viewBox="0 0 {width:.2f} {height:.2f}"><title>{says}</title>{"".join(drawn)}'
        f'<text x="{x:.2f}" y="{y:.2f}" text-anchor="middle" dominant-baseline="central" font-size="{19 * mm:.2f}" '
        f'font-weight="700" fill="#16181d">{piece.number}</text></svg>\n'
    )


_STEADY: Final = 'vector-effect="non-scaling-stroke"'


def _arrow(line: tuple[XY, XY], size: float) -> Iterator[Polyline]:
    yield line
    for tip, other in (line, line[::-1]):
        way = direction(tip, other)
        back, side = along(tip, way, size), left_of(way)
        yield along(back, side, size / 2), tip, along(back, side, -size / 2)


# ---------------------------------------------------------------- measurements, style, steps


def _body_and_style(draft: Draft, unit: Unit) -> Iterator[str]:
    yield '<section id="body">\n<h2>Measurements and style</h2>\n<div class="two">\n<div>\n'
    yield _table_start("Measurements used", "Measurement", ("Value", "n"), "")
    typed = getattr(draft.body, "typed", {})
    for name, mm in draft.body.items():
        words = KINDS[name].words if name in KINDS else piece_words(name)
        wrote = typed.get(name, "")
        remark = f"given as {wrote}" if carries_unit(wrote) else "given"
        yield _row(words, show(mm, unit, exact=True), remark)
    for words, value in _assumed(draft).items():
        yield _row(words, f"about {value}", "assumed")
    yield f"{_TABLE_END}</div>\n<div>\n"
    yield _table_start("Style", "Option", ("Value", "n"), "")
    for words, value, remark in _style_rows(draft, unit):
        yield _row(words, value, remark)
    yield (
        f'{_TABLE_END}</div>\n</div>\n<p class="small">Measurements are personal: show this page only to those who '
        "sew from it.</p>\n</section>\n"
    )


def _assumed(draft: Draft) -> dict[str, str]:
    """Words -> value of the measurements that the draft says it assumed."""
    said: dict[str, str] = {}
    for text in (*draft.notes, *(draft.walk.assumed if draft.walk is not None else ())):
        for words, value in _SAID.findall(text):
            name = words.replace(" ", "_")
            if name in KINDS and name not in draft.body:
                said.setdefault(words, value)
    return said


def _style_rows(draft: Draft, unit: Unit) -> Iterator[tuple[str, str, str]]:
    """Each option in words, its value, and where that came from."""
    options = {option.name: option for option in _options(draft.garment)}
    found: dict[str, str] = {}
    if draft.zip is not None:
        found["zip_length"] = show(draft.zip.length, unit)
    if draft.walk is not None:
        found["opening"] = draft.walk.opening
        if draft.walk.opening_length > 0:
            found["opening_length"] = show(draft.walk.opening_length, unit)
    for name in (*options, *(name for name in draft.style if name not in options)):
        option, value = options.get(name), draft.style.get(name)
        words = option.words if option is not None else piece_words(name)
        if isinstance(value, (int, float)):
            usual = (
                isinstance(option, LengthOption) and option.default is not None and abs(option.default - value) < 1e-6
            )
            yield words, show(value, unit, exact=True), "usual" if usual else "chosen"
        elif isinstance(value, str) and value != "auto":
            yield words, value, "usual" if option is not None and option.default == value else "chosen"
        elif name in found:
            yield words, found[name], "worked out"
        elif isinstance(option, LengthOption) and option.default_words:
            yield words, "worked out", option.default_words


def _steps(draft: Draft, unit: Unit) -> Iterator[str]:
    yield f'<section id="steps">\n<h2>Worked steps</h2>\n<p>{_text(rounding_words(unit))}</p>\n'
    for piece, steps in steps_by_piece(draft.steps).items():
        tall = ' class="tall"' if len(steps) > 8 else ""
        yield f"<h3>{_text(piece_words(piece))}</h3>\n<ol{tall}>\n"
        for step in steps:
            line = _text(step_line(step, unit))
            label = _text(step.label)
            yield f"<li><b>{label}</b>{line.removeprefix(label)}</li>\n"
        yield "</ol>\n"
    yield "</section>\n"


def _chalk(pattern: Pattern) -> Iterator[str]:
    """For those who draw on the cloth itself: every place and line with its two distances, a table for each piece."""
    yield (
        '<section id="chalk">\n<h2>Chalk card</h2>\n<p>To draw the pieces on the cloth with chalk and tape. '
        "Every place is given by two distances, across from an upright line and down from a level one; lines are "
        f"stitch lines. {_text(chalk_rounding(pattern.unit))} <b>oaktag steps --card</b> writes this as large "
        "pages with pictures.</p>\n"
    )
    columns = ("Step", ("Chalk", "w"), "Place", ("Across", "n"), ("Down", "n"))
    for piece in chalk_pieces(pattern):
        words = _text(f"{piece.title}: {piece.cut}")
        yield f"<details>\n<summary>{words}</summary>\n{_chalk_picture(piece)}"
        yield _table_start(f"Chalk card, {words}", *columns)
        for step in piece.steps:
            spots = [spot for mark in step.marks for spot in mark.spots]
            rows = step.table
            if not rows and len(spots) == 1:
                rows = ((spots[0].letter, "", spots[0].across, spots[0].down),)
            say = "<br>".join(_text(text) for text in (*step.words, *step.formula))
            span = f' rowspan="{len(rows)}"' if len(rows) > 1 else ""
            told = f"<td{span}>{step.number}</td><td{span}><b>{_text(step.title)}</b><br>{say}</td>"
            for letter, name, across, down in rows or (("", "", "", ""),):
                place = f"<b>{letter}</b> {_text(name)}" if letter else _text(name)
                numbers = f'<td class="n">{_text(across)}</td><td class="n">{_text(down)}</td>'
                yield f"<tr>{told}<td>{place}</td>{numbers}</tr>\n"
                told = ""
        yield f"{_TABLE_END}</details>\n"
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
    for letter, at in places.items():
        x, y = along(at, direction(middle, at), 9 * mm)
        letters.append(f'<text x="{x - box.left + pad:.1f}" y="{box.top + pad - y:.1f}">{letter}</text>')
    width, height = box.width + 2 * pad, box.height + 2 * pad
    dots = "".join(d((at, at)) for at in places.values())
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" width="{width / mm:.0f}" height="{height / mm:.0f}" '
        f'viewBox="0 0 {width:.1f} {height:.1f}" style="max-width:100%;height:auto">'
        f"<title>{_text(piece.title)}, its places lettered. Not to scale.</title>"
        f'<path d="{levels}" {_stroke(Role.INTERNAL)} {_STEADY}/>'
        f'<path d="{d(piece.outline)}Z{darts}" {_stroke(Role.GRAIN)} {_STEADY}/>'
        f'<path d="{dots}" stroke="#16181d" stroke-width="5" stroke-linecap="round" {_STEADY}/>'
        f'<g text-anchor="middle" dominant-baseline="central" font-size="{14 * mm:.1f}" font-weight="700">'
        f"{''.join(letters)}</g></svg>\n"
    )


def _files_and_cautions(files: Sequence[str]) -> Iterator[str]:
    if files:
        yield '<section id="files">\n<h2>Files written</h2>\n<ul>\n'
        for name in files:
            use = next((f": {words}" for fits, words in _FILES if fits.search(name)), "")
            yield f"<li><b>{_text(name)}</b>{use}</li>\n"
        yield "</ul>\n</section>\n"
    cautions = "".join(f"<li><b>{head}</b> {_text(words)}</li>\n" for head, words in _CAUTIONS.items())
    yield f'<section id="cautions">\n<h2>Cautions</h2>\n<ul>\n{cautions}</ul>\n</section>\n'


# ---------------------------------------------------------------- words and tables


def _options(garment: str) -> tuple[Option, ...]:
    try:
        return find_garment(garment).options
    except InputError:  # a garment of the maker's own
        return ()


def _garment_words(garment: str) -> str:
    return garment.replace("-", " ").replace("_", " ")


def _text(words: str) -> str:
    """Escaped, without what HTML cannot hold; a number, its fraction and its unit are not parted by a line's end."""
    return _NUMBER_GAP.sub("\u00a0", escape(_NOT_SHOWN.sub("\ufffd", words)))


def _figure(value: float) -> str:
    """A measured number to 0.001, without idle zeros."""
    if not isfinite(value):
        return "none"
    return f"{round(value, 3) + 0.0:.3f}".rstrip("0").rstrip(".").replace("-", "−")


def _counted(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"


def _bullets(texts: Iterable[str]) -> str:
    return "<ul>\n" + "".join(f"<li>{_text(text)}</li>\n" for text in texts) + "</ul>\n"


_TABLE_END: Final = "</tbody></table></div>\n"


def _table_start(name: str, *columns: str | tuple[str, str]) -> str:
    """A table that scrolls inside itself; a column is its heading, or that and a class."""
    heads = "".join(
        f'<th scope="col">{column}</th>'
        if isinstance(column, str)
        else f'<th scope="col" class="{column[1]}">{column[0]}</th>'
        for column in columns
    )
    return (
        f'<div class="scroll" role="region" aria-label="{name}" tabindex="0"><table>\n'
        f"<thead><tr>{heads}</tr></thead>\n<tbody>\n"
    )


def _row(words: str, value: str, remark: str) -> str:
    return (
        f'<tr><th scope="row">{_text(words)}</th><td class="n">{_text(value)}</td>'
        f'<td class="small">{_text(remark)}</td></tr>\n'
    )
