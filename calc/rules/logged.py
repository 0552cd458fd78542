"""The curve that a logger measured, held against the computed one."""

from __future__ import annotations

import numpy as np

from calc.curve.events import Burnt
from calc.curve.shape import MODEL, TOLD, CurveForm, CurveShape, shape_of
from calc.finding import Act, Source
from calc.machine.battery import has_battery
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Inputs, Unknown
from calc.machine.logged import computed_at, measured_bins, measured_points
from calc.machine.solving import SOLVING_NEEDS, Solved, solve_machine
from calc.physics.arrays import Array
from calc.rules.engine import CANNOT_TELL, MARGINAL, OK, Judgement, Rule, with_machine
from calc.rules.sources import BALANCE, SECTION_TABLE
from calc.rules.ways import act
from calc.units import digits, show

#: Doubts of the measured curve, as standard deviations, that must lie between the two before they disagree. Own choice.
APART = 2.0
#: Greatest over least of the computed share that a measured curve can still test. Own choice, as of single readings.
WIDEST = 2.5
_WAYS = (
    act(Act.LOOK, "Look at what sets the two apart: galebook curve."),
    act(Act.MEASURE, "Check the cup: at the rotor's height, two rotor widths beside it, never behind it."),
    act(Act.LOOK, "Look at the doubtful values of the sheet: galebook doubts."),
)
#: Share of what came that is told first where it was burnt; and by how much the voltage at which that is done may lie
#: off the sheet's before its setting is asked about. Own choice.
MUCH, OFF = 0.25, 0.01
#: How many times the least share of the computed power the greatest may be for one share to stand for all winds. Own
#: choice.
WIDE_PART = 1.5
#: What a curve of that form is a sign of, in few words; which of them it is takes the other readings.
SIGNS = {
    CurveForm.PART: "a phase, the blades' angle, or a wind or power read wrong",
    CurveForm.SHIFTED: "drag, blades, a sheltered rotor, or a wind read too strong",
    CurveForm.CUT_OFF: "the tail, the controller, a full battery or much resistance",
}


def _weights(there: Array, count: Array) -> Array:
    """Share of the minutes in each bin, those in which hardly any power is computed left out, shape (..., bins)."""
    told = count * (there > TOLD * np.maximum(there.max(axis=-1, keepdims=True), 1e-9))
    return np.asarray(told / np.maximum(told.sum(axis=-1, keepdims=True), 1e-9))


def _limits(x: Inputs, asked: Array, winds: Array, weights: Array) -> tuple[float, float]:
    """Between what shares of the computed power nine tenths of the doubts put it."""
    many = None if x.sampled is None else solve_machine(x.sampled)
    if many is None or isinstance(many, Unknown):
        return 1.0 - MODEL, 1.0 + MODEL
    low, high = np.percentile(np.sum(computed_at(many, winds) * weights, axis=-1) / asked, (5.0, 95.0))
    return float(min(low, 1.0)) * (1.0 - MODEL), float(max(high, 1.0)) * (1.0 + MODEL)


def _curve(x: Inputs, solved: Solved) -> Judgement | Unknown:
    winds, power, doubt, count = measured_bins(x.design)
    there = computed_at(solved, winds)
    weights = _weights(there, count)
    asked = np.sum(there * weights, axis=-1)
    if not np.any(asked > 0):
        return Unknown("No bin of the measured curve lies in a wind in which power is computed")
    share, off = (np.sum(y * weights, axis=-1) / np.maximum(asked, 1e-9) for y in (power, doubt))
    low, high = _limits(x, asked, winds, weights)
    apart = np.maximum(low - share, share - high) - APART * off
    level = np.where(apart > 0, MARGINAL, OK if high <= WIDEST * low else CANNOT_TELL)
    level = np.where(asked > 0, level, CANNOT_TELL)

    def found() -> CurveShape:
        return shape_of(measured_points(x.design), solved.winds, np.asarray(solved.operation.running.charge))

    def says() -> str:
        return _says(found(), low, high, int(level))

    return Judgement(level, says, lambda: _WAYS, share, None, "%", -apart, lambda: _more(found(), int(level)))


def _says(found: CurveShape, low: float, high: float, level: int) -> str:
    told = {
        OK: "the two agree.",
        MARGINAL: "the two do not agree.",
        CANNOT_TELL: "that is so wide that it tests nothing.",
    }[level]
    allowed = f"{digits(100 * low, 2)} to {show(high, '%', 2)}"
    share = show(found.share, "%", 2)
    begins = f"A logger measured {share} of the power computed in the same winds, {allowed} is allowed for: {told}"
    return f"{begins} {'' if level == OK else form_text(found)}".rstrip()


def form_text(found: CurveShape) -> str:
    """What sets a measured curve apart and what that is a sign of, in a sentence; empty where it has no such form."""
    told = {
        CurveForm.PART: _part_text(found),
        CurveForm.SHIFTED: f"It needs {digits(found.amount, 3)} times the wind for the same power",
        CurveForm.CUT_OFF: f"It is cut off at {show(found.amount, 'W', 2)}",
    }.get(found.form)
    if found.form is CurveForm.SHIFTED and found.amount < 1.0:
        return f"{told}, a sign of wind read too low: a cup in the wake or behind something, or on too low a mast."
    return "" if told is None else f"{told}, a sign of {SIGNS[found.form]}."


def _part_text(found: CurveShape) -> str:
    """What share it is: one for all winds only where its bins say so."""
    if found.most <= WIDE_PART * found.least:
        return f"It is {show(found.amount, '%', 2)} of it in all winds"
    least = digits(100 * max(found.least, 0.0), 2)
    return f"From wind to wind it is {least} to {show(found.most, '%', 2)} of it"


def burnt_text(found: Burnt, full: float | None) -> str:
    """How much of what came was burnt in the dump load, and where that acts beside what the sheet says."""
    begins = f"{show(found.share, '%', 2)} of what came was burnt in the dump load"
    if found.volts is None:
        return f"{begins}."
    acts = f"{begins}, which acts at {show(found.volts, 'V', 3)}"
    if full is None or abs(found.volts / full - 1.0) < OFF:
        return f"{acts}."
    return f"{acts}; the sheet says {show(full, 'V', 3)}: check its setting."


def _more(found: CurveShape, level: int) -> str:
    thirds = [
        f"{show(value, '%', 2)} in {name} winds"
        for name, value in (("low", found.low), ("middle", found.middle), ("high", found.high))
        if not np.isnan(value)
    ]
    told = f"It brings {', '.join(thirds)} of what is computed." if thirds else ""
    return f"{told} {form_text(found)}".strip() if level == OK else told


RULES = (
    Rule(
        "measured.curve",
        "Measured power curve against the computed one",
        "measured.curve",
        SOLVING_NEEDS,
        with_machine(_curve),
        (
            Source("IEC 61400-12-1, method of bins, and its Annex H for small machines", "", "from memory"),
            BALANCE,
            SECTION_TABLE,
        ),
        widened=True,
        applies=lambda x: bool(x.design.labels(Sheet.curve)) and has_battery(x),
    ),
)
