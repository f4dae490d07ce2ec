"""A job file (TOML) to a `Job`, with the place of every mistake; all mistakes of a file are told at once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from ..body.measurements import Measurements
from ..device.store import device_names
from ..draft.garment import GARMENT_NAMES, Garment, Style, find_garment
from ..draft.options import validated
from ..errors import InputError, InputErrors
from ..values import replace
from .cloth import style_with_cloth
from .document import Document
from .drawing import Drawn
from .edges import allowances_on, corners_on
from .keys import DRAWING_TABLES, KEYS
from .measured import refuse_missing, refuse_not_for, sheet_of
from .model import ClothWords, GarmentWords, Job, Output, SizeSet
from .reader import Known, Reader
from .sizes import refuse_missing_of_chart

if TYPE_CHECKING:
    from ..intake.take_in import TakenIn
    from ..units import Unit


def load_job(path: str | Path, *, drawing: Path | TakenIn | None = None, measurements: Path | None = None) -> Job:
    """The job in the file at `path`; InputErrors with every mistake in it, and in a measurements file that it names.

    `drawing` is taken in place of the one that the file names, and the file `measurements` in place of its own.
    """
    return read_job(
        path, find=find_garment, garments=GARMENT_NAMES, devices=device_names(), drawing=drawing,
        outside=_from_outside, measurements=measurements,
    )  # fmt: skip


def _from_outside(name: str, folder: Path) -> Garment:
    """What the job in that folder names and is none of ours: imported when there is one."""
    from ..outside.find import garment_of_job

    return garment_of_job(name, folder)


def read_job(
    path: str | Path,
    *,
    find: Callable[[str], GarmentWords],
    garments: tuple[str, ...],
    devices: tuple[str, ...],
    drawing: Path | TakenIn | None = None,
    outside: Callable[[str, Path], GarmentWords] | None = None,
    measurements: Path | None = None,
) -> Job:
    """As `load_job`, with the garments and devices that are known; `find` is only asked for one of `garments`, and
    `outside` for any other."""
    try:
        document = Document.read(Path(path))
    except InputError as error:
        raise InputErrors([error]) from None
    if measurements is not None:
        document = _on_other_measurements(document, measurements)
    reader = Reader(document, Known(KEYS, find, garments, devices, drawing, outside))
    job = _job(reader, Path(path))
    if job is None or reader.errors:
        raise InputErrors(reader.in_order())
    return job


def _on_other_measurements(document: Document, file: Path) -> Document:
    """The job with a file of measurements in place of its own; InputErrors for one that takes its bodies otherwise, and
    for a file that cannot be read."""
    for key, told in (("sizes", "takes its bodies from a size chart"), ("drawing", "was drawn elsewhere")):
        if key in document.values:
            raise InputErrors(
                [
                    InputError(
                        f"the job {told}, so it cannot be drafted on {file}", where=document.where(key),
                        expected="a job with [measurements]",
                    )
                ]
            )  # fmt: skip
    try:
        Document.read(file)  # told by the name that was typed
    except InputError as error:
        raise InputErrors([error]) from None
    return replace(document, values={**document.values, "measurements": str(file.absolute())})


def _job(reader: Reader, path: Path) -> Job | None:
    reader.refuse_others_at_the_top()
    title, client, date = reader.of("title"), reader.of("client"), reader.of("date")
    unit: Unit = reader.of("units")
    body: Measurements = reader.of("measurements")
    drawn: Drawn | None = reader.of("drawing")
    sizes: SizeSet | None = reader.of("sizes")
    output: Output = reader.of("output")
    cloth: ClothWords = reader.of("cloth")
    size = "measured" if sizes is None else sizes.base
    style: Style = {}
    garment: GarmentWords | None
    if drawn is not None:
        garment, allowances = drawn.words, drawn.allowances
        size = size if sizes is not None else drawn.base or size
    else:
        for key in DRAWING_TABLES if not reader.is_drawn else ():
            if key in reader.values:
                found = f"[{key}] is about a drawing, and the job names none"
                reader.fault(found, key, instead='Write drawing = "..."')
        garment = reader.of("garment")
        if garment is None:
            return None
        raw, of_cloth = style_with_cloth(reader, garment)
        style, errors = validated(
            garment.options, raw, unit, lambda name: of_cloth.get(name) or reader.where("style", name), garment.wishes
        )
        reader.errors.extend(errors)
        allowances = allowances_on(reader, garment)
    corners = corners_on(reader, garment)
    if drawn is None:
        body = _worn_by(reader, garment, style, sizes, body)
    return Job(
        path=path,
        title=title or garment.name.replace("-", " "),
        garment=garment.name,
        unit=unit,
        body=body,
        style=style,
        allowances=allowances,
        corners=corners,
        output=output,
        size=size,
        date=date,
        sizes=sizes,
        cloth=cloth,
        drawn=drawn.sizes[drawn.base] if drawn is not None else None,
        client=client,
        sitting=sheet_of(reader).sitting if drawn is None else None,
        fitting=reader.of("fitting"),
        made_by=garment if isinstance(garment, Garment) and garment.name not in reader.known.garments else None,
    )


def _worn_by(
    reader: Reader, garment: GarmentWords, style: Style, sizes: SizeSet | None, body: Measurements
) -> Measurements:
    """The body that it is drafted for, of a chart that of the base; faults for what the garment needs and it lacks."""
    if sizes is not None and sizes.chart is not None:
        refuse_missing_of_chart(reader, sizes.chart, sizes.bodies, garment, style)
        return sizes.bodies[sizes.base]
    told = sheet_of(reader).readable and ("measurements" in reader.values or "sizes" not in reader.values)
    if told and not refuse_not_for(reader, garment):
        refuse_missing(reader, garment, style)
    return body
