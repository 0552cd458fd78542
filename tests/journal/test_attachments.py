"""Photos and files, kept under the hash of their content."""

import hashlib
import os

import pytest

from journal.book import attachments, attempts, places, records, store
from journal.book.tables import Attachment
from journal.errors import BadInput, NotFound, Refused

pytestmark = pytest.mark.both


def damaged(s):
    """Attachments whose copy is missing or changed."""
    return [a for a in records.all_records(s, Attachment, records.current_build(s)) if attachments.is_damaged(s, a)]


@pytest.fixture
def photo(tmp_path):
    """A file to attach."""
    file = tmp_path / "Root Fracture.JPG"
    file.write_bytes(b"a picture, let us say")
    return file


@pytest.fixture(autouse=True)
def _attempt(s):
    attempts.log_attempt(s, attempts.AttemptTyped("raised it"))


def test_a_copy_is_kept_under_its_hash(s, photo):
    """Name, kind, size and caption are on record, and the copy is the file itself."""
    made = attachments.attach(s, photo, "A1", caption="torn at the bolt")
    digest = hashlib.sha256(photo.read_bytes()).hexdigest()
    assert (made.sha256, made.filename, made.media_type) == (digest, "Root Fracture.JPG", "image/jpeg")
    copy = attachments.stored_at(s, made)
    assert (copy.read_bytes(), copy.name) == (photo.read_bytes(), f"{digest}.jpg")
    photo.unlink()
    assert damaged(s) == []


def test_the_same_file_twice_is_kept_once(s, photo):
    """Two records, one copy."""
    both = [attachments.attach(s, photo, ref) for ref in ("A1", "r1")]
    assert [a.ref for a in both] == ["X1", "X2"]
    assert len(list(places.files_folder(s.info["path"]).rglob("*.jpg"))) == 1


@pytest.mark.alone
@pytest.mark.parametrize("harm", ["changed", "cut short", "gone"])
def test_a_damaged_copy_is_found_and_mended_by_attaching_again(s, photo, harm):
    """One changed byte is enough to be found; the same file attached anew puts it right."""
    made = attachments.attach(s, photo, "A1")
    copy = attachments.stored_at(s, made)
    {
        "changed": lambda: copy.write_bytes(b"A" + photo.read_bytes()[1:]),
        "cut short": lambda: copy.write_bytes(photo.read_bytes()[:-1]),
        "gone": copy.unlink,
    }[harm]()
    assert damaged(s) == [made]
    attachments.attach(s, photo, "A1")
    assert damaged(s) == []


@pytest.mark.parametrize("name", [b"a\x1b[31mb.jpg", b"\xff.jpg", b"two\rlines.jpg", b"\x02klzzwxh:0001\x03.md"])
def test_a_name_that_would_do_harm_is_refused(s, tmp_path, name):
    """Names with control characters would reach terminals and pages; others could not be stored."""
    file = os.fsdecode(os.path.join(os.fsencode(tmp_path), name))
    with open(file, "wb"):
        pass
    with pytest.raises(BadInput, match="control character"):
        attachments.attach(s, tmp_path / os.path.basename(file), "A1")


def test_what_is_no_file_is_told(s, tmp_path):
    """Nothing there, and a folder."""
    with pytest.raises(NotFound, match="There is no file"):
        attachments.attach(s, tmp_path / "none.jpg", "A1")
    with pytest.raises(BadInput, match="not a plain file"):
        attachments.attach(s, tmp_path, "A1")


@pytest.mark.alone
def test_a_folder_that_cannot_be_written_is_told(s, photo):
    """A plain file where the folder should be."""
    places.files_folder(s.info["path"]).write_text("in the way")
    with pytest.raises(Refused, match="cannot be written"):
        attachments.attach(s, photo, "A1")


def test_a_file_belongs_to_a_record_that_is_there(s, photo):
    """Not to nothing."""
    with pytest.raises(NotFound, match="no attempt A9"):
        attachments.attach(s, photo, "A9")


def test_a_file_of_more_than_200_mib_is_refused(s, tmp_path):
    """Before it is read; its name in the line. A file without a word about it is not private."""
    file = tmp_path / "film.bin"
    with file.open("wb") as stream:
        stream.truncate(200 * 1024 * 1024 + 1)
    with pytest.raises(BadInput, match=r"film\.bin is not a plain file of at most 200 MiB"):
        attachments.attach(s, file, "r1")
    file.write_bytes(b"short")
    kept = attachments.attach(s, file, "r1")
    assert (kept.private, kept.caption, kept.size) == (False, None, 5)
    assert attachments.stored_at(s, kept).read_bytes() == b"short"
    assert attachments.stored_at(s, kept).suffix == ".bin"


def test_a_file_that_grows_while_it_is_attached_matches_its_own_hash(s, photo, monkeypatch):
    """What is recorded is of the bytes that were copied, and not of those that were there before or after."""
    pieces = attachments.blocks

    def growing(file):
        yield from pieces(file)
        with file.open("ab") as stream:
            stream.write(b" and one line more")
        yield from [b" and one line more"]

    monkeypatch.setattr(attachments, "blocks", growing)
    made = attachments.attach(s, photo, "A1")
    assert made.size == len(b"a picture, let us say and one line more")
    assert damaged(s) == []


@pytest.mark.alone
def test_attachments_are_found_when_the_journal_is_renamed(s, path, photo):
    """They lie beside what it was called before, in a folder that says whose they are; another's are left alone."""
    digest = attachments.attach(s, photo, "A1").sha256
    s.commit()
    moved = path.with_name("renamed.db")
    path.rename(moved)
    with store.journal(moved) as renamed:
        (found,) = attachments.attachments_of(renamed, "A1")
        assert attachments.stored_at(renamed, found).read_bytes() == photo.read_bytes()
        (places.files_folder(path) / "journal").write_text("somebody else")
        assert not attachments.stored_at(renamed, found).exists()
        assert attachments.stored_at(renamed, found).name == f"{digest}.jpg"
    moved.rename(path)


@pytest.mark.parametrize("said", ["../../../etc/passwd", "a" * 63, "A" * 64, "/" * 64, ""])
def test_what_is_no_hash_leads_nowhere(s, photo, said):
    """A record in a journal from elsewhere cannot name a file of this machine."""
    made = attachments.attach(s, photo, "A1")
    made.sha256 = said
    with pytest.raises(Refused, match="no hash"):
        attachments.stored_at(s, made)


@pytest.mark.parametrize(("name", "kept"), [("a.TAR.GZ", ".gz"), ("a.x/../../b", ""), ("a.j g", ""), ("a", "")])
def test_only_a_plain_ending_goes_into_a_name_on_disk(name, kept):
    """The rest of a name is the record's."""
    assert attachments._file_name("0" * 64, name) == "0" * 64 + kept
