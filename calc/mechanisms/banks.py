"""What else empties or cuts off a battery: its size and age, its electronics, its controller, forgotten loads."""

from __future__ import annotations

import numpy as np

from calc.finding import COMMON_PRACTICE
from calc.machine.battery import has_battery
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Unknown
from calc.machine.need import daily_need
from calc.mechanisms import altering, having
from calc.mechanisms.base import (
    CUTS,
    DAMAGED,
    FLAT,
    HARDLY,
    LESS,
    Case,
    Correction,
    Indication,
    Mechanism,
    by_eye,
    grade,
)
from calc.physics import storage
from calc.rules.sources import CELL_MONITOR
from calc.units import show

#: Days that a full bank feeds its loads: too small below, ample above. Common practice, no source.
SHORT, AMPLE = 1.0, 3.0


def _small(case: Case) -> Indication | Unknown:
    x, need = case.x, daily_need(case.x)
    if missing := x.lacks(Sheet.storage.voltage, Sheet.storage.capacity, Sheet.storage.chemistry):
        return Unknown("", missing)
    if need is None:
        return Unknown("", (Sheet.load.power["main"], Sheet.load.hours["main"]))
    usable = storage.cell(x.storage.chemistry).usable
    days = np.asarray(x.storage.voltage * x.storage.capacity * usable) / np.maximum(need, 1e-9)
    return Indication(
        grade(days, SHORT, AMPLE),
        lambda: (
            f"What may be used of the full bank day by day feeds its loads for {show(days, '', 2)} days without wind; "
            f"less than {show(SHORT, '', 2)} is short."
        ),
        days, SHORT, "", "Days without wind",
    )  # fmt: skip


MECHANISMS = (
    Mechanism(
        "battery.too-small",
        "Battery too small for its loads",
        (FLAT,),
        _small,
        (COMMON_PRACTICE,),
        (Correction("a larger bank, or smaller loads", (Sheet.storage.capacity, Sheet.load.power["main"])),),
        applies=has_battery,
        look="Full after a windy day, and flat the next morning?",
        alters=(altering.nearly_empty,),
        designed=True,
    ),
    Mechanism(
        "battery.worn",
        "Battery worn out",
        (FLAT, DAMAGED, "battery voltage too high"),
        by_eye("A timed discharge into a known load tells what is left of a battery"),
        (COMMON_PRACTICE,),
        (Correction("a new bank, all of it at once", (Sheet.storage.capacity,)),),
        applies=has_battery,
        look="The voltage sinks within minutes under a small load, and climbs soon when charged.",
        alters=(altering.worn_battery,),
    ),
    Mechanism(
        "battery.strings-uneven",
        "Strings or batteries of the bank not alike",
        (FLAT, DAMAGED, "battery voltage too high"),
        by_eye("Volts of each battery, and amperes of each string, were not read"),
        (COMMON_PRACTICE,),
        (Correction("batteries of one kind and age, in one string if it can be"),),
        applies=has_battery,
        look="One battery or string warmer, or at another voltage, than its neighbours.",
        alters=(altering.uneven_strings,),
    ),
    Mechanism(
        "load.phantom",
        "Something draws day and night",
        (FLAT,),
        by_eye("What leaves the battery with all switched off was not read"),
        (COMMON_PRACTICE,),
        (Correction("a main switch, and an inverter that sleeps", (Sheet.load.power["main"],)),),
        applies=has_battery,
        look="Current out of the battery at night, with all switched off.",
        alters=(altering.phantom,),
    ),
    Mechanism(
        "controller.set-wrongly",
        "Charge controller or dump load set too low",
        (LESS, HARDLY, FLAT, DAMAGED, "gives less than it used to", "charging comes and goes",
         "battery voltage too high", "dump load cold or always hot"),
        by_eye("The voltage at which the dump load or controller comes in was not read"),
        (COMMON_PRACTICE,),
        (Correction("set for this battery, by a meter at its terminals", (Sheet.storage.charge_voltage,)),),
        applies=lambda x: having.dump(x) * has_battery(x),
        look="Does the dump load run while the battery is far from full?",
        alters=(altering.set_low,),
    ),
    Mechanism(
        "battery.cut-off-cold",
        "The battery's electronics block charging in the cold",
        (HARDLY, FLAT, "charging comes and goes"),
        by_eye("The battery's temperature at that time was not read"),
        (CELL_MONITOR, COMMON_PRACTICE),
        (Correction("a place that stays above freezing, or a heater fed by the dump load", (Sheet.storage.coldest,)),),
        applies=having.lithium_cells,
        look="Does its app or lamp show a fault, and is the battery near or below freezing?",
        alters=(altering.cut_off_cold,),
    ),
    Mechanism(
        "battery.cut-off-high",
        "The battery's electronics cut off as a cell got full",
        (HARDLY, LESS, "rotor ran away", "charging comes and goes", "battery voltage too high",
         "dump load cold or always hot"),
        by_eye("The highest cell at the moment of cutting off was not read"),
        (CELL_MONITOR, COMMON_PRACTICE),
        (Correction("a dump load set below the cut-off, and cells balanced",
                    (Sheet.storage.charge_voltage, Sheet.dump.place)),),
        applies=having.lithium_cells,
        look="Does it cut off just as the bank gets full, one cell ahead of the others?",
        alters=(altering.cut_off_high,),
    ),
    Mechanism(
        "battery.cut-off-low",
        "The battery's electronics cut off as it was empty",
        (HARDLY, FLAT, DAMAGED, "charging comes and goes"),
        by_eye("The volts of the cells behind the electronics were not read"),
        (CELL_MONITOR, COMMON_PRACTICE),
        (Correction("woken by a charger for its kind; loads that switch off earlier"),),
        applies=having.lithium_cells,
        look="Nothing at its posts, though its cells hold volts?",
        alters=(altering.cut_off_low,),
    ),
    Mechanism(
        "inverter.cable",
        "The inverter's leads too thin, or a bad lug",
        (CUTS, "something gets hot"),
        by_eye("Volts at battery and inverter at one moment under load were not both read"),
        (COMMON_PRACTICE,),
        (Correction("short thick leads, crimped lugs, and both ends measured under load",
                    (Sheet.cable.area["inverter"], Sheet.cable.length["inverter"])),),
        applies=lambda x: having.inverter(x) * has_battery(x),
        look="Leads thin, long, or warm at the lugs after a heavy load.",
        alters=(altering.inverter_cable,),
    ),
)  # fmt: skip
