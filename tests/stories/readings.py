"""What a builder reads off a simulated machine: in gusts, with an ordinary meter, and now and then wrongly."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tests.stories import simulator as sim
from tests.stories.simulator import RPM, Plant

#: What stands behind the short words of a recipe.
LOADS = {
    "nothing": "nothing connected",
    "battery": "battery",
    "loads": "battery and loads",
    "dump": "dump load",
    "short": "short circuit",
}
#: Wind of one minute beside that of the hour, and what an ordinary meter may be off by: common practice, no source.
GUSTS, METER = 0.10, 0.008


@dataclass(frozen=True)
class Reading:
    """One reading: the quantity in the stories' own words, as it was typed, and how it was taken."""

    what: str
    value: float
    unit: str
    load: str
    bench: bool
    typed: str
    misread: str = ""
    rpm: float | None = None


@dataclass(frozen=True)
class Moment:
    """Where and when a reading is taken: the plant, the wind of the day, what is connected, hours it ran, and more."""

    plant: Plant
    wind: float
    load: str = "battery"
    hours: float = 6.0
    height: float = 8.0
    age: float = 1.0


def dice(*of: object) -> np.random.Generator:
    """Dice that fall the same for the same words."""
    return np.random.default_rng(int.from_bytes(hashlib.sha256(repr(of).encode()).digest()[:8], "big"))


def take(recipe: str, moment: Moment, seed: str) -> Reading | None:
    """One reading; None where there is nothing to be read, such as the speed of a fall that did not happen."""
    what, *more = recipe.split()
    how = dict(m.split("=") for m in more)
    load = LOADS[how["load"]] if "load" in how else moment.load
    # Readings of one visit are taken in the same gust.
    wind = float(how.get("v", moment.wind * np.exp(GUSTS * dice(seed, "gust", load).standard_normal())))
    rpm = float(how["rpm"]) if "rpm" in how else None
    if rpm is not None:
        # A drill is set so that an ordinary machine gives some twenty volts.
        rpm = round(rpm * 0.05 / (RPM * moment.plant.ke), -1) or rpm
    exact = _exact(what, moment, wind, load, rpm, how)
    if exact is None or not np.isfinite(exact[0]):
        return None
    value, unit = exact
    misread = how.get("meter", "")
    value = _misread(value, misread, moment.plant)
    value *= 1.0 + METER * dice(seed, recipe).standard_normal()
    return Reading(what, value, unit, load, rpm is not None or what in BENCH, written(value, unit), misread, rpm)


def written(value: float, unit: str) -> str:
    """A value as one would write it down off a meter."""
    value = 0.0 if abs(value) < 1e-4 else value
    digits = 2 if abs(value) < 1 else 3
    if abs(value) >= 1000:
        return f"{value:.0f} {unit}".strip()
    return f"{float(f'{value:.{digits}g}'):g} {unit}".strip()


def _misread(value: float, how: str, p: Plant) -> float:
    """What a reading turns into by the commonest slips."""
    if not how:
        return value
    # RMS between two leads of a sine is 1/1.35 of the rectified mean, RMS to the star point a root of three less; a
    # meter that averages shows a current in short pulses too low; on a coarse range the probes' own ohms are read too.
    return {
        "line": value / 1.35,
        "phase": value / 2.34,
        "average": 0.62 * value,
        "range": value + 0.9,
        "weak": 1.22 * value,
    }[how]


#: Read on the bench, or of a part taken down.
BENCH = frozenset(
    {
        "generator.emf",
        "generator.resistance",
        "ohm.pair1",
        "ohm.pair2",
        "ohm.pair3",
        "insulation",
        "turning.torque",
        "ohm.rings",
        "ohm.cable",
        "ohm.brake",
        "pitch.gauge",
        "blade.mass",
        "hinge.friction",
    }
)


def _exact(
    what: str, m: Moment, wind: float, load: str, rpm: float | None, how: dict[str, str]
) -> tuple[float, str] | None:
    for group in (_running, _generator, _parts, _storage, _air):
        found = group(what, m, wind, load, rpm, how)
        if found is not None:
            return found
    return None


def _running(
    what: str, m: Moment, wind: float, load: str, rpm: float | None, how: dict[str, str]
) -> tuple[float, str] | None:
    p = m.plant
    if what not in _RUNNING or (rpm is not None and what == "generator.open_voltage"):
        return None
    state = sim.solve(p, wind, load)
    return _RUNNING[what](p, m, state)


#: What is read while it turns: of the plant, the moment, and what the machine does.
_RUNNING: dict[str, Callable[[Plant, Moment, sim.State], tuple[float, str]]] = {
    "rotor.speed": lambda p, m, s: (s.rpm, "rpm"),
    "generator.speed": lambda p, m, s: (s.rpm * p.ratio * (1.0 if p.belt > 5.0 else 0.55), "rpm"),
    "generator.open_voltage": lambda p, m, s: (sim.open_volts(p, sim.solve(p, s.wind, "nothing connected").omega), "V"),
    "generator.loaded_voltage": lambda p, m, s: (s.rectified, "V"),
    "generator.short_current": lambda p, m, s: (sim.solve(p, s.wind, "short circuit").current, "A"),
    "generator.temperature": lambda p, m, s: (
        sim.winding_heat(p, sim.solve(p, min(1.3 * s.wind, 14.0), m.load)),
        "degC",
    ),
    "charge.current": lambda p, m, s: (s.into_battery, "A"),
    "charge.power": lambda p, m, s: (s.into_battery * s.battery, "W"),
    "charge.energy": lambda p, m, s: (max(s.into_battery + sim.taken_with(p, m.load), 0.0) * s.battery * m.hours, "Wh"),
    "battery.voltage": lambda p, m, s: (s.battery, "V"),
    "cable.drop": lambda p, m, s: (s.cable_drop, "V"),
    "dump.current": lambda p, m, s: (s.dumped, "A"),
    "tail.angle": lambda p, m, s: (sim.yaw_angle(p, s.wind), "deg"),
    "yaw.angle": lambda p, m, s: (p.yaw, "deg"),
    "vibration.frequency": lambda p, m, s: (sim.shaking(p, s.omega)[0], "Hz"),
    "shake.strength": lambda p, m, s: (sim.shaking(p, s.omega)[1], ""),
    "noise.level": lambda p, m, s: (22.0 + 22.0 * np.log10(max(s.omega * p.radius, 1.0)), "dB(A)"),
    "blade.thrown": lambda p, m, s: (sim.thrown(p, s.omega, m.height, 0.5), "m"),
}


def _generator(
    what: str, m: Moment, wind: float, load: str, rpm: float | None, how: dict[str, str]
) -> tuple[float, str] | None:
    p, speed = m.plant, (rpm or 300.0) * RPM / m.plant.ratio
    name, _, n = what.partition(".pair")
    if name == "ac" and n:
        pairs = sim.pair_volts(p, speed)
        return (pairs[(int(n) - 1) % len(pairs)], "V")
    if name == "ohm" and n:
        ends = {"1": (0, 1), "2": (1, 2), "3": (2, 0)}[n]
        whole = all(p.pattern.leads[k] for k in ends)
        return (p.r_ll * (0.5 * sum(min(1.0, abs(p.pattern.gains[k])) for k in ends)), "ohm") if whole else None
    return {
        "generator.open_voltage": (sim.open_volts(p, speed), "V"),
        "generator.emf": (speed * p.ratio / RPM / max(sim.open_volts(p, speed) + 2.0 * p.diode, 1e-3), "rpm/V"),
        "generator.resistance": (p.r_ll, "ohm"),
        "insulation": (20.0 if np.isinf(p.leak) else 0.05, "Mohm"),
        "turning.torque": (p.ratio * (p.drag + p.cogging), "Nm"),
        "field.current": (p.field_current if p.ke > 0.02 else 0.0, "A"),
    }.get(what) or ((sim.stop_time(p, wind), "s") if what == "stop.time" else None)


def _parts(
    what: str, m: Moment, wind: float, load: str, rpm: float | None, how: dict[str, str]
) -> tuple[float, str] | None:
    p = m.plant
    heavier = p.unbalance / (0.23 * 2.0 * p.radius) if how.get("n") == "1" else 0.0
    return {
        "ohm.rings": (p.joint, "ohm"),
        "ohm.cable": (p.cable_r if not p.fuse_blown else np.inf, "ohm"),
        "ohm.brake": (p.brake_r, "ohm"),
        "pitch.gauge": (20.0 + p.pitch, "deg"),
        "blade.mass": (p.blade_mass + heavier, "kg"),
        "blade.age": (m.age, "years"),
        "blade.clearance": (0.12 * p.radius, "m"),
        "hinge.friction": (25.0 if np.isinf(p.furl) else 1.5, "Nm"),
        "yaw.friction": (40.0 if p.yaw else 2.0, "Nm"),
        "mast.frequency": (p.mast_hz, "Hz"),
    }.get(what)


def _storage(
    what: str, m: Moment, wind: float, load: str, rpm: float | None, how: dict[str, str]
) -> tuple[float, str] | None:
    p = m.plant
    if what not in _STORED:
        return None
    watts = float(how.get("watts", "0.6")) * max(p.inverter, 100.0)
    at_battery, at_inverter = sim.inverter_volts(p, watts)
    lead, share = "lead" in p.chemistry, p.soc * (0.8 if p.health < 0.5 else 1.0)
    cells = sim.CELLS[p.chemistry][3] * p.volts / 12.0
    return {
        "battery.rest": (sim.battery_rest(p), "V"),
        "battery.density": (1.11 + 0.16 * share, "") if p.chemistry == "flooded lead-acid" else None,
        "battery.temperature": (-3.0 if p.cut == "cold" else p.air, "degC"),
        "battery.under_load": (at_battery, "V"),
        "inverter.input_voltage": (at_inverter, "V"),
        "night.current": (-(p.phantom / p.volts + p.field_current), "A"),
        "load.power": (p.loads + p.phantom, "W"),
        "load.energy": ((p.loads + p.phantom) * 6.0, "Wh"),
        "capacity.test": (p.capacity * p.health, "Ah"),
        "set.voltage": (p.hold, "V"),
        "cells.highest": (3.65 if p.cut == "high" else sim.battery_rest(p) / cells, "V"),
        "cells.lowest": (2.4 if p.cut == "low" else sim.battery_rest(p) / cells, "V"),
        "string.difference": (0.6 * p.volts / 12.0 if lead and p.health < 0.7 else 0.02, "V"),
        "string.current": (0.2, "A"),
        "surge.power": (max(p.surge_need, 1.2) * max(p.inverter, 100.0), "W"),
    }.get(what)


_STORED = frozenset(
    {
        "battery.rest",
        "battery.density",
        "battery.temperature",
        "battery.under_load",
        "inverter.input_voltage",
        "night.current",
        "load.power",
        "load.energy",
        "capacity.test",
        "set.voltage",
        "cells.highest",
        "cells.lowest",
        "string.difference",
        "string.current",
        "surge.power",
    }
)


def _air(
    what: str, m: Moment, wind: float, load: str, rpm: float | None, how: dict[str, str]
) -> tuple[float, str] | None:
    return {
        "wind.speed": (wind, "m/s"),
        "air.temperature": (m.plant.air, "degC"),
        "run.hours": (m.hours, "h"),
    }.get(what)
