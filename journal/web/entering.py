"""Coming in with a code, and leaving."""

from __future__ import annotations

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from journal.web.desk import desk_of
from journal.web.door import SESSION_LIFE, TooMany
from journal.web.guard import COOKIE
from journal.web.sending import posted

_NOT_IT = "That is not the code, or no longer: it is good once, for a quarter of an hour. See where it was shown."
_TOO_MANY = "Too many wrong codes came. Wait ten minutes, then come in with a new one."


def show(request: Request) -> Response:
    """The page for the code. Looking at it uses nothing up, for some programs look at every link first."""
    if request.scope["state"]["guest"] is not None:
        return RedirectResponse("/", 303)
    return desk_of(request).page(request, "enter.html", code=request.query_params.get("code", "")[:40], wrong="")


@posted
def come_in(request: Request, sent: FormData) -> Response:
    """Change the code for a session."""
    desk = desk_of(request)
    typed = str(sent.get("code", ""))
    address = request.client.host if request.client else ""
    try:
        token = desk.door.come_in(typed, address)
    except TooMany:
        answer: Response = desk.page(request, "enter.html", 429, code="", wrong=_TOO_MANY)
        answer.headers["Retry-After"] = "600"
        return answer
    if token is None:
        return desk.page(request, "enter.html", 403, code=typed[:40], wrong=_NOT_IT)
    answer = RedirectResponse("/", 303)
    answer.set_cookie(
        COOKIE, token, max_age=int(SESSION_LIFE), httponly=True, samesite="strict", secure=desk.whole, path="/"
    )
    request.app.state.came_in(address)
    return answer


@posted
def leave(request: Request, sent: FormData) -> Response:
    """End the session."""
    desk = desk_of(request)
    if sent.get("secret") == request.scope["state"]["guest"].secret:
        desk.door.leave(request.scope["state"]["token"])
    answer = RedirectResponse("/enter", 303)
    answer.delete_cookie(COOKIE, path="/", httponly=True, samesite="strict")
    return answer


ROUTES = [
    Route("/enter", show, methods=["GET"]),
    Route("/enter", come_in, methods=["POST"]),
    Route("/leave", leave, methods=["POST"]),
]
