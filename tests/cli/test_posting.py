"""Write-ups that are pasted or carried somewhere: in parts, with pictures to upload, or all in a zip or folder."""

import re
import zipfile

import pytest


@pytest.fixture
def posted(run, story, tmp_path):
    """Write a page of the demo; how the command ended."""

    def write(*words, reader="forum", code=0):
        # The story alone is too short to be split.
        done = run("writeup", "--for", reader, *words, *(("--with", "appendix") if reader == "forum" else ()))
        assert done.code == code, done.err
        return done

    return write


def names(folder):
    """Every file in a folder, by its name from there on."""
    return sorted(str(p.relative_to(folder)) for p in folder.rglob("*") if p.is_file())


def test_parts_lie_beside_their_pictures(posted, tmp_path):
    """Numbered, and what to upload is told in order; fewer parts later leave none of before."""
    out = tmp_path / "out" / "history.txt"
    out.parent.mkdir()
    told = posted("--format", "bbcode", "--limit", "30000", "--out", str(out)).err
    found = names(out.parent)
    parts = [n for n in found if n.startswith("history-") and "/" not in n]
    pictures = [n.partition("/")[2] for n in found if "/" in n]
    assert parts == [f"history-{n}.txt" for n in range(1, len(parts) + 1)]
    assert len(parts) > 2
    assert re.findall(r"^  (\S+\.png)  \(part \d\)$", told, re.MULTILINE) == pictures
    text = "".join((out.parent / name).read_text() for name in parts)
    assert [text.index(f": {name})") for name in pictures] == sorted(text.index(f": {name})") for name in pictures)
    assert "Left out: the exact place" in told
    (out.parent / "history-9.txt").write_text("mine")
    posted("--format", "bbcode", "--limit", "100000", "--out", str(out))
    left = [n for n in names(out.parent) if n.startswith("history-") and "/" not in n]
    assert left == ["history-1.txt", "history-2.txt", "history-9.txt"]
    posted("--format", "bbcode", "--limit", "200000", "--out", str(out))
    assert [n for n in names(out.parent) if "/" not in n] == ["history-9.txt", "history.txt"]


def test_what_is_printed_names_its_pictures(posted):
    """And that they are not there is told in a line."""
    for form in ("md", "markdown", "bbcode", "text"):
        done = posted("--format", form, reader="neighbour")
        assert "(Picture 1: 01-elevation-r2.png)" in done.out
        assert "1 picture is named in it and not written; --out FILE writes them beside it." in done.err
    assert "Picture 1" not in posted("--format", "html", reader="neighbour").out


def test_markdown_in_a_file_is_as_before(posted, tmp_path):
    """With links to the pictures beside it."""
    done = posted("--out", str(tmp_path / "page.md"), reader="neighbour")
    assert "](page-pictures/elevation-r2.png)" in (tmp_path / "page.md").read_text()
    assert "upload" not in done.err


def test_a_zip_holds_everything(posted, tmp_path):
    """Every form unless some are named, the pictures in order, and what goes where; the same bytes each time."""
    out = tmp_path / "pack.zip"
    done = posted("--limit", "30000", "--out", str(out))
    with zipfile.ZipFile(out) as archive:
        inside, readme = archive.namelist(), archive.read("README-forum.txt").decode()
        page = archive.read("forum.html").decode()
    assert {"forum-1.md", "forum-bbcode-1.txt", "forum-1.txt", "forum.html"} <= set(inside)
    pictures = [n.partition("/")[2] for n in inside if n.startswith("forum-upload/")]
    assert pictures == sorted(pictures)
    assert re.findall(r"^  (\S+\.png)", readme, re.MULTILINE) == pictures
    assert all(name in readme for name in inside if "/" not in name and not name.startswith("README"))
    assert page.startswith("<!doctype html>")
    assert f"{len(pictures)} pictures; README-forum.txt tells what goes where" in done.err
    before = out.read_bytes()
    posted("--limit", "30000", "--out", str(out))
    assert out.read_bytes() == before


def test_a_folder_holds_everything_for_several_readers(posted, tmp_path):
    """Made if it is not there; what is somebody else's stays, and what is no longer in it goes."""
    out = tmp_path / "pack"
    posted("--out", f"{out}/", "--format", "md", "--format", "text", "--limit", "30000")
    assert "forum-2.md" in names(out)
    (out / "forum-upload" / "mine.png").write_bytes(b"mine")
    posted("--out", f"{out}/", "--format", "md", reader="neighbour")
    done = posted("--out", f"{out}/", "--format", "md")
    found = names(out)
    assert [n for n in found if "/" not in n] == [
        "README-forum.txt",
        "README-neighbour.txt",
        "forum.md",
        "neighbour.md",
    ]
    assert "forum-upload/mine.png" in found
    assert "mine.png" in done.err
    linked = re.findall(r"\]\((.*?)\)", (out / "forum.md").read_text())
    assert linked == [n for n in found if re.match(r"forum-upload/\d", n)]
    (out / "forum.md").write_text("mine")
    posted("--out", f"{out}/", "--format", "md", code=1)
    assert (out / "forum.md").read_text() == "mine"


def test_nothing_private_is_in_any_form(posted, run, tmp_path):
    """Of what the demo keeps to itself."""
    for form in ("markdown", "html", "bbcode", "text"):
        assert "Windle Fold" not in posted("--format", form).out
    assert "Windle Fold" in run("writeup", "--for", "workshop", "--format", "text").out
