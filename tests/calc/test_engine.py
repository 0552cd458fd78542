"""What every finding carries, whatever its rule: held on one small rule about the wind and the rotor."""

from __future__ import annotations

import numpy as np
import pytest

from calc.finding import COMMON_PRACTICE, Act, Status
from calc.machine.catalogue import Sheet
from calc.machine.design import build_design
from calc.machine.system import System
from calc.rules.engine import (
    DANGER,
    DOUBTFUL,
    FAIL,
    MARGINAL,
    OK,
    Judgement,
    Rule,
    at_least,
    at_most,
    judge_rules,
    judge_variants,
)
from calc.rules.plan import advise
from calc.rules.ways import act, change, ladder

SHEET = {"rotor.diameter": 2.0, "site.mean_wind": 5.0, "cable.long.length": 40.0, "cable.short.length": 4.0}


def _too_wide(x):
    """No wider than two fifths of the mean wind, in metres; a rule that nobody needs, with whole numbers."""
    D, V = x.rotor.diameter, x.site.mean_wind
    level, margin = at_most(D, 0.4 * V, marginal=0.1)
    assert x.site.availability is not None
    smaller = change("Make it {0} wide.", *ladder(Sheet.rotor.diameter, (1.9, 1.7, 1.5)))
    return Judgement(level, lambda: f"It is {D} m.", lambda: [smaller], D, 0.4 * V, "mm", margin)


def rule(judge=_too_wide, **parts):
    """The rule, some of its parts changed."""
    given = {
        "needs": (Sheet.rotor.diameter, Sheet.site.mean_wind),
        "sources": (COMMON_PRACTICE,),
        "caution": "Mind your head.",
    }
    return Rule("rotor.width", "Width", "rotor", judge=judge, **(given | parts))


def found(changes=None, *, provenance=None, doubts=None, **parts):
    """What it says of the sheet."""
    values = {k: v for k, v in (SHEET | (changes or {})).items() if v is not None}
    system, book = System(build_design(values), doubts, 200), [rule(**parts)]
    (one,) = advise(book, system, judge_rules(book, system, provenance)).findings
    return one


def test_numbers_are_shown_in_the_rule_s_unit():
    """2 m of 2 m are 2000 mm, and nothing is left."""
    one = found()
    assert (one.value, one.limit, one.unit, one.margin) == (2000.0, 2000.0, "mm", 0.0)
    assert (one.rule, one.subject, one.title, one.sources) == ("rotor.width", "rotor", "Width", (COMMON_PRACTICE,))


@pytest.mark.parametrize(
    ("diameter", "status", "margin", "remedy"),
    [
        (1.0, Status.OK, 0.5, ""),
        (1.9, Status.MARGINAL, 0.05, "Make it 1.7 m wide."),
        (2.0, Status.MARGINAL, 0.0, "Make it 1.7 m wide."),
        (2.1, Status.FAIL, -0.05, "Make it 1.7 m wide."),
    ],
)
def test_what_is_fine_has_neither_remedy_nor_caution(diameter, status, margin, remedy):
    """What is not has both: the first value that is fine, though 1.9 m would not fail, for it is a step on."""
    one = found({"rotor.diameter": diameter})
    assert (one.status, one.margin) == (status, pytest.approx(margin))
    assert (one.remedy, one.caution) == (remedy, "Mind your head." if remedy else "")
    assert one.says == f"It is {diameter} m."


def test_what_is_right_by_word_alone_is_stated():
    """Where nothing was computed there is no value, and it is neither right nor wrong by any number."""

    def judge(x):
        level = np.where(np.asarray(x.rotor.diameter) > 2.0, FAIL, OK)
        return Judgement(level, lambda: "So.")

    assert found(judge=judge).status is Status.STATED
    assert found({"rotor.diameter": 2.1}, judge=judge).status is Status.FAIL
    assert (found(judge=judge).remedy, found(judge=judge).caution) == ("", "")
    (row,) = judge_variants([rule(judge)], build_design(SHEET | {"rotor.diameter": np.array([1.9, 2.1])}), 2)
    assert row.statuses == [Status.STATED, Status.FAIL]
    doubtful = found(judge=judge, doubts={"rotor.diameter": (1.6, 2.4)})
    assert (doubtful.status, doubtful.probability) == (Status.MARGINAL, pytest.approx(0.5, abs=0.02))


def test_what_nothing_puts_right_says_so():
    """No rung of the ladder is low enough: the finding says that, and has no change."""
    one = found({"site.mean_wind": 3.0})
    assert one.status is Status.FAIL
    assert not any(r.changes for r in one.remedies)
    assert one.remedy.startswith("No single change settles it")


def test_acts_stand_beside_changes_and_need_no_trying():
    """An act is told as it is written; a change only where it does."""

    def judge(x):
        ways = [change("Make it {0} wide.", {Sheet.rotor.diameter: 3.0}), act(Act.ASK, "Ask {somebody}.")]
        return Judgement(FAIL, lambda: "So.", lambda: ways)

    one = found(judge=judge)
    assert [(r.kind, r.says, r.changes, r.becomes) for r in one.remedies] == [(Act.ASK, "Ask {somebody}.", (), None)]


def test_every_input_is_accounted_for():
    """Where it comes from: as the sheet says, not stated, or assumed with its reason."""
    one = found(provenance={"rotor.diameter": "measured"})
    assert [(i.path, i.provenance) for i in one.inputs] == [
        ("rotor.diameter", "measured"), ("site.mean_wind", "not stated"), ("site.availability", "assumed"),
    ]  # fmt: skip
    assert [i.shown for i in one.inputs[:2]] == ["2 m", "5 m/s"]
    (assumed,) = one.assumptions
    assert assumed.startswith("Share of the year")
    assert "90 % (repairs" in assumed


def test_what_is_missing_is_named():
    """In the sentence, in the remedy, and by name."""
    one = found({"site.mean_wind": None})
    assert (one.status, one.missing) == (Status.UNKNOWN, ("site.mean_wind",))
    assert one.says.startswith("Cannot be judged: the sheet does not say ")
    assert one.says.endswith("(site.mean_wind).")
    assert one.remedy == "Fill in site.mean_wind."
    assert (one.value, one.margin, one.probability, one.caution) == (None, None, None, "")


def test_probability_and_what_to_measure_next():
    """Evenly 1.8 to 2.2 m against 2 m: half of all ways fail, and all of the doubt is the diameter's."""
    one = found(doubts={"rotor.diameter": (1.8, 2.2)})
    assert one.probability == pytest.approx(0.5, abs=0.02)
    assert one.ranking[0].path == "rotor.diameter"
    assert one.ranking[0].meaning
    assert one.ranking[0].share > 0.95
    assert found(doubts={"rotor.diameter": (1.0, 1.2)}).probability == 0.0
    assert found(doubts={"rotor.diameter": (2.1, 2.3)}).probability == 1.0


def test_a_danger_counts_as_failing():
    """The probability is that of failing or worse."""

    def judge(x):
        level = np.where(np.asarray(x.rotor.diameter) > 2.0, DANGER, MARGINAL)
        return Judgement(level, lambda: "So.", margin=None)

    assert found(doubts={"rotor.diameter": (1.8, 2.2)}, judge=judge).probability == pytest.approx(0.5, abs=0.02)


def test_where_no_doubtful_number_enters_there_is_no_probability():
    """Nor where the rule takes the doubt into its verdict itself."""
    assert (
        found(doubts={"cable.long.length": (30.0, 50.0)}, judge=lambda x: Judgement(FAIL, lambda: "So.")).probability
        is None
    )
    assert found(doubts={"rotor.diameter": (1.8, 2.2)}, widened=True).probability is None
    assert found().probability is None


def test_a_rule_runs_once_for_each_label_that_it_concerns():
    """Worst first, each named after its subject."""

    def judge(x):
        return Judgement(FAIL if x.need(Sheet.cable.length) > 20.0 else OK, lambda: "So.")

    every = Rule("cable.reach", "Reach", "cable", (Sheet.cable.length,), judge, (), each=True)
    short = Rule(
        "cable.reach", "Reach", "cable", (), judge, (), each=True, applies=lambda x: x.need(Sheet.cable.length) < 20.0
    )
    system = System(build_design(SHEET))
    assert [(f.subject, f.status) for f in judge_rules([every], system)] == [
        ("cable.long", Status.FAIL),
        ("cable.short", Status.STATED),
    ]
    assert [f.subject for f in judge_rules([short], system)] == ["cable.short"]
    assert [f.status for f in judge_rules([short, rule(), every], system)] == [
        Status.FAIL,
        Status.MARGINAL,
        Status.STATED,
        Status.STATED,
    ]


def test_variants_are_told_one_by_one():
    """Statuses and values of each, in the rule's unit; unknown for all where something is missing."""
    (row,) = judge_variants([rule()], build_design(SHEET | {"rotor.diameter": np.array([1.0, 1.9, 2.1])}), 3)
    assert row.statuses == [Status.OK, Status.MARGINAL, Status.FAIL]
    assert (row.values, row.unit, row.subject) == (pytest.approx([1000.0, 1900.0, 2100.0]), "mm", "rotor")
    (none,) = judge_variants([rule()], build_design({"rotor.diameter": np.array([1.0, 2.0])}), 2)
    assert (none.statuses, none.values, none.unit) == ([Status.UNKNOWN] * 2, [None, None], "")


def test_levels_at_most_and_at_least():
    """On both sides of the limit and of the reserve before it; another level beyond where one is asked for."""
    values = np.array([8.9, 9.1, 9.99, 10.01])
    assert at_most(values, 10.0, marginal=0.1)[0].tolist() == [OK, MARGINAL, MARGINAL, FAIL]
    assert at_most(values, 10.0)[0].tolist() == [OK, OK, OK, FAIL]
    assert at_most(values, 10.0, worst=DANGER)[0].tolist() == [OK, OK, OK, DANGER]
    values = np.array([9.99, 10.01, 10.9, 11.1])
    assert at_least(values, 10.0, marginal=0.1)[0].tolist() == [FAIL, MARGINAL, MARGINAL, OK]
    assert at_least(values, 10.0)[0].tolist() == [FAIL, OK, OK, OK]
    assert at_least(values, 10.0, worst=DANGER)[0].tolist() == [DANGER, OK, OK, OK]
    assert at_least(12.0, 10.0)[1] == pytest.approx(0.2)


@pytest.mark.parametrize(("highest", "status"), [(2.1, Status.OK), (2.4, Status.MARGINAL)])
def test_what_holds_by_the_sheet_alone_is_marginal_where_many_ways_fail(highest, status):
    """1.7 m of 2 m holds; known between 1.5 and 2.1 m it fails in 17 of 100 ways, between 1.5 and 2.4 m in 44."""
    one = found({"rotor.diameter": 1.7}, doubts={"rotor.diameter": (1.5, highest)})
    share = (highest - 2.0) / (highest - 1.5)
    assert one.probability == pytest.approx(share, abs=0.01)
    assert one.status == (Status.MARGINAL if share > DOUBTFUL else Status.OK) == status
    assert ("rotor.diameter" in one.remedy) == (status is Status.MARGINAL)
    assert bool(one.caution) == (status is Status.MARGINAL)


def test_what_follows_from_other_inputs_is_not_ranked_beside_them():
    """A value assumed as twice another has no doubt of its own: only that other is to be measured."""

    def twice(x):
        D = x.rotor.diameter
        level, margin = at_most(x.else_assume(Sheet.rotor.overhang, 2.0 * D, "twice as far"), 4.0)
        return Judgement(level, lambda: "", margin=margin)

    one = found(judge=twice, doubts={"rotor.diameter": (1.0, 3.0)})
    assert [i.path for i in one.ranking] == ["rotor.diameter"]
    assert one.probability == pytest.approx(0.5, abs=0.01)
