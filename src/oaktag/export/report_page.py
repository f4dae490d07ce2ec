"""What the reports of one size and of a set share: the page, its parts, and how words and numbers stand in it."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from html import escape
from math import isfinite
from typing import Final

from ..checks.by_size import Paragraph, sizes_words
from ..geometry.point import XY, Polyline, along, direction, left_of
from ..geometry.polygon import Box
from ..model.draft import Draft
from ..model.finding import Finding, Severity
from ..model.pattern import MarkedPiece
from ..model.piece import piece_words
from ..sheet.scale_block import SENTENCE
from ..sheet.strokes import Role
from ..units import INCH, Unit, show, show_fine
from .svg import STYLES

SIGNS: Final = {Severity.ERROR: ("×", "Error"), Severity.WARNING: ("!", "Warning"), Severity.INFO: ("i", "Remark")}
NOT_SHOWN: Final = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]|[\ud800-\udfff\ufffe\uffff]")
"""Signs that HTML cannot hold. Two classes: one of all signs that it can takes 10 ms to compile."""
_NUMBER_GAP: Final = re.compile(r"(?<=\d) (?=\d+/\d|(?:in|cm|mm)\b)")
_FINE_MM: Final = re.compile(r"(?<![\d.])([-−+]?\d+(?:\.\d+)?) mm\b")
PX: Final[Mapping[Role, tuple[float, str]]] = {  # widths and dashes for pictures this small, our own choice
    Role.CUT: (2.2, ""),
    Role.STITCH: (1.1, "5 3"),
    Role.FOLD: (1.8, "13 3 2 3"),
    Role.DART: (1.1, "8 2 1.5 2 1.5 2"),
    Role.INTERNAL: (1.1, "1.2 3"),
    Role.GRAIN: (1.1, ""),
    Role.NOTCH: (2.0, ""),
    Role.DRILL: (1.1, ""),
}
_FILES: Final = (  # the first that fits
    (re.compile(r"^orders\.html$"), "the lays of an order: garments, plies, lengths"),
    (re.compile(r"^lay(-.+)?\.json$"), "the lay itself: keep it, and name it in the job"),
    (re.compile(r"^lay(-.+)?-small\.pdf$"), "the lays at a tenth of their size, to hang up beside the table"),
    (re.compile(r"-projection\.html$"), "the lay for a projector over the table"),
    (re.compile(r"^lay(-.+)?\.html$"), "how much cloth, and how to lay it"),
    (re.compile(r"-roll\.pdf$"), "one long page at full size, for a wide printer or a copy shop"),
    (re.compile(r"\.pdf$"), "pages at full size: print at 100 %, prove the scale, tape together"),
    (re.compile(r"-nest\.dxf$"), "every size, stacked, for a cutting room that takes a graded nest"),
    (re.compile(r"-cad(-\d+)?\.dxf$"), "a general CAD drawing, for a laser cutter or a router"),
    (re.compile(r"-cuts(-\d+)?\.svg$"), "marks and cuts apart, for a cutter that takes SVG"),
    (re.compile(r"\.dxf$"), "for a cutting room or a cutter"),
    (re.compile(r"\.rul$"), "the grade rules that go with the DXF file"),
    (re.compile(r"\.plt$"), "for a plotter or a cutter"),
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
CSS: Final = """
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
.found li>div{min-width:0}
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
.fit .of{padding-top:.8rem}
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
@media screen and (max-width:699px){
.w,.m,tbody th{min-width:5rem}th,td{padding-right:.5rem}td{overflow-wrap:anywhere}
.cards thead,.flows thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}
.cards,.cards tbody,.cards tfoot,.flows,.flows tbody{display:block}
.cards th,.cards td,.flows th,.flows td{display:block;border:0;padding:.1rem 0;min-width:0;max-width:none}
.cards tr{display:grid;grid-template-columns:2rem 1fr;padding:.4rem 0;border-bottom:1px solid #b9bcc4}
.cards tr>*{grid-column:2}.cards tr>:first-child{grid-column:1;grid-row:1}
.cards td[data-is]::before{content:attr(data-is) ": ";color:#3a3f4a}
.flows tr{display:flex;flex-wrap:wrap;gap:0 .5rem;padding:.4rem 0;border-bottom:1px solid #b9bcc4}
table.flows tbody tr>th{flex:1 0 100%;position:static;max-width:none}
.flows td{text-align:left;width:1rem}.flows td[data-size]{width:3.9rem}
.flows td[data-size]::before{content:attr(data-size);display:block;font-size:.8em;color:#3a3f4a}
}
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

TABLE_END: Final = "</tbody></table></div>\n"
STEADY: Final = 'vector-effect="non-scaling-stroke"'


def page(
    title: str,
    under: str,
    verdict: str,
    links: Mapping[str, str],
    parts: Iterable[str],
    *,
    more: str = "",
    called: str = "pattern report",
) -> bytes:
    """The whole page: `links` are the sections' ids with their words, `more` is CSS that it needs beyond the common,
    and it is `called` so on the tab of a reader."""
    said = escaped(title)
    anchors = "".join(f'<a href="#{name}">{words}</a>' for name, words in links.items())
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{said} – {called}</title>\n<style>\n{CSS}{more}\n</style>\n</head>\n<body>\n<header>\n"
        f'<h1>{said}</h1>\n<p class="of">{escaped(under)}</p>\n{verdict}'
        f'<nav aria-label="On this page">{anchors}</nav>\n</header>\n<main>\n'
        f"{''.join(parts)}</main>\n</body>\n</html>\n"
    ).encode()


def verdict(findings: Sequence[Finding], told: Sequence[Finding] = ()) -> str:
    """One sentence; `told` are those of the failed findings that count as one each, where several tell the same."""
    bad = [f for f in findings if not f.passed]
    failed = told or bad
    errors, warnings, remarks = (sum(f.severity is s for f in failed) for s in Severity)
    of_all = f"{len(findings) - len(bad)} of {counted(len(findings), 'check')} passed"
    problems = [counted(n, word) for n, word in ((errors, "error"), (warnings, "warning")) if n]
    also = f"; {counted(remarks, 'remark')} to read" if remarks else ""
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


def found_list(told: Sequence[Paragraph], unit: Unit, sizes: Sequence[str] = ()) -> Iterator[str]:
    """What did not pass, the gravest first: a paragraph a rule, with what was measured; a table where that is more
    than one number. `sizes` are all that there are."""
    yield '<ul class="found">\n'
    for paragraph in (p for severity in Severity for p in told if p.worst.severity is severity):
        f = paragraph.worst
        sign, word = SIGNS[f.severity]
        yield (
            f'<li class="{f.severity.value}"><span class="sign" aria-hidden="true">{sign}</span><div>'
            f"<b>{word}.</b> {escaped(in_unit(paragraph.words(sizes), unit))}"
        )
        if paragraph.rows:
            yield f"<small>{escaped(f.id)}</small>\n"
            yield from _found_table(paragraph, unit, sizes)
        else:
            yield f"<small>{escaped(f'{f.id}: {measured_words(f, unit)}')}</small>"
        yield "</div></li>\n"
    yield "</ul>\n"


def _found_table(paragraph: Paragraph, unit: Unit, sizes: Sequence[str]) -> Iterator[str]:
    """Place, size, measured, limit; a column that says nothing is left out."""
    rows = paragraph.rows
    where = any(row.place for row in rows)
    by_size = any(row.sizes for row in rows)
    what = any(row.said for row in rows)
    heads: list[str | tuple[str, str]] = [*(["Place"] if where else []), *(["Size"] if by_size else [])]
    heads += [("Measured", "n"), ("Limit", "n"), *(["What"] if what else [])]
    yield table_start(f"Where: {escaped(paragraph.worst.id)}", *heads)
    for row in rows:
        cells = [f"<td>{escaped(row.place)}</td>"] if where else []
        if by_size:
            cells.append(f"<td>{escaped(_listed(sizes, row.sizes))}</td>")
        for value in (row.measured, row.limit):
            cells.append(f'<td class="n">{escaped(" ".join(measure(value, row.unit, unit)))}</td>')
        if what:
            cells.append(f"<td>{escaped(in_unit(row.said, unit))}</td>")
        yield f"<tr>{''.join(cells)}</tr>\n"
    yield TABLE_END


def _listed(every: Sequence[str], some: Sequence[str]) -> str:
    return sizes_words(every, some).partition(" ")[2]


def measured_words(f: Finding, unit: Unit) -> str:
    """`measured 6 in, limit 10.236 in`."""
    (measured, word), (limit, _) = (measure(value, f.unit, unit) for value in (f.measured, f.limit))
    return f"measured {measured} {word}, limit {limit} {word}"


def passed_details(passed: Sequence[Finding], words: str, name: str, unit: Unit) -> Iterator[str]:
    """A folded table of checks that passed, under those words; nothing if there are none."""
    if not passed:
        return
    yield f"<details>\n<summary>{words}</summary>\n"
    fine = "decimals of an inch" if unit == "in" else "decimals"
    yield f'<p class="small">In {fine} or the unit named: the limits are finer than a tape is read.</p>\n'
    yield table_start(name, ("What was found", "m"), ("Measured", "n"), ("Limit", "n"), "Unit", "Check")
    for f in passed:
        (measured, word), (limit, _) = (measure(value, f.unit, unit) for value in (f.measured, f.limit))
        yield (
            f'<tr><td>{escaped(in_unit(f.message, unit))}</td><td class="n">{measured}</td><td class="n">{limit}</td>'
            f"<td>{escaped(word)}</td><td>{escaped(f.id)}</td></tr>\n"
        )
    yield f"{TABLE_END}</details>\n"


def prove_the_scale() -> str:
    return f"<p><b>Prove the scale.</b> {escaped(SENTENCE)}</p>\n"


def fitting_section(draft: Draft, unit: Unit, size: str = "") -> Iterator[str]:
    """What was pinned, the edges that it changed, and the seams; nothing where nothing was."""
    if not draft.altered:
        return
    from ..fitting.told import fault_rows, seam_rows

    heading = f"Fitting, size {escaped(size)}" if size else "Fitting"
    yield f'<section id="fitting{escaped(size)}">\n<h2>{heading}</h2>\n'
    yield table_start("Faults, and the edges that they changed", "Fault", ("Pinned", "n"), "Edge", ("Before", "n"),
                      ("After", "n"))  # fmt: skip
    yield from (_cells(row, {1, 3, 4}) for row in fault_rows(draft, unit))
    yield TABLE_END
    seams = list(seam_rows(draft, unit))
    if seams:
        yield table_start("Seams that are changed, as sewn", "Seam", ("Before", "n"), ("After", "n"), ("Ease", "n"))
        yield from (_cells(row, {1, 2, 3}) for row in seams)
        yield TABLE_END
    yield "</section>\n"


def _cells(row: Sequence[str], numbers: Collection[int]) -> str:
    """A row of a table, its numbers set right."""
    kinds = (' class="n"' if k in numbers else "" for k in range(len(row)))
    return (
        "<tr>" + "".join(f"<td{kind}>{escaped(cell)}</td>" for kind, cell in zip(kinds, row, strict=True)) + "</tr>\n"
    )


def files_section(files: Sequence[str]) -> str:
    """What was written, and what for; nothing if nothing was."""
    if not files:
        return ""
    items = []
    for name in files:
        use = next((f": {words}" for fits, words in _FILES if fits.search(name)), "")
        items.append(f"<li><b>{escaped(name)}</b>{use}</li>\n")
    return f'<section id="files">\n<h2>Files written</h2>\n<ul>\n{"".join(items)}</ul>\n</section>\n'


def cautions_section(of_device: Sequence[str] = ()) -> str:
    """The usual cautions, and those of the device that the files are for."""
    own = "".join(f"<li><b>This device.</b> {escaped(words)}</li>\n" for words in of_device)
    cautions = own + "".join(f"<li><b>{head}</b> {escaped(words)}</li>\n" for head, words in _CAUTIONS.items())
    return f'<section id="cautions">\n<h2>Cautions</h2>\n<ul>\n{cautions}</ul>\n</section>\n'


def assumed_section(assumed: Iterable[str], place: str = "job") -> str:
    """What stands for measurements that were not given, and that they belong in the job, or in the chart."""
    return (
        f"<h3>What was assumed</h3>\n<p>These were not measured. Measure them and add them to the {place} for a surer "
        f"hem and vent.</p>\n{bullets(assumed)}"
    )


def cloth_box(piece: MarkedPiece) -> tuple[float, float]:
    """The box round the cut line, along and across the grain, mm."""
    way = direction(*piece.grain_line)
    across = left_of(way)
    box = Box.round((x * way[0] + y * way[1], x * across[0] + y * across[1]) for x, y in piece.cut.cut_line)
    return box.width, box.height


def style_rows(draft: Draft, unit: Unit) -> Iterator[tuple[str, str, str]]:
    """Each option in words, its value, and where that came from."""
    options = {option.name: option for option in draft.options}
    for name in (*options, *(name for name in draft.style if name not in options)):
        option, value, worked = options.get(name), draft.style.get(name), draft.worked.get(name)
        words = option.words if option is not None else piece_words(name)
        if isinstance(value, (int, float)):
            usual = option is not None and isinstance(option.usual, (int, float)) and abs(option.usual - value) < 1e-6
            yield words, show(value, unit, exact=True), "usual" if usual else "chosen"
        elif isinstance(value, str) and value != "auto":
            yield words, value, "usual" if option is not None and option.usual == value else "chosen"
        elif worked is not None:
            yield words, worked if isinstance(worked, str) else show(worked, unit), "worked out"
        elif option is not None and option.worked:
            yield words, "worked out", option.worked


def notion_words(draft: Draft, unit: Unit) -> list[str]:
    """What to buy besides cloth."""
    return [
        f"{notion.count} {notion.name}{'s' if notion.count > 1 else ''}, {show(notion.length, unit)} across"
        if notion.count
        else f"a {notion.name}, {show(notion.length, unit)} long"
        for notion in draft.notions
    ]


def garment_words(garment: str) -> str:
    return garment.replace("-", " ").replace("_", " ")


def escaped(words: str) -> str:
    """Escaped, without what HTML cannot hold; a number, its fraction and its unit are not parted by a line's end."""
    return _NUMBER_GAP.sub("\u00a0", escape(NOT_SHOWN.sub("\ufffd", words)))


def number(value: float) -> str:
    """A measured number to 0.001, without idle zeros."""
    if not isfinite(value):
        return "none"
    return f"{round(value, 3) + 0.0:.3f}".rstrip("0").rstrip(".").replace("-", "−")


def measure(value: float, word: str, unit: Unit) -> tuple[str, str]:
    """A number of a check and its unit; lengths, which checks keep in mm, in decimals of the maker's unit.

    >>> measure(152.4, "mm", "in"), measure(0.5, "mm", "cm"), measure(12.0, "degrees", "in")
    (('6', 'in'), ('0.05', 'cm'), ('12', 'degrees'))
    """
    if word != "mm":
        return number(value), word
    return number(value / {"in": INCH, "cm": 10.0, "mm": 1.0}[unit]), unit


def in_unit(text: str, unit: Unit) -> str:
    """What a check says, its fine lengths in the maker's unit instead of mm.

    >>> in_unit("the legs differ by 1.3 mm", "in"), in_unit("worst +0.002 mm", "cm")
    ('the legs differ by 0.051 in', 'worst 0 cm')
    """

    def told(found: re.Match[str]) -> str:
        mm = float(found[1].replace("−", "-"))
        words = show_fine(mm, unit, signed=found[1][0] == "+")
        return f"{words.rstrip('0').rstrip('.') if '.' in words else words} {unit}"

    return text if unit == "mm" else _FINE_MM.sub(told, text)


def counted(count: int, word: str) -> str:
    return f"{count:,} {word}{'' if count == 1 else 's'}"


def bullets(texts: Iterable[str]) -> str:
    return "<ul>\n" + "".join(f"<li>{escaped(text)}</li>\n" for text in texts) + "</ul>\n"


def table_start(name: str, *columns: str | tuple[str, str], kind: str = "") -> str:
    """A table that scrolls inside itself; a column is its heading, or that and a class. `kind` is the table's class."""
    of_kind = f' class="{kind}"' if kind else ""
    heads = "".join(
        f'<th scope="col">{column}</th>'
        if isinstance(column, str)
        else f'<th scope="col" class="{column[1]}">{column[0]}</th>'
        for column in columns
    )
    return (
        f'<div class="scroll" role="region" aria-label="{name}" tabindex="0">'
        f"<table{of_kind}>\n"
        f"<thead><tr>{heads}</tr></thead>\n<tbody>\n"
    )


def value_row(words: str, value: str, remark: str) -> str:
    return (
        f'<tr><th scope="row">{escaped(words)}</th><td class="n">{escaped(value)}</td>'
        f'<td class="small">{escaped(remark)}</td></tr>\n'
    )


def stroke(role: Role) -> str:
    width, dashes = PX[role]
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f'fill="none" stroke="{STYLES[role].colour}" stroke-width="{width:g}"{dashed} stroke-linejoin="round"'


def arrow(line: tuple[XY, XY], size: float) -> Iterator[Polyline]:
    yield line
    for tip, other in (line, line[::-1]):
        way = direction(tip, other)
        back, side = along(tip, way, size), left_of(way)
        yield along(back, side, size / 2), tip, along(back, side, -size / 2)
