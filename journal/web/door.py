"""Who comes in: a code that is good once, then a session until it ends; nothing of either is written down."""

from __future__ import annotations

import hashlib
import hmac
import secrets
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

#: How long a code waits for the one who was shown it. [s]
CODE_LIFE = 15 * 60.0
#: How long a session lasts; a working day. [s]
SESSION_LIFE = 12 * 3600.0
#: Sessions at once; a shed has few phones.
MOST_SESSIONS = 20
#: Wrong codes from one address, and from all together, within :data:`WINDOW`, after which none is looked at.
WRONG_FROM_ONE, WRONG_FROM_ALL = 5, 50
WINDOW = 10 * 60.0
#: Letters that nobody takes for each other, read out or written with a cold hand.
_LETTERS = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
_LENGTH = 8


class TooMany(Exception):  # noqa: N818
    """So many wrong codes came that none is looked at for a while."""


@dataclass(frozen=True, slots=True)
class Guest:
    """A session: the secret that its forms carry, and when it ends."""

    secret: str
    until: float


def spoken(code: str) -> str:
    """A code as people read it.

    Examples
    --------
    >>> spoken("7KQ4M2ZP")
    '7KQ4-M2ZP'
    """
    return f"{code[: _LENGTH // 2]}-{code[_LENGTH // 2 :]}"


class Door:
    """Codes and sessions, in memory alone.

    Parameters
    ----------
    clock : callable
        Gives seconds that only grow.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._code: tuple[str, float] | None = None
        self._guests: dict[str, Guest] = {}
        self._wrong: list[tuple[float, str]] = []

    def new_code(self) -> str:
        """A code for the next one to come in; one shown before is good no more."""
        code = "".join(secrets.choice(_LETTERS) for _ in range(_LENGTH))
        with self._lock:
            self._code = (code, self._clock() + CODE_LIFE)
        return code

    def come_in(self, typed: str, address: str) -> str | None:
        """Change a code for the token of a session; None where it is not the code, or no longer.

        Raises
        ------
        TooMany
            If too many wrong ones came.
        """
        given = "".join(c for c in typed.upper() if c.isalnum())[:100]
        with self._lock:
            now = self._clock()
            self._wrong = [(at, who) for at, who in self._wrong if at > now - WINDOW]
            if len(self._wrong) >= WRONG_FROM_ALL or sum(w == address for _, w in self._wrong) >= WRONG_FROM_ONE:
                raise TooMany
            code, until = self._code or ("", 0.0)
            if not code or until < now or not hmac.compare_digest(given.encode(), code.encode()):
                self._wrong.append((now, address))
                return None
            self._code = None
            token = secrets.token_urlsafe(32)
            self._guests = dict(list(self._standing(now).items())[-(MOST_SESSIONS - 1) :])
            self._guests[_hashed(token)] = Guest(secrets.token_urlsafe(24), now + SESSION_LIFE)
            return token

    def guest(self, token: str | None) -> Guest | None:
        """The session of a token, if it lasts."""
        if not token:
            return None
        with self._lock:
            return self._standing(self._clock()).get(_hashed(token))

    def leave(self, token: str | None) -> None:
        """End a session."""
        with self._lock:
            self._guests.pop(_hashed(token or ""), None)

    def _standing(self, now: float) -> dict[str, Guest]:
        return {key: guest for key, guest in self._guests.items() if guest.until > now}


def _hashed(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
