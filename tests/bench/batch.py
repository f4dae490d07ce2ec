"""Many orders at once, by hand: what one costs, alone and in a batch, how memory goes, and kills at any moment.

    batch.py jobs FOLDER [N]      N orders from the women of the survey, in six garments: job files, names by number
    batch.py speed [N]            an order alone (`oaktag make`), in a batch on one core and on two; plots alone
    batch.py memory FOLDER        a batch of that folder: memory of the parent and its workers, rate, over time
    batch.py kills [MOMENTS]      a batch killed at so many moments and gone on, against an undisturbed one

Times are told as ratios within one run, in which the kinds take turns, since machines and days differ.
"""

from __future__ import annotations

import json
import os
import random
import re
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
    """Wall time and processor time, s, of a command with all that it starts; workers are looked at as they run."""
    before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    ticks: dict[int, int] = {}
    with subprocess.Popen(oaktag(*words), stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True) as process:
        while process.poll() is None:
            if words[0] == "batch":
                ticks |= {one: used for one in below(process.pid) if (used := processor(one))}
            time.sleep(0.02)
        wall = time.perf_counter() - began
        if process.returncode not in (0, 1):
            sys.exit(process.stderr.read() if process.stderr else "")
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return wall, cpu + sum(ticks.values()) / CLOCK


def speed(count: int) -> None:
    """The same jobs alone, and in batches of `count` and of a quarter of them: what an order more costs."""
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        jobs(folder / "in", count)
        every = sorted((folder / "in").glob("*.toml"))
        some = every[: count // 4]
        for few in ((), FEW):
            alone: list[tuple[float, float]] = []
            batches: dict[tuple[int, int], list[tuple[float, float]]] = {}
            for turn in range(2):
                alone += [
                    run("make", job, "-o", folder / "alone", "--replace", *few) for job in every[turn :: count // 8]
                ]
                for cores in (1, 2):
                    for part in (some, every):
                        out = folder / f"out-{'-'.join(few)}-{cores}-{len(part)}-{turn}"
                        batches.setdefault((cores, len(part)), []).append(
                            run("batch", *part, "--out", out, "--jobs", cores, *few)
                        )
            again, whole = (run("batch", *every, "--out", out, *few, *more)[1] for more in ((), ("--whole",)))
            wall, cpu = (statistics.mean(one[k] for one in alone) for k in (0, 1))
            print(f"\n{' '.join(few) or 'every file'}: {count} orders")
            print(f"  alone            {wall * 1000:6.0f} ms wall, {cpu * 1000:.0f} ms of processors")
            least = {key: (min(w for w, _ in own), min(c for _, c in own)) for key, own in batches.items()}
            for cores in (1, 2):
                (_, few_cpu), (all_wall, all_cpu) = least[cores, len(some)], least[cores, count]
                more = (all_cpu - few_cpu) / (count - len(some))
                print(
                    f"  batch, {cores} at a time {all_wall / count * 1000:5.0f} ms wall an order "
                    f"({all_wall / count / wall:.2f} of alone), {all_cpu / count * 1000:.0f} ms of processors "
                    f"({all_cpu / count / cpu:.2f}); one order more {more * 1000:.0f} ms of processors"
                )
            print(f"  two against one  {least[1, count][0] / least[2, count][0]:.2f} times as fast")
            best = least[2, count][1]
            print(f"  nothing changed  {again / best:.1%} of the processors' time; all files read {whole / best:.1%}")


def below(process: int) -> list[int]:
    found: list[int] = []
    try:
        for task in Path(f"/proc/{process}/task").iterdir():
            for child in map(int, (task / "children").read_text().split()):
                found += [child, *below(child)]
    except OSError:
        pass
    return found


def processor(process: int) -> int:
    """Clock ticks that it has used."""
    try:
        parts = Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()
        return int(parts[11]) + int(parts[12])
    except (OSError, IndexError):
        return 0


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
        reasons = Counter(re.sub(r"order-\d+|\d[\d ./]*", "#", row["reason"])[:150] for row in rows if row["reason"])
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
        calm_time, _ = run("batch", folder / "in", "--out", folder / "calm", *FEW)
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
                        process.wait(timeout=dice.uniform(0.02, 0.4) * calm_time)
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
            print(f"batch {batches}: {done - began} kills, orders there after each: {lengths}")
            print(f"  in the end as undisturbed: {same}; left to go on by: {left}", flush=True)
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
