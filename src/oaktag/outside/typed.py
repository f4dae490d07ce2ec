"""Whether a value holds what its class is declared to hold, all the way down: nothing else looks at it in Python.

Our own values are looked at by mypy before anybody runs them. Those of a garment from outside are built by whoever
wrote it, and a text in a place of a point would be a fault of the program three stages later.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from types import NoneType, UnionType
from typing import Any, Final, Literal, Union, get_args, get_origin, get_type_hints

from ..geometry.point import Point

MOST: Final = 100_000.0
"""No number of a draft is beyond this, mm: 100 m."""
_LONGEST: Final = 2_000
"""The longest text of a note, a mend or a formula."""


def untyped(value: object, kind: Any, where: str = "") -> Iterator[str]:
    """What is not of the type declared, each with its place: `apron.to_cut: 'fold' is no Cut`.

    >>> list(untyped((1.0, "x"), tuple[float, ...], "widths"))
    ["widths.2: 'x' is no number"]
    """
    if kind is Any or (kind is Point and type(value) is Point and _is_place(value)):
        return
    origin, inner = get_origin(kind), get_args(kind)
    if origin in (Union, UnionType):
        yield from _of_several(value, inner, where)
    elif origin is Literal:
        if value not in inner:
            yield f"{where}: {_short(value)} is none of {', '.join(map(repr, inner))}"
    elif origin is tuple:
        yield from _of_tuple(value, inner, where)
    elif origin is Mapping:
        if not isinstance(value, Mapping):
            yield f"{where}: {_short(value)} is no table of names"
            return
        for key, each in value.items():
            yield from untyped(key, inner[0], where)
            yield from untyped(each, inner[1], f"{where}.{_short(key, quoted=False)}")
    elif origin is Callable:
        if not callable(value):
            yield f"{where}: {_short(value)} is no function"
    elif kind is float or kind is int:
        right = (int, float) if kind is float else int
        if isinstance(value, bool) or not isinstance(value, right):
            yield f"{where}: {_short(value)} is no number"
        elif not -MOST <= value <= MOST:
            yield f"{where}: {_short(value)} is no length of a garment"
    elif kind is str:
        if not isinstance(value, str):
            yield f"{where}: {_short(value)} is no text"
        elif not value.isprintable() or len(value) > _LONGEST:
            yield f"{where}: {_short(value)} is not one line of text"
    elif not isinstance(value, kind):
        yield f"{where}: {_short(value)} is no {kind.__name__}"
    elif is_dataclass(value):
        hints = _hints(value.__class__)
        for one in fields(value):
            yield from untyped(getattr(value, one.name), hints[one.name], f"{where}.{one.name}".lstrip("."))
    elif isinstance(value, tuple):  # a tuple with names, as a point is one
        for each, declared in zip(value, _hints(kind).values(), strict=True):
            yield from untyped(each, declared, where)


def _is_place(point: Point) -> bool:
    """Most of a draft is points: they are looked at first, and at once."""
    x, y = point
    return type(x) is float and type(y) is float and -MOST <= x <= MOST and -MOST <= y <= MOST


def _of_several(value: object, kinds: tuple[Any, ...], where: str) -> Iterator[str]:
    """Right if any of the kinds has nothing to say; else what the one says that it seems to be meant for."""
    told = [(kind, list(untyped(value, kind, where))) for kind in kinds]
    if all(words for _, words in told):
        near = [words for kind, words in told if isinstance(value, get_origin(kind) or kind)]
        names = " or ".join(getattr(kind, "__name__", str(kind)) for kind in kinds if kind is not NoneType)
        yield from near[0] if near else [f"{where}: {_short(value)} is no {names}"]


def _of_tuple(value: object, inner: tuple[Any, ...], where: str) -> Iterator[str]:
    if not isinstance(value, tuple):
        hint = f"({_short(value)},)" if not isinstance(value, (list, set)) else f"tuple({_short(value)})"
        yield f"{where}: {_short(value)} is no tuple: write {hint}"
        return
    endless = len(inner) == 2 and inner[1] is Ellipsis
    if not endless and len(value) != len(inner):
        yield f"{where}: {_short(value)} has {len(value)} parts, not {len(inner)}"
        return
    for number, each in enumerate(value, start=1):
        name = getattr(each, "name", None)
        own = name if isinstance(name, str) and name else str(number)
        yield from untyped(each, inner[0] if endless else inner[number - 1], f"{where}.{own}".lstrip("."))


@cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)


def _short(value: object, *, quoted: bool = True) -> str:
    text = repr(value) if quoted or not isinstance(value, str) else value
    return text if len(text) <= 60 else f"{text[:57]}..."
