"""What may be asked of a sheath dress, and what it needs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from ...body.measurements import Measurements
from ...draft.garment import Style
from ...draft.options import ChoiceOption, LengthOption, Option
from ...draft.sleeve import LEAST_BICEPS_EASE
from ...model.length import Length
from ...units import INCH, Unit, rounded
from ...values import dataclass

BOAT_WIDER: Final = 2 * INCH
SQUARE_DEEPER: Final = 1 * INCH
BOAT_DEPTH: Final = 1.75 * INCH
WAIST_TO_HEM: Final = 25 * INCH
ELBOW_MORE: Final = 1 * INCH
BICEPS_EASE: Final = 2 * INCH
WIDENED_BICEPS_EASE: Final = 3.5 * INCH
"""Lengths of defaults that are worked out, as inches have them (common practice, no source); `rounded` for a unit.
A biceps line that is widened for the cap's sake gets no more than the last."""

OPTIONS: Final[tuple[Option, ...]] = (
    LengthOption("ease_bust", "wearing ease round the bust", 2 * INCH, 0, 300),
    LengthOption("ease_waist", "wearing ease round the waist", 1 * INCH, 0, 300),
    LengthOption("ease_hip", "wearing ease round the hip", 2 * INCH, 0, 300),
    LengthOption(
        "neck_width", "half neck width", None, 40, 160,
        default_words="bust girth ÷ 12; boat: {more} more; more for the head without a zip at the neck",
        lengths={"more": BOAT_WIDER},
    ),
    LengthOption(
        "front_neck_depth", "front neck below the top line", None, 20, 350,
        default_words="round: bust girth ÷ 12; V: ÷ 6; square: ÷ 12 + {square}; boat: {boat}",
        lengths={"square": SQUARE_DEEPER, "boat": BOAT_DEPTH},
    ),
    LengthOption("back_neck_depth", "back neck below the top line", 1 * INCH, 10, 300),
    LengthOption(
        "shoulder_drop", "shoulder tip below the top line", None, 0, 80, auto=True,
        default_words="{usual}; more or less by her own slope, where side_neck_height and shoulder_height are known",
        lengths={"usual": INCH},
    ),
    LengthOption(
        "armhole_hollow", "mid armhole inside the shoulder tip", None, 0, 50, auto=True,
        default_words="{usual}; up to {most} where the shoulders are wide for the chest",
        lengths={"usual": INCH / 2, "most": INCH},
    ),
    LengthOption("armhole_depth_ease", "added to bust girth ÷ 6 and the shoulder drop", 1.5 * INCH, 0, 150),
    LengthOption(
        "dart_intake", "what the waist dart takes in, in each half (two darts: together)", None, 0, 100, auto=True,
        default_words="{usual} a dart, less where the waist leaves no room", lengths={"usual": INCH},
    ),
    ChoiceOption("waist_darts", "waist darts in each half", "1", ("1", "2")),
    LengthOption(
        "dart_top_drop", "upper dart point below the chest line", None, 0, 150,
        default_words="front: {below} below the bust point; back, or bust_height not measured: {usual}",
        lengths={"usual": 1.5 * INCH, "below": INCH},
    ),
    LengthOption("dart_end_rise", "lower dart point above the hip line", 2 * INCH, 0, 150),
    LengthOption(
        "length", "top line to hem", None, 500, 1700, default_words="waist line + {below}",
        lengths={"below": WAIST_TO_HEM},
    ),
    ChoiceOption("hem", "shape below the hip", "pegged", ("pegged", "straight", "a-line")),
    LengthOption(
        "peg", "pegged hem: taken in at each side seam", None, 0, 150, default_words="to a quarter of the waist"
    ),
    LengthOption("flare", "A-line hem: added at each side seam", 1.5 * INCH, 5, 300),
    ChoiceOption("neckline", "front neckline", "round", ("round", "v", "square", "boat")),
    ChoiceOption("waist_seam", "bodice and skirt cut apart", "no", ("no", "yes")),
    ChoiceOption("bust_dart", "bust dart, from the front length", "none", ("none", "side")),
    ChoiceOption("zip", "where the zip is", "back", ("back", "side", "none")),
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
    ChoiceOption(
        "facing", "neck and armhole facing: two pieces, or one (no sleeve)", "separate", ("separate", "all-in-one")
    ),
    LengthOption("turn_of_cloth", "facing drawn inside the shell, so that the seam rolls in", 0.0, 0, 6),
    ChoiceOption("interfacing", "interfacing for every facing", "no", ("no", "yes")),
    ChoiceOption("lining", "lining from the facings to the hem", "none", ("none", "full")),
    LengthOption("lining_hem_rise", "lining hem above the finished hem", 1 * INCH, 5, 200),
    LengthOption("lining_pleat", "depth of the lining's centre back pleat (no zip there)", 1 * INCH, 0, 60),
    ChoiceOption("sleeve", "sleeve", "short", ("short", "elbow", "long", "cap", "none")),
    LengthOption(
        "sleeve_length", "shoulder tip to sleeve hem", None, 80, 800, auto=True,
        default_words=(
            "short: arm length × 2/5; elbow: arm length ÷ 2 + {more}; long: arm length; more under a high cap"
        ),
        lengths={"more": ELBOW_MORE},
    ),
    LengthOption(
        "ease_biceps", "wearing ease round the upper arm", None, 0, 250, auto=True,
        default_words="{usual}; {least} to {most} where the cap asks for it",
        lengths={"usual": BICEPS_EASE, "least": LEAST_BICEPS_EASE, "most": WIDENED_BICEPS_EASE},
    ),
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
    "top_edge": INCH / 2,
    "waist": INCH / 2,
    "cap_hem": INCH / 2,
}
"""Her allowances (common practice, no source): room to let out at the side, the zip at the centre back; as inches have
them, `usual_allowances` are those of a unit."""


def usual_allowances(unit: Unit) -> Mapping[str, float]:
    """The allowances of a job in that unit that gives none, mm."""
    return {edge: rounded(width, unit) for edge, width in ALLOWANCES.items()}


PIECES: Final = (
    "front", "back", "bodice_front", "bodice_back", "skirt_front", "skirt_back", "sleeve", "facing_front",
    "facing_back", "armhole_facing_front", "armhole_facing_back", "interfacing_front", "interfacing_back",
    "armhole_interfacing_front", "armhole_interfacing_back", "lining_front", "lining_back", "lining_sleeve",
)  # fmt: skip

USES: Final = (
    "bust_girth", "waist_girth", "hip_girth", "shoulder_width", "back_waist_length", "side_neck_to_waist",
    "waist_to_hip", "bust_point_width", "upper_arm_girth", "arm_length", "wrist_girth", "hand_girth", "stature",
    "waist_height", "knee_height", "crotch_height", "ankle_height", "knee_girth", "calf_girth", "ankle_girth",
    "thigh_girth", "front_waist_length", "bust_height", "scye_depth", "neck_base_girth", "shoulder_length",
    "head_girth", "top_hip_girth", "side_neck_height", "shoulder_height",
)  # fmt: skip


INSTEAD: Final[Mapping[str, str]] = {"back_waist_length": "side_neck_to_waist"}
"""Either is enough: see `waist_line` in half.py."""


def needs(style: Style) -> tuple[str, ...]:
    """The measurements without which the dress cannot be drafted in this style."""
    always = ("bust_girth", "waist_girth", "hip_girth", "shoulder_width", "back_waist_length")
    sleeve = str(style.get("sleeve") or "short")
    for_sleeve = {"none": (), "short": ("upper_arm_girth",), "cap": ("upper_arm_girth",)}
    needed = always + for_sleeve.get(sleeve, ("upper_arm_girth", "arm_length"))
    if sleeve == "long":
        needed += ("wrist_girth",)
    return needed + (("front_waist_length",) if style.get("bust_dart") == "side" else ())


HEAD: Final = 550.0
"""Head girth of women where it was not measured, mm (mean 55 cm; common practice, no source)."""
HEAD_EASE: Final = 30.0
"""The neckline over the head girth, mm (3 cm; common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Asked:
    """The style with its lengths sure to be numbers."""

    style: Style

    def length(self, name: str) -> float:
        value = self.style[name]
        assert isinstance(value, (int, float))
        return float(value)

    def chosen(self, name: str) -> Length:
        """The same as a length that tells its option."""
        return Length(self.length(name), "option", name=name)

    def given(self, name: str) -> float | None:
        value = self.style.get(name)
        return float(value) if isinstance(value, (int, float)) else None

    def choice(self, name: str) -> str:
        return str(self.style[name])


def measured(body: Measurements, name: str) -> Length:
    """A measurement as a length that tells so."""
    return Length(body[name], "body", name=name)
