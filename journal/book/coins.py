"""Amounts of money as people type them, with the currency before or behind."""

from __future__ import annotations

import re

from journal.book.heard import hear
from journal.book.plain_quantity import Unclear
from journal.errors import BadInput

#: Signs and words of one currency alone, in small letters; a code of ISO 4217 needs no line.
CURRENCIES = {
    "€": "EUR", "euro": "EUR", "£": "GBP", "pound": "GBP", "pound sterling": "GBP", "sterling": "GBP",
    "us$": "USD", "us dollar": "USD", "a$": "AUD", "au$": "AUD", "c$": "CAD", "ca$": "CAD", "nz$": "NZD", "hk$": "HKD",
    "s$": "SGD", "r$": "BRL", "₹": "INR", "rupee": "INR", "zł": "PLN", "zl": "PLN", "kč": "CZK", "₴": "UAH", "₺": "TRY",
    "₽": "RUB", "franc": "CHF", "sfr": "CHF", "fr": "CHF", "ft": "HUF",
    # The dollar of most prices; whoever means another writes its code, which goes before.
    "$": "USD", "dollar": "USD", "buck": "USD",
}  # fmt: skip
#: Signs that several currencies share.
SHARED = {
    "kr": ("SEK", "NOK", "DKK", "ISK"),
    "krone": ("NOK", "DKK"),
    "krona": ("SEK", "ISK"),
    "¥": ("JPY", "CNY"),
    "peso": ("MXN", "ARS"),
}
_CODE = re.compile(r"[A-Z]{3}")
_NUMBER = r"\d[\d., '’\u00a0\u202f]*\d|\d"
_AMOUNT = re.compile(rf"\s*([^\d\s-][^\d-]*?)?\s*({_NUMBER})(?:,-|\.-)?\s*([^\d]*?)\s*")
_LIKE = 'Type it like "30 EUR"'


def read_money(typed: str, currency: str | None) -> tuple[float, str]:
    """The amount, and its currency as a code of ISO 4217.

    Parameters
    ----------
    currency : str or None
        Given apart; it decides which dollar a sign means.

    Raises
    ------
    BadInput
        Naming what would be accepted.
    """
    match = _AMOUNT.fullmatch(typed)
    amount = _amount(match[2], typed) if match else float("nan")
    if match is None or not 0 <= amount < 1e9:
        raise BadInput(f"Cost: {typed!r} is not an amount", _LIKE)
    said = [part for part in (match[1], match[3]) if part]
    code = _code(currency.strip(), typed) if currency else ""
    codes = {_code(part, typed, code) for part in said} or {code}
    if len(codes) > 1 or codes == {""}:
        raise BadInput(
            f"Cost: {typed!r} has {'two currencies' if len(codes) > 1 else 'no currency'}",
            f"{_LIKE}, with a three-letter code of ISO 4217",
        )
    found = code if code and said and codes == {"USD"} else codes.pop()
    if typed.strip().upper() not in (match[2], f"{match[2]} {found}") or "," in match[2]:
        hear(f"Cost: {typed.strip()} = {amount:.10g} {found}")
    return amount, found


def _code(said: str, typed: str, given: str = "") -> str:
    small = said.casefold().strip(" .")
    small = small if small in CURRENCIES or small in SHARED else small.removesuffix("s")
    if _CODE.fullmatch(said.strip().upper()) and small not in SHARED:
        return CURRENCIES.get(small) or said.strip().upper()
    if small in CURRENCIES:
        return CURRENCIES[small]
    if small in SHARED:
        if given in SHARED[small]:
            return given
        between = SHARED[small]
        raise Unclear(f"Cost: {said!r} in {typed!r} can be {' or '.join(between)}", between, "Type the code behind it")
    raise BadInput(f"Cost: {said!r} in {typed!r} is no currency", f"{_LIKE}, with a three-letter code of ISO 4217")


def _amount(number: str, typed: str) -> float:
    """An amount with its thousands apart or not; a mark before three digits is asked about where it is a point."""
    bare = re.sub(r"[ '’\u00a0\u202f](?=\d{3}(?!\d))", "", number)
    marks = re.findall(r"[.,]", bare)
    if len(marks) == 1 and re.fullmatch(r"[1-9]\d{0,2}\.\d{3}", bare):
        whole, thousands = f"{float(bare):.10g}", bare.replace(".", "")
        raise Unclear(f"Cost: {typed!r} can be {thousands} or {whole}", (thousands, whole))
    if len(marks) == 1 and re.fullmatch(r"[1-9]\d{0,2},\d{3}", bare):
        return float(bare.replace(",", ""))
    decimal = max(bare.rfind("."), bare.rfind(",")) if len(set(marks)) == len(marks) else -1
    digits = (
        re.sub(r"[.,]", "", bare) if decimal < 0 else re.sub(r"[.,]", "", bare[:decimal]) + "." + bare[decimal + 1 :]
    )
    try:
        return float(digits)
    except ValueError:
        return float("nan")
