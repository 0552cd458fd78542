"""Readings as they are told in a line: the quantity by its words or its unit, never beside its unit."""

import pytest

from journal.book.reading_line import read_line
from journal.errors import BadInput


@pytest.mark.parametrize(
    ("line", "last", "found"),
    [
        ("12.1 V battery.voltage", "", ("battery.voltage", "12.1 V")),
        ("battery.voltage 12.1 V", "", ("battery.voltage", "12.1 V")),
        ("12,4 V battery", "", ("battery.voltage", "12,4 V battery")),
        ("12.1 battery voltage", "", ("battery.voltage", "12.1 V")),
        ("300 rpm", "", ("rotor.speed", "300 rpm")),
        ("300 rpm", "battery.voltage", ("rotor.speed", "300 rpm")),
        ("12.5", "battery.voltage", ("battery.voltage", "12.5 V")),
        ("12.5 V", "battery.voltage", ("battery.voltage", "12.5 V")),
        ("wind 7", "", ("wind.speed", "7 m/s")),
        ("noise 45 dB", "", ("noise.level", "45 dB")),
        ("rotor 320", "", ("rotor.speed", "320 rpm")),
    ],
)
def test_a_line_is_read(line, last, found):
    assert read_line(line, last) == found


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("12.1 A battery.voltage", "wrong kind of unit"),
        ("12.1 A battery voltage", "wrong kind of unit"),
        ("12 V battery.volts", "battery.voltage"),
        ("12.4 V", "generator.open_voltage"),
        ("battery 12.5", "battery.temperature"),
        ("3 kN mast", "does not say what was read"),
        ("hello", "does not say what was read"),
    ],
)
def test_a_line_is_refused_or_asked_about(line, says):
    with pytest.raises(BadInput, match=says):
        read_line(line)
