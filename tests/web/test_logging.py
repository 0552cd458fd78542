"""Forms: what they log is what the command line logs; what cannot be taken is told beside it; sent twice logs once."""

import io

import pytest
from PIL import Image

from calc.quantities import QUANTITIES
from journal.book import measurements
from journal.web import photos, readings, sending
from journal.web.receipts import Receipt, Receipts
from tests.conftest import rows
from tests.web.conftest import Form, shown


def picture(size=(64, 48), form="JPEG", **how):
    """A photo as it comes from a camera."""
    out = io.BytesIO()
    Image.new("RGB", size, "white").save(out, form, **how)
    return out.getvalue()


@pytest.fixture
def tried(phone):
    """A phone that has logged an attempt."""
    answer = phone.fill("/attempt", {"did": "ran on the gable", "wind": "Bft 5", "outcome": "failed", "kind": "storm"})
    assert answer.headers["location"] == "/records/A1?new=1"
    return phone


ATTEMPT = "SELECT did, kind, wind, wind_low, wind_height, load_state, outcome, saw, began, revision_id FROM attempt"


def test_an_attempt_is_logged_as_by_the_command(phone, path, run):
    """The same columns, and the revision is frozen."""
    typed = {
        "did": "ran",
        "kind": "storm",
        "wind": "Bft 5",
        "load_state": "battery",
        "outcome": "failed",
        "saw": "hum\r\nmed",
    }
    phone.fill("/attempt", typed)
    words = ["--kind", "storm", "--wind", "Bft 5", "--load", "battery", "--outcome", "failed", "--saw", "hum\nmed"]
    assert run("attempt", "ran", *words).code == 0
    first, second = rows(path, ATTEMPT)
    assert first == second
    assert rows(path, "SELECT count(*) FROM revision WHERE frozen_at IS NOT NULL") == [(1,)]
    assert "Logged A1." in shown(phone.get("/records/A1?new=1").text)


def test_all_that_is_wrong_is_told_beside_it_and_nothing_is_lost(phone, path):
    """Each message at its field, each field as it was typed."""
    typed = {"did": "", "wind": "a lot", "began": "next year", "kind": "dance", "saw": "  <b>hum</b>\n\nmed"}
    answer = phone.fill("/attempt", typed)
    form = Form(answer.text)
    assert answer.status_code == 422
    assert set(form.wrong) == {"did", "wind", "began", "kind"}
    assert "Type it like 6.5 m/s" in form.wrong["wind"]
    assert {name: form.fields.get(name) for name in ("wind", "began", "saw")} == {
        name: typed[name] for name in ("wind", "began", "saw")
    }
    assert 'aria-describedby="wind-hint wind-wrong"' in answer.text
    assert rows(path, "SELECT count(*) FROM attempt") == [(0,)]


def test_the_revision_is_asked_for_where_there_are_several(phone, path, run):
    """The newest first, as the command takes it."""
    assert "on" not in phone.form("/attempt").fields
    phone.fill("/attempt", {"did": "first"})
    assert run("revise", "--because", "bigger").code == 0
    assert phone.form("/attempt").fields["on"] == "r2"
    phone.fill("/attempt", {"did": "x", "on": "r1"})
    assert rows(path, "SELECT revision_id FROM attempt WHERE number = 2") == rows(
        path, "SELECT id FROM revision WHERE number = 1"
    )


def test_the_same_form_sent_twice_logs_once(phone, path):
    """As a phone does that got no answer; and when the pages are served anew."""
    form = phone.form("/attempt")
    for _ in range(3):
        assert phone.fill("/attempt", {"did": "raised it"}, form=form).headers["location"] == "/records/A1?new=1"
    assert rows(path, "SELECT count(*) FROM attempt") == [(1,)]
    phone.fill("/attempt", {"did": "raised it"})
    assert rows(path, "SELECT count(*) FROM attempt") == [(2,)]


def test_a_form_changed_since_it_was_sent_is_not_swallowed(phone, path):
    """What is new is shown again, and logged where it is sent once more."""
    form = phone.form("/attempt")
    phone.fill("/attempt", {"did": "raised it"}, form=form)
    answer = phone.fill("/attempt", {"did": "raised it, and it hummed"}, form=form)
    assert (answer.status_code, Form(answer.text).fields["did"]) == (409, "raised it, and it hummed")
    assert "made A1" in answer.text
    phone.fill("/attempt", form=Form(answer.text))
    assert rows(path, "SELECT did FROM attempt ORDER BY number") == [("raised it",), ("raised it, and it hummed",)]


def test_a_receipt_of_what_was_never_saved_counts_for_nothing(phone, path, opened):
    """The power failed between the two: the form is logged when it comes again."""
    form = phone.form("/attempt")
    Receipts(path).keep(form.fields["once"], Receipt("x", ["A1"], "2026-11-25T11:00:00Z"))
    assert phone.fill("/attempt", {"did": "raised it"}, form=form).status_code == 303
    assert rows(path, "SELECT did FROM attempt") == [("raised it",)]


def test_where_no_receipt_can_be_kept_nothing_is_saved(phone, path, monkeypatch):
    """Or it could be saved twice."""
    monkeypatch.setattr("journal.web.receipts.replace", lambda *_: (_ for _ in ()).throw(OSError(28, "No space left")))
    answer = phone.fill("/attempt", {"did": "raised it"})
    assert (answer.status_code, Form(answer.text).fields["did"]) == (422, "raised it")
    assert "No space left" in answer.text
    assert rows(path, "SELECT count(*) FROM attempt") == [(0,)]


def test_three_readings_in_a_row(tried, path):
    """In the attempt, with its wind; what is read most stands first the next time."""
    query = "?attempt=A1"
    for number in ("12.1", "12.3"):
        assert tried.fill(f"/readings/cable.drop{query}", {"value": number}).status_code == 303
    answer = tried.fill(f"/readings/charge.current{query}", {"value": "0.2", "below": "yes", "then": "same"})
    assert answer.headers["location"] == "/readings/charge.current?attempt=A1&made=M3"
    assert "Logged M3 Current into the battery: -0.2 A" in shown(tried.get(answer.headers["location"]).text)
    logged = rows(path, "SELECT quantity, typed, wind, attempt_id FROM measurement ORDER BY number")
    assert logged == [
        ("cable.drop", "12.1 V", "Bft 5", 1),
        ("cable.drop", "12.3 V", "Bft 5", 1),
        ("charge.current", "-0.2 A", "Bft 5", 1),
    ]
    links = [link for link in tried.form("/readings").links if link.startswith("/readings/")]
    assert links[:2] == ["/readings/cable.drop?attempt=A1", "/readings/charge.current?attempt=A1"]
    assert len(links) == len(QUANTITIES)


def test_how_a_value_was_read_is_told(phone):
    """As the command does, where it was not typed in its plain form: many number pads have a comma alone."""
    phone.fill("/attempt", {"did": "ran", "wind": "about 6 m/s"})
    assert "Understood: Wind: about 6 m/s: taken as" in shown(phone.get("/records/A1?new=1").text)
    answer = phone.fill("/readings/battery.voltage?attempt=A1", {"value": "12,1"})
    assert "12.1 V. Understood: Voltage at the battery: 12,1 V = 12.1 V" in shown(
        phone.get(answer.headers["location"]).text
    )


IN_OTHERS = {"degF": "50", "Bft": "5", "mV/rpm": "100", "V/krpm": "100", "kW": "5", "g": "350"}


@pytest.mark.parametrize("name", QUANTITIES)
def test_every_unit_offered_is_one_of_its_quantity(name):
    """Typed on a number pad, read as by the command."""
    q = QUANTITIES[name]
    for unit in readings.units_of(q):
        # Its example is in one of them; of another, any number that could be one.
        number = IN_OTHERS.get(unit, q.example.partition(" ")[0])
        value = measurements.read_measurement(name, readings.as_typed(number, unit, below=False))["value"]
        assert q.low <= value <= q.high, unit


@pytest.mark.parametrize(
    ("typed", "wrong"),
    [
        ({"value": ""}, {"value"}),
        ({"value": "lots"}, {"value"}),
        ({"value": "12 A"}, {"value"}),
        ({"value": "99999"}, {"value"}),
        ({"value": "12", "missing": "no meter"}, {"missing"}),
        ({"value": "12", "wind": "much"}, {"wind"}),
    ],
)
def test_a_reading_that_cannot_be_one_is_told(tried, path, typed, wrong):
    """Beside it, with what was typed."""
    answer = tried.fill("/readings/battery.voltage?attempt=A1", typed)
    form = Form(answer.text)
    assert (answer.status_code, set(form.wrong)) == (422, wrong)
    assert form.fields["value"] == typed["value"]
    assert form.fields["attempt"] == "A1"
    assert rows(path, "SELECT count(*) FROM measurement") == [(0,)]


def test_what_could_not_be_read_is_logged_with_its_reason(tried, path):
    """As with --missing."""
    tried.fill("/readings/rotor.speed?attempt=A1", {"missing": "no tachometer"})
    assert rows(path, "SELECT quantity, typed, missing_because FROM measurement") == [
        ("rotor.speed", None, "no tachometer")
    ]


def test_a_quantity_that_is_none_is_no_page(phone):
    """And an attempt that is none is none."""
    assert phone.get("/readings/rotor.beauty").status_code == 404
    assert "In no attempt" in phone.get("/readings/rotor.speed?attempt=A7").text


def test_a_failure_with_its_cause(tried, path):
    """In the newest attempt, unless another is chosen."""
    typed = {"saw": "hardly charged", "harm": "none", "cause": "magnets", "sure": "60", "evidence": "a feeling"}
    assert tried.fill("/failure", typed).headers["location"] == "/records/F1?new=1"
    assert rows(path, "SELECT saw, harm, attempt_id FROM failure") == [("hardly charged", "none", 1)]
    assert rows(path, "SELECT what, sure, because FROM cause") == [("magnets", 0.6, "a feeling")]


def test_what_was_found_by_looking(tried, path):
    """The looks of a failure with what must be done before each; its record leads to them; a wrong answer is told."""
    assert tried.get("/look").status_code == 404
    tried.fill("/failure", {"saw": "turned but hardly charged", "harm": "none", "attempt": "A1"})
    assert "/look?failure=F1" in tried.get("/records/F1").text
    page = shown(tried.get("/look?failure=F1").text)
    assert "Is a terminal or connector green, white, black or loose?" in page
    assert "stop the rotor by your own routine and tie it" in page
    typed = {"failure": "F1", "look": "green-terminals", "answer": "yes", "note": "the plus screw"}
    assert tried.fill("/look", typed).headers["location"] == "/records/O1?new=1"
    assert rows(path, "SELECT look, answer, note FROM observation") == [("green-terminals", "yes", "the plus screw")]
    assert tried.fill("/look", typed | {"answer": "perhaps"}).status_code == 422
    assert rows(path, "SELECT count(*) FROM observation") == [(1,)]


@pytest.mark.parametrize(
    ("typed", "wrong"),
    [
        ({"saw": ""}, {"saw"}),
        ({"saw": "it hums", "sure": "60"}, {"cause"}),
        ({"saw": "it hums", "evidence": "y"}, {"cause"}),
        ({"saw": "it hums", "cause": "y", "sure": "very"}, {"sure"}),
        ({"saw": "it hums", "cause": "y", "sure": "160"}, {"sure"}),
        ({"saw": "it went badly"}, {"symptoms"}),
    ],
)
def test_a_failure_that_lacks_something_is_told(tried, path, typed, wrong):
    """All of it stays there."""
    answer = tried.fill("/failure", typed)
    form = Form(answer.text)
    assert (answer.status_code, set(form.wrong)) == (422, wrong)
    assert typed.items() <= form.fields.items()
    assert rows(path, "SELECT count(*) FROM failure") == [(0,)]


@pytest.mark.parametrize(("like", "kept"), [("does not start", "does not start"), ("none of these", None)])
def test_words_that_leave_it_open_are_asked_about(tried, path, like, kept):
    """The answer is kept with the failure; none of the list is an answer too."""
    answer = tried.fill("/failure", {"saw": "it went badly"})
    assert "Your words leave it open" in answer.text
    assert tried.fill("/failure", {"saw": "it went badly", "symptoms": like}).status_code == 303
    assert rows(path, "SELECT saw, symptoms FROM failure") == [("it went badly", kept)]


def test_photos_are_attached_as_by_the_command(tried, path, run, tmp_path):
    """Several, whole, under their names; the same file has the same hash."""
    (tmp_path / "b.jpg").write_bytes(picture())
    run("attach", str(tmp_path / "b.jpg"), "--to", "A1", "--caption", "the hedge")
    files = [("photo", ("../../b.jpg", picture())), ("photo", ("c.png", picture(form="PNG"))), ("photo", ("", b""))]
    answer = tried.fill("/photos", {"about": "A1", "caption": "the hedge"}, files=files)
    assert answer.headers["location"] == "/photos?about=A1&made=X2+X3"
    assert "Saved X2 X3." in shown(tried.get(answer.headers["location"]).text)
    kept = rows(path, "SELECT filename, sha256, size, media_type, caption, about FROM attachment ORDER BY number")
    assert kept[0] == kept[1]
    assert [row[0] for row in kept] == ["b.jpg", "b.jpg", "c.png"]


def test_the_same_photos_sent_twice_are_attached_once(tried, path):
    """Known by what is in them."""
    form = tried.form("/photos")
    for _ in range(2):
        tried.fill("/photos", {"about": "A1"}, form=form, files={"photo": ("a.jpg", picture())})
    assert rows(path, "SELECT count(*) FROM attachment") == [(1,)]
    answer = tried.fill("/photos", {"about": "A1"}, form=form, files={"photo": ("a.jpg", picture((8, 8)))})
    assert answer.status_code == 409


@pytest.mark.parametrize(
    ("files", "said"),
    [
        ([], "No photo was chosen"),
        ([("a.jpg", picture())] * 13, "at most 12"),
        ([("a.jpg", picture()), ("b.jpg", b"<html>")], "b.jpg is no picture"),
        ([("big.jpg", picture((400, 400), quality=100) + b"x" * 2_000_000)], "big.jpg has"),
    ],
    ids=["none", "too many", "no picture", "too large"],
)
def test_photos_that_cannot_be_taken_are_told_and_none_is_kept(tried, path, monkeypatch, files, said):
    """With the limits, which stand above the form as well."""
    monkeypatch.setattr(photos, "LARGEST_PHOTO", 1024 * 1024)
    answer = tried.fill("/photos", {"about": "A1", "caption": "the hedge"}, files=[("photo", f) for f in files] or None)
    form = Form(answer.text)
    assert (answer.status_code, form.fields["caption"]) == (422, "the hedge")
    assert said in form.wrong["photos"]
    assert rows(path, "SELECT count(*) FROM attachment") == [(0,)]
    assert f"At most {sending.MOST_PHOTOS} at once" in shown(answer.text)


def test_a_photo_is_looked_at_without_what_the_camera_wrote(tried):
    """No place, no time, no telephone; upright and small."""
    exif = Image.Exif()
    exif[0x010F] = "Camera of Windle Fold"
    tried.fill("/photos", {"about": "A1"}, files={"photo": ("a.jpg", picture((3000, 2000), exif=exif))})
    answer = tried.get("/photos/X1")
    assert answer.headers["content-type"] in ("image/jpeg", "image/png")
    assert b"Windle" not in answer.content
    assert max(Image.open(io.BytesIO(answer.content)).size) == 1000
    assert tried.get("/photos/X9").status_code == 404


def test_photos_need_something_to_belong_to(phone):
    """Where there is nothing yet, that is said."""
    assert "there is none yet" in phone.get("/photos").text
