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

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Final

from ..body.estimates import estimate
from ..body.measurements import Measurements
from ..draft.construct import armhole, neckline, side_curve, x_at
from ..draft.garment import Garment, Style
from ..draft.options import ChoiceOption, LengthOption, Option
from ..draft.sleeve import Sleeve, SleeveOrder, draft_sleeve
from ..draft.worksheet import Worksheet
from ..errors import DraftError
from ..geometry.curve import Line
from ..geometry.path import Path, parallel, part, path_length, reverse, solve
from ..geometry.point import Point, along, direction, distance
from ..model.draft import Draft, Level, SleeveFit, Step, Zip
from ..model.piece import Corner, Dart, Edge, EdgeKind, InternalLine, Join, NotchPlace, Piece, Seam
from ..model.walking import VENT_STEP, Walk, opening_serves, shortest_opening
from ..units import INCH, Unit, show

OPTIONS: Final[tuple[Option, ...]] = (
    LengthOption("ease_bust", "wearing ease round the bust", 2 * INCH, 0, 300),
    LengthOption("ease_waist", "wearing ease round the waist", 1 * INCH, 0, 300),
    LengthOption("ease_hip", "wearing ease round the hip", 2 * INCH, 0, 300),
    LengthOption("neck_width", "half neck width", None, 40, 160, default_words="bust girth ÷ 12"),
    LengthOption("front_neck_depth", "front neck below the top line", None, 30, 350, default_words="bust girth ÷ 12"),
    LengthOption("back_neck_depth", "back neck below the top line", 1 * INCH, 10, 300),
    LengthOption("shoulder_drop", "shoulder tip below the top line", 1 * INCH, 0, 80),
    LengthOption("armhole_hollow", "mid armhole inside the shoulder tip", INCH / 2, 0, 50),
    LengthOption("armhole_depth_ease", "added to bust girth ÷ 6 and the shoulder drop", 1.5 * INCH, 0, 150),
    LengthOption("dart_intake", "width of each waist dart", 1 * INCH, 0, 100),
    LengthOption("dart_top_drop", "upper dart point below the chest line", 1.5 * INCH, 0, 150),
    LengthOption("dart_end_rise", "lower dart point above the hip line", 2 * INCH, 0, 150),
    LengthOption("length", "top line to hem", None, 500, 1700, default_words="back waist length + 25 in"),
    ChoiceOption("hem", "shape below the hip", "pegged", ("pegged", "straight")),
    ChoiceOption(
        "opening", "centre back opening at the hem", "auto", ("auto", "vent", "slit", "none")
    ),
    LengthOption(
        "opening_length", "vent or slit, from the hem up", None, 6 * INCH, 900, auto=True,
        default_words="the shortest that lets her walk",
    ),
    LengthOption("vent_width", "vent extension beyond the centre back", 2 * INCH, 20, 150),
    LengthOption(
        "zip_length", "zip, from the back neck down", None, 200, 1000, auto=True,
        default_words="down to where the dress is as wide as the hip",
    ),
    LengthOption("facing_width", "neck facing, at the shoulder", 3 * INCH, 30, 150),
    LengthOption("armhole_facing_width", "armhole facing (no sleeve)", 2 * INCH, 30, 100),
    ChoiceOption("sleeve", "sleeve", "short", ("short", "elbow", "long", "none")),
    LengthOption(
        "sleeve_length", "shoulder tip to sleeve hem", None, 80, 800, auto=True,
        default_words="short: arm length × 2/5; elbow: arm length ÷ 2 + 1 in; long: arm length",
    ),
    LengthOption("ease_biceps", "wearing ease round the upper arm", 2 * INCH, 0, 250),
    LengthOption("cap_ease", "sewing ease of the sleeve cap", 0.75 * INCH, 0, 80),
    LengthOption("ease_wrist", "wearing ease round the wrist, to pass the fist", 3 * INCH, 0, 250),
)  # fmt: skip

ALLOWANCES: Final[Mapping[str, float]] = {
    "side": 1.5 * INCH,
    "underarm_front": 1.5 * INCH,
    "underarm_back": 1.5 * INCH,
    "shoulder": INCH / 2,
    "armhole": INCH / 2,
    "cap": INCH / 2,
    "neckline": INCH / 2,
    "hem": 2 * INCH,
    "centre_back": 2 * INCH,
    "slit": 2 * INCH,
    "vent_top": INCH / 2,
    "vent_edge": INCH / 2,
    "outer_edge": INCH / 4,
}
"""Her allowances (common practice, no source): room to let out at the side, the zip at the centre back."""

_USES: Final = (
    "bust_girth", "waist_girth", "hip_girth", "shoulder_width", "back_waist_length", "waist_to_hip",
    "bust_point_width", "upper_arm_girth", "arm_length", "wrist_girth", "hand_girth", "stature", "waist_height",
    "knee_height", "crotch_height", "ankle_height", "knee_girth", "calf_girth", "ankle_girth", "thigh_girth",
    "front_waist_length", "bust_height", "neck_base_girth", "shoulder_length",
)  # fmt: skip


def needs(style: Style) -> tuple[str, ...]:
    """The measurements without which the dress cannot be drafted in this style."""
    always = ("bust_girth", "waist_girth", "hip_girth", "shoulder_width", "back_waist_length")
    sleeve = str(style.get("sleeve") or "short")
    for_sleeve = {"none": (), "short": ("upper_arm_girth",)}.get(sleeve, ("upper_arm_girth", "arm_length"))
    return always + for_sleeve + (("wrist_girth",) if sleeve == "long" else ())


@dataclass(frozen=True, slots=True)
class _Half:
    """A drafted half, front or back: its points, and the curves that other pieces are drawn to."""

    name: str
    points: Mapping[str, Point]
    dart: Dart
    neckline: Path
    armhole: Path
    side: Path
    """From the underarm down to the hem."""
    hip_depth: float
    hem_depth: float

    def width_at(self, depth: float) -> float:
        """Half width at a depth below the top line, the dart closed."""
        return x_at(self.side, -depth) - self.dart.width_at(-depth)


@dataclass(frozen=True, slots=True)
class _Asked:
    """The style with its lengths sure to be numbers."""

    style: Style

    def length(self, name: str) -> float:
        value = self.style[name]
        assert isinstance(value, (int, float))
        return float(value)

    def given(self, name: str) -> float | None:
        value = self.style.get(name)
        return float(value) if isinstance(value, (int, float)) else None

    def choice(self, name: str) -> str:
        return str(self.style[name])


def sheath_dress(body: Measurements, style: Style, unit: Unit) -> Draft:
    """Front, back, sleeve (or armhole facings) and neck facings.

    Raises DraftError, with the measurement or option to change, for a body the method cannot serve.
    """
    asked = _Asked(style)
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

    front, front_steps = _half("front", body, asked, unit, waist_to_hip, bust_points, notes)
    back, back_steps = _half("back", body, asked, unit, waist_to_hip, bust_points, [])
    zipper, zip_steps = _zip(body, asked, front, back)
    walk, walk_steps = _walk(body, asked, unit, front, back, zipper, notes)

    pieces = [_front_piece(front), _back_piece(back, zipper, walk, asked)]
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
        sleeve, sleeve_fit, sleeve_steps = _sleeve(body, asked, unit, front, back, taken_or_assumed)
        pieces.append(_sleeve_piece(sleeve, front, back))
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
        facing, facing_steps = _neck_facing(half, asked, unit, fold, notes)
        pieces.append(facing)
        steps += facing_steps
        seams.append(Seam(f"{half.name} facing to neck", (f"{facing.name}.neckline",), (f"{half.name}.neckline",)))
    seams.append(Seam("facing shoulder seam", ("facing_front.shoulder",), ("facing_back.shoulder",)))

    if asked.choice("sleeve") == "none":
        for half in (front, back):
            facing, facing_steps = _armhole_facing(half, asked, unit, notes)
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


# ---------------------------------------------------------------- front and back


def _half(
    name: str,
    body: Measurements,
    asked: _Asked,
    unit: Unit,
    waist_to_hip: float,
    bust_points: float,
    notes: list[str],
) -> tuple[_Half, list[Step]]:
    """One half, from the top line down, as it is chalked on the fold."""
    w = Worksheet(name)
    bust, waist, hip = body["bust_girth"], body["waist_girth"], body["hip_girth"]
    drop, depth_ease = asked.length("shoulder_drop"), asked.length("armhole_depth_ease")
    intake = asked.length("dart_intake")

    chest = w(
        "chest line",
        "bust girth ÷ 6 + {shoulder_drop} + {armhole_depth_ease}",
        bust / 6 + drop + depth_ease,
        shoulder_drop=drop,
        armhole_depth_ease=depth_ease,
    )
    waist_depth = w("waist line", "back waist length, from the top line", body["back_waist_length"])
    hip_depth = w("hip line", "waist line + {waist_to_hip}", waist_depth + waist_to_hip, waist_to_hip=waist_to_hip)
    length = asked.given("length")
    if length is None:
        hem_depth = w("hem line", "back waist length + {below}", waist_depth + 25 * INCH, below=25 * INCH)
    else:
        hem_depth = w("hem line", "length asked for", length)

    neck_width = _asked_or(w, asked, "neck_width", "neck width", "bust girth ÷ 12", bust / 12)
    if name == "front":
        neck_depth = _asked_or(w, asked, "front_neck_depth", "front neck depth", "bust girth ÷ 12", bust / 12)
    else:
        neck_depth = w("back neck depth", "below the top line", asked.length("back_neck_depth"))
    shoulder_x = w("shoulder tip, across", "shoulder width ÷ 2", body["shoulder_width"] / 2)
    w("shoulder tip, down", "below the top line", drop)
    hollow = asked.length("armhole_hollow")
    mid_x = w("mid armhole, across", "shoulder width ÷ 2 − {hollow}", shoulder_x - hollow, hollow=hollow)
    mid_y = w("mid armhole, down", "half way between shoulder tip and chest line", (drop + chest) / 2)
    ease = asked.length("ease_bust")
    bust_x = w("underarm, across the chest line", "(bust girth + {ease}) ÷ 4", (bust + ease) / 4, ease=ease)
    ease = asked.length("ease_waist")
    waist_x = w(
        "waist side, across the waist line",
        "(waist girth + {ease}) ÷ 4 + {dart} for the dart",
        (waist + ease) / 4 + intake,
        ease=ease,
        dart=intake,
    )
    ease = asked.length("ease_hip")
    hip_x = w("hip side, across the hip line", "(hip girth + {ease}) ÷ 4", (hip + ease) / 4, ease=ease)
    if asked.choice("hem") == "straight":
        hem_x = w("hem side, across the hem line", "as the hip line", hip_x)
    elif waist_x - intake > hip_x:
        hem_x = w("hem side, across the hem line", "the hip line, since the waist is wider", hip_x)
        notes.append(
            f"The pegged hem would be wider than the hip line ({show((waist_x - intake) * 4, unit)} against "
            f"{show(hip_x * 4, unit)} all round): it was capped at the hip line."
        )
    else:
        ease = asked.length("ease_waist")
        hem_x = w("hem side, across the hem line", "(waist girth + {ease}) ÷ 4", waist_x - intake, ease=ease)
    dart_x = w("waist dart, across", "bust point width ÷ 2", bust_points / 2)
    top_drop, end_rise = asked.length("dart_top_drop"), asked.length("dart_end_rise")
    dart_top = w("dart, upper point, down", "chest line + {drop}", chest + top_drop, drop=top_drop)
    dart_end = w("dart, lower point, down", "hip line − {rise}", hip_depth - end_rise, rise=end_rise)
    w("dart, each side at the waist", "{intake} ÷ 2", intake / 2, intake=intake)

    points = {
        "neck_side": Point(neck_width, 0.0),
        "neck_centre": Point(0.0, -neck_depth),
        "shoulder_tip": Point(shoulder_x, -drop),
        "mid_armhole": Point(mid_x, -mid_y),
        "underarm": Point(bust_x, -chest),
        "waist_side": Point(waist_x, -waist_depth),
        "hip_side": Point(hip_x, -hip_depth),
        "hem_side": Point(hem_x, -hem_depth),
        "hem_centre": Point(0.0, -hem_depth),
        "dart_top": Point(dart_x, -dart_top),
        "dart_end": Point(dart_x, -dart_end),
    }
    _can_be_drafted(points, intake, unit, name)
    dart = Dart(
        "waist",
        (
            points["dart_top"],
            Point(dart_x + intake / 2, -waist_depth),
            points["dart_end"],
            Point(dart_x - intake / 2, -waist_depth),
        ),
        intake,
    )
    neck = neckline(points["neck_side"], points["shoulder_tip"], points["neck_centre"])
    hole = armhole(points["underarm"], points["mid_armhole"], points["shoulder_tip"], points["neck_side"])
    side = side_curve(
        [points[key] for key in ("underarm", "waist_side", "hip_side", "hem_side")],
        straight_end=asked.choice("hem") == "straight",
    )
    w("shoulder", "straight, neck side to shoulder tip", distance(points["neck_side"], points["shoulder_tip"]))
    w("neckline", "curve square to the shoulder and to the centre line, so long", path_length(neck))
    w("armhole", "curve square to the shoulder, through mid armhole, level at the underarm, so long", path_length(hole))
    w("side seam", "curve hollow above the waist and round below it, so long", path_length(side))
    return _Half(name, points, dart, neck, hole, side, hip_depth, hem_depth), w.steps


def _asked_or(w: Worksheet, asked: _Asked, option: str, label: str, formula: str, value: float) -> float:
    given = asked.given(option)
    return w(label, formula, value) if given is None else w(label, "as asked for", given)


def _can_be_drafted(points: Mapping[str, Point], intake: float, unit: Unit, name: str) -> None:
    """Refuse, with a reason, what the method cannot draw."""

    def refuse(text: str) -> None:
        raise DraftError(f"{name}: {text}")

    def say(mm: float) -> str:
        return show(mm, unit)

    p = points
    shoulder = p["shoulder_tip"].x - p["neck_side"].x
    if shoulder < 30:
        refuse(
            f"only {say(max(0.0, shoulder))} of shoulder is left beside the neck; at least {say(30)} is needed. Make "
            f"neck_width {say(p['shoulder_tip'].x - 30)} or less, or check shoulder_width and bust_girth."
        )
    hole = p["underarm"].x - p["mid_armhole"].x
    if hole < 15:
        refuse(
            f"the quarter chest, {say(p['underarm'].x)}, leaves no room for an armhole beyond mid armhole at "
            f"{say(p['mid_armhole'].x)}. Add {say(4 * (15 - hole))} or more to ease_bust, or check shoulder_width and "
            "bust_girth."
        )
    if p["underarm"].y > p["shoulder_tip"].y - 80:
        refuse(f"the armhole is only {say(p['shoulder_tip'].y - p['underarm'].y)} deep. Raise armhole_depth_ease.")
    if -p["neck_centre"].y > -p["underarm"].y + 40:
        refuse(f"the neck, {say(-p['neck_centre'].y)} deep, reaches below the chest line. Make the neck less deep.")
    if p["underarm"].y < p["waist_side"].y + 30:
        refuse(
            f"the chest line, {say(-p['underarm'].y)} down, is too near the waist line, {say(-p['waist_side'].y)} "
            "down. Lower armhole_depth_ease, or check back_waist_length and bust_girth."
        )
    if intake > 0 and not p["dart_top"].y - 15 > p["waist_side"].y > p["dart_end"].y + 15:
        refuse(
            f"the dart runs from {say(-p['dart_top'].y)} to {say(-p['dart_end'].y)} and does not reach over the waist "
            f"line at {say(-p['waist_side'].y)}. Change dart_top_drop or dart_end_rise."
        )
    if p["dart_top"].x + intake / 2 > p["waist_side"].x - 25 or p["dart_top"].x - intake / 2 < 10:
        refuse(
            f"the dart, {say(p['dart_top'].x)} from the centre, does not fit into a waist of {say(p['waist_side'].x)}. "
            "Check bust_point_width, or change dart_intake."
        )
    if p["hem_side"].y > p["hip_side"].y - 50:
        refuse(
            f"the hem, {say(-p['hem_side'].y)} down, must lie at least {say(50)} below the hip line, "
            f"{say(-p['hip_side'].y)} down. Make length {say(-p['hip_side'].y + 50)} or more."
        )


# ---------------------------------------------------------------- zip, vent, walking


def _girth_at(front: _Half, back: _Half, depth: float) -> float:
    return 2 * (front.width_at(depth) + back.width_at(depth))


def _zip(body: Measurements, asked: _Asked, front: _Half, back: _Half) -> tuple[Zip, list[Step]]:
    """The zip opens the back down to where the dress is as wide as the hip, rounded up to 1/2 in of zip."""
    w = Worksheet("back")
    neck = -back.points["neck_centre"].y
    given = asked.given("zip_length")
    if given is not None:
        end = w("zip end, down", "back neck depth + {zip} as asked for", neck + given, zip=given)
        return Zip(neck, end), w.steps
    waist = -front.points["waist_side"].y
    hip = body["hip_girth"]
    if _girth_at(front, back, waist) >= hip:
        reach = waist
    elif _girth_at(front, back, front.hip_depth) <= hip + 1e-6:
        reach = front.hip_depth
    else:
        reach = solve(lambda depth: _girth_at(front, back, depth) - hip, waist, front.hip_depth, near=1e-4)
    half_inch = INCH / 2
    length = -(-(reach - neck - 1e-6) // half_inch) * half_inch
    w("zip", "back neck to where the dress is as wide as the hip, up to the next {half}", length, half=half_inch)
    end = w("zip end, down", "back neck depth + zip", neck + length)
    return Zip(neck, end), w.steps


def _walk(
    body: Measurements, asked: _Asked, unit: Unit, front: _Half, back: _Half, zipper: Zip, notes: list[str]
) -> tuple[Walk, list[Step]]:
    """Vent, slit or none, and how long: the shortest that lets her walk, in whole inches, 6 in at least."""
    assumed: list[str] = []
    known = dict(body)

    def need(name: str) -> float:
        if name not in known:
            guess = estimate(name, Measurements(known), unit)
            assumed.append(guess.words)
            known[name] = guess.value
        return known[name]

    stature, waist_height = need("stature"), need("waist_height")
    legs = sorted(
        (
            (need("ankle_height"), need("ankle_girth")),
            (0.72 * need("knee_height"), need("calf_girth")),
            (need("knee_height"), need("knee_girth")),
            (need("crotch_height"), need("thigh_girth")),
        )
    )
    w = Worksheet("back")
    kind = asked.choice("opening")
    if kind == "auto":
        kind = "vent" if asked.choice("hem") == "pegged" else "none"
    highest = max(zipper.end_depth + 100, front.hip_depth)
    walk = Walk(
        stature=stature,
        top_height=waist_height - front.points["waist_side"].y,
        hem_depth=front.hem_depth,
        leg_girths=tuple(legs),
        opening=kind,
        opening_length=0.0,
        highest_opening_depth=highest,
        assumed=tuple(assumed),
    )
    if kind == "none":
        return walk, w.steps

    def girth(depth: float) -> float:
        return _girth_at(front, back, depth)

    given = asked.given("opening_length")
    if given is not None:
        if given > front.hem_depth - zipper.end_depth - 20:
            most = show(front.hem_depth - zipper.end_depth - 100, unit)
            raise DraftError(
                f"back: the {kind}, {show(given, unit)}, would reach the zip, which ends {show(zipper.end_depth, unit)} "
                f"down. Make opening_length {most} or less."
            )
        length = w(f"{kind}, from the hem up", "as asked for", given)
        return replace(walk, opening_length=length), w.steps
    shortest = shortest_opening(walk, girth)
    if shortest is None:
        whole = (front.hem_depth - highest) // INCH * INCH
        if whole < 4 * INCH:
            notes.append(
                f"There is no room for a {kind} between the zip and the hem, so none was drafted. Lengthen the dress, "
                'or choose hem = "straight".'
            )
            return replace(walk, opening="none"), w.steps
        length = w(f"{kind}, from the hem up", "the longest that stays clear of zip and hip", whole)
    else:
        length = w(f"{kind}, from the hem up", "the shortest that allows a step of {step}", shortest, step=VENT_STEP)
    walk = replace(walk, opening_length=length)
    assert shortest is None or opening_serves(walk, girth, length)
    if kind == "vent":
        w("vent extension", "beyond the centre back", asked.length("vent_width"))
    return walk, w.steps


# ---------------------------------------------------------------- pieces


def _balance_lines(half: _Half) -> tuple[InternalLine, ...]:
    p = half.points
    return (
        InternalLine("waist line", (Point(0.0, p["waist_side"].y), p["waist_side"])),
        InternalLine("hip line", (Point(0.0, p["hip_side"].y), p["hip_side"])),
    )


def _grain(half: _Half) -> tuple[Point, Point]:
    """Upright, between the centre line and the dart, from below the chest line to half way down the skirt."""
    inner = half.dart.points[3].x
    top = (half.points["underarm"].y + half.dart.points[0].y) / 2
    bottom = (half.points["hip_side"].y + half.points["hem_side"].y) / 2
    return Point(inner / 2, top), Point(inner / 2, bottom)


def _shared_edges(half: _Half) -> tuple[Edge, Edge, Edge, Edge]:
    p = half.points
    return (
        Edge("side", EdgeKind.SEAM, reverse(half.side)),
        Edge("armhole", EdgeKind.SEAM, half.armhole),
        Edge.straight("shoulder", p["shoulder_tip"], p["neck_side"]),
        Edge("neckline", EdgeKind.SEAM, half.neckline),
    )


def _shared_notches(half: _Half, count: int) -> tuple[NotchPlace, ...]:
    """Single in front, double in the back; hip and waist at the side; the hem's fold."""
    to_hip = half.side[2].length()
    to_waist = to_hip + half.side[1].length()
    return (
        NotchPlace("side", 0.0, 1, "hem fold"),
        NotchPlace("side", to_hip, 1, "hip"),
        NotchPlace("side", to_waist, 1, "waist"),
        NotchPlace("armhole", half.armhole[0].length(), count, "sleeve"),
        NotchPlace("neckline", path_length(half.neckline) / 2, count, "facing"),
    )


def _darts(half: _Half) -> tuple[Dart, ...]:
    return (half.dart,) if half.dart.intake > 0 else ()


def _front_piece(half: _Half) -> Piece:
    p = half.points
    return Piece(
        "front",
        (
            Edge.straight("centre_front", p["neck_centre"], p["hem_centre"], EdgeKind.FOLD),
            Edge.straight("hem", p["hem_centre"], p["hem_side"], EdgeKind.HEM),
            *_shared_edges(half),
        ),
        points=p,
        grain=_grain(half),
        on_fold=True,
        darts=_darts(half),
        notches=_shared_notches(half, 1),
        internal_lines=_balance_lines(half),
    )


def _back_piece(half: _Half, zipper: Zip, walk: Walk, asked: _Asked) -> Piece:
    """As the front, with a centre back seam: zip above, vent or slit below."""
    p = dict(half.points)
    neck, hem = p["neck_centre"], p["hem_centre"]
    lines = list(_balance_lines(half))
    zip_end = Point(0.0, -zipper.end_depth)
    top = Point(0.0, hem.y + walk.opening_length)
    p["zip_end"] = zip_end
    down: tuple[Edge, ...]
    if walk.opening == "vent":
        width = asked.length("vent_width")
        slant = Point(-width, top.y - width / 2)
        corner = Point(-width, hem.y)
        down = (
            Edge.straight("centre_back", neck, top),
            Edge.straight("vent_top", top, slant),
            Edge.straight("vent_edge", slant, corner, EdgeKind.OPENING),
            Edge.straight("hem", corner, p["hem_side"], EdgeKind.HEM),
        )
        p |= {"vent_top": top, "vent_hem": corner}
        lines.append(InternalLine("vent fold", (top, hem)))
        last = NotchPlace("vent_edge", down[2].length(), 1, "hem fold")
    elif walk.opening == "slit":
        down = (
            Edge.straight("centre_back", neck, top),
            Edge.straight("slit", top, hem, EdgeKind.OPENING),
            Edge.straight("hem", hem, p["hem_side"], EdgeKind.HEM),
        )
        p["slit_top"] = top
        last = NotchPlace("slit", down[1].length(), 1, "hem fold")
    else:
        down = (
            Edge.straight("centre_back", neck, hem),
            Edge.straight("hem", hem, p["hem_side"], EdgeKind.HEM),
        )
        last = NotchPlace("centre_back", down[0].length(), 1, "hem fold")
    marks = [NotchPlace("centre_back", zipper.length, 1, "zip end"), last]
    if walk.opening != "none":
        marks.append(NotchPlace("centre_back", down[0].length(), 1, f"{walk.opening} top"))
    return Piece(
        "back",
        (*down, *_shared_edges(half)),
        points=p,
        grain=_grain(half),
        quantity=2,
        mirrored_pair=True,
        darts=_darts(half),
        notches=(*marks, *_shared_notches(half, 2)),
        internal_lines=tuple(lines),
    )


# ---------------------------------------------------------------- sleeve


def _sleeve(
    body: Measurements,
    asked: _Asked,
    unit: Unit,
    front: _Half,
    back: _Half,
    taken_or_assumed: Callable[[str], float],
) -> tuple[Sleeve, SleeveFit, list[Step]]:
    """Drafted to the armhole that was really drafted; see draft/sleeve.py."""
    w = Worksheet("sleeve")
    kind = asked.choice("sleeve")
    arm = body["upper_arm_girth"]
    biceps_ease, cap_ease = asked.length("ease_biceps"), asked.length("cap_ease")
    biceps = w("biceps line", "upper arm girth + {ease}", arm + biceps_ease, ease=biceps_ease)
    ahf = w("front armhole", "measured on the draft", path_length(front.armhole))
    ahb = w("back armhole", "measured on the draft", path_length(back.armhole))
    wanted = w("cap length", "front armhole + back armhole + {ease}", ahf + ahb + cap_ease, ease=cap_ease)
    given = asked.given("sleeve_length")
    if given is not None:
        length = w("sleeve length", "as asked for", given)
    elif kind == "short":
        length = w("sleeve length", "arm length × 2/5", taken_or_assumed("arm_length") * 0.4)
    elif kind == "elbow":
        length = w("sleeve length", "arm length ÷ 2 + {more}", body["arm_length"] / 2 + INCH, more=INCH)
    else:
        length = w("sleeve length", "arm length", body["arm_length"])
    wrist_opening = fist = None
    if kind == "long":
        ease = asked.length("ease_wrist")
        wrist_opening = body["wrist_girth"] + ease
        hem = w(
            "sleeve hem", "wrist girth + {ease}, no wider than the biceps line", min(biceps, wrist_opening), ease=ease
        )
        fist = body.get("hand_girth")
    else:
        less = INCH / 2 if kind == "short" else INCH
        hem = w("sleeve hem", "biceps line − {less}", biceps - less, less=less)
    shoulder_height = front.points["shoulder_tip"].y - front.points["underarm"].y

    def armhole_with(extra: float) -> float:
        def longer(half: _Half) -> float:
            p = half.points
            lower = Point(p["underarm"].x, p["underarm"].y - extra)
            middle = Point(p["mid_armhole"].x, p["mid_armhole"].y - extra / 2)
            return path_length(armhole(lower, middle, p["shoulder_tip"], p["neck_side"]))

        return longer(front) + longer(back)

    order = SleeveOrder(biceps, ahf, ahb, cap_ease, length, hem, most_cap=min(shoulder_height, length - 40))
    sleeve = draft_sleeve(order, unit, armhole_with)
    w("cap height", "so that the cap is as long as that", sleeve.cap_height)
    w("shoulder notch", "from the middle, towards the front (towards the back if negative)", sleeve.top.x)
    w("underarm seam", "hem to biceps line, so long", path_length(sleeve.underarm_front))
    fit = SleeveFit(
        arm, biceps_ease, biceps, ahf + ahb, wanted, cap_ease, sleeve.cap_height, shoulder_height, wrist_opening, fist
    )
    return sleeve, fit, w.steps


def _sleeve_piece(sleeve: Sleeve, front: _Half, back: _Half) -> Piece:
    hem_front, hem_back = sleeve.underarm_front[0].start, sleeve.underarm_back[-1].end
    cap = sleeve.cap_front + sleeve.cap_back
    cap_length = path_length(cap)
    under_front, under_back = front.armhole[0].length(), back.armhole[0].length()
    return Piece(
        "sleeve",
        (
            Edge.straight("hem", hem_back, hem_front, EdgeKind.HEM),
            Edge("underarm_front", EdgeKind.SEAM, sleeve.underarm_front),
            Edge("cap", EdgeKind.SEAM, cap),
            Edge("underarm_back", EdgeKind.SEAM, sleeve.underarm_back),
        ),
        points={
            "cap_top": sleeve.top,
            "underarm_front": sleeve.underarm_front[-1].end,
            "underarm_back": sleeve.underarm_back[0].start,
            "hem_front": hem_front,
            "hem_back": hem_back,
        },
        grain=(Point(0.0, sleeve.cap_height * 0.72), Point(0.0, hem_front.y * 0.75)),
        quantity=2,
        mirrored_pair=True,
        notches=(
            NotchPlace("cap", under_front, 1, "front armhole"),
            NotchPlace("cap", path_length(sleeve.cap_front), 1, "shoulder"),
            NotchPlace("cap", cap_length - under_back, 2, "back armhole"),
            NotchPlace("underarm_front", 0.0, 1, "hem fold"),
            NotchPlace("underarm_back", path_length(sleeve.underarm_back), 1, "hem fold"),
        ),
        internal_lines=(InternalLine("biceps line", (sleeve.underarm_back[0].start, sleeve.underarm_front[-1].end)),),
    )


# ---------------------------------------------------------------- facings


def _facing_width(half: _Half, asked: _Asked, option: str, unit: Unit, notes: list[str]) -> float:
    """As asked for, but 1/4 in short of the far end of a shoulder that is shorter."""
    shoulder = distance(half.points["neck_side"], half.points["shoulder_tip"])
    width = asked.length(option)
    if width > shoulder - INCH / 4:
        if half.name == "front":
            notes.append(
                f"The shoulder is {show(shoulder, unit)} long: {option} was cut down from {show(width, unit)} to stop "
                f"{show(INCH / 4, unit)} short of its end."
            )
        return shoulder - INCH / 4
    return width


def _neck_facing(half: _Half, asked: _Asked, unit: Unit, on_fold: bool, notes: list[str]) -> tuple[Piece, list[Step]]:
    """Parallel to the neckline; neckline, shoulder and centre are those of the shell."""
    name = f"facing_{half.name}"
    w = Worksheet(name)
    p = half.points
    width = w(
        "facing width",
        "at the shoulder, and parallel to the neckline",
        _facing_width(half, asked, "facing_width", unit, notes),
    )
    outer = reverse(parallel(half.neckline, -width))
    low, far = (
        Point(0.0, p["neck_centre"].y - width),
        along(p["neck_side"], direction(p["neck_side"], p["shoulder_tip"]), width),
    )
    outer = _pinned(outer, low, far)
    w("facing depth at the centre", "neck depth + facing width", -low.y)
    w("outer edge", "curve, so long", path_length(outer))
    centre = ("centre_front", EdgeKind.FOLD) if on_fold else ("centre_back", EdgeKind.SEAM)
    middle = half.neckline[0].at(0.5)
    inside = outer[len(outer) // 2].start
    grain_x = min(middle.x, inside.x) * 0.35
    piece = Piece(
        name,
        (
            Edge.straight(centre[0], p["neck_centre"], low, centre[1]),
            Edge("outer_edge", EdgeKind.OPENING, outer),
            Edge.straight("shoulder", far, p["neck_side"]),
            Edge("neckline", EdgeKind.SEAM, half.neckline),
        ),
        points={key: p[key] for key in ("neck_side", "neck_centre")} | {"facing_centre": low, "facing_shoulder": far},
        grain=(Point(grain_x, p["neck_centre"].y - 0.12 * width), Point(grain_x, low.y + 0.12 * width)),
        quantity=1 if on_fold else 2,
        on_fold=on_fold,
        mirrored_pair=not on_fold,
        notches=(NotchPlace("neckline", path_length(half.neckline) / 2, 1 if on_fold else 2, "neck"),),
    )  # fmt: skip
    return piece, w.steps


def _pinned(path: Path, start: Point, end: Point) -> Path:
    """The run with its ends laid exactly on the points they meet (they are within 0.01 mm of them)."""
    first, last = path[0], path[-1]
    fixed = first.with_controls((start, *first.controls()[1:]))
    if len(path) == 1:
        return (fixed.with_controls((*fixed.controls()[:-1], end)),)
    return (fixed, *path[1:-1], last.with_controls((*last.controls()[:-1], end)))


def _armhole_facing(half: _Half, asked: _Asked, unit: Unit, notes: list[str]) -> tuple[Piece, list[Step]]:
    """Parallel to the armhole, down to the side seam; armhole, shoulder and side are those of the shell."""
    name = f"armhole_facing_{half.name}"
    w = Worksheet(name)
    p = half.points
    width = w(
        "facing width", "parallel to the armhole", _facing_width(half, asked, "armhole_facing_width", unit, notes)
    )
    inner = along(p["shoulder_tip"], direction(p["shoulder_tip"], p["neck_side"]), width)
    outer = _pinned(parallel(half.armhole, -width), Point(p["underarm"].x, p["underarm"].y - width), inner)
    outer, meet = _to_the_side(outer, half.side)
    side = part(half.side, 0.0, _length_to(half.side, meet.y))
    w("facing depth at the side", "along the side seam", path_length(side))
    w("outer edge", "curve, so long", path_length(outer))
    middle = outer[len(outer) // 2].start
    hollow = half.armhole[0].end
    grain_x = (middle.x + hollow.x) / 2
    top, bottom = inner.y - 25, p["mid_armhole"].y - 10
    piece = Piece(
        name,
        (
            Edge("side", EdgeKind.SEAM, _pinned(reverse(side), meet, p["underarm"])),
            Edge("armhole", EdgeKind.SEAM, half.armhole),
            Edge.straight("shoulder", p["shoulder_tip"], inner),
            Edge("outer_edge", EdgeKind.OPENING, reverse(outer)),
        ),
        points={key: p[key] for key in ("shoulder_tip", "mid_armhole", "underarm")}
        | {"facing_shoulder": inner, "facing_side": meet},
        grain=(Point(grain_x, top), Point(grain_x, bottom)),
        quantity=2,
        mirrored_pair=True,
        notches=(NotchPlace("armhole", half.armhole[0].length(), 1 if half.name == "front" else 2, "armhole"),),
    )  # fmt: skip
    return piece, w.steps


def _to_the_side(outer: Path, side: Path) -> tuple[Path, Point]:
    """The parallel run, from the side seam on: cut off where it crosses the seam, or led straight to it."""
    start = outer[0].start
    gap = start.x - x_at(side, start.y)
    if gap <= 1e-9:
        meet = Point(x_at(side, start.y), start.y)
        return ((Line(meet, start), *outer) if gap < -1e-6 else outer), meet
    first = outer[0]
    t = solve(lambda t: first.at(t).x - x_at(side, first.at(t).y), 0.0, 1.0, near=1e-7)
    kept = first.split(t)[1]
    return (kept, *outer[1:]), kept.start


def _length_to(side: Path, y: float) -> float:
    """Length of the side seam from the underarm down to the level y."""
    walked = 0.0
    for curve in side:
        if y >= curve.end.y:
            t = (y - curve.start.y) / (curve.end.y - curve.start.y)
            return walked + curve.split(t)[0].length()
        walked += curve.length()
    return walked


GARMENT: Final = Garment(
    name="sheath-dress",
    words="fitted sheath dress, knee length, centre back zip, set-in sleeve or none, neck facings",
    draft=sheath_dress,
    needs=needs,
    uses=_USES,
    options=OPTIONS,
    edges=("centre_front", *ALLOWANCES),
    pieces=(
        "front", "back", "sleeve", "facing_front", "facing_back", "armhole_facing_front", "armhole_facing_back",
    ),
)  # fmt: skip
