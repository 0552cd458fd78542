"""How the house is fed. A mistake here kills other people than the builder."""

from __future__ import annotations

import numpy as np

from calc.finding import COMMON_PRACTICE, Source
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.house import NEUTRALS
from calc.machine.inputs import Inputs, Unknown
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule
from calc.units import show

#: What each way of feeding means: level, what is said.
WAYS: dict[str, tuple[int, str]] = {
    "nothing in the house": (
        OK,
        "Nothing in the house is fed. Only what the sheet says about the connection was checked.",
    ),
    "own circuits, apart from the house": (
        OK,
        "The inverter feeds circuits of its own that the sheet says are separate from the house. Whether any "
        "wire joins the two, and how the circuits are earthed and protected against shock, was not checked.",
    ),
    "transfer switch fitted by an electrician": (
        OK,
        "A transfer switch fitted by an electrician keeps inverter and grid apart. Whether it fits the "
        "house, and how neutral and earth are joined, was not checked.",
    ),
    "transfer switch fitted by the builder": (
        DANGER,
        "A transfer switch keeps inverter and grid apart only if it is the right kind and rightly wired. "
        "One fitted by the builder is checked by nobody, and a mistake shows only when somebody is hurt.",
    ),
    "inverter into a socket by a lead with two plugs": (
        DANGER,
        "When one plug is out its bare pins are live. The lead also goes round the breaker that protects "
        "the wiring, and feeds the street: the transformer turns it into thousands of volts on a line that "
        "others believe dead.",
    ),
    "inverter wired into the house panel, main switch turned off by hand": (
        DANGER,
        "Only somebody's memory keeps inverter and grid apart. If the main switch is on once, the inverter "
        "feeds a line that others believe dead, or is destroyed when the grid comes back.",
    ),
    "inverter wired into one circuit of the house, its breaker turned off by hand": (
        DANGER,
        "A breaker opens one wire, and only memory keeps it off. Switched on once, the inverter feeds the whole "
        "house and a line that others believe dead, or is destroyed by the grid.",
    ),
    "inverter in parallel with the grid": (
        DANGER,
        "An inverter beside the grid must stop by itself within two seconds when the grid fails. The sheet "
        "does not state that this one is listed to do so, so it may keep a line alive that others believe "
        "dead.",
    ),
}


def _feed(x: Inputs) -> Judgement:
    feed = x.house.feed
    level, text = WAYS[feed]
    if feed == "inverter in parallel with the grid" and x.maybe(Sheet.inverter.grid_listed) is True:
        level, text = (
            MARGINAL,
            "The sheet states that the inverter is listed to feed the grid and stops by itself. Whether the "
            "network's operator agreed and an electrician connected it was not checked.",
        )
    P = x.maybe(Sheet.inverter.power)

    def remedy() -> str:
        size = f" for the inverter's {show(P, 'W')}" if P is not None else ""
        if level == MARGINAL:
            return "Have a licensed electrician connect it, after the network's operator has agreed in writing."
        return (
            f"Use circuits of their own{size}, separate from the house, or a transfer switch chosen and fitted "
            "by a licensed electrician under the local code, with the network's operator told of it."
        )

    return Judgement(level, lambda: text, remedy)


def _shock(x: Inputs) -> Judgement | Unknown:
    """Judge neutral, earth and residual-current device together, for one is no use without the other.

    A residual-current device compares the wires that go out with those that come back, so it is blind where the
    inverter's output floats. There one appliance alone is protected by that itself (electrical separation); a second
    one is not. A neutral joined to earth twice lets its current flow through earth wires. Without the device, outdoors
    or in the wet, the first fault can kill.
    """
    neutral, rcd = x.maybe(Sheet.house.neutral), x.maybe(Sheet.house.rcd)
    twice, floating = neutral == NEUTRALS[1], neutral == NEUTRALS[2]
    separated = np.asarray(False)
    if floating and rcd is not True:
        if missing := x.lacks(Sheet.inverter.appliances):
            return Unknown("", missing)
        separated = np.asarray(x.inverter.appliances) < 2.0
        if np.all(separated):
            return _separated()
    missing = x.lacks(Sheet.house.neutral, Sheet.house.rcd)
    if missing and not twice and rcd is not False:
        return Unknown("", missing)
    wet = x.maybe(Sheet.inverter.outdoors) is True
    bare = DANGER if wet else FAIL
    joined = bare if rcd is False else FAIL if twice else MARGINAL if floating else OK
    level = np.where(separated, OK, joined)
    return Judgement(level, lambda: _shock_says(neutral, rcd, wet=wet), lambda: _SHOCK_REMEDY)


_SHOCK_REMEDY = (
    "Have an electrician join neutral and earth at one place, and fit a residual-current device of 30 mA or "
    "less ahead of every socket. Which place depends on whether the transfer switch opens the neutral. Ask "
    "the inverter's maker first: some outputs must not be earthed."
)


def _shock_says(neutral: str | None, rcd: bool | None, *, wet: bool) -> str:
    parts = []
    if rcd is False and wet:
        parts.append("What it feeds is used outdoors or in the wet, where a shock passes through the whole body.")
    if neutral == NEUTRALS[1]:
        parts.append(
            "The neutral meets earth at two places, so part of the load's current flows through earth wires and "
            "metal cases."
        )
    if rcd is False:
        parts.append("No residual-current device switches off when somebody touches a live wire.")
    if neutral == NEUTRALS[2] and rcd is not False:
        parts.append(
            "The inverter's output is not joined to earth, so the residual-current device cannot see a fault. The "
            "first fault goes unnoticed, and the second can kill."
        )
    if not parts:
        parts.append(
            "The sheet says that the neutral meets earth at one place and that a residual-current device protects "
            "every socket. Whether it trips when tested was not checked."
        )
    return " ".join(parts)


def _separated() -> Judgement:
    return Judgement(
        OK,
        lambda: (
            "The inverter's output is not joined to earth and feeds one appliance: that is electrical separation, "
            "which needs no residual-current device and would blind one. It ends with a second appliance, or an earth "
            "wire. Whether the output really floats was not checked."
        ),
    )


def _labels(x: Inputs) -> Judgement:
    posted = x.maybe(Sheet.house.labels) is True

    def says() -> str:
        if posted:
            return "The sheet says that labels, a one-line diagram and the steps to stop the rotor are posted."
        return (
            "Nothing tells a stranger, or a fire brigade, that this place has a second supply, where it is switched "
            "off and how the rotor is stopped."
        )

    def remedy() -> str:
        return (
            "Post 3 things: a label at the meter and at each switch that names the second supply, the one-line diagram "
            "beside them, and at the mast the steps to stop the rotor, in their order."
        )

    return Judgement(OK if posted else FAIL, says, remedy)


def _has_output(x: Inputs) -> bool:
    return x.given(Sheet.inverter.power)


def _supplies(x: Inputs) -> bool:
    return x.given(Sheet.inverter.power) and x.maybe(Sheet.house.feed) != "nothing in the house"


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
