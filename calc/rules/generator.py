"""When charging begins, and what the generator's voltage does in a storm."""

from __future__ import annotations

import math

import numpy as np

from calc.finding import COMMON_PRACTICE, Source
from calc.machine.battery import cells
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import free_assumed, free_ratio, working_ratio
from calc.machine.site import HUB_NEEDS, hub_wind
from calc.machine.solving import Solved, solve
from calc.physics import generator, protection, wind
from calc.physics.protection import EXTRA_LOW_AC, TOUCHABLE_AC
from calc.physics.protection import EXTRA_LOW_DC as EXTRA_LOW
from calc.physics.protection import TOUCHABLE_DC as TOUCHABLE
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule, at_most
from calc.rules.limits import BANKS, BEGIN_SHARE
from calc.rules.sources import LOG_PROFILE, TWICE_THE_PEAK
from calc.units import Num, show

EMF_NEEDS = (Sheet.generator.emf_constant, Sheet.generator.emf_form, Sheet.generator.phases)
STORM_NEEDS = (*EMF_NEEDS, Sheet.rotor.diameter, Sheet.site.storm_wind)
#: Reverse voltages in which rectifiers are sold. Common practice, no source. [V]
PIV_STEPS = (50.0, 100.0, 200.0, 400.0, 600.0, 800.0, 1000.0, 1200.0, 1600.0)


def _emf(x: Inputs) -> tuple[Num, str, str] | Unknown:
    k, form, phases = (
        x.generator.emf_constant,
        x.generator.emf_form,
        x.generator.phases,
    )
    if phases == "single-phase" and form == "lead to star point, RMS":
        return Unknown("A single-phase winding has no star point, so its voltage cannot have been read there")
    return k, form, phases


def _begin_voltage(x: Inputs) -> tuple[Num, Num, int]:
    n, one = cells(x)
    return n * one.resting, x.generator.diode_drop, generator.DIODES[x.generator.phases]


def _begins(x: Inputs) -> Judgement | Unknown:
    emf, Vm = _emf(x), hub_wind(x)
    if isinstance(emf, Unknown):
        return emf
    if isinstance(Vm, Unknown):
        return Vm
    # A bridge on one phase conducts at the peak, far above the mean; on three phases the two differ by 5 %
    # and the mean is what a DC meter shows.
    of_speed = generator.emf_peak if emf[2] == "single-phase" else generator.emf_rectified
    k = of_speed(*emf)
    V, V_f, diodes = _begin_voltage(x)
    omega = generator.charging_speed(V, V_f, k, diodes)
    D = x.rotor.diameter
    solved = solve(x)
    first: Num
    tsr: Num
    if isinstance(solved, Solved):
        first, tsr = solved.charging, solved.rotor.best()[0]
    else:
        tsr, first = working_ratio(x), wind.wind_for_speed(omega, D, free_assumed(x))
    working = wind.wind_for_speed(omega, D, tsr)
    limit = BEGIN_SHARE * Vm
    level, margin = at_most(first, limit)
    level = np.where((level == OK) & (np.asarray(working) > limit), MARGINAL, level)
    spread, bank = x.site.wind_spread, x.storage.voltage

    def says() -> str:
        above = wind.share_above(first, wind.weibull_scale(Vm, spread), spread)
        often = show(above, "%", 2) if above >= 1e-3 else "less than 0.1 %"
        return (
            f"The generator must turn at {show(omega, 'rpm', 2)} to give the {show(V, 'V')} of the battery and "
            f"{show(diodes * V_f, 'V')} for the rectifier. Turning freely, the rotor gets there in "
            f"{show(first, 'm/s', 2)} of wind; at its working tip-speed ratio, in {show(working, 'm/s', 2)}. "
            f"Charging should begin below {show(limit, 'm/s', 2)}, one and a half times the mean of "
            f"{show(Vm, 'm/s', 2)} at its height; it blows harder than {show(first, 'm/s', 2)} for "
            f"{often} of the time."
        )

    def remedy() -> str:
        ratio = float(working / limit)
        now = float(emf[0])
        ways = [
            f"a generator of {show(now * ratio, 'rpm/V', 2)} or fewer in place of {show(now, 'rpm/V')}",
            f"gearing up by {show(math.ceil(ratio * 10) / 10, '')} to 1",
        ]
        drop = diodes * V_f
        lower = [b for b in BANKS if b < bank and working * (V * b / bank + drop) / (V + drop) <= limit]
        ways += [f"a {show(b, 'V')} bank" for b in lower[-1:]]
        return f"To charge from {show(limit, 'm/s', 2)}: {', or '.join(ways)}."

    return Judgement(level, says, remedy, first, limit, "m/s", margin)


def _storm_speed(x: Inputs) -> Num:
    V = x.site.storm_wind
    return wind.rotor_speed(V, x.rotor.diameter, free_ratio(x, V))


def _storm(x: Inputs) -> Judgement | Unknown:
    emf = _emf(x)
    if isinstance(emf, Unknown):
        return emf
    omega, PIV, storm = _storm_speed(x), x.generator.rectifier_voltage, x.site.storm_wind
    V = omega * generator.emf_peak(*emf)
    level, margin = at_most(V, PIV, marginal=0.5)

    def says() -> str:
        return (
            f"With nothing connected in {show(storm, 'm/s')} the rotor may reach {show(omega, 'rpm', 2)}, and "
            f"the generator then gives peaks of {show(V, 'V', 2)}. The rectifier bears {show(PIV, 'V')}; "
            f"practice is twice the peak, {show(2 * V, 'V', 2)}."
        )

    def remedy() -> str:
        step = next((s for s in PIV_STEPS if s >= 2 * V), None)
        speed = PIV / 2 / V * omega
        piece = f"a rectifier for {show(step, 'V')} or more, or" if step else "no common rectifier bears this;"
        return f"{piece[0].upper()}{piece[1:]} a means that holds the rotor below {show(speed, 'rpm', 2)}."

    return Judgement(level, says, remedy, V, PIV, "V", margin)


def _volts(V: Num) -> str:
    # Three figures where two would round across the limits named beside them.
    return show(V, "V", 3 if float(np.asarray(V)) >= 100.0 else 2)


def _touch(x: Inputs) -> Judgement | Unknown:
    """Judge the voltage that a loose or open wire can have in a storm.

    Up to 60 V a bare part may be touched in the dry. Above it the bare parts have to be covered, which a
    builder can put right: fail. Above 120 V direct voltage, or 50 V between the leads ahead of the rectifier,
    it is no longer extra-low and can kill: danger. Both hold unless the sheet states that every bare part is
    enclosed, for a part that nobody can reach hurts nobody; there it stays marginal, since a cover is opened
    one day and a cable chafes.

    Ahead of the rectifier the voltage alternates. The standards name 25 V AC in one breath with 60 V DC, and 50 V AC
    with 120 V DC: a shock of either does the same to a body, so 25 to 50 V AC between bare leads fails as well. A
    three-phase generator passes 25 V AC before its rectified voltage reaches 34 V, so it is nearly always the leads
    that decide.
    """
    emf = _emf(x)
    if isinstance(emf, Unknown):
        return emf
    omega, storm = _storm_speed(x), x.site.storm_wind
    k = generator.emf_rectified(*emf)
    V = omega * k
    enclosed = x.maybe(Sheet.generator.enclosed) is True
    worst, bad = (MARGINAL, OK) if enclosed else (DANGER, FAIL)
    alternating = emf[2] != "DC with brushes"
    V_ac = omega * generator.emf_between_leads(*emf) if alternating else 0.0 * omega
    band = np.maximum(protection.band(V), protection.band(V_ac, alternating=True))
    level = np.select([band == 2, band == 1], [worst, bad], OK)

    def says() -> str:
        cover = ""
        if V > TOUCHABLE or V_ac > TOUCHABLE_AC:
            kill = "; behind the covers a shock kills" if np.any(band == 2) else ""
            cover = (
                f" The sheet states that all of them are enclosed{kill}."
                if enclosed
                else " The sheet does not state that all of them are enclosed."
            )
        ahead = f", and {_volts(V_ac)} AC between the leads ahead of the rectifier" if alternating else ""
        mild = f" ({show(TOUCHABLE_AC, 'V')} AC)" if alternating else ""
        kills = f" ({show(EXTRA_LOW_AC, 'V')} AC)" if alternating else ""
        return (
            f"With nothing connected in {show(storm, 'm/s')} ({show(omega, 'rpm', 2)}) the rectified voltage "
            f"may reach {_volts(V)}{ahead}. Bare parts may be touched up to {show(TOUCHABLE, 'V')} "
            f"DC{mild} in the dry, and above {show(EXTRA_LOW, 'V')} DC{kills} a shock can kill.{cover}"
        )

    def remedy() -> str:
        if enclosed:
            return "Stop and tie the rotor before any cover is opened, and measure that the voltage is gone."
        bound = min(TOUCHABLE / k, TOUCHABLE_AC * omega / V_ac) if alternating else TOUCHABLE / k
        return (
            f"Put every bare part behind a cover that needs a tool, with cable insulated for {_volts(V)}; "
            f"or hold the rotor below {show(bound, 'rpm', 2)}, where it stays below these limits."
        )

    return Judgement(level, says, remedy, V, TOUCHABLE, "V", (TOUCHABLE - V) / TOUCHABLE)


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
        ),
        "A rectifier that breaks takes the load off the rotor, which then runs away, or it puts the "
        "generator's voltage where nobody expects it.",
    ),
    Rule(
        "generator.touch-voltage",
        "Voltage that can be touched in a storm",
        "generator",
        STORM_NEEDS,
        _touch,
        (
            Source("IEC 61558-1", "3.7.16, IEV: extra-low voltage up to 120 V DC, 50 V AC", "reproduction"),
            Source("IEC 61140; EN 60204-1, 6.4: 60 V DC or 25 V AC may be touched in the dry", "", "reproduction"),
            SIX_PULSE,
        ),
        "The voltage rises with the speed of the rotor, also when the battery is disconnected. Never work "
        "on the wiring of a rotor that can turn: stop it, tie it, and measure. Local rules and licensed "
        "practice come first.",
    ),
)
