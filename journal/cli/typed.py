"""What a person typed is kept beside the journal from its first letter on, until it was taken over."""

from __future__ import annotations

import contextlib
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from journal.errors import GalebookError

#: What a terminal sends for a key that is no letter, such as an arrow.
_KEYS = re.compile(r"\x1b(?:\[[0-9;?]*[ -/]*[@-~]|O.|.)?|[\x00-\x08\x0b-\x1f\x7f-\x9f]|[\ud800-\udfff]")


@dataclass
class Meant:
    """What the options before the command chose, what is being answered, and how to go on where that was stopped."""

    journal: str | None = None
    build: str | None = None
    saved: bool = False
    dialogue: Dialogue | None = None
    going_on: str = ""


meant = Meant()


def front() -> list[str]:
    """The options before the command, as they were chosen; no password."""
    from journal.book.places import place_of

    journal = ["--journal", str(place_of(meant.journal))] if meant.journal else []
    return journal + (["--build", meant.build] if meant.build else [])


def texts_folder() -> Path:
    """Folder beside the journal in which typed texts and answers lie until they were taken over."""
    from journal.book.places import kept_folder, place_of

    return kept_folder(place_of(meant.journal)) / "texts"


def new_text(name: str, text: str) -> Path:
    """Lay a text down in a new file of some name, or of that name with a number.

    Raises
    ------
    OSError
        If it cannot be written.
    """
    from journal.book.safe_files import make_folder, write_new

    folder = texts_folder()
    make_folder(folder)
    stem, dot, ending = name.partition(".")
    number = 1
    while True:
        path = folder / f"{stem}{f'-{number}' if number > 1 else ''}{dot}{ending}"
        try:
            write_new(path, [text.encode()])
        except FileExistsError:
            number += 1
        else:
            return path


@dataclass(frozen=True)
class Unfinished:
    """A note beside the journal that something longer was begun, with lines about it, until it is finished.

    Where it cannot be kept, what was begun is not offered again; nothing else is lost by that.
    """

    name: str

    @property
    def _file(self) -> Path:
        return texts_folder() / f"{self.name}.open"

    @property
    def lines(self) -> list[str] | None:
        """What was noted; None where nothing is begun."""
        try:
            return self._file.read_text(encoding="utf-8").splitlines()
        except (OSError, ValueError):
            return None

    def note(self, *lines: str) -> None:
        """Note lines beside those that are there, or that it is begun."""
        from journal.book.safe_files import make_folder, replace

        with contextlib.suppress(OSError, GalebookError):
            make_folder(texts_folder())
            replace(self._file, ["".join(f"{line}\n" for line in (*(self.lines or []), *lines)).encode()])

    def finish(self) -> None:
        """Let the note go."""
        if self._file.exists():
            let_go(self._file)


def let_go(path: Path) -> None:
    """Take away what was taken over, with what an editor left beside it, and the folder with the last of it."""
    with contextlib.suppress(OSError):
        for file in [f for f in path.parent.iterdir() if f.name.startswith(path.name)]:
            file.unlink(missing_ok=True)
        path.parent.rmdir()


def time_text(moment: float) -> str:
    """The time of a file as one says it: of today the hour, else the day with it."""
    from datetime import datetime

    then = datetime.fromtimestamp(moment).astimezone()
    today = datetime.now().astimezone().date()
    return f"{then:%H:%M}" if then.date() == today else f"{then:%Y-%m-%d %H:%M}"


def without_keys(answer: str) -> str:
    r"""An answer without what an arrow key or another key that is no letter left in it.

    Examples
    --------
    >>> without_keys("it hum\x1b[D\x1b[Dmed")
    'it hummed'
    """
    return _KEYS.sub("", answer)


@dataclass
class Dialogue:
    """The answers to one command's questions, kept as they are given.

    Parameters
    ----------
    words : list of str
        The command as it was called.
    behind : bool
        Whether there is a question before the first one of this dialogue that can be gone back to.
    """

    words: Sequence[str]
    behind: bool = False
    _given: dict[str, str] = field(default_factory=dict)
    _earlier: dict[str, str] | None = None
    _file: Path | None = None
    _unkept: bool = False
    _order: list[tuple[str, str | None]] = field(default_factory=list)
    _ahead: list[tuple[str, str | None]] = field(default_factory=list)
    _closed: bool = False

    def earlier(self, question: str, confirmed: Callable[[str], bool]) -> str | None:
        """What was answered when the same command was stopped, if the person confirms to go on with that."""
        if self._earlier is None:
            self._earlier = {}
            with contextlib.suppress(OSError, GalebookError):
                self._look_for_earlier(confirmed)
        return self._earlier.get(question)

    def _look_for_earlier(self, confirmed: Callable[[str], bool]) -> None:
        for file in sorted(texts_folder().glob("*.json")):
            words, answers = _read(file)
            if answers and _apart_from_journal(words) == _apart_from_journal(self.words):
                self._file = file
                asked = f"You were at this at {time_text(file.stat().st_mtime)} and did not finish. Go on with it"
                if confirmed(asked):
                    self._earlier = answers
                return

    @property
    def can_go_back(self) -> bool:
        """Whether there is a question before, since something was saved."""
        return self.behind or (bool(self._order) and not self._closed)

    def replayed(self, question: str) -> tuple[str | None] | None:
        """What this question was answered before one went back, as one item; nothing where it is to be asked."""
        if not self._ahead:
            return None
        asked, answer = self._ahead.pop(0)
        if asked != question:
            # Another answer leads to other questions.
            self._ahead.clear()
            return None
        self._order.append((asked, answer))
        return (answer,)

    def go_back(self) -> None:
        """Forget the last answer, but offer it again, and let those before it stand."""
        if self._order:
            question, answer = self._order.pop()
            if answer is not None:
                self._earlier = {**(self._earlier or {}), question: answer}
                self._given.pop(question, None)
        self._ahead, self._order = self._order, []

    def pass_by(self, question: str, answer: str | None) -> None:
        """Know the answer when one goes back; it is nothing to be kept."""
        self._order.append((question, answer))

    def note(self, question: str, answer: str | None) -> None:
        """Keep one more answer; a day as its date, for it may be another day when it is needed."""
        self.pass_by(question, answer)
        if answer is None:
            for known in (self._given, self._earlier or {}):
                known.pop(question, None)
            return
        self._given[question] = _standing(question, answer)
        if not self.words:
            return
        import json

        # Those that are still to come must not be lost where the same dialogue is stopped once more.
        kept = {**(self._earlier or {}), **self._given}
        text = json.dumps({"command": list(self.words), "answers": kept}, ensure_ascii=False, indent=1)
        try:
            if self._file is None:
                self._file = new_text("-".join(w for w in self.words if w.isalnum())[:40] + ".json", text)
            else:
                from journal.book.safe_files import replace

                replace(self._file, [text.encode()])
        except (OSError, GalebookError):
            # Where nothing can be kept, the dialogue still serves.
            self._unkept = True

    def saved(self) -> None:
        """Let the answers go, for they are in the journal."""
        if self._file is not None:
            let_go(self._file)
        self._given, self._earlier, self._file = {}, {}, None
        self._order, self._ahead, self._closed = [], [], True

    def kept(self) -> str:
        """Where one was stopped, how to go on; empty where there is nothing to go on with."""
        import shlex

        if self._unkept and self._given:
            return "Your answers could not be kept; they were: " + "; ".join(
                f"{q}: {a}" for q, a in self._given.items()
            )
        if self._file is None or not (self._given or self._earlier):
            return ""
        return f"Your answers are kept; go on with: {shlex.join(['galebook', *self.words])}"


def _standing(question: str, answer: str) -> str:
    """An answer as it stays true; of a day, in the words of a day that stands still."""
    relative = answer.strip().casefold() in ("today", "yesterday", "now")
    if relative or question.startswith("When"):
        from journal.book import days, spoken_days

        with contextlib.suppress(GalebookError):
            read = spoken_days.read(answer)
            # A moment keeps its own form.
            return read if "T" in read else days.day_text(read)
    return answer


def _apart_from_journal(words: Sequence[str]) -> list[str]:
    """The words of a command but for the journal, which is the one beside which they are kept."""
    found = iter(words)
    return [w for w in found if not w.startswith("--journal=") and not (w == "--journal" and next(found, w))]


def _read(file: Path) -> tuple[list[str], dict[str, str]]:
    """The command and the answers that a file holds; nothing of one that somebody changed into something else."""
    import json

    try:
        found = json.loads(file.read_text(encoding="utf-8"))
        words = [str(w) for w in found["command"]]
        answers = {str(q): without_keys(str(a)) for q, a in found["answers"].items()}
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return [], {}
    return words, answers


@contextlib.contextmanager
def dialogue(words: Sequence[str]) -> Iterator[Dialogue]:
    """Keep the answers given in the meantime, until they are saved.

    Parameters
    ----------
    words : sequence of str
        The command that asks, as it would be called.
    """
    outer, meant.dialogue = meant.dialogue, Dialogue(words)
    try:
        yield meant.dialogue
    finally:
        meant.going_on = meant.dialogue.kept() or meant.going_on
        meant.dialogue = outer
