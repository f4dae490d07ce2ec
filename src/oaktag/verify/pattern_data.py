"""The DXF by our own reader (exchange/), which shares nothing with what wrote it; and its marks and words.

ezdxf and GDAL prove lines; this reader also knows what notches, drill holes, grain lines and texts of the standard
are, and holds them to pattern.json.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate
from pathlib import Path
from typing import Final

from ..errors import DeviceError, InputError, InputErrors
from ..exchange.model import SCALE_PIECES, PatternData, PieceData
from ..exchange.pattern_data import parse_pattern_data
from ..exchange.tokens import MOST_BYTES, read_bytes
from ..geometry.point import XY, distance
from .compare import Lines, Placement, fits_of, measured
from .drawing import Drawing, Named, Run, Runs, Square, UnreadableError, corners_of_square, slug
from .expected import Expected, pieces_named, sizes_by_word
from .marks import Marks
from .rows import Row

READER: Final = "own reader"
LIMIT: Final = 0.05
"""mm, for lines and marks alike (contract: tolerances)."""
_HELD: Final = 200
"""Characters of a label that an annotation surely holds: a text of the format has 250 at most, its key among them."""
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


def mark_rows(path: Path, pieces: Sequence[Expected]) -> Iterator[Row]:
    """A row for the notches, drill holes, grain line, fold line, inner lines and words of each piece in a DXF.

    Only what pattern.json has is looked for; in a nest, notches and words of the base size alone, as the standard has
    them there. Nothing for a file that cannot be read, nor for pieces that are not in it: that is told elsewhere.
    """
    try:
        data = data_of(path)
    except UnreadableError:
        return
    several = len(data.sizes) > 1
    named = sizes_by_word(data.sizes, tuple(dict.fromkeys(piece.size for piece in pieces)))
    for piece in data.pieces:
        of_size = Named(piece.name, named.get(piece.size, piece.size))
        found = () if piece.proves_scale else pieces_named(of_size, pieces, short=True)
        if len(found) == 1:
            sample = named.get(data.style.sample_size, data.style.sample_size)
            base = not several or of_size.size == sample
            yield from _Compared(path.name, found[0], piece, found[0].marks).rows(base)


@dataclass(frozen=True, slots=True)
class _Compared:
    """One piece of the file and what it should hold."""

    file: str
    expected: Expected
    piece: PieceData
    meant: Marks

    def rows(self, base: bool) -> Iterator[Row]:
        piece, meant = self.piece, self.meant
        drawn = Lines((Run.of(piece.boundary, closed=True),))
        fits = fits_of(drawn, Lines((self.expected.shapes[0].cut,)), turns=(0,))
        if not fits:
            return
        place = fits[0].placement
        if meant.notches and base:
            yield self.notches(place)
        if meant.drill_holes:
            yield self.spots("drill holes", meant.drill_holes, [hole.point for hole in piece.drill_holes], place)
        if meant.grain_line:
            yield self.ends("grain line", meant.grain_line, piece.grain_lines, place)
        if meant.fold_line:
            yield self.ends("fold line", meant.fold_line, (piece.mirror_line,) if piece.mirror_line else (), place)
        if meant.inner:
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
        return self.row(what, max(far for far, _ in pairs))

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
        return self.row("notches", worst)

    def ends(self, what: str, meant: Sequence[XY], found: Sequence[Sequence[XY]], place: Placement) -> Row:
        """A line by its two ends, the first of them first."""
        if len(found) != 1:
            return self.row(what, None, f"{len(found)} lines are drawn as {what}, one is meant")
        placed = [(x + place.dx, y + place.dy) for x, y in meant]
        return self.row(what, max(distance(a, b) for a, b in zip(placed, found[0], strict=True)))

    def inner(self, place: Placement) -> Row:
        drawn = Lines(
            Run.of(line.points, closed=line.closed) for line in (*self.piece.internal_lines, *self.piece.cutouts)
        )
        wanted = Lines(self.meant.inner)
        if drawn.empty or wanted.empty:
            return self.row("inner lines", None, "none is drawn")
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
