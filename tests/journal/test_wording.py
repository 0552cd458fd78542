"""Days, winds, money, values and readings as a person would say them."""

import pytest

from calc.quantities import QUANTITIES
from journal.book.sheet import SheetValue
from journal.book.tables import Attempt, Measurement
from journal.review import verdict, wording


@pytest.mark.parametrize(
    ("moment", "text"),
    [(None, ""), ("", ""), ("2026-01-08", "2026-01-08"), ("2026-01-08T12:30:00Z", "2026-01-08 12:30"),
     ("2026-01-08T12:30:00+02:00", "2026-01-08 10:30")],
)  # fmt: skip
def test_a_day_or_a_moment(moment, text):
    """A day stays what it is; a moment is told in local time, which is UTC here."""
    assert wording.day_text(moment) == text


@pytest.mark.parametrize(
    ("began", "ended", "text"),
    [("2026-01-08", None, "2026-01-08"), ("2026-01-08", "2026-01-08", "2026-01-08"),
     ("2026-01-08", "2026-01-29", "2026-01-08 to 2026-01-29")],
)  # fmt: skip
def test_one_day_or_several(began, ended, text):
    """The last only where it is another."""
    assert wording.days_text(began, ended) == text


@pytest.mark.parametrize(
    ("wind", "low", "high", "height", "text"),
    [
        (None, 5.5, 7.9, None, ""),
        ("Bft 4", None, 7.9, None, ""),
        ("Bft 4", 5.5, None, None, ""),
        ("Bft 4", 5.5, 7.9, 10.0, "Bft 4 (5.5 to 7.9 m/s)"),
        ("20 km/h", 5.556, 5.556, None, "20 km/h (5.56 m/s)"),
        ("6 m/s", 6.0, 6.0, None, "6 m/s"),
        ("6m/s", 6.0, 6.0, None, "6m/s"),
        ("6 m/s", 6.0, 6.0, 2.0, "6 m/s (6 m/s, 2 m above ground)"),
    ],
)
def test_a_wind_is_told_as_typed_with_its_limits(wind, low, high, height, text):
    """Twice only where the second says more; a Beaufort number is at ten metres anyhow."""
    a = Attempt(build_id=1, number=1, wind=wind, wind_low=low, wind_high=high, wind_height=height)
    assert wording.wind_text(a) == text


@pytest.mark.parametrize(
    ("costs", "text"),
    [({}, ""), ({"EUR": 120.0}, "120 EUR"), ({"EUR": 120.5, "GBP": 10.25}, "120.5 EUR and 10.25 GBP"),
     ({"EUR": 100.0}, "100 EUR")],
)  # fmt: skip
def test_money_by_currency(costs, text):
    """Without needless noughts."""
    assert wording.cost_text(costs) == text


def value(path, number=None, word=None, low=None, high=None):
    """A row of the sheet."""
    return SheetValue(
        revision_id=1, path=path, typed="", number=number, word=word, low=low, high=high, provenance="measured"
    )


@pytest.mark.parametrize(
    ("row", "text"),
    [
        (None, ""),
        (value("rotor.overspeed", word="none"), "none"),
        (value("rotor.diameter", 2.2), "2.2 m"),
        (value("rotor.diameter", 2.2, low=2.1, high=2.3), "2.2 m (2.1 m to 2.3 m)"),
        (value("rotor.diameter", 2.2, low=2.1), "2.2 m"),
        (value("rotor.diameter", 2.2, high=2.3), "2.2 m"),
        # 1/7.5 and 1/8 of a volt a turn: shown the other way up, the lesser stands first.
        (value("generator.emf_constant", 60 / 6.283185 / 7.5, low=60 / 6.283185 / 8, high=60 / 6.283185 / 7),
         "7.5 rpm/V (7 rpm/V to 8 rpm/V)"),
    ],
)  # fmt: skip
def test_a_value_of_the_sheet(row, text):
    """With its limits where both were typed, unless nobody asked for them."""
    assert verdict.value_text(row) == text
    assert verdict.value_text(row, limits=False) == text.partition(" (")[0]


@pytest.mark.parametrize(
    ("read", "low", "high", "text"),
    [(3.4, 3.1, 3.7, "3.4 A (3.1 A to 3.7 A)"), (3.4, 3.4, 3.4, "3.4 A"), (3.4, None, 3.7, "3.4 A"),
     (3.4, 3.1, None, "3.4 A"), (None, None, None, "not measured: the meter fell")],
)  # fmt: skip
def test_a_reading(read, low, high, text):
    """With its limits, or why there is none."""
    assert QUANTITIES["charge.current"].shown == "A"
    because = "the meter fell" if read is None else None
    m = Measurement(
        build_id=1, number=1, quantity="charge.current", value=read, low=low, high=high, missing_because=because
    )
    assert verdict.measured_text(m) == text


@pytest.mark.parametrize(
    ("provenance", "text"), [("measured", None), ("estimate", "± {:.0%} implied by its source"), ("nothing such", "")]
)
def test_doubt_implied_by_a_source(provenance, text):
    """As a share; none where a source implies none."""
    from calc.machine import spread

    share = spread.PROVENANCE_DOUBT.get(provenance)
    assert verdict.implied_doubt(provenance) == (f"± {share:.0%} implied by its source" if share else "")
    if text:
        assert share
