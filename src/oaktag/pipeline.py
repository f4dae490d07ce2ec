"""The line from a job to its files; the only module that imports all stages.

job -> draft -> allowances -> marks -> checks -> sheet -> files. No stage reaches back.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING, Final, TypeVar

from .beside import beside
from .checks.run import check_nest, standing_errors
from .draft.garment import find_garment
from .draft.options import near_words
from .errors import DraftError, InputError
from .finish.allowances import allow
from .finish.marks import mark
from .geometry.polygon import Box
from .model.finding import CheckFailed, Finding
from .model.nest import Nest
from .model.pattern import Pattern
from .model.piece import title_of
from .progress import Told, silent
from .sheet.drawing import figure_of, label_box
from .units import show
from .values import dataclass, replace

if TYPE_CHECKING:
    from .device.profile import DeviceProfile
    from .draft.garment import Garment
    from .export.hpgl import Plot
    from .export.pattern_json import Drawn, PlotParts, Sent
    from .job import Job, SizeSet
    from .model.draft import Draft
    from .sheet.strokes import Figure, Sheet
    from .units import Unit

_T = TypeVar("_T")
FORMATS: Final = ("json", "dxf", "hpgl", "pdf", "svg", "cad", "cuts", "report")
"""What `--only` may name. `json` and `report` are written for every job unless `--only` leaves them out."""
SIZE_WORDS: Final = "made to measure"
_PAGES: Final = frozenset({"pdf", "svg"})
_AS_DRAWN: Final = "as drawn"
PROJECTED: Final = 1500.0
"""Width of the sheet that is thrown on the table, mm: as wide as most cloth (common practice, no source)."""
HUGE: Final = 15_000.0
"""More, and a piece is no piece, mm: a stage curtain is cut in widths (common practice, no source)."""
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
    notes: tuple[str, ...] = ()
    """What there is to say of the files: sheets, panels, the way of the pen, corrections."""
    cautions: tuple[str, ...] = ()
    """Those of the device that they are for."""
    left_out: tuple[str, ...] = ()
    """Which files were not written, since the pieces do not fit on their paper, and what to do."""

    @property
    def pattern(self) -> Pattern:
        """The base size, or the only one."""
        return self.nest.base_pattern


def nest_of(job: Job, told: Told = silent) -> Nest:
    """Draft, allowances and marks of every size. Raises DraftError, InputError or GeometryError with what to change."""
    if job.sizes is None:
        told("drafting", 0, 0)
        draft = _base_draft(job)
        pattern = mark(
            allow(draft, job.allowances, job.corners),
            title=job.printed_title,
            size=job.size,
            size_words=_size_words(job),
            unit=job.unit,
            label_box=label_box,
            date=job.date,
        )
        _refuse_huge(pattern)
        return Nest.single(pattern)
    from .grade.nest import graded

    drafts = _drafts(job, job.sizes, told)
    told("finishing every size", 0, 0)
    nest = graded(
        drafts,
        job.sizes.base,
        job.allowances,
        job.corners,
        title=job.printed_title,
        unit=job.unit,
        label_box=label_box,
        stack=job.sizes.stack,
        date=job.date,
    )
    for each in nest.patterns:
        _refuse_huge(each)
    _refuse_unknown_point(job.sizes.stack, nest)
    return nest


def _refuse_huge(pattern: Pattern) -> None:
    """DraftError for a piece that no room could hold, before anything is drawn of it."""
    for piece in pattern.pieces:
        box = Box.round(piece.cut.cut_line)
        if max(box.width, box.height) > HUGE:
            size = f"{show(box.width, pattern.unit)} by {show(box.height, pattern.unit)}"
            raise DraftError(
                f"{piece.name}: its cut line is {size}, and no piece of more than {show(HUGE, pattern.unit)} is made. "
                "Look to the unit and the scale of the drawing, or to the measurements and allowances."
            )


def pattern_of(job: Job) -> Pattern:
    """The base size of `nest_of`, or the only one."""
    return nest_of(job).base_pattern


def _size_words(job: Job) -> str:
    """What a label and the report say of the size of a single pattern."""
    if job.drawn is None:
        return SIZE_WORDS
    return _AS_DRAWN if job.size == "measured" else job.size


def _base_draft(job: Job) -> Draft:
    """What was drawn elsewhere; else the garment drafted for the body, or for that of the base size."""
    if job.drawn is not None:
        return job.drawn
    return _garment_of(job).drafted(job.body, job.style, job.unit)


def _garment_of(job: Job) -> Garment:
    """One from outside, which the job holds itself, else one of ours."""
    return job.made_by or find_garment(job.garment)


def _drafts(job: Job, sizes: SizeSet, told: Told) -> dict[str, Draft]:
    """A draft of every size, or one of the base and the others graded from it by rules.

    Raises DraftError that names each size which cannot be drafted; InputErrors for rules that do not fit the draft.
    """
    if sizes.drawn:
        return {size: sizes.drawn[size] for size in sizes.make}
    if sizes.rules is not None:
        from .grade.ruled import graded_by_rules

        told("grading by the rules", 0, 0)
        base = _without_cut_lines(_base_draft(job))
        graded = graded_by_rules(base, sizes.base, sizes.rules, sizes.bodies if sizes.chart is not None else None)
        return {size: graded[size] for size in sizes.make}
    garment = _garment_of(job)
    drafts: dict[str, Draft] = {}
    refused: dict[str, list[str]] = {}
    for k, size in enumerate(sizes.make, start=1):
        told(f"drafting size {size}", k, len(sizes.make))
        try:
            drafts[size] = garment.drafted(sizes.bodies[size], job.style, job.unit)
        except DraftError as error:
            refused.setdefault(str(error), []).append(size)
    if refused:
        lines = [f"size{'s' * (len(named) > 1)} {', '.join(named)}: {text}" for text, named in refused.items()]
        raise DraftError("\n".join(lines))
    return drafts


def _without_cut_lines(draft: Draft) -> Draft:
    """The draft with its cut lines made from its allowances: one that was drawn is the base's alone."""
    drawn = [title_of(piece) for piece in draft.pieces if piece.cut_line]
    if not drawn:
        return draft
    note = f"Graded by rules, so the cut lines are made anew from the allowances in every size: {', '.join(drawn)}."
    pieces = tuple(
        replace(piece, cut_line=(), notches=tuple(replace(notch, out=None) for notch in piece.notches))
        for piece in draft.pieces
    )
    return replace(draft, pieces=pieces, notes=(*draft.notes, note))


def _refuse_unknown_point(name: str, nest: Nest) -> None:
    known = sorted({point for piece in nest.base_pattern.pieces for point in piece.cut.piece.points})
    if name and name not in known:
        near = near_words(name, tuple(known))
        raise InputError(
            f"stack = {name!r}: no piece has a point of this name",
            expected=f"one of {', '.join(known)}",
            instead=f'Write "{near[0]}"' if near else "",
        )


def make(
    job: Job,
    *,
    only: tuple[str, ...] = (),
    sizes: tuple[str, ...] = (),
    pieces: tuple[str, ...] = (),
    despite: tuple[str, ...] = (),
    told: Told = silent,
) -> Result:
    """Draft, check, and render every file that the job asks for.

    `only` narrows the formats, `sizes` what is drawn on sheets (all sizes are drafted, checked and written as data).
    With `pieces` the files hold these alone, marked as in the whole, which is drafted and checked; there is no report.
    A drawing whose paper the pieces do not fit on is left out, and told; DraftError if `only` asks for it, or if there
    is no other.
    Raises CheckFailed, naming each, when a check of severity error fails and `despite` does not name it: then no file
    is rendered.
    """
    job, nest, findings = checked(job, sizes, despite, told)
    wanted = only or ("json", *job.formats, "report")
    if pieces:
        if "report" in only:
            raise InputError("--only report: the report is of the whole pattern", instead="Leave --piece out")
        nest = nest.of_pieces(known_pieces(pieces, nest))
        wanted = tuple(form for form in wanted if form != "report")
    drawings = _Drawings()
    files, notes = _render(job, nest, findings, wanted, drawings, told)
    for name, error in drawings.errors.items():
        others = [file for file in files if file not in ("pattern.json", "report.html")]
        if only:  # the format was asked for by name: a PDF in pages will do where a roll is too narrow
            others = [file for file in others if name.endswith(".pdf") and file.endswith(".pdf")]
        if not others:
            raise error
    cautions = job.output.profile.cautions if {"hpgl", "cad", "cuts"} & set(wanted) else ()
    told_notes = (*notes, *_lettering_notes(nest), *_notes_of(files))
    return Result(nest, findings, files, told_notes, cautions, _left_out(drawings, files))


def _lettering_notes(nest: Nest) -> tuple[str, ...]:
    """What of names and titles cannot be lettered on sheets."""
    from .sheet.lettering import unlettered

    title = nest.base_pattern.title
    found = [f"{title} (the title)"] if unlettered(title) else []
    for piece in nest.base_pattern.pieces:
        words = title_of(piece.cut.piece)
        if unlettered(f"{words} {piece.cut.piece.material}"):
            found.append(f"{words}, {piece.cut.piece.material} (piece {piece.number})")
    if not found:
        return ()
    told = (
        f"cannot be lettered on paper, where each such letter is a small box: {'; '.join(found)}. Go by the numbers on "
        "the pieces; report.html and pattern.json have the words; pattern.dxf spells them by number (\\U+524D), or as "
        "PIECE and its number."
    )
    return (told,)


class _Drawings:
    """Makes drawings, and keeps what stood in the way of one: a piece wider than its paper."""

    def __init__(self) -> None:
        self.errors: dict[str, DraftError] = {}

    def __call__(self, name: str, draw: Callable[[], _T]) -> _T | None:
        try:
            return draw()
        except DraftError as error:
            self.errors[name] = error
            return None


def _left_out(drawings: _Drawings, files: Mapping[str, bytes]) -> tuple[str, ...]:
    """`not written: pattern.svg, pattern-roll.pdf: front is … Written: pattern.dxf, pattern.plt`."""
    told: dict[str, list[str]] = {}
    for name, error in drawings.errors.items():
        told.setdefault(str(error), []).append(name)
    taken = ", ".join(name for name in files if name not in ("pattern.json", "report.html", "grade-rules.csv"))
    return tuple(
        f"not written: {', '.join(names)}: {text.rstrip('.')}. These can take it, and are written: {taken}."
        for text, names in told.items()
    )


def _notes_of(files: Mapping[str, bytes]) -> tuple[str, ...]:
    if b"/UserUnit" not in files.get("pattern-roll.pdf", b""):
        return ()
    long = "pattern-roll.pdf is one page of more than 5,080 mm, in a larger unit that some printers overlook"
    return (f'{long}: measure its scale blocks before you pay, or write roll = "split", which is safer.',)


def projection(job: Job, *, sizes: tuple[str, ...] = (), despite: tuple[str, ...] = (), told: Told = silent) -> Result:
    """The projection page as the only file, `projection.html`: the pieces side by side, `sizes` of them (else all).

    Raises CheckFailed as `make` does.
    """
    from .export.projection import render
    from .sheet.arrange import arrange
    from .sheet.on_device import EDGE

    job, nest, findings = checked(job, sizes, despite, told)
    told("writing the page", 0, 0)
    figures = _figures(nest.only(drawn_sizes(job, nest, "")), job.output.layout)
    widest = max(figure.bounds().width for figure in figures)
    sheet = arrange(nest.base_pattern.title, figures, max(PROJECTED, widest + 2 * EDGE), margin=EDGE)
    return Result(nest, findings, {"projection.html": render(sheet, job.unit)})


def checked(
    job: Job, sizes: tuple[str, ...], despite: tuple[str, ...], told: Told = silent
) -> tuple[Job, Nest, tuple[Finding, ...]]:
    """The job with only those sizes to draw, what was made of it, and its findings; CheckFailed if an error stands."""
    nest = nest_of(job, told)
    if sizes:
        job = replace(job, output=replace(job.output, sizes={"": known_sizes(sizes, nest.sizes)}))
    findings = check_nest(nest, told)
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


def spelt_pieces(names: tuple[str, ...]) -> tuple[str, ...]:
    """The names of pieces as patterns spell them: `Front facing` and `front-facing` are `front_facing`."""
    return tuple("".join(c if c.isalnum() else "_" for c in name.strip().lower()) for name in names)


def known_pieces(names: tuple[str, ...], nest: Nest) -> tuple[str, ...]:
    """The pieces that are named, in the pattern's order; InputError for one that it has not."""
    known = tuple(piece.name for piece in nest.base_pattern.pieces)
    asked = spelt_pieces(names)
    for typed, name in zip(names, asked, strict=True):
        if name not in known:
            near = near_words(name, known)
            raise InputError(
                f"--piece {typed}: this pattern has no such piece", expected=f"one of {', '.join(known)}",
                instead=f"Write --piece {near[0]}" if near else "",
            )  # fmt: skip
    return tuple(name for name in known if name in asked)


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


def _render(
    job: Job, nest: Nest, findings: tuple[Finding, ...], wanted: tuple[str, ...], drawings: _Drawings, told: Told
) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """Every file, in the contract's order, and what there is to say of them; exporters are imported when asked for.

    Pages and pattern data are made beside the other files.
    """
    shared = _Shared(nest, job.output.layout)
    pages = _names_of_pages(job, wanted)
    for form in sorted(_PAGES & set(wanted)):
        shared.figures(drawn_sizes(job, nest, form))  # for both processes
    aside = {*_PAGES, "dxf"} & set(wanted)
    several = bool(aside) and set(wanted) > aside
    with beside(partial(_made_beside, job, nest, wanted, shared), when=several) as made_beside:
        told("writing for the device", 1, 4)
        plotted = _plotted(job, nest, wanted, drawings, shared)
        told("writing the pattern data", 2, 4)
        files: dict[str, bytes] = {}
        if "json" in wanted:
            from .export import pattern_json

            files["pattern.json"] = pattern_json.render(
                nest, findings, (*_told_drawn(job, nest), *plotted.drawn), plotted.parts, made_by=job.made_by
            )
        told("writing the report", 3, 4)
        report = partial(_report, job, nest, findings, job.output.profile.cautions if plotted.files else ())
        data = _names_of_data(nest) if "dxf" in wanted else ()
        early = report((*files, *data, *plotted.files, *pages)) if "report" in wanted else b""
        told("writing the pages", 4, 4)
        made = made_beside()
        if "dxf" in wanted:
            files |= _pattern_data(job, nest) if made is None else {name: made[name] for name in data}
        files |= plotted.files
        if pages:
            drawn = _drawn(job, nest, wanted, drawings, shared) if made is None else made
            files |= {name: drawn[name] for name in pages if name in drawn}
    if "report" in wanted:  # it names the files: told anew if a page could not be drawn
        files["report.html"] = early if set(pages) <= set(files) else report(tuple(files))
    printer = job.output.printer
    if printer is not None and not printer.correction.identity and "pdf" in wanted:
        return files, (*plotted.notes, f"pages {_said(printer)}.")
    return files, plotted.notes


def _names_of_pages(job: Job, wanted: tuple[str, ...]) -> tuple[str, ...]:
    """The files that are pages, in their order, if all of them can be drawn."""
    found = (f"pattern-{job.paper}.pdf", "pattern-roll.pdf") if "pdf" in wanted else ()
    return (*found, "pattern.svg") if "svg" in wanted else found


def _names_of_data(nest: Nest) -> tuple[str, ...]:
    """The files of pattern data, in their order."""
    if len(nest.sizes) == 1:
        return ("pattern.dxf",)
    return "pattern.dxf", "pattern.rul", "pattern-nest.dxf", "grade-rules.csv"


def _made_beside(job: Job, nest: Nest, wanted: tuple[str, ...], shared: _Shared) -> dict[str, bytes] | None:
    """Pages and pattern data; None if a page cannot be drawn."""
    drawings = _Drawings()
    files = _drawn(job, nest, wanted, drawings, shared)
    if drawings.errors:
        return None
    return files | _pattern_data(job, nest) if "dxf" in wanted else files


class _Shared:
    """Figures and rolls, each made once, whatever number of files shows them."""

    def __init__(self, nest: Nest, layout: str) -> None:
        self.nest, self.layout = nest, layout
        self._figures: dict[tuple[str, ...], list[Figure]] = {}
        self._rolls: dict[object, Sheet] = {}

    def figures(self, sizes: tuple[str, ...]) -> list[Figure]:
        """The pieces in those sizes."""
        if sizes not in self._figures:
            self._figures[sizes] = _figures(self.nest.only(sizes), self.layout)
        return self._figures[sizes]

    def roll(self, title: str, figures: Sequence[Figure], width: float, *, edge: float) -> Sheet:
        """`roll_sheet` of figures that are kept here."""
        from .sheet.roll import roll_sheet

        key = tuple(map(id, figures)), width
        if key not in self._rolls:
            self._rolls[key] = roll_sheet(title, figures, width, edge=edge)
        return self._rolls[key]


@dataclass(frozen=True, slots=True)
class _Plotted:
    """The files for the device, what pattern.json tells of them, and what there is to say."""

    files: Mapping[str, bytes]
    drawn: tuple[Drawn, ...] = ()
    parts: tuple[PlotParts, ...] = ()
    notes: tuple[str, ...] = ()


def _plotted(job: Job, nest: Nest, wanted: tuple[str, ...], drawings: _Drawings, shared: _Shared) -> _Plotted:
    """Plots, CAD drawings and cutting SVG: pieces laid on the device's sheets, a file a sheet."""
    forms = [form for form in ("hpgl", "cad", "cuts") if form in wanted]
    if not forms:
        return _Plotted({})
    from .export.pattern_json import Drawn, PanelRow
    from .sheet.on_device import laid_on
    from .sheet.strokes import Role

    device = job.output.profile
    files: dict[str, bytes] = {}
    drawn: list[Drawn] = []
    parts: list[PlotParts] = []
    notes: list[str] = []
    left_out = tuple(role.value for role in Role if not device.pen(role.name.lower()))
    for form in forms:
        sizes = drawn_sizes(job, nest, form)
        layout = job.output.layout if len(sizes) > 1 else "apart"
        lay = partial(laid_on, device, nest.base_pattern.title, shared.figures(sizes), shared.roll)
        laid = drawings(_name_of(form, 0), lay) or ()
        several = len(laid) > 1
        known = {piece.name for piece in nest.base_pattern.pieces}
        for number, one in enumerate(laid, start=1):
            name = _name_of(form, number if several else 0)
            files[name], of_plot = _sent_file(form, one.sheet, device)
            if of_plot is not None:
                parts.append(_plot_words(name, of_plot, device))
                notes.append(_way_of_pen(name, of_plot))
            rows = tuple(
                PanelRow(p.whole, p.size or sizes[0], p.part, p.of, (p.box.left, p.box.bottom, p.box.right, p.box.top))
                for p in one.panels
            )
            whole = tuple(
                (f.name, size)
                for f in one.sheet.figures
                if f.name in known
                for size in (f.sizes() or (f.size or sizes[0],))
            )
            split = several or bool(rows)
            row = Drawn(
                name,
                sizes,
                layout,
                layout == "apart" and form != "cuts",
                whole if split else None,
                rows,
                one.small_block,
                _sent_words(form, device),
                left_out,
            )
            if len(nest.sizes) > 1 or split or left_out or not (row.sent is None or row.sent.plain):
                drawn.append(row)
        if several:
            notes.append(
                f"{len(laid)} sheets for {device.name}: {', '.join(_name_of(form, n + 1) for n in range(len(laid)))}."
            )
        split_pieces = list(dict.fromkeys(panel.whole for one in laid for panel in one.panels))
        if split_pieces:
            notes.append(
                f"too large for {device.name}, so in parts that are joined again along marked lines: "
                f"{', '.join(split_pieces)}."
            )
    if not device.correction.identity:
        notes.append(f"corrected for {device.name}: {device.correction.words()}.")
    return _Plotted(files, tuple(drawn), tuple(parts), tuple(dict.fromkeys(notes)))


def _name_of(form: str, number: int) -> str:
    middle = {"hpgl": "", "cad": "-cad", "cuts": "-cuts"}[form] + (f"-{number}" if number else "")
    return f"pattern{middle}.{ {'hpgl': 'plt', 'cad': 'dxf', 'cuts': 'svg'}[form] }"


def _sent_file(form: str, sheet: Sheet, device: DeviceProfile) -> tuple[bytes, Plot | None]:
    if form == "hpgl":
        from .export import hpgl

        plot = hpgl.plot(sheet, device)
        return plot.data, plot
    if form == "cad":
        from .export import cad

        return cad.render(sheet, device), None
    from .export import cuts_svg

    return cuts_svg.render(sheet, device), None


def _sent_words(form: str, device: DeviceProfile) -> Sent:
    from .export.pattern_json import Sent

    correction = None if device.correction.identity else device.correction.matrix
    kerf = device.laser.kerf if device.laser is not None else 0.0
    if form != "hpgl":
        return Sent(device.name, correction=correction, kerf=kerf)
    blade = device.blade
    knife = None
    if blade is not None:
        knife = (blade.offset, device.pen("cut"), blade.tab_width if blade.tabs else 0.0)
    return Sent(device.name, device.unit, device.axis, device.frame, correction, knife, kerf)


def _plot_words(name: str, plot: Plot, device: DeviceProfile) -> PlotParts:
    from .device.profile import usable_length, usable_width
    from .export.pattern_json import PlotPart, PlotParts

    room = usable_length(device), usable_width(device)
    parts = tuple(PlotPart(part.name, part.pen, part.lines, part.drawn) for part in plot.parts)
    where = device.origin, plot.page, room, device.least, device.most
    return PlotParts(name, device.name, device.unit, device.axis, *where, parts)


def _way_of_pen(name: str, plot: Plot) -> str:
    """`pattern.plt: 31.2 m drawn, 8.4 m with the pen up (24.1 m in the order of the pieces)`."""
    return (
        f"{name}: {plot.drawn / 1000:.1f} m drawn, {plot.travel / 1000:.1f} m with the pen up "
        f"({plot.travel_as_given / 1000:.1f} m if drawn in the order of the sheet)."
    )


def _report(
    job: Job, nest: Nest, findings: tuple[Finding, ...], cautions: tuple[str, ...], others: tuple[str, ...]
) -> bytes:
    files = (*others, "report.html")
    if len(nest.sizes) == 1:
        from .export import report

        return report.render(nest.base_pattern, findings, size_words=_size_words(job), files=files, cautions=cautions)
    from .export.report_set import render_set

    chart = job.sizes.chart if job.sizes is not None else None
    if chart is None:
        return render_set(nest, findings, files=files, cautions=cautions)
    beyond = tuple(size for size in chart.extrapolated if size in nest.sizes)
    return render_set(
        nest,
        findings,
        files=files,
        cautions=cautions,
        chart_title=chart.title,
        chart_source=chart.source,
        extrapolated=beyond,
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


def _drawn(job: Job, nest: Nest, wanted: tuple[str, ...], drawings: _Drawings, shared: _Shared) -> dict[str, bytes]:
    """The files that are pages: pieces and scale block laid on a roll, and on tiles.

    `pattern-roll.pdf` has several pages where one would be too long: of sizes drawn each by itself a page a size, else
    as the job says.
    """
    from .sheet.on_device import EDGE
    from .sheet.roll import roll_sheets

    width, margin = _roll(job.output.profile)
    printer = job.output.printer
    wide = printer if printer is not None and printer.length is None else None
    if wide is not None:
        width /= max(1.0, abs(wide.correction.xx) + abs(wide.correction.xy))
    title = nest.base_pattern.title

    def roll_of(form: str, width: float) -> Sheet:
        figures = shared.figures(drawn_sizes(job, nest, form))
        widest = max(min(box.width, box.height) for box in (figure.bounds() for figure in figures)) + 2 * EDGE
        if form == "svg":
            width = max(width, widest)  # it has no paper
        elif widest > width + 1e-6:
            raise DraftError(f"{_too_wide(figures, width - 2 * EDGE, job.unit)}{_wider(widest)}")
        return shared.roll(title, figures, width, edge=EDGE)

    files: dict[str, bytes] = {}
    if "pdf" in wanted:
        from .export import pdf

        sizes = drawn_sizes(job, nest, "pdf")
        figures = shared.figures(sizes)
        roll = drawings("pattern-roll.pdf", partial(roll_of, "pdf", width))
        name = f"pattern-{job.paper}.pdf"
        tiles = drawings(name, partial(_tiles, job, title, figures))
        files |= {name: tiles} if tiles is not None else {}
        if roll is not None:
            whole: tuple[Sheet, ...] = (roll,)
            split = job.output.roll == "split"
            if split and roll.height + 2 * margin > pdf.LONGEST:
                apart = job.output.layout == "apart" and len(sizes) > 1
                parts = [[f for f in figures if f.size == size] for size in sizes] if apart else [figures]
                longest = pdf.SPLIT - 2 * margin
                whole = tuple(sheet for own in parts for sheet in roll_sheets(title, own, width, longest, edge=EDGE))
            files["pattern-roll.pdf"] = pdf.render_roll(
                *whole, margin=margin, one_page=not split, matrix=_matrix(wide), said=_said(wide)
            )
    if "svg" in wanted:
        from .export import svg

        files["pattern.svg"] = svg.render(roll_of("svg", width))
    return files


def _too_wide(figures: Sequence[Figure], room: float, unit: Unit) -> str:
    """`front is 1.29 m wide and 3 m long, and the roll takes 90 cm` in the maker's unit, of the widest."""
    figure = max(figures, key=lambda f: min(f.bounds().width, f.bounds().height))
    wide, long, across = (show(mm, unit) for mm in (figure.bounds().width, figure.bounds().height, room))
    return f"{figure.label} is {wide} wide and {long} long, and the roll takes {across} across: too wide both ways."


def _wider(width: float) -> str:
    """The narrowest roll among the devices that ship which can be drawn on so wide, and how to ask for it."""
    from .device.profile import PLOTTED, usable_width
    from .device.store import find_device, shipped_names

    known = [find_device(name) for name in shipped_names()]
    rolls = [d for d in known if d.length is None and not d.cuts and d.language in PLOTTED and usable_width(d) >= width]
    best = min(rolls, key=usable_width, default=None)
    return f' Write device = "{best.name}" below [output] for a wider one.' if best is not None else ""


def _matrix(device: DeviceProfile | None) -> tuple[float, float, float, float] | None:
    return None if device is None or device.correction.identity else device.correction.matrix


def _said(device: DeviceProfile | None) -> str:
    """What a corrected page says of itself."""
    if device is None or device.correction.identity:
        return ""
    return f"corrected for {device.name}: {device.correction.words()}"


def _roll(device: DeviceProfile) -> tuple[float, float]:
    """Usable width of the roll that pages are laid for, and its margin, mm: the device's, or of a roll of 914 mm where
    the device has sheets or is narrow."""
    from .device.profile import usable_width

    if device.length is None and not device.cuts:
        width = usable_width(device)
        return width, (device.width - width) / 2
    return 904.0, 5.0


def _told_drawn(job: Job, nest: Nest) -> tuple[Drawn, ...]:
    """Of a size set, which sizes each file that `make` can write holds; and of pages, how they are corrected."""
    from .export.pattern_json import Drawn, Sent

    found = [
        Drawn("pattern.dxf", (nest.base,), "apart", True),
        Drawn("pattern-nest.dxf", nest.sizes, "nested", True),
    ]
    printer = job.output.printer
    corrected = None
    if printer is not None and not printer.correction.identity:
        corrected = Sent(printer.name, correction=printer.correction.matrix)
    wide = printer is not None and printer.length is None
    for form, name, sent in (
        ("pdf", f"pattern-{job.paper}.pdf", None if wide else corrected),
        ("pdf", "pattern-roll.pdf", corrected if wide else None),
        ("svg", "pattern.svg", None),
    ):
        sizes = drawn_sizes(job, nest, form)
        layout = job.output.layout if len(sizes) > 1 else "apart"
        found.append(Drawn(name, sizes, layout, layout == "apart", sent=sent))
    return tuple(row for row in found if len(nest.sizes) > 1 or row.sent is not None)


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
    from .export.tiles import OVERLAP, tile_pitch
    from .sheet.arrange import arrange_for_tiles, arrange_on_sheets
    from .sheet.paper import PAPERS

    paper = PAPERS[job.paper]
    overlap = 0.0 if job.output.tiles == "butt" else OVERLAP
    across, along = tile_pitch(paper, overlap)
    if paper.large:
        sheet = arrange_on_sheets(title, figures, across, along, inset=overlap / 2 + 1)
    else:
        sheet = arrange_for_tiles(title, figures, across, along)
    printer = job.output.printer if job.output.printer is not None and job.output.printer.length is not None else None
    return render_tiles(
        sheet,
        paper,
        overlap=overlap,
        date=job.date,
        cautions=CAUTIONS,
        matrix=_matrix(printer),
        said=_said(printer),
        unit=job.unit,
    )
