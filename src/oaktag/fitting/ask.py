"""From what is seen on the body to the name of a fault: questions with numbered answers, and a search by words.

What is seen tells the fault only in part; a sign that two faults share says how they are told apart. Common practice,
no source.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from math import log
from typing import Final, Literal, NamedTuple, TypeAlias

from ..model.fitted import FittedSide
from ..values import dataclass
from .fault import Fault
from .table import BY_NAME, fault_of

View: TypeAlias = Literal["front", "back"]
Kind: TypeAlias = Literal["fold", "pull", "gap", "arrow"]


class Seen(NamedTuple):
    """A stroke of a sign between two places of the figure (export/body_figure.py), on both sides of it: loose folds
    that run from the one to the other, pulls that fan out from the first, a gap, or an arrow to where it goes."""

    kind: Kind
    a: str
    b: str


@dataclass(frozen=True, slots=True)
class Sign:
    """Something that is seen: where, in words and strokes, and the one or two faults that it tells."""

    where: str
    words: str
    faults: tuple[str, ...]
    view: View
    strokes: tuple[Seen, ...]
    apart: str = ""
    """How two faults are told from each other."""
    sides: Literal["any", "both", "one"] = "any"
    """Whether one side of the body may have it alone, or always has."""
    less: bool = False
    """Whether it is mended the other way, by an amount below nothing."""
    level: str = ""
    """Where a seam is let out or taken in for it."""


@dataclass(frozen=True, slots=True)
class Question:
    """A question, and the answers among which one is chosen by its number, from 1."""

    words: str
    answers: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Found:
    """What the answers came to: the sign, its faults, and the wearer's side on which it is."""

    sign: Sign
    faults: tuple[Fault, ...]
    side: FittedSide


WHERE: Final[Mapping[str, str]] = {
    "lengths": "the length: of the bodice, the sleeve, the hem",
    "neck": "at the neck",
    "shoulder": "on the shoulders",
    "bust": "at the bust or the chest",
    "back": "at the upper back",
    "arm": "on the arms",
    "waist": "at the waist",
    "hip": "at the stomach, the hips or the seat",
    "leg": "in the crotch of trousers",
}
_SIDES: Final[Mapping[FittedSide, str]] = {
    "": "on both sides alike", "left": "on her left alone", "right": "on her right alone",
}  # fmt: skip
_MAY_BE: Final[Mapping[str, tuple[FittedSide, ...]]] = {
    "any": ("", "left", "right"), "both": ("",), "one": ("left", "right"),
}  # fmt: skip


def _fold(a: str, b: str) -> Seen:
    return Seen("fold", a, b)


def _pull(a: str, b: str) -> Seen:
    return Seen("pull", a, b)


def _gap(a: str, b: str) -> Seen:
    return Seen("gap", a, b)


def _to(a: str, b: str) -> Seen:
    return Seen("arrow", a, b)


SIGNS: Final[tuple[Sign, ...]] = (
    # ------------------------------------------------------------------------------------------------------ lengths
    Sign("lengths", "the waist of the garment lies below hers, with folds across above it", ("short_waist",), "front",
         (_fold("waist_centre", "waist"), _to("below_waist", "waist")), sides="both"),
    Sign("lengths", "the waist of the garment lies above hers, and rides up when she moves", ("long_waist",), "front",
         (_to("waist", "above_waist"),), sides="both"),
    Sign("lengths", "the hem hangs too high all round", ("longer",), "front",
         (_to("above_hem", "hem_centre"), _to("above_hem_side", "hem")), sides="both"),
    Sign("lengths", "the hem hangs too low all round", ("shorter",), "front",
         (_to("hem_centre", "above_hem"), _to("hem", "above_hem_side")), sides="both"),
    Sign("lengths", "the sleeve ends too high on the bent arm", ("longer_sleeve",), "front", (_to("elbow", "wrist"),)),
    Sign("lengths", "the sleeve ends too low on the bent arm", ("shorter_sleeve",), "front", (_to("wrist", "elbow"),)),
    # --------------------------------------------------------------------------------------------------------- neck
    Sign("neck", "the neckline cuts in, or is too high all round", ("thick_neck",), "front",
         (_to("neck_centre", "below_neck"), _to("neck", "shoulder_middle")), sides="both"),
    Sign("neck", "the neckline stands off all round", ("thin_neck",), "front",
         (_gap("neck", "neck_centre"),), sides="both"),
    Sign("neck", "it gapes in front alone, with a fold across the chest", ("hollow_chest",), "front",
         (_gap("neck", "neck_centre"), _fold("chest_centre", "chest")), sides="both"),
    Sign("neck", "it stands off at the back of the neck, and is pulled backwards",
         ("high_round_back", "round_back"), "back", (_gap("neck", "neck_centre"), _pull("neck", "blade")),
         "Feel where the back is fullest: just below the neck it is a high round back; over the shoulder blades, with "
         "the hem riding up at the back, it is a round back.", sides="both"),
    Sign("neck", "a fold lies across just below the neck, front and back", ("square_shoulder",), "back",
         (_fold("below_neck", "shoulder_middle"),)),
    # ----------------------------------------------------------------------------------------------------- shoulders
    Sign("shoulder", "folds slant from the neck to the armhole", ("sloping_shoulder",), "front",
         (_fold("neck", "underarm"),)),
    Sign("shoulder", "pulls slant from the tips of the shoulders to the middle, and a fold lies below the neck",
         ("square_shoulder",), "front", (_pull("shoulder", "chest_centre"),)),
    Sign("shoulder", "the shoulder seam lies behind the bone at its tip, and the sleeve pulls in front",
         ("forward_shoulder",), "front", (_to("shoulder", "armhole"), _pull("shoulder", "upper_arm"))),
    Sign("shoulder", "the armhole seam hangs down on to the arm", ("narrow_shoulder",), "front",
         (_to("shoulder", "arm_top"), _fold("shoulder", "upper_arm"))),
    Sign("shoulder", "the armhole seam lies on the shoulder, and pulls when she brings her arms forward",
         ("broad_shoulder", "broad_back"), "back", (_to("shoulder", "shoulder_middle"), _pull("armhole", "blade")),
         "Look at the seam while she stands still: short of the bone at the tip it is a broad shoulder; where it lies "
         "right, and strains across the blades only when the arms go forward, it is a broad back."),
    # ---------------------------------------------------------------------------------------------------------- bust
    Sign("bust", "pulls point to the bust, and the hem rises in front", ("full_bust",), "front",
         (_pull("bust", "bust_side"), _pull("bust", "waist"), _pull("bust", "armhole"))),
    Sign("bust", "the cloth lies empty over the bust", ("small_bust", "flat_bust"), "front",
         (_fold("bust_centre", "bust"), _fold("bust", "below_bust")),
         "Pinch it: what is too wide and too long over the bust is a small bust; where the width is right and the "
         "front alone sags below the bust, it is a flat bust."),
    Sign("bust", "the darts point below her bust", ("dart_level",), "front", (_to("below_bust", "bust"),)),
    Sign("bust", "the darts point above her bust", ("dart_level",), "front", (_to("above_bust", "bust"),), less=True),
    Sign("bust", "a fold lies across the chest, above the bust", ("hollow_chest",), "front",
         (_fold("chest_centre", "chest"),), sides="both"),
    Sign("bust", "folds run up and down between the armhole and the bust", ("narrow_chest",), "front",
         (_fold("armhole", "bust_side"),)),
    Sign("bust", "it strains across the chest above the bust, and the armholes cut in in front", ("broad_chest",),
         "front", (_pull("armhole", "chest_centre"),)),
    Sign("bust", "it is too tight all round at the bust, front and back", ("let_out",), "front",
         (_pull("bust_side", "bust"),), level="bust"),
    Sign("bust", "it is too wide all round at the bust, front and back", ("take_in",), "front",
         (_fold("armhole", "above_waist"),), level="bust"),
    # ---------------------------------------------------------------------------------------------------------- back
    Sign("back", "it strains across the shoulder blades", ("broad_back", "round_back"), "back",
         (_pull("armhole", "blade"), _pull("underarm", "blade")),
         "Look at the hem and the neck: where they stay in place it is a broad back; where the hem rises at the back "
         "and the neck is pulled down, it is a round back."),
    Sign("back", "folds run up and down beside the shoulder blades", ("narrow_back",), "back",
         (_fold("armhole", "bust_side"),)),
    Sign("back", "folds lie across between the neck and the shoulder blades", ("erect_back",), "back",
         (_fold("blade_centre", "blade"),), sides="both"),
    Sign("back", "it is tight over a fullness just below the neck", ("high_round_back",), "back",
         (_pull("below_neck", "neck"), _pull("below_neck", "shoulder_middle")), sides="both"),
    # ----------------------------------------------------------------------------------------------------------- arm
    Sign("arm", "the sleeve is tight round the upper arm, with folds across it", ("large_upper_arm",), "front",
         (_pull("upper_arm", "upper_arm_in"), _pull("upper_arm_in", "upper_arm"))),
    Sign("arm", "the sleeve is loose on the arm, with folds along it", ("thin_arm",), "front",
         (_fold("arm_top", "elbow"),)),
    Sign("arm", "the sleeve twists, and pulls at the front of the shoulder", ("forward_shoulder",), "front",
         (_pull("shoulder", "upper_arm"), _pull("armhole", "upper_arm_in"))),
    # --------------------------------------------------------------------------------------------------------- waist
    Sign("waist", "folds lie across the back at the waist", ("sway_back", "short_waist"), "back",
         (_fold("waist_centre", "waist_middle"),),
         "Look at the front: where it lies flat it is a sway back; where the folds go all round, the waist is short.",
         sides="both"),
    Sign("waist", "it is too tight round the waist", ("let_out",), "front",
         (_pull("waist", "waist_middle"),), level="waist"),
    Sign("waist", "it is too wide round the waist", ("take_in",), "front", (_fold("below_bust", "belly"),),
         level="waist"),
    # ----------------------------------------------------------------------------------------------------------- hip
    Sign("hip", "the hem rises in front, and pulls point to the stomach", ("large_abdomen",), "front",
         (_pull("belly_centre", "hip"), _pull("belly_centre", "waist"), _to("hem_centre", "above_hem")), sides="both"),
    Sign("hip", "the hem rises at the back, and pulls point to the seat", ("large_seat",), "back",
         (_pull("seat", "hip"), _pull("seat", "waist"), _to("hem_centre", "above_hem")), sides="both"),
    Sign("hip", "folds lie across below the waist at the back, and the seat is empty", ("flat_seat", "sway_back"),
         "back", (_fold("seat_centre", "seat"),),
         "Feel where the folds begin: at the waist itself, with the seat filled, it is a sway back; lower, with an "
         "empty seat and a hem that hangs down at the back, it is a flat seat.", sides="both"),
    Sign("hip", "one side of the hem is higher, and folds slant up to one hip", ("high_hip",), "front",
         (_pull("high_hip", "belly"), _to("hem", "above_hem_side")), sides="one"),
    Sign("hip", "it is too tight round the hip", ("let_out",), "front", (_pull("hip", "belly_centre"),), level="hip"),
    Sign("hip", "it is too wide round the hip", ("take_in",), "front", (_fold("high_hip", "thigh"),), level="hip"),
    # ----------------------------------------------------------------------------------------------------------- leg
    Sign("leg", "the waist is pulled down when she sits, and it cuts in between the legs",
         ("crotch_depth", "crotch_length"), "back", (_pull("crotch", "hip"), _to("waist_centre", "below_waist_centre")),
         "Measure her sitting: where the seam from waist to chair is too short it is the depth; where the depth is "
         "right, and it still cuts in between the legs, it is the length of the crotch seam.", sides="both"),
    Sign("leg", "the crotch hangs low, with folds below it", ("crotch_depth",), "front",
         (_fold("crotch", "thigh"),), sides="both", less=True),
    Sign("leg", "folds run out from the fork, in front and at the back", ("crotch_length",), "front",
         (_pull("crotch", "hip"), _pull("crotch", "thigh")), sides="both"),
    Sign("leg", "folds run from the fork up to the seat", ("crotch_length_back",), "back",
         (_pull("crotch", "seat"),), sides="both"),
    Sign("leg", "folds run from the fork out over the front of the thigh", ("crotch_length_front",), "front",
         (_pull("crotch", "thigh"),), sides="both"),
    Sign("leg", "trousers without an opening are tight to pull on", ("tight_pull_on",), "front",
         (_pull("hip", "belly"), _pull("high_hip", "belly")), sides="both"),
)  # fmt: skip


# ------------------------------------------------------------------------------------------------------- the questions


def asked(answers: Sequence[int]) -> Question | Found:
    """What is to be asked after these answers, each the number of one, from 1; or what they came to. IndexError for a
    number that no answer has."""
    first = Question("Where is it?", tuple(WHERE.values()))
    if not answers:
        return first
    where = tuple(WHERE)[_at(answers[0], first)]
    signs = [sign for sign in SIGNS if sign.where == where]
    second = Question("What is seen?", tuple(sign.words for sign in signs))
    if len(answers) == 1:
        return second
    sign = signs[_at(answers[1], second)]
    sides = [side for side in _SIDES if side in _MAY_BE[sign.sides]]
    third = Question("On which side?", tuple(_SIDES[side] for side in sides))
    if len(sides) > 1 and len(answers) == 2:
        return third
    side = sides[_at(answers[2], third)] if len(sides) > 1 else ""
    return Found(sign, tuple(map(fault_of, sign.faults)), side)


def _at(answer: int, question: Question) -> int:
    if not 1 <= answer <= len(question.answers):
        raise IndexError(answer)
    return answer - 1


def signs_of(fault: Fault) -> tuple[Sign, ...]:
    """The signs that tell it: those that tell it alone, those that tell it first, the others; what is mended the other
    way last."""
    own = [sign for sign in SIGNS if fault.name in sign.faults]
    return tuple(sorted(own, key=lambda sign: (sign.less, len(sign.faults), sign.faults.index(fault.name))))


# ------------------------------------------------------------------------------------------------------------ by words

_ALIKE: Final[Mapping[str, str]] = {
    "armscye": "armhole", "scye": "armhole", "armpit": "underarm", "belly": "stomach", "abdomen": "stomach",
    "tummy": "stomach", "bottom": "seat", "buttock": "seat", "behind": "seat", "breast": "bust", "wrinkle": "fold",
    "crease": "fold", "ripple": "fold", "bubble": "fold", "drag": "pull", "strain": "pull", "tension": "pull",
    "diagonal": "slant", "oblique": "slant", "slope": "slant", "crosswise": "across", "horizontal": "across",
    "lengthwise": "along", "vertical": "along", "gap": "gape", "stand": "gape", "bicep": "upper", "big": "large",
    "nape": "neck", "collar": "neck", "rear": "back", "fork": "crotch", "loose": "wide",
    "baggy": "empty", "skinny": "thin", "swayback": "sway", "hump": "fullness", "stoop": "round",
    "upright": "erect", "climb": "rise", "ride": "rise", "lift": "rise",
}  # fmt: skip
"""Words that people say for those that stand in the table."""
_IDLE: Final = (
    " a an and are as at be but by down for from goes has have her hers his i in into is it its lie lies my of off on "
    "or out over s she so that the their them there they this to too under up very where which while with "
)


def nearest(text: str, most: int = 5) -> list[tuple[Fault, Sign | None]]:
    """The faults whose words are nearest to what is said, the nearest first, each with the sign that says it best.

    Words count by how few faults have them, and more in a name; one that nobody has counts as the one that is nearest
    in letters.
    """
    told = {
        (name, sign): _words(
            " ".join((name.replace("_", " "), *((sign.where, sign.words) if sign else (BY_NAME[name].sign,))))
        )
        for name in BY_NAME
        for sign in (*signs_of(BY_NAME[name]), None)
    }
    names = {name: _words(name.replace("_", " ")) for name in BY_NAME}
    also = {name: _words(BY_NAME[name].pin) for name in BY_NAME}
    common = Counter(word for words in told.values() for word in words)
    sought = {near for word in _words(text) for near in get_close_matches(word, common, n=1, cutoff=0.8)}
    weight = {word: log(1 + len(told) / common[word]) for word in sought}
    found: dict[str, tuple[float, Sign | None]] = {}
    for (name, sign), words in told.items():
        parts = ((1.0, words), (0.5, names[name]), (0.25, also[name] - words))
        score = sum(share * weight[word] for share, own in parts for word in sought & own)
        score *= (2.0 if sought == names[name] else 1.0) / (1 + 0.02 * len(words))
        if score > found.get(name, (0.0, None))[0]:
            found[name] = (score, sign)
    best = max((score for score, _ in found.values()), default=0.0)
    ranked = sorted((row for row in found.items() if row[1][0] >= 0.4 * best), key=lambda row: -row[1][0])
    return [(BY_NAME[name], sign) for name, (_, sign) in ranked[:most]]


def _words(text: str) -> frozenset[str]:
    """The words that tell something, each by its stem."""
    text = re.sub(r"\bsmall of (?:\w+ )?back\b", "back waist", text.lower())
    found = (_stem(word) for word in re.findall(r"[a-z]+", text) if f" {word} " not in _IDLE)
    return frozenset(_ALIKE.get(word, word) for word in found)


def _stem(word: str) -> str:
    """
    >>> [_stem(word) for word in ("folds", "pulling", "gapes", "pulled", "across", "slopes")]
    ['fold', 'pull', 'gape', 'pull', 'across', 'slope']
    """
    for end in ("ing", "ed"):
        if word.endswith(end) and len(word) > len(end) + 3:
            return word[: -len(end)]
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 3 else word
