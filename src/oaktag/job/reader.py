"""A row a key of the job file, and what takes values out of a document by them and gathers every mistake."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias, TypeVar

from ..body.measurements import KINDS, spoken
from ..draft.options import unknown
from ..errors import InputError, InputErrors, Where
from ..values import dataclass
from .document import Document
from .model import GarmentWords

if TYPE_CHECKING:
    from ..intake.take_in import TakenIn

_T = TypeVar("_T")
Read: TypeAlias = "Callable[..., Any]"
"""Of the reader and the parts of the key; mistakes go to the reader, and what cannot be read is None."""


@dataclass(frozen=True, slots=True)
class Key:
    """A key of the job file."""

    name: str
    words: str
    """What it is for."""
    read: Read | None = None
    """None: it is read with its table."""
    table: bool = False
    example: str = ""
    """As `oaktag init` writes it behind the sign, commented out; "" if it does not."""
    file: Callable[[object], bool] | None = None
    """Whether what is typed names a file beside the job, of which a copy is kept with what is made."""


@dataclass(frozen=True, slots=True)
class Known:
    """What there is to choose from, and what is given in place of what the file says."""

    keys: Mapping[str, Mapping[str, Key]]
    """By table, "" for those at the top."""
    find: Callable[[str], GarmentWords]
    garments: tuple[str, ...]
    devices: tuple[str, ...]
    drawing: Path | TakenIn | None = None
    outside: Callable[[str, Path], GarmentWords] | None = None
    """What finds a garment that is none of these, for the job in a folder."""


class Reader:
    """Reads one document. Each key is read once, when it is first asked for: by whatever of the others needs it."""

    def __init__(self, document: Document, known: Known) -> None:
        self.document, self.known = document, known
        self.errors: list[InputError] = []
        self._read: dict[object, Any] = {}

    @property
    def values(self) -> Mapping[str, object]:
        return self.document.values

    @property
    def beside(self) -> Path:
        """Where the files lie that it names."""
        return self.document.path.parent

    @property
    def is_drawn(self) -> bool:
        """Whether the pattern was drawn elsewhere."""
        return self.known.drawing is not None or "drawing" in self.values

    def of(self, *keys: str) -> Any:
        """What a key at the top stands for, or a table and a key in it."""
        table = keys[0] if keys[1:] else ""
        read = self.known.keys[table][keys[-1]].read
        assert read is not None, keys
        return self.once(keys, lambda: read(self, *keys))

    def once(self, what: object, make: Callable[[], _T]) -> _T:
        """What is made when it is first asked for."""
        if what not in self._read:
            self._read[what] = make()
        found: _T = self._read[what]
        return found

    def typed(self, table: str, *keys: str) -> object:
        """What stands behind a key, None where it is not given."""
        return self.table(table).get(keys[0]) if keys else self.values.get(table)

    def below(self, table: str) -> tuple[str, ...]:
        """The keys that a table may have; "": those that stand at the top."""
        return tuple(self.known.keys.get(table, ()))

    # ------------------------------------------------------------------------------------------------------- mistakes

    def where(self, *keys: str) -> Where:
        return self.document.where(*keys)

    def fault(self, found: str, *keys: str, expected: str = "", instead: str = "") -> None:
        self.errors.append(InputError(found, where=self.where(*keys), expected=expected, instead=instead))

    def take(self, read: Callable[[], _T]) -> _T | None:
        """What it gives, or None and its mistakes."""
        try:
            return read()
        except InputErrors as errors:
            self.errors.extend(errors.errors)
        except InputError as error:
            self.errors.append(error)
        return None

    def in_order(self) -> list[InputError]:
        """In the file's order, other files last."""

        def place(error: InputError) -> tuple[bool, int]:
            where = error.where or Where("")
            return where.file != self.document.name, where.line

        return sorted(self.errors, key=place)

    # ---------------------------------------------------------------------------------------------------- usual values

    def words(self, key: str, *, most: int) -> str:
        """A short text, "" where there is none."""
        value = self.values.get(key, "")
        if not isinstance(value, str):
            example = f'Write {key} = "..."'
            self.fault(f"{spoken(value)} is not a text", key, expected="a text in quotes", instead=example)
        elif len(value) > most or not value.isprintable():
            found = f"{spoken(value)} is too long or holds unprintable signs"
            self.fault(found, key, expected=f"one line of at most {most} characters")
        else:
            return value.strip()
        return ""

    def table(self, key: str) -> dict[str, object]:
        """A table, empty where there is none."""
        return self.once(f"[{key}]", lambda: self._table(key))

    def _table(self, key: str) -> dict[str, object]:
        value = self.values.get(key, {})
        if isinstance(value, dict):
            return value
        instead = f"Write [{key}] on a line of its own"
        self.fault(f"{spoken(value)} is not a table", key, expected="a table", instead=instead)
        return {}

    def one_of(self, value: object, known: tuple[str, ...], kind: str, *keys: str) -> bool:
        """Whether `value` is a known word; a fault with the near ones if not."""
        if isinstance(value, str) and value in known:
            return True
        text = value if isinstance(value, str) else ""
        found = f"{spoken(value)} is not a {kind}"
        self.errors.append(unknown(found, text, known, self.where(*keys), quote=True))
        return False

    # ---------------------------------------------------------------------------------------------------- unknown keys

    def refuse_others(self, typed: Mapping[str, object], known: tuple[str, ...], *table: str) -> None:
        """A fault for each key of a table that it may not have."""
        for key in typed:
            if key not in known:
                found = f"{spoken(key)} is not a key of [{'.'.join(table)}]"
                self.errors.append(unknown(found, key, known, self.where(*table, key)))

    def refuse_others_at_the_top(self) -> None:
        """The same of those that stand in no table; one of a table says where it belongs."""
        top = self.below("")
        for key in self.values:
            if key not in top:
                self._misplaced(key, top)

    def _misplaced(self, key: str, top: tuple[str, ...]) -> None:
        found = f"{spoken(key)} is not a key of a job file"
        near = get_close_matches(key[:60].lower(), top, n=1)
        table = next((name for name in top if key in self.below(name)), "")
        if key in KINDS or key == "wearer":
            table = "measurements"
        elif "drawing" in self.values and table != "sizes" and key in _reading_keys():
            table = "reading"
        if table:
            expected, instead = f"{key} in the table of {table}", f"Write it below [{table}]"
            self.fault(found, key, expected=expected, instead=instead)
            return
        word = f"[{near[0]}]" if near and self.known.keys[""][near[0]].table else "".join(near)
        self.fault(found, key, expected=f"one of {', '.join(top)}", instead=f"Write {word}" if word else "")


def _reading_keys() -> tuple[str, ...]:
    from ..intake.plan import READING_KEYS

    return READING_KEYS
