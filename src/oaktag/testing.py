"""Asserts for garments of one's own: `prove_garment` tries one as our own are tried, with what is installed alone."""

from __future__ import annotations

import pickle
import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from math import hypot
from pathlib import Path
from typing import Final

from .body.charts import CHART_NAMES, shipped
from .body.measurements import Measurements, kinds_of, lacking
from .body.whom import may_be
from .checks.run import check, check_nest, standing_errors
from .draft.garment import GARMENT_NAMES, Garment, Style
from .draft.options import ChoiceOption, LengthOption, Option, defaults
from .errors import DraftError, OaktagError
from .formats import words_of
from .job import Job, Output, SizeSet
from .model.finding import Finding
from .model.nest import Nest
from .outside.file import guarded
from .units import UNITS, Unit, show
from .values import dataclass, replace

WIDEST_ROLL: Final = "roll-1830"
WIDEST_CLOTH: Final = 3000.0
"""Sheeting, mm (common practice, no source)."""
BY_RULES: Final = 0.02
"""A corner of a size that is graded by rules lies this near to where it is drafted, mm: rules are written to 0.001."""
_BESIDE: Final = 2
"""So many sizes on either side of the base are graded by rules."""
_MOST_TOLD: Final = 40


@dataclass(frozen=True, slots=True)
class Proved:
    """How much was tried, of a garment that stood it."""

    garment: str
    bodies: int
    styles: int
    refused: tuple[str, ...]
    """Styles that are refused, by the garment or by a check that names an option, with what is said: read whether a
    maker would know what to change."""
    sizes: int
    files: int
    rows: int
    """Lines of files that were read back."""
    checks: int

    def __str__(self) -> str:
        return (
            f"{self.garment}: {self.bodies} bodies, {self.styles} styles ({len(self.refused)} refused), {self.sizes} "
            f"sizes node for node and by rules, {self.files} files read back in {self.rows} rows, {self.checks} checks"
        )


def prove_garment(garment: Garment, *, bodies: Mapping[str, Mapping[str, float]] | None = None) -> Proved:
    """Drafts, finishes, checks, grades, writes and reads a garment; AssertionError with all that was found, in words.

    `bodies` are measurements in mm by a name, in place of every size of the charts that ship; two or more are taken for
    sizes, too, in their order. In the usual style each of them must come out without a failed check. On the middle one
    each length option is taken at its ends, and each choice in turn: there the garment may refuse (DraftError), and a
    check may fail that names an option to change: both are reported, and all else must hold. The sizes of a chart are
    finished node for node; those beside the middle one are graded by their own rules, and their corners must come out
    where they are drafted. Every format is written for one body and for three sizes, and read back; a chalk card, a
    projection page and a lay are made. Takes seconds; nothing is left on disk.
    """
    own = garment if garment.name in GARMENT_NAMES else _told_by_line(garment)
    trial = _Trial(own)
    found = dict(bodies) if bodies is not None else _shipped_bodies(own, trial)
    if found:
        middle = tuple(found)[len(found) // 2]
        trial.bodies(found)
        trial.styles(_measured(found[middle]))
        trial.one_body(_measured(found[middle]))
        first = next(iter(found)).partition(" ")[0]
        sizes = [name for name in found if bodies is not None or name.startswith(f"{first} ")]
        if len(sizes) > 1:
            trial.sizes({name: _measured(found[name]) for name in sizes})
    if trial.told:
        more = f"\n... and {len(trial.told) - _MOST_TOLD} more" if len(trial.told) > _MOST_TOLD else ""
        listed = "\n".join(f"- {line}" for line in trial.told[:_MOST_TOLD])
        raise AssertionError(f"{garment.name}: {len(trial.told)} found\n{listed}{more}")
    return Proved(
        garment.name, len(found), trial.style_count, tuple(trial.refused), trial.size_count, trial.files, trial.rows,
        trial.checks,
    )  # fmt: skip


def _measured(body: Mapping[str, float]) -> Measurements:
    return body if isinstance(body, Measurements) else Measurements(body)


def _told_by_line(garment: Garment) -> Garment:
    """So that faults in its functions are told by their line; one that came from a file is so already."""
    if garment.file is not None or garment.package:
        return garment
    drafts = getattr(garment.draft, "function", garment.draft)
    path = getattr(getattr(drafts, "__code__", None), "co_filename", garment.name)
    return guarded(garment, Path(path).name, Path(path))


def _shipped_bodies(garment: Garment, trial: _Trial) -> dict[str, Mapping[str, float]]:
    """Every size of the charts that ship of those whom it says it is for, of women where it says nothing; one that
    lacks what the garment needs is told."""
    wearers = may_be(garment.for_whom) if garment.for_whom else ("woman",)
    found: dict[str, Mapping[str, float]] = {}
    for name in CHART_NAMES:
        chart = shipped(name)
        if (chart.wearer or "woman") not in wearers:
            continue
        needed = garment.needs_for(defaults(garment.options), chart.wearer)
        missing = lacking(needed, garment.instead, chart.rows, kinds_of(chart.wearer))
        if missing:
            trial.told.append(f"the chart {name} has no {', '.join(kinds[0].words for kinds in missing)}: give bodies")
            continue
        found |= {f"{name} {size}": chart.body(size) for size in chart.sizes}
    return found


class _Trial:
    """What was tried so far, and what was found."""

    def __init__(self, garment: Garment) -> None:
        self.garment = garment
        self.told: list[str] = []
        self.refused: list[str] = []
        self.style_count = self.size_count = self.files = self.rows = self.checks = 0

    @contextmanager
    def telling(self, what: str) -> Iterator[None]:
        """Whatever goes wrong inside is told, and the trial goes on."""
        try:
            yield
        except OaktagError as error:
            self.told.append(f"{what}: {error}")
        except Exception as error:
            self.told.append(f"{what}: {type(error).__name__}: {error}")

    def judge(self, what: str, findings: Iterable[Finding], *, may_advise: bool = False) -> None:
        """Failed checks are told; with `may_advise` one that names an option to change has refused that style."""
        every = tuple(findings)
        self.checks += len(every)
        for message in dict.fromkeys(f.message for f in standing_errors(every)):
            advises = may_advise and any(re.search(rf"\b{o.name}\b", message) for o in self.garment.options)
            if advises:
                self.refused.append(f"{what.removeprefix('with ')}: {message}")
            else:
                self.told.append(f"{what}: {message}")

    def bodies(self, bodies: Mapping[str, Mapping[str, float]]) -> None:
        """The usual style on every body, in each of the units in turn."""
        from .pipeline import pattern_of

        for number, (name, body) in enumerate(bodies.items()):
            unit = UNITS[number % 2]
            with self.telling(f"on {name}"):
                job = self.job(_measured(body), self.usual(unit), unit)
                self.judge(f"on {name}", check(pattern_of(job)))

    def styles(self, body: Measurements) -> None:
        """Each option at its ends, each choice in turn."""
        from .pipeline import pattern_of

        for option in self.garment.options:
            for value in _ends(option):
                words = f"{option.name} = {_told(option, value)}"
                self.style_count += 1
                with self.telling(f"with {words}"):
                    try:
                        pattern = pattern_of(self.job(body, {**self.usual("in"), option.name: value}, "in"))
                    except DraftError as error:
                        self.refused.append(f"{words}: {error}")
                        continue
                    self.judge(f"with {words}", check(pattern), may_advise=True)

    def one_body(self, body: Measurements) -> None:
        """The same twice, as plain data; the card, the page, the lay, and every format."""
        usual = self.usual("in")
        job = self.job(body, usual, "in")
        with self.telling("drafted twice"):
            first, second = (self.garment.drafted(body, usual, "in") for _ in range(2))
            if first != second:
                self.told.append("the same body and style give another draft the second time")
            if pickle.loads(pickle.dumps(first)) != first:
                self.told.append("the draft is not plain data: it does not come back from pickle as it was")
        self.written("one body", job)
        with self.telling("the chalk card"):
            from .export.chalk_card import render
            from .pipeline import pattern_of
            from .sheet.paper import PAPERS, at_hand

            render(pattern_of(job), at_hand(PAPERS["a4"], "in"))
        with self.telling("the projection page"):
            from .pipeline import projection

            projection(job)
        with self.telling("the lay"):
            from .lay.words import Asked
            from .laying import lay_job

            lay_job(job, Asked(width=WIDEST_CLOTH), None, seconds=0.0, workers=1)

    def sizes(self, bodies: Mapping[str, Measurements]) -> None:
        """All of them node for node, and by rules; three of them in every format."""
        from .pipeline import nest_of

        names = tuple(bodies)
        middle = len(names) // 2
        self.size_count = len(names)
        with self.telling("all sizes"):
            nest = nest_of(self.size_job(bodies, names))
            self.judge("all sizes", check_nest(nest))
            self.by_rules(bodies, nest.only(names[max(0, middle - _BESIDE) : middle + _BESIDE + 1]))
        few = tuple(dict.fromkeys((names[0], names[middle], names[-1])))
        self.written(f"sizes {', '.join(few)}", self.size_job(bodies, few))

    def by_rules(self, bodies: Mapping[str, Measurements], drafted: Nest) -> None:
        """The base graded by the rules of its own nest, written and read: every corner where it is drafted."""
        from .grade.rules import parse_rules, render_rules, rules_of
        from .pipeline import nest_of

        job = self.size_job(bodies, drafted.sizes)
        rules = parse_rules(render_rules(rules_of(drafted), "mm").decode(), "grade-rules.csv")
        assert job.sizes is not None
        nest = nest_of(replace(job, sizes=replace(job.sizes, rules=rules)))
        self.judge("graded by rules", check_nest(nest))
        for pattern in nest.patterns:
            for new, old in zip(pattern.draft.pieces, drafted.of(pattern.size).draft.pieces, strict=True):
                (ax, ay), (bx, by) = (each.shift(pattern.size, new.name) for each in (nest, drafted))
                pairs = ((a.start, b.start) for a, b in zip(new.edges, old.edges, strict=True))
                far = max(hypot(a.x + ax - b.x - bx, a.y + ay - b.y - by) for a, b in pairs)
                if far > BY_RULES:
                    self.told.append(
                        f"graded by rules, size {pattern.size}: a corner of {new.name} is {far:.2f} mm off"
                    )

    def written(self, what: str, job: Job) -> None:
        """Every format, read back."""
        import tempfile

        from .export.files import write_all
        from .export.sums import with_sums
        from .pipeline import make
        from .verify.folder import verify

        with self.telling(f"{what}, written"), tempfile.TemporaryDirectory() as folder:
            result = make(job)
            self.judge(what, result.findings)
            self.told += [f"{what}, {line}" for line in result.left_out]
            self.files += len(write_all(Path(folder), with_sums(result.files)))
            rows = verify(Path(folder))
            self.rows += len(rows)
            self.told += [
                f"{what}, {row.file}, {row.what}: {row.message or row.worst}" for row in rows if not row.passed
            ]

    def usual(self, unit: Unit) -> Style:
        return defaults(self.garment.options, unit)

    def job(self, body: Measurements, style: Style, unit: Unit) -> Job:
        from .device.store import find_device

        output = Output(words_of(job=True), profile=find_device(WIDEST_ROLL))
        title = self.garment.name.replace("-", " ")
        return Job(
            Path("proof.toml"), title, self.garment.name, unit, body, style, {}, output=output, made_by=self.garment
        )

    def size_job(self, bodies: Mapping[str, Measurements], sizes: tuple[str, ...]) -> Job:
        base = sizes[len(sizes) // 2]
        job = self.job(bodies[base], self.usual("cm"), "cm")
        nested = tuple(
            form for form in words_of(job=True) if form not in ("cad", "cuts")
        )  # cutters get no sizes on each other
        output = replace(job.output, formats=nested)
        return replace(
            job, size=base, sizes=SizeSet(sizes, base, {size: bodies[size] for size in sizes}), output=output
        )


def _told(option: Option, value: float | str | None) -> str:
    return show(value, "in") if isinstance(option, LengthOption) and isinstance(value, float) else str(value)


def _ends(option: Option) -> Iterator[float | str | None]:
    if isinstance(option, ChoiceOption):
        yield from option.choices
        return
    yield float(option.least)
    yield float(option.most)
    if isinstance(option, LengthOption) and option.auto:
        yield None
