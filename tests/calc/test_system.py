"""One machine with its doubts, and what the sheet's words become: needs, currents, assumptions. By hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy

from calc.machine import over_time
from calc.machine.battery import battery_source, charge_limit, discharge_limit
from calc.machine.catalogue import Sheet
from calc.machine.currents import Current, inverter_current, run_current
from calc.machine.design import build_design
from calc.machine.falling import flying
from calc.machine.inputs import Inputs, NotStatedError, Unknown
from calc.machine.need import battery_need, daily_need, hardest_start, monthly_means, running_and_starting
from calc.machine.spread import Draws, draw
from calc.machine.system import System
from tests.calc.sheets import GOOD
from tests.outside.turning_points import (
    CABLE,
    CHARGED,
    CP,
    DIODES,
    INSIDE,
    REST,
    WINDING,
    WORKED,
    amps,
    rayleigh,
    year,
)

YEAR = 8760.0 * 3600.0
#: The worked machine where Rayleigh winds of 5 m/s blow at its rotor.
SITED = WORKED | {"site.mean_wind": 5.0, "mast.height": 10.0, "site.availability": 0.9}


def system(base=SITED, doubts=None, n=None, **changes):
    """The machine, some values changed."""
    values = {**base, **{name.replace("__", "."): value for name, value in changes.items()}}
    return System(build_design({name: value for name, value in values.items() if value is not None}), doubts, n)


def inputs(base=GOOD, **changes):
    """The good machine as whoever computes with it sees it."""
    return system(base, **changes).inputs()


def watts(V):
    """What comes out of the cable in a wind, held back from 20 m/s on."""
    I = amps(min(V, 20.0))
    return I * (REST + I * INSIDE)


# --- the solved machine -----------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def figures():
    """Key figures of the worked machine."""
    return {name: figure.value for name, figure in system().figures.items()}


def test_key_figures_are_those_worked_out(figures):
    """5 and 0.3 of the sheet; 28.2 rad/s at a ratio of 8; 240 rad/s free in 30 m/s; the rest by the balance."""
    lost = scipy.integrate.quad(lambda V: amps(min(V, 20.0)) ** 2 * CABLE * rayleigh(V, 5.0), 0.1, 40.0, limit=200)[0]
    expected = {
        "best_tip_speed_ratio": 5.0, "best_power_coefficient": CP, "charging_wind": (REST + DIODES) / 8.0,
        "greatest_power": watts(20.0), "greatest_current": amps(20.0), "free_speed": 240.0, "free_voltage": 240.0,
        "hub_wind": 5.0, "yearly_energy": year(5.0, 20.0), "capacity_factor": year(5.0, 20.0) / YEAR / watts(20.0),
        "cable_energy": 0.9 * YEAR * lost,
    }  # fmt: skip
    assert set(figures) == set(expected)
    for name, value in expected.items():
        assert figures[name] == pytest.approx(value, rel=0.015), name


def test_a_throw_is_what_the_checks_tell_and_never_below_the_record():
    """The free rotor of the worked machine, edge first, rounded up to two figures; a piece that flew counts."""
    flown = float(np.asarray(flying(system().inputs()).edge_first))
    assert flown <= system().throw().distance < 1.1 * flown
    assert (system().throw(landed=5000.0).distance, system().throw(landed=5000.0).found) == (5000.0, True)
    free = system(rotor__overspeed="none", rotor__limit_wind=None).throw()
    assert (system().throw().held, free.held) == (True, False)


def test_the_curve_is_the_balance_of_every_wind():
    """Out of the cable; what nothing doubts has no band; zero in no wind."""
    curve = system().curve
    at = dict(zip(curve.winds.tolist(), curve.power.tolist(), strict=True))
    for V in (2.0, 5.0, 8.0, 12.0, 24.0):
        assert at[V] == pytest.approx(watts(V), rel=0.01, abs=1e-6)
    assert (len(curve.band_winds), len(curve.low), len(curve.high), curve.limit) == (0, 0, 0, 20.0)
    power = system().power_on_grid
    # Every half metre per second from none to 60 m/s.
    assert (power.shape, over_time.GRID[-1]) == ((121,), 60.0)
    assert power[0] == 0.0
    assert power[over_time.GRID == 8.0] == pytest.approx(CHARGED, rel=0.01)
    assert power[-1] == pytest.approx(watts(20.0), rel=0.01)


def test_doubts_give_figures_and_curve_a_range():
    """Nine tenths of what is drawn evenly from 4 to 6 m/s lies between 4.1 and 5.9; what no doubt moves has none."""
    told = system(doubts={"site.mean_wind": (4.0, 6.0), "generator.winding_resistance": (WINDING, 1.2 * WINDING)}, n=40)
    hub, free = told.figures["hub_wind"], told.figures["free_speed"]
    assert (hub.value, hub.unit) == (5.0, "m/s")
    assert (hub.low, hub.high) == (pytest.approx(4.1, abs=0.06), pytest.approx(5.9, abs=0.06))
    assert free.low == pytest.approx(free.high, rel=1e-3)
    curve = told.curve
    assert curve.low.shape == curve.high.shape == curve.band_winds.shape
    strong = curve.band_winds >= 6.0
    assert np.all(curve.low[strong] < curve.high[strong])
    alone = system().figures["hub_wind"]
    assert alone.value == 5.0
    assert np.isnan([alone.low, alone.high]).all()


def test_a_figure_lies_in_its_own_range():
    """Also where the doubts of the sheet lie all to one side of what it says."""
    doubts = {"rotor.diameter": (2.1, 2.3), "generator.winding_resistance": (0.5, 0.9)}
    told = system(doubts=doubts, n=20).figures
    ranged = [f for f in told.values() if not math.isnan(f.low)]
    assert len(ranged) > 5
    assert all(f.low <= f.value <= f.high for f in ranged), [(f.name, f.low, f.value, f.high) for f in ranged]
    assert any(f.value == f.low for f in ranged)


def test_what_cannot_be_solved_has_neither_figures_nor_curve():
    """And says why."""
    none = system(generator__winding_resistance=None)
    assert none.figures == {}
    assert none.throw() is None
    for found in (none.curve, none.power_on_grid, none.year):
        assert isinstance(found, Unknown)
        assert "generator.winding_resistance" in found.names
    assert system().sampled == Unknown("Nothing is sampled")
    assert isinstance(system().shows("charge.current", "battery", np.array([8.0])), Unknown)
    shown = system(doubts={}, n=5).shows("generator.open_voltage", "nothing connected", np.array([8.0]))
    assert np.asarray(shown) == pytest.approx(64.0, rel=0.01)


def test_without_a_mean_wind_only_the_year_is_left_out(figures):
    """The machine itself is the same."""
    told = set(system(site__mean_wind=None).figures)
    assert set(figures) - told == {"hub_wind", "yearly_energy", "capacity_factor", "cable_energy"}


def test_a_falling_mast_reaches_a_tenth_further_than_its_highest_point():
    """15.5 m and a rotor of 1 m above it, 18.15 m, told as no less; common practice, no source."""
    assert 1.1 * 16.5 <= system(GOOD).fall_radius == 19.0
    assert system(GOOD, mast__height=None).fall_radius is None
    assert system(GOOD, rotor__diameter=None).fall_radius is None


def test_a_year_is_asked_for_what_it_lacks():
    """By name; loads too."""
    fed = {"load__lamp__power": 12.0, "load__lamp__hours": 0.25}
    assert system(site__mean_wind=None, **fed).year.names == ("site.mean_wind",)
    assert system().year.names == ("load.main.power", "load.main.hours")
    assert system(**fed).year.wind.size == 8760
    assert isinstance(system(**fed).through_years(1, wind=np.full(48, np.nan)), Unknown)
    assert system(**fed).through_years(2).met.shape == (2,)


# --- what the loads take ----------------------------------------------------------------------------------------------

PUMP = {
    "load__pump__power": 60.0, "load__pump__hours": 0.5, "load__pump__from_hour": 21600.0, "load__pump__surge": 200.0,
}  # fmt: skip


@pytest.mark.parametrize(("inverter", "share"), [(400.0, 0.8), (None, 1.0)])
def test_loads_add_up_and_pass_the_inverter_where_there_is_one(inverter, share):
    """12 W for a quarter of the day and 60 W for half of it, over 0.8."""
    x = inputs(inverter__power=inverter, **PUMP)
    need = battery_need(x)
    assert need.mean == pytest.approx((12.0 * 0.25 + 60.0 * 0.5) / share)
    assert need.by_hour.sum() == pytest.approx(24.0 * need.mean)
    assert need.by_hour.shape == (24,)
    assert need.inverter is (inverter is not None)
    assert daily_need(x) == pytest.approx(need.mean * 86400.0)
    # The pump runs from six in the morning for twelve hours, the light at any.
    assert need.by_hour[[5, 6, 17, 18]] * share == pytest.approx([3.0, 63.0, 63.0, 3.0])


def test_loads_that_are_not_fully_stated_are_asked_for():
    """Each by its own name; loads that never run need nothing."""
    assert battery_need(inputs(load__pump__power=60.0)).names == ("load.pump.hours",)
    assert battery_need(inputs(load__pump__hours=0.5)).names == ("load.pump.power",)
    gone = {"load__lamp__power": None, "load__lamp__hours": None}
    assert battery_need(inputs(**gone)).names == ("load.main.power", "load.main.hours")
    assert daily_need(inputs(**gone)) is None
    idle = battery_need(inputs(load__lamp__hours=0.0))
    assert isinstance(idle, Unknown)
    assert "never run" in idle.why


def test_the_hardest_start_is_that_of_one_load_beside_the_others():
    """200 W beside 12 W of light; a start stated below the running power is the running power."""
    assert running_and_starting(inputs(**PUMP)) == ([12.0, 60.0], [12.0, 200.0])
    assert hardest_start(inputs(**PUMP)) == 212.0
    assert running_and_starting(inputs(**PUMP | {"load__pump__surge": 20.0})) == ([12.0, 60.0], [12.0, 60.0])
    assert hardest_start(inputs(load__pump__surge=200.0, load__pump__hours=0.1)).names == ("load.pump.power",)
    assert hardest_start(inputs(load__lamp__power=None, load__lamp__hours=None)).names == ("load.main.power",)


def test_only_all_twelve_months_are_taken():
    """Eleven say nothing of the twelfth."""
    every = {f"site__month_{i:02d}": 4.0 + i / 10.0 for i in range(1, 13)}
    assert monthly_means(inputs(**every)) == tuple(every.values())
    assert monthly_means(inputs(**every | {"site__month_07": None})) is None


# --- what the cables carry --------------------------------------------------------------------------------------------

#: Run, changes, current [A], and words of where it is from.
CURRENTS = [
    ("main", {"cable__main__current": 7.5}, 7.5, "as the sheet states"),
    # 400 W out of 10 V at 0.8; at 10.5 V for each 12 V where the inverter's limit is not known (from memory).
    ("inv", {}, 50.0, "lowest running voltage of 10 V,"),
    ("inv", {"inverter__input_voltage_min": None}, 400.0 / 10.5 / 0.8, "10.5 V, taken as 10.5 V for each 12 V"),
    # 14.2 V over 1.2 ohm; 200 W at 14.2 V.
    ("dump", {}, 14.2 / 1.2, "1.2 ohm at the highest charge voltage of 14.2 V"),
    ("dump", {"dump__resistance": None}, 200.0 / 14.2, "200 W at 14.2 V"),
    # 4 cells of 3.65 V (rackbattery.com).
    ("dump", {"storage__charge_voltage": None}, 14.6 / 1.2, "14.6 V"),
    ("main", {"cable__main__carries": "battery to loads"}, 1.0, "all loads together, 12 W at 12 V"),
    ("main", {"cable__main__carries": "battery to loads", **PUMP}, 6.0, "72 W at 12 V"),
]


@pytest.mark.parametrize(("label", "changes", "amperes", "words"), CURRENTS)
def test_a_run_carries_what_it_is_for(label, changes, amperes, words):
    """As stated, else what inverter, dump load or loads take."""
    found = run_current(inputs(**changes), label)
    assert isinstance(found, Current)
    assert found.amps == pytest.approx(amperes)
    assert words in found.how()


@pytest.mark.parametrize(
    ("label", "changes", "names"),
    [
        ("inv", {"inverter__power": None}, ("inverter.power",)),
        ("inv", {"inverter__input_voltage_min": None, "storage__voltage": None}, ("inverter.input_voltage_min",)),
        ("dump", {"dump__resistance": None, "dump__power": None}, ("dump.resistance",)),
        ("dump", {"storage__charge_voltage": None, "storage__voltage": None}, ("storage.charge_voltage",)),
        ("main", {"cable__main__carries": "battery to loads", "storage__voltage": None}, ("storage.voltage",)),
        ("main", {"cable__main__carries": "battery to loads", "load__lamp__power": None}, ("cable.main.current",)),
        (
            "main",
            {"rotor__blades": None, "generator__rated_current": None, "claim__seller__power": None},
            ("cable.main.current", "generator.rated_current"),
        ),
    ],
)
def test_a_run_of_which_nothing_is_known_asks_for_it(label, changes, names):
    """By name."""
    assert run_current(inputs(**changes), label).names == names


def test_claims_stand_in_for_a_current_up_to_what_betz_allows():
    """The largest that the wind can give: 16/27 of 0.5 rho A V^3 (Kramm et al. 2016) for 1.225 kg/m3, 2 m, 7 m/s."""
    lone = {"rotor__blades": None, "generator__rated_current": None}
    betz = 16.0 / 27.0 * 0.5 * 1.225 * math.pi * 7.0**3
    assert run_current(inputs(**lone), "main").amps == pytest.approx(5.0)
    bold = run_current(inputs(**lone, claim__seller__power=5000.0), "main")
    assert bold.amps == pytest.approx(betz / 12.0, rel=1e-3)
    assert "limited to the 391 W that the wind can give" in bold.how()
    # Without a wind or a rotor nothing limits it.
    for gone in ("claim__seller__wind_speed", "rotor__diameter"):
        free = run_current(inputs(**lone, claim__seller__power=5000.0, **{gone: None}), "main")
        assert free.amps == pytest.approx(5000.0 / 12.0)
    two = inputs(**lone, claim__plate__power=90.0)
    assert run_current(two, "main").amps == pytest.approx(7.5)


def test_the_inverter_draws_through_its_losses():
    """P / (eta V)."""
    assert inverter_current(inputs()).amps == pytest.approx(400.0 / 0.8 / 10.0)
    assert "80 % efficiency" in inverter_current(inputs()).how()


@pytest.mark.parametrize(
    ("changes", "charge", "discharge"),
    [
        # LiFePO4: half of the capacity into it, all of it out; gel: 0.4 into it (EnerSys OPzV instructions, p. 3).
        ({}, 50.0, 100.0),
        ({"storage__capacity": 50 * 3600.0}, 25.0, 50.0),
        ({"storage__charge_current_limit": 30.0, "storage__discharge_current_limit": 70.0}, 30.0, 70.0),
    ],
)
def test_what_a_bank_takes_and_gives(changes, charge, discharge):
    """As its maker permits, else what is usual for its kind."""
    x = inputs(**changes)
    assert (charge_limit(x).amps, discharge_limit(x).amps) == (pytest.approx(charge), pytest.approx(discharge))
    assert ("maker" in charge_limit(x).how) is ("storage__charge_current_limit" in changes)


def test_a_bank_as_a_source_needs_its_kind_and_its_voltage():
    """Each by itself; and its resistance, or the capacity from which that is known."""
    assert battery_source(inputs(storage__voltage=None)).names == ("storage.voltage",)
    assert battery_source(inputs(storage__chemistry=None)).names == ("storage.chemistry",)
    assert isinstance(battery_source(inputs(storage__chemistry="none")), Unknown)
    assert battery_source(inputs(storage__capacity=None)).names == ("storage.internal_resistance",)
    assert battery_source(inputs()).voltage == pytest.approx(13.2)
    stated = battery_source(inputs(storage__internal_resistance=0.02))
    assert (stated.resistance.likely, stated.how) == (0.02, "as stated")


# --- the sheet as it is seen ------------------------------------------------------------------------------------------


def test_an_assumption_made_of_other_inputs_is_drawn_between_its_factors():
    """Twice as much or half, evenly on a logarithmic scale; a stated value is left alone."""
    entry = Sheet.storage.internal_resistance
    plain = inputs()
    assert plain.else_assume(entry, 0.01, "a guess", 2.0) == 0.01
    assert plain.used["storage.internal_resistance"] == (entry, 0.01, "a guess")
    many = Inputs(build_design(GOOD), drawn=Draws(50))
    drawn = np.asarray(many.else_assume(entry, 0.01, "a guess", 2.0))
    assert drawn == pytest.approx(0.01 * 2.0 ** (2.0 * draw(50, "storage.internal_resistance") - 1.0))
    assert 0.005 <= drawn.min() < 0.0053
    assert 0.019 < drawn.max() <= 0.02
    assert many.else_assume(entry, 0.01, "a guess") == 0.01
    assert inputs(storage__internal_resistance=0.02).else_assume(entry, 0.01, "a guess", 2.0) == 0.02


def test_an_assumption_of_the_catalogue_is_drawn_from_its_range():
    """Where the design was sampled; the air of a cable lies between 20 and 40 degC."""
    entry = Sheet.cable.ambient["main"]
    assert inputs().need(entry) == 303.15
    drawn = np.asarray(Inputs(build_design(GOOD), drawn=Draws(50)).need(entry))
    assert 293.15 <= drawn.min() < 293.6
    assert 312.7 < drawn.max() <= 313.15


def test_what_was_shared_counts_as_used_by_each():
    """Worked out once."""
    told = system(GOOD)
    made = []

    def make(x):
        made.append(x)
        return x.need(Sheet.rotor.diameter)

    first, second = told.inputs(), told.inputs("main")
    assert (first.shared("key", make), second.shared("key", make)) == (2.0, 2.0)
    assert len(made) == 1
    assert set(first.used) == set(second.used) == {"rotor.diameter"}


def test_what_is_needed_and_not_there_is_named():
    """With its label."""
    with pytest.raises(NotStatedError, match=r"cable\.main\.price"):
        system(GOOD).inputs("main").need(Sheet.cable.price)
    x = system(GOOD).inputs("main")
    assert [entry.full for entry in x.lacks(Sheet.cable.price, Sheet.cable.area, Sheet.cable.price["inv"])] == [
        "cable.main.price", "cable.inv.price",
    ]  # fmt: skip
    assert x.given(Sheet.cable.area)
    assert not x.given(Sheet.cable.ambient)


def test_two_that_are_unknown_for_one_reason_are_the_same():
    """Whichever samples stand in the way."""
    assert Unknown("why", (), np.array([True, False])) == Unknown("why", (), np.array([False, False])) == Unknown("why")
    assert Unknown("why") != Unknown("why", (Sheet.rotor.diameter,))
