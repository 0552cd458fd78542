"""Whether rotor, generator and battery suit each other, and what was claimed for them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from calc.finding import COMMON_PRACTICE
from calc.machine.battery import has_battery, is_loaded
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import LEAST_POWER, RotorCurves, rotor_of
from calc.machine.site import HUB_NEEDS, YEAR_NEEDS, energy_of_year, how_often, hub_wind, over_winds
from calc.machine.solving import SOLVING_NEEDS, Solved, solve_machine
from calc.machine.year import likely
from calc.physics import balance, generator, wind
from calc.physics.arrays import Array
from calc.rules.engine import FAIL, MARGINAL, OK, Judgement, Rule, at_most, with_machine
from calc.rules.limits import BANKS, HOTTEST_WINDING
from calc.rules.phrases import NO_DRIVE, beyond
from calc.rules.sources import BALANCE, DRAG_BY_SIZE, INSULATION_CLASSES, SECTION_TABLE
from calc.units import Num, show

#: Rewound or other generators that a remedy may name, as a share of the present speed per volt.
REWOUND = np.array([0.5, 0.6, 0.7, 0.8, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0])
#: Share of what the rotor could take that a good match takes, and below which the match is bad. Own choice.
GOOD_MATCH, BAD_MATCH = 0.75, 0.5


def _claim(x: Inputs, solved: Solved) -> Judgement:
    P, V = x.need(Sheet.claim.power), x.need(Sheet.claim.wind_speed)
    points = solved.at(V)
    got, shaft = points.charge, points.rotor
    level, margin = at_most(P, np.maximum(got, 1e-3) * 1.25, marginal=0.2)
    D = x.rotor.diameter

    def says() -> str:
        of = wind.power_in_wind(solved.machine.rho, wind.swept_area(D), V)
        return (
            f"{show(P, 'W')} is claimed at {show(V, 'm/s')}. Computed for this machine, the rotor takes "
            f"{show(shaft, 'W', 2)} of the {show(of, 'W', 2)} in that wind, and {show(got, 'W', 2)} come out of the "
            f"cable ({show(points.current, 'A', 2)} at {show(points.voltage, 'V')}).{beyond(x, V, points.omega)}"
        )

    def remedy() -> str:
        curve = solved.operation.running.charge
        reached = solved.winds[curve >= P]
        when = (
            f"it reaches {show(P, 'W')} only in {show(reached[0], 'm/s', 2)}"
            if len(reached)
            else (f"it never reaches {show(P, 'W')}; the most is {show(np.max(curve), 'W', 2)}")
        )
        return f"Expect {show(got, 'W', 2)} at {show(V, 'm/s')}: {when}."

    return Judgement(level, says, remedy, P, got * 1.25, "W", margin)


def _match(solved: Solved, weights: Array) -> Num:
    """Share of what the rotor could take, over the winds in which it charges, that it takes."""
    points, best_cp = solved.operation.running, solved.rotor.best()[1]
    charging = (points.current > 0) & (over_winds(solved.limit) >= solved.winds)
    could = np.sum(weights * charging * points.wind * over_winds(best_cp), axis=-1)
    taken = np.sum(weights * charging * points.rotor, axis=-1)
    return np.asarray(np.divide(taken, could, out=np.zeros(np.broadcast(taken, could).shape), where=could > 0))


def _stall(x: Inputs, solved: Solved) -> Judgement | Unknown:
    Vm = hub_wind(x)
    if isinstance(Vm, Unknown):
        return Vm
    weights, points = how_often(x, solved.winds, Vm), solved.operation.running
    tsr = solved.rotor.best()[0]
    match = _match(solved, weights)
    stalled = points.stalled & (over_winds(solved.limit) >= solved.winds)
    slow = np.sum(weights * stalled * points.wind, axis=-1) > 0.1 * np.sum(weights * points.wind, axis=-1)
    level = np.where(match >= GOOD_MATCH, OK, np.where(match >= BAD_MATCH, MARGINAL, FAIL))

    def says() -> str:
        text = (
            f"Over the winds in which it charges, the rotor takes {show(match, '%', 2)} of what it could at its best "
            f"tip-speed ratio of {show(tsr, '', 2)}."
        )
        if slow:
            first = solved.winds[np.argmax(stalled)]
            at = int(np.argmax(stalled))
            return (
                f"{text} From {show(first, 'm/s', 2)} on it is kept slow: the battery holds the generator near "
                f"{show(points.omega[at], 'rpm', 2)}, so the tip-speed ratio falls to {show(points.tsr[at], '', 2)} "
                "and below, and the blades stall."
            )
        if match >= GOOD_MATCH:
            return text
        charging = weights * points.wind * (points.current > 0)
        ran = np.sum(charging * points.tsr, axis=-1)
        if ran > tsr * np.sum(charging, axis=-1) or not np.any(charging):
            return f"{text} It runs too fast for its best: the voltage is too low to load it at a lesser speed."
        return f"{text} It runs too slow for its best: the battery takes hold of it early and keeps it there."

    def remedy() -> str:
        return _better_match(x, solved, Vm)

    return Judgement(level, says, remedy, match, GOOD_MATCH, "%", (match - GOOD_MATCH) / GOOD_MATCH)


def _better_match(x: Inputs, solved: Solved, Vm: Num) -> str:
    """Bank voltages and generators that would yield more in a year, computed."""
    winds = np.minimum(solved.winds, float(np.asarray(solved.limit)))
    m, V = solved.machine, float(x.storage.voltage)

    def brought(operation: balance.Operation) -> Array:
        return np.asarray(
            energy_of_year(x, solved.winds, likely(x, solved, solved.winds, operation, Vm, lambda p: p.charge), Vm)
        )

    now = float(brought(solved.operation))
    ratio = np.array(BANKS) / V
    banks = replace(m, V_oc=m.V_oc * ratio, R_b=m.R_b * ratio**2, V_max=m.V_max * ratio, V_reg=m.V_reg * ratio)
    by_bank = brought(balance.operate(banks, winds))
    # Fewer rpm per volt means more volts per speed, from more turns of thinner wire: resistance with its square.
    wound = replace(m, k=m.k / REWOUND, R_w=m.R_w / REWOUND**2, L=m.L / REWOUND**2)
    by_turns = brought(balance.operate(wound, winds))
    ways = []
    best_bank, best_turns = int(np.argmax(by_bank)), int(np.argmax(by_turns))
    if by_bank[best_bank] > 1.1 * now:
        ways.append(f"a {show(BANKS[best_bank], 'V')} bank ({show(by_bank[best_bank], 'kWh', 2)} a year)")
    if by_turns[best_turns] > 1.1 * now:
        share = float(REWOUND[best_turns])
        wound_so = f"{show(m.k / share, 'rpm/V', 2)}, {'fewer' if share > 1 else 'more'} turns"
        ways.append(f"a generator of {wound_so} ({show(by_turns[best_turns], 'kWh', 2)} a year)")
    if not ways:
        return "No usual bank voltage and no rewinding makes it much better; look at rotor and cable first."
    return f"In place of {show(now, 'kWh', 2)} a year as it is: {', or '.join(ways)}."


USUAL_ANGLE = (
    "Turn the roots of the blades further into the wind: about 20 degrees between the root chord and the plane of the "
    "rotor is usual for blades cut from pipe (common practice, no source)."
)


def _starting(x: Inputs) -> Judgement | Unknown:
    curves, solved, Vm = rotor_of(x), solve_machine(x), hub_wind(x)
    if isinstance(curves, RotorCurves) and curves.best()[1].ndim == 0 and curves.best()[1] < LEAST_POWER:
        return Judgement(FAIL, lambda: NO_DRIVE, lambda: USUAL_ANGLE)
    if isinstance(solved, Unknown):
        return solved
    if isinstance(Vm, Unknown):
        return Vm
    if not solved.rotor.starts:
        return Unknown("Whether it starts by itself needs the shape of the blades", (Sheet.blade.pipe_diameter,))
    level, margin = at_most(solved.starting, 1.2 * np.asarray(Vm), marginal=0.35)

    def says() -> str:
        V = float(np.asarray(solved.starting))
        need = solved.machine.breakaway
        if not np.isfinite(V):
            return (
                f"At rest the blades give no torque in any wind that would overcome the {show(need, 'Nm', 2)} of "
                "bearings, iron and cogging: the rotor does not start by itself."
            )
        return (
            f"From rest the rotor starts by itself in {show(V, 'm/s', 2)}, when its torque overcomes the "
            f"{show(need, 'Nm', 2)} of bearings, iron and cogging. The mean wind at its height is {show(Vm, 'm/s', 2)}."
        )

    def remedy() -> str:
        V = float(np.asarray(solved.starting))
        if not np.isfinite(V):
            return USUAL_ANGLE
        times = show((V / (0.78 * float(np.asarray(Vm)))) ** 2, "", 2)
        return (
            "Turn the roots of the blades further into the wind, widen them near the hub, or reduce the cogging: with "
            f"{times} times the torque at rest it starts well below the mean wind."
        )

    return Judgement(level, says, remedy, solved.starting, 1.2 * np.asarray(Vm), "m/s", margin)


def _heat(x: Inputs, solved: Solved) -> Judgement | Unknown:
    if np.all(np.asarray(solved.machine.R_th) == 0):
        return Unknown("", (Sheet.generator.rated_current, Sheet.generator.thermal_resistance))
    _, V = solved.greatest()
    points, rated = solved.at(V), x.maybe(Sheet.generator.rated_current)
    limit = HOTTEST_WINDING[x.generator.insulation]
    air = solved.machine.T_air
    level, rise = at_most(points.winding - air, limit - np.asarray(air), marginal=0.15)
    burns = not np.ndim(points.winding) and bool(points.winding > generator.BURNT_WINDING)

    def says() -> str:
        stated = "" if rated is None else f"The sheet says that the winding carries {show(rated, 'A')} for hours. "
        if burns:
            return (
                f"{stated}In {_held(solved, V)} the generator would give far more than its winding can: it burns out. "
                f"Insulation of class {x.generator.insulation} withstands {show(limit, 'degC')}."
            )
        return (
            f"{stated}In {_held(solved, V)} the generator gives {show(points.current, 'A', 2)} and loses "
            f"{show(points.copper, 'W', 2)} in its winding, which would settle at "
            f"{show(points.winding, 'degC', 2 if points.winding < 373.0 else 3)}. "
            f"Insulation of class {x.generator.insulation} withstands {show(limit, 'degC')}."
        )

    def remedy() -> str:
        I = points.current * ((limit - air) / (points.winding - air)) ** 0.5
        # The last wind before the first that brings more; a rotor that stalls brings less again in stronger ones.
        passed = np.flatnonzero(solved.operation.running.current > I)
        at = f", which is {show(solved.winds[passed[0] - 1], 'm/s', 2)}" if len(passed) and passed[0] > 0 else ""
        return f"Hold the rotor back before the current passes about {show(I, 'A', 2)}{at}, or cool the generator."

    # Beyond what any winding survives the number itself means nothing, and none is given.
    if burns:
        return Judgement(level, says, remedy)
    return Judgement(level, says, remedy, points.winding, limit, "degC", rise)


def _held(solved: Solved, V: Num) -> str:
    limit = float(np.asarray(solved.limit))
    if float(np.asarray(V)) >= limit:
        return f"{show(limit, 'm/s', 2)}, from where the rotor is held back,"
    return f"{show(V, 'm/s', 2)}" + ("" if np.isfinite(limit) else ", with nothing to hold the rotor back,")


RULES = (
    Rule(
        "claim.power",
        "Claimed power against the computed machine",
        "claim",
        (Sheet.claim.power, Sheet.claim.wind_speed, *SOLVING_NEEDS),
        with_machine(_claim),
        (BALANCE, SECTION_TABLE),
        each=True,
        applies=is_loaded,
    ),
    Rule(
        "generator.match",
        "Rotor, generator and battery matched to each other",
        "generator",
        (*SOLVING_NEEDS, *YEAR_NEEDS),
        with_machine(_stall),
        (BALANCE, SECTION_TABLE, COMMON_PRACTICE),
        applies=has_battery,
    ),
    Rule(
        "rotor.starting",
        "Wind in which it starts by itself",
        "rotor",
        (*SOLVING_NEEDS, *HUB_NEEDS),
        _starting,
        (
            SECTION_TABLE,
            DRAG_BY_SIZE,
            COMMON_PRACTICE,
        ),
        applies=is_loaded,
    ),
    Rule(
        "generator.heat",
        "Heat of the winding",
        "generator",
        SOLVING_NEEDS,
        with_machine(_heat),
        (BALANCE, INSULATION_CLASSES),
        "A burnt winding unloads the rotor, which then runs away. Hot windings burn fingers and start fires.",
        applies=is_loaded,
    ),
)
