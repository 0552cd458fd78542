"""Checking a revision, comparing two, and the shapes that scripts rely on."""

import dataclasses
import json
import re
from types import SimpleNamespace

import pytest

from calc.finding import WORST_FIRST, Finding, Status
from calc.machine import system
from calc.machine.design import build_design
from calc.machine.system import System
from calc.rules import RULES, engine
from calc.rules.engine import judge_rules
from calc.rules.plan import Plan
from journal.book import names, records, sheet, store
from journal.errors import BadInput
from journal.review import comparison, verdict
from tests.calc.test_rules_machine import PIPE

#: What every finding has in JSON.
FIELDS = {
    "rule", "subject", "status", "title", "says", "value", "limit", "unit", "margin", "inputs", "assumptions", "remedy",
    "sources", "probability", "more", "remedies", "accepted_by", "of_reading",
}  # fmt: skip


def strict(text):
    """JSON as the standard has it: no NaN, no Infinity."""

    def refuse(word):
        raise ValueError(word)

    return json.loads(text, parse_constant=refuse)


@pytest.mark.parametrize("ref", ["r1", "r2"])
def test_the_check_as_json(story, run, ref):
    """The verdict, what to do first, and every finding with all its fields; the exit code says whether any fails."""
    result = run("check", ref, "--json")
    data = strict(result.out)
    assert list(data) == ["revision", "verdict", "plan", "findings"]
    assert data["revision"] == ref
    assert set(data["verdict"]) == {"stops", "text"}
    dangers = any(f["status"] == "danger" for f in data["findings"])
    assert (data["verdict"]["stops"], data["verdict"]["text"].startswith("DO NOT LET IT TURN")) == (dangers, dangers)
    assert set(data["plan"]) == {"todos", "left", "effects"}
    for todo in data["plan"]["todos"]:
        assert set(todo) == {"status", "settles", "remedies", "clears", "shifts"}
        assert {f["status"] for f in data["findings"] if [f["rule"], f["subject"]] in todo["settles"]} >= {
            todo["status"]
        }
    assert all(set(f) >= FIELDS for f in data["findings"])
    assert {f["status"] for f in data["findings"]} <= {"ok", "stated", "marginal", "fail", "danger", "unknown"}
    failed = any(f["status"] in ("fail", "danger") for f in data["findings"])
    assert (result.code, result.err) == (3 if failed else 0, "")


def test_the_exit_code_is_nought_when_nothing_fails(path, run):
    """An empty sheet is unknown, which is no failure."""
    result = run("check", "--json")
    assert result.code == 0
    assert {f["status"] for f in strict(result.out)["findings"]} == {"unknown"}


def test_marginal_alone_does_not_fail(path, run, anew, monkeypatch):
    """Only fail and danger do."""
    only = [Finding("a.b", "a", status, "t", "s.") for status in (Status.MARGINAL, Status.OK, Status.UNKNOWN)]
    monkeypatch.setattr(engine, "judge_rules", lambda *_: only)
    assert run("check").code == 0
    monkeypatch.setattr(engine, "judge_rules", lambda *_: [*only, dataclasses.replace(only[0], status=Status.DANGER)])
    assert run("check").code == 3


@pytest.mark.parametrize("ref", ["r1", "r2"])
def test_findings_come_worst_first_with_numbers_that_belong_together(story, run, ref):
    """A value has a unit where it has a limit; a probability lies between nought and one; inputs have a source."""
    findings = strict(run("check", ref, "--json").out)["findings"]
    ranks = [0.5 if f["deadly"] else WORST_FIRST.index(f["status"]) for f in findings]
    assert ranks == sorted(ranks)
    assert all(f["status"] == "unknown" for f in findings if f["deadly"])
    for f in findings:
        assert f["probability"] is None or 0 <= f["probability"] <= 1
        assert f["margin"] is None or f["value"] is not None
        assert f["limit"] is None or f["value"] is not None
        assert f["sources"]
        assert all(i["provenance"] for i in f["inputs"])
        assert (f["status"] == "unknown") or f["inputs"] or f["assumptions"]


def test_the_same_check_twice_is_the_same(story, run):
    """Sampling has a fixed seed: the probabilities do not flicker."""
    assert run("check", "r1", "--json") == run("check", "r1", "--json")


def test_the_story_turns_as_it_is_told(story):
    """r1 was a danger and hardly charged; r2 has no danger left, and at least those turned for the better."""
    with store.journal(story) as s:
        found = comparison.compare(s, "r1", "r2")
        assert found.old.with_status(Status.DANGER)
        assert not found.new.with_status(Status.DANGER)
        turns = {t.title: t.turn for t in found.turns}
        fates = {turns[f.title] for f in found.old.with_status(Status.DANGER)}
        # What was fixed to the gable has no finding any more, for it stands on a mast of its own.
        assert fates == {"better", "now only stated, not checked", "gone"}


def test_what_changed_is_what_differs(story):
    """Every changed line differs, and every value that differs has a line."""
    with store.journal(story) as s:
        found = comparison.compare(s, "r1", "r2")
        old, new = found.old.sheet.values, found.new.sheet.values
        lines = {row.path: (row.old, row.new) for row in found.changed}
        assert lines["rotor.diameter"] == ("1.3 m", "2.2 m")
        assert lines["generator.emf_constant"] == ("62 rpm/V", "7.5 rpm/V")
        assert lines["cable.inverter.length"] == ("", "1.5 m")
        differ = {
            p
            for p in old.keys() | new.keys()
            if p not in old or p not in new or (old[p].number, old[p].word) != (new[p].number, new[p].word)
        }
        assert set(lines) == differ


def test_two_machines_are_compared_by_what_is_theirs(story, run):
    """How far each throws, not where the nearest of those stands whom it could hit; a higher voltage is told as one."""
    turns = {(t["rule"], t["subject"]): t for t in strict(run("compare", "r1", "r2", "--json").out)["findings"]}
    thrown = turns["neighbour.throw", "neighbour"]
    far = [thrown[side]["limit"] for side in ("old", "new")]
    told = " ".join(run("compare", "r1", "r2", "--all").out.split())
    row = re.search(r"Within reach of a thrown piece danger, (\d+) m marginal, (\d+) m better(.{35})", told)
    # Rounded up, as it warns, and as the finding itself tells it.
    assert all(0 <= float(told) - d < 10.0 for d, told in zip(far, (row[1], row[2]), strict=True))
    assert all(
        f"up to {told} m edge first" in thrown[side]["says"] for side, told in (("old", row[1]), ("new", row[2]))
    )
    assert "though" not in row[3]
    assert [thrown[side]["value"] for side in ("old", "new")] != far
    risen = re.search(r"danger, (\d+) V marginal, (\d+) V can kill; enclosed by your word only", told)
    assert float(risen[2]) > float(risen[1])


@pytest.mark.parametrize(
    ("rule", "own"),
    [
        ("neighbour.throw", "limit"), ("neighbour.fall", "limit"), ("site.setback", "limit"),
        ("mast.overhead-lines", "limit"), ("mast.height", "value"), ("wiring.ampacity", "value"),
    ],
)  # fmt: skip
def test_the_machines_own_number_is_named_by_the_rule(rule, own):
    """Where the value is a distance on the ground, it is the reach that changes with the machine."""
    around = {"neighbour.lane.kind": "road", "neighbour.lane.distance": 40.0, "site.boundary": 12.0}
    sheet_of = build_design(PIPE | around)
    found = next(f for f in judge_rules([r for r in RULES if r.id == rule], System(sheet_of)))
    assert found.figure == getattr(found, own) is not None
    assert found.value != found.limit


def test_turns_say_which_way(story):
    """Each turn follows from the two statuses, by a table of its own here."""
    rank = {"ok": 0, "stated": 0, "marginal": 1, "fail": 2, "danger": 3}
    with store.journal(story) as s:
        turns = comparison.compare(s, "r1", "r2").turns
    for t in turns:
        if t.old is None or t.new is None:
            expected = "new" if t.old is None else "gone"
        elif t.old.status == t.new.status:
            expected = "same"
        elif t.new.status == "stated":
            expected = "now only stated, not checked"
        elif t.old.status == "stated" and t.new.status in ("ok", "marginal"):
            expected = "now checked"
        elif "unknown" in (t.old.status, t.new.status):
            expected = "now known" if t.old.status == "unknown" else "no longer known"
        else:
            expected = "better" if rank[t.new.status] < rank[t.old.status] else "worse"
        assert t.turn == expected
    assert {t.turn for t in turns} >= {"better", "new"}


def test_parts_and_their_cost(story):
    """Gone, new and kept add up to both lists; the cost is the sum of each."""
    with store.journal(story) as s:
        c = comparison.compare(s, "r1", "r2")
        names = {key: {p.name for p in getattr(c, f"parts_{key}")} for key in ("gone", "new", "kept")}
    assert "industrial servo motor" in names["gone"]
    assert "direct-drive scooter hub motor" in names["new"]
    assert not names["new"] & (names["gone"] | names["kept"])
    # The costs of r1 as the story has them: motor 40, mast 15, cable 38, rectifier 6, the rest found.
    assert c.cost_old == {"GBP": 99.0}


def test_failures_are_answered_or_not(story, run):
    """What r2 does about each failure of r1."""
    answers = {a["failure"]: a["answered"] for a in strict(run("compare", "r1", "r2", "--json").out)["failures"]}
    assert answers["F1"] == "yes, and shown to work"
    assert answers["F2"] in ("no", "built in, not yet shown to work", "yes, and shown to work")
    assert set(answers) == {"F1", "F2", "F3"}


def test_measured_values_stand_side_by_side(story, run):
    """Readings of the same quantity in both."""
    measured = {b["quantity"]: b for b in strict(run("compare", "r1", "r2", "--json").out)["measured"]}
    emf = measured["generator.emf"]
    assert [len(emf[side]) for side in ("old", "new")] == [1, 1]


@pytest.mark.parametrize("refs", [("r1", "r1"), ("r2", "R2")])
def test_a_revision_is_not_compared_with_itself(story, run, refs):
    """One line, exit code 2."""
    result = run("compare", *refs)
    assert (result.code, result.err.count("\n")) == (2, 1)
    assert "same revision" in result.err


def test_a_check_with_changes_touches_nothing(opened, s):
    """A what-if is not a change."""
    before = sheet.load_sheet(s, records.find_revision(s)).values
    result = verdict.check(s, changes={"rotor.diameter": "2.2 m"})
    assert result.sheet.values["rotor.diameter"].number == 2.2
    s.flush()
    assert (before, sheet.load_sheet(s, records.find_revision(s)).values) == ({}, {})


def test_a_wrong_rule_is_told_with_the_nearest():
    """A rule is named by its id."""
    with pytest.raises(BadInput, match=r"Did you mean wiring\.voltage-drop"):
        names.rule_named("wiring.voltage-drpo")


@pytest.mark.parametrize(
    ("p", "words"),
    [(None, ""), (0.0, ""), (1.0, ""), (0.94, "94"), (0.001, "less than 1"), (0.999, "more than 99")],
)
def test_a_probability_in_words(p, words):
    """Never a false 0 or 100; of what is wrong or holds how sure that is, of what is just enough how often it fails."""
    for status in (Status.FAIL, Status.DANGER):
        said = f"Sure: {words} in 100, given what you know." if words else ""
        assert verdict.ways(Finding("a.b", "a", status, "t", "s.", probability=p)) == said
    close = f"It misses its limit in {words} of 100, given what you know." if words else ""
    assert verdict.ways(Finding("a.b", "a", Status.MARGINAL, "t", "s.", probability=p)) == close
    for status in (Status.OK, Status.STATED):
        said = f"It holds in {words} of 100, given what you know." if words else ""
        held = None if p is None else 1.0 - p
        assert verdict.ways(Finding("a.b", "a", status, "t", "s.", probability=held)) == said


@pytest.mark.parametrize(
    "line", ["check r2", "status", "missing r2", "doubts r2", "compare r1 r2", "why F1", "writeup --for neighbour"]
)
def test_a_machine_without_a_battery_is_told_of(story, run, line):
    """Lamps only is a first test that many make: what needs a battery is unknown, and nothing breaks."""
    assert run("set", "storage.chemistry", "none", "--on", "r2", "--correct", "lamps only").code == 0
    assert run(*line.split()).code in (0, 3)


def test_what_cannot_be_solved_without_a_battery_is_refused_with_the_reason(story, run):
    """In one line: lights of a kind that is no resistance."""
    run("set", "storage.chemistry", "none", "--on", "r2", "--correct", "lamps only")
    refused = run("power", "r2")
    assert (refused.code, refused.err.count("\n")) == (1, 1)
    assert "only lamps and heaters can be solved" in refused.err


LAMPS = {
    "rotor.diameter": "2.2 m", "rotor.blades": "3", "blade.pipe_diameter": "250 mm", "blade.pipe_wall": "6.2 mm",
    "blade.chord_root": "150 mm", "blade.chord_tip": "70 mm", "generator.emf_constant": "7.5 rpm/V",
    "generator.winding_resistance": "0.24 ohm", "storage.chemistry": "none", "load.lamps.kind": "filament lamp",
    "load.lamps.power": "110 W", "load.lamps.voltage": "24 V", "load.lamps.hours": "5 h/day",
    "cable.mast.carries": "generator after the rectifier", "cable.mast.length": "34 m", "cable.mast.area": "10 mm2",
    "rotor.overspeed": "furling tail", "rotor.limit_wind": "11 m/s", "mast.height": "8 m", "site.mean_wind": "4.6 m/s",
}  # fmt: skip


def test_lamps_without_a_battery_are_solved_and_judged(path, run):
    """The first test that many make: it lights up, in which wind, and when the lamps burn out."""
    for name, typed in LAMPS.items():
        assert run("set", name, typed).code == 0
    power = run("power")
    assert (power.code, "Lamps" in power.out, "current begins to flow" in power.out) == (0, True, True)
    judged = {(f["rule"], f["subject"]): f for f in strict(run("check", "--json").out)["findings"]}
    assert judged["loads.over-voltage", "load.lamps"]["status"] == "fail"
    drop = judged["wiring.voltage-drop", "cable.mast"]
    assert " kWh a year, " in drop["says"]
    assert "of the lamps' 24 V" in drop["more"]
    assert not {rule for rule, _ in judged} & {"storage.dump", "protection.main-fuse", "generator.match"}
    assert "battery" not in judged["loads.need", "load"]["says"]


def _order(out, *texts):
    places = [out.index(text) for text in texts]
    assert places == sorted(places), places


def test_what_can_kill_and_is_not_known_is_named_right_after_the_dangers(story, run):
    """On check, status, missing and the pages: the first machine's main fuse and the air for its battery's gas."""
    check = run("check", "r1").out
    _order(check, "1  DANGER  ", "NOT KNOWN, AND IT CAN KILL", "main fuse of the battery", "  FAIL  ", "Unknown")
    after = check.index("NOT KNOWN, AND IT CAN KILL")
    assert "DANGER  " not in check[after:]
    assert check.lower().count("main fuse of the battery") == 1
    everything = run("check", "r1", "--all").out
    assert everything.index("Main fuse of the battery") < everything.index("Wind in which charging begins")
    missing = strict(run("missing", "r1", "--json").out)["missing"]
    assert {m["path"] for m in missing if m["deadly"]} == {"protection.main_fuse", "storage.vent_area"}
    assert [m["deadly"] for m in missing] == sorted((m["deadly"] for m in missing), reverse=True)
    _order(run("missing", "r1").out, "it can kill", "protection.main_fuse", "Also missing")
    run("unset", "protection.main_fuse", "--on", "r2", "--correct", "not sure")
    _order(
        run("status").out, "Not known on r2, and it can kill", "  main fuse of the battery. See", "Failures still open"
    )
    _order(
        run("writeup", "--for", "forum").out, "it can kill:** main fuse of the battery", "The rotor's lowest point is"
    )
    _order(run("writeup", "--for", "workshop").out, "and it can kill: main fuse of the battery", "Open failures")
    page = run("writeup", "--for", "neighbour").out
    assert "people could be hurt by it: whether battery or wiring can catch fire." in page


@pytest.mark.parametrize(
    ("name", "typed", "rule"),
    [
        ("protection.brake_place", "after the rectifier", "protection.brake-switch"),
        ("protection.main_fuse", "none", "protection.main-fuse"),
        ("cable.dump.fused", "no", "dump.circuit"),
        ("inverter.fuse", "200 A", "inverter.fuse"),
        ("dump.mounted", "wood or another thing that can burn", "dump.mount"),
        ("mast.line_distance", "6 m", "mast.overhead-lines"),
    ],
)
def test_what_kills_cannot_be_waived(story, run, name, typed, rule):
    """A danger is refused by accept, whatever the reason given."""
    run("set", name, typed, "--on", "r2", "--correct", "as it is")
    refused = run("accept", rule, "--on", "r2", "--because", "it has held so far", "--until", "2027-11-25")
    assert refused.code == 1
    assert "danger" in refused.err


def test_a_winding_that_burns_is_said_to_burn(path, run):
    """No watts and degrees of a winding that is not there any more."""
    hot = {name: v for name, v in LAMPS.items() if not name.startswith(("load.", "rotor.over", "rotor.limit"))}
    hot |= {"storage.chemistry": "flooded lead-acid", "storage.voltage": "12 V", "storage.capacity": "60 Ah",
            "generator.rated_current": "5 A"}  # fmt: skip
    for name, typed in hot.items():
        run("set", name, typed)
    power, data = run("power").out, strict(run("power", "--json").out)
    assert "the winding burns out" in power
    assert data["burns"] > data["curve"][-1]["wind_speed"]
    assert max(row["winding"] for row in data["curve"]) < 673.15
    heat = next(f for f in strict(run("check", "--json").out)["findings"] if f["rule"] == "generator.heat")
    assert (heat["status"], heat["value"], heat["limit"]) == ("fail", None, None)
    assert "it burns out" in heat["says"]


#: A machine whose blades lie near the end of the section table, as a builder would type it.
EDGE = {
    "rotor.diameter": "1.3 m",
    "rotor.blades": "3",
    "blade.material": "PVC-U pipe",
    "blade.pipe_diameter": "160 mm",
    "blade.pipe_wall": "4 mm",
    "blade.chord_root": "122 mm +- 6 mm",
    "blade.chord_tip": "70 mm",
    "generator.emf_constant": "30 rpm/V",
    "generator.phases": "three-phase",
    "generator.winding_resistance": "0.4 ohm",
    "storage.chemistry": "flooded lead-acid",
    "storage.voltage": "12 V",
    "storage.capacity": "60 Ah",
    "mast.height": "6 m",
    "site.mean_wind": "4.6 m/s",
}


@pytest.mark.parametrize("known", [True, False])
def test_ways_that_cannot_be_computed_are_told_and_no_value_is_its_own_range(path, run, anew, monkeypatch, known):
    """The deepest arc of which the section table tells is a chord of 125 mm of this pipe."""
    if not known:
        monkeypatch.setattr(system, "LEAST_LEFT", 0.99)
    for name, typed in EDGE.items():
        assert run("set", name, typed).code == 0
    power, doubts = run("power"), run("doubts")
    assert (power.code, doubts.code) == (0, 0)
    rows = [line for line in power.out.splitlines() if "Best tip-speed ratio" in line or "Most that comes" in line]
    assert len(rows) == 2
    assert all(("not known" in row) != known for row in rows)
    sampling = strict(run("power", "--json").out)["sampling"]
    assert 0 < sampling["left"] < sampling["drawn"]
    gone = sampling["drawn"] - sampling["left"]
    for out in (power.out, doubts.out):
        assert f"{gone} of {sampling['drawn']} ways" in " ".join(out.split())
        assert ("Left out of the ranges" in out) == known
        assert ("No range is known" in out) != known
    assert "every verdict holds" not in doubts.out


def finding(rule, status=Status.OK):
    """A finding of a rule."""
    return Finding(rule, "x", status, f"Title of {rule}", "s.")


def test_findings_that_come_and_go_are_turns_too():
    """One for each finding of either revision, those of the older first."""
    both, gone, new = finding("a.both"), finding("a.gone", Status.FAIL), finding("a.new", Status.MARGINAL)
    old, newer = (
        SimpleNamespace(findings=list(some), by_key={f.key: f for f in some}) for some in ((both, gone), (both, new))
    )
    turns = comparison._turns(old, newer)
    assert [(t.title, t.old, t.new, t.turn) for t in turns] == [
        ("Title of a.both", both, both, "same"),
        ("Title of a.gone", gone, None, "gone"),
        ("Title of a.new", None, new, "new"),
    ]
    assert comparison._rule_turn("a.gone", turns) == ["title of a.gone: fail, now no longer applies"]
    assert comparison._rule_turn("a.new", turns) == ["title of a.new: absent, now marginal"]


@pytest.mark.parametrize(
    ("before", "after", "turn"),
    [
        ("ok", "ok", "same"), ("unknown", "unknown", "same"), ("unknown", "ok", "now known"),
        ("danger", "unknown", "no longer known"), ("fail", "ok", "better"), ("danger", "fail", "better"),
        ("marginal", "fail", "worse"), ("ok", "marginal", "worse"),
    ],
)  # fmt: skip
def test_which_way_a_finding_turned(before, after, turn):
    """By how bad each is, and whether either is known."""
    assert comparison._turn(finding("a.b", Status(before)), finding("a.b", Status(after))) == turn


@pytest.mark.parametrize(
    ("status", "failing"), [("ok", False), ("marginal", False), ("unknown", False), ("fail", True), ("danger", True)]
)
def test_what_counts_as_failing(status, failing):
    """One is enough."""
    assert verdict.failed([finding("a.a"), finding("a.b", Status(status)), finding("a.c")]) is failing


@pytest.mark.parametrize(
    ("subject", "said"),
    [("rotor", "T"), ("cable.mast", "T (cable mast)"), ("claim.C1", "T (C1)"), ("load.lights", "T (load lights)")],
)
def test_a_headline_names_the_thing(subject, said):
    """Where there can be several."""
    assert verdict.headline(Finding("a.b", subject, Status.OK, "T", "s.")) == said


def test_what_is_missing_is_told_by_how_much_it_blocks():
    """The value that blocks most comes first, each with its findings."""
    one = Finding("a.one", "x", Status.UNKNOWN, "t", "s.", missing=("p.a", "p.b"))
    two = Finding("a.two", "x", Status.UNKNOWN, "t", "s.", missing=("p.b",))
    review = verdict.Review(None, None, [finding("a.three", Status.FAIL), one, two], {}, Plan())
    assert list(review.missing.items()) == [("p.b", [one, two]), ("p.a", [one])]


def test_what_passed_is_told_by_what_it_was_held_against():
    """A number or a rule, or the sheet's own word."""
    held = Finding("a.one", "x", Status.OK, "t", "s.", value=1.0)
    said, bad = finding("a.two", Status.STATED), Finding("a.three", "x", Status.FAIL, "t", "s.", value=1.0)
    assert verdict.passed(verdict.Review(None, None, [bad, held, said], {}, Plan())) == ([held], [said])


def on_sheet(**values):
    """A sheet of numbers and words."""
    rows = {path.replace("__", "."): v for path, v in values.items()}
    return SimpleNamespace(
        values={
            path: sheet.SheetValue(
                revision_id=1, path=path, typed="", provenance="measured",
                number=None if isinstance(v, str) else v, word=v if isinstance(v, str) else None,
            )
            for path, v in rows.items()
        }
    )  # fmt: skip


def test_what_changed_between_two_sheets():
    """In the order of the catalogue, with what it means; also what only one has, or what is shown the same."""
    old = on_sheet(mast__height=4.5, rotor__diameter=2.2, cable__mast__length=34.0, mast__kind="other")
    new = on_sheet(mast__height=8.0, rotor__diameter=2.2, mast__kind="lattice tower", rotor__blades=3.0)
    rows = comparison._changed(old, new)
    assert [(row.path, row.old, row.new) for row in rows] == [
        ("rotor.blades", "", "3"), ("cable.mast.length", "34 m", ""), ("mast.kind", "other", "lattice tower"),
        ("mast.height", "4.5 m", "8 m"),
    ]  # fmt: skip
    assert rows[1].meaning.endswith(" (mast)")
    assert "(" not in rows[0].meaning
    finer = comparison._changed(on_sheet(mast__height=8.0), on_sheet(mast__height=8.0000001))
    assert [(row.old, row.new) for row in finer] == [("8 m", "8 m")]
    assert comparison._changed(old, old) == []


def test_readings_turn_nothing_between_two_revisions(story, run):
    """A reading of one revision is none of the other: it is neither gone nor new, and stands with the measurements."""
    rows = strict(run("compare", "r1", "r2", "--json").out)["findings"]
    assert rows
    assert not [row for row in rows if row["subject"].startswith("measured.")]
