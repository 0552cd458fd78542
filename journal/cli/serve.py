"""Pages for a phone in the shed."""

from __future__ import annotations

import gc
from pathlib import Path
from typing import Annotated

import typer

from journal.cli.common import Commands, meant, say, session

#: What the pages are made with; it comes with ``galebook[phone]``.
_NEEDED = {"starlette": "starlette", "uvicorn": "uvicorn", "python_multipart": "python-multipart", "segno": "segno"}


def register(to: Commands) -> None:
    """Add this group's commands."""
    to.add("Logging", serve)


def serve(
    home: Annotated[bool, typer.Option("--home", help="For the network at home, not for this machine alone.")] = False,
    port: Annotated[int, typer.Option(help="Port to serve at; 0 for any that is free.", min=0, max=65535)] = 8314,
    certificate: Annotated[Path | None, typer.Option(help="File of a certificate, for https.", exists=True)] = None,
    key: Annotated[Path | None, typer.Option(help="File of its key.", exists=True)] = None,
) -> None:
    """Serve small pages for logging from a phone: attempts, readings, photos, failures. Ctrl-C ends it.

    Example: galebook serve --home
    """
    from journal.book.places import place_of
    from journal.book.records import current_build

    _hold_installed()
    with session() as s:
        build = current_build(s).name
    from journal.web import serving

    gc.enable()
    serving.serve(place_of(meant.journal), build, home=home, port=port, certificate=certificate, key=key, say=say)
    say("Ended. What was sent is saved.")


def _hold_installed() -> None:
    """Hold that what the pages need is there.

    Raises
    ------
    Refused
        With how to get it.
    """
    from importlib.util import find_spec

    from journal.errors import Refused

    missing = [package for module, package in _NEEDED.items() if find_spec(module) is None]
    if missing:
        raise Refused(
            f"Pages for a phone need what is not installed here ({', '.join(missing)})",
            "Get it with: pip install 'galebook[phone]'",
        )
