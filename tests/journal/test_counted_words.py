"""One or several, a or an: in the one home of both, and in what is drawn and written."""

import re
from pathlib import Path

import pytest

from calc.mechanisms.instruments import INSTRUMENT_FOR
from calc.rules.phrases import life_words
from calc.units import show
from calc.wording import number_of, with_article
from journal.drawing.catalogue import DRAWN
from journal.drawing.model import Drawing, Line, Words
from journal.drawing.sheets import pages
from journal.drawing.subject import drawn
from tests.drawn import subject

GOLDEN = Path(__file__).parent.parent / "golden"
#: One of several, and an article that does not fit; what is a name or a verb stands first.
ONE = re.compile(r"(?<![\w.,:/-])1 (?!is\b|has\b|was\b|less\b|plus\b)[a-z-]*[a-rt-z]s\b")
ARTICLE = re.compile(
    r"\ba (?!one\b|once\b|use|uni[^m]|eu)[aeiou][a-z]+|\ban (?!hour|honest|heir)[b-df-hj-np-tv-z]", re.IGNORECASE
)


@pytest.mark.parametrize(("n", "told"), [(0, "0 days"), (1, "1 day"), (1.0, "1 day"), (2, "2 days"), (0.5, "0.5 days")])
def test_a_number_agrees_with_what_is_counted(n, told):
    """Nothing and parts are several, as people say it."""
    assert number_of(n, "day") == told


# Oxford's rule: by the sound that the next word begins with, not by its letter.
@pytest.mark.parametrize(("word", "told"), [
    ("eye", "an eye"), ("hour", "an hour"), ("unit", "a unit"), ("used part", "a used part"),
    ("umbrella", "an umbrella"),
    ("8 V bank", "an 8 V bank"), ("11 mm hole", "an 11 mm hole"), ("18 V bank", "an 18 V bank"),
    ("110 V bank", "a 110 V bank"), ("1 m pipe", "a 1 m pipe"), ("180 mm hub", "a 180 mm hub"),
    ("one-off", "a one-off"),
    ("800 W heater", "an 800 W heater"), ("unimportant slip", "an unimportant slip"),
])  # fmt: skip
def test_the_article_goes_by_the_sound(word, told):
    """As it is read aloud."""
    assert with_article(word) == told


def test_what_a_reading_is_taken_with_has_its_article():
    """A watch, an eye, an anemometer."""
    assert {with_article(name).split()[0] for name in INSTRUMENT_FOR.values()} == {"a", "an"}
    assert with_article(INSTRUMENT_FOR["blade.gauge_angle"]) == "an eye"


def test_one_day_and_one_year_are_one():
    """Whatever writes a number with a unit that is a word."""
    assert show(86400.0, "days") == "1 day"
    assert show(2 * 86400.0, "days") == "2 days"
    assert life_words(1.0) == "1 year"


@pytest.mark.parametrize("what", ["blade", "hub", "tail", "angle", "balance"])
@pytest.mark.parametrize("changes", [{}, {"tail__rest_angle": 0.0174533}, {"hub__bolts": 1}])
def test_sheets_of_drawings_count_in_words_that_agree(what, changes):
    """One hole, one degree: in all that stands on the paper."""
    for drawing in drawn(DRAWN[what], subject(**changes)):
        text = " ".join([*drawing.notes, *(getattr(part, "text", "") for part in drawing.parts)])
        assert not ONE.findall(text)
        assert not ARTICLE.findall(text)


def test_one_sheet_follows_where_the_notes_take_the_first():
    """A drawing that has room on one sheet, and so many notes that they have none beside it."""
    square = Line(((0.0, 0.0), (150.0, 0.0), (150.0, 150.0), (0.0, 150.0)), closed=True)
    made = pages(Drawing("Plate", ("A word and another word. " * 60,) * 3, (square,)), "a4")
    text = " ".join(
        part.text for page in made for layer in page.layers for part in layer.parts if isinstance(part, Words)
    )
    assert "1 sheet follows" in text
    assert not ONE.findall(text)


@pytest.mark.parametrize("name", sorted(p.name for p in GOLDEN.glob("*.md")))
def test_write_ups_count_in_words_that_agree(name):
    """Of the demo, as they are kept."""
    text = (GOLDEN / name).read_text(encoding="utf-8")
    assert not ONE.findall(re.sub(r"IEC \S+", "", text))
