"""The picture of the machine where it stands, measured with a ruler: everything to one scale, nothing off the sheet."""

from dataclasses import replace

import numpy as np
import pytest

from calc.machine.catalogue.mast import ROOF
from journal.publish.figures import site
from tests.journal.pictures import Seen, on_the_sheet, over_each_other

#: Rotor 2.2 m across on a guyed mast of 8 m, with a tail; a building of 5 m somewhere near; falls 9.9 m far.
FIELD = site.Outline("r2", 8.0, 2.2, 9.9, 5.0, "guyed tilt-up", "furling tail", "230 m, in a runaway more")
GABLE = replace(FIELD, ref="r1", height=9.5, across=1.3, mast=ROOF, overspeed="none", thrown="")
BARE = replace(FIELD, building=0.0, mast="freestanding", overspeed="none")
TOWN = replace(FIELD, building=60.0)
TOY = replace(FIELD, height=1.5, across=0.4, reach=2.2, building=0.0)
ALL = {"field": FIELD, "gable": GABLE, "bare": BARE, "beside a tower": TOWN, "toy": TOY}


@pytest.fixture(scope="module")
def seen():
    """Each machine drawn once."""
    return {name: Seen(site._pictured(of)) for name, of in ALL.items()}


def spans(seen):
    """Arrows without words, as the two ends of each in order."""
    return [tuple(sorted([tuple(map(float, a)), tuple(map(float, b))])) for a, b in seen.arrows]


def has(pairs, one, two):
    """Whether one of some arrows reaches from one place to another."""
    return any(np.allclose([a, b], sorted([one, two])) for a, b in pairs)


def box_of(points):
    """Left, bottom, right, top."""
    return (*np.min(points, axis=0), *np.max(points, axis=0))


@pytest.mark.parametrize("name", ALL)
def test_everything_is_on_the_sheet_and_can_be_read(seen, name):
    """Words whole and apart; lines, outlines and arrows within the frame; no hole of a quarter of the sheet above."""
    one = seen[name]
    assert on_the_sheet(one) == []
    assert over_each_other(one) == []
    (left, right), (low, high) = one.axes.get_xlim(), one.axes.get_ylim()
    points = np.vstack([*one.lines(), *one.areas, *(np.array(a) for a in one.arrows)])
    assert (left, right) == pytest.approx((points[:, 0].min(), points[:, 0].max()))
    assert low <= points[:, 1].min()
    assert 0.8 * high <= max(points[:, 1].max(), 1.3 * site.PERSON) <= high


@pytest.mark.parametrize("name", ALL)
def test_a_metre_is_as_long_upwards_as_sideways(seen, name):
    """In pixels, on a sheet as wide as every other."""
    one = seen[name]
    (x, y), (x1, y1) = one.axes.transData.transform([(0.0, 0.0), (1.0, 1.0)])
    assert x1 - x == pytest.approx(y1 - y)
    assert one.figure.get_figwidth() == 7.2
    assert one.figure.get_figheight() <= 14.4
    # The ground lies a little above the lower edge.
    assert 0.0 < y < 0.35 * one.figure.bbox.height


@pytest.mark.parametrize("name", ALL)
def test_mast_rotor_and_fall_are_as_long_as_they_are(seen, name):
    """Mast to the hub, blades half the rotor up and down before the mast, the arc from tip to where it would lie."""
    one, of = seen[name], ALL[name]
    tip = of.height + of.across / 2
    lines = one.lines()
    (mast,) = [x for x in lines if np.all(x[:, 0] == 0.0) and x[:, 1].max() == of.height]
    assert mast[:, 1].min() == (0.8 * of.building if of.on_roof else 0.0)
    blades = [box_of(a) for a in one.areas if np.allclose(np.ptp(a[:, 1]), of.across / 2)]
    assert sorted((b[1], b[3]) for b in blades) == [
        pytest.approx((of.height - of.across / 2, of.height)),
        pytest.approx((of.height, tip)),
    ]
    assert all(-0.25 * of.across < b[0] < b[2] < 0.0 for b in blades)
    (hub,) = [x for x in lines if len(x) == 2 and np.all(x[:, 1] == of.height) and x[0, 0] < 0]
    assert hub[0, 0] == pytest.approx(np.mean([blades[0][0], blades[0][2]]))
    assert hub[1, 0] > 0.0
    (arc,) = [x for x in lines if len(x) > 10]
    assert arc[0] == pytest.approx((of.reach, 0.0))
    assert arc[-1] == pytest.approx((0.0, tip))
    assert (arc[:, 0] / of.reach) ** 2 + (arc[:, 1] / tip) ** 2 == pytest.approx(np.ones(len(arc)))


@pytest.mark.parametrize("name", ALL)
def test_measures_reach_from_end_to_end(seen, name):
    """Height from the ground to the hub, the rotor from tip to tip, the circle to both sides, each with its words."""
    one, of = seen[name], ALL[name]
    pairs = spans(one)
    assert len(pairs) == 4
    (low,) = {a[1] for a, b in pairs if a[1] == b[1]}
    assert low < 0
    assert has(pairs, (0.0, low), (of.reach, low))
    assert has(pairs, (0.0, low), (-of.reach, low))
    ((x, _),) = [a for a, b in pairs if a[1] == 0.0 and b == (a[0], of.height)]
    ((across_at, _),) = [a for a, b in pairs if a[1] == pytest.approx(of.height - of.across / 2)]
    assert has(pairs, (across_at, of.height - of.across / 2), (across_at, of.height + of.across / 2))
    assert across_at < -0.25 * of.across
    # Outside the house, the mast and the tail.
    assert x > max(0.5 * of.building if of.on_roof else 0.0, 0.8 * of.across if "tail" in of.overspeed else 0.0)
    left, bottom, _, top = one.box(f"{of.height:g} m")
    assert left > x
    assert 0 < bottom < top < of.height
    _, bottom, right, top = one.box(f"{of.across:g} m")
    assert right < across_at
    assert (bottom + top) / 2 == pytest.approx(of.height, abs=0.1 * of.height)
    left, _, right, top = one.box(f"keep clear: {of.reach:.2g} m each way if it falls")
    assert top < low
    assert left < 0 or right < of.reach
    ticks = [x for x in one.lines() if len(x) == 2 and x[0, 0] == x[1, 0] and x[:, 1].max() == 0 > x[:, 1].min()]
    assert sorted(x[0, 0] for x in ticks) == [-of.reach, 0.0, of.reach]
    assert all(x[:, 1].min() < low for x in ticks)


@pytest.mark.parametrize("name", ["bare", "field"])
def test_the_words_of_the_circle_stand_in_its_middle(seen, name):
    """Where there is room."""
    left, _, right, _ = seen[name].box("keep clear: 9.9 m each way if it falls")
    assert left + right == pytest.approx(0.0, abs=0.1)


def houses(one):
    """Outlines with five corners that stand on the ground."""
    return [a for a in one.areas if a[:, 1].min() == 0.0]


@pytest.mark.parametrize("name", ["field", "gable", "beside a tower"])
def test_a_building_is_as_high_as_it_is_and_stands_where_it_stands(seen, name):
    """Under the mast, or beyond the circle and the person, for nobody said how far away it is."""
    one, of = seen[name], ALL[name]
    (house,) = houses(one)
    left, bottom, right, top = box_of(house)
    assert (bottom, top, right - left) == pytest.approx((0.0, of.building, of.building))
    ridge = house[np.argmax(house[:, 1])]
    assert ridge[0] == pytest.approx((left + right) / 2)
    eaves = house[(house[:, 1] > 0) & (house[:, 1] < top)]
    assert eaves[:, 1] == pytest.approx(np.full(2, 0.6 * top))
    assert sorted(eaves[:, 0]) == pytest.approx([left, right])
    if of.on_roof:
        assert ridge[0] == 0.0
        (words,) = [t for t in one.axes.texts if t.get_text() == f"{of.building:g} m"]
    else:
        assert right < -1.15 * of.reach
        assert left >= one.axes.get_xlim()[0]
        (words,) = [t for t in one.axes.texts if "within 150 m" in t.get_text()]
        assert f"{of.building:g} m" in words.get_text()
    x0, y0, x1, y1 = one.box(words.get_text())
    assert x0 < ridge[0] < x1
    # Inside the walls, or above the roof.
    assert (y0 > 0 and y1 < top and left < x0 and x1 < right) or y0 > top


def test_no_building_no_house(seen):
    """And no word of one."""
    assert houses(seen["bare"]) == []
    assert sorted(t.get_text() for t in seen["bare"].axes.texts if t.get_text()) == [
        "1.75 m", "2.2 m", "8 m", "blade piece: 230 m, in a runaway more",
        "keep clear: 9.9 m each way if it falls",
    ]  # fmt: skip


@pytest.mark.parametrize("name", ALL)
def test_guys_and_tail_are_drawn_where_there_are_any(seen, name):
    """Guys from the mast to the ground on both sides, within the circle; the tail behind, level with the hub."""
    one, of = seen[name], ALL[name]
    guys = [
        x
        for x in one.lines()
        if len(x) == 2 and x[0, 0] == 0 and x[1, 1] == 0 and x[0, 1] > 0.5 * of.height and x[1, 0]
    ]
    assert sorted(np.sign(x[1, 0]) for x in guys) == ([-1, 1] if "guyed" in of.mast else [])
    assert {abs(x[1, 0]) < of.reach for x in guys} <= {True}
    assert len({abs(x[1, 0]) for x in guys}) == len({x[0, 1] for x in guys}) == ("guyed" in of.mast)
    assert {0.5 * of.height < x[0, 1] < of.height - of.across / 2 for x in guys} <= {True}
    tails = [a for a in one.areas if a[:, 0].min() > 0]
    assert len(tails) == ("tail" in of.overspeed)
    for tail in tails:
        left, bottom, right, top = box_of(tail)
        assert 0 < left < right < of.across
        assert bottom < of.height < top
        assert top - bottom < 0.5 * of.across
        boom = max(x[:, 0].max() for x in one.lines() if len(x) == 2 and np.all(x[:, 1] == of.height) and x[0, 0] < 0)
        assert left == pytest.approx(boom)


@pytest.mark.parametrize("name", ALL)
def test_a_person_stands_beside_it_for_scale(seen, name):
    """1.75 m from the ground to the top of the head, outside the circle, in the proportions of a grown person."""
    one, of = seen[name], ALL[name]
    (head,) = [p for p in one.axes.patches if hasattr(p, "radius")]
    x, y = head.center
    assert y + head.radius == pytest.approx(1.75)
    # From memory, drawing manuals: a head is an eighth to a sixth of the whole.
    assert 1.75 / 16 < head.radius < 1.75 / 12
    assert one.axes.get_xlim()[0] < x < -of.reach
    limbs = [s for s in one.lines() if len(s) == 2 and abs(s[:, 0] - x).max() < 0.4 and s[:, 1].max() < y < 1.75]
    limbs = [s for s in limbs if s[:, 1].min() >= 0 < s[:, 1].max()]
    (body,) = [s for s in limbs if s[0, 0] == s[1, 0]]
    hip, neck = sorted(body[:, 1])
    assert neck == pytest.approx(y - head.radius, abs=0.05)
    legs = [s for s in limbs if s[1, 1] == 0.0]
    arms = [s for s in limbs if s[0, 0] != s[1, 0] and s[1, 1] > 0.0]
    for pair in (legs, arms):
        assert sorted(np.sign(s[1, 0] - x) for s in pair) == [-1, 1]
        assert abs(pair[0][1, 0] - x) == pytest.approx(abs(pair[1][1, 0] - x))
        assert {s[0, 0] for s in pair} == {x}
    assert [s[0, 1] for s in legs] == pytest.approx([hip, hip], abs=0.05)
    assert [s[0, 1] for s in arms] == pytest.approx([neck, neck], abs=0.1)
    # Hands hang beside the hips, outside the feet, and nothing reaches into the circle.
    assert [s[1, 1] for s in arms] == pytest.approx([hip, hip], abs=0.1)
    assert of.reach < abs(x) - abs(arms[0][1, 0] - x) < abs(x) - abs(legs[0][1, 0] - x)
    left, bottom, right, _ = one.box("1.75 m")
    assert left < x < right
    assert bottom > 1.75


def test_what_it_says_in_words():
    """Each number of the picture, and what is not known of it."""
    assert site._pictured(FIELD).alt == (
        "Side view to scale. The rotor, 2.2 m across, has its centre 8 m above the ground and its highest point at "
        "9.1 m. If it fell, the mast would reach 9.9 m. A piece of a blade can fly further: 230 m, in a "
        "runaway more. The highest thing within 150 m has 5 m; how far away is not on record. A person "
        "of 1.75 m stands beside it for scale."
    )
    assert site._pictured(FIELD).title == "The machine to scale, r2"
    assert "It stands on a building of 5 m. A person" in site._pictured(GABLE).alt
    assert "150 m" not in site._pictured(BARE).alt
