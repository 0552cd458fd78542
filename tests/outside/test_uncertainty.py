"""Uncertainty against worked examples of the GUM and statements of meter makers."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.evidence import uncertainty as un

# JCGM 100:2008 (GUM), H.2, Table H.2: voltage [V], current [mA] and phase [rad] read together. From memory.
V = [5.007, 4.994, 5.005, 4.990, 4.999]
I = [19.663, 19.639, 19.640, 19.685, 19.678]
PHI = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433]
MEANS = [(V, 4.9990, 0.0032), (I, 19.6610, 0.0095), (PHI, 1.04446, 0.00075)]


@pytest.mark.parametrize(("read", "mean", "u"), MEANS, ids=["voltage", "current", "phase"])
def test_gum_h2_means(read, mean, u):
    """Means and their standard uncertainties as printed."""
    got, by = un.mean_with_scatter(read)
    assert got == pytest.approx(mean, abs=5e-6 * mean)
    assert by == pytest.approx(u, abs=0.5 * 10 ** np.floor(np.log10(u) - 1) * 1.01)


def within(value, half, meter=""):
    """A reading within limits on either side."""
    return un.LimitedReading(value - half, value, value + half, meter)


def test_gum_voltmeter():
    """GUM 4.3.7 and 5.1.5, from memory: 12 uV of scatter, limits 14e-6 of reading + 2e-6 of 1 V: 15 uV in all."""
    limit = un.Accuracy(of_reading=14e-6, of_range=2e-6).limit(0.928571, full_scale=1.0)
    assert limit == pytest.approx(15.0e-6, rel=1e-3)
    assert un.standard(limit) == pytest.approx(8.7e-6, abs=5e-8)
    y, U = un.propagated(lambda mean, off: mean + off, [within(0.0, 12e-6 * 3**0.5), within(0.0, limit)])
    assert (y, U / 2.0) == pytest.approx((0.0, 15e-6), abs=5e-7)


def test_gum_ten_resistors():
    """GUM 5.2.2, from memory: ten resistors compared with one standard, r = 1: 1 ohm in series, not 0.32."""
    half = 0.1 * 3**0.5
    for meter, u in (("standard", 1.0), ("", 0.316)):
        R, U = un.propagated(lambda *R: sum(R), [within(1000.0, half, meter)] * 10)
        assert pytest.approx((10000.0, u), abs=1e-3) == (R, U / 2.0)


def test_shared_error_cancels_in_a_ratio():
    """GUM F.1.2.3, from memory: what two readings of one meter share falls out of their ratio."""
    alike = [within(5.0, 0.05, "meter"), within(10.0, 0.1, "meter")]
    assert un.propagated(lambda a, b: a / b, alike)[1] == pytest.approx(0.0, abs=1e-7)
    apart = [within(5.0, 0.05), within(10.0, 0.1)]
    assert un.propagated(lambda a, b: a / b, apart)[1] == pytest.approx(2 * 0.5 * 0.01 * (2 / 3) ** 0.5, rel=1e-4)


def test_power_from_a_cheap_meter():
    """12.34 V and 3.21 A by 0.8 % + 5 and 1.5 % + 5 digits, own arithmetic with the GUM's rules: (39.6 +- 1.5) W."""
    a = [
        un.accuracy("0.8 % + 5 digits").limit(12.34, resolution=0.01),
        un.accuracy("1.5 % + 5 digits").limit(3.21, resolution=0.01),
    ]
    assert a == pytest.approx([0.14872, 0.09815])
    P, U = un.propagated(lambda v, i: v * i, [within(12.34, a[0]), within(3.21, a[1])])
    assert pytest.approx((39.611, 1.504), abs=1e-3) == (P, U)


def test_uneven_limits_count_by_half_their_distance():
    """GUM 4.3.8, from memory, without the shift of the mean: 5.6 with limits 5.3 and 6.1."""
    y, U = un.propagated(lambda x: x, [un.LimitedReading(5.3, 5.6, 6.1)])
    assert (y, U) == pytest.approx((5.6, 2 * 0.4 / 3**0.5))


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.floats(0.5, 50.0), st.floats(0.0, 0.05), st.sampled_from(["", "A", "B"])), min_size=2,
             max_size=5)
)  # fmt: skip
def test_propagation_against_the_law_written_out(drawn):
    """u^2 = sum of c_i c_j u_i u_j r_ij (GUM equation 16) for a product, r = 1 for readings of one meter."""
    readings = [within(x, share * x, meter) for x, share, meter in drawn]
    y, U = un.propagated(lambda *x: float(np.prod(x)), readings)
    parts = np.array([y / x * share * x / 3**0.5 for x, share, _ in drawn])
    meters = [meter for _, _, meter in drawn]
    r = np.array([[float(i == j or (a == b != "")) for j, b in enumerate(meters)] for i, a in enumerate(meters)])
    assert pytest.approx(2.0 * np.sqrt(parts @ r @ parts), rel=1e-6, abs=1e-9) == U


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


def test_arrays_pass_through():
    """Limits and standard uncertainties of many readings at once."""
    got = un.standard(un.accuracy("1 % + 1 digit").limit(np.array([1.0, 10.0]), 0.1))
    assert got == pytest.approx(np.array([0.11, 0.2]) / np.sqrt(3.0))


@pytest.mark.parametrize("wrong", [lambda: un.standard(-1.0), lambda: un.mean_with_scatter([1.0])])
def test_what_makes_no_sense_is_refused(wrong):
    """Never clipped, never guessed."""
    with pytest.raises(ValueError, match=r"."):
        wrong()
