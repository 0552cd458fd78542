"""Who write-ups are for: one entry a reader, beside the template of the same name."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from calc.machine.catalogue import Sheet
from calc.physics.storage import lithium
from calc.units import show
from journal.publish import private
from journal.publish.numbers import throw_words
from journal.publish.redact import Redacted

Names = Callable[[Redacted], dict[str, Any]]


def _every(picture: str) -> bool:
    return True


def _no_names(told: Redacted) -> dict[str, Any]:
    return {}


@dataclass(frozen=True)
class Reader:
    """What one reader gets.

    Parameters
    ----------
    shows : frozenset of str
        Kinds of private things told without being asked for, of :data:`journal.publish.private.KINDS`.
    names : callable
        What the template sees beside ``story``, ``build`` and ``shown``, made from the redacted story.
    pictures : callable
        Whether the template may set in an entry of :data:`journal.publish.figures.FIGURES`.
    built_only : bool
        Whether pictures show what stands, and not what is planned.
    """

    shows: frozenset[str] = frozenset()
    names: Names = _no_names
    pictures: Callable[[str], bool] = _every
    built_only: bool = False


#: What somebody without the trade's words would call it.
_OVERSPEED = {
    "furling tail": "a tail that turns it out of the wind",
    "pitching blades": "blades that turn out of the wind by themselves",
    "mechanical brake worked by speed": "a brake that works by itself when it turns too fast",
    "other, worked by speed": "a means of its own, not described here,",
}
_BRAKES = {
    "switch that shorts the generator": "a switch that brakes it electrically",
    "mechanical brake": "a mechanical brake",
    "other": "a brake that is not described here",
}
_MASTS = {
    "guyed tilt-up": "a mast of its own, held by ropes, that can be lowered",
    "free-standing pole": "a pole of its own",
    "lattice tower": "a lattice tower of its own",
    "on a roof or gable": "a mast fixed to a building",
    "other": "a mast that is not described here",
}


def _for_neighbours(told: Redacted) -> dict[str, Any]:
    """What the plain page says of the machine that stands: in plain words, and two distances."""
    stands = told.story.standing
    if stands is None:
        return {"c": None}
    said, machine = stands.design.get, told.machines[stands.revision.ref]
    chemistry = said(Sheet.storage.chemistry)
    return {
        "c": stands,
        "height": _length(said(Sheet.mast.height)),
        "across": _length(said(Sheet.rotor.diameter)),
        "fall_radius": _length(machine.system.fall_radius),
        "throw": machine.throw and throw_words(machine.throw),
        "landed": None if machine.landed is None else show(machine.landed, "m", 3),
        "slowed_by": _OVERSPEED.get(str(said(Sheet.rotor.overspeed)), ""),
        "stopped_by": _BRAKES.get(str(said(Sheet.rotor.brake)), ""),
        "stands_on": _MASTS.get(str(said(Sheet.mast.kind)), ""),
        "feed": said(Sheet.house.feed),
        "lithium": lithium(str(chemistry)),
        "battery": chemistry not in (None, "none"),
    }


def _length(metres: Any) -> str | None:
    return None if metres is None else show(metres, "m", 2)


#: Every reader by name. Add one here, and a template ``NAME.md``.
READERS: dict[str, Reader] = {
    "forum": Reader(pictures=lambda name: name != "week"),
    "neighbour": Reader(
        shows=frozenset({"contact"}), names=_for_neighbours, pictures=lambda name: name == "elevation", built_only=True
    ),
    "workshop": Reader(shows=frozenset(private.KINDS)),
}  # fmt: skip
