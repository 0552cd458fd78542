"""Whether the blades hold, and whether the shorted generator stops the rotor."""

from __future__ import annotations

import numpy as np

from calc.finding import Source
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.rotor import SHORTING_SWITCH
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import rotor_of
from calc.machine.site import AIR_NEEDS
from calc.machine.solving import NEEDS, Solved, limit_wind
from calc.physics import balance, blade
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule, at_least, with_machine
from calc.rules.limits import HOLE
from calc.rules.phrases import THROWN
from calc.rules.sources import BLADE_PULL, PVC, SECTION_TABLE
from calc.units import Num, show

#: Load and material factors of the simplified load model with data-sheet strength only.
IEC_FACTORS = 9.0


def _root(x: Inputs) -> Judgement | Unknown:
    turning = rotor_of(x)
    if isinstance(turning, Unknown):
        return turning
    if turning.masses is None or turning.root is None:
        return Unknown("The strength of the root is computed for blades cut from pipe, whose shape the sheet must give")
    R = x.rotor.diameter / 2.0
    storm, held = x.site.storm_wind, x.rotor.overspeed != "none"
    V = limit_wind(x) if held else storm
    omega = turning.free(V) * V / R
    masses, section = turning.masses, turning.root

    def stress_at(speed: Num) -> Num:
        pull = blade.centrifugal_force(masses.mass, masses.r_cog, speed)
        return blade.root_stress(section, pull, 0.0)

    strength = blade.pvc_strength(np.minimum(np.asarray(x.site.air_temperature), 300.0))
    stress = stress_at(omega)
    breaking = strength / HOLE
    worst = FAIL if held else DANGER
    level = np.where(stress > breaking, worst, np.where(stress > strength / IEC_FACTORS, MARGINAL, OK))
    pull = blade.centrifugal_force(masses.mass, masses.r_cog, omega)

    def says() -> str:
        where = (
            f"in {show(V, 'm/s')}, where the rotor begins to be held back,"
            if held
            else f"in a storm of {show(V, 'm/s')}"
        )
        if stress > breaking:
            end = "the root tears, most likely at the first bolt hole"
        elif stress > strength / IEC_FACTORS:
            end = "it holds by the numbers, but without the reserve that IEC 61400-2 asks for where little is known"
        else:
            end = "that is within the reserve that IEC 61400-2 asks for where little is known"
        return (
            f"If the load is lost {where} the rotor turns freely at {show(omega, 'rpm', 2)}, with tips at "
            f"{show(omega * R, 'm/s', 2)}. Each blade of {show(masses.mass, 'kg', 2)} then pulls with "
            f"{show(pull, 'N', 2)} at its root: {show(stress, 'MPa', 2)} in the plain section, about "
            f"{show(HOLE * stress, 'MPa', 2)} at the rim of a bolt hole. "
            f"New PVC-U bears {show(strength, 'MPa', 2)} for a short time: {end}."
        )

    def remedy() -> str:
        speed = omega * (breaking / stress) ** 0.5
        good = omega * (strength / IEC_FACTORS / stress) ** 0.5
        return (
            f"Nothing may let this rotor past {show(speed, 'rpm', 2)}, which it reaches turning freely in "
            f"{show(speed * R / turning.free(V), 'm/s', 2)}; for a full reserve, {show(good, 'rpm', 2)} "
            f"({show(good * R / turning.free(V), 'm/s', 2)}). So: a tail that folds earlier, a brake that works when "
            "the load is lost, or blades of thicker pipe, or of wood, with the bolts spread along the root."
        )

    return Judgement(level, says, remedy, stress, breaking, "MPa", (breaking - stress) / breaking)


def _brake(x: Inputs, solved: Solved) -> Judgement | Unknown:
    if x.generator.phases != "three-phase":
        return Unknown("The shorted brake is computed for three-phase windings only")
    winds = solved.winds[solved.winds >= 4.0]
    _, holds = balance.braked(solved.machine, winds)
    # The strongest wind up to which it holds in every lesser wind too.
    good = np.cumprod(holds, axis=-1).sum(axis=-1)
    top = np.where(good > 0, winds[np.maximum(good - 1, 0)], 0.0)
    need = np.minimum(solved.limit, winds[-1])
    level, margin = at_least(top, need, marginal=0.25)

    def says() -> str:
        if top <= 0:
            return "Shorted while it turns freely, this generator does not stop the rotor in any wind from 4 m/s up."
        return (
            f"Shorted while it turns freely, the generator stops the rotor in winds up to {show(top, 'm/s')}"
            f"{' or more' if top >= winds[-1] else ''}. Above that the rotor overpowers it and keeps turning fast, "
            "with the whole power as heat in the winding."
        )

    def remedy() -> str:
        return (
            f"Throw the brake before the wind passes {show(top, 'm/s')}, not in the storm; and have a second means. "
            "A brake that is set while the rotor is slow holds in much more wind than one thrown at full speed."
        )

    return Judgement(level, says, remedy, top, need, "m/s", margin)


RULES = (
    Rule(
        "blade.root-strength",
        "Strength of the blade roots",
        "blade",
        (
            Sheet.rotor.diameter,
            Sheet.rotor.blades,
            Sheet.rotor.overspeed,
            Sheet.blade.pipe_diameter,
            Sheet.blade.pipe_wall,
            Sheet.blade.chord_root,
            Sheet.blade.chord_tip,
            Sheet.blade.mounting_angle,
            Sheet.site.storm_wind,
            *AIR_NEEDS,
        ),
        _root,
        (
            BLADE_PULL,
            PVC,
            Source("IEC 61400-2", "factors 3 for load and 3 for material where little is known", "from memory"),
            SECTION_TABLE,
        ),
        THROWN,
        applies=lambda x: x.maybe(Sheet.blade.material) in (None, "PVC-U pipe"),
    ),
    Rule(
        "rotor.brake-holds",
        "Whether the shorted generator stops the rotor",
        "rotor",
        NEEDS,
        with_machine(_brake),
        (
            Source("Short-circuit torque of a permanent-magnet machine, peak at w = R/L", "", "from memory"),
            SECTION_TABLE,
        ),
        THROWN,
        applies=lambda x: x.maybe(Sheet.rotor.brake) == SHORTING_SWITCH,
    ),
)
