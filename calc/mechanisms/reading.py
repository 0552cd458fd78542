"""When nothing failed but the reading or the promise."""

from __future__ import annotations

import numpy as np

from calc.finding import COMMON_PRACTICE
from calc.machine.battery import has_battery
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Unknown
from calc.machine.rotor_curves import is_vertical
from calc.machine.site import air_density
from calc.mechanisms import altering, having
from calc.mechanisms.base import HARDLY, LOADED, Case, Correction, Indication, Mechanism, Telling, by_eye, grade
from calc.physics import wind
from calc.rules.sources import BETZ_SOURCE
from calc.units import Num, show
from calc.wording import with_article

#: Share of the wind's power that no bare rotor exceeds, one to be asked about, and a plausible one. Own choice.
DOUBTFUL = 0.45
#: Voltage over that of the battery, above which a reading cannot have been taken at a connected battery. Own choice.
NOT_CLAMPED = 1.35


def _powers(case: Case) -> list[tuple[str, Num, Num]]:
    """Label, power and the wind's power of each reading of power in a known wind."""
    D = case.x.maybe(Sheet.rotor.diameter)
    if D is None or is_vertical(case.x):
        return []
    rows = []
    for r in case.readings("charge.power"):
        V = case.but(wind_low=r.wind_low, wind_high=r.wind_high, load=r.load).wind
        if V is not None:
            rows.append((r.label, r.value, wind.power_in_wind(air_density(case.x), wind.swept_area(D), V)))
    return rows


def _wrong(case: Case) -> Indication | Unknown:
    U = case.x.maybe(Sheet.storage.voltage)
    volts = [r for q in ("battery.voltage", "generator.loaded_voltage") for r in case.readings(q, LOADED)]
    high = [r for r in volts if U is not None and float(np.mean(r.value / U)) > NOT_CLAMPED]
    if high and U is not None:
        r = high[-1]
        return Indication(
            grade(r.value / U, NOT_CLAMPED, 1.2),
            lambda: (
                f"{show(r.value, 'V')} is on record with {with_article(show(U, 'V'))} battery connected "
                f"({r.label}); a connected "
                "battery holds the voltage near its own, so this was most likely read with nothing connected."
            ),
            r.value, NOT_CLAMPED * U, "V",
        )  # fmt: skip
    powers = _powers(case)
    if not powers:
        return Unknown("No reading of power in a known wind is on record that could be held against the wind's own")
    label, P, of = powers[-1]
    cp = np.asarray(P / of)
    return Indication(
        grade(cp, wind.BETZ, DOUBTFUL),
        lambda: (
            f"{show(P, 'W')} was read ({label}), {show(cp, '%', 2)} of the {show(of, 'W')} in that wind; no bare rotor "
            f"takes more than {show(wind.BETZ, '%', 3)}."
        ),
        cp, wind.BETZ, "%",
    )  # fmt: skip


def _promised(case: Case) -> Indication | Unknown:
    x, solved = case.x, case.solved()
    claims = [n for n in x.labels(Sheet.claim) if x.maybe(Sheet.claim.power[n]) and x.maybe(Sheet.claim.wind_speed[n])]
    if not claims:
        return Unknown("No claim with a power and a wind is on record")
    if isinstance(solved, Unknown):
        return solved
    P, V = x.claim[claims[0]].power, x.claim[claims[0]].wind_speed
    got = solved.at(np.broadcast_to(V, solved.machine.variants)).charge
    return Indication(
        grade(P / np.maximum(got, 1e-3), 1.5, 1.1),
        lambda: (
            f"{show(P, 'W')} was promised in {show(V, 'm/s')} ({claims[0]}); computed for this machine, "
            f"{show(got, 'W', 2)} come out of the cable."
        ),
        P, 1.5 * got, "W",
    )  # fmt: skip


def _normal(case: Case) -> Indication | Unknown:
    solved, V = case.solved(), case.wind
    if isinstance(solved, Unknown):
        return solved
    if V is None:
        return Unknown("What is normal for it depends on the wind, which is not on record")
    points = solved.at(np.broadcast_to(V, solved.machine.variants))

    def says() -> str:
        return (
            f"{case.wind_text().capitalize()} about {show(np.maximum(points.charge, 0.0), 'W', 2)}, or "
            f"{show(points.current, 'A', 2)}, at {show(points.omega, 'rpm', 2)} is normal for this machine."
        )

    return Indication(0.0 * np.asarray(points.charge), says, points.charge, None, "W", "Normal in that wind")


MECHANISMS = (
    Mechanism(
        "reading.wrong",
        "A reading taken for what it is not",
        ("reading makes no sense", "less power than promised", "battery voltage too high", HARDLY),
        _wrong,
        (BETZ_SOURCE, COMMON_PRACTICE),
        (Correction("volts and amperes read at one moment, with the battery connected; write down where and how"),),
        (
            Telling("charge.power", "more than the wind holds", "a tenth to four tenths of the wind's power"),
            Telling("generator.loaded_voltage", "far above the battery's while it is connected", "near the battery's",
                    LOADED),
        ),
        alters=(altering.wrong_form,),
    ),
    Mechanism(
        "reading.not-true-rms",
        "The meter is not a true-RMS one and reads a chopped current low",
        ("less power than promised", "reading makes no sense", HARDLY),
        by_eye("Only a second meter, or a shunt, tells what the first one makes of a chopped current"),
        (COMMON_PRACTICE,),
        (Correction("a direct-current clamp or a shunt, read behind the rectifier"),),
        look="Read it again with a true-RMS or direct-current clamp beside it.",
        alters=(altering.not_true_rms,),
    ),
    Mechanism(
        "reading.wrong-range",
        "The meter stood on a wrong range, or its own ohms were read too",
        ("reading makes no sense", "less power than promised", HARDLY),
        by_eye("Join the probes: what a meter shows then is its own"),
        (COMMON_PRACTICE,),
        (Correction("the lowest range, the probes' own ohms taken off"),),
        look="Was it on the range and in the jacks that were meant?",
        alters=(altering.wrong_range,),
    ),
    Mechanism(
        "reading.meter-battery",
        "The meter's own battery is weak, so it reads high",
        ("reading makes no sense", "battery damaged", "battery voltage too high"),
        by_eye("Read a fresh battery of known voltage with it"),
        (COMMON_PRACTICE,),
        (Correction("a fresh battery in the meter, and all readings of that day taken again"),),
        look="Does it show its low-battery sign; what does it make of a fresh 9 V battery?",
        alters=(altering.weak_meter,),
    ),
    Mechanism(
        "site.wind-overestimated",
        "Less wind at the rotor than was thought",
        ("less power than promised", HARDLY, "turns slowly or heavily", "gives less than it used to", "battery flat"),
        by_eye("The wind was judged, and not read at the height of the rotor"),
        (COMMON_PRACTICE,),
        (Correction("an anemometer at the rotor's height for some weeks", (Sheet.site.mean_wind,)),),
        look="Where does the number of the wind come from: the rotor's height, or an app, a flag, a roof?",
        alters=(altering.wind_overestimated,),
    ),
    Mechanism(
        "sound.too-much-expected",
        "Sound: more was expected of it than such a machine gives",
        ("less power than promised", HARDLY, "tail folds too early or never"),
        _normal,
        (BETZ_SOURCE, COMMON_PRACTICE),
        (Correction("expect what is computed, or build larger", (Sheet.rotor.diameter,)),),
        look="Does it turn smoothly, quietly and at once, with all as it should be?",
    ),
    Mechanism(
        "sound.battery-full",
        "Sound: the battery is full, and the controller sends the current elsewhere",
        (HARDLY, "gives less than it used to", "charging comes and goes", "dump load cold or always hot"),
        by_eye("Whether it is full shows in its volts, at rest and charging, and in what the dump load takes"),
        (COMMON_PRACTICE,),
        (Correction("more storage, or a use for what is dumped", (Sheet.storage.capacity,)),),
        applies=lambda x: having.dump(x) * has_battery(x),
        look="Is the battery at its charging voltage, and the dump load warm, while no current goes in?",
        alters=(altering.battery_full,),
    ),
    Mechanism(
        "claim.too-high",
        "More was promised than this machine can do",
        ("less power than promised",),
        _promised,
        (BETZ_SOURCE, COMMON_PRACTICE),
        (Correction("expect what is computed, or build larger", (Sheet.rotor.diameter,)),),
        (Telling("charge.power", "near the computed power in that wind", "near the promised one", LOADED),),
        applies=lambda x: bool(x.labels(Sheet.claim)),
        designed=True,
    ),
)  # fmt: skip
