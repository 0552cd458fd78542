"""Whoever adds a screen, a command or a kind of record and forgets one of its places is told which."""

import importlib
import inspect
import json
import pkgutil
import re
from pathlib import Path

import pytest

from journal import screens
from journal.book.tables import NUMBERED, Measurement
from journal.cli.builds import KINDS
from journal.screens.looks import LOOKS
from journal.screens.terminal import Screen
from tests.cli.test_commands import COMMANDS

ROOT = Path(__file__).parents[2]
MODULES = [f"journal.screens.{m.name}" for m in pkgutil.iter_modules(screens.__path__) if not m.ispkg]
#: Files of the room that are no screen: what all share, what belongs to the screen of power, and a list as a file.
NO_SCREENS = {"journal.screens.terminal", "journal.screens.folding", "journal.screens.power_plots",
              "journal.screens.buying_file"}  # fmt: skip
#: Files with more than one screen of the same thing: in short, in full, and a part of it.
SEVERAL = {
    "journal.screens.check": ["show_check", "show_findings", "show_finding"],
    "journal.screens.why": ["show_why", "show_why_whole"],
}
#: Commands that record nothing and yet give no JSON.
NO_JSON = {
    "writeup": "a write-up has forms of its own",
    "demo": "it makes a journal",
    "serve": "it serves pages, until it is ended",
    "open": "it shows a page in the browser",
    "export": "it writes a journal, in a form of its own",
    "backup": "it copies a journal",
    "restore": "it puts a copy in the place of a journal",
}
ROWS = [row for row in (ROOT / "README.md").read_text(encoding="utf-8").splitlines() if row.startswith("| ")]
LISTED = [name for row in ROWS for name in re.findall(r"`([a-z ]+)`", row)]


def source(name):
    """The code of a command."""
    return inspect.getsource(inspect.unwrap(COMMANDS[name].callback))


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_stands_once_in_the_table(name):
    """README lists all commands by what they are for."""
    assert LISTED.count(name) == 1, f"{name} stands {LISTED.count(name)} times in README's table of commands"


def test_the_table_names_no_other():
    """What is gone from the program is gone from README."""
    assert set(LISTED) - set(COMMANDS) == set()


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_that_only_reads_gives_json(name):
    """What does not open the journal for writing tells something, and a script may want it."""
    gives = any("--json" in p.opts for p in COMMANDS[name].params)
    assert gives or name in NO_JSON or "session(write=True)" in source(name), f"{name} lacks --json"


@pytest.mark.parametrize("module", sorted(set(MODULES) - NO_SCREENS))
def test_every_screen_has_json_beside_its_text_and_a_command(module):
    """One thing a file, shown in one way or in short and in full: each decorated with its JSON, each with a command."""
    code = importlib.import_module(module)
    shown = [key for key, thing in vars(code).items() if isinstance(thing, Screen) and thing.text.__module__ == module]
    assert shown, f"{module} has no text decorated with @screen(data)"
    assert len(shown) == len(SEVERAL.get(module, [""])), f"{module}: {shown}"
    assert set(SEVERAL.get(module, shown)) == set(shown)
    commands = "".join(p.read_text(encoding="utf-8") for p in (ROOT / "journal" / "cli").glob("*.py"))
    for name in shown:
        assert re.search(rf"\b{name}\(", commands), f"no command shows {name} of {module}"


@pytest.mark.parametrize("cls", NUMBERED.values(), ids=lambda cls: cls.__name__)
def test_every_kind_of_record_has_a_look(cls):
    """It can be shown, and listed under a name of its own."""
    kinds = [look.kind for look in LOOKS if look.record is cls]
    assert len(kinds) == 1, f"{cls.__name__} has {len(kinds)} looks in journal/screens/looks"
    assert kinds[0] in KINDS, f"galebook list does not name {kinds[0]}"


def test_no_other_kind_is_named():
    """In the order in which they are told."""
    assert tuple(look.kind for look in LOOKS) == KINDS


def test_what_a_person_typed_is_shown_as_typed(path, run):
    """Neither the markup nor the picture signs of the terminal's library are found in it."""
    typed = "[bold]two[/] :warning: blades \\"
    run("attempt", typed, "--saw", typed)
    run("fail", typed, "--effect", typed)
    run("decide", typed)
    for args in (["show", "A1"], ["show", "F1"], ["list", "attempts"], ["status"], ["weigh", "D1"], ["history"]):
        assert typed in run(*args).out, args
    assert "'[bold]'" in run("names", "[bold]").out


def test_the_heads_of_the_power_table_stay_whole(story, run, monkeypatch):
    """At 80 columns too; a machine without a dump load has no column of noughts for it."""
    monkeypatch.setenv("COLUMNS", "80")
    lines = run("power", "r1").out.splitlines()
    at = lines.index(next(line for line in lines if line.startswith("In each wind"))) + 1
    assert lines[at].split() == [
        "Wind",
        "Speed",
        "Tip",
        "Rotor",
        "Drag",
        "Winding",
        "Diodes",
        "Cable",
        "Battery",
        "Current",
    ]
    assert lines[at + 1].split() == ["m/s", "rpm", "ratio", "W", "W", "W", "W", "W", "W", "A"]


@pytest.mark.parametrize("call", ["weigh D1", "doubts r1", "missing r1", "diagram r1", "part list r1", "power r1"])
def test_a_screen_says_which_revision_it_is_of(story, run, call):
    """In its first two lines; the decision was about r2."""
    of = "r2" if call.startswith("weigh") else "r1"
    assert re.search(rf"\b{of}\b", "".join(run(*call.split()).out.splitlines()[:2]))


def test_a_decision_weighed_tells_scripts_its_revision(story, run):
    """As the other screens do."""
    assert json.loads(run("weigh", "D1", "--json").out)["on"] == "r2"


def test_a_comparison_names_the_cable_and_no_bare_number(story, run):
    """Both runs of cable have a rule of one title; strings have no unit."""
    told = " ".join(run("compare", "r1", "r2").out.split())
    assert "voltage and power lost in the cable (cable mast): fail" in told
    told = " ".join(run("compare", "r1", "r2", "--all").out.split())
    assert re.search(r"Strings and mixed cells does not apply stated (?!,)", told)


def test_json_has_the_columns_in_the_order_of_the_table(story, run):
    """So that what two runs say can be compared line by line."""
    told = list(json.loads(run("show", "M1", "--json").out))
    assert told[0] == "ref"
    # What was typed of a day stands there only where it is another text.
    columns = [c for c in Measurement.model_fields if c not in ("id", "build_id") and not c.endswith("_typed")]
    assert told[1 : 1 + len(columns)] == columns
