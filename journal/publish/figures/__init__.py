"""Pictures for write-ups: each a function of a redacted story and the numbers that gives a :class:`Picture` or None.

The machine and its battery come from solved sheets, the rest from the records. A picture is None where what it
would show is not known; nothing here raises because a sheet says too little.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TypeAlias

from journal.publish.chain import Chain, chain
from journal.publish.figures.balance import torques
from journal.publish.figures.canvas import Picture
from journal.publish.figures.cause import cause
from journal.publish.figures.history import timeline
from journal.publish.figures.machine import power, watts
from journal.publish.figures.pair import machines
from journal.publish.figures.records import findings
from journal.publish.figures.site import elevation
from journal.publish.figures.storage import week
from journal.publish.figures.swinging import swings
from journal.publish.figures.wires import wiring
from journal.publish.numbers import MachineTold
from journal.publish.redact import Redacted
from journal.publish.story import Chapter, Story

__all__ = [
    "FIGURES",
    "Picture",
    "Sight",
    "cause",
    "elevation",
    "findings",
    "machines",
    "pictures",
    "pictures_named",
    "power",
    "swings",
    "timeline",
    "torques",
    "watts",
    "week",
    "wiring",
]  # fmt: skip


@dataclass(frozen=True)
class Sight:
    """What pictures are made from.

    Parameters
    ----------
    story : Story
        As its reader may have it.
    chapters : tuple of Chapter
        The revisions shown, one or two of them, oldest first.
    machines : tuple of MachineTold
        Their numbers.
    every : mapping of str to MachineTold
        The numbers of all revisions, by reference.
    """

    story: Story
    chapters: tuple[Chapter, ...]
    machines: tuple[MachineTold, ...]
    every: Mapping[str, MachineTold]

    def chains(self) -> list[Chain]:
        """How each failure came about of which that is known."""
        found = [chain(f, self.story, self.every) for c in self.story.chapters for f in c.failed]
        return [one for one in found if one]


def sight(told: Redacted, *, built_only: bool = False) -> Sight:
    """Show the two newest revisions, or only what stands and not what is planned."""
    built = (told.story.standing,) if told.story.standing else ()
    shown = built if built_only else tuple(told.story.chapters[-2:])
    return Sight(told.story, shown, tuple(told.machines[c.revision.ref] for c in shown), told.machines)


Maker: TypeAlias = Callable[[Sight], Iterable[Picture | None]]
#: Every picture, in the order in which they are best seen: the beginning of its name, and how it is made.
FIGURES: dict[str, Maker] = {
    "elevation": lambda of: [elevation(of.machines[-1])],
    "timeline": lambda of: [timeline(of.story)],
    "chain": lambda of: [cause(one) for one in of.chains()],
    "machines": lambda of: [machines(of.machines)],
    "wiring": lambda of: [
        wiring(m, c.review.findings, c.design) for c, m in zip(of.chapters, of.machines, strict=True)
    ],
    "findings": lambda of: [findings([c.review for c in of.chapters])],
    "power": lambda of: [power(of.machines)],
    "torque": lambda of: [torques(m) for m in of.machines],
    "watts": lambda of: [watts(of.machines)],
    "swings": lambda of: [swings(of.machines[-1])],
    "week": lambda of: [week(of.machines[-1])],
}


def pictures_named(told: Redacted, name: str, *, built_only: bool = False) -> list[Picture]:
    """The pictures of an entry of :data:`FIGURES`, with no private word in what they tell."""
    of = sight(told, built_only=built_only)
    if not of.chapters:
        return []
    return [_told(p, told.scrub(p.title), told.scrub(p.alt)) for p in FIGURES[name](of) if p]


def _told(picture: Picture, title: str, alt: str) -> Picture:
    same = (title, alt) == (picture.title, picture.alt)
    # The same picture again keeps what was drawn of it.
    return picture if same else replace(picture, title=title, alt=alt)


def pictures(told: Redacted) -> list[Picture]:
    """All pictures of a story."""
    return [p for name in FIGURES for p in pictures_named(told, name)]
