"""Uncertainty against worked examples of the GUM and statements of meter makers."""

import numpy as np
import pytest

from calc.evidence import uncertainty as un

# JCGM 100:2008 (GUM), H.2, Table H.2: voltage [V], current [mA] and phase [rad] read together. From memory.
V = [5.007, 4.994, 5.005, 4.990, 4.999]
I = [19.663, 19.639, 19.640, 19.685, 19.678]
PHI = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433]
MEANS = [(V, 4.9990, 0.0032), (I, 19.6610, 0.0095), (PHI, 1.04446, 0.00075)]


@pytest.mark.parametrize(("read", "mean", "u"), MEANS, ids=["voltage", "current", "phase"])
def test_gum_h2_means(read, mean, u):
    """Means and their standard uncertainties as printed."""
    got, by = un.of_mean(read)
    assert got == pytest.approx(mean, abs=5e-6 * mean)
    assert by == pytest.approx(u, abs=0.5 * 10 ** np.floor(np.log10(u) - 1) * 1.01)


def test_gum_h2_correlations():
    """r(V,I) -0.36, r(V,phi) 0.86, r(I,phi) -0.65; to three figures from our own arithmetic on the same readings."""
    r = un.correlations(V, I, PHI)
    assert (r[0, 1], r[0, 2], r[1, 2]) == pytest.approx((-0.355, 0.858, -0.645), abs=6e-4)


# GUM H.2, Table H.4: R = V/I cos phi, X = V/I sin phi, Z = V/I, in ohm. The GUM prints 0.295 for X, from rounded parts.
IMPEDANCE = [
    ("resistance", lambda v, i, phi: v / i * 1e3 * np.cos(phi), 127.732, 0.071),
    ("reactance", lambda v, i, phi: v / i * 1e3 * np.sin(phi), 219.847, 0.2955),
    ("impedance", lambda v, i, phi: v / i * 1e3, 254.260, 0.236),
]


@pytest.mark.parametrize(("name", "f", "value", "u"), IMPEDANCE, ids=[row[0] for row in IMPEDANCE])
def test_gum_h2_impedance(name, f, value, u):
    """First-order propagation with the correlations of the readings."""
    means, by = zip(*(un.of_mean(x) for x in (V, I, PHI)), strict=True)
    got, u_c = un.propagated(f, means, by, un.correlations(V, I, PHI))
    assert got == pytest.approx(value, abs=6e-4)
    assert u_c == pytest.approx(u, abs=6e-4)


@pytest.mark.parametrize(("f", "u"), [(IMPEDANCE[0][1], 0.195), (IMPEDANCE[2][1], 0.204)], ids=["R", "Z"])
def test_correlation_left_out_is_wrong_by_far(f, u):
    """Without it the resistance seems 2.7 times as doubtful, the impedance too sure (own arithmetic on H.2)."""
    means, by = zip(*(un.of_mean(x) for x in (V, I, PHI)), strict=True)
    assert un.propagated(f, means, by)[1] == pytest.approx(u, abs=1e-3)


def test_gum_voltmeter():
    """GUM 4.3.7 and 5.1.5, from memory: 12 uV of scatter, limits 14e-6 of reading + 2e-6 of 1 V: 15 uV in all."""
    limit = un.Accuracy(of_reading=14e-6, of_range=2e-6).limit(0.928571, full_scale=1.0)
    assert limit == pytest.approx(15.0e-6, rel=1e-3)
    assert un.standard(limit) == pytest.approx(8.7e-6, abs=5e-8)
    assert un.combined([1.0, 1.0], [12e-6, un.standard(limit)]) == pytest.approx(15e-6, abs=5e-7)


def test_gum_ten_resistors():
    """GUM 5.2.2, from memory: ten resistors compared with one standard, r = 1: 1 ohm in series, not 0.32."""
    assert un.combined(np.ones(10), np.full(10, 0.1), np.ones((10, 10))) == pytest.approx(1.0)
    assert un.combined(np.ones(10), np.full(10, 0.1)) == pytest.approx(0.316, abs=1e-3)


def test_power_from_a_cheap_meter():
    """12.34 V and 3.21 A by 0.8 % + 5 and 1.5 % + 5 digits, own arithmetic with the GUM's rules: (39.6 +- 1.5) W."""
    a = [
        un.accuracy("0.8 % + 5 digits").limit(12.34, resolution=0.01),
        un.accuracy("1.5 % + 5 digits").limit(3.21, resolution=0.01),
    ]
    assert a == pytest.approx([0.14872, 0.09815])
    P, u = un.propagated(lambda v, i: v * i, [12.34, 3.21], [un.standard(x) for x in a])
    assert (P, u) == pytest.approx((39.611, 0.752), abs=1e-3)
    assert un.rounded(P, un.expanded(u)) == ("39.6", "1.5")


# Meter statements: (accuracy, reading, last digit, end of range, limit, source).
STATEMENTS = [
    ("1 % + 3 digits", 120.0, 0.1, 0.0, 1.5, "Fluke support article KA-03135, in a reproduction"),
    ("0.8 % + 2 counts", 100.0, 0.1, 0.0, 1.0, "page on the accuracy of digital multimeters, in a reproduction"),
    ("0.8% + 5 digits", 0.50, 0.01, 0.0, 0.054, "own arithmetic: a tenth of so low a reading"),
    ("2.5 % of full scale", 10.0, 0.0, 50.0, 1.25, "needle instruments, share of full scale; common practice"),
    ("± (0.5 % + 0.2 % of range + 1 digit)", -10.0, 0.01, 20.0, 0.10, "own arithmetic; the sign does not matter"),
]


@pytest.mark.parametrize(
    ("text", "value", "digit", "scale", "limit", "source"), STATEMENTS, ids=[s[0] for s in STATEMENTS]
)
def test_what_data_sheets_state(text, value, digit, scale, limit, source):
    """As the maker works it out."""
    assert un.accuracy(text).limit(value, digit, scale) == pytest.approx(limit)


@pytest.mark.parametrize("text", ["", "good", "0.8", "3 % + ", "5 volts", "1 % - 2 digits"])
def test_what_is_no_statement_is_refused(text):
    """Rather than read as something else."""
    with pytest.raises(ValueError, match="not an accuracy"):
        un.accuracy(text)


@pytest.mark.parametrize(("text", "more"), [("1 % + 3 digits", "last digit"), ("2 % of range", "end of the range")])
def test_a_statement_asks_for_what_it_needs(text, more):
    """Counts need the last digit, a share of the range its end."""
    with pytest.raises(ValueError, match=more):
        un.accuracy(text).limit(1.0)


# GUM 7.2.6, from memory: two figures at most; the value to the same place.
ROUNDED = [
    (127.7319, 0.0710, ("127.732", "0.071")),
    (10.0, 0.0996, ("10.00", "0.10")),
    (98765.0, 1234.0, ("98800", "1200")),
    (-3.14159, 0.02, ("-3.142", "0.020")),
]


@pytest.mark.parametrize(("value", "u", "wanted"), ROUNDED, ids=[str(r[0]) for r in ROUNDED])
def test_rounding(value, u, wanted):
    """Also where rounding carries over into another figure."""
    assert un.rounded(value, u) == wanted


def test_arrays_pass_through():
    """Limits and standard uncertainties of many readings at once."""
    got = un.standard(un.accuracy("1 % + 1 digit").limit(np.array([1.0, 10.0]), 0.1))
    assert got == pytest.approx(np.array([0.11, 0.2]) / np.sqrt(3.0))


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: un.standard(-1.0),
        lambda: un.standard(1.0, "normal"),
        lambda: un.combined([1.0], [-1.0]),
        lambda: un.combined([1.0, 1.0], [1.0, 1.0], np.array([[1.0, 2.0], [2.0, 1.0]])),
        lambda: un.combined([1.0, 1.0], [1.0, 1.0], np.ones((3, 3))),
        lambda: un.of_mean([1.0]),
        lambda: un.rounded(1.0, float("nan")),
        lambda: un.expanded(1.0, 0.0),
    ],
    ids=["limit", "shape", "negative", "beyond 1", "size", "single", "nan", "cover"],
)
def test_what_makes_no_sense_is_refused(wrong):
    """Never clipped, never guessed."""
    with pytest.raises(ValueError, match=r"."):
        wrong()
