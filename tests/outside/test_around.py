"""Sun, noise, flight and shelter against libraries, guidelines and independent integration."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from astral import LocationInfo
from astral.sun import azimuth as astral_azimuth
from astral.sun import elevation as astral_elevation
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import minimize_scalar

from calc.physics import blade, flight, noise, shelter, sun

DEG = math.pi / 180.0


# --- sun --------------------------------------------------------------------------------------------------------------


def _n(when):
    return sun.days_since_2000(when.year, when.month, when.day, when.hour + when.minute / 60)


@pytest.mark.parametrize("seed", range(40))
def test_the_sun_stands_where_astral_has_it(seed):
    """Library astral (NOAA's equations), 1995 to 2045, without refraction: within 0.05 degrees."""
    rng = np.random.default_rng(seed)
    when = datetime(1995, 1, 1, tzinfo=UTC) + timedelta(minutes=int(rng.integers(50 * 365 * 24 * 60)))
    lat, lon = float(rng.uniform(-65, 65)), float(rng.uniform(-180, 180))
    place = LocationInfo("", "", "UTC", lat, lon).observer
    declination, ahead = sun.ephemeris(_n(when))
    H = ((when.hour + when.minute / 60 + ahead - 12) * 15 + lon) * DEG
    e, A = (float(f(lat * DEG, declination, H)) / DEG for f in (sun.elevation, sun.azimuth))
    assert e == pytest.approx(astral_elevation(place, when, with_refraction=False), abs=0.05)
    apart = (A - astral_azimuth(place, when) + 180) % 360 - 180
    assert abs(apart) * math.cos(e * DEG) < 0.05


@pytest.mark.parametrize(
    ("lat", "direction", "distance", "hub", "R"),
    [
        (52.0, 300.0, 25.0, 8.0, 1.6),
        (52.0, 60.0, 40.0, 12.0, 2.5),
        (40.0, 5.0, 15.0, 10.0, 1.5),
        (-35.0, 240.0, 50.0, 9, 2),
    ],
)
def test_flicker_of_a_year_is_what_minutes_counted_one_by_one_give(lat, direction, distance, hub, R):
    """Positions of the library astral through a year, every fourth minute of every third day, rotor as a disc."""
    place = LocationInfo("", "", "UTC", lat, 0.0).observer
    to_hub = math.atan2(hub - sun.WINDOW, distance), (direction + 180.0) * DEG
    radius = math.asin(R / math.hypot(distance, hub - sun.WINDOW)) + sun.SUN / 2
    days = range(0, 365, 3)
    counted = 0
    for day in days:
        for minute in range(0, 24 * 60, 4):
            when = datetime(2026, 1, 1, tzinfo=UTC) + timedelta(days=day, minutes=minute)
            e = astral_elevation(place, when, with_refraction=False) * DEG
            if e > sun.LOWEST:
                A = astral_azimuth(place, when) * DEG
                near = math.sin(e) * math.sin(to_hub[0]) + math.cos(e) * math.cos(to_hub[0]) * math.cos(A - to_hub[1])
                counted += near > math.cos(radius)
    n = np.array([sun.days_since_2000(2026, 1, 1) + day for day in days])
    told = sun.flicker(lat * DEG, direction * DEG, distance, hub, R, n).sum() / 240.0
    assert counted > 20
    assert told == pytest.approx(counted, rel=0.05, abs=3)


def test_noon_shadows_are_those_of_textbook_declinations():
    """23.44 degrees at the solstices and none at the equinoxes (textbooks): heights of the noon sun at 50 north."""
    for month, day, height in ((6, 21, 63.44), (12, 21, 16.56), (3, 20, 40.0)):
        told = sun.noon_shadow(10.0, 50 * DEG, sun.days_since_2000(2026, month, day))
        assert told == pytest.approx(10.0 / math.tan(height * DEG), rel=0.012)


def test_a_blade_s_shadow_reaches_as_far_as_the_german_formula_says():
    """Five chords times the sun's distance over pi/4 of its diameter, 1.09 million km (from memory): within 1 %."""
    assert sun.flicker_reach(2.0) == pytest.approx(5 * 2.0 * 149.6e6 / 1_097_780, rel=0.01)


@given(st.floats(0.01, 1.0), st.floats(1.001, 3.0))
def test_a_wider_blade_shades_further(chord, more):
    """And just a fifth of the disc is covered at that distance."""
    assert sun.flicker_reach(chord * more) > sun.flicker_reach(chord)
    u = chord / (sun.flicker_reach(chord) * sun.SUN)
    assert 2 / math.pi * (math.asin(u) + u * math.sqrt(1 - u * u)) == pytest.approx(0.2, rel=1e-4)


@settings(max_examples=40)
@given(st.floats(-66, 66), st.floats(0, 360), st.floats(5, 200), st.floats(3, 30), st.floats(0.3, 2.5))
def test_flicker_lies_within_the_day_and_grows_with_the_rotor(lat, direction, distance, hub, R):
    """Between nothing and the time in which the sun crosses so wide a disc, and more for a larger rotor."""
    n = np.arange(0.0, 365.0, 11.0) + 9497.0
    one, two = (sun.flicker(lat * DEG, direction * DEG, distance, hub, size, n) for size in (R, 1.3 * R))
    assert np.all((one >= 0) & (one < 86400))
    assert np.all(two >= one - 1e-6)


# --- noise ------------------------------------------------------------------------------------------------------------


def test_sound_falls_as_the_swedish_guideline_has_it():
    """LpA = LWA - 8 - 20 lg r - 0.005 r, r up to 1000 m; its 8 is 7.98 rounded."""
    for r in (25.0, 60.0, 400.0, 1000.0):
        assert noise.sound_pressure(100.0, r) == pytest.approx(100 - 8 - 20 * math.log10(r) - 0.005 * r, abs=0.02)
    with pytest.raises(ValueError, match="1000 m"):
        noise.sound_pressure(100.0, 1001.0)


def test_a_large_machine_is_as_loud_as_its_size_says():
    """22 lg D + 72 and 10 lg P + 50, published beside the relation used (from memory): 40 m, 500 kW, 65 m/s, 5 dB."""
    told = noise.sound_power(65.0, 40.0)
    assert told == pytest.approx(22 * math.log10(40.0) + 72, abs=5)
    assert told == pytest.approx(10 * math.log10(500e3) + 50, abs=5)


@given(st.floats(5, 150), st.floats(0.5, 5), st.floats(2, 400), st.floats(1.01, 2))
def test_faster_larger_and_nearer_is_louder(v, D, r, more):
    """Twice as far is 6 dB less, and what the air swallows; twice as fast is 15 dB more."""
    assert noise.sound_power(v * more, D) > noise.sound_power(v, D) < noise.sound_power(v, D * more)
    assert noise.sound_power(2 * v, D) - noise.sound_power(v, D) == pytest.approx(15.05, abs=0.01)
    assert noise.sound_pressure(90.0, r) - noise.sound_pressure(90.0, 2 * r) == pytest.approx(
        6.02 + 0.005 * r, abs=0.01
    )
    assert noise.distance_for(90.0, noise.sound_pressure(90.0, r)) == pytest.approx(r, rel=1e-6)


# --- flight -----------------------------------------------------------------------------------------------------------


def _flown(angle, v, h, L, W):
    """Landing of one throw, by scipy, in three dimensions with the drag of the air that moves along with the wind."""

    def motion(t, y):
        through = y[3:] - np.array([0.0, W, 0.0])
        return [*y[3:], *(-np.linalg.norm(through) / L * through - np.array([0, 0, 9.81]))]

    def lands(t, y):
        return y[2]

    lands.terminal, lands.direction = True, -1
    start = [0, 0, h + 1e-9, v * math.cos(angle), 0, v * math.sin(angle)]
    end = solve_ivp(motion, (0, 200), start, events=lands, rtol=1e-8, atol=1e-8).y_events[0][0]
    return math.hypot(end[0], end[1])


@pytest.mark.parametrize("seed", range(25))
def test_no_throw_in_the_air_goes_further_than_told_and_one_goes_as_far(seed):
    """The best angle found by scipy with scipy's integration: within 1 %."""
    rng = np.random.default_rng(seed)
    v, h, L, W = (
        10 ** rng.uniform(0.7, 2.4),
        rng.uniform(0, 30),
        10 ** rng.uniform(0.7, 3),
        rng.choice([0, 1]) * rng.uniform(0, 45),
    )
    tried = np.linspace(0.0, 80 * DEG, 21)
    far = [_flown(a, v, h, L, W) for a in tried]
    best = tried[int(np.argmax(far))]
    found = minimize_scalar(
        lambda a: -_flown(a, v, h, L, W), bounds=(max(best - 0.08, 0.0), min(best + 0.08, 80 * DEG)), method="bounded"
    )
    assert flight.throw_in_air(v, h, L, W) == pytest.approx(max(*far, -found.fun), rel=0.01, abs=0.05)


@given(st.floats(5, 250), st.floats(0, 40))
def test_without_air_it_is_the_closed_form(v, h):
    """Speed times sqrt(v^2 + 2 g h) / g, Rutgers' v^2 / g on the flat; angles go up to 80 degrees."""
    assert flight.throw_in_air(v, h, 1e9) == pytest.approx(blade.throw_distance(v, h), rel=0.01)


@given(st.floats(3, 250), st.floats(0.1, 40), st.floats(3, 2000), st.floats(0, 45), st.floats(1.05, 2))
def test_air_only_shortens_and_speed_height_mass_and_wind_only_lengthen(v, h, L, W, more):
    """Within the sums' half percent."""
    d = flight.throw_in_air(v, h, L, W)
    assert flight.throw_in_air(v, h, L) <= 1.006 * blade.throw_distance(v, h)
    for other in ((v * more, h, L, 0.0), (v, h * more, L, 0.0), (v, h, L * more, 0.0)):
        assert flight.throw_in_air(*other) >= 0.994 * flight.throw_in_air(v, h, L)
    assert flight.throw_in_air(v, h, L, W * more) >= 0.985 * d - 0.05


def test_many_throws_at_once_are_those_one_by_one():
    """Arrays broadcast."""
    v, L = np.array([20.0, 60.0, 200.0]), np.array([10.0, 24.0, 90.0])
    assert list(flight.throw_in_air(v, 8.0, L, 12.0)) == pytest.approx(
        [flight.throw_in_air(float(a), 8.0, float(b), 12.0) for a, b in zip(v, L, strict=True)]
    )


def test_ice_flies_as_far_as_the_published_rule():
    """1.5 (D + H): some 350 m of a machine of 140 m on 93 m, as a risk presentation has it."""
    assert flight.ice_throw(140.0, 93.0) == pytest.approx(350.0, abs=1)


# --- shelter ----------------------------------------------------------------------------------------------------------


def test_shelter_is_perera_s():
    """As a national laboratory's program computes it (with kappa 0.41), brought to the wind at that height."""
    x, h, z, po, z0 = 100.0, 6.0, 9.0, 0.3, 0.03
    k = 2 * 0.40**2 / math.log(h / z0)
    n = z / h * (k * x / h) ** (-1 / 2.14)
    theirs = 9.75 * (1 - po) * (h / x) * n * math.exp(-0.67 * n**1.5)
    assert shelter.wind_lost(x, z, h, po, z0) == pytest.approx(theirs * (h / z) ** 0.14, rel=1e-9)


@given(st.floats(2, 20), st.floats(5.2, 100), st.floats(1.0, 4), st.floats(0, 0.9), st.floats(0.01, 0.15))
def test_shelter_has_its_limits(H, far, up, porosity, z0):
    """Between nothing and all; none behind what is all holes; none far above or far away; less the more open."""
    lost = shelter.wind_lost(far * H, up * H, H, porosity, z0)
    assert 0 <= lost <= 1
    assert shelter.wind_lost(far * H, up * H, H, 1.0, z0) == 0
    assert shelter.wind_lost(far * H, up * H, H, porosity + 0.05, z0) <= lost
    assert shelter.wind_lost(far * H, 20 * up * H, H, porosity, z0) < 0.02
    assert shelter.wind_lost(2000 * H, up * H, H, porosity, z0) < 0.02


@pytest.mark.parametrize(("x", "H"), [(20.0, 5.0), (50.0, 0.2)])
def test_where_the_relation_does_not_hold_it_is_refused(x, H):
    """Near an obstacle its shape decides; and grass is no obstacle."""
    with pytest.raises(ValueError, match="obstacle"):
        shelter.wind_lost(x, 0.9 * 2 * H, H, 0.0, 0.03)
