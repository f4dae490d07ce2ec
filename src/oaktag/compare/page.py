"""compare.html: what the cloth can take first, then pictures of both lines, and every length before and after."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import cos, radians, sin
from typing import Final

from ..export.report_page import STEADY, TABLE_END, cautions_section, escaped, page, prove_the_scale, table_start
from ..geometry.point import XY, along, direction, distance
from ..geometry.polygon import Box, simplified
from ..model.piece import piece_words
from ..units import Unit, show
from .fits import EdgeFit, PieceFit
from .laid import Laid, Moved, moved_words
from .side import SidePiece
from .table import OLD, Comparison, Row, shown

_LARGEST: Final = (430.0, 620.0)
"""Greatest width and height of a picture, CSS px."""
_WITHIN: Final = 0.15  # mm that a drawn line may leave out
_TOLD: Final = 1.0  # mm: what moves less has no letter in the picture
_OUT: Final = 0.5  # mm: what goes out or in by less is not told
_PAD_PX, _LETTER_PX, _CROSS_PX = 26.0, 14.0, 7.0
_LINES: Final = {
    ("old", "cut"): 'stroke="#80858f" stroke-width="1.8" stroke-dasharray="9 5"',
    ("old", "stitch"): 'stroke="#80858f" stroke-width="1.1" stroke-dasharray="2 3"',
    ("new", "cut"): 'stroke="#16181d" stroke-width="2"',
    ("new", "stitch"): 'stroke="#16181d" stroke-width="1" stroke-dasharray="5 3"',
}
_MARK: Final = 'stroke="#16181d" stroke-width="1.2"'
_BAD: Final = 'stroke="#a3161a" stroke-width="3"'
_TURNS: Final = (0, 45, -45, 90, -90, 135, -135, 180)
_CSS: Final = """
.both{display:grid;grid-template-columns:minmax(0,auto) minmax(18rem,1fr);gap:1rem 2rem;align-items:start;
margin:1rem 0 2rem}
.both svg{max-width:100%;height:auto}
.both .scroll+.scroll{margin-top:1rem}
#cloth td,#cloth th{overflow-wrap:normal}
#cloth td:last-child{min-width:15rem}
.no td,.no th{font-weight:700}
@media (max-width:699px){.both{display:block}}
@media print{.both figure{width:auto;margin:0}.both figure svg{max-height:120mm}}
"""


def render(compared: Comparison, unit: Unit) -> bytes:
    """The page as UTF-8; it needs nothing from outside, and has no script."""
    old, new = compared.titled
    links = {"cloth": "Cloth already cut", "pieces": "Pieces on each other"}
    links |= {"levels": "Levels"} if compared.levels else {}
    links |= {"edges": "Edges", **({"seams": "Seams"} if compared.seams else {}), "cautions": "Cautions"}
    look, sign = ("good", "✓") if compared.held else ("bad", "×")
    verdict = (
        f'<p class="verdict {look}"><span class="sign" aria-hidden="true">{sign}</span>'
        f"<strong>{escaped(compared.statement())}</strong></p>\n"
    )
    called = f"Old: {old}. New: {new}. " if old != OLD else ""
    under = f"{called}Lengths in {unit}; the new pieces lie on the old ones by the grain and a point."
    parts = (*_cloth(compared, unit), *_pieces(compared, unit), *_tables(compared, unit), cautions_section())
    return page(compared.title, under, verdict, links, parts, more=_CSS)


def _cloth(compared: Comparison, unit: Unit) -> Iterator[str]:
    yield '<section id="cloth">\n<h2>Cloth already cut</h2>\n'
    failing = [words for held, words in compared.told(unit) if not held]
    if failing:
        yield '<ul class="found">\n'
        for words in failing:
            yield (
                f'<li class="error"><span class="sign" aria-hidden="true">×</span><div>{escaped(words)}.</div></li>\n'
            )
        yield "</ul>\n"
    yield (
        f"<p>For cloth that was cut by the old cut line. Of an allowance that is let out {show(compared.keep, unit)} "
        "has to be left, or the whole of one that is narrower. A piece that can be shifted on the cloth may fit "
        "otherwise: lay it by another point with <b>--at</b>. Old seams leave needle holes and a fold: look at the "
        "right side of the cloth before you let one out.</p>\n"
    )
    heads = (
        "Piece",
        "Edge",
        ("Allowance cut", "n"),
        ("Left, least", "n"),
        ("Left, most", "n"),
        ("What that means", "w"),
    )
    yield table_start("What is left of each allowance", *heads)
    for fit in compared.fits:
        if fit.hindered:
            yield f'<tr class="no"><th scope="row">{escaped(fit.title)}</th><td colspan="5">'
            yield f"{escaped(fit.hindered)}</td></tr>\n"
        for edge in fit.edges:
            yield _cloth_row(fit, edge, unit)
    yield f"{TABLE_END}</section>\n"


def _cloth_row(fit: PieceFit, edge: EdgeFit, unit: Unit) -> str:
    numbers = "".join(f'<td class="n">{escaped(shown(v, unit))}</td>' for v in (edge.of, edge.left, edge.most))
    no = "" if edge.held else ' class="no"'
    return (
        f'<tr{no}><th scope="row">{escaped(fit.title)}</th><td>{escaped(piece_words(edge.edge))}</td>{numbers}'
        f"<td>{escaped(edge.words(unit))}</td></tr>\n"
    )


def _pieces(compared: Comparison, unit: Unit) -> Iterator[str]:
    yield '<section id="pieces">\n<h2>Pieces on each other</h2>\n'
    yield prove_the_scale().replace("<p>", '<p class="small">', 1)
    keys = {
        ("old", "cut"): "old cut line", ("old", "stitch"): "old stitch line",
        ("new", "cut"): "new cut line", ("new", "stitch"): "new stitch line",
    }  # fmt: skip
    yield '<ul class="key">\n'
    for key, words in keys.items():
        yield (
            f'<li><svg width="60" height="12" viewBox="0 0 60 12" aria-hidden="true"><path d="M2 6H58" fill="none" '
            f"{_LINES[key]}/></svg>{words}</li>\n"
        )
    yield (
        '<li><svg width="60" height="14" viewBox="0 0 60 14" aria-hidden="true"><path d="M24 1L36 13M24 13L36 1" '
        f'fill="none" {_BAD}/></svg>here the cloth does not do</li>\n</ul>\n'
    )
    drawn = compared.drawn
    for laid, fit in drawn:
        yield f"<h3>{escaped(laid.new.title)}</h3>\n"
        turned = f", turned by {abs(laid.turned):.1f}°" if abs(laid.turned) >= 0.05 else ""
        yield f'<div class="both">\n<figure>{picture(laid, fit)}<figcaption>laid {escaped(laid.words)}{turned}'
        yield "</figcaption></figure>\n<div>\n"
        yield from _moves(laid, unit)
        yield "</div>\n</div>\n"
    same = [laid.new.title for laid, _ in drawn if laid.same]
    if len(same) == len(drawn):
        yield "<p>No piece has changed.</p>\n"
    elif same := [laid.new.title for laid in compared.laid if laid.same]:
        yield f"<p><b>Not changed:</b> {escaped(', '.join(same))}.</p>\n"
    for words, names in (("Only in the old pattern", compared.only_old), ("Only in the new one", compared.only_new)):
        if names:
            yield f"<p><b>{words}:</b> {escaped(', '.join(compared.titles(names)))}.</p>\n"
    yield "</section>\n"


def _moves(laid: Laid, unit: Unit) -> Iterator[str]:
    """Where each point went, and how far each edge moved at its named places."""
    letters = {move.name: letter for letter, move in _lettered(laid)}
    if laid.moves:
        yield table_start(f"Points of {escaped(laid.new.title)}", "", "Point", ("Moves", "w"))
        for move in laid.moves:
            words = moved_words(move.dx, move.dy, laid.out, unit)
            yield f"<tr><td><b>{letters.get(move.name, '')}</b></td><td>{escaped(piece_words(move.name))}</td>"
            yield f"<td>{escaped(words)}</td></tr>\n"
        yield TABLE_END
    rows = [
        (edge.name, name, out)
        for edge in laid.old.edges
        for name, out, move in laid.seam_moves(edge.name)
        if abs(out) >= _OUT and not edge.on_fold
    ]
    if rows:
        yield table_start(f"Edges of {escaped(laid.new.title)}", "Edge", "At", ("Out or in, square to it", "n"))
        for edge, name, out in rows:
            way = moved_words(out, 0.0, 1, unit)
            yield f"<tr><td>{escaped(piece_words(edge))}</td><td>{escaped(name)}</td>"
            yield f'<td class="n">{escaped(way)}</td></tr>\n'
        yield TABLE_END


def _lettered(laid: Laid) -> list[tuple[str, Moved]]:
    moved = [move for move in laid.moves if move.far >= _TOLD]
    names = [*(chr(65 + k) for k in range(26)), *(f"{chr(65 + k // 26)}{chr(65 + k % 26)}" for k in range(26 * 26))]
    return list(zip(names, moved, strict=False))


def picture(laid: Laid, fit: PieceFit) -> str:
    """Both lines of a piece, a letter where a point moved, a cross where the cloth does not do; viewBox in mm."""
    box = Box.round((*laid.old.cut_line, *laid.new.cut_line))
    mm = max(box.width / (_LARGEST[0] - 2 * _PAD_PX), box.height / (_LARGEST[1] - 2 * _PAD_PX), 0.05)
    pad = _PAD_PX * mm
    left, top = box.left - pad, box.top + pad
    width, height = box.width + 2 * pad, box.height + 2 * pad

    def d(points: Iterable[XY], closed: bool = False) -> str:
        return f"M{' '.join(f'{x - left:.1f} {top - y:.1f}' for x, y in points)}{'Z' * closed}"

    drawn = []
    for called, piece in (("old", laid.old), ("new", laid.new)):
        drawn.append(f'<path d="{d(simplified(piece.cut_line, _WITHIN), True)}" {_LINES[called, "cut"]} {STEADY}/>')
        lines = "".join(d(line) for line in _stitched(piece)) + "".join(
            d(dart.points, len(dart.points) > 3) for dart in piece.darts
        )
        drawn.append(f'<path d="{lines}" {_LINES[called, "stitch"]} {STEADY}/>')
    letters: list[str] = []
    taken: list[XY] = []
    middle = ((box.left + box.right) / 2, (box.bottom + box.top) / 2)
    for letter, move in _lettered(laid):
        drawn.append(f'<path d="{d((move.old, move.new))}" {_MARK} {STEADY}/>')
        x, y = _free(move.new, direction(move.new, middle), _LETTER_PX * mm, taken)
        taken.append((x, y))
        letters.append(f'<text x="{x - left:.1f}" y="{top - y:.1f}">{letter}</text>')
    arm = _CROSS_PX * mm
    for edge in fit.edges:
        if not edge.held:
            x, y = edge.at
            cross = d(((x - arm, y - arm), (x + arm, y + arm))) + d(((x - arm, y + arm), (x + arm, y - arm)))
            drawn.append(f'<path d="{cross}" {_BAD} {STEADY}/>')
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" width="{width / mm:.0f}" height="{height / mm:.0f}" '
        f'viewBox="0 0 {width:.1f} {height:.1f}"><title>{escaped(laid.new.title)}, old and new on each other. Not to '
        f'scale.</title><g fill="none" stroke-linejoin="round">{"".join(drawn)}</g>'
        f'<g font-size="{_LETTER_PX * mm:.1f}" font-weight="700" text-anchor="middle" '
        f'dominant-baseline="central" fill="#16181d">{"".join(letters)}</g>'
        "</svg>\n"
    )


def _free(at: XY, way: XY, letter: float, taken: Sequence[XY]) -> XY:
    """Where a letter stands beside its point: towards the middle of the piece, else where no other letter is."""
    ways = [(way[0] * cos(t) - way[1] * sin(t), way[0] * sin(t) + way[1] * cos(t)) for t in map(radians, _TURNS)]
    spots = [along(at, each, far * letter) for far in (1.3, 2.0) for each in ways]
    return next((p for p in spots if all(distance(p, other) > letter for other in taken)), spots[0])


def _stitched(piece: SidePiece) -> list[Sequence[XY]]:
    return [edge.points for edge in piece.edges if not edge.on_fold and edge.allowance > 0]


def _tables(compared: Comparison, unit: Unit) -> Iterator[str]:
    numbers: tuple[tuple[str, str], ...] = (("Before", "n"), ("After", "n"), ("Change", "n"))
    titles = {piece.name: piece.title for piece in (*compared.old.pieces, *compared.new.pieces)}
    if compared.levels:
        yield '<section id="levels">\n<h2>Levels</h2>\n<p>The garment all round, darts closed.</p>\n'
        yield table_start("Levels", "Round", "Level", *numbers)
        for row in compared.levels:
            yield f'<tr><td>{escaped(row.of)}</td><th scope="row">{escaped(row.name)}</th>{_three(row, unit)}</tr>\n'
        yield f"{TABLE_END}</section>\n"
    yield '<section id="edges">\n<h2>Edges</h2>\n<p>As sewn: darts closed, pleats laid. '
    yield "As drawn where that differs.</p>\n"
    yield table_start("Edges", "Piece", "Edge", *numbers, ("Drawn before", "n"), ("Drawn after", "n"))
    for row in compared.edges:
        apart = _differs(row.before, row.drawn_before) or _differs(row.after, row.drawn_after)
        drawn = "".join(
            f'<td class="n">{escaped(shown(value, unit)) if apart else ""}</td>'
            for value in (row.drawn_before, row.drawn_after)
        )
        yield f'<tr><td>{escaped(titles[row.of])}</td><th scope="row">{escaped(piece_words(row.name))}</th>'
        yield f"{_three(row, unit)}{drawn}</tr>\n"
    yield f"{TABLE_END}</section>\n"
    if compared.seams:
        yield '<section id="seams">\n<h2>Seams</h2>\n<p>Sewing ease: one side of a seam less the other.</p>\n'
        yield table_start("Seams", "Seam", *numbers)
        for row in compared.seams:
            yield f'<tr><th scope="row">{escaped(row.name)}</th>{_three(row, unit)}</tr>\n'
        yield f"{TABLE_END}</section>\n"


def _differs(a: float | None, b: float | None) -> bool:
    return a is not None and b is not None and abs(a - b) > 0.05


def _three(row: Row, unit: Unit) -> str:
    cells = (shown(row.before, unit), shown(row.after, unit), shown(row.change, unit, signed=True))
    return "".join(f'<td class="n">{escaped(cell)}</td>' for cell in cells)
