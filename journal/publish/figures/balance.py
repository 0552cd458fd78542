"""Picture of the torque balance: the rotor in several winds against the generator, over speed."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from calc.machine.solving import Solved
from calc.physics import balance, torque
from calc.physics.balance import Points
from calc.physics.storage_time import Array
from calc.units import digits, show
from journal.book.shown import remembered
from journal.publish.figures.canvas import DARK, INK, MIDDLE, SOFT, Picture, label, sheet
from journal.publish.numbers import MachineTold, charging_speed

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

RPM = 60.0 / (2.0 * np.pi)
#: Winds a reader has a feeling for. [m/s]
TOLD = (4.0, 6.0, 8.0, 12.0)
#: Over how many of the 361 speeds drawn a corner of the computed curve is rounded in the strongest wind.
ROUNDED = 6


@remembered(4)
def torques(machine: MachineTold) -> Picture | None:
    """Torque of the rotor in several winds against that of the generator, over speed; None if it cannot be solved.

    Parameters
    ----------
    machine : MachineTold
        A revision.
    """
    found = machine.solved
    if found is None:
        return None
    ref = machine.ref
    winds = np.array(_winds(found))
    operation = balance.operate(found.machine, winds)
    points = operation.running
    begins = charging_speed(found)
    runs = "; ".join(f"in {show(v, 'm/s')} it {_state(points, i)}" for i, v in enumerate(winds))
    return Picture(
        f"torque-{ref}",
        f"Torque by speed, {ref}",
        f"Torque of the rotor of {ref} against that of its generator, by speed. Charging begins at "
        f"{show(begins, 'rpm', 2)}. {runs[0].upper()}{runs[1:]}.",
        partial(_balance, found, winds, operation),
    )


def _winds(found: Solved) -> list[float]:
    limit = float(np.asarray(found.limit))
    told = [v for v in TOLD if v <= limit]
    return told if len(told) > 1 else [limit / 2, limit]


def _state(points: Points, i: int) -> str:
    if points.omega[i] <= 0:
        return "stands still"
    turns = f"turns at {show(points.omega[i], 'rpm', 2)}"
    if points.current[i] <= 0:
        return f"{turns} without charging"
    return f"{turns} and charges with {show(points.charge[i], 'W', 2)}{', stalled' if points.stalled[i] else ''}"


def _balance(found: Solved, winds: Array, operation: balance.Operation) -> Figure:
    figure, (axes,) = sheet(5.4)
    m, points = found.machine, operation.running
    best, best_torque = torque.best_torque(m, winds)
    begins = charging_speed(found)
    top = 1.12 * max(float(np.max(points.omega)), begins, 0.8 * float(best[-1]))
    omega = np.linspace(0.0, top, 361)
    curves = _smooth(found, winds, omega)
    holds = torque.generator_torque(m, omega)
    runs = np.divide(points.rotor, points.omega, out=np.zeros(len(winds)), where=points.omega > 0)
    high = 1.2 * max(float(np.nanmax(curves)), float(np.max(runs)), 1.2 * float(holds[0]))
    axes.axvspan(0, begins * RPM, facecolor="#f1f1f1", zorder=0)
    label(axes, begins * RPM, 0.985, "no charge" if begins < 0.3 * top else "turns without charging",
          xytext=(-6, 0), xycoords=("data", "axes fraction"), ha="right", va="top", color=SOFT)  # fmt: skip
    for v, line in zip(winds, curves, strict=True):
        axes.plot(omega * RPM, np.where(line > -0.02 * high, line, np.nan), color=MIDDLE, linewidth=1.6, zorder=2)
        at = int(np.nanargmax(line))
        name = f"{digits(v)} m/s"
        label(axes, omega[at] * RPM, line[at], name, xytext=(0, 9), ha="center" if at > 40 else "left")
    axes.plot(best * RPM, best_torque, ":", color=SOFT, linewidth=1.4, marker="|", markersize=11, zorder=2)
    at = int(np.flatnonzero(best < 0.9 * top)[-1]) if np.any(best < 0.9 * top) else 0
    label(axes, best[at] * RPM, best_torque[at], "most power", xytext=(7, 9), color=SOFT)
    _generator(axes, omega, holds, high)
    _running(axes, points, runs, winds)
    _from_rest(axes, operation)
    axes.set_xlim(0, top * RPM)
    axes.set_ylim(0, high)
    axes.set_xlabel("speed of the rotor, rpm   ● charges  ○ does not")
    axes.set_title("torque of the rotor in each wind, of the generator, Nm", loc="left")
    return figure


def _smooth(found: Solved, winds: Array, omega: Array) -> Array:
    """Torque of the rotor over its speed, shape (winds, speeds), its corners rounded.

    Between the tip-speed ratios at which it was computed the curve is straight. Each point becomes the mean of those
    around it, weighed by nearness; ends stay where they are.
    """
    curves = torque.rotor_torque(found.machine, winds, omega)
    for wind, curve in zip(winds, curves, strict=True):
        # In less wind the same bend takes less of the speeds drawn.
        wide = ROUNDED * wind / winds[-1]
        half = int(3 * wide) + 1
        weights = np.exp(-0.5 * (np.arange(-half, half + 1) / wide) ** 2)
        y = curve[~np.isnan(curve)]
        if len(y) > half:
            mirrored = np.concatenate([2 * y[0] - y[half:0:-1], y, 2 * y[-1] - y[-2 : -half - 2 : -1]])
            curve[: len(y)] = np.convolve(mirrored, weights / weights.sum(), mode="valid")
    return curves


def _generator(axes: Axes, omega: Array, holds: Array, high: float) -> None:
    """The torque that holds the rotor, with its name where the curve leaves the picture."""
    axes.plot(omega * RPM, np.where(holds <= high, holds, np.nan), color=DARK, linewidth=3, zorder=3)
    at = int(np.flatnonzero(holds <= 0.9 * high)[-1])
    left = omega[at] > 0.55 * omega[-1]
    label(axes, omega[at] * RPM, holds[at], "generator", xytext=(-8 if left else 8, 0), ha="right" if left else "left",
          color=DARK, weight="bold")  # fmt: skip


def _running(axes: Axes, points: Points, runs: Array, winds: Array) -> None:
    """Where it runs in each wind, charging or not, and the first in which its blades stall."""
    charging = points.current > 0
    for style, which in (("white", ~charging), (DARK, charging)):
        axes.plot(points.omega[which] * RPM, runs[which], "o", color=DARK, markerfacecolor=style, markersize=9,
                  markeredgewidth=1.8, zorder=5)  # fmt: skip
    if np.any(points.stalled):
        at = int(np.argmax(points.stalled))
        stalled = f"stalled in {digits(winds[at])} m/s"
        label(axes, points.omega[at] * RPM, runs[at], stalled, xytext=(13, -20))


def _from_rest(axes: Axes, operation: balance.Operation) -> None:
    """Where a rotor that comes from rest stays, in winds in which a fast one runs elsewhere."""
    points, forked = operation.standstill, operation.forked & (operation.standstill.omega > 0)
    if not np.any(forked):
        return
    omega = points.omega[forked]
    held = points.rotor[forked] / omega
    axes.plot(omega * RPM, held, "v", color=INK, markerfacecolor="white", markersize=9, markeredgewidth=1.4, zorder=5)
    label(axes, omega[0] * RPM, held[0], "from rest", xytext=(0, -13), ha="center")
