"""Inputs as people type them, of a list written without a look at the program."""

from collections import Counter

import pytest

from calc.machine import catalogue
from calc.quantities import QUANTITIES
from journal.book.plain_text import alike
from tests.journal import sloppy

ENDS = {sloppy.named(case): (case, *sloppy.judged(case)) for case in sloppy.CASES}
KNOWN = [pytest.mark.xfail(reason="known to the list", strict=True)]


def _cases(**chosen):
    return [pytest.param(name, id=name, **chosen) for name in ENDS]


@pytest.mark.parametrize("name", _cases())
def test_none_is_silently_taken_for_something_else(name):
    """Whatever else becomes of it; here no known failure counts."""
    _, end, told = ENDS[name]
    assert end != sloppy.WRONG, told


@pytest.mark.parametrize(
    "name", [pytest.param(n, id=n, marks=KNOWN if "known" in case else []) for n, (case, *_) in ENDS.items()]
)
def test_each_is_understood_asked_about_or_refused_as_the_list_has_it(name):
    """What reads as something is read so; what can be several is asked; what cannot be used has the hint."""
    _, end, told = ENDS[name]
    assert end in sloppy.AS_EXPECTED, f"{end}: {told}"


def test_nearly_all_end_as_the_list_has_it():
    """However many are known not to."""
    counts = Counter(end for _, end, _ in ENDS.values())
    assert sum(counts[end] for end in sloppy.AS_EXPECTED) >= 0.97 * len(ENDS)
    assert len(ENDS) == len(sloppy.CASES) >= 400


def test_what_was_not_typed_plainly_is_told():
    """Unless it is its own plain form; of dates the screens show what was kept."""
    silent = []
    for case, end, _ in ENDS.values():
        if end == sloppy.UNDERSTOOD and not case.get("date"):
            heard = sloppy.read(case, case["typed"])[2]
            plainly = alike(case["typed"]) == alike(case["reads"]) or not sloppy.is_spoken(case)
            silent += [] if heard or plainly else [case["typed"]]
    assert silent == []


def test_a_case_that_goes_wrong_is_seen():
    """The judge itself: a wrong reading, a wrong doubt, a choice left out, a hint without its word."""
    wrong = [
        {"typed": "2,2 m", "name": "rotor.diameter", "reads": "2.3 m"},
        {"typed": "2.2 m +- 1 cm", "name": "rotor.diameter", "reads": "2.2 m"},
        {"typed": "2.2 m", "name": "rotor.diameter", "reads": "2.2 m +- 1 cm"},
        {"typed": "2.2 m", "name": "rotor.diameter", "asks": ["2.2 m", "2.2 ft"]},
        {"typed": "2.2 m", "name": "rotor.diameter", "refused_with": "m"},
        {"typed": "wooden", "name": "blade.material", "reads": "aluminium"},
        {"typed": "14.3.2023", "date": True, "reads": "2023-03-01..2023-03-31"},
    ]
    assert [sloppy.judged(case)[0] for case in wrong] == [sloppy.WRONG] * len(wrong)
    others = {
        sloppy.NOT_ALL: {"typed": "3/4/2023", "date": True, "asks": ["2023-03-04", "2022-04-03"]},
        sloppy.WRONG_HINT: {"typed": "2.2 kg", "name": "rotor.diameter", "refused_with": "furlong"},
        sloppy.REFUSED: {"typed": "2.2 kg", "name": "rotor.diameter", "reads": "2.2 m"},
    }
    assert {end: sloppy.judged(case)[0] for end, case in others.items()} == {end: end for end in others}


def test_quantities_and_inputs_are_those_of_the_catalogues():
    """A case of a name that there is not would say nothing."""
    for case in sloppy.CASES:
        if "quantity" in case:
            assert case["quantity"] in QUANTITIES
        elif "name" in case:
            catalogue.split(sloppy.path_of(case["name"]))
        else:
            assert case["date"]
        assert sum(key in case for key in ("reads", "asks", "refused_with")) == 1
