"""Wrong calls: one line on stderr, the right exit code, nothing changed, never a traceback."""

import re
import shutil

import pytest

from tests.conftest import dump

LONG = "x" * 10_001
#: The call, the exit code, and a word of the message. The journal is the demo's.
CALLS = [
    # Wrong usage
    (["chekc"], 2, "no such command"),
    (["check", "--jsn"], 2, "no such option"),
    (["check", "r1", "r2"], 1, "no finding 'r2' on r1"),
    (["check", "r1", "wiring.fuse", "r2"], 2, "unexpected"),
    (["compare", "r1"], 2, "missing argument"),
    (["show"], 2, "is missing"),
    (["--journal"], 2, "requires an argument"),
    (["attempt", "x", "--wind"], 2, "requires an argument"),
    (["fail", "x", "--severity", "9"], 2, "less than or equal to 4"),
    (["fail", "x", "--severity", "grave"], 2, "valid integer"),
    (["reject", "F1", "one", "--because", "x"], 2, "valid integer"),
    (["reject", "F1", "0", "--because", "x"], 2, "greater than or equal to 1"),
    (["reject", "F1", "1"], 2, "missing option"),
    (["withdraw", "A1"], 2, "is missing"),
    (["verify", "F1"], 2, "is missing"),
    (["accept", "mast.height", "--because", "x"], 2, "is missing"),
    (["part"], 2, "usage"),
    (["part", "ad", "x"], 2, "no such command"),
    (["list", "everything"], 2, "revisions"),
    (["writeup", "--for", "press"], 2, "forum"),
    (["writeup", "--for", "forum", "--format", "pdf"], 2, "markdown; html; bbcode; text"),
    (["writeup", "--for", "forum", "--format", "text", "--format", "md", "--out", "x.txt"], 2, "--out name.zip"),
    (["writeup", "--for", "forum", "--limit", "999"], 2, "give 1000 or more"),
    (["writeup", "--for", "forum", "--limit", "many"], 2, "--limit"),
    (["writeup", "--for", "forum", "--format", "html", "--limit", "3000"], 2, "--limit is for what is pasted"),
    (["writeup", "--for", "forum", "--out", "nowhere/x.zip"], 1, "cannot be written"),
    (["writeup", "--for", "forum", "--out", "good.toml/"], 1, "cannot be written"),
    (["writeup", "--for", "forum", "--out", "nowhere/x/"], 1, "cannot be written"),
    (["years", "r2", "--years", "many"], 2, "valid integer"),
    (["years", "r2", "--years", "0"], 2, "1 to 200"),
    (["years", "r2", "--years", "1000"], 2, "1 to 200"),
    (["years", "r2", "--wind", "nowhere.csv"], 2, "cannot be read"),
    (["years", "r2", "--height", "10 m"], 2, "no file of winds"),
    (["years", "r2", "--daily"], 2, "no file of winds"),
    (["buy", "r2", "--to", "list.xls"], 2, "--to list.xls has the ending .xls"),
    (["buy", "r2", "--to", "list.xls"], 2, "accepted: .md for markdown, .csv for a table, like list.md"),
    (["buy", "r2", "--to", "list"], 2, "--to list has no ending"),
    (["buy", "r2", "--to", "."], 2, "is a folder"),
    (["buy", "r2", "--to", "nowhere/list.md"], 1, "nowhere is no folder that is there"),
    (["buy", "r2", "--to", "good.toml/list.md"], 1, "good.toml is a file, not a folder"),
    (["buy", "r2", "--to", "x" * 300 + ".md"], 1, "cannot be written"),
    # An empty name, as of a variable of the shell that was never set, is not the folder that we are in.
    *(
        (call, 2, "is empty. accepted: the name of a file or folder")
        for call in (
            ["draw", "wiring", "r2", "--to", ""],
            ["buy", "r2", "--to", ""],
            ["buy", "r2", "--to="],
            ["curve", "r2", "--to", ""],
            ["writeup", "r2", "--for", "forum", "--out", ""],
            ["backup", ""],
            ["demo", ""],
            ["export", ""],
            ["import", ""],
            ["logger", "", "--on", "r2"],
            ["attach", "", "--to", "A1"],
            ["sheet", "r2", "--file", ""],
            ["start", "x", "--answers", ""],
            ["years", "r2", "--wind", ""],
            ["writeup", "r2", "--for", "forum", "--templates", ""],
            ["--journal", "", "status"],
        )
    ),
    (["buy", "r2", "--over"], 2, "add --to file.md"),
    (["buy", "r9"], 1, "there is no revision r9"),
    (["draw", "wiring", "r9"], 1, "there is no revision r9"),
    (["draw", "wiring", "r2", "--to", "good.toml"], 1, "good.toml is a file, not a folder"),
    (["draw", "wiring", "r2", "--to", "good.toml/x"], 1, "accepted: a folder"),
    (["draw", "wiring", "r2", "--paper", "a5"], 2, "accepted: a4; letter; a3"),
    (["draw", "wiring", "r2", "--as", "png"], 2, "accepted: pdf; svg; dxf"),
    (["draw"], 2, "blade; hub; tail; angle; balance; wiring"),
    # Names and references
    (["diagram", "r9"], 1, "there is no revision r9"),
    (["years", "r9"], 1, "there is no revision r9"),
    (["check", "r9"], 1, "there is no revision r9"),
    (["check", "A1"], 2, "a revision is wanted"),
    (["check", "latest"], 2, "not a reference"),
    (["check", ""], 0, None),
    (["show", "F99"], 1, "the last is f4"),
    (["show", "Q1"], 2, "not a reference"),
    (["history", "A99"], 1, "there is no attempt"),
    (["compare", "r1", "r1"], 2, "same revision"),
    (["turn", "storage.freezing", "storage.coldest", "--on", "r2"], 1, "says nothing of r2"),
    (["turn", "wiring.ampacity", "cable.mast.area", "--on", "r2", "--subject", "cable.none"], 1, "says nothing of"),
    (["compare", "r1", "r7"], 1, "there is no revision"),
    (["use", "Shed wind generato"], 1, "did you mean"),
    (["--build", "Nothing", "status"], 1, "no build called"),
    (["start", "Shed wind generator"], 1, "already a build"),
    (["start", ""], 2, "is empty"),
    (["start", "x" * 121], 2, "characters long"),
    (["start", "bell\x07"], 2, "control character"),
    (["revise", "r9"], 1, "there is no revision"),
    (["revise", "r1", "--because", ""], 2, "is empty"),
    # The sheet
    (["set", "rotor.diameter", "2.2 m", "--on", "r2"], 1, "galebook revise r2"),
    (["set", "rotor.diameter", "2.2 kg", "--correct", "x"], 2, "wrong kind of unit"),
    (["set", "rotor.diametre", "2.2 m", "--correct", "x"], 2, "did you mean rotor.diameter"),
    (["set", "rotor.diameter", "2;2 m", "--correct", "x"], 2, "cannot read"),
    (["set", "rotor.diameter", "nan", "--correct", "x"], 2, "cannot read"),
    (["set", "rotor.diameter", "1e999 m", "--correct", "x"], 2, "not a usable number"),
    (["set", "rotor.diameter", "-2 m", "--correct", "x"], 2, "0.2 m to 15 m"),
    (["set", "rotor.diameter", "99 m", "--correct", "x"], 2, "out of range"),
    (["set", "rotor.diameter", "", "--correct", "x"], 2, "is empty"),
    (["set", "rotor.diameter", "2.2 m", "--correct", ""], 2, "the reason is empty"),
    (["set", "rotor.diameter", "2.2 m", "--from", "hearsay", "--correct", "x"], 2, "measured"),
    (["set", "rotor.diameter", "2.2 m", "--doubt", "a bit", "--correct", "x"], 2, "uncertainty"),
    (["set", "rotor.diameter", "0.3 m", "--doubt", "1 m", "--correct", "x"], 2, "out of range"),
    (["set", "rotor.brake", "anchor", "--correct", "x"], 2, "accepted: none"),
    (["set", "rotor.diameter"], 2, "is missing"),
    (["unset", "rotor.brake", "mast.nothing", "--correct", "x"], 2, "no value called"),
    (["unset", "site.storm_wind", "--correct", "x"], 1, "is not set"),
    (["sheet", "r2", "--file", "no.toml"], 1, "there is no file"),
    (["sheet", "r2", "--file", "."], 2, "cannot be read"),
    (["sheet", "r2", "--file", "bytes.toml"], 2, "not a text in utf-8"),
    (["sheet", "r2", "--file", "bad.toml"], 2, "bad.toml, line 2"),
    (["sheet", "r2", "--file", "good.toml"], 1, "is frozen"),
    # Logging
    (["attempt", ""], 2, "is empty"),
    (["attempt", LONG], 2, "characters long"),
    (["attempt", "x", "--when", "soon"], 2, "not a date"),
    (["attempt", "x", "--when", ""], 2, "not a date"),
    (["attempt", "x", "--when", "2026-05-02", "--until", "2026-05-01"], 2, "before it began"),
    (["attempt", "x", "--wind", "Bft 99"], 2, "beaufort"),
    (["attempt", "x", "--wind", "breezy"], 2, "cannot read"),
    (["attempt", "x", "--kind", "party"], 2, "bench test"),
    (["attempt", "x", "--hours", "20"], 2, "no unit"),
    (["attempt", "x", "--on", "r7"], 1, "there is no revision"),
    (["measure", "12 V", "battery.volts"], 2, "battery.voltage"),
    (["measure", "12 A", "battery.voltage"], 2, "wrong kind of unit"),
    (["measure", "12 V"], 2, "is missing"),
    (["measure", "12 V", "battery.voltage", "--missing", "x"], 2, "either a value"),
    (["measure", "12 V", "battery.voltage", "--attempt", "A99"], 1, "there is no attempt"),
    (["measure", "12 V", "battery.voltage", "--attempt", "F1"], 2, "an attempt is wanted"),
    (["claim", "lots of power", "--by", "him"], 2, "400 w at 9 m/s"),
    (["claim", "400 W", "--by", ""], 2, "is empty"),
    (["attach", "no.jpg", "--to", "A1"], 1, "there is no file"),
    (["attach", ".", "--to", "A1"], 2, "not a plain file"),
    (["attach", "good.toml", "no.jpg", "--to", "A1"], 1, "there is no file"),
    (["part", "add", "bolt", "--cost", "30"], 2, "no currency"),
    (["part", "add", "bolt", "--cost", "30", "--correct", "x"], 2, "no currency"),
    (["part", "add", "bolt", "--quantity", "0", "--correct", "x"], 2, "not a count"),
    (["part", "carry", "P99"], 1, "there is no part"),
    (["part", "fate", "P1", "lost"], 2, "scrapped"),
    (["part", "fate", "P2", "broken", "--on", "r2"], 1, "is not on r2"),
    # Failures
    (["fail", "x", "--sure", "60%"], 2, "--cause"),
    (["fail", "x", "--cause", "y", "--sure", "lots"], 2, "not a share"),
    (["fail", "x", "--harm", "some"], 2, "near miss"),
    (["fail", "x", "--part", "P99"], 1, "there is no part"),
    (["cause", "F1", "x", "--rule", "wiring.nothing"], 2, "no rule called"),
    (["evidence", "F1", "x", "--leans", "up"], 2, "against"),
    (["evidence", "F1", "x", "--cause", "99"], 1, "no cause number 99"),
    (["fix", "F1"], 2, "--criterion"),
    (["fix", "F4", "--in", "r1"], 1, "cannot hold its correction"),
    (["verify", "F4", "--by", "A8"], 1, "no correction built"),
    (["verify", "F3", "--by", "A1"], 1, "before the correction"),
    (["verify", "F3", "--by", "D1"], 2, "cannot show"),
    # Decisions
    (["option", "D1", "x"], 1, "--supersedes d1"),
    (["option", "D1", "x", "--set", "storage.voltage"], 2, "names no value"),
    (["choose", "D5", "1", "--because", "cheap"], 1, "decisions stay"),
    (["choose", "D99", "1", "--because", "x"], 1, "there is no decision"),
    (["decide", "x", "--supersedes", "F1"], 2, "a decision is wanted"),
    (["accept", "house.feed", "--because", "x", "--until", "2027-01-01"], 1, "accept"),
    (["accept", "rotor.overspeed", "--on", "r1", "--because", "x", "--until", "2027-01-01"], 1, "designed away"),
    (["accept", "no.rule", "--because", "x", "--until", "2027-01-01"], 2, "no rule called"),
    (["accept", "mast.height", "--because", "x", "--until", "someday"], 2, "not a date"),
    (["outcome", "D1", "brilliant"], 2, "came true"),
    (["outcome", "D3", "came true"], 1, "nothing was expected"),
    # The record as a whole
    (["amend", "A1", "did", "--because", "x"], 2, "names no value"),
    (["amend", "A1", "wheel=x", "--because", "x"], 2, "has no field"),
    (["amend", "A1", "did=", "--because", "x"], 2, "is empty"),
    (["amend", "A1", "did=y", "--because", " "], 2, "the reason is empty"),
    (["amend", "A3", "ended=1999-01-01", "--because", "x"], 2, "before it began"),
    (["amend", "M1", "value=9 A", "--because", "x"], 2, "wrong kind of unit"),
    (["amend", "F1", "severity=7", "--because", "x"], 2, "levels"),
    (["amend", "P1", "quantity=-1", "--because", "x"], 2, "not a count"),
    (["amend", "X1", "private=perhaps", "--because", "x"], 2, "yes"),
    (["amend", "Z1", "x=y", "--because", "x"], 2, "not a reference"),
    (["withdraw", "r1", "--because", "x"], 1, "attempts logged on it"),
    (["withdraw", "A99", "--because", "x"], 1, "there is no attempt"),
    (["backup", "good.toml"], 2, "exists already"),
    (["backup", "nowhere/copy.db"], 1, "cannot be written"),
    (["writeup", "--for", "forum", "--out", "nowhere/x.md"], 1, "cannot be written"),
    (["writeup", "--for", "forum", "--out", "good.toml/x.md"], 1, "cannot be written"),
    (["writeup", "--for", "forum", "--out", "."], 1, "not a plain file"),
    (["writeup", "--for", "forum", "--out", "x" * 300], 1, "cannot be written"),
    (["writeup", "--for", "forum", "--templates", "nowhere"], 2, "is not a folder"),
    (["demo", "good.toml"], 1, "cannot be written"),
    (["demo", "taken"], 1, "exists already"),
    # Other files
    (["--journal", "no.db", "status"], 1, "there is no journal"),
    (["--journal", "no.db", "attempt", "x"], 1, "there is no journal"),
    (["--journal", "good.toml", "status"], 1, "not a galebook journal"),
    (["--journal", "good.toml", "start", "x"], 1, "not a galebook journal"),
    (["--journal", ".", "status"], 1, "is a folder, and a journal is a file. name it whole, like --journal journal.db"),
    (["--journal", "taken", "start", "x"], 1, "like --journal taken/demo.db"),
    (["--journal", "taken", "where"], 1, "is a folder"),
    # A day that is yet to come
    *(
        ([*call, "--when", "2099-01-01"], 2, "'2099-01-01' is yet to come")
        for call in (
            ["attempt", "x"],
            ["measure", "12 V", "battery.voltage"],
            ["fail", "x"],
            ["cause", "F1", "x"],
            ["outcome", "D4", "came true"],
        )
    ),
    (["attempt", "x", "--until", "2099-01-01"], 2, "yet to come"),
    (["amend", "A1", "began=2099-01-01", "--because", "x"], 2, "yet to come"),
    # A value below nothing is a value
    (["measure", "-12 V", "battery.voltage"], 2, "0 v to 1200 v"),
    (["set", "rotor.diameter", "-.5 m", "--on", "r2"], 2, "0.2 m to 15 m"),
    (["measure", "-12 V", "battery.voltage", "--wnd", "Bft 4"], 2, "no such option"),
    (["years", "--years", "-5"], 2, "1 to 200"),
    (["--journal", "good.toml/x.db", "start", "x"], 1, "cannot be written"),
]


@pytest.fixture
def here(tmp_path, monkeypatch):
    """A folder with some files in it, in which the command is run."""
    folder = tmp_path / "here"
    folder.mkdir()
    monkeypatch.chdir(folder)
    (folder / "good.toml").write_text('[rotor]\ndiameter = "2.2 m"\n')
    (folder / "bad.toml").write_text('[rotor]\ndiameter = "2.2 kg"\n')
    (folder / "bytes.toml").write_bytes(b"\xff\xfe")
    (folder / "taken").mkdir()
    (folder / "taken" / "demo.db").write_text("precious")
    return folder


def _tree(folder):
    return {p.relative_to(folder): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


@pytest.mark.parametrize(("call", "code", "word"), CALLS, ids=[" ".join(c)[:60] for c, _, _ in CALLS])
def test_a_wrong_call(story, here, run, call, code, word):
    """Exit code, one line that begins with our name and says what was wrong, and nothing changed anywhere."""
    before, files = dump(story), _tree(here)
    result = run(*call)
    if word is None:
        assert result.code in (code, 3)
        return
    said = " ".join(result.err.split()).lower()
    assert (result.code, result.out if call != ["part"] else "") == (code, "")
    assert word in (said or " ".join(result.out.split()).lower())
    if call != ["part"]:
        assert result.err.count("\n") == 1
        assert result.err.startswith("galebook: ")
        assert result.err.endswith((".\n", "?\n", "--help\n"))
        assert not re.search(r"[.?!]\.", result.err.replace("...", ""))
    assert dump(story) == before
    assert _tree(here) == files


def test_a_wrong_first_command_leaves_no_journal(tmp_path, run):
    """A build that cannot be begun makes no file."""
    assert run("start", "bell\x07").code == 2
    assert run("start", "x" * 121).code == 2
    assert run("start", "Mill", "--purpose", "bell\x07").code == 2
    assert list(tmp_path.iterdir()) == []


def test_a_journal_gone_in_between_is_told(story, run):
    """Somebody removed it."""
    shutil.rmtree(story.parent)
    result = run("status")
    assert (result.code, result.err.count("\n")) == (1, 1)
