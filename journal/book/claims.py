"""Claims: what somebody said the machine, or a part of it, would do."""

from __future__ import annotations

import re
from typing import Any

from sqlmodel import Session

from calc.machine import catalogue
from journal.book import sheet
from journal.book.common import add, revision
from journal.book.quantity import clean, parse
from journal.book.store import settle
from journal.book.tables import Claim
from journal.errors import BadInput

_AT = re.compile(r"(?P<power>.+?)\s+(?:at|@|in)\s+(?P<wind>.+)")


def claim(session: Session, said: str, who: str, *, on: str | None = None, correction: str | None = None) -> Claim:
    """Log a claim such as ``400 W at 9 m/s``, with who made it.

    Raises
    ------
    BadInput
        If the sentence holds no power.
    """
    claimed = read(said)
    to = revision(session, on)
    sheet.permit(session, to, correction)
    made = add(session, Claim, revision_id=to.key, who=clean(who, "Who said it", limit=200), **claimed)
    settle(session)
    return made


def read(said: str) -> dict[str, Any]:
    """Read a sentence such as ``400 W at 9 m/s`` into the columns of its record."""
    said = clean(said, "The claim", limit=200)
    entries = catalogue.catalogue()
    match = _AT.fullmatch(said)
    try:
        power = parse(match["power"] if match else said, entries["claim.power"], "Power claimed").value
        wind = parse(match["wind"], entries["claim.wind_speed"], "Wind of the claim").value if match else None
    except BadInput as e:
        raise BadInput(e.what, 'Type it like "400 W at 9 m/s", or "400 W" if no wind was named') from None
    return {"said": said, "power": power, "wind_speed": wind}
