"""Small faults put into the source one at a time: do the tests notice? Run by hand, in a copy; the tree is not touched.

usage: mutants.py map [WORD…]     every test file (or those with such a word in their names) once, over a copy of the
                                  source that marks what is run: which test runs what, and how long it takes
       mutants.py run [N]         N faults (200), spread over the packages by their lines; goes on where it was stopped
       mutants.py again           the faults that were not noticed, once more, by new tests first
       mutants.py show            the table by package, and every fault that was not noticed

       --only a,b                 of these packages alone (`run`, `again`, `show`)
       --seed WORD                another choice of faults ("oaktag")
       --folder DIR               where the copies, the map and what was found are kept (in the temporary folder)
       --jobs N                   so many faults at once (1)
       --budget S                 tests of so many seconds, unmutated, for a fault (60)

A fault is noticed when a test fails that passed without it, or takes more than five times as long. For each, the tests
that run its lines are taken, the quickest first, and the first that fails decides. `mutants.toml`
says of those that change nothing why they do not, and of others why they are left.

mutmut 3 and cosmic-ray 8 were looked at. mutmut leaves alone what stands outside functions, where this project keeps
its limits, and does not draw a sample; cosmic-ray runs one command for every fault, so the whole suite for each.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import difflib
import hashlib
import importlib
import json
import mmap
import os
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import tomllib
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import ceil
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src/oaktag"
EXPLAINED = Path(__file__).with_suffix(".toml")
FIRST, FILES = 4.0, 4
"""Seconds of unmutated tests in the first batch for a fault, and of how many files they are."""
GRACE, FACTOR = 30.0, 5.0
"""A batch may take GRACE + FACTOR x its unmutated time, s of work."""
LEAST = 2
"""Faults of the smallest package."""

# ------------------------------------------------------------------------------- what is run: stretches of statements

_COMPOUND = (ast.If, ast.For, ast.While, ast.Try, ast.With, ast.Match)
_DEFS = (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)


def _lists(statement: ast.AST) -> Iterator[list[ast.stmt]]:
    for part in (statement, *getattr(statement, "handlers", ()), *getattr(statement, "cases", ())):
        for field in ("body", "orelse", "finalbody"):
            body = getattr(part, field, None)
            if isinstance(body, list) and body:
                yield body


def stretches(tree: ast.Module, path: str) -> Iterator[tuple[str, list[ast.stmt], int, int]]:
    """(key, list, from, to): statements of a function that run one after the other, cut wherever a way may branch."""

    def walk(
        bodies: Iterator[list[ast.stmt]], name: str, counter: list[int] | None
    ) -> Iterator[tuple[str, list[ast.stmt], int, int]]:
        for body in filter(None, bodies):
            start = 1 if isinstance(body[0], ast.Expr) and isinstance(body[0].value, ast.Constant) else 0
            for i, statement in enumerate(body):
                if isinstance(statement, _DEFS):
                    inner = f"{name}.{statement.name}".lstrip(".")
                    yield from walk(iter([statement.body]), inner, None if isinstance(statement, ast.ClassDef) else [0])
                elif isinstance(statement, _COMPOUND):
                    if counter is not None:
                        yield f"{path}:{name}:{counter[0]}", body, start, i + 1
                        counter[0] += 1
                    start = i + 1
                    yield from walk(_lists(statement), name, counter)
            if start < len(body) and counter is not None:
                yield f"{path}:{name}:{counter[0]}", body, start, len(body)
                counter[0] += 1

    yield from walk(iter([tree.body]), "", None)


def marked(tree: ast.Module, path: str, number: Callable[[str], int]) -> str:
    """The module's source with a mark at the head of every stretch."""
    put: dict[int, tuple[list[ast.stmt], list[tuple[int, int]]]] = {}
    for key, body, start, _ in list(stretches(tree, path)):
        put.setdefault(id(body), (body, []))[1].append((start, number(key)))
    for body, marks in put.values():
        for start, n in sorted(marks, reverse=True):
            body.insert(start, ast.parse(f"oaktag_runs[{n}] = 1").body[0])
    return ast.unparse(ast.fix_missing_locations(tree))


_HEAD = """
import builtins as _b, mmap as _m, os as _o
if "OAKTAG_RUNS" in _o.environ and not hasattr(_b, "oaktag_runs"):
    with open(_o.environ["OAKTAG_RUNS"], "r+b") as _f:
        _b.oaktag_runs = _m.mmap(_f.fileno(), 0)
"""


# --------------------------------------------------------------------------------------------------------- the faults


@dataclass(frozen=True, slots=True)
class Fault:
    """`node` of a field of `parent` becomes `other`."""

    path: str
    where: str
    kind: str
    number: int
    tree: ast.Module
    parent: ast.AST
    field: str
    index: int | None
    node: ast.AST
    other: ast.AST
    stretch: str
    names: tuple[str, ...]

    @property
    def package(self) -> str:
        return self.path.split("/")[0] if "/" in self.path else "the top"

    @property
    def key(self) -> str:
        ordinal = f" #{self.number}" if self.number else ""
        return f"{self.path}:{self.where}: {_told(self.node)} -> {_told(self.other)}{ordinal}"

    def source(self) -> str:
        """The whole module with the fault in it."""
        self._put(self.other)
        try:
            return ast.unparse(ast.fix_missing_locations(self.tree))
        finally:
            self._put(self.node)

    def _put(self, node: ast.AST) -> None:
        if self.index is None:
            setattr(self.parent, self.field, node)
        else:
            getattr(self.parent, self.field)[self.index] = node

    def difference(self) -> list[str]:
        before, after = ast.unparse(self.tree).splitlines(), self.source().splitlines()
        lines = [x for x in difflib.unified_diff(before, after, n=0, lineterm="") if x[:3] not in ("---", "+++")][1:]
        same = next((i for i, signs in enumerate(zip(*lines)) if i and len(set(signs)) > 1), 1)
        return [x if len(x) < 200 else f"{x[0]} … {x[max(1, same - 80) : same + 100]} …" for x in lines]


def _told(node: ast.AST) -> str:
    text = " ".join(ast.unparse(node).split()) if not isinstance(node, ast.Pass) else "nothing"
    return text if len(text) <= 110 else text[:80] + "…" + text[-25:]


_TURNED = {
    ast.Lt: ast.GtE, ast.LtE: ast.Gt, ast.Gt: ast.LtE, ast.GtE: ast.Lt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
_BOUNDARY = {ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt}
_SUMS = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Mult,
    ast.Mod: ast.FloorDiv, ast.Pow: ast.Mult,
}  # fmt: skip
_CALLS = {"min": "max", "max": "min", "any": "all", "all": "any", "floor": "ceil", "ceil": "floor"}
_BARE = ("abs", "reversed", "sorted")
_KEYED = ("replace", "min", "max", "sorted")
_MANY = 10
"""Whole numbers below it become one more, larger ones twice as much: a girth's limit of 851 mm for 850 is no slip."""
_FINEST = 0.01
"""Smaller numbers are tolerances of arithmetic: twice as much of them changes nothing that can be drawn."""


def _is_limit(node: ast.AST) -> bool:
    name = node.attr if isinstance(node, ast.Attribute) else getattr(node, "id", "")
    counts = isinstance(node, ast.Call) and getattr(node.func, "id", "") == "len"
    number = isinstance(node, ast.Constant) and isinstance(node.value, int | float)
    number = number and (node.value == 0 or abs(node.value) >= _FINEST)
    return counts or (name.isupper() and len(name) > 1) or number


def _is_text(node: ast.AST) -> bool:
    if isinstance(node, ast.BinOp):
        return _is_text(node.left) or _is_text(node.right)
    return isinstance(node, ast.JoinedStr | ast.List | ast.Tuple) or (
        isinstance(node, ast.Constant) and isinstance(node.value, str | bytes)
    )


def variants(node: ast.AST, returns: str) -> Iterator[tuple[str, ast.AST]]:
    """What might stand there by a slip."""
    match node:
        case ast.Compare():
            for i, op in enumerate(node.ops):
                told = [("comparison", _TURNED.get(type(op)))]
                if any(_is_limit(side) for side in ((node.left, *node.comparators)[i : i + 2])):
                    told.append(("boundary", _BOUNDARY.get(type(op))))
                for kind, other in told:
                    if other is not None:
                        yield (
                            kind,
                            ast.Compare(node.left, [*node.ops[:i], other(), *node.ops[i + 1 :]], node.comparators),
                        )
        case ast.BoolOp():
            yield "and/or", ast.BoolOp(ast.Or() if isinstance(node.op, ast.And) else ast.And(), node.values)
            for i in range(len(node.values)):
                rest = [*node.values[:i], *node.values[i + 1 :]]
                yield "condition", rest[0] if len(rest) == 1 else ast.BoolOp(node.op, rest)
        case ast.UnaryOp(op=ast.Not() | ast.USub()):
            yield "not" if isinstance(node.op, ast.Not) else "sign", node.operand
        case ast.BinOp() if type(node.op) in _SUMS and not _is_text(node):
            yield "sum", ast.BinOp(node.left, _SUMS[type(node.op)](), node.right)
        case ast.Constant(value=bool(value)):
            yield "yes/no", ast.Constant(not value)
        case ast.Constant(value=int(value)):
            yield "number", ast.Constant(value + 1 if value < _MANY else value * 2)
        case ast.Constant(value=float(value)) if value == 0 or abs(value) >= _FINEST:
            yield "number", ast.Constant(value * 2 if value else 1.0)
        case ast.Call(func=ast.Name(id=name)) if name in _CALLS:
            yield "call", ast.Call(ast.Name(_CALLS[name]), node.args, node.keywords)
        case ast.Call(func=ast.Name(id=name), args=[only]) if name in _BARE:
            if name == "abs":
                yield "call", only
            else:
                yield "call", ast.Call(ast.Name("iter" if name == "reversed" else "list"), [only], [])
        case ast.Slice():
            for side in ("lower", "upper"):
                if getattr(node, side) is not None:
                    yield (
                        "slice",
                        ast.Slice(**{"lower": node.lower, "upper": node.upper, "step": node.step, side: None}),
                    )
        case ast.If() | ast.While() | ast.IfExp() if not isinstance(node.test, ast.Compare | ast.BoolOp | ast.UnaryOp):
            parts = {field: value for field, value in ast.iter_fields(node) if field != "test"}
            yield "not", type(node)(test=ast.UnaryOp(ast.Not(), node.test), **parts)
        case ast.comprehension(ifs=[_, *_]):
            for i in range(len(node.ifs)):
                rest = [*node.ifs[:i], *node.ifs[i + 1 :]]
                yield "filter", ast.comprehension(node.target, node.iter, rest, node.is_async)
        case ast.Return(value=value) if value is not None and not isinstance(value, ast.Constant):
            if returns == "bool":
                yield "returned", ast.Return(ast.UnaryOp(ast.Not(), value))
            elif returns.endswith("| None"):
                yield "returned", ast.Return(ast.Constant(None))
        case ast.Expr(value=ast.Call() | ast.Yield() | ast.YieldFrom()) | ast.AugAssign() | ast.Raise() | ast.Delete():
            yield "dropped", ast.Pass()
        case ast.Continue() | ast.Break():
            yield "dropped", ast.Pass()
    if isinstance(node, ast.Call) and getattr(node.func, "id", "") in _KEYED:
        for i, keyword in enumerate(node.keywords):
            if keyword.arg not in (None, "default"):
                yield "keyword", ast.Call(node.func, node.args, [*node.keywords[:i], *node.keywords[i + 1 :]])


def faults_of(path: str, tree: ast.Module) -> Iterator[Fault]:
    """Every fault that may be put into a module."""
    stretch_of = {
        id(statement): key for key, body, start, end in stretches(tree, path) for statement in body[start:end]
    }
    seen: Counter[str] = Counter()

    def walk(node: ast.AST, where: str, stretch: str, names: tuple[str, ...], returns: str) -> Iterator[Fault]:
        if isinstance(node, ast.FunctionDef):
            returns = ast.unparse(node.returns) if node.returns else ""
        for field, value in ast.iter_fields(node):
            if field in ("annotation", "returns", "decorator_list", "bases", "format_spec"):
                continue
            for i, child in enumerate(value) if isinstance(value, list) else ((None, value),):
                if not isinstance(child, ast.AST) or isinstance(child, ast.Assert | ast.Import | ast.ImportFrom):
                    continue
                if isinstance(child, ast.If) and "TYPE_CHECKING" in ast.unparse(child.test):
                    continue
                if isinstance(child, ast.keyword) and child.arg == "strict":  # as an assertion, for slips of ours
                    continue
                own, here, known = where, stretch_of.get(id(child), stretch), names
                if isinstance(child, _DEFS):
                    own = f"{where}.{child.name}".lstrip(".")
                    here = "" if isinstance(child, ast.ClassDef) else f"{path}:{own}:0"
                    known = (*names, child.name)
                elif not here and isinstance(child, ast.Assign | ast.AnnAssign):
                    known = (*names, *(n.id for n in ast.walk(child) if isinstance(n, ast.Name) and _stored(n)))
                for kind, other in variants(child, returns):
                    if kind == "dropped" and isinstance(child, ast.Raise) and child.exc is None:
                        continue
                    told = f"{own}: {_told(child)} -> {_told(other)}"
                    seen[told] += 1
                    yield Fault(
                        path, own, kind, seen[told] - 1, tree, node, field, i, child, other, here, known
                    )  # fmt: skip
                yield from walk(child, own, here, known, returns)

    yield from walk(tree, "", "", (), "")


def _stored(node: ast.Name) -> bool:
    return isinstance(node.ctx, ast.Store)


def modules() -> dict[str, ast.Module]:
    return {file.relative_to(SOURCE).as_posix(): ast.parse(file.read_bytes()) for file in sorted(SOURCE.rglob("*.py"))}


def chosen(trees: dict[str, ast.Module], count: int, seed: str, only: list[str]) -> list[Fault]:
    """So many faults, each package's share by its lines: those whose own words, hashed, come first.

    A change of the source elsewhere so leaves the choice as it was.
    """
    lines: Counter[str] = Counter()
    found: defaultdict[str, list[Fault]] = defaultdict(list)
    for path, tree in trees.items():
        for fault in faults_of(path, tree):
            found[fault.package].append(fault)
        lines[path.split("/")[0] if "/" in path else "the top"] += len((SOURCE / path).read_bytes().splitlines())
    all_lines = sum(lines[package] for package in found)
    picked = []
    for package in sorted(found):
        share = max(LEAST, round(count * lines[package] / all_lines))
        if not only or package in only:
            ordered = sorted(found[package], key=lambda f: hashlib.sha256(f"{seed} {f.key}".encode()).digest())
            picked += ordered[:share]
    return picked


def users(trees: dict[str, ast.Module]) -> tuple[dict[str, set[str]], dict[str, set[str]]]:
    """For each name: the stretches in which it is read, and the names outside functions that are made with it."""
    read, made = defaultdict(set), defaultdict(set)
    for path, tree in trees.items():
        for key, body, start, end in stretches(tree, path):
            for statement in body[start:end]:
                for node in ast.walk(statement):
                    read[getattr(node, "id", getattr(node, "attr", ""))].add(key)
        for statement in tree.body:
            if isinstance(statement, ast.Assign | ast.AnnAssign):
                nodes = [n for n in ast.walk(statement) if isinstance(n, ast.Name)]
                for node in nodes:
                    if not _stored(node):
                        made[node.id].update(n.id for n in nodes if _stored(n))
    return read, made


# -------------------------------------------------------------------------------------------- within pytest: a plugin

_MARKS: mmap.mmap | None = None
_SHARED: dict[str, tuple[float, bytes]] = {}
_SINCE: dict[str, Any] = {}


def _take() -> bytes:
    """What has been run since the last time."""
    assert _MARKS is not None
    ran = _MARKS[:]
    _MARKS[:] = bytes(len(ran))
    return ran


def _work() -> float:
    """Seconds that this process and what it started have worked, and a tenth of those that went by."""
    return sum(os.times()[:4]) + 0.1 * time.monotonic()


def pytest_configure(config: Any) -> None:
    """Hypothesis takes the same examples each time, and does not make the failing one small."""
    from hypothesis import Phase, settings

    quick = (Phase.explicit, Phase.generate)
    settings.register_profile("mutants", settings.default, derandomize=True, database=None, phases=quick)
    settings.load_profile("mutants")
    if "OAKTAG_RUNS" in os.environ:
        import oaktag  # noqa: F401  its first lines, in the marked copy, open the marks

        global _MARKS  # noqa: PLW0603  a plugin of pytest is a module
        _MARKS = sys.modules["builtins"].oaktag_runs  # type: ignore[attr-defined]
        config.pluginmanager.register(_Mapping())


def pytest_collection_modifyitems(config: Any, items: list[Any]) -> None:
    """Only the tests asked for, in that order; before them those of the same files that no map knows yet."""
    if "MUTANTS_TESTS" in os.environ:
        asked, known = json.loads(Path(os.environ["MUTANTS_TESTS"]).read_text())
        order = {name: i for i, name in enumerate(asked)}
        kept = [item for item in items if item.nodeid in order or (known and item.nodeid not in known)]
        items[:] = sorted(kept, key=lambda item: order.get(item.nodeid, -1))


class _Mapping:
    """What each test runs, its shared fixtures' work with it."""

    def __init__(self) -> None:
        self.found: dict[str, tuple[float, bytes]] = {}
        self.bad: set[str] = set()

    @pytest.hookimpl(hookwrapper=True)
    def pytest_fixture_setup(self, fixturedef: Any, request: Any) -> Iterator[None]:
        shared = fixturedef.scope != "function"
        before, start = _take(), _work()
        yield
        if shared:
            old = _SHARED.get(fixturedef.argname, (0.0, b""))
            _SHARED[fixturedef.argname] = (_work() - start + old[0], _either(_take(), old[1]))
        _SINCE["marks"] = _either(before, _SINCE.get("marks", b""))

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_protocol(self, item: Any, nextitem: Any) -> Iterator[None]:
        _take()
        _SINCE["marks"], start = b"", _work()
        yield
        took, ran = _work() - start, _either(_take(), _SINCE["marks"])
        for name in getattr(item, "fixturenames", ()):
            if name in _SHARED:
                ran = _either(ran, _SHARED[name][1])
                took = max(took, _SHARED[name][0])
        self.found[item.nodeid] = (took, ran)

    def pytest_runtest_logreport(self, report: Any) -> None:
        if report.failed:
            self.bad.add(report.nodeid)

    def pytest_sessionfinish(self) -> None:
        told = {
            name: [round(took, 3), [i for i, hit in enumerate(ran) if hit]]
            for name, (took, ran) in self.found.items()
            if name not in self.bad
        }
        Path(os.environ["MUTANTS_FOUND"]).write_text(json.dumps([told, sorted(self.bad)]))


def _either(a: bytes, b: bytes) -> bytes:
    if not b:
        return a
    return (int.from_bytes(a, "big") | int.from_bytes(b, "big")).to_bytes(len(a), "big")


# --------------------------------------------------------------------------------------------------------------- runs


def copied(folder: Path) -> Path:
    """A fresh copy of all that tests read, compiled."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    files = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        check=True,
    )
    for name in files.stdout.decode().split("\0"):
        if name and (ROOT / name).is_file():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, folder / name)
    return folder


def tests_in(copy: Path, limit: float, words: list[str], **environment: str) -> int | None:
    """The exit code of pytest there, in a fork of this process (which has read the libraries); None: out of time.

    The limit is of its own work, so that a busy machine changes nothing; asleep, it may take ten times as long.
    """
    plugins = ("mutants", "no:randomly", "no:cacheprovider", "no:xdist")
    with tempfile.TemporaryDirectory(dir=copy.parent) as scratch:
        options = [*(word for name in plugins for word in ("-p", name)), "-q", "--tb=no", "--show-capture=no"]
        child = os.fork()
        if child == 0:
            os.setsid()
            signal.signal(signal.SIGTERM, signal.SIG_DFL)
            nowhere = os.open(os.devnull, os.O_RDWR)
            for stream in range(3):
                os.dup2(nowhere, stream)
            resource.setrlimit(resource.RLIMIT_CPU, (ceil(limit), ceil(limit) + 5))
            paths = [str(p) for p in (copy / "src", copy / "tests", copy / "tests/bench")]
            os.environ.update({"PYTHONPATH": os.pathsep.join(paths), "TMPDIR": scratch, **environment})
            tempfile.tempdir = None
            sys.path[:0] = paths
            os.chdir(copy)
            code: int = 3
            try:
                code = int(pytest.main([*options, f"--basetemp={scratch}/t", *words]))
            finally:
                os._exit(code)
        end, done, status = time.monotonic() + 10 * limit, 0, 0
        try:
            while not done and time.monotonic() < end:
                time.sleep(0.05)
                done, status = os.waitpid(child, os.WNOHANG)
        finally:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(child, signal.SIGKILL)
            if not done:
                os.waitpid(child, 0)
        return os.WEXITSTATUS(status) if done and os.WIFEXITED(status) else None


def read_libraries() -> None:
    """What most tests read, once for all forks; pytest must find its plugins unread."""
    for name in ("numpy", "shapely", "scipy.optimize", "ezdxf", "pikepdf", "click", "PIL.Image"):
        with contextlib.suppress(ImportError):
            importlib.import_module(name)


def make_map(folder: Path, words: list[str]) -> None:
    """`map`: kept a file a test file, so that one can be done anew."""
    copy = copied(folder / "marked")
    keys: dict[str, int] = {}
    for path, tree in modules().items():
        text = marked(tree, path, lambda key: keys.setdefault(key, len(keys)))
        if path == "__init__.py":
            text = (
                "from __future__ import annotations\n" + _HEAD + text.replace("from __future__ import annotations", "")
            )
        (copy / "src/oaktag" / path).write_text(text)
    ordered = list(keys)
    (folder / "map").mkdir(exist_ok=True)
    files = ["src", "docs", *(file.relative_to(ROOT).as_posix() for file in sorted(ROOT.glob("tests/test_*.py")))]
    for file in files:
        if words and not any(word in file for word in words):
            continue
        (folder / "runs").write_bytes(bytes(len(ordered)))
        start = time.perf_counter()
        out = folder / "found.json"
        out.unlink(missing_ok=True)
        tests_in(copy, 3600, [file], OAKTAG_RUNS=str(folder / "runs"), MUTANTS_FOUND=str(out))
        told, bad = json.loads(out.read_text()) if out.exists() else ({}, ["all of it"])
        kept = {name: [took, [ordered[i] for i in ran]] for name, (took, ran) in told.items()}
        kept |= {name: [0.0, []] for name in bad}  # known, and never asked for
        (folder / "map" / (file.replace("/", ".") + ".json")).write_text(json.dumps(kept))
        print(
            f"{time.perf_counter() - start:7.1f} s  {file}: {len(told)} tests",
            *bad,
            sep="\n           failed: ",
            flush=True,
        )


def tests_for(folder: Path) -> Callable[[str, set[str]], list[tuple[float, str]]]:
    """The tests that run any of some stretches, the quickest first; but those that import its package go first."""
    by_stretch: defaultdict[str, list[tuple[float, str]]] = defaultdict(list)
    imports: dict[str, str] = {}
    for file in sorted((folder / "map").glob("*.json")):
        for name, (took, ran) in json.loads(file.read_text()).items():
            test_file = name.split("::")[0]
            if test_file not in imports:
                imports[test_file] = (ROOT / test_file).read_text() if (ROOT / test_file).is_file() else ""
            for key in ran:
                by_stretch[key].append((took, name))

    def found(path: str, keys: set[str]) -> list[tuple[float, str]]:
        package = path.split("/")[0].removesuffix(".py")
        own = {file: f"oaktag.{package}" in text or file == f"src/oaktag/{path}" for file, text in imports.items()}
        tests = {test for key in keys for test in by_stretch.get(key, ())}
        return sorted(tests, key=lambda t: (not own[t[1].split("::")[0]], *t))

    return found


def run(
    folder: Path, faults: list[Fault], trees: dict[str, ast.Module], jobs: int, budget: float, *, new: bool = False
) -> None:
    """The faults tried; with `new`, those tests first that have come since the map."""
    (folder / "found").mkdir(exist_ok=True)
    covering = tests_for(folder)
    known = [name for file in (folder / "map").glob("*.json") for name in json.loads(file.read_text())] if new else []
    read, made = users(trees)
    read_libraries()
    workers = []
    for n in range(jobs):
        workers.append(os.fork())
        if workers[-1] == 0:
            copy = copied(folder / f"copy{n}")
            subprocess.run([sys.executable, "-m", "compileall", "-q", copy / "src"], check=True)
            mine = [(fault, covering(fault.path, stretches_with(fault, read, made))) for fault in faults[n::jobs]]
            honest = sorted({test for _, tests in mine for test in tests[:1]})
            if honest and asked_in(copy, honest) != 0:
                print("without any fault tests fail: the map is old, or the tree is not sound", flush=True)
                os._exit(1)
            for fault, tests in mine:
                outcome = trial(copy, fault, tests, budget, known)
                told = {"key": fault.key, "outcome": outcome, "kind": fault.kind, "difference": fault.difference()}
                (folder / "found" / _name(fault)).write_text(json.dumps(told, ensure_ascii=False))
                print(f"{outcome:12} {fault.key}", flush=True)
            os._exit(0)
    try:
        for worker in workers:
            os.waitpid(worker, 0)
    except BaseException:
        for worker in workers:
            with contextlib.suppress(ProcessLookupError):
                os.kill(worker, signal.SIGTERM)
        raise


def stretches_with(fault: Fault, read: dict[str, set[str]], made: dict[str, set[str]]) -> set[str]:
    """The stretch that the fault is in; of what stands outside functions, those that read it."""
    if fault.stretch:
        return {fault.stretch}
    keys: set[str] = set()
    names, known = list(fault.names), set[str]()
    while names:
        name = names.pop()
        if name not in known:
            known.add(name)
            keys |= read.get(name, set())
            names += made.get(name, ())
    return keys


def _name(fault: Fault) -> str:
    return hashlib.sha256(fault.key.encode()).hexdigest()[:24] + ".json"


def asked_in(
    copy: Path, tests: Sequence[tuple[float, str]], known: Sequence[str] = (), files: Sequence[str] = ()
) -> int | None:
    """The exit code of pytest over these tests, the first failure being the last; None: out of time.

    With `known`, and those of the files that are not known.
    """
    asked = copy.parent / f"{copy.name}.tests"
    asked.write_text(json.dumps([[name for _, name in tests], list(known)]))
    limit = GRACE * (10 if known else 1) + FACTOR * sum(took for took, _ in tests)
    named = list(dict.fromkeys([*(name.split("::")[0] for _, name in tests), *files]))
    return tests_in(copy, limit, ["-x", *named], MUTANTS_TESTS=str(asked))


def trial(copy: Path, fault: Fault, tests: list[tuple[float, str]], budget: float, known: Sequence[str] = ()) -> str:
    """noticed, out of time, not noticed, or not run (by no test)."""
    file = copy / "src/oaktag" / fault.path
    honest, stamp = file.read_bytes(), file.stat()
    batches: list[list[tuple[float, str]]] = [[], []]
    files: set[str] = set()
    spent = 0.0
    for took, name in tests:
        spent += took
        if spent <= budget or not batches[0]:
            early = not batches[0] or (spent <= FIRST and len(files | {name.split("::")[0]}) <= FILES)
            files |= {name.split("::")[0]} if early else set()
            batches[not early].append((took, name))
    file.write_text(fault.source(), encoding="utf-8")
    os.utime(file, (time.time() + 10, time.time() + 10))  # what was compiled of the honest file is not taken for it
    try:
        if known and tests and asked_in(copy, (), known, list(dict.fromkeys(t.split("::")[0] for _, t in tests))) == 1:
            return "noticed"
        for batch in filter(None, batches):
            code = asked_in(copy, batch)
            if code in (3, 4):
                raise SystemExit(f"pytest broke down at {fault.key}")
            if code not in (0, 5):
                return "out of time" if code is None else "noticed"
        return "not noticed" if tests else "not run"
    finally:
        file.write_bytes(honest)
        os.utime(file, ns=(stamp.st_atime_ns, stamp.st_mtime_ns))


def show(folder: Path, faults: list[Fault]) -> None:
    told = tomllib.loads(EXPLAINED.read_text(encoding="utf-8"))
    same, why = ({each["fault"]: each["why"] for each in told.get(kind, ())} for kind in ("same", "left"))
    table: defaultdict[str, Counter[str]] = defaultdict(Counter)
    left = []
    for fault in faults:
        file = folder / "found" / _name(fault)
        if file.exists():
            outcome = json.loads(file.read_text())["outcome"]
            if outcome in ("not noticed", "not run") and fault.key in same:
                outcome = "no difference"
            elif outcome in ("not noticed", "not run"):
                left.append((outcome, fault))
            table[fault.package][outcome] += 1
            table["all"][outcome] += 1
    heads = ("noticed", "out of time", "not noticed", "not run", "no difference")
    for outcome, fault in left:
        print(f"\n{outcome}: {fault.key}", *fault.difference(), why.get(fault.key, "?"), sep="\n    ")
    print("", f"{'package':12} faults", *heads, "of the decided", sep="  ")
    for package, row in (*sorted((name, row) for name, row in table.items() if name != "all"), ("all", table["all"])):
        decided = sum(row.values()) - row["no difference"]
        part = 100 * (row["noticed"] + row["out of time"]) / decided if decided else 100
        told = "  ".join(f"{row[head]:{len(head)}}" for head in heads)
        print(f"  {package:12} {sum(row.values()):6}  {told}  {part:12.0f} %")


def main() -> None:
    parser = argparse.ArgumentParser(usage=__doc__)
    parser.add_argument("verb", choices=("map", "run", "again", "show"))
    parser.add_argument("words", nargs="*")
    parser.add_argument("--only", default="")
    parser.add_argument("--seed", default="oaktag")
    parser.add_argument("--folder", type=Path, default=Path(tempfile.gettempdir()) / "oaktag-mutants")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--budget", type=float, default=60.0)
    asked = parser.parse_args()
    asked.folder.mkdir(parents=True, exist_ok=True)
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    if asked.verb == "map":
        make_map(asked.folder, asked.words)
        return
    trees = modules()
    count = int(asked.words[0]) if asked.words else 200
    faults = chosen(trees, count, asked.seed, [word for word in asked.only.split(",") if word])
    known = {f.key: asked.folder / "found" / _name(f) for f in faults}
    if asked.verb == "run":
        run(asked.folder, [f for f in faults if not known[f.key].exists()], trees, asked.jobs, asked.budget)
    if asked.verb == "again":
        done = {f.key: json.loads(known[f.key].read_text())["outcome"] for f in faults if known[f.key].exists()}
        left = [f for f in faults if done.get(f.key, "").startswith("not ")]
        run(asked.folder, left, trees, asked.jobs, asked.budget, new=True)
    show(asked.folder, faults)


if __name__ == "__main__":
    main()
