"""What builders may say, written before any word of it was looked for: of what they saw, and of what they believe.

Half of it may be looked at while the words are worked on (:data:`WORKED_WITH`); the other half is only ever counted
(:data:`KEPT_APART`). Which is which is drawn by a seed. Beside a sentence stands all that it may rightly be taken for:
of what was seen by the codes of :data:`CODES`; of what is believed by the causes of :mod:`tests.stories.causes`, or a
mechanism's own name. One
with nothing beside it says nothing, and whoever takes it for something takes it wrongly.
"""

from __future__ import annotations

import hashlib

SEED = "which half of what is said"

CODES = {
    "start": "does not start",
    "slow": "turns slowly or heavily",
    "hardly": "turns but hardly charges",
    "promised": "less power than promised",
    "less": "gives less than it used to",
    "cuts": "charging comes and goes",
    "blade": "blade lost or broken",
    "away": "rotor ran away",
    "nostop": "does not stop when braked",
    "tail": "tail folds too early or never",
    "yaw": "faces the wrong way",
    "burn": "burning smell or no voltage",
    "hot": "something gets hot",
    "noise": "noise or shaking",
    "mast": "mast or guy failed",
    "flat": "battery flat",
    "damaged": "battery damaged",
    "high": "battery voltage too high",
    "dump": "dump load cold or always hot",
    "inverter": "inverter cuts out",
    "fuse": "fuse blown",
    "shock": "shock or a line that should be dead",
    "odd": "reading makes no sense",
}

SEEN = """
start| won't spin at all even though the flag on the barn is flapping
start| Rotor just sits there in a fresh breeze
start| needs a push by hand before it will go
start| it never gets going below about 6 m/s
start| the propeller refuses to budge
start| Doesnt rotate. Blades stay put whatever the wind
start| It will not self-start any more
start slow| the turbine hangs and only starts up in a real gale
start| stands like a statue
start| no rotation in moderate wind
slow| it turns, but like there is treacle in the bearing
slow| revolves at a snail's pace in a strong breeze
slow| heavy to turn by hand and lazy in the wind
slow| rotor feels braked with the leads off
slow| goes round very slowley even in a gale
slow| rpm stays at about half of what it ought to be
slow| sluggish, drags as if somebody held it
hardly| Spinning away merrily, ammeter shows nothing
hardly| Rotates well but no amps into the batteries
hardly| turns nicely yet the bank gets no charge
hardly| zero output although she is flying round
hardly| we get 0.2 A in a gale
hardly| charge current next to nothing with the rotor going fast
hardly| the batery is not chargeing though the mill spins
hardly| Good revs, voltage never climbs above the battery's
hardly promised| only a trickle of current whatever the weather
hardly| no juice coming down the cable, blades going like mad
promised| Makes 90 W where the plans say 300
promised| produces way less than advertised
promised| the seller swore 500 watt, we have seen 120 at best
promised| half the output I calculated
promised| yield is disapointing compared with the data sheet
promised| never got anywhere near rated power
promised| underperforming from day one
less| It used to give 10 A in this wind, now it gives 6
less| power has gone down steadily since spring
less| weaker than last winter
less| the output fell off after the storm and never came back
less| Not what it was: two thirds of the former current
less| performance has been deteriorating
cuts| charging cuts in and out every few seconds
cuts| current comes and goes
cuts| every now and then it stops charging for an hour
cuts hardly| stops charging as soon as it freezes
cuts| The ammeter drops to zero intermittently
cuts| works fine, then no charge for a while, then fine again
blade| one wing snapped off near the hub
blade| found half a blade in the neighbour's field
blade| Lost a blade last night
blade| There's a crack right across one of the blades
blade| propeller shattered
blade| tip of a blade is missing
blade| the blade root split
blade| a vane of the rotor departed and went through the greenhouse
away| went into overspeed
away| It took off and screamed, could not get near it
away| spun up like crazy when the wire came off
away| the rotor was racing out of control
away| Way too fast, frightening
away noise| howling at several times the usual revs
nostop| shorting the wires does not stop it
nostop| brake on, and still it turns
nostop| dynamic brake won't hold it in a blow
nostop| The stop switch has no effect
tail| tail never folds, even in a gale
tail| furls far too soon
tail| The vane is stuck to one side
tail| it furls at 7 m/s already and then stays folded
tail| the furling doesn't work
yaw| does not turn into the wind
yaw| points across the wind half the time
yaw| keeps facing downwind
yaw| hunts from side to side and never settles on the wind
yaw| head is stuck pointing north
burn| smoke came out of the nacelle
burn| stinks of burnt lacquer
burn| there is no voltage at all at the leads
burn| generator dead, 0 V on every pair
burn hot| the windings got charred
burn| smells scorched
hot| alternator too hot to touch
hot| the connector at the base of the mast gets warm
hot| rectifier runs very hot
hot| the wires in the shed are warm to the hand after a windy day
noise| awful rattle from up top
noise| the whole pole is wobbling
noise| grinding sound as it goes round
noise| you can feel the vibration in the house
noise| knocking once each turn
noise| It drones at night and keeps us awake
noise| squeals
noise| thumping sound
mast| tower bent over at the second guy
mast| a guy wire snapped
mast| ground anchor pulled out
mast| the tower came down
mast| pole is leaning
flat| lights dim by ten in the evening
flat| battery bank is dead every morning
flat| batteries never fully charged
flat| state of charge keeps sinking
flat| ran out of power on the third calm day
flat damaged| the battery doesn't hold a charge any more
damaged| battery case bulging
damaged| electrolyte bubbling and acid everywhere
damaged| one cell is dead
damaged| the accumulators have been ruined
high| 16.2 volts on a 12 volt battery
high| battery voltage far too high in wind
high damaged| it overcharges the batteries
dump| the dump load never comes on
dump| diversion heater is on all the time
dump| dump resistor stays cold though the battery is full
inverter| inverter shuts down when the fridge kicks in
inverter| the inverter trips on low voltage
inverter| 230 V drops out whenever the pump starts
fuse| main fuse popped
fuse| the breaker keeps tripping in gusts
fuse| fuse melted
shock| I got zapped touching the frame
shock| a tingle from the mast when it is wet
shock| the sockets were live with the main switch off
odd| multimeter jumps about and makes no sense
odd| the readings cannot be true
odd| display shows 900 W in a calm
 | it broke
 | something is wrong with it
 | Not happy with it
"""

MEANT = """
weak_magnets| the magnets have lost their strength
weak_magnets| feeble magnets
demag_heat weak_magnets demag_short| demagnetised
loose_magnets| a magnet has come off the rotor plate
phase_open| one phase is missing
phase_open| broken lead to one of the three coils groups
phase_reversed| I wired one coil group the wrong way round
winding_short| shorted turns in the stator
winding_short| burned out windings
winding_earthed| winding touches the frame
diode_short| shorted diode in the bridge
diode_open| one diode is dead
joint| bad joint in the mast box
joint| corroded connector
joint| loose terminal
joint| a crimp gone bad
cable_thin| wire gauge too small for the distance
cable_thin| losses in the long cable run
cable_thin| undersized wire
wet| moisture in the junction box
wet| rain got into the connector
slip_rings| dirty slip rings
slip_rings| worn brushes on the slip ring
cable_broken| the pendant cable twisted off
fuse_blown| the fuse blew and nobody noticed
drag| bearings are shot
drag| seized bearing
drag| worn-out bearing
drag| dry bearing, needs greasing
cogging| cogging torque too high
cogging| the magnets hold it fast at rest
too_fast| the motor needs too many rpm for 24 V
too_fast| it never reaches cut-in speed
too_fast| too few volts per rpm
too_stiff| blades are stalled by the generator
too_stiff| battery clamps the rotor too slow
belt_slips| the belt slips
field_dead| no field current
pitch| blade angle is wrong
pitch| pitch set too coarse
pitch_fine pitch| blades set too flat
backwards| blades mounted back to front
backwards| I put the blades on the wrong way round
ice| ice on the blades
ice| frozen rime on the rotor
worn_blades| leading edges are eroded
imbalance| rotor is out of balance
imbalance| unbalanced rotor
imbalance| one blade heavier than the rest
resonance| the tower resonates at that speed
fatigue| fatigue crack at the root bolts
fatigue| cracked from the screw hole
aged| UV made the PVC brittle
aged| plastic aged in the sun
overspeed| it oversped after the load was lost
overspeed| no load on it so it ran too fast
tip_strike| the blade hit the mast
tip_strike| blades flexed and struck the tower
furls_early| it furls too early
furls_early| the tail is too light
furls_never| furling does not work because tail too heavy
hinge_seized| hinge of the tail rusted solid
yaw_stiff| yaw bearing is stiff
brake_loop| resistance in the brake switch
brake_loop| brake switch contacts burnt
cold_cut| the BMS will not charge in the cold
cold_cut low_cut high_cut battery.electronics-opened| battery management system cut off
controller| charge controller set wrongly
controller| wrong set points in the regulator
dump_missing| there is no dump load
dump_small| dump load too small
worn_battery| Battery worn out
worn_battery| the batteries are old and tired
small_battery| battery is too small for what we use
starved| we use more than the wind brings
starved| sulphated plates
phantom| something draws current at night
strings| mixed old and new batteries
inverter_cable| thin leads to the inverter
inverter_surge| starting current of the pump is more than the inverter can give
wind_low| there is not enough wind here
wind_low| site is sheltered by the wood
meter_rms meter_form| meter is not true RMS
meter_battery meter_range meter_form meter_rms| the meter lies
sound| the claim was a fairy tale
 | bad luck
 | no idea
"""


def _half(words: str) -> int:
    return hashlib.sha256(f"{SEED}/{words}".encode()).digest()[0] % 2


def _read(text: str) -> list[tuple[str, tuple[str, ...]]]:
    lines = [line.partition("|") for line in text.strip("\n").splitlines()]
    return [(words.strip(), tuple(right.split())) for right, _, words in lines]


def seen(half: int) -> list[tuple[str, set[str]]]:
    """Sentences of one half on what was seen, each with the symptoms it may be taken for."""
    return [(words, {CODES[c] for c in right}) for words, right in _read(SEEN) if _half(words) == half]


def meant(half: int) -> list[tuple[str, tuple[str, ...]]]:
    """Sentences of one half on what is believed, each with the causes it may be taken for."""
    return [(words, right) for words, right in _read(MEANT) if _half(words) == half]


WORKED_WITH, KEPT_APART = 0, 1
