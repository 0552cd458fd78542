"""What a rule says where something stands in its way that is not simply one of its needs."""

from __future__ import annotations

import pytest

from calc.finding import Status
from calc.machine.design import build_design
from tests.calc.sheets import GOOD, findings, with_remedies
from tests.calc.test_rules_machine import PIPE

LONE = {"rotor.blades": None, "generator.rated_current": None, "claim.seller.power": None}
PUMP = {"load.pump.power": 250.0, "load.pump.hours": 0.01, "load.pump.surge": 750.0}
NO_RUN = {name: None for name in GOOD if name.startswith("cable.inv.")}
#: Thicker than any table of permitted current has.
THICK = 500e-6
RUN, CURRENT = ("cable.inverter.carries", "cable.inverter.area"), ("cable.main.current", "generator.rated_current")
RATED, OHMS = ("generator.rated_current",), ("storage.internal_resistance",)
TABLE, NONE = "The table of permitted current ends at 120 mm2", "Cannot be judged"
#: Rule, subject, changes of the good machine; what is asked for by name, and how it begins.
IN_THE_WAY = [
    ("inverter.current", "inverter", NO_RUN, RUN, "No cable on the sheet carries battery to inverter."),
    ("inverter.fuse", "inverter", NO_RUN, RUN, "No cable on the sheet carries battery to inverter."),
    ("inverter.sag", "inverter", {**PUMP, **NO_RUN}, (RUN[0], "cable.inverter.length", RUN[1]), "No cable"),
    ("inverter.current", "inverter", {"cable.inv.area": None}, ("cable.inv.area",), NONE),
    ("inverter.fuse", "inverter", {"cable.inv.area": None}, ("cable.inv.area",), NONE),
    ("inverter.current", "inverter", {"inverter.power": None}, ("inverter.power",), NONE),
    ("inverter.current", "inverter", {"cable.inv.area": THICK}, (), TABLE),
    ("inverter.fuse", "inverter", {"cable.inv.area": THICK}, (), TABLE),
    ("inverter.sag", "inverter", {**PUMP, "cable.inv.length": None}, ("cable.inv.length",), NONE),
    ("inverter.sag", "inverter", {**PUMP, "storage.capacity": None}, OHMS, NONE),
    ("inverter.sag", "inverter", {**PUMP, "load.pump.power": None}, ("load.pump.power",), NONE),
    ("inverter.surge", "inverter", {**PUMP, "load.pump.power": None}, ("load.pump.power",), NONE),
    ("inverter.surge", "inverter", {**PUMP, "inverter.surge_power": None}, ("inverter.surge_power",), NONE),
    ("protection.fuse", "cable.main", {"storage.capacity": None}, OHMS, NONE),
    ("protection.polarity", "protection", {"storage.capacity": None}, OHMS, NONE),
    ("protection.rectifier", "generator", LONE, RATED, NONE),
    ("protection.brake-switch", "protection", LONE, RATED, NONE),
    ("wiring.ampacity", "cable.main", {"cable.main.area": THICK}, (), TABLE),
    ("wiring.fuse", "cable.main", {"cable.main.area": THICK}, (), TABLE),
    ("wiring.ampacity", "cable.main", LONE, CURRENT, NONE),
    ("wiring.fuse", "cable.main", LONE, CURRENT, NONE),
    ("wiring.voltage-drop", "cable.main", LONE, CURRENT, NONE),
    ("storage.dump", "storage", LONE, RATED, NONE),
    ("storage.charge-current", "storage", LONE, RATED, NONE),
    ("storage.autonomy", "storage", {"storage.temperature": 243.15}, (), "How much a battery gives is known from -18"),
    ("dump.element", "dump", LONE, RATED, NONE),
    ("dump.element", "dump", {"dump.resistance": None, "dump.power": None}, ("dump.resistance", "dump.power"), NONE),
    ("dump.controller", "dump", {"dump.resistance": None, "dump.power": None}, ("dump.resistance",), NONE),
    ("dump.circuit", "cable.dump", {"cable.dump.area": THICK}, (), TABLE),
    ("loads.need", "load", {"load.lamp.hours": None}, ("load.lamp.hours",), NONE),
    ("site.power", "site", {"mast.height": 0.2, "site.wind_height": 0.2}, (), "Over this kind of ground"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("rule", "subject", "changes", "missing", "says"), IN_THE_WAY,
    ids=[f"{i}-{row[0]}" for i, row in enumerate(IN_THE_WAY)],
)  # fmt: skip
def test_what_stands_in_the_way_is_told(rule, subject, changes, missing, says):
    """Unknown, with what to fill in where that helps."""
    found = findings(changes, rule)[rule, subject]
    assert (found.status, found.missing) == (Status.UNKNOWN, missing)
    assert found.says.startswith(says)
    assert (found.value, found.limit, found.margin, found.caution) == (None, None, None, "")
    assert found.remedy == (f"Fill in {', '.join(missing)}." if missing else "")


def test_a_place_is_judged_before_there_is_a_rotor():
    """By its wind alone; what a rotor could take of it is left out."""
    bare = findings({"rotor.diameter": None}, "site.power")["site.power", "site"]
    whole = findings({}, "site.power")["site.power", "site"]
    assert bare.status is whole.status is Status.OK
    assert "through the rotor" in whole.more
    assert "through the rotor" not in bare.more
    assert bare.more.endswith("what the cube of the mean speed suggests.")


@pytest.mark.parametrize(
    ("changes", "asked"),
    [
        ({"cable.main.fuse_distance": None}, ("cable.main.fuse_distance",)),
        ({"cable.main.fuse_voltage": None}, ("cable.main.fuse_voltage",)),
        ({"cable.main.fuse_breaking": None}, ("cable.main.fuse_breaking",)),
        (
            {"cable.main.fuse_distance": None, "cable.main.fuse_voltage": None, "cable.main.fuse_breaking": None},
            ("cable.main.fuse_distance", "cable.main.fuse_voltage", "cable.main.fuse_breaking"),
        ),
    ],
)
def test_all_that_is_not_known_of_a_fuse_is_asked_for(changes, asked):
    """Unless what is known is wrong already."""
    found = findings(changes, "protection.fuse")["protection.fuse", "cable.main"]
    assert (found.status, found.missing) == (Status.UNKNOWN, asked)
    for wrong in ({"cable.main.fuse_distance": 9.0}, {"cable.main.fuse_voltage": 13.0}):
        if not set(wrong) & set(asked):
            told = findings({**changes, **wrong}, "protection.fuse")["protection.fuse", "cable.main"]
            assert told.status is (Status.DANGER if "cable.main.fuse_distance" in wrong else Status.FAIL)


LOW = {"mast.height": 0.2, "site.wind_height": 0.2}
NO_STAR = {"generator.phases": "single-phase", "generator.emf_form": "lead to star point, RMS"}
#: The same on a machine with blades cut from pipe.
OF_PIPE = [
    *((rule, LOW, (), "Over this kind of ground the wind below 0.3 m follows no known rule.")
      for rule in ("generator.match", "rotor.starting", "energy.year", "generator.charging-begins")),
    ("rotor.starting", {"generator.winding_resistance": None}, ("generator.winding_resistance",), NONE),
    ("blade.root-strength", {"rotor.power_coefficient": 0.3}, (), "The load on the roots is computed from the shape"),
    ("blade.root-strength", {"blade.pipe_wall": 0.2}, (), "The rotor cannot be computed: the wall must fit the pipe."),
    ("generator.touch-voltage", NO_STAR, (), "A single-phase winding has no star point"),
    ("protection.surge", NO_STAR, (), "The voltage of the generator in a storm cannot be told"),
    ("protection.surge", {"generator.emf_constant": None}, ("generator.emf_constant",), NONE),
    ("rotor.brake-holds", NO_STAR, (), "A single-phase winding has no star point"),
]  # fmt: skip


def _of_pipe(rule, changes):
    """What a rule says of that machine, some of it changed."""
    values = {name: value for name, value in {**PIPE, **changes}.items() if value is not None}
    (found,) = with_remedies(build_design(values), rule)
    return found


@pytest.mark.parametrize(
    ("rule", "changes", "missing", "says"), OF_PIPE, ids=[f"{i}-{row[0]}" for i, row in enumerate(OF_PIPE)]
)
def test_what_stands_in_the_way_of_a_solved_machine_is_told(rule, changes, missing, says):
    """The same."""
    found = _of_pipe(rule, changes)
    assert (found.status, found.missing) == (Status.UNKNOWN, missing)
    assert found.says.startswith(says)


@pytest.mark.parametrize(
    ("rule", "changes", "remedy"),
    [
        ("loads.need", {"load.lamp.power": 500.0}, "Put the rotor right first: blades of this shape"),
        (
            "claim.betz",
            {"claim.seller.power": 5000.0},
            "Expect nothing: blades of this shape, set at this angle",
        ),
        ("rotor.starting", {}, "Turn the blades until there are 20 deg between root chord and rotor plane"),
    ],
)
def test_blades_that_give_no_power_are_named_as_what_to_mend(rule, changes, remedy):
    """Set flat to the plane of the rotor nothing drives them."""
    found = _of_pipe(rule, {"blade.mounting_angle": 0.0, **changes})
    assert found.status is Status.FAIL
    assert found.remedy.startswith(remedy)


def test_where_no_cable_is_thick_enough_none_is_named():
    """2 km at 24 V; sizes end at 120 mm2 (IEC 60364-5-52). What would do instead is told, or that nothing would."""
    values = PIPE | {"cable.main.length": 2000.0}
    told = with_remedies(build_design(values), "wiring.voltage-drop")
    found = next(f for f in told if f.subject == "cable.main")
    assert found.status is Status.FAIL
    assert not [c for r in found.remedies for c in r.changes if c.path == "cable.main.area"]
