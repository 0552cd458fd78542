"""Which doubtful values decide most: what to measure next."""

from __future__ import annotations

from typing import Any

from calc.finding import Finding, Influence, Status
from journal.review.find_out import find_out, ranked, unsure
from journal.review.verdict import Review, headline
from journal.review.wording import lower_first, sampling_text
from journal.screens.terminal import Terminal, revision_title, screen

#: So many values are named, of a finding and over all; beside the first those that decide a tenth or more of it.
MOST, LEAST = 3, 0.1


def _data(review: Review) -> dict[str, Any]:
    turning = unsure(review)
    return {
        "revision": review.revision.ref,
        "findings": [
            {"rule": f.rule, "subject": f.subject, "probability": f.probability, "ranking": f.ranking} for f in turning
        ],
        "measure_next": ranked(turning),
        "find_out": [find_out(review, path) for path in ranked(turning)[:MOST]],
        "sampling": review.system.sampling,
    }


@screen(_data)
def show_doubts(out: Terminal, review: Review) -> None:
    """What to find out first and how; then findings that a doubt could turn, and by what."""
    turning, sampling = unsure(review), review.system.sampling
    if text := sampling_text(sampling):
        out.line(text)
    if sampling is None or not sampling.enough:
        return
    if not turning:
        unknown = len(review.with_status(Status.UNKNOWN))
        rest = f" {unknown} are unknown: galebook missing {review.revision.ref}" if unknown else ""
        out.line(f"No doubt decides what could be judged of {review.revision.ref}.{rest}")
        return
    out.title(revision_title(review.revision))
    out.heading("What settles most")
    for path in ranked(turning)[:MOST]:
        found = find_out(review, path)
        out.hang("  ", f"{found.path}: {found.says}.", 2)
        out.command(found.how, 4)
    out.heading("What doubt could turn")
    out.table(
        ("Finding", "Verdict", "Fails in", "Decided most by"),
        (
            (headline(f), f.status, f"{100 * (f.probability or 0):.0f} of 100", "; ".join(map(_share, _told(f))))
            for f in turning
        ),
    )


def _told(f: Finding) -> list[Influence]:
    """The values that decide most of a finding; what moves it little is left out beside them."""
    return [i for place, i in enumerate(f.ranking[:MOST]) if place == 0 or i.share >= LEAST]


def _share(i: Influence) -> str:
    return f"{lower_first(i.meaning)} ({i.share:.0%})"
