"""The measured power curve against worked numbers and against pandas and scipy, which go about it another way."""

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from calc.curve import bins, energy, uncertainty, wind
from calc.curve.base import MinuteMeans
from journal.review.logged_wind import fitted_weibull

RHO = 1.225


def minutes(V, **more):
    """Minute means of some winds, the rest not recorded."""
    n = len(V)
    nothing = np.full(n, np.nan)
    names = (
        "wind_sd",
        "gust",
        "wind_low",
        "direction",
        "power",
        "dump",
        "volts",
        "amps",
        "rpm",
        "temperature",
        "pressure",
    )
    told = {name: np.asarray(more.pop(name, nothing), dtype=float) for name in names}
    time = np.asarray(more.pop("time", 1780272000 + 60 * np.arange(n)))
    return MinuteMeans(time=time, rows=np.full(n, 6), wind=np.asarray(V, dtype=float), **told, **more)


@pytest.fixture
def made():
    """Two weeks of minutes of a machine with a known curve: a cube from 3 to 10 m/s, flat above, scattered."""
    rng = np.random.default_rng(7)
    V = stats.weibull_min(2.0, scale=7.0).rvs(20_000, random_state=rng)
    P = np.where(V < 3.0, 0.0, 0.5 * np.minimum(V, 10.0) ** 3) * (1.0 + 0.1 * rng.standard_normal(V.size))
    T, p = 283.0 + 6.0 * rng.standard_normal(V.size), 100_200.0 + 700.0 * rng.standard_normal(V.size)
    return minutes(V, power=P, temperature=T, pressure=p)


# Worked with paper and a calculator. Five minutes about 6 m/s and three about 6.5:
# 90 to 110 W: mean 100, deviations -10, 10, 0, 5, -5: squares 250, over 4: 62.5, root 7.90569, over root of 5: 3.53553.
# Winds 5.9 6.1 6.0 6.2 5.8: mean 6.0. The first bin's slope is from no power at 5.5 m/s: 100 / 0.5 = 200 W s/m.
# 6.5 6.4 6.6 with 130 120 140 W: mean 130, s 10, over root of 3: 5.77350; slope (130 - 100) / (6.5 - 6.0) = 60 W s/m.
# Doubts: wind 2 % and 0.1 m/s: root of 0.12^2 + 0.1^2 = 0.156205 m/s, times 200: 31.2410 W; 0.164012 times 60: 9.84073.
# Power 3 % and 2 W: root of 3^2 + 2^2 = 3.60555, root of 3.9^2 + 2^2 = 4.38292. Air 288 K by 1.44 K: 0.5 %, 0.5 and
# 0.65 W; 100,000 Pa by 200: 0.2 %, 0.2 and 0.26 W. All: root of 12.5 + 976 + 13 + 0.25 + 0.04 = 31.6511 W; second:
# 33.3333 + 96.8400 + 19.21 + 0.4225 + 0.0676 = 149.8734, root 12.2423 W.
WORKED = {
    "wind": (6.0, 6.5),
    "power": (100.0, 130.0),
    "a": (3.53553, 5.77350),
    "by_wind": (31.2410, 9.84073),
    "by_power": (3.60555, 4.38292),
    "total": (31.6511, 12.2423),
}


def worked():
    """The eight minutes."""
    V = np.array([5.9, 6.1, 6.0, 6.2, 5.8, 6.5, 6.4, 6.6])
    P = np.array([90.0, 110.0, 100.0, 105.0, 95.0, 130.0, 120.0, 140.0])
    return bins.binned(V, P, RHO)


def test_bins_and_their_doubt_as_worked_by_hand():
    """Means, scatter over the root of the count, what each instrument adds, and all of it together."""
    b = worked()
    by = uncertainty.Instruments(0.02, 0.1, 0.03, 2.0, 1.44, 200.0)
    u = uncertainty.doubt(b, by, 288.0, 100_000.0)
    got = {"wind": b.wind, "power": b.power, "a": u.a, "by_wind": u.wind, "by_power": u.power, "total": u.total}
    for name, values in WORKED.items():
        assert got[name] == pytest.approx(values, rel=2e-5), name
    assert u.temperature == pytest.approx((0.5, 0.65))
    assert u.pressure == pytest.approx((0.2, 0.26))


def test_minutes_are_brought_to_one_density():
    """500 W in air of 1.10 kg/m3: 500 times 1.225 over 1.10, 556.818 W. Computed by hand."""
    assert float(bins.at_density(np.array(500.0), 1.10)) == pytest.approx(556.818, abs=5e-4)


def test_density_is_that_of_the_standard(made):
    """IEC 61400-12-1: 1/T (p/287.05 - RH pw (1/287.05 - 1/461.5)), pw = 0.0000205 exp(0.0631846 T); from memory."""
    rho, *recorded = bins.density(made, 288.15, 101_325.0)
    T, p = made.temperature, made.pressure
    pw = 0.0000205 * np.exp(0.0631846 * T)
    assert rho == pytest.approx((p / 287.05 - 0.5 * pw * (1 / 287.05 - 1 / 461.5)) / T, rel=5e-4)
    assert recorded == [True, True]


# Rotor of 3 m, a quarter of the wind's power from 3 to 10 m/s, 1082.38 W from there to 25 m/s, no scatter, bins from
# 0.5 to 25 m/s with the power at their middle; summed as the standard sums it, in a spreadsheet's way.
YEARS = {4.0: 1122.56, 5.0: 2034.05, 6.0: 3028.97}


@pytest.mark.parametrize("mean", YEARS)
def test_a_year_adds_up_as_in_the_standard(mean):
    """Energy of a year in kWh, Rayleigh."""
    V = np.repeat(np.arange(0.5, 25.01, 0.5), 12)
    area = np.pi * 1.5**2
    P = np.where(V < 3.0, 0.0, 0.25 * 0.5 * RHO * area * np.minimum(V, 10.0) ** 3)
    b = bins.binned(V, P, RHO, area)
    year = energy.year_at(b, uncertainty.doubt(b, uncertainty.Instruments()), mean)
    assert year.measured / 3.6e6 == pytest.approx(YEARS[mean], abs=0.01)
    assert year.complete
    assert b.cp[b.centre == 8.0] == pytest.approx(0.25)


def test_bins_are_those_of_pandas(made):
    """Sorted by pandas' own intervals and grouped by it: count, means, scatter, least and greatest of every bin."""
    rho, *_ = bins.density(made, 288.15, 101_325.0)
    P = bins.at_density(made.power, rho)
    b = bins.binned(made.wind, P, RHO, 3.8)
    frame = pd.DataFrame({"V": made.wind, "P": made.power * RHO / rho})
    edges = np.arange(-0.25, 40.0, 0.5)
    grouped = frame.groupby(pd.cut(frame.V, edges, right=False), observed=True)
    got = pd.DataFrame({"count": b.count, "wind": b.wind, "power": b.power, "scatter": b.scatter, "low": b.low,
                        "high": b.high})[b.count > 0]  # fmt: skip
    asked = pd.DataFrame({"count": grouped.P.size().astype(float), "wind": grouped.V.mean(), "power": grouped.P.mean(),
                          "scatter": grouped.P.std(), "low": grouped.P.min(), "high": grouped.P.max()})  # fmt: skip
    assert got.to_numpy() == pytest.approx(asked.to_numpy(), rel=1e-9, nan_ok=True)
    assert b.cp == pytest.approx(b.power / (0.5 * RHO * 3.8 * b.wind**3), nan_ok=True)


def test_scatter_over_the_root_is_scipys_standard_error(made):
    """Category A of every bin with enough."""
    b = bins.binned(made.wind, made.power)
    a = uncertainty.doubt(b, uncertainty.Instruments()).a
    for at in np.flatnonzero(b.enough):
        own = np.abs(made.wind - b.centre[at]) < 0.25
        assert a[at] == pytest.approx(stats.sem(made.power[own]), rel=1e-9)


def test_a_years_energy_lies_near_the_true_curve_and_within_its_doubt(made):
    """The curve that was put in, integrated by scipy against the distribution."""
    b = bins.binned(made.wind, made.power)
    year = energy.year_at(b, uncertainty.doubt(b, uncertainty.Instruments()), 5.0)
    of = stats.rayleigh(scale=5.0 / np.sqrt(np.pi / 2.0))
    true = of.expect(lambda V: np.where(V < 3.0, 0.0, 0.5 * np.minimum(V, 10.0) ** 3), lb=0.0, ub=40.0, limit=200)
    assert year.measured == pytest.approx(8760 * 3600 * true, rel=0.02)
    assert abs(year.measured - 8760 * 3600 * true) < 2.0 * year.doubt


def test_doubt_of_the_year_adds_scatter_at_random_and_instruments_straight():
    """Two bins worked out apart: root of the sum of squares for the one, the plain sum for the other."""
    V, P = np.repeat([6.0, 6.5], 12), np.tile([90.0, 110.0], 12)
    b = bins.binned(V, P)
    u = uncertainty.doubt(b, uncertainty.Instruments())
    of = stats.rayleigh(scale=5.0 / np.sqrt(np.pi / 2.0))
    f = np.diff(of.cdf([5.5, 6.0, 6.5]))
    expected = np.sqrt(np.sum((f * u.a) ** 2) + np.sum(f * u.b) ** 2) * 8760 * 3600
    assert energy.year_at(b, u, 5.0).doubt == pytest.approx(expected)


@pytest.mark.parametrize(("k", "c"), [(1.5, 4.0), (2.0, 6.0), (3.1, 9.0)])
def test_weibull_solves_the_published_equations(k, c):
    """Greatest likelihood by Seguro and Lambert (2000), from memory; nothing so light that the cup stands."""
    V = stats.weibull_min(k, scale=c).rvs(4000, random_state=3)
    V = V[wind.STANDS <= V]
    found = fitted_weibull(V)
    power = V**found.k
    shape = 1.0 / (np.sum(power * np.log(V)) / power.sum() - np.log(V).mean())
    assert found.k == pytest.approx(shape, rel=1e-3)
    assert found.c == pytest.approx(np.mean(power) ** (1.0 / found.k), rel=1e-4)


def test_calms_count_by_their_number():
    """However the cup shows them, the distribution from which they were drawn comes back, within three doubts of it."""
    V = stats.weibull_min(1.7, scale=3.0).rvs(20_000, random_state=5)
    light = wind.STANDS > V
    assert light.mean() > 0.03
    found = fitted_weibull(np.where(light, 0.0, V))
    # Doubts of greatest likelihood with every wind known, which is little less.
    assert found.k == pytest.approx(1.7, abs=3 * 0.78 * 1.7 / np.sqrt(V.size))
    assert found.c == pytest.approx(3.0, abs=3 * 1.053 * 3.0 / 1.7 / np.sqrt(V.size))
    # How far the fit lies from the winds, by the test of Kolmogorov.
    above = stats.kstest(V, stats.weibull_min(found.k, scale=found.c).cdf).statistic
    assert found.apart == pytest.approx(above, abs=0.003)


def test_a_year_of_minutes_is_fitted_as_well_from_every_sixth():
    """More winds than are looked at, drawn without a bend between them."""
    V = stats.weibull_min(2.2, scale=5.0).rvs(525_600, random_state=6)
    found = fitted_weibull(V)
    assert (found.k, found.c) == pytest.approx((2.2, 5.0), rel=0.01)


@pytest.mark.parametrize("V", [np.full(900, 4.0), np.r_[np.zeros(900), np.linspace(2.0, 9.0, 49)], np.zeros(900)])
def test_through_too_few_winds_or_like_ones_none_is_laid(V):
    """A cup that stuck, a calm month, a logger without a cup."""
    assert fitted_weibull(V) is None


def test_hours_and_months_are_those_of_pandas():
    """An odd stretch over four months with gaps, the clock two hours ahead."""
    rng = np.random.default_rng(2)
    time = 1775000000 // 60 * 60 + 60 * np.sort(rng.choice(150_000, 90_000, replace=False))
    V = 5.0 + rng.standard_normal(time.size)
    m = minutes(V, time=time)
    series = pd.Series(V, pd.to_datetime(time, unit="s") + pd.Timedelta(hours=2))
    assert wind.by_hour(m, 7200.0) == pytest.approx(series.groupby(series.index.hour).mean().to_numpy())
    means, share = wind.by_month(m, 7200.0)
    by_month = series.groupby(series.index.month)
    assert means[~np.isnan(means)] == pytest.approx(by_month.mean().to_numpy())
    length = by_month.apply(lambda s: s.index[0].days_in_month * 1440)
    assert share[share > 0] == pytest.approx((by_month.size() / length).to_numpy())


def test_turbulence_of_minutes_is_that_of_the_rows_behind_them():
    """Rows a second apart, ten minutes of them by pandas; from their minute means and deviations the same comes out."""
    rng = np.random.default_rng(4)
    rows = 8.5 + np.repeat(0.4 * rng.standard_normal(300), 60) + 0.9 * rng.standard_normal(18_000)
    by_minute = rows.reshape(300, 60)
    found = wind.turbulence(minutes(by_minute.mean(axis=1), wind_sd=by_minute.std(axis=1), time=60 * np.arange(300)))
    ten = pd.Series(rows).groupby(np.arange(18_000) // 600)
    asked = (ten.std(ddof=0) / ten.mean()).to_numpy()
    assert found.within
    assert found.winds.tolist() == [8.5]
    assert found.mean[0] == pytest.approx(asked.mean(), rel=1e-9)
    assert found.high[0] == pytest.approx(np.percentile(asked, 90), rel=1e-9)


def test_shear_by_a_line_through_logarithms():
    """Two heights: the exponent is scipy's slope through their logarithms; z0 is where the profile is nought."""
    high, low = np.full(100, 6.8921), np.full(100, 6.0)
    found = wind.shear(high, 20.0, low, 10.0)
    assert found.exponent == pytest.approx(stats.linregress(np.log([10, 20]), np.log([6.0, 6.8921])).slope)
    line = stats.linregress(np.log([10, 20]), [6.0, 6.8921])
    assert found.roughness == pytest.approx(np.exp(-line.intercept / line.slope))
