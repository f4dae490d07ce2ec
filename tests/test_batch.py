"""Many orders at once: the bytes that `make` writes, each order once, and a batch that goes on wherever it was stopped.

What is expected follows from what a batch promises (docs/batch.md); the bytes are those of `oaktag make`, which other
tests prove.
"""

from __future__ import annotations

import csv
import gc
import json
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import replace
from hashlib import sha256
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from oaktag.draft.garment import find_garment
from oaktag.draft.options import ChoiceOption, defaults
from oaktag.errors import DeviceError, InputError
from oaktag.job import load_job
from oaktag.job.measured import needed
from oaktag.laying import make_with_lay
from oaktag.orders.gather import gather
from oaktag.orders.keep import Journal, Manifest
from oaktag.orders.lanes import Lanes, WorkerLost
from oaktag.orders.model import Ended, Order, Unread
from oaktag.orders.run import Batch
from oaktag.orders.stores import Folder, Store, store_of
from oaktag.orders.work import LOADED, how, make_order
from wardrobe import ROOT, oaktag

CHOIR = ROOT / "fixtures" / "choir"
WARDROBE = CHOIR / "wardrobe"
QUICK = ("pleated-skirt", "wrapper", "leggings", "gathered-skirt", "sokoto", "childs-bodice")
"""Jobs that are made soonest."""
BESIDE = (".going", "manifest.", "summary.html")
"""What lies beside the orders."""


def quick(folder: Path, names: Sequence[str] = QUICK) -> Path:
    folder.mkdir(exist_ok=True)
    for name in names:
        (folder / f"{name}.toml").write_bytes((WARDROBE / f"{name}.toml").read_bytes())
    return folder


def batch(*words: object, cwd: Path) -> dict[str, Any]:
    """What --json tells, with the exit code."""
    done = oaktag("batch", *words, "--json", cwd=cwd)
    assert done.stderr == ""
    return {**json.loads(done.stdout), "code": done.returncode}


def manifest(folder: Path) -> list[dict[str, Any]]:
    return [json.loads(line) for line in (folder / "manifest.jsonl").read_text(encoding="utf-8").splitlines()]


def but_for_time(folder: Path) -> list[dict[str, Any]]:
    """The manifest without the seconds, and whatever folder the jobs lay in."""
    return [{**row, "seconds": 0, "source": Path(row["source"]).name} for row in manifest(folder)]


def files(folder: Path) -> dict[str, bytes]:
    """All results, without what is kept to go on, and what tells of them."""
    found = (path for path in sorted(folder.rglob("*")) if path.is_file())
    kept = {path.relative_to(folder).as_posix(): path.read_bytes() for path in found}
    return {name: data for name, data in kept.items() if not name.startswith(BESIDE)}


def here(store: Store, orders: Sequence[Order | Unread], executor: Executor | None = None, **more: Any) -> list[Ended]:
    """A batch in this process, by the executor, else by a thread."""
    store.begin()
    with Journal(store) as journal, executor or ThreadPoolExecutor(1) as workers:
        told = Manifest(journal)
        try:
            ended = []
            for one in Batch(journal, how(store, ("hpgl", "json")), workers, lambda: 2, **more).run(orders):
                told.add(one)
                ended.append(one)
            told.write(store)
        finally:
            told.close()
    return ended


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the quick jobs in `in`, and what a batch makes of them in `out`."""
    folder = tmp_path_factory.mktemp("batch")
    quick(folder / "in")
    told = batch("in", "--out", "out", cwd=folder)
    assert told["code"] == 0 and told["done"] == len(QUICK) and told["unchanged"] == 0
    return folder


# ----------------------------------------------------------------------------------------------------------- the bytes


def test_an_order_is_the_folder_that_make_writes(made: Path, tmp_path: Path) -> None:
    """Every file, of a plain job and of one that names measurements in a folder above it and a device of its own."""
    for name in QUICK[:2]:
        oaktag("make", made / "in" / f"{name}.toml", "-o", "alone", "--replace", cwd=tmp_path)
        assert files(tmp_path / "alone") == files(made / "out" / name)
    (tmp_path / "jobs").mkdir()
    source = (WARDROBE / "wrapper.toml").read_text(encoding="utf-8")
    head, _, rest = source.partition("[measurements]\n")
    table, _, more = rest.partition("\n[")
    (tmp_path / "alto.toml").write_text(table, encoding="utf-8")
    device = (ROOT / "src/oaktag/device/devices/roll-914.toml").read_text(encoding="utf-8")
    (tmp_path / "jobs" / "hers.toml").write_text(device, encoding="utf-8")
    below = f'{"[" if more else ""}{more}\n[output]\ndevice = "hers.toml"\n' if "[output]" not in source else f"[{more}"
    (tmp_path / "jobs" / "w.toml").write_text(f'measurements = "../alto.toml"\n{head}{below}', encoding="utf-8")
    alone = oaktag("make", "jobs/w.toml", "-o", "alone-w", cwd=tmp_path)
    assert alone.returncode == 0, alone.stderr
    assert batch("jobs/w.toml", "-o", "many", cwd=tmp_path)["done"] == 1
    assert files(tmp_path / "alone-w") == files(tmp_path / "many" / "w")
    assert "job/alto.toml" in files(tmp_path / "alone-w")


def test_a_maker_s_own_device_and_its_correction_count(tmp_path: Path) -> None:
    quick(tmp_path / "in", QUICK[:1])
    own = tmp_path / "devices"
    own.mkdir()
    before = batch("in", "-o", "out", "--only", "hpgl", "--only", "json", cwd=tmp_path)
    plot = files(tmp_path / "out")[f"{QUICK[0]}/pattern.plt"]
    device = json.loads(files(tmp_path / "out")[f"{QUICK[0]}/pattern.json"])
    name = device["plots"][0]["device"] if "plots" in device else "roll-914"
    (own / f"{name}.correction.toml").write_text("xx = 1.01\nxy = 0.0\nyx = 0.0\nyy = 1.0\n", encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("OAKTAG_DEVICES", str(own))
        again = batch("in", "-o", "out", "--only", "hpgl", "--only", "json", cwd=tmp_path)
        alone = oaktag("make", f"in/{QUICK[0]}.toml", "--only", "hpgl", "--only", "json", "-o", "alone", cwd=tmp_path)
    assert (before["unchanged"], again["unchanged"], alone.returncode) == (0, 0, 0)
    assert files(tmp_path / "out")[f"{QUICK[0]}/pattern.plt"] != plot
    assert files(tmp_path / "out" / QUICK[0]) == files(tmp_path / "alone")


def test_a_garment_file_is_run_where_it_is_trusted(tmp_path: Path) -> None:
    """By its bytes, wherever the order is made; a refusal does not outlive the trust."""
    (tmp_path / "own").mkdir(mode=0o700)
    (tmp_path / "own" / "apron.py").write_bytes((ROOT / "fixtures" / "garments" / "wrap_apron.py").read_bytes())
    (tmp_path / "own" / "a.toml").write_text(
        'title = "Choir"\ngarment = "apron.py"\nunits = "in"\n[measurements]\nwaist_girth = 30\nhip_girth = 40\n',
        encoding="utf-8",
    )
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("OAKTAG_DEVICES", str(tmp_path / "devices"))
        assert batch("own/a.toml", "-o", "out", "--only", "hpgl", cwd=tmp_path)["refused"] == 1
        (reason,) = [row["reason"] for row in manifest(tmp_path / "out")]
        assert "type oaktag trust FOLDER" in reason
        assert oaktag("trust", "own", cwd=tmp_path).returncode == 0
        assert batch("own/a.toml", "-o", "out", "--only", "hpgl", cwd=tmp_path)["done"] == 1
        assert oaktag("make", "own/a.toml", "-o", "alone", "--only", "hpgl", cwd=tmp_path).returncode == 0
    assert files(tmp_path / "out" / "a") == files(tmp_path / "alone")


@pytest.mark.parametrize("name", ["sheath-dress", "t-shirt", "shirt"])
def test_what_an_order_needs_does_not_hang_on_the_one_before(name: str) -> None:
    """It is found once for a garment in a style: the same as when it is found anew."""
    garment = find_garment(name)
    usual = defaults(garment.options)
    choices = [(one.name, word) for one in garment.options if isinstance(one, ChoiceOption) for word in one.choices]
    for wearer in ("", "man", "woman"):
        for option, word in choices:
            style = {**usual, option: word}
            for _ in range(2):
                assert needed(garment, style, wearer) == garment.needs_for(style, wearer)


def test_an_order_leaves_nothing_in_memory() -> None:
    """No rings of references, which would hold every stroke until somebody looks for them: of a skirt on tiles, for
    which a row of one tile is tried in vain first."""
    job = load_job(WARDROBE / "straight-skirt.toml")
    make_with_lay(job, only=("pdf",))
    gc.collect()
    gc.disable()
    try:
        make_with_lay(job, only=("pdf",))
        assert gc.collect() < 100
    finally:
        gc.enable()


# -------------------------------------------------------------------------------------------------------- the manifest


def test_the_manifest_tells_every_order_in_the_order_of_the_input(made: Path) -> None:
    rows = manifest(made / "out")
    assert [row["name"] for row in rows] == sorted(QUICK)
    for row in rows:
        there = files(made / "out" / row["name"])
        assert row["files"] == {name: sha256(data).hexdigest() for name, data in there.items()}
        assert row["ending"] == "done" and row["seconds"] > 0 and row["source"] == f"in/{row['name']}.toml"
    with (made / "out" / "manifest.csv").open(encoding="utf-8", newline="") as file:
        table = list(csv.DictReader(file))
    assert [row["name"] for row in table] == sorted(QUICK)
    assert all(dict(part.split(":") for part in row["files"].split()) == told["files"]
               for row, told in zip(table, rows, strict=True))  # fmt: skip


def test_one_bad_order_stops_no_other(tmp_path: Path) -> None:
    folder = quick(tmp_path / "in", QUICK[:2])
    (folder / "a-typo.toml").write_text('title = "Choir"\ngarment = "wraper"\n', encoding="utf-8")
    (folder / "b-torn.toml").write_text('title = "Choir\n', encoding="utf-8")
    thin = (WARDROBE / "wrapper.toml").read_text(encoding="utf-8").replace("hip_girth", "hip_girht")
    (folder / "c-word.toml").write_text(thin, encoding="utf-8")
    told = batch("in", "gone.toml", "-o", "out", "--only", "hpgl", cwd=tmp_path)
    assert (told["code"], told["done"], told["refused"], told["failed"]) == (1, 2, 4, 0)
    reasons = {row["name"]: row["reason"] for row in manifest(tmp_path / "out") if row["ending"] == "refused"}
    assert 'Write "wrapper"' in reasons["a-typo"] and "a-typo.toml:2 garment" in reasons["a-typo"]
    assert "b-torn.toml:1" in reasons["b-torn"] and "hip_girth" in reasons["c-word"]
    assert "gone.toml: no such file" in reasons["gone"]
    assert not any((tmp_path / "out" / name).exists() for name in reasons)
    assert str(tmp_path) not in json.dumps(reasons)


def test_two_orders_of_one_name_are_not_one(tmp_path: Path) -> None:
    order = Order("alto", "line 2", "w.toml", {"w.toml": (WARDROBE / "wrapper.toml").read_bytes()}, columns={"a": "=1"})
    odd, ours = (Order(name, "line 4", "w.toml", order.files) for name in ("../up", "Done"))
    lost = Unread("bass", "line 5", "hip_girth: none is given")
    ended = here(Folder(tmp_path / "out"), [order, order, odd, lost, ours])
    assert [one.ending for one in ended] == ["done", *["refused"] * 4]
    assert "named alto" in ended[1].reason and ended[0].columns == {"a": "=1"}
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out"]
    assert "'=1" in (tmp_path / "out" / "manifest.csv").read_text(encoding="utf-8")


# ---------------------------------------------------------------------------------------------------- only what changed


def test_only_what_changed_is_made_anew(made: Path, tmp_path: Path) -> None:
    quick(tmp_path / "in")
    first = batch("in", "-o", "out", cwd=tmp_path)
    assert files(tmp_path / "out") == files(made / "out") and first["unchanged"] == 0
    rows = manifest(tmp_path / "out")
    assert batch("in", "-o", "out", cwd=tmp_path)["unchanged"] == len(QUICK)
    assert manifest(tmp_path / "out") == rows  # the seconds, too: nothing was made
    job = tmp_path / "in" / f"{QUICK[1]}.toml"
    job.write_text(job.read_text(encoding="utf-8") + "\n# taller\n", encoding="utf-8")
    assert batch("in", "-o", "out", cwd=tmp_path)["unchanged"] == len(QUICK) - 1
    assert [a["digest"] == b["digest"] for a, b in zip(rows, manifest(tmp_path / "out"), strict=True)].count(False) == 1
    assert batch("in", "-o", "out", "--only", "hpgl", cwd=tmp_path)["unchanged"] == 0
    assert set(files(tmp_path / "out" / QUICK[0])) == {"pattern.plt", f"job/{QUICK[0]}.toml"}


def test_what_lies_there_is_checked(tmp_path: Path) -> None:
    """A file gone, cut short, or of another time is seen; one of the same size and time only by reading it."""
    quick(tmp_path / "in", QUICK[:3])
    only = ("in", "-o", "out", "--only", "hpgl")
    batch(*only, cwd=tmp_path)
    whole = files(tmp_path / "out")
    first, second, third = (tmp_path / "out" / name / "pattern.plt" for name in QUICK[:3])
    first.unlink()
    second.write_bytes(second.read_bytes()[:-1])
    os.utime(third)
    assert batch(*only, cwd=tmp_path)["unchanged"] == 1
    assert files(tmp_path / "out") == whole
    status = third.stat()
    third.write_bytes(third.read_bytes().replace(b"PD", b"PU", 1))
    os.utime(third, ns=(status.st_atime_ns, status.st_mtime_ns))
    assert batch(*only, cwd=tmp_path)["unchanged"] == 3
    assert batch(*only, "--whole", cwd=tmp_path)["unchanged"] == 2
    assert files(tmp_path / "out") == whole


def test_an_order_that_is_refused_later_leaves_nothing(tmp_path: Path) -> None:
    folder = quick(tmp_path / "in", QUICK[:2])
    batch("in", "-o", "out", "--only", "hpgl", cwd=tmp_path)
    (folder / f"{QUICK[0]}.toml").write_text("garment = 1\n", encoding="utf-8")
    assert batch("in", "-o", "out", "--only", "hpgl", cwd=tmp_path)["refused"] == 1
    assert not (tmp_path / "out" / QUICK[0]).exists() and (tmp_path / "out" / QUICK[1]).is_dir()


def test_a_folder_of_others_is_left_alone(tmp_path: Path) -> None:
    quick(tmp_path / "in", QUICK[:1])
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "letter.txt").write_text("dear choir", encoding="utf-8")
    done = oaktag("batch", "in", "-o", "out", cwd=tmp_path)
    assert done.returncode == 2 and "Name another folder with --out" in done.stderr
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["letter.txt"]
    store = Folder(tmp_path / "two")
    store.begin()
    left = store.going / "new-by-a-worker"
    with Journal(store):
        left.mkdir()
        done = oaktag("batch", "in", "-o", "two", cwd=tmp_path)
        assert done.returncode == 3 and "another batch is under way there" in done.stderr
        assert left.is_dir()  # the first one still needs it
    assert not left.exists()


def test_what_is_given_wrongly_is_told(tmp_path: Path) -> None:
    quick(tmp_path / "in", QUICK[:1])
    wrong = {
        ("in",): "--out", ("-o", "out"): "no orders", ("in", "-o", "out", "--once"): "--watch",
        ("in", "-o", "out", "--watch", "in"): "both", ("--watch", "in", "-o", "in"): "two folders",
        ("--watch", "gone", "-o", "out"): "no such folder", ("in", "-o", "nowhere://x"): "fsspec knows",
        ("in", "-o", "memory://x", "--on", "tcp://127.0.0.1:9"): "memory of one process",
    }  # fmt: skip
    for words, told in wrong.items():
        done = oaktag("batch", *words, cwd=tmp_path)
        assert (done.returncode, told in done.stderr) == (2, True), (words, done.stderr)


# -------------------------------------------------------------------------------------------------------------- stores


@pytest.mark.parametrize("kind", ["memory", "file"])
def test_a_store_holds_what_a_folder_holds(kind: str, tmp_path: Path) -> None:
    import fsspec

    orders = [
        *gather([quick(tmp_path / "in", QUICK[:2])]),
        Order("bad", "line 9", "b.toml", {"b.toml": b"garment = 1"}),
    ]
    plain = Folder(tmp_path / "plain")
    here(plain, orders)
    url = f"memory://batch-{os.getpid()}/made" if kind == "memory" else f"file://{tmp_path}/made"
    store = store_of(url)
    assert [one.ending for one in here(store, orders)] == ["done", "done", "refused"]
    system, root = fsspec.core.url_to_fs(url)
    held = {path[len(root) + 1 :]: system.cat_file(path) for path in system.find(root)}
    kept = {name: data for name, data in held.items() if not name.startswith(BESIDE)}
    assert kept == files(tmp_path / "plain")
    with Journal(store) as journal:
        assert set(journal.names()) == {*QUICK[:2], "bad"}
    again: list[str] = []
    store.begin()
    with Journal(store) as journal, ThreadPoolExecutor(1) as workers:
        going = Batch(journal, how(store, ("hpgl", "json")), workers, lambda: 1)
        again += [one.name for one in going.run(orders)]
        assert going.counts.kept == 3
    system.pipe_file(f"{root}/{QUICK[0]}/pattern.plt", b"IN;")
    changed = here(store, orders)
    assert [one.ending for one in changed] == ["done", "done", "refused"]
    assert system.cat_file(f"{root}/{QUICK[0]}/pattern.plt") == kept[f"{QUICK[0]}/pattern.plt"]
    system.rm(root, recursive=True)


def test_a_store_that_is_not_ours_is_left_alone() -> None:
    import fsspec

    url = f"memory://letters-{os.getpid()}"
    with fsspec.open(f"{url}/letter.txt", "wb") as file:
        file.write(b"dear choir")
    with pytest.raises(InputError, match="no batch has made"):
        store_of(url).begin()


def test_workers_with_another_program_make_nothing(tmp_path: Path) -> None:
    """They say so, and after five such orders in a row the batch stops."""
    wrapper = {"w.toml": (WARDROBE / "wrapper.toml").read_bytes()}
    orders = [Order(f"w{k}", f"{k}", "w.toml", wrapper) for k in range(7)]
    store = Folder(tmp_path / "out")
    store.begin()
    older = replace(how(store, ("json",)), program="older")
    with Journal(store) as journal, ThreadPoolExecutor(1) as workers:
        going = Batch(journal, older, workers, lambda: 1)
        with pytest.raises(DeviceError, match=r"stopped: the worker has another version.*the same on all machines"):
            list(going.run(orders))
    assert files(tmp_path / "out") == {} and (going.counts.failed, going.counts.done) == (5, 0)


def test_a_store_that_fails_is_told_in_a_sentence(tmp_path: Path) -> None:
    """Whatever its library raises; nothing of the order is there."""
    import fsspec

    orders = list(gather([quick(tmp_path / "in", QUICK[:1])]))
    store = store_of(f"memory://away-{os.getpid()}/made")
    system = type(fsspec.filesystem("memory"))

    def refuse(*_: object, **__: object) -> None:
        raise RuntimeError("no credentials")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(system, "makedirs", refuse)
        with pytest.raises(DeviceError, match=r"away.*no credentials"):
            store.begin()
    store.begin()
    with Journal(store) as journal, ThreadPoolExecutor(1) as workers, pytest.MonkeyPatch.context() as patch:
        patch.setattr(system, "makedirs", refuse)
        (ended,) = Batch(journal, how(store, ("json",)), workers, lambda: 1).run(orders)
        patch.undo()
    assert ended.ending == "failed" and "no credentials" in ended.reason and not store.stamps(ended.name)


def test_a_disk_that_takes_nothing_stops_the_batch(tmp_path: Path) -> None:
    """After five orders in a row that could not be written; what was made is told as failed, and none is half there."""
    orders = [Order(f"w{k}", f"{k}", "w.toml", {"w.toml": (WARDROBE / "wrapper.toml").read_bytes()}) for k in range(9)]
    store = Folder(tmp_path / "out")
    full = pytest.MonkeyPatch()

    def refuse(*_: object, **__: object) -> None:
        raise DeviceError("pattern.plt: the disk is full.")

    full.setattr("oaktag.orders.stores.write_all", refuse)
    with full.context(), pytest.raises(DeviceError, match=r"the batch has stopped.*disk is full"):
        here(store, orders)
    full.undo()
    assert files(tmp_path / "out") == {}
    assert {one.ending for one in here(store, orders)} == {"done"}


# ----------------------------------------------------------------------------------------------- workers, and their end


def test_a_worker_that_dies_ends_its_order_alone() -> None:
    """What kills its worker twice is given up; what was killed once is done again; all others are done, once each."""
    with Lanes(2) as lanes:
        calls = [lanes.submit(_dies if k == 3 else _says, k) for k in range(8)]
        for k, call in enumerate(calls):
            if k == 3:
                with pytest.raises(WorkerLost, match="died, and so did a second one"):
                    call.result(timeout=60)
            else:
                assert call.result(timeout=60) == k


def test_a_worker_that_was_killed_once_does_it_again(tmp_path: Path) -> None:
    with Lanes(1) as lanes:
        assert lanes.submit(_dies_once, tmp_path / "was-here").result(timeout=60) == "done"


def test_time_and_memory_of_an_order_are_limited() -> None:
    """A gigabyte more than there is leave for is refused by the system, in the worker alone."""
    with Lanes(1, seconds=2.0, memory=600_000_000) as lanes:
        with pytest.raises(WorkerLost, match="longer than 2 s"):
            lanes.submit(time.sleep, 60).result(timeout=60)
        with pytest.raises(MemoryError):
            lanes.submit(bytearray, 1_600_000_000).result(timeout=60)
        assert lanes.submit(_says, 1).result(timeout=60) == 1


def test_what_is_loaded_for_all_workers_is_there() -> None:
    """Names that are not would be passed over in silence, and loaded by each worker for itself."""
    for name in LOADED:
        import_module(name)


def test_make_parts_its_work_with_nobody_in_a_worker() -> None:
    """A worker has one core, the others have theirs (`beside`)."""
    with Lanes(1) as lanes:
        assert lanes.submit(_parts_work).result(timeout=60) is False


def _says(what: int) -> int:
    return what


def _dies(_: int) -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def _dies_once(mark: Path) -> str:
    if not mark.exists():
        mark.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return "done"


def _parts_work() -> bool:
    from oaktag.beside import _may_copy

    return _may_copy()


def test_an_order_of_a_dead_worker_is_failed_in_the_manifest(tmp_path: Path) -> None:
    """And tried again by the next batch, whose manifest then is that of an undisturbed one."""
    orders = list(gather([quick(tmp_path / "in", QUICK[:3])]))
    store = Folder(tmp_path / "out")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("oaktag.orders.run.make_order", _dies_of_leggings)
        ended = here(store, orders, Lanes(2))
    assert {one.name: one.ending for one in ended} == {
        "leggings": "failed", "pleated-skirt": "done", "wrapper": "done"
    }  # fmt: skip
    assert "died" in next(one.reason for one in ended if one.ending == "failed")
    assert not (tmp_path / "out" / "leggings").exists()
    assert {one.ending for one in here(store, orders, Lanes(2))} == {"done"}
    here(Folder(tmp_path / "calm"), orders)
    assert but_for_time(tmp_path / "out") == but_for_time(tmp_path / "calm")
    assert files(tmp_path / "out") == files(tmp_path / "calm")


def _dies_of_leggings(order: Order, digest: str, given: Any) -> Any:
    if order.name == "leggings":
        _dies(0)
    return make_order(order, digest, given)


# ------------------------------------------------------------------------------------------------------- kills, Ctrl-C


@contextmanager
def started(*words: object, cwd: Path) -> Iterator[subprocess.Popen[str]]:
    """`oaktag batch` in a process of its own."""
    command = [sys.executable, "-m", "oaktag", "batch", *map(str, words)]
    with subprocess.Popen(command, cwd=cwd, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        try:
            yield process
        finally:
            process.kill()


def test_killed_and_gone_on_it_is_as_if_undisturbed(made: Path, tmp_path: Path) -> None:
    """SIGKILL at five moments, the folder as it was left each time; then to the end."""
    quick(tmp_path / "in")
    moments = random.Random(7)
    for _ in range(5):
        with started("in", "-o", "out", cwd=tmp_path) as process:
            time.sleep(moments.uniform(0.2, 1.0))
            process.kill()
        for folder in (path for path in tmp_path.glob("out/*") if path.is_dir() and path.name != ".going"):
            assert files(folder) == files(made / "out" / folder.name), folder
    told = batch("in", "-o", "out", cwd=tmp_path)
    assert (told["done"], told["code"]) == (len(QUICK), 0)
    assert but_for_time(tmp_path / "out") == but_for_time(made / "out")
    assert files(tmp_path / "out") == files(made / "out")
    assert sorted(path.name for path in (tmp_path / "out" / ".going").iterdir()) == ["journal.jsonl", "lock"]


def test_ctrl_c_ends_it_at_once_and_it_goes_on(made: Path, tmp_path: Path) -> None:
    quick(tmp_path / "in")
    journal = tmp_path / "out" / ".going" / "journal.jsonl"
    with started("in", "-o", "out", "--jobs", "1", cwd=tmp_path) as process:
        while not journal.exists() or not journal.stat().st_size:
            time.sleep(0.01)
        process.send_signal(signal.SIGINT)
        _, told = process.communicate(timeout=20)
    assert process.returncode == 130 and "Traceback" not in told
    assert not (tmp_path / "out" / "manifest.jsonl").exists()
    after = batch("in", "-o", "out", cwd=tmp_path)
    assert 0 < after["unchanged"] < len(QUICK)
    assert but_for_time(tmp_path / "out") == but_for_time(made / "out")


@pytest.mark.skipif(sys.platform != "linux", reason="processes are looked up in /proc")
def test_workers_end_with_whoever_started_them(tmp_path: Path) -> None:
    """Also where it is killed and can tell them nothing."""
    quick(tmp_path / "in")
    with started("in", "-o", "out", cwd=tmp_path) as process:
        while not list(tmp_path.glob("out/*/pattern.json")):
            time.sleep(0.02)
        below = _below(process.pid)
        assert below
        process.kill()
    ends = time.monotonic() + 20
    while (left := [one for one in below if _runs(one)]) and time.monotonic() < ends:
        time.sleep(0.05)
    assert not left


def _below(process: int) -> list[int]:
    """All that it has started, and those by them (Linux)."""
    found: list[int] = []
    for task in Path(f"/proc/{process}/task").iterdir():
        for child in map(int, (task / "children").read_text().split()):
            found += [child, *_below(child)]
    return found


def _runs(process: int) -> bool:
    try:
        return Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()[0] not in "ZX"
    except (OSError, IndexError):
        return False


# --------------------------------------------------------------------------------------------------------- on a cluster


def test_a_cluster_makes_every_order_once(made: Path, tmp_path: Path) -> None:
    """Three worker processes of Dask, one of them killed in the middle; the bytes are those of one process."""
    from distributed import LocalCluster

    quick(tmp_path / "in")
    with LocalCluster(
        n_workers=3, threads_per_worker=1, processes=True, dashboard_address=None, host="127.0.0.1", silence_logs=50
    ) as local:
        store = Folder(tmp_path / "out")
        store.begin()
        from oaktag.orders.cluster import cluster

        given = how(store, ())
        with Journal(store) as journal, cluster(local.scheduler_address) as (executor, slots):
            told, going = Manifest(journal), Batch(journal, given, executor, slots)
            for number, ended in enumerate(going.run(gather([tmp_path / "in"]))):
                told.add(ended)
                if number == 0:
                    busy = next(one for one in local.scheduler.workers.values() if one.processing)
                    os.kill(local.workers[busy.name].pid, signal.SIGKILL)
            told.write(store)
            told.close()
    assert [row["name"] for row in manifest(tmp_path / "out")] == sorted(QUICK)
    assert but_for_time(tmp_path / "out") == but_for_time(made / "out")
    assert files(tmp_path / "out") == files(made / "out")
    lines = (tmp_path / "out" / ".going" / "journal.jsonl").read_text(encoding="utf-8").splitlines()
    assert sorted(json.loads(line)["name"] for line in lines) == sorted(QUICK)


def test_no_scheduler_is_told_in_a_sentence(tmp_path: Path) -> None:
    quick(tmp_path / "in", QUICK[:1])
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("oaktag.orders.cluster._SECONDS", 0.5)
        done = oaktag("batch", "in", "-o", "out", "--on", "tcp://127.0.0.1:9", cwd=tmp_path)
    assert done.returncode == 3 and "no scheduler answers there" in done.stderr and "Traceback" not in done.stderr


# ----------------------------------------------------------------------------------------------------- a watched folder


def test_a_watched_folder_is_made_and_emptied(made: Path, tmp_path: Path) -> None:
    quick(tmp_path / "in", QUICK[:2])
    (tmp_path / "in" / "bad.toml").write_text("garment = 1\n", encoding="utf-8")
    (tmp_path / "in" / "endless.toml").write_text("# more\n" * 200_000, encoding="utf-8")
    (tmp_path / "in" / "notes.txt").write_text("dear choir", encoding="utf-8")
    (tmp_path / "in" / "alto.toml").write_text("bust_girth = 38\n", encoding="utf-8")  # measurements, no job
    told = batch("--watch", "in", "-o", "out", "--once", cwd=tmp_path)
    assert (told["code"], told["done"], told["refused"]) == (1, 2, 2)
    assert sorted(path.name for path in (tmp_path / "in").iterdir()) == ["alto.toml", "notes.txt"]
    out = tmp_path / "out"
    assert sorted(path.name for path in (out / "done").iterdir()) == sorted(f"{name}.toml" for name in QUICK[:2])
    refused = ["bad.toml", "bad.txt", "endless.toml", "endless.txt"]
    assert sorted(path.name for path in (out / "refused").iterdir()) == refused
    assert "at most 1 MB" in (out / "refused" / "endless.txt").read_text(encoding="utf-8")
    reason = (out / "refused" / "bad.txt").read_text(encoding="utf-8")
    assert reason.startswith("refused: ") and "bad.toml:1 garment: 1 is not" in reason
    assert files(out / QUICK[0]) == files(made / "out" / QUICK[0])
    (out / "refused" / "bad.toml").unlink()
    (tmp_path / "in" / "bad.toml").write_bytes((WARDROBE / "wrapper.toml").read_bytes())
    (tmp_path / "in" / f"{QUICK[0]}.toml").write_text(
        (WARDROBE / f"{QUICK[1]}.toml").read_text(encoding="utf-8"), encoding="utf-8"
    )
    again = batch("--watch", "in", "-o", "out", "--once", cwd=tmp_path)
    assert (again["done"], again["refused"]) == (1, 1)
    assert sorted(path.name for path in (out / "refused").iterdir()) == [
        *refused[2:], f"{QUICK[0]}.toml", f"{QUICK[0]}.txt",
    ]  # fmt: skip
    assert "another job" in (out / "refused" / f"{QUICK[0]}.txt").read_text(encoding="utf-8")
    assert files(out / QUICK[0]) == files(made / "out" / QUICK[0])  # what was made of that name stands
    assert {row["name"]: row["ending"] for row in manifest(out)} == {
        QUICK[0]: "done", QUICK[1]: "done", "bad": "done", "endless": "refused",
    }  # fmt: skip


def test_a_job_that_is_being_written_is_waited_for(tmp_path: Path) -> None:
    """One that grows between two looks is not taken."""
    from oaktag.orders.watch import Watch

    quick(tmp_path / "in", QUICK[:1])
    job = tmp_path / "in" / f"{QUICK[0]}.toml"
    whole = job.read_bytes()
    job.write_bytes(whole[:100])
    store = Folder(tmp_path / "out")
    store.begin()
    with Journal(store) as journal, ThreadPoolExecutor(1) as workers:
        watch = Watch(tmp_path / "in", store, journal, Batch(journal, how(store, ("json",)), workers, lambda: 1))
        assert watch._ready() == []
        job.write_bytes(whole)
        assert watch._ready() == []
        assert watch._ready() == [job]


def test_a_watch_that_is_killed_loses_nothing(made: Path, tmp_path: Path) -> None:
    quick(tmp_path / "in")
    moments = random.Random(3)
    for _ in range(3):
        with started("--watch", "in", "-o", "out", cwd=tmp_path) as process:
            time.sleep(moments.uniform(0.6, 1.6))
            process.kill()
    batch("--watch", "in", "-o", "out", "--once", cwd=tmp_path)
    assert list((tmp_path / "in").iterdir()) == []
    assert sorted(path.stem for path in (tmp_path / "out" / "done").iterdir()) == sorted(QUICK)
    for name in QUICK:
        assert files(tmp_path / "out" / name) == files(made / "out" / name)


# ------------------------------------------------------------------------------------------- clients


class Noted(ThreadPoolExecutor):
    """Keeps what it was given to do."""

    def __init__(self) -> None:
        super().__init__(1)
        self.given: list[Any] = []

    def submit(self, fn: Any, /, *args: Any, **more: Any) -> Any:
        self.given += args
        return super().submit(fn, *args, **more)


def test_what_was_made_for_a_client_stands_in_her_book_and_no_worker_is_told_of_her(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from oaktag.book.store import Book
    from oaktag.orders.booked import into_book

    monkeypatch.setenv("OAKTAG_BOOK", str(tmp_path / "choir.book"))
    oaktag("book", "import", CHOIR / "clients.csv", cwd=tmp_path)
    (tmp_path / "skirt.toml").write_text('title = "Skirt"\ngarment = "wrapper"\nunits = "in"\n[fitting]\n')
    (tmp_path / "orders.csv").write_text("order,client,job\nwrap-1,alto 3,skirt.toml\n")
    store, workers = store_of(str(tmp_path / "made")), Noted()
    orders, notes = list(gather([tmp_path / "orders.csv"])), list[str]()
    (ended,) = here(store, orders, workers, made=lambda order: into_book(order, how(store, ()), notes.append))
    assert (ended.ending, dict(ended.columns), notes) == ("done", {"client": "alto 3"}, [])
    (sent,) = (one for one in workers.given if isinstance(one, Order))
    assert "alto 3" not in repr(sent)
    with Book(tmp_path / "choir.book") as book:
        (made,) = book.client("alto 3").made
    assert (made.garment, made.title, made.file, made.measured) == ("wrapper", "wrap-1", "wrap-1.toml", "2026-03-01")
    monkeypatch.setenv("OAKTAG_BOOK", str(tmp_path / "gone" / "choir.book"))
    into_book(orders[0], how(store, ()), notes.append)  # type: ignore[arg-type]
    assert notes and "wrap-1 is made, and it was not written into the measurement book" in notes[0]
