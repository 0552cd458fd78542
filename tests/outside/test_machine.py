"""The coupled machine and its yield against root finders and integrals of scipy, and worked values."""

import math

import numpy as np
import pytest
import scipy

from calc.physics import energy
from calc.physics.balance import Machine, operate
from calc.physics.wind import power_in_wind, swept_area, weibull_scale

KWH = 3.6e6
TSR = np.linspace(0.0, 11.0, 111)
MACHINES = 240


def draw(seed):
    """One random machine, as plain numbers, and a wind."""
    rng = np.random.default_rng(seed)
    best, peak, dip = rng.uniform(3.5, 6.0), rng.uniform(0.15, 0.4), rng.uniform(0.0, 1.0)
    end = best * rng.uniform(1.5, 1.8)
    rise = np.where(best > TSR, (TSR / best) ** (1.0 + 2.0 * dip), 1.0 - ((TSR - best) / (end - best)) ** 2)
    cq = peak * rise / np.maximum(TSR, 0.1) + rng.uniform(0.005, 0.02) * np.maximum(1.0 - TSR / 2.0, 0.0)
    numbers = {
        "R": rng.uniform(0.5, 1.6),
        "rho": rng.uniform(1.1, 1.3),
        "k": rng.uniform(0.3, 2.0),
        "R_w": rng.uniform(0.1, 1.5),
        "V_d": rng.uniform(0.5, 2.0),
        "V_oc": rng.choice([12.5, 25.0, 50.0]),
        "L": rng.choice([0.0, 0.2e-3, 1e-3, 4e-3]),
        "p": float(rng.integers(2, 24)),
        "T_0": rng.uniform(0.0, 0.4),
        "b": rng.uniform(0.0, 0.01),
        "T_cog": rng.uniform(0.0, 0.3),
        "R_c": rng.uniform(0.0, 0.6),
        "R_b": rng.uniform(0.0, 0.1),
        "R_th": rng.choice([0.0, 0.3, 1.0]),
        "T_air": rng.uniform(263.15, 308.15),
    }
    numbers["V_max"] = numbers["V_oc"] + rng.choice([0.5, 4.0, np.inf])
    return cq, {name: float(value) for name, value in numbers.items()}, rng.uniform(3.0, 16.0)


class Scalar:
    """The same machine written down a second time, one number at a time and with the speed as the unknown."""

    def __init__(self, cq, numbers, V):
        self.__dict__.update(numbers, cq=cq, V=V)

    def warm(self, I):
        """Warm winding, by repeating until it settles; too hot where it never does."""
        R20, R = self.R_w, self.R_w
        for _ in range(400):
            t = self.T_air - 273.15 + self.R_th * I * I * R
            new = R20 * (234.5 + t) / 254.5
            if abs(new - R) < 1e-13 * new:
                return new
            if new > 1e6:
                break
            R = new
        return 1e6

    def rectified(self, omega, I):
        """Mean voltage of the bridge, after the regulation curve of IEEE 421.5."""
        E = self.k * omega
        X = self.p * omega * self.L
        if X == 0.0:
            return E
        short = (math.pi / (3.0 * math.sqrt(3.0))) * E / X
        u = I / short
        if u <= 0.4330127:
            return E - 3.0 * X * I / math.pi
        if u <= 0.75:
            return E * math.sqrt(0.75 - u * u)
        return E * math.sqrt(3.0) * max(1.0 - u, 0.0)

    def current(self, omega):
        """Current at a speed."""

        def left(I):
            V = min(self.V_oc + I * self.R_b, self.V_max)
            return self.rectified(omega, I) - self.V_d - V - I * (self.warm(I) + self.R_c)

        if left(0.0) <= 0.0:
            return 0.0
        return scipy.optimize.brentq(left, 0.0, self.k * omega / self.R_w, xtol=1e-13, rtol=1e-13)

    def aero(self, omega):
        """Torque of the rotor."""
        q = np.interp(omega * self.R / self.V, TSR, self.cq)
        return 0.5 * self.rho * math.pi * self.R**3 * self.V**2 * q

    def left(self, omega):
        """Torque left over."""
        I = self.current(omega)
        return self.aero(omega) - self.T_0 - self.b * omega - (self.rectified(omega, I) * I / omega if I else 0.0)


def solved(draws):
    """All machines in one call, each with its own wind."""
    names = draws[0][1]
    cq = np.array([cq for cq, _, _ in draws])[:, None, :]
    numbers = {name: np.array([n[name] for _, n, _ in draws]) for name in names}
    machine = Machine(TSR, np.array([6.0]), cq, **numbers)
    return operate(machine, np.array([V for _, _, V in draws])[:, None])


def test_balance_against_brentq():
    """240 seeded machines: both ends of the balance, where a coarse scan and scipy.optimize.brentq put them."""
    draws = [draw(seed) for seed in range(MACHINES)]
    got = solved(draws)
    charging = forked = 0
    for i, (cq, numbers, V) in enumerate(draws):
        one = Scalar(cq, numbers, V)
        speeds = np.linspace(1e-6, TSR[-1] * V / numbers["R"], 46)
        signs = [one.left(s) > 0 for s in speeds]
        falls = [n for n in range(45) if signs[n] and not signs[n + 1]]
        roots = [scipy.optimize.brentq(one.left, speeds[n], speeds[n + 1], xtol=1e-12, rtol=1e-12) for n in falls]
        high = roots[-1] if roots else 0.0
        starts = one.aero(0.0) > numbers["T_0"] + numbers["T_cog"]
        low = roots[0] if roots and starts else 0.0
        assert got.running.omega[i, 0] == pytest.approx(high, rel=1e-8), i
        assert got.standstill.omega[i, 0] == pytest.approx(low, rel=1e-8), i
        assert got.running.current[i, 0] == pytest.approx(one.current(high) if high else 0.0, rel=1e-6, abs=1e-9), i
        charging += got.running.current[i, 0] > 0
        forked += bool(got.forked[i, 0])
    assert charging > 100
    assert forked > 10


def test_watts_add_up():
    """Every watt the rotor takes goes somewhere, to a millionth of the wind's power."""
    got = solved([draw(seed) for seed in range(MACHINES)])
    for at in (got.running, got.standstill):
        gone = at.drag + at.copper + at.diodes + at.cable + at.inside_battery + at.stored + at.dump
        moves = at.omega > 0
        assert np.all(np.abs(at.rotor - gone)[moves] <= 1e-6 * at.wind[moves])
        assert np.all(gone[~moves] == 0.0)
    assert np.any(got.running.dump > 0)


# D 3 m, Cp 0.25 from 3 to 10 m/s, flat to 25 m/s, Rayleigh: exact integral in kWh a year, worked beforehand.
@pytest.mark.parametrize(("Vm", "kWh"), [(4.0, 1102.41), (5.0, 2016.64), (6.0, 3014.61)])
def test_annual_energy_worked_beforehand(Vm, kWh):
    """A fine curve reproduces the integral of the cubic one."""
    V = np.append(np.linspace(3.0, 10.0, 701), 25.0)
    P = 0.25 * power_in_wind(1.225, swept_area(3.0), np.minimum(V, 10.0))
    assert P[-1] == pytest.approx(1082.38, rel=1e-5)
    mean = energy.mean_power(V, P, weibull_scale(Vm, 2.0), 2.0, above="zero")
    assert energy.annual_energy(mean) / KWH == pytest.approx(kWh, rel=1e-5)


@pytest.mark.parametrize("k", [1.3, 2.0, 3.1])
@pytest.mark.parametrize(("limit", "above"), [(math.inf, "held"), (13.3, "held"), (13.3, "zero"), (math.inf, "zero")])
def test_mean_power_against_quadrature(k, limit, above):
    """scipy.stats.weibull_min and scipy.integrate.quad over the same straight lines."""
    V = np.array([2.5, 3.0, 5.0, 8.0, 12.0, 20.0])
    P = np.array([0.0, 4.0, 60.0, 300.0, 420.0, 380.0])
    c, stop = 6.2, min(limit, 20.0)
    density = scipy.stats.weibull_min(k, scale=c).pdf
    want = scipy.integrate.quad(
        lambda v: np.interp(v, V, P) * density(v), 2.5, stop, points=[3, 5, 8, 12], limit=200, epsabs=1e-11
    )[0]
    if above == "held":
        want += np.interp(stop, V, P) * scipy.stats.weibull_min(k, scale=c).sf(stop)
    assert energy.mean_power(V, P, c, k, limit, above) == pytest.approx(want, rel=1e-9)
