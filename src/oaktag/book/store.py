"""The measurement book as a file: SQLite of the standard library, for its owner alone.

It lies where `OAKTAG_BOOK` says, else in `oaktag/` below `XDG_DATA_HOME` or `~/.local/share` (XDG Base Directory
Specification). A rollback journal (not a write-ahead log) keeps the book one file: what is copied is whole, what is
forgotten is in no second file, and a disk in the network serves. A write that was cut short is taken back when the book
is next opened. Freed space is overwritten with zeros, and after `forget` the whole file is written anew.

SQLite keeps no sums, so every row has one of its own: a flipped bit is told, and never read as a measurement.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
import sqlite3
import stat
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from difflib import get_close_matches
from pathlib import Path
from types import TracebackType
from typing import Any, Final, cast

from ..body.measurements import WEARERS, Wearer, spoken
from ..errors import DeviceError, InputError, OaktagError, Where
from ..model.fitted import Ask
from ..units import UNITS
from ..values import dataclass, replace
from .people import Client, Fitting, Made, Sitting, Taken, key_of, name_of

VERSION: Final = 2
"""1: garments without what was below [fitting]. Such a book is read as it is, and becomes one of version 2 when the
first garment that was fitted is written in: an older oaktag then leaves it alone."""
IDENTITY: Final = 0x4F61_6B62
"""`application_id` of the file: "Oakb"."""
WAIT: Final = 5.0
"""So long, s, one that writes is waited for."""
_SCHEMA: Final = """
CREATE TABLE client (id INTEGER PRIMARY KEY, key TEXT NOT NULL UNIQUE, name TEXT NOT NULL, wearer TEXT NOT NULL,
    note TEXT NOT NULL, sum TEXT NOT NULL);
CREATE TABLE sitting (client INTEGER NOT NULL REFERENCES client ON DELETE CASCADE, day TEXT NOT NULL,
    unit TEXT NOT NULL, by_whom TEXT NOT NULL, wearer TEXT NOT NULL, lengths TEXT NOT NULL, sum TEXT NOT NULL,
    PRIMARY KEY (client, day)) WITHOUT ROWID;
CREATE TABLE made (client INTEGER NOT NULL REFERENCES client ON DELETE CASCADE, number INTEGER NOT NULL,
    told TEXT NOT NULL, sum TEXT NOT NULL, PRIMARY KEY (client, number)) WITHOUT ROWID;
CREATE TABLE to_clean (since TEXT NOT NULL)
"""
"""`lengths`: {name: [mm, typed, day]}; `told`: what a `Made` says; `sum`: of all that stands before it in the row.
`to_clean` has a row from `forget` until the file was written anew."""
_BUSY: Final = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
_DAMAGED: Final = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)


def book_path(environment: Mapping[str, str] | None = None) -> Path:
    """Where the book lies; it need not exist."""
    env = os.environ if environment is None else environment
    if env.get("OAKTAG_BOOK"):
        return Path(env["OAKTAG_BOOK"])
    if env.get("XDG_DATA_HOME"):
        return Path(env["XDG_DATA_HOME"]) / "oaktag" / "clients.book"
    try:
        home = Path.home()
    except RuntimeError:  # a user that is in no list of users
        home = Path(os.sep, "nonexistent")
    return home / ".local" / "share" / "oaktag" / "clients.book"


@dataclass(frozen=True, slots=True)
class Row:
    """A client in the list: how often she was measured, when last, how much was made for her; and her number, which
    stays hers."""

    name: str
    wearer: str
    sittings: int
    last: str
    made: int
    number: int


class Book:
    """The open book. InputError for what is asked wrongly, DeviceError for what the file or the disk does not give."""

    def __init__(self, path: Path, *, create: bool = False, wait: float | None = None) -> None:
        """Opens the book, and looks it through; with `create` a new one where there is none."""
        self.path = path
        self.where = Where("".join(c if c.isprintable() else "\ufffd" for c in str(path)))
        self.notes: list[str] = []
        self._found(create)
        with self._told():
            uri = f"file:{_quoted(str(path.resolve()))}?mode=rw"
            wait = WAIT if wait is None else wait
            self._db = sqlite3.connect(uri, timeout=wait, isolation_level=None, uri=True)
        try:
            with self._told():
                self._settle()
        except BaseException:
            self._db.close()
            raise

    def __enter__(self) -> Book:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self._db.close()

    # ------------------------------------------------------------------------------------------------------ the file

    def _found(self, create: bool) -> None:
        """There is a file, for its owner alone; the folder of a new one is as well."""
        try:
            try:
                mode = self.path.stat().st_mode
            except FileNotFoundError:
                if not create:
                    raise InputError(
                        "there is no measurement book yet", where=self.where,
                        instead='Write oaktag book add "rosa", which begins one',
                    ) from None  # fmt: skip
                self.path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
                with suppress(FileExistsError):
                    os.close(os.open(self.path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
                return
            if not stat.S_ISREG(mode):
                raise InputError("is not an ordinary file", where=self.where, expected="a measurement book")
            if os.name == "posix" and mode & 0o077:
                self.path.chmod(0o600)
                self.notes.append(f"{self.where}: others could read the book; it is yours alone now.")
        except (OSError, ValueError) as error:  # ValueError: a null character in the path
            raise self._failed(error) from None

    def _settle(self) -> None:
        """Checked, begun where it is empty, cleaned where a `forget` was cut short."""
        db = self._db
        for pragma in ("foreign_keys=ON", "secure_delete=ON", "temp_store=MEMORY", "synchronous=EXTRA",
                       "cell_size_check=ON", "trusted_schema=OFF"):  # fmt: skip
            db.execute(f"PRAGMA {pragma}")
        if self._one("PRAGMA journal_mode") != "delete":
            db.execute("PRAGMA journal_mode=DELETE")
        if self._one("PRAGMA user_version") == 0 and self._one("SELECT count(*) FROM sqlite_master") == 0:
            with self.changing():
                if self._one("PRAGMA user_version") == 0 and self._one("SELECT count(*) FROM sqlite_master") == 0:
                    for line in _SCHEMA.split(";"):
                        db.execute(line)
                    db.execute(f"PRAGMA application_id={IDENTITY}")
                    db.execute(f"PRAGMA user_version={VERSION}")
        if self._one("PRAGMA application_id") != IDENTITY:
            raise InputError(
                "this is not a measurement book", where=self.where, expected="one that oaktag book began",
                instead="Name another file with --book, or in OAKTAG_BOOK",
            )  # fmt: skip
        version = cast(int, self._one("PRAGMA user_version"))
        if version > VERSION:
            raise InputError(
                f"the book was written by a newer oaktag (its version is {version})", where=self.where,
                expected=f"version {VERSION}", instead="Install the newer oaktag; nothing was changed here",
            )  # fmt: skip
        tables = [
            row[0].strip() for row in db.execute("SELECT sql FROM sqlite_master WHERE sql NOT NULL ORDER BY rowid")
        ]
        whole = 1 <= version <= VERSION and tables == [line.strip() for line in _SCHEMA.split(";")]
        if not whole or self._one("PRAGMA integrity_check(1)") != "ok":
            raise self._damaged("it does not hang together")
        if self._one("SELECT count(*) FROM to_clean"):
            with suppress(OaktagError), self._told():  # not now: another time
                self._clean()

    def _one(self, question: str, *values: object) -> object:
        row = self._db.execute(question, values).fetchone()
        return row[0] if row is not None else None

    # -------------------------------------------------------------------------------------------------- what goes wrong

    @contextmanager
    def _told(self) -> Iterator[None]:
        """What SQLite and the system say becomes a sentence."""
        try:
            yield
        except (sqlite3.Error, OSError, UnicodeError) as error:  # UnicodeError: in what SQLite says of a damaged book
            raise self._failed(error) from error

    def _failed(self, error: Exception) -> DeviceError:
        code = getattr(error, "sqlite_errorcode", 0) & 0xFF
        number = getattr(error, "errno", None)
        if code in _BUSY:
            return DeviceError(
                f"{self.where}: another oaktag is writing into the book. Nothing was changed. Try again in a moment."
            )
        if code == sqlite3.SQLITE_FULL or number in (errno.ENOSPC, errno.EDQUOT):
            return DeviceError(f"{self.where}: the disk is full. Free some space. Nothing was changed.")
        if code in _DAMAGED:
            return self._damaged("it is no whole book")
        if code == sqlite3.SQLITE_READONLY or number == errno.EROFS:
            return DeviceError(f"{self.where}: the book can only be read. Change its permissions. Nothing was changed.")
        if code in (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM, sqlite3.SQLITE_AUTH) or number is not None:
            why = getattr(error, "strerror", None) or "the file or its folder may not be written"
            return DeviceError(
                f"{self.where}: the book cannot be opened: {why}. Change its permissions, or name another with --book."
            )
        if code == sqlite3.SQLITE_IOERR:
            return DeviceError(
                f"{self.where}: the disk does not take or give what it should; it may be full. Nothing was changed."
            )
        return self._damaged("a text in it cannot be read")

    def _damaged(self, why: str) -> DeviceError:
        return DeviceError(
            f"{self.where}: the book is damaged: {why}. Nothing was changed. Give the file another name, do not "
            "throw it away, and copy your last backup (oaktag book backup) to its place."
        )

    # --------------------------------------------------------------------------------------------------------- writing

    @contextmanager
    def changing(self) -> Iterator[None]:
        """All that is done within is written, or nothing of it; nobody else writes meanwhile."""
        with self._told():
            self._db.execute("BEGIN IMMEDIATE")
            try:
                yield
                self._db.execute("COMMIT")
            except BaseException:
                with suppress(sqlite3.Error):
                    self._db.execute("ROLLBACK")
                raise

    def add(self, client: Client) -> None:
        """A new client, without her sittings; InputError where there is one of that name."""
        name = name_of(client.name)
        if (there := self._named(name)) is not None:
            raise InputError(
                f"{spoken(there)} is in the book already", where=self.where, expected="a name of her own",
                instead=f"Write oaktag book show {spoken(there)}, or another name",
            )  # fmt: skip
        number = self._one("SELECT ifnull(max(id), 0) + 1 FROM client")
        row = _summed(number, key_of(name), name, client.wearer, client.note)
        self._db.execute("INSERT INTO client VALUES (?, ?, ?, ?, ?, ?)", row)

    def put_client(self, client: Client) -> None:
        """Another wearer or note for a client of the book."""
        number = self._id(client.name)
        *_, own = _summed(number, key_of(client.name), client.name, client.wearer, client.note)
        self._db.execute(
            "UPDATE client SET wearer = ?, note = ?, sum = ? WHERE id = ?", (client.wearer, client.note, own, number)
        )

    def put_sitting(self, name: str, sitting: Sitting) -> None:
        """A sitting, in place of that of the same day."""
        lengths = {one: (taken.mm, taken.typed, taken.day) for one, taken in sitting.lengths.items()}
        self._db.execute(
            "INSERT OR REPLACE INTO sitting VALUES (?, ?, ?, ?, ?, ?, ?)",
            _summed(self._id(name), sitting.day, sitting.unit, sitting.by, sitting.wearer, _json(lengths)),
        )

    def put_made(self, name: str, made: Made, number: int = 0) -> int:
        """A garment that was made for her, the next or in place of that number; which it has."""
        client = self._id(name)
        number = number or 1 + cast(int, self._one("SELECT ifnull(max(number), 0) FROM made WHERE client = ?", client))
        told = [made.day, made.garment, made.title, made.file, made.sha256, made.version, made.measured]
        told.append(cast(Any, [(fitting.day, fitting.words) for fitting in made.fittings]))
        if made.asks:
            told.append(cast(Any, [(ask.fault, ask.amount, ask.side, ask.seam, ask.level) for ask in made.asks]))
            self._db.execute(f"PRAGMA user_version={VERSION}")
        self._db.execute("INSERT OR REPLACE INTO made VALUES (?, ?, ?, ?)", _summed(client, number, _json(told)))
        return number

    def made_again(self, name: str, made: Made) -> int:
        """A garment that the program made: in place of the last from the same job file, unless that was fitted."""
        earlier = self.client(name).made
        for number in range(len(earlier), 0, -1):
            last = earlier[number - 1]
            if made.file and (last.file, last.garment) == (made.file, made.garment):
                return self.put_made(name, made, 0 if last.fittings else number)
        return self.put_made(name, made)

    def forget(self, name: str, day: str = "") -> str:
        """Takes a client out wholly, or her sitting of a day, and writes the file anew without; her name as it stood.

        DeviceError where she is out, but the file could not be written anew: that is done when it is next opened.
        """
        client, told = self._id(name), cast(str, self._named(name))
        with self.changing():
            if day:
                self._db.execute("DELETE FROM sitting WHERE client = ? AND day = ?", (client, day))
            else:
                self._db.execute("DELETE FROM client WHERE id = ?", (client,))
            self._db.execute("INSERT INTO to_clean VALUES ('')")
        try:
            with self._told():
                self._clean()
        except DeviceError as error:
            why = str(error).removesuffix(" Nothing was changed.")
            what = f"{spoken(told)}, {day}," if day else spoken(told)
            raise DeviceError(
                f"{what} is out of the book, but the file could not be cleaned of what was left in it: {why} "
                "It is done when oaktag book is next used; until then bytes of her may be found in the file."
            ) from error
        return told

    def _clean(self) -> None:
        """Only live rows are in the file afterwards. The row that asks for it goes when it is done, overwritten."""
        self._db.execute("VACUUM")
        with self.changing():
            self._db.execute("DELETE FROM to_clean")

    # --------------------------------------------------------------------------------------------------------- reading

    def rows(self) -> tuple[Row, ...]:
        """All clients, by name."""
        with self._told():
            found = self._db.execute(
                "SELECT c.id, c.key, c.name, c.wearer, c.note, c.sum, count(s.day), ifnull(max(s.day), ''),"
                " (SELECT count(*) FROM made m WHERE m.client = c.id)"
                " FROM client c LEFT JOIN sitting s ON s.client = c.id GROUP BY c.id ORDER BY c.key"
            ).fetchall()
        if any(_sum(row[:5]) != row[5] for row in found):
            raise self._damaged("a row is not as it was written")
        return tuple(Row(row[2], row[3], row[6], row[7], row[8], row[0]) for row in found)

    def client(self, name: str, where: Where | None = None) -> Client:
        """One client with all that is known of her; InputError, at `where`, if there is none of that name."""
        with self._told():
            number = self._id(name, where)
            (found,) = self._clients("WHERE id = ?", "WHERE client = ?", (number,))
        return found

    def clients(self) -> tuple[Client, ...]:
        """All of them, by name."""
        with self._told():
            return self._clients("", "", ())

    def has(self, name: str) -> bool:
        with self._told():
            return self._named(name) is not None

    def image(self) -> bytes:
        """The whole book as a file holds it, of one moment."""
        with self._told():
            data: bytes = self._db.serialize()
            return data

    def _named(self, name: str) -> str | None:
        return cast("str | None", self._one("SELECT name FROM client WHERE key = ?", key_of(name)))

    def _id(self, name: str, where: Where | None = None) -> int:
        number = self._one("SELECT id FROM client WHERE key = ?", key_of(name))
        if number is not None:
            return cast(int, number)
        keys = dict(self._db.execute("SELECT key, name FROM client"))
        near = [keys[key] for key in get_close_matches(key_of(name)[:60], keys, n=2, cutoff=0.7)]
        raise InputError(
            f"{spoken(name)} is not in the measurement book", where=where or self.where,
            expected="a client's name, as oaktag book list tells it",
            instead=f"Write {' or '.join(map(spoken, near))}" if near else f"Write oaktag book add {spoken(name)}",
        )  # fmt: skip

    def _clients(self, of: str, by: str, values: Sequence[object]) -> tuple[Client, ...]:
        sittings: dict[int, list[Sitting]] = {}
        made: dict[int, list[Made]] = {}
        db, told = self._db, ""
        alone = not db.in_transaction
        try:
            if alone:
                db.execute("BEGIN")  # all of one moment
            for row in db.execute(f"SELECT * FROM sitting {by} ORDER BY client, day", values):
                sittings.setdefault(row[0], []).append(_sitting(_proven(row)))
            for row in db.execute(f"SELECT * FROM made {by} ORDER BY client, number", values):
                made.setdefault(row[0], []).append(_made(_proven(row)[2]))
            found = []
            for row in db.execute(f"SELECT id, key, name, wearer, note, sum FROM client {of} ORDER BY key", values):
                told = f" of {spoken(row[2])}"
                _proven(row)
                number, _, name, wearer, note, _ = row
                own = tuple(sittings.get(number, ()))
                found.append(Client(name, _wearer(wearer), note, own, tuple(made.get(number, ()))))
        except (ValueError, TypeError, LookupError):
            raise self._damaged(f"a row{told} is not as it was written") from None
        finally:
            if alone and db.in_transaction:
                db.execute("ROLLBACK")
        return tuple(found)


# ------------------------------------------------------------------------------------------------------- rows and sums


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def _sum(fields: Iterable[object]) -> str:
    return hashlib.sha256(_json(list(fields)).encode()).hexdigest()[:16]


def _summed(*fields: object) -> tuple[object, ...]:
    return (*fields, _sum(fields))


def _proven(row: Sequence[Any]) -> Sequence[Any]:
    if _sum(row[:-1]) != row[-1]:
        raise ValueError("another sum")
    return row


def _wearer(text: str) -> Any:
    if text not in ("", *WEARERS):
        raise ValueError(text)
    return cast(Wearer, text)


def _sitting(row: Sequence[Any]) -> Sitting:
    _, day, unit, by, wearer, lengths, _ = row
    known = next(one for one in UNITS if one == unit)
    taken = {name: Taken(*values) for name, values in json.loads(lengths).items()}
    return Sitting(day, known, by, _wearer(wearer), taken)


def _made(told: str) -> Made:
    day, garment, title, file, sha256, version, measured, fittings, *asks = json.loads(told)
    made = Made(day, garment, title, file, sha256, version, measured, tuple(Fitting(*one) for one in fittings))
    return replace(made, asks=tuple(Ask(*one) for one in asks[0])) if asks else made


def _quoted(path: str) -> str:
    """A path within a file: URI."""
    from urllib.parse import quote

    return quote(path)
