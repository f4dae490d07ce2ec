"""A fitted sheath dress by the quarter-measure method, drafted as on folded cloth.

      ns────                 origin: the top line (shoulder-neck level) on the centre line; x outwards, y up
    nc )     ╲ st            nc neck centre   ns neck side   st shoulder tip
      │       ( ma           ma mid armhole   ua underarm    ws waist side
      │        ╲__ ua        hs hip side      he hem side
      │   ◊      )           ◊  waist dart, double-ended
      │   ◊     ( ws
      │          ╲           front: cut on the fold
      │           ) hs       back: as the front, but for the neck depth, a centre back seam with a zip,
      │          │           and a vent or slit
      └──────────┘ he
Rules: common practice, no source. Fit figures: see each step, and the checks.
"""

from __future__ import annotations

from math import atan, degrees
from typing import Final

from ..body.estimates import estimate
from ..body.measurements import Measurements
from ..body.whom import WOMEN
from ..draft.garment import Garment, Names, Style
from ..geometry.point import Point
from ..model.draft import BodyLength, DartPoint, Draft, Level, TakenIn
from ..model.piece import Corner, Join, Seam, sew
from ..model.ref import Ref, refs
from ..units import Unit
from .sheath.arm import cap_sleeve_piece, draft_sleeve_of, sleeve_piece
from .sheath.facings import draft_facings, interfacing_of
from .sheath.half import Half, draft_half, length_taken
from .sheath.lining import default_allowances, draft_lining
from .sheath.openings import draft_entry, draft_walk, draft_zip
from .sheath.shaping import MOST_AT_SIDE, less_at_hem, less_at_side, less_bulge, nearer_bust_point
from .sheath.shell import back_on_fold, draft_shell, lower_name, smooth_across, upper_name
from .sheath.style import ALLOWANCES, INSTEAD, OPTIONS, PIECES, SEWING_ORDER, USES, Asked, needs, usual_allowances
from .sheath.wishes import WISHES


def sheath_dress(body: Measurements, style: Style, unit: Unit) -> Draft:
    """Front, back, sleeve (or armhole facings) and neck facings.

    Raises DraftError, with the measurement or option to change, for a body the method cannot serve.
    """
    asked = Asked(style)
    waist_seam = asked.choice("waist_seam") == "yes"
    notes: list[str] = []

    def taken_or_assumed(name: str) -> float:
        value = body.get(name)
        if value is not None:
            return value
        guess = estimate(name, body, unit)
        notes.append(f"{name} was not measured; assumed {guess.words}.")
        return guess.value

    waist_to_hip = taken_or_assumed("waist_to_hip")
    bust_points = taken_or_assumed("bust_point_width")

    front, front_steps = draft_half("front", body, asked, unit, waist_to_hip, bust_points, notes)
    back, back_steps = draft_half("back", body, asked, unit, waist_to_hip, bust_points, [])
    zipper, zip_steps = draft_zip(body, asked, unit, front, back)
    walk, walk_steps = draft_walk(body, asked, unit, front, back, zipper, notes)
    shell = draft_shell(front, back, asked, unit, zipper, walk)
    pieces = list(shell.pieces)
    seams, joins = _shell_seams(front, back, asked, unit)
    steps = [*front_steps, *back_steps, *zip_steps, *walk_steps]

    sleeve_fit = None
    kind = asked.choice("sleeve")
    armholes = tuple(f"{upper_name(half.name, waist_seam)}.armhole" for half in (front, back))
    if kind != "none":
        sleeve, sleeve_fit, sleeve_steps = draft_sleeve_of(body, asked, unit, front, back, taken_or_assumed, notes)
        pieces.append((cap_sleeve_piece if kind == "cap" else sleeve_piece)(sleeve, front, back))
        steps += sleeve_steps
        ease = asked.length("cap_ease")
        free = front.armhole[0].length() + back.armhole[0].length() if kind == "cap" else 0.0
        seams.append(sew("sleeve cap", "sleeve.cap", to=armholes, ease=ease, free=free))
        if kind != "cap":
            seams.append(sew("underarm seam", "sleeve.underarm_front", to="sleeve.underarm_back"))
            joins += [
                Join(words, Corner("sleeve", run, "underarm_front"), Corner("sleeve", run, "underarm_back"))
                for words, run in (("cap across the underarm", "cap"), ("sleeve hem across the underarm", "hem"))
            ]

    facings = draft_facings(front, back, asked, unit, back_on_fold(zipper, walk), notes)
    sewn_in = next((piece for piece in pieces if piece.name == "sleeve"), None)
    lining = draft_lining(front, back, asked, unit, zipper, walk, facings, sewn_in, notes)
    pieces += [*facings.pieces, *lining.pieces]
    if asked.choice("interfacing") == "yes":
        pieces += [interfacing_of(facing) for facing in facings.pieces]
    for made in (facings, lining):
        seams += made.seams
        joins += made.joins
        steps += made.steps

    necks = tuple(Ref(upper_name(half.name, waist_seam), "neckline") for half in (front, back))
    entry = draft_entry(body, asked, unit, necks, notes)
    back_length = body.get("back_waist_length")
    lengths = (
        ()
        if back_length is None
        else (BodyLength("centre back", upper_name("back", waist_seam), "nape", "waist_side", back_length),)
    )
    levels = (
        Level("bust", -front.points["underarm"].y, body["bust_girth"], asked.length("ease_bust")),
        Level(
            "waist",
            -front.points["waist_side"].y,
            body["waist_girth"],
            asked.length("ease_waist"),
            refs("bodice_front.waist", "bodice_back.waist") if waist_seam else (),
        ),
        Level("hip", -front.points["hip_side"].y, body["hip_girth"], asked.length("ease_hip")),
    )
    dart_points: tuple[DartPoint, ...] = ()
    if front.bust_level is not None and front.darts:
        bust_point = Point(bust_points / 2, -front.bust_level)
        chest = -front.points["underarm"].y
        mend = nearer_bust_point(asked, front.bust_level, chest, front.drop, unit, length_taken(body))
        dart_points = (DartPoint(upper_name("front", waist_seam), "waist", bust_point, mend),)
    return Draft(
        garment="sheath-dress",
        pieces=tuple(pieces),
        seams=tuple(seams),
        joins=tuple(joins),
        girths=shell.girths,
        levels=levels,
        lengths=lengths,
        dart_points=dart_points,
        sides=_sides(front, back, asked, bust_points / 2, unit),
        steps=tuple(steps),
        notes=tuple(notes),
        body=body,
        style={name: value for name, value in style.items() if value is not None},
        default_allowances={**usual_allowances(unit), **default_allowances(tuple(pieces), unit)},
        zip=zipper,
        walk=walk,
        sleeve=sleeve_fit,
        entry=entry,
        sewing_order=SEWING_ORDER,
    )


def _sides(front: Half, back: Half, asked: Asked, first_dart: float, unit: Unit) -> tuple[TakenIn, ...]:
    """How much the side seam takes in at the waist, from above and from below, and at a pegged hem."""
    waist_seam = asked.choice("waist_seam") == "yes"
    above, below = ([name(half.name, waist_seam) for half in (front, back)] for name in (upper_name, lower_name))
    at_waist = (
        *((piece, "hip_side", "waist_side") for piece in below),
        *((piece, "underarm", "waist_side") for piece in above),
    )
    found = TakenIn("waist", at_waist, MOST_AT_SIDE, less_at_side(asked, front.quarter, first_dart, unit))
    if asked.choice("hem") != "pegged":
        return (found,)
    at_hem = tuple((piece, "hip_side", "hem_side") for piece in below)
    return found, TakenIn("hem", at_hem, MOST_AT_SIDE, less_at_hem(unit))


def _shell_seams(front: Half, back: Half, asked: Asked, unit: Unit) -> tuple[list[Seam], list[Join]]:
    """Shoulder, side and waist; and the runs that pass smoothly over them."""
    waist_seam = asked.choice("waist_seam") == "yes"
    (fu, bu), (fl, bl) = (
        tuple(name(half.name, waist_seam) for half in (front, back)) for name in (upper_name, lower_name)
    )
    seams = [sew("shoulder seam", f"{fu}.shoulder", to=f"{bu}.shoulder")]
    if waist_seam:
        seams += [
            sew("bodice side seam", f"{fu}.side", to=f"{bu}.side"),
            sew("skirt side seam", f"{fl}.side", to=f"{bl}.side"),
            sew("front waist seam", f"{fu}.waist", to=f"{fl}.waist"),
            sew("back waist seam", f"{bu}.waist", to=f"{bl}.waist"),
        ]
    else:
        seams.append(sew("side seam", f"{fu}.side", to=f"{bu}.side"))
    bulging = less_bulge(asked, front.quarter, unit)
    chalked = -2 * degrees(atan(front.side_slope))
    joins = [
        smooth_across("neckline across the shoulder", fu, bu, "neckline", "shoulder"),
        smooth_across("armhole across the shoulder", fu, bu, "armhole", "shoulder"),
        smooth_across("underarm across the side", fu, bu, "armhole", "side", chalked, bulging),
        smooth_across("hem across the side", fl, bl, "hem", "side"),
    ]
    if waist_seam:
        joins += [
            smooth_across("bodice waist across the side", fu, bu, "waist", "side"),
            smooth_across("skirt waist across the side", fl, bl, "waist", "side"),
        ]
    return seams, joins


GARMENT: Final = Garment(
    name="sheath-dress",
    words="fitted sheath dress for women, knee length, centre back zip, set-in sleeve or none, neck facings",
    draft=sheath_dress,
    needs=needs,
    options=OPTIONS,
    names_of=lambda: Names(USES, ("centre_front", *ALLOWANCES), PIECES),
    for_whom=WOMEN,
    instead=INSTEAD,
    wishes=WISHES,
)  # fmt: skip
