"""The one-line diagram on paper: every device where it hangs, nothing over anything, dangers drawn as what they are."""

from itertools import combinations

import pytest

from calc.machine.catalogue.house import FEEDS, OWN_CIRCUITS, TRANSFER_SWITCH, TWO_PLUGS
from calc.machine.catalogue.storage import DUMP_PLACES, DUMPS
from calc.machine.design import build_design
from calc.machine.diagram import devices
from calc.machine.system import System
from calc.rules import RULES, engine
from journal.drawing import symbols
from journal.drawing.feeding import chain
from journal.drawing.letters import width_of
from journal.drawing.model import Circle, Line, Pen, Words
from journal.drawing.sheets import PAPERS, pages
from journal.drawing.wiring import fold, wiring_drawing
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
    """Whatever it has to show; letters of facts no lower than 1.3 mm, which is a print of five points."""
    drawing, _ = drawn(CASES[name])
    (page,) = pages(drawing, paper)
    assert page.width > page.height
    words = [p for layer in page.layers for p in layer.parts if isinstance(p, Words)]
    for p in words:
        left, bottom, right, top = box(p)
        assert left >= 9.9
        assert bottom >= 9.0
        assert right <= page.width - 9.9
        assert top <= page.height - 9.9
    assert min(p.height for p in words if p.text != "grid") >= 1.3


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
    with pytest.raises(Refused, match="says nothing of generator and battery"):
        wiring_drawing("r1", "", System(build_design({})), [])


def test_no_number_is_parted_from_its_unit():
    """Wherever a line is folded, and however long a name is."""
    text = "wire 16 mm2, DC voltage 1000 V, breaks 30000 A, 0.15 m from the battery"
    for wide in range(20, 60):
        for line in fold(text, float(wide), 2.0):
            assert not line[-1].isdigit() or line.endswith(("mm2", "mm²"))
            assert width_of(line, 2.0) <= wide
    assert "".join(fold("x" * 90, 20.0, 2.0)) == "x" * 90


def test_a_machine_without_a_battery_is_not_drawn_as_one_with_it():
    """Loads that hang on the rectifier hang on no battery's bus."""
    system = System(build_design({"storage.chemistry": "none", "generator.emf_constant": 1.0}))
    with pytest.raises(Refused, match="has no battery"):
        wiring_drawing("r1", "r1", system, ())
