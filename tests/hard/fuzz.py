"""Look for input that breaks what must hold of it, guided by what it reaches in the program.

    .venv/bin/pip install atheris                                 # a wheel for CPython 3.11 to 3.13 on Linux
    .venv/bin/python tests/hard/fuzz.py typed --seconds 300
    .venv/bin/python tests/hard/fuzz.py typed --keep              # the fewest inputs that reach the same lines

Targets are those of `tests/hostile.py`. It prints what it found, each kind once, and how many inputs it tried; what it
learnt lies in `build/fuzz/TARGET`, and is gone on with. Ends with 1 where something was found.
"""

from __future__ import annotations

import argparse
import hashlib
import importlib
import os
import pkgutil
import resource
import sys
import tempfile
import traceback
from multiprocessing import Value
from pathlib import Path
from types import FrameType
from typing import Any

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))
sys.dont_write_bytecode = True
#: Of all memory that a process may ask for, the interpreter, numpy and the instruments take half a gigabyte.
MEMORY = 3 << 30
#: The instruments make the program so many times slower.
SLOWER = 4.0
MOST_KEPT = 24
LONGEST_KEPT = 4000


def loaded(*, instrumented: bool) -> Any:
    """The targets, with every module of the program loaded."""
    if instrumented:
        import atheris

        with atheris.instrument_imports(include=["journal", "calc"]):
            return _load()
    return _load()


def _load() -> Any:
    import calc
    import journal

    for package in (calc, journal):
        for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            if ".versions" not in module.name and not module.name.endswith((".env", "__main__")):
                importlib.import_module(module.name)
    return importlib.import_module("tests.hostile")


def words() -> list[str]:
    """What the program knows by name: commands, options, values, units, references."""
    import typer

    from calc.machine import catalogue
    from calc.units import UNITS
    from journal import cli

    found = [
        "r1",
        "A1",
        "M1",
        "F1",
        "F1.1",
        "F1.e1",
        "D1",
        "D1.2",
        "P1",
        "X1",
        "I1",
        "C1",
        "today",
        "+-",
        " to ",
        "Bft",
    ]
    waiting: list[Any] = [typer.main.get_command(cli.build())]
    while waiting:
        one = waiting.pop()
        waiting += getattr(one, "commands", {}).values()
        found += [str(one.name), *(name for p in one.params for name in (*p.opts, p.name or ""))]
    for entry in catalogue.catalogue().values():
        found += [entry.named("mast"), entry.example, entry.group, entry.name]
    found += [name for unit in UNITS for name in (unit.symbol, *unit.spellings)]
    return sorted({w for w in found if w and len(w) < 60})


def seeds(target: str) -> list[bytes]:
    """Inputs to begin with."""
    from tests.cli import test_bad_calls, test_commands, test_foreign_journal

    if target == "command":
        calls = [call for call, _, _ in test_bad_calls.CALLS]
        calls += [[*n.split(), *args] for n, many in test_foreign_journal.CALLS.items() for args in many]
        calls += [[*name.split(), *args] for name, args in test_commands.READING.items()]
        return ["\0".join(call).encode("utf-8", "surrogateescape") for call in calls if sum(map(len, call)) < 2000]
    if target == "sheet":
        from tests.journal import test_sheet, test_sheet_text

        return [test_sheet_text.OWN.encode(), test_sheet.GOOD_LINES.encode()]
    if target == "form":
        golden = ROOT / "tests" / "golden" / "export"
        return [f.name.encode() + b"\n" + f.read_bytes() for f in golden.rglob("*") if f.is_file()]
    if target == "winds":
        heads = ("", "wind\n", "wind km/h\n", "day;wind kn\n", '"t","wind speed (m/s)"\n', "a\twind\n")
        return [f" {head}".encode() + (head.count(";") * b"1;" + b"5,5\n") * 24 for head in heads]
    if target == "typed":
        return [f"aa {word}".encode() for word in words()]
    return [word.encode() for word in words()] if target in ("reference", "amend", "search") else []


class Finds:
    """What was found, one of each kind."""

    def __init__(self, target: str, hostile: Any, world: Any, folder: Path) -> None:
        self.target, self.hostile, self.world, self.folder = target, hostile, world, folder
        self.tried = Value("Q", 0)
        self.found = Value("Q", 0)
        self.kinds: dict[str, str] = {}

    def one(self, data: bytes) -> None:
        """Try one input."""
        self.tried.value += 1
        try:
            self.hostile.hold(self.target, self.world, data, SLOWER)
        except (Exception, MemoryError, RecursionError) as e:  # noqa: BLE001 - whatever it is, it is a find
            self._keep(data, e)

    def _keep(self, data: bytes, error: BaseException) -> None:
        steps = traceback.extract_tb(error.__traceback__)
        own = [s for s in steps if "/journal/" in s.filename or "/calc/" in s.filename] or list(steps)
        kind = f"{type(error).__name__} at {Path(own[-1].filename).name}:{own[-1].lineno}"
        if isinstance(error, self.hostile.BoundError):
            kind = f"BoundError {str(error)[-60:]}" if len(self.kinds) < 40 else "BoundError"
        if kind not in self.kinds:
            self.kinds[kind] = f"{error}"[:300]
            self.found.value += 1
            name = hashlib.sha256(data).hexdigest()[:12]
            self.folder.mkdir(parents=True, exist_ok=True)
            (self.folder / name).write_bytes(data)
            print(f"FOUND {kind}: {str(error)[:300]!a} ({self.folder / name})", file=sys.__stdout__, flush=True)

    def told(self) -> None:
        """Print the counts."""
        print(
            f"{self.target}: {self.tried.value} inputs, {self.found.value} kinds of finds",
            file=sys.__stdout__,
            flush=True,
        )


def fuzz(target: str, seconds: int, work: Path) -> int:
    """Try inputs for so long."""
    import atheris

    hostile = loaded(instrumented=True)
    begun, corpus = work / "begun", work / "corpus"
    for folder in (begun, corpus):
        folder.mkdir(parents=True, exist_ok=True)
    for data in seeds(target):
        (begun / hashlib.sha256(data).hexdigest()[:12]).write_bytes(data)
    quoted = ("".join(f"\\x{b:02x}" for b in word.encode()) for word in words())
    (work / "words").write_text("".join(f'"{word}"\n' for word in quoted))
    kept = hostile.CORPUS / target
    world = hostile.new_world(Path(tempfile.mkdtemp(prefix="fuzz-")).resolve())
    finds = Finds(target, hostile, world, work / "finds")
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    if child := os.fork():
        # The fuzzer ends its process without a word.
        _, ended = os.waitpid(child, 0)
        finds.told()
        return 1 if finds.found.value or ended else 0
    atheris.Setup(
        [
            sys.argv[0],
            f"-max_total_time={seconds}",
            "-timeout=120",
            f"-dict={work / 'words'}",
            "-max_len=4000",
            f"-artifact_prefix={work}/",
            "-print_final_stats=0",
            "-verbosity=0",
            "-rss_limit_mb=0",
            *(str(f.resolve()) for f in (corpus, begun, kept) if f.is_dir()),
        ],
        finds.one,
    )
    atheris.Fuzz()
    return 0


def reached(hostile: Any, target: str, world: Any, data: bytes) -> frozenset[tuple[str, int]]:
    """The lines of the program that an input reaches."""
    lines: set[tuple[str, int]] = set()

    def trace(frame: FrameType, event: str, _: Any) -> Any:
        name = frame.f_code.co_filename
        if not name.startswith((f"{ROOT}/journal/", f"{ROOT}/calc/")):
            return None
        if event == "line":
            lines.add((name, frame.f_lineno))
        return trace

    sys.settrace(trace)
    try:
        hostile.TARGETS[target](world, data)
    except Exception:  # noqa: BLE001 - only what it reaches is asked here
        return frozenset()
    finally:
        sys.settrace(None)
    return frozenset(lines)


def keep(target: str, work: Path) -> int:
    """Keep the fewest inputs that reach what all reach, small ones first; what was found once stays."""
    hostile = loaded(instrumented=False)
    world = hostile.new_world(Path(tempfile.mkdtemp(prefix="fuzz-")).resolve())
    home = hostile.CORPUS / target
    home.mkdir(parents=True, exist_ok=True)
    files = [f for folder in (home, work / "begun", work / "corpus") if folder.is_dir() for f in folder.iterdir()]
    given = sorted({f.read_bytes() for f in files if f.stat().st_size <= LONGEST_KEPT}, key=len)
    lines = {data: reached(hostile, target, world, data) for data in given}
    wanted: set[tuple[str, int]] = set().union(*lines.values())
    chosen: list[bytes] = []
    while wanted and len(chosen) < MOST_KEPT:
        best = max(given, key=lambda data: (len(lines[data] & wanted), -len(data)))
        if not lines[best] & wanted:
            break
        chosen.append(best)
        wanted -= lines[best]
    for file in home.iterdir():
        if not file.name.startswith("found-"):
            file.unlink()
    for data in chosen:
        (home / hashlib.sha256(data).hexdigest()[:12]).write_bytes(data)
    print(
        f"{target}: {len(chosen)} of {len(given)} inputs kept, {sum(map(len, chosen))} bytes; "
        f"{len(wanted)} lines are reached by others only"
    )
    return 0


def main() -> int:
    """Run what was asked for."""
    parser = argparse.ArgumentParser(description="Fuzz one target of tests/hostile.py.")
    parser.add_argument("target")
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument("--keep", action="store_true", help="choose which inputs are kept in the repository")
    asked = parser.parse_args()
    work = (ROOT / "build" / "fuzz" / asked.target).resolve()
    os.environ["TZ"] = "Pacific/Auckland"
    return keep(asked.target, work) if asked.keep else fuzz(asked.target, asked.seconds, work)


if __name__ == "__main__":
    sys.exit(main())
