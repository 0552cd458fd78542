"""Batteries and loads against published tables and worked examples."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.machine.battery import charge_top
from calc.machine.design import build_design
from calc.machine.inputs import Inputs
from calc.machine.system import System
from calc.physics import loads, storage
from calc.physics.calendar import DAY
from calc.rules import RULES
from calc.rules.engine import judge_rules

LEAD = ("flooded lead-acid", "gel lead-acid", "AGM lead-acid")
LITHIUM = ("LiFePO4", "NMC lithium")


def test_ventilation_example():
    """EN 50272 formula, 24 cells of 200 Ah, 2 A per 100 Ah (Exide Nordic airflow page): 4.80 m3/h, 134.4 cm2."""
    q = storage.fresh_air(24, 200 * 3600.0, storage.cell("flooded lead-acid").gas)
    assert q * 3600 == pytest.approx(4.80, rel=0.01)
    assert storage.vent_area(q) * 1e4 == pytest.approx(134.4, rel=0.01)


def test_ventilation_at_float():
    """The same bank at 5 mA/Ah (weak source): 1.20 m3/h, 33.6 cm2."""
    q = storage.fresh_air(24, 200 * 3600.0, 5.0)
    assert q * 3600 == pytest.approx(1.20)
    assert storage.vent_area(q) * 1e4 == pytest.approx(33.6)


# Army TM 5-1185 Table III and, after it, Polaris owner's manual: specific gravity, degF; two independent tables.
FREEZING = [
    (1.280, -90), (1.250, -62), (1.200, -16), (1.150, 5), (1.100, 19),
    (1.265, -75), (1.225, -35), (1.200, -17), (1.150, 5), (1.100, 18), (1.050, 27),
]  # fmt: skip


@pytest.mark.parametrize(("density", "fahrenheit"), FREEZING)
def test_freezing_acid(density, fahrenheit):
    """Within 1 K of either table."""
    assert storage.freezing_point(density) - 273.15 == pytest.approx((fahrenheit - 32) / 1.8, abs=1.0)


@pytest.mark.parametrize(("density", "celsius"), [(1.100, -7.5), (1.150, -15.0), (1.200, -27.0)])
def test_freezing_where_both_tables_agree(density, celsius):
    """Their common values."""
    assert storage.freezing_point(density) - 273.15 == pytest.approx(celsius, abs=1.0)


# electrotechnik.net, Peukert law, 2010-01: 100 Ah at one ampere (that is, in 100 h), k = 1.2, 5 A: 14.5 h.
def test_peukert_at_another_time():
    """The law with the capacity of any stated time."""
    assert storage.discharge_time(5.0, 360000.0, 1.2, H=360000.0) / 3600 == pytest.approx(14.4956, abs=5e-4)


# Arithmetic: at its own 20-hour current a battery lasts 20 h; at four times that 20/4^1.2 h.
@pytest.mark.parametrize(("amps", "hours", "amp_hours"), [(5.0, 20.0, 100.0), (20.0, 3.789, 75.8)])
def test_peukert_second_form(amps, hours, amp_hours):
    """The capacity of the data plate."""
    t = storage.discharge_time(amps, 360000.0, 1.2)
    assert t / 3600 == pytest.approx(hours, abs=5e-4)
    assert amps * t / 3600 == pytest.approx(amp_hours, abs=0.05)


# Ramsey charger kit manual, p. 5, Table 1: specific gravity and voltage of a 12 V battery at rest.
RAMSEY = [(1.265, 12.63), (1.210, 12.30), (1.160, 12.00), (1.120, 11.76), (1.100, 11.64)]


@pytest.mark.parametrize(("density", "volts"), RAMSEY)
def test_voltage_at_rest(density, volts):
    """Cell voltage is density plus 0.84 (electrapk.com); an independent table holds it to 5 mV."""
    assert 6 * storage.resting_voltage(density) == pytest.approx(volts, abs=0.005)


# Voltage of a 12 V battery at rest by state of charge: Rolls, Ramsey, motorhome.com, donsnotes.com; AGM reference.com.
AT_REST = [
    *[("flooded lead-acid", s, v) for s, v in [(1, 12.63), (0.75, 12.39), (0.5, 12.18), (0.25, 12.0), (0, 11.76)]],
    *[("flooded lead-acid", s, v) for s, v in [(1, 12.63), (0.75, 12.30), (0.5, 12.0), (0.25, 11.76), (0, 11.64)]],
    *[("flooded lead-acid", s, v) for s, v in [(1, 12.66), (0.75, 12.45), (0.5, 12.30), (0.25, 12.15)]],
    *[("flooded lead-acid", s, v) for s, v in [(1, 12.7), (0.5, 12.06)]],
    *[("AGM lead-acid", s, v) for s, v in [(1, 12.9), (0.75, 12.6), (0.5, 12.3), (0.25, 12.0), (0, 11.8)]],
]


@pytest.mark.parametrize(("chemistry", "state", "volts"), AT_REST)
def test_state_of_charge_covers_every_publication(chemistry, state, volts):
    """Whatever a publication says of a voltage lies between the limits given, which are 15 % apart or more."""
    least, likely, most = storage.state_of_charge(volts / 6, chemistry)
    assert least - 1e-3 <= state <= most + 1e-3
    assert least <= likely <= most
    assert most - least >= storage.STATE_DOUBT - 1e-9


# discover-energy.com, How does temperature affect a battery's available capacity, discharge over 60 minutes.
@pytest.mark.parametrize(
    ("celsius", "percent"),
    [(0, -16), (5, -12), (10, -10), (15, -6), (20, -1), (25, 0), (30, 3), (35, 4), (40, 5)],
)
@pytest.mark.parametrize("chemistry", LEAD)
def test_capacity_by_temperature(chemistry, celsius, percent):
    """The printed percentages."""
    assert storage.cold_share(celsius + 273.15, chemistry) == pytest.approx(1 + percent / 100)


@pytest.mark.parametrize("chemistry", LITHIUM)
def test_lithium_is_not_charged_below_freezing(chemistry):
    """LF280N cell sheet: charging from 0 degC (LiFePO4); NMC from memory."""
    assert storage.cell(chemistry).cold == 0.0


@given(st.sampled_from(LEAD + LITHIUM), st.floats(255.15, 313.15), st.floats(255.15, 313.15))
def test_colder_never_gives_more(chemistry, a, b):
    """Capacity rises with temperature."""
    cold, warm = sorted((a, b))
    assert storage.cold_share(cold, chemistry) <= storage.cold_share(warm, chemistry) + 1e-12


@given(st.floats(0.1, 500.0), st.floats(0.1, 500.0), st.floats(1.0, 1.5))
def test_faster_never_gives_more(a, b, k):
    """Charge drawn falls with the current."""
    slow, fast = sorted((a, b))
    assert fast * storage.discharge_time(fast, 360000.0, k) <= slow * storage.discharge_time(slow, 360000.0, k) * (
        1 + 1e-9
    )


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_fuller_never_freezes_earlier(a, b):
    """Acid of a fuller cell freezes at a lower temperature."""
    empty, full = (storage.freezing_point(storage.acid_density(s)) for s in sorted((a, b)))
    assert full <= empty + 1e-9


@given(st.floats(1.9, 2.2), st.floats(1.9, 2.2), st.sampled_from(LEAD))
def test_higher_voltage_never_means_emptier(a, b, chemistry):
    """All three of the limits rise with the voltage."""
    low, high = (storage.state_of_charge(v, chemistry) for v in sorted((a, b)))
    assert all(x <= y + 1e-12 for x, y in zip(low, high, strict=True))


@pytest.mark.parametrize(
    "call",
    [
        lambda: storage.discharge_time(0.0, 1.0, 1.2),
        lambda: storage.discharge_time(1.0, 1.0, 0.9),
        lambda: storage.cold_share(253.15, "LiFePO4"),
        lambda: storage.state_of_charge(3.3, "LiFePO4"),
        lambda: storage.state_of_charge(2.4, "AGM lead-acid"),
        lambda: storage.acid_density(1.1),
        lambda: storage.freezing_point(1.3),
        lambda: loads.by_hour(1.0, 1.1),
        lambda: loads.by_hour(1.0, 0.5, 90000.0),
    ],
)
def test_out_of_range_is_refused(call):
    """Nothing is clipped in silence."""
    with pytest.raises(ValueError, match=r"\w"):
        call()


# US DOE examples of appliances, as printed by livonia.gov: 120 W and 150 W for 4 h a day; 200 W for 4 h on 120 days.
@pytest.mark.parametrize(("watts", "days", "kwh"), [(120.0 + 150.0, 365, 394), (200.0, 120, 96)])
def test_doe_examples(watts, days, kwh):
    """Within 1 kWh."""
    assert loads.mean_draw(watts, 4 / 24) * days * DAY / 3.6e6 == pytest.approx(kwh, abs=1.0)


def test_eia_month():
    """EIA FAQ 97: 10,715 kWh in 2020, 893 kWh a month."""
    assert loads.households()["an average household in the United States"] / 3.6e6 / 12 == pytest.approx(893, abs=1)


# EIA FAQ 97 (2020) and ODYSSEE-MURE, Electricity consumption per dwelling (November 2025).
@pytest.mark.parametrize(
    ("where", "kwh"),
    [
        ("the United States", 10715),
        ("Louisiana", 14407),
        ("Hawaii", 6446),
        ("the European Union", 3600),
        ("Romania", 1800),
        ("Sweden", 8500),
    ],
)
def test_households(where, kwh):
    """The printed figures."""
    assert [e / 3.6e6 for name, e in loads.households().items() if name.endswith(where)] == [pytest.approx(kwh)]


@given(st.floats(0.0, 1e4), st.floats(0.0, 1.0), st.floats(0.0, 86400.0))
def test_time_of_day_keeps_the_energy(P, share, start):
    """Wherever in the day it begins, also past midnight."""
    assert loads.by_hour(P, share, start).sum() == pytest.approx(24 * P * share, abs=1e-6)
    assert np.all(loads.by_hour(P, share, start) <= P * (1 + 1e-12))


def test_gas_of_a_battery_that_nothing_holds():
    """Machine facts, 5.3: 10 A into 6 full cells ask for 3.0 m3/h, by the formula of EN 50272-2 with the whole current.

    0.42 l of hydrogen for an ampere-hour and cell (Faraday), kept at a fifth of 4 %: 24 parts of air, five times.
    """
    air = storage.fresh_air_unheld(6, 10.0) * 3600.0
    assert air == pytest.approx(3.0)
    assert air == pytest.approx(24.0 * 0.42e-3 * 5.0 * 6 * 10.0, rel=0.01)
    # The same bank of 100 Ah with its voltage held: vented 20 mA/Ah.
    assert air == pytest.approx(5.0 * storage.fresh_air(6, 100 * 3600.0, 20.0) * 3600.0)


# Controllers' manuals, machine facts 5.1: upper limit of packs of NMC cells, and LiFePO4 of 15 and 16 cells.
@pytest.mark.parametrize(
    ("chemistry", "cells", "top"),
    [("NMC lithium", 3, 12.6), ("NMC lithium", 6, 25.2), ("NMC lithium", 7, 29.4), ("NMC lithium", 13, 54.6),
     ("NMC lithium", 14, 58.8), ("LiFePO4", 15, 54.75), ("LiFePO4", 16, 58.4)],
)  # fmt: skip
def test_top_of_a_pack_by_its_cells(chemistry, cells, top):
    """Cells as counted."""
    x = Inputs(build_design({"storage.chemistry": chemistry, "storage.voltage": 48.0, "storage.cells": float(cells)}))
    assert charge_top(x) == pytest.approx(top)


@pytest.mark.parametrize(
    ("V", "chemistry", "open_counts"),
    [
        (48.0, "LiFePO4", (15, 16)),
        (51.2, "LiFePO4", ()),
        (24.0, "LiFePO4", ()),
        (24.0, "NMC lithium", (6, 7)),
        (48.0, "NMC lithium", (13, 14)),
        (48.0, "gel lead-acid", ()),
    ],
)
def test_counts_that_a_nominal_voltage_leaves_open(V, chemistry, open_counts):
    """48 V of LiFePO4 is sold with 15 cells (48.0 V) and with 16 (51.2 V); NMC of 24 and 48 V likewise."""
    assert storage.other_counts(V, chemistry) == open_counts


def test_a_count_that_is_in_doubt_is_assumed_and_said():
    """In every finding that rests on it."""
    values = {"storage.chemistry": "LiFePO4", "storage.voltage": 48.0, "storage.charge_voltage": 54.0}
    found = next(f for f in judge_rules(RULES, System(build_design(values))) if f.rule == "storage.charge-voltage")
    assert any("15 or 16 cells: count them" in a for a in found.assumptions)


# 14.4 V at 35 and 0 degC, 6 cells, -3 mV/K (EPsolar and BougeRV manuals): 14.22 and 14.85 V.
@pytest.mark.parametrize(("celsius", "volts"), [(35.0, 14.22), (0.0, 14.85)])
def test_charge_voltage_in_summer_and_winter(celsius, volts):
    """As the controllers' makers correct it, to the hundredth they print."""
    assert storage.compensated(14.4, 6, -0.003, celsius + 273.15) == pytest.approx(volts, abs=0.03)


def test_what_is_met_at_the_bank_is_never_less_than_its_rest():
    """14.4 V typed for a 240 V bank of lead (120 cells of 2.10 V at rest): who touches it meets 252 V."""
    bank = {"storage.chemistry": "flooded lead-acid", "storage.voltage": 240.0, "storage.charge_voltage": 14.4}
    assert charge_top(Inputs(build_design(bank))) == pytest.approx(120 * 2.10)
    assert charge_top(Inputs(build_design(bank | {"storage.voltage": 12.0}))) == 14.4
