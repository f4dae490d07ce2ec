"""PDF 1.6, full size: the whole sheet on one long page, or cut into tiles for a home printer.

Every stroke lies in the optional content group of its role and, inside it, in marked content `/Piece <</Name (front)>>`
(ISO 32000-1 §8.11, §14.6), so that a reader can tell which piece a path belongs to. What belongs to one of several
sizes lies in a group of that size as well, round the group of its role, and its mark says `/Size (12)`: a maker may
switch all sizes but one off. Short lines over corners that a line pattern may leave out are marked `/Corners`.
1 mm is 72/25.4 units.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from math import ceil, cos, inf, radians, sin
from typing import Final

from ..errors import DeviceError
from ..geometry.affine import Move
from ..geometry.point import XY, between
from ..geometry.polygon import Box
from ..sheet.paper import Paper, at_hand
from ..sheet.scale_block import scale_block
from ..sheet.strokes import Figure, Role, Sheet
from ..units import INCH, Unit
from ..values import dataclass
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
    through,
    wrapped,
)
from .svg import STYLES, refuse_outside
from .tiles import OVERLAP, Tile, Tiling, clip_figure, cut_into_tiles, row_name, tile_name, tile_pitch

LONGEST: Final = 5080.0
"""mm: 14,400 units, the largest page that common viewers show (PDF Reference 1.7, appendix C)."""
SPLIT: Final = 5000.0
"""mm: a roll is split into pages that are not longer."""
REGISTER_MARKS: Final = "register marks"
PAGE_GUIDE: Final = "page guide"
_LAYERS: Final = (*(role.value for role in Role), REGISTER_MARKS, PAGE_GUIDE)
_CROSS: Final = 5.0  # mm from the middle of a register cross to its ends
_SQUARE: Final = 2.5  # mm, of the grid by which the freest place is found
_SHADE: Final = 0.72  # of paper white: lines and letters show upon it
_WORSE: Final = 10  # times as bad as a line under words: other words
_LEAST_EDGE: Final = 3.0
"""mm of paper that printers leave white along the edges at the least (common practice, no source)."""
_STRIP: Final = 8.0  # mm, for a line of words where a roll begins
_SHARED: Final = 20.0  # mm that two pages share where a roll is cut through a figure

_Matrix = tuple[float, float, float, float]


def render_roll(
    *sheets: Sheet, margin: float = 10.0, one_page: bool = False, matrix: _Matrix | None = None, said: str = ""
) -> bytes:
    """Each sheet whole on one page, `margin` mm of white all round; the same sheets give the same bytes.

    A sheet whose page would be above 5,080 mm is cut through into pages of at most 5,000 mm, which share a band with
    register crosses, each with bars of 50 mm; with `one_page` it stays whole, and the page has a larger UserUnit.
    `matrix` and `said` as for `render_tiles`; the page grows along the roll where that is needed.
    Raises DeviceError where a sheet is too wide for a page or the matrix leads off the paper, GeometryError if a stroke
    leaves its sheet.
    """
    parts = [part for sheet in sheets for part in _roll_parts(sheet, margin, one_page)]
    unit = max(ceil(round((part.sheet.height + 2 * margin + _STRIP) / LONGEST, 9)) for part in parts) if one_page else 1
    if all(part.sheet.height + 2 * margin <= LONGEST for part in parts):
        unit = 1
    pages = []
    for number, part in enumerate(parts, start=1):
        words = [part.sheet.title, f"page {number} of {len(parts)}"] if len(parts) > 1 else []
        words += [f"{name} joins page {beside}" for name, beside in part.joins(number)]
        if unit > 1:
            long = f"this page is {part.sheet.height + 2 * margin:,.0f} mm long, in units of {unit}/72 in, which some "
            words.append(long + 'printers overlook and print too small. Measure first; roll = "split" is safer')
        pages.append(_roll_page(part, margin, [*words, said] if said else words, matrix, unit))
    return document(sheets[0].title, pages, _layers(*sheets))


def render_tiles(
    sheet: Sheet,
    paper: Paper,
    *,
    overlap: float = OVERLAP,
    margin: float = 10.0,
    date: str = "",
    cautions: tuple[str, ...] = (),
    matrix: _Matrix | None = None,
    said: str = "",
    unit: Unit = "mm",
) -> bytes:
    """A first page (scale block, page map, what to do), then a page for every tile that is not blank.

    Neighbouring tiles share a band of `overlap` mm, in its middle the crosses by which they are joined; with an overlap
    of 0 they lie edge to edge, and the crosses are cut to corners. `margin` mm of every page stay white. The first page
    of paper that only a copy shop prints is A4, or Letter where `unit` is inches. `cautions` are printed on the first
    page, `date` only if it is given.

    `matrix` (xx, xy, yx, yy) corrects a printer: what belongs at (x, y) mm, from the middle of the page, is drawn at
    (xx x + xy y, yx x + yy y), all of every page; `said` is printed small on every page.
    Raises InputError for paper that is too small, DeviceError where the matrix leads off the paper, GeometryError if a
    stroke leaves the sheet.
    """
    refuse_outside(sheet)
    tiling = cut_into_tiles(sheet, paper, overlap=overlap, margin=margin)
    printed = [tile for tile in tiling.tiles if not tile.blank]
    numbered = _Numbered(sheet.title, date, paper, overlap, margin, tiling, tiling.joined, said, at_hand(paper, unit))
    cover = numbered.cover
    for size in (cover, paper):
        _refuse_off_paper(matrix, Box(margin, margin, size.width - margin, size.height - margin), size)
    first = _first_pages(sheet, numbered, cautions, printed)
    count = len(first) + len(printed)
    contents = [(cover, page(count)) for page in first]
    for at, tile in enumerate(printed):
        following = printed[at + 1] if at + 1 < len(printed) else None
        contents.append((paper, _tile_page(tile, numbered, f"page {len(first) + at + 1} of {count}", following)))
    pages = [
        Page(size.width, size.height, content if matrix is None else through(content, matrix, size.width, size.height))
        for size, content in contents
    ]
    return document(sheet.title, pages, _layers(sheet), tray=paper.tray)


def _refuse_off_paper(matrix: _Matrix | None, drawn: Box, paper: Paper) -> None:
    """DeviceError where what is drawn would come nearer to an edge of the paper than printers print."""
    if matrix is None:
        return
    moved = _moved_box(matrix, drawn, paper.width, paper.height)
    edges = (moved.left, moved.bottom, paper.width - moved.right, paper.height - moved.top)
    least = min(edges)
    if least < min(_LEAST_EDGE, drawn.left, drawn.bottom, paper.width - drawn.right, paper.height - drawn.top) - 1e-6:
        raise DeviceError(
            f"corrected for its device, {paper.words} would be drawn on to within {least:.1f} mm of the paper's edge, "
            f"and printers leave {_LEAST_EDGE:g} mm white. Choose smaller sheets or a wider roll, or a device that "
            "needs less correction."
        )


def _moved_box(matrix: _Matrix, box: Box, width: float, height: float) -> Box:
    """The box round a box of the page that went through the matrix about the page's middle."""
    xx, xy, yx, yy = matrix
    x, y = width / 2, height / 2
    corners = [(a - x, b - y) for a in (box.left, box.right) for b in (box.bottom, box.top)]
    return Box.round([(x + xx * a + xy * b, y + yx * a + yy * b) for a, b in corners])


# ---- pages of a roll


@dataclass(frozen=True, slots=True)
class _RollPart:
    """What one page of a roll holds: a sheet with its lower left corner at (0, 0), and where it goes on, mm up."""

    sheet: Sheet
    before: float | None = None  # where the page before goes on
    after: float | None = None
    first_join: int = 0

    def joins(self, number: int) -> list[tuple[str, int]]:
        """Name of each join and the number of the page beyond it."""
        below = [(f"J{self.first_join}", number - 1)] if self.before is not None else []
        above = [(f"J{self.first_join + 1}", number + 1)] if self.after is not None else []
        return below + above


def _roll_parts(sheet: Sheet, margin: float, one_page: bool) -> list[_RollPart]:
    refuse_outside(sheet)
    width, height = sheet.width + 2 * margin, sheet.height + 2 * margin
    if width > LONGEST:
        raise DeviceError(
            f"{sheet.title}: a page would be {width:,.0f} mm wide, and PDF readers show {LONGEST:,.0f} mm at most. "
            "Arrange the pattern on a narrower roll."
        )
    if height <= LONGEST or one_page:
        return [_RollPart(sheet)]
    count = ceil(sheet.height / (SPLIT - 2 * margin - _STRIP - _SHARED))
    step, half = sheet.height / count, _SHARED / 2
    parts = []
    for k in range(count):
        bottom = max(0.0, k * step - half)
        top = min(sheet.height, (k + 1) * step + half)
        figures = [clip_figure(figure, Box(0.0, bottom, sheet.width, top)) for figure in sheet.figures]
        kept = tuple(figure.moved(Move.by(0.0, -bottom)) for figure in figures if figure is not None)
        parts.append(
            _RollPart(
                Sheet(sheet.title, sheet.width, top - bottom, kept),
                k * step - bottom if k else None,
                (k + 1) * step - bottom if k < count - 1 else None,
                k,
            )
        )
    return parts


def _roll_page(part: _RollPart, margin: float, words: Sequence[str], matrix: _Matrix | None, unit: int) -> Page:
    sheet = part.sheet
    strip = _STRIP if words else 0.0
    width, height = sheet.width + 2 * margin, sheet.height + 2 * margin + strip
    grow = 0.0
    if matrix is not None:
        boxes = [figure.bounds() for figure in sheet.figures]
        left, right = min(b.left for b in boxes) + margin, max(b.right for b in boxes) + margin
        moved = _moved_box(matrix, Box(left, margin, right, height - margin), width, height)
        grow = max(0.0, margin - moved.bottom, moved.top - height + margin)
        drawn = Box(left, margin + grow, right, height - margin + grow)
        height += 2 * grow
        _refuse_off_paper(matrix, drawn, Paper("", "a roll of this width", width, height))
    dx, dy = margin, margin + grow + strip
    guide = marks = ""
    if words:
        line = shortened(" · ".join(words), sheet.width - 10, 8.0)
        guide += draw_words(line, (margin + 5, margin + grow + 2.5), 8.0, grey=GREY)
    lines: list[Sequence[XY]] = []
    for at, name in zip(
        [at for at in (part.before, part.after) if at is not None], [name for name, _ in part.joins(1)], strict=True
    ):
        y = at + dy
        guide += draw_lines([((dx, y), (dx + sheet.width, y))], grey=LIGHT)
        for x in (dx + 10, dx + sheet.width - 10):
            lines += (((x - _CROSS, y), (x + _CROSS, y)), ((x, y - _CROSS), (x, y + _CROSS)))
            inward = 8 if x < width / 2 else -8
            guide += draw_words(name, (x + inward, y + 2), 10.0, grey=GREY, part=0.5)
    if lines:
        area = Box(dx, dy, dx + sheet.width, dy + sheet.height)
        proof = _proof(area, _Ink.of(sheet.figures, area, dx, dy), 50.0)
        marks = in_layer(Role.SCALE.value, proof) + in_layer(REGISTER_MARKS, draw_lines(lines, grey=INK, width=0.2))
    drawing = _drawing(sheet.figures, dx, dy) if unit == 1 else _drawn_apart(sheet.figures, dx, dy)
    content = (in_layer(PAGE_GUIDE, guide) if guide else "") + drawing + marks
    return Page(width, height, content if matrix is None else through(content, matrix, width, height), unit)


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


def _drawn_apart(figures: Iterable[Figure], dx: float, dy: float) -> str:
    """As `_drawing`, each figure from its own corner: far from that of the page, readers that keep few digits err."""
    out = []
    for figure in figures:
        box = figure.bounds()
        own = _drawing((figure.moved(Move.by(-box.left, -box.bottom)),), 0.0, 0.0)
        out.append(f"q 1 0 0 1 {pts(box.left + dx)} {pts(box.bottom + dy)} cm\n{own}Q\n")
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
    joined: bool
    said: str
    cover: Paper
    """The paper of the first page."""

    @property
    def net(self) -> Box:
        """The net tile on the page, mm from the paper's lower left corner."""
        inset = self.margin + self.overlap / 2
        return Box(inset, inset, self.paper.width - inset, self.paper.height - inset)

    @property
    def live(self) -> Box:
        """The page inside its margins, mm."""
        return Box(self.margin, self.margin, self.paper.width - self.margin, self.paper.height - self.margin)

    @property
    def butt(self) -> bool:
        """Whether pages lie edge to edge."""
        return self.overlap == 0.0

    @property
    def small(self) -> float:
        """Points, of words at the edges."""
        return 12.0 if self.paper.large else 8.0

    @property
    def bar(self) -> float:
        """Of the small scale block on every page, mm; 100 where 4 in go with it, else 50 with 2 in."""
        return 100.0 if self.paper.large else 50.0


def _tile_page(tile: Tile, numbered: _Numbered, place: str, following: Tile | None) -> str:
    dx, dy = numbered.margin - tile.live.left, numbered.margin - tile.live.bottom
    ink = _Ink.of(tile.figures, numbered.live, dx, dy)
    proof = _proof(numbered.net, ink, numbered.bar)
    guide = _edges(tile, numbered, place, ink) + _name_and_next(tile, numbered, place, following, ink)
    crosses = draw_lines(_crosses(numbered.net, min(_CROSS, numbered.overlap / 2)), grey=INK, width=0.2)
    return (
        in_layer(PAGE_GUIDE, guide)
        + in_layer(Role.SCALE.value, proof)
        + _drawing(tile.figures, dx, dy)
        + in_layer(REGISTER_MARKS, crosses)
    )


def _crosses(net: Box, beyond: float) -> list[Sequence[XY]]:
    """On the corners of the net tile; outside of it they end `beyond` mm on, so that nothing is in the margin."""
    lines: list[Sequence[XY]] = []
    for x, out_x in ((net.left, -1), (net.right, 1)):
        for y, out_y in ((net.bottom, -1), (net.top, 1)):
            lines += (
                ((x - out_x * _CROSS, y), (x + out_x * beyond, y)),
                ((x, y - out_y * _CROSS), (x, y + out_y * beyond)),
            )
    return lines


_ALONG: Final = (0.5, *(0.5 + side * i / 96 for i in range(1, 49) for side in (-1, 1)))
"""Where words may stand along an edge, the middle first."""


def _edges(tile: Tile, numbered: _Numbered, place: str, ink: _Ink) -> str:
    """At each edge the neighbour's name and what becomes of the strip beyond; in the lower one the title and page."""
    net, half, size = numbered.net, numbered.overlap / 2, numbered.small
    asides = (*((2.5,) if half >= 4 else ()), -3.5, -8.0, -13.0)  # the words stand in the band, or inside beside it
    base = size * 0.36 / PT  # half the height of a capital
    cut, meet, out = [], [], []

    def words_at(text: str, edge: str, end: float, arrow_deg: float | None = None) -> None:
        """Along an edge where least is drawn, `end` mm off the corners."""
        upright = edge in ("left", "right")
        long = text_width(text, size) + (10 if arrow_deg is not None else 3)
        first, room = (net.bottom, net.height) if upright else (net.left, net.width)
        line = {"left": net.left, "right": net.right, "bottom": net.bottom, "top": net.top}[edge]
        outward = -1 if edge in ("left", "bottom") else 1
        parts = _ALONG if arrow_deg is not None else sorted(_ALONG)
        ways = (
            (line + outward * off, first + end + max(0.0, room - 2 * end - long) * p) for off in asides for p in parts
        )
        box = ink.freest(
            Box(at - base - 0.7, start, at + base + 0.7, start + long)
            if upright
            else Box(start, at - base - 0.7, start + long, at + base + 0.7)
            for at, start in ways
        )
        ink.take(box)
        x, y = (box.left + box.right) / 2, (box.bottom + box.top) / 2
        c, s = (0, 1) if upright else (1, 0)
        angle = 90 if upright else 0
        out.append(draw_words(text, (x + s * base, y - c * base), size, grey=GREY, part=0.5, angle_deg=angle))
        if arrow_deg is not None:
            shift = long / 2 - 2
            out.extend(_arrow((x + side * c * shift, y + side * s * shift), arrow_deg) for side in (-1, 1))

    beyond = []
    apart = numbered.paper.large or not numbered.joined  # pages of a grid are all joined, to lie square
    for row, column, edge, line, arrow_deg, cut_off in (
        (0, -1, "left", ((net.left, net.bottom), (net.left, net.top)), 180, True),
        (0, 1, "right", ((net.right, net.bottom), (net.right, net.top)), 0, False),
        (-1, 0, "top", ((net.left, net.top), (net.right, net.top)), 90, True),
        (1, 0, "bottom", ((net.left, net.bottom), (net.right, net.bottom)), 270, False),
    ):
        beside = numbered.tiling.at(tile.row + row, tile.column + column)
        if beside is None:
            continue
        if beside.blank:
            text = f"{beside.name} is blank and not printed"
        elif apart and not tile.reaches(edge):
            text = f"no line runs on to {beside.name}"
        elif numbered.butt:
            text = f"cut here: {beside.name} meets this edge"
            cut.append(line)
            for part in (0.25, 0.75):
                x, y = between(*line, part)
                out.append(_half_diamond((x, y), arrow_deg))
                ink.take(Box(x - 4, y - 4, x + 4, y + 4))
        elif cut_off:
            text = f"{beside.name}: cut this strip off"
            cut.append(line)
        else:
            text = f"{beside.name} lies on this strip"
            meet.append(line)
        beyond.append((text, edge, arrow_deg))
    end = f" · {tile.name} · {place}"
    title = shortened(numbered.title, max(20.0, net.width * 0.55 - text_width(end, size)), size)
    words_at(title + end, "bottom", 7.0)
    for text, edge, arrow_deg in beyond:
        words_at(text, edge, 7.0, arrow_deg)
    if numbered.date:
        words_at(shortened(numbered.date, net.width * 0.4, size), "bottom", 7.0)
    return draw_lines(cut, grey=LIGHT) + draw_lines(meet, grey=LIGHT, dashes=f"{pts(1)} {pts(2.5)}") + "".join(out)


def _half_diamond(at: XY, out_deg: float) -> str:
    """Half of a diamond, its middle on the edge that the page meets; the neighbour's half makes it whole."""
    c, s = cos(radians(out_deg)), sin(radians(out_deg))
    corners = ((0.0, 3.0), (-4.0, 0.0), (0.0, -3.0))
    points = [f"{pts(at[0] + c * x - s * y)} {pts(at[1] + s * x + c * y)}" for x, y in corners]
    return f"{_SHADE} g {points[0]} m {points[1]} l {points[2]} l f\n"


def _arrow(at: XY, way_deg: float) -> str:
    """A small filled triangle that points the way."""
    c, s = cos(radians(way_deg)), sin(radians(way_deg))
    corners = ((1.2, 0.0), (-0.8, 0.9), (-0.8, -0.9))
    points = [f"{pts(at[0] + c * x - s * y)} {pts(at[1] + s * x + c * y)}" for x, y in corners]
    return f"{GREY} g {points[0]} m {points[1]} l {points[2]} l f\n"


_UP: Final = (0.5, 0.7, 0.3, 0.9, 0.1, 0.6, 0.4, 0.8, 0.2, 0.0, 1.0)
_ACROSS: Final = (0.5, *(0.5 + side * i / 14 for i in range(1, 8) for side in (-1, 1)))


def _name_and_next(tile: Tile, numbered: _Numbered, place: str, following: Tile | None, ink: _Ink) -> str:
    """The tile's name, large and pale, and under it which page is taped next; where nothing is drawn, or the least.

    On a crowded page the name is smaller, and the words stand in a narrow column or apart from it.
    """
    net = numbered.net
    most = min(200.0 if numbered.paper.large else 64.0, net.width * 0.6)
    alone = "no piece runs over its edges"
    said = [f"{place[:1].upper()}{place[1:]}", _next_words(tile, following) if numbered.joined else alone]
    said += [numbered.said] if numbered.said else []
    points = numbered.small + 2
    leading = points * 1.25 / PT
    wide, narrow = ([line for text in said for line in wrapped(text, at, points)] for at in (inf, 3.6 * points))

    def room(size: float, lines: Sequence[str]) -> tuple[float, float]:
        widths = [text_width(tile.name, size, bold=True)] if size else []
        high = size * 0.72 / PT + 6 + len(lines) * leading
        return max([*widths, *(text_width(line, points) for line in lines)]) + 6, high

    def set_at(box: Box, size: float, lines: Sequence[str]) -> str:
        ink.take(box)
        x, y = box.left + 3, box.bottom + 3
        name = draw_words(tile.name, (x, y + len(lines) * leading), size, bold=True, grey=PALE) if size else ""
        return name + "".join(
            draw_words(line, (x, y + (len(lines) - 1 - row) * leading), points, grey=GREY)
            for row, line in enumerate(lines)
        )

    sizes = [most * part for part in (1.0, 0.75, 0.5)]
    for size in sizes:
        for lines in (wide, narrow):
            box = ink.free(net, *room(size, lines))
            if box is not None:
                return set_at(box, size, lines)
    out = ""
    for size, choices in ((sizes[-1], ([],)), (0.0, (wide, narrow))):  # the name by itself, then the words
        boxes = [(ink.free(net, *room(size, lines)), lines) for lines in choices]
        found = next(((box, lines) for box, lines in boxes if box is not None), None)
        if found is None:
            lines = choices[-1]
            found = ink.freest(_places(net, *room(size, lines), _ACROSS, _UP)), lines
        out += set_at(found[0], size, found[1])
    return out


def _next_words(tile: Tile, following: Tile | None) -> str:
    """Which page is taped next, and where it goes; pages are taped in the order in which they are printed."""
    if following is None:
        return "the last page"
    if following.row != tile.row:
        return f"end of row {row_name(tile.row)}; next: {following.name}, begins row {row_name(following.row)}"
    gap = range(tile.column + 1, following.column)
    if not gap:
        return f"next: {following.name}, at the right of this page"
    names = [tile_name(tile.row, column) for column in gap]
    blank = f"{names[0]} is blank" if len(names) == 1 else f"{names[0]} to {names[-1]} are blank"
    return f"next: {following.name}, further right; {blank}"


def _proof(net: Box, ink: _Ink, bar: float) -> str:
    """Two bars across and two up, in mm and in inches, from one corner or else apart; where the least is drawn.

    │ │         The bars of `bar` mm stand inside, those of 2 in (or 4 in) outside; both prove both ways. Lines may run
    │ └──────   through the room between the arms.
    └────────
    """
    inches = round(bar / INCH)
    grown = 1.0 if bar < 100.0 else 1.6  # larger letters on sheets that are read standing
    broad, long = 11.0 * grown, max(bar, inches * INCH) + 8.0 * grown
    arms = ((long, broad), (broad, long))
    corners, parts = (0.0, 1.0), tuple(i / 12 for i in range(13))
    shared = ink.free_for(net, arms, corners)
    inner = 3.2 * grown
    lines: list[Sequence[XY]] = []
    words = []
    for turn, arm in zip((False, True), arms, strict=True):
        place = shared or ink.free_for(net, (arm,), corners)
        box = _at(place, *arm) if place is not None else ink.freest(_places(net, *arm, parts, parts))
        ink.take(box)
        x, y = box.left + 3.0, box.bottom + 3.0

        def put(u: float, v: float, turn: bool = turn, x: float = x, y: float = y) -> XY:
            return (x + v, y + u) if turn else (x + u, y + v)

        lines.append((put(0.0, 0.0), put(inches * INCH, 0.0)))
        lines += [
            (put(i * INCH / 2, 0.0), put(i * INCH / 2, -1.8 if i % 2 == 0 else -1.0)) for i in range(2 * inches + 1)
        ]
        lines.append((put(inner, inner), put(inner + bar, inner)))
        lines += [
            (put(inner + i, inner), put(inner + i, inner + (1.8 if i % 50 == 0 else 1.0)))
            for i in range(0, round(bar) + 1, 10)
        ]
        angle = 90.0 if turn else 0.0
        for text, u, v in (
            (f"{bar:g} mm", inner + bar - 12.0, inner + 1.8),
            (f"{inches} in", inches * INCH / 2 + 6, 0.8),
        ):
            at = put(u, v + 1.7 * grown if turn else v)
            words.append(draw_words(text, at, 6.5 * grown, grey=INK, part=0.5, angle_deg=angle))
    return draw_lines(lines, grey=INK, width=0.2) + "".join(words)


def _at(corner: XY, width: float, height: float) -> Box:
    return Box(corner[0], corner[1], corner[0] + width, corner[1] + height)


def _places(net: Box, width: float, height: float, across: Iterable[float], up: Sequence[float]) -> Iterator[Box]:
    """Places for a box of this size inside the net tile, in order of preference."""
    for part_x in across:
        left = net.left + 3 + (net.width - 6 - width) * part_x
        for part_y in up:
            bottom = net.bottom + 3 + (net.height - 6 - height) * part_y
            yield Box(left, bottom, left + width, bottom + height)


@dataclass(slots=True)
class _Ink:
    """Where an area of a page is drawn on: squares of _SQUARE mm, for each row from below one bit a square."""

    area: Box
    rows: list[int]
    taken: list[int]  # by words and bars

    @classmethod
    def of(cls, figures: Iterable[Figure], area: Box, dx: float, dy: float) -> _Ink:
        """The ink of figures that are drawn inside the area when the page is shifted by (dx, dy) mm."""
        rows = [0] * (int(area.height / _SQUARE) + 1)
        ink = cls(area, rows, list(rows))
        dx, dy, part = dx - area.left, dy - area.bottom, 1 / _SQUARE
        last = len(rows) - 1
        for figure in figures:
            for stroke in figure.strokes:
                x, y = stroke.points[0]
                x, y = (x + dx) * part, (y + dy) * part
                row, bit = int(y), 1 << int(x)
                if stroke.role is Role.LABEL:  # the letter's box, and the room between it and its neighbours
                    xs, ys = zip(*stroke.points, strict=True)
                    left, right = int((min(xs) + dx) * part - 1), int((max(xs) + dx) * part + 1)
                    columns = (2 << right) - (1 << max(0, left))
                    under, over = int((min(ys) + dy) * part - 0.4), int((max(ys) + dy) * part + 0.4)
                    for near in range(max(0, under), min(last, over) + 1):
                        rows[near] |= columns
                    continue
                rows[row] |= bit
                for bx, by in stroke.points[1:] + stroke.points[: stroke.closed]:
                    bx, by = (bx + dx) * part, (by + dy) * part
                    across, up = bx - x, by - y
                    steps = int(abs(across) + abs(up))
                    if steps:
                        across, up = across / (steps + 1), up / (steps + 1)
                        for _ in range(steps):
                            x += across
                            y += up
                            rows[int(y)] |= 1 << int(x)
                    x, y = bx, by
                    rows[int(y)] |= 1 << int(x)
        return ink

    def _span(self, box: Box) -> tuple[int, int, int]:
        """Rows from and to, and the bits of the columns; all squares that the box touches."""
        first = max(0, int((box.left - self.area.left) / _SQUARE))
        last = max(first, int((box.right - self.area.left) / _SQUARE))
        low, high = int((box.bottom - self.area.bottom) / _SQUARE), int((box.top - self.area.bottom) / _SQUARE)
        return max(0, low), max(0, high), (1 << (last + 1)) - (1 << first)

    def inside(self, box: Box) -> int:
        """How many squares of a box are drawn on; words on words count more than words on lines."""
        low, high, columns = self._span(box)
        found = 0
        for drawn, taken in zip(self.rows[low : high + 1], self.taken[low : high + 1], strict=True):
            if (drawn | taken) & columns:
                found += (drawn & columns).bit_count() + _WORSE * (taken & columns).bit_count()
        return found

    def freest(self, boxes: Iterable[Box]) -> Box:
        """The box with the least ink; the first of equals."""
        best, least = None, inf
        for box in boxes:
            inked = self.inside(box)
            if inked < least:
                best, least = box, inked
            if not inked:
                break
        assert best is not None
        return best

    def free(self, net: Box, width: float, height: float) -> Box | None:
        """The box of this size that touches nothing, nearest to the middle of the net tile; None if there is none."""
        at = self.free_for(net, ((width, height),), (0.5,))
        return None if at is None else _at(at, width, height)

    def free_for(self, net: Box, sizes: Sequence[tuple[float, float]], wanted: Sequence[float]) -> XY | None:
        """The lower left corner that boxes of these sizes (width, height) can share without touching anything.

        Of all such corners inside the net tile the one nearest to a wanted place, told as parts of the way across and
        up: (0.5,) is the middle, (0, 1) are the four corners. None where there is none. Every square is tried.
        """
        first, low = (
            ceil((net.left + 3 - self.area.left) / _SQUARE),
            ceil((net.bottom + 3 - self.area.bottom) / _SQUARE),
        )
        wide, high = max(w for w, _ in sizes), max(h for _, h in sizes)
        columns = int((net.right - 3 - wide - self.area.left) / _SQUARE) - first
        rows = int((net.top - 3 - high - self.area.bottom) / _SQUARE) - low
        if columns < 0 or rows < 0:
            return None
        every = (1 << (int(self.area.width / _SQUARE) + 1)) - 1
        free = [every & ~(drawn | taken) for drawn, taken in zip(self.rows, self.taken, strict=True)]
        fits = [every] * (rows + 1)
        for width, height in sizes:
            clear = _eroded(free, int(width / _SQUARE) + 1, int(height / _SQUARE) + 1)
            fits = [there & here for there, here in zip(fits, clear[low : low + rows + 1], strict=True)]
        best: tuple[float, int, int] | None = None
        for j, row in enumerate(fits):
            bits = (row >> first) & ((2 << columns) - 1)
            if not bits:
                continue
            up = min(abs(j / max(1, rows) - part) for part in wanted)
            for part in wanted:
                at = round(part * columns)
                before, after = bits & ((2 << at) - 1), bits >> at
                near = [before.bit_length() - 1] if before else []
                near += [at + (after & -after).bit_length() - 1] if after else []
                for i in near:
                    found = up + abs(i / max(1, columns) - part), j, i
                    if best is None or found < best:
                        best = found
        if best is None:
            return None
        _, j, i = best
        return self.area.left + (first + i) * _SQUARE + 0.001, self.area.bottom + (low + j) * _SQUARE + 0.001

    def take(self, box: Box) -> None:
        """From now on the box holds words or bars."""
        low, high, columns = self._span(box)
        for row in range(low, min(high + 1, len(self.taken))):
            self.taken[row] |= columns


def _eroded(free: Sequence[int], wide: int, high: int) -> list[int]:
    """Of each square, whether it and all squares up to `wide` right of it and `high` above it are free."""
    rows, have = list(free), 1
    while have < wide:
        step = min(have, wide - have)
        rows = [row & (row >> step) for row in rows]
        have += step
    have = 1
    while have < high:
        step = min(have, high - have)
        rows = [row & above for row, above in zip(rows, [*rows[step:], *[0] * step], strict=True)]
        have += step
    return rows


# ---- the first page

_HEAD: Final = 17.0  # mm
_GAP: Final = 5.0
_BLOCK: Final = 127.2  # mm: the shorter side of the smallest scale block
_LEAST_MAP: Final = 70.0  # mm of height


def _first_pages(
    sheet: Sheet, numbered: _Numbered, cautions: tuple[str, ...], printed: Sequence[Tile]
) -> list[Callable[[int], str]]:
    """What has to be known before printing the rest; further pages only where the cautions need them.

    Each is a function of the number of pages. On narrow paper title, words and map stand in a column at the right of
    the scale block, on wide paper above it.
    """
    paper, margin = numbered.cover, numbered.margin
    area = Box(margin, margin, paper.width - margin, paper.height - margin)
    wide = area.width >= 240
    under = f"{len(printed)} {'page' if len(printed) == 1 else 'pages'} of pattern on {numbered.paper.words}"
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
    warnings = (("Before you cut", True), *((caution, False) for caution in cautions)) if cautions else ()
    text, last = _instructions(numbered)
    number = 2  # of the first tile; a page more before the tiles makes other numbers, which seldom take a page more
    for _ in range(3):
        order = _order(numbered, number)
        body, height, further = _fitted(warnings, text, order, last, column, room, area)
        if number == 2 + len(further):
            break
        number = 2 + len(further)
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
    body += _page_map(sheet, numbered, map_area, 2 + len(further))

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

    told = draw_words(shortened(numbered.said, area.width, 8), (area.left, area.bottom), 8) if numbered.said else ""

    def page(content: str, number: int) -> Callable[[int], str]:
        return lambda count: in_layer(PAGE_GUIDE, head(number, count) + content + told)

    return [first, *(page(content, number) for number, content in enumerate(further, start=2))]


_Said = tuple[tuple[str, bool], ...]  # paragraphs: text, and whether it is a heading


def _fitted(
    warnings: _Said, text: _Said, order: _Said, last: _Said, column: Box, room: float, area: Box
) -> tuple[str, float, list[str]]:
    """The words of the first page, their height, and what stands on pages of its own because they had no room."""
    read_on = (("Order of taping", True), ("Row by row: the list is on page 2.", False))
    cut_on = (("Before you cut", True), ("Read page 2 first.", False))
    for before, rows, beyond, sizes in (
        (warnings, order, (), (11.0, 10.0, 9.5, 9.0, 8.5, 8.0)),
        (warnings, read_on if order else (), order, (10.0, 9.0, 8.5, 8.0, 7.5)),
        (cut_on if warnings else (), read_on if order else (), (*warnings, *order), (10.0, 9.0, 8.0, 7.5, 7.0)),
    ):
        for size in sizes:
            body, height = _set((*before, *text, *rows, *last), (column.left, column.top), column.width, size)
            if height <= room:
                return body, height, _set_on_pages(beyond, area, 10.0)
    return body, height, _set_on_pages(beyond, area, 10.0)


def _instructions(numbered: _Numbered) -> tuple[_Said, _Said]:
    """What comes before the order of taping, and what comes after it."""
    across, up = tile_pitch(numbered.paper, numbered.overlap, numbered.margin)
    large = numbered.paper.large
    dialog = "Print at 100 %, also called actual size. Switch off everything that fits, shrinks or scales."
    if large:
        dialog = (
            f"This page is for any printer. Have the others printed on {numbered.paper.words}, at 100 %, "
            "without fitting, shrinking or scaling."
        )
    if not numbered.paper.tray:
        dialog += " Load A4 or US Letter: at 100 % these pages come out the same on both."
    prove = (
        "Print this page first and measure the 100 mm square: 100 mm each way, 141.4 mm from corner to corner. "
        "If it is more than 0.5 mm off, do not cut: change the print settings."
    )
    bars = f"{numbered.bar:g} mm and {round(numbered.bar / INCH)} in"
    alone = f"Each {'sheet' if large else 'other page'} has bars of {bars}, across and up. Measure both ways."
    size = f"From cross to cross is {across:g} mm across and {up:g} mm up and down. "
    end = (size + ("Check it at the end." if numbered.joined else "Check it."), False)
    said = ((f"{numbered.said[:1].upper()}{numbered.said[1:]}.", False),) if numbered.said else ()
    printing = (("Print", True), (dialog, False), (prove, False), (alone, False))
    if not numbered.joined:
        alone_words = "No piece runs over the edge of a page: nothing has to be put together."
        return (*printing, ("Put together", True), (alone_words, False)), (end, *said)
    names = (
        "Every page has a name, large and pale: its place in the row, then the row, A at the top. The map shows where "
        "it goes. Crossed out places are blank and are not printed."
    )
    ready = "Cut along the pale line at the left and at the top of each page, where there is one."
    join = (
        "Lay each page on the strip at the right of the page before, so that the cut edge lies on the pale dotted "
        "line and the crosses meet. Tape."
    )
    if numbered.butt:
        ready = "Cut along every pale line, on both pages that meet there; or fold one of the two back."
        join = (
            "Lay the edges against each other, so that halves of diamonds become whole and lines run on. Tape over "
            "the joint. Nothing overlaps."
        )
    together = (("Put together", True), (names, False), (ready, False), (join, False))
    return (*printing, *together), (end, *said)


def _order(numbered: _Numbered, first: int) -> _Said:
    """Row by row, which pages make a strip, with their numbers; `first` is that of the first tile."""
    tiling = numbered.tiling
    if not numbered.joined:
        return ()
    lines: list[tuple[str, bool]] = [
        ("Order of taping", True),
        ("As the pages are numbered. Make each row, then join it under the row above.", False),
    ]
    number, hung = first, False
    rows: list[str] = []
    for row in range(tiling.rows):
        strips = tiling.strips(row)
        said = []
        for strip in strips:
            words = strip[0].name if len(strip) == 1 else f"{strip[0].name} to {strip[-1].name}"
            above = [tiling.at(row - 1, tile.column) for tile in strip]
            if hung and all(tile is None or tile.blank for tile in above):
                words += " (nothing above it)"
            said.append(words)
        count = sum(map(len, strips))
        hung = hung or count > 0
        if count:
            pages = f"page {number}" if count == 1 else f"pages {number} to {number + count - 1}"
            rows.append(f"Row {row_name(row)}, {pages}: {'; '.join(said)}")
        number += count
    return (*lines, *(("\n".join(rows[at : at + 10]), False) for at in range(0, len(rows), 10)))


def _set(paragraphs: Iterable[tuple[str, bool]], at: XY, width: float, size: float) -> tuple[str, float]:
    """Paragraphs (text, heading) below one another from `at`, the top left corner; and the height they took, mm.

    Rows of a paragraph begin new lines.
    """
    leading = size * 1.22 / PT
    x, y = at
    out: list[str] = []
    for text, heading in paragraphs:
        if heading and out:
            y -= leading * 0.45
        for line in [line for row in text.split("\n") for line in wrapped(row, width, size, heading)]:
            y -= leading
            out.append(draw_words(line, (x, y + leading * 0.25), size, bold=heading))
        y -= leading * 0.25
    return "".join(out), at[1] - y


def _set_on_pages(paragraphs: Sequence[tuple[str, bool]], area: Box, size: float) -> list[str]:
    """As many pages as the paragraphs need."""
    pages: list[str] = []
    room = area.height - _HEAD - 5
    held: list[tuple[str, bool]] = []
    for paragraph in paragraphs:
        if held and _set((*held, paragraph), (0, 0), area.width, size)[1] > room:
            pages.append(_set(held, (area.left, area.top - _HEAD), area.width, size)[0])
            held = []
        held.append(paragraph)
    return [*pages, _set(held, (area.left, area.top - _HEAD), area.width, size)[0]] if held else pages


def _page_map(sheet: Sheet, numbered: _Numbered, box: Box, number: int) -> str:
    """The grid of tiles with names and page numbers, from `number` on; outlines small, blank tiles crossed out."""
    tiling = numbered.tiling
    across, up = tile_pitch(numbered.paper, numbered.overlap, numbered.margin)
    scale = min(box.width / (tiling.columns * across), (box.height - 6) / (tiling.rows * up))
    left, bottom = box.left, box.top - 6 - tiling.rows * up * scale
    small = [
        [
            (left + x * scale, bottom + y * scale)
            for x, y in _thinned((*stroke.points, *stroke.points[: stroke.closed]), 0.3 / scale)
        ]
        for figure in sheet.figures
        for shown in [("", *figure.sizes()[-1:])]  # of sizes on each other the last: more would make grey bands
        for stroke in figure.strokes
        if stroke.role in (Role.CUT, Role.SCALE) and stroke.size in shown
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
        x, y = between((cell.left, cell.bottom), (cell.right, cell.top), 0.5)
        y += 0.0 if tile.blank else cell.height * 0.2
        names.append(
            draw_words(tile.name, (x, y - size * 0.36 / PT), size, bold=True, part=0.5, grey=0.7 if tile.blank else INK)
        )
        if not tile.blank:
            least = min(size * 0.8, cell.height * 0.3 * PT, cell.width * 0.8 / text_width("88", 1.0))
            names.append(draw_words(f"{number}", (x, cell.bottom + cell.height * 0.12), least, part=0.5))
            number += 1
    return (
        draw_words("Page map, with page numbers", (left, box.top - 4), 9, bold=True)
        + draw_lines(crossed, grey=PALE - 0.1, width=0.15)
        + draw_lines(cells, grey=0.7, width=0.15)
        + draw_lines(small, grey=LIGHT, width=0.25)
        + "".join(names)
    )


def _smaller(net: Box, left: float, bottom: float, scale: float) -> Box:
    return Box(left + net.left * scale, bottom + net.bottom * scale, left + net.right * scale, bottom + net.top * scale)


def _thinned(points: Sequence[XY], least: float) -> Sequence[XY]:
    """Without points nearer than `least` mm to the one before, the ends apart: for the small drawing only."""
    kept = [points[0]]
    x, y = points[0]
    for point in points[1:-1]:
        if abs(point[0] - x) + abs(point[1] - y) >= least:
            kept.append(point)
            x, y = point
    return (*kept, points[-1])


def _layers(*sheets: Sheet) -> dict[str, str]:
    """The groups that a document may have, by the name its content calls them: roles, marks, every size drawn."""
    figures = [figure for sheet in sheets for figure in sheet.figures]
    sizes = dict.fromkeys(size for figure in figures for size in (figure.size, *figure.sizes()) if size)
    return {resource(layer): layer for layer in _LAYERS} | {_size_resource(size): f"size {size}" for size in sizes}
