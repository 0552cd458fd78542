"""What a verdict comes to in few words, on screens and in write-ups alike: whether to run it, and what to do first."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from calc.finding import Effect, Finding, Remedy, Status, first_sentence
from calc.machine.catalogue import Sheet, split
from calc.rules.plan import Plan, ToDo
from calc.units import digits
from journal.review.verdict import Review, headline

#: Share of the year's energy by which a change must move it to be told beside the change.
TOLD = 0.1
#: What is told of what a change asks of the rest, by the name of the value without label, and how it is called.
_SIZES = {
    Sheet.cable.area.path: "cable",
    Sheet.dump.power.path: "dump load",
    Sheet.storage.capacity.path: "battery",
    Sheet.cable.fuse.path: "fuse",
}
#: So many of a list are named before it is cut.
MOST_NAMED = 6


@dataclass(frozen=True, slots=True)
class Headline:
    """A verdict in one line.

    Parameters
    ----------
    stops : bool
        Whether it must not turn or not be raised, by what was found. Where it need not stop nothing is promised.
    text : str
        The line.
    """

    stops: bool
    text: str


@dataclass(frozen=True, slots=True)
class ByCause:
    """What one thing to do is about: findings that have their cause in common.

    Parameters
    ----------
    lead : Finding
        What decides.
    also : tuple of str
        Titles of what goes with it without more being done.
    do : str
        The thing to do, in a sentence; empty where no single change settles it.
    """

    lead: Finding
    also: tuple[str, ...] = ()
    do: str = ""

    @property
    def status(self) -> Status:
        """How bad it is."""
        return self.lead.status


def groups(review: Review) -> list[ByCause]:
    """What must be put right, by cause, in the order of the plan; claims that cannot be true are no part of it."""
    found = []
    for todo in review.plan.todos:
        if (leads := lead(review, todo)) is not None:
            do = short(todo, energy=False) if todo.remedies else ""
            found.append(ByCause(leads, tuple(titles(review, _beside(review, todo, leads))), do))
    return found


def _beside(review: Review, todo: ToDo, leads: Finding) -> list[tuple[str, str]]:
    """What a thing to do clears beside what it is about before all; dangers first."""
    dangers = [k for k in todo.settles if _danger(review, k)]
    return [k for k in dict.fromkeys((*dangers, *todo.clears)) if k != leads.key]


#: Rules of the lift and of what then holds the mast, by how their names begin; and what is only done once it stands.
_UPRIGHT = (
    "raising.",
    "guy.",
    "base.",
    "mast.tube-strength",
    "mast.joints",
    "mast.rated-load",
    "mast.legs",
    "mast.building",
)
_ONCE_UP = ("guy.pretension",)
#: What else kills while a mast goes up: lines that it reaches, and people under it.
_ON_THE_WAY = ("mast.overhead-lines", "neighbour.fall")


def holds_mast(finding: Finding) -> bool:
    """Whether it is about the lift, or about what holds the mast once it stands."""
    return finding.rule.startswith(_UPRIGHT) and finding.rule not in _ONCE_UP


def stops_raising(finding: Finding) -> bool:
    """Whether it kills while the mast goes up, or once it stands."""
    return holds_mast(finding) or finding.rule in _ON_THE_WAY


def _what_not(found: Iterable[Finding]) -> str:
    """What must not be done, where some findings can kill: turning it, raising it, or both."""
    raised = [stops_raising(f) for f in found]
    if all(raised):
        return "RAISE IT"
    return "LET IT TURN, NOR RAISE IT" if any(raised) else "LET IT TURN"


def verdict_of(review: Review) -> Headline:
    """Whether to raise it and let it run, and how many findings say so; never that it is without danger."""
    counted = counts(review)
    if dangers := review.with_status(Status.DANGER):
        return Headline(True, f"DO NOT {_what_not(dangers)}: {counted}.")
    if review.deadly:
        return Headline(True, f"DO NOT {_what_not(review.deadly)} BEFORE THIS IS KNOWN: {counted}.")
    unshown = _unshown(review)
    fails = review.with_status(Status.FAIL)
    left = [f for f in fails if f.key not in review.accepted]
    if weak := may_come_down(review):
        named = listed(weak, 2)
        # What was raised long ago is not told to stay on the ground.
        first = "LOWER IT BEFORE A STORM" if review.revision.frozen_at else "DO NOT RAISE IT AS IT IS"
        return Headline(False, f"{first}, it may come down ({named}): {counted}.{unshown}")
    if left:
        return Headline(False, f"It does not do what it should yet: {counted}.{unshown}")
    if fails:
        return Headline(False, f"Nothing fails but what you accepted: {counted}.{unshown}")
    if review.with_status(Status.MARGINAL):
        return Headline(False, f"Nothing that was checked fails: {counted}.{unshown}")
    return Headline(False, f"Within limits as far as it was checked.{unshown}")


def may_come_down(review: Review) -> list[str]:
    """Titles of what fails, was not accepted, and holds the mast up."""
    fails = review.with_status(Status.FAIL)
    return titles(review, [f.key for f in fails if f.key not in review.accepted and holds_mast(f)])


#: What must hold in a storm, and no sum can show: rule, and how it is called.
_SHOWN_BY_TRIAL = {"rotor.overspeed": "what holds it back in a storm", "rotor.brake": "its brake"}


def _unshown(review: Review) -> str:
    """What only the sheet says of it, and a storm would put to the test; with a space ahead of it."""
    stated = {f.rule for f in review.with_status(Status.STATED)}
    named = [called for rule, called in _SHOWN_BY_TRIAL.items() if rule in stated]
    if not named:
        return ""
    return f" Only you say so, nobody has shown it: {' and '.join(named)}. Stay with it while it turns."


def counts(review: Review) -> str:
    """How many findings ask for something, the worst first."""
    some = [
        (len(review.with_status(Status.DANGER)), "danger", "dangers"),
        (len(review.deadly), "deadly unknown", "deadly unknowns"),
        (len(review.with_status(Status.FAIL)), "fail", "fail"),
        (len(review.with_status(Status.MARGINAL)), "marginal", "marginal"),
    ]
    # Beside a danger nobody counts what is nearly enough.
    some = some[:-1] if some[0][0] else some
    return ", ".join(f"{n} {one if n == 1 else many}" for n, one, many in some if n)


def quiet(review: Review) -> str:
    """How many findings ask for nothing, and how many only take the builder's word."""
    ok, stated = len(review.with_status(Status.OK)), len(review.with_status(Status.STATED))
    return f"{ok} within limits" + (f", {stated} only because you said so" if stated else "")


def titles(review: Review, keys: Iterable[tuple[str, str]]) -> list[str]:
    """Findings by title, as they stand inside a sentence."""
    found = dict.fromkeys(keys)
    rules = Counter(f.rule for f in review.findings)
    named = [review.by_key[key] for key in found if key in review.by_key]
    # The thing is named where there are several.
    told = [headline(f) if rules[f.rule] > 1 else f.title for f in named]
    return [f"{t[0].lower()}{t[1:]}" for t in told]


def listed(names: list[str], most: int = MOST_NAMED) -> str:
    """Names in a row; the rest of a long list is only counted."""
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(names[:most]) + more


def short(todo: ToDo, *, energy: bool = True) -> str:
    """What to do, in one sentence: of each remedy what is bought or done, its sizes, and what the year gets of it."""
    pieces = [_brief(r, energy=energy) for r in todo.remedies]
    return "; ".join(p if i == 0 else f"{p[0].lower()}{p[1:]}" for i, p in enumerate(pieces)) + "."


def _brief(remedy: Remedy, *, energy: bool) -> str:
    whole = re.split(r"[;:]\s| \(", first_sentence(remedy.says), maxsplit=1)[0].rstrip(".").split(", ")
    # A piece with a size in it is part of what is bought, and all that stands before it.
    last = max((i for i, p in enumerate(whole) if re.search(r"\d", p) and not p.startswith("and ")), default=0)
    says = ", ".join(whole[: last + 1])
    year = next((e for e in remedy.effects if e.name == "yearly_energy" and _much(e)), None) if energy else None
    return f"{says} ({moved(year)})" if year is not None else says


def _much(e: Effect) -> bool:
    return abs(e.after - e.before) > TOLD * max(abs(e.before), abs(e.after))


def moved(e: Effect) -> str:
    """What an effect comes to, such as ``91 kWh a year, not 16``."""
    a_year = " a year" if e.name == "yearly_energy" else ""
    return f"{digits(e.after, 2)} {e.unit}{a_year}, not {digits(e.before, 2)}"


def goes_with(review: Review, todo: ToDo) -> str:
    """What else a thing to do clears, in a sentence; empty where it clears nothing more."""
    leads = lead(review, todo)
    keys = _beside(review, todo, leads) if leads else []
    named = [f"{t} (danger)" if _danger(review, k) else t for k in keys for t in titles(review, [k])]
    return f"It also clears {len(named)}: {listed(named)}." if named else ""


def _danger(review: Review, key: tuple[str, str]) -> bool:
    return key in review.by_key and review.by_key[key].status is Status.DANGER


def shifted(todo: ToDo) -> str:
    """What a thing to do changes about the size of the rest, in a sentence; empty where it changes none of it."""
    some = [
        f"{called} {s.after}, not {s.before}"
        for path, called in _SIZES.items()
        for s in todo.shifts
        if split(s.path)[0] == path
    ]
    return f"Do it first, for it changes the rest: {'; '.join(some[:3])}." if some else ""


def left_over(review: Review, plan: Plan) -> str:
    """What all of a plan together comes to, in a sentence."""
    if not any(r.changes for t in plan.todos for r in t.remedies):
        return ""
    told = [moved(e) for e in plan.effects if e.name == "yearly_energy" and _much(e)]
    wrong = titles(review, [(rule, subject) for rule, subject, _ in plan.left])
    unknown = len(review.with_status(Status.UNKNOWN))
    open_ = f", {unknown} unknown" if unknown else ""
    still = f"still wrong then: {listed(wrong)}" if wrong else f"nothing checked fails then{open_}"
    return f"{'; '.join([*told, still])}."


def in_order(review: Review, finding: Finding) -> str:
    """What is done about a finding once all that comes before it is done; empty where that is the same as now."""
    own = {r.says for r in finding.remedies}
    sets = {c.path for r in finding.remedies for c in r.changes}
    planned = (r for t in review.plan.todos if finding.key in t.settles for r in t.remedies)
    return " ".join(r.says for r in planned if r.says not in own and sets & {c.path for c in r.changes})


def lead(review: Review, todo: ToDo) -> Finding | None:
    """The finding that a thing to do is about before all: the worst, what it was chosen for before what it clears.

    Of those the one that stands first among all findings: what waits for no storm.
    """
    found = [f for f in review.findings if f.key in {*todo.settles, *todo.clears}]
    return min(found, key=lambda f: (f.rank, f.key not in todo.settles), default=None)
