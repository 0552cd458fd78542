"""The measured power curve beside the computed one, and what happened while it was measured."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

import numpy as np

from calc.curve.events import FurlingSeen, Spell
from calc.curve.shape import CurveForm, CurveShape
from calc.curve.uncertainty import MOUNTED
from calc.evidence.uncertainty import RECTANGULAR
from calc.rules.logged import MUCH, SIGNS, burnt_text, form_text
from calc.units import digits, show, to_shown
from calc.wording import number_of
from journal.review.logged import NINE_TENTHS, ClaimMeasured, Measured, YearTold
from journal.review.wording import days_text, range_text
from journal.screens.terminal import Terminal, plain, revision_title, screen

_COLUMNS = ("Wind", "Minutes", "Measured\nW", "±\nW", "Computed\nW", "it could be\nW", "of the wind\n%")
#: Battery days are told in one line; a day counts as full from this share of the charging voltage on. Own choice.
FULL = 0.99
#: Bins that are shown; the others with --all.
SHOWN = 14


def day(at: float) -> str:
    """The day of a moment, by UTC."""
    return datetime.fromtimestamp(at, UTC).date().isoformat()


def moment(at: float) -> str:
    """A moment to the minute, by UTC."""
    return datetime.fromtimestamp(at, UTC).strftime("%Y-%m-%d %H:%M")


def _data(m: Measured) -> dict[str, Any]:
    low, high = m.band
    columns = {
        "wind": m.bins.wind, "minutes": m.bins.count, "power": m.bins.power, "scatter": m.bins.scatter,
        "doubt_a": m.doubt.a, "doubt_b": m.doubt.b, "doubt": m.doubt.total, "least": m.bins.low, "most": m.bins.high,
        "cp": m.bins.cp, "computed": m.computed_power, "computed_low": low, "computed_high": high,
    }  # fmt: skip
    rows = [
        {"bin": float(v), "counts": bool(n), **{k: plain(float(c[i])) for k, c in columns.items()}}
        for i, (v, n) in enumerate(zip(m.bins.centre, m.bins.enough, strict=True))
    ]
    return {
        "revision": m.revision.ref,
        "first": moment(m.first),
        "last": moment(m.last),
        "hours": m.hours,
        "air_density": m.bins.rho,
        "bins": rows,
        "complete": {**plain(m.complete), "whole": m.complete.whole},
        "shape": plain(m.shape),
        "years": [
            {**plain(y.measured), "complete": y.measured.complete, "computed": plain(y.computed),
             "computed_in_all_winds": plain(y.whole), "site": y.site}
            for y in m.years
        ],
        "claims": [plain(c) for c in m.claims],
        "happened": plain(m.happened),
        "instruments": {**plain(m.instruments), "typed": m.typed},
        "burnt": plain(m.sheet.burnt),
        "cannot_tell": list(m.cannot),
    }  # fmt: skip


@screen(_data)
def show_curve(out: Terminal, m: Measured, *, whole: bool = False) -> None:
    """What it comes to, the curve bin by bin, a year of it, claims, what happened, what the data cannot tell."""
    out.title(revision_title(m.revision))
    days = days_text(day(m.first), day(m.last - 60.0))
    out.line(f"{show(m.hours * 3600.0, 'h', 3)} of a logger, {days}; air of {digits(m.bins.rho, 3)} kg/m3.")
    if (burnt := m.sheet.burnt) is not None and burnt.share >= MUCH:
        out.line(burnt_text(burnt, m.happened.full), "bold")
    out.line(conclusion(m), "bold")
    out.table(_COLUMNS, _rows(m, whole))
    out.line("Measured is what the generator gives after the rectifier; ± holds the true value in 9 of 10.")
    out.line(_instruments(m))
    left = [f"{digits(v)} m/s ({n} min)" for v, n in m.complete.short]
    if left:
        many = ", ".join(left[:4]) + (f" and {len(left) - 4} more" if len(left) > 4 else "")
        out.line(f"Too little data, less than 10 minutes, at {many}.")
    if m.years:
        out.heading("kWh a year if it never stood still")
        heads = ("Mean wind", "Measured", "±", "Top power kept\nin stronger wind", "Computed,\nsame winds",
                 "Computed,\nall winds")  # fmt: skip
        out.table(heads, (_year(y) for y in m.years if whole or y.site or not any(z.site for z in m.years)))
    out.block("Claims", (_claim(c, m) for c in m.claims))
    out.heading("Seen meanwhile")
    out.facts(_happened(m))
    out.block("What the data cannot tell", m.cannot)


def conclusion(m: Measured) -> str:
    """How the measured curve stands to the computed one, in a sentence or two."""
    s = m.shape
    if s is None:
        return "The sheet says too little to compute a curve beside it: galebook missing."
    if math.isnan(s.share):
        return "No bin holds enough in a wind in which power is computed: let the logger run on."
    share = f"{show(s.share, '%', 2)} (± {digits(100 * NINE_TENTHS * s.doubt, 2)})"
    return f"It brings {share} of what is computed in the same winds{_form(s)}"


def _form(s: CurveShape) -> str:
    if s.form in SIGNS:
        return f". {form_text(s)}"
    return {
        CurveForm.AS_COMPUTED: ", and has the computed shape.",
        CurveForm.OTHER: ", and has another shape.",
    }.get(s.form, "; too few bins to tell its shape.")


def _rows(m: Measured, whole: bool) -> Iterator[tuple[str, ...]]:
    low, high = m.band
    every = 1.0 if not whole and len(m.bins.centre) > SHOWN else 0.5
    for i, v in enumerate(m.bins.centre):
        counts = bool(m.bins.enough[i])
        # What gives nothing, and what holds too little, is left to who asks for all.
        idle = m.bins.power[i] < 0.5 and not m.computed_power[i] >= 0.5
        if not whole and (v % every or not counts or idle):
            continue
        measured = _watts(m.bins.power[i])
        band = "" if np.isnan(low[i]) or high[i] < 0.5 else f"{_watts(max(low[i], 0.0))} to {_watts(high[i])}"
        yield (
            f"{digits(float(v))} m/s", f"{int(m.bins.count[i])}",
            measured if counts else f"({measured})" if measured else "",
            _watts(NINE_TENTHS * m.doubt.total[i]) if counts else "", _watts(m.computed_power[i]), band,
            _share(float(m.bins.cp[i])) if counts and m.bins.power[i] > 1 else "",
        )  # fmt: skip


def _instruments(m: Measured) -> str:
    """What the instruments' doubt was taken to be, and whether somebody said so; as limits, as one types them."""
    by = m.instruments
    assumed = {"wind": (by.wind_share, show(RECTANGULAR * by.wind_least, "m/s", 2)),
               "power": (by.power_share, show(RECTANGULAR * by.power_least, "W", 2))}  # fmt: skip
    told = [
        f"{what} ± {m.typed[what]}, as typed"
        if what in m.typed
        else f"{what} ± {show(RECTANGULAR * share, '%', 2)} + {least}, assumed"
        for what, (share, least) in assumed.items()
    ]
    told += [f"{what} ± {m.typed[what]}, as typed" for what in ("temperature", "pressure") if what in m.typed]
    if "wind" in m.typed:
        told.append(f"for the place of the cup ± {show(RECTANGULAR * MOUNTED, '%', 2)} of the wind, assumed")
    return f"Of the instruments: {'; '.join(told)}."


def _share(value: float) -> str:
    return "" if math.isnan(value) else digits(100 * value, 2)


def _watts(value: float) -> str:
    if np.isnan(value):
        return ""
    return "0" if abs(value) < 0.5 else digits(float(value), 2)


def _year(y: YearTold) -> tuple[str, ...]:
    def kwh(joules: float) -> str:
        return "" if math.isnan(joules) else digits(float(to_shown(joules, "kWh")), 2)

    mean = f"{show(y.measured.mean, 'm/s', 2)}{' (site)' if y.site else ''}"
    measured = kwh(y.measured.measured) if y.measured.complete else f"over {kwh(y.measured.measured)}"
    doubt = kwh(NINE_TENTHS * y.measured.doubt)
    return mean, measured, doubt, kwh(y.measured.held), kwh(y.computed), kwh(y.whole)


def _claim(c: ClaimMeasured, m: Measured) -> str:
    said = f"{c.ref}, {c.who}: {show(c.power, 'W')} at {show(c.wind, 'm/s')}"
    if math.isnan(c.measured):
        return f"{said}. Not measured: no bin of that wind holds enough."
    return f"{said}. Measured there: {show(c.measured, 'W', 2)} (± {digits(NINE_TENTHS * c.doubt, 2)})."


def _happened(m: Measured) -> Iterator[tuple[str, str]]:
    h = m.happened
    computed = m.sheet.system.figures
    yield "Energy", f"{show(h.energy, 'kWh', 3)} in {show(m.hours * 3600.0, 'h', 3)}"
    if math.isfinite(h.starting):
        yield "Starts in", f"{show(h.starting, 'm/s', 2)}, the middle of {number_of(h.starts, 'start')}"
    elif h.starts:
        yield "Starts in", f"not told: only {h.starts} seen"
    if math.isfinite(h.charging):
        known = computed.get("charging_wind")
        beside = "" if known is None or math.isinf(known.value) else f"; computed {show(known.value, 'm/s', 2)}"
        yield "Power flows from", f"{show(h.charging, 'm/s', 2)}{beside}"
    yield "Beyond its top", _furling(h.furling)
    yield "Storms", _storms(h.storms)
    if h.calm is not None:
        light = show(h.charging, "m/s", 2) if math.isfinite(h.charging) else "3 m/s"
        yield "Longest calm", f"{show(h.calm.lasted, 'h', 2)} below {light} from {moment(h.calm.began)}"
    yield from _battery(m)


def _furling(f: FurlingSeen | None) -> str:
    if f is None:
        return "no wind beyond it with enough minutes: whether it furls was not seen"
    top = f"{show(f.top, 'W', 2)} in {show(f.top_wind, 'm/s', 2)}"
    least = f"{show(f.falls_to, 'W', 2)} in {show(f.wind, 'm/s', 2)}"
    return f"falls from {top} to {least}: furled or held" if f.seen else f"{top}, no fall to be seen up to {least}"


def _storms(spells: tuple[Spell, ...]) -> str:
    if not spells:
        return "none: no minute of 13.9 m/s or more"
    s = spells[0]
    told = [f"up to {show(s.wind, 'm/s', 2)} on {day(s.began)}"]
    told += [f"{show(s.power, 'W', 2)} the most"] if math.isfinite(s.power) else []
    told += [f"{digits(s.rpm, 2)} rpm"] if math.isfinite(s.rpm) else []
    return f"{len(spells)}, the strongest {', '.join(told)}"


def _battery(m: Measured) -> Iterator[tuple[str, str]]:
    h = m.happened
    if h.days:
        low, high = min(d.low for d in h.days), max(d.high for d in h.days)
        text = f"{range_text(low, high, 'V', 3)} in {number_of(len(h.days), 'day')}"
        if h.full is not None:
            # Where the dump load acts below the sheet's voltage, the battery never gets there.
            acts = m.sheet.burnt.volts if m.sheet.burnt else None
            full = FULL * min(h.full, acts or h.full)
            text += f", full on {sum(d.high >= full for d in h.days)} of them"
        yield "Battery", text
    if math.isfinite(h.dumped):
        of_it = f", {show(m.sheet.burnt.share, '%', 2)} of what came" if m.sheet.burnt else ""
        yield "Into the dump load", ("" if h.read else "at most ") + show(h.dumped, "kWh", 2) + of_it
