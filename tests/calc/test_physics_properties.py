"""What must hold whatever the numbers, and what is refused."""

import inspect
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.physics import air, dump, generator, inverter, protection, storage, wind, wiring
from calc.rules import RULES
from calc.rules.sizing import CableRun
from calc.units import show_down, show_up
from tests.calc.sheets import findings

AREAS = wiring.resistance_table()[0].tolist()
MM2 = 1e-6


@given(st.sampled_from(AREAS), st.sampled_from(AREAS), st.floats(0.1, 200.0), st.floats(0.1, 500.0))
def test_thicker_standard_cable_never_loses_more(a, b, I, L):
    """Among standard sizes more copper loses less voltage."""
    thin, thick = sorted((a, b))
    lost = [wiring.voltage_drop_dc(I, L, wiring.resistance(A)) for A in (thin, thick)]
    assert lost[1] <= lost[0]


@given(st.floats(0.5, 100.0), st.floats(1.14, 4.0), st.sampled_from(["copper", "aluminium"]))
def test_cable_a_seventh_thicker_never_resists_more(area, factor, material):
    """Between sizes the makers' 12 % at most is never turned round by a seventh more metal."""
    thin, thick = area * MM2, area * factor * MM2
    assert wiring.resistance(thick, material) <= wiring.resistance(thin, material)


@given(st.floats(1.5, 120.0), st.floats(273.15, 340.0), st.floats(273.15, 340.0))
def test_hotter_air_never_permits_more_current(area, a, b):
    """Ampacity falls with the temperature of the air."""
    cool, hot = sorted((a, b))
    assert wiring.ampacity(area * MM2, T=hot) <= wiring.ampacity(area * MM2, T=cool)


@given(st.floats(1.5, 120.0), st.floats(1.5, 120.0))
def test_thicker_cable_never_carries_less(a, b):
    """Ampacity rises with the area, also between standard sizes."""
    thin, thick = sorted((a, b))
    assert wiring.ampacity(thin * MM2) <= wiring.ampacity(thick * MM2) * (1 + 1e-12)


@given(st.floats(250.0, 360.0), st.floats(250.0, 360.0))
def test_hotter_conductor_never_resists_less(a, b):
    """Resistance rises with temperature."""
    cool, hot = sorted((a, b))
    assert wiring.resistance(10e-6, T=cool) <= wiring.resistance(10e-6, T=hot)


@given(st.floats(3.0, 10.0), st.floats(2.0, 100.0), st.floats(2.0, 100.0))
def test_higher_mast_never_gets_less_wind(V, a, b):
    """The profile rises, and turning it round gives the height back."""
    low, high = sorted((a, b))
    at = [wind.log_profile(V, 10.0, z, 0.1) for z in (low, high)]
    assert at[0] <= at[1]
    assert wind.height_for(at[1], V, 10.0, 0.1) == pytest.approx(high)


@given(st.floats(0.5, 10.0), st.floats(1.0, 20.0), st.floats(1.0, 15.0))
def test_speed_and_wind_are_each_other_reversed(D, V, tsr):
    """Wind to speed and back."""
    assert wind.wind_for_speed(wind.rotor_speed(V, D, tsr), D, tsr) == pytest.approx(V)


@given(st.floats(1.0, 1e4), st.floats(0.05, 0.59), st.floats(2.0, 20.0))
def test_diameter_gives_its_power_back(P, Cp, V):
    """Diameter for a power takes that power."""
    D = wind.diameter_for(P, Cp, 1.225, V)
    assert Cp * wind.power_in_wind(1.225, wind.swept_area(D), V) == pytest.approx(P)


@given(st.sampled_from([60, 75, 90]), st.floats(2.1, 107.0), st.floats(2.1, 107.0))
def test_thicker_gauge_never_carries_less(column, a, b):
    """Along each column of the American table, also between gauges."""
    thin, thick = sorted((a, b))
    got = [wiring.nec_ampacity(area * MM2, column) for area in (thin, thick)]
    assert got[0] <= got[1] * (1 + 1e-12)


@given(st.floats(2.1, 107.0))
def test_hotter_insulation_never_carries_less(area):
    """The columns rise with what the insulation withstands."""
    got = [wiring.nec_ampacity(area * MM2, column) for column in (60, 75, 90)]
    assert got == sorted(got)


@given(st.sampled_from(["IEC", "NEC"]), st.integers(1, 60), st.integers(1, 60))
def test_more_cables_grouped_never_permit_more(practice, a, b):
    """The more cables lie together, the less each carries."""
    few, many = sorted((a, b))
    assert wiring.grouping_factor(practice, many) <= wiring.grouping_factor(practice, few)


@given(st.sampled_from(["IEC", "NEC"]), st.floats(15.0, 260.0), st.floats(15.0, 260.0), st.floats(2.1, 107.0))
def test_more_ampacity_never_permits_a_smaller_fuse(practice, a, b, area):
    """In both practices, and never below what a standard rating below the ampacity would be."""
    low, high = sorted((a, b))
    got = [protection.fuse_limit(I, area * MM2, practice) for I in (low, high)]
    assert got[0] <= got[1]


@given(st.floats(10.0, 60.0), st.floats(1e-3, 0.5), st.floats(0.0, 500.0), st.floats(0.0, 500.0))
def test_more_power_never_sags_less(V, R, a, b):
    """Voltage at the inverter falls with the power drawn, and never exceeds that of the battery."""
    little, much = sorted((a, b))
    assert inverter.sagged(V, R, much) <= inverter.sagged(V, R, little) <= V


@given(st.floats(5.0, 100.0), st.floats(0.05, 50.0))
def test_dump_load_and_back(V, R):
    """Resistance to power and back."""
    assert dump.resistance_for(V, dump.power(V, R)) == pytest.approx(R)


def test_the_cable_rule_asks_the_documented_formula(monkeypatch):
    """A hundred times the drop is what the rule then says."""
    key = ("wiring.voltage-drop", "cable.main")
    before = findings({})[key]
    formula = wiring.voltage_drop_dc
    monkeypatch.setattr(wiring, "voltage_drop_dc", lambda *of: 100.0 * formula(*of))
    assert findings({})[key].value > 50.0 * before.value


def test_formula_limits_and_words_of_the_cable_rule_are_one_hop_from_it():
    """The rule's own function names each of them."""
    (rule,) = (one for one in RULES if one.id == "wiring.voltage-drop")
    source = inspect.getsource(rule.judge)
    for name in ("run.lost(", "wiring.drop_limit(", "_at_worst(", "_over_a_year("):
        assert name in source
    assert "wiring.voltage_drop_dc(" in inspect.getsource(CableRun.lost)


def test_joints_lie_in_the_way_of_the_same_current():
    """10 A over 50 milliohm of joints is half a volt more, by Ohm's law; also where no cable is left."""
    bare, joined = (wiring.voltage_drop_dc(10.0, 20.0, 1.83e-3, R) for R in (0.0, 0.05))
    assert joined - bare == pytest.approx(0.5)
    assert wiring.voltage_drop_dc(10.0, 0.0, 1.83e-3, 0.05) == pytest.approx(0.5)


@pytest.mark.parametrize(
    "call",
    [
        lambda: wiring.resistance(0.0),
        lambda: wiring.voltage_drop_dc(1.0, -1.0, 1e-3),
        lambda: wiring.voltage_drop_dc(1.0, 1.0, 0.0),
        lambda: wiring.ampacity(np.array([10e-6, 200e-6])),
        lambda: wiring.ambient_factor(343.15),
        lambda: wiring.nec_ampacity(150e-6, 75),
        lambda: wiring.grouping_factor("IEC", 0),
        lambda: protection.fault_current(12.0, 0.0),
        lambda: protection.shorted_current(12.0, 0.0),
        lambda: dump.power(12.0, 0.0),
        lambda: dump.power(12.0, np.array([1.0, 0.0])),
        lambda: inverter.worst_start([], []),
        lambda: inverter.worst_start([12.0], [12.0, 750.0]),
        lambda: wind.log_profile(5.0, 10.0, 3.0, 0.4),
        lambda: wind.beaufort(13),
        lambda: air.pressure(12000.0),
        lambda: air.density(-1.0),
        lambda: air.viscosity(-1.0, 1.2),
        lambda: air.viscosity(288.15, 0.0),
        lambda: air.density(288.15, RH=1.2),
        lambda: generator.charging_speed(12.0, 0.9, 0.0),
        lambda: generator.emf_between_leads(1.0, "lead to star point, RMS", "single-phase"),
        lambda: storage.autonomy(1.0, 12.0, 0.5, 0.0),
    ],
)
def test_out_of_range_is_refused(call):
    """Nothing is clipped in silence."""
    with pytest.raises(ValueError, match=r"\w"):
        call()


@given(st.floats(1e-6, 1e9), st.integers(1, 4))
def test_what_must_be_reached_is_never_shown_as_less_nor_what_must_not_be_passed_as_more(x, figures):
    """To so many figures; what was computed a hair beside a round number is that number."""
    low, high = (float(write(x, "", figures)) for write in (show_down, show_up))
    assert low <= x * (1 + 1e-5)
    assert high >= x * (1 - 1e-5)
    assert high - low <= 1.01 * 10.0 ** (math.floor(math.log10(x)) + 1 - figures)
