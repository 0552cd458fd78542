"""Verdicts kept from one command to the next: the same to the letter, and never out of date."""

import os

import pytest

from calc.machine import spread
from calc.rules import search
from calc.rules.plan import Advice, Plan
from journal.book import store
from journal.review import kept, next_revision, verdict

pytestmark = pytest.mark.usefixtures("anew")

#: A verdict on a sheet that says nothing.
NOTHING = Advice([], Plan())


@pytest.fixture
def judged(story, monkeypatch):
    """Check r2 of the demo in a session of its own; and how often the rules were run."""
    runs = []
    judge = verdict._judge
    monkeypatch.setattr(verdict, "_judge", lambda values, advise: (runs.append(1), judge(values, advise))[1])

    def check(ref="r2", changes=None, advise=False):
        with store.journal(story) as s:
            review = verdict.check(s, ref, changes=changes, advise=advise)
            return review.findings, review.plan

    return check, runs


def test_what_is_kept_is_what_was_judged(judged):
    """Every field of every finding, and the second time nothing is computed."""
    check, runs = judged
    first = check()
    assert (check(), len(runs)) == (first, 1)


def test_remedies_and_what_to_do_first_are_kept_too(judged):
    """To the letter; a verdict without them stands beside it and is not taken for it."""
    check, runs = judged
    without = check()
    first = check(advise=True)
    assert first[1].todos
    assert any(f.remedies for f in first[0])
    assert (check(advise=True), check(), len(runs)) == (first, without, 2)


def test_a_verdict_with_remedies_serves_those_who_want_none(story, monkeypatch):
    """In one session nothing is judged twice; who wants remedies after a verdict without them gets them."""
    runs = []
    judge = verdict._judge
    monkeypatch.setattr(verdict, "_judge", lambda values, advise: (runs.append(advise), judge(values, advise))[1])
    with store.journal(story) as s:
        assert not verdict.check(s, "r2").plan.todos
        advised = verdict.check(s, "r2", advise=True)
        again = verdict.check(s, "r2", advise=True)
    assert advised.plan.todos
    assert (again.findings, again.plan, runs) == (advised.findings, advised.plan, [False, True])
    runs.clear()
    with store.journal(story) as s:
        advised = verdict.check(s, "r1", advise=True)
        assert verdict.check(s, "r1").findings == advised.findings
    assert runs == [True]


def test_ways_to_the_next_revision_are_looked_for_once(story, monkeypatch):
    """Asked again they are the same to the letter; what must stay, or what matters, makes them anew."""
    looked = []
    look = search.search
    monkeypatch.setattr(search, "search", lambda *a, **k: (looked.append(k["keep"]), look(*a, **k))[1])

    def proposed(**asked):
        with store.journal(story) as s:
            found = next_revision.propose(s, "r2", **asked)
            return [w.way for w in found.ways], found.stands, found.tried

    first = proposed()
    assert (proposed(), looked) == (first, [()])
    proposed(keep=["rotor.diameter"])
    proposed(matters="most energy")
    assert looked == [(), ["rotor.diameter"], ()]


def test_what_would_not_come_back_the_same_is_not_kept():
    """JSON knows no infinite numbers."""
    made = []
    for _ in range(2):
        assert kept.once(list[float], "endless", lambda: (made.append(1), [float("inf")])[1]) == [float("inf")]
    assert len(made) == 2


def _touch_code(monkeypatch):
    monkeypatch.setattr(kept, "_program", lambda: "another state of the code")


def _more_samples(monkeypatch):
    monkeypatch.setattr(spread, "SAMPLES", spread.SAMPLES + 1)


@pytest.mark.parametrize("change", [_touch_code, _more_samples], ids=["code", "samples"])
def test_whatever_a_verdict_depends_on_makes_it_anew(judged, monkeypatch, change):
    """Other code, other samples."""
    check, runs = judged
    check()
    change(monkeypatch)
    check()
    assert len(runs) == 2


def test_a_file_of_the_code_that_changes_makes_it_anew(tmp_path):
    """Its size and time are in the name."""
    kept._program.cache_clear()
    before = kept._program()
    import calc.physics.wind as one

    stat = os.stat(one.__file__)
    try:
        os.utime(one.__file__, ns=(stat.st_atime_ns, stat.st_mtime_ns + 1_000_000_000))
        kept._program.cache_clear()
        assert kept._program() != before
    finally:
        os.utime(one.__file__, ns=(stat.st_atime_ns, stat.st_mtime_ns))
        kept._program.cache_clear()


def test_other_values_and_other_revisions_are_judged_on_their_own(judged):
    """A value tried for one check, and another revision."""
    check, runs = judged
    found = check()
    assert check(changes={"storage.voltage": "48 V"}) != found
    assert check("r1") != found
    assert (check(), len(runs)) == (found, 3)


def test_a_new_reading_or_a_correction_makes_it_anew(story, judged, run):
    """Both are part of what is judged."""
    check, runs = judged
    check()
    run("measure", "40 A", "charge.current", "--on", "r2", "--wind", "7 m/s", "--load", "battery")
    check()
    run("set", "storage.capacity", "90 Ah", "--on", "r2", "--correct", "read the plate again")
    check()
    assert len(runs) == 3


@pytest.mark.parametrize("harm", [b"", b"nonsense", b"0" * 64 + b"\n[]"])
def test_a_damaged_file_is_passed_over(judged, harm):
    """Empty, garbled, or with a digest that is not its own."""
    check, runs = judged
    found = check()
    # The verdict, and the curve that a logger measured.
    for file in kept.folder().iterdir():
        file.write_bytes(harm)
    assert (check(), len(runs)) == (found, 2)
    assert (check(), len(runs)) == (found, 2)


def test_a_folder_that_cannot_be_written_stops_nothing(judged, monkeypatch, tmp_path):
    """Then every command judges for itself."""
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv("GALEBOOK_CACHE", str(tmp_path / "file" / "verdicts"))
    check, runs = judged
    assert check() == check()
    assert len(runs) == 2


def test_a_draft_is_not_kept(path):
    """It changes with every value."""
    with store.journal(path) as s:
        verdict.check(s)
    assert not kept.folder().exists()


def test_the_oldest_go(judged, monkeypatch):
    """No more are kept than a few builds need, and no file of somebody else is touched."""
    monkeypatch.setattr(kept, "MOST", 2)
    kept.folder().mkdir(parents=True)
    own = kept.folder() / "a note of my own"
    own.write_text("keep me")
    os.utime(own, (1, 1))
    check, _ = judged
    check("r1")
    check("r2")
    monkeypatch.setattr(kept, "_program", lambda: "later")
    check("r1")
    check("r2")
    assert own.exists()
    assert len([p for p in kept.folder().iterdir() if p != own]) == 2


def test_the_oldest_go_first(tmp_path, monkeypatch):
    """Of five verdicts the newest three are kept, and not judged again."""
    monkeypatch.setenv("GALEBOOK_CACHE", str(tmp_path / "verdicts"))
    monkeypatch.setattr(kept, "MOST", 3)
    judged = []

    def judge():
        judged.append(1)
        return NOTHING

    for n in range(5):
        kept.verdict(n, judge)
        for file in (tmp_path / "verdicts").iterdir():
            stat = file.stat()
            os.utime(file, ns=(stat.st_atime_ns, stat.st_mtime_ns - 1_000_000_000))
    for n in (4, 3, 2):
        kept.verdict(n, judge)
    assert len(judged) == 5
    kept.verdict(0, judge)
    assert len(judged) == 6


def test_what_is_kept_is_nobody_elses_to_read(tmp_path, monkeypatch):
    """The folder is made where it is wanted, for its owner alone; what a killed command left goes with the oldest."""
    folder = tmp_path / "deep" / "down"
    monkeypatch.setenv("GALEBOOK_CACHE", str(folder))
    monkeypatch.setattr(kept, "MOST", 1)
    kept.verdict("a", lambda: NOTHING)
    assert folder.stat().st_mode & 0o777 == 0o700
    half = folder / f"{'0' * 64}.4711"
    half.write_bytes(b"half")
    note = folder / f"{'0' * 63}.note"
    note.write_bytes(b"mine")
    for file in (half, note):
        os.utime(file, (1, 1))
    kept.verdict("b", lambda: NOTHING)
    assert not half.exists()
    assert note.exists()


def test_without_a_word_it_is_kept_in_the_users_cache(monkeypatch, tmp_path):
    """In a folder of our name, with no other author's above it."""
    import platformdirs

    monkeypatch.delenv("GALEBOOK_CACHE")
    asked = []
    monkeypatch.setattr(
        platformdirs, "user_cache_dir", lambda name, appauthor=None: asked.append((name, appauthor)) or str(tmp_path)
    )
    assert kept.folder() == tmp_path / "verdicts"
    assert asked == [("galebook", False)]
