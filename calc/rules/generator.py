"""When charging begins, and what the generator's voltage does in a storm."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.finding import COMMON_PRACTICE, Source
from calc.machine.beginning import first_speed
from calc.machine.catalogue import Sheet
from calc.machine.converter import charging_voltage, converter_lacks, has_converter
from calc.machine.drive import drive_ratio, rectifier_drop, rotor_emf
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import free_assumed, free_ratio, working_ratio
from calc.machine.site import HUB_NEEDS, gust_wind, hub_wind
from calc.machine.solving import Solved, solve_machine
from calc.machine.storm import unloaded_held
from calc.physics import generator, protection, wind
from calc.physics.protection import EXTRA_LOW_AC, TOUCHABLE_AC, WET_AC, WET_DC
from calc.physics.protection import EXTRA_LOW_DC as EXTRA_LOW
from calc.physics.protection import TOUCHABLE_DC as TOUCHABLE
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule, at_most
from calc.rules.limits import BANKS, BEGIN_SHARE, worth_advising
from calc.rules.phrases import beyond, gust_words
from calc.rules.sources import GUST, IN_OPERATION, LOG_PROFILE, TWICE_THE_PEAK
from calc.units import Num, show, show_down, show_up

EMF_NEEDS = (Sheet.generator.emf_constant, Sheet.generator.emf_form, Sheet.generator.phases)
STORM_NEEDS = (*EMF_NEEDS, Sheet.rotor.diameter, Sheet.site.storm_wind)
#: Reverse voltages in which rectifiers are sold. Common practice, no source. [V]
PIV_STEPS = (50.0, 100.0, 200.0, 400.0, 600.0, 800.0, 1000.0, 1200.0, 1600.0)


def _emf(x: Inputs) -> tuple[Num, str, str] | Unknown:
    # By the speed of the rotor, which is what all that follows is about.
    k, form, phases = rotor_emf(x), x.generator.emf_form, x.generator.phases
    if phases == "single-phase" and form == "lead to star point, RMS":
        return Unknown("A single-phase winding has no star point, so its voltage cannot have been read there")
    return k, form, phases


#: Ratio beyond which nobody gears up a rotor of one's own making. Own choice.
MOST_GEARED = 12.0


@dataclass(frozen=True, slots=True)
class _Beginning:
    """Where charging begins.

    Parameters
    ----------
    omega, ratio : float or array, shape (...,)
        Speed of the rotor at which current begins to flow [rad/s], and turns of the generator to one of the rotor.
    rest, drop : float or array, shape (...,)
        Voltage of the battery at rest, and that lost in rectifier and brushes. [V]
    free, working : float or array, shape (...,)
        Wind in which the rotor turns so fast freely, and at its working tip-speed ratio. [m/s]
    mean, limit : float or array, shape (...,)
        Mean wind at the rotor, and the wind below which charging should begin. [m/s]
    """

    omega: Num
    ratio: Num
    rest: Num
    drop: Num
    free: Num
    working: Num
    mean: Num
    limit: Num


def _beginning(x: Inputs) -> _Beginning | Unknown:
    emf, Vm = _emf(x), hub_wind(x)
    if missing := converter_lacks(x):
        return Unknown("", missing)
    if isinstance(emf, Unknown):
        return emf
    if isinstance(Vm, Unknown):
        return Vm
    V_oc, drop = charging_voltage(x), rectifier_drop(x)
    omega, D = first_speed(x), x.rotor.diameter
    if omega is None:
        return Unknown("", x.lacks(*EMF_NEEDS))
    solved = solve_machine(x)
    free: Num
    tsr: Num
    if isinstance(solved, Solved):
        free, tsr = solved.charging, solved.rotor.best()[0]
    else:
        tsr, free = working_ratio(x), wind.wind_for_speed(omega, D, free_assumed(x))
    working = wind.wind_for_speed(omega, D, tsr)
    return _Beginning(omega, drive_ratio(x), V_oc, drop, free, working, Vm, BEGIN_SHARE * Vm)


def _begins(x: Inputs) -> Judgement | Unknown:
    found = _beginning(x)
    if isinstance(found, Unknown):
        return found
    level, margin = at_most(found.free, found.limit)
    level = np.where((level == OK) & (np.asarray(found.working) > found.limit), MARGINAL, level)
    spread, phases = x.site.wind_spread, x.generator.phases
    taker = "the converter's input" if has_converter(x) else "the battery"
    return Judgement(
        level,
        lambda: _begins_says(found, spread, phases, taker),
        lambda: _begins_remedy(x, found),
        found.free,
        found.limit,
        "m/s",
        margin,
    )


def _begins_says(found: _Beginning, spread: Num, phases: str, taker: str) -> str:
    lost = "rectifier and brushes" if phases == "DC with brushes" else "the rectifier"
    start = (
        f"The generator must turn at {show(found.omega * found.ratio, 'rpm', 2)} to give the {show(found.rest, 'V')} "
        f"of {taker} and {show(found.drop, 'V')} for {lost}."
    )
    wanted = (
        f"Charging should begin below {show(found.limit, 'm/s', 2)}, one and a half times the mean of "
        f"{show(found.mean, 'm/s', 2)} at its height"
    )
    if not np.isfinite(found.free):
        return f"{start} Turning freely, the rotor gets there in no wind: it never charges. {wanted}."
    first = show(found.free, "m/s", 2)
    above = wind.share_above(found.free, wind.weibull_scale(found.mean, spread), spread)
    often = show(above, "%", 2) if above >= 1e-3 else "less than 0.1 %"
    return (
        f"{start} Turning freely, the rotor gets there in {first} of wind; at its working tip-speed ratio, in "
        f"{show(found.working, 'm/s', 2)}. {wanted}; it blows harder than {first} for {often} of the time."
    )


def _begins_remedy(x: Inputs, found: _Beginning) -> str:
    now, bank = float(x.generator.emf_constant), x.storage.voltage
    ratio = float(found.working / found.limit)
    ways = [f"a generator of {show_down(now * ratio, 'rpm/V', 2)} or less in place of {show(now, 'rpm/V')}"]
    if ratio * found.ratio <= MOST_GEARED:
        ways.append(f"gearing up by {show(math.ceil(float(ratio * found.ratio) * 10) / 10, '')} to 1")
    turned = found.rest + found.drop
    lower = [
        b for b in BANKS if b < bank and found.working * (found.rest * b / bank + found.drop) / turned <= found.limit
    ]
    ways += [f"a {show(b, 'V')} bank" for b in lower[-1:]]
    return f"To charge from {show(found.limit, 'm/s', 2)}: {', or '.join(ways)}."


def _storm_speed(x: Inputs) -> tuple[Num, Num]:
    """The strongest gust [m/s], and the speed in it with nothing connected [rad/s]."""
    V = gust_wind(x)
    return V, wind.rotor_speed(V, x.rotor.diameter, free_ratio(x, V))


def _storm(x: Inputs) -> Judgement | Unknown:
    emf = _emf(x)
    if isinstance(emf, Unknown):
        return emf
    (blows, omega), PIV = _storm_speed(x), x.generator.rectifier_voltage
    V = omega * generator.emf_peak(*emf)
    level, margin = at_most(V, PIV, marginal=0.5)
    held = unloaded_held(x)
    if held is not None:
        # A gust comes faster than a tail folds: twice what it gives where that begins.
        level = np.where((level == FAIL) & (2.0 * held.peak <= PIV), MARGINAL, level)

    def says() -> str:
        return (
            f"With nothing connected in {gust_words(blows)} the rotor may reach {show(omega, 'rpm', 2)}, and "
            f"the generator then gives peaks of {show(V, 'V', 2)}. The rectifier is rated for {show(PIV, 'V')}; "
            f"practice is twice the peak, {show(2 * V, 'V', 2)}.{beyond(x, blows, omega)}"
        )

    def remedy() -> str:
        step = next((s for s in PIV_STEPS if s >= 2 * V), None)
        speed = PIV / 2 / V * omega
        held = f"a means that holds the rotor below {show_down(speed, 'rpm', 2)}"
        if not worth_advising(x, speed):
            held = "a generator of fewer volts per speed" if step is None else ""
        if step is None:
            return f"No common rectifier is rated for this; {held}."
        return f"A rectifier for {show(step, 'V')} or more{f', or {held}' if held else ''}."

    return Judgement(level, says, remedy, V, PIV, "V", margin)


def _volts(V: Num) -> str:
    # Three figures where two would round across the limits named beside them.
    return show(V, "V", 3 if float(np.asarray(V)) >= 100.0 else 2)


@dataclass(frozen=True, slots=True)
class _Touchable:
    """Voltages of the generator in a storm with nothing connected, and whether anybody can touch them.

    Parameters
    ----------
    V, omega : float or array, shape (...,)
        Gust [m/s], and speed in it [rad/s].
    rectified, leads : float or array, shape (...,)
        Behind the rectifier, and RMS between the leads ahead of it, nothing behind brushes. [V]
    band : array of int, shape (...,)
        The worse of the two, see :func:`calc.physics.protection.band`.
    alternating, enclosed : bool
        Whether it alternates, and whether the sheet states that every bare part is enclosed.
    """

    V: Num
    omega: Num
    rectified: Num
    leads: Num
    band: NDArray[np.int_]
    alternating: bool
    enclosed: bool


def _touchable(x: Inputs) -> _Touchable | Unknown:
    emf = _emf(x)
    if isinstance(emf, Unknown):
        return emf
    (blows, omega), alternating = _storm_speed(x), emf[2] != "DC with brushes"
    V = omega * generator.emf_rectified(*emf)
    enclosed = x.maybe(Sheet.generator.enclosed) is True
    V_ac = omega * generator.emf_between_leads(*emf) if alternating else 0.0 * omega
    band = np.maximum(protection.band(V), protection.band(V_ac, alternating=True))
    return _Touchable(blows, omega, V, V_ac, band, alternating, enclosed)


def _touch(x: Inputs) -> Judgement | Unknown:
    """Judge the voltage that a loose or open wire can have in a storm.

    Up to 60 V a bare part may be touched when dry. Above it the bare parts have to be covered, which a
    builder can put right: fail. Above 120 V direct voltage, or 50 V between the leads ahead of the rectifier,
    it is no longer extra-low and can kill: danger. Both hold unless the sheet states that every bare part is
    enclosed, for a part that nobody can reach hurts nobody; there it stays marginal, since a cover is opened
    one day and a cable chafes.

    Ahead of the rectifier the voltage alternates. The standards name 25 V AC in one breath with 60 V DC, and 50 V AC
    with 120 V DC: a shock of either does the same to a body, so 25 to 50 V AC between bare leads fails as well. A
    three-phase generator passes 25 V AC before its rectified voltage reaches 34 V, so it is nearly always the leads
    that decide.
    """
    found = _touchable(x)
    if isinstance(found, Unknown):
        return found
    worst, bad = (MARGINAL, OK) if found.enclosed else (DANGER, FAIL)
    level = np.select([found.band == 2, found.band == 1], [worst, bad], OK)
    return Judgement(
        level,
        lambda: _touch_says(x, found),
        lambda: _touch_remedy(x, found),
        found.rectified,
        TOUCHABLE,
        "V",
        (TOUCHABLE - found.rectified) / TOUCHABLE,
    )


def _touch_says(x: Inputs, found: _Touchable) -> str:
    V, V_ac = found.rectified, found.leads
    cover = ""
    if V > TOUCHABLE or V_ac > TOUCHABLE_AC:
        kill = "; behind the covers a shock kills" if np.any(found.band == 2) else ""
        cover = (
            f" The sheet states that all of them are enclosed{kill}."
            if found.enclosed
            else " The sheet does not state that all of them are enclosed."
        )
    ahead = f", and {_volts(V_ac)} AC between the leads ahead of the rectifier" if found.alternating else ""
    mild = f" ({show(TOUCHABLE_AC, 'V')} AC)" if found.alternating else ""
    kills = f" ({show(EXTRA_LOW_AC, 'V')} AC)" if found.alternating else ""
    wet = f" ({show(WET_AC, 'V')})" if found.alternating else ""
    return (
        f"With nothing connected in {gust_words(found.V)} ({show(found.omega, 'rpm', 2)}) the rectified "
        f"voltage may reach {_volts(V)}{ahead}. Bare parts may be touched up to {show(TOUCHABLE, 'V')} "
        f"DC{mild} when dry, {show(WET_DC, 'V')}{wet} when wet; above {show(EXTRA_LOW, 'V')} DC{kills} a shock can "
        f"kill.{cover}{beyond(x, found.V, found.omega)}"
    )


def _touch_remedy(x: Inputs, found: _Touchable) -> str:
    if found.enclosed:
        return "Stop and tie the rotor before any cover is opened, and measure that the voltage is gone."
    # A mast stands in the wet.
    share = WET_DC / found.rectified
    if found.alternating:
        share = min(share, WET_AC / found.leads)
    slow = found.omega * share
    # A speed below that of charging is no way to run a machine.
    held = f"; or hold the rotor below {show_down(slow, 'rpm', 2)}, where it stays below the limits for the wet"
    held = held if worth_advising(x, slow) else ""
    cover = "Put every bare part behind a cover that needs a tool"
    return f"{cover}, with cable insulated for {show_up(found.rectified, 'V', 2)}{held}."


SIX_PULSE = Source("Average-value rectifier, three-phase: mean voltage 3 sqrt(2)/pi of the line voltage")

RULES = (
    Rule(
        "generator.charging-begins",
        "Wind in which charging begins",
        "generator",
        (
            *EMF_NEEDS,
            Sheet.generator.diode_drop,
            Sheet.storage.chemistry,
            Sheet.storage.voltage,
            Sheet.rotor.diameter,
            Sheet.site.wind_spread,
            *HUB_NEEDS,
        ),
        _begins,
        (
            SIX_PULSE,
            LOG_PROFILE,
            Source("Resting voltage of the battery by kind", "", "from memory"),
            COMMON_PRACTICE,
        ),
        applies=lambda x: x.maybe(Sheet.storage.chemistry) != "none",
    ),
    Rule(
        "generator.storm-voltage",
        "Rectifier against the voltage in a storm",
        "generator",
        (*STORM_NEEDS, Sheet.generator.rectifier_voltage),
        _storm,
        (
            Source(
                "Peak of the line voltage, sqrt(2) times its RMS value",
                "Modelica Standard Library, SMEE_Rectifier",
            ),
            TWICE_THE_PEAK,
            IN_OPERATION,
            GUST,
        ),
        "A rectifier that fails unloads the rotor, which then runs away, or it puts the "
        "generator's voltage where nobody expects it.",
    ),
    Rule(
        "generator.touch-voltage",
        "Voltage that can be touched in a storm",
        "generator",
        STORM_NEEDS,
        _touch,
        (
            Source("IEC 61558-1", "3.7.16, SELV, read as an excerpt: up to 120 V DC, 50 V AC", "reproduction"),
            Source("IEC 61140; EN 60204-1, 6.4: 60 V DC or 25 V AC may be touched when dry", "", "reproduction"),
            Source("In wet places 30 V DC or 12 V AC", "", "from memory"),
            SIX_PULSE,
            GUST,
        ),
        "The voltage rises with the speed of the rotor, also when the battery is disconnected. Never work "
        "on the wiring of a rotor that can turn: stop it, tie it, and measure. Local rules and licensed "
        "practice come first.",
    ),
)
