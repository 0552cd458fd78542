"""What a phone keeps of these pages: their looks, their icon on its first screen, and the page without a connection.

Nothing of a journal is in any of it, so it can be had without a session.
"""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route

from journal.errors import NotFound
from journal.publish.sandbox import templates_folder
from journal.web.desk import desk_of

#: Files that are given out, and no other: there is no folder to look through.
FILES = {
    "style.css": "text/css", "page.js": "text/javascript", "icon.svg": "image/svg+xml", "icon-192.png": "image/png",
    "icon-512.png": "image/png",
}  # fmt: skip


def _file(name: str, media_type: str) -> Response:
    return FileResponse(templates_folder() / "web" / name, media_type=media_type, headers={"Cache-Control": "no-cache"})


def static(request: Request) -> Response:
    """One of the files."""
    name = request.path_params["name"]
    if name not in FILES:
        raise NotFound("There is no such file here")
    return _file(name, FILES[name])


def manifest(request: Request) -> Response:
    """What makes it an app on a phone's first screen."""
    return _file("manifest.webmanifest", "application/manifest+json")


def worker(request: Request) -> Response:
    """What answers where there is no connection; it stands at the top, for it serves all pages."""
    return _file("sw.js", "text/javascript")


def offline(request: Request) -> Response:
    """The page for writing down without a connection."""
    return desk_of(request).page(request, "offline.html")


ROUTES = [
    Route("/static/{name}", static, methods=["GET"]),
    Route("/manifest.webmanifest", manifest, methods=["GET"]),
    Route("/sw.js", worker, methods=["GET"]),
    Route("/offline", offline, methods=["GET"]),
]
