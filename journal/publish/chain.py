"""How a failure came about, link by link: from the records, what was believed and the numbers, and what was not there.

A chain is told only where something led to the failure: another failure, or a cause that means a known mechanism and
that the numbers do not contradict. Every number in it comes from a record or is computed with the machine that failed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from calc.finding import Finding, Status
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.wiring import AFTER_RECTIFIER, BEFORE_RECTIFIER
from calc.machine.inputs import Unknown
from calc.mechanisms import MECHANISMS
from calc.mechanisms.base import ENOUGH, FUSE, Case, Circumstances, Verdict
from calc.mechanisms.by_rule import JUDGED_BY
from calc.mechanisms.judge import JudgedMechanism
from calc.mechanisms.strength import BROKEN, Freed, freed
from calc.quantities import QUANTITIES
from calc.units import show
from journal.publish.numbers import MachineTold
from journal.publish.story import Chapter, Failed, Story
from journal.publish.telling import clauses
from journal.review.why import Belief
from journal.review.wording import lower_first

#: Mechanisms of which the wind is a part, by the beginnings of their names.
WINDY = ("rotor.", "blade.", "mast.", "charging.", "generator.", "site.", "vibration.", "fuse.gust", "claim.", "yaw.")
#: What a reading that belongs to a failure is of, the most telling first.
READ = ("charge.current", "charge.power", "rotor.speed", "battery.voltage", "inverter.input_voltage")
#: What became of people, at the end of a chain.
HARMED = {"none": "nobody was hurt", "near miss": "luck: nobody was hurt", "injury": "somebody was hurt"}
_WRONG = (Status.DANGER, Status.FAIL)
_STANDS = (Status.OK, Status.STATED, Status.MARGINAL)


def _spoken_against(w: JudgedMechanism) -> bool:
    """Whether what was read contradicts it, or the sheet's own numbers bring it about in hardly any way."""
    return w.verdict == Verdict.CONTRADICTED or (w.contradicts or 0.0) >= ENOUGH


@dataclass(frozen=True)
class Barrier:
    """What stands, or should have stood, between one link and the next: in words, and whether it was there."""

    words: str
    there: bool = False


@dataclass(frozen=True)
class Link:
    """One step of a chain.

    Parameters
    ----------
    what, number : str
        What happened, and its number; empty where none is known.
    guards : tuple of Barrier
        What should have kept the step before from leading to it.
    harm : bool
        Whether something broke or came down here.
    """

    what: str
    number: str = ""
    guards: tuple[Barrier, ...] = ()
    harm: bool = False


@dataclass(frozen=True)
class Chain:
    """How one failure came about: its reference, the steps in order, and what became of people."""

    ref: str
    links: tuple[Link, ...]
    people: str


@dataclass(frozen=True)
class _Failure:
    """One failure with its revision and that revision's machine."""

    told: Failed
    of: Chapter
    machine: MachineTold

    @property
    def belief(self) -> Belief | None:
        """The first cause that is still held, means a known mechanism, and that the numbers do not contradict."""
        held = (
            [b for b in self.told.why.beliefs if b.explains and b.cause.standing != "rejected"] if self.told.why else []
        )
        kept = [b for b in held if b.weighed and not _spoken_against(b.weighed)]
        return min(kept, key=lambda b: b.cause.standing != "believed", default=None)

    @property
    def symptoms(self) -> tuple[str, ...]:
        """What it looked like."""
        return self.told.why.symptoms if self.told.why else ()

    def findings(self, rule: str, *status: Status) -> list[Finding]:
        """What one rule says of the machine that failed, if it says that."""
        return [f for f in self.of.review.findings if f.rule == rule and f.status in status]

    def wind(self) -> tuple[float, float] | None:
        """Limits of the wind at the rotor, in [m/s]."""
        tried = self.told.attempt
        if tried is None or tried.wind_low is None or tried.wind_high is None:
            return None
        ends = [self.machine.system.at_rotor(V, tried.wind_height) for V in (tried.wind_low, tried.wind_high)]
        return None if any(isinstance(V, Unknown) for V in ends) else (float(ends[0]), float(ends[1]))  # type: ignore[arg-type]

    def read(self, *quantities: str) -> str:
        """The first reading of one of some quantities in the same attempt, in words."""
        tried = self.told.attempt
        known = [
            m for t in self.of.tried if tried and t.attempt.ref == tried.ref for m in t.read if m.value is not None
        ]
        for quantity in quantities:
            for m in known:
                if m.quantity == quantity and m.value is not None:
                    return show(m.value, QUANTITIES[quantity].shown)
        return ""


def chain(told: Failed, story: Story, machines: Mapping[str, MachineTold]) -> Chain | None:
    """How a failure came about; None where nothing is known to have led to it, or where it only leads to another.

    Parameters
    ----------
    told : Failed
        The failure.
    story : Story
        The whole build, redacted.
    machines : mapping of str to MachineTold
        The machine of each revision.
    """
    every = {f.failure.ref: _Failure(f, c, machines[c.revision.ref]) for c in story.chapters for f in c.failed}
    led = {f.told.brought_about_by.ref for f in every.values() if f.told.brought_about_by}
    if told.failure.ref in led:
        return None
    line = _line(told.failure.ref, every)
    links: list[Link] = []
    for i, one in enumerate(line):
        how = _HOW.get(one.belief.mechanism or "") if one.belief else None
        links += (how or _plain)(one, line[:i])
    if len(line) < 2 and not line[-1].belief:
        return None
    links = [*_blowing(line), *links, *_came_of(line[-1])]
    return Chain(told.failure.ref, tuple(links), HARMED.get(told.failure.harm, "")) if len(links) > 2 else None


def _line(ref: str, every: dict[str, _Failure]) -> list[_Failure]:
    """A failure and all that brought it about, the first of them first."""
    line: list[_Failure] = []
    while ref in every and every[ref] not in line:
        line.insert(0, every[ref])
        before = every[ref].told.brought_about_by
        ref = before.ref if before else ""
    return line


def _blowing(line: Sequence[_Failure]) -> list[Link]:
    """The wind it began in, where that has to do with it."""
    meant = [f.belief.mechanism or "" for f in line if f.belief]
    first = next((f for f in line if f.told.attempt and f.told.attempt.wind), None)
    if first is None or not any(m.startswith(WINDY) for m in meant):
        return []
    ends, typed = first.wind(), first.told.attempt.wind if first.told.attempt else ""
    if ends is None:
        return [Link(f"wind, {typed}")]
    low, high = show(ends[0], "", 2), show(ends[1], "m/s", 2)
    return [Link(f"wind, {typed}", f"{low} to {high} at the rotor" if ends[0] < ends[1] else f"{high} at the rotor")]


def _plain(one: _Failure, before: Sequence[_Failure]) -> list[Link]:
    """The cause as its builder said it, with what decides it, and what was seen."""
    belief, links = one.belief, []
    if belief is not None and belief.weighed is not None:
        number = _number(belief)
        links.append(Link(belief.cause.what, number or _sure(belief)))
    guards = _answer(one, belief) if belief is not None else ()
    read = one.read(*READ)
    broke = bool(before) and BROKEN in one.symptoms
    return [*links, Link(one.told.failure.saw, f"{read}, read" if read else "", guards, harm=broke)]


def _sure(belief: Belief) -> str:
    return "" if belief.cause.sure is None else f"believed, {show(belief.cause.sure, '%', 2)} sure"


def _number(belief: Belief) -> str:
    w = belief.weighed
    if w is None or w.value is None or not w.what or not np.isfinite(w.value):
        return ""
    return f"{w.what[0].lower()}{w.what[1:]}: {show(w.value, w.unit, 2)}"


def _answer(one: _Failure, belief: Belief) -> tuple[Barrier, ...]:
    """What would have answered it, where the check says too that it was wrong."""
    rule = belief.cause.rule
    judged = (rule,) if rule else JUDGED_BY.get(belief.mechanism or "", ())
    if belief.weighed is None or belief.weighed.verdict != Verdict.SUPPORTED:
        return ()
    if not any(one.findings(r, *_WRONG) for r in judged):
        return ()
    return (Barrier(MECHANISMS[belief.mechanism or ""].corrections[0].what.partition(",")[0]),)


def _fuse(one: _Failure, before: Sequence[_Failure]) -> list[Link]:
    """The fuse of the generator's cable, and what flowed through it."""
    said, amps = one.of.design.get, one.belief.weighed.value if one.belief and one.belief.weighed else None
    runs = [r for r in one.of.design.labels(Sheet.cable) if said(Sheet.cable.carries[r]) in _FROM_GENERATOR]
    rated = [float(f) for r in runs if (f := said(Sheet.cable.fuse[r])) is not None]
    name = f"{show(min(rated), 'A')} fuse opens" if rated else "the fuse opens"
    return [Link(name, f"about {show(amps, 'A', 2)} flow, computed" if amps is not None else "")]


_FROM_GENERATOR = (BEFORE_RECTIFIER, AFTER_RECTIFIER)


def _runaway(one: _Failure, before: Sequence[_Failure]) -> list[Link]:
    """No load left, the rotor runs away, and what that breaks."""
    found = _freed(one)
    opened = "the fuse" if before and FUSE in before[-1].symptoms else "something"
    load = _guard(one, ("storage.dump", "rotor.dump-holds"), f"a load that stays on when {opened} opens", "a dump load")
    links = []
    if before:
        links.append(Link("no load left", "nothing brakes the rotor", load))
    else:
        links.append(Link("nothing connected", "nothing brakes the rotor"))
    fast = "" if found is None else f"about {show(found.omega, 'rpm', 2)}, tips {show(found.tip, 'm/s', 2)}"
    brake = _guard(one, ("rotor.brake",), "a brake, and somebody there to use it", "a brake")
    links.append(Link("the rotor runs away", fast, brake))
    if BROKEN in one.symptoms:
        pull = None if found is None or found.pull is None else float(np.mean(found.pull))
        what = "a blade tears off at its root" if pull is not None and pull >= 1.0 else "a blade breaks"
        number = "" if pull is None else f"pull: {show(pull, '%', 2)} of the root's strength"
        limit = _guard(
            one, ("rotor.overspeed",), "something that limits the speed by itself, like a tail that folds",
            str(one.of.design.get(Sheet.rotor.overspeed) or ""),
        )  # fmt: skip
        links.append(Link(what, number, limit, harm=True))
    return links


def _freed(one: _Failure) -> Freed | None:
    """How fast it ran, where wind and machine are known."""
    ends = one.wind()
    if ends is None or one.machine.solved is None:
        return None
    found = freed(Case(one.machine.system.inputs(), Circumstances(*ends, load="nothing connected")))
    return None if isinstance(found, Unknown) else found


def _guard(one: _Failure, rules: Sequence[str], words: str, there: str) -> tuple[Barrier, ...]:
    """What the check of the machine that failed says of a guard: not there, there and of no use, or nothing known."""
    if any(one.findings(rule, *_WRONG) for rule in rules):
        return (Barrier(words),)
    stood = there and any(one.findings(rule, *_STANDS) for rule in rules)
    return (Barrier(there, there=True),) if stood else ()


_HOW: dict[str, Callable[[_Failure, Sequence[_Failure]], list[Link]]] = {
    "fuse.gust-current": _fuse,
    "rotor.overspeed": _runaway,
}


def _came_of(last: _Failure) -> list[Link]:
    """What came of it: how far a piece flew, else the effect as it was told."""
    far = last.read("blade.thrown") if BROKEN in last.symptoms else ""
    if far:
        return [Link("a piece lands", f"{far} from the mast", harm=True)]
    effect = last.told.failure.effect
    return [Link(effect, harm=BROKEN in last.symptoms)] if effect else []


def in_words(of: Chain) -> str:
    """A chain in a few sentences, for those who cannot see it."""
    said = []
    for link in of.links:
        for guard in link.guards:
            said.append(f"{'On the sheet, but it did not help' if guard.there else 'Missing here'}: {guard.words}.")
        what = link.what.rstrip(". ")
        said.append(f"{what[:1].upper()}{what[1:]}{f' ({link.number})' if link.number else ''}.")
    people = f" {of.people[0].upper()}{of.people[1:]}." if of.people else ""
    steps = ", ".join(lower_first(clauses(link.what, 9).rstrip(". ")) for link in of.links)
    how = "Speeds and currents are computed where not said to be read."
    return f"{steps[:1].upper()}{steps[1:]}. {how} {' '.join(said)}{people}"
