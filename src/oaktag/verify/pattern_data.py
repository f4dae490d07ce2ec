"""The DXF by our own reader (exchange/), which shares nothing with what wrote it; and its marks and words.

ezdxf and GDAL prove lines; this reader also knows what notches, drill holes, grain lines and texts of the standard
are, and holds them to pattern.json.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import accumulate
from math import atan2, degrees, remainder
from pathlib import Path
from typing import Final

from ..errors import DeviceError, InputError, InputErrors
from ..exchange.model import SCALE_PIECES, NotchData, PatternData, PieceData
from ..exchange.pattern_data import parse_pattern_data
from ..exchange.tokens import MOST_BYTES, read_bytes
from ..geometry.point import XY, distance
from ..values import dataclass
from .compare import Lines, Placement, fits_of, measured
from .drawing import Drawing, Named, Run, Runs, Square, UnreadableError, corners_of_square, slug
from .expected import Expected, pieces_named, sizes_by_word
from .marks import Marks, NotchMark
from .pattern_facts import Told, wrong_facts, wrong_points, wrong_style, wrong_tags, wrong_validation
from .rows import Row

READER: Final = "own reader"
LIMIT: Final = 0.05
"""mm, for lines and marks alike (contract: tolerances)."""
_HELD: Final = 200
"""Characters of a label that an annotation surely holds: a text of the format has 250 at most, its key among them."""
_ANGLE: Final = 0.2
"""Degrees that a notch may be turned: 0.014 mm at the end of one of 4 mm."""
_AGAIN: Final = "Write it again with oaktag make"


def read_own(path: Path) -> Drawing:
    """Each piece's cut line and stitch lines, in mm. Raises UnreadableError."""
    data = data_of(path)
    cut: dict[Named, Runs] = {}
    stitch: dict[Named, Runs] = {}
    squares: dict[float, tuple[Square, ...]] = {}
    for piece in data.pieces:
        outline = Run.of(piece.boundary, closed=True)
        if nominal := SCALE_PIECES.get(piece.block.upper()):
            if corners := corners_of_square(outline):
                squares[nominal] = (corners,)
            continue
        named = Named(piece.name, piece.size)
        if named in cut:
            raise UnreadableError(f"two blocks are both piece {named.name} in size {named.size or '(none)'}")
        cut[named] = (outline,)
        stitch[named] = tuple(Run.of(line.points, closed=line.closed) for line in piece.stitch_lines)
    return Drawing(cut, stitch, squares=squares)


def data_of(path: Path) -> PatternData:
    """All that the file holds. Raises UnreadableError."""
    try:
        return parse_pattern_data(read_bytes(path, MOST_BYTES, "a pattern-data file"), path.name)
    except (InputError, InputErrors, DeviceError) as error:
        first = str(error).splitlines()[0]
        raise UnreadableError(first.removeprefix(f"{path.name}:").strip().rstrip(".")) from None


def mark_rows(path: Path, pieces: Sequence[Expected], title: str = "", base_size: str = "") -> Iterator[Row]:
    """A row for what is said of the style; for each piece of a DXF rows for what is said of it, for the kinds of its
    points, its rule tags and validation curves, its notches, drill holes, grain line, fold line, inner lines and words.

    In a nest, notches and words are looked for in the base size alone, as the standard has them there. Nothing for a
    file that cannot be read, nor for pieces that are not in it: that is told elsewhere.
    """
    try:
        data = data_of(path)
    except UnreadableError:
        return
    several = len(data.sizes) > 1
    named = sizes_by_word(data.sizes, tuple(dict.fromkeys(piece.size for piece in pieces)))
    sample = next((word for word, size in named.items() if size == base_size), "") if several else "".join(data.sizes)
    with_table = any(piece.rule_tags for piece in data.pieces)
    wrong = next(wrong_style(data, Told(title, sample, None if with_table else False)), "")
    said = f"{wrong}. {_AGAIN}." if wrong else "title, sizes and units as in pattern.json"
    yield Row(path.name, READER, "style", None if wrong else 0.0, LIMIT, not wrong, said)
    for piece in data.pieces:
        of_size = Named(piece.name, named.get(piece.size, piece.size))
        found = () if piece.proves_scale else pieces_named(of_size, pieces, short=True)
        if len(found) == 1:
            base = not several or piece.size.casefold() == sample.casefold()
            compared = _Compared(path.name, found[0], piece, found[0].marks)
            yield from compared.facts(base, with_table=with_table)
            yield from compared.rows(base)


@dataclass(frozen=True, slots=True)
class _Compared:
    """One piece of the file and what it should hold."""

    file: str
    expected: Expected
    piece: PieceData
    meant: Marks

    def facts(self, base: bool, *, with_table: bool) -> Iterator[Row]:
        """What the standard has besides lines; points and tags stand in the base size alone."""
        piece = self.piece
        told = [("facts", wrong_facts(piece, self.meant, base=base))]
        told += [("turn and curve points", wrong_points(piece))] if base else []
        told += [("rule tags", wrong_tags(piece))] if with_table else []
        told += [("validation curves", wrong_validation(piece))] if piece.validation else []
        for what, wrong in told:
            yield self.row(what, 0.0, next(wrong, ""))

    def rows(self, base: bool) -> Iterator[Row]:
        piece, meant = self.piece, self.meant
        drawn = Lines((Run.of(piece.boundary, closed=True),))
        fits = fits_of(drawn, Lines((self.expected.shapes[0].cut,)), turns=(0,))
        if not fits:
            return
        place = fits[0].placement
        if (meant.notches or piece.notches) and base:
            yield self.notches(place)
        if meant.drill_holes or piece.drill_holes:
            yield self.spots("drill holes", meant.drill_holes, [hole.point for hole in piece.drill_holes], place)
        if meant.grain_line:
            yield self.ends("grain line", meant.grain_line, piece.grain_lines, place)
        if meant.fold_line or piece.mirror_line:
            yield self.ends("fold line", meant.fold_line, (piece.mirror_line,) if piece.mirror_line else (), place)
        if meant.inner or piece.internal_lines or piece.cutouts:
            yield self.inner(place)
        if meant.words and self.expected.of_set:
            yield self.words_of_set(base)
        elif meant.words and base:
            yield self.words()

    def row(self, what: str, worst: float | None, wrong: str = "") -> Row:
        """`wrong` is what else is the matter, "" if nothing."""
        passed = worst is not None and worst <= LIMIT and not wrong
        said = "within pattern.json" if worst is None else f"within {worst:.3f} mm of pattern.json"
        if not passed:
            said = f"{wrong or f'{worst:.3f} mm off, limit {LIMIT:g} mm'}. {_AGAIN}."
        return Row(self.file, READER, f"{self.expected.label}: {what}", worst, LIMIT, passed, said)

    def spots(self, what: str, meant: Sequence[XY], found: Sequence[XY], place: Placement) -> Row:
        if len(meant) != len(found):
            return self.row(what, None, f"{len(found)} {what} are drawn, {len(meant)} are meant")
        pairs = _paired([(x + place.dx, y + place.dy) for x, y in meant], found)
        return self.row(what, max((far for far, _ in pairs), default=0.0))

    def notches(self, place: Placement) -> Row:
        meant, found = self.meant.notches, self.piece.notches
        if len(meant) != len(found):
            return self.row("notches", None, f"{len(found)} notches are drawn, {len(meant)} are meant")
        pairs = _paired([(n.point[0] + place.dx, n.point[1] + place.dy) for n in meant], [n.point for n in found])
        worst = 0.0
        for notch, (far, i) in zip(meant, pairs, strict=True):
            drawn = found[i]
            worst = max(worst, far, drawn.off, abs(drawn.depth - notch.depth), abs(drawn.width - notch.width))
            if drawn.kind != notch.kind.removesuffix(" outwards"):
                return self.row("notches", worst, f"a notch is drawn as {drawn.kind}, {notch.kind} is meant")
            if wrong := _turned(notch, drawn):
                return self.row("notches", worst, wrong)
        return self.row("notches", worst)

    def ends(self, what: str, meant: Sequence[XY], found: Sequence[Sequence[XY]], place: Placement) -> Row:
        """A line by its two ends, the first of them first."""
        if len(found) != 1 or not meant:
            return self.row(
                what, None, f"{len(found)} lines are drawn as {what}, {'one' if meant else 'none'} is meant"
            )
        placed = [(x + place.dx, y + place.dy) for x, y in meant]
        return self.row(what, max(distance(a, b) for a, b in zip(placed, found[0], strict=True)))

    def inner(self, place: Placement) -> Row:
        drawn = Lines(
            Run.of(line.points, closed=line.closed) for line in (*self.piece.internal_lines, *self.piece.cutouts)
        )
        wanted = Lines(self.meant.inner)
        if drawn.empty or wanted.empty:
            return self.row("inner lines", None, "none is drawn" if drawn.empty else "some are drawn, none is meant")
        return self.row("inner lines", measured(drawn, wanted, place).worst)

    def words(self) -> Row:
        """Nothing is measured: 0 where all are there."""
        written = [_letters(text.words) for text in self.piece.annotations]
        missing = [line for line in self.meant.words if not any(_in_order(_letters(line), text) for text in written)]
        wrong = f"the file does not say {missing[0]!r}" if missing else ""
        return self.row("words", 0.0, wrong)

    def words_of_set(self, base: bool) -> Row:
        """In every size its name must be drawn; the base has the label in its annotation too, as far as that goes."""
        drawn = {text.words.split()[-1].casefold() for text in self.piece.annotations if text.words.split()}
        wrong = "" if self.piece.size.casefold() in drawn else f"no text says that this is size {self.piece.size}"
        if base:
            written = [_letters(text) for text in (self.piece.annotation, *(t.words for t in self.piece.annotations))]
            ends = accumulate(len(line) + 2 for line in self.meant.words)
            held = [line for line, end in zip(self.meant.words, ends, strict=True) if end <= _HELD]
            missing = [line for line in held if not any(_in_order(_letters(line), text) for text in written)]
            wrong = f"the file does not say {missing[0]!r}" if missing else wrong
        return self.row("words", 0.0, wrong)


def _turned(notch: NotchMark, drawn: NotchData) -> str:
    """What is wrong with a notch's angle: it is cut inwards from the cut line, but for a V that stands out."""
    to = 1.0 if notch.kind.endswith(" outwards") else -1.0
    meant = degrees(atan2(to * notch.out[1], to * notch.out[0])) % 360.0
    if drawn.angle_deg is None or abs(remainder(drawn.angle_deg - meant, 360.0)) <= _ANGLE:
        return ""
    x, y = notch.point
    return f"the notch at ({x:.1f}, {y:.1f}) of pattern.json is turned to {drawn.angle_deg:.1f}°, {meant:.1f}° is meant"


def _paired(meant: Sequence[XY], found: Sequence[XY]) -> list[tuple[float, int]]:
    """For each point that is meant the nearest found that no other has, and how far it is."""
    left = set(range(len(found)))
    pairs: list[tuple[float, int]] = []
    for point in meant:
        near = min(left, key=lambda i: distance(found[i], point))
        left.remove(near)
        pairs.append((distance(found[near], point), near))
    return pairs


def _letters(text: str) -> str:
    """Letters and figures in slug's spelling: how words of a file of ASCII are compared with ours."""
    return slug(text).replace("-", "")


def _in_order(meant: str, written: str) -> bool:
    """Whether all that is meant is written, in order: signs may be spelt out between (`×` as x, `½` as 1/2)."""
    rest = iter(written)
    return all(letter in rest for letter in meant)
