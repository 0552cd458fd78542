"""Commands run bare at a terminal ask for what they need; the sheet is edited as text."""

import signal
import stat
import sys

import pytest
import typer

from journal.book import attempts, records, sheet, store
from tests.conftest import dump, rows
from tests.talking import GALEBOOK, INTERRUPT, talk


def test_attempt_asks_for_everything_and_then_for_readings_and_failures(path, run, answers):
    """One record of each kind, each with what was answered."""
    asked = answers(
        "ran it", "run", "2026-05-02", "it hummed", "Bft 4", "battery", "worked",
        "battery.voltage 12.1 V", "",
        "y", "a bolt fell off", "", "near miss", "stopped it", "vibration", "60%", "it was loose", "n", "",
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
    assert rows(path, "SELECT contained FROM failure") == [("stopped it",)]
    assert len(asked) == 19


def test_a_wrong_answer_is_told_and_asked_again(path, run, answers):
    """Empty where something is needed, a wrong word, a wrong unit, a wrong date."""
    asked = answers("", "ran it", "party", "run", "soon", "today", "", "Bft 99", "Bft 4", "", "worked", "", "n", "")
    result = run("attempt")
    assert result.code == 0
    said = " ".join(result.err.split())
    assert [said.count(w) for w in ("Something is needed", "bench test; raising", "not a date", "Beaufort")] == [
        1, 1, 1, 1,
    ]  # fmt: skip
    assert rows(path, "SELECT kind, wind, load_state FROM attempt") == [("run", "Bft 4", None)]
    assert len(asked) == 14


@pytest.mark.parametrize(
    ("command", "given", "query", "row"),
    [
        (["measure"], ["", "", "", "", "4 s stop.time", ""],
         "SELECT quantity, typed FROM measurement", ("stop.time", "4 s")),
        (["measure", "320 rpm"], ["speed of light", "rotor.speed", ""], "SELECT typed FROM measurement", ("320 rpm",)),
        (["fail"], ["it stopped", "", "", "", ""], "SELECT saw, harm FROM failure", ("it stopped", "not said")),
        (["decide"], ["Which voltage?", ""], "SELECT question FROM decision", ("Which voltage?",)),
        (["start", "Pump mill"], [""], "SELECT name FROM build WHERE id = 2", ("Pump mill",)),
        (["claim"], ["400 W at 9 m/s", "the seller"], "SELECT power, who FROM claim", (400, "the seller")),
        (["part", "add"], ["hub motor", "generator", "salvaged", ""],
         "SELECT name, condition FROM part", ("hub motor", "salvaged")),
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


def test_the_dialogue_at_a_real_terminal(path):
    """Through a pseudo-terminal: asked, told of a mistake, asked again, saved."""
    given = "", "", "battery", "", "12 V battery.volts", "12.1 A battery.voltage", "12.1 V voltage", ""
    shown, code = talk([*GALEBOOK, "measure"], *given)
    assert code == 0, shown
    assert "Did you mean battery.voltage" in shown
    assert "wrong kind of unit" in " ".join(shown.split())
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
    assert (result.code, result.err) == (0, "Set 1 value on r1.\n")
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


@pytest.fixture
def texts(path):
    """The texts that are kept beside the journal."""
    folder = path.with_name("journal.db.kept") / "texts"
    return lambda: sorted(p.name for p in folder.glob("*")) if folder.exists() else []


#: What ends the program while the editor is open, and whether it can still say something.
ENDS = [(INTERRUPT, False), (signal.SIGTERM, True), (signal.SIGHUP, True), (signal.SIGKILL, False)]


@pytest.mark.parametrize(("end", "told"), ENDS, ids=["Ctrl-C", "SIGTERM", "SIGHUP", "SIGKILL"])
def test_what_is_typed_outlives_the_program(path, run, editor, texts, end, told):
    """The text lies beside the journal while it is edited. Ctrl-C is the editor's affair."""
    editor(
        "import signal, time\nsignal.signal(signal.SIGINT, lambda *_: p.write_text(t + '# interrupted\\n'))\n"
        "p.write_text(t + '# half a sentence\\n')\nprint('typing...', end='', flush=True)\ntime.sleep(1.5)"
    )
    shown, code = talk([*GALEBOOK, "sheet", "--edit"], end)
    if end == INTERRUPT:
        assert (code, texts()) == (0, []), shown
        assert "# interrupted" in run("sheet", "--toml").out
        return
    assert (code != 0, texts()) == (True, ["r1-sheet.toml", "r1-sheet.toml.begun"])
    assert ("Your text is kept in" in shown) is told
    kept = path.parent / "journal.db.kept" / "texts" / "r1-sheet.toml"
    assert kept.read_text().endswith("# half a sentence\n")


#: What an editor can leave behind, the exit code, and words of what is told.
NONSENSE = [
    ("p.write_text(t.replace('2.2 m\"', '2.2 kg\"', 1))", 2, "wrong kind of unit"),
    ("p.write_text('[rotor')", 2, "not valid TOML"),
    ("p.write_text(t + '[rotor]')", 2, "not valid TOML: Cannot"),
    ("p.write_text('rotor.blades = ' + '[' * 9999)", 2, "too many brackets"),
    ("p.write_text('rotor.blades = ' + '9' * 9999)", 2, "4300 digits"),
    ("p.write_text('rotor.blades = 0x' + 'f' * 9999)", 2, "thousands of digits"),
    ("p.write_bytes(b'# Fl\\xfcgel')", 2, "line 1: not a text in UTF-8"),
    ("p.write_text('x'); raise SystemExit(3)", 2, "ended with an error (3)"),
]


@pytest.mark.parametrize(("code", "exit_code", "words"), NONSENSE, ids=[n[2] for n in NONSENSE])
def test_nonsense_is_told_and_the_text_is_kept(path, run, editor, texts, code, exit_code, words):
    """What was typed is not lost, nothing is saved, and the line that takes it in is told; a second one lies beside."""
    editor(code)
    before = dump(path)
    result = run("sheet", "--edit")
    assert (result.code, dump(path)) == (exit_code, before)
    assert words in result.err
    kept = path.parent / "journal.db.kept" / "texts" / "r1-sheet.toml"
    assert f"galebook sheet r1 --file {kept}\n" in result.err
    assert kept.read_bytes()
    run("sheet", "--edit")
    assert [name for name in texts() if name.endswith("toml")] == ["r1-sheet-2.toml", "r1-sheet.toml"]


def test_a_kept_text_goes_when_it_is_taken_over(path, run, editor, texts):
    """Mended and read, with the line that was told."""
    editor("p.write_text(t.replace('2.2 m\"', '2.4 kg\"', 1))")
    told = run("sheet", "--edit").err
    assert texts() == ["r1-sheet.toml", "r1-sheet.toml.begun"]
    kept = path.parent / "journal.db.kept" / "texts" / "r1-sheet.toml"
    kept.write_text(kept.read_text().replace("2.4 kg", "2.4 m"))
    line = told.splitlines()[0].partition("galebook ")[2]
    assert run(*line.split()).code == 0
    assert (values(path)[1][1], texts()) == ("2.4 m", [])


def test_a_kept_text_is_gone_on_with(path, run, editor, texts, answers):
    """At the next edit, at a terminal, from the sheet as it was when the text was begun: what was set since stays."""
    editor("p.write_text(t.replace('2.2 m\"', '2.4 kg\"', 1))")
    run("sheet", "--edit")
    run("set", "mast.height", "8 m")
    editor("p.write_text(t.replace('2.4 kg', '2.4 m', 1))")
    asked = answers("y")
    done = run("sheet", "--edit")
    assert done.code == 0
    assert [w in f"{done.err} {asked[0]}" for w in ("was not taken over", "Go on with it")] == [True, True]
    assert [v[:2] for v in values(path)] == [
        ("mast.height", "8 m"), ("rotor.blades", "3"), ("rotor.diameter", "2.4 m"),
    ]  # fmt: skip
    assert texts() == []


def test_an_edit_that_comes_to_nothing_leaves_nothing(run, editor, texts):
    """Untouched, or taken over, with what the editor left beside it."""
    for code in ("pass", "p.write_text(t.replace('2.2', '2.3', 1)); p.with_name(p.name + '~').write_text(t)"):
        editor(code)
        assert run("sheet", "--edit").code == 0
        assert texts() == []
    editor("raise SystemExit(1)")
    assert (run("sheet", "--edit").code, texts()) == (2, [])


def test_a_text_is_kept_when_the_journal_refuses_it(path, run, editor, monkeypatch, texts):
    """Somebody logged the first attempt while the editor was open."""
    editor("p.write_text(t.replace('2.2 m\"', '2.4 m\"', 1))")
    from journal.cli import editor as module

    edit = module._edit

    def meanwhile(file):
        with store.journal(path, write=True) as s:
            attempts.log_attempt(s, attempts.AttemptTyped("raised it"))
        edit(file)

    monkeypatch.setattr(module, "_edit", meanwhile)
    result = run("sheet", "--edit")
    assert result.code == 1
    assert "is frozen" in result.err
    assert texts() == ["r1-sheet.toml", "r1-sheet.toml.begun"]


def test_a_frozen_sheet_is_told_before_the_editor_opens_and_filled_up(path, run, editor, texts):
    """What was never stated can be added there, with a comment of one's own; what is stated is kept from it."""
    with store.journal(path, write=True) as s:
        attempts.log_attempt(s, attempts.AttemptTyped("raised it"))
    editor("p.write_text(t.replace('[mast]', '[mast]\\n# measured from the ground\\nheight = \"8 m\"', 1))")
    result = run("sheet", "--edit")
    assert (result.code, texts()) == (0, []), result.err
    assert "r1 is built: what was never stated can be added" in result.err
    assert "Set 1 value on r1" in result.err
    assert "# measured from the ground" in run("sheet", "--toml").out
    assert "Added after it was built: mast.height 2026-" in run("sheet").out
    editor("p.write_text(t.replace('8 m', '9 m'))")
    result = run("sheet", "--edit")
    assert (result.code, "mast.height is stated as 8 m" in result.err) == (1, True)


@pytest.mark.parametrize(
    ("broken", "said"),
    [("/nowhere/editor", "could not be used"), ("false", "ended with an error"), ('"unbalanced', "could not be used")],
)
def test_an_editor_that_cannot_be_used_is_told(path, run, editor, monkeypatch, texts, broken, said):
    """Not there, failing, wrongly quoted; a text that nobody touched is not kept."""
    editor("pass")
    monkeypatch.setenv("EDITOR", broken)
    before = dump(path)
    result = run("sheet", "--edit")
    assert (result.code, result.err.count("\n"), dump(path)) == (2, 1, before)
    assert said in result.err
    assert texts() == []


def test_an_editor_that_takes_its_file_away_keeps_nothing(path, run, editor, texts):
    """There is nothing to go on with, and it is not said that there is."""
    editor("p.unlink()")
    before = dump(path)
    result = run("sheet", "--edit")
    assert (result.code, dump(path), texts()) == (2, before, [])
    assert "left no text" in result.err
    assert "kept" not in result.err


def test_a_text_of_another_edit_is_told_of(run, editor, texts):
    """Of another revision; and one's own where nobody is there to be asked."""
    editor("p.write_text(t + 'nonsense')")
    run("sheet", "r1", "--edit")
    left = next(name for name in texts() if not name.endswith(".begun"))
    run("revise", "--because", "another try")
    editor("pass")
    assert left in run("sheet", "r2", "--edit").err
    assert f"texts/{left}" in run("sheet", "r1", "--edit").err
    assert left in texts()


@pytest.fixture
def full(tmp_path, run, editor):
    """A sheet of ten values, edited as a plain text."""
    names = [
        "rotor.tip_speed_ratio=6", "load.lamps.hours=6 h/day", "load.lamps.power=12 W", "mast.height=8 m",
        "mast.kind=guyed tilt-up", "site.mean_wind=4.6 m/s", "storage.voltage=24 V", "storage.capacity=100 Ah",
    ]  # fmt: skip
    for name, _, value in (n.partition("=") for n in names):
        done = run("set", name, value)
        assert done.code == 0, done.err

    def cut(count):
        editor(
            "import re\nlines = t.split('\\n')\n"
            "held = [l for l in lines if re.match('[a-z_]+ = ', l)]\n"
            f"p.write_text('\\n'.join(l for l in lines if l not in held[:{count}]))"
        )

    return cut


@pytest.mark.parametrize(("count", "code"), [(1, 0), (3, 0), (4, 1), (10, 1)])
def test_many_values_go_only_when_it_is_meant(path, run, full, texts, count, code):
    """Three of ten do; four, or what one mark too many would take with it, only with a flag; the text is kept."""
    full(count)
    result = run("sheet", "--edit")
    assert (result.code, len(values(path))) == (code, 10 if code else 10 - count), result.err
    if code:
        assert f"{count} of 10 values are not in your text any more" in result.err
        assert "--take-off" in result.err
        assert run("sheet", "--edit", "--take-off").err.endswith(f"Set 0 values on r1 and took {count} off.\n")
        assert len(values(path)) == 10 - count


@pytest.mark.parametrize(("answer", "left"), [("y", 5), ("n", 10)])
def test_a_person_is_asked_before_many_values_go(path, run, full, answers, answer, left):
    """At a terminal."""
    full(5)
    asked = answers(answer)
    assert (run("sheet", "--edit").code, len(values(path))) == (0 if answer == "y" else 1, left)
    assert "Take them off" in asked[-1]


def test_a_file_takes_values_off_only_where_it_is_told_to(tmp_path, path, run, full):
    """Else it sets what it names."""
    (tmp_path / "my.toml").write_text('[rotor]\nblades = "4"\n')
    assert run("sheet", "--file", str(tmp_path / "my.toml")).err == "Set 1 value on r1.\n"
    assert len(values(path)) == 10
    done = run("sheet", "--file", str(tmp_path / "my.toml"), "--take-off")
    assert (done.err, values(path)[0][1], len(values(path))) == ("Set 1 value on r1 and took 9 off.\n", "4", 1)
