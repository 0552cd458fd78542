"""What readings tell with the sheet, against published tables and work by hand; and where they tell nothing."""

import math

import pytest

from calc.evidence import by_sheet
from calc.evidence.uncertainty import LimitedReading
from journal.book import records, sheet
from journal.book.attempts import AttemptTyped, log_attempt
from journal.book.measurements import MeasurementTyped, log_measurement
from journal.screens.record import gather_record
from tests.outside.test_storage import AT_REST, RAMSEY


def exact(x):
    """A reading without doubt."""
    return LimitedReading(x, x, x)


@pytest.mark.parametrize(("chemistry", "state", "volts"), AT_REST)
def test_charge_of_a_bank_covers_every_publication(chemistry, state, volts):
    """The published voltages are those of 12 V; a bank of 24 V is twice as high, and a vague reading widens it."""
    got = by_sheet.charge_at_rest(exact(2.0 * volts), 24.0, chemistry)
    wide = by_sheet.charge_at_rest(LimitedReading(2.0 * volts - 0.2, 2.0 * volts, 2.0 * volts + 0.2), 24.0, chemistry)
    assert got.low - 1e-3 <= state <= got.high + 1e-3
    assert wide.low <= got.low <= got.value <= got.high <= wide.high
    assert wide.value == got.value


@pytest.mark.parametrize(("density", "volts"), RAMSEY)
def test_acid_tells_the_same_as_its_voltage(density, volts):
    """Ramsey charger kit manual, Table 1, has both: the charge is the same to a few in a hundred."""
    acid = by_sheet.charge_by_acid(exact(density), "flooded lead-acid")
    rest = by_sheet.charge_at_rest(exact(volts), 12.0, "flooded lead-acid")
    assert acid.value == pytest.approx(rest.value, abs=0.02)


def test_a_winding_is_a_thermometer():
    """0.50 to 0.65 ohm from 20 degC gives 96.35 degC, worked by hand; T + 234.5 errs by the shares of both readings."""
    got = by_sheet.temperature_of_winding(LimitedReading(0.637, 0.65, 0.663), LimitedReading(0.49, 0.50, 0.51))
    assert got.value - 273.15 == pytest.approx(96.35, abs=0.005)
    assert got.high - got.value == pytest.approx(2 * (96.35 + 234.5) * 0.02 * math.sqrt(2 / 3), rel=1e-3)


def test_inductance_from_the_phasor_circuit():
    """Star of 0.12 ohm and 0.2 mH a phase, 23 pole pairs, 0.8165 V s/rad peak flux turned into current by hand."""
    omega, R, L, p, k_ll = 30.0, 0.12, 0.2e-3, 23.0, 0.9426
    I = k_ll * omega / math.sqrt(3.0) / abs(complex(R, p * omega * L))
    got = by_sheet.inductance_between_leads(
        exact(I), exact(omega), exact(k_ll * 1.35047), exact(2 * R), "DC after the rectifier", p
    )
    assert got.value == pytest.approx(2 * L, rel=1e-4)
    with pytest.raises(ValueError, match="resistance alone"):
        by_sheet.inductance_between_leads(
            exact(999.0), exact(omega), exact(k_ll), exact(2 * R), "DC after the rectifier", p
        )


SHEET = {
    "storage.chemistry": "flooded lead-acid", "storage.voltage": "12 V", "generator.winding_resistance": "0.50 ohm",
    "generator.emf_constant": "7.5 rpm/V", "generator.pole_pairs": "23", "blade.pipe_diameter": "160 mm",
    "blade.pipe_wall": "4.0 mm", "blade.chord_root": "95 mm",
}  # fmt: skip


def told(s, readings, **changed):
    """What one attempt and its readings tell with the sheet."""
    items = {path: {"typed": typed, "provenance": "data plate"} for path, typed in (SHEET | changed).items() if typed}
    sheet.set_values(s, records.find_revision(s), items)
    a = log_attempt(s, AttemptTyped("on the bench", load_state="nothing connected"))
    for quantity, typed, *more in readings:
        log_measurement(s, MeasurementTyped(quantity, typed, attempt=a.ref, **(more[0] if more else {})))
    return gather_record(s, a.ref).data["by_sheet"]


def test_a_rest_voltage_tells_the_charge_with_its_conditions(s):
    """12.1 V in a flooded 12 V bank: 44 %; the range is that of the publications and of the reading."""
    (got,) = told(s, [("battery.voltage", "12.1 V", {"doubt": "0.01 V"})])
    assert got.value == pytest.approx(0.4375, abs=1e-3)
    assert (got.low, got.high) == pytest.approx((0.25, 0.59), abs=0.02)
    for words in ("about 44 %", "rested for 8 hours", "no charge and no load", "25 degC"):
        assert words in got.text
    assert gather_record(s, "M1").data["by_sheet"] == [got]


def test_acid_bolts_warmth_and_inductance(s):
    """All four from one bench: 1.21; 22 mm of 160 mm pipe, 21.8 deg by hand; 96 degC; 2.34 mH by hand."""
    readings = [
        ("battery.density", "1.21"), ("blade.bolts", "22 mm"), ("generator.resistance", "0.65 ohm"),
        ("generator.short_current", "20 A"), ("rotor.speed", "286.5 rpm"),
    ]  # fmt: skip
    acid, warmth, L, angle = told(s, readings)
    assert acid.value == pytest.approx(0.65, abs=0.01)
    assert math.degrees(angle.value) == pytest.approx(math.degrees(math.asin(95 / 156) - 22 / 80), abs=0.01)
    assert warmth.value - 273.15 == pytest.approx(96.35, abs=0.01)
    phase = math.sqrt((30 / math.pi / 7.5 / 1.35047 * 30.0 / math.sqrt(3) / 20.0) ** 2 - 0.25**2) / (23 * 30.0)
    assert L.value == pytest.approx(2 * phase, rel=2e-3)
    assert all(t.low < t.value < t.high for t in (acid, warmth, L, angle))


#: Readings that tell nothing, with what is changed on the sheet; of some it is no wonder, of others the reason is told.
SILENT = {
    "charging": ([("battery.voltage", "12.1 V", {"load_state": "battery"})], {}),
    "lithium": ([("battery.voltage", "12.1 V")], {"storage.chemistry": "LiFePO4"}),
    "no bank": ([("battery.voltage", "12.1 V")], {"storage.voltage": None}),
    "no battery rests there": ([("battery.voltage", "14.4 V")], {}),
    "gel has no acid to reach": ([("battery.density", "1.21")], {"storage.chemistry": "gel lead-acid"}),
    "winding as cold as on the sheet": ([("generator.resistance", "0.51 ohm")], {}),
    "no resistance on the sheet": ([("generator.resistance", "0.65 ohm")], {"generator.winding_resistance": None}),
    "current without its speed": ([("generator.short_current", "20 A")], {}),
    "more than the winding lets through": (
        [("generator.short_current", "200 A"), ("rotor.speed", "286 rpm")], {}
    ),
    "two of a kind": ([("battery.density", "1.21"), ("battery.density", "1.22")], {}),
    "bolts off the blade": ([("blade.bolts", "150 mm")], {}),
    "no pipe": ([("blade.bolts", "22 mm")], {"blade.pipe_wall": None}),
    "single-phase": (
        [("generator.short_current", "20 A"), ("rotor.speed", "286 rpm")], {"generator.phases": "single-phase"}
    ),
}  # fmt: skip


#: What is said of those from which a builder would expect something.
WHY = {
    "lithium": "does not tell the charge of a lithium cell",
    "no bank": "the sheet does not say the nominal voltage of the bank (storage.voltage)",
    "no battery rests there": "no lead cell rests below 1.5 V",
    "gel has no acid to reach": "only flooded cells have acid",
    "more than the winding lets through": "more than the resistance alone",
    "two of a kind": "M1 and M2 each give specific gravity of the acid, and which one counts is not said",
    "bolts off the blade": "",
    "no pipe": "the sheet does not say the wall of the pipe as it is sold (blade.pipe_wall)",
    "single-phase": "three-phase windings only",
}


@pytest.mark.parametrize("case", SILENT)
def test_nothing_is_told_where_it_does_not_hold(s, case):
    """Rather nothing than a wrong number."""
    readings, changed = SILENT[case]
    assert told(s, readings, **changed) == []
    why = [u.text for u in gather_record(s, "A1").data["not_worked_out"]]
    reason = WHY.get(case)
    assert len(why) == (reason is not None), why
    assert reason is None or reason in why[0]


def test_a_battery_at_rest_is_told_beside_one_that_charged(s):
    """Only the reading with nothing connected was meant to tell the charge."""
    (got,) = told(s, [("battery.voltage", "13.9 V", {"load_state": "battery"}), ("battery.voltage", "12.1 V")])
    assert got.refs == ("M2",)


def test_a_single_reading_says_why_it_tells_nothing(s):
    """As its attempt does, and on the screen."""
    told(s, [("battery.voltage", "14.4 V")])
    view = gather_record(s, "M1")
    (why,) = view.data["not_worked_out"]
    assert why.text == "Charge of the battery, from M1: no lead cell rests below 1.5 V or above 2.3 V."
    assert dict(view.sections)["Not worked out"] == [why.text]


def test_cold_leads_read_one_after_the_other_are_nothing_to_explain(s):
    """Three pairs of leads are read to find a broken winding: 0.50, 0.49 and 0.51 ohm, as the sheet says."""
    told(s, [("generator.resistance", f"{ohm} ohm") for ohm in (0.50, 0.49, 0.51)])
    assert gather_record(s, "A1").data["not_worked_out"] == []
