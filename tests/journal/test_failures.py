"""The loop of a failure, step by step, and what must not close it."""

import pytest

from journal.book import (
    attempts,
    corrections,
    decisions,
    failures,
    measurements,
    observations,
    records,
    revisions,
    sheet,
)
from journal.errors import BadInput, Refused
from journal.review import proof, weighing
from journal.review.loop import STEPS as LOOP
from journal.review.loop import Loop, Move, loop

pytestmark = pytest.mark.both


@pytest.fixture
def failed(s):
    """A failure on r1, with r2 made from it and a decision taken on r2."""
    sheet.set_values(s, records.find_revision(s), {"rotor.diameter": {"typed": "2.2 m"}})
    attempts.log_attempt(s, attempts.AttemptTyped("ran it", outcome="failed", began="2026-01-08", ended="2026-01-09"))
    failure = failures.log_failure(s, failures.FailureTyped("it hardly charged", attempt="A1"))
    revisions.revise(s)
    decisions.open_decision(s, decisions.DecisionTyped("Which voltage?"))
    weighing.offer_option(s, "D1", decisions.OptionTyped("24 V"))
    weighing.choose_option(s, "D1", weighing.ChoiceTyped("24 V", "half the current"))
    return failure


def ran_again(s):
    """An attempt that went well, on the newest revision."""
    return attempts.log_attempt(s, attempts.AttemptTyped("ran it again", outcome="worked"))


STEPS = [
    ("cause believed", lambda s: failures.believe(s, "F1", failures.CauseTyped("magnets too weak"))),
    ("evidence weighed", lambda s: failures.add_evidence(s, "F1", failures.EvidenceTyped("it is as ever", "against"))),
    ("correction chosen", lambda s: failures.correct(s, "F1", by="D1")),
    ("built in", lambda s: failures.correct(s, "F1", built_into="r2")),
    ("verified", lambda s: proof.verify(s, "F1", ran_again(s).ref)),
]  # fmt: skip


def test_the_loop_closes_step_by_step(s, failed):
    """At each point it names the next step, and the command that takes it; at last it is closed."""
    for step, take in STEPS:
        state = loop(s, failed)
        assert (state.next_step, state.todo) == (step, LOOP[step])
        assert state.how.startswith("galebook ")
        take(s)
    assert loop(s, failed) == Loop(tuple(LOOP), "", "", Move())


@pytest.mark.parametrize(("answer", "step"), [("no", "correction chosen"), ("cannot", "evidence weighed")])
def test_who_looked_has_weighed_evidence(s, failed, answer, step):
    """The step before says what to look at; once somebody did, and could tell, it does not ask for the same again."""
    STEPS[0][1](s)
    observations.log_observation(s, "F1", observations.ObservationTyped("inverter-says-low", answer))
    state = loop(s, failed)
    assert state.next_step == step
    assert (state.how == "galebook why F1") == (step == "evidence weighed")


@pytest.fixture
def closed(s, failed):
    """The same failure with its loop closed by A2."""
    for _, take in STEPS:
        take(s)
    return failed


REOPENED = [
    ("A2 withdrawn", lambda s: corrections.withdraw(s, "A2", "another day"), "verified"),
    ("A2 failed after all", lambda s: corrections.amend(s, "A2", "outcome", "failed", "the log says so"), "verified"),
    ("D1 withdrawn", lambda s: corrections.withdraw(s, "D1", "a slip"), "correction chosen"),
    ("built in anew", lambda s: (revisions.revise(s), failures.correct(s, "F1", built_into="r3")), "verified"),
    ("cause rejected", lambda s: failures.reject(s, "F1", 1, "the numbers say no"), "cause believed"),
]


@pytest.mark.parametrize(("how", "undo", "step"), REOPENED, ids=[r[0] for r in REOPENED])
def test_a_closed_loop_opens_again(s, closed, how, undo, step):
    """When what closed it is taken back."""
    undo(s)
    assert loop(s, closed).next_step == step


def test_an_attempt_before_the_correction_verifies_nothing(s, failed):
    """Only what was tried on the corrected revision counts."""
    failures.correct(s, "F1", built_into="r2")
    attempts.log_attempt(s, attempts.AttemptTyped("ran the old one", on="r1", outcome="worked"))
    with pytest.raises(Refused, match="A2 is of r1, before the correction in r2"):
        proof.verify(s, "F1", "A2")


@pytest.mark.parametrize(
    ("ref", "error", "words"),
    [
        ("A2", Refused, "A2 failed"),
        ("M1", Refused, "M1 has no value"),
        ("D1", BadInput, "cannot show that a correction works"),
        ("A9", Refused, "There is no attempt A9"),
    ],
)
def test_what_shows_nothing_verifies_nothing(s, failed, ref, error, words):
    """A failed attempt, a reading not taken, a decision, nothing."""
    failures.correct(s, "F1", built_into="r2")
    attempts.log_attempt(s, attempts.AttemptTyped("ran it", outcome="failed"))
    measurements.log_measurement(s, measurements.MeasurementTyped("charge.current", missing="no meter"))
    with pytest.raises(error, match=words):
        proof.verify(s, "F1", ref)


def test_nothing_is_verified_before_it_is_built_in(s, failed):
    """The refusal tells how to say where it was built in."""
    attempts.log_attempt(s, attempts.AttemptTyped("ran it", outcome="worked"))
    with pytest.raises(Refused, match="galebook fix F1 --in REVISION"):
        proof.verify(s, "F1", "A2")


def test_a_measurement_verifies_too_and_replaces_what_did_before(s, closed):
    """The last word counts."""
    measurements.log_measurement(s, measurements.MeasurementTyped("charge.current", "4 A", attempt="A2"))
    proof.verify(s, "F1", "M1", "4 A at Bft 4")
    assert failures.proof(s, closed).ref == "M1"
    proof.verify(s, "F1", "A2")
    assert (failures.proof(s, closed).ref, closed.verified_note) == ("A2", None)


def test_a_correction_is_not_built_into_the_revision_that_failed(s, failed):
    """Nor into one before it."""
    with pytest.raises(Refused, match="r1 cannot hold its correction"):
        failures.correct(s, "F1", built_into="r1")


def test_an_open_decision_corrects_nothing(s, failed):
    """It has to be taken first."""
    decisions.open_decision(s, decisions.DecisionTyped("What then?"))
    with pytest.raises(Refused, match="D2 is not decided yet"):
        failures.correct(s, "F1", by="D2")


def test_a_failure_takes_day_and_revision_from_its_attempt(s, failed):
    """The last day of the attempt."""
    assert (failed.happened, failed.revision_id) == ("2026-01-09", records.find_revision(s, "r1").key)


def test_a_first_cause_can_be_logged_at_once(s):
    """With how sure and on what evidence."""
    failure = failures.log_failure(
        s, failures.FailureTyped("it stopped", cause="a loose wire", sure="60%", evidence="it sparked")
    )
    (cause,) = failures.causes(s, failure)
    assert (cause.what, cause.sure, cause.because, cause.standing) == ("a loose wire", 0.6, "it sparked", "believed")


def test_a_rejected_cause_stays_on_record(s, failed):
    """With the reason, its number unchanged, and out of the loop."""
    failures.believe(s, "F1", failures.CauseTyped("magnets too weak", sure="70%"))
    failures.believe(s, "F1", failures.CauseTyped("motor too fast"))
    failures.reject(s, "F1", 1, "the spin test")
    first, second = failures.causes(s, failed)
    assert (first.standing, first.rejected_because, first.sure) == ("rejected", "the spin test", 0.7)
    assert second.standing == "believed"


def test_evidence_is_about_the_latest_cause_unless_one_is_named(s, failed):
    """Causes are counted from one, as they are shown."""
    failures.believe(s, "F1", failures.CauseTyped("magnets too weak"))
    failures.believe(s, "F1", failures.CauseTyped("motor too fast"))
    one = failures.add_evidence(s, "F1", failures.EvidenceTyped("it is old", cause=1))
    two = failures.add_evidence(s, "F1", failures.EvidenceTyped("it is quick", leans="neither"))
    assert [e.cause_id for e in (one, two)] == [c.id for c in failures.causes(s, failed)]


@pytest.mark.parametrize(
    ("call", "error", "words"),
    [
        (lambda s: failures.log_failure(s, failures.FailureTyped("x", severity=0)), BadInput, "1 (worst) to 4"),
        (
            lambda s: failures.log_failure(s, failures.FailureTyped("x", harm="some")),
            BadInput,
            "Accepted: none; near miss; injury",
        ),
        (lambda s: failures.log_failure(s, failures.FailureTyped("")), BadInput, "is empty"),
        (lambda s: failures.log_failure(s, failures.FailureTyped("x", sure="60%")), BadInput, "Add --cause"),
        (
            lambda s: failures.log_failure(s, failures.FailureTyped("x", cause="y", sure="160%")),
            BadInput,
            "not a share",
        ),
        (
            lambda s: failures.log_failure(s, failures.FailureTyped("x", cause="y", sure="fairly")),
            BadInput,
            "not a share",
        ),
        (lambda s: failures.log_failure(s, failures.FailureTyped("x", cause="y", sure="nan")), BadInput, "not a share"),
        (lambda s: failures.log_failure(s, failures.FailureTyped("x", part="A1")), BadInput, "a part is wanted here"),
        (lambda s: failures.log_failure(s, failures.FailureTyped("x", caused_by="F9")), Refused, "The last is F"),
        (lambda s: failures.log_failure(s, failures.FailureTyped("x", happened="soon")), BadInput, "not a date"),
        (
            lambda s: failures.believe(s, "F1", failures.CauseTyped("y", rule="wiring.voltage-dorp")),
            BadInput,
            "Did you mean wiring.voltage",
        ),
        (lambda s: failures.believe(s, "F1", failures.CauseTyped("y", standing="hoped")), BadInput, "Standing"),
        (lambda s: failures.reject(s, "F1", 3, "z"), Refused, "no cause number 3"),
        (lambda s: failures.reject(s, "F1", 0, "z"), Refused, "no cause number 0"),
        (
            lambda s: failures.add_evidence(s, "F1", failures.EvidenceTyped("z", leans="up")),
            BadInput,
            "for; against; neither",
        ),
        (
            lambda s: failures.add_evidence(s, "F1", failures.EvidenceTyped("z", measurement="A1")),
            BadInput,
            "a measurement is wanted",
        ),
    ],
)
def test_what_cannot_be_is_told(s, failed, call, error, words):
    """Each mistake in one line."""
    with pytest.raises(error) as caught:
        call(s)
    assert words in str(caught.value)


def test_what_is_said_of_a_failure_is_written_at_once(s, failed):
    """Not when something else happens to ask, so that whatever refuses it does so in the command that says it."""
    said = [
        lambda: failures.log_failure(s, failures.FailureTyped("it broke")),
        lambda: failures.believe(s, "F1", failures.CauseTyped("magnets too weak")),
        lambda: failures.add_evidence(s, "F1", failures.EvidenceTyped("it is as ever", "against")),
        lambda: failures.reject(s, "F1", 1, "the spin test speaks against it"),
        lambda: failures.correct(s, "F1", by="D1", built_into="r2", criterion="2 A in 7 m/s"),
        lambda: proof.verify(s, "F1", ran_again(s).ref),
    ]
    for say in said:
        say()
        assert (list(s.new), list(s.dirty)) == ([], [])


def test_another_correction_needs_another_proof(s, failed):
    """What showed the former to work says nothing of the new one; named again it stays proved."""
    failures.correct(s, "F1", built_into="r2")
    proof.verify(s, "F1", ran_again(s).ref, "it held")
    failures.correct(s, "F1", built_into="r2", criterion="2 A in 7 m/s")
    assert (failed.verified_by_attempt_id is not None, failed.verified_note) == (True, "it held")
    sheet.set_values(s, records.find_revision(s), {"rotor.blades": {"typed": "3"}}, "a test")
    revisions.revise(s)
    failures.correct(s, "F1", built_into="r3")
    assert (failed.verified_by_attempt_id, failed.verified_note) == (None, None)
    with pytest.raises(Refused, match="F1 was seen on r1, so r1 cannot hold its correction"):
        failures.correct(s, "F1", built_into="r1")
