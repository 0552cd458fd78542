"""Wind and air against published values and other libraries."""

import math

import pytest
import scipy

from calc.physics import air, wind

# Kramm et al., J. Power and Energy Eng. 4(1) 2016: limit 59.3 %; 16/27 at an induction of 1/3.
# The rest is arithmetic: D m, V m/s, W in the wind, W at the limit, at 1.225 kg/m3.
POWERS = [(2.0, 8.0, 985.203, 583.824), (1.2, 5.0, 86.590, 51.313), (1.94, 10.5, 2095.88, 1242.01)]


def test_betz_limit():
    """16/27 is the greatest value of 4 a (1 - a)^2."""
    best = max(4 * a * (1 - a) ** 2 for a in (i / 3000 for i in range(3001)))
    assert pytest.approx(best, abs=1e-12) == wind.BETZ
    assert round(100 * wind.BETZ, 1) == 59.3


@pytest.mark.parametrize(("D", "V", "available", "betz"), POWERS)
def test_power_in_the_wind(D, V, available, betz):
    """Worked powers to the printed digit."""
    P = wind.power_in_wind(1.225, wind.swept_area(D), V)
    assert pytest.approx(available, abs=0.006) == P
    assert pytest.approx(betz, abs=0.006) == wind.BETZ * P


# CoolProp 8.0.0, HAPropsSI, density of humid air: degC, Pa, relative humidity, kg/m3.
@pytest.mark.parametrize(
    ("t", "p", "RH", "rho"),
    [(15, 101325, 0.0, 1.22557), (20, 101325, 0.5, 1.19936), (30, 101325, 0.8, 1.15006)],
)
def test_density_against_a_real_gas(t, p, RH, rho):
    """Two ideal gases come within 0.1 % of the real mixture."""
    assert air.density(t + 273.15, p, RH) == pytest.approx(rho, rel=1e-3)


# ISO 2533, standard atmosphere: m, K, Pa, kg/m3. First row published widely; the others from memory.
@pytest.mark.parametrize(
    ("h", "T", "p", "rho"),
    [(0.0, 288.15, 101325.0, 1.2250), (1000.0, 281.65, 89874.6, 1.1116), (2000.0, 275.15, 79495.2, 1.0065)],
)
def test_standard_atmosphere(h, T, p, rho):
    """Pressure within 0.01 %, density to the printed digit."""
    assert air.pressure(h) == pytest.approx(p, rel=1e-4)
    assert air.density(T, air.pressure(h)) == pytest.approx(rho, abs=1e-4)


@pytest.mark.parametrize("k", [1.5, 2.0, 2.5, 3.0])
def test_weibull_against_scipy(k):
    """Mean, mean cube, density and share above, scipy.stats.weibull_min."""
    reference = scipy.stats.weibull_min(k, scale=6.0)
    assert wind.weibull_scale(float(reference.mean()), k) == pytest.approx(6.0, rel=1e-9)
    assert wind.pattern_factor(k) * reference.mean() ** 3 == pytest.approx(reference.moment(3), rel=1e-9)
    for V in (0.5, 3.0, 7.7, 15.0):
        assert wind.weibull_pdf(V, 6.0, k) == pytest.approx(reference.pdf(V), rel=1e-9)
        assert wind.share_above(V, 6.0, k) == pytest.approx(reference.sf(V), rel=1e-9)


def test_rayleigh_against_scipy():
    """At k = 2 with a mean of 5 m/s: scipy.stats.rayleigh, third moment over the cube of the mean is 6/pi."""
    reference = scipy.stats.rayleigh(scale=5.0 * math.sqrt(2.0 / math.pi))
    c = wind.weibull_scale(5.0, 2.0)
    assert wind.share_above(10.0, c, 2.0) == pytest.approx(reference.sf(10.0), rel=1e-9)
    assert wind.pattern_factor(2.0) == pytest.approx(reference.moment(3) / 125.0, rel=1e-9)
    assert wind.pattern_factor(2.0) == pytest.approx(6.0 / math.pi, rel=1e-12)


@pytest.mark.parametrize(("k", "cubes"), [(1.5, 2.0), (3.0, 1.0)])
def test_mean_cube_where_it_is_exact(k, cubes):
    """Gamma(3) = 2 and Gamma(2) = 1: the mean cube is 2 c^3 and c^3."""
    mean = 1.0 / wind.weibull_scale(1.0, k)
    assert wind.pattern_factor(k) * mean**3 == pytest.approx(cubes, rel=1e-12)


# 6 m/s at 10 m carried to 20 m; arithmetic. Roughness lengths: P. Jain, Wind Energy Engineering, Table 3-5.
@pytest.mark.parametrize(("z0", "V"), [(0.03, 6.7159), (0.1, 6.9031), (0.4, 7.2920)])
def test_log_profile(z0, V):
    """Logarithmic profile over three kinds of ground."""
    assert wind.log_profile(6.0, 10.0, 20.0, z0) == pytest.approx(V, abs=5e-5)


# Troen and Petersen, European Wind Atlas 1989, as cited in course notes.
@pytest.mark.parametrize(
    ("ground", "z0"),
    [
        ("open water", 0.0002),
        ("open farmland", 0.03),
        ("farmland with hedges", 0.1),
        ("villages, small towns or forest", 0.4),
    ],
)
def test_roughness_classes(ground, z0):
    """The four classes of the atlas."""
    assert wind.roughness_length(ground) == z0


# Beaufort bands as printed by two weather services (delta-s.org, meteothes.gr), from and to in m/s.
BANDS = [
    (0, 0.0, 0.2), (1, 0.3, 1.5), (2, 1.6, 3.3), (3, 3.4, 5.4), (4, 5.5, 7.9), (5, 8.0, 10.7),
    (6, 10.8, 13.8), (7, 13.9, 17.1), (8, 17.2, 20.7), (9, 20.8, 24.4), (10, 24.5, 28.4), (11, 28.5, 32.6),
]  # fmt: skip


@pytest.mark.parametrize(("number", "low", "high"), BANDS)
def test_beaufort_bands(number, low, high):
    """A number begins where printed and ends within a tenth above the printed end."""
    first, end = wind.beaufort(number)
    assert first == low
    assert end == pytest.approx(high + 0.1)


@pytest.mark.parametrize("number", range(1, 12))
def test_beaufort_formula_lies_in_its_band(number):
    """0.836 B^1.5, the formula behind the scale."""
    low, high = wind.beaufort(number)
    assert low <= 0.836 * number**1.5 < high
