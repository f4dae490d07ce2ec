"""What must be placed on a cloth: every piece as often as it is cut, as its way of spreading asks for it."""

from __future__ import annotations

from collections.abc import Mapping
from math import atan2, degrees
from typing import Final

from ..errors import InputError
from ..geometry.affine import Move
from ..geometry.point import XY, Point
from ..geometry.polygon import Box, area, distance_to_line
from ..model.nest import Nest
from ..model.pattern import MarkedPiece, Pattern
from ..values import dataclass, replace
from .cloth import Cloth
from .matching import MatchPoint, SeamSide, match_points

_ALIKE: Final = 0.5
"""A piece whose mirror image lies this near to it is its own mirror image, mm."""
_ON_FOLD: Final = 0.01


@dataclass(frozen=True, slots=True)
class Variant:
    """How a piece may be put down: mirrored across (x to -x) first, then turned counter-clockwise, degrees."""

    mirrored: bool
    turn: float

    def move(self) -> Move:
        """About the origin."""
        return Move(xx=-1.0 if self.mirrored else 1.0).then(Move.turned(self.turn))

    def side_of(self, match: MatchPoint) -> SeamSide:
        """Which of two seams a point is at once the piece lies so."""
        return match.seam, -match.side if self.mirrored else match.side

    @property
    def on_left_fold(self) -> bool:
        """Whether a half that lies so has its fold at its left; else it is at its right, as on a tube's other fold."""
        return self.mirrored == (self.turn == 180.0)


@dataclass(frozen=True, slots=True)
class LayPiece:
    """One thing to place. `outline` is its cut line in its home place: grain upright, mm, counter-clockwise.

    `home` brings the piece's own coordinates there (mirrored for the second of a pair). On a fold the fold is x = 0
    and the piece lies right of it. `matches`: points in the home place that must meet the repeat.
    """

    name: str
    size: str
    garment: int
    copy: int
    outline: tuple[XY, ...]
    home: Move
    variants: tuple[Variant, ...]
    on_fold: bool = False
    unfolded: bool = False
    matches: tuple[MatchPoint, ...] = ()
    quantity: int = 1
    """How many of it a garment has, and whether every second one is the mirror image; as the pattern says."""
    pair: bool = False
    one_way: bool = False

    @property
    def key(self) -> str:
        """`front, size 12, garment 1, 2`: tells it from every other."""
        size = f", size {self.size}" if self.size else ""
        return f"{self.name}{size}, garment {self.garment}, {self.copy}"

    @property
    def garment_key(self) -> tuple[str, int]:
        return self.size, self.garment

    @property
    def area(self) -> float:
        """mm², of one layer."""
        return abs(area(self.outline))

    def placed(self, variant: Variant, at: XY) -> tuple[XY, ...]:
        """The outline where it is put down."""
        return variant.move().then(Move.by(*at)).points(self.outline)


@dataclass(frozen=True, slots=True)
class Pieces:
    """What goes on the cloth as it is spread, and what is cut from a stretch that is opened out, behind it."""

    spread: tuple[LayPiece, ...]
    opened: tuple[LayPiece, ...] = ()

    @property
    def count(self) -> int:
        return len(self.spread) + len(self.opened)


def materials_of(nest: Nest) -> tuple[str, ...]:
    """The kinds of cloth, shell first."""
    from ..finish.cut_list import cut_list

    return tuple(cloth.material for cloth in cut_list(nest.base_pattern))


def pieces_for(
    nest: Nest,
    material: str,
    cloth: Cloth,
    quantities: Mapping[str, int],
    chosen: Mapping[str, str] | None = None,
) -> Pieces:
    """Every piece of that material for so many garments of each size.

    On open cloth a pair is a piece and its mirror image, and what is cut on a fold is whole. On a fold (or a tube) one
    place cuts two layers: a pair is placed once, and half pieces lie on the fold. A single piece that is not its own
    mirror image is cut from a stretch that is opened out. Raises InputError for a size that the job does not make.
    """
    spread: list[LayPiece] = []
    opened: list[LayPiece] = []
    own = chosen if material == materials_of(nest)[0] else None  # its seams are named for the first kind of cloth
    for size, wanted in quantities.items():
        if size not in nest.sizes:
            raise InputError(f"size {size}: this job does not make it", expected=f"one of {', '.join(nest.sizes)}")
        pattern = nest.of(size)
        shown = size if len(nest.sizes) > 1 else ""
        for piece in pattern.pieces:
            if piece.cut.piece.material != material:
                continue
            on, off = _copies(pattern, piece, shown, cloth, own)
            for garment in range(1, wanted + 1):
                spread += [replace(one, garment=garment) for one in on]
                opened += [replace(one, garment=garment) for one in off]
    return Pieces(tuple(spread), tuple(opened))


def _copies(
    pattern: Pattern, piece: MarkedPiece, size: str, cloth: Cloth, chosen: Mapping[str, str] | None
) -> tuple[list[LayPiece], list[LayPiece]]:
    """What one garment takes of it: on the cloth as it is spread, and of a stretch that is opened out."""
    drafted = piece.cut.piece
    upright = _upright(piece)
    matches = match_points(pattern, piece, chosen) if cloth.matched else ()

    def one(copy: int, home: Move, *, on_fold: bool = False, whole: bool = False, layers: int = 1) -> LayPiece:
        ring = home.points(piece.cut.cut_line)
        if area(ring) < 0:
            ring = ring[::-1]
        if whole:
            ring = unfolded(ring)
        flips = home.xx * home.yy - home.xy * home.yx < 0
        at = [replace(m, at=home.point(m.at), side=-m.side if flips else m.side) for m in matches]
        if whole:
            at += [replace(m, at=Point(-m.at.x, m.at.y), side=-m.side) for m in at]
        variants = variants_of(cloth, drafted.one_way, on_fold=on_fold, layers=layers)
        return LayPiece(
            piece.name, size, 1, copy, ring, home, variants, on_fold, whole, tuple(at),
            drafted.quantity, drafted.mirrored_pair, drafted.one_way,
        )  # fmt: skip

    mirror = Move(xx=-1.0)
    if drafted.on_fold:
        home = _fold_home(piece, upright)
        folded = cloth.layers == 2
        return [
            one(copy, home, on_fold=folded, whole=not folded, layers=cloth.layers)
            for copy in range(1, drafted.quantity + 1)
        ], []
    if cloth.layers == 1:
        return [
            one(copy, upright.then(mirror) if drafted.mirrored_pair and copy % 2 == 0 else upright)
            for copy in range(1, drafted.quantity + 1)
        ], []
    pairs, singles = divmod(drafted.quantity, 2)
    if not drafted.mirrored_pair and not own_mirror_image(upright.points(piece.cut.cut_line)):
        pairs, singles = 0, drafted.quantity
    on = [one(copy, upright, layers=2) for copy in range(1, pairs + 1)]
    return on, [one(pairs + copy, upright) for copy in range(1, singles + 1)]


def variants_of(cloth: Cloth, piece_one_way: bool, *, on_fold: bool, layers: int) -> tuple[Variant, ...]:
    """The ways in which a piece may lie on a cloth, by the nap of both, by the fold, and by the layers cut at once."""
    one_way = cloth.one_way or piece_one_way
    if on_fold:
        # upside down on the same fold is mirrored and turned; a half piece is one half of its own mirror image
        found = [Variant(False, 0.0)] + ([] if one_way else [Variant(True, 180.0)])
        if cloth.spread == "tubular":  # on the other fold
            found += [Variant(True, 0.0)] + ([] if one_way else [Variant(False, 180.0)])
        return tuple(found)
    off = cloth.tolerance_deg
    turns = [0.0, *((off, -off) if off else ())]
    turns += [] if one_way else [180.0, *((180.0 + off, 180.0 - off) if off else ())]
    mirrors = (False, True) if layers == 2 else (False,)
    return tuple(Variant(mirrored, turn) for mirrored in mirrors for turn in turns)


def _upright(piece: MarkedPiece) -> Move:
    """Brings the grain line upright: the drafted one, since the drawn one may be shortened or moved."""
    a, b = piece.cut.piece.grain
    angle = degrees(atan2(b[1] - a[1], b[0] - a[0]))
    turn = 90.0 - angle
    return Move.turned(turn) if abs(turn) > 1e-9 else Move()


def _fold_home(piece: MarkedPiece, upright: Move) -> Move:
    """With the fold on x = 0 and the piece right of it. Raises InputError for a fold that is not along the grain."""
    line = piece.fold_line or piece.grain_line
    a, b = (upright.point(p) for p in line)
    if abs(a.x - b.x) > 0.001 * max(1.0, abs(a.y - b.y)):
        raise InputError(
            f"{piece.name} is cut on a fold that does not run along its grain",
            expected="a fold along the grain, since cloth is folded lengthwise",
        )
    to_fold = upright.then(Move.by(-a.x, 0.0))
    box = Box.round(to_fold.points(piece.cut.cut_line))
    return to_fold if box.right > -box.left else to_fold.then(Move(xx=-1.0))


def unfolded(ring: tuple[XY, ...]) -> tuple[XY, ...]:
    """The whole of a half whose fold lies on x = 0 and that lies right of it; counter-clockwise, mm."""
    count = len(ring)
    off = [i for i in range(count) if abs(ring[i][0]) > _ON_FOLD]
    starts = [i for i in off if abs(ring[i - 1][0]) <= _ON_FOLD]
    if not starts:
        raise InputError("a piece that is cut on the fold does not reach its fold", expected="its edge on the fold")
    # the run that reaches furthest along the fold is the outline, others are a neck in it; from there on to its end
    start = max(starts, key=lambda i: abs(ring[i - 1][1] - ring[(i + _run(ring, i)) % count][1]))
    run = [ring[(start + k) % count] for k in range(_run(ring, start))]
    first, last = ring[start - 1], ring[(start + len(run)) % count]
    half = [(0.0, first[1]), *run, (0.0, last[1])]
    return (*half, *((-x, y) for x, y in reversed(run)))


def _run(ring: tuple[XY, ...], start: int) -> int:
    n = 0
    while n < len(ring) and abs(ring[(start + n) % len(ring)][0]) > _ON_FOLD:
        n += 1
    return n


def own_mirror_image(ring: tuple[XY, ...]) -> bool:
    """Whether a piece, grain upright, may be cut either side up."""
    box = Box.round(ring)
    middle = (box.left + box.right) / 2
    closed = (*ring, ring[0])
    return all(distance_to_line((2 * middle - x, y), closed) < _ALIKE for x, y in ring)
