"""The cells of the battery: how they are put together, what watches them, and where they come from."""

from __future__ import annotations

from typing import cast

import numpy as np

from calc.finding import COMMON_PRACTICE, Act, Source
from calc.machine.battery import has_battery, has_lithium
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Inputs
from calc.physics import storage
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule
from calc.rules.phrases import FIRE
from calc.rules.sources import CELL_MONITOR, UNLOADED
from calc.rules.ways import Try, Way, act, change
from calc.units import Num, show

#: Strings in parallel that share the current well, and the most that makers put up with.
_STRINGS_GOOD, _STRINGS_MOST = 2.0, 4.0
#: Voltages that electronics which watch cells withstand. Common practice, no source. [V]
MONITORS = (30.0, 60.0, 100.0, 150.0, 200.0, 300.0, 500.0, 800.0)
SCOPE = Source("IEC 62619:2022", "scope: second-life cells are excluded", "reproduction")
MIXED = Source("Discover, Battery 101, parallel connections", "only new and identical batteries")


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

    def ways() -> list[Way]:
        fuses = "With 2 strings give each a fuse of its own, and never add new cells to old."
        kits: list[Try] = [{Sheet.storage.strings: n, Sheet.storage.alike: True} for n in (1.0, 2.0)]
        return [change(f"Build the bank of like cells bought together, {_each(x)}. {fuses}", *kits)]

    # That cells are alike is the sheet's word; their strings are counted.
    counted = alike and x.given(Sheet.storage.strings)
    return Judgement(level, says, ways, strings if counted else None, _STRINGS_MOST if counted else None)


def _each(x: Inputs) -> str:
    Q = x.maybe(Sheet.storage.capacity)
    if Q is None:
        return "1 string of the whole capacity or 2 of half of it"
    return f"1 string of {show(Q, 'Ah')} or 2 of {show(Q / 2.0, 'Ah')} each"


def _monitor(x: Inputs) -> Judgement:
    one = storage.cell(x.storage.chemistry)
    watched = bool(x.maybe(Sheet.storage.cell_monitor))

    def says() -> str:
        if watched:
            return (
                "Electronics watch every cell and can disconnect the battery. The generator then loses its load, so a "
                "dump load or brake must act on the rectifier's side of them."
            )
        return (
            f"Nothing watches the single cells: one can be beyond {show(one.charge_high, 'V')} or below "
            f"{show(one.lowest, 'V')}, and catch fire, while the bank's voltage looks right."
        )

    def ways() -> list[Way]:
        fitted = (
            f"Fit electronics that keep every cell between {show(one.lowest, 'V')} and {show(one.charge_high, 'V')} "
            f"and stop charging outside {show(one.cold + 273.15, 'degC')} to {show(one.hot + 273.15, 'degC')}."
        )
        bare: Try = {Sheet.storage.cell_monitor: True}
        rated: list[Try] = [{**bare, Sheet.storage.monitor_voltage: V} for V in MONITORS]
        return [change(f"{fitted} Keep the dump load on the rectifier's side of them.", bare, *rated)]

    return Judgement(OK if watched else DANGER, says, ways)


def _reused(x: Inputs) -> Judgement:
    if not x.maybe(Sheet.storage.reused):
        return Judgement(OK, lambda: "By the sheet the battery's cells had no life before this one.")
    known, lithium = x.given(Sheet.storage.capacity_left), has_lithium(x)
    left: Num | None = x.maybe(Sheet.storage.capacity_left) if known else None
    if not lithium:
        level = OK if known else FAIL
    elif x.maybe(Sheet.storage.cell_monitor) is False:
        level = DANGER
    else:
        level = MARGINAL if known and x.maybe(Sheet.storage.cell_monitor) else FAIL

    def says() -> str:
        has = f"{show(cast(Num, left), '%')} of their capacity is left" if known else "how much is left is not stated"
        if not lithium:
            return f"The battery's cells had a first life, and {has}."
        seen = x.maybe(Sheet.storage.cell_monitor)
        watched = "electronics watch" if seen else "nothing watches"
        watched = "nothing on the sheet watches" if seen is None else watched
        return (
            f"The battery's cells had a first life, {has}, and {watched} them one by one. IEC 62619, the standard for "
            "fixed lithium batteries, leaves such cells out: nobody has tested them for this use."
        )

    return Judgement(level, says, lambda: _reused_ways(x, known, lithium))


def _reused_ways(x: Inputs, known: bool, lithium: bool) -> list[Way]:
    new: Try = {Sheet.storage.reused: False, **({Sheet.storage.capacity_left: 1.0} if known else {})}
    if not lithium:
        return [
            act(
                Act.MEASURE,
                "Charge the battery fully, discharge it over 20 hours, and note the share of capacity it gave.",
            ),
            change("Take new ones.", new),
        ]
    measure = act(Act.MEASURE, "Measure the capacity of every cell, and keep only those within 5 % of each other.")
    watch = change("Fit electronics that watch every cell.", {Sheet.storage.cell_monitor: True})
    ways = [] if x.maybe(Sheet.storage.cell_monitor) else [watch]
    replaced = change("Take new cells made to IEC 62619.", new)
    return [*([] if known else [measure]), *ways, replaced]


RULES = (
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
        applies=lambda x: x.given(Sheet.storage.reused),
    ),
)
