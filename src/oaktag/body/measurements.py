"""The measurements of a body that the project knows, and one body's set of them. Millimetres.

Names and definitions follow the ideas of ISO 8559-1:2017 in our own words. `least` and `most` are hard limits: nobody
who can be measured lies outside them, so a number that does was mistyped or has another unit (common practice, no
source; every adult of the surveys in fixtures/bodies lies inside). What is merely unusual is for `sanity`.
"""

from __future__ import annotations

import math
from collections.abc import Container, Iterable, Iterator, Mapping
from difflib import get_close_matches
from types import MappingProxyType
from typing import Final, Literal

from ..errors import InputError, Where
from ..units import INCH, UNITS, Unit, parse_length, show
from ..values import dataclass, field, replace

Wearer = Literal["woman", "man", "child"]
WEARERS: Final[tuple[Wearer, ...]] = ("woman", "man", "child")
"""Whose body it is: proportions, limits and what is usual differ. A child is up to 12 years old."""


@dataclass(frozen=True, slots=True)
class MeasurementKind:
    """One measurement: its name in files, in words, how to take it, and its hard limits in mm."""

    name: str
    words: str
    how: str
    least: float
    most: float

    @property
    def part(self) -> str:
        """What "no ... is that long" speaks of: `hip` for the hip girth, else the words."""
        return self.words.removesuffix(" girth")


def _kind(name: str, least: float, most: float, how: str) -> MeasurementKind:
    return MeasurementKind(name, name.replace("_", " "), how, least, most)


_KINDS: Final = (
    _kind("stature", 900, 2200, "Stand barefoot against a wall, head level: floor to top of head."),
    _kind(
        "bust_girth",
        600,
        1800,
        "Tape level round the fullest part of the bust, under the arms and over the shoulder blades.",
    ),
    _kind("upper_chest_girth", 600, 1700, "Tape level, high under the arms, above the breasts."),
    _kind("underbust_girth", 500, 1600, "Tape level just under the breasts."),
    _kind(
        "waist_girth",
        450,
        1800,
        "Tape round the natural waist, half way between the lowest rib and the hip bone, belly relaxed.",
    ),
    _kind("top_hip_girth", 500, 1850, "Tape level over the belly, about 10 cm (4 in) below the waist."),
    _kind("hip_girth", 600, 1900, "Tape level round the fullest part of the seat, feet together."),
    _kind(
        "neck_base_girth", 250, 650, "Round the base of the neck: nape, both side neck points, hollow of the throat."
    ),
    _kind("neck_girth", 220, 600, "Round the middle of the neck, tape square to it."),
    _kind("head_girth", 450, 700, "The greatest girth, over the brow and the back of the head."),
    _kind("shoulder_width", 250, 600, "From shoulder point to shoulder point, over the back."),
    _kind("shoulder_length", 70, 220, "From the side neck point to the shoulder point, on the shoulder."),
    _kind("across_back_width", 220, 600, "Between the back folds of the arms, half way down."),
    _kind("across_chest_width", 200, 600, "Between the front folds of the arms, half way down."),
    _kind("bust_point_width", 120, 320, "Straight across from one bust point to the other."),
    _kind("bust_height", 170, 480, "From the side neck point over the body down to the bust point."),
    _kind("back_waist_length", 280, 560, "From the nape bone down the spine to the waist line."),
    _kind(
        "side_neck_to_waist",
        290,
        600,
        "Half length: from the side neck point, over the back, straight down to the waist line.",
    ),
    _kind("front_waist_length", 280, 650, "From the side neck point over the bust point down to the waist line."),
    _kind("scye_depth", 120, 340, "From the nape bone down the spine to the level of the armpits."),
    _kind("waist_to_hip", 100, 350, "Down the side, from the waist line to the level of the hip girth."),
    _kind("waist_to_knee", 350, 850, "Down the side, from the waist line to the middle of the knee."),
    _kind("waist_to_floor", 550, 1450, "Down the side, from the waist line over the hip to the floor."),
    _kind("waist_height", 500, 1400, "Straight from the floor up to the waist line."),
    _kind("hip_height", 400, 1200, "Straight from the floor up to the level of the hip girth."),
    _kind("crotch_height", 350, 1100, "Inside leg: from the floor straight up to the crotch."),
    _kind("knee_height", 220, 700, "Straight from the floor up to the middle of the kneecap."),
    _kind("ankle_height", 30, 120, "Straight from the floor up to the outer bone of the ankle."),
    _kind("side_neck_height", 700, 1900, "Straight from the floor up to the side neck point."),
    _kind("shoulder_height", 650, 1850, "Straight from the floor up to the shoulder point."),
    _kind("total_crotch_length", 450, 1300, "From the front waist between the legs to the back waist."),
    _kind("body_rise", 150, 480, "Sitting on a hard chair: from the waist line down to the seat."),
    _kind("armscye_girth", 250, 750, "Over the shoulder point and round under the arm, arm hanging."),
    _kind("upper_arm_girth", 170, 650, "The greatest girth of the upper arm, arm hanging loose."),
    _kind("elbow_girth", 150, 550, "Round the elbow, arm a little bent."),
    _kind("wrist_girth", 110, 300, "Round the wrist, over the bones."),
    _kind("hand_girth", 130, 350, "Round the knuckles, the thumb laid into the palm."),
    _kind("arm_length", 350, 800, "From the shoulder point over the elbow to the wrist bone, arm a little bent."),
    _kind("thigh_girth", 300, 1100, "The greatest girth of the thigh, just below the seat."),
    _kind("lower_thigh_girth", 220, 850, "Round the thigh just above the kneecap."),
    _kind("knee_girth", 220, 800, "Round the middle of the kneecap, leg straight."),
    _kind("calf_girth", 200, 750, "The greatest girth of the calf."),
    _kind("ankle_girth", 130, 500, "The smallest girth of the leg, just above the ankle."),
    _kind("heel_girth", 210, 560, "Round heel and instep, foot pointed: what must pass the hem of a leg."),
)
KINDS: Final[Mapping[str, MeasurementKind]] = MappingProxyType({kind.name: kind for kind in _KINDS})
_CHEST: Final = "Tape level round the fullest part of the chest, under the arms and over the shoulder blades."
_MEN: Final = MappingProxyType({**KINDS, "bust_girth": replace(KINDS["bust_girth"], words="chest girth", how=_CHEST)})
_OF_A_CHILD: Final[Mapping[str, tuple[float, float]]] = {
    "stature": (450, 1850), "bust_girth": (300, 1200), "upper_chest_girth": (300, 1200), "underbust_girth": (300, 1150),
    "waist_girth": (280, 1150), "top_hip_girth": (280, 1200), "hip_girth": (280, 1250), "neck_base_girth": (180, 480),
    "neck_girth": (160, 450), "head_girth": (320, 640), "shoulder_width": (150, 480), "shoulder_length": (40, 170),
    "across_back_width": (130, 450), "across_chest_width": (120, 430), "bust_point_width": (80, 260),
    "bust_height": (90, 330), "back_waist_length": (150, 460), "side_neck_to_waist": (160, 480),
    "front_waist_length": (150, 500), "scye_depth": (70, 260), "waist_to_hip": (60, 280), "waist_to_knee": (140, 720),
    "waist_to_floor": (200, 1250), "waist_height": (200, 1200), "hip_height": (150, 1050), "crotch_height": (130, 950),
    "knee_height": (90, 600), "ankle_height": (15, 100), "side_neck_height": (330, 1600),
    "shoulder_height": (310, 1550), "total_crotch_length": (280, 1000), "body_rise": (90, 350),
    "armscye_girth": (140, 550), "upper_arm_girth": (90, 450), "elbow_girth": (90, 400), "wrist_girth": (70, 230),
    "hand_girth": (80, 280), "arm_length": (140, 700), "thigh_girth": (150, 800), "lower_thigh_girth": (130, 650),
    "knee_girth": (120, 600), "calf_girth": (100, 500), "ankle_girth": (80, 350),
    "heel_girth": (110, 430),
}  # fmt: skip
"""Limits of a child's, from a baby of a few weeks (common practice, no source; all of 205 children lie inside)."""
_CHILDREN: Final = MappingProxyType(
    {name: replace(kind, least=_OF_A_CHILD[name][0], most=_OF_A_CHILD[name][1]) for name, kind in _MEN.items()}
)


def kinds_of(wearer: str) -> Mapping[str, MeasurementKind]:
    """The measurements of a `Wearer`, in words and limits that suit; those of a woman where nobody is named.

    >>> kinds_of("child")["bust_girth"].words, kinds_of("child")["hip_girth"].least, kinds_of("")["hip_girth"].least
    ('chest girth', 280, 600)
    """
    return _MEN if wearer == "man" else _CHILDREN if wearer == "child" else KINDS


UNIT_WORDS: Final[Mapping[Unit, str]] = {"in": "inches", "cm": "centimetres", "mm": "millimetres"}
_NICKNAMES: Final = {
    "bust": "bust_girth", "chest": "bust_girth", "chest_girth": "bust_girth", "round_bust": "bust_girth",
    "upper_bust": "upper_chest_girth", "upper_bust_girth": "upper_chest_girth", "high_bust": "upper_chest_girth",
    "under_bust": "underbust_girth", "under_bust_girth": "underbust_girth", "underbust": "underbust_girth",
    "waist": "waist_girth", "natural_waist": "waist_girth", "round_waist": "waist_girth",
    "high_hip": "top_hip_girth", "high_hip_girth": "top_hip_girth", "top_hip": "top_hip_girth",
    "hip": "hip_girth", "hips": "hip_girth", "seat": "hip_girth", "round_hip": "hip_girth",
    "neck": "neck_base_girth", "round_neck": "neck_base_girth", "head": "head_girth",
    "shoulder": "shoulder_width", "shoulders": "shoulder_width", "across_shoulder": "shoulder_width",
    "shoulder_to_shoulder": "shoulder_width", "shoulder_slope": "shoulder_height", "shoulder_drop": "shoulder_height",
    "shoulder_point_height": "shoulder_height", "back_width": "across_back_width", "across_back": "across_back_width",
    "chest_width": "across_chest_width", "across_chest": "across_chest_width", "across_front": "across_chest_width",
    "half_length": "side_neck_to_waist", "half": "side_neck_to_waist", "back_half_length": "side_neck_to_waist",
    "shoulder_to_waist": "side_neck_to_waist", "side_neck_point_to_waist": "side_neck_to_waist",
    "neck_point_to_waist": "side_neck_to_waist", "side_neck_to_waist_length": "side_neck_to_waist",
    "nape_to_waist": "back_waist_length", "back_length": "back_waist_length",
    "back_waist": "back_waist_length", "front_length": "front_waist_length", "front_waist": "front_waist_length",
    "nipple_to_nipple": "bust_point_width", "bust_span": "bust_point_width", "bust_distance": "bust_point_width",
    "shoulder_to_nipple": "bust_height", "neck_to_bust_point": "bust_height", "bust_depth": "bust_height",
    "armscye_depth": "scye_depth", "armhole_depth": "scye_depth", "armhole": "armscye_girth",
    "armhole_girth": "armscye_girth", "hip_depth": "waist_to_hip", "outside_leg": "waist_to_floor",
    "outseam": "waist_to_floor", "inside_leg": "crotch_height", "inside_leg_length": "crotch_height",
    "inseam": "crotch_height", "height": "stature", "rise": "body_rise", "crotch_length": "total_crotch_length",
    "biceps": "upper_arm_girth", "bicep": "upper_arm_girth", "biceps_girth": "upper_arm_girth",
    "upper_arm": "upper_arm_girth", "top_arm": "upper_arm_girth", "round_sleeve": "upper_arm_girth",
    "elbow": "elbow_girth", "wrist": "wrist_girth", "hand": "hand_girth", "fist": "hand_girth",
    "fist_girth": "hand_girth", "knuckles": "hand_girth", "sleeve": "arm_length", "sleeve_length": "arm_length",
    "thigh": "thigh_girth", "knee": "knee_girth", "calf": "calf_girth", "ankle": "ankle_girth",
    "heel": "heel_girth", "instep": "heel_girth", "heel_ankle_girth": "heel_girth", "foot": "heel_girth",
}  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Measurements(Mapping[str, float]):
    """One body's measurements, name -> mm, never changed; `typed` keeps what the maker wrote, word for word, and
    `wearer` whose they are, "" where nobody said.

    >>> body = Measurements({"bust_girth": 965.2}, typed={"bust_girth": "38"})
    >>> body["bust_girth"], body.typed["bust_girth"], body.get("hip_girth")
    (965.2, '38', None)
    """

    values_mm: Mapping[str, float]
    typed: Mapping[str, str] = field(default_factory=dict)
    wearer: Wearer | Literal[""] = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "values_mm", dict(self.values_mm))
        object.__setattr__(self, "typed", dict(self.typed))

    def __getitem__(self, name: str) -> float:
        return self.values_mm[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self.values_mm)

    def __len__(self) -> int:
        return len(self.values_mm)


def lacking(
    needs: Iterable[str],
    instead: Mapping[str, str],
    names: Container[str],
    kinds: Mapping[str, MeasurementKind] = KINDS,
) -> tuple[tuple[MeasurementKind, ...], ...]:
    """What is needed and not among `names`; where another measurement would serve `instead`, both: either is enough.

    >>> half = {"back_waist_length": "side_neck_to_waist"}
    >>> [[kind.name for kind in kinds] for kinds in lacking(["hip_girth", "back_waist_length"], half, {"bust_girth"})]
    [['hip_girth'], ['back_waist_length', 'side_neck_to_waist']]
    >>> lacking(["back_waist_length"], half, {"side_neck_to_waist"})
    ()
    """
    either = [(name, *([instead[name]] if name in instead else [])) for name in needs]
    return tuple(tuple(kinds[name] for name in ways) for ways in either if not any(name in names for name in ways))


def near_names(name: str) -> tuple[str, ...]:
    """Measurements that may have been meant: by the trade's nickname, then by spelling (one very near, or up to three).

    >>> near_names("half_length"), near_names("Hip Girth"), near_names("hip_girt")[0], near_names("price")
    (('side_neck_to_waist',), ('hip_girth',), 'hip_girth', ())
    """
    plain = "_".join(name[:60].lower().replace("-", " ").replace("_", " ").split())
    if plain in KINDS:
        return (plain,)
    if plain in _NICKNAMES:
        return (_NICKNAMES[plain],)
    words = [*KINDS, *_NICKNAMES]
    close = get_close_matches(plain, words, n=1, cutoff=0.85) or get_close_matches(plain, words, n=3, cutoff=0.72)
    return tuple(dict.fromkeys(_NICKNAMES.get(near, near) for near in close))


def range_words(least: float, most: float, unit: Unit) -> str:
    """`23 5/8 to 74 3/4 in`: limits in mm, as the maker reads them, rounded inwards so that both are allowed.

    >>> range_words(600, 1900, "in"), range_words(600, 1900, "cm")
    ('23 5/8 to 74 3/4 in', '60 to 190 cm')
    """
    step = {"in": INCH / 8, "cm": 1.0, "mm": 0.1}[unit]
    low, high = math.ceil(least / step - 1e-9) * step, math.floor(most / step + 1e-9) * step
    return f"{show(low, unit, with_unit=False)} to {show(high, unit)}"


def spoken(value: object) -> str:
    """What the maker typed, fit to be quoted: texts in quotes, at most 40 characters, all printable."""
    if isinstance(value, str):
        cut = value if len(value) <= 40 else value[:37] + "..."
        return '"' + "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in cut) + '"'
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int):
        return str(value) if abs(value) < 10**12 else "a number of very many digits"
    if isinstance(value, float):
        return str(value)
    if isinstance(value, dict):
        return "a table"
    return "a list" if isinstance(value, list) else "a date or time"


def typed_length(value: object, unit: Unit, where: Where, *, example: str = "") -> float:
    """`parse_length` for any value that a job file may hold: mm, or InputError at `where`."""
    instead = f"Write {example}" if example else 'Write 38 or "30 1/2"'
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise InputError(
            f"{spoken(value)} is not a length", where=where, expected="a number or a text", instead=instead
        )
    if isinstance(value, str) and (len(value) > 40 or not value.strip()):
        raise InputError(
            f"{spoken(value)} is not a length", where=where, expected="a number or a fraction", instead=instead
        )
    if isinstance(value, int) and abs(value) > 10**9:
        raise InputError(f"{spoken(value)} is absurdly large", where=where, expected="a length", instead=instead)
    return parse_length(value, unit, where)


def in_another_unit(value: object, unit: Unit, least: float, most: float) -> str:
    """What to type where the number fits in another unit: `"104 cm"`; empty if it fits in none.

    A text that names its unit is tried in the other units too.

    >>> [in_another_unit(value, "in", 600, 1900) for value in (104, "1040", 4)]
    ['"104 cm"', '"1040 mm"', '']
    """
    text = str(value).strip() if isinstance(value, (int, float, str)) and not isinstance(value, bool) else ""
    number = text.rstrip(" .\"'″abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ")
    for other in UNITS:
        spelt = f"{number} {other}"
        try:
            mm = parse_length(spelt, unit)
        except InputError:
            return ""
        if least <= mm <= most:
            return f'"{spelt}"'
    return ""


def carries_unit(value: object) -> bool:
    """Whether a text names its own unit, as `"104 cm"` does."""
    return isinstance(value, str) and value.rstrip()[-1:].strip("0123456789½¼¾⅛⅜⅝⅞") != ""


def measured(kind: MeasurementKind, value: object, unit: Unit, where: Where) -> float:
    """One measurement in mm, inside its hard limits; InputError at `where` if it cannot be of a body."""
    mm = typed_length(value, unit, where, example=f'{kind.name} = 38 or "30 1/2"')
    if kind.least <= mm <= kind.most:
        return mm
    expected = range_words(kind.least, kind.most, unit)
    if mm <= 0:
        found = f"{spoken(value)} cannot be the {kind.words}"
        raise InputError(found, where=where, expected=expected, instead=kind.how)
    than = "more" if mm > kind.most else "less"
    if carries_unit(value):
        found = f"{spoken(value)} is {show(mm, 'mm')}, {than} than any {kind.part}"
    elif unit == "mm":
        found = f"{spoken(value)} is taken as millimetres, {than} than any {kind.part}"
    else:
        found = f"{spoken(value)} is taken as {UNIT_WORDS[unit]}, and no {kind.part} is {show(mm, 'mm')}"
    elsewise = in_another_unit(value, unit, kind.least, kind.most)
    instead = f"Write {elsewise}" if elsewise else f"Measure again. {kind.how}"
    raise InputError(found, where=where, expected=expected, instead=instead)
