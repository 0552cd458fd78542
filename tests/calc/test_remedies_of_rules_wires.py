"""Remedies of rotor, cables, fuses, switches, earthing, mast and readings, applied to the sheet; and their words."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import pytest

from calc.finding import Act, Finding, Status
from calc.machine.catalogue.mast import ROOF
from calc.machine.design import Design, build_design
from calc.machine.system import System
from calc.rules import RULES, earthing, fuses, lines, mast, protection, readings, rotor, wiring
from calc.rules.engine import judge_rules
from tests.calc.sheets import GOOD, applied, dangers, statuses, with_remedies
from tests.calc.test_rules_machine import CASES as OF_PIPE
from tests.calc.test_rules_machine import PIPE
from tests.calc.test_rules_statuses import BY_RUN, CASES
from tests.outside.turning_points import ROWS

MINE = {
    rule.id
    for file in (earthing, fuses, lines, mast, protection, readings, rotor, wiring)
    for rule in file.RULES
}  # fmt: skip
WRONG = (Status.FAIL, Status.DANGER)
#: What a finding must become.
BETTER = {
    Status.DANGER: (Status.OK, Status.STATED, Status.MARGINAL),
    Status.FAIL: (Status.OK, Status.STATED, Status.MARGINAL),
    Status.MARGINAL: (Status.OK, Status.STATED),
}
#: Cases in which no change of the sheet is told, by rule and what is special about the case, and why.
NO_CHANGE = {
    ("wiring.voltage-drop", "cable.main.length"): "600 m at 12 V: no cable that is sold, and no bank alone, is enough",
    ("wiring.ampacity", "cable.main.current"): "300 A by the sheet: no cable that is sold carries it",
    ("wiring.fuse", "cable.main.current"): "the same, so that no fuse fits",
    ("measured.agrees", "measured.M1.value"): "a reading is not put right by another machine",
    ("measured.agrees", "generator.emf_constant"): "the same",
    ("protection.battery-touch", "storage.charge_voltage"): "120 V at a 12 V bank, which no smaller bank explains",
}
#: Words: what the short screen shows, what a finding says in all, and one sentence of what to do.
FIRST, ALL, DO = 35, 60, 25


@dataclass(frozen=True)
class Case:
    """A sheet, what was changed on it, and the finding that is looked at."""

    rule: str
    subject: str
    values: tuple
    changed: tuple[str, ...]

    @property
    def sheet(self) -> Design:
        """Its design."""
        return build_design(dict(self.values))


def _case(rule, subject, base, changes):
    values = {name: value for name, value in {**base, **changes}.items() if value is not None}
    return Case(rule, subject, tuple(values.items()), tuple(changes))


def _of_rows():
    for row in ROWS:
        turns = row.turns() if callable(row.turns) and row.rule in MINE else row.turns
        if row.rule in MINE:
            sides = (
                turns if isinstance(turns, dict) else [t[0] * (1.0 + way * row.hair) for t in turns for way in (-1, 1)]
            )
            for side in sides:
                word = {"yes": True, "no": False}.get(side, side) if isinstance(side, str) else side
                yield _case(row.rule, row.subject, {**row.base, **row.changes}, {row.path: word})


EVERY = [
    *(_case(rule, subject, GOOD, changes) for rule, subject, changes, _, _ in CASES if rule in MINE),
    *(_case(rule, "measured.M1", PIPE, changes) for rule, changes, _, _ in OF_PIPE if rule in MINE),
    *_of_rows(),
]


@cache
def _judged(case: Case) -> Finding:
    found = judge_rules([rule for rule in RULES if rule.id == case.rule], System(case.sheet))
    return next(f for f in found if f.subject == case.subject)


@cache
def _advised(case: Case) -> Finding:
    return next(f for f in with_remedies(case.sheet, case.rule) if f.subject == case.subject)


BAD = [case for case in EVERY if _judged(case).status in BETTER]
IDS = [f"{case.rule}-{i}" for i, case in enumerate(BAD)]


@pytest.mark.parametrize("case", BAD, ids=IDS)
def test_what_is_told_to_be_changed_puts_it_right(case: Case):
    """Applied to the sheet and judged from the beginning: the finding turns, and nothing becomes a danger."""
    found, before = _advised(case), dangers(statuses(case.sheet))
    changing = [remedy for remedy in found.remedies if remedy.changes]
    assert changing or any((case.rule, path) in NO_CHANGE for path in case.changed), found.remedy
    for remedy in changing:
        after = applied(case.sheet, remedy)
        assert after[found.key] in BETTER[found.status], remedy.says
        assert after[found.key] is remedy.becomes, remedy.says
        assert dangers(after) <= before, remedy.says
        assert {k for k in remedy.clears if after.get(k) in WRONG} == set()
        assert {k for k in remedy.breaks if after[k] not in WRONG} == set()


def test_every_rule_that_can_fail_was_tried():
    """Each with some case, and hundreds of remedies in all."""
    assert {case.rule for case in BAD} == MINE
    assert sum(bool(r.changes) for case in BAD for r in _advised(case).remedies) > 200


@pytest.mark.parametrize(("rule", "path"), NO_CHANGE)
def test_where_no_change_is_told_none_is(rule: str, path: str):
    """No longer listed once there is one."""
    cases = [case for case in BAD if case.rule == rule and path in case.changed]
    assert any(not any(r.changes for r in _advised(case).remedies) for case in cases)


@pytest.mark.parametrize("case", EVERY, ids=[f"{case.rule}-{i}" for i, case in enumerate(EVERY)])
def test_a_finding_is_told_in_few_words(case: Case):
    """Its first sentence stands for it on the short screen; what it says in all is short too, and so is what to do."""
    found = _judged(case)
    if found.status is Status.UNKNOWN:
        return
    assert len(found.first.split()) <= FIRST, found.first
    assert len(found.says.split()) <= ALL, found.says
    assert len(found.says) <= 480
    for remedy in _advised(case).remedies:
        for sentence in remedy.says.split(". "):
            assert len(sentence.split()) <= DO, sentence


# --- how a builder would do it ----------------------------------------------------------------------------------------


def _told(rule, subject, changes, base=GOOD) -> Finding:
    return _advised(_case(rule, subject, base, changes))


def test_a_fuse_that_only_sits_too_far_away_is_moved():
    """Nothing else of it is bought anew."""
    (remedy,) = _told("protection.fuse", "cable.inv", {"cable.inv.fuse_distance": 1.6, **BY_RUN}).remedies
    assert (remedy.kind, [c.path for c in remedy.changes]) == (Act.MOVE, ["cable.inv.fuse_distance"])
    assert remedy.changes[0].value <= 7 * 0.0254


@pytest.mark.parametrize(
    ("ohms", "rating", "kind", "breaks"),
    [
        # 13.2 V over the bank alone: 1.3 kA, which a terminal fuse breaks from 30 A on; 5.3 kA for ANL; 13 kA for class
        # T; and 22 kA, beyond which only cartridges go (usual breaking capacities, calc/tables/fuse_kinds.csv).
        (0.010, 80.0, "terminal fuse, MRBF", 2000.0),
        (0.0025, 80.0, "ANL", 6000.0),
        (0.010, 20.0, "class T", 20000.0),
        (0.001, 80.0, "class T", 20000.0),
        (0.0006, 80.0, "cartridge, NH or BS 88", 25000.0),
    ],
)
def test_the_cheapest_fuse_is_named_that_breaks_the_battery_s_current(ohms, rating, kind, breaks):
    """Of the series that reaches down to its rating."""
    bad = {"storage.internal_resistance": ohms, "cable.inv.fuse_breaking": 100.0, "inverter.fuse": rating}
    (remedy,) = _told("protection.fuse", "cable.inv", bad).remedies
    new = {c.path: c.value for c in remedy.changes}
    assert (new["cable.inv.fuse_kind"], new["cable.inv.fuse_breaking"]) == (kind, breaks)
    assert breaks >= 13.2 / ohms


def test_a_mast_on_a_roof_becomes_one_of_its_own():
    """As high as the usual rule asks: 5 m + 30 ft + 1 m is 15.1 m, so 15.5 m; moved, not merely changed."""
    (remedy,) = _told("mast.roof", "mast", {"mast.kind": ROOF, "mast.height": 8.5}).remedies
    assert remedy.kind is Act.MOVE
    assert {c.path: c.value for c in remedy.changes} == {"mast.height": 15.5, "mast.kind": "guyed tilt-up"}


def test_a_taller_mast_does_not_reach_a_line():
    """18 m away, 1.1 times the height to the tip is the most: (15.5 + 1) x 1.1 = 18.2 m would be within reach."""
    low = {"mast.kind": ROOF, "mast.height": 8.5, "mast.line_distance": 18.0}
    (remedy,) = _told("mast.roof", "mast", low).remedies
    height = next(c.value for c in remedy.changes if c.path == "mast.height")
    assert 1.1 * (height + 1.0) <= 18.0


def test_the_line_s_owner_is_asked_where_the_mast_cannot_move():
    """An act that no sheet can try stands beside what can be tried."""
    remedies = _told("mast.overhead-lines", "mast", {"mast.line_distance": 12.0}).remedies
    assert [r.kind for r in remedies if not r.changes] == [Act.ASK]
    assert remedies[0].kind is Act.MOVE


def test_a_main_fuse_that_is_too_small_or_too_large_gets_another_rating():
    """50 A pass it: a quarter more is 62.5 A, so 63 A; the cable that it alone protects bears 90 A."""
    for rating in (
        {"protection.main_fuse_rating": 40.0},
        {"protection.main_fuse_rating": 100.0, "cable.inv.fused": False},
    ):
        first = _told("protection.main-fuse", "protection", rating).remedies[0]
        assert {c.path: c.value for c in first.changes} == {"protection.main_fuse_rating": 63.0}
