"""How evidence adds up: priors, words, looks, readings, verdicts, and what to look at next."""

import math
from collections import Counter

import numpy as np
import pytest

from calc.evidence import likelihood
from calc.mechanisms import ALL, MECHANISMS
from calc.mechanisms.base import CUTS, HARDLY, LOADED, OPEN, SHAKING, Circumstances, Verdict
from calc.mechanisms.look import BEFORE, CaseLook, LookPlace
from calc.mechanisms.looks import LOOKS
from calc.mechanisms.priors import WEIGHTS, by_circumstances, prior
from calc.mechanisms.sayings import MOST, counted, told_odds
from calc.mechanisms.stepping import OVER, READINGS, next_steps
from calc.mechanisms.verdicts import judged_causes
from calc.mechanisms.weighing import weigh_mechanisms
from calc.mechanisms.words import SYMPTOMS
from calc.quantities import QUANTITIES
from calc.tables import table_rows
from tests.calc.test_mechanisms import BATTERY, PIPE, RPM, bench, read, seen

MILLIOHM = 1e-3


def weighed(values, c, which=ALL):
    """Beliefs over mechanisms of one failed machine."""
    return weigh_mechanisms(bench(values, c), which)


def test_priors_name_what_there_is():
    """Every weight is of a known symptom and a known way of failing that explains it."""
    assert set(WEIGHTS) <= set(SYMPTOMS)
    for symptom, row in WEIGHTS.items():
        assert row.keys() <= MECHANISMS.keys()
        assert [name for name in row if symptom not in MECHANISMS[name].symptoms] == []


def test_every_way_of_failing_has_its_sayings():
    """As many of each, in five manners of speaking, none twice."""
    rows = table_rows("sayings")
    assert {row["mechanism"] for row in rows} == MECHANISMS.keys()
    assert set(Counter((row["mechanism"], row["hand"]) for row in rows).values()) == {8}
    assert len({row["saying"] for row in rows}) == len(rows)


@pytest.mark.parametrize("hand", "abcde")
def test_words_find_what_another_hand_tells(hand):
    """Sayings of four hands against those of the fifth: the right one of 69 among the first three in seven of ten."""
    rows = table_rows("sayings")
    known = counted(tuple((r["mechanism"], r["saying"]) for r in rows if r["hand"] != hand))
    told = [(r["mechanism"], told_odds(r["saying"], known)) for r in rows if r["hand"] == hand]
    places = [sum(o > odds.get(right, 0.0) for o in odds.values()) for right, odds in told]
    assert np.mean([p < 3 for p in places]) > 0.62
    assert max(o for _, odds in told for o in odds.values()) <= MOST


def test_words_are_weighed_as_a_library_weighs_them():
    """Multinomial naive Bayes of scikit-learn on sayings of an unseen hand: it is not oftener right."""
    from sklearn import naive_bayes as bayes
    from sklearn.feature_extraction import text

    rows = table_rows("sayings")
    seen, new = ([r for r in rows if (r["hand"] == "e") is is_new] for is_new in (False, True))
    made = text.CountVectorizer(binary=True).fit(r["saying"] for r in seen)
    model = bayes.MultinomialNB(alpha=0.3)
    model.fit(made.transform(r["saying"] for r in seen), [r["mechanism"] for r in seen])
    theirs = np.mean(model.predict(made.transform(r["saying"] for r in new)) == [r["mechanism"] for r in new])
    known = counted(tuple((r["mechanism"], r["saying"]) for r in seen))
    ours = np.mean([max(o := told_odds(r["saying"], known), key=lambda k: o[k]) == r["mechanism"] for r in new])
    assert ours > theirs - 0.02


def test_words_add_up_and_nothing_told_says_nothing():
    """More words that speak for it make it likelier."""
    assert told_odds("") == {}
    one, both = told_odds("it growls"), told_odds("it growls since the rewound stator went in")
    assert both["generator.phase-reversed"] > one["generator.phase-reversed"] > 1.0


@pytest.mark.parametrize("m", ALL, ids=[m.id for m in ALL])
def test_what_does_not_explain_what_was_seen_is_hardly_believed(m):
    """A prior of a fiftieth where no symptom fits; never nought."""
    other = next(s for s in SYMPTOMS if s not in m.symptoms)
    assert 0 < prior(m.id, (), (other,)) <= 0.02
    assert prior(m.id, m.symptoms[:1], m.symptoms[:1]) > 0.02


def test_the_circumstances_shift_what_they_must():
    """Nothing connected speaks for a rotor that ran away, light wind against a gust's current."""
    assert by_circumstances("rotor.overspeed", Circumstances(15.0, 18.0, OPEN[0])) > 1.0
    assert by_circumstances("fuse.gust-current", Circumstances(3.0, 4.0, BATTERY)) < 1.0
    assert by_circumstances("bearing.drag", Circumstances(3.0, 4.0, BATTERY)) == 1.0


def test_belief_adds_up():
    """Shares and what is kept for something else are one; pairs are counted with both of theirs."""
    b = weighed(PIPE | read("M1", "charge.current", 0.5, 0.1, wind=(7.5, 8.5)), seen(HARDLY, 7.5, 8.5))
    alone = sum(b.share.values()) - sum(s for _, s in b.pairs)
    assert 0.5 < alone <= 1.0
    assert all(0.0 <= s <= 1.0 for s in b.share.values())


def test_a_reading_that_a_fault_predicts_makes_it_believed():
    """Half the volts per speed of the sheet on the bench: the magnets or the winding, and no longer the wind."""
    of = seen(HARDLY, 7.0, 9.0)
    before = weighed(PIPE, of)
    after = weighed(PIPE | read("M1", "generator.emf", 0.5 / (11 * RPM), 0.02, load=OPEN[0]), of)
    flux = ("generator.weak-magnets", "generator.demagnetised")
    assert sum(after.share[m] for m in flux) > 3 * sum(before.share[m] for m in flux)
    assert after.share["site.wind-low"] < before.share["site.wind-low"]


def test_more_of_the_same_evidence_never_weakens_it():
    """A reading that speaks for something, taken once more, leaves it believed as much at least."""
    of, v = seen(HARDLY, 7.0, 9.0), 0.5 / (11 * RPM)
    once = weighed(PIPE | read("M1", "generator.emf", v, 0.02, load=OPEN[0]), of)
    twice = weighed(
        PIPE | read("M1", "generator.emf", v, 0.02, load=OPEN[0]) | read("M2", "generator.emf", v, 0.02, load=OPEN[0]),
        of,
    )
    leader = max(once.share, key=once.share.get)
    assert twice.share[leader] >= once.share[leader] - 0.01


def test_a_look_counts_by_its_stated_reliability():
    """The odds between two move by the ratio of the shares of those of which one would say yes."""
    look = LOOKS["green-terminals"]
    a, b = "charging.loose-connection", "site.wind-low"
    which = [MECHANISMS[a], MECHANISMS[b]]
    plain = weighed(PIPE, Circumstances(7.0, 8.0, BATTERY, (HARDLY,)), which)
    found = weighed(PIPE, Circumstances(7.0, 8.0, BATTERY, (HARDLY,), looks=(CaseLook(look.name, "yes", "O1"),)), which)
    moved = (found.share[a] / found.share[b]) / (plain.share[a] / plain.share[b])
    assert moved == pytest.approx(look.likelihood("yes", a) / look.likelihood("yes", b), rel=1e-6)
    told = weighed(
        PIPE, Circumstances(7.0, 8.0, BATTERY, (HARDLY,), looks=(CaseLook(look.name, "cannot tell", "O1"),)), which
    )
    assert told.share == pytest.approx(plain.share)


def test_with_nothing_found_out_nothing_is_contradicted():
    """Words and a sheet contradict nobody, however little they are believed."""
    for symptom in (HARDLY, SHAKING, CUTS, "battery flat"):
        rows, _ = judged_causes(bench(PIPE, seen(symptom, 6.0, 8.0)), ALL)
        assert [r.id for r in rows if r.verdict is Verdict.CONTRADICTED] == []


def test_what_harms_nothing_is_never_accused():
    """Two leads swapped at the rectifier are told of and blamed for nothing."""
    rows, _ = judged_causes(bench(PIPE, seen(HARDLY, 6.0, 8.0)), ALL)
    swapped = next(r for r in rows if r.id == "generator.leads-swapped")
    assert swapped.verdict is Verdict.CANNOT_TELL


def test_a_joint_of_many_ohms_takes_the_blame_from_the_copper():
    """A drop of several volts over copper that accounts for a tenth: the joint is believed and not the cable."""
    drop = read("M1", "cable.drop", 4.0, 0.03, wind=(7.5, 8.5)) | read(
        "M2", "charge.current", 6.0, 0.05, wind=(7.5, 8.5)
    )
    b = weighed(PIPE | drop, seen(HARDLY, 7.5, 8.5))
    assert b.share["charging.loose-connection"] > 5 * b.share["charging.cable-loss"]


def test_what_the_sheet_rules_out_is_not_weighed_and_what_it_leaves_open_is():
    """No coil on a machine of magnets; where the sheet is empty even a coil could be dead."""
    told = weighed(PIPE | {"generator.field": "permanent magnets"}, seen(HARDLY, 6.0, 8.0))
    assert "generator.field-dead" not in told.share
    assert 0 < weighed({}, seen(HARDLY, 6.0, 8.0)).share["generator.field-dead"] < 0.1


def test_the_next_step_is_what_tells_most_for_its_cost():
    """In falling order of bits for minutes and danger, none below what is worth anything, each with its meaning."""
    steps = next_steps(
        weighed(PIPE, seen(HARDLY, 6.0, 8.0)), bench(PIPE, seen(HARDLY, 6.0, 8.0)).system.inputs(), (HARDLY,)
    )
    assert steps
    assert all(s.bits > 0 and s.minutes > 0 and s.means and s.before for s in steps)
    assert all(s.name in LOOKS if s.kind == "look" else s.name in QUANTITIES for s in steps)


def test_nothing_is_asked_for_twice():
    """A look that was answered and a quantity that was read do not come again."""
    of = seen(HARDLY, 6.0, 8.0)
    first = next_steps(weighed(PIPE, of), bench(PIPE, of).system.inputs(), (HARDLY,))
    again = next_steps(
        weighed(PIPE, of), bench(PIPE, of).system.inputs(), (HARDLY,), [s.name for s in first if s.kind == "look"]
    )
    assert not {s.name for s in again} & {s.name for s in first if s.kind == "look"}


def test_no_rotor_is_unloaded_or_shorted_in_the_wind_to_read_something():
    """What runs with nothing on it is only asked for with the mast down or the rotor stopped and tied."""
    for quantity, load, _, place in READINGS:
        if load not in LOADED:
            assert place in (LookPlace.STOPPED, LookPlace.LOWERED, LookPlace.BATTERY), quantity
            assert not quantity.startswith(("rotor.", "generator.open", "generator.short")), quantity
    assert all("climb" not in BEFORE[p].casefold() or "nobody climbs" in BEFORE[p].casefold() for p in LookPlace)


@pytest.mark.parametrize("symptom", sorted(OVER))
def test_what_has_broken_is_not_run_again(symptom):
    """No reading of a machine at work is asked for after a blade or a mast has gone."""
    of = seen(symptom, 15.0, 18.0)
    steps = next_steps(weighed(PIPE, of), bench(PIPE, of).system.inputs(), (symptom,))
    running = {q for q, load, _, place in READINGS if load in LOADED and not q.startswith("battery.")}
    assert not {s.name for s in steps if s.kind == "reading"} & running


def test_a_mean_of_logarithms_and_shares():
    """The mean of e to several powers, however far below nought these lie."""
    assert likelihood.log_mean(np.array([-2000.0, -2000.0])) == pytest.approx(-2000.0)
    assert likelihood.log_mean(np.log(np.array([1.0, 3.0]))) == pytest.approx(math.log(2.0))
    assert likelihood.normalised(np.array([-1000.0, -1000.0 + math.log(3.0)])) == pytest.approx([0.25, 0.75])
