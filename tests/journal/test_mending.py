"""The doctor: what is wrong is told, what can be mended is mended, and what was lost is said."""

import contextlib
import json
import shutil
import sqlite3

import pytest

from journal.book import attempts, backups, mending, places, sqlite_file, store
from tests.conftest import dump, rows


def _change(path, *statements):
    with contextlib.closing(sqlite3.connect(path)) as connection:
        for statement in statements:
            connection.execute(statement)
        connection.commit()


def _doctor(run, *more):
    done = run("doctor", "--json", *more)
    assert done.err == ""
    return done.code, json.loads(done.out)


def test_a_whole_journal_is_told_to_be_whole(story, run):
    """And what was looked at."""
    code, said = _doctor(run)
    assert (code, said["whole"], said["faults"], said["files"]) == (0, True, [], 3)
    assert "is whole" in run("doctor").out


@pytest.mark.parametrize(
    "statements",
    [
        ["UPDATE attempt SET saw = 'nothing' WHERE number = 2"],
        ["DELETE FROM cause"],
        ["DELETE FROM evidence", "DELETE FROM cause", "UPDATE failure SET saw = ''"],
        ["UPDATE option SET changes = '{'"],
        ["DELETE FROM sheetvalue WHERE revision_id = 2"],
    ],
)
def test_records_are_put_back_as_the_history_leaves_them(story, run, statements):
    """To the letter; the journal as it was found is kept."""
    before = dump(story)
    _change(story, *statements)
    spoilt = dump(story)
    code, said = _doctor(run)
    assert (code, said["whole"]) == (1, False)
    assert dump(story) == spoilt
    code, said = _doctor(run, "--mend")
    assert (code, said["whole"], said["repair"]["lost"]) == (0, True, [])
    assert sorted(dump(story)) == sorted(before)
    assert dump(places.Path(said["repair"]["copy"])) == spoilt


def test_a_record_without_a_history_gets_one(story, run):
    """Put in by hand: it stays."""
    columns = "build_id, number, recorded_at, revision_id, who, said"
    _change(story, f"INSERT INTO claim ({columns}) VALUES (1, 9, '2026-01-01T00:00:00Z', 1, 'me', '1 W')")
    assert _doctor(run)[0] == 1
    assert _doctor(run, "--mend")[0] == 0
    assert rows(story, "SELECT said FROM claim WHERE number = 9") == [("1 W",)]
    assert "C9" in run("show", "C9").out


def test_a_broken_chain_is_bound_anew_and_says_so(story, run):
    """What was taken out of the history cannot be known, and is told to be lost."""
    _change(story, "DELETE FROM history WHERE kind = 'cause'", "UPDATE history SET why = 'no' WHERE id = 3")
    assert _doctor(run)[0] == 1
    code, said = _doctor(run, "--mend")
    assert code == 0
    assert any("cannot be told" in line for line in said["repair"]["lost"])
    assert rows(story, "SELECT count(*) FROM cause") != [(0,)]
    assert rows(story, "SELECT why FROM history WHERE kind = 'journal'")[0][0].startswith("history repaired")


@pytest.mark.parametrize("harm", ["changed", "gone"])
def test_a_file_comes_back_from_a_backup(story, run, harm):
    """By its hash; without any copy it is told to be lost."""
    backups.keep(story, "daily")
    file = min(places.files_folder(story).glob("??/*"))
    whole = file.read_bytes()
    file.write_bytes(b"flipped") if harm == "changed" else file.unlink()
    code, said = _doctor(run)
    assert (code, [f["kind"] for f in said["faults"]]) == (1, ["attachment"])
    assert _doctor(run, "--mend")[0] == 0
    assert file.read_bytes() == whole
    shutil.rmtree(places.kept_folder(story))
    file.unlink()
    code, said = _doctor(run, "--mend")
    assert code == 1
    assert said["repair"] is None, "nothing of it can be put right"
    assert "attach it again" in said["faults"][0]["lost"]


def _log(path, count):
    for n in range(count):
        with store.journal(path, write=True) as s:
            attempts.log_attempt(s, attempts.AttemptTyped(f"later {n} " + "x" * 3000))


def test_a_log_of_another_file_is_taken_away(story, run, tmp_path):
    """A backup copied over the journal beside a left log: refused first, then the backup is what stands."""
    backup = tmp_path / "copy.db"
    sqlite_file.copy(story, backup)
    _log(story, 40)
    also = sqlite3.connect(story)
    also.execute("SELECT * FROM build").fetchall()
    _log(story, 3)
    log = places.log_of(story).read_bytes()
    also.close()
    shutil.copyfile(backup, story)
    places.log_of(story).write_bytes(log)
    story.with_name(story.name + "-shm").unlink(missing_ok=True)
    refused = run("status")
    assert (refused.code, refused.err.count("\n")) == (1, 1), refused.err[-600:]
    assert "galebook doctor" in refused.err
    assert _doctor(run)[0] == 1
    code, said = _doctor(run, "--mend")
    assert (code, said["whole"]) == (0, True), said
    assert dump(story) == dump(backup)


def _pages_of(path, table):
    with contextlib.closing(sqlite3.connect(path)) as connection:
        (size,) = connection.execute("PRAGMA page_size").fetchone()
        (root,) = connection.execute("SELECT rootpage FROM sqlite_master WHERE name = ?", (table,)).fetchone()
    return size, root


@pytest.mark.parametrize("table", ["measurement", "attempt", "partuse", "cause", "uq_attempt_build_id_number"])
def test_a_lost_page_is_made_up_for_by_the_history(story, run, table):
    """One page of a table, or of an index, overwritten with nonsense: no record is lost."""
    before = dump(story)
    _change(story, "PRAGMA wal_checkpoint(TRUNCATE)")
    names = [r[0] for r in rows(story, "SELECT name FROM sqlite_master")]
    if table not in names:
        table = next(n for n in names if n.startswith("sqlite_autoindex_attempt"))
    size, root = _pages_of(story, table)
    data = bytearray(story.read_bytes())
    data[(root - 1) * size : root * size] = b"\xff" * size
    story.write_bytes(data)
    code, said = _doctor(run)
    assert (code, said["whole"]) == (1, False)
    code, said = _doctor(run, "--mend")
    assert code == 0, said
    found = dump(story)
    assert sorted(line for line in found if "sqlite_sequence" not in line) == sorted(
        line for line in before if "sqlite_sequence" not in line
    )


def test_where_nothing_can_be_read_it_says_so_and_keeps_the_file(story, run):
    """The way back is a backup."""
    story.write_bytes(b"SQLite format 3\x00" + b"\xff" * 20_000)
    before = story.read_bytes()
    assert _doctor(run)[0] == 1
    done = run("doctor", "--mend")
    assert (done.code, done.err.count("\n")) == (1, 1)
    assert "galebook restore" in done.err
    assert story.read_bytes() == before


def test_a_journal_from_the_future_is_left_alone(story, run):
    """It may be whole in ways that this program does not know."""
    _change(story, "UPDATE alembic_version SET version_num = '9999'")
    done = run("doctor", "--mend")
    assert done.code == 1
    assert "newer Galebook" in done.err


def test_texts_that_name_what_is_not_there_are_worth_a_look(story, run):
    """But no fault: M8 may be a bolt."""
    with store.journal(story, write=True) as s:
        attempts.log_attempt(s, attempts.AttemptTyped("did as after F77, with an M8 bolt and an M10x30, see A1"))
    code, said = _doctor(run)
    assert code == 0
    assert [line for line in said["remarks"] if "names" in line] == ["A10, did: names F77, which is not there"]
    assert mending.BEYOND > 0


def test_a_record_that_can_be_read_is_never_put_back_to_an_older_one(story, run):
    """The end of the file was lost, and with it the newest of the history: what the records say stands."""
    _change(story, "PRAGMA wal_checkpoint(TRUNCATE)")
    kept = {name: rows(story, f"SELECT * FROM {name} ORDER BY id") for name in ("sheetvalue", "decision", "revision")}
    size, _ = _pages_of(story, "history")
    pages = story.stat().st_size // size
    for cut in (8, 20):
        data = bytearray(story.read_bytes())
        data[(pages - cut) * size :] = bytes(cut * size)
        spoilt = story.with_name(f"spoilt-{cut}.db")
        spoilt.write_bytes(data)
        shutil.copytree(places.files_folder(story), places.files_folder(spoilt))
        with contextlib.closing(sqlite3.connect(spoilt)) as connection:
            readable = {}
            for name in kept:
                with contextlib.suppress(sqlite3.Error):
                    readable[name] = connection.execute(f"SELECT * FROM {name} ORDER BY id").fetchall()
        done = run("--journal", str(spoilt), "doctor", "--mend", "--json")
        assert done.code == 0, done.out
        for name, had in readable.items():
            found = rows(spoilt, f"SELECT * FROM {name} ORDER BY id")
            assert [row for row in had if row not in found] == [], (cut, name)


def test_a_changed_word_in_how_a_table_is_kept_is_told_and_put_right(story, run):
    """One bit in the statement that made a table; its rows are all there."""
    before = dump(story)
    with contextlib.closing(sqlite3.connect(story)) as connection:
        connection.execute("PRAGMA writable_schema=ON")
        connection.execute("UPDATE sqlite_master SET sql = replace(sql, 'severity', 'severitx') WHERE name = 'failure'")
        connection.commit()
    said = run("doctor")
    assert said.code == 1
    assert "how failure is kept was changed" in said.out
    assert run("doctor", "--mend").code == 0
    assert dump(story) == before
    assert run("doctor").code == 0


def test_what_is_lost_for_good_is_lost_once(story, run):
    """Marks of options that nothing tells of any more: the next look finds a whole journal."""
    with contextlib.closing(sqlite3.connect(story)) as connection:
        connection.execute("PRAGMA foreign_keys=OFF")
        connection.execute("DELETE FROM option")
        connection.execute("DELETE FROM history WHERE kind = 'option'")
        connection.commit()
    assert "nothing tells of" in " ".join(run("doctor", "--mend").out.split())
    assert run("doctor").code == 0
    assert len(backups.kept(story)) == 1


def test_first_bytes_that_were_overwritten_cost_nothing(story, run):
    """They are the same in every file of its kind; the message leads to the doctor."""
    before = dump(story)
    data = bytearray(story.read_bytes())
    data[:12] = b"XXXXXXXXXXXX"
    story.write_bytes(data)
    assert "See: galebook doctor" in run("status").err
    assert run("doctor", "--mend").code == 0
    assert dump(story) == before


def test_what_was_put_back_is_said(story, run):
    """Also of what a program reads."""
    with contextlib.closing(sqlite3.connect(story)) as connection:
        connection.execute("UPDATE option SET changes = '{bad' WHERE id = 1")
        connection.commit()
    assert "was put back as the history leaves it" in " ".join(run("doctor", "--mend").out.split())
