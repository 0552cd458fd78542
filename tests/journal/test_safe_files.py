"""Files are written whole or not at all, and over nothing that somebody else made."""

import errno
import os

import pytest

from journal.book import places, safe_files
from journal.errors import Refused


def _names(folder):
    return sorted(p.name for p in folder.iterdir())


def test_a_new_file_has_its_bytes_and_hash(tmp_path):
    """And nothing beside it is left."""
    digest = safe_files.write_new(tmp_path / "a", [b"one", b"two"])
    assert (tmp_path / "a").read_bytes() == b"onetwo"
    assert digest == safe_files.hash_of(tmp_path / "a")
    assert _names(tmp_path) == ["a"]


def test_a_new_file_takes_no_name_that_is_taken(tmp_path):
    """A file, a folder, and a link that leads nowhere."""
    (tmp_path / "a").write_text("mine")
    (tmp_path / "b").mkdir()
    (tmp_path / "c").symlink_to(tmp_path / "nowhere")
    for name in "abc":
        with pytest.raises(FileExistsError):
            safe_files.write_new(tmp_path / name, [b"theirs"])
    assert (tmp_path / "a").read_text() == "mine"
    assert _names(tmp_path) == ["a", "b", "c"]


def test_without_second_names_a_taken_name_is_still_kept(tmp_path, monkeypatch):
    """Some file systems know no links."""

    def none(*_):
        raise OSError(errno.EPERM, "no links here")

    monkeypatch.setattr(safe_files.os, "link", none)
    safe_files.write_new(tmp_path / "a", [b"first"])
    with pytest.raises(FileExistsError):
        safe_files.write_new(tmp_path / "a", [b"second"])
    assert (tmp_path / "a").read_bytes() == b"first"


@pytest.mark.parametrize("write", [safe_files.write_new, safe_files.replace])
def test_a_full_disk_in_the_middle_leaves_what_was_there(tmp_path, write):
    """Half a file never has the name of a whole one."""

    def running_out():
        yield b"half"
        raise OSError(errno.ENOSPC, "No space left on device")

    target = tmp_path / "a"
    if write is safe_files.replace:
        target.write_text("before")
    with pytest.raises(OSError, match="No space"):
        write(target, running_out())
    assert _names(tmp_path) == (["a"] if write is safe_files.replace else [])
    assert not target.exists() or target.read_text() == "before"


def test_bytes_are_on_the_disk_before_the_name_and_the_name_before_it_is_told(tmp_path, monkeypatch):
    """File, rename, folder: in this order, else a power cut leaves an empty file under the right name."""
    told = []
    for name in ("fsync", "replace", "link"):
        real = getattr(os, name)

        def spy(*about, name=name, real=real):
            kind = "folder" if name == "fsync" and os.path.isdir(f"/proc/self/fd/{about[0]}") else "file"
            told.append(f"{name} {kind}" if name == "fsync" else name)
            return real(*about)

        monkeypatch.setattr(safe_files.os, name, spy)
    safe_files.write_new(tmp_path / "a", [b"x"])
    safe_files.replace(tmp_path / "a", [b"y"])
    assert told == ["fsync file", "link", "fsync folder", "fsync file", "replace", "fsync folder"]


@pytest.fixture
def own(tmp_path):
    """The register beside a journal."""
    (tmp_path / "j.db").write_bytes(b"SQLite format 3\x00 and so on")
    return safe_files.OwnFiles(tmp_path / "j.db")


def test_what_was_written_is_written_again(own, tmp_path):
    """As often as wanted, as long as nobody changed it."""
    page = tmp_path / "page.md"
    for text in (b"one", b"two", b"three"):
        own.put(page, text)
        assert page.read_bytes() == text
    page.write_text("my own words")
    with pytest.raises(Refused, match="add --over"):
        own.put(page, b"four")
    assert page.read_text() == "my own words"
    own.put(page, b"four", over=True)
    assert own.is_ours(page)


@pytest.mark.parametrize("over", [True, False])
@pytest.mark.parametrize(
    "name", ["j.db", "j.db-wal", "j.db.files/ab/cd.jpg", "j.db.kept/backups/x.db", "other.db", "folder", "link"]
)
def test_a_journal_and_what_belongs_to_it_is_never_written_over(own, tmp_path, name, over):
    """Not even where the person would have it replaced."""
    target = tmp_path / name
    target.parent.mkdir(parents=True, exist_ok=True)
    if name == "folder":
        target.mkdir()
    elif name == "link":
        target.symlink_to(tmp_path / "j.db")
    elif name == "other.db":
        target.write_bytes(b"SQLite format 3\x00 of somebody")
    elif name != "j.db":
        target.write_bytes(b"precious")
    before = None if name == "folder" else target.read_bytes()
    with pytest.raises(Refused, match=r"never written over|not a plain file"):
        own.put(target, b"page", over=over)
    assert before is None or target.read_bytes() == before


def test_only_what_was_written_and_left_as_it_was_is_removed(own, tmp_path):
    """A photo that was withdrawn goes; one that somebody put there stays."""
    for name in ("ours.png", "changed.png"):
        own.put(tmp_path / name, b"picture")
    (tmp_path / "theirs.png").write_bytes(b"picture")
    (tmp_path / "changed.png").write_bytes(b"drawn on")
    assert [own.remove(tmp_path / f"{n}.png") for n in ("ours", "changed", "theirs", "gone")] == [
        True, False, False, False,
    ]  # fmt: skip
    assert not (tmp_path / "ours.png").exists()
    assert (tmp_path / "changed.png").read_bytes() == b"drawn on"


def test_a_spoilt_register_only_asks_more(own, tmp_path):
    """It is no reason to lose a page, nor to write over one."""
    own.put(tmp_path / "page.md", b"one")
    (places.kept_folder(tmp_path / "j.db") / "written.json").write_text("[" * 100_000)
    with pytest.raises(Refused, match="--over"):
        own.put(tmp_path / "page.md", b"two")
    own.put(tmp_path / "new.md", b"one")
    assert own.is_ours(tmp_path / "new.md")
