"""The steps of the card in words, but for edges: the two lines, levels, points, darts, lines inside, and the end."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from ...geometry.point import Point
from ...geometry.polygon import Box, ring_below
from ...model.piece import DOUBLE_APART, Dart, EdgeKind, InternalLine, piece_words
from ...units import Unit
from ...values import dataclass
from .frame import Level, level_at
from .marks import ChalkStep, Mark, MarkKind, Row, Spot
from .numbers import across, down, in_words, printed_length, room
from .order import Lettered, Table, on_upright
from .places import Cell, spot_at


@dataclass(frozen=True, slots=True)
class Words:
    """What a step says, still without number and formulas; `columns` where they are not the usual two."""

    title: str
    words: tuple[str, ...]
    marks: tuple[Mark, ...]
    table: tuple[Row, ...] = ()
    columns: tuple[str, str] | None = None

    def step(self, number: int, piece: str, formula: Sequence[str], part: str, unit: Unit) -> ChalkStep:
        usual = (f"across, {unit}", f"down, {unit}") if self.table else ("", "")
        return ChalkStep(
            number, piece, capital(self.title), self.words, tuple(formula), self.marks, self.table,
            self.columns or usual, part,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Lettering:
    """The letters of a piece; how its places are measured."""

    on: Table
    letters: Mapping[Cell, Spot]
    unit: Unit

    def spot(self, p: Point) -> Spot:
        return spot_at(self.letters, p, self.on.frame, self.unit)

    def spots(self, places: Sequence[Lettered]) -> tuple[Spot, ...]:
        return tuple(self.spot(p) for p, _ in places)


def capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def fresh(spots: Sequence[Spot], told: Collection[str]) -> tuple[Row, ...]:
    """Rows of the places whose numbers no step has told yet, each once."""
    return tuple(dict.fromkeys(spot.row for spot in spots if not spot.letter or spot.letter not in told))


def tell_lines(on: Table, unit: Unit) -> Words:
    """The first step: cloth, upright line and level line."""
    frame, cut, box = on.frame, Box.round(on.marked.cut.cut_line), Box.round(on.marked.cut.stitch_line)
    label = on.levels[0].label
    above = room(max(0.0, cut.top - frame.y), unit)
    level = f"Chalk {frame.level} square to it, at least {above} below the end of the cloth."
    if on.twice:
        first = "Fold the cloth twice, as the page of folds tells: across, then along the thread. Pin."
        level = f"{capital(frame.level)} lies at the top, nothing is added there. Cut through all layers."
        crossing = " and ".join(map(piece_words, on.crossing()))
        if crossing:
            level += f" For the {crossing} open the cloth out at the top: “up” lies beyond the fold."
        cut = Box(cut.left, cut.bottom, cut.right, frame.y)
    elif frame.fold:
        first = "Fold the cloth, right sides together, along the thread. Pin."
    else:
        layers = "Two layers, right sides together. Pin." if on.marked.cut.piece.mirrored_pair else "One layer."
        beside = room(max(0.0, frame.x - cut.left), unit)
        first = f"{layers} Chalk {frame.upright} along the thread, at least {beside} from the left edge."
    words = (
        first,
        level,
        f"“Across” is measured from {frame.upright}, “down” from {frame.level}.",
        f"The piece with its allowances is {room(cut.width, unit)} across and {room(cut.height, unit)} down.",
    )
    upright = Mark(MarkKind.UPRIGHT, frame.upright, line=((frame.x, cut.top), (frame.x, cut.bottom)))
    drawn = ((min(frame.x, box.left), frame.y), (box.right, frame.y))
    title = f"{frame.upright.removeprefix('the ')} and {label}"
    return Words(title, words, (upright, Mark(MarkKind.LEVEL, label, line=drawn)))


def tell_level(level: Level, by: Lettering) -> Words:
    frame = by.on.frame
    far = down(level.y, frame, by.unit)
    spot = Spot("", level.label, Point(frame.x, level.y), "0", far)
    drawn = ((frame.x, level.y), (Box.round(by.on.marked.cut.stitch_line).right, level.y))
    words = f"{in_words(far, by.unit, 'down')} from {frame.level}, square across."
    return Words(level.label, (words,), (Mark(MarkKind.LEVEL, level.label, (spot,), drawn),))


def tell_point(name: str, by: Lettering) -> Words:
    frame, p = by.on.frame, by.on.marked.cut.piece.points[name]
    spot, level = by.spot(p), level_at(by.on.levels, p.y)
    far = f"on the {level}" if level else f"{in_words(down(p.y, frame, by.unit), by.unit, 'down')} from {frame.level}"
    aside = "on" if on_upright(by.on, p) else f"{in_words(across(p.x, frame, by.unit), by.unit)} from"
    words = f"{capital(far)}, {aside} {frame.upright}."
    return Words(spot.words, (words,), (Mark(MarkKind.POINT, name, (spot,)),))


def tell_dart(dart: Dart, places: Sequence[Lettered], by: Lettering, told: Collection[str]) -> Words:
    spots = by.spots(places)
    round_it = spots if dart.is_open else (*spots, spots[0])
    line = dart.points if dart.is_open else (*dart.points, dart.points[0])
    taken = printed_length(dart.intake, by.unit)
    words = (
        f"Join {'-'.join(spot.letter for spot in round_it)} with straight lines: {taken} is taken in.",
        "Push a pin through both layers at each point and chalk the under layer there.",
    )
    mark = Mark(MarkKind.DART, dart.name, spots, line)
    return Words(f"{piece_words(dart.name)} dart", words, (mark,), fresh(spots, told))


def tell_inside(line: InternalLine, places: Sequence[Lettered], by: Lettering, told: Collection[str]) -> Words:
    spots, label = by.spots(places), piece_words(line.name)
    words = f"Chalk {' to '.join(spot.letter for spot in spots)}: {label}. Do not cut."
    return Words(label, (words,), (Mark(MarkKind.INSIDE, line.name, spots, line.points),), fresh(spots, told))


def tell_notches(by: Lettering) -> Words:
    marks, rows = [], []
    for notch in by.on.marked.notches:
        if by.on.above(notch.point) and notch.point.y > by.on.top:
            continue
        spot, p, way = by.spot(notch.point), notch.point, notch.direction
        marks.append(Mark(MarkKind.NOTCH, notch.edge, (spot,), (p, Point(p.x + way.x, p.y + way.y))))
        name = f"{piece_words(notch.edge)}: {notch.name or 'notch'}{' (two)' if notch.count > 1 else ''}"
        rows.append((spot.letter, name, spot.across, spot.down))
    words: tuple[str, ...] = ("On the stitch line; lead each square out to the cut line and snip it there last.",)
    if any(notch.count > 1 for notch in by.on.marked.notches):
        words += (f"“Two”: a pair of snips, {printed_length(DOUBLE_APART, by.unit)} apart.",)
    return Words("notches", words, tuple(marks), tuple(rows))


def tell_allowances(by: Lettering) -> Words:
    cut = by.on.marked.cut
    widths = {edge.name: cut.allowances[edge.name] for edge in cut.piece.edges if edge.kind is not EdgeKind.FOLD}
    rows = tuple(
        ("", piece_words(name), printed_length(width, by.unit) if width else "none", "")
        for name, width in widths.items()
    )
    ring = ring_below(cut.cut_line, by.on.top)
    words: tuple[str, ...] = (
        "Chalk the cut line outside every edge by its allowance. Pin inside the lines, then cut.",
    )
    if len(widths) < len(cut.piece.edges):
        words += ("Nothing is added at the fold.",)
    if "turned-back" in cut.corners.values():
        words += ("Below a hem line the sides slant as above it, but the other way: turned up, the hem lies flat.",)
    mark = Mark(MarkKind.CUT, "cut line", line=(*ring, ring[0]))
    return Words("allowances", words, (mark,), rows, ("cut outside", ""))
