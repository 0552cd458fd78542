"""Options laid side by side: what stands behind each mark, what leads and what would take the lead away."""

import math
from types import SimpleNamespace

import pytest

from journal.book import decisions, sheet
from journal.book.records import find_revision
from journal.book.tables import Criterion, Option
from journal.review import weighing
from journal.review.options import view_decision
from tests.conftest import rows


@pytest.mark.parametrize(
    ("name", "value", "currency", "text"),
    [
        ("cost", 90.0, "GBP", "90 GBP"), ("cost", 90.5, None, "90.5"), ("mass", 3.0, None, "3 kg"),
        (None, 7.5, None, "7.5"), (None, 10.0, "GBP", "10"), ("cost", math.nan, "GBP", "not known"),
        (None, math.nan, None, "not known"),
    ],
)  # fmt: skip
def test_what_stands_behind_a_mark(name, value, currency, text):
    """The figure with its unit, or the builder's own marks."""
    option = Option(decision_id=1, position=1, name="a", changes="{}", currency=currency)
    criterion = Criterion(decision_id=1, name=name or "looks", figure=name, more_is_better=True, weight=1.0)
    assert weighing._value_text(option, criterion, value) == text


@pytest.mark.parametrize(
    ("name", "value"), [("cost", 90.0), ("mass", math.nan), ("yearly_energy", 5.0), ("findings", math.nan)]
)
def test_a_figure_of_an_option(name, value):
    """Typed, or computed when it was offered; not known where it is neither."""
    option = Option(
        decision_id=1, position=1, name="a", changes="{}", cost=90.0, consequences='{"figures": {"yearly_energy": 5.0}}'
    )
    got = weighing._figure(option, name)
    assert got == value or (math.isnan(got) and math.isnan(value))
    assert math.isnan(weighing._figure(Option(decision_id=1, position=1, name="a", changes="{}"), "yearly_energy"))


@pytest.fixture
def masts(s):
    """A decision with two options of known cost and mass."""
    decisions.open_decision(s, decisions.DecisionTyped("Which mast?"))
    for name, cost, mass in (("pole", "100 GBP", "20 kg"), ("lattice", "300 GBP", "10 kg")):
        weighing.offer_option(s, "D1", decisions.OptionTyped(name, cost=cost, mass=mass, summary=f"a {name}"))
    return s


def test_less_is_better_of_cost_and_mass(masts):
    """The better has ten marks, the worse none; the leader is who has the greater weighted mean."""
    decisions.add_criterion(masts, "D1", "cost", "1.1")
    decisions.add_criterion(masts, "D1", "mass", "1")
    got = weighing.decision_matrix(masts, "D1")
    assert got.marks == [[10.0, 0.0], [0.0, 10.0]]
    assert got.totals == pytest.approx([11 / 2.1, 10 / 2.1])
    assert got.leader.name == "pole"
    assert got.values == [["100 GBP", "20 kg"], ["300 GBP", "10 kg"]]
    # A fifth either way is tried: 0.88 against 1, and 1.1 against 1.2.
    assert got.turning == ["cost weighed less by 20%", "mass weighed more by 20%"]


def test_without_criteria_or_options_there_is_nothing_to_lay_out(masts):
    """None, not an empty table."""
    assert weighing.decision_matrix(masts, "D1") is None
    decisions.open_decision(masts, decisions.DecisionTyped("Which rope?"))
    decisions.add_criterion(masts, "D2", "cost", "1")
    assert weighing.decision_matrix(masts, "D2") is None


def test_marks_of_ones_own_are_asked_for(masts):
    """An option without one has no total, and does not lead."""
    decisions.add_criterion(masts, "D1", "looks", "1")
    decisions.give_marks(masts, "D1", "pole", "looks", "8")
    got = weighing.decision_matrix(masts, "D1")
    assert (got.marks, got.leader.name) == ([[8.0], [None]], "pole")
    assert got.values == [["8"], ["not known"]]
    assert got.totals == [8.0, None]


def test_an_option_is_shown_as_it_was_weighed(masts):
    """Its cost with its money, its mass, what it changes; what the decision supersedes."""
    sheet.set_values(masts, find_revision(masts), {"mast.height": {"typed": "6 m"}})
    weighing.offer_option(masts, "D1", decisions.OptionTyped("taller", changes={"mast.height": "9 m"}))
    weighing.choose_option(masts, "D1", weighing.ChoiceTyped("pole", "cheap"))
    view = view_decision(masts, "D1")
    assert (view.decision.ref, view.revision, view.supersedes) == ("D1", "r1", None)
    pole, lattice, taller = view.options
    assert (pole.position, pole.name, pole.summary, pole.cost, pole.mass) == (1, "pole", "a pole", "100 GBP", 20.0)
    assert [o.chosen for o in (pole, lattice, taller)] == [True, False, False]
    assert (taller.changes, taller.cost, taller.mass, taller.refused) == ({"mast.height": "9 m"}, "", None, None)
    assert pole.changes == {}
    assert set(pole.figures) >= {"findings"}


def finding(status):
    """What is counted of a finding."""
    return SimpleNamespace(status=status)


def test_what_goes_wrong_is_counted_with_dangers_tenfold():
    """So that no number of failures outweighs one of them lightly."""
    review = SimpleNamespace(
        system=SimpleNamespace(figures={}),
        with_status=lambda status: {"danger": [1, 2], "fail": [1, 2, 3]}[str(status)],
    )
    assert weighing._figures(review) == {"findings": 23.0}


def test_what_was_decided_on_a_built_revision_goes_onto_the_next(run, path):
    """It cannot be built in any more; whoever makes the next revision finds it there, and undo takes all of it back."""
    for line in (
        ("set", "mast.height", "8 m"), ("decide", "How high?"), ("option", "D1", "taller", "--set", "mast.height=12 m"),
        ("attempt", "ran"), ("choose", "D1", "taller", "--because", "the hedge"),
    ):  # fmt: skip
        assert run(*line).code == 0
    made = run("revise")
    assert "D1: mast.height = 12 m" in made.err
    stands = "SELECT typed FROM sheetvalue JOIN revision ON revision.id = revision_id WHERE revision.number = ?"
    assert rows(path, stands, 2) == [("12 m",)]
    assert rows(path, stands, 1) == [("8 m",)]
    assert run("undo").code == 0
    assert rows(path, stands, 2) == []
    # Once it is built in, it is not told again.
    assert run("revise").code == 0
    assert run("attempt", "ran", "--on", "r3").code == 0
    assert "D1" not in run("revise").err
