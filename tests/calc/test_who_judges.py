"""A finding that leaves something open says who judges it, where another does; and that nobody did, where none does."""

import pytest

from calc.finding import Status
from calc.machine.catalogue.house import OWN_CIRCUITS, TRANSFER_SWITCH
from calc.machine.catalogue.rotor import MECHANICAL_BRAKE, SHORTING_SWITCH
from calc.machine.catalogue.tail import UPWIND
from calc.machine.design import build_design
from calc.machine.system import System
from calc.rules import RULES
from calc.rules.engine import judge_rules
from tests.calc.sheets import GOOD
from tests.calc.test_rules_machine import PIPE

READ = {"measured.M1.quantity": "rotor.speed", "measured.M1.value": 30.0, "measured.M1.wind_low": 12.0}
SIDE = {"yaw.rotor_side": UPWIND}
OPENS = {"protection.generator_switch": "shorts the generator as it opens the circuit"}
#: What is on the sheet, whose finding, the words in it, and the rule that judges it; none where nobody does.
CASES = [
    (GOOD | {"rotor.brake": SHORTING_SWITCH}, "rotor.brake",
     "at full speed is judged under: whether the shorted generator stops the rotor.", "rotor.brake-holds"),
    (GOOD | {"rotor.brake": MECHANICAL_BRAKE}, "rotor.brake", "at full speed was not checked.", None),
    (GOOD | READ, "rotor.overspeed", "whether it works is told by what a speed read in a blow proves", "rotor.proven"),
    (GOOD, "rotor.overspeed", "whether it works, and at what speed, was not checked", None),
    (GOOD | {"rotor.brake": SHORTING_SWITCH} | OPENS, "protection.switches",
     "The rating of the one that shorts is judged under its own heading", "protection.brake-switch"),
    (GOOD | {"rotor.brake": MECHANICAL_BRAKE} | OPENS, "protection.switches", "Their ratings were not checked.", None),
    (PIPE | SIDE, "yaw.side", "when they bend is judged under: tips and mast.", "blade.tip-clearance"),
    ({"rotor.diameter": 2.0} | SIDE, "yaw.side", "when they bend is told once the sheet has their shape.", None),
    (GOOD | {"house.feed": OWN_CIRCUITS}, "house.feed",
     "protected against shock is judged under its own heading.", "house.shock"),
    (GOOD | {"house.feed": TRANSFER_SWITCH}, "house.feed",
     "neutral and earth are joined is judged under its own heading.", "house.shock"),
]  # fmt: skip


@pytest.mark.parametrize(("sheet", "rule", "words", "who"), CASES, ids=[f"{i}-{c[1]}" for i, c in enumerate(CASES)])
def test_it_says_who_judges_what_it_leaves_open(sheet, rule, words, who):
    """The rule that is named is there, with the title that is named."""
    found = {f.rule: f for f in judge_rules(RULES, System(build_design(sheet)))}
    assert words in found[rule].says
    assert found[rule].status is Status.STATED
    judges = {"rotor.brake-holds", "rotor.proven", "protection.brake-switch", "blade.tip-clearance", "house.shock"}
    if who is None:
        assert "judged under" not in found[rule].says
        return
    assert who in judges & found.keys()
    titled = words.rpartition("judged under: ")[2].rstrip(".") if "judged under: " in words else ""
    assert titled in found[who].title.lower()
