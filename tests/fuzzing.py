"""Odd words and odd files for every verb, from a seed: what is not ended in 0, 1, 2 or 3 is a fault of the program.

By hand: `python tests/fuzzing.py FIRST COUNT [KEEP]` tells each seed that ended otherwise, or took longer than it may,
and leaves its files in the folder KEEP. What is found there goes to tests/corpus once its cause is mended.
"""

from __future__ import annotations

import atexit
import json
import random
import re
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import click

from at_the_door import Ended, oaktag_here
from oaktag.cli import COMMANDS, command_of
from oaktag.device.store import shipped_names
from oaktag.draft.garment import GARMENT_NAMES, find_garment
from oaktag.draft.options import ChoiceOption
from oaktag.sheet.paper import PAPERS
from oaktag.units import parse_length

FIXTURES = Path(__file__).parent.parent / "fixtures"
SECONDS = 30
"""Of the processor that a run may take before it is called hung; most take less than one."""
ODD = (
    "nan", "inf", "-inf", "1e309", "-1", "0", "-0", "1e-320", "²", "٣", "9" * 5000, "", " ", "\t", ".", "..", "-",
    "--",
    "/proc/none/x",
    "0x10", "1_0", "1/0", "1/2", "½", "99999999999", "\x1b[2J", "\u202e", "a\nb", "é" * 300, "x" * 300, "\udcff",
    "$HOME", "%s",
    "{0}", "'", '"', "\\", "[]", "true", "1979-05-27", "front", "side", "shell", "10", "38", "104 cm", "1e99 cm",
    "-5 cm", "NaN cm",
    "tcp:" + "h" * 300, "tcp:h:99999", "serial:", "file:", "queue:", "http://x", "12=0", "12=1,12=1", "=1", "1e6mm",
    "0.001mm",
    "CON", "pattern.json", "lay.json", "job.toml", "\ufeff", "1,5", "5,", ",", "9999-12-31", "1e400", "-1e400",
)  # fmt: skip
VALUES: tuple[Any, ...] = (
    None, True, False, 0, -1, 1, 3.5, -1e9, 1e9, 1e308, 10**400, "", "nan", "²", "x" * 300, [], {}, [[]], [1, 2],
    [None], {"a": 1},
    [[0, 0]], [[0, 0], [1, 1], [0, 0]], float("inf"), float("nan"), "\udcff", "../x", "front",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Found:
    """What a seed ended in."""

    seed: int
    words: tuple[str, ...]
    ended: Ended
    seconds: float

    @property
    def good(self) -> bool:
        return self.ended.foreseen and self.seconds < SECONDS


# ------------------------------------------------------------------------------------------------------ what to spoil


@cache
def stock() -> Path:
    """A folder with one of everything that a verb reads."""
    room = Path(tempfile.mkdtemp(prefix="oaktag-stock-"))
    atexit.register(shutil.rmtree, room, ignore_errors=True)
    for name in ("choir/alto-3.toml", "choir/soloist.toml", "choir/singers.csv", "charts/choir.csv",
    "drawings/skirt.svg",
                 "drawings/hand-skirt.svg", "drawings/editor-r12.dxf", "exchange/base.dxf", "exchange/base.rul",
                 "exchange/points-and-texts.dxf"):  # fmt: skip
        shutil.copy(FIXTURES / name, room)
    small = room / "set.toml"
    text = (FIXTURES / "choir" / "stage-dress.toml").read_text(encoding="utf-8")
    small.write_text(re.sub(r"(?m)^make .*", 'make = ["12", "14"]', text), encoding="utf-8")
    devices = FIXTURES.parent / "src" / "oaktag" / "device" / "devices"
    for name in ("knife-600", "roll-914", "pen-1980s", "roll-900-frames"):
        shutil.copy(devices / f"{name}.toml", room / f"my-{name}.toml")
    quick = ("--only", "json", "--only", "svg", "--only", "hpgl", "--only", "dxf", "--only", "report")
    made = (
        ("finish", "skirt.svg", "--propose", "plan.toml"),
        ("make", "alto-3.toml", "-o", "made", *quick),
        ("make", "alto-3.toml", "-o", "paper", "--only", "pdf", "--only", "json"),
        ("lay", "alto-3.toml", "-o", "made", "--cloth-width", "60in", "--seconds", "0", "--as", "svg"),
        ("make", "set.toml", "-o", "set", *quick[:-2]),
    )
    for words in made:
        run = oaktag_here(*words, cwd=room)
        if run.code:
            raise RuntimeError(f"{words}: {run}")
    with (room / "alto-3.toml").open("a", encoding="utf-8") as file:
        file.write(
            'lay = "made/lay.json"\n[cloth]\nwidth = "60in"\nfold = true\n'.replace(
                "fold = true\n", 'spread = "open"\n'
            )
        )
    return room


Plan = tuple[tuple[str, ...], tuple[str, ...]]
"""The words of a run, and the files that may be spoilt for it."""
PLANS: tuple[Plan, ...] = (
    (("check", "alto-3.toml"), ("alto-3.toml",)),
    (("check", "soloist.toml"), ("soloist.toml",)),
    (("check", "set.toml"), ("set.toml",)),
    (("make", "alto-3.toml", "-o", "new", "--only", "json"), ("alto-3.toml", "made/lay.json")),
    (("make", "alto-3.toml", "-o", "made", "--only", "json"), ("alto-3.toml", "made/pattern.json",
      "made/job/alto-3.toml")),
    (("make", "set.toml", "-o", "new", "--only", "dxf"), ("set.toml",)),
    (("make", "soloist.toml", "-o", "new", "--only", "hpgl"), ("soloist.toml",)),
    (("steps", "alto-3.toml"), ("alto-3.toml",)),
    (("lay", "alto-3.toml", "--seconds", "0"), ("alto-3.toml",)),
    (("lay", "alto-3.toml", "--judge", "made/lay.json"), ("made/lay.json",)),
    (("project", "alto-3.toml", "--lay", "made/lay.json", "-o", "p.html"), ("made/lay.json",)),
    (("sizes", "choir.csv"), ("choir.csv",)),
    (("sizes", "choir.csv", "--people", "singers.csv", "--picture", "p.svg"), ("singers.csv", "choir.csv")),
    (("sizes", "--from", "singers.csv", "--step", "4cm", "-o", "c.csv"), ("singers.csv",)),
    (("devices", "./my-knife-600.toml"), ("my-knife-600.toml",)),
    (("devices", "./my-roll-900-frames.toml"), ("my-roll-900-frames.toml",)),
    (("send", "made/pattern.plt", "--to", "./my-roll-914.toml", "--at", "file:wire"), ("my-roll-914.toml",
      "made/pattern.json")),
    (("send", "made/pattern.plt", "--to", "roll-914", "--at", "file:wire"), ("made/pattern.plt",)),
    (("preview", "made/pattern.plt", "-o", "p.png", "--dpi", "5"), ("made/pattern.plt",)),
    (("preview", "made/pattern.plt", "-o", "p.png", "--dpi", "5", "--for", "./my-pen-1980s.toml"),
      ("my-pen-1980s.toml",)),
    (("preview", "made/pattern.svg", "-o", "p.png", "--dpi", "5"), ("made/pattern.svg",)),
    (("preview", "made/pattern.dxf", "-o", "p.png", "--dpi", "5"), ("made/pattern.dxf",)),
    (("preview", "paper/pattern-letter.pdf", "-o", "p.png", "--dpi", "5"), ("paper/pattern-letter.pdf",)),
    (("verify", "made"), ("made/pattern.json", "made/lay.json", "made/pattern.svg", "made/pattern.plt",
      "made/pattern.dxf")),
    (("verify", "made"), ("made/lay.json", "made/lay.svg")),
    (("verify", "paper"), ("paper/pattern-letter.pdf", "paper/pattern-roll.pdf")),
    (("verify", "set"), ("set/pattern.json", "set/pattern.rul", "set/pattern.dxf")),
    (("finish", "skirt.svg", "-o", "new", "--only", "json"), ("skirt.svg",)),
    (("finish", "skirt.svg", "--plan", "plan.toml", "-o", "new", "--only", "json"), ("plan.toml",)),
    (("finish", "skirt.svg", "--propose", "p.toml"), ("skirt.svg",)),
    (("finish", "hand-skirt.svg", "-o", "new", "--only", "json"), ("hand-skirt.svg",)),
    (("finish", "editor-r12.dxf", "-o", "new", "--only", "json"), ("editor-r12.dxf",)),
    (("finish", "base.dxf", "--rules", "base.rul", "-o", "new", "--only", "json"), ("base.dxf", "base.rul")),
    (("finish", "points-and-texts.dxf", "-o", "new", "--only", "json"), ("points-and-texts.dxf",)),
    (("calibrate", "roll-914", "--across", "99.6", "--along", "100.2", "--diagonals", "141.1", "141.5", "--on-top"),
      ()),
    (("init", "new.toml"), ()),
    (("garment", "sheath-dress"), ()),
    (("garments",), ()),
    (("trust",), ()),
    (("trust", ".", "--withdraw"), ()),
)  # fmt: skip


# --------------------------------------------------------------------------------------------------------- how


def spoilt(data: bytes, name: str, dice: random.Random) -> bytes:
    """The content of a file with one to three things wrong with it."""
    for _ in range(dice.choice((1, 1, 1, 2, 3))):
        way = _json if name.endswith(".json") and dice.random() < 0.8 else dice.choice(_WAYS)
        data = way(data, dice)
    return data


def _json(data: bytes, dice: random.Random) -> bytes:
    """One value somewhere in it is another, gone, or there twice."""
    try:
        told = json.loads(data)
    except (ValueError, RecursionError):
        return _bytes(data, dice)
    at = told
    while True:
        keys: list[Any] = list(at) if isinstance(at, dict) else list(range(len(at))) if isinstance(at, list) else []
        if not keys:
            return json.dumps(dice.choice(VALUES)).encode()
        key = dice.choice(keys)
        if isinstance(at[key], dict | list) and at[key] and dice.random() < 0.8:
            at = at[key]
            continue
        break
    way = dice.randrange(4)
    if way == 0:
        del at[key]
    elif way == 1 and isinstance(at, list):
        at.insert(key, at[key])
    elif way == 2 and isinstance(at[key], int | float) and not isinstance(at[key], bool):
        at[key] = at[key] * dice.choice((-1, 2, 0, 1e6, 1e300)) + dice.choice((0, 1e-9, 1, 1e7))
    else:
        at[key] = dice.choice(VALUES)
    text = json.dumps(told)
    if dice.random() < 0.05:
        text = text.replace("1", "1" * dice.choice((400, 5000)), 1)
    return text.encode()


def _lines(data: bytes, dice: random.Random) -> bytes:
    lines = data.split(b"\n")
    i, k = dice.randrange(len(lines)), dice.randrange(len(lines))
    way = dice.randrange(4)
    if way == 0:
        del lines[i]
    elif way == 1:
        lines.insert(k, lines[i])
    elif way == 2:
        lines[i], lines[k] = lines[k], lines[i]
    else:
        lines = lines[: max(i, 1)]
    return b"\n".join(lines)


def _token(data: bytes, dice: random.Random) -> bytes:
    """A number, a word or a quoted text is another."""
    pattern = dice.choice((rb"-?\d+(?:\.\d+)?", rb'"[^"\n]*"', rb"[A-Za-z_]+", rb"[^\s,;=]+"))
    found = list(re.finditer(pattern, data))
    if not found:
        return _bytes(data, dice)
    match = dice.choice(found)
    odd = dice.choice(ODD).encode("utf-8", "surrogateescape")
    if match[0][:1] == b'"' and dice.random() < 0.7:
        odd = b'"' + odd.replace(b'"', b"").replace(b"\\", b"").replace(b"\n", b" ") + b'"'
    return data[: match.start()] + odd + data[match.end() :]


def _value(data: bytes, dice: random.Random) -> bytes:
    """What stands behind a `=`."""
    found = list(re.finditer(rb"(?m)= *([^#\n]+)", data))
    if not found:
        return _token(data, dice)
    match = dice.choice(found)
    odd = dice.choice(
        (b"[]", b"{}", b"true", b"nan", b"-inf", b"inf", b"1e308", b"-1", b"0", b'""', b'"nan"', b'"\xc2\xb2"',
        b"1979-05-27", b"[1, 2]",
         b"{a = 1}", b"0x7fffffffffffffff", b"9" * 30, b"[[1]]", b'"1e309 cm"', b'"-5 cm"', b'"0"',
         b"1979-05-27T07:32:00Z", b'["12"]',
         b'"../x.toml"', b'"\\u0000"', b'"' + b"x" * 400 + b'"', b"3.5", b'"1/0"')
    )  # fmt: skip
    return data[: match.start(1)] + odd + data[match.end(1) :]


def _bytes(data: bytes, dice: random.Random) -> bytes:
    at = dice.randrange(len(data) + 1)
    way = dice.randrange(6)
    if way == 0:
        return data[:at]
    if way == 1:
        return data[:at] + bytes(dice.randrange(256) for _ in range(dice.randrange(1, 9))) + data[at:]
    if way == 2:
        return data[:at] + data[at + dice.randrange(1, 200) :]
    if way == 3:
        return dice.choice(
            (b"", b"\xef\xbb\xbf" + data, b"\xff\xfe" + data, b"\0" * 100, data * 2, data.replace(b"\n", b"\r"))
        )
    if way == 4:
        end = at + dice.randrange(1, 300)
        return data[:at] + data[at:end] * dice.randrange(2, 5) + data[end:]
    flipped = bytearray(data)
    if flipped:
        flipped[at % len(flipped)] ^= 1 << dice.randrange(8)
    return bytes(flipped)


_WAYS: tuple[Callable[[bytes, random.Random], bytes], ...] = (_lines, _token, _token, _value, _value, _bytes)


def drawn_job(dice: random.Random) -> str:
    """A job without a mistake in its words: a body, a style,
    allowances and papers that nobody may ever have meant."""
    garment = find_garment(dice.choice(GARMENT_NAMES))
    body = re.search(
        r"(?s)\[measurements\]\n(.*?)\n\[", (FIXTURES / "choir" / "alto-3.toml").read_text(encoding="utf-8")
    )
    assert body is not None
    lines = []
    spread, size = dice.choice((0.0, 0.0, 0.02, 0.05, 0.2)), dice.choice((0.8, 0.95, 1.0, 1.0, 1.1, 1.3))
    for name, value in re.findall(r'(?m)^(\w+) *= *"?([^"#\n]+?)"? *(?:#.*)?$', body[1]):
        if name in garment.uses and dice.random() > 0.03:
            mm = parse_length(value, "in") * size * dice.uniform(1 - spread, 1 + spread)
            lines.append(f"{name} = {mm:.{dice.choice((0, 1))}f}")
    style = []
    for option in garment.options:
        if dice.random() < dice.choice((0.0, 0.02, 0.1)):
            if isinstance(option, ChoiceOption):
                style.append(f'{option.name} = "{dice.choice(option.choices)}"')
            else:
                low, high = option.range("mm")
                style.append(f"{option.name} = {dice.choice((low, high, dice.uniform(low, high))):.1f}")
    widths = [f"{edge} = {dice.choice((0, 1, 6, 10, 20, 50, 100))}" for edge in garment.edges if dice.random() < 0.2]
    paper = [f'paper = "{dice.choice(tuple(PAPERS))}"', f'device = "{dice.choice(shipped_names())}"']
    out = [line for line in paper if dice.random() < 0.5]
    head = f'title = "drawn by lot"\ngarment = "{garment.name}"\nunits = "mm"\n[measurements]\n'
    tables = (("style", style), ("allowances", widths), ("output", out))
    return head + "\n".join([*lines, *(f"[{name}]\n" + "\n".join(rows) for name, rows in tables), ""])


def odd_words(words: tuple[str, ...], dice: random.Random) -> tuple[str, ...]:
    """The words with one to three odd ones among them: other values, further options, one left out."""
    said = list(words)
    command = command_of(words[0])
    options = [option for option in command.params if isinstance(option, click.Option)]
    for _ in range(dice.choice((1, 1, 2, 3))):
        way = dice.randrange(5)
        if way == 0 and len(said) > 1:
            said[dice.randrange(1, len(said))] = dice.choice(ODD)
        elif way == 1 and len(said) > 1:
            del said[dice.randrange(1, len(said))]
        elif options:
            option = dice.choice(options)
            said.append(dice.choice(option.opts))
            if not option.is_flag:
                for _ in range(option.nargs):
                    choices = option.type.choices if isinstance(option.type, click.Choice) else ODD
                    said.append(str(dice.choice(tuple(choices) if dice.random() < 0.8 else ODD)))
    words_after = said[1:]
    for i, word in enumerate(words_after):  # what runs until Ctrl-C, or as long as it is told
        if word == "--serve":
            words_after[i] = "--help"
        elif i and words_after[i - 1] in ("--seconds", "--timeout") and re.fullmatch(r"[\d.]+", word):
            words_after[i] = "0.1"
    if words[0] == "lay" and "--seconds" not in words_after:
        words_after += ["--seconds", "0"]
    return (said[0], *(word.replace("\0", "") for word in words_after))


class HungError(Exception):
    """The time is over."""


def ended_by(seed: int, room: Path) -> Found:
    """Runs one seed in an empty folder `room`, which lies in another: nothing is written beyond that."""
    dice = random.Random(seed)
    words, files = dice.choice(PLANS)
    shutil.copytree(stock(), room, dirs_exist_ok=True)
    if dice.random() < 0.3:
        (room / "drawn.toml").write_text(drawn_job(dice), encoding="utf-8")
        forms = dice.sample(("hpgl", "pdf", "svg", "dxf", "cad", "cuts", "report", "json"), 2)
        words = dice.choice(
            (
                ("check", "drawn.toml"),
                ("make", "drawn.toml", "-o", "new", "--only", forms[0], "--only", forms[1]),
                ("make", "drawn.toml", "-o", "new", *(("--despite", "walk.stride") if dice.random() < 0.5 else ())),
                ("steps", "drawn.toml", "--card", "card.pdf"),
                ("lay", "drawn.toml", "--cloth-width", dice.choice(("150cm", "60in", "90cm")), "--seconds", "0",
                 *(("--fold",) if dice.random() < 0.5 else ())),
                ("project", "drawn.toml", "-o", "p.html"),
            )
        )  # fmt: skip
    elif files and dice.random() < 0.8:
        for name in dice.sample(files, dice.choice((1, 1, min(2, len(files))))):
            (room / name).write_bytes(spoilt((room / name).read_bytes(), name, dice))
    else:
        words = odd_words(words, dice)

    if any(word.startswith("/") and word not in ODD for word in words):
        raise ValueError(f"{words} would write who knows where")

    def stop(number: int, frame: object) -> None:
        raise HungError

    before = signal.signal(signal.SIGPROF, stop)
    signal.setitimer(signal.ITIMER_PROF, SECONDS)
    began = time.process_time()
    try:
        ended = oaktag_here(*words, cwd=room)
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)
    return Found(seed, words, ended, time.process_time() - began)


def _main() -> None:
    import resource

    resource.setrlimit(resource.RLIMIT_AS, (3_000_000_000, 3_000_000_000))
    first, count = int(sys.argv[1]), int(sys.argv[2])
    keep = Path(sys.argv[3]) if len(sys.argv) > 3 else None
    codes: dict[int, int] = {}
    for seed in range(first, first + count):
        with tempfile.TemporaryDirectory() as place:
            found = ended_by(seed, Path(place, "room"))
            codes[found.ended.code] = codes.get(found.ended.code, 0) + 1
            if not found.good:
                last = found.ended.err.strip().splitlines()[-1:]
                sys.stdout.write(f"{seed} {found.seconds:.1f} s {found.ended.code} {found.words!r} {last}\n")
                sys.stdout.flush()
                if keep is not None:
                    shutil.copytree(place, keep / str(seed), dirs_exist_ok=True)
                    (keep / str(seed) / "told.txt").write_text(
                        repr(found.words) + "\n" + found.ended.err, errors="replace"
                    )
    sys.stdout.write(f"{count} seeds from {first} over {len(COMMANDS)} verbs ended in {dict(sorted(codes.items()))}\n")


if __name__ == "__main__":
    _main()
