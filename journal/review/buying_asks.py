"""What the checks ask of the things that a sheet needs: as the plan of check has it, and for all things together.

What is bought in another size than the sheet's may ask another size of what it goes with: a thicker plate longer bolts.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from calc.finding import Finding, Remedy, Status
from calc.machine.buying import Needed, needed
from calc.machine.design import build_design
from calc.machine.entry import Value

if TYPE_CHECKING:
    from journal.review.verdict import Review

Key = tuple[str, str, str]


@dataclass(frozen=True)
class SizesAsked:
    """Values that checks ask for, and the remedies that they come from."""

    changes: dict[str, Value]
    remedies: tuple[Remedy, ...] = ()

    @property
    def says(self) -> tuple[str, ...]:
        """What to do, in words."""
        return tuple(dict.fromkeys(r.says for r in self.remedies))


class AsksOfThings:
    """What the findings of a review ask of the things on its list."""

    def __init__(self, review: Review) -> None:
        """Of a review that has its remedies."""
        self._design, self._findings = review.sheet.design, review.findings
        todos = review.plan.todos
        self._plan = [r for t in todos for r in t.remedies]
        self._planned = {key: t.remedies for t in todos for key in t.clears if t.remedies}
        self._planned |= {key: t.remedies for t in todos for key in t.settles if t.remedies}
        self._lists: dict[tuple[tuple[str, Value], ...], dict[Key, Needed]] = {}

    def resized(self, of: Needed, changes: Mapping[str, Value]) -> Needed | None:
        """The same thing of a sheet with some changes; None where it is not the same, or is as it was.

        What loads are asked for is several, not a larger one.
        """
        found = None if of.kind == "loads" else self._listed(changes).get(_key(of))
        return None if found == of else found

    def _listed(self, changes: Mapping[str, Value]) -> dict[Key, Needed]:
        of = tuple(sorted(changes.items(), key=lambda item: item[0]))
        if of not in self._lists:
            other = build_design({**self._design.values, **changes}, self._design.assumed)
            self._lists[of] = {_key(n): n for n in needed(other)}
        return self._lists[of]

    def sizes(self, of: Needed, found: Iterable[Finding]) -> SizesAsked:
        """Other sizes of a thing that findings ask for."""
        return asked([r for f in found for r in self._sizing(of, f)])

    def _sizing(self, of: Needed, finding: Finding) -> list[Remedy]:
        """All that the plan does about a finding and that gives the thing another size, else the first of its own."""
        moving = [r for r in self.remedies(finding) if self._moves(of, r)]
        return moving if finding.key in self._planned else moving[:1]

    def remedies(self, finding: Finding) -> tuple[Remedy, ...]:
        """What is done about a finding, in the order of the plan where it is settled or cleared there.

        Of several things done at once those count that set what the finding's own remedies set, if any do.
        """
        planned = self._planned.get(finding.key)
        if not planned:
            return finding.remedies
        says = {r.says for r in finding.remedies}
        sets = {path for r in finding.remedies for path in _values(r)}
        return tuple(r for r in planned if r.says in says or sets & _values(r).keys()) or planned

    def _moves(self, of: Needed, remedy: Remedy) -> bool:
        return bool(remedy.changes) and self.resized(of, _values(remedy)) is not None

    def bought(self, lines: Iterable[tuple[Needed, Sequence[Finding]]]) -> SizesAsked:
        """What is bought in other sizes, by the plan and by what counts against each thing."""
        own = [r for of, found in lines for r in self.sizes(of, found).remedies]
        return asked([*(r for r in self._plan if r.changes), *own])

    def holding(self, of: Needed, found: Sequence[Finding], bought: SizesAsked) -> tuple[Needed | None, SizesAsked]:
        """The thing with sizes that hold and go with what else is bought; None where these are the sheet's."""
        moving = [r for r in bought.remedies if self._moves(of, r)]
        total = asked([*self.sizes(of, found).remedies, *moving])
        return (self.resized(of, total.changes) if total.remedies else None), total

    def acts(self, of: Needed, found: Sequence[Finding]) -> list[str]:
        """What else is to be done about findings that ask for no other size of the thing."""
        return [
            r.says
            for f in found
            for r in self.remedies(f)[:1]
            if not self._sizing(of, f) and (f.over or f.status is not Status.MARGINAL)
        ]

    def rather(self, of: Needed, about: Sequence[Finding], total: SizesAsked) -> tuple[str, ...]:
        """What marginal findings ask for that would change the thing once more, and that is not taken up.

        Parameters
        ----------
        of : Needed
            The thing as the sheet has it.
        about : sequence of Finding
            Those that judge this thing; others count only by the first thing that they ask for.
        total : SizesAsked
            What is taken up.
        """
        told = []
        now = self.resized(of, total.changes) or of
        for f in self._findings:
            changing = [r for r in self.remedies(f) if r.changes]
            counted = changing if f in about else changing[:1]
            if f.status is not Status.MARGINAL or f.of_reading:
                continue
            beside = (self.resized(of, larger([total.changes, _values(r)])) or of for r in counted)
            if any(one != now for one in beside):
                told.append(changing[0].says)
        return tuple(says for says in dict.fromkeys(told) if says not in total.says)

    def also(self) -> list[tuple[str, tuple[str, ...]]]:
        """What the plan asks for that gives nothing on the list another size, and the things that it brings, if any."""
        have = self._listed({})
        found = []
        for r in (r for r in self._plan if r.changes):
            with_it = self._listed(_values(r))
            if not any(with_it.get(key, n) != n for key, n in have.items()):
                found.append((r.says, tuple(n.name for key, n in with_it.items() if key not in have)))
        return found


def _key(of: Needed) -> Key:
    return of.kind, of.run, of.name


def asked(sized: Iterable[Remedy]) -> SizesAsked:
    """All of some remedies; of one whose sizes another asks for as well, or larger ones, nothing is said."""
    every = list({r.says: r for r in sized}.values())
    left = [r for i, r in enumerate(every) if not any(_within(r, o, i > j) for j, o in enumerate(every) if o is not r)]
    return SizesAsked(larger(map(_values, every)), tuple(left))


def _within(remedy: Remedy, other: Remedy, later: bool) -> bool:
    """Whether another sets all that a remedy sets, nothing of it less; of two that are alike the later goes."""
    own, others = _values(remedy), _values(other)
    if own == others:
        return later
    return all(path in others and larger([own, others])[path] == others[path] for path in own)


def larger(every: Iterable[Mapping[str, Value]]) -> dict[str, Value]:
    """All of some changes; of two numbers for one value the larger."""
    changes: dict[str, Value] = {}
    for one in every:
        for path, value in one.items():
            before = changes.get(path)
            kept = isinstance(before, float) and isinstance(value, float) and before > value
            changes[path] = before if kept and before is not None else value
    return changes


def _values(remedy: Remedy) -> dict[str, Value]:
    return {c.path: c.value for c in remedy.changes}
