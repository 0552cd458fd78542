"""What :mod:`journal.book.spoken_days` is told of a date before its grammar reads it: other spellings, other calendars.

Months in the languages of the neighbours, by Roman numbers or misspelt; weeks by their number, weekends and feasts.
"""

from __future__ import annotations

import re
from datetime import date, timedelta

from journal.book.days import MONTHS

#: Months of other languages than English as they are written in dates, by their number; no word stands for two.
_ELSEWHERE = (
    "januar jan janvier janv enero ene gennaio gen janeiro januari styczen stycznia",
    "februar febr februari fevrier févr fevr fév fev febrero febbraio fevereiro lutego",
    "märz marz maerz mrz mrt maart mars marzo março marco marca mär",
    "avril avr abril abr aprile kwietnia",
    "mai mei mayo mag maggio maio maj maja",
    "juni juin junio giugno giu junho czerwca",
    "juli juillet juil julio luglio lug julho lipca",
    "août aout agosto augustus augusti sierpnia",
    "septembre septiembre setiembre settembre set setembro wrzesnia",
    "oktober okt octobre octubre ottobre ott outubro out pazdziernika",
    "novembre noviembre novembro listopada",
    "dezember dez décembre decembre déc diciembre dic dicembre dezembro grudnia",
)
ELSEWHERE = {word: MONTHS[i].casefold() for i, words in enumerate(_ELSEWHERE) for word in words.split()}
_ROMAN = ("i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x", "xi", "xii")
_IN_ROMAN = re.compile(rf"(\d{{1,2}})[./ -]+({'|'.join(sorted(_ROMAN, key=len, reverse=True))})[./ -]+(\d{{4}}|\d\d)")
_APART = re.compile(r"(\d{1,4})(?:[ ,]+)(\d{1,2})(?:[ ,]+)(\d{1,4})")
_WEEK = re.compile(
    r"(?:calendar )?(?:week|wk|kw|w)\.? ?(\d{1,2})[ /-]*(?:of )?(\d{4})|(\d{4})[ -]?(?:w|kw|week) ?(\d{1,2})"
)
_DAYS_OF_MONTH = re.compile(r"(\d{1,2})\.? ?[-–/] ?(\d{1,2})(?:\.(\d{1,2}\.(?:\d{4}|\d\d)?)|\.? ([a-z]{3,}.*))")
_MONTH_THEN_DAYS = re.compile(r"([a-z]{3,}) (\d{1,2}) ?[-–] ?(\d{1,2})( \d{4})?")
#: Feasts that fall on the same day every year, by day and month.
FEASTS = {
    "new years day": (1, 1), "new years": (1, 1), "new year": (1, 1), "new years eve": (31, 12), "christmas": (25, 12),
    "christmas day": (25, 12), "xmas": (25, 12), "christmas eve": (24, 12), "boxing day": (26, 12),
    "halloween": (31, 10), "midsummer day": (24, 6),
}  # fmt: skip
_YET = re.compile(
    r"(?:the day after )?tomorrow|(?:on )?next \w+(?: \d{4})?"
    r"|in (?:\d+|an?|two|three) (?:day|week|month|year)s?(?: time)?"
)
_WORDS = (
    *(month.casefold() for month in MONTHS),
    "yesterday",
    "today",
    "monday",
    "tuesday",
    "wednesday",
    "thursday",
    "friday",
    "saturday",
    "sunday",
    "spring",
    "summer",
    "autumn",
    "winter",
    "weekend",
    "evening",
    "morning",
    "afternoon",
    "night",
    "before",
    "about",
    "early",
    "late",
    "last",
    "this",
    "week",
    "weeks",
    "month",
    "months",
    "year",
    "years",
    "days",
    "until",
    "between",
    "from",
    "couple",
    "three",
    "seven",
    "eight",
    "eleven",
    "twelve",
    "fall",
    "christmas",
    "four",
    "five",
    "nine",
)
_KNOWN = frozenset((*_WORDS, *(w[:n] for w in _WORDS[:12] for n in range(3, len(w)))))


def is_yet(given: str) -> bool:
    """Whether it is said in words for what is yet to come."""
    return _YET.fullmatch(given.casefold().strip(" .")) is not None


def told_plainly(text: str) -> str:
    """A date in small letters with its months in English and its parts apart.

    Examples
    --------
    >>> told_plainly("14mar2023"), told_plainly("14-okt-23"), told_plainly("14/iii/2023"), told_plainly("2023. 3. 14.")
    ('14 mar 2023', '14 october 23', '14.3.2023', '2023.3.14')
    >>> told_plainly("14.o3.2023"), told_plainly("14 3 2023"), told_plainly("14.-16.3.2023")
    ('14.03.2023', '14/3/2023', '14.3.2023 to 16.3.2023')
    """
    text = re.sub(r"(?<=[\d./-])o(?=\d)|(?<![a-z])o(?=\d\b)", "0", text)
    text = re.sub(r"(?<=\d)\.\s+(?=\d)", ".", text)
    text = re.sub(r"(?<=\d)[-/. ]*(?=[^\W\d_]{3})|(?<=[^\W\d_]{3})[-/.]*(?=['\d])", " ", text)
    text = re.sub(r"[^\W\d_]+", lambda m: ELSEWHERE.get(m[0], m[0]), text)
    text = re.sub(r"^(?:some ?time|some day|during|somewhere) (?:in |during )?", "", text)
    text = re.sub(r"\b(?:a )?fortnight ago\b", "2 weeks ago", text)
    text = re.sub(r"(?<=[a-z])['’]s\b|(?<=s)['’](?= )", "s", text).replace("new yearss", "new years")
    if match := _IN_ROMAN.fullmatch(text):
        return f"{match[1]}.{_ROMAN.index(match[2]) + 1}.{match[3]}"
    if match := _APART.fullmatch(text):
        return "/".join(match.groups())
    if match := _DAYS_OF_MONTH.fullmatch(text):
        rest = f".{match[3]}" if match[3] else f" {match[4]}"
        return f"{match[1]}{rest} to {match[2]}{rest}"
    if match := _MONTH_THEN_DAYS.fullmatch(text):
        year = match[4] or ""
        return f"{match[2]} {match[1]}{year} to {match[3]} {match[1]}{year}"
    return re.sub(r"^(\d{4}\.\d{1,2}\.\d{1,2})\.$", r"\1", " ".join(text.split()))


def spelt_right(text: str) -> str:
    """The text with words that are nearly those of dates put right; empty where there is none."""
    from rapidfuzz.distance import OSA

    def right(word: re.Match[str]) -> str:
        if len(word[0]) < 4 or word[0] in _KNOWN:
            return word[0]
        near = sorted((OSA.distance(word[0], known), known) for known in _WORDS if len(known) > 4)
        allowed = 1 if len(word[0]) < 6 else 2
        best = [known for distance, known in near if distance == near[0][0] <= allowed]
        return best[0] if len(best) == 1 else word[0]

    found = re.sub(r"[a-z]+", right, text)
    return "" if found == text else found


def eight_digits(text: str) -> list[date]:
    """The days that eight digits can be, in whichever order year, month and day stand."""
    found = []
    for year, month, day in (
        (text[:4], text[4:6], text[6:]),
        (text[4:], text[2:4], text[:2]),
        (text[4:], text[:2], text[2:4]),
    ):
        if not 1900 <= int(year) <= 2999:
            continue
        try:
            found.append(date(int(year), int(month), int(day)))
        except ValueError:
            continue
    return list(dict.fromkeys(found))


def week_of(text: str) -> tuple[date, date] | None:
    """The days of a week by its number, as ISO 8601 counts them.

    Raises
    ------
    ValueError
        If the year has no such week.

    Examples
    --------
    >>> week_of("week 11 2023")[0].isoformat(), week_of("2023-w11")[1].isoformat(), week_of("kw 11/2023") is None
    ('2023-03-13', '2023-03-19', False)
    """
    match = _WEEK.fullmatch(text)
    if match is None:
        return None
    monday = date.fromisocalendar(int(match[2] or match[3]), int(match[1] or match[4]), 1)
    return monday, monday + timedelta(days=6)


def weekend(text: str, today: date) -> tuple[date, date] | None:
    """The Saturday and Sunday of the latest weekend, or the last that is over."""
    match = re.fullmatch(r"(?:(?:at |over )?the |this |(last |past ))?weekend", text)
    if match is None:
        return None
    saturday = today - timedelta(days=(today.weekday() - 5) % 7)
    if match[1] and today <= saturday + timedelta(days=1):
        saturday -= timedelta(days=7)
    return saturday, min(saturday + timedelta(days=1), today)
