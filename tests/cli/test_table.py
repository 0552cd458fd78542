"""The command for whole tables: what it shows, asks, keeps, logs and refuses."""

import io
import json
import shlex
import sys

import pytest

from tests.conftest import dump, rows
from tests.talking import GALEBOOK, INTERRUPT, talk

NOTEBOOK = """date; wind km/h; battery volts; amps; note
2026-01-12; 18; 12,1; 0,3; gusty
2026-01-13; 25; 12,4; 1,2;
2026-01-14; 31; meter flat; -;
"""


@pytest.fixture
def given(monkeypatch):
    """Give a text on standard input."""

    def give(text):
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text.encode()), encoding="utf-8"))

    return give


@pytest.fixture
def notebook(path, tmp_path):
    """A file with the notebook's page."""
    file = tmp_path / "notebook.csv"
    file.write_text(NOTEBOOK)
    return str(file)


def test_to_try_writes_nothing(run, notebook, path):
    """It shows how the table is taken, the first records and the counts."""
    before = dump(path)
    done = run("table", notebook, "--try")
    assert done.code == 0
    for words in ("battery volts", "battery.voltage", "Would be logged: 5 readings", "line 4: meter flat", "12.1 V",
                  "Decimals have a comma", "separated by semicolons"):  # fmt: skip
        assert words in done.out
    assert "Nothing was logged." in done.err
    assert dump(path) == before
    assert not list(path.parent.glob("*.kept/t*"))


def test_twenty_readings_in_one_command(run, given, path):
    """From a paste, as a here-document gives it."""
    given("rpm,open voltage (V)\n" + "".join(f"{n}00,{n * 1.6:.1f}\n" for n in range(1, 11)))
    done = run("table", "-")
    assert (done.code, "Logged: 20 readings: M1 to M20." in done.out) == (0, True)
    assert "M20" in run("show", "M20").out
    assert "it stood in a pasted table" in run("history").out


def test_json_tells_what_would_be_and_what_was_logged(run, notebook):
    """The same but for the references; values in SI beside what was typed."""
    tried, done = (json.loads(run("table", notebook, "--json", *more).out) for more in (["--try"], []))
    assert (tried["written"], tried["logged"]) == (False, [])
    assert (done["written"], done["logged"]) == (True, ["M1", "M2", "M3", "M4", "M5"])
    same = tried.keys() - {"written", "logged"}
    assert {k: tried[k] for k in same} == {k: done[k] for k in same}
    assert [c["target"] for c in done["columns"]] == [
        "taken",
        "wind",
        "battery.voltage",
        "charge.current",
        "private_note",
    ]
    first = done["records"][0]
    assert (first["line"], first["value"], first["si"]["value"]) == (2, "12.1 V", 12.1)
    assert done["records"][4]["missing"] == "meter flat"


def test_bad_lines_are_named_and_nothing_is_logged(run, given, path):
    """Twenty of them, and how many more there are; what was pasted is kept, and goes in once it is mended."""
    given("rpm,battery volts\n" + "3x9,12\n" * 25)
    before = dump(path)
    done = run("table", "-", "--attempt", "A9")
    assert done.code == 1
    done = None
    given("rpm,battery volts\n" + "3x9,12\n" * 25 + "300,12\n")
    done = run("table", "-", "--conditions", "dry")
    assert done.code == 2
    assert dump(path) == before
    assert done.err.count("column 'rpm'") == 20
    assert "... and 5 more." in done.err
    assert "25 cells of pasted table cannot be used" in done.err
    line = next(line for line in done.err.splitlines() if "go on with:" in line)
    words = shlex.split(line.partition("go on with: ")[2])
    assert words[3:] == ["--conditions", "dry"]
    with open(words[2], encoding="utf-8") as kept:
        mended = kept.read().replace("3x9", "300")
    with open(words[2], "w", encoding="utf-8") as kept:
        kept.write(mended)
    assert run(*words[1:]).code == 0
    assert not list(path.parent.glob("*.kept/texts/table-2.csv"))


def test_json_names_bad_lines_too(run, given, path):
    """For scripts, with line and column; the exit code says it as well."""
    given("rpm\n3x9\n")
    done = run("table", "-", "--json", "--try")
    (bad,) = json.loads(done.out)["bad"]
    assert (done.code, bad["line"], bad["column"]) == (2, 2, "rpm")


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (["nowhere.csv"], 1, "There is no file nowhere.csv"),
        (["notebook.csv", "--as", "poems"], 2, "no kind of table"),
        (["notebook.csv", "--decimal", "dash"], 2, "Accepted: comma, point"),
        (["notebook.csv", "--days", "year-first"], 2, "day-first"),
        (["notebook.csv", "--map", "volts"], 2, "does not say what a column is"),
        (["notebook.csv", "--when", "tomorrow week at odds"], 2, "is not a date"),
        (["notebook.csv", "--wind", "kitten"], 2, "Wind"),
        (["notebook.csv", "--set"], 1, "tells no constant to rely on"),
        (["."], 2, "cannot be read"),
    ],
)
def test_what_cannot_be_used_is_one_line(run, notebook, path, monkeypatch, words, code, told):
    """And leaves the journal as it was."""
    monkeypatch.chdir(path.parent)
    before = dump(path)
    done = run("table", *words)
    assert (done.code, told in done.err, dump(path) == before) == (code, True, True)
    assert len(done.err.strip().splitlines()) == 1


def test_what_is_said_of_columns_is_remembered(run, given, path):
    """The next table with the same header needs no word; --map has the last one."""
    text = "Spannung,U/min\n12.1,300\n"
    given(text)
    assert run("table", "-").code == 2
    given(text)
    assert run("table", "-", "--map", "Spannung=battery.voltage V").code == 0
    given(text)
    assert "as you said of such a table before" in run("table", "-", "--try").out
    given(text)
    done = run("table", "-", "--map", "Spannung=generator.open_voltage V", "--try")
    assert "generator.open_voltage" in done.out
    assert "battery.voltage" not in done.out


def test_known_readings_are_left_out_when_wanted(run, notebook):
    """A table that grew is given again."""
    run("table", notebook)
    assert "line 2 as M1" in run("table", notebook, "--try").out
    with open(notebook, "a", encoding="utf-8") as file:
        file.write("2026-01-15; 12; 12,6; 2,0;\n")
    done = run("table", notebook, "--skip-known")
    assert "Logged: 2 readings: M6 to M7" in done.out
    assert "Left out, because the journal has them: 5." in done.out


def test_a_spin_test_goes_on_the_sheet(run, given, path):
    """With its doubt, in the same transaction; a frozen revision wants its reason."""
    spun = "rpm,volts\n300,3.9\n600,8.7\n900,13.6\n1200,18.4\n"
    given(spun)
    assert 'galebook set generator.emf_constant "61.98 rpm/V' in run("table", "-", "--load", "nothing", "--try").out
    given(spun)
    done = run("table", "-", "--load", "nothing", "--set")
    assert "On the sheet: r1 generator.emf_constant = 61.98 rpm/V" in done.out
    assert rows(path, "SELECT path, provenance FROM sheetvalue") == [("generator.emf_constant", "measured")]
    run("attempt", "spun it")
    other = spun.replace("18.4", "18.5")
    given(other)
    done = run("table", "-", "--load", "nothing", "--set")
    assert (done.code, "frozen" in done.err) == (1, True)
    assert "M9" not in run("list", "measurements").out
    given(other)
    assert run("table", "-", "--load", "nothing", "--set", "--correct", "read anew").code == 0


def test_parts_come_later_on_a_built_revision(run, given, path):
    """As one part does."""
    run("attempt", "ran")
    given("part,role\nmast,mast\n")
    assert "Logged: 1 part: P1." in run("table", "-").out
    assert "mast" in run("part", "list").out


def test_a_paste_at_a_terminal_ends_with_an_empty_line(path):
    """It shows what it would log and asks; a column that can be two things is asked about."""
    shown, code = talk([*GALEBOOK, "table"], "rpm,volts\n300,12.1\n", "battery.voltage", "y")
    assert (code, "Logged: 2 readings: M1 to M2." in shown) == (0, True)


def test_a_paste_that_is_refused_or_stopped_is_kept(path):
    """No at the question, and Ctrl-C in it."""
    for last in ("n", INTERRUPT):
        shown, _ = talk([*GALEBOOK, "table"], "rpm\n300\n", last)
        assert "What you pasted is kept" in shown
    kept = sorted(path.parent.glob("*.kept/texts/table*.csv"))
    assert [file.read_text() for file in kept] == ["rpm\n300\n"] * 2
