"""Ways that were chosen to be done together: what one sets anew of another is told once, with the last value."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from calc.finding import Act, Remedy
from calc.machine.catalogue import Sheet, split
from calc.machine.design import Design
from calc.machine.entry import Value
from calc.rules.board import Key
from calc.rules.proving import Proven, changed
from calc.rules.ways import Try, Way

#: What makes one way differ in kind from another: what is bought or built anew.
PRINCIPAL = frozenset(
    entry.path
    for entry in (
        Sheet.generator.emf_constant,
        Sheet.generator.ratio,
        Sheet.rotor.diameter,
        Sheet.blade.pipe_diameter,
        Sheet.storage.voltage,
    )
)


def differs_by(changes: Iterable[str]) -> frozenset[str]:
    """By what a set of changes differs in kind from another."""
    return frozenset(split(path)[0] for path in changes) & PRINCIPAL


@dataclass(frozen=True, slots=True)
class Doing:
    """One way with the values that were chosen.

    Parameters
    ----------
    settles : tuple of (rule, subject)
        Findings that it was chosen for, the first before all.
    remedy : Remedy
        As it was proven.
    way : Way
        The way, whose words can be told of other values.
    typed : Try
        All that it sets, in SI.
    """

    settles: tuple[Key, ...]
    remedy: Remedy
    way: Way
    typed: Try

    @classmethod
    def of(cls, key: Key, proven: Proven) -> Doing:
        """A proven way of one finding."""
        assert proven.way is not None, "an act sets nothing"
        return cls((key,), proven.remedy, proven.way, proven.typed)

    @property
    def says(self) -> str:
        """What to do, with the values that were chosen."""
        return self.way.words(self.typed)

    @property
    def changes(self) -> dict[str, Value]:
        """What it sets, by full name."""
        return {entry.full: value for entry, value in self.typed.items()}

    @property
    def moves(self) -> bool:
        """Whether it means putting something somewhere else."""
        return self.way.kind is Act.MOVE

    def as_remedy(self, design: Design) -> Remedy:
        """The remedy as it is in the end, beside the sheet as it was."""
        setting = {p: v for p, v in self.changes.items() if design.values.get(p) != v}
        return replace(self.remedy, says=self.says, changes=changed(design, setting))


def merged(doings: Iterable[Doing]) -> list[Doing]:
    """Doings of which none sets anew what another has set: the earlier one takes the value, and what it settles."""
    kept: list[Doing] = []
    for doing in doings:
        shared: set[str] = set()
        for i, other in enumerate(kept):
            both = other.changes.keys() & doing.changes.keys()
            if both:
                anew = {e: doing.changes[e.full] if e.full in both else v for e, v in other.typed.items()}
                kept[i] = replace(other, typed=anew)
                shared |= both
        if doing.changes.keys() <= shared:
            owner = next(i for i, other in enumerate(kept) if other.changes.keys() & doing.changes.keys())
            kept[owner] = replace(kept[owner], settles=(*kept[owner].settles, *doing.settles))
        else:
            kept.append(doing)
    return kept


def all_changes(doings: Iterable[Doing]) -> dict[str, Value]:
    """What they set together, by full name."""
    return {path: value for doing in doings for path, value in doing.changes.items()}
