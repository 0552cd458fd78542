"""How well ``why`` finds the true cause of the stories: a table by how much was told.

``python -m tests.stories.benchmark`` runs the half that may be looked at; ``--half held`` the other, for the final
score. Each story is entered as the command line would, into a fresh journal, and ``why`` is asked. Nothing here is a
test: it measures, and prints what it measured.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.stories import names
from tests.stories.readings import Reading, take
from tests.stories.story import LEVELS, Story, told

#: Steps that are followed, one after the other.
STEPS = 3
SUPPORTED, CONTRADICTED = "supported", "contradicted"


@dataclass(frozen=True)
class Answer:
    """What ``why`` says, in the benchmark's own words: ways of failing with their verdicts, the likeliest first."""

    ranked: tuple[tuple[str, str], ...]
    beliefs: tuple[tuple[str | None, str | None], ...]
    symptoms: tuple[str, ...]
    understood: bool
    step: str | None
    listed: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()

    def place(self, right: set[str]) -> int:
        """Place of the truth, from 1; far down where it is not named or is contradicted."""
        places = [i for i, (name, how) in enumerate(self.ranked, 1) if name in right and how != CONTRADICTED]
        return min(places, default=99)

    def verdicts(self) -> dict[str, str]:
        """Every verdict that was given, of ways of failing that nobody but the builder thought of too."""
        believed = {name: how for name, how in self.beliefs if name and how}
        return believed | dict(self.ranked)


@contextlib.contextmanager
def journal() -> Iterator[Any]:
    """A session of an empty journal; nothing of the person who runs this is read or changed."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        os.environ.update(GALEBOOK_CACHE=str(folder / "verdicts"), GALEBOOK_BACKUPS="none")
        from journal.book import store

        store.create(folder / "story.db")
        with store.journal(folder / "story.db", write=True) as session:
            yield session


@contextlib.contextmanager
def entered(session: Any, story: Story, level: str) -> Iterator[None]:
    """Enter a story as far as a level tells it, and take all of it out again."""
    from journal.book import attempts, builds, claims, failures, records, sheet

    with session.begin_nested() as around:
        builds.start(session, builds.BuildTyped(name="story"))
        if level != "words":
            sheet.set_values(session, records.find_revision(session, "r1"), story.sheet)
        if level != "words" and story.claim:
            claims.log_claim(session, story.claim, "the seller")
        tried = attempts.AttemptTyped(
            did=story.did,
            kind=story.kind,
            wind=story.wind,
            wind_how=story.wind_how,
            load_state=story.load,
            hours=f"{story.hours:g} h",
            outcome="failed",
        )
        attempts.log_attempt(session, tried)
        failures.log_failure(session, failures.FailureTyped(saw=story.saw, attempt="A1"))
        for words, means in story.beliefs:
            failures.believe(session, "F1", failures.CauseTyped(words, sure="60%", mechanism=picked(words, means)))
        for reading in story.readings(level):
            log(session, reading, story)
        for key, so in story.looks(level).items():
            look(session, key, so)
        session.flush()
        yield
        around.rollback()


def picked(words: str, means: str) -> str | None:
    """What the builder answers where the words of a cause leave it open and ``cause`` asks; None where it does not."""
    from calc.mechanisms.words import mechanisms_heard

    return None if mechanisms_heard(words).sure else next(iter(names.CAUSES[means]), None)


def log(session: Any, reading: Reading, story: Story) -> bool:
    """Log one reading as its builder would; False where the journal has no name for it yet."""
    from journal.book import attempts, measurements

    taken = names.READINGS.get(reading.what, names.Taken(reading.what))
    if taken is None:
        return False
    said: dict[str, str] = {"load_state": reading.load, **taken.beside}
    if reading.rpm is not None:
        spun = attempts.log_attempt(
            session,
            attempts.AttemptTyped(
                did="spun the generator with a drill",
                kind="bench test",
                load_state="nothing connected",
                outcome="worked",
            ),
        )
        said |= {"attempt": spun.ref, "load_state": "nothing connected"}
        speed = measurements.MeasurementTyped("rotor.speed", f"{reading.rpm:g} rpm", **said)
        measurements.log_measurement(session, speed)
    elif reading.bench:
        said |= {"on": "r1", "load_state": "nothing connected", "conditions": said.get("conditions", "taken down")}
    else:
        said |= {"attempt": "A1"}
    # Current out of a battery at night has no sign of its own there.
    typed = reading.typed.lstrip("-") if taken.quantity == "battery.night_current" else reading.typed
    if reading.what == "wind.speed":
        said["wind"], said["wind_height"] = reading.typed, f"{story.maker.height:g} m"
    measurements.log_measurement(session, measurements.MeasurementTyped(taken.quantity, typed, **said))
    session.flush()
    return True


def look(session: Any, key: str, so: bool | None, asked: str | None = None) -> bool:
    """Log what was found by looking, as the look that was asked; False where the program asks for no such thing."""
    from journal.book import observations

    found = names.look_answer(key, so, asked)
    if found is None:
        return False
    observations.log_observation(session, "F1", observations.ObservationTyped(*found))
    session.flush()
    return True


def ask(session: Any, story: Story) -> Answer:
    """Ask ``why``; where words leave it open, the builder picks the symptom from the list that ``fail`` shows."""
    from calc.mechanisms.words import SHORT_LIST, symptoms_heard
    from journal.review.why import explain

    why = explain(session, "F1")
    understood = bool(why.symptoms)
    listed = symptoms_heard(story.saw).likely[:SHORT_LIST]
    if not understood:
        why = explain(session, "F1", symptoms=(names.SYMPTOMS[story.symptom][0],))
    beliefs = [(b.mechanism, _word(b.weighed.verdict) if b.weighed else None) for b in why.beliefs]
    return Answer(
        tuple((w.id, _word(w.verdict)) for w in why.ranked),
        tuple(beliefs),
        tuple(why.symptoms),
        understood,
        why.next_steps[0].name if why.next_steps else None,
        listed,
        tuple(s.name for s in why.next_steps),
    )


def _word(verdict: object) -> str:
    return str(getattr(verdict, "value", verdict))


def follow(session: Any, story: Story, answer: Answer) -> Answer | None:
    """Take the first advised step that the story has an answer to, enter it, and ask again; None where it has none."""
    keys = {name: key for key, asked in names.LOOKS.items() for name in asked}
    for step in answer.steps:
        if step in keys:
            look(session, keys[step], story.look(keys[step]), step)
            return ask(session, story)
        for recipe in names.ASKED.get(step, step).split(";"):
            reading = take(recipe, story.moment, f"{story.id}/asked")
            if reading is None or not log(session, reading, story):
                break
        else:
            return ask(session, story)
    return None


@dataclass
class Tally:
    """What is counted at one level: how often something was so, of how many."""

    so: Counter[str]
    of: Counter[str]
    missed: list[str]

    def count(self, what: str, so: bool, times: bool = True) -> None:
        """Count one case, where it counts at all."""
        if times:
            self.of[what] += 1
            self.so[what] += so


#: The rows of the table, in order: what is counted, and whether more of it is better.
ROWS = (
    "sentence understood",
    "else in the short list",
    "symptom taken wrongly",
    "belief judged",
    "wrong belief supported",
    "truth first",
    "truth in first three",
    "truth contradicted",
    "story with a false accusation",
    "sound machine accused",
    "next step named",
    "next step useful",
    "truth on top after 3 steps",
    "of causes it has: truth first",
    "of causes it has: first three",
)


def judge(tally: Tally, story: Story, answer: Answer) -> None:
    """Count what one answer is worth."""
    right, allowed = names.true_names(story.causes), names.not_false(story.causes)
    place, verdicts = answer.place(right), answer.verdicts()
    tally.count("sentence understood", answer.understood)
    meant = names.symptoms_meant(story.symptom, story.causes)
    tally.count("else in the short list", bool(meant & set(answer.listed)), not answer.understood)
    tally.count("symptom taken wrongly", answer.understood and not meant & set(answer.symptoms))
    for (_, key), (name, how) in zip(story.beliefs, answer.beliefs, strict=True):
        means = set(names.CAUSES[key])
        tally.count("belief judged", name in means)
        tally.count("wrong belief supported", how == SUPPORTED and name not in allowed, story.wrong(key))
    tally.count("truth first", place == 1)
    tally.count("truth in first three", place <= 3)
    tally.count("of causes it has: truth first", place == 1, bool(right))
    tally.count("of causes it has: first three", place <= 3, bool(right))
    tally.count("truth contradicted", any(denied(verdicts, names.CAUSES[key]) for key in story.causes))
    accused = sorted(name for name, how in verdicts.items() if how == SUPPORTED and name not in allowed)
    tally.count("story with a false accusation", bool(accused))
    tally.count("sound machine accused", bool(accused), story.sound)
    if place > 3 or accused:
        tally.missed.append(
            f"{story.id} {'+'.join(story.causes)}: place {place}, accused {', '.join(accused) or 'nobody'}"
        )


def denied(verdicts: dict[str, str], ways: Sequence[str]) -> bool:
    """Whether a true cause is contradicted under every name under which it was judged."""
    given = [verdicts[name] for name in ways if name in verdicts]
    return bool(given) and all(how == CONTRADICTED for how in given)


def walk(tally: Tally, session: Any, story: Story, answer: Answer, steps: int) -> None:
    """Follow the advised steps, and count whether the truth rises."""
    right = names.true_names(story.causes)
    tally.count("next step named", answer.step is not None)
    at, done, first = answer, 0, True
    while done < steps and (after := follow(session, story, at)) is not None:
        if first:
            tally.count("next step useful", rises(at, after, right))
        at, done, first = after, done + 1, False
    if first:
        tally.count("next step useful", False)
    if steps == STEPS:
        tally.count("truth on top after 3 steps", at.place(right) == 1)


def rises(before: Answer, after: Answer, right: set[str]) -> bool:
    """Whether the truth stands higher, or is on top as it was before."""
    return after.place(right) < before.place(right) or after.place(right) == 1


def run(stories: Sequence[Story], levels: Sequence[str], say: Callable[[str], None], deep: bool) -> dict[str, Tally]:
    """Run the stories at the levels; three steps are followed at the level of the sheet, or everywhere if ``deep``."""
    tallies = {level: Tally(Counter(), Counter(), []) for level in levels}
    with journal() as session:
        for number, story in enumerate(stories, 1):
            for level in levels:
                with entered(session, story, level):
                    answer = ask(session, story)
                    judge(tallies[level], story, answer)
                    walk(tallies[level], session, story, answer, STEPS if deep or level == "sheet" else 1)
            say(f"\r{number} of {len(stories)}")
    say("\r" + " " * 20 + "\r")
    return tallies


def shown(tallies: dict[str, Tally], stories: Sequence[Story]) -> str:
    """The table, as text."""
    lines = [
        f"{len(stories)} stories, {len({s.machine for s in stories})} machines",
        f"{'':34}" + "".join(f"{x:>16}" for x in tallies),
    ]
    for row in ROWS:
        cells = [
            f"{t.so[row]}/{t.of[row]} {t.so[row] / t.of[row]:4.0%}" if t.of[row] else "-" for t in tallies.values()
        ]
        lines.append(f"{row:34}" + "".join(f"{cell:>16}" for cell in cells))
    return "\n".join(lines)


def main() -> None:
    """Parse, run, show."""
    parser = argparse.ArgumentParser(description="How well why finds the true cause.")
    parser.add_argument(
        "--half", choices=("tuned", "held"), default="tuned", help="which half; the held one only for a score"
    )
    parser.add_argument("--level", choices=LEVELS, action="append", help="only these; may be given twice")
    parser.add_argument("--only", default="", help="only stories whose true cause, or id, is this")
    parser.add_argument("--deep", action="store_true", help="follow three steps at every level")
    parser.add_argument(
        "--missed", action="store_true", help="list the stories that were missed (never of the held half)"
    )
    given = parser.parse_args()
    stories = [s for s in told(given.half) if not given.only or given.only in (s.id, *s.causes)]
    began = time.time()
    tallies = run(stories, given.level or LEVELS, lambda text: sys.stderr.write(text), given.deep)
    out = [shown(tallies, stories)]
    if given.missed and given.half == "tuned":
        for level, tally in tallies.items():
            out.append("\n  ".join([f"\n{level}:", *tally.missed]))
    out.append(f"\n{time.time() - began:.0f} s, {time.process_time():.0f} s of one core\n")
    sys.stdout.write("\n".join(out))


if __name__ == "__main__":
    main()
