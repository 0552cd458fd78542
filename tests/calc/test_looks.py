"""What is seen, heard or tried without a number: the catalogue, and how an answer counts."""

import itertools
import re

import pytest

from calc import quantities
from calc.mechanisms import ALL, MECHANISMS, explaining
from calc.mechanisms.base import INSTRUMENT_FOR, Case, Circumstances
from calc.mechanisms.look import BEFORE, CaseLook, Look, LookPlace, cheapest
from calc.mechanisms.looks import LOOKS
from calc.quantities import LookAnswer
from tests.calc.test_mechanisms import LEAD, PIPE, bench
from tests.stories import names
from tests.stories.looks import LOOKS as ASKED

#: Ways of failing of which looks tell, and which the program does not know yet.
AWAITED = {
    "battery.cut-off-cold", "battery.cut-off-high", "battery.cut-off-low", "battery.strings-uneven",
    "battery.too-small", "battery.worn", "blade.back-to-front", "blade.ice", "blade.worn", "blade.wrong-angle",
    "brake.does-not-hold", "charging.slip-rings", "controller.set-wrongly", "furling.early", "furling.never",
    "furling.seized", "generator.belt-slips", "generator.demagnetised", "generator.earthed", "generator.field-dead",
    "generator.field-drains", "generator.leads-swapped", "generator.magnets-loose", "generator.phase-reversed",
    "inverter.cable", "load.phantom", "reading.meter-battery", "reading.not-true-rms", "reading.wrong-range",
    "rectifier.diode-open", "rectifier.diode-shorted", "site.wind-overestimated", "sound.too-much-expected",
    "vibration.resonance",
}  # fmt: skip
#: Quantities that can be logged and that no mechanism looks at yet.
UNUSED = {
    "battery.night_current", "battery.string_current", "battery.string_difference", "battery.temperature",
    "battery.tested_capacity", "blade.gauge_angle", "blade.tip_clearance", "brake.loop_resistance", "cable.end_to_end",
    "charge.energy", "controller.dump_current", "controller.set_voltage", "generator.ac_voltage",
    "generator.field_current", "generator.frame_resistance", "generator.short_current", "generator.shaft_speed",
    "generator.temperature",
    "generator.turning_torque", "load.daily_energy", "load.start_power", "mast.own_frequency", "tail.fold_angle",
    "tail.swing_force", "vibration.amplitude", "yaw.off_wind", "yaw.turning_force",
    "wiring.insulation",
}  # fmt: skip


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
    assert set(look.yes) - AWAITED <= MECHANISMS.keys()
    # What it names it tells something of.
    assert any(max(p / look.usual, (1 - p) / (1 - look.usual)) > 2 for p in look.yes.values())


def test_every_way_of_failing_has_a_look():
    """Also those to come; of which none is known already."""
    told = {name for look in LOOKS.values() for name in look.yes}
    assert MECHANISMS.keys() <= told
    assert not AWAITED & MECHANISMS.keys(), "take what is known now off the list"
    assert told >= AWAITED


def test_nobody_is_asked_to_do_what_is_forbidden():
    """No climbing, no rotor unloaded in the wind, nothing live: what is high is lowered, what turns is stopped."""
    for look in LOOKS.values():
        text = f"{look.question} {look.how}"
        assert not re.search(r"\b(climb|ladder|spin it up in|let it run free)\b", text, re.IGNORECASE), look.name
        if re.search(r"\b(by hand|parted|winding|bearing|bolt holes?)\b", text) and look.place is LookPlace.GROUND:
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
        a_look({"a": 0.97}, 0.01, name="high", place=LookPlace.LOWERED),
    )  # fmt: skip
    other = (a_look({"c": 0.9}, name="mute"), a_look({"a": 0.9}, name="gone", applies=lambda x: False))
    told = cheapest([high, slow, near, *other], belief, x=object())
    assert [k.name for k in told] == ["near", "slow", "high"]
    assert [k.name for k in cheapest([high, slow, near], belief, answered={"near"})] == ["slow", "high"]
    assert (near.cost, high.cost > 60) == (5.0, True)


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


@pytest.fixture(scope="module")
def looked_at():
    """Quantities that a mechanism names, or asks for on machines of either battery."""
    told = {t.quantity for m in ALL for t in m.tells} | {q for m in ALL for q in m.leaves}
    asks = Case.all_readings
    with pytest.MonkeyPatch.context() as patch:

        def watched(case, quantity, loads=()):
            told.add(quantity)
            return asks(case, quantity, loads)

        patch.setattr(Case, "all_readings", watched)
        for values, m in itertools.product((PIPE, LEAD), ALL):
            m.indicate(bench(values, Circumstances(8.0, 9.0, "battery", m.symptoms)).plain)
    return told


def test_every_quantity_counts_or_is_no_evidence(looked_at):
    """What can be logged speaks of some way of failing, is not offered as evidence, or is waited for by name."""
    all_, counts, silent = quantities.QUANTITIES.keys(), looked_at, quantities.NO_EVIDENCE
    assert UNUSED | silent | quantities.NAMED_ONLY <= all_
    assert not UNUSED & counts, "take what is used now off the list"
    assert not silent & counts
    assert all_ - counts - silent - UNUSED == set()
    assert all_ - silent <= INSTRUMENT_FOR.keys() | UNUSED
