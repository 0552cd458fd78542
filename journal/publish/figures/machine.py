"""Pictures of the solved machine: power over wind, torque over speed, where the watts go."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from calc.machine.solving import Solved
from calc.machine.system import CurveWithBand
from calc.physics import balance, torque
from calc.physics.balance import Points
from calc.physics.storage_time import Array
from calc.units import digits, show
from journal.book.readings import STEP
from journal.book.shown import remembered
from journal.publish.figures.canvas import DARK, DASHES, INK, LIGHT, MIDDLE, SOFT, Picture, label, sheet, spread
from journal.publish.numbers import Claimed, MachineTold, Reading, charging_speed

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

RPM = 60.0 / (2.0 * np.pi)
#: More readings than these are drawn without their names.
SINGLY = 8
#: More readings than these are drawn as one mark for each step of wind, from the least to the most of them.
EACH = 60
#: Winds a reader has a feeling for. [m/s]
TOLD = (4.0, 6.0, 8.0, 12.0)


@remembered(2)
def power(machines: tuple[MachineTold, ...]) -> Picture | None:
    """Power over wind of one or several revisions, with their doubt, what was read and what was claimed.

    Parameters
    ----------
    machines : tuple of MachineTold
        Revisions, oldest first.

    Returns
    -------
    picture : Picture or None
        None if no sheet says enough to solve the machine.
    """
    curves = [(m.ref, c, m) for m in machines if (c := m.curve) is not None]
    if not curves:
        return None
    read = [r for _, _, m in curves for r in m.readings]
    claimed = [c for _, _, m in curves for c in m.claims]
    refs = " and ".join(ref for ref, _, _ in curves)
    told = [_told(ref, c) for ref, c, _ in curves]
    told += _told_readings(read)
    told += [f"Claimed: {_claim(c)}." for c in claimed]
    return Picture(
        "power",
        f"Power by wind, {refs}",
        f"Computed power into battery and dump load by wind at the rotor. {' '.join(told)}",
        partial(_power, [(ref, c) for ref, c, _ in curves], read, claimed),
    )


def _told_readings(read: list[Reading]) -> list[str]:
    if len(read) <= SINGLY:
        return [f"{m.ref}: {_range(m.power, 'W')} read in {_range(m.wind, 'm/s')}." for m in read]
    watts = min(m.power[0] for m in read), max(m.power[1] for m in read)
    winds = min(m.wind[0] for m in read), max(m.wind[1] for m in read)
    return [f"{len(read)} readings, {_range(watts, 'W')} in {_range(winds, 'm/s')}."]


def _claim(c: Claimed) -> str:
    return f"{show(c.power, 'W')} at {show(c.wind, 'm/s')}"


def _told(ref: str, c: CurveWithBand) -> str:
    winds = [v for v in (6.0, 10.0) if v <= c.winds[-1]]
    text = " and ".join(f"{show(float(np.interp(v, c.winds, c.power)), 'W', 2)} at {show(v, 'm/s')}" for v in winds)
    if len(c.band_winds):
        at = winds[-1]
        low, high = (float(np.interp(at, c.band_winds, x)) for x in (c.low, c.high))
        text += f" (the doubt of the inputs allows {_range((low, high), 'W')} there)"
    held = f", held back from {show(c.limit, 'm/s')} on" if np.isfinite(c.limit) else ""
    return f"{ref}: {text}{held}."


def _range(ends: tuple[float, float], unit: str) -> str:
    # Less than one of anything told here is nothing.
    low, high = (show(v if abs(v) >= 1.0 else 0.0, unit, 2) for v in ends)
    return low if low == high else f"{low.split()[0]} to {high}"


def _power(curves: list[tuple[str, CurveWithBand]], read: list[Reading], claimed: list[Claimed]) -> Figure:
    figure, (axes,) = sheet(4.6)
    for i, (ref, c) in enumerate(reversed(curves)):
        _curve(axes, ref, c, i)
    newest = curves[-1][1]
    if len(newest.band_winds):
        at = int(np.searchsorted(newest.band_winds, 0.98 * newest.winds[-1])) - 1
        words = "bands: 9 in 10 ways in which\nthe doubtful values could turn out"
        axes.annotate(words, (newest.band_winds[at], newest.high[at]),
                      xytext=(0, -6), textcoords="offset points", ha="right", va="top", fontsize=11)  # fmt: skip
    if read:
        _readings(axes, read)
    for claim in claimed:
        axes.plot(claim.wind, claim.power, "D", color=INK, markersize=8, markerfacecolor="white", markeredgewidth=1.8)
        label(axes, claim.wind, claim.power, f"claimed {claim.ref}", xytext=(9, 2))
    for ref, c in curves:
        if np.isfinite(c.limit):
            axes.axvline(c.limit, color=SOFT, linewidth=1, linestyle=DASHES[2], zorder=0)
            label(axes, c.limit, 0.98, f"{ref} held back", xytext=(4, 0), xycoords=("data", "axes fraction"),
                  va="top", color=SOFT)  # fmt: skip
    axes.set_xlim(0, float(newest.winds[-1]))
    axes.set_ylim(bottom=0)
    axes.set_xlabel("wind at the rotor, m/s")
    axes.set_title("power into battery and dump load, W", loc="left")
    return figure


def _curve(axes: Axes, ref: str, c: CurveWithBand, i: int) -> None:
    """The curve of one revision with its band, the newest (0) before all others."""
    last = i == 0
    shade = DARK if last else MIDDLE
    if len(c.band_winds):
        axes.fill_between(
            c.band_winds, c.low, c.high, facecolor=LIGHT if last else "none", edgecolor=LIGHT if last else shade,
            hatch=None if last else "//", linewidth=0.8, alpha=0.75 if last else 0.55, zorder=1 + 0.1 * i,
        )  # fmt: skip
    axes.plot(c.winds, c.power, color=shade, linestyle=DASHES[min(i, 2)], zorder=3)
    label(axes, c.winds[-1], c.power[-1], ref, xytext=(6, 0), weight="bold", color=shade)


def _steps(read: list[Reading]) -> list[Reading]:
    """One for each step of wind: the middle of its readings, and between what they lie."""
    steps: dict[int, list[Reading]] = {}
    for m in read:
        steps.setdefault(round(m.middle / STEP), []).append(m)
    found = []
    for some in steps.values():
        middle = sorted(some, key=lambda m: m.value)[(len(some) - 1) // 2]
        winds, watts = [v for m in some for v in m.wind], [v for m in some for v in m.power]
        found.append(Reading(middle.ref, (min(winds), max(winds)), (min(watts), max(watts)), middle.value))
    return found


def _readings(axes: Axes, read: list[Reading]) -> None:
    """What was read, each with its limits, and with its name where there are few."""
    few = len(read) <= SINGLY
    if len(read) > EACH:
        read = _steps(read)
        words = f"marks: readings in each {STEP:g} m/s, the middle one, from the least to the most"
        label(axes, 0.02, 0.98, words, xytext=(0, 0), xycoords="axes fraction", va="top", color=SOFT)
    values, wide = np.array([m.value for m in read]), np.array([(m.wind[1] - m.wind[0]) / 2 for m in read])
    below, above = values - [m.power[0] for m in read], [m.power[1] for m in read] - values
    axes.errorbar(
        [m.middle for m in read], values, xerr=wide, yerr=[below, above], fmt="o", color=INK,
        markersize=7 if few else 4, markerfacecolor="white", markeredgewidth=1.8 if few else 1.0,
        elinewidth=1.6 if few else 0.5, capsize=4 if few else 0, zorder=5,
    )  # fmt: skip
    for m in read if few else ():
        label(axes, m.wind[1], m.value, f"read {m.ref}", xytext=(6, 2))


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
    figure, (axes,) = sheet(4.8)
    m, points = found.machine, operation.running
    best, best_torque = torque.best_torque(m, winds)
    begins = charging_speed(found)
    top = 1.12 * max(float(np.max(points.omega)), begins, 0.8 * float(best[-1]))
    omega = np.linspace(0.0, top, 241)
    curves = torque.rotor_torque(m, winds, omega)
    holds = torque.generator_torque(m, omega)
    runs = np.divide(points.rotor, points.omega, out=np.zeros(len(winds)), where=points.omega > 0)
    high = 1.2 * max(float(np.nanmax(curves)), float(np.max(runs)), 1.2 * float(holds[0]))
    axes.axvspan(0, begins * RPM, facecolor="#f1f1f1", zorder=0)
    label(axes, begins * RPM, 0.985, "no charge" if begins < 0.3 * top else "turns without charging",
          xytext=(-6, 0), xycoords=("data", "axes fraction"), ha="right", va="top", color=SOFT)  # fmt: skip
    for v, line in zip(winds, curves, strict=True):
        axes.plot(omega * RPM, np.where(line > -0.02 * high, line, np.nan), color=MIDDLE, linewidth=1.6, zorder=2)
        at = int(np.nanargmax(line))
        name = f"rotor in {digits(v)} m/s" if v == winds[-1] else f"{digits(v)} m/s"
        label(axes, omega[at] * RPM, line[at], name, xytext=(0, 9), ha="center" if at > 40 else "left", fontsize=12)
    axes.plot(best * RPM, best_torque, ":", color=SOFT, linewidth=1.4, marker="|", markersize=11, zorder=2)
    at = int(np.flatnonzero(best < 0.9 * top)[-1]) if np.any(best < 0.9 * top) else 0
    label(axes, best[at] * RPM, best_torque[at], "most power", xytext=(7, 9), fontsize=11, color=SOFT)
    _generator(axes, omega, holds, high)
    _running(axes, points, runs, winds)
    _from_rest(axes, operation)
    axes.set_xlim(0, top * RPM)
    axes.set_ylim(0, high)
    axes.set_xlabel("speed of the rotor, rpm      ● it charges   ○ it does not")
    axes.set_title("torque, Nm", loc="left")
    return figure


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
        label(axes, points.omega[at] * RPM, runs[at], stalled, xytext=(13, -20), fontsize=12)


def _from_rest(axes: Axes, operation: balance.Operation) -> None:
    """Where a rotor that comes from rest stays, in winds in which a fast one runs elsewhere."""
    points, forked = operation.standstill, operation.forked & (operation.standstill.omega > 0)
    if not np.any(forked):
        return
    omega = points.omega[forked]
    held = points.rotor[forked] / omega
    axes.plot(omega * RPM, held, "v", color=INK, markerfacecolor="white", markersize=9, markeredgewidth=1.4, zorder=5)
    label(axes, omega[0] * RPM, held[0], "from rest", xytext=(0, -13), ha="center", fontsize=11)


#: Where the rotor's power goes: field of the points, name, fill, hatch. Filled light and dark in turn.
LAYERS = (
    ("stored", "into the battery", LIGHT, ""),
    ("dump", "dump load", "#ffffff", "oo"),
    ("inside_battery", "inside the battery", SOFT, ""),
    ("field", "field coil", MIDDLE, "oo"),
    ("converter", "converter", LIGHT, "\\\\"),
    ("cable", "cable", "#f3d9a8", "//"),
    ("diodes", "diodes", INK, ""),
    ("copper", "winding", "#ffffff", "xx"),
    ("drag", "bearings and iron", MIDDLE, ""),
    ("drive", "belt, chain or gears", "#ffffff", "\\\\"),
)


@remembered(4)
def watts(machine: MachineTold) -> Picture | None:
    """Where the rotor's power goes in each wind, as shares; None if it cannot be solved or never charges.

    Parameters
    ----------
    machine : MachineTold
        A revision.
    """
    found = machine.solved
    if found is None or not np.isfinite(found.charging):
        return None
    limit = float(np.asarray(found.limit))
    first = np.ceil(float(np.asarray(found.charging)) + 0.5)
    winds = np.array([v for v in np.arange(first, first + 9.0, 2.0) if v <= min(limit, 25.0)])
    if not len(winds):
        return None
    points = balance.operate(found.machine, winds).running
    ref, last = machine.ref, len(winds) - 1
    shares = {field: getattr(points, field) / points.rotor for field, *_ in LAYERS}
    told = [
        f"{name} {show(float(shares[field][last]), '%', 2)}" for field, name, *_ in LAYERS if shares[field][last] > 5e-4
    ]
    return Picture(
        f"watts-{ref}",
        f"Where the watts go, {ref}",
        f"Of the {show(points.rotor[0], 'W', 2)} that the rotor of {ref} takes in {show(winds[0], 'm/s')}, "
        f"{show(float(points.stored[0] / points.rotor[0]), '%', 2)} are stored. "
        f"Of {show(points.rotor[last], 'W', 2)} in {show(winds[last], 'm/s')}: {', '.join(told)}.",
        partial(_watts, winds, points.rotor, shares),
    )


def _watts(winds: Array, taken: Array, shares: dict[str, Array]) -> Figure:
    figure, (axes,) = sheet(4.6)
    x = np.arange(len(winds))
    under = np.zeros(len(winds))
    middles, names = [], []
    for field, name, fill, hatch in LAYERS:
        height = 100.0 * shares[field]
        if np.all(height < 0.05):
            continue
        axes.bar(x, height, 0.72, under, facecolor=fill, edgecolor=INK, hatch=hatch, linewidth=0.8)
        if height[-1] >= 1.0:
            middles.append(float(under[-1] + height[-1] / 2))
            names.append(name)
        under = under + height
    for i, watts in enumerate(taken):
        axes.annotate(
            show(watts, "W", 2), (i, 100), xytext=(0, 5), textcoords="offset points", ha="center", va="bottom"
        )
    _names(axes, len(winds) - 0.64, middles, names)
    axes.set_xticks(x, [digits(v) for v in winds])
    axes.set_xlim(-0.5, len(winds) + 1.3 * len(winds) / 5)
    axes.spines["bottom"].set_bounds(-0.5, len(winds) - 0.5)
    axes.set_ylim(0, 100)
    axes.set_yticks([0, 25, 50, 75, 100], ["0", "25", "50", "75", "100 %"])
    axes.set_xlabel("wind at the rotor, m/s", x=0.36)
    axes.set_title("of what the rotor takes, in W above each bar", loc="left", pad=28)
    return figure


def _names(axes: Axes, edge: float, middles: list[float], names: list[str]) -> None:
    """Names right of the last bar, each with a line to its layer."""
    for name, at, place in zip(names, middles, spread(middles, 9.0, 2.0, 98.0), strict=True):
        axes.annotate(
            name, (edge, at), xytext=(edge + 0.28, place), va="center", ha="left",
            arrowprops={"arrowstyle": "-", "color": SOFT, "linewidth": 0.8, "shrinkA": 2, "shrinkB": 0},
        )  # fmt: skip
