"""What looks private in a text although nobody marked it so: told, never taken out."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import lru_cache

from journal.publish.coordinates import positions

_MAIL = re.compile(r"[\w.+-]{1,64}@[\w-]{1,63}(?:\.[\w-]{2,63})+")
_CALL = re.compile(
    r"(?<![\w.,/:+-])(?:\+\d{1,3}[\s()./-]{0,2}\(?\d|\(0\d|0\d|00\d)(?:[\s()/-]{0,2}\d){5,13}(?![\w:]|[.,]\d)"
    r"|(?<![\w.,/-])\d{3}-\d{3}-\d{4}(?![\w-])"
)
_STREETS = (
    "Lane|Ln|Street|St|Road|Rd|Avenue|Ave|Drive|Close|Court|Crescent|Square|Terrace|Boulevard|Blvd|Highway|Cottages?"
)
_ADDRESS = re.compile(
    rf"\b(?:[A-Z][\w'’-]+\s+){{1,3}}(?:{_STREETS})\b\.?,?\s+(?:No\.?\s*)?\d{{1,4}}[a-z]?\b"
    rf"|\b\d{{1,4}}[a-z]?,?\s+(?:[A-Z][\w'’-]+\s+){{1,3}}(?:{_STREETS})\b"
    r"|\b[A-ZÄÖÜÆØÅ][\w-]+(?:straße|strasse|str\.|weg|gasse|platz|allee|vej|veien|gade|gatan|straat|laan)\s+\d{1,4}[a-z]?\b"
    r"|\b(?:rue|chemin|calle|via)\s+(?:de\s+|du\s+|della\s+|del\s+)?[A-Z][\w'’-]+,?\s+\d{1,4}\b"
    r"|\b(?:Rue|Chemin|Calle|Via)\s+(?:de\s+|du\s+|della\s+|del\s+)?[A-Z][\w'’-]+,?\s+\d{1,4}\b"
    r"|\b[A-Z]{1,2}\d{1,2}[A-Z]?\s\d[ABD-HJLNP-UW-Z]{2}\b"
)
#: Materials, standards and the like that a number follows; no district's letters.
_TRADE = {
    "PVC", "PE", "PP", "PA", "PC", "ABS", "EN", "ISO", "IEC", "DIN", "BS", "VDE",
    "NYM", "LED", "USB", "AC", "DC", "UV", "CAT", "AWG", "GFK", "PTFE", "HSS",
}  # fmt: skip
_PLATE = re.compile(
    r"\b(?:[A-Z]{2}\d{2}\s?[A-Z]{3}|(?P<district>[A-ZÄÖÜ]{1,3})-[A-Z]{1,2}\s?\d{1,4}[EH]?|[A-Z]{2}-\d{3}-[A-Z]{2}"
    r"|\d{2}-[A-Z]{2}-\d{2})\b(?!-)"
)
_ACCOUNT = re.compile(r"\b[A-Z]{2}\d{2}(?:\s?[A-Z0-9]{4}){2,7}(?:\s?[A-Z0-9]{1,4})?\b")
_SERIAL = re.compile(
    r"\b(?:serial(?:\s+(?:number|no\.?))?|s/n|ser\.\s?no\.?)[\s:#]+(?=[\w/.-]*\d)[\w/.-]{4,}"
    r"|(?<![\w.-])(?=[A-Z0-9-]{9,40}(?![\w-]))(?=(?:[A-Z-]*\d){4})(?=(?:[\d-]*[A-Z]){2})[A-Z0-9]+(?:-[A-Z0-9]+)*(?![\w-])",
    re.IGNORECASE,
)
_MAP = re.compile(r"\b(?:https?://|www\.)?[\w.-]*(?:maps?|osm|geo)[\w.-]*\.[a-z]{2,}/\S*", re.IGNORECASE)
#: Squares of maps: the British grid, UTM and MGRS, plus codes, locators of radio amateurs.
_GRID = re.compile(
    r"\b[HNOST][A-HJ-Z](?:\s?\d{5}\s?\d{5}|\s?\d{4}\s?\d{4}|\s?\d{3}\s?\d{3})\b"
    r"|\b\d{1,2}[C-HJ-NP-X]\s?(?:[A-HJ-NP-Z]{2}\s?(?:\d{2}\s?\d{2}|\d{3}\s?\d{3}|\d{4}\s?\d{4}|\d{5}\s?\d{5})|\s\d{6}\s\d{7})\b"
    r"|(?<![\w+])(?=[2-9]*[CFGHJMPQRVWX])[23456789CFGHJMPQRVWX]{4,8}\+[23456789CFGHJMPQRVWX]{2,3}\b"
    r"|\b[A-R]{2}\d{2}[a-x]{2}(?:\d{2})?\b"
)
#: One towards north or south and one towards east or west: 54 N alone is a force.
_HEADINGS = re.compile(r"[NS](?![A-Za-z]).*[EWO]\b|[EWO](?![A-Za-z]).*[NS]\b|[NS]\s*\d.*[EWO]\s*\d", re.DOTALL)
_BARE = re.compile(r"[^A-Za-z]*|.*l[ao][nt].*", re.DOTALL | re.IGNORECASE)


def _mails(text: str) -> Iterator[tuple[int, int]]:
    if "@" in text:
        yield from (m.span() for m in _MAIL.finditer(text))


def _accounts(text: str) -> Iterator[tuple[int, int]]:
    """By their check digits, ISO 13616: letters as numbers, the first four signs last, the remainder of 97 is one."""
    for m in _ACCOUNT.finditer(text):
        signs = re.sub(r"\s", "", m[0])
        if int("".join(str(int(c, 36)) for c in signs[4:] + signs[:4])) % 97 == 1:
            yield m.span()


def _coordinates(text: str) -> Iterator[tuple[int, int]]:
    for p in positions(text):
        sized = abs(p.north) <= 180 and abs(p.east) <= 180
        told = text[p.begin : p.end]
        if sized and (_HEADINGS.search(told) or (p.doubt < 0.0001 and _BARE.fullmatch(told))):
            yield p.begin, p.end
    yield from (m.span() for look in (_MAP, _GRID) for m in look.finditer(text))


def _plates(text: str) -> Iterator[tuple[int, int]]:
    yield from (m.span() for m in _PLATE.finditer(text) if m["district"] not in _TRADE)


def _serials(text: str) -> Iterator[tuple[int, int]]:
    for m in _SERIAL.finditer(text):
        if ":" not in m[0] or not re.fullmatch(r"\d{4}-\d{2}-\d{2}T.*", m[0]):
            yield m.span()


#: What is looked for, by what it is called.
LOOKS: dict[str, Callable[[str], Iterator[tuple[int, int]]]] = {
    "an address of mail": _mails,
    "a telephone number": lambda text: (m.span() for m in _CALL.finditer(text) if not _is_day(m[0])),
    "a street address": lambda text: (m.span() for m in _ADDRESS.finditer(text)),
    "coordinates": _coordinates,
    "a number plate": _plates,
    "a bank account": _accounts,
    "a serial number": _serials,
}


def _is_day(text: str) -> bool:
    return bool(re.fullmatch(r"\d{1,2}[./-]\d{1,2}[./-]\d{2,4}|\d{4}[./-]\d{1,2}[./-]\d{1,2}", text.strip()))


@lru_cache(maxsize=20_000)
def suspects(text: str) -> tuple[tuple[str, int, int], ...]:
    """What looks private in a text: as what, from, to.

    Examples
    --------
    >>> [what for what, *_ in suspects("Ring 01234 567890; 12 V 60 Ah on 2026-01-12")]
    ['a telephone number']
    """
    taken: list[tuple[str, int, int]] = []
    for what, look in LOOKS.items():
        for begin, end in look(text):
            if not any(b < end and begin < e for _, b, e in taken):
                taken.append((what, begin, end))
    return tuple(taken)
