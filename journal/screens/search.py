"""Records found by their words."""

from __future__ import annotations

import contextlib
import re
from dataclasses import dataclass
from typing import Any

from sqlmodel import Session

from journal.book import history, search
from journal.book.builds import all_builds
from journal.book.records import find_record
from journal.errors import GalebookError
from journal.screens.terminal import Terminal, screen

#: Records shown unless all are asked for: what stands further down answers less well.
SHOWN = 40


@dataclass(frozen=True)
class Search:
    """What was asked, how many records hold it, and the best of them, each with the place of the words.

    Parameters
    ----------
    asked : str
        The words.
    count : int
        Records that hold them.
    best : list of (Hit, Passage)
        Those shown.
    builds : dict of int to str
        Names of the builds.
    named : str
        The record whose reference was asked for.
    """

    asked: str
    count: int
    best: list[tuple[search.Hit, search.Passage]]
    builds: dict[int, str]
    named: str = ""


def gather_search(session: Session, asked: str, *, every: bool) -> Search:
    """Records that hold all words, best first."""
    terms = search.read_terms(asked)
    found = search.find(session, terms)
    best = found if every else found[:SHOWN]
    names = {build.key: build.name for build in all_builds(session)}
    hits = [(f, search.passage(session, f, terms)) for f in best]
    return Search(asked, len(found), hits, names, _named(session, asked))


def _named(session: Session, asked: str) -> str:
    """The reference that was asked for where a record has it; what is searched is what was typed in records."""
    with contextlib.suppress(GalebookError):
        return find_record(session, asked.strip(), withdrawn=True).ref
    return ""


def _words(name: str) -> str:
    return name.replace("_", " ")


def _kind(found: search.Hit) -> str:
    """A kind of record in words, such as "sheet value"."""
    return re.sub(r"(?<!^)(?=[A-Z])", " ", history.kept_kinds()[found.kind].__name__).lower()


def _data(of: Search) -> dict[str, Any]:
    hits = [
        {
            "ref": found.ref,
            "kind": _kind(found),
            "build": of.builds.get(found.build_id or 0),
            "where": place.column,
            "excerpt": place.excerpt,
            "withdrawn": place.withdrawn,
        }
        for found, place in of.best
    ]
    return {"words": of.asked, "count": of.count, "hits": hits}


@screen(_data)
def show_search(out: Terminal, of: Search) -> None:
    """One paragraph a record; builds are named where there are several."""
    if of.named:
        out.line(f"{of.named} itself: galebook show {of.named}")
    if not of.count:
        out.line(f"No text holds {of.asked}." if of.named else f"Nothing holds {of.asked}.")
        return
    several = len(of.builds) > 1
    for found, place in of.best:
        kind = _kind(found) + (", withdrawn" if place.withdrawn else "")
        build = f" of {of.builds.get(found.build_id or 0, '')}" if several else ""
        column = f", {_words(place.column)}" if place.column != "path" else ""
        out.hang(f"{found.ref} ", f"({kind}{build}{column}): {place.excerpt}", 4)
    if of.count > len(of.best):
        out.line(f"{of.count - len(of.best)} more; add a word, or --all.")
