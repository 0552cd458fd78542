"""Words of the story on a forum page: how people name what happened, how a builder's text is kept short.

Whatever is made here is made from a redacted story. What a builder wrote stands in the builder's own words; they are
cut, never changed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from calc.finding import first_sentence
from calc.mechanisms.base import Verdict
from calc.units import show
from journal.book.days import MONTHS, day_in_words, earliest, is_vague, latest
from journal.book.tables import Attempt, Measurement
from journal.errors import stopped
from journal.publish.numbers import MachineTold, Reading
from journal.publish.story import Believed, Chapter, Failed, Story
from journal.review.loop import UNSAID
from journal.review.why import Belief
from journal.review.wording import lower_first

_WORD = re.compile(r"\w")
_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
#: What a machine did, the gravest first: how a builder's words say it, and how a headline tells it. The part itself
#: must be what they are about; whatever is said otherwise is quoted.
_DID: tuple[tuple[str, str], ...] = (
    (
        r"\b(threw|flung|lost|shed)\b.{0,20}\bblade|\bblade\b.{0,12}\b(flew|came off|tore off|was thrown|left)",
        "threw a blade",
    ),
    (r"\bblades?\b.{0,12}\b(broke|snapped|cracked|split)\b|\b(broke|snapped|split)\b.{0,8}\bblade", "broke a blade"),
    (r"(^|\b(rotor|machine|turbine|mill|it|generator)\b.{0,12})(ran away|overspe|runaway)", "ran away"),
    (r"\b(mast|pole|tower)\b.{0,12}\b(fell|came down|collapsed|toppled)", "lost its mast"),
    (r"\b(mast|pole|tower)\b.{0,12}\b(bent|buckled|kinked)", "bent its mast"),
    (r"\b(generator|motor|winding|alternator)\b.{0,16}\b(burn|smok)", "burnt its generator"),
    (r"\bbatter(y|ies)\b.{0,12}\b(ruined|died|swollen|boiled|split)", "ruined its battery"),
    (r"\b(hardly|barely|scarcely|never)\b.{0,8}\bcharg", "hardly charged"),
    (
        r"\b(rotor|machine|turbine|mill|it|blades)\b.{0,8}(did not|didn't|would not|wouldn't|never) start",
        "would not start",
    ),
    (r"\b(mast|machine|turbine|mill|it|tower)\b.{0,8}\b(shook|shakes|vibrated)", "shook"),
    (r"\bfuse\b.{0,12}\b(blew|blown|melted)|\b(blew|blown|melted)\b.{0,8}\bfuse", "blew its fuse"),
    (r"^(the )?inverter\b.{0,6}\b(cut out|tripped|shut down|switched off)", "tripped its inverter"),
)
#: What turns words into their contrary, or leaves open whether it happened.
_DENIED = re.compile(r"\b(no|not|nor|without|although|nearly|almost|instead)\b|n't\b", re.IGNORECASE)
_BEAUFORT = re.compile(r"(?:bft|beaufort|force)\.?\s*(\d.*)", re.IGNORECASE)
_ENDS = re.compile(r"(?<=[.!?])\s+")


@dataclass(frozen=True)
class Sentence:
    """One sentence, what it weighs where there is no room for all, and whether it is printed bold."""

    text: str
    weight: int = 5
    strong: bool = False


@dataclass(frozen=True)
class Paragraph:
    """A paragraph: the words it begins with, and its sentences."""

    head: str
    sentences: tuple[Sentence, ...]


#: What became of people, by the words of the record.
HARM = {
    "none": Sentence("Nobody was hurt."),
    "near miss": Sentence("Nobody was hurt, but only by luck.", 16, strong=True),
    "injury": Sentence("Somebody was hurt.", 16, strong=True),
}


def words_in(text: str) -> int:
    """How many words a text has; signs that stand alone are none.

    Examples
    --------
    >>> words_in("| 1.3 m | a servo motor |")
    5
    """
    return sum(1 for word in text.split() if _WORD.search(word))


def brief(text: str | None, most: int) -> str:
    """A builder's text as far as so many words go: whole sentences where one fits, else its beginning.

    Examples
    --------
    >>> brief("A roar, then a bang. One blade gone.", 5), brief("one two three four five six", 4)
    ('A roar, then a bang.', 'one two three four …')
    """
    whole = " ".join((text or "").split())
    if words_in(whole) <= most:
        return whole
    kept = ""
    for sentence in _ENDS.split(whole):
        if words_in(f"{kept} {sentence}") > most:
            break
        kept = f"{kept} {sentence}".strip()
    return kept or " ".join(whole.split()[:most]).rstrip(",;:") + " …"


def ordinal(number: int) -> str:
    """How a machine is called by its place in the row."""
    return _ORDINALS[number - 1] if number <= len(_ORDINALS) else f"number {number}"


def gravity(failed: Failed) -> tuple[float, float, int]:
    """By what failures are put in order, the gravest first: whom it hurt, how severe it was, which was first."""
    hurt = {"injury": 0, "near miss": 1}.get(failed.failure.harm, 2)
    return hurt, failed.failure.severity or UNSAID, failed.failure.number


def gravest(chapters: Iterable[Chapter]) -> Failed | None:
    """The gravest failure of some revisions."""
    return min((f for c in chapters for f in c.failed), key=gravity, default=None)


def did(failed: Failed) -> str:
    """What a machine did when it failed, as a headline tells it; empty where its builder's words say no such thing.

    Of several things said the gravest is told; what denies any of it is quoted by whoever asks.
    """
    saw = " ".join(failed.failure.saw.split())
    for words, told in _DID:
        found = re.search(words, saw, re.IGNORECASE)
        # That it would not start, or hardly charges, is itself a denial.
        rest = saw if found is None else f"{saw[: found.start()]} {saw[found.end() :]}"
        if (
            found
            and not _DENIED.search(rest)
            and not (told.startswith(("threw", "broke")) and _DENIED.search(found[0]))
        ):
            return told
    return ""


def wind_said(record: Attempt | Measurement) -> str:
    """In which wind, as people say it after "in"; empty where nobody said.

    Examples
    --------
    >>> from types import SimpleNamespace as Record
    >>> wind_said(Record(wind="Bft 4")), wind_said(Record(wind="6.5 m/s")), wind_said(Record(wind=None))
    ('a force 4', '6.5 m/s', '')
    """
    typed = (record.wind or "").strip()
    found = _BEAUFORT.fullmatch(typed)
    return f"a force {found[1]}" if found else typed


def reading_of(chapter: Chapter, ref: str) -> Measurement | None:
    """The record of a reading of a revision, where it is told one by one."""
    return next((m for m in chapter.readings if m.ref == ref), None)


def best_reading(machine: MachineTold) -> Reading | None:
    """The most power that was read into the battery."""
    return max(machine.readings, key=lambda r: r.value, default=None)


def output(chapter: Chapter, machine: MachineTold) -> str:
    """The most that was read and in which wind, such as ``90 W in a force 4``; empty where nothing was."""
    best = best_reading(machine)
    if best is None:
        return _without_wind(chapter)
    record = reading_of(chapter, best.ref)
    tried = next((t.attempt for t in chapter.tried if record and t.attempt.id == record.attempt_id), None)
    said = wind_said(record) if record else ""
    said = said or (wind_said(tried) if tried else "") or f"{show(best.middle, 'm/s', 2)} at the rotor"
    return f"{show(best.value, 'W', 2)} in {said}"


def logged_most(machine: MachineTold) -> str:
    """The greatest mean power that a logger measured and in which wind; empty where none wrote of it."""
    best = max(machine.logged, key=lambda p: p.power, default=None)
    return "" if best is None else f"{show(best.power, 'W', 2)} in {show(best.wind, 'm/s', 2)} (logger)"


def gives(chapter: Chapter, machine: MachineTold) -> str:
    """What it gives at the most: by its logger where that saw more than anybody read, else as read."""
    best, most = best_reading(machine), max((p.power for p in machine.logged), default=0.0)
    return logged_most(machine) if most > (best.value if best else 0.0) else output(chapter, machine)


def _without_wind(chapter: Chapter) -> str:
    """The most power that was read where no reading says in which wind."""
    most = [m.value for m in chapter.readings if m.quantity == "charge.power" and m.value is not None]
    most += [s.highest for s in chapter.all_series if s.quantity == "charge.power"]
    return f"{show(max(most), 'W', 2)}, its wind not read" if most and max(most) > 0 else ""


def still_held(failed: Failed) -> list[Believed]:
    """The causes that are still held to be the one, the surest first."""
    some = [b for b in failed.believed if b.cause.standing == "believed"]
    return sorted(some, key=lambda b: -(b.cause.sure if b.cause.sure is not None else 0.5))


def evidence_of(b: Believed) -> str:
    """What was held against a cause that was given up, in the builder's words."""
    against = next((e.what for e in b.evidence if e.leans == "against"), "")
    return b.cause.rejected_because or against


def weighed_of(failed: Failed, b: Believed) -> Belief | None:
    """What the numbers say of a cause, where they say anything."""
    found = failed.why.beliefs if failed.why else []
    return next((x for x in found if x.cause.id == b.cause.id and x.weighed), None)


#: How the numbers stand to a belief.
BY_NUMBERS = {
    Verdict.SUPPORTED: "The numbers support it",
    Verdict.CONTRADICTED: "The numbers contradict it",
    Verdict.CANNOT_TELL: "The numbers cannot tell yet",
}


def by_numbers(belief: Belief | None, *, plainly: bool = False) -> str:
    """What the numbers say of a belief, with the one figure that decides; empty where they say nothing.

    Told plainly it is without the figure where they cannot tell.
    """
    if belief is None or belief.weighed is None:
        return ""
    word = BY_NUMBERS[Verdict(belief.weighed.verdict)]
    if plainly and belief.weighed.verdict == Verdict.CANNOT_TELL:
        return f"{word}."
    return f"{word}: {lower_first(clauses(first_sentence(belief.weighed.says)))}"


#: Words of one sentence of ours in a story.
_CLAUSES = 26


def clauses(text: str, most: int = _CLAUSES) -> str:
    """As much of a long sentence of ours as makes sense alone: to one of its semicolons, else to its colon.

    Examples
    --------
    >>> clauses("It turns at 2700 rpm; such blades are kept below 50 m/s.", 5)
    'It turns at 2700 rpm.'
    """
    if words_in(text) <= most:
        return text
    pieces = text.split("; ")
    kept = pieces[0]
    for piece in pieces[1:]:
        if words_in(f"{kept} {piece}") > most:
            break
        kept = f"{kept}; {piece}"
    if words_in(kept) > most:
        kept = kept.partition(": ")[0]
    return stopped(kept)


def period(story: Story) -> str:
    """From which month to which it went, such as ``October 2025 to September 2026``; empty where nothing was tried.

    What is known vaguely is told as it was said.
    """
    tried = [t.attempt for c in story.chapters for t in c.tried]
    ends = [f.failure.happened for c in story.chapters for f in c.failed]
    days = [d for a in tried for d in (a.began, a.ended) if d] + ends
    if not days:
        return ""
    one, other = min(days, key=earliest), max(days, key=latest)
    first, last = (day_in_words(d) if is_vague(d) else month(earliest(d)) for d in (one, other))
    if first == last:
        return first
    same = first[-5:] == last[-5:] and not is_vague(one) and not is_vague(other)
    return f"{first.removesuffix(last[-5:]) if same else first} to {last}"


def month(day: str) -> str:
    """The month of a day, in words."""
    return f"{MONTHS[int(day[5:7]) - 1]} {day[:4]}"


def within(paragraphs: Sequence[Paragraph], most: int) -> list[Paragraph]:
    """As many of the sentences as so many words go, the heaviest kept, in their order; a head stays with its first."""
    every = [(s.weight, -i, s) for i, s in enumerate(s for p in paragraphs for s in p.sentences)]
    room = most - sum(words_in(p.head) for p in paragraphs)
    kept = set()
    for _, _, sentence in sorted(every, key=lambda item: item[:2], reverse=True):
        if words_in(sentence.text) <= room:
            room -= words_in(sentence.text)
            kept.add(id(sentence))
    told = [Paragraph(p.head, tuple(s for s in p.sentences if id(s) in kept)) for p in paragraphs]
    return [p for p in told if p.sentences]


def full(text: str) -> str:
    """A text as a sentence of its own: a capital ahead, a stop behind."""
    return stopped(f"{text[:1].upper()}{text[1:]}") if text else ""
