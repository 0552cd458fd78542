"""What every request passes first: the right address, a session, a body within bounds; and what each answer carries."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from http.cookies import CookieError, SimpleCookie

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from journal.web.door import Door

#: The cookie of a session.
COOKIE = "galebook"
#: Bytes of a form of texts, each field as long as the journal takes it in any alphabet.
BODY = 1024 * 1024
#: What can be had without a session; nothing of a journal is in it.
OPEN = ("/enter", "/offline", "/sw.js", "/manifest.webmanifest", "/static/")
_HEADERS = {
    "Content-Security-Policy": (
        "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; object-src 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    # Whoever goes back after a lost connection finds what was typed: "no-store" would take it away.
    "Cache-Control": "private, no-cache",
}

Refuse = Callable[[int, str], Response]


def too_much(most: int) -> str:
    """What is said of a body beyond its bound."""
    return f"That is too much at once: at most {most // 1024 // 1024} MB are taken. Nothing was saved."


class Guard:
    """Lets through what comes to this address, by a session, in measure.

    Parameters
    ----------
    app : ASGI application
        The pages.
    door : Door
        Who has come in.
    origins : frozenset of str
        Addresses under which the pages are served, like ``http://127.0.0.1:8314``. A page elsewhere whose name was made
        to lead here has another one.
    bounds : mapping of str to int
        Largest bodies by path, where these are more than a form of texts. [bytes]
    refuse : callable (status, text)
        Makes the page that says so.
    """

    def __init__(
        self, app: ASGIApp, door: Door, origins: frozenset[str], bounds: Mapping[str, int], refuse: Refuse
    ) -> None:
        self._app, self._door, self._origins, self._bounds, self._refuse = app, door, origins, bounds, refuse
        self._hosts = {origin.partition("://")[2] for origin in origins}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one request."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
        if scope["type"] != "http":
            return
        answer = _with_headers(send)
        headers, most = Headers(scope=scope), self._bounds.get(scope["path"], BODY)
        refused = self._held(scope, headers, most)
        if refused is not None:
            await refused(scope, receive, answer)
        else:
            await self._app(scope, _bounded(receive, most), answer)

    def _held(self, scope: Scope, headers: Headers, most: int) -> Response | None:
        """Why a request is not served; None where it is."""
        if headers.get("host", "").lower() not in self._hosts:
            return Response("These pages are served under another address.", 421, media_type="text/plain")
        changes = scope["method"] not in ("GET", "HEAD")
        if changes and headers.get("origin", "").lower() not in self._origins:
            return self._refuse(403, "This came from a page that is none of these; open the page here and send again.")
        scope["state"] = {**scope.get("state", {}), "token": (token := _token(headers))}
        scope["state"]["guest"] = self._door.guest(token)
        if scope["state"]["guest"] is None and not scope["path"].startswith(OPEN):
            if not changes:
                return RedirectResponse("/enter", 303)
            return self._refuse(
                401, "Your session has ended. Come in with a new code, in another tab if you can, and send this again."
            )
        told = headers.get("content-length", "0")
        if not told.isdecimal() or int(told) > most:
            return self._refuse(413, too_much(most))
        return None


def _token(headers: Headers) -> str | None:
    try:
        found = SimpleCookie(headers.get("cookie", "")).get(COOKIE)
    except CookieError:
        return None
    return found.value if found else None


def _bounded(receive: Receive, most: int) -> Receive:
    """A body that ends where it is too long, whatever its head said."""
    seen = 0

    async def within() -> Message:
        nonlocal seen
        message = await receive()
        seen += len(message.get("body", b""))
        if seen > most:
            raise HTTPException(413, too_much(most))
        return message

    return within


def _with_headers(send: Send) -> Send:
    """Answers with what keeps a browser to these pages, unless an answer has its own."""

    async def more(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in _HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return more
