"""Looking records up by their short references, numbering them, and which build is meant."""

import pytest

from journal.book import (
    attachments,
    attempts,
    builds,
    claims,
    corrections,
    decisions,
    failures,
    measurements,
    parts,
    records,
    revisions,
    sheet,
)
from journal.book.tables import Attempt, Decision, Failure, Measurement, Part, Revision, Setting
from journal.errors import BadInput, NotFound, Refused

pytestmark = pytest.mark.both


def revised(s):
    """Make r2 from an r1 that says something."""
    sheet.set_values(s, records.find_revision(s), {"rotor.diameter": {"typed": "2.2 m"}})
    revisions.revise(s)


@pytest.fixture
def three(s):
    """Three attempts, the second withdrawn."""
    for _ in range(3):
        attempts.log_attempt(s, attempts.AttemptTyped("ran it", outcome="worked"))
    corrections.withdraw(s, "A2", "logged twice")
    return s


def test_a_withdrawn_record_is_only_looked_at(three):
    """In lists it is left out, and its number is never used again."""
    build = records.current_build(three)
    assert [a.ref for a in records.all_records(three, Attempt, build)] == ["A1", "A3"]
    assert [a.ref for a in records.all_records(three, Attempt, build, withdrawn=True)] == ["A1", "A2", "A3"]
    with pytest.raises(Refused, match=r"A2 was withdrawn: logged twice\. See: galebook show A2"):
        records.find_record(three, "A2")
    key = records.find_record(three, "A2", withdrawn=True).key
    assert records.get_record(three, Attempt, key).ref == "A2"
    assert records.standing_record(three, Attempt, key) is None
    assert records.standing_record(three, Attempt, None) is None
    assert records.get_record(three, Attempt, None) is None
    assert records.standing_record(three, Attempt, records.find_record(three, "A3").key).ref == "A3"
    corrections.withdraw(three, "A3", "logged twice")
    assert attempts.log_attempt(three, attempts.AttemptTyped("ran it", outcome="worked")).ref == "A4"


@pytest.mark.parametrize(("ref", "found"), [("A3", "A3"), (" a3 ", "A3"), ("r1", "r1"), ("R1", "r1")])
def test_a_reference_in_any_case(three, ref, found):
    """With blanks around it or not."""
    assert records.find_record(three, ref).ref == found


@pytest.mark.parametrize(
    ("ref", "cls", "error", "words"),
    [
        ("A9", None, NotFound, r"There is no attempt A9 in 'Shed wind generator'\. The last is A3"),
        ("F1", None, NotFound, r"There is no failure F1 in .*There are none yet"),
        ("Z1", None, BadInput, r"'Z1' is not a reference\. References look like r2, A3"),
        ("A", None, BadInput, "is not a reference"),
        ("third", Attempt, BadInput, "References look like A1"),
        ("A3", Failure, BadInput, r"A3 is an attempt, but a failure is wanted here\. Those have references like F1"),
        ("r1", Attempt, BadInput, "r1 is a revision, but an attempt is wanted here"),
    ],
)
def test_what_no_record_is_called(three, ref, cls, error, words):
    """With how far the numbers go, or what a reference looks like."""
    with pytest.raises(error, match=words):
        records.find_record(three, *([ref] if cls is None else [ref, cls]))


def test_the_newest_revision_is_meant_unless_one_is_named(s):
    """And a build without any says so."""
    revised(s)
    assert (records.find_revision(s).ref, records.find_revision(s, "r1").ref) == ("r2", "r1")
    for r in records.all_records(s, Revision, records.current_build(s)):
        r.withdrawn_because = "a test"
    s.flush()
    with pytest.raises(NotFound, match="This build has no revision"):
        records.find_revision(s)


def test_which_build_is_meant(s):
    """The one named for this command, else the one chosen, else the only one."""
    builds.start(s, builds.BuildTyped("Second machine"))
    assert records.current_build(s).name == "Second machine"
    s.info["build"] = "SHED wind generator"
    assert records.current_build(s).name == "Shed wind generator"
    s.info["build"] = "Second machin"
    with pytest.raises(NotFound, match=r"no build called 'Second machin'\. Did you mean 'Second machine'"):
        records.current_build(s)
    s.info["build"] = "zzz"
    with pytest.raises(NotFound, match="See: galebook builds"):
        records.current_build(s)
    s.info["build"] = None
    s.delete(s.get(Setting, s.info.get("choice", "build")))
    s.flush()
    with pytest.raises(Refused, match="There are 2 builds and none was chosen"):
        records.current_build(s)
    first, second = builds.all_builds(s)
    for row in records.all_records(s, Revision, second):
        s.delete(row)
        s.flush()
    s.delete(second)
    s.flush()
    assert records.current_build(s) is first
    assert records.current_build(s).name == "Shed wind generator"


def test_numbers_are_counted_in_each_build(s):
    """From one."""
    attempts.log_attempt(s, attempts.AttemptTyped("ran it", outcome="worked"))
    builds.start(s, builds.BuildTyped("Second machine"))
    assert attempts.log_attempt(s, attempts.AttemptTyped("ran it", outcome="worked")).ref == "A1"


def test_parts_go_from_revision_to_revision(s):
    """A part is carried once, and the earlier revision says so; a fate is that of the last or of the one named."""
    for name, cost in (("motor", "40 GBP"), ("mast", "15 GBP"), ("cable", "10 EUR"), ("rope", None)):
        parts.add_part(s, parts.PartTyped(name, cost=cost))
    revised(s)
    r1, r2 = (records.find_revision(s, r) for r in ("r1", "r2"))
    before = {p.ref: use.fate for p, use in parts.on_revision(s, r2)}
    for ref in {"P1", "P2"} - set(before):
        parts.carry(s, ref)
    with pytest.raises(Refused, match="P1 is already on r2"):
        parts.carry(s, "P1", "r2")
    assert {p.ref: use.fate for p, use in parts.on_revision(s, r1)}["P1"] == "carried on"
    parts.fate(s, "P1", "broken", note="burnt out")
    assert {p.ref: (u.fate, u.fate_note) for p, u in parts.on_revision(s, r2)}["P1"] == ("broken", "burnt out")
    parts.fate(s, "P1", "sold", on="r1")
    assert {p.ref: u.fate for p, u in parts.on_revision(s, r1)}["P1"] == "sold"
    assert {p.ref: u.fate for p, u in parts.on_revision(s, r2)}["P1"] == "broken"
    assert parts.cost(parts.on_revision(s, r1)) == {"GBP": 55.0, "EUR": 10.0}
    corrections.withdraw(s, "P2", "never bought")
    assert [p.ref for p, _ in parts.on_revision(s, r1)] == ["P1", "P3", "P4"]
    assert records.find_record(s, "P1", Part).name == "motor"


def test_a_part_that_is_not_there_has_no_fate(s):
    """On the revision named, or on any."""
    parts.add_part(s, parts.PartTyped("motor"))
    revised(s)
    parts.add_part(s, parts.PartTyped("brake", on="r2"))
    with pytest.raises(Refused, match="P2 is not on r1"):
        parts.fate(s, "P2", "broken", on="r1")
    with pytest.raises(BadInput, match="Fate"):
        parts.fate(s, "P1", "zzz")


def test_criteria_are_kept_in_order_with_their_side(s):
    """Of a figure the side is known; of one's own it is said, more being better unless less is."""
    decisions.open_decision(s, decisions.DecisionTyped("Which mast?"))
    for name, weight, less in (("cost", "2.5", False), ("looks", "1", False), ("noise", "1000", True)):
        decisions.add_criterion(s, "D1", name, weight, less=less)
    found = decisions.criteria(s, records.find_record(s, "D1", Decision))
    assert [(c.name, c.figure, c.weight, c.more_is_better) for c in found] == [
        ("cost", "cost", 2.5, False), ("looks", None, 1.0, True), ("noise", None, 1000.0, False),
    ]  # fmt: skip
    for weight in ("0", "-1", "1001", "much"):
        with pytest.raises(BadInput, match=f"Weight: '{weight}' is not a weight"):
            decisions.add_criterion(s, "D1", "more", weight)


def test_evidence_and_causes_belong_to_their_failure(s):
    """Of two failures, each has its own, oldest first; without a number evidence is about the latest cause."""
    for what in ("it hardly charged", "it broke"):
        failures.log_failure(s, failures.FailureTyped(what))
    one, two = (records.find_record(s, ref, Failure) for ref in ("F1", "F2"))
    first, second = (failures.believe(s, "F1", failures.CauseTyped(what)) for what in ("magnets", "cable"))
    other = failures.believe(s, "F2", failures.CauseTyped("wind"))
    about = [
        failures.add_evidence(s, "F1", failures.EvidenceTyped("seen")),
        failures.add_evidence(s, "F1", failures.EvidenceTyped("heard", cause=1)),
    ]
    failures.add_evidence(s, "F2", failures.EvidenceTyped("felt"))
    assert [e.cause_id for e in about] == [second.id, first.id]
    assert (failures.causes(s, one), failures.causes(s, two)) == ([first, second], [other])
    assert [e.what for e in failures.evidence(s, one)] == ["seen", "heard"]
    given_up = failures.reject(s, "F1", 1, "the spin test speaks against it")
    assert (given_up, given_up.standing, given_up.rejected_because) == (
        first, "rejected", "the spin test speaks against it",
    )  # fmt: skip
    assert second.standing == "believed"
    for number in (0, 3):
        with pytest.raises(Refused, match=f"F1 has no cause number {number}. It has 2"):
            failures.reject(s, "F1", number, "no")


@pytest.mark.alone
def test_files_belong_to_their_record(s, tmp_path):
    """And nothing is in the list of another."""
    file = tmp_path / "a.txt"
    file.write_text("x")
    attempts.log_attempt(s, attempts.AttemptTyped("ran it", outcome="worked"))
    kept = attachments.attach(s, file, "A1", caption="the meter")
    assert attachments.attachments_of(s, "A1") == [kept]
    assert attachments.attachments_of(s, "r1") == []
    assert not attachments.is_damaged(s, kept)
    attachments.stored_at(s, kept).write_text("y")
    assert attachments.is_damaged(s, kept)
    attachments.stored_at(s, kept).unlink()
    assert attachments.is_damaged(s, kept)


def test_a_reading_is_corrected_as_it_was_typed(s):
    """Value and limits follow the text; both are the value where no doubt was typed."""
    m = measurements.log_measurement(s, measurements.MeasurementTyped("charge.current", "3 A", doubt="10 %"))
    assert (m.low, m.value, m.high) == pytest.approx((2.7, 3.0, 3.3))
    read = measurements.read_measurement("charge.current", "4 A")
    assert (read["low"], read["value"], read["high"]) == (4.0, 4.0, 4.0)
    assert records.find_record(s, m.ref, Measurement) is m


@pytest.mark.parametrize(
    ("said", "stated"), [("400 W at 9 m/s", {"power": 400.0, "wind_speed": 9.0}), ("400 W", {"power": 400.0})]
)
def test_what_a_seller_claims_is_on_the_sheet_as_far_as_it_goes(s, said, stated):
    """A claim of power without a wind has no wind there."""
    claims.log_claim(s, said, "the seller")
    values = sheet.load_sheet(s, records.find_revision(s))
    got = {name: values.design.values.get(f"claim.C1.{name}") for name in ("power", "wind_speed")}
    assert {name: v for name, v in got.items() if v is not None} == stated
