"""A text in the person's own editor; it lies beside the journal until it was taken over."""

from __future__ import annotations

import contextlib
import shlex
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from journal.cli.streams import say, somebody
from journal.cli.talk import confirmed
from journal.cli.typed import let_go, new_text, texts_folder, time_text
from journal.errors import BadInput

if TYPE_CHECKING:
    from subprocess import Popen

#: More than any sheet holds; what is longer is no text that a person typed.
MOST_BYTES = 1 << 20
#: Beside an edited text lies the one from which it was begun.
_BEGUN = ".begun"


@contextlib.contextmanager
def edited(text: str, name: str, go_on: str) -> Iterator[tuple[str, str]]:
    """Let the person edit a text, and keep it unless the body takes it over.

    Parameters
    ----------
    text : str
        What is to be edited.
    name : str
        Of the file in which it is edited.
    go_on : str
        The command that takes a kept text over, without the name of the file.

    Yields
    ------
    before, after : str
        The text from which the edited one was begun, and that one.

    Raises
    ------
    BadInput
        If the editor cannot be started, ends with an error, or leaves no text in UTF-8.
    """
    path, before = _laid_down(text, name)
    try:
        _edit(path)
        if not path.exists():
            raise BadInput("The editor left no text: its file is gone", "Nothing was saved; see EDITOR")
        yield before, read_text(path)
    except BaseException:
        if _is(path, before) or not path.exists():
            let_go(path)
        else:
            say(f"Your text is kept in {path}; mend it if need be, and go on with: {go_on} {shlex.quote(str(path))}")
        raise
    let_go(path)


def written_in(begun: str) -> str:
    """A long answer, written in the person's own editor.

    Raises
    ------
    BadInput
        As :func:`edited`.
    """
    with edited(f"{begun}\n", "answer.txt", "galebook, and type it from") as (_, text):
        return text.strip()


def _begun(path: Path) -> Path:
    return path.with_name(path.name + _BEGUN)


def _is(path: Path, text: str) -> bool:
    try:
        return path.read_bytes() == text.encode()
    except OSError:
        return False


def _laid_down(text: str, name: str) -> tuple[Path, str]:
    """The file to be edited, and the text from which it was begun: one that was left, or a new one."""
    for left in _left(name):
        when = time_text(left.stat().st_mtime)
        if somebody() and confirmed(f"A text of {when} was not taken over: {left}. Go on with it", default=True):
            return left, read_text(_begun(left))
        say(f"Not taken over yet: {left}")
    for left in sorted(set(_left()) - set(_left(name))):
        say(f"Of another edit a text is left that was not taken over: {left}")
    from journal.book.safe_files import replace

    path = new_text(name, text)
    replace(_begun(path), [text.encode()])
    return path, text


def _left(name: str = ".toml") -> list[Path]:
    """Texts that were not taken over, of a name or of any, the newest first."""
    stem, _, ending = name.partition(".")
    found = [p for p in texts_folder().glob(f"{stem}*.{ending}") if _begun(p).exists()]
    return sorted(found, key=lambda p: p.stat().st_mtime, reverse=True)


def _edit(path: Path) -> None:
    import os
    import subprocess

    editor = os.environ.get("VISUAL") or os.environ.get("EDITOR") or "vi"
    hint = "Set EDITOR, or use --file"
    try:
        process = subprocess.Popen([*shlex.split(editor), str(path)])
    except (OSError, ValueError) as e:
        raise BadInput(f"The editor {editor!r} could not be used ({e})", hint) from None
    code = _waited_for(process)
    if code:
        raise BadInput(f"The editor {editor!r} ended with an error ({code})", f"Nothing was saved. {hint}")


def _waited_for(process: Popen[bytes]) -> int:
    """How the editor ended. An interrupt from the keyboard is its own affair; what ends us ends it too."""
    import signal

    def end(*_: object) -> None:
        raise KeyboardInterrupt

    ours: dict[signal.Signals, Any] = {signal.SIGINT: signal.SIG_IGN, signal.SIGTERM: end}
    if hasattr(signal, "SIGHUP"):
        ours[signal.SIGHUP] = end
    before = {number: signal.signal(number, handler) for number, handler in ours.items()}
    try:
        return process.wait()
    except KeyboardInterrupt:
        process.terminate()
        raise
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def read_text(path: Path) -> str:
    """A text that a person wrote.

    Raises
    ------
    OSError
        If it cannot be read.
    BadInput
        If it is not in UTF-8, or longer than anybody types.
    """
    from journal.book.safe_files import beginning

    return decoded(beginning(path, MOST_BYTES + 1), str(path))


def decoded(data: bytes, name: str) -> str:
    """A text in UTF-8, as long as a person types; lines end as everywhere here."""
    if len(data) > MOST_BYTES:
        raise BadInput(f"{name} is longer than {MOST_BYTES >> 20} MB", "A sheet as TOML text is accepted")
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as e:
        line = data.count(b"\n", 0, e.start) + 1
        raise BadInput(f"{name}, line {line}: not a text in UTF-8", "Save it as UTF-8; nothing was changed") from None


def is_kept(path: Path) -> bool:
    """Whether a file lies where texts are kept that were not taken over."""
    return path.absolute().parent == texts_folder().absolute()
