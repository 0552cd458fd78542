"""What is kept as JSON in a column, read with its shape looked at: a file can be damaged, or written by hand."""

from __future__ import annotations

import json
from typing import Any

from sqlalchemy.orm import object_session

from journal.book.tables import Decision, History, Option
from journal.errors import Refused

#: Levels of things within things beyond which no column of ours goes.
DEEPEST = 20


def kept_object(text: str, whose: str) -> dict[str, Any]:
    """What is kept as an object of JSON, not nested deeper than any of ours.

    Raises
    ------
    Refused
        If it is none.
    """
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        found = None
    level: list[Any] = [found]
    for _ in range(DEEPEST):
        level = [v for x in level if isinstance(x, dict | list) for v in (x.values() if isinstance(x, dict) else x)]
    if not isinstance(found, dict) or level:
        raise _damaged(whose)
    return found


def _damaged(whose: str) -> Refused:
    return Refused(f"What is kept of {whose} is damaged and cannot be read", "See: galebook doctor")


def _whose(option: Option) -> str:
    session = object_session(option)
    decision = session.get(Decision, option.decision_id) if session is not None else None
    return f"option {option.position}{f' of {decision.ref}' if decision else ''}"


def changes_of(option: Option | None) -> dict[str, str]:
    """What an option changes on the sheet, by path, as it was typed; nothing for no option.

    Raises
    ------
    Refused
        If it cannot be read.
    """
    if option is None:
        return {}
    found = kept_object(option.changes, _whose(option))
    if not all(isinstance(typed, str) for typed in found.values()):
        raise _damaged(_whose(option))
    return found


def consequences_of(option: Option) -> dict[str, Any]:
    """What an option was computed to do: ``moved`` and ``worst`` findings in brief, and ``figures`` in SI.

    Raises
    ------
    Refused
        If it cannot be read.
    """
    found = {"moved": [], "worst": [], "figures": {}, **kept_object(option.consequences or "{}", _whose(option))}
    figures = found["figures"]
    whole = isinstance(figures, dict) and all(
        v is None or (isinstance(v, int | float) and abs(v) < 1e300) for v in figures.values()
    )
    briefs = [found["moved"], found["worst"]]
    whole = whole and all(isinstance(b, list) for b in briefs)
    if not whole or not all(_is_brief(b, moved=part is briefs[0]) for part in briefs for b in part):
        raise _damaged(_whose(option))
    return found


def _is_brief(brief: Any, *, moved: bool) -> bool:
    told = ("rule", "subject", "title", "status")
    return isinstance(brief, dict) and all(isinstance(brief.get(k), str) for k in told) and ("before" in brief) >= moved


def before_and_after(row: History) -> tuple[dict[str, Any] | None, dict[str, Any] | None]:
    """The columns of a record before and after one change of it.

    Raises
    ------
    Refused
        If they cannot be read.
    """
    whose = f"line {row.id} of the history, {row.action} {row.ref},"
    before, after = (kept_object(text, whose) if text else None for text in (row.before, row.after))
    return before, after
