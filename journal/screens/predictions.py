"""What was expected of decisions, and what came of it."""

from __future__ import annotations

from typing import Any

from calc.evidence.scores import FEWEST
from journal.book.days import told
from journal.book.tables import Decision
from journal.review.predictions import OddsScore, Predictions
from journal.review.wording import day_text
from journal.screens.terminal import Terminal, screen


def _data(record: Predictions) -> dict[str, Any]:
    return {
        "predictions": [
            {
                "decision": d.ref,
                "expected": d.expected,
                "odds": d.odds,
                "tool_odds": d.tool_odds,
                "result": d.result,
                "review_on": told(d.review_on, d.review_on_typed),
            }
            for d in record.decisions
        ],
        "scores": record.scores,
    }


@screen(_data)
def show_predictions(out: Terminal, record: Predictions) -> None:
    """Each expectation, and the score of builder and tool."""
    if not record.decisions:
        out.line('Nothing was expected of a decision yet. Say it when you choose: --expect "..." --odds 70%')
        return
    out.table(("", "Expected", "You", "By the numbers", "Came of it"), map(_row, record.decisions))
    for score in record.scores:
        _score(out, score)
    fewest = max(score.count for score in record.scores)
    if fewest < FEWEST:
        out.line(f"How each kind of odds came true is shown from {FEWEST} of a side on; fewer say little.")


def _row(d: Decision) -> tuple[str, ...]:
    odds = (f"{p:.0%}" if p is not None else "" for p in (d.odds, d.tool_odds))
    came = d.result or (f"look again on {day_text(d.review_on)}" if d.review_on else "not said yet")
    return d.ref, d.expected or "", *odds, came


def _score(out: Terminal, score: OddsScore) -> None:
    out.line(score.words)
    if score.bins:
        out.table(
            ("Odds given", "How many", "On average", "Came true"),
            ((f"{b.low:.0%} to {b.high:.0%}", b.count, f"{b.odds:.0%}", f"{b.came_true:.0%}") for b in score.bins),
        )
