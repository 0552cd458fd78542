"""The catalogue of looks: what the trade looks at, listens to, feels and tries, and of what each tells.

Ways of failing are named by their ids; what a look says of one that is not known stays unused.
"""

from __future__ import annotations

from calc.machine.battery import has_lithium
from calc.mechanisms import having
from calc.mechanisms.look import CaseLook, Look, LookPlace, cheapest
from calc.quantities import LookAnswer

__all__ = ["AT_WORK", "LOOKS", "CaseLook", "Look", "LookAnswer", "LookPlace", "cheapest"]

INDOORS, GROUND, BATTERY, STOPPED, LOWERED = LookPlace
METER = ("multimeter",)


_GENERATOR = (
    Look(
        "lumpy-by-hand", "Does the rotor turn lumpily by hand, with all leads disconnected?",
        "Part all leads at the generator, turn the rotor slowly through several turns, and feel for where it sticks.",
        LOWERED, 5,
        {"generator.winding-burnt": 0.7, "rotor.too-stiff-to-start": 0.85, "generator.magnets-loose": 0.5,
         "bearing.drag": 0.25, "generator.demagnetised": 0.15},
        0.08,
    ),
    Look(
        "free-when-disconnected", "Is it hard to turn with the leads joined to the rectifier, and free with them off?",
        "Turn it by hand with everything connected, then with the leads to the rectifier disconnected, and compare.",
        LOWERED, 10,
        {"rectifier.diode-shorted": 0.95, "generator.rectifier-overvoltage": 0.85, "fuse.short-circuit": 0.6,
         "generator.winding-burnt": 0.1, "bearing.drag": 0.05, "rotor.too-stiff-to-start": 0.05},
        0.05,
    ),
    Look(
        "brakes-when-joined", "Is it hard to turn by hand when its leads are all joined together?",
        "Join all leads of the generator, turn the rotor by hand, and compare with the leads disconnected.", LOWERED, 5,
        {"generator.phase-open": 0.5, "generator.phase-reversed": 0.7, "generator.field-dead": 0.05,
         "generator.weak-magnets": 0.7, "generator.demagnetised": 0.7, "generator.winding-burnt": 0.8},
        0.95, applies=having.magnets,
    ),
    Look(
        "pair-apart", "Does one pair of leads read other than the other pairs, in ohms or AC volts at one speed?",
        "Leads off the rectifier: ohms of each pair with the rotor tied. AC volts of each pair only on the bench, the "
        "generator turned by hand or a drill at one speed.", STOPPED, 10,
        {"generator.phase-open": 0.95, "generator.phase-reversed": 0.6, "generator.winding-burnt": 0.7,
         "charging.loose-connection": 0.25, "yaw.fault": 0.35, "rectifier.diode-open": 0.05},
        0.04, METER,
    ),
    Look(
        "pair-open", "Does a pair of the generator's leads read OL, or the same as the probes held apart?",
        "Leads off the rectifier, rotor tied, lowest ohm range, each pair.", STOPPED, 10,
        {"generator.phase-open": 0.7, "yaw.fault": 0.45, "charging.loose-connection": 0.2,
         "generator.winding-burnt": 0.2, "charging.slip-rings": 0.25},
        0.02, METER,
    ),
    Look(
        "lead-to-frame", "Does any lead of the generator read less than OL to its frame, all leads disconnected?",
        "Highest ohm range between each lead and bare metal of the frame, rotor tied, all leads off.", STOPPED, 5,
        {"generator.earthed": 0.95, "generator.water": 0.55, "generator.winding-burnt": 0.35},
        0.04, METER,
    ),
    Look(
        "diode-both-ways", "Does a diode of the rectifier read low both ways on the diode test?",
        "Rectifier disconnected from battery and generator; diode test from each AC terminal to both poles, both ways.",
        STOPPED, 10,
        {"rectifier.diode-shorted": 0.95, "generator.rectifier-overvoltage": 0.8, "generator.phase-open": 0.08},
        0.02, METER,
    ),
    Look(
        "diode-neither-way", "Does a diode of the rectifier read OL both ways on the diode test?",
        "Rectifier disconnected from battery and generator; diode test from each AC terminal to both poles, both ways.",
        STOPPED, 10,
        {"rectifier.diode-open": 0.95, "generator.phase-open": 0.45, "generator.rectifier-overvoltage": 0.4},
        0.02, METER,
    ),
    Look(
        "burnt-smell", "Did it smell burnt, at the machine or at a box?",
        "Smell downwind and at the boxes without opening them; what smokes is left alone, and everybody stays away.",
        GROUND, 2,
        {"generator.winding-burnt": 0.75, "generator.demagnetised": 0.4, "generator.earthed": 0.4, "dump.failed": 0.35,
         "charging.loose-connection": 0.2, "inverter.cable": 0.15, "generator.rectifier-overvoltage": 0.35,
         "rectifier.diode-shorted": 0.3, "generator.belt-slips": 0.25},
        0.04,
    ),
    Look(
        "dark-winding", "Is the varnish of the winding dark, cracked or brittle?",
        "Open the generator or look through its vents with a lamp.", LOWERED, 15,
        {"generator.winding-burnt": 0.9, "generator.demagnetised": 0.45, "generator.earthed": 0.5},
        0.05, ("lamp",),
    ),
    Look(
        "rattles", "Does something rattle, click or scrape inside as it turns slowly?",
        "Listen in a light wind from where nothing can fall on you, or to a film made on a pole.",
        GROUND, 5,
        {"generator.magnets-loose": 0.85, "bearing.drag": 0.45, "blade.tip-strike": 0.2, "generator.field-dead": 0.1},
        0.07,
    ),
    Look(
        "magnet-holds-less", "Does a steel strip hold less firmly to the magnets than it did, or than to a new one?",
        "The strip and a spring scale at every magnet in turn, fingers away: magnets snap and crush.",
        LOWERED, 30,
        {"generator.weak-magnets": 0.7, "generator.demagnetised": 0.8, "generator.magnets-loose": 0.2},
        0.1, ("spring scale",), having.magnets,
    ),
    Look(
        "braked-hard-or-hot", "Was it braked by a short circuit at full speed, or run very hot, before it grew weak?",
        "Ask whoever was there; look through the journal.", GROUND, 2,
        {"generator.demagnetised": 0.85, "generator.winding-burnt": 0.5},
        0.15, applies=having.magnets,
    ),
    Look(
        "bearing-rough", "Is a bearing rough, or does the shaft have play?",
        "Leads off: rock the rotor up and down at a tip, then turn it with one finger on the housing.", LOWERED, 5,
        {"bearing.drag": 0.9, "vibration.imbalance": 0.25, "generator.magnets-loose": 0.3, "blade.tip-strike": 0.25},
        0.1,
    ),
    Look(
        "stops-at-once", "Spun by hand with all leads disconnected, does it stop within a turn or two?",
        "Give it a push by hand, step back, and count the turns.", LOWERED, 5,
        {"bearing.drag": 0.9, "generator.winding-burnt": 0.5, "rotor.too-stiff-to-start": 0.6,
         "generator.magnets-loose": 0.4},
        0.08,
    ),
    Look(
        "growls", "Does it growl or hum in beat with its speed as soon as it charges?",
        "Listen while it charges in a moderate wind, from where nothing can fall on you.", GROUND, 5,
        {"generator.phase-open": 0.75, "generator.phase-reversed": 0.75, "rectifier.diode-shorted": 0.6,
         "rectifier.diode-open": 0.65, "generator.winding-burnt": 0.45, "generator.magnets-loose": 0.4,
         "bearing.drag": 0.2, "vibration.resonance": 0.2},
        0.12,
    ),
    Look(
        "leads-swapped", "Were two of the three leads put back the other way round?",
        "Look at marks and colours, and in the journal. It does no harm: a rectifier takes them in any order.",
        GROUND, 2,
        {"generator.leads-swapped": 0.95},
        0.06,
    ),
    Look(
        "key-drawn", "Is a steel key drawn to the alternator's shaft while its field is switched on?",
        "Rotor tied, field switched on, a key held to the end of the shaft.", LOWERED, 5,
        {"generator.field-dead": 0.06},
        0.93, applies=having.coil,
    ),
    Look(
        "belt-squeals", "Does the belt squeal, or is there black dust around it?",
        "Listen in a good wind from the ground; look for dust under the belt once it is stopped.", GROUND, 5,
        {"generator.belt-slips": 0.85, "bearing.drag": 0.1},
        0.08, applies=having.belt,
    ),
    Look(
        "belt-loose", "Can the belt be pressed in by more than its own thickness, or turned on its pulley by hand?",
        "Rotor tied: press the belt midway between the pulleys with a thumb, never while it can turn.", LOWERED, 5,
        {"generator.belt-slips": 0.85},
        0.1, applies=having.belt,
    ),
)  # fmt: skip

_WIRES = (
    Look(
        "green-terminals", "Is a terminal or connector green, white, black or loose?",
        "Open each box between generator and battery, and look at every screw and crimp.", STOPPED, 10,
        {"charging.loose-connection": 0.8, "generator.water": 0.6, "charging.slip-rings": 0.2, "inverter.cable": 0.15,
         "inverter.low-voltage": 0.25},
        0.15,
    ),
    Look(
        "wire-moves", "Does a wire move or come out when it is tugged?",
        "Tug each wire at its terminal, all switched off and the battery's fuse taken out.", STOPPED, 10,
        {"charging.loose-connection": 0.6, "generator.phase-open": 0.25, "inverter.low-voltage": 0.15},
        0.05,
    ),
    Look(
        "warm-joint", "Is a joint clearly warmer than the cable beside it, after a windy hour?",
        "Point an infrared thermometer at each joint, or hold the back of a hand near it; touch no bare metal.",
        BATTERY, 5,
        {"charging.loose-connection": 0.8, "charging.cable-loss": 0.1, "generator.water": 0.25,
         "inverter.low-voltage": 0.2},
        0.05, ("infrared thermometer",),
    ),
    Look(
        "warm-cable", "Is the cable from the generator warm along its whole length, after a windy hour?",
        "Feel the insulation in several places, not only at its ends.", BATTERY, 3,
        {"charging.cable-loss": 0.6, "rectifier.diode-shorted": 0.2, "fuse.gust-current": 0.3},
        0.05,
    ),
    Look(
        "water-inside", "Is there water, mud or rust in a box or connector?",
        "Open the boxes after rain, and look for drops and tide marks.", STOPPED, 10,
        {"generator.water": 0.9, "charging.loose-connection": 0.25, "generator.earthed": 0.3, "bearing.drag": 0.15},
        0.08,
    ),
    Look(
        "worse-in-rain", "Is it clearly worse during or after rain?",
        "Compare wet days with dry ones of like wind.", GROUND, 2,
        {"generator.water": 0.85, "generator.earthed": 0.5, "charging.loose-connection": 0.25,
         "charging.slip-rings": 0.3},
        0.08,
    ),
    Look(
        "comes-and-goes", "Does the current come and go, or jump as the head turns or the mast is tapped?",
        "Watch the current of the battery for some minutes of steady wind.", BATTERY, 10,
        {"charging.loose-connection": 0.65, "charging.slip-rings": 0.85, "yaw.fault": 0.4, "site.turbulent": 0.4},
        0.12,
    ),
    Look(
        "rings-pitted", "Are the slip rings black, pitted or greasy, or the brushes worn down?",
        "Take off the cover of the rings.", LOWERED, 15,
        {"charging.slip-rings": 0.85, "charging.loose-connection": 0.3},
        0.1,
    ),
    Look(
        "cable-twisted", "Is the cable in the mast wound up or pulled tight?",
        "Look at its lower end, and count the turns; unwind it only with the rotor stopped.", STOPPED, 5,
        {"yaw.fault": 0.7, "fuse.short-circuit": 0.3, "generator.phase-open": 0.2},
        0.12,
    ),
    Look(
        "cable-chafed", "Is the cable chafed, pinched or bare somewhere?",
        "Follow it from the head to the battery; what lies bare is not touched before all sources are off.",
        LOWERED, 20,
        {"fuse.short-circuit": 0.75, "generator.earthed": 0.2, "yaw.fault": 0.35, "generator.water": 0.15},
        0.05,
    ),
    Look(
        "fuse-open", "Is a fuse blown or a breaker off?",
        "Rotor stopped first: with its fuse open it has no load. Look at the fuse's window, or read ohms across it "
        "once it is taken out.", STOPPED, 3,
        {"fuse.gust-current": 0.97, "fuse.inverter-start": 0.97, "fuse.short-circuit": 0.97, "rotor.overspeed": 0.4,
         "rectifier.diode-shorted": 0.3},
        0.03,
    ),
    Look(
        "fuse-sprayed", "Is the blown fuse black or sprayed inside, not melted through in the middle?",
        "Hold it against the light.", INDOORS, 2,
        {"fuse.short-circuit": 0.85, "fuse.gust-current": 0.1, "fuse.inverter-start": 0.25},
        0.1,
    ),
    Look(
        "blew-at-a-start", "Did the fuse blow just as something started?",
        "Ask whoever was in the house.", GROUND, 2,
        {"fuse.inverter-start": 0.9, "fuse.gust-current": 0.05, "fuse.short-circuit": 0.15},
        0.05,
        asked=True,
    ),
    Look(
        "blew-in-a-gust", "Did the fuse blow in a strong wind or a gust?",
        "Ask whoever was there; compare with the wind of that day.", INDOORS, 2,
        {"fuse.gust-current": 0.9, "fuse.inverter-start": 0.2, "fuse.short-circuit": 0.3},
        0.2,
        asked=True,
    ),
    Look(
        "switch-stops-it", "Does the brake switch bring the rotor to a crawl in a light wind?",
        "Close the switch in a light wind and watch from outside the circle in which pieces can fall.", GROUND, 3,
        {"brake.does-not-hold": 0.08, "generator.phase-open": 0.5, "generator.weak-magnets": 0.6,
         "generator.demagnetised": 0.6, "rotor.overspeed": 0.6, "yaw.fault": 0.5},
        0.93, applies=having.shorting_switch,
    ),
    Look(
        "switch-dark", "Are the brake switch's contacts or terminals dark, or its leads thin or long?",
        "Rotor stopped by something else than this switch, and tied; then open it.", STOPPED, 10,
        {"brake.does-not-hold": 0.8},
        0.1, applies=having.shorting_switch,
    ),
    Look(
        "two-supplies", "Is the inverter's output joined to the house's wiring by a plug or by hand?",
        "Look without touching, and ask an electrician: such a line can be live at its bare pins.", GROUND, 5,
        {"house.back-feed": 0.92},
        0.03, applies=having.inverter,
    ),
)  # fmt: skip

_ROTOR = (
    Look(
        "blade-angle-off", "Do the blades stand at another angle than drawn, by a gauge?",
        "A gauge cut from card for one station, held to every blade.", LOWERED, 20,
        {"blade.wrong-angle": 0.92, "vibration.imbalance": 0.2, "blade.back-to-front": 0.3},
        0.06, ("gauge",),
    ),
    Look(
        "rounded-edge-behind", "Does the rounded, thicker edge follow the sharp one as it turns?",
        "Look from the ground while it turns slowly, or at a photo of it.", GROUND, 3,
        {"blade.back-to-front": 0.95},
        0.01,
    ),
    Look(
        "hollow-side-away", "Does the round (low-pressure) side of the blades look into the wind?",
        "The flat or hollow side belongs to the wind, the round side behind. Look from upwind, or at a photo.",
        GROUND, 3,
        {"blade.back-to-front": 0.8},
        0.02,
    ),
    Look(
        "ice", "Is there ice, hoar frost or wet snow on the blades?",
        "Look from far off: ice is thrown. Nobody knocks it off or stands below.", GROUND, 2,
        {"blade.ice": 0.95, "vibration.imbalance": 0.06},
        0.02, ("binoculars",),
    ),
    Look(
        "edges-worn", "Are the leading edges rough, chipped, furred or full of flies?",
        "Look along the edges with binoculars at the stopped rotor.", STOPPED, 5,
        {"blade.worn": 0.88, "blade.brittle": 0.35, "blade.root-torn": 0.15},
        0.12, ("binoculars",),
    ),
    Look(
        "blades-differ", "Do the blades differ in mass or in where they balance?",
        "Blades off: weigh each, and balance each across an edge.", LOWERED, 45,
        {"vibration.imbalance": 0.85, "vibration.resonance": 0.2},
        0.15, ("kitchen scale",),
    ),
    Look(
        "same-blade-down", "Does the rotor come to rest with the same blade down every time, leads disconnected?",
        "Turn it gently by hand in a calm, five times.", LOWERED, 10,
        {"vibration.imbalance": 0.8, "vibration.resonance": 0.15, "bearing.drag": 0.1},
        0.12,
    ),
    Look(
        "tips-apart", "Seen from the side, do the tips run in different planes?",
        "Look along the rotor from the side, or film it.", GROUND, 5,
        {"vibration.imbalance": 0.4, "blade.wrong-angle": 0.35, "blade.brittle": 0.1, "bearing.drag": 0.1},
        0.06,
    ),
    Look(
        "shakes-at-one-speed", "Does it shake at one speed only, and calm down above it?",
        "Watch from a distance while the wind rises; stop it if it gets worse.", GROUND, 15,
        {"vibration.resonance": 0.9, "vibration.imbalance": 0.3, "mast.overload": 0.15},
        0.1,
    ),
    Look(
        "shakes-more-with-speed", "Does the shaking grow with speed all the way?",
        "Watch from a distance while the wind rises; stop it if it gets worse.", GROUND, 15,
        {"vibration.imbalance": 0.85, "vibration.resonance": 0.1, "bearing.drag": 0.4, "blade.ice": 0.3},
        0.12,
    ),
    Look(
        "broke-at-bolt", "Did the blade break at a bolt hole or along the line of bolts?",
        "Collect the pieces and photograph them before they are cleaned.", GROUND, 5,
        {"blade.root-torn": 0.85, "rotor.overspeed": 0.45, "blade.brittle": 0.35, "blade.tip-strike": 0.1},
        0.1,
    ),
    Look(
        "ribs-in-break", "Has the break a smooth, ribbed or dirty part beside a fresh one?",
        "Look at the broken face with a lens, in low light from the side.", GROUND, 5,
        {"blade.root-torn": 0.65, "rotor.overspeed": 0.1, "blade.tip-strike": 0.08, "blade.brittle": 0.25},
        0.08, ("lens",),
    ),
    Look(
        "holes-long", "Are bolt holes in the blades drawn long, or bolts loose?",
        "Look at the roots, and try each bolt with a spanner.", LOWERED, 10,
        {"blade.root-torn": 0.6, "vibration.imbalance": 0.3, "rotor.overspeed": 0.2},
        0.08,
    ),
    Look(
        "sliver-snaps", "Does a sliver of the blade snap instead of bending?",
        "Bend a sliver of the broken blade with pliers, in glasses, at the temperature of the day.", GROUND, 5,
        {"blade.brittle": 0.9, "blade.root-torn": 0.15},
        0.1, ("pliers",),
    ),
    Look(
        "chalky", "Are the blades chalky, yellow or finely cracked on the side to the sun?",
        "Rub them with a dark cloth, or look at a broken piece.", LOWERED, 3,
        {"blade.brittle": 0.85, "blade.worn": 0.3},
        0.15,
    ),
    Look(
        "marks-on-mast", "Are there marks of a blade on the mast, or is a tip split?",
        "Look at the mast at the height of the tips, and at the tips of all pieces.", GROUND, 5,
        {"blade.tip-strike": 0.92, "blade.brittle": 0.03, "rotor.overspeed": 0.15},
        0.03, ("binoculars",),
    ),
    Look(
        "ran-without-load", "Had it lost its load when it ran fast: fuse open, switch off, battery cut off?",
        "Ask whoever was there; look at fuses, switches and the battery's electronics once it stands.", GROUND, 5,
        {"rotor.overspeed": 0.8, "battery.electronics-opened": 0.7, "battery.cut-off-high": 0.7, "dump.failed": 0.3,
         "blade.root-torn": 0.15, "blade.brittle": 0.15, "furling.never": 0.1, "furling.seized": 0.1,
         "generator.rectifier-overvoltage": 0.7, "fuse.gust-current": 0.3},
        0.1,
    ),
    Look(
        "slow-in-good-wind", "Does it turn sluggishly in a wind that keeps branches moving?",
        "Count the turns of one blade in half a minute, from the ground.", GROUND, 5,
        {"charging.stalled": 0.85, "rectifier.diode-shorted": 0.85, "bearing.drag": 0.7, "blade.back-to-front": 0.75,
         "blade.wrong-angle": 0.6, "generator.winding-burnt": 0.5, "blade.ice": 0.6, "blade.worn": 0.3,
         "site.wind-low": 0.3, "site.turbulent": 0.3, "rotor.too-stiff-to-start": 0.5, "furling.early": 0.6,
         "yaw.fault": 0.5, "generator.weak-magnets": 0.05, "charging.loose-connection": 0.05,
         "generator.phase-open": 0.1, "charging.never-reached": 0.25},
        0.2, ("watch",),
    ),
    Look(
        "fast-without-charge", "Does it turn fast in a good wind while hardly any current flows?",
        "Look at the rotor and at the ammeter at one moment; one that races is stopped by your routine.", GROUND, 5,
        {"generator.weak-magnets": 0.75, "generator.demagnetised": 0.75, "charging.loose-connection": 0.75,
         "charging.slip-rings": 0.75, "generator.phase-open": 0.6, "generator.field-dead": 0.85,
         "generator.belt-slips": 0.8, "fuse.gust-current": 0.85, "charging.cable-loss": 0.55,
         "battery.electronics-opened": 0.6, "battery.cut-off-cold": 0.8, "battery.cut-off-high": 0.8,
         "charging.never-reached": 0.5, "charging.stalled": 0.03, "rectifier.diode-shorted": 0.04, "yaw.fault": 0.25,
         "bearing.drag": 0.04, "generator.phase-reversed": 0.5, "rectifier.diode-open": 0.4, "reading.wrong": 0.3,
         "blade.wrong-angle": 0.2},
        0.12,
    ),
    Look(
        "starts-by-itself", "Does it start by itself in a fresh breeze?",
        "Watch from the ground; nobody pushes a blade on a mast.", GROUND, 10,
        {"rotor.too-stiff-to-start": 0.1, "bearing.drag": 0.35, "rectifier.diode-shorted": 0.15,
         "blade.back-to-front": 0.35, "blade.wrong-angle": 0.5, "blade.ice": 0.3, "site.wind-low": 0.5,
         "generator.winding-burnt": 0.5, "generator.magnets-loose": 0.5, "yaw.fault": 0.6},
        0.92,
    ),
)  # fmt: skip

_HEAD = (
    Look(
        "tail-folded", "Does the tail stand folded in an ordinary wind?",
        "Look from below, in a wind in which it should face it.", GROUND, 5,
        {"furling.early": 0.85, "furling.seized": 0.5, "yaw.fault": 0.15},
        0.04,
    ),
    Look(
        "tail-never-folds", "Does the tail stay straight in a wind in which it should fold?",
        "Look from far off; in a storm stay away.", GROUND, 10,
        {"furling.never": 0.88, "furling.seized": 0.6, "rotor.overspeed": 0.35, "generator.winding-burnt": 0.3},
        0.15,
    ),
    Look(
        "tail-stiff", "Does the tail's hinge move hard or not at all by hand?",
        "Swing the tail by hand, and keep fingers out of its stops.", LOWERED, 5,
        {"furling.seized": 0.92, "furling.never": 0.3},
        0.08,
    ),
    Look(
        "head-across", "Does the head stand across the wind, or turn away from it for minutes?",
        "Compare it with a ribbon on a pole, in several winds.", GROUND, 10,
        {"yaw.fault": 0.88, "furling.early": 0.5, "furling.seized": 0.4, "site.turbulent": 0.35},
        0.07, ("ribbon",),
    ),
    Look(
        "head-stiff", "Does the head turn hard or gritty on the mast by hand?",
        "Turn the whole head by hand, the rotor tied.", LOWERED, 5,
        {"yaw.fault": 0.75, "furling.early": 0.1},
        0.08,
    ),
    Look(
        "mast-leans", "Does the mast lean, or has it a bend or a dent?",
        "Hold a plumb line at arm's length, from two sides.", GROUND, 5,
        {"mast.overload": 0.85, "yaw.fault": 0.3, "blade.tip-strike": 0.15, "vibration.resonance": 0.1},
        0.1, ("plumb line",),
    ),
    Look(
        "guys-slack", "Is a guy slack, or an anchor lifted or moved?",
        "Walk from anchor to anchor and press each guy; loosen nothing.", GROUND, 10,
        {"mast.overload": 0.7, "vibration.resonance": 0.4, "vibration.imbalance": 0.2},
        0.1,
    ),
)  # fmt: skip

_BATTERY = (
    Look(
        "cut-off-cold", "Did the battery's electronics show a fault, or stop charging, while the battery was cold?",
        "Read its lamps or display on a cold morning.", BATTERY, 5,
        {"battery.cut-off-cold": 0.88, "battery.electronics-opened": 0.35},
        0.03, applies=having.lithium_cells,
    ),
    Look(
        "cut-off-full", "Did the battery's electronics switch off as it got full?",
        "Read its lamps or display on a windy day.", BATTERY, 5,
        {"battery.cut-off-high": 0.88, "battery.electronics-opened": 0.35, "dump.failed": 0.15},
        0.04, applies=having.lithium_cells,
    ),
    Look(
        "terminals-dead", "Is there no voltage at the battery's terminals though its cells hold some?",
        "Meter at the terminals; then read what the electronics show of the cells. Open no battery.", BATTERY, 5,
        {"battery.cut-off-low": 0.9, "battery.electronics-opened": 0.6, "battery.cut-off-high": 0.3,
         "battery.cut-off-cold": 0.3},
        0.02, METER, has_lithium,
    ),
    Look(
        "cut-off-at-start", "Did the battery switch itself off as something heavy started?",
        "Ask whoever was there, or read the electronics' display.", BATTERY, 3,
        {"battery.electronics-opened": 0.85, "inverter.surge": 0.1, "inverter.low-voltage": 0.1},
        0.04, applies=having.lithium_cells,
    ),
    Look(
        "dump-runs-early", "Does the dump load get hot while the battery is far from full?",
        "Feel the air above it, not the load itself: it burns skin; read the battery's volts at that moment.",
        BATTERY, 5,
        {"controller.set-wrongly": 0.85, "battery.strings-uneven": 0.1, "battery.starved": 0.1},
        0.04, applies=having.dump,
    ),
    Look(
        "dump-warm-when-full", "Is the battery at its charging voltage, and the dump load warm in that wind?",
        "Read the battery's volts, and feel the air above the load, not the load itself: it burns skin.", BATTERY, 5,
        {"sound.battery-full": 0.9, "controller.set-wrongly": 0.3, "sound.too-much-expected": 0.4},
        0.12, applies=having.dump,
    ),
    Look(
        "dump-cold-when-full", "Does the dump load stay cold with the battery full and wind blowing?",
        "Feel the air above it, not the load itself.", BATTERY, 5,
        {"dump.failed": 0.9, "controller.set-wrongly": 0.5, "battery.overcharged": 0.65},
        0.06, applies=having.dump,
    ),
    Look(
        "gassing", "Does the battery gas hard, lose water or have wet tops?",
        "Listen and look with glasses on, no flame, doors open.", BATTERY, 5,
        {"battery.overcharged": 0.85, "dump.failed": 0.6, "battery.strings-uneven": 0.25,
         "controller.set-wrongly": 0.35, "battery.worn": 0.2},
        0.12, applies=having.lead_cells,
    ),
    Look(
        "case-bulged", "Is the battery's case bulged, split or warped?",
        "Look only; one that is bulged is neither charged nor moved before somebody who knows it has seen it.",
        BATTERY, 3,
        {"battery.frozen": 0.85, "battery.overcharged": 0.25, "battery.worn": 0.1},
        0.03,
    ),
    Look(
        "sinks-fast", "Does the voltage sink within minutes under a small load, after a long charge?",
        "Switch on one lamp and read the volts for ten minutes.", BATTERY, 15,
        {"battery.worn": 0.9, "battery.strings-uneven": 0.45, "battery.starved": 0.55, "battery.frozen": 0.6,
         "battery.too-small": 0.25, "battery.overcharged": 0.4},
        0.08, METER,
    ),
    Look(
        "never-full", "Has the battery not been full for weeks?",
        "Read it at rest in the morning after a windy day.", BATTERY, 5,
        {"battery.starved": 0.9, "load.phantom": 0.65, "controller.set-wrongly": 0.55, "battery.too-small": 0.15,
         "site.wind-low": 0.75, "generator.field-drains": 0.6},
        0.25,
    ),
    Look(
        "full-then-flat", "Does it get full in wind, and is it flat after one or two calm nights?",
        "Read it at rest on a windy evening and on the morning after.", BATTERY, 5,
        {"battery.too-small": 0.85, "battery.worn": 0.7, "load.phantom": 0.45, "battery.starved": 0.1,
         "generator.field-drains": 0.4, "site.wind-low": 0.15},
        0.15,
    ),
    Look(
        "drains-when-off", "Does current leave the battery in a calm with everything switched off?",
        "Clamp meter at the battery, all loads off, the rotor standing.", BATTERY, 5,
        {"load.phantom": 0.92, "generator.field-drains": 0.88, "generator.driven-by-battery": 0.95,
         "rectifier.diode-shorted": 0.4, "fuse.short-circuit": 0.05},
        0.08, ("clamp meter",),
    ),
    Look(
        "turns-in-a-calm", "Does the rotor turn on slowly and steadily in a dead calm, as if something drove it?",
        "Watch it from the ground on a still evening, smoke or a leaf telling that there is no wind.", GROUND, 5,
        {"generator.driven-by-battery": 0.85},
        0.03, applies=having.brushes,
    ),
    Look(
        "string-apart", "Is one battery or string warmer, or at another voltage, than its neighbours?",
        "Read each battery at rest and while it charges, and compare.", BATTERY, 10,
        {"battery.strings-uneven": 0.88, "battery.worn": 0.45, "battery.frozen": 0.2,
         "charging.loose-connection": 0.15},
        0.1, METER,
    ),
)  # fmt: skip

_INVERTER = (
    Look(
        "inverter-leads", "Are the inverter's leads thin or long, or warm at the lugs after a heavy load?",
        "Feel the insulation at both ends; touch no bare lug.", BATTERY, 5,
        {"inverter.cable": 0.85, "inverter.low-voltage": 0.6, "charging.loose-connection": 0.1},
        0.08, applies=having.inverter,
    ),
    Look(
        "trips-at-start", "Does the inverter trip only as something starts?",
        "Watch what runs as it trips.", INDOORS, 5,
        {"inverter.surge": 0.88, "inverter.low-voltage": 0.75, "inverter.cable": 0.75,
         "battery.electronics-opened": 0.6, "house.back-feed": 0.1, "battery.worn": 0.6},
        0.15, applies=having.inverter,
    ),
    Look(
        "trips-when-full", "Does it trip with a full battery, too?",
        "Try the same start on a windy day.", INDOORS, 10,
        {"inverter.surge": 0.92, "inverter.cable": 0.7, "inverter.low-voltage": 0.35, "battery.starved": 0.08,
         "battery.worn": 0.4, "house.back-feed": 0.8},
        0.3, applies=having.inverter,
    ),
    Look(
        "inverter-says-low", "Does the inverter show low battery as it trips, and not overload?",
        "Read its lamp or display, or the table of its beeps.", INDOORS, 3,
        {"inverter.low-voltage": 0.92, "inverter.cable": 0.9, "battery.worn": 0.85, "battery.starved": 0.85,
         "inverter.surge": 0.08, "house.back-feed": 0.05, "battery.electronics-opened": 0.35},
        0.3, applies=having.inverter,
    ),
)  # fmt: skip

_AROUND = (
    Look(
        "sheltered", "Do trees, houses or a hill stand upwind, as high as the rotor or within 150 m of it?",
        "Walk around the mast, and look from rotor height if there is a window.", GROUND, 10,
        {"site.turbulent": 0.9, "site.wind-low": 0.7, "site.wind-overestimated": 0.6},
        0.3,
    ),
    Look(
        "ribbon-swings", "Does a ribbon on a pole swing about or drop every few seconds in a steady breeze?",
        "A ribbon on a long pole, held near the height of the rotor, well clear of it and of wires.", GROUND, 15,
        {"site.turbulent": 0.85, "yaw.fault": 0.2},
        0.2, ("ribbon",),
    ),
    Look(
        "wind-from-elsewhere", "Was the wind taken from an app, a forecast or a station, not at the rotor?",
        "Look where the figure came from, and at what height it holds.", GROUND, 3,
        {"site.wind-overestimated": 0.92, "site.wind-low": 0.5, "sound.too-much-expected": 0.6, "claim.too-high": 0.45},
        0.35,
    ),
    Look(
        "meter-low", "Does the meter show its low-battery sign?",
        "Look at its display; put in a new battery and read again.", INDOORS, 2,
        {"reading.meter-battery": 0.9, "reading.wrong": 0.3},
        0.03, METER,
    ),
    Look(
        "second-meter", "Does another meter read something clearly else?",
        "Both at one moment at the same two points.", BATTERY, 10,
        {"reading.meter-battery": 0.9, "reading.wrong": 0.6, "reading.not-true-rms": 0.7, "reading.wrong-range": 0.5},
        0.04, METER,
    ),
    Look(
        "wrong-jack", "Was the meter on AC instead of DC, on another range, or in another jack than meant?",
        "Look at switch and jacks, and repeat the reading.", INDOORS, 2,
        {"reading.wrong-range": 0.92, "reading.wrong": 0.5, "reading.not-true-rms": 0.3},
        0.04, METER,
    ),
    Look(
        "read-unloaded", "Were the volts read with nothing connected, or at another moment than the amperes?",
        "Ask whoever read them.", INDOORS, 2,
        {"reading.wrong": 0.8, "claim.too-high": 0.2},
        0.12,
        asked=True,
    ),
    Look(
        "all-as-it-should", "Does it start, turn and sound as it should, with nothing to find?",
        "Half an hour of watching it in a good wind.", GROUND, 30,
        {"sound.too-much-expected": 0.92, "sound.battery-full": 0.92, "claim.too-high": 0.9,
         "site.wind-low": 0.8, "charging.never-reached": 0.8,
         "site.wind-overestimated": 0.85, "charging.cable-loss": 0.7, "charging.stalled": 0.55,
         "generator.leads-swapped": 0.92, "generator.weak-magnets": 0.6, "generator.demagnetised": 0.5,
         "reading.wrong": 0.85, "reading.meter-battery": 0.9, "reading.wrong-range": 0.9,
         "reading.not-true-rms": 0.9, "load.phantom": 0.8,
         "battery.too-small": 0.8, "battery.starved": 0.7, "battery.worn": 0.75, "site.turbulent": 0.2},
        0.15,
    ),
)  # fmt: skip

_ALL = (*_GENERATOR, *_WIRES, *_ROTOR, *_HEAD, *_BATTERY, *_INVERTER, *_AROUND)
LOOKS: dict[str, Look] = {look.name: look for look in _ALL}
#: Looks at a machine at work: of one that is broken or gone they cannot be taken.
AT_WORK = frozenset({
    "fast-without-charge", "slow-in-good-wind", "starts-by-itself", "growls", "stops-at-once", "comes-and-goes",
    "turns-in-a-calm", "tail-folded", "tail-never-folds", "head-across", "shakes-at-one-speed",
    "shakes-more-with-speed",
    "warm-joint", "warm-cable", "all-as-it-should", "switch-stops-it", "dump-runs-early", "dump-cold-when-full",
    "dump-warm-when-full", "belt-squeals", "cut-off-cold", "cut-off-full",
})  # fmt: skip
