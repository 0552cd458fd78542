"""Records put right: one field amended, or a record withdrawn; the history keeps what stood there and why."""

from __future__ import annotations

import importlib
from typing import Any

from sqlmodel import Session

from journal.book.attempts import move_days
from journal.book.kinds import Kind
from journal.book.plain_text import clean_text
from journal.book.records import all_records, current_build, find_record, get_record
from journal.book.revisions import freeze, thaw
from journal.book.store import because, settle
from journal.book.tables import Attempt, Decision, Record, Revision
from journal.book.taken_back import take_back_choice
from journal.book.within import find_within, permit_amending, put_back, take_back
from journal.book.written import in_order
from journal.errors import BadInput, Refused, nearest


def kind_of(record: type[Record]) -> Kind:
    """How a kind of record is read; the file that says it is named after the kind."""
    kind: Kind = importlib.import_module(f"journal.book.{record.__name__.lower()}s").KIND
    return kind


def amend(session: Session, ref: str, field: str, typed: str, why: str) -> Any:
    """Correct one field of a record; the history keeps what stood there and why it was changed.

    Raises
    ------
    BadInput
        If the record has no such field, or the value does not fit it.
    """
    inside = find_within(session, ref)
    if inside:
        record, kind = inside.record, inside.within.kind
    else:
        record = current_build(session) if ref.strip().casefold() == "build" else find_record(session, ref)
        kind = kind_of(type(record))
    field = kind.called.get(field, field)
    if field not in kind.editable:
        close = nearest(field, [*kind.editable, *kind.called])
        hint = f"Did you mean {close!r}? " if close else ""
        raise BadInput(
            f"{ref} has no field {field!r} to correct", f"{hint}Accepted: {', '.join([*kind.editable, *kind.called])}"
        )
    if inside:
        permit_amending(session, inside, field, typed)
    because(session, clean_text(why, "The reason"))
    session.info["correcting"] = True
    changed = kind.corrected(record, field, typed)
    days = (record.began, record.ended) if isinstance(record, Attempt) else None
    session.info["moved"] = tuple(n for n, value in changed.items() if value != getattr(record, n))
    for name, value in changed.items():
        setattr(record, name, value)
    session.info["went_along"] = []
    if isinstance(record, Attempt) and days:
        in_order(record.began, record.ended)
        session.info["went_along"] = move_days(session, record, *days)
    session.add(record)
    settle(session)
    return record


def withdraw(session: Session, ref: str, why: str) -> str:
    """Take a record out of all reports; its number is not used again, and it stays in the history.

    Returns
    -------
    ref : str
        Its reference.
    """
    inside = find_within(session, ref)
    if inside:
        because(session, clean_text(why, "The reason"))
        take_back(session, inside)
        settle(session)
        return inside.ref
    record = find_record(session, ref)
    if isinstance(record, Revision):
        tried = [a.ref for a in all_records(session, Attempt, current_build(session)) if a.revision_id == record.key]
        if tried:
            raise Refused(
                f"{record.ref} has attempts logged on it: {', '.join(tried)}",
                "Withdraw those first, or keep it as a failed revision",
            )
    because(session, clean_text(why, "The reason"))
    record.withdrawn_because = why.strip()
    if isinstance(record, Attempt):
        thaw(session, record)
    session.info["taken_back"] = take_back_choice(session, record) if isinstance(record, Decision) else []
    session.add(record)
    settle(session)
    return record.ref


def reinstate(session: Session, ref: str, why: str) -> str:
    """Bring back a record that was withdrawn, with its number; an attempt freezes its revision again.

    Returns
    -------
    ref : str
        Its reference.

    Raises
    ------
    Refused
        If it was not withdrawn, or what it belongs to is.
    """
    reason = clean_text(why, "The reason")
    inside = put_back(session, ref, reason)
    if inside is not None:
        return inside
    record = find_record(session, ref, withdrawn=True)
    if record.withdrawn_because is None:
        raise Refused(f"{record.ref} was not withdrawn", f"See: galebook show {record.ref}")
    _hold_its_own(session, record)
    because(session, reason)
    session.info["correcting"] = True
    record.withdrawn_because = None
    if isinstance(record, Attempt):
        freeze(session, get_record(session, Revision, record.revision_id))
    session.add(record)
    settle(session)
    return record.ref


def _hold_its_own(session: Session, record: Any) -> None:
    """Hold that what a record belongs to stands."""
    for column, kind in (("revision_id", Revision), ("attempt_id", Attempt)):
        own = get_record(session, kind, getattr(record, column, None))
        if own is not None and own.withdrawn_because:
            raise Refused(
                f"{record.ref} belongs to {own.ref}, which was withdrawn",
                f'Bring that back first: galebook reinstate {own.ref} --because "..."',
            )
