"""Device profiles as TOML: those that ship, a maker's own, one beside a job; and the corrections kept with them.

A maker's own lie in one folder: `OAKTAG_DEVICES`, else `oaktag/devices` below `XDG_CONFIG_HOME` or `~/.config` (XDG
Base Directory Specification). A correction lies there as `NAME.correction.toml`: so one that ships can have one, too.
"""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Mapping, Sequence
from contextlib import suppress
from difflib import get_close_matches
from math import isfinite
from pathlib import Path
from typing import Any, Final

from ..errors import DeviceError, InputError, InputErrors, Where
from ..units import natural, whole
from ..values import dataclass, replace
from .correction import REFUSE, SQUARE, Correction, Reading
from .profile import (
    FLOWS,
    HPGL2_LEAST,
    HPGL2_MOST,
    HPGL_MOST,
    LANGUAGES,
    LONGEST,
    ROLES,
    UNIT,
    Blade,
    DeviceProfile,
    Laser,
    Link,
)

_SHIPPED: Final = Path(__file__).with_name("devices")
LARGEST_FILE: Final = 100_000
_NAME: Final = re.compile(r"[a-z0-9][a-z0-9-]{0,59}")
_LINE_ENDS: Final = {"lf": "\n", "crlf": "\r\n", "cr": "\r", "none": ""}


def folder(environment: Mapping[str, str] | None = None) -> Path:
    """Where a maker's own profiles and all corrections lie; it need not exist."""
    env = os.environ if environment is None else environment
    if env.get("OAKTAG_DEVICES"):
        return Path(env["OAKTAG_DEVICES"])
    return (Path(env["XDG_CONFIG_HOME"]) if env.get("XDG_CONFIG_HOME") else _home() / ".config") / "oaktag" / "devices"


def _home() -> Path:
    """Where whoever runs us is at home; a user that is in no list of users has none, and keeps nothing."""
    try:
        return Path.home()
    except RuntimeError:
        return Path(os.sep, "nonexistent")


def shipped_names() -> tuple[str, ...]:
    """The profiles that ship, in the order in which they are listed: by kind, then by width."""
    return tuple(sorted((entry.stem for entry in _SHIPPED.glob("*.toml")), key=natural))


def own_names(place: Path | None = None) -> tuple[str, ...]:
    """The profiles in the maker's folder."""
    try:
        found = [p.stem for p in (place or folder()).glob("*.toml") if not p.name.endswith(".correction.toml")]
    except OSError:
        return ()
    return tuple(sorted(found, key=natural))


def device_names(place: Path | None = None) -> tuple[str, ...]:
    """All that can be named in a job; a maker's own hides one that ships under the same name."""
    return tuple(sorted({*shipped_names(), *own_names(place)}, key=natural))


def find_device(name: str, *, beside: Path | None = None, place: Path | None = None) -> DeviceProfile:
    """The profile of that name with its correction; or that in a TOML file, `beside` the job if the path is relative.

    Raises InputError for an unknown name, InputErrors with all mistakes of a profile.
    """
    own = place or folder()
    if name.endswith(".toml"):
        path = (beside or Path()) / name
        profile = read_profile(_text(path, name), path.stem, name)
    elif (own / f"{name}.toml").is_file() and _NAME.fullmatch(name):
        path = own / f"{name}.toml"
        profile = read_profile(_text(path, str(path)), name, str(path))
    elif name in shipped_names():
        text = (_SHIPPED / f"{name}.toml").read_text(encoding="utf-8")
        profile = read_profile(text, name, f"{name}.toml")
    else:
        near = get_close_matches(name, device_names(place), n=1)
        raise InputError(
            f'there is no device "{name}"',
            expected=f"one of {', '.join(device_names(place))}, or a TOML file",
            instead=f'Write "{near[0]}"' if near else "",
        )
    stored = own / f"{profile.name}.correction.toml"
    if stored.is_file():
        return replace(profile, correction=_read_correction(_text(stored, str(stored)), str(stored)))
    return profile


def stored_correction(name: str, place: Path | None = None) -> Path:
    """Where the correction of a device is kept."""
    return (place or folder()) / f"{name}.correction.toml"


def kept_readings(name: str, place: Path | None = None) -> tuple[Reading, ...]:
    """The readings that the correction of a device was made from, the last one last; none where it has no correction,
    or one of a time when they were not kept. Raises InputErrors for a file that was damaged."""
    path = stored_correction(name, place)
    if not path.is_file():
        return ()
    text = _text(path, str(path))
    _read_correction(text, str(path))
    reader = _Reader(text, str(path), [])
    rows = tomllib.loads(text).get("readings", [])
    found: list[Reading] = []
    for row in rows if isinstance(rows, list) else [rows]:
        if not (
            isinstance(row, list)
            and len(row) in (2, 4)
            and all(type(n) in (int, float) and 0 < n < 10 * SQUARE for n in row)
        ):
            reader.wrong("readings", row, "lists of two or four lengths in mm")
            raise InputErrors(reader.errors)
        found.append(Reading(row[0], row[1], (row[2], row[3]) if len(row) == 4 else None))
    return tuple(found)


def keep_correction(
    name: str, correction: Correction, words: str, place: Path | None = None, *, readings: Sequence[Reading] = ()
) -> Path:
    """Writes the correction of a device, whole or not at all; `words` tell what it was made from, as do the readings.

    Raises DeviceError where it cannot be written.
    """
    path = stored_correction(name, place)
    text = (
        f"# The correction of {name}: {words}\n"
        "# A point (x, y) of a sheet, x across and y along, is sent as (xx x + xy y, yx x + yy y).\n"
        f"xx = {correction.xx:.9f}\nxy = {correction.xy:.9f}\nyx = {correction.yx:.9f}\nyy = {correction.yy:.9f}\n"
        "# What it was made from, each measured on a print with those before: across, along, both diagonals.\n"
        f"readings = {[list(reading.lengths) for reading in readings]}\n"
    )
    beside = path.with_name(f".{path.name}.new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        beside.write_text(text, encoding="utf-8")
        beside.replace(path)
    except OSError as error:
        with suppress(OSError):
            beside.unlink(missing_ok=True)
        raise DeviceError(f"{path}: the correction cannot be kept: {error.strerror or error}") from None
    return path


def forget_correction(name: str, place: Path | None = None) -> bool:
    """Removes the correction of a device; whether there was one."""
    path = stored_correction(name, place)
    try:
        path.unlink()
    except FileNotFoundError:
        return False
    except OSError as error:
        raise DeviceError(f"{path}: the correction cannot be removed: {error.strerror or error}") from None
    return True


def was_seen(name: str, place: Path | None = None) -> bool:
    """Whether the cautions of a device were shown before."""
    return ((place or folder()) / f"{name}.seen").exists()


def mark_seen(name: str, place: Path | None = None) -> None:
    """Remembers that they were; where that cannot be kept they are shown again."""
    path = (place or folder()) / f"{name}.seen"
    with suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.touch()


def _text(path: Path, name: str) -> str:
    try:
        data = path.read_bytes() if path.stat().st_size <= LARGEST_FILE else b""
    except FileNotFoundError:
        raise InputError("no such file", where=Where(name), expected="a device profile (TOML)") from None
    except OSError as error:
        raise InputError(f"cannot be read: {error.strerror}", where=Where(name), expected="a device profile") from None
    if not data:
        raise InputError("is empty, or larger than 0.1 MB", where=Where(name), expected="a device profile (TOML)")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError("the text is not UTF-8", where=Where(name), instead="Save the file as UTF-8") from None


# ---- TOML -> profile


@dataclass(frozen=True, slots=True)
class _Reader:
    """The table of a profile; every mistake is kept with its place."""

    text: str
    file: str
    errors: list[InputError]

    def where(self, key: str) -> Where:
        last = key.rpartition(".")[2]
        match = re.search(rf"(?m)^[ \t]*\"?{re.escape(last)}\"?[ \t]*=", self.text)
        return Where(self.file, self.text.count("\n", 0, match.start()) + 1 if match else 0, key)

    def wrong(self, key: str, value: object, expected: str, instead: str = "") -> None:
        shown = repr(value) if len(repr(value)) <= 40 else f"{repr(value)[:37]}..."
        self.errors.append(InputError(f"found {shown}", where=self.where(key), expected=expected, instead=instead))

    def number(
        self, table: Mapping[str, Any], key: str, usual: float, least: float, most: float, at: str = ""
    ) -> float:
        value = table.get(key, usual)
        if type(value) in (int, float) and isfinite(value) and least <= value <= most:
            return float(value)
        self.wrong(at + key, value, f"a number from {least:g} to {most:g}")
        return usual

    def whole(self, table: Mapping[str, Any], key: str, usual: int, least: int, most: int, at: str = "") -> int:
        value = table.get(key, usual)
        if type(value) is int and least <= value <= most:
            return value
        self.wrong(at + key, value, f"a whole number from {least:,} to {most:,}")
        return usual

    def word(self, table: Mapping[str, Any], key: str, usual: str, known: tuple[str, ...], at: str = "") -> str:
        value = table.get(key, usual)
        if isinstance(value, str) and value in known:
            return value
        near = get_close_matches(str(value), known, n=1)
        self.wrong(at + key, value, f"one of {', '.join(known)}", f'Write "{near[0]}"' if near else "")
        return usual

    def truth(self, table: Mapping[str, Any], key: str, usual: bool) -> bool:
        value = table.get(key, usual)
        if isinstance(value, bool):
            return value
        self.wrong(key, value, "true or false")
        return usual

    def short(self, table: Mapping[str, Any], key: str, usual: str, most: int = 200) -> str:
        value = table.get(key, usual)
        if isinstance(value, str) and len(value) <= most and all(c.isprintable() for c in value):
            return value
        self.wrong(key, value, f"a text of at most {most} characters")
        return usual

    def table(self, data: Mapping[str, Any], key: str, keys: tuple[str, ...] | None) -> Mapping[str, Any]:
        value = data.get(key, {})
        if not isinstance(value, dict):
            self.wrong(key, value, f"a table [{key}]")
            return {}
        if keys is not None:
            self.refuse_others(value, keys, f"{key}.")
        return value

    def refuse_others(self, table: Mapping[str, Any], keys: tuple[str, ...], at: str = "") -> None:
        for key in table:
            if key not in keys:
                near = get_close_matches(key, keys, n=1)
                self.errors.append(
                    InputError(
                        "is not a key of a device",
                        where=self.where(at + key),
                        expected=f"one of {', '.join(keys)}",
                        instead=f"Write {near[0]}" if near else "",
                    )
                )


_KEYS: Final = (
    "words", "language", "width", "length", "margins", "unit", "origin", "axis", "range", "longest", "frame",
    "frame_advance", "pens", "speed", "force", "line_end", "points_a_command", "sends_page_size", "advance", "cuts_off",
    "link", "blade", "laser", "cautions",
)  # fmt: skip


def read_profile(text: str, name: str, file: str) -> DeviceProfile:
    """The profile in a TOML text. Raises InputErrors with every mistake."""
    try:
        data = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError, ValueError) as error:
        raise InputErrors([InputError(f"this is not TOML: {error}", where=Where(file))]) from None
    reader = _Reader(text, file, [])
    reader.refuse_others(data, _KEYS)
    if not _NAME.fullmatch(name):
        reader.errors.append(
            InputError(
                f"{name!r} cannot be the name of a device",
                where=Where(file),
                expected="small letters, digits and hyphens",
                instead="Give the file such a name",
            )
        )
    language = reader.word(data, "language", "hpgl2", tuple(LANGUAGES))
    if "width" not in data and language != "pdf":
        reader.errors.append(InputError("has no width", where=Where(file, 0, "width"), expected="width = 914, in mm"))
    margins = reader.table(data, "margins", ("side", "start", "end"))
    width = reader.number(data, "width", 914.0, 100.0, 6000.0)
    length = reader.number(data, "length", 0.0, 100.0, 100_000.0) if "length" in data else None
    old = language == "hpgl"
    most = HPGL_MOST if old else HPGL2_MOST
    bounds = data.get("range", [-HPGL_MOST if old else HPGL2_LEAST, most])
    if not (isinstance(bounds, list) and len(bounds) == 2 and all(type(n) is int for n in bounds)
            and -(2**30) <= bounds[0] <= 0 < bounds[1] < 2**30):  # fmt: skip
        reader.wrong("range", bounds, "two whole numbers, such as [-32768, 32767]")
        bounds = [0, most]
    frame = reader.number(data, "frame", 0.0, 100.0, 20_000.0) if "frame" in data else None
    blade, laser = _blade(reader, data), _laser(reader, data)
    if blade is not None and laser is not None:
        reader.errors.append(
            InputError("has both [blade] and [laser]", where=reader.where("laser"), expected="one of them")
        )
    if blade is not None and frame is not None:
        found = "has both a frame and [blade]: a knife cannot cut over a join, as its holder is led beyond it"
        reader.errors.append(InputError(found, where=reader.where("frame"), expected="one of them"))
    cautions = data.get("cautions", [])
    if not (
        isinstance(cautions, list)
        and len(cautions) <= 20
        and all(isinstance(c, str) and len(c) < 600 for c in cautions)
    ):
        reader.wrong("cautions", cautions, "a list of sentences")
        cautions = []
    profile = DeviceProfile(
        name=name,
        words=reader.short(data, "words", name),
        width=width,
        length=length,
        language=language,
        side=reader.number(margins, "side", 5.0, 0.0, 100.0, "margins."),
        start=reader.number(margins, "start", 0.0, 0.0, 300.0, "margins."),
        end=reader.number(margins, "end", 0.0, 0.0, 300.0, "margins."),
        unit=reader.number(data, "unit", UNIT, 0.001, 0.2),
        origin=reader.word(data, "origin", "corner", ("corner", "centre")),
        axis=reader.word(data, "axis", "along", ("along", "across")),
        least=bounds[0],
        most=bounds[1],
        longest=reader.number(data, "longest", LONGEST, 100.0, 100_000.0),
        frame=frame,
        frame_advance=reader.short(data, "frame_advance", "FR;" if not old else "AF;", 20),
        pens=_pens(reader, data),
        speed=_by_pen(reader, data, "speed", 0.1, 200.0),
        force=_by_pen(reader, data, "force", 1.0, 1000.0),
        line_end=_LINE_ENDS[reader.word(data, "line_end", "lf", tuple(_LINE_ENDS))],
        points_a_command=reader.whole(data, "points_a_command", 12, 1, 100),
        sends_page_size=reader.truth(data, "sends_page_size", not old),
        advance=reader.short(data, "advance", "" if old else "PG;", 20),
        cuts_off=reader.truth(data, "cuts_off", False),
        link=_link(reader, data),
        blade=blade,
        laser=laser,
        cautions=tuple(cautions),
    )
    if min(profile.width - 2 * profile.side, (length or 1000.0) - profile.start - profile.end) < 80.0:
        reader.errors.append(
            InputError("leaves less than 80 mm between its margins", where=reader.where("margins"), expected="room")
        )
    if reader.errors:
        raise InputErrors(reader.errors)
    return profile


def _pens(reader: _Reader, data: Mapping[str, Any]) -> Mapping[str, int]:
    table = reader.table(data, "pens", ROLES)
    return {role: reader.whole(table, role, 1, 0, 32, "pens.") for role in table if role in ROLES}


def _by_pen(reader: _Reader, data: Mapping[str, Any], key: str, least: float, most: float) -> Mapping[int, float]:
    """`speed = 30`, for every pen; or `[speed]` with a line a pen: `1 = 30`."""
    value = data.get(key, {})
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return {0: reader.number(data, key, 1.0, least, most)}
    table = reader.table(data, key, None)
    for pen in table:
        if not 1 <= (whole(pen) or 0) <= 32:
            reader.wrong(f"{key}.{pen}", pen, "the number of a pen, 1 to 32")
    return {int(pen): reader.number(table, pen, 1.0, least, most, f"{key}.") for pen in table if whole(pen)}


def _link(reader: _Reader, data: Mapping[str, Any]) -> Link:
    keys = ("flow", "baud", "bits", "parity", "stop_bits", "buffer", "at")
    table = reader.table(data, "link", keys)
    return Link(
        flow=reader.word(table, "flow", "none", FLOWS, "link."),
        baud=reader.whole(table, "baud", 9600, 75, 4_000_000, "link."),
        bits=reader.whole(table, "bits", 8, 7, 8, "link."),
        parity=reader.word(table, "parity", "none", ("none", "even", "odd"), "link."),
        stop_bits=reader.whole(table, "stop_bits", 1, 1, 2, "link."),
        buffer=reader.whole(table, "buffer", 1024, 16, 1 << 20, "link."),
        at=reader.short(table, "at", "", 300),
    )


def _blade(reader: _Reader, data: Mapping[str, Any]) -> Blade | None:
    if "blade" not in data:
        return None
    table = reader.table(data, "blade", ("offset", "overcut", "swivel_deg", "tabs", "tab_width"))
    return Blade(
        reader.number(table, "offset", 0.25, 0.0, 5.0, "blade."),
        reader.number(table, "overcut", 1.0, 0.0, 20.0, "blade."),
        reader.number(table, "swivel_deg", 20.0, 2.0, 90.0, "blade."),
        reader.whole(table, "tabs", 0, 0, 100, "blade."),
        reader.number(table, "tab_width", 0.8, 0.1, 20.0, "blade."),
    )


def _laser(reader: _Reader, data: Mapping[str, Any]) -> Laser | None:
    if "laser" not in data:
        return None
    table = reader.table(data, "laser", ("kerf",))
    return Laser(reader.number(table, "kerf", 0.2, 0.0, 10.0, "laser."))


def _read_correction(text: str, file: str) -> Correction:
    try:
        data = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError, ValueError) as error:
        raise InputErrors([InputError(f"this is not TOML: {error}", where=Where(file))]) from None
    reader = _Reader(text, file, [])
    near = 2 * REFUSE

    def number(key: str, usual: float) -> float:
        return reader.number(data, key, usual, usual - near, usual + near)

    correction = Correction(number("xx", 1.0), number("xy", 0.0), number("yx", 0.0), number("yy", 1.0))
    if reader.errors:
        raise InputErrors(reader.errors)
    return correction
