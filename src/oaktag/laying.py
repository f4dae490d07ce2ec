"""The line from a job to its lays and their files: as pipeline.py, one stage further.

job -> pattern in its sizes -> checks -> pieces by cloth -> lays, judged -> sheets -> files.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from .errors import InputError
from .lay.words import Asked
from .model.finding import Finding
from .model.nest import Nest
from .pipeline import Result, checked, make
from .progress import Told as Progressed
from .progress import silent

if TYPE_CHECKING:
    from .job import Job
    from .lay.file import Kept
    from .lay.pieces import LayPiece
    from .lay.placed import Lay
    from .lay.plan import Plan
    from .sheet.strokes import Sheet

FORMS: Final = ("pdf", "svg", "hpgl", "cad", "cuts", "project")
"""What a lay can be written as at full size; lay.json, the page and the small pages are always written."""
Told = Callable[[str, float, "Lay"], None]


@dataclass(frozen=True, slots=True)
class Laid:
    """The lays of a job, with the pattern that they were made of."""

    nest: Nest
    findings: tuple[Finding, ...]
    kept: Kept


def lay_job(
    job: Job,
    asked: Asked,
    quantities: Mapping[str, int] | None,
    *,
    matches: Mapping[str, str] | None = None,
    materials: tuple[str, ...] = (),
    seconds: float = 20.0,
    seed: int = 1,
    workers: int | None = None,
    despite: tuple[str, ...] = (),
    told: Told | None = None,
) -> Laid:
    """A lay for each kind of cloth, `seconds` for each. What the job says of cloth holds where `asked` says nothing.

    Without `quantities` those of the job, else one garment of each size. Raises CheckFailed as `make` does, InputError
    for cloth that is too narrow and for sizes, materials, seams and notches that there are none of.
    """
    from .lay.file import Kept
    from .lay.pieces import pieces_for
    from .lay.search import STOPPED, lay_of

    job, nest, findings = checked(job, (), despite)
    wanted = _order(job, nest, quantities)
    chosen = dict(matches if matches is not None else job.cloth.matches)
    lays = []
    for material in _materials(nest, materials):
        cloth = asked.over(job.cloth.of(material)).cloth()
        if matches and not cloth.matched:
            raise InputError(
                "--match says where a seam is matched, and the cloth has no repeat", expected="--repeat with it",
                instead="Write --repeat 6cm",
            )  # fmt: skip
        pieces = pieces_for(nest, material, cloth, wanted, chosen)
        heard = None if told is None else _for(told, material)
        lays.append(lay_of(material, pieces, cloth, seconds, seed=seed, workers=workers, told=heard))
        if lays[-1].how.startswith(STOPPED):
            seconds = 0.0  # the others are placed in order
    return Laid(nest, findings, Kept(wanted, tuple(lays), chosen))


def _order(job: Job, nest: Nest, quantities: Mapping[str, int] | None) -> dict[str, int]:
    """Garments of each size: those asked for, else the job's, else one of each; "" names the only size of one body."""
    order = dict(quantities or job.cloth.quantities or dict.fromkeys(nest.sizes, 1))
    if len(nest.sizes) == 1 and set(order) == {""}:
        return {nest.sizes[0]: order[""]}
    return order


def _materials(nest: Nest, asked: tuple[str, ...]) -> tuple[str, ...]:
    """The kinds of cloth asked for, else all; InputError for one from which nothing is cut."""
    from .lay.pieces import materials_of

    known = materials_of(nest)
    for name in asked:
        if name not in known:
            raise InputError(f"--material {name}: nothing is cut from it", expected=f"one of {', '.join(known)}")
    return asked or known


def _for(told: Told, material: str) -> Callable[[float, Lay], None]:
    return lambda seconds, lay: told(material, seconds, lay)


def judged_lay(job: Job, path: Path, *, despite: tuple[str, ...] = ()) -> Laid:
    """A lay that was kept, on the pattern of the job; InputError if it was made of another, or does not hold."""
    from .lay.file import read

    job, nest, findings = checked(job, (), despite)
    return Laid(nest, findings, read(path, nest))


def make_with_lay(
    job: Job,
    *,
    only: tuple[str, ...] = (),
    sizes: tuple[str, ...] = (),
    pieces: tuple[str, ...] = (),
    despite: tuple[str, ...] = (),
    told: Progressed = silent,
) -> Result:
    """What `pipeline.make` gives and, where the job names a lay, its files: in the formats that are asked for.

    With `pieces` there is no lay. A format that cannot hold it (a plotter narrower than the cloth lies) is told in the
    notes, and left out.
    """
    result = make(job, only=only, sizes=sizes, pieces=pieces, despite=despite, told=told)
    if job.output.lay is None or pieces:
        return result
    from .lay.file import read

    told("writing the lay", 0, 0)
    kept = read(job.output.lay, result.nest)
    sheets = sheets_of(kept, result.nest)
    forms = [form for form in FORMS if form in (only or job.formats)]
    too_large = {form: error for form in forms if (error := _too_large(job, form, sheets)) is not None}
    notes = [f"the lay is not written as {form}: {error}" for form, error in too_large.items()]
    written = tuple(form for form in forms if form not in too_large)
    files = {**result.files, **lay_files(job, result.nest, kept, written, sheets)}
    return replace(result, files=files, notes=(*result.notes, *notes))


def lay_projection(job: Job, path: Path, *, material: str = "", despite: tuple[str, ...] = ()) -> Result:
    """The projection page of a kept lay as the only file: of the material named, else of the first."""
    from .export.projection import render

    laid = judged_lay(job, path, despite=despite)
    lays = {lay.material: lay for lay in laid.kept.lays}
    if material and material not in lays:
        raise InputError(f"--material {material}: the lay has none of it", expected=f"one of {', '.join(lays)}")
    sheets = sheets_of(laid.kept, laid.nest)
    page = render(sheets[list(lays).index(material) if material else 0], job.unit, start="lay")
    return Result(laid.nest, laid.findings, {"projection.html": page})


def lay_files(
    job: Job, nest: Nest, kept: Kept, forms: tuple[str, ...], sheets: tuple[Sheet, ...] = ()
) -> dict[str, bytes]:
    """lay.json, lay.html, lay-small.pdf and, for each form that is asked for, a file for each kind of cloth.

    `sheets` are those of `sheets_of`, where they are made already.

    Raises InputError where the device is narrower than the lay.
    """
    from .export import lay_page, lay_small
    from .lay import file

    title = nest.base_pattern.title
    device = job.output.profile
    plain = device.correction.identity and not device.cuts
    files = {"lay.json": file.render(kept, title, plain=plain)}
    files["lay-small.pdf"] = lay_small.render(kept.lays, title, job.unit)
    sheets = sheets or (sheets_of(kept, nest) if forms else ())
    for form in forms:
        error = _too_large(job, form, sheets)
        if error is not None:
            raise error
        for lay, sheet in zip(kept.lays, sheets, strict=True):
            name = f"lay-{lay.material}" if len(kept.lays) > 1 else "lay"
            files |= _form(job, form, name, sheet)
    files["lay.html"] = lay_page.render(nest, kept, job.unit, (*files, "lay.html"))
    return files


def sheets_of(kept: Kept, nest: Nest) -> tuple[Sheet, ...]:
    """Each lay at full size, the scale block beyond its end."""
    from .lay.sheet import lay_sheet

    return tuple(lay_sheet(lay, nest, f"{nest.base_pattern.title}, lay of {lay.material}") for lay in kept.lays)


def _too_large(job: Job, form: str, sheets: tuple[Sheet, ...]) -> InputError | None:
    """What there is to say where the job's device cannot hold a sheet."""
    if form not in ("hpgl", "cad", "cuts"):
        return None
    from .device.profile import usable_length, usable_width

    device = job.output.profile
    wide, long = usable_width(device), usable_length(device)
    for sheet in sheets:
        left, bottom, right, top = device.correction.bounds(sheet.width, sheet.height)
        if right - left > wide + 1e-6 or top - bottom > long + 1e-6:
            return InputError(
                f"with its scale block the lay is {(right - left) / 10:.1f} cm wide and {(top - bottom) / 10:.1f} cm "
                f"long, and {device.name} takes {wide / 10:.1f} by {long / 10:.1f} cm",
                expected="a device as wide as the cloth lies",
                instead='Fold the cloth, name a wider device, or take "pdf" for a copy shop',
            )
    return None


def _form(job: Job, form: str, name: str, sheet: Sheet) -> dict[str, bytes]:
    device = job.output.profile
    if form == "pdf":
        from .export import pdf

        return {f"{name}-roll.pdf": pdf.render_roll(sheet, margin=5.0, one_page=job.output.roll == "one-page")}
    if form == "svg":
        from .export import svg

        return {f"{name}.svg": svg.render(sheet)}
    if form == "project":
        from .export.projection import render

        return {f"{name}-projection.html": render(sheet, job.unit, start="lay")}
    if form == "hpgl":
        from .export import hpgl

        return {f"{name}.plt": hpgl.plot(sheet, device).data}
    if form == "cad":
        from .export import cad

        return {f"{name}-cad.dxf": cad.render(sheet, device)}
    from .export import cuts_svg

    return {f"{name}-cuts.svg": cuts_svg.render(sheet, device)}


def plan_job(
    job: Job,
    asked: Asked,
    quantities: Mapping[str, int] | None,
    *,
    table: float,
    plies: int,
    materials: tuple[str, ...] = (),
    despite: tuple[str, ...] = (),
    seconds: float = 3.0,
    told: Progressed = silent,
) -> dict[str, tuple[Plan, ...]]:
    """For each kind of cloth the order split over lays that the table holds, for each number of lays (see lay.plan).

    The length of a lay is told by the pieces' area, at the use of the cloth that a short search reaches with one
    garment of each size, and by the longest piece.
    """
    from .lay.pieces import pieces_for
    from .lay.plan import plans
    from .lay.search import lay_of

    job, nest, _ = checked(job, (), despite, told)
    order = _order(job, nest, quantities)
    found: dict[str, tuple[Plan, ...]] = {}
    known = _materials(nest, materials)
    for k, material in enumerate(known, start=1):
        told(f"{material}: a short search, then the order split over lays", k, len(known))
        cloth = asked.over(job.cloth.of(material)).cloth()
        sample = pieces_for(nest, material, cloth, dict.fromkeys(order, 1))
        lay = lay_of(material, sample, cloth, seconds)
        use = lay.use / 100.0
        areas, longest = {}, {}
        for size in order:
            own = pieces_for(nest, material, cloth, {size: 1})
            areas[size] = cloth.layers * sum(p.area for p in own.spread) + sum(p.area for p in own.opened)
            longest[size] = max(_along(p) for p in (*own.spread, *own.opened))
        whole = cloth.spread_width * cloth.layers

        def length(
            counts: Mapping[str, int],
            areas: Mapping[str, float] = areas,
            longest: Mapping[str, float] = longest,
            room: float = whole * use,
            ends: float = 2 * cloth.ends,
        ) -> float:
            area = sum(areas[size] * count for size, count in counts.items())
            return max(area / room, max(longest[size] for size in counts) + ends)

        found[material] = plans(order, length, table=table, plies=plies)
    return found


def _along(piece: LayPiece) -> float:
    ys = [y for _, y in piece.outline]
    return max(ys) - min(ys)
