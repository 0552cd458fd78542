"""Fixtures: a pinned world, fresh journals, the demo played once, the command line in process."""

from __future__ import annotations

import contextlib
import fcntl
import gc
import itertools
import os
import shutil
import sqlite3
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

from calc.machine import spread
from tests.cluster import Cluster, ask, everything, running

# The same examples in every run; --hypothesis-profile=default searches on.
settings.register_profile("steady", derandomize=True, deadline=None)
settings.load_profile("steady")

# The tests look at how verdicts are kept and shown, not at the third figure of a probability; the demo is played,
# and its write-ups approved, with as many samples as a builder gets.
AS_SHIPPED = spread.SAMPLES
spread.SAMPLES = 24

#: The moment at which every test takes place; the demo's whole story lies before it.
MOMENT = datetime(2026, 11, 25, 12, 0, 0, tzinfo=UTC)
BUILD = "Shed wind generator"


class Clock(datetime):
    """A clock that stands still."""

    @classmethod
    def now(cls, tz: Any = None) -> datetime:
        """The pinned moment."""
        return MOMENT if tz else MOMENT.replace(tzinfo=None)


def pin(patch: pytest.MonkeyPatch) -> None:
    """Stop the journal's clock."""
    from journal.book import days, history, spoken_days

    patch.setattr(history, "datetime", Clock)
    # A copy on the first change of a day would be one for every test.
    patch.setenv("GALEBOOK_BACKUPS", "none")
    patch.setattr(days, "datetime", Clock)
    patch.setattr(spoken_days, "datetime", Clock)


@pytest.fixture(scope="session")
def _shared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that all processes of a test session have in common."""
    base = tmp_path_factory.getbasetemp()
    return base.parent if "PYTEST_XDIST_WORKER" in os.environ else base


def pytest_collection_finish() -> None:
    """What was collected stays to the end; garbage is looked for between files alone, a twelfth of the time."""
    gc.collect()
    gc.freeze()
    gc.disable()


@pytest.fixture(scope="module", autouse=True)
def _tidied() -> Iterator[None]:
    """What the tests of a file left behind in circles is let go."""
    yield
    gc.collect()


@pytest.fixture(scope="session", autouse=True)
def _bytecode() -> Iterator[None]:
    """Processes that tests start find modules compiled from the second on, whatever the environment says of it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.delenv("PYTHONDONTWRITEBYTECODE", raising=False)
        yield


@pytest.fixture(scope="session", autouse=True)
def _verdicts(_shared: Path) -> Iterator[Path]:
    """Where verdicts are kept, from the first fixture of a whole file on: never in the cache of who runs the tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("GALEBOOK_CACHE", str(_shared / "verdicts"))
        yield _shared / "verdicts"


@pytest.fixture(scope="session")
def _folders(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """An empty folder for each test that asks for none, made when its turn comes."""
    base = tmp_path_factory.mktemp("own")
    return (base / str(number) for number in itertools.count())


@pytest.fixture(autouse=True)
def _world(
    request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch, _verdicts: Path, _folders: Iterator[Path]
) -> Iterator[None]:
    """No journal of the person who runs the tests, no colour, one width, one time zone.

    What was judged for one test serves the others; see ``anew``.
    """
    # Most tests need no folder, and naming one after each of them would take longer than many of them.
    if "tmp_path" in request.fixturenames:
        own = request.getfixturevalue("tmp_path")
    else:
        own = next(_folders)
        own.mkdir()
    monkeypatch.setenv("GALEBOOK_JOURNAL", str(own / "journal.db"))
    monkeypatch.setenv("GALEBOOK_CACHE", str(_verdicts))
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setenv("COLUMNS", "100")
    monkeypatch.setenv("TERM", "dumb")
    # No test opens a browser on somebody's screen.
    monkeypatch.setattr("typer.launch", lambda url: 1)
    monkeypatch.setenv("TZ", "UTC")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


@pytest.fixture
def anew(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Nothing was solved or judged before, nor serves others: for tests that count that, or change how it is done."""
    from journal.review import verdict

    monkeypatch.setenv("GALEBOOK_CACHE", str(tmp_path / "verdicts"))
    monkeypatch.setattr(verdict, "_machines", {})


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> datetime:
    """The moment at which the test takes place."""
    pin(monkeypatch)
    return MOMENT


@pytest.fixture(scope="session")
def _blank(tmp_path_factory: pytest.TempPathFactory) -> Path:
    from journal.book import store

    path = tmp_path_factory.mktemp("blank") / "journal.db"
    store.create(path)
    return path


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Tests marked ``both`` that take a fresh journal run with one in a file and with one on a server.

    One marked ``alone`` besides is about a file.
    """
    marks = {mark.name for mark in metafunc.definition.iter_markers()}
    if "path" in metafunc.fixturenames and "both" in marks and "alone" not in marks:
        metafunc.parametrize("path", ["file", "server"], indirect=True)


@pytest.fixture(scope="session")
def cluster() -> Iterator[Cluster]:
    """A PostgreSQL server of this test session alone; what needs it is skipped where there is none."""
    with running() as found:
        yield found


@pytest.fixture(scope="session")
def _blank_there(cluster: Cluster) -> Any:
    """A database with an empty journal, to be used by one test after the other."""
    from journal.book import store

    place = cluster.database()
    store.create(place)
    return place


@pytest.fixture
def path(request: pytest.FixtureRequest, tmp_path: Path, clock: datetime, monkeypatch: pytest.MonkeyPatch) -> Any:
    """A fresh journal with one build and its empty r1; the one that GALEBOOK_JOURNAL names."""
    from journal.book import builds, store

    if getattr(request, "param", "file") == "server":
        new = request.getfixturevalue("cluster").emptied(request.getfixturevalue("_blank_there"))
        monkeypatch.setenv("GALEBOOK_JOURNAL", new.url)
        monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    else:
        new = tmp_path / "journal.db"
        shutil.copy(request.getfixturevalue("_blank"), new)
    with store.journal(new, write=True) as s:
        builds.start(s, builds.BuildTyped(BUILD))
    return new


@pytest.fixture
def opened(path: Path) -> Callable[..., Any]:
    """Open the fresh journal for one command: ``with opened(write=True) as s``."""
    from journal.book import store

    return partial(store.journal, path)


@pytest.fixture
def s(opened: Callable[..., Any]) -> Iterator[Any]:
    """One writing session on the fresh journal."""
    with opened(write=True) as session:
        yield session


@pytest.fixture(scope="session")
def told(_shared: Path, _verdicts: Path) -> Path:
    """The folder of the demo, played once for all processes; not to be changed."""
    from journal import demo

    folder, done = _shared / "told", _shared / "told.done"
    with (_shared / "told.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not done.exists():
            with pytest.MonkeyPatch.context() as patch:
                pin(patch)
                patch.setenv("GALEBOOK_CACHE", str(_verdicts))
                patch.setattr(spread, "SAMPLES", AS_SHIPPED)
                for _ in demo.play(folder):
                    pass
            done.touch()
    return folder


def copied(told: Path, folder: Path) -> Path:
    """A copy of the demo's folder, without what other processes have there only as long as they read the journal."""
    return shutil.copytree(told, folder, ignore=shutil.ignore_patterns("*.db-*"), dirs_exist_ok=True)


@pytest.fixture
def story(told: Path, tmp_path: Path, clock: datetime, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the demo's journal, named by GALEBOOK_JOURNAL."""
    folder = copied(told, tmp_path / "demo")
    monkeypatch.setenv("GALEBOOK_JOURNAL", str(folder / "demo.db"))
    return folder / "demo.db"


@dataclass(frozen=True)
class Result:
    """What one command did."""

    code: int
    out: str
    err: str


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Callable[..., Result]:
    """Run one command in process: ``run("check", "r2")``."""
    from journal import cli

    def command(*args: str) -> Result:
        capsys.readouterr()
        code = cli.run(list(args))
        said = capsys.readouterr()
        return Result(code, said.out, said.err)

    return command


@pytest.fixture
def do(run: Callable[..., Result], path: Any) -> Callable[..., Result]:
    """Run commands that must succeed, each as a shell would read it; the last one's result."""
    import shlex

    def commands(*lines: str) -> Result:
        for line in lines:
            done = run(*shlex.split(line))
            assert done.code == 0, (line, done.err)
        return done

    return commands


@pytest.fixture
def answers(monkeypatch: pytest.MonkeyPatch) -> Callable[..., list[str]]:
    """Sit at the terminal and give answers, in order; gives back the questions as they are asked."""
    from journal.cli import common, editor

    def sit(*given: str) -> list[str]:
        waiting, asked = iter(given), []

        def prompt(text: str, *, default: str = "", **_: Any) -> str:
            asked.append(text)
            return next(waiting) or default

        monkeypatch.setattr(common, "somebody", lambda: True)
        monkeypatch.setattr(editor, "somebody", lambda: True)
        monkeypatch.setattr(common.typer, "prompt", prompt)
        return asked

    return sit


def dump(path: Any) -> list[str]:
    """Everything in a journal, as text, without changing it."""
    if not isinstance(path, Path):
        return everything(path)
    with contextlib.closing(sqlite3.connect(path)) as connection:
        # What is searched is made of the rest, in any order.
        made = tuple(f'INSERT INTO "{name}' for name in ("searchword", "searchtext", "deed"))
        return [line for line in connection.iterdump() if not line.startswith(made)]


def rows(path: Any, query: str, *given: Any) -> list[tuple[Any, ...]]:
    """Ask the file itself, or the server."""
    if not isinstance(path, Path):
        return ask(path.url, query.replace("?", "%s"), *given)
    with contextlib.closing(sqlite3.connect(path)) as connection:
        return connection.execute(query, given).fetchall()


def pytest_addoption(parser):
    """How the approved write-ups are renewed."""
    parser.addoption("--write-golden", action="store_true", help="take over the write-ups of the demo as they are now")
