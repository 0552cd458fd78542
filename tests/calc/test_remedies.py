"""Every remedy that is told has been tried: applied to the sheet, judged from scratch, it does what it says."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from calc.finding import Act, Effect, Remedy, Status
from calc.machine.design import build_design
from calc.machine.system import System
from calc.rules import RULES, proving
from calc.rules.board import Variant
from calc.rules.engine import judge_rules
from calc.rules.plan import advise
from calc.rules.proving import MARGINAL, prove
from tests.calc.random_sheets import whole_sheet
from tests.calc.sheets import applied, board_of, dangers, statuses, with_remedies

#: So many random sheets, in so many lots; of each one remedy is tried again from scratch.
SHEETS, LOTS = 80, 4
CURED = (Status.OK, Status.MARGINAL, Status.STATED)
BAD = (Status.DANGER, Status.FAIL)


def _holds(design, key, remedy):
    """The remedy puts its finding right and brings no danger; what it says of others is so."""
    assert len({c.path for c in remedy.changes}) == len(remedy.changes)
    before, after = statuses(design), applied(design, remedy)
    told = f"{key}: {remedy.says}"
    assert after[key] is remedy.becomes, told
    assert after[key] in (CURED if before[key] is not Status.MARGINAL else (Status.OK, Status.STATED)), told
    assert dangers(after) <= dangers(before), told
    for other in remedy.clears:
        assert after.get(other) not in BAD, f"{told} does not clear {other}"
    for other in remedy.breaks:
        assert after[other] in BAD, f"{told} does not break {other}"


def _remedy(design, had, rng):
    """A remedy that changes the sheet, of the finding whose rule had fewest before."""
    board = board_of(design)
    wrong = [key for key in board.rows if board.badness(key) >= MARGINAL]
    rng.shuffle(wrong)
    for key in sorted(wrong, key=lambda key: had.get(key[0], 0)):
        changing = [p.remedy for p in prove(board, [tuple(key)])[tuple(key)].proven if p.changes]
        if changing:
            return tuple(key), changing[rng.integers(len(changing))]
    return None


@pytest.mark.parametrize("lot", range(LOTS))
def test_remedies_of_random_sheets_hold(lot):
    """On sheets nobody chose; of each one remedy, of a rule that had fewest before."""
    had: dict[str, int] = {}
    for seed in range(lot, SHEETS, LOTS):
        design = build_design(whole_sheet(seed))
        found = _remedy(design, had, np.random.default_rng(seed))
        if found is not None:
            key, remedy = found
            had[key[0]] = had.get(key[0], 0) + 1
            _holds(design, key, remedy)
    assert sum(had.values()) >= 0.9 * SHEETS / LOTS


@pytest.mark.parametrize("seed", range(3))
def test_remedies_are_those_that_stand_beside_what_to_do_first(seed):
    """What the tests here ask for each finding alone is what is told of all together."""
    design = build_design(whole_sheet(seed))
    system = System(design)
    told = {f.key: (f.remedies, f.remedy) for f in advise(RULES, system, judge_rules(RULES, system)).findings}
    alone = {f.key: (f.remedies, f.remedy) for f in with_remedies(design)}
    assert told == alone
    assert any(r.changes for remedies, _ in told.values() for r in remedies)


def _tried(energy):
    """A remedy on a machine that gives so much energy in a year."""
    remedy = Remedy(Act.CHANGE, f"leaves {energy:g}")
    return proving.Proven(remedy, Variant({}, energy=energy))


def test_what_takes_most_of_the_energy_is_told_last_or_not_at_all():
    """Not where another change is proven; else one, after the acts."""
    board, look = SimpleNamespace(energy=1000.0, charging=None), proving.Proven(Remedy(Act.LOOK, "look"))
    cheap, dear, dearer = _tried(900.0), _tried(400.0), _tried(0.001)
    assert proving._by_price(board, [dear, cheap, look]) == [cheap, look]
    assert proving._by_price(board, [dear, dearer, look]) == [look, dear]
    assert proving._by_price(board, [look, look, look, dear]) == [look, look, dear]


def test_the_price_of_a_remedy_is_told():
    """More than half of the year's energy is a price, and of less than a hundredth nobody gives the number."""

    def told(after):
        year = Effect("yearly_energy", "Energy in a year", 1200.0, after, "kWh")
        return proving.words(Remedy(Act.CHANGE, "Do it.", effects=(year,)), {})

    assert told(900.0) == "Do it. It then gives 900 kWh a year in place of 1200 kWh."
    assert "The price is most of the year's energy: it then gives 400 kWh a year" in told(400.0)
    assert "next to nothing a year in place of 1200 kWh" in told(0.00023)
