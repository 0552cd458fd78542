"""What the program makes of inputs as people type them, held against a list written without a look at the program.

Prints the table with ``python -m tests.journal.sloppy``.
"""

import math
import re
import sys
import tomllib
from collections import Counter
from datetime import date
from pathlib import Path

from calc.machine import catalogue
from calc.quantities import QUANTITIES
from calc.units import to_shown
from journal.book import days
from journal.book.heard import hearing
from journal.book.measurements import quantity_named, read_measurement
from journal.book.plain_quantity import Unclear, plainly
from journal.book.sheet import entry_of, named_input, read_value
from journal.book.spoken_days import TwoDays
from journal.book.turns import in_turns
from journal.book.written import past
from journal.errors import BadInput

CASES = tomllib.loads(Path(__file__).with_name("sloppy.toml").read_text(encoding="utf-8"))["case"]
#: The day on which the dates of the list were typed.
TODAY = date(2026, 11, 26)
#: How a case can end; those that are as the list has them, and those in which something was taken for something else.
UNDERSTOOD, ASKED, HINTED = "understood", "asked, with every reading", "refused with the right hint"
REFUSED, WRONG_HINT, NOT_ALL = "refused though clear", "refused with another hint", "asked otherwise"
WRONG = "taken wrongly"
AS_EXPECTED = (UNDERSTOOD, ASKED, HINTED)
#: Words that widen a doubt, by the list's own header.
_SOFT = re.compile(r"~|\b(?:about|approx\w*|ca|circa|around|roughly|or so)\b", re.IGNORECASE)


def named(case):
    """A case in one line."""
    return f"{case.get('name') or case.get('quantity') or 'date'}-{case['typed']}"


def read(case, typed):
    """What the program keeps: a day with its last, a word, or a number with its limits as shown; and what it told."""
    with days.told_on(TODAY), hearing() as heard:
        if case.get("date"):
            return _days(past(typed)), typed, heard
        if "quantity" in case:
            asked = QUANTITIES[quantity_named(case["quantity"])]
            got = read_measurement(asked.name, typed)
            return _shown(asked, got["value"], got["low"], got["high"]), got["typed"], heard
        path = path_of(case["name"])
        got = read_value(path, typed)
        number = got["number"]
        if number is None:
            return got["word"], got["typed"], heard
        low, high = (number if end is None else end for end in (got["low"], got["high"]))
        return _shown(entry_of(path)[0], number, low, high), got["typed"], heard


def path_of(name):
    """A name of the sheet, with a label where it takes one and has none."""
    entry = catalogue.catalogue().get(name)
    return named_input(entry.named("main") if entry else name)


def _days(kept):
    return days.earliest(kept), days.latest(kept)


def _shown(asked, *numbers):
    return tuple(float(to_shown(n, asked.shown)) for n in numbers)


def meant(case, plain):
    """What a plain form of the list means."""
    if case.get("date"):
        first, _, last = plain.partition("..")
        return first, last or first
    return read(case, plain)[0]


def same(got, wanted, typed=""):
    """Whether two readings are the same to the list's 0.1 %; a word such as about may widen the doubt."""
    soft = bool(_SOFT.search(typed))
    if isinstance(wanted, str) or isinstance(got, str):
        return got == wanted
    if isinstance(wanted[0], str):
        return got == wanted or (soft and _middle(got) == _middle(wanted))
    if not math.isclose(got[0], wanted[0], rel_tol=1e-3, abs_tol=1e-2 if abs(wanted[0]) < 1e-9 else 0.0):
        return False
    if wanted[1] == wanted[2]:
        return soft or got[1] == got[2]
    near = 1e-2 * abs(wanted[2] - wanted[1])
    return all(abs(g - w) <= near for g, w in zip(got[1:], wanted[1:], strict=True))


def _middle(span):
    first, last = map(date.fromisoformat, span)
    return first + (last - first) / 2


def offered(case, error):
    """What somebody was asked to choose from, each as it would be kept."""
    between = error.readings.values() if isinstance(error, TwoDays) else error.between
    found = []
    for typed in between:
        try:
            found.append(read(case, typed)[0])
        except BadInput:
            # What is offered and cannot be typed is no offer.
            found.append(f"{typed!r} cannot be typed")
    return found


def judged(case):
    """How a case ended, and in what."""
    try:
        got, kept, heard = read(case, case["typed"])
    except (Unclear, TwoDays) as e:
        choices = offered(case, e)
        asked = [meant(case, plain) for plain in case.get("asks", ())]
        all_there = bool(asked) and all(any(same(c, a) for c in choices) for a in asked)
        return (ASKED if all_there else NOT_ALL), str(e)
    except BadInput as e:
        if "refused_with" in case:
            return (HINTED if case["refused_with"].casefold() in str(e).casefold() else WRONG_HINT), str(e)
        return REFUSED, str(e)
    told = f"{got} {'; '.join(heard)}"
    right = "reads" in case and same(got, meant(case, case["reads"]), case["typed"]) and kept == case["typed"].strip()
    return (UNDERSTOOD if right else WRONG), told


def is_spoken(case):
    """Whether a case of a number is not in the plain form, that of the README."""
    if "quantity" in case:
        asked = QUANTITIES[quantity_named(case["quantity"])]
    elif (asked := entry_of(path_of(case["name"]))[0]).kind != "number":
        return True
    try:
        plainly(in_turns(case["typed"], asked.unit), asked, "It")
    except BadInput:
        return True
    return False


def _say(line):
    sys.stdout.write(f"{line}\n")


def main():
    """Print the table, and what is not as the list has it."""
    ends = [(case, *judged(case)) for case in CASES]
    for case, end, told in ends:
        if end not in AS_EXPECTED:
            wanted = case.get("reads") or case.get("asks") or case["refused_with"]
            _say(f"{end:24} {named(case)!r} -> {told}   [{wanted}]{' KNOWN' if 'known' in case else ''}")
    counts = Counter(end for _, end, _ in ends)
    for end in (*AS_EXPECTED, REFUSED, WRONG_HINT, NOT_ALL, WRONG):
        _say(f"{end:28}{counts[end]:4}")
    _say(f"{'as expected':28}{sum(counts[e] for e in AS_EXPECTED):4} of {len(ends)}")


if __name__ == "__main__":
    main()
