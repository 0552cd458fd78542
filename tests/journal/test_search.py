"""Every record is found by the words in it, whatever is typed."""

import json
import random
import unicodedata

import pytest
from sqlmodel import text

from journal.book import (
    attachments,
    attempts,
    builds,
    corrections,
    failures,
    history,
    index,
    measurements,
    records,
    search,
    sheet,
    store,
)
from journal.book.tables import Option
from journal.errors import BadInput

pytestmark = pytest.mark.both


def refs(s, asked):
    """What is found, in order."""
    return [found.ref for found in search.find(s, search.read_terms(asked))]


@pytest.mark.parametrize(
    "asked", ["mag", "MAGNÉT", "magnets weak", '"too weak"', "weak magnets", "ma we too", '"magnets"', "“too weak”"]
)
def test_words_are_found_by_their_beginning_in_any_order_and_case(s, asked):
    """And what stands in quotes as it stands there."""
    failures.log_failure(s, failures.FailureTyped("it hardly charged", cause="magnets too weak"))
    assert refs(s, asked) == ["F1 cause"]


@pytest.mark.parametrize("asked", ["agnets", '"weak too"', '"magnet"', "magnets strong", '"charged magnets"'])
def test_what_is_not_there_is_not_found(s, asked):
    """No middle of a word, no other order, no whole word that goes on, nothing across two columns."""
    failures.log_failure(s, failures.FailureTyped("it hardly charged", item="magnets", cause="magnets too weak"))
    assert refs(s, asked) == []


@pytest.mark.parametrize(
    ("typed", "asked"),
    [
        ("Späte Böe", "spate boe"),
        ("Spa\u0308te", "SPÄTE"),
        ("the Łódź coil", "lodz"),
        ("6 mm²", "mm2"),
        ("cut at 12.1 V", "12.1"),
        ("Straße", "strasse"),
        ("the axle-tree", "axle-tree"),
        ("風車の羽根", "風車"),
        ("Ångström", "angstrom"),
    ],
)
def test_accents_case_and_the_form_of_letters_do_not_matter(s, typed, asked):
    """One letter composed or apart, capitals, signs of units."""
    attempts.log_attempt(s, attempts.AttemptTyped(typed))
    assert refs(s, asked) == ["A1"]


def test_the_best_comes_first_and_the_newest_among_equals(s):
    """A word whole before one that goes on, twice before once, in a short text before a long one."""
    for did in ("crackle", "crack", "crack", "crack and " + "more " * 40, "crack in a crack"):
        attempts.log_attempt(s, attempts.AttemptTyped(did))
    assert refs(s, "crack") == ["A5", "A3", "A2", "A1", "A4"]


def test_a_change_is_found_and_what_stood_there_is_not(s):
    """The index follows corrections and values taken off the sheet."""
    sheet.set_values(s, records.find_revision(s), {"rotor.diameter": {"typed": "2.2 m", "note": "with a tape"}})
    attempts.log_attempt(s, attempts.AttemptTyped("raised it"))
    corrections.amend(s, "A1", "did", "lowered it", "wrong word")
    assert (refs(s, "raised"), refs(s, "lowered"), refs(s, "tape")) == ([], ["A1"], ["r1 rotor.diameter"])
    sheet.unset(s, records.find_revision(s), ["rotor.diameter"], "not on this one")
    assert refs(s, "tape") == []


@pytest.mark.parametrize("typed", ["---", "--- the end", "...", "•"])
def test_a_text_without_a_word_is_no_harm(s, typed):
    """Nor is one that only begins so: the words beside it are found."""
    failures.log_failure(s, failures.FailureTyped(typed, item="magnets", effect=typed))
    assert refs(s, "magn") == ["F1"]
    assert not search.is_stale(s.connection())


def test_what_is_taken_back_is_not_found(opened):
    """The words are in the transaction of the record."""

    def command():
        with opened(write=True) as s:
            attempts.log_attempt(s, attempts.AttemptTyped("raised it"))
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        command()
    with opened() as s:
        assert refs(s, "raised") == []


def _every_text(session):
    """Each text column of each record: the kind, its key, the column, what it holds."""
    for name, kind in history.kept_kinds().items():
        for row in session.connection().execute(text(f'SELECT * FROM "{name}"')).mappings():
            for column, held in row.items():
                if isinstance(held, str) and column not in index.NOT_TYPED and list(index.words_in(held)):
                    yield kind.__name__.lower(), row["id"], column, held


def test_every_text_of_the_demo_is_found_by_its_own_words(story):
    """No kind of record and no column is left out."""
    with store.journal(story) as s:
        every = list(_every_text(s))
        assert len({(kind, column) for kind, _, column, _ in every}) > 50
        for kind, key, _, held in random.Random(1).sample(every, 120):
            found = search.find(s, [search.Term(tuple(word for word, *_ in index.words_in(held)), whole=True)])
            assert (kind, key) in {(f.kind, f.record_id) for f in found}


def test_a_new_column_of_text_is_searched_without_being_named():
    """All that a record holds as text is, but what is listed as not typed."""
    row = {"a_column_of_tomorrow": "flange", "size": 3, "private": True, "recorded_at": "2026-01-01", "note": None}
    assert index.body_of(row) == "flange"


def test_what_is_not_typed_is_named_for_columns_that_are_there():
    """The list of exceptions holds no column that is gone."""
    assert {c for kind in history.kept_kinds().values() for c in kind.model_fields} >= index.NOT_TYPED


def test_the_index_kept_is_the_index_made_anew(story):
    """After a long story, and after all kinds of changes; the same rows and the same finds."""
    with store.journal(story, write=True) as s:
        corrections.withdraw(s, failures.log_failure(s, failures.FailureTyped("it stopped")).ref, "a slip")
        failures.believe(s, "F1", failures.CauseTyped("a loose wire"))
        assert not search.is_stale(s.connection())
        before = refs(s, "the")
        search.rebuild(s.connection())
        assert not search.is_stale(s.connection())
        assert refs(s, "the") == before


@pytest.mark.parametrize(
    "harm", ["UPDATE searchtext SET body = 'x' WHERE id = 3", "DELETE FROM searchtext WHERE id = 3"]
)
def test_an_index_that_is_not_what_it_should_be_is_seen_and_made_anew(story, harm):
    """One changed or missing row is enough."""
    with store.journal(story, write=True) as s:
        s.connection().exec_driver_sql(harm)
        assert search.is_stale(s.connection())
        search.rebuild(s.connection())
        assert not search.is_stale(s.connection())


def test_a_damaged_index_of_words_is_made_anew(story):
    """Also where its own table was emptied behind its back."""
    with store.journal(story, write=True) as s:
        s.connection().exec_driver_sql("INSERT INTO searchword (searchword) VALUES ('delete-all')")
        assert refs(s, "magn") == []
        assert not index.is_sound(s.connection())
        search.rebuild(s.connection())
        assert index.is_sound(s.connection())
        assert refs(s, "magn") != []


@pytest.mark.alone
@pytest.mark.parametrize(
    "harm",
    ["DELETE FROM searchtext", "INSERT INTO searchword (searchword) VALUES ('delete-all')"],
    ids=["rows", "words"],
)
def test_the_doctor_finds_words_anew(story, run, harm):
    """Missing rows show at once; what is wrong beneath them is put right along with anything else."""
    with store.journal(story, write=True) as s:
        s.connection().exec_driver_sql(harm)
        if "word " in harm:
            s.connection().exec_driver_sql("UPDATE searchtext SET ref = 'x' WHERE id = 1")
    seen = run("doctor")
    assert (seen.code, "words that are searched" in " ".join(seen.out.split())) == (1, True)
    assert "gathered again" in run("doctor", "--mend").out
    assert (run("doctor").code, run("search", "magn").out.count("F1") > 0) == (0, True)


NO_WORD = ['"', '""', "'", "(((", "\\", "%", "<->", "\u0301"]
HOSTILE = [
    "NOT", "a AND", "NEAR(a b)", "a* OR *", "body:x", "x^2", "-x", ":* | !a", "a\0b",
    "\ud800x", "x'; DROP TABLE build; --", "{a b} : c", "a" * 100_000, " ".join(f"w{n}" for n in range(10_000)),
    '"' * 9999 + "a", "ﷺ" * 500, "a\u0301\u0301" * 500,
]  # fmt: skip


@pytest.mark.parametrize("asked", HOSTILE, ids=range(len(HOSTILE)))
def test_hostile_words_are_just_words(s, asked):
    """No operator of either database, no end to a text, and no limit is reached by what somebody types."""
    attempts.log_attempt(s, attempts.AttemptTyped("raised it", outcome="worked"))
    assert refs(s, asked) == []
    assert refs(s, "raised") == ["A1"]


@pytest.mark.parametrize("asked", NO_WORD, ids=range(len(NO_WORD)))
def test_what_holds_no_word_is_told(asked):
    """In one line; nothing is looked for."""
    with pytest.raises(BadInput, match="There is no word"):
        search.read_terms(asked)


def test_ten_thousand_words_are_all_asked_for(s):
    """A record that holds them is found, one that lacks the last is not."""
    held = " ".join(f"w{n}" for n in range(1000))
    attempts.log_attempt(s, attempts.AttemptTyped(held))
    assert (refs(s, held), refs(s, f"{held} more")) == (["A1"], [])


def test_any_letters_are_found_again(s):
    """Whatever Unicode calls a letter or a digit: what is logged is found by itself."""
    letters = [chr(c) for c in range(0x20, 0x30000) if chr(c).isalnum()]
    for n in range(40):
        word = "".join(random.Random(n).choices(letters, k=12))
        typed = unicodedata.normalize("NFC" if n % 2 else "NFD", word)
        ref = attempts.log_attempt(s, attempts.AttemptTyped(typed)).ref
        assert ref in refs(s, word), ascii(word)


def test_one_line_a_record_with_its_place(path, run):
    """Reference, kind, column and what stands around; withdrawn records are marked, and what belongs to them."""
    run("fail", "the blade flew off in the gale", "--cause", "the root bolt sheared off in the gale")
    run("withdraw", "F1", "--because", "it was another machine")
    result = run("search", "sheared")
    assert result.out == "F1 cause (cause, withdrawn, what): the root bolt sheared off in the gale\n"
    (hit,) = json.loads(run("search", "sheared", "--json").out)["hits"]
    assert hit == {
        "ref": "F1 cause", "kind": "cause", "build": "Shed wind generator", "where": "what", "withdrawn": True,
        "excerpt": "the root bolt sheared off in the gale",
    }  # fmt: skip


def test_what_the_shell_was_given_in_quotes_is_found_as_it_stands(path, run):
    """The quotes themselves never arrive."""
    run("attempt", "a loose wire")
    assert "A1" in run("search", "loose wire").out
    assert run("search", "wire loose").out == 'Nothing holds "wire loose".\n'
    assert "A1" in run("search", "wire", "loose").out


def test_an_excerpt_shows_the_words_wherever_they_stand(s):
    """On one line, and never long."""
    long = "and " * 100 + "the magnets\n were weak " + "but " * 100
    shown = search.excerpt(long, search.read_terms("magn"))
    assert "the magnets were weak" in shown
    assert len(shown) <= 80
    assert "\n" not in shown


def test_all_builds_are_searched_unless_one_is_named(path, run):
    """And then each find names its build."""
    run("attempt", "raised it")
    run("start", "Another")
    run("attempt", "raised it too")
    every = run("search", "raised").out
    assert ("Shed wind generator" in every, "Another" in every) == (True, True)
    assert "Another" not in run("--build", "shed wind generator", "search", "raised it").out


def test_many_finds_are_cut_and_counted(path, run):
    """The rest is told and can be had."""
    with store.journal(path, write=True) as s:
        for n in range(45):
            measurements.log_measurement(
                s, measurements.MeasurementTyped("battery.voltage", "12 V", conditions=f"n{n}")
            )
    assert run("search", "battery").out.splitlines()[-1] == "5 more; add a word, or --all."
    assert json.loads(run("search", "battery", "--all", "--json").out)["count"] == 45
    assert len(json.loads(run("search", "battery", "--all", "--json").out)["hits"]) == 45


def test_names_of_files_captions_and_options_are_searched(s, tmp_path):
    """What is not a record with a number too."""
    (tmp_path / "windy day.txt").write_text("x")
    attachments.attach(s, tmp_path / "windy day.txt", "r1", caption="the hedge bent")
    s.add(Option(decision_id=_decision(s), position=1, name="steel pipe", changes='{"mast.height": "6 m"}'))
    s.flush()
    builds.start(s, builds.BuildTyped("Another", place="behind the mill"))
    assert [refs(s, asked)[0] for asked in ("windy", "hedge", "steel", "mast.height", "mill")] == [
        "X1", "X1", "D1 steel pipe", "D1 steel pipe", "Another",
    ]  # fmt: skip


def _decision(s):
    from journal.book import decisions

    return decisions.open_decision(s, decisions.DecisionTyped("Which mast?")).key


def test_a_reference_leads_to_its_record(story, run):
    """Also where no text holds it."""
    assert "galebook show F2" in run("search", "f2").out
    assert "itself" not in run("search", "F99").out
    assert "itself" not in run("search", "brake").out
