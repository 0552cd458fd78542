"""The one-line diagram on paper: every device where it hangs, nothing over anything, dangers drawn as what they are."""

from itertools import combinations

import pytest

from calc.machine.catalogue.house import FEEDS, ON_LEADS, OWN_CIRCUITS, TRANSFER_SWITCH, TWO_PLUGS
from calc.machine.catalogue.storage import DUMP_PLACES, DUMPS
from calc.machine.design import build_design
from calc.machine.diagram import devices
from calc.machine.system import System
from calc.rules import RULES, engine
from journal.drawing import symbols
from journal.drawing.feeding import chain
from journal.drawing.lettering import fold
from journal.drawing.letters import width_of
from journal.drawing.model import Circle, Line, Pen, Words
from journal.drawing.sheets import PAPERS, pages
from journal.drawing.wiring import wiring_drawing
from journal.errors import Refused
from journal.review.wired import Hung
from tests.calc.sheets import changed

FED = {"house.feed": TWO_PLUGS, "cable.house.fuse_distance": 0.1}


def drawn(changes=()):
    """A drawing of a whole sheet with some changes, and its design."""
    system = System(build_design(changed(dict(changes))))
    found = engine.judge_rules(RULES, system, {})
    return wiring_drawing("r1", "Tried", system, found), system.design


def texts(drawing):
    """All lines of words, folded ones after each other."""
    return [p.text for p in drawing.parts if isinstance(p, Words)]


def told(drawing):
    """All words as one text."""
    return " ".join(texts(drawing))


def box(words):
    """Left, bottom, right and top of a line of words, in the font of the drawings."""
    wide = width_of(words.text, words.height)
    left = words.at[0] - (wide / 2 if words.anchor == "middle" else 0.0)
    return left, words.at[1] - 0.25 * words.height, left + wide, words.at[1] + words.height


CASES = {
    "whole": {},
    "two plugs": {"house.feed": TWO_PLUGS},
    "nothing": {"rotor.brake": "none", "dump.kind": "none", "protection.generator_switch": "none",
                "protection.surge": "none", "protection.mast_earth": "none", "protection.battery_switch": False},
    "dump behind": {"dump.place": DUMP_PLACES[1], "cable.dump.carries": "to the dump load", "cable.dump.length": 2.0},
    "loads": {"cable.lights.carries": "battery to loads", "cable.lights.length": 4.0,
              "cable.pump.carries": "battery to loads", "cable.pump.length": 9.0},
    "long way": {f"cable.{n}.carries": "generator after the rectifier" for n in ("a", "b", "c", "d", "e")},
}  # fmt: skip


#: Machines without a battery, in SI.
_GENERATOR = {
    "storage.chemistry": "none", "rotor.diameter": 1.8, "rotor.blades": 3.0, "generator.emf_constant": 1.2732,
    "generator.winding_resistance": 0.6, "generator.phases": "three-phase", "generator.rated_current": 15.0,
    "rotor.brake": "switch that shorts the generator", "mast.height": 9.0, "site.mean_wind": 4.8,
}  # fmt: skip
_LINE = {**_GENERATOR, "cable.main.carries": "generator after the rectifier", "cable.main.length": 34.0,
         "cable.main.area": 6e-6, "generator.rectifier_voltage": 1000.0,
         "generator.rectifier_current": 35.0}  # fmt: skip
_HEATER = {"power": 600.0, "kind": "heater or other resistance", "voltage": 48.0}
STRAIGHT = {
    "heater": {**_LINE, **{f"load.heater.{k}": v for k, v in _HEATER.items()}},
    "grid": {**_LINE, "inverter.power": 1000.0, "inverter.input_voltage_max": 400.0, "dump.power": 1500.0,
             "dump.kind": DUMPS[2], "house.feed": "inverter in parallel with the grid",
             "cable.dump.carries": "to the dump load", "cable.dump.length": 2.0, "cable.dump.area": 4e-6},
    "unknown": dict(_GENERATOR),
    "leads": {**_GENERATOR, **{f"load.heater.{k}": v for k, v in _HEATER.items()}, "load.heater.hangs_on": ON_LEADS,
              "cable.main.carries": "generator before the rectifier", "cable.main.length": 34.0,
              "cable.main.area": 6e-6},
    "many": {**_LINE, **{f"load.{n}.{k}": v for n in "abcd" for k, v in _HEATER.items()}},
}  # fmt: skip


def straight(name, values=None):
    """The drawing of one of them."""
    system = System(build_design(STRAIGHT[name] if values is None else values))
    return wiring_drawing("r1", "Tried", system, engine.judge_rules(RULES, system, {}))


@pytest.mark.parametrize("name", CASES)
def test_words_cover_no_words(name):
    """In the font in which they are printed."""
    drawing, _ = drawn(CASES[name])
    for a, b in combinations([p for p in drawing.parts if isinstance(p, Words)], 2):
        (l1, b1, r1, t1), (l2, b2, r2, t2) = box(a), box(b)
        assert min(r1, r2) - max(l1, l2) < 0.1 or min(t1, t2) - max(b1, b2) < 0.1, (a.text, b.text)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", CASES)
def test_it_fits_one_sheet_on_its_side_and_can_be_read(name, paper):
    """Whatever it has to show: no letter below a print of seven points; notes stand before it where they must."""
    drawing, _ = drawn(CASES[name])
    *before, page = pages(drawing, paper)
    assert len(before) <= 1
    read = [p for sheet in before for layer in sheet.layers for p in layer.parts]
    assert all(isinstance(p, Words) for p in read), "nothing is drawn but on the one sheet"
    assert page.width > page.height
    words = [p for layer in page.layers for p in layer.parts if isinstance(p, Words)]
    for p in words:
        left, bottom, right, top = box(p)
        assert left >= 9.9
        assert bottom >= 9.0
        assert right <= page.width - 9.9
        assert top <= page.height - 9.9
    # The capitals of this font are 0.729 of its size, by the file of the font itself.
    assert min(p.height for p in words) / 0.729 * 72.0 / 25.4 >= 6.95


@pytest.mark.parametrize("name", CASES)
def test_every_device_of_the_diagram_is_drawn(name):
    """Those with which dump load and loads are fed, too; sizes and ratings beside them."""
    drawing, design = drawn(CASES[name])
    said = told(drawing).casefold()
    for device in devices(design):
        if device.kind != "house":
            assert device.name.casefold().removeprefix("no ") in said
        for ahead in device.ahead:
            assert ahead.name.casefold() in said
    assert "2 x 10 mm²" in said or "3 x" in said


def test_a_lead_with_two_plugs_is_drawn_as_one_and_its_danger_told_in_full():
    """Two plugs, one with live pins, the grid joined; the whole of what the check says, numbered at the plug."""
    drawing, design = drawn(FED)
    said = told(drawing)
    for words in ("first plug", "second plug", "BARE PINS, LIVE", "Socket of the house", "Grid", "JOINED"):
        assert words in said
    assert "bare pins are live, and whoever touches them can be killed" in said
    (number,) = [t.split(",")[0] for t in texts(drawing) if t.startswith("DANGER") and "Connection to the house" in t
                 and "," in t]  # fmt: skip
    assert f"{number}: Connection to the house" in said
    links = chain(Hung(devices(design)[-2], (), ()), design)
    assert [h.device.kind for h in links] == ["plug up", "plug", "socket", "house", "grid"]


@pytest.mark.parametrize("feed", FEEDS)
def test_only_what_keeps_the_grid_apart_is_drawn_without_it_joined(feed):
    """Whoever feeds the house in any way that the check calls a danger or a question sees the grid in the drawing."""
    links = chain(Hung(devices(build_design(changed({"house.feed": feed})))[-2], (), ()), build_design(
        changed({"house.feed": feed})))  # fmt: skip
    kinds = {h.device.kind for h in links}
    assert ("grid" in kinds) == (not kinds & {"apart", "changeover"})
    if feed in (OWN_CIRCUITS, TRANSFER_SWITCH):
        assert "grid" not in kinds


def test_what_is_missing_is_a_gap_with_a_cross_and_what_is_not_told_a_question():
    """Never a whole symbol: a fuse that the sheet denies, a residual-current device that is not there."""
    whole, _ = drawn()
    crosses = sum(isinstance(p, Line) and p.pen is Pen.FOLD for p in whole.parts)
    label = next(d.run for d in devices(build_design(changed({}))) if d.kind == "fuse" and d.run)
    gone, _ = drawn({f"cable.{label}.fused": False, "house.rcd": False})
    assert sum(isinstance(p, Line) and p.pen is Pen.FOLD for p in gone.parts) == crosses + 2
    assert "No fuse" in told(gone)
    assert "by the sheet, which names one of" in told(gone)
    assert "No 30 mA" in told(gone)
    asked, _ = drawn({"rotor.brake": None})
    assert [p.text for p in asked.parts if isinstance(p, Words)].count("?") == 1 + texts(whole).count("?")


def test_where_things_go_is_told_to_whoever_fits_them():
    """Kind of fuse, how a cable is laid, where the battery stands, what the dump load is mounted on."""
    said = told(drawn({
        "cable.main.fuse_kind": "ANL", "cable.main.laid": "in conduit or duct", "protection.main_fuse": "class T",
        "protection.main_fuse_distance": 0.15, "storage.place": "box or cabinet outdoors with vents",
        "dump.mounted": "wood or another thing that can burn",
    })[0])  # fmt: skip
    for words in ("ANL", "in conduit or duct", "class T", "0.15 m from the battery", "in: box or cabinet outdoors",
                  "on: wood or another thing"):  # fmt: skip
        assert words in said


def test_the_fuse_of_a_dump_load_is_drawn_at_its_tap_and_what_switches_it_in_its_lane():
    """Nothing but its fuse lies between the tap and the long way to the load; the controller is a box of its own."""
    drawing, _ = drawn({"dump.kind": DUMPS[1], "dump.controller_current": 40.0, "dump.place": DUMP_PLACES[0],
                             "cable.dump.carries": "to the dump load", "cable.dump.length": 2.0,
                             "cable.dump.fuse": 63.0, "cable.dump.fuse_distance": 0.15})  # fmt: skip
    at = {p.text: p.at for p in drawing.parts if isinstance(p, Words)}
    fuse, load = at["Fuse, dump load"], at["Dump load"]
    taps = [p.centre for p in drawing.parts if isinstance(p, Circle) and p.radius == 0.7]
    assert min(abs(x - fuse[0]) for x, _ in taps) < 8.0, "beside its tap"
    assert fuse[1] > at["Cable dump"][1] > at["Charge controller"][1] > load[1]
    assert "rated 40 A" in told(drawing)
    assert "at the tap" in told(drawing)


@pytest.mark.parametrize("feed", [TRANSFER_SWITCH, OWN_CIRCUITS])
def test_what_is_fed_is_told_as_the_sheet_says_and_no_house_or_grid_is_made_up(feed):
    """A shed need have neither."""
    words = told(drawn({"house.feed": feed})[0])
    assert "grid" not in words
    assert "House" not in words
    assert "hence high ratings" in " ".join(drawn({"house.feed": feed})[0].notes)


def test_a_brake_that_is_no_switch_is_not_drawn_as_one():
    """A mechanical brake shorts nothing, and hangs on no wire."""
    bar = symbols.shorting((0.0, 0.0), False)[-1]
    long = {"switch that shorts the generator": 1, "mechanical brake": 0}
    for kind, count in long.items():
        drawing, _ = drawn({"rotor.brake": kind})
        wide = [p for p in drawing.parts if isinstance(p, Line) and p.pen is bar.pen and len(p.points) == 2
                and p.points[0][1] == p.points[1][1] and 4.0 < p.points[1][0] - p.points[0][0] < 6.5]  # fmt: skip
        assert len(wide) == count
        (at,) = [p.at for p in drawing.parts if isinstance(p, Words) and p.text.startswith("Brake")]
        dots = [p for p in drawing.parts if isinstance(p, Circle) and p.radius == 0.7 and 0 < p.centre[0] - at[0] < 34
                and p.centre[1] > at[1]]  # fmt: skip
        assert len(dots) == count


def test_a_sheet_without_generator_and_battery_is_refused():
    """In one line, before anything is drawn."""
    with pytest.raises(Refused, match=r"says nothing of generator, battery, loads or inverter.*galebook set"):
        wiring_drawing("r1", "", System(build_design({})), [])


def test_no_number_is_parted_from_its_unit():
    """Wherever a line is folded, and however long a name is."""
    text = "wire 16 mm2, DC voltage 1000 V, breaks 30000 A, 0.15 m from the battery"
    for wide in range(20, 60):
        for line in fold(text, float(wide), 2.0):
            assert not line[-1].isdigit() or line.endswith(("mm2", "mm²"))
            assert width_of(line, 2.0) <= wide
    assert "".join(fold("x" * 90, 20.0, 2.0)) == "x" * 90


@pytest.mark.parametrize("name", STRAIGHT)
def test_a_machine_without_a_battery_is_drawn_as_what_it_is(name):
    """No bus, switch or fuse of a battery; what it feeds stands in it with its numbers."""
    drawing = straight(name)
    every = [*texts(drawing), *drawing.notes]
    assert not any(
        words in text for text in every for words in ("BATTERY BUS", "Battery", "from the battery", "Main fuse")
    )
    assert any("NO BATTERY" in text for text in texts(drawing))
    for words in {
        "heater": ("Rectifier", "Load heater", "600 W", "48 V", "Cable main", "34 m"),
        "grid": ("Rectifier", "Inverter", "1000 W", "withstands 400 V", "Dump load", "1500 W", "Relay on voltage",
                 "JOINED"),
        "unknown": ("Rectifier", "What it feeds"),
        "leads": ("Load heater", "THE CABLE, AC", "3 x 6 mm²", "ALTERNATING"),
        "many": ("a: heater", "b: heater", "c: heater"),
    }[name]:  # fmt: skip
        assert words in told(drawing), words


def test_without_a_rectifier_none_is_drawn():
    """A heater on the generator's own leads has none between."""
    assert "Rectifier" not in told(straight("leads"))


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", STRAIGHT)
def test_without_a_battery_it_is_as_large_as_its_sheet(name, paper):
    """A few devices fill a sheet's width, and no words lie over others."""
    drawing = straight(name)
    words = [p for p in drawing.parts if isinstance(p, Words)]
    for a, b in combinations(words, 2):
        (l1, b1, r1, t1), (l2, b2, r2, t2) = box(a), box(b)
        assert min(r1, r2) - max(l1, l2) < 0.1 or min(t1, t2) - max(b1, b2) < 0.1, (a.text, b.text)
    assert drawing.bounds.width < 300.0
    drawn_there = [p for layer in pages(drawing, paper)[-1].layers for p in layer.parts if isinstance(p, Words)]
    assert min(p.height for p in drawn_there) / 0.729 * 72.0 / 25.4 >= 6.95


def test_what_may_come_when_nothing_is_connected_is_told_at_the_line():
    """What hangs on it must withstand that: the number of the solved machine, or of its rotor alone."""
    for name in ("heater", "grid"):
        assert any("NO BATTERY; nothing connected, strongest gust" in text for text in texts(straight(name)))


def test_each_of_two_loads_has_a_line_of_its_own_and_none_stands_behind_another():
    """In one lane one below the other they would be drawn in series."""
    two = {**STRAIGHT["heater"], "load.lamp.power": 60.0, "load.lamp.voltage": 48.0, "load.lamp.kind": "filament lamp"}
    at = {p.text: p.at for p in straight("heater", two).parts if isinstance(p, Words)}
    assert at["Load heater"][1] == at["Load lamp"][1]
    assert at["Load heater"][0] != at["Load lamp"][0]


def test_dangers_that_have_no_room_stand_among_the_notes_in_full():
    """A drawing that would shrink for them is worth less than a page of notes."""
    drawing, _ = drawn({**CASES["nothing"], **CASES["loads"], "house.feed": TWO_PLUGS,
                        **{f"cable.{n}.carries": "generator after the rectifier" for n in "abcdefghij"}})  # fmt: skip
    numbered = {text.split(":")[0] for text in texts(drawing) if text.startswith("DANGER") and ":" in text}
    full = [text for text in (*drawing.notes, told(drawing)) if "bare pins are live" in text]
    assert len(full) == 1
    assert full[0] in drawing.notes
    assert {note.split(",")[0] for note in drawing.notes if note.startswith("DANGER")} >= numbered
