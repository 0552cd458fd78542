"""Scores of predictions, and the risk matrix, against published definitions."""

import pytest

from calc.evidence import scores, severity

# Brier score, mean of (p - o)^2: the form is published in any text on forecasts; the sums are plain arithmetic.
BRIER = [
    ([0.7, 0.9, 0.4], [1, 1, 0], 0.086667),
    ([0.5] * 8, [1, 0] * 4, 0.25),
    ([1.0, 0.0], [1, 0], 0.0),
    ([1.0, 0.0], [0, 1], 1.0),
]


@pytest.mark.parametrize(("p", "o", "score"), BRIER)
def test_brier_score(p, o, score):
    """0 is best, always one half scores a quarter, surely wrong scores one."""
    assert scores.brier(p, o) == pytest.approx(score, abs=5e-7)


def test_calibration_needs_twenty():
    """Under twenty resolved only the count is given."""
    assert scores.calibration([0.8] * 19, [1] * 19) == scores.Calibration(19, ())
    assert scores.calibration([], []) == scores.Calibration(0, ())
    assert scores.calibration([0.8] * 20, [1] * 20).bins != ()


def test_calibration_counts_each_once():
    """Bins of a fifth; a share on an edge belongs above it, one to the last."""
    p = [0.0, 0.1, 0.2, 0.6, 0.6, 0.79, 0.8, 1.0] * 3
    o = [0, 0, 1, 1, 0, 1, 1, 1] * 3
    table = scores.calibration(p, o)
    assert table.count == 24
    assert [(round(b.low, 1), b.count, round(b.came_true, 3)) for b in table.bins] == [
        (0.0, 6, 0.0), (0.2, 3, 1.0), (0.6, 9, 0.667), (0.8, 6, 1.0),
    ]  # fmt: skip
    assert sum(b.count for b in table.bins) == table.count


@pytest.mark.parametrize(("p", "o", "wanted"), [([0.9, 0.7], [1, 0], 0.3), ([0.2, 0.2], [1, 0], -0.3)])
def test_bias(p, o, wanted):
    """Mean odds less what came true."""
    assert scores.bias(p, o) == pytest.approx(wanted)


@pytest.mark.parametrize(("p", "o"), [([1.2], [1]), ([0.5], [0.5]), ([0.5, 0.5], [1]), ([], [])])
def test_odd_odds_are_refused(p, o):
    """Neither beyond 0 to 1, nor half true, nor uneven, nor none."""
    with pytest.raises(ValueError, match=r"odds|outcome"):
        scores.brier(p, o)


# MIL-STD-882E, Table III, rows A to F, columns 1 to 4. From memory.
MATRIX = {
    "A": "High High Serious Medium",
    "B": "High High Serious Medium",
    "C": "High Serious Medium Low",
    "D": "Serious Medium Medium Low",
    "E": "Medium Medium Medium Low",
    "F": "Eliminated Eliminated Eliminated Eliminated",
}
CELLS = [(s, p, word) for p, row in MATRIX.items() for s, word in enumerate(row.split(), 1)]


@pytest.mark.parametrize(("s", "p", "word"), CELLS, ids=[f"{s}{p}" for s, p, _ in CELLS])
def test_risk_matrix(s, p, word):
    """Every cell."""
    assert severity.risk_of_hazard(s, p) == word
    assert severity.risk_code(s, p) == f"{s}{p}"


def test_risk_never_falls_as_severity_or_probability_rises():
    """Whatever the table: a worse mishap or a likelier one is no lesser risk."""
    rank = ["Eliminated", "Low", "Medium", "Serious", "High"]
    grid = [[rank.index(severity.risk_of_hazard(s, p)) for s in (1, 2, 3, 4)] for p in "ABCDEF"]
    assert all(row == sorted(row, reverse=True) for row in grid)
    assert all(list(column) == sorted(column, reverse=True) for column in zip(*grid, strict=True))


@pytest.mark.parametrize("wrong", [(0, "A"), (1, "G")], ids=["zero", "G"])
def test_what_is_not_in_the_matrix_is_refused(wrong):
    """Never taken for the nearest."""
    with pytest.raises(ValueError, match="severity runs"):
        severity.risk_of_hazard(*wrong)
