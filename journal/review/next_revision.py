"""The next revision: whole sets of changes computed, judged with their doubt, and one of them put onto a draft."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlmodel import Session

from calc.finding import Status
from calc.machine.catalogue import Sheet, split
from calc.machine.system import KeyFigure
from calc.units import show
from journal.book import revisions, sheet
from journal.book.decisions import DecisionTyped, OptionTyped, open_decision
from journal.book.records import find_revision
from journal.book.tables import Decision, Revision
from journal.errors import BadInput, Refused
from journal.review import kept, verdict
from journal.review.weighing import ChoiceTyped, choose_option, offer_option

if TYPE_CHECKING:
    from calc.machine.entry import Entry, Value
    from calc.rules.search import NextWay
    from calc.rules.ways import Way

#: What a change of an input is called, by its name without label; the first that a way has names it.
_CALLED = {
    Sheet.generator.emf_constant.path: "another generator",
    Sheet.generator.ratio.path: "a belt to the generator",
    Sheet.rotor.diameter.path: "another rotor",
    Sheet.blade.pipe_diameter.path: "blades of another pipe",
    Sheet.storage.voltage.path: "a bank of another voltage",
    Sheet.storage.capacity.path: "another battery",
    Sheet.cable.length.path: "a shorter cable",
    Sheet.cable.area.path: "a thicker cable",
    Sheet.mast.height.path: "another mast",
    Sheet.rotor.limit_wind.path: "held back earlier",
}
#: Shares and winds by which ways must differ for one to be said to give something up beside another.
_LESS_ENERGY, _LATER, _HEAVIER = 0.05, 0.3, 0.5


@dataclass(frozen=True)
class Offered:
    """One way to the next revision.

    Parameters
    ----------
    number : int
        By which it is chosen.
    name : str
        What is its own among the ways.
    way : NextWay
        What was found.
    review : Review
        The verdict of the revision with these changes, doubts and all.
    gives_up : tuple of str
        What it gives up beside the others.
    """

    number: int
    name: str
    way: NextWay
    review: verdict.Review
    gives_up: tuple[str, ...]

    @property
    def energy(self) -> KeyFigure | None:
        """Energy in a year, with its range."""
        return self.review.system.figures.get("yearly_energy")

    @property
    def charging(self) -> KeyFigure | None:
        """Wind in which charging begins, with its range."""
        return self.review.system.figures.get("charging_wind")

    @property
    def typed(self) -> dict[str, str]:
        """What it sets, as a person would type it."""
        return as_typed(self.way.changes)


@dataclass(frozen=True)
class Proposal:
    """Ways from a revision to the next.

    Parameters
    ----------
    old : Review
        The verdict of the revision as it is.
    matters : str
        What was said to matter most.
    keep : tuple of str
        What had to stay.
    ways : list of Offered
        Two or three that differ in kind, best first; empty where there is none.
    stands : tuple of (rule, subject, status)
        Where there is none: what stands in the way.
    tried : int
        How many machines were looked at.
    """

    old: verdict.Review
    matters: str
    keep: tuple[str, ...]
    ways: list[Offered]
    stands: tuple[tuple[str, str, Status], ...]
    tried: int


def propose(
    session: Session,
    ref: str | None = None,
    *,
    keep: Sequence[str] = (),
    have: Sequence[str] = (),
    matters: str = "least change",
    tell: Callable[[str], None] = lambda _: None,
) -> Proposal:
    """Compute whole sets of changes after which neither danger nor fail is left.

    Parameters
    ----------
    keep : sequence of str
        Names on the sheet that must stay as they are.
    have : sequence of str
        What is at hand, each as values of the sheet (``generator.emf_constant=9 rpm/V, ...``).
    matters : str
        What matters most: one of :class:`calc.rules.search.Matters`.
    tell : callable
        Is told how far the search is.

    Raises
    ------
    BadInput
        If a name or a value does not fit the sheet, or what matters is none of these.
    """
    from calc.rules import RULES, search
    from calc.rules.board import Board

    known = [str(m) for m in search.Matters]
    if matters not in known:
        raise BadInput(f"{matters!r} is nothing that can matter most here", f"Accepted: {'; '.join(known)}")
    for path in keep:
        sheet.entry_of(path)
    at_hand = [_read(text) for text in have]
    both = sorted({entry.full for way in at_hand for tried in way.tries or () for entry in tried} & set(keep))
    if both:
        raise BadInput(f"{', '.join(both)} is to be kept and to be changed", "Leave out --keep or --have of it")
    of = find_revision(session, ref)
    old = verdict.check(session, of.ref)

    def look() -> search.Found:
        base = Board(RULES, old.system.design, old.system.inputs().computed)
        return search.search(base, keep=keep, have=at_hand, matters=search.Matters(matters), tell=tell)

    # Who has read the ways asks again, to have one of them written.
    key = (old.sheet.key, "next", tuple(keep), tuple(have), matters)
    found = look() if of.frozen_at is None else kept.once(search.Found, key, look)
    ways = []
    for number, way in enumerate(found.ways, 1):
        tell(f"judging way {number} of {len(found.ways)}, doubts and all")
        review = verdict.check(session, of.ref, changes=as_typed(way.changes))
        ways.append(Offered(number, _name(way, found.ways), way, review, ()))
    whole = [Offered(w.number, w.name, w.way, w.review, _gives_up(w, ways)) for w in ways]
    return Proposal(old, matters, tuple(keep), whole, found.stands, found.tried)


def _read(text: str) -> Way:
    """What is at hand."""
    from calc.rules.ways import change

    typed: dict[Entry[Any], Value] = {}
    for pair in sheet.PAIR.split(text):
        path, equals, value = pair.partition("=")
        if not equals:
            raise BadInput(f"{pair!r} names no value", 'Type it like --have "generator.emf_constant=9 rpm/V"')
        fields = sheet.read_value(path.strip(), value.strip())
        entry, label = sheet.entry_of(path.strip())
        number, word = fields["number"], fields["word"]
        given = number if number is not None else (word == "yes" if entry.kind == "flag" else word)
        typed[entry[label] if label else entry] = given
    return change(lambda _: f"Use what is at hand: {text}.", typed)


def as_typed(changes: Mapping[str, Value]) -> dict[str, str]:
    """Changes as a person would type them."""
    from calc.rules.ways import shown

    return {path: shown(sheet.entry_of(path)[0], value) for path, value in changes.items()}


def _name(way: NextWay, others: Sequence[NextWay]) -> str:
    """What a way is called: what it changes that not all of them do."""
    shared = set.intersection(*({split(p)[0] for p in w.changes} for w in others)) if len(others) > 1 else set()
    own = {split(p)[0] for p in way.changes} - shared
    if Sheet.storage.voltage.path in own:
        # The same cells in another way are no larger battery.
        own -= {Sheet.storage.capacity.path}
    called = [text for path, text in _CALLED.items() if path in own]
    if not called:
        called = [text for path, text in _CALLED.items() if path in {split(p)[0] for p in way.changes}]
    return " and ".join(called[:2]) or "small changes only"


def _gives_up(way: Offered, ways: Sequence[Offered]) -> tuple[str, ...]:
    """What a way has less of than the best of the others."""
    told = []
    others = [w for w in ways if w is not way]
    energy = max((w.energy.value for w in others if w.energy), default=0.0)
    if way.energy and way.energy.value < (1.0 - _LESS_ENERGY) * energy:
        told.append(f"{show(energy - way.energy.value, 'kWh', 2)} a year")
    begins = min((w.charging.value for w in others if w.charging), default=math.inf)
    if way.charging and way.charging.value > begins + _LATER:
        told.append(f"charges only from {show(way.charging.value, 'm/s', 2)}")
    metal = min((w.way.metal for w in others), default=math.inf)
    if way.way.metal > metal + _HEAVIER:
        told.append(f"{show(way.way.metal - metal, 'kg', 2)} more cable")
    height = way.way.changes.get(Sheet.mast.height.path)
    if height is not None:
        told.append(f"a mast for {show(float(height), 'm')}")
    changes = min((len(w.way.steps) for w in others), default=0)
    if others and len(way.way.steps) > changes:
        told.append(f"{len(way.way.steps) - changes} more to change")
    return tuple(told)


def write(session: Session, proposal: Proposal, which: int, why: str | None = None) -> tuple[Revision, Decision]:
    """Make a draft of one of the ways, with a decision of which all of them are the options.

    Raises
    ------
    Refused
        If there is no such way.
    """
    chosen = next((w for w in proposal.ways if w.number == which), None)
    if chosen is None:
        have = f"There are {len(proposal.ways)}" if proposal.ways else "None was found"
        raise Refused(f"There is no way {which}", have)
    old = proposal.old.revision
    because = why or f"settles what fails on {old.ref}, with {proposal.matters}"
    draft = revisions.revise(session, old.ref, title=chosen.name.capitalize(), because=because)
    typed = DecisionTyped(f"How to go on from {old.ref}?", on=draft.ref, context=f"Computed from {old.ref}")
    decision = open_decision(session, typed)
    for way in proposal.ways:
        steps = " ".join(s.says for s in way.way.steps)
        offer_option(session, decision.ref, OptionTyped(f"{way.number} {way.name}", steps[:1000], way.typed))
    choose_option(session, decision.ref, ChoiceTyped(str(which), because))
    return draft, decision
