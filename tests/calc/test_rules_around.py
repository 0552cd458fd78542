"""What is said of neighbours and of the place: every status, sensible sites without a false alarm, and bad ones."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.finding import Status
from calc.machine.catalogue.neighbours import HOUSE, LINE, OWN_HOUSE, PATH, PLAY, ROAD
from calc.machine.catalogue.site import VALLEY
from calc.machine.design import build_design
from calc.machine.falling import fall_reach, flying
from calc.machine.inputs import Inputs, Unknown
from calc.machine.system import System
from calc.rules import RULES
from calc.rules.engine import judge_rules
from tests.calc.sheets import with_remedies
from tests.calc.test_rules_machine import PIPE

OK, MARGINAL, FAIL, DANGER, UNKNOWN, STATED = (
    Status.OK, Status.MARGINAL, Status.FAIL, Status.DANGER, Status.UNKNOWN, Status.STATED,
)  # fmt: skip
MINE = [rule for rule in RULES if rule.id.startswith("neighbour.")] + [
    rule for rule in RULES if rule.id in ("site.setback", "site.obstacle", "site.shelter", "site.terrain", "site.place")
]
#: A soundly built machine on a mast of 12 m, held back by its tail.
SOUND = PIPE | {"mast.height": 12.0, "blade.mounting_angle": math.radians(22.0), "site.gust": 42.0}


def around(*what, **more):
    """Neighbours as (label, kind, distance), on the sound machine."""
    values = {f"neighbour.{n}.{key}": v for n, kind, d in what for key, v in (("kind", kind), ("distance", d))}
    return SOUND | values | {name.replace("__", "."): v for name, v in more.items()}


def told(values):
    """Findings of the rules here, by rule and subject."""
    sheet = build_design({name: v for name, v in values.items() if v is not None})
    return {f.key: f for f in judge_rules(MINE, System(sheet))}


FARM_AT = {"neighbour.farm.direction": math.radians(300.0), "site.latitude": math.radians(54.0)}
FREE = {"rotor.overspeed": "none", "rotor.limit_wind": None}

CASES = [
    ("neighbour.fall", "neighbour", SOUND, UNKNOWN, ["neighbour.nearest.kind", "neighbour.nearest.distance"]),
    ("neighbour.fall", "neighbour", around(("lane", ROAD, None)), UNKNOWN, ["neighbour.lane.distance"]),
    # 12 m and 1.1 m, a tenth more: 14.41 m; half as much again: 19.65 m.
    ("neighbour.fall", "neighbour", around(("lane", ROAD, 14.0), ("gate", PATH, 7.0)), DANGER,
     ["reach 15 m", "gate 7 m, lane 14 m", "15 m or more from each of them"]),
    ("neighbour.fall", "neighbour", around(("lane", ROAD, 15.0)), OK, ["out of their reach", "What is not named"]),
    ("neighbour.fall", "neighbour", around(("home", OWN_HOUSE, 8.0)), FAIL, ["home 8 m", "from the home"]),
    ("neighbour.fall", "neighbour", around(("wire", LINE, 18.0), ("gate", PATH, 16.0)), MARGINAL,
     ["1.5 heights, 20 m: wire 18 m", "20 m or more from the wire"]),
    ("neighbour.fall", "neighbour", around(("wire", LINE, 10.0)), DANGER, ["while raised or lowered"]),
    ("neighbour.throw", "neighbour", around(("lane", ROAD, 400.0)), OK, ["400 m away"]),
    ("neighbour.throw", "neighbour", around(("lane", ROAD, 60.0)), MARGINAL, ["tumbling", "lane 60 m"]),
    ("neighbour.throw", "neighbour", around(("lane", ROAD, 60.0)) | FREE, DANGER, ["Nothing holds the rotor back"]),
    ("neighbour.throw", "neighbour", around(("lane", ROAD, 950.0)) | FREE, MARGINAL, ["Nothing holds the rotor back"]),
    ("neighbour.throw", "neighbour",
     around(("lane", ROAD, 60.0)) | {"measured.M1.quantity": "blade.thrown", "measured.M1.value": 70.0}, FAIL,
     ["One lay 70 m away"]),
    ("neighbour.throw", "neighbour", around(("lane", ROAD, 60.0), rotor__blades=None), UNKNOWN, ["rotor.blades"]),
    ("neighbour.noise", "neighbour.farm", around(("farm", HOUSE, 200.0)), OK, ["the limit is 40 dB(A)", "below it"]),
    ("neighbour.noise", "neighbour.farm", around(("farm", HOUSE, 45.0)), MARGINAL, ["little to spare"]),
    ("neighbour.noise", "neighbour.farm", around(("farm", HOUSE, 20.0)), FAIL, ["too much", "Put the mast"]),
    ("neighbour.noise", "neighbour.home", around(("home", OWN_HOUSE, 20.0)), MARGINAL, ["too much"]),
    ("neighbour.noise", "neighbour.farm", around(("farm", HOUSE, 90.0), rotor__blades=None), UNKNOWN, ["rotor.blades"]),
    ("neighbour.shadow", "neighbour.farm", around(("farm", HOUSE, 120.0)), OK, ["no shadow that flickers"]),
    ("neighbour.shadow", "neighbour.farm", around(("farm", HOUSE, 60.0)), UNKNOWN, ["site.latitude", "direction"]),
    ("neighbour.shadow", "neighbour.farm", around(("farm", HOUSE, 60.0)) | FARM_AT, OK, ["30 h and 30 min"]),
    ("neighbour.shadow", "neighbour.farm",
     around(("farm", HOUSE, 16.0), mast__height=8.0) | FARM_AT | {"neighbour.farm.direction": 0.0}, FAIL,
     ["plant a hedge", "On that day it wanders"]),
    ("neighbour.shadow", "neighbour.farm",
     around(("farm", HOUSE, 30.0), mast__height=8.0) | FARM_AT | {"neighbour.farm.direction": 0.0}, MARGINAL,
     ["Put the mast"]),
    ("site.setback", "site", around(site__boundary=20.0), OK, ["far enough", "many rules ask for 1.1 times"]),
    ("site.setback", "site", around(site__boundary=13.5, site__setback=1.0), MARGINAL, ["can reach across"]),
    ("site.setback", "site", around(site__boundary=20.0, site__setback=2.0), FAIL, ["local rules ask for 2 times"]),
    ("site.setback", "site", around(site__setback=2.0), UNKNOWN, ["site.boundary"]),
    ("site.obstacle", "obstacle.barn", SOUND | {"obstacle.barn.height": 6.0}, UNKNOWN, ["obstacle.barn.distance"]),
    ("site.obstacle", "obstacle.barn", SOUND | {"obstacle.barn.height": 5.0, "obstacle.barn.distance": 30.0}, OK,
     ["up to 10 m", "above it"]),
    ("site.obstacle", "obstacle.barn", SOUND | {"obstacle.barn.height": 9.0, "obstacle.barn.distance": 60.0}, MARGINAL,
     ["of the wind from there is missing", "Raise the rotor's centre to 20 m"]),
    ("site.obstacle", "obstacle.barn",
     SOUND | {"obstacle.barn.height": 9.0, "obstacle.barn.distance": 20.0, "obstacle.barn.direction": 4.0}, FAIL,
     ["the wind from the south-west cannot be told"]),
    ("site.obstacle", "obstacle.barn", SOUND | {"obstacle.barn.height": 9.0, "obstacle.barn.distance": 190.0}, OK,
     ["calmed down"]),
    ("site.shelter", "site", SOUND | {"obstacle.barn.height": 9.0}, UNKNOWN, ["obstacle.barn.distance"]),
    ("site.shelter", "site", SOUND | {"obstacle.barn.height": 5.0, "obstacle.barn.distance": 120.0}, OK, ["is little"]),
    ("site.shelter", "site", SOUND | {"obstacle.barn.height": 9.0, "obstacle.barn.distance": 60.0}, MARGINAL, ["%"]),
    ("site.shelter", "site",
     SOUND | {"obstacle.wood.height": 15.0, "obstacle.wood.distance": 50.0, "obstacle.wood.share": 0.4}, FAIL,
     ["taken as lost", "Measure the wind"]),
    ("site.terrain", "site", SOUND | {"site.terrain": VALLEY}, MARGINAL, ["passes overhead"]),
    ("site.terrain", "site", SOUND | {"site.terrain": "flat or gently rolling"}, STATED, ["by the sheet"]),
    ("site.place", "place", SOUND | {"place.moor.mean_wind": 6.5}, MARGINAL, ["the mast belongs there"]),
    ("site.place", "place", SOUND | {"place.moor.mean_wind": 4.5}, OK, ["it stands where it belongs"]),
    ("site.place", "place", SOUND | {"place.moor.obstacle_height": 9.0}, UNKNOWN, ["place.moor.obstacle_distance"]),
]  # fmt: skip


@pytest.mark.parametrize(
    ("rule", "subject", "values", "status", "words"), CASES, ids=[f"{c[0]}-{c[3]}-{i}" for i, c in enumerate(CASES)]
)
def test_every_status_is_said_with_its_number(rule, subject, values, status, words):
    """Each rule, each of its statuses; what is said, what more, what to do and what is missing."""
    sheet = build_design({name: v for name, v in values.items() if v is not None})
    found = {f.key: f for f in with_remedies(sheet, rule)}[rule, subject]
    assert found.status is status, found.says
    text = " ".join((found.says, found.more, found.remedy, *found.missing))
    assert [word for word in words if word not in text] == [], text
    assert len(found.first.split()) <= 35, found.first
    assert len(found.says.split()) <= 60, found.says


def test_all_rules_here_are_seen_in_each_of_their_statuses():
    """Those that a rule can have; what only words decide has fewer."""
    seen = {rule.id: {case[3] for case in CASES if case[0] == rule.id} for rule in MINE}
    can = {
        "site.terrain": {STATED, MARGINAL},
        "site.place": {OK, MARGINAL, UNKNOWN}, "neighbour.fall": {OK, MARGINAL, FAIL, DANGER, UNKNOWN},
        "neighbour.throw": {OK, MARGINAL, FAIL, DANGER, UNKNOWN},
    }  # fmt: skip
    assert seen == {rule.id: can.get(rule.id, {OK, MARGINAL, FAIL, UNKNOWN}) for rule in MINE}


def test_a_beginner_is_asked_for_the_nearest_neighbour_and_no_more():
    """One finding of the area, naming two inputs, while nothing of it is on the sheet."""
    found = told(SOUND)
    assert set(found) == {("neighbour.fall", "neighbour")}
    assert len(found["neighbour.fall", "neighbour"].missing) == 2


#: Places where such machines stand well, by good practice: outside the fall circle, held back, clear of obstacles.
SITES = {
    "smallholding": around(
        ("lane", ROAD, 45.0), ("home", OWN_HOUSE, 30.0), ("farm", HOUSE, 160.0), site__boundary=25.0
    ),
    "hill farm": around(
        ("home", OWN_HOUSE, 70.0), ("track", PATH, 22.0), site__terrain="top of a smooth ridge or hill"
    ),
    "coast": around(("house", HOUSE, 240.0), ("beach", PATH, 80.0), site__ground="smooth open ground"),
    "garden": around(("swings", PLAY, 35.0), ("home", OWN_HOUSE, 20.0), ("next", HOUSE, 90.0), mast__height=9.0),
    "field": around(("wire", LINE, 60.0), ("lane", ROAD, 120.0), site__boundary=40.0, site__setback=2.0),
    "orchard": around(("home", OWN_HOUSE, 40.0))
    | {"obstacle.trees.height": 5.0, "obstacle.trees.distance": 60.0, "obstacle.trees.kind": "open trees or hedge"},
}


@pytest.mark.parametrize("site", SITES)
def test_no_sensible_site_is_a_danger_and_hardly_any_fails(site):
    """Nothing falls on anybody; a piece could fly to somebody, which is told and no more."""
    found = told(SITES[site])
    # Children at play within a thrown piece's reach are no sensible site; that much is told of the garden.
    but = {("neighbour.throw", "neighbour")} if site == "garden" else set()
    assert {key for key, f in found.items() if f.status in (DANGER, FAIL)} == but
    assert not [key for key, f in found.items() if f.status is DANGER]
    assert all(f.status is not UNKNOWN for key, f in found.items() if key[0] != "neighbour.shadow")


@pytest.mark.parametrize(
    ("values", "key"),
    [
        (around(("wire", LINE, 10.0)), ("neighbour.fall", "neighbour")),
        (around(("swings", PLAY, 12.0)), ("neighbour.fall", "neighbour")),
        (around(("farm", HOUSE, 3.0), mast__kind="on a roof or gable"), ("neighbour.fall", "neighbour")),
        (around(("farm", HOUSE, 90.0)) | FREE, ("neighbour.throw", "neighbour")),
    ],
)
def test_bad_sites_are_dangers_with_a_caution(values, key):
    """A line, children, a house below a roof, a rotor that nothing holds."""
    found = told(values)[key]
    assert found.status is DANGER
    assert len(found.caution) > 60


def test_the_nearest_decides_among_equals():
    """Of three out of reach the value is that of the nearest, in whatever order they were typed."""
    found = told(around(("a", ROAD, 300.0), ("b", PATH, 31.0), ("c", ROAD, 64.0)))
    assert found["neighbour.fall", "neighbour"].value == 31.0
    read = {"measured.M1.quantity": "blade.thrown", "measured.M1.value": 31.0, "measured.M1.high": 31.4}
    flown = flying(Inputs(build_design(SOUND | read)))
    assert not isinstance(flown, Unknown)
    assert flown.found == 31.0


def test_the_same_circle_is_told_everywhere():
    """The fall radius of pictures and pages is that of the rules, rounded up."""
    system = System(build_design(SOUND))
    exact = float(fall_reach(13.1))
    assert exact <= system.fall_radius < 1.1 * exact
    assert told(around(("lane", ROAD, 14.0)))["neighbour.fall", "neighbour"].limit == pytest.approx(exact)


def test_a_piece_flies_less_far_in_air_and_never_less_than_one_did():
    """Tumbling, edge first, no air; and the record."""
    flown = flying(Inputs(build_design(SOUND)))
    assert not isinstance(flown, Unknown)
    assert flown.held
    assert 0 < flown.tumbling < flown.edge_first < flown.no_air
    read = {"measured.M1.quantity": "blade.thrown", "measured.M1.value": 900.0}
    more = flying(Inputs(build_design(SOUND | read)))
    assert not isinstance(more, Unknown)
    assert more.likely == more.far == 900.0
    fast = {"measured.M1.quantity": "rotor.speed", "measured.M1.value": 200.0, "measured.M1.wind_high": 20.0}
    faster = flying(Inputs(build_design(SOUND | fast)))
    assert not isinstance(faster, Unknown)
    assert faster.speed == pytest.approx(200.0 * 1.1)
    assert faster.tumbling > flown.tumbling
    bench = flying(Inputs(build_design(SOUND | {k: v for k, v in fast.items() if "wind" not in k})))
    assert bench == flown


WORSE = (OK, MARGINAL, FAIL, DANGER)


@settings(max_examples=25, deadline=None)
@given(st.floats(0.0, 900.0), st.floats(1.0, 2.0), st.sampled_from([HOUSE, OWN_HOUSE, ROAD, PATH, PLAY, LINE]))
def test_further_away_is_never_worse(distance, more, kind):
    """Neither for what falls and flies nor for what is heard."""
    near, far = (told(around(("it", kind, d))) for d in (distance, min(distance * more + 1.0, 980.0)))
    for key, found in near.items():
        if found.status in WORSE and far[key].status in WORSE:
            assert WORSE.index(far[key].status) <= WORSE.index(found.status), key


def _lines(*, stated, named):
    """The finding on overhead lines, one stated with the mast and one named as a neighbour [m]."""
    values = around(("wire", LINE, named)) if named is not None else SOUND
    changes = {"mast.line_distance": stated, "rotor.diameter": 2.4}
    design = build_design({n: v for n, v in (values | changes).items() if v is not None})
    (found,) = (f for f in judge_rules(RULES, System(design)) if f.rule == "mast.overhead-lines")
    return found


# A centre at 12 m and blades of 1.2 m: a fall of 1.1 x 13.2 m, and one and a half heights of 19.8 m.
@pytest.mark.parametrize(
    ("stated", "named", "status", "away"),
    [
        (200.0, 16.0, MARGINAL, 16.0),
        (200.0, 14.0, DANGER, 14.0),
        (14.0, 200.0, DANGER, 14.0),
        (None, 14.0, DANGER, 14.0),
        (None, 21.0, OK, 21.0),
        (None, None, UNKNOWN, None),
    ],
)
def test_the_nearer_of_all_overhead_lines_counts(stated, named, status, away):
    """Whether it stands with the mast or among the neighbours; named where it stands there."""
    found = _lines(stated=stated, named=named)
    assert (found.status, found.value) == (status, away)
    assert ("(wire)" in found.says) == (away is not None and away == named)


def test_a_line_of_which_only_the_kind_is_known_asks_how_far_it_is():
    """Not for the distance of another."""
    values = {"neighbour.wire.kind": LINE, "mast.line_distance": None}
    design = build_design({n: v for n, v in (SOUND | values).items() if v is not None})
    (found,) = (f for f in judge_rules(RULES, System(design)) if f.rule == "mast.overhead-lines")
    assert (found.status, found.missing, found.deadly) == (UNKNOWN, ("neighbour.wire.distance",), True)


def test_whoever_is_known_to_stand_in_the_circle_counts_whatever_is_not_known_of_others():
    """A playground at 6 m beside a house of which nobody said how far it is."""
    values = around(("kids", PLAY, 6.0)) | {"neighbour.farm.kind": HOUSE}
    found = {f.rule: f for f in judge_rules(RULES, System(build_design(values)))}["neighbour.fall"]
    assert found.status is DANGER
    assert "kids 6 m" in found.says


@pytest.mark.parametrize(
    ("height", "status", "words"),
    [
        # Blades of 1.2 m: 0.7 m into the ground, 0.3 m and 2.9 m above it, 3.1 m above it.
        (0.5, DANGER, "would turn in the ground"),
        (1.5, DANGER, "0.3 m above the ground, among people"),
        (4.1, DANGER, "among people"),
        (4.3, OK, "out of reach"),
    ],
)
def test_blades_among_people_or_in_the_ground_are_told(height, status, words):
    """At once, whatever the wind, with a height that was tried."""
    design = build_design(SOUND | {"rotor.diameter": 2.4, "mast.height": height})
    (found,) = with_remedies(design, "mast.over-ground")
    assert found.status is status
    assert words in found.says
    if status is DANGER:
        assert found.remedies[0].changes[0].value - 1.2 >= 3.0


def test_the_rotor_on_a_roof_is_not_asked_how_high_it_is_above_the_ground():
    """Nobody walks below it there; the building is judged under its own headings."""
    design = build_design(SOUND | {"mast.kind": "on a roof or gable", "mast.height": 3.0})
    assert "mast.over-ground" not in {f.rule for f in judge_rules(RULES, System(design))}


def test_children_within_the_throw_are_among_what_fails():
    """Outdoors no wall is between; named first, and only they are moved away from, not the builder's own house."""
    values = around(("kids", PLAY, 20.0), ("house", OWN_HOUSE, 40.0))
    (found,) = with_remedies(build_design(values), "neighbour.throw")
    flown = flying(Inputs(build_design(values)))
    assert found.status is FAIL
    assert found.says.startswith("Within reach: kids 20 m")
    moved = [c.path for r in found.remedies for c in r.changes if c.path.startswith("neighbour.")]
    assert set(moved) <= {"neighbour.kids.distance"}
    for away, status in ((1.01 * float(flown.likely), MARGINAL), (0.99 * float(flown.likely), FAIL)):
        assert told(around(("kids", PLAY, away)))["neighbour.throw", "neighbour"].status is status
        assert told(around(("farm", HOUSE, away)))["neighbour.throw", "neighbour"].status is MARGINAL
