"""Observations: what somebody found of a failure who looked, listened, felt or tried, without a number."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlmodel import Session, col, select

from journal.book.days import earliest
from journal.book.kinds import Kind, a_day, a_text
from journal.book.names import look_named
from journal.book.records import add_record, find_record
from journal.book.tables import ANSWERS, Failure, Observation
from journal.book.written import when, word
from journal.errors import BadInput

if TYPE_CHECKING:
    from calc.mechanisms.look import CaseLook

#: How people say the answers, beside the words themselves.
_SAID = {
    "y": "yes", "yep": "yes", "yeah": "yes", "n": "no", "nope": "no", "not": "no", "?": "cannot tell",
    "not sure": "cannot tell", "unsure": "cannot tell", "don't know": "cannot tell", "dont know": "cannot tell",
    "cannot say": "cannot tell", "can't tell": "cannot tell", "could not tell": "cannot tell", "unclear": "cannot tell",
}  # fmt: skip


def read_answer(typed: str) -> str:
    """An answer: yes, no, or cannot tell, as people say them, or their number in that order.

    Raises
    ------
    BadInput
        If it is none of them.
    """
    plain = " ".join(typed.replace("’", "'").casefold().split()).rstrip(".!")
    if plain in ("1", "2", "3"):
        return ANSWERS[int(plain) - 1]
    if not plain:
        raise BadInput("Answer: it is empty", "Accepted: yes; no; cannot tell")
    return word(_SAID.get(plain, typed), ANSWERS, "Answer") or ""


KIND = Kind(
    Observation,
    readers={
        "look": lambda typed: look_named(typed),
        "answer": read_answer,
        "seen": a_day("Looked"),
        "note": a_text("What was found"),
        "private_note": a_text("Note"),
    },
    fixed=("seen_typed",),
    called={"when": "seen", "name": "look"},
)


@dataclass(frozen=True, slots=True)
class ObservationTyped:
    """What a person typed of a look: its name, the answer, when it was, and what was found in more words."""

    look: str
    answer: str
    seen: str | None = None
    note: str | None = None
    private_note: str | None = None


def log_observation(session: Session, ref: str, typed: ObservationTyped) -> Observation:
    """Log what was found of a failure by one look; a later answer of the same look counts instead of it.

    Raises
    ------
    BadInput
        If there is no such look, or the answer is none.
    """
    failure = find_record(session, ref, Failure)
    return add_record(session, Observation, failure_id=failure.key, **{"seen": when(None), **KIND.columns(typed)})


def observations(session: Session, failure: Failure) -> list[Observation]:
    """What was found of a failure by looking, in the order in which it was logged, but what was withdrawn."""
    query = select(Observation).where(
        Observation.failure_id == failure.key, col(Observation.withdrawn_because).is_(None)
    )
    return list(session.exec(query.order_by(col(Observation.number))))


def newest_answers(session: Session, failure: Failure) -> dict[str, Observation]:
    """The answer of each look that counts: that of the latest day, of one day the last logged."""
    rows = sorted(observations(session, failure), key=lambda o: (earliest(o.seen), o.number))
    return {o.look: o for o in rows}


def case_looks(session: Session, failure: Failure) -> tuple[CaseLook, ...]:
    """The answers that count, as they are judged."""
    from calc.mechanisms.look import CaseLook

    return tuple(CaseLook(o.look, o.answer, o.ref) for _, o in sorted(newest_answers(session, failure).items()))


def question_of(observation: Observation) -> str:
    """What was asked; the bare name where the catalogue knows it no more."""
    from calc.mechanisms.looks import LOOKS

    look = LOOKS.get(observation.look)
    return look.question if look else observation.look


def observation_facts(observation: Observation) -> dict[str, Any]:
    """What scripts take of one."""
    return {
        "ref": observation.ref, "look": observation.look, "question": question_of(observation),
        "answer": observation.answer, "seen": observation.seen, "note": observation.note,
    }  # fmt: skip


@dataclass(frozen=True)
class Looked:
    """One look at a failure: what was asked, and what was found."""

    question: str
    observation: Observation


def looked_at(session: Session, failure: Failure) -> tuple[Looked, ...]:
    """The answers that count, each with its question, by the names of the looks."""
    return tuple(Looked(question_of(o), o) for _, o in sorted(newest_answers(session, failure).items()))
