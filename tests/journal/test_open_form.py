"""A journal goes out as plain text and comes back without loss: the same bytes, the same records, the same history."""

import json
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from journal.book import attachments, attempts, builds, corrections, failures, measurements, sheet, sheet_toml, store
from journal.book.open_form import json_schema, placing, shape, taking_in, toml_text, writing
from journal.book.open_form.flat_toml import read
from journal.book.records import find_record, find_revision
from journal.book.safe_files import OwnFiles
from journal.book.tables import Attempt, SheetText
from journal.errors import BadInput, Refused
from tests.conftest import dump, rows
from tests.journal.forms import exported, there_and_back, tree
from tests.journal.test_health import _faults as faults

GOLDEN = Path(__file__).parents[1] / "golden" / "export"
ANY_TEXT = st.text(st.characters(exclude_categories=["Cs"]))


def plain_dump(path):
    """All rows, but for what only says where they lie."""
    return [line for line in dump(path) if "INSERT" in line]


def test_the_demo_comes_back_the_same(story, tmp_path):
    """Byte for byte, file by file; no row is lost, none is new, and nothing is wrong with the copy."""
    first, second, new = there_and_back(story, tmp_path)
    assert first == second
    assert sorted(plain_dump(new)) == sorted(plain_dump(story))
    assert faults(new) == []


def test_the_zip_comes_back_the_same(story, tmp_path):
    """And two zips of one journal are one."""
    first, again = exported(story, tmp_path / "a.zip"), exported(story, tmp_path / "b.zip")
    assert first.read_bytes() == again.read_bytes()
    new = tmp_path / "new.db"
    taking_in.take_in(new, first)
    assert exported(new, tmp_path / "c.zip").read_bytes() == first.read_bytes()


def test_zip_and_folder_hold_the_same(story, tmp_path):
    """One form, two wrappings; nothing in either tells when it was written."""
    folder, packed = tree(exported(story, tmp_path / "out")), exported(story, tmp_path / "out.zip")
    with zipfile.ZipFile(packed) as archive:
        assert {name: archive.read(name) for name in archive.namelist()} == folder
        assert {entry.date_time for entry in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_every_file_is_text_with_plain_line_ends(story, tmp_path):
    """One value a line, no line end but LF, and none missing at the end."""
    for name, data in tree(exported(story, tmp_path / "out")).items():
        if name.endswith(".parquet"):
            # What a logger wrote, kept as columns: an attached file, and no text of ours.
            continue
        assert b"\r" not in data, name
        assert data.endswith(b"\n"), name
        assert max(len(line) for line in data.split(b"\n")) < 400 or name.endswith("history.jsonl"), name


def test_the_listed_hashes_are_those_of_the_files(story, tmp_path):
    """In the form of the common program, so that a stick can be checked without us."""
    folder = exported(story, tmp_path / "out")
    done = subprocess.run(["sha256sum", "-c", "--quiet", "files.sha256"], cwd=folder, capture_output=True, text=True)
    assert (done.returncode, done.stdout) == (0, "")
    listed = (folder / "files.sha256").read_text().splitlines()
    assert {line[66:] for line in listed} == set(tree(folder)) - {"files.sha256"}


def test_every_file_is_as_the_schema_says(story, tmp_path):
    """The published schema is itself in order, and holds for all that is written."""
    folder = exported(story, tmp_path / "out")
    whole = json.loads((folder / "schema.json").read_text())
    jsonschema.Draft202012Validator.check_schema(whole)
    assert whole == json_schema.schema()
    kinds = {kind: str(cls.__tablename__) for kind, cls in shape.letters().items()}
    holds = {kind: jsonschema.Draft202012Validator({**whole, "$ref": f"#/$defs/{kind}"}) for kind in whole["$defs"]}
    seen = set()
    for file in folder.rglob("*.toml"):
        kind = kinds.get(file.parent.name) or file.stem
        seen.add(kind)
        holds[kind].validate(tomllib.loads(file.read_text()))
    assert {"journal", "build", "revision", "attempt", "attachment"} <= seen
    for line in (folder / "history.jsonl").read_text().splitlines():
        holds["history"].validate(json.loads(line))


@pytest.mark.parametrize(
    "change",
    [{"outcome": "splendid"}, {"hours": "three"}, {"kind": None}, {"colour": "red"}, {"revision_id": "A1"}],
    ids=str,
)
def test_the_schema_refuses_what_is_no_record(story, tmp_path, change):
    """A word from outside the closed set, a text for a number, a column that is missing or unknown."""
    folder = exported(story, tmp_path / "out")
    told = tomllib.loads(next(folder.glob("*/attempts/A3.toml")).read_text()) | change
    told = {name: value for name, value in told.items() if value is not None}
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(told, {**json_schema.schema(), "$ref": "#/$defs/attempt"})


def test_an_empty_journal_comes_back(tmp_path, clock):
    """Nothing but its name."""
    store.create(tmp_path / "empty.db")
    first, second, new = there_and_back(tmp_path / "empty.db", tmp_path)
    assert first == second
    assert sorted(plain_dump(new)) == sorted(plain_dump(tmp_path / "empty.db"))


def _small(path, folder):
    """A short story with what is odd in it: quotes, lines, a withdrawn record, a picture, the builder's own words."""
    (folder / "Root fracture (späte Böe).JPG").write_bytes(b"no picture\n")
    with store.journal(path, write=True) as s:
        values = sheet_toml.from_toml('[storage]\nvoltage = "12 V"\n[site]\nmean_wind = "4.6 m/s"\n')
        sheet.set_values(s, find_revision(s), values)
        s.add(SheetText(revision_id=find_revision(s).key, text="# windy up here\n[storage]\n"))
        attempts.log_attempt(s, attempts.AttemptTyped('said "it\'s \\ late"\nand """ went home', wind="Bft 5"))
        measurements.log_measurement(s, measurements.MeasurementTyped("charge.current", "0.3 A", attempt="A1"))
        attachments.attach(s, folder / "Root fracture (späte Böe).JPG", "A1", caption="the root")
        attempts.log_attempt(s, attempts.AttemptTyped("a mistake"))
        failures.log_failure(s, failures.FailureTyped("hardly charged", attempt="A1", cause="magnets too weak"))
    with store.journal(path, write=True) as s:
        corrections.withdraw(s, "A2", "never happened")
    return path


def test_a_small_export_reads_as_approved(path, tmp_path, request):
    """What a person sees in a version control; renewed with --write-golden."""
    found = tree(exported(_small(path, tmp_path), tmp_path / "out", build="Shed wind generator"))
    kept = {name: data for name, data in found.items() if name not in ("schema.json", "files.sha256")}
    kept["journal.toml"] = kept["journal.toml"].replace(f'"{taking_in.sqlite_file.VERSIONS[-1]}"'.encode(), b'"0000"')
    if request.config.getoption("--write-golden"):
        for name, data in kept.items():
            (GOLDEN / name).parent.mkdir(parents=True, exist_ok=True)
            (GOLDEN / name).write_bytes(data)
    assert kept == tree(GOLDEN)


def test_a_small_journal_comes_back(path, tmp_path):
    """Withdrawn records, odd texts and files among it; the file beside its record by a name that people know."""
    first, second, new = there_and_back(_small(path, tmp_path), tmp_path)
    assert first == second
    assert first["1-shed-wind-generator/attachments/X1-Root-fracture-spate-Boe.JPG"] == b"no picture\n"
    assert first["1-shed-wind-generator/revisions/r1-sheet.toml"] == b"# windy up here\n[storage]\n"
    with store.journal(new) as s:
        record = find_record(s, "X1", attachments.Attachment)
        assert (record.filename, attachments.is_damaged(s, record)) == ("Root fracture (späte Böe).JPG", False)
        assert find_record(s, "A2", Attempt, withdrawn=True).withdrawn_because == "never happened"


def test_two_builds_come_back_and_one_alone(path, tmp_path):
    """References are those of each build; one build alone leaves the other out, its history too."""
    _small(path, tmp_path)
    with store.journal(path, write=True) as s:
        builds.start(s, builds.BuildTyped("Ridge wind generator"))
        attempts.log_attempt(s, attempts.AttemptTyped("another A1"))
    first, second, new = there_and_back(path, tmp_path)
    assert first == second
    assert sorted(plain_dump(new)) == sorted(plain_dump(path))
    alone = exported(path, tmp_path / "alone", build="Ridge wind generator")
    assert not any("shed" in name for name in tree(alone))
    assert b"went home" not in b"".join(tree(alone).values())
    taking_in.take_in(tmp_path / "alone.db", alone)
    assert faults(tmp_path / "alone.db") == []
    assert tree(exported(tmp_path / "alone.db", tmp_path / "again", build="Ridge wind generator")) == tree(alone)


@given(text=ANY_TEXT)
def test_any_text_comes_back(text):
    """By a reader of TOML that is not ours, and through our own look at its lines."""
    written = toml_text.document({"a": text, "n": 1}, {"row": [{"b": text}]})
    assert tomllib.loads(written) == {"a": text, "n": 1, "row": [{"b": text}]}
    assert read("x.toml", written)[0] == {"a": text, "n": 1, "row": [{"b": text}]}
    assert "\r" not in written
    assert "\x1b" not in written


@given(pieces=st.lists(st.sampled_from(['"', "'", "\\", "\n", '{"', ", ", ". ", "\t", "a", "x" * 120, "\r\n", "é"])))
def test_any_text_of_what_is_special_comes_back(pieces):
    """Where strings end, where they are broken into lines, and what is written with a backslash."""
    text = "".join(pieces)
    assert tomllib.loads(toml_text.document({"a": text}, {})) == {"a": text}


def test_a_very_long_text_comes_back_and_stands_in_lines():
    """A sentence a line."""
    text = "It turned in the wind. " * 20_000
    written = toml_text.document({"a": text}, {})
    assert tomllib.loads(written) == {"a": text}
    assert max(map(len, written.splitlines())) < 80


@given(number=st.floats(allow_nan=False))
def test_any_number_comes_back_to_its_last_digit(number):
    """And is no whole number afterwards."""
    back = tomllib.loads(toml_text.document({"a": number}, {}))["a"]
    assert (back, type(back)) == (number, float)


@hypothesis_settings(max_examples=6)
@given(
    text=ANY_TEXT.filter(lambda t: "\0" not in t), number=st.floats(allow_nan=False, allow_infinity=False, min_value=0)
)
def test_what_was_stored_by_hand_comes_back(text, number, tmp_path_factory):
    """Control characters and odd letters, in records, in history, in the builder's own text; any number."""
    folder = tmp_path_factory.mktemp("by-hand")
    journal = folder / "journal.db"
    store.create(journal)
    with store.journal(journal, write=True) as s:
        builds.start(s, builds.BuildTyped("X"))
        s.add(SheetText(revision_id=find_revision(s).key, text=text))
        attempts.log_attempt(s, attempts.AttemptTyped("ran"))
        record = find_record(s, "A1", Attempt)
        record.did, record.saw, record.hours = text, text * 3, number
        s.add(record)
    first, second, new = there_and_back(journal, folder)
    assert first == second
    assert sorted(plain_dump(new)) == sorted(plain_dump(journal))
    assert rows(new, "SELECT did, hours FROM attempt") == [(text, number)]


ADDED = """
import sys
from pathlib import Path
from sqlmodel import Field, SQLModel
from journal.book import attempts, builds, measurements, sqlite_file, store, tables

class Mast(tables.Numbered, table=True):
    letter = "T"
    height: float
    colour: str | None = None
    ref_to: int | None = Field(default=None, foreign_key="attempt.id")

class Stay(tables.Record, table=True):
    mast_id: int = Field(foreign_key="mast.id")
    length: float

class Shackle(tables.Record, table=True):
    stay_id: int = Field(foreign_key="stay.id")
    closed: bool

class Friend(tables.Record, table=True):
    name: str

tables.NUMBERED["T"] = Mast
from sqlalchemy import event
before = sqlite_file.migrate
def migrate(path, *more):
    before(path, *more)
    engine = sqlite_file.engine_of(path, write=True)
    with engine.begin() as connection:
        SQLModel.metadata.create_all(connection)
    engine.dispose()
sqlite_file.migrate = migrate
from tests.journal.forms import there_and_back
from tests.conftest import dump
folder = Path(sys.argv[1])
journal = folder / "j.db"
store.create(journal)
with store.journal(journal, write=True) as s:
    build, _ = builds.start(s, builds.BuildTyped("X"))
    attempts.log_attempt(s, attempts.AttemptTyped("ran"))
    s.add(Mast(build_id=build.key, number=1, recorded_at="t", height=8.25, colour="green", ref_to=1))
    s.flush()
    s.add(Stay(mast_id=1, length=6.5))
    s.flush()
    s.add(Shackle(stay_id=1, closed=True))
    s.add(Friend(name="somebody"))
first, second, new = there_and_back(journal, folder)
assert first == second
assert sorted(l for l in dump(new) if "INSERT" in l) == sorted(l for l in dump(journal) if "INSERT" in l)
print(first["1-x/masts/T1.toml"].decode())
print(first["journal.toml"].decode())
"""


def test_a_new_table_and_a_new_column_need_nothing_here(tmp_path):
    """A kind of record, rows of it, rows of these, and rows of no build: all find their place and come back."""
    done = subprocess.run([sys.executable, "-c", ADDED, str(tmp_path)], capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, "")
    assert 'ref_to = "A1"' in done.stdout
    for line in (
        "height = 8.25",
        "[[stay]]",
        "length = 6.5",
        "[[shackle]]",
        "stay_id = 1",
        "closed = true",
        "[[friend]]",
    ):
        assert line in done.stdout.splitlines()


def test_every_table_and_every_column_goes_out(story, tmp_path):
    """Each column of each table stands in a file of its kind, or is told by where the file lies."""
    whole = json_schema.schema()["$defs"]
    found = {"history": set(whole["history"]["properties"])}
    for kind, one in whole.items():
        for name, inner in one["properties"].items():
            if inner.get("type") == "array":
                found[name] = set(inner["items"]["properties"])
        found.setdefault(kind, set(one["properties"]))
    for name, table in shape.tables().items():
        columns = {c.name for c in shape.columns(table)}
        assert columns - found[name] - shape.implied(table) == set(), name
    tables_of = {name for (name,) in rows(story, "SELECT name FROM sqlite_master WHERE type = 'table'")}
    made = {name for name in tables_of if name.startswith("search")} | {"filecontent", "deed"}
    assert tables_of - {"alembic_version"} - made <= set(shape.tables()), "a table that is no class does not go out"


def test_a_column_that_cannot_be_written_is_told():
    """Bytes, say: whoever adds such a column hears of it."""
    code = "from sqlmodel import Field\nfrom journal.book import tables\nfrom journal.book.open_form import shape\n"
    code += "class Odd(tables.Record, table=True):\n    data: bytes\nshape.columns(Odd)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert "odd.data holds" in done.stderr


def test_a_missing_or_spoilt_file_is_told_and_left_out(path, tmp_path, run):
    """The records go out all the same, and come back."""
    _small(path, tmp_path)
    with store.journal(path) as s:
        attachments.stored_at(s, find_record(s, "X1", attachments.Attachment)).write_bytes(b"another\n")
    result = run("export", str(tmp_path / "out"))
    assert (result.code, result.out) == (0, "")
    assert "Without their files, which are missing or damaged: X1." in result.err
    assert not list((tmp_path / "out").rglob("X1-*"))
    told = taking_in.take_in(tmp_path / "new.db", tmp_path / "out")
    assert told.without == ["X1"]
    assert tree(exported(tmp_path / "new.db", tmp_path / "again")) == tree(tmp_path / "out")


def test_an_export_that_breaks_off_has_no_name(path, tmp_path):
    """Neither a folder nor a zip, and nothing beside them."""

    def breaks():
        yield b"half"
        raise OSError(28, "No space left on device")

    files = {"a.txt": [b"whole"], "b.txt": breaks()}
    for place, target in ((placing.to_folder, tmp_path / "out"), (placing.to_zip, tmp_path / "out.zip")):
        before = sorted(tmp_path.iterdir())
        with pytest.raises(OSError, match="No space"):
            place(OwnFiles(path), target, dict(files, **{"b.txt": breaks()}))
        assert sorted(tmp_path.iterdir()) == before


def test_an_earlier_export_that_nobody_changed_is_renewed(path, tmp_path):
    """What is gone goes, what is others' stays, what is the same is not touched."""
    _small(path, tmp_path)
    out = exported(path, tmp_path / "out")
    (out / ".git").mkdir()
    (out / ".git" / "HEAD").write_text("ref")
    (out / "1-shed-wind-generator" / "notes.md").write_text("mine")
    same = next(out.rglob("A1.toml")).stat().st_mtime_ns
    with store.journal(path, write=True) as s:
        attempts.log_attempt(s, attempts.AttemptTyped("again"))
    exported(path, out)
    assert next(out.rglob("A1.toml")).stat().st_mtime_ns == same
    assert "again" in next(out.rglob("A3.toml")).read_text()
    with store.journal(path, write=True) as s:
        corrections.amend(s, "build", "name", "Barn wind generator", "it moved")
    exported(path, out)
    assert [f.name for f in sorted(out.iterdir()) if f.is_dir()] == [
        ".git",
        "1-barn-wind-generator",
        "1-shed-wind-generator",
    ]
    assert tree(out / "1-shed-wind-generator") == {"notes.md": b"mine"}
    assert (out / ".git" / "HEAD").read_text() == "ref"
    assert [f.name for f in tmp_path.iterdir() if f.name.startswith(".galebook")] == []


def test_a_changed_export_is_replaced_only_when_told(path, tmp_path, run):
    """The change is named, and stays until the person says so; then the folder is as the journal."""
    out = exported(path, tmp_path / "out")
    good = tree(out)
    build = next(out.rglob("build.toml"))
    build.write_text("id = 1\n")
    result = run("export", str(out))
    assert (result.code, result.err.count("\n")) == (1, 1)
    assert "was changed since it was exported: 1-shed-wind-generator/build.toml" in result.err
    assert build.read_text() == "id = 1\n"
    assert run("export", str(out), "--over").code == 0
    assert tree(out) == good


@pytest.mark.parametrize("arrange", ["folder", "file", "link", "zip", "broken link"])
def test_what_is_no_export_is_never_written_over(path, tmp_path, run, arrange):
    """Other things stay as they are."""
    target = tmp_path / ("out.zip" if arrange == "zip" else "out")
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    if arrange == "folder":
        target.mkdir()
        (target / "mine.txt").write_text("mine")
    elif arrange in ("file", "zip"):
        target.write_text("mine")
    else:
        target.symlink_to(elsewhere if arrange == "link" else tmp_path / "nowhere")
    before = tree(tmp_path)
    result = run("export", str(target))
    assert (result.code, result.err.count("\n")) == (1, 1), result.err
    after = {name: data for name, data in tree(tmp_path).items() if "journal.db" not in name}
    assert after == {name: data for name, data in before.items() if "journal.db" not in name}


def test_nothing_is_written_behind_a_link(path, tmp_path, run):
    """Not even when told to replace what is there."""
    out, elsewhere = exported(path, tmp_path / "out"), tmp_path / "elsewhere"
    inside = out / "1-shed-wind-generator"
    inside.rename(elsewhere)
    inside.symlink_to(elsewhere)
    (elsewhere / "build.toml").write_text("mine")
    result = run("export", str(out), "--over")
    assert (result.code, "behind a link" in result.err) == (1, True)
    assert (elsewhere / "build.toml").read_text() == "mine"


def test_a_journal_is_not_written_over_from_within(path, tmp_path, run):
    """Exported among its own files, with a name that is ours."""
    odd = tmp_path / "odd" / "journal.toml"
    odd.parent.mkdir()
    path.rename(odd)
    before = dump(odd)
    result = run("--journal", str(odd), "export", str(odd.parent), "--over")
    assert (result.code, "never written over" in result.err) == (1, True)
    assert dump(odd) == before


def test_renewing_that_breaks_off_leaves_what_nobody_takes_for_an_export(path, tmp_path, monkeypatch, run):
    """While old and new files lie together, the file that makes it an export is not there; the next one mends it."""
    out = exported(path, tmp_path / "out")
    with store.journal(path, write=True) as s:
        attempts.log_attempt(s, attempts.AttemptTyped("again"))
    replace = placing.os.replace

    def breaks(source, target):
        if Path(target).name == "history.jsonl":
            raise OSError(28, "No space left on device", str(target))
        replace(source, target)

    monkeypatch.setattr(placing.os, "replace", breaks)
    with pytest.raises(OSError, match="No space"):
        exported(path, out)
    with pytest.raises(BadInput, match=r"has no journal.toml, so it is no whole export"):
        taking_in.take_in(tmp_path / "new.db", out)
    monkeypatch.undo()
    with pytest.raises(Refused, match="was changed"):
        exported(path, out)
    exported(path, out, over=True)
    assert tree(out) == tree(exported(path, tmp_path / "fresh"))


def test_a_row_that_belongs_to_nothing_is_told(story):
    """A damaged journal is for the doctor."""
    import sqlite3

    connection = sqlite3.connect(story)
    connection.execute("DELETE FROM criterion WHERE id = 4")
    connection.commit()
    connection.close()
    with store.journal(story) as s, pytest.raises(Refused, match="belongs to a criterion that is not there"):
        writing.files_of(s)
