"""Input that somebody hostile made, by target: what every one of them must hold, whatever it is given.

The tests run kept inputs (`tests/fixtures/corpus`) and ones that Hypothesis makes; `tests/hard/fuzz.py` looks for new
ones by what they reach in the program. A target takes bytes and raises where something does not hold.
"""

from __future__ import annotations

import contextlib
import io
import json
import math
import os
import re
import shutil
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from journal.errors import GalebookError
from tests.conftest import dump

CORPUS = Path(__file__).parent / "fixtures" / "corpus"
#: What steers a terminal: all but letters, line ends and tabs.
STEERS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069\u2028\u2029\ud800-\udfff]")
#: A message is read by a person.
LONGEST_MESSAGE = 4000
_WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
_CHANGING = {
    "os.rename": 2,
    "os.link": 2,
    "os.symlink": 2,
    "os.mkdir": 1,
    "os.remove": 1,
    "os.rmdir": 1,
    "os.truncate": 1,
    "os.chmod": 1,
    "shutil.rmtree": 1,
    "shutil.move": 2,
}
_STARTING = ("subprocess.Popen", "os.system", "os.exec", "os.posix_spawn", "socket.connect")
#: What is started by itself: the editor that the world has, and what our library of pictures asks for fonts.
_OURS = ("true", "fc-list")


class BoundError(AssertionError):
    """Something that must hold of every input does not."""


@dataclass
class Guard:
    """Watches where is written, and keeps it from happening anywhere but in one folder.

    Parameters
    ----------
    folder : Path
        All may be written in it that belongs to the journal or was named.
    """

    folder: Path
    active: bool = False
    named: list[str] = field(default_factory=list)
    broken: list[str] = field(default_factory=list)

    def name(self, args: list[str]) -> None:
        """Take down what a command was given: it may be a target."""
        parts = [part for arg in args for part in (arg, arg.partition("=")[2]) if part and "\0" not in part]
        self.named = [os.path.normpath(os.path.join(self.folder, p)) for p in parts if len(p) < 5000]
        self.broken = []

    def hook(self, event: str, args: tuple[Any, ...]) -> None:
        """What the interpreter tells of every file that is opened, and the like."""
        if not self.active:
            return
        if event == "open" and isinstance(args[2], int) and args[2] & _WRITING:
            self._look(args[0], PermissionError(13, "Permission denied", str(args[0])))
        elif event in _CHANGING:
            for path in args[: _CHANGING[event]]:
                self._look(path, PermissionError(13, "Permission denied", str(path)))
        elif event in _STARTING and str(args[0]).rpartition("/")[2] not in _OURS:
            self.broken.append(f"{event} {args[0]!r}")
            raise PermissionError(13, "Permission denied")

    def _look(self, path: object, error: OSError) -> None:
        if not isinstance(path, str | bytes | os.PathLike):
            return
        given = os.path.normpath(os.path.join(self.folder, os.fsdecode(path)))
        if given in (os.devnull, os.path.normpath(os.path.join(self.folder, ""))) or "__pycache__" in given:
            return
        own = [str(self.folder / name) for name in ("journal", "cache", "matplotlib")]
        inside = given.startswith(f"{self.folder}/")
        if any(given == o or given.startswith(f"{o}/") for o in own):
            return
        before, half, _ = given.partition("/.galebook-")
        if not any(
            given.startswith(os.path.splitext(n)[0])
            or n.startswith(f"{given}/")
            or (half and os.path.dirname(n) == (before or "/"))
            for n in self.named
        ):
            self.broken.append(f"writes {given!r}, which nobody named")
            raise error
        if not inside:
            raise error


@dataclass
class World:
    """A folder with a small journal in it, in which a command can do no harm elsewhere."""

    folder: Path
    guard: Guard
    start: list[str] = field(default_factory=list)

    @property
    def environment(self) -> dict[str, str]:
        """Where the program finds its journal, and nothing of the person who runs this."""
        return {
            "HOME": str(self.folder),
            "GALEBOOK_JOURNAL": str(self.journal),
            "GALEBOOK_CACHE": f"{self.folder}/cache",
            "MPLCONFIGDIR": f"{self.folder}/matplotlib",
            "XDG_DATA_HOME": f"{self.folder}/journal",
            "NO_COLOR": "1",
            "TERM": "dumb",
            "COLUMNS": "100",
            "EDITOR": "true",
            "VISUAL": "true",
            "GALEBOOK_BACKUPS": "none",
        }

    @property
    def journal(self) -> Path:
        """The journal, the one that is meant where none is named."""
        return self.folder / "journal" / "journal.db"

    def again(self) -> None:
        """Put the journal and its folder back as they were."""
        for entry in self.folder.iterdir():
            if entry.name not in ("kept", "cache", "matplotlib"):
                shutil.rmtree(entry) if entry.is_dir() and not entry.is_symlink() else entry.unlink()
        shutil.copytree(self.folder / "kept", self.folder, dirs_exist_ok=True)

    @contextlib.contextmanager
    def session(self) -> Iterator[Any]:
        """One writing session on the journal, of which nothing stays."""
        from journal.book import store

        with contextlib.suppress(_Undone), store.journal(self.journal, write=True) as s:
            yield s
            raise _Undone


class _Undone(Exception):  # noqa: N818
    """Ends a session so that nothing of it stays."""


_HOOKED: list[Guard] = []


def new_world(folder: Path) -> World:
    """Make a small journal with a record of most kinds, and some files beside it."""
    from calc.machine import spread
    from journal import cli

    for name in ("kept/journal", "cache", "matplotlib"):
        (folder / name).mkdir(parents=True)
    if not _HOOKED:
        sys.addaudithook(lambda event, args: _HOOKED[-1].hook(event, args))
    _HOOKED.append(Guard(folder))
    world = World(folder, _HOOKED[-1])
    os.environ.update(world.environment)
    spread.SAMPLES = 24
    os.chdir(folder / "kept")
    (folder / "kept" / "good.toml").write_text('[rotor]\ndiameter = "2.2 m"\n')
    (folder / "kept" / "winds.csv").write_text("wind\n" + "5\n" * 24)
    (folder / "kept" / "taken").mkdir()
    for line in STORY:
        with quiet():
            if (code := cli.run(["--journal", str(folder / "kept" / "journal" / "journal.db"), *line])) not in (0, 3):
                raise RuntimeError(f"{line} ended with {code}")
    os.chdir(folder)
    world.again()
    world.start = dump(world.journal)
    return world


#: The story of the small journal, an invented one.
STORY = [
    ["start", "Shed wind generator", "--purpose", "light the shed", "--place", "Upper Meadow 3"],
    ["set", "rotor.diameter", "1.3 m", "--from", "measured"],
    ["set", "storage.voltage", "12 V"],
    ["set", "cable.mast.length", "34 m"],
    ["set", "load.lamps.power", "12 W"],
    ["part", "add", "industrial servo motor", "--role", "generator", "--cost", "40 EUR"],
    ["claim", "400 W at 9 m/s", "--by", "the motor's seller"],
    ["attempt", "ran on the gable", "--wind", "Bft 5", "--outcome", "failed", "--when", "2026-01-02"],
    ["measure", "12.1 V", "battery.voltage", "--attempt", "A1"],
    ["instrument", "pocket multimeter", "--accuracy", "0.8 % + 3 digits"],
    ["attach", "good.toml", "--to", "A1", "--caption", "the sheet"],
    ["fail", "hardly charged", "--attempt", "A1", "--cause", "magnets too weak", "--sure", "60%"],
    ["evidence", "F1", "volts per rpm are as on the plate", "--leans", "against"],
    ["decide", "Which battery voltage?"],
    ["option", "D1", "12 V"],
    ["option", "D1", "24 V", "--set", "storage.voltage=24 V"],
    ["criterion", "D1", "yearly_energy", "--weight", "5"],
]


@contextlib.contextmanager
def quiet(stdin: bytes = b"") -> Iterator[tuple[io.BytesIO, io.BytesIO]]:
    """Take what goes to the streams, and give what is read from one."""
    out, err = io.BytesIO(), io.BytesIO()
    before = sys.stdin, sys.stdout, sys.stderr
    sys.stdin = io.TextIOWrapper(io.BytesIO(stdin), "utf-8", "surrogateescape")
    sys.stdout, sys.stderr = (io.TextIOWrapper(s, "utf-8", "backslashreplace", write_through=True) for s in (out, err))
    try:
        yield out, err
    finally:
        for stream in (sys.stdout, sys.stderr):
            stream.flush()
            stream.detach()
        sys.stdin, sys.stdout, sys.stderr = before


def held(said: str) -> None:
    """Hold that a message is one for people; what would steer a terminal is written out where it is told."""
    if len(said) > LONGEST_MESSAGE:
        raise BoundError(f"a message of {len(said)} characters: {said[:200]}")


def tried(call: Callable[[], Any]) -> Any:
    """Call; what it gives, or None where it refuses as it should."""
    try:
        return call()
    except GalebookError as e:
        held(str(e))
        return None


def text_of(data: bytes) -> str:
    """Bytes as the text that a program gets of them as an argument."""
    return data.decode("utf-8", "surrogateescape")


def sheet(world: World, data: bytes) -> None:
    """A sheet as TOML text: read, taken over, written again and read again."""
    from journal.book import sheet_toml
    from journal.book.records import find_revision
    from journal.cli.editor import decoded

    text = tried(lambda: decoded(data, "sheet.toml"))
    if text is None or tried(lambda: sheet_toml.from_toml(text)) is None:
        return

    def take_over() -> None:
        with world.session() as s:
            of = find_revision(s)
            sheet_toml.read_sheet(s, of, text, "sheet.toml", "a reason", take_off=len(data) % 2 == 0)
            again = sheet_toml.to_toml(s, of)
            if set(sheet_toml.from_toml(again)) != set(sheet_toml.load_sheet(s, of).values):
                raise BoundError("the sheet as text is another than the sheet")

    tried(take_over)


def typed(world: World, data: bytes) -> None:
    """Quantities, doubts, days, shares, money and wind as typed."""
    from calc.machine import catalogue
    from journal.book import days, plain_text, quantity, written

    kind, _, rest = data.partition(b" ")
    text = text_of(rest)
    entries = [e for e in catalogue.catalogue().values() if e.kind == "number"]
    number = int.from_bytes(kind[:2].ljust(2), "big")
    entry: Any = entries[number % len(entries)]
    body, _, doubt = text.partition("|")
    amounts = [
        tried(lambda: quantity.parse(text, entry, "It")),
        tried(lambda: quantity.parse_with(body, doubt or None, entry, "It")),
    ]
    for amount in (a for a in amounts if a is not None):
        for value in (amount.value, amount.low, amount.high):
            if value is not None and not (math.isfinite(value) and entry.low <= value <= entry.high):
                raise BoundError(f"{text!r} gives {value} for {entry.named('x')}")
    for day in (tried(lambda: written.when(text)), tried(lambda: written.past(text))):
        if day is not None and not re.fullmatch(r"\d{4}-\d\d-\d\d", days.middle(day)):
            raise BoundError(f"{text!r} gives the day {day!r}")
    share = tried(lambda: written.share(text, "It"))
    if share is not None and not 0 <= share <= 1:
        raise BoundError(f"{text!r} gives the share {share}")
    money = tried(lambda: written.money(body, doubt or None))
    if money and not (0 <= money["cost"] < 1e9 and json.dumps(money)):
        raise BoundError(f"{text!r} gives {money}")
    tried(lambda: written.read_wind(body, doubt or None))
    tried(lambda: written.word(text, ("yes", "no", "10 mm2"), "It"))
    tried(lambda: plain_text.clean_text(text, "It"))


def winds(world: World, data: bytes) -> None:
    """A file of winds: whole days of numbers that a wind can have, or one line."""
    from journal.review.hourly_winds import WindFileTyped, file_winds

    file = world.folder / "fuzzed.csv"
    file.write_bytes(data[1:])
    found = tried(lambda: file_winds(None, file, WindFileTyped(daily=data[:1] > b"\x80")))
    if found and not (found.winds.size % 24 == 0 and all(0 <= w < 1000 for w in found.winds.tolist())):
        raise BoundError(f"winds {found}")


def form(world: World, data: bytes) -> None:
    """The open form: one file of a good export in other words, or a zip."""
    from journal.book.open_form import checking, taking_in
    from journal.book.open_form.reading import read_form
    from journal.book.open_form.sources import FormSource

    new = world.folder / "new" / "journal.db"
    if data[:2] == b"PK":
        (world.folder / "fuzzed.zip").write_bytes(data)
        tried(lambda: taking_in.take_in(new, world.folder / "fuzzed.zip", correct="so", only_try=True))
        if new.parent.exists():
            raise BoundError("a trial leaves something behind")
        return
    files = _exported(world)
    name, _, rest = data.partition(b"\n")
    text_files = [n for n in files if not n.endswith((".json", ".txt", ".sha256"))]
    given = name.decode("utf-8", "replace")
    if given not in files:
        given = text_files[int.from_bytes(name[:2].ljust(2), "big") % len(text_files)]
    files = files | {given: rest}
    sizes = {n: len(d) for n, d in sorted(files.items())}
    source = FormSource("out", sizes, lambda n: io.BytesIO(files[n]))
    read = tried(lambda: read_form(source))
    if read is not None:
        tried(lambda: checking.check(read, "so"))


_EXPORTS: dict[Path, dict[str, bytes]] = {}


def _exported(world: World) -> dict[str, bytes]:
    """Every file of an export of the journal."""
    from tests.journal.forms import exported, tree

    if world.folder not in _EXPORTS:
        _EXPORTS[world.folder] = tree(exported(world.journal, world.folder / "cache" / "export"))
    return _EXPORTS[world.folder]


def reference(world: World, data: bytes) -> None:
    """References, also within records, and names of rules, mechanisms and values."""
    from journal.book import names, records, sheet, within

    text = text_of(data)
    with world.session() as s:
        tried(lambda: records.find_record(s, text))
        tried(lambda: records.find_revision(s, text))
        tried(lambda: within.find_within(s, text))
        tried(lambda: sheet.entry_of(text))
        tried(lambda: names.rule_named(text))
        tried(lambda: names.mechanism_named(text))


def amend(world: World, data: bytes) -> None:
    """``REFERENCE FIELD=VALUE`` as for the command; what is corrected is shown, and can be taken back."""
    from journal.book import corrections
    from journal.cli.common import pairs
    from journal.screens.record import gather_record

    ref, _, rest = text_of(data).partition(" ")
    changes = tried(lambda: pairs(rest.split("\n")))
    for name, value in (changes or {}).items():

        def correct(name: str = name, value: str = value) -> None:
            with world.session() as s:
                corrections.amend(s, ref, name, value, "a reason")
                if "." not in ref and ref.strip().casefold() != "build":
                    gather_record(s, ref)

        tried(correct)


def command(world: World, data: bytes) -> None:
    """A whole command line, its words parted by NUL; behind an empty word what is typed into it."""
    from journal import cli

    line, _, stdin = data.partition(b"\0\0")
    args = [text_of(word) for word in line.split(b"\0")]
    if {"demo", "serve"} & set(args) or any("completion" in a or "postgres" in a.casefold() for a in args):
        return
    world.guard.name(args)
    world.guard.active = True
    try:
        with quiet(stdin) as (out, err):
            code = cli.run(args)
    finally:
        world.guard.active = False
    said, told = (s.getvalue().decode("utf-8", "surrogateescape") for s in (out, err))
    try:
        _hold_command(world, args, code, said, told)
    finally:
        world.again()


def _hold_command(world: World, args: list[str], code: int, said: str, told: str) -> None:
    if world.guard.broken:
        raise BoundError(f"{args}: {world.guard.broken}")
    if code not in (0, 1, 2, 3):
        raise BoundError(f"{args} ends with {code}")
    if (found := STEERS.search(said + told)) is not None:
        raise BoundError(f"{args} writes {found[0]!r}: {(said + told)[max(0, found.start() - 50) :][:100]!r}")
    if "Traceback" in told or (code in (1, 2) and len(told) > LONGEST_MESSAGE):
        raise BoundError(f"{args}: {told[:500]}")
    if code == 2 and told.count("\n") != 1 and "Usage:" not in said + told:
        raise BoundError(f"{args} is told in {told.count(chr(10))} lines: {told[:500]}")
    if code in (1, 2) and not _took_away(args) and dump(world.journal) != world.start:
        raise BoundError(f"{args} fails, and changed the journal")


def _took_away(args: list[str]) -> bool:
    """Whether a command may change the journal and still tell that it is not whole."""
    return "doctor" in args


def search(world: World, data: bytes) -> None:
    """Words that are looked for."""
    command(world, b"search\0--\0" + data.replace(b"\0", b" "))


TARGETS: dict[str, Callable[[World, bytes], None]] = {
    f.__name__: f for f in (sheet, typed, winds, form, reference, amend, command, search)
}
#: Seconds of work for one input; commands that compute a machine are held to more.
SECONDS = {"command": 20.0}


def hold(target: str, world: World, data: bytes, times: float = 1.0) -> None:
    """Give one input to one target, and hold what must hold.

    Raises
    ------
    BoundError
        With what does not.
    """
    begun = time.process_time()
    TARGETS[target](world, data)
    took = time.process_time() - begun
    if took > SECONDS.get(target, 2.0) * times:
        raise BoundError(f"{target} takes {took:.1f} s for {data[:80]!r}")


def commands() -> set[str]:
    """The names of all commands."""
    import typer

    from journal import cli

    return set(getattr(typer.main.get_command(cli.build()), "commands", {}))
