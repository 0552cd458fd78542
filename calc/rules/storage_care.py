"""The battery: cold, gas, the place where it stands, and the cells it is made of."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import cast

import numpy as np

from calc.finding import COMMON_PRACTICE, Source
from calc.machine.battery import cells, has_battery, has_lead, has_lithium
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.storage import DUMPS, PLACES
from calc.machine.currents import charging_current
from calc.machine.inputs import Inputs, Unknown
from calc.physics import storage
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule, at_least
from calc.rules.sources import CELL_MONITOR, FREEZING_TABLE, UNLOADED
from calc.tables import Row, table_rows
from calc.units import Num, show, show_up

_LEVELS = {"ok": OK, "marginal": MARGINAL, "fail": FAIL, "danger": DANGER}
#: Degrees above the lowest charging temperature within which a thermometer and a night are not to be trusted. [K]
_COLD_DOUBT = 3.0
#: Strings in parallel that share the current well, and the most that makers put up with.
_STRINGS_GOOD, _STRINGS_MOST = 2.0, 4.0
#: Ways of switching the dump load that hold the battery's voltage.
HOLD_VOLTAGE = DUMPS[1:3]
LIVED_IN = PLACES[0]

FROST = (
    FREEZING_TABLE,
    Source("Polaris owner's manual", "off-season storage", "reproduction"),
    Source("Rolls Battery, article 208145", "acid density by state of charge", "reproduction"),
)
VENTING = (
    Source("EN 50272-2, now EN IEC 62485-2", "fresh air and vents of battery rooms", "reproduction"),
    Source("EN 50272-3", "gassing current at the end of charge, from a battery maker", "reproduction"),
    Source("A source that nothing holds: the whole current in place of the gassing current", "EN 50272-2 formula"),
)
LITHIUM_CARE = (
    Source("LF280N cell sheet", "charging at 0 to 60 degC", "reproduction"),
    Source("Lithium plated in the cold cannot be undone and can short the cell", "", "reproduction"),
)
SCOPE = Source("IEC 62619:2022", "scope: second-life cells are excluded", "reproduction")
MIXED = Source("Discover, Battery 101, parallel connections", "only new and identical batteries")
EXPLOSIVE = (
    "The gas of a charging battery explodes at a spark. Keep flames, switches, relays and fuses away from it, and "
    "wear eye protection. Local rules for battery rooms come first."
)
FIRE = (
    "A lithium battery that fails burns for hours, reignites, and its smoke is poisonous. Keep it away from "
    "where people sleep and from ways out; the fire service and local rules have the last word."
)


def _freezing(x: Inputs) -> Judgement:
    chemistry, T, given = x.storage.chemistry, x.storage.coldest, x.maybe(Sheet.storage.usable_share)
    usable = storage.cell(chemistry).usable if given is None else given
    deep = storage.freezing_point(storage.acid_density(1.0 - usable))
    flat = storage.freezing_point(storage.acid_density(0.0))
    level = np.where(np.asarray(T) < deep, FAIL, np.where(np.asarray(T) < flat, MARGINAL, OK))

    def says() -> str:
        fate = "stays liquid even when flat"
        if deep > T:
            fate = "freezes in normal use, and ice breaks plates and case"
        elif flat > T:
            fate = "stays liquid in normal use, but freezes and breaks if it is ever left flat"
        return (
            f"With {show(usable, '%')} of the charge used, the acid freezes at {show(deep, 'degC')}; in a flat battery "
            f"at {show(flat, 'degC')}. The place gets as cold as {show(T, 'degC')}: the battery {fate}."
        )

    def remedy() -> str:
        states = np.linspace(0.0, 1.0, 101)
        holds = states[storage.freezing_point(storage.acid_density(states)) <= T]
        warmer = f"put it where it stays above {show(deep if deep > T else flat, 'degC')}"
        if not len(holds):
            return f"No charge keeps its acid liquid in such cold: {warmer}."
        return (
            f"Keep it {show(float(holds[0]), '%')} full or more in such cold, with a controller that turns the loads "
            f"off before, or {warmer}."
        )

    return Judgement(level, says, remedy, T, deep, "degC", (np.asarray(T) - deep) / deep)


def _cold_charge(x: Inputs) -> Judgement:
    chemistry, T, block = x.storage.chemistry, x.storage.coldest, x.maybe(Sheet.storage.cold_charge_block)
    limit = storage.cell(chemistry).cold + 273.15
    cold = np.asarray(T) < limit
    if block:
        kind = x.maybe(Sheet.dump.kind)
        worst = OK if kind not in (None, "none") else FAIL if kind == "none" else MARGINAL
        level = np.where(cold, worst, OK)
    else:
        worst = DANGER if block is False else FAIL
        level = np.where(cold, worst, np.where(np.asarray(T) < limit + _COLD_DOUBT, MARGINAL, OK))

    def says() -> str:
        place = f"The place gets as cold as {show(T, 'degC')}, and {chemistry} must not be charged below "
        place += f"{show(limit, 'degC')}: metallic lithium grows inside, which ruins the cells and can short them."
        if not cold:
            return place
        if block:
            return f"{place} Charging is then blocked by itself, so the generator's power must go to the dump load."
        return place + (" Nothing blocks it." if block is False else " The sheet does not say that anything blocks it.")

    def remedy() -> str:
        warm = f"put it where it stays above {show(limit + _COLD_DOUBT, 'degC')}"
        if block:
            return (
                f"Fit a dump load on the rectifier's side, which holds the rotor while charging is blocked; or {warm}."
            )
        return (
            f"Fit electronics that block charging below {show(limit, 'degC')}, with a dump load beside them, or {warm}."
        )

    return Judgement(level, says, remedy, T, limit, "degC", (np.asarray(T) - limit) / limit)


@dataclass(frozen=True, slots=True)
class _Gas:
    """Fresh air that the gas of a bank asks for [m3/s], and in words why."""

    air: Num
    why: Callable[[], str]


def _gas(x: Inputs) -> _Gas | Unknown:
    """The gas at the end of charge.

    Where a controller or relay holds the voltage it is that of a held charge. Where nothing does, the whole charging
    current makes gas once the battery is full.
    """
    (n, one), Q = cells(x), x.storage.capacity
    kind = x.maybe(Sheet.dump.kind)
    held = storage.fresh_air(n, Q, one.gas)
    bank = f"{show(n, '')} cells of {show(Q, 'Ah')}" if not np.ndim(n) and not np.ndim(Q) else ""
    if kind in HOLD_VOLTAGE:
        return _Gas(held, lambda: f"At the end of charge of {bank}, {show(one.gas, '')} mA for each Ah makes gas")
    if kind is None:
        return Unknown("", (Sheet.dump.kind,))
    source = charging_current(x)
    if isinstance(source, Unknown):
        return source
    free = cast(Num, np.maximum(held, storage.fresh_air_unheld(n, source.amps)))
    return _Gas(free, lambda: f"Nothing holds the voltage of the {bank}: once full, all of {source.said()} makes gas")


def _ventilation(x: Inputs) -> Judgement | Unknown:
    """Judge the vents: none at all, or too little where people live or sleep, is a danger."""
    gas = _gas(x)
    closed, vent = "without vents" in x.storage.place, x.maybe(Sheet.storage.vent_area)
    shut = closed or (vent is not None and bool(np.all(np.asarray(vent) == 0)))
    if isinstance(gas, Unknown):
        return _shut_in(x) if shut else gas
    air, why = gas.air, gas.why
    area = storage.vent_area(air)
    if vent is None and not closed:
        return Unknown("", (Sheet.storage.vent_area,))

    def needs() -> str:
        flow, each = show(air, "m3/h", 2), show(area, "cm2", 2)
        return f"{why()}. That needs {flow} of fresh air, through two vents of {each} each."

    def remedy() -> str:
        return (
            f"Give the place two vents of {show_up(area, 'cm2', 2)} or more each, one low and one high on the other "
            "side, both to the open air."
        )

    if vent is None or shut:
        level = np.full(np.shape(area), DANGER)
        return Judgement(level, lambda: f"{needs()} The place has none, and the gas collects.", remedy)
    level, margin = at_least(vent, area, worst=DANGER if x.storage.place == LIVED_IN else FAIL)

    def says() -> str:
        return f"{needs()} There are {show(vent, 'cm2')} each."

    return Judgement(level, says, remedy, vent, area, "cm2", margin)


def _shut_in(x: Inputs) -> Judgement:
    """A place without vents is a danger however much gas there is."""
    n, one = cells(x)
    area = storage.vent_area(storage.fresh_air(n, x.storage.capacity, one.gas))
    return Judgement(
        DANGER,
        lambda: "A battery of lead makes explosive gas while it is charged. The place has no vents, and it collects.",
        lambda: (
            f"Give the place two vents of {show_up(area, 'cm2', 2)} each at the very least, one low and one high on "
            "the other side, both to the open air; more where nothing holds the charge voltage."
        ),
    )


def _starter(x: Inputs) -> Judgement:
    starter, Q = x.storage.starter, x.maybe(Sheet.storage.capacity)

    def says() -> str:
        if not starter:
            return "The sheet says that it is no starter battery. How often it can be cycled was not checked."
        return (
            "A starter battery has thin plates for one hard pull. Used down to half night after night it is worn out "
            "within months, often with a shorted cell."
        )

    def remedy() -> str:
        size = "" if Q is None else f" of {show(Q, 'Ah')}"
        return (
            f"Use a battery made for cycling{size} (traction, solar, leisure); until then draw no more than 10 % to "
            "20 % of this one (common practice, no source)."
        )

    return Judgement(FAIL if starter else OK, says, remedy)


def _kind(x: Inputs) -> str:
    chemistry = x.storage.chemistry
    if storage.lithium(chemistry):
        # Nobody vouches for cells in a second life, so they are treated as the kind that burns most readily.
        return "NMC" if chemistry == "NMC lithium" or x.maybe(Sheet.storage.reused) else "LiFePO4"
    return "flooded" if chemistry.startswith("flooded") else "sealed"


def _places(kind: str) -> dict[str, Row]:
    return {row["place"]: row for row in table_rows("places") if row["kind"] == kind}


def _place(x: Inputs) -> Judgement:
    place, rows = x.storage.place, _places(_kind(x))
    row = rows[place]

    def says() -> str:
        known = f" ({row['standing']})" if row["standing"] in ("from memory", "common practice") else ""
        cells = "reused " if x.maybe(Sheet.storage.reused) else ""
        return f"{place[0].upper()}{place[1:]}. For {cells}{x.storage.chemistry} that matters: {row['why']}{known}."

    def remedy() -> str:
        return "A better place: " + ", or ".join(name for name, other in rows.items() if other["level"] == "ok") + "."

    return Judgement(_LEVELS[row["level"]], says, remedy)


def _cells(x: Inputs) -> Judgement:
    alike, strings = bool(x.maybe(Sheet.storage.alike)), x.storage.strings
    level = np.where(
        np.asarray(strings) > _STRINGS_MOST, FAIL, np.where(np.asarray(strings) > _STRINGS_GOOD, MARGINAL, OK)
    )
    if not alike:
        watched = not has_lithium(x) or x.maybe(Sheet.storage.cell_monitor)
        level = np.full_like(level, FAIL if watched else DANGER)

    def says() -> str:
        many = f"{show(strings, '')} strings in parallel" if strings > 1 else "one string"
        if not alike:
            return (
                f"The bank is {many} of cells or batteries that are not of one make, kind, size and age. In a string "
                f"the weakest is overcharged and discharged below empty, while the others look well."
            )
        share = "they share the current unevenly, and the weak ones drag down the rest" if strings > 2 else "as usual"
        return f"The bank is {many} of like cells: {share}."

    def remedy() -> str:
        return (
            f"Build the bank of like cells bought together, in 1 string or 2, large enough that one string holds "
            f"{_each(x)}; never add new cells to old ones. Each string needs its own fuse."
        )

    return Judgement(level, says, remedy, None if not alike else strings, None if not alike else _STRINGS_MOST)


def _each(x: Inputs) -> str:
    Q = x.maybe(Sheet.storage.capacity)
    return "the whole or half of the capacity" if Q is None else f"{show(Q, 'Ah')}, or two {show(Q / 2.0, 'Ah')} each"


def _monitor(x: Inputs) -> Judgement:
    one = storage.cell(x.storage.chemistry)
    watched = bool(x.maybe(Sheet.storage.cell_monitor))

    def says() -> str:
        if watched:
            return (
                "Electronics watch every cell and can disconnect the battery. When they do, the generator loses its "
                "load, so the dump load or brake must act on the rectifier's side of them."
            )
        return (
            f"Nothing watches the single cells. The bank's voltage looks right while one cell is beyond "
            f"{show(one.charge_high, 'V')} or below {show(one.lowest, 'V')}, and such a cell can catch fire."
        )

    def remedy() -> str:
        return (
            f"Fit electronics for {x.storage.chemistry} that keep every cell between {show(one.lowest, 'V')} "
            f"and {show(one.charge_high, 'V')} and stop charging outside {show(one.cold + 273.15, 'degC')} to "
            f"{show(one.hot + 273.15, 'degC')}, with a dump load on the rectifier's side of them."
        )

    return Judgement(OK if watched else DANGER, says, remedy)


def _reused(x: Inputs) -> Judgement:
    known, lithium = x.given(Sheet.storage.capacity_left), has_lithium(x)
    left: Num | None = x.maybe(Sheet.storage.capacity_left) if known else None
    if not lithium:
        level = OK if known else FAIL
    elif x.maybe(Sheet.storage.cell_monitor) is False:
        level = DANGER
    else:
        level = MARGINAL if known and x.maybe(Sheet.storage.cell_monitor) else FAIL

    def says() -> str:
        has = f"{show(cast(Num, left), '%')} of their capacity is left" if known else "The capacity left is not stated"
        if not lithium:
            return f"The cells had a first life. {has}."
        seen = x.maybe(Sheet.storage.cell_monitor)
        watched = "electronics watch" if seen else "nothing watches"
        if seen is None:
            watched = "the sheet names nothing that watches"
        return (
            "The cells had a first life, and IEC 62619, the standard for fixed lithium batteries, leaves such cells "
            f"out: nobody has tested them for this use, and their past is not known. {has}, and {watched} the single "
            "cells."
        )

    def remedy() -> str:
        if not lithium:
            return "Charge it fully, discharge it over 20 hours, and put the measured share of capacity on the sheet."
        return (
            "Measure the capacity of every cell, keep only those within 5 % of each other, have electronics that watch "
            "every cell, and set the bank up outdoors, apart from buildings; or take new cells made to IEC 62619."
        )

    return Judgement(level, says, remedy)


RULES = (
    Rule(
        "storage.freezing",
        "Frost and the acid of the battery",
        "storage",
        (Sheet.storage.chemistry, Sheet.storage.coldest),
        _freezing,
        FROST,
        "A frozen battery may burst and spill acid. Never charge it; let it thaw first, away from people.",
        applies=has_lead,
    ),
    Rule(
        "storage.cold-charge",
        "Charging in the cold",
        "storage",
        (Sheet.storage.chemistry, Sheet.storage.coldest),
        _cold_charge,
        LITHIUM_CARE,
        FIRE,
        applies=has_lithium,
    ),
    Rule(
        "storage.starter",
        "Starter battery that is cycled",
        "storage",
        (Sheet.storage.chemistry, Sheet.storage.starter),
        _starter,
        (Source("Starter batteries wear out in a few tens of deep cycles", "", "from memory"), COMMON_PRACTICE),
        applies=lambda x: x.maybe(Sheet.storage.chemistry) in ("flooded lead-acid", "AGM lead-acid"),
    ),
    Rule(
        "storage.ventilation",
        "Air for the battery's gas",
        "storage",
        (Sheet.storage.chemistry, Sheet.storage.voltage, Sheet.storage.capacity, Sheet.storage.place),
        _ventilation,
        VENTING,
        EXPLOSIVE,
        applies=has_lead,
        deadly=True,
    ),
    Rule(
        "storage.place",
        "Where the battery stands",
        "storage",
        (Sheet.storage.chemistry, Sheet.storage.place),
        _place,
        (
            VENTING[0],
            Source("NFPA 855 and IRC R328, places of storage in dwellings", "", "from memory"),
            COMMON_PRACTICE,
        ),
        "A battery holds its energy whatever is switched off, and what leaves it when it fails harms people. Local "
        "fire and building rules come first.",
        applies=has_battery,
        deadly=True,
    ),
    Rule(
        "storage.cells",
        "Strings and mixed cells",
        "storage",
        (Sheet.storage.chemistry, Sheet.storage.alike),
        _cells,
        (MIXED, COMMON_PRACTICE),
        "Unlike cells overcharge or reverse each other unseen; lithium cells can then catch fire, lead cells burst.",
        applies=lambda x: has_battery(x) and (x.given(Sheet.storage.alike) or x.given(Sheet.storage.strings)),
    ),
    Rule(
        "storage.cell-monitor",
        "Electronics that watch the cells",
        "storage",
        (Sheet.storage.chemistry, Sheet.storage.cell_monitor),
        _monitor,
        (CELL_MONITOR, UNLOADED),
        FIRE,
        applies=has_lithium,
        deadly=True,
    ),
    Rule(
        "storage.reused",
        "Cells in a second life",
        "storage",
        (Sheet.storage.chemistry,),
        _reused,
        (SCOPE, COMMON_PRACTICE),
        FIRE,
        applies=lambda x: x.maybe(Sheet.storage.reused) is True,
    ),
)
