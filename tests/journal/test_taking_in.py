"""An export taken into a journal that has builds: beside them, whole or not at all, with its history."""

import json
import re
import shutil

import pytest

from journal.book import attachments, attempts, backups, builds, places, sheet, sheet_toml, store
from journal.book.open_form import taking_in
from journal.book.records import find_record, find_revision
from journal.book.tables import Attempt, Failure
from journal.errors import Refused
from tests.conftest import dump, rows
from tests.journal.forms import exported, tree
from tests.journal.test_health import _faults as faults
from tests.journal.test_open_form import _small


@pytest.fixture
def friend(story, tmp_path):
    """The demo as a friend would send it."""
    return exported(story, tmp_path / "friend.zip", build="Shed wind generator")


@pytest.fixture
def mine(tmp_path, clock, monkeypatch):
    """A journal of one's own with records of the same numbers and keys."""
    monkeypatch.setenv("GALEBOOK_JOURNAL", str(tmp_path / "mine.db"))
    store.create(tmp_path / "mine.db")
    with store.journal(tmp_path / "mine.db", write=True) as s:
        builds.start(s, builds.BuildTyped("Mine"))
        for n in range(3):
            attempts.log_attempt(s, attempts.AttemptTyped(f"mine {n}"))
    return tmp_path / "mine.db"


def _show(run, build, *args):
    result = run("--build", build, *args)
    assert result.code in (0, 3), result.err
    return result.out


def test_a_friends_build_is_taken_in_beside_ones_own(story, friend, mine, run):
    """Both read as they did where they were made; the journal is whole, and a copy from before is kept."""
    before = dump(mine)
    own = _show(run, "Mine", "history", "--json")
    result = run("import", str(friend))
    assert (result.code, result.err) == (0, "")
    assert "Shed wind generator" in result.out
    assert faults(mine) == []
    assert _show(run, "Mine", "history", "--json") == own
    for args in (("list", "attempts"), ("show", "F1"), ("show", "D1"), ("compare", "r1", "r2"), ("why", "F1")):
        there = run("--journal", str(story), *args)
        assert _show(run, "Shed wind generator", *args) == there.out
    (kept,) = backups.backups_folder(mine).glob("*before-import*")
    assert dump(kept) == before


def test_the_history_comes_with_its_times_and_says_whence(friend, mine, run):
    """Chained on behind one's own; the last row names the source, and where its chain ended."""
    length = rows(mine, "SELECT count(*) FROM history")[0][0]
    run("import", str(friend))
    told = json.loads(_show(run, "Shed wind generator", "history", "--json"))
    with store.journal(mine) as s:
        assert s.get_one(Failure, rows(mine, "SELECT id FROM failure WHERE number = 1")[0][0]).revision_id > 1
    assert told[-1]["why"].startswith("Taken in from friend.zip, where its history ends with ")
    assert told[0]["action"] == "add"
    assert len(told) == rows(mine, "SELECT count(*) FROM history")[0][0] - length
    keys = {key for (key,) in rows(mine, "SELECT id FROM revision WHERE build_id = 2")}
    mentioned = {r["after"]["revision_id"] for r in told if "revision_id" in (r["after"] or {})}
    assert mentioned <= keys


def test_the_file_comes_too_and_twice_is_once(friend, mine, run):
    """Found by its hash; a second build with the same file needs no second copy."""
    run("import", str(friend))
    run("import", str(friend), "--as", "Again")
    with store.journal(mine, build="Again") as s:
        assert not attachments.is_damaged(s, find_record(s, "X1", attachments.Attachment))
    folder = places.files_folder(mine)
    assert len([f for f in folder.rglob("*") if f.is_file() and f.name != attachments.MARK]) == 3
    assert faults(mine) == []


def test_a_name_that_is_taken_asks_for_another(friend, mine, run):
    """Whatever its letters; nothing is written then."""
    run("import", str(friend))
    before, copies = dump(mine), len(list(backups.backups_folder(mine).iterdir()))
    result = run("import", str(friend))
    assert (result.code, result.err.count("\n")) == (1, 1)
    assert "--as NAME" in result.err
    assert run("import", str(friend), "--as", "mine ").code == 1
    assert (dump(mine), len(list(backups.backups_folder(mine).iterdir()))) == (before, copies)
    assert run("import", str(friend), "--as", "Friend's machine").code == 0
    assert "Friend's machine" in run("builds").out
    assert faults(mine) == []


def test_trying_writes_nothing(friend, mine, run, tmp_path):
    """Neither into the journal nor beside it; nor is one made."""

    def all_files():
        return {name: data for name, data in tree(tmp_path).items() if "in-use" not in name}

    before = all_files()
    result = run("import", str(friend), "--try")
    assert (result.code, result.err) == (0, "Nothing was written.\n")
    assert "9 attempts" in result.out
    told = json.loads(run("import", str(friend), "--try", "--json").out)
    assert (told["records"]["attempts"], told["files"], told["new"]) == (9, 3, False)
    assert json.loads(run("--journal", str(tmp_path / "no.db"), "import", str(friend), "--try", "--json").out)["new"]
    after = tree(tmp_path)
    assert {k: v for k, v in after.items() if "in-use" not in k} == {
        k: v for k, v in before.items() if "in-use" not in k
    }


def test_a_new_name_for_a_new_journal(friend, tmp_path, run):
    """Its history says what it was called."""
    new = tmp_path / "deep" / "new.db"
    assert run("--journal", str(new), "import", str(friend), "--as", "Other").code == 0
    assert rows(new, "SELECT name FROM build") == [("Other",)]
    assert faults(new) == []


def test_an_empty_journal_gets_the_very_same_history(friend, story, tmp_path, run):
    """Keys, times and chain as they were."""
    store.create(tmp_path / "empty.db")
    assert run("--journal", str(tmp_path / "empty.db"), "import", str(friend)).code == 0
    assert rows(tmp_path / "empty.db", "SELECT * FROM history") == rows(story, "SELECT * FROM history")


@pytest.mark.parametrize("broken", ["files", "history", "commit"])
@pytest.mark.parametrize("into", ["mine", "new"])
def test_it_comes_in_whole_or_not_at_all(friend, mine, tmp_path, monkeypatch, into, broken):
    """Whatever breaks: no record, no file, no folder is left of it."""
    target = mine if into == "mine" else tmp_path / "new" / "j.db"
    target.parent.mkdir(exist_ok=True)
    before = dump(mine)

    def breaks(*_, **__):
        raise OSError(28, "No space left on device", "somewhere")

    if broken == "files":
        monkeypatch.setattr(taking_in.attachments, "take_in", breaks)
    elif broken == "history":
        monkeypatch.setattr(taking_in, "_add_history", breaks)
    else:
        monkeypatch.setattr(taking_in.Session, "commit", breaks)
    with pytest.raises((OSError, Refused)):
        taking_in.take_in(target, friend)
    monkeypatch.undo()
    assert dump(mine) == before
    assert not places.files_folder(mine).exists() or not [
        f for f in places.files_folder(mine).rglob("*") if f.is_file() and f.name != attachments.MARK
    ]
    assert into == "mine" or list(target.parent.iterdir()) == []


def test_a_journal_made_meanwhile_is_kept(friend, tmp_path, monkeypatch):
    """Two imports at once into nothing: the later finds what the earlier made."""
    new, fill = tmp_path / "new.db", taking_in._fill

    def slow(*args):
        fill(*args)
        new.write_bytes(b"made by the other")

    monkeypatch.setattr(taking_in, "_fill", slow)
    with pytest.raises(Refused, match="made by another program meanwhile"):
        taking_in.take_in(new, friend)
    assert new.read_bytes() == b"made by the other"


def test_what_was_changed_by_hand_is_told_and_taken_in_with_a_reason(path, tmp_path, run):
    """One value, a row that is new and one that is gone: refused as they are, corrections where a reason is given."""
    out = exported(_small(path, tmp_path), tmp_path / "out")
    attempt, revision = next(out.rglob("A1.toml")), next(out.rglob("r1.toml"))
    attempt.write_text(attempt.read_text().replace('outcome = "not said"', 'outcome = "failed"'))
    gone = re.compile(r"\[\[sheetvalue\]\]\nid = 2\n(.+\n)*\n")
    revision.write_text(gone.sub("", revision.read_text()))
    next(out.rglob("M1.toml")).with_name("M2.toml").write_text(
        next(out.rglob("M1.toml")).read_text().replace("id = 1\n", "id = 2\n", 1)
    )
    new = tmp_path / "new.db"
    refused = run("--journal", str(new), "import", str(out))
    assert (refused.code, refused.err.count("\n"), new.exists()) == (1, 1, False)
    for told in ("attempts/A1.toml, line ", "(outcome)", "M2.toml", "(not in the history)", "site.mean_wind (gone)"):
        assert told in refused.err
    done = run("--journal", str(new), "import", str(out), "--correct", "the station said so")
    assert "Changed by hand, and kept as corrections: 3." in done.out
    assert faults(new) == []
    found = rows(new, "SELECT action, ref FROM history WHERE why = 'the station said so' ORDER BY ref")
    assert found == [("correction", "A1"), ("add", "M2"), ("remove", "r1 site.mean_wind")]
    with store.journal(new) as s:
        assert find_record(s, "A1", Attempt).outcome == "failed"


def test_files_that_are_no_part_of_it_are_left_aside(path, tmp_path, run):
    """Notes beside the records, and what belongs to a version control."""
    out = exported(path, tmp_path / "out")
    (out / ".git").mkdir()
    (out / ".git" / "config.toml").write_text("x")
    next(out.rglob("build.toml")).with_name("notes.md").write_text("mine")
    told = taking_in.take_in(tmp_path / "new.db", out)
    assert told.aside == ["1-shed-wind-generator/notes.md"]


def test_an_older_form_without_a_newer_column_is_read(path, tmp_path):
    """What is not said is empty, or what the column has where nothing is said."""
    out = exported(_small(path, tmp_path), tmp_path / "out")
    journal = out / "journal.toml"
    journal.write_text(journal.read_text().replace(taking_in.sqlite_file.VERSIONS[-1], "0001"))
    assert taking_in.take_in(tmp_path / "new.db", out).records["attempts"] == 2


def test_a_folder_packed_whole_is_read(path, tmp_path):
    """As file managers do it, with the folder's own name on top."""
    exported(_small(path, tmp_path), tmp_path / "out")
    shutil.make_archive(str(tmp_path / "packed"), "zip", tmp_path, "out")
    assert taking_in.take_in(tmp_path / "new.db", tmp_path / "packed.zip").records["attempts"] == 2


def test_the_place_of_what_breaks_a_rule_of_the_tables_is_named(path, tmp_path):
    """By the file, for what only the database knows."""
    out = exported(_small(path, tmp_path), tmp_path / "out")
    file = next(out.rglob("A1.toml"))
    file.write_text(file.read_text().replace("wind_low = 8.0", "wind_low = 99.0"))
    with pytest.raises(Exception, match=r"attempts/A1.toml: the journal would refuse it: CHECK .*wind"):
        taking_in.take_in(tmp_path / "new.db", out, correct="why not")


def test_the_chain_is_checked_row_by_row(path, tmp_path):
    """A row that was changed, and one that was lost."""
    out = exported(_small(path, tmp_path), tmp_path / "out")
    lines = (out / "history.jsonl").read_text().splitlines()
    for spoilt in ([lines[0], *lines[2:]], [lines[0], lines[1].replace('"add"', '"change"'), *lines[2:]]):
        (out / "history.jsonl").write_text("\n".join(spoilt) + "\n")
        with pytest.raises(Exception, match=r"history.jsonl, row 2: it does not follow"):
            taking_in.take_in(tmp_path / "new.db", out)


def test_keys_of_rows_that_are_gone_meet_no_others(path, tmp_path, mine):
    """A row removed and its key used again, in both journals: the histories still lead to the records."""
    for journal in (path, mine):
        for n in range(2):
            with store.journal(journal, write=True) as s:
                values = sheet_toml.from_toml(f'[storage]\nvoltage = "{12 + n} V"\n')
                sheet.set_values(s, find_revision(s), values, correction="so")
            with store.journal(journal, write=True) as s:
                sheet.unset(s, find_revision(s), ["storage.voltage"], correction="so")
    assert rows(path, "SELECT count(*) FROM history WHERE kind = 'sheetvalue' AND record_id = 1") == [(4,)]
    taking_in.take_in(mine, exported(path, tmp_path / "out", build="Shed wind generator"))
    assert faults(mine) == []
    assert rows(mine, "SELECT count(*) FROM history WHERE kind = 'sheetvalue' AND record_id = 2") == [(4,)]
