"""Which doubtful values decide most: what to measure next."""

from __future__ import annotations

from typing import Any

from calc.finding import Finding, Influence, Status
from journal.review.verdict import Review, headline
from journal.review.wording import sampling_text
from journal.screens.terminal import Terminal, revision_title, screen


def _unsure(review: Review) -> list[Finding]:
    """Findings that a doubt could still turn."""
    return [f for f in review.findings if f.probability is not None and 0 < f.probability < 1 and f.ranking]


def _ranked(findings: list[Finding]) -> list[str]:
    """Names of doubtful values, the one that decides most over all findings first."""
    totals: dict[str, float] = {}
    for f in findings:
        for i in f.ranking:
            totals[i.path] = totals.get(i.path, 0.0) + i.share
    return sorted(totals, key=lambda path: -totals[path])


def _data(review: Review) -> dict[str, Any]:
    unsure = _unsure(review)
    return {
        "revision": review.revision.ref,
        "findings": [
            {"rule": f.rule, "subject": f.subject, "probability": f.probability, "ranking": f.ranking} for f in unsure
        ],
        "measure_next": _ranked(unsure),
        "sampling": review.system.sampling,
    }


@screen(_data)
def show_doubts(out: Terminal, review: Review) -> None:
    """Findings that a doubt could turn, by what, and which value to find out better."""
    unsure, sampling = _unsure(review), review.system.sampling
    if text := sampling_text(sampling):
        out.line(text)
    if sampling is None or not sampling.enough:
        return
    if not unsure:
        unknown = len(review.with_status(Status.UNKNOWN))
        rest = f" {unknown} are unknown: galebook missing {review.revision.ref}" if unknown else ""
        out.line(f"No doubt decides what could be judged of {review.revision.ref}.{rest}")
        return
    out.title(revision_title(review.revision))
    out.table(
        ("Finding", "Verdict", "Fails in", "Decided most by"),
        (
            (headline(f), f.status, f"{100 * (f.probability or 0):.0f} of 100", "; ".join(map(_share, f.ranking[:3])))
            for f in unsure
        ),
    )
    out.line("To settle most, find out better: " + ", ".join(_ranked(unsure)[:3]) + ".")


def _share(i: Influence) -> str:
    # An abbreviation such as LiFePO4 keeps its capitals.
    meaning = i.meaning.lower() if i.meaning[1:2].islower() else i.meaning
    return f"{meaning} ({i.share:.0%})"
