"""What else happens to the generator: phases, diodes, turns, magnets, its belt and its field coil."""

from __future__ import annotations

from calc.finding import COMMON_PRACTICE
from calc.machine.battery import has_battery
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.generator import BELT, COIL, TOOTHED
from calc.machine.inputs import Inputs
from calc.mechanisms import altering
from calc.mechanisms.base import FLAT, HARDLY, LESS, NO_VOLTAGE, SHAKING, Correction, Mechanism, by_eye


def _three(x: Inputs) -> bool:
    return x.maybe(Sheet.generator.phases) == "three-phase"


def _bridged(x: Inputs) -> bool:
    return x.maybe(Sheet.generator.phases) != "DC with brushes"


def _coil(x: Inputs) -> bool:
    return x.maybe(Sheet.generator.field) == COIL


def _magnets(x: Inputs) -> bool:
    return not _coil(x)


def _belt(x: Inputs) -> bool:
    return x.maybe(Sheet.generator.drive) in (BELT, TOOTHED)


MECHANISMS = (
    Mechanism(
        "generator.phase-reversed",
        "One phase of the winding connected the wrong way round",
        (SHAKING, LESS, HARDLY, "gives less than it used to"),
        by_eye("A reversed phase shows in the AC volts of each pair of leads at one speed, which were not read"),
        (COMMON_PRACTICE,),
        (Correction("swap the two ends of that phase"),),
        applies=_three,
        look="AC volts of each pair of leads at one speed: one pair has 1.7 times that of the other two.",
        alters=(altering.phase_reversed,),
    ),
    Mechanism(
        "rectifier.diode-open",
        "A diode of the rectifier open",
        (SHAKING, LESS, HARDLY, "gives less than it used to", "something gets hot"),
        by_eye("A diode is told by a meter's diode test, the rotor tied and its leads parted"),
        (COMMON_PRACTICE,),
        (Correction("a new rectifier with reserve, well cooled",
                    (Sheet.generator.rectifier_voltage, Sheet.generator.rectifier_current)),),
        applies=_bridged,
        look="Diode test from each AC terminal to both poles: one reads OL both ways.",
        alters=(altering.diode_open,),
    ),
    Mechanism(
        "rectifier.diode-shorted",
        "A diode of the rectifier shorted: it brakes the rotor",
        (HARDLY, LESS, "does not start", "turns slowly or heavily", "gives less than it used to",
         "something gets hot"),
        by_eye("A diode is told by a meter's diode test, the rotor tied and its leads parted"),
        (COMMON_PRACTICE,),
        (Correction("a new rectifier with reserve, well cooled",
                    (Sheet.generator.rectifier_voltage, Sheet.generator.rectifier_current)),),
        applies=_bridged,
        look="Stiff with the leads joined to the rectifier, free once they are parted; the diode reads low both ways.",
        alters=(altering.diode_shorted,),
    ),
    Mechanism(
        "generator.earthed",
        "Winding touches the frame",
        (LESS, HARDLY, "shock or a line that should be dead", SHAKING, "gives less than it used to",
         "something gets hot"),
        by_eye("A winding that touches the frame shows in megohms between a lead and the frame, which were not read"),
        (COMMON_PRACTICE,),
        (Correction("a new winding, dry and varnished"),),
        look="Any reading but OL between a lead and bare metal of the frame, all leads parted. Touch no live mast.",
        alters=(altering.earthed,),
    ),
    Mechanism(
        "generator.magnets-loose",
        "Magnets come loose, or scrape",
        (SHAKING, LESS, "does not start", "turns slowly or heavily", "gives less than it used to"),
        by_eye("Nothing on record says whether a magnet is loose; turn it by hand and listen"),
        (COMMON_PRACTICE,),
        (Correction("magnets glued, banded and the gap set anew"),),
        applies=_magnets,
        look="Turned slowly by hand, with the leads parted, it scrapes or clicks once a turn.",
        alters=(altering.loose_magnets,),
    ),
    Mechanism(
        "generator.demagnetised",
        "Magnets weakened by heat, or by a hard short circuit",
        (LESS, HARDLY, NO_VOLTAGE, "gives less than it used to", "does not stop when braked", "something gets hot"),
        by_eye("A spin test now, beside the one from before, tells whether the magnets lost anything"),
        (COMMON_PRACTICE,),
        (Correction("new magnets of a better class for heat, and a tail that folds earlier", (Sheet.rotor.limit_wind,)),
         Correction("a brake for light winds only, or resistance in its loop", (Sheet.rotor.brake,))),
        applies=_magnets,
        look="Was it run hot, or braked hard in a gale, just before it gave less?",
        alters=(altering.demagnetised,),
        kin="magnets",
    ),
    Mechanism(
        "generator.leads-swapped",
        "Two leads swapped at the rectifier: harmless, it gives the same either way",
        (LESS, HARDLY),
        by_eye("Three leads may come to a rectifier in any order: direct current leaves it all the same"),
        (COMMON_PRACTICE,),
        (Correction("nothing: leave it as it is"),),
        applies=_three,
        look="Swap any two of the three leads back and compare: nothing changes.",
        harmless=True,
    ),
    Mechanism(
        "generator.belt-slips",
        "The belt slips",
        (HARDLY, LESS, SHAKING, "gives less than it used to", "charging comes and goes"),
        by_eye("A slipping belt shows in the speeds of both pulleys at one moment, which were not read"),
        (COMMON_PRACTICE,),
        (Correction("the belt tightened or a broader one", (Sheet.generator.drive,)),),
        applies=_belt,
        look="Black dust by the pulleys, a squeal in gusts, a belt that can be pushed in far.",
        alters=(altering.belt_slips,),
    ),
    Mechanism(
        "generator.field-dead",
        "The field coil is not fed",
        (HARDLY, NO_VOLTAGE, "charging comes and goes"),
        by_eye("Whether the field coil is fed shows in the volts at its brushes, which were not read"),
        (COMMON_PRACTICE,),
        (Correction("brushes, rings and the feed of the field seen to", (Sheet.generator.field_supply,)),),
        applies=_coil,
        look="Is the shaft drawn to a steel key with the field switched on?",
        alters=(altering.field_dead,),
    ),
    Mechanism(
        "generator.field-drains",
        "The field coil draws from the battery in calms",
        (FLAT,),
        by_eye("What leaves the battery in a calm, all switched off, was not read"),
        (COMMON_PRACTICE,),
        (Correction("a relay or a speed switch that feeds the field only in wind", (Sheet.generator.field_supply,)),),
        applies=lambda x: _coil(x) and has_battery(x) and str(x.maybe(Sheet.generator.field_supply)) == "always on",
        look="Current out of the battery in a calm, all loads off; it stops when the field is parted.",
    ),
    Mechanism(
        "charging.slip-rings",
        "Dirty or worn slip rings",
        (LESS, HARDLY, "gives less than it used to", "charging comes and goes"),
        by_eye("What the rings lose shows in ohms through them while the head is turned, which were not read"),
        (COMMON_PRACTICE,),
        (Correction("rings cleaned, brushes renewed, a cover against rain"),),
        applies=has_battery,
        look="Rings black, pitted or greasy; a current that jumps as the head turns.",
        alters=(altering.slip_rings,),
    ),
)  # fmt: skip
