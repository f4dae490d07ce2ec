"""The line from a job to its lays and their files: as pipeline.py, one stage further.

job -> pattern in its sizes -> checks -> pieces by cloth -> lays, judged -> sheets -> files.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TypeAlias

from .errors import InputError, Where
from .formats import Format, asked_for, function
from .lay.words import Asked, tape_words
from .model.finding import Finding
from .model.nest import Nest
from .pipeline import Result, checked, make
from .progress import Told as Progressed
from .progress import silent
from .units import show
from .values import dataclass, replace

if TYPE_CHECKING:
    from .job import Job
    from .job.model import Output
    from .lay.cloth import Cloth
    from .lay.file import Kept
    from .lay.orders import Ordered
    from .lay.pieces import LayPiece
    from .lay.placed import Lay
    from .lay.plan import Plan
    from .sheet.strokes import Sheet
    from .units import Unit

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

    shell = {"shell": asked.over(job.cloth.of("shell"))}
    job = replace(job, cloth=replace(job.cloth, by_material={**job.cloth.by_material, **shell}))
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


@dataclass(frozen=True, slots=True)
class Orders:
    """Several orders that are laid together, with what their files need: the device and the unit of the first."""

    each: tuple[Ordered, ...]
    output: Output
    unit: Unit


def orders_of(paths: Sequence[Path], despite: tuple[str, ...] = ()) -> Orders:
    """Jobs, which are drafted and checked, and folders that `oaktag make` has written, which are read.

    Raises as the job reader and `make` do; InputErrors with all that is wrong with folders, InputError for two orders
    of one name.
    """
    from .job import load_job
    from .job.model import Output
    from .lay.orders import Ordered
    from .rolls.orders import asked_of_job, read_orders

    folders = {order.name: order for order in read_orders([path for path in paths if path.is_dir()])}
    found: list[Ordered] = []
    output: Output | None = None
    unit: Unit | None = None
    for path in paths:
        if path.is_dir():
            order = folders.pop(next(iter(folders)))
            found.append(Ordered(order.name, order.nest, asked_of_job(order, path), order.digest))
            unit = unit or order.unit
        else:
            job, nest, _ = checked(load_job(path), (), despite)
            found.append(Ordered(path.stem, nest, dict(job.cloth.by_material)))
            output, unit = output or job.output, unit or job.unit
        if any(other.name == found[-1].name for other in found[:-1]):
            raise InputError(
                f"two orders are called {found[-1].name}", where=Where(str(path)), expected="a name for each",
                instead="Rename one of the two",
            )  # fmt: skip
    return Orders(tuple(found), output or Output(), unit or "cm")


def lay_orders(
    orders: Orders,
    asked: Asked,
    *,
    materials: tuple[str, ...] = (),
    seconds: float = 20.0,
    seed: int = 1,
    workers: int | None = None,
    told: Told | None = None,
) -> Laid:
    """A lay for each kind of cloth with one garment of every order (every size of a set), `seconds` for each.

    What is said of cloth in `asked` holds for all. Raises InputError for orders of different cloth.
    """
    from .lay.file import Kept
    from .lay.orders import ONE_OF_EACH, merged, one_cloth
    from .lay.pieces import pieces_for
    from .lay.search import STOPPED, lay_of

    nest, of = merged(orders.each, orders.unit)
    wanted = {ONE_OF_EACH: 1}
    lays = []
    for material in _materials(nest, materials):
        cloth = one_cloth(orders.each, material, asked, orders.unit)
        pieces = pieces_for(nest, material, cloth, wanted)
        heard = None if told is None else _for(told, material)
        lays.append(lay_of(material, pieces, cloth, seconds, seed=seed, workers=workers, told=heard))
        if lays[-1].how.startswith(STOPPED):
            seconds = 0.0
    sums = {order.name: order.digest for order in orders.each if order.digest}
    return Laid(nest, (), Kept(wanted, tuple(lays), {}, orders=of, sums=sums))


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
    forms = [row.word for row in asked_for(only or job.formats) if row.lay]
    too_large = {form: error for form in forms if (error := _too_large(job.output, job.unit, form, sheets)) is not None}
    notes = [f"the lay is not written as {form}: {error}" for form, error in too_large.items()]
    written = tuple(form for form in forms if form not in too_large)
    files = {**result.files, **lay_files(job.output, job.unit, result.nest, kept, written, sheets)}
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
    output: Output,
    unit: Unit,
    nest: Nest,
    kept: Kept,
    forms: tuple[str, ...],
    sheets: tuple[Sheet, ...] = (),
    *,
    stem: str = "lay",
) -> dict[str, bytes]:
    """lay.json, lay.html, lay-small.pdf and, for each form that is asked for, a file for each kind of cloth.

    `sheets` are those of `sheets_of`, where they are made already; `stem` stands for "lay" in the files' names.

    Raises InputError where the device is narrower than the lay.
    """
    from .export import lay_page, lay_small
    from .lay import file

    title = nest.base_pattern.title
    device = output.profile
    plain = device.correction.identity and not device.cuts
    files = {f"{stem}.json": file.render(kept, title, plain=plain)}
    files[f"{stem}-small.pdf"] = lay_small.render(kept.lays, nest, title, unit)
    sheets = sheets or (sheets_of(kept, nest) if forms else ())
    for form in forms:
        error = _too_large(output, unit, form, sheets)
        if error is not None:
            raise error
        for lay, sheet in zip(kept.lays, sheets, strict=True):
            name = f"{stem}-{lay.material}" if len(kept.lays) > 1 else stem
            files |= _form(output, unit, form, name, sheet)
    files[f"{stem}.html"] = lay_page.render(nest, kept, unit, (*files, f"{stem}.html"))
    return files


def sheets_of(kept: Kept, nest: Nest) -> tuple[Sheet, ...]:
    """Each lay at full size, the scale block beyond its end."""
    from .lay.sheet import lay_sheet

    return tuple(lay_sheet(lay, nest, f"{nest.base_pattern.title}, lay of {lay.material}") for lay in kept.lays)


def _too_large(output: Output, unit: Unit, form: str, sheets: tuple[Sheet, ...]) -> InputError | None:
    """What there is to say where the device cannot hold a sheet."""
    (row,) = asked_for((form,))
    if not row.device:
        return None
    from .device.profile import usable_length, usable_width

    device = output.profile
    wide, long = usable_width(device), usable_length(device)
    for sheet in sheets:
        left, bottom, right, top = device.correction.bounds(sheet.width, sheet.height)
        if right - left > wide + 1e-6 or top - bottom > long + 1e-6:
            return InputError(
                f"with its scale block the lay is {show(right - left, unit)} wide and "
                f"{show(top - bottom, unit)} long, and {device.name} takes {show(wide, unit)} by "
                f"{show(long, unit)}",
                expected="a device as wide as the cloth lies",
                instead='Fold the cloth, name a wider device, or take "pdf" for a copy shop',
            )
    return None


def _form(output: Output, unit: Unit, form: str, name: str, sheet: Sheet) -> dict[str, bytes]:
    (row,) = asked_for((form,))
    one_page = output.roll == "one-page"
    known = {"device": output.profile, "unit": unit, "margin": 5.0, "one_page": one_page, "start": "lay"}
    made = rendered(row, sheet, known)
    return {f"{name}{row.lay}": made if isinstance(made, bytes) else made.data}


def rendered(row: Format, sheet: Sheet, known: Mapping[str, Any]) -> Any:
    """One sheet in a format, which takes what it needs of what is `known`: bytes, or a plot."""
    return function(row.render)(sheet, **{key: known[key] for key in row.takes})


@dataclass(frozen=True, slots=True)
class Planned:
    """The order of one kind of cloth split over lays: the plans for each number of lays, by estimated lengths; the one
    that was laid, with the lengths that were found; and its lays."""

    material: str
    plans: tuple[Plan, ...]
    taken: Plan
    lays: tuple[Kept, ...]


@dataclass(frozen=True, slots=True)
class Split:
    """An order split over lays for every kind of cloth, with the pattern that they were made of."""

    nest: Nest
    order: Mapping[str, int]
    planned: tuple[Planned, ...]

    def names(self, planned: Planned) -> tuple[str, ...]:
        """Of its lays' files, without their endings."""
        stem = f"lay-{planned.material}" if len(self.planned) > 1 else "lay"
        return tuple(f"{stem}-{number}" for number in range(1, len(planned.lays) + 1))


_SAMPLE: Final = 0.15
_LONGEST_SAMPLE: Final = 3.0
_ATTEMPTS: Final = 6
_SHARE: Final = 0.8
"""Of the time that is left, for the lays of a plan; the rest is for another plan, if one comes out too long."""


def plan_job(
    job: Job,
    asked: Asked,
    quantities: Mapping[str, int] | None,
    *,
    table: float,
    plies: int,
    lays: int | None = None,
    matches: Mapping[str, str] | None = None,
    materials: tuple[str, ...] = (),
    seconds: float = 20.0,
    seed: int = 1,
    workers: int | None = None,
    despite: tuple[str, ...] = (),
    told: Told | None = None,
) -> Split:
    """For each kind of cloth the order split over lays that the table holds (see lay.plan), and every lay laid.

    Of the plans the one with so many `lays` is taken, else that with the least cloth. `seconds` are for each kind of
    cloth, and shared by its lays. Raises InputError where no plan holds what is asked.
    """
    from .lay.file import Kept
    from .lay.search import STOPPED

    job, nest, _ = checked(job, (), despite)
    order = _order(job, nest, quantities)
    chosen = dict(matches if matches is not None else job.cloth.matches)
    found: list[Planned] = []
    for material in _materials(nest, materials):
        cloth = asked.over(job.cloth.of(material)).cloth()

        def lay(
            garments: Mapping[str, int], time: float, words: str, cloth: Cloth = cloth, material: str = material
        ) -> Lay:
            from .lay.pieces import pieces_for
            from .lay.search import lay_of

            heard = None if told is None else _for(told, f"{material}, {words}")
            pieces = pieces_for(nest, material, cloth, garments, chosen)
            return lay_of(material, pieces, cloth, time, seed=seed, workers=workers, told=heard)

        length = _lengths(nest, material, cloth, order, lay(dict.fromkeys(order, 1), _sample(seconds), "a sample"))
        all_plans, taken, known = _laid_plan(order, length, lay, table, plies, lays, seconds, job.unit)
        kept = tuple(Kept(dict(one.garments), (known[one.garments],), chosen, one.plies) for one in taken.lays)
        found.append(Planned(material, all_plans, taken, kept))
        if any(one.how.startswith(STOPPED) for one in known.values()):
            seconds = 0.0
    return Split(nest, order, tuple(found))


def _sample(seconds: float) -> float:
    return min(_LONGEST_SAMPLE, _SAMPLE * seconds)


def _lengths(
    nest: Nest, material: str, cloth: Cloth, order: Mapping[str, int], sample: Lay
) -> Callable[[Mapping[str, int]], float]:
    """How long a lay is told to be: by the area of its pieces, at the use of the cloth that the sample has, and by the
    longest piece; mm."""
    from .lay.pieces import pieces_for

    areas, longest = {}, {}
    for size in order:
        own = pieces_for(nest, material, cloth, {size: 1})
        areas[size] = cloth.layers * sum(p.area for p in own.spread) + sum(p.area for p in own.opened)
        longest[size] = max(_along(p) for p in (*own.spread, *own.opened))
    room = cloth.spread_width * cloth.layers * sample.use / 100.0

    def length(counts: Mapping[str, int]) -> float:
        area = sum(areas[size] * count for size, count in counts.items())
        return max(area / room, max(longest[size] for size in counts) + 2 * cloth.ends)

    return length


Garments: TypeAlias = "tuple[tuple[str, int], ...]"


def _laid_plan(
    order: Mapping[str, int],
    length: Callable[[Mapping[str, int]], float],
    lay: Callable[[Mapping[str, int], float, str], Lay],
    table: float,
    plies: int,
    lays: int | None,
    seconds: float,
    unit: Unit,
) -> tuple[tuple[Plan, ...], Plan, dict[Garments, Lay]]:
    """The plans, the one that was taken with the lengths found, and its lays by their garments. Where a lay comes out
    longer than the table it is known from then on, the others are told to be as much longer, and a new plan is made."""
    import time

    from .lay.plan import Plan, plans
    from .lay.search import STOPPED

    known: dict[Garments, Lay] = {}
    longer = 1.0
    ends = time.monotonic() + seconds
    for attempt in range(_ATTEMPTS):

        def told(counts: Mapping[str, int], longer: float = longer) -> float:
            laid = known.get(tuple(counts.items()))
            return laid.length if laid is not None else length(counts) * longer

        made = plans(order, told, table=table, plies=plies, seconds=max(1.0, seconds / 4), unit=unit)
        taken = _taken(made, lays, table, unit)
        missing = [one for one in dict.fromkeys(one.garments for one in taken.lays) if one not in known]
        for number, garments in enumerate(missing, start=1):
            left = (ends - time.monotonic()) * (1.0 if attempt == _ATTEMPTS - 1 else _SHARE)
            share = max(0.0, left / (len(missing) - number + 1))
            known[garments] = lay(dict(garments), share, f"lay {number} of {len(missing)}")
            if known[garments].how.startswith(STOPPED):
                ends = time.monotonic()
        if all(known[one.garments].length <= table + 1e-6 for one in taken.lays):
            laid = tuple(replace(one, length=known[one.garments].length) for one in taken.lays)
            return made, Plan(laid, taken.proved), known
        longer = max(longer, *(known[one].length / length(dict(one)) for one in missing))
    raise InputError(
        f"in the time no lays were found that a table of {tape_words(table, unit)} holds",
        expected="more time, or a longer table", instead="Add --seconds 60",
    )  # fmt: skip


def _taken(made: tuple[Plan, ...], lays: int | None, table: float, unit: Unit) -> Plan:
    if not made:
        raise InputError(
            f"the order cannot be split over lays of at most {tape_words(table, unit)} and so many plies",
            expected="a longer --table, or more --plies",
        )
    if lays is None:
        return made[-1]
    for plan in made:
        if len(plan.lays) == lays:
            return plan
    counts = ", ".join(str(len(plan.lays)) for plan in made)
    raise InputError(f"--lays {lays}: there is no plan of so many lays that saves cloth", expected=f"one of {counts}")


def plan_files(job: Job, split: Split, forms: tuple[str, ...]) -> dict[str, bytes]:
    """orders.html, and for every lay the files of `lay_files`."""
    from .export import lay_orders

    files: dict[str, bytes] = {}
    rows = []
    for planned in split.planned:
        names = split.names(planned)
        for name, kept in zip(names, planned.lays, strict=True):
            files |= lay_files(job.output, job.unit, split.nest, kept, forms, stem=name)
        rows.append((planned.material, planned.lays[0].lays[0].cloth, planned.taken, planned.plans, names))
    title = split.nest.base_pattern.title
    return {"orders.html": lay_orders.render(title, split.order, rows, job.unit, ("orders.html", *files)), **files}


def _along(piece: LayPiece) -> float:
    ys = [y for _, y in piece.outline]
    return max(ys) - min(ys)
