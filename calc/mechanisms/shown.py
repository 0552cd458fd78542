"""What a prediction is, and the reading that it is held against."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from calc.evidence.likelihood import BLUNDERS
from calc.machine.catalogue import Sheet
from calc.mechanisms.base import CaseReading, Note
from calc.mechanisms.world import World
from calc.physics.arrays import Array
from calc.units import Num


@dataclass(frozen=True, slots=True)
class Slot:
    """One reading to be held against predictions, the speed of a drill where one turned it."""

    reading: CaseReading
    quantity: str
    note: Note
    omega: float | None = None
    weight: float = 1.0
    beyond: bool = False

    @property
    def name(self) -> str:
        """Its reference, and what was derived from it."""
        return self.reading.label + self.quantity[len(self.quantity.split("/")[0]) :]


@dataclass(frozen=True, slots=True)
class Predicted:
    """A prediction: samples of the value, doubt as a share of it and in its own unit, and share of slips, in SI."""

    value: Array
    share: float
    least: Num
    blunders: float = BLUNDERS


Show: TypeAlias = Callable[[World, Slot], "Predicted | None"]


def volts_of(w: World) -> float:
    """Nominal voltage of the battery, in [V]."""
    U = w.x.maybe(Sheet.storage.voltage)
    return 12.0 if U is None else float(np.mean(U))


def amps_of(w: World) -> float:
    """Current that is usual in that wind, in [A]."""
    return float(np.median(np.abs(w.current))) if not w.freed else 1.0


def everywhere(w: World, value: Num) -> Array:
    """The same for each sample."""
    return np.broadcast_to(np.asarray(value, dtype=float), (w.n,))
