"""Builds, revisions, attempts, measurements, claims, parts, and corrections of any record."""

import dataclasses
from datetime import date

import pytest

from calc.machine.catalogue import Sheet
from journal.book import (
    attempts,
    builds,
    claims,
    corrections,
    days,
    failures,
    instruments,
    measurements,
    parts,
    records,
    revisions,
    sheet,
    store,
    tables,
    within,
    written,
)
from journal.book.tables import CONDITIONS, FATES, LOAD_STATES, OUTCOMES, Part, PartUse, Revision
from journal.demo import ENDS, SCENES
from journal.errors import BadInput, NotFound, Refused
from journal.review.wording import wind_text
from journal.screens.listing import gather_listing
from journal.screens.record import gather_record
from tests.conftest import BUILD, dump


def fill(s, **more):
    """Put something on the newest revision's sheet."""
    items = {"rotor.diameter": {"typed": "2.2 m"}} | more
    sheet.set_values(s, records.find_revision(s), items)


def fates(s, of):
    """What became of each part of a revision."""
    return {p.ref: use.fate for p, use in parts.on_revision(s, of)}


# Builds


def test_a_build_is_found_by_its_name_in_any_case(s):
    """The one chosen last is meant until another is chosen."""
    builds.start(s, builds.BuildTyped("Pump mill"))
    assert records.current_build(s).name == "Pump mill"
    builds.use(s, BUILD.upper())
    assert records.current_build(s).name == BUILD


@pytest.mark.parametrize("name", [BUILD, BUILD.upper(), f"  {BUILD} "])
def test_two_builds_cannot_share_a_name(s, name):
    """Not even in another case."""
    with pytest.raises(Refused, match="already a build"):
        builds.start(s, builds.BuildTyped(name))


def test_a_wrong_build_is_told_with_the_nearest(path):
    """For one command, or to choose it."""
    with pytest.raises(NotFound, match="Did you mean"), store.journal(path, build="shed wind generatr") as s:
        records.current_build(s)
    with pytest.raises(NotFound, match="Did you mean"), store.journal(path, write=True) as s:
        builds.use(s, "shed wind generatr")


def test_a_chosen_build_can_be_renamed(s):
    """It is still the one that is meant."""
    corrections.amend(s, "build", "name", "Barn mill", "it moved")
    builds.start(s, builds.BuildTyped("Pump mill"))
    builds.use(s, "barn MILL")
    corrections.amend(s, "build", "name", "Yard mill", "it moved again")
    assert records.current_build(s).name == "Yard mill"
    with pytest.raises(Refused, match="already a build"):
        corrections.amend(s, "build", "name", "pump mill", "a slip")


def test_several_builds_and_none_chosen_is_refused(s):
    """Nothing is guessed."""
    builds.start(s, builds.BuildTyped("Pump mill"))
    s.delete(s.get(tables.Setting, "build"))
    s.flush()
    with pytest.raises(Refused, match="2 builds and none was chosen"):
        records.current_build(s)


# References


@pytest.mark.parametrize(
    ("ref", "error", "words"),
    [
        ("", BadInput, "not a reference"),
        ("A", BadInput, "not a reference"),
        ("1A", BadInput, "not a reference"),
        ("Z1", BadInput, "not a reference"),
        ("A1 ; DROP TABLE build", BadInput, "not a reference"),
        ("A" + "1" * 30, BadInput, "not a reference"),
        ("A-1", BadInput, "not a reference"),
        ("A0", NotFound, "There are none yet"),
        ("A1", NotFound, "There are none yet"),
        ("r9", NotFound, "The last is r1"),
        ("a999999999", NotFound, "There is no attempt"),
    ],
)
def test_a_reference_to_nothing_is_told(s, ref, error, words):
    """What does not look like one, and what names nothing."""
    with pytest.raises(error, match=words):
        records.find_record(s, ref)


def test_a_reference_of_the_wrong_kind_is_told(s):
    """With what is wanted instead."""
    with pytest.raises(BadInput, match=r"A1 is an attempt, but a measurement is wanted here\. Those have .* M1"):
        records.find_record(s, "A1", measurements.Measurement)


# Dates


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        (None, "2026-11-25"),
        ("today", "2026-11-25"),
        ("Yesterday", "2026-11-24"),
        ("now", "2026-11-25T12:00:00Z"),
        ("2026-01-12", "2026-01-12"),
        ("2026-01-12 21:40", "2026-01-12T21:40Z"),
        ("2026-01-12T21:40", "2026-01-12T21:40Z"),
        ("2026-01-12 21:40+02:00", "2026-01-12T19:40Z"),
    ],
)
def test_days_and_moments(clock, typed, kept):
    """A day stays a day; a moment is kept as UTC."""
    assert written.when(typed) == kept


@pytest.mark.parametrize(
    "typed", ["", "2026-13-01", "2026-02-30", "12.13.2026", "soon", "2026-01-12 25:00", "0001-01-01 00:00+23:00"]
)
def test_what_is_no_date_is_told(clock, typed):
    """With what would be accepted."""
    with pytest.raises(BadInput, match=r"Accepted: 2026-01-12|has 28 days"):
        written.when(typed)


#: Fields of the demo's steps that say when something was.
DAYS = {"began", "ended", "happened", "taken", "decided_on", "said_on"}


def test_a_story_has_a_day_of_its_own(clock):
    """The demo can be played in any year, also before its story, or after what it lives with for a time."""
    with pytest.raises(BadInput, match="yet to come"):
        written.past("2030-05-01")
    with days.told_on(date(2030, 5, 1)):
        assert (written.past("2030-05-01"), written.when(None)) == ("2030-05-01", "2030-05-01")
    assert written.when(None) == "2026-11-25"
    every = [day for scene in SCENES for step in scene.steps for name, day in step.typed.items() if name in DAYS]
    assert max(every) <= ENDS.isoformat()
    accepted = [step for scene in SCENES for step in scene.steps if step.verb == "accept"]
    assert all(step.typed["until"] > ENDS.isoformat() for step in accepted)


# Attempts


def test_the_first_attempt_freezes_the_revision(s):
    """And a later one does not freeze it anew."""
    attempts.log_attempt(s, attempts.AttemptTyped("raised it"))
    first = records.find_revision(s).frozen_at
    assert first == "2026-11-25T12:00:00Z"
    attempts.log_attempt(s, attempts.AttemptTyped("again"))
    assert records.find_revision(s).frozen_at == first


@pytest.mark.parametrize(
    ("began", "ended"),
    [("2026-05-02", "2026-05-01"), ("2026-05-02 12:00", "2026-05-02 11:59"), ("2026-05-02 12:00", "2026-05-01")],
)
def test_nothing_ends_before_it_begins(s, began, ended):
    """Neither by day nor by minute; nor by a later correction."""
    with pytest.raises(BadInput, match="before it began"):
        attempts.log_attempt(s, attempts.AttemptTyped("ran it", began=began, ended=ended))
    attempts.log_attempt(s, attempts.AttemptTyped("ran it", began=began))
    with pytest.raises(BadInput, match="before it began"):
        corrections.amend(s, "A1", "ended", ended, "a slip")


@pytest.mark.parametrize("ended", ["2026-05-02", "2026-05-02 12:01", "2026-05-03"])
def test_an_attempt_may_end_the_day_it_began(s, ended):
    """A day and a moment of it are not held against each other."""
    assert attempts.log_attempt(s, attempts.AttemptTyped("ran it", began="2026-05-02 12:00", ended=ended)).key


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("kind", "party", "Accepted: bench test; raising"),
        ("kind", "r", "not one of its words"),
        ("outcome", "splendid", "Accepted: worked"),
        ("load_state", "a goat", "Accepted: nothing connected"),
        ("wind", "strong", "cannot read"),
        ("wind", "Bft 13", "Beaufort"),
        ("wind", "9", "has no unit"),
        ("hours", "20", "has no unit"),
        ("hours", "-1 h", "out of range"),
        ("began", "soon", "not a date"),
        ("did", " ", "is empty"),
        ("did", "x" * 10_001, "characters long"),
        ("saw", "\x1b[2J", "control character"),
    ],
)
def test_a_wrong_field_logs_nothing_and_freezes_nothing(path, field, value, words):
    """One line, no record, and the sheet can still be changed."""
    before = dump(path)
    with pytest.raises(BadInput, match=words.replace("[", r"\[")), store.journal(path, write=True) as s:
        attempts.log_attempt(s, attempts.AttemptTyped(**{"did": "ran it", field: value}))
    assert dump(path) == before


@pytest.mark.parametrize(("typed", "word"), [("bench", "bench test"), ("RAI", "raising"), ("storm", "storm")])
def test_an_unmistakable_beginning_of_a_word_is_enough(s, typed, word):
    """In any case."""
    assert attempts.log_attempt(s, attempts.AttemptTyped("ran it", kind=typed)).kind == word


def test_wind_is_kept_as_typed_and_as_an_interval(s):
    """Bft 5 is 8.0 to 10.8 m/s (calc/tables/beaufort.csv names the source)."""
    made = attempts.log_attempt(s, attempts.AttemptTyped("ran it", wind="about Bft 5", hours="90 min"))
    assert (made.wind, made.wind_low, made.wind_high, made.hours) == ("about Bft 5", 8.0, 10.8, 1.5)
    assert wind_text(made) == "about Bft 5 (8 to 10.8 m/s)"


# Measurements


def test_a_measurement_takes_over_what_its_attempt_says(s):
    """Revision, wind, load and date, as long as nothing else is said."""
    attempts.log_attempt(s, attempts.AttemptTyped("ran it", began="2026-05-02", wind="Bft 4", load_state="battery"))
    fill_in = measurements.log_measurement(s, measurements.MeasurementTyped("battery.voltage", "12.1 V", attempt="A1"))
    own = measurements.log_measurement(
        s,
        measurements.MeasurementTyped(
            "charge.current", "3 A", attempt="A1", load_state="dump", wind="9 m/s", taken="2026-05-03"
        ),
    )
    assert (fill_in.wind, fill_in.load_state, fill_in.taken) == ("Bft 4", "battery", "2026-05-02")
    assert (own.wind, own.wind_low, own.load_state, own.taken) == ("9 m/s", 9.0, "dump load", "2026-05-03")


def test_a_measurement_goes_to_the_revision_of_its_attempt(s):
    """Not to the newest."""
    fill(s)
    attempts.log_attempt(s, attempts.AttemptTyped("ran it"))
    revisions.revise(s)
    made = measurements.log_measurement(s, measurements.MeasurementTyped("battery.voltage", "12.1 V", attempt="A1"))
    assert s.get(Revision, made.revision_id).number == 1


@pytest.mark.parametrize(("value", "missing"), [("12 V", "meter at home"), (None, None)])
def test_a_measurement_has_a_value_or_a_reason(s, value, missing):
    """Not both, not neither."""
    with pytest.raises(BadInput, match="either a value or why there is none"):
        measurements.log_measurement(s, measurements.MeasurementTyped("battery.voltage", value, missing=missing))


def test_a_missing_reading_is_kept_with_its_reason(s):
    """So that nobody thinks it was forgotten."""
    made = measurements.log_measurement(
        s, measurements.MeasurementTyped("rotor.speed", missing="no tachometer that day")
    )
    assert (made.value, made.low, made.missing_because) == (None, None, "no tachometer that day")
    corrections.amend(s, "M1", "value", "320 rpm", "found the note")
    assert made.value == pytest.approx(33.51, rel=1e-3)
    assert made.missing_because is None


@pytest.mark.parametrize(
    ("typed", "doubt", "low", "high"),
    [
        ("12.1 V", None, 12.1, 12.1),
        ("12.1 V", "0.1 V", 12.0, 12.2),
        ("12 V", "5 %", 11.4, 12.6),
        ("12 to 13 V", None, 12, 13),
    ],
)
def test_the_uncertainty_of_a_reading(s, typed, doubt, low, high):
    """Typed with it, beside it, or not at all."""
    made = measurements.log_measurement(s, measurements.MeasurementTyped("battery.voltage", typed, doubt=doubt))
    assert (made.low, made.high) == pytest.approx((low, high))


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("battery.volts", "Did you mean battery.voltage"),
        ("temperature", "Meant: generator.temperature or"),
        ("x", "names --measured"),
    ],
)
def test_an_unknown_quantity_is_told_with_the_nearest(s, name, words):
    """Or with those that may be meant."""
    with pytest.raises(BadInput, match=words):
        measurements.log_measurement(s, measurements.MeasurementTyped(name, "1 V"))


def test_the_last_part_of_a_name_is_enough_where_it_is_unmistakable(s):
    """There is one open voltage, but several temperatures."""
    assert (
        measurements.log_measurement(s, measurements.MeasurementTyped("open_voltage", "31 V")).quantity
        == "generator.open_voltage"
    )


# Claims


@pytest.mark.parametrize(
    ("said", "power", "wind"),
    [("400 W at 9 m/s", 400, 9), ("0.4 kW @ 20 mph", 400, 8.9408), ("400 W in Bft 5", 400, 9.4), ("400 W", 400, None)],
)
def test_a_claim_is_read_from_its_sentence(s, said, power, wind):
    """Power and, if it was named, the wind."""
    made = claims.log_claim(s, said, "the seller")
    assert (made.said, made.power, made.wind_speed) == (said, power, wind if wind is None else pytest.approx(wind))


@pytest.mark.parametrize("said", ["", "plenty", "400 W at night", "at 9 m/s", "400 V at 9 m/s", "-5 W at 9 m/s"])
def test_a_claim_without_a_number_is_told(s, said):
    """One line with an example."""
    with pytest.raises(BadInput, match=r"is empty|Type it like \"400 W at 9 m/s\""):
        claims.log_claim(s, said, "the seller")


def test_a_corrected_claim_is_read_again(s):
    """Its numbers follow its sentence."""
    made = claims.log_claim(s, "400 W at 9 m/s", "the seller")
    corrections.amend(s, "C1", "said", "300 W at 12 m/s", "looked at the advertisement again")
    assert (made.power, made.wind_speed) == (300, 12)


# Parts


@pytest.mark.parametrize(
    ("cost", "currency", "kept"),
    [
        ("30 EUR", None, (30, "EUR")),
        ("30", "gbp", (30, "GBP")),
        ("30.50 eur", "GBP", (30.5, "EUR")),
        ("0 GBP", None, (0, "GBP")),
    ],
)
def test_what_a_part_cost(s, cost, currency, kept):
    """An amount always has its currency."""
    made = parts.add_part(s, parts.PartTyped("hub motor", cost=cost, currency=currency))
    assert (made.cost, made.currency) == kept


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("cost", "30", "no currency"),
        ("cost", "thirty EUR", "not an amount"),
        ("cost", "-1 EUR", "not an amount"),
        ("cost", "nan EUR", "not an amount"),
        ("cost", "inf EUR", "not an amount"),
        ("cost", "30 quid", "no currency"),
        ("mass", "4", "has no unit"),
        ("mass", "4 m", "wrong kind of unit"),
        ("mass", "-4 kg", "out of range"),
        ("quantity", "0", "not a count"),
        ("quantity", "-1", "not a count"),
        ("quantity", "nan", "not a count"),
        ("quantity", "many", "not a count"),
        ("condition", "shiny", "Accepted: new; salvaged; made"),
    ],
)
def test_a_wrong_field_of_a_part_is_told_when_added_and_when_corrected(s, field, value, words):
    """The same words and the same limits either way."""
    with pytest.raises(BadInput, match=words):
        parts.add_part(s, parts.PartTyped("hub motor", **{field: value}))
    parts.add_part(s, parts.PartTyped("hub motor"))
    with pytest.raises(BadInput, match=words):
        corrections.amend(s, "P1", field, value, "a slip")


def test_costs_of_several_currencies_are_never_added(s):
    """A sum for each."""
    for cost in ("30 EUR", "12.5 GBP", "10 EUR", None):
        parts.add_part(s, parts.PartTyped("thing", cost=cost))
    assert parts.cost(parts.on_revision(s, records.find_revision(s))) == {"EUR": 40, "GBP": 12.5}


def test_parts_that_serve_go_on_to_the_next_revision(s):
    """What broke does not; and the older revision says where each went."""
    fill(s)
    for name in ("blades", "motor", "mast"):
        parts.add_part(s, parts.PartTyped(name))
    parts.fate(s, "P1", "broken", note="in the gale")
    new = revisions.revise(s)
    assert fates(s, records.find_revision(s, "r1")) == {"P1": "broken", "P2": "carried on", "P3": "carried on"}
    assert fates(s, new) == {"P2": "in use", "P3": "in use"}


def test_a_part_can_be_brought_back(s):
    """A spare put on a later revision; twice is refused."""
    fill(s)
    parts.add_part(s, parts.PartTyped("motor"))
    parts.fate(s, "P1", "spare")
    new = revisions.revise(s)
    parts.carry(s, "P1", "r2")
    assert fates(s, new) == {"P1": "in use"}
    with pytest.raises(Refused, match="already on r2"):
        parts.carry(s, "P1", "r2")


def test_a_frozen_bill_of_materials_is_added_to(s):
    """As a correction where a reason is given; what becomes of a part is part of the story."""
    parts.add_part(s, parts.PartTyped("motor"))
    attempts.log_attempt(s, attempts.AttemptTyped("raised it"))
    parts.add_part(s, parts.PartTyped("forgotten bolt"))
    parts.add_part(s, parts.PartTyped("forgotten nut"), correction="was left out of the list")
    parts.fate(s, "P1", "broken")
    assert fates(s, records.find_revision(s)) == {"P1": "broken", "P2": "in use", "P3": "in use"}


def test_a_part_that_was_left_out_of_an_earlier_revision_went_on_from_there(s):
    """It serves on the newest, and is put on the one that was built without ceremony."""
    parts.add_part(s, parts.PartTyped("motor"))
    first = records.find_revision(s)
    attempts.log_attempt(s, attempts.AttemptTyped("raised it"))
    second = revisions.revise(s)
    parts.add_part(s, parts.PartTyped("brake switch"))
    parts.carry(s, "P2", "r1")
    assert (fates(s, first)["P2"], fates(s, second)["P2"]) == ("carried on", "in use")


def test_a_fate_means_the_latest_revision_unless_one_is_named(s):
    """A part on two revisions has a fate on each."""
    fill(s)
    parts.add_part(s, parts.PartTyped("motor"))
    revisions.revise(s)
    parts.fate(s, "P1", "broken")
    parts.fate(s, "P1", "worn", on="r1")
    assert [fates(s, records.find_revision(s, r)) for r in ("r1", "r2")] == [{"P1": "worn out"}, {"P1": "broken"}]


def test_a_fate_on_a_revision_without_the_part_is_refused(s):
    """With the way to put it there."""
    fill(s)
    parts.add_part(s, parts.PartTyped("motor"))
    parts.fate(s, "P1", "spare")
    revisions.revise(s)
    with pytest.raises(Refused, match="galebook part carry P1"):
        parts.fate(s, "P1", "broken", on="r2")


# Revisions


def test_a_new_revision_begins_with_a_copy_of_the_sheet(s):
    """A change of the one leaves the other alone, and the new one is a draft."""
    fill(s, **{"mast.height": {"typed": "8 m", "provenance": "measured", "doubt": "5 cm", "note": "to the hub"}})
    attempts.log_attempt(s, attempts.AttemptTyped("raised it"))
    new = revisions.revise(s, "r1", title="Taller")
    old = records.find_revision(s, "r1")
    left, right = (
        {p: v.model_dump(exclude={"id", "revision_id"}) for p, v in sheet.load_sheet(s, r).values.items()}
        for r in (old, new)
    )
    assert left == right
    assert (new.frozen_at, s.get(Revision, new.parent_id)) == (None, old)
    sheet.set_values(s, new, {"mast.height": {"typed": "9 m"}})
    assert sheet.load_sheet(s, old).values["mast.height"].typed == "8 m"


def test_an_empty_revision_is_not_revised(s):
    """There is nothing to copy yet."""
    with pytest.raises(Refused, match="r1 is still empty"):
        revisions.revise(s)


# Corrections


KINDS = {
    **{cls: corrections.kind_of(cls) for cls in (tables.Build, *tables.NUMBERED.values())},
    **{w.kind.record: w.kind for w in within.WITHIN},
}


@pytest.mark.parametrize("cls", KINDS, ids=lambda cls: cls.__name__)
def test_every_column_is_read_or_set_by_the_program(cls):
    """Whoever adds a column says in the file of its kind how it is read, or that nobody types it."""
    kind = KINDS[cls]
    # References, and what every record has, are set when it is added.
    given = {c for c in cls.model_fields if c.endswith("_id")} | {"id", "number", "recorded_at", "withdrawn_because"}
    # Some references can be corrected, each by the name without its ending.
    said = {name for name in (*kind.readers, *kind.together, *kind.fixed)
            if name in cls.model_fields or f"{name}_id" not in given}  # fmt: skip
    assert kind.record is cls
    assert set(cls.model_fields) - given - said == set(), f"say how it is read in {cls.__name__.lower()}s.py"
    assert said <= set(cls.model_fields) - given
    assert not set(kind.fixed) & {*kind.readers, *kind.together}


TYPED = {
    tables.Build: builds.BuildTyped, tables.Part: parts.PartTyped, tables.Attempt: attempts.AttemptTyped,
    tables.Measurement: measurements.MeasurementTyped, tables.Failure: failures.FailureTyped,
}  # fmt: skip
#: Read, but not when the record is made: said of it later, or taken from elsewhere.
LATER = {"criterion", ("Build", "private_note")}


@pytest.mark.parametrize("cls", TYPED, ids=lambda cls: cls.__name__)
def test_what_can_be_corrected_can_be_typed_at_once(cls):
    """Whoever adds a column adds it to what is typed, too."""
    asked = {f.name for f in dataclasses.fields(TYPED[cls])}
    missing = set(corrections.kind_of(cls).editable) - asked
    assert {m for m in missing if m not in LATER and (cls.__name__, m) not in LATER} == set()


@pytest.mark.parametrize(
    "field", ["number", "id", "build_id", "frozen_at", "revision_id", "withdrawn_because", "__class__"]
)
def test_what_makes_a_record_what_it_is_cannot_be_corrected(s, field):
    """Nor anything that is no field at all."""
    attempts.log_attempt(s, attempts.AttemptTyped("raised it"))
    with pytest.raises(BadInput, match="has no field"):
        corrections.amend(s, "A1", field, "1", "why not")


def test_a_correction_without_a_reason_is_told(s):
    """The history would not know why."""
    attempts.log_attempt(s, attempts.AttemptTyped("raised it"))
    with pytest.raises(BadInput, match="The reason is empty"):
        corrections.amend(s, "A1", "did", "lowered it", " ")


def test_what_is_withdrawn_is_out_of_all_reports_but_can_be_seen(s):
    """It is not listed, nothing can be hung on it, and show still finds it."""
    attempts.log_attempt(s, attempts.AttemptTyped("raised it"))
    corrections.withdraw(s, "A1", "it was another day")
    assert gather_listing(s, "attempts").rows == []
    with pytest.raises(Refused, match="A1 was withdrawn: it was another day"):
        measurements.log_measurement(s, measurements.MeasurementTyped("battery.voltage", "12 V", attempt="A1"))
    assert gather_record(s, "A1").facts[0] == ("Withdrawn", "it was another day")


def test_a_revision_is_withdrawn_once_nothing_was_tried_on_it(s):
    """The refusal names what stands in the way, and doing as it says helps."""
    fill(s)
    revisions.revise(s)
    attempts.log_attempt(s, attempts.AttemptTyped("raised it", on="r2"))
    with pytest.raises(Refused, match="attempts logged on it: A1"):
        corrections.withdraw(s, "r2", "never built")
    corrections.withdraw(s, "A1", "it was r1")
    corrections.withdraw(s, "r2", "never built")
    assert records.find_revision(s).ref == "r1"


@pytest.mark.parametrize("words", [CONDITIONS, FATES, LOAD_STATES, OUTCOMES])
def test_every_word_of_a_closed_set_is_accepted(words):
    """As it stands and in capitals."""
    assert [written.word(w.upper(), words, "x") for w in words] == list(words)


def test_a_part_stands_once_on_a_revision(s):
    """The list of parts has one line for each part."""
    parts.add_part(s, parts.PartTyped("motor"))
    s.add(PartUse(part_id=1, revision_id=1))
    with pytest.raises(Exception, match="UNIQUE"):
        s.flush()
    s.rollback()
    assert s.get(Part, 1) is None


# Meters, and the height of a wind


@pytest.mark.parametrize(
    ("accuracy", "typed", "quantity", "half"),
    [
        ("0.8 % + 3 digits", "12.50 V", "battery.voltage", 0.008 * 12.5 + 3 * 0.01),
        ("0.8 % + 3 digits", "12.5 V", "battery.voltage", 0.008 * 12.5 + 3 * 0.1),
        ("± (1 % + 3 digits)", "120.0 V", "battery.voltage", 1.5),
        ("2 %", "300 mA", "charge.current", 0.006),
        ("1 digit", "4 s", "stop.time", 1.0),
    ],
)
def test_a_meter_sets_the_limits_of_its_readings(s, accuracy, typed, quantity, half):
    """A share of the reading, and so many of the last digit as it was typed."""
    meter = instruments.log_instrument(s, "pocket multimeter", accuracy)
    m = measurements.log_measurement(s, measurements.MeasurementTyped(quantity, typed, instrument=meter.ref))
    assert (m.value - m.low, m.high - m.value) == pytest.approx((half, half), rel=1e-3)
    assert m.instrument == "pocket multimeter"


@pytest.mark.parametrize(
    ("typed", "doubt", "low", "high"), [("12 to 13 V", None, 12.0, 13.0), ("12.5 V", "0.1 V", 12.4, 12.6)]
)
def test_limits_that_were_typed_stay(s, typed, doubt, low, high):
    """Whoever read it knows better than the data sheet."""
    meter = instruments.log_instrument(s, "pocket multimeter", "5 % + 3 digits")
    m = measurements.log_measurement(
        s, measurements.MeasurementTyped("battery.voltage", typed, doubt=doubt, instrument=meter.ref)
    )
    assert (m.low, m.high) == pytest.approx((low, high))


@pytest.mark.parametrize("accuracy", ["good", "0.8 % + 3", "2.5 % of full scale", "-1 %"])
def test_an_accuracy_that_cannot_be_used_is_refused(s, accuracy):
    """Nothing is kept of it."""
    with pytest.raises(BadInput):
        instruments.log_instrument(s, "pocket multimeter", accuracy)
    assert gather_listing(s, "instruments").rows == []


@pytest.mark.parametrize(
    ("wind", "height", "kept"), [("Bft 4", None, 10.0), ("6 m/s", None, None), ("6 m/s", "2 m", 2.0)]
)
def test_a_wind_keeps_the_height_at_which_it_blew(s, wind, height, kept):
    """Beaufort holds at 10 m; a reading of an attempt takes its wind over, height and all."""
    fill(s)
    a = attempts.log_attempt(s, attempts.AttemptTyped("ran it", wind=wind, wind_height=height, outcome="worked"))
    m = measurements.log_measurement(s, measurements.MeasurementTyped("charge.current", "3 A", attempt=a.ref))
    assert a.wind_height == m.wind_height == kept


def test_the_rules_see_the_height_of_a_wind(s):
    """The same 6 m/s, by a meter held at 2 m and by one of no height, taken as at the rotor."""
    fill(s)
    low, own = (
        measurements.log_measurement(
            s, measurements.MeasurementTyped("charge.current", "3 A", wind="6 m/s", wind_height=h)
        )
        for h in ("2 m", None)
    )
    seen, height = sheet.load_sheet(s, records.find_revision(s)).design, Sheet.measured.wind_height
    assert (seen.get(height[low.ref]), seen.get(height[own.ref])) == (2.0, None)


def test_a_height_without_a_wind_is_refused(s):
    """It would be of nothing."""
    with pytest.raises(BadInput, match="no wind"):
        attempts.log_attempt(s, attempts.AttemptTyped("ran it", wind_height="2 m"))


def test_a_height_can_be_corrected(s):
    """And correcting the wind to a Beaufort number sets it to 10 m."""
    fill(s)
    a = attempts.log_attempt(s, attempts.AttemptTyped("ran it", wind="6 m/s", outcome="worked"))
    corrections.amend(s, a.ref, "wind_height", "3 m", "asked again")
    assert a.wind_height == 3.0
    corrections.amend(s, a.ref, "wind", "Bft 4", "it was a guess")
    assert a.wind_height == 10.0


@pytest.mark.parametrize("call", [
    ("start", "a\nb"), ("amend", "build", "name=a\nb", "--because", "x"), ("instrument", "a\nb"),
])  # fmt: skip
def test_a_name_has_one_line(story, run, call):
    """It stands in tables, titles and file names."""
    before = dump(story)
    said = run(*call)
    assert (said.code, dump(story)) == (2, before)
    assert "line break" in said.err
