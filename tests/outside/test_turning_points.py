"""Every rule and every mechanism is held to the value of one input at which it turns, from an outside reason."""

from __future__ import annotations

from functools import cache

import pytest

from calc.finding import Status
from calc.machine.catalogue import catalogue, split
from calc.machine.design import build_design
from calc.machine.system import System
from calc.mechanisms import MECHANISMS
from calc.mechanisms.base import Circumstances
from calc.mechanisms.judge import FailedMachine, judge_mechanisms
from calc.rules import RULES
from calc.rules.engine import judge_rules
from calc.rules.whatif import turning_points
from tests.outside.turning_mechanisms import BY_EYE, BY_LIKELIHOOD, OPEN, RELATED_SIGNS, SIGNS, Sign, reading
from tests.outside.turning_points import RELATED, ROWS, Row

BY_ID = {rule.id: rule for rule in RULES}


def _sheet(row, **more):
    values = {**row.base, **row.changes, **more}
    return build_design({name: value for name, value in values.items() if value is not None})


def _finding(row, value):
    found = judge_rules([BY_ID[row.rule]], System(_sheet(row, **{row.path: value})))
    return next(f for f in found if f.subject == row.subject)


def _status(row, value):
    return _finding(row, value).status


def _found(row):
    return _found_at((*ROWS, *RELATED).index(row))


@cache
def _found_at(i):
    row = (*ROWS, *RELATED)[i]
    return turning_points(BY_ID[row.rule], row.subject, _sheet(row), row.path)


def _name(row):
    return f"{row.rule}-{row.path}-{(*ROWS, *RELATED).index(row)}"


def _worked(row):
    return row.turns() if callable(row.turns) else row.turns


WORDS = [row for row in ROWS if isinstance(row.turns, dict)]
NUMBERS = [row for row in ROWS if row not in WORDS]


@pytest.mark.parametrize("row", NUMBERS, ids=_name)
def test_a_rule_turns_where_the_outside_reason_says(row: Row):
    """Found by search over the whole permitted range, and in the order given."""
    found = [(t.value, t.before, t.after) for t in _found(row)]
    if row.whole:
        assert [f[1:] for f in found] == [t[1:] for t in _worked(row)], row.why
    for value, before, after in _worked(row):
        near = [v for v, *ways in found if tuple(ways) == (before, after)]
        assert any(v == pytest.approx(value, rel=max(row.hair, 1e-4)) for v in near), (row.why, value, found)


@pytest.mark.parametrize("row", NUMBERS, ids=_name)
def test_a_hair_to_either_side_it_says_the_one_and_the_other(row: Row):
    """Below the turn as before, above it as after."""
    for value, before, after in _worked(row):
        told = _status(row, value * (1.0 - row.hair)), _status(row, value * (1.0 + row.hair))
        assert told == (before, after), (row.why, value)


OK, MARGINAL, FAIL = Status.OK, Status.MARGINAL, Status.FAIL
FAILING = (Status.FAIL, Status.DANGER)
#: Rules that fail at more than one limit and tell how far the other is.
TOWARDS_ANOTHER = {
    ("wiring.fuse", 12.5), ("storage.charge-voltage", 13.2), ("storage.charge-voltage", 12.6), ("dump.circuit", 20.0),
    ("inverter.surge", 800.0), ("inverter.surge", 250.0),
}  # fmt: skip
#: Rules whose margin is to what is good, not to what fails; or that judge no number alone.
TOWARDS_GOOD = (
    "generator.match",
    "generator.storm-voltage",
    "generator.touch-voltage",
    "protection.brake-switch",
    "protection.fuse",
    "protection.main-fuse",
    "protection.surge",
    "storage.cells",
    "dump.controller-voltage",
    "storage.monitor-voltage",
    "inverter.input-voltage",
    "loads.over-voltage",
    "house.shock",
    "mast.frequency",
    "tail.resonance",
    "site.obstacle",
    "rotor.proven",
    "raising.side-guys",
)
#: Rules whose margin is the least of two, or a share of a rise, so that it does not follow from value and limit alone.
OF_TWO = (
    "measured.agrees",
    "measured.curve",
    "wiring.fuse",
    "inverter.fuse",
    "dump.element",
    "dump.controller",
    "dump.circuit",
    "site.months",
)
RISES = ("generator.heat", "rotor.brake-heat", "storage.freezing", "storage.cold-charge")


@pytest.mark.parametrize("row", [row for row in NUMBERS if row.rule not in TOWARDS_GOOD], ids=_name)
def test_nothing_is_left_where_a_rule_begins_to_fail(row: Row):
    """The margin changes its sign there, and is what is left of the limit as a share of it."""
    for value, before, after in _worked(row):
        if (before in FAILING) == (after in FAILING) or (row.rule, value) in TOWARDS_ANOTHER:
            continue
        for found in (_finding(row, value * (1.0 - row.hair)), _finding(row, value * (1.0 + row.hair))):
            assert (found.margin < 0) == (found.status in FAILING), row.why
            assert abs(found.margin) <= 6.0 * row.hair
            if row.rule not in (*OF_TWO, *RISES):
                assert abs(found.margin) == pytest.approx(abs(found.value / found.limit - 1.0), rel=1e-6)


#: Share of the limit that must be left before a rule is content. Of codes: a quarter for what flows for hours (NEC
#: 694.12(B), 690.8), half as much again as the source for a dump load (NEC 706.23(B)(2)). Common practice, no source:
#: twice the peak for a rectifier, half as much again for its current, 4.5 over 3.5 m/s, three days over one, half of
#: the power, a twentieth of the voltage. The others are our own choice.
RESERVES = {
    "wiring.ampacity": 1.0 - 1.0 / 1.25, "inverter.current": 1.0 - 1.0 / 1.25, "storage.dump": 0.5,
    "generator.storm-voltage": 0.5, "protection.rectifier": 1.0 - 1.0 / 1.5, "site.power": 4.5 / 3.5 - 1.0,
    "storage.autonomy": 3.0 - 1.0, "loads.need": 0.5, "inverter.sag": 0.05,
    "rotor.brake-heat": 0.15, "tail.stop": 0.1,
    "claim.power": 0.2, "rotor.starting": 0.35, "generator.heat": 0.15, "storage.charge-current": 0.1,
    "storage.discharge-current": 0.1, "energy.year": 0.5,
}  # fmt: skip


@pytest.mark.parametrize("row", [row for row in (*NUMBERS, *RELATED) if row.rule in RESERVES], ids=_name)
def test_a_rule_is_content_once_its_reserve_is_left(row: Row):
    """Where it turns between ok and marginal, just that share of the limit is left."""
    for turn in _found(row):
        if {turn.before, turn.after} == {OK, MARGINAL}:
            assert _finding(row, turn.value).margin == pytest.approx(RESERVES[row.rule], abs=1e-3), row.why


#: What a rule says only where it comes out so: its words turn where its status turns.
VERDICTS: dict[str, dict[str, tuple[Status, ...]]] = {
    "claim.betz": {"within what is possible": (OK,), "impossible": (FAIL,)},
    "measured.agrees": {"the two agree": (OK,), "do not agree": (MARGINAL,)},
    "measured.curve": {"the two agree": (OK,), "do not agree": (MARGINAL,)},
    "generator.touch-voltage": {"behind the covers a shock kills": (MARGINAL,), "does not state": FAILING},
    "wiring.ampacity": {": enough.": (OK,), "too little to spare": (MARGINAL,), "too little.": (FAIL,)},
    "inverter.current": {": enough.": (OK,), "too little to spare": (MARGINAL,), "too little.": (FAIL,)},
    "wiring.fuse": {"lies between the two": (OK,)},
    "inverter.fuse": {"lies between the two": (OK,), "no quarter in reserve": (MARGINAL,)},
    "protection.brake-switch": {"more than enough": (OK,), "less than that": (MARGINAL,), "even the": (FAIL,)},
    "protection.surge": {"stay out of the way": (OK,), "burn": (FAIL, MARGINAL)},
    "protection.battery-touch": {"a shock can kill": (MARGINAL, Status.DANGER), "not said to be covered": FAILING},
    "storage.charge-voltage": {" suits ": (OK,), "too low": (MARGINAL,), "never charges": (FAIL,)},
    "storage.freezing": {"even when flat": (OK,), "ever left flat": (MARGINAL,), "freezes in normal use": (FAIL,)},
    "storage.cells": {"as usual": (OK,), "unevenly": (MARGINAL, FAIL)},
}  # fmt: skip
#: Said of one of several ways to fail.
ALSO = (("never charges", FAIL),)


@pytest.mark.parametrize("row", [row for row in NUMBERS if row.rule in VERDICTS], ids=_name)
def test_the_words_of_a_rule_turn_with_its_status(row: Row):
    """A hair to either side."""
    for value, *_ in _worked(row):
        for found in (_finding(row, value * (1.0 - row.hair)), _finding(row, value * (1.0 + row.hair))):
            for phrase, statuses in VERDICTS[row.rule].items():
                if (phrase, found.status) not in ALSO:
                    assert (phrase in found.says) is (found.status in statuses), found.says


@pytest.mark.parametrize("row", WORDS, ids=_name)
def test_a_rule_says_to_each_word_what_the_outside_reason_says(row: Row):
    """All words of a choice that the table names."""
    said = {t.value: t.after for t in _found(row)}
    assert {word: said[word] for word in row.turns} == row.turns, row.why


@pytest.mark.parametrize("row", RELATED, ids=_name)
def test_two_turns_lie_to_each_other_as_physics_says(row: Row):
    """The last is the measure for the others."""
    found = _found(row)
    assert [(t.before, t.after) for t in found] == [t[1:] for t in row.turns], row.why
    assert [t.value / found[-1].value for t in found] == pytest.approx([t[0] for t in row.turns], rel=row.hair), row.why


def test_every_rule_has_its_turning_point():
    """A new rule is added to the table, with an outside reason."""
    assert sorted({rule.id for rule in RULES} - {row.rule for row in (*ROWS, *RELATED)}) == []
    assert all(row.why for row in (*ROWS, *RELATED))


def test_every_row_names_an_input():
    """And a rule that is there."""
    assert all(split(row.path)[0] in catalogue() and row.rule in BY_ID for row in (*ROWS, *RELATED))


# --- mechanisms of failure --------------------------------------------------------------------------------------------

SIGNED = [row for row in SIGNS if not isinstance(row.turns, dict)]
SIGNED_WORDS = [row for row in SIGNS if isinstance(row.turns, dict)]


def _sign_name(row):
    return f"{row.mechanism}-{row.path}-{(*SIGNS, *RELATED_SIGNS).index(row)}"


def _verdict(row, value):
    """What the numbers say of the mechanism with one input, or reading, or the wind at a value."""
    wind = (value, value) if row.path == "wind" else row.wind
    values = {**row.base, **row.changes}
    if row.path.startswith("read "):
        values |= reading("M1", row.path.removeprefix("read "), value, row.load, wind[0])
    elif row.path != "wind":
        values |= {row.path: value}
    design = build_design({name: v for name, v in values.items() if v is not None})
    bench = FailedMachine(System(design, {}, 100), Circumstances(*wind, row.load, (row.seen,)))
    return judge_mechanisms(bench, [MECHANISMS[row.mechanism]])[0].verdict


@pytest.mark.parametrize("row", SIGNED, ids=_sign_name)
def test_a_hair_to_either_side_a_mechanism_says_the_one_and_the_other(row: Sign):
    """Below the turn as before, above it as after; between two turns nothing else."""
    for value, before, after in _worked(row):
        told = _verdict(row, value * (1.0 - row.hair)), _verdict(row, value * (1.0 + row.hair))
        assert told == (before, after), (row.why, value)


@pytest.mark.parametrize("row", SIGNED_WORDS, ids=_sign_name)
def test_a_mechanism_says_to_each_word_what_the_outside_reason_says(row: Sign):
    """All words of a choice."""
    assert {word: _verdict(row, word) for word in row.turns} == row.turns, row.why


def _turn(row, low, high, below):
    """Where a verdict is left, by halving."""
    assert _verdict(row, low) is below is not _verdict(row, high)
    for _ in range(12):
        middle = (low * high) ** 0.5
        low, high = (middle, high) if _verdict(row, middle) is below else (low, middle)
    return high


@pytest.mark.parametrize("row", RELATED_SIGNS, ids=_sign_name)
def test_two_turns_of_a_mechanism_lie_to_each_other_as_physics_says(row: Sign):
    """The last is the measure for the first."""
    (share, first, _), (_, second, _) = row.turns
    at = _turn(row, 0.01, 50.0, first)
    assert _verdict(row, at * 1.01) is second
    assert at / _turn(row, at * 1.01, 50.0, second) == pytest.approx(share, rel=row.hair), row.why


def test_every_mechanism_has_its_turning_point():
    """A new mechanism is added to the table, with an outside reason, or left to the eye."""
    rows = {row.mechanism for row in (*SIGNS, *RELATED_SIGNS)} | set(BY_EYE) | set(BY_LIKELIHOOD)
    assert sorted(set(MECHANISMS) - rows) == []
    assert all(row.why and row.mechanism in MECHANISMS for row in (*SIGNS, *RELATED_SIGNS))


@pytest.mark.parametrize("name", BY_EYE)
def test_what_only_the_eye_can_tell_is_left_to_it(name):
    """No number speaks for or against it, and it says what to look at."""
    row = Sign(name, "wind", (), "no number on record")
    assert _verdict(row, 8.0) is OPEN
    assert MECHANISMS[name].look


@pytest.mark.parametrize("name", BY_LIKELIHOOD)
def test_what_is_told_by_what_it_alters_says_what_to_look_at(name):
    """It alters the solved machine, or is a fault of the day or none at all; and the eye can find it."""
    m = MECHANISMS[name]
    assert m.look
    assert m.alters or m.harmless or name in ("generator.field-drains", "sound.too-much-expected")
