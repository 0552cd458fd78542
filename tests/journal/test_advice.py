"""What to do first, and the next revision, on the demo: short, in order, and true when it is done."""

import json
import textwrap
from types import SimpleNamespace

import pytest

from calc.finding import Finding, Status, first_sentence
from calc.machine.design import Design
from calc.machine.system import System
from calc.rules import RULES
from calc.rules.board import Board
from calc.rules.engine import judge_rules
from calc.rules.plan import advise
from calc.rules.search import Matters, search
from calc.units import as_written
from journal.book import store
from journal.review import verdict

#: Lines of the first screen, at the width of a narrow terminal.
MOST_LINES, COLUMNS = 40, 80
WORST = (Status.DANGER, Status.FAIL)


def _strict(text):
    return json.loads(text, parse_constant=lambda c: pytest.fail(f"{c} is no JSON"))


@pytest.fixture
def reviews(told, clock):
    """The demo's two revisions with what to do about them."""
    with store.journal(told / "demo.db") as s:
        yield {ref: verdict.check(s, ref, advise=True) for ref in ("r1", "r2")}


def _judged(design, changes):
    system = System(Design({**design.values, **changes}, design.assumed))
    return {f.key: f.status for f in judge_rules(RULES, system)}


def test_the_first_screen_is_short(story, run, monkeypatch):
    """An impatient builder reads one screen of a narrow terminal, whatever is wrong."""
    monkeypatch.setenv("COLUMNS", str(COLUMNS))
    for ref in ("r1", "r2"):
        lines = run("check", ref).out.splitlines()
        assert len(lines) <= MOST_LINES, ref
        assert max(map(len, lines)) <= COLUMNS, ref


def test_no_finding_on_the_short_screen_is_long(reviews):
    """Sixty words for each, what to do about it counted."""
    for review in reviews.values():
        for todo in review.plan.todos:
            lead = review.by_key[todo.settles[0]]
            assert len(lead.first.split()) <= 35
            for remedy in todo.remedies:
                assert len(first_sentence(remedy.says).split()) <= 30, remedy.says


def test_dangers_stand_first(reviews):
    """No order hides what can hurt people; what can kill and is not known follows before any fail."""
    for review in reviews.values():
        order = [todo.status for todo in review.plan.todos]
        assert order == sorted(order, key=lambda s: s is not Status.DANGER)
        told = {key for t in review.plan.todos for key in (*t.settles, *t.clears)}
        assert {f.key for f in review.with_status(Status.DANGER) if not f.subject.startswith("claim")} <= told


def test_what_holds_the_rotor_back_clears_most_of_the_first_machine(reviews):
    """Roots, current in the cable, its fuse and the charge current all have one cause; nobody wrote that down."""
    first = reviews["r1"].plan.todos[0]
    assert "rotor.overspeed" in {rule for rule, _ in first.settles}
    assert {"blade.root-strength", "wiring.ampacity", "wiring.fuse", "storage.charge-current"} <= {
        rule for rule, _ in first.clears
    }
    design = reviews["r1"].system.design
    change = next(r for r in first.remedies if any(c.path == "rotor.overspeed" for c in r.changes))
    after = _judged(design, {c.path: c.value for c in change.changes})
    assert all(after[key] not in WORST for key in first.clears)


def test_a_plan_that_is_carried_out_leaves_what_it_says(reviews):
    """All changes of all things to do on the sheet, judged from scratch."""
    for review in reviews.values():
        changes = {c.path: c.value for t in review.plan.todos for r in t.remedies for c in r.changes}
        after = _judged(review.system.design, changes)
        wrong = {key for key, status in after.items() if status in WORST and not key[1].startswith("claim")}
        assert wrong == {(rule, subject) for rule, subject, _ in review.plan.left}


def test_every_remedy_of_the_demo_holds(reviews):
    """Applied and judged from scratch: its finding becomes what it says, no danger comes, the year is as told."""
    tried = 0
    for review in reviews.values():
        before = _judged(review.system.design, {})
        for finding in review.findings:
            for remedy in (r for r in finding.remedies if r.changes):
                after = _judged(review.system.design, {c.path: c.value for c in remedy.changes})
                assert after[finding.key] is remedy.becomes, remedy.says
                dangers = {key for key, status in after.items() if status is Status.DANGER}
                assert dangers <= {key for key, status in before.items() if status is Status.DANGER}, remedy.says
                tried += 1
    assert tried > 30


@pytest.mark.parametrize("matters", [Matters.CHANGE, Matters.ENERGY])
def test_each_way_to_the_next_revision_settles_it(reviews, matters):
    """From scratch: neither danger nor fail beside what it names; without any one change something comes back."""
    design = reviews["r1"].system.design
    found = search(Board(RULES, design), matters=matters)
    assert 2 <= len(found.ways) <= 3
    for way in found.ways:
        after = _judged(design, way.changes)
        wrong = {key for key, status in after.items() if status in WORST and not key[1].startswith("claim")}
        assert wrong == {(rule, subject) for rule, subject, _ in way.left}
        assert Status.DANGER not in {after[key] for key in wrong}
        for step in way.steps[: len(way.steps) if way is found.ways[0] else 0]:
            others = {c.path: c.value for s in way.steps if s is not step for c in s.changes}
            missed = _judged(design, others)
            assert any(missed.get(key) in (*WORST, Status.UNKNOWN) for key in step.needed), step.says


def test_what_must_stay_stays(reviews):
    """And what is at hand is used where it serves."""
    design = reviews["r1"].system.design
    keep = ("rotor.diameter", "generator.emf_constant", "generator.winding_resistance")
    for way in search(Board(RULES, design), keep=keep).ways:
        assert not set(keep) & way.changes.keys()


def test_a_way_becomes_a_draft_with_its_decision(story, run):
    """The sheet is that of the old revision with the changes; the ways are the options, one of them chosen."""
    shown = _strict(run("next", "r1", "--json").out)
    made = run("next", "r1", "--write", "1")
    assert made.code == 0
    assert "Made r3 of way 1" in made.err
    sheet = {row["path"]: row for row in _strict(run("sheet", "r3", "--json").out)["values"]}
    changes = [change for step in shown["ways"][0]["steps"] for change in step["changes"]]
    assert changes
    for change in changes:
        row, value = sheet[change["path"]], change["value"]
        word = ("no", "yes")[value] if isinstance(value, bool) else value
        assert row["word"] == word if isinstance(word, str) else row["number"] == pytest.approx(word, rel=1e-6), change
    decisions = _strict(run("list", "decisions", "--json").out)
    assert decisions[-1]["decided_on"]
    dangers = [f for f in _strict(run("check", "r3", "--json").out)["findings"] if f["status"] == "danger"]
    assert dangers == []


def test_next_says_what_would_be_accepted(story, run):
    """Names, values and what matters are looked at before anything is computed."""
    for args, said in (
        (("--keep", "rotor.size"), "no value called 'rotor.size'"),
        (("--keep", "rotor.diametre"), "Did you mean rotor.diameter"),
        (("--for", "beauty"), "least change"),
        (("--have", "generator.emf_constant"), "--have"),
        (("--write", "9"), "no way 9"),
    ):
        result = run("next", "r1", *args)
        assert result.code in (1, 2)
        assert said in result.err
    assert len(_strict(run("list", "revisions", "--json").out)) == 2


def test_one_finding_in_full(story, run):
    """By the name of its rule; of the newest revision if none is named; a mistyped one is told the nearest."""
    full = run("check", "r1", "wiring.fuse")
    assert "Sources" in full.out
    assert "Used" in full.out
    assert run("check", "rotor.overspeed").out.startswith("r2")
    wrong = run("check", "r1", "wiring.fuze")
    assert (wrong.code, "wiring.fuse" in wrong.err) == (1, True)


def test_assumptions_are_told_once(story, run):
    """Numbered, and cited by their numbers."""
    told = run("check", "r1", "--all").out
    body = " ".join(told.split())
    with store.journal(story) as s:
        review = verdict.check(s, "r1", advise=True)
    for assumption in {a for f in review.findings for a in f.assumptions}:
        start = textwrap.shorten(as_written(assumption), 60, placeholder="")
        assert body.count(start) == 1, start


def test_a_verdict_never_promises(reviews):
    """Whatever was found, nothing is called without danger."""
    from journal.review.counsel import verdict_of

    assert verdict_of(reviews["r1"]).stops
    assert verdict_of(reviews["r1"]).text.startswith("DO NOT LET IT TURN")
    for review in reviews.values():
        assert "safe" not in verdict_of(review).text.lower()


def _found(rule, status, *, deadly=False):
    return Finding(rule, rule.partition(".")[0], status, f"Title of {rule}", "It is so.", deadly=deadly)


DANGER, FAIL, UNKNOWN = Status.DANGER, Status.FAIL, Status.UNKNOWN


@pytest.mark.parametrize(
    ("findings", "says"),
    [
        ([("raising.side-guys", DANGER)], "DO NOT RAISE IT: 1 danger."),
        ([("mast.tube-strength", DANGER), ("guy.anchor", DANGER)], "DO NOT RAISE IT: 2 dangers."),
        ([("mast.overhead-lines", DANGER)], "DO NOT RAISE IT: 1 danger."),
        ([("neighbour.fall", DANGER)], "DO NOT RAISE IT: 1 danger."),
        ([("rotor.overspeed", DANGER)], "DO NOT LET IT TURN: 1 danger."),
        ([("rotor.overspeed", DANGER), ("raising.rope", DANGER)], "DO NOT LET IT TURN, NOR RAISE IT: 2 dangers."),
        ([("raising.back-guy", UNKNOWN)], "DO NOT RAISE IT BEFORE THIS IS KNOWN: 1 deadly unknown."),
        ([("protection.main-fuse", UNKNOWN)], "DO NOT LET IT TURN BEFORE THIS IS KNOWN: 1 deadly unknown."),
        ([("mast.tube-strength", FAIL)],
         "DO NOT RAISE IT AS IT IS, it may come down (title of mast.tube-strength): 1 fail."),
        ([("guy.pretension", FAIL), ("yaw.tail-size", FAIL)], "It does not do what it should yet: 2 fail."),
    ],
)  # fmt: skip
def test_the_verdict_names_what_must_not_be_done(findings, says):
    """What kills while it goes up, or brings the mast down, forbids raising it; the rest forbids its turning."""
    from journal.review.counsel import verdict_of

    some = [_found(rule, status, deadly=status is UNKNOWN) for rule, status in findings]
    told = SimpleNamespace(
        revision=SimpleNamespace(frozen_at=None),
        findings=some, by_key={f.key: f for f in some}, accepted={}, deadly=[f for f in some if f.deadly],
        with_status=lambda *statuses: [f for f in some if f.status in statuses],
    )  # fmt: skip
    assert verdict_of(told).text == says
    told.revision.frozen_at = "2026-01-01"
    # What stands already is not told to stay on the ground.
    assert verdict_of(told).text == says.replace("DO NOT RAISE IT AS IT IS", "LOWER IT BEFORE A STORM")
    assert verdict_of(told).stops == (DANGER in [f.status for f in some] or bool(told.deadly))


def test_every_rule_of_raising_and_holding_the_mast_forbids_raising_it():
    """A new rule of lift, guys, base or the mast's strength is among them."""
    from journal.review.counsel import holds_mast

    chapters = ("raising", "guy", "base")
    held = {r.id for r in RULES if holds_mast(_found(r.id, FAIL))}
    strong = {"mast.tube-strength", "mast.joints", "mast.rated-load", "mast.legs", "mast.building"}
    assert held == {r.id for r in RULES if r.id.split(".")[0] in chapters} - {"guy.pretension"} | strong


def test_advice_without_anything_wrong_is_empty():
    """No findings, no remedies, nothing to do."""
    system = System(Design({}, {}))
    advice = advise((), system, [])
    assert (advice.findings, advice.plan.todos, advice.plan.left) == ([], (), ())
