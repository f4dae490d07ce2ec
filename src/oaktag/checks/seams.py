"""Walking the seams, and looking at the corners that meet when they are sewn."""

from __future__ import annotations

from collections.abc import Iterator

from ..claims.measure import corner_angle_deg, edge_of, seam_sides
from ..geometry.path import place_at
from ..geometry.point import direction, distance, turn_deg
from ..model.finding import Finding, Severity
from ..model.pattern import Pattern
from ..model.piece import Join
from ..model.ref import Ref, words_of
from ..units import Unit, show
from .rule import check, found

SMOOTH_DEG = 3.0
"""A run passes a seam smoothly within this angle (common practice, no source)."""
NOTCH_LIMIT = 0.5


@check(error="seam.*", warning="seam.*")
def seam_lengths(pattern: Pattern) -> Iterator[Finding]:
    """Both sides of every seam, against the sewing ease that is meant; what is sewn to itself fits."""
    for seam in pattern.draft.seams:
        if seam.to_itself:
            continue
        a, b, all_round = seam_sides(pattern, seam)
        ease = a - b
        held = seam.least <= ease <= seam.most
        say = f"{seam.name}: {words_of(seam.a)} {show(a, pattern.unit)}, {words_of(seam.b)} {show(b, pattern.unit)}"
        say += ", all round; " if all_round else "; "
        say += f"{show(seam.ease, pattern.unit)} of sewing ease" if seam.ease else "no sewing ease"
        off, limit = ease - seam.ease, seam.least if round(ease, 3) < seam.ease else seam.most
        told = not held and abs(off) <= pattern.draft.by_hand
        yield found(
            "seam." + seam.name.replace(" ", "-"), Severity.WARNING if told else Severity.ERROR, held, ease, limit,
            f"{say}, as meant.",
            f"{say} is meant, {_at_least(abs(off), pattern.unit)} {'too much' if off > 0 else 'too little'}. "
            + _trued(ease, told, pattern.draft.by_hand),
            digits=3,
        )  # fmt: skip


def _trued(ease: float, told: bool, by_hand: float) -> str:
    """What to do about a seam whose sides do not fit."""
    if told:
        accept = f'to accept it write ease = "{ease:.1f} mm" below its [[seams]]'
        return f"Drawn by hand, it may be eased in: {accept}; else true the longer edge in the drawing."
    if by_hand:
        return "True the longer edge in the drawing, or say with ease how much is meant to be eased in."
    return "True the longer edge, or change the option that shapes it."


def _at_least(mm: float, unit: Unit) -> str:
    """A small length that is never told as nothing."""
    words = show(mm, unit)
    return f"{mm:.1f} mm" if words.startswith("0 ") else words


@check(error="notches.meet", warning="notches.meet")
def notches_meet(pattern: Pattern) -> Iterator[Finding]:
    """Notches of the same name on two edges of one name lie at the same sewn distance, but for what is eased in. Those
    of a dart or pleat, at what is folded away along one of them, have no partner."""
    for seam in pattern.draft.seams:
        alike = len(seam.a) == len(seam.b) == 1 and seam.a[0].edge == seam.b[0].edge
        if not alike or seam.to_itself or seam.a[0].start or seam.b[0].start or seam.how == "onto a line":
            continue
        a, b = _notch_places(pattern, seam.a[0]), _notch_places(pattern, seam.b[0])
        if not a and not b:
            continue
        worst = max((abs(x - y) for x, y in zip(a, b, strict=False)), default=0.0)
        long = edge_of(pattern, seam.b[0]).sewn_length()
        turned = sorted(long - y for y in b)  # the edges of two pieces that mirror each other run opposite ways
        opposite = max((abs(x - y) for x, y in zip(a, turned, strict=False)), default=0.0)
        worst = min(worst, opposite)
        limit = NOTCH_LIMIT + abs(seam.ease)
        held = worst <= limit and len(a) == len(b)
        wrong = (
            f"notches lie {_at_least(worst, pattern.unit)} apart when sewn. Move the notch on one side."
            if len(a) == len(b)
            else f"{seam.a[0]} has {len(a)} notch(es), {seam.b[0]} {len(b)}. Give both sides the same."
        )
        told = not held and len(a) == len(b) and worst <= pattern.draft.by_hand
        yield found(
            "notches.meet", Severity.WARNING if told else Severity.ERROR, held, worst, round(limit, 3),
            f"{seam.name}: {min(len(a), len(b))} pair(s) of notches meet when sewn.", f"{seam.name}: {wrong}",
            digits=3,
        )  # fmt: skip


def _notch_places(pattern: Pattern, ref: Ref) -> list[float]:
    drawn = pattern.piece(ref.piece).cut.piece
    edge = drawn.edge(ref.edge)
    skipped, folds = ("bust dart", "dart"), [at for take in edge.takes for at in (take.start, take.end)]
    own = [n.at for n in drawn.notches if n.edge == ref.edge and n.name not in skipped]
    return sorted(edge.sewn(at) for at in own if all(abs(at - fold) > 0.05 for fold in folds))


def _before(join: Join) -> str:
    return "" if join.before_deg is None else f"; {join.before_deg:+z.1f}° as chalked, trued with a curve"


@check(warning="corner.dart")
def darts_true(pattern: Pattern) -> Iterator[Finding]:
    """An edge in which a dart opens runs smoothly when the dart is closed."""
    for piece in pattern.pieces:
        drafted = piece.cut.piece
        open_darts = [dart for dart in drafted.darts if dart.is_open]
        for edge in drafted.edges if open_darts else ():
            for take in (take for take in edge.takes if take.kind == "dart"):
                p, arriving = place_at(edge.curves, take.start - 0.01)
                q, leaving = place_at(edge.curves, take.end + 0.01)
                dart = min(open_darts, key=lambda d: distance(d.points[0], p) + distance(d.points[-1], q))
                tip = dart.points[1]
                closing = turn_deg(direction(tip, p), direction(tip, q))
                off = turn_deg(arriving, leaving) - closing
                off = (off + 180) % 360 - 180
                yield found(
                    "corner.dart", Severity.WARNING, abs(off) <= SMOOTH_DEG, off, SMOOTH_DEG,
                    f"{piece.name}: the {edge.name} runs smoothly over the closed {dart.name} dart ({off:+z.1f}°).",
                    f"{piece.name}: with the {dart.name} dart closed the {edge.name} has a corner of {abs(off):.1f}°. "
                    "Close the dart and true it with a curved ruler.",
                    unit="deg",
                )  # fmt: skip


@check(warning="corner.*")
def corners_true(pattern: Pattern) -> Iterator[Finding]:
    """A run that goes on across a seam has no corner there: the two angles add up to 180°."""
    for join in pattern.draft.joins:
        total = corner_angle_deg(pattern, join.first) + corner_angle_deg(pattern, join.second)
        off = total - 180.0
        name = "corner." + join.name.split(" across ")[0].replace(" ", "-")
        yield found(
            name, Severity.WARNING, abs(off) <= SMOOTH_DEG, off, SMOOTH_DEG,
            f"{join.name}: runs smoothly ({off:+z.1f}°{_before(join)}).",
            f"{join.name}: there is a {'peak' if off < 0 else 'dip'} of {abs(off):.1f}°. "
            + (join.mend or "Join the pieces and true it with a curved ruler."),
            unit="deg",
        )  # fmt: skip
