"""Drawings and the list for the shop: as the commands make them."""

import html.parser
import json
import re

import pytest

from calc.machine.buying import Needed, Rated
from journal.review.buying import AtHand, ShoppingLine
from journal.web.making import tick_name
from tests.web.conftest import said
from tests.web.test_logged import demo, told

__all__ = ["demo"]


@pytest.mark.parametrize("what", ["blade", "hub", "tail", "balance", "wiring"])
def test_a_drawing_is_that_of_the_command(demo, run, tmp_path, what):
    """The same bytes, opened or kept under the same name."""
    assert run("draw", what, "r2", "--to", str(tmp_path)).code == 0
    opened, kept = demo.get(f"/drawings/r2/{what}"), demo.get(f"/drawings/r2/{what}?keep=1")
    assert opened.content == kept.content == (tmp_path / f"{what}-r2.pdf").read_bytes()
    assert opened.headers["content-type"] == "application/pdf"
    assert opened.headers["content-disposition"] == f'inline; filename="{what}-r2.pdf"'
    assert kept.headers["content-disposition"] == f'attachment; filename="{what}-r2.pdf"'


def test_what_is_asked_of_a_drawing_is_done(demo, run, tmp_path):
    """Paper, turning, pipe and saw; the form sends what its page shows."""
    asked = ("--paper", "letter", "--turns", "anticlockwise", "--pipe", "3 m", "--kerf", "4 mm")
    assert run("draw", "blade", "r2", "--to", str(tmp_path), *asked).code == 0
    fields = demo.form("/drawings/r2").fields
    # That of the button for leaving stands in another form.
    del fields["secret"]
    assert fields == {"paper": "a4", "turns": "clockwise", "pipe": "", "kerf": ""}
    typed = {"paper": "letter", "turns": "anticlockwise", "pipe": "3 m", "kerf": "4 mm"}
    made = demo.get("/drawings/r2/blade", params=fields | typed).content
    assert made == (tmp_path / "blade-r2.pdf").read_bytes()
    assert made != demo.get("/drawings/r2/blade", params=fields).content


@pytest.mark.parametrize(
    ("asked", "status", "why"),
    [
        ("r1/tail", 409, "The sheet of r1 does not say tail.area, tail.arm, which the drawing needs"),
        ("r2/sail", 404, "There are: blade, hub, tail, angle, balance, wiring"),
        ("r9/blade", 404, "There is no revision r9"),
        ("r2/blade?paper=b5", 400, "Accepted: a4; letter; a3"),
        ("r2/blade?kerf=wide", 400, "cannot read 'wide'"),
    ],
)
def test_a_drawing_that_cannot_be_made_is_refused_in_one_line(demo, asked, status, why):
    """What is missing, and what would be taken."""
    answer = demo.get(f"/drawings/{asked}")
    assert (answer.status_code, answer.text.count('role="alert"')) == (status, 1)
    assert why in said(answer)


def test_the_list_is_that_of_the_command(demo, run, monkeypatch):
    """Every line; a box for each thing, ticked where it is at hand."""
    page = demo.get("/buying/r2")
    lines = json.loads(run("buy", "r2", "--json").out)["lines"]
    boxes = re.findall(r'<input type="checkbox" name="(t\w+)" value="yes"( checked disabled)?>', page.text)
    at_hand = [line for line in lines if line["standing"] == "at hand"]
    assert len({name for name, _ in boxes}) == len(lines)
    assert sum(bool(done) for _, done in boxes) == len(at_hand) > 0
    here = said(page).replace(" : ", ": ")
    assert [cell for cell in told(run, monkeypatch, "buy", "r2") if cell not in here] == []


def test_dangers_stand_before_what_is_bought(demo, run):
    """The line of the screen, above every box; nowhere else."""
    (warned,) = (line for line in run("buy", "r1").out.splitlines() if line.startswith("BUY NOTHING"))
    page = demo.get("/buying/r1").text
    assert 0 < page.index(warned) < page.index('type="checkbox"')
    assert "BUY NOTHING" not in run("buy", "r2").out + demo.get("/buying/r2").text


class Asked(html.parser.HTMLParser):
    """What a file asks for that is not in it."""

    def __init__(self, text):
        super().__init__()
        self.found, self.boxes = [], 0
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        """Note what would be fetched, run or sent."""
        a = dict(attrs)
        self.found += [(tag, name) for name in ("src", "href", "action", "formaction") if name in a]
        self.found += [(tag, "")] if tag in ("script", "link", "button") else []
        self.boxes += a.get("type") == "checkbox"


def test_the_list_is_taken_along_as_one_file(demo):
    """With its boxes, and nothing that needs a machine behind it."""
    page, kept = demo.get("/buying/r2"), demo.get("/buying/r2?keep=1")
    assert kept.headers["content-disposition"] == 'attachment; filename="buying-r2.html"'
    assert Asked(kept.text).found == []
    assert Asked(kept.text).boxes == Asked(page.text).boxes > 20
    # No box is sent anywhere from the page either: it has no name to be sent under but to the phone's own memory.
    assert '<form data-kept="/buying/r2">' in page.text
    assert "secret" not in kept.text


def test_an_empty_sheet_has_no_list(phone):
    """It says so, and how its values are entered."""
    here = said(phone.get("/buying/r1"))
    assert "The sheet names nothing yet that could be bought." in here
    assert "galebook set" in here
    assert "Download" not in here
    assert phone.get("/buying/r9").status_code == 404


def test_a_tick_does_not_stand_at_another_thing():
    """What is bought changes with the sheet: another size is another tick, the same is the same."""

    def name(size):
        needed = Needed("cable", "cable mast", (Rated("", size, "mm2", f"{size:g} mm2"),), run="mast")
        return tick_name(ShoppingLine(needed, AtHand.BUY, None, (), (), ()))

    assert name(10.0) == name(10.0) != name(16.0)
