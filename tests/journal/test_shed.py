"""Raw readings of a shed against what follows from geometry and from Ohm's law by hand."""

import math

import pytest

from journal.book.quantity import parse_with
from journal.book.shed import read_raw
from journal.book.sheet import entry_of
from journal.errors import BadInput

#: A value, what was read, and what it must be in SI. Circles by pi; resistance by Ohm's law; the spin test behind a
#: bridge is that of tests/outside/test_spin_test.py: 62 rpm/V with 1 V kept by the diodes.
READ = [
    ("blade.pipe_diameter", "string 50.3 cm", 0.503 / math.pi),
    ("blade.pipe_diameter", "circumference 50,3 cm", 0.503 / math.pi),
    ("mast.tube_diameter", "round 18.94 cm", 0.1894 / math.pi),
    ("rotor.diameter", "half 65 cm", 1.3),
    ("rotor.diameter", "radius 1.1 m", 2.2),
    ("generator.emf_constant", "300 rpm 4.8 V", 4.8 / (300 * math.pi / 30)),
    ("generator.emf_constant", "4.8 V at 300 rpm", 4.8 / (300 * math.pi / 30)),
    ("generator.emf_constant", "300 rpm 3.9 V, 600 rpm 8.7 V, 900 rpm 13.6 V", 30 / math.pi / 61.9),
    ("generator.winding_resistance", "2.1 V 5 A", 0.42),
    ("generator.winding_resistance", "2100 mV 5000 mA", 0.42),
    ("storage.internal_resistance", "12.60 V 12.45 V 5 A", 0.03),
    ("cable.mast.area", "wire 1.78 mm", math.pi * 0.00178**2 / 4),
]


@pytest.mark.parametrize(("path", "typed", "value"), READ, ids=[r[1] for r in READ])
def test_a_raw_reading_becomes_the_value_with_its_doubt(path, typed, value):
    """To the figures that are told; the truth lies within the doubt."""
    read = read_raw(path, typed)
    got = parse_with(read.typed, read.doubt, entry_of(path)[0], path)
    assert got.value == pytest.approx(value, rel=0.006)
    assert got.low <= value <= got.high


def test_the_last_digit_makes_the_doubt():
    """A string read to the centimetre is worse than one read to the millimetre."""
    coarse, fine = read_raw("blade.pipe_diameter", "string 9 cm"), read_raw("blade.pipe_diameter", "string 90.0 mm")
    assert (coarse.doubt, fine.doubt) == ("5.6 %", "0.5 %")


def test_one_spin_leaves_open_what_diodes_keep():
    """Two speeds settle it, so that they are more certain than one."""
    one, two = (read_raw("generator.emf_constant", t) for t in ("300 rpm 4.8 V", "300 rpm 4.8 V, 900 rpm 14.5 V"))
    assert float(one.doubt.split()[0]) > 10 > float(two.doubt.split()[0])


@pytest.mark.parametrize(
    ("path", "typed"),
    [("rotor.diameter", "1.3 m"), ("generator.emf_constant", "62 rpm/V"), ("generator.winding_resistance", "0.42 ohm"),
     ("cable.mast.area", "2.5 mm2"), ("cable.mast.area", "12 AWG"), ("generator.emf_constant", "300 rpm"),
     ("mast.height", "half 4 m"), ("rotor.diameter", "1.3 m +- 1 cm")],
)  # fmt: skip
def test_what_is_no_raw_reading_is_left_as_it_is(path, typed):
    """A value with its unit is read as everywhere."""
    assert read_raw(path, typed) is None


@pytest.mark.parametrize(
    ("path", "typed"),
    [("blade.pipe_diameter", "string"), ("blade.pipe_diameter", "string 3 V"),
     ("storage.internal_resistance", "12.6 V 12.6 V 5 A"), ("generator.emf_constant", "300 rpm 9 V, 900 rpm 3 V")],
)  # fmt: skip
def test_readings_that_make_no_sense_are_told(path, typed):
    """With how to type them."""
    with pytest.raises(BadInput, match=r"Type (it|them) like"):
        read_raw(path, typed)
