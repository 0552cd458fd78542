"""Builds told in feet: every unit against a library of units, sentences with limits, and what must stay as it is."""

import json
import re

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.machine.design import catalogue
from calc.quantities import QUANTITIES
from calc.units import show
from journal.book import shown
from journal.book.feet import FEET, KEPT, gauge, in_feet, told_number
from journal.book.plain_quantity import in_unit_of
from journal.publish.figures import canvas

UREG = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
#: How the units of this program are called in the library.
NAMES = {
    "m2": "m**2", "cm2": "cm**2", "m3": "m**3", "m/s2": "m/s**2", "m3/h": "m**3/h", "kg/m3": "kg/m**3",
    "kg m2": "kg*m**2",
    "Nm": "N*m", "ft2": "ft**2", "in2": "inch**2", "in": "inch", "ft3": "ft**3", "ft/s2": "ft/s**2", "ft3/h": "ft**3/h",
    "mph": "mile/hour", "mi": "mile", "lb/ft3": "lb/ft**3", "lb ft2": "lb*ft**2", "lbf ft": "lbf*ft", "t": "metric_ton",
    "kgf": "kilogram_force", "daN": "decanewton",
}  # fmt: skip


@pytest.fixture
def feet():
    """What is told in the meantime is told in feet."""
    shown.told_in("feet")
    yield
    shown.told_in(None)


def in_library(number, unit, told, *, difference=False):
    """The number of another unit by Pint."""
    if unit == "K" or (difference and unit == "degC"):
        return UREG.Quantity(number, "delta_degC").to("delta_degF").magnitude
    return UREG.Quantity(number, NAMES.get(unit, unit)).to(NAMES.get(told, told)).magnitude


def worth(number):
    """What the last digit of a number is worth; zeros at the end of a whole one beyond two do not count."""
    whole, _, part = number.lstrip("-").partition(".")
    if part:
        return 10.0 ** -len(part)
    return 10.0 ** min(len(whole) - len(whole.rstrip("0")), max(len(whole) - 2, 0))


def test_every_unit_that_is_shown_has_its_place():
    """It is told in another, or is one of those that stay; none is in both."""
    units = {e.shown for e in (*catalogue().values(), *QUANTITIES.values())}
    assert units - set(FEET) - set(KEPT) == {"cm2"} - set(FEET)
    assert not set(FEET) & set(KEPT)


@pytest.mark.parametrize("unit", FEET)
@pytest.mark.parametrize("number", ["0.137", "1", "2.2", "8", "34", "123", "4210", "-7.31"])
def test_a_number_means_what_it_meant(unit, number):
    """Pint's value, within half of the last digit and within one in a hundred."""
    told, name = told_number(number, unit)
    exact = in_library(float(number), unit, name)
    scale = 9 / 5 if unit in ("degC", "K") else in_library(1.0, unit, name)
    assert (
        abs(float(told) - exact) <= min(worth(number) * scale, max(abs(exact) * 0.02, worth(number) * scale)) / 2 + 1e-9
    )


@given(
    st.floats(0.001, 90000, allow_nan=False),
    st.integers(1, 4),
    st.sampled_from(sorted(FEET)),
    st.sampled_from([-1, 0, 1]),
)
def test_converting_never_changes_a_meaning_beyond_its_digits(value, figures, unit, bound):
    """Whatever the number; one that is the least or the most is never told on the side that does harm."""
    number = show(value, "", figures)
    told, name = told_number(number, unit, bound)
    exact = in_library(float(number), unit, name)
    scale = 9 / 5 if unit in ("degC", "K") else in_library(1.0, unit, name)
    off = float(told) - exact
    assert abs(off) <= worth(number) * scale * (0.5 if not bound else 1.0) * (1 + 1e-6) + 1e-9
    assert off * bound >= -1e-5 * worth(number) * scale
    assert "e" not in told


@given(st.integers(1, 400), st.sampled_from([("ft", "m", 0.3048), ("in", "mm", 25.4), ("lb", "kg", 0.45359237)]))
def test_a_whole_number_typed_comes_back_whole(number, units):
    """Though in between it is shown with three digits, as numbers are everywhere."""
    typed, unit, size = units
    metric = show(number * size, "", 3)
    if len(metric.replace(".", "").strip("0")) < 3 or number > 99:
        return
    told, name = told_number(metric, unit)
    assert (told, name) == (str(number), typed)


SENTENCES = [
    ("10 mm or more", "0.394 in or more"), ("at least 5 m away", "at least 16.5 ft away"),
    ("50 m/s at most", "111 mph at most"), ("are kept below 50 m/s", "are kept below 111 mph"),
    ("17 m of cable at most", "55 ft of cable at most"), ("5 to 7 m/s", "11.2 to 15.7 mph"),
    ("between 5 and 7 m/s", "between 11.2 and 15.7 mph"), ("8-10 m/s", "17.9-22.4 mph"),
    ("2.2 m ± 1 cm", "7.2 ft ± 0.394 in"), ("20 °C ± 2 °C", "68 degF ± 3.6 degF"), ("10 K", "18 degF"),
    ("-6 degC", "21 degF"), ("10 °C warmer", "18 degF warmer"), ("0.15 m from it", "5.9 in from it"),
    ("160 mm pipe, wall 4 mm", "160 mm (6.3 in) pipe, wall 4 mm (0.157 in)"),
    ("tube of 60.3 mm x 3.2 mm or more", "tube of 60.3 mm (2.375 in) x 3.2 mm (0.126 in) or more"),
    ("16 mm² or more", "16 mm² (4 AWG) or more"), ("2 x 2.5 mm2", "2 x 2.5 mm2 (about 13 AWG)"),
    ("240 mm2", "240 mm2"), ("15 ft (4.57 m)", "15 ft"), ("0 m", "0 ft"), ("1.2 kg/m3", "0.075 lb/ft3"),
    ("2.2 m, not 1.3 m.", "7.2 ft, not 4.27 ft."),
]  # fmt: skip
STAY = [
    '"8 m of tube"', "called '5 m mast'", "`8 m`", "galebook set mast.height 8 m",
    'galebook attempt "in 5 m/s" --on r2',
    "mast.height=8 m", "r2 m", "A3 m", "the 10 mm.jpg", "12 V", "10 mm22", "2,2 m", "1 200 m", "Bft 5", "62 rpm/V",
    "0.3 K/W",
    "storage.coldest typed 5 degC, was 4 degC", "20 A 3 m/s/x",
]  # fmt: skip


@pytest.mark.parametrize(("metric", "told"), SENTENCES)
def test_sentences(metric, told):
    """Limits are rounded to the side that does no harm, differences have no offset, metric goods keep their sizes."""
    assert in_feet(metric) == told


@pytest.mark.parametrize("metric", [m for m, _ in SENTENCES])
def test_told_twice_is_told_once(metric):
    """What was told in feet is not told again."""
    assert in_feet(in_feet(metric)) == in_feet(metric)


@pytest.mark.parametrize("text", STAY)
def test_what_stays(text):
    """Quotations, commands to copy, names, files, and units that are metric everywhere."""
    assert in_feet(text) == text


def test_ones_own_words_stay():
    """Wherever they stand in a text."""
    assert in_feet("Chosen: 5 m Mast of 3 m, 4 m up", ["5 m mast"]) == "Chosen: 5 m Mast of 9.8 ft, 13.1 ft up"


# NEC chapter 9 table 8 (areas in mm2 of AWG sizes), from memory.
@pytest.mark.parametrize(
    ("area", "name"), [(2.08, "14"), (3.31, "12"), (5.26, "10"), (8.37, "8"), (53.5, "1/0"), (107.2, "4/0")]
)
def test_gauges_are_those_of_the_wire_table(area, name):
    """Each by its own cross-section; one for a limit is thick enough."""
    assert gauge(area) == f"{name} AWG"
    assert gauge(area * 0.95, 1) == f"{name} AWG"
    assert gauge(area * 1.01, -1) == f"{name} AWG"


def test_a_metric_build_passes_untouched():
    """The very same text, no copy of it."""
    text = "5 to 7 m/s, 10 mm or more"
    assert shown.in_units(text) is text


def test_axes_are_named_and_marked_in_feet(feet):
    """Marks stand at round numbers of the unit that is named, where those belong; words along it too."""

    def draw():
        figure, (axes,) = canvas.sheet(3.0)
        axes.plot([0, 20], [0, 1])
        axes.set_xlim(0, 20)
        axes.set_xlabel("wind at the rotor, m/s")
        axes.annotate("8 m", (1, 1))
        return figure

    (axes,) = canvas._drawn(draw).axes
    assert axes.get_xlabel() == "wind at the rotor, mph"
    for place, label in zip(axes.get_xticks(), axes.get_xticklabels(), strict=True):
        assert UREG.Quantity(place, "m/s").to("mph").magnitude == pytest.approx(float(label.get_text()), abs=0.01)
    assert len(axes.get_xticks()) > 3
    assert [t.get_text() for t in axes.texts] == ["26.2 ft"]


def test_set_where_it_begins_and_later(run):
    """Both ways of saying it; other words are refused; nobody asks why."""
    assert run("start", "Mill", "--units", "feet").code == 0
    run("set", "mast.height", "8 m")
    assert "26.2 ft" in run("sheet").out
    assert run("amend", "build", "units=metric").code == 0
    assert "8 m" in run("sheet").out
    assert run("amend", "build", "units=Imperial").code == 0
    refused = run("amend", "build", "units=parsec")
    assert refused.code == 2
    assert "metric; feet" in refused.err


def test_told_the_first_time_somebody_types_in_feet(run):
    """Once; not again, nor where somebody has said."""
    run("start", "Mill")
    assert "units=feet" not in run("set", "rotor.diameter", "2 m").err
    assert run("set", "mast.height", "26 ft").err.count("units=feet") == 1
    assert "units=feet" not in run("set", "rotor.diameter", "7 ft").err
    run("start", "Other", "--units", "metric")
    assert "units=feet" not in run("set", "rotor.diameter", "7 ft").err


@pytest.mark.parametrize(
    "typed", ["7 ft", "7'", '5/8"', "12 gauge", "12 AWG", "#12", "30 mph", "50F", "50 °F", "8 lbs", "9 pounds"]
)
def test_what_is_typed_in_feet_is_known(typed):
    """In every form in which it is read; metric values are not."""
    from journal.book.heard import is_in_feet

    assert is_in_feet(typed)
    assert not any(is_in_feet(t) for t in ("2.2 m", "12 V", "50 degC", "5 min", "Bft 4", "10 mm2", "2 mF"))


def test_echo_says_a_value_once(run):
    """Typed in feet, it is not told in feet again."""
    run("start", "Mill", "--units", "feet")
    assert "mast.height = 26 ft, " in run("set", "mast.height", "26 ft").err


def test_names_that_are_typed_back_stay(run):
    """Options are named in their builder's words, and chosen by them."""
    run("start", "Mill", "--units", "feet"), run("set", "rotor.diameter", "2 m"), run("decide", "Which mast?")
    run("option", "D1", "a mast of 8 m")
    assert "a mast of 8 m" in run("weigh", "D1").out
    assert run("choose", "D1", "a mast of 8 m", "--because", "at hand").code == 0


@pytest.mark.parametrize("call", ["check r1", "sheet r1", "power r1", "show M1"])
def test_scripts_get_what_they_got(story, run, call):
    """JSON of a build in feet is that of one in metres, and its TOML too."""
    before, toml = run(*call.split(), "--json").out, run("sheet", "r1", "--toml").out
    text = run(*call.split()).out
    run("amend", "build", "units=feet")
    assert json.loads(run(*call.split(), "--json").out) == json.loads(before)
    assert run("sheet", "r1", "--toml").out == toml
    told = run(*call.split()).out
    if call != "show M1":
        assert told != text
    # What the motor's seller claims is quoted.
    assert not re.search(r"\d (m/s|MPa|kN)\b", told.replace("400 W at 9 m/s", ""))


def test_a_number_alone_has_the_unit_that_its_question_shows(feet):
    """A question that is told in feet is answered in feet; where goods are asked in metric, in that."""
    entries = catalogue()
    assert in_unit_of(entries["mast.height"], "26") == "26 ft"
    assert in_unit_of(entries["cable.area"], "10") == "10 mm2"
    shown.told_in(None)
    assert in_unit_of(entries["mast.height"], "8") == "8 m"
