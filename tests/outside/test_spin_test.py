"""The back-EMF constant of a spin test against numpy's straight line and many drawn errors; what an attempt shows."""

import math

import numpy as np
import pytest

from calc.evidence.spin_test import (
    SpinTest,
    constant_from_spins,
    constant_through_standstill,
    resistance_from_load,
    slope_in_the_middle,
)
from calc.evidence.uncertainty import LimitedReading
from journal.book.attempts import AttemptTyped, log_attempt
from journal.book.measurements import MeasurementTyped, log_measurement
from journal.screens.record import gather_record

RPM = math.pi / 30.0
SPEEDS = np.array([200.0, 350.0, 500.0, 800.0]) * RPM
K, KEPT = 0.154, 1.1
#: Scatter about the line, in volts.
OFF = np.array([0.02, -0.03, 0.0, 0.01])


def readings(values, share, meter):
    """Readings by one meter, within a share of themselves."""
    return [LimitedReading(x * (1 - share), x, x * (1 + share), meter) for x in values]


def test_the_line_is_that_of_least_squares():
    """numpy.polyfit through the same points; without doubt in the readings the scatter about it is what is left.

    Standard errors of slope and intercept as in any textbook of statistics, s / sqrt(Sxx) and so on; from memory.
    """
    V = K * SPEEDS - KEPT + OFF
    got = constant_from_spins(readings(SPEEDS, 0.0, "t"), readings(V, 0.0, "m"))
    (slope, at_zero), covariance = np.polyfit(SPEEDS, V, 1, cov=True)
    assert (got.k, got.kept) == pytest.approx((slope, -at_zero))
    assert (got.U_k, got.U_kept) == pytest.approx(tuple(2.0 * np.sqrt(np.diag(covariance))), rel=1e-6)


def test_meters_that_err_alike_against_drawn_errors():
    """20,000 pairs of meters, each wrong by one share of its limits at all speeds, drawn evenly (GUM supplement 1)."""
    V = K * SPEEDS - KEPT
    got = constant_from_spins(readings(SPEEDS, 0.02, "tachometer"), readings(V, 0.01, "meter"))
    rng = np.random.default_rng(1)
    a, b = rng.uniform(-1, 1, (2, 20000, 1))
    w, v = SPEEDS * (1 + 0.02 * a), V * (1 + 0.01 * b)
    w_off, v_off = (x - x.mean(axis=1, keepdims=True) for x in (w, v))
    slopes = (w_off * v_off).sum(axis=1) / (w_off**2).sum(axis=1)
    kept = slopes * w.mean(axis=1) - v.mean(axis=1)
    assert got.U_k == pytest.approx(2.0 * slopes.std(), rel=0.02)
    assert got.U_kept == pytest.approx(2.0 * kept.std(), rel=0.02)


def test_errors_of_one_meter_do_not_average_away():
    """A hundred readings by one meter are no surer than it is; by a hundred meters they are."""
    speeds, V = np.linspace(10.0, 90.0, 100), K * np.linspace(10.0, 90.0, 100)
    one = constant_from_spins(readings(speeds, 0.0, "t"), readings(V, 0.01, "m"))
    many = constant_from_spins(readings(speeds, 0.0, "t"), readings(V, 0.01, ""))
    assert one.U_k / one.k == pytest.approx(2.0 * 0.01 / math.sqrt(3.0))
    assert many.U_k < 0.3 * one.U_k


def test_one_speed_again_and_again_gives_the_mean_of_the_ratios():
    """Nothing can then be said of diodes; the scatter of the ratios counts (GUM 4.2), and the limits of the meters."""
    V = np.array([9.0, 9.1, 8.9, 9.0])
    got = constant_from_spins(readings([60.0] * 4, 0.01, "t"), readings(V, 0.01, "m"))
    u = math.hypot(0.15 * 0.01 * math.sqrt(2.0 / 3.0), np.std(V / 60.0, ddof=1) / 2.0)
    assert (got.k, got.U_k, got.kept) == (pytest.approx(0.15), pytest.approx(2.0 * u, rel=1e-3), None)


@pytest.mark.parametrize(("speeds", "volts"), [([1.0], [1.0]), ([1.0, 2.0], [1.0]), ([0.0, 2.0], [0.0, 1.0])])
def test_what_is_no_spin_test_is_refused(speeds, volts):
    """Two pairs, and a shaft that turns."""
    with pytest.raises(ValueError, match=r"pairs|positive"):
        constant_from_spins(readings(speeds, 0.01, "t"), readings(volts, 0.01, "m"))


def spun(s, pairs, load="nothing connected"):
    """An attempt with a table of speeds and voltages; None where one was not read."""
    a = log_attempt(s, AttemptTyped("spun it with a drill", load_state=load))
    for rpm, volts in pairs:
        for quantity, typed in (("rotor.speed", rpm), ("generator.open_voltage", volts)):
            missing = "slipped" if typed is None else None
            log_measurement(s, MeasurementTyped(quantity, typed, attempt=a.ref, missing=missing))
    return gather_record(s, a.ref)


def test_an_attempt_shows_the_constant_of_its_spins(s):
    """300, 600 and 900 rpm, 3.9, 8.7 and 13.6 V: 4.85 V for 300 rpm, so 61.9 rpm a volt, and 0.97 V lost; by hand."""
    view = spun(s, [("300 rpm", "3.9 V"), ("600 rpm", "8.7 V"), (None, "11 V"), ("900 rpm", "13.6 V")])
    (told,) = view.data["derived"]
    assert told.value == pytest.approx(4.85 / (300.0 * RPM))
    assert told.refs == ("M1", "M2", "M3", "M4", "M7", "M8")
    assert "by 3 pairs of speed and voltage: 61.9 rpm/V ± " in told.text
    assert "0.97 V" in told.text
    assert told.text in dict(view.sections)["Worked out from these, 95 in 100 within the limits"]


@pytest.mark.parametrize(
    ("pairs", "load"),
    [
        ([("300 rpm", "3.9 V")], "battery"),
        ([("300 rpm", "3.9 V"), ("600 rpm", "8.7 V")], "battery"),
        ([("300 rpm", "3.9 V"), ("600 rpm", None)], "nothing connected"),
    ],
    ids=["loaded pair", "loaded", "one pair left"],
)
def test_no_constant_without_a_spin_test(s, pairs, load):
    """Under load, or with a single pair, no line can be drawn."""
    assert not any("pairs of speed" in told.text for told in spun(s, pairs, load).data["derived"])


GOOD = [("300 rpm", "3.9 V"), ("600 rpm", "8.7 V"), ("750 rpm", "11.1 V"), ("900 rpm", "13.6 V")]


@pytest.mark.parametrize("wrong", range(4))
def test_a_pair_that_fits_none_of_the_others_is_named(wrong):
    """Whichever it is: its volts were read on the wrong range, half as high."""
    V = K * SPEEDS - KEPT
    assert constant_from_spins(readings(SPEEDS, 0.01, "t"), readings(V, 0.01, "m")).off == ()
    V[wrong] /= 2.0
    assert constant_from_spins(readings(SPEEDS, 0.01, "t"), readings(V, 0.01, "m")).off == (wrong,)


def test_limits_decide_what_fits():
    """A tenth of a volt off, by meters that err by less, or by more."""
    V = K * SPEEDS - KEPT
    V[1] += 0.1
    assert constant_from_spins(readings(SPEEDS, 0.001, "t"), readings(V, 0.001, "m")).off == (1,)
    assert constant_from_spins(readings(SPEEDS, 0.02, "t"), readings(V, 0.02, "m")).off == ()


def test_of_three_pairs_nobody_can_say_which_is_wrong(s):
    """Any two lie on a line; that the three do not is told beside the constant."""
    (told,) = spun(s, [("300 rpm", "3.9 V"), ("600 rpm", "10 V"), ("900 rpm", "13.6 V")]).data["derived"]
    assert "Do not rely on it: " in told.text
    assert "do not lie on one line" in told.text


def test_a_constant_says_which_pair_fits_nothing(s):
    """Four pairs, the third misread; withdrawn, the others tell what they did before."""
    (told,) = spun(s, [*GOOD[:2], ("750 rpm", "9.1 V"), GOOD[3]]).data["derived"]
    assert "Do not rely on it: M5 and M6 fit none of the others" in told.text


@pytest.mark.parametrize(
    ("pairs", "words"),
    [
        ([("300 rpm", "8.7 V"), ("600 rpm", "3.9 V")], "do not rise with speed"),
        ([("300 rpm", "9 V"), ("600 rpm", "10 V")], "do not rise with speed"),
        ([*GOOD[:3], ("900 rpm", "1.36 V")], "M7 and M8 lie furthest off"),
        ([*GOOD, (None, None)], None),
        ([("300 rpm", "3.9 V"), ("600 rpm", None)], "two or more pairs"),
    ],
    ids=["falling", "volts at standstill", "one far off", "none read", "half"],
)
def test_no_constant_without_its_reason(s, pairs, words):
    """Readings that no generator gives, and pairs that are not whole."""
    data = spun(s, pairs).data
    assert len(data["derived"]) == (words is None)
    assert [words in u.text for u in data["not_worked_out"]] == ([True] if words else [])


def test_speeds_and_voltages_that_do_not_pair_off_are_told(s):
    """Three of the one and two of the other; which belong together nobody can say."""
    a = log_attempt(s, AttemptTyped("spun it", load_state="nothing connected"))
    for quantity, typed in (
        ("rotor.speed", "300 rpm"), ("rotor.speed", "600 rpm"), ("rotor.speed", "900 rpm"),
        ("generator.open_voltage", "3.9 V"), ("generator.open_voltage", "8.7 V"),
    ):  # fmt: skip
        log_measurement(s, MeasurementTyped(quantity, typed, attempt=a.ref))
    (why,) = gather_record(s, a.ref).data["not_worked_out"]
    assert (why.refs, "3 of speed and 2 of voltage make no pairs" in why.text) == (("M1", "M2", "M3", "M4", "M5"), True)


def test_the_slope_in_the_middle_is_that_of_theil_and_sen():
    """scipy.stats.theilslopes through the same points, one of them misread; the slope is hardly moved by it."""
    from scipy import stats

    V = K * SPEEDS - KEPT + OFF
    V[2] *= 10.0
    got = slope_in_the_middle(list(SPEEDS), list(V))
    assert got == pytest.approx(stats.theilslopes(V, SPEEDS).slope)
    clean = slope_in_the_middle(list(SPEEDS), list(K * SPEEDS - KEPT))
    assert clean == pytest.approx(K)


def test_the_line_through_standstill_is_that_of_least_squares():
    """numpy.linalg.lstsq without a constant; its standard error, s / sqrt(sum of squares), from memory."""
    V = K * SPEEDS + OFF
    got = constant_through_standstill(readings(SPEEDS, 0.0, "t"), readings(V, 0.0, "m"))
    (slope,), (rest,), *_ = np.linalg.lstsq(SPEEDS[:, None], V, rcond=None)
    s = math.sqrt(rest / (len(V) - 1))
    assert (got.k, got.U_k) == pytest.approx((slope, 2.0 * s / math.sqrt(np.sum(SPEEDS**2))))


def test_the_resistance_under_load_against_drawn_errors():
    """20,000 sets of readings, each wrong evenly within its limits (GUM supplement 1): value and doubt agree."""
    R, amps = 0.4, np.array([1.0, 3.0, 5.0, 8.0])
    V = K * SPEEDS - KEPT - R * amps
    test = SpinTest(K, 0.0, KEPT, 0.0)
    got = resistance_from_load(test, readings(SPEEDS, 0.0, ""), readings(V, 0.002, ""), readings(amps, 0.01, ""))
    draw = np.random.default_rng(5)
    v, i = (x * (1 + share * draw.uniform(-1, 1, (20_000, len(x)))) for x, share in ((V, 0.002), (amps, 0.01)))
    many = np.sum(i * (K * SPEEDS - KEPT - v), axis=1) / np.sum(i * i, axis=1)
    assert got[0] == pytest.approx(R, rel=1e-6)
    assert got[1] == pytest.approx(2.0 * np.std(many), rel=0.03)


@pytest.mark.parametrize("amps", [[0.0, 0.0], [2.0]])
def test_no_resistance_without_current(amps):
    """Two lines under load are wanted, and a current in one of them."""
    some = readings(amps, 0.0, "")
    with pytest.raises(ValueError, match=r"pairs|zeros"):
        resistance_from_load(SpinTest(K, 0.0), some, some, some)


@pytest.mark.parametrize("speeds", [[10.0], [10.0, 10.0]])
def test_no_slope_without_two_speeds(speeds):
    """One speed tells none."""
    with pytest.raises(ValueError, match="two speeds"):
        slope_in_the_middle(speeds, speeds)
