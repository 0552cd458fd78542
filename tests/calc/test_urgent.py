"""What must be done before anybody asks why."""

import pytest

from calc.mechanisms import ALL
from calc.mechanisms.base import Circumstances
from calc.mechanisms.look import LookPlace
from calc.mechanisms.looks import AT_WORK, LOOKS
from calc.mechanisms.stepping import next_steps
from calc.mechanisms.urgent import first_of_all, places_left
from calc.mechanisms.weighing import weigh_mechanisms
from tests.calc.test_mechanisms import BATTERY, PIPE, bench, read, seen


@pytest.mark.parametrize(
    ("told", "word"),
    [("it caught fire in the shed", "fire service"), ("the battery exploded", "fire service"),
     ("sparks at the fuse", "smokes or glows"), ("the fence was live", "electrician"),
     ("it won't stop", "out of the circle"), ("the brake does not hold", "out of the circle"),
     ("my hand got cut by a blade", "emergency number"), ("the battery is swollen and hot", "Keep away"),
     ("rotten egg smell from battery", "Keep away"), ("a slack guy", "may fall"), ("the anchor pulled out", "may fall"),
     ("blade cracked at the root, still turning", "out of the circle"), ("dump load is red hot", "smokes or glows")],
)  # fmt: skip
def test_danger_is_answered_first(told, word):
    """Before any cause, in words that somebody in a hurry can follow."""
    assert word in first_of_all(told)[0]


@pytest.mark.parametrize(
    "told",
    ["turned but hardly charged", "it did not run away", "no smoke, no smell",
     "the inverter cut out when the pump started",
     "battery fuse found blown", "it gives less than it used to", "it stops when braked"],
)  # fmt: skip
def test_nobody_is_frightened_for_nothing(told):
    """What tells of no danger, or denies it."""
    assert first_of_all(told) == ()


@pytest.mark.parametrize(
    ("told", "left"),
    [
        ("the battery is swollen and hot", set()),
        ("smoke came out of the battery box", set()),
        ("the guy wire went slack and the mast leans", set()),
        ("got a shock when I touched the mast", set()),
        ("a blade has a crack", {LookPlace.LOWERED}),
        ("it ran away", {LookPlace.STOPPED, LookPlace.LOWERED}),
        ("it glowed red hot", {LookPlace.STOPPED, LookPlace.LOWERED}),
    ],
)
def test_nobody_is_sent_near_a_danger(told, left):
    """Nothing is to be watched at work, and where a place is not left only what somebody remembers is asked."""
    of = seen("something gets hot", 6.0, 8.0)
    places = places_left(told)
    assert places == left | {LookPlace.INDOORS}
    failed = bench(PIPE, of)
    steps = next_steps(weigh_mechanisms(failed, ALL), failed.system.inputs(), of.symptoms, places=places)
    looks = [LOOKS[s.name] for s in steps if s.kind == "look"]
    assert not {k.name for k in looks} & AT_WORK
    assert all(k.asked or (left and k.place in places) for k in looks)
    if not left:
        assert [s for s in steps if s.kind == "reading"] == []


def test_beside_a_battery_that_smokes_nobody_is_told_to_part_it():
    """What says so goes alone."""
    (first,) = first_of_all("smoke and sparks came out of the battery box")
    assert "let nothing charge it" in first


def test_a_meter_past_its_range_tells_of_more_than_that():
    """2 kohm and more to the frame speaks for no leak as 2 kohm would; a meter that ends at 2 Mohm denies one."""
    of = Circumstances(6.0, 8.0, BATTERY, ("gives less than it used to",))

    def share(value, high):
        v = read("M1", "generator.frame_resistance", value, 0.01, load="nothing connected")
        return weigh_mechanisms(bench(PIPE | v | {"measured.M1.high": high}, of), ALL).share["generator.earthed"]

    assert share(2e3, 2.02e3) > 3 * share(2e3, 1e13)
    assert share(2e6, 1e13) < share(2e3, 1e13)
