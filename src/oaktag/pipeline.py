"""The line from a job to its files; the only module that imports all stages.

job -> draft -> allowances -> marks -> checks -> sheet -> files. No stage reaches back.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from .checks.run import check_nest, standing_errors
from .draft.garment import find_garment
from .draft.options import near_words
from .errors import CheckFailed, DraftError, InputError
from .finish.allowances import allow
from .finish.marks import mark
from .model.finding import Finding
from .model.nest import Nest
from .model.pattern import Pattern
from .sheet.drawing import figure_of, label_box

if TYPE_CHECKING:
    from .draft.garment import Garment
    from .export.pattern_json import Drawn
    from .job import Job, SizeSet
    from .model.draft import Draft
    from .sheet.strokes import Figure, Sheet

FORMATS: Final = ("json", "dxf", "hpgl", "pdf", "svg", "report")
"""What `--only` may name. `json` and `report` are written for every job unless `--only` leaves them out."""
SIZE_WORDS: Final = "made to measure"
EDGE: Final = 2.0
"""Kept free along the edge of a roll sheet, mm, so that no line loses half its width there."""
PROJECTED: Final = 1500.0
"""Width of the sheet that is thrown on the table, mm: as wide as most cloth (common practice, no source)."""
CAUTIONS: Final = (
    "Measure the scale block on the printed paper before you cut any cloth.",
    "Scissors, rotary blades and irons: cut away from your fingers, unplug the iron when you leave it.",
)


@dataclass(frozen=True, slots=True)
class Result:
    """A finished pattern in its sizes, what the checks found, and every file by name."""

    nest: Nest
    findings: tuple[Finding, ...]
    files: Mapping[str, bytes]

    @property
    def pattern(self) -> Pattern:
        """The base size, or the only one."""
        return self.nest.base_pattern


def nest_of(job: Job) -> Nest:
    """Draft, allowances and marks of every size. Raises DraftError, InputError or GeometryError with what to change."""
    garment = find_garment(job.garment)
    if job.sizes is None:
        draft = garment.draft(job.body, job.style, job.unit)
        pattern = mark(
            allow(draft, job.allowances, job.corners),
            title=job.title,
            size=job.size,
            size_words=SIZE_WORDS,
            unit=job.unit,
            label_box=label_box,
            date=job.date,
        )
        return Nest.single(pattern)
    from .grade.nest import graded

    nest = graded(
        _drafts(garment, job, job.sizes),
        job.sizes.base,
        job.allowances,
        job.corners,
        title=job.title,
        unit=job.unit,
        label_box=label_box,
        stack=job.sizes.stack,
        date=job.date,
    )
    _refuse_unknown_point(job.sizes.stack, nest)
    return nest


def pattern_of(job: Job) -> Pattern:
    """The base size of `nest_of`, or the only one."""
    return nest_of(job).base_pattern


def _drafts(garment: Garment, job: Job, sizes: SizeSet) -> dict[str, Draft]:
    """A draft of every size, or one of the base and the others graded from it by rules.

    Raises DraftError that names each size which cannot be drafted; InputErrors for rules that do not fit the draft.
    """
    if sizes.rules is not None:
        from .grade.ruled import graded_by_rules

        base = garment.draft(job.body, job.style, job.unit)
        graded = graded_by_rules(base, sizes.base, sizes.rules, sizes.bodies if sizes.chart is not None else None)
        return {size: graded[size] for size in sizes.make}
    drafts: dict[str, Draft] = {}
    told: dict[str, list[str]] = {}
    for size in sizes.make:
        try:
            drafts[size] = garment.draft(sizes.bodies[size], job.style, job.unit)
        except DraftError as error:
            told.setdefault(str(error), []).append(size)
    if told:
        lines = [f"size{'s' * (len(named) > 1)} {', '.join(named)}: {text}" for text, named in told.items()]
        raise DraftError("\n".join(lines))
    return drafts


def _refuse_unknown_point(name: str, nest: Nest) -> None:
    known = sorted({point for piece in nest.base_pattern.pieces for point in piece.cut.piece.points})
    if name and name not in known:
        near = near_words(name, tuple(known))
        raise InputError(
            f"stack = {name!r}: no piece has a point of this name",
            expected=f"one of {', '.join(known)}",
            instead=f'Write "{near[0]}"' if near else "",
        )


def make(job: Job, *, only: tuple[str, ...] = (), sizes: tuple[str, ...] = (), despite: tuple[str, ...] = ()) -> Result:
    """Draft, check, and render every file that the job asks for.

    `only` narrows the formats, `sizes` what is drawn on sheets (all sizes are drafted, checked and written as data).
    Raises CheckFailed, naming each, when a check of severity error fails and `despite` does not name it: then no file
    is rendered.
    """
    job, nest, findings = _checked(job, sizes, despite)
    wanted = only or ("json", *job.formats, "report")
    return Result(nest, findings, _render(job, nest, findings, wanted))


def projection(job: Job, *, sizes: tuple[str, ...] = (), despite: tuple[str, ...] = ()) -> Result:
    """The projection page as the only file, `projection.html`: the pieces side by side, `sizes` of them (else all).

    Raises CheckFailed as `make` does.
    """
    from .export.projection import render
    from .sheet.arrange import arrange

    job, nest, findings = _checked(job, sizes, despite)
    figures = _figures(nest.only(drawn_sizes(job, nest, "")), job.output.layout)
    widest = max(figure.bounds().width for figure in figures)
    sheet = arrange(nest.base_pattern.title, figures, max(PROJECTED, widest + 2 * EDGE), margin=EDGE)
    return Result(nest, findings, {"projection.html": render(sheet, job.unit)})


def _checked(job: Job, sizes: tuple[str, ...], despite: tuple[str, ...]) -> tuple[Job, Nest, tuple[Finding, ...]]:
    """The job with only those sizes to draw, what was made of it, and its findings; CheckFailed if an error stands."""
    nest = nest_of(job)
    if sizes:
        job = replace(job, output=replace(job.output, sizes={"": known_sizes(sizes, nest.sizes)}))
    findings = check_nest(nest)
    refuse_unknown(despite, findings)
    errors = standing_errors(findings, despite)
    if errors:
        ids = ", ".join(sorted({error.id for error in errors}))
        raise CheckFailed(f"nothing was written: {len(errors)} check(s) failed ({ids})", findings)
    return job, nest, findings


def known_sizes(names: tuple[str, ...], sizes: tuple[str, ...]) -> tuple[str, ...]:
    """The sizes that are named, in their chart's order; InputError for one that is not made."""
    for name in names:
        if name not in sizes:
            raise InputError(f"--size {name}: this job does not make it", expected=f"one of {', '.join(sizes)}")
    return tuple(size for size in sizes if size in names)


def refuse_unknown(despite: tuple[str, ...], findings: tuple[Finding, ...]) -> None:
    """InputError for an id in `--despite` that no check has."""
    known = sorted({finding.id for finding in findings})
    for name in despite:
        if name not in known:
            from difflib import get_close_matches

            near = get_close_matches(name, known, n=1)
            raise InputError(
                f"--despite {name}: no check has this id",
                expected="an id that oaktag check prints",
                instead=f"Write --despite {near[0]}" if near else "",
            )


def _render(job: Job, nest: Nest, findings: tuple[Finding, ...], wanted: tuple[str, ...]) -> dict[str, bytes]:
    """Every file, in the contract's order; each exporter is imported when it is asked for."""
    files: dict[str, bytes] = {}
    if "json" in wanted:
        from .export import pattern_json

        files["pattern.json"] = pattern_json.render(nest, findings, _told_drawn(job, nest))
    if "dxf" in wanted:
        files |= _pattern_data(job, nest)
    if {"hpgl", "pdf", "svg"} & set(wanted):
        files |= _drawn(job, nest, wanted)
    if "report" in wanted:
        files["report.html"] = _report(job, nest, findings, (*files, "report.html"))
    return files


def _report(job: Job, nest: Nest, findings: tuple[Finding, ...], files: tuple[str, ...]) -> bytes:
    if len(nest.sizes) == 1:
        from .export import report

        return report.render(nest.base_pattern, findings, size_words=SIZE_WORDS, files=files)
    from .export.report_set import render_set

    chart = job.sizes.chart if job.sizes is not None else None
    if chart is None:
        return render_set(nest, findings, files=files)
    beyond = tuple(size for size in chart.extrapolated if size in nest.sizes)
    return render_set(
        nest, findings, files=files, chart_title=chart.title, chart_source=chart.source, extrapolated=beyond
    )


def _pattern_data(job: Job, nest: Nest) -> dict[str, bytes]:
    """One size; or the base with its rules, every size as a nest, and the rules as a table for people."""
    if len(nest.sizes) == 1:
        from .export import dxf

        return {"pattern.dxf": dxf.render(nest.base_pattern, date=job.date, units=job.output.dxf_units)}
    from .export import dxf_sizes
    from .grade.rules import render_rules, rules_of

    units: dxf_sizes.Units = "english" if job.output.dxf_units == "english" else "metric"
    flavour: dxf_sizes.Flavour = "aama" if job.output.dxf_flavour == "aama" else "astm"
    base, table = dxf_sizes.render_base(nest, date=job.date, units=units, flavour=flavour)
    return {
        "pattern.dxf": base,
        "pattern.rul": table,
        "pattern-nest.dxf": dxf_sizes.render_nest(nest, date=job.date, units=units, flavour=flavour),
        "grade-rules.csv": render_rules(rules_of(nest), job.unit),
    }


def _drawn(job: Job, nest: Nest, wanted: tuple[str, ...]) -> dict[str, bytes]:
    """The files that are drawings: pieces and scale block laid on a roll, and on tiles.

    Where every size is drawn by itself and one page would be too long, `pattern-roll.pdf` has a page a size.
    """
    from .device.profile import DEVICES, usable_width
    from .sheet.arrange import arrange
    from .sheet.scale_block import scale_block

    device = DEVICES[job.device]
    width = usable_width(device)
    title = nest.base_pattern.title
    figures: dict[tuple[str, ...], list[Figure]] = {}
    rolls: dict[tuple[str, ...], Sheet] = {}
    block = scale_block(min(290.0, width - 2 * EDGE), 300.0)
    for form in ("hpgl", "pdf", "svg"):
        sizes = drawn_sizes(job, nest, form)
        if form in wanted and sizes not in rolls:
            figures[sizes] = _figures(nest.only(sizes), job.output.layout)
            rolls[sizes] = arrange(title, [*figures[sizes], block], width, margin=EDGE)
    files: dict[str, bytes] = {}
    if "hpgl" in wanted:
        from .export import hpgl

        files["pattern.plt"] = hpgl.render(rolls[drawn_sizes(job, nest, "hpgl")], device)
    if "pdf" in wanted:
        from .export import pdf

        sizes = drawn_sizes(job, nest, "pdf")
        files[f"pattern-{job.paper}.pdf"] = _tiles(job, title, figures[sizes])
        margin = (device.width - width) / 2
        whole = [rolls[sizes]]
        if rolls[sizes].height + 2 * margin > pdf.LONGEST and job.output.layout == "apart":
            by_size = [[figure for figure in figures[sizes] if figure.size == size] for size in sizes]
            whole = [arrange(title, [*own, block], width, margin=EDGE) for own in by_size]
        files["pattern-roll.pdf"] = pdf.render_roll(*whole, margin=margin)
    if "svg" in wanted:
        from .export import svg

        files["pattern.svg"] = svg.render(rolls[drawn_sizes(job, nest, "svg")])
    return files


def _told_drawn(job: Job, nest: Nest) -> tuple[Drawn, ...]:
    """Of a size set, which sizes each file that `make` can write holds."""
    from .export.pattern_json import Drawn

    if len(nest.sizes) == 1:
        return ()
    found = [
        Drawn("pattern.dxf", (nest.base,), "apart", True),
        Drawn("pattern-nest.dxf", nest.sizes, "nested", True),
    ]
    for form, names in (
        ("hpgl", ("pattern.plt",)),
        ("pdf", (f"pattern-{job.paper}.pdf", "pattern-roll.pdf")),
        ("svg", ("pattern.svg",)),
    ):
        sizes = drawn_sizes(job, nest, form)
        layout = job.output.layout if len(sizes) > 1 else "apart"
        found += [Drawn(name, sizes, layout, layout == "apart") for name in names]
    return tuple(found)


def drawn_sizes(job: Job, nest: Nest, form: str) -> tuple[str, ...]:
    """The sizes that are drawn in a format, in the nest's order."""
    picked = job.output.sizes_of(form)
    return tuple(size for size in nest.sizes if not picked or size in picked)


def _figures(nest: Nest, layout: str) -> list[Figure]:
    """The pieces to draw: a single size as it is, several on each other with their key, or each by itself."""
    if len(nest.sizes) == 1:
        return [figure_of(piece) for piece in nest.base_pattern.pieces]
    from .sheet.nest import key_figure, nest_figures, size_figures

    return size_figures(nest) if layout == "apart" else [*nest_figures(nest), key_figure(nest)]


def _tiles(job: Job, title: str, figures: list[Figure]) -> bytes:
    from .export.pdf import render_tiles
    from .export.tiles import tile_pitch
    from .sheet.arrange import arrange_for_tiles
    from .sheet.paper import PAPERS

    paper = PAPERS[job.paper]
    across, along = tile_pitch(paper)
    sheet: Sheet = arrange_for_tiles(title, figures, across, along)
    return render_tiles(sheet, paper, date=job.date, cautions=CAUTIONS)
