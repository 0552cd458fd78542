"""Files as terminals hand them over when they are dragged in."""

from pathlib import Path

import pytest

from journal.cli.dropped import dropped, names_in
from journal.errors import BadInput


@pytest.mark.parametrize(
    ("typed", "names"),
    [
        ("a.jpg", ["a.jpg"]),
        ("a.jpg b.jpg ", ["a.jpg", "b.jpg"]),
        ("'a b.jpg'", ["a b.jpg"]),
        ('"a b.jpg" c.jpg', ["a b.jpg", "c.jpg"]),
        (r"/home/me/a\ b\(1\).jpg", ["/home/me/a b(1).jpg"]),
        ("file:///home/me/a%20b.jpg", ["/home/me/a b.jpg"]),
        ("file://localhost/home/me/a.jpg", ["/home/me/a.jpg"]),
        ("file:///C:/photos/a.jpg", ["C:/photos/a.jpg"]),
        ("'it'\"'\"'s.jpg'", ["it", "'", "s.jpg"]),
        ("a.jpg\nb.jpg", ["a.jpg", "b.jpg"]),
    ],
)
def test_names_are_read_as_shells_and_desktops_write_them(typed, names):
    """POSIX quoting, backslashes, and addresses of RFC 8089."""
    assert names_in(typed) == [Path(n) for n in names]


def test_a_backslash_can_part_folders():
    """As it does on Windows."""
    assert names_in(r"C:\photos\a.jpg", backslashes=False) == [Path(r"C:\photos\a.jpg")]


def test_a_name_with_blanks_is_understood_where_there_is_such_a_file(tmp_path):
    """Typed plainly; else each word is a name of its own."""
    (tmp_path / "a b.jpg").touch()
    assert dropped(f"{tmp_path}/a b.jpg") == [tmp_path / "a b.jpg"]


@pytest.mark.parametrize("typed", ["nothing.jpg", "'open", '"open', "a.jpg 'b"])
def test_what_is_no_file_is_told(typed):
    """In a line."""
    with pytest.raises(BadInput):
        dropped(typed)
