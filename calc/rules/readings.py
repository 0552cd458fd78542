"""Readings held against the computed machine."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from calc.finding import Act, Source
from calc.machine.battery import has_battery
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Inputs, Unknown
from calc.machine.meter import MOVED, PREDICTED, RUNNING, meter_values
from calc.machine.site import at_hub
from calc.machine.solving import SOLVING_NEEDS, Solved, solve_machine
from calc.physics.arrays import Array
from calc.quantities import QUANTITIES
from calc.rules.engine import CANNOT_TELL, MARGINAL, OK, Judgement, Rule, with_machine
from calc.rules.sources import BALANCE, SECTION_TABLE
from calc.rules.ways import act
from calc.units import Num, show

#: Greatest over least of a computed range that a reading can still test. Own choice, no source.
WIDEST = 2.5
#: Readings from which on their winds are solved together. Own choice.
MANY = 24
_SAYS = {
    OK: "the two agree.",
    MARGINAL: "the two do not agree. What is not known exactly is allowed for.",
    CANNOT_TELL: "that range is so wide that the reading tests nothing. Hardly any could have contradicted it.",
}
_WAYS = (
    act(Act.MEASURE, "Read it again, with the wind measured beside the rotor."),
    act(Act.LOOK, "Look at the doubtful values of the sheet: galebook doubts."),
)


def _reading_winds(x: Inputs) -> Array | Unknown | None:
    low, high = x.maybe(Sheet.measured.wind_low), x.maybe(Sheet.measured.wind_high)
    if low is None or high is None:
        return None
    # A step of wind in which many readings stand is narrow.
    several = x.design.get(Sheet.measured.count[x.label or ""]) is not None
    winds = np.linspace(float(np.min(low)), float(np.max(high)), 3 if several else 9)
    carried = at_hub(x, winds, x.maybe(Sheet.measured.wind_height))
    return carried if isinstance(carried, Unknown) else np.asarray(np.maximum(carried, 0.3))


def _solve_ahead(x: Inputs) -> None:
    """Solve the winds of many readings together; what each of them uses is for it to say."""
    solved, at = solve_machine(x), Sheet.measured
    labels = [
        n for n in x.design.labels(at)
        if x.design.get(at.quantity[n]) in MOVED and x.design.get(at.load[n]) in RUNNING
    ]  # fmt: skip
    many = [_reading_winds(Inputs(x.design, label, {}, x.drawn)) for label in labels]
    if isinstance(solved, Solved):
        solved.ahead(winds for winds in many if isinstance(winds, np.ndarray))


def _predict(x: Inputs, solved: Solved) -> tuple[Num, Num] | Unknown:
    """Lowest and highest value that the machine would show in the wind of the reading."""
    load = x.maybe(Sheet.measured.load) or ""
    if len(x.design.labels(Sheet.measured)) > MANY:
        x.shared("winds of readings", _solve_ahead)
    found = meter_values(solved, x.need(Sheet.measured.quantity), load, _reading_winds(x))
    if isinstance(found, Unknown):
        return replace(found, missing=tuple(x.here(entry) for entry in found.missing))
    return np.min(found, axis=-1), np.max(found, axis=-1)


def _widened(x: Inputs, predicted: tuple[Num, Num]) -> tuple[Num, Num]:
    """The predicted range, widened to where 95 of 100 samples of the doubtful inputs put it."""
    if x.sampled is None:
        return predicted
    many = solve_machine(x.sampled)
    found = many if isinstance(many, Unknown) else _predict(x.sampled, many)
    if isinstance(found, Unknown):
        return predicted
    return (
        np.minimum(predicted[0], np.percentile(found[0], 2.5)),
        np.maximum(predicted[1], np.percentile(found[1], 97.5)),
    )


def _reading(x: Inputs, solved: Solved) -> Judgement | Unknown:
    predicted = _predict(x, solved)
    if isinstance(predicted, Unknown):
        return predicted
    low, high = _widened(x, predicted)
    value, below, above = (x.need(e) for e in (Sheet.measured.value, Sheet.measured.low, Sheet.measured.high))
    quantity, count = QUANTITIES[x.need(Sheet.measured.quantity)], x.maybe(Sheet.measured.count)
    least, most = x.maybe(Sheet.measured.least) or 0.0, x.maybe(Sheet.measured.most) or 0.0
    apart = np.maximum(np.asarray(below) - high, np.asarray(low) - above)
    agrees = apart <= 1e-9 * np.maximum(np.abs(value), 1e-9)
    level = np.where(~agrees, MARGINAL, np.where(_could_contradict(low, high), OK, CANNOT_TELL))
    scale = np.maximum(np.abs(np.asarray(value)), 1e-9)

    def says() -> str:
        expected = (
            show(low, quantity.shown)
            if low == high
            else f"{_ordered(low, high, quantity.shown)[0]} to {_ordered(low, high, quantity.shown)[1]}"
        )
        winds, read = _reading_winds(x), f"{show(value, quantity.shown)} was read"
        if count is not None:
            ends = " to ".join(_ordered(least, most, quantity.shown))
            read = f"{show(value, quantity.shown)} is the middle of {count:.0f} readings from {ends}"
        about = ""
        if isinstance(winds, np.ndarray):
            about = f" in {show(winds[0], 'm/s', 2)} to {show(winds[-1], 'm/s', 2)} at the rotor"
        told = _SAYS[int(np.asarray(level)[()])]
        return f"{quantity.meaning}: {read}, {expected} computed{about}: {told}"

    def more() -> str:
        told = "Either the reading, the wind at that time, or a value on the sheet is not what it seems."
        return told if level == MARGINAL else ""

    return Judgement(level, says, lambda: _WAYS, value, None, quantity.shown, -apart / scale, more)


def _could_contradict(low: Num, high: Num) -> Array:
    """Whether a computed range is narrow enough for a reading to contradict it.

    A range from two thirds to one and a half times a value holds much of what a meter would show by chance.
    """
    return np.asarray(np.asarray(high) <= WIDEST * np.maximum(low, 0.0))


def _ordered(low: Num, high: Num, unit: str) -> tuple[str, str]:
    pair = (show(low, unit), show(high, unit))
    return pair if unit != "rpm/V" else (pair[1], pair[0])


RULES = (
    Rule(
        "measured.agrees",
        "Reading against the computed machine",
        "measured",
        (Sheet.measured.quantity, Sheet.measured.value, *SOLVING_NEEDS),
        with_machine(_reading),
        (BALANCE, SECTION_TABLE, Source("Two results agree when their limits overlap", "", "common practice")),
        each=True,
        widened=True,
        applies=lambda x: x.maybe(Sheet.measured.quantity) in PREDICTED and has_battery(x),
    ),
)
