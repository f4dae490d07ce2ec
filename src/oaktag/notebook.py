"""What `import oaktag` hands to a notebook: a job or a garment as a pattern that shows itself, and all its files.

A job here is what it is on the command line: one that names a garment file is refused until its folder is trusted.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Literal

from .body.measurements import KINDS, Measurements, Wearer, kinds_of, lacking, measured, near_names, spoken
from .body.whom import said_wearer, wearer_of
from .draft.garment import Garment, Style
from .draft.options import unknown, validated
from .errors import InputError, InputErrors, Where
from .job import Job, load_job
from .model.pattern import Pattern
from .units import Unit


class Shown(Pattern):
    """A pattern that a notebook shows as a small picture."""

    __slots__ = ()

    def _repr_svg_(self) -> str:
        from .export.small_svg import render

        return render(self)


def pattern(job: str | Path | Job, *, size: str = "") -> Shown:
    """The pattern of a job, of its base size or of another; it is not checked: `make` does that.

    Raises what `oaktag make` tells: InputErrors, InputError, DraftError, GeometryError.
    """
    from .pipeline import known_sizes, nest_of

    nest = nest_of(job if isinstance(job, Job) else load_job(job))
    return _shown(nest.of(known_sizes((size,), nest.sizes)[0]) if size else nest.base_pattern)


def try_on(
    garment: Garment,
    body: Mapping[str, object],
    style: Mapping[str, object] | None = None,
    *,
    unit: Unit = "in",
) -> Shown:
    """The pattern of a garment for a body, both given as in a job: `try_on(GARMENT, {"waist_girth": "30 1/2"})`.

    InputErrors with every mistake in them; DraftError where that body cannot be dressed so.
    """
    from .pipeline import pattern_of

    measures, asked = judged(garment, body, style or {}, unit)
    title = garment.name.replace("-", " ")
    return _shown(pattern_of(Job(Path(), title, garment.name, unit, measures, asked, {}, made_by=garment)))


def make(job: str | Path | Job, folder: str | Path = "", *, despite: tuple[str, ...] = ()) -> tuple[Path, ...]:
    """Every file of a job, written as `oaktag make` writes them; CheckFailed, with its findings, where a check fails.

    `folder` is the job's name and -pattern, where none is given. It is not written over by another job.
    """
    from .laying import make_with_lay
    from .origin import origin_of, refuse_another, write_made

    asked = job if isinstance(job, Job) else load_job(job)
    origin = origin_of(asked.path, made_by=asked.made_by)
    place = Path(folder) if folder else Path(f"{asked.path.stem}-pattern")
    stale = refuse_another(place, origin, asked.printed_title, replace=False)
    return write_made(place, make_with_lay(asked, despite=despite).files, origin, stale=stale)


def judged(
    garment: Garment, body: Mapping[str, object], style: Mapping[str, object], unit: Unit
) -> tuple[Measurements, Style]:
    """Both in mm, as a job would have them; InputErrors with every mistake."""
    errors: list[InputError] = []
    values: dict[str, float] = {}
    said: Wearer | Literal[""] = ""
    if "wearer" in body:
        try:
            said = said_wearer(body["wearer"], Where("wearer"))
        except InputError as error:
            errors.append(error)
    kinds = kinds_of(wearer_of(garment.for_whom, said))
    for name, value in body.items():
        try:
            if name == "wearer":
                continue
            if name not in KINDS:
                raise unknown(
                    f"{spoken(name)} is not a measurement", name, near_names(name) or tuple(KINDS), Where(name)
                )
            values[name] = measured(kinds[name], value, unit, Where(name))
        except InputError as error:
            errors.append(error)
    asked, wrong = validated(garment.options, style, unit, Where, garment.wishes)
    errors += wrong
    missing = lacking(garment.needs_for(asked, said), garment.instead, body, kinds)
    if missing:
        names = ", ".join(" or ".join(kind.name for kind in kinds) for kinds in missing)
        errors.append(InputError(f"a {garment.name} needs {names} as well"))
    if errors:
        raise InputErrors(errors)
    return Measurements(values, wearer=said), asked


def _shown(found: Pattern) -> Shown:
    return Shown(found.title, found.size, found.unit, found.draft, found.pieces, found.date)
