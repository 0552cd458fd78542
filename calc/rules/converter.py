"""A converter between rectifier and battery against what the generator puts on its input."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from calc.finding import COMMON_PRACTICE, Act, Source
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.storage import HOLDING
from calc.machine.converter import has_converter
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import refuse_vertical
from calc.machine.solving import SOLVING_NEEDS, Solved, nothing_limits
from calc.machine.storm import unloaded_in_storm
from calc.physics import balance
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule, at_most, with_machine
from calc.rules.kits import HELD_FROM, other_turns
from calc.rules.phrases import THROWN, gust_words
from calc.rules.sources import BALANCE
from calc.rules.ways import Try, Way, act, change, ladder
from calc.units import show, show_down, show_up

#: Voltage for which a converter is chosen, over the highest that comes. Common practice, no source.
VOLTAGE_RESERVE = 1.25
#: Highest input voltages and greatest input currents with which converters are sold. Common practice, no source.
#: [V], [A]
INPUT_VOLTS = (50.0, 60.0, 75.0, 100.0, 150.0, 200.0, 250.0, 450.0, 600.0, 800.0, 1000.0)
INPUT_AMPS = (5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0, 150.0, 200.0)
#: Turns of another generator over those of this one: fewer give less voltage, more give less current. Own choice.
FEWER_TURNS, MORE_TURNS = (0.75, 0.6, 0.5, 0.4, 0.3), (1.25, 1.5, 2.0, 2.5, 3.0)


def _voltage(x: Inputs) -> Judgement | Unknown:
    refuse_vertical(x)
    free, most = unloaded_in_storm(x), x.converter.input_highest
    if free is None:
        return Unknown("", x.lacks(Sheet.generator.emf_constant, Sheet.rotor.diameter, Sheet.generator.ratio))
    worst = DANGER if nothing_limits(x) else FAIL
    level, margin = at_most(free.peak, most, marginal=1.0 - 1.0 / VOLTAGE_RESERVE, worst=worst)

    def says() -> str:
        fits = "less" if margin < 0 else "more"
        short = fits == "more" and level != OK
        spare = f", but without the {show(VOLTAGE_RESERVE - 1.0, '%')} in reserve" if short else ""
        return (
            f"The converter withstands {show(most, 'V')}, {fits} than the {show(free.peak, 'V', 3)} that come in "
            f"{gust_words(free.wind)} with nothing connected{spare}."
        )

    def ways() -> list[Way]:
        higher = [V for V in INPUT_VOLTS if VOLTAGE_RESERVE * float(free.peak) <= V]
        fewer = [other_turns(x, share) for share in FEWER_TURNS]
        return [
            change("Use a converter that withstands {0} or more.", *ladder(Sheet.converter.input_highest, higher)),
            change("Use a generator of fewer turns, with {0}.", *fewer),
            act(Act.ASK, f"Ask its maker for a clamp that takes the rotor's whole power below {show(most, 'V')}."),
        ]

    def more() -> str:
        slow = free.speed * most / VOLTAGE_RESERVE / free.peak
        return f"Below {show_down(slow, 'rpm', 2)} of the rotor it would keep its reserve."

    return Judgement(level, says, ways, free.peak, most, "V", margin, more)


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
        takes, volts_most = show(most, "A"), show(x.converter.input_highest, "V")
        if lost.any():
            return (
                f"From {first(lost)} on the converter no longer holds the rotor: what would come lies outside the "
                f"{takes} and {volts_most} of its input."
            )
        if full.any():
            return (
                f"From {first(full)} on the converter takes its greatest input current of {takes}. What the wind adds "
                "makes the rotor faster, not the battery fuller."
            )
        return f"The generator gives the converter up to {show(greatest, 'A', 2)}, and it takes {takes}."

    def more() -> str:
        whole = replace(solved.machine, I_most=np.inf, V_high=np.inf)
        held = solved.held(solved.winds)
        need = float(balance.operate(whole, held).running.current.max())
        return f"One that holds the rotor in every wind takes up to {show_up(need, 'A', 2)}."

    return Judgement(level, says, lambda: _current_ways(x, beyond=bool(lost.any())), greatest, most, "A", more=more)


def _current_ways(x: Inputs, *, beyond: bool) -> list[Way]:
    """Another converter, a rotor held back earlier, or more turns; ``beyond`` is whether volts pass its highest."""
    amps, volts = float(x.converter.input_current), float(x.converter.input_highest)
    more = [I for I in INPUT_AMPS if amps < I]
    ways = [change("Use a converter that takes {0} or more.", *ladder(Sheet.converter.input_current, more))]
    if beyond:
        higher = [V for V in INPUT_VOLTS if volts < V][:4]
        pairs = [(I, V) for V in higher for I in more[:5]]
        both: list[Try] = [{Sheet.converter.input_current: I, Sheet.converter.input_highest: V} for I, V in pairs]
        ways.append(change("Use a converter that takes {0} and withstands {1} or more.", *both))
    if x.maybe(Sheet.rotor.limit_wind) is not None:
        earlier = [V for V in HELD_FROM if float(x.rotor.limit_wind) > V]
        ways.append(change("Set the rotor to be held back from {0}.", *ladder(Sheet.rotor.limit_wind, earlier)))
    turns: list[Try] = [other_turns(x, share) for share in MORE_TURNS]
    if x.maybe(Sheet.converter.kind) == HOLDING:
        # The same power at more volts takes fewer amperes, but only where the input is held as much higher.
        held = float(x.converter.input_held)
        turns = [{**t, Sheet.converter.input_held: held * k} for t, k in zip(turns, MORE_TURNS, strict=True)]
    ways.append(change("Use a generator of more turns, with {0}.", *turns))
    return ways


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
