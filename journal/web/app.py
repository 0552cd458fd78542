"""All pages together, behind one guard."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager, nullcontext

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Receive, Scope, Send

from journal.errors import BadInput, GalebookError, NotFound
from journal.web import (
    attempts,
    entering,
    failures,
    logged,
    loggers,
    looking,
    making,
    more,
    photos,
    readings,
    records,
    shell,
    standing,
    writeups,
)
from journal.web.desk import Desk
from journal.web.guard import Guard
from journal.web.receipts import Receipts
from journal.web.sending import LOGGER_BODY, PHOTOS_BODY

PAGES = (
    entering, records, attempts, readings, failures, looking, photos, loggers, logged, making, standing, writeups, more,
    shell,
)  # fmt: skip
Around = Callable[[], AbstractAsyncContextManager[None]]


def make(
    desk: Desk,
    origins: frozenset[str],
    came_in: Callable[[str], None] = lambda _: None,
    around: Around = nullcontext,
) -> ASGIApp:
    """The pages of a journal.

    Parameters
    ----------
    desk : Desk
        The journal, and who has come in.
    origins : frozenset of str
        Addresses under which the pages are served.
    came_in : callable (address), optional
        Is told when somebody came in.
    around : callable, optional
        Gives what is entered while the pages are served.
    """

    @asynccontextmanager
    async def life(app: Starlette) -> AsyncIterator[None]:
        Receipts(desk.place).clear()
        try:
            async with around():
                yield
        finally:
            desk.tray.clear()

    pages = Starlette(
        routes=[route for room in PAGES for route in room.ROUTES],
        exception_handlers={GalebookError: _refused, HTTPException: _no_page, Exception: _our_mistake},
        lifespan=life,
    )
    # A name with a stroke behind it is no page either.
    pages.router.redirect_slashes = False
    pages.state.desk, pages.state.came_in = desk, came_in
    bounds = {"/photos": PHOTOS_BODY, "/loggers/new": LOGGER_BODY}
    return Guard(pages, desk.door, origins, bounds, lambda status, text: _Told(desk, status, text))


class _Told(Response):
    """A page that says one thing, made when it is sent."""

    def __init__(self, desk: Desk, status: int, text: str) -> None:
        super().__init__(status_code=status)
        self._desk, self._text = desk, text

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        answer = self._desk.told(Request(scope), self.status_code, self._text)
        # What still comes of a refused body is not waited for.
        answer.headers["Connection"] = "close"
        await answer(scope, receive, send)


async def _refused(request: Request, error: Exception) -> Response:
    """An error of ours, as a page."""
    if not isinstance(error, GalebookError):
        raise error
    status = 404 if isinstance(error, NotFound) else 400 if isinstance(error, BadInput) else 409
    desk: Desk = request.app.state.desk
    return await run_in_threadpool(desk.told, request, status, desk.plain(error))


async def _no_page(request: Request, error: Exception) -> Response:
    """What the framework refuses: no such page, a method that is none, a form that is none."""
    status, said = (error.status_code, error.detail) if isinstance(error, HTTPException) else (400, "")
    text = {404: "There is no such page.", 405: "This page takes no such request.", 413: said}.get(
        status, "This form could not be read: it has more in it than a form of these pages. Nothing was saved."
    )
    desk: Desk = request.app.state.desk
    return await run_in_threadpool(desk.told, request, status, text)


async def _our_mistake(request: Request, error: Exception) -> Response:
    """What went wrong is told at the desk, not here."""
    return PlainTextResponse(
        "Something went wrong here that should not have. Nothing of this was saved; go back, your text is there.", 500
    )
