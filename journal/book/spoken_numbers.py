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
_PARTS = {
    "half": 2,
    "halve": 2,
    "third": 3,
    "quarter": 4,
    "fourth": 4,
    "fifth": 5,
    "eighth": 8,
    "sixteenth": 16,
    "tenth": 10,
}
_PARTS_OF = re.compile(rf"\b(\d+)\s+({'|'.join(_PARTS)})s?\b(?:\s+of\s+an?\b)?", re.IGNORECASE)
_POINTED = re.compile(r"(?<![\d.,])[1-9]\d{0,2}\.\d{3}(?![\d.,])")
#: Digits with letters among them that look like some; behind them may stand a unit.
_DIGITS = re.compile(r"(?<![^\W\d])(?:[lI|]\d|[Oo](?=[.,]\d)|\d)(?:\d|[.,](?=[\dOo])|[Oo](?=[\dOo.,\s]|[A-Z%°]|$))*")
_LETTERS = str.maketrans("OolI|", "00111")
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
    text = _AND_A_HALF.sub(lambda m: f"{m[1]}.5", text) if "half" in text else text
    return _PARTS_OF.sub(lambda m: f"{m[1]}/{_PARTS[m[2].casefold()]}", text)


def in_thousands(text: str) -> str:
    """The text with the stops before three digits taken for marks of thousands; the same where there are none.

    Examples
    --------
    >>> in_thousands("1.200 rpm"), in_thousands("0.350 kg"), in_thousands("1.25 kg")
    ('1200 rpm', '0.350 kg', '1.25 kg')
    """
    return _POINTED.sub(lambda m: m[0].replace(".", ""), text)


def mended(text: str) -> str:
    """The text without slips of the hand: letters for digits, a blank behind a point, a stray stop, a dash for a minus.

    Examples
    --------
    >>> mended("1OO Ah"), mended("l2.6 V"), mended("2. 2 m"), mended("2.2.m"), mended("3OA"), mended("5 oz")
    ('100 Ah', '12.6 V', '2.2 m', '2.2 m', '30A', '5 oz')
    """
    text = re.sub(r"^\s*[–—]\s*(?=[\d.,])", "-", text)
    text = re.sub(r"(?<=\d)([.,])\s(?=\d+\s?[^\W\d])", r"\1", text)
    text = _DIGITS.sub(lambda m: m[0].translate(_LETTERS) if re.search(r"\d", m[0]) else m[0], text)
    text = re.sub(r"(?<=\d)-(?=[^\W\d])", " ", text)
    return re.sub(r"(?<=\d)\.\s*(?=[^\W\d])", " ", text)


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
