"""A decision that is withdrawn takes what its choice put on the draft off again."""

import pytest

from journal.book import attempts, corrections, decisions, health, records, revisions, sheet
from journal.review import weighing

CHANGES = {"storage.voltage": "24 V", "rotor.blades": "3"}


def put(s, path, typed, **more):
    """Set one value on the newest revision."""
    sheet.set_values(s, records.find_revision(s), {path: {"typed": typed, **more}})


@pytest.fixture
def chosen(s):
    """A draft with 12 V, and a decision that put 24 V and three blades on it."""
    put(s, "storage.voltage", "12 V", provenance="data plate", note="as printed")
    decisions.open_decision(s, decisions.DecisionTyped("Which voltage?"))
    weighing.offer_option(s, "D1", decisions.OptionTyped("24 V", changes=CHANGES))
    weighing.choose_option(s, "D1", weighing.ChoiceTyped("24 V", "half the current"))
    return records.find_revision(s)


def stated(s, revision):
    """The values of a revision as they were typed, with where they come from and their notes."""
    return {p: (v.typed, v.provenance, v.note) for p, v in sheet.load_sheet(s, revision).values.items()}


BEFORE = {"storage.voltage": ("12 V", "data plate", "as printed")}


@pytest.mark.both
def test_the_draft_is_as_it_was(s, chosen):
    """What stood there comes back with all that was said of it; what was not stated goes; both are told."""
    corrections.withdraw(s, "D1", "12 V stays")
    assert stated(s, chosen) == BEFORE
    assert s.info["taken_back"] == [
        "storage.voltage of r1 is 12 V again, it was 24 V.", "Took rotor.blades = 3 off r1 again.",
    ]  # fmt: skip
    s.flush()
    assert not list(health.faults(s.connection()))


def test_what_was_set_otherwise_since_stays(s, chosen):
    """And is named."""
    put(s, "rotor.blades", "2")
    corrections.withdraw(s, "D1", "12 V stays")
    assert stated(s, chosen)["rotor.blades"] == ("2", "estimate", None)
    assert "rotor.blades of r1 was set otherwise since, and stays 2." in s.info["taken_back"]


def test_what_was_built_stays(s, chosen):
    """A line tells so; the draft that was made from it is put back."""
    attempts.log_attempt(s, attempts.AttemptTyped("raised it"))
    draft = revisions.revise(s)
    corrections.withdraw(s, "D1", "12 V stays")
    assert stated(s, chosen)["storage.voltage"][0] == "24 V"
    assert stated(s, draft) == BEFORE
    assert "r1 is built and keeps storage.voltage = 24 V." in s.info["taken_back"]


def test_what_nobody_chose_takes_nothing_back(s, chosen):
    """Nor does a record of another kind."""
    decisions.open_decision(s, decisions.DecisionTyped("Which mast?"))
    weighing.offer_option(s, "D2", decisions.OptionTyped("longer", changes={"mast.height": "9 m"}))
    corrections.withdraw(s, "D2", "later")
    assert (s.info["taken_back"], set(stated(s, chosen))) == ([], set(CHANGES))


def test_the_command_says_which(s, chosen, run):
    """In a line each, and the history has the reason."""
    s.commit()
    done = run("withdraw", "D1", "--because", "12 V stays")
    assert done.err.splitlines() == [
        "D1 is withdrawn.", "storage.voltage of r1 is 12 V again, it was 24 V.", "Took rotor.blades = 3 off r1 again.",
    ]  # fmt: skip
    assert run("history", "r1").out.count("because: 12 V stays") == 2
