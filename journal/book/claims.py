"""Claims: what somebody said the machine, or a part of it, would do."""

from __future__ import annotations

import re
from typing import Any

from sqlmodel import Session

from calc.machine import catalogue
from journal.book import sheet
from journal.book.kinds import Kind, a_text
from journal.book.plain_text import clean_text
from journal.book.quantity import parse
from journal.book.records import add_record, find_revision
from journal.book.store import settle
from journal.book.tables import Claim
from journal.errors import BadInput

_AT = re.compile(r"(?P<power>.+?)\s+(?:at|@|in)\s+(?P<wind>.+)")


def read_claim(said: str) -> dict[str, Any]:
    """Read a sentence such as ``400 W at 9 m/s`` into the columns of its record."""
    said = clean_text(said, "The claim", limit=200)
    entries = catalogue.catalogue()
    match = _AT.fullmatch(said)
    try:
        power = parse(match["power"] if match else said, entries["claim.power"], "Power claimed").value
        wind = parse(match["wind"], entries["claim.wind_speed"], "Wind of the claim").value if match else None
    except BadInput as e:
        raise BadInput(e.what, 'Type it like "400 W at 9 m/s", or "400 W" if no wind was named') from None
    return {"said": said, "power": power, "wind_speed": wind}


KIND = Kind(
    Claim,
    readers={"who": a_text("Who said it", limit=200)},
    together={"said": lambda _, typed: read_claim(typed)},
    fixed=("power", "wind_speed"),
)


def log_claim(session: Session, said: str, who: str, *, on: str | None = None, correction: str | None = None) -> Claim:
    """Log a claim such as ``400 W at 9 m/s``, with who made it.

    Raises
    ------
    BadInput
        If the sentence holds no power.
    """
    columns = {"who": KIND.readers["who"](who), **read_claim(said)}
    to = find_revision(session, on)
    sheet.permit_adding(session, to, correction)
    made = add_record(session, Claim, revision_id=to.key, **columns)
    settle(session)
    return made
