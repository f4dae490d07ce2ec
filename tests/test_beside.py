"""Work in a second process: its files come back, and whatever becomes of it nobody waits, fails or hears of it."""

import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="copies are made on Linux only")

TWO_CORES = "os.sched_getaffinity = lambda of: {0, 1}\n"


def told(script: str) -> str:
    """What a script of its own process prints; no thread of the tests runs there."""
    head = "import os, sys, time\nfrom oaktag.beside import beside\n" + TWO_CORES
    done = subprocess.run([sys.executable, "-c", head + script], capture_output=True, text=True, timeout=60)
    assert done.stderr == ""
    return done.stdout.strip()


def test_its_files_come_from_another_process() -> None:
    script = """
work = lambda: {"a": b"1" * 300_000, "pid": str(os.getpid()).encode()}
with beside(work) as wait:
    files = wait()
print(len(files["a"]), int(files["pid"]) != os.getpid())
"""
    assert told(script) == "300000 True"


@pytest.mark.parametrize(
    "work",
    [
        "None",
        "1 / 0",
        "os.kill(os.getpid(), 9)",
        "os._exit(0)",
        "sys.exit(3)",
        "print('heard') or sys.stderr.write('heard') and None",
    ],
)
def test_what_it_could_not_do_is_left_to_this_one(work: str) -> None:
    assert told(f"with beside(lambda: {work}) as wait:\n    print(wait())") == "None"


@pytest.mark.parametrize(
    "meanwhile", ["import threading; threading.Thread(target=time.sleep, args=(2,), daemon=True).start()", "only = 1"]
)
def test_no_copy_is_made_beside_another_thread_or_where_there_is_one_core(meanwhile: str) -> None:
    one_core = "os.sched_getaffinity = lambda of: {0}\n" if meanwhile == "only = 1" else ""
    script = f"{one_core}{meanwhile}\nwith beside(lambda: dict(a=b'1')) as wait:\n    print(wait())"
    assert told(script) == "None"


def test_the_clock_of_a_terminal_does_not_stand_in_its_way() -> None:
    script = """
from oaktag.progress import Progress
clock = Progress()
clock._live = True
with clock, beside(lambda: {"a": b"1"}) as wait:
    print(wait())
"""
    assert told(script) == "{'a': b'1'}"


def test_what_is_not_waited_for_is_ended() -> None:
    script = """
try:
    with beside(lambda: time.sleep(60)) as wait:
        raise KeyError
except KeyError:
    pass
try:
    os.waitpid(-1, os.WNOHANG)
    print("runs on")
except ChildProcessError:
    print("ended")
"""
    assert told(script) == "ended"


@pytest.mark.parametrize(
    ("job", "only", "among"),
    [
        ("alto-3", (), "pattern-roll.pdf"),
        ("stage-dress", ("--only", "json", "--only", "dxf"), "pattern-nest.dxf"),  # its checks are in pattern.json
    ],
)
def test_one_core_and_two_write_the_same_files(job: str, only: tuple[str, ...], among: str, tmp_path: Path) -> None:
    path = Path(__file__).parents[1] / "fixtures/choir" / f"{job}.toml"
    for cores in (1, 2):
        script = f"import os\nos.sched_getaffinity = lambda of: set(range({cores}))\n"
        script += "import sys\nfrom oaktag.__main__ import main\nmain()"
        argv = [sys.executable, "-c", script, "make", str(path), "-o", str(tmp_path / str(cores)), *only]
        subprocess.run(argv, check=True, capture_output=True, timeout=120)
    one, two = (
        {path.name: path.read_bytes() for path in (tmp_path / cores).iterdir() if path.is_file()} for cores in "12"
    )
    assert one == two
    assert among in one
