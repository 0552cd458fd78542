"""Words of somebody who never built a machine, for what the record says in those of the trade."""

from __future__ import annotations

import re

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
from calc.machine.catalogue.neighbours import HOUSE, LINE, OWN_HOUSE, PATH, PLAY, ROAD
from calc.physics.wind import beaufort
from calc.units import show
from journal.errors import stopped

#: What somebody without the trade's words would call it.
OVERSPEED = {
    "furling tail": "a tail that turns it out of the wind",
    "pitching blades": "blades that turn out of the wind by themselves",
    "mechanical brake worked by speed": "a brake that works by itself when it turns too fast",
    "other, worked by speed": "a means of its own that is not described here",
}
BRAKES = {
    "switch that shorts the generator": "a switch that brakes it electrically",
    "mechanical brake": "a mechanical brake",
    "other": "a brake that is not described here",
}
MASTS = {
    "guyed tilt-up": "a mast held by ropes, that can be lowered",
    "free-standing pole": "a pole of its own",
    "lattice tower": "a lattice tower of its own",
    "on a roof or gable": "a mast fixed to a building",
    "other": "a mast that is not described here",
}
FEEDS = {
    NOTHING_FED: "It is not connected to the house wiring or to the public grid.",
    OWN_CIRCUITS: "It is not connected to the house wiring or to the public grid.",
    TRANSFER_SWITCH: "A switch fitted by an electrician keeps it apart from the mains and the street.",
    OWN_TRANSFER_SWITCH: "A switch keeps it apart from the mains; no electrician fitted it.",
    TWO_PLUGS: "It feeds the house through a lead with two plugs. That can kill, in the house and in the street: an "
    "electrician must change it.",
    MAIN_SWITCH_BY_HAND: "It feeds the house, and only a switch that somebody must remember keeps it off the wires of "
    "the street: an electrician must change it.",
    BREAKER_BY_HAND: "It feeds the house, and only a switch that somebody must remember keeps it off the wires of the "
    "street: an electrician must change it.",
    BESIDE_GRID: "It runs side by side with the public grid. Only the utility can permit that, and only a licensed "
    "electrician may connect it.",
}
#: What one sees in a wind of each Beaufort number, after the scale for use on land; from memory.
FORCES = (
    "calm air", "hardly any wind", "a light breeze", "a gentle breeze", "a moderate breeze, which moves small branches",
    "a fresh wind, in which small trees sway", "a strong wind, which moves large branches",
    "a strong wind, in which whole trees move", "a gale, in which walking is hard and twigs break off",
    "a strong gale, which takes tiles off roofs", "a storm, which uproots trees",
    "a violent storm, which does damage everywhere", "a hurricane",
)  # fmt: skip
#: The Beaufort number of a gale.
GALE = 8
#: What is as loud as so many decibels, each up to a level; from memory.
_LOUD = ((25.0, "less than a whisper"), (35.0, "about a whisper"), (45.0, "about a quiet room"),
         (55.0, "about quiet talk"), (65.0, "about ordinary talk"))  # fmt: skip
#: What is about as high as the rotor's middle, each up to a height [m]; from memory.
_HIGH = ((4.0, "lower than most roofs"), (6.5, "as high as the roof of a bungalow"),
         (11.0, "as high as the roof of a house"))  # fmt: skip
#: Words of the trade, and numbers in its units: a text that has one is not plain.
TRADE = re.compile(
    r"\b(?:furl\w*|rectif\w*|invert\w*|emf|windings?|dump\w*|torque|stator|short(?:s|ed|ing)?|tip.speed|bft|beaufort|"
    r"yaw\w*|resonan\w*|unload\w*|overspeed|tsr|voltages?|amp\w*|currents?|ohms?|rpm|solidity|chord|pitch\w*|shackles?|"
    r"mppt|lifepo4|diodes?|phases?|gin pole)\b|\d ?(?:m/s|rpm|k?V|m?A|Ah|k?W|Wh|kWh|Nm|N|kN|Hz|MPa|mm2|mm²|Ω|ohm)\b",
    re.IGNORECASE,
)  # fmt: skip


#: Each kind with its article; and where the label says no more than the kind.
_A_KIND = {HOUSE: "a neighbour's house", ROAD: "a road", PATH: "a path", PLAY: "a place where people stay",
           LINE: "a power line"}  # fmt: skip
_THE_KIND = {HOUSE: "the neighbour's house", ROAD: "the road", PATH: "the path", PLAY: "the place where people stay",
             LINE: "the power line"}  # fmt: skip
_ANOTHER = {HOUSE: "another house", OWN_HOUSE: "another house of the builder's", ROAD: "another road",
            PATH: "another path", PLAY: "another such place", LINE: "another power line"}  # fmt: skip
#: Words that tell what something is, and never whose it is or how it is called: a label of other words stays private.
_THINGS = frozenset({
    "house", "home", "farm", "farmhouse", "cottage", "bungalow", "barn", "byre", "stable", "shed", "garage",
    "workshop", "greenhouse", "cabin", "flat", "school", "hall", "church", "chapel", "shop", "pub", "inn",
    "campsite", "caravan", "kennel", "coop", "mill", "lane", "road", "street", "track", "drive", "path", "footpath",
    "bridleway", "trail", "gate", "stile", "bridge", "ford", "crossing", "yard", "courtyard", "garden", "gardens",
    "playground", "swings", "sandpit", "trampoline", "terrace", "patio", "lawn", "allotment", "allotments",
    "orchard", "meadow", "field", "paddock", "pasture", "wood", "pond", "pool", "beach", "bench", "bus", "stop",
    "car", "park", "railway", "canal", "river", "hedge", "wall", "fence", "line", "lines", "wire", "wires", "pole",
    "pylon", "cable",
})  # fmt: skip
#: Words that tell such things apart.
_WHICH = frozenset({
    "north", "south", "east", "west", "northern", "southern", "eastern", "western", "left", "right", "upper",
    "lower", "next", "old", "new", "big", "small", "back", "front", "far", "near", "side", "field", "farm",
    "village",
})  # fmt: skip


def _tells(word: str) -> bool:
    """Whether a label names a thing, and nothing but that."""
    words = word.casefold().split()
    return bool(words) and words[-1] in _THINGS and all(w in _THINGS or w in _WHICH for w in words)


def another(kind: str) -> str:
    """One more of a kind, after one was told that is called the same."""
    return _ANOTHER[kind]


def place_words(kind: str, label: str, *, brief: bool = False) -> str:
    """What stands there in the builder's word for it, and unless ``brief`` what that is where the word does not say so.

    Examples
    --------
    >>> place_words(OWN_HOUSE, "house"), place_words(PATH, "gate"), place_words(ROAD, "lane"), place_words(LINE, "line")
    ("the builder's own house", 'the gate (a path)', 'the lane', 'the power line')
    >>> place_words(HOUSE, "house"), place_words(HOUSE, "widow"), place_words(HOUSE, "mill-cottage")
    ("the neighbour's house", "a neighbour's house", "the mill cottage (a neighbour's house)")
    """
    if kind == OWN_HOUSE:
        return "the builder's own house"
    word = re.sub(r"[-_]+", " ", label).strip()
    if not _tells(word):
        return _A_KIND[kind]
    if word in re.split(r"\W+", f"{kind} {_A_KIND[kind]}"):
        return _THE_KIND[kind]
    same = word in (Sheet.neighbour.kind["x"].also or {}).get(kind, ())
    return f"the {word}" if same or brief else f"the {word} ({_A_KIND[kind]})"


def force_of(wind: float | None) -> int | None:
    """The Beaufort number of a wind [m/s]; nothing where it is not known.

    Examples
    --------
    >>> force_of(beaufort(8)[0]), force_of(beaufort(8)[1]), force_of(None)
    (8, 9, None)
    """
    if wind is None:
        return None
    # What was typed as a number of the scale is kept as its limits, of which the lower is its own.
    return max(n for n in range(len(FORCES)) if beaufort(n)[0] <= wind + 1e-6)


def force_words(force: int | None) -> str:
    """A wind in words, with its number on the scale; empty where it is not known."""
    return "" if force is None else f"{FORCES[force]} (force {force})"


def high_words(metres: float | None) -> str:
    """About as high as what everybody knows, or higher than that."""
    return next((words for most, words in _HIGH if metres is not None and metres <= most), "higher than most roofs")


def decibels(level: float) -> str:
    """A sound level with its unit as people say it."""
    return f"{show(level, 'dB(A)', 2).removesuffix(' dB(A)')} decibels"


def loud(level: float) -> str:
    """What is about as loud."""
    return next((words for most, words in _LOUD if level <= most), "louder than people who talk")


def clipped(text: str, most: int) -> str:
    """A text on one line, of which whole sentences are kept up to so many words; a first that is longer is cut.

    Examples
    --------
    >>> clipped("It fell. Nobody was near it that day.", 4), clipped("one two three four", 2), clipped("", 3)
    ('It fell.', 'one two …', '')
    """
    words = text.split()
    if len(words) <= most:
        return " ".join(words)
    ends = [i + 1 for i, word in enumerate(words[:most]) if word.endswith((".", "!", "?"))]
    return " ".join(words[: ends[-1]]) if ends else " ".join(words[:most]) + " …"


def plain(text: str | None, most: int) -> str:
    """A text that can be spared, without its stop, where it is short and in everybody's words; else nothing."""
    if not text or len(text.split()) > most or TRADE.search(text):
        return ""
    return stopped(" ".join(text.split())).removesuffix(".")
