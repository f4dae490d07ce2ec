"""A garment file: read once, looked up in the list of trusted folders, and run from the bytes that were read.

It is one file, and its bytes are all there is to it: what lies beside it is not imported, nothing is kept compiled on
disk. Whatever goes wrong in it is told by its own name and line. There is no wall round it: trust means trust.
"""

from __future__ import annotations

import os
import stat
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache
from hashlib import sha256
from pathlib import Path, PurePosixPath
from types import ModuleType, TracebackType
from typing import Any, Final, TypeVar

from ..body.measurements import spoken
from ..draft.garment import Garment, GarmentFile
from ..errors import GarmentFault, InputError, OaktagError
from ..values import dataclass, replace
from .faults import faults_of_draft, faults_of_garment
from .trust import command_word, is_trusted

ENDING: Final = ".py"
LARGEST: Final = 1_000_000
_MOST_TOLD: Final = 6
_T = TypeVar("_T")


def is_file_name(name: str) -> bool:
    """Whether a garment is named by a file: `my_skirt.py`, `skirts/my_skirt.py`."""
    return name.endswith(ENDING) or "/" in name or "\\" in name


def garment_beside(name: str, folder: Path) -> Garment:
    """The garment of a file that a job names: beside the job or below it, by its real place too."""
    return garment_in(folder / named_plainly(name), within=folder, shown=name)


def named_plainly(name: str) -> PurePosixPath:
    """The path that a job names; InputError for one that leads elsewhere, or that not every system reads alike."""
    path = PurePosixPath(name)
    plain = name.isprintable() and len(name) <= 300 and not set(name) & set('\\:"') and name.endswith(ENDING)
    if not plain:
        raise InputError(
            f"{spoken(name)} cannot be the name of a garment file", expected='a name such as "my_skirt.py"',
            instead="Parts of a path are set apart by /",
        )  # fmt: skip
    if path.is_absolute() or ".." in path.parts:
        raise away(name)
    return path


def garment_in(path: Path, *, within: Path | None = None, shown: str = "") -> Garment:
    """The one garment of a file in a trusted folder. Raises InputError where it is not read: without a place, which
    whoever names it adds; GarmentFault for what is wrong inside."""
    name = shown or str(path)
    try:
        real = path.resolve(strict=True)
    except (OSError, ValueError, RuntimeError):
        place = " beside the job, or below it" if within is not None else ""
        raise InputError(f"{spoken(name)}: no such file", expected=f"a garment file{place}") from None
    if within is not None and not real.is_relative_to(within.resolve()):
        raise away(name)
    if not is_trusted(real.parent):
        typed = command_word(real.parent)
        there = ", in its folder," if typed == "." else ""
        raise InputError(
            f"{spoken(name)} is a program, and is not run: whatever stands in it would be done with all your rights, "
            "and you have not trusted the folder that it lies in",
            instead=f"Read it, or be sure of whoever wrote it; then type{there} oaktag trust {typed} and try again",
        )
    source = _bytes_of(real, name)
    return _run(source, real, PurePosixPath(name).name if within is not None else real.name)


def away(name: str) -> InputError:
    """The refusal of a file that is neither beside a job nor below it."""
    return InputError(
        f"{spoken(name)} lies elsewhere", expected="a garment file beside the job, or below it",
        instead="Copy it into the job's folder",
    )  # fmt: skip


def _bytes_of(path: Path, name: str) -> bytes:
    """The bytes of an ordinary file that is reached without a link, and that not everybody may write to."""
    flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    try:
        if not stat.S_ISREG(path.lstat().st_mode):
            raise InputError(f"{spoken(name)} is not an ordinary file", expected="a garment file")
        with os.fdopen(os.open(path, flags), "rb") as file:
            status = os.fstat(file.fileno())
            if os.name == "posix" and status.st_mode & stat.S_IWOTH:
                raise InputError(
                    f"{spoken(name)} may be written by everybody on this machine, so it is not run",
                    expected="a file that only you may write", instead="Take that right away, and read it again first",
                )  # fmt: skip
            source = file.read(LARGEST + 1)
    except OSError as error:
        raise InputError(f"{spoken(name)} cannot be read: {error.strerror}", expected="a garment file") from None
    if len(source) > LARGEST:
        raise InputError(f"{spoken(name)} is larger than 1 MB", expected="a garment file")
    return source


def _run(source: bytes, path: Path, name: str) -> Garment:
    """What the bytes make; nothing else is read from the file's folder, then or later."""
    file = GarmentFile(name, sha256(source).hexdigest(), source)
    module = ModuleType(f"oaktag-outside-{file.sha256[:16]}")
    module.__file__ = str(path)
    sys.modules[module.__name__] = module  # where dataclasses and pickle look for it
    calls = _Calls(name, str(path), path.parent)
    with calls.told(), calls.alone():
        exec(compile(source, str(path), "exec", dont_inherit=True), vars(module))
    return guarded(replace(_one_garment(module, name), file=file), name, path, alone=path.parent)


def guarded(garment: Garment, name: str, path: Path, *, alone: Path | None = None) -> Garment:
    """The garment, looked through, with its functions so that whatever goes wrong in them is told as a fault of `name`,
    by the line of the file `path`; and what it drafts is looked through each time."""
    calls = _Calls(name, str(path), alone)
    with calls.told(), calls.alone():
        wrong = list(faults_of_garment(garment))
    _refuse(wrong, name)

    def draft(*given: Any) -> Any:
        made = calls(garment.draft, *given)
        with calls.told():
            wrong = list(faults_of_draft(made, garment))
        _refuse(wrong, name)
        return made

    def needs(style: Any) -> tuple[str, ...]:
        names = tuple(calls(garment.needs, style))
        _refuse([f"needs gives {n!r}, which it does not list in uses" for n in names if n not in garment.uses], name)
        return names

    return replace(garment, draft=draft, needs=needs, names_of=cache(lambda: calls(garment.names_of)))


def _one_garment(module: ModuleType, name: str) -> Garment:
    """The one named GARMENT, else the only one that there is."""
    held = {id(value): key for key, value in vars(module).items() if isinstance(value, Garment)}
    chosen = vars(module).get("GARMENT")
    if isinstance(chosen, Garment):
        return chosen
    if len(held) == 1:
        found: Garment = vars(module)[next(iter(held.values()))]
        return found
    if not held:
        raise GarmentFault(
            f"{name}: there is no garment in it", expected="GARMENT = Garment(...) at its left margin",
            instead="The garment file is faulty, not the job",
        )  # fmt: skip
    raise GarmentFault(
        f"{name}: there are {len(held)} garments in it ({', '.join(held.values())})", expected="one garment a file",
        instead="Call the one that is meant GARMENT, or give each a file of its own",
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Calls:
    """How code from outside is called: under which name its faults are told, and in which file their lines are."""

    name: str
    path: str
    folder: Path | None
    """Where nothing is imported from meanwhile."""

    def __call__(self, function: Callable[..., _T], *given: Any) -> _T:
        with self.told(pass_on=True), self.alone():
            return function(*given)

    @contextmanager
    def told(self, *, pass_on: bool = False) -> Iterator[None]:
        """What is raised inside is told as a fault of the file; with `pass_on` not what the program itself refuses.
        Ctrl-C stays Ctrl-C."""
        try:
            yield
        except KeyboardInterrupt:
            raise
        except BaseException as error:
            if pass_on and isinstance(error, OaktagError):
                raise
            raise self.fault(error) from error

    @contextmanager
    def alone(self) -> Iterator[None]:
        """Nothing is imported from the file's folder meanwhile, however the program was started."""
        before = list(sys.path)
        if self.folder is not None:
            sys.path[:] = [entry for entry in before if os.path.realpath(entry or os.curdir) != str(self.folder)]
        try:
            yield
        finally:
            sys.path[:] = before

    def fault(self, error: BaseException) -> GarmentFault:
        """In words, with the line of the file that was under way."""
        line, words = _line_in(error.__traceback__, self.path), str(error)
        if isinstance(error, SyntaxError) and error.filename == self.path:
            line, words = error.lineno or 0, error.msg
        at = f"{self.name} line {line}" if line else self.name
        words = " ".join(words.split())
        words = f": {words[:200]}{'...' * (len(words) > 200)}" if words else ""
        instead = "The garment is faulty, not the job"
        if isinstance(error, ModuleNotFoundError) and self.folder and (self.folder / f"{error.name}{ENDING}").exists():
            instead = f"A garment is one file: what lies beside it is not imported. {instead}"
        return GarmentFault(f"{at}: {type(error).__name__}{words}", instead=instead)


def _line_in(trace: TracebackType | None, path: str) -> int:
    """The line that was under way in the file, when something went wrong in it or in what it called; 0: none."""
    line = 0
    while trace is not None:
        if trace.tb_frame.f_code.co_filename == path:
            line = trace.tb_lineno
        trace = trace.tb_next
    return line


def _refuse(wrong: list[str], name: str) -> None:
    if wrong:
        more = f"; and {len(wrong) - _MOST_TOLD} more" if len(wrong) > _MOST_TOLD else ""
        told = "; ".join(wrong[:_MOST_TOLD]) + more
        raise GarmentFault(f"{name}: {told}", instead="The garment is faulty, not the job")
