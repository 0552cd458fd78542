"""What changes of several inputs at once would do, held on small rules made up here."""

from __future__ import annotations

import numpy as np
import pytest

from calc.finding import Status
from calc.machine.catalogue import Sheet
from calc.machine.design import build_design, values
from calc.rules.engine import FAIL, MARGINAL, OK, Judgement, Rule
from calc.rules.whatif import across, combinations, turning_points, variant_designs

OK_, MARGINAL_, FAIL_, UNKNOWN_ = Status.OK, Status.MARGINAL, Status.FAIL, Status.UNKNOWN
STATED_ = Status.STATED
DESIGN = build_design({
    "rotor.diameter": 2.0, "storage.voltage": 12.0, "storage.chemistry": "LiFePO4", "mast.height": 9.0,
    "storage.cell_monitor": True, "cable.a.length": 5.0, "cable.b.length": 50.0,
})  # fmt: skip


def _between(x):
    """Fails outside 1 to 3 m, marginal above 2 m."""
    D = np.asarray(x.rotor.diameter)
    level = np.where((D < 1.0) | (D > 3.0), FAIL, np.where(D > 2.0, MARGINAL, OK))
    return Judgement(level, lambda: "So.", value=x.rotor.diameter, unit="mm")


WIDTH = Rule("rotor.width", "Width", "rotor", (Sheet.rotor.diameter,), _between, ())
LITHIUM = Rule(
    "storage.kind", "Kind", "storage", (Sheet.storage.voltage,),
    lambda x: Judgement(FAIL if x.storage.chemistry != "LiFePO4" else OK, lambda: "So.", value=x.storage.voltage,
                        unit="V"),
    (), applies=lambda x: x.storage.chemistry != "none",
)  # fmt: skip
WATCHED = Rule(
    "storage.watch", "Watch", "storage", (),
    lambda x: Judgement(OK if x.storage.cell_monitor else FAIL, lambda: "So."), (),
)  # fmt: skip
REACH = Rule(
    "cable.reach", "Reach", "cable", (Sheet.cable.length,),
    lambda x: Judgement(np.where(np.asarray(x.need(Sheet.cable.length)) > 20.0, FAIL, OK), lambda: "So."), (),
    each=True,
)  # fmt: skip


def test_numbers_share_a_design_and_words_have_one_each():
    """Two chemistries with three voltages: two designs of three; every combination once, in its place."""
    wanted = combinations({"storage.chemistry": ["LiFePO4", "gel lead-acid"], "storage.voltage": [12.0, 24.0, 48.0]})
    groups = variant_designs(DESIGN, wanted)
    assert [indices.tolist() for indices, _ in groups] == [[0, 1, 2], [3, 4, 5]]
    for indices, design in groups:
        known = {name: value for name, _, value in values(design)}
        assert known["storage.chemistry"] == wanted[indices[0]]["storage.chemistry"]
        assert known["storage.voltage"].tolist() == [12.0, 24.0, 48.0]
        assert known["mast.height"] == 9.0


def test_yes_and_no_are_words_and_not_numbers():
    """They part designs as words do."""
    groups = variant_designs(DESIGN, combinations({"storage.cell_monitor": [True, False], "rotor.diameter": [1.0]}))
    said = [{n: v for n, _, v in values(design)}["storage.cell_monitor"] for _, design in groups]
    assert said == [True, False]


def test_each_combination_gets_what_the_rule_says_of_it():
    """In the order asked for; unknown and without a value where the rule does not concern one."""
    wanted = [
        {"storage.chemistry": "gel lead-acid", "storage.voltage": 24.0},
        {"storage.chemistry": "none", "storage.voltage": 36.0},
        {"storage.chemistry": "LiFePO4", "storage.voltage": 48.0},
    ]
    (row,) = across([LITHIUM], DESIGN, wanted)
    assert row.statuses == [FAIL_, UNKNOWN_, OK_]
    assert row.values == [24.0, None, 48.0]
    assert (row.rule, row.subject, row.title, row.unit) == ("storage.kind", "storage", "Kind", "V")
    assert [row.subject for row in across(iter([REACH]), DESIGN, wanted)] == ["cable.a", "cable.b"]


def test_a_rule_turns_at_each_of_its_limits():
    """1, 2 and 3 m, a hair on the far side; nowhere for an input it does not look at."""
    turns = turning_points(WIDTH, "rotor", DESIGN, "rotor.diameter")
    assert [(t.before, t.after) for t in turns] == [(FAIL_, OK_), (OK_, MARGINAL_), (MARGINAL_, FAIL_)]
    assert [t.value for t in turns] == pytest.approx([1.0, 2.0, 3.0], rel=1e-5)
    assert turns[0].value >= 1.0
    assert all(t.value > at for t, at in zip(turns[1:], (2.0, 3.0), strict=True))
    assert turning_points(WIDTH, "rotor", DESIGN, "mast.height") == []


def test_turns_close_together_are_told_one_by_one():
    """From ok over marginal to fail within a millimetre: neither jumps over what lies between."""

    def judge(x):
        D = np.asarray(x.rotor.diameter)
        level = np.where(D < 2.0, OK, np.where(D < 2.001, MARGINAL, FAIL))
        return Judgement(level, lambda: "So.", value=x.rotor.diameter, unit="mm")

    turns = turning_points(Rule("rotor.step", "Step", "rotor", (), judge, ()), "rotor", DESIGN, "rotor.diameter")
    assert [(t.before, t.after) for t in turns] == [(OK_, MARGINAL_), (MARGINAL_, FAIL_)]
    assert [t.value for t in turns] == pytest.approx([2.0, 2.001], rel=1e-5)


def test_only_the_subject_asked_for_turns():
    """The other cable is as long as ever; one that is not there says nothing."""
    (turn,) = turning_points(REACH, "cable.a", DESIGN, "cable.a.length")
    assert turn.value == pytest.approx(20.0, rel=1e-5)
    assert turning_points(REACH, "cable.b", DESIGN, "cable.a.length") == []
    assert turning_points(REACH, "cable.c", DESIGN, "cable.a.length") == []


def test_a_choice_is_told_word_by_word():
    """Against the sheet's own word; yes and no likewise; against what is assumed where the sheet is silent."""
    told = {t.value: (t.before, t.after) for t in turning_points(LITHIUM, "storage", DESIGN, "storage.chemistry")}
    assert told["LiFePO4"] == (OK_, OK_)
    assert told["gel lead-acid"] == (OK_, FAIL_)
    assert told["none"] == (OK_, UNKNOWN_)
    told = {t.value: (t.before, t.after) for t in turning_points(WATCHED, "storage", DESIGN, "storage.cell_monitor")}
    assert told == {"yes": (STATED_, STATED_), "no": (STATED_, FAIL_)}


def test_a_choice_that_the_sheet_does_not_make_cannot_be_turned():
    """There is nothing to turn from."""
    with pytest.raises(KeyError, match=r"storage\.place"):
        turning_points(WATCHED, "storage", DESIGN, "storage.place")
