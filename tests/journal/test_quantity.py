"""Numbers as people type them. What a unit means is held against the registry that Pint ships, not against ours."""

import math
from functools import cache

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from calc.machine import design
from calc.machine.entry import Entry
from calc.quantities import QUANTITIES
from calc.units import UNITS, show, si_size, to_shown
from journal.book import plain_quantity
from journal.book.quantity import parse
from journal.errors import BadInput

CATALOGUE = design.catalogue()


def asked(unit, shown="", low=-1e30, high=1e30):
    """Something that is asked for in a unit."""
    return Entry("number", "A value", "1 X", unit, shown or unit, low, high, group="test", name="value")


@cache
def outside_registry():
    """The registry that Pint ships."""
    import pint

    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


#: As typed, the SI unit asked for, and how Pint's own registry writes the same unit (None: the same as typed).
CONVERSIONS = [
    ("160 mm", "m", None),
    ("9.5 cm", "m", None),
    ("1.2 km", "m", None),
    ("6 in", "m", None),
    ("7.25 ft", "m", None),
    ("3 yd", "m", None),
    ("0.5 mi", "m", None),
    ("4.6 m/s", "m/s", None),
    ("10.3 mph", "m/s", "10.3 mile/hour"),
    ("36 km/h", "m/s", None),
    ("12 kn", "m/s", "12 knot"),
    ("12 kt", "m/s", "12 knot"),
    ("20 ft/s", "m/s", None),
    ("320 rpm", "rad/s", None),
    ("5.5 turn/s", "rad/s", None),
    ("12 V", "V", None),
    ("850 mV", "V", None),
    ("1.1 kV", "V", None),
    ("15 A", "A", None),
    ("300 mA", "A", None),
    ("400 W", "W", None),
    ("1.5 kW", "W", None),
    ("420 Wh", "J", "420 watt_hour"),
    ("3.2 kWh", "J", None),
    ("100 Ah", "A*s", "100 ampere_hour"),
    ("2500 mAh", "A*s", "2500 milliampere_hour"),
    ("2.5 mm2", "m^2", "2.5 mm**2"),
    ("2.5 mm^2", "m^2", None),
    ("2.5 mm²", "m^2", "2.5 mm**2"),
    ("0.3 in2", "m^2", "0.3 in**2"),
    ("9.8 m/s²", "m/s^2", "9.8 m/s**2"),
    ("2.5 m³", "m^3", "2.5 m**3"),
    ("1000 W/m²", "W/m^2", "1000 W/m**2"),
    ("0.42 ohm", "ohm", None),
    ("0.42 Ω", "ohm", None),
    ("240 mohm", "ohm", "240 milliohm"),
    ("240 mΩ", "ohm", "240 milliohm"),
    ("3 mH", "H", None),
    ("250 µH", "H", None),
    ("250 μH", "H", "250 uH"),
    ("20 degC", "kelvin", None),
    ("-5.5 °C", "kelvin", "-5.5 degC"),
    ("68 degF", "kelvin", None),
    ("-40 °F", "kelvin", "-40 degF"),
    ("293.15 K", "kelvin", None),
    ("350 g", "kg", None),
    ("5.2 kg", "kg", None),
    ("11 lb", "kg", None),
    ("12 oz", "kg", None),
    ("90 N", "N", None),
    ("1.2 kN", "N", None),
    ("4 Nm", "N*m", "4 N*m"),
    ("35 MPa", "Pa", None),
    ("2.9 GPa", "Pa", None),
    ("1013 hPa", "Pa", None),
    ("6 Hz", "1/s", "6 1/s"),
    ("80 %", "", "0.8"),
    ("5 h", "s", None),
    ("30 min", "s", None),
    ("2 days", "s", None),
    ("62 mV/rpm", "V*s/rad", "62 mV/(turn/minute)"),
    ("0.154 Vs/rad", "V*s/rad", "0.154 V*s/rad"),
    ("360000 As", "A*s", "100 ampere_hour"),
    ("36 kWs", "J", "36 kW*s"),
    ("250 ms", "s", None),
    ("16 V/krpm", "V*s/rad", "0.016 V/(turn/minute)"),
]


@pytest.mark.parametrize(("typed", "unit", "outside"), CONVERSIONS, ids=[c[0] for c in CONVERSIONS])
def test_units_mean_what_pint_says_they_mean(typed, unit, outside):
    """Our short list of units agrees with the long one that Pint ships."""
    expected = outside_registry().Quantity(outside or typed).to(unit or "dimensionless").magnitude
    assert parse(typed, asked(unit), "x").value == pytest.approx(expected, rel=1e-9)


#: Names that Pint does not ship (levels of sound; megohm; seconds behind, which it takes for a plural) or that mean
#: another unit to it (Nm is one of textiles), as it would write them.
OURS_ALONE = {
    "dB(A)": "1", "dBA": "1", "Nm": "1 N*m", "Ws": "1 W*s", "kWs": "1000 W*s", "As": "1 A*s", "Vs": "1 V*s",
    "megohm": "1e6 ohm",
}  # fmt: skip
NAMES = [(unit, name) for unit in UNITS for name in (unit.symbol, *unit.spellings) if name.isascii()]


@pytest.mark.parametrize(("unit", "name"), NAMES, ids=[name for _, name in NAMES])
def test_the_table_of_units_agrees_with_the_registry_that_pint_ships(unit, name):
    """Each spelling, by size and kind."""
    outside = outside_registry()
    expected = outside.Quantity(OURS_ALONE[name]) if name in OURS_ALONE else outside.Quantity(1.0, name)
    expected = expected.to_base_units()
    ours = plain_quantity._registry().Quantity(1.0, plain_quantity._unit(name)).to_base_units()
    assert dict(ours.dimensionality) == dict(expected.dimensionality)
    assert ours.magnitude == pytest.approx(expected.magnitude, rel=1e-12)
    if not unit.zero:
        assert si_size(name) == pytest.approx(ours.magnitude, rel=1e-12)


SHOWN = sorted({e.shown for e in CATALOGUE.values()} | {q.shown for q in QUANTITIES.values()})


@pytest.mark.parametrize("unit", SHOWN)
def test_what_is_shown_comes_from_the_same_table(unit):
    """Seven of a unit that is shown are seven when they are read again."""
    value = {"rpm/V": 1 / (7 * si_size(unit))}.get(unit, 7 * si_size(unit))
    if unit == "degC":
        value += 273.15
    assert to_shown(value, unit) == pytest.approx(7)
    si = next(e.unit for e in [*CATALOGUE.values(), *QUANTITIES.values()] if e.shown == unit)
    assert parse(f"7 {unit}", asked(si, unit), "x").value == pytest.approx(value)


@pytest.mark.parametrize("unit", ["parsec", "m4", "V/parsec"])
def test_an_unknown_unit_is_not_shown(unit):
    """Nothing is guessed."""
    with pytest.raises(KeyError):
        to_shown(1.0, unit)


@pytest.mark.parametrize("typed", ["41 dB(A)", "41 dBA"])
def test_sound_levels_stay_what_they_are(typed):
    """A level has no unit to convert."""
    assert parse(typed, QUANTITIES["noise.level"], "x").value == 41


@pytest.mark.parametrize(("typed", "expected"), [("62 rpm/V", 60 / (2 * math.pi) / 62), ("0.154 V*s/rad", 0.154)])
def test_a_reciprocal_is_turned_over(typed, expected):
    """Speed per volt and volts per speed are the same constant, typed either way."""
    assert parse(typed, CATALOGUE["generator.emf_constant"], "x").value == pytest.approx(expected)


# Lowest speed of each number as two weather services print it (see calc/tables/beaufort.csv); a number ends where the
# next begins. Bft 12 has no upper limit, ours of 40 m/s is an assumption.
@pytest.mark.parametrize(
    ("typed", "low", "high"),
    [("Bft 4", 5.5, 8.0), ("bft4", 5.5, 8.0), ("about Bft 5", 8.0, 10.8), ("force 9", 20.8, 24.5),
     ("Beaufort 4-5", 5.5, 10.8), ("Bft 4 to 5", 5.5, 10.8), ("Bft 12", 32.7, 40.0)],
)  # fmt: skip
def test_beaufort_numbers_are_intervals(typed, low, high):
    """A number of the scale is kept as its interval."""
    reading = parse(typed, QUANTITIES["wind.speed"], "x")
    assert (reading.low, reading.high) == pytest.approx((low, high))
    assert reading.low < reading.value < reading.high


# ASTM B258: 12 AWG 3.31 mm2, 4/0 AWG 107 mm2, 10 AWG 5.26 mm2, 1/0 AWG 53.5 mm2, 2/0 AWG 67.4 mm2 (from memory).
@pytest.mark.parametrize(
    ("typed", "mm2"),
    [("12 AWG", 3.31), ("AWG 12", 3.31), ("12awg", 3.31), ("AWG10", 5.26), ("4/0 AWG", 107.2), ("AWG 4/0", 107.2),
     ("0000 AWG", 107.2), ("0 AWG", 53.5), ("1/0 AWG", 53.5), ("00 AWG", 67.4)],
)  # fmt: skip
def test_wire_gauges_are_areas(typed, mm2):
    """Gauge numbers before and after the letters, and the several ways of writing the noughts."""
    assert parse(typed, CATALOGUE["cable.area"], "x").value == pytest.approx(mm2 * 1e-6, rel=2e-3)


#: As typed, and the limits in the unit shown.
LIMITS = [
    ("rotor.diameter", "2.2 m +- 1 cm", 2.19, 2.21),
    ("rotor.diameter", "2.2 m +/- 1cm", 2.19, 2.21),
    ("rotor.diameter", "2.2 m±0.01", 2.19, 2.21),
    ("rotor.diameter", "2.2 m ± 5 %", 2.09, 2.31),
    ("rotor.diameter", "2.1 to 2.3 m", 2.1, 2.3),
    ("rotor.diameter", "2.3 to 2.1 m", 2.1, 2.3),
    ("rotor.diameter", "2.1..2.3 m", 2.1, 2.3),
    ("rotor.diameter", "2.1 – 2.3 m", 2.1, 2.3),
    ("site.air_temperature", "10 degC ± 2 degC", 8, 12),
    ("site.air_temperature", "10 degC ± 2 K", 8, 12),
    ("site.air_temperature", "10 degC ± 3.6 degF", 8, 12),
    ("site.air_temperature", "10 degC ± 2", 8, 12),
    ("storage.usable_share", "80 % ± 5 %", 75, 85),
    ("storage.usable_share", "0.8 ± 0.05", 75, 85),
    ("cable.area", "10 mm2 ± 0.1 mm2", 9.9, 10.1),
    ("generator.emf_constant", "62 rpm/V ± 2 %", 62 / 1.02, 62 / 0.98),
    ("generator.emf_constant", "60 to 64 rpm/V", 60, 64),
]


@pytest.mark.parametrize(("name", "typed", "low", "high"), LIMITS, ids=[t[1] for t in LIMITS])
def test_uncertainty_in_every_form(name, typed, low, high):
    """Plus-minus in three spellings, with its own unit, without, or as a share; and intervals."""
    entry = CATALOGUE[name]
    reading = parse(typed, entry, name)
    shown = sorted(float(to_shown(v, entry.shown)) for v in (reading.low, reading.high))
    assert shown == pytest.approx([low, high])
    assert reading.low <= reading.value <= reading.high
    assert reading.doubt


#: Entry, what is typed, and words of the message; every kind of mistake.
BAD = [
    ("rotor.diameter", "2.2 metrs", "unknown unit 'metrs'. Did you mean 'metre'"),
    ("rotor.diameter", "2.2 parsec", "unknown unit 'parsec'. Type it like 2.2 m"),
    ("rotor.diameter", "2.2 kg", "kg is the wrong kind of unit"),
    ("rotor.diameter", "2.2 m2", "wrong kind of unit"),
    ("rotor.diameter", "2.2", "has no unit. Type it like 2.2 m"),
    ("rotor.blades", "3 m", "wrong kind of unit"),
    ("rotor.diameter", "nan m", "cannot read"),
    ("rotor.diameter", "nan", "cannot read"),
    ("rotor.diameter", "inf m", "cannot read"),
    ("rotor.diameter", "-inf m", "cannot read"),
    ("rotor.diameter", "1e999 m", "not a usable number"),
    ("rotor.diameter", "-2.2 m", "out of range. Accepted: 0.2 m to 15 m"),
    ("rotor.diameter", "2.2 km", "out of range"),
    ("rotor.diameter", "1e300 m", "out of range"),
    ("rotor.diameter", "", "is empty"),
    ("rotor.diameter", "   ", "is empty"),
    ("rotor.diameter", "2.2 m\x1b[31m", "control character"),
    ("rotor.diameter", "2.2\x00 m", "control character"),
    ("rotor.diameter", "2.2 m\ud800", "control character"),
    ("rotor.diameter", "1.234,5 m", "1.234,5 m = 1234.5 m is out of range"),
    ("rotor.diameter", "2.2.2 m", "cannot read"),
    ("rotor.diameter", "2.2 m" + " " * 10 + "m" * 300, "characters long"),
    ("rotor.diameter", "2.2 m ± 1 cm ± 1 cm", "cannot read"),
    ("rotor.diameter", "2.2 m ± -1 cm", "cannot read the uncertainty"),
    ("rotor.diameter", "2.2 m ± some", "cannot read the uncertainty"),
    ("rotor.diameter", "2.2 m ± 1 kg", "wrong kind of unit"),
    ("rotor.diameter", "2.2 m ± 5 m", "out of range"),
    ("rotor.diameter", "2.2 m ± 1e999 m", "out of range"),
    ("rotor.diameter", "1 to 2 to 3 m", "cannot read"),
    ("rotor.diameter", "1 to 99 m", "out of range"),
    ("rotor.diameter", "2.2 (((m", "cannot read the unit"),
    ("rotor.diameter", "2.2 m^0", "cannot read the unit"),
    ("rotor.diameter", "2.2 m**", "cannot read the unit"),
    ("rotor.diameter", "2.2 m/0", "divides by zero"),
    ("rotor.diameter", "2.2 m**9**9**9", "cannot read the unit"),
    ("rotor.diameter", "2.2 m^9^9^9", "cannot read the unit"),
    ("rotor.diameter", "2.2 m*1e300**9", "cannot read the unit"),
    ("rotor.diameter", "2.2 __import__('os')", "unit"),
    ("generator.emf_constant", "0 rpm/V", "divides by zero"),
    ("generator.emf_constant", "7.5 rpm/V ± 0.1 rpm/V", "read as a share"),
    ("generator.emf_constant", "0.001 rpm/V", "Accepted: 0.159 rpm/V to 9550 rpm/V"),
    ("site.air_temperature", "-300 degC", "out of range"),
    ("site.mean_wind", "Bft 13", "not on the Beaufort scale"),
    ("site.mean_wind", "Bft 5-4", "not on the Beaufort scale"),
    ("rotor.diameter", "Bft 4", "cannot read"),
    ("cable.area", "60 AWG", "out of range"),
    ("rotor.diameter", "12 AWG", "unit"),
    ("rotor.diameter", "2.2 ms", "wrong kind of unit"),
    ("storage.voltage", "12 Vs", "wrong kind of unit"),
]


@pytest.mark.parametrize(("name", "typed", "words"), BAD, ids=[f"{n}-{t[:16]!r}" for n, t, _ in BAD])
def test_what_cannot_be_read_is_told_in_one_line(name, typed, words):
    """One line that names the entry, says what was wrong, and what would be accepted."""
    with pytest.raises(BadInput) as caught:
        parse(typed, CATALOGUE[name], name)
    message = str(caught.value)
    assert words in message
    assert "\n" not in message
    assert caught.value.accepted


@pytest.mark.parametrize("entry", [e for e in CATALOGUE.values() if e.kind == "number"], ids=lambda e: e.path)
def test_examples_of_the_catalogue_can_be_typed(entry):
    """The example shown to people is accepted, and shown again much as it was typed."""
    reading = parse(entry.example, entry, entry.path)
    again = parse(show(reading.value, entry.shown), entry, entry.path)
    assert again.value == pytest.approx(reading.value, rel=5e-3)


@pytest.mark.parametrize("asked_for", QUANTITIES.values(), ids=lambda q: q.name)
def test_examples_of_quantities_can_be_typed(asked_for):
    """The same for what can be measured."""
    assert asked_for.low <= parse(asked_for.example, asked_for, "x").value <= asked_for.high


NUMBERS = [*(e for e in CATALOGUE.values() if e.kind == "number"), *QUANTITIES.values()]


@pytest.mark.parametrize("entry", NUMBERS, ids=lambda e: getattr(e, "path", None) or f"measured-{e.name}")
@settings(max_examples=25, deadline=None)
@given(share=st.integers(0, 1000).map(lambda n: n / 1000), figures=st.sampled_from([3, 6, 12]))
@example(share=0.0, figures=12)
@example(share=1.0, figures=12)
def test_a_number_shown_can_be_typed_again(entry, share, figures):
    """What is shown in a unit parses to the same number, within the digits shown."""
    value = entry.low + share * (entry.high - entry.low)
    # A number that was rounded in the unit shown may fall a hair outside; the range is not under test here.
    open_ended = asked(entry.unit, entry.shown)
    shown = to_shown(value, entry.shown) if value or entry.shown != "rpm/V" else 0.0
    again = to_shown(parse(show(value, entry.shown, figures), open_ended, "x").value, entry.shown)
    assert again == pytest.approx(shown, rel=max(0.6 * 10 ** (1 - figures), 2e-11), abs=1e-12)


def outcome(text):
    """The number read, or the line that refuses it; any other error goes through."""
    try:
        return parse(text, CATALOGUE["rotor.diameter"], "x").value
    except BadInput as e:
        return str(e)


@settings(max_examples=300, deadline=None)
@given(st.text(max_size=40))
def test_any_text_is_read_or_refused(text):
    """Whatever is typed gives a usable number within the range, or a line; never another error."""
    found = outcome(text)
    assert isinstance(found, str) or 0.2 <= found <= 15


@settings(max_examples=300, deadline=None)
@given(st.text(alphabet="0123456789.eE+-*/^()m kg±% to", max_size=24))
def test_any_jumble_of_digits_and_signs_is_read_or_refused(text):
    """The same with the signs that mean something."""
    found = outcome("2 m" + text)
    assert isinstance(found, str) or 0.2 <= found <= 15


def test_conversion_adds_nothing():
    """10 mm2 is 1e-5 m2 and no less, so that a limit of 10 mm2 is kept by 10 mm2."""
    assert parse("10 mm2", CATALOGUE["cable.area"], "x").value == 1e-5


def test_the_registry_is_ours_alone():
    """A unit nobody means at this work is not known."""
    assert "parsec" not in dir(plain_quantity._registry())
    with pytest.raises(BadInput, match="unknown unit 'parsec'"):
        parse("1 parsec", CATALOGUE["cable.length"], "x")
