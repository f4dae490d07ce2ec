"""The line from two patterns to what they differ in and its files: jobs are drafted and checked, folders are read.

job, folder or pattern.json -> a size of it -> laid on each other -> tables, pictures, pages.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Final

from .compare.side import Side, side_of, sizes_in
from .errors import InputError, Where
from .model.finding import CheckFailed, Finding
from .progress import Told, silent
from .units import UNITS, Unit
from .values import dataclass, replace
from .verify.expected import Source, pattern_data

if TYPE_CHECKING:
    from .compare.table import Comparison
    from .sheet.paper import Paper

_DRAWINGS: Final = (".svg", ".dxf", ".pdf", ".plt", ".png", ".html")
PATTERN: Final = "pattern.json"


@dataclass(frozen=True, slots=True)
class Taken:
    """One of the two patterns as it was taken in: what its checks found, where it was drafted here; the unit of its
    maker, where that is known."""

    side: Side
    findings: tuple[Finding, ...]
    unit: Unit | None


def taken_from(
    path: Path,
    *,
    size: str | None = None,
    measurements: Path | None = None,
    despite: tuple[str, ...] | None = None,
    told: Told = silent,
) -> Taken:
    """A pattern from a job, a made folder, or a pattern.json; of several sizes the base, or `size`.

    `measurements` are taken in place of those of a job. `despite` None: a check that fails stops nothing, since the
    cloth is cut already. Raises as the job reader and `make` do; InputError for what is neither of the three.
    """
    if path.is_dir() or path.suffix.lower() == ".json":
        if measurements is not None:
            raise InputError(
                "it is finished, and only a job can be drafted on other measurements", where=Where(str(path)),
                expected="a job file with --measurements", instead="Name the job: it lies in the folder's job/",
            )  # fmt: skip
        if despite:
            raise InputError(
                f"--despite {despite[0]}: no check is made of a pattern that is finished", where=Where(str(path)),
                expected="a job", instead="Leave --despite out",
            )  # fmt: skip
        return _made(path, size)
    if path.suffix.lower() in _DRAWINGS:
        raise InputError(
            "it is a drawing, which does not tell its edges and allowances", where=Where(str(path)),
            expected="a job, a folder that oaktag has written, or its pattern.json",
            instead="Compare the folder that it lies in, or finish it first with oaktag finish",
        )  # fmt: skip
    return _drafted(path, size, measurements, despite, told)


def _made(path: Path, size: str | None) -> Taken:
    file = path / PATTERN if path.is_dir() else path
    if not file.exists():
        raise InputError(
            "there is no such file", where=Where(str(file)), expected="a folder that oaktag make has written",
            instead="Run oaktag make JOB -o FOLDER first, or name the job itself",
        )  # fmt: skip
    source = pattern_data(file)
    return Taken(side_of(source, _known_size(source, size)), (), _unit_beside(file.parent))


def _unit_beside(folder: Path) -> Unit | None:
    """The unit of the job whose copy lies in a made folder."""
    for job in sorted((folder / "job").glob("*.toml")):
        with suppress(OSError, ValueError, RecursionError):
            named = tomllib.loads(job.read_text(encoding="utf-8-sig")).get("units")
            for unit in UNITS:
                if named == unit:
                    return unit
    return None


def _drafted(
    path: Path, size: str | None, measurements: Path | None, despite: tuple[str, ...] | None, told: Told
) -> Taken:
    from .checks.run import check_nest, standing_errors
    from .export import pattern_json
    from .job import load_job
    from .pipeline import nest_of, refuse_unknown

    job = load_job(path, measurements=measurements)
    nest = nest_of(job, told)
    findings = check_nest(nest, told)
    refuse_unknown(despite or (), findings)
    if despite is not None and (errors := standing_errors(findings, despite)):
        ids = ", ".join(sorted({error.id for error in errors}))
        raise CheckFailed(f"nothing was compared: {len(errors)} check(s) failed in {path} ({ids})", findings)
    source = Source(json.loads(pattern_json.render(nest, findings)), str(path), "")
    return Taken(side_of(source, _known_size(source, size)), findings, job.unit)


def _known_size(source: Source, size: str | None) -> str | None:
    """The size that is asked for; a pattern of one size is compared as it is."""
    return size if len(sizes_in(source)) > 1 else None


def refuse_idle_size(size: str | None, *sides: Side) -> None:
    """InputError for `--size` where neither pattern has several."""
    if size is not None and not any(side.size for side in sides):
        raise InputError(f"--size {size}: neither pattern has several sizes", instead="Leave --size out")


def with_name(taken: Taken, told: str) -> Taken:
    """The same, its title with a word of what makes it differ."""
    title = f"{taken.side.title}, {told}" if taken.side.title else told
    return replace(taken, side=replace(taken.side, title=title))


def files_of(compared: Comparison, unit: Unit, paper: Paper) -> Mapping[str, bytes]:
    """compare.html, compare.pdf and compare.json. InputError where the patterns have no piece in common."""
    if not compared.laid:
        raise InputError(
            "no piece of the new pattern has the name of an old one, so there is nothing to draw",
            expected="two patterns of one garment", instead="Leave -o out to read what either has",
        )  # fmt: skip
    from .compare import as_json, page, sheet

    return {
        "compare.html": page.render(compared, unit),
        "compare.pdf": sheet.render(compared, unit, paper),
        "compare.json": as_json.render(compared),
    }
