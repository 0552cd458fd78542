"""Remedies of the rules on rotor, generator, blades, claims, site and yearly energy, wherever they find fault.

Each that changes the sheet is applied to it and the whole rule book asked again.
"""

from __future__ import annotations

from functools import cache

import pytest

from calc.finding import Act, Status, first_sentence
from calc.machine.design import build_design
from calc.machine.system import System
from calc.rules import RULES, generator, match, power, strength, yields
from calc.rules.engine import judge_rules
from tests.calc import test_rules_machine, test_rules_statuses
from tests.calc.sheets import GOOD, applied, dangers, statuses, with_remedies
from tests.outside.turning_points import RELATED, ROWS

MINE = {rule.id for file in (generator, match, power, strength, yields) for rule in file.RULES}
CASES = [
    *((rule, GOOD, changes) for rule, _, changes, _, _ in test_rules_statuses.CASES if rule in MINE),
    *((rule, test_rules_machine.PIPE, changes) for rule, changes, _, _ in test_rules_machine.CASES if rule in MINE),
]


def _sides(row):
    """Values on both sides of the turns of a row."""
    turns = row.turns() if callable(row.turns) else row.turns
    return turns if isinstance(turns, dict) else [t[0] * (1.0 + way * 1e-2) for t in turns for way in (-1, 1)]


SIDES = [(row, side) for row in (*ROWS, *RELATED) if row.rule in MINE for side in _sides(row)]
BAD = (Status.DANGER, Status.FAIL, Status.MARGINAL)
CURED = {Status.MARGINAL: (Status.OK, Status.STATED)}
#: Rules whose findings no change of a sheet can put right, and why.
NO_CHANGE = {
    "claim.betz": "a claim that is too high is not made true by another machine: what is to be expected is told",
    "claim.power": "the same",
}


def _of(base, changes):
    return build_design({name: v for name, v in {**base, **changes}.items() if v is not None})


@cache
def _told(rule, values):
    return with_remedies(build_design(dict(values)), rule)


def _holds(design, found):
    """How many of its remedies were applied to the sheet, each of which did what it says."""
    tried = 0
    for remedy in (r for r in found.remedies if r.changes):
        now = applied(design, remedy)
        assert now[found.key] is remedy.becomes, remedy.says
        assert now[found.key] in CURED.get(found.status, (Status.OK, Status.MARGINAL, Status.STATED)), remedy.says
        assert dangers(now) <= dangers(statuses(design)), remedy.says
        tried += 1
    return tried


@pytest.mark.parametrize(("rule", "base", "changes"), CASES, ids=[f"{c[0]}-{i}" for i, c in enumerate(CASES)])
def test_remedies_hold(rule, base, changes):
    """A remedy turns its own finding and brings no danger; each tells what it sets in one short sentence."""
    design = _of(base, changes)
    for found in _told(rule, tuple(design.values.items())):
        _holds(design, found)
        for remedy in found.remedies:
            assert remedy.says.endswith(".")
            assert len(remedy.says.split()) <= 25, remedy.says
            assert remedy.changes or remedy.kind is not Act.CHANGE


@pytest.mark.parametrize("rule", sorted(MINE))
def test_a_rule_has_a_remedy_that_changes_the_sheet(rule):
    """In at least one of the cases in which it finds fault, or there is a reason why not."""
    tried = 0
    for _, base, changes in (case for case in CASES if case[0] == rule):
        design = _of(base, changes)
        some = _told(rule, tuple(design.values.items()))
        tried += sum(_holds(design, f) for f in some if f.status in BAD)
        assert all(f.remedies or f.remedy for f in some if f.status in BAD)
    assert (tried == 0) is (rule in NO_CHANGE)


def _short(found):
    if found.status is Status.UNKNOWN:
        return
    assert len(first_sentence(found.says).split()) <= 35, found.says
    assert len(found.says.split()) <= 60, found.says
    assert len(found.says) <= 480, found.says


@pytest.mark.parametrize(("rule", "base", "changes"), CASES, ids=[f"{c[0]}-{i}" for i, c in enumerate(CASES)])
def test_what_is_said_is_short(rule, base, changes):
    """The first sentence at most 35 words, all of it at most 60."""
    for found in judge_rules([one for one in RULES if one.id == rule], System(_of(base, changes))):
        _short(found)


@pytest.mark.parametrize(("row", "side"), SIDES, ids=[f"{row.rule}-{i}" for i, (row, _) in enumerate(SIDES)])
def test_what_is_said_at_a_turn_is_short(row, side):
    """On both sides of every turning point too."""
    design = _of(row.base, {**row.changes, row.path: side})
    for found in judge_rules([one for one in RULES if one.id == row.rule], System(design)):
        _short(found)


@pytest.mark.parametrize(
    ("rule", "changes", "path"),
    [
        ("blade.root-strength", {"rotor.overspeed": "none"}, "rotor.overspeed"),
        ("blade.root-strength", {"rotor.limit_wind": 20.0}, "rotor.limit_wind"),
        ("generator.heat", {"generator.rated_current": 12.0}, "generator.rated_current"),
        ("generator.match", test_rules_machine.BANK_12, "storage.voltage"),
        ("rotor.starting", {"generator.cogging_torque": 3.0}, "rotor.blades"),
        ("energy.year", {"load.lamp.power": 2000.0}, "load.lamp.hours"),
    ],
)
def test_the_remedy_that_a_builder_would_think_of_is_there(rule, changes, path):
    """A tail, an earlier tail, a larger machine, the next bank, more blades, shorter hours."""
    (found,) = with_remedies(_of(test_rules_machine.PIPE, changes), rule)
    assert path in {c.path for r in found.remedies for c in r.changes}, found.remedy


def test_no_rotor_is_told_to_grow_into_another_machine():
    """Half as large again at most, and blades scaled with it."""
    from calc.machine.inputs import Inputs
    from calc.rules.kits import MOST_GROWN, rotors

    for D in (0.9, 1.3, 2.0, 2.2, 4.6):
        x = Inputs(_of(test_rules_machine.PIPE, {"rotor.diameter": D}))
        grown, shrunk = ([next(iter(t.values())) for t in rotors(x, larger=larger).tries] for larger in (True, False))
        assert D < grown[0] <= grown[-1] <= MOST_GROWN * D + 1e-9
        assert D > shrunk[0] >= shrunk[-1] >= D / MOST_GROWN - 1e-9
        assert len(grown) <= 14
        assert len(shrunk) <= 14
