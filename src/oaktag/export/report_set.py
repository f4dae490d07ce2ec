"""report.html of a size set: for the maker who sews the sizes, and for the grader who looks after the nest."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Final

from ..body.charts import written
from ..body.measurements import kinds_of
from ..checks.by_size import CheckRow, but_for_numbers, paragraphs, rows_by_size, sizes_words, worst
from ..checks.finished import Finished, finished
from ..claims.measure import edge_of, seam_sides
from ..finish.cut_list import cut_list
from ..finish.marks import allowance_words
from ..geometry.point import XY, distance
from ..grade.growth import Growth, growth
from ..model.finding import Finding
from ..model.nest import Nest
from ..model.pattern import Pattern
from ..model.piece import Seam, cut_words, piece_words, title_of
from ..model.ref import Ref, words_of
from ..units import Unit, show, show_at_least, show_fine
from ..values import dataclass
from .cloth_table import cloth_section
from .finished_table import ABOUT
from .nest_picture import nest_picture, size_key
from .report_page import (
    SIGNS,
    TABLE_END,
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
    measure,
    notion_words,
    page,
    passed_details,
    prove_the_scale,
    style_rows,
    table_start,
    value_row,
    verdict,
)

_MOST: Final = 10
"""So many sizes stand side by side in a table: what a page of A4 or Letter holds."""
_CHANGED: Final = 0.05
"""Steps of a chart that differ by more are different steps, mm."""
_FAMILIES: Final = {
    "outline": "outlines",
    "cut": "cut lines, allowances",
    "corner": "corners",
    "marks": "marks",
    "notches": "notches",
    "seam": "seams",
    "dart": "darts",
    "girth": "girths",
    "zip": "zip",
    "entry": "getting in",
    "sleeve": "sleeve",
    "ease": "wearing ease",
    "walk": "stride, hem, vent",
    "body": "measurements",
    "safety": "safety of children's clothes: reminds, does not certify",
}
"""Kinds of checks, by what stands before the point of their ids."""
_UNITS: Final[Mapping[Unit, str]] = {"in": "inches", "cm": "centimetres", "mm": "millimetres"}
_CSS: Final = """
.sizes th,.sizes td{padding-right:.7rem}
.sizes tbody th{min-width:7.5rem;max-width:14rem}
.sizes td small,.sizes th small{display:block;font-weight:400;color:#3a3f4a;font-size:.82em}
.sizes .s{text-align:center;white-space:nowrap}
.sizes thead .n,.sizes thead .s{min-width:3.4rem}
.sizes .of-base{background:#eef0f4}
.changes{border-left:3px double #16181d;padding-left:.4rem}
.sizes mark{background:#16181d;color:#fff;padding:0 .3em}
.sizes mark.warning{background:none;color:inherit;outline:1.5px solid #16181d}
.sizes mark.info{background:none;color:inherit}
.sizes tbody.pair{break-inside:avoid}
.sizes .head th{max-width:none;padding-top:.8rem}
.scroll+.scroll{margin-top:1.2rem}
.nests{display:grid;grid-template-columns:repeat(auto-fill,minmax(19rem,1fr));gap:1.6rem 1.2rem;margin:1rem 0}
@media (max-width:699px){.nests{grid-template-columns:1fr}.sizes{font-size:.88rem}
.sizes tbody th{position:sticky;left:0;background:#fff;min-width:6.2rem;max-width:9rem}}
@media print{.sizes{font-size:8pt}.sizes th,.sizes td{padding:.16rem .45rem .16rem 0}
.sizes tbody th{min-width:0}.sizes thead .n,.sizes thead .s{min-width:0}.changes{padding-left:.2rem}
.nests{display:block;margin:.6rem 0;orphans:1;widows:1}
.nests figure{width:48%}.nests figure svg{max-height:150mm;max-width:100%}}
"""


def render_set(
    nest: Nest,
    findings: Sequence[Finding],
    *,
    files: Sequence[str] = (),
    cautions: Sequence[str] = (),
    chart_title: str = "",
    chart_source: str = "",
    extrapolated: Sequence[str] = (),
) -> bytes:
    """The report of several sizes as HTML 5, UTF-8: finished measurements, the set and its files, the chart with its
    steps, checks across the sizes and in each, the stacked pieces, the grade of every named point and the length of
    every edge, what to cut in each size, sewing notes and cautions (`cautions`: those of the device).

    `extrapolated` are sizes of the chart that reach beyond the people who were measured. Measurements are in the
    maker's unit as charts are written (1/16 in, 0.05 cm, 0.5 mm); grades and lengths in decimals (0.001 in with mm
    below, 0.01 cm, 0.1 mm); cloth sizes are rounded up. Everything that came from outside is escaped. The sizes are
    built alike, as grade/nest.py makes them.
    """
    base = nest.base_pattern
    title = base.title.strip() or garment_words(base.draft.garment)
    said = f"{sizes_words(nest.sizes, nest.sizes)}, base {nest.base}"
    under = " · ".join(part for part in (garment_words(base.draft.garment), said, base.date) if part)
    sizes = _Sizes(nest, frozenset(extrapolated))
    rows = rows_by_size(findings)
    across = [f for f in findings if not f.size]
    told = [p.worst for p in paragraphs(f for f in findings if not f.passed)]
    fit = list(_finished(sizes))
    links = {
        **({"finished": "Finished measurements"} if fit else {}),
        "set": "The set",
        **({"chart": "Chart"} if nest.base_pattern.draft.body else {}),
        "checks": "Checks",
        "nest": "The pieces",
        **({"grade": "Grade"} if len(nest.sizes) > 1 else {}),
        "lengths": "Lengths",
        "cut": "Cut list",
        "cloth": "Cloth to buy",
        "sewing": "Sewing and style",
        "cautions": "Cautions",
    }
    parts = [
        *fit,
        *_set(sizes, chart_title, chart_source),
        files_section(files),
        *_chart(sizes),
        *(section for pattern in nest.patterns for section in fitting_section(pattern.draft, sizes.unit, pattern.size)),
        *_checks(sizes, rows, across),
        *_pieces(nest),
        *(_grade(sizes) if len(nest.sizes) > 1 else ()),
        *_lengths(sizes),
        *_cut_list(sizes),
        cloth_section(nest, sizes.unit, {nest.base: 1}),
        *_sewing(sizes),
        cautions_section(cautions),
    ]
    return page(title, under, verdict(findings, told), links, parts, more=_CSS)


# ---------------------------------------------------------------- sizes and their tables


@dataclass(frozen=True, slots=True)
class _Sizes:
    """The nest, and which of its sizes are extrapolated."""

    nest: Nest
    extrapolated: frozenset[str]

    @property
    def unit(self) -> Unit:
        return self.nest.base_pattern.unit

    def body(self, size: str) -> Mapping[str, float]:
        return self.nest.bodies.get(size) or self.nest.of(size).draft.body

    def head(self, size: str) -> str:
        """The heading of its column: an asterisk where it is extrapolated, a word where it is the base."""
        return f"{self.marked(size)}{'<small>base</small>' if size == self.nest.base else ''}"

    def marked(self, size: str) -> str:
        return f"{escaped(size)}{'*' if size in self.extrapolated else ''}"


@dataclass(frozen=True, slots=True)
class _Line:
    """A row of a table with a column a size: its heading (whole `<th>` cells), and a cell for each size. With `same`
    instead of cells: one for all sizes. With neither: words that head the rows below."""

    head: str
    cells: Mapping[str, str]
    same: str = ""
    starts: bool = False
    """Whether it starts a group that is not parted by a page's end."""


def _cell(words: str, kind: str = "n") -> str:
    return f'<td class="{kind}">{words}</td>'


def _size_table(
    sizes: _Sizes, name: str, first: Sequence[str], lines: Sequence[_Line], kind: str = "n", *, flows: bool = False
) -> Iterator[str]:
    """The table, in as many parts side by side as a page needs; `first` are the columns before the sizes.

    One that `flows` is for the maker: on a phone its cells stand below their row's heading, each with its size.
    """
    every = sizes.nest.sizes
    parts = -(-len(every) // _MOST)
    wide = -(-len(every) // parts)
    for start in range(0, len(every), wide):
        block = every[start : start + wide]
        label = name if parts == 1 else f"{name}, sizes {block[0]} to {block[-1]}"
        heads = [(sizes.head(size), kind) for size in block]
        yield table_start(escaped(label), *first, *heads, kind="sizes flows" if flows else "sizes")
        for i, line in enumerate(lines):
            if line.starts and i:
                yield "</tbody>\n"
                yield '<tbody class="pair">\n'
            if line.cells:
                cells = (
                    line.cells[size].replace("<td", f'<td data-size="{sizes.marked(size)}"', 1)
                    if flows
                    else line.cells[size]
                    for size in block
                )
                yield f"<tr>{line.head}{''.join(cells)}</tr>\n"
            elif line.same:
                yield f'<tr>{line.head}<td colspan="{len(block)}">{line.same}</td></tr>\n'
            else:
                span = len(first) + len(block)
                yield f'<tr class="head"><th scope="rowgroup" colspan="{span}">{line.head}</th></tr>\n'
        yield TABLE_END


def _row_head(words: str, small: str = "", rows: int = 1) -> str:
    span = f' rowspan="{rows}"' if rows > 1 else ""
    below = f"<small>{escaped(small)}</small>" if small else ""
    return f'<th scope="row"{span}>{escaped(words)}{below}</th>'


def _told_by_size(nest: Nest, lines: Callable[[Pattern], Iterable[str]]) -> list[str]:
    """Each line once, with the sizes that it is for where it is not for all; lines that differ only in their numbers
    stand together."""
    found: dict[str, dict[str, list[str]]] = {}
    for pattern in nest.patterns:
        for line in dict.fromkeys(lines(pattern)):
            found.setdefault(but_for_numbers(line), {}).setdefault(line, []).append(pattern.size)
    return [
        line if len(some) == len(nest.sizes) else f"{line} ({sizes_words(nest.sizes, some)})"
        for alike in found.values()
        for line, some in alike.items()
    ]


# ---------------------------------------------------------------- finished measurements


def _finished(sizes: _Sizes) -> Iterator[str]:
    nest, unit = sizes.nest, sizes.unit
    each = {p.size: {(one.group, one.words): one for one in finished(p)} for p in nest.patterns}
    rows = list(dict.fromkeys(key for own in each.values() for key in own))
    if not rows:
        return
    yield (
        f'<section id="finished">\n<h2>Finished measurements</h2>\n<p class="small">In {_UNITS[unit]}; under the '
        f"garment stand the body and its wearing ease. {ABOUT}</p>\n"
    )
    lines: list[_Line] = []
    group = ""
    for key in rows:
        if key[0] != group:
            lines.append(_Line(escaped(key[0]), {}, starts=True))
            group = key[0]
        cells = {size: _cell(_garment_words(each[size].get(key), unit)) for size in nest.sizes}
        lines.append(_Line(_row_head(key[1]), cells))
    yield from _size_table(sizes, "Finished measurements", ["Measurement"], lines, flows=True)
    yield "</section>\n"


def _garment_words(one: Finished | None, unit: Unit) -> str:
    if one is None:
        return "–"
    garment = escaped(show(one.garment, unit, with_unit=False))
    if one.body is None:
        return garment
    body = f"{garment}<small>{escaped(show(one.body, unit, with_unit=False))}</small>"
    if one.ease is None:
        return body
    sign = "−" if one.ease < 0 else "+"
    return f"{body}<small>{sign} {escaped(show(abs(one.ease), unit, with_unit=False))}</small>"


# ---------------------------------------------------------------- the set and its chart


def _set(sizes: _Sizes, chart_title: str, chart_source: str) -> Iterator[str]:
    nest = sizes.nest
    yield '<section id="set">\n<h2>The set</h2>\n'
    yield prove_the_scale()
    marked = ", ".join(f"{size}*" if size in sizes.extrapolated else size for size in nest.sizes)
    facts = [f"<b>Sizes</b> {escaped(marked)}; the base is {escaped(nest.base)}."]
    if chart_title:
        facts.append(f"<b>Chart</b> {escaped(chart_title)}.")
    if chart_source:
        facts.append(f"<b>From</b> {escaped(chart_source)}.")
    beyond = [size for size in nest.sizes if size in sizes.extrapolated]
    if beyond:
        words = sizes_words(nest.sizes, beyond)
        facts.append(
            f"<b>*</b> The chart marks {escaped(words)} as extrapolated: beyond the people who were measured. Sew a "
            "trial garment in such a size before you cut good cloth."
        )
    yield "".join(f"<p>{fact}</p>\n" for fact in facts)
    notes = _told_by_size(nest, _notes)
    if notes:
        yield f"<h3>Notes</h3>\n{bullets(notes)}"
    assumed = _told_by_size(nest, lambda p: p.draft.assumed)
    if assumed:
        yield assumed_section(assumed, "chart")
    yield "</section>\n"


def _notes(pattern: Pattern) -> Iterator[str]:
    yield from pattern.draft.notes
    for piece in pattern.pieces:
        yield from (*piece.cut.piece.notes, *piece.cut.notes)


def _chart(sizes: _Sizes) -> Iterator[str]:
    nest, unit = sizes.nest, sizes.unit
    bodies = [sizes.body(size) for size in nest.sizes]
    rows = {name: [body[name] for body in bodies] for name in bodies[0] if all(name in body for body in bodies)}
    if not rows:  # a pattern that was drawn knows no bodies
        return
    uses = set(nest.base_pattern.draft.uses or rows)
    fine = {"in": "1/16 in", "cm": "0.05 cm", "mm": "0.5 mm"}[unit]
    yield (
        f'<section id="chart">\n<h2>Chart of the sizes made</h2>\n<p>In {_UNITS[unit]}, to {fine}. Below each '
        "measurement stands its step from the size before. ▸ and a double line mark a step that is not as long as the "
        "one before it: there the interval changes.</p>\n"
    )
    used = [name for name in rows if name in uses]
    others = [name for name in rows if name not in uses]
    yield from _size_table(sizes, "Chart", ["Measurement"], [_chart_line(sizes, name, rows[name]) for name in used])
    changes = _changes(sizes, {name: rows[name] for name in used})
    yield f"<p>Where the interval changes:</p>\n{bullets(changes)}" if changes else ""
    if others:
        yield f"<details>\n<summary>{counted(len(others), 'measurement')} of the chart that this garment does not use"
        yield "</summary>\n"
        lines = [_chart_line(sizes, name, rows[name]) for name in others]
        yield from _size_table(sizes, "Other measurements", ["Measurement"], lines)
        yield "</details>\n"
    yield "</section>\n"


def _kind_words(sizes: _Sizes, name: str) -> str:
    kinds = kinds_of(getattr(sizes.body(sizes.nest.base), "wearer", ""))
    return kinds[name].words if name in kinds else piece_words(name)


def _step_words(mm: float, unit: Unit) -> str:
    words = written(abs(mm), unit)
    return "0" if words == "0" else f"{'+' if mm > 0 else '−'}{words}"


def _chart_line(sizes: _Sizes, name: str, values: Sequence[float]) -> _Line:
    unit = sizes.unit
    head = _row_head(_kind_words(sizes, name))
    if max(values) - min(values) < _CHANGED and len(values) > 1:
        return _Line(head, {}, f"{escaped(written(values[0], unit))} in every size")
    steps = [None, *(b - a for a, b in pairwise(values))]
    cells = {}
    for i, (size, mm, step) in enumerate(zip(sizes.nest.sizes, values, steps, strict=True)):
        before = steps[i - 1] if i else None
        changes = step is not None and before is not None and abs(step - before) > _CHANGED
        below = "" if step is None else f"<small>{'▸ ' if changes else ''}{escaped(_step_words(step, unit))}</small>"
        cells[size] = _cell(f"{escaped(written(mm, unit))}{below}", "n changes" if changes else "n")
    return _Line(head, cells)


def _changes(sizes: _Sizes, rows: Mapping[str, Sequence[float]]) -> list[str]:
    """Each size at which steps change, and how."""
    unit, found = sizes.unit, []
    for i, size in enumerate(sizes.nest.sizes[1:-1]):
        changed = [
            f"{_kind_words(sizes, name)} {_step_words(y - x, unit)} up to it, {_step_words(z - y, unit)} after it"
            for name, (x, y, z) in ((name, values[i : i + 3]) for name, values in rows.items())
            if abs((z - y) - (y - x)) > _CHANGED
        ]
        if changed:
            found.append(f"size {size}: {'; '.join(changed)}")
    return found


# ---------------------------------------------------------------- checks


def _checks(sizes: _Sizes, rows: Sequence[CheckRow], across: Sequence[Finding]) -> Iterator[str]:
    nest, unit = sizes.nest, sizes.unit
    yield '<section id="checks">\n<h2>Checks</h2>\n'
    if across:
        yield "<h3>Across the sizes</h3>\n"
        failed, passed = [f for f in across if not f.passed], [f for f in across if f.passed]
        if failed:
            yield from found_list(paragraphs(failed), unit)
        else:
            yield "<p>The sizes agree with each other: every check across them passed.</p>\n"
        words = f"{counted(len(passed), 'check')} across the sizes that passed"
        yield from passed_details(passed, words, "Checks across the sizes that passed", unit)
    yield "<h3>In each size</h3>\n"
    failed_in = paragraphs(f for row in rows for f in row.failed)
    if failed_in:
        yield from found_list(failed_in, unit, nest.sizes)
    else:
        yield "<p>Nothing to report: every check passed in every size.</p>\n" if rows else "<p>No check was made.</p>\n"
    if rows:
        yield from _matrix(sizes, rows)
    yield "</section>\n"


def _sign(findings: Sequence[Finding]) -> str:
    if not findings:
        return "–"
    severity = worst(findings)
    if severity is None:
        return "✓"
    sign, _ = SIGNS[severity]
    count = sum(not f.passed for f in findings)
    return f'<mark class="{severity.value}">{sign}{f" {count}" if count > 1 else ""}</mark>'


def _matrix(sizes: _Sizes, rows: Sequence[CheckRow]) -> Iterator[str]:
    signs = ", ".join(f"{sign} {word.lower()}" for sign, word in SIGNS.values())
    yield f'<p class="small">✓ passed, {signs}; a number says how many.</p>\n'
    families: dict[str, list[CheckRow]] = {}
    for row in rows:
        families.setdefault(row.id.partition(".")[0], []).append(row)
    lines = []
    for family, own in families.items():
        found = {size: [row.by_size[size] for row in own if size in row.by_size] for size in sizes.nest.sizes}
        cells = {size: _cell(_sign(each), "s") for size, each in found.items()}
        lines.append(_Line(_row_head(_FAMILIES.get(family, piece_words(family))), cells))
    yield from _size_table(sizes, "Checks by size", ["Checks"], lines, "s")
    yield "<details>\n<summary>Every check in every size, with what was measured</summary>\n"
    yield f'<p class="small">In {_UNITS[sizes.unit]} or the unit named. Where the limit is not the same in every size '
    yield "it stands below what was measured.</p>\n"
    lines = []
    for row in rows:
        limits = {(f.limit, f.unit) for f in row.by_size.values()}
        some = next(iter(row.by_size.values()))
        most, word = measure(some.limit, some.unit, sizes.unit)
        limit = f"{most} {word}" if len(limits) == 1 else f"by size, {word}"
        cells = {}
        for size in sizes.nest.sizes:
            f = row.by_size.get(size)
            if f is None:
                cells[size] = _cell("–")
                continue
            (own_value, _), (most, _) = (measure(value, f.unit, sizes.unit) for value in (f.measured, f.limit))
            below = f"<small>of {most}</small>" if len(limits) > 1 else ""
            cells[size] = _cell(f"{_sign((f,))} {own_value}{below}")
        lines.append(_Line(f"{_row_head(row.id, row.place)}<td>{escaped(limit)}</td>", cells))
    yield from _size_table(sizes, "Every check by size", ["Check", "Limit"], lines)
    yield "</details>\n"


# ---------------------------------------------------------------- pictures


def _pieces(nest: Nest) -> Iterator[str]:
    stack = f"the point {piece_words(nest.stack)}, where a piece has it, else on " if nest.stack else ""
    lie = (
        f"on {stack}their centre or grain line at the level of bust, biceps or hip; facings lie as the pieces that "
        "they face"
    )
    if not any(pattern.draft.steps for pattern in nest.patterns):
        lie = f"on {stack}the same lines as in the drawing"
    yield (
        '<section id="nest" class="cut">\n<h2>The pieces, stacked</h2>\n<p>Cut lines, notches and darts of every size. '
        f"The sizes lie on each other {escaped(lie)}. The pictures are not to scale, and not to one scale among "
        "themselves: cut from the full-size files, never from here.</p>\n"
    )
    yield f'{size_key(nest)}<div class="nests">\n'
    for piece in nest.base_pattern.pieces:
        half = " (half)" if piece.fold_line is not None else ""
        yield (
            f"<figure>\n{nest_picture(nest, piece.name)}<figcaption><b>{piece.number} "
            f"{escaped(title_of(piece.cut.piece))}</b>{half}<br>{escaped(cut_words(piece.cut.piece))}</figcaption>\n"
            "</figure>\n"
        )
    yield "</div>\n</section>\n"


# ---------------------------------------------------------------- grade and lengths


def _fine(mm: float, unit: Unit, *, signed: bool = False) -> str:
    """A length in decimals of the maker's unit; inches with mm below, for the factory."""
    text = show_fine(mm, unit, signed=signed).replace("-", "−")
    below = show_fine(mm, "mm", signed=signed).replace("-", "−")
    return f"{text}<small>{below}</small>" if unit == "in" else text


def _drawn_places(nest: Nest, name: str) -> Iterator[Growth]:
    """The grade of the piece's named points, and of the corners that have no name."""
    piece = nest.base_pattern.piece(name).cut.piece
    for grade in growth(nest, name):
        if grade.place in piece.points or (
            "/" in grade.place and all(distance(grade.at, p) > 0.01 for p in piece.points.values())
        ):
            yield grade


def _grade(sizes: _Sizes) -> Iterator[str]:
    nest, unit = sizes.nest, sizes.unit
    below = " and, below, in mm to 0.1" if unit == "in" else ""
    fine = {"in": "0.001", "cm": "0.01", "mm": "0.1"}[unit]
    drafted = all(pattern.draft.steps for pattern in nest.patterns)
    whence = (
        "Every size was drafted from its own measurements" if drafted else "The sizes are those of its file or rules"
    )
    yield (
        f'<section id="grade" class="cut">\n<h2>Grade</h2>\n<p>How far each point lies from where it is in size '
        f"{escaped(nest.base)}: → to the right, ↑ up (− is left or down), as drawn above, the sizes lying on each "
        f"other. In {_UNITS[unit]} to {fine}{below}: a grade is smaller than the fractions of a tape, and rounded to "
        f"those the seams would not meet. {whence}; these numbers are the difference. With "
        "another zero point all numbers of a piece change by one and the same move.</p>\n"
    )
    for piece in nest.base_pattern.pieces:
        words = f"{piece.number} {title_of(piece.cut.piece)}"
        yield f"<h3>{escaped(words)}</h3>\n"
        lines: list[_Line] = []
        for grade in _drawn_places(nest, piece.name):
            lines += _grade_lines(sizes, grade.place, grade.moves, unit)
        yield from _size_table(sizes, f"Grade of {words}", ["Point", ""], lines)
    yield "</section>\n"


def _grade_lines(sizes: _Sizes, place: str, moves: Mapping[str, XY], unit: Unit) -> Iterator[_Line]:
    words = piece_words(place).replace("/", " / ")
    if all(abs(dx) < _CHANGED and abs(dy) < _CHANGED for dx, dy in moves.values()):
        yield _Line(f"{_row_head(words)}<td></td>", {}, "stays where it is", starts=True)
        return
    for axis, arrow in enumerate("→↑"):
        head = _row_head(words, rows=2) if axis == 0 else ""
        cells = {
            size: _cell(
                _fine(moves[size][axis], unit, signed=True) if size in moves else "–",
                "n of-base" if size == sizes.nest.base else "n",
            )
            for size in sizes.nest.sizes
        }
        same = "0" if all(abs(move[axis]) < _CHANGED for move in moves.values()) else ""
        yield _Line(f"{head}<td>{arrow}</td>", {} if same else cells, same, starts=axis == 0)


def _lengths(sizes: _Sizes) -> Iterator[str]:
    nest, unit = sizes.nest, sizes.unit
    below = " with mm below" if unit == "in" else ""
    yield (
        f'<section id="lengths">\n<h2>Lengths of the edges</h2>\n<p>Along the stitch line, darts closed, '
        f"in {_UNITS[unit]}{below}. The edges of a seam stand side by side; what is left over is sewing ease.</p>\n"
    )
    sewn: set[Ref] = set()
    lines: list[_Line] = []
    for seam in nest.base_pattern.draft.seams:
        sewn |= {ref.whole for ref in (*seam.a, *seam.b)}
        lines += _seam_lines(sizes, seam)
    if lines:
        yield "<h3>Seams</h3>\n"
        yield from _size_table(sizes, "Seams", ["Edges"], lines)
    lines = []
    for piece in nest.base_pattern.pieces:
        for edge in piece.cut.piece.edges:
            ref = Ref(piece.name, edge.name)
            if ref not in sewn:
                lengths = {p.size: edge_of(p, ref).sewn_length() for p in nest.patterns}
                lines.append(_Line(_row_head(str(ref), edge.kind.value), _lengths_cells(sizes, lengths)))
    if lines:
        yield "<h3>Other edges</h3>\n"
        yield from _size_table(sizes, "Other edges", ["Edge"], lines)
    yield "</section>\n"


def _lengths_cells(sizes: _Sizes, lengths: Mapping[str, float], *, signed: bool = False) -> dict[str, str]:
    return {size: _cell(_fine(mm, sizes.unit, signed=signed)) for size, mm in lengths.items()}


def _seam_lines(sizes: _Sizes, seam: Seam) -> Iterator[_Line]:
    nest = sizes.nest
    own = {p.size: next((s for s in p.draft.seams if s.name == seam.name), seam) for p in nest.patterns}
    sides = {p.size: seam_sides(p, own[p.size]) for p in nest.patterns}
    a, b = ({size: both[side] for size, both in sides.items()} for side in (0, 1))
    meant = {round(s.ease, 2) for s in own.values()}
    ease = f"{show_fine(seam.ease, sizes.unit)} {sizes.unit} meant" if len(meant) == 1 else "as meant in each size"
    yield _Line(escaped(seam.name), {}, starts=True)
    yield _Line(_row_head(words_of(seam.a)), _lengths_cells(sizes, a))
    yield _Line(_row_head(words_of(seam.b), "less what is left free" if seam.free else ""), _lengths_cells(sizes, b))
    off = {size: a[size] - b[size] for size in a}
    yield _Line(_row_head("sewing ease", ease), _lengths_cells(sizes, off, signed=True))


# ---------------------------------------------------------------- cutting


def _cut_list(sizes: _Sizes) -> Iterator[str]:
    nest, unit = sizes.nest, sizes.unit
    cloths = cut_list(nest.base_pattern)
    yield (
        f'<section id="cut">\n<h2>Cut list</h2>\n<p>Cloth for each piece, along (↕) and across (↔) the '
        f"grain, in {_UNITS[unit]}, rounded up: the cut line alone, so leave room between pieces. A piece cut on the "
        "fold is given as folded, and its pattern is the half.</p>\n"
    )
    lines: list[_Line] = []
    for cloth in cloths:
        lines.append(_Line(f"from {escaped(cloth.material)}: {cloth.total} to cut of each size", {}, starts=True))
        for piece in cloth.pieces:
            boxes = {size: cloth_box(nest.of(size).piece(piece.name)) for size in nest.sizes}
            words = f"{piece.number} {title_of(piece.cut.piece)}"
            for axis, arrow in enumerate("↕↔"):
                cells = {
                    size: _cell(escaped(show_at_least(box[axis], unit).removesuffix(f" {unit}")))
                    for size, box in boxes.items()
                }
                head = _row_head(words, cut_words(piece.cut.piece), 2) if axis == 0 else ""
                lines.append(_Line(f"{head}<td>{arrow}</td>", cells, starts=axis == 0))
    yield from _size_table(sizes, "Cut list", ["Piece", ""], lines, flows=True)
    total = ", ".join(f"{cloth.total} of {cloth.material}" for cloth in cloths)
    pieces = counted(len(nest.base_pattern.pieces), "pattern piece")
    yield f"<p>Of each size: {escaped(pieces)}; to cut from cloth: {escaped(total)}.</p>\n"
    notions = _told_by_size(nest, lambda p: notion_words(p.draft, unit))
    if notions:
        yield f"<p>Also needed: {escaped('; '.join(notions))}.</p>\n"
    yield "</section>\n"


# ---------------------------------------------------------------- sewing and style


def _sewing(sizes: _Sizes) -> Iterator[str]:
    nest, unit = sizes.nest, sizes.unit
    base = nest.base_pattern
    yield '<section id="sewing">\n<h2>Sewing and style</h2>\n'
    yield "<p>What holds for one part of the sizes alone says so.</p>\n"
    yield table_start("Allowances and handling", "Piece", ("Allowances, included; handling", "m"))
    for piece in base.pieces:
        said = "<br>".join(escaped(line) for line in _piece_lines(nest, piece.name, unit))
        yield f'<tr><th scope="row">{piece.number} {escaped(title_of(piece.cut.piece))}</th><td>{said}</td></tr>\n'
    yield TABLE_END
    each = {
        p.size: {words: (value, remark) for words, value, remark in style_rows(p.draft, unit)} for p in nest.patterns
    }
    own = each[nest.base]
    differ = [words for words in own if len({rows.get(words, ("–", ""))[0] for rows in each.values()}) > 1]
    if differ:
        yield "<h3>Worked out for each size</h3>\n"
        lines = [
            _Line(
                _row_head(words, own[words][1]),
                {size: _cell(escaped(rows.get(words, ("–", ""))[0])) for size, rows in each.items()},
            )
            for words in differ
        ]
        yield from _size_table(sizes, "Worked out for each size", ["Option"], lines)
    yield "<h3>Style of every size</h3>\n"
    yield table_start("Style", "Option", ("Value", "n"), "")
    for words, (value, remark) in own.items():
        if words not in differ:
            yield value_row(words, value, remark)
    yield TABLE_END
    yield (
        "<p>The worked steps of the base size: <b>oaktag steps</b>; as a card to chalk from: <b>oaktag steps "
        "--card</b>.</p>\n</section>\n"
    )


def _piece_lines(nest: Nest, name: str, unit: Unit) -> list[str]:
    """Its allowances and what to do to them, each line with its sizes where it is not for all."""

    def allowances(pattern: Pattern) -> Iterator[str]:
        cut = pattern.piece(name).cut
        yield allowance_words(cut.allowances, cut.piece, unit, cut.profiles).removeprefix("allowances included: ")

    return _told_by_size(nest, allowances) + _told_by_size(nest, lambda pattern: pattern.piece(name).handling)
