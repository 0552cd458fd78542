"""Two machines to one scale read back, and the numbers that decide beside them."""

import numpy as np
import pytest
from matplotlib.patches import Circle, Rectangle

from journal.book import store
from journal.publish import figures, redact
from journal.publish import story as story_of
from journal.publish.figures import pair
from journal.publish.figures.canvas import Picture
from journal.publish.figures.pair import DecidingNumber, Shape
from tests.journal.pictures import Seen, on_the_sheet, over_each_other

SHAPES = [Shape("r1", 1.3, 8.5, 5.0, guyed=False), Shape("r2", 2.2, 8.0, 0.0, guyed=True)]
ROWS = [
    DecidingNumber("charging begins in", ("8.1 m/s", "3.6 m/s"), (8.1, 3.6)),
    DecidingNumber("battery", ("12 V", "24 V"), (12.0, 24.0)),
    DecidingNumber("a year", ("not known", "540 kWh"), (None, 540.0)),
    DecidingNumber("held back in a storm by", ("nothing", "mechanical brake worked by speed")),
]


@pytest.fixture(scope="module")
def seen():
    """Both, drawn once."""
    return Seen(Picture("machines", "", "", lambda: pair._draw(SHAPES, ROWS)))


def test_both_are_drawn_to_one_scale(seen):
    """Rotors as wide, centres as high, the house as high and a person as tall as they are, in the same measure."""
    big = sorted(p.get_radius() for p in seen.axes.patches if isinstance(p, Circle) and p.get_facecolor()[3] == 0)
    assert big[1] / big[0] == pytest.approx(2.2 / 1.3)
    scale = 2 * big[0] / 1.3
    (ground,) = {y for x in seen.lines() for y in x[:, 1] if len(x) == 2 and np.ptp(x[:, 0]) > 480}
    hubs = {
        round((ground - p.center[1]) / scale, 3)
        for p in seen.axes.patches
        if isinstance(p, Circle) and p.get_facecolor()[3] == 0
    }
    assert hubs == {8.5, 8.0}
    (house,) = [a for a in seen.areas if len(a) > 4]
    assert (ground - house[:, 1].min()) / scale == pytest.approx(5.0)
    (head,) = [p for p in seen.axes.patches if isinstance(p, Circle) and p.get_facecolor()[3] == 1]
    assert (ground - head.center[1] + head.get_radius()) / scale == pytest.approx(1.75)


def test_numbers_stand_beside_bars_as_long_as_they_are(seen):
    """The older to the left of the middle and hatched, the newer to the right; none for what is not known."""
    bars = [p for p in seen.axes.patches if isinstance(p, Rectangle)]
    old = [p for p in bars if p.get_hatch()]
    new = [p for p in bars if not p.get_hatch()]
    assert len(old) == 2
    assert len(new) == 3
    assert new[0].get_width() / old[0].get_width() == pytest.approx(3.6 / 8.1)
    assert new[1].get_width() / old[1].get_width() == pytest.approx(2.0)
    assert all(p.get_x() + p.get_width() < pair._MIDDLE for p in old)
    assert all(p.get_x() > pair._MIDDLE for p in new)


def test_it_can_be_read(seen):
    """Nothing cut off, nothing over anything, long words on lines of their own."""
    assert on_the_sheet(seen) == []
    assert over_each_other(seen) == []
    said = [t.get_text() for t in seen.axes.texts]
    assert {"r1", "r2", "1.3 m across", "8.1 m/s", "24 V", "not known", "nothing"} <= set(said)
    assert "mechanical brake worked" in said


@pytest.mark.parametrize(
    "shapes",
    [[Shape("r1", 0.3, 0.5, 0.0, guyed=False), Shape("r2", 9.0, 30.0, 0.0, guyed=True)],
     [Shape("r1", 1.0, 61.0, 60.0, guyed=False), Shape("r12", 1.0, 2.0, 0.0, guyed=False)]],
    ids=["toy and giant", "tower"],
)  # fmt: skip
def test_odd_machines_stay_on_the_sheet(shapes):
    """Whatever their sizes."""
    one = Seen(Picture("machines", "", "", lambda: pair._draw(shapes, ROWS)))
    assert on_the_sheet(one) == []
    assert over_each_other(one) == []
    low, high = sorted(one.axes.get_ylim())
    for p in one.axes.patches:
        if isinstance(p, Circle):
            assert low <= p.center[1] - p.get_radius()
            assert p.center[1] + p.get_radius() <= high


def test_one_machine_alone_is_no_pair(told):
    """Nor are two of which one has no height."""
    with store.journal(told / "demo.db") as s:
        machines = redact.for_reader(story_of.tell(s), frozenset()).machines
    assert figures.machines((machines["r2"],)) is None
    assert figures.machines((machines["r1"], machines["r2"])).name == "machines-r2"
