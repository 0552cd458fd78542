"""What the machine would do with other values, where a finding turns, and what it does in each wind."""

import numpy as np
import pytest

from journal.book import records, revisions, sheet, sheet_toml
from journal.demo.sheets import FIRST_SHEET, SECOND_SHEET
from journal.errors import BadInput, NotFound, Refused
from journal.review import explore


@pytest.fixture
def machine(s):
    """A machine that can be solved, on r1."""
    for text in (FIRST_SHEET, SECOND_SHEET):
        sheet.set_values(s, records.find_revision(s), sheet_toml.from_toml(text))
    return s


@pytest.mark.parametrize(
    ("path", "typed", "values"),
    [
        ("cable.mast.area", "6 mm2, 10 mm2", [6e-6, 10e-6]),
        ("rotor.diameter", "1.5 m to 3 m in 4", [1.5, 2.0, 2.5, 3.0]),
        ("rotor.diameter", "1.5 to 3 m in 2", [1.5, 3.0]),
        ("rotor.diameter", "150 cm to 3 m in 3", [1.5, 2.25, 3.0]),
        ("rotor.overspeed", "furling tail; none", ["furling tail", "none"]),
        ("storage.chemistry", "LiFePO4", ["LiFePO4"]),
        ("rotor.blades", "2, 3", [2.0, 3.0]),
    ],
)
def test_values_are_read_as_a_list_or_as_steps(path, typed, values):
    """In SI; the unit of the last serves both ends."""
    got = explore.read_values(path, typed)
    assert got == (pytest.approx(values) if isinstance(values[0], float) else values)


def test_a_yes_or_no_is_read_as_such():
    """Both may be tried."""
    entries = sheet.catalogue.catalogue()
    (path, *_) = (p for p, e in entries.items() if e.kind == "flag" and "*" not in p)
    assert explore.read_values(path, "yes, no") == [True, False]


@pytest.mark.parametrize(("count", "fine"), [(1, False), (2, True), (2000, True), (2001, False)])
def test_steps_are_at_least_two_and_not_too_many(count, fine):
    """Up to two thousand, all of them even."""
    if not fine:
        with pytest.raises(BadInput, match=rf"rotor\.diameter: {count} steps.*2 to 2000"):
            explore.read_values("rotor.diameter", f"1 m to 3 m in {count}")
        return
    got = explore.read_values("rotor.diameter", f"1 m to 3 m in {count}")
    assert (len(got), got[0], got[-1]) == (count, 1.0, 3.0)


def test_every_combination_is_judged(machine):
    """Two by three, each shown as typed and judged for itself; what moves is what differs."""
    found = explore.vary(machine, None, {"storage.voltage": "12 V, 24 V", "cable.mast.area": "1.5 mm2, 4 mm2, 35 mm2"})
    assert found.paths == ("storage.voltage", "cable.mast.area")
    assert found.revision.ref == "r1"
    # What the sheet has stands first, to be compared with.
    assert found.as_it_is
    asked = found.combinations[1:]
    assert len(asked) == 6 == len(set(asked))
    assert {c[0] for c in asked} == {"12 V", "24 V"}
    assert {c[1] for c in asked} == {"1.5 mm2", "4 mm2", "35 mm2"}
    assert {len(row.statuses) for row in found.rows} == {7}
    assert found.moving
    assert all(len(set(row.statuses)) > 1 for row in found.moving)
    assert [row for row in found.rows if row not in found.moving and len(set(row.statuses)) != 1] == []
    drop = next(row for row in found.rows if row.rule == "wiring.voltage-drop" and row.subject == "cable.mast")
    lost = dict(zip(found.combinations, drop.values, strict=True))
    assert lost["12 V", "1.5 mm2"] > lost["12 V", "4 mm2"] > lost["12 V", "35 mm2"]


def test_nothing_varied_and_too_much_are_refused(machine):
    """With what would be accepted; two thousand combinations are not too many."""
    with pytest.raises(BadInput, match="Nothing is varied"):
        explore.vary(machine, None, {})
    with pytest.raises(BadInput, match=r"That makes 2050 combinations.*2000"):
        explore.vary(machine, None, {"rotor.diameter": "1 m to 3 m in 41", "mast.height": "4 m to 9 m in 50"})


def test_where_a_finding_turns(machine):
    """A thicker cable turns the drop to ok, and what stands on the sheet now is told beside it."""
    found = explore.turn(machine, None, "wiring.voltage-drop", "cable.mast.area", "mast")
    assert (found.revision.ref, found.path) == ("r1", "cable.mast.area")
    assert (found.finding.rule, found.finding.subject) == ("wiring.voltage-drop", "cable.mast")
    assert found.now == "10 mm2"
    assert found.turns
    places = [float(value.removesuffix(" mm2")) for value, _, _ in found.turns]
    assert places == sorted(places)
    assert found.turns[-1][2] == "ok"
    for (_, _, after), (_, before, _) in zip(found.turns, found.turns[1:], strict=False):
        assert after == before


def test_a_constant_that_is_shown_the_other_way_up(machine):
    """More volts a turn is fewer turns a volt: the places fall in SI and grow as they are shown."""
    found = explore.turn(machine, None, "generator.charging-begins", "generator.emf_constant")
    assert found.now == "7.5 rpm/V"
    places = [float(value.removesuffix(" rpm/V")) for value, _, _ in found.turns]
    assert len(places) > 0
    assert places == sorted(places)
    # A fast generator, of many turns a volt, begins too late.
    assert found.turns[-1][2] != "ok"
    assert found.turns[0][1] != found.turns[0][2]


def test_what_a_value_is_now(machine):
    """As on the sheet; as assumed where it is not stated; else not stated."""
    sheet.unset(machine, records.find_revision(machine), ["mast.height"])
    assert explore.turn(machine, None, "wiring.ampacity", "mast.height", "mast").now == "not stated"
    entry, _ = sheet.entry_of("site.wiring_practice")
    assert entry.assumed is not None
    found = explore.turn(machine, None, "wiring.ampacity", "site.wiring_practice", "cable.mast")
    assert found.now == f"{entry.text(entry.assumed.value)}, assumed"


def test_turns_that_are_not_there_are_refused(machine):
    """A rule of several things needs its subject; one that says nothing is told; an input must be set."""
    r1 = records.find_revision(machine)
    more = {"cable.second.length": {"typed": "9 m"}, "cable.second.area": {"typed": "4 mm2"}}
    sheet.set_values(machine, r1, more)
    with pytest.raises(BadInput, match=r"wiring\.ampacity judged several things.*cable\.second; cable\.mast"):
        explore.turn(machine, None, "wiring.ampacity", "cable.mast.area")
    with pytest.raises(NotFound, match=r"wiring\.ampacity says nothing of nothing of this name"):
        explore.turn(machine, None, "wiring.ampacity", "cable.mast.area", "nothing of this name")
    sheet.unset(machine, r1, ["mast.kind"])
    with pytest.raises(NotFound, match=r"mast\.kind is not set on r1"):
        explore.turn(machine, None, "wiring.ampacity", "mast.kind", "cable.mast")
    with pytest.raises(BadInput):
        explore.turn(machine, None, "wiring.ampcity", "cable.mast.area")


def test_power_is_told_wind_by_wind(machine):
    """One row for each wind; what the rotor takes is what goes somewhere; held back from some wind on."""
    sheet.set_values(machine, records.find_revision(machine), {"rotor.overspeed": {"typed": "furling tail"}})
    found = explore.power(machine, None)
    assert found.revision.ref == "r1"
    assert len(found.rows) == len(found.winds) > 10
    assert found.winds == sorted(found.winds)
    solved = found.sheet.system.solved
    assert found.limit == float(solved.limit) < 20.0
    for i, row in enumerate(found.rows):
        somewhere = sum(row[k] for k in ("drag", "copper", "diodes", "cable", "inside_battery", "stored", "dump"))
        assert somewhere == pytest.approx(row["rotor"], rel=0.02, abs=1.0)
        assert row["battery"] == pytest.approx(float(solved.operation.running.battery[i]))
        assert row["omega"] == pytest.approx(float(solved.operation.running.omega[i]))
    forked = [v for v, fork in zip(solved.winds, solved.operation.forked, strict=True) if fork]
    assert found.forked == forked
    assert {f.name for f in found.figures} == {f.name for f in found.sheet.system.figures.values()}


def test_a_rotor_that_is_never_held_back_has_no_limit(machine):
    """None, not a very great wind."""
    sheet.set_values(machine, records.find_revision(machine), {"rotor.overspeed": {"typed": "none"}})
    assert explore.power(machine, None).limit is None


def test_a_machine_that_cannot_be_solved_names_what_is_missing(machine):
    """And another, for which something else stands in the way, says what."""
    sheet.unset(machine, records.find_revision(machine), ["generator.emf_constant"])
    with pytest.raises(Refused, match=r"r1 cannot be solved: missing generator\.emf_constant"):
        explore.power(machine, None)
    revisions.revise(machine)
    sheet.set_values(
        machine, records.find_revision(machine, "r2"),
        {"generator.emf_constant": {"typed": "7.5 rpm/V"}, "storage.chemistry": {"typed": "none"}},
    )  # fmt: skip
    with pytest.raises(Refused, match=r"r2 cannot be solved: .*battery"):
        explore.power(machine, "r2")


def test_winds_are_in_si(machine):
    """Metres a second, as numbers that JSON can hold."""
    assert {type(v) for v in explore.power(machine, None).winds} == {float}
    assert not np.isnan([v for row in explore.power(machine, None).rows for v in row.values()]).all()
