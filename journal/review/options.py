"""A decision with its options as they were computed, for screens and write-ups alike."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlmodel import Session

from journal.book import decisions
from journal.book.records import find_record, get_record
from journal.book.stored import changes_of, consequences_of
from journal.book.tables import Decision, Option, Revision
from journal.review.wording import cost_text


@dataclass(frozen=True)
class OptionView:
    """One option, with what it was computed to do."""

    position: int
    name: str
    summary: str | None
    changes: dict[str, str]
    moved: list[dict[str, Any]]
    worst: list[dict[str, Any]]
    figures: dict[str, float]
    cost: str
    mass: float | None
    chosen: bool
    refused: str | None


@dataclass(frozen=True)
class DecisionView:
    """A decision with its options."""

    decision: Decision
    revision: str
    options: list[OptionView]
    supersedes: str | None = None


def view_decision(session: Session, ref: str) -> DecisionView:
    """A decision with its options, as they were computed."""
    d = find_record(session, ref, Decision, withdrawn=True)
    of: Revision = get_record(session, Revision, d.revision_id)
    earlier: Decision | None = get_record(session, Decision, d.supersedes_id)
    return DecisionView(d, of.ref, [_view(o) for o in decisions.options(session, d)], earlier.ref if earlier else None)


def _view(o: Option) -> OptionView:
    found = consequences_of(o)
    return OptionView(
        position=o.position,
        name=o.name,
        summary=o.summary,
        changes=changes_of(o),
        moved=found["moved"],
        worst=found["worst"],
        figures=found["figures"],
        cost=cost_text({o.currency: o.cost}) if o.cost is not None and o.currency else "",
        mass=o.mass,
        chosen=o.chosen,
        refused=o.refused_because,
    )
