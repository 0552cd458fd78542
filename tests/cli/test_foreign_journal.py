"""A journal that somebody hostile made, edited by hand: it steers no terminal and reads no other file."""

import contextlib
import json
import re
import shutil
import sqlite3

import pytest
from sqlalchemy import String

from journal.book import store, tables
from journal.book.plain_text import harmless
from journal.publish import story as story_of
from journal.publish import writeup
from journal.publish.forms import FORMS
from tests.cli.test_commands import COMMANDS
from tests.conftest import copied
from tests.journal.test_privacy import CLOSED, UNTOLD

#: Colour, title, a link that hides where it leads, the clipboard, order of letters, C1, NUL, over the line before.
STEERING = (
    "\x1b[2J\x1b[31mred\x1b]0;title\x07\x1b]8;;http://evil.invalid\x1b\\link\x1b]8;;\x1b\\\x1b]52;c;cm0=\x07"
    "\u202egnirts\u2066\x9b31m\x85\x90\x00nul\rover\x08\x7f\u2028"
)
#: What a command may write beside letters: ends of lines, tabs, and the styling of our own library.
_OURS = re.compile(r"\x1b\[[0-9;]*m")
_STEERS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069\u2028\u2029]")
#: Each command with what it is called with; one that is missing is named.
CALLS = {
    "start": [["X\x1b[31m"]],
    "builds": [[], ["--json"]],
    "use": [["nothing\x1b[31m"]],
    "where": [[], ["--json"]],
    "status": [[], ["--json"]],
    "todo": [[], ["--json"]],
    "undo": [[]],
    "redo": [[]],
    "reinstate": [["M2", "--because", "x\x1b[31m"], ["Z9\x1b[31m", "--because", "x"]],
    "open": [["neighbour"], ["nobody\x1b[31m"]],
    "serve": [["--port", "x\x1b[31m"]],
    "table": [["nothing\x1b[31m.csv"], ["-", "--try"]],
    "revise": [["--from", "r9\x1b"]],
    "set": [["x\x1b[31m", "1"], ["rotor.diameter", "\x1b"]],
    "unset": [["x\x1b[31m"]],
    "sheet": [["r1"], ["r2", "--json"], ["r1", "--toml"], ["r2", "--toml"]],
    "ask": [["--json"], ["r1"], ["r9\x1b[31m"], ["--answers", "x\x1b[31m"]],
    "missing": [["r1"], ["r2", "--json"]],
    "names": [["mast"], ["\x1b[31m"]],
    "attempt": [["\x1b[31m"], ["ok", "--wind", "\x1b[31m"]],
    "measure": [["1 V", "\x1b[31m"], ["\x9b1 V", "battery.voltage"]],
    "instrument": [["\x1b"]],
    "claim": [["\x1b[31m", "--by", "x"]],
    "attach": [["no\x1b[31m.jpg", "--to", "A1"]],
    "part add": [["\x1b"]],
    "part list": [["r1"], ["r2", "--json"]],
    "part carry": [["P99\x1b"]],
    "part fate": [["P1", "x\x1b[31m"]],
    "part fitted": [["P1", "x\x1b[31m"]],
    "fail": [["\x1b"]],
    "cause": [["F1", "\x1b"], ["F\x1b", "x"]],
    "reject": [["F1", "9", "--because", "\x1b"]],
    "evidence": [["F1", "\x1b"]],
    "look": [["F1"], ["F1", "--json"], ["F1", "\x1b"], ["F1", "ice", "\x1b"]],
    "why": [["F1"], ["F3", "--json"]],
    "fix": [["F1", "--by", "D\x1b"]],
    "verify": [["F1", "--by", "A\x1b"]],
    "decide": [["\x1b"]],
    "option": [["D1", "\x1b"]],
    "criterion": [["D1", "\x1b", "--weight", "2"]],
    "mark": [["D1", "\x1b=1", "--by", "x"]],
    "weigh": [["D1"], ["D5"], ["D1", "--json"]],
    "choose": [["D1", "\x1b"]],
    "accept": [["\x1b", "--because", "x"]],
    "outcome": [["D1", "--result", "\x1b"]],
    "predictions": [[], ["--json"]],
    "check": [["r1"], ["r1", "--all"], ["r2", "--json"], ["r2", "\x1b"]],
    "next": [["r9\x1b"]],
    "compare": [["r1", "r2"], ["r1", "r2", "--all"], ["r1", "r2", "--json"]],
    "logger": [[], ["--json"], ["nothing\x1b[31m.csv"], ["demo.db", "--on", "r\x1b"]],
    "curve": [["r2"], ["r2", "--all"], ["r2", "--json"], ["r\x1b"], ["r2", "--to", "\x1b.pdf"]],
    "wind": [[], ["--all"], ["r2", "--json"], ["r\x1b"], ["--height", "\x1b"], ["--station", "\x1b", "--then", "1"]],
    "rules": [["\x1b"]],
    "list": [["attempts"], ["files"], ["failures", "--json"], ["\x1b"]],
    "show": [[r] for r in ("r1", "P1", "C1", "A3", "M1", "F1", "F3", "D1", "D5", "X1", "X\x1b")] + [["D1", "--json"]],
    "history": [[], ["F1"], ["--json"]],
    "paper": [["\x1b[31m"], ["a mast", "--kind", "\x1b"]],
    "amend": [["A1", "\x1b=x", "--because", "y"], ["A1", "wind=\x1b", "--because", "y"]],
    "withdraw": [["A\x1b", "--because", "x"]],
    "backup": [["/nowhere/\x1b[31m.db"]],
    "power": [["r1"], ["r2", "--json"]],
    "vary": [["\x1b=1", "--on", "r1"]],
    "turn": [["\x1b", "--on", "r1"]],
    "doubts": [["r9\x1b"]],
    "diagram": [["r1"], ["r2", "--json"]],
    "years": [["r\x1b"]],
    "buy": [["r1"], ["r2", "--json"], ["r\x1b"], ["r2", "--to", "\x1b.csv"]],
    "writeup": [["--for", "forum"], ["--for", "workshop"], ["--for", "\x1b"], ["--for", "neighbour", "--try"]],
    "blade": [["r2"], ["r\x1b"]],
    "draw": [
        ["blade", "r2", "--as", "svg", "--as", "dxf"],
        ["balance", "r2", "--json"],
        ["wiring"],
        ["\x1b[31m"],
        ["blade", "r\x1b"],
    ],
    "demo": [["copy.db/\x1b"], ["copy.db"]],
    "doctor": [[], ["--json"]],
    "backups": [[], ["--json"]],
    "restore": [["\x1b[31m"]],
    "search": [["x\x1b[31m"], ["the"], ["the", "--json"]],
    "export": [["/nowhere/\x1b[31m.zip"]],
    "import": [["no\x1b[31m.zip"], ["demo.db"]],
    "members add": [["\x1b[31m", "--may", "read"]],
    "members list": [[], ["--json"]],
    "members remove": [["\x1b[31m"]],
}


def hostile(path, text=STEERING, without=()):
    """Write a text into every column of free text, behind what stands there; or what is called for the next column."""
    next_text = text if callable(text) else lambda: text
    classes = [*tables.Record.__subclasses__(), *tables.Numbered.__subclasses__()]
    with contextlib.closing(sqlite3.connect(path)) as db, db:
        for name, table in tables.SQLModel.metadata.tables.items():
            closed = CLOSED.union(*(c.words for c in classes if c.__name__.lower() == name)) | {
                "changes",
                "consequences",
            }
            for column in table.columns if name not in UNTOLD else ():
                if isinstance(getattr(column.type, "impl", None), String) and column.name not in closed.union(without):
                    done = f'"{column.name}" = coalesce("{column.name}", \'\') || ?'
                    where = (
                        f' WHERE "{column.name}" IS NOT NULL'
                        if column.name in ("withdrawn_because", "missing_because")
                        else ""
                    )
                    db.execute(f'UPDATE OR IGNORE "{name}" SET {done}{where}', (next_text(),))
        for key, column, was in db.execute("SELECT id, 'consequences', consequences FROM option").fetchall():
            kept = json.loads(was or "{}")
            for brief in [*kept.get("moved", []), *kept.get("worst", [])]:
                brief["title"] += next_text()
            db.execute(f"UPDATE option SET {column} = ? WHERE id = ?", (json.dumps(kept), key))
        db.execute("UPDATE history SET why = ?, ref = ref || ?", (next_text(), next_text()))


@pytest.fixture(scope="module")
def foreign(told, tmp_path_factory):
    """The demo's journal with it in every text."""
    folder = tmp_path_factory.mktemp("foreign")
    copied(told, folder)
    hostile(folder / "demo.db")
    return folder / "demo.db"


def test_every_command_is_called():
    """A new one is to be added above."""
    assert set(CALLS) >= set(COMMANDS), set(COMMANDS) - set(CALLS)


@pytest.mark.parametrize("command", COMMANDS)
def test_nothing_steers_the_terminal(foreign, run, tmp_path, monkeypatch, clock, command):
    """Neither what is stored nor what is typed, on either stream; colour of our own is let through."""
    monkeypatch.chdir(tmp_path)
    copy = tmp_path / "copy.db"
    shutil.copy(foreign, copy)
    shutil.copytree(foreign.with_name("demo.db.files"), tmp_path / "copy.db.files")
    monkeypatch.setenv("GALEBOOK_JOURNAL", str(copy))
    # What one command judges, the next finds kept.
    monkeypatch.setenv("GALEBOOK_CACHE", str(foreign.with_name("verdicts")))
    for args in CALLS[command]:
        done = run(*command.split(), *args)
        for said in (done.out, done.err):
            assert _STEERS.search(_OURS.sub("", said)) is None, (command, args)
            assert "\x1b[31m" not in said
        if "--json" in args and done.out:
            json.loads(done.out)


def test_questions_do_not_either(foreign, run, answers, monkeypatch):
    """What is asked at a terminal holds what is stored."""
    from journal.cli import common

    asked = answers("n")
    common.confirm(f"Leave out {STEERING}?")
    assert _STEERS.search(asked[0]) is None


def test_what_is_written_out_reads_as_json_does():
    """And a text of people stays as it is, in any script."""
    plain = STEERING.replace("\\", "/")
    assert json.loads(f'"{harmless(plain)}"') == plain
    for text in ("a\tb\nc", "Ærø ☐ 漢字 שלום 👩‍🔧"):
        assert harmless(text) == text


@pytest.mark.parametrize(
    ("column", "value"), [("sha256", "../../../etc/hostname"), ("sha256", "A" * 64), ("sha256", "")]
)
def test_what_is_no_hash_leads_nowhere(story, run, column, value):
    """A path in its place would publish any picture of the machine."""
    with contextlib.closing(sqlite3.connect(story)) as db, db:
        db.execute(f"UPDATE attachment SET {column} = ?", (value,))
    page = [["writeup", "--for", "forum"]] if value.startswith("..") else []
    for args in (["show", "X1"], *page):
        done = run(*args)
        assert (done.code, done.out) == (1, ""), args
        assert "X1 is recorded under what is no hash" in done.err


def test_a_link_in_place_of_a_copy_is_not_followed(story, run, tmp_path):
    """Neither of the file nor of its folder."""
    from PIL import Image

    Image.new("RGB", (40, 30), "red").save(tmp_path / "own.png")
    done = run("attach", str(tmp_path / "own.png"), "--to", "A5")
    ref = re.search(r"X\d+", done.out + done.err)[0]
    copy = next(story.with_name("demo.db.files").rglob("*.png"))
    Image.new("RGB", (40, 30), "blue").save(tmp_path / "secret.png")
    copy.unlink()
    copy.symlink_to(tmp_path / "secret.png")
    out = tmp_path / "f.md"
    assert run("writeup", "--for", "forum", "--out", str(out)).code == 0
    assert f"photo-{ref.lower()}" not in out.read_text()
    assert not list((tmp_path / "f-pictures").glob("photo*"))
    assert "missing or changed" in run("show", ref).out


DAMAGED = [
    "{",
    "[]",
    "3",
    '{"a": 1}',
    '{"figures": [1]}',
    '{"moved": [{}]}',
    "[" * 100_000,
    '{"a":' * 200 + "1" + "}" * 200,
    "\x00",
]


@pytest.mark.parametrize("damage", DAMAGED, ids=[d[:12] for d in DAMAGED])
def test_damaged_columns_are_told_in_one_line(story, run, damage):
    """With the record, and what helps; no traceback."""
    with contextlib.closing(sqlite3.connect(story)) as db, db:
        db.execute("UPDATE option SET consequences = ? WHERE decision_id = 1", (damage,))
        db.execute("UPDATE history SET after = ? WHERE id = (SELECT max(id) FROM history)", (damage,))
    # A page takes longest, and comes to the same column in the same way.
    page = [["writeup", "--for", "forum"]] if damage in DAMAGED[:2] else []
    for args in (["weigh", "D1"], ["show", "D1"], *page, ["history"], ["history", "--json"]):
        done = run(*args)
        if done.code:
            assert (done.code, done.out, done.err.count("\n")) == (1, "", 1), args
            assert "galebook doctor" in done.err
            assert re.search(r"option 1 of D1|line \d+ of the history", done.err)
    assert run("weigh", "D1").code == (0 if damage == '{"a": 1}' else 1)


def test_damaged_changes_are_told_too(story, run):
    """What an option would set on the sheet."""
    with contextlib.closing(sqlite3.connect(story)) as db, db:
        db.execute("UPDATE option SET changes = ?", ('{"storage.voltage": {"a": 1}}',))
    for args in (
        ["weigh", "D1"],
        ["show", "D1"],
        ["why", "F1"],
        ["status"],
        ["choose", "D1", "24 V", "--because", "x"],
    ):
        done = run(*args)
        assert done.code in (0, 1), args
        assert "Traceback" not in done.err


def test_a_page_of_it_is_harmless_too(foreign, clock):
    """Whoever prints it on a terminal is not steered either."""
    with store.journal(foreign) as s:
        tale = story_of.tell(s)
    for form in FORMS:
        assert _STEERS.search(writeup.render(tale, "workshop", form).text) is None
