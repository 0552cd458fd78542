"""Change single places of the program and see whether a test notices.

Run it by hand, outside CI, on an idle machine if there is one. It needs a library that Galebook itself does not need::

    pip install coverage
    nice -n 15 python tools/mutate.py --count 60 --seed 1
    nice -n 15 python tools/mutate.py --count 200 --seed 2 --room calc/rules --room calc/mechanisms

What it does. It copies the tree and works in the copy. Once for each state of the sources it runs the tests with
coverage and remembers which of them run which line; a test file that changed is run again by itself. Then it draws
places by the seed, as many from each room, all kinds of change alike; makes one change, runs the tests that run that
line, those of its subject and the quickest first, until one fails or the time is up; and puts the line back. A change
that no test notices *survives*. Golden write-ups are left out, for they hold our own earlier output, and so are the
tests that read the source, start a browser or build a wheel.

Kinds of change: a comparison turned, an arithmetic operator swapped, a number nudged by a tenth or by one, a flag
flipped, ``and`` and ``or`` swapped, ``not`` dropped, a condition negated, a returned value replaced by None, a
default changed, a line deleted. Texts are never changed. Whether a limit itself still counts as within it is not tried
(``<`` against ``<=``): for most numbers nobody could tell; nor is ``strict`` of ``zip``, which guards against our own
slips. Nor is it tried whether a line of a picture is a tenth thicker, a letter a point larger, a label a point further
aside: nobody could tell one such picture from the other.

Some changes change nothing that anybody could see. They stand in ``equivalent_mutants.csv`` beside this file, each with
its reason, and do not count. ``--again FILE`` tries once more what survived in a run that wrote its result with
``--json FILE``.
"""

from __future__ import annotations

import argparse
import ast
import contextlib
import copy
import csv
import hashlib
import importlib
import json
import os
import random
import re
import resource
import shutil
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parent.parent
ROOMS = (
    "calc/rules", "calc/mechanisms", "calc/physics", "calc/machine", "journal/book", "journal/review",
    "journal/publish",
)  # fmt: skip
LEFT_OUT = (
    "tests/journal/test_golden.py", "tests/journal/test_browser.py", "tests/test_wheel.py",
    "tests/test_architecture.py", "tests/bench/",
)  # fmt: skip
#: Tables of data: a datum is held by the table's own source, not by a test that repeats it.
DATA = ("calc/machine/catalogue/", "journal/book/migrations/")
#: How thick, how large, how far aside, what before what: names of what is given to a picture so that it looks well.
LOOKS = re.compile(r"(.*\.)?([a-z]*linewidth|markersize|markeredgewidth|fontsize|zorder|alpha|capsize|[a-z_]*pad"
                   r"|shrink[AB]|xytext|simplify_threshold)")  # fmt: skip
#: Imported once, before each change is tried in a process of its own.
HEAVY = ("numpy", "sqlmodel", "alembic", "pint", "jinja2", "markdown", "nh3", "PIL", "typer",
         "rich", "scipy.special", "scipy.optimize", "matplotlib")  # fmt: skip
#: Tests tried first, before the rest are collected.
FIRST = 25
WIDE = "fixture:"

TURNED = {ast.Lt: ast.Gt, ast.Gt: ast.Lt, ast.LtE: ast.GtE, ast.GtE: ast.LtE, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
          ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In}  # fmt: skip
SWAPPED = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Mult,
           ast.Mod: ast.Mult, ast.Pow: ast.Mult}  # fmt: skip
JOINED = {ast.BitOr: ast.BitAnd, ast.BitAnd: ast.BitOr, ast.And: ast.Or, ast.Or: ast.And}


@dataclass(frozen=True, slots=True)
class Mutant:
    """One change of one place: which file and line, what kind, and the text before and after."""

    path: str
    line: int
    kind: str
    was: str
    becomes: str
    start: int
    end: int
    text: str

    @property
    def key(self) -> tuple[str, ...]:
        """What stays the same when lines above it come or go."""
        return self.path, self.kind, self.was, self.becomes, self.text

    def __str__(self) -> str:
        return f"{self.path}:{self.line} [{self.kind}] {self.was[:70]} -> {self.becomes[:70]}"


# --- which changes there are ------------------------------------------------------------------------------------------


def _number(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, int | float) and not isinstance(node.value, bool)


def _nought(node: ast.AST) -> bool:
    """Nought, or so small a number that it only keeps a division from nought."""
    return _number(node) and abs(node.value) < 1e-5  # type: ignore[attr-defined]


def _nudged(value: Any) -> Any:
    if isinstance(value, bool):
        return not value
    return value + 1 if isinstance(value, int) else value * 1.1 if value else 0.1


def _wordy(node: ast.AST) -> bool:
    return any(isinstance(n, ast.JoinedStr) or (isinstance(n, ast.Constant) and isinstance(n.value, str))
               for n in ast.walk(node))  # fmt: skip


def _with(node: ast.AST, **parts: Any) -> Any:
    new = copy.copy(node)
    for name, value in parts.items():
        setattr(new, name, value)
    return new


def _negated(test: ast.expr) -> ast.expr:
    return ast.UnaryOp(ast.Not(), test)


def _of_expression(node: ast.AST) -> Iterator[tuple[str, ast.AST, ast.AST]]:
    if isinstance(node, ast.Compare):
        for i, op in enumerate(node.ops):
            yield "comparison", node, _with(node, ops=[*node.ops[:i], TURNED[type(op)](), *node.ops[i + 1 :]])
    elif isinstance(node, ast.BinOp) and type(node.op) in SWAPPED and not (_wordy(node.left) or _wordy(node.right)):
        # Nought times and nought over are the same, and so are more and less by nought times something.
        by = node.right if isinstance(node.op, ast.Add | ast.Sub) else node
        if not (isinstance(by, ast.BinOp) and isinstance(by.op, ast.Mult) and _nought(by.left)):
            yield "arithmetic", node, _with(node, op=SWAPPED[type(node.op)]())
    elif isinstance(node, ast.BinOp | ast.BoolOp) and type(node.op) in JOINED:
        yield "and or", node, _with(node, op=JOINED[type(node.op)]())
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.Invert):
        yield "not", node, node.operand
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        yield "arithmetic", node, node.operand
    elif isinstance(node, ast.IfExp):
        yield "condition", node.test, _negated(node.test)
    elif isinstance(node, ast.comprehension):
        for test in node.ifs:
            yield "condition", test, _negated(test)
    elif isinstance(node, ast.Constant) and isinstance(node.value, bool):
        yield "flag", node, ast.Constant(not node.value)
    elif _number(node) and (node.value == 0 or not _nought(node)):  # type: ignore[attr-defined]
        yield "number", node, ast.Constant(_nudged(node.value))  # type: ignore[attr-defined]


def _of_statement(node: ast.AST) -> Iterator[tuple[str, ast.AST, ast.AST]]:
    if isinstance(node, ast.If | ast.While):
        yield "condition", node.test, _negated(node.test)
    elif isinstance(node, ast.Return) and node.value is not None and ast.unparse(node.value) != "None":
        yield "return", node, ast.Return(ast.Constant(None))
    elif isinstance(node, ast.AugAssign | ast.Raise | ast.Continue | ast.Break) or (
        (isinstance(node, ast.Expr) and not isinstance(node.value, ast.Constant))
        or (isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Attribute | ast.Subscript))
    ):
        yield "line", node, ast.Pass()


def _looked_into(node: ast.AST) -> Iterator[ast.AST]:
    """Children in which a change could be seen by a test: no annotations, no texts, no decorators."""
    if isinstance(node, ast.JoinedStr | ast.Assert) or "TYPE_CHECKING" in ast.dump(getattr(node, "test", node))[:90]:
        return
    if isinstance(node, ast.keyword) and node.arg == "strict":
        return
    if any(getattr(d, "id", "") == "overload" for d in getattr(node, "decorator_list", ())):
        return
    hidden = {"annotation", "returns", "decorator_list", "type_comment"}
    for name, value in ast.iter_fields(node):
        if name not in hidden and not (isinstance(node, ast.Raise) and name in ("exc", "cause")):
            yield from (n for n in (value if isinstance(value, list) else [value]) if isinstance(n, ast.AST))


def _of_looks(node: ast.AST) -> list[ast.AST]:
    """Values that only make a picture look well."""
    if isinstance(node, ast.keyword):
        return [node.value] if LOOKS.fullmatch(node.arg or "") else []
    if isinstance(node, ast.Dict):
        pairs = zip(node.keys, node.values, strict=True)
        return [v for k, v in pairs if isinstance(k, ast.Constant) and LOOKS.fullmatch(str(k.value))]
    return []


def _changes(node: ast.AST, defaults: set[ast.AST], looks: bool = False) -> Iterator[tuple[str, ast.AST, ast.AST]]:
    found = (*_of_expression(node), *_of_statement(node))
    found = tuple(one for one in found if not (looks and one[0] == "number"))
    yield from (("default" if node in defaults else kind, old, new) for kind, old, new in found)
    for child in _looked_into(node):
        yield from _changes(child, defaults, looks or child in _of_looks(node))


@cache
def _tree(path: Path) -> tuple[bytes, ast.Module]:
    source = path.read_bytes()
    return source, ast.parse(source)


def mutants(path: Path) -> list[Mutant]:
    """Every change of one file."""
    source, tree = _tree(path)
    starts = [0]
    for row in source.splitlines(keepends=True):
        starts.append(starts[-1] + len(row))
    defaults = {d for f in ast.walk(tree) if isinstance(f, ast.arguments) for d in (*f.defaults, *f.kw_defaults) if d}
    rows, found = source.decode().splitlines(), []
    for kind, old, new in _changes(tree, defaults):
        at: Any = old
        start, end = starts[at.lineno - 1] + at.col_offset, starts[at.end_lineno - 1] + at.end_col_offset
        becomes = ast.unparse(ast.fix_missing_locations(copy.deepcopy(new)))
        found.append(Mutant(str(path.relative_to(ROOT)), at.lineno, kind, ast.unparse(old), becomes, start, end,
                            rows[at.lineno - 1].strip()))  # fmt: skip
    return found


def changed(m: Mutant, source: bytes) -> bytes:
    """The file with the change made."""
    bare = m.kind in ("line", "return", "number", "flag", "default")
    new = m.becomes if bare else f"({m.becomes})"
    return source[: m.start] + new.encode() + source[m.end :]


def drawn(room: str, count: int, seed: int) -> list[Mutant]:
    """As many changes of a room as are asked for, every kind in its turn."""
    kinds: dict[str, list[Mutant]] = defaultdict(list)
    for path in sorted((ROOT / room).rglob("*.py")):
        if not str(path.relative_to(ROOT)).startswith(DATA):
            for m in mutants(path):
                kinds[m.kind].append(m)
    for kind, some in kinds.items():
        random.Random(f"{seed} {room} {kind}").shuffle(some)
    picked: list[Mutant] = []
    while len(picked) < count and any(kinds.values()):
        picked += [some.pop() for some in kinds.values() if some]
    return picked[:count]


# --- which tests run which line ---------------------------------------------------------------------------------------


class Recorder:
    """Pytest plugin: each test, and each fixture made for many, in a coverage context of its own."""

    def __init__(self, coverage: Any) -> None:
        self.coverage, self.now = coverage, ""
        self.took: dict[str, float] = {}
        self.uses: dict[str, list[str]] = {}
        self.bad: set[str] = set()
        self.made: dict[str, float] = {}

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        # Processor time, so that a busy machine makes no difference.
        self.now, self.took[nodeid] = nodeid, -time.process_time()
        self.coverage.switch_context(nodeid)

    def pytest_runtest_logfinish(self, nodeid: str) -> None:
        self.took[nodeid] += time.process_time()
        self.coverage.switch_context("")

    def pytest_runtest_setup(self, item: Any) -> None:
        self.uses[item.nodeid] = [f"{WIDE}{name}" for name in getattr(item, "fixturenames", ())]

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: Any) -> Any:
        if fixturedef.scope == "function":
            return (yield)
        name, start = f"{WIDE}{fixturedef.argname}", time.process_time()
        self.coverage.switch_context(name)
        try:
            return (yield)
        finally:
            # The test that happens to come first is not slower for it.
            self.made[name] = time.process_time() - start
            self.took[self.now] -= self.made[name]
            self.coverage.switch_context(self.now)

    def pytest_runtest_logreport(self, report: Any) -> None:
        if report.outcome != "passed":
            self.bad.add(report.nodeid)


def _hash(*paths: Path) -> str:
    total = hashlib.sha256()
    for path in paths:
        total.update(str(path.relative_to(ROOT)).encode() + path.read_bytes())
    return total.hexdigest()[:16]


def _test_files() -> dict[str, str]:
    """Test files with a mark of their content and of the files beside them that they name; doctests are one."""
    helpers = [p for p in (ROOT / "tests").rglob("*.py") if p.name not in ("conftest.py", "__init__.py")]
    marks = {"calc": "doctests"}
    for path in sorted((ROOT / "tests").rglob("test_*.py")):
        name, text = str(path.relative_to(ROOT)), path.read_text(encoding="utf-8")
        if not name.startswith(LEFT_OUT):
            marks[name] = _hash(path, *(p for p in helpers if p != path and re.search(rf"\b{p.stem}\b", text)))
    return marks


def _state() -> str:
    sources = [p for folder in ("calc", "journal", "templates") for p in (ROOT / folder).rglob("*") if p.is_file()]
    return _hash(*sorted(p for p in (*sources, ROOT / "tests/conftest.py") if "__pycache__" not in p.parts))


def _record(tree: Path, files: list[str], folder: Path, marks: dict[str, str]) -> None:
    """Run test files with coverage, and write down for each which of its tests run which lines."""
    import coverage

    os.chdir(tree)
    watch = coverage.Coverage(data_file=None, source=[str(tree / "calc"), str(tree / "journal")])
    plugin = Recorder(watch)
    watch.start()
    pytest.main(["-q", "-p", "no:cacheprovider", f"--basetemp={tree / 'tmp'}", *files], plugins=[plugin])
    watch.stop()
    data = watch.get_data()
    lines: dict[str, dict[str, list[int]]] = defaultdict(dict)
    for measured in data.measured_files():
        by_context: dict[str, list[int]] = defaultdict(list)
        for line, contexts in data.contexts_by_lineno(measured).items():
            for context in contexts:
                by_context[context].append(line)
        for context, some in by_context.items():
            lines[context][str(Path(measured).relative_to(tree))] = some
    for name in files:
        own = {t: {"took": plugin.took[t], "uses": plugin.uses.get(t, []), "lines": lines.get(t, {})}
               for t in plugin.took if t not in plugin.bad and t.startswith((f"{name}:", f"{name}/"))}  # fmt: skip
        _file_of(folder, name, marks).write_text(json.dumps(own))
    fixtures = {name: {"took": took, "lines": lines.get(name, {})} for name, took in plugin.made.items()}
    (folder / f"fixtures-{time.time_ns()}.json").write_text(json.dumps(fixtures))


def _file_of(folder: Path, name: str, marks: dict[str, str]) -> Path:
    return folder / f"{name.replace('/', '-')}-{marks[name]}.json"


class Map:
    """Which tests run which line, how long each takes."""

    def __init__(self, folder: Path, marks: dict[str, str]) -> None:
        self.took: dict[str, float] = {}
        self.by_line: dict[tuple[str, int], set[str]] = defaultdict(set)
        wide: dict[str, list[str]] = defaultdict(list)
        for name in marks:
            for test, row in json.loads(_file_of(folder, name, marks).read_text()).items():
                self.took[test] = max(row["took"], 1e-3)
                self._add(row["lines"], [test])
                for fixture in row["uses"]:
                    wide[fixture].append(test)
        known = [json.loads(file.read_text()) for file in folder.glob("fixtures-*.json")]
        for fixture, row in ((f, r) for some in known for f, r in some.items()):
            self._add(row["lines"], wide[fixture])
        #: What it takes to make what tests share, and which tests share it.
        self.making: dict[str, float] = {f: r["took"] for some in known for f, r in some.items()}
        self.wide: dict[str, list[str]] = defaultdict(list)
        for fixture, took in self.making.items():
            for test in wide[fixture]:
                self.took[test] += took
                self.wide[test].append(fixture)

    def _add(self, lines: dict[str, list[int]], tests: list[str]) -> None:
        for path, some in lines.items():
            for line in some:
                self.by_line[path, line].update(tests)

    def over(self, path: str, first: int, last: int) -> set[str]:
        """Tests that run any of some lines."""
        return set().union(*(self.by_line.get((path, n), set()) for n in range(first, last + 1)))

    def chosen(self, m: Mutant) -> list[str]:
        """Tests that could notice a change.

        First those named like its file; of each test function one case before the second of any; the quickest first.
        """
        words, found = Path(m.path).stem.split("_"), []
        seen: Counter[str] = Counter()
        for test in sorted(self._could(m), key=lambda t: (self.took[t], t)):
            function = test.partition("[")[0]
            found.append((not any(word in test for word in words), seen[function], len(found), test))
            seen[function] += 1
        return [test for *_, test in sorted(found)]

    def within(self, tests: list[str], limit: float) -> tuple[list[str], float]:
        """As many of some tests as can be run in a time, what they share being made once; and the time."""
        spent, made, kept = 0.0, set(), []
        for test in tests:
            wide = [f for f in self.wide[test] if f not in made]
            cost = self.took[test] - sum(self.making[f] for f in self.wide[test]) + sum(self.making[f] for f in wide)
            if spent + cost <= limit:
                spent, made = spent + cost, made | set(wide)
                kept.append(test)
        return kept, spent

    def _could(self, m: Mutant) -> set[str]:
        source, tree = _tree(ROOT / m.path)
        last = m.line + source[m.start : m.end].count(b"\n")
        around = [n for n in ast.walk(tree) if isinstance(n, ast.stmt) and n.lineno <= m.line <= (n.end_lineno or 0)]
        functions = [n for n in around if isinstance(n, ast.FunctionDef | ast.AsyncFunctionDef)]
        if functions:
            inner = functions[-1]
            if m.kind == "default" or any("cache" in ast.unparse(d) for f in functions for d in f.decorator_list):
                own = self.over(m.path, inner.body[0].lineno, inner.end_lineno or 0)
                return own if m.kind == "default" else self.over(m.path, 1, len(source.splitlines()))
            return self.over(m.path, m.line, last) or self.over(m.path, around[-1].lineno, last)
        names = [t.id for n in around for t in ast.walk(n) if isinstance(t, ast.Name) and isinstance(t.ctx, ast.Store)]
        used = set().union(*(self.over(p, n, n) for name in names for p, n in _mentions(name)))
        return used or self.over(m.path, 1, len(source.splitlines()))


@cache
def _mentions(name: str) -> tuple[tuple[str, int], ...]:
    word, found = re.compile(rf"\b{re.escape(name)}\b"), []
    for folder in ("calc", "journal"):
        for path in (ROOT / folder).rglob("*.py"):
            for n, row in enumerate(path.read_text().splitlines(), start=1):
                if word.search(row):
                    found.append((str(path.relative_to(ROOT)), n))
    return tuple(found)


def mapped(tree: Path, folder: Path) -> Map:
    """The map of this state of the sources, from the cache as far as it is there."""
    marks = _test_files()
    folder.mkdir(parents=True, exist_ok=True)
    missing = [name for name in marks if not _file_of(folder, name, marks).exists()]
    if missing:
        _say(f"recording which lines {len(missing)} test files run")
        if _in_child(lambda: _record(tree, missing, folder, marks), 7200.0) != 0:
            raise SystemExit("the tests could not be recorded; is coverage installed?")
    return Map(folder, marks)


# --- trying a change --------------------------------------------------------------------------------------------------


class Chosen:
    """Pytest plugin: only some tests, in the order given."""

    def __init__(self, tests: list[str]) -> None:
        self.order = {test: i for i, test in enumerate(tests)}

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        items[:] = sorted((i for i in items if i.nodeid in self.order), key=lambda i: self.order[i.nodeid])


def _in_child(work: Any, limit: float) -> int:
    """Exit code of some work done in a process of its own, which is ended after so much processor time [s]."""
    pid = os.fork()
    if pid == 0:
        # Away from any terminal, or the tests of dialogues would be stopped by it.
        os.setsid()
        code = 70
        try:
            resource.setrlimit(resource.RLIMIT_CPU, (int(limit), int(limit)))
            quiet = os.open(os.devnull, os.O_RDWR)
            for stream in (0, 1, 2):
                os.dup2(quiet, stream)
            code = int(work() or 0)
        finally:
            os._exit(code)
    return os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])


def _run(tree: Path, tests: list[str], took: float) -> bool:
    """Whether all of some tests pass in time."""

    def work() -> int:
        os.chdir(tree)
        files = sorted({t.split("::")[0] for t in tests})
        given = ["-x", "-q", "-p", "no:cacheprovider", f"--basetemp={tree / 'tmp'}", *files]
        return int(pytest.main(given, plugins=[Chosen(tests)]))

    return _in_child(work, 20.0 + 5.0 * took) == 0


def survives(tree: Path, m: Mutant, where: Map, limit: float) -> bool:
    """Whether no test notices a change."""
    tests, file = where.chosen(m), tree / m.path
    source, before = file.read_bytes(), file.stat()
    file.write_bytes(changed(m, source))
    # Compiled files go by the second: what is changed must never pass for what was.
    os.utime(file, (before.st_atime, before.st_mtime + 1000.0 + random.randrange(100000)))
    try:
        for some in (tests[:FIRST], tests[FIRST:]):
            kept, spent = where.within(some, limit)
            if kept and not _run(tree, kept, spent):
                return False
        return True
    finally:
        file.write_bytes(source)
        os.utime(file, (before.st_atime, before.st_mtime))


# --- the whole --------------------------------------------------------------------------------------------------------


def _say(text: str) -> None:
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def _equivalent() -> set[tuple[str, ...]]:
    path = Path(__file__).with_name("equivalent_mutants.csv")
    if not path.exists():
        return set()
    rows = [r for r in path.read_text(encoding="utf-8").splitlines() if not r.startswith("#")]
    return {(r["path"], r["kind"], r["was"], r["becomes"], r["text"]) for r in csv.DictReader(rows)}


def _wanted(args: argparse.Namespace) -> dict[str, list[Mutant]]:
    if args.again is None:
        return {room: drawn(room, args.count, args.seed) for room in args.room or ROOMS}
    keys = {
        tuple(row[k] for k in ("path", "kind", "was", "becomes", "text")) for row in json.loads(args.again.read_text())
    }
    wanted: dict[str, list[Mutant]] = defaultdict(list)
    for path in sorted({k[0] for k in keys if (ROOT / k[0]).exists()}):
        seen = set()
        for m in mutants(ROOT / path):
            if m.key in keys and m.key not in seen:
                seen.add(m.key)
                wanted["/".join(path.split("/")[:2])].append(m)
    return wanted


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n")[0])  # type: ignore[union-attr]
    parser.add_argument(
        "--room", action="append", help=f"a room, more than once if wanted; all of them: {', '.join(ROOMS)}"
    )
    parser.add_argument("--count", type=int, default=40, help="changes to try in each room (40)")
    parser.add_argument("--seed", type=int, default=1, help="which are drawn (1)")
    parser.add_argument("--limit", type=float, default=40.0, help="seconds of processor time for one change (40)")
    parser.add_argument("--json", type=Path, help="write what survived into this file")
    parser.add_argument("--again", type=Path, help="try only what such a file holds")
    parser.add_argument("--list", action="store_true", help="only list what would be tried")
    parser.add_argument("--cache", type=Path, default=Path.home() / ".cache" / "galebook-mutants",
                        help="where the map of lines and tests is kept")  # fmt: skip
    return parser.parse_args()


def _try_all(args: argparse.Namespace, wanted: dict[str, list[Mutant]], tree: Path) -> list[Mutant]:
    where, equivalent, left = mapped(tree, args.cache / _state()), _equivalent(), []
    for name in HEAVY:
        with contextlib.suppress(ImportError):
            importlib.import_module(name)
    if not _run(tree, sorted(where.took, key=lambda t: where.took[t])[:: max(len(where.took) // 40, 1)][:30], 60.0):
        raise SystemExit("tests fail with nothing changed, so nothing can be told")
    total = [0, 0]
    for room, some in wanted.items():
        counted = [m for m in some if m.key not in equivalent]
        alive = []
        for n, m in enumerate(counted, start=1):
            sys.stderr.write(f"\r{room}: {n} of {len(counted)} ")
            if survives(tree, m, where, args.limit):
                alive.append(m)
                _say(f"  survives: {m}" + ("" if where.chosen(m) else "  (no test runs it)"))
        killed = len(counted) - len(alive)
        share = f"{killed / len(counted):.0%}" if counted else "-"
        _say(f"{room}: {killed} of {len(counted)} noticed, {share}; {len(some) - len(counted)} change nothing")
        total = [total[0] + killed, total[1] + len(counted)]
        left += alive
    _say(f"all: {total[0]} of {total[1]} noticed, {total[0] / max(total[1], 1):.0%}")
    return left


def main() -> None:
    """Draw changes, try them, print the score by room."""
    args = _options()
    wanted = _wanted(args)
    if args.list:
        _say("\n".join(str(m) for some in wanted.values() for m in some))
        return
    os.environ |= {"OPENBLAS_NUM_THREADS": "1", "PYTHONDONTWRITEBYTECODE": "1"}
    sys.dont_write_bytecode = True
    with tempfile.TemporaryDirectory(prefix="galebook-mutants-") as scratch:
        tree = Path(scratch) / "tree"
        leave = shutil.ignore_patterns(".git", ".venv", "__pycache__", ".*_cache", ".hypothesis")
        shutil.copytree(ROOT, tree, ignore=leave)
        left = _try_all(args, wanted, tree)
    if args.json:
        args.json.write_text(json.dumps([asdict(m) for m in left], indent=1))


if __name__ == "__main__":
    main()
