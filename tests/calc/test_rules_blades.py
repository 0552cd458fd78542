"""The rules of blades and hub say each of their statuses, and what a builder reads then."""

from __future__ import annotations

import numpy as np
import pytest

from calc.finding import Status
from calc.machine.blade_beam import BladeBeam, blade_beam
from calc.machine.catalogue.hub import HUB_KINDS, TWO_PLATES, WASHERS
from calc.machine.catalogue.rotor import COATS, COLOURS, KNOTS
from calc.machine.catalogue.tail import DOWNWIND
from calc.machine.design import build_design
from calc.machine.entry import Value
from calc.machine.inputs import Inputs
from calc.machine.system import System
from calc.physics.blade.materials import MATERIALS
from calc.rules import RULES
from calc.rules.engine import judge_rules, judge_variants
from tests.calc.sheets import with_remedies
from tests.calc.test_remedies_of_rules_machine import _holds as remedies_hold
from tests.calc.test_remedies_of_rules_machine import _short as said_shortly
from tests.calc.test_rules_machine import PIPE
from tests.outside.plank import PLANK
from tests.outside.turning_blades import BLADE_ROWS
from tests.outside.turning_points import Row

OK, MARGINAL, FAIL, DANGER = Status.OK, Status.MARGINAL, Status.FAIL, Status.DANGER
UNKNOWN, STATED = Status.UNKNOWN, Status.STATED

HUB: dict[str, Value] = {
    "hub.bolts": 3.0, "hub.bolt_diameter": 0.008, "hub.bolt_class": "8.8", "hub.bolt_spacing": 0.035,
    "hub.end_distance": 0.025, "hub.side_distance": 0.04, "hub.held": TWO_PLATES,
}  # fmt: skip
PLATE: dict[str, Value] = {"hub.plate_thickness": 0.008, "hub.plate_width": 0.09}
YAW: dict[str, Value] = {"yaw.bearing_distance": 0.2, "yaw.bearing_rating": 2000.0}
SET: dict[str, Value] = {
    f"weighed.{n}.{what}": value
    for n, mass in (("a", 1.05), ("b", 1.06), ("c", 1.05))
    for what, value in (("mass", mass), ("balance_point", 0.55))
}
FREE: dict[str, Value | None] = {"rotor.overspeed": "none", "site.gust": 42.0}
ALL = PIPE | HUB | PLATE | SET | YAW | {"hub.shaft_diameter": 0.02}
CASES: list[tuple[str, dict[str, Value | None], Status, list[str]]] = [
    ("loads.limits", {}, OK, ["3.8 m2", "200 m2", "gust of a year 22.5 m/s"]),
    ("loads.limits", {"site.wind_class": "IV", "site.mean_wind": 6.0}, FAIL, ["class IV is for 6 m/s", "class III"]),
    ("loads.limits", {"site.wind_class": "III"}, OK, ["the class covers it"]),
    ("loads.limits", {"site.wind_class": "III", "site.mean_wind": None, "site.storm_wind": None}, STATED,
     ["nothing was compared"]),
    ("loads.limits", {"rotor.blades": 1.0}, UNKNOWN, ["two or more blades"]),
    ("loads.limits", {"hub.kind": HUB_KINDS[1]}, UNKNOWN, ["rigid hubs"]),
    ("loads.limits", {"rotor.axis": "vertical axis"}, UNKNOWN, ["vertical-axis"]),
    ("loads.limits", {**FREE, "generator.emf_constant": 5.0}, UNKNOWN, ["1000 V AC"]),
    ("blade.stress", {"blade.strength": 9e8}, OK, ["keeps the reserve", "3.3 times"]),
    ("blade.stress", {}, MARGINAL, ["without the reserve of IEC 61400-2, 9 times", "as it bends", "from the shaft"]),
    ("blade.stress", {"rotor.greatest_speed": 400.0}, FAIL, ["The blade breaks", "new PVC-U withstands 51 MPa"]),
    ("blade.stress", {**FREE, "rotor.diameter": 1.3}, DANGER, ["load case E"]),
    ("blade.stress", {"hub.kind": HUB_KINDS[1]}, UNKNOWN, ["rigid hubs"]),
    ("blade.tip-clearance", {"rotor.overhang": 0.8}, OK, ["towards the mast"]),
    ("blade.tip-clearance", {"rotor.overhang": 0.25}, MARGINAL, ["towards the mast"]),
    ("blade.tip-clearance", {"rotor.overhang": 0.05}, DANGER, ["they strike it", "Set the rotor further out"]),
    ("blade.tip-clearance", {"rotor.overhang": 0.15, "rotor.greatest_speed": 12.0, "rotor.design_speed": 10.0}, FAIL,
     ["Stopped in the strongest gust", "away: they strike it. Turning, they bend"]),
    ("blade.tip-clearance", {**FREE, "rotor.overhang": 0.05}, DANGER, ["they strike it"]),
    ("blade.tip-clearance", {"yaw.rotor_side": DOWNWIND, "rotor.overhang": 0.8}, OK, ["As the head yaws", "behind"]),
    ("blade.tip-clearance", {"hub.kind": HUB_KINDS[1]}, UNKNOWN, ["rigid hubs"]),
    ("blade.resonance", {}, OK, ["no multiple of the rotor's speed", "meets it 2 times at"]),
    ("blade.resonance", {"rotor.design_speed": 26.0}, MARGINAL, ["2 times the rotor's speed", "Watch and listen"]),
    ("blade.resonance", {"hub.kind": HUB_KINDS[1]}, UNKNOWN, ["rigid hubs"]),
    ("blade.fatigue", {"blade.strength": 9e8, "blade.fatigue_slope": 10.0}, OK, ["it lasts"]),
    ("blade.fatigue", {}, MARGINAL, ["cannot be settled", "factor of tens"]),
    ("blade.fatigue", {"rotor.design_torque": 150.0}, FAIL, ["cracks before", "once a year"]),
    ("blade.fatigue", {"hub.kind": HUB_KINDS[1]}, UNKNOWN, ["rigid hubs"]),
    ("blade.condition", {"blade.strength": 3e8}, OK, ["are left of its strength"]),
    ("blade.condition", {}, MARGINAL, ["37 degC", "52 degC"]),
    ("blade.condition", {"blade.age": 3.0, "blade.coat": COATS[1], "blade.strength": 3e8}, MARGINAL, ["brittle"]),
    ("blade.condition", {"site.hottest_air": 308.15, "blade.colour": COLOURS[2]}, FAIL, ["above 60 degC", "Paint"]),
    ("blade.condition", {"hub.kind": HUB_KINDS[1]}, UNKNOWN, ["rigid hubs"]),
    ("hub.bolts", {"blade.strength": 9e8}, OK, ["the reserve of IEC 61400-2 is kept"]),
    ("hub.bolts", {}, MARGINAL, ["the reserve of IEC 61400-2 is not kept", "PVC-U under the bolts"]),
    ("hub.bolts", {"hub.end_distance": 0.015, "blade.strength": 9e8}, MARGINAL,
     ["from the end, less than is usual", "Drill", "from the end of the"]),
    ("hub.bolts", {"hub.held": WASHERS, "blade.strength": 9e8}, MARGINAL,
     ["Washers alone", "clamped between two plates"]),
    ("hub.bolts", {"hub.bolts": 1.0, "hub.bolt_diameter": 0.004, "rotor.greatest_speed": 150.0}, FAIL,
     ["they do not hold"]),
    ("hub.bolts", {**FREE, "hub.bolts": 1.0}, DANGER, ["they do not hold"]),
    ("hub.bolts", {"hub.bolts": None, "hub.bolt_diameter": None}, UNKNOWN, ["hub.bolts", "hub.bolt_diameter"]),
    ("hub.plate", {"hub.plate_thickness": 0.02}, OK, ["with the reserve"]),
    ("hub.plate", {"hub.plate_thickness": 0.006}, MARGINAL, ["without the reserve", "Make the hub plate"]),
    ("hub.plate", {"hub.plate_thickness": 0.003}, FAIL, ["it bends"]),
    ("hub.plate", {"hub.plate_width": None}, UNKNOWN, ["hub.plate_width"]),
    ("yaw.bearing", {"yaw.bearing_rating": 2e4}, OK, ["along it"]),
    ("yaw.bearing", {}, MARGINAL, ["Load case H parked"]),
    ("yaw.bearing", {"yaw.bearing_rating": 600.0}, FAIL, ["runs rough", "rated for"]),
    ("yaw.bearing", {"yaw.bearing_rating": None}, UNKNOWN, ["yaw.bearing_rating"]),
    ("hub.shaft", {"hub.shaft_diameter": 0.05}, OK, ["with the reserve", "9 times"]),
    ("hub.shaft", {}, MARGINAL, ["without the reserve", "Use a shaft of"]),
    ("hub.shaft", {"hub.shaft_diameter": 0.01}, FAIL, ["it bends"]),
    ("hub.shaft", {**FREE, "hub.shaft_diameter": 0.006}, DANGER, ["it bends"]),
    ("hub.shaft", {"hub.kind": HUB_KINDS[1]}, UNKNOWN, ["rigid hubs"]),
    ("hub.shaft-fatigue", {"hub.shaft_diameter": 0.06}, OK, ["even at its notch", "over 1000 years"]),
    ("hub.shaft-fatigue", {}, MARGINAL, ["cannot be settled", "factor of tens", "Use a shaft of"]),
    ("hub.shaft-fatigue", {"hub.shaft_diameter": 0.008}, FAIL, ["it cracks before", "with a glass"]),
    ("hub.shaft-fatigue", {"hub.kind": HUB_KINDS[1]}, UNKNOWN, ["rigid hubs"]),
    ("hub.balance", {"weighed.b.mass": 1.0501}, OK, ["balanced"]),
    ("hub.balance", {}, MARGINAL, ["order", "Add 24 g", "227 mm", "never strapped"]),
    ("hub.balance", {"weighed.b.mass": 1.3}, FAIL, ["loads are reckoned with"]),
    ("hub.balance", {"weighed.b.mass": None}, UNKNOWN, ["weighed.b.mass"]),
    ("hub.balance", {"rotor.blades": 4.0}, UNKNOWN, ["fewer blades than the rotor has"]),
]  # fmt: skip

IDS = [f"{i}-{case[0]}" for i, case in enumerate(CASES)]


def _sheet(changes):
    return build_design({k: v for k, v in {**ALL, **changes}.items() if v is not None})


@pytest.mark.parametrize(
    ("rule", "changes", "status", "phrases"), CASES, ids=[f"{i}-{c[0]}" for i, c in enumerate(CASES)]
)
def test_rule_says(rule, changes, status, phrases):
    """Each status, with the numbers that matter."""
    (found,) = with_remedies(_sheet(changes), rule)
    assert found.status is status, (found.says, found.value, found.limit)
    for phrase in phrases:
        assert phrase in f"{found.says} {found.more} {found.remedy} {' '.join(found.missing)}"


def test_every_status_is_said():
    """Those that a rule can have: what holds a blade is a danger with nothing that holds the rotor back."""
    said = {}
    for rule, _, status, _ in CASES:
        said.setdefault(rule, set()).add(status)
    mine = {rule.id for rule in RULES if rule.id.startswith(("hub.", "blade."))} - {"blade.root-strength"}
    assert mine <= said.keys()
    assert all(UNKNOWN in statuses and OK in statuses for statuses in said.values())
    dangerous = {"blade.stress", "blade.tip-clearance", "hub.bolts", "hub.shaft"}
    assert {rule for rule, statuses in said.items() if DANGER in statuses} == dangerous


@pytest.mark.parametrize("rule", sorted({case[0] for case in CASES}))
def test_variants_give_what_single_calls_give(rule):
    """Three diameters at once and one by one."""
    book, diameters = [r for r in RULES if r.id == rule], [2.0, 2.2, 2.4]
    (many,) = judge_variants(book, _sheet({"rotor.diameter": np.array(diameters)}), 3)
    for i, D in enumerate(diameters):
        (one,) = judge_rules(book, System(_sheet({"rotor.diameter": D})))
        assert many.statuses[i] is one.status
        assert many.values[i] == pytest.approx(one.value, rel=1e-6)


def test_a_beginner_is_asked_of_the_hub_once():
    """Five inputs at most, by one rule; the others wait until the hub was begun. Without blades, none."""
    found = judge_rules(RULES, System(build_design(PIPE)))
    asks = [f for f in found if f.rule.startswith("hub.")]
    assert [f.rule for f in asks] == ["hub.bolts"]
    assert 1 <= len(asks[0].missing) <= 5
    bare = judge_rules(RULES, System(build_design({"rotor.diameter": 2.0, "site.mean_wind": 5.0})))
    assert not [f.rule for f in bare if f.rule.startswith(("hub.", "blade.")) if f.rule != "blade.root-strength"]


def test_doubt_goes_into_the_verdict():
    """Assumed strengths and frequencies are sampled; a finding says how sure it is."""
    found = {f.rule: f for f in judge_rules(RULES, System(_sheet({"rotor.overhang": 0.2}), {}))}
    assert found["blade.tip-clearance"].probability is not None
    assert found["blade.fatigue"].ranking
    assert all(found[rule].probability is not None for rule in ("blade.stress", "hub.bolts", "hub.plate"))


@pytest.mark.parametrize("knots", KNOTS)
def test_wood_is_judged_by_its_knots(knots):
    """Knots in the inner half are wrong whatever is computed; clear wood is told what grain and moisture leave."""
    (found,) = with_remedies(build_design({**PLANK, "blade.knots": knots}), "blade.condition")
    assert (found.status is FAIL) == (knots == KNOTS[2])
    assert ("without knots" in found.remedy or "knots: none" in found.remedy) == (knots == KNOTS[2])


def said_of(values, rule):
    """What one rule says of a sheet, with what lies behind it."""
    (found,) = judge_rules([r for r in RULES if r.id == rule], System(build_design(values)))
    return found


def test_wood_weak_by_grain_and_water_too_is_carved_anew():
    """Clear wood of the same poor grain and as wet would not do, so all of it is put right at once."""
    poor = {"blade.knots": KNOTS[2], "blade.grain": 0.19, "blade.moisture": 0.28}
    (found,) = with_remedies(build_design({**PLANK, **poor}), "blade.condition")
    assert found.status is FAIL
    assert any(r.changes for r in found.remedies)


def test_a_blade_cracks_for_certain_only_where_the_strongest_piece_does():
    """Wood may be three times as strong as is reckoned with: what a better piece bears cannot be settled."""
    weak = {k: v for k, v in PLANK.items() if k != "blade.strength"} | {"rotor.design_torque": 10.0}
    found = said_of(weak, "blade.fatigue")
    assert found.status is MARGINAL
    assert "cannot be settled" in found.says
    assert "at the bolt holes of its root" in found.more
    assert "without its holes" not in found.more


def test_what_the_blade_sees_with_the_load_lost_stands_beside_the_standard_s_cases():
    """The most that it sees is not left to the small print."""
    found = said_of({**PLANK, "rotor.greatest_speed": 160.0}, "blade.stress")
    assert "With the load lost while it yaws it would see" in found.says


def test_knots_that_nobody_looked_at_are_asked_for():
    """The only thing of a wooden blade that has no sensible assumption."""
    (found,) = with_remedies(build_design({k: v for k, v in PLANK.items() if k != "blade.knots"}), "blade.condition")
    assert (found.status, found.missing) == (UNKNOWN, ("blade.knots",))


@pytest.mark.parametrize("material", sorted(MATERIALS))
def test_blades_of_each_material_are_computed_as_beams(material):
    """Pipe of plastic or metal, wood and glass-fibre."""
    base = PIPE if material in ("PVC-U pipe", "aluminium") else PLANK
    values = {**base, "blade.material": material, "blade.laminate": 0.004} | HUB
    values = {k: v for k, v in values.items() if k not in ("blade.strength", "blade.stiffness", "blade.density")}
    of = blade_beam(Inputs(build_design(values)))
    assert isinstance(of, BladeBeam)
    assert 0.5 < float(of.frequency(0.0)) < 100.0
    assert all(np.all(seen.soft >= 0) for seen in of.seen)
    assert judge_rules([r for r in RULES if r.id == "hub.bolts"], System(build_design(values)))[0].status is not UNKNOWN


@pytest.mark.parametrize(("rule", "changes", "status", "phrases"), CASES, ids=IDS)
def test_remedies_hold_and_what_is_said_is_short(rule, changes, status, phrases):
    """A remedy turns its own finding and brings no danger; first sentence at most 35 words, all at most 60."""
    design = _sheet(changes)
    (found,) = with_remedies(design, rule)
    remedies_hold(design, found)
    said_shortly(found)
    assert all(len(remedy.says.split()) <= 25 for remedy in found.remedies)
    if status in (MARGINAL, FAIL, DANGER):
        assert found.remedy


SIDES = [
    (row, side)
    for row in (Row(**row) for row in BLADE_ROWS)
    for turns in (row.turns() if callable(row.turns) else row.turns,)
    for side in (turns if isinstance(turns, dict) else [t[0] * (1 + way * 0.02) for t in turns for way in (-1, 1)])
]


@pytest.mark.parametrize(("row", "side"), SIDES, ids=[f"{row.rule}-{i}" for i, (row, _) in enumerate(SIDES)])
def test_what_is_said_at_a_turn_is_short(row, side):
    """On both sides of every turning point too."""
    design = build_design({**row.base, **row.changes, row.path: side})
    for found in judge_rules([one for one in RULES if one.id == row.rule], System(design)):
        said_shortly(found)
