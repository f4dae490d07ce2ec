"""Options that several verbs share, each spelt once; and options that are handed on together, as one frozen value."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import wraps
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final, TypeAlias

import click

from ..formats import words_of
from ..values import dataclass
from .kinds import Place

if TYPE_CHECKING:
    from ..job import Job
    from ..pipeline import Result
    from ..progress import Told

Decorator: TypeAlias = "Callable[[Callable[..., Any]], Callable[..., Any]]"


def together(name: str, value: Callable[..., Any], *options: Decorator) -> Decorator:
    """Hands the options on as `name`, one frozen value that is made of all of them by their names."""

    def decorate(command: Callable[..., Any]) -> Callable[..., Any]:
        def called(*args: Any, **given: Any) -> Any:
            given[name] = value(**{one: given.pop(one) for one in own})
            return command(*args, **given)

        done: Callable[..., Any] = wraps(command)(called)
        before = len(getattr(done, "__click_params__", ()))
        for option in reversed(options):
            done = option(done)
        own = dict.fromkeys(param.name for param in done.__click_params__[before:])  # type: ignore[attr-defined]
        return done

    return decorate


def frozen(**values: Any) -> Mapping[str, Any]:
    """Options by name, for what has its own table of them."""
    return MappingProxyType(values)


JOB: Final = click.argument("job", type=click.Path(path_type=Path))


def as_json(what: str = "the answer as JSON") -> Decorator:
    return click.option("--json", "as_json", is_flag=True, help=f"print {what}")


def despite(does: str = "write although this check fails; may be repeated") -> Decorator:
    return click.option("--despite", multiple=True, metavar="ID", help=does)


def sizes(does: str = "draw only this size of a chart") -> Decorator:
    return click.option("--size", "sizes", multiple=True, help=f"{does}; may be repeated")


@dataclass(frozen=True, slots=True)
class Target:
    """Where the files of a job go."""

    folder: Path | None
    replace: bool


def target(usual: str, what: str = "pattern") -> Decorator:
    """`usual`: how the folder is called where none is named."""
    return together(
        "target", Target,
        click.option("-o", "--output", "folder", type=Place(), help=f"folder to write to  [{usual}]"),
        click.option("--replace", is_flag=True, help=f"write over the {what} of another job that lies there"),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Narrowed:
    """What of a pattern is written."""

    pieces: tuple[str, ...]
    only: tuple[str, ...]
    sizes: tuple[str, ...]
    despite: tuple[str, ...]

    def made(self, job: Job, told: Told) -> Result:
        """The files. Raises as `pipeline.make` does."""
        from ..laying import make_with_lay

        own = {"pieces": self.pieces, "only": self.only, "sizes": self.sizes, "despite": self.despite}
        return make_with_lay(job, told=told, **own)


def narrowed(of_sizes: str = "draw only this size of a chart") -> Decorator:
    return together(
        "narrowed", Narrowed,
        click.option(
            "--piece", "pieces", multiple=True, help="only this piece, into a folder of its own; may be repeated"
        ),
        click.option("--only", multiple=True, type=click.Choice(words_of()), help="write only this; may be repeated"),
        sizes(of_sizes),
        despite(),
    )  # fmt: skip
