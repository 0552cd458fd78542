"""A command at a terminal of its own: what is typed to it, and what it shows."""

from __future__ import annotations

import contextlib
import fcntl
import os
import pty
import re
import select
import signal
import struct
import subprocess
import sys
import termios
import time
import warnings
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from journal import cli

#: Keys of a terminal (ECMA-48 for the arrow; the control characters of POSIX terminals).
LEFT, RIGHT, TAB, INTERRUPT, END = "\x1b[D", "\x1b[C", "\t", "\x03", "\x04"
#: The terminal is closed, and the command told so by the system.
HANG_UP = None
GALEBOOK = (sys.executable, "-m", "journal")


def _own_terminal() -> None:
    # Where tests run in the background of a shell, Ctrl-C would be ignored.
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)


def talk(command: Sequence[str], *given: str | int | None, wait: float = 90.0) -> tuple[str, int]:
    """Answer each question of a command; what was shown, and the exit code.

    A text is typed with Enter behind it, but keys that end something as they are; a number is a signal.
    """
    here, there = pty.openpty()
    shown, seen, left, ends = b"", 0, list(given), b""
    with subprocess.Popen(
        command, stdin=there, stdout=there, stderr=there, start_new_session=True, preexec_fn=_own_terminal
    ) as process:
        os.close(there)
        until = time.monotonic() + wait
        since = time.monotonic()
        while time.monotonic() < until:
            if select.select([here], [], [], 0.1)[0]:
                try:
                    piece = os.read(here, 4096)
                except OSError:
                    break
                if not piece:
                    break
                shown, since = shown + piece, time.monotonic()
            elif process.poll() is not None:
                break
            # What is typed before the terminal waits for it can be lost.
            elif left and shown[seen:].rstrip(b" ").endswith((b":", b"...")):
                seen = len(shown)
                answer = left.pop(0)
                if answer is HANG_UP:
                    break
                if isinstance(answer, int):
                    process.send_signal(answer)
                else:
                    ends = answer.encode() if answer in (INTERRUPT, END) else b""
                    os.write(here, ends or answer.encode() + b"\n")
            elif ends and not left and time.monotonic() - since > 5.0:
                # On a busy machine a key is lost though the question stands there.
                os.write(here, ends)
                since = time.monotonic()
        os.close(here)
        try:
            process.wait(timeout=10)
        except subprocess.TimeoutExpired:
            process.kill()
            raise
    return shown.decode(errors="replace"), process.returncode


# In a child of this process, so that nothing is loaded anew

#: What steers a terminal: control sequences as ECMA-48 has them.
STEERS = re.compile(r"\x1b(?:\[[0-9;?]*[ -/]*[@-~]|[=>]|\][^\x07]*\x07)")
#: A question waits where the last line shown ends so.
_WAITS = re.compile(r":\s*$")
#: Terminals: one that can be steered, and what makes one that is told plain lines.
CAPABLE = {"TERM": "xterm", "LC_ALL": "C.UTF-8"}
PLAIN = ({"TERM": "dumb"}, {"TERM": "xterm", "LC_ALL": "C"}, {"TERM": "xterm", "GALEBOOK_PLAIN": "1"})


@dataclass(frozen=True)
class Talked:
    """What was shown, with all that steers the terminal, the exit code, and answers that nobody asked for."""

    raw: str
    code: int
    left: tuple[str, ...]

    @property
    def text(self) -> str:
        """What a person reads, on one line."""
        return " ".join(STEERS.sub("", self.raw).split())

    @property
    def lines(self) -> list[str]:
        """What a person reads, line by line; what was wiped from a line again is not in it."""
        shown = STEERS.sub("", re.sub(r"\x1b\[2K|\x1b\[\d+D\x1b\[0m\x1b\[J|\x1b\[\d+D(?=\x1b)", "\r", self.raw))
        return [line.rsplit("\r", 1)[-1] for line in shown.replace("\r\n", "\n").split("\n")]


def converse(
    words: Sequence[str], *given: str, columns: int = 80, env: Mapping[str, str] = CAPABLE, wait: float = 20.0
) -> Talked:
    """Answer each question of a command at a terminal; keys that end something go as they are, texts with Enter."""
    with warnings.catch_warnings():
        # Later Pythons warn of threads, of which the child uses none.
        warnings.simplefilter("ignore", DeprecationWarning)
        child, here = pty.fork()
    if not child:
        _be_at_a_terminal(words, columns, env)
    shown, seen, left, until = b"", 0, list(given), time.monotonic() + wait
    while time.monotonic() < until:
        if select.select([here], [], [], 0.02)[0]:
            try:
                piece = os.read(here, 65536)
            except OSError:
                break
            if not piece:
                break
            shown += piece
        elif left and _WAITS.search(STEERS.sub("", shown[seen:].decode(errors="replace"))):
            seen = len(shown)
            answer = left.pop(0)
            os.write(here, answer.encode() + (b"" if answer in (INTERRUPT, END) else b"\r"))
    else:
        os.kill(child, 9)
    os.close(here)
    return Talked(shown.decode(errors="replace"), os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), tuple(left))


def _be_at_a_terminal(words: Sequence[str], columns: int, env: Mapping[str, str]) -> None:
    code = 70
    with contextlib.suppress(BaseException):
        fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", 24, columns, 0, 0))
        for name in ("LC_ALL", "GALEBOOK_PLAIN"):
            os.environ.pop(name, None)
        os.environ.update(env, COLUMNS=str(columns))
        sys.stdin, sys.stdout, sys.stderr = (
            open(n, "r" if n == 0 else "w", closefd=False, encoding="utf-8", buffering=1)  # noqa: SIM115
            for n in range(3)
        )
        sys.__stdin__ = sys.stdin
        code = cli.run(list(words))
        sys.stdout.flush()
        sys.stderr.flush()
    os._exit(code)
