"""Predictions of a build, the builder's and the tool's own, and how well they came true."""

from __future__ import annotations

from dataclasses import dataclass

from sqlmodel import Session

from calc.evidence import scores
from journal.book.records import all_records, current_build
from journal.book.tables import Decision

#: Results that say yes or no; the others score nothing.
OUTCOMES = {"came true": 1.0, "did not": 0.0}


@dataclass(frozen=True, slots=True)
class OddsScore:
    """How well one side's odds came true.

    Parameters
    ----------
    who : str
        ``"you"`` or ``"the numbers"``.
    count : int
        Predictions with odds of which a yes or no came.
    brier : float or None
        Mean square form; none without any.
    bias : float or None
        Mean odds less the share that came true.
    bins : tuple of Bin
        Calibration; empty until there are enough.
    """

    who: str
    count: int
    brier: float | None
    bias: float | None
    bins: tuple[scores.Bin, ...]

    @property
    def words(self) -> str:
        """The score in a sentence or two."""
        name = self.who.capitalize()
        if self.brier is None or self.bias is None:
            return f"{name}: no odds yet of which a yes or no came."
        if self.count == 1:
            return f"{name}: one came to a yes or no, which says little."
        lean = f"{100 * abs(self.bias):.0f} % too {'sure' if self.bias > 0 else 'unsure'} on average"
        return (
            f"{name}: {self.count} came to a yes or no. Brier score {self.brier:.2f} (0 is best; saying 50 % each time "
            f"scores 0.25); {lean if abs(self.bias) >= 0.005 else 'neither too sure nor too unsure on average'}."
        )


@dataclass(frozen=True, slots=True)
class Predictions:
    """Every decision of which something was expected, and the score of each side."""

    decisions: list[Decision]
    scores: list[OddsScore]

    @property
    def due(self) -> list[Decision]:
        """Those of which nothing came yet."""
        return [d for d in self.decisions if d.result is None]


def record(session: Session) -> Predictions:
    """The record of predictions of the build."""
    expecting = [
        d for d in all_records(session, Decision, current_build(session)) if d.expected is not None and d.decided_on
    ]
    return Predictions(
        expecting,
        [
            _score("you", [(d.odds, d.result) for d in expecting]),
            _score("the numbers", [(d.tool_odds, d.result) for d in expecting]),
        ],
    )


def _score(who: str, given: list[tuple[float | None, str | None]]) -> OddsScore:
    told = [(p, OUTCOMES[result]) for p, result in given if p is not None and result in OUTCOMES]
    if not told:
        return OddsScore(who, 0, None, None, ())
    odds, came = ([pair[i] for pair in told] for i in (0, 1))
    return OddsScore(
        who, len(told), scores.brier(odds, came), scores.bias(odds, came), scores.calibration(odds, came).bins
    )
