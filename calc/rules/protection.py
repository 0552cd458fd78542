"""What protects people and equipment between the generator's leads and the loads."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from calc.finding import COMMON_PRACTICE, Act, Source
from calc.machine.battery import charge_top, has_battery
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.rotor import SHORTING_SWITCH
from calc.machine.catalogue.wiring import AHEAD_OF_RECTIFIER, GENERATOR_SWITCHES
from calc.machine.currents import generator_current
from calc.machine.drive import brush_drop, drive_ratio, rotor_emf
from calc.machine.entry import Entry, Value
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import refuse_vertical
from calc.machine.storm import unloaded_in_storm
from calc.physics import generator, protection, wiring
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule, at_most
from calc.rules.limits import SWITCHES, usual_tip_speed
from calc.rules.phrases import ELECTRICIAN
from calc.rules.ways import Way, act, change, ladder
from calc.units import Num, show, show_down, show_up

#: Rectifier current over the generator's. Common practice, no source.
RECTIFIER_RESERVE = 1.5
#: Currents in which rectifiers are sold. Common practice, no source. [A]
RECTIFIERS = (10.0, 15.0, 25.0, 35.0, 50.0, 75.0, 100.0, 150.0, 200.0, 300.0)


def _rectifier(x: Inputs) -> Judgement | Unknown:
    found = generator_current(x)
    if isinstance(found, Unknown):
        return found
    I, rating, V_f = found.amps, x.generator.rectifier_current, x.generator.diode_drop
    heat = generator.DIODES[x.generator.phases] * V_f * I
    # One of just as much as is common practice has the reserve: 15 A for 10 A.
    level, margin = at_most(I, rating, marginal=(1.0 - 1.0 / RECTIFIER_RESERVE) * (1.0 - 1e-9))

    def says() -> str:
        return (
            f"The rectifier is rated for {show(rating, 'A')} and gets up to {found.said()}; common practice is one and "
            f"a half times that, {show(RECTIFIER_RESERVE * I, 'A', 2)}."
        )

    def more() -> str:
        return f"It turns {show(heat, 'W', 2)} into heat, and keeps its rating only on a heat sink."

    def ways() -> list[Way]:
        sink = f" on a heat sink that sheds {show_up(heat, 'W', 2)} in summer"
        larger = [size for size in RECTIFIERS if size > rating]
        return [change(f"Use a rectifier of {{0}} or more,{sink}.", *ladder(Sheet.generator.rectifier_current, larger))]

    return Judgement(level, says, ways, I, rating, "A", margin, more)


@dataclass(frozen=True, slots=True)
class _Shorted:
    """The generator shorted by its brake switch.

    Parameters
    ----------
    rating, amps, work : float or array, shape (...,)
        Current for which the switch is rated, that in each lead when shorted, and that in normal running. [A]
    omega, tip : float or array, shape (...,)
        Speed at which it is shorted [rad/s], and speed of the blade tips then [m/s].
    inductive : bool
        Whether inductance holds the current back too, not the resistance alone.
    """

    rating: Num
    amps: Num
    work: Num
    omega: Num
    tip: float
    inductive: bool


def _shorted(x: Inputs) -> _Shorted | Unknown:
    names = (
        Sheet.protection.brake_current,
        Sheet.generator.emf_constant,
        Sheet.generator.winding_resistance,
        Sheet.rotor.diameter,
    )
    missing, found = x.lacks(*names), generator_current(x)
    form, phases = x.generator.emf_form, x.generator.phases
    if missing:
        return Unknown("", missing)
    if isinstance(found, Unknown):
        return found
    if phases == "single-phase" and form == "lead to star point, RMS":
        return Unknown("A single-phase winding has no star point, so its voltage cannot have been read there")
    refuse_vertical(x)
    rating, _, R, D = (x.need(name) for name in names)
    tip = usual_tip_speed(x)
    omega = 2.0 * tip / D
    E = np.maximum(omega * generator.emf_between_leads(rotor_emf(x), form, phases) - brush_drop(x), 0.0)
    L, p = x.maybe(Sheet.generator.inductance), x.maybe(Sheet.generator.pole_pairs)
    X: Num = 0.0 if L is None or p is None or phases == "DC with brushes" else omega * drive_ratio(x) * p * L
    I = protection.shorted_current(E, R / 2.0, X / 2.0) if phases == "three-phase" else E / (R**2 + X**2) ** 0.5
    work = found.amps * (wiring.PHASE_SHARE if phases == "three-phase" else 1.0)
    return _Shorted(rating, I, work, omega, tip, bool(np.any(np.asarray(X) != 0)))


def _brake(x: Inputs) -> Judgement | Unknown:
    """Judge place and rating of the switch that shorts the generator.

    The current is that at the tip speed blades should not exceed. Where inductance and pole pairs are not stated
    it is that of the winding's resistance alone, which is too much; so a switch rated below it but above the
    working current is marginal.
    """
    if x.protection.brake_place == "after the rectifier":
        shorted = (
            "Behind the rectifier the brake switch also shorts the battery, unless something disconnects it first: "
            "thousands of amperes, an arc in the hand, and fire. "
        )
        return Judgement(
            DANGER if has_battery(x) else FAIL,
            lambda: f"{shorted if has_battery(x) else ''}A broken rectifier takes such a brake with it.",
            lambda: [change("Put the brake switch {0}.", {Sheet.protection.brake_place: AHEAD_OF_RECTIFIER})],
        )
    found = _shorted(x)
    if isinstance(found, Unknown):
        return found
    rating, I = found.rating, found.amps
    level = np.where(np.asarray(rating) < found.work, FAIL, np.where(np.asarray(rating) < I, MARGINAL, OK))
    return Judgement(
        level,
        lambda: _brake_says(found),
        lambda: _brake_ways(found),
        rating,
        I,
        "A",
        (rating - I) / I,
        lambda: f"In normal running each lead carries {show(found.work, 'A', 2)}.",
    )


def _brake_says(found: _Shorted) -> str:
    verdict = "more than enough"
    if found.rating < found.work:
        verdict = "less than even the working current"
    elif found.rating < found.amps:
        verdict = "less than that"
    bound = "by its resistance alone, too much"
    bound = "by its resistance and inductance" if found.inductive else bound
    return (
        f"The brake switch is rated for {show(found.rating, 'A')}, {verdict}: shorted at "
        f"{show(found.omega, 'rpm', 2)}, tips at {show(found.tip, 'm/s')}, each lead carries up to "
        f"{show_up(found.amps, 'A', 2)} ({bound})."
    )


def _brake_ways(found: _Shorted) -> list[Way]:
    slow = show_down(found.omega * found.rating / found.amps, "rpm", 2)
    larger = [size for size in SWITCHES if size > found.rating]
    return [
        change("Use a switch rated for {0} or more.", *ladder(Sheet.protection.brake_current, larger)),
        act(
            Act.MEASURE,
            f"Or measure the current with the leads shorted at a low speed, and brake below {slow}, which it can take.",
        ),
    ]


def _who_rates(*, shorting: bool, battery: bool) -> str:
    """Where the ratings of the switches are judged."""
    if not shorting:
        return "Their ratings were not checked." if battery else "Its rating was not checked."
    of_battery = "; that of the battery's switch was not checked" if battery else ""
    return f"The rating of the one that shorts is judged under its own heading{of_battery}."


def _switches(x: Inputs) -> Judgement | Unknown:
    kind, disconnected = x.protection.generator_switch, x.maybe(Sheet.protection.battery_switch)
    battery = has_battery(x)
    if battery and disconnected is None:
        return Unknown("", (Sheet.protection.battery_switch,))
    shorting = x.maybe(Sheet.rotor.brake) == SHORTING_SWITCH
    free, V, found = unloaded_in_storm(x), charge_top(x), generator_current(x)
    faults = []
    if kind == GENERATOR_SWITCHES[2]:
        faults.append("The switch in the generator's circuit unloads a turning rotor, which then runs away.")
    if kind == "none" and not shorting:
        faults.append("Nothing disconnects the generator, and no switch shorts it, so nobody can work on it.")
    if battery and disconnected is False:
        faults.append("No switch disconnects the battery.")

    def says() -> str:
        if faults:
            return " ".join(faults)
        second = " and one that disconnects the battery" if battery else ""
        rated = _who_rates(shorting=shorting, battery=battery)
        return f"The sheet names a switch that shorts the generator{second}. {rated}"

    def ways() -> list[Way]:
        volts = [v for v in (V, None if free is None else free.peak) if v is not None]
        ratings = [show_up(max(float(v) for v in volts), "V", 2)] if volts else []
        if not isinstance(found, Unknown):
            # A quarter is added for current that flows for hours.
            ratings.append(show_up(found.amps * wiring.CONTINUOUS, "A", 2))
        made = f", rated for {' and '.join(ratings)} or more" if ratings else ""
        kit: dict[Entry[Any], Value] = {}
        parts = []
        if kind == GENERATOR_SWITCHES[2] or (kind == "none" and not shorting):
            kit[Sheet.protection.generator_switch] = GENERATOR_SWITCHES[1]
            parts.append(f"a switch that shorts all leads of the generator before it opens{made}")
        if battery and disconnected is False:
            kit[Sheet.protection.battery_switch] = True
            parts.append("a DC switch at the battery, used only once the rotor stands still")
        return [change(" ".join(f"Fit {part}." for part in parts), kit)]

    return Judgement(FAIL if faults else OK, says, ways)


RULES = (
    Rule(
        "protection.rectifier",
        "Current and heat of the rectifier",
        "generator",
        (Sheet.generator.rectifier_current, Sheet.generator.diode_drop, Sheet.generator.phases),
        _rectifier,
        (Source("Two diodes of a bridge carry the current at any moment", "", "from memory"), COMMON_PRACTICE),
        "A rectifier that overheats can short the battery or unload the rotor, which then runs away.",
    ),
    Rule(
        "protection.brake-switch",
        "Switch that shorts the generator",
        "protection",
        (Sheet.protection.brake_place,),
        _brake,
        (
            Source("NEC 2017", "694.24, 694.28: shorting switch as a means to stop", "reproduction"),
            Source("Short circuit ahead of the bridge, rated for the short-circuit current", "", "from memory"),
        ),
        "A shorted generator may fail to hold a rotor that is fast already, and its winding heats quickly. Brake "
        "early, before the storm, and never rely on the brake alone while somebody is within reach of the rotor.",
        applies=lambda x: x.maybe(Sheet.rotor.brake) == SHORTING_SWITCH,
    ),
    Rule(
        "protection.switches",
        "Switches for generator and battery",
        "protection",
        (Sheet.protection.generator_switch,),
        _switches,
        (
            Source("NEC 2017", "694.20, 694.24: disconnect, or a shorting switch in its place", "reproduction"),
            Source(
                "NEC 2017",
                "706.7: disconnect of the battery within sight; a duty above 60 V DC (706.1), below it good practice",
                "reproduction",
            ),
        ),
        f"Stop and tie the rotor before any switch disconnects its load. {ELECTRICIAN}",
    ),
)
