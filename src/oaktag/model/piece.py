"""A piece as it is drafted: named edges of a closed stitch line, and the marks that are meant."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from enum import Enum
from typing import Final, Literal, TypeAlias

from ..geometry.curve import Line
from ..geometry.path import Path, path_length
from ..geometry.point import XY, Point, distance
from ..values import dataclass, field
from .ref import Place, Ref, refs


class EdgeKind(Enum):
    """What is done at an edge."""

    SEAM = "seam"
    FOLD = "fold"
    HEM = "hem"
    OPENING = "opening"


Side: TypeAlias = Literal["start", "end", ""]
"""An end of an edge; neither, where it does not matter."""
TakeKind: TypeAlias = Literal["dart", "pleat", "tuck", "gathers"]


@dataclass(frozen=True, slots=True)
class Take:
    """Cloth folded or drawn away along an edge when it is sewn, from `start` to `end` mm along the edge as drawn.

    `tip` is where the folds run to, for a dart its point; `pressed`, to which end of the edge the fold is laid.
    """

    start: float
    end: float
    kind: TakeKind = "dart"
    tip: Point | None = None
    pressed: Side = ""


@dataclass(frozen=True, slots=True)
class Origin:
    """A stretch of an edge that was, mm along it as it was first drawn; `turned`: walked from its end to its start.

    Cloth that was put in has no length there: it starts where it ends.
    """

    edge: Ref
    start: float
    end: float
    turned: bool = False


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of an edge, `long` mm as drawn, and where it lay in every edge that it has been part of, oldest first.

    An edge's spans, laid end to end, are the edge.
    """

    long: float
    of: tuple[Origin, ...]


@dataclass(frozen=True, slots=True)
class Edge:
    """A named run of the stitch line between two corners, in the outline's direction (counter-clockwise).

    `takes` are the darts, pleats and gathers in it; `spans` tell where it comes from: none, it is as first drawn.
    """

    name: str
    kind: EdgeKind
    curves: Path
    takes: tuple[Take, ...] = ()
    spans: tuple[Span, ...] = ()

    @classmethod
    def straight(cls, name: str, a: Point, b: Point, kind: EdgeKind = EdgeKind.SEAM) -> Edge:
        """One straight run."""
        return cls(name, kind, (Line(a, b),))

    @property
    def start(self) -> Point:
        return self.curves[0].start

    @property
    def end(self) -> Point:
        return self.curves[-1].end

    def length(self) -> float:
        """Length on the exact curves, mm."""
        return path_length(self.curves)

    def sewn(self, far: float) -> float:
        """How far along the sewn edge a place `far` mm along the drawn one lies: what is taken away does not count."""
        return far - sum(max(0.0, min(far, take.end) - take.start) for take in self.takes)

    def sewn_length(self) -> float:
        """Length with its darts closed, its pleats laid and its gathers drawn in, mm."""
        return self.sewn(self.length())


@dataclass(frozen=True, slots=True)
class Dart:
    """A dart: inside a piece, double-ended, or open at an edge.

    Double-ended: upper point, outer leg point, lower point, inner leg point. Open: leg end, point, leg end.
    `intake` is the width taken out at the two leg points, mm.
    """

    name: str
    points: tuple[Point, ...]
    intake: float

    @property
    def is_open(self) -> bool:
        return len(self.points) == 3

    def legs(self) -> tuple[tuple[float, float], ...]:
        """The lengths that are sewn to each other, in pairs, mm."""
        if self.is_open:
            first, tip, second = self.points
            return ((distance(first, tip), distance(second, tip)),)
        upper, outer, lower, inner = self.points
        return (
            (distance(upper, outer), distance(upper, inner)),
            (distance(lower, outer), distance(lower, inner)),
        )

    def width_at(self, y: float) -> float:
        """What an upright dart takes out at the level y, mm (0 above and below it)."""
        if self.is_open:
            first, tip, second = self.points
            level = (first.y + second.y) / 2
            part = (y - tip.y) / (level - tip.y) if abs(level - tip.y) > 1e-9 else 0.0
            return self.intake * part if abs(first.y - second.y) < abs(first.x - second.x) and 0 <= part <= 1 else 0.0
        upper, _, lower, _ = self.points
        level = (self.points[1].y + self.points[3].y) / 2
        if y >= upper.y or y <= lower.y:
            return 0.0
        span = upper.y - level if y > level else level - lower.y
        return self.intake * (1.0 - abs(y - level) / span)


class NotchKind(Enum):
    """How a notch is cut; the last four are those of the pattern-data standard (ASTM D6673-10, layers 80 to 83)."""

    SLIT = "slit"
    V = "V"
    V_OUT = "V outwards"
    T = "T"
    CASTLE = "castle"
    CHECK = "check"
    U = "U"


DOUBLE_APART: Final = 8.0
"""Between the two slits of a double notch, mm (6 to 10; common practice, no source)."""


@dataclass(frozen=True, slots=True)
class NotchPlace:
    """Where a notch is meant: `at` mm along the edge from its start, on the stitch line. No kind, no depth: by rule.

    `out`: its place on the cut line and its direction outwards, where the cut line was drawn with its notches.
    """

    edge: str
    at: float
    count: int = 1
    name: str = ""
    kind: NotchKind | None = None
    depth: float = 0.0
    width: float = 0.0
    out: tuple[Point, Point] | None = None


def names_its_place(name: str) -> bool:
    """Whether a notch tells of one place alone, so that it may lie at a corner: hem fold, vent top, zip end, dart.

    >>> names_its_place("hem fold"), names_its_place("bust dart"), names_its_place("hip")
    (True, True, False)
    """
    return piece_words(name).rpartition(" ")[2] in ("fold", "top", "end", "dart")


class LineKind(Enum):
    """What a line inside a piece is for."""

    PLAIN = "plain"
    FOLD = "fold"
    PLEAT = "pleat"
    ZIP = "zip"
    PLACEMENT = "placement"
    BALANCE = "balance"
    CUTOUT = "cutout"
    """A closed line round cloth that is cut out of the piece: its first point is its last."""


@dataclass(frozen=True, slots=True)
class InternalLine:
    """A line drawn inside a piece that is not cut: waist line, vent fold, zip."""

    name: str
    points: tuple[Point, ...]
    kind: LineKind = LineKind.PLAIN


@dataclass(frozen=True, slots=True)
class LevelLine:
    """A level of the body as a line across a piece: from side to side of it, or beyond; it rides with every move.

    `depth` is how far below the draft's top line the level lies on the body, mm, wherever the piece is drawn. Without a
    name it is none to draw or notch: it only tells how deep the piece lies there, as on either side of an open dart.
    """

    name: str
    depth: float
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Cut:
    """How a piece is cut: as it is, on the fold, as pairs of which one is turned over, or for one side of the wearer
    alone; how many; of which cloth."""

    side: Literal["whole", "fold", "pair", "left", "right"] = "whole"
    count: int = 0
    """How many pieces of cloth: unless told, both of a pair, one of any other."""
    cloth: str = "shell"
    all_round: bool = False
    """Whether all that are cut lie one after the other round the wearer, as alike gores do; else they are layers."""

    def __post_init__(self) -> None:
        if not self.count:
            object.__setattr__(self, "count", 2 if self.side == "pair" else 1)

    @property
    def around(self) -> int:
        """How often the piece as drawn comes round the wearer: a half on the fold, or one of a pair, twice; of eight
        gores on the fold each half sixteen times.

        >>> Cut("pair").around, Cut("fold", 8, all_round=True).around
        (2, 16)
        """
        halves = 2 if self.side == "fold" else 1
        return self.count * halves if self.all_round else 2 if self.side == "pair" else halves


def half_cut(on_fold: bool, cloth: str = "shell") -> Cut:
    """Of a piece that is half of what the wearer sees: once on the fold, else one of either side."""
    return Cut("fold", 1, cloth) if on_fold else Cut("pair", 2, cloth)


@dataclass(frozen=True, slots=True)
class Piece:
    """One shape to cut, as drafted. Halves have their centre line on x = 0; y is up, the top line is y = 0."""

    name: str
    edges: tuple[Edge, ...]
    points: Mapping[str, Point]
    grain: tuple[Point, Point]
    to_cut: Cut = field(default_factory=Cut)
    darts: tuple[Dart, ...] = ()
    notches: tuple[NotchPlace, ...] = ()
    internal_lines: tuple[InternalLine, ...] = ()
    notes: tuple[str, ...] = field(default=())
    one_way: bool = False
    """Whether all pieces must lie the same way up on the cloth (nap, print): the grain line then has one arrow."""
    gives: bool = False
    """Whether its cloth stretches, as knits do: allowances then go along with a bend, and are not clipped there."""
    holes: tuple[str, ...] = ()
    """The points that are drilled, beside those of darts."""
    cut_line: tuple[XY, ...] = ()
    """The cut line, counter-clockwise, where it was drawn and stays as it is; empty: it is made from the allowances."""
    grain_stays: bool = False
    """Whether the grain line stays where it was drawn, if that is inside; else the marks find a place for it."""
    label: str = ""
    """What it is called where it comes from, if that is more than its name: `Pièce première`."""
    worn: str = ""
    """What it goes round as it is worn: "body", "leg", "arm"; empty: nothing (a facing, a lining, a pocket)."""
    levels: tuple[LevelLine, ...] = ()
    sheets: tuple[str, ...] = ()
    """The sheets of worked steps by which it was drawn, if they are not called as it is: see `sheets_of`."""

    @property
    def material(self) -> str:
        return self.to_cut.cloth

    @property
    def quantity(self) -> int:
        return self.to_cut.count

    @property
    def on_fold(self) -> bool:
        return self.to_cut.side == "fold"

    @property
    def mirrored_pair(self) -> bool:
        return self.to_cut.side == "pair"

    def edge(self, name: str) -> Edge:
        """The edge of that name; KeyError if there is none."""
        for edge in self.edges:
            if edge.name == name:
                return edge
        raise KeyError(f"{self.name} has no edge {name!r}")

    def beside(self, name: str) -> tuple[str, str]:
        """The names of the edges before and after that edge."""
        names = [edge.name for edge in self.edges]
        at = names.index(name)
        return names[at - 1], names[(at + 1) % len(names)]


def piece_words(name: str) -> str:
    """A name of a piece, an edge or a point as it is read: `facing_front` -> `facing front`."""
    return name.replace("_", " ")


def sheets_of(piece: Piece) -> tuple[str, ...]:
    """The names under which the draft tells the steps of a piece."""
    return piece.sheets or (piece.name,)


def title_of(piece: Piece) -> str:
    """What a piece is called in words: as where it comes from, else its name."""
    return piece.label or piece_words(piece.name)


def cut_words(piece: Piece) -> str:
    """How many to cut, of what: `cut 1 on the fold, shell`."""
    if piece.on_fold:
        return f"cut {piece.quantity} on the fold, {piece.material}"
    if piece.mirrored_pair:
        return f"cut {piece.quantity} (a pair), {piece.material}"
    return f"cut {piece.quantity}, {piece.material}"


How: TypeAlias = Literal["plain", "eased", "gathered", "stretched", "faced", "lapped", "onto a line"]
"""How a seam is sewn. Plain: edge to edge. Eased: side a longer, its ease between the marks that meet. Gathered: side a
longer by much. Stretched: side a shorter (elastic, a rib). Faced: side a turned to the inside. Lapped: side a laid over
side b. Onto a line: side a on a line inside a piece."""


@dataclass(frozen=True, slots=True)
class Seam:
    """Edges sewn to each other; `ease` is how much longer side a is meant to be, within least and most (mm).

    Lengths are told as drawn where all that is sewn comes round the wearer equally often (halves to halves), else all
    round the wearer (a whole band to halves). `free` is the length of side b that this seam leaves alone (below a cap
    sleeve, say). `meets` are places that meet besides the ends, one of either side; of a single one the place that it
    meets follows from its sewn distance. `width` is the allowance of both sides, mm; None: as the garment has it.
    Of edges of one name front comes before back. The seams of a draft are listed in the order in which they are sewn.
    """

    name: str
    a: tuple[Ref, ...]
    b: tuple[Ref, ...]
    ease: float = 0.0
    least: float = -0.5
    most: float = 0.5
    free: float = 0.0
    how: How = "plain"
    meets: tuple[tuple[Place, ...], ...] = ()
    width: float | None = None

    @property
    def to_itself(self) -> bool:
        """Whether the same edges are sewn together: to the wearer's other side, or to another layer."""
        return tuple(ref._replace(side="") for ref in self.a) == tuple(ref._replace(side="") for ref in self.b)


def sew(
    name: str,
    *a: str,
    to: str | tuple[str, ...],
    how: How | None = None,
    ease: float = 0.0,
    within: float = 0.5,
    free: float = 0.0,
    meets: Sequence[str | tuple[str, str]] = (),
    width: float | None = None,
) -> Seam:
    """The one way to write a seam: `sew("waist seam", "band.seam", to=("front.waist", "back.waist"), width=10)`; mm.

    `ease` is meant, to `within`; edges and places are spelled as in ref.py. Unless told, a seam is plain; with ease it
    is eased, and where side a is the shorter one, stretched. Raises ValueError for a seam that cannot be meant.

    >>> sew("shoulder seam", "front.shoulder", to="back.shoulder", ease=-5).how
    'stretched'
    """
    run = (to,) if isinstance(to, str) else to
    meant: How = how or ("eased" if ease > 0 else "stretched" if ease < 0 else "plain")
    if (
        (meant == "plain" and ease)
        or (meant in ("eased", "gathered") and ease < 0)
        or (meant == "stretched" and ease > 0)
    ):
        raise ValueError(f"{name}: {meant}, so side a cannot be {abs(ease):g} mm {'longer' if ease > 0 else 'shorter'}")
    pairs = tuple(tuple(map(Place.of, (pair,) if isinstance(pair, str) else pair)) for pair in meets)
    return Seam(name, refs(*a), refs(*run), ease, ease - within, ease + within, free, meant, pairs, width)


@dataclass(frozen=True, slots=True)
class Corner:
    """A corner of a piece: the two edges that meet there, first the one whose run must go on smoothly."""

    piece: str
    run: str
    across: str


@dataclass(frozen=True, slots=True)
class Join:
    """Two corners that meet when a seam is sewn; the runs must pass smoothly (the angles add up to 180°).

    `before_deg` is how far off they were as first chalked, where the draft has trued them with a curve. `mend` says
    what helps, where a curved ruler does not.
    """

    name: str
    first: Corner
    second: Corner
    before_deg: float | None = None
    mend: str = ""
