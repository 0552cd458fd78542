"""How the mast swings by itself, beside how often the rotor shakes it: a Campbell diagram."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from calc.machine.swinging import Campbell
from calc.physics.arrays import Array
from calc.units import show
from journal.book.shown import remembered
from journal.publish.figures.balance import RPM
from journal.publish.figures.canvas import DARK, DASHES, INK, MIDDLE, SOFT, Picture, label, sheet
from journal.publish.numbers import MachineTold

if TYPE_CHECKING:
    from matplotlib.figure import Figure


@remembered(2)
def swings(machine: MachineTold) -> Picture | None:
    """The mast's first frequency against the rotor's over all its speeds; None where either is not known."""
    found = machine.swinging
    if found is None:
        return None
    of, low, high = found
    top = float(of.speed[-1])
    met = [f"{name} at {show(omega, 'rpm', 2)}" for name, _, omega in _lines(of) if omega <= top]
    says = f"The rotor shakes it as often {', and '.join(met)}." if met else "The rotor never shakes it as often."
    return Picture(
        f"swings-{machine.ref}",
        f"The mast's own swing, {machine.ref}",
        f"The mast with the machine at its head swings {show(float(of.mast), 'Hz', 2)} by itself "
        f"({show(low, 'Hz', 2)} to {show(high, 'Hz', 2)}). {says} "
        f"It charges from {show(float(of.low), 'rpm', 2)} to {show(float(of.high), 'rpm', 2)}.",
        partial(_draw, of, low, high),
    )


def _lines(of: Campbell) -> list[tuple[str, Array, float]]:
    """How often the rotor shakes it, in words and over its speeds, and the speed at which that is the mast's own."""
    once, each = of.crossings()
    return [
        ("once a turn", of.once, float(once)),
        (f"{float(np.asarray(of.blades)):.0f} times a turn", of.each, float(each)),
    ]


def _draw(of: Campbell, low: float, high: float) -> Figure:
    figure, (axes,) = sheet(4.2)
    speed, mast = of.speed * RPM, float(of.mast)
    top = 1.15 * max(float(high), min(float(of.each[-1]), 4.0 * mast))
    axes.axvspan(float(of.low) * RPM, float(of.high) * RPM, facecolor="#f1f1f1", zorder=0)
    label(axes, float(of.low + of.high) / 2 * RPM, 0.985, "charges", xycoords=("data", "axes fraction"),
          ha="center", va="top", color=SOFT)  # fmt: skip
    axes.axhspan(low, high, facecolor=MIDDLE, alpha=0.25, zorder=1)
    axes.axhline(mast, color=MIDDLE, zorder=2)
    label(axes, speed[-1], mast, "the mast by itself", xytext=(-6, 9), ha="right", color=INK)
    for dash, (name, f, crossing) in zip(DASHES, _lines(of), strict=False):
        axes.plot(speed, np.where(f <= top, f, np.nan), color=DARK, linestyle=dash, zorder=3)
        shown = np.flatnonzero(f <= 0.85 * top)
        at = int(shown[-1]) if len(shown) else 0
        label(axes, speed[at], f[at], name, xytext=(-8, 6), ha="right", color=DARK)
        if crossing <= of.speed[-1]:
            axes.plot(crossing * RPM, mast, "o", color=DARK, markersize=9, zorder=5)
    axes.set_xlim(0, speed[-1])
    axes.set_ylim(0, top)
    axes.set_xlabel("rotor, rpm   ● it shakes the mast in its own swing")
    axes.set_title("swings a second, Hz", loc="left")
    return figure
