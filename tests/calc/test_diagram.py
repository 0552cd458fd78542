"""The one-line diagram: plain text, in order, nothing assumed."""

import pytest

from calc.machine.catalogue import Sheet
from calc.machine.catalogue.house import BESIDE_GRID, ON_LEADS
from calc.machine.catalogue.storage import DUMP_PLACES, DUMPS
from calc.machine.design import build_design
from calc.machine.diagram import UNSTATED, devices, lines, unstated
from calc.physics import wiring
from tests.calc.sheets import changed


def _text(changes):
    return "\n".join(lines(build_design(changed(changes))))


def test_parts_stand_in_the_order_of_the_current():
    """From generator to house."""
    text = _text({})
    parts = [
        "Generator ]",
        "Brake switch",
        "Rectifier",
        "cable main",
        "Surge",
        "Dump load",
        "Battery ]",
        "Inverter",
        "House",
    ]
    places = [text.index(part) for part in parts]
    assert places == sorted(places)


def test_every_sheet_is_plain_ascii():
    """It must print anywhere; lines fit a page."""
    for changes in ({}, dict.fromkeys(changed({}))):
        for line in lines(build_design(changed(changes))):
            assert line.isascii()
            assert len(line) < 160
            assert "None" not in line


def test_nothing_stated_is_nothing_assumed():
    """An empty sheet shows question marks and no number."""
    text = "\n".join(lines(build_design({}))[1:])
    assert text.count("?") > 12
    assert not any(c.isdigit() for c in text)


@pytest.mark.parametrize(
    ("changes", "phrase"),
    [
        ({}, "cable main: 10 m, 2 x 10 mm2"),
        ({}, "[ Fuse ]  63 A, DC voltage 32 V, breaks 10000 A, 0.15 m from the battery"),
        ({"cable.main.carries": "generator before the rectifier"}, "cable main: 10 m, 3 x 10 mm2"),
        ({"cable.main.area": wiring.awg_area(6)}, "2 x 6 AWG"),
        ({"cable.main.fuse": None, "cable.main.fused": False}, "NO FUSE"),
        ({"rotor.brake": "none"}, "NO BRAKE"),
        ({"dump.kind": "none"}, "NO DUMP LOAD"),
        ({"protection.battery_switch": False}, "NO BATTERY SWITCH"),
        ({"protection.main_fuse": "none"}, "NO MAIN FUSE"),
        ({"protection.main_fuse": "class T", "protection.main_fuse_rating": 125.0}, "[ Main fuse ]  class T, 125 A"),
        ({"protection.surge": "none"}, "NO SURGE ARRESTERS"),
        (
            {"cable.main.carries": "battery to loads"},
            "[ Loads on direct current ]  cable main: 10 m, 2 x 10 mm2, fuse 16 A",
        ),
        ({}, "cable dump: length ?, 2 x 10 mm2, fuse 40 A"),
        ({"house.feed": None}, "[ House ]  ?"),
    ],
)
def test_what_is_stated_is_drawn(changes, phrase):
    """Sizes, lengths and fuses, and what is missing by the sheet's own word."""
    assert phrase in _text(changes)


def test_place_of_brake_and_dump_load():
    """Both move when the sheet places them elsewhere."""
    text = _text({"protection.brake_place": "after the rectifier", "dump.place": DUMP_PLACES[1]})
    assert text.index("Rectifier") < text.index("Brake switch")
    assert text.index("Battery switch") < text.index("Dump load")


def test_an_inverter_without_a_run_still_has_its_place():
    """Its fuse as the sheet states it, or a question mark; the run is what is not stated."""
    no_run = {name: None for name in changed({}) if name.startswith("cable.inv.")}
    assert "[ Fuse ]  63 A\n  |\n  |   cable: ?\n  |\n[ Inverter ]  400 W" in _text(no_run)
    assert "[ Fuse ]  ?\n  |\n  |   cable: ?\n  |\n[ Inverter ]  400 W" in _text(no_run | {"inverter.fuse": None})
    assert "cable: ?" not in _text({})
    gone = no_run | {name: None for name in changed({}) if name.startswith("inverter.")}
    assert "Inverter ]" not in _text(gone)
    assert "[ Inverter ]  power ?" in _text({"inverter.power": None})


def test_a_run_has_as_many_wires_as_its_winding_has_leads():
    """Ahead of the rectifier; behind it always two."""
    before = {"cable.main.carries": "generator before the rectifier"}
    said = [_text(before | {"generator.phases": phases}) for phases in ("three-phase", "single-phase", None)]
    assert [f"cable main: 10 m, {wires} x 10 mm2" in text for wires, text in zip("32?", said, strict=True)] == [
        True
    ] * 3
    assert "cable main: 10 m, 2 x 10 mm2" in _text({})


def test_no_fuse_is_said_only_where_the_sheet_says_so():
    """A rating that is not known is a question; one named beside a fuse that is denied makes no fuse."""
    assert "NO FUSE" in _text({"cable.main.fused": False, "cable.main.fuse": None})
    assert "[ NO FUSE ]  by the sheet, which names one of 16 A too" in _text({"cable.main.fused": False})
    silent = _text({"cable.main.fuse": None})
    assert "NO FUSE" not in silent
    assert "[ Fuse ]  rating ?, DC voltage 80 V" in silent
    # That of the inverter's run is stated with the inverter, unless the run is said to have none.
    assert "[ Fuse ]  63 A" in _text({"cable.inv.fused": None, "cable.inv.fuse": None})
    assert "[ NO FUSE ]  by the sheet, which names one of 63 A too" in _text({"cable.inv.fused": False})


def test_what_is_there_is_not_said_to_be_missing():
    """Switch, dump load, brake and arresters, with what is known of them."""
    text = _text({})
    assert "NO " not in text
    assert "[ Battery switch ]\n" in text
    assert "[ Dump load ]  200 W, 1.2 ohm, switched by the charge controller, cable dump" in text
    assert "[ Surge arresters ]  at both ends of the generator's cable, 100 V" in text
    assert "[ Battery switch ]  ?" in _text({"protection.battery_switch": None})
    assert "[ Dump load: ? ]" in _text({"dump.kind": None})
    assert "[ Brake: mechanical brake ]" in _text({"rotor.brake": "mechanical brake"})


def test_every_box_stands_in_its_place():
    """From the generator to the house, with what the sheet says of each."""
    boxes = [line for line in lines(build_design(changed({}))) if "[ " in line]
    assert boxes == [
        "[ Generator ]  three-phase, 40 rpm/V, rated 10 A",
        "  +---[ Brake switch, shorts the leads ]  ahead of the rectifier, all leads, 40 A",
        "[ Rectifier ]  1000 V, 35 A",
        "[ Generator switch ]  shorts the generator as it opens the circuit",
        "  +---[ Surge arresters ]  at both ends of the generator's cable, 100 V",
        "  +---[ Dump load ]  200 W, 1.2 ohm, switched by the charge controller, cable dump: length ?, 2 x 10 mm2, "
        "fuse 40 A",
        "[ Fuse ]  16 A, DC voltage 80 V, breaks 10000 A, 0.15 m from the battery",
        "[ Battery switch ]",
        "[ Main fuse ]  class T, 63 A, DC voltage ?, breaks ?",
        "[ Battery ]  LiFePO4, 12 V, 100 Ah",
        "[ Fuse ]  63 A, DC voltage 32 V, breaks 10000 A, 0.15 m from the battery",
        "[ Inverter ]  400 W",
        "[ 30 mA residual-current device ]  yes",
        "[ House ]  own circuits, apart from the house",
    ]
    text = _text({})
    assert "  |   neutral: joined to earth at one place" in text
    # What leaks to earth comes back where the neutral is joined to it: the device sees it only behind that place.
    assert text.index("[ Inverter ]") < text.index("neutral: ") < text.index("[ 30 mA residual-current device ]")
    assert text.endswith("wire 16 mm2")
    # A line below each box but the last, below two cables, and below the neutral.
    assert text.count("\n  |\n") == len(boxes) - 1 + 2 + 1


#: A machine without a battery, in SI; what it feeds is added.
STRAIGHT = {
    "storage.chemistry": "none", "generator.phases": "three-phase", "rotor.brake": "switch that shorts the generator",
    "cable.mast.carries": "generator after the rectifier", "cable.mast.length": 34.0, "cable.mast.area": 6e-6,
    "generator.rectifier_current": 35.0,
}  # fmt: skip
WHOLE = changed({})
HEATER = {"load.heater.power": 600.0, "load.heater.voltage": 48.0, "load.heater.kind": "heater or other resistance"}
GRID = {"inverter.power": 1000.0, "inverter.input_voltage_max": 400.0, "house.feed": BESIDE_GRID,
        "dump.kind": DUMPS[2], "cable.d.carries": "to the dump load", "cable.d.length": 2.0}  # fmt: skip


def kinds(values):
    """What its diagram is made of, in order."""
    return [d.kind for d in devices(build_design(values))]


LEADS = {**HEATER, "load.heater.hangs_on": ON_LEADS}
#: How it begins, and goes on to what it feeds.
HEAD, TO = "generator brake rectifier cable switch surge", "switch surge"


@pytest.mark.parametrize(
    ("values", "chain"),
    [
        ({**STRAIGHT, **HEATER}, f"{HEAD} loads"),
        ({**STRAIGHT, **GRID}, f"{HEAD} dump inverter neutral rcd house"),
        (dict(STRAIGHT), f"{HEAD} fed"),
        ({**STRAIGHT, **LEADS}, f"generator brake loads rectifier cable {TO} fed"),
        ({"storage.chemistry": "none", **LEADS}, f"generator brake {TO} loads"),
        ({**LEADS, "storage.voltage": 24.0},
         f"generator brake loads rectifier {TO} dump battery_switch main_fuse battery house"),
    ],
)  # fmt: skip
def test_each_machine_has_the_chain_that_it_is(values, chain):
    """Nothing of a battery where the sheet says that there is none; loads where they hang."""
    assert kinds(values) == [*(kind.replace("_", " ") for kind in chain.split()), "earth"]


def test_what_is_not_said_of_a_battery_is_asked_and_never_taken_as_none():
    """Only the word none tells that there is none."""
    (battery,) = [d for d in devices(build_design({"generator.phases": "three-phase"})) if d.kind == "battery"]
    assert Sheet.storage.chemistry in battery.unstated


def test_a_fuse_belongs_where_a_battery_is_or_the_sheet_names_one():
    """Without a battery none is asked for, and one that is named has no distance to a battery."""
    assert "fuse" not in kinds({**STRAIGHT, **HEATER})
    named = {**STRAIGHT, **HEATER, "cable.mast.fuse": 32.0}
    (fuse,) = [d for d in devices(build_design(named)) if d.kind == "fuse"]
    assert fuse.facts == ("32 A", "DC voltage ?", "breaks ?")
    assert "from the battery" not in "\n".join(lines(build_design(named)))
    stored = {**STRAIGHT, "storage.chemistry": "LiFePO4"}
    assert "fuse" in kinds(stored)


@pytest.mark.parametrize("values", [{}, STRAIGHT, {**STRAIGHT, **HEATER}, {**STRAIGHT, **GRID}, WHOLE])
def test_every_question_mark_has_the_command_that_answers_it(values):
    """And each input that is named answers one: stated, it is asked no more."""
    design = build_design(values)
    for device in devices(design):
        for one in (*device.ahead, device):
            asked = any(UNSTATED in fact for fact in one.facts) or UNSTATED in one.name
            assert asked == bool(one.unstated), one
    told = lines(design, "r7")
    for name, entry in unstated(devices(design)):
        assert f"  {name}:" in told
        assert f'    galebook set {entry.full} "{entry.example}" --on r7' in told
        assert design.get(entry) is None
    assert not any("galebook set" in line for line in lines(design))


def test_the_chain_ends_where_nothing_goes_on():
    """No line runs on below the last device."""
    for values in ({**STRAIGHT, **HEATER}, {**STRAIGHT, **GRID}, WHOLE):
        told = lines(build_design(values))
        assert told[next(i for i, line in enumerate(told) if line.startswith("Mast earth")) - 2].strip() != "|"
