"""What every table of the journal has."""

from __future__ import annotations

from typing import Any, ClassVar

from sqlalchemy import CheckConstraint, UniqueConstraint
from sqlmodel import Field, SQLModel

SQLModel.metadata.naming_convention = {
    "ix": "ix_%(column_0_label)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}


def one_of(column: str, words: tuple[str, ...]) -> CheckConstraint:
    """A CHECK that a column holds one of some words, or nothing."""
    listed = ", ".join("'" + w.replace("'", "''") + "'" for w in words)
    return CheckConstraint(f"{column} IN ({listed})", name=column)


class Record(SQLModel):
    """What every table has."""

    id: int | None = Field(default=None, primary_key=True)

    letter: ClassVar[str] = ""
    words: ClassVar[dict[str, tuple[str, ...]]] = {}

    @property
    def key(self) -> int:
        """The primary key of a record that has been saved."""
        if self.id is None:
            raise ValueError("the record has not been saved")
        return self.id


class Numbered(Record):
    """A record people refer to by letter and number; the number is never used again."""

    build_id: int = Field(foreign_key="build.id", index=True)
    number: int
    withdrawn_because: str | None = None
    recorded_at: str

    @property
    def ref(self) -> str:
        """Short reference, such as ``A3``."""
        return f"{self.letter}{self.number}"


def numbered(words: dict[str, tuple[str, ...]], *more: Any) -> tuple[Any, ...]:
    """The constraints of a kind of numbered record, with those of its closed sets of words and its own."""
    return (
        UniqueConstraint("build_id", "number"),
        CheckConstraint("number > 0", name="number"),
        *(one_of(column, allowed) for column, allowed in words.items()),
        *more,
    )
