"""Readings at marks, held against the sheet: what is used, what is told, what it does."""

import shutil

import pytest

from journal.book import measurements, store
from journal.errors import Refused
from journal.review.measured_blades import measured_blades, place_of


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


@pytest.mark.parametrize(
    ("where", "blade", "r"),
    [
        ("blade b, 300 mm", "b", 0.3), ("300 mm, blade 2", "2", 0.3), ("a: 0.3 m from the shaft", "a", 0.3),
        ("300 mm", "", 0.3), ("at 30 cm", "", 0.3), ("12 in, blade c", "c", 0.3048), ("blade red", "red", None),
        ("", "", None), (None, "", None), ("blade a at the root", "a", None), ("9000 m", "", None),
    ],
)  # fmt: skip
def test_where_tells_the_blade_and_the_distance(where, blade, r):
    """In the words in which people say it."""
    found = place_of(where)
    assert found[0] == blade
    assert found[1] == (None if r is None else pytest.approx(r, abs=1e-4))


def test_nothing_measured_says_how(demo):
    """In one line, with what to type."""
    with store.journal(demo) as s, pytest.raises(Refused, match="no blade was measured") as e:
        measured_blades(s, "r2")
    assert "galebook measure blade.chord" in e.value.accepted


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
    assert not found.balance


def test_balance_asks_for_all_blades(demo):
    """Two of three are not a set; three are, one of them by a scale under a mark."""
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
    assert [why.split(":")[0] for _, why in found.unused] == [
        "does not say how far from the shaft", "needs the mass of the blade"]  # fmt: skip


def test_a_mark_off_the_blade_is_refused(demo):
    """Beyond the tip there is nothing to be held against."""
    read(demo, ("blade.chord", "118 mm", "blade a, 1500 mm"))
    with store.journal(demo) as s, pytest.raises(Refused, match="must lie on the blade"):
        measured_blades(s, "r2")
