"""What a verdict comes to in few words, on screens and in write-ups alike: whether to run it, and what to do first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from calc.finding import Effect, Finding, Remedy, Status, first_sentence
from calc.rules.plan import Plan, Shift, ToDo
from calc.units import show
from journal.review.verdict import Review, headline

#: Share of the year's energy by which a change must move it to be told beside the change.
TOLD = 0.05
#: Words of what is told first of all that a change makes smaller or larger.
_SIZES = ("Cross-section", "Power", "Capacity", "Rated")
#: So many of a list are named before it is cut.
MOST_NAMED = 6


@dataclass(frozen=True, slots=True)
class Verdict:
    """A verdict in one line.

    Parameters
    ----------
    runs : bool
        Whether anything that was found would stop a careful person from letting it run.
    text : str
        The line.
    """

    runs: bool
    text: str


def verdict_of(review: Review) -> Verdict:
    """Whether to let it run, and how many findings say so; never that it is without danger."""
    counted = counts(review)
    if review.with_status(Status.DANGER):
        return Verdict(False, f"DO NOT LET IT TURN UNATTENDED. {counted}.")
    if review.deadly:
        return Verdict(False, f"DO NOT LET IT TURN BEFORE THIS IS KNOWN. {counted}.")
    if review.with_status(Status.FAIL):
        return Verdict(True, f"It does not do what it should yet. {counted}.")
    if review.with_status(Status.MARGINAL):
        return Verdict(True, f"Nothing that was checked fails. {counted}.")
    return Verdict(True, f"Within limits as far as it was checked. {counted}.")


def counts(review: Review) -> str:
    """How many findings of each status there are, the worst first."""
    some = [
        (len(review.with_status(Status.DANGER)), "danger", "dangers"),
        (len(review.deadly), "unknown that can kill", "unknown that can kill"),
        (len(review.with_status(Status.FAIL)), "fail", "fail"),
        (len(review.with_status(Status.MARGINAL)), "marginal", "marginal"),
        (len([f for f in review.with_status(Status.UNKNOWN) if not f.deadly]), "unknown", "unknown"),
        (len(review.with_status(Status.STATED)), "stated only", "stated only"),
        (len(review.with_status(Status.OK)), "ok", "ok"),
    ]
    return ", ".join(f"{n} {one if n == 1 else many}" for n, one, many in some if n)


def titles(review: Review, keys: Iterable[tuple[str, str]]) -> list[str]:
    """Findings by title, as they stand inside a sentence."""
    found = dict.fromkeys(keys)
    named = [headline(review.by_key[key]) for key in found if key in review.by_key]
    return [f"{t[0].lower()}{t[1:]}" for t in named]


def listed(names: list[str], most: int = MOST_NAMED) -> str:
    """Names in a row; the rest of a long list is only counted."""
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(names[:most]) + more


def short(remedy: Remedy) -> str:
    """What to do, in one sentence, with what it does to the year where that is much."""
    year = next((e for e in remedy.effects if e.name == "yearly_energy" and _much(e)), None)
    says = first_sentence(remedy.says)
    return f"{says.rstrip('.')} ({moved(year)})." if year is not None else says


def _much(e: Effect) -> bool:
    return abs(e.after - e.before) > TOLD * max(abs(e.before), abs(e.after))


def moved(e: Effect) -> str:
    """What an effect comes to, such as ``91 kWh a year in place of 16 kWh``."""
    a_year = " a year" if e.name == "yearly_energy" else ""
    return f"{show(e.after, e.unit, 2)}{a_year} in place of {show(e.before, e.unit, 2)}"


def goes_with(review: Review, todo: ToDo) -> str:
    """What else a thing to do clears, in a sentence; empty where it clears nothing more."""
    also = titles(review, [k for k in todo.clears if k not in todo.settles])
    return f"That alone also clears {len(also)} more: {listed(also)}." if also else ""


def shifted(todo: ToDo) -> str:
    """What a thing to do changes about the rest, in a sentence; empty where nothing is asked for in another size."""
    some = [_shift(s) for s in _strongest(todo.shifts)]
    return f"Do it first: it changes what the rest asks for: {'; '.join(some)}." if some else ""


def _strongest(shifts: tuple[Shift, ...]) -> list[Shift]:
    # Sizes that people think in first.
    return sorted(shifts, key=lambda s: next((i for i, w in enumerate(_SIZES) if w in s.meaning), len(_SIZES)))[:3]


def _shift(s: Shift) -> str:
    return f"{s.meaning[0].lower()}{s.meaning[1:]} {s.after} in place of {s.before}"


def left_over(review: Review, plan: Plan) -> str:
    """What all of a plan together comes to, in a sentence."""
    if not any(r.changes for t in plan.todos for r in t.remedies):
        return ""
    told = [moved(e) for e in plan.effects if e.name == "yearly_energy" and _much(e)]
    wrong = titles(review, [(rule, subject) for rule, subject, _ in plan.left])
    still = f"still wrong then: {listed(wrong)}" if wrong else "nothing of it fails then, as far as it is checked"
    return f"With all of this done: {'; '.join([*told, still])}."


def lead(review: Review, todo: ToDo) -> Finding | None:
    """The finding that a thing to do is about before all."""
    found = [review.by_key[key] for key in todo.settles if key in review.by_key]
    return min(found, key=lambda f: f.rank, default=None)
