"""Who and what stands around the machine, how far away by the record, and who of them it can reach."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.neighbours import LINE, OWN_HOUSE
from calc.units import show, show_up
from journal.book.shown import unit_told
from journal.publish.numbers import MachineTold, thrown_to
from journal.publish.plainly import another, place_words
from journal.publish.story import Chapter, Story

#: So many of the places around are told.
MOST_PLACES = 4
#: Share of a distance from which on its doubt is told beside it.
DOUBTED = 0.1


@dataclass(frozen=True, slots=True)
class Nearby:
    """One of them: what it is called, its kind, how far away it is on record and at least [m], and its typed doubt."""

    name: str
    kind: str
    away: float
    low: float
    doubt: float

    @property
    def told(self) -> str:
        """How far away it is, as recorded; with the doubt on record where that is much of it."""
        give = f" (give or take {show(self.doubt, 'm', 2)})" if self.doubt > DOUBTED * self.away else ""
        return f"{show(self.away, 'm')}{give}"


def places(c: Chapter) -> list[Nearby]:
    """Who and what stands around the machine of a revision, the nearest first."""
    at, design = Sheet.neighbour, c.design
    found = []
    for label in design.labels(at):
        kind, away = design.get(at.kind[label]), design.get(at.distance[label])
        if kind and away is not None:
            found.append(_place(c, place_words(str(kind), label, brief=True), str(kind), at.distance[label].full))
    if not any(place.kind == LINE for place in found) and design.get(Sheet.mast.line_distance) is not None:
        found.append(_place(c, "the power line", LINE, Sheet.mast.line_distance.full))
    return sorted(found, key=lambda place: place.away)


def _place(c: Chapter, name: str, kind: str, path: str) -> Nearby:
    away = float(c.design.values[path])
    typed = c.doubts_typed.get(path, (away, away))
    return Nearby(name, kind, away, min(c.doubts.get(path, typed)[0], away), max(away - typed[0], typed[1] - away))


def in_a_row(some: Iterable[str]) -> str:
    """Texts in a row, with *and* before the last.

    Examples
    --------
    >>> in_a_row(["the gate", "the lane", "2 more"]), in_a_row(["the gate"]), in_a_row([])
    ('the gate, the lane and 2 more', 'the gate', '')
    """
    told = list(some)
    return " and ".join(filter(None, [", ".join(told[:-1]), *told[-1:]]))


def named(some: list[Nearby], *, far: bool = False) -> str:
    """The first few of some places; of those called the same each but the first is another.

    Parameters
    ----------
    some : list of Nearby
        The nearest first.
    far : bool
        Whether it is told how far away each of them is.
    """
    had: Counter[str] = Counter()
    told = []
    for place in some[:MOST_PLACES]:
        name = another(place.kind) if had[place.name] else place.name
        had[place.name] += 1
        told.append(f"{name} {place.told}" if far else name)
    more = len(some) - len(told)
    return in_a_row([*told, f"{more} more"] if more else told)


def reaches(story: Story, c: Chapter, machine: MachineTold) -> dict[str, Any]:
    """How far it falls, how far a piece flies, and who is how far away; who may be within that counts as within."""
    around, radius, throw = places(c), machine.system.fall_radius, machine.throw
    lines = [p for p in around if p.kind == LINE]
    others = [p for p in around if p.kind not in (LINE, OWN_HOUSE)]
    hit = [p for p in others if throw is not None and p.low < throw.distance]
    return {
        "fall_radius": None if radius is None else show(radius, "m", 2),
        "under": named([p for p in around if radius is not None and p.low < radius]),
        "line_clear": lines[0].told if lines and radius is not None and all(p.low >= radius for p in lines) else "",
        "flies": throw and thrown_to(throw),
        "held": throw is not None and throw.held,
        "flew": throw is not None and throw.found,
        "hit": named(hit, far=True),
        "landed": None if machine.landed is None else show_up(machine.landed, unit_told("m")),
        "landed_before": (then := _thrown_on(story)) is not None and moved(then, c),
        "beyond": named([p for p in others if p not in hit], far=True),
    }


def _thrown_on(story: Story) -> Chapter | None:
    """The revision whose piece was found furthest away."""
    far = {i: most for i, c in enumerate(story.chapters) if (most := _found(c))}
    return story.chapters[max(far, key=lambda i: far[i])] if far else None


def _found(c: Chapter) -> float:
    singly = [m for t in c.tried for m in t.read] + list(c.read_apart)
    series = [s for t in c.tried for s in t.series] + list(c.series_apart)
    read = [m.value for m in singly if m.quantity == "blade.thrown" and m.value is not None]
    return max([*read, *(s.highest for s in series if s.quantity == "blade.thrown")], default=0.0)


def moved(then: Chapter, now: Chapter) -> bool:
    """Whether a machine stood somewhere else then, by what stood around it or what it stood on."""
    at = Sheet.neighbour.distance
    both = set(then.design.labels(Sheet.neighbour)) & set(now.design.labels(Sheet.neighbour))
    changed = any(then.design.get(at[n]) != now.design.get(at[n]) for n in both)
    return changed or then.design.get(Sheet.mast.kind) != now.design.get(Sheet.mast.kind)
