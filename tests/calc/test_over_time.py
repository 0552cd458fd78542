"""A sheet taken hour by hour through the years."""

import numpy as np
import pytest

from calc.machine.design import build_design
from calc.machine.entry import AH
from calc.machine.inputs import Inputs, Unknown
from calc.machine.over_time import GRID, climate, every_hour, through_years, usable_bank
from calc.physics.storage_time import Outcome
from calc.physics.synthetic_wind import hourly
from tests.calc.sheets import GOOD, changed

V_GRID = np.linspace(0.0, 60.0, 121)
#: A power curve of no machine in particular.
P = np.clip(10.0 * (V_GRID - 3.0), 0.0, 120.0)


def inputs(changes=None):
    """The good machine with some values changed."""
    return Inputs(build_design(changed(changes or {})))


def test_bank_of_the_good_machine():
    """80 % of 100 Ah at 12 V; 50 A of charging at 12 V; dump of 200 W; 95 % efficiency."""
    got = usable_bank(inputs())
    assert got.energy / 3600 == pytest.approx(960.0)
    assert got.charge_power == pytest.approx(600.0)
    assert got.dump_power == 200.0
    assert got.efficiency == 0.95


@pytest.mark.parametrize("kind", ["none", None])
def test_no_dump_takes_nothing(kind):
    """Without a dump load the surplus is refused."""
    got = through_years(inputs({"dump.kind": kind}), V_GRID, P, years=1)
    assert got.dumped.sum() == 0.0
    assert got.refused.sum() > 0.0


def test_wind_of_the_good_machine():
    """5.5 m/s at 10 m become 5.91 m/s at 15.5 m over open farmland."""
    assert climate(inputs()).mean == pytest.approx(5.91, abs=0.01)
    assert climate(inputs()).months is None


def test_months_are_taken_from_the_sheet():
    """All twelve, as ratios."""
    winds = {f"site.month_{i:02d}": 4.0 + i / 4 for i in range(1, 13)}
    assert climate(inputs(winds)).months == tuple(4.0 + i / 4 for i in range(1, 13))


def test_measured_wind_takes_the_place_of_made_up_wind():
    """The same series gives the same."""
    x = inputs()
    made_up = through_years(x, V_GRID, P, years=2)
    measured = through_years(x, V_GRID, P, wind=hourly(climate(x), 2))
    assert np.array_equal(made_up.met, measured.met)


def test_samples_share_the_weather():
    """Variants of capacity and mean wind: more of either never meets less."""
    hungry = GOOD | {"load.lamp.power": 60.0}
    winds = np.array([4.0, 5.0, 6.0])
    by_wind = through_years(Inputs(build_design(hungry | {"site.mean_wind": winds})), V_GRID, P, years=2)
    assert by_wind.met.shape == (3, 2)
    assert np.all(np.diff(by_wind.met.sum(axis=1)) > 0)
    sizes = np.array([5.0, 20.0, 50.0]) * AH
    by_size = through_years(Inputs(build_design(hungry | {"storage.capacity": sizes})), V_GRID, P, years=2)
    assert np.all(np.diff(by_size.met.sum(axis=1)) > 0)


def test_a_sample_is_what_its_sheet_gives():
    """A variant whose wind is the mean of all is the sheet itself."""
    winds = np.array([5.0, 5.5, 6.0])
    many = through_years(Inputs(build_design(GOOD | {"site.mean_wind": winds})), V_GRID, P, years=1)
    one = through_years(inputs(), V_GRID, P, years=1)
    assert isinstance(many, Outcome)
    assert many.met[1] == pytest.approx(one.met, rel=1e-9)
    assert many.dark[1] == pytest.approx(one.dark)


@pytest.mark.parametrize(
    "changes",
    [{"load.lamp.hours": None}, {"storage.temperature": 243.15}, {"site.ground": "larger towns", "mast.height": 6.0}],
)
def test_what_cannot_be_known(changes):
    """Loads without hours, a battery colder than the table, a mast below the wind's profile."""
    assert isinstance(through_years(inputs(changes), V_GRID, P, years=1), Unknown)
    assert isinstance(every_hour(inputs(changes), V_GRID, P), Unknown)


def test_the_hours_of_a_sheet_add_up_to_its_years():
    """The same weather, battery and loads."""
    told, summed = every_hour(inputs(), V_GRID, P), through_years(inputs(), V_GRID, P, years=1)
    assert told.generated.sum() * 3600 == pytest.approx(summed.generated.sum())
    assert told.unmet.sum() * 3600 == pytest.approx((summed.demanded - summed.met).sum(), abs=1.0)


def test_the_grid_reaches_beyond_any_hourly_mean():
    """Every half metre per second from none to 60 m/s."""
    assert GRID.tolist() == [i / 2.0 for i in range(121)]
