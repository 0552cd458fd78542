"""Picture of the machine where it stands, to scale: mast, rotor, building, fall radius and a person."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.mast import ROOF
from calc.machine.design import Design
from calc.units import show
from journal.publish.figures.canvas import DARK, DASHES, FAINT, INK, LIGHT, SOFT, WIDTH, Picture, label
from journal.review.verdict import Review

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

#: A person for scale. [m]
PERSON = 1.75


def elevation(review: Review) -> Picture | None:
    """Side view of the machine to scale; None where the height or the rotor is not on the sheet.

    Parameters
    ----------
    review : Review
        A revision.
    """
    design = review.sheet.design
    reach = review.sheet.system.fall_radius
    height, diameter = design.get(Sheet.mast.height), design.get(Sheet.rotor.diameter)
    if reach is None or height is None or diameter is None:
        return None
    h, across, building = float(height), float(diameter), design.get(Sheet.mast.building_height)
    roof = design.get(Sheet.mast.kind) == ROOF
    alt = (
        f"Side view to scale. The rotor, {show(across, 'm')} across, has its centre {show(h, 'm')} above the ground "
        f"and its highest point at {show(h + across / 2, 'm', 2)}. If it fell, the mast would reach "
        f"{show(reach, 'm', 2)}."
    )
    if building:
        where = "It stands on a building of" if roof else "The highest thing within 150 m has"
        alt += f" {where} {show(float(building), 'm')}{'' if roof else '; how far away is not on record'}."
    alt += f" A person of {show(PERSON, 'm')} stands beside it for scale."
    return Picture(
        "elevation", f"The machine to scale, {review.revision.ref}", alt, partial(_elevation, design, h, across, reach)
    )


def _elevation(design: Design, h: float, across: float, reach: float) -> Figure:
    from matplotlib.figure import Figure

    roof, building = design.get(Sheet.mast.kind) == ROOF, float(design.get(Sheet.mast.building_height) or 0.0)
    beside = building > 0 and not roof
    top = max(h + across / 2, building)
    # One metre is as long upwards as sideways: the height of the sheet follows from what must stand side by side.
    # The person stands outside the circle to be kept clear, the building, whose place is not known, beyond.
    left = 1.25 * reach + (max(1.15 * building, 0.6 * reach) if beside else 0.0)
    right, up, down = 1.04 * reach, 1.12 * top, 0.17 * reach + 0.04 * left
    whole = left + right
    figure = Figure(figsize=(WIDTH, min(WIDTH * (up + down) / whole, 2.0 * WIDTH)))
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_xlim(-left, right)
    axes.set_ylim(-down, up)
    axes.set_aspect("equal", anchor="S")
    axes.axis("off")
    axes.plot([-left, right], [0, 0], color=INK, linewidth=1.5)
    if building:
        _building(axes, building, 0.0 if roof else -left + max(0.55 * building, 0.28 * reach), beside, 0.5 * reach)
    _machine(axes, design, h, across, building if roof else 0.0)
    _person(axes, -1.13 * reach)
    _measures(axes, h, across, reach, down, 0.55 * building if roof else 0.0)
    # The words stay on the sheet where the circle is but a small part of it.
    middle = min(0.0, right - 0.25 * whole)
    label(axes, middle, -0.72 * down, f"keep clear: {show(reach, 'm', 2)} each way if it falls", ha="center")
    return figure


def _building(axes: Axes, height: float, x: float, beside: bool, wide: float) -> None:
    """A house of that height; its words stand inside where they fit, else above."""
    half, eaves = 0.5 * height, 0.6 * height
    outline = [(x - half, 0), (x - half, eaves), (x, height), (x + half, eaves), (x + half, 0)]
    axes.fill(*zip(*outline, strict=True), facecolor="#ececec", edgecolor=SOFT, linewidth=1.2, zorder=1)
    words = f"highest thing\nwithin 150 m:\n{show(height, 'm')}, how\nfar not known" if beside else show(height, "m")
    fits = not beside or height > wide
    axes.annotate(words, (x, (0.06 if fits else 1.08) * height), ha="center", va="bottom", fontsize=11, color=INK)


def _machine(axes: Axes, design: Design, h: float, across: float, foot: float) -> None:
    axes.plot([0, 0], [foot * 0.8, h], color=DARK, linewidth=3.5, zorder=3, solid_capstyle="butt")
    if "guyed" in str(design.get(Sheet.mast.kind)):
        for side in (-1, 1):
            axes.plot([0, side * 0.5 * h], [0.75 * h, 0], color=SOFT, linewidth=1, zorder=2)
    overhang = 0.12 * across
    axes.plot([-overhang, 0.3 * across], [h, h], color=DARK, linewidth=4.5, zorder=4, solid_capstyle="butt")
    if design.get(Sheet.rotor.overspeed) is not None and "tail" in str(design.get(Sheet.rotor.overspeed)):
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
    label(axes, x, 1.06 * tall, show(tall, "m"), ha="center", va="bottom", fontsize=11)


def _measures(axes: Axes, h: float, across: float, reach: float, down: float, beside: float) -> None:
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
