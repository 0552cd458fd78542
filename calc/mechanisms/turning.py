"""What else keeps a rotor from turning as it should: its blades, the tail, the brake, and what shakes with it."""

from __future__ import annotations

from calc.finding import COMMON_PRACTICE
from calc.machine.catalogue import Sheet
from calc.mechanisms import altering, having
from calc.mechanisms.base import HARDLY, LESS, NO_VOLTAGE, SHAKING, Correction, Mechanism, by_eye

STARTS, AWAY = "does not start", "rotor ran away"


MECHANISMS = (
    Mechanism(
        "blade.wrong-angle",
        "Blades mounted at the wrong angle",
        (LESS, HARDLY, STARTS, "turns slowly or heavily"),
        by_eye("The angle at which the blades stand was not measured; a gauge of card tells"),
        (COMMON_PRACTICE,),
        (Correction("set by a gauge at one station, all alike", (Sheet.blade.mounting_angle,)),),
        look="A gauge cut for one station, held to every blade, the mast lowered.",
        alters=(altering.blade_angle,),
    ),
    Mechanism(
        "blade.back-to-front",
        "Blades on back to front, or turning the wrong way round",
        (LESS, HARDLY, STARTS, SHAKING, "turns slowly or heavily"),
        by_eye("Nothing on record says which edge leads; look which one does"),
        (COMMON_PRACTICE,),
        (Correction("turned round: the thick edge ahead, the flat side to the wind", (Sheet.blade.mounting_angle,)),),
        look="The rounded edge must go ahead of the sharp one, and the flat or hollow side look into the wind.",
        alters=(altering.back_to_front,),
    ),
    Mechanism(
        "blade.ice",
        "Ice on the blades",
        (LESS, HARDLY, STARTS, SHAKING, "turns slowly or heavily", "gives less than it used to"),
        by_eye("Nothing on record tells of ice; look at the blades from far off"),
        (COMMON_PRACTICE,),
        (Correction("stop it, keep everybody away, and let it thaw: ice is thrown far"),),
        look="Look at the blades against the sky, from where no ice can be thrown.",
        alters=(altering.ice,),
    ),
    Mechanism(
        "blade.worn",
        "Blades rough or worn at the leading edge, or dirty",
        (LESS, HARDLY, SHAKING, "turns slowly or heavily", "gives less than it used to"),
        by_eye("Nothing on record tells of worn edges; look along them"),
        (COMMON_PRACTICE,),
        (Correction("filled, sanded and taped edges, or new blades"),),
        look="Chipped, furred or rough leading edges, seen along the blade with the rotor stopped.",
        alters=(altering.worn,),
    ),
    Mechanism(
        "furling.early",
        "The tail folds too early",
        (LESS, HARDLY, "faces the wrong way", "gives less than it used to", "charging comes and goes",
         "tail folds too early or never"),
        by_eye("The wind in which the tail folds was not watched"),
        (COMMON_PRACTICE,),
        (Correction("a heavier or longer tail, or a steeper hinge", (Sheet.rotor.limit_wind,)),),
        applies=having.tail,
        look="Does the tail stand folded in a wind in which it should stand straight?",
        alters=(altering.folds_early,),
    ),
    Mechanism(
        "furling.never",
        "The tail never folds",
        (AWAY, NO_VOLTAGE, "blade lost or broken", "mast or guy failed", "tail folds too early or never",
         "something gets hot"),
        by_eye("Whether the tail folds in a strong wind was not watched"),
        (COMMON_PRACTICE,),
        (Correction("a lighter tail, or the rotor set further off the mast's axis", (Sheet.rotor.limit_wind,)),),
        applies=having.tail,
        look="From far off: does the tail stay straight in a wind in which it should fold? In a storm stay away.",
        alters=(altering.never_folds,),
    ),
    Mechanism(
        "furling.seized",
        "The tail's hinge is seized, straight or folded",
        (AWAY, HARDLY, LESS, "faces the wrong way", "turns slowly or heavily", "gives less than it used to",
         "tail folds too early or never", "something gets hot"),
        by_eye("Whether the hinge moves was not tried"),
        (COMMON_PRACTICE,),
        (Correction("hinge cleaned, greased, and stopped from binding"),),
        applies=having.tail,
        look="With the mast lowered swing the tail by hand: it must fall back by itself.",
        alters=(altering.seized_straight, altering.stuck_folded),
    ),
    Mechanism(
        "brake.does-not-hold",
        "The brake switch does not hold: resistance in its loop",
        (AWAY, "turns slowly or heavily", "gives less than it used to", "does not stop when braked",
         "something gets hot"),
        by_eye("The ohms through the closed switch and the time to stop were not read"),
        (COMMON_PRACTICE,),
        (Correction("a switch for the current, close to the generator, thick short leads",
                    (Sheet.rotor.brake, Sheet.protection.brake_current)),),
        applies=having.brake,
        look="Dark contacts, thin or long leads; ohms from lead to lead through the closed switch.",
        alters=(altering.weak_brake,),
    ),
    Mechanism(
        "vibration.resonance",
        "The mast or roof shakes at its own frequency",
        (SHAKING, "mast or guy failed"),
        by_eye("Whether it shakes at one speed only was not watched, nor the mast's own frequency counted"),
        (COMMON_PRACTICE,),
        (Correction("a mast of another stiffness, or guys of another tension",
                    (Sheet.mast.kind, Sheet.mast.tube_diameter)),),
        look="Does it shake at one speed only, and calm down above it?",
        alters=(altering.resonant,),
    ),
)  # fmt: skip
