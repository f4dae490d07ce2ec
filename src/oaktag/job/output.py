"""What a job says of its files: the keys of [output]."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from ..body.measurements import spoken
from ..device.profile import DeviceProfile
from ..device.store import find_device
from ..formats import asked_for, taken_by, usual, words_of
from ..sheet.paper import PAPERS, usual_paper
from .model import Output, SizeSet
from .reader import Read, Reader
from .sizes import size_names


def output_of(reader: Reader, table: str) -> Output:
    """Every key of the table that is given; what is not given is as usual."""
    reader.refuse_others(reader.table(table), reader.below(table), table)
    found = {name: reader.of(table, name) for name in reader.below(table)}
    found["profile"] = found.pop("device")
    return Output(**{name: value for name, value in found.items() if value is not None})


def word(kind: str, choices: tuple[str, ...]) -> Read:
    """What reads one of a few words; `kind` says what they are."""

    def read(reader: Reader, *keys: str) -> str | None:
        typed = reader.typed(*keys)
        return str(typed) if typed is not None and reader.one_of(typed, choices, kind, *keys) else None

    return read


def paper_of(reader: Reader, *keys: str) -> str:
    """The paper of the pages; where none is named, the usual one where the job's unit is."""
    named: str | None = word("paper", tuple(PAPERS))(reader, *keys)
    return usual_paper(reader.of("units")) if named is None else named


def print_client_of(reader: Reader, *keys: str) -> bool:
    """Whether the client's name is printed."""
    named = reader.typed(*keys)
    if named is not None and not isinstance(named, bool):
        found, instead = f"{spoken(named)} is neither true nor false", "Write print_client = true"
        reader.fault(found, *keys, expected="true or false", instead=instead)
    elif named and not reader.values.get("client"):
        found = "the client's name is to be printed, and none is given"
        reader.fault(found, *keys, instead='Write client = "..." at the top of the file')
    return named is True


def lay_of(reader: Reader, *keys: str) -> Path | None:
    """The kept lay that is named, beside the job; it is read once the pattern is made."""
    name = reader.typed(*keys)
    if name is None:
        return None
    if not isinstance(name, str) or not name.strip() or not name.isprintable():
        reader.fault(f"{spoken(name)} is not a file", *keys, expected='lay = "lay.json"')
        return None
    found = reader.beside / name
    if not found.is_file():
        reader.fault(
            f"{spoken(name)}: no such file", *keys, expected="a lay that oaktag lay has written",
            instead="Write it with oaktag lay, or remove the line",
        )  # fmt: skip
        return None
    return found


def device_of(reader: Reader, *keys: str) -> DeviceProfile | None:
    """The profile that a key names, by its name or by a TOML file beside the job."""
    name = reader.typed(*keys)
    if name is None:
        return None
    if not names_a_profile(name) and not reader.one_of(name, reader.known.devices, "device", *keys):
        return None
    profile = reader.take(lambda: find_device(str(name), beside=reader.beside))
    prints = keys[-1] == "printer"
    if profile is not None and (profile.language == "pdf") != prints:
        other = "a printer of pages" if prints else "a plotter or a cutter"
        instead = f'Write {"device" if prints else "printer"} = "{name}"'
        reader.fault(f"{spoken(name)} is {profile.words}", *keys, expected=other, instead=instead)
        return None
    return profile


def names_a_profile(value: object) -> bool:
    """Whether a device is a TOML file beside the job."""
    return isinstance(value, str) and value.endswith(".toml")


def formats_of(reader: Reader, *keys: str) -> tuple[str, ...]:
    """What is asked for; else the usual, with what the device takes in place of HP-GL."""
    profile: DeviceProfile | None = reader.of("output", "device")
    language = profile.language if profile is not None else ""
    known, typed = words_of(job=True), reader.typed(*keys)
    formats = list(usual(language)) if typed is None else typed
    if not isinstance(formats, list) or len(formats) > 20:
        example = formats if isinstance(formats, str) and formats in known else "pdf"
        found = f"{spoken(formats)} is not a short list of formats"
        reader.fault(found, *keys, expected="a list", instead=f'Write formats = ["{example}"]')
        return ()
    chosen = tuple(dict.fromkeys(str(form) for form in formats if reader.one_of(form, known, "format", *keys)))
    for row in asked_for(chosen):
        if profile is not None and row.only_those and language not in row.languages:
            takes = taken_by(language).word
            listed = ", ".join(f'"{takes if form == row.word else form}"' for form in chosen)
            reader.fault(
                f'"{row.word}" is asked for, and {profile.name} takes {language.upper()}', *keys,
                expected=f'"{takes}"', instead=f"Write formats = [{listed}]",
            )  # fmt: skip
    return chosen


def picked_sizes_of(reader: Reader, *keys: str) -> Mapping[str, tuple[str, ...]]:
    """`sizes = ["10"]` for all formats, or `sizes = { pdf = ["12"] }` by format."""
    value, sizes = reader.typed(*keys), reader.of("sizes")
    if value is None:
        return {}
    if not isinstance(sizes, SizeSet):
        if "sizes" not in reader.values:
            reader.fault("sizes are picked, and the job has one body", *keys, instead="Remove the line")
        return {}
    if not isinstance(value, dict):
        return {"": size_names(reader, value, sizes.make, *keys)}
    return {
        form: size_names(reader, names, sizes.make, *keys, form)
        for form, names in value.items()
        if reader.one_of(form, words_of(job=True), "format", *keys, form)
    }
