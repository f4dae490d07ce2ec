"""The geometry file, pattern.json: every number that the other files can be proved against.

Millimetres rounded to 1e-4, x to the right, y up; closed lines do not repeat their first point. One key a line and each
line of points on one, so that a comparison of two files shows what moved.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from math import isfinite
from typing import Final

from ..claims.measure import seam_sides
from ..geometry.point import XY
from ..model.cord import Cord
from ..model.draft import Step
from ..model.finding import Finding
from ..model.fitted import Altered
from ..model.nest import Nest
from ..model.pattern import CutPiece, MarkedPiece, Notch, Pattern
from ..model.piece import InternalLine, LevelLine, LineKind, Seam, Take
from ..model.ref import Ref
from ..sheet.drawing import label_lines
from ..values import dataclass

_text: Final = json.JSONEncoder(ensure_ascii=False).encode
"""Words as a JSON string."""


@dataclass(frozen=True, slots=True)
class Sent:
    """What was done to a drawing for its device, so that it can be undone when the file is measured; mm.

    `correction` is (xx, xy, yx, yy); `frame` the length of a frame along the paper; `knife` a drag knife's offset,
    its pen and the width of its tabs (0: none).
    """

    device: str
    unit: float = 0.025
    axis: str = "along"
    frame: float | None = None
    correction: tuple[float, float, float, float] | None = None
    knife: tuple[float, int, float] | None = None
    kerf: float = 0.0

    @property
    def plain(self) -> bool:
        """Whether a reader need know nothing of it."""
        usual = Sent(self.device, axis=self.axis)
        return self == usual


@dataclass(frozen=True, slots=True)
class PanelRow:
    """One panel of a piece that was split: what of it lies in the box (left, bottom, right, top), mm."""

    piece: str
    size: str
    part: int
    of: int
    box: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Drawn:
    """What a file holds; `stitch_lines`: whether it has them beside the cut lines; `left_out`: the roles (`lettering`)
    that its device has no pen for.

    `pieces` names those (piece, size) that lie whole on one of several sheets, None all; `panels` those in parts.
    """

    file: str
    sizes: tuple[str, ...]
    layout: str
    stitch_lines: bool
    pieces: tuple[tuple[str, str], ...] | None = None
    panels: tuple[PanelRow, ...] = ()
    small_block: bool = False
    sent: Sent | None = None
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PlotPart:
    """A figure with one pen, in one frame: how many lines it is drawn in, and how long they are together, mm."""

    name: str
    pen: int
    lines: int
    drawn: float


@dataclass(frozen=True, slots=True)
class PlotParts:
    """The parts of a plot in their order, where it can be taken up again; and where it has to stay.

    `page` and `room`: the length and the width of the plot, and what the device can draw, mm. `origin` is "corner" or
    "centre" of the room; `least` and `most` bound every coordinate, in plotter units.
    """

    file: str
    device: str
    unit: float
    axis: str
    origin: str
    page: tuple[float, float]
    room: tuple[float, float]
    least: int
    most: int
    parts: tuple[PlotPart, ...]


def render(
    nest: Nest,
    findings: Sequence[Finding],
    drawn: Sequence[Drawn] = (),
    plots: Sequence[PlotParts] = (),
    *,
    outside: Mapping[str, str | Mapping[str, str]] | None = None,
) -> bytes:
    """Every size of a pattern, with the findings of its checks, as the UTF-8 bytes of pattern.json.

    Lengths of edges are those of the exact curves as drawn; `takes` of an edge: what is folded away along it, mm from
    its start. Both lengths of a seam are as it is sewn: darts closed, all round the wearer where one side comes round
    more often, less what the seam leaves alone of side b (`free`): a less b is the ease; `ease` is what is meant.
    `levels` of a piece are lines of the body across it; `around`: how often it comes round the wearer as drawn, where
    that is neither twice for a half (on the fold, or one of a pair) nor once for any other. Steps are in the maker's
    unit. A finding's number that is not finite is written as null. In a set of sizes each piece also has `shift`, what
    is added to lay it on the base size, each seam has its `size`, and `drawn` says which sizes are in which of the
    other files. `drawn` also tells what lies on which sheet, and what was done for the device, where that is not as
    usual; `plots` the parts of each plot. `cords`, where there are any: what hangs from each size and can catch.
    `fitting`, where something was pinned: each fault, and the edges that it changed, as sewn.
    `outside` tells of a garment that is none of ours: `garment_file` has the name and the SHA-256 of its file, or
    `garment_package` the package that offers it.
    """
    writer = _Writer()
    several = len(nest.patterns) > 1
    pieces: list[str] = []
    seams: list[str] = []
    for pattern in nest.patterns:
        lengths = {
            Ref(marked.name, edge.name): edge.length() for marked in pattern.pieces for edge in marked.cut.piece.edges
        }
        for marked in pattern.pieces:
            shift = nest.shift(pattern.size, marked.name) if several else None
            pieces.append(writer.piece(marked, pattern.size, lengths, shift))
        seams += [_seam(pattern, seam, pattern.size if several else "") for seam in pattern.draft.seams]
    cords = [_cord(cord, pattern.size) for pattern in nest.patterns for cord in pattern.draft.cords]
    fittings = [_fitting(one, pattern.size) for pattern in nest.patterns for one in pattern.draft.altered]
    base = nest.base_pattern
    top = {
        "oaktag": "1",
        "title": _text(base.title),
        "garment": _text(base.draft.garment),
        **{key: _told(value) for key, value in (outside or {}).items()},
        "unit": '"mm"',
        "sizes": f"[{', '.join(map(_text, nest.sizes))}]",
        "base": _text(nest.base),
        **({"drawn": _rows(map(_drawn, drawn), 2)} if drawn else {}),
        **({"plots": _rows(map(plot_row, plots), 2)} if plots else {}),
        "pieces": _rows(pieces, 2),
        "seams": _rows(seams, 2),
        **({"cords": _rows(cords, 2)} if cords else {}),
        **({"fitting": _rows(fittings, 2)} if fittings else {}),
        "checks": _rows(map(_check, findings), 2),
        "steps": _rows((_step(step, pattern) for pattern in nest.patterns for step in pattern.draft.steps), 2),
    }
    return (_object(top, 0) + "\n").encode("utf-8")


def _told(value: str | Mapping[str, str]) -> str:
    return _text(value) if isinstance(value, str) else _flat({key: _text(word) for key, word in value.items()})


def _drawn(drawn: Drawn) -> str:
    return _flat(
        {
            "file": _text(drawn.file),
            "sizes": f"[{', '.join(map(_text, drawn.sizes))}]",
            "layout": _text(drawn.layout),
            "stitch_lines": _truth(drawn.stitch_lines),
            **({"pieces": _pairs(drawn.pieces)} if drawn.pieces is not None else {}),
            **({"panels": f"[{', '.join(map(_panel, drawn.panels))}]"} if drawn.panels else {}),
            **({"small_block": "true"} if drawn.small_block else {}),
            **({"left_out": f"[{', '.join(map(_text, drawn.left_out))}]"} if drawn.left_out else {}),
            **({"sent": sent_row(drawn.sent)} if drawn.sent is not None and not drawn.sent.plain else {}),
        }
    )


def _pairs(pairs: Sequence[tuple[str, str]]) -> str:
    return f"[{', '.join(f'[{_text(name)}, {_text(size)}]' for name, size in pairs)}]"


def _panel(row: PanelRow) -> str:
    return _flat(
        {
            "piece": _text(row.piece),
            "size": _text(row.size),
            "part": str(row.part),
            "of": str(row.of),
            "box": f"[{', '.join(map(number, row.box))}]",
        }
    )


def sent_row(sent: Sent) -> str:
    """What was done to a drawing for its device, as JSON."""
    matrix = [f"{part:.9f}".rstrip("0").rstrip(".") for part in sent.correction or ()]
    return _flat(
        {
            "device": _text(sent.device),
            "unit": f"{sent.unit:g}",
            "axis": _text(sent.axis),
            **({"frame": number(sent.frame)} if sent.frame is not None else {}),
            **({"correction": f"[{', '.join(matrix)}]"} if matrix else {}),
            **(
                {"knife": f"[{number(sent.knife[0])}, {sent.knife[1]}, {number(sent.knife[2])}]"}
                if sent.knife is not None
                else {}
            ),
            **({"kerf": number(sent.kerf)} if sent.kerf else {}),
        }
    )


def plot_row(plot: PlotParts) -> str:
    """What is told of a plot, as JSON."""
    parts = (
        _flat({"name": _text(p.name), "pen": str(p.pen), "lines": str(p.lines), "drawn": number(p.drawn)})
        for p in plot.parts
    )
    return _flat(
        {
            "file": _text(plot.file),
            "device": _text(plot.device),
            "unit": f"{plot.unit:g}",
            "axis": _text(plot.axis),
            "origin": _text(plot.origin),
            "page": f"[{', '.join(map(number, plot.page))}]",
            "room": f"[{', '.join(map(number, plot.room))}]",
            "range": f"[{plot.least}, {plot.most}]",
            "parts": f"[{', '.join(parts)}]",
        }
    )


def _step(step: Step, pattern: Pattern) -> str:
    return _flat(
        {
            "piece": _text(step.piece),
            "size": _text(pattern.size),
            "label": _text(step.label),
            "formula": _text(step.words(pattern.unit)),
            "value": number(step.value),
        }
    )


def number(value: float) -> str:
    """To 1e-4, without an exponent, trailing zeros or a minus before nothing.

    >>> number(241.3), number(-0.00001), number(1e-4), number(120.0), number(float("inf"))
    ('241.3', '0', '0.0001', '120', 'null')
    """
    if not isfinite(value):
        return "null"
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


class _Writer:
    """Writes pieces; a point that comes again (edges repeat the stitch line) is looked up, not written anew."""

    def __init__(self) -> None:
        self.seen: dict[XY, str] = {}

    def point(self, p: XY) -> str:
        text = self.seen.get(p)
        if text is None:
            text = self.seen[p] = f"[{number(p[0])}, {number(p[1])}]"
        return text

    def points(self, line: Iterable[XY]) -> str:
        return f"[{', '.join(map(self.point, line))}]"

    def changing(self, cut: CutPiece, edge: str) -> dict[str, str]:
        """Where an allowance changes along its edge: [mm from its start, width], straight between."""
        profile = cut.profiles.get(edge)
        return {} if profile is None or profile.is_even else {"allowance_stations": self.points(profile.stations)}

    def piece(self, marked: MarkedPiece, size: str, lengths: Mapping[Ref, float], shift: XY | None) -> str:
        cut, piece = marked.cut, marked.cut.piece
        around = piece.to_cut.around
        edges = (
            {
                "name": _text(edge.name),
                "kind": _text(edge.kind.value),
                "points": self.points(cut.lines[edge.name]),
                "length": number(lengths[Ref(piece.name, edge.name)]),
                "allowance": number(cut.allowances[edge.name]),
                **self.changing(cut, edge.name),
                **({"takes": f"[{', '.join(map(_take, edge.takes))}]"} if edge.takes else {}),
            }
            for edge in piece.edges
        )
        darts = (
            {"name": _text(dart.name), "points": self.points(dart.points), "intake": number(dart.intake)}
            for dart in piece.darts
        )
        internal = map(self.internal, piece.internal_lines)
        fields = {
            "name": _text(piece.name),
            **({"title": _text(piece.label)} if piece.label else {}),
            "size": _text(size),
            "material": _text(piece.material),
            "quantity": str(piece.quantity),
            "on_fold": _truth(piece.on_fold),
            "mirrored_pair": _truth(piece.mirrored_pair),
            **({"one_way": "true"} if piece.one_way else {}),
            **({"worn": _text(piece.worn)} if piece.worn else {}),
            **({"around": str(around)} if around != 1 + (piece.on_fold or piece.mirrored_pair) else {}),
            **({"shift": self.point(shift)} if shift is not None else {}),
            "stitch_line": self.points(cut.stitch_line),
            "cut_line": self.points(cut.cut_line),
            "edges": _rows(map(_flat, edges), 6),
            "darts": _rows(map(_flat, darts), 6),
            "notches": _rows((self.notch(notch) for notch in marked.notches), 6),
            "drill_holes": self.points(marked.drill_holes),
            "grain_line": self.points(marked.grain_line),
            "fold_line": self.points(marked.fold_line) if marked.fold_line else "null",
            "internal_lines": _rows(map(_flat, internal), 6),
            "label": f"[{', '.join(map(_text, marked.label.lines))}]",
            "label_angle": number(marked.label.angle_deg),
            "label_lines": _rows((self.line(base, size) for _, size, base in label_lines(marked.label)), 6),
            **({"levels": _rows(map(self.level, piece.levels), 6)} if piece.levels else {}),
            "points": _flat({name: self.point(p) for name, p in piece.points.items()}),
        }
        return _object(fields, 4)

    def internal(self, line: InternalLine) -> dict[str, str]:
        """A line inside the piece, and its kind where it is one with signs."""
        kind = {} if line.kind is LineKind.PLAIN else {"kind": _text(line.kind.value)}
        return {"name": _text(line.name), **kind, "points": self.points(line.points)}

    def level(self, level: LevelLine) -> str:
        """A level of the body across the piece, and how far below the draft's top line it lies."""
        return _flat({"name": _text(level.name), "depth": number(level.depth), "points": self.points(level.points)})

    def line(self, base: XY, height: float) -> str:
        """Where a line of the label stands: the middle of its baseline, and the height of its capitals."""
        return _flat({"at": self.point(base), "height": number(height)})

    def notch(self, notch: Notch) -> str:
        return _flat(
            {
                "edge": _text(notch.edge),
                "name": _text(notch.name),
                "point": self.point(notch.point),
                "direction": self.point(notch.direction),
                "count": str(notch.count),
                "cut_points": self.points(notch.spots),
                **({"ways": self.points(notch.ways)} if len(notch.ways) > 1 else {}),
                "kind": _text(notch.kind.value),
                "depth": number(notch.depth),
                "width": number(notch.width),
            }
        )


def _take(take: Take) -> str:
    return _flat({"kind": _text(take.kind), "start": number(take.start), "end": number(take.end)})


def _seam(pattern: Pattern, seam: Seam, size: str) -> str:
    a, b, _ = seam_sides(pattern, seam)
    return _flat(
        {
            "name": _text(seam.name),
            **({"size": _text(size)} if size else {}),
            "a": f"[{', '.join(_text(str(ref)) for ref in seam.a)}]",
            "b": f"[{', '.join(_text(str(ref)) for ref in seam.b)}]",
            "length_a": number(a),
            "length_b": number(b),
            "ease": number(seam.ease),
            "least": number(seam.least),
            "most": number(seam.most),
            **({"free": number(seam.free)} if seam.free else {}),
        }
    )


def _fitting(one: Altered, size: str) -> str:
    edges = (_flat({"edge": _text(e.name), "before": number(e.before), "after": number(e.after)}) for e in one.edges)
    return _flat(
        {
            "fault": _text(one.ask.fault),
            "size": _text(size),
            "amount": number(one.ask.amount),
            **({"side": _text(one.ask.side)} if one.ask.side else {}),
            **({"seam": _text(one.ask.seam)} if one.ask.seam else {}),
            **({"level": _text(one.ask.level)} if one.ask.level else {}),
            "pieces": f"[{', '.join(map(_text, one.pieces))}]",
            "edges": f"[{', '.join(edges)}]",
        }
    )


def _cord(cord: Cord, size: str) -> str:
    return _flat(
        {
            "name": _text(cord.name),
            "size": _text(size),
            "where": _text(cord.where),
            "kind": _text(cord.kind),
            "end": number(cord.end.mm),
            **({"drawn": number(cord.drawn.mm)} if cord.drawn is not None else {}),
            **({"loop": number(cord.loop.mm)} if cord.loop is not None else {}),
            "knotted": _truth(cord.knotted),
            "tacked": _truth(cord.tacked),
        }
    )


def _check(finding: Finding) -> str:
    return _flat(
        {
            "id": _text(finding.id),
            "severity": _text(finding.severity.value),
            "passed": _truth(finding.passed),
            "measured": number(finding.measured),
            "limit": number(finding.limit),
            "unit": _text(finding.unit),
            "size": _text(finding.size),
            "message": _text(finding.message),
        }
    )


def _truth(value: bool) -> str:
    return "true" if value else "false"


def _flat(fields: Mapping[str, str]) -> str:
    """An object on one line; the values are JSON already."""
    return f"{{{', '.join(f'{_text(key)}: {value}' for key, value in fields.items())}}}"


def _object(fields: Mapping[str, str], indent: int) -> str:
    """An object with a key a line, at that depth."""
    inner = ",\n".join(f"{' ' * (indent + 2)}{_text(key)}: {value}" for key, value in fields.items())
    return f"{{\n{inner}\n{' ' * indent}}}"


def _rows(items: Iterable[str], indent: int) -> str:
    """A list with an item a line, closed at that depth."""
    rows = f",\n{' ' * (indent + 2)}".join(items)
    return f"[\n{' ' * (indent + 2)}{rows}\n{' ' * indent}]" if rows else "[]"
