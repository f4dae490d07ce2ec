"""Estimates for measurements that were not taken; every one says what was assumed.

Ratios are means of the single ratios of 300 women drawn at random from the 2,208 of the survey by Gordon et al., 1988
Anthropometric Survey of U.S. Army Personnel: Methods and Summary Statistics, NATICK/TR-89/044 (1989), public domain.
The rows are in fixtures/bodies; a test works the ratios out anew. Soldiers are fitter and younger than the public.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from ..errors import DraftError
from ..units import Unit, show
from ..values import dataclass
from .measurements import KINDS

MEAN_STATURE: Final = 1631.9
WAIST_TO_HIP: Final = 203.2  # 8 in: common practice, no source
NAPE_DEPTH: Final = 25.4
"""How far the nape lies below the level of the side neck point, as a draft lays the neck flat, mm.

1 in: the quarter-measure method's own standard back neck depth (common practice; its lists have 1 to 1 1/4 in, five
other systems 15 to 25 mm). Not the survey's heights above the floor: on a standing body the side neck point lies 12 mm
below the nape."""
HEIGHTS: Final = ("side_neck_height", "waist_height", "crotch_height", "knee_height")
"""What stature is estimated from, the surest first."""
SHOULDER_DROP: Final = 61.8
"""The shoulder point below the side neck point, both as heights above the floor, mm: mean of the same women."""
SOURCE: Final = "mean of 300 women of a 1988 survey"


@dataclass(frozen=True, slots=True)
class Ratio:
    """`value = ratio × body[of]`."""

    of: str
    ratio: float
    remark: str = ""


RATIOS: Final[Mapping[str, Ratio]] = MappingProxyType(
    {
        "side_neck_height": Ratio("stature", 0.8571),
        "waist_height": Ratio("stature", 0.6476),
        "hip_height": Ratio("stature", 0.5138),
        "crotch_height": Ratio("stature", 0.4728),
        "knee_height": Ratio("stature", 0.2810),
        "ankle_height": Ratio("stature", 0.0372),
        "arm_length": Ratio("stature", 0.3343, "arm hanging straight; over a bent elbow it is more"),
        "thigh_girth": Ratio("hip_girth", 0.5988),
        "lower_thigh_girth": Ratio("hip_girth", 0.3885),
        "knee_girth": Ratio("hip_girth", 0.3761),
        "calf_girth": Ratio("hip_girth", 0.3631),
        "ankle_girth": Ratio("hip_girth", 0.2129),
        "bust_point_width": Ratio("bust_girth", 0.2031),
        "elbow_girth": Ratio("upper_arm_girth", 0.8198),
        "wrist_girth": Ratio("upper_arm_girth", 0.5234),
        "hand_girth": Ratio("wrist_girth", 1.2318, "at the knuckles without the thumb; a fist is more"),
    }
)


@dataclass(frozen=True, slots=True)
class Estimate:
    """A length in mm and how it came about; `words` is empty where it was measured."""

    name: str
    value: float
    words: str


def half_length(body: Mapping[str, float]) -> float | None:
    """Side neck point to waist, mm: as measured, else the back waist length and the nape's depth; None without both.

    >>> half_length({"back_waist_length": 400.0}), half_length({"side_neck_to_waist": 430.0})
    (425.4, 430.0)
    """
    if "side_neck_to_waist" in body:
        return body["side_neck_to_waist"]
    return body["back_waist_length"] + NAPE_DEPTH if "back_waist_length" in body else None


def estimate(name: str, body: Mapping[str, float], unit: Unit) -> Estimate:
    """An estimate of `name` (mm) from what was measured, with what was assumed, in the maker's unit.

    What it rests on is itself estimated if it may be. DraftError for what is never estimated: the girths of bust,
    waist, hip and upper arm, and all that no ratio is known for.
    """
    kind = KINDS[name]
    if name == "stature":
        return _stature(body, unit)
    if name == "waist_to_hip":
        return Estimate(name, WAIST_TO_HIP, f"waist to hip {show(WAIST_TO_HIP, unit)} (common practice, no source)")
    rule = RATIOS.get(name)
    if rule is None:
        raise DraftError(f"the {kind.words} was not measured and is never estimated. {kind.how} Add {name} to the job.")
    base = known(rule.of, body, unit)
    value = rule.ratio * base.value
    remark = f"; {rule.remark}" if rule.remark else ""
    of = f"{KINDS[rule.of].words} {show(base.value, unit)}"
    words = f"{kind.words} {show(value, unit)} = {rule.ratio:.3f} × {of} ({SOURCE}{remark})"
    return Estimate(name, value, f"{words}, with {base.words}" if base.words else words)


def _stature(body: Mapping[str, float], unit: Unit) -> Estimate:
    """From the first height that was measured; else the mean, or less where the arm is short.

    An arm may have been taken over a bent elbow, which is longer: it can tell that a body is small, never that it is
    tall. Each is nearer to the women of the survey than the mean is (standard error 64 mm; by height 11 to 54, by arm
    58).
    """
    for height in HEIGHTS:
        if height in body:
            ratio = RATIOS[height].ratio
            value = body[height] / ratio
            of = f"{KINDS[height].words} {show(body[height], unit)} ÷ {ratio:.3f}"
            return Estimate("stature", value, f"stature {show(value, unit)} = {of} ({SOURCE})")
    by_arm = body.get("arm_length", MEAN_STATURE) / RATIOS["arm_length"].ratio
    if by_arm < MEAN_STATURE:
        of = f"{KINDS['arm_length'].words} {show(body['arm_length'], unit)} ÷ {RATIOS['arm_length'].ratio:.3f}"
        words = f"stature {show(by_arm, unit)} = {of}, since the arm is short ({SOURCE})"
        return Estimate("stature", by_arm, words)
    return Estimate("stature", MEAN_STATURE, f"stature {show(MEAN_STATURE, unit)} ({SOURCE})")


def known(name: str, body: Mapping[str, float], unit: Unit) -> Estimate:
    """What was measured, with empty words, or else the estimate. Raises DraftError as `estimate` does.

    >>> known("stature", {"stature": 1700.0}, "cm")
    Estimate(name='stature', value=1700.0, words='')
    """
    return Estimate(name, body[name], "") if name in body else estimate(name, body, unit)
