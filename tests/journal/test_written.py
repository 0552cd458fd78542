"""Words, days, shares, money and wind as people type them."""

from datetime import date

import pytest

from journal.book import decisions, kinds, measurements, parts, written
from journal.errors import BadInput


@pytest.mark.parametrize("read", [lambda t: written.text(t, "Note"), kinds.a_text("Note")])
def test_a_text_is_ten_thousand_letters_long_at_most(read):
    """One more is refused, and nothing is cut off."""
    assert read("x" * 10_000) == "x" * 10_000
    with pytest.raises(BadInput, match="Note"):
        read("x" * 10_001)


def test_no_text_stays_none():
    """Left out is not empty."""
    assert written.text(None, "Note") is None
    assert written.word(None, ("yes", "no"), "Answer") is None
    assert written.share(None, "Odds") is None
    assert written.money(None, "EUR") == {}
    assert written.read_wind(None) == {}


WORDS = ("worked", "partly", "failed", "fail safe")


@pytest.mark.parametrize(
    ("typed", "word"), [("worked", "worked"), ("W", "worked"), (" PART ", "partly"), ("failed", "failed")]
)
def test_an_unmistakable_beginning_is_enough(typed, word):
    """Whatever the case."""
    assert written.word(typed, WORDS, "Outcome") == word


def test_a_whole_word_goes_before_those_that_begin_with_it():
    """It is not ambiguous."""
    assert written.word("fail", ("fail", "failed"), "Outcome") == "fail"


@pytest.mark.parametrize(
    ("typed", "hint"),
    [("wrkd", r"Did you mean 'worked'\? "), ("xyz", ""), ("", "")],
)
def test_a_word_that_is_none_of_them(typed, hint):
    """With the nearest one where one is near, and all of them."""
    with pytest.raises(BadInput, match=f"{hint}Accepted: worked; partly; failed; fail safe" if typed else "."):
        written.word(typed, WORDS, "Outcome")


def test_a_word_that_fits_two_is_asked_about_and_one_mistyped_is_taken():
    """Both are named."""
    with pytest.raises(BadInput, match="can be 'failed' or 'fail safe'"):
        written.word("fail", WORDS, "Outcome")
    assert written.word("wroked", WORDS, "Outcome") == "worked"


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        (None, "2026-11-25"), ("today", "2026-11-25"), (" Yesterday", "2026-11-24"), ("2026-01-12", "2026-01-12"),
        ("now", "2026-11-25T12:00:00Z"), ("2026-01-12 21:40", "2026-01-12T21:40Z"),
        ("2026-01-12t21:40+02:00", "2026-01-12T19:40Z"),
    ],
)  # fmt: skip
def test_days_and_moments(clock, typed, day):
    """A moment as UTC."""
    assert written.when(typed) == day


@pytest.mark.parametrize("typed", ["12.13.2026", "2026-13-01", "2026-02-30", "soon", "", "2026-01-12 25:00"])
def test_what_is_no_day(clock, typed):
    """Named, with what would be accepted."""
    with pytest.raises(BadInput, match=r"Began: .*(is not a date\. Accepted: 2026-01-12|no month 13|has 28 days)"):
        written.when(typed, "Began")


@pytest.mark.parametrize(
    ("began", "ended", "fine"),
    [
        ("2026-01-12", None, True), ("2026-01-12", "2026-01-12", True), ("2026-01-12", "2026-01-11", False),
        ("2026-01-12T21:40Z", "2026-01-12", True), ("2026-01-12", "2026-01-12T01:00Z", True),
        ("2026-01-12T21:40Z", "2026-01-12T21:39Z", False), ("2026-01-12T21:40Z", "2026-01-11", False),
    ],
)  # fmt: skip
def test_nothing_ends_before_it_begins(began, ended, fine):
    """A day and a moment are compared as days."""
    if fine:
        written.in_order(began, ended)
    else:
        with pytest.raises(BadInput, match="before it began"):
            written.in_order(began, ended)


@pytest.mark.parametrize(
    ("typed", "height", "limits"),
    [
        ("Bft 4", None, (5.5, 7.9, 10.0)), ("6 to 8 m/s", None, (6.0, 8.0, None)), ("9 m/s", None, (9.0, 9.0, None)),
        ("9 m/s", "2 m", (9.0, 9.0, 2.0)), ("Bft 4", "300 cm", (5.5, 7.9, 3.0)), ("9 m/s", "0.5 m", (9.0, 9.0, 0.5)),
        ("9 m/s", "200 m", (9.0, 9.0, 200.0)),
    ],
)  # fmt: skip
def test_wind_with_its_limits_and_height(typed, height, limits):
    """A Beaufort number holds at 10 m (WMO-No. 8), any other wind at the rotor unless it is said where."""
    got = written.read_wind(typed, height)
    assert got["wind"] == typed
    low, high, above = limits
    assert (got["wind_low"], got["wind_high"]) == pytest.approx((low, high), abs=0.11)
    assert got["wind_height"] == above


@pytest.mark.parametrize("height", ["0.4 m", "201 m", "5"])
def test_heights_that_cannot_be(height):
    """Nobody measures the wind there."""
    with pytest.raises(BadInput, match="Height of the wind"):
        written.read_wind("9 m/s", height)


def test_a_height_needs_a_wind():
    """Or it is of nothing."""
    with pytest.raises(BadInput, match="A height was given but no wind"):
        written.read_wind(None, "2 m")


@pytest.mark.parametrize(
    ("typed", "share"), [("0.7", 0.7), ("70 %", 0.7), ("70%", 0.7), (0.25, 0.25), ("0", 0.0), ("100 %", 1.0), ("1", 1)]
)
def test_shares(typed, share):
    """As a number or in hundredths, both ends included."""
    assert written.share(typed, "Odds") == pytest.approx(share)


@pytest.mark.parametrize("typed", ["1.1", "-0.1", "101 %", "likely", "nan", ""])
def test_what_is_no_share(typed):
    """With what would be accepted."""
    with pytest.raises(BadInput, match=r"Odds: .* is not a share"):
        written.share(typed, "Odds")


@pytest.mark.parametrize(
    ("cost", "currency", "row"),
    [
        ("30 EUR", None, (30.0, "EUR")), ("30 eur", "GBP", (30.0, "EUR")), ("30", "gbp", (30.0, "GBP")),
        ("0 GBP", None, (0.0, "GBP")), ("999999999 GBP", None, (999999999.0, "GBP")), ("2.5  EUR", None, (2.5, "EUR")),
    ],
)  # fmt: skip
def test_money(cost, currency, row):
    """Its own currency goes before the other one."""
    assert written.money(cost, currency) == {"cost": row[0], "currency": row[1]}


@pytest.mark.parametrize(
    ("cost", "currency", "words"),
    [
        ("much", "EUR", "is not an amount"), ("-1 EUR", None, "is not an amount"), ("1e9 EUR", None, "not an amount"),
        ("nan EUR", None, "not an amount"), ("30", None, "has no currency"), ("30 quid", None, "is no currency"),
    ],
)  # fmt: skip
def test_what_is_no_money(cost, currency, words):
    """With how it is typed."""
    with pytest.raises(BadInput, match=f"Cost: .*{words}"):
        written.money(cost, currency)


@pytest.mark.parametrize(("typed", "count"), [("3", 3.0), ("0.5", 0.5), ("999999", 999999.0)])
def test_counts(typed, count):
    """Halves too."""
    assert parts.read_count(typed) == count


@pytest.mark.parametrize("typed", ["0", "-1", "1e6", "some", "nan"])
def test_what_is_no_count(typed):
    """None of a thing is no part."""
    with pytest.raises(BadInput, match=r"Quantity: .* is not a count"):
        parts.read_count(typed)


def test_a_reader_of_yes_or_no():
    """A beginning is enough here too."""
    read = kinds.a_yes_or_no("private")
    assert [read(t) for t in ("yes", "n", "Y", "no")] == [True, False, True, False]


def test_readers_name_what_they_read(clock):
    """In their errors."""
    assert kinds.a_word("Outcome", WORDS)("part") == "partly"
    assert kinds.a_day("Began")("2026-01-12") == date(2026, 1, 12).isoformat()
    for read in (kinds.a_word("Outcome", WORDS), kinds.a_day("Outcome"), kinds.a_yes_or_no("Outcome")):
        with pytest.raises(BadInput, match="Outcome"):
            read("xyz")


@pytest.mark.parametrize("code", [0, 0x1B, 0x1F, 0x7F, 0x9F, 0xD800, 0xDFFF, 0x0D])
def test_signs_that_no_keyboard_means_are_refused(code):
    """Controls of the terminal, halves of letters."""
    with pytest.raises(BadInput, match="Note holds a control character"):
        written.text(f"a{chr(code)}b", "Note")


@pytest.mark.parametrize("sign", [" ", "\n", "\t", "~", "\xa0", "é", "\ud7ff", "\ue000", "日", "\U0001f300"])
def test_signs_that_people_type_are_kept(sign):
    """Of any script."""
    assert written.text(f"a{sign}b", "Note") == f"a{sign}b"


#: By which of them more is better: a judgement of our own, which the guide of weighing tells.
MORE = {"yearly_energy", "greatest_power"}


def test_figures_by_which_more_is_better():
    """Energy and power; of wind to begin in, speed, trouble, money and weight less is."""
    assert {name for name, f in decisions.FIGURES.items() if f.more_is_better} == MORE
    assert set(decisions.FIGURES) - MORE == {
        "charging_wind", "starting_wind", "free_speed", "findings", "cost", "mass",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("name", "meant"),
    [("charge.current", "charge.current"), (" Charge.Current ", "charge.current"), ("emf", "generator.emf")],
)
def test_a_quantity_by_its_name_or_its_last_part(name, meant):
    """Where that is unmistakable."""
    assert measurements.quantity_named(name) == meant


@pytest.mark.parametrize(
    ("name", "hint"),
    [
        ("speed", "Meant: .*speed or .*speed"),
        ("charge.curent", r"Did you mean charge\.current\?"),
        ("zzz", "See the names with"),
    ],
)
def test_what_no_quantity_is_called(name, hint):
    """With those that could be meant, or the nearest."""
    with pytest.raises(BadInput, match=f"There is no quantity called {name!r}.*{hint}"):
        measurements.quantity_named(name)
