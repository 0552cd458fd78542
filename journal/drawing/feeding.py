"""How the house is fed, as a chain of devices from the inverter down: drawn as what it is, dangers and all."""

from __future__ import annotations

from dataclasses import replace

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.house import (
    BESIDE_GRID,
    BREAKER_BY_HAND,
    MAIN_SWITCH_BY_HAND,
    NOTHING_FED,
    OWN_CIRCUITS,
    OWN_TRANSFER_SWITCH,
    TRANSFER_SWITCH,
    TWO_PLUGS,
)
from calc.machine.design import Design
from calc.machine.diagram import Device
from journal.review.wired import Hung

#: Where a switch between two supplies would have only one.
_NO_MAINS = "where there is no mains, change house.feed"
#: What stands between inverter and grid for each way of feeding: what it is, what it is called, what is told of it.
#: Behind an "apart" nothing is joined.
_CHAINS: dict[str, tuple[tuple[str, str, str], ...]] = {
    NOTHING_FED: (("apart", "Nothing in the house is fed", "no wire joins it, by the sheet"),),
    OWN_CIRCUITS: (
        ("socket", "Circuits of its own", "fed by this machine alone"),
        ("apart", "Any other wiring", "no wire joins it, by the sheet"),
    ),
    TRANSFER_SWITCH: (
        ("changeover", "Transfer switch", f"inverter or mains, never both; fitted by an electrician; {_NO_MAINS}"),
        ("house", "What is fed", "the circuits behind the switch"),
    ),
    OWN_TRANSFER_SWITCH: (
        ("changeover", "Transfer switch, fitted by the builder", f"checked by nobody; {_NO_MAINS}"),
        ("house", "What is fed", "the circuits behind the switch"),
    ),
    TWO_PLUGS: (
        ("plug up", "Lead with two plugs: first plug", "in the inverter's socket"),
        ("plug", "Lead with two plugs: second plug", "BARE PINS, LIVE when it is pulled out"),
        ("socket", "Socket of the house", "fed backwards, round its breaker"),
        ("house", "House", "its whole wiring"),
        ("grid", "Grid", "JOINED: nothing keeps the street's line apart"),
    ),
    MAIN_SWITCH_BY_HAND: (
        ("house", "House panel", "the inverter is wired into it"),
        ("by hand", "Main switch", "turned off by hand; nothing else keeps inverter and grid apart"),
        ("grid", "Grid", ""),
    ),
    BREAKER_BY_HAND: (
        ("socket", "One circuit of the house", "the inverter is wired into it"),
        ("by hand", "Breaker of that circuit", "turned off by hand; nothing else keeps inverter and grid apart"),
        ("house", "House panel", ""),
        ("grid", "Grid", "JOINED"),
    ),
    BESIDE_GRID: (
        ("house", "House", "in parallel with the grid"),
        ("grid", "Grid", "JOINED at all times"),
    ),
}
#: The device of such a chain at which a danger of the feed sits.
_SITS = {TWO_PLUGS: 1, MAIN_SWITCH_BY_HAND: 1, BREAKER_BY_HAND: 1, BESIDE_GRID: 1}


def chain(house: Hung, design: Design) -> list[Hung]:
    """What stands for the house at the end of the line; its weak spots sit where the danger does."""
    feed = design.get(Sheet.house.feed)
    if feed is None:
        return [replace(house, device=Device("unknown", "House"), facts=("? the sheet does not say how it is fed",))]
    links = [Hung(Device(kind, name), (told,) if told else (), ()) for kind, name, told in _CHAINS[feed]]
    at = _SITS.get(feed, 0)
    links[at] = replace(links[at], weak=house.weak, more=house.more)
    return links
