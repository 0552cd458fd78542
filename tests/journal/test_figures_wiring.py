"""The wiring read back: each device in its place with its numbers, weak spots where the checks find them."""

import pytest

from calc.finding import Finding, Status
from calc.machine.design import build_design
from calc.machine.diagram import Device, devices
from calc.machine.system import System
from calc.rules import RULES, engine
from journal.book import records, sheet, store
from journal.publish import figures, redact
from journal.publish import story as story_of
from journal.publish.figures import wires
from journal.publish.figures.canvas import Picture
from journal.publish.numbers import MachineTold
from journal.review import verdict, wired
from journal.review.wired import Hung, Weak
from tests.calc.sheets import changed
from tests.journal.pictures import Seen, on_the_sheet, over_each_other
from tests.journal.test_drawing_wiring import CASES, STRAIGHT


@pytest.fixture(scope="module")
def told_of(told):
    """The demo's story."""
    with store.journal(told / "demo.db") as s:
        yield redact.for_reader(story_of.tell(s), frozenset())


def drawn(told_of, ref):
    """The wiring of a revision of the demo, and the picture of it seen."""
    (chapter,) = [c for c in told_of.story.chapters if c.revision.ref == ref]
    one = figures.wiring(told_of.machines[ref], chapter.review.findings)
    return one, Seen(one)


@pytest.mark.parametrize("ref", ["r1", "r2"])
def test_every_device_of_the_diagram_has_its_place(told_of, ref):
    """In the same order as in plain text, from the top; on the sheet, and nothing over anything."""
    one, seen = drawn(told_of, ref)
    every = devices(told_of.machines[ref].system.design)
    names = [t.get_text().rstrip(":").lower() for t in seen.axes.texts if t.get_weight() == "bold"]
    wanted = [d.name.lower() for d in every]
    places = [next(i for i, n in enumerate(names) if n.removeprefix("no ") == w.removeprefix("no ")) for w in wanted
              if w != "fuse"]  # fmt: skip
    assert places == sorted(places)
    assert on_the_sheet(seen) == []
    assert over_each_other(seen) == []
    assert one.name == f"wiring-{ref}"


def test_weak_spots_stand_beside_their_device(told_of):
    """A danger with its cross, a fail with its square, in words; what fails nowhere is not marked so."""
    _, seen = drawn(told_of, "r1")
    words = [t.get_text() for t in seen.axes.texts]
    brake, rectifier = words.index("No brake"), words.index("Rectifier:")
    assert "✖ danger: what stops the rotor" in words[brake:rectifier]
    cable = words.index("Cable mast:")
    assert "■ fail: current the cable may carry" in words[cable : cable + 5]
    _, second = drawn(told_of, "r2")
    assert [w for w in (t.get_text() for t in second.axes.texts) if w[:1] in "✖■"] == []


def test_a_branch_hangs_beside_the_line(told_of):
    """Its line ends at its symbol; a lacking one is dashed."""
    for ref, dashed in (("r1", 3), ("r2", 0)):
        _, seen = drawn(told_of, ref)
        across = [x for x in seen.axes.lines if list(x.get_xdata()) == [wires._LINE, wires._BRANCH]]
        assert len(across) == 3
        assert sum(x.get_linestyle() == "--" for x in across) == dashed


def finding(rule, subject, status, title="Something", **more):
    """What a rule says."""
    return Finding(rule=rule, subject=subject, status=status, title=title, says="", **more)


def test_a_weak_spot_belongs_to_its_own_run():
    """A fail of another cable is not told here; of more than two the rest are counted."""
    mine, other = Device("cable", "cable mast", run="mast"), Device("cable", "cable dump", run="dump")
    bad = [finding("wiring.ampacity", "cable.mast", Status.FAIL, "Current")]
    assert wired.weak_spots(mine, bad) == [Weak(Status.FAIL, "Current")]
    assert wired.weak_spots(other, bad) == []
    unknown = finding("protection.main-fuse", "protection", Status.UNKNOWN, "Main fuse")
    deadly = finding("protection.main-fuse", "protection", Status.UNKNOWN, "Main fuse", deadly=True)
    main = Device("main fuse", "Main fuse")
    assert wired.weak_spots(main, [unknown]) == []
    assert [w.words for w in wired.weak_spots(main, [deadly])] == ["not known: main fuse"]


def test_rules_that_mark_exist():
    """Each is the name of a rule of the checks, so that none is lost when one is renamed."""
    from calc.rules import RULES

    known = {r.id for r in RULES}
    assert {rule for rules in wired.ON.values() for rule in rules} - known == set()


def test_long_words_are_cut_and_stay_on_the_sheet():
    """Whatever builders call their runs."""
    long = "x" * 90
    hung = [
        Hung(Device("generator", "Generator"), ("three-phase", "nothing connected, strongest gust: 460 V DC"), ()),
        Hung(Device("cable", f"cable {long}", run=long), (f"34 m, {long} {long}",), (Weak(Status.DANGER, long),), 3),
        Hung(Device("battery", "Battery"), (), ()),
    ]
    seen = Seen(Picture("wiring", "", "", lambda: wires._draw(hung)))
    assert on_the_sheet(seen) == []
    assert over_each_other(seen) == []
    assert "and 3 more" in [t.get_text() for t in seen.axes.texts]


def test_an_empty_sheet_has_no_wiring(path):
    """Question marks alone are no picture."""
    with store.journal(path, write=True) as s:
        empty = verdict.check(s, "r1")
        assert figures.wiring(MachineTold("r1", empty.system), empty.findings) is None
        sheet.set_values(s, records.find_revision(s), {"storage.voltage": {"typed": "12 V"}})
        some = verdict.check(s, "r1")
        one = figures.wiring(MachineTold("r1", some.system), some.findings)
    assert "12 V" in one.alt
    assert on_the_sheet(Seen(one)) == []


@pytest.mark.parametrize("name", CASES)
def test_the_picture_is_no_higher_than_a_page_can_show_it(name):
    """A page is 273 mm high within its margins, and gives the highest 245 mm: letters of 16 points keep 7 then."""
    system = System(build_design(changed(dict(CASES[name]))))
    hung = wired.everything(system, engine.judge_rules(RULES, system, {}))
    picture = wires._pictured("r1", tuple(hung))
    most = 245.0 if picture.slender > 2.4 else 195.0 if picture.slender > 1.6 else 170.0
    # 7.2 inches wide where it is shown at its own size.
    share = min(1.0, most / (7.2 * 25.4 * picture.slender))
    assert 16.0 * share >= 7.0


@pytest.mark.parametrize("name", STRAIGHT)
def test_a_machine_without_a_battery_has_its_picture(name):
    """Each device in its place, and nothing over anything; no battery among them."""
    system = System(build_design(STRAIGHT[name]))
    picture = wires.wiring(MachineTold("r1", system), engine.judge_rules(RULES, system, {}))
    seen = Seen(picture)
    words = " ".join(t.get_text() for t in seen.axes.texts)
    assert "Battery" not in words
    assert {"heater": "Load heater", "grid": "Inverter", "unknown": "What it feeds", "leads": "Load heater",
            "many": "Load d"}[name] in words  # fmt: skip
    assert on_the_sheet(seen) == []
    assert over_each_other(seen) == []


def test_facts_run_on_behind_the_name_and_none_is_lost():
    """Whatever their length; no line is wider than the sheet."""
    for count in range(1, 14):
        facts = tuple(f"{n} mm2 of copper" for n in range(count))
        h = Hung(Device("cable", "cable mast", run="mast"), facts, ())
        told = " ".join(line for line, _ in wires._lines(h))
        assert told.count("mm² of copper") == count or told.endswith("…")
