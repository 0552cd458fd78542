"""When charging begins, and what the generator's voltage does in a storm."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.finding import COMMON_PRACTICE, Act, Source
from calc.machine.beginning import first_speed
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.storage import TRACKING
from calc.machine.converter import charging_voltage, converter_lacks, has_converter
from calc.machine.drive import drive_ratio, rectifier_drop, rotor_emf
from calc.machine.furling import furls_as_described
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
from calc.rules.kits import FEWER_TURNS, MORE_TURNS, banks, geared_up, held_earlier, rewound, rotors
from calc.rules.limits import BEGIN_SHARE
from calc.rules.phrases import beyond, gust_words
from calc.rules.sources import GUST, IN_OPERATION, LOG_PROFILE, TWICE_THE_PEAK
from calc.rules.ways import Way, act, change, ladder
from calc.units import Num, show, show_down, show_up

EMF_NEEDS = (Sheet.generator.emf_constant, Sheet.generator.emf_form, Sheet.generator.phases)
STORM_NEEDS = (*EMF_NEEDS, Sheet.rotor.diameter, Sheet.site.storm_wind)
#: Reverse voltages in which rectifiers are sold. Common practice, no source. [V]
PIV_STEPS = (50.0, 100.0, 200.0, 400.0, 600.0, 800.0, 1000.0, 1200.0, 1600.0)
#: Shares of the present value to which a converter's least input might be lowered.
LESS = (0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.25)


def _emf(x: Inputs) -> tuple[Num, str, str] | Unknown:
    # By the speed of the rotor, which is what all that follows is about.
    k, form, phases = rotor_emf(x), x.generator.emf_form, x.generator.phases
    if phases == "single-phase" and form == "lead to star point, RMS":
        return Unknown("A single-phase winding has no star point, so its voltage cannot have been read there")
    return k, form, phases


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
    return Judgement(
        level,
        lambda: _begins_says(x, found),
        lambda: _begins_ways(x),
        found.free,
        found.limit,
        "m/s",
        margin,
        lambda: (
            f"At its working tip-speed ratio the rotor gets there in {show(found.working, 'm/s', 2)}. Charging should "
            f"begin below {show(found.limit, 'm/s', 2)}, one and a half times the mean of {show(found.mean, 'm/s', 2)} "
            "at its height."
        ),
    )


def _begins_says(x: Inputs, found: _Beginning) -> str:
    lost = "rectifier and brushes" if x.generator.phases == "DC with brushes" else "the rectifier"
    taker = "the converter's input" if has_converter(x) else "the battery"
    turns, most = show(found.omega * found.ratio, "rpm", 2), show(found.limit, "m/s", 2)
    volts = f"the {show(found.rest, 'V')} of {taker} and {show(found.drop, 'V')} for {lost}"
    start = f"The generator must turn at {turns} to give {volts}."
    if not np.isfinite(found.free):
        return f"It never charges: no wind turns the generator at the {turns} that it takes to give {volts}."
    first, spread = show(found.free, "m/s", 2), x.site.wind_spread
    above = wind.share_above(found.free, wind.weibull_scale(found.mean, spread), spread)
    often = show(above, "%", 2) if above >= 1e-3 else "less than 0.1 %"
    if found.free > found.limit:
        verdict = f"It begins to charge only in {first} of wind; up to {most}, one and a half times the mean, is good."
    elif found.working > found.limit:
        verdict = (
            f"It begins to charge in {first} if it turns freely, at its working speed only in "
            f"{show(found.working, 'm/s', 2)}; up to {most} is good."
        )
    else:
        verdict = f"It begins to charge in {first} of wind, early enough: up to {most} is good."
    return f"{verdict} {start} It blows harder than {first} for {often} of the time."


def _begins_ways(x: Inputs) -> list[Way]:
    ways = [rewound(x, MORE_TURNS), *geared_up(x), *banks(x, higher=False)]
    if has_converter(x):
        tracks = x.converter.kind == TRACKING
        entry = Sheet.converter.input_lowest if tracks else Sheet.converter.input_held
        says = "Use a converter that works from {0} of input on." if tracks else "Set the converter's input to {0}."
        ways.append(change(says, *ladder(entry, [float(x.need(entry)) * share for share in LESS])))
    ways.append(rotors(x, larger=False))
    return ways


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
        peaks = f"With nothing connected in {gust_words(blows)} the generator gives peaks of {show_up(V, 'V', 2)}"
        rated, turns = show(PIV, "V"), f"The rotor may turn at {show(omega, 'rpm', 2)} then."
        slower = f" Held back in {show(held.wind, 'm/s', 2)} it gives {show_up(held.peak, 'V', 2)}." if held else ""
        if margin < 0:
            return f"{peaks}, and the rectifier withstands only {rated}. {turns}{slower}"
        if margin < 0.5:
            twice = show_up(2 * V, "V", 2)
            return f"{peaks}; practice is a rectifier for twice that, {twice}, not for {rated}. {turns}{slower}"
        return f"{peaks}; the rectifier is for {rated}, more than twice that. {turns}"

    def ways() -> list[Way]:
        if held is not None and np.all(2.0 * held.peak <= PIV):
            # What the runaway would take is not bought while something keeps the rotor from running away.
            keep = f"See each autumn that what holds it back from {show(held.wind, 'm/s', 2)} on moves freely"
            return [act(Act.LOOK, f"{keep}: up to there the rectifier withstands twice what comes.")]
        larger = ladder(Sheet.generator.rectifier_voltage, [step for step in PIV_STEPS if step > PIV])
        sold = [change("Use a rectifier for {0} or more.", *larger)] if larger else []
        return [*sold, *held_earlier(x), rewound(x, FEWER_TURNS)]

    return Judgement(level, says, ways, V, PIV, "V", margin, lambda: beyond(x, blows, omega).strip())


def _volts(V: Num) -> str:
    # It warns. Rounded up, it does not cross the limits named beside it, which have two figures themselves.
    return show_up(V, "V", 2)


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
    #: Speed while the described tail works, or None where none is described that folds. [rad/s]
    kept: Num | None = None


def _touchable(x: Inputs) -> _Touchable | Unknown:
    emf = _emf(x)
    if isinstance(emf, Unknown):
        return emf
    (blows, omega), alternating = _storm_speed(x), emf[2] != "DC with brushes"
    V = omega * generator.emf_rectified(*emf)
    enclosed = x.maybe(Sheet.generator.enclosed) is True
    V_ac = omega * generator.emf_between_leads(*emf) if alternating else 0.0 * omega
    band = np.maximum(protection.band(V), protection.band(V_ac, alternating=True))
    held = unloaded_held(x) if furls_as_described(x) else None
    return _Touchable(blows, omega, V, V_ac, band, alternating, enclosed, None if held is None else held.speed)


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
        lambda: _touch_says(found),
        lambda: _touch_ways(found),
        found.rectified,
        TOUCHABLE,
        "V",
        (TOUCHABLE - found.rectified) / TOUCHABLE,
        lambda: _touch_more(x, found),
    )


def _touch_says(found: _Touchable) -> str:
    reach, dry, deadly = _reach(found, 1.0), f"{show(TOUCHABLE, 'V')} DC", f"{show(EXTRA_LOW, 'V')} DC"
    if found.alternating:
        dry, deadly = f"{dry} or {show(TOUCHABLE_AC, 'V')} AC", f"{deadly} or {show(EXTRA_LOW_AC, 'V')} AC"
    turns = show(found.omega, "rpm", 2)
    if found.kept is not None:
        now = _reach(found, found.kept / found.omega)
        reach = f"{now} with the tail working ({show(found.kept, 'rpm', 2)}), and {reach} with it stuck ({turns})"
    when = f"That is with nothing connected in {gust_words(found.V)}{f' ({turns})' if found.kept is None else ''}."
    worst = int(np.max(found.band))
    if worst == 2:
        first = f"In a storm the wires reach {reach}; above {deadly} a shock can kill."
    else:
        first = f"In a storm the wires reach {reach}; up to {dry} may be touched when dry."
    if worst == 0:
        return f"{first} {when}"
    kills = "; behind the covers a shock kills" if worst == 2 else ""
    cover = (
        f"The sheet states that every bare part is enclosed{kills}."
        if found.enclosed
        else "The sheet does not state that every bare part is enclosed."
    )
    return f"{first} {cover} {when}"


def _reach(found: _Touchable, share: Num) -> str:
    """The voltages at a share of the greatest speed."""
    leads = f", {_volts(found.leads * share)} AC between the leads" if found.alternating else ""
    return f"{_volts(found.rectified * share)}{leads}"


def _touch_more(x: Inputs, found: _Touchable) -> str:
    mild, kills, wet = (
        f" ({show(V, 'V')}{form})" if found.alternating else ""
        for V, form in ((TOUCHABLE_AC, " AC"), (EXTRA_LOW_AC, " AC"), (WET_AC, ""))
    )
    # A mast stands in the wet.
    share = WET_DC / found.rectified
    if found.alternating:
        share = min(share, WET_AC / found.leads)
    slow = f" It stays below the limits for the wet up to {show_down(found.omega * share, 'rpm', 2)}."
    return (
        f"Bare parts may be touched up to {show(TOUCHABLE, 'V')} DC{mild} when dry, {show(WET_DC, 'V')}{wet} when wet; "
        f"above {show(EXTRA_LOW, 'V')} DC{kills} a shock can kill.{slow if share < 1.0 else ''}"
        f"{beyond(x, found.V, found.omega)}"
    )


def _touch_ways(found: _Touchable) -> list[Way]:
    if found.enclosed:
        return [act(Act.DO, "Stop and tie the rotor before any cover is opened, and measure that the voltage is gone.")]
    insulated = f"cable insulated for {show_up(found.rectified, 'V', 2)}"
    cover = f"Cover every bare part, with {insulated}. The covers need a tool to open."
    return [change(cover, {Sheet.generator.enclosed: True})]


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
