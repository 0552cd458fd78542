"""Pictures for write-ups: each a function of the records and the numbers that gives a :class:`Picture` or None.

The machine and its battery come from solved sheets, the rest from the records. A picture is None where what it
would show is not known; nothing here raises because a sheet says too little.
"""

from __future__ import annotations

from functools import lru_cache

from journal.publish.figures.canvas import Picture
from journal.publish.figures.machine import power, torques, watts
from journal.publish.figures.records import findings, timeline
from journal.publish.figures.site import elevation
from journal.publish.figures.storage import week
from journal.publish.story import Story

__all__ = [
    "Picture",
    "elevation",
    "findings",
    "pictures",
    "power",
    "timeline",
    "torques",
    "watts",
    "week",
]  # fmt: skip


def pictures(tale: Story, reader: str = "workshop") -> list[Picture]:
    """The pictures of a build for a reader, in the order in which they are best seen.

    Parameters
    ----------
    tale : Story
        What :func:`journal.publish.story.tell` gathered.
    reader : {"forum", "neighbour", "workshop"}
        The neighbour gets to see where the machine stands and how far it would fall; only the builder the worst
        week of the battery.

    Returns
    -------
    pictures : list of Picture
        Of the two newest revisions where revisions are set side by side, else of the newest; a neighbour sees
        what stands, not what is planned.
    """
    if reader == "neighbour":
        stands = tale.standing and elevation(tale.standing.review)
        return [stands] if stands else []
    found = _by_name(tale)
    return [p for p in found if reader == "workshop" or not p.name.startswith("week")]


@lru_cache(maxsize=1)
def _by_name(tale: Story) -> tuple[Picture, ...]:
    """All pictures of a tale, kept so that each is drawn once for all its readers."""
    if not tale.chapters:
        return ()
    pair = [c.review for c in tale.chapters[-2:]]
    newest = pair[-1]
    torque = (torques(r) for r in pair)
    made = [elevation(newest), timeline(tale), findings(pair), power(pair), *torque, watts(newest), week(newest)]
    return tuple(p for p in made if p)
