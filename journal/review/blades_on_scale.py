"""The blades of a revision on the scale: mass, balance point, where these come from, and what they leave together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from calc.cutting.balance_sheet import BalanceSheet, WeighedBlade, balance_sheet
from calc.machine.catalogue import Sheet
from calc.machine.falling import fastest_tips
from calc.machine.hub_loads import outermost_bolt
from calc.machine.inputs import Inputs, Unknown
from calc.machine.measured_blade import BladeRead, on_scale

if TYPE_CHECKING:
    from calc.machine.system import System
    from journal.book.sheet import RevisionSheet


@dataclass(frozen=True)
class OnScale:
    """One blade on the scale.

    Parameters
    ----------
    name : str
        Which.
    mass, balance_point : float or None
        In [kg], and from the shaft in [m]; None where neither a reading nor the sheet tells.
    source : str
        Readings by their reference, or the sheet with how it is known there.
    add : float or None
        What would be added to balance the set fully, at the radius of :attr:`ScaledSet.at`. [kg]
    """

    name: str
    mass: float | None
    balance_point: float | None
    source: str
    add: float | None = None

    @property
    def moment(self) -> float | None:
        """Mass times distance of the balance point, in [kg m]."""
        return WeighedBlade(self.name, self.mass, self.balance_point).moment


@dataclass(frozen=True)
class ScaledSet:
    """All blades on the scale, and what they leave when fitted in the best order.

    Parameters
    ----------
    blades : list of OnScale
        Those of which anything is known.
    order : tuple of str
        Names once around; empty where not all are known.
    left : float or None
        What that order leaves. [kg m]
    at : float
        Radius of weights that would balance it. [m]
    pull, speed : float or None
        How hard what is left drags the head around, and at which greatest speed. [N, rad/s]
    """

    blades: list[OnScale]
    order: tuple[str, ...] = ()
    left: float | None = None
    at: float = 0.0
    pull: float | None = None
    speed: float | None = None


def scaled_set(
    x: Inputs, blades: Sequence[BladeRead], refs: Mapping[str, tuple[str, str]], sheet: RevisionSheet, system: System
) -> ScaledSet:
    """All that is known of the blades on the scale: as read, else as the sheet has it.

    Parameters
    ----------
    x : Inputs
        The sheet.
    blades : sequence of BladeRead
        As read.
    refs : mapping of str to tuple of str
        References of the readings of mass and balance point, by the name of the blade; empty where there is none.
    sheet : RevisionSheet
        Where each value on the sheet comes from.
    system : System
        The machine with these blades.
    """
    merged = on_scale(x, blades)
    found = [OnScale(b.name, b.mass, b.balance_point, _source(b, refs.get(b.name.casefold(), ("", "")), sheet))
             for b in merged if b.mass is not None or b.balance_point is not None]  # fmt: skip
    radius = float(x.rotor.diameter) / 2.0
    at = outermost_bolt(x) or round(radius / 3.0, 2)
    rows = tuple(WeighedBlade(b.name, b.mass, b.balance_point) for b in found)
    try:
        made = balance_sheet(rows, int(x.rotor.blades), at)
    except ValueError:
        return ScaledSet(found)
    if made.left is None:
        return ScaledSet(found, at=at)
    speed = _greatest_speed(x, system, radius)
    return ScaledSet(_with_weights(found, made), made.order, made.left, at,
                     None if speed is None else made.left * speed**2, speed)  # fmt: skip


def _source(b: BladeRead, refs: tuple[str, str], sheet: RevisionSheet) -> str:
    told = []
    for value, ref, of in zip((b.mass, b.balance_point), refs,
                              (Sheet.weighed.mass, Sheet.weighed.balance_point), strict=True):  # fmt: skip
        if value is not None:
            row = sheet.values.get(of[b.name].full)
            told.append(ref or ("sheet" if row is None else f"sheet, {row.provenance}"))
    return ", ".join(dict.fromkeys(told))


def _with_weights(found: Sequence[OnScale], made: BalanceSheet) -> list[OnScale]:
    add = dict(zip(made.order, made.weights, strict=True))
    return [OnScale(b.name, b.mass, b.balance_point, b.source, add.get(b.name)) for b in found]


def _greatest_speed(x: Inputs, system: System, radius: float) -> float | None:
    solved = system.solved
    if isinstance(solved, Unknown):
        return None
    speed = float(np.max(fastest_tips(x, solved)[0])) / radius
    return speed if np.isfinite(speed) else None
