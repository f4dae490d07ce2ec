"""`oaktag finish`."""

from __future__ import annotations

import dataclasses
import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ..errors import InputError, Where
from ..formats import words_of
from ..model.finding import CheckFailed
from ..units import UNITS
from .kinds import Number, Place, spelt

if TYPE_CHECKING:
    from ..intake.plan import OutlineIs, Reading
    from ..intake.propose import Proposal
    from ..intake.take_in import TakenIn
    from ..job import Job
    from ..model.draft import Draft
    from ..origin import Origin


@click.command("finish")
@click.argument("drawing", type=click.Path(path_type=Path))
@click.option("--plan", type=click.Path(path_type=Path), help="what its pieces and edges are  [a first plan is taken]")
@click.option("--propose", type=Place("skirt.toml"), help="write a first plan, and a numbered picture beside it")
@click.option("-o", "--output", "folder", type=Place(), help="folder to write to  [DRAWING + -finished]")
@click.option("--replace", is_flag=True, help="write over the pattern of another job that lies there")
@click.option("--piece", "pieces", multiple=True, help="only this piece, into a folder of its own; may be repeated")
@click.option("--unit", type=click.Choice(UNITS), help="of the drawing's numbers, where it does not say")
@click.option("--scale", type=Number(0.000_001, 1_000_000), help="mm a unit of the drawing, where it does not say")
@click.option("--known", metavar="ID=LENGTH", help='a line of known length: "scale bar=100mm"')
@click.option("--corner-angle", type=Number(1, 120), help="a sharper turn parts two edges, degrees  [25]")
@click.option("--gap", type=Number(0, 5), help="gaps up to this are closed, mm  [0.5]")
@click.option(
    "--outline",
    type=click.Choice(("cut line", "stitch line")),
    help="what the outlines are, where the drawing does not say it",
)
@click.option("--trace-allowance", is_flag=True, help='the same as --outline "cut line"')
@click.option("--rules", type=click.Path(path_type=Path), help="grade rule table (.rul)  [the one beside it]")
@click.option("--only", multiple=True, type=click.Choice(words_of()), help="write only this; may be repeated")
@click.option("--size", "sizes", multiple=True, help="draw only this size; may be repeated")
@click.option("--despite", multiple=True, metavar="ID", help="write although this check fails; may be repeated")
@click.option("--json", "as_json", is_flag=True, help="print the answer as JSON")
def command(
    drawing: Path,
    plan: Path | None,
    propose: Path | None,
    folder: Path | None,
    replace: bool,
    pieces: tuple[str, ...],
    unit: str | None,
    scale: float | None,
    known: str | None,
    corner_angle: float | None,
    gap: float | None,
    outline: OutlineIs | None,
    trace_allowance: bool,
    rules: Path | None,
    only: tuple[str, ...],
    sizes: tuple[str, ...],
    despite: tuple[str, ...],
    as_json: bool,
) -> None:
    """Finish a pattern that was drawn elsewhere: SVG, pattern-data DXF, CAD DXF.

    The plan says what its outlines, edges and lines are; it is a job file as well, so `make`, `check`, `lay` and
    `project` take it too.

    \b
    Example:
      oaktag finish skirt.svg --propose skirt.toml     then give names in skirt.toml
      oaktag finish skirt.svg --plan skirt.toml -o skirt
      oaktag finish old.dxf --unit cm -o old
      oaktag finish pocket.dxf --outline "cut line" --rules pocket.rul
    """
    from ..export.files import write_all
    from ..job import load_job
    from ..laying import make_with_lay
    from ..origin import origin_of, refuse_another, write_made
    from ..pipeline import spelt_pieces
    from ..progress import Progress
    from .make import folder_for, report_failed, report_made

    if trace_allowance and outline == "stitch line":
        raise InputError('--trace-allowance and --outline "stitch line" say two things', instead="Give --outline alone")
    said: OutlineIs = "cut line" if trace_allowance else outline or ""
    for path in (drawing, rules, propose):
        if path is not None and not spelt(str(path)):
            raise InputError(f"{str(path)!r} is not spelt in UTF-8", expected="a name that a plan can hold",
                             instead="Give the file another name")  # fmt: skip
    reading = _reading(unit, scale, known, corner_angle, gap, said)
    if propose is not None:
        with Progress() as told:
            told("reading the drawing")
            found, _ = _proposal(drawing, reading, propose, rules)
        files = {propose.name: found.plan.encode()}
        files |= {_picture_of(propose, page): text.encode() for page, text in enumerate(found.pictures, start=1)}
        if drawing.resolve() in {(propose.parent / name).resolve() for name in files}:
            raise InputError(f"--propose {propose}: it would be written over the drawing", expected="another name")
        written = write_all(propose.parent, files)
        click.echo(json.dumps({"written": [str(p) for p in written]}) if as_json else _wrote(written))
        return
    if plan is None:
        import tempfile

        with Progress() as told, tempfile.TemporaryDirectory() as place:
            told("reading the drawing")
            first = Path(place).resolve() / drawing.with_suffix(".toml").name
            found, taken = _proposal(drawing, reading, first, rules)
            first.write_text(found.plan, encoding="utf-8")
            job = load_job(first, drawing=taken)
            origin = _at_home(origin_of(first, drawing=drawing), drawing, first.parent)
        job = _with_note(dataclasses.replace(job, path=drawing), found.seams)
    else:
        if reading != _reading(None, None, None, None, None, ""):
            raise InputError(
                "the plan says how the drawing is read", where=Where(str(plan)), expected="no --unit, --scale, …",
                instead="Write it below [reading] in the plan",
            )  # fmt: skip
        if rules is not None:
            raise InputError(
                "the plan says which rules there are", where=Where(str(plan)), expected="no --rules",
                instead=f'Write rules = "{rules}" below [sizes] in the plan',
            )  # fmt: skip
        with Progress() as told:
            told("reading the drawing")
            job = load_job(plan, drawing=drawing)
        origin = origin_of(plan, drawing=drawing)
    place_ = folder if folder is not None else folder_for(drawing.stem, "finished", pieces)
    stale = refuse_another(place_, origin, job.printed_title, replace=replace, pieces=spelt_pieces(pieces))
    try:
        with Progress() as told:
            result = make_with_lay(job, only=only, sizes=sizes, pieces=pieces, despite=despite, told=told)
    except CheckFailed as failed:
        report_failed(failed, as_json=as_json, unit=job.unit)
        raise
    written = write_made(place_, result.files, origin, stale=stale)
    report_made(job, result, written, as_json=as_json)


def _with_note(job: Job, seams: int) -> Job:
    """That the first plan has guessed seams, which are not walked."""
    if not seams:
        return job
    words = f"No seam is walked: {seams} may be meant. --propose PLAN writes them down, for you to say which."

    def told(draft: Draft) -> Draft:
        return dataclasses.replace(draft, notes=(*draft.notes, words))

    sizes = job.sizes
    if sizes is not None:
        sizes = dataclasses.replace(sizes, drawn={size: told(draft) for size, draft in sizes.drawn.items()})
    return dataclasses.replace(job, drawn=told(job.drawn) if job.drawn is not None else None, sizes=sizes)


def _wrote(written: list[Path] | tuple[Path, ...]) -> str:
    return "\n".join(f"wrote {path}" for path in written)


def _reading(
    unit: str | None,
    scale: float | None,
    known: str | None,
    corner_angle: float | None,
    gap: float | None,
    outline: OutlineIs,
) -> Reading:
    from ..intake.plan import Reading, known_of

    usual = Reading()
    return Reading(
        unit,
        scale,
        None if known is None else known_of(known, "mm", Where("--known")),
        usual.corner_angle if corner_angle is None else corner_angle,
        usual.gap if gap is None else gap,
        usual.fit,
        outline,
    )


def _proposal(drawing: Path, reading: Reading, plan: Path, rules: Path | None) -> tuple[Proposal, TakenIn]:
    import os

    from ..intake.plan import Plan
    from ..intake.propose import proposed
    from ..intake.take_in import beside, outlines_in, taken_in

    taken = taken_in(drawing, Plan(reading))
    read, outlines = outlines_in(taken, Plan(reading), rules)

    def seen(path: Path) -> str:
        return Path(os.path.relpath(path.resolve(), plan.resolve().parent)).as_posix()

    style = read.pattern.style.name if read.pattern is not None else ""
    title = style[:120] or drawing.stem.replace("_", " ").replace("-", " ")
    table = rules or (beside(drawing) if len(outlines.sizes) > 1 else None)
    found = proposed(
        read, outlines, reading, title=title, file=seen(drawing), unit="cm", picture=_picture_of(plan),
        rules=seen(table) if table is not None else "",
    )  # fmt: skip
    return found, taken


def _at_home(origin: Origin, drawing: Path, place: Path) -> Origin:
    """What is kept of a plan that was written for this run alone: it tells of the drawing as lying beside it."""
    import os

    away = Path(os.path.relpath(drawing.resolve().parent, place.resolve())).as_posix() + "/"
    plan = origin.copies[origin.file].replace(away.encode(), b"")
    return dataclasses.replace(origin, copies={**origin.copies, origin.file: plan})


def _picture_of(plan: Path, page: int = 1) -> str:
    return f"{plan.stem}-numbers.svg" if page == 1 else f"{plan.stem}-numbers-{page}.svg"
