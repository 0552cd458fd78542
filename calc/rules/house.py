"""How the house is fed. A mistake here kills other people than the builder."""

from __future__ import annotations

from calc.finding import Source
from calc.rules.engine import DANGER, MARGINAL, OK, Inputs, Judgement, Rule
from calc.units import show

#: What each way of feeding means: level, what is said.
WAYS: dict[str, tuple[int, str]] = {
    "nothing in the house": (
        OK,
        "Nothing in the house is fed. Only what the sheet says about the connection was checked.",
    ),
    "own circuits, apart from the house": (
        OK,
        "The inverter feeds circuits of its own that the sheet says are apart from the house. Whether any "
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
    "inverter in parallel with the grid": (
        DANGER,
        "An inverter beside the grid must stop by itself within two seconds when the grid fails. The sheet "
        "does not state that this one is listed to do so, so it may keep a line alive that others believe "
        "dead.",
    ),
}


def _feed(x: Inputs) -> Judgement:
    feed = x.word("house.feed")
    level, text = WAYS[feed]
    if feed == "inverter in parallel with the grid" and x.get("inverter.grid_listed") is True:
        level, text = (
            MARGINAL,
            "The sheet states that the inverter is listed to feed the grid and stops by itself. Whether the "
            "network's operator agreed and an electrician connected it was not checked.",
        )
    P = x.maybe("inverter.power")

    def remedy() -> str:
        size = f" for the inverter's {show(P, 'W')}" if P is not None else ""
        if level == MARGINAL:
            return "Have a licensed electrician connect it, after the network's operator has agreed in writing."
        return (
            f"Use circuits of their own{size}, apart from the house, or a transfer switch chosen and fitted "
            "by a licensed electrician."
        )

    return Judgement(level, lambda: text, remedy)


RULES = (
    Rule(
        "house.feed",
        "Connection to the house",
        "house",
        ("house.feed",),
        _feed,
        (
            Source("US Consumer Product Safety Commission, warning of 15 September 2022 on leads with two plugs"),
            Source("NEC 2017", "702.5: transfer equipment; 694.60: listed inverters only", "reproduction"),
            Source("IEC 60364-5-55", "551, low-voltage generating sets", "reproduction"),
            Source("IEEE 1547, IEC 62116", "stop within 2 s when the grid fails", "reproduction"),
        ),
        "This can kill: people in the house, and people who work on a line they believe dead. It also "
        "starts fires. Local rules decide what may be connected, and a licensed electrician has to do it.",
    ),
)
