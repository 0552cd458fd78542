"""What can be seen, heard, felt or tried without a number: what a look is, and how its answer counts.

Every answer is doubtful: eyes err, and one sign has many causes. So a look states, for each mechanism of which it tells
something, in how many cases of ten one would answer yes if that were at work, and in how many if none of them were.
"Cannot tell" says nothing. Nobody is ever asked to climb: what is at the top is looked at with the mast lowered.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np

from calc.finding import Source
from calc.machine.inputs import Inputs
from calc.quantities import LookAnswer


class LookPlace(StrEnum):
    """Where a look is taken, the nearest first."""

    INDOORS = "indoors or from memory, nothing opened"
    GROUND = "from the ground, nothing opened"
    BATTERY = "at the battery and its boxes"
    STOPPED = "at the foot of the mast, the rotor stopped"
    LOWERED = "at the machine, the mast lowered"


#: What must be done before anybody looks there. Common practice, no source.
BEFORE: dict[LookPlace, str] = {
    LookPlace.INDOORS: "Touch nothing that is live.",
    LookPlace.GROUND: "Stay outside the circle in which pieces can fall; touch nothing that turns or is live.",
    LookPlace.BATTERY: (
        "Take off rings and watch, keep flames away, cover what you do not test: a battery shorted by a tool burns. "
        "Leave what is above 50 V to a licensed person."
    ),
    LookPlace.STOPPED: (
        "In a calm, stop the rotor by your own routine and tie it, so that no gust can turn it; only then open a box. "
        "Part no lead of a rotor that turns: without its load it runs away."
    ),
    LookPlace.LOWERED: (
        "Nobody climbs: in a calm, stop the rotor, lower the mast by its own routine with helpers outside its reach, "
        "and tie the rotor before you touch it."
    ),
}
#: Minutes until one stands there, and how much can go wrong, 0 to 2. Own estimates, no source.
ARRIVING: dict[LookPlace, float] = dict(zip(LookPlace, (0.0, 0.0, 2.0, 10.0, 90.0), strict=True))
DANGER: dict[LookPlace, int] = dict(zip(LookPlace, (0, 0, 1, 1, 2), strict=True))
#: Whence all shares are, where a look names nothing better.
REMEMBERED = Source("How often a sign is there, own estimate from common practice", standing="from memory")


@dataclass(frozen=True, slots=True)
class CaseLook:
    """One answer on record for a failure: the name of a look, what was found, and the record's reference."""

    name: str
    answer: str
    label: str = ""


@dataclass(frozen=True, slots=True)
class Look:
    """One thing to look at.

    Parameters
    ----------
    name : str
        As it is typed, such as ``"green-terminals"``. Never reused.
    question : str
        To be answered by yes or no.
    how : str
        How to do it; what must be done before stands in :data:`BEFORE`.
    place : LookPlace
        Where.
    minutes : float
        How long it takes there.
    yes : mapping of str to float
        Share of machines that fail by a mechanism, by its id, of which one would say yes.
    usual : float
        The same where none of these is at work.
    tools : tuple of str
        What is needed beside eyes, ears and hands.
    applies : callable
        The same for looking at it; nought where this design has nothing of the kind.
    source : Source
        Whence the shares are.
    asked : bool
        Whether somebody remembers it, so that nobody goes near anything.
    """

    name: str
    question: str
    how: str
    place: LookPlace
    minutes: float
    yes: Mapping[str, float]
    usual: float
    tools: tuple[str, ...] = ()
    applies: Callable[[Inputs], float] = field(default=lambda x: 1.0)
    source: Source = REMEMBERED
    asked: bool = False

    def may_be(self, places: frozenset[LookPlace]) -> bool:
        """Whether it may be asked for where somebody may only go to these places."""
        return self.asked or (self.place in places and len(places) > 1)

    @property
    def before(self) -> str:
        """What must be done before anybody looks."""
        return BEFORE[self.place]

    @property
    def cost(self) -> float:
        """Minutes until the answer is known, the way there among them."""
        return self.minutes + ARRIVING[self.place]

    @property
    def danger(self) -> int:
        """How much can go wrong, 0 to 2."""
        return DANGER[self.place]

    def likelihood(self, answer: str, mechanism: str | None) -> float:
        """Probability of an answer if a mechanism is at work; of None, if none that this look tells of is.

        "Cannot tell" is as likely one way as the other, and so counts for nothing.
        """
        if answer == LookAnswer.CANNOT_TELL:
            return 1.0
        share = self.usual if mechanism is None else self.yes.get(mechanism, self.usual)
        return share if answer == LookAnswer.YES else 1.0 - share

    def information(self, belief: Mapping[str, float]) -> float:
        """Bits that its answer is expected to tell about which mechanism is at work.

        Parameters
        ----------
        belief : mapping of str to float
            Weight of each mechanism, by its id; they need not add to one.

        Returns
        -------
        bits : float
            Mutual information of answer and mechanism (Shannon 1948), 0 where every mechanism gives the same answer.
        """
        if not belief:
            return 0.0
        weight = np.asarray(list(belief.values()), dtype=float)
        weight = weight / weight.sum()
        share = np.asarray([self.yes.get(m, self.usual) for m in belief])
        return max(0.0, float(_bits(np.asarray(weight @ share)) - weight @ _bits(share)))


def _bits(p: np.ndarray) -> np.ndarray:
    """Entropy of a question answered yes with a probability."""
    p = np.clip(p, 1e-12, 1.0 - 1e-12)
    return np.asarray(-(p * np.log2(p) + (1.0 - p) * np.log2(1.0 - p)))


#: Below so many bits an answer changes nothing that anybody would do. Own choice, no source.
WORTH = 0.01


#: Minutes to go out, to write it down and to ask again, whatever is looked at. Own estimate.
AROUND = 8.0
#: What is worth less than this share of the best is not named. Own choice.
LEAST_OF_BEST = 0.08


def cheapest(
    looks: Collection[Look], belief: Mapping[str, float], *, answered: Collection[str] = (), x: Inputs | None = None
) -> list[Look]:
    """Looks that tell something of some mechanisms, by what they tell in a minute.

    Parameters
    ----------
    looks : collection of Look
        To choose from.
    belief : mapping of str to float
        Weight of each mechanism that could be at work.
    answered : collection of str
        Names of looks already answered.
    x : Inputs, optional
        The design; looks that it has no place for are left out.
    """
    told = {
        k.name: bits
        for k in looks
        if k.name not in answered and (x is None or k.applies(x)) and (bits := k.information(belief)) >= WORTH
    }
    value = {k.name: worth(told[k.name], k.cost, k.danger) for k in looks if k.name in told}
    least = LEAST_OF_BEST * max(value.values(), default=0.0)
    open_ = [k for k in looks if value.get(k.name, -1.0) >= least]
    return sorted(open_, key=lambda k: (-value[k.name], k.name))


def worth(bits: float, minutes: float, danger: float) -> float:
    """What finding something out is worth: bits a minute, the way there and writing it down counted, and danger."""
    return bits / ((minutes + AROUND) * (1.0 + danger))
