"""A button stand: a half goes on beyond its centre line, with a facing cut on or apart, and places for the buttons.

      neck |  :   :        the extension is the button's diameter, 1 1/2 of it below 10 mm; from the fold back, or cut
           |  : - :        apart, the facing
           |  : - :        holes: the first the diameter and 6 mm below the neck edge; one on the bust line; all gaps
     centre|  :fold        alike, as near as may be to what is usual; the last 10 cm above the hem
Rules: garments 3.2 (a horizontal hole starts 3 mm beyond the centre line, an upright one lies on it; a hole is the
diameter, the thickness of a thick button, and 3 mm long). Gaps of 8.5 cm in a shirt, 7.5 in a blouse, and the last hole
10 cm above the hem are common practice, no source. Women lap right over left, men left over right.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import ceil, floor
from typing import Final

from ...claims.buttons import HolesKept
from ...claims.girth import SUM_LIMIT
from ...draft.board import Board
from ...draft.cuts import cut
from ...draft.moves import copy
from ...draft.stretches import chained, cut_run, ridden, stretch_of
from ...geometry.affine import Move
from ...geometry.curve import Line
from ...geometry.path import Path, moved_path, path_length, pinned, place_at, reverse, solve
from ...geometry.point import Point, along, direction
from ...model.claim import Claim, told
from ...model.draft import Notion
from ...model.finding import Finding, Severity
from ...model.length import Length, found, inch, mm
from ...model.pattern import Pattern
from ...model.piece import Edge, EdgeKind, InternalLine, LineKind, NotchPlace, Piece, sew
from ...units import show
from ...values import dataclass, replace
from .part import Part

FACINGS: Final = ("cut on", "apart")
BUTTON: Final = inch(0.5)
METRIC_BUTTON: Final = mm(13)
"""The usual buttons of shirts and blouses: 20 lines, which are sold as 13 mm (lists of buttons: 16 to 20 lines)."""
BEYOND_CENTRE: Final = mm(3)
HOLE_LONGER: Final = mm(3)
BELOW_NECK: Final = mm(6)
ABOVE_HEM: Final = mm(100)
LIGNE: Final = mm(0.635)
"""One line, by which buttons are sold: 40 are 1 in (two makers' lists)."""
SMALL: Final = mm(10)
NEAR_LEVEL: Final = 5.0
"""This near to the bust line a button holds the front there, mm (common practice, no source)."""
WIDEST: Final = 100.0
"""A greater gap between two buttons may gape, mm (common practice, no source)."""


def extension(button: Length) -> Length:
    """How far a half goes on beyond the centre line: the button's diameter, 1 1/2 of it below 10 mm."""
    return button if button >= SMALL else button * 1.5


def hole_long(button: Length, thick: Length | None = None) -> Length:
    """How long a buttonhole is: the diameter and 3 mm, and the thickness of a thick button."""
    return button + HOLE_LONGER if thick is None else button + thick + HOLE_LONGER


def places(first: float, bust: float, last: float, usual: float, count: int = 0) -> list[float]:
    """How far down the centre line the holes lie, mm: from `first` on in gaps alike, one on the bust line, none lower
    than `last`. Of a given `count`, the widest such gap.

    >>> places(18, 200, 560, 85)
    [18.0, 109.0, 200.0, 291.0, 382.0, 473.0]
    >>> places(18, 200, 560, 85, 6)
    [18.0, 109.0, 200.0, 291.0, 382.0, 473.0]
    """
    down, room = bust - first, last - first
    if count:
        steps = max(1, ceil((count - 1) * down / (last - first) - 1e-9))
    else:
        steps = min(range(1, 9), key=lambda n: abs(down / n - usual))
        count = 1 + floor(room * steps / down + 1e-9)
    return [first + down / steps * i for i in range(count)]


@dataclass(frozen=True, slots=True)
class ButtonsApart(Claim):
    """Holes lie apart alike, no further than is usual, and one on a level. `buttons.<what>`."""

    piece: str
    level: str
    most: float = WIDEST
    low: float = ABOVE_HEM.mm
    """The last lies so far above the lower edge at least."""

    def check(self, pattern: Pattern) -> Iterator[Finding]:
        unit, piece = pattern.unit, pattern.piece(self.piece).cut.piece
        ys = [button_of(line).y for line in holes(piece)]
        gaps = [a - b for a, b in pairwise(ys)]
        uneven = max(gaps) - min(gaps)
        say = f"{len(ys)} buttons, {show(gaps[0], unit)} apart."
        yield self.finding(uneven <= SUM_LIMIT, round(uneven, 2), SUM_LIMIT, say, "They are to lie apart alike.",
                           part="even")  # fmt: skip
        at = height(piece, self.level)
        off = min(abs(y - at) for y in ys)
        yield self.finding(off <= NEAR_LEVEL, round(off, 2), NEAR_LEVEL, "a button lies on the bust line.",
                           "None does, and the front may gape there.", part="bust")  # fmt: skip
        do = told(self.change, unit, more=max(gaps) - self.most)
        yield self.finding(max(gaps) <= self.most, round(max(gaps), 1), self.most,
                           f"the buttons lie {show(max(gaps), unit)} apart.", do, Severity.WARNING, "gap")  # fmt: skip
        edge = piece.edge("front_edge")
        low = ys[-1] - min(edge.start.y, edge.end.y)
        yield self.finding(low >= self.low - SUM_LIMIT, round(low, 1), self.low,
                           f"the last button lies {show(low, unit)} above the hem.", self.change, Severity.WARNING,
                           "hem")  # fmt: skip


def height(piece: Piece, level: str) -> float:
    """How high a level lies at the centre line of a piece, mm."""
    return next(line.points[0].y for line in piece.levels if line.name == level)


def holes(piece: Piece) -> list[InternalLine]:
    """The buttonholes of a piece, from the top."""
    return [line for line in piece.internal_lines if line.name.startswith("buttonhole")]


def button_of(hole: InternalLine) -> Point:
    """Where its button stands: 3 mm from the end that lies beyond the centre line, or from its upper end."""
    return along(hole.points[0], direction(*hole.points), BEYOND_CENTRE.mm)


def button_stand(
    on: Board,
    half: Piece,
    *,
    button: Length,
    level: str,
    usual: Length,
    facing: str = "cut on",
    facing_wide: Length,
    upright: bool = False,
    count: str = "buttons",
    on_stand: Length | None = None,
    name: str = "",
    above_hem: Length = ABOVE_HEM,
    laps: str = "women's right over left, men's left over right",
) -> tuple[Piece, Part]:
    """A half, its centre line on x = 0, with a button stand there; and the facing, seams, buttons and claims.

    `level` is the bust line, on which a button lies; `usual` the gap between buttons; `facing` is "cut on" or
    "apart", `facing_wide` from the front edge; `count` the option, a word or "auto", that says how many. `on_stand`:
    the width of a collar's stand, on whose middle the first lies, else the diameter and 6 mm below the neck edge;
    `above_hem`: so far above the lower edge the last lies at least.
    `name`: what the piece is called when it is done, where it is cut later. The centre's edge gives way to
    `stand_neck`, `front_edge` and, cut on, `facing_neck`; a line shows the centre.
    """
    centre = next(edge for edge in half.edges if edge.name in ("centre_front", "centre_back"))
    beyond = extension(button).called("button stand")
    top, low = centre.start, centre.end
    bust = height(half, level)
    first = on_stand / -2 if on_stand else button + BELOW_NECK
    reach = (top.y - low.y) - above_hem.mm
    down = places(first.mm, top.y - bust, max(reach, top.y - bust), usual.mm)
    chosen = int(on.settle(count, str(len(down))))
    if chosen != len(down):
        down = places(first.mm, top.y - bust, max(reach, top.y - bust), usual.mm, chosen)
    sheet = on.sketch(half.sheets[0] if half.sheets else half.name)
    gap = found(down[1] - down[0], "so that one lies on the bust line")
    below, down = (down[1], down[1:]) if on_stand else (down[0], down)
    for length, words in ((beyond, "beyond the centre line"), (mm(below), "first buttonhole, below the neck edge"),
                          (gap, f"{len(down)} buttonholes, apart")):  # fmt: skip
        sheet.tell(length, words, about="front_edge")
    new = _extended(half, centre, beyond.mm, facing_wide.mm if facing == "cut on" else 0.0)
    marks = tuple(_hole(number, top.y - far, button, upright) for number, far in enumerate(down, 1))
    lines = (*new.internal_lines, *marks, InternalLine(centre.name.replace("_", " "), (top, low), LineKind.BALANCE))
    new = replace(new, internal_lines=lines)
    notion = Notion("button", button.mm, "button", "", "", chosen)
    change = "Give another number of buttons."
    claims = (ButtonsApart("buttons", change, name or new.name, level, low=above_hem.mm),
              HolesKept("buttons", "change button.", name or new.name, button, "buttonhole"))  # fmt: skip
    on.note(f"Buttons lap {laps}: work the holes in the upper half alone; the buttons stand on the centre line of the "
            "other, level with them.")  # fmt: skip
    if facing == "cut on":
        return new, Part((), (), claims, (notion,))
    at = facing_wide.mm - beyond.mm
    strip, _ = cut(new, Point(at, 0.0), Point(at, -1.0), names=(f"{half.name}_facing", "rest"), edge="free_edge",
                   kind=EdgeKind.OPENING, holding="front_edge")  # fmt: skip
    strip = replace(copy(strip, f"{half.name}_facing"), internal_lines=(), levels=(), worn="", points={}, notches=())
    seam = sew(f"{half.name} edge seam", f"{strip.name}.front_edge", to=f"{half.name}.front_edge", how="faced")
    return new, Part((strip,), (seam,), claims, (notion,))


def _hole(number: int, y: float, button: Length, upright: bool) -> InternalLine:
    long = hole_long(button).mm
    if upright:
        ends = Point(0.0, y + BEYOND_CENTRE.mm), Point(0.0, y + BEYOND_CENTRE.mm - long)
    else:
        ends = Point(-BEYOND_CENTRE.mm, y), Point(-BEYOND_CENTRE.mm + long, y)
    return InternalLine(f"buttonhole {number}", ends, LineKind.PLACEMENT)


def _extended(half: Piece, centre: Edge, beyond: float, facing: float) -> Piece:
    """The half with its centre's edge moved out; a facing cut on beyond the fold has the neck's edge, mirrored."""
    names = [edge.name for edge in half.edges]
    at = names.index(centre.name)
    neck, hem = half.edges[at - 1], half.edges[(at + 1) % len(names)]
    top, low = centre.start, centre.end
    fold_top, fold_low = Point(top.x - beyond, top.y), Point(low.x - beyond, low.y)
    new = [Edge.straight("stand_neck", top, fold_top)]
    end_top, end_low = fold_top, fold_low
    if facing:
        inside = facing - beyond
        run: Path = (Line(fold_top, Point(top.x - 2 * beyond, top.y)),)
        if inside > 0.05:
            head = _up_to(neck, top.x + inside)
            run = (*run, *pinned(moved_path(head, Move(-1.0, 0.0, 0.0, 1.0, 2 * (top.x - beyond), 0.0)), run[0].end))
        else:
            run = (Line(fold_top, Point(top.x - beyond - facing, top.y)),)
        end_top = run[-1].end
        end_low = Point(end_top.x, low.y)
        new.append(Edge("facing_neck", EdgeKind.SEAM, run))
    kind = EdgeKind.OPENING if facing else EdgeKind.SEAM
    new.append(Edge.straight("front_edge", end_top, end_low, kind))
    straight = Edge.straight(hem.name, end_low, low, hem.kind)
    runs = [stretch_of(half.name, straight, 0.0, straight.length()), stretch_of(half.name, hem, 0.0, hem.length())]
    runs[0] = replace(runs[0], start=-1.0)
    longer, offsets = chained(hem, runs)
    others = [edge for edge in half.edges if edge.name not in (centre.name, hem.name)]
    turned = others.index(neck) + 1
    edges = (*others[:turned], *new, longer, *others[turned:])
    notches = [n for n in half.notches if n.edge not in (centre.name, hem.name)]
    notches += ridden(half.notches, hem, runs, offsets)
    lines = half.internal_lines
    if facing:
        lines = (*lines, InternalLine("fold", (fold_top, fold_low), LineKind.FOLD))
        notches.append(NotchPlace("facing_neck", 0.0, 1, "facing fold"))
    side = replace(half.to_cut, side="pair", count=2) if half.on_fold else half.to_cut
    points = {**half.points, "edge_neck": end_top, "edge_hem": end_low, "fold_neck": fold_top, "fold_hem": fold_low}
    return replace(half, edges=edges, notches=tuple(notches), internal_lines=lines, to_cut=side, points=points)


def _up_to(neck: Edge, x: float) -> Path:
    """The neck from the centre up to so far from it."""
    path = reverse(neck.curves)
    far = solve(lambda s: place_at(path, s)[0].x - x, 0.0, path_length(path), near=1e-7)
    return cut_run(path, far)[0]
