"""Estimates for measurements that were not taken; every one says what was assumed.

Ratios are means of the single ratios of 300 women drawn at random from the 2,208 of the survey by Gordon et al., 1988
Anthropometric Survey of U.S. Army Personnel: Methods and Summary Statistics, NATICK/TR-89/044 (1989), public domain;
those of men, of 150 drawn from its 1,774. Soldiers are fitter and younger than the public. A child's proportions change
as it grows: straight lines of least squares through 205 children of 2 to 12 years, of Snyder et al., Anthropometry of
Infants, Children and Youths to Age 18 for Product Safety Design, UM-HSRI-77-17 (1977). What no child of that survey was
measured for is told as what it is: a line through a chart of preschool sizes, or the ratio of grown women.
The rows are in fixtures/bodies; a test works ratios and lines out anew.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from ..errors import DraftError
from ..units import Unit, show
from ..values import dataclass
from .measurements import kinds_of

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
    """`value = ratio × body[of] + plus`, mm. `source` is whose it is, where it is not that of all the others."""

    of: str
    ratio: float
    remark: str = ""
    plus: float = 0.0
    source: str = ""


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
        "heel_girth": Ratio("stature", 0.1862),
        "bust_point_width": Ratio("bust_girth", 0.2031),
        "elbow_girth": Ratio("upper_arm_girth", 0.8198),
        "wrist_girth": Ratio("upper_arm_girth", 0.5234),
        "hand_girth": Ratio("wrist_girth", 1.2318, "at the knuckles without the thumb; a fist is more"),
    }
)
_MEN: Final[Mapping[str, Ratio]] = MappingProxyType(
    {
        "side_neck_height": Ratio("stature", 0.8602),
        "waist_height": Ratio("stature", 0.6422),
        "hip_height": Ratio("stature", 0.5044),
        "crotch_height": Ratio("stature", 0.4762),
        "knee_height": Ratio("stature", 0.2870),
        "ankle_height": Ratio("stature", 0.0377),
        "waist_to_hip": Ratio("stature", 0.1378, "straight down; along the side it is more"),
        "arm_length": Ratio("stature", 0.3428, RATIOS["arm_length"].remark),
        "thigh_girth": Ratio("hip_girth", 0.6067),
        "lower_thigh_girth": Ratio("hip_girth", 0.3991),
        "knee_girth": Ratio("hip_girth", 0.3931),
        "calf_girth": Ratio("hip_girth", 0.3843),
        "ankle_girth": Ratio("hip_girth", 0.2247),
        "heel_girth": Ratio("stature", 0.1925),
        "bust_point_width": Ratio("bust_girth", 0.2189),
        "elbow_girth": Ratio("upper_arm_girth", 0.8295),
        "wrist_girth": Ratio("upper_arm_girth", 0.5218),
        "hand_girth": Ratio("wrist_girth", 1.2289, RATIOS["hand_girth"].remark),
    }
)
PRESCHOOL: Final = "line through a chart of preschool sizes from 92 to 122 cm; taller, it is drawn on"
"""A chart of a children's sewing magazine: of 92 and 122 cm outside leg 54 and 74, back waist 22.5 and 29.5, shoulder 8
and 10 cm. Its girths run over the measured children by chest 5, waist 6 and hip 8 cm, and are not used."""
_GROWN: Final = "ratio of grown women: no child's was measured"
_CHILDREN: Final[Mapping[str, Ratio]] = MappingProxyType(
    {
        # heights and lengths
        "waist_height": Ratio("stature", 0.6667, plus=-73.3, source=PRESCHOOL),
        "hip_height": Ratio("stature", 0.6243, plus=-165.3),
        "waist_to_hip": Ratio("stature", 0.0424, "the waist height less the hip height", 92.0, PRESCHOOL),
        "crotch_height": Ratio("stature", 0.5923, "the level of the seat, sitting", -163.2),
        "body_rise": Ratio("stature", 0.0744, "the waist height less the level of the seat", 89.9, PRESCHOOL),
        "knee_height": Ratio("stature", 0.3222, "0.89 of the height of the knee, sitting; 0.89 from memory", -58.6),
        "ankle_height": Ratio("stature", RATIOS["ankle_height"].ratio, source=_GROWN),
        "back_waist_length": Ratio("stature", 0.2333, plus=10.3, source=PRESCHOOL),
        "shoulder_length": Ratio("stature", 0.0667, plus=18.7, source=PRESCHOOL),
        "shoulder_width": Ratio("stature", 0.1698, "two shoulders, and the neck's base ÷ 3.14", 85.2, PRESCHOOL),
        "arm_length": Ratio("stature", 0.3618, RATIOS["arm_length"].remark, -42.2),
        # girths
        "head_girth": Ratio("stature", 0.0774, plus=420.8),
        "neck_girth": Ratio("bust_girth", 0.2312, plus=124.3),
        "neck_base_girth": Ratio("neck_girth", 1.0972, source=_GROWN),
        "upper_arm_girth": Ratio("bust_girth", 0.3315, "half way up the arm", -17.1),
        "wrist_girth": Ratio("bust_girth", 0.1336, plus=43.9),
        "elbow_girth": Ratio("upper_arm_girth", RATIOS["elbow_girth"].ratio, source=_GROWN),
        "hand_girth": Ratio("wrist_girth", RATIOS["hand_girth"].ratio, RATIOS["hand_girth"].remark, source=_GROWN),
        "thigh_girth": Ratio("hip_girth", 0.6799, plus=-58.6),
        "calf_girth": Ratio("hip_girth", 0.3627, plus=19.4),
        "ankle_girth": Ratio("hip_girth", 0.1937, plus=45.8),
        "heel_girth": Ratio("stature", RATIOS["heel_girth"].ratio, source=_GROWN),
        "knee_girth": Ratio("calf_girth", 1.0373, source=_GROWN),
        "lower_thigh_girth": Ratio("calf_girth", 1.0713, source=_GROWN),
    }
)


@dataclass(frozen=True, slots=True)
class Proportions:
    """What is known of people of one kind; `stature` is their mean, mm, 0.0 where a mean says nothing of one of them.

    `nape_depth`: how far the nape lies below the level of the side neck point, as a draft lays the neck flat, mm.
    """

    source: str
    ratios: Mapping[str, Ratio]
    stature: float
    nape_depth: float = NAPE_DEPTH

    def estimates(self, name: str) -> bool:
        """Whether it knows a number for that measurement, where what it hangs on was taken."""
        return name in self.ratios or name == "waist_to_hip" or (name == "stature" and self.stature > 0)

    def rests_on(self, name: str) -> str:
        """The measurement that must be taken for an estimate of that one; "" for none."""
        of = self.ratios[name].of if name in self.ratios else ""
        return "" if of == "stature" and self.stature else of


_PEOPLE: Final[Mapping[str, Proportions]] = MappingProxyType(
    {
        "woman": Proportions(SOURCE, RATIOS, MEAN_STATURE),
        "man": Proportions("mean of 150 men of a 1988 survey", _MEN, 1755.2),
        "child": Proportions("line through 205 children of a 1977 survey", _CHILDREN, 0.0, 15.0),
    }
)
"""A child's neck lies 1.5 cm lower at the back (a published block for children)."""


def proportions(wearer: str) -> Proportions:
    """Those of a `Wearer`; of a woman where nobody is named.

    >>> proportions("man").ratios["arm_length"].ratio, proportions("child").rests_on("arm_length")
    (0.3428, 'stature')
    """
    return _PEOPLE[wearer or "woman"]


@dataclass(frozen=True, slots=True)
class Estimate:
    """A length in mm and how it came about; `words` is empty where it was measured."""

    name: str
    value: float
    words: str


def half_length(body: Mapping[str, float], wearer: str = "") -> float | None:
    """Side neck point to waist, mm: as measured, else the back waist length and the nape's depth; None without both.

    >>> half_length({"back_waist_length": 400.0}), half_length({"side_neck_to_waist": 430.0})
    (425.4, 430.0)
    """
    if "side_neck_to_waist" in body:
        return body["side_neck_to_waist"]
    return body["back_waist_length"] + proportions(wearer).nape_depth if "back_waist_length" in body else None


def estimate(name: str, body: Mapping[str, float], unit: Unit, wearer: str = "") -> Estimate:
    """An estimate of `name` (mm) from what was measured, with what was assumed, in the maker's unit; by the proportions
    of that `Wearer`, of a woman where nobody is named.

    What it rests on is itself estimated if it may be. DraftError for what is never estimated: the girths of bust,
    waist and hip, of the grown also of the upper arm, of a child the stature, and all that no ratio is known for.
    """
    kind, people = kinds_of(wearer)[name], proportions(wearer)
    rule = people.ratios.get(name)
    if name == "stature" and people.stature:
        return _stature(body, unit, people)
    if name == "waist_to_hip" and rule is None:
        return Estimate(name, WAIST_TO_HIP, f"waist to hip {show(WAIST_TO_HIP, unit)} (common practice, no source)")
    if rule is None:
        raise DraftError(f"the {kind.words} was not measured and is never estimated. {kind.how} Add {name} to the job.")
    base = known(rule.of, body, unit, wearer)
    value = rule.ratio * base.value + rule.plus
    remark = f"; {rule.remark}" if rule.remark else ""
    more = f" {'+' if rule.plus > 0 else '−'} {show(abs(rule.plus), unit)}" if rule.plus else ""
    of = f"{kinds_of(wearer)[rule.of].words} {show(base.value, unit)}{more}"
    source = rule.source or people.source
    words = f"{kind.words} {show(value, unit)} = {rule.ratio:.3f} × {of} ({source}{remark})"
    return Estimate(name, value, f"{words}, with {base.words}" if base.words else words)


def _stature(body: Mapping[str, float], unit: Unit, people: Proportions) -> Estimate:
    """From the first height that was measured; else the mean, or less where the arm is short.

    An arm may have been taken over a bent elbow, which is longer: it can tell that a body is small, never that it is
    tall. Each is nearer to the women of the survey than the mean is (standard error 64 mm; by height 11 to 54, by arm
    58).
    """
    ratios, mean = people.ratios, people.stature
    for height in HEIGHTS:
        if height in body:
            ratio = ratios[height].ratio
            value = body[height] / ratio
            of = f"{kinds_of('')[height].words} {show(body[height], unit)} ÷ {ratio:.3f}"
            return Estimate("stature", value, f"stature {show(value, unit)} = {of} ({people.source})")
    by_arm = body.get("arm_length", mean) / ratios["arm_length"].ratio
    if by_arm < mean:
        of = f"arm length {show(body['arm_length'], unit)} ÷ {ratios['arm_length'].ratio:.3f}"
        words = f"stature {show(by_arm, unit)} = {of}, since the arm is short ({people.source})"
        return Estimate("stature", by_arm, words)
    return Estimate("stature", mean, f"stature {show(mean, unit)} ({people.source})")


def known(name: str, body: Mapping[str, float], unit: Unit, wearer: str = "") -> Estimate:
    """What was measured, with empty words, or else the estimate. Raises DraftError as `estimate` does.

    >>> known("stature", {"stature": 1700.0}, "cm")
    Estimate(name='stature', value=1700.0, words='')
    """
    return Estimate(name, body[name], "") if name in body else estimate(name, body, unit, wearer)
