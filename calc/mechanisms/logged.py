"""A measured power curve as evidence: power in low, middle and high winds, so that its shape speaks for causes.

A curve that is halved, one that needs more wind and one that is cut off differ in these three, and each way of failing
alters the machine so that it shows one of them.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from calc.curve.shape import TOLD, CurvePoint
from calc.machine.inputs import Inputs, Unknown
from calc.machine.logged import computed_at, measured_points
from calc.machine.solving import solve_machine
from calc.mechanisms.base import CaseReading, Note
from calc.mechanisms.shown import Predicted, Slot
from calc.mechanisms.world import World

#: How the three are called, as parts of a reading.
PARTS = ("low", "middle", "high")
#: Label of what is derived from a logger.
LABEL = "logger"
#: Doubt of such a prediction beside that of the world: a share of it, and of the greatest power. Own estimate.
SHARE, OF_TOP = 0.06, 0.02


def picked(x: Inputs) -> tuple[CurvePoint, ...]:
    """The bin in the middle of each third of those that tell; fewer where there are fewer."""
    points, solved = measured_points(x.design), solve_machine(x)
    if not points or isinstance(solved, Unknown):
        return ()
    there = computed_at(solved, np.array([p.wind for p in points]))
    tells = np.flatnonzero(there > TOLD * there.max())
    if tells.size < len(PARTS):
        return ()
    return tuple(points[third[len(third) // 2]] for third in np.array_split(tells, len(PARTS)))


def logged_slots(points: tuple[CurvePoint, ...]) -> list[Slot]:
    """These bins as readings, each to be held against predictions."""
    return [
        Slot(
            CaseReading(LABEL, p.power, p.power - 1.7 * p.doubt, p.power + 1.7 * p.doubt, "battery", p.wind, p.wind,
                        int(p.count)),
            f"curve.power/{part}",
            Note(LABEL, bench=True),
        )
        for part, p in zip(PARTS, points, strict=False)
    ]  # fmt: skip


def with_curve(w: World, points: tuple[CurvePoint, ...]) -> World:
    """The same world, asked for its power in the winds of these bins."""
    return replace(w, logged=tuple(p.wind for p in points), _solved={}) if points else w


def _power(part: int, w: World, s: Slot) -> Predicted | None:
    if len(w.logged) <= part:
        return None
    if w.freed or w.blocked:
        return Predicted(np.zeros(w.n), 0.0, 0.02 * abs(s.reading.high) + 2.0)
    each = w.logged_power
    value = np.asarray(each[:, part] * w.passed)
    return Predicted(value, SHARE + w.doubt, OF_TOP * float(np.median(each.max(axis=-1))) + 1.0)


def _low(w: World, s: Slot) -> Predicted | None:
    return _power(0, w, s)


def _middle(w: World, s: Slot) -> Predicted | None:
    return _power(1, w, s)


def _high(w: World, s: Slot) -> Predicted | None:
    return _power(2, w, s)


SHOWN = {f"curve.power/{part}": show for part, show in zip(PARTS, (_low, _middle, _high), strict=True)}
