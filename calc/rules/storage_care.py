"""The battery: cold, gas, the place where it stands, and the cells it is made of."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import cast

import numpy as np

from calc.finding import COMMON_PRACTICE, Act, Source
from calc.machine.battery import cells, has_battery, has_lead, has_lithium
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.storage import DUMPS, PLACES
from calc.machine.currents import charging_current
from calc.machine.inputs import Inputs, Unknown
from calc.physics import storage
from calc.rules.dump_kits import dump_loads, dump_ways, dump_words
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, STATED, Judgement, Rule, at_least
from calc.rules.phrases import FIRE
from calc.rules.sources import FREEZING_TABLE
from calc.rules.ways import Try, Way, act, change, ladder
from calc.tables import Row, table_rows
from calc.units import Num, show, show_up

_LEVELS = {"ok": OK, "marginal": MARGINAL, "fail": FAIL, "danger": DANGER}
#: Degrees above the lowest charging temperature within which a thermometer and a night are not to be trusted. [K]
_COLD_DOUBT = 3.0
#: Ways of switching the dump load that hold the battery's voltage.
HOLD_VOLTAGE = DUMPS[1:3]
LIVED_IN, VENTILATED = PLACES[0], PLACES[2]
#: Areas of vents that people cut. Own steps. [m2]
VENTS = tuple(
    1e-4 * cm2
    for cm2 in (10.0, 20.0, 30.0, 50.0, 80.0, 120.0, 200.0, 300.0, 500.0, 800.0, 1200.0, 2000.0, 4000.0, 8000.0)
)
#: Shares of its charge to which the use of a battery may be held, and lowest temperatures of better places. Own choice.
#: [degC]
USED = (0.5, 0.4, 0.3, 0.25, 0.2, 0.15, 0.1, 0.05)
PLACES_COLD = (-25.0, -20.0, -15.0, -10.0, -8.0, -5.0, 0.0, 3.0, 5.0, 8.0, 10.0)

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
EXPLOSIVE = (
    "The gas of a charging battery explodes at a spark. Keep flames, switches, relays and fuses away from it, and "
    "wear eye protection. Local rules for battery rooms come first."
)


def _freezing(x: Inputs) -> Judgement:
    chemistry, T, given = x.storage.chemistry, x.storage.coldest, x.maybe(Sheet.storage.usable_share)
    usable = storage.cell(chemistry).usable if given is None else given
    deep = storage.freezing_point(storage.acid_density(1.0 - usable))
    flat = storage.freezing_point(storage.acid_density(0.0))
    level = np.where(np.asarray(T) < deep, FAIL, np.where(np.asarray(T) < flat, MARGINAL, OK))

    def says() -> str:
        cold, flat_at, deep_at = (show(v, "degC") for v in (T, flat, deep))
        if deep > T:
            return (
                f"At {cold} the battery freezes in normal use, and ice breaks plates and case: with "
                f"{show(usable, '%')} of its charge used the acid freezes at {deep_at}."
            )
        if flat > T:
            return (
                f"At {cold} the battery stays liquid in normal use, but freezes and breaks if it is ever left flat: "
                f"its acid then freezes at {flat_at}."
            )
        return f"At {cold} the acid stays liquid even when flat: it would then freeze at {flat_at}."

    def more() -> str:
        used = f"With {show(usable, '%')} of the charge used the acid freezes at {show(deep, 'degC')}"
        return f"{used}, in a flat battery at {show(flat, 'degC')}."

    return Judgement(
        level,
        says,
        lambda: _frost_ways(float(T), float(usable), bool(deep > T)),
        T,
        deep,
        "degC",
        (np.asarray(T) - deep) / deep,
        more,
    )


def _frost_ways(T: float, usable: float, deep: bool) -> list[Way]:
    """A warmer place, or less of the charge used, so that the acid stays strong."""
    states = np.linspace(0.0, 1.0, 101)
    holds = states[storage.freezing_point(storage.acid_density(states)) <= T]
    ways = [_warmer(T)]
    if deep:
        less = [share for share in USED if share < usable]
        ways.append(
            change(
                "Use no more than {0} of the battery's charge, with a controller that turns the loads off before.",
                *ladder(Sheet.storage.usable_share, less),
            )
        )
    elif len(holds):
        ways.append(
            act(Act.DO, f"Never let the battery fall below {show(float(holds[0]), '%')} of its charge in such cold.")
        )
    return ways


def _warmer(T: float, least: float = 0.0) -> Way:
    """A place that does not get so cold, and stays at or above a temperature [K]."""
    places = [K for celsius in PLACES_COLD if (K := 273.15 + celsius) > T and least <= K]
    return change("Put the battery where it stays above {0}.", *ladder(Sheet.storage.coldest, places), kind=Act.MOVE)


def _cold_charge(x: Inputs) -> Judgement:
    chemistry, T, block = x.storage.chemistry, x.storage.coldest, x.maybe(Sheet.storage.cold_charge_block)
    limit = storage.cell(chemistry).cold + 273.15
    cold = np.asarray(T) < limit
    kind = x.maybe(Sheet.dump.kind)
    if block:
        # That it is blocked is the sheet's word alone.
        worst = STATED if kind not in (None, "none") else FAIL if kind == "none" else MARGINAL
        level = np.where(cold, worst, OK)
    else:
        worst = DANGER if block is False else FAIL
        level = np.where(cold, worst, np.where(np.asarray(T) < limit + _COLD_DOUBT, MARGINAL, OK))

    def says() -> str:
        place, least = f"The battery gets as cold as {show(T, 'degC')}", show(limit, "degC")
        harm = "Metallic lithium then grows inside, which ruins the cells and can short them."
        if not cold:
            near = "" if limit + _COLD_DOUBT <= T else " A thermometer errs, and some night is colder."
            return f"{place}, and {chemistry} must not be charged below {least}.{near}"
        if block:
            none = {None: "no dump load on the sheet takes its power", "none": "no dump load takes its power"}
            goes = none.get(kind, "its power must go to the dump load")
            return f"{place}; below {least} charging is blocked, the generator loses its load, and {goes}."
        nothing = "nothing blocks it" if block is False else "the sheet names nothing that blocks it"
        return f"{place}, {chemistry} must not be charged below {least}, and {nothing}. {harm}"

    return Judgement(
        level,
        says,
        lambda: _cold_ways(x, float(T), float(limit), bool(cold)),
        T,
        limit,
        "degC",
        (np.asarray(T) - limit) / limit,
    )


def _cold_ways(x: Inputs, T: float, limit: float, cold: bool) -> list[Way]:
    """Electronics that block, with somewhere for the power to go, or a warmer place."""
    least, bare = show(limit, "degC"), x.maybe(Sheet.dump.kind) in (None, "none")
    warmer = _warmer(T, limit + _COLD_DOUBT)
    if x.maybe(Sheet.storage.cold_charge_block):
        return [*dump_ways(x), warmer]
    block: Try = {Sheet.storage.cold_charge_block: True}
    fitted = f"Fit electronics that block charging below {least}"
    if not bare:
        return [change(f"{fitted}; the dump load then takes the power.", block), warmer]
    if not cold:
        return [warmer, change(f"{fitted}.", block)]
    kits = [{**block, **kit} for kit in dump_loads(x)]
    return [
        change(lambda tried: f"{fitted}. {dump_words(x, tried)}", *kits),
        warmer,
    ]


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
        return f"{why()}. That needs {show(air, 'm3/h', 2)} of fresh air."

    ways = partial(_vent_ways, x, closed)
    each = partial(show, area, "cm2", 2)
    if vent is None or shut:
        level = np.full(np.shape(area), DANGER)
        none = "The battery's place has no vents, and its gas collects: it takes two of"
        return Judgement(level, lambda: f"{none} {each()} each. {needs()}", ways)
    level, margin = at_least(vent, area, worst=DANGER if x.storage.place == LIVED_IN else FAIL)
    level = np.where(np.asarray(vent) == 0, DANGER, level)

    def says() -> str:
        few = "too little" if vent < area else "enough"
        return f"Two vents of {show(vent, 'cm2')} each are {few}: the battery's gas takes {each()} each. {needs()}"

    return Judgement(level, says, ways, vent, area, "cm2", margin)


def _vent_ways(x: Inputs, closed: bool) -> list[Way]:
    """Vents, or a voltage that is held so that less gas comes."""
    vent = x.maybe(Sheet.storage.vent_area)
    larger = [A for A in VENTS if vent is None or float(vent) < A]
    place: Try = {Sheet.storage.place: VENTILATED} if closed else {}
    tries: list[Try] = [{Sheet.storage.vent_area: A, **place} for A in larger]
    sides = "one low and one high on the other side, both to the open air"
    vents = change(f"Give the battery's place two vents of {{0}} or more each, {sides}.", *tries)
    return [vents] if x.maybe(Sheet.dump.kind) in HOLD_VOLTAGE or closed else [vents, *dump_ways(x)]


def _shut_in(x: Inputs) -> Judgement:
    """A place without vents is a danger however much gas there is."""
    n, one = cells(x)
    area = storage.vent_area(storage.fresh_air(n, x.storage.capacity, one.gas))

    def ways() -> list[Way]:
        least = show_up(area, "cm2", 2)
        return [
            act(
                Act.DO,
                f"Give the battery's place two vents of {least} each at the very least, one low and one high opposite. "
                "It takes more where nothing holds the charge voltage.",
            )
        ]

    none = "The battery's place has no vents, and the explosive gas of charging collects there."
    return Judgement(DANGER, lambda: none, ways)


def _starter(x: Inputs) -> Judgement:
    starter, Q = x.storage.starter, x.maybe(Sheet.storage.capacity)

    def says() -> str:
        if not starter:
            return "By the sheet the battery is no starter battery; how often it can be cycled was not checked."
        return (
            "A starter battery used down to half night after night is worn out within months: its thin plates are made "
            "for one hard pull. Often a cell then shorts."
        )

    def ways() -> list[Way]:
        size = "" if Q is None else f" of {show(Q, 'Ah')}"
        return [
            change(
                f"Use a battery{size} made for cycling: traction, solar or leisure.", {Sheet.storage.starter: False}
            ),
            act(Act.DO, "Until then draw no more than 10 % to 20 % of it (common practice, no source)."),
        ]

    return Judgement(FAIL if starter else OK, says, ways)


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
        cells = f"{'reused ' if x.maybe(Sheet.storage.reused) else ''}{x.storage.chemistry}"
        article = "An" if cells.startswith(("AGM", "NMC")) else "A"
        return f"{article} {cells} battery in {_where(place)}: {row['why']}."

    def more() -> str:
        return f"That is {row['standing']}." if row["standing"] in ("from memory", "common practice") else ""

    def ways() -> list[Way]:
        better = [name for name, other in rows.items() if other["level"] == "ok"]
        return [
            change(f"Move the battery to {_where(name)}.", {Sheet.storage.place: name}, kind=Act.MOVE)
            for name in better
        ]

    return Judgement(_LEVELS[row["level"]], says, ways, more=more)


def _where(place: str) -> str:
    """A place with its article; stairs have none."""
    return place if place.startswith("stairs") else f"a {place}"


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
)
