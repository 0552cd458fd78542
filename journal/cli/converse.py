"""The conversation about a machine: its first values by chapters, and later whatever settles most."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from journal.cli import talk
from journal.cli.common import Commands, at_terminal, say, session, waiting
from journal.cli.options import Json, OfRevision
from journal.cli.talk import told
from journal.cli.typed import Unfinished, dialogue
from journal.errors import BadInput

if TYPE_CHECKING:
    from journal.book.sheet import RevisionSheet
    from journal.book.tables import SheetValue
    from journal.review.asking import Topic

#: The reason with which an answer goes onto a sheet that says what was built.
_LATER = "said later, as it was asked for"


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add("Design sheet", ask_, name="ask")


def ask_(
    revision: OfRevision = None,
    answers: Annotated[
        Path | None,
        typer.Option("--answers", help="Take the answers from a TOML file, as galebook sheet --toml has it."),
    ] = None,
    as_json: Json = False,
) -> None:
    """Go on with the conversation: at most five questions, those that settle most first, each with why it is asked.

    Example: galebook ask r1
    """
    from journal.book import records

    if as_json:
        _questions_only(revision)
        return
    with session() as s:
        of = records.find_revision(s, revision)
        ref, frozen = of.ref, of.frozen_at is not None
    if answers is not None:
        take_answers(answers, ref, frozen)
    elif not at_terminal():
        raise BadInput("Nobody is there to answer", f"Use --answers FILE; what is wanted: galebook missing {ref}")
    elif begun(ref).lines is not None:
        first_talk(ref)
    else:
        with _kept_whole():
            _further(ref, _LATER if frozen else None)


def _questions_only(revision: str | None) -> None:
    """What would be asked, for scripts, as they can answer it from a file."""
    from journal.book import records
    from journal.review import asking, verdict
    from journal.screens.asking import show_questions

    with session() as s:
        review = verdict.check(s, records.find_revision(s, revision).ref)
        show_questions(asking.questions(review), True)


def take_answers(file: Path, ref: str, frozen: bool = False) -> None:
    """Set what a file answers, all or nothing."""
    from calc.wording import number_of
    from journal.book import records, sheet_toml
    from journal.cli.sheet import text_of

    text = text_of(file)
    with session(write=True) as s:
        of = records.find_revision(s, ref)
        taken = sheet_toml.read_sheet(s, of, text, file.name, _LATER if frozen else None)
    say(f"Set {number_of(taken.changed, 'value')} on {ref}.")


def begun(ref: str) -> Unfinished:
    """The note that the first conversation about a revision goes on; its lines are values that were left open."""
    from journal.book import records

    with session() as s:
        build = records.current_build(s).key
    return Unfinished(f"conversation-{build}-{ref}")


@contextlib.contextmanager
def _kept_whole() -> Iterator[None]:
    """Whoever leaves keeps everything, and is told how to go on."""
    try:
        yield
    except (typer.Abort, KeyboardInterrupt):
        say("")
        told("Every answer is kept. Go on where you were with: galebook ask")
        raise typer.Exit from None


# The first values, by chapters


def first_talk(ref: str) -> None:
    """Ask for the few values that decide, tell after each chapter what can be said, and end in the check."""
    from journal.review.asking import HOW_KNOWN

    note = begun(ref)
    if note.lines is None:
        told(f"At every question: {talk.SMALL_WORDS}. {HOW_KNOWN}")
        note.note()
    with _kept_whole():
        _chapters(ref, note)
    note.finish()
    _show_check(ref)
    told("More that would settle something: galebook ask. All of it as text: galebook sheet --edit")


def _chapters(ref: str, note: Unfinished) -> None:
    from journal.review.asking import CHAPTERS, fits, in_place

    todo = [(chapter, asked) for chapter in CHAPTERS for asked in chapter.questions]
    place, before, again = 0, list[int](), -1
    left, told_of = set(note.lines or []), None
    while place < len(todo):
        chapter, asked = todo[place]
        review = _opened(ref)
        path = in_place(asked.path, review.values)
        if place != again and (path in review.values or path in left or not fits(path, review)):
            place += 1
            continue
        if told_of is not chapter:
            say(f"\n{chapter.title}")
            told_of = chapter
        try:
            answered = _one(path, f"{place + 1} of {len(todo)}", ref, review.values.get(path), behind=bool(before))
        except talk.Back:
            again = place = before.pop()
            continue
        if not answered and path not in review.values:
            left.add(path)
            note.note(path)
        before.append(place)
        place, again = place + 1, -1
        if place == len(todo) or todo[place][0] is not chapter:
            _say_so_far(ref, chapter)


def _opened(ref: str) -> RevisionSheet:
    from journal.book import records, sheet

    with session() as s:
        return sheet.load_sheet(s, records.find_revision(s, ref))


def _one(
    path: str,
    place: str,
    ref: str,
    now: SheetValue | None,
    *,
    behind: bool,
    because: str = "",
    more: str = "",
    correct: str | None = None,
) -> bool:
    """Ask for one value and put the answer on the sheet at once; whether there was one.

    Raises
    ------
    talk.Back
        If the question before is wanted.
    """
    from journal.book import records, sheet
    from journal.review import asking

    asked, entry = asking.wording(path), sheet.entry_of(path)[0]
    told(f"{place}  {asked.asks}", hang=2)
    usual = f"Usual: {asked.typical}." if asked.typical else ""
    if text := " ".join(filter(None, [because or asked.why, usual])):
        told(text, by=2)
    words = entry.choices or (("yes", "no") if entry.kind == "flag" else ())
    question = talk.Question(
        "Which" if words else f"Like {entry.example}",
        words,
        check=lambda typed: asking.answer_of(asked, typed),
        optional=True,
        default=now.typed if now else None,
        help=" ".join(filter(None, [more, asking.help_of(asked), "" if words else asking.HOW_KNOWN])),
        echoed=False,
    )
    with dialogue(()) as alone:
        alone.behind = behind
        typed = talk.asked(question)
    if typed is None or (now is not None and typed == now.typed):
        return _left_open(path, ref, take_off=typed is None and now is not None and correct is None)
    answer = asking.answer_of(asked, typed)
    with session(write=True) as s:
        sheet.set_values(s, records.find_revision(s, ref), {path: answer.item}, correct if now else None)
    told(f"= {answer.says}", by=2, hang=2)
    return True


def _left_open(path: str, ref: str, *, take_off: bool) -> bool:
    """Take back what was answered before, where it is left open after all; there is no answer then."""
    from journal.book import records, sheet

    if take_off:
        with session(write=True) as s:
            sheet.unset(s, records.find_revision(s, ref), [path])
        told("= left open", by=2)
    return False


def _say_so_far(ref: str, chapter: Topic) -> None:
    """What the numbers say by now; it is only said, so that nothing of it may stop the conversation."""
    from journal.review import verdict
    from journal.review.asking import can_be_said

    with session() as s, waiting("Checking"):
        lines = can_be_said(verdict.check(s, ref), chapter)
    for line in lines:
        told(f"> {line}", hang=2)


def _show_check(ref: str) -> None:
    from journal.review import verdict
    from journal.screens.check import show_check

    say("")
    with session() as s:
        with waiting("Checking"):
            result = verdict.check(s, ref, advise=True)
        show_check(result, False)


# Later, whatever settles most


def _further(ref: str, correct: str | None) -> None:
    from journal.review import asking, counsel, verdict

    asked, left, again = list[str](), set[str](), ""
    while len(asked) < asking.MOST:
        with session() as s, waiting("Looking for what settles most"):
            review = verdict.check(s, ref)
            todo = asking.questions(review, {*left, *asked})
        if not todo and not again:
            say(f"Nothing {'more ' if asked else ''}that could be asked would change what is judged of {ref}.")
            return
        first = next((n for n in asking.questions(review) if n.path == again), todo[0] if todo else None)
        path, again = again or (first.path if first else ""), ""
        now = review.sheet.values.get(path)
        because = first.because if first and first.path == path else ""
        more = asking.how_to_settle(review, path) if first and first.doubtful else ""
        try:
            answered = _one(path, f"{len(asked) + 1}", ref, now, behind=bool(asked), because=because, more=more,
                            correct=correct)  # fmt: skip
        except talk.Back:
            again = asked.pop()
            continue
        asked.append(path)
        if not answered:
            left.add(path)
    with session() as s, waiting("Checking"):
        review = verdict.check(s, ref)
    told(f"> {counsel.verdict_of(review).text}", hang=2)
    if asking.questions(review, {*left, *asked}):
        say(f"That is enough at a time; there is more: galebook ask {ref}")
