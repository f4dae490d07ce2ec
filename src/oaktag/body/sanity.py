"""Measurements that are possible but unusual for each other: warn, and say what to take again. Never refuse.

The bands are common practice without a source; where two were in use the wider counts, and where the middle 98 % of the
300 women measured in 1988 (fixtures/bodies) reach further, the band was widened to them, marked "survey". Shoulders and
necks grow far less than the bust does: their bands follow the women of 1988 and of 2012 through all sizes, so that not
2 in 100 of any size lie outside at either end ("surveys"). A mixed-up unit that gives an impossible length is refused
earlier, by the hard limits of each measurement.

Men have the bands of women but for those that 60 men of 1988 asked to be wider, and none of the bust; children bands of
their own, the middle 98 % of 205 children of 2 to 12 years measured in 1975-77, told as lines over the stature or the
chest, with a little room. What the survey has not measured lies about a chart of preschool sizes (common practice, no
source, for the room that it is given).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from ..units import Unit, show
from ..values import dataclass
from .estimates import half_length
from .measurements import kinds_of, range_words


@dataclass(frozen=True, slots=True)
class Doubt:
    """`measured` and the `limit` that it passed, in `unit_text` (mm); the message is in the maker's unit.

    `found` is the message without the advice to measure again.
    """

    id: str
    measured: float
    limit: float
    unit_text: str
    message: str
    found: str = ""


@dataclass(frozen=True, slots=True)
class Band:
    """`name` usually lies from `least` to `most` mm, each with a share of the measurement `of` added."""

    id: str
    name: str
    least: float
    most: float
    of: str = ""
    least_share: float = 0.0
    most_share: float = 0.0


BANDS: Final = (
    Band("body.hip-waist", "hip_girth", 50, 400, "waist_girth", 1, 1),
    Band("body.bust-waist", "bust_girth", -50, 300, "waist_girth", 1, 1),
    Band("body.hip-bust", "hip_girth", -120, 260, "bust_girth", 1, 1),  # about half hip = half bust + 5 cm ± 8 cm
    Band("body.back-waist", "back_waist_length", 315, 460),  # least: survey; 36 cm is taught
    Band("body.shoulder-bust", "shoulder_width", 265, 365, "bust_girth", 0.08, 0.095),  # surveys; 0.38 to 0.5 is taught
    Band("body.shoulder-drop", "shoulder_height", -95, -30, "side_neck_height", 1, 1),  # survey
    Band("body.bust-height", "bust_height", 48, 128, "bust_girth", 0.2, 0.2),  # bust ÷ 5 + 8.3 cm, ± 3 cm; survey
    Band(
        "body.bust-point-width", "bust_point_width", 38, 106, "bust_girth", 0.125, 0.125
    ),  # bust ÷ 8 + 7.6 cm ± 3 cm; survey
    Band("body.waist-to-hip", "waist_to_hip", 140, 282),  # survey; 16 to 25 cm is taught
    Band("body.half-length", "side_neck_to_waist", 340, 485),  # the back's, 1 in below; 36 to 46 cm is taught
    Band("body.nape-depth", "side_neck_to_waist", 5, 45, "back_waist_length", 1, 1),  # 15 to 32 mm is taught
    Band("body.front-back-length", "front_waist_length", -60, 60, "side_neck_to_waist", 1, 1),  # 0 to 6 cm; survey
    Band("body.upper-arm-bust", "upper_arm_girth", 0, 0, "bust_girth", 0.26, 0.38),
    Band("body.across-back-bust", "across_back_width", 0, 0, "bust_girth", 0.33, 0.46),  # survey
    Band("body.shoulder-length", "shoulder_length", 105, 172),  # most: survey
    Band("body.neck-base-bust", "neck_base_girth", 225, 160, "bust_girth", 0.1, 0.29),  # surveys
    Band("body.back-waist-stature", "back_waist_length", 0, 0, "stature", 0.19, 0.27),  # least: survey
    Band("body.scye-back-waist", "scye_depth", 0, 0, "back_waist_length", 0.415, 0.58),  # least: survey
)

_WIDER: Final = {
    band.id: band
    for band in (
        Band("body.hip-waist", "hip_girth", 40, 400, "waist_girth", 1, 1),
        Band("body.back-waist", "back_waist_length", 315, 470),
        Band("body.shoulder-bust", "shoulder_width", 265, 385, "bust_girth", 0.08, 0.095),
        Band("body.shoulder-length", "shoulder_length", 105, 176),
        Band("body.upper-arm-bust", "upper_arm_girth", 0, 0, "bust_girth", 0.26, 0.39),
        Band("body.scye-back-waist", "scye_depth", 0, 0, "back_waist_length", 0.415, 0.595),
    )
}
_NO_MANS: Final = ("body.bust-height", "body.bust-point-width")
MEN_BANDS: Final = tuple(_WIDER.get(band.id, band) for band in BANDS if band.id not in _NO_MANS)
CHILD_BANDS: Final = (
    Band("body.child-stature", "stature", 820, 1650),
    Band("body.bust-stature", "bust_girth", -15, 250, "stature", 0.44, 0.44),
    Band("body.waist-stature", "waist_girth", 35, 360, "stature", 0.345, 0.345),
    Band("body.hip-stature", "hip_girth", -75, 205, "stature", 0.505, 0.505),
    Band("body.hip-waist", "hip_girth", 0, 240, "waist_girth", 1, 1),
    Band("body.bust-waist", "bust_girth", -20, 170, "waist_girth", 1, 1),  # up to 7 years to 10 cm
    Band("body.hip-bust", "hip_girth", -50, 110, "bust_girth", 1, 1),
    Band("body.arm-stature", "arm_length", -80, -5, "stature", 0.36, 0.36),
    Band("body.head-stature", "head_girth", 388, 465, "stature", 0.077, 0.077),
    Band("body.upper-arm-bust", "upper_arm_girth", -45, 20, "bust_girth", 0.33, 0.33),
    Band("body.neck-bust", "neck_girth", 100, 152, "bust_girth", 0.23, 0.23),
    # not measured by the survey
    Band("body.neck-base-bust", "neck_base_girth", 105, 185, "bust_girth", 0.25, 0.25),
    Band("body.back-waist-stature", "back_waist_length", -25, 45, "stature", 0.2333, 0.2333),
    Band("body.nape-depth", "side_neck_to_waist", 0, 35, "back_waist_length", 1, 1),
    Band("body.shoulder-length", "shoulder_length", 3, 45, "stature", 0.0667, 0.0667),
    Band("body.shoulder-stature", "shoulder_width", 50, 130, "stature", 0.17, 0.17),
    Band("body.waist-to-hip", "waist_to_hip", 80, 220),
)


def bands_of(wearer: str) -> tuple[Band, ...]:
    """Those of a `Wearer`; of a woman where nobody is named."""
    return MEN_BANDS if wearer == "man" else CHILD_BANDS if wearer == "child" else BANDS


def plausible(body: Mapping[str, float], unit: Unit, wearer: str = "") -> tuple[Doubt, ...]:
    """A doubt for every band that the body lies outside of; a band whose measurements were not taken says nothing.

    The front length is compared with the half length, both from the side neck point; where only the back waist length
    was taken, with that and the nape's depth.
    """
    half = half_length(body, wearer)
    filled = body if half is None or "side_neck_to_waist" in body else {**body, "side_neck_to_waist": half}
    return tuple(
        _doubt(band, body, filled, unit, limit, wearer)
        for band in bands_of(wearer)
        if band.name in body and (not band.of or band.of in filled)
        for limit in _limits_passed(band, filled)
    )


def _limits(band: Band, filled: Mapping[str, float]) -> tuple[float, float]:
    of = filled[band.of] if band.of else 0.0
    return band.least + band.least_share * of, band.most + band.most_share * of


def _limits_passed(band: Band, body: Mapping[str, float]) -> tuple[float, ...]:
    least, most = _limits(band, body)
    measured, slack = body[band.name], 1e-6
    return (least,) if measured < least - slack else (most,) if measured > most + slack else ()


def _doubt(
    band: Band, body: Mapping[str, float], filled: Mapping[str, float], unit: Unit, limit: float, wearer: str
) -> Doubt:
    kinds = kinds_of(wearer)
    kind = kinds[band.name]
    usual = f"{range_words(*_limits(band, filled), unit)} is usual"
    again = f"Take it again. {kind.how}"
    if band.of:
        other = kinds[band.of if band.of in body else "back_waist_length"]
        usual = f"with {other.words} {show(body[other.name], unit)}, {usual}"
        again = f"Take both again. {kind.words.capitalize()}: {kind.how} {other.words.capitalize()}: {other.how}"
    found = f"{kind.words} is {show(body[band.name], unit)}; {usual}."
    return Doubt(band.id, body[band.name], limit, "mm", f"{found} {again}", found)
