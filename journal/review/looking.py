"""What to look at next for a failure: the looks that tell most in a minute, and what was found already."""

from __future__ import annotations

from dataclasses import dataclass

from sqlmodel import Session

from calc.mechanisms.look import Look, cheapest
from calc.mechanisms.looks import AT_WORK, LOOKS
from journal.book import observations
from journal.book.records import find_record, get_record
from journal.book.tables import Failure, Observation, Revision
from journal.review import verdict, why

#: So many are told unless all are asked for.
MOST = 6
#: What nobody believes any more is believed as much, so that a look can still bring it back.
LEAST = 1e-4


@dataclass(frozen=True)
class Looking:
    """What can be looked at for a failure, and what was.

    Parameters
    ----------
    failure : Failure
        The failure.
    open : list of Look
        Looks that tell something and were not answered yet, the cheapest for what they tell first.
    speaks : dict of str to tuple of str
        By the name of a look, the titles of the ways of failing for which yes speaks, and for which no.
    more : int
        How many others there are.
    found : list of Observation
        The answers that count.
    first : tuple of str
        What must be done before anything else, where what was told is a danger; nothing near it is looked at.
    asked : bool
        Whether anything is still asked about the failure.
    """

    failure: Failure
    open: list[Look]
    speaks: dict[str, tuple[tuple[str, ...], tuple[str, ...]]]
    more: int
    found: list[Observation]
    first: tuple[str, ...] = ()
    asked: bool = True


def looks_for(session: Session, ref: str, *, everything: bool = False) -> Looking:
    """The looks that are worth their minutes for a failure.

    Parameters
    ----------
    ref : str
        The failure, such as ``F1``.
    everything : bool
        Whether all are told that could tell anything.
    """
    failure = find_record(session, ref, Failure)
    x = verdict.opened(session, get_record(session, Revision, failure.revision_id)).system.inputs()
    found = observations.newest_answers(session, failure)
    answer = why.explain(session, ref)
    weighed = answer.ranked
    belief = {w.id: max(w.belief or 0.0, LEAST) for w in weighed}
    gone = () if answer.at_work else AT_WORK
    near = [k.name for k in LOOKS.values() if not k.may_be(answer.places)]
    worth = cheapest(list(LOOKS.values()), belief, answered=[*found, *gone, *near], x=x)
    told = worth if everything else worth[: MOST if answer.open else 0]
    titles = {w.id: w.title for w in weighed}
    return Looking(
        failure,
        told,
        {look.name: _speaks(look, titles) for look in told},
        len(worth) - len(told),
        sorted(found.values(), key=lambda o: o.number),
        answer.first,
        answer.open,
    )


#: How many times likelier than usual an answer is of which it is said that it speaks for something. Own choice.
_SPEAKS = 2.0


def _speaks(look: Look, titles: dict[str, str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    yes = [m for m in titles if look.yes.get(m, look.usual) >= _SPEAKS * look.usual]
    no = [m for m in titles if 1.0 - look.yes.get(m, look.usual) >= _SPEAKS * (1.0 - look.usual)]
    return (
        tuple(titles[m] for m in sorted(yes, key=lambda m: -look.yes[m])),
        tuple(titles[m] for m in sorted(no, key=lambda m: look.yes[m])),
    )
