"""A PostgreSQL server of a test session: its own data, a socket in a temporary folder, no network."""

from __future__ import annotations

import contextlib
import itertools
import os
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

#: Logins of the server: the one that keeps it, one who owns journals, and others.
KEEPER, OWNER, OTHERS = "keeper", "ann", ("bob", "cyd", "dora", 'e"; DROP ROLE ann')
#: What only makes a server slower here: its data are gone after the session.
_FAST = {
    "listen_addresses": "", "fsync": "off", "synchronous_commit": "off", "full_page_writes": "off",
    "max_connections": "80", "shared_buffers": "32MB", "autovacuum": "off", "wal_level": "minimal",
    "max_wal_senders": "0",
}  # fmt: skip
_EMPTY = """
    DO $$ DECLARE it record; BEGIN
        SET LOCAL session_replication_role = replica;
        SET LOCAL lock_timeout = '5s';
        FOR it IN SELECT rolname FROM pg_roles WHERE rolcanlogin AND NOT rolsuper AND rolname <> 'ann' LOOP
            EXECUTE format('REVOKE ALL ON ALL TABLES IN SCHEMA public FROM %I', it.rolname);
            EXECUTE format('REVOKE UPDATE (frozen_at) ON revision FROM %I', it.rolname);
            EXECUTE format('REVOKE UPDATE (consequences, refused_because) ON option FROM %I', it.rolname);
            EXECUTE format('REVOKE ALL ON ALL SEQUENCES IN SCHEMA public FROM %I', it.rolname);
        END LOOP;
        FOR it IN SELECT tablename FROM pg_tables WHERE schemaname = 'public' AND tablename <> 'alembic_version' LOOP
            EXECUTE format('DELETE FROM %I', it.tablename);
        END LOOP;
        FOR it IN SELECT sequencename FROM pg_sequences LOOP
            PERFORM setval(it.sequencename::regclass, 1, false);
        END LOOP;
        INSERT INTO setting (key, value) VALUES ('journal', gen_random_uuid());
    END $$
"""


@dataclass
class Cluster:
    """A running server, by the folder of its socket."""

    folder: Path
    _numbers: Iterator[int] = field(default_factory=itertools.count)

    def url(self, name: str, login: str = OWNER) -> str:
        """The address of a database for somebody."""
        from urllib.parse import quote

        return f"postgresql://{quote(login)}@/{name}?host={self.folder}"

    def database(self, name: str | None = None) -> Any:
        """Make a database that belongs to the owner of journals; its address."""
        from journal.book.places import Address

        name = name or f"journal{next(self._numbers)}"
        made = f'CREATE DATABASE "{name}" OWNER {OWNER} TEMPLATE template0 STRATEGY FILE_COPY'
        ask(self.url("postgres", KEEPER), made)
        return Address(self.url(name))

    def emptied(self, place: Any) -> Any:
        """A journal as it was when it was made: much sooner done than making another."""
        ask(place.url.replace(f"//{OWNER}@", f"//{KEEPER}@"), _EMPTY)
        return place

    def seen_by(self, place: Any, login: str) -> Any:
        """The same journal as somebody else names it."""
        from urllib.parse import quote

        from journal.book.places import Address

        return Address(place.url.replace(f"//{OWNER}@", f"//{quote(login)}@"))


def ask(url: str, query: str, *given: Any) -> list[tuple[Any, ...]]:
    """Ask a server something; each question is kept at once."""
    import psycopg

    with psycopg.connect(url, autocommit=True) as connection:
        done = connection.execute(query, given or None)
        return done.fetchall() if done.description else []


def everything(place: Any) -> list[str]:
    """Everything in a journal, as text."""
    tables = ask(place.url, "SELECT tablename FROM pg_tables WHERE schemaname = 'public' ORDER BY 1")
    return [
        f"{name}: {row}" for (name,) in tables for row in sorted(map(repr, ask(place.url, f'SELECT * FROM "{name}"')))
    ]


def _programs() -> Path | None:
    """The folder of the newest server that is installed."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda p: int(p.parts[-3]))
    named = shutil.which("initdb")
    return found[-1].parent if found else Path(named).parent if named else None


@contextlib.contextmanager
def running() -> Iterator[Cluster]:
    """Start a server, and stop it in the end."""
    pytest.importorskip("psycopg")
    programs = _programs()
    if programs is None:
        pytest.skip("there is no PostgreSQL here (Debian has it as postgresql)")
    # It does not run as the superuser, whom Debian's package gives an account to use instead.
    person: dict[str, Any] = {"user": "postgres", "group": "postgres", "extra_groups": []} if os.getuid() == 0 else {}
    folder = Path(tempfile.mkdtemp(prefix="galebook-"))
    try:
        if person:
            shutil.chown(folder, "postgres", "postgres")
        data = folder / "data"
        made = [programs / "initdb", "-D", data, "-U", KEEPER, "-A", "trust", "-N", "-E", "UTF8", "--locale=C"]
        subprocess.run(made, check=True, capture_output=True, cwd=folder, **person)
        told = [f"-c{name}={value}" for name, value in _FAST.items()]
        with (folder / "log").open("wb") as log:
            server = subprocess.Popen(
                [programs / "postgres", "-D", data, "-k", folder, *told], stdout=log, stderr=log, cwd=folder, **person
            )
        try:
            yield _ready(Cluster(folder), server)
        finally:
            # At once: nothing of it is kept.
            server.send_signal(signal.SIGQUIT)
            server.wait(timeout=30)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _ready(cluster: Cluster, server: subprocess.Popen[bytes]) -> Cluster:
    import psycopg

    for _ in range(200):
        with contextlib.suppress(psycopg.OperationalError):
            for login in (OWNER, *OTHERS):
                name = login.replace('"', '""')
                ask(cluster.url("postgres", KEEPER), f'CREATE ROLE "{name}" LOGIN')
            return cluster
        assert server.poll() is None, (cluster.folder / "log").read_text()
        time.sleep(0.05)
    raise AssertionError("the server did not start")
