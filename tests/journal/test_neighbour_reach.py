"""How far what falls and flies reaches, on the page for the neighbours: one number, never below the record."""

import random
import re
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from calc.machine.catalogue.neighbours import HOUSE, LINE, NEIGHBOURS, OWN_HOUSE, PATH, ROAD
from calc.machine.falling import flying
from journal.book import measurements, revisions, sheet, store
from journal.book import records as records_of
from journal.book.shown import told_in
from journal.publish import plainly, writeup
from journal.publish import story as story_of
from tests.journal.neighbour_pages import near, page, say, section, solved, tried

_METRES = {"m": 1.0, "ft": 0.3048}


def _told(text, *patterns):
    """Distances that a page names, in metres."""
    found = [re.search(p, text) for p in patterns]
    return [float(m[1]) * _METRES[m[2]] for m in found if m]


_LENGTH = r"(\d+(?:\.\d+)?) (m|ft)\b"
_LANDED = rf"found {_LENGTH} away"
_FALLS = rf"it would reach {_LENGTH} around"
_FLIES = rf"can fly (?:up to )?{_LENGTH}"


@pytest.mark.parametrize("seed", range(8))
def test_no_distance_is_below_the_record(path, seed):
    """Random revisions with random pieces found, in metres and feet: the furthest of any of them counts."""
    draw = random.Random(seed)
    furthest, far = 0.0, 0.0
    with store.journal(path, write=True) as s:
        say(s, "units", draw.choice(("metric", "feet")))
        for n in range(draw.randint(1, 3)):
            if n:
                revisions.revise(s, because="the next one")
            height, across = draw.uniform(3.0, 25.0), draw.uniform(0.8, 5.0)
            revision = records_of.find_revision(s)
            values = {"mast.height": {"typed": f"{height:.3f} m"}, "rotor.diameter": {"typed": f"{across:.3f} m"}}
            sheet.set_values(s, revision, values)
            made = tried(s)
            far = 1.1 * (float(f"{height:.3f}") + float(f"{across:.3f}") / 2.0)
            for _ in range(draw.randint(0, 3)):
                flew = f"{draw.uniform(2.0, 400.0):.2f}"
                unit = draw.choice(("m", "ft"))
                measurements.log_measurement(
                    s, measurements.MeasurementTyped("blade.thrown", f"{flew} {unit}", attempt=made.ref)
                )
                furthest = max(furthest, float(flew) * _METRES[unit])
    text = page(path)
    (falls,) = _told(text, _FALLS)
    # In feet the number of the checks is told, to the nearest tenth.
    assert far - 0.02 <= falls < 1.2 * far + 1.0
    landed = _told(text, _LANDED)
    assert bool(landed) == bool(furthest)
    assert all(furthest - 1e-6 <= one <= 1.02 * furthest + 0.1 for one in landed)
    told_in(None)


@pytest.fixture(scope="module")
def tale(told):
    """The demo's tale."""
    with store.journal(told / "demo.db") as s:
        yield story_of.tell(s)


@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(landed=st.floats(1.0, 900.0), system=st.sampled_from(["metric", "feet"]))
def test_nor_is_what_is_computed(tale, landed, system):
    """However far a piece flew: what the checks tell, or the record where that is more."""
    machine = replace(tale.machines["r2"], landed=landed)
    told_in(system)
    changed = replace(tale, machines=tale.machines | {"r2": machine})
    text = writeup.render(changed, "neighbour", "md").text
    told_in(None)
    flies = float(flying(machine.system.inputs()).edge_first)
    found = _told(text, _LANDED, _FLIES)
    assert found
    assert max(found) >= landed - 1e-6
    assert max(found) >= 0.99 * flies
    assert _told(text, _LANDED)[0] >= landed - 1e-6


@pytest.mark.parametrize(
    ("kind", "label", "said"),
    [
        (OWN_HOUSE, "house", "the builder's own house"),
        (HOUSE, "house", "the neighbour's house"),
        (HOUSE, "left-out", "a neighbour's house"),
        (HOUSE, "n1", "a neighbour's house"),
        (HOUSE, "mill-cottage", "the mill cottage (a neighbour's house)"),
        (HOUSE, "ferriers", "a neighbour's house"),
        (HOUSE, "widow", "a neighbour's house"),
        (PATH, "kids", "a path"),
        (ROAD, "hollow-lane", "a road"),
        (ROAD, "lane", "the lane"),
        (PATH, "gate", "the gate (a path)"),
        (LINE, "line", "the power line"),
    ],
)
def test_a_place_is_called_as_people_call_it(kind, label, said):
    """No label behind a kind that says the same."""
    assert plainly.place_words(kind, label) == said


def test_every_kind_of_place_has_words():
    """Whoever adds one is told here."""
    assert all(plainly.place_words(kind, "x1") for kind in NEIGHBOURS)


def test_many_around_are_told_by_the_nearest(path):
    """Four and how many more; houses without a name by the nearest; who stands under it is named."""
    with store.journal(path, write=True) as s:
        values = {"mast.height": {"typed": "9 m"}, "rotor.diameter": {"typed": "3 m"}}
        for n in range(6):
            values |= {
                f"neighbour.n{n}.kind": {"typed": HOUSE},
                f"neighbour.n{n}.distance": {"typed": f"{40.7 + 10 * n} m"},
            }
        values |= {"neighbour.swings.kind": {"typed": "garden"}, "neighbour.swings.distance": {"typed": "9 m"}}
        sheet.set_values(s, records_of.find_revision(s), values)
        tried(s)
    text = section(page(path), "Where to keep away")
    assert "and with that **the swings**" in text
    told = "the swings 9 m, a neighbour's house 40.7 m, another house 50.7 m, another house 60.7 m and 3 more"
    assert f"- From its foot: {told}." in text


@pytest.mark.parametrize("system", ["metric", "feet"])
@pytest.mark.parametrize("overspeed", ["furling tail", "none"])
def test_check_page_picture_and_storm_sheet_tell_one_distance(path, run, system, overspeed):
    """And who is within it is named, though far beyond what falls."""
    with store.journal(path, write=True) as s:
        say(s, "units", system)
        solved(s, rotor__overspeed=overspeed, **near("house", HOUSE, "180 m"))
        tried(s, kind="raising")
    checked = " ".join(run("check", "r1", "neighbour.throw").out.split())
    (far,) = re.findall(r"tumbling and up to (\d+ (?:m|ft)) edge first", checked)
    for reader in ("neighbour", "storm"):
        told = run("writeup", "--for", reader).out
        assert re.search(rf"piece of a blade(?: can fly|:)(?: up to)? {far}\b", told)
        assert reader == "storm" or f"A piece of a blade can fly further: {far}" in told
        assert reader == "storm" or "Within that: **the neighbour's house" in told
        assert reader == "storm" or ("nothing on record limits" in told) == (overspeed == "none")


def test_a_record_beyond_what_is_computed_is_told_by_all(path, run):
    """In the digits in which it was typed."""
    with store.journal(path, write=True) as s:
        solved(s, **near("house", HOUSE, "300 m"), **near("lane", ROAD, "315 m"))
        made = tried(s, kind="raising")
        measurements.log_measurement(s, measurements.MeasurementTyped("blade.thrown", "312 m", attempt=made.ref))
    assert "One lay 312 m away" in " ".join(run("check", "r1", "neighbour.throw").out.split())
    text = run("writeup", "--for", "neighbour").out
    assert "found 312 m away, and the next can fly further. Within that: **the neighbour's house 300 m" in text
    assert "one lay 312 m away" in text
    assert "a piece lay 312 m away" in run("writeup", "--for", "storm").out


def test_a_doubtful_distance_counts_by_its_lower_limit(path):
    """240 m within 30 m may be 210 m, and 9.2 m within 1 m lie under the mast; doubts over a tenth are told."""
    with store.journal(path, write=True) as s:
        solved(
            s,
            **near("farm", HOUSE, "240 m +- 30 m"),
            **near("barn", HOUSE, "260 m +- 10 m"),
            **near("gate", PATH, "9.2 m +- 1 m"),
            **near("line", LINE, "19.4 m +- 0.1 m"),
        )
        tried(s, kind="raising")
    text = section(page(path), "Where to keep away")
    assert "reach 8.6 m around its foot, and with that **the gate**, but not the power line, 19.4 m away." in text
    assert "Within that: **the gate 9.2 m (give or take 1 m) and the farm 240 m (give or take 30 m)**." in text
    assert "Further away: the barn 260 m." in text


def test_typed_feet_are_told_as_typed(path, run):
    """7 ft and 30 ft, in words and in the picture."""
    with store.journal(path, write=True) as s:
        say(s, "units", "feet")
        solved(s, rotor__diameter="7 ft", mast__height="30 ft", **near("house", HOUSE, "123 ft"))
        tried(s, kind="raising")
    text = run("writeup", "--for", "neighbour").out
    assert "It is 7 ft across" in text
    assert "Its middle is 30 ft up" in text
    assert "The rotor, 7 ft across, has its centre 30 ft above" in text
    assert "the neighbour's house 123 ft" in text


def test_where_a_piece_lay_is_from_where_it_stood(story):
    """The demo's mast has moved since the first machine threw a blade; who is within reach is told."""
    text = page(story)
    assert "Within that: **the gate 38 m, the lane 58 m and the farm 225 m**." in text
    assert "One was found 31 m away, from where it stood then." in text
    assert "landed by the gate, 31 m away, from where it stood then." in text
