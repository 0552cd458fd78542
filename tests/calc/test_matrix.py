"""Weighted comparison of options."""

import numpy as np
import pytest

from calc.evidence.matrix import marks, rank

# records.md, decision records: weights 5, 3, 2; A 3, 4, 5 gives 3.7, B 4, 4, 2 gives 3.6; with the first weight
# at 6 both come to 40 / 11. Arithmetic of the weighted mean.
SCORES = np.array([[3.0, 4.0, 5.0], [4.0, 4.0, 2.0]])


def test_weighted_means():
    """Totals are the weighted means of the marks."""
    assert rank(SCORES, np.array([5.0, 3.0, 2.0])).totals == pytest.approx([3.7, 3.6])


def test_a_tie_at_a_fifth_more_is_no_firm_lead():
    """The first weight raised by a fifth draws both level, so the choice is not robust."""
    found = rank(SCORES, np.array([5.0, 3.0, 2.0]))
    assert found.leader == 0
    assert (0, 0.2) in found.turning
    assert found.turning != ()


def test_a_clear_lead_is_robust():
    """An option better in everything leads whatever the weights."""
    found = rank(np.array([[9.0, 9.0], [1.0, 2.0]]), np.array([1.0, 5.0]))
    assert (found.leader, found.turning) == (0, ())


def test_a_missing_mark_is_not_nothing():
    """An option without a mark has no total, and cannot lead or threaten the lead."""
    found = rank(np.array([[np.nan, 9.0], [1.0, 2.0]]), np.array([1.0, 1.0]))
    assert np.isnan(found.totals[0])
    assert (found.leader, found.turning) == (1, ())


def test_less_can_be_better():
    """The cheapest gets ten marks, the dearest none."""
    assert marks(np.array([100.0, 150.0, 200.0]), more_is_better=False).tolist() == [10.0, 5.0, 0.0]


@pytest.mark.parametrize("weights", [np.array([1.0]), np.array([1.0, 0.0, 1.0]), np.array([1.0, -1.0, 1.0])])
def test_weights_must_fit(weights):
    """One positive weight for each criterion."""
    with pytest.raises(ValueError, match="one positive weight"):
        rank(SCORES, weights)
