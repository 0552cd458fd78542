"""A battery hour by hour: against a plain loop, closed forms, and what must hold whatever the numbers."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.physics.calendar import HOUR, HOURS
from calc.physics.storage_time import Bank, hour_by_hour, on_grid, over_years, simulate
from calc.physics.synthetic_wind import Climate, hourly

V_GRID = np.array([0.0, 3.0, 6.0, 12.0, 40.0])
P_CURVE = np.array([0.0, 0.0, 60.0, 400.0, 450.0])
EVENING = np.array([10.0] * 17 + [90.0] * 5 + [10.0, 0.0])
WH = 3600.0


def plain(V, P, load, energy, efficiency, into, out, dump, start):
    """The same by one hour after the other, as one would on paper."""
    stored, spell, first = start * energy, 0, None
    sums = dict.fromkeys(
        ("generated", "demanded", "met", "charged", "drawn", "dumped", "refused", "unmet", "dark"), 0.0
    )
    for t, wind in enumerate(V):
        came, asked = float(np.interp(wind, V_GRID, P)) * HOUR, load[t % 24] * HOUR
        direct = min(came, asked)
        charge = min(came - direct, into * HOUR, (energy - stored) / efficiency)
        draw = min(asked - direct, out * HOUR, stored)
        stored += charge * efficiency - draw
        spare = came - direct - charge
        short = asked - direct - draw > 1e-6 * asked
        if short and first is None:
            first = t
        if short:
            spell = max(spell, t - first + 1)
        elif asked > 0:
            first = None
        for name, amount in (
            ("generated", came),
            ("demanded", asked),
            ("met", direct + draw),
            ("charged", charge),
            ("drawn", draw),
            ("dumped", min(spare, dump * HOUR)),
            ("refused", spare - min(spare, dump * HOUR)),
            ("unmet", HOUR * short),
        ):
            sums[name] += amount
    sums["dark"] = spell * HOUR
    return sums, stored


CASES = [
    # energy [Wh], efficiency, charge, discharge and dump power [W], charge at the start
    (500.0, 0.8, 100.0, 60.0, 80.0, 0.5),
    (2000.0, 1.0, np.inf, np.inf, np.inf, 1.0),
    (0.0, 0.9, 50.0, 50.0, 0.0, 0.0),
    (150.0, 0.95, 30.0, 200.0, 0.0, 1.0),
]


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("wind", [2.5, 4.0, 7.0])
def test_against_a_plain_loop(case, wind):
    """60 days, one variant."""
    energy, efficiency, into, out, dump, start = case
    V = hourly(Climate(wind), 1)[: 60 * 24]
    got = simulate(V, V_GRID, P_CURVE, EVENING, Bank(energy * WH, efficiency, into, out, dump, start))
    sums, stored = plain(V, P_CURVE, EVENING, energy * WH, efficiency, into, out, dump, start)
    for name, value in sums.items():
        assert getattr(got, name).sum() == pytest.approx(value, rel=1e-9, abs=1e-3), name
    assert got.stored[1] == pytest.approx(stored, rel=1e-9, abs=1e-3)


def plain_many(V, P, load, bank, n):
    """All fields of an outcome by years, hour by hour with nothing saved up, for ``n`` variants at a time."""
    energy, efficiency, into, out, dump, start = (np.broadcast_to(getattr(bank, f), (n,)) for f in FIELDS)
    years = -(-len(V) // HOURS)
    got = {name: np.zeros((n, years)) for name in (*FLOWS, "unmet", "dark")} | {"depth": np.zeros((n, years, 10))}
    stored, spell, lowest = start * energy, np.zeros(n), None
    coming = np.array([np.interp(V, V_GRID, p) for p in P]) * HOUR
    for t in range(len(V)):
        year, came, asked = t // HOURS, coming[:, t], load[:, t % 24] * HOUR
        direct = np.minimum(came, asked)
        charge = np.minimum(np.minimum(came - direct, into * HOUR), (energy - stored) / efficiency)
        draw = np.minimum(np.minimum(asked - direct, out * HOUR), stored)
        stored = np.clip(stored + charge * efficiency - draw, 0.0, energy)
        spare, short = came - direct - charge, asked - direct - draw
        is_dark = short > 1e-6 * asked
        spell = np.where(is_dark | (spell > 0), spell + 1, 0) * ~(~is_dark & (asked > 0))
        got["dark"][:, year] = np.maximum(got["dark"][:, year], spell * is_dark * HOUR)
        flows = (came, asked, direct + draw, charge, draw, np.minimum(spare, dump * HOUR))
        for name, x in zip(FLOWS[:6], flows, strict=True):
            got[name][:, year] += x
        got["refused"][:, year] += np.maximum(spare - dump * HOUR, 0.0)
        got["lost"][:, year] += charge * (1.0 - efficiency)
        got["unmet"][:, year] += is_dark * HOUR
        lowest = stored if t % 24 == 0 else np.minimum(lowest, stored)
        if t % 24 == 23:
            deep = np.where(energy > 0, 1.0 - lowest / np.where(energy > 0, energy, 1.0), 1.0)
            got["depth"][np.arange(n), year, np.minimum((deep * 10).astype(int), 9)] += 1
    return got, stored


FIELDS = ("energy", "efficiency", "charge_power", "discharge_power", "dump_power", "start")
FLOWS = ("generated", "demanded", "met", "charged", "drawn", "dumped", "refused", "lost")


@pytest.mark.parametrize("n", [1, 5, 12, 60, 260])
@pytest.mark.parametrize("weak", [False, True], ids=["mostly lit", "mostly dark"])
def test_many_variants_against_a_plain_loop(n, weak):
    """Every field of every year, for each number of variants that is worked out in another way; hours without load."""
    rng = np.random.default_rng(n)
    V = hourly(Climate(4.5), 2)[: HOURS + 240]
    P = P_CURVE * rng.uniform(0.1, 0.5 if weak else 2.0, n)[:, None]
    load = np.where(rng.random((n, 24)) < 0.3, 0.0, EVENING * rng.uniform(0.3, 2.0, n)[:, None] + 1.0)
    bank = Bank(
        rng.uniform(0.0, 2e3, n) * WH * (rng.random(n) < 0.9), rng.uniform(0.6, 1.0, n), rng.uniform(0.0, 300.0, n),
        rng.uniform(0.0, 200.0, n), rng.choice([0.0, 100.0, np.inf], n), rng.uniform(0.0, 1.0, n),
    )  # fmt: skip
    got = simulate(V, V_GRID, P, load, bank)
    wanted, stored = plain_many(V, P, load, bank, n)
    for name, x in wanted.items():
        if name == "depth":
            # A day that ends on the edge between two tenths may fall either way by rounding.
            assert np.abs(got.depth - x).sum() <= 2e-3 * x.sum()
        else:
            assert getattr(got, name) == pytest.approx(x, rel=1e-9, abs=1e-3), name
    assert got.stored[:, 1] == pytest.approx(stored, rel=1e-9, abs=1e-3)


def test_variants_give_what_each_gives_alone():
    """Many at once, in chunks of another length, are no different."""
    n = 300
    rng = np.random.default_rng(3)
    V = hourly(Climate(4.5), 2)[: HOURS + 240]
    P = P_CURVE * rng.uniform(0.3, 2.0, n)[:, None]
    load = EVENING * rng.uniform(0.5, 2.0, n)[:, None]
    energy, start = rng.uniform(0.1, 3.0, n) * 1e3 * WH, rng.uniform(0.0, 1.0, n)
    many = simulate(V, V_GRID, P, load, Bank(energy, 0.85, 120.0, 150.0, 100.0, start))
    assert many.met.shape == (n, 2)
    assert many.depth.shape == (n, 2, 10)
    for i in (0, 17, 299):
        one = simulate(V, V_GRID, P[i], load[i], Bank(energy[i], 0.85, 120.0, 150.0, 100.0, start[i]))
        for name in one.__dataclass_fields__:
            assert getattr(many, name)[i] == pytest.approx(getattr(one, name), rel=1e-9, abs=1e-3), name


def test_steady_surplus_closed_form():
    """60 W against 40 W: the battery takes 20 W at 0.8 until full, 500 Wh after 31.25 h; then 20 W are dumped."""
    bank = Bank(500.0 * WH, 0.8, start=0.0)
    got = simulate(np.full(240, 6.0), V_GRID, P_CURVE, np.full(24, 40.0), bank)
    assert got.share_met == pytest.approx([1.0])
    assert got.charged.sum() / WH == pytest.approx(625.0)
    assert got.dumped.sum() / WH == pytest.approx(20.0 * 240 - 625.0)
    assert got.lost.sum() / WH == pytest.approx(125.0)
    assert got.dark.max() == 0.0


def test_steady_shortage_closed_form():
    """60 W against 100 W from 500 Wh: 12.5 h in full, so 12 bright hours; 500 Wh + 60 W are met; one full cycle."""
    got = simulate(np.full(240, 6.0), V_GRID, P_CURVE, np.full(24, 100.0), Bank(500.0 * WH))
    assert got.met.sum() / WH == pytest.approx(500.0 + 60.0 * 240)
    assert got.unmet.sum() / HOUR == 228
    assert got.dark.max() / HOUR == 228
    assert got.cycles.sum() == pytest.approx(1.0)
    assert got.depth.sum(axis=0).tolist() == [0.0] * 9 + [10.0]


def test_depth_of_a_daily_cycle():
    """Without wind, 5 h of 20 W a day out of 1000 Wh: each day a tenth deeper, and the tenth day empty."""
    load = np.array([0.0] * 12 + [20.0] * 5 + [0.0] * 7)
    got = simulate(np.full(240, 1.0), V_GRID, P_CURVE, load, Bank(1001.0 * WH))
    assert got.depth[0].tolist() == [1.0] * 10
    assert got.dark.max() == 0.0


def test_dark_spell_bridges_hours_without_demand():
    """Unmet from 20 to 22 h on three days: from the first to the last unmet hour it is 50 h."""
    load = np.array([0.0] * 20 + [10.0] * 2 + [0.0] * 2)
    V = np.concatenate([np.full(72, 1.0), np.full(24, 6.0)])
    got = simulate(V, V_GRID, P_CURVE, load, Bank(0.0))
    assert got.dark.max() / HOUR == 50
    assert got.unmet.sum() / HOUR == 6


def test_met_hour_ends_a_dark_spell():
    """A windy day between two calm ones."""
    V = np.repeat([1.0, 6.0, 1.0], 24)
    got = simulate(V, V_GRID, P_CURVE, np.full(24, 50.0), Bank(0.0))
    assert got.dark.max() / HOUR == 24


def test_dark_spell_runs_on_over_the_new_year():
    """It counts in the year in which it goes on."""
    V = np.full(HOURS + 48, 6.0)
    V[HOURS - 10 : HOURS + 5] = 1.0
    got = simulate(V, V_GRID, P_CURVE, np.full(24, 50.0), Bank(0.0))
    assert (got.dark / HOUR).tolist() == [10.0, 15.0]


def test_surplus_beyond_the_dump_is_refused():
    """400 W, no load taken but 10 W, dump of 100 W, full battery: 290 W are left over."""
    got = simulate(np.full(24, 12.0), V_GRID, P_CURVE, np.full(24, 10.0), Bank(100.0 * WH, dump_power=100.0))
    assert got.dumped.sum() / WH == pytest.approx(2400.0)
    assert got.refused.sum() / WH == pytest.approx(290.0 * 24)


@settings(max_examples=25, deadline=None)
@given(
    st.floats(0.0, 3000.0),
    st.floats(0.5, 1.0),
    st.floats(0.0, 500.0),
    st.floats(0.0, 500.0),
    st.floats(0.0, 500.0),
    st.floats(0.0, 1.0),
)
def test_nothing_is_lost_and_nothing_made(energy, efficiency, into, out, dump, start):
    """What comes goes somewhere, to 1e-9 and better."""
    V = hourly(Climate(5.0), 1)[: 40 * 24]
    got = simulate(V, V_GRID, P_CURVE, EVENING, Bank(energy * WH, efficiency, into, out, dump, start))
    came = got.generated.sum() + got.stored[0]
    went = (got.met + got.dumped + got.refused + got.lost).sum() + got.stored[1]
    assert abs(came - went) <= 1e-9 * came
    balance = (got.charged * efficiency - got.drawn).sum() - (got.stored[1] - got.stored[0])
    assert abs(balance) <= 1e-9 * got.generated.sum()
    for name in got.__dataclass_fields__:
        assert np.all(getattr(got, name) >= 0), name


@settings(max_examples=25, deadline=None)
@given(st.floats(0.0, 3000.0), st.floats(0.0, 3000.0), st.floats(50.0, 500.0), st.integers(1, 1000))
def test_bigger_battery_never_meets_less(a, b, into, seed):
    """Nor does it stay empty for longer in sum, both begun full."""
    V = hourly(Climate(4.0), 1, seed)[: 40 * 24]
    got = simulate(V, V_GRID, P_CURVE, EVENING, Bank(np.sort([a, b]) * WH, 0.85, into))
    small, big = got.met.sum(axis=1)
    assert big >= small * (1 - 1e-12)
    assert got.unmet[1].sum() <= got.unmet[0].sum()


@settings(max_examples=15, deadline=None)
@given(st.floats(0.5, 1.0), st.floats(0.5, 1.0), st.floats(0.0, 2.0), st.floats(0.0, 2.0))
def test_better_machine_or_battery_never_meets_less(a, b, p, q):
    """More efficient and more power, each in turn."""
    V = hourly(Climate(4.0), 1)[: 40 * 24]
    effs, powers = np.sort([a, b]), np.sort([p, q])
    by_eff = simulate(V, V_GRID, P_CURVE, EVENING, Bank(400.0 * WH, effs)).met.sum(axis=1)
    by_power = simulate(V, V_GRID, P_CURVE * powers[:, None], EVENING, Bank(400.0 * WH)).met.sum(axis=1)
    assert by_eff[1] >= by_eff[0] * (1 - 1e-12)
    assert by_power[1] >= by_power[0] * (1 - 1e-12)


def test_spread_over_years():
    """Years differ, and their tenth, half and nine tenths are in order."""
    got = simulate(hourly(Climate(4.5), 12), V_GRID, P_CURVE, EVENING, Bank(np.array([200.0, 800.0]) * WH))
    low, middle, high = over_years(got.share_met)
    assert low.shape == (2,)
    assert np.all(low < middle)
    assert np.all(middle < high)
    assert np.all(got.share_met <= 1.0)


def test_curves_on_a_common_grid():
    """A rotor in a wind 1.25 times as strong does at 4 m/s what it would do at 5."""
    curve = on_grid(np.array([0.0, 4.0, 8.0]), np.array([0.0, 5.0, 10.0]) / 1.25, np.array([[0.0, 50.0, 90.0]]))
    assert curve == pytest.approx(np.array([[0.0, 50.0, 90.0]]))


FINE = {"V": np.full(24, 5.0), "V_grid": V_GRID, "P": P_CURVE, "load": EVENING, "bank": Bank(WH)}


@pytest.mark.parametrize(
    ("wrong", "why"),
    [
        ({"V": np.full(25, 5.0)}, "whole days"),
        ({"V": np.full(24, 41.0)}, "the wind runs from 41.0"),
        ({"V": np.full(24, np.nan)}, "the wind runs from nan"),
        ({"V": np.full((2, 24), 5.0)}, "whole days"),
        ({"V": np.empty(0)}, "whole days"),
        ({"V_grid": V_GRID[::-1]}, "rising wind speeds"),
        ({"V_grid": np.array([0.0, 3.0, 3.0, 12.0, 40.0])}, "rising wind speeds"),
        ({"P": P_CURVE[:-1]}, "rising wind speeds"),
        ({"P": -P_CURVE}, "power at the battery"),
        ({"P": P_CURVE * np.nan}, "power at the battery"),
        ({"load": np.zeros(24)}, "24 hours"),
        ({"load": np.full(23, 1.0)}, "24 hours"),
        ({"load": -EVENING}, "24 hours"),
    ],
)
def test_impossible_input_is_refused(wrong, why):
    """Nothing is clipped in silence, and each is told what is wrong."""
    with pytest.raises(ValueError, match=why):
        simulate(**(FINE | wrong))


@pytest.mark.parametrize(
    "wrong", [{"energy": -1.0}, {"efficiency": 0.0}, {"efficiency": 1.1}, {"start": 1.5}, {"charge_power": np.nan}]
)
def test_impossible_battery_is_refused(wrong):
    """Neither negative nor giving more than it got."""
    with pytest.raises(ValueError, match=r"battery|share"):
        Bank(**({"energy": 1.0} | wrong))


def test_curve_that_ends_too_soon_is_refused():
    """A common grid beyond one of the curves."""
    with pytest.raises(ValueError, match="ends inside"):
        on_grid(V_GRID, V_GRID / 1.1, P_CURVE[None, :])


@pytest.mark.parametrize("bank", [Bank(800 * WH), Bank(300 * WH, 0.85, 80.0, 50.0, 100.0, 0.5)], ids=["large", "small"])
def test_the_hours_add_up_to_the_years(bank):
    """Told hour by hour or added up, it is the same year."""
    V = hourly(Climate(4.5), 1)
    told, summed = hour_by_hour(V, V_GRID, P_CURVE, EVENING, bank), simulate(V, V_GRID, P_CURVE, EVENING, bank)
    assert told.generated.sum() * HOUR == pytest.approx(summed.generated.sum())
    assert (told.demanded - told.unmet).sum() * HOUR == pytest.approx(summed.met.sum())
    assert np.count_nonzero(told.unmet) * HOUR == summed.unmet.sum()
    assert told.stored[[0, -1]] == pytest.approx(summed.stored)
    assert np.all((told.stored >= 0) & (told.stored <= told.energy))


def test_the_worst_days_leave_most_unmet():
    """Three days with wind on the first and last only: the middle one; where nothing lacks, the emptiest."""
    V = np.repeat([12.0, 0.0, 12.0], 24)
    assert hour_by_hour(V, V_GRID, P_CURVE, EVENING, Bank(100 * WH)).worst(24) == 24
    assert hour_by_hour(V, V_GRID, P_CURVE, EVENING, Bank(9000 * WH)).worst(24) == 24
    with pytest.raises(ValueError, match="shorter"):
        hour_by_hour(V, V_GRID, P_CURVE, EVENING, Bank(WH)).worst(96)


def test_hours_are_told_of_one_variant_only():
    """No leading axis anywhere."""
    with pytest.raises(ValueError, match="one variant"):
        hour_by_hour(np.full(24, 5.0), V_GRID, P_CURVE, EVENING, Bank(np.array([WH, 2 * WH])))
