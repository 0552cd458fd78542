"""Papers: permissions, insurances, setbacks and notices, with their dates; a copy is attached to them."""

from __future__ import annotations

from dataclasses import dataclass

from sqlmodel import Session

from journal.book.days import earliest, latest
from journal.book.kinds import Kind, a_day, a_day_ahead, a_text, a_word
from journal.book.records import add_record
from journal.book.tables import PAPERS, Paper
from journal.book.written import in_order

KIND = Kind(
    Paper,
    readers={
        "kind": a_word("Kind", PAPERS),
        "what": a_text("What it says"),
        "who": a_text("Who gave it", limit=200),
        "serial": a_text("Its number", limit=200),
        "given": a_day("Given"),
        "until": a_day_ahead("Until"),
        "private_note": a_text("Note"),
    },
    fixed=("given_typed", "until_typed"),
    called={"when": "given", "by": "who", "number": "serial", "note": "private_note"},
)


@dataclass(frozen=True, slots=True)
class PaperTyped:
    """What a person typed of a paper; ``serial`` is the number of the file or the policy."""

    what: str
    kind: str | None = None
    who: str | None = None
    serial: str | None = None
    given: str | None = None
    until: str | None = None
    private_note: str | None = None


def log_paper(session: Session, typed: PaperTyped) -> Paper:
    """Log a paper.

    Raises
    ------
    BadInput
        If it ends before it was given, or a word or a day cannot be read.
    """
    columns = KIND.columns(typed)
    if "given" in columns:
        in_order(columns["given"], columns.get("until"))
    return add_record(session, Paper, **{"kind": "other", **columns})


def has_ended(paper: Paper, today: str) -> bool:
    """Whether a paper no longer holds on a day, or may not, where its last day is vague."""
    return paper.until is not None and earliest(paper.until) < today


def ended_text(paper: Paper, today: str) -> str:
    """Whether a paper is over on a day, in words; empty while it holds."""
    if paper.until is None or not has_ended(paper, today):
        return ""
    return "over" if latest(paper.until) < today else "may be over"
