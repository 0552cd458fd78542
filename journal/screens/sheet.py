"""The design sheet of a revision."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sqlmodel import Session

from journal.book import sheet
from journal.book.days import day_text
from journal.book.records import find_revision
from journal.book.tables import Revision, SheetValue
from journal.review.verdict import implied_doubt, value_text
from journal.screens.terminal import Terminal, columns_of, revision_title, screen

#: What tells that nobody stated a doubt.
_IMPLIED = ", implied"


@dataclass(frozen=True)
class RevisionValues:
    """A revision with the values of its sheet, and when those were added that were stated after it was built."""

    revision: Revision
    sheet: sheet.RevisionSheet
    later: dict[str, str]


def gather_sheet(session: Session, ref: str | None = None) -> RevisionValues:
    """The sheet of a revision; without a reference, of the newest."""
    of = find_revision(session, ref)
    return RevisionValues(of, sheet.load_sheet(session, of), sheet.added_later(session, of))


def _data(found: RevisionValues) -> dict[str, Any]:
    return {
        "revision": found.revision.ref,
        "frozen": bool(found.revision.frozen_at),
        "values": [
            {
                **columns_of(v, "id", "revision_id"),
                "read": sheet.heard_of(path, v.typed),
                **({"added": found.later[path]} if path in found.later else {}),
            }
            for path, v in found.sheet.values.items()
        ],
    }


@screen(_data)
def show_sheet(out: Terminal, found: RevisionValues) -> None:
    """Values with where they come from, and their doubt."""
    out.title(revision_title(found.revision))
    if found.sheet.values:
        out.table(("Name", "Value", "From", "Doubt", "Meaning"), rows := list(_rows(found.sheet)))
        if any(doubt.endswith(_IMPLIED) for *_, doubt, _ in rows):
            out.line("A doubt that is implied is the usual one of what a value is from.")
        added = [f"{path} {day_text(at)}" for path, at in found.later.items() if path in found.sheet.values]
        if added:
            out.line(f"Added after it was built: {', '.join(added)}.")
    else:
        out.line(
            f"Nothing is set yet. Begin with: galebook sheet {found.revision.ref} --edit, "
            'or galebook set rotor.diameter "2.2 m"'
        )


def _rows(values: sheet.RevisionSheet) -> Iterator[tuple[str, ...]]:
    for path, v in values.values.items():
        entry = sheet.entry_of(path)[0]
        if v.number is None:
            yield path, _with_typed(path, v, v.word or ""), v.provenance, "", entry.meaning
        else:
            doubt = v.doubt or ("" if entry.exact else _implied(v.provenance))
            yield path, _with_typed(path, v, value_text(v)), v.provenance, doubt, entry.meaning


def _implied(provenance: str) -> str:
    """The doubt that values from such a source have, for a cell of the table."""
    return implied_doubt(provenance).replace(" implied by its source", _IMPLIED)


def _with_typed(path: str, value: SheetValue, shown: str) -> str:
    """A value with what was typed for it, where that is not its plain form."""
    return f"{shown}, typed: {value.typed}" if sheet.heard_of(path, value.typed) else shown
