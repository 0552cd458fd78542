"""Numbers as people write them: decimal commas, thousands apart, fractions, words."""

from __future__ import annotations

import re
from collections.abc import Iterator

_ONES = {
    w: float(n)
    for n, w in enumerate(
        [
            "zero",
            "one",
            "two",
            "three",
            "four",
            "five",
            "six",
            "seven",
            "eight",
            "nine",
            "ten",
            "eleven",
            "twelve",
            "thirteen",
            "fourteen",
            "fifteen",
            "sixteen",
            "seventeen",
            "eighteen",
            "nineteen",
        ]
    )
}
_TENS = {
    w: 10.0 * n for n, w in enumerate(["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"], 2)
}
_OTHERS = {"half a dozen": 6.0, "a dozen": 12.0, "dozen": 12.0, "a pair": 2.0, "pair": 2.0, "a hundred": 100.0,
           "half a": 0.5, "half an": 0.5, "a quarter": 0.25}  # fmt: skip
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3"}
_TENS_ONES = re.compile(rf"\b({'|'.join(_TENS)})(?:[\s-]+({'|'.join(_ONES)}))?\b", re.IGNORECASE)
_ONE = re.compile(rf"\b({'|'.join(sorted(_ONES, key=len, reverse=True))})\b", re.IGNORECASE)
_OTHER = re.compile(rf"\b({'|'.join(sorted(_OTHERS, key=len, reverse=True))})\b(?:\s+of\b)?", re.IGNORECASE)
_AND_A_HALF = re.compile(r"(\d+)\s*(?:and\s+a\s+half|and\s+0\.5|1/2\b(?=\s*$))(?:\s+of\b)?", re.IGNORECASE)
_FRACTION = re.compile(r"(?<![\d.,/])(?:(\d+)(?:\s+|-|\s*&\s*|\s+and\s+))?(\d+)\s*/\s*(\d+)(?![\d.,/])")
_GROUPED = re.compile(r"(?<![\d.,])(\d{1,3})(?:[ '_](\d{3}))+(?![\d'])")
_COMMA = re.compile(r"(?<![\d.,])\d[\d.,]*,[\d.,]*(?<=\d)|(?<![\d.,])\d{1,3}(?:\.\d{3}){2,}(?![\d.,])|(?<![\d.,]),\d+")
_THOUSANDS = re.compile(r"(?<=\d)\s?k(?=\s?(?:rpm|w\b|v\b|n\b|a\b))", re.IGNORECASE)


def in_digits(text: str) -> str:
    """The text with its words for numbers and its fractions in digits.

    Examples
    --------
    >>> in_digits("two metres"), in_digits("twenty-four volts"), in_digits("half a dozen"), in_digits("1½ in")
    ('2 metres', '24 volts', '6', '1 1/2 in')
    """
    for sign, spelt in _VULGAR.items():
        text = re.sub(rf"(?<=\d){sign}", f" {spelt}", text).replace(sign, spelt)
    text = re.sub(r"^\s*minus\s+", "-", text, flags=re.IGNORECASE)
    text = _OTHER.sub(lambda m: f"{_OTHERS[m[1].casefold()]:g}", text)
    text = _TENS_ONES.sub(lambda m: f"{_TENS[m[1].casefold()] + _ONES.get((m[2] or '').casefold(), 0.0):g}", text)
    text = _ONE.sub(lambda m: f"{_ONES[m[1].casefold()]:g}", text)
    text = re.sub(r"^(\d+)\s+hundred\b", lambda m: f"{int(m[1]) * 100}", text)
    return _AND_A_HALF.sub(lambda m: f"{m[1]}.5", text) if "half" in text else text


def number_forms(text: str, *, lengths: bool = False) -> Iterator[str]:
    """The same with each of its numbers in the form of programs; twice, where a comma may part thousands or decimals.

    Parameters
    ----------
    lengths : bool
        Whether strokes behind a number are feet and inches.

    Examples
    --------
    >>> list(number_forms("2,2 m")), list(number_forms("1,000 rpm")), list(number_forms("1 1/2 in"))
    (['2.2 m'], ['1000 rpm', '1.000 rpm'], ['1.5 in'])
    >>> list(number_forms("1'000 rpm")), list(number_forms("1.234,5 V")), list(number_forms("17'", lengths=True))
    (['1000 rpm'], ['1234.5 V'], ['17 ft'])
    """
    if lengths:
        text = re.sub(r"''|\"", " in ", text)
        text = re.sub(r"(?<=\d)\s*'(?!\d{3}\b)", " ft ", text).strip()
    text = _GROUPED.sub(lambda m: re.sub(r"[ '_]", "", m[0]), text)
    text = _FRACTION.sub(_as_decimal, text)
    told = [_with_points(text, thousands) for thousands in (True, False)]
    yield from dict.fromkeys(re.sub(r"\s+", " ", form).strip() for form in told)


def _with_points(text: str, thousands: bool) -> str:
    return _COMMA.sub(lambda number: _in_point(number[0], thousands), text)


def _as_decimal(found: re.Match[str]) -> str:
    whole, over, under = found[1], int(found[2]), int(found[3])
    return found[0] if not under or (whole is not None and over >= under) else f"{int(whole or 0) + over / under:.6g}"


def _in_point(number: str, thousands: bool) -> str:
    """A number with commas as a program writes it, commas before three digits taken for thousands or for decimals."""
    if "." in number and "," in number:
        decimal = max(number.rfind("."), number.rfind(","))
        return re.sub(r"[.,]", "", number[:decimal]) + "." + number[decimal + 1 :]
    if "," not in number or number.count(",") > 1:
        apart = re.fullmatch(r"\d{1,3}(?:[.,]\d{3})+", number)
        return re.sub(r"[.,]", "", number) if apart else number
    grouped = re.fullmatch(r"[1-9]\d{0,2},\d{3}", number)
    return number.replace(",", "" if grouped and thousands else ".")
