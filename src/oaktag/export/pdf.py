"""PDF 1.6, full size: the whole sheet on one long page, or cut into tiles for a home printer.

Every stroke lies in the optional content group of its role and, inside it, in marked content `/Piece <</Name (front)>>`
(ISO 32000-1 §8.11, §14.6), so that a reader can tell which piece a path belongs to. What belongs to one of several
sizes lies in a group of that size as well, round the group of its role, and its mark says `/Size (12)`: a maker may
switch all sizes but one off. Short lines over corners that a line pattern may leave out are marked `/Corners`.
1 mm is 72/25.4 units.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import chain, pairwise
from math import cos, inf, radians, sin
from typing import Final

from ..errors import DeviceError
from ..geometry.point import XY, between
from ..geometry.polygon import Box
from ..sheet.paper import Paper
from ..sheet.scale_block import scale_block
from ..sheet.strokes import Figure, Role, Sheet
from .pdf_page import (
    GREY,
    INK,
    LIGHT,
    PALE,
    PT,
    Page,
    document,
    draw_lines,
    draw_words,
    in_layer,
    pts,
    resource,
    shortened,
    text_string,
    text_width,
    wrapped,
)
from .svg import STYLES, refuse_outside
from .tiles import Tile, Tiling, cut_into_tiles, tile_pitch

LONGEST: Final = 5080.0
"""mm: 14,400 units, the largest page that common viewers show (PDF Reference 1.7, appendix C)."""
REGISTER_MARKS: Final = "register marks"
PAGE_GUIDE: Final = "page guide"
_LAYERS: Final = (*(role.value for role in Role), REGISTER_MARKS, PAGE_GUIDE)
_CROSS: Final = 5.0  # mm from the middle of a register cross to its ends
_BAR: Final = 50.0  # mm
_SQUARE: Final = 5.0  # mm, of the grid by which the freest place is found


def render_roll(*sheets: Sheet, margin: float = 10.0) -> bytes:
    """Each sheet whole on one page, `margin` mm of white all round; the same sheets give the same bytes.

    Raises DeviceError for a page above 5,080 mm, GeometryError if a stroke leaves its sheet.
    """
    pages = []
    for sheet in sheets:
        refuse_outside(sheet)
        width, height = sheet.width + 2 * margin, sheet.height + 2 * margin
        if max(width, height) > LONGEST:
            side, found = ("high", height) if height >= width else ("wide", width)
            raise DeviceError(
                f"{sheet.title}: one page would be {found:,.0f} mm {side}, and PDF readers show {LONGEST:,.0f} mm at "
                "most. Split the pattern into two jobs, or arrange it on a wider roll."
            )
        pages.append(Page(width, height, _drawing(sheet.figures, margin, margin)))
    return document(sheets[0].title, pages, _layers(*sheets))


def render_tiles(
    sheet: Sheet,
    paper: Paper,
    *,
    overlap: float = 10.0,
    margin: float = 10.0,
    date: str = "",
    cautions: tuple[str, ...] = (),
) -> bytes:
    """A first page (scale block, page map, what to do), then a page for every tile that is not blank.

    Neighbouring tiles share a band of `overlap` mm, in its middle the crosses by which they are joined; `margin` mm of
    every page stay white. `cautions` are printed on the first page, `date` only if it is given.
    Raises InputError for paper that is too small, GeometryError if a stroke leaves the sheet.
    """
    refuse_outside(sheet)
    tiling = cut_into_tiles(sheet, paper, overlap=overlap, margin=margin)
    printed = [tile for tile in tiling.tiles if not tile.blank]
    numbered = _Numbered(sheet.title, date, paper, overlap, margin, tiling)
    first = _first_pages(sheet, numbered, cautions, len(printed))
    count = len(first) + len(printed)
    pages = [Page(paper.width, paper.height, page(count)) for page in first]
    for number, tile in enumerate(printed, start=len(first) + 1):
        pages.append(Page(paper.width, paper.height, _tile_page(tile, numbered, f"page {number} of {count}")))
    return document(sheet.title, pages, _layers(sheet))


# ---- strokes


def _drawing(figures: Iterable[Figure], dx: float, dy: float) -> str:
    """All strokes by role, then by figure; one path for each. Shifted by (dx, dy) mm; to 0.001 units, 0.0004 mm."""
    shift_x, shift_y = dx * PT, dy * PT
    by_role: dict[Role, dict[str, list[str]]] = {role: {} for role in Role}
    for figure in figures:
        for role, groups in figure.alike().items():
            usual = f"[{' '.join(pts(d) for d in STYLES[role].dashes)}] 0 d\n"
            for own in groups:
                size = f" /Size {text_string(own.size)}" if own.size else ""
                dashes = "" if own.dashes is None else f"[{' '.join(pts(d) for d in own.dashes)}] {pts(own.phase)} d\n"
                name = f"<</Name {text_string(figure.name)}{size}>> BDC\n"
                lines = _path([(s.points, s.closed) for s in own.strokes], shift_x, shift_y)
                content = f"/Piece {name}{dashes}{lines}S\nEMC\n"
                if own.corners:
                    lines = _path([(line, False) for line in own.corners], shift_x, shift_y)
                    content += f"/Corners {name}[] 0 d\n{lines}S\nEMC\n"
                by_role[role].setdefault(own.size, []).append(content + (usual if dashes else ""))
    out = []
    for role, by_size in by_role.items():
        style = STYLES[role]
        red, green, blue = (int(style.colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
        dashes = " ".join(pts(d) for d in style.dashes)
        pen = (
            f"{red:.3f} {green:.3f} {blue:.3f} RG {pts(style.width)} w [{dashes}] 0 d "
            f"{1 if style.round_ends else 0} J 1 j\n"
        )
        for size, marked in by_size.items():
            drawn = in_layer(role.value, pen + "".join(marked))
            out.append(f"/OC /{_size_resource(size)} BDC\n{drawn}EMC\n" if size else drawn)
    return "".join(out)


def _path(lines: Iterable[tuple[Sequence[XY], bool]], shift_x: float, shift_y: float) -> str:
    lines = list(lines)
    form = "".join(
        ["%.3f %.3f m\n" + "%.3f %.3f l\n" * (len(points) - 1) + ("h\n" if closed else "") for points, closed in lines]
    )
    return form % tuple([c for points, _ in lines for x, y in points for c in (x * PT + shift_x, y * PT + shift_y)])


def _size_resource(size: str) -> str:
    """A PDF name for a size's group: any size makes another name."""
    return "size-" + size.encode().hex()


def _rectangle(box: Box) -> Sequence[XY]:
    corner = (box.left, box.bottom)
    return (corner, (box.right, box.bottom), (box.right, box.top), (box.left, box.top), corner)


# ---- tile pages


@dataclass(frozen=True, slots=True)
class _Numbered:
    """What all pages of one tiled pattern have in common."""

    title: str
    date: str
    paper: Paper
    overlap: float
    margin: float
    tiling: Tiling

    @property
    def net(self) -> Box:
        """The net tile on the page, mm from the paper's lower left corner."""
        inset = self.margin + self.overlap / 2
        return Box(inset, inset, self.paper.width - inset, self.paper.height - inset)


def _tile_page(tile: Tile, numbered: _Numbered, place: str) -> str:
    dx, dy = numbered.margin - tile.live.left, numbered.margin - tile.live.bottom
    guide = _name_and_bar(tile, numbered.net, dx, dy) + _edges(tile, numbered, place)
    crosses = draw_lines(_crosses(numbered.net), grey=INK, width=0.2)
    return in_layer(PAGE_GUIDE, guide) + _drawing(tile.figures, dx, dy) + in_layer(REGISTER_MARKS, crosses)


def _crosses(net: Box) -> list[Sequence[XY]]:
    lines: list[Sequence[XY]] = []
    for x in (net.left, net.right):
        for y in (net.bottom, net.top):
            lines += (((x - _CROSS, y), (x + _CROSS, y)), ((x, y - _CROSS), (x, y + _CROSS)))
    return lines


def _edges(tile: Tile, numbered: _Numbered, place: str) -> str:
    """At each edge the neighbour's name and what becomes of the strip beyond; in the lower one the title and page."""
    net, half = numbered.net, numbered.overlap / 2
    size = 8.0
    aside = 2.5 if half >= 4 else -3.0  # the words stand in the band, or inside the tile where there is none
    base = size * 0.36 / PT  # half the height of a capital
    middle_x, middle_y = (net.left + net.right) / 2, (net.bottom + net.top) / 2
    cut, meet, words = [], [], []
    for row, column, line, at, arrow_deg, angle_deg, cut_off in (
        (0, -1, ((net.left, net.bottom), (net.left, net.top)), (net.left - aside, middle_y), 180, 90, True),
        (0, 1, ((net.right, net.bottom), (net.right, net.top)), (net.right + aside, middle_y), 0, 90, False),
        (-1, 0, ((net.left, net.top), (net.right, net.top)), (middle_x, net.top + aside), 90, 0, True),
        (1, 0, ((net.left, net.bottom), (net.right, net.bottom)), (middle_x, net.bottom - aside), 270, 0, False),
    ):
        beside = numbered.tiling.at(tile.row + row, tile.column + column)
        if beside is None:
            continue
        if beside.blank:
            text = f"{beside.name} is blank and not printed"
        elif cut_off:
            text = f"{beside.name}: cut this strip off"
            cut.append(line)
        else:
            text = f"{beside.name} lies on this strip"
            meet.append(line)
        long = text_width(text, size) / 2 + 3
        c, s = round(cos(radians(angle_deg))), round(sin(radians(angle_deg)))
        words.append(
            draw_words(text, (at[0] + s * base, at[1] - c * base), size, grey=GREY, part=0.5, angle_deg=angle_deg)
        )
        words += (_arrow((at[0] + side * c * long, at[1] + side * s * long), arrow_deg) for side in (-1, 1))
    footer = (net.left + 7, net.bottom - aside - base)
    room = (net.right - net.left) / 2 - 30
    title = shortened(numbered.title, max(20.0, room - text_width(f" - {tile.name} - {place}", size)), size)
    words.append(draw_words(f"{title} · {tile.name} · {place}", footer, size, grey=GREY))
    if numbered.date:
        words.append(
            draw_words(shortened(numbered.date, 40, size), (net.right - 7, footer[1]), size, grey=GREY, part=1.0)
        )
    return draw_lines(cut, grey=LIGHT) + draw_lines(meet, grey=LIGHT, dashes=f"{pts(1)} {pts(2.5)}") + "".join(words)


def _arrow(at: XY, way_deg: float) -> str:
    """A small filled triangle that points the way."""
    c, s = cos(radians(way_deg)), sin(radians(way_deg))
    corners = ((1.2, 0.0), (-0.8, 0.9), (-0.8, -0.9))
    points = [f"{pts(at[0] + c * x - s * y)} {pts(at[1] + s * x + c * y)}" for x, y in corners]
    return f"{GREY} g {points[0]} m {points[1]} l {points[2]} l f\n"


def _name_and_bar(tile: Tile, net: Box, dx: float, dy: float) -> str:
    """The tile's name, large and pale, and a 50 mm bar, each where the least is drawn."""
    ink = _ink(tile.figures, net, dx, dy)
    size = min(64.0, (net.right - net.left) * 0.6)
    name_width, name_height = text_width(tile.name, size, bold=True), size * 0.72 / PT
    name = _freest(net, name_width + 6, name_height + 6, ink, (0.5, 0.3, 0.7, 0.1, 0.9), (0.5, 0.7, 0.3, 0.9, 0.1))
    bar = _freest(net, _BAR + 4, 9.0, ink, (0.06, 0.94, 0.5), (0.03, 0.97, 0.2, 0.8, 0.4, 0.6), shun=name)
    x, y = bar.left + 2, bar.bottom + 2.5
    ticks = [((x + i * 10, y), (x + i * 10, y + (2.5 if i in (0, 5) else 1.2))) for i in range(6)]
    return (
        draw_words(tile.name, (name.left + 3, name.bottom + 3), size, bold=True, grey=PALE)
        + draw_lines([((x, y), (x + _BAR, y)), *ticks], grey=GREY, width=0.2)
        + draw_words("50 mm", (x + _BAR / 2, y + 2.2), 7, grey=GREY, part=0.5)
    )


def _ink(figures: Iterable[Figure], net: Box, dx: float, dy: float) -> list[int]:
    """Where the net tile is drawn on: squares of _SQUARE mm, for each row from below one bit a square from the left."""
    squares: set[tuple[int, int]] = set()
    dx, dy = dx - net.left, dy - net.bottom
    for figure in figures:
        by_role = figure.by_role()
        starts = [stroke.points[0] for stroke in by_role.pop(Role.LABEL, ())]  # of a letter's strokes that will do
        squares.update([(int((x + dx) / _SQUARE), int((y + dy) / _SQUARE)) for x, y in starts])
        for stroke in chain.from_iterable(by_role.values()):
            points = stroke.points + stroke.points[: stroke.closed]
            places = [((x + dx) / _SQUARE, (y + dy) / _SQUARE) for x, y in points]
            squares.update([(int(x), int(y)) for x, y in places])
            for (x0, y0), (x1, y1) in pairwise(places):
                for part in range(1, steps := int(abs(x1 - x0) + abs(y1 - y0)) + 1):
                    squares.add((int(x0 + (x1 - x0) * part / steps), int(y0 + (y1 - y0) * part / steps)))
    rows = [0] * (int(net.height / _SQUARE) + 1)
    for column, row in squares:
        if column >= 0 and 0 <= row < len(rows):
            rows[row] |= 1 << column
    return rows


def _freest(
    net: Box,
    width: float,
    height: float,
    ink: Sequence[int],
    across: Iterable[float],
    up: Sequence[float],
    shun: Box | None = None,
) -> Box:
    """The place for a box of this size inside the net tile with the least ink, off `shun`; the first of equals."""
    best, least = None, inf
    for part_x in across:
        left = net.left + 3 + (net.right - net.left - 6 - width) * part_x
        first, last = int((left - net.left) / _SQUARE), int((left + width - net.left) / _SQUARE)
        squares = (1 << (last + 1)) - (1 << first)
        for part_y in up:
            bottom = net.bottom + 3 + (net.top - net.bottom - 6 - height) * part_y
            low, high = int((bottom - net.bottom) / _SQUARE), int((bottom + height - net.bottom) / _SQUARE)
            inked: float = sum([(row & squares).bit_count() for row in ink[low : high + 1]])
            place = Box(left, bottom, left + width, bottom + height)
            if shun is not None and place.overlaps(shun):
                inked += len(ink) ** 2
            if inked < least:
                best, least = place, inked
            if not inked:
                return place
    assert best is not None
    return best


# ---- the first page

_HEAD: Final = 17.0  # mm
_GAP: Final = 5.0
_BLOCK: Final = 127.2  # mm: the shorter side of the smallest scale block
_LEAST_MAP: Final = 55.0  # mm of height


def _first_pages(
    sheet: Sheet, numbered: _Numbered, cautions: tuple[str, ...], printed: int
) -> list[Callable[[int], str]]:
    """What has to be known before printing the rest; further pages only where the cautions need them.

    Each is a function of the number of pages. On narrow paper title, words and map stand in a column at the right of
    the scale block, on wide paper above it.
    """
    paper, margin = numbered.paper, numbered.margin
    area = Box(margin, margin, paper.width - margin, paper.height - margin)
    wide = area.width >= 240
    under = f"{printed} {'page' if printed == 1 else 'pages'} of pattern on {paper.words}"
    under = " · ".join(part for part in (under, numbered.date) if part)

    def head(number: int, count: int) -> str:
        return (
            draw_words(shortened(sheet.title, area.width, 16.0, bold=True), (area.left, area.top - 5), 16.0, bold=True)
            + draw_words(shortened(under, area.width - 30, 9), (area.left, area.top - 10.5), 9)
            + draw_words(f"page {number} of {count}", (area.right, area.top - 10.5), 9, part=1.0)
            + draw_lines([((area.left, area.top - 13), (area.right, area.top - 13))])
        )

    if wide:
        column = Box(area.left, area.bottom + _BLOCK + 8, area.left + area.width * 0.55, area.top - _HEAD)
        room = column.height
    else:
        column = Box(area.left + _BLOCK + _GAP, area.bottom, area.right, area.top)
        shown = shortened(sheet.title, column.width * 2.5, 13.0, bold=True)
        title, title_height = _set(((shown, True),), (column.left, column.top), column.width, 13.0)
        line = column.top - title_height - 10
        column = Box(column.left, column.bottom, column.right, line - 2)
        room = column.height - _LEAST_MAP - _GAP
    text = _instructions(numbered)
    warnings = (("Before you cut", True), *((caution, False) for caution in cautions)) if cautions else ()
    further: list[str] = []
    for size in (11.0, 10.0, 9.5, 9.0, 8.5, 8.0, 7.5):
        body, height = _set((*warnings, *text), (column.left, column.top), column.width, size)
        if height <= room:
            break
    else:
        further = _set_on_pages(warnings, area, 10.0)
        pointer = (("Before you cut", True), ("Read page 2 first.", False))
        body, height = _set((*pointer, *text), (column.left, column.top), column.width, 7.5)
    if wide:
        height = max(height, 90.0)
        block_area = Box(area.left, area.bottom, area.right, column.top - height - _GAP)
        map_area = Box(column.right + _GAP, column.top - height, area.right, column.top)
    else:
        block_area = Box(area.left, area.bottom, column.left - _GAP, area.top)
        map_area = Box(column.left, column.bottom, column.right, column.top - height - _GAP)
    block = scale_block(block_area.width, block_area.height)
    bounds = block.bounds()
    strokes = _drawing((block,), block_area.left - bounds.left, block_area.bottom - bounds.bottom)
    body += _page_map(sheet, numbered, map_area)

    def first(count: int) -> str:
        if wide:
            return in_layer(PAGE_GUIDE, head(1, count) + body) + strokes
        narrow_head = (
            title
            + draw_words(shortened(under, column.width, 8), (column.left, line + 5.5), 8)
            + draw_words(f"page 1 of {count}", (column.left, line + 1.8), 8)
            + draw_lines([((column.left, line), (column.right, line))])
        )
        return in_layer(PAGE_GUIDE, narrow_head + body) + strokes

    def page(content: str, number: int) -> Callable[[int], str]:
        return lambda count: in_layer(PAGE_GUIDE, head(number, count) + content)

    return [first, *(page(content, number) for number, content in enumerate(further, start=2))]


def _instructions(numbered: _Numbered) -> tuple[tuple[str, bool], ...]:
    across, up = tile_pitch(numbered.paper, numbered.overlap, numbered.margin)
    prove = (
        "Print this page first and measure the 100 mm square: 100 mm each way, 141.4 mm from corner to corner. "
        "If it is more than 0.5 mm off, do not cut: change the print settings."
    )
    names = (
        "Every page has a name, large and pale: the letter is its row from the top, the number its place in the row. "
        "The map shows where it goes. Places that are crossed out are blank and are not printed."
    )
    join = (
        "Work along a row. Lay each page on the strip at the right of the page before, so that the cut edge lies on "
        "the pale dotted line and the crosses meet. Tape. Then join the rows in the same way, from the top down."
    )
    return (
        ("Print", True),
        ("Print at 100 %, also called actual size. Switch off everything that fits, shrinks or scales.", False),
        (prove, False),
        ("Put together", True),
        (names, False),
        ("Cut along the pale line at the left and at the top of each page, where there is one.", False),
        (join, False),
        (f"From cross to cross is {across:g} mm across and {up:g} mm up and down. Check it at the end.", False),
    )


def _set(paragraphs: Iterable[tuple[str, bool]], at: XY, width: float, size: float) -> tuple[str, float]:
    """Paragraphs (text, heading) below one another from `at`, the top left corner; and the height they took, mm."""
    leading = size * 1.22 / PT
    x, y = at
    out: list[str] = []
    for text, heading in paragraphs:
        if heading and out:
            y -= leading * 0.45
        for line in wrapped(text, width, size, heading):
            y -= leading
            out.append(draw_words(line, (x, y + leading * 0.25), size, bold=heading))
        y -= leading * 0.25
    return "".join(out), at[1] - y


def _set_on_pages(paragraphs: Sequence[tuple[str, bool]], area: Box, size: float) -> list[str]:
    """As many pages as the paragraphs need."""
    pages: list[str] = []
    room = area.height - _HEAD
    held: list[tuple[str, bool]] = []
    for paragraph in paragraphs:
        if held and _set((*held, paragraph), (0, 0), area.width, size)[1] > room:
            pages.append(_set(held, (area.left, area.top - _HEAD), area.width, size)[0])
            held = []
        held.append(paragraph)
    return [*pages, _set(held, (area.left, area.top - _HEAD), area.width, size)[0]] if held else pages


def _page_map(sheet: Sheet, numbered: _Numbered, box: Box) -> str:
    """The grid of tiles with their names, the outlines drawn small on it, blank tiles crossed out."""
    tiling = numbered.tiling
    across, up = tile_pitch(numbered.paper, numbered.overlap, numbered.margin)
    scale = min(box.width / (tiling.columns * across), (box.height - 6) / (tiling.rows * up))
    left, bottom = box.left, box.top - 6 - tiling.rows * up * scale
    small = [
        _thinned([(left + x * scale, bottom + y * scale) for x, y in (*stroke.points, *stroke.points[: stroke.closed])])
        for figure in sheet.figures
        for stroke in figure.strokes
        if stroke.role in (Role.CUT, Role.SCALE)
    ]
    cells: list[Sequence[XY]] = []
    crossed: list[Sequence[XY]] = []
    names: list[str] = []
    for tile in tiling.tiles:
        cell = _smaller(tile.net, left, bottom, scale)
        cells.append(_rectangle(cell))
        if tile.blank:
            crossed += (
                ((cell.left, cell.bottom), (cell.right, cell.top)),
                ((cell.left, cell.top), (cell.right, cell.bottom)),
            )
        size = min(13.0, cell.height * 0.3 * PT, cell.width * 0.8 / text_width(tile.name, 1.0, True))
        x, y = between((cell.left, cell.bottom), (cell.right, cell.top))
        names.append(
            draw_words(
                tile.name, (x, y - size * 0.36 / PT), size, bold=True, part=0.5, grey=0.7 if tile.blank else LIGHT
            )
        )
    return (
        draw_words("Page map", (left, box.top - 4), 9, bold=True)
        + draw_lines(crossed, grey=PALE - 0.1, width=0.15)
        + draw_lines(cells, grey=0.7, width=0.15)
        + "".join(names)
        + draw_lines(small, grey=INK, width=0.25)
    )


def _smaller(net: Box, left: float, bottom: float, scale: float) -> Box:
    return Box(left + net.left * scale, bottom + net.bottom * scale, left + net.right * scale, bottom + net.top * scale)


def _thinned(points: Sequence[XY]) -> Sequence[XY]:
    """Without points nearer than 0.3 mm to the one before, the ends apart: for the small drawing only."""
    kept = [points[0]]
    for point in points[1:-1]:
        if abs(point[0] - kept[-1][0]) + abs(point[1] - kept[-1][1]) >= 0.3:
            kept.append(point)
    return (*kept, points[-1])


def _layers(*sheets: Sheet) -> dict[str, str]:
    """The groups that a document may have, by the name its content calls them: roles, marks, every size drawn."""
    figures = [figure for sheet in sheets for figure in sheet.figures]
    sizes = dict.fromkeys(size for figure in figures for size in (figure.size, *figure.sizes()) if size)
    return {resource(layer): layer for layer in _LAYERS} | {_size_resource(size): f"size {size}" for size in sizes}
