"""A comparison in five lines, and what changed in the order of what it moves: computed, not read off the sheet."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

from sqlmodel import Session

from calc.finding import Finding, Status
from calc.machine.system import KeyFigure
from calc.units import show, show_down
from journal.book import decisions, parts
from journal.book.records import records_on
from journal.book.tables import Decision, Revision
from journal.errors import stopped
from journal.review.comparison import ANSWERED, ONLY_STATED, Changed, Comparison, Turn
from journal.review.counsel import listed, may_come_down
from journal.review.verdict import Review, headline
from journal.review.wording import cost_text, figure_data, lower_first, range_text

#: Share by which a figure must move for a change to be told with it.
TOLD = 0.05
#: What one step of a finding from one level to the next counts beside the whole of the year's energy. Own choice.
_STEP = 0.1


@dataclass(frozen=True, slots=True)
class SummaryLine:
    """One of the five lines: what it is about, what it says, and the same as data."""

    name: str
    title: str
    says: str
    data: dict[str, Any]


def summary(session: Session, c: Comparison) -> list[SummaryLine]:
    """What a change was for, and what it did to the year's energy, the charging wind, the dangers and the cost."""
    return [_purpose(session, c), _energy(c), _charging(c), _dangers(c), _cost(c)]


#: What is said around failures, by how far they are answered.
_SAID = (("answers", ""), ("against", " not yet shown to work"), ("nothing against", ""))


def _purpose(session: Session, c: Comparison) -> SummaryLine:
    """The reason that was given, else the failures that it answers, else what was decided."""
    new = c.new.revision
    fates = {word: [a.failure.ref for a in c.answers if a.answered == word] for word in ANSWERED}
    decided = _decided(session, new)
    says = [stopped(new.because)] if new.because else []
    told = [
        f"{before} {listed(refs)}{after}" for (before, after), refs in zip(_SAID, fates.values(), strict=True) if refs
    ]
    if told:
        sentence = "; ".join(told)
        says.append(f"{sentence[0].upper()}{sentence[1:]}.")
    if not says and decided:
        says = [" ".join(f"{ref}: {chosen}." for ref, chosen in decided.items())]
    if new.number < c.old.revision.number:
        says = [f"This looks back: {new.ref} came before {c.old.revision.ref}."]
    shown, built, left = fates.values()
    data = {
        "because": new.because, "shown_to_work": shown, "not_yet_shown": built, "unanswered": left, "decided": decided,
    }  # fmt: skip
    return SummaryLine("purpose", "For", " ".join(says) or "Nobody said.", data)


def _decided(session: Session, on: Revision) -> dict[str, str]:
    """What was chosen on a revision, by decision."""
    made = records_on(session, Decision, on)
    chosen = {d.ref: next((o.name for o in decisions.options(session, d) if o.chosen), "") for d in made}
    return {ref: name for ref, name in chosen.items() if name}


def _figure(review: Review, name: str) -> KeyFigure | None:
    return review.system.figures.get(name)


def _known(f: KeyFigure | None, when: str) -> str:
    """A figure with its range, when it was so between them."""
    told = "not known" if f is None else _end(f.value, f.unit)
    ends = "" if f is None or math.isnan(f.low) else f"({range_text(f.low, f.high, f.unit).removesuffix(f' {f.unit}')})"
    return " ".join(filter(None, [told, when, ends]))


def _end(value: float, unit: str) -> str:
    return "never" if math.isinf(value) else show(value, unit, 2)


def _settled(old: KeyFigure, new: KeyFigure) -> bool:
    """Whether the ranges of two figures lie apart; without ranges the values decide."""
    low = [f.value if math.isnan(f.low) else f.low for f in (old, new)]
    high = [f.value if math.isnan(f.high) else f.high for f in (old, new)]
    return high[0] < low[1] or high[1] < low[0]


def _data_of(old: KeyFigure | None, new: KeyFigure | None) -> dict[str, Any]:
    settled = _settled(old, new) if old is not None and new is not None else None
    return {"old": old and figure_data(old), "new": new and figure_data(new), "settled": settled}


def _energy(c: Comparison) -> SummaryLine:
    old, new = (_figure(r, "yearly_energy") for r in (c.old, c.new))
    says = f"{_known(old, 'a year before')}, {_known(new, 'now')}"
    if old is not None and new is not None:
        says += f": {_times(old.value, new.value)}{_least(old, new)}"
        says += "" if _settled(old, new) else ", but the doubts are wider than the difference"
    return SummaryLine("yearly_energy", "Energy", f"{says}.", _data_of(old, new))


def _least(old: KeyFigure, new: KeyFigure) -> str:
    """How many times as much it is at the least, where the ranges of both are so wide that it matters."""
    if old.value <= 0 or new.value < 2.0 * old.value or math.isnan(old.high) or math.isnan(new.low):
        return ""
    least = new.low / old.high
    return f", at least {show_down(least, '', 1)} times" if 1.0 < least < new.value / old.value / 2.0 else ""


def _times(before: float, after: float) -> str:
    """How much one is of the other, in words."""
    if before <= 0 or after <= 0:
        return "as little" if before == after else "it gave nothing" if before <= 0 else "it gives nothing"
    ratio = after / before
    if abs(ratio - 1.0) < TOLD:
        return "about as much"
    if ratio >= 2.0:
        return f"{show(ratio, '', 2)} times as much"
    return f"{show(abs(ratio - 1.0), '%', 2)} {'more' if ratio > 1.0 else 'less'}"


def _charging(c: Comparison) -> SummaryLine:
    old, new = (_figure(r, "charging_wind") for r in (c.old, c.new))
    says = f"from {_known(old, 'before')}, from {_known(new, 'now')}"
    says = says.replace("from never", "never").replace("from not", "not")
    if mean := _figure(c.new, "hub_wind"):
        says += f"; the mean wind there is {show(mean.value, mean.unit, 2)}"
    if old is not None and new is not None and not _settled(old, new):
        says += ". The doubts are wider than the difference"
    return SummaryLine("charging_wind", "Charges", f"{says[0].upper()}{says[1:]}.", _data_of(old, new))


#: What can become of a danger, by how its finding turned, in the order in which it is told.
_FATES = ("still", "fails now", ONLY_STATED, "no longer known", "no longer applies", "shown to be gone")


def _fate(t: Turn) -> str:
    if t.new is None:
        return "no longer applies"
    words = {
        Status.DANGER: "still",
        Status.FAIL: "fails now",
        Status.STATED: ONLY_STATED,
        Status.UNKNOWN: "no longer known",
    }
    return words.get(t.new.status, "shown to be gone")


@dataclass
class _Dangers:
    """Titles of dangers by what became of them, and those that are new."""

    fates: dict[str, list[str]] = field(default_factory=dict)
    new: list[str] = field(default_factory=list)


def _sorted_dangers(c: Comparison) -> _Dangers:
    found = _Dangers()
    for t in c.turns:
        if _is_danger(t.old):
            found.fates.setdefault(_fate(t), []).append(lower_first(headline(t)))
        elif _is_danger(t.new):
            found.new.append(lower_first(headline(t)))
    return found


def _is_danger(f: Finding | None) -> bool:
    return f is not None and f.status is Status.DANGER


def _dangers(c: Comparison) -> SummaryLine:
    """How many before and now, and what became of each; what is not known and can kill is counted beside them."""
    found = _sorted_dangers(c)
    before, now = (len(r.with_status(Status.DANGER)) for r in (c.old, c.new))
    told = [f"New: {listed(found.new)}"] if found.new else []
    for fate in _FATES:
        if some := found.fates.get(fate):
            # Those that were settled by a number need no names.
            told.append(f"{fate}: {listed(some) if fate not in _FATES[-2:] else len(some)}")
    says = f"{before or 'none'} before, {now or 'none'} found now"
    falling = may_come_down(c.new)
    told = [*([f"Yet it may come down in a storm: {listed(falling)}"] if falling else []), *told]
    says = ". ".join([says[0].upper() + says[1:], *(t[0].upper() + t[1:] for t in told)])
    deadly = tuple(len(r.deadly) for r in (c.old, c.new))
    if any(deadly):
        says += f". Not known and can kill: {deadly[0] or 'none'} before, {deadly[1] or 'none'} now"
    data = {
        "old": before, "new": now, "became": found.fates, "come": found.new, "may_come_down": falling,
        "deadly": {"old": deadly[0], "new": deadly[1]},
    }  # fmt: skip
    return SummaryLine("dangers", "Dangers", f"{says}.", data)


def _cost(c: Comparison) -> SummaryLine:
    """The sum of each bill of materials, and what the new parts of it cost."""
    added = parts.cost((p, None) for p in c.parts_new)
    data = {"old": c.cost_old, "new": c.cost_new, "new_parts": added}
    if not (c.cost_old or c.cost_new):
        return SummaryLine("cost", "Cost", "Not stated.", data)
    says = f"{cost_text(c.cost_old) or 'not stated'} before, {cost_text(c.cost_new) or 'not stated'} now"
    says += f"; the new parts alone {cost_text(added)}" if added and added != c.cost_new else ""
    return SummaryLine("cost", "Cost", f"{says[0].upper()}{says[1:]}.", data)


@dataclass(frozen=True, slots=True)
class Moved:
    """One value of the sheet that both revisions state, and what it alone would do if left as it was.

    Parameters
    ----------
    changed : Changed
        The value.
    exists : bool
        Whether the new machine could be built with the old value.
    energy : float or None
        Energy in a year then, where that is much more or less. [J]
    charging : float or None
        Wind in which charging begins then, where that is much more or less. [m/s]
    dangers, fails : int
        So many dangers, and fails, more; fewer where that is negative.
    weight : float
        By which it stands among the others.
    eased : bool
        Whether a thinner cable then brings more: its resistance lets the rotor turn faster.
    """

    changed: Changed
    exists: bool
    energy: float | None
    charging: float | None
    dangers: int
    fails: int
    weight: float
    eased: bool = False

    @property
    def text(self) -> str:
        """What leaving it would do, in few words; empty where it moves nothing that is told."""
        if not self.exists:
            return "does not fit"
        told = [
            f"{abs(n)} {what}{'s' if abs(n) > 1 and what == 'danger' else ''} {'more' if n > 0 else 'fewer'}"
            for n, what in ((self.dangers, "danger"), (self.fails, "fail"))
            if n
        ]
        if self.energy is not None:
            faster = ": it holds the rotor back less" if self.eased else ""
            told.append(f"{show(self.energy, 'kWh', 2)} a year{faster}")
        return ", ".join(told)


def put_back(c: Comparison) -> list[Moved]:
    """Every value that both sheets state, what moves most first: each put back alone, and the machine solved again."""
    from calc.rules import RULES
    from calc.rules.board import Board

    both = [row for row in c.changed if row.old and row.new]
    old, system = c.old.sheet.design.values, c.new.system
    board = Board(RULES, system.design, system.inputs().computed)
    rows = []
    for row, one in zip(both, board.variants([{row.path: old[row.path]} for row in both]), strict=True):
        keys = [(board.badness(key), board.badness(key, one)) for key in one.codes]
        shares = [_share(board.energy, one.energy), _share(board.charging, one.charging)]
        steps = sum(abs(after - before) for before, after in keys)
        rows.append(
            Moved(
                row,
                one.exists,
                one.energy if shares[0] > TOLD else None,
                one.charging if shares[1] > TOLD else None,
                sum((after == 3.0) - (before == 3.0) for before, after in keys),
                sum((after == 2.0) - (before == 2.0) for before, after in keys),
                (max(shares) if one.exists else 1.0) + _STEP * steps,
                row.path.startswith("cable.") and row.path.endswith(".area") and _more(board.energy, one.energy),
            )
        )
    return sorted(rows, key=lambda m: -m.weight)


def _more(before: float | None, after: float | None) -> bool:
    return before is not None and after is not None and after > before


def _share(before: float | None, after: float | None) -> float:
    """By how much of the greater of them two figures differ; what comes or goes differs by all of it."""
    if before is None or after is None:
        return 0.0 if before is after else 1.0
    if math.isinf(before) or math.isinf(after):
        return 0.0 if before == after else 1.0
    return abs(after - before) / max(abs(before), abs(after), 1e-9)
