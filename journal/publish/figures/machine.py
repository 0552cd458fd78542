"""Pictures of how much comes out: power over the winds that blow, and where the watts of the wind go."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from calc.curve.shape import CurvePoint
from calc.machine.system import CurveWithBand
from calc.physics import balance
from calc.physics.balance import Points
from calc.physics.storage_time import Array
from calc.physics.wind import BETZ
from calc.units import digits, show
from calc.wording import number_of
from journal.book.readings import STEP
from journal.book.shown import remembered
from journal.publish.figures.canvas import (
    DARK,
    DASHES,
    INK,
    LIGHT,
    MIDDLE,
    ON_DARK,
    ON_MIDDLE,
    SIZE,
    SOFT,
    UNDER_DARK,
    UNDER_MIDDLE,
    Picture,
    label,
    sheet,
)
from journal.publish.numbers import Blowing, Claimed, MachineTold, Reading

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

#: More readings than these are drawn without their names.
SINGLY = 8
#: More readings than these are drawn as one mark for each step of wind, from the least to the most of them.
EACH = 60
#: More words of what is drawn than fit on a line.
KEYS = 4
#: Doubt of what was logged is drawn so that nine in ten lie within: so many standard deviations.
NINE_TENTHS = 1.645
#: Winds up to here are shown where the site's are not known; else up to what blows harder for a thousandth of the time,
#: between the two others. [m/s]
USUAL, LEAST_WIND, MOST_WIND, SELDOM = 14.0, 10.0, 20.0, 1e-3


@dataclass(frozen=True, eq=False)
class Shown:
    """One revision in the picture of power: its curve, what was read on it and logged, what was claimed."""

    ref: str
    curve: CurveWithBand
    read: tuple[Reading, ...] = ()
    claimed: tuple[Claimed, ...] = ()
    logged: tuple[CurvePoint, ...] = ()


@remembered(2)
def power(machines: tuple[MachineTold, ...]) -> Picture | None:
    """Power over the winds that blow of one or several revisions, with their doubt, what was read and what was claimed.

    Parameters
    ----------
    machines : tuple of MachineTold
        Revisions, oldest first.

    Returns
    -------
    picture : Picture or None
        None if no sheet says enough to solve the machine.
    """
    shown = [
        Shown(m.ref, c, tuple(m.readings), tuple(m.claims), m.logged) for m in machines if (c := m.curve) is not None
    ]
    if not shown:
        return None
    blowing = next((m.blowing for m in reversed(machines) if m.curve is not None), None)
    refs = " and ".join(s.ref for s in shown)
    told = [_told(s.ref, s.curve) for s in shown]
    told += _told_readings([r for s in shown for r in s.read])
    told += [_told_logged(s) for s in shown if s.logged]
    told += [f"Claimed: {_claim(c)}." for s in shown for c in s.claimed]
    if blowing is not None:
        told.append(_told_winds(blowing))
    return Picture(
        f"power-{machines[-1].ref}",
        f"Power by wind, {refs}",
        f"Computed power into battery and dump load by wind at the rotor. {' '.join(told)}",
        partial(_power, shown, blowing),
    )


def _told_logged(s: Shown) -> str:
    """What a logger measured, in three winds."""
    gives = [p for p in s.logged if p.power >= 1.0] or list(s.logged)
    at = [gives[i] for i in sorted({0, len(gives) // 2, len(gives) - 1})]
    each = [f"{show(max(p.power, 0.0), 'W', 2)} in {show(p.wind, 'm/s', 2)}" for p in at]
    minutes = sum(p.count for p in s.logged)
    return (
        f"Measured by a logger on {s.ref}: {', '.join(each)}; {number_of(round(minutes), 'minute')} in "
        f"{number_of(len(s.logged), 'step')} of wind."
    )


def _told_winds(blowing: Blowing) -> str:
    over = float(np.sum(blowing.hours(np.array([8.0, 100.0])))) / float(np.sum(blowing.hours(np.array([0.0, 100.0]))))
    return f"It blows harder than 8 m/s for {show(over, '%', 2)} of the time."


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
    return f"Of {ref}: {text}{held}."


def _range(ends: tuple[float, float], unit: str) -> str:
    # Less than one of anything told here is nothing.
    low, high = (show(v if abs(v) >= 1.0 else 0.0, unit, 2) for v in ends)
    return low if low == high else f"{low.split()[0]} to {high}"


def _end(shown: list[Shown], blowing: Blowing | None) -> float:
    """The strongest wind shown: what the site has, and what was read and claimed."""
    usual = USUAL if blowing is None else min(max(np.ceil(blowing.beyond(SELDOM)), LEAST_WIND), MOST_WIND)
    told = [c.wind for s in shown for c in s.claimed] + [r.wind[1] for s in shown for r in s.read]
    told += [p.wind for s in shown for p in s.logged]
    return float(min(max([usual, *(np.ceil(v + 0.5) for v in told)]), max(MOST_WIND, usual)))


def _power(shown: list[Shown], blowing: Blowing | None) -> Figure:
    figure, every = sheet(6.3 if blowing else 5.3, 2 if blowing else 1, sharex=True,
                          height_ratios=(4, 1) if blowing else (1,))  # fmt: skip
    axes, end = every[0], _end(shown, blowing)
    for i, one in enumerate(reversed(shown)):
        _curve(axes, one, i, end)
    crowd = [r for s in shown for r in s.read]
    for i, one in enumerate(reversed(shown)):
        _said(axes, one, MIDDLE if i else DARK, len(crowd))
    axes.set_xlim(0, end)
    axes.set_ylim(0, 1.16 * _top(shown, end))
    key = ["dark half of the ways, light 9 in 10"] if any(len(s.curve.band_winds) for s in shown) else []
    key += ["■ logged"] * any(s.logged for s in shown)
    key += ["○ read"] * bool(crowd) + ["◇ claimed"] * any(s.claimed for s in shown)
    # Four do not fit on one line.
    lines = ["   ".join(key)] if len(key) < KEYS else [key[0], "   ".join(key[1:])]
    axes.set_title("\n".join(filter(None, ["power into battery and dump load, W", *lines])), loc="left")
    if blowing:
        _winds(every[1], blowing, end)
    every[-1].set_xlabel("wind at the rotor, m/s")
    return figure


def _winds(axes: Axes, blowing: Blowing, end: float) -> None:
    """How many hours of a year each wind blows."""
    steps = np.arange(0.0, end + 1.0)
    axes.bar(steps[:-1] + 0.5, blowing.hours(steps), 0.86, facecolor=LIGHT, edgecolor=SOFT, linewidth=0.8)
    axes.set_title("hours a year that it blows", loc="left")
    axes.locator_params(axis="y", nbins=2)


def _top(shown: list[Shown], end: float) -> float:
    """The most that is drawn in the winds shown."""
    tops = [float(np.max(s.curve.power[s.curve.winds <= end], initial=1.0)) for s in shown]
    tops += [float(np.max(s.curve.high[s.curve.band_winds <= end], initial=1.0)) for s in shown]
    tops += [p.power + NINE_TENTHS * p.doubt for s in shown for p in s.logged]
    return max([*tops, *(c.power for s in shown for c in s.claimed), *(r.power[1] for s in shown for r in s.read)])


def _curve(axes: Axes, one: Shown, i: int, end: float) -> None:
    """The curve of one revision with its bands, the newest (0) over all others."""
    c, last = one.curve, i == 0
    shade, tints = (DARK, (UNDER_DARK, ON_DARK)) if last else (MIDDLE, (UNDER_MIDDLE, ON_MIDDLE))
    if len(c.band_winds):
        for (low, high), tint, level in zip(((c.low, c.high), c.half), tints, (0.0, 0.05), strict=False):
            axes.fill_between(
                c.band_winds, low, high, facecolor=tint, edgecolor=shade, linewidth=0.0, hatch=None if last else "//",
                alpha=0.8, zorder=1.5 + level - 0.1 * i,
            )  # fmt: skip
    axes.plot(c.winds, c.power, color=shade, linestyle=DASHES[min(i, 2)], zorder=3)
    stop = min(float(c.winds[-1]), end)
    label(axes, stop, float(np.interp(stop, c.winds, c.power)), one.ref, xytext=(-5, 10), ha="right", weight="bold",
          color=shade)  # fmt: skip
    if np.isfinite(c.limit) and c.limit < end:
        axes.axvline(c.limit, color=SOFT, linewidth=1, linestyle=DASHES[2], zorder=0)
        words = f"{one.ref} held back"
        left = c.limit > 0.6 * end
        label(axes, c.limit, 0.985, words, xytext=(-4 if left else 4, 0), xycoords=("data", "axes fraction"), va="top",
              ha="right" if left else "left", color=SOFT)  # fmt: skip


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


def _said(axes: Axes, one: Shown, shade: str, crowd: int) -> None:
    """What was read, each with its limits, and what was claimed; in the colour of the revision, named where few are."""
    few, read = crowd <= SINGLY, list(one.read)
    if crowd > EACH:
        read = _steps(read)
    if read:
        values, wide = np.array([m.value for m in read]), np.array([(m.wind[1] - m.wind[0]) / 2 for m in read])
        below, above = values - [m.power[0] for m in read], [m.power[1] for m in read] - values
        axes.errorbar(
            [m.middle for m in read], values, xerr=wide, yerr=[below, above], fmt="o", color=shade,
            markersize=8 if few else 5, markerfacecolor="white", markeredgewidth=2.0 if few else 1.2,
            elinewidth=1.6 if few else 0.6, capsize=4 if few else 0, zorder=5,
        )  # fmt: skip
    if one.logged:
        off = [NINE_TENTHS * p.doubt for p in one.logged]
        axes.errorbar([p.wind for p in one.logged], [p.power for p in one.logged], yerr=off, fmt="s", color=shade,
                      markersize=5, elinewidth=1.4, capsize=3, zorder=4)  # fmt: skip
    for claim in one.claimed:
        axes.plot(claim.wind, claim.power, "D", color=shade, markersize=9, markerfacecolor="white", markeredgewidth=2.0,
                  zorder=5)  # fmt: skip
    named = [(m.wind[0], m.value, m.ref) for m in read] if few else []
    for x, y, ref in [*named, *((c.wind, c.power, c.ref) for c in one.claimed)]:
        label(axes, x, y, ref, xytext=(-8, 9), ha="right", color=shade)


#: Where the wind's power goes: field of the points, name, fill, hatch. Filled light and dark in turn.
LAYERS = (
    ("stored", "into the battery", DARK, ""),
    ("dump", "dump load", "#ffffff", "oo"),
    ("inside_battery", "inside the battery", SOFT, ""),
    ("field", "field coil", MIDDLE, "oo"),
    ("converter", "converter", LIGHT, "\\\\"),
    ("cable", "cable", "#f3d9a8", "//"),
    ("diodes", "diodes", INK, ""),
    ("copper", "winding", "#ffffff", "xx"),
    ("drag", "bearings and iron", MIDDLE, ""),
    ("drive", "belt, chain or gears", "#ffffff", "\\\\"),
    ("left", "not caught by the blades", "#f4f4f4", ""),
)
#: Shares below this one are not told of. Own choice.
LEAST_SHARE = 0.003
#: Winds of which it is told. [m/s]
TOLD_WINDS = (4.0, 7.0, 10.0)


@dataclass(frozen=True, eq=False)
class Going:
    """Where the wind's power goes in one revision: what the wind carries [W], and by layer the share of it."""

    ref: str
    carried: Array
    shares: dict[str, Array]


@remembered(4)
def watts(machines: tuple[MachineTold, ...]) -> Picture | None:
    """Where the power of the wind goes, as shares, in the same winds for each revision.

    Parameters
    ----------
    machines : tuple of MachineTold
        Revisions, oldest first.

    Returns
    -------
    picture : Picture or None
        None if none can be solved and charges.
    """
    winds = np.array(TOLD_WINDS)
    solved = [(m.ref, m.solved) for m in machines if m.solved is not None]
    if not any(np.isfinite(found.charging) for _, found in solved):
        return None
    going = [_going(ref, balance.operate(found.machine, winds).running) for ref, found in solved]
    refs = " and ".join(g.ref for g in going)
    told = " ".join(_told_watts(g, i) for g in going for i in (1, 2))
    return Picture(
        f"watts-{machines[-1].ref}",
        f"Where the watts of the wind go, {refs}",
        f"Of what the wind carries through the circle of the blades. {told} "
        f"No rotor can catch more than {show(BETZ, '%', 2)}.",
        partial(_watts, winds, going),
    )


def _going(ref: str, points: Points) -> Going:
    shares = {field: getattr(points, field) / points.wind for field, *_ in LAYERS if field != "left"}
    return Going(ref, points.wind, shares | {"left": 1.0 - sum(shares.values())})


def _told_watts(g: Going, i: int) -> str:
    said = [f"{name} {show(float(g.shares[f][i]), '%', 2)}" for f, name, *_ in LAYERS if g.shares[f][i] >= LEAST_SHARE]
    return f"{g.ref} in {show(TOLD_WINDS[i], 'm/s')}, of {show(float(g.carried[i]), 'W', 2)}: {', '.join(said)}."


def _watts(winds: Array, going: list[Going]) -> Figure:
    seen = [
        layer
        for layer in LAYERS
        if layer[0] != "left" and any(np.any(g.shares[layer[0]] >= LEAST_SHARE) for g in going)
    ]
    rows = -(-(len(seen) + 1) // 2)
    figure, (axes,) = sheet(5.5 + 0.31 * rows)
    top = max(1.08 * BETZ, max(float(np.max(1.0 - g.shares["left"])) for g in going)) * 100.0
    wide = 0.86 / len(going)
    for n, g in enumerate(going):
        x: Array = np.arange(len(winds), dtype=float) + (n - (len(going) - 1) / 2) * (wide + 0.02)
        _bars(axes, x, wide, g, seen, top)
    axes.axhline(100 * BETZ, color=SOFT, linewidth=1.2, linestyle=DASHES[1], zorder=4)
    axes.set_xticks(np.arange(len(winds)), [digits(v) for v in winds])
    axes.set_xlabel("wind at the rotor, m/s")
    axes.tick_params(axis="x", length=0, pad=26)
    axes.set_xlim(-0.55, len(winds) - 0.45)
    axes.set_ylim(0, top)
    axes.set_yticks([0, 20, 40, 60], ["0", "20", "40", "60 %"])
    axes.set_title("of the watts of the wind, told above each bar\ndashed: no rotor can catch more", loc="left", pad=28)
    _key(axes, seen)
    return figure


def _bars(axes: Axes, x: Array, wide: float, g: Going, seen: list[tuple[str, str, str, str]], top: float) -> None:
    """The bars of one revision: what the rotor catches, by where it goes; above it the wind's watts, below its name."""
    axes.bar(x, top, wide, facecolor=LAYERS[-1][2], edgecolor="none", zorder=0)
    under = np.zeros(len(x))
    for field, _, fill, hatch in seen:
        height = 100.0 * g.shares[field]
        axes.bar(x, height, wide, under, facecolor=fill, edgecolor=INK, hatch=hatch, linewidth=0.8, zorder=2)
        under = under + height
    for at, carried in zip(x, g.carried, strict=True):
        axes.annotate(show(float(carried), "W", 2), (at, top), xytext=(0, 4), textcoords="offset points", ha="center")
        axes.annotate(g.ref, (at, 0), xytext=(0, -5), textcoords="offset points", ha="center", va="top", weight="bold")


def _key(axes: Axes, seen: list[tuple[str, str, str, str]]) -> None:
    """What the fills mean, in the order of the bars from below."""
    from matplotlib.patches import Patch

    marks = [Patch(facecolor=f, edgecolor=INK, hatch=h, label=n, linewidth=0.8) for _, n, f, h in [*seen, LAYERS[-1]]]
    axes.legend(handles=marks, loc="upper center", bbox_to_anchor=(0.45, -0.24), ncols=2, frameon=False,
                fontsize=SIZE, handlelength=1.2, columnspacing=1.0, handletextpad=0.5, labelspacing=0.3)  # fmt: skip
