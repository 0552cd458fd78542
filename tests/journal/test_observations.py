"""What is found by looking: logged of a failure, told, corrected, taken back, carried out and in, and judged."""

import json

import pytest

from calc.mechanisms.look import CaseLook, LookPlace
from calc.mechanisms.looks import LOOKS
from journal.book import failures, observations, store
from journal.book.records import find_record
from journal.book.tables import Failure
from journal.review import why
from tests.conftest import rows


@pytest.fixture
def failed(path, run):
    """A machine that turned but hardly charged."""
    assert run("fail", "turned but hardly charged").code == 0
    return run


def test_what_was_found_is_logged_listed_and_shown(path, failed):
    """By a part of the look's name, with its day and what was found in more words."""
    done = failed("look", "F1", "green", "yes", "--when", "spring 2025", "--note", "plus screw at the rectifier")
    assert (done.code, done.out) == (0, "O1\n")
    assert "Is a terminal or connector green, white, black or loose? Yes." in done.err
    assert rows(path, "SELECT look, answer, seen, seen_typed, note FROM observation") == [
        ("green-terminals", "yes", "2025-03-01/2025-05-31", "spring 2025", "plus screw at the rectifier")
    ]
    for told in (failed("show", "O1").out, failed("show", "F1").out, failed("look", "F1").out):
        assert "spring 2025" in told
        assert "plus screw" in told
    assert "green, white" in failed("list", "observations").out
    assert "O1" in failed("search", "plus screw").out
    data = json.loads(failed("show", "F1", "--json").out)
    assert [(o["ref"], o["look"], o["answer"]) for o in data["looked"]] == [("O1", "green-terminals", "yes")]


@pytest.mark.parametrize(
    ("typed", "answer"),
    [("yes", "yes"), ("Y", "yes"), ("1", "yes"), ("nope", "no"), ("2", "no"), ("cannot tell", "cannot tell"),
     ("don’t know", "cannot tell"), ("not sure", "cannot tell"), ("3", "cannot tell"), ("Yes.", "yes")],
)  # fmt: skip
def test_answers_are_read_as_people_say_them(path, failed, typed, answer):
    """Or by their number; nothing else is."""
    assert failed("look", "F1", "ice", typed).code == 0
    assert rows(path, "SELECT answer FROM observation") == [(answer,)]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("F1", "ice", "4"), "yes; no; cannot tell"),
        (("F1", "ice", "perhaps"), "yes; no; cannot tell"),
        (("F1", "blade", "yes"), "blade-angle-off or blades-differ"),
        (("F1", "gren-terminals", "yes"), "Did you mean green-terminals?"),
        (("F1", "moonlight", "yes"), "galebook look F1 --all"),
        (("F9", "ice", "yes"), "The last is F1"),
        (("F1", "ice", "yes", "--when", "2099-01-01"), "yet to come"),
        (("F1", "ice"), "galebook look F1 ice yes"),
    ],
)
def test_what_cannot_be_is_refused(path, failed, words, said):
    """In one line, and nothing is logged."""
    done = failed("look", *words)
    assert (done.code != 0, done.err.count("\n")) == (True, 1)
    assert said in done.err
    assert rows(path, "SELECT count(*) FROM observation") == [(0,)]


def test_it_is_corrected_and_taken_back_like_any_record(path, failed):
    """With its history; a withdrawn one counts no more."""
    failed("look", "F1", "ice", "yes")
    for change in ("answer=no", "look=chalky"):
        assert failed("amend", "O1", change, "--because", "another blade").code == 0
    assert rows(path, "SELECT look, answer FROM observation") == [("chalky", "no")]
    assert failed("amend", "O1", "answer=maybe", "--because", "x").code == 2
    assert "answer no, was yes" in failed("history", "O1").out
    assert failed("withdraw", "O1", "--because", "not our machine").code == 0
    with store.journal(path) as s:
        assert observations.case_looks(s, find_record(s, "F1", Failure)) == ()
    assert failed("undo").code == 0
    with store.journal(path) as s:
        assert observations.case_looks(s, find_record(s, "F1", Failure)) == (CaseLook("chalky", "no", "O1"),)


def test_the_newest_answer_of_each_look_counts(path, failed):
    """By the day on which it was looked, of one day the last; each look once, in the order of their names."""
    for name, answer, month in (
        ("ice", "no", 2),
        ("ice", "yes", 1),
        ("growls", "yes", 2),
        ("growls", "cannot tell", 2),
    ):
        assert failed("look", "F1", name, answer, "--when", f"2026-0{month}-01").code == 0
    failed("fail", "burnt smell")
    failed("look", "F2", "sheltered", "yes")
    with store.journal(path) as s:
        told = observations.case_looks(s, find_record(s, "F1", Failure))
        assert told == (CaseLook("growls", "cannot tell", "O4"), CaseLook("ice", "no", "O1"))


def test_what_was_found_reaches_the_judging(path, failed, monkeypatch):
    """And another answer is judged anew."""
    seen = []
    judge = why.judged_causes
    monkeypatch.setattr(why, "judged_causes", lambda bench, of: seen.append(bench.circumstances) or judge(bench, of))
    failed("look", "F1", "ice", "yes")
    with store.journal(path) as s:
        why.explain(s, "F1")
    assert [c.looks for c in seen] == [(CaseLook("ice", "yes", "O1"),)]


def test_the_cheapest_looks_are_told_with_how_they_are_done(failed):
    """What stands before them, what each answer speaks for; what was answered is asked no more; all on demand."""
    told = " ".join(failed("look", "F1").out.split())
    assert "From the ground, nothing opened" in told
    assert "touch nothing that turns or is live" in told
    assert "galebook look F1 " in told
    data = json.loads(failed("look", "F1", "--json").out)
    assert len(data["looks"]) == 6
    assert data["more"] > 10
    assert {"how", "before", "minutes", "yes_speaks_for", "source"} <= data["looks"][0].keys()
    first = data["looks"][0]["name"]
    failed("look", "F1", first, "no")
    again = json.loads(failed("look", "F1", "--json", "--all").out)
    assert first not in {k["name"] for k in again["looks"]}
    assert again["more"] == 0
    assert [o["look"] for o in again["found"]] == [first]
    # What is not on the machine is not asked.
    assert not {"key-drawn", "belt-squeals"} & {k["name"] for k in again["looks"]}


def test_what_was_found_moves_what_is_asked_next(failed):
    """A joint that is green and warm leaves little to ask of the bearing; bits of each look follow the answers."""

    def place(name):
        return [k["name"] for k in json.loads(failed("look", "F1", "--json", "--all").out)["looks"]].index(name)

    before = place("starts-by-itself") - place("comes-and-goes")
    failed("look", "F1", "green-terminals", "yes")
    failed("look", "F1", "warm-joint", "yes")
    assert place("starts-by-itself") - place("comes-and-goes") > before


def test_words_that_tell_of_nothing_leave_all_looks_open(run, path):
    """Nothing is refused."""
    run("fail", "it was not as it had been")
    assert json.loads(run("look", "F1", "--json").out)["looks"]


def test_a_look_that_the_catalogue_knows_no_more_is_told_by_its_name(path, failed, monkeypatch):
    """As a journal of a later program may have one."""
    failed("look", "F1", "ice", "yes")
    monkeypatch.delitem(LOOKS, "ice")
    assert "ice Yes." in " ".join(failed("show", "O1").out.split())
    assert failed("look", "F1").code == 0
    with store.journal(path) as s:
        why.explain(s, "F1")


def test_a_write_up_tells_what_was_found(story, run):
    """Without the private note."""
    run("fail", "turned but hardly charged again")
    ref = run("list", "failures").out.rsplit("F", 1)[1].split()[0]
    run("look", f"F{ref}", "green-terminals", "yes", "--when", "2026-02-02", "--note", "the plus screw")
    run("amend", "O1", "private_note=behind the bench", "--because", "x")
    page = " ".join(run("writeup", "--for", "workshop").out.split())
    said = "Is a terminal or connector green, white, black or loose? Yes, the plus screw."
    assert f"Found by looking: {said}" in page
    assert "behind the bench" not in " ".join(run("writeup", "--for", "forum").out.split())


def test_it_goes_out_and_comes_back(path, failed, tmp_path):
    """In the open form, whole."""
    failed("look", "F1", "ice", "yes", "--note", "on two blades")
    assert failed("export", str(tmp_path / "out")).code == 0
    other = tmp_path / "other.db"
    assert failed("--journal", str(other), "import", str(tmp_path / "out")).code == 0
    assert rows(other, "SELECT number, look, answer, note FROM observation") == [(1, "ice", "yes", "on two blades")]


def test_a_later_answer_is_logged_beside_the_former(path, failed):
    """Nothing is written over."""
    with store.journal(path, write=True) as s:
        for answer in ("yes", "no"):
            observations.log_observation(s, "F1", observations.ObservationTyped("ice", answer))
    with store.journal(path) as s:
        of = find_record(s, "F1", Failure)
        assert [o.answer for o in observations.observations(s, of)] == ["yes", "no"]
        assert failures.causes(s, of) == []


def test_nobody_is_sent_near_a_danger_to_look_and_nothing_is_asked_of_what_is_closed(story, run):
    """The screen of looks says what why says: first of all keep away, and of a closed failure nothing is asked."""
    run("fail", "the battery is swollen and smokes", "--attempt", "A8")
    told = run("look", "F5").out
    assert "First: Keep away from the battery" in told
    data = json.loads(run("look", "F5", "--all", "--json").out)
    assert not {k["place"] for k in data["looks"]} & {str(LookPlace.BATTERY), str(LookPlace.GROUND)}
    closed = run("look", "F1").out
    assert "It is closed" in closed
    assert "Answer with yes" not in closed
