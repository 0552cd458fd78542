"""What must be done before anybody asks why: words that tell of danger to life, each with the first thing to do.

Common practice, no source; what the local fire service and emergency services say goes before all of it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from calc.mechanisms.look import LookPlace


@dataclass(frozen=True)
class FirstOfAll:
    """One kind of danger.

    Parameters
    ----------
    pattern : re.Pattern
        Words that tell of it.
    first : str
        What to do first.
    then : frozenset of LookPlace
        Where somebody may still look once that is done; elsewhere nobody is sent.
    """

    pattern: re.Pattern[str]
    first: str
    then: frozenset[LookPlace]


#: What somebody remembers; and where one stands when the rotor is tied, or all of it lies on the ground.
_REMEMBERED = frozenset({LookPlace.INDOORS})
_TIED = _REMEMBERED | {LookPlace.STOPPED, LookPlace.LOWERED}
_LOWERED = _REMEMBERED | {LookPlace.LOWERED}


def _urgent(pattern: str, first: str, then: frozenset[LookPlace] = _REMEMBERED) -> FirstOfAll:
    return FirstOfAll(re.compile(pattern, re.IGNORECASE), first, then)


#: The gravest first.
URGENT = (
    _urgent(
        r"\b(hurt|injur\w*|bleed\w*|hospital|unconscious|cut by|hit by|(hand|arm|finger|leg|head) (was |got |is )?"
        r"(cut|crush\w*|broke\w*|caught))\b",
        "If anybody is hurt: call the emergency number, and go near nothing that turns, hangs or is live.",
    ),
    _urgent(
        r"\b(caught fire|on fire|in flames?|flames?|burning (down|now)|fire|explo\w+|blew up)\b",
        "Fire: get out, keep others away, call the fire service and name the battery. Water on live wires can"
        " kill; go back to nothing before it is out and cold.",
    ),
    _urgent(
        r"\b(batter\w*|cells?|bank|lithium|pack)\b.{0,40}\b(swollen|swell\w*|bulg\w*|smok\w*|hiss\w*|"
        r"too hot|hot|boil\w*|leak\w*|gassing|spark\w*|fum\w*)\b|"
        r"\b(smok\w*|sparks?|sparking|fumes?|hissing|flames?)\b.{0,40}\b(batter\w*|cells?|bank|lithium)\b|"
        r"\b(swollen|bulging|smoking|hissing|boiling|hot) (batter\w*|cells?|lithium)\b|"
        r"rotten eggs?|sulphur|sulfur",
        "Keep away from the battery: no flame, no spark, no switch beside it. Open doors, stop the rotor by "
        "its own brake from outside, let nothing charge it, and ask the fire service or a licensed "
        "electrician. Touch and measure nothing there.",
    ),
    _urgent(
        r"\b(shock\w*|tingl\w*|zap\w*|electrocut\w*|prickl\w*|got a belt|(fence|mast|tower|frame|case|pole|guy)\w* "
        r"(was|is|were|are|being) (live|electric\w*))\b",
        "Touch nothing: metal that bites can kill. Keep people and animals off, in a calm stop the rotor and "
        "switch off from a dry place, and let a licensed electrician find where it comes from.",
    ),
    _urgent(
        r"\b(ran away|runaway|running away|over ?speed\w*|out of control|can ?no?t stop|"
        r"cannot be stopped|wo ?n.?t stop|"
        r"does ?n.?t stop|kept on turning|still turning|brake .{0,25}(not|no effect|nothing|n.t)|"
        r"(not|n.t) (stop|brake|hold))\b",
        "Clear everybody out of the circle in which pieces fly, and stay out until the wind drops and it "
        "stands. Go near only then; tie the rotor before anything else.",
        _TIED,
    ),
    _urgent(
        r"\b(mast|tower|pole|pylon)\b.{0,40}\b(bent|lean\w*|cracked|buckl\w*|moved|loose|sway\w*|fell|"
        r"fall\w*|down)\b|"
        r"\b(guy|guys|guy ?wires?|anchors?|stays?)\b.{0,30}\b(slack|loose|pulled|snapped|broke\w*|"
        r"came out|gone|let go)\b|"
        r"\b(slack|loose|broken|snapped) (guy|guys|stay|anchor)\b",
        "It may fall: stay farther away than the mast is high, in every direction, and keep others out. Touch"
        " no guy that still holds; lower it only in a calm with people who have done it.",
    ),
    _urgent(
        r"\b(blade|wing|prop\w*|root|hub)s?\b.{0,40}\b(crack\w*|split|loose|coming off|broke\w*|snapped|"
        r"lost|threw|flew)\b|"
        r"\b(threw|lost|thrown|cracked|loose) (a |one |the )?(blade|wing|prop)\b",
        "Let it not turn: stop it from outside the circle in which pieces fly, in a calm tie it, and lower "
        "it. A cracked or unbalanced rotor is not run to find out more.",
        _LOWERED,
    ),
    _urgent(
        r"\b(smok\w*|sparks?|sparking|arcing|red hot|glow\w*|smoulder\w*|charr\w*|melt\w*|"
        r"smells? (of )?(burn\w*|hot)|"
        r"burning smell|burnt smell|scorch\w*)\b",
        "Let nothing go on that smokes or glows: stop the rotor by its brake, then part the battery, and have"
        " a fire extinguisher at hand. It is cold before anybody opens it.",
        _TIED,
    ),
)

#: Words that deny what follows them.
_DENIED = re.compile(r"\b(no|not|never|without|did ?n.?t|does ?n.?t|is ?n.?t|was ?n.?t)\b[^.,;]{0,12}$", re.IGNORECASE)


def first_of_all(text: str) -> tuple[str, ...]:
    """What must be done first by what was told, the gravest first; nothing where nothing tells of danger.

    Examples
    --------
    >>> first_of_all("the battery is swollen and hot")[0][:27]
    'Keep away from the battery:'
    >>> first_of_all("it did not run away"), first_of_all("turned but hardly charged")
    ((), ())
    """
    found = _told(text)
    # Beside a battery that burns or smokes nobody parts anything: what says so goes alone.
    return tuple(one.first for one in found if one.then == _REMEMBERED or not any(o.then == _REMEMBERED for o in found))


def places_left(text: str) -> frozenset[LookPlace]:
    """Where somebody may still look or read, by what was told; everywhere where nothing tells of danger.

    Examples
    --------
    >>> sorted(places_left("the battery is swollen and hot")) == [LookPlace.INDOORS]
    True
    >>> places_left("turned but hardly charged") == frozenset(LookPlace)
    True
    """
    left = frozenset(LookPlace)
    for one in _told(text):
        left &= one.then
    return left


def _told(text: str) -> list[FirstOfAll]:
    found = []
    for one in URGENT:
        held = one.pattern.search(text)
        if held and not _DENIED.search(text[: held.start()]):
            found.append(one)
    return found
