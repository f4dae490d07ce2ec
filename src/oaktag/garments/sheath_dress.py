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

from typing import Final

from ..body.estimates import estimate
from ..body.measurements import Measurements
from ..draft.garment import Garment, Style
from ..model.draft import Draft, Level
from ..model.piece import Corner, Join, Seam
from ..units import Unit
from .sheath.arm import draft_sleeve_of, sleeve_piece
from .sheath.facings import armhole_facing, neck_facing
from .sheath.half import draft_half
from .sheath.openings import draft_walk, draft_zip
from .sheath.shell import back_piece, front_piece
from .sheath.style import ALLOWANCES, OPTIONS, USES, Asked, needs


def sheath_dress(body: Measurements, style: Style, unit: Unit) -> Draft:
    """Front, back, sleeve (or armhole facings) and neck facings.

    Raises DraftError, with the measurement or option to change, for a body the method cannot serve.
    """
    asked = Asked(style)
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
    zipper, zip_steps = draft_zip(body, asked, front, back)
    walk, walk_steps = draft_walk(body, asked, unit, front, back, zipper, notes)

    pieces = [front_piece(front), back_piece(back, zipper, walk, asked)]
    seams = [
        Seam("shoulder seam", ("front.shoulder",), ("back.shoulder",)),
        Seam("side seam", ("front.side",), ("back.side",)),
    ]
    joins = [
        Join(f"{run} across the {seam}", Corner("front", run, seam), Corner("back", run, seam))
        for run, seam in (("neckline", "shoulder"), ("armhole", "shoulder"), ("hem", "side"))
    ]
    steps = [*front_steps, *back_steps, *zip_steps, *walk_steps]

    sleeve_fit = None
    if asked.choice("sleeve") != "none":
        sleeve, sleeve_fit, sleeve_steps = draft_sleeve_of(body, asked, unit, front, back, taken_or_assumed)
        pieces.append(sleeve_piece(sleeve, front, back))
        steps += sleeve_steps
        ease = asked.length("cap_ease")
        seams += [
            Seam("sleeve cap", ("sleeve.cap",), ("front.armhole", "back.armhole"), ease, ease - 0.5, ease + 0.5),
            Seam("underarm seam", ("sleeve.underarm_front",), ("sleeve.underarm_back",)),
        ]
        joins += [
            Join(words, Corner("sleeve", run, "underarm_front"), Corner("sleeve", run, "underarm_back"))
            for words, run in (("cap across the underarm", "cap"), ("sleeve hem across the underarm", "hem"))
        ]

    for half, fold in ((front, True), (back, False)):
        facing, facing_steps = neck_facing(half, asked, unit, fold, notes)
        pieces.append(facing)
        steps += facing_steps
        seams.append(Seam(f"{half.name} facing to neck", (f"{facing.name}.neckline",), (f"{half.name}.neckline",)))
    seams.append(Seam("facing shoulder seam", ("facing_front.shoulder",), ("facing_back.shoulder",)))

    if asked.choice("sleeve") == "none":
        for half in (front, back):
            facing, facing_steps = armhole_facing(half, asked, unit, notes)
            pieces.append(facing)
            steps += facing_steps
            seams.append(Seam(f"{half.name} facing to armhole", (f"{facing.name}.armhole",), (f"{half.name}.armhole",)))
        a, b = "armhole_facing_front", "armhole_facing_back"
        seams += [
            Seam("armhole facing shoulder seam", (f"{a}.shoulder",), (f"{b}.shoulder",)),
            Seam("armhole facing side seam", (f"{a}.side",), (f"{b}.side",)),
        ]

    levels = (
        Level("bust", front.points["underarm"].y, body["bust_girth"], asked.length("ease_bust")),
        Level("waist", front.points["waist_side"].y, body["waist_girth"], asked.length("ease_waist")),
        Level("hip", front.points["hip_side"].y, body["hip_girth"], asked.length("ease_hip")),
    )
    return Draft(
        garment="sheath-dress",
        pieces=tuple(pieces),
        seams=tuple(seams),
        joins=tuple(joins),
        levels=levels,
        steps=tuple(steps),
        notes=tuple(notes),
        body=body,
        style={name: value for name, value in style.items() if value is not None},
        default_allowances=ALLOWANCES,
        zip=zipper,
        walk=walk,
        sleeve=sleeve_fit,
    )


GARMENT: Final = Garment(
    name="sheath-dress",
    words="fitted sheath dress, knee length, centre back zip, set-in sleeve or none, neck facings",
    draft=sheath_dress,
    needs=needs,
    uses=USES,
    options=OPTIONS,
    edges=("centre_front", *ALLOWANCES),
    pieces=(
        "front", "back", "sleeve", "facing_front", "facing_back", "armhole_facing_front", "armhole_facing_back",
    ),
)  # fmt: skip
