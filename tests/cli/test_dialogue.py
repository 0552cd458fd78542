"""Commands run bare at a terminal ask for what they need; the sheet is edited as text."""

import os
import pty
import select
import stat
import subprocess
import sys
import time

import pytest
import typer

from journal.book import attempts, records, sheet, store
from tests.conftest import dump, rows


def test_attempt_asks_for_everything_and_then_for_readings_and_failures(path, run, answers):
    """One record of each kind, each with what was answered."""
    asked = answers(
        "ran it", "run", "2026-05-02", "it hummed", "Bft 4", "battery", "worked",
        "y", "battery.voltage", "12.1 V", "n",
        "y", "a bolt fell off", "near miss", "vibration", "60%", "it was loose", "n",
    )  # fmt: skip
    result = run("attempt")
    assert (result.code, result.out) == (0, "A1\nM1\nF1\n")
    assert rows(path, "SELECT did, kind, began, saw, wind, load_state, outcome FROM attempt") == [
        ("ran it", "run", "2026-05-02", "it hummed", "Bft 4", "battery", "worked")
    ]
    assert rows(path, "SELECT quantity, typed, attempt_id, load_state FROM measurement") == [
        ("battery.voltage", "12.1 V", 1, "battery")
    ]
    assert rows(path, "SELECT saw, harm, attempt_id, happened FROM failure") == [
        ("a bolt fell off", "near miss", 1, "2026-05-02")
    ]
    assert rows(path, "SELECT what, sure, because FROM cause") == [("vibration", 0.6, "it was loose")]
    assert len(asked) == 18


def test_a_wrong_answer_is_told_and_asked_again(path, run, answers):
    """Empty where something is needed, a wrong word, a wrong unit, a wrong date."""
    asked = answers("", "ran it", "party", "run", "soon", "today", "", "Bft 99", "Bft 4", "", "worked", "n", "n")
    result = run("attempt")
    assert result.code == 0
    assert [result.err.count(w) for w in ("Something is needed", "bench test; raising", "not a date", "Beaufort")] == [
        1, 1, 1, 1,
    ]  # fmt: skip
    assert rows(path, "SELECT kind, wind, load_state FROM attempt") == [("run", "Bft 4", None)]
    assert len(asked) == 13


@pytest.mark.parametrize(
    ("command", "given", "query", "row"),
    [
        (["measure"], ["stop.time", "4 s", ""], "SELECT quantity, typed FROM measurement", ("stop.time", "4 s")),
        (["measure", "320 rpm"], ["speed of light", "rotor.speed", ""], "SELECT typed FROM measurement", ("320 rpm",)),
        (["fail"], ["it stopped", "", ""], "SELECT saw, harm FROM failure", ("it stopped", "not said")),
        (["decide"], ["Which voltage?"], "SELECT question FROM decision", ("Which voltage?",)),
        (["start"], ["Pump mill", ""], "SELECT name FROM build WHERE id = 2", ("Pump mill",)),
        (["claim"], ["400 W at 9 m/s", "the seller"], "SELECT power, who FROM claim", (400, "the seller")),
        (["part", "add"], ["hub motor", "salvaged", ""], "SELECT name, condition FROM part", ("hub motor", "salvaged")),
        (["set"], ["rotor.diametre", "rotor.diameter", "2 kg", "2.2 m", "measured"],
         "SELECT number, provenance FROM sheetvalue", (2.2, "measured")),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else "",
)  # fmt: skip
def test_a_bare_command_asks_for_what_it_needs(path, run, answers, command, given, query, row):
    """And takes what was given on the line as answered."""
    asked = answers(*given)
    assert run(*command).code == 0
    assert rows(path, query) == [row]
    assert len(asked) == len(given)


@pytest.mark.parametrize(("stopped", "code"), [(typer.Abort, 1), (KeyboardInterrupt, 130)])
def test_stopping_in_the_middle_saves_nothing(path, run, answers, monkeypatch, stopped, code):
    """Ctrl-C at a question, which Typer turns into Abort, and anywhere else; no traceback."""
    from journal.cli import common as shared

    answers()
    before = dump(path)

    def stop(*_, **__):
        raise stopped

    monkeypatch.setattr(shared.typer, "prompt", stop)
    result = run("attempt")
    assert (result.code, result.err.strip() in ("", "galebook: stopped; nothing was saved.")) == (code, True)
    assert dump(path) == before


def _talk(command, *given):
    """Run a command at a terminal of its own and answer each question; what was shown, and the exit code."""
    here, there = pty.openpty()
    shown, waiting = b"", list(given)
    with subprocess.Popen(command, stdin=there, stdout=there, stderr=there, close_fds=True) as process:
        os.close(there)
        deadline = time.monotonic() + 30
        seen = 0
        while time.monotonic() < deadline:
            if select.select([here], [], [], 0.3)[0]:
                try:
                    piece = os.read(here, 4096)
                except OSError:
                    break
                if not piece:
                    break
                shown += piece
            elif process.poll() is not None:
                break
            if waiting and shown[seen:].rstrip(b" ").endswith(b":"):
                seen = len(shown)
                os.write(here, waiting.pop(0).encode() + b"\n")
        process.wait(timeout=5)
    os.close(here)
    return shown.decode(), process.returncode


def test_the_dialogue_at_a_real_terminal(path):
    """Through a pseudo-terminal: asked, told of a mistake, asked again, saved."""
    command = [sys.executable, "-m", "journal", "measure"]
    shown, code = _talk(command, "battery.volts", "battery.voltage", "12.1 A", "12.1 V", "battery")
    assert code == 0, shown
    assert "Did you mean battery.voltage" in shown
    assert "wrong kind of unit" in shown
    assert rows(path, "SELECT typed, load_state FROM measurement") == [("12.1 V", "battery")]


# The sheet in an editor


@pytest.fixture
def editor(tmp_path, monkeypatch, path):
    """An editor that runs some Python on the text; a sheet to edit; a folder to be in."""
    with store.journal(path, write=True) as s:
        sheet.set_values(
            s,
            records.find_revision(s),
            {
                "rotor.diameter": {"typed": "2.2 m", "provenance": "measured", "note": "tip to tip"},
                "rotor.blades": {"typed": "3"},
            },
        )
    here = tmp_path / "here"
    here.mkdir()
    monkeypatch.chdir(here)
    monkeypatch.delenv("VISUAL", raising=False)

    def install(code):
        script = tmp_path / "editor"
        script.write_text(
            f"#!{sys.executable}\nimport sys, pathlib\np = pathlib.Path(sys.argv[1])\nt = p.read_text()\n{code}\n"
        )
        script.chmod(script.stat().st_mode | stat.S_IXUSR)
        monkeypatch.setenv("EDITOR", str(script))
        return here

    return install


def values(path):
    """What is on the sheet."""
    return rows(path, "SELECT path, typed, provenance, note FROM sheetvalue ORDER BY path")


def test_a_value_is_changed_in_the_editor(path, run, editor):
    """And nothing else is touched."""
    editor("p.write_text(t.replace('2.2 m\"', '2.4 m\"', 1))")
    result = run("sheet", "--edit")
    assert (result.code, result.err) == (0, "Set 1 values on r1.\n")
    assert values(path) == [
        ("rotor.blades", "3", "estimate", None), ("rotor.diameter", "2.4 m", "measured", "tip to tip"),
    ]  # fmt: skip


def test_a_line_deleted_in_the_editor_is_taken_off(path, run, editor):
    """The history keeps it."""
    editor("p.write_text('\\n'.join(l for l in t.split('\\n') if not l.startswith('blades')))")
    assert "took 1 off" in run("sheet", "--edit").err
    assert [v[0] for v in values(path)] == ["rotor.diameter"]


@pytest.mark.parametrize("code", ["", "p.write_text('')", "p.write_text(' \\n')"], ids=["untouched", "empty", "blank"])
def test_an_editor_left_without_a_text_changes_nothing(path, run, editor, code):
    """An emptied file means that nothing was meant."""
    before = dump(path)
    editor(code or "pass")
    assert (run("sheet", "--edit").code, dump(path)) == (0, before)


def test_a_comment_of_ones_own_stays_in_the_sheet(run, editor):
    """It is kept with the revision, and told in the history; doing nothing then changes nothing."""
    editor("p.write_text(t.replace('blades =', '# two are cracked\\nblades ='))")
    result = run("sheet", "--edit")
    assert (result.code, result.err) == (0, "The values of r1 stay as they were; what you wrote around them is kept.\n")
    assert "# two are cracked\nblades" in run("sheet", "--toml").out
    assert "text of the sheet" in run("history", "r1").out
    editor("p.write_text(t.replace('# two are cracked', '# three are cracked'))")
    assert run("sheet", "--edit").code == 0
    assert "cracked" not in run("history", "r1").out
    editor("p.write_text(t + '')")
    assert run("sheet", "--edit").err == "Nothing changed.\n"


def test_the_comments_of_a_file_come_with_it(tmp_path, run, editor):
    """A sheet read from a file is edited as it was written."""
    editor("pass")
    (tmp_path / "my.toml").write_text('# from the notebook\n\n[rotor]\nblades = "3"\ndiameter = "2.4 m"  # new tips\n')
    assert run("sheet", "r1", "--file", str(tmp_path / "my.toml")).err == "Set 2 values on r1.\n"
    shown = run("sheet", "r1", "--toml").out
    assert "# from the notebook\n" in shown
    assert shown.index("blades = ") < shown.index('diameter = "2.4 m"  # new tips')


NONSENSE = [
    ("p.write_text(t.replace('2.2 m\"', '2.2 kg\"', 1))", 2, "wrong kind of unit"),
    ("p.write_text('[rotor')", 2, "not valid TOML"),
    ("p.write_text(t + '[rotor]')", 2, "not valid TOML"),
]


@pytest.mark.parametrize(("code", "exit_code", "words"), NONSENSE, ids=[n[2] for n in NONSENSE])
def test_nonsense_is_told_and_the_text_is_kept(path, run, editor, code, exit_code, words):
    """What was typed is not lost, nothing is saved, and the kept text can be mended and read."""
    here = editor(code)
    before = dump(path)
    result = run("sheet", "--edit")
    assert (result.code, dump(path)) == (exit_code, before)
    assert words in result.err
    kept = here / "galebook-r1-sheet.toml"
    assert f"--file {kept.name}" in result.err
    assert kept.read_text()
    run("sheet", "--edit")
    assert len(list(here.iterdir())) == 2


def test_a_text_is_kept_when_the_journal_refuses_it(path, run, editor, monkeypatch):
    """Somebody logged the first attempt while the editor was open."""
    here = editor("p.write_text(t.replace('2.2 m\"', '2.4 m\"', 1))")
    from journal.cli import sheet as command

    edit = command.edited

    def meanwhile(text, name):
        with store.journal(path, write=True) as s:
            attempts.log_attempt(s, attempts.AttemptTyped("raised it"))
        return edit(text, name)

    monkeypatch.setattr(command, "edited", meanwhile)
    result = run("sheet", "--edit")
    assert result.code == 1
    assert "is frozen" in result.err
    assert "2.4 m" in (here / "galebook-r1-sheet.toml").read_text()


def test_a_frozen_sheet_is_refused_before_the_editor_opens(path, run, editor):
    """Nobody types for half an hour in vain."""
    here = editor("raise SystemExit('opened')")
    with store.journal(path, write=True) as s:
        attempts.log_attempt(s, attempts.AttemptTyped("raised it"))
    result = run("sheet", "--edit")
    assert (result.code, "is frozen" in result.err, list(here.iterdir())) == (1, True, [])


@pytest.mark.parametrize("broken", ["/nowhere/editor", "false", '"unbalanced', "sh -c 'printf \"\\377\" > $0'"])
def test_an_editor_that_cannot_be_used_is_told(path, run, editor, monkeypatch, broken):
    """Not there, failing, wrongly quoted, or leaving bytes that are no text."""
    editor("pass")
    monkeypatch.setenv("EDITOR", broken)
    before = dump(path)
    result = run("sheet", "--edit")
    assert (result.code, result.err.count("\n"), dump(path)) == (2, 1, before)
    assert "could not be used" in result.err
