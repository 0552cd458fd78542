"""The command: at which address, with what at the terminal, and what is said where it cannot serve."""

import asyncio
import importlib.util
import os
import re
import socket

import pytest
import segno

from journal.cli import serve
from journal.errors import Refused
from journal.web import serving
from journal.web.door import Door


def test_without_what_it_needs_one_line_tells_how_to_get_it(path, run, monkeypatch):
    """Nothing is imported to find that out."""
    real = importlib.util.find_spec
    monkeypatch.setattr(importlib.util, "find_spec", lambda name, *a: None if name in serve._NEEDED else real(name, *a))
    done = run("serve")
    assert (done.code, done.out, done.err.count("\n")) == (1, "", 1)
    assert "pip install 'galebook[phone]'" in done.err


def test_without_a_journal_nothing_is_served(run):
    """It says how to begin one."""
    done = run("serve")
    assert done.code == 1
    assert "no journal" in done.err


def test_a_port_that_somebody_has_is_told(path, run):
    """With another to try."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        done = run("serve", "--port", str(port))
    assert (done.code, f"127.0.0.1:{port} cannot be served" in done.err, "--port 8315" in done.err) == (1, True, True)


def test_a_certificate_that_is_none_is_told_before_anything_is_served(path, run, tmp_path):
    """And one without its key."""
    (tmp_path / "c.pem").write_text("no certificate")
    assert run("serve", "--certificate", str(tmp_path / "c.pem")).code == 2
    done = run("serve", "--certificate", str(tmp_path / "c.pem"), "--key", str(tmp_path / "c.pem"))
    assert (done.code, "cannot be used" in done.err) == (2, True)


class Asked:
    """A socket that would go out from some address."""

    def __init__(self, address):
        self.address = address

    def __call__(self, *_):
        """Be made."""
        return self

    def __enter__(self):
        """Be used."""
        return self

    def __exit__(self, *_):
        """Be closed."""

    def connect(self, _):
        """Reach nobody where there is no network."""
        if self.address is None:
            raise OSError("unreachable")

    def getsockname(self):
        """Its address."""
        return (self.address, 0)


@pytest.mark.parametrize("address", ["192.168.1.5", "10.0.0.7", "172.16.3.4"])
def test_the_address_at_home(monkeypatch, address):
    """One of a private network (RFC 1918)."""
    monkeypatch.setattr(serving.socket, "socket", Asked(address))
    assert serving.home_address() == address


@pytest.mark.parametrize(("address", "said"), [(None, "on no network"), ("0.0.0.0", "on no network"),
                                               ("93.184.216.34", "not one of a home network")])  # fmt: skip
def test_the_pages_are_not_for_the_world(monkeypatch, address, said):
    """Nor for nobody."""
    monkeypatch.setattr(serving.socket, "socket", Asked(address))
    with pytest.raises(Refused, match=said):
        serving.home_address()


def test_the_code_to_scan_is_the_link():
    """In blocks and in plain letters, module by module as segno makes it.

    The quiet edge is two modules of the four of ISO 18004: most readers need no more, and windows are small.
    """
    link = "http://192.168.1.5:8314/enter?code=7KQ4M2ZP"
    wanted = [[bool(dark) for dark in row] for row in segno.make(link, error="m", micro=False).matrix_iter(border=2)]
    plain = serving.qr_text(link, "ascii").split("\n")
    assert [[row[i : i + 2] == "  " for i in range(0, len(row), 2)] for row in plain] == wanted
    halves = {"\u2588": (False, False), "\u2580": (False, True), "\u2584": (True, False), " ": (True, True)}
    blocks = serving.qr_text(link, "utf-8").split("\n")
    read = [row for line in blocks for row in zip(*(halves[c] for c in line.ljust(len(wanted))), strict=True)]
    assert [list(row) for row in read[: len(wanted)]] == wanted
    assert max(map(len, blocks)) <= 40


def test_enter_at_the_terminal_shows_a_link_for_another(monkeypatch):
    """A new code, so that the one before is good no more; the end of input is waited for no longer."""
    said, (read, write) = [], os.pipe()
    monkeypatch.setattr(serving.sys, "stdin", os.fdopen(read))
    monkeypatch.setattr(serving, "_typed_at", lambda: True)
    shown = serving._Shown(Door(), "http://127.0.0.1:8314", said.append)

    async def pressed():
        async with shown.while_served():
            os.write(write, b"\n")
            while len(said) < 2:
                await asyncio.sleep(0.01)
            os.close(write)
            await asyncio.sleep(0.01)

    shown.begin(home=True, whole=False)
    first = said.pop(), said.pop(), said.pop()
    asyncio.run(pressed())
    serving.sys.stdin.close()
    assert "not encrypted" in first[2]
    code = re.search(r"code=(\w+)", said[0])[1]
    assert code not in first[1]
    assert shown.door.come_in(re.search(r"code=(\w+)", first[1])[1], "a") is None
    assert shown.door.come_in(code, "a")
