"""What is remembered by its numbers is what would be computed anew."""

from dataclasses import dataclass

import numpy as np
import pytest

from calc.physics.remembered import remembered


@dataclass(frozen=True)
class Pair:
    """Two numbers."""

    a: object
    b: object = None


@pytest.fixture
def sums():
    """A function that remembers two results, and what it was called with."""
    calls = []

    @remembered(2)
    def total(x, y=0.0):
        calls.append((x, y))
        return np.asarray(x.a if isinstance(x, Pair) else x) + y

    return total, calls


DIFFERENT = [
    (np.array([1.0, 2.0]),),
    (np.array([1.0, 2.5]),),
    (np.array([[1.0, 2.0]]),),
    (np.array([1.0, 2.0], dtype=np.float32),),
    (np.array([1, 2]),),
    (np.array([1.0, 2.0]), 1.0),
    (Pair(np.array([1.0, 2.0])),),
    (Pair(np.array([1.0, 2.0]), "word"),),
    (Pair(np.array([1.0, 2.0]), (None, "word")),),
    (Pair(np.array([1.0, 2.0]), ("word", None)),),
    (1.0,),
    (-0.0,),
    (0.0,),
]


@pytest.mark.parametrize("i", range(len(DIFFERENT)))
def test_no_two_different_things_are_taken_for_the_same(sums, i):
    """A number, a shape, a kind, a word or its place is enough."""
    total, calls = sums
    for other in DIFFERENT:
        calls.clear()
        total(*DIFFERENT[i])
        before = len(calls)
        total(*other)
        assert len(calls) - before == (other is not DIFFERENT[i])
        total(np.array([9.0])), total(np.array([8.0]))


def test_the_same_is_computed_once_and_cannot_be_changed(sums):
    """By place or by name, from arrays that are others but equal."""
    total, calls = sums
    first = total(np.array([1.0, 2.0]), y=3.0)
    assert total(np.array([1.0, 2.0]), y=3.0) is first
    assert len(calls) == 1
    with pytest.raises(ValueError, match="read-only"):
        first[0] = 7.0


def test_the_oldest_is_let_go(sums):
    """What was used lately stays."""
    total, calls = sums
    for x in (1.0, 2.0, 1.0, 3.0, 1.0, 2.0):
        total(x)
    assert [x for x, _ in calls] == [1.0, 2.0, 3.0, 2.0]
