"""Made-up wind has the mean, spread, shape, persistence and seasons it was asked for."""

import math

import numpy as np
import pytest
import scipy

from calc.physics.calendar import HOURS
from calc.physics.synthetic_wind import MONTH, Climate, hourly, inner_shape, normal_persistence, seasons

WINDY_WINTER = (7.0, 6.5, 6.5, 5.0, 4.5, 4.0, 3.5, 4.0, 5.0, 6.0, 6.5, 7.0)
CLIMATES = [
    Climate(5.0, years_differ=0.0),
    Climate(4.0, 1.6, 0.8, years_differ=0.0),
    Climate(6.0, 2.4, 0.95, swing=0.2),
    Climate(5.0, 2.0, months=WINDY_WINTER),
]


def scaled_back(V, climate):
    """The wind without season and time of day."""
    return V / np.tile(seasons(climate), V.size // HOURS)


@pytest.mark.parametrize("climate", CLIMATES)
def test_mean_and_spread(climate):
    """Over 100 years, those of the Weibull distribution asked for (scipy.stats.weibull_min)."""
    V = hourly(climate, 100)
    expected = scipy.stats.weibull_min(climate.shape)
    # 100 different years at 5 % leave 0.5 % of doubt in the mean.
    assert V.mean() == pytest.approx(climate.mean, rel=0.02)
    assert V.std() / V.mean() == pytest.approx(expected.std() / expected.mean(), rel=0.02)


@pytest.mark.parametrize("climate", CLIMATES[:2])
@pytest.mark.parametrize("q", [0.05, 0.25, 0.5, 0.75, 0.95, 0.99])
def test_quantiles_of_steady_seasons(climate, q):
    """Without seasons the hours are Weibull through and through (scipy.stats.weibull_min)."""
    V = hourly(climate, 100)
    scale = climate.mean / math.gamma(1 + 1 / climate.shape)
    assert np.quantile(V, q) == pytest.approx(scipy.stats.weibull_min(climate.shape, scale=scale).ppf(q), rel=0.03)


@pytest.mark.parametrize("climate", CLIMATES)
def test_shape_read_back(climate):
    """A Weibull fit by maximum likelihood finds the shape again; a mixture of seasons is only close to one."""
    k, _, _ = scipy.stats.weibull_min.fit(hourly(climate, 50)[::29], floc=0)
    assert k == pytest.approx(climate.shape, rel=0.06)


@pytest.mark.parametrize("climate", CLIMATES)
def test_persistence(climate):
    """The correlation from hour to hour, season and time of day taken out."""
    V = scaled_back(hourly(climate, 100), climate)
    assert np.corrcoef(V[1:], V[:-1])[0, 1] == pytest.approx(climate.persistence, abs=0.006)


@pytest.mark.parametrize("month", range(12))
def test_monthly_means(month):
    """Each month has its share of the yearly mean."""
    climate = Climate(5.0, months=WINDY_WINTER, years_differ=0.0)
    V = hourly(climate, 100).reshape(100, HOURS)
    mean_of_table = np.array(WINDY_WINTER)[MONTH].mean()
    assert V[:, month == MONTH].mean() == pytest.approx(5.0 * WINDY_WINTER[month] / mean_of_table, rel=0.03)


def test_daily_swing():
    """The windiest hour is the one asked for, with a fifth more than the mean."""
    V = hourly(Climate(5.0, swing=0.2, windiest=14.5 * 3600, years_differ=0.0), 100).reshape(-1, 24).mean(axis=0)
    assert V.argmax() in (13, 14, 15)
    assert V.max() == pytest.approx(6.0, rel=0.02)


def test_years_differ():
    """Yearly means spread as asked, beside what chance does within a year."""
    V = hourly(Climate(5.0, persistence=0.5, years_differ=0.08), 300).reshape(300, HOURS).mean(axis=1)
    assert V.std() / 5.0 == pytest.approx(0.08, rel=0.15)


def test_persistence_zero_is_independent():
    """No memory at all."""
    V = hourly(Climate(5.0, persistence=0.0, years_differ=0.0), 20)
    assert abs(np.corrcoef(V[1:], V[:-1])[0, 1]) < 0.01


@pytest.mark.parametrize("k", [1.2, 2.0, 3.6])
@pytest.mark.parametrize("phi", [0.3, 0.9])
def test_correlation_through_the_transform(k, phi):
    """The series in Hermite polynomials against plain integration over two correlated normal variables."""
    x, w = np.polynomial.hermite_e.hermegauss(120)
    w = w / w.sum()
    first, second = np.meshgrid(x, x, indexing="ij")
    weights = np.outer(w, w)

    def weibull(z):
        return scipy.stats.weibull_min.isf(scipy.stats.norm.sf(z), k)

    a, b = weibull(first), weibull(phi * first + math.sqrt(1 - phi**2) * second)
    mean = np.sum(weights * a)
    r = (np.sum(weights * a * b) - mean**2) / (np.sum(weights * a**2) - mean**2)
    assert normal_persistence(float(r), k) == pytest.approx(phi, abs=1e-3)


def test_same_seed_same_weather():
    """And another seed another."""
    climate = Climate(5.0)
    assert np.array_equal(hourly(climate, 1, seed=7), hourly(climate, 1, seed=7))
    assert not np.array_equal(hourly(climate, 1, seed=7), hourly(climate, 1, seed=8))


@pytest.mark.parametrize(
    "call",
    [
        lambda: Climate(0.0),
        lambda: Climate(5.0, shape=0.5),
        lambda: Climate(5.0, persistence=1.0),
        lambda: Climate(5.0, months=(5.0,) * 11),
        lambda: Climate(5.0, months=(0.0,) * 12),
        lambda: Climate(5.0, swing=1.0),
        lambda: Climate(5.0, years_differ=0.5),
        lambda: hourly(Climate(5.0), 0),
        lambda: inner_shape(Climate(5.0, 4.0, swing=0.9)),
    ],
)
def test_impossible_wind_is_refused(call):
    """Nothing is made up that cannot be."""
    with pytest.raises(ValueError, match=r"\w"):
        call()


def test_a_calm_place_is_a_place():
    """Months and years of less than a metre per second are no mistake."""
    assert Climate(0.5, months=(0.5,) * 12).mean == 0.5
