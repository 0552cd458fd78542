"""Write-ups to look at, as ``galebook writeup`` makes them: what is private for a reader stays out here too."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from journal.errors import NotFound
from journal.publish import story, writeup
from journal.publish.readers import READERS
from journal.web.desk import desk_of

#: What such a page says of itself in its head, and that nobody sets it into another. Its style and its pictures are
#: inside it, for it is made to be sent; it runs nothing.
_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; frame-ancestors 'none'"
_BACK = '<nav aria-label="Galebook"><p><a href="/writeups">Back to Galebook</a></p></nav>\n<main>'
#: Who each is for, in a few words.
_FOR = {
    "forum": "others who build", "neighbour": "who lives near it", "workshop": "your own wall, with everything",
    "raising": "the day it goes up or comes down", "storm": "what to do when a storm is told of",
}  # fmt: skip


def choose(request: Request) -> Response:
    """Who it is for."""
    return desk_of(request).page(request, "writeups.html", readers=[(r, _FOR.get(r, "")) for r in READERS])


def show(request: Request) -> Response:
    """The page for one reader."""
    reader = request.path_params["reader"]
    if reader not in READERS:
        raise NotFound(f"There is no write-up called {reader!r}", f"There are: {', '.join(READERS)}")
    with desk_of(request).reckoning() as s:
        made = writeup.render(story.tell(s), reader, "html")
    text = made.text.replace("<main>", _BACK, 1)
    return HTMLResponse(text, headers={"Content-Security-Policy": _POLICY})


ROUTES = [Route("/writeups", choose, methods=["GET"]), Route("/writeups/{reader}", show, methods=["GET"])]
