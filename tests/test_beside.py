"""Work in a second process: its files come back, and whatever becomes of it nobody waits, fails or hears of it."""

import subprocess
import sys
from pathlib import Path

import pytest

CHOIR = Path(__file__).parents[1] / "fixtures/choir"
pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="copies are made on Linux only")

TWO_CORES = "os.sched_getaffinity = lambda of: {0, 1}\n"


def told(script: str) -> str:
    """What a script of its own process prints; no thread of the tests runs there."""
    head = "import os, sys, time\nfrom oaktag.beside import beside\n" + TWO_CORES
    done = subprocess.run([sys.executable, "-c", head + script], capture_output=True, text=True, timeout=60)
    assert done.stderr == ""
    return done.stdout.strip()


def test_other_values_come_back_as_they_were() -> None:
    script = """
made = [("a", None, 0.1, 7, True), [], {"b": ("c",)}]
with beside(lambda: made) as wait:
    back = wait()
print(back == made, back is made, [type(value).__name__ for value in back[0]])
"""
    assert told(script) == "True False ['str', 'NoneType', 'float', 'int', 'bool']"


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
    path = CHOIR / f"{job}.toml"
    for cores in (1, 2):
        in_own_process(cores, "", "make", str(path), "-o", str(tmp_path / str(cores)), *only)
    one, two = (
        {path.name: path.read_bytes() for path in (tmp_path / cores).iterdir() if path.is_file()} for cores in "12"
    )
    assert one == two
    assert among in one


def test_one_core_and_two_read_the_same_in_a_folder(tmp_path: Path) -> None:
    in_own_process(2, "", "make", str(CHOIR / "alto-3.toml"), "-o", str(tmp_path / "1"))
    dies = "from oaktag.verify import folder\nfolder._plain = lambda rows: os._exit(3)\n"
    alone, shared, left = (
        in_own_process(cores, before, "verify", str(tmp_path / "1"), "--json")
        for cores, before in ((1, ""), (2, ""), (2, dies))
    )
    assert alone == (shared[0], "") == (left[0], "")
    assert shared[1] == left[1] == "copied\n"
    assert '"passed": true' in alone[0]
    assert alone[0].count('"file": "pattern.plt"') > 20


def in_own_process(cores: int, before: str, *arguments: str) -> tuple[str, str]:
    """What the program prints on a machine of so many cores, and `copied` for each copy that was made of it."""
    script = f"import os, sys\nos.sched_getaffinity = lambda of: set(range({cores}))\nfork = os.fork\n"
    script += "os.fork = lambda: (sys.stderr.write('copied\\n'), fork())[1]\n" + before
    script += "from oaktag.__main__ import main\nmain()"
    done = subprocess.run([sys.executable, "-c", script, *arguments], check=True, capture_output=True, timeout=120)
    return done.stdout.decode(), done.stderr.decode()
