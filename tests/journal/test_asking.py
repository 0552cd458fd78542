"""Which question comes next, and why; how answers are taken."""

import pytest

from calc.finding import Status
from calc.machine.catalogue import RECORDED, catalogue, split
from journal.book import records, sheet
from journal.errors import BadInput
from journal.review import asking, verdict

#: What the first conversation comes to on the demo's first machine.
FIRST = {
    "rotor.diameter": "1.3 m", "rotor.blades": "3", "generator.emf_constant": "62 rpm/V",
    "generator.winding_resistance": "0.42 ohm", "storage.chemistry": "flooded lead-acid", "storage.voltage": "12 V",
    "storage.capacity": "60 Ah", "cable.mast.carries": "generator after the rectifier", "cable.mast.length": "34 m",
    "cable.mast.area": "2.5 mm2", "mast.kind": "on a roof or gable", "mast.height": "4.5 m",
    "site.mean_wind": "4.6 m/s", "load.first.power": "12 W", "load.first.hours": "6 h/day",
    "rotor.overspeed": "none", "rotor.brake": "none",
}  # fmt: skip


def put(s, values):
    sheet.set_values(s, records.find_revision(s), {path: {"typed": typed} for path, typed in values.items()})
    return verdict.check(s)


def test_what_can_kill_is_asked_first(s):
    """Then what findings wait for, then what a doubt could turn."""
    review = put(s, FIRST)
    todo = asking.questions(review)
    deadly = {path for f in review.deadly for path in f.missing}
    first = [n.path for n in todo[: len(deadly)]]
    assert set(first) == deadly
    assert all("it can kill" in n.because for n in todo[: len(deadly)])
    assert [n.doubtful for n in todo] == sorted(n.doubtful for n in todo)
    assert any(n.doubtful and "of 100 ways" in n.because for n in todo)
    assert not [n for n in todo if n.path.partition(".")[0] in RECORDED]


def test_what_was_left_open_is_not_asked_for(s):
    """Not again at that time."""
    review = put(s, FIRST)
    every = [n.path for n in asking.questions(review)]
    assert [n.path for n in asking.questions(review, every[:3])] == every[3:]
    assert asking.questions(review, every) == []


def test_a_known_value_is_not_asked_for_again_unless_its_doubt_decides(s):
    """Each of the unknown is off the sheet, each of the doubtful on it."""
    review = put(s, FIRST)
    for n in asking.questions(review):
        assert (n.path in review.sheet.values) is n.doubtful


def test_after_each_chapter_the_real_rules_speak(s):
    """What can be said grows with what is known, and holds what check says."""
    said = {c.title: asking.can_be_said(put(s, FIRST), c) for c in asking.CHAPTERS}
    assert all(1 <= len(lines) <= asking.LINES for lines in said.values())
    spoken = {f.first for f in verdict.check(s).findings if f.status is Status.DANGER}
    assert {line.removeprefix("DANGER: ") for line in said["What stops it in a storm"]} <= spoken
    assert said["The battery"][0].startswith("Charges from 7.")


def test_the_first_question_of_an_empty_sheet_has_nothing_said_of_it(s):
    """And nothing breaks where nothing is known."""
    review = verdict.check(s)
    assert [asking.can_be_said(review, c) for c in asking.CHAPTERS] == [[]] * len(asking.CHAPTERS)


@pytest.mark.parametrize("path", [e.named("x") for e in catalogue().values() if not e.recorded])
def test_every_value_can_be_asked_for(path):
    """In words of its own or by the catalogue's meaning; the help tells how it is typed."""
    asked = asking.wording(path)
    assert asked.asks.endswith("?")
    assert split(path)[0].rpartition(".")[2] in asking.help_of(asked)


def test_the_examples_of_the_table_are_values_that_can_be_used():
    """What ``how`` and the raw readings say can be typed as it stands."""
    for chapter in asking.CHAPTERS:
        for asked in chapter.questions:
            for way in asking.ways_of(asked.path):
                assert asking.answer_of(asked, way.like).item["provenance"] == "measured"


@pytest.mark.parametrize(
    ("typed", "item"),
    [
        ("1.3 m", {"typed": "1.3 m", "provenance": "estimate"}),
        ("1.3 m, m", {"typed": "1.3 m", "provenance": "measured"}),
        ("1.3 m , P", {"typed": "1.3 m", "provenance": "data plate"}),
        ("1.3 m, guess", {"typed": "1.3 m", "provenance": "estimate"}),
        ("half 65.0 cm", {"typed": "1.3 m", "doubt": "0.5 %", "provenance": "measured", "note": "from half 65.0 cm"}),
        (
            "half 65.0 cm, g",
            {"typed": "1.3 m", "doubt": "0.5 %", "provenance": "estimate", "note": "from half 65.0 cm"},
        ),
    ],
)
def test_how_a_value_is_known_stands_behind_a_comma(typed, item):
    """Else it is what is usual; a raw reading is measured, and stays beside the value."""
    assert asking.answer_of(asking.wording("rotor.diameter"), typed).item == item


@pytest.mark.parametrize("typed", ["1.3 kg", "1.3 m, x", "half", "", "99 m"])
def test_what_cannot_be_used_is_told(typed):
    """As everywhere."""
    with pytest.raises(BadInput):
        asking.answer_of(asking.wording("rotor.diameter"), typed)


def test_things_are_asked_for_by_the_label_they_have():
    """So that nobody gets a second cable by answering."""
    assert asking.in_place("cable.mast.area", {"cable.long.length": 1}) == "cable.long.area"
    assert asking.in_place("cable.mast.area", {"cable.long.length": 1, "cable.mast.area": 1}) == "cable.mast.area"
    assert asking.in_place("cable.mast.area", {}) == "cable.mast.area"
