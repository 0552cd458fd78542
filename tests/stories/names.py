"""What the program calls the causes, symptoms and readings of the stories: the only file that knows its names.

Written after all stories were. A cause for which the program has no way of failing yet has no name here, and its
stories are counted as missed; a reading that the journal cannot take yet is kept in the story for later, and so is what
is seen and felt, by :data:`tests.stories.looks.LOOKS`.
"""

from __future__ import annotations

from dataclasses import dataclass, field

#: Ways of failing that name a cause; any of them is right.
CAUSES: dict[str, tuple[str, ...]] = {
    "weak_magnets": ("generator.weak-magnets", "generator.demagnetised"),
    "demag_heat": ("generator.demagnetised", "generator.weak-magnets"),
    "demag_short": ("generator.demagnetised", "generator.weak-magnets"),
    "loose_magnets": ("generator.magnets-loose",),
    "phase_open": ("generator.phase-open",),
    "phase_reversed": ("generator.phase-reversed",),
    "winding_short": ("generator.winding-burnt",),
    "winding_earthed": ("generator.earthed",),
    "diode_short": ("rectifier.diode-shorted",),
    "diode_open": ("rectifier.diode-open",),
    "joint": ("charging.loose-connection",),
    "cable_thin": ("charging.cable-loss",),
    "wet": ("generator.water",),
    "slip_rings": ("charging.slip-rings", "charging.loose-connection"),
    "cable_broken": ("yaw.fault",),
    "fuse_blown": ("fuse.gust-current",),
    "drag": ("bearing.drag",),
    "cogging": ("rotor.too-stiff-to-start",),
    "too_fast": ("charging.never-reached",),
    "too_stiff": ("charging.stalled",),
    "belt_slips": ("generator.belt-slips",),
    "field_dead": ("generator.field-dead",),
    "field_drains": ("generator.field-drains",),
    "pitch": ("blade.wrong-angle",),
    "pitch_fine": ("blade.wrong-angle",),
    "backwards": ("blade.back-to-front",),
    "ice": ("blade.ice",),
    "worn_blades": ("blade.worn",),
    "imbalance": ("vibration.imbalance",),
    "resonance": ("vibration.resonance",),
    "fatigue": ("blade.root-torn",),
    "aged": ("blade.brittle",),
    "overspeed": ("rotor.overspeed",),
    "tip_strike": ("blade.tip-strike",),
    "furls_early": ("furling.early",),
    "furls_never": ("furling.never",),
    "hinge_seized": ("furling.seized",),
    "stuck_folded": ("furling.seized",),
    "yaw_stiff": ("yaw.fault",),
    "brake_loop": ("brake.does-not-hold",),
    "cold_cut": ("battery.cut-off-cold",),
    "high_cut": ("battery.cut-off-high",),
    "low_cut": ("battery.cut-off-low",),
    "controller": ("controller.set-wrongly",),
    "dump_missing": ("battery.overcharged", "dump.failed"),
    "dump_small": ("dump.failed", "battery.overcharged"),
    "worn_battery": ("battery.worn",),
    "small_battery": ("battery.too-small",),
    "starved": ("battery.starved",),
    "phantom": ("load.phantom",),
    "strings": ("battery.strings-uneven",),
    "inverter_cable": ("inverter.cable",),
    "inverter_surge": ("inverter.surge",),
    "wind_low": ("site.wind-low", "site.wind-overestimated"),
    "meter_rms": ("reading.not-true-rms",),
    "meter_range": ("reading.wrong-range",),
    "meter_battery": ("reading.meter-battery",),
    "meter_form": ("reading.wrong",),
    "sound": ("sound.too-much-expected", "claim.too-high"),
    "leads_swapped": ("generator.leads-swapped",),
}
#: What is true besides, as cause or consequence: to support it accuses nobody falsely.
BESIDES: dict[str, tuple[str, ...]] = {
    "fuse_blown": ("rotor.overspeed",),
    "cable_broken": ("rotor.overspeed", "charging.loose-connection"),
    "overspeed": ("fuse.gust-current",),
    "wet": ("charging.loose-connection",),
    "furls_never": ("rotor.overspeed", "generator.winding-burnt"),
    "hinge_seized": ("rotor.overspeed", "generator.winding-burnt"),
    "stuck_folded": ("yaw.fault",),
    "brake_loop": ("charging.loose-connection",),
    "demag_heat": ("generator.winding-burnt",),
    "small_battery": ("battery.starved",),
    "phantom": ("battery.starved",),
    "field_drains": ("battery.starved",),
    "controller": ("battery.starved",),
    "cold_cut": ("dump.failed",),
    "too_fast": ("claim.too-high",),
    "too_stiff": ("claim.too-high",),
    "cable_thin": ("claim.too-high",),
    "wind_low": ("claim.too-high",),
    "aged": ("blade.root-torn",),
}
#: What somebody picks from the list who is asked, first; any of them is taken rightly.
SYMPTOMS: dict[str, tuple[str, ...]] = {
    "no_charge": ("turns but hardly charges", "less power than promised"),
    "less": ("less power than promised", "gives less than it used to", "turns but hardly charges"),
    "no_start": ("does not start",),
    "slow": ("turns slowly or heavily", "less power than promised", "turns but hardly charges", "does not start"),
    "runaway": ("rotor ran away",),
    "no_stop": ("does not stop when braked", "rotor ran away"),
    "shakes": ("noise or shaking",),
    "hum": ("noise or shaking", "less power than promised", "turns but hardly charges", "gives less than it used to"),
    "noise": ("noise or shaking", "less power than promised"),
    "broke": ("blade lost or broken",),
    "flat": ("battery flat",),
    "boil": ("battery damaged", "battery voltage too high"),
    "trips": ("inverter cuts out",),
    "hot": ("something gets hot", "burning smell or no voltage", "less power than promised"),
    "cuts": ("charging comes and goes", "turns but hardly charges"),
    "odd": ("reading makes no sense", "less power than promised"),
}
#: What the words of such a story may also be taken for.
SEEN_TOO: dict[str, tuple[str, ...]] = {
    "yaw_stiff": ("faces the wrong way",),
    "furls_early": ("faces the wrong way", "tail folds too early or never"),
    "furls_never": ("tail folds too early or never",),
    "hinge_seized": ("tail folds too early or never",),
    "stuck_folded": ("faces the wrong way", "tail folds too early or never", "turns slowly or heavily"),
    "joint": ("something gets hot",),
    "wet": ("charging comes and goes",),
    "slip_rings": ("charging comes and goes",),
    "controller": ("battery flat",),
    "dump_small": ("dump load cold or always hot",),
    "dump_missing": ("dump load cold or always hot",),
    "backwards": ("turns slowly or heavily", "noise or shaking"),
    "pitch": ("turns slowly or heavily",),
    "drag": ("turns slowly or heavily",),
    "fuse_blown": ("rotor ran away", "fuse blown"),
    "cable_broken": ("rotor ran away",),
    "overspeed": ("rotor ran away", "fuse blown"),
    "diode_short": ("does not start",),
    "demag_heat": ("burning smell or no voltage", "something gets hot"),
    "winding_short": ("burning smell or no voltage", "something gets hot"),
    "winding_earthed": ("shock or a line that should be dead", "noise or shaking"),
    "loose_magnets": ("noise or shaking",),
    "worn_blades": ("noise or shaking",),
    "cold_cut": ("turns but hardly charges", "charging comes and goes"),
    "low_cut": ("battery flat", "battery damaged", "turns but hardly charges"),
    "worn_battery": ("battery damaged",),
    "strings": ("battery damaged",),
}


@dataclass(frozen=True)
class Taken:
    """How the journal takes a reading: its quantity, and what is said beside it."""

    quantity: str
    beside: dict[str, str] = field(default_factory=dict)


#: Readings that the journal takes under another name than the stories', or cannot take yet.
READINGS: dict[str, Taken | None] = {
    "battery.rest": Taken(
        "battery.voltage", {"load_state": "nothing connected", "conditions": "after a night at rest"}
    ),
    "battery.under_load": Taken(
        "battery.voltage", {"load_state": "battery and loads", "conditions": "the inverter at work"}
    ),
    "ohm.pair1": Taken("generator.resistance", {"where": "leads 1 and 2"}),
    "ohm.pair2": Taken("generator.resistance", {"where": "leads 2 and 3"}),
    "ohm.pair3": Taken("generator.resistance", {"where": "leads 3 and 1"}),
    "night.current": Taken("battery.night_current"),
    "ac.pair1": Taken("generator.ac_voltage", {"where": "leads 1 and 2"}),
    "ac.pair2": Taken("generator.ac_voltage", {"where": "leads 2 and 3"}),
    "ac.pair3": Taken("generator.ac_voltage", {"where": "leads 3 and 1"}),
    "insulation": Taken("generator.frame_resistance"),
    "turning.torque": Taken("generator.turning_torque"),
    "generator.speed": Taken("generator.shaft_speed"),
    "field.current": Taken("generator.field_current"),
    "ohm.rings": Taken("cable.end_to_end", {"where": "through rings and brushes"}),
    "ohm.cable": Taken("cable.end_to_end", {"where": "the cable from end to end"}),
    "ohm.brake": Taken("brake.loop_resistance"),
    "pitch.gauge": Taken("blade.gauge_angle"),
    "blade.clearance": Taken("blade.tip_clearance"),
    "yaw.angle": Taken("yaw.off_wind"),
    "tail.angle": Taken("tail.fold_angle"),
    "mast.frequency": Taken("mast.own_frequency"),
    "dump.current": Taken("controller.dump_current"),
    "set.voltage": Taken("controller.set_voltage"),
    "load.energy": Taken("load.daily_energy"),
    "capacity.test": Taken("battery.tested_capacity"),
    "string.difference": Taken("battery.string_difference"),
    "string.current": Taken("battery.string_current"),
    "surge.power": Taken("load.start_power"),
    **dict.fromkeys(("blade.age", "hinge.friction", "yaw.friction", "shake.strength", "cells.highest", "cells.lowest")),
}
#: What the program calls the stories' looks; any of them asks the same.
LOOKS: dict[str, tuple[str, ...]] = {
    "lumpy": ("lumpy-by-hand",),
    "free_when_parted": ("free-when-disconnected",),
    "brakes_when_joined": ("brakes-when-joined",),
    "pair_apart": ("pair-apart",),
    "pair_open": ("pair-open",),
    "diode_bad": ("diode-both-ways",),
    "diode_open": ("diode-neither-way",),
    "burnt": ("burnt-smell", "dark-winding"),
    "rattles": ("rattles",),
    "magnet_weak": ("magnet-holds-less",),
    "bearing_rough": ("bearing-rough",),
    "green": ("green-terminals",),
    "warm_joint": ("warm-joint",),
    "warm_cable": ("warm-cable",),
    "wet": ("water-inside",),
    "rings_dirty": ("rings-pitted",),
    "twisted": ("cable-twisted",),
    "angle_off": ("blade-angle-off",),
    "round_edge_behind": ("rounded-edge-behind",),
    "ice": ("ice",),
    "blade_dull": ("edges-worn",),
    "weights_differ": ("blades-differ",),
    "one_speed": ("shakes-at-one-speed",),
    "grows": ("shakes-more-with-speed",),
    "crack_at_bolt": ("broke-at-bolt", "ribs-in-break"),
    "brittle": ("sliver-snaps",),
    "chalky": ("chalky",),
    "tip_marks": ("marks-on-mast",),
    "tail_folded": ("tail-folded",),
    "tail_stiff": ("tail-stiff",),
    "head_stiff": ("head-across", "head-stiff"),
    "switch_burnt": ("switch-dark",),
    "fuse_blown": ("fuse-open",),
    "off_cold": ("cut-off-cold",),
    "off_high": ("cut-off-full",),
    "off_low": ("terminals-dead",),
    "dumps_early": ("dump-runs-early",),
    "dump_cold": ("dump-cold-when-full",),
    "gassing": ("gassing",),
    "sinks": ("sinks-fast",),
    "never_full": ("never-full",),
    "draws_at_night": ("drains-when-off",),
    "string_warm": ("string-apart",),
    "inverter_lugs": ("inverter-leads",),
    "trips_at_start": ("trips-at-start",),
    "belt_dust": ("belt-squeals",),
    "field_dead": ("key-drawn",),
    "sheltered": ("sheltered",),
    "meter_low": ("meter-low",),
    "second_meter": ("second-meter",),
    "wrong_jack": ("wrong-jack",),
    "smooth": ("all-as-it-should",),
}
#: Looks that the program asks the other way round: yes there is no here.
TURNED = frozenset({"key-drawn"})
#: How a reading that the program asks for is taken, where the plain name of the quantity is not enough.
ASKED: dict[str, str] = {
    "generator.open_voltage": "generator.open_voltage load=nothing rpm=300",
    "generator.short_current": "generator.short_current load=short",
    "inverter.input_voltage": "inverter.input_voltage watts=0.7",
    "generator.ac_voltage": "ac.pair1 rpm=200;ac.pair2 rpm=200;ac.pair3 rpm=200",
    "generator.frame_resistance": "insulation",
    "generator.turning_torque": "turning.torque",
    "generator.shaft_speed": "generator.speed",
    "generator.field_current": "field.current",
    "brake.loop_resistance": "ohm.brake",
    "controller.dump_current": "dump.current",
    "controller.set_voltage": "set.voltage",
    "battery.night_current": "night.current",
    "battery.string_difference": "string.difference",
    "battery.tested_capacity": "capacity.test",
    "load.daily_energy": "load.energy",
    "blade.gauge_angle": "pitch.gauge",
    "tail.fold_angle": "tail.angle",
    "yaw.off_wind": "yaw.angle",
    "mast.own_frequency": "mast.frequency",
}


def true_names(causes: tuple[str, ...]) -> set[str]:
    """Ways of failing that are right for a story."""
    return {name for key in causes for name in CAUSES[key]}


def not_false(causes: tuple[str, ...]) -> set[str]:
    """Ways of failing that are right, or come with what is."""
    return true_names(causes) | {name for key in causes for name in BESIDES.get(key, ())}


def symptoms_meant(symptom: str, causes: tuple[str, ...]) -> set[str]:
    """Symptoms for which a story's words are taken rightly."""
    return {*SYMPTOMS[symptom], *(name for key in causes for name in SEEN_TOO.get(key, ()))}


def look_answer(key: str, so: bool | None, asked: str | None = None) -> tuple[str, str] | None:
    """The program's look and answer for what a story tells was found; None where it does not ask that."""
    name = asked or next(iter(LOOKS.get(key, ())), None)
    if name is None:
        return None
    if so is None:
        return name, "cannot tell"
    return name, "yes" if so is not (name in TURNED) else "no"
