"""The benchmark counts what it says it counts, and enters a story by the book."""

from tests.stories import benchmark
from tests.stories.benchmark import CONTRADICTED, SUPPORTED, Answer, denied, rises
from tests.stories.story import told


def answer(*ranked, beliefs=()):
    """An answer with this ranking."""
    return Answer(ranked, beliefs, ("battery flat",), True, None)


def test_a_contradicted_truth_has_no_place():
    """It counts neither as first nor among the first three, wherever it stands in the list."""
    given = answer(("a", CONTRADICTED), ("b", SUPPORTED), ("c", "cannot tell"))
    assert (given.place({"a"}), given.place({"b"}), given.place({"c", "d"})) == (99, 2, 3)


def test_a_cause_of_two_names_is_denied_under_both_or_not_at_all():
    """One name left open leaves the cause open; a name that was never judged denies nothing."""
    verdicts = {"a": CONTRADICTED, "b": SUPPORTED}
    assert denied(verdicts, ("a",))
    assert not denied(verdicts, ("a", "b"))
    assert not denied(verdicts, ("z",))


def test_a_step_is_useful_where_the_truth_rises_or_stays_on_top():
    """Third to second is a rise, second to second is none, first to first keeps."""
    first, second, third = (answer(*(("x", SUPPORTED),) * k, ("t", "cannot tell")) for k in range(3))
    assert rises(third, second, {"t"})
    assert not rises(second, second, {"t"})
    assert rises(first, first, {"t"})
    assert not rises(first, third, {"t"})


def test_beliefs_count_among_the_verdicts():
    """What only the builder thought of is judged too, and what the ranking says of it holds."""
    given = answer(("a", SUPPORTED), beliefs=(("b", CONTRADICTED), (None, None)))
    assert given.verdicts() == {"a": SUPPORTED, "b": CONTRADICTED}


def test_stories_are_entered_and_taken_out_again(monkeypatch):
    """Two stories at all levels, one after the other in one journal: each is counted once, and leaves nothing."""
    monkeypatch.setenv("GALEBOOK_CACHE", "")
    monkeypatch.setenv("GALEBOOK_BACKUPS", "none")
    stories = told("tuned")[:2]
    tallies = benchmark.run(stories, ("words", "decisive"), lambda text: None, deep=False)
    assert all(tally.of["truth first"] == len(stories) for tally in tallies.values())
    assert all(tally.of["next step useful"] == len(stories) for tally in tallies.values())
    assert "truth in first three" in benchmark.shown(tallies, stories)
