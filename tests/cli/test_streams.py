"""Every command with each of its streams closed, full, or with nobody at the other end: success is success."""

import subprocess
import sys

import pytest

from tests.conftest import rows

#: What is done to the streams, as a shell writes it; ``true`` reads nothing and is gone at once.
BROKEN = ("<&-", ">&-", "2>&-", "<&- >&- 2>&-", ">/dev/full", "2>/dev/full", ">/dev/full 2>/dev/full", "| sleep 0")
#: Those in which what is written to stdout does not come through.
UNWRITTEN = (">&-", "<&- >&- 2>&-", ">/dev/full", ">/dev/full 2>/dev/full", "| sleep 0")


def shell(command, redirected):
    """Run a command with its streams as told; its exit code and what came out on stderr."""
    # A reader that has surely gone when the command writes.
    line = f"{command} {redirected}" if "|" not in redirected else f"(sleep 0.4; {command}) | true"
    done = subprocess.run(
        ["bash", "-o", "pipefail", "-c", line], stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=60
    )
    assert "Traceback" not in done.stderr, done.stderr
    assert "Exception ignored" not in done.stderr, done.stderr
    return done.returncode, done.stderr


@pytest.fixture
def galebook(path):
    """The command as a shell calls it."""
    return f"{sys.executable} -m journal"


@pytest.mark.parametrize("redirected", BROKEN)
def test_what_is_saved_ends_well(path, galebook, redirected):
    """Code 0, once in the journal: or a script would log it twice."""
    code, _ = shell(f'{galebook} measure "12.1 V" battery.voltage --load battery', redirected)
    assert code == 0
    assert rows(path, "SELECT typed, load_state FROM measurement") == [("12.1 V", "battery")]


@pytest.mark.parametrize("redirected", ["<&- >&- 2>&-", ">/dev/full 2>/dev/full"])
def test_what_is_not_saved_ends_ill(path, galebook, redirected):
    """With the code that it has anyway: 2 for a value that cannot be used."""
    assert shell(f'{galebook} measure "12.1 kg" battery.voltage', redirected)[0] == 2
    assert rows(path, "SELECT count(*) FROM measurement") == [(0,)]


@pytest.mark.parametrize(
    ("command", "redirected"),
    [*(("builds --json", r) for r in BROKEN), ("builds", "| sleep 0"), ("sheet --toml", ">&-"), ("set --help", ">&-"),
     ("--version", ">&-")],
)  # fmt: skip
def test_what_could_not_be_shown_ends_ill(galebook, command, redirected):
    """Code 1 where the output of a reading command was lost; 0 where only what nobody reads was."""
    assert shell(f"{galebook} {command}", redirected)[0] == (1 if redirected in UNWRITTEN else 0)


def test_a_sheet_from_a_closed_input_is_refused(path, galebook):
    """One line, and nothing changed."""
    code, said = shell(f"{galebook} sheet --file -", "<&-")
    assert (code, said.count("\n"), "cannot be read" in said) == (2, 1, True)


@pytest.mark.parametrize(("command", "redirected"), [("attempt", "<&-"), ("part add", "2>&-")])
def test_nobody_is_asked_through_a_closed_stream(galebook, command, redirected):
    """It is refused as where no terminal is."""
    assert shell(f"{galebook} {command}", redirected)[0] == 2


def test_letters_that_a_screen_cannot_show_end_nothing(path, galebook):
    """Where it takes nothing but ASCII."""
    assert shell(f"{galebook} attempt 'Fl\u00fcgel gewuchtet'", "")[0] == 0
    assert shell(f"PYTHONIOENCODING=ascii {galebook} show A1", "")[0] == 0
