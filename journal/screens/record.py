"""One record with all that belongs to it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sqlmodel import Session

from journal.book import attachments
from journal.book.records import find_record
from journal.book.tables import Attachment, Numbered
from journal.screens.looks import LOOKS
from journal.screens.looks.look import View
from journal.screens.terminal import Terminal, record_data, screen


def gather_record(session: Session, ref: str) -> View:
    """All about one record, withdrawn or not."""
    found = find_record(session, ref, withdrawn=True)
    look = next(look for look in LOOKS if look.record is type(found))
    view = look.view(session, found)
    if found.withdrawn_because:
        view.facts.insert(0, ("Withdrawn", found.withdrawn_because))
    view.facts.extend(("As typed", f"{name}, {text}") for name, text in _days_typed(found))
    files = attachments.attachments_of(session, found.ref)
    if files:
        view.sections.append(("Files", [_file_line(a) for a in files]))
        view.data["files"] = [record_data(a) for a in files]
    return view


def _days_typed(record: Numbered) -> Iterator[tuple[str, str]]:
    """What was typed of the days of a record, where it is kept as another text."""
    for column in type(record).model_fields:
        if column.endswith("_typed") and (text := getattr(record, column)) is not None:
            yield column.removesuffix("_typed").replace("_", " "), text


def _file_line(a: Attachment) -> str:
    return f"{a.ref} {a.filename}" + (f": {a.caption}" if a.caption else "")


def _data(view: View) -> dict[str, Any]:
    return view.data


@screen(_data)
def show_record(out: Terminal, view: View) -> None:
    """Facts, then what belongs to it."""
    out.title(view.heading)
    out.facts(view.facts)
    for title, lines in view.sections:
        out.block(title, lines)
