"""Every command: help with an example that works, JSON from every command that reads, one line for wrong usage."""

import json
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
import typer

from journal import cli
from tests.conftest import dump


def _tree():
    """Every command with its path, such as ``part add``."""
    root = typer.main.get_command(cli.build())
    for name, command in root.commands.items():
        if hasattr(command, "commands"):
            yield from ((f"{name} {inner}", one) for inner, one in command.commands.items())
        else:
            yield name, command


COMMANDS = dict(_tree())
EXAMPLES = {name: re.search(r"Example: (galebook .+)", command.help or "") for name, command in COMMANDS.items()}
#: Commands that only look; each is run as its own example has it, but for these.
ELSE = {"buy": ["r2"], "logger": [], "look": ["F1"], "sheet": ["r2"], "years": ["r2", "--years", "1"]}
#: Give JSON of what they took in; they have tests of their own.
TAKING_IN = {"import", "table"}
#: Draws into files, or tells of what nobody measured on that journal; both have tests of their own.
APART = {"draw", "blade"}
READING = {
    name: ELSE[name] if name in ELSE else shlex.split(EXAMPLES[name][1])[1 + len(name.split()) :]
    for name, command in COMMANDS.items()
    if EXAMPLES[name] and any("--json" in p.opts for p in command.params) and name not in TAKING_IN | APART
}


def strict(text):
    """JSON as the standard has it."""

    def refuse(word):
        raise ValueError(word)

    return json.loads(text, parse_constant=refuse)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_with_an_example(name, run):
    """A sentence, and a line to imitate that begins with the command itself."""
    result = run(*name.split(), "--help")
    assert result.code == 0
    assert EXAMPLES[name], name
    words = shlex.split(EXAMPLES[name][1])
    assert words[1 : 1 + len(name.split())] == name.split()
    assert f"Example: galebook {name}" in " ".join(result.out.split())


@pytest.mark.parametrize("name", COMMANDS)
def test_every_example_is_understood(name):
    """Its options and arguments are those of the command."""
    words = shlex.split(EXAMPLES[name][1])[1 + len(name.split()) :]
    COMMANDS[name].make_context(name, words)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_option_is_explained(name):
    """No argument or option without a word of help."""
    unexplained = [p.name for p in COMMANDS[name].params if not getattr(p, "help", None)]
    assert unexplained == []


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_stands_in_the_readme_or_the_guide(name):
    """What is not written down is not found."""
    root = Path(cli.__file__).parents[2]
    written = "".join(
        f.read_text(encoding="utf-8") for f in (root / "README.md", *root.glob("docs/*.md")) if f.exists()
    )
    assert f"galebook {name}" in written or f"`{name}" in written


@pytest.mark.parametrize("name", READING)
def test_every_reading_command_gives_json_and_changes_nothing(name, story, run):
    """Valid JSON of something, nothing else on stdout, nothing on stderr; no colour without it."""
    before = dump(story)
    result = run(*name.split(), *READING[name], "--json")
    assert strict(result.out)
    assert (result.code in (0, 3), result.err) == (True, "")
    if name == "ask":
        # Without JSON it asks, and nobody is there.
        return
    plain = run(*name.split(), *READING[name])
    assert plain.out.strip()
    assert "\x1b" not in plain.out
    assert max(map(len, plain.out.split("\n"))) <= 100
    assert dump(story) == before


RECORDS = ["r1", "r2", "P1", "P7", "C1", "A3", "A5", "M1", "M2", "F1", "F3", "D1", "D5", "X1", "G1"]


@pytest.mark.parametrize("ref", RECORDS)
def test_every_kind_of_record_can_be_shown(story, run, ref):
    """For people and as JSON, with its reference."""
    assert run("show", ref).out.startswith(ref)
    assert strict(run("show", ref, "--json").out)["ref"] == ref
    assert "None" not in run("show", ref).out


@pytest.mark.parametrize(
    "kind", ["revisions", "parts", "claims", "attempts", "measurements", "failures", "decisions", "files", "loggers"]
)
def test_every_kind_of_record_can_be_listed(story, path, run, kind):
    """In the demo there are some; in a fresh journal, it says that there are none."""
    assert strict(run("list", kind, "--json").out)
    empty = run("--journal", str(path), "list", kind)
    assert (empty.code, empty.out.strip()) == (0, f"No {kind} yet.") if kind != "revisions" else (0, empty.out.strip())


@pytest.mark.parametrize(
    "name",
    [
        "start",
        "set",
        "attempt",
        "measure",
        "claim",
        "fail",
        "decide",
        "part add",
        "choose D1",
        "option D1",
        "cause F1",
        "writeup",
    ],
)
def test_a_bare_command_without_a_terminal_asks_nothing(path, run, name):
    """Nobody is there to answer: one line that says what is missing and how to give it."""
    before = dump(path)
    result = run(*name.split())
    assert (result.code, result.out, result.err.count("\n")) == (2, "", 1)
    assert "is missing" in result.err
    assert dump(path) == before


def test_options_for_all_commands_stand_anywhere(story, run):
    """Before or after the command."""
    first = run("--journal", str(story), "--build", "Shed wind generator", "list", "failures").out
    assert first == run("list", "failures", f"--journal={story}", "--build=shed wind generator").out
    assert run("list", "failures", "--build", "nothing").code == 1


def test_after_a_double_dash_everything_is_text(path, run):
    """Even what looks like an option."""
    assert run("attempt", "--", "--journal").code == 0
    assert strict(run("list", "attempts", "--json").out)[0]["did"] == "--journal"


def test_only_the_reference_goes_to_stdout(path, run):
    """So that a script can take it."""
    result = run("attempt", "raised it", "--outcome", "worked")
    assert (result.code, result.out) == (0, "A1\n")
    assert "Logged A1 on r1" in result.err


def test_bare_galebook_shows_the_help(run):
    """And says by its exit code that nothing was asked."""
    result = run()
    assert result.code == 2
    assert "Usage: galebook" in result.out + result.err


def test_the_version_is_that_of_the_package(run):
    """One line."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        expected = version("galebook")
    except PackageNotFoundError:
        pytest.skip("galebook is not installed here")
    assert run("--version").out == f"{expected}\n"


def _process(*args, **more):
    return subprocess.run([sys.executable, "-m", "journal", *args], capture_output=True, text=True, **more)


def test_the_process_gives_the_exit_code(story):
    """3 from a check that fails, 2 from wrong usage."""
    assert _process("check", "r1").returncode == 3
    wrong = _process("chekc")
    assert (wrong.returncode, wrong.stdout, wrong.stderr.count("\n")) == (2, "", 1)


def test_a_closed_pipe_is_no_error(story):
    """``galebook history | head -1`` ends without complaint."""
    line = f"{shlex.quote(sys.executable)} -m journal history | head -1"
    done = subprocess.run(["sh", "-c", line], capture_output=True, text=True)
    assert (done.stdout.count("\n"), done.stderr) == (1, "")


def test_text_is_written_where_only_ascii_is_known(story):
    """A terminal without the signs shows others in their place, or none, but no traceback."""
    import os

    done = _process("check", "r1", env={**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"})
    assert "Traceback" not in done.stderr
    assert done.returncode == 3


@pytest.mark.parametrize("env", [{"PYTHONIOENCODING": "ascii"}, {"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0"}], ids=str)
def test_what_is_typed_in_other_letters_is_read_where_only_ascii_is_known(path, env):
    """A quote mark or an ohm sign gives no traceback, and is kept as it was typed."""
    import os

    few = {**os.environ, "PYTHONUTF8": "0", **env}
    calls = (
        ["set", "generator.winding_resistance", "0,42 Ω", "--note", "“by the bridge”"],
        ["set", "storage.place", "shed’s"],
        ["measure", "≈ 12 V", "battery.voltage", "--where", "at the “plus”"],
        ["claim", "400 W", "--by", "söller’s"],
        ["sheet"], ["show", "M1"], ["list", "claims"], ["history"], ["search", "söller"], ["names", "Ω"],
    )  # fmt: skip
    for call in calls:
        done = _process(*call, env=few)
        assert "Traceback" not in done.stderr, done.stderr
        assert done.returncode == (2 if "storage.place" in call else 0), done.stderr
    shown = _process("show", "M1", "--json", env={**os.environ, "PYTHONIOENCODING": "utf-8"}).stdout
    assert "≈ 12 V" in shown


def test_a_sheet_is_read_from_stdin(path):
    """As any tool does it."""
    done = _process("sheet", "--file", "-", input='[rotor]\ndiameter = "2.2 m"\n')
    assert (done.returncode, done.stderr) == (0, "Set 1 value on r1.\n")


def test_two_revisions_show_their_values(story, run):
    """Long names of values leave room for the values, and what only one states is told apart."""
    lines = run("compare", "r1", "r2", "--all").out.split("\n")
    assert any(re.search(r"^Diameter, tip to tip +1\.3 m +2\.2 m", line) for line in lines)
    assert any(line.startswith("Stated for r2 only") for line in lines)
    assert any(re.search(r"^Energy in a year +fail, .* kWh +ok, .* kWh +better", line) for line in lines)
