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

from collections.abc import Mapping
from typing import Final

from ..body.whom import WOMEN
from ..draft.board import Board
from ..draft.signature import choice, count, flag, garment, length
from ..draft.sleeve import LEAST_BICEPS_EASE
from ..geometry.point import Point
from ..model.draft import Draft, Notion
from ..model.length import Length, greatest, inch, least, mm
from ..values import replace
from .sheath import half, shaping
from .sheath.arm import BICEPS_EASE, ELBOW_MORE, WIDENED_BICEPS_EASE, cap_sleeve_piece, draft_sleeve_of, sleeve_piece
from .sheath.facings import LEAST_FACING, draft_facings, interfacing_of
from .sheath.lining import draft_lining, own_widths
from .sheath.openings import draft_walk, draft_zip
from .sheath.promises import ADVICE, promises
from .sheath.sewing import sewn
from .sheath.shell import as_fitted, cut_at_waist, fitted_shells, shell_piece, with_opening, with_zip_end
from .sheath.wishes import WISHES

WAIST_TO_HEM: Final = inch(25)
"""Where the length is not told (common practice, no source)."""
WIDTHS: Final[Mapping[str, Length]] = {
    "side": inch(1.5), "underarm_front": inch(1.5), "underarm_back": inch(1.5), "shoulder": inch(0.5),
    "armhole": inch(0.5), "cap": inch(0.5), "neckline": inch(0.5), "hem": inch(2), "centre_back": inch(2),
    "slit": inch(2), "vent_top": inch(0.5), "vent_edge": inch(0.5), "outer_edge": inch(0.25), "top_edge": inch(0.5),
    "waist": inch(0.5), "cap_hem": inch(0.5),
}  # fmt: skip
"""Her allowances (common practice, no source): room to let out at the side, the zip at the centre back."""
_FOR_SLEEVE: Final[Mapping[str, tuple[str, ...]]] = {
    "none": (), "short": ("upper_arm_girth",), "cap": ("upper_arm_girth",),
    "elbow": ("upper_arm_girth", "arm_length"), "long": ("upper_arm_girth", "arm_length", "wrist_girth"),
}  # fmt: skip
"""What must be measured for a sleeve."""
_BETTER: Final = (
    "side_neck_to_waist", "waist_to_hip", "bust_point_width", "upper_arm_girth", "arm_length", "wrist_girth",
    "hand_girth", "stature", "waist_height", "knee_height", "crotch_height", "ankle_height", "knee_girth", "calf_girth",
    "ankle_girth", "thigh_girth", "front_waist_length", "bust_height", "scye_depth", "neck_base_girth",
    "shoulder_length", "head_girth", "top_hip_girth", "side_neck_height", "shoulder_height",
)  # fmt: skip
"""What serves the draft, its estimates and its checks where it was measured."""


@garment(
    "fitted sheath dress for women, knee length, centre back zip, set-in sleeve or none, neck facings",
    for_whom=WOMEN,
    instead={"back_waist_length": "side_neck_to_waist"},
    noun="dress",
    wishes=WISHES,
    shown_in=(
        {"sleeve": "none", "interfacing": "yes", "opening": "slit"},
        {"sleeve": "cap", "waist_seam": "yes", "lining": "full"},
        {"sleeve": "long", "lining": "full"},
    ),
)
def sheath_dress(
    on: Board,
    *,
    ease_bust: Length = length("wearing ease round the bust", inch(2), most=mm(300)),
    ease_waist: Length = length("wearing ease round the waist", inch(1), most=mm(300)),
    ease_hip: Length = length("wearing ease round the hip", inch(2), most=mm(300)),
    neck_width: Length | None = length(
        "half neck width", least=mm(40), most=mm(160), auto=False, where={"more": half.BOAT_WIDER},
        worked_out="bust girth ÷ 12; boat: {more} more; more for the head without a zip at the neck",
    ),
    front_neck_depth: Length | None = length(
        "front neck below the top line", least=mm(20), most=mm(350), auto=False,
        where={"square": half.SQUARE_DEEPER, "boat": half.BOAT_DEPTH},
        worked_out="round: bust girth ÷ 12; V: ÷ 6; square: ÷ 12 + {square}; boat: {boat}",
    ),
    back_neck_depth: Length = length("back neck below the top line", inch(1), least=mm(10), most=mm(300)),
    shoulder_drop: Length | None = length(
        "shoulder tip below the top line", most=mm(80), where={"usual": inch(1)},
        worked_out="{usual}; more or less by her own slope, where side_neck_height and shoulder_height are known",
    ),
    armhole_hollow: Length | None = length(
        "mid armhole inside the shoulder tip", most=mm(50), where={"usual": inch(0.5), "most": inch(1)},
        worked_out="{usual}; up to {most} where the shoulders are wide for the chest",
    ),
    armhole_depth_ease: Length = length("added to bust girth ÷ 6 and the shoulder drop", inch(1.5), most=mm(150)),
    dart_intake: Length | None = length(
        "what the waist dart takes in, in each half (two darts: together)", most=mm(100), where={"usual": inch(1)},
        worked_out="{usual} a dart, less where the waist leaves no room",
    ),
    waist_darts: int = count("waist darts in each half", 1, least=1, most=2),
    dart_top_drop: Length | None = length(
        "upper dart point below the chest line", most=mm(150), auto=False,
        where={"usual": shaping.BELOW_CHEST, "below": inch(1)},
        worked_out="front: {below} below the bust point; back, or bust_height not measured: {usual}",
    ),
    dart_end_rise: Length = length("lower dart point above the hip line", inch(2), most=mm(150)),
    length: Length | None = length(
        "top line to hem", least=mm(500), most=mm(1700), auto=False, where={"below": WAIST_TO_HEM},
        worked_out="waist line + {below}",
    ),
    hem: str = choice("shape below the hip", "pegged", "straight", "a-line"),
    peg: Length | None = length(
        "pegged hem: taken in at each side seam", most=mm(150), auto=False, worked_out="to a quarter of the waist"
    ),
    flare: Length = length("A-line hem: added at each side seam", inch(1.5), least=mm(5), most=mm(300)),
    neckline: str = choice("front neckline", "round", "v", "square", "boat"),
    waist_seam: bool = flag("bodice and skirt cut apart"),
    bust_dart: str = choice("bust dart, from the front length", "none", "side"),
    zip: str = choice("where the zip is", "back", "side", "none"),  # noqa: A002
    opening: str = choice("centre back opening at the hem", "auto", "vent", "slit", "none"),
    opening_length: Length | None = length(
        "vent or slit, from the hem up", least=inch(6), most=mm(900), worked_out="the shortest that lets her walk"
    ),
    vent_width: Length = length("vent extension beyond the centre back", inch(2), least=mm(20), most=mm(150)),
    zip_length: Length | None = length(
        "zip, from the back neck down", least=mm(200), most=mm(1000),
        worked_out="down to where the dress is as wide as the hip",
    ),
    facing_width: Length = length("neck facing, at the shoulder", inch(3), least=LEAST_FACING, most=mm(150)),
    armhole_facing_width: Length = length("armhole facing (no sleeve)", inch(2), least=LEAST_FACING, most=mm(100)),
    facing: str = choice("neck and armhole facing: two pieces, or one (no sleeve)", "separate", "all-in-one"),
    turn_of_cloth: Length = length("facing drawn inside the shell, so that the seam rolls in", mm(0), most=mm(6)),
    interfacing: bool = flag("interfacing for every facing"),
    lining: str = choice("lining from the facings to the hem", "none", "full"),
    lining_hem_rise: Length = length("lining hem above the finished hem", inch(1), least=mm(5), most=mm(200)),
    lining_pleat: Length = length("depth of the lining's centre back pleat (no zip there)", inch(1), most=mm(60)),
    sleeve: str = choice("sleeve", "short", "elbow", "long", "cap", "none"),
    sleeve_length: Length | None = length(
        "shoulder tip to sleeve hem", least=mm(80), most=mm(800), where={"more": ELBOW_MORE},
        worked_out="short: arm length × 2/5; elbow: arm length ÷ 2 + {more}; long: arm length; more under a high cap",
    ),
    ease_biceps: Length | None = length(
        "wearing ease round the upper arm", most=mm(250),
        where={"usual": BICEPS_EASE, "least": mm(LEAST_BICEPS_EASE), "most": WIDENED_BICEPS_EASE},
        worked_out="{usual}; {least} to {most} where the cap asks for it",
    ),
    cap_ease: Length = length("sewing ease of the sleeve cap", inch(0.75), most=mm(80)),
    ease_wrist: Length = length("wearing ease round the wrist, to pass the fist", inch(3), most=mm(250)),
) -> Draft:  # fmt: skip
    """Front, back, sleeve (or armhole facings) and neck facings.

    Raises DraftError, with the measurement or option to change, for a body the method cannot serve.
    """
    body = on.body
    on.take(
        "bust_girth", "waist_girth", "hip_girth", "shoulder_width", "back_waist_length", *_FOR_SLEEVE[sleeve],
        *(("front_waist_length",) if bust_dart == "side" else ()),
        also=_BETTER,
    )  # fmt: skip

    # what front and back share: levels, from the top line down, and widths
    waist_to_hip, _ = body.waist_to_hip, body.bust_point_width  # estimated first, where they were not taken
    drop, (waist, nape) = shoulder_drop or half.natural_drop(on), half.waist_and_nape(body)
    sixth = half.scye_part(on, waist)
    chest = (sixth + drop.plain + armhole_depth_ease).called("chest line")
    hip = (waist + waist_to_hip.plain).called("hip line")
    hem_line = length.told("length asked for") if length else waist + on.usual(WAIST_TO_HEM)
    hem_line = hem_line.called("hem line")
    tip = body.shoulder_width / 2
    neck = half.plain_neck(on, neckline, neck_width, front_neck_depth, back_neck_depth, sixth)
    if zip != "back":
        free = neck_width is None, front_neck_depth is None
        neck = half.neck_for_the_head(on, neck, free, Point(tip.mm, -drop.mm), chest.mm)
    quarter = shaping.quarters(on, (ease_bust, ease_waist, ease_hip), dart_intake, waist_darts)
    scooped = greatest(half.LEAST_SCOOP - (quarter.bust - tip), on.usual(inch(0.5)))
    hollow = armhole_hollow or least(scooped, inch(1))
    hem_across, hem_down = half.hem_side(on, hem, quarter, hip, hem_line, peg, flare)

    def chalked(name: str) -> half.Half:
        """From the top line down, as it is chalked on the fold."""
        s = on.sketch(name)
        for line, point in ((chest, "underarm"), (waist, "waist_side"), (hip, "hip_side"), (hem_line, "hem_centre")):
            s.tell(line, at=f"{point}.y", level=True)
        s.at("neck_side", right=neck.width.called("neck width"))
        s.at("neck_centre", down=(neck.front if name == "front" else neck.back).called(f"{name} neck depth"))
        s.at("shoulder_tip", right=tip, down=drop.told("below the top line"))
        half_way = ((drop + chest) / 2).told("half way between shoulder tip and chest line")
        s.at("mid_armhole", right=tip - hollow.plain, down=half_way)
        s.at("underarm", right=quarter.bust, down=chest)
        s.tell(quarter.darts, about=shaping.WAIST_DART)
        s.at("waist_side", right=quarter.waist_side, down=waist)
        s.at("hip_side", right=quarter.hip, down=hip)
        s.at("hem_side", right=hem_across, down=hem_down)
        s.at("hem_centre", down=hem_line)
        if name == "back":
            s.at("nape", down=nape)
        half.refuse(on, s)
        shaping.darts_fit(name, quarter, body.bust_point_width.mm / 2, on.unit)
        level = side_dart = None
        if name == "front":
            level = shaping.bust_level(on, s)
            if bust_dart == "side":
                side_dart = shaping.bust_dart(on, s, level, waist, half.length_taken(body))
        depths = chest, waist, hip
        darts = shaping.waist_darts(on, s, quarter, dart_end_rise, dart_top_drop, side_dart, level, depths)
        curves, bust_point = half.curves_of(s, neck, hem), None if level is None else level.mm
        return half.Half(name, s.points, s, waist_seam, darts, quarter, *curves, side_dart, bust_point)

    front, back = chalked("front"), chalked("back")

    # getting in, and walking
    zipper = draft_zip(on, zip, zip_length, front, back)
    opened, assumed = draft_walk(on, opening, opening_length, vent_width, hem, front, back, zipper)

    # the pieces
    plain = tuple(shell_piece(each, opened) for each in (front, back))
    shells = fitted_shells(on, front, plain)
    if shells != plain:
        front, back = as_fitted(front, shells[0]), as_fitted(back, shells[1])
        if opened.back_end is not None:
            zipper = draft_zip(on, zip, zip_length, front, back, told=False)
            opened = replace(opened, zipper=zipper)
            shells = shells[0], with_zip_end(shells[1], opened)
    whole = {shell.name: with_opening(shell, opened, vent_width) for shell in shells}
    pieces = list(whole.values())
    if waist_seam:
        pieces = [part for each in (front, back) for part in cut_at_waist(whole[each.name], each)]
    claim = in_armhole = None
    if sleeve != "none":
        arm, claim = draft_sleeve_of(
            on, front, back, sleeve, ease_biceps=ease_biceps, cap_ease=cap_ease, long=sleeve_length,
            ease_wrist=ease_wrist,
        )  # fmt: skip
        in_armhole = (cap_sleeve_piece if sleeve == "cap" else sleeve_piece)(arm, front, back)
        pieces.append(in_armhole)
    lined = lining == "full"
    undarted = whole
    if front.bust_dart and not lined and shells == plain:
        undarted = {**whole, "front": shell_piece(replace(front, bust_dart=None), opened)}
    facings = draft_facings(
        on, front, back, undarted, facing, widths=(facing_width, armhole_facing_width), turn=turn_of_cloth,
        sleeve=sleeve, lined=lined, side_zip=opened.side_zip is not None,
    )  # fmt: skip
    pieces += facings
    if lined:
        pieces += draft_lining(
            on, front, back, whole, opened, facings, in_armhole, in_one=facing == "all-in-one", sleeved=sleeve,
            turn=turn_of_cloth, rise=lining_hem_rise, pleat=lining_pleat,
        )  # fmt: skip
    if interfacing:
        pieces += map(interfacing_of, facings)

    # what it promises, and how it is sewn
    claims = tuple(promises(
        on, front, back, {"bust": ease_bust, "waist": ease_waist, "hip": ease_hip}, pegged=hem == "pegged",
        intake_asked=dart_intake is not None, top_drop_asked=dart_top_drop is not None, way_in=zip, opened=opened,
        sleeve=claim,
    ))  # fmt: skip
    bulging = shaping.less_bulge(quarter, dart_intake is not None, on.unit)
    seams, joins = sewn(pieces, front, back, cap_ease.mm, bulging)
    draft = on.draft(
        pieces,
        seams=seams,
        joins=joins,
        claims=claims,
        notions=(Notion("zip", zipper.length, "zip_length", "zip top", "zip end"),) if zipper else (),
        widths={**WIDTHS, **own_widths(pieces, lined)},
        notches=False,
    )
    return replace(
        draft,
        assumed=assumed,
        advice=ADVICE,
        zero_levels=("bust", "biceps", "hip"),
        neck_edges=("shoulder", "neckline", "outer_edge", "top_edge"),
        match_at=("waist", "front armhole", "hip"),
    )
