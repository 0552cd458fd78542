"""Serving the pages: an address on the home network, a link with a code at the terminal, until Ctrl-C."""

from __future__ import annotations

import asyncio
import contextlib
import io
import ipaddress
import os
import socket
import ssl
import sys
from collections.abc import AsyncIterator, Callable
from dataclasses import dataclass
from pathlib import Path

import segno
import uvicorn

from calc.units import can_show
from journal.book.places import Place
from journal.errors import BadInput, Refused
from journal.web.app import make
from journal.web.desk import Desk
from journal.web.door import Door, spoken

#: Requests at once; more are told to come again.
_AT_ONCE = 40
#: For the way to the network outside; nothing is sent there. An address that is nobody's (RFC 5737).
_NOWHERE = ("192.0.2.1", 9)


def home_address() -> str:
    """The address of this machine on the network at home.

    Raises
    ------
    Refused
        If it has none, or one that the whole world could reach.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            asked.connect(_NOWHERE)
            found = str(asked.getsockname()[0])
        except OSError:
            found = "127.0.0.1"
    address = ipaddress.ip_address(found)
    if address.is_loopback or address.is_unspecified:
        raise Refused("This machine is on no network", "Join the one at home, or leave --home out")
    if not address.is_private:
        raise Refused(
            f"The address of this machine, {found}, is not one of a home network", "These pages are not for the world"
        )
    return found


def qr_text(link: str, encoding: str | None) -> str:
    """A link as a QR code for a terminal with light letters on dark; in plain letters where it shows no blocks."""
    code = segno.make(link, error="m", micro=False)
    if can_show("\u2580\u2584\u2588", encoding):
        out = io.StringIO()
        code.terminal(out, border=2, compact=True)
        return out.getvalue().rstrip("\n")
    return "\n".join("".join("  " if dark else "##" for dark in row) for row in code.matrix_iter(border=2))


def listen(host: str, port: int) -> socket.socket:
    """A socket for an address, of this process alone.

    Raises
    ------
    Refused
        If somebody else has it.
    """
    try:
        return socket.create_server((host, port), backlog=64)
    except (OSError, OverflowError) as e:
        said = e.strerror if isinstance(e, OSError) else "no such port"
        raise Refused(f"{host}:{port} cannot be served ({said})", "Take another with --port, like --port 8315") from e


def serve(
    place: Place,
    build: str | None,
    *,
    home: bool,
    port: int,
    certificate: Path | None,
    key: Path | None,
    say: Callable[[str], None],
) -> None:
    """Serve the pages of a journal until Ctrl-C.

    Parameters
    ----------
    place : Path or Address
        The journal.
    build : str or None
        The build meant.
    home : bool
        Whether to be there for the network at home, and not for this machine alone.
    port : int
        Where; 0 for any that is free.
    certificate, key : Path or None
        For a connection that nobody reads along with.
    say : callable
        Tells the person at the terminal.
    """
    _hold_pair(certificate, key)
    host = home_address() if home else "127.0.0.1"
    with listen(host, port) as server:
        port = server.getsockname()[1]
        scheme = "https" if certificate else "http"
        names = [host] if home else [host, "localhost"]
        desk = Desk(place, build, Door(), whole=certificate is not None, say=say)
        shown = _Shown(desk.door, f"{scheme}://{host}:{port}", say)
        shown.begin(home=home, whole=desk.whole)
        app = make(desk, frozenset(f"{scheme}://{name}:{port}" for name in names), shown.came_in, shown.while_served)
        settings = uvicorn.Config(
            app, log_config=None, access_log=False, server_header=False, date_header=False,
            proxy_headers=False, ws="none", limit_concurrency=_AT_ONCE, timeout_graceful_shutdown=10,
            ssl_certfile=certificate, ssl_keyfile=key,
        )  # fmt: skip
        # A request that was begun is ended first; then the interrupt goes on to whoever asked for this.
        with contextlib.suppress(KeyboardInterrupt):
            uvicorn.Server(settings).run(sockets=[server])


def _hold_pair(certificate: Path | None, key: Path | None) -> None:
    """Hold that a certificate can be used with its key, before anything is shown.

    Raises
    ------
    BadInput
        If it cannot, or one of them was not named.
    """
    if (certificate is None) != (key is None):
        raise BadInput("A certificate and its key belong together", "Give both --certificate and --key")
    if certificate is None:
        return
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(certificate, key, lambda: "")
    except (OSError, ValueError) as e:
        raise BadInput(
            f"{certificate} with {key} cannot be used", "A certificate in PEM, and its key without a password"
        ) from e


@dataclass
class _Shown:
    """What stands at the terminal: the link, and a new one for each who presses Enter."""

    door: Door
    origin: str
    say: Callable[[str], None]

    def begin(self, *, home: bool, whole: bool) -> None:
        if home and not whole:
            self.say("The connection is not encrypted: whoever is on this network could read along. Ctrl-C ends it.")
        elif not home:
            self.say(
                "For this machine alone. For a phone on the network at home: galebook serve --home. Ctrl-C ends it."
            )
        self.link()

    def link(self) -> None:
        """A link with a new code."""
        code = self.door.new_code()
        link = f"{self.origin}/enter?code={code}"
        self.say(f"{qr_text(link, sys.stderr.encoding)}\n{link}")
        self.say(f"Good once, for a quarter of an hour. Or open {self.origin} and type {spoken(code)}.")

    def came_in(self, address: str) -> None:
        more = " Enter shows a link for another." if _typed_at() else ""
        self.say(f"Somebody came in from {address}.{more}")

    @contextlib.asynccontextmanager
    async def while_served(self) -> AsyncIterator[None]:
        """Listen for Enter at the terminal, where the system lets that be waited for."""
        loop = asyncio.get_running_loop()
        listening = False
        if _typed_at():
            with contextlib.suppress(NotImplementedError, OSError, PermissionError):
                loop.add_reader(sys.stdin.fileno(), self._pressed)
                listening = True
        try:
            yield
        finally:
            if listening:
                loop.remove_reader(sys.stdin.fileno())

    def _pressed(self) -> None:
        if os.read(sys.stdin.fileno(), 4096):
            self.link()
        else:
            asyncio.get_running_loop().remove_reader(sys.stdin.fileno())


def _typed_at() -> bool:
    return sys.stdin is not None and sys.stdin.isatty()
