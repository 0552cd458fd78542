"""A command at a terminal of its own: what is typed to it, and what it shows."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import subprocess
import sys
import termios
import time
from collections.abc import Sequence

#: Keys of a terminal (ECMA-48 for the arrow; the control characters of POSIX terminals).
LEFT, INTERRUPT, END = "\x1b[D", "\x03", "\x04"
#: The terminal is closed, and the command told so by the system.
HANG_UP = None
GALEBOOK = (sys.executable, "-m", "journal")


def _own_terminal() -> None:
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)


def talk(command: Sequence[str], *given: str | int | None, wait: float = 30.0) -> tuple[str, int]:
    """Answer each question of a command; what was shown, and the exit code.

    A text is typed with Enter behind it, but keys that end something as they are; a number is a signal.
    """
    here, there = pty.openpty()
    shown, seen, left = b"", 0, list(given)
    with subprocess.Popen(
        command, stdin=there, stdout=there, stderr=there, start_new_session=True, preexec_fn=_own_terminal
    ) as process:
        os.close(there)
        until = time.monotonic() + wait
        while time.monotonic() < until:
            if select.select([here], [], [], 0.1)[0]:
                try:
                    piece = os.read(here, 4096)
                except OSError:
                    break
                if not piece:
                    break
                shown += piece
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
                    os.write(here, answer.encode() + (b"" if answer in (INTERRUPT, END) else b"\n"))
        os.close(here)
        try:
            process.wait(timeout=10)
        except subprocess.TimeoutExpired:
            process.kill()
            raise
    return shown.decode(errors="replace"), process.returncode
