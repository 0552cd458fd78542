"""Records within a record: the options of a decision, the causes and the evidence of a failure.

Each has a reference made of its record's and a number: the second option of D1 is ``D1.2``, the first cause of F1 is
``F1.1``, the first piece of evidence ``F1.e1``. As with records, a number is never used again.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from sqlmodel import Session, col, select

from journal.book import decisions, failures
from journal.book.kinds import Kind
from journal.book.plain_text import alike
from journal.book.records import find_record
from journal.book.store import because, settle
from journal.book.stored import before_and_after
from journal.book.tables import Cause, Decision, Failure, History, Numbered, Option, Score
from journal.errors import NotFound, Refused

_REF = re.compile(r"([A-Za-z]\d{1,9})\.([A-Za-z]?)(\d{1,9})")


@dataclass(frozen=True, slots=True)
class Within:
    """One kind of records within a record.

    Parameters
    ----------
    owner : type
        The kind of the record that they belong to.
    mark : str
        What stands before the number in a reference.
    called : str
        What one of them is called.
    kind : Kind
        How its columns are read.
    numbered : callable (session, owner)
        All of them by their numbers.
    """

    owner: type[Numbered]
    mark: str
    called: str
    kind: Kind
    numbered: Callable[[Session, Any], dict[int, Any]]


def _options(session: Session, decision: Decision) -> dict[int, Option]:
    return {o.position: o for o in decisions.options(session, decision)}


WITHIN = (
    Within(Decision, "", "option", decisions.OPTION, _options),
    Within(Failure, "", "cause", failures.CAUSE, failures.numbered_causes),
    Within(Failure, "e", "piece of evidence", failures.EVIDENCE, failures.numbered_evidence),
)


@dataclass(frozen=True, slots=True)
class Inside:
    """A record within a record, with its reference."""

    ref: str
    record: Any
    owner: Any
    within: Within


def find_within(session: Session, ref: str) -> Inside | None:
    """The record that a reference such as ``D1.2`` or ``F1.e1`` names; None where it is no such reference.

    Raises
    ------
    NotFound
        If there is none of that number.
    """
    match = _REF.fullmatch(ref.strip())
    if match is None:
        return None
    owner = find_record(session, match[1])
    fit = [w for w in WITHIN if isinstance(owner, w.owner)]
    within = next((w for w in fit if w.mark == match[2].casefold()), None)
    if within is None:
        raise NotFound(f"{owner.ref} has nothing called {ref!r}", _accepted(session, owner, fit))
    known = within.numbered(session, owner)
    number = int(match[3])
    if number not in known:
        raise NotFound(f"{owner.ref} has no {within.called} {number}", _accepted(session, owner, [within]))
    return Inside(f"{owner.ref}.{within.mark}{number}", known[number], owner, within)


def _accepted(session: Session, owner: Numbered, kinds: Sequence[Within]) -> str:
    refs = [f"{owner.ref}.{w.mark}{n}" for w in kinds for n in w.numbered(session, owner)]
    return f"Accepted: {', '.join(refs)}" if refs else f"See: galebook show {owner.ref}"


def permit_amending(session: Session, inside: Inside, field: str, typed: str) -> None:
    """Hold that a correction keeps apart what must be told apart.

    Raises
    ------
    Refused
        If an option would get the name of another.
    """
    if isinstance(inside.record, Option) and field == "name":
        others = [o for o in decisions.options(session, inside.owner) if o.key != inside.record.key]
        if alike(typed) in {alike(o.name) for o in others}:
            raise Refused(f"{inside.owner.ref} has an option {typed.strip()!r} already", "Give it another name")


def take_back(session: Session, inside: Inside) -> None:
    """Delete a record within a record, with the marks it was given; the history keeps them.

    Raises
    ------
    Refused
        If a decision rests on it, or evidence hangs on it.
    """
    record = inside.record
    if isinstance(record, Option) and record.chosen:
        raise Refused(
            f"{inside.ref} was chosen, and {inside.owner.ref} rests on it",
            f"Withdraw the decision, or ask again with --supersedes {inside.owner.ref}",
        )
    if isinstance(record, Option):
        for score in session.exec(select(Score).where(Score.option_id == record.key)):
            session.delete(score)
        session.flush()
    if isinstance(record, Cause):
        weighed = failures.numbered_evidence(session, inside.owner)
        hung = [f"{inside.owner.ref}.e{n}" for n, e in weighed.items() if e.cause_id == record.key]
        if hung:
            raise Refused(f"{inside.ref} has evidence about it: {', '.join(hung)}", "Withdraw that first")
    session.delete(record)


def put_back(session: Session, ref: str, why: str) -> str | None:
    """Bring back a record within a record that was taken back, as it stood; None where it is no such reference.

    Raises
    ------
    NotFound
        If none of that number was taken back.
    Refused
        If it stands.
    """
    match = _REF.fullmatch(ref.strip())
    if match is None:
        return None
    owner = find_record(session, match[1])
    fit = [w for w in WITHIN if isinstance(owner, w.owner) and w.mark == match[2].casefold()]
    number = int(match[3])
    for within in fit:
        if number in within.numbered(session, owner):
            raise Refused(f"{ref} was not taken back", f"See: galebook show {owner.ref}")
        if (gone := _taken_out(session, owner, within, number)) is not None:
            because(session, why)
            session.info["correcting"] = True
            session.add(gone)
            settle(session)
            return f"{owner.ref}.{within.mark}{number}"
    raise NotFound(f"{owner.ref} has nothing called {ref!r} that was taken back", f"See: galebook show {owner.ref}")


def _taken_out(session: Session, owner: Numbered, within: Within, number: int) -> Any:
    """The record within a record that had a number, as it stood when it was taken out."""
    kind: Any = within.kind.record
    name = kind.__name__.lower()
    rows = session.exec(
        select(History)
        .where(History.build_id == owner.build_id, History.kind == name)
        .where(col(History.ref).startswith(f"{owner.ref} "))
        .order_by(col(History.id))
    ).all()
    added = [row.record_id for row in rows if row.action == "add"]
    for row in reversed(rows):
        before, after = before_and_after(row)
        if after is None and before is not None and session.get(kind, row.record_id) is None:
            had = before.get("position") or added.index(row.record_id) + 1
            if had == number:
                return kind(id=row.record_id, **before)
    return None
