"""What each quantity is read with, the cheapest instruments first."""

from __future__ import annotations

#: What measurements are taken with, the cheapest first. The order is our own.
INSTRUMENTS = (
    "eye", "watch", "multimeter", "kitchen scale", "thermometer", "clamp meter", "energy meter",
    "tachometer or bicycle computer", "hydrometer", "anemometer", "insulation tester",
)  # fmt: skip

#: With what each quantity of :mod:`calc.quantities` is commonly read.
INSTRUMENT_FOR: dict[str, str] = {
    "wind.speed": "anemometer",
    "rotor.speed": "tachometer or bicycle computer",
    "generator.open_voltage": "multimeter",
    "generator.loaded_voltage": "multimeter",
    "generator.short_current": "clamp meter",
    "generator.emf": "tachometer or bicycle computer",
    "generator.resistance": "multimeter",
    "generator.temperature": "multimeter",
    "charge.current": "clamp meter",
    "charge.power": "clamp meter",
    "battery.voltage": "multimeter",
    "battery.density": "hydrometer",
    "cable.drop": "multimeter",
    "load.power": "clamp meter",
    "inverter.input_voltage": "multimeter",
    "vibration.frequency": "watch",
    "blade.mass": "kitchen scale",
    "stop.time": "watch",
    "generator.ac_voltage": "multimeter",
    "generator.frame_resistance": "multimeter",
    "generator.turning_torque": "kitchen scale",
    "generator.shaft_speed": "tachometer or bicycle computer",
    "generator.field_current": "clamp meter",
    "cable.end_to_end": "multimeter",
    "brake.loop_resistance": "multimeter",
    "controller.dump_current": "clamp meter",
    "controller.set_voltage": "multimeter",
    "battery.night_current": "clamp meter",
    "battery.string_difference": "multimeter",
    "battery.string_current": "clamp meter",
    "battery.tested_capacity": "multimeter",
    "load.start_power": "clamp meter",
    "load.daily_energy": "clamp meter",
    "blade.gauge_angle": "eye",
    "blade.tip_clearance": "eye",
    "tail.fold_angle": "eye",
    "tail.swing_force": "kitchen scale",
    "yaw.off_wind": "eye",
    "yaw.turning_force": "kitchen scale",
    "mast.own_frequency": "watch",
    "vibration.amplitude": "eye",
    "wiring.insulation": "insulation tester",
    "battery.temperature": "thermometer",
    "air.temperature": "thermometer",
    "charge.energy": "energy meter",
}
