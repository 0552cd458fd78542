"""A voltage without load goes with the form in which it was read; a sound generator is not accused through that."""

import json

import pytest

from calc.physics.generator import emf_rectified
from journal.book import builds, measurements, records, sheet
from journal.errors import BadInput

PEAK = "between two leads, peak"


@pytest.fixture
def built(opened):
    """A machine whose constant stands on the sheet as RMS between two leads."""
    with opened(write=True) as s:
        builds.start(s, builds.BuildTyped(name="forms"))
        on = records.find_revision(s, "r1")
        values = {"generator.emf_constant": "10 rpm/V", "generator.emf_form": "between two leads, RMS"}
        sheet.set_values(s, on, {path: {"typed": typed} for path, typed in values.items()})
        yield s, on


def told(session, on, quantity, value, **beside):
    """What the rules see of one reading of it."""
    m = measurements.log_measurement(session, measurements.MeasurementTyped(quantity, value, **beside))
    return sheet.load_sheet(session, on).design.values[f"measured.{m.ref}.value"], m


def test_a_constant_is_read_as_the_sheets_own_unless_it_is_said(built):
    """10 rpm/V between leads are 1.35 times the volts behind the bridge; said to be behind it, it stays."""
    session, on = built
    as_sheet, m = told(session, on, "generator.emf", "10 rpm/V")
    assert as_sheet == pytest.approx(m.value * emf_rectified(1.0, "between two leads, RMS"))
    as_said, m = told(session, on, "generator.emf", "7.4 rpm/V", form="DC after the rectifier")
    assert as_said == pytest.approx(m.value)
    assert as_said == pytest.approx(as_sheet, rel=0.002)


def test_a_voltage_without_load_is_behind_the_bridge_unless_it_is_said(built):
    """Peak between two leads over root two is RMS, and that times 1.35 the mean behind the bridge."""
    session, on = built
    plain, m = told(session, on, "generator.open_voltage", "20 V")
    assert plain == m.value
    peak, m = told(session, on, "generator.open_voltage", "20 V", form="peak")
    assert m.form == PEAK
    # Mean over peak of a six-pulse bridge: 3/pi, from any handbook of power electronics.
    assert peak == pytest.approx(20.0 * 3 / 3.14159265, rel=1e-3)


def test_only_a_voltage_without_load_has_a_form(built):
    """Neither a battery nor words that are none; the form can be corrected later."""
    session, _ = built
    with pytest.raises(BadInput, match="has no form"):
        told(session, None, "battery.voltage", "12 V", form="peak")
    with pytest.raises(BadInput, match="Form"):
        told(session, None, "generator.emf", "10 rpm/V", form="sideways")


def test_the_form_is_typed_shown_and_corrected(story, run):
    """By the command line, in words that are usual for it."""
    ref = run("measure", "generator.open_voltage", "31 V", "--form", "line to line").out.split()[0]
    assert "between two leads, RMS" in run("show", ref).out
    run("amend", ref, "form=peak", "--because", "the meter held the peak")
    assert json.loads(run("show", ref, "--json").out)["form"] == PEAK
    assert run("measure", "battery.voltage", "12 V", "--form", "peak").code == 2
