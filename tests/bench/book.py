"""The measurement book with 10,000 clients, by hand: times of every verb, and of a floor in the same run.

usage: book.py [CLIENTS] [RUNS]

Each verb is a process of its own (median of the runs), and told as a ratio to an empty `oaktag book --help`; what the
book itself costs is told as a ratio to plain sqlite3, which inserts and selects the same rows in the same run.
"""

from __future__ import annotations

import datetime
import json
import os
import random
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from oaktag.book.people import Client, Made, Sitting, Taken
from oaktag.book.store import Book
from oaktag.book.tables import as_csv

NAMES = ("bust_girth", "waist_girth", "hip_girth", "shoulder_width", "back_waist_length", "upper_arm_girth",
         "arm_length", "waist_to_hip", "waist_to_knee", "neck_base_girth", "scye_depth", "thigh_girth")  # fmt: skip
USUAL = (960, 780, 1040, 390, 405, 300, 580, 205, 600, 370, 210, 580)


def clients(count: int) -> list[Client]:
    """Invented singers, measured twice each in 12 measurements."""
    dice = random.Random(1)
    found = []
    for k in range(count):
        sittings = []
        for day in ("2025-09-01", "2026-03-01"):
            mm = [usual + dice.randrange(-20, 20) for usual in USUAL]
            lengths = {name: Taken(float(v), f"{v / 10:g}", day) for name, v in zip(NAMES, mm)}
            sittings.append(Sitting(day, "cm", "Ana", "woman", lengths))
        found.append(Client(f"singer {k:05d}", "woman", "", tuple(sittings)))
    return found


def timed(call: Callable[[], object]) -> float:
    start = time.perf_counter()
    call()
    return time.perf_counter() - start


def fill(path: Path, crowd: list[Client]) -> None:
    with Book(path, create=True) as book, book.changing():
        for client in crowd:
            book.add(client)
            for sitting in client.sittings:
                book.put_sitting(client.name, sitting)
            book.put_made(client.name, Made("2026-03-02", "sheath-dress", "stage dress"))


def plain(path: Path, crowd: list[Client]) -> None:
    """The floor: the same texts in tables of plain sqlite3, no checks and no sums."""
    db = sqlite3.connect(path)
    db.execute("CREATE TABLE c (id INTEGER PRIMARY KEY, key TEXT UNIQUE, note TEXT)")
    db.execute("CREATE TABLE s (c INTEGER, day TEXT, lengths TEXT, PRIMARY KEY (c, day)) WITHOUT ROWID")
    for k, client in enumerate(crowd):
        db.execute("INSERT INTO c VALUES (?, ?, '')", (k, client.name))
        for s in client.sittings:
            told = json.dumps({name: (taken.mm, taken.typed, taken.day) for name, taken in s.lengths.items()})
            db.execute("INSERT INTO s VALUES (?, ?, ?)", (k, s.day, told))
    db.commit()
    db.close()


def read(path: Path) -> None:
    with Book(path) as book:
        book.clients()


def read_plain(path: Path) -> None:
    db = sqlite3.connect(path)
    db.execute("SELECT * FROM c").fetchall()
    for row in db.execute("SELECT * FROM s"):
        json.loads(row[2])
    db.close()


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    runs = int(sys.argv[2]) if len(sys.argv) > 2 else 5
    crowd = clients(count)
    with tempfile.TemporaryDirectory() as name:
        room = Path(name)
        book = room / "clients.book"
        ours, floor = timed(lambda: fill(book, crowd)), timed(lambda: plain(room / "plain.db", crowd))
        print(f"{count} clients, {2 * count} sittings, {book.stat().st_size / 1e6:.1f} MB")
        print(f"{'written in one go':28}{ours:7.3f} s  {ours / floor:6.2f} × plain sqlite3 ({floor:.3f} s)")
        ours, floor = timed(lambda: read(book)), timed(lambda: read_plain(room / "plain.db"))
        print(f"{'opened, checked, all read':28}{ours:7.3f} s  {ours / floor:6.2f} × plain sqlite3 ({floor:.3f} s)")
        opened = timed(lambda: Book(book).__exit__(None, None, None))
        print(f"{'opened and checked alone':28}{opened:7.3f} s")
        (room / "new.csv").write_text(as_csv(clients(count)).replace("singer", "guest"))
        (room / "job.toml").write_text('client = "singer 00777"\ngarment = "sheath-dress"\nunits = "cm"\n')
        verbs = {
            "--help": ["book", "--help"], "path": ["book", "path"],
            "add": ["book", "add", "singer {n}"], "list": ["book", "list"], "list WORD": ["book", "list", "0777"],
            "measure": ["book", "measure", "singer 0{n}", "waist_girth=79", "--date", "2026-05-01"],
            "show": ["book", "show", "singer 00777"],
            "show -o": ["book", "show", "singer 00777", "-o", "{n}.svg"],
            "made": ["book", "made", "singer 00777"],
            "made --fitting": ["book", "made", "singer 00777", "1", "--fitting", "waist out {n}"],
            "export all": ["book", "export", "{n}.csv"],
            "export one": ["book", "export", "{n}.toml", "--client", "singer 00777"],
            "backup": ["book", "backup", "{n}.book"], "check JOB": ["check", "job.toml"],
            "forget": ["book", "forget", "singer 0{n}", "--yes"],
            "import as many again": ["book", "import", "new.csv"],
        }  # fmt: skip
        environment = {**os.environ, "OAKTAG_BOOK": str(book)}
        floor = 0.0
        for verb, words in verbs.items():
            took = []
            for k in range(1 if verb.startswith("import") else runs):
                argv = [sys.executable, "-m", "oaktag", *(word.format(n=2000 + k) for word in words)]
                start = time.perf_counter()
                done = subprocess.run(argv, cwd=room, env=environment, capture_output=True, text=True)
                took.append(time.perf_counter() - start)
                if done.returncode:
                    raise SystemExit(f"{argv}: {done.stderr}")
            median = statistics.median(took)
            floor = floor or median
            print(f"{verb:28}{median:7.3f} s  {median / floor:6.2f} × --help")
        print(f"on {datetime.date.today()}, sqlite {sqlite3.sqlite_version}")


main()
