"""`oaktag finish`."""

from __future__ import annotations

import dataclasses
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ..errors import InputError, Where
from ..progress import Progress
from ..units import UNITS
from ..values import dataclass
from .kinds import Number, Place, spelt
from .options import Narrowed, Target, as_json, narrowed, target, together

if TYPE_CHECKING:
    from ..intake.plan import OutlineIs, Reading
    from ..intake.propose import Proposal
    from ..intake.take_in import TakenIn
    from ..job import Job
    from ..model.draft import Draft
    from ..origin import Origin


@dataclass(frozen=True, slots=True)
class Said:
    """How the drawing is read, where it does not say that itself."""

    unit: str | None = None
    scale: float | None = None
    known: str | None = None
    corner_angle: float | None = None
    gap: float | None = None
    outline: OutlineIs | None = None
    trace_allowance: bool = False

    def reading(self) -> Reading:
        """InputError for what says two things."""
        from ..intake.plan import Reading, known_of

        if self.trace_allowance and self.outline == "stitch line":
            found = '--trace-allowance and --outline "stitch line" say two things'
            raise InputError(found, instead="Give --outline alone")
        told: dict[str, Any] = {"corner_angle": self.corner_angle, "gap": self.gap}
        return Reading(
            self.unit,
            self.scale,
            None if self.known is None else known_of(self.known, "mm", Where("--known")),
            outline="cut line" if self.trace_allowance else self.outline or "",
            **{name: value for name, value in told.items() if value is not None},
        )


@click.command("finish")
@click.argument("drawing", type=click.Path(path_type=Path))
@click.option("--plan", type=click.Path(path_type=Path), help="what its pieces and edges are  [a first plan is taken]")
@click.option("--propose", type=Place("skirt.toml"), help="write a first plan, and a numbered picture beside it")
@target("DRAWING + -finished")
@narrowed("draw only this size")
@together(
    "said", Said,
    click.option("--unit", type=click.Choice(UNITS), help="of the drawing's numbers, where it does not say"),
    click.option("--scale", type=Number(0.000_001, 1_000_000), help="mm a unit of the drawing, where it does not say"),
    click.option("--known", metavar="ID=LENGTH", help='a line of known length: "scale bar=100mm"'),
    click.option("--corner-angle", type=Number(1, 120), help="a sharper turn parts two edges, degrees  [25]"),
    click.option("--gap", type=Number(0, 5), help="gaps up to this are closed, mm  [0.5]"),
    click.option(
        "--outline",
        type=click.Choice(("cut line", "stitch line")),
        help="what the outlines are, where the drawing does not say it",
    ),
    click.option("--trace-allowance", is_flag=True, help='the same as --outline "cut line"'),
)  # fmt: skip
@click.option("--rules", type=click.Path(path_type=Path), help="grade rule table (.rul)  [the one beside it]")
@as_json()
def command(
    drawing: Path, plan: Path | None, propose: Path | None, target: Target, narrowed: Narrowed, said: Said,
    rules: Path | None, as_json: bool,
) -> None:  # fmt: skip
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
    for path in (drawing, rules, propose):
        if path is not None and not spelt(str(path)):
            raise InputError(f"{str(path)!r} is not spelt in UTF-8", expected="a name that a plan can hold",
                             instead="Give the file another name")  # fmt: skip
    if propose is not None:
        _propose(drawing, said.reading(), propose, rules, as_json=as_json)
        return
    from .make import write_pattern

    with Progress() as told:
        told("reading the drawing")
        job, origin = _guessed(drawing, said.reading(), rules) if plan is None else _planned(drawing, plan, said, rules)
    write_pattern(job, origin, f"{drawing.stem}-finished", target, narrowed, as_json=as_json)


def _propose(drawing: Path, reading: Reading, plan: Path, rules: Path | None, *, as_json: bool) -> None:
    """Writes a first plan and its pictures."""
    from ..export.files import write_all

    with Progress() as told:
        told("reading the drawing")
        found, _ = _proposal(drawing, reading, plan, rules)
    files = {plan.name: found.plan.encode()}
    files |= {_picture_of(plan, page): text.encode() for page, text in enumerate(found.pictures, start=1)}
    if drawing.resolve() in {(plan.parent / name).resolve() for name in files}:
        raise InputError(f"--propose {plan}: it would be written over the drawing", expected="another name")
    written = write_all(plan.parent, files)
    lines = "\n".join(f"wrote {path}" for path in written)
    click.echo(json.dumps({"written": [str(p) for p in written]}) if as_json else lines)


def _guessed(drawing: Path, reading: Reading, rules: Path | None) -> tuple[Job, Origin]:
    """The job of a first plan, and what is kept of it."""
    import tempfile

    from ..job import load_job
    from ..origin import origin_of

    with tempfile.TemporaryDirectory() as place:
        first = Path(place).resolve() / drawing.with_suffix(".toml").name
        found, taken = _proposal(drawing, reading, first, rules)
        first.write_text(found.plan, encoding="utf-8")
        job = load_job(first, drawing=taken)
        origin = _at_home(origin_of(first, drawing=drawing), drawing, first.parent)
    return _with_note(dataclasses.replace(job, path=drawing), found.seams), origin


def _planned(drawing: Path, plan: Path, said: Said, rules: Path | None) -> tuple[Job, Origin]:
    """The job that the plan is, and what is kept of it."""
    from ..job import load_job
    from ..origin import origin_of

    if said.reading() != Said().reading():
        raise InputError(
            "the plan says how the drawing is read", where=Where(str(plan)), expected="no --unit, --scale, …",
            instead="Write it below [reading] in the plan",
        )  # fmt: skip
    if rules is not None:
        raise InputError(
            "the plan says which rules there are", where=Where(str(plan)), expected="no --rules",
            instead=f'Write rules = "{rules}" below [sizes] in the plan',
        )  # fmt: skip
    return load_job(plan, drawing=drawing), origin_of(plan, drawing=drawing)


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
