"""Knit cloth: what its stretch lets a garment be smaller than the body, and what it must not; neckbands and cuffs.

By classes of stretch across: 0 to 25 % nothing is taken off, to 50 % 2.5 %, to 75 % 4 %, to 100 % 7.5 %, above, and
where cloth stretches by 60 % both ways, 10 %, and 5 % of the lengths (starting values: the classes from sewing
teachers, the amounts from memory or chosen). Cloth that does not come back by 90 % is taken in by nothing (chosen).
A garment smaller by r is stretched by 1 ÷ (1 − r) − 1 in wear (geometry); a top may use half of the stretch, leggings
0.6, a seam 0.4, and what passes over the head once 0.8 (chosen). A flat band of width w lies flat round a neck of girth
N at 1 − π w ÷ N of it; round a V, whose point is mitred, as much less is lost as turns at the point (geometry). Round
a round neck a band is 0.9 of it where it stretches by 25 %, 0.875 of jersey, 0.85 in general, 0.75 of rib from 60 %
(four sewing teachers), no more than lies flat; round a V just that. Cloth that does not come back wholly is cut so much
shorter (geometry). No band is shorter than passes the head. A cuff is 0.85 of the sleeve's hem (chosen, of 0.8 to 0.9),
and passes the hand.
"""

from __future__ import annotations

from math import atan2, ceil, pi
from typing import Final

from ...claims.openings import Passes
from ...draft.board import Board
from ...draft.options import percent
from ...model.length import Length, greatest, inch, mm, total
from ...model.piece import Cut, LineKind, Piece, sew
from ...model.ref import refs
from ...values import replace
from .part import Part, long_of

TOP: Final = 0.5
"""Of the stretch that cloth has, so much may be used in wear by a top (worked rules; chosen)."""
LEGS: Final = 0.6
"""By leggings."""
TO_PASS: Final = 0.8
"""And so much to pull it over the head, the hip, a hand or a foot (worked rules; chosen)."""
RECOVERS: Final = 0.9
"""Cloth that comes back by less is not made smaller than the body (common practice, no source)."""
CUFF: Final = 0.85
"""A cuff, of the hem of its sleeve."""
_BANDS: Final = ((0.25, 0.9), (0.4, 0.875), (0.59, 0.85), (9.0, 0.75))
"""A neckband, of its neckline, by the stretch of its cloth."""
_STEP: Final = 0.05
"""A band that is longer than usual, so that the head passes, is so by whole steps of its neckline (chosen)."""
_GAPES: Final = 0.05
"""A band that is so much longer than lies flat may gape (common practice, no source)."""
BOTH_WAYS: Final = 0.6
"""Cloth that stretches so far both ways is for dance and swimming."""
_CLASSES: Final = ((0.25, 0.0), (0.5, 0.025), (0.75, 0.04), (1.0, 0.075))
_MOST: Final = 0.1


def usual_reduction(stretch: float, along: float, recovery: float) -> tuple[float, float]:
    """What is taken off girths and off lengths of the body, by the class of the cloth, parts of one.

    >>> usual_reduction(0.2, 0.1, 0.95), usual_reduction(0.4, 0.2, 0.95), usual_reduction(0.8, 0.7, 0.95)
    ((0.0, 0.0), (0.025, 0.0), (0.1, 0.05))
    """
    if recovery < RECOVERS:
        return 0.0, 0.0
    if min(stretch, along) >= BOTH_WAYS:
        return _MOST, _MOST / 2
    return next((less for most, less in _CLASSES if stretch <= most), _MOST), 0.0


def used_in_wear(reduce: float) -> float:
    """How far the body stretches what is smaller by so much.

    >>> round(used_in_wear(1 / 3), 3)
    0.5
    """
    return 1 / (1 - reduce) - 1


def taken_in(on: Board, reduce: float | None, stretch: float, along: float, recovery: float) -> tuple[float, float]:
    """Parts of girths and lengths that are taken off; refused where cloth cannot give so much at all, or bags. Whether
    more is used than it should be in wear is for a claim (StretchUsed) to say."""
    usual, off_lengths = usual_reduction(stretch, along, recovery)
    if reduce is None:
        why = (f"cloth that comes back by {percent(recovery)} bags: nothing is taken off (common practice, no source)"
               if recovery < RECOVERS else
               f"girths are {percent(usual)} smaller than the body, by the stretch of the cloth ({percent(stretch)}; a "
               "starting value, from memory)")  # fmt: skip
        on.note(f"{why[0].upper()}{why[1:]}. Make a trial of the same cloth.")
        return usual, off_lengths
    if reduce and recovery < RECOVERS:
        on.refuse(f"cloth that comes back by {percent(recovery)} bags, and is not made smaller than the body",
                  f"reduce to 0, or take a cloth of {percent(RECOVERS)} recovery or more")  # fmt: skip
    if used_in_wear(reduce) > stretch + 1e-9:
        on.refuse(f"taken in by {percent(reduce)}, it is stretched by {used_in_wear(reduce):.0%} in wear, and cloth "
                  f"that gives {percent(stretch)} never goes round a body that is more than "
                  f"{1 - 1 / (1 + stretch):.1%} larger than it",
                  "reduce to less, or stretch for a cloth that has more")  # fmt: skip
    return reduce, off_lengths


def as_knit(on: Board, *pieces: Piece, shoulder: str = "") -> tuple[Piece, ...]:
    """The pieces, of cloth that gives and lies one way; and how it is sewn is told. `shoulder`: seams to be taped."""
    on.note("Sew with a stretch or ball-point needle and a stitch that gives: an overlock, or a narrow zigzag (2.5 mm "
            "long, 0.5 mm wide); try it on a scrap, stretched. Cut no notch into so narrow an allowance: let it stand "
            "out, or mark it with chalk.")  # fmt: skip
    on.note("Knit cloth shades and ladders by its way: all pieces lie the same way up. Let it rest flat before it is "
            "cut, and do not let it hang off the table (common practice, no source).")  # fmt: skip
    if shoulder:
        on.note(f"Sew tape into the {shoulder}, as long as the pattern has it, or it grows in wear (common practice, "
                "no source).")  # fmt: skip
    return tuple(replace(piece, one_way=True, gives=True) for piece in pieces)


# ---------------------------------------------------------------- neckbands and cuffs


def flat_ratio(wide: Length, line: Length, turns: float = 2 * pi) -> float:
    """How long a band so wide is, of the neckline round which it lies flat; that bends by so much in all, radians.

    >>> round(flat_ratio(mm(25), mm(560)), 2)
    0.86
    """
    return 1 - wide.over(line) * turns / 2


def usual_ratio(gives: float, recovery: float, flat: float) -> float:
    """A band of a round neckline, by the stretch of its cloth; no more than lies flat when it has come back as it does.

    >>> [usual_ratio(gives, 1.0, 1.0) for gives in (0.25, 0.35, 0.5, 0.65)], round(usual_ratio(0.3, 0.8, 0.84), 3)
    ([0.9, 0.875, 0.85, 0.75], 0.8)
    """
    return min(next(ratio for most, ratio in _BANDS if gives <= most), _come_back(recovery, flat))


def _come_back(recovery: float, flat: float) -> float:
    return 1 - (1 - flat) / recovery


def neckband(
    on: Board, front: Piece, back: Piece, wide: Length, ratio: float | None, gives: float, recovery: float,
    head: Length, known: str, *, change: str,
) -> Part:  # fmt: skip
    """A doubled band for a neckline of two halves on the fold, stretched on as it is sewn: joined at the centre back;
    where the front neck comes to a point, mitred there and on the fold at the back. Claimed: that the head passes.

    `ratio`, of the neckline, is worked out where it is None; `gives` is the stretch of the band's cloth. `change` says
    what lets a head pass, and has `{more}`.
    """
    half_line = total(long_of(front, "neck"), long_of(back, "neck")).called("half neckline")
    out = front.edge("neck").curves[-1].way(1.0)
    point = atan2(abs(out.x), abs(out.y))  # half the angle of the point; a right angle on a round neck
    mitred = point < pi / 2 - 0.1
    flat = flat_ratio(wide, half_line * 2, pi + 2 * point)
    passing = min(1.0, ceil((head + mm(1)).over(half_line * 2) / (1 + TO_PASS * gives) / _STEP - 1e-9) * _STEP)
    usual = _come_back(recovery, flat) if mitred else usual_ratio(gives, recovery, flat)
    # one share for all sizes: so it is sewn alike, and graded by rules
    part = float(on.settle("band_ratio", f"{max(usual, passing):.4g}")) if ratio is None else ratio
    if ratio is None:
        by = "by the stretch of its cloth, and so that it lies flat (four sewing teachers; geometry)"
        by = "so that it lies flat (geometry)" if mitred else by
        on.note(f"The neckband is {part:.0%} of the neckline, {'so that the head passes' if passing > usual else by}.")
    if part > flat + _GAPES:
        on.note(f"A neckband {on.say(wide)} wide lies flat at {flat:.0%} of the neckline, and {part:.0%} may gape: "
                "make band_wide less, or neck_wider or neck_deeper more.")  # fmt: skip
    half_band = (half_line * round(part, 4)).called("half neckband")
    s = on.sketch("neckband", Cut("fold"))
    if mitred:
        short = wide * abs(out.y / out.x)
        if short > half_band * 0.5:
            on.refuse(f"the neckline's point is too steep for a band {on.say(wide)} wide",
                      "band_wide or neck_deeper to less")  # fmt: skip
        s.at("top_left")
        s.at("fold_start", down=wide)
        s.at("bottom_left", down=wide * 2)
        s.at("bottom_right", right=half_band, down=wide * 2)
        s.at("top_right", right=half_band)
        s.at("fold_end", left=short, down=wide, of="top_right")
        s.fold("centre_back", "top_left", "bottom_left")
        s.edge("neck", "bottom_left", "bottom_right")
        s.edge("mitre_seam", "bottom_right", "fold_end")
        s.edge("mitre_inside", "fold_end", "top_right")
        s.edge("neck_inside", "top_right", "top_left")
        ends, run = ("neckband.mitre_seam", "neckband.mitre_inside"), ("back.neck", "front.neck")
        joins = (sew("band mitre", *ends, to=ends),)
        on.note("Sew the mitre of the neckband first, in one row over its fold, and clip both seams into its points; "
                "mark the point of the neckline with a row of small stitches, and clip to it.")  # fmt: skip
    else:
        s.box(half_band, wide * 2, ("centre_front", "neck", "join", "neck_inside"), fold="centre_front")
        s.at("fold_start", down=wide)
        s.at("fold_end", right=half_band, down=wide)
        joins, run = (sew("band join", "neckband.join", to="neckband.join"),), ("front.neck", "back.neck")
    s.line("fold", "fold_start", "fold_end", kind=LineKind.FOLD)
    over = (half_band - half_line).mm if part < 1 else 0.0
    neck = sew("neck seam", "neckband.neck from start to end", to=run, ease=over)
    wanted = max(0.0, head.over(half_band * 2) - 1)
    on.note(f"The neckband is {on.say(half_band * 2)} round and must stretch by {wanted:.0%} to pass the head; its "
            f"cloth may give {TO_PASS * gives:.0%}.")  # fmt: skip
    passes = Passes("entry.neckband", change, "neckband", refs("neckband.neck"), "head", head, known, 0.0,
                    TO_PASS * gives)  # fmt: skip
    sewn = ("mitre_seam", "mitre_inside") if mitred else ("join",)
    widths = dict.fromkeys((*sewn, "neck_inside"), on.usual(inch(0.25)))
    return Part((replace(s.piece(), gives=True),), (*joins, neck), (passes,), widths=widths)


def ribbed_cuff(on: Board, hem: Length, wide: Length, gives: float, hand: Length, known: str) -> Part:
    """A closed, doubled cuff stretched on to the sleeve's `wrist_edge`, `hem` long. Claimed: that the hand passes."""
    long = least_passing(hem * CUFF, hand, gives).called("cuff")
    s = on.sketch("cuff", Cut("pair", 2))
    s.box(long, wide * 2, ("cuff_start", "cuff_seam", "cuff_end", "cuff_inside"))
    s.grain("bottom_left", "top_left")  # it stretches across
    s.at("fold_start", down=wide)
    s.at("fold_end", right=long, down=wide)
    s.line("fold", "fold_start", "fold_end", kind=LineKind.FOLD)
    over = (long - hem).mm if abs((long - hem).mm) > 0.1 else 0.0
    seams = (
        sew("cuff join", "cuff.cuff_start", to="cuff.cuff_end"),
        sew("cuff seam", "cuff.cuff_seam from start to end", to="sleeve.wrist_edge from end to start",
            ease=over),
    )  # fmt: skip
    edges = ("cuff_start", "cuff_seam", "cuff_end", "cuff_inside", "wrist_edge")
    return Part((replace(s.piece(), gives=True),), seams, (hand_passes("cuff", "cuff.cuff_seam", hand, known, gives),),
                widths=dict.fromkeys(edges, on.usual(inch(0.25))))  # fmt: skip


def least_passing(long: Length, part: Length, gives: float) -> Length:
    """An opening so long, or what the part of the body passes when it is stretched once."""
    return greatest(long, (part / (1 + TO_PASS * gives) + mm(1)))


def hand_passes(what: str, edge: str, hand: Length, known: str, gives: float) -> Passes:
    """Of a sleeve's hem or cuff, one of a pair."""
    change = "take cloth that stretches more, or correct hand_girth."
    return Passes("entry.hand", change, what, refs(edge), "hand", hand, known, 0.0, TO_PASS * gives, 2)
