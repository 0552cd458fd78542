"""Write-ups on disk: whole, with their pictures beside them, as often as wanted."""

import pytest

from journal.errors import Refused
from journal.publish.saving import Made, folder_of, save


def test_a_write_up_lies_beside_its_pictures(tmp_path):
    """And may be made again over the old one."""
    out = tmp_path / "forum.md"
    assert folder_of(out) == "forum-pictures"
    for text, data in (("one", b"1"), ("two", b"2")):
        save(Made(text, (), {"power.png": data}, "forum-pictures"), out)
        assert out.read_text(encoding="utf-8") == text
        assert (tmp_path / "forum-pictures" / "power.png").read_bytes() == data
    assert sorted(p.name for p in tmp_path.iterdir()) == ["forum-pictures", "forum.md"]


def test_without_pictures_no_folder_is_made(tmp_path):
    """The text alone."""
    save(Made("one", (), {}, "forum-pictures"), tmp_path / "forum.md")
    assert [p.name for p in tmp_path.iterdir()] == ["forum.md"]


def test_what_cannot_be_written_is_told(tmp_path):
    """A folder in its place, no folder at all, or one in which nothing may be put; nothing half-written stays."""
    (tmp_path / "forum.md").mkdir()
    with pytest.raises(Refused, match="is not a plain file"):
        save(Made("one", ()), tmp_path / "forum.md")
    with pytest.raises(Refused, match=r"cannot be written \(No such file"):
        save(Made("one", ()), tmp_path / "none" / "forum.md")
    (tmp_path / "other-pictures").write_text("in the way")
    with pytest.raises(Refused, match="cannot be written"):
        save(Made("one", (), {"a.png": b"1"}, "other-pictures"), tmp_path / "other.md")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["forum.md", "other-pictures"]
