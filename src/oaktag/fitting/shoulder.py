"""Faults of the shoulders: their slope, their length, and how far forward they lie."""

from __future__ import annotations

from typing import Final

from ..draft.moves import turn
from ..geometry.path import Path, path_length, place_at, solve
from ..geometry.point import Point, along, direction, distance
from ..model.fitted import Ask
from ..model.length import cm, inch, mm
from ..model.piece import Piece
from ..values import replace
from .fault import Fault
from .fitter import Fitter, NotHere
from .laid import (
    HALF,
    Anew,
    Half,
    Shoulder,
    bent_above,
    bracket,
    clear_of,
    hinge,
    led_armhole,
    long_of,
    place_up,
    risen_side,
)

_SLOPES_DEG: Final = 12.0, 30.0
"""Shoulders slope by this, degrees (alterations, slope angle)."""
_DOWN: Final = cm(12)
"""The armhole of a shoulder that is made longer or shorter bends from here, so far below the tip along it, upwards: its
hinge lies about 3 in (7.5 cm) down (alterations), and the corner there is smoothed (judgement, no source)."""
_ROOM: Final = 5.0
"""Between an underarm that is lowered and a dart below it, mm (judgement, no source)."""
_UPPER: Final = 0.5
"""A shoulder seam that is turned bends this part of the armhole, from the tip down (judgement, no source)."""
_NEAR: Final = 20.0
"""A level on the side this near to the underarm, mm, is that of the underarm."""


# ---------------------------------------------------------------- slope


def square_shoulder(on: Fitter, ask: Ask) -> None:
    """Tip, armhole and underarm up, nothing at the neck."""
    for role in _both(on, "side"):
        on.change(role, lambda piece: _risen(on, ask, piece, ask.amount), *HALF, "side")


def sloping_shoulder(on: Fitter, ask: Ask) -> None:
    """Tip, armhole and underarm down, nothing at the neck."""
    for role in _both(on, "side"):
        on.change(role, lambda piece: _risen(on, ask, piece, -ask.amount), *HALF, "side")


def _both(on: Fitter, *edges: str) -> tuple[str, str]:
    """Front and back, both of which have the places. Raises NotHere."""
    for role in ("front", "back"):
        on.piece(role, *HALF, *edges)
    return "front", "back"


def _risen(on: Fitter, ask: Ask, piece: Piece, up: float) -> Piece:
    half = Half.of(piece)
    shoulder = Shoulder.of(half)
    neck, tip, underarm = half.neck, half.tip, half.underarm

    def at(out: float) -> Point:
        return Point(tip.x + out, tip.y + up)

    out = solve(
        lambda out: shoulder.long_at(at(out), neck) - shoulder.long,
        *bracket(lambda out: shoulder.long_at(at(out), neck) - shoulder.long, 0.0, abs(up), 4 * abs(up)),
        near=1e-9,
    )
    low = _end_of_side(half)
    if underarm.y + up - low < _ROOM:
        on.refuse(
            ask,
            f"the underarm of the {piece.name} would come within {on.say(_ROOM)} of what lies below it in the side",
            f"It can be lowered by {on.say(max(0.0, underarm.y - low - _ROOM))} at most",
        )
    side, by = risen_side(half, up)
    laid = shoulder.laid(at(out), neck)
    armhole = led_armhole(half, by, Point(out, up), turned=laid.turned_deg("tip"))
    made = (laid + armhole + side).trued("neck").piece()
    for name in armhole.darts:
        made = clear_of(made, name)
    return _told(on, _lowered(made, underarm.y, up))


def _end_of_side(half: Half) -> float:
    """The height from which up a side can be made longer: above its darts and the levels and notches on it."""
    edge, piece = half.edge("side"), half.piece
    top, low = half.underarm.y, min(edge.start.y, edge.end.y)
    marks = [p.y for dart in piece.darts if dart.is_open for p in dart.points[::2] if _is_on(edge.curves, p)]
    marks += [line.points[-1].y for line in piece.levels if line.name and line.points[-1].y < top - _NEAR]
    return max((y for y in marks if low <= y < top), default=low)


def _is_on(path: Path, p: Point) -> bool:
    return any(min(distance(p, c.start), distance(p, c.end)) < 0.1 for c in path)


def _lowered(piece: Piece, underarm: float, up: float) -> Piece:
    """With a level that lies at the underarm drawn as much lower, since the half is not whole there any more: the body
    has it where it had it, and it is measured below the armhole."""
    if up > 0:
        return piece
    by = up - 0.01  # a little below, so that it does not miss the underarm
    levels = tuple(
        replace(line, points=tuple(Point(p.x, p.y + by) for p in line.points))
        if line.name and abs(line.points[-1].y - underarm) < 1.0
        else line
        for line in piece.levels
    )
    return replace(piece, levels=levels)


def _told(on: Fitter, piece: Piece) -> Piece:
    """With a note where the shoulder slopes unlike shoulders."""
    deg = Shoulder.of(Half.of(piece)).slope_deg()
    least, most = _SLOPES_DEG
    if least <= deg <= most:
        return piece
    words = (
        f"As fitted its shoulder slopes by {deg:.0f}°; {least:.0f}° to {most:.0f}° is usual: look at it on the body."
    )
    return replace(piece, notes=(*piece.notes, words))


# ---------------------------------------------------------------- forward


def forward_shoulder(on: Fitter, ask: Ask) -> None:
    """The seam forward at the tip: off the front, onto the back."""
    for role, by in zip(_both(on), (-ask.amount, ask.amount), strict=True):
        on.change(role, lambda piece, by=by: _forward(on, piece, by), *HALF)  # type: ignore[misc]


def _forward(on: Fitter, piece: Piece, longer: float) -> Piece:
    """The shoulder turned about the neck so that the armhole is so much longer, or shorter."""
    half = Half.of(piece)
    if longer < -_room_above(half):
        raise NotHere(f"the armhole of the {piece.name} has a dart near the shoulder")
    low = half.tip.y - (half.tip.y - half.underarm.y) * _UPPER
    low = max([low, *(p.y for p in _legs(half))])
    return _told(on, _ended(half, _led_on(half.upwards(), longer), low, 0.0))


def _ended(half: Half, new: Path, low: float, by: float) -> Piece:
    """The half with an armhole as long as that run, bent to its new end from a height upwards, and a shoulder so much
    longer that ends there; both meet as they did."""
    shoulder, neck = Shoulder.of(half), half.neck
    end, long, wanted = new[-1].end, path_length(new), shoulder.long + by

    def made(angle: float) -> Anew:
        """The shoulder as long as it is to be, at that angle about the neck from where the armhole ends."""
        to = turn(neck, angle).point(end)
        way = direction(neck, to)

        def over(far: float) -> float:
            return shoulder.long_at(along(to, way, far), neck) - wanted

        laid = shoulder.laid(tip := along(to, way, solve(over, *bracket(over, 0.0, 1.0, 60.0), near=1e-9)), neck)
        return laid + bent_above(half, low, tip, laid.turned_deg("tip"), new)

    def over(angle: float) -> float:
        return long_of(made(angle), "armhole") - long

    return made(solve(over, *bracket(over, 0.0, 0.5, 10.0), near=1e-7)).trued("neck").piece()


def _led_on(path: Path, longer: float) -> Path:
    """A run with its last curve led on, or cut off, so much along it."""
    *rest, last = path
    long = last.length() + longer

    def over(t: float) -> float:
        return last.split(t)[0].length() - long

    return (*rest, last.split(solve(over, *bracket(over, 1.0, 0.1, 0.9), near=1e-7))[0])


def _legs(half: Half) -> list[Point]:
    """The ends of darts in the armhole."""
    edge = half.edge("armhole")
    return [place_at(edge.curves, far)[0] for take in edge.takes for far in (take.start, take.end)]


def _room_above(half: Half) -> float:
    """From the upper leg of a dart in the armhole to the tip, less some room."""
    edge = half.edge("armhole")
    ends = [take.start if half.from_neck else edge.length() - take.end for take in edge.takes]
    return min(ends, default=1e3) - 2 * _ROOM


# ---------------------------------------------------------------- length


def broad_shoulder(on: Fitter, ask: Ask) -> None:
    """The shoulder longer, from a hinge in the armhole."""
    for role in _both(on):
        on.change(role, lambda piece: _longer(on, piece, ask.amount), *HALF)


def narrow_shoulder(on: Fitter, ask: Ask) -> None:
    """The shoulder shorter, from a hinge in the armhole."""
    for role in _both(on):
        on.change(role, lambda piece: _longer(on, piece, -ask.amount), *HALF)


def _longer(on: Fitter, piece: Piece, by: float) -> Piece:
    """The tip further out or in along a shoulder that stays as it slopes; the armhole, as long as it was, led to it in
    a smooth curve from a place down it."""
    half = Half.of(piece)
    down = min(_DOWN.mm, half.edge("armhole").length() / 2)
    return _told(on, _ended(half, half.upwards(), place_up(half, hinge(half, down)).y, by))


ROWS: Final[tuple[Fault, ...]] = (
    Fault(
        "square_shoulder",
        sign="pulls run from the tips of the shoulders to the neck, and a fold lies across just below the neck at "
        "the back",
        pin="open the shoulder seam at the tip, to nothing at the neck, until it lies flat; measure the gap at the "
        "tip, and write half of it",
        change="shoulder tips raised, to nothing at the neck, with all of the armhole and the underarm",
        stays="shoulders and armholes as long, neck and waist",
        way=square_shoulder, most=inch(1),
        keeps=("front.shoulder", "back.shoulder", "front.armhole", "back.armhole", "front.neck", "back.neck"),
        usual="1/4 to 1/2 in (0.6 to 1.3 cm)",
    ),
    Fault(
        "sloping_shoulder",
        sign="folds hang from the neck to the armpits, and the shoulder stands off the body at the tip",
        pin="pinch the shoulder seam at the tip, to nothing at the neck, and measure from the pins to the seam: "
        "what front and back lose each",
        change="shoulder tips lowered, to nothing at the neck, with all of the armhole and the underarm",
        stays="shoulders and armholes as long, neck and waist",
        way=sloping_shoulder, most=inch(1),
        keeps=("front.shoulder", "back.shoulder", "front.armhole", "back.armhole", "front.neck", "back.neck"),
        usual="1/4 to 1/2 in (0.6 to 1.3 cm), or a pad",
    ),
    Fault(
        "forward_shoulder",
        sign="the bone of the shoulder lies in front of the shoulder seam, and the front of the armhole presses on "
        "it",
        pin="chalk where the seam is to lie at the tip, over the middle of the bone, and measure from the seam to "
        "the chalk",
        change="shoulder seam brought forward at the tip, to nothing at the neck: off the front, on to the back",
        stays="the shoulders, and front and back armhole together; the notch at the top of the sleeve goes along",
        way=forward_shoulder, most=inch(1), keeps=("front.shoulder", "back.shoulder", "front.neck", "back.neck"),
        usual="1/4 to 1/2 in (0.6 to 1.3 cm)",
    ),
    Fault(
        "broad_shoulder",
        sign="the armhole seam lies inside the bone at the tip of the shoulder, and pulls",
        pin="measure at the tip of the shoulder, from the armhole seam out to the bone",
        change="shoulder longer: the upper armhole turned out about a place 3 in (7.5 cm) down it, and smoothed",
        stays="armholes and neck",
        way=broad_shoulder, most=inch(1), least=mm(1),
        keeps=("front.armhole", "back.armhole", "front.neck", "back.neck"), usual="1/4 to 5/8 in (0.5 to 1.5 cm)",
    ),
    Fault(
        "narrow_shoulder",
        sign="the armhole seam hangs over the bone at the tip of the shoulder, on to the arm",
        pin="measure at the tip of the shoulder, from the bone out to the armhole seam",
        change="shoulder shorter: the upper armhole turned in about a place 3 in (7.5 cm) down it, and smoothed",
        stays="armholes and neck",
        way=narrow_shoulder, most=inch(1), least=mm(1),
        keeps=("front.armhole", "back.armhole", "front.neck", "back.neck"), usual="1/4 to 5/8 in (0.5 to 1.5 cm)",
    ),
)  # fmt: skip
