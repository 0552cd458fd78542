"""An export that somebody made up: one clear line, nothing taken in, nothing left behind, nothing without bounds."""

import contextlib
import json
import os
import re
import shutil
import struct
import subprocess
import sys
import time
import zipfile

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from journal.book import builds, store
from journal.book.history import chained
from journal.book.open_form import flat_toml, sources, taking_in
from journal.errors import BadInput, GalebookError
from tests.conftest import pin
from tests.journal.forms import copy_of, exported, tree
from tests.journal.test_open_form import _small

BUILD = "1-shed-wind-generator"


@pytest.fixture(scope="module")
def _whole(_blank, tmp_path_factory):
    """An export of a small journal, made once."""
    folder = tmp_path_factory.mktemp("whole")
    journal = folder / "journal.db"
    shutil.copy(_blank, journal)
    with pytest.MonkeyPatch.context() as patch:
        pin(patch)
        with store.journal(journal, write=True) as s:
            builds.start(s, builds.BuildTyped("Shed wind generator"))
        return exported(_small(journal, folder), folder / "out")


@pytest.fixture
def out(_whole, path, tmp_path):
    """That export, to be spoilt."""
    return copy_of(_whole, tmp_path / "out")


@pytest.fixture
def refused(run, tmp_path):
    """Import and be refused: in one line, with nothing left; the line."""

    def try_it(source, *args):
        target = tmp_path / "target"
        target.mkdir(exist_ok=True)
        result = run("--journal", str(target / "new.db"), "import", str(source), *args)
        assert result.code in (1, 2), result.out
        assert result.err.count("\n") == 1, result.err
        assert result.err.rstrip("\n").isprintable(), result.err
        assert result.out == ""
        assert list(target.iterdir()) == []
        return result.err

    return try_it


def spoil(folder, name, *changes):
    """Change the text of a file."""
    file = next(folder.rglob(name))
    text = file.read_text()
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    file.write_text(text)


@pytest.mark.parametrize(
    ("name", "change", "said"),
    [
        ("A1.toml", ('outcome = "not said"', 'outcome = "splendid"'), "A1.toml, line 9: outcome is 'splendid'"),
        ("A1.toml", ('kind = "run"', ""), "A1.toml: kind is missing"),
        ("A1.toml", ('kind = "run"', "kind = 3"), "A1.toml, line 4: kind is no text"),
        ("A1.toml", ("wind_low = 8.0", 'wind_low = "8"'), r"A1.toml, line \d+: wind_low is no number"),
        ("A1.toml", ("wind_low = 8.0", "wind_low = nan"), "wind_low is no number"),
        ("A1.toml", ("wind_low = 8.0", "wind_low = true"), "wind_low is no number"),
        ("A1.toml", ("wind_low = 8.0", "wind_low = 2026-01-01"), "wind_low is no number"),
        ("A1.toml", ("id = 1", "id = 99999999999999999999"), "id is too large"),
        ("A1.toml", ("id = 1", "id = " + "9" * 70), "id is too large"),
        ("A1.toml", ("id = 1", "id = " + "9" * 5000), "line 1: it is no name and one value"),
        ("A1.toml", ("id = 1", "id = 0"), "its key is 0"),
        ("A1.toml", ("id = 1", "id = -4"), "its key is -4"),
        ("A1.toml", ("id = 1", "id = 2"), "its key 2 is that of .*A1.toml, line 1 too"),
        ("A1.toml", ("id = 1", "id = 1\nid = 1"), "no TOML that can be read"),
        ("A1.toml", ('"r1"', '"r9"'), "A1.toml, line 3: there is no revision r9"),
        ("A1.toml", ('"r1"', '"A1"'), "revision_id names no revision"),
        ("A1.toml", ('"r1"', "77"), "there is no revision 77"),
        ("A1.toml", ("wind_low =", "wind_lower ="), "there is no wind_lower in an? attempt. Did you mean wind_low"),
        ("A1.toml", ("id = 1", "id = 1\nbuild_id = 7"), "there is no build_id in an? attempt"),
        ("A1.toml", ("id = 1", "id = {a = 1}"), "line 1: it is no name and one value"),
        ("A1.toml", ("id = 1", "id.a.b = 1"), "line 1: it is no name and one value"),
        ("A1.toml", ("id = 1", "id = [" * 3000), "line 1: it is no name and one value"),
        ("A1.toml", ('began = "', 'began = """'), "line 7: it is no name and one value"),
        ("A1.toml", ('began = "2', 'began = 2'), "A1.toml: it is no TOML that can be read"),
        ("A1.toml", ("wind_low = 8.0", "hours = -1.0"), "the journal would refuse it: CHECK constraint failed"),
        ("r1.toml", ("[[sheetvalue]]", "[[sheetvalues]]"), "there is no sheetvalues in a revision"),
        ("A2.toml", ("id = 2", "id = 2\nhistory = 3"), "there is no history in an? attempt"),
        ("F1.toml", ("id = 1", "id = 1\nevidence = 3"), "F1.toml: evidence is no array of tables"),
        ("r1.toml", ('file = "r1-sheet.toml"', 'file = "../../../etc/passwd"'), "there is no file"),
        ("r1.toml", ('path = "site.mean_wind"', 'path = "storage.voltage"'), r"refuse it: UNIQUE"),
        ("X1.toml", ("size = 11", "size = 12"), "has not the size that its record says"),
        ("X1.toml", ('sha256 = "', 'sha256 = "0'), "it is no hash of a file"),
        ("journal.toml", ("form = 1", "form = 2"), "written by another Galebook, most likely a newer one"),
        ("journal.toml", (store.sqlite_file.VERSIONS[-1], "9999"), "written by another Galebook, most likely a newer"),
        ("journal.toml", ("form = 1", "form = 1.5"), "does not say form, schema and whole"),
        ("journal.toml", ("whole = true", "whole = true\ncolour = 3"), "there is no place for colour"),
        ("history.jsonl", ('{"id": 1,', '{"id": 5,'), "row 2: its key 2 does not follow 5"),
        ("history.jsonl", ('"kind": "build"', '"kind": "bank"'), "row 1: it is about no kind of record"),
        ("history.jsonl", ('"build_id": 1', '"build_id": 8'), "belongs to a build 8 that is not there"),
        ("history.jsonl", ('"after": {', '"after": {"x": [[1]], '), "line 1: after holds no columns"),
        ("history.jsonl", ('"after": {', '"after": "nonsense", "x": {'), "line 1: it is no row of a history"),
        ("history.jsonl", ('"id": 1', '"id": ' + "9" * 6000), "line 1: it is no JSON"),
        ("history.jsonl", ('"id": 1', '"id": ' + "[" * 100_000), "line 1: it is no JSON"),
        ("history.jsonl", ('"ref": "Shed', '"ref": "\\ud800Shed'), "line 1: ref holds half a letter"),
    ],
)  # fmt: skip
def test_what_cannot_be_used_is_told_with_its_place(out, refused, name, change, said):
    """File, line where there is one, and what would be accepted."""
    spoil(out, name, change)
    assert re.search(said, refused(out, "--correct", "try me"))


def test_a_file_that_is_not_the_one_attached_is_told(out, refused):
    """By its hash; after everything else was in order."""
    file = next(out.rglob("X1-*"))
    file.write_bytes(file.read_bytes()[::-1])
    assert "its hash is another" in refused(out)
    assert "its hash is another" in refused(out, "--try")


@pytest.mark.parametrize(
    "name", ["journal.toml", "history.jsonl", "build.toml", "X1-Root-fracture-spate-Boe.JPG", "r1-sheet.toml"]
)
def test_what_is_missing_is_told(out, refused, name):
    """Half a copy is no journal."""
    next(out.rglob(name)).unlink()
    assert refused(out)


@pytest.mark.parametrize("name", ["A3.TOML.toml", "stray.toml", "B1.toml", "A01.toml", "A999999999.toml"])
def test_a_record_that_lies_wrong_is_told(out, refused, name):
    """It was meant to be taken in."""
    shutil.copy(next(out.rglob("A1.toml")), next(out.rglob("A1.toml")).with_name(name))
    assert "no record lies there" in refused(out)


@pytest.mark.parametrize("kind", ["link", "hard link", "pipe", "folder link", "device"])
def test_what_is_no_plain_file_is_not_read(out, refused, tmp_path, kind):
    """Neither followed nor waited for."""
    secret = tmp_path / "secret.txt"
    secret.write_text("secret")
    target = out / BUILD / "attachments" / "X2-photo.jpg"
    if kind == "link":
        target.symlink_to(secret)
    elif kind == "hard link":
        os.link(secret, target)
    elif kind == "pipe":
        os.mkfifo(target)
    elif kind == "folder link":
        (out / BUILD / "more").symlink_to(tmp_path)
    else:
        try:
            os.mknod(target, 0o020600, os.makedev(1, 5))
        except PermissionError:
            pytest.skip("only the superuser makes devices")
    assert "Only plain files are read" in refused(out)


@pytest.mark.parametrize("given", ["pipe", "/dev/zero", "text", "nothing", "empty"])
def test_what_is_neither_folder_nor_zip_is_told(refused, tmp_path, given):
    """Without waiting for its end."""
    source = tmp_path / "given"
    if given == "pipe":
        os.mkfifo(source)
    elif given != "nothing":
        source.write_text("PK" if given == "text" else "")
    assert refused(given if given.startswith("/") else source)


@pytest.mark.parametrize(
    "name", ["a\x1b[31m.txt", "a\nb.txt", "a\u202etxt.jpg", b"\xff.txt", "a\\b.txt", "c:.txt"], ids=ascii
)
def test_names_with_control_characters_are_told(out, refused, name):
    """And do not reach the terminal."""
    with open(os.path.join(os.fsencode(out), os.fsencode(name)), "w"):
        pass
    assert refused(out)


def test_what_lies_too_deep_is_told(out, refused):
    """No walk without end."""
    deep = out / "a/b/c/d/e"
    deep.mkdir(parents=True)
    (deep / "x").write_text("")
    assert "deeper than anything" in refused(out)


def test_too_many_files_are_told(out, refused, monkeypatch):
    """They are counted before they are looked at."""
    monkeypatch.setattr(sources, "MOST_FILES", 5)
    assert "holds more than 5 files" in refused(out)


def test_too_much_text_is_told(out, refused, monkeypatch):
    """In one file, in one line, in all."""
    monkeypatch.setattr("journal.book.open_form.reading.ALL_TEXT", 500)
    assert "holds more text than 500 bytes" in refused(out)
    monkeypatch.undo()
    file = next(out.rglob("A1.toml"))
    with file.open("a") as stream:
        stream.write("#" * (sources.LARGEST_TEXT + 1))
    assert "At most 4194304 are read" in refused(out)


def packed(out, target, *more, kind=zipfile.ZIP_DEFLATED):
    """A zip of an export with more in it."""
    with zipfile.ZipFile(target, "w", kind) as archive:
        for name, data in tree(out).items():
            archive.writestr(name, data)
        for name, data in more:
            archive.writestr(name, data)
    return target


@pytest.mark.parametrize(
    "name",
    [
        "../evil.txt",
        "/etc/evil.txt",
        "a/../../evil.txt",
        "C:evil.txt",
        "a\\..\\evil.txt",
        "a//b.txt",
        "./a.txt",
        "x\x1b.txt",
    ],
)
def test_names_in_a_zip_that_lead_out_are_told(out, refused, tmp_path, name):
    """Nothing is unpacked anyway; but who writes such a zip means no good."""
    entry = zipfile.ZipInfo("placeholder")
    entry.filename = name
    refused(packed(out, tmp_path / "x.zip", (entry, b"evil")))
    assert not list(tmp_path.parent.glob("evil*"))


def test_a_link_in_a_zip_is_told(out, refused, tmp_path):
    """As other programs pack them."""
    entry = zipfile.ZipInfo(f"{BUILD}/attachments/X2-a.jpg")
    entry.create_system, entry.external_attr = 3, 0o120777 << 16
    assert "is a link, a device or a pipe" in refused(packed(out, tmp_path / "x.zip", (entry, b"/etc/passwd")))


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_a_name_twice_in_a_zip_is_told(out, refused, tmp_path):
    """Nobody knows which of them is meant."""
    assert "is in the zip twice" in refused(packed(out, tmp_path / "x.zip", ("history.jsonl", b"")))


def test_a_zip_that_would_burst_is_told(out, refused, tmp_path):
    """By how close it is packed, before it is read."""
    assert "would grow" in refused(packed(out, tmp_path / "x.zip", ("bomb.jpg", bytes(50 << 20))))


def _lying(file, name, size):
    """A zip whose list says another size of a file."""
    data = bytearray(file.read_bytes())
    at = data.rfind(name.encode()) - 46
    struct.pack_into("<L", data, at + 24, size)
    file.write_bytes(data)


@pytest.mark.parametrize("said", [3, 400, 40_000])
def test_a_zip_that_lies_about_a_size_is_told(out, refused, tmp_path, said):
    """No more is read than was said, and what was said must be there."""
    file = packed(out, tmp_path / "x.zip")
    _lying(file, f"{BUILD}/attempts/A1.toml", said)
    refused(file)


def test_a_zip_with_a_password_or_a_rare_packing_is_told(out, refused, tmp_path):
    """Those two are not read."""
    assert "packed in a way that is not read" in refused(packed(out, tmp_path / "x.zip", kind=zipfile.ZIP_LZMA))
    file = packed(out, tmp_path / "y.zip")
    data = bytearray(file.read_bytes())
    at = data.rfind(b"history.jsonl") - 46
    struct.pack_into("<H", data, at + 8, 1)
    file.write_bytes(data)
    assert "is under a password" in refused(file)


def test_a_zip_with_an_endless_list_is_told_before_it_is_read(out, refused, tmp_path):
    """The list is read into memory at once by whoever opens it."""
    file = packed(out, tmp_path / "x.zip")
    data = bytearray(file.read_bytes())
    struct.pack_into("<L", data, len(data) - 22 + 12, 0xFFFFFFF0)
    file.write_bytes(data)
    assert "neither a folder nor a zip" in refused(file)


def _in_or_refused(journal, source, **more):
    """Try it; what is said about it fits on a terminal."""
    said = ""
    try:
        taking_in.take_in(journal, source, only_try=True, **more)
    except GalebookError as e:
        said = str(e)
    assert said.isprintable()


@settings(max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_a_damaged_zip_is_taken_in_whole_or_refused(out, tmp_path_factory, data):
    """Bits flipped and ends cut off: what comes in is what was exported, or nothing."""
    folder = tmp_path_factory.mktemp("flip")
    good = packed(out, folder / "good.zip").read_bytes()
    spoilt = bytearray(good[: data.draw(st.integers(len(good) // 2, len(good)))])
    for _ in range(data.draw(st.integers(0, 4))):
        spoilt[data.draw(st.integers(0, len(spoilt) - 1))] ^= 1 << data.draw(st.integers(0, 7))
    (folder / "bad.zip").write_bytes(spoilt)
    _in_or_refused(folder / "new.db", folder / "bad.zip")


LINES = [
    *(b"", b"a = 1", b"[[cause]]", b"id = 1e400", b'x = """', b"\x00", b"\xff", b"{}", b'{"id": 1}', b"[a.b]"),
    *(b"kind = 'run'", b"null", b"id = 0x10", b"id = 1_0", b"'''", b"\\"),
]


@settings(max_examples=70, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_a_spoilt_file_is_taken_in_or_refused_in_one_line(out, tmp_path_factory, data):
    """Whatever stands in whichever file."""
    name = data.draw(st.sampled_from([n for n in sorted(tree(out)) if n not in ("README.txt", "schema.json")]))
    folder = tmp_path_factory.mktemp("spoilt") / "out"
    shutil.copytree(out, folder)
    lines = (folder / name).read_bytes().split(b"\n")
    at = data.draw(st.integers(0, len(lines) - 1))
    lines[at] = data.draw(st.sampled_from(LINES) | st.binary(max_size=40)) + data.draw(
        st.sampled_from([b"", lines[at]])
    )
    (folder / name).write_bytes(b"\n".join(lines))
    _in_or_refused(folder.parent / "new.db", folder, correct="so")


LONG = {
    "keys": "\n".join(f"k{n} = 1" for n in range(250_000)),
    "tables": "[[cause]]\n" * 400_000,
    "dots": "a." * 1_000_000 + "a = 1",
    "nesting": "a = " + "[" * 1_000_000,
    "braces": "a = " + "{a=" * 300_000,
    "digits": "a = " + "9" * 4_000_000,
    "spaces": "a" + " " * 4_000_000 + "!",
    "spaces alone": " " * 4_000_000 + "!",
    "quotes": "a = " + '"' * 4_000_000,
    "open texts": "a = " + '"""\\' * 1_000_000,
    "open texts in lines": '"""\\\n' * 800_000,
    "open single": "'" * 3_999_999,
    "backslashes": 'a = "' + "\\\\" * 1_900_000 + '"',
    "line ends": 'a = """' + "\\\n" * 1_900_000 + '"""',
}


@pytest.mark.parametrize("text", LONG.values(), ids=list(LONG))
def test_no_text_costs_more_than_its_length(text):
    """The largest file that is read, in seconds; a plain reader of TOML takes all memory for some of these."""
    begun = time.process_time()
    with contextlib.suppress(BadInput):
        flat_toml.read("x.toml", text)
    assert time.process_time() - begun < 20


BOUNDED = """
import resource, sys
from pathlib import Path
resource.setrlimit(resource.RLIMIT_AS, (3 << 30, 3 << 30))
from journal import cli
code = cli.run(["--journal", sys.argv[1], "import", sys.argv[2]])
# What the process itself took: the greatest that is told otherwise is also that of its parent.
print(next(int(line.split()[1]) for line in open("/proc/self/status") if line.startswith("VmHWM")) // 1024)
sys.exit(code)
"""


def test_memory_is_bounded(out, tmp_path):
    """A long history of rows without meaning: refused, well within a small machine."""
    row = json.loads((out / "history.jsonl").read_text().splitlines()[0])
    with (out / "history.jsonl").open("w") as stream:
        for n in range(1, 100_000):
            stream.write(json.dumps(row | {"id": n}) + "\n")
    done = subprocess.run(
        [sys.executable, "-c", BOUNDED, str(tmp_path / "new.db"), str(out)], capture_output=True, text=True
    )
    assert (done.returncode, done.stderr.count("\n")) == (2, 1), done.stderr
    assert int(done.stdout) < 512


def test_a_history_that_leads_elsewhere_is_no_way_in(out, refused):
    """Rows that were chained anew by hand: their records still differ, and rows of unknown kinds are no history."""
    lines = [json.loads(line) for line in (out / "history.jsonl").read_text().splitlines()]
    columns = ("id", "at", "build_id", "kind", "record_id", "ref", "action", "before", "after", "why")
    rows = []
    for line in lines:
        row = {name: line.get(name) for name in columns}
        for name in ("before", "after"):
            row[name] = None if row[name] is None else json.dumps(row[name], ensure_ascii=False)
        rows.append(row)
    rows[2]["after"] = rows[2]["after"].replace("12 V", "48 V")
    made = [{k: v for k, v in row.items() if v is not None} for row in chained("", rows)]
    (out / "history.jsonl").write_text("".join(json.dumps(row) + "\n" for row in made))
    assert "not as the history leaves it" in refused(out)
