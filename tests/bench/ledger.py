"""The ledger of work: what four runs of the program cost, counted, so that speed cannot slip unseen.

usage: ledger.py            count, and compare with work.toml: exit code 1 if a number is above what is held there
       ledger.py --write    count, and write work.toml anew; whoever raises a number says why in that commit

`calls` are calls of functions in src/oaktag (a generator's each going on is one), counted by the interpreter: the same
on every machine and in every run, within 0.6 % from Python 3.11 to 3.13. Comprehensions are left out, since Python 3.12
calls no function for them. `memory_mb` is how much more memory the process takes at its peak than when the program and
its libraries are loaded (Linux; libraries and allocators differ a little). Everything runs in one process, modules
compiled, with a fixed seed of hashes.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import tomllib
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
HELD = Path(__file__).with_name("work.toml")
MOST = {"calls": 3.0, "memory_mb": 10.0}
"""So many % above what is held is too much."""
LIBRARIES = ("pyclipper", "pikepdf", "numpy", "shapely", "ezdxf", "svgelements", "pypdfium2", "orjson", "PIL.Image")
HEAD = """\
# What runs of the program cost; tests/bench/ledger.py says what is counted, compares, and writes this (--write).
# Whoever raises a number does it in the commit that makes it rise, and says why there.
"""
ADVICE = """\
More work than tests/bench/work.toml holds. Find what makes it (tests/bench/bench.py, python -m cProfile); or, where it
is worth what it costs, say why in the commit, and type
  {python} tests/bench/ledger.py --write"""
Work = dict[str, dict[str, float]]


def counted() -> Work:
    """What each run costs now."""
    sys.path.insert(0, str(ROOT / "src"))
    from bench import set_of

    with tempfile.TemporaryDirectory() as temporary:
        place = Path(temporary)
        drawing = ROOT / "fixtures/drawings/skirt.svg"
        one, ten = ROOT / "fixtures/choir/alto-3.toml", set_of(10, place)
        chains = (
            {"make": ["make", one, "-o", place / "one"], "verify": ["verify", place / "one"],
             "finish": ["finish", drawing, "--plan", drawing.with_suffix(".toml"), "-o", place / "drawn"]},
            {"ten sizes": ["make", ten, "-o", place / "ten"]},
        )  # fmt: skip
        with ThreadPoolExecutor(len(chains)) as pool:
            found: Work = {}
            for chain in pool.map(lambda runs: {name: cost(run, place) for name, run in runs.items()}, chains):
                found |= chain
    return {name: found[name] for name in ("make", "ten sizes", "verify", "finish")}


def cost(arguments: list[str | Path], place: Path) -> dict[str, float]:
    """Of one run, in a process of its own."""
    environment = {
        **{name: value for name, value in os.environ.items() if not name.startswith(("OAKTAG_", "PYTHON"))},
        "PYTHONPATH": str(ROOT / "src"), "PYTHONHASHSEED": "0", "OAKTAG_DEVICES": str(place / "no-devices"),
    }  # fmt: skip
    argv = [sys.executable, str(Path(__file__)), "--run", *map(str, arguments)]
    done = subprocess.run(argv, capture_output=True, text=True, env=environment, cwd=place)
    if done.returncode:
        raise SystemExit(f"{' '.join(argv)} failed:\n{done.stderr}")
    answer: dict[str, float] = json.loads(done.stdout.splitlines()[-1])
    return answer


def run(arguments: list[str]) -> None:
    """The program in this process, watched; its last line is what it cost."""
    import cProfile
    from contextlib import redirect_stdout
    from importlib import import_module
    from io import StringIO
    from pkgutil import walk_packages

    import oaktag
    from oaktag import beside

    modules = [found.name for found in walk_packages(oaktag.__path__, "oaktag.") if "__main__" not in found.name]
    for name in (*modules, *LIBRARIES):
        import_module(name)
    beside._may_copy = lambda: False
    from oaktag.__main__ import ended

    sys.argv = ["oaktag", *arguments]
    before = memory("VmRSS")
    watch = cProfile.Profile(builtins=False)
    with redirect_stdout(StringIO()):
        watch.enable()
        code = ended()
        watch.disable()
    peak = memory("VmHWM")
    if code:
        raise SystemExit(code)
    home = str(ROOT / "src/oaktag")
    calls = sum(
        entry.callcount
        for entry in watch.getstats()
        if not isinstance(entry.code, str)
        and entry.code.co_filename.startswith(home)
        and entry.code.co_name not in ("<listcomp>", "<dictcomp>", "<setcomp>")
    )
    print(json.dumps({"calls": calls} | ({"memory_mb": round((peak - before) / 1024, 1)} if before else {})))


def memory(what: str) -> int:
    """What the kernel says of this process, kB; the peak counts from the first look on. 0 where it does not say."""
    try:
        status = Path("/proc/self/status").read_text()
        if what == "VmRSS":
            Path("/proc/self/clear_refs").write_text("5")
    except OSError:
        return 0
    return next(int(line.split()[1]) for line in status.splitlines() if line.startswith(f"{what}:"))


def judged(held: Work, now: Work) -> tuple[list[str], bool]:
    """A line for every number, and whether all are held."""
    lines, holds = [], True
    for name, costs in now.items():
        for what, value in costs.items():
            old = held.get(name, {}).get(what)
            if old is None:
                lines.append(f"{name}: {what} {value:,} is not held yet")
                holds = False
                continue
            more = 100 * (value - old) / old
            words = f"{name}: {what} {value:,}, held {old:,} ({more:+.1f} %)"
            if more > MOST[what]:
                words += f": more than {MOST[what]:g} % above"
                holds = False
            lines.append(words)
    return lines, holds


def as_toml(work: Work) -> str:
    tables = (
        f'["{name}"]\n' + "".join(f"{what} = {value}\n" for what, value in costs.items())
        for name, costs in work.items()
    )
    return HEAD + "".join(f"\n{table}" for table in tables)


def main() -> int:
    if sys.argv[1:2] == ["--run"]:
        run(sys.argv[2:])
        return 0
    now = counted()
    if sys.argv[1:] == ["--write"]:
        HELD.write_text(as_toml(now))
    elif sys.argv[1:]:
        raise SystemExit(__doc__)
    lines, holds = judged(tomllib.loads(HELD.read_text()) if HELD.exists() else {}, now)
    print("\n".join(lines))
    if not holds:
        print(ADVICE.format(python=os.path.relpath(sys.executable)))
    return 0 if holds else 1


if __name__ == "__main__":
    raise SystemExit(main())
