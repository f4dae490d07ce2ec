"""The line from a job to its files; the only module that imports all stages.

job -> draft -> allowances -> marks -> checks -> sheet -> files. No stage reaches back.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Final

from .checks.run import check_nest, standing_errors
from .draft.garment import find_garment
from .draft.options import LengthOption, near_words
from .errors import DraftError, InputError
from .finish.allowances import allow
from .finish.marks import mark
from .formats import ALWAYS, FORMATS, asked_for
from .geometry.polygon import Box
from .model.finding import CheckFailed, Finding
from .model.nest import Nest
from .model.pattern import Pattern
from .model.piece import title_of
from .progress import Told, silent
from .sheet.drawing import label_box
from .units import show
from .values import dataclass, replace
from .writing import Making, drawn_sizes, figures_of, written

if TYPE_CHECKING:
    from .body.measurements import Measurements
    from .draft.garment import Garment
    from .draft.options import Style
    from .job import Job, SizeSet
    from .model.draft import Draft
    from .model.fitted import Ask

PROJECTED: Final = 1500.0
"""Width of the sheet that is thrown on the table, mm: as wide as most cloth (common practice, no source)."""
HUGE: Final = 15_000.0
"""More, and a piece is no piece, mm: a stage curtain is cut in widths (common practice, no source)."""


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
        draft = _base_draft(job, job.fitting.asks)
        pattern = mark(
            allow(draft, job.allowances, job.corners),
            title=job.printed_title,
            size=job.size,
            size_words=job.size_words,
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


def _base_draft(job: Job, asks: Sequence[Ask]) -> Draft:
    """What was drawn elsewhere; else the garment drafted for the body, or for that of the base size; with what was
    pinned put into it."""
    if job.drawn is None:
        return _garment_draft(job, job.body, _style_of(job), asks)
    return _as_it_stands(job, job.drawn, asks)


def _garment_draft(job: Job, body: Measurements, style: Style, asks: Sequence[Ask]) -> Draft:
    """The job's garment drafted for a body, with what was pinned put into it."""
    if not asks:
        return _garment_of(job).drafted(body, style, job.unit)
    from .fitting.drafts import drafted

    return drafted(_garment_of(job), body, style, job.unit, asks)


def _as_it_stands(job: Job, draft: Draft, asks: Sequence[Ask]) -> Draft:
    """A draft that is there, with what was pinned put into its pieces."""
    if not asks:
        return draft
    from .fitting.drafts import fitted_draft

    return fitted_draft(draft, lambda _: draft, asks, job.unit, job.fitting.places)


def _style_of(job: Job) -> Style:
    """The style of the job; what it leaves open of how wide the cloth is, is as wide as the job's."""
    wide = job.cloth.of("shell").width
    if wide is None:
        return job.style
    found = dict(job.style)
    for option in _garment_of(job).options:
        if isinstance(option, LengthOption) and option.of_cloth and found.get(option.name) == option.usual(job.unit):
            found[option.name] = min(max(wide, option.least), option.most)
    return found


def _garment_of(job: Job) -> Garment:
    """One from outside, which the job holds itself, else one of ours."""
    return job.made_by or find_garment(job.garment)


def _drafts(job: Job, sizes: SizeSet, told: Told) -> dict[str, Draft]:
    """A draft of every size, or one of the base and the others graded from it by rules.

    What was pinned at a fitting goes into every size, by the same amount: into a drawn pattern when it has been graded,
    so that seams are made to fit in each; into a garment as it is drafted, and so into the base before it is graded by
    rules. Of one size alone it goes into that one, when all have been made.
    Raises DraftError that names each size which cannot be drafted; InputErrors for rules that do not fit the draft.
    """
    asks = job.fitting.of
    if sizes.drawn:
        return _each(sizes, lambda size: _as_it_stands(job, sizes.drawn[size], asks(size)))
    if sizes.rules is not None:
        from .grade.ruled import graded_by_rules

        told("grading by the rules", 0, 0)
        of_all = () if job.fitting.size or job.drawn is not None else job.fitting.asks
        base = _without_cut_lines(_base_draft(job, of_all))
        graded = graded_by_rules(base, sizes.base, sizes.rules, sizes.bodies if sizes.chart is not None else None)
        return _each(sizes, lambda size: _as_it_stands(job, graded[size], () if of_all else asks(size)))
    own, style = _style_of(job), _settled(job, sizes)

    def drafted(size: str) -> Draft:
        told(f"drafting size {size}", sizes.make.index(size) + 1, len(sizes.make))
        return _garment_draft(job, sizes.bodies[size], own if size == sizes.base else style, asks(size))

    return _each(sizes, drafted)


def _each(sizes: SizeSet, made: Callable[[str], Draft]) -> dict[str, Draft]:
    """The draft of every size; DraftError that names each which is refused."""
    drafts: dict[str, Draft] = {}
    refused: dict[str, list[str]] = {}
    for size in sizes.make:
        try:
            drafts[size] = made(size)
        except DraftError as error:
            refused.setdefault(str(error), []).append(size)
    if refused:
        lines = [f"size{'s' * (len(named) > 1)} {', '.join(named)}: {text}" for text, named in refused.items()]
        raise DraftError("\n".join(lines))
    return drafts


def _settled(job: Job, sizes: SizeSet) -> Style:
    """The style with what the draft of the base size chose where it was left open, so that all sizes are built alike:
    whether there is a vent hangs on a number. A base that cannot be drafted is told in its turn."""
    style = _style_of(job)
    try:
        base = _garment_of(job).drafted(sizes.bodies[sizes.base], style, job.unit)
    except DraftError:
        return style
    return {**style, **{name: value for name, value in base.worked.items() if isinstance(value, str)}}


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
    wanted = only or (*ALWAYS, *job.formats)
    if pieces:
        whole = [row.word for row in FORMATS if not row.of_pieces]
        for word in set(whole) & set(only):
            raise InputError(f"--only {word}: the {word} is of the whole pattern", instead="Leave --piece out")
        nest = nest.of_pieces(known_pieces(pieces, nest))
        wanted = tuple(word for word in wanted if word not in whole)
    making = Making(job, nest)
    files, notes = written(making, findings, asked_for(wanted), told)
    making.refuse(files, only=bool(only))
    cautions = job.output.profile.cautions if any(row.device for row in asked_for(wanted)) else ()
    return Result(nest, findings, files, notes, cautions, making.left_out(files))


def projection(job: Job, *, sizes: tuple[str, ...] = (), despite: tuple[str, ...] = (), told: Told = silent) -> Result:
    """The projection page as the only file, `projection.html`: the pieces side by side, `sizes` of them (else all).

    Raises CheckFailed as `make` does.
    """
    from .export.projection import render
    from .sheet.arrange import arrange
    from .sheet.on_device import EDGE

    job, nest, findings = checked(job, sizes, despite, told)
    told("writing the page", 0, 0)
    figures = figures_of(nest.only(drawn_sizes(job, nest, "")), job.output.layout)
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
