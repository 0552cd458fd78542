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
from journal.publish.figures.series import series
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
    "series",
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
        The revisions shown, oldest first.
    pairs : tuple of tuple of Chapter
        Each of them that was made from another behind that one; where none was, the newest alone.
    every : mapping of str to MachineTold
        The numbers of all revisions, by reference.
    about : str
        The revision, or the failure, of which pictures are wanted; empty where all are.
    """

    story: Story
    chapters: tuple[Chapter, ...]
    pairs: tuple[tuple[Chapter, ...], ...]
    every: Mapping[str, MachineTold]
    about: str = ""

    def machines(self, chapters: Iterable[Chapter]) -> tuple[MachineTold, ...]:
        """The numbers of some revisions."""
        return tuple(self.every[c.revision.ref] for c in chapters)

    @property
    def last(self) -> MachineTold:
        """The numbers of the newest revision shown."""
        return self.every[self.chapters[-1].revision.ref]

    def chains(self) -> list[Chain]:
        """How each failure came about of which that is known."""
        meant = [f for c in self.story.chapters for f in c.failed if self.about in ("", f.failure.ref)]
        return [one for f in meant if (one := chain(f, self.story, self.every))]


def sight(told: Redacted, *, built_only: bool = False, about: str = "") -> Sight:
    """Show all revisions or a certain one, or only what stands and not what is planned."""
    built = (told.story.standing,) if told.story.standing else ()
    every = built if built_only else tuple(told.story.chapters)
    shown = tuple(c for c in every if about in (c.revision.ref, *(t.attempt.ref for t in c.tried))) or every
    by_ref = {c.revision.ref: c for c in every}
    before = [(by_ref.get(c.compared.old.revision.ref) if c.compared else None, c) for c in shown]
    pairs: list[tuple[Chapter, ...]] = [(old, new) for old, new in before if old]
    return Sight(told.story, shown, tuple(pairs or [shown[-1:]]), told.machines, about)


Maker: TypeAlias = Callable[[Sight], Iterable[Picture | None]]
#: Every picture, in the order in which they are best seen: the beginning of its name, and how it is made.
FIGURES: dict[str, Maker] = {
    "elevation": lambda of: [elevation(of.last)],
    "timeline": lambda of: [timeline(of.story)],
    "chain": lambda of: [cause(one) for one in of.chains()],
    "machines": lambda of: [machines(of.machines(pair)) for pair in of.pairs],
    "wiring": lambda of: [wiring(of.every[c.revision.ref], c.review.findings, c.design) for c in of.chapters],
    "findings": lambda of: [findings([c.review for c in pair]) for pair in of.pairs],
    "power": lambda of: [power(of.machines(pair)) for pair in of.pairs],
    "torque": lambda of: [torques(m) for m in of.machines(of.chapters)],
    "watts": lambda of: [watts(of.machines(pair)) for pair in of.pairs],
    "series": lambda of: series(of.chapters),
    "swings": lambda of: [swings(of.last)],
    "week": lambda of: [week(of.last)],
}


def pictures_named(told: Redacted, name: str, *, built_only: bool = False, about: str = "") -> list[Picture]:
    """The pictures of an entry of :data:`FIGURES`, with no private word in what they tell.

    ``about`` names the one revision or failure of which they are wanted, so that no other machine is solved for them.
    """
    of = sight(told, built_only=built_only, about=about)
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
