"""One machine, one verdict: every screen says the same of a revision, and no machine is solved twice in a command."""

import json
from collections import Counter

import numpy as np
import pytest

from calc.machine import solving
from journal.book import attempts, measurements, records, revisions, sheet, store
from journal.publish import story as stories
from journal.publish import writeup
from journal.publish.readers import READERS
from journal.review import verdict

pytestmark = pytest.mark.usefixtures("anew")

#: Sheets that are whole, half, wild, and without a battery.
SHEETS = {
    "nothing": {},
    "half": {"rotor.diameter": "1.8 m", "generator.emf_constant": "20 rpm/V", "storage.voltage": "24 V"},
    "two plugs": {"house.feed": "inverter into a socket by a lead with two plugs", "site.mean_wind": "5 m/s"},
    "whole": {
        "rotor.diameter": "2 m", "rotor.blades": "3", "blade.pipe_diameter": "250 mm", "blade.pipe_wall": "6 mm",
        "blade.chord_root": "160 mm", "blade.chord_tip": "80 mm", "generator.emf_constant": "10 rpm/V",
        "generator.winding_resistance": "0.4 ohm", "generator.rated_current": "12 A",
        "storage.chemistry": "LiFePO4", "storage.voltage": "24 V", "storage.capacity": "100 Ah",
        "site.mean_wind": "4.5 m/s", "mast.height": "9 m", "load.lamps.power": "20 W", "load.lamps.hours": "5 h/day",
        "cable.mast.carries": "generator after the rectifier", "cable.mast.length": "30 m", "cable.mast.area": "6 mm2",
    },
}  # fmt: skip


@pytest.fixture(params=["the demo", *SHEETS])
def told_of(request, story, path, monkeypatch):
    """A journal with revisions to tell of, named by GALEBOOK_JOURNAL; and their references."""
    if request.param == "the demo":
        return story, ["r1", "r2"]
    monkeypatch.setenv("GALEBOOK_JOURNAL", str(path))
    with store.journal(path, write=True) as s:
        of = records.find_revision(s)
        sheet.set_values(s, of, {name: {"typed": typed} for name, typed in SHEETS[request.param].items()})
        tried = attempts.log_attempt(s, attempts.AttemptTyped("ran for a day", wind="6 m/s", load_state="battery"))
        measurements.log_measurement(s, measurements.MeasurementTyped("charge.current", "40 A", attempt=tried.ref))
        revisions.revise(s, title="the same again")
    return path, ["r1", "r2"]


def _json(run, *args):
    return json.loads(run(*args, "--json").out)


def _keyed(findings):
    return {(f["rule"], f["subject"]): f["status"] for f in findings}


def test_every_screen_says_the_same(told_of, run):
    """Status, check, compare, missing, doubts, turn, rules accepted and the pages count and name the same findings."""
    _, refs = told_of
    checked = {ref: _json(run, "check", ref)["findings"] for ref in refs}
    counted = {r["ref"]: r["findings"] for r in _json(run, "status")["revisions"]}
    for ref in refs:
        of_machine = [f for f in checked[ref] if not f["subject"].startswith("measured.")]
        assert counted[ref] == Counter(f["status"] for f in of_machine)
        unknown = {key for key, status in _keyed(checked[ref]).items() if status == "unknown"}
        blocked = {(b["rule"], b["subject"]) for m in _json(run, "missing", ref)["missing"] for b in m["blocks"]}
        assert blocked <= unknown
        sure = {(f["rule"], f["subject"]): f["probability"] for f in checked[ref]}
        for row in _json(run, "doubts", ref)["findings"]:
            assert sure[row["rule"], row["subject"]] == row["probability"]
    sides = {"old": refs[0], "new": refs[1]}
    for row in _json(run, "compare", *refs)["findings"]:
        for side, ref in sides.items():
            status = None if row[side] is None else row[side]["status"]
            assert status == _keyed(checked[ref]).get((row["rule"], row["subject"]))


def test_the_pages_say_what_check_says(story, run):
    """The story behind every write-up carries the findings of check."""
    checked = {ref: _keyed(_json(run, "check", ref)["findings"]) for ref in ("r1", "r2")}
    with store.journal(story) as s:
        for chapter in stories.tell(s).story.chapters:
            seen = {f.key: str(f.status) for f in chapter.review.findings}
            assert seen == checked[chapter.revision.ref]


def test_what_check_calls_ok_cannot_be_accepted(story, run):
    """Least of all a reading that agrees only when the doubt of the sheet is counted."""
    ok = [f for f in _json(run, "check", "r2")["findings"] if f["status"] == "ok"]
    for f in [*(f for f in ok if f["rule"] == "measured.agrees"), ok[0]]:
        refused = run("accept", f["rule"], "--on", "r2", "--subject", f["subject"], "--because", "so be it",
                      "--until", "2027-11-25")  # fmt: skip
        assert refused.code == 1, f


@pytest.fixture
def solves(story, monkeypatch):
    """How often each machine was solved, by whether its doubts were sampled; and changes of it, in batches."""
    with store.journal(story) as s:
        own = [dict(verdict.opened(s, records.find_revision(s, ref)).system.design.values) for ref in ("r1", "r2")]
    counted = Counter()
    solve = solving._solve

    def counting(x):
        if x.drawn is not None:
            counted["sampled"] += 1
        elif any(_same(x.design.values, values) for values in own):
            counted["plain"] += 1
        else:
            counted["batches"] += 1
            counted["variants"] += max(np.size(value) for value in x.design.values.values())
        return solve(x)

    monkeypatch.setattr(solving, "_solve", counting)
    return counted


def _same(values, others):
    return values.keys() == others.keys() and all(np.array_equal(value, others[k]) for k, value in values.items())


def _tried(solves):
    """How many changes of machines were solved, and in how many batches; taken off the count."""
    return solves.pop("variants", 0), solves.pop("batches", 0)


@pytest.mark.parametrize(
    ("args", "plain", "sampled"),
    [
        (("power", "r2"), 1, 1),
        (("missing", "r2"), 1, 1),
        (("doubts", "r2"), 1, 1),
        (("why", "F1"), 1, 1),
        (("years", "r2", "--years", "1"), 1, 0),
        (("status",), 2, 2),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else str(value),
)
def test_a_machine_is_solved_once(story, run, solves, args, plain, sampled):
    """Once as it stands and once with its doubts, for each revision that the command tells of."""
    assert run(*args).code in (0, 3)
    assert dict(solves) == {k: v for k, v in (("plain", plain), ("sampled", sampled)) if v}


@pytest.mark.parametrize(
    ("args", "revisions"),
    [(("check", "r2"), 1), *(((("writeup", "--for", reader)), 2) for reader in ("forum", "workshop", "neighbour"))],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else str(value),
)
def test_where_remedies_are_told_only_changes_of_a_machine_are_solved_besides(story, run, solves, args, revisions):
    """The machine itself once, and once with its doubts; what is tried on it without doubts, and many at a time."""
    assert run(*args).code in (0, 3)
    variants, batches = _tried(solves)
    assert dict(solves) == {"plain": revisions, "sampled": revisions}
    assert 0 < 4 * batches < variants


def test_a_comparison_puts_back_what_differs_in_numbers_together(story, run, solves):
    """Each value that changed is put back alone; those that touch the machine are solved as variants of one."""
    changed = json.loads(run("compare", "r1", "r2", "--json").out)["left_as_it_was"]
    _, batches = _tried(solves)
    assert dict(solves) == {"plain": 2, "sampled": 2}
    assert 0 < batches < len(changed) / 2


def test_all_pages_of_a_story_are_made_from_the_same_machines(story, solves):
    """Three readers of two revisions take no more solves than one."""
    with store.journal(story) as s:
        tale = stories.tell(s)
        tried = _tried(Counter(solves))
        for reader in READERS:
            writeup.render(tale, reader, "html")
    assert _tried(solves) == tried
    assert dict(solves) == {"plain": 2, "sampled": 2}


def test_a_changed_sheet_is_judged_anew(path):
    """What was judged in a session holds for the sheet that was judged and for no other."""
    with store.journal(path, write=True) as s:
        first = verdict.check(s)
        assert verdict.check(s).system is first.system
        sheet.set_values(s, records.find_revision(s), {"house.feed": {"typed": "nothing in the house"}})
        second = verdict.check(s)
        assert second.system is not first.system
        assert second.by_key.keys() != first.by_key.keys() or second.findings != first.findings
