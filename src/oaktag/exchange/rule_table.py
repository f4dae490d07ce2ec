"""The grade rule table that goes with a pattern-data file (.rul), in mm.

Source: public notes on ASTM D6673-10 and two files that were seen. The header is `Identifier: value` lines in any
order, a rule is `RULE: DELTA <number>` and then a pair x, y for every size of SIZE LIST, cumulative from the sample
size, wrapped over as many lines as it takes, with commas, blanks or both between the numbers.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from math import isfinite
from pathlib import Path
from typing import Final

from ..errors import InputError, InputErrors, Where
from ..geometry.point import XY
from ..units import INCH
from ..values import dataclass, field
from .model import DeclaredUnits
from .tokens import plain_lines, read_bytes
from .words import Encoding, encoding_of, readable

MOST_BYTES: Final = 20_000_000
MOST_SIZES: Final = 1_000
FARTHEST: Final = 10_000.0
"""Furthest that a rule may move a point, mm."""
MOST_TOLD: Final = 20
_UNITS: Final[Mapping[str, DeclaredUnits]] = {
    "metric": "metric", "mm": "metric", "english": "english", "imperial": "english", "inch": "english",
    "inches": "english",
}  # fmt: skip
_MM: Final = {"metric": 1.0, "english": INCH}
_RULE: Final = re.compile(r"RULE\s*:\s*(\S*)\s*(.*)", re.IGNORECASE)
_NUMBER: Final = re.compile(r"[-+]?(?:\d{1,15}(?:\.\d{0,15})?|\.\d{1,15})")


@dataclass(frozen=True, slots=True)
class RuleTable:
    """How far each rule moves a point from the sample size to every size: dx, dy in mm, in the order of `sizes`.

    x runs along a piece's grade reference line. `others`: header lines that the standard does not have.
    """

    name: str
    units: DeclaredUnits
    sizes: tuple[str, ...]
    sample: str
    rules: Mapping[int, tuple[XY, ...]]
    version: str = ""
    author: str = ""
    date: str = ""
    time: str = ""
    others: Mapping[str, str] = field(default_factory=dict)
    notes: tuple[str, ...] = ()

    def move(self, rule: int, size: str) -> XY:
        """dx, dy of a rule in a size, mm; KeyError for a rule, ValueError for a size that is not in the table."""
        return self.rules[rule][self.sizes.index(size)]


def read_rule_table(path: Path | str, *, units: DeclaredUnits = "") -> RuleTable:
    """The rules of a .rul file. Raises InputError or InputErrors, with lines; DeviceError if it cannot be read.

    `units`: what the numbers are where the table does not say, usually what its DXF says.
    """
    path = Path(path)
    return parse_rule_table(read_bytes(path, MOST_BYTES, "a grade rule table (.rul)"), str(path), units=units)


def parse_rule_table(data: bytes, name: str = "rule table", *, units: DeclaredUnits = "") -> RuleTable:
    """The rules of a .rul file, given as bytes; see read_rule_table."""
    return _Reader(name, units, encoding_of(data)).table(plain_lines(data))


@dataclass(slots=True)
class _Rule:
    number: int
    line: int
    numbers: list[float] = field(default_factory=list)
    spoilt: bool = False


class _Reader:
    """Reads line by line; what is wrong is collected and told together."""

    def __init__(self, name: str, units: DeclaredUnits, encoding: Encoding) -> None:
        self.name, self.units, self.encoding = name, units, encoding
        self.errors: list[InputError] = []
        self.notes: list[str] = []
        self.head: dict[str, str] = {}
        self.lines: dict[str, int] = {}
        self.rules: dict[int, _Rule] = {}
        self.last = ""

    def wrong(self, found: str, line: int, expected: str = "", instead: str = "") -> None:
        self.errors.append(InputError(found, where=Where(self.name, line), expected=expected, instead=instead))
        if len(self.errors) >= MOST_TOLD:
            raise InputErrors(self.errors)

    def table(self, lines: list[str]) -> RuleTable:
        rule: _Rule | None = None
        ended = 0
        for number, raw in enumerate(lines, 1):
            text = raw.strip() if raw.isascii() else readable(raw, self.encoding)
            if not text:
                continue
            if ended:
                self.notes.append(f"Line {number} and what follows stand after END; left out.")
                break
            if match := _RULE.fullmatch(text):
                rule = self.rule(match[1], match[2], number)
            elif text.upper() == "END":
                ended = number
            elif rule is None and self.last == "size list" and ":" not in text:
                self.head["size list"] += f" {' '.join(text.split())}"
            elif text[0].isdigit() or text[0] in "+-.," or (rule is not None and ":" not in text):
                self.numbers(rule, text, number)
            else:
                self.header(text, number)
                rule = None
        if not ended:
            self.notes.append("END is missing.")
        return self.checked(len(lines))

    # --------------------------------------------------------------------------------------------------------- lines

    def header(self, text: str, line: int) -> None:
        key, colon, value = text.partition(":")
        key = " ".join(key.lower().split())[:60]
        if not colon:
            if re.match(r"version\s+ansi/aama", text, re.IGNORECASE):
                key, value = "version", text.split(None, 1)[1]
            else:
                self.wrong(
                    f"{_short(text)} is neither a header line nor a rule", line,
                    "Identifier: value, RULE: DELTA number, or pairs of numbers",
                )  # fmt: skip
                return
        if key.startswith(("astm/d13", "ansi/aama", "aama")):
            key = "version"
        value = " ".join(value.split())[:20_000]
        if self.head.setdefault(key, value) != value:
            self.wrong(f"{key.upper()} is given a second time, as {_short(value)}", line, "one value")
        self.lines.setdefault(key, line)
        self.last = key

    def rule(self, kind: str, rest: str, line: int) -> _Rule:
        number = rest.strip()
        if kind.upper() != "DELTA" or not re.fullmatch(r"\d{1,9}", number):
            self.wrong(f"a rule is called {_short(f'{kind} {rest}'.strip())}", line, "RULE: DELTA and a whole number")
            return _Rule(-1, line, spoilt=True)
        rule = _Rule(int(number), line)
        if held := self.rules.get(rule.number):
            self.wrong(f"rule {rule.number} is given again, after line {held.line}", line, "each rule once")
            rule.spoilt = True
        else:
            self.rules[rule.number] = rule
        return rule

    def numbers(self, rule: _Rule | None, text: str, line: int) -> None:
        if rule is None:
            self.wrong(f"numbers stand outside a rule: {_short(text)}", line, "RULE: DELTA number before them")
            return
        if rule.spoilt:
            return
        for word in text.replace(",", " ").split():
            value = float(word) if _NUMBER.fullmatch(word) else None
            if value is None or not isfinite(value):
                self.wrong(f"{_short(word)} is not a number", line, "pairs x, y with decimal points")
                rule.spoilt = True
                return
            rule.numbers.append(value)
        if len(rule.numbers) > 2 * MOST_SIZES:
            self.wrong(f"rule {rule.number} has more than {MOST_SIZES} pairs", line, "a pair for every size")
            rule.spoilt = True

    # ------------------------------------------------------------------------------------------------------ the whole

    def checked(self, last: int) -> RuleTable:
        sizes = self.sizes(last)
        sample = self.head.get("sample size", "")
        if "sample size" not in self.head:
            self.wrong("SAMPLE SIZE is missing", last, "the size from which the rules are measured")
        elif sizes and sample not in sizes:
            self.wrong(
                f"the sample size {_short(sample)} is not in the size list", self.lines["sample size"], " ".join(sizes)
            )
        units = self.declared()
        per_unit = _MM.get(units, 1.0)
        rules: dict[int, tuple[XY, ...]] = {}
        for rule in self.rules.values():
            if rule.spoilt or not sizes:
                continue
            if len(rule.numbers) != 2 * len(sizes):
                found = f"{len(rule.numbers)} numbers" if len(rule.numbers) % 2 else f"{len(rule.numbers) // 2} pairs"
                double = len(rule.numbers) == 4 * len(sizes)
                self.wrong(
                    f"rule {rule.number} has {found}", rule.line, f"{len(sizes)} pairs, one for each size",
                    "Write decimals with a point, not a comma" if double else "",
                )  # fmt: skip
                continue
            moves = [value * per_unit for value in rule.numbers]
            if max(map(abs, moves)) > FARTHEST:
                self.wrong(
                    f"rule {rule.number} moves a point by {max(moves, key=abs):g} mm", rule.line,
                    f"at most {FARTHEST:g} mm",
                )  # fmt: skip
                continue
            rules[rule.number] = tuple(zip(moves[::2], moves[1::2], strict=True))
        if not self.rules:
            self.wrong("it holds no rules", last, "RULE: DELTA 1 and a pair for every size")
        if self.errors:
            raise InputErrors(self.errors)
        at = sizes.index(sample)
        moving = [str(number) for number, pairs in rules.items() if pairs[at] != (0.0, 0.0)]
        if moving:
            self.notes.append(
                f"Rules that move the sample size itself, as none should: {', '.join(moving[:10])}"
                f"{' …' if len(moving) > 10 else ''}."
            )
        known = {"grade rule table", "units", "number of sizes", "size list", "sample size", "version", "author",
                 "creation date", "creation time"}  # fmt: skip
        return RuleTable(
            name=self.head.get("grade rule table", ""),
            units=units,
            sizes=sizes,
            sample=sample,
            rules=rules,
            version=self.head.get("version", ""),
            author=self.head.get("author", ""),
            date=self.head.get("creation date", ""),
            time=self.head.get("creation time", ""),
            others={key: value for key, value in self.head.items() if key not in known},
            notes=tuple(self.notes),
        )

    def sizes(self, last: int) -> tuple[str, ...]:
        if "size list" not in self.head:
            self.wrong("SIZE LIST is missing", last, "the names of the sizes, with blanks between them")
            return ()
        line, written = self.lines["size list"], self.head["size list"]
        count = self.head.get("number of sizes", "")
        sizes = tuple(written.split())
        by_comma = tuple(size.strip() for size in written.split(","))
        if "," in written and (str(len(by_comma)) == count or str(len(sizes)) != count):
            sizes = by_comma
        if not sizes or "" in sizes or len(sizes) > MOST_SIZES:
            self.wrong(f"the size list has {len(sizes)} sizes or an empty one", line, f"1 to {MOST_SIZES} sizes")
            return ()
        if len(set(sizes)) < len(sizes):
            self.wrong("the size list names a size twice", line, "each size once")
        if not count:
            self.notes.append("NUMBER OF SIZES is missing.")
        elif not re.fullmatch(r"\d{1,6}", count) or int(count) != len(sizes):
            self.wrong(
                f"NUMBER OF SIZES is {_short(count)}, the size list has {len(sizes)}", self.lines["number of sizes"],
                "the same number; names of sizes may hold no blanks",
            )  # fmt: skip
        return sizes

    def declared(self) -> DeclaredUnits:
        written = self.head.get("units", "")
        units = _UNITS.get(written.lower())
        if units:
            if self.units and self.units != units:
                self.notes.append(f"The table says {written.upper()}, its pattern file {self.units.upper()}.")
            return units
        if written:
            self.wrong(f"units are {_short(written)}", self.lines["units"], "METRIC or ENGLISH")
        elif self.units:
            self.notes.append(f"UNITS is missing; {self.units.upper()} is taken, as in its pattern file.")
        else:
            self.notes.append("UNITS is missing; METRIC (mm) is taken.")
        return self.units or "metric"


def _short(text: str) -> str:
    return repr(text if len(text) <= 40 else text[:37] + "...")
