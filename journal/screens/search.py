"""Records found by their words."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from sqlmodel import Session

from journal.book import history, search
from journal.book.builds import all_builds
from journal.screens.terminal import Terminal, screen

#: Records shown unless all are asked for: what stands further down answers less well.
SHOWN = 40


@dataclass(frozen=True)
class Search:
    """What was asked, how many records hold it, and the best of them, each with the place of the words."""

    asked: str
    count: int
    best: list[tuple[search.Hit, search.Passage]]
    builds: dict[int, str]


def gather_search(session: Session, asked: str, *, every: bool) -> Search:
    """Records that hold all words, best first."""
    terms = search.read_terms(asked)
    found = search.find(session, terms)
    best = found if every else found[:SHOWN]
    names = {build.key: build.name for build in all_builds(session)}
    return Search(asked, len(found), [(f, search.passage(session, f, terms)) for f in best], names)


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
    """One row a record; builds are named where there are several."""
    if not of.count:
        out.line(f"Nothing holds {of.asked}.")
        return
    several = len(of.builds) > 1
    rows = []
    for found, place in of.best:
        kind = _kind(found) + (", withdrawn" if place.withdrawn else "")
        build = (of.builds.get(found.build_id or 0, ""),) if several else ()
        rows.append((found.ref, *build, kind, _words(place.column), place.excerpt))
    out.table(("", *(("Build",) if several else ()), "What", "Where", "Words"), rows)
    if of.count > len(of.best):
        out.line(f"{of.count - len(of.best)} more; add a word, or --all.")
