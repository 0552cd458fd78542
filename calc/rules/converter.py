"""A converter between rectifier and battery against what the generator puts on its input."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from calc.finding import COMMON_PRACTICE, Source
from calc.machine.catalogue import Sheet
from calc.machine.converter import has_converter
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import refuse_vertical
from calc.machine.solving import SOLVING_NEEDS, Solved, nothing_limits
from calc.machine.storm import unloaded_in_storm
from calc.physics import balance
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule, at_most, with_machine
from calc.rules.phrases import THROWN, gust_words
from calc.rules.sources import BALANCE
from calc.units import show, show_down, show_up

#: Voltage for which a converter is chosen, over the highest that comes. Common practice, no source.
VOLTAGE_RESERVE = 1.25


def _voltage(x: Inputs) -> Judgement | Unknown:
    refuse_vertical(x)
    free, most = unloaded_in_storm(x), x.converter.input_highest
    if free is None:
        return Unknown("", x.lacks(Sheet.generator.emf_constant, Sheet.rotor.diameter, Sheet.generator.ratio))
    worst = DANGER if nothing_limits(x) else FAIL
    level, margin = at_most(free.peak, most, marginal=1.0 - 1.0 / VOLTAGE_RESERVE, worst=worst)

    def says() -> str:
        return (
            f"With nothing connected in {gust_words(free.wind)} the generator's peaks reach {show(free.peak, 'V', 3)}. "
            f"The converter withstands {show(most, 'V')}: {'less than that' if margin < 0 else 'more than that'}."
        )

    def remedy() -> str:
        slow = free.speed * most / VOLTAGE_RESERVE / free.peak
        return (
            f"Use a converter for {show_up(VOLTAGE_RESERVE * free.peak, 'V', 3)} or more, or one with a clamp ahead "
            f"of it that takes the whole power, or hold the rotor below {show_down(slow, 'rpm', 2)}."
        )

    return Judgement(level, says, remedy, free.peak, most, "V", margin)


def _current(x: Inputs, solved: Solved) -> Judgement:
    """Judge whether the converter holds the rotor in every wind in which it works.

    At its greatest input current it holds no more torque: what the wind adds makes the rotor faster, and where that
    takes its input past what it withstands, or a tracker finds no speed to hold, the rotor runs free.
    """
    points, most = solved.operation.running, np.asarray(x.converter.input_current)
    volts = (points.charge + points.converter) / np.maximum(points.current, 1e-9)
    full = points.current >= 0.999 * most[..., None]
    high = np.asarray(x.converter.input_highest)[..., None]
    begun = np.cumsum(points.current > 0, axis=-1) > 0
    lost = (begun & (points.current <= 0)) | (full & (volts > high))
    level = np.where(lost.any(axis=-1), FAIL, np.where(full.any(axis=-1), MARGINAL, OK))
    greatest = points.current.max(axis=-1)

    def first(at: np.ndarray) -> str:
        return show(float(solved.winds[int(np.argmax(at))]), "m/s", 2)

    def says() -> str:
        if lost.any():
            return (
                f"From {first(lost)} on the converter no longer holds the rotor: what the generator would give lies "
                f"outside its input of {show(most, 'A')} and {show(x.converter.input_highest, 'V')}."
            )
        if full.any():
            return (
                f"From {first(full)} on the converter takes its greatest input current of {show(most, 'A')}, and what "
                "the wind adds makes the rotor faster, not the battery fuller."
            )
        return f"The generator gives it up to {show(greatest, 'A', 2)}; it takes {show(most, 'A')}."

    def remedy() -> str:
        whole = replace(solved.machine, I_most=np.inf, V_high=np.inf)
        held = np.asarray(np.minimum(solved.winds, solved.limit))
        need = float(balance.operate(whole, held).running.current.max())
        return (
            f"Use a converter that takes {show_up(need, 'A', 2)} or more, a tail that folds earlier, or a generator of "
            "more volts per turn, which gives the same power with fewer amperes."
        )

    return Judgement(level, says, remedy, greatest, most, "A")


RULES = (
    Rule(
        "converter.input-voltage",
        "Converter against the generator's voltage in a storm",
        "converter",
        (Sheet.converter.input_highest, Sheet.generator.emf_constant, Sheet.rotor.diameter, Sheet.site.storm_wind),
        _voltage,
        (
            Source(
                "EcoInnovation, hydro manual, 2014, p. 55: the controller must withstand the open generator",
                "",
                "reproduction",
            ),
            COMMON_PRACTICE,
        ),
        f"A converter that fails unloads the rotor, and may put the generator's voltage on the battery. {THROWN}",
        applies=has_converter,
    ),
    Rule(
        "converter.input-current",
        "Converter against the power of the rotor",
        "converter",
        (*SOLVING_NEEDS, Sheet.converter.input_highest, Sheet.converter.input_current),
        with_machine(_current),
        (BALANCE,),
        f"A rotor that its load does not hold runs away. {THROWN}",
        applies=has_converter,
    ),
)
