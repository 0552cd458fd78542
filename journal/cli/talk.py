"""How a question is put to a person and how the answer is taken: at a capable terminal, at any other, and read aloud.

At every question the same few words do the same: ``?`` tells how to find the answer, ``back`` goes to the question
before, ``-`` leaves it open, ``leave`` stops and keeps everything.
"""

from __future__ import annotations

import contextlib
import importlib
import os
import shutil
import sys
import textwrap
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

import typer

from journal.cli.streams import say
from journal.cli.typed import Dialogue, meant, without_keys
from journal.errors import BadInput, GalebookError

T = TypeVar("T")
#: What each of the small words is typed as.
_SMALL = {
    "?": "help", "help": "help",
    "back": "back", "<": "back",
    "-": "open", "don't know": "open", "dont know": "open", "don’t know": "open",
    "leave": "leave",
    "edit": "edit",
}  # fmt: skip
SMALL_WORDS = '? how to find it, back, - leave it open, leave stops and keeps all; in quotes they are a text: "back"'
#: Columns beyond which lines get hard to read, those a question leaves for its answer, and the least there are.
_WIDE, _ROOM, _LEAST = 88, 12, 30
#: A list whose words are shorter stands in one paragraph.
_SHORT = 24


class Back(Exception):  # noqa: N818 - it says what is wanted, and nothing is wrong
    """The person wants the question before."""


@dataclass(frozen=True, slots=True)
class Question:
    """One question.

    Parameters
    ----------
    text : str
        What is asked, without a mark at its end.
    words : tuple of str
        Answers to choose from, by number, word, or a part that only one of them has.
    own : bool
        Whether another answer than those does as well.
    labels : mapping of str to str
        What stands beside a word in the list, such as what a reference means.
    check : callable, optional
        Raises what is wrong with an answer.
    optional : bool
        Whether it may be left open.
    default : str, optional
        What Enter takes.
    help : str
        How to find the answer, and what it means.
    echoed : bool
        Whether an answer that was not typed in full is told in full.
    completions : tuple of str
        Words that Tab completes within an answer, beside those to choose from.
    edit : callable, optional
        Lets a long text be written in the person's own editor, where ``edit`` is typed.
    """

    text: str
    words: tuple[str, ...] = ()
    own: bool = False
    labels: Mapping[str, str] = field(default_factory=dict)
    check: Callable[[str], Any] | None = None
    optional: bool = False
    default: str | None = None
    help: str = ""
    echoed: bool = True
    completions: tuple[str, ...] = ()
    edit: Callable[[str], str] | None = None


def asked(question: Question) -> str | None:
    """The answer of the person, asked again until it can be used; None where it is left open.

    Raises
    ------
    Back
        If the question before is wanted, and there is one.
    typer.Abort
        If the person leaves.
    """
    talk = meant.dialogue or Dialogue(())
    if (known := talk.replayed(question.text)) is not None:
        return known[0]
    default = _shown(talk.earlier(question.text, _goes_on) or question.default or "") or question.default
    for line in numbered(question):
        say(line)
    while True:
        answer = _line(question, default)
        small = _SMALL.get(answer.strip().casefold())
        if small == "edit":
            answer, small = question.edit(default or "") if question.edit else answer, None
        if small in ("help", "back", "leave"):
            _follow(small, question, talk)
        elif small == "open" or not answer.strip():
            if question.optional:
                talk.note(question.text, None)
                return None
            if small == "open" and question.default is not None:
                say(f"  Taken as {question.default}.")
                talk.note(question.text, question.default)
                return question.default
            say("  Something is needed here." + (" Stop with: leave" if small else ""))
        else:
            try:
                return _taken(question, _unquoted(answer), talk)
            except GalebookError as e:
                told(str(e), by=2)
                # A key that is no letter spoils an answer, and should not cost it.
                mended = without_keys(answer)
                default = mended if mended != answer else default


def confirmed(question: str, *, default: bool = False) -> bool:
    """Whether the person says yes; Enter takes the default, and the small words do as everywhere."""
    talk = meant.dialogue or Dialogue(())
    if (known := talk.replayed(question)) is not None:
        return known[0] == "y"
    said = _yes_or_no(question, default, talk)
    talk.pass_by(question, "y" if said else "n")
    return said


def _goes_on(question: str) -> bool:
    return _yes_or_no(question, True, Dialogue(()))


def _yes_or_no(question: str, default: bool, talk: Dialogue) -> bool:
    while True:
        typed = _line(Question(f"{question} [{'Y/n' if default else 'y/N'}]"), None).strip().casefold()
        small = _SMALL.get(typed)
        if small in ("help", "back", "leave"):
            _follow(small, Question(question, help="y for yes, n for no."), talk)
        elif small == "open" or typed in ("", "y", "yes", "n", "no"):
            return typed.startswith("y") or (default and not typed)
        else:
            say("  Type y or n.")


def _follow(small: str, question: Question, talk: Dialogue) -> None:
    if small == "leave":
        raise typer.Abort
    if small == "help":
        told(question.help or _plain_help(question), by=2)
        told(SMALL_WORDS, by=2)
    elif talk.can_go_back:
        raise Back
    else:
        told("This is the first question here. What was saved before stays; galebook amend corrects it.", by=2)


def _plain_help(question: Question) -> str:
    if question.edit:
        return "A text of any length; edit opens your own editor for a long one."
    if question.words:
        return f"Type a number, a word or a part of it{', or words of your own' if question.own else ''}."
    return "Whatever you know of it will do." if question.optional else "A short text will do."


def _taken(question: Question, answer: str, talk: Dialogue) -> str:
    """The answer as it is to be used, noted as it was typed.

    Raises
    ------
    BadInput
        If it cannot be used.
    """
    from journal.book.plain_text import clean_text

    clean_text(answer, question.text)
    found = chosen(answer, question)
    if question.check is not None:
        question.check(found)
    if question.echoed and found != answer and not found.casefold().startswith(answer.strip().casefold()):
        say(f"  = {found}")
    talk.note(question.text, found)
    return found


def chosen(answer: str, question: Question) -> str:
    """What of a list is meant by a number, a word, or a part that only one has; with no list the answer itself.

    Raises
    ------
    BadInput
        If it is none of them, and no other will do.
    """
    words, typed = question.words, answer.strip()
    if not words or typed in words:
        return typed if words else answer
    if typed.isdecimal() and 1 <= int(typed) <= len(words):
        numbered = words[int(typed) - 1]
        other = next((w for w in words if w != numbered and w.split()[0] == typed), None)
        if other:
            raise BadInput(f"{typed} can be {numbered!r} by its number, or {other!r}", "Type more of the one you mean")
        return numbered
    if question.own and not question.labels:
        return answer
    holding = [w for w in words if typed.casefold() in f"{w} {question.labels.get(w, '')}".casefold()]
    begun = [w for w in words if w.casefold().startswith(typed.casefold())]
    if len(holding) == 1 and not begun:
        return holding[0]
    if question.own:
        return answer
    from journal.book.written import word

    return word(answer, words, question.text) or answer


def numbered(question: Question) -> list[str]:
    """The lines that list what can be chosen, folded to the width there is."""
    items = [
        _shown(f"{n} {w}" + (f"  {question.labels[w]}" if question.labels.get(w) else ""))
        for n, w in enumerate(question.words, 1)
    ]
    if items and not question.labels and max(map(len, items)) < _SHORT:
        # A number stays with its word.
        lines = _folded("   ".join(i.replace(" ", "\0") for i in items), 2)
        return [line.replace("\0", " ") for line in lines]
    return [line for item in items for line in _folded(item, 2, hang=3)]


def told(text: str, *, by: int = 0, hang: int = 0) -> None:
    """Tell the person a text, folded between words to the width there is."""
    for line in _folded(text, by, hang):
        say(line)


def width() -> int:
    """Columns that a text may take."""
    return max(_LEAST, min(_WIDE, shutil.get_terminal_size().columns - 1))


def _folded(text: str, by: int, hang: int = 0) -> list[str]:
    from journal.book.shown import in_units

    # A number and its unit are told before a line could part them.
    return textwrap.wrap(
        in_units(text),
        width(),
        initial_indent=" " * by,
        subsequent_indent=" " * (by + hang),
        break_on_hyphens=False,
        break_long_words=False,
    )


def _shown(text: str) -> str:
    """A text of a question, in which nothing steers the terminal."""
    from journal.book.plain_text import harmless

    return harmless(text)


def _unquoted(answer: str) -> str:
    """An answer without the quotes that tell a text from a small word."""
    bare = answer.strip()[1:-1]
    return bare if answer.strip()[:1] in "\"'" and bare.casefold() in _SMALL else answer


# The line itself


def capable() -> bool:
    """Whether the terminal can move its cursor and shows all letters, and nobody asked for plain lines."""
    from journal.book.plain_text import plain_lines

    return sys.stdin.isatty() and sys.stderr.isatty() and not plain_lines()


def _line(question: Question, default: str | None) -> str:
    """One line typed by the person; what Enter takes stands in brackets."""
    # What a conversation ends with belongs to it, and is not taken to a pager.
    os.environ["PAGER"] = "cat"
    from journal.book.shown import in_units

    hint = " [Enter\0skips]" if question.optional and default is None else ""
    asked = in_units(question.text) + hint
    lines = textwrap.wrap(asked, width() - _ROOM, break_on_hyphens=False, break_long_words=False)
    *above, last = [_shown(line.replace("\0", " ")) for line in lines] or [""]
    text = _shown(asked.replace("\0", " "))
    if shutil.get_terminal_size().columns >= len(text) + _ROOM:
        above, last = [], text
    for line in above:
        say(line)
    if capable():
        return _edited_line(last, default, question)
    _edit_lines()
    typed: str = typer.prompt(
        last, default=default if default is not None else "", err=True, show_default=default is not None
    )
    return typed


def _edited_line(text: str, default: str | None, question: Question) -> str:
    """One line with editing and completion by Tab; nothing of it is kept as a history."""
    from prompt_toolkit import PromptSession
    from prompt_toolkit.completion import WordCompleter
    from prompt_toolkit.history import DummyHistory
    from prompt_toolkit.output import create_output
    from prompt_toolkit.shortcuts import CompleteStyle

    # It would ask a terminal where its cursor is, and some answer late or never.
    os.environ.setdefault("PROMPT_TOOLKIT_NO_CPR", "1")
    completer = None
    if question.words:
        completer = WordCompleter(list(question.words), ignore_case=True, match_middle=True, sentence=True)
    elif question.completions:
        completer = WordCompleter(list(question.completions), ignore_case=True, match_middle=True, WORD=True)
    session: PromptSession[str] = PromptSession(
        output=create_output(stdout=sys.stderr),
        history=DummyHistory(),
        completer=completer,
        complete_while_typing=False,
        complete_style=CompleteStyle.READLINE_LIKE,
        enable_history_search=False,
    )
    try:
        return session.prompt(f"{text}{'' if default is None else f' [{default}]'}: ") or default or ""
    except (EOFError, KeyboardInterrupt):
        raise typer.Abort from None


def _edit_lines() -> None:
    """Let arrow keys move within an answer, where the system knows how; it would write into what is no terminal."""
    if sys.stdout.isatty():
        with contextlib.suppress(ImportError):
            readline = importlib.import_module("readline")
            if hasattr(readline, "parse_and_bind"):
                readline.parse_and_bind("set enable-bracketed-paste off")


# Going back


def again(talk: Dialogue, run: Callable[[], T]) -> T:
    """Run what asks; whenever the question before is wanted, once more, with the answers before that as they were."""
    while True:
        try:
            return run()
        except Back:
            talk.go_back()
