"""Derived quantities against the law of propagation, worked by hand; and what an attempt shows of them."""

import math

import pytest

from calc.evidence.derived import DERIVED, derive
from calc.evidence.uncertainty import LimitedReading
from journal.book import attempts, measurements
from journal.screens.record import gather_record


def test_a_product_adds_relative_variances():
    """GUM 5.1.6 (JCGM 100:2008, from memory): relative variances of a product or quotient add. By hand."""
    V, I = LimitedReading(27.0, 27.2, 27.4), LimitedReading(3.1, 3.4, 3.7)
    P, U = derive(DERIVED[0], V, I)
    relative = math.hypot(0.2 / math.sqrt(3) / 27.2, 0.3 / math.sqrt(3) / 3.4)
    assert pytest.approx((27.2 * 3.4, 2 * 27.2 * 3.4 * relative), rel=1e-4) == (P, U)
    R, U = derive(DERIVED[3], V, I)
    assert pytest.approx((8.0, 2 * 8.0 * relative), rel=1e-4) == (R, U)


def test_an_attempt_shows_what_its_readings_tell(s):
    """Power from volts and amperes; nothing from two of a kind, from another load, or across a zero."""
    a = attempts.log_attempt(s, attempts.AttemptTyped("ran it", load_state="battery"))
    for typed, quantity in (("12.1 V", "battery.voltage"), ("0.3 A", "charge.current")):
        measurements.log_measurement(s, measurements.MeasurementTyped(quantity, typed, attempt=a.ref, doubt="5 %"))
    (told,) = gather_record(s, a.ref).data["derived"]
    assert (told.value, told.expanded / told.value) == pytest.approx((3.63, 2 * 0.05 * math.sqrt(2 / 3)), rel=1e-3)
    assert told.refs == ("M1", "M2")
    assert told.text.startswith("Power into the battery: 3.63 W ± 8.2 %")
    measurements.log_measurement(
        s, measurements.MeasurementTyped("cable.drop", "0.2 V", attempt=a.ref, load_state="nothing connected")
    )
    view = gather_record(s, a.ref)
    assert len(view.data["derived"]) == 1
    assert {u.text.partition(": ")[2] for u in view.data["not_worked_out"]} == {
        "they were not read in the same state, but M2 with battery and M3 with nothing connected."
    }
    measurements.log_measurement(s, measurements.MeasurementTyped("charge.current", "0.4 A", attempt=a.ref))
    view = gather_record(s, a.ref)
    assert view.data["derived"] == []
    power, loss, resistance = sorted(view.data["not_worked_out"], key=lambda u: u.meaning != "Power into the battery")
    assert power.refs == ("M1", "M2", "M4")
    assert power.text.startswith("Power into the battery, from M1, M2 and M4: M2 and M4 each give current into the")
    assert loss.refs == resistance.refs == ("M2", "M3", "M4")
    assert power.text in dict(view.sections)["Not worked out"]


def test_nothing_is_divided_by_zero(s):
    """A current of nothing tells no resistance, yet the power it carries."""
    a = attempts.log_attempt(s, attempts.AttemptTyped("ran it", load_state="battery"))
    measurements.log_measurement(s, measurements.MeasurementTyped("cable.drop", "0 V", attempt=a.ref))
    measurements.log_measurement(s, measurements.MeasurementTyped("charge.current", "0 A", attempt=a.ref))
    data = gather_record(s, a.ref).data
    assert [t.meaning for t in data["derived"]] == ["Power lost in the cable"]
    assert [(u.meaning, u.refs) for u in data["not_worked_out"]] == [
        ("Resistance of the cable, there and back", ("M1", "M2"))
    ]
