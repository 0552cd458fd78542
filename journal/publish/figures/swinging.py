"""How the mast swings by itself, beside how often the rotor shakes it: a Campbell diagram."""

from __future__ import annotations

from functools import lru_cache, partial
from typing import TYPE_CHECKING

import numpy as np

from calc.machine.swinging import Campbell
from calc.units import show
from journal.publish.figures.canvas import DARK, DASHES, INK, MIDDLE, SOFT, Picture, label, sheet
from journal.publish.figures.machine import RPM
from journal.publish.numbers import MachineTold

if TYPE_CHECKING:
    from matplotlib.figure import Figure

#: In words, how often in each turn.
_TIMES = {1: "once a turn"}


@lru_cache(maxsize=2)
def swings(machine: MachineTold) -> Picture | None:
    """The mast's first frequency against the rotor's over all its speeds; None where either is not known."""
    found = machine.swinging
    if found is None:
        return None
    of, low, high = found
    crossing = {n: float(of.crossing(n)) for n in of.shakes}
    top = float(of.speed[-1])
    met = [f"{_times(n)} at {show(omega, 'rpm', 2)}" for n, omega in crossing.items() if omega <= top]
    says = f"The rotor shakes it as often {', and '.join(met)}." if met else "The rotor never shakes it as often."
    return Picture(
        f"swings-{machine.ref}",
        f"The mast's own swing, {machine.ref}",
        f"The mast with the machine at its head swings {show(float(of.mast), 'Hz', 2)} by itself "
        f"({show(low, 'Hz', 2)} to {show(high, 'Hz', 2)}). {says} "
        f"It charges from {show(float(of.low), 'rpm', 2)} to {show(float(of.high), 'rpm', 2)}.",
        partial(_draw, of, low, high),
    )


def _times(n: int) -> str:
    return _TIMES.get(n, f"{n} times a turn")


def _draw(of: Campbell, low: float, high: float) -> Figure:
    figure, (axes,) = sheet(4.2)
    speed, mast = of.speed * RPM, float(of.mast)
    top = 1.15 * max(float(high), min(max(float(f[-1]) for f in of.shakes.values()), 4.0 * mast))
    axes.axvspan(float(of.low) * RPM, float(of.high) * RPM, facecolor="#f1f1f1", zorder=0)
    label(axes, float(of.low + of.high) / 2 * RPM, 0.985, "charges", xycoords=("data", "axes fraction"),
          ha="center", va="top", color=SOFT)  # fmt: skip
    axes.axhspan(low, high, facecolor=MIDDLE, alpha=0.25, zorder=1)
    axes.axhline(mast, color=MIDDLE, zorder=2)
    label(axes, speed[-1], mast, "the mast by itself", xytext=(-6, 9), ha="right", color=INK)
    for dash, (n, f) in zip(DASHES, of.shakes.items(), strict=False):
        axes.plot(speed, np.where(f <= top, f, np.nan), color=DARK, linestyle=dash, zorder=3)
        shown = np.flatnonzero(f <= 0.85 * top)
        at = int(shown[-1]) if len(shown) else 0
        label(axes, speed[at], f[at], _times(n), xytext=(-8, 6), ha="right", color=DARK)
        if of.crossing(n) <= of.speed[-1]:
            axes.plot(float(of.crossing(n)) * RPM, mast, "o", color=DARK, markersize=9, zorder=5)
    axes.set_xlim(0, speed[-1])
    axes.set_ylim(0, top)
    axes.set_xlabel("speed of the rotor, rpm      ● it shakes the mast as the mast swings")
    axes.set_title("swings a second, Hz", loc="left")
    return figure
