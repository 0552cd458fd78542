"""Every command that writes, run in a process that may be ended at any moment, and what must hold of a journal then."""

from __future__ import annotations

import contextlib
import os
import random
import shutil
import signal
import sqlite3
import sys
import tempfile
import time
import traceback
import warnings
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from calc.machine import spread
from journal import cli
from journal.book import backups, sqlite_file
from journal.demo.sheets import FIRST_SHEET, SECOND_SHEET

BUILD = "Shed wind generator"
#: The journal in every folder that is tried.
NAME = "shed.db"
#: What runs in a child before the command does.
Before = Callable[[], object]


@dataclass(frozen=True)
class Command:
    """One command that writes.

    Parameters
    ----------
    words : tuple of str
        As it is typed, in the folder of its journal.
    state : {"ready", "spoilt", "older", "none"}
        The journal that it finds: a sound one, one that wants mending, one for which the program is too new, or none.
    """

    words: tuple[str, ...]
    state: str = "ready"

    @property
    def name(self) -> str:
        """What tells it from others."""
        named = self.words[:2] if self.words[0] in ("part", "index") else self.words[:1]
        return " ".join(named) + ("" if self.state in ("ready", "spoilt") else f" ({self.state})")


def _commands(*lines: str) -> tuple[Command, ...]:
    import shlex

    return tuple(Command(tuple(shlex.split(line))) for line in lines)


COMMANDS = (
    *_commands(
        "start 'Second wheel' --purpose 'the hen house'",
        "revise r2 --title Thicker --because 'it glowed'",
        "set mast.height '7 m' --from measured",
        "unset rotor.diameter",
        "sheet --file first.toml --take-off",
        "ask --answers first.toml",
        "attempt 'ran through the night' --outcome worked --on r1",
        "measure '12.4 V' battery.voltage --attempt A1",
        "instrument 'pocket meter' --accuracy '0.8 % + 3 digits'",
        "claim '500 W at 9 m/s' --by 'a neighbour'",
        "paper 'mast of 10 m' --kind permission --until 2099-01-01",
        "table readings.csv --attempt A1",
        "logger june.csv --on r2",
        "attach photo.png --to A1 --caption 'the hedge'",
        "part add 'tilt-up mast' --role mast --cost '80 EUR'",
        "part carry P3 --on r3",
        "part fate P1 broken --on r1 --note 'in the gale'",
        "fail 'it hummed' --attempt A1 --cause 'a bearing' --sure 60%",
        "cause F1 'a loose stay' --sure 40%",
        "reject F1 1 --because 'spins freely'",
        "evidence F1 'quiet by hand' --leans against",
        "look F1 burnt-smell yes --note 'at the box'",
        "fix F1 --by D1 --in r2",
        "verify F2 --by A2",
        "decide 'Which mast?'",
        "option D2 'shorter' --set mast.height='5 m'",
        "criterion D2 'easy to lower' --weight 3",
        "mark D2 taller 'by hand' 7",
        "choose D2 taller --because 'clear of the hedge' --expect 'charges at Bft 4' --odds 70%",
        "accept protection.surge --on r2 --because 'for now' --until 2099-01-01",
        "outcome D1 'came true' --note 'seen in May'",
        "amend A1 did='ran for a week' --because 'misremembered'",
        "withdraw M2 --because 'wrong range'",
        "undo",
        "redo",
        "reinstate I1 --because 'it was right after all'",
        "backup copy.db",
        "restore 1 --yes",
        "use 'Other wheel'",
        "next r1 --write 1",
        "writeup --for forum --out forum.md",
        "writeup --for neighbour --format html --out neighbour.html",
        "draw blade r1 --to drawings",
        "export plain",
        "export plain.zip",
        "import friend.zip",
        "demo story",
    ),
    Command(("import", "friend.zip"), "none"),
    Command(("start", BUILD), "none"),
    Command(("doctor", "--mend"), "spoilt"),
    Command(("attempt", "after the update", "--on", "r1"), "older"),
)


#: Those that reckon for seconds before they write; they are tried less often.
SLOW = ("next", "demo")
#: Those that compute in threads of a library: a fork of a process that did so would wait for threads that it lacks.
THREADED = ("demo", "logger")
#: Those that only read, or concern a server, or write what pages send, as tests/web tries; `wind --use` writes as `set`
#: does, once a month was logged.
READING = frozenset(
    [
        "backups",
        "blade",
        "builds",
        "buy",
        "check",
        "compare",
        "curve",
        "diagram",
        "doubts",
        "history",
        "list",
        "members",
        "missing",
        "names",
        "open",
        "power",
        "predictions",
        "rules",
        "search",
        "serve",
        "show",
        "status",
        "todo",
        "turn",
        "vary",
        "weigh",
        "where",
        "why",
        "wind",
        "years",
    ]
)


@dataclass(frozen=True)
class Ended:
    """How a command ended, and what it had said until then."""

    code: int
    out: str
    err: str
    seconds: float

    @property
    def killed(self) -> bool:
        """Whether it was ended from outside."""
        return self.code == -signal.SIGKILL


def run(
    words: tuple[str, ...],
    folder: Path,
    *,
    kill_after: float | None = None,
    before: Before = lambda: None,
    beside: Path | None = None,
) -> Ended:
    """Run a command in a process of its own, in a folder, and perhaps end it after a time without a warning.

    Verdicts, and what it says, are kept in ``beside``, else beside the folder.
    """
    beside = beside or folder.parent
    out, err = beside / f"{folder.name}.out", beside / f"{folder.name}.err"
    sys.stdout.flush()
    sys.stderr.flush()
    began = time.monotonic()
    if words[0] in THREADED:
        child = _own_process(words, folder, out, err)
    else:
        with warnings.catch_warnings():
            # Later Pythons warn of threads, of which the child uses none.
            warnings.simplefilter("ignore", DeprecationWarning)
            child = os.fork()
        if not child:
            _be_a_command(words, folder, out, err, before)
    if kill_after is not None:
        time.sleep(kill_after)
        os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    seconds = time.monotonic() - began
    return Ended(os.waitstatus_to_exitcode(status), _text(out), _text(err), seconds)


def _own_process(words: tuple[str, ...], folder: Path, out: Path, err: Path) -> int:
    """A command in a process that was not forked; its number."""
    program = (
        "import sys; from pathlib import Path; from calc.machine import spread; from tests import faults; "
        f"spread.SAMPLES = {spread.SAMPLES}; out, err, folder = map(Path, sys.argv[1:4]); "
        "faults._be_a_command(tuple(sys.argv[4:]), folder, out, err, lambda: None)"
    )
    root = Path(__file__).parent.parent
    given = [str(p.absolute()) for p in (out, err, folder)]
    return os.posix_spawn(
        sys.executable, [sys.executable, "-c", program, *given, *words], {**os.environ, "PYTHONPATH": str(root)}
    )


def _text(path: Path) -> str:
    found = path.read_text(errors="replace") if path.exists() else ""
    path.unlink(missing_ok=True)
    return found


def _be_a_command(words: tuple[str, ...], folder: Path, out: Path, err: Path, before: Before) -> None:
    code = 70
    try:
        for number, name, flags in ((0, os.devnull, os.O_RDONLY), (1, out, os.O_CREAT | os.O_WRONLY),
                                    (2, err, os.O_CREAT | os.O_WRONLY)):  # fmt: skip
            os.dup2(os.open(name, flags, 0o600), number)
        sys.stdin, sys.stdout, sys.stderr = (
            open(n, "r" if n == 0 else "w", closefd=False, encoding="utf-8")  # noqa: SIM115
            for n in range(3)
        )
        os.chdir(folder)
        os.environ.update(GALEBOOK_JOURNAL=NAME, GALEBOOK_CACHE=str(out.parent / "verdicts"), NO_COLOR="1")
        before()
        code = cli.run(list(words))
        sys.stdout.flush()
    except BaseException:  # noqa: BLE001 - whatever it is, it must be told, and the child must end
        traceback.print_exc()
        sys.stderr.flush()
    finally:
        os._exit(code)


def done(words: str | tuple[str, ...], folder: Path, before: Before = lambda: None) -> Ended:
    """Run a command that must succeed."""
    import shlex

    given = tuple(shlex.split(words)) if isinstance(words, str) else words
    ended = run(given, folder, before=before)
    assert ended.code == 0, (given, ended)
    return ended


def _picture(size: int) -> bytes:
    """A photo of noise, so that writing it takes several pieces."""
    import io

    from PIL import Image

    stream = io.BytesIO()
    Image.frombytes("RGB", (size, size), random.Random(size).randbytes(size * size * 3)).save(stream, "PNG")
    return stream.getvalue()


_STORY = (
    "part add 'servo motor' --role generator --on r1 --cost '20 EUR'",
    "part add 'drain pipe' --role blades --on r1",
    "attempt 'ran for three weeks' --on r1 --outcome partly --wind 'Bft 5'",
    "measure '12.1 V' battery.voltage --attempt A1",
    "measure '0.3 A' charge.current --attempt A1",
    "attach bench.png --to A1",
    "fail 'hardly charged' --attempt A1 --cause 'magnets too weak' --sure 60%",
    "fail 'the fuse was found blown' --attempt A1",
    "revise r1 --title 'Bigger and slower' --because 'r1 hardly charged'",
    "sheet r2 --file second.toml --take-off",
    "decide 'Which battery?' --on r2",
    "option D1 '24 V' --set storage.voltage='24 V'",
    "choose D1 '24 V' --because 'half the current' --expect 'charges at Bft 4' --odds 70%",
    "fix F2 --by D1 --in r2",
    "revise r2 --title 'With a taller mast' --because 'the hedge'",
    "part add 'old mast' --role mast --on r2",
    "attempt 'stood through a storm' --on r2 --outcome worked --wind 'Bft 8'",
    "decide 'Which height?' --on r3",
    "option D2 taller --set mast.height='9 m'",
    "criterion D2 'by hand' --weight 2",
    "instrument 'old meter'",
    "withdraw I1 --because 'it read too much'",
    "claim '500 W' --by 'a friend' --on r3",
    "undo",
    "start 'Other wheel'",
    f"use '{BUILD}'",
)


_LOGGED = "time (UTC),wind (m/s),power (W)\n" + "".join(
    f"2026-06-{1 + i // 1440:02} {i // 60 % 24:02}:{i % 60:02}:00,{4 + i % 7 / 4},{80 + i % 9}\n" for i in range(9000)
)


def in_time(what: Sequence[Any]) -> Iterator[Any]:
    """Go through them as long as there is time: so many seconds as GALEBOOK_SECONDS says, else to the end."""
    until = time.monotonic() + float(os.environ.get("GALEBOOK_SECONDS", "inf"))
    for one in what:
        if time.monotonic() > until:
            return
        yield one


class Found(list[str]):
    """Faults, told as they are found."""

    def __iadd__(self, more: Iterable[str]) -> Found:
        """Take up more of them."""
        for line in more:
            print(line[:2000], flush=True)  # noqa: T201
            self.append(line)
        return self


@contextlib.contextmanager
def scratch() -> Iterator[Path]:
    """A folder in memory, where there is one: what ends a process asks for no disk."""
    memory = Path("/dev/shm")
    with tempfile.TemporaryDirectory(dir=memory if memory.is_dir() else None) as name:
        yield Path(name)


@dataclass(frozen=True)
class Worlds:
    """Folders with a journal in each state that commands find; copied for each try."""

    home: Path

    def copy(self, state: str, name: str = "try") -> Path:
        """A fresh copy of one of them."""
        folder = self.home / name
        shutil.rmtree(folder, ignore_errors=True)
        shutil.copytree(self.home / state, folder)
        return folder

    def before(self, state: str) -> Before:
        """What runs in every process that works on a journal of that state."""
        package = self.home / "package"
        return (lambda: a_newer_program(package)) if state == "older" else (lambda: None)

    def newer(self, state: str) -> str:
        """The same for a program of its own, as a line of it."""
        if state != "older":
            return "pass"
        package = str(self.home / "package")
        return f"from tests import faults; from pathlib import Path; faults.a_newer_program(Path({package!r}))"


def worlds(home: Path, samples: int = 24) -> Worlds:
    """Make the folders, which takes some seconds; verdicts are reckoned with few samples in all that follows."""
    spread.SAMPLES = samples
    _load_all()
    ready = home / "ready"
    ready.mkdir()
    (ready / "first.toml").write_text(FIRST_SHEET)
    (ready / "second.toml").write_text(SECOND_SHEET)
    (ready / "readings.csv").write_text("rpm,battery volts,note\n300,12.1,\n310,12.4,gusty\n")
    (ready / "june.csv").write_text(_LOGGED)
    (ready / "bench.png").write_bytes(_picture(130))
    (ready / "photo.png").write_bytes(_picture(320))
    done(f"start '{BUILD}' --purpose 'light the shed'", ready)
    done("sheet --file first.toml", ready)
    for line in _STORY[:6]:
        done(line, ready)
    backups.keep(ready / NAME, backups.DAILY)
    for line in _STORY[6:]:
        done(line, ready)
    for line in ("--for forum --out forum.md", "--for neighbour --format html --out neighbour.html"):
        done(f"writeup {line}", ready)
    shutil.copytree(ready, home / "older")
    (home / "none").mkdir()
    done("start 'Wheel of a friend'", home / "none")
    done("sheet --file ../ready/first.toml", home / "none")
    done("export ../friend.zip", home / "none")
    shutil.rmtree(home / "none")
    (home / "none").mkdir()
    for folder in ("ready", "none"):
        shutil.copy(home / "friend.zip", home / folder)
    shutil.copytree(ready, home / "spoilt")
    spoil(home / "spoilt" / NAME)
    _lay_newer_program(home / "package")
    return Worlds(home)


def _load_all() -> None:
    """Load what commands load only where they use it, so that a forked one spends its time on its work."""
    import importlib
    import pkgutil

    import journal

    for room in ("book", "review", "publish", "screens", "cli"):
        for module in pkgutil.iter_modules([str(Path(journal.__path__[0]) / room)]):
            importlib.import_module(f"journal.{room}.{module.name}")
    for name in ("alembic.command", "pint", "jinja2", "markdown", "PIL.Image", "matplotlib.figure", "tomlkit"):
        importlib.import_module(name)


def spoil(path: Path) -> None:
    """Do to a journal what the doctor can mend: records changed, a page lost, a log of nobody."""
    with contextlib.closing(sqlite3.connect(path)) as connection:
        connection.execute("UPDATE attempt SET saw = 'nothing'")
        connection.execute("DELETE FROM cause")
        connection.commit()
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        (size,) = connection.execute("PRAGMA page_size").fetchone()
        (root,) = connection.execute("SELECT rootpage FROM sqlite_master WHERE name = 'measurement'").fetchone()
    with path.open("r+b") as stream:
        stream.seek((root - 1) * size)
        stream.write(b"\xff" * size)


_NEWER = """
import sqlalchemy as sa
from alembic import op

revision = "9998"
down_revision = {down!r}
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("revision") as table:
        table.add_column(sa.Column("colour", sa.String(), nullable=True))
"""


def _lay_newer_program(package: Path) -> None:
    shutil.copytree(Path(sqlite_file.__file__).parent / "migrations", package / "migrations")
    script = package / "migrations" / "versions" / "9998_colour.py"
    script.write_text(_NEWER.format(down=sqlite_file.VERSIONS[-1]))


def a_newer_program(package: Path) -> None:
    """Be a program with one more migration, which rebuilds a table that many others refer to."""
    sqlite_file.__file__ = str(package / "sqlite_file.py")
    sqlite_file.VERSIONS = (*sqlite_file.VERSIONS, "9998")
