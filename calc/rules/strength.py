"""Whether the blades hold, and whether the shorted generator stops the rotor."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.finding import Source
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.rotor import SHORTING_SWITCH
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import rotor_of
from calc.machine.site import AIR_NEEDS
from calc.machine.solving import SOLVING_NEEDS, Solved, limit_wind
from calc.physics import balance, blade, wind
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule, at_least, with_machine
from calc.rules.limits import HOLE
from calc.rules.phrases import THROWN
from calc.rules.sources import BLADE_PULL, PVC, SECTION_TABLE
from calc.units import Num, show

#: Load and material factors of the simplified load model with data-sheet strength only.
IEC_FACTORS = 9.0


@dataclass(frozen=True, slots=True)
class _Pull:
    """A blade's pull at its root when the load is lost.

    Parameters
    ----------
    held : bool
        Whether something holds the rotor back.
    V, omega, tip : float or array, shape (...,)
        Wind [m/s], speed [rad/s] and speed of the tips [m/s] then.
    free : float or array, shape (...,)
        Tip-speed ratio at which it turns freely.
    mass, force : float or array, shape (...,)
        Mass of one blade [kg], and its pull [N].
    stress, strength : float or array, shape (...,)
        In the plain section, and that of new pipe. [Pa]
    """

    held: bool
    V: Num
    omega: Num
    tip: Num
    free: Num
    mass: Num
    force: Num
    stress: Num
    strength: Num

    @property
    def breaking(self) -> Num:
        """Stress of the plain section at which the rim of a bolt hole tears, in [Pa]."""
        return self.strength / HOLE

    @property
    def reserved(self) -> Num:
        """Stress that leaves the reserve of IEC 61400-2, in [Pa]."""
        return self.strength / IEC_FACTORS

    def reached(self, stress: Num) -> tuple[Num, Num]:
        """Speed [rad/s] at which the stress comes to a value, and the wind [m/s] in which it turns so fast freely."""
        omega = self.omega * (stress / self.stress) ** 0.5
        return omega, wind.wind_for_speed(omega, 2.0 * self.tip / self.omega, self.free)


def _pulled(x: Inputs) -> _Pull | Unknown:
    curves = rotor_of(x)
    if isinstance(curves, Unknown):
        return curves
    if curves.masses is None or curves.root is None:
        return Unknown("The strength of the root is computed for blades cut from pipe, whose shape the sheet must give")
    D, storm, held = x.rotor.diameter, x.site.storm_wind, x.rotor.overspeed != "none"
    V = limit_wind(x) if held else storm
    free = curves.free(V)
    omega = wind.rotor_speed(V, D, free)
    force = blade.centrifugal_force(curves.masses.mass, curves.masses.r_cog, omega)
    return _Pull(
        held,
        V,
        omega,
        omega * D / 2.0,
        free,
        curves.masses.mass,
        force,
        stress=blade.root_stress(curves.root, force, 0.0),
        strength=blade.pvc_strength(np.minimum(np.asarray(x.site.air_temperature), 300.0)),
    )


def _root(x: Inputs) -> Judgement | Unknown:
    pull = _pulled(x)
    if isinstance(pull, Unknown):
        return pull
    stress, breaking = pull.stress, pull.breaking
    worst = FAIL if pull.held else DANGER
    level = np.where(stress > breaking, worst, np.where(stress > pull.reserved, MARGINAL, OK))
    margin = (breaking - stress) / breaking
    return Judgement(level, lambda: _root_says(pull), lambda: _root_remedy(pull), stress, breaking, "MPa", margin)


def _root_says(pull: _Pull) -> str:
    V = show(pull.V, "m/s")
    where = f"in {V}, where the rotor begins to be held back," if pull.held else f"in a storm of {V}"
    if pull.stress > pull.breaking:
        end = "the root tears, most likely at the first bolt hole"
    elif pull.stress > pull.reserved:
        end = "it holds by the numbers, but without the reserve that IEC 61400-2 requires where little is known"
    else:
        end = "that is within the reserve that IEC 61400-2 requires where little is known"
    return (
        f"If the load is lost {where} the rotor turns freely at {show(pull.omega, 'rpm', 2)}, with tips at "
        f"{show(pull.tip, 'm/s', 2)}. Each blade of {show(pull.mass, 'kg', 2)} then pulls with "
        f"{show(pull.force, 'N', 2)} at its root: {show(pull.stress, 'MPa', 2)} in the plain section, about "
        f"{show(HOLE * pull.stress, 'MPa', 2)} at the rim of a bolt hole. "
        f"New PVC-U withstands {show(pull.strength, 'MPa', 2)} for a short time: {end}."
    )


def _root_remedy(pull: _Pull) -> str:
    (speed, V), (good, V_good) = pull.reached(pull.breaking), pull.reached(pull.reserved)
    return (
        f"Nothing may let this rotor past {show(speed, 'rpm', 2)}, which it reaches turning freely in "
        f"{show(V, 'm/s', 2)}; for a full reserve, {show(good, 'rpm', 2)} ({show(V_good, 'm/s', 2)}). So: a tail that "
        "folds earlier, a brake that works when the load is lost, or blades of thicker pipe, or of wood, with the "
        "bolts spread along the root."
    )


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
        SOLVING_NEEDS,
        with_machine(_brake),
        (
            Source("Short-circuit torque of a permanent-magnet machine, peak at w = R/L", "", "from memory"),
            SECTION_TABLE,
        ),
        THROWN,
        applies=lambda x: x.maybe(Sheet.rotor.brake) == SHORTING_SWITCH,
    ),
)
