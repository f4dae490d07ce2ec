"""Dataclasses that cost next to nothing to define: what the standard library compiles at once is compiled at first use.

`oaktag make` defines 150 classes of values and makes instances of two thirds of them. The standard library writes out
and compiles six methods for each, half a millisecond a class: a third of all that importing took. Fields, `replace`,
`asdict`, slots and `__match_args__` are the standard library's, and types are checked as for its own dataclasses.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import field, replace
from typing import TYPE_CHECKING, Any, Literal

__all__ = ["dataclass", "field", "replace"]

_NOT_GIVEN = object()
"""Stands for an argument whose default is made anew for each instance."""

if TYPE_CHECKING:
    from dataclasses import dataclass
else:

    def dataclass(*, slots: Literal[True], frozen: bool = False, eq: bool = True) -> Callable[[type], type]:
        """`dataclasses.dataclass` with the keywords that are used here; every value has slots."""

        def made(plain: type) -> type:
            cls = dataclasses.dataclass(init=False, repr=False, eq=False, slots=slots)(plain)
            methods: dict[str, Any] = {"__init__": _late(cls, "__init__", _init), "__repr__": _shown}
            if eq:
                methods["__eq__"] = _late(cls, "__eq__", _equal)
                methods["__hash__"] = _late(cls, "__hash__", _hash) if frozen else None
            if frozen:
                methods |= {"__setattr__": _refuse, "__delattr__": _refuse}
                methods |= {"__getstate__": _state, "__setstate__": _restore}
            for name in methods.keys() - vars(plain).keys():
                setattr(cls, name, methods[name])
            return cls

        return made


def _late(cls: type, name: str, build: Callable[[type], Any]) -> Any:
    """A method that is compiled when it is first called, and then takes its own place."""

    def first(self: Any, *args: Any, **named: Any) -> Any:
        method = build(cls)
        setattr(cls, name, method)
        return method(self, *args, **named)

    return first


def _init(cls: type) -> Any:
    """`__init__`; a frozen value is filled by the setters of its slots, past the refusal of `__setattr__`."""
    frozen = cls.__setattr__ is _refuse
    known: dict[str, Any] = {"_not_given": _NOT_GIVEN}
    takes, body = ["self"], []
    for one in dataclasses.fields(cls):
        name = value = one.name
        if one.default is not dataclasses.MISSING:
            known[f"_default_{name}"] = one.default
            takes.append(f"{name}=_default_{name}")
        elif one.default_factory is not dataclasses.MISSING:
            known[f"_make_{name}"] = one.default_factory
            takes.append(f"{name}=_not_given")
            value = f"_make_{name}() if {name} is _not_given else {name}"
        else:
            takes.append(name)
        if frozen:
            known[f"_set_{name}"] = getattr(cls, name).__set__
        body.append(f"_set_{name}(self, {value})" if frozen else f"self.{name} = {value}")
    if hasattr(cls, "__post_init__"):
        body.append("self.__post_init__()")
    return _compiled(cls, "__init__", takes, body, known)


def _equal(cls: type) -> Any:
    body = [
        "if other.__class__ is not self.__class__: return NotImplemented",
        f"return {_compared(cls, 'self')} == {_compared(cls, 'other')}",
    ]
    return _compiled(cls, "__eq__", ["self", "other"], body, {})


def _hash(cls: type) -> Any:
    return _compiled(cls, "__hash__", ["self"], [f"return hash({_compared(cls, 'self')})"], {})


def _compared(cls: type, who: str) -> str:
    return f"({''.join(f'{who}.{one.name}, ' for one in dataclasses.fields(cls) if one.compare)})"


def _compiled(cls: type, name: str, takes: list[str], body: list[str], known: dict[str, Any]) -> Any:
    lines = [f"def {name}({', '.join(takes)}):", *(f" {line}" for line in body)]
    exec("\n".join(lines), known)  # of the names of fields alone, as the standard library does
    method = known[name]
    method.__qualname__, method.__module__ = f"{cls.__qualname__}.{name}", cls.__module__
    return method


def _shown(self: Any) -> str:
    shown = (f"{one.name}={getattr(self, one.name)!r}" for one in dataclasses.fields(self) if one.repr)
    return f"{type(self).__qualname__}({', '.join(shown)})"


def _refuse(self: Any, name: str, *value: Any) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot change {name!r} of a {type(self).__qualname__}: it is frozen")


def _state(self: Any) -> list[Any]:
    return [getattr(self, one.name) for one in dataclasses.fields(self)]


def _restore(self: Any, state: list[Any]) -> None:
    for one, value in zip(dataclasses.fields(self), state, strict=True):
        object.__setattr__(self, one.name, value)
