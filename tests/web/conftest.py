"""The pages of a journal, and a phone that came in."""

from __future__ import annotations

import html
import re
from html.parser import HTMLParser

import pytest
from starlette.testclient import TestClient

from journal.web.app import make
from journal.web.desk import Desk
from journal.web.door import Door

HERE = "http://127.0.0.1:8314"


class Form(HTMLParser):
    """The fields of the form of a page, as a browser without scripts would send them, and what stands beside them."""

    def __init__(self, text):
        super().__init__()
        self.fields, self.links, self.wrong, self._select, self._area, self._said = {}, [], {}, None, None, None
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        """Collect."""
        a = dict(attrs)
        if tag == "input" and a.get("type") not in ("file", "submit"):
            if a.get("type") not in ("radio", "checkbox") or "checked" in a:
                self.fields[a["name"]] = a.get("value") or ""
        elif tag == "select":
            self._select = a["name"]
        elif tag == "option" and (self._select not in self.fields or "selected" in a):
            self.fields[self._select] = a["value"]
        elif tag == "textarea":
            self._area = a["name"]
            self.fields[self._area] = ""
        elif tag == "a":
            self.links.append(a["href"])
        elif tag == "p" and (a.get("id") or "").endswith("-wrong"):
            self._said = a["id"].removesuffix("-wrong")
            self.wrong[self._said] = ""

    def handle_endtag(self, tag):
        """End what was begun."""
        if tag == "textarea":
            # The first line end behind the tag is none of the text.
            self.fields[self._area] = self.fields[self._area].removeprefix("\n")
            self._area = None
        elif tag == "p":
            self._said = None

    def handle_data(self, data):
        """Texts."""
        if self._area:
            self.fields[self._area] += data
        if self._said:
            self.wrong[self._said] += data


class Phone(TestClient):
    """A browser without scripts: it fills a form in and sends it."""

    def __init__(self, app, **how):
        super().__init__(app, base_url=HERE, follow_redirects=False, client=("192.168.1.20", 5000), **how)

    def form(self, path):
        """The form of a page."""
        return Form(self.get(path).text)

    def fill(self, path, typed=None, *, files=None, form=None, origin=HERE, to=None):
        """Fill in the form of a page and send it."""
        fields = {**(form or self.form(path)).fields, **(typed or {})}
        headers = {"Origin": origin} if origin else {}
        return self.post(to or path, data=fields, files=files, headers=headers)

    def come_in(self, code):
        """Come in with a code."""
        return self.post("/enter", data={"code": code}, headers={"Origin": HERE})


@pytest.fixture
def desk(path):
    """The desk of the fresh journal."""
    return Desk(path, None, Door())


@pytest.fixture
def pages(desk):
    """Its pages."""
    return make(desk, frozenset({HERE}))


@pytest.fixture
def stranger(pages):
    """A phone that has not come in."""
    with Phone(pages) as phone:
        yield phone


@pytest.fixture
def phone(stranger, desk):
    """A phone that came in with the code."""
    assert stranger.come_in(desk.door.new_code()).status_code == 303
    return stranger


def shown(text):
    """What a page says, without its marks."""
    return " ".join(re.sub(r"<[^>]+>", " ", text).split())


def said(answer):
    """What an answer says to who reads it: its texts as they are seen, with one space between them."""
    return " ".join(html.unescape(shown(answer.text)).split())
