"""The wind that a logger wrote."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np

from calc.curve.sectors import SECTORS, Sectors
from calc.machine.catalogue.site import MONTH_NAMES
from calc.units import digits, show
from calc.wording import number_of
from journal.review.logged_wind import FITS, OF_MONTH, WindFound
from journal.review.wording import days_text
from journal.screens.curve import day
from journal.screens.terminal import Terminal, plain, revision_title, screen

#: Columns of the longest bar.
BAR = 40
#: Share of the time from which on a sector is named in short; and share of the minutes in which the direction must have
#: been recorded for that not to be said. Own choice.
LEAST, MOST_TOLD = 0.005, 0.95


def _data(w: WindFound) -> dict[str, Any]:
    parts = {
        name: plain(getattr(w, name))
        for name in (
            "days", "height", "height_low", "mean", "most", "gust", "share", "cube", "weibull", "no_shear", "station",
            "long_term", "doubt", "on_sheet", "sheet_of", "shear", "others",
        )
    }  # fmt: skip
    t = w.turbulence
    rows = [] if t is None else zip(t.winds, t.mean, t.high, t.count, strict=True)
    return {
        "revision": w.revision.ref if w.revision else None,
        "first": day(w.first),
        "last": day(w.last - 60.0),
        **parts,
        "spread": [{"from": float(v), "share": float(s)} for v, s in zip(w.spread.low, w.spread.share, strict=True)],
        "hours": [plain(float(v)) for v in w.hours],
        "months": [
            {"month": n + 1, "mean": plain(float(v)), "recorded": float(s)}
            for n, (v, s) in enumerate(zip(w.months, w.months_seen, strict=True))
        ],
        "sectors": None if w.sectors is None else list(_by_sector(w.sectors)),
        "calm": None if w.sectors is None else w.sectors.calm,
        "turbulence": [
            {"wind": float(v), "mean": float(a), "nine_in_ten": float(b), "spells": int(n)} for v, a, b, n in rows
        ],
    }


def _by_sector(s: Sectors) -> Iterator[dict[str, Any]]:
    for name, share, mean, energy in zip(SECTORS, s.share, s.mean, s.energy, strict=True):
        yield {"from": name, "share": float(share), "mean": plain(float(mean)), "energy": float(energy)}


@screen(_data)
def show_wind(out: Terminal, w: WindFound, *, whole: bool = False, leads_on: bool = True) -> None:
    """The mean and how far it is to be trusted, how often it blew how hard, when, how gusty; the rest if asked for.

    A page that leads to the rest by itself need not name the command (``leads_on``).
    """
    out.title(
        f"Wind by the logger of {revision_title(w.revision)}" if w.revision else "Wind by the logger of the place"
    )
    height = "at a height that is not on record" if math.isnan(w.height) else f"at {show(w.height, 'm')}"
    out.line(f"{number_of(float(digits(w.days, 3)), 'day')}, {days_text(day(w.first), day(w.last - 60.0))}, {height}.")
    out.line(_mean(w), "bold")
    if w.others:
        out.line(f"Other wind was logged, and is not in it: {', '.join(w.others)}.")
    out.heading("How often it blew so hard")
    blew = [(float(v), float(s)) for v, s in zip(w.spread.low, w.spread.share, strict=True) if s >= 5e-4]
    out.bars([(f"{v:>3.0f} to {v + 1:.0f} m/s", s, f"{digits(100 * s, 2)} %") for v, s in blew], BAR)
    out.heading("Seen meanwhile")
    out.facts(_facts(w))
    if whole and w.sectors is not None:
        out.heading("Where it came from")
        out.table(("From", "Of the time", "Mean wind", "Of its energy"), _rose(w.sectors))
    if whole:
        out.heading("For who reckons with it")
        out.facts(_reckoned(w))
    out.block("What it cannot tell", _cannot(w))
    if leads_on and not whole:
        out.line("The numbers to reckon with:")
        out.command(" ".join(filter(None, ["galebook wind", w.revision.ref if w.revision else "", "--all"])))


def _mean(w: WindFound) -> str:
    off = digits(100 * w.doubt, 2)
    mean = f"The mean was {show(w.mean, 'm/s', 3)}"
    if w.station is None:
        return f"{mean}; that of many years may lie {off} % off. It is not corrected for the long term."
    return f"{mean}; by the station that makes {show(w.long_term, 'm/s', 3)} over many years, ± {off} %."


def _facts(w: WindFound) -> Iterator[tuple[str, str]]:
    if w.on_sheet is not None:
        yield "On the sheet", f"{show(w.on_sheet, 'm/s', 3)} at that height, {w.sheet_of}"
    gust = f", the strongest row {show(w.gust, 'm/s', 3)}" if math.isfinite(w.gust) else ""
    yield "Strongest minute", f"{show(w.most, 'm/s', 3)}{gust}"
    yield from _when(w)
    if (t := w.turbulence) is not None:
        at = int(np.argmax(t.count))
        swing, wind = show(float(t.mean[at] * t.winds[at]), "m/s", 2), show(float(t.winds[at]), "m/s", 2)
        within = "" if t.within else "; what happens within a minute is not in it, so too little"
        yield "How gusty", f"around {wind} it mostly stays within {swing} of its mean of ten minutes{within}"
    if w.sectors is not None:
        yield from _sectors(w.sectors)
    if w.shear is not None:
        ends = f"{digits(w.height_low, 2)} to {show(w.height, 'm', 2)}"
        yield "Growth with height", f"{digits((w.height / w.height_low) ** w.shear.exponent, 3)} times from {ends}"


def _sectors(s: Sectors) -> Iterator[tuple[str, str]]:
    """From where it came how often and how hard, and from where most of its energy."""
    told = [f"{name} {show(float(share), '%', 2)}, {show(float(mean), 'm/s', 2)}"
            for name, share, mean in zip(SECTORS, s.share, s.mean, strict=True) if share >= LEAST]  # fmt: skip
    calm = [f"calm {show(s.calm, '%', 2)}"] if s.calm >= LEAST else []
    part = "" if s.told >= MOST_TOLD else f" (recorded in {show(s.told, '%', 2)} of the minutes)"
    yield "Where from", "; ".join([*told, *calm]) + part
    at = int(np.argmax(s.energy))
    yield "Most energy", f"from {SECTORS[at]}, {show(float(s.energy[at]), '%', 2)} of it; north is as the vane was set"


def _rose(s: Sectors) -> Iterator[tuple[str, ...]]:
    for name, share, mean, energy in zip(SECTORS, s.share, s.mean, s.energy, strict=True):
        blew = "" if math.isnan(mean) else show(float(mean), "m/s", 2)
        yield name, show(float(share), "%", 2), blew, show(float(energy), "%", 2)


def _reckoned(w: WindFound) -> Iterator[tuple[str, str]]:
    """What only who computes with the wind reads."""
    if w.weibull is not None:
        fits = "fits well" if w.weibull.apart <= FITS else f"fits badly, up to {digits(100 * w.weibull.apart, 2)} % off"
        yield (
            "Weibull curve laid through it",
            (
                f"scale {show(w.weibull.c, 'm/s', 3)}, shape {digits(w.weibull.k, 3)}: {fits}; its energy is "
                f"{digits(100 * w.weibull.cube, 3)} % of the wind's"
            ),
        )
    yield "Energy in it", f"{digits(w.cube, 3)} times that of a steady wind of the mean; 1.91 at most sites"
    if (t := w.turbulence) is not None:
        at = int(np.argmax(t.count))
        within = "" if t.within else ", what happens within a minute left out, so too low"
        yield (
            "Turbulence",
            (
                f"{digits(100 * float(t.mean[at]), 2)} % in {digits(float(t.winds[at]), 2)} m/s over ten minutes, "
                f"nine in ten below {digits(100 * float(t.high[at]), 2)} %{within}"
            ),
        )
    if w.shear is not None:
        rough = f", roughness {show(w.shear.roughness, 'm', 2)}" if math.isfinite(w.shear.roughness) else ""
        ends = f"{digits(w.height_low, 2)} to {show(w.height, 'm', 2)}"
        yield "Growth with height", f"exponent {digits(w.shear.exponent, 2)} from {ends}{rough}"


def _when(w: WindFound) -> Iterator[tuple[str, str]]:
    if np.isfinite(w.hours).all():
        high, low = int(np.argmax(w.hours)), int(np.argmin(w.hours))
        yield (
            "By day",
            (
                f"strongest at {high}:00 UTC, {show(float(w.hours[high]), 'm/s', 2)}; lightest at {low}:00, "
                f"{show(float(w.hours[low]), 'm/s', 2)}"
            ),
        )
    seen = [
        f"{MONTH_NAMES[i]} {digits(float(v), 2)}" + ("" if s >= OF_MONTH else " (in part)")
        for i, (v, s) in enumerate(zip(w.months, w.months_seen, strict=True))
        if np.isfinite(v)
    ]
    yield "By month, m/s", ", ".join(seen)


def _cannot(w: WindFound) -> Iterator[str]:
    if w.months_whole < len(MONTH_NAMES) - 1:
        many = number_of(w.months_whole, "whole month")
        yield f"What the rest of the year is like: {many} recorded."
    if w.station is None:
        yield "Whether these days were windier than usual: give a station's means with --station and --then."
    if w.shear is None:
        yield f"How the wind grows with height: {w.no_shear}."
    if w.share < 0.9:
        yield f"What it blew in {show(1.0 - w.share, '%', 2)} of the time, which is missing: storms stop loggers, too."
    yield "Whether the cup was sheltered by a tree, a house or its own mast."
