"""The coupled machine and its yield: invariants, branches, shapes, and what is refused."""

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.physics import energy
from calc.physics.balance import Machine, braked, charging_wind, operate, spin, starting_wind, torque_curve, unloaded

TSR = np.linspace(0.0, 8.0, 81)
CQ = 0.0167 * (1.0 + TSR) * (1.0 - TSR / 8.0)
LEVELS = np.array([6.0])
WINDS = np.linspace(2.0, 18.0, 17)
#: Blades that pull well only when fast: hardly any torque between rest and tip-speed ratio 3.
STALLING = np.interp(TSR, [0.0, 1.0, 3.0, 5.0, 7.0, 8.0], [0.012, 0.008, 0.012, 0.06, 0.02, 0.0])


def hub(**changes):
    """A 2.2 m rotor on a hub motor and 24 V."""
    numbers = {
        "R": 1.1, "rho": 1.225, "k": 1.273, "R_w": 0.24, "V_d": 1.8, "V_oc": 26.4, "L": 0.2e-3, "p": 23.0,
        "T_0": 0.26, "b": 0.0068, "T_cog": 0.13, "R_c": 0.08, "R_b": 0.02, "R_th": 0.5,
    }  # fmt: skip
    cq = changes.pop("cq", CQ)
    return Machine(TSR, LEVELS, cq[None, :], **(numbers | changes))


machines = st.builds(
    hub,
    cq=st.sampled_from([CQ, STALLING]),
    R=st.floats(0.4, 2.0),
    k=st.floats(0.1, 4.0),
    R_w=st.floats(0.02, 5.0),
    V_oc=st.sampled_from([12.6, 26.4, 52.8]),
    L=st.sampled_from([0.0, 1e-4, 1e-2]),
    T_0=st.floats(0.0, 1.0),
    b=st.floats(0.0, 0.05),
    T_cog=st.floats(0.0, 1.0),
    R_c=st.floats(0.0, 2.0),
    R_b=st.floats(0.0, 0.2),
    V_max=st.sampled_from([math.inf, 55.0]),
    R_th=st.floats(0.0, 2.0),
)


@settings(max_examples=60)
@given(machines)
def test_numbers_stay_sound(m):
    """No NaN, nothing negative, energy closed, standstill never above running."""
    got = operate(m, WINDS)
    for at in (got.running, got.standstill):
        for f in dataclasses.fields(at):
            assert np.all(np.isfinite(getattr(at, f.name))), f.name
        for name in ("omega", "current", "drag", "copper", "diodes", "cable", "inside_battery", "stored", "dump"):
            assert np.all(getattr(at, name) >= 0), name
        gone = at.drag + at.copper + at.diodes + at.cable + at.charge
        assert np.all(np.abs(at.rotor - gone)[at.omega > 0] <= 1e-6 * at.wind[at.omega > 0])
    assert np.all(got.standstill.omega <= got.running.omega * (1 + 1e-9))
    assert np.array_equal(got.balances > 0, got.running.omega > 0)


@settings(max_examples=40)
@given(machines, st.floats(0.0, 2.0))
def test_thicker_cable_never_lowers_battery_power_at_a_speed(m, R_c):
    """Less resistance on the way, no less current."""
    thin, thick = (dataclasses.replace(m, R_c=r) for r in sorted((m.R_c, R_c), reverse=True))
    omega = np.linspace(0.0, 200.0, 21)
    (I_thin, V_thin), (I_thick, V_thick) = spin(thin, omega), spin(thick, omega)
    assert np.all(I_thick * V_thick >= I_thin * V_thin * (1 - 1e-9))


@settings(max_examples=40)
@given(machines, st.floats(0.0, 1.0))
def test_more_drag_never_runs_faster(m, extra):
    """Unloaded, and in the wind in which it starts."""
    more = dataclasses.replace(m, T_0=m.T_0 + extra)
    assert np.all(unloaded(more, WINDS)[0] <= unloaded(m, WINDS)[0] * (1 + 1e-9))
    assert starting_wind(more) >= starting_wind(m)


@settings(max_examples=40)
@given(machines)
def test_load_never_runs_faster_than_none(m):
    """The battery holds the rotor back."""
    assert np.all(operate(m, WINDS).running.omega <= unloaded(m, WINDS)[0] * (1 + 1e-9))


@settings(max_examples=40)
@given(machines)
def test_charging_begins_where_it_says(m):
    """A running rotor gives current just above that wind and none just below.

    Blades that stall come to charge at a fold: two balances appear together, nearer at first than the nodes.
    """
    V = float(charging_wind(m))
    if 0.0 < V < 50.0:
        I = operate(m, V * np.array([0.99, 1.01])).running.current
        assert I[1] > 0
        # Blades that stall may also charge in a narrow band of lower winds.
        assert I[0] == 0 or m.cq[0, 50] == STALLING[50]


def test_without_drag_the_free_ratio_decides():
    """Charging begins where the tip-speed ratio without load, 8, gives the charging speed; any wind starts it."""
    m = hub(T_0=0.0, b=0.0, T_cog=0.0)
    assert charging_wind(m) == pytest.approx((26.4 + 1.8) / 1.273 * 1.1 / 8.0)
    assert starting_wind(m) == 0.0
    assert unloaded(m, WINDS)[0] == pytest.approx(8.0 * WINDS / 1.1)


@settings(max_examples=40)
@given(machines)
def test_starts_where_it_says(m):
    """A rotor at rest turns just above that wind and not just below."""
    V = float(starting_wind(m))
    if 0.0 < V < 50.0:
        omega = operate(m, V * np.array([0.99, 1.01])).standstill.omega
        assert omega[1] > 0
        assert omega[0] == 0


@settings(max_examples=30)
@given(machines, st.floats(1.0, 100.0))
def test_bench_and_wind_agree(m, scale):
    """At the speed it runs in the wind, the bench gives the same current."""
    at = operate(m, WINDS).running
    assert spin(m, at.omega)[0] == pytest.approx(at.current, rel=1e-6, abs=1e-6)


def test_one_call_equals_single_calls():
    """Variants do not know of each other, also across the groups they are worked on in."""
    rng = np.random.default_rng(3)
    n = 21
    many = {"R": rng.uniform(0.6, 1.4, n), "k": rng.uniform(0.4, 2.0, n), "R_th": rng.uniform(0.0, 1.0, n)}
    V = rng.uniform(3.0, 15.0, (n, 5))
    whole = operate(hub(**many), V)
    for i in range(n):
        one = operate(hub(**{name: float(x[i]) for name, x in many.items()}), V[i])
        for f in dataclasses.fields(one.running):
            got, want = getattr(whole.running, f.name)[i], getattr(one.running, f.name)
            assert got == pytest.approx(want, rel=1e-10, abs=1e-12), f.name
        assert np.array_equal(whole.forked[i], one.forked)
    assert charging_wind(hub(**many))[4] == pytest.approx(charging_wind(hub(R=many["R"][4], k=many["k"][4])))
    brake = braked(hub(**many), V)[0]
    assert brake[7] == pytest.approx(braked(hub(R=many["R"][7], k=many["k"][7]), V[7])[0])


def test_two_leading_axes():
    """Any number of leading axes."""
    R, k = np.array([[0.9], [1.1]]), np.array([0.8, 1.2, 1.6])
    m = hub(R=R, k=k)
    assert m.variants == (2, 3)
    assert operate(m, WINDS).running.current.shape == (2, 3, 17)
    assert charging_wind(m).shape == (2, 3)


def test_stalled_by_the_battery():
    """A rotor that starts into a battery of too low a voltage stays slow; coming from fast it keeps running."""
    m = hub(cq=STALLING, k=0.6, V_oc=12.6, R_th=0.0, T_0=0.05, T_cog=0.0, R_w=0.3)
    got = operate(m, np.array([13.0]))
    assert got.forked.all()
    assert got.balances.tolist() == [2]
    assert got.standstill.stalled.all()
    assert not got.running.stalled.any()
    assert got.running.battery > 2.0 * got.standstill.battery


def test_dump_holds_the_voltage():
    """Above the limit the battery takes no more and the rest goes to the dump load."""
    got = operate(hub(V_max=26.5), np.array([5.0, 12.0])).running
    assert np.all(got.voltage <= 26.5)
    assert got.inside_battery[1] == pytest.approx(0.1**2 / 0.02)
    assert got.dump[1] == pytest.approx((got.current[1] - 0.1 / 0.02) * 26.5)


def test_commutation_slows_nothing_but_current():
    """More inductance, less current at a speed; no watt appears under its name."""
    weak, strong = (spin(hub(L=L), np.array([40.0]))[0] for L in (2e-3, 0.0))
    assert weak < strong


def test_curves_of_several_winds_are_joined():
    """At a wind of the table its own curve holds, in between something in between, beyond the nearest."""
    levels = np.array([4.0, 8.0])
    machine = dataclasses.replace(hub(), winds=levels, cq=np.array([0.8 * CQ, CQ]))
    V = np.array([2.0, 4.0, 5.7, 8.0, 12.0])
    got, low, high = (operate(m, V).running.current for m in (machine, hub(cq=0.8 * CQ), hub()))
    assert got[[0, 1]] == pytest.approx(low[[0, 1]])
    assert got[[3, 4]] == pytest.approx(high[[3, 4]])
    assert low[2] < got[2] < high[2]


def test_brake_that_holds_and_one_that_does_not():
    """In a moderate wind the shorted hub motor stops the rotor; with ten times the inductance it does not."""
    strong, weak = (braked(hub(L=L), np.array([12.0])) for L in (0.2e-3, 2e-3))
    assert strong[1].all()
    assert not weak[1].any()
    assert strong[0] < 2.0 < weak[0]


def test_brake_thrown_early_holds_longer():
    """A brake too weak for a running rotor may keep a slow one slow."""
    m = hub(L=1e-3)
    V = np.array([15.0])
    fast, slow = braked(m, V), braked(m, V, np.array([2.0]))
    assert not fast[1].any()
    assert slow[0] < 5.0 < fast[0]


def test_torque_curve_keeps_given_points():
    """Given coefficients stand at their ratios, the torque at rest at zero."""
    tsr, cp = np.array([0.5, 1.0, 4.0, 8.05]), np.array([[0.01, 0.03, 0.24, 0.0], [0.02, 0.05, 0.3, -0.1]])
    even, cq = torque_curve(tsr, cp, np.array([0.01, 0.02]), 0.05)
    assert even[-1] == 8.05
    assert cq[:, 0] == pytest.approx([0.01, 0.02])
    assert [np.interp(4.0, even, row) for row in cq] == pytest.approx(cp[:, 2] / 4.0, rel=1e-2)
    assert cq[:, -1] == pytest.approx(cp[:, 3] / 8.05)


CURVE = np.array([3.0, 6.0, 9.0, 15.0]), np.array([0.0, 60.0, 250.0, 300.0])


def test_yield_of_variants():
    """Curves, winds and limits may each have variants."""
    V, P = CURVE
    many = energy.mean_power(V, P * np.array([[1.0], [2.0]]), np.array([5.0, 6.0]), 2.0, np.array([9.0, 12.0]), "zero")
    single = [energy.mean_power(V, P, 5.0, 2.0, 9.0, "zero"), 2.0 * energy.mean_power(V, P, 6.0, 2.0, 12.0, "zero")]
    assert many == pytest.approx(single)


@given(st.floats(3.0, 9.0), st.floats(1.2, 3.5), st.floats(2.0, 20.0), st.floats(2.0, 20.0))
def test_later_limit_never_yields_less(c, k, a, b):
    """A machine that runs on makes more, and holding beats stopping."""
    low, high = sorted((a, b))
    stop = [energy.mean_power(*CURVE, c, k, limit, "zero") for limit in (low, high)]
    held = [energy.mean_power(*CURVE, c, k, limit, "held") for limit in (low, high)]
    assert stop[0] <= stop[1] + 1e-9
    assert held[0] <= held[1] + 1e-9
    assert stop[0] <= held[0] + 1e-9


def test_one_machine_stands_in_winds_of_any_shape():
    """As variants that differ in the wind only ask for it: row by row the same."""
    winds = np.array([[4.0, 9.0, 12.0], [5.0, 6.0, 7.0]])
    together = operate(hub(), winds).running.current
    assert together == pytest.approx(np.stack([operate(hub(), row).running.current for row in winds]), rel=1e-9)
    assert unloaded(hub(), winds)[0].shape == winds.shape


@pytest.mark.parametrize(
    "call",
    [
        lambda: hub(R=0.0),
        lambda: hub(R_c=-1.0),
        lambda: hub(k=np.nan),
        lambda: hub(V_max=26.0),
        lambda: hub(T_air=100.0),
        lambda: hub(cq=CQ + 0.1),
        lambda: Machine(TSR + 0.1, LEVELS, CQ[None], 1.1, 1.2, 1.0, 0.2, 1.8, 25.0),
        lambda: Machine(TSR, np.array([6.0, 4.0]), np.array([CQ, CQ]), 1.1, 1.2, 1.0, 0.2, 1.8, 25.0),
        lambda: Machine(TSR, LEVELS, CQ, 1.1, 1.2, 1.0, 0.2, 1.8, 25.0),
        lambda: hub(cq=np.where(TSR > 3.0, np.nan, CQ)),
        lambda: Machine(TSR, LEVELS, CQ[None, :-1], 1.1, 1.2, 1.0, 0.2, 1.8, 25.0),
        lambda: Machine(TSR, -LEVELS, CQ[None], 1.1, 1.2, 1.0, 0.2, 1.8, 25.0),
        lambda: Machine(TSR, 0.0 * LEVELS, CQ[None], 1.1, 1.2, 1.0, 0.2, 1.8, 25.0),
        lambda: operate(hub(), np.array([np.nan, 5.0])),
        lambda: operate(hub(), np.array([-1.0, 5.0])),
        lambda: spin(hub(R=np.array([1.1, 1.2])), np.full((3, 4), 5.0)),
        lambda: unloaded(hub(), np.array([-1.0])),
        lambda: operate(hub(), np.array([0.0, 5.0])),
        lambda: operate(hub(), np.array(5.0)),
        lambda: operate(hub(R=np.array([1.1, 1.2])), np.full((3, 4), 5.0)),
        lambda: spin(hub(), np.array([-1.0])),
        lambda: torque_curve(np.array([0.0, 1.0]), np.array([0.0, 0.1]), 0.01),
        lambda: energy.mean_power(*CURVE, 5.0, 2.0, above="furled"),
        lambda: energy.mean_power(CURVE[0][::-1], CURVE[1], 5.0, 2.0),
        lambda: energy.annual_energy(1.0, 1.2),
        lambda: energy.annual_energy(1.0, 0.0, -0.1),
        lambda: energy.capacity_factor(1.0, 0.0),
    ],
)
def test_out_of_range_is_refused(call):
    """Nothing is clipped in silence."""
    with pytest.raises(ValueError, match=r"\w"):
        call()
