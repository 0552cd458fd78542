"""Every remedy that is told has been tried: applied to the sheet, judged from scratch, it does what it says."""

from __future__ import annotations

import numpy as np
import pytest

from calc.finding import Status
from calc.machine.design import Design, build_design
from calc.machine.system import System
from calc.rules import RULES
from calc.rules.engine import judge_rules
from calc.rules.plan import advise
from tests.calc.random_sheets import whole_sheet

#: So many random sheets, in so many lots, and of each so many remedies that are tried again from scratch.
SHEETS, LOTS, TRIED = 240, 12, 2
CURED = (Status.OK, Status.MARGINAL, Status.STATED)


def _judged(design):
    return {f.key: f for f in judge_rules(RULES, System(design))}


def _remedies(design):
    """Findings of a sheet, and every remedy that changes it."""
    system = System(design)
    found = advise(RULES, system, judge_rules(RULES, system)).findings
    return {f.key: f for f in found}, [(f, r) for f in found for r in f.remedies if r.changes]


def _holds(design, before, finding, remedy):
    """The remedy puts its finding right and brings no danger; what it says of others is so."""
    assert len({c.path for c in remedy.changes}) == len(remedy.changes)
    after = _judged(Design({**design.values, **{c.path: c.value for c in remedy.changes}}, design.assumed))
    now = after[finding.key].status
    told = f"{finding.rule} of {finding.subject}: {remedy.says}"
    assert now is remedy.becomes, told
    assert now in (CURED if finding.status is not Status.MARGINAL else (Status.OK, Status.STATED)), told
    dangers = {k for k, f in after.items() if f.status is Status.DANGER}
    assert dangers <= {k for k, f in before.items() if f.status is Status.DANGER}, told
    bad = (Status.DANGER, Status.FAIL)
    for key in remedy.clears:
        assert key not in after or after[key].status not in bad, f"{told} does not clear {key}"
    for key in remedy.breaks:
        assert after[key].status in bad, f"{told} does not break {key}"


@pytest.mark.parametrize("lot", range(LOTS))
def test_remedies_of_random_sheets_hold(lot):
    """On sheets nobody chose; of each a few remedies, those of rules that had fewest before."""
    had: dict[str, int] = {}
    for seed in range(lot, SHEETS, LOTS):
        design = build_design(whole_sheet(seed))
        before, remedies = _remedies(design)
        rng = np.random.default_rng(seed)
        rng.shuffle(remedies)
        for finding, remedy in sorted(remedies, key=lambda pair: had.get(pair[0].rule, 0))[:TRIED]:
            had[finding.rule] = had.get(finding.rule, 0) + 1
            _holds(design, before, finding, remedy)
    assert sum(had.values()) >= SHEETS // LOTS
