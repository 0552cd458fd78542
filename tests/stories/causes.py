"""The true causes of the stories: each a change of the physical machine, what is read and seen of it, what settles it.

Readings are written as what is read and, behind it, how: ``load=nothing`` (or battery, loads, dump, short), ``rpm=300``
on the bench, ``watts=`` what an inverter gives, ``meter=`` what is wrong with the reading. The words are the trade's
own; what the program calls such things stands in one other file.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from tests.stories.bridge import Pattern
from tests.stories.simulator import Plant, changed

Change = Callable[[Plant], Plant]


@dataclass(frozen=True)
class Cause:
    """One true cause.

    ``change`` makes it; ``design`` says that the sheet tells of it, because it was built so. ``everyday`` is what most
    people read, ``decisive`` what tells; ``seen`` what is seen or felt where it is so; ``settles`` the cheapest look or
    reading that would settle it.
    """

    words: str
    change: Change
    everyday: tuple[str, ...]
    decisive: tuple[str, ...]
    seen: tuple[str, ...]
    settles: str
    design: bool = False


#: What can be looked at without a number, as one would ask.
LOOKS = {
    "lumpy": "Does the shaft turn lumpily by hand, all leads parted?",
    "free_when_parted": "Does the rotor turn freely once all its leads are parted?",
    "brakes_when_joined": "Is the shaft hard to turn while all leads are joined?",
    "pair_apart": "Does one pair of leads read other than the rest?",
    "pair_open": "Does a pair of leads read OL?",
    "diode_bad": "Does a diode read the same both ways on the diode test?",
    "diode_open": "Does a diode read OL both ways on the diode test?",
    "burnt": "Does it smell burnt, or is the winding dark?",
    "rattles": "Does something rattle or scrape inside as it is turned?",
    "magnet_weak": "Does a steel bar hold less firmly to the magnets than to a new one?",
    "bearing_rough": "Is the bearing rough, or has it play?",
    "green": "Are terminals green, white or black?",
    "warm_joint": "Is a joint warm after a windy hour?",
    "warm_cable": "Is the cable warm after a windy hour?",
    "wet": "Is there water in a box or connector?",
    "rings_dirty": "Are slip rings black or pitted?",
    "twisted": "Is the cable twisted up in the mast?",
    "angle_off": "Do the blades stand at another angle than drawn, by a gauge?",
    "round_edge_behind": "Does the rounded edge go behind the sharp one as it turns?",
    "ice": "Is there ice or hoar frost on the blades?",
    "blade_dull": "Are the blades' edges rough, chipped or furred?",
    "weights_differ": "Do the blades differ in weight or balance?",
    "one_speed": "Does it shake at one speed only, and calm down above?",
    "grows": "Does the shaking grow with speed all the way?",
    "crack_at_bolt": "Did the break begin at a bolt hole, with smooth ribs in it?",
    "brittle": "Does a sliver of the blade snap instead of bending?",
    "chalky": "Are the blades chalky or yellow on the sun's side?",
    "tip_marks": "Are there marks of a blade on the mast?",
    "tail_folded": "Does the tail stand folded in an ordinary wind?",
    "tail_stiff": "Does the tail fail to move freely on its hinge by hand?",
    "head_stiff": "Does the head stay across the wind, and turn hard by hand?",
    "switch_burnt": "Are the brake switch's contacts dark, or its leads long and thin?",
    "fuse_blown": "Is a fuse blown?",
    "off_cold": "Did the battery's electronics show a fault, with the battery cold?",
    "off_high": "Did the battery's electronics cut off as it got full?",
    "off_low": "Is there nothing at the battery's terminals though its cells hold volts?",
    "dumps_early": "Does the dump load run while the battery is far from full?",
    "dump_cold": "Does the dump load stay cold with the battery full and wind blowing?",
    "gassing": "Does the battery gas hard or lose water?",
    "sinks": "Does the voltage sink within minutes under a small load?",
    "never_full": "Has the battery not been full for weeks?",
    "draws_at_night": "Does current leave the battery with all switched off?",
    "string_warm": "Is one string or battery warmer, or at another voltage, than its neighbours?",
    "inverter_lugs": "Are the inverter's leads thin, long or warm at the lugs?",
    "trips_at_start": "Does the inverter trip only as something starts?",
    "belt_dust": "Is there black dust by the belt, or does it squeal?",
    "field_dead": "Is the shaft not drawn to a steel key with the field switched on?",
    "sheltered": "Do trees or houses stand upwind, higher than the rotor or near?",
    "meter_low": "Does the meter show its low-battery sign?",
    "second_meter": "Does another meter read something else?",
    "wrong_jack": "Was the meter on AC, on another range or in another jack than meant?",
    "smooth": "Does it turn smoothly, quietly and at once, all as it should?",
}


def to(**values: object) -> Change:
    """A change that sets values."""
    return lambda p: changed(p, **values)


def by(**factors: float) -> Change:
    """A change that multiplies values."""
    return lambda p: changed(p, **{k: getattr(p, k) * f for k, f in factors.items()})


def pattern(**of: object) -> Change:
    """A change of winding or rectifier."""
    return lambda p: changed(p, pattern=replace(p.pattern, **of))  # type: ignore[arg-type]


def _corroded(p: Plant) -> Plant:
    # Eight tenths of an ohm and more; where volts are many, a joint must be worse before anybody notices.
    return changed(p, joint=1.1 + 3.0 * p.r_ll)


def _shorted_turns(p: Plant) -> Plant:
    return changed(p, pattern=Pattern(gains=(1.0, 1.0, 0.8)), short_turns=0.055 * p.ke**2 / p.r_ll, r_ll=0.94 * p.r_ll)


def _hung(p: Plant) -> Plant:
    return changed(p, cogging=6.0 * p.cogging + 0.35 * p.radius**3, drag=2.0 * p.drag)


def _dragging(p: Plant) -> Plant:
    return changed(p, drag=p.drag + 0.4 * p.radius**3, cogging=p.cogging + 0.3 * p.radius**3)


SPIN = ("generator.open_voltage load=nothing rpm=300", "generator.emf", "generator.resistance")
CHARGING = ("battery.voltage", "charge.current")
PAIRS = ("ac.pair1 rpm=200", "ac.pair2 rpm=200", "ac.pair3 rpm=200")
OHMS = ("ohm.pair1", "ohm.pair2", "ohm.pair3")
C = Cause
CAUSES: dict[str, Cause] = {
    "weak_magnets": C(
        "magnets weaker than told",
        by(ke=0.55),
        CHARGING,
        (*SPIN, "rotor.speed"),
        ("magnet_weak",),
        "spin it at a known speed with nothing connected and read the volts",
    ),
    "demag_heat": C(
        "magnets weakened by heat",
        by(ke=0.6),
        (*CHARGING, "generator.temperature"),
        SPIN,
        ("burnt", "magnet_weak"),
        "spin test against the one from before it ran hot",
    ),
    "demag_short": C(
        "magnets weakened by braking hard on a short circuit",
        by(ke=0.6),
        CHARGING,
        SPIN,
        ("magnet_weak",),
        "spin test against the one from before it was braked in the gale",
    ),
    "loose_magnets": C(
        "magnets come loose and scrape",
        lambda p: changed(_dragging(p), ke=0.92 * p.ke),
        CHARGING,
        ("rotor.speed", "turning.torque", *PAIRS),
        ("rattles", "lumpy"),
        "turn it by hand and listen: it scrapes",
    ),
    "phase_open": C(
        "one phase open",
        pattern(leads=(True, True, False)),
        CHARGING,
        (*OHMS, *PAIRS, "rotor.speed"),
        ("pair_apart", "pair_open"),
        "ohms between each pair of leads: two pairs read OL",
    ),
    "phase_reversed": C(
        "one phase the wrong way round",
        pattern(gains=(1.0, 1.0, -1.0)),
        CHARGING,
        (*PAIRS, *OHMS, "rotor.speed"),
        ("pair_apart",),
        "AC volts of each pair at one speed: one is 1.7 times the other two",
    ),
    "winding_short": C(
        "shorted turns in the winding",
        _shorted_turns,
        (*CHARGING, "rotor.speed"),
        (*OHMS, *PAIRS, "generator.temperature", "turning.torque"),
        ("lumpy", "pair_apart", "burnt"),
        "turn it by hand with all leads parted: it is lumpy",
    ),
    "winding_earthed": C(
        "winding touches the frame",
        lambda p: changed(p, leak=25.0 * p.r_ll),
        CHARGING,
        ("insulation",),
        ("burnt",),
        "ohms from a lead to the frame with all leads parted",
    ),
    "diode_short": C(
        "a diode of the rectifier shorted",
        pattern(upper=("short", "ok", "ok")),
        ("rotor.speed", "charge.current"),
        ("generator.emf", "generator.resistance", "rotor.speed load=nothing"),
        ("free_when_parted", "diode_bad", "lumpy"),
        "part the leads: it turns freely; then the diode test",
    ),
    "diode_open": C(
        "a diode of the rectifier open",
        pattern(upper=("open", "ok", "ok"), lower=("open", "ok", "ok")),
        CHARGING,
        (*PAIRS, "generator.emf", "generator.loaded_voltage", "rotor.speed"),
        ("diode_open",),
        "the diode test: one reads OL both ways",
    ),
    "joint": C(
        "a corroded joint",
        _corroded,
        (*CHARGING, "generator.loaded_voltage"),
        ("cable.drop", "charge.current", "rotor.speed"),
        ("green", "warm_joint"),
        "volts at both ends of the cable at one moment; feel each joint",
    ),
    "cable_thin": C(
        "cable too thin for its length",
        by(cable_r=16.0),
        (*CHARGING, "generator.loaded_voltage"),
        ("cable.drop", "charge.current", "rotor.speed"),
        ("warm_cable",),
        "volts at both ends at one moment",
        design=True,
    ),
    "wet": C(
        "wet connectors that leak",
        lambda p: changed(p, leak=p.volts / (0.06 * p.volts / p.r_ll), joint=0.12),
        CHARGING,
        ("insulation", "cable.drop", "rotor.speed"),
        ("wet", "green"),
        "open the box after rain",
    ),
    "slip_rings": C(
        "dirty slip rings",
        lambda p: changed(p, joint=0.5 + 2.0 * p.r_ll),
        (*CHARGING, "generator.loaded_voltage"),
        ("cable.drop", "ohm.rings"),
        ("rings_dirty",),
        "ohms through rings and brushes while the head is turned",
    ),
    "cable_broken": C(
        "a conductor broken in the twisted cable",
        to(fuse_blown=True),
        ("rotor.speed", "charge.current"),
        ("generator.open_voltage load=nothing", "ohm.cable"),
        ("twisted",),
        "volts at the foot of the mast, then ohms from end to end",
    ),
    "fuse_blown": C(
        "the fuse in the generator's cable blew",
        to(fuse_blown=True),
        ("rotor.speed", "charge.current"),
        ("generator.open_voltage load=nothing",),
        ("fuse_blown",),
        "look at the fuse, with the rotor braked",
    ),
    "drag": C(
        "a dry, rusted bearing drags",
        _dragging,
        (*CHARGING, "rotor.speed"),
        ("turning.torque", "generator.emf"),
        ("bearing_rough",),
        "turn it by hand with all leads parted: rough, and it stops at once",
    ),
    "cogging": C(
        "the generator cogs more than the blades can start",
        _hung,
        ("rotor.speed",),
        ("turning.torque", "generator.emf"),
        ("lumpy",),
        "a weight on a blade: what it takes to move from the worst place",
    ),
    "too_fast": C(
        "a generator too fast for the battery's voltage",
        by(ke=0.34, r_ll=0.8),
        CHARGING,
        ("rotor.speed", *SPIN),
        ("smooth",),
        "volts at a known speed, and the speed in the wind",
        design=True,
    ),
    "too_stiff": C(
        "a generator too slow and stiff for the rotor, which stalls",
        by(ke=1.9, r_ll=0.35),
        (*CHARGING, "rotor.speed"),
        ("rotor.speed load=nothing", "generator.emf", "generator.resistance"),
        ("smooth",),
        "speed in one wind with and without the battery",
        design=True,
    ),
    "belt_slips": C(
        "the belt slips",
        to(belt=0.4),
        (*CHARGING, "rotor.speed"),
        ("rotor.speed", "generator.speed", "generator.emf"),
        ("belt_dust",),
        "speed of both pulleys in a good wind",
    ),
    "field_dead": C(
        "the alternator's field is not fed",
        by(ke=0.06),
        (*CHARGING, "rotor.speed"),
        ("field.current", "generator.open_voltage load=nothing"),
        ("field_dead",),
        "volts across the slip rings' brushes",
    ),
    "field_drains": C(
        "the field coil drains the battery in calms",
        by(field_current=1.2),
        ("battery.voltage",),
        ("night.current",),
        ("draws_at_night",),
        "current out of the battery in a calm",
        design=True,
    ),
    "pitch": C(
        "blades mounted 10 degrees too coarse",
        to(pitch=10.0),
        (*CHARGING, "rotor.speed"),
        ("pitch.gauge", "rotor.speed load=nothing", "generator.emf"),
        ("angle_off",),
        "a gauge at the blade's station",
    ),
    "pitch_fine": C(
        "blades mounted 9 degrees too fine",
        to(pitch=-9.0),
        ("rotor.speed", "charge.current"),
        ("pitch.gauge", "rotor.speed load=nothing", "generator.emf"),
        ("angle_off",),
        "a gauge at the blade's station",
    ),
    "backwards": C(
        "blades on back to front",
        to(backwards=True),
        (*CHARGING, "rotor.speed"),
        ("rotor.speed load=nothing", "generator.emf"),
        ("round_edge_behind",),
        "look which edge leads",
    ),
    "ice": C(
        "ice on the blades",
        to(ice=0.7),
        (*CHARGING, "air.temperature"),
        ("rotor.speed", "rotor.speed load=nothing"),
        ("ice",),
        "look at the blades against the sky",
    ),
    "worn_blades": C(
        "blades rough and worn at the leading edge",
        to(roughness=0.6),
        CHARGING,
        ("rotor.speed", "rotor.speed load=nothing", "generator.emf"),
        ("blade_dull",),
        "look along the leading edge",
    ),
    "imbalance": C(
        "rotor out of balance",
        to(unbalance=0.05),
        ("rotor.speed",),
        ("blade.mass n=1", "blade.mass n=2", "blade.mass n=3", "vibration.frequency", "shake.strength"),
        ("weights_differ", "grows"),
        "weigh the blades and balance each on an edge",
    ),
    "resonance": C(
        "the mast's own frequency met by the rotor",
        by(mast_hz=1.0),
        ("rotor.speed",),
        ("vibration.frequency", "mast.frequency", "shake.strength"),
        ("one_speed",),
        "count the shakes at the bad speed, then pull the mast by a rope and count its own",
    ),
    "fatigue": C(
        "fatigue at a bolt hole",
        to(),
        ("run.hours",),
        ("blade.mass", "rotor.speed"),
        ("crack_at_bolt",),
        "look at the broken face with a glass: smooth ribs from a hole",
    ),
    "aged": C(
        "plastic made brittle by sun and frost",
        to(),
        ("air.temperature",),
        ("blade.age",),
        ("brittle", "chalky"),
        "bend a sliver of it",
    ),
    "overspeed": C(
        "it ran away with nothing to load it",
        to(fuse_blown=True),
        ("rotor.speed",),
        ("blade.thrown", "generator.open_voltage load=nothing"),
        ("fuse_blown",),
        "what was open: fuse, switch, cable; how far the piece flew",
    ),
    "tip_strike": C(
        "a blade bent into the mast",
        to(),
        ("wind.speed",),
        ("blade.clearance",),
        ("tip_marks",),
        "look for marks on mast and tip",
    ),
    "furls_early": C(
        "the tail furls too early",
        by(furl=0.45),
        (*CHARGING, "rotor.speed"),
        ("tail.angle", "rotor.speed load=nothing"),
        ("tail_folded",),
        "watch the tail in a steady breeze",
    ),
    "furls_never": C(
        "the tail never furls",
        to(furl=float("inf")),
        ("rotor.speed",),
        ("tail.angle", "charge.current", "generator.temperature"),
        ("burnt",),
        "watch the tail in a strong wind",
    ),
    "hinge_seized": C(
        "the tail's hinge is seized",
        to(furl=float("inf")),
        ("rotor.speed",),
        ("hinge.friction", "tail.angle", "charge.current"),
        ("tail_stiff",),
        "lower it and swing the tail by hand",
    ),
    "stuck_folded": C(
        "the tail hangs folded since the gale",
        to(yaw=55.0),
        (*CHARGING, "rotor.speed"),
        ("tail.angle", "rotor.speed load=nothing"),
        ("tail_folded", "tail_stiff"),
        "look at the tail in a light wind",
    ),
    "yaw_stiff": C(
        "the head does not turn into the wind",
        to(yaw=50.0),
        (*CHARGING, "rotor.speed"),
        ("yaw.angle", "yaw.friction"),
        ("head_stiff",),
        "watch it as the wind changes; turn it by hand in a calm",
    ),
    "brake_loop": C(
        "resistance in the brake's loop",
        to(brake_r=1.5),
        ("rotor.speed load=short",),
        ("stop.time", "ohm.brake", "generator.short_current load=short"),
        ("switch_burnt",),
        "ohms through the closed switch from lead to lead",
    ),
    "cold_cut": C(
        "the battery's electronics block charging in the cold",
        to(cut="cold"),
        ("battery.voltage", "air.temperature"),
        ("battery.temperature", "charge.current", "rotor.speed"),
        ("off_cold",),
        "the battery's temperature, and its app",
    ),
    "high_cut": C(
        "the battery's electronics cut off at full charge",
        to(cut="high", soc=0.98, fuse_blown=False),
        ("battery.voltage", "charge.current"),
        ("cells.highest", "rotor.speed"),
        ("off_high",),
        "the highest cell at the moment of cutting off",
    ),
    "low_cut": C(
        "the battery's electronics cut off as it was empty",
        to(cut="low", soc=0.02, dump=0.0, hold=float("inf")),
        ("battery.voltage", "charge.current"),
        ("cells.lowest",),
        ("off_low",),
        "volts of the cells behind the electronics",
    ),
    "controller": C(
        "the controller is set too low",
        by(hold=0.86),
        ("battery.voltage", "charge.current"),
        ("set.voltage", "dump.current", "battery.density"),
        ("dumps_early",),
        "battery volts at the moment the dump load comes on",
    ),
    "dump_missing": C(
        "no dump load: the battery is overcharged",
        to(dump=0.0, hold=float("inf"), soc=1.0),
        ("battery.voltage",),
        ("battery.density", "charge.current"),
        ("gassing", "dump_cold"),
        "battery volts at full charge in wind",
        design=True,
    ),
    "dump_small": C(
        "the dump load is too small",
        lambda p: changed(p, dump=0.12 * p.dump, soc=1.0),
        ("battery.voltage",),
        ("dump.current", "charge.current"),
        ("gassing",),
        "dump current against charge current in a good wind",
        design=True,
    ),
    "worn_battery": C(
        "the battery is worn out",
        to(health=0.35),
        ("battery.voltage",),
        ("battery.voltage load=loads", "battery.rest", "capacity.test"),
        ("sinks",),
        "a timed discharge into a known load",
    ),
    "small_battery": C(
        "battery too small for the loads",
        by(capacity=0.3),
        ("battery.voltage", "load.power"),
        ("capacity.test", "load.energy", "charge.energy"),
        ("sinks",),
        "a day's watt-hours against the battery's",
        design=True,
    ),
    "starved": C(
        "the wheel gives less than is used: never full",
        by(loads=2.5),
        ("battery.voltage", "load.power"),
        ("charge.energy", "battery.density", "load.energy"),
        ("never_full",),
        "watt-hours in and out over a week",
        design=True,
    ),
    "phantom": C(
        "something draws day and night",
        to(phantom=14.0),
        ("battery.voltage",),
        ("night.current", "load.power"),
        ("draws_at_night",),
        "current out of the battery with all switched off",
    ),
    "strings": C(
        "strings of the bank not alike",
        to(health=0.6),
        ("battery.voltage",),
        ("string.difference", "string.current"),
        ("string_warm",),
        "volts of each battery, and amps of each string",
    ),
    "inverter_cable": C(
        "inverter leads too thin, or a bad lug",
        by(inverter_r=45.0),
        ("battery.voltage", "load.power"),
        ("inverter.input_voltage watts=0.7", "battery.under_load watts=0.7"),
        ("inverter_lugs",),
        "volts at battery and inverter at one moment under load",
    ),
    "inverter_surge": C(
        "the start of a motor is more than the inverter gives",
        to(surge_need=2.8),
        ("battery.voltage", "load.power"),
        ("inverter.input_voltage watts=0.5", "surge.power"),
        ("trips_at_start",),
        "start the motor alone on another supply",
    ),
    "wind_low": C(
        "the wind at the rotor is less than thought",
        to(),
        (*CHARGING, "rotor.speed"),
        ("wind.speed", "generator.emf", "generator.resistance"),
        ("sheltered", "smooth"),
        "an anemometer at the hub for a week",
    ),
    "meter_rms": C(
        "a meter that is not true RMS read chopped current",
        to(),
        ("battery.voltage", "charge.current meter=average"),
        ("charge.current", "rotor.speed", *SPIN),
        ("second_meter", "smooth"),
        "read it with a true RMS or DC clamp beside it",
    ),
    "meter_range": C(
        "the meter stood on a wrong range",
        to(),
        ("generator.resistance meter=range", "generator.open_voltage load=nothing rpm=300"),
        ("generator.resistance", "charge.current"),
        ("wrong_jack", "smooth"),
        "join the probes: what it reads then is its own",
    ),
    "meter_battery": C(
        "the meter's battery is weak, so it reads high",
        to(),
        ("battery.voltage meter=weak", "charge.current"),
        ("battery.voltage", "rotor.speed"),
        ("meter_low", "second_meter"),
        "read a fresh 9 V battery with it",
    ),
    "meter_form": C(
        "line, phase and rectified voltage taken for each other",
        to(),
        ("generator.open_voltage load=nothing rpm=300 meter=phase",),
        SPIN,
        ("wrong_jack", "smooth"),
        "read AC and DC at one speed and compare",
    ),
    "sound": C(
        "sound: more was expected of it than such a machine gives",
        to(),
        (*CHARGING, "rotor.speed"),
        (*SPIN, "cable.drop"),
        ("smooth", "free_when_parted"),
        "compare what it gives with what is normal in that wind",
    ),
}
