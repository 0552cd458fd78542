"""A logger's file from a phone: tried, said what it is, then kept as the command keeps it; or not taken."""

import gzip
import tempfile
from pathlib import Path

import pytest

from journal.errors import NotFound
from journal.web import tray
from journal.web.app import make
from journal.web.tray import Tray
from tests.conftest import rows
from tests.journal.test_logger import HEADS, lines_of
from tests.web.conftest import HERE, Form, Phone, said

#: A file with a gap, a stuck cup and a bad line, and one of which nothing is known.
_ROWS = lines_of(2000, wind=lambda i: 5.0 if 900 < i < 1500 else 4 + (i % 7) * 0.25)
FAULTY = "\n".join([HEADS, *_ROWS[:300], *_ROWS[500:700], "2026-06-01 14:00:00,5", *_ROWS[700:]]) + "\n"
KANAL = "Zeit;Kanal 1;Kanal 2\n" + "".join(f"2026-06-01 12:{i:02d};{i % 7},5;{i}\n" for i in range(60))
KEPT = ("filename, sha256, size, mapping, zone, first_at, last_at, step, rows, gaps, resets, stuck, spikes, bad, "
        "found, note, revision_id")  # fmt: skip


@pytest.fixture(autouse=True)
def own_folder(tmp_path, monkeypatch):
    """Where files lie until they are kept, to be looked into."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    return tmp_path


def lay(phone, text, name="log.csv"):
    """Send a file; the page of the try."""
    data = text if isinstance(text, bytes) else text.encode()
    answer = phone.fill("/loggers/new", files={"file": (name, data)})
    assert answer.status_code == 303, said(answer)
    return answer.headers["location"]


def test_a_file_is_tried_and_then_kept_as_by_the_command(phone, path, run, tmp_path):
    """Nothing is written before; then the same record."""
    (tmp_path / "log.csv").write_text(FAULTY, encoding="utf-8")
    page = lay(phone, FAULTY)
    tried = phone.get(page)
    for line in run("logger", str(tmp_path / "log.csv"), "--try").out.splitlines()[-4:]:
        assert " ".join(line.split()) in said(tried) or line.startswith(" "), line
    assert "Column: wind (m/s) Is: wind speed In: m/s by its head" in said(tried)
    assert rows(path, "SELECT count(*) FROM loggerfile") == [(0,)]

    answer = phone.fill(page, {"then": "keep", "note": "on a boom"})
    assert answer.headers["location"] == "/records/G1?new=1"
    assert "Logged G1." in said(phone.get("/records/G1?new=1"))
    by_phone = rows(path, f"SELECT {KEPT} FROM loggerfile")
    other = tmp_path / "other.db"
    assert run("--journal", str(other), "start", "Shed wind generator").code == 0
    assert run("--journal", str(other), "logger", str(tmp_path / "log.csv"), "--note", "on a boom").code == 0
    assert by_phone == rows(other, f"SELECT {KEPT} FROM loggerfile")
    kept = "SELECT filename, sha256, caption FROM attachment ORDER BY number"
    assert rows(path, kept) == rows(other, kept)
    assert "log.csv" in said(phone.get("/loggers"))


def test_what_a_column_is_can_be_said(phone, path):
    """What was said stays in the form, wrong or right, and is remembered for the next such file."""
    page = lay(phone, KANAL)
    tried = phone.get(page)
    assert "No column of log.csv is known" in said(tried)
    assert "Keep it" not in said(tried)
    for typed, why in (({"map": "Kanal 1=wool"}, "is no quantity"), ({"zone": "Nowhere"}, "Nowhere")):
        answer = phone.fill(page, {"then": "try", **typed})
        form = Form(answer.text)
        assert (answer.status_code, list(form.wrong)) == (422, list(typed)), typed
        assert why in form.wrong[next(iter(typed))]
        assert typed.items() <= form.fields.items()
    typed = {"map": "--map 'Kanal 1'=wind km/h at 8 m\nKanal 2=-", "zone": "Europe/Dublin", "on": "site"}
    assert phone.fill(page, {"then": "try", **typed}).headers["location"] == page
    tried = phone.get(page)
    assert "Column: Kanal 1 Is: wind speed In: km/h at 8 m, as you said" in said(tried)
    assert typed.items() <= Form(tried.text).fields.items()
    # What was typed since is shown before anything is kept.
    answer = phone.fill(page, {"then": "keep", "map": "Kanal 1=wind m/s\nKanal 2=-"})
    assert answer.headers["location"] == f"{page}?first=1"
    tried = said(phone.get(f"{page}?first=1"))
    assert tried.index("Not kept yet") < tried.index("Column: Kanal 1 Is: wind speed In: m/s as you said")
    assert rows(path, "SELECT count(*) FROM loggerfile") == [(0,)]
    assert phone.fill(page, {"then": "keep"}).status_code == 303
    assert rows(path, "SELECT zone, revision_id, rows FROM loggerfile") == [("Europe/Dublin", None, 60)]
    again = lay(phone, KANAL.replace("2026-06-01", "2026-06-02"))
    assert "as in the last such file" in said(phone.get(again))


def test_each_run_of_a_clock_from_zero_has_its_line(phone, path):
    """A clock that was switched on twice is asked for both times, and each is laid where it began."""
    page = lay(
        phone,
        "seconds,wind (m/s),power (W)\n" + "".join(f"{t},{4 + t % 3},{t % 90}\n" for t in (*range(90), *range(60))),
    )
    typed = {"began": "2026-06-01 12:00\n\n 2026-06-03 09:00", "zone": "UTC"}
    assert phone.fill(page, {"then": "try", **typed}).status_code == 303
    tried = phone.get(page)
    assert typed["began"] in Form(tried.text).fields["began"].replace("\r", "")
    assert phone.fill(page, {"then": "keep"}).status_code == 303
    assert rows(path, "SELECT first_at, last_at FROM loggerfile") == [("2026-06-01T12:00:00Z", "2026-06-03T09:00:59Z")]


def test_the_same_form_sent_twice_keeps_once(phone, path):
    """And the same rows in another form are refused, told beforehand."""
    page = lay(phone, FAULTY)
    form = phone.form(page)
    sent = [phone.fill(page, {"then": "keep"}, form=form).headers["location"] for _ in range(2)]
    assert sent == ["/records/G1?new=1"] * 2
    again = lay(phone, gzip.compress(FAULTY.encode()), "log.csv.gz")
    assert "were read before, as G1 log.csv" in said(phone.get(again))
    answer = phone.fill(again, {"then": "keep"})
    assert (answer.status_code, "nothing was kept" in said(answer)) == (422, True)
    assert rows(path, "SELECT count(*) FROM loggerfile") == [(1,)]


@pytest.mark.parametrize(
    ("files", "why"),
    [
        ([], "No file was chosen"),
        ([("a.csv", b"x"), ("b.csv", b"x")], "One file at a time"),
        ([("a.csv", b"x" * 3000)], "at most 0 are taken"),
        ([("a.csv.gz", gzip.compress(b"0" * 5000, mtime=0))], "unpacks to more than 0 MB"),
    ],
    ids=["none", "two", "too large", "packed"],
)
def test_what_is_too_much_is_not_taken(phone, own_folder, monkeypatch, files, why):
    """Told at the field, and nothing stays lying about."""
    monkeypatch.setattr(tray, "LARGEST_FILE", 2000)
    monkeypatch.setattr(tray, "LARGEST_UNPACKED", 4000)
    answer = phone.fill("/loggers/new", files=[("file", f) for f in files] or None)
    assert answer.status_code == 422
    assert why in Form(answer.text).wrong["file"]
    assert list(own_folder.glob("galebook-*")) == []


@pytest.mark.parametrize(
    "data", [b"", bytes(range(256)) * 20, b"a,b\n1,2\n", b"%PDF-1.4", gzip.compress(b"x", mtime=0)[:-4]]
)
def test_what_is_no_logger_s_file_is_told(phone, path, own_folder, data):
    """In one line, without where it lies; and it cannot be kept."""
    page = lay(phone, data)
    tried = phone.get(page)
    assert (tried.status_code, tried.text.count('role="alert"'), "Keep it" in tried.text) == (200, 1, False)
    assert str(own_folder) not in tried.text
    assert phone.fill(page, {"then": "keep"}).status_code == 422
    assert rows(path, "SELECT count(*) FROM loggerfile") == [(0,)]


def test_a_form_of_another_session_takes_nothing(phone, path):
    """Neither a file nor what is said of it."""
    assert phone.fill("/loggers/new", {"secret": "x"}, files={"file": ("a.csv", b"x")}).status_code == 403
    page = lay(phone, FAULTY)
    for then in ("try", "keep"):
        answer = phone.fill(page, {"then": then, "secret": "x", "zone": "UTC"})
        assert (answer.status_code, Form(answer.text).fields["zone"]) == (403, "UTC")
    assert rows(path, "SELECT count(*) FROM loggerfile") == [(0,)]


def test_one_file_lies_there_at_a_time_and_none_afterwards(pages, desk, own_folder):
    """A later one takes its place; while one is read no other is; when the pages end it is gone."""
    with Phone(pages) as phone:
        phone.come_in(desk.door.new_code())
        first, second = lay(phone, FAULTY), lay(phone, KANAL, "../../etc/k.csv")
        assert phone.get(first).status_code == 404
        assert [f.name for f in own_folder.glob("galebook-*/*")] == ["k.csv"]
        with desk.tray.alone():
            answer = phone.fill("/loggers/new", files={"file": ("a.csv", b"x")})
            assert "is being read here already" in said(answer)
            assert "is being read here already" in said(phone.get(second))
        assert "No column of k.csv is known" in said(phone.get(second))
    assert list(own_folder.glob("galebook-*")) == []


def test_a_file_that_nobody_keeps_is_gone_after_an_hour(desk, own_folder):
    """By the clock of the machine."""
    now = [0.0]
    object.__setattr__(desk, "tray", Tray(lambda: now[0]))
    with Phone(make(desk, frozenset({HERE}))) as phone:
        phone.come_in(desk.door.new_code())
        page = lay(phone, FAULTY)
        now[0] = tray.WAITS - 1.0
        assert phone.get(page).status_code == 200
        now[0] = tray.WAITS + 1.0
        answer = phone.get(page)
        assert (answer.status_code, "Choose it again" in said(answer)) == (404, True)
        assert list(Path(own_folder).glob("galebook-*")) == []
        with pytest.raises(NotFound):
            desk.tray.held("x")
