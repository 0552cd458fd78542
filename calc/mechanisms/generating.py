"""What happens to the generator and its rectifier: magnets, winding, phases, voltage, water; and what blades meet."""

from __future__ import annotations

import numpy as np

from calc.finding import COMMON_PRACTICE, Source
from calc.machine.battery import has_battery
from calc.machine.catalogue import Sheet
from calc.machine.drive import rotor_emf
from calc.machine.inputs import Unknown
from calc.machine.site import over_winds
from calc.mechanisms import altering
from calc.mechanisms.base import (
    HARDLY,
    NO_VOLTAGE,
    Case,
    Correction,
    Expected,
    Indication,
    Mechanism,
    Telling,
    by_eye,
    grade,
)
from calc.physics import balance, generator
from calc.rules.limits import HOTTEST_WINDING
from calc.rules.sources import BALANCE, INSULATION_CLASSES, TWICE_THE_PEAK
from calc.units import show

#: Volts per speed now over those on the sheet, below which magnets are called weak. Own choice, no source.
WEAK = 0.95
#: Resistance now over that on the sheet, beyond which a winding is called damaged, and within which sound.
CHANGED, UNCHANGED = 1.15, 1.05
#: Greatest over least resistance between pairs of leads. Own choice, no source.
UNEQUAL, EQUAL = 1.10, 1.03
#: A winding takes about so long to get as hot as it will; own estimate, no source. [h]
SETTLED = 0.5
#: Winding that never gets warmer than this is not burnt by its current. Own choice, no source. [K]
COOL = 343.15


def _weak(case: Case) -> Indication | Unknown:
    x, read = case.x, case.readings("generator.emf", since=True)
    k = x.maybe(Sheet.generator.emf_constant)
    if k is None:
        return Unknown("", (Sheet.generator.emf_constant,))
    if not read:
        return Unknown("The volts per speed were not measured since; a spin test would tell")
    built = generator.emf_rectified(k, x.generator.emf_form, x.generator.phases)
    r = read[-1]
    ratio = r.value / built

    def says() -> str:
        share = float(np.asarray(ratio))
        word = "as good as the same" if abs(share - 1.0) < 1.0 - WEAK else "less" if share < 1 else "more"
        return (
            f"{show(r.value, 'rpm/V')} was measured ({r.label}) against {show(built, 'rpm/V')} on the sheet: the "
            f"magnets give {show(ratio, '%', 3)} of the volts expected, {word}."
        )

    speaks = np.where(np.asarray(ratio) < WEAK, grade(ratio, WEAK, 1.0), -0.75)
    return Indication(speaks, says, ratio, WEAK, "%", "Volts per speed over those on the sheet")


def _weak_emf(case: Case) -> Expected:
    k = case.x.maybe(Sheet.generator.emf_constant)
    if k is None:
        return None
    built = generator.emf_rectified(k, case.x.generator.emf_form, case.x.generator.phases)
    return 0.0 * built, WEAK * np.mean(built) + 0.0 * np.asarray(built)


def _burnt(case: Case) -> Indication | Unknown:
    x, read, R = (
        case.x,
        case.readings("generator.resistance", since=True),
        case.x.maybe(Sheet.generator.winding_resistance),
    )
    if read and R is not None:
        r = read[-1]
        change = np.asarray(r.value / R)
        beyond = np.maximum(change, 1.0 / np.maximum(change, 1e-9))
        return Indication(
            grade(beyond, CHANGED, UNCHANGED),
            lambda: (
                f"{show(r.value, 'ohm')} was measured between two leads ({r.label}) against {show(R, 'ohm')} on the "
                f"sheet, {show(change, '%', 3)} of it."
            ),
            beyond, CHANGED,
        )  # fmt: skip
    solved, V = case.solved(), case.wind
    if isinstance(solved, Unknown):
        return solved
    if np.all(np.asarray(solved.machine.R_th) == 0):
        return Unknown("", (Sheet.generator.rated_current, Sheet.generator.thermal_resistance))
    if V is None:
        return Unknown("How hot the winding got depends on the wind, which is not on record")
    points, limit = solved.at(np.broadcast_to(V, solved.machine.variants)), HOTTEST_WINDING[x.generator.insulation]
    hot = points.winding if case.loaded else np.asarray(solved.machine.T_air) + 0.0 * points.winding
    speaks = np.where(hot > limit, np.minimum(0.5 + (hot - limit) / 200.0, 1.0), np.where(hot < COOL, -0.75, 0.0))
    if case.c.hours is not None and case.c.hours < SETTLED:
        speaks = np.minimum(speaks, 0.0)
    return Indication(
        speaks,
        lambda: (
            f"{case.wind_text().capitalize()} the winding would settle at "
            f"{show(hot, 'degC') if hot < 673 else 'more than 400 degC'}; insulation of class "
            f"{x.generator.insulation} withstands {show(limit, 'degC')}."
        ),
        hot, limit, "degC", "Winding",
    )  # fmt: skip


def _phase(case: Case) -> Indication | Unknown:
    read = case.readings("generator.resistance", since=True)
    if len(read) < 2:
        return Unknown("An open phase or dead diode shows in three readings between pairs of leads; fewer were taken")
    few = read[-3:]
    values = np.stack(np.broadcast_arrays(*(np.asarray(r.value, dtype=float) for r in few)))
    ratio = np.max(values, axis=0) / np.maximum(np.min(values, axis=0), 1e-9)
    return Indication(
        grade(ratio, UNEQUAL, EQUAL),
        lambda: (
            f"Between pairs of leads {', '.join(show(r.value, 'ohm') for r in few)} were measured "
            f"({', '.join(r.label for r in few)}): the greatest is {show(ratio, '', 3)} times the least."
        ),
        ratio, UNEQUAL,
    )  # fmt: skip


def _overvoltage(case: Case) -> Indication | Unknown:
    solved, V, PIV = case.solved(), case.wind, case.x.maybe(Sheet.generator.rectifier_voltage)
    if PIV is None:
        return Unknown("", (Sheet.generator.rectifier_voltage,))
    if isinstance(solved, Unknown):
        return solved
    if V is None:
        return Unknown("What voltage the rectifier met depends on the wind, which is not on record")
    m = solved.machine
    at = over_winds(np.broadcast_to(V, m.variants))
    omega = balance.unloaded(m, at)[0][..., 0] if not case.loaded else balance.operate(m, at).running.omega[..., 0]
    peak = omega * generator.emf_peak(rotor_emf(case.x), case.x.generator.emf_form, case.x.generator.phases)
    return Indication(
        grade(peak / PIV, 1.0, 0.5),
        lambda: (
            f"{case.wind_text().capitalize()} {'with the battery connected' if case.loaded else 'with no load'} the "
            f"generator would give peaks of {show(peak, 'V')}; the rectifier is rated for {show(PIV, 'V')}."
        ),
        peak, PIV, "V",
    )  # fmt: skip


MECHANISMS = (
    Mechanism(
        "generator.weak-magnets",
        "Magnets too weak, or weakened",
        (HARDLY, "less power than promised", "gives less than it used to", "does not stop when braked"),
        _weak,
        (Source("Study of corroding neodymium magnets, Tampere 2016: flux loss exceeds mass loss", "", "reproduction"),
         COMMON_PRACTICE),
        (Correction("new or larger magnets, coated and cooled, or another generator",
                    (Sheet.generator.emf_constant,)),),
        (
            Telling("generator.emf", "less than 0.95 of the volts per speed it had, beyond the doubt of both",
                    "the same volts per speed as on the plate or when built", (), _weak_emf, True),
        ),
        ("generator.resistance",),
        alters=(altering.weak_magnets,),
        kin="magnets",
    ),
    Mechanism(
        "generator.winding-burnt",
        "Winding burnt",
        (NO_VOLTAGE, HARDLY, "does not start", "less power than promised", "turns slowly or heavily",
         "gives less than it used to", "does not stop when braked", "something gets hot"),
        _burnt,
        (BALANCE, INSULATION_CLASSES, COMMON_PRACTICE),
        (
            Correction("thicker wire, or more cooling",
                       (Sheet.generator.winding_resistance, Sheet.generator.rated_current)),
            Correction("a tail that folds earlier", (Sheet.rotor.limit_wind,)),
        ),
        (Telling("generator.resistance", "more than 15 % off what it had when cold", "as when built, cold",
                 since=True),),
        (),
        has_battery,
        "Dark or brittle varnish; a smell; one pair of leads that differs from the others.",
        alters=(altering.shorted_turns, altering.open_coil,),
    ),
    Mechanism(
        "generator.phase-open",
        "One phase of the winding open",
        (HARDLY, NO_VOLTAGE, "noise or shaking", "less power than promised", "gives less than it used to",
         "does not stop when braked", "something gets hot"),
        _phase,
        (COMMON_PRACTICE,),
        (Correction("repair the lead, or a new rectifier with reserve",
                    (Sheet.generator.rectifier_voltage, Sheet.generator.rectifier_current)),),
        (
            Telling("generator.resistance", "unequal between the three pairs of leads, by a tenth or more",
                    "equal within the meter's limits", since=True),
        ),
        (),
        lambda x: x.maybe(Sheet.generator.phases) == "three-phase",
        alters=(altering.phase_open,),
    ),
    Mechanism(
        "generator.rectifier-overvoltage",
        "Rectifier broken by the voltage of a fast rotor",
        (NO_VOLTAGE, HARDLY, "gives less than it used to", "something gets hot"),
        _overvoltage,
        (BALANCE, TWICE_THE_PEAK),
        (Correction("a rectifier for twice the highest peak", (Sheet.generator.rectifier_voltage,)),
         Correction("a means that holds the speed by itself", (Sheet.rotor.overspeed,))),
        (),
        ("generator.emf", "generator.resistance"),
        look="Each diode measured with a multimeter's diode range, the rotor tied.",
        alters=(altering.diode_shorted, altering.diode_open,),
        designed=True,
    ),
    Mechanism(
        "generator.water",
        "Water in generator, joints or boxes",
        (NO_VOLTAGE, HARDLY, "does not start", "less power than promised", "gives less than it used to",
         "charging comes and goes", "something gets hot"),
        by_eye("Water shows in no number on record: open it and look"),
        (COMMON_PRACTICE,),
        (Correction("seals, drip loops, and a hole at the lowest point for water to leave"),),
        (),
        (),
        look="Rust streaks, white or green crust, drops inside covers; insulation to the frame when wet.",
        alters=(altering.wet,),
    ),
)  # fmt: skip
