"""What a sheet needs: nothing left out that it names, nothing told of it that it does not say."""

import pytest

from calc.machine.buying import needed
from calc.machine.catalogue.house import OWN_TRANSFER_SWITCH, TRANSFER_SWITCH, TWO_PLUGS
from calc.machine.design import build_design
from calc.machine.diagram import devices
from tests.calc.sheets import changed


def found(changes=()):
    """Lines by kind and run."""
    return {(n.kind, n.run): n for n in needed(build_design(changed(dict(changes))))}


def test_every_device_of_the_diagram_that_is_there_is_on_the_list():
    """By the same word, and not what the sheet says is missing."""
    design = build_design(changed({"dump.kind": "none", "protection.surge": "none"}))
    kinds = {n.kind for n in needed(design)}
    bought = {"generator", "cable", "brake", "rectifier", "switch", "surge", "dump", "fuse", "battery switch",
              "battery", "inverter", "rcd", "earth"}  # fmt: skip
    there = {d.kind for d in devices(design) if d.kind in bought and not d.lacking and d.facts[:1] != ("none",)}
    assert there - kinds == set()
    assert not kinds & {"dump", "controller", "surge"}


def test_the_battery_switch_is_told_when_it_may_be_opened():
    """Its rating is the battery's: opened under a turning rotor, what generator and battery differ by is across it."""
    switch = found({"storage.charge_voltage": 28.8})["battery switch", ""]
    assert switch.rated[0].value == pytest.approx(28.8)
    assert any("rotor stands still" in word for word in switch.words)


def test_masses_are_those_of_tables():
    """Copper 8960 kg/m3; tube 60.3 x 3.2 has 4.51 kg/m in EN 10220, from memory."""
    cable = found({"cable.main.length": 34.0, "cable.main.area": 10e-6})["cable", "main"]
    assert cable.mass == pytest.approx(2 * 34.0 * 10e-6 * 8960.0)
    assert cable.mass_of == "conductors alone"
    tube = found({"mast.tube_diameter": 0.0603, "mast.tube_wall": 0.0032, "mast.height": 8.0, "mast.foot_height": 0.0,
                  "mast.material": "steel"})["mast", ""]  # fmt: skip
    assert tube.mass == pytest.approx(8.0 * 4.51, rel=0.005)


def test_three_wires_before_the_rectifier_two_after():
    """A three-phase cable has one conductor more."""
    before = found({"cable.main.carries": "generator before the rectifier", "generator.phases": "three-phase"})
    after = found({"cable.main.carries": "generator after the rectifier"})
    assert before["cable", "main"].words[0] == "3 conductors"
    assert after["cable", "main"].words[0] == "2 conductors"
    assert before["cable", "main"].mass == pytest.approx(1.5 * after["cable", "main"].mass)


def test_price_is_that_of_the_length():
    """A metre of all conductors costs what the sheet says."""
    assert found({"cable.main.length": 34.0, "cable.main.price": 4.8})["cable", "main"].price == pytest.approx(163.2)
    assert found()["cable", "main"].price is None


def test_a_fuse_that_the_sheet_denies_is_not_bought_and_one_without_rating_asks_for_it():
    """What is not said is named."""
    assert ("fuse", "main") not in found({"cable.main.fused": False})
    open_ended = found({"cable.main.fused": True, "cable.main.fuse": None, "cable.main.fuse_voltage": None})
    assert open_ended["fuse", "main"].unsaid[:2] == ("rating", "DC voltage")


def test_pipe_is_as_long_as_its_blades_need():
    """Three blades of 0.57 m lie side by side around 160 mm: 3 x 107 mm and less of 503 mm; a metre is sold."""
    pipe = {"blade.material": "PVC-U pipe", "blade.pipe_diameter": 0.160, "blade.pipe_wall": 0.004,
            "blade.chord_root": 0.095, "blade.chord_tip": 0.045, "blade.root_radius": 0.08, "rotor.diameter": 1.3,
            "rotor.blades": 3.0}  # fmt: skip
    length = found(pipe)["blades", ""].rated[-1]
    assert (length.value, length.unit, length.least) == (1.0, "m", True)
    assert found({**pipe, "rotor.blades": 24.0})["blades", ""].rated[-1].value > 1.0


def test_bolts_reach_through_plates_packers_and_wall():
    """By hand: two plates of 8 mm, a wall of 6.2 mm, 6 mm and 6 + 8.856 mm of packers, and two diameters of 8 mm."""
    from tests.drawn import SECOND

    by_name = {n.name: n for n in needed(build_design(SECOND))}
    length = by_name["bolts of the blades"].rated[1]
    through = 2 * 8 + 6.2 + 6 + 6 + (118.8 - (118.8**2 - 45**2) ** 0.5) + 2 * 8
    assert through <= length.value < through + 5
    assert by_name["packers of the roots, to be made"].count == 6


def test_the_boom_reaches_from_the_hinge_to_the_far_end_of_the_vane():
    """1.4 m to the middle of a vane of 0.36 m2 that is 0.6 m high, and half of its 0.6 m more."""
    tail = {"tail.area": 0.36, "tail.arm": 1.4, "tail.vane_height": 0.6, "tail.boom_diameter": 0.06}
    assert found(tail)["boom", ""].rated[-1].value == pytest.approx(1.7)
    assert found({**tail, "tail.arm": None})["boom", ""].rated[-1].value is None
    assert "what the hinge takes comes on top" in found(tail)["boom", ""].words


def test_guys_are_as_long_as_from_mast_to_anchor():
    """The long side of a triangle of 3 and 4."""
    guys = {f"guy.top.{name}": value for name, value in (("height", 4.0), ("anchor_radius", 3.0), ("ropes", 4.0),
            ("rope_diameter", 0.005), ("clips", 3.0), ("clip_kind", "EN 13411-5, type A"))}  # fmt: skip
    lines = {n.name: n for n in needed(build_design(changed(guys)))}
    rope = lines["ropes of the guys top"]
    assert rope.count == 4.0
    assert rope.rated[1].value == pytest.approx(5.0)
    assert lines["clips of the guys top"].count == 24.0


@pytest.mark.parametrize(("feed", "bought"), [(TRANSFER_SWITCH, True), (OWN_TRANSFER_SWITCH, True), (TWO_PLUGS, False)])
def test_no_lead_with_two_plugs_is_ever_on_the_list(feed, bought):
    """What the check calls a danger is not something to buy."""
    lines = found({"house.feed": feed})
    assert (("house", "") in lines) == bought
    assert not any("plug" in f"{n.name} {' '.join(n.words)}" for n in lines.values())


def test_an_empty_sheet_needs_nothing_yet():
    """Nothing is assumed."""
    assert needed(build_design({})) == []


def test_without_a_battery_what_loads_the_rotor_is_on_the_list():
    """A heater with its numbers; an inverter by the voltage that it must withstand, and nothing of a battery."""
    heater = {"storage.chemistry": "none", "load.heater.power": 600.0, "load.heater.voltage": 48.0,
              "load.heater.kind": "heater or other resistance"}  # fmt: skip
    (line,) = needed(build_design(heater))
    assert (line.kind, line.name) == ("loads", "load heater")
    assert [r.says for r in line.rated] == ["power 600 W", "made for 48 V"]
    grid = {"storage.chemistry": "none", "inverter.power": 1000.0, "inverter.input_voltage_max": 400.0,
            "house.feed": "inverter in parallel with the grid"}  # fmt: skip
    (line,) = needed(build_design(grid))
    assert [r.says for r in line.rated] == ["1000 W", "withstands 400 V"]
    assert any("stops by itself when the grid fails" in words for words in line.words)
    stored = {**heater, "storage.chemistry": "LiFePO4"}
    assert "loads" not in {n.kind for n in needed(build_design(stored))}


def test_each_number_names_where_the_sheet_says_it():
    """So that what is missing can be entered; a computed one names nothing."""
    from calc.machine.catalogue import catalogue

    known = set(catalogue())
    for line in needed(build_design(changed({}))):
        for r in line.rated:
            parts = r.path.split(".")
            assert not r.path or f"{parts[0]}.{parts[-1]}" in known, r
    open_ended = found({"cable.main.fused": True, "cable.main.fuse": None})["fuse", "main"]
    assert [r.path for r in open_ended.rated_without][:1] == ["cable.main.fuse"]
