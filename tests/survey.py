"""Every garment on every woman or child of a survey, in its usual style and an odd one, judged: run by hand, minutes.

    PYTHONPATH=tests .venv/bin/python tests/survey.py [GARMENT...] [--people FILE] [--every N] [--processes 2]

Of each garment and each value of its option `method`, if it has one, it counts whom the draft passes (no check fails),
warns (a warning stands), refuses, or fails (a check of severity error), and what `judge.py` finds on all that was made.
Below the table stand the reasons, numbers left out, each with how often and on whom first.
"""

from __future__ import annotations

import argparse
import json
import re
import sys
from collections import Counter
from collections.abc import Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from by_the_tape import CHILDREN, drafted, measured_whole
from judge import judge
from oaktag.body.measurements import Measurements
from oaktag.checks.run import check, standing_errors
from oaktag.draft.garment import GARMENT_NAMES, Garment, find_garment
from oaktag.draft.options import ChoiceOption, counts, defaults
from oaktag.errors import DraftError, OaktagError
from oaktag.export.pattern_json import render
from oaktag.model.draft import Draft
from oaktag.model.finding import Severity
from oaktag.model.nest import Nest
from wardrobe import finished

WOMEN = "women_1988_300.csv"
MEN = "men_1988_60.csv"
Raw = dict[str, object]


def made(garment: Garment, body: Measurements, style: Mapping[str, object]) -> dict[str, Any]:
    """The pattern.json of a garment, as `make` would write it in a metric job, whether its checks pass or not."""
    return read(drafted(garment, body, "cm", **style))


def read(draft: Draft) -> dict[str, Any]:
    pattern = finished(draft, "cm")
    found: dict[str, Any] = json.loads(render(Nest.single(pattern), check(pattern)))
    return found


def girths(body: Measurements) -> dict[str, float]:
    """Of the body, by level, as the judge asks for them."""
    return {name.removesuffix("_girth"): mm for name, mm in body.items() if name.endswith("_girth")}


def methods(garment: Garment) -> tuple[str, ...]:
    """The values of its `method`; one without a name where it has no such option."""
    return next((o.choices for o in garment.options if o.name == "method" and isinstance(o, ChoiceOption)), ("",))


@cache
def odd_style(name: str, method: str = "") -> Raw:
    """Of each choice the last that is not the usual one, as far as all of them together can be made for a woman of the
    middle without a failed check (of two that exclude each other the first counts)."""
    garment = find_garment(name)
    chosen: Raw = {"method": method} if method else {}
    for option in garment.options:
        if not isinstance(option, ChoiceOption) or option.name == "method":
            continue
        if not counts(option, {**defaults(garment.options), **chosen}):  # type: ignore[dict-item]
            continue
        for choice in [word for word in reversed(option.choices) if word != option.default]:
            trial = {**chosen, option.name: choice}
            try:
                findings = check(finished(drafted(garment, _middle(garment.for_whom), "cm", **trial), "cm"))
            except (OaktagError, AssertionError):
                continue
            if not standing_errors(findings):
                chosen = trial
                break
    return chosen


@cache
def _middle(for_whom: str) -> Measurements:
    """A woman of the middle of the survey, by bust, or a child."""
    file = CHILDREN if for_whom == "children" else "women_1988_60.csv"
    people = sorted(measured_whole(file).values(), key=lambda body: body["bust_girth"])
    return people[len(people) // 2]


def styles(name: str) -> Iterator[tuple[str, Raw]]:
    """In words, and as a job has them: the usual one and an odd one of each method."""
    for method in methods(find_garment(name)):
        yield f"{name} {method}".strip(), {"method": method} if method else {}
        odd = odd_style(name, method)
        if len(odd) > bool(method):
            yield f"{name} {method}, odd".replace(" ,", ","), odd


@dataclass
class Count:
    """What came out of one style on all bodies."""

    words: str
    style: Raw
    outcomes: Counter[str] = field(default_factory=Counter)
    reasons: dict[str, list[str]] = field(default_factory=dict)
    """What was said, numbers left out, and of whom."""

    def tell(self, outcome: str, words: str, whom: str) -> None:
        plain = re.sub(r"\d+(?: \d+/\d+|/\d+|[.]\d+)?", "#", words)
        self.reasons.setdefault(f"{outcome}: {plain}", []).append(whom)


def tried(name: str, words: str, style: Raw, bodies: Mapping[str, Measurements]) -> Count:
    """One style of one garment on those bodies."""
    count, garment = Count(words, style), find_garment(name)
    for whom, body in bodies.items():
        try:
            draft = drafted(garment, body, "cm", **style)
        except DraftError as error:
            count.outcomes["refused"] += 1
            count.tell("refused", str(error), whom)
            continue
        except Exception as error:
            count.outcomes["broken"] += 1
            count.tell("broken", f"{type(error).__name__}: {error}", whom)
            continue
        pattern = finished(draft, "cm")
        findings = [finding for finding in check(pattern) if not finding.passed]
        errors = [f for f in findings if f.severity is Severity.ERROR]
        warnings = [f for f in findings if f.severity is Severity.WARNING]
        count.outcomes["failed" if errors else "warn" if warnings else "pass"] += 1
        for outcome, group in (("failed", errors), ("warn", warnings)):
            for message in {f"{f.id}: {f.message}" for f in group}:
                count.tell(outcome, message, whom)
        faults = judge(json.loads(render(Nest.single(pattern), check(pattern))), girths(body))
        count.outcomes["judge"] += bool(faults)
        for fault in {str(fault) for fault in faults}:
            count.tell("judge", fault, whom)
    return count


def _row(asked: tuple[str, str, Raw, str, int]) -> Count:
    name, words, style, file, every = asked
    file = file or (CHILDREN if find_garment(name).for_whom == "children" else WOMEN)
    bodies = dict(list(measured_whole(file).items())[::every])
    return tried(name, words, style, bodies)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("garments", nargs="*", default=list(GARMENT_NAMES))
    parser.add_argument("--people", default="", help="a file of fixtures/bodies: women, or whom it is for")
    parser.add_argument("--every", type=int, default=1, help="every N-th of them")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--most", type=int, default=6, help="reasons told of a style and outcome")
    asked = parser.parse_args()
    rows = [(name, words, style, asked.people, asked.every) for name in asked.garments for words, style in styles(name)]
    columns = ("pass", "warn", "refused", "failed", "broken", "judge")
    print(f"{'':34s}" + "".join(f"{column:>9s}" for column in columns), flush=True)
    counted = []
    with ProcessPoolExecutor(asked.processes) as pool:
        for count in pool.map(_row, rows):
            counted.append(count)
            told = "".join(f"{count.outcomes[column]:9d}" for column in columns)
            print(f"{count.words:34s}{told}", flush=True)
    for count in counted:
        style = ", ".join(f"{name} = {value}" for name, value in count.style.items())
        print(f"\n{count.words}" + (f" ({style})" if style else ""))
        for outcome in ("broken", "judge", "failed", "refused", "warn"):
            told_of = [(words, whom) for words, whom in count.reasons.items() if words.startswith(outcome)]
            for words, whom in sorted(told_of, key=lambda row: -len(row[1]))[: asked.most]:
                print(f"  {len(whom):4d}  {words}  [{whom[0]}]")
    sys.exit(any(count.outcomes["broken"] or count.outcomes["judge"] for count in counted))


if __name__ == "__main__":
    main()
