"""Why it turns and yet hardly charges: speed, voltage, cable, wind, place."""

from __future__ import annotations

from typing import cast

import numpy as np

from calc.finding import COMMON_PRACTICE, Source
from calc.machine.battery import has_battery
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Unknown
from calc.machine.rotor_curves import LEAST_POWER, RotorCurves, rotor_of
from calc.mechanisms import altering, having
from calc.mechanisms.base import (
    EMF_SOUND,
    HARDLY,
    LOADED,
    OPEN,
    Case,
    CaseReading,
    Correction,
    Expected,
    Indication,
    Mechanism,
    Telling,
    grade,
    mean_wind,
)
from calc.physics import wind
from calc.rules.limits import BEGIN_SHARE, GOOD_DROP
from calc.rules.phrases import NO_DRIVE
from calc.rules.sources import BALANCE, DRAG_BY_SIZE
from calc.units import Num, show

#: Speed over that at which charging begins, below and above which a reading tells. Own choice, no source.
SLOW, FAST = 0.9, 1.1
#: Loaded tip-speed ratio over the best one: stalled below, well above. Own choice, no source.
STALL, NO_STALL = 0.6, 0.85
#: Share of the system's voltage, or of the power, lost in the cable. Own choice, no source.
CABLE_BAD, CABLE_GOOD = 0.10, 0.03


def _begin_speed(case: Case) -> Num | Unknown:
    """Speed at which the first current flows, in [rad/s]."""
    solved = case.solved()
    if isinstance(solved, Unknown):
        return solved
    m = solved.machine
    return m.begins


def _never(case: Case) -> Indication | Unknown:
    solved, begin = case.solved(), _begin_speed(case)
    if isinstance(solved, Unknown) or isinstance(begin, Unknown):
        return cast("Unknown", solved if isinstance(solved, Unknown) else begin)
    read = case.readings("rotor.speed", LOADED)
    if read:
        return _speed_read(read[-1], begin)
    Vm = mean_wind(case.x)
    if isinstance(Vm, Unknown):
        return Vm
    first, V = np.asarray(solved.charging), case.wind
    # It is the wind it lives in that counts: harder than one and a half times its mean it blows in one hour of six.
    speaks = grade(first, BEGIN_SHARE * Vm, Vm)
    if V is not None:
        # A day with too little wind is no fault of the machine, but does not clear it either.
        speaks = np.where((np.asarray(speaks) < 0) & (first > V), 0.0, speaks)

    def says() -> str:
        text = _begin_text(case, begin, first, Vm)
        if V is None:
            return f"{text}."
        light = ", too light for it" if np.all(first > V) else ""
        return f"{text}. The attempt had wind of {case.wind_text()[3:]}{light}."

    return Indication(speaks, says, first, BEGIN_SHARE * Vm, "m/s", "Wind in which charging begins")


def _speed_read(r: CaseReading, begin: Num) -> Indication:
    return Indication(
        grade(r.value / begin, SLOW, FAST),
        lambda: (
            f"{show(r.value, 'rpm')} was read with the battery connected ({r.label}); charging begins at "
            f"{show(begin, 'rpm', 2)}."
        ),
        r.value, SLOW * begin, "rpm",
    )  # fmt: skip


def _begin_text(case: Case, begin: Num, first: Num, Vm: Num) -> str:
    start = f"in {show(first, 'm/s', 2)}" if np.isfinite(first) else "in no wind up to 60 m/s"
    text = (
        f"Charging begins at {show(begin, 'rpm', 2)}, which the rotor reaches {start}; the mean wind at its height is "
        f"{show(Vm, 'm/s', 2)}"
    )
    if not np.isfinite(first):
        return text
    k = case.x.site.wind_spread
    above = float(np.asarray(wind.share_above(first, wind.weibull_scale(Vm, k), k)))
    often = show(above, "%", 2) if above >= 1e-3 else "less than 0.1 %"
    return f"{text}, and it blows harder than that for {often} of the time"


def _slow_speed(case: Case) -> Expected:
    begin = _begin_speed(case)
    return None if isinstance(begin, Unknown) else (0.0 * begin, begin * 1.02)


def _low_volts(case: Case) -> Expected:
    solved = case.solved()
    if isinstance(solved, Unknown):
        return None
    top = np.asarray(solved.machine.V_oc + solved.machine.V_d)
    return 0.0 * top, top


def _no_drop(case: Case) -> Expected:
    V = case.x.maybe(Sheet.storage.voltage)
    return None if V is None else (0.0 * V, CABLE_GOOD * V)


def _stalled(case: Case) -> Indication | Unknown:
    solved, V = case.solved(), case.wind
    if isinstance(solved, Unknown):
        return solved
    if not case.loaded:
        return Unknown("Nothing was connected that could have held the rotor slow")
    best = solved.rotor.best()[0]
    R = solved.machine.R
    read = [r for r in case.readings("rotor.speed", LOADED) if r.wind_low is not None]
    if read:
        r = read[-1]
        at = case.but(wind_low=r.wind_low, wind_high=r.wind_high, load=r.load)
        share = r.value * R / cast(Num, at.wind) / best
        return Indication(
            grade(share, STALL, NO_STALL),
            lambda: (
                f"{show(r.value, 'rpm')} was read with the battery connected ({r.label}) {at.wind_text()}: a tip-speed "
                f"ratio of {show(share * best, '', 2)}, where the blades work best at {show(best, '', 2)}."
            ),
            share, STALL, "%",
        )  # fmt: skip
    if V is None:
        return Unknown("Whether the battery held it too slow depends on the wind, which is not on record")
    points = solved.at(np.broadcast_to(V, solved.machine.variants))
    share = points.tsr / np.maximum(points.best_tsr, 1e-9)
    # Where no current flows, nothing holds it.
    speaks = np.where(points.current > 0, grade(share, STALL, NO_STALL), -0.5)

    def says() -> str:
        if points.current <= 0:
            return f"{case.wind_text().capitalize()} no current flows yet, so the battery holds nothing back."
        held = "the battery holds it far below" if share < STALL else "the battery does not hold it far below"
        return (
            f"{case.wind_text().capitalize()} it would turn at about {show(points.omega, 'rpm', 2)}, a tip-speed "
            f"ratio of {show(points.tsr, '', 2)}; {held} the {show(points.best_tsr, '', 2)} at which the blades work "
            "best."
        )

    return Indication(speaks, says, share, STALL, "%", "Share of the best tip-speed ratio")


def _stalled_speed(case: Case) -> Expected:
    solved, V, begin = case.solved(), case.wind, _begin_speed(case)
    if isinstance(solved, Unknown) or V is None or isinstance(begin, Unknown):
        return None
    return begin, wind.rotor_speed(V, 2.0 * solved.machine.R, STALL * solved.rotor.best()[0])


def _cable(case: Case) -> Indication | Unknown:
    solved, V, U = case.solved(), case.wind, case.x.maybe(Sheet.storage.voltage)
    read = case.readings("cable.drop")
    if not read and not case.x.labels(Sheet.cable):
        return Unknown("The sheet names no cable, and what is lost in it was not read")
    if read and U is not None:
        r = read[-1]
        share = r.value / U
        return Indication(
            grade(np.maximum(share, 0.0), CABLE_BAD, CABLE_GOOD),
            lambda: f"{show(r.value, 'V')} was read as lost in the cable ({r.label}), {show(share, '%', 2)} of the "
            f"battery's {show(U, 'V')}.",
            share, CABLE_BAD, "%",
        )  # fmt: skip
    if isinstance(solved, Unknown):
        return solved
    if V is None:
        return Unknown("What the cable loses depends on the current and so on the wind, which is not on record")
    points = solved.at(np.broadcast_to(V, solved.machine.variants))
    lost = points.cable / np.maximum(points.cable + points.charge, 1e-9)
    R_c = solved.machine.R_c

    def says() -> str:
        text = (
            f"{case.wind_text().capitalize()} about {show(points.current, 'A', 2)} would flow, and the cable's "
            f"{show(R_c, 'ohm', 2)} lose {show(points.current * R_c, 'V', 2)}, {show(lost, '%', 2)} of the power."
        )
        for r in case.readings("charge.current", LOADED)[-1:]:
            text += f" At the {show(r.value, 'A')} that was read ({r.label}) it loses {show(r.value * R_c, 'V', 2)}."
        return text

    return Indication(
        grade(lost, CABLE_BAD, CABLE_GOOD), says, lost, CABLE_BAD, "%", "Share of the power lost in the cable"
    )


def _high_drop(case: Case) -> Expected:
    U, solved, V = case.x.maybe(Sheet.storage.voltage), case.solved(), case.wind
    if U is None:
        return None
    least = CABLE_BAD * U
    if isinstance(solved, Unknown) or V is None:
        return least, 3.0 * U
    drop = solved.at(np.broadcast_to(V, solved.machine.variants)).current * solved.machine.R_c
    return least, np.maximum(drop, 2.0 * least)


def _running_speed(case: Case) -> Expected:
    solved, V, begin = case.solved(), case.wind, _begin_speed(case)
    if isinstance(solved, Unknown) or V is None or isinstance(begin, Unknown):
        return None
    return 1.05 * begin, np.maximum(solved.at(np.broadcast_to(V, solved.machine.variants)).omega, 1.1 * begin)


def _drop_of_current(case: Case) -> tuple[str, Num] | None:
    """Label of a reading of the drop, and its resistance over that of the cable on the sheet."""
    drops, amps, solved = case.readings("cable.drop"), case.readings("charge.current", LOADED), case.solved()
    if not drops or not amps or isinstance(solved, Unknown):
        return None
    I = np.maximum(np.asarray(amps[-1].value), 1e-6)
    return f"{drops[-1].label}, {amps[-1].label}", drops[-1].value / I / np.maximum(solved.machine.R_c, 1e-6)


def _loose(case: Case) -> Indication | Unknown:
    found = _drop_of_current(case)
    if found is None:
        return Unknown(
            "A bad joint shows as more voltage lost than the copper accounts for; drop and current were not both read"
        )
    labels, ratio = found
    return Indication(
        grade(ratio, 1.5, 1.2),
        lambda: f"By voltage lost and current ({labels}) the cable has {show(ratio, '', 2)} times the resistance of "
        "its copper.",
        ratio, 1.5,
    )  # fmt: skip


def _loose_drop(case: Case) -> Expected:
    amps, solved = case.readings("charge.current", LOADED), case.solved()
    if not amps or isinstance(solved, Unknown):
        return None
    sound = amps[-1].value * np.asarray(solved.machine.R_c)
    return 1.5 * sound, 100.0 * sound


def _cut_off(case: Case) -> Expected:
    cut = case.x.maybe(Sheet.inverter.input_voltage_min)
    return None if cut is None else (0.0 * np.asarray(cut), np.asarray(cut))


def _stiff(case: Case) -> Indication | Unknown:
    solved, V, curves = case.solved(), case.wind, rotor_of(case.x)
    if isinstance(curves, RotorCurves) and curves.best()[1].ndim == 0 and curves.best()[1] < LEAST_POWER:
        return Indication(0.9, lambda: NO_DRIVE)
    if isinstance(solved, Unknown):
        return solved
    if not solved.rotor.starts:
        return Unknown("Whether it starts by itself needs the shape of the blades", (Sheet.blade.pipe_diameter,))
    if V is None:
        Vm = mean_wind(case.x)
        if isinstance(Vm, Unknown):
            return Vm
        V = 1.2 * Vm
    start = np.asarray(solved.starting)
    held = np.asarray(solved.machine.breakaway)

    def says() -> str:
        if not np.isfinite(start):
            return f"At rest the blades never overcome the {show(held, 'Nm', 2)} of bearings, iron and cogging."
        return (
            f"From rest it starts in {show(start, 'm/s', 2)}, when the blades overcome the {show(held, 'Nm', 2)} of "
            f"bearings, iron and cogging; the wind to go by was {show(V, 'm/s', 2)}."
        )

    return Indication(grade(start / V, 1.0, 0.8), says, start, V, "m/s", "Wind in which it starts")


_LITTLE = f"{show(GOOD_DROP, '%')} of it or less"

MECHANISMS = (
    Mechanism(
        "charging.never-reached",
        "Never reaches charging speed",
        (HARDLY, "battery flat", "less power than promised"),
        _never,
        (BALANCE, COMMON_PRACTICE),
        (
            Correction("a generator that gives more volts at the same speed, or more turns on it",
                       (Sheet.generator.emf_constant,)),
            Correction("a rotor that turns faster: smaller, or of higher tip-speed ratio", (Sheet.rotor.diameter,)),
            Correction("a battery of lower voltage", (Sheet.storage.voltage,)),
            Correction("more wind: a higher mast", (Sheet.mast.height,)),
        ),
        (
            Telling("rotor.speed", "slower than the speed at which charging begins, at the time",
                    "well above that speed and still no current (then a break: diode, fuse, joint)", LOADED,
                    _slow_speed),
            Telling("generator.open_voltage", "below battery plus diodes in the usual wind",
                    "above battery plus diodes", OPEN, _low_volts),
            Telling("cable.drop", "next to nothing, for next to nothing flows", "a tenth of the battery's voltage",
                    LOADED, _no_drop),
        ),
        EMF_SOUND,
        has_battery,
        alters=(altering.never_reaches,),
        designed=True,
    ),
    Mechanism(
        "charging.stalled",
        "Held too slow by the battery's voltage, so the blades stall",
        (HARDLY, "less power than promised", "turns slowly or heavily"),
        _stalled,
        (BALANCE, COMMON_PRACTICE),
        (
            Correction("a battery of higher voltage", (Sheet.storage.voltage,)),
            Correction("a generator of more rpm per volt, or a wider gap", (Sheet.generator.emf_constant,)),
            Correction("a converter that lets the rotor run at its own speed"),
        ),
        (
            Telling("rotor.speed", "tip-speed ratio below 0.6 of the best", "0.85 of it or more", LOADED,
                    _stalled_speed),
        ),
        (*EMF_SOUND, "generator.open_voltage"),
        has_battery,
        alters=(altering.stalled,),
        designed=True,
    ),
    Mechanism(
        "charging.cable-loss",
        "Power lost in the cable",
        (HARDLY, "less power than promised", "battery flat", "burning smell or no voltage", "something gets hot"),
        _cable,
        (Source("Voltage lost there and back, 2 L I rho / A; IEC 60228", "", "reproduction"), COMMON_PRACTICE),
        (
            Correction("thicker or shorter cable", (Sheet.cable.area["mast"], Sheet.cable.length["mast"])),
            Correction("a higher battery voltage", (Sheet.storage.voltage,)),
        ),
        (
            Telling("cable.drop", "a tenth of the battery's voltage or more while it charges", _LITTLE,
                    LOADED, _high_drop),
            Telling("rotor.speed", "above the speed at which charging begins", "below it", LOADED, _running_speed),
        ),
        (*EMF_SOUND, "generator.open_voltage"),
        lambda x: has_battery(x) * having.said_cable(x),
        designed=True,
    ),
    Mechanism(
        "charging.loose-connection",
        "A loose, burnt or corroded connection",
        (HARDLY, "less power than promised", "burning smell or no voltage", "inverter cuts out", "battery flat",
         "gives less than it used to", "charging comes and goes", "does not stop when braked", "something gets hot"),
        _loose,
        (COMMON_PRACTICE,),
        (Correction("remake every joint, crimped and tight, and measure it under load",
                    (Sheet.cable.joints["mast"],)),),
        (
            Telling("cable.drop", "much more than the copper accounts for at that current", "just what the copper does",
                    LOADED, _loose_drop),
            Telling("inverter.input_voltage", "far below the battery's own while the inverter draws",
                    "near the battery's", (), _cut_off),
        ),
        EMF_SOUND,
        look="Warm, discoloured or green joints; a reading that jumps when the cable is moved.",
        alters=(altering.bad_joint, altering.circuit_open),
        kin="series ohms",
    ),
    Mechanism(
        "rotor.too-stiff-to-start",
        "Too stiff to start: cogging and friction against the blades' torque at rest",
        ("does not start", "turns slowly or heavily"),
        _stiff,
        (BALANCE, DRAG_BY_SIZE),
        (Correction("blades set further into the wind or wider near the hub",
                    (Sheet.blade.mounting_angle, Sheet.blade.chord_root)),
         Correction("a generator with less cogging", (Sheet.generator.cogging_torque,))),
        (),
        EMF_SOUND,
        look="Turn the shaft by hand with nothing connected: does it catch at even steps?",
        alters=(altering.cogging,),
        designed=True,
    ),
)  # fmt: skip
