"""The design sheet: values with provenance and doubt, frozen sheets, and the way through TOML and back."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlmodel import select

from calc.machine import design
from calc.units import show
from journal.book import attempts, builds, claims, parts, records, sheet, sheet_toml, store
from journal.book.tables import PROVENANCES, SheetValue
from journal.errors import BadInput, Refused
from journal.review import verdict
from tests.conftest import dump, rows

CATALOGUE = [e for e in design.catalogue().values() if not e.recorded]


def put(s, path, **item):
    """Set one value on the newest revision."""
    return sheet.set_values(s, records.find_revision(s), {path: item})[0]


def kept(s, of):
    """All values of a revision, but for the keys."""
    found = s.exec(select(SheetValue).where(SheetValue.revision_id == of.id).order_by(SheetValue.path))
    return [row.model_dump(exclude={"id", "revision_id"}) for row in found]


@pytest.mark.both
def test_a_value_keeps_all_that_was_said_of_it(s):
    """What was typed, the SI value, where it comes from, its limits and its note."""
    row = put(s, "blade.pipe_diameter", typed="160 mm", provenance="measured", doubt="1 mm", note="at both ends")
    assert row.model_dump(exclude={"id", "revision_id"}) == {
        "path": "blade.pipe_diameter", "typed": "160 mm", "number": 0.16, "word": None, "low": 0.159, "high": 0.161,
        "doubt": "1 mm", "provenance": "measured", "note": "at both ends",
    }  # fmt: skip


@pytest.mark.both
def test_setting_again_leaves_nothing_of_the_old_value(s):
    """Doubt, note and provenance of the old value do not cling to the new one."""
    put(s, "rotor.diameter", typed="2.2 m", provenance="measured", doubt="1 cm", note="old")
    row = put(s, "rotor.diameter", typed="2.4 m")
    assert (row.number, row.low, row.doubt, row.note, row.provenance) == (2.4, None, None, None, "estimate")


@pytest.mark.parametrize("entry", CATALOGUE, ids=lambda e: e.path)
def test_every_entry_can_be_set_to_its_example(s, entry):
    """Numbers, words and flags; with a label where there can be several."""
    path = entry.named("main")
    put(s, path, typed=entry.example)
    of = sheet.load_sheet(s, records.find_revision(s))
    ((name, found, value),) = design.values(of.design)
    assert (name, found) == (path, entry)
    assert value == {"flag": True, "choice": entry.example}.get(entry.kind, of.values[path].number)


@pytest.mark.parametrize(("typed", "word"), [("yes", "yes"), ("No", "no"), ("TRUE", "yes"), ("n", "no")])
def test_flags_are_read_as_people_type_them(s, typed, word):
    """Yes and no in several spellings."""
    assert put(s, "generator.enclosed", typed=typed).word == word


WRONG = [
    ("rotor.diametre", {"typed": "2 m"}, "Did you mean rotor.diameter"),
    ("diameter", {"typed": "2 m"}, "no value called"),
    ("cable.length", {"typed": "2 m"}, "Did you mean cable.main.length"),
    ("cable.main.lenght", {"typed": "2 m"}, "Did you mean cable.main.length"),
    ("cable.Main Run.length", {"typed": "2 m"}, "cannot be a label"),
    (f"cable.{'x' * 41}.length", {"typed": "2 m"}, "cannot be a label"),
    ("cable.a.b.length", {"typed": "2 m"}, "cannot be a label"),
    ("claim.C1.power", {"typed": "2 W"}, "galebook claim"),
    ("", {"typed": "2 m"}, "no value called"),
    ("rotor.brake", {"typed": "string"}, "not one of its words"),
    ("rotor.brake", {"typed": "none", "doubt": "5 %"}, "no uncertainty"),
    ("generator.enclosed", {"typed": "perhaps"}, "neither yes nor no"),
    ("rotor.diameter", {"typed": "2 m", "provenance": "hearsay"}, "Provenance"),
    ("rotor.diameter", {"typed": "2 m", "doubt": "lots"}, "uncertainty"),
    ("rotor.diameter", {"typed": "2 m", "doubt": ""}, "is empty"),
    ("rotor.diameter", {"typed": "0.3 m", "doubt": "0.2 m"}, "out of range"),
    ("rotor.diameter", {"typed": "2 m", "doubt": "1e999 %"}, "out of range"),
    ("rotor.diameter", {"typed": "2 m", "note": "bell\x07"}, "control character"),
    ("rotor.diameter", {"typed": "2 m", "note": "x" * 10_001}, "characters long"),
]


@pytest.mark.both
@pytest.mark.parametrize(("name", "item", "words"), WRONG, ids=[f"{n[:20]}-{w[:12]}" for n, _, w in WRONG])
def test_one_wrong_value_saves_none(path, name, item, words):
    """Among right values, a wrong one is told, and none of them is set."""
    before = dump(path)
    items = {"rotor.blades": {"typed": "3"}, name: item, "mast.height": {"typed": "8 m"}}
    with pytest.raises(BadInput) as caught, store.journal(path, write=True) as s:
        sheet.set_values(s, records.find_revision(s), items)
    assert words in str(caught.value)
    assert dump(path) == before


@pytest.fixture
def frozen(s):
    """A revision that has been tried, so that its sheet says what was built."""
    put(s, "rotor.diameter", typed="2.2 m")
    attempts.log_attempt(s, attempts.AttemptTyped("raised it"))
    return records.find_revision(s)


CHANGES = {
    "set": lambda s, of, why: sheet.set_values(s, of, {"rotor.diameter": {"typed": "2.4 m"}}, why),
    "unset": lambda s, of, why: sheet.unset(s, of, ["rotor.diameter"], why),
    "text": lambda s, of, why: sheet_toml.read_sheet(s, of, '[rotor]\ndiameter = "2.4 m"\n', "new.toml", why),
    "take off": lambda s, of, why: sheet_toml.read_sheet(s, of, "", "new.toml", why, take_off=True),
}
#: What says more of a revision that was built, and what the history calls it.
BLANKS = {
    "value": (lambda s, of, why: sheet.set_values(s, of, {"mast.height": {"typed": "8 m"}}, why), "r1 mast.height"),
    "claim": (lambda s, of, why: claims.log_claim(s, "400 W at 9 m/s", "seller", correction=why), "C1"),
    "part": (lambda s, of, why: parts.add_part(s, parts.PartTyped("bolt"), correction=why), "P1"),
    "text": (
        lambda s, of, why: sheet_toml.read_sheet(
            s, of, '[rotor]\ndiameter = "2.2 m"\n[mast]\nheight = { value = "8 m", from = "measured" }\n', "x", why
        ),
        "r1 mast.height",
    ),
}


@pytest.mark.both
@pytest.mark.parametrize("blank", BLANKS)
def test_a_blank_of_a_built_revision_is_filled_without_ceremony(s, frozen, blank):
    """The history tells that it came later, and so do the sheet and the revision; no reason is asked."""
    fill, ref = BLANKS[blank]
    fill(s, frozen, None)
    s.commit()
    found = rows(s.info["path"], f"SELECT action, why FROM history WHERE ref = '{ref}'")
    assert found == [("add", "never stated before, and added after r1 was built")]
    assert list(sheet.added_later(s, frozen)) == [ref.removeprefix("r1 ")]


def test_what_is_stated_already_may_be_named_again_beside_a_blank(s, frozen):
    """It changes nothing; one that is stated otherwise refuses all, and is named."""
    put(s, "rotor.diameter", typed="2.2 m")
    same = {"rotor.diameter": {"typed": "2.2 m"}, "rotor.blades": {"typed": "3"}}
    sheet.set_values(s, frozen, same)
    other = {"rotor.diameter": {"typed": "2.3 m"}, "mast.height": {"typed": "8 m"}}
    with pytest.raises(Refused, match=r"rotor\.diameter is stated as 2\.2 m"):
        sheet.set_values(s, frozen, other)
    assert set(sheet.load_sheet(s, frozen).values) == {"rotor.diameter", "rotor.blades"}
    assert list(sheet.added_later(s, frozen)) == ["rotor.blades"]


def test_where_a_value_comes_from_is_stated_too(s, frozen):
    """Measured is more than an estimate: to say so of what stands there is a correction."""
    with pytest.raises(Refused, match="--correct"):
        sheet.set_values(s, frozen, {"rotor.diameter": {"typed": "2.2 m", "provenance": "measured"}})


def test_a_draft_has_nothing_that_was_added_later(s):
    """Before it is built everything is."""
    put(s, "rotor.diameter", typed="2.2 m")
    assert sheet.added_later(s, records.find_revision(s)) == {}


@pytest.mark.both
@pytest.mark.parametrize("change", CHANGES)
def test_a_frozen_sheet_is_changed_only_as_a_correction(s, frozen, change):
    """Without a reason it is refused, and the refusal tells both ways on; with one, history calls it a correction."""
    with pytest.raises(Refused, match="galebook revise r1") as caught:
        CHANGES[change](s, frozen, None)
    assert "--correct" in str(caught.value)
    CHANGES[change](s, frozen, "read the tape wrongly")
    s.commit()
    found = rows(s.info["path"], "SELECT action, why FROM history ORDER BY id DESC LIMIT 1")
    assert found == [("correction", "read the tape wrongly")]


def test_a_correction_needs_a_reason(s, frozen):
    """An empty one will not do."""
    with pytest.raises(BadInput, match="The reason is empty"):
        CHANGES["set"](s, frozen, "  ")


def test_taking_off_what_is_not_there_is_refused(s):
    """And then nothing else is taken off either."""
    put(s, "rotor.diameter", typed="2.2 m")
    with pytest.raises(Refused, match=r"mast\.height is not set on r1"):
        sheet.unset(s, records.find_revision(s), ["rotor.diameter", "mast.height"])
    assert set(sheet.load_sheet(s, records.find_revision(s)).values) == {"rotor.diameter"}


@pytest.mark.parametrize(
    ("provenance", "low", "high"),
    [("measured", 1.96, 2.04), ("data plate", 1.9, 2.1), ("seller's claim", 1.6, 2.4), ("estimate", 1.6, 2.4)],
)
def test_where_a_value_comes_from_implies_its_doubt(s, provenance, low, high):
    """A measured value is surer than an estimate; the shares are common practice, no source."""
    put(s, "rotor.diameter", typed="2 m", provenance=provenance)
    assert sheet.load_sheet(s, records.find_revision(s)).doubts["rotor.diameter"] == pytest.approx((low, high))


def test_a_typed_doubt_replaces_the_implied_one(s):
    """What the builder says of the uncertainty is taken as it is."""
    put(s, "rotor.diameter", typed="2 m ± 1 cm", provenance="estimate")
    assert sheet.load_sheet(s, records.find_revision(s)).doubts["rotor.diameter"] == pytest.approx((1.99, 2.01))


@pytest.mark.parametrize("name", ["rotor.blades", "storage.voltage", "cable.main.fuse"])
def test_counts_and_nominal_values_have_no_doubt(s, name):
    """An estimate of three blades is not 2.4 to 3.6 blades."""
    put(s, name, typed={"rotor.blades": "3", "storage.voltage": "24 V"}.get(name, "40 A"), provenance="estimate")
    assert sheet.load_sheet(s, records.find_revision(s)).doubts == {}


def test_a_claim_is_part_of_the_sheet_without_being_on_it(s):
    """Its values reach the rules as the seller's, and cannot be set by hand."""
    claims.log_claim(s, "400 W at 9 m/s", "the seller")
    of = sheet.load_sheet(s, records.find_revision(s))
    assert (of.values, of.provenance["claim.C1.power"]) == ({}, "seller's claim")
    assert (of.system.inputs().claim["C1"].power, of.system.inputs().claim["C1"].wind_speed) == (400, 9)


@pytest.mark.parametrize("ref", ["r1", "r2"])
def test_the_demo_goes_through_toml_and_back(story, ref):
    """A sheet written as text and read into an empty revision gives the very same values."""
    with store.journal(story, write=True) as s:
        of = records.find_revision(s, ref)
        text, before = sheet_toml.to_toml(s, of), kept(s, of)
        _, blank = builds.start(s, builds.BuildTyped("Another"))
        sheet.set_values(s, blank, sheet_toml.from_toml(text))
        assert kept(s, blank) == before
        assert sheet_toml.to_toml(s, blank) == text.replace(f"sheet of {ref}", "sheet of r1")


NOTES = st.text(
    st.characters(exclude_categories=["Cc", "Cs"], include_characters="\n\t\"\\'#="), min_size=1, max_size=30
).filter(str.strip)


@st.composite
def item(draw, entry):
    """One value as a builder might give it, with everything that can stand beside it."""
    given = {"provenance": draw(st.sampled_from(PROVENANCES))}
    if draw(st.booleans()):
        given["note"] = draw(NOTES)
    if entry.kind == "choice":
        return {"typed": draw(st.sampled_from(entry.choices)), **given}
    if entry.kind == "flag":
        return {"typed": draw(st.sampled_from(["yes", "no"])), **given}
    share = draw(st.integers(40, 60)) / 100
    middle = entry.low * (1 - share) + entry.high * share
    typed = show(round(middle) if entry.whole else middle, entry.shown)
    form = draw(st.sampled_from(["plain", "with", "beside", "both"]))
    percent = draw(st.integers(1, 9))
    if form in ("with", "both"):
        typed += f" ± {percent} %"
    if form in ("beside", "both"):
        given["doubt"] = f"{draw(st.integers(1, 9))} %"
    return {"typed": typed, **given}


@pytest.mark.both
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_sheet_goes_through_toml_and_back(opened, data):
    """Random values of random entries, with any note and doubt, come back the same."""
    entries = data.draw(st.lists(st.sampled_from(CATALOGUE), min_size=1, max_size=4, unique=True))
    items = {e.named("main"): data.draw(item(e)) for e in entries}
    with opened() as s:
        s.autoflush = False
        of = records.find_revision(s)
        written = [SheetValue(revision_id=of.key, path=p, **sheet.read_value(p, **given)) for p, given in items.items()]
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(sheet_toml, "load_sheet", lambda *_: sheet.RevisionSheet({row.path: row for row in written}))
            text = sheet_toml.to_toml(s, of)
    back = {p: sheet.read_value(p, **given) for p, given in sheet_toml.from_toml(text).items()}
    assert back == {row.path: row.model_dump(exclude={"id", "revision_id", "path"}) for row in written}


def test_the_blank_sheet_can_be_filled_in_by_taking_marks_away(s):
    """Each commented line of an empty sheet is right as it stands."""
    text = sheet_toml.to_toml(s, records.find_revision(s))
    filled = "\n".join(
        line[2:] if line.startswith("# ") and " = { value" in line else line for line in text.split("\n")
    )
    assert "A value is text" in text.split("\n")[1]
    items = sheet_toml.from_toml("\n".join(filled.split("\n")[3:]))
    assert {p for p, _ in map(design.split, items)} == {e.path for e in CATALOGUE}


GOOD_LINES = '[site]\nmean_wind = "4.6 m/s"\n\n[rotor]\n'
#: What follows, the line that is wrong, and words of the message.
BAD_TOML = [
    ('diameter = "2 kg"', 5, "wrong kind of unit"),
    ('blades = "3"\ndiameter = "2;2 m"', 6, "cannot read"),
    ('diametre = "2 m"', 5, "Did you mean rotor.diameter"),
    ('diameter = { value = "2 m", form = "measured" }', 5, "cannot read rotor.diameter"),
    ('diameter = { from = "measured" }', 5, "cannot read rotor.diameter"),
    ('diameter = { value = ["2 m"] }', 5, "cannot read rotor.diameter"),
    ('diameter = { value = { value = "2 m" } }', 5, "cannot read rotor.diameter"),
    ("diameter = 1979-05-27", 5, "cannot read rotor.diameter"),
    ("diameter = 2.2", 5, "has no unit"),
    ("diameter = nan", 5, "cannot read"),
    ("diameter = true", 5, "cannot read"),
    ('diameter = ""', 5, "is empty"),
    ('diameter = { value = "2 m", from = "hearsay" }', 5, "Provenance"),
    ('"diameter" = "2 kg"', 5, "wrong kind of unit"),
    ('[cable]\nlength = "3 m"', 6, "Did you mean cable.main.length"),
    ('[cable.main]\n[cable.main.deep]\nlength = "3 m"', 6, "cannot read cable.main.deep"),
    ('[cable."Main Run"]\nlength = "3 m"', 6, "cannot be a label"),
    ('[claim.C1]\npower = "3 W"', 6, "galebook claim"),
    ('[wheel]\nsize = "3 m"', 6, "no value called"),
]


@pytest.mark.parametrize(("more", "line", "words"), BAD_TOML, ids=[b[0][:24] for b in BAD_TOML])
def test_a_wrong_line_is_named_with_its_number(more, line, words):
    """File, line, what was wrong, and that nothing was saved."""
    with pytest.raises(BadInput) as caught:
        sheet_toml.from_toml(GOOD_LINES + more, "my.toml")
    assert str(caught.value).startswith(f"my.toml, line {line}: ")
    assert words in str(caught.value)
    assert str(caught.value).endswith("Nothing was saved.")


@pytest.mark.parametrize("text", ["[rotor", "diameter 2 m", 'a = "\x00"', "[rotor]\n[rotor]", "= 3", "a = 1\na = 2"])
def test_what_is_not_toml_is_told_with_its_place(text):
    """The reader's own words and place, in one line."""
    with pytest.raises(BadInput, match=r"my\.toml: not valid TOML: .*\(at ") as caught:
        sheet_toml.from_toml(text, "my.toml")
    assert "\n" not in str(caught.value)


def test_labels_may_be_several_and_nested_in_the_text(s):
    """Runs of cable and loads, each with its label."""
    text = '[cable.mast]\nlength = "34 m"\n[cable.to-shed]\nlength = "5 m"\n[load]\nlamp.power = "12 W"\n'
    sheet.set_values(s, records.find_revision(s), sheet_toml.from_toml(text))
    made = sheet.load_sheet(s, records.find_revision(s)).system.inputs()
    assert {label: run.length for label, run in made.cable.items()} == {"mast": 34, "to-shed": 5}
    assert made.load["lamp"].power == 12


def test_missing_names_what_would_settle_most_first(s):
    """Each missing value with the findings that wait for it, what can kill first; what is set is not missing."""
    put(s, "rotor.diameter", typed="2.2 m")
    missing = verdict.check(s).missing
    ranks = [(any(f.deadly for f in found), len(found)) for found in missing.values()]
    assert ranks == sorted(ranks, reverse=True)
    assert ranks[0][0]
    assert not ranks[-1][0]
    assert "mast.height" in missing
    assert "rotor.diameter" not in missing
    put(s, "mast.height", typed="8 m")
    assert "mast.height" not in verdict.check(s).missing


def test_several_values_at_once_are_each_given_once(path, run):
    """All or none; a name given twice is refused, and a sign of equality too many is no part of a value."""
    assert run("set", "rotor.blades==3", "rotor.diameter=2.2 m").code == 0
    assert "3" in run("sheet", "r1").out
    done = run("set", "rotor.blades=3", "rotor.blades=2")
    assert (done.code, "given twice" in done.err) == (2, True)
