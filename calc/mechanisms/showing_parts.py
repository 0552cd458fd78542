"""What is read of single parts, on the bench, of the tail, the mast and the bank: predictions as in ``showing``.

Where a fault spreads over tens of times, the logarithm to ten is compared. Ranges are own estimates from common
practice, no source.
"""

from __future__ import annotations

import numpy as np

from calc.machine.catalogue import Sheet
from calc.mechanisms.shown import Predicted, Show, Slot, amps_of, everywhere, volts_of
from calc.mechanisms.world import World
from calc.physics.generator import MEAN_OVER_RMS


def _most_of_pairs(w: World, s: Slot) -> Predicted | None:
    """AC volts of the best pair of leads, per speed of the drill."""
    k = np.asarray(w.shown.get("generator.emf", w.machine.k))
    return Predicted(everywhere(w, k / MEAN_OVER_RMS.get(w.machine.winding, 1.35)), 0.06, 1e-4)


def _pairs_apart(w: World, s: Slot) -> Predicted | None:
    """How far the least of the pairs lies below the best, as a share."""
    low, high = w.shown.get("pairs", (0.0, 0.015))
    return Predicted(w.evenly("pairs apart", low, high), 0.0, 0.015)


def _ohms_apart(w: World, s: Slot) -> Predicted | None:
    if "ohms apart" in w.shown:
        return Predicted(w.spread("ohms apart", *w.shown["ohms apart"]), 0.05, 0.02)
    return Predicted(w.evenly("ohms apart", 0.0, 0.03), 0.05, 0.02)


def _least_ohms(w: World, s: Slot) -> Predicted | None:
    """The least of several pairs over the sheet's ohms: an open winding leaves a whole pair, a short takes from it."""
    if not w.x.given(Sheet.generator.winding_resistance):
        return None
    low, high = w.shown.get("least ohms", (0.9, 1.1))
    return Predicted(w.spread("least ohms", low, high), 0.06, 0.02)


def _frame(w: World, s: Slot) -> Predicted | None:
    middle, width = w.shown.get("frame", (7.3, 0.6))
    return Predicted(everywhere(w, middle), 0.0, width)


def _torque(w: World, s: Slot) -> Predicted | None:
    m = w.machine
    # What brakes with speed is felt by hand too: a turn in one to ten seconds.
    drag = np.asarray(m.b) * m.ratio * w.evenly("turned by hand", 0.6, 6.0)
    return Predicted(everywhere(w, (np.asarray(m.T_0) + m.T_cog + drag) * m.ratio), 0.3, 0.02)


def _shaft(w: World, s: Slot) -> Predicted | None:
    return Predicted(w.speed * np.asarray(w.machine.ratio), 0.1, 1.0)


def _field(w: World, s: Slot) -> Predicted | None:
    I = w.x.maybe(Sheet.generator.field_current)
    if I is None:
        return None
    return Predicted(everywhere(w, np.asarray(I) * w.shown.get("field", 1.0)), 0.1, 0.05)


def _end_to_end(w: World, s: Slot) -> Predicted | None:
    if any(part in s.note.where.casefold() for part in ("ring", "brush")):
        return Predicted(everywhere(w, w.shown.get("rings", 0.02)), 0.15, 0.04)
    return None


def _brake_loop(w: World, s: Slot) -> Predicted | None:
    return Predicted(everywhere(w, 0.03 + np.asarray(w.brake_ohms)), 0.15, 0.04)


def _dump_current(w: World, s: Slot) -> Predicted | None:
    dumped = w.current * (1.0 - np.asarray(w.passed)) if "set" in w.shown else w.current * w.evenly("dumped", 0.0, 0.5)
    return Predicted(dumped, 0.15, 0.1 + 0.03 * amps_of(w))


def _set_voltage(w: World, s: Slot) -> Predicted | None:
    V = w.value(Sheet.storage.charge_voltage, 1.19 * volts_of(w))
    return Predicted(everywhere(w, np.asarray(V) * w.shown.get("set", 1.0)), 0.015, 0.05)


def _night(w: World, s: Slot) -> Predicted | None:
    return Predicted(everywhere(w, w.drawn("battery")), 0.2, 0.06)


def _apart(w: World, s: Slot) -> Predicted | None:
    low, high = w.shown.get("apart", (0.0, 0.06))
    U = volts_of(w) / 12.0
    return Predicted(w.evenly("strings apart", low, high) * U, 0.0, 0.03 * U)


def _capacity(w: World, s: Slot) -> Predicted | None:
    low, high = w.shown.get("capacity", (0.88, 1.02))
    return Predicted(np.asarray(w.value(Sheet.storage.capacity, 3.6e5)) * w.evenly("capacity", low, high), 0.06, 1.0)


def _day_energy(w: World, s: Slot) -> Predicted | None:
    E = np.asarray(w.taken) * 86400.0
    for label in w.x.labels(Sheet.load):
        share = w.value(Sheet.load.hours[label], 0.2)
        E = E + np.asarray(w.value(Sheet.load.power[label], 0.0)) * np.asarray(share) * 86400.0
    return Predicted(everywhere(w, E), 0.25, 3.6e4)


def _angle(w: World, s: Slot) -> Predicted | None:
    set_ = w.x.maybe(Sheet.blade.mounting_angle)
    if set_ is None:
        return None
    return Predicted(everywhere(w, np.asarray(set_) + w.shown.get("angle off", 0.0)), 0.0, 0.035)


def _fold(w: World, s: Slot) -> Predicted | None:
    if "folded" in w.shown:
        return Predicted(everywhere(w, w.shown["folded"]), 0.1, 0.12)
    share = np.clip(np.asarray(w.held, dtype=float) / np.maximum(w.wind, 0.1), 0.0, 1.0)
    return Predicted(everywhere(w, np.arccos(share)), 0.15, 0.10)


def _swing(w: World, s: Slot) -> Predicted | None:
    middle, width = w.shown.get("swings", (0.9, 0.35))
    return Predicted(everywhere(w, middle), 0.0, width)


def _off(w: World, s: Slot) -> Predicted | None:
    return Predicted(everywhere(w, w.shown.get("off", 0.12)), 0.1, 0.12)


def _turn(w: World, s: Slot) -> Predicted | None:
    middle, width = w.shown.get("turns", (0.9, 0.35))
    return Predicted(everywhere(w, middle), 0.0, width)


def _own(w: World, s: Slot) -> Predicted | None:
    if w.shown.get("shake") != "mast":
        return Predicted(w.spread("mast's own", 0.6, 8.0), 0.1, 0.05)
    turn = np.maximum(w.speed, 0.5) / (2.0 * np.pi)
    blades = np.asarray(w.value(Sheet.rotor.blades, 3.0))
    return Predicted(np.where(w.evenly("shaken by", 0.0, 1.0) > 0.6, turn * blades, turn), 0.1, 0.05)


def _insulation(w: World, s: Slot) -> Predicted | None:
    middle, width = w.shown.get("insulation", (7.8, 0.8))
    return Predicted(everywhere(w, middle), 0.0, width)


def _shares_apart(w: World, s: Slot) -> Predicted | None:
    """How much more current one string gives than another, as a share."""
    low, high = w.shown.get("shares", (0.0, 0.15))
    return Predicted(w.evenly("shares of strings", low, high), 0.05, 0.05)


def _clearance(w: World, s: Slot) -> Predicted | None:
    low, high = w.shown.get("clearance", (0.06, 0.5))
    return Predicted(w.evenly("clearance", low, high), 0.05, 0.01)


def _start_power(w: World, s: Slot) -> Predicted | None:
    surge = w.x.maybe(Sheet.inverter.surge_power)
    surge = w.x.maybe(Sheet.inverter.power) if surge is None else surge
    if surge is None:
        return None
    low, high = w.shown.get("start", (0.1, 1.0))
    return Predicted(everywhere(w, np.asarray(surge) * w.spread("start", low, high)), 0.1, 5.0)


def _amplitude(w: World, s: Slot) -> Predicted | None:
    middle, width = w.shown.get("amplitude", (-2.6, 0.5))
    return Predicted(everywhere(w, middle), 0.0, width)


def _own_turns(w: World, s: Slot) -> Predicted | None:
    """The mast's own frequency over the turns at which it shook."""
    if w.shown.get("shake") == "mast":
        blades = np.asarray(w.value(Sheet.rotor.blades, 3.0))
        return Predicted(np.where(w.evenly("shaken by", 0.0, 1.0) > 0.7, blades, 1.0), 0.07, 0.02)
    return Predicted(w.spread("mast's own", 0.3, 8.0), 0.1, 0.02)


def _shakes_a_turn(w: World, s: Slot) -> Predicted | None:
    """How often it shakes in a turn: once where it is out of balance, or as each blade passes, or as it happens."""
    blades = np.asarray(w.value(Sheet.rotor.blades, 3.0))
    once = w.shown.get("shake") == "turn" or w._shares("shaken by") < 0.55
    share = 0.07 if "shake" in w.shown else 0.25
    return Predicted(everywhere(w, np.where(once, 1.0, blades)), share, 0.03)


#: As :data:`calc.mechanisms.showing.SHOWS`; a name behind a stroke is derived from several readings or their logarithm.
PARTS: dict[str, Show] = {
    "generator.ac_voltage/most": _most_of_pairs,
    "generator.ac_voltage/apart": _pairs_apart,
    "generator.resistance/apart": _ohms_apart,
    "generator.resistance/least": _least_ohms,
    "generator.frame_resistance/log": _frame,
    "generator.turning_torque": _torque,
    "generator.shaft_speed": _shaft,
    "generator.field_current": _field,
    "cable.end_to_end": _end_to_end,
    "brake.loop_resistance": _brake_loop,
    "controller.dump_current": _dump_current,
    "controller.set_voltage": _set_voltage,
    "battery.night_current": _night,
    "battery.string_difference": _apart,
    "battery.tested_capacity": _capacity,
    "load.daily_energy": _day_energy,
    "blade.gauge_angle": _angle,
    "tail.fold_angle": _fold,
    "tail.swing_force/log": _swing,
    "yaw.off_wind": _off,
    "yaw.turning_force/log": _turn,
    "mast.own_frequency": _own,
    "mast.own_frequency/turns": _own_turns,
    "vibration.frequency/turns": _shakes_a_turn,
    "wiring.insulation/log": _insulation,
    "battery.string_current/apart": _shares_apart,
    "blade.tip_clearance": _clearance,
    "load.start_power": _start_power,
    "vibration.amplitude/log": _amplitude,
}
