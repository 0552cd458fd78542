"""What a shell can complete behind a command: references, names, words and builds, each where it fits."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterable
from typing import Any

from journal.cli.typed import meant
from journal.errors import GalebookError

#: Letters of the records that an argument or option names; empty for any record.
REFERENCES = {
    "about": "", "attempt": "A", "attempt_ref": "A", "built_into": "r", "by": "ADM", "caused_by": "F", "decision": "D",
    "failure": "F", "instrument": "I", "measurement": "M", "new": "r", "old": "r", "on": "r", "part": "P", "ref": "",
    "revision": "r", "supersedes": "D", "to": "",
}  # fmt: skip


def complete(command: str, parameter: str, before: dict[str, Any], begun: str) -> list[tuple[str, str]]:
    """What can stand for a parameter, each with what it means, that begins as it was begun.

    Parameters
    ----------
    command : str
        Name of the command.
    parameter : str
        Name of its parameter.
    before : dict
        What was given for its other parameters.
    begun : str
        What is typed of it.
    """
    maker = _MAKERS.get((command, parameter)) or _MAKERS.get(("", parameter))
    found: Iterable[tuple[str, str]] = ()
    # A shell that asks must not get an error in the midst of a line.
    with contextlib.suppress(GalebookError, OSError):
        if maker is not None:
            found = maker(before)
        elif parameter in REFERENCES:
            found = _references(REFERENCES[parameter])
        typed = begun.casefold()
        return [(word, means) for word, means in found if word.casefold().startswith(typed)]
    return []


def _references(letters: str) -> list[tuple[str, str]]:
    """The newest records of some kinds, the newest first."""
    from journal.book import store
    from journal.book.records import current_build, newest_records
    from journal.book.tables import NUMBERED

    told = ("did", "saw", "question", "name", "title", "what", "said", "typed", "filename", "quantity")
    found = []
    with store.journal(meant.journal, build=meant.build) as s:
        build = current_build(s)
        for letter in letters or "".join(NUMBERED):
            for record in reversed(newest_records(s, NUMBERED[letter], build, 30)):
                means = next((str(v) for name in told if (v := getattr(record, name, None))), "")
                found.append((record.ref, means[:60]))
    return found


def _builds(_: dict[str, Any]) -> list[tuple[str, str]]:
    from sqlmodel import select

    from journal.book import store
    from journal.book.tables import Build

    with store.journal(meant.journal) as s:
        return [(name, "") for name in s.exec(select(Build.name))]


def _inputs(_: dict[str, Any]) -> list[tuple[str, str]]:
    """All that a sheet can hold; of groups that hold several things, those that stand on some sheet already."""
    from sqlmodel import select

    from calc.machine.catalogue import LABELLED, catalogue
    from journal.book import store
    from journal.book.sheet import entry_of
    from journal.book.tables import SheetValue

    known = {path: entry.meaning for path, entry in catalogue().items() if path.split(".")[0] not in LABELLED}
    with contextlib.suppress(GalebookError), store.journal(meant.journal) as s:
        for path in s.exec(select(SheetValue.path).distinct()):
            known.setdefault(path, entry_of(path)[0].meaning)
    return list(known.items())


def _choices(before: dict[str, Any]) -> list[tuple[str, str]]:
    """The words of an input whose name stands before."""
    from journal.book.sheet import entry_of

    entry, _ = entry_of(str(before.get("path") or ""))
    return [(word, "") for word in entry.choices]


def _quantities(_: dict[str, Any]) -> list[tuple[str, str]]:
    from calc.quantities import QUANTITIES

    return [(name, q.meaning) for name, q in QUANTITIES.items()]


def _rules(_: dict[str, Any]) -> list[tuple[str, str]]:
    from calc.rules import RULES

    return [(r.id, r.title) for r in RULES]


def _symptoms(_: dict[str, Any]) -> list[tuple[str, str]]:
    from calc.mechanisms.words import SYMPTOMS

    return [(name, "") for name in SYMPTOMS]


def _mechanisms(_: dict[str, Any]) -> list[tuple[str, str]]:
    from calc.mechanisms import MECHANISMS

    return [(m.id, m.title) for m in MECHANISMS.values()]


def _looks(_: dict[str, Any]) -> list[tuple[str, str]]:
    from calc.mechanisms.looks import LOOKS

    return [(k.name, k.question) for k in LOOKS.values()]


def _words(name: str) -> Callable[[dict[str, Any]], list[tuple[str, str]]]:
    """The closed set of words of that name in the tables."""

    def found(_: dict[str, Any]) -> list[tuple[str, str]]:
        from journal.book import tables

        return [(word, "") for word in getattr(tables, name)]

    return found


def _readers(_: dict[str, Any]) -> list[tuple[str, str]]:
    from journal.publish.readers import READERS

    return [(name, "") for name in READERS]


def _figures(_: dict[str, Any]) -> list[tuple[str, str]]:
    from journal.book.decisions import FIGURES

    return [(name, figure.meaning) for name, figure in FIGURES.items()]


def _drawn(_: dict[str, Any]) -> list[tuple[str, str]]:
    from journal.drawing.catalogue import DRAWN

    return [(name, "") for name in DRAWN]


_MAKERS: dict[tuple[str, str], Callable[[dict[str, Any]], list[tuple[str, str]]]] = {
    ("", "path"): _inputs,
    ("", "paths"): _inputs,
    ("set", "value"): _choices,
    ("", "quantity"): _quantities,
    ("", "rule"): _rules,
    ("check", "finding"): _rules,
    ("", "mechanism"): _mechanisms,
    ("", "symptom"): _symptoms,
    ("use", "name"): _builds,
    ("look", "name"): _looks,
    ("look", "answer"): _words("ANSWERS"),
    ("", "build"): _builds,
    ("", "provenance"): _words("PROVENANCES"),
    ("", "condition"): _words("CONDITIONS"),
    ("fate", "became"): _words("FATES"),
    ("attempt", "kind"): _words("ATTEMPT_KINDS"),
    ("paper", "kind"): _words("PAPERS"),
    ("", "outcome"): _words("OUTCOMES"),
    ("", "harm"): _words("HARMS"),
    ("", "leans"): _words("LEANINGS"),
    ("outcome", "result"): _words("RESULTS"),
    ("", "load"): _words("LOAD_STATES"),
    ("", "likelihood"): _words("LIKELIHOODS"),
    ("", "reader"): _readers,
    ("criterion", "name"): _figures,
    ("draw", "what"): _drawn,
}
