"""Whether rotor, generator and battery suit each other, and what was claimed for them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from calc.finding import COMMON_PRACTICE, Act
from calc.machine.battery import has_battery, is_loaded
from calc.machine.blade_root import not_told
from calc.machine.catalogue import Sheet
from calc.machine.entry import DEG
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import LEAST_POWER, RotorCurves, rotor_of
from calc.machine.site import HUB_NEEDS, YEAR_NEEDS, how_often, hub_wind, over_winds
from calc.machine.solving import SOLVING_NEEDS, Solved, solve_machine
from calc.physics import generator, wind
from calc.physics.arrays import Array
from calc.rules.engine import FAIL, MARGINAL, OK, Judgement, Rule, at_most, with_machine
from calc.rules.kits import (
    FEWER_TURNS,
    MORE_TURNS,
    banks,
    covered,
    geared_up,
    held_earlier,
    larger_generator,
    rewound,
    rotors,
)
from calc.rules.limits import HOTTEST_WINDING
from calc.rules.phrases import NO_DRIVE, beyond
from calc.rules.sources import BALANCE, DRAG_BY_SIZE, INSULATION_CLASSES, SECTION_TABLE
from calc.rules.ways import Try, Way, act, change, ladder, shown
from calc.units import Num, as_shown, show

#: Angles between root chord and rotor plane that are tried, and those that builders begin with: about 20 degrees is
#: usual for blades cut from pipe. Common practice, no source. [deg]
ANGLES, USUAL_ANGLES = (18.0, 20.0, 22.0, 24.0, 26.0, 28.0, 30.0, 33.0, 36.0), (20.0, 18.0, 22.0, 15.0, 25.0, 12.0)
#: The same for blades whose every station has its own angle, as what is added to it. Own choice. [deg]
TURNED_BY = (2.0, 4.0, 6.0, 8.0, 10.0, 14.0, 18.0)
#: Shares of its rise that a winding keeps behind a fan or with air let through it. Own choice.
COOLER = (0.9, 0.8, 0.7, 0.6, 0.5)
#: Shares by which a root is cut wider, and something made less. Own choice.
WIDER, LESS = (1.1, 1.2, 1.3, 1.4, 1.5), (0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.2, 0.1, 0.05)
#: Share of what the rotor could take that a good match takes, and below which the match is bad. Own choice.
GOOD_MATCH, BAD_MATCH = 0.75, 0.5


def _claim(x: Inputs, solved: Solved) -> Judgement:
    P, V = x.need(Sheet.claim.power), x.need(Sheet.claim.wind_speed)
    points = solved.at(V)
    got, shaft = points.charge, points.rotor
    level, margin = at_most(P, np.maximum(got, 1e-3) * 1.25, marginal=0.2)
    D = x.rotor.diameter

    def says() -> str:
        return (
            f"{show(P, 'W')} is claimed in {show(V, 'm/s')}; by the sums {show(got, 'W', 2)} come out of the cable "
            f"({show(points.current, 'A', 2)} at {show(points.voltage, 'V')}). The rotor takes {show(shaft, 'W', 2)} "
            f"of the {show(wind.power_in_wind(solved.machine.rho, wind.swept_area(D), V), 'W', 2)} in that wind."
        )

    def ways() -> list[Way]:
        curve = solved.operation.running.charge
        reached = solved.winds[curve >= P]
        when = (
            f"it reaches {show(P, 'W')} only in {show(reached[0], 'm/s', 2)}"
            if len(reached)
            else f"the most it ever gives is {show(np.max(curve), 'W', 2)}"
        )
        return [act(Act.EXPECT, f"Expect {show(got, 'W', 2)} in {show(V, 'm/s')}: {when}.")]

    return Judgement(level, says, ways, P, got * 1.25, "W", margin, lambda: beyond(x, V, points.omega).strip())


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
    match = _match(solved, weights)
    stalled = points.stalled & (over_winds(solved.limit) >= solved.winds)
    stalls = np.sum(weights * stalled * points.wind, axis=-1) > 0.1 * np.sum(weights * points.wind, axis=-1)
    level = np.where(match >= GOOD_MATCH, OK, np.where(match >= BAD_MATCH, MARGINAL, FAIL))

    def says() -> str:
        share, good = f"The rotor takes {show(match, '%', 2)} of what it could", f"{show(GOOD_MATCH, '%')}"
        if not np.any(points.current > 0):
            return (
                "It never charges: the rotor runs free and too fast, for the voltage is too low to load it in any "
                f"wind. {good} of what it could take is a good match."
            )
        if stalls:
            at = int(np.argmax(stalled))
            return (
                f"{share}, for the battery keeps it too slow; {good} is a good match. From "
                f"{show(solved.winds[at], 'm/s', 2)} on the generator is held near {show(points.omega[at], 'rpm', 2)}: "
                f"the tip-speed ratio falls to {show(points.tsr[at], '', 2)} and below, and the blades stall."
            )
        if match >= GOOD_MATCH:
            return f"{share}; {good} or more is a good match."
        if _fast(solved, weights):
            return f"{share}, for it runs too fast; {good} is a good match. The voltage is too low to hold it slower."
        return f"{share}, for it runs too slow; {good} is a good match. The battery takes hold of it early."

    def more() -> str:
        return (
            "Counted over the winds in which it charges, against its best tip-speed ratio of "
            f"{show(solved.rotor.best()[0], '', 2)}."
        )

    def ways() -> list[Way]:
        return _better_match(x, fast=not stalls and _fast(solved, weights))

    return Judgement(level, says, ways, match, GOOD_MATCH, "%", (match - GOOD_MATCH) / GOOD_MATCH, more)


def _fast(solved: Solved, weights: Array) -> bool:
    """Whether the rotor runs faster than is best, on average over what it charges from, or never charges at all."""
    points = solved.operation.running
    charging = weights * points.wind * (points.current > 0)
    ran, best = np.sum(charging * points.tsr, axis=-1), solved.rotor.best()[0] * np.sum(charging, axis=-1)
    return bool(ran > best or not np.any(charging))


def _better_match(x: Inputs, *, fast: bool) -> list[Way]:
    """What loads a fast rotor at a lesser speed, or lets a slow one run faster."""
    if fast:
        return [rewound(x, MORE_TURNS), *banks(x, higher=False), *geared_up(x), rotors(x, larger=False)]
    return [*banks(x, higher=True), rewound(x, FEWER_TURNS), rotors(x, larger=True), *larger_generator(x)]


def _turned(x: Inputs, angles: Sequence[float]) -> list[Way]:
    """Roots of the blades turned to some angles [deg]; where every station has an angle of its own, all by as much."""
    labels = x.labels(Sheet.station)
    if not labels:

        def says(tried: Try) -> str:
            root = shown(Sheet.blade.mounting_angle, tried[Sheet.blade.mounting_angle])
            return f"Turn the blades until there are {root} between root chord and rotor plane."

        return [covered(x, says, ladder(Sheet.blade.mounting_angle, [a * DEG for a in angles]))]
    entries = [Sheet.station.twist[label] for label in labels if x.given(Sheet.station.twist[label])]
    if not entries:
        return []
    first = float(x.need(entries[0]))

    def says_by(tried: Try) -> str:
        return f"Set the blades {show(float(tried[entries[0]]) - first, 'deg', 2)} further into the wind."

    return [covered(x, says_by, [{e: float(x.need(e)) + more * DEG for e in entries} for more in TURNED_BY])]


def _starting(x: Inputs) -> Judgement | Unknown:
    curves, solved, Vm = rotor_of(x), solve_machine(x), hub_wind(x)
    if isinstance(curves, RotorCurves) and curves.best()[1].ndim == 0 and curves.best()[1] < LEAST_POWER:
        return Judgement(FAIL, lambda: NO_DRIVE, lambda: _turned(x, USUAL_ANGLES))
    if isinstance(solved, Unknown):
        return solved
    if isinstance(Vm, Unknown):
        return Vm
    if not solved.rotor.starts:
        why = "Whether it starts by itself needs the shape of the blades"
        if missing := tuple(entry for entry in not_told(x) if entry.path != Sheet.blade.laminate.path):
            return Unknown(why, missing)
        return Unknown(f"{why}, and by the sheet not that counts but the share of the wind's power that is stated")
    level, margin = at_most(solved.starting, 1.2 * np.asarray(Vm), marginal=0.35)

    def says() -> str:
        V, most = float(np.asarray(solved.starting)), 1.2 * np.asarray(Vm)
        need = f"the {show(solved.machine.breakaway, 'Nm', 2)} of bearings, iron and cogging"
        if not np.isfinite(V):
            return f"The rotor does not start by itself in any wind: at rest its blades never overcome {need}."
        verdict = f", too late: up to {show(most, 'm/s', 2)} will do" if most < V else ""
        return (
            f"From rest the rotor starts by itself in {show(V, 'm/s', 2)}{verdict}. The mean wind at its height is "
            f"{show(Vm, 'm/s', 2)}. Its torque must overcome {need}."
        )

    def more() -> str:
        V = float(np.asarray(solved.starting))
        if not np.isfinite(V):
            return ""
        times = show((V / (0.78 * float(np.asarray(Vm)))) ** 2, "", 2)
        return f"With {times} times the torque at rest it would start well below the mean wind." if level != OK else ""

    return Judgement(level, says, lambda: _easier_start(x), solved.starting, 1.2 * np.asarray(Vm), "m/s", margin, more)


def _easier_start(x: Inputs) -> list[Way]:
    now = float(x.blade.mounting_angle) / DEG
    ways = _turned(x, [a for a in ANGLES if a > now + 0.5])
    if x.given(Sheet.blade.chord_root):
        chords = [float(x.blade.chord_root) * share for share in WIDER]
        ways.append(change("Cut the blades wider, {0} of chord at the root.", *ladder(Sheet.blade.chord_root, chords)))
    if x.given(Sheet.generator.cogging_torque):
        cogs = [float(x.generator.cogging_torque) * share for share in LESS]
        ways.append(
            change("Use a generator that takes {0} at most to turn.", *ladder(Sheet.generator.cogging_torque, cogs))
        )
    counts = [B for B in (4.0, 5.0, 6.0) if float(x.rotor.blades) < B]
    ways.append(change("Use {0} blades.", *ladder(Sheet.rotor.blades, counts)))
    if not x.given(Sheet.generator.cogging_torque):
        ways.append(act(Act.MEASURE, "Measure what it takes to turn the generator from rest: it is only assumed here."))
    return [way for way in ways if way.tries or way.kind is Act.MEASURE]


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
        stated = "" if rated is None else f" The sheet says that the winding carries {show(rated, 'A')} for hours."
        bears = f"class {x.generator.insulation} withstands {show(limit, 'degC')}"
        if burns:
            return (
                f"The winding gets far too hot and it burns out in {_held(solved, V)}; insulation of {bears}.{stated}"
            )
        settles = show(points.winding, "degC", 2 if points.winding < 373.0 else 3)
        return (
            f"The winding would settle at {settles} in {_held(solved, V)}; insulation of {bears}. The generator gives "
            f"{show(points.current, 'A', 2)} then and loses {show(points.copper, 'W', 2)} in its winding.{stated}"
        )

    def more() -> str:
        if level == OK:
            return ""
        I = points.current * ((limit - air) / (points.winding - air)) ** 0.5
        # The last wind before the first that brings more; a rotor that stalls brings less again in stronger ones.
        passed = np.flatnonzero(solved.operation.running.current > I)
        at = f", which is {show(solved.winds[passed[0] - 1], 'm/s', 2)}" if len(passed) and passed[0] > 0 else ""
        return f"It stays below that until the current passes about {show(I, 'A', 2)}{at}."

    def ways() -> list[Way]:
        return _cooler(x, solved)

    # Beyond what any winding survives the number itself means nothing, and none is given.
    if burns:
        return Judgement(level, says, ways, more=more)
    return Judgement(level, says, ways, points.winding, limit, "degC", rise, more)


def _cooler(x: Inputs, solved: Solved) -> list[Way]:
    """What spares the winding: less current, less resistance, a larger machine, or more air."""
    R_th = float(np.asarray(solved.machine.R_th))
    cooled = ladder(Sheet.generator.thermal_resistance, [as_shown(R_th * share, "K/W", 2) for share in COOLER])
    return [
        *held_earlier(x),
        change(f"Cool the generator better, to {{0}} in place of {show(R_th, 'K/W', 2)}.", *cooled),
        *larger_generator(x),
        rewound(x, FEWER_TURNS),
        *banks(x, higher=True),
    ]


def _held(solved: Solved, V: Num) -> str:
    limit = float(np.asarray(solved.limit))
    if float(np.asarray(V)) >= limit:
        return f"{show(limit, 'm/s', 2)}, where it begins to be held back"
    return f"{show(V, 'm/s', 2)}" + ("" if np.isfinite(limit) else " with nothing to hold the rotor back")


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
