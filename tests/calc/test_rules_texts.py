"""What people read: short, with numbers, never a promise."""

import re
from functools import cache

import pytest

from calc.finding import Status
from calc.rules import RULES
from tests.calc.sheets import findings
from tests.calc.test_rules_statuses import CASES

NUMBERS = range(len(CASES))
IDS = [f"{case[0]}-{i}" for i, case in enumerate(CASES)]
DANGERS = [i for i, case in enumerate(CASES) if case[3] is Status.DANGER]
#: Rules whose remedy depends on words only, so that there is nothing to compute.
WORDS_ONLY = {"house.feed", "storage.dump", "generator.touch-voltage", "protection.polarity", "storage.place"}


@cache
def _found(i):
    """What the rule says in one of the cases; worked out when it is first asked for."""
    rule, subject, changes, _, _ = CASES[i]
    return findings(changes, rule)[rule, subject]


@pytest.mark.parametrize("i", NUMBERS, ids=IDS)
def test_text_promises_nothing_and_prints_cleanly(i):
    """No output says that a thing is safe; no raw Python value shows."""
    found = _found(i)
    text = " ".join(filter(None, (found.title, found.says, found.remedy, found.caution)))
    assert not re.search(r"\bsafe(ly|ty)?\b", text, re.IGNORECASE)
    assert not re.search(r"None|nan|np\.|array|  |\.\.|\d{6,}", text)
    assert found.says.endswith(".")
    assert len(found.says) < 480


@pytest.mark.parametrize("i", NUMBERS, ids=IDS)
def test_what_is_wrong_comes_with_a_way_out(i):
    """Anything but ok has a remedy, with a number unless only words decide; ok has none."""
    found = _found(i)
    if found.status is Status.OK:
        assert found.remedy == ""
        return
    assert found.remedy.endswith(".") or found.missing == ()
    if found.status is not Status.UNKNOWN and found.rule not in WORDS_ONLY:
        assert re.search(r"\d", found.remedy), found.remedy


@pytest.mark.parametrize("i", DANGERS, ids=[IDS[i] for i in DANGERS])
def test_danger_has_a_caution(i):
    """Where people can be hurt, the finding says how."""
    assert len(_found(i).caution) > 60


@pytest.mark.parametrize("rule", RULES, ids=lambda r: r.id)
def test_rule_is_named_and_sourced(rule):
    """Chapter and name, a title, and at least one source; ids are unique."""
    assert re.fullmatch(r"[a-z]+\.[a-z-]+", rule.id)
    assert rule.title
    assert rule.sources
    assert sum(other.id == rule.id for other in RULES) == 1
