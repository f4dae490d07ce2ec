"""Front and back: one half each, from the top line down, as chalked on the fold."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot
from typing import Final

from ...body.measurements import Measurements
from ...draft.construct import armhole, flared_hem, neckline, side_curve, square_neckline, v_neckline, x_at
from ...draft.worksheet import Worksheet
from ...errors import DraftError
from ...geometry.curve import Line
from ...geometry.path import Path, path_length
from ...geometry.point import Point, distance
from ...model.draft import Step
from ...model.piece import Dart
from ...units import Unit, rounded, show, show_at_least, show_at_most
from .style import BOAT_DEPTH, BOAT_WIDER, SQUARE_DEEPER, WAIST_TO_HEM, Asked

_LEVEL_NECK: Final = 10.0
"""Half the level part of a square neck at least, mm (common practice, no source)."""
BESIDE_DART: Final = 25.0
"""Between the waist dart and the side seam at least, mm (common practice, no source)."""
_BELOW_HIP: Final = 50.0
"""The hem lies this far below the hip line at least, at the side as at the centre, mm (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class BustDart:
    """A dart from the side seam, for the length that the front needs over the bust.

    All of the front below `depth` (its upper leg at the side, below the top line) is drawn `drop` lower.
    """

    depth: float
    drop: float
    tip: Point


@dataclass(frozen=True, slots=True)
class Half:
    """A drafted half, front or back: its points, and the curves that other pieces are drawn to.

    All as on the body, front and back alike; what a bust dart adds in length is left to the pieces (`lowered`).
    """

    name: str
    points: Mapping[str, Point]
    dart: Dart
    neckline: Path
    armhole: Path
    side: Path
    """From the underarm down to the waist, the hip and the hem."""
    hem: Path
    """From the centre to the side."""
    hip_depth: float
    hem_depth: float
    side_slope: float
    """dx/dy of the side seam at the underarm, to which the armhole is trued."""
    bust_dart: BustDart | None = None

    @property
    def drop(self) -> float:
        return self.bust_dart.drop if self.bust_dart else 0.0

    def lowered(self, p: Point) -> Point:
        """Where a point of the body lies on the piece."""
        return Point(p.x, p.y - self.drop) if self.bust_dart and p.y < -self.bust_dart.depth else p

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
        "underarm.y",
        shoulder_drop=drop,
        armhole_depth_ease=depth_ease,
    )
    waist_depth = w("waist line", "back waist length, from the top line", body["back_waist_length"], "waist_side.y")
    hip_depth = w(
        "hip line",
        "waist line + {waist_to_hip}",
        waist_depth + waist_to_hip,
        "hip_side.y",
        waist_to_hip=waist_to_hip,
    )
    length = asked.given("length")
    if length is None:
        below = rounded(WAIST_TO_HEM, unit)
        hem_depth = w("hem line", "back waist length + {below}", waist_depth + below, "hem_centre.y", below=below)
    else:
        hem_depth = w("hem line", "length asked for", length, "hem_centre.y")

    neck_width, neck_depth = _neck(name, bust, asked, unit, w)
    shoulder_x = w("shoulder tip, across", "shoulder width ÷ 2", body["shoulder_width"] / 2, "shoulder_tip.x")
    w("shoulder tip, down", "below the top line", drop, "shoulder_tip.y")
    hollow = asked.length("armhole_hollow")
    mid_x = w(
        "mid armhole, across", "shoulder width ÷ 2 − {hollow}", shoulder_x - hollow, "mid_armhole.x", hollow=hollow
    )
    mid_y = w("mid armhole, down", "half way between shoulder tip and chest line", (drop + chest) / 2, "mid_armhole.y")
    ease = asked.length("ease_bust")
    bust_x = w(
        "underarm, across the chest line", "(bust girth + {ease}) ÷ 4", (bust + ease) / 4, "underarm.x", ease=ease
    )
    ease = asked.length("ease_waist")
    waist_x = w(
        "waist side, across the waist line",
        "(waist girth + {ease}) ÷ 4 + {dart} for the dart",
        (waist + ease) / 4 + intake,
        "waist_side.x",
        ease=ease,
        dart=intake,
    )
    ease = asked.length("ease_hip")
    hip_x = w("hip side, across the hip line", "(hip girth + {ease}) ÷ 4", (hip + ease) / 4, "hip_side.x", ease=ease)
    hem_side_y = hem_depth
    if asked.choice("hem") == "straight":
        hem_x = w("hem side, across the hem line", "as the hip line", hip_x, "hem_side.x")
    elif asked.choice("hem") == "a-line":
        flare = asked.length("flare")
        hem_x = w("hem side, across", "as the hip line + {flare}", hip_x + flare, "hem_side.x", flare=flare)
        below = hem_depth - hip_depth
        hem_side_y = w(
            "hem side, down",
            "so that the side is as long below the hip as the centre",
            hip_depth + (max(0.0, below**2 - flare**2)) ** 0.5,
            "hem_side.y",
        )
    elif waist_x - intake > hip_x:
        hem_x = w("hem side, across the hem line", "the hip line, since the waist is wider", hip_x, "hem_side.x")
        notes.append(
            f"The pegged hem would be wider than the hip line ({show((waist_x - intake) * 4, unit)} against "
            f"{show(hip_x * 4, unit)} all round): it was capped at the hip line."
        )
    else:
        ease = asked.length("ease_waist")
        hem_x = w(
            "hem side, across the hem line", "(waist girth + {ease}) ÷ 4", waist_x - intake, "hem_side.x", ease=ease
        )
    dart_x = w("waist dart, across", "bust point width ÷ 2", bust_points / 2, "dart_top.x")
    top_drop, end_rise = asked.length("dart_top_drop"), asked.length("dart_end_rise")
    dart_top = w("dart, upper point, down", "chest line + {drop}", chest + top_drop, "dart_top.y", drop=top_drop)
    dart_end = w("dart, lower point, down", "hip line − {rise}", hip_depth - end_rise, "dart_end.y", rise=end_rise)
    w("dart, each side at the waist", "{intake} ÷ 2", intake / 2, intake=intake)

    points = {
        "neck_side": Point(neck_width, 0.0),
        "neck_centre": Point(0.0, -neck_depth),
        "shoulder_tip": Point(shoulder_x, -drop),
        "mid_armhole": Point(mid_x, -mid_y),
        "underarm": Point(bust_x, -chest),
        "waist_side": Point(waist_x, -waist_depth),
        "hip_side": Point(hip_x, -hip_depth),
        "hem_side": Point(hem_x, -hem_side_y),
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
    shapes = {"v": v_neckline, "square": square_neckline}
    shape = shapes.get(asked.choice("neckline"), neckline) if name == "front" else neckline
    neck = shape(points["neck_side"], points["shoulder_tip"], points["neck_centre"])
    if shape is square_neckline:
        _square_neck_has_a_level_part(neck, points, unit)
    side = side_curve(
        [points[key] for key in ("underarm", "waist_side", "hip_side", "hem_side")],
        straight_end=asked.choice("hem") == "straight",
        flared=asked.choice("hem") == "a-line",
    )
    leaving = side[0].way(0.0)
    slope = leaving.x / leaving.y
    hole = armhole(points["underarm"], points["mid_armhole"], points["shoulder_tip"], points["neck_side"], slope)
    hem: Path = (Line(points["hem_centre"], points["hem_side"]),)
    if asked.choice("hem") == "a-line":
        hem = flared_hem(points["hem_centre"], points["hem_side"], side[-1].way(1.0))
    bust_dart = _bust_dart(body, asked, unit, points, bust_points, w, notes) if name == "front" else None
    w("shoulder", "straight, neck side to shoulder tip", distance(points["neck_side"], points["shoulder_tip"]))
    w("neckline", _NECK_WORDS[asked.choice("neckline") if name == "front" else "round"], path_length(neck))
    w(
        "armhole",
        "curve square to the shoulder, through mid armhole, square to the side seam at the underarm, so long",
        path_length(hole),
    )
    w("side seam", "curve hollow above the waist and round below it, so long", path_length(side))
    return Half(name, points, dart, neck, hole, side, hem, hip_depth, hem_depth, slope, bust_dart), w.steps


_NECK_WORDS: Final = {
    "round": "curve square to the shoulder and to the centre line, so long",
    "boat": "curve square to the shoulder and to the centre line, so long",
    "v": "straight to the centre, but rounded off square to the shoulder, so long",
    "square": "straight down square to the shoulder, then level to the centre, so long",
}


def _neck(name: str, bust: float, asked: Asked, unit: Unit, w: Worksheet) -> tuple[float, float]:
    """Half neck width, alike in front and back, and the depth of this half."""
    style = asked.choice("neckline")
    wider, deeper = rounded(BOAT_WIDER, unit), rounded(SQUARE_DEEPER, unit)
    if style == "boat":
        width = _asked_or(
            w,
            asked,
            "neck_width",
            "neck width",
            "bust girth ÷ 12 + {wider}",
            bust / 12 + wider,
            "neck_side.x",
            wider=wider,
        )
    else:
        width = _asked_or(w, asked, "neck_width", "neck width", "bust girth ÷ 12", bust / 12, "neck_side.x")
    if name == "back":
        return width, w("back neck depth", "below the top line", asked.length("back_neck_depth"), "neck_centre.y")
    formula, value, lengths = {
        "round": ("bust girth ÷ 12", bust / 12, {}),
        "v": ("bust girth ÷ 6", bust / 6, {}),
        "square": ("bust girth ÷ 12 + {deeper}", bust / 12 + deeper, {"deeper": deeper}),
        "boat": ("below the top line", rounded(BOAT_DEPTH, unit), {}),
    }[style]
    depth = _asked_or(w, asked, "front_neck_depth", "front neck depth", formula, value, "neck_centre.y", **lengths)
    return width, depth


def _bust_dart(
    body: Measurements,
    asked: Asked,
    unit: Unit,
    points: Mapping[str, Point],
    bust_points: float,
    w: Worksheet,
    notes: list[str],
) -> BustDart | None:
    """What the front is longer than the back, taken as a dart at the side, level with the bust point.

    Derived (no published source): front length less back length, closed to the back's side seam.
    """
    if asked.choice("bust_dart") == "none":
        return None
    front_length, back_length = body.get("front_waist_length"), body["back_waist_length"]
    if front_length is None:
        raise DraftError(
            "front: the front length was not measured, so the bust dart cannot be worked out. Take front_waist_length "
            '(side neck point over the bust to the waist), or set bust_dart to "none".'
        )
    drop = w("bust dart, intake at the side", "front waist length − back waist length", front_length - back_length)
    if drop < 5:
        notes.append(
            f"The front waist length, {show(front_length, unit)}, is hardly longer than the back's "
            f"{show(back_length, unit)}: no bust dart was drafted."
        )
        return None
    height = body.get("bust_height")
    if height is None:
        height = w("bust level, down", "bust girth ÷ 5 + {more}", body["bust_girth"] / 5 + 83, more=83.0)
        notes.append(f"bust_height was not measured; assumed {show(height, unit)} = bust girth ÷ 5 + {show(83, unit)}.")
    highest, lowest = -points["underarm"].y + 20 + drop / 2, -points["waist_side"].y - 40 - drop / 2
    if highest > lowest:
        raise DraftError(
            f"front: a bust dart of {show(drop, unit)} does not fit between the chest line and the waist line. Check "
            "front_waist_length and back_waist_length."
        )
    level = w("bust dart, level with the bust point, down", "bust height", min(max(height, highest), lowest))
    if abs(level - height) > 0.5:
        notes.append(f"The bust dart was moved from {show(height, unit)} to {show(level, unit)} below the top line.")
    tip_x = w("bust dart point, across", "bust point width ÷ 2 + {short}", bust_points / 2 + 20, short=20.0)
    return BustDart(level - drop / 2, drop, Point(tip_x, -level))


def _asked_or(
    w: Worksheet, asked: Asked, option: str, label: str, formula: str, value: float, at: str, **lengths: float
) -> float:
    given = asked.given(option)
    return w(label, formula, value, at, **lengths) if given is None else w(label, "as asked for", given, at)


def _square_neck_has_a_level_part(neck: Path, points: Mapping[str, Point], unit: Unit) -> None:
    """Refuse a square neck that runs into the centre line before it is as deep as asked. Raises DraftError."""
    side, level = points["neck_side"], neck[0].end.x
    if level < _LEVEL_NECK:
        slant = (side.x - level) / (side.y - points["neck_centre"].y)
        deepest = (side.x - _LEVEL_NECK) / slant
        raise DraftError(
            "front: square to a shoulder as steep as this, the neckline runs into the centre line before it is "
            f"{show(-points['neck_centre'].y, unit)} deep. Make front_neck_depth {show_at_most(deepest, unit)} or "
            "less, neck_width wider, or shoulder_drop less."
        )


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
            f"only {say(max(0.0, shoulder))} of shoulder is left beside the neck; at least {say(30)} is needed. "
            f"Make neck_width {show_at_most(p['shoulder_tip'].x - 30, unit)} or less, or check shoulder_width and "
            "bust_girth."
        )
    hole = p["underarm"].x - p["mid_armhole"].x
    if hole < 15:
        more = show_at_least(4 * (15 - hole), unit)
        refuse(
            f"the quarter chest, {say(p['underarm'].x)}, leaves no room for an armhole beyond mid armhole at "
            f"{say(p['mid_armhole'].x)}. Add {more} or more to ease_bust, or check shoulder_width and bust_girth."
        )
    if -p["neck_centre"].y > -p["underarm"].y - 10:
        refuse(
            f"the neck, {say(-p['neck_centre'].y)} deep, reaches the chest line, {say(-p['underarm'].y)} down. Make "
            f"{name}_neck_depth {show_at_most(-p['underarm'].y - 10, unit)} or less."
        )
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
    if p["dart_top"].x + intake / 2 > p["waist_side"].x - BESIDE_DART or p["dart_top"].x - intake / 2 < 10:
        refuse(
            f"the dart, {say(p['dart_top'].x)} from the centre, does not fit into a waist of {say(p['waist_side'].x)}. "
            "Check bust_point_width, or change dart_intake."
        )
    flare = max(0.0, p["hem_side"].x - p["hip_side"].x)
    shortest = -p["hip_side"].y + hypot(_BELOW_HIP, flare)
    if -p["hem_centre"].y < shortest - 1e-6:
        flared = f", where it is flared by {say(flare)}" if flare > 0 else ""
        refuse(
            f"the hem, {say(-p['hem_centre'].y)} down, must lie at least {say(_BELOW_HIP)} below the hip line, "
            f"{say(-p['hip_side'].y)} down, at the side too{flared}. Make length {show_at_least(shortest, unit)} or "
            f"more{', or flare less' if flare > 0 else ''}."
        )
