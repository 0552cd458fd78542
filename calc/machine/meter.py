"""What a meter would show on the machine of a sheet."""

from __future__ import annotations

from calc.machine.catalogue import Sheet
from calc.machine.inputs import Unknown
from calc.machine.site import over_winds
from calc.machine.solving import Solved
from calc.physics.arrays import Array

#: What holds a running rotor that a meter is read on.
RUNNING = ("battery", "battery and loads")
_NOT_SAID = ("", "not known")


#: Quantities that a machine shows.
PREDICTED: tuple[str, ...] = (
    "charge.current", "charge.power", "rotor.speed", "generator.open_voltage", "cable.drop",
    "generator.emf", "generator.resistance", "blade.mass", "generator.loaded_voltage",
)  # fmt: skip

#: Those of them that move with the wind under load.
MOVED = ("charge.current", "charge.power", "rotor.speed", "cable.drop", "generator.loaded_voltage")


def meter_values(solved: Solved, name: str, load: str, winds: Array | Unknown | None) -> Array | Unknown:
    """What a meter would show on the machine in some winds.

    Parameters
    ----------
    solved : Solved
        The machine.
    name : str
        One of :data:`PREDICTED`.
    load : str
        What is connected.
    winds : array, shape (..., winds), or None
        Winds at the rotor [m/s]; or why they are not known, which matters only to what the wind touches.

    Returns
    -------
    values : array, shape (..., winds)
        In SI; the same in every wind for what the wind does not touch.
    """
    m = solved.machine
    fixed = {"generator.emf": m.k, "generator.resistance": m.R_w}
    if solved.rotor.masses is not None:
        fixed["blade.mass"] = solved.rotor.masses.mass
    if name in fixed:
        return over_winds(fixed[name])
    if name == "blade.mass":
        return Unknown("The mass of a blade is computed for blades cut from pipe only")
    if winds is None:
        why = "A reading can be held against the machine only when the wind at that time is known"
        return Unknown(why, (Sheet.measured.wind_low, Sheet.measured.wind_high))
    if isinstance(winds, Unknown):
        return winds
    if name == "generator.open_voltage" or (name == "rotor.speed" and load == "nothing connected"):
        # A tail that is computed turns the bare rotor away too; what is only stated was left out of these readings.
        omega, volts = solved.unloaded(winds if solved.furling is None else solved.held_free(winds))
        return omega if name == "rotor.speed" else volts
    if load not in RUNNING or name not in PREDICTED:
        why = "What was connected during the reading is not on record, or not what the machine was solved for"
        return Unknown(why, (Sheet.measured.load,) if load in _NOT_SAID else ())
    points = solved.running(winds)
    lost = points.current * over_winds(m.R_c)
    return {
        "charge.current": points.current,
        "charge.power": points.charge,
        "rotor.speed": points.omega,
        "cable.drop": lost,
        "generator.loaded_voltage": points.voltage + lost,
    }[name]
