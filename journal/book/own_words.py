"""What people have written themselves, which is told as they wrote it, whatever the units of the build."""

from __future__ import annotations

from sqlmodel import Session, SQLModel, col, select

from journal.book.feet import FOUND, has_metric
from journal.book.index import NOT_TYPED
from journal.book.tables import Decision, Record

#: Columns in which a single value was typed; it is told in the units of the build like any other.
VALUES = frozenset({"typed", "doubt", "wind", "path"})
#: Columns that the program writes.
COMPUTED = frozenset({"changes", "refused_because"})


def own_words(session: Session) -> list[str]:
    """Every text of the journal in which a metric number stands, in small letters; none of a single value.

    A session that has ended gives none: what is told after that is told by the program.
    """
    found: dict[str, None] = {}
    for table in _tables(Record) if session.in_transaction() else ():
        for name in _texts(table):
            column = col(getattr(table, name))
            with session.no_autoflush:
                asked = select(column).where(column.like("%_ %")).distinct()
                # What an acceptance accepts is what the finding said.
                rows = session.exec(asked.where(col(Decision.rule).is_(None)) if table is Decision else asked)
            found |= {told.strip().rstrip(".").casefold(): None for told in rows if _in_words(told)}
    return list(found)


def _tables(of: type[SQLModel]) -> list[type[SQLModel]]:
    """Every table of records under a class."""
    below = [table for cls in of.__subclasses__() for table in _tables(cls)]
    return ([of] if hasattr(of, "__table__") else []) + below


def _texts(table: type[SQLModel]) -> list[str]:
    """Columns of free text."""
    closed = getattr(table, "words", {})
    return [
        name
        for name, field in table.model_fields.items()
        if field.annotation in (str, str | None)
        and name not in NOT_TYPED | VALUES | COMPUTED
        and name not in closed
        and not name.endswith("_typed")
    ]


def _in_words(told: str) -> bool:
    """Whether a text has a metric number in it and is more than that number."""
    return has_metric(told) and any(c.isalpha() for c in FOUND.sub("", told))
