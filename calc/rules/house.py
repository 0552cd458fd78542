"""How the house is fed. A mistake here kills other people than the builder."""

from __future__ import annotations

from typing import Any

import numpy as np

from calc.finding import COMMON_PRACTICE, Act, Source
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.house import (
    BESIDE_GRID,
    BREAKER_BY_HAND,
    MAIN_SWITCH_BY_HAND,
    NOT_EARTHED,
    NOTHING_FED,
    ONE_PLACE,
    OWN_CIRCUITS,
    OWN_TRANSFER_SWITCH,
    TRANSFER_SWITCH,
    TWO_PLACES,
    TWO_PLUGS,
)
from calc.machine.entry import Entry, Value
from calc.machine.inputs import Inputs, Unknown
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule
from calc.rules.ways import Way, act, change
from calc.units import show

#: What each way of feeding means: level, what is said.
FED: dict[str, tuple[int, str]] = {
    NOTHING_FED: (
        OK,
        "Nothing in the house is fed, by the sheet. Whether anything else joins inverter and house was not checked.",
    ),
    OWN_CIRCUITS: (
        OK,
        "The inverter feeds circuits of its own, apart from the house, by the sheet. Whether any wire joins the two "
        "was not checked; how they are earthed and protected against shock is judged under its own heading.",
    ),
    TRANSFER_SWITCH: (
        OK,
        "A transfer switch fitted by an electrician keeps inverter and grid apart, by the sheet. Whether it fits the "
        "house was not checked; how neutral and earth are joined is judged under its own heading.",
    ),
    OWN_TRANSFER_SWITCH: (
        DANGER,
        "Nobody checks a transfer switch that the builder fitted, and a mistake in it shows only when somebody is "
        "hurt. It keeps inverter and grid apart only if it is the right kind and rightly wired.",
    ),
    TWO_PLUGS: (
        DANGER,
        "When one plug of that lead is pulled out, its bare pins are live, and whoever touches them can be killed. "
        "The lead also goes round the breaker that protects the wiring. It feeds the street as well: the transformer "
        "turns it into thousands of volts on a line that others believe dead.",
    ),
    MAIN_SWITCH_BY_HAND: (
        DANGER,
        "Only somebody's memory keeps inverter and grid apart: with the main switch on once, the inverter feeds a "
        "line that others believe dead. When the grid comes back it destroys the inverter.",
    ),
    BREAKER_BY_HAND: (
        DANGER,
        "Only memory keeps that breaker off: switched on once, the inverter feeds the whole house and a line that "
        "others believe dead. The breaker also opens one wire only, and the grid can destroy the inverter.",
    ),
    BESIDE_GRID: (
        DANGER,
        "Nothing says that this inverter stops when the grid fails, so it may keep a line alive that others believe "
        "dead. One listed to feed the grid stops by itself within two seconds.",
    ),
}
LISTED = (
    "Whether the network's operator has agreed to this inverter, and an electrician connected it, was not checked. It "
    "is listed to feed the grid and stops by itself when the grid fails, by the sheet."
)
#: Said beside every remedy of a feed that can kill.
UNTIL_THEN = "Until then keep the inverter disconnected from the house."


def _feed(x: Inputs) -> Judgement:
    feed = x.house.feed
    level, text = FED[feed]
    if feed == BESIDE_GRID and x.maybe(Sheet.inverter.grid_listed) is True:
        return Judgement(
            MARGINAL,
            lambda: LISTED,
            lambda: [
                act(
                    Act.ASK,
                    "Have a licensed electrician connect it, once the network's operator has agreed in writing.",
                )
            ],
        )
    return Judgement(level, lambda: text, lambda: _feed_ways(x, feed))


def _feed_ways(x: Inputs, feed: str) -> list[Way]:
    P = x.maybe(Sheet.inverter.power)
    size = "" if P is None else f", rated for the inverter's {show(P, 'W')} or more"
    ways = [change(f"Feed the house through a {{0}}{size}. {UNTIL_THEN}", {Sheet.house.feed: TRANSFER_SWITCH})]
    if feed == BESIDE_GRID:
        listed = "Use an inverter that is listed to feed the grid and stops by itself."
        ways.append(change(f"{listed} {UNTIL_THEN}", {Sheet.inverter.grid_listed: True}))
    else:
        apart = "Give the inverter circuits of its own, with no wire joined to the house."
        ways.append(change(apart, {Sheet.house.feed: OWN_CIRCUITS}))
    ask = "Ask a licensed electrician what the local code permits, and tell the network's operator."
    return [*ways, act(Act.ASK, ask)]


def _shock(x: Inputs) -> Judgement | Unknown:
    """Judge neutral, earth and residual-current device together, for one is no use without the other.

    A residual-current device compares the wires that go out with those that come back, so it is blind where the
    inverter's output floats. There one appliance alone is protected by that itself (electrical separation); a second
    one is not. A neutral joined to earth twice lets its current flow through earth wires. Without the device, outdoors
    or in the wet, the first fault can kill.
    """
    neutral, rcd = x.maybe(Sheet.house.neutral), x.maybe(Sheet.house.rcd)
    twice, floating = neutral == TWO_PLACES, neutral == NOT_EARTHED
    separated = np.asarray(False)
    if floating and rcd is not True:
        if missing := x.lacks(Sheet.inverter.appliances):
            return Unknown("", missing)
        separated = np.asarray(x.inverter.appliances) < 2.0
        if np.all(separated):
            return Judgement(OK, lambda: SEPARATED)
    missing = x.lacks(Sheet.house.neutral, Sheet.house.rcd)
    if missing and not twice and rcd is not False:
        return Unknown("", missing)
    wet = x.maybe(Sheet.inverter.outdoors) is True
    bare = DANGER if wet else FAIL
    joined = bare if rcd is False else FAIL if twice else MARGINAL if floating else OK
    level = np.where(separated, OK, joined)
    return Judgement(level, lambda: _shock_says(neutral, rcd, wet=wet), lambda: _shock_ways(neutral, rcd), more=_where)


SEPARATED = (
    "The inverter's output is not joined to earth and feeds one appliance: that is electrical separation, which needs "
    "no residual-current device (RCD) and would blind one. It ends with a second appliance, or an earth wire. Whether "
    "the output really floats was not checked."
)


def _shock_says(neutral: str | None, rcd: bool | None, *, wet: bool) -> str:
    parts = []
    if rcd is False and wet:
        parts.append(
            "No residual-current device (RCD) protects what is used outdoors or in the wet, where a shock passes "
            "through the whole body."
        )
    elif rcd is False:
        parts.append("No residual-current device (RCD) switches off when somebody touches a live wire.")
    if neutral == TWO_PLACES:
        parts.append(
            "The neutral meets earth at two places, so part of the load's current flows through earth wires and "
            "metal cases."
        )
    if neutral == NOT_EARTHED and rcd is not False:
        parts.append(
            "The inverter's output is not joined to earth, so the residual-current device (RCD) cannot see a fault. "
            "The first fault goes unnoticed, and the second can kill."
        )
    return " ".join(parts) or (
        "By the sheet the neutral meets earth at one place and a residual-current device (RCD) protects every socket. "
        "Whether it trips when tested was not checked."
    )


def _shock_ways(neutral: str | None, rcd: bool | None) -> list[Way]:
    kit: dict[Entry[Any], Value] = {}
    parts = []
    if neutral != ONE_PLACE:
        kit[Sheet.house.neutral] = ONE_PLACE
        parts.append("join neutral and earth at one place only")
    if rcd is not True:
        kit[Sheet.house.rcd] = True
        parts.append("fit an RCD of 30 mA or less ahead of every socket")
    ways = [change(f"Have a licensed electrician {' and '.join(parts)}.", kit)]
    if neutral == NOT_EARTHED and rcd is False:
        ways.append(
            change("Plug in {0} appliance at a time, and one without an earth wire.", {Sheet.inverter.appliances: 1.0})
        )
    if neutral != ONE_PLACE:
        ways.append(act(Act.ASK, "Ask the inverter's maker first: some outputs must not be earthed."))
    return ways


def _where() -> str:
    return (
        "At which place neutral and earth are joined depends on whether the transfer switch opens the neutral. Some "
        "inverters' outputs must not be earthed at all."
    )


def _labels(x: Inputs) -> Judgement:
    posted = x.maybe(Sheet.house.labels) is True

    def says() -> str:
        if posted:
            return "Labels, a one-line diagram and the steps to stop the rotor are posted, by the sheet."
        return (
            "Nothing tells a stranger or a fire brigade that this place has a second supply, where to switch it off "
            "and how to stop the rotor."
        )

    three = (
        "Post 3 things: labels of the second supply at meter and switches, a one-line diagram, and the stopping steps "
        "at the mast."
    )
    return Judgement(OK if posted else FAIL, says, lambda: [change(three, {Sheet.house.labels: True})])


def _has_output(x: Inputs) -> bool:
    return x.given(Sheet.inverter.power)


def _supplies(x: Inputs) -> bool:
    return x.given(Sheet.inverter.power) and x.maybe(Sheet.house.feed) != NOTHING_FED


RULES = (
    Rule(
        "house.feed",
        "Connection to the house",
        "house",
        (Sheet.house.feed,),
        _feed,
        (
            Source("US Consumer Product Safety Commission, warning of 15 September 2022 on leads with two plugs"),
            Source("NEC 2017", "702.5: transfer equipment; 694.60: listed inverters only", "reproduction"),
            Source("IEC 60364-5-55", "551, low-voltage generating sets", "reproduction"),
            Source("IEEE 1547, IEC 62116", "stop within 2 s when the grid fails", "reproduction"),
        ),
        "This can kill: people in the house, and people who work on a line they believe dead. It also "
        "starts fires. Local rules decide what may be connected, and a licensed electrician has to do it.",
        deadly=True,
        at_once=True,
    ),
    Rule(
        "house.shock",
        "Neutral, earth and residual-current device",
        "house",
        (),
        _shock,
        (
            Source("NEC 2017", "702.11, 250.30: neutral switched or not decides where it is earthed", "reproduction"),
            Source(
                "IEC 60364-4-41",
                "411.3.3: 30 mA for sockets, mobile tools outdoors; 413: separation, one item",
                "from memory",
            ),
            Source("IEC 60364-5-55", "551: protection no less effective than on the grid", "reproduction"),
        ),
        "What comes out of an inverter kills like the grid does. Local rules decide how neutral and earth are joined, "
        "and a licensed electrician has to do and test it.",
        applies=_has_output,
        deadly=True,
    ),
    Rule(
        "house.labels",
        "Labels and one-line diagram",
        "house",
        (Sheet.house.labels,),
        _labels,
        (
            Source("NEC 2017", "694.54, 694.56, 702.7: plaques for a second supply and to disable", "reproduction"),
            COMMON_PRACTICE,
        ),
        "People who come to help or to repair believe that what is switched off at the meter is dead.",
        applies=_supplies,
    ),
)
