"""What is seen, heard or tried without a number: the catalogue, and how an answer counts."""

import itertools
import re

import numpy as np
import pytest

from calc.mechanisms import ALL, MECHANISMS, explaining
from calc.mechanisms.base import LOADED, OPEN, CaseReading, Circumstances, Note
from calc.mechanisms.instruments import INSTRUMENT_FOR
from calc.mechanisms.look import BEFORE, CaseLook, Look, LookPlace, cheapest
from calc.mechanisms.looks import LOOKS
from calc.mechanisms.showing import SHOWS, predicted
from calc.mechanisms.shown import Slot
from calc.mechanisms.weighing import Bench
from calc.quantities import NAMED_ONLY, NO_EVIDENCE, QUANTITIES, LookAnswer
from tests.calc.test_mechanisms import LEAD, PIPE, bench
from tests.stories import names
from tests.stories.looks import LOOKS as ASKED

#: A machine whose field is made by current.
FIELD = LEAD | {"generator.field_current": 3.0, "generator.field_supply": "always on"}
FIRST = {"Is", "Are", "Does", "Do", "Did", "Was", "Were", "Had", "Has", "Can", "Seen", "Spun"}


def a_look(yes, usual=0.1, name="x", **more):
    """A look with shares of its own."""
    place, minutes = more.pop("place", LookPlace.GROUND), more.pop("minutes", 5.0)
    return Look(name, "Is it so?", "Look.", place, minutes, yes, usual, **more)


@pytest.mark.parametrize("look", LOOKS.values(), ids=LOOKS)
def test_a_look_is_whole(look):
    """A question to be answered by yes or no, how it is done, shares that no eye exceeds, known ways of failing."""
    assert re.fullmatch(r"[a-z]+(-[a-z]+)*", look.name)
    assert look.question.endswith("?")
    assert look.question.split()[0] in [
        "Is",
        "Are",
        "Does",
        "Do",
        "Did",
        "Was",
        "Were",
        "Had",
        "Has",
        "Can",
        "Seen",
        "Spun",
    ]
    assert look.how.endswith(".")
    assert 1 <= look.minutes <= 60
    assert all(0.01 <= p <= 0.97 for p in (*look.yes.values(), look.usual))
    assert set(look.yes) <= MECHANISMS.keys()
    # What it names it tells something of.
    assert any(max(p / look.usual, (1 - p) / (1 - look.usual)) > 2 for p in look.yes.values())


def test_every_way_of_failing_has_a_look():
    """And no look speaks of one that there is not."""
    assert {name for look in LOOKS.values() for name in look.yes} == MECHANISMS.keys()


def test_nobody_is_asked_to_do_what_is_forbidden():
    """No climbing, no rotor unloaded in the wind, nothing live: what is high is lowered, what turns is stopped."""
    for look in LOOKS.values():
        text = f"{look.question} {look.how}"
        assert not re.search(r"\b(climb|ladder|spin it up in|let it run free)\b", text, re.IGNORECASE), look.name
        if (
            re.search(r"\b(by hand|disconnected|winding|bearing|bolt holes?)\b", text)
            and look.place is LookPlace.GROUND
        ):
            assert look.name in {"broke-at-bolt", "two-supplies"}, look.name
    assert "Nobody climbs" in BEFORE[LookPlace.LOWERED]
    assert "runs away" in BEFORE[LookPlace.STOPPED]
    assert all("tie" in BEFORE[place] for place in (LookPlace.STOPPED, LookPlace.LOWERED))
    assert "licensed" in BEFORE[LookPlace.BATTERY]
    costs = [a_look({}, place=p).cost for p in LookPlace]
    assert costs == sorted(costs)


def test_the_stories_looks_are_asked_here_too():
    """Each of theirs by one of ours at least."""
    assert names.LOOKS.keys() == ASKED.keys()
    assert {name for asks in names.LOOKS.values() for name in asks} <= LOOKS.keys()
    assert LOOKS.keys() >= names.TURNED


def test_an_answer_is_as_likely_as_its_shares_say():
    """Yes and no add up; cannot tell says nothing; what is not named is as usual."""
    look = a_look({"a": 0.9}, 0.2)
    assert look.likelihood(LookAnswer.YES, "a") == 0.9
    assert look.likelihood(LookAnswer.NO, "a") == pytest.approx(0.1)
    assert look.likelihood(LookAnswer.YES, "b") == look.likelihood("yes", None) == 0.2
    assert {look.likelihood(LookAnswer.CANNOT_TELL, m) for m in ("a", "b", None)} == {1.0}


@pytest.mark.parametrize(
    ("yes", "usual", "belief", "bits"),
    [
        # A binary symmetric channel of crossover 0.1 and an even belief: 1 - H(0.1) = 0.531 bits (Shannon 1948; Cover
        # and Thomas, Elements of Information Theory, section 7.1.4).
        ({"a": 0.9}, 0.1, {"a": 1.0, "b": 1.0}, 0.5310),
        # A Z-channel with an even input and half of the ones lost: H(1/4) - 1/2 (the same, problem 7.8).
        ({"a": 0.5}, 1e-9, {"a": 1.0, "b": 1.0}, 0.8113 - 0.5),
        ({"a": 0.3, "b": 0.3}, 0.9, {"a": 1.0, "b": 7.0}, 0.0),
        ({"a": 0.9}, 0.1, {"a": 5.0}, 0.0),
        ({"a": 0.9}, 0.1, {}, 0.0),
    ],
)  # fmt: skip
def test_what_an_answer_tells_is_mutual_information(yes, usual, belief, bits):
    """Against channels of the textbook; weights need not add to one."""
    assert a_look(yes, usual).information(belief) == pytest.approx(bits, abs=1e-4)
    assert a_look(yes, usual).information({m: 3 * w for m, w in belief.items()}) == pytest.approx(bits, abs=1e-4)


def test_the_cheapest_that_tells_comes_first():
    """Bits in a minute, danger counted; what is answered, tells nothing, or is not on the machine is left out."""
    belief = {"a": 1.0, "b": 1.0}
    near, slow, high = (
        a_look({"a": 0.9}, name="near"), a_look({"a": 0.9}, name="slow", minutes=20),
        a_look({"a": 0.97}, 0.01, name="high", place=LookPlace.STOPPED),
    )  # fmt: skip
    other = (a_look({"c": 0.9}, name="mute"), a_look({"a": 0.9}, name="gone", applies=lambda x: False))
    told = cheapest([high, slow, near, *other], belief, x=object())
    assert [k.name for k in told] == ["near", "slow", "high"]
    assert [k.name for k in cheapest([high, slow, near], belief, answered={"near"})] == ["slow", "high"]
    assert (near.cost, high.cost) == (5.0, 15.0)


def test_what_a_symptom_leaves_open_can_be_told_apart():
    """For each symptom with several explanations there is a look that tells some of them apart."""
    for symptom in {s for m in ALL for s in m.symptoms}:
        open_ = explaining((symptom,))
        if len(open_) > 1:
            assert cheapest(list(LOOKS.values()), {m.id: 1.0 for m in open_}), symptom


def test_answers_reach_the_circumstances():
    """Where they are judged."""
    c = Circumstances(looks=(CaseLook("ice", "yes", "O1"),))
    assert c.looks[0].name in LOOKS
    assert Circumstances().looks == ()


def shows_otherwise(quantity, worlds, altered):
    """Whether a reading is predicted otherwise of an altered machine than of the sound one."""
    for load, where in itertools.product((*LOADED, *OPEN, "short circuit"), ("", "through rings and brushes")):
        slot = Slot(CaseReading("M1", 1.0, 1.0, 1.0, load, None, None), quantity, Note("M1", where=where), 20.0)
        for sound, wrong in itertools.product(worlds, altered):
            a, b = predicted(sound, slot), predicted(wrong, slot)
            if a is not None and b is not None and not np.allclose(a.value, b.value, equal_nan=True):
                return True
            if quantity in wrong.meters:
                return True
    return False


def test_every_quantity_counts_or_is_no_evidence():
    """What can be logged is predicted otherwise by some way of failing, or it is not offered as evidence."""
    quantities_, silent = QUANTITIES.keys(), NO_EVIDENCE
    assert silent | NAMED_ONLY <= quantities_
    told = {t.quantity for m in ALL for t in m.tells}
    counts = set()
    for values in (PIPE, LEAD, FIELD):
        of = Bench(bench(values, Circumstances(8.0, 9.0, "battery", ("noise or shaking",), 100.0)))
        altered = [of.altered((a,))[0] for m in ALL if m.applies(of.many.x) for a in m.alters]
        counts |= {q.split("/")[0] for q in SHOWS if shows_otherwise(q, of.worlds, altered)}
    assert not silent & counts
    assert quantities_ - silent - counts == set()
    assert told <= counts
    assert counts <= INSTRUMENT_FOR.keys()
