"""Whether the blades hold, and whether the shorted generator stops the rotor."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.finding import Act, Source
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.generator import DIRECT
from calc.machine.catalogue.rotor import SHORTING_SWITCH
from calc.machine.field import has_coil
from calc.machine.inputs import Inputs, Unknown
from calc.machine.root_load import IEC_FACTORS, BladeRoot, Loads, blade_root
from calc.machine.site import AIR_NEEDS, gust_wind
from calc.machine.solving import SOLVING_NEEDS, Solved, held_wind, nothing_limits
from calc.physics import balance, blade, wind
from calc.rules.blade_kits import stronger_blades
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule, at_least, with_machine
from calc.rules.kits import held_earlier, larger_generator
from calc.rules.phrases import THROWN, beyond, gust_words
from calc.rules.sources import BLADE_PULL, GUST, PVC, SECTION_TABLE, WOODEN, YAWING
from calc.rules.ways import Way, act
from calc.units import Num, show, show_down


@dataclass(frozen=True, slots=True)
class _Judged:
    """A blade's root when the load is lost, and in the standard's own case.

    Parameters
    ----------
    held : bool
        Whether something holds the rotor back.
    V, tip : float or array, shape (...,)
        Wind, and speed of the tips then. [m/s]
    free : float or array, shape (...,)
        Tip-speed ratio at which it turns freely.
    of : BladeRoot
        The blade.
    lost, case_b : Loads
        With the load lost in that wind while the rotor yaws, and in case B of the standard.
    """

    held: bool
    V: Num
    tip: Num
    free: Num
    of: BladeRoot
    lost: Loads
    case_b: Loads

    @property
    def breaking(self) -> Num:
        """Stress of the plain section at which a bolt hole gives way, in [Pa]."""
        return self.of.strength / self.of.material.hole

    @property
    def reserved(self) -> Num:
        """Stress that leaves the reserve of IEC 61400-2, in [Pa]."""
        return self.of.strength / IEC_FACTORS

    @property
    def upper(self) -> Num:
        """The greater of what a rigid blade bears with the load lost, and of the standard's case, in [Pa]."""
        return np.maximum(self.lost.rigid, self.case_b.rigid)


def _judged(x: Inputs) -> _Judged | Unknown:
    of = blade_root(x)
    if isinstance(of, Unknown):
        return of
    D, held = x.rotor.diameter, x.rotor.overspeed != "none" and not nothing_limits(x)
    V = held_wind(x) if held else gust_wind(x)
    free = of.curves.free(V)
    omega = wind.rotor_speed(V, D, free)
    return _Judged(held, V, omega * D / 2.0, free, of, of.loads(x, V, omega), of.case_b(x))


def _root(x: Inputs) -> Judgement | Unknown:
    found = _judged(x)
    if isinstance(found, Unknown):
        return found
    least, breaking = found.lost.pull, found.breaking
    worst = FAIL if found.held else DANGER
    level = np.where(least > breaking, worst, np.where(found.upper > found.reserved, MARGINAL, OK))
    margin = (breaking - least) / breaking
    # Told as it decides: at the rim of a bolt hole, against what the material bears.
    hole, bears = least * found.of.strength / breaking, found.of.strength
    return Judgement(
        level,
        lambda: _root_says(found),
        lambda: _root_ways(x, found),
        hole,
        bears,
        "MPa",
        margin,
        lambda: _root_more(x, found),
    )


def _root_says(found: _Judged) -> str:
    lost, of = found.lost, found.of
    where = f"in {show(found.V, 'm/s')}, where it begins to be held back" if found.held else f"in {gust_words(found.V)}"
    bears = f"{of.material.name} withstands {show(of.strength, 'MPa', 2)}"
    turns = (
        f"If the load is lost {where}, the rotor turns freely at {show(lost.omega, 'rpm', 2)}, tips at "
        f"{show(found.tip, 'm/s', 2)}."
    )
    pull, rigid = _at_hole(found, lost.pull), _at_hole(found, found.upper)
    if found.lost.pull > found.breaking:
        return (
            f"The pull alone tears the blades off at the first bolt hole: it makes {pull} there, and {bears}. {turns}"
        )
    if found.upper <= found.breaking:
        kept = (
            "even rigid they keep the reserve of IEC 61400-2, load case B"
            if found.upper <= found.reserved
            else "they hold even if rigid, but without the reserve of IEC 61400-2, load case B"
        )
        return f"The roots see {rigid} at a bolt hole, and {bears}: {kept}. {turns}"
    return (
        f"The roots hold the pull alone, {pull} at a bolt hole where {bears}; whether they hold yawing as well cannot "
        f"be settled here. {turns}"
    )


def _at_hole(found: _Judged, stress: Num) -> str:
    return show(found.of.material.hole * stress, "MPa", 2)


def _root_more(x: Inputs, found: _Judged) -> str:
    lost = found.lost
    breaks = lost.omega * (found.breaking / lost.pull) ** 0.5
    V = wind.wind_for_speed(breaks, x.rotor.diameter, found.free)
    past = f"past {show_down(breaks, 'rpm', 2)}, turning freely in {show_down(V, 'm/s', 2)}, the pull alone tears it"
    whole, kept = (show_down(_rigid_up_to(x, found, limit), "rpm", 2) for limit in (found.breaking, found.reserved))
    speeds = f"Below {whole} it holds even as a rigid blade; {past}."
    if found.upper <= found.breaking:
        speeds = f"Below {kept} it keeps the reserve even as a rigid blade."
    rate, mass = show(blade.yaw_rate(x.rotor.diameter / 2.0), "", 2), show(found.of.masses.mass, "kg", 2)
    pushed, rigid = (_at_hole(found, stress) for stress in (lost.pushed, lost.rigid))
    return (
        f"A blade weighs {mass}. {speeds} If it were rigid, {pushed} with the thrust and {rigid} yawing at {rate} "
        "rad/s as well; a soft blade bends and sees less. Case B was computed at "
        f"{show(found.case_b.omega, 'rpm', 2)}; the other cases, and how far a blade bends, stand with blade.stress."
        f"{beyond(x, found.V, lost.omega)}"
    )


def _root_ways(x: Inputs, found: _Judged) -> list[Way]:
    """A rotor that is held earlier, then stronger roots; where the pull alone is held, what is left is to look."""
    ways = held_earlier(x)
    ways += stronger_blades(x)
    if found.lost.pull <= found.breaking:
        ways.append(
            act(Act.LOOK, "Look for cracks at the bolt holes after every storm, and spread the bolts along the root.")
        )
    return ways


def _rigid_up_to(x: Inputs, found: _Judged, stress: Num) -> float:
    """Greatest speed [rad/s] up to the free one at which a rigid blade that yaws keeps to a stress."""
    low, high = 0.0, 1.0
    for _ in range(30):
        middle = (low + high) / 2.0
        at = found.of.loads(x, found.V * middle, found.lost.omega * middle)
        low, high = (middle, high) if at.rigid <= stress else (low, middle)
    return float(found.lost.omega * (low + high) / 2.0)


def _brake(x: Inputs, solved: Solved) -> Judgement | Unknown:
    # Half the winds are enough for samples, whose doubts are far greater than the step.
    winds = solved.winds[solved.winds >= 4.0][:: 1 if x.drawn is None else 2]
    _, holds = balance.braked(solved.machine, winds)
    # The strongest wind up to which it holds in every lesser wind too.
    good = np.cumprod(holds, axis=-1).sum(axis=-1)
    top = np.where(good > 0, winds[np.maximum(good - 1, 0)], 0.0)
    need = np.minimum(solved.limit if solved.furling is None else solved.held_most(solved.storm), winds[-1])
    level, margin = at_least(top, need, marginal=0.25)
    drive = x.maybe(Sheet.generator.drive)
    through = drive not in (None, DIRECT)
    coil = has_coil(x)
    level = np.maximum(level, MARGINAL) if through or coil else level

    def says() -> str:
        text = _held_words(top, need, winds[-1], nothing_limits(x), float(np.asarray(margin)))
        if coil:
            return f"{text} It brakes only while the battery feeds the field coil."
        return f"{text} It brakes through the {drive}: if that slips or parts, nothing brakes." if through else text

    def more() -> str:
        return "A brake that is set while the rotor is slow holds in much more wind than one thrown at full speed."

    def ways() -> list[Way]:
        own = act(Act.DO, "Fit a second brake that acts on the rotor's own shaft.")
        if margin >= 0.25:
            return [own]
        early = act(Act.DO, f"Throw the brake before the wind passes {show(top, 'm/s')}, not in the storm.")
        return [*held_earlier(x), *larger_generator(x), *([early] if top > 0 else []), own]

    return Judgement(level, says, ways, top, need, "m/s", margin, more)


def _held_words(top: Num, need: Num, last: Num, free: bool, margin: float) -> str:
    """Up to which wind the shorted generator stops the rotor, beside the wind up to which it must."""
    if top <= 0:
        return "Shorted while it turns freely, this generator does not stop the rotor in any wind from 4 m/s up."
    first = f"Shorted while it turns freely, the generator stops the rotor in winds up to {show(top, 'm/s')}"
    if top >= last:
        return f"{first}. Stronger wind was not computed."
    asked = ""
    if margin < 0.25:
        asked = f"; it is held back only from {show(need, 'm/s')} on"
        if free:
            asked = "; nothing holds it back in more"
        elif margin >= 0:
            asked = f", little more than the {show(need, 'm/s')} from which it is held back"
    return (
        f"{first}{asked}. Above that the rotor overpowers it and keeps turning fast, with the whole power as heat in "
        "the winding."
    )


RULES = (
    Rule(
        "blade.root-strength",
        "Strength of the blade roots",
        "blade",
        (
            Sheet.rotor.diameter,
            Sheet.rotor.blades,
            Sheet.rotor.overspeed,
            Sheet.blade.mounting_angle,
            Sheet.site.storm_wind,
            *AIR_NEEDS,
        ),
        _root,
        (
            BLADE_PULL,
            YAWING,
            PVC,
            WOODEN,
            Source("IEC 61400-2", "factors 3 for load and 3 for material where little is known", "from memory"),
            GUST,
            SECTION_TABLE,
        ),
        THROWN,
    ),
    Rule(
        "rotor.brake-holds",
        "Whether the shorted generator stops the rotor",
        "rotor",
        SOLVING_NEEDS,
        with_machine(_brake),
        (
            Source("Short-circuit torque of a permanent-magnet machine, peak at w = R/L", "", "from memory"),
            Source("Shorted direct-current machine: torque k (k w - V) / R, without a peak", "", "from memory"),
            SECTION_TABLE,
        ),
        THROWN,
        applies=lambda x: x.maybe(Sheet.rotor.brake) == SHORTING_SWITCH,
    ),
)
