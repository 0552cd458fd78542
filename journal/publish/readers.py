"""Who write-ups are for: one entry a reader, beside the template of the same name."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.guys import AFTERWARDS
from calc.machine.catalogue.mast import GUYED, ROOF
from calc.machine.catalogue.rotor import SHORTING_SWITCH
from calc.machine.system import KeyFigure
from calc.units import show, show_up
from journal.publish import private
from journal.publish.episodes import checked_lines, checked_text, episodes
from journal.publish.neighbourly import GAPS, Gap, for_neighbours, length
from journal.publish.numbers import throw_words
from journal.publish.opening import opening
from journal.publish.plainly import BRAKES, OVERSPEED
from journal.publish.redact import Redacted
from journal.publish.workshop import for_workshop
from journal.review.counsel import holds_mast, stops_raising
from journal.review.verdict import headline

Names = Callable[[Redacted], dict[str, Any]]


def _every(picture: str) -> bool:
    return True


def _none(picture: str) -> bool:
    return False


def _no_names(told: Redacted) -> dict[str, Any]:
    return {}


@dataclass(frozen=True)
class Reader:
    """What one reader gets.

    Parameters
    ----------
    shows : frozenset of str
        Kinds of private things told without being asked for, of :data:`journal.publish.private.KINDS`.
    names : callable
        What the template sees beside ``story``, ``build`` and ``shown``, made from the redacted story.
    pictures : callable
        Whether the template may set in an entry of :data:`journal.publish.figures.FIGURES`.
    built_only : bool
        Whether pictures show what stands, and not what is planned.
    one_page : bool
        Whether it is a sheet to hold in the hand, set small enough to print on one page.
    gaps : tuple of Gap
        What only the builder can say, asked for where the build does not have it.
    contents : bool
        Whether its page begins with its contents, and is set small where it is printed.
    """

    shows: frozenset[str] = frozenset()
    names: Names = _no_names
    pictures: Callable[[str], bool] = _every
    built_only: bool = False
    one_page: bool = False
    gaps: tuple[Gap, ...] = ()
    contents: bool = False


def _for_forums(told: Redacted) -> dict[str, Any]:
    """The story: its first screen, each revision in about a screen, and what the check says by cause."""
    now = told.story.standing or told.story.newest
    return {
        "first": opening(told),
        "episodes": episodes(told),
        "standing": now,
        "checks": checked_lines(now) if now else [],
        "checked": checked_text(now.review.findings) if now else "",
    }


#: Wind below which a mast is raised; gusts from which a rotor is braked and tied, and from which the mast is lowered
#: where it can be. Common practice, no source.
RAISING_WIND, BRAKING_GUST, LOWERING_GUST = "4 m/s", "20 m/s", "28 m/s"
#: Speed of the tips beyond which no blade holds, so that no number is told. [m/s]
_GONE = 200.0


CALLING = (Gap("contact", "Whom is the electrician to call", "does not say whom to call"),)


def _of_the_machine(told: Redacted, c: Any) -> dict[str, Any]:
    """What the sheets for raising day and storm have in common."""
    said, machine = c.design.get, told.machines[c.revision.ref]
    free = {name: machine.system.figures.get(f"free_{name}") for name in ("speed", "voltage")}
    brake = said(Sheet.rotor.brake)
    return {
        "c": c,
        "height": length(said(Sheet.mast.height)),
        "across": length(said(Sheet.rotor.diameter)),
        "fall_radius": length(machine.system.fall_radius),
        "volts": _figure(free["voltage"], "{} or more, also with the battery off: it comes with the wind"),
        "free": _runaway(free["speed"], said(Sheet.rotor.diameter)),
        "shorting": brake == SHORTING_SWITCH,
        "stopped_by": BRAKES.get(str(brake), ""),
        "brake": BRAKES.get(str(brake), "none is on record, so the rotor is tied before it leaves the bench"),
    }


def _figure(found: KeyFigure | None, words: str) -> str | None:
    """A figure in words, rounded up, for it warns."""
    if found is None or not np.isfinite(found.value):
        return None
    return words.format(show_up(found.value, found.unit, 2))


def _runaway(found: KeyFigure | None, across: Any) -> str | None:
    """How fast it would turn with nothing to hold it."""
    if found is not None and across is not None and found.value * across / 2.0 > _GONE:
        return "it gets faster until it breaks, before the strongest gust is there"
    return _figure(found, "{} in the strongest gust with nothing connected")


#: Said of an overhead line that a falling mast just misses.
_LINE_NEAR = ", nearer than one and a half heights: ask its owner before anything is lifted"


def _for_raising(told: Redacted) -> dict[str, Any]:
    """The day on which it goes up: what stands in the way, the numbers, and who does what."""
    c = told.story.newest
    if c is None:
        return {"c": None}
    said, shared = c.design.get, _of_the_machine(told, c)
    system = told.machines[c.revision.ref].system
    reach, line = system.fall_radius, system.line_distance
    stops = []
    if line is not None and reach is not None and line <= reach:
        stops.append(f"An overhead line is {length(line)} away, and it reaches {length(reach)} as it falls.")
    lethal = [f for f in c.findings("danger") if stops_raising(f)]
    stops += [f"{headline(f)}: {f.first}" for f in lethal if f.rule != "mast.overhead-lines"]
    near = [f for f in c.findings("marginal") if f.rule == "mast.overhead-lines"]
    return shared | {
        "stops": stops,
        "open": [f for f in c.findings("danger") if f not in lethal],
        "unknown": [f for f in c.review.deadly if stops_raising(f)],
        "silent": [f for f in c.review.deadly if not stops_raising(f)],
        "weak": [f for f in c.findings("fail") if holds_mast(f)],
        "wind": RAISING_WIND,
        "line": line if line is None else f"{length(line)} from the foot{_LINE_NEAR if near else ''}",
        "roof": said(Sheet.mast.kind) == ROOF,
        "two_steps": said(Sheet.gin.way) == AFTERWARDS,
        # Nobody needs the numbers of a lift that is not to be.
        "lifting": [] if stops else _lifting(c.review.findings),
    }


#: Lines of numbers for the day, so that it stays one page.
_LINES = 4


def _lifting(findings: Any) -> list[Any]:
    """What is not as it should be of lift, guys and base, then the numbers of the lift."""
    # Dangers among them stop the day, and are told before.
    wrong = ("fail", "marginal")
    about = [f for f in findings if f.rule.startswith(("mast.tube", "mast.joints", "raising.", "guy.", "base."))]
    bad = sorted((f for f in about if f.status in wrong), key=lambda f: wrong.index(f.status))
    numbers = [f for f in about if f.rule.startswith("raising.") and f.status == "ok" and f.value is not None]
    return (bad + numbers)[:_LINES]


def _for_storms(told: Redacted) -> dict[str, Any]:
    """What stands, what it can bear by itself, and what is done before, in and after a storm."""
    c = told.story.standing or told.story.newest
    if c is None:
        return {"c": None}
    said, machine = c.design.get, told.machines[c.revision.ref]
    # A tail that cannot fold holds nothing back, whatever the sheet calls it.
    stuck = any(f.rule == "tail.folds" for f in c.findings("danger"))
    limit = None if stuck else said(Sheet.rotor.limit_wind)
    return _of_the_machine(told, c) | {
        "limit": limit if limit is None else show(limit, "m/s", 2),
        "slowed_by": "" if stuck else OVERSPEED.get(str(said(Sheet.rotor.overspeed)), ""),
        "throw": machine.throw and throw_words(machine.throw),
        "holding": [f for f in c.review.findings if f.rule in ("rotor.brake-holds", "tail.furls")],
        "can_lower": said(Sheet.mast.kind) == GUYED,
        "brake_from": BRAKING_GUST,
        "lower_from": LOWERING_GUST,
    }


#: Every reader by name. Add one here, and a template ``NAME.md``.
READERS: dict[str, Reader] = {
    "forum": Reader(names=_for_forums, pictures=lambda name: name not in ("swings", "week")),
    "neighbour": Reader(
        shows=frozenset({"contact"}),
        names=for_neighbours,
        pictures=lambda name: name == "elevation",
        built_only=True,
        one_page=True,
        gaps=GAPS,
    ),
    "workshop": Reader(shows=frozenset(private.KINDS), names=for_workshop, contents=True, gaps=CALLING),
    # Whoever helps must be able to say where help is to come.
    "raising": Reader(shows=frozenset({"contact", "place"}), names=_for_raising, pictures=_none, one_page=True),
    "storm": Reader(shows=frozenset({"contact", "place"}), names=_for_storms, pictures=_none, one_page=True),
}  # fmt: skip
