"""Picture of the machine where it stands, to scale: mast, rotor, building, fall radius and a person."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.mast import ROOF
from calc.units import show
from journal.book.shown import remembered
from journal.publish.figures.canvas import DARK, DASHES, FAINT, INK, LIGHT, SOFT, WIDTH, Picture, label
from journal.publish.numbers import MachineTold, thrown_to

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

#: Said of a rotor that nothing holds back.
NO_LIMIT = "no limit can be named"
#: A person for scale. [m]
PERSON = 1.75


@dataclass(frozen=True)
class Outline:
    """What the machine looks like from the side: lengths in [m], and the words of the sheet that are drawn."""

    ref: str
    height: float
    across: float
    reach: float
    building: float
    mast: str
    overspeed: str
    thrown: str

    @property
    def on_roof(self) -> bool:
        """Whether it stands on the building rather than somewhere near it."""
        return self.mast == ROOF


def elevation(machine: MachineTold) -> Picture | None:
    """Side view of the machine to scale; None where the height or the rotor is not on the sheet.

    Parameters
    ----------
    machine : MachineTold
        A revision.
    """
    reach, said = machine.system.fall_radius, machine.system.design.get
    h, across, building = said(Sheet.mast.height), said(Sheet.rotor.diameter), said(Sheet.mast.building_height)
    if reach is None or h is None or across is None:
        return None
    words = str(said(Sheet.mast.kind)), str(said(Sheet.rotor.overspeed))
    return _pictured(
        Outline(machine.ref, float(h), float(across), reach, float(building or 0.0), *words, _far(machine))
    )


def _far(machine: MachineTold) -> str:
    """How far a piece of a blade can fly; nothing where no distance can be named."""
    if machine.throw is None:
        return ""
    far = thrown_to(machine.throw)
    if machine.throw.found:
        return f"one lay {far} away"
    return f"{far}, in a runaway more" if machine.throw.held else f"{far}, and more"


@remembered(2)
def _pictured(of: Outline) -> Picture:
    alt = (
        f"Side view to scale. The rotor, {show(of.across, 'm')} across, has its centre {show(of.height, 'm')} above "
        f"the ground and its highest point at {show(of.height + of.across / 2, 'm', 2)}. If it fell, the mast would "
        f"reach {show(of.reach, 'm', 2)}. A piece of a blade can fly further: "
        f"{of.thrown or NO_LIMIT}."
    )
    if of.building:
        where = "It stands on a building of" if of.on_roof else "The highest thing within 150 m has"
        far = "" if of.on_roof else "; how far away is not on record"
        alt += f" {where} {show(of.building, 'm')}{far}."
    alt += f" A person of {show(PERSON, 'm')} stands beside it for scale."
    return Picture(f"elevation-{of.ref}", f"The machine to scale, {of.ref}", alt, partial(_elevation, of))


def _elevation(of: Outline) -> Figure:
    from matplotlib.figure import Figure

    building, reach = of.building, of.reach
    beside = building > 0 and not of.on_roof
    # A toy is lower than the person with the words above.
    top = max(of.height + of.across / 2, building, 1.3 * PERSON)
    # One metre is as long upwards as sideways: the height of the sheet follows from what must stand side by side.
    # The person stands outside the circle to be kept clear, the building, whose place is not known, beyond.
    left = 1.34 * reach + (max(1.15 * building, 0.72 * reach) if beside else 0.0)
    right, up, down = 1.04 * reach, 1.12 * top, 0.17 * reach + 0.04 * left
    whole = left + right
    figure = Figure(figsize=(WIDTH, min(WIDTH * (up + 1.5 * down) / whole, 2.0 * WIDTH)))
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_xlim(-left, right)
    axes.set_ylim(-1.5 * down, up)
    axes.set_aspect("equal", anchor="S")
    axes.axis("off")
    axes.plot([-left, right], [0, 0], color=INK, linewidth=1.5)
    if building:
        where = 0.0 if of.on_roof else -left + max(0.55 * building, 0.4 * reach)
        _building(axes, building, where, beside, 0.3 * whole)
    _machine(axes, of, building if of.on_roof else 0.0)
    _person(axes, -1.13 * reach)
    _measures(axes, of, down, 0.55 * building if of.on_roof else 0.0)
    # The words stay on the sheet where the circle is but a small part of it.
    middle = min(0.0, right - 0.333 * whole)
    label(axes, middle, -0.72 * down, f"keep clear: {show(reach, 'm', 2)} each way if it falls", ha="center")
    label(
        axes,
        middle,
        -1.2 * down,
        f"blade piece: {of.thrown or NO_LIMIT}",
        ha="center",
    )
    return figure


def _building(axes: Axes, height: float, x: float, beside: bool, wide: float) -> None:
    """A house of that height; its words stand inside where they fit, else above."""
    half, eaves = 0.5 * height, 0.6 * height
    outline = [(x - half, 0), (x - half, eaves), (x, height), (x + half, eaves), (x + half, 0)]
    axes.fill(*zip(*outline, strict=True), facecolor="#ececec", edgecolor=SOFT, linewidth=1.2, zorder=1)
    words = f"within 150 m:\n{show(height, 'm')} high" if beside else show(height, "m")
    fits = not beside or height > wide
    axes.annotate(words, (x, (0.06 if fits else 1.08) * height), ha="center", va="bottom", color=INK)


def _machine(axes: Axes, of: Outline, foot: float) -> None:
    h, across = of.height, of.across
    axes.plot([0, 0], [foot * 0.8, h], color=DARK, linewidth=3.5, zorder=3, solid_capstyle="butt")
    if "guyed" in of.mast:
        for side in (-1, 1):
            axes.plot([0, side * 0.5 * h], [0.75 * h, 0], color=SOFT, linewidth=1, zorder=2)
    overhang = 0.12 * across
    axes.plot([-overhang, 0.3 * across], [h, h], color=DARK, linewidth=4.5, zorder=4, solid_capstyle="butt")
    if "tail" in of.overspeed:
        tail = [
            (0.3 * across, h),
            (0.62 * across, h + 0.03 * across),
            (0.8 * across, h + 0.16 * across),
            (0.8 * across, h - 0.12 * across),
            (0.62 * across, h),
        ]
        axes.fill(*zip(*tail, strict=True), facecolor=LIGHT, edgecolor=DARK, linewidth=1.2, zorder=4)
    # A rotor seen from its side is a line: blades that taper from the hub.
    for end in (-1, 1):
        blade = [(-overhang - 0.025 * across, h), (-overhang, h + end * across / 2), (-overhang + 0.025 * across, h)]
        axes.fill(*zip(*blade, strict=True), facecolor=DARK, edgecolor=DARK, linewidth=1, zorder=5)


def _person(axes: Axes, x: float) -> None:
    tall = PERSON
    axes.plot([x, x], [0.45 * tall, 0.82 * tall], color=INK, linewidth=3.2)
    for side in (-1, 1):
        axes.plot([x, x + side * 0.11 * tall], [0.47 * tall, 0], color=INK, linewidth=2.2)
        axes.plot([x, x + side * 0.15 * tall], [0.78 * tall, 0.48 * tall], color=INK, linewidth=1.8)
    from matplotlib.patches import Circle

    axes.add_patch(Circle((x, 0.92 * tall), 0.08 * tall, facecolor=INK))
    label(axes, x, 1.06 * tall, show(tall, "m"), ha="center", va="bottom")


def _measures(axes: Axes, of: Outline, down: float, beside: float) -> None:
    h, across, reach = of.height, of.across, of.reach
    angle = np.linspace(0.0, np.pi / 2, 60)
    tip = h + across / 2
    axes.plot(reach * np.cos(angle), tip * np.sin(angle), color=SOFT, linestyle=DASHES[1], linewidth=1.1, zorder=1)
    arrow = {"arrowstyle": "<->", "color": INK, "linewidth": 1.1, "shrinkA": 0, "shrinkB": 0}
    low = -0.33 * down
    axes.annotate("", (0, low), (reach, low), arrowprops=arrow)
    axes.annotate("", (0, low), (-reach, low), arrowprops=arrow)
    for x in (-reach, 0, reach):
        axes.plot([x, x], [1.5 * low, 0], color=INK, linewidth=1)
    x = max(0.9 * across, 0.14 * h, beside)
    axes.annotate("", (x, 0), (x, h), arrowprops=arrow)
    axes.plot([0.3 * across, x * 1.1], [h, h], color=FAINT, linewidth=0.8, zorder=0)
    label(axes, x, 0.42 * h, show(h, "m"), xytext=(7, 0))
    x = -0.12 * across - 0.22 * across
    axes.annotate("", (x, h - across / 2), (x, tip), arrowprops=arrow)
    label(axes, x, h, show(across, "m"), xytext=(-7, 0), ha="right")
