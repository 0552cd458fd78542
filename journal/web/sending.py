"""Forms as they come over the network: read within bounds, then handled where waiting for the disk holds up nobody."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

from journal.web.tray import LARGEST_FILE

#: Fields of a form, files apart; more is no form of ours.
MOST_FIELDS = 40
#: Photos sent at once, and the largest of them. [bytes]
MOST_PHOTOS, LARGEST_PHOTO = 12, 25 * 1024 * 1024
#: All photos of a form together. [bytes]
PHOTOS_BODY = 100 * 1024 * 1024

#: A logger's file with its form: somewhat more than the largest that is taken, so that the page can say so. [bytes]
LOGGER_BODY = LARGEST_FILE + 1024 * 1024

Handler = Callable[[Request, FormData], Response]


def posted(handler: Handler) -> Callable[[Request], Awaitable[Response]]:
    """Read the form of a request before it is handled."""

    async def endpoint(request: Request) -> Response:
        async with request.form(max_files=2 * MOST_PHOTOS, max_fields=MOST_FIELDS) as sent:
            return await run_in_threadpool(handler, request, sent)

    return endpoint
