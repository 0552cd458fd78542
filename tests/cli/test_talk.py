"""Conversations at real terminals: capable ones, narrow ones, dumb ones, and with a screen reader."""

import shutil

import prompt_toolkit  # noqa: F401 - loaded once, before the children that need it
import pytest

from journal.cli.talk import Question, chosen
from journal.errors import BadInput
from tests.conftest import rows
from tests.talking import END, INTERRUPT, LEFT, PLAIN, TAB, converse

#: The first values, each as a beginner may type it, with a raw reading among them.
VALUES = (
    "half 65 cm", "3", "300 rpm 3.9 V, 600 rpm 8.7 V", ".42 ohm, m", "1", "1", "12 V", "60 Ah", "2", "34 m", "2.5 mm2",
    "gable", "4.5 m", "4.6 m/s", "12 W", "6 h/day", "none", "none",
)  # fmt: skip
SHEET = "SELECT path, typed, provenance FROM sheetvalue ORDER BY id"


@pytest.fixture
def fresh(tmp_path, monkeypatch, clock):
    """No journal yet."""
    path = tmp_path / "new.db"
    monkeypatch.setenv("GALEBOOK_JOURNAL", str(path))
    return path


def keys(command, answers):
    """Keystrokes of a command and of answers, each with its Enter."""
    return len(command) + 1 + sum(len(a) + 1 for a in answers)


def test_the_first_useful_check_takes_few_keystrokes(fresh):
    """One command, a hundred and fifty keys beside the name and the purpose, and a screen that says what to do."""
    done = converse(["start"], "Shed wind generator", "light the shed", *VALUES)
    assert (done.code, done.left) == (0, ()), done.text
    assert keys("galebook start", ["", "", *VALUES]) <= 150
    for said in ("Charges from", "your mean at the rotor is", "It brings", "DO NOT LET IT TURN", "1 DANGER"):
        assert said in done.text
    values = {path: (typed, known) for path, typed, known in rows(fresh, SHEET)}
    assert len(values) == 18
    assert values["rotor.diameter"] == ("1.3 m", "measured")
    assert values["generator.emf_constant"] == ("62.5 rpm/V", "measured")
    assert values["generator.winding_resistance"] == (".42 ohm", "measured")
    assert values["mast.kind"] == ("on a roof or gable", "measured")
    assert values["site.mean_wind"] == ("4.6 m/s", "estimate")
    assert rows(fresh, "SELECT note FROM sheetvalue WHERE path = 'rotor.diameter'") == [("from half 65 cm",)]


def test_what_was_left_is_gone_on_with_where_one_was(fresh):
    """By the same command or by ask; what was left open is not asked again in the same conversation."""
    assert converse(["start"], "Shed", "", "1.3 m", "-", "62 rpm/V", INTERRUPT).code == 0
    done = converse(["start"], "", "0.42 ohm", "leave")
    assert (done.code, "Go on with 'Shed'" in done.text, "How many blades" in done.text) == (0, True, False)
    assert "Every answer is kept. Go on where you were with: galebook ask" in done.text
    done = converse(["ask"], "single", END)
    assert (done.code, "How is it wound?" in done.text) == (0, True)
    assert [path for path, *_ in rows(fresh, SHEET)] == [
        "rotor.diameter", "generator.emf_constant", "generator.winding_resistance", "generator.phases",
    ]  # fmt: skip
    assert rows(fresh, "SELECT count(*) FROM build") == [(1,)]


def test_one_can_go_back_in_the_conversation(fresh):
    """Over several questions and a chapter's end; the history keeps what stood there."""
    done = converse(["start"], "Shed", "", "1.3 m", "3", "back", "<", "1.4 m", "leave")
    assert done.code == 0, done.text
    assert rows(fresh, SHEET) == [("rotor.diameter", "1.4 m", "estimate"), ("rotor.blades", "3", "measured")]
    assert done.text.count("How many blades has it?") == 2


@pytest.mark.parametrize("env", PLAIN, ids=["dumb", "LC_ALL=C", "GALEBOOK_PLAIN"])
def test_plain_terminals_get_the_same_words_and_nothing_that_steers(fresh, env):
    """With a wrong answer, help, a step back, and the check's screen through the end of the conversation."""
    given = ("Shed", "", "1.3 kg", "?", "1.3 m", "back", "1.4 m", "3", *["-"] * 16)
    done = converse(["start"], *given, env=env)
    assert (done.code, done.left) == (0, ()), done.text
    assert "\x1b" not in done.raw
    assert "wrong kind of unit" in done.text
    assert "Measure from the shaft's middle" in done.text
    assert "NOT KNOWN, AND IT CAN KILL" in done.text
    assert rows(fresh, SHEET)[0][1] == "1.4 m"


@pytest.mark.parametrize("env", [{"TERM": "xterm", "LC_ALL": "C.UTF-8"}, PLAIN[0]], ids=["capable", "dumb"])
def test_forty_columns_are_enough(fresh, env):
    """No line is folded by the terminal in the middle of a word."""
    given = ("Shed", "", "?", "half 65 cm", "3", "?", *["-"] * 3, "?", "-", "leave")
    done = converse(["start"], *given, columns=40, env=env)
    assert done.code == 0, done.text
    assert [line for line in done.lines if len(line) > 40 and "journal" not in line.casefold()] == []


def test_keys_that_edit_and_complete(path):
    """An arrow key moves, Tab completes a word of a list and a quantity."""
    shown = converse(["attempt"], f"ran itt{LEFT}\x7f", f"stor{TAB}", "today", "", "", "", "", "12 V battery.vol" + TAB,
                     "", "n", "")  # fmt: skip
    assert shown.code == 0, shown.text
    assert rows(path, "SELECT did, kind FROM attempt") == [("ran it", "storm")]
    assert rows(path, "SELECT quantity FROM measurement") == [("battery.voltage",)]


def test_an_evenings_failure_in_one_go(path, tmp_path):
    """Two readings, what failed and why, two photos dragged in, one of them as an address."""
    for name in ("the root.jpg", "hedge.jpg"):
        (tmp_path / name).write_bytes(b"\xff\xd8\xff")
    answers = (
        "it ran all evening", "3", "", "", "Bft 5", "2", "3", "12.1 V battery.voltage", "0.3 A charge.current", "",
        "y", "3", "1", "", "magnets too weak", "60%", "it felt light", "n",
        f"'{tmp_path}/the root.jpg' file://{tmp_path}/hedge.jpg", "after dark", "",
    )  # fmt: skip
    done = converse(["attempt"], *answers)
    assert (done.code, done.left) == (0, ()), done.text
    texts = ("it ran all evening", "magnets too weak", "it felt light", "after dark", answers[-3])
    assert keys("galebook attempt", answers) - sum(map(len, texts)) <= 120
    assert rows(path, "SELECT saw, harm, attempt_id FROM failure") == [("turns but hardly charges", "none", 1)]
    assert rows(path, "SELECT what, sure, because FROM cause") == [("magnets too weak", 0.6, "it felt light")]
    assert rows(path, "SELECT filename, about, caption FROM attachment") == [
        ("the root.jpg", "A1", "after dark"), ("hedge.jpg", "A1", "after dark"),
    ]  # fmt: skip


def test_words_that_leave_it_open_are_asked_about(path, run):
    """At once, from a short list and, where that does not hold it, from all; the answers are kept."""
    assert run("attempt", "ran it", "--wind", "Bft 4", "--outcome", "failed").code == 0
    done = converse(["fail", "the blades and the mast"], "1", "", "bird strike", "something else", "root-torn", "", "")
    assert (done.code, done.left) == (0, ()), done.text
    assert "What did it look like, of what is known here" in done.text
    assert rows(path, "SELECT symptoms FROM failure") == [("blade lost or broken",)]
    assert rows(path, "SELECT what, mechanism FROM cause") == [("bird strike", "blade.root-torn")]
    done = converse(["cause", "F1", "magnets too weak"], "", "")
    assert "Taken as: Magnets too weak, or weakened" in done.text
    done = converse(["fail", "it went badly"], "none of these", "", "")
    assert (done.code, "symptoms=" in done.text) == (0, True)
    assert rows(path, "SELECT symptoms FROM failure WHERE number = 2") == [(None,)]


def test_a_short_list_of_causes_is_filled_with_what_is_behind_what_was_seen(path, run):
    """Where the words of a cause tell nothing, and where they touch on what does not explain it."""
    assert run("attempt", "ran it", "--outcome", "failed").code == 0
    done = converse(["fail", "the fuse blew again"], "", "gremlins", "1", "", "")
    assert (done.code, done.left) == (0, ()), done.text
    assert rows(path, "SELECT mechanism FROM cause") == [("fuse.gust-current",)]
    assert run("fail", "the inverter cut out").code == 0
    done = converse(["cause", "F2", "something with the generator"], "inverter.low-voltage")
    assert (done.code, done.left) == (0, ()), done.text
    assert rows(path, "SELECT mechanism FROM cause WHERE failure_id = 2") == [("inverter.low-voltage",)]


def test_twenty_readings_from_a_notebook_in_one_command(path):
    """What they have in common is asked once; a value alone is of the quantity before it; a wrong one is told."""
    lines = [f"12.{n} V" for n in range(1, 20)]
    done = converse(["measure"], "2026-05-02", "Bft 4", "battery", "pocket meter", "12.0 V voltage", *lines[:9],
                    "3 kg battery.voltage", *lines[9:], "")  # fmt: skip
    assert (done.code, done.left) == (0, ()), done.text
    assert "wrong kind of unit" in done.text
    query = "SELECT DISTINCT quantity, taken, wind, load_state, instrument, count(*) FROM measurement GROUP BY 1"
    assert rows(path, query) == [("battery.voltage", "2026-05-02", "Bft 4", "battery", "pocket meter", 20)]


def test_what_was_confirmed_stays_and_is_not_gone_back_behind(path):
    """Two readings, back at the third, Ctrl-C; the next call goes on with what they have in common."""
    done = converse(["measure"], "2026-05-02", "", "", "", "12 V voltage", "12.1 V", "back", INTERRUPT)
    assert (done.code, "This is the first question here" in done.text) == (1, True)
    assert "what was logged before stays" in done.text
    done = converse(["measure"], "y", "", "", "", "", "12.2 V voltage", "")
    assert done.code == 0, done.text
    assert rows(path, "SELECT typed, taken FROM measurement") == [
        ("12 V", "2026-05-02"), ("12.1 V", "2026-05-02"), ("12.2 V", "2026-05-02"),
    ]  # fmt: skip


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    """Where the journal lies that all tests begin with."""
    return tmp_path_factory.mktemp("begun") / "journal.db"


@pytest.fixture
def begun(path, run, kept):
    """A journal with a draft of a few values, an attempt on r1, a failure, a decision and a reading."""
    if kept.exists():
        shutil.copy(kept, path)
        return path
    for line in (
        ["set", "rotor.diameter", "1.3 m"], ["set", "rotor.blades", "3"], ["set", "mast.kind", "on a roof or gable"],
        ["attempt", "ran it", "--when", "2026-05-02"], ["measure", "12.1 V", "battery.voltage", "--attempt", "A1"],
        ["fail", "turned but hardly charged", "--attempt", "A1", "--cause", "weak magnets"], ["revise"],
        ["decide", "Which mast?"], ["option", "D1", "pole", "--set", "mast.height=6 m"],
        ["decide", "Which rope?"], ["option", "D2", "hemp"],
        ["choose", "D2", "hemp", "--because", "it is there", "--expect", "it holds"],
    ):  # fmt: skip
        done = run(*line)
        assert done.code == 0, done.err
    shutil.copy(path, kept)
    return path


#: Every command run bare, what is answered, and what stands in the journal then. A wrong answer, help and a step back
#: are among the answers of many.
BARE = [
    (["fail"], ["A1", "?", "it roared", "back", "8", "near", "ran", "-"],
     "SELECT saw, harm, contained FROM failure WHERE number = 2", ("rotor ran away", "near miss", "ran")),
    (["option"], ["mast", "tall pole", "mast.height", "mast.height=9 kg", "mast.height=9 m", ""],
     "SELECT name, changes FROM option WHERE decision_id = 1 AND position = 2",
     ("tall pole", '{"mast.height": "9 m"}')),
    (["choose"], ["D1", "9", "1", "clear of the hedge", "charges in Bft 4", "200%", "70%"],
     "SELECT because, expected, odds FROM decision WHERE number = 1", ("clear of the hedge", "charges in Bft 4", 0.7)),
    (["revise"], ["Bigger", "more power", "back", "r1 was slow", "2"],
     "SELECT title, because, parent_id FROM revision WHERE number = 3", ("Bigger", "r1 was slow", 1)),
    (["part", "add"], ["hub motor", "back", "old motor", "generator", "salv", "30", "30 EUR"],
     "SELECT name, role, condition, cost FROM part", ("old motor", "generator", "salvaged", 30.0)),
    (["part", "add", "--on", "r1"], ["old motor", "", "", ""],
     "SELECT name FROM part", ("old motor",)),
    (["claim", "--on", "r1"], ["a lot", "400 W at 9 m/s", "the seller"],
     "SELECT said, who FROM claim", ("400 W at 9 m/s", "the seller")),
    (["decide"], ["Which battery?", "the old one is dead"],
     "SELECT question, context FROM decision WHERE number = 3", ("Which battery?", "the old one is dead")),
    (["criterion"], ["1", "easy to lower", "3", "n"], "SELECT name, weight FROM criterion", ("easy to lower", 3.0)),
    (["fix"], ["1", "D2", "-", "charges at Bft 4"], "SELECT criterion FROM failure", ("charges at Bft 4",)),
    (["cause"], ["hardly", "too fast a motor", "most", "80%", "the spin test"],
     "SELECT what, sure, because FROM cause WHERE what LIKE 'too%'", ("too fast a motor", 0.8, "the spin test")),
    (["evidence"], ["1", "volts as on the plate", "against", "1"], "SELECT what, leans FROM evidence",
     ("volts as on the plate", "against")),
    (["look"], ["1", "fast", "perhaps", "1", "at the rectifier", ""],
     "SELECT look, answer, note FROM observation", ("fast-without-charge", "yes", "at the rectifier")),
    (["outcome"], ["1", "maybe", "partly", "it slipped"], "SELECT result, result_note FROM decision WHERE number = 2",
     ("partly", "it slipped")),
    (["accept"], ["roof", "until the pole is dug in", "2027-03-01"],
     "SELECT rule, because FROM decision WHERE number = 3", ("mast.roof", "until the pole is dug in")),
    (["paper"], ["mast of 10 m", "perm", "planning office", "2026-01-02", "2031-02-01"],
     "SELECT what, kind, who, given, until FROM paper",
     ("mast of 10 m", "permission", "planning office", "2026-01-02", "2031-02-01")),
    (["instrument"], ["pocket multimeter", "good", "0.8 % + 3 digits"], "SELECT name, accuracy FROM instrument",
     ("pocket multimeter", "0.8 % + 3 digits")),
    (["amend"], ["A1", "did", "did=ran it twice", "misremembered"], "SELECT did FROM attempt", ("ran it twice",)),
    (["withdraw"], ["M1", "wrong range"], "SELECT withdrawn_because FROM measurement", ("wrong range",)),
    (["set"], ["rotor.diametre", "rotor.blades", "2 m", "?", "4", "meas"],
     "SELECT typed, provenance FROM sheetvalue WHERE path = 'rotor.blades' AND revision_id = 2", ("4", "measured")),
    (["vary"], ["mast.hight=6 m", "mast.height=6 m, 8 m"], "SELECT 1", (1,)),
    (["why"], ["F7", "F1"], "SELECT 1", (1,)),
    (["show"], ["A9", "A1"], "SELECT 1", (1,)),
]  # fmt: skip


@pytest.mark.parametrize(("command", "given", "query", "row"), BARE, ids=[" ".join(b[0]) for b in BARE])
def test_a_bare_command_asks_for_all_that_matters(begun, command, given, query, row):
    """At a capable terminal."""
    done = converse(command, *given)
    assert (done.code, done.left) == (0, ()), done.text
    assert rows(begun, query)[-1] == row


def test_files_are_attached_as_they_are_dragged_in(begun, tmp_path):
    """With blanks behind backslashes; a name of none is told."""
    (tmp_path / "a b.jpg").write_bytes(b"x")
    done = converse(["attach"], "A1", "nothing.jpg", f"{tmp_path}/a\\ b.jpg", "the hedge")
    assert done.code == 0, done.text
    assert rows(begun, "SELECT about, filename, caption FROM attachment") == [("A1", "a b.jpg", "the hedge")]


def test_a_correction_is_verified_by_what_is_picked(begun, run):
    """An attempt or a reading of the list, and how it shows it."""
    assert run("fix", "F1", "--in", "r2").code == 0
    assert run("attempt", "ran for a week", "--on", "r2", "--outcome", "worked").code == 0
    done = converse(["verify"], "1", "week", "it charged")
    assert done.code == 0, done.text
    assert rows(begun, "SELECT verified_note FROM failure") == [("it charged",)]


def test_at_most_five_questions_at_a_time(begun):
    """What can kill first, with why; a wrong answer, a step back; the last line says that there is more."""
    done = converse(["ask"], "boat", "1", "back", "2", "8 kg", "8 m", "-", "-", "-")
    assert (done.code, done.left) == (0, ()), done.text
    assert done.text.index("Not known, and it can kill") < done.text.index("That is enough at a time")
    assert "wrong kind of unit" in done.text
    assert ("gel lead-acid",) in rows(begun, "SELECT typed FROM sheetvalue WHERE path = 'storage.chemistry'")


@pytest.mark.parametrize("command", ["ask", "show", "withdraw", "verify", "attach", "fail", "measure", "option"])
def test_nothing_hangs_where_nobody_can_answer(begun, run, command):
    """One line that says what is missing and how to give it."""
    done = run(command)
    assert (done.code, done.err.count("\n")) == (2, 1), done.err


def test_all_of_it_can_be_scripted(fresh, tmp_path, run):
    """Values by flags and from a file, all or nothing; later answers likewise."""
    good, bad = tmp_path / "good.toml", tmp_path / "bad.toml"
    good.write_text('[rotor]\ndiameter = { value = "1.3 m", from = "measured" }\nblades = 3\n')
    bad.write_text('[rotor]\nblades = "three point five"\n')
    assert run("start", "Shed", "--answers", str(bad)).code == 2
    assert run("start", "Shed", "--set", "mast.height=8 kg").code == 2
    assert not fresh.exists()
    done = run("start", "Shed", "--set", "mast.height=8 m", "--answers", str(good))
    assert (done.code, done.out) == (0, "r1\n"), done.err
    good.write_text('[storage]\nvoltage = "12 V"\n')
    assert run("ask", "--answers", str(bad)).code == 2
    assert run("ask", "r1", "--answers", str(good)).err == "Set 1 value on r1.\n"
    assert {path for path, *_ in rows(fresh, SHEET)} == {
        "mast.height", "rotor.diameter", "rotor.blades", "storage.voltage",
    }  # fmt: skip


def test_a_number_that_can_be_two_things_is_asked_about():
    """Of two days, 1 is the first of the list, or the one that begins so."""
    days = Question("Which", ("2 January", "1 February"))
    assert chosen("2 January", days) == "2 January"
    assert chosen("1 F", days) == "1 February"
    for typed in ("1", "2"):
        with pytest.raises(BadInput, match="by its number"):
            chosen(typed, days)
    assert chosen("2", Question("Which", ("3 February", "2 March"))) == "2 March"


def test_a_long_text_is_written_in_the_persons_editor(path, tmp_path, monkeypatch):
    """Where a text is asked for, edit opens the editor; what is left in it is the answer, and nothing stays behind."""
    script = tmp_path / "editor"
    script.write_text('#!/bin/sh\nprintf "a roar, then a bang;\\nthe hub turned on with two blades" > "$1"\n')
    script.chmod(0o755)
    monkeypatch.setenv("EDITOR", str(script))
    converse(["fail"], "edit", *[""] * 4)
    assert rows(path, "SELECT saw FROM failure") == [("a roar, then a bang;\nthe hub turned on with two blades",)]
    assert not list(tmp_path.rglob("answer*"))
