"""What a worker does: one order to its files, by the functions that `oaktag make` calls, with the same bytes.

It keeps nothing from one order to the next but what ships with the program, and needs nothing of its machine but the
program itself and the place that the results go to: a maker's own devices come with the order.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from ..errors import DeviceError, InputError, OaktagError
from ..model.finding import CheckFailed, Finding, Severity
from ..values import dataclass, field, replace
from .keep import Kept, program
from .model import Ended, Order
from .stores import Store

if TYPE_CHECKING:
    from ..pipeline import Result

LOADED: Final = (
    "oaktag.orders.work", "oaktag.orders.picture", "oaktag.laying", "oaktag.job", "oaktag.origin", "oaktag.finish",
    "oaktag.export.pattern_json", "oaktag.export.report", "oaktag.export.hpgl", "oaktag.export.pdf",
    "oaktag.export.svg", "oaktag.export.dxf", "orjson", "pikepdf", "shapely", "pyclipper",
)  # fmt: skip
"""What nearly every order needs, so that it is loaded once for all workers of a machine."""
_WORST_FIRST: Final = (Severity.ERROR, Severity.WARNING)


@dataclass(frozen=True, slots=True)
class How:
    """What holds for every order of a batch."""

    store: Store
    only: tuple[str, ...] = ()
    devices: Mapping[str, bytes] = field(default_factory=dict)
    """The maker's own device profiles and corrections, by file name."""
    trusted: frozenset[str] = frozenset()
    """sha256 of each garment file that may be run."""
    keep_others: bool = False
    """Where jobs come as they please: one whose name another job has is refused, and what was made before stands when
    an order is refused."""
    program: str = field(default_factory=program)

    @property
    def settings(self) -> str:
        """In digests: what is not in any order, and decides what they become."""
        own = (f"{name} {sha256(data).hexdigest()}" for name, data in sorted(self.devices.items()))
        return "\n".join((self.program, *own))

    def trusts(self, order: Order) -> bool:
        """Whether all garment files of an order may be run, if it has any."""
        garments = [data for name, data in order.files.items() if name.endswith(".py")]
        return bool(garments) and all(sha256(data).hexdigest() in self.trusted for data in garments)


def how(store: Store, only: tuple[str, ...], *, keep_others: bool = False) -> How:
    """With the devices and trusted garment files of whoever runs us here."""
    from ..device.store import LARGEST_FILE, folder
    from ..outside.file import LARGEST
    from ..outside.trust import is_trusted, trusted_folders

    devices = {path.name: path.read_bytes() for path in sorted(folder().glob("*.toml")) if _small(path, LARGEST_FILE)}
    safe = [Path(own) for own in trusted_folders() if Path(own).is_dir() and is_trusted(Path(own))]
    files = [path for own in safe for path in sorted(own.glob("*.py"))]
    trusted = frozenset(sha256(path.read_bytes()).hexdigest() for path in files if _small(path, LARGEST))
    return How(store, only, devices, trusted, keep_others)


def _small(path: Path, most: int) -> bool:
    return path.is_file() and path.stat().st_size <= most


def make_order(order: Order, digest: str, how: How) -> Kept:
    """Makes it and puts its files into the store; whatever goes wrong is told in how it ended.

    An order that did not become anything leaves nothing in the store, not even what it was before (`keep_others`).
    """
    import time

    began = time.perf_counter()
    plain = Ended(
        order.name, order.source, "failed", digest=digest, quantity=order.quantity, due=order.due, columns=order.columns
    )
    try:
        ended, files = _made(order, plain, how)
    except MemoryError:
        ended, files = replace(plain, reason="more memory is needed than an order may have."), {}
    except Exception as error:
        ended, files = replace(plain, reason=_fault(error)), {}
    stamps = {}
    try:
        if ended.ending == "done":
            stamps = how.store.put(order.name, files)
        elif not how.keep_others:
            how.store.remove(order.name)
    except Exception as error:  # the library of a store raises what it likes
        ended, stamps = replace(plain, reason=f"{NOT_WRITTEN}: {error}"), {}
    return Kept(replace(ended, seconds=round(time.perf_counter() - began, 3)), stamps)


NOT_WRITTEN: Final = "made, and not written"
OTHER_PROGRAM: Final = "the worker has another version of oaktag, or of a library that it uses"
FOR_ALL: Final = (NOT_WRITTEN, OTHER_PROGRAM)
"""How reasons begin that hold for other orders, too."""


def _made(order: Order, plain: Ended, how: How) -> tuple[Ended, dict[str, bytes]]:
    """How it ended, and all its files."""
    from ..job import load_job
    from ..laying import make_with_lay
    from ..origin import files_of, origin_of

    if how.program != program():
        return replace(plain, reason=f"{OTHER_PROGRAM}: install the same on all machines."), {}
    with laid_out(order, how) as path:
        try:
            job = load_job(path)
            origin = origin_of(path, made_by=job.made_by, sitting=job.sitting)
            if how.keep_others:
                _refuse_another(order.name, origin.known_by, how.store)
            result = make_with_lay(job, only=how.only)
        except CheckFailed as failed:
            errors = _words(failed.findings, (Severity.ERROR,))
            found = _words(failed.findings, _WORST_FIRST)
            return replace(plain, ending="refused", reason=" ".join(errors), findings=found), {}
        except DeviceError as error:
            return replace(plain, reason=_plainly(str(error), path)), {}
        except OaktagError as error:
            return replace(plain, ending="refused", reason=_plainly(str(error), path)), {}
        files = files_of(result.files, origin)
        sums = {name: sha256(files[name]).hexdigest() for name in sorted(files)}
        found = (*result.left_out, *_words(result.findings, _WORST_FIRST))
        return replace(
            plain, ending="done", sums=sums, title=job.title, findings=found, picture=_picture(result)
        ), files


def _words(findings: tuple[Finding, ...], severities: tuple[Severity, ...]) -> tuple[str, ...]:
    """What was found, the worst first; what several sizes have in common once."""
    from ..checks.by_size import paragraphs

    sizes = tuple(dict.fromkeys(f.size for f in findings if f.size))
    found = [one for one in paragraphs(f for f in findings if not f.passed) if one.worst.severity in severities]
    found.sort(key=lambda one: severities.index(one.worst.severity))
    return tuple(one.words(sizes) for one in found)


def _picture(result: Result) -> str:
    from .picture import picture

    return picture(result.pattern)


def _plainly(text: str, path: Path) -> str:
    """Without the folder that the job lay in while it was read: of it nobody has heard."""
    return text.replace(f"{path.parent}{os.sep}", "").replace(str(path.parent), "FOLDER")


def _fault(error: Exception) -> str:
    """In one sentence, with the place in the program."""
    import traceback

    steps = [step for step in traceback.extract_tb(error.__traceback__) if f"{os.sep}oaktag{os.sep}" in step.filename]
    at = f" at {'/'.join(Path(steps[-1].filename).parts[-2:])}:{steps[-1].lineno}" if steps else ""
    return (
        f"a fault of the program, not of the order ({type(error).__name__}{at}: {str(error)[:200]}): oaktag make of "
        "this job writes the details into a file."
    )


def _refuse_another(name: str, known_by: tuple[str, str, str], store: Store) -> None:
    """InputError where another job's pattern lies in the place of this one, judged by the copy that lies there."""
    import tomllib

    from ..origin import COPIES, known_in

    for file in store.stamps(name):
        if file.startswith(f"{COPIES}/") and file.endswith(".toml"):
            try:
                held = known_in(file.partition("/")[2], tomllib.loads(store.read(name, file).decode("utf-8-sig")))
            except (OSError, ValueError, RecursionError):
                continue
            if held is not None and held != known_by:
                raise InputError(
                    f"another job, {held[0]} “{held[1]}”, was made under this name",
                    expected="a file name of its own for each job", instead="Rename the file, and put it in again",
                )  # fmt: skip


@contextmanager
def laid_out(order: Order, how: How) -> Iterator[Path]:
    """The job on this machine, beside all that it names, with the maker's devices; and nothing of it is left."""
    import tempfile

    with tempfile.TemporaryDirectory(prefix="oaktag-order-") as temporary:
        root = Path(os.path.realpath(temporary))
        names = {name: os.path.normpath(name) for name in order.files}
        up = max((Path(name).parts.count("..") for name in names.values()), default=0)
        folder = root.joinpath("job", *("above" for _ in range(up)))
        for name, normal in names.items():
            path = Path(os.path.normpath(folder / normal))
            if not path.is_relative_to(root / "job"):
                raise InputError(
                    f"the job names the file {name} by its whole path", expected="a path from where the job lies"
                )
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(order.files[name])
        folder.mkdir(parents=True, exist_ok=True)
        with _own_devices(root / "devices", order, folder, how):
            yield folder / order.job


@contextmanager
def _own_devices(own: Path, order: Order, folder: Path, how: How) -> Iterator[None]:
    """The maker's devices and trust, as they are for this order alone; of this machine's nothing."""
    from ..outside.trust import trust

    own.mkdir(mode=0o700)
    for name, data in how.devices.items():
        (own / name).write_bytes(data)
    if how.trusts(order):
        for each in sorted({(folder / name).parent for name in order.files if name.endswith(".py")}):
            trust(each, own)
    before: dict[str, Any] = {name: os.environ.get(name) for name in ("OAKTAG_DEVICES",)}
    os.environ["OAKTAG_DEVICES"] = str(own)
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value
