"""What breaks: blades that run away or tear in normal running, masts, shaking."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.finding import COMMON_PRACTICE, Source
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Unknown
from calc.machine.root_load import blade_root
from calc.machine.rotor_curves import refuse_vertical
from calc.machine.site import air_density, over_winds
from calc.machine.solving import Solved
from calc.mechanisms import altering
from calc.mechanisms.base import (
    LOADED,
    OPEN,
    SHAKING,
    Case,
    Correction,
    Expected,
    Indication,
    Mechanism,
    Telling,
    by_eye,
    grade,
)
from calc.physics import wind
from calc.rules.limits import usual_tip_speed
from calc.rules.sources import BALANCE, BLADE_PULL, PVC, SECTION_TABLE, YAWING
from calc.units import Num, show

#: Tip speed over the usual greatest one that speaks for running away. Own choice, no source.
FAR_TOO_FAST = 1.5
#: Stress at the rim of a bolt hole over strength: more than half speaks for tearing, less than a fifth against.
TORN, WHOLE = 0.5, 0.2
#: Yield strength of plain structural steel, S235 of EN 10025-2; from memory. [Pa]
STEEL = 235e6
#: Thrust coefficient of a working rotor at Betz's limit, and of one that runs free; from memory.
THRUST = (8.0 / 9.0, 1.2)
#: How near two frequencies are that belong together. Own choice, no source.
SAME_FREQUENCY, OTHER_FREQUENCY = 0.05, 0.10
BROKEN = "blade lost or broken"


def _speed(case: Case, solved: Solved, V: Num, *, loaded: bool) -> Num:
    at = over_winds(np.broadcast_to(V, solved.machine.variants))
    if loaded:
        return solved.at(at[..., 0]).omega
    return np.asarray(solved.unloaded(solved.held_free(at))[0][..., 0])


@dataclass(frozen=True, slots=True)
class Freed:
    """What a rotor with nothing connected comes to.

    Parameters
    ----------
    omega, tip : float or array, shape (...,)
        Its speed [rad/s], and that of its tips [m/s].
    pull : float or array, or None
        Share of its strength that the root takes at a bolt hole by the pull alone; None where it cannot be told.
    """

    omega: Num
    tip: Num
    pull: Num | None


def freed(case: Case) -> Freed | Unknown:
    """How fast the rotor turns with nothing connected in the wind of the failure, and what that does to its roots."""
    solved, V = case.solved(), case.wind
    if isinstance(solved, Unknown):
        return solved
    if V is None:
        return Unknown("How fast it ran depends on the wind, which is not on record")
    omega = _speed(case, solved, V, loaded=False)
    shares = _shares(case, V, omega)
    return Freed(omega, omega * solved.machine.R, None if isinstance(shares, Unknown) else shares[0])


def _overspeed(case: Case) -> Indication | Unknown:
    solved, V = case.solved(), case.wind
    if isinstance(solved, Unknown):
        return solved
    if V is None:
        return Unknown("How fast it ran depends on the wind, which is not on record")
    usual, R = usual_tip_speed(case.x), solved.machine.R
    free, held = _speed(case, solved, V, loaded=False), _speed(case, solved, V, loaded=True)
    tip = free * R
    by_tip = grade(tip / usual, FAR_TOO_FAST, 1.0)
    # With the battery on record as holding it, running away needs another failure first.
    speaks = by_tip if case.c.load in OPEN else np.minimum(by_tip, 0.0 if case.c.load == "not known" else -0.5)

    def says() -> str:
        if case.c.load not in (*OPEN, "not known"):
            return (
                f"{case.c.load.capitalize()} connected, so it did not run free; unloaded {case.wind_text()} it would "
                f"have turned at {show(free, 'rpm', 2)}, with tips at {show(tip, 'm/s', 2)}."
            )
        text = (
            f"With nothing connected {case.wind_text()} it would turn at about {show(free, 'rpm', 2)}, with tips at "
            f"{show(tip, 'm/s', 2)}; such blades are usually kept below {show(usual, 'm/s')}."
        )
        shares = _shares(case, V, free)
        if not isinstance(shares, Unknown):
            text += f" At a bolt hole the pull alone would take {show(shares[0], '%', 2)} of the root's strength."
        if held > 0.8 * free:
            text += f" Even with the battery connected it would turn at {show(held, 'rpm', 2)}."
        return text

    return Indication(speaks, says, tip, FAR_TOO_FAST * usual, "m/s", "Speed of the tips")


def _shares(case: Case, V: Num, omega: Num) -> tuple[Num, Num] | Unknown:
    """Share of its strength that the root takes at a bolt hole: of the pull alone, and as a rigid blade that yaws."""
    of = blade_root(case.x)
    if isinstance(of, Unknown):
        return of
    loads = of.loads(case.x, V, omega)
    return of.material.hole * loads.pull / of.strength, of.material.hole * loads.rigid / of.strength


def _in_running(case: Case) -> Indication | Unknown:
    solved, V = case.solved(), case.wind
    if isinstance(solved, Unknown):
        return solved
    if V is None:
        return Unknown("The load on the roots depends on the wind, which is not on record")
    if not case.loaded:
        return Indication(-0.5, lambda: "Nothing was connected, so this was not normal running.")
    omega = _speed(case, solved, V, loaded=True)
    found = _shares(case, V, omega)
    if isinstance(found, Unknown):
        return found
    least, most = found
    # A soft blade lies somewhere between: only what holds for both ends speaks.
    torn, whole = grade(least, TORN, WHOLE), grade(most, TORN, WHOLE)
    return Indication(
        np.where(torn > 0, torn, np.where(whole < 0, whole, 0.0)),
        lambda: (
            f"{case.wind_text().capitalize()} with the battery connected it would turn at {show(omega, 'rpm', 2)}, and "
            f"a bolt hole in the root would see {show(least, '%', 2)} of its strength by the pull alone, up to "
            f"{show(most, '%', 2)} if the blade is rigid and the rotor yaws."
        ),
        least, TORN, "%", "Share of the strength",
    )  # fmt: skip


def _free_speed(case: Case) -> Expected:
    solved, V = case.solved(), case.wind
    if isinstance(solved, Unknown) or V is None:
        return None
    free = np.asarray(_speed(case, solved, V, loaded=False))
    return 0.9 * free, 1.1 * free


def _mast(case: Case) -> Indication | Unknown:
    x = case.x
    if x.maybe(Sheet.mast.kind) != "free-standing pole":
        return Unknown(
            "The load on guys, anchors or a roof's frame cannot be computed from the sheet; look which end failed first"
        )
    refuse_vertical(x)
    names = (Sheet.rotor.diameter, Sheet.mast.height, Sheet.mast.tube_diameter, Sheet.mast.tube_wall)
    if missing := x.lacks(*names):
        return Unknown("", missing)
    V = case.wind
    if V is None:
        return Unknown("The load on the mast depends on the wind, which is not on record")
    D, h, d, t = (x.need(n) for n in names)
    inner = np.maximum(np.asarray(d) - 2.0 * t, 0.0)
    W = np.pi / 32.0 * (np.asarray(d) ** 4 - inner**4) / d
    C_t = case.between(*THRUST, "mast.thrust")
    # Thrust is a share of the wind's power over its speed.
    F = C_t * wind.power_in_wind(air_density(x), wind.swept_area(D), V) / V
    stress = F * h / W
    return Indication(
        grade(stress / STEEL, 0.5, 0.2),
        lambda: (
            f"{case.wind_text().capitalize()} the rotor pushes with about {show(F, 'N', 2)}; at the foot of the pole "
            f"that is {show(stress, 'MPa', 2)}, where plain steel yields at {show(STEEL, 'MPa')}."
        ),
        stress, 0.5 * STEEL, "MPa", "Stress",
    )  # fmt: skip


def _imbalance(case: Case) -> Indication | Unknown:
    read, B = case.readings("vibration.frequency"), case.x.maybe(Sheet.rotor.blades)
    if not read:
        return Unknown("The frequency of the shake was not read; count it, or let a telephone's sensor count it")
    r = read[-1]
    speeds = case.readings("rotor.speed", (r.load,))
    if speeds:
        omega: Num = speeds[-1].value
        how = f"read ({speeds[-1].label})"
    else:
        solved = case.solved()
        V = case.but(wind_low=r.wind_low, wind_high=r.wind_high, load=r.load).wind
        if isinstance(solved, Unknown) or V is None:
            return Unknown("The speed of the rotor at that time is neither read nor to be computed")
        omega, how = _speed(case, solved, V, loaded=r.load not in OPEN), "computed"
    turns = np.maximum(np.asarray(omega), 1e-6) / (2.0 * np.pi)
    off = np.abs(np.asarray(r.value) / turns - 1.0)
    blades = off if B is None else np.minimum(off, np.abs(np.asarray(r.value) / (turns * B) - 1.0))
    speaks = np.where(blades <= SAME_FREQUENCY, 0.75, np.where(blades >= OTHER_FREQUENCY, -0.75, 0.0))
    return Indication(
        speaks,
        lambda: (
            f"It shakes at {show(r.value, 'Hz')} ({r.label}); the rotor turns {show(turns, '', 3)} times a second "
            f"({how}), and {show(turns * (B or 3.0), '', 3)} blades pass."
        ),
        r.value, turns, "Hz",
    )  # fmt: skip


def _turning(case: Case) -> Expected:
    solved, V = case.solved(), case.wind
    if isinstance(solved, Unknown) or V is None:
        return None
    hertz = np.asarray(_speed(case, solved, V, loaded=case.loaded)) / (2.0 * np.pi)
    return 0.95 * hertz, 1.05 * hertz


MECHANISMS = (
    Mechanism(
        "rotor.overspeed",
        "Ran away with nothing connected",
        (BROKEN, "rotor ran away", SHAKING, "mast or guy failed", "tail folds too early or never"),
        _overspeed,
        (BALANCE, BLADE_PULL, SECTION_TABLE, COMMON_PRACTICE),
        (
            Correction("a tail that folds, or another means that limits the speed by itself",
                       (Sheet.rotor.overspeed, Sheet.rotor.limit_wind)),
            Correction("a brake that works with the battery disconnected", (Sheet.rotor.brake,)),
            Correction("a dump load ahead of anything that can open, and no fuse that can free the rotor",
                       (Sheet.dump.kind, Sheet.dump.place)),
        ),
        (
            Telling("rotor.speed", "tips at 1.5 times the usual greatest speed or more, nothing connected",
                    "at or below the usual speed, or the load connected", OPEN, _free_speed),
        ),
        ("generator.emf", "generator.resistance"),
        look="Was a fuse, switch or controller found open, and did it open before the blade went?",
        alters=(altering.circuit_open,),
        designed=True,
    ),
    Mechanism(
        "blade.root-torn",
        "Root of a blade torn or tired in normal running",
        (BROKEN,),
        _in_running,
        (BLADE_PULL, YAWING, PVC, SECTION_TABLE, COMMON_PRACTICE),
        (
            Correction("thicker pipe or wood, bolts spread along the root, no sharp corners", (Sheet.blade.pipe_wall,)),
            Correction("a lower greatest speed", (Sheet.rotor.limit_wind,)),
        ),
        (Telling("blade.mass", "heavier than computed, so it pulls harder", "as computed or lighter"),),
        look="Beach marks or whitening at the hole say fatigue; a clean tear through the hole says one great pull.",
        designed=True,
    ),
    Mechanism(
        "blade.brittle",
        "Plastic made brittle by sun, cold or age",
        (BROKEN,),
        by_eye("Nothing on record says how much strength the plastic had lost; bend or break an offcut of it"),
        (COMMON_PRACTICE,),
        (Correction("new pipe, painted against the sun", (Sheet.blade.material,)),),
        look="A clean, glassy break without whitening, chalky or faded skin; compare with an offcut kept in the dark.",
    ),
    Mechanism(
        "blade.tip-strike",
        "Tip struck the mast or a guy",
        (BROKEN, SHAKING),
        by_eye("The clearance between tip and mast is not on the sheet; look for marks at the height of the tips"),
        (COMMON_PRACTICE,),
        (Correction("stiffer blades, more overhang, a tilt of the shaft"),),
        look="Marks on the mast one rotor radius below the shaft; chipped tips.",
        alters=(altering.tips_near,),
    ),
    Mechanism(
        "mast.overload",
        "Mast, guy or anchor overloaded",
        ("mast or guy failed", SHAKING),
        _mast,
        (Source("Moment of the thrust over the section modulus of a tube", "", "from memory"), COMMON_PRACTICE),
        (Correction("a stronger or guyed mast", (Sheet.mast.kind, Sheet.mast.tube_diameter, Sheet.mast.tube_wall)),
         Correction("a tail that folds earlier", (Sheet.rotor.limit_wind,))),
        look="Which end failed first, how deep the anchors sat, how the guys were tensioned.",
        designed=True,
    ),
    Mechanism(
        "vibration.imbalance",
        "Rotor out of balance",
        (SHAKING, BROKEN, "mast or guy failed"),
        _imbalance,
        (COMMON_PRACTICE,),
        (Correction("balance blades by weight and by track", (Sheet.blade.mass,)),
         Correction("a mast of another stiffness, and none on a roof", (Sheet.mast.kind, Sheet.mast.tube_diameter))),
        (
            Telling("vibration.frequency", "turns a second, or that times the blades, and it follows the speed",
                    "one frequency whatever the speed", LOADED, _turning),
            Telling("blade.mass", "blades that differ by more than a few grams", "alike on the scale"),
        ),
        alters=(altering.unbalanced,),
    ),
)  # fmt: skip
