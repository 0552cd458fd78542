"""Numbers with units as people type them, turned into SI numbers with their limits, whatever their form."""

from __future__ import annotations

import re
from dataclasses import replace

from calc.units import show
from journal.book.heard import hear, hear_units
from journal.book.plain_quantity import PLAIN, Amount, NumberAsked, half_width, plainly, within
from journal.book.plain_text import clean_text
from journal.book.turns import in_turns
from journal.errors import BadInput

#: Thousands parted by a stop, or hours and minutes: what the plain reader takes for decimals. By the nought at the end
#: they are told from decimals, where nobody writes it but for a meter that shows it.
_OTHERWISE = re.compile(r"(?<![\d.,])[1-9]\d{0,2}\.\d\d0(?![\d.,])|^\d{1,2}\.[0-5]\d\s*h?$")


def parse(text: str, asked: NumberAsked, what: str) -> Amount:
    """Read a number with its unit, and its limits if it has any.

    Accepts ``2.2 m``, ``2.2 m +- 1 cm``, ``2.2 m ± 2 %``, ``5 to 7 m/s``, ``Bft 4`` for a wind speed and
    ``12 AWG`` for a cross-section; what else people type is read by :mod:`journal.book.spoken`.

    Raises
    ------
    BadInput
        One line saying what was wrong and what would be accepted; nothing is guessed.
    """
    reading = _read(clean_text(text, what, limit=200), asked, what)
    _tell(reading, asked, what)
    return reading


def _read(text: str, asked: NumberAsked, what: str) -> Amount:
    turned = in_turns(text, asked.unit)
    try:
        reading = plainly(turned, asked, what)
    except BadInput as refused:
        from journal.book.spoken import understood

        return understood(text, asked, what, refused)
    if _OTHERWISE.search(turned):
        from journal.book.spoken import also_meant

        reading = also_meant(reading, asked, what)
        if reading.plain:
            return replace(reading, typed=text)
    if turned.replace(" ", "").casefold() == text.replace(" ", "").casefold():
        return replace(reading, typed=text)
    return replace(reading, typed=text, plain=turned)


def _tell(reading: Amount, asked: NumberAsked, what: str) -> None:
    """Let whoever typed a value know how it was read, where that was not in its plain form."""
    hear_units(reading.typed)
    if reading.plain:
        doubtful = bool({"+-", "to"} & set(reading.plain.split()))
        shown = show(reading.value, asked.shown, 4)
        match = PLAIN.fullmatch(reading.plain)
        plain = f"{float(match[1]):.4g} {match[2] or ''}".strip() if match else reading.plain
        also = "" if doubtful or plain == shown or "=" in reading.plain or "AWG" in plain else f" = {shown}"
        aside = f"; {reading.aside!r} is left aside" if reading.aside else ""
        hear(f"{what}: {reading.typed}{': taken as' if doubtful else ' ='} {reading.plain}{also}{aside}")


def parse_with(text: str, doubt: str | None, asked: NumberAsked, what: str) -> Amount:
    """Read a number as :func:`parse` does, with its uncertainty given apart, such as ``1 cm`` or ``5 %``."""
    if doubt is None:
        return parse(text, asked, what)
    reading = _read(clean_text(text, what, limit=200), asked, what)
    half = half_width(clean_text(doubt, "Uncertainty", limit=60), reading.value, "", asked, what)
    low, high = reading.value - half, reading.value + half
    # What "about" alone would mean is said better now.
    reading = replace(reading, plain=reading.plain.partition(" +- ")[0])
    _tell(reading, asked, what)
    said = Amount(f"{reading.typed} ± {doubt}", reading.value, low, high, doubt, reading.plain)
    return within(said, asked, what, reading.typed)
