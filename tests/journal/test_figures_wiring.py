"""The wiring read back: each device in its place with its numbers, weak spots where the checks find them."""

import pytest

from calc.finding import Finding, Status
from calc.machine.diagram import Device, devices
from journal.book import records, sheet, store
from journal.publish import figures, redact
from journal.publish import story as story_of
from journal.publish.figures import wires
from journal.publish.figures.canvas import Picture
from journal.publish.numbers import MachineTold
from journal.review import verdict, wired
from journal.review.wired import Hung, Weak
from tests.journal.pictures import Seen, on_the_sheet, over_each_other


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
