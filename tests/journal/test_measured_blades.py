"""Readings at marks, held against the sheet: what is used, what is told, what it does."""

import math
import shutil

import pytest

from journal.book import corrections, measurements, sheet, store
from journal.book.heard import hearing
from journal.book.on_blade import place_on_blade
from journal.book.records import find_record, find_revision
from journal.book.tables import Measurement
from journal.errors import BadInput, NotFound, Refused
from journal.review.measured_blades import measured_blades


@pytest.fixture
def demo(told, tmp_path):
    """The demo's journal, to be written in."""
    shutil.copy(told / "demo.db", tmp_path / "demo.db")
    return tmp_path / "demo.db"


def read(path, *rows):
    """Log quantity, value and place of some readings of r2."""
    with store.journal(path, write=True) as s:
        for quantity, value, where in rows:
            measurements.log_measurement(s, measurements.MeasurementTyped(quantity, value, on="r2", where=where))


def unweighed(path):
    """Take what was weighed off the sheet of r2."""
    with store.journal(path, write=True) as s:
        names = [f"weighed.{n}.{what}" for n in "abc" for what in ("mass", "balance_point")]
        sheet.unset(s, find_revision(s, "r2"), names, "to be weighed anew")


@pytest.mark.parametrize(
    ("where", "blade", "r"),
    [
        ("blade b, 300 mm", "b", 0.3), ("300 mm, blade 2", "2", 0.3), ("a: 0.3 m from the shaft", "a", 0.3),
        ("300 mm", "", 0.3), ("at 30 cm", "", 0.3), ("12 in, blade c", "c", 0.3048), ("blade red", "red", None),
        ("", "", None), (None, "", None), ("blade a at the root", "a", None), ("9000 m", "", None),
        ("blade b, 19 3/4 in", "b", 0.50165), ('blade b 20"', "b", 0.508), ("blade c, 0,5 m", "c", 0.5),
        ("blade c, 1 ft 8 in", "c", 0.508), ("blade c, 500mm", "c", 0.5),
        ("50 cm, second blade", "2", 0.5), ("blade a at 7 1/2\u2033", "a", 0.1905),
    ],
)  # fmt: skip
def test_where_tells_the_blade_and_the_distance(where, blade, r):
    """In the words in which people say it."""
    found = place_on_blade(where)
    assert found.blade == blade
    assert found.far == (None if r is None else pytest.approx(r, abs=1e-4))
    assert found.since == "shaft"


@pytest.mark.parametrize(
    ("where", "since"),
    [
        ("blade a, 200 mm from the tip", "tip"), ("blade a, 20 cm off the end", "tip"), ("200 mm before tip", "tip"),
        ("blade a, 200 mm from the root", "root"), ("blade a, 200 mm from the shaft", "shaft"),
    ],
)  # fmt: skip
def test_a_mark_may_be_told_from_the_tip_or_the_root(where, since):
    """As a tape is laid that hooks on an end."""
    assert (place_on_blade(where).far, place_on_blade(where).since) == (0.2, since)


def test_nothing_measured_says_how(demo):
    """In one line, with what to type; of r1 nobody weighed a blade either."""
    with store.journal(demo) as s, pytest.raises(Refused, match="no blade was measured") as e:
        measured_blades(s, "r1")
    assert "galebook measure blade.chord" in e.value.accepted


def test_what_the_sheet_has_weighed_is_shown_with_where_it_comes_from(demo):
    """By hand: 1.042 x 548, 1.078 x 551, 1.061 x 546 g m; the vector sum of three at 120 degrees is what is left."""
    with store.journal(demo) as s:
        found = measured_blades(s, "r2")
    assert [(b.name, b.source) for b in found.scale.blades] == [(n, "sheet, measured") for n in "abc"]
    moments = [1.042 * 0.548, 1.078 * 0.551, 1.061 * 0.546]
    assert [b.moment for b in found.scale.blades] == pytest.approx(moments)
    left = abs(sum(m * complex(math.cos(i * math.tau / 3), math.sin(i * math.tau / 3)) for i, m in enumerate(moments)))
    assert found.scale.left == pytest.approx(left)
    assert found.scale.pull == pytest.approx(left * found.scale.speed**2)
    heaviest = max(moments)
    for b in found.scale.blades:
        assert b.add * found.scale.at == pytest.approx(heaviest - b.moment)
    (balance,) = found.balance
    assert balance.new.rule == "hub.balance"
    assert any("No blade was measured at its marks yet" in note for note in found.notes)


def test_what_is_to_be_added_is_told_to_the_gram_as_on_the_sheet_for_the_scale(demo, run, tmp_path):
    """By hand, at 227 mm: 1.078 x 551 - 1.042 x 548 g m make 101 g, and with 1.061 x 546 in its place 65 g."""
    screen = run("--journal", str(demo), "blade", "r2").out
    assert run("--journal", str(demo), "draw", "balance", "r2", "--as", "svg", "--to", str(tmp_path)).code == 0
    drawn = "".join(p.read_text(encoding="utf-8") for p in tmp_path.rglob("balance-r2*.svg"))
    for a, b in (((1.078, 551), (1.042, 548)), ((1.078, 551), (1.061, 546))):
        grams = f"{(math.prod(a) - math.prod(b)) / 0.227:.0f} g"
        assert grams in screen
        assert f"+ {grams}" in drawn


def test_a_reading_goes_before_the_sheet_and_the_sheet_fills_the_rest(demo):
    """One blade weighed anew, the others as on the sheet: both are named."""
    read(demo, ("blade.mass", "1.11 kg", "blade b"))
    with store.journal(demo) as s:
        found = measured_blades(s, "r2")
    by_name = {b.name: b for b in found.scale.blades}
    assert (by_name["b"].mass, by_name["b"].balance_point) == (1.11, pytest.approx(0.551))
    assert by_name["b"].source == "M13, sheet, measured"
    assert by_name["a"].source == "sheet, measured"
    (balance,) = found.balance
    assert balance.new.value > balance.old.value


def test_a_blade_cut_narrower_is_told_and_what_it_does(demo):
    """Less chord: the marks say so, strength and power move, and a mark on the sheet lies within its doubt."""
    read(demo, ("blade.chord", "118 mm", "blade a, 500 mm"), ("blade.chord", "70 mm", "blade a, 1000 mm"),
         ("blade.gauge_angle", "12 deg", "blade a, 500 mm"))  # fmt: skip
    with store.journal(demo) as s:
        found = measured_blades(s, "r2")
    off = {(m.quantity, m.r): m.off for m in found.marks}
    assert off["blade.chord", 0.5] == pytest.approx(-0.0065, abs=0.0005)
    moved = {s.new.rule: s for s in found.strength}
    assert moved["blade.root-strength"].new.margin != moved["blade.root-strength"].old.margin
    names = {a.name: (a.value, b.value) for a, b in found.figures}
    assert names["yearly_energy"][0] != names["yearly_energy"][1]


def test_balance_asks_for_all_blades(demo):
    """Two of three are not a set where the sheet has none; three are, one of them by a scale under a mark."""
    unweighed(demo)
    read(demo, *((q, v, f"blade {n}") for n, m, p in (("a", "1.042 kg", "548 mm"), ("b", "1.078 kg", "551 mm"))
                 for q, v in (("blade.mass", m), ("blade.balance_point", p))))  # fmt: skip
    with store.journal(demo) as s:
        assert measured_blades(s, "r2").balance == []
    read(demo, ("blade.mass", "1.061 kg", "blade c"), ("blade.scale_at_mark", "0.53 kg", "blade c, 950 mm"))
    with store.journal(demo) as s:
        (balance,) = measured_blades(s, "r2").balance
    assert balance.new.rule == "hub.balance"


def test_the_newest_reading_of_a_place_counts_and_what_says_no_place_is_named(demo):
    """Nothing is dropped in silence."""
    read(demo, ("blade.chord", "118 mm", "blade a, 500 mm"), ("blade.chord", "121 mm", "blade a, 500 mm"),
         ("blade.chord", "70 mm", None), ("blade.scale_at_mark", "0.5 kg", "blade b, 900 mm"))  # fmt: skip
    with store.journal(demo) as s:
        found = measured_blades(s, "r2")
    (mark,) = found.marks
    assert mark.read == pytest.approx(0.121)
    assert [a.why for a in found.unused] == [
        "does not say how far from the shaft", "was read again at the same place: M14 counts",
        "needs the mass of the blade"]  # fmt: skip


def test_a_mark_from_the_tip_is_that_from_the_shaft(demo):
    """The rotor of r2 is 2.2 m across: 200 mm from the tip are 900 mm from the shaft."""
    read(demo, ("blade.chord", "80 mm", "blade a, 200 mm from the tip"))
    with store.journal(demo) as s:
        (mark,) = measured_blades(s, "r2").marks
    assert mark.r == pytest.approx(0.9)


@pytest.mark.parametrize(
    ("quantity", "value", "where", "said"),
    [
        ("blade.chord", "3 m", "blade a, 500 mm", "3 m is out of range"),
        ("blade.chord", "1.2 m", "blade a, 500 mm", "1200 mm is out of range at 500 mm"),
        ("blade.chord", "118 mm", "blade a, 1500 mm", "does not lie on the blade"),
        ("blade.chord", "118 mm", "blade a, 5 mm", "does not lie on the blade"),
        ("blade.chord", "12 mm", "blade a, 500 mm", "12 mm is out of range"),
        ("blade.chord", "11.8 in", "blade a, 500 mm", "299.7 mm is out of range"),
        ("blade.gauge_angle", "400 deg", "blade a, 500 mm", "out of range"),
        ("blade.gauge_angle", "80 deg", "blade a, 500 mm", "80 deg is out of range"),
        ("blade.mass", "50 kg", "blade a", "50 kg is out of range"),
        ("blade.mass", "0 g", "blade a", "out of range"),
        ("blade.balance_point", "2 m", "blade a", "2000 mm is out of range"),
    ],
)  # fmt: skip
def test_what_cannot_be_of_these_blades_is_refused_at_once(demo, quantity, value, where, said):
    """With what would be accepted, and nothing is logged."""
    with pytest.raises(BadInput, match=said) as e:
        read(demo, (quantity, value, where))
    assert "Accepted" in e.value.accepted
    with store.journal(demo) as s, pytest.raises(NotFound):
        find_record(s, "M13", Measurement)


def test_a_reading_cannot_be_amended_to_what_cannot_be(demo):
    """Neither its value nor its mark."""
    read(demo, ("blade.chord", "118 mm", "blade a, 500 mm"))
    for field, typed in (("value", "1.18 m"), ("where", "blade a, 1500 mm")):
        with store.journal(demo, write=True) as s, pytest.raises(BadInput):
            corrections.amend(s, "M13", field, typed, "a slip")
    with store.journal(demo, write=True) as s:
        assert corrections.amend(s, "M13", "where", "blade a, 600 mm", "the mark beside it").where == "blade a, 600 mm"


def slipped(path, *rows):
    """Readings that stand in the journal from before anybody asked what can be."""
    read(path, *((q, v, w) for q, v, w, _ in rows))
    with store.journal(path, write=True) as s:
        for n, (*_, value) in enumerate(rows, 13):
            m = find_record(s, f"M{n}", Measurement)
            m.value = m.low = m.high = value
            s.add(m)


def test_a_slip_is_named_and_the_comparison_goes_on(demo):
    """Each with its mark, what it says, what would be plausible and what to type."""
    slipped(
        demo,
        ("blade.chord", "118 mm", "blade a, 500 mm", 0.118), ("blade.chord", "70 mm", "blade a, 1 m", 3.0),
        ("blade.gauge_angle", "12 deg", "blade a, 500 mm", math.radians(400)),
        ("blade.mass", "1 kg", "blade b", 50.0), ("blade.mass", "1 kg", "blade c", 0.0),
    )  # fmt: skip
    with store.journal(demo) as s:
        found = measured_blades(s, "r2")
    assert [m.ref for m in found.marks] == ["M13"]
    assert [a.ref for a in found.unused] == ["M14", "M15", "M16", "M17"]
    chord = found.unused[0]
    assert chord.place == "blade a, 1 m"
    assert "3000 mm is out of range at 1000 mm" in chord.why
    assert "27 mm to 243 mm, up to 3 times" in chord.accepted
    assert chord.do[0].startswith("galebook amend M14 value=")
    assert chord.do[1].startswith("galebook withdraw M14")
    assert found.figures


def test_where_all_are_slips_each_is_named(demo):
    """And the second line says how one of them is put right; what the sheet has weighed is shown all the same."""
    slipped(demo, ("blade.chord", "118 mm", "blade a, 500 mm", 3.0), ("blade.mass", "1 kg", "blade b", 50.0))
    with store.journal(demo) as s:
        assert [a.ref for a in measured_blades(s, "r2").unused] == ["M13", "M14"]
    unweighed(demo)
    with store.journal(demo) as s, pytest.raises(Refused, match=r"M13 .*M14 ") as e:
        measured_blades(s, "r2")
    assert "galebook amend M13" in e.value.accepted


def test_readings_that_make_no_blade_together_go_without_the_one_that_is_furthest_off(demo):
    """Each could be by itself: laid through, they would leave no tip."""
    read(demo, ("blade.chord", "140 mm", "blade a, 200 mm"), ("blade.chord", "45 mm", "blade a, 550 mm"),
         ("blade.gauge_angle", "12 deg", "blade a, 500 mm"))  # fmt: skip
    with store.journal(demo) as s:
        found = measured_blades(s, "r2")
    (aside,) = found.unused
    assert (aside.ref, aside.why[:26]) == ("M14", "does not go with the other")
    assert {m.ref for m in found.marks} == {"M13", "M15"}


def test_it_is_told_how_many_blades_were_read(demo):
    """Of three blades two: the third is taken to be like them."""
    read(demo, *(("blade.chord", "118 mm", f"blade {n}, 500 mm") for n in "ab"))
    with store.journal(demo) as s:
        assert measured_blades(s, "r2").notes == [
            "Marks were read on 2 of 3 blades; the others are taken to be like these."]  # fmt: skip


@pytest.mark.parametrize("where", ["blade z, 500 mm", "blade 1, 500 mm", "fourth blade, 500 mm"])
def test_a_blade_more_than_there_are_is_refused_with_those_there_are(demo, where):
    """The sheet of r2 has three blades and names them a, b and c; a spare one it would name as well."""
    with pytest.raises(BadInput, match="would be one more than the 3 blades of r2") as e:
        read(demo, ("blade.chord", "118 mm", where))
    assert "blade a, blade b, blade c;" in e.value.accepted
    assert "galebook set weighed." in e.value.accepted
    with store.journal(demo) as s, pytest.raises(NotFound):
        find_record(s, "M13", Measurement)
    with store.journal(demo, write=True) as s:
        sheet.set_values(s, find_revision(s, "r2"), {"weighed.z.mass": {"typed": "1 kg", "provenance": "measured"}})
    if "z" in where:
        read(demo, ("blade.chord", "118 mm", where))


def test_without_names_on_the_sheet_as_many_are_taken_as_it_has_blades(demo):
    """Whatever they are called: the first three count, the fourth is refused, and a number beyond three at once."""
    unweighed(demo)
    with pytest.raises(BadInput, match="blade 4 would be one more") as e:
        read(demo, ("blade.chord", "118 mm", "blade 4, 500 mm"))
    assert "blade 1, blade 2, blade 3" in e.value.accepted
    read(demo, *(("blade.chord", "118 mm", f"blade {n}, 500 mm") for n in ("red", "blue")))
    with pytest.raises(BadInput) as e:
        read(demo, ("blade.chord", "118 mm", "blade 7, 500 mm"))
    assert "blade blue, blade red, or 1 name more" in e.value.accepted
    read(demo, ("blade.chord", "118 mm", "blade 2, 500 mm"), ("blade.mass", "1 kg", "blade red"))
    with pytest.raises(BadInput):
        read(demo, ("blade.chord", "118 mm", "blade 3, 500 mm"))


def test_a_name_too_many_that_stands_already_is_told(demo):
    """From before anybody asked: one of three may be named twice."""
    unweighed(demo)
    read(demo, *(("blade.chord", "118 mm", f"blade {n}, 500 mm") for n in "abcc"))
    with store.journal(demo, write=True) as s:
        m = find_record(s, "M16", Measurement)
        m.where = "blade z, 500 mm"
        s.add(m)
    with store.journal(demo) as s:
        assert "4 blades" in measured_blades(s, "r2").notes[0]


def test_readings_that_name_no_blade_beside_those_that_do_are_told(demo):
    """They may be of one of the others."""
    read(demo, ("blade.chord", "118 mm", "blade a, 500 mm"), ("blade.chord", "119 mm", "500 mm"))
    with store.journal(demo) as s:
        assert "do not say of which blade" in measured_blades(s, "r2").notes[0]


def test_a_chord_without_its_mark_is_kept_and_told_at_once(demo):
    """It may be put right with one command."""
    with hearing() as heard:
        read(demo, ("blade.chord", "118 mm", None))
    assert any("once its mark is told" in line for line in heard)
