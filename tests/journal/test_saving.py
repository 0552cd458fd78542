"""Write-ups on disk: whole, with their pictures beside them, as often as wanted, and never over anything else."""

import pytest

from journal.errors import Refused
from journal.publish.saving import Made, folder_of, save


@pytest.fixture
def journal(tmp_path):
    """A file that stands for the journal."""
    (tmp_path / "j.db").write_bytes(b"SQLite format 3\x00 and more")
    return tmp_path / "j.db"


def made(text="one", **pictures):
    """A write-up with pictures by name."""
    return Made(text, (), {f"{name}.png": data for name, data in pictures.items()}, "forum-pictures")


def test_a_write_up_lies_beside_its_pictures(tmp_path, journal):
    """And may be made again over the old one."""
    out = tmp_path / "forum.md"
    assert folder_of(out) == "forum-pictures"
    for text, data in (("one", b"1"), ("two", b"2")):
        assert save(made(text, power=data), out, journal) == []
        assert out.read_text(encoding="utf-8") == text
        assert (tmp_path / "forum-pictures" / "power.png").read_bytes() == data
    assert sorted(p.name for p in tmp_path.iterdir()) == ["forum-pictures", "forum.md", "j.db", "j.db.kept"]


def test_a_picture_that_is_no_longer_in_it_is_taken_away(tmp_path, journal):
    """Its photo may have become private; what the person put there or changed stays, and is told."""
    out, beside = tmp_path / "forum.md", tmp_path / "forum-pictures"
    save(made(power=b"1", secret=b"2", changed=b"3"), out, journal)
    (beside / "changed.png").write_bytes(b"mine")
    (beside / "own.png").write_bytes(b"mine")
    (beside / "notes.txt").write_text("mine")
    assert save(made(power=b"1"), out, journal) == [beside / "changed.png", beside / "own.png"]
    assert sorted(p.name for p in beside.iterdir()) == ["changed.png", "notes.txt", "own.png", "power.png"]
    assert save(Made("none", (), {}, "forum-pictures"), out, journal)
    assert not (beside / "power.png").exists()


def test_a_page_with_its_pictures_inside_leaves_those_of_a_text_beside_it(tmp_path, journal):
    """They have one stem, and one folder."""
    save(made(power=b"1"), tmp_path / "forum.md", journal)
    save(Made("<html>", ()), tmp_path / "forum.html", journal)
    assert (tmp_path / "forum-pictures" / "power.png").exists()


def test_nothing_else_is_written_over(tmp_path, journal):
    """Neither another file of the person, but where that was asked for, nor ever a journal or what belongs to it."""
    mine = tmp_path / "notes.md"
    mine.write_text("mine")
    with pytest.raises(Refused, match="--over"):
        save(made(power=b"1"), mine, journal)
    assert mine.read_text() == "mine"
    assert not (tmp_path / "forum-pictures").exists()
    save(made(), mine, journal, over=True)
    assert mine.read_text() == "one"
    (tmp_path / "j.db.files").mkdir()
    (tmp_path / "j.db.files" / "x.md").write_text("attached")
    (tmp_path / "other.db").write_bytes(journal.read_bytes())
    for target in (journal, tmp_path / "other.db", tmp_path / "j.db.files" / "x.md"):
        before = target.read_bytes()
        with pytest.raises(Refused, match="never written over"):
            save(made(), target, journal, over=True)
        assert target.read_bytes() == before


def test_a_picture_of_the_person_is_not_written_over(tmp_path, journal):
    """Where one of ours would have its name, nothing is written at all."""
    (tmp_path / "forum-pictures").mkdir()
    (tmp_path / "forum-pictures" / "power.png").write_bytes(b"mine")
    with pytest.raises(Refused, match=r"power.png is there already"):
        save(made(power=b"1"), tmp_path / "forum.md", journal)
    assert not (tmp_path / "forum.md").exists()


def test_without_pictures_no_folder_is_made(tmp_path, journal):
    """The text alone."""
    save(Made("one", (), {}, "forum-pictures"), tmp_path / "forum.md", journal)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["forum.md", "j.db", "j.db.kept"]


def test_what_cannot_be_written_is_told(tmp_path, journal):
    """A folder in its place, no folder at all, or one in which nothing may be put; nothing half-written stays."""
    (tmp_path / "forum.md").mkdir()
    with pytest.raises(Refused, match="is not a plain file"):
        save(Made("one", ()), tmp_path / "forum.md", journal)
    with pytest.raises(Refused, match=r"cannot be written \(there is no folder"):
        save(Made("one", ()), tmp_path / "none" / "forum.md", journal)
    (tmp_path / "other-pictures").write_text("in the way")
    with pytest.raises(Refused, match="cannot be written"):
        save(Made("one", (), {"a.png": b"1"}, "other-pictures"), tmp_path / "other.md", journal)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["forum.md", "j.db", "other-pictures"]
