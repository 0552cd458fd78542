"""Words that go with a number or with another word: one or several, a or an."""

from __future__ import annotations

import re

#: What begins with a vowel when it is said: letters, 8, 80 and 800, 11 and 18 with their thousands, a silent h.
_VOWEL = re.compile(r"[aeio]|u(?!ni[^mn]|[st][aei]|r[aeio])|hour|heir|honest|8|1[18](?!\d)|1[18],?\d{3}(?![,\d])")
#: What is written with a vowel and said without.
_NONE = re.compile(r"one\b|once\b|eu|ewe")


def number_of(n: float, one: str, many: str = "") -> str:
    """How many of a thing there are, in words that agree with the number.

    Parameters
    ----------
    n : float
        How many.
    one, many : str
        What one of them is called, with a verb behind it where one follows, and what several are; without the latter
        an s is added.

    Returns
    -------
    text : str
        Number and words, thousands parted by commas.

    Examples
    --------
    >>> number_of(1, "sheet follows", "sheets follow"), number_of(12000, "row"), number_of(0, "day")
    ('1 sheet follows', '12,000 rows', '0 days')
    """
    told = f"{n:,}" if isinstance(n, int) else f"{n:g}"
    return f"{told} {one if told == '1' else many or f'{one}s'}"


def with_article(words: str) -> str:
    """Words with a or an before them, by how they are said.

    Examples
    --------
    >>> [with_article(w) for w in ("eye", "unit", "80 V bank", "12 V bank", "hour", "uneven blade", "one-line diagram")]
    ['an eye', 'a unit', 'an 80 V bank', 'a 12 V bank', 'an hour', 'an uneven blade', 'a one-line diagram']
    """
    said = words.lower()
    return f"{'an' if _VOWEL.match(said) and not _NONE.match(said) else 'a'} {words}"
