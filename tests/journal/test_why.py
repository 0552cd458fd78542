"""Why it failed: the demo's four failures, what words are taken for, and what the builder's word is worth."""

import json
from datetime import date

import pytest

from calc.mechanisms.base import Verdict
from calc.mechanisms.words import SYMPTOMS
from journal.book import (
    attachments,
    attempts,
    claims,
    corrections,
    failures,
    measurements,
    observations,
    records,
    revisions,
    sheet,
    store,
    tables,
)
from journal.errors import BadInput, NotFound
from journal.publish import figures, redact
from journal.publish import story as story_of
from journal.review import forecast, verdict, why
from tests.conftest import rows


@pytest.fixture
def explained(story):
    """Explain a failure of the demo."""

    def of(ref, **more):
        with store.journal(story) as s:
            return why.explain(s, ref, **more)

    return of


def verdicts(answer):
    """Verdict by mechanism."""
    return {w.id: w.verdict for w in answer.ranked}


def belief_of(answer, name):
    """Share of belief of one mechanism."""
    return next(w.belief for w in answer.ranked if w.id == name)


def test_hardly_charging_is_told_from_weak_magnets(explained):
    """The first belief is contradicted by the spin test; the second is supported and leads; the cable stays open."""
    answer = explained("F1")
    assert answer.symptoms[0] == "turns but hardly charges"
    assert answer.ranked[0].id == "charging.never-reached"
    found = verdicts(answer)
    assert found["charging.never-reached"] is Verdict.SUPPORTED
    assert found["generator.weak-magnets"] is Verdict.CONTRADICTED
    assert found["charging.cable-loss"] is Verdict.CANNOT_TELL
    believed = {b.number: (b.mechanism, b.weighed.verdict) for b in answer.beliefs}
    assert believed == {
        1: ("generator.weak-magnets", Verdict.CONTRADICTED),
        2: ("charging.never-reached", Verdict.SUPPORTED),
        3: ("charging.cable-loss", Verdict.CANNOT_TELL),
    }
    # 61 rpm/V measured against 62 on the plate: the magnets give 62/61 of the volts.
    magnets = next(w for w in answer.ranked if w.id == "generator.weak-magnets")
    assert magnets.value == pytest.approx(100 * 62 / 61, abs=0.01)
    assert [(e.label, e.leans) for e in magnets.evidence] == [("M6", "against")]


def test_the_next_step_is_named_with_what_each_result_would_mean(explained):
    """For the inverter, whose failure is open: what tells most for its cost; of a failure that is closed nothing."""
    assert (explained("F1").next_steps, explained("F1").next_measurement) == ([], None)
    first, *others = explained("F4").next_steps
    assert others
    assert (first.kind, len(first.means)) == ("look", 2)
    assert first.before
    assert first.bits > 0
    asked = {step.name for step in explained("F4").next_steps}
    # A rotor that is unloaded or shorted in the wind to be read is asked for by nobody.
    assert not asked & {"generator.open_voltage", "generator.short_current"}


def test_the_thrown_blade_ran_away_unloaded(explained):
    """The load is taken as lost because the fuse went first; the rest stays open or is contradicted."""
    answer = explained("F3")
    assert "F2 came first" in " ".join(answer.conditions)
    assert (answer.ranked[0].id, answer.ranked[0].verdict) == ("rotor.overspeed", Verdict.SUPPORTED)
    assert [w.id for w in answer.ranked if w.verdict is Verdict.SUPPORTED] == ["rotor.overspeed"]
    loaded = explained("F3", load="battery")
    # Nothing was read that speaks against it; but it is believed less than with nothing connected.
    assert verdicts(loaded)["rotor.overspeed"] is Verdict.CANNOT_TELL
    assert belief_of(loaded, "rotor.overspeed") < belief_of(answer, "rotor.overspeed")


def test_the_fuse_and_the_gust(explained):
    """The numbers leave it open, and say by which current."""
    gust = next(w for w in explained("F2").ranked if w.id == "fuse.gust-current")
    assert gust.verdict in (Verdict.SUPPORTED, Verdict.CANNOT_TELL)
    assert (gust.unit, gust.limit) == ("A", pytest.approx(1.35 * 15))
    assert gust.low < gust.value < gust.high


def test_the_inverter_has_low_voltage_or_surge_with_numbers(explained):
    """Volts left against the limit, and watts of the start against what it gives."""
    found = {w.id: w for w in explained("F4").ranked}
    assert (found["inverter.low-voltage"].unit, found["inverter.low-voltage"].limit) == ("V", 21.0)
    # 24 W of lights and a pump of 250 W that starts with 750 W.
    assert (found["inverter.surge"].value, found["inverter.surge"].limit) == (774.0, 800.0)


def test_words_and_conditions_can_be_overruled(explained):
    """Symptom, load and wind as said on the command line."""
    answer = explained("F1", symptoms=["does not start"], load="nothing connected", wind="2 m/s")
    assert (answer.symptoms, answer.taken) == (("does not start",), "as you said")
    assert [line for line in answer.conditions if "as you said" in line] == list(answer.conditions[:2])


@pytest.fixture
def machine(s):
    """A sheet with little on it, and a run of a day."""
    sheet.set_values(s, records.find_revision(s), {"rotor.diameter": {"typed": "2.2 m"}})
    attempts.log_attempt(
        s, attempts.AttemptTyped("ran it", outcome="failed", began="2026-01-08", ended="2026-01-09", wind="6 to 8 m/s")
    )
    return s


def test_a_failure_whose_words_say_nothing_is_held_against_everything(machine):
    """Nothing is refused: all that can fail is weighed, and what it was taken for is said."""
    failures.log_failure(machine, failures.FailureTyped("it went badly", attempt="A1"))
    answer = why.explain(machine, "F1")
    seen = why.explain(machine, "F1", symptoms=SYMPTOMS)
    assert (answer.symptoms, [w.id for w in answer.ranked]) == ((), [w.id for w in seen.ranked])
    assert "say what it looked like with --symptom" in answer.taken
    assert len(answer.rivals) == 2
    assert [w.id for w in why.explain(machine, "F1", symptoms=["fuse blown"]).ranked if "fuse" not in w.id] == []
    with pytest.raises(BadInput, match="not one of its words"):
        why.explain(machine, "F1", symptoms=["sadness"])
    with pytest.raises(NotFound):
        why.explain(machine, "F2")


def test_what_was_said_of_the_looks_goes_before_the_words(machine):
    """It is kept with the failure; what is asked for once more goes before it."""
    typed = failures.FailureTyped("it hardly charged", attempt="A1", symptoms="it hums; Battery flat")
    assert failures.log_failure(machine, typed).symptoms == "noise or shaking; battery flat"
    answer = why.explain(machine, "F1")
    assert (answer.symptoms, answer.taken) == (("noise or shaking", "battery flat"), "as you said")
    assert why.explain(machine, "F1", symptoms=["fuse blown"]).symptoms == ("fuse blown",)
    corrections.amend(machine, "F1", "symptoms", "does not start", "looked again")
    assert why.explain(machine, "F1").symptoms == ("does not start",)
    with pytest.raises(BadInput, match="No symptom was named"):
        corrections.amend(machine, "F1", "symptom", ";", "slip")


RULED = [
    ("the box", "site.power", None, "site.wind-low", "by the rule that you named, site.power"),
    ("magnets too weak", "site.power", None, "site.wind-low", "by the rule that you named"),
    ("blade root too weak", "blade.stress", None, "blade.root-torn", "from your words"),
    ("magnets too weak", "house.labels", None, "generator.weak-magnets", "from your words"),
    ("the box", "site.power", "charging.stalled", "charging.stalled", "as you said"),
    ("the box", None, None, None, ""),
]


@pytest.mark.parametrize(("what", "rule", "mechanism", "wanted", "how"), RULED)
def test_a_rule_says_what_a_cause_means(machine, what, rule, mechanism, wanted, how):
    """Where no mechanism was named: that which the rule judges, unless the words name one that it judges too."""
    failures.log_failure(machine, failures.FailureTyped("it hardly charged", attempt="A1"))
    failures.believe(machine, "F1", failures.CauseTyped(what, rule=rule, mechanism=mechanism))
    (belief,) = why.explain(machine, "F1").beliefs
    assert (belief.mechanism, belief.taken.startswith(how)) == (wanted, True)


def test_little_on_the_sheet_supports_nothing(machine):
    """What is missing is named, and nothing is believed for want of it."""
    failures.log_failure(machine, failures.FailureTyped("it hardly charged", attempt="A1", cause="bad luck"))
    answer = why.explain(machine, "F1")
    assert {w.verdict for w in answer.ranked} == {Verdict.CANNOT_TELL}
    assert any("generator.emf_constant" in w.missing for w in answer.ranked)
    assert (answer.beliefs[0].mechanism, answer.beliefs[0].weighed) == (None, None)


def test_a_failure_without_an_attempt_says_what_is_not_on_record(machine):
    """Neither wind nor load is made up."""
    failures.log_failure(machine, failures.FailureTyped("it hardly charged"))
    assert [line for line in why.explain(machine, "F1").conditions if "not on record" in line] == [
        "Wind: not on record; give it with --wind.",
        "Connected: not on record; give it with --load.",
    ]


def test_a_cause_can_name_its_mechanism(machine, opened):
    """In full or by its last part; a wrong name is told the right one; it is kept in the record and overrules words."""
    failures.log_failure(machine, failures.FailureTyped("it hardly charged", attempt="A1"))
    failures.believe(machine, "F1", failures.CauseTyped("magnets, or so I thought", mechanism="stalled"))
    assert why.explain(machine, "F1").beliefs[0].mechanism == "charging.stalled"
    with pytest.raises(BadInput, match=r"Did you mean charging\.stalled"):
        failures.believe(machine, "F1", failures.CauseTyped("it stalled", mechanism="charging.staled"))


def test_the_mechanism_reaches_the_file(story, run):
    """By the command, and seen again by the next."""
    assert run("cause", "F4", "it simply gave too little", "--mechanism", "inverter.surge").code == 0
    assert rows(story, "SELECT mechanism FROM cause WHERE what LIKE 'it simply%'") == [("inverter.surge",)]
    told = json.loads(run("why", "F4", "--json").out)
    assert told["beliefs"][-1]["mechanism"] == "inverter.surge"


def beliefs(s, **more):
    """One cause with something behind it, on a machine of the demo's kind."""
    failures.log_failure(s, failures.FailureTyped("it hardly charged", attempt="A1", item="generator"))
    failures.believe(s, "F1", failures.CauseTyped("magnets too weak", sure="90%", **more))
    return why.explain(s, "F1").beliefs[-1]


def test_hearsay_allows_little(machine):
    """E0: somebody said so."""
    found = beliefs(machine, because="a friend told me")
    assert (found.grade, found.cap) == ("E0", 0.30)
    assert "90% sure" in found.advice


def test_the_eye_allows_half(machine):
    """E1: seen, not recorded."""
    found = beliefs(machine, because="they hardly hold a nail")
    assert (found.grade, found.cap) == ("E1", 0.50)


def test_a_record_allows_more_but_not_without_rivals(machine, tmp_path):
    """E2: a photo; 0.60 while it is the only cause considered, 0.70 with a rival."""
    photo = tmp_path / "magnet.txt"
    photo.write_text("a picture")
    failures.log_failure(machine, failures.FailureTyped("it hardly charged", attempt="A1"))
    attachments.attach(machine, photo, "F1")
    failures.believe(machine, "F1", failures.CauseTyped("magnets too weak", sure="65%"))
    alone = why.explain(machine, "F1").beliefs[0]
    failures.believe(machine, "F1", failures.CauseTyped("the bearing is stiff"))
    beside = why.explain(machine, "F1").beliefs[0]
    assert (alone.grade, alone.cap, bool(alone.advice)) == ("E2", 0.60, True)
    assert (beside.grade, beside.cap, beside.advice) == ("E2", 0.70, "")


@pytest.mark.parametrize(
    ("read", "grade", "cap"), [("62 rpm/V", "E2", 0.20), ("80 rpm/V", "E3", 0.60)], ids=["as built", "weaker"]
)
def test_a_reading_decides(machine, read, grade, cap):
    """E3 with a reading that agrees where no other fault explains it; a fifth where the numbers contradict."""
    sheet.set_values(
        machine,
        records.find_revision(machine),
        {"generator.emf_constant": {"typed": "62 rpm/V", "provenance": "measured"}},
        "late",
    )
    failures.log_failure(machine, failures.FailureTyped("it hardly charged", attempt="A1"))
    measurements.log_measurement(
        machine, measurements.MeasurementTyped("generator.emf", read, doubt="2 %", taken="2026-02-01")
    )
    if grade == "E3":
        for look, answer in (("magnet-holds-less", "yes"), ("pair-apart", "no"), ("free-when-disconnected", "no")):
            observations.log_observation(machine, "F1", observations.ObservationTyped(look, answer))
    failures.believe(machine, "F1", failures.CauseTyped("magnets demagnetised by heat", sure="90%"))
    failures.add_evidence(machine, "F1", failures.EvidenceTyped("the spin test", measurement="M1"))
    found = why.explain(machine, "F1").beliefs[0]
    assert (found.grade, found.cap) == (grade, cap)


def test_a_rejected_belief_is_kept_but_not_advised(explained):
    """It was given up already."""
    first = explained("F1").beliefs[0]
    assert (first.cause.standing, first.advice) == ("rejected", "")


def test_both_words_are_dated(story, run):
    """The builder's and the program's, side by side, and neither is called a proof."""
    out = run("why", "F1", "--all").out
    assert "calculated 2026-11-25; they prove nothing" in out
    assert "2026-02-15: the motor is too fast" in out
    assert date.fromisoformat(json.loads(run("why", "F1", "--json").out)["on"]) == date(2026, 11, 25)


@pytest.mark.parametrize("ref", ["F1", "F2", "F3", "F4"])
def test_the_screen_and_the_data_agree(story, run, ref):
    """Every mechanism and verdict of the data is on the screen, in the same order."""
    told = json.loads(run("why", ref, "--json").out)
    out = " ".join(run("why", ref, "--all").out.split())
    places = [out.index(f"{m['verdict']}: {m['title']}") for m in told["mechanisms"]]
    assert places == sorted(places)
    assert "None" not in out


@pytest.mark.parametrize("ref", ["F1", "F2", "F3", "F4"])
def test_the_first_screen_fits_one_window(story, run, ref):
    """At most 25 lines of 80 columns: what leads and why, what was believed, what to do next, and where the rest is."""
    out = run("why", ref, env={"COLUMNS": "80"}).out if "env" in run.__code__.co_varnames else run("why", ref).out
    lines = out.rstrip("\n").split("\n")
    assert len(lines) <= 25, out
    assert "What to do next" in out
    assert f"galebook why {ref} --all" in out


def test_a_claim_is_held_against_the_machine(story, run):
    """The seller's 400 W is more than this machine can do."""
    with store.journal(story, write=True) as s:
        claims.log_claim(s, "500 W at 9 m/s", "a forum", on="r1", correction="found it later")
        failures.log_failure(s, failures.FailureTyped("it gave less power than promised", on="r1"))
    told = json.loads(run("why", "F5", "--json").out)["mechanisms"]
    assert {m["id"]: m["verdict"] for m in told}["claim.too-high"] == "supported"


@pytest.mark.parametrize(
    ("ground", "wind", "height"),
    [("farmland with hedges", "6 m/s", "0.5 m"), ("larger towns", "Bft 4", None)],
)
def test_a_wind_too_near_the_ground_tells_nothing_of_that_at_the_rotor(story, ground, wind, height):
    """Below ten roughness lengths no profile holds: the reading cannot be judged, and everything else still is."""
    with store.journal(story, write=True) as s:
        of = revisions.revise(s, "r2", title="On rough ground", because="to see")
        sheet.set_values(s, of, {"site.ground": {"typed": ground}, "mast.height": {"typed": "6 m"}})
        a = attempts.log_attempt(
            s,
            attempts.AttemptTyped(
                "Ran it", on=of.ref, wind=wind, wind_height=height, load_state="battery", outcome="failed"
            ),
        )
        m = measurements.log_measurement(s, measurements.MeasurementTyped("charge.current", "3 A", attempt=a.ref))
        measurements.log_measurement(s, measurements.MeasurementTyped("generator.emf", "7.6 rpm/V", attempt=a.ref))
        f = failures.log_failure(s, failures.FailureTyped("It hardly charged the battery", attempt=a.ref))
    with store.journal(story) as s:
        result = verdict.check(s, of.ref)
        told = {x.subject: x for x in result.findings if x.rule == "measured.agrees"}
        assert sorted(x.status for x in told.values()) == ["ok", "unknown"]
        assert "follows no known rule" in told[f"measured.{m.ref}"].says
        assert "too near such ground" in why.explain(s, f.ref).conditions[0]
        expected = forecast.read_expectation("charge.current above 2 A", "Bft 4")
        assert (forecast.odds(s, of, expected) is None) is (ground == "larger towns")
        assert figures.pictures(redact.for_reader(story_of.tell(s), frozenset()))


# --- pieces, each by itself -------------------------------------------------------------------------------------------


def attempt_of(**given):
    """An attempt as it is on record."""
    usual = {"build_id": 1, "number": 4, "began": "2026-01-08", "did": "ran it", "outcome": "failed"}
    return tables.Attempt(**(usual | given))


@pytest.mark.parametrize(
    ("attempt", "hours"),
    [
        (None, None), (attempt_of(), None), (attempt_of(hours=5.0), 5.0),
        (attempt_of(hours=5.0, ended="2026-01-12"), 5.0),
        (attempt_of(ended="2026-01-08"), None), (attempt_of(ended="2026-01-10"), 48.0),
        (attempt_of(began="2026-01-08T21:40Z", ended="2026-01-09T01:00Z"), 24.0),
    ],
)  # fmt: skip
def test_how_long_it_went_on(attempt, hours):
    """As logged, else the days between; within one day nobody can tell."""
    assert why._hours(attempt) == hours


@pytest.mark.parametrize(
    ("standing", "sure", "advised"),
    [("believed", 0.9, True), ("believed", 0.31, True), ("believed", 0.3, False), ("believed", None, False),
     ("rejected", 0.9, False)],
)  # fmt: skip
def test_who_is_surer_than_the_evidence_allows_is_told(machine, standing, sure, advised):
    """Not who is as sure as it allows, and not of what was given up. A guess allows three tenths."""
    failures.log_failure(machine, failures.FailureTyped("it hardly charged"))
    for what in ("a cloud", "the moon"):
        failures.believe(machine, "F1", failures.CauseTyped(what))
    f = records.find_record(machine, "F1")
    cause = failures.causes(machine, f)[0]
    cause.standing, cause.sure = standing, sure
    got = why._belief(machine, f, 1, cause, None, "", {}, 2)
    assert (got.grade, got.cap) == ("E0", 0.30)
    assert bool(got.advice) == advised
    if advised:
        assert got.advice == (
            f"You are {sure:.0%} sure; as long as the evidence is a guess, or what somebody said, more than 30% is "
            'hard to justify. Add what you have: galebook evidence F1 "..." --cause 1 --measurement M1.'
        )


@pytest.mark.parametrize(
    ("because", "grade"),
    [(None, "E0"), ("the seller said so", "E0"), ("I heard it", "E0"), ("the vane hung down", "E1")],
)
def test_hearsay_and_the_eye(machine, because, grade):
    """What somebody said is a guess; what was seen is more."""
    failures.log_failure(machine, failures.FailureTyped("it hardly charged"))
    cause = failures.believe(machine, "F1", failures.CauseTyped("a cloud", because=because))
    assert why._grade(machine, records.find_record(machine, "F1"), cause, None) == grade


@pytest.mark.parametrize(("about", "leans", "grade"), [(1, "for", "E2"), (1, "against", "E0"), (2, "for", "E0")])
def test_only_evidence_for_this_cause_counts(machine, about, leans, grade):
    """Not that for another, and not that against it."""
    failures.log_failure(machine, failures.FailureTyped("it hardly charged"))
    first, _ = (failures.believe(machine, "F1", failures.CauseTyped(what)) for what in ("a cloud", "the moon"))
    failures.add_evidence(machine, "F1", failures.EvidenceTyped("a note", leans, cause=about))
    assert why._grade(machine, records.find_record(machine, "F1"), first, None) == grade


def test_a_reading_of_the_same_day_is_not_one_from_before(story):
    """A day before the attempt counts, the day itself does not, whatever the hour."""
    with store.journal(story, write=True) as s:
        of = revisions.revise(s, "r2", title="Again", because="to see")
        a = attempts.log_attempt(s, attempts.AttemptTyped("Ran it", on=of.ref, began="2026-11-20 21:40"))
        taken = {
            day: measurements.log_measurement(
                s, measurements.MeasurementTyped("generator.emf", "7.6 rpm/V", on=of.ref, taken=day)
            ).ref
            for day in ("2026-11-19", "2026-11-20")
        }
        f = failures.log_failure(s, failures.FailureTyped("It hardly charged the battery", attempt=a.ref))
    with store.journal(story) as s:
        failure = records.find_record(s, f.ref, tables.Failure)
        circumstances, _ = why._circumstances(s, failure, verdict.opened(s, of), (), None, None)
        assert circumstances.earlier == (taken["2026-11-19"],)


def test_a_battery_has_one_resistance_on_every_screen(story, run):
    """The likely one where the machine is computed, the most where it sags; each says between which it lies."""
    checked = json.loads(run("check", "r2", "--json").out)["findings"]
    why = run("why", "F4", "--json").out
    between = "usual for its kind and size, 4 to 16 mohm, from memory"
    assumed = {a for f in checked for a in f["assumptions"] if a.startswith("Internal resistance of the bank")}
    assert assumed == {f"Internal resistance of the bank: 8 mohm ({between})"}
    assert "behind 8 mohm of its own and 3.7 mohm of cable" in why
    sag = next(f["says"] + f["more"] for f in checked if f["rule"] == "inverter.sag")
    assert "behind 16 mohm of its own" in sag
    assert between in sag


def test_a_danger_is_told_first_and_fits_one_window(story, run, monkeypatch):
    """However much was believed the screen stays within 25 lines; the danger goes before the causes."""
    monkeypatch.setenv("COLUMNS", "80")
    run("fail", "the battery is swollen and smokes, and the mast sways", "--attempt", "A8")
    for cause in ("magnets too weak", "a loose wire", "the blades stall"):
        run("cause", "F5", cause, "--sure", "50%")
    told = run("why", "F5").out
    assert told.index("First: Keep away from the battery") < told.index("What leads")
    assert len(told.splitlines()) <= 25
    whole = run("why", "F5", "--all").out
    assert "It may fall" in whole
    assert json.loads(run("why", "F5", "--json").out)["first"][0].startswith("Keep away from the battery")


def test_what_was_taken_as_usual_is_said_on_the_first_screen(path, run):
    """An assumption made for somebody is shown as one, also where the screen is short."""
    run("attempt", "ran it", "--wind", "Bft 5", "--load", "battery")
    run("fail", "turns fine but hardly charges", "--attempt", "A1")
    run("measure", "battery.voltage", "25 V", "--attempt", "A1")
    told = run("why", "F1").out
    assert "Not on the sheet, so taken as usual" in told
    assert len(told.splitlines()) <= 25
