"""Who gets what: sessions, addresses, forms from elsewhere, bodies without end, and where things lie."""

import re

import pytest

from journal.book.tables import Attempt
from journal.web import door as doors
from journal.web import guard
from tests.conftest import rows
from tests.web.conftest import HERE, Form

PAGES = ("/", "/attempt", "/readings", "/readings/battery.voltage", "/failure", "/look", "/photos", "/photos/X1",
         "/standing", "/records", "/records/A1", "/writeups", "/writeups/forum", "/nowhere",
         "/more", "/loggers", "/loggers/new", "/loggers/try/x", "/curve/r1", "/curve/r1/picture", "/wind", "/wind/r1",
         "/drawings/r1", "/drawings/r1/blade", "/buying/r1")  # fmt: skip
FORMS = (
    "/attempt",
    "/readings/battery.voltage",
    "/failure",
    "/look",
    "/photos",
    "/loggers/new",
    "/loggers/try/x",
    "/leave",
)
OPEN = ("/enter", "/offline", "/sw.js", "/manifest.webmanifest", "/static/style.css", "/static/page.js",
        "/static/icon.svg", "/static/icon-192.png", "/static/icon-512.png")  # fmt: skip


def test_without_a_session_there_is_only_the_door(stranger):
    """Whatever is asked for."""
    for page in PAGES:
        answer = stranger.get(page)
        assert (answer.status_code, answer.headers["location"], answer.text) == (303, "/enter", ""), page


def test_without_a_session_nothing_is_taken(stranger, path):
    """And nothing is read of what came."""
    for page in FORMS:
        assert stranger.post(page, data={"did": "x", "value": "1"}, headers={"Origin": HERE}).status_code == 401, page
    assert rows(path, "SELECT count(*) FROM attempt") == [(0,)]


def test_what_a_phone_keeps_is_there_for_all(stranger):
    """Nothing of the journal is in it."""
    for page in OPEN:
        answer = stranger.get(page)
        assert (answer.status_code, b"Shed wind generator" in answer.content) == (200, False), page


def test_no_other_file_is_given_out(phone):
    """There is no folder to look through, and no template to read."""
    for name in ("", "base.html", "..%2fforum.md", "%2e%2e/base.html", "../_parts.md", "style.css/"):
        assert phone.get(f"/static/{name}").status_code == 404, name


def test_the_link_is_looked_at_without_using_it_up(stranger, desk):
    """A program that looks at every link does not take the code away; it stands in the form already."""
    code = desk.door.new_code()
    assert Form(stranger.get(f"/enter?code={code}").text).fields == {"code": code}
    assert stranger.come_in(code).status_code == 303
    cookie = stranger.cookies.jar
    (one,) = cookie
    assert (one.name, one.path, one.secure) == ("galebook", "/", False)


def test_the_cookie_is_for_these_pages_alone(stranger, desk):
    """No script reads it, no other page sends it, and it ends."""
    said = stranger.come_in(desk.door.new_code()).headers["set-cookie"].lower()
    assert {"httponly", "samesite=strict", "path=/", f"max-age={12 * 3600}"} <= set(said.split("; "))


def test_a_wrong_code_is_told_and_then_none_is_looked_at(stranger, desk):
    """What was typed stands there still."""
    for _ in range(doors.WRONG_FROM_ONE):
        answer = stranger.come_in("AAAA-BBBB")
        assert (answer.status_code, Form(answer.text).fields["code"]) == (403, "AAAA-BBBB")
    answer = stranger.come_in(desk.door.new_code())
    assert (answer.status_code, answer.headers["retry-after"]) == (429, "600")
    assert stranger.get("/").status_code == 303


def test_whoever_leaves_is_out(phone):
    """The form of every page's foot."""
    assert phone.fill("/", to="/leave").headers["location"] == "/enter"
    assert phone.get("/").headers["location"] == "/enter"


def test_another_name_of_this_machine_is_not_served(phone):
    """A page elsewhere could have its own name lead here (DNS rebinding)."""
    for host in ("evil.example", "127.0.0.1", "127.0.0.1:80", "evil.example:8314"):
        answer = phone.get("/", headers={"Host": host})
        assert (answer.status_code, "Shed wind" in answer.text) == (421, False), host


def test_a_form_of_another_page_is_not_taken(phone, path):
    """Whatever secret it has."""
    for origin in (None, "null", "http://evil.example", "https://127.0.0.1:8314", "http://127.0.0.1"):
        assert phone.fill("/attempt", {"did": "x"}, origin=origin).status_code == 403, origin
    assert rows(path, "SELECT count(*) FROM attempt") == [(0,)]


@pytest.mark.parametrize("secret", ["", "x", "é"])
def test_a_form_of_another_session_is_shown_again(phone, path, secret):
    """With all that was typed, so that it can be sent once more."""
    answer = phone.fill("/attempt", {"did": "raised it", "secret": secret})
    assert (answer.status_code, Form(answer.text).fields["did"]) == (403, "raised it")
    assert rows(path, "SELECT count(*) FROM attempt") == [(0,)]
    assert phone.fill("/attempt", form=Form(answer.text)).status_code == 303


def test_every_answer_keeps_the_browser_to_these_pages(phone):
    """Refusals too."""
    for page in (*PAGES, *OPEN):
        headers = phone.get(page).headers
        assert (headers["x-content-type-options"], headers["referrer-policy"]) == ("nosniff", "no-referrer"), page
        policy = headers["content-security-policy"]
        assert "frame-ancestors 'none'" in policy, page
        assert ("default-src 'self'" in policy) is not page.startswith("/writeups/"), page
        assert "script-src" not in policy, page


def test_nothing_is_asked_of_the_internet(phone):
    """No page names another place."""
    for page in (*PAGES, *OPEN[:4], "/static/page.js", "/static/style.css"):
        text = phone.get(page).text
        assert set(re.findall(r"https?://[^\s\"'<)]+", text)) <= {"http://www.w3.org/2000/svg"}, page


def test_a_body_without_end_is_left_unread(phone, path, monkeypatch):
    """Told by its head, or found out on the way; not more is read than is taken."""
    monkeypatch.setattr(guard, "BODY", 100_000)
    form = phone.form("/attempt")
    answer = phone.fill("/attempt", {"did": "x" * 100_000}, form=form)
    assert answer.status_code == 413
    given = []

    def endless():
        while len(given) < 1000:
            given.append(1)
            yield b"did=" + b"x" * 10_000

    kind = {"Origin": HERE, "Content-Type": "application/x-www-form-urlencoded"}
    assert phone.post("/attempt", content=endless(), headers=kind).status_code == 413
    assert rows(path, "SELECT count(*) FROM attempt") == [(0,)]


def test_a_form_with_more_in_it_than_ours_is_refused(phone, path):
    """Many fields, or none that can be read."""
    assert phone.fill("/attempt", {f"f{n}": "x" for n in range(100)}).status_code == 400
    broken = {"Origin": HERE, "Content-Type": "multipart/form-data; boundary=x"}
    assert phone.post("/photos", content=b"--y\r\nnothing", headers=broken).status_code in (400, 403)
    assert phone.request("PUT", "/attempt", headers={"Origin": HERE}).status_code == 405
    assert phone.request("DELETE", "/records/A1", headers={"Origin": HERE}).status_code == 405


def test_no_page_says_where_things_lie(phone, path, opened):
    """Neither in records nor in errors."""
    picture = ("gale.jpg", b"\xff\xd8\xff nothing")
    phone.fill("/attempt", {"did": "raised it"})
    phone.fill("/photos", {"about": "A1"}, files={"photo": picture})
    for page in (*PAGES, "/records/X1"):
        text = phone.get(page).text
        assert str(path.parent) not in text, page
        assert "Kept at" not in text
    path.unlink()
    for page in ("/", "/attempt", "/records/A1"):
        answer = phone.get(page)
        assert (answer.status_code, str(path.parent) in answer.text) == (404, False)
        assert "no journal" in answer.text


def test_our_own_mistake_tells_nothing(pages, desk, monkeypatch):
    """No trace of the program in the page; and a form that met it is not lost to the browser."""
    from journal.book import attempts
    from tests.web.conftest import Phone

    with Phone(pages, raise_server_exceptions=False) as phone:
        phone.come_in(desk.door.new_code())
        monkeypatch.setattr(attempts, "log_attempt", lambda *_: 1 / 0)
        answer = phone.fill("/attempt", {"did": "x"})
    assert answer.status_code == 500
    assert "ZeroDivision" not in answer.text
    assert "your text is there" in answer.text


HOSTILE = "<script>alert(1)</script>\"'><img src=x onerror=alert(2)>\u202e"


def test_a_text_is_never_more_than_a_text(phone, opened):
    """In records, lists, choices and forms that come back."""
    with opened(write=True) as s:
        from journal.book.attempts import AttemptTyped, log_attempt
        from journal.book.parts import PartTyped, add_part
        from journal.book.records import find_revision

        add_part(s, PartTyped(f"fuse {HOSTILE}"))
        find_revision(s, None).title = HOSTILE
        assert isinstance(log_attempt(s, AttemptTyped(HOSTILE)), Attempt)
    for page in (
        "/",
        "/records",
        "/records/A1",
        "/readings",
        "/failure",
        "/photos",
        "/more",
        "/drawings/r1",
        "/buying/r1",
        "/buying/r1?keep=1",
    ):
        text = phone.get(page).text
        assert "<script>alert" not in text, page
        assert "onerror=alert(2)>" not in text.replace("&gt;", ">").replace("&lt;img src=x onerror=alert(2)>", ""), page
    answer = phone.fill("/attempt", {"did": HOSTILE, "wind": HOSTILE})
    assert "<script>alert" not in answer.text
    assert Form(answer.text).fields["wind"] == HOSTILE
