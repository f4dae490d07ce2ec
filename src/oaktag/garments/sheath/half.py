"""Front and back: one half each, from the top line down, as chalked on the fold."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ...body.measurements import Measurements
from ...draft.construct import armhole, neckline, side_curve, x_at
from ...draft.worksheet import Worksheet
from ...errors import DraftError
from ...geometry.path import Path, path_length
from ...geometry.point import Point, distance
from ...model.draft import Step
from ...model.piece import Dart
from ...units import INCH, Unit, show
from .style import Asked


@dataclass(frozen=True, slots=True)
class Half:
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


def draft_half(
    name: str,
    body: Measurements,
    asked: Asked,
    unit: Unit,
    waist_to_hip: float,
    bust_points: float,
    notes: list[str],
) -> tuple[Half, list[Step]]:
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
    return Half(name, points, dart, neck, hole, side, hip_depth, hem_depth), w.steps


def _asked_or(w: Worksheet, asked: Asked, option: str, label: str, formula: str, value: float) -> float:
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
