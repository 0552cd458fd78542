"""What the machine came through and what went wrong, for who lives beside it: storms, and failures that could hurt."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from calc.mechanisms.words import symptoms_of
from calc.units import show_up
from journal.book.days import day_in_words, days_in_words, order
from journal.book.shown import unit_told
from journal.book.tables import Attempt, Measurement
from journal.publish.around import moved
from journal.publish.plainly import FORCES, GALE, clipped, force_of, force_words, plain
from journal.publish.story import Chapter, Failed, Story, Tried

#: So many of what went wrong are told.
MOST_WRONG = 3
#: Words of the builder's own that are taken over from one text, in what must be told and in what may be; of all
#: together that went wrong; and words of ours around each, about.
OWN_WORDS, ASIDE, OF_WRONG, _OURS = 20, 12, 105, 15
#: What a neighbour has to hear of whoever was near it: what comes down or flies, by its symptoms, and what burns.
_NEIGHBOURS_OWN = ("blade lost or broken", "rotor ran away", "mast or guy failed")
_FIRE = re.compile(r"\b(?:fires?|flames?|burn\w*|smok\w*|smould\w*|ablaze)\b", re.IGNORECASE)
#: Words of a storm in which it lay on the ground, unless a word before them says that it did not.
_LAY = re.compile(
    r"(?<!not )(?<!n't )(?<!never )(?<!before I )\b(?:lowered|lay down|laid (?:it )?(?:down|flat)|lying|(?:took|taken) "
    r"(?:it |the mast )?down|on the ground|lay flat)\b",
    re.IGNORECASE,
)
#: A distance in the builder's words.
_FAR = re.compile(r"\d ?(?:m|metres?|meters?|ft|feet|yd|yards?)\b")
_HARMS = ("injury", "near miss", "not said", "none")


# --- storms -----------------------------------------------------------------------------------------------------------


def blown(c: Chapter) -> dict[str, Any]:
    """Of the storms on its record the hardest that it came through, and the lightest in which it did not.

    What lay on the ground meanwhile came through nothing.
    """
    hurt = {x.failure.attempt_id for x in c.failed if _told_to_neighbours(x)}
    storms = [(_force(t.attempt, t.read), t.attempt) for t in c.tried if t.attempt.kind == "storm"]
    down = _lowered(c)
    held = [(f, a) for f, a in storms if a.outcome == "worked" and a.id not in hurt and a.id not in down]
    lost = [(f, a) for f, a in storms if a.outcome in ("failed", "partly") or a.id in hurt]
    best = max(held, key=lambda storm: (-1 if storm[0] is None else storm[0], order(storm[1].began)), default=None)
    worst = min(lost, key=lambda storm: (len(FORCES) if storm[0] is None else storm[0], storm[1].began), default=None)
    return {
        "held": best and _storm(*best),
        "more": max(len(held) - 1, 0),
        "gale": best is not None and best[0] is not None and best[0] >= GALE,
        "lost": worst and _storm(*worst),
    }


def _lowered(c: Chapter) -> set[int | None]:
    """Storms in which it lay on the ground: by their own words, or because it was lowered and not raised since."""
    found, down = set(), False
    for t in sorted(c.tried, key=lambda one: order(one.attempt.began)):
        a = t.attempt
        down = a.kind == "lowering" or (down and a.kind not in ("raising", "run"))
        if a.kind == "storm" and (down or _LAY.search(f"{a.did} {a.saw or ''}")):
            found.add(a.id)
    return found


def _storm(force: int | None, a: Attempt) -> dict[str, str]:
    when = days_in_words(a.began, a.ended)
    return {
        "what": f"a storm of unknown force ({when})" if force is None else f"{FORCES[force]} (force {force}, {when})",
        "saw": plain(a.saw, OWN_WORDS),
    }


def _force(a: Attempt, read: Iterable[Measurement]) -> int | None:
    """The Beaufort number that it blew at least, by what was said of the wind, or else by what was read of it."""
    if a.wind_low is not None:
        return force_of(a.wind_low)
    blew = (m.value for m in read if m.quantity == "wind.speed" and m.value is not None)
    return force_of(max(blew, default=None))


# --- what went wrong --------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Wrong:
    """One thing that went wrong: how grave it is, the lower the graver, when it happened, and how it is told."""

    rank: tuple[int, ...]
    happened: str
    told: dict[str, Any]
    #: Whether a change that was built answered it; None where nobody can tell.
    changed: bool | None

    @property
    def words(self) -> int:
        """How long it is."""
        return _OURS + sum(len(text.split()) for text in self.told.values() if isinstance(text, str))


def _severity(x: Failed) -> int:
    """What was said of it, or the most that may lie behind saying nothing of who was hurt."""
    return x.failure.severity or (2 if x.failure.harm == "not said" else 4)


def _of_neighbours(text: str) -> bool:
    """Whether something came down, flew or burned, by words that tell of it."""
    return bool(_FIRE.search(text)) or not set(_NEIGHBOURS_OWN).isdisjoint(symptoms_of(text))


def _text(x: Failed) -> str:
    return f"{x.failure.saw} {x.failure.effect or ''}"


def _told_to_neighbours(x: Failed) -> bool:
    """Whether it hurt, or could have hurt, somebody; or is of what falls, flies or burns, whoever was near it."""
    return _severity(x) <= 2 or x.failure.harm in ("near miss", "injury") or _of_neighbours(_text(x))


def wrongs(story: Story) -> dict[str, Any]:
    """What could have hurt somebody, the gravest first; the rest of many is counted."""
    now = story.standing
    failed = [(c, x) for c in story.chapters for x in c.failed if _told_to_neighbours(x)]
    known = {x.failure.attempt_id for _, x in failed}
    storms = [
        _of_storm(c, t, rebuilt=now is not None and c.revision.number < now.revision.number)
        for c in story.chapters
        for t in c.tried
        if t.attempt.kind == "storm" and t.attempt.outcome in ("failed", "partly") and t.attempt.id not in known
    ]
    first = _gravest([*(_of_failure(c, x, now) for c, x in failed), *storms])[:MOST_WRONG]
    # What is told by itself is not told again as what led to another.
    apart = frozenset(one.told["ref"] for one in first)
    every = _gravest([*(_of_failure(c, x, now, apart) for c, x in failed), *storms])
    left, picked = OF_WRONG, 0
    for one in every[:MOST_WRONG]:
        left -= one.words
        if picked and left < 0:
            break
        picked += 1
    others = every[picked:]
    return {
        "told": [one.told for one in every[:picked]],
        "more": len(others),
        "more_open": sum(one.changed is False for one in others),
    }


def _gravest(some: list[_Wrong]) -> list[_Wrong]:
    newest = sorted(some, key=lambda one: order(one.happened), reverse=True)
    return sorted(newest, key=lambda one: one.rank)


def _of_failure(c: Chapter, x: Failed, now: Chapter | None, apart: frozenset[str] = frozenset()) -> _Wrong:
    """A failure in the builder's words, with what led to it where that is not told by itself."""
    f, before = x.failure, x.brought_about_by
    hurt = _HARMS.index(f.harm) if f.harm in ("injury", "near miss") else len(_HARMS)
    # Of what hurt nobody, what falls, flies or burns comes before what nobody said anything of.
    rank = (hurt, 0 if _of_neighbours(_text(x)) else 1, _severity(x))
    changed = bool(x.fitted and x.fitted.frozen_at)
    effect = clipped(f.effect or "", ASIDE)
    told = {
        "ref": f.ref,
        "storm": "",
        "when": day_in_words(f.happened),
        "saw": clipped(f.saw, OWN_WORDS),
        "before": clipped(before.saw, ASIDE) if before and before.ref not in apart else "",
        "effect": effect,
        "elsewhere": now is not None and bool(_FAR.search(effect)) and moved(c, now),
        "x": x,
        "changed": changed,
        "chosen": plain(x.chosen, ASIDE),
    }
    return _Wrong(rank, f.happened, told, changed)


def _of_storm(c: Chapter, t: Tried, *, rebuilt: bool) -> _Wrong:
    """A storm that it did not come through whole, where no failure on record tells of it."""
    a = t.attempt
    text = f"{a.did} {a.saw or ''}"
    flew = max((m.value for m in t.read if m.quantity == "blade.thrown" and m.value is not None), default=None)
    landed = f"A piece lay {show_up(flew, unit_told('m'))} away." if flew else ""
    told = {
        "ref": "",
        "when": days_in_words(a.began, a.ended),
        "storm": force_words(_force(a, t.read)) or "a storm of unknown force",
        "saw": clipped(a.saw or a.did, OWN_WORDS),
        "landed": landed,
        "failed": a.outcome == "failed",
        "rebuilt": rebuilt,
    }
    return _Wrong((len(_HARMS), 0 if flew or _of_neighbours(text) else 1, 2), a.began, told, rebuilt or None)
