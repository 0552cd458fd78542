"""What the page for the neighbours says, in words of somebody who never built a machine; its lists are bounded."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from calc.finding import Finding
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.neighbours import HOUSE, OWN_HOUSE
from calc.machine.design import Design
from calc.physics.storage import lithium
from calc.units import show, show_down, show_up
from journal.book.days import day_in_words, days_in_words, earliest, latest, order
from journal.book.shown import unit_told
from journal.book.tables import Attempt, Measurement, Paper
from journal.publish.numbers import MachineTold, throw_words
from journal.publish.plainly import (
    BRAKES,
    FEEDS,
    FORCES,
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
from journal.publish.story import Chapter, Failed, Story

#: So many of what went wrong, of the places around, of the papers and of readings of noise are told.
MOST_WRONG, MOST_PLACES, MOST_PAPERS, MOST_READ = 3, 4, 3, 2
#: Words of the builder's own that are taken over from one text, in what must be told and in what may be.
OWN_WORDS, ASIDE = 20, 12
#: Words of whom to call, of a promise, and of all together that went wrong.
CALLED, PROMISED, OF_WRONG = 20, 50, 105


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
    blown = _blown(stands)
    # What a gale is like is told once.
    known = blown["held"] and f"(force {GALE}, " in blown["held"]["what"]
    shared["gale"] = "a gale" if known else force_words(GALE)
    return shared | _machine(stands) | _reaches(stands, machine) | {
        "blown": blown,
        "read": _noises_read(stands),
        "computed": _noise_computed(stands),
        "shadow": _shadow(stands),
        "wrong": _wrong(story),
        "dangers": _topics(stands.findings("danger"), 0),
        "unknown": _topics(stands.review.deadly, 1),
    }  # fmt: skip


def _machine(c: Chapter) -> dict[str, Any]:
    """What stands there, how it is held back, and what it is connected to."""
    said, height = c.design.get, c.design.get(Sheet.mast.height)
    chemistry, feed = said(Sheet.storage.chemistry), said(Sheet.house.feed)
    tried = sorted(c.tried, key=lambda t: order(t.attempt.began))
    return {
        "height": length(height),
        "high": high_words(None if height is None else float(height)),
        "across": length(said(Sheet.rotor.diameter)),
        "stands_on": MASTS.get(str(said(Sheet.mast.kind)), ""),
        # What was only spun on a bench was never put up; what was lowered last does not stand.
        "bench_only": bool(tried) and all(t.attempt.kind == "bench test" for t in tried),
        "lowered": day_in_words(tried[-1].attempt.began) if tried and tried[-1].attempt.kind == "lowering" else "",
        "slowed_by": OVERSPEED.get(str(said(Sheet.rotor.overspeed)), ""),
        # A tail that cannot fold holds nothing back, whatever the sheet calls it.
        "stuck": any(f.rule == "tail.folds" for f in c.findings("danger")),
        "stopped_by": BRAKES.get(str(said(Sheet.rotor.brake)), ""),
        "feed": feed,
        "connected": FEEDS.get(str(feed), ""),
        "battery": chemistry not in (None, "none"),
        "lithium": lithium(str(chemistry)),
    }


# --- how far ----------------------------------------------------------------------------------------------------------


def length(metres: Any) -> str | None:
    """A length in two figures; nothing where it is not known."""
    return None if metres is None else show(metres, "m", 2)


def reach(metres: float | None, figures: int = 2) -> str | None:
    """How far something reaches, never less than it does, in the unit of the build."""
    return None if metres is None else show_up(metres, unit_told("m"), figures)


def _reaches(c: Chapter, machine: MachineTold) -> dict[str, Any]:
    """How far it falls, how far a piece flies, and who is how far away."""
    around, radius, throw = _places(c.design), machine.system.fall_radius, machine.throw
    return {
        "fall_radius": reach(radius),
        "under": _joined([(name, "") for name, _, away in around if radius is not None and away < radius]),
        "throw": throw and throw_words(throw),
        "flies": throw and reach(throw.distance),
        "flew": bool(throw and throw.found),
        "landed": reach(machine.landed, 3),
        "around": _joined(
            [(name, show_down(away, unit_told("m"), 2)) for name, kind, away in around if kind != OWN_HOUSE]
        ),
    }


def _places(design: Design) -> list[tuple[str, str, float]]:
    """Who and what stands around, by name, kind and distance [m], the nearest first."""
    at = Sheet.neighbour
    known = [(n, design.get(at.kind[n]), design.get(at.distance[n])) for n in design.labels(at)]
    found = [
        (place_words(str(kind), n, brief=True), str(kind), float(away))
        for n, kind, away in known
        if kind and away is not None
    ]
    return sorted(found, key=lambda place: place[2])


def _joined(places: list[tuple[str, str]]) -> str:
    """Names in a row with what is said of each, the first few of many; of those called the same the first."""
    first: dict[str, str] = {}
    for name, said in places:
        first.setdefault(name, said)
    told = [f"{name} {said}".rstrip() for name, said in first.items()][:MOST_PLACES]
    more = len(places) - len(told)
    told += [f"{more} more"] if more else []
    return " and ".join(filter(None, [", ".join(told[:-1]), *told[-1:]]))


# --- storms -----------------------------------------------------------------------------------------------------------


def _blown(c: Chapter) -> dict[str, Any]:
    """Of the storms on its record the hardest that it came through, and the lightest in which it did not."""
    hurt = {x.failure.attempt_id for x in c.failed if _grave(x)}
    storms = [(_force(t.attempt, t.read), t.attempt) for t in c.tried if t.attempt.kind == "storm"]
    held = [(force, a) for force, a in storms if a.outcome == "worked" and a.id not in hurt]
    lost = [(force, a) for force, a in storms if a.outcome in ("failed", "partly") or a.id in hurt]
    best = max(held, key=lambda storm: (-1 if storm[0] is None else storm[0], order(storm[1].began)), default=None)
    worst = min(lost, key=lambda storm: (len(FORCES) if storm[0] is None else storm[0], storm[1].began), default=None)
    return {
        "held": best and _storm(*best),
        "more": max(len(held) - 1, 0),
        "gale": best is not None and best[0] is not None and best[0] >= GALE,
        "lost": worst and _storm(*worst),
    }


def _storm(force: int | None, a: Attempt) -> dict[str, str]:
    when = days_in_words(a.began, a.ended)
    return {
        "what": f"a storm of unknown force ({when})" if force is None else f"{FORCES[force]} (force {force}, {when})",
        "how": plain((a.wind_how or "").partition(",")[0], ASIDE),
        "saw": plain(a.saw, OWN_WORDS),
    }


def _force(a: Attempt, read: Iterable[Measurement]) -> int | None:
    """The Beaufort number that it blew at least, by what was said of the wind, or else by what was read of it."""
    if a.wind_low is not None:
        return force_of(a.wind_low)
    blew = (m.value for m in read if m.quantity == "wind.speed" and m.value is not None)
    return force_of(max(blew, default=None))


# --- noise and shadow -------------------------------------------------------------------------------------------------


def _noises_read(c: Chapter) -> list[str]:
    """The loudest readings of noise, each with where and in what wind it was read."""
    singly = [m for t in c.tried for m in t.read] + list(c.read_apart)
    series = [s for t in c.tried for s in t.series] + list(c.series_apart)
    heard = [(m.value, _heard_where(m)) for m in singly if m.quantity == "noise.level" and m.value is not None]
    heard += [(s.highest, f", the loudest of {s.count}") for s in series if s.quantity == "noise.level"]
    loudest = sorted(heard, key=lambda one: -one[0])[:MOST_READ]
    return [f"{decibels(level)}{where}, {loud(level)}" for level, where in loudest]


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


# --- what went wrong --------------------------------------------------------------------------------------------------


def _severity(x: Failed) -> int:
    """What was said of it, or the most that may lie behind saying nothing of who was hurt."""
    return x.failure.severity or (2 if x.failure.harm == "not said" else 4)


def _grave(x: Failed) -> bool:
    """Whether it hurt, or could have hurt, somebody."""
    return _severity(x) <= 2 or x.failure.harm in ("near miss", "injury")


#: Words of ours around each of them, about.
_OURS = 15


def _wrong(story: Story) -> dict[str, Any]:
    """What could have hurt somebody: of many the gravest, told in the order in which they happened."""
    all_of_it = [x for c in story.chapters for x in c.failed if _grave(x)]
    harms = ("injury", "near miss", "not said", "none")
    newest = sorted(all_of_it, key=lambda x: order(x.failure.happened), reverse=True)
    gravest = sorted(newest, key=lambda x: (harms.index(x.failure.harm), _severity(x)))
    refs = {x.failure.ref for x in gravest[:MOST_WRONG]}
    left, picked = OF_WRONG, 0
    for x in gravest[:MOST_WRONG]:
        left -= _OURS + sum(len(text.split()) for text in _told(x, refs).values() if isinstance(text, str))
        if picked and left < 0:
            break
        picked += 1
    told, others = sorted(gravest[:picked], key=lambda x: order(x.failure.happened)), gravest[picked:]
    refs = {x.failure.ref for x in told}
    return {
        "told": [_told(x, refs) for x in told],
        "more": len(others),
        "more_open": sum(not _changed_since(x) for x in others),
    }


def _changed_since(x: Failed) -> bool:
    """Whether it was answered by a change that was built."""
    return bool(x.fitted and x.fitted.frozen_at)


def _told(x: Failed, told: set[str]) -> dict[str, Any]:
    """One of them in the builder's words, with what led to it where that is not told by itself."""
    before = x.brought_about_by
    return {
        "when": day_in_words(x.failure.happened),
        "saw": clipped(x.failure.saw, OWN_WORDS),
        "before": clipped(before.saw, ASIDE) if before and before.ref not in told else "",
        "effect": clipped(x.failure.effect or "", ASIDE),
        "x": x,
        "changed": _changed_since(x),
        "chosen": plain(x.chosen, ASIDE),
    }


# --- what is not put right --------------------------------------------------------------------------------------------

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
        "its wires, or those of the street, could give a shock that kills",
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


def _topics(findings: Iterable[Finding], told_as: int) -> list[str]:
    """What some findings come to, each thing once."""
    return [
        ((*_TOPICS[i][1:],) if i < len(_TOPICS) else _ELSE)[told_as] for i in sorted({topic(f.rule) for f in findings})
    ]


# --- papers and words -------------------------------------------------------------------------------------------------


def _papers(story: Story) -> dict[str, Any]:
    """Papers with whether they hold, permission and insurance first, and of each kind what holds longest."""
    kinds = ("permission", "insurance", "setback", "notice", "other")
    # What names no last day holds longest.
    by_end = sorted(story.papers, key=lambda p: latest(p.until) if p.until else "9999", reverse=True)
    some = sorted(by_end, key=lambda p: kinds.index(p.kind))
    told = some[:MOST_PAPERS]
    return {"told": [_paper(p, story.today) for p in told], "more": len(some) - len(told)}


def _paper(p: Paper, today: str) -> dict[str, Any]:
    until = day_in_words(p.until)
    if not p.until:
        holds = "It names no last day"
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
