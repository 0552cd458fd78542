"""What the page for the neighbours says, in words of somebody who never built a machine; its lists are bounded."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from calc.finding import Finding
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.house import NOTHING_FED, OWN_CIRCUITS
from calc.machine.catalogue.neighbours import HOUSE
from calc.physics.storage import lithium
from calc.units import show, show_up
from journal.book.days import day_in_words, earliest, latest
from journal.book.tables import Measurement, Paper
from journal.publish.around import reaches
from journal.publish.mishaps import ASIDE, blown, wrongs
from journal.publish.numbers import throw_words
from journal.publish.plainly import (
    BRAKES,
    FEEDS,
    GALE,
    MASTS,
    OVERSPEED,
    clipped,
    decibels,
    force_of,
    force_words,
    high_words,
    loud,
    place_words,
    plain,
)
from journal.publish.redact import Redacted
from journal.publish.standing import standing
from journal.publish.story import Chapter, Story
from journal.review.counsel import holds_mast

#: So many of the papers and of readings of noise are told.
MOST_PAPERS, MOST_READ = 3, 2
#: Words of whom to call, and of a promise.
CALLED, PROMISED = 20, 50


@dataclass(frozen=True, slots=True)
class Gap:
    """What a page must have and only its builder can say.

    Parameters
    ----------
    field : str
        The field of the build.
    question : str
        How it is asked for.
    without : str
        What is told of a page that has to go without.
    """

    field: str
    question: str
    without: str


GAPS = (
    Gap("contact", "Whom are the neighbours to call, by day and by night", "does not say whom to call"),
    Gap("promise", "What do you promise the neighbours to do in a storm", "promises nothing for a storm"),
)


def for_neighbours(told: Redacted) -> dict[str, Any]:
    """What the plain page says of the machine that stands."""
    stands, story = told.story.standing, told.story
    shared = {
        "c": stands,
        "contact": clipped(story.build.contact or "", CALLED),
        "purpose": clipped(story.build.purpose or "", ASIDE),
        "promise": clipped(story.build.promise or "", PROMISED),
        "papers": _papers(story),
        "no_paper": [kind for kind in ("permission", "insurance") if all(p.kind != kind for p in story.papers)],
    }
    if stands is None:
        return shared
    machine = told.machines[stands.revision.ref]
    storms = blown(stands)
    # What a gale is like is told once.
    known = storms["held"] and f"(force {GALE}, " in storms["held"]["what"]
    shared["gale"] = "a gale" if known else force_words(GALE)
    return shared | _machine(stands) | reaches(story, stands, machine) | {
        "throw": machine.throw and throw_words(machine.throw),
        "blown": storms,
        "read": _noises_read(stands),
        "computed": _noise_computed(stands),
        "shadow": _shadow(stands),
        "wrong": wrongs(story),
        "dangers": _dangers(stands),
        "weak": _weak(stands),
        "unknown": _unknown(stands),
    }  # fmt: skip


def _machine(c: Chapter) -> dict[str, Any]:
    """What stands there, how it is held back, and what it is connected to."""
    said, height = c.design.get, c.design.get(Sheet.mast.height)
    chemistry, feed = said(Sheet.storage.chemistry), said(Sheet.house.feed)
    stands = standing(c)
    return {
        "height": length(height),
        "high": high_words(None if height is None else float(height)),
        "across": length(said(Sheet.rotor.diameter)),
        "stands_on": MASTS.get(str(said(Sheet.mast.kind)), ""),
        # What was only spun on a bench was never put up; what was lowered last does not stand.
        "bench_only": stands.bench_only,
        "lowered": day_in_words(stands.lowered) if stands.lowered else "",
        "slowed_by": OVERSPEED.get(str(said(Sheet.rotor.overspeed)), ""),
        # A tail that cannot fold holds nothing back, whatever the sheet calls it.
        "stuck": any(f.rule == "tail.folds" for f in c.findings("danger")),
        "stopped_by": BRAKES.get(str(said(Sheet.rotor.brake)), ""),
        "feed": feed,
        "connected": FEEDS.get(str(feed), ""),
        "battery": chemistry not in (None, "none"),
        "lithium": lithium(str(chemistry)),
    }


def length(metres: Any) -> str | None:
    """A length as it is on record; nothing where it is not known."""
    return None if metres is None else show(metres, "m")


# --- noise and shadow -------------------------------------------------------------------------------------------------


def _noises_read(c: Chapter) -> list[str]:
    """The loudest readings of noise, each with where and in what wind it was read."""
    heard = [(m.value, _heard_where(m)) for m in c.readings if m.quantity == "noise.level" and m.value is not None]
    heard += [(s.highest, f", the loudest of {s.count}") for s in c.all_series if s.quantity == "noise.level"]
    loudest = sorted(heard, key=lambda one: -one[0])[:MOST_READ]
    # One comparison is enough.
    return [f"{decibels(level)}{where}{'' if i else f', {loud(level)}'}" for i, (level, where) in enumerate(loudest)]


def _heard_where(m: Measurement) -> str:
    where, force = plain(m.where, ASIDE), force_of(m.wind_low)
    return (f" {where}" if where else "") + ("" if force is None else f" in a wind of force {force}")


def _noise_computed(c: Chapter) -> str:
    """What reaches the house of somebody else that has the most of it, computed; empty where that is not known."""
    found = [f for f in _of_others(c, "neighbour.noise") if f.value is not None]
    worst = max(found, key=lambda f: f.value or 0.0, default=None)
    if worst is None or worst.value is None:
        return ""
    where = place_words(HOUSE, worst.subject.partition(".")[2], brief=True)
    beyond = worst.limit is not None and worst.value > worst.limit
    much = ". That is more than is held bearable at night" if beyond else ""
    return f"about {decibels(worst.value)} reach {where}, {loud(worst.value)}{much}"


def _shadow(c: Chapter) -> str:
    """How long the blades' shadow can flicker over somebody else's house; empty where that is not known."""
    known = [f for f in _of_others(c, "neighbour.shadow") if f.value is not None]
    worst = max(known, key=lambda f: f.value or 0.0, default=None)
    if worst is None or worst.value is None:
        return ""
    where = place_words(HOUSE, worst.subject.partition(".")[2], brief=True)
    if not worst.value:
        return f"The shadow of the blades does not reach {where}."
    hours = show_up(worst.value * 3600.0, "h", 1).removesuffix(" h")
    many = f"{hours} hours" if hours != "1" else "an hour"
    return f"On sunny days the shadow of the blades can flicker over {where}, at most {many} in a whole year."


def _of_others(c: Chapter, rule: str) -> list[Finding]:
    """Findings of a rule about somebody else's house, and not the builder's own."""
    kind = Sheet.neighbour.kind
    return [f for f in c.review.findings if f.rule == rule and c.design.get(kind[f.subject.partition(".")[2]]) == HOUSE]


# --- what is not put right --------------------------------------------------------------------------------------------

#: Said of wires that can kill; and of those outside where it feeds a house that is on the grid.
SHOCK = "its wires could give a shock that kills"
_STREET = "its wires, or those of the street, could give a shock that kills"
#: What a neighbour has to fear, as a danger and as what is not known, by the beginnings of the names of rules.
_TOPICS = (
    (("mast.overhead-lines",), "a power line is within its reach", "power lines near it"),
    (
        ("rotor.", "tail.", "blade.", "hub.", "yaw.", "neighbour.throw", "protection.brake-switch", "loads.limits"),
        "the rotor could run away, or throw a piece of a blade",
        "what the rotor does in a storm",
    ),
    (
        ("mast.", "guy.", "base.", "raising.", "neighbour.fall", "site."),
        "the mast could come down on somebody",
        "whether the mast holds",
    ),
    (
        ("house.", "protection.battery-touch", "generator.touch-voltage", "protection.mast-earth", "protection.switch"),
        SHOCK,
        "whether its wires can give a shock",
    ),
    (
        ("storage.", "dump.", "wiring.", "inverter.", "converter.", "protection.", "generator.", "loads."),
        "its battery or wiring could catch fire",
        "whether battery or wiring can catch fire",
    ),
)
_ELSE = ("something else about it could hurt somebody", "something else about it")


def topic(rule: str) -> int:
    """Which of the things that a neighbour has to fear a rule is about; one that is about none of them is last."""
    fits = [(len(p), i) for i, (begins, *_) in enumerate(_TOPICS) for p in begins if rule.startswith(p)]
    return max(fits)[1] if fits else len(_TOPICS)


def _topics(findings: Iterable[Finding]) -> list[int]:
    """Which things some findings are about, each once."""
    return sorted({topic(f.rule) for f in findings})


def _words_of(i: int, told_as: int) -> str:
    return (_TOPICS[i][1:] if i < len(_TOPICS) else _ELSE)[told_as]


def _dangers(c: Chapter) -> list[str]:
    """What the dangers come to."""
    street = c.design.get(Sheet.house.feed) not in (None, NOTHING_FED, OWN_CIRCUITS)
    told = [_words_of(i, 0) for i in _topics(c.findings("danger"))]
    return [_STREET if street and words == SHOCK else words for words in told]


def _unknown(c: Chapter) -> list[str]:
    """What is not known and can kill, of things in which no danger was found."""
    told = set(_topics(c.findings("danger")))
    return [_words_of(i, 1) for i in _topics(c.review.deadly) if i not in told]


#: What a failing mast comes to, by the beginnings of the names of rules. All others are about the mast itself.
_WEAK = (
    (("guy.",), "the ropes that hold its mast, or their anchors, are not strong enough for the worst storm"),
    (("base.", "mast.building"), "what its mast stands on does not hold it in the worst storm"),
    (("raising.",), "its mast could fail while it is raised or lowered"),
)
_WEAK_MAST = "its mast is not strong enough for the worst storm"


def _weak(c: Chapter) -> list[str]:
    """What of the mast and of what holds it is too weak by the sums, whether its builder accepted that or not."""
    rules = [f.rule for f in c.findings("fail") if holds_mast(f)]
    told = [next((words for begins, words in _WEAK if rule.startswith(begins)), _WEAK_MAST) for rule in rules]
    return list(dict.fromkeys(sorted(told, key=lambda words: words != _WEAK_MAST)))


# --- papers and words -------------------------------------------------------------------------------------------------


def _papers(story: Story) -> dict[str, Any]:
    """Papers with whether they hold: of each kind what holds longest, permission and insurance first, then the rest."""
    kinds = ("permission", "insurance", "setback", "notice", "other")
    # What names no last day holds longest.
    by_end = sorted(story.papers, key=lambda p: latest(p.until) if p.until else "9999", reverse=True)
    by_kind = sorted(by_end, key=lambda p: kinds.index(p.kind))
    newest = {p.kind: p for p in reversed(by_kind)}
    some = sorted(by_kind, key=lambda p: p is not newest[p.kind])
    told = some[:MOST_PAPERS]
    return {"told": [_paper(p, story.today) for p in told], "more": len(some) - len(told)}


#: Words by which a paper is known to refuse what was asked for.
REFUSED = re.compile(r"\b(?:no|not|refus\w+|declin\w+|reject\w+|den(?:y|ied)|turned down)\b", re.IGNORECASE)


def _paper(p: Paper, today: str) -> dict[str, Any]:
    until = day_in_words(p.until)
    if not p.until:
        # A refusal holds for no time.
        holds = "" if REFUSED.search(p.what) else "It names no last day"
    elif latest(p.until) < today:
        holds = f"Over: it held until {until}"
    elif earliest(p.until) < today:
        holds = f"Perhaps over: it held until {until}"
    else:
        holds = f"It holds until {until}"
    kind = "Paper" if p.kind == "other" else p.kind.capitalize()
    return {
        "kind": kind, "what": clipped(p.what, ASIDE), "who": clipped(p.who or "", ASIDE), "holds": holds,
        "over": bool(p.until and earliest(p.until) < today),
    }  # fmt: skip
