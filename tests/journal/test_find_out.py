"""What is to be done about a doubt: a reading that is there goes onto the sheet, another is taken."""

import json
import shlex

import pytest

from journal.book import measurements, records, revisions, sheet, store
from journal.review import verdict
from journal.review.find_out import find_out
from tests.journal.test_one_verdict import SHEETS

EMF = "generator.emf_constant"


def told(s, path=EMF):
    """What is said of a value of the newest revision."""
    return find_out(verdict.check(s), path)


@pytest.fixture
def drawn(s):
    """A whole sheet, its constant by the data plate."""
    whole = {name: {"typed": typed, "provenance": "data plate"} for name, typed in SHEETS["whole"].items()}
    sheet.set_values(s, records.find_revision(s), whole)
    return s


def read(s, typed="10.2 rpm/V", quantity="generator.emf", **about):
    """A reading of the newest revision."""
    return measurements.log_measurement(s, measurements.MeasurementTyped(quantity, typed, doubt="2 %", **about))


def test_a_reading_that_is_narrower_goes_onto_the_sheet(drawn):
    """By name, with the command that does it; a draft needs no reason."""
    assert told(drawn).says.startswith("read it (back-EMF constant from a spin test)")
    assert told(drawn).how == 'galebook measure generator.emf "7.6 rpm/V" --on r1'
    m = read(drawn)
    assert (told(drawn).says, told(drawn).how) == (
        f"put {m.ref} on the sheet", f'galebook set {EMF} "10.2 rpm/V" --doubt "2 %" --from measured --on r1',
    )  # fmt: skip


def test_the_newest_of_several_is_named_and_none_that_is_as_doubtful(drawn):
    """As wide as the sheet's own doubt it would change nothing; once it is on the sheet it is named no more."""
    measurements.log_measurement(drawn, measurements.MeasurementTyped("generator.emf", "10 rpm/V", doubt="30 %"))
    assert not told(drawn).says.startswith("put ")
    read(drawn), read(drawn)
    assert told(drawn).says == "put M3 on the sheet"
    sheet.set_values(drawn, records.find_revision(drawn), {EMF: {"typed": "10.2 rpm/V", "doubt": "2 %"}})
    assert not told(drawn).says.startswith("put ")


def test_a_reading_of_another_thing_is_not_put_on_the_sheet(drawn):
    """Where the sheet has the constant in another form, what a meter shows is not what stands there."""
    read(drawn)
    assert told(drawn).says.startswith("put ")
    form = {"generator.emf_form": {"typed": "between two leads, RMS"}}
    sheet.set_values(drawn, records.find_revision(drawn), form)
    assert not told(drawn).says.startswith("put ")


def test_a_reading_of_another_revision_is_not_named(drawn):
    """It was another machine."""
    read(drawn)
    revisions.revise(drawn)
    assert not told(drawn).says.startswith("put ")


def test_what_no_meter_shows_is_found_out_better(drawn):
    """With limits where it is a number that can have any, and with two readings where these tell it."""
    assert told(drawn, "site.mean_wind").how == 'galebook set site.mean_wind "... +- ..." --on r1'
    assert told(drawn, "generator.pole_pairs").how == 'galebook set generator.pole_pairs "..." --on r1'
    assert "current with the leads shorted and the speed" in told(drawn, "generator.inductance").says


def test_the_demo_says_which_reading_to_use_and_it_can_be_done(story, run):
    """M7 read the constant within 2 %; put on the sheet as told, it decides less, and is not named again."""
    said = run("doubts", "r2").out
    assert f"{EMF}: put M7 on the sheet." in said
    assert said.index("What settles most") < said.index("What doubt could turn")
    before = json.loads(run("doubts", "r2", "--json").out)
    first = before["find_out"][0]
    assert (first["path"], before["measure_next"][0]) == (EMF, EMF)
    assert run(*shlex.split(first["how"])[1:]).code == 0
    after = json.loads(run("doubts", "r2", "--json").out)
    assert after["measure_next"][0] != EMF
    assert "M7" not in run("doubts", "r2").out
    with store.journal(story) as s:
        row = sheet.load_sheet(s, records.find_revision(s, "r2")).values[EMF]
        assert (row.provenance, row.doubt) == ("measured", "2 %")
