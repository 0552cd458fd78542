"""What people type, to the last character that is kept and the first that is refused, through the command line."""

from __future__ import annotations

import json

import pytest

from tests.conftest import rows

pytestmark = pytest.mark.usefixtures("path")


#: A call with a text in it, and how long the text may be.
LENGTHS = [
    (("start",), 120),
    (("part", "add"), 200),
    (("attempt",), 10_000),
]


@pytest.mark.parametrize(("call", "limit"), LENGTHS, ids=[" ".join(c) for c, _ in LENGTHS])
def test_a_text_is_kept_up_to_its_limit(run, call, limit):
    """And refused one character further, with its length and the limit."""
    refused = run(*call, "x" * (limit + 1))
    assert (refused.code, f"{limit + 1} characters" in refused.err, f"{limit} are kept" in refused.err) == (
        2,
        True,
        True,
    )
    assert run(*call, "x" * limit).code == 0


@pytest.mark.parametrize(
    ("char", "kept"),
    [("\t", True), ("\n", True), ("\x1f", False), ("~", True), ("\x7f", False), ("\x80", False), ("\x9f", False),
     ("\xa0", True), ("\ud7ff", True), ("\ud800", False), ("\ue000", True)],
    ids=lambda v: f"U+{ord(v):04X}" if isinstance(v, str) else str(v),
)  # fmt: skip
def test_no_control_character_is_kept(run, char, kept):
    """Unicode's C0 but for tab and line, DEL, C1 and the surrogates; everything else is."""
    assert (run("attempt", f"spun{char}by hand").code == 0) is kept


@pytest.mark.parametrize(
    ("typed", "day"),
    [("today", "2026-11-25"), ("Yesterday", "2026-11-24"), ("now", "2026-11-25T12:00:00Z"),
     ("2026-01-12", "2026-01-12"), ("2026-01-12 21:40", "2026-01-12T21:40Z"),
     ("2026-01-12T21:40+01:00", "2026-01-12T20:40Z")],
)  # fmt: skip
def test_a_date_as_people_say_it(run, path, typed, day):
    """The clock of these tests stands at noon of 25 November 2026, UTC."""
    assert run("attempt", "spun by hand", "--when", typed).code == 0
    assert rows(path, "SELECT began FROM attempt") == [(day,)]


def test_a_value_below_nothing_is_typed_as_it_is(run, path):
    """The battery gave 2 A while the wind was still; options may stand on either side, and no option is misread."""
    done = run("measure", "--load", "battery", "-2 A", "charge.current", "--where", "at the fuse")
    assert done.code == 0, done.err
    assert rows(path, 'SELECT typed, value, load_state, "where" FROM measurement') == [
        ("-2 A", -2.0, "battery", "at the fuse")
    ]
    assert run("set", "storage.coldest", "-10 degC", "--from", "estimate").code == 0
    assert rows(path, "SELECT typed FROM sheetvalue") == [("-10 degC",)]


def test_tomorrow_is_yet_to_come(run, path):
    """It is 25 November where the builder is; days are the builder's own, whatever the calendar says elsewhere."""
    assert run("attempt", "spun by hand", "--when", "2026-11-25").code == 0
    for day in ("2026-11-26", "2026-11-27", "2027-01-01"):
        refused = run("attempt", "spun by hand", "--when", day)
        assert (refused.code, "yet to come" in refused.err) == (2, True)


def test_a_day_to_look_again_lies_ahead(story, run):
    """Of a decision, and of what is lived with."""
    done = run("accept", "mast.height", "--on", "r2", "--because", "it stays so", "--until", "2099-01-01")
    assert done.code == 0, done.err
    assert run("amend", "D1", "review_on=2099-01-01", "--because", "later").code == 0


def test_nothing_is_decided_or_believed_in_days_to_come(run, path):
    """The decision stays open, and the failure without a cause."""
    for call in (["decide", "Which rope?"], ["option", "D1", "hemp"], ["attempt", "x"], ["fail", "it broke"]):
        assert run(*call).code == 0
    for call in (["choose", "D1", "hemp", "--because", "x"], ["cause", "F1", "too thin"]):
        assert run(*call, "--when", "2099-01-01").code == 2
    assert rows(path, "SELECT decided_on FROM decision") == [(None,)]
    assert rows(path, "SELECT what FROM cause") == []


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("tomorrow", ("is yet to come", "today")),
        ("2026-13-01", ("there is no month 13", "2026-01-12")),
        ("30.2.2026", ("February 2026 has 28 days", "Give a day")),
        ("2026-01-12 25:00", ("is not a date", "2026-01-12")),
        ("0000-01-01", ("is not a date", "2026-01-12")),
    ],
)
def test_what_is_no_date_is_refused(run, typed, words):
    """With what would be accepted."""
    done = run("attempt", "spun by hand", "--when", typed)
    assert (done.code, [w in done.err for w in words]) == (2, [True, True])


#: A reading, the accuracy of the meter, and the limits: half a unit of reading and digits added, as data sheets do.
METERS = [
    ("12.50 V", "0.8 % + 3 digits", 12.50 * 0.008 + 0.03),
    ("12.5 V", "0.8 % + 3 digits", 12.5 * 0.008 + 0.3),
    ("12 V", "1 % + 2 digits", 0.12 + 2.0),
    ("-12.5 V", "0.8 % + 3 digits", 12.5 * 0.008 + 0.3),
    ("12.50 V", "2 %", 0.25),
]


@pytest.mark.parametrize(("typed", "accuracy", "half"), METERS)
def test_a_meter_s_accuracy_sets_the_limits(run, path, typed, accuracy, half):
    """Digits count in the last place that was typed (a data sheet's "% of reading + digits")."""
    assert run("instrument", "pocket multimeter", "--accuracy", accuracy).code == 0
    assert run(
        "measure", typed, "charge.current" if "-" in typed else "battery.voltage", "--instrument", "I1"
    ).code in (0, 2)
    for value, low, high in rows(path, "SELECT value, low, high FROM measurement"):
        assert (high - value, value - low) == pytest.approx((half, half), rel=1e-3)


@pytest.mark.parametrize(
    ("accuracy", "word"),
    [("about right", "Cannot read"), ("1 % of range", "--doubt"), ("", "empty"), ("-1 %", "Cannot read")],
)
def test_what_is_no_accuracy_is_refused(run, path, accuracy, word):
    """When the meter is entered, before anything is read with it."""
    done = run("instrument", "pocket multimeter", "--accuracy", accuracy)
    assert (done.code, done.err.count("\n"), word in done.err) == (2, 1, True)
    assert rows(path, "SELECT count(*) FROM instrument") == [(0,)]


@pytest.mark.parametrize(
    ("costs", "said"),
    [(("40 EUR", "10.50 EUR", "5 GBP"), ("Cost: 50.5 EUR and 5 GBP",)), (("40 EUR",), ("Cost: 40 EUR",)), ((), ())],
)
def test_costs_are_added_up_by_currency(run, costs, said):
    """Never one into another."""
    for n, cost in enumerate(costs):
        assert run("part", "add", f"part {n}", "--cost", cost).code == 0
    text = run("part", "list").out
    assert [amount for amount in said if amount not in text] == []


def test_parts_go_on_to_the_next_revision_unless_they_do_not(run):
    """Those of the one it comes from; what broke stays behind."""
    for name in ("tail", "motor"):
        assert run("part", "add", name).code == 0
    assert run("attempt", "a storm").code == 0
    assert run("part", "fate", "P2", "broke").code == 0
    assert run("revise", "--because", "the motor burnt").code == 0
    names = {r: [p["name"] for p in json.loads(run("part", "list", r, "--json").out)["parts"]] for r in ("r1", "r2")}
    assert names["r1"] == ["tail", "motor"]
    assert names["r2"] == ["tail"]


def test_a_cause_is_taken_by_its_number(run):
    """The first is one; none is nought, none is beyond the last."""
    assert run("fail", "hardly charged", "--cause", "weak magnets", "--sure", "50%").code == 0
    assert run("cause", "F1", "thin cable", "--sure", "20%").code == 0
    assert run("reject", "F1", "3", "--because", "x").code == 1
    assert run("reject", "F1", "2", "--because", "measured").code == 0
    causes = json.loads(run("show", "F1", "--json").out)
    assert "thin cable" in json.dumps(causes)


def test_a_severity_is_corrected_within_its_levels(run, path):
    """1 to 4, as when the failure was logged."""
    assert run("fail", "hardly charged", "--severity", "3").code == 0
    assert run("amend", "F1", "severity=2", "--because", "nobody could reach it").code == 0
    assert rows(path, "SELECT severity FROM failure") == [(2,)]
    assert [run("amend", "F1", f"severity={n}", "--because", "x").code for n in (0, 5, "grave")] == [2, 2, 2]
    assert rows(path, "SELECT severity FROM failure") == [(2,)]


def test_a_comparison_tells_what_no_longer_applies(run):
    """A rule that speaks of one of the two only: of a mast on a roof."""
    assert run("set", "mast.kind", "on a roof or gable").code == 0
    assert run("attempt", "raised").code == 0
    assert run("revise", "--because", "it shook").code == 0
    assert run("set", "mast.kind", "guyed tilt-up").code == 0
    there = json.loads(run("compare", "r1", "r2", "--json").out)
    back = json.loads(run("compare", "r2", "r1", "--json").out)
    for found in (there, back):
        assert "mast.roof" in json.dumps(found)
