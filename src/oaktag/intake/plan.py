"""What a maker says of a drawing: how it is read, what its lines mean, and what each piece is; out of a job file.

drawing = "skirt.svg"
[reading]                      # where the drawing does not say its size, and how corners are found
[lines]                        # layers or ids whose lines are grain lines, folds, notches, ...
[pieces.front]                 # one table a piece
[[seams]]                      # pairs of edges that are sewn to each other
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from difflib import get_close_matches
from fnmatch import fnmatchcase
from typing import Any, Final, Literal, TypeAlias
from unicodedata import category, normalize

from ..errors import InputError, Where
from ..model.ref import Ref, refs
from ..units import UNITS, Unit, parse_length
from ..values import dataclass, field
from .model import Known

Meaning: TypeAlias = Literal["grain", "fold", "internal", "cutout", "dart", "notch", "drill", "ignore", "outline"]
OutlineIs: TypeAlias = Literal["", "cut line", "stitch line"]
MEANINGS: Final[tuple[Meaning, ...]] = (
    "grain",
    "fold",
    "internal",
    "cutout",
    "dart",
    "notch",
    "drill",
    "ignore",
    "outline",
)
"""What [lines] may sort lines into. A line that it does not name: see `Lines.meaning`."""
READING_KEYS: Final = (
    "unit", "scale", "known", "corner_angle", "gap", "fit", "outline", "trace_allowance", "close_darts",
)  # fmt: skip
OUTLINE_IS: Final[tuple[OutlineIs, ...]] = ("cut line", "stitch line")
"""What the outlines of a drawing may be."""
PIECE_KEYS: Final = (
    "label", "outline", "edges", "cut", "pair", "material", "fold", "grain", "one_way", "notches", "split", "holes",
)  # fmt: skip
SEAM_KEYS: Final = ("name", "a", "b", "ease", "tolerance")
SAME: Final = "-"
"""An edge of this name goes on with the one before it: the corner between them is none."""
CUT_OFF: Final = "/"
"""An edge of this name is none: a corner that was cut off or turned back, where the outline is the cut line."""


@dataclass(frozen=True, slots=True)
class Reading:
    """How the drawing is read; lengths in mm. `outline` is what its outlines are, where it does not say that itself;
    `close_darts`: wedges that are cut into an outline are darts."""

    unit: str | None = None
    scale: float | None = None
    known: Known | None = None
    corner_angle: float = 25.0
    gap: float = 0.5
    fit: float = 0.02
    outline: OutlineIs = ""
    close_darts: bool = False


@dataclass(frozen=True, slots=True)
class Lines:
    """Layers, groups or ids (with * and ?) by what their lines mean."""

    by_meaning: Mapping[Meaning, tuple[str, ...]] = field(default_factory=dict)

    def meaning(self, names: tuple[str, ...]) -> Meaning | None:
        """What a line of these names is: the first name that any list has; else by a name that is itself a meaning."""
        for name in names:
            for meaning, patterns in self.by_meaning.items():
                if any(fnmatchcase(name.lower(), pattern.lower()) for pattern in patterns):
                    return meaning
        for name in names:
            plain = _ENDING.sub("", name.lower().replace("_", " ").replace("-", " ")).strip()
            if plain in _WORDS:
                return _WORDS[plain]
        return None


@dataclass(frozen=True, slots=True)
class PiecePlan:
    """One piece of the drawing; lengths in mm.

    `outline`: its number in the picture of `--propose`, or an id or a layer. `edges` are names in order from the first
    corner, counter-clockwise; empty: e1, e2, … `fold` and `grain` name an edge; grain may be "up".
    """

    name: str
    outline: int | str
    edges: tuple[str, ...] = ()
    cut: int = 1
    pair: bool = False
    material: str = "shell"
    fold: str = ""
    grain: str = ""
    one_way: bool = False
    notches: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    split: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    label: str = ""
    """What it is called where it comes from."""
    where: Where = field(default_factory=lambda: Where(""))


@dataclass(frozen=True, slots=True)
class SeamPlan:
    """Edges that are sewn to each other; `ease`: how much longer side a is meant to be, mm."""

    name: str
    a: tuple[Ref, ...]
    b: tuple[Ref, ...]
    ease: float = 0.0
    tolerance: float = 0.5
    where: Where = field(default_factory=lambda: Where(""))


@dataclass(frozen=True, slots=True)
class Plan:
    """All that is said of a drawing."""

    reading: Reading = field(default_factory=Reading)
    lines: Lines = field(default_factory=Lines)
    pieces: tuple[PiecePlan, ...] = ()
    seams: tuple[SeamPlan, ...] = ()
    sewing_order: tuple[str, ...] = ()
    """Edge names: at a corner the allowance of the one that is sewn first is squared."""


_ENDING: Final = re.compile(r"( ?lines?)?[ .]*\d*$")
_WORDS: Final[Mapping[str, Meaning]] = {
    "grain": "grain", "fold": "fold", "folds": "fold", "internal": "internal", "inside": "internal",
    "stitch": "internal", "pleat": "internal", "pleats": "internal", "tuck": "internal", "tucks": "internal",
    "pocket": "internal", "pockets": "internal", "placement": "internal", "topstitching": "internal",
    "stripe": "internal", "plaid": "internal", "cutout": "cutout", "cutouts": "cutout",
    "dart": "dart", "darts": "dart", "notch": "notch", "notches": "notch", "drill": "drill", "drill hole": "drill",
    "drill holes": "drill", "hole": "drill", "holes": "drill", "ignore": "ignore",
    "outline": "outline", "cut": "outline", "boundary": "outline", "lettering": "ignore", "text": "ignore",
    "label": "ignore", "labels": "ignore", "scale block": "ignore", "joins": "ignore",
}  # fmt: skip
"""Names of layers that say themselves what is on them, without "line" and a number at their end."""

Place: TypeAlias = Callable[..., Where]


class _Told:
    """Gathers every mistake."""

    def __init__(self, place: Place, unit: Unit) -> None:
        self.place, self.unit = place, unit
        self.errors: list[InputError] = []

    def fault(self, found: str, *keys: str, expected: str = "", instead: str = "") -> None:
        self.errors.append(InputError(found, where=self.place(*keys), expected=expected, instead=instead))

    def table(self, value: object, *keys: str) -> Mapping[str, Any]:
        if isinstance(value, Mapping):
            return value
        self.fault(f"{_spoken(value)} is not a table", *keys, expected="a table")
        return {}

    def unknown(self, table: Mapping[str, Any], known: tuple[str, ...], *keys: str) -> None:
        for key in table:
            if key not in known:
                near = get_close_matches(key, known, n=1)
                self.fault(
                    f"{_spoken(key)} is not a key of [{'.'.join(keys)}]", *keys, key,
                    expected=f"one of {', '.join(known)}", instead=f"Write {near[0]}" if near else "",
                )  # fmt: skip

    def length(self, value: object, *keys: str, most: float = 10_000.0, least: float = 0.0) -> float:
        try:
            mm = parse_length(value, self.unit, self.place(*keys))
        except InputError as error:
            self.errors.append(error)
            return least
        if not least <= mm <= most:
            self.fault(f"{_spoken(value)} is out of range", *keys, expected=f"{least:g} to {most:g} mm")
            return least
        return mm

    def number(self, value: object, *keys: str, least: float, most: float) -> float:
        if isinstance(value, bool) or not isinstance(value, (int, float)) or not least <= value <= most:
            self.fault(f"{_spoken(value)} is not a number that can be used", *keys, expected=f"{least:g} to {most:g}")
            return least
        return float(value)

    def flag(self, value: object, *keys: str) -> bool:
        if not isinstance(value, bool):
            self.fault(f"{_spoken(value)} is neither true nor false", *keys, expected="true or false")
        return value is True

    def words(self, value: object, *keys: str) -> str:
        if isinstance(value, str) and value.isprintable() and 0 < len(value) <= 80:
            return value
        self.fault(f"{_spoken(value)} is not a short text", *keys, expected="a text in quotes")
        return ""

    def listed(self, value: object, *keys: str) -> tuple[Any, ...]:
        if isinstance(value, (list, tuple)) and len(value) <= 500:
            return tuple(value)
        return (value,)


def read_plan(values: Mapping[str, Any], place: Place, unit: Unit) -> tuple[Plan, list[InputError]]:
    """The tables of a job file that are about its drawing; every mistake with its place."""
    told = _Told(place, unit)
    reading = _reading(told, told.table(values.get("reading", {}), "reading"))
    lines = _lines(told, told.table(values.get("lines", {}), "lines"))
    pieces = []
    for name, value in told.table(values.get("pieces", {}), "pieces").items():
        piece = _piece(told, name, told.table(value, "pieces", name))
        if piece is not None:
            pieces.append(piece)
    seams = []
    rows = values.get("seams", [])
    if not isinstance(rows, list):
        told.fault("the seams are not a list of tables", "seams", expected="[[seams]] for each")
        rows = []
    for number, row in enumerate(rows, start=1):
        seam = _seam(told, number, told.table(row, "seams"))
        if seam is not None:
            seams.append(seam)
    order = tuple(told.words(name, "sewing_order") for name in told.listed(values.get("sewing_order", [])))
    return Plan(reading, lines, tuple(pieces), tuple(seams), order), told.errors


def is_name(word: str) -> bool:
    """Whether a piece or an edge may be called so: letters of any writing, digits, _ and -.

    >>> is_name("front_2"), is_name("pièce_première"), is_name("前片"), is_name("front.side"), is_name("-")
    (True, True, True, False, False)
    """
    plain = word.replace("_", "").replace("-", "")
    return bool(plain) and all(sign.isalnum() or category(sign)[0] == "M" for sign in plain)


def name_of(words: str, most: int = 40) -> str:
    """Words as the name of a piece: small letters, whatever else stands between them as `_`; "" if none is left.

    Letters stay as they are written, accents and other writings among them.

    >>> name_of("Pièce première"), name_of("前片 (上)"), name_of("90°"), name_of(" ¿? ")
    ('pièce_première', '前片_上', '90', '')
    """
    plain = normalize("NFC", words.lower())
    kept = "".join(sign if sign.isalnum() or category(sign)[0] == "M" or sign == "-" else "_" for sign in plain)
    return re.sub(r"[_-]*_[_-]*", "_", kept).strip("_-")[:most].strip("_-")


def known_of(text: object, unit: Unit, where: Where) -> Known:
    """`scale bar=100mm`: a path, by id or layer, and its true length.

    >>> known_of("scale bar=100mm", "cm", Where(""))
    Known(path='scale bar', length=100.0)
    """
    name, sign, length = str(text).rpartition("=")
    if not sign or not name.strip():
        raise InputError(
            f"{text} names no line with its length", where=where, expected='"ID=LENGTH"',
            instead='Write "scale bar=100mm"',
        )  # fmt: skip
    mm = parse_length(length.strip(), unit, where)
    if not 1.0 <= mm <= 10_000.0:
        raise InputError(f"{text} is out of range", where=where, expected="a length from 1 mm to 10 m")
    return Known(name.strip(), mm)


def _reading(told: _Told, table: Mapping[str, Any]) -> Reading:
    told.unknown(table, READING_KEYS, "reading")
    unit = table.get("unit")
    if unit is not None and unit not in UNITS:
        told.fault(f"{_spoken(unit)} is not a unit", "reading", "unit", expected=f"one of {', '.join(UNITS)}")
        unit = None
    known = None
    if "known" in table:
        try:
            known = known_of(table["known"], told.unit, told.place("reading", "known"))
        except InputError as error:
            told.errors.append(error)

    def number(key: str, usual: float, least: float, most: float) -> float:
        return told.number(table[key], "reading", key, least=least, most=most) if key in table else usual

    usual = Reading()
    return Reading(
        unit,
        number("scale", 0.0, 1e-6, 1e6) if "scale" in table else None,
        known,
        number("corner_angle", usual.corner_angle, 1.0, 120.0),
        number("gap", usual.gap, 0.0, 5.0),
        number("fit", usual.fit, 0.0, 1.0),
        _outline_is(told, table),
        told.flag(table["close_darts"], "reading", "close_darts") if "close_darts" in table else False,
    )


def _outline_is(told: _Told, table: Mapping[str, Any]) -> OutlineIs:
    """`outline = "cut line"`; `trace_allowance = true` says the same."""
    said = table.get("outline", "")
    traced = told.flag(table["trace_allowance"], "reading", "trace_allowance") if "trace_allowance" in table else None
    if "outline" in table and said not in OUTLINE_IS:
        told.fault(
            f"{_spoken(said)} is not what an outline may be", "reading", "outline",
            expected='"cut line" or "stitch line"',
            instead='Write outline = "cut line" where it is cut along, outline = "stitch line" where it is sewn along',
        )  # fmt: skip
        return ""
    if traced is not None and "outline" in table and traced != (said == "cut line"):
        told.fault("outline and trace_allowance say two things", "reading", "outline", expected="outline alone")
    return said or ("cut line" if traced else "")


def _lines(told: _Told, table: Mapping[str, Any]) -> Lines:
    told.unknown(table, MEANINGS, "lines")
    found: dict[Meaning, tuple[str, ...]] = {}
    for meaning in MEANINGS:
        if meaning in table:
            found[meaning] = tuple(told.words(name, "lines", meaning) for name in told.listed(table[meaning]))
    return Lines(found)


def _piece(told: _Told, name: str, table: Mapping[str, Any]) -> PiecePlan | None:
    at = ("pieces", name)
    told.unknown(table, PIECE_KEYS, *at)
    if not is_name(name) or len(name) > 40:
        told.fault(f"{_spoken(name)} cannot be the name of a piece", *at, expected="letters, digits, _ and -")
        return None
    outline = table.get("outline")
    if outline is None or isinstance(outline, bool) or not isinstance(outline, (int, str)):
        told.fault(
            "which outline it is is not said", *at, "outline", expected="its number, its id or its layer",
            instead="Write outline = 1",
        )  # fmt: skip
        return None
    edges = tuple(told.words(edge, *at, "edges") for edge in told.listed(table.get("edges", [])))
    for edge in edges:
        if edge not in (SAME, CUT_OFF) and not is_name(edge):
            told.fault(f"{_spoken(edge)} cannot be the name of an edge", *at, "edges", expected="letters, digits, _")
    named = [edge for edge in edges if edge not in (SAME, CUT_OFF)]
    twice = next((edge for edge in named if named.count(edge) > 1), None)
    if twice is not None:
        told.fault(f"two edges are called {_spoken(twice)}", *at, "edges", expected="a name of its own for each")
    return PiecePlan(
        name,
        outline,
        edges,
        int(told.number(table.get("cut", 1), *at, "cut", least=1, most=100)),
        told.flag(table["pair"], *at, "pair") if "pair" in table else False,
        told.words(table.get("material", "shell"), *at, "material"),
        told.words(table["fold"], *at, "fold") if "fold" in table else "",
        told.words(table["grain"], *at, "grain") if "grain" in table else "",
        told.flag(table["one_way"], *at, "one_way") if "one_way" in table else False,
        _along(told, table.get("notches", {}), *at, "notches"),
        _along(told, table.get("split", {}), *at, "split"),
        told.words(table["label"], *at, "label") if "label" in table else "",
        told.place(*at),
    )


def _along(told: _Told, value: object, *keys: str) -> dict[str, tuple[float, ...]]:
    """Distances along edges: { side = ["10 cm", "20 cm"] }."""
    return {
        edge: tuple(told.length(far, *keys, edge) for far in told.listed(fars))
        for edge, fars in told.table(value, *keys).items()
    }


def _seam(told: _Told, number: int, table: Mapping[str, Any]) -> SeamPlan | None:
    told.unknown(table, SEAM_KEYS, "seams")
    sides = []
    for key in ("a", "b"):
        try:
            run = refs(*map(str, told.listed(table.get(key, ()))))
        except ValueError:
            run = ()
        if not run:
            told.fault(
                f"seam {number} has no side {key}", "seams", expected="edges as piece.edge",
                instead=f'Write {key} = "front.side"',
            )  # fmt: skip
            return None
        sides.append(run)
    ease = table.get("ease", 0)
    try:
        mm = parse_length(ease, told.unit, told.place("seams"))
    except InputError as error:
        told.errors.append(error)
        mm = 0.0
    return SeamPlan(
        told.words(table["name"], "seams", "name") if "name" in table else f"{sides[0][0]} to {sides[1][0]}",
        sides[0],
        sides[1],
        mm,
        told.length(table["tolerance"], "seams", "tolerance", most=50.0) if "tolerance" in table else 0.5,
        told.place("seams"),
    )


def _spoken(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."
