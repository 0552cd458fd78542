"""The root finder against scipy's on random functions, and what it promises of any function."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq, elementwise

from calc.physics.roots import bracketed_root

#: Functions of x and a number in 0 to 1, each rising through zero once between 0 and 10.
SHAPES = {
    "straight": lambda x, p: x - 10.0 * p,
    "cube": lambda x, p: (x - 10.0 * p) ** 3,
    "steep": lambda x, p: np.expm1(3.0 * (x - 10.0 * p)),
    "flat far off": lambda x, p: np.arctan(50.0 * (x - 10.0 * p)),
    "kinked": lambda x, p: np.where(x < 10.0 * p, 1e-3, 1e3) * (x - 10.0 * p),
    "root of a distance": lambda x, p: np.sign(x - 10.0 * p) * np.sqrt(np.abs(x - 10.0 * p)),
    "wall": lambda x, p: (x - 10.0 * p) / (10.0 + 1e-6 - x),
}


@pytest.mark.parametrize("name", SHAPES)
@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(0.01, 0.99), min_size=1, max_size=40))
def test_random_functions_against_brent(name, places):
    """scipy.optimize.brentq, one at a time, finds the same roots to 1e-9."""
    p = np.array(places)
    got = bracketed_root(lambda x: SHAPES[name](x, p), np.zeros(len(p)), np.full(len(p), 10.0))
    for x, one in zip(got, p, strict=True):
        theirs = brentq(lambda x, one=one: float(SHAPES[name](x, one)), 0.0, 10.0, xtol=1e-13, maxiter=1000)
        assert x == pytest.approx(theirs, abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6))
def test_random_polynomials_against_chandrupatla(seed):
    """scipy.optimize.elementwise.find_root on polynomials of the fifth degree that change sign between -1 and 1."""
    c = np.random.default_rng(seed).normal(size=(300, 6))

    def f(x, *c):
        return c[0] + x * (c[1] + x * (c[2] + x * (c[3] + x * (c[4] + x * c[5]))))

    c = c[f(-1.0, *c.T) * f(1.0, *c.T) < 0]
    low, high = np.full(len(c), -1.0), np.ones(len(c))
    got = bracketed_root(lambda x: f(x, *c.T), low, high, only=lambda which: lambda x: f(x, *c[which].T))
    theirs = elementwise.find_root(f, (low, high), args=tuple(c.T)).x
    steep = np.abs(f(got, *c.T)) / np.maximum(np.abs(c).sum(axis=1), 1.0)
    # Where there are three roots, the two may find different ones.
    same = np.abs(got - theirs) < 1e-7
    assert np.all(steep < 1e-11)
    assert same.mean() > 0.9
    assert np.all((got >= -1.0) & (got <= 1.0))


def counted(f):
    """The function, and how often each entry of it was asked for."""
    calls = []

    def g(x):
        calls.append(np.size(x))
        return f(x)

    return g, calls


@pytest.mark.parametrize("name", SHAPES)
def test_no_function_takes_long(name):
    """Smooth ones are quick; triple roots and sharp bends, which no straight line fits, still end."""
    p = np.linspace(0.01, 0.99, 99)
    f, calls = counted(lambda x: SHAPES[name](x, p))
    bracketed_root(f, np.zeros(99), np.full(99, 10.0))
    assert len(calls) <= {"straight": 8, "wall": 8, "flat far off": 25, "steep": 35}.get(name, 170)


@settings(max_examples=100, deadline=None)
@given(st.integers(0, 10**6), st.sampled_from([1e-12, 1e-6, 1e-3]))
def test_a_jump_is_closed_in_on(seed, rtol):
    """Where a function jumps through zero the place of the jump is found, in no more than 250 steps."""
    at = np.random.default_rng(seed).uniform(1.0, 9.0, 20)
    f, calls = counted(lambda x: np.where(x < at, -1e9, 1.0))
    got = bracketed_root(f, np.zeros(20), np.full(20, 10.0), rtol=rtol)
    assert np.all(np.abs(got - at) <= rtol * at + 1e-15)
    assert len(calls) <= 252


def test_a_variant_does_not_depend_on_its_company():
    """Together, alone, and with those dropped that are found: the same to the last digit."""
    p = np.random.default_rng(2).uniform(0.01, 0.99, 200)
    f = SHAPES["steep"]
    low, high = np.zeros(200), np.full(200, 10.0)
    together = bracketed_root(lambda x: f(x, p), low, high)
    dropped = bracketed_root(lambda x: f(x, p), low, high, only=lambda which: lambda x: f(x, p[which]))
    assert together == pytest.approx(dropped, rel=1e-14)
    for i in (0, 77, 199):
        assert bracketed_root(lambda x, i=i: f(x, p[i]), 0.0, 10.0) == pytest.approx(together[i], rel=1e-14)


def test_found_roots_are_dropped():
    """With ``only``, easy variants are no longer asked for once they are found."""
    power = np.array([1.0] * 99 + [9.0])
    sizes = []

    def among(which):
        def f(x):
            sizes.append(x.size)
            return np.sign(x - 3.0) * np.abs(x - 3.0) ** power[which]

        return f

    bracketed_root(among(np.arange(100)), np.zeros(100), np.full(100, 10.0), only=among)
    assert sizes.count(1) > 3 * sizes.count(100)


def test_bounds_either_way_and_any_shape():
    """Falling functions, bounds from right to left, two axes, and plain numbers."""
    assert bracketed_root(lambda x: 2.0 - x, 0.0, 5.0) == 2.0
    assert bracketed_root(lambda x: x - 2.0, 5.0, 0.0) == 2.0
    targets = np.arange(6.0).reshape(2, 3)
    got = bracketed_root(lambda x: x**2 - targets, np.zeros((2, 3)), 10.0)
    assert got.shape == (2, 3)
    assert got == pytest.approx(np.sqrt(targets), abs=1e-9)


def test_bounds_that_are_roots_and_bounds_without_width():
    """They are the answer as they stand."""
    ends = np.array([1.0, 4.0, 7.0]), np.array([2.0, 5.0, 7.0])
    got = bracketed_root(lambda x: np.array([x[0] - 1.0, x[1] - 5.0, 99.0]), *ends)
    assert got.tolist() == [1.0, 5.0, 7.0]


def test_near_enough_is_enough():
    """``ftol`` ends the search where the function is small, before the bracket is."""
    f, calls = counted(lambda x: (x - 3.0) ** 3)
    x = bracketed_root(f, 0.0, 10.0, ftol=1e-3)
    assert abs(x - 3.0) <= 0.1
    assert len(calls) < 25


@pytest.mark.parametrize(
    ("f", "low", "high"),
    [
        (lambda x: x**2 + 1.0, -1.0, 1.0),
        (lambda x: x + np.array([0.0, 5.0]), np.full(2, -1.0), np.ones(2)),
        (lambda x: x * np.nan, -1.0, 1.0),
    ],
    ids=["none", "one of two", "not a number"],
)
def test_no_change_of_sign_is_refused(f, low, high):
    """Nothing is made up."""
    with pytest.raises(ValueError, match="change sign"):
        bracketed_root(f, low, high)
