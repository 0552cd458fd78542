"""What happens to the battery and its dump load."""

from __future__ import annotations

import numpy as np

from calc.finding import COMMON_PRACTICE, Source
from calc.machine.battery import cells, has_battery, has_lead
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Unknown
from calc.machine.need import daily_need, hardest_start
from calc.machine.year import year_of_wind
from calc.mechanisms import altering, having
from calc.mechanisms.base import (
    CUTS,
    DAMAGED,
    FLAT,
    HARDLY,
    Case,
    Correction,
    Expected,
    Indication,
    Mechanism,
    Telling,
    grade,
    mean_wind,
)
from calc.physics import dump, loads, storage
from calc.rules.sources import BALANCE, CELL_MONITOR, FREEZING_TABLE
from calc.units import Num, show

#: Power of the dump load over the greatest of the machine. Own choice, no source.
DUMP_SMALL, DUMP_AMPLE = 1.0, 1.25
#: Voltage of a lead cell at 25 degC: overcharged above, never overcharged below. From memory. [V]
OVER, UNDER = 2.45, 2.35
#: Share of the stated capacity left: worn out below, good above. Common practice, no source.
WORN, GOOD = 0.8, 0.9
#: Yield over need of a year: starved below, well fed above. Own choice, no source.
STARVED, FED = 1.0, 1.3
#: Degrees above the freezing point from which freezing is ruled out. Own choice, no source. [K]
FROST_DOUBT = 5.0


def _yearly(case: Case) -> Num | Unknown:
    solved = case.solved()
    Vm = mean_wind(case.x, Sheet.site.wind_spread, Sheet.site.availability)
    if isinstance(solved, Unknown):
        return solved
    return Vm if isinstance(Vm, Unknown) else year_of_wind(case.x, solved, Vm, lambda p: p.charge).likely


def _starved(case: Case) -> Indication | Unknown:
    left: Num | None = case.x.maybe(Sheet.storage.capacity_left) if case.x.given(Sheet.storage.capacity_left) else None
    if left is not None and "battery damaged" in case.c.symptoms:
        return Indication(
            grade(left, WORN, GOOD),
            lambda: f"{show(left, '%')} of the stated capacity is left; below {show(WORN, '%')} a bank counts as "
            "worn out.",
            left, WORN, "%",
        )  # fmt: skip
    need, E = daily_need(case.x), _yearly(case)
    if need is None:
        return Unknown("", (Sheet.load.power["main"], Sheet.load.hours["main"]))
    if isinstance(E, Unknown):
        return E
    ratio = np.asarray(E) / (need * 365.0)
    return Indication(
        grade(ratio, STARVED, FED),
        lambda: (
            f"A year gives {show(E, 'kWh', 2)} and the loads need {show(need * 365.0, 'kWh', 2)}: the battery "
            f"{'never gets full' if ratio < 1 else 'gets what the loads take'}."
        ),
        ratio, STARVED, "", "Yield over need",
    )  # fmt: skip


def _overcharged(case: Case) -> Indication | Unknown:
    x = case.x
    U, chemistry = x.maybe(Sheet.storage.voltage), str(x.maybe(Sheet.storage.chemistry))
    if U is None:
        return Unknown("", (Sheet.storage.voltage,))
    n = cells(x)[0]
    read = case.readings("battery.voltage")
    high, low = (
        (OVER, UNDER) if has_lead(x) else (storage.cell(chemistry).charge_high, storage.cell(chemistry).charge_low)
    )
    if read:
        # One reading below the limit says only that it was not overcharged at that moment.
        top = max(read, key=lambda r: float(np.mean(r.value)))
        volts = np.asarray(top.value / n)
        beyond = volts > high
        return Indication(
            np.where(beyond, 0.75, np.where((volts < low) & (len(read) >= 5), -0.75, 0.0)),
            lambda: (
                f"The highest reading is {show(volts, 'V')} a cell ({top.label}); beyond {show(high, 'V')} for hours "
                "overcharges it."
            ),
            volts, high, "V",
        )  # fmt: skip
    return _surplus(case)


def _surplus(case: Case) -> Indication | Unknown:
    kind, need, E = case.x.maybe(Sheet.dump.kind), daily_need(case.x), _yearly(case)
    if kind is None:
        return Unknown("", (Sheet.dump.kind,))
    if kind != "none":
        return Unknown("The sheet names a dump load; whether it held the voltage shows in readings while it was full")
    if need is None or isinstance(E, Unknown):
        return E if isinstance(E, Unknown) else Unknown("", (Sheet.load.power["main"], Sheet.load.hours["main"]))
    ratio = np.asarray(E) / (need * 365.0)
    return Indication(
        grade(ratio, FED, STARVED),
        lambda: (
            f"Nothing takes the surplus, and a year gives {show(ratio, '', 2)} times what the loads take."
        ),
        ratio, FED,
    )  # fmt: skip


def _high_volts(case: Case) -> Expected:
    U, chemistry = case.x.maybe(Sheet.storage.voltage), str(case.x.maybe(Sheet.storage.chemistry))
    if U is None or chemistry in ("None", "none"):
        return None
    n = cells(case.x)[0]
    high = OVER if has_lead(case.x) else storage.cell(chemistry).charge_high
    return n * high, n * high * 1.5


def _frozen(case: Case) -> Indication | Unknown:
    T = case.x.maybe(Sheet.storage.coldest)
    if T is None:
        return Unknown("", (Sheet.storage.coldest,))
    read = case.readings("battery.density")
    try:
        density = read[-1].value if read else storage.acid_density(0.0)
        freezes = storage.freezing_point(density)
    except ValueError as e:
        return Unknown.because(str(e), e)
    apart = np.asarray(T) - freezes
    # Without a reading it is only known that a flat one would have frozen.
    speaks = np.where(apart < 0, 0.75 if read else 0.0, np.where(apart > FROST_DOUBT, -0.75, 0.0))
    return Indication(
        speaks,
        lambda: (
            f"It got as cold as {show(T, 'degC')} where the battery stands; "
            + (f"acid of {show(density, '')} ({read[-1].label})" if read else "the acid of a flat battery")
            + f" freezes at {show(freezes, 'degC')}."
        ),
        T, freezes, "degC",
    )  # fmt: skip


def _dump(case: Case) -> Indication | Unknown:
    x, solved = case.x, case.solved()
    if isinstance(solved, Unknown):
        return solved
    P, R, V = x.maybe(Sheet.dump.power), x.maybe(Sheet.dump.resistance), x.maybe(Sheet.storage.charge_voltage)
    takes = P if R is None or V is None else dump.power(V, R)
    if takes is None:
        return Unknown("", (Sheet.dump.power, Sheet.dump.resistance))
    at = solved.storm if case.wind is None else case.wind
    gives = solved.at(np.broadcast_to(at, solved.machine.variants)).charge
    ratio = np.asarray(takes) / np.maximum(gives, 1e-6)
    where = case.wind_text() if case.wind is not None else "in a storm"
    return Indication(
        grade(ratio, DUMP_SMALL, DUMP_AMPLE),
        lambda: f"The dump load takes {show(takes, 'W')}; {where} the machine gives up to {show(gives, 'W', 2)}.",
        ratio, DUMP_SMALL,
    )  # fmt: skip


def _opens(case: Case) -> Indication | Unknown:
    x, limit = case.x, case.x.maybe(Sheet.storage.discharge_current_limit)
    if limit is None:
        return Unknown("", (Sheet.storage.discharge_current_limit,))
    start = hardest_start(x)
    if isinstance(start, Unknown) or (missing := x.lacks(Sheet.inverter.power, Sheet.storage.voltage)):
        return start if isinstance(start, Unknown) else Unknown("", missing)
    I = loads.battery_current(start, x.storage.voltage, x.inverter.efficiency)
    return Indication(
        grade(I / limit, 1.0, 0.7),
        lambda: (
            f"The hardest start draws about {show(I, 'A', 2)} from the battery, whose electronics or maker permit "
            f"{show(limit, 'A')}."
        ),
        I, limit, "A",
    )  # fmt: skip


def _gone(case: Case) -> Expected:
    return 0.0, 1.0


SULPHATED = Source("Hund, Sandia: incomplete recharge is the main cause of early loss in solar systems", "",
                   "reproduction")  # fmt: skip

MECHANISMS = (
    Mechanism(
        "battery.overcharged",
        "Battery overcharged",
        (DAMAGED, "battery voltage too high", "dump load cold or always hot"),
        _overcharged,
        (Source("Charge windows of lead cells", "", "from memory"), COMMON_PRACTICE),
        (Correction("a controller with a dump load, set for this battery",
                    (Sheet.dump.kind, Sheet.storage.charge_voltage)),),
        (Telling("battery.voltage", "above the charge voltage for hours", "never above it in weeks", (), _high_volts),),
        applies=has_battery,
        look="Low water, a warm case, wet tops, a rotten smell.",
        alters=(altering.overcharged,),
        designed=True,
    ),
    Mechanism(
        "battery.starved",
        "Battery starved: never full, which hardens lead cells",
        (FLAT, DAMAGED),
        _starved,
        (BALANCE, SULPHATED, COMMON_PRACTICE),
        (Correction("smaller loads, or a full charge every week or two",
                    (Sheet.load.power["main"], Sheet.load.hours["main"])),
         Correction("a larger rotor or a second source", (Sheet.rotor.diameter,))),
        (Telling("battery.density", "low and uneven between cells after a long charge", "as in a full battery"),
         Telling("battery.voltage", "at rest below the voltage of half charge on most days", "often full at rest")),
        applies=has_battery,
        alters=(altering.nearly_empty,),
        designed=True,
    ),
    Mechanism(
        "battery.frozen",
        "Battery frozen while flat",
        (DAMAGED,),
        _frozen,
        (FREEZING_TABLE,),
        (Correction("keep it charged, and where it stays above freezing", (Sheet.storage.coldest,)),),
        (Telling("battery.density", "so low that its freezing point lies above the coldest night",
                 "so high that it would not freeze"),),
        applies=having.lead_cells,
        look="A bulged or split case, loose plates. Let it thaw away from people, and never charge it.",
        alters=(altering.worn_battery,),
        designed=True,
    ),
    Mechanism(
        "battery.electronics-opened",
        "The battery's own electronics disconnected it",
        (CUTS, FLAT, "rotor ran away", HARDLY, "charging comes and goes", "dump load cold or always hot"),
        _opens,
        (CELL_MONITOR, COMMON_PRACTICE),
        (Correction("a larger bank, or softer starts",
                    (Sheet.storage.discharge_current_limit, Sheet.load.surge["main"])),
         Correction("a dump load on the rectifier's side, so that the rotor keeps its load", (Sheet.dump.place,))),
        (Telling("inverter.input_voltage", "falls to nothing, and comes back after minutes or a reset",
                 "sags and recovers", (), _gone),),
        applies=having.lithium_cells,
        alters=(altering.cut_off,),
        designed=True,
    ),
    Mechanism(
        "dump.failed",
        "Dump load too small, or its control failed",
        (DAMAGED, "rotor ran away", "burning smell or no voltage", "charging comes and goes", "something gets hot",
         "battery voltage too high", "dump load cold or always hot"),
        _dump,
        (COMMON_PRACTICE,),
        (Correction("a dump load of 1.5 times the greatest power, with a second means beside it",
                    (Sheet.dump.power, Sheet.dump.second_means)),),
        (Telling("battery.voltage", "above the voltage at which the dump load should come in", "held at it"),),
        applies=having.dump,
        look="Is the resistor whole, does the relay close when the set voltage is passed?",
        alters=(altering.overcharged,),
        designed=True,
    ),
)  # fmt: skip
