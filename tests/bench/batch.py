"""Many orders at once, by hand: what one costs, alone and in a batch, how memory goes, and kills at any moment.

    batch.py jobs FOLDER [N]      N orders from the women of the survey, in six garments: job files, names by number
    batch.py speed [N]            an order alone (`oaktag make`), in a batch on one core and on two, whole and plots alone
    batch.py memory FOLDER        a batch of that folder: memory of the parent and its workers, rate, over time
    batch.py kills [MOMENTS]      a batch killed at so many moments and gone on, against an undisturbed one

Times are told as ratios within one run, in which the kinds take turns, since machines and days differ.
"""

from __future__ import annotations

import json
import os
import random
import resource
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "tests"))

GARMENTS = ("sheath-dress", "straight-skirt", "trousers", "blouse", "bodice", "gored-skirt")
FEW = ("--only", "hpgl", "--only", "json")
CLOCK = os.sysconf("SC_CLK_TCK")
PAGE = os.sysconf("SC_PAGE_SIZE")


def jobs(folder: Path, count: int) -> None:
    """The women in turn; each gets the six garments one after the other."""
    from by_the_tape import measured_whole

    folder.mkdir(parents=True, exist_ok=True)
    women = list(measured_whole("women_1988_300.csv").items())
    for k in range(count):
        number, body = women[k // len(GARMENTS) % len(women)]
        garment = GARMENTS[k % len(GARMENTS)]
        lengths = "\n".join(f"{name} = {mm:.1f}" for name, mm in body.items())
        (folder / f"order-{k + 1:05d}.toml").write_text(
            f'title = "Survey {number}, {garment}"\ngarment = "{garment}"\nunits = "mm"\n\n[measurements]\n{lengths}\n',
            encoding="utf-8",
        )


def oaktag(*words: object) -> list[str]:
    return [sys.executable, "-m", "oaktag", *map(str, words)]


def run(*words: object) -> tuple[float, float]:
    """Wall time and processor time, s, of a command with all that it starts."""
    before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    done = subprocess.run(oaktag(*words), stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    if done.returncode not in (0, 1):
        sys.exit(done.stderr)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return time.perf_counter() - began, cpu


def speed(count: int) -> None:
    """The same jobs alone, and in batches of `count` and of a quarter of them: what an order more costs."""
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        jobs(folder / "in", count)
        every = sorted((folder / "in").glob("*.toml"))
        for few in ((), FEW):
            alone, walls, rows = [], {}, []
            for job in every[:: max(1, count // 12)]:
                alone.append(run("make", job, "-o", folder / "alone", "--replace", *few))
            for cores in (1, 2, 1, 2):
                for part in (every[: count // 4], every):
                    out = folder / f"out-{cores}-{len(part)}-{len(rows)}"
                    wall, _ = run("batch", *part, "--out", out, "--jobs", cores, *few)
                    walls.setdefault((cores, len(part)), []).append(wall)
                    rows.append(out)
            again, _ = run("batch", *every, "--out", rows[-1], *few)
            whole, _ = run("batch", *every, "--out", rows[-1], "--whole", *few)
            single = statistics.mean(wall for wall, _ in alone)
            processor = statistics.mean(cpu for _, cpu in alone)
            print(f"\n{' '.join(few) or 'every file'}: {count} orders")
            print(f"  alone            {single * 1000:6.0f} ms wall, {processor * 1000:.0f} ms of processors")
            each = {}
            for cores in (1, 2):
                some, all_ = (min(walls[cores, n]) for n in (count // 4, count))
                each[cores] = all_ / count
                more = (all_ - some) / (count - count // 4)
                print(
                    f"  batch, {cores} at a time {each[cores] * 1000:5.0f} ms an order ({each[cores] / single:.2f} of alone); "
                    f"one order more {more * 1000:.0f} ms; whole {all_:.1f} s"
                )
            print(f"  two against one  {each[1] / each[2]:.2f} times as fast")
            print(
                f"  nothing changed  {again / min(walls[2, count]):.1%} of the time; all files read {whole / min(walls[2, count]):.1%}"
            )


def below(process: int) -> list[int]:
    found: list[int] = []
    try:
        for task in Path(f"/proc/{process}/task").iterdir():
            for child in map(int, (task / "children").read_text().split()):
                found += [child, *below(child)]
    except OSError:
        pass
    return found


def resident(process: int) -> float:
    try:
        return int(Path(f"/proc/{process}/statm").read_text().split()[1]) * PAGE / 1e6
    except (OSError, IndexError):
        return 0.0


def memory(folder: Path, *words: str) -> None:
    with tempfile.TemporaryDirectory() as temporary:
        out = Path(temporary) / "out"
        journal = out / ".going" / "journal.jsonl"
        began = last = time.perf_counter()
        before = 0
        with subprocess.Popen(
            oaktag("batch", folder, "--out", out, "--json", *words), stdout=subprocess.PIPE
        ) as process:
            print("   s  orders  a second  parent, MB  workers, MB")
            while process.poll() is None:
                time.sleep(0.5)
                now = time.perf_counter()
                if now - last >= 10:
                    done = journal.read_bytes().count(b"\n") if journal.exists() else 0
                    own = " ".join(f"{resident(one):.0f}" for one in below(process.pid) if resident(one) > 5)
                    print(
                        f"{now - began:5.0f} {done:6d} {(done - before) / (now - last):8.1f}"
                        f" {resident(process.pid):10.1f}   {own}", flush=True,
                    )  # fmt: skip
                    last, before = now, done
            print(process.stdout.read().decode() if process.stdout else "")
        rows = [json.loads(line) for line in (out / "manifest.jsonl").read_text().splitlines()]
        print(f"{len(rows)} orders in {time.perf_counter() - began:.1f} s")
        reasons = Counter(" ".join(("# " if any(c.isdigit() for c in word) else word) for word in row["reason"].split())[:150]
                          for row in rows if row["ending"] != "done")  # fmt: skip
        for reason, number in reasons.most_common(12):
            print(f"{number:5d}  {reason}")
        sample = random.Random(1).sample([row["name"] for row in rows if row["ending"] == "done"], min(50, len(rows)))
        codes = Counter(
            subprocess.run(oaktag("verify", out / name), stdout=subprocess.DEVNULL).returncode for name in sample
        )
        print(f"verify of {len(sample)} of them: exit codes {dict(codes)}")


def results(out: Path) -> dict[str, bytes]:
    files = (path for path in sorted(out.rglob("*")) if path.is_file() and ".going" not in path.parts)
    found = {path.relative_to(out).as_posix(): path.read_bytes() for path in files}
    rows = [{**json.loads(line), "seconds": 0} for line in found.pop("manifest.jsonl", b"").splitlines()]
    found.pop("manifest.csv", None)
    return {**found, "manifest": json.dumps(rows).encode()}


def whole(out: Path, calm: dict[str, bytes]) -> str:
    """What is not as it should be in a batch that was cut short: "" if each order is there whole or not at all."""
    for folder in (path for path in out.glob("*") if path.is_dir() and path.name != ".going"):
        own = {f"{folder.name}/{path.relative_to(folder).as_posix()}" for path in folder.rglob("*") if path.is_file()}
        due = {name for name in calm if name.startswith(f"{folder.name}/")}
        if own != due or any((out / name).read_bytes() != calm[name] for name in own):
            return folder.name
    return ""


def kills(moments: int) -> None:
    """One batch, killed at random moments of its life until it is through, then begun anew: `moments` kills in all."""
    dice = random.Random(29)
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        jobs(folder / "in", 40)
        (folder / "in" / "bad.toml").write_text("garment = 1\n")
        run("batch", folder / "in", "--out", folder / "calm", *FEW)
        calm = results(folder / "calm")
        done = batches = wrong = 0
        began, lengths = 0, []
        while done < moments:
            out = folder / f"out-{batches}"
            batches += 1
            while True:
                with subprocess.Popen(oaktag("batch", folder / "in", "--out", out, *FEW), stdout=subprocess.DEVNULL,
                                      stderr=subprocess.DEVNULL) as process:  # fmt: skip
                    try:
                        process.wait(timeout=dice.uniform(0.1, 1.6))
                        break
                    except subprocess.TimeoutExpired:
                        process.send_signal(signal.SIGKILL)
                done += 1
                lengths.append(len(list(out.glob("order-*"))))
                if odd := whole(out, calm):
                    wrong += 1
                    print(f"after kill {done}: {odd} is not whole")
                if done - began > 3 * moments:
                    sys.exit("it does not get on")
            same = results(out) == calm
            left = sorted(path.name for path in (out / ".going").iterdir())
            print(
                f"batch {batches}: {done - began} kills, orders there after each: {lengths}; then as undisturbed: {same}; "
                f"{left}"
            )
            wrong += not same
            began, lengths = done, []
        print(f"{done} kills in {batches} batches of {len(calm) and 41} orders: {wrong} wrong")


def main(words: Sequence[str]) -> None:
    what, *more = words or ["help"]
    if what == "jobs":
        jobs(Path(more[0]), int(more[1]) if more[1:] else 1000)
    elif what == "speed":
        speed(int(more[0]) if more else 120)
    elif what == "memory":
        memory(Path(more[0]), *more[1:])
    elif what == "kills":
        kills(int(more[0]) if more else 50)
    else:
        print(__doc__)


if __name__ == "__main__":
    main(sys.argv[1:])
