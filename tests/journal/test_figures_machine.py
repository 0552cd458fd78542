"""The pictures of the solved machine read back through their axes: drawn is what was computed, read and said."""

import re
from functools import partial

import numpy as np
import pytest

from calc.machine.system import CurveWithBand
from calc.physics import torque
from journal.book import store
from journal.publish import redact
from journal.publish import story as story_of
from journal.publish.figures import machine
from journal.publish.figures.canvas import Picture
from journal.publish.numbers import Claimed, Reading, charging_speed
from tests.journal.pictures import Seen, at, on_the_sheet, over_each_other

RPM = 60 / (2 * np.pi)
DARK, MIDDLE, WHITE = "#16365c", "#c07a12", "white"


@pytest.fixture(scope="module")
def machines(told):
    """Both machines of the demo."""
    with store.journal(told / "demo.db") as s:
        return redact.for_reader(story_of.tell(s), frozenset()).machines


def curve(top, *, limit=np.inf, band=True):
    """Power that grows evenly up to a top at 20 m/s, with a band 20 W wide on both sides from 4 m/s on."""
    winds = np.arange(0.0, 21.0)
    power, some = top * winds / 20, np.array([4.0, 12.0, 20.0]) if band else np.array([])
    return CurveWithBand(
        winds, power, some, np.interp(some, winds, power) - 20, np.interp(some, winds, power) + 20, limit
    )


READ = [Reading("M1", (4.0, 6.0), (90.0, 120.0), 100.0), Reading("M2", (9.0, 9.5), (190.0, 210.0), 200.0)]
SAID = [Claimed("C1", 9.0, 400.0)]
OLD, NEW = curve(600.0), curve(1000.0, limit=14.0)


def powers(curves, read=(), said=()):
    """The picture of some curves, seen."""
    return Seen(Picture("power", "", "", partial(machine._power, curves, list(read), list(said))))


@pytest.fixture(scope="module")
def seen():
    """Power of two revisions with all that can stand beside it."""
    return powers([("r1", OLD), ("r2", NEW)], READ, SAID)


def line_of(seen, colour):
    """The curve of a colour and its dashes."""
    (found,) = [x for x in seen.axes.lines if x.get_color() == colour and len(x.get_xdata()) > 2]
    return found


def test_power_is_drawn_over_wind_at_its_scale(seen):
    """The newest dark and whole, the older dashed; from nought on both axes to the end of the newest curve."""
    newest, older = line_of(seen, DARK), line_of(seen, MIDDLE)
    assert at(newest.get_xydata(), 10.0) == pytest.approx(500.0)
    assert at(older.get_xydata(), 10.0) == pytest.approx(300.0)
    assert (newest.get_linestyle(), older.get_linestyle()) == ("-", "--")
    assert seen.axes.get_xlim() == (0, 20)
    low, high = seen.axes.get_ylim()
    assert low == 0
    assert 1020 <= high < 1200
    assert seen.axes.get_xlabel() == "wind at the rotor, m/s"
    assert seen.axes.get_title(loc="left") == "power into battery and dump load, W"
    alone = powers([("r1", OLD)])
    assert line_of(alone, DARK).get_linestyle() == "-"


def test_of_four_revisions_each_has_a_dash():
    """The oldest two share one, for there are three."""
    four = powers([(f"r{i}", curve(100.0 * i)) for i in range(1, 5)])
    styles = [x._dash_pattern[1] for x in four.axes.lines if len(x.get_xdata()) == 21]
    assert styles[0] is None
    assert None not in styles[1:]
    assert styles[1] != styles[2] == styles[3]


def test_bands_are_drawn_from_low_to_high(seen):
    """The newest filled, the older hatched so that what lies under it is still seen, curves before them."""
    newest, older = seen.bands()
    filled, hatched = seen.axes.collections[:2]
    for band, of in ((newest, NEW), (older, OLD)):
        for x, low, high in zip(of.band_winds, of.low, of.high, strict=True):
            ends = band[band[:, 0] == x][:, 1]
            assert (ends.min(), ends.max()) == pytest.approx((low, high))
    assert (filled.get_hatch(), hatched.get_hatch()) == (None, "//")
    assert len(filled.get_facecolor()) == 1
    assert len(hatched.get_facecolor()) == 0
    assert hatched.get_edgecolor()[0][:3] == pytest.approx(np.array([0xC0, 0x7A, 0x12]) / 255)
    curves = [line_of(seen, c).get_zorder() for c in (DARK, MIDDLE)]
    assert max(filled.get_zorder(), hatched.get_zorder()) < min(curves)
    assert filled.get_zorder() < hatched.get_zorder()


def test_bands_are_explained_where_there_are_any(seen):
    """Under the upper edge of the newest band, well left of its end."""
    left, bottom, right, top = seen.box("bands: 9 in 10 ways in which\nthe doubtful values could turn out")
    assert left > 0
    assert right == pytest.approx(12.0)
    assert 400 < bottom < top < 620
    bare = powers([("r1", curve(600.0, band=False))])
    assert [t.get_text() for t in bare.axes.texts] == ["r1"]
    assert bare.bands() == []


def test_readings_stand_with_their_limits(seen):
    """Mark at the value in the middle of its wind; bars to both limits of wind and power; named to the right."""
    assert [(x, y, fill) for x, y, fill in seen.marks("o")] == [(5.0, 100.0, WHITE), (9.25, 200.0, WHITE)]
    ((across, up),) = [c[2] for c in seen.axes.containers]
    assert [tuple(s[:, 0]) for s in across.get_segments()] == [(4.0, 6.0), (9.0, 9.5)]
    assert [tuple(s[:, 1]) for s in up.get_segments()] == [(90.0, 120.0), (190.0, 210.0)]
    for name, (right_end, value) in {"read M1": (6.0, 100.0), "read M2": (9.5, 200.0)}.items():
        left, bottom, _, top = seen.box(name)
        assert right_end < left < right_end + 1
        assert bottom < value < top
    assert len(seen.axes.containers[0][1]) == 4
    # Before the curves, so that it is seen where they cross.
    assert seen.axes.containers[0][0].get_zorder() > line_of(seen, DARK).get_zorder()


def test_many_readings_are_small_and_have_no_names():
    """Eight are named; of nine the marks are small."""
    eight = [Reading(f"M{i}", (i, i + 0.5), (50.0 * i, 50.0 * i + 10), 50.0 * i + 5) for i in range(1, 9)]
    few = powers([("r1", OLD)], eight)
    assert len([t for t in few.axes.texts if t.get_text().startswith("read ")]) == 8
    many = powers([("r1", OLD)], [*eight, Reading("M9", (9.0, 9.5), (450.0, 460.0), 455.0)])
    assert [t for t in many.axes.texts if t.get_text().startswith("read ")] == []
    assert len(many.marks("o")) == 9
    size = [x.axes.containers[0][0].get_markersize() for x in (few, many)]
    assert size[0] > size[1]
    assert len(many.axes.containers[0][1]) == 0


def test_a_claim_stands_where_it_was_made(seen):
    """An open diamond with its name to the right."""
    assert seen.marks("D") == [(9.0, 400.0, WHITE)]
    left, bottom, _, top = seen.box("claimed C1")
    assert 9.0 < left < 10.5
    assert bottom < 400.0 < top


def test_where_a_rotor_is_held_back_stands_a_line(seen):
    """With its name at the top, to the right of it; none for a rotor that never is."""
    (upright,) = [x for x in seen.axes.lines if list(x.get_xdata()) == [14.0, 14.0]]
    assert list(upright.get_ydata()) == [0, 1]
    assert upright.get_zorder() < 1
    left, _, right, top = seen.box("r2 held back")
    assert 14.0 < left < 14.5 < right
    assert 0.9 * seen.axes.get_ylim()[1] < top <= seen.axes.get_ylim()[1]
    assert [t for t in seen.axes.texts if t.get_text() == "r1 held back"] == []


def test_each_curve_is_named_at_its_end(seen):
    """In its colour, level with it."""
    for name, end, colour in (("r1", 600.0, MIDDLE), ("r2", 1000.0, DARK)):
        left, bottom, _, top = seen.box(name)
        assert left > 20
        assert bottom < end < top
        assert seen.word(name).get_color() == colour
    assert on_the_sheet(seen) == []
    assert over_each_other(seen) == []


def test_the_power_in_words():
    """At 6 and 10 m/s as far as the curve reaches, with the doubt at the last, and where it is held back."""
    assert machine._told("r2", NEW) == (
        "r2: 300 W at 6 m/s and 500 W at 10 m/s (the doubt of the inputs allows 480 to 520 W there), held back from "
        "14 m/s on."
    )
    short = CurveWithBand(np.arange(9.0), 50 * np.arange(9.0), np.array([]), np.array([]), np.array([]), np.inf)
    assert machine._told("r1", short) == "r1: 300 W at 6 m/s."
    assert machine._claim(SAID[0]) == "400 W at 9 m/s"


@pytest.mark.parametrize(
    ("ends", "words"),
    [((0.4, 0.9), "0 W"), ((0.9, 1.1), "0 to 1.1 W"), ((-0.9, 30.0), "0 to 30 W"), ((-5.0, 1.0), "-5 to 1 W"),
     ((101.0, 99.0), "100 to 99 W")],
)  # fmt: skip
def test_a_range_in_words(ends, words):
    """Less than one watt is none."""
    assert machine._range(ends, "W") == words


def test_readings_in_words():
    """Each of a few; of many how far they reach."""
    assert machine._told_readings(READ) == [
        "M1: 90 to 120 W read in 4 to 6 m/s.", "M2: 190 to 210 W read in 9 to 9.5 m/s.",
    ]  # fmt: skip
    assert len(machine._told_readings(READ * 4)) == 8
    assert machine._told_readings([*READ * 4, READ[0]]) == ["9 readings, 90 to 210 W in 4 to 9.5 m/s."]


def test_what_is_told_stands_beside_the_curve(machines):
    """Nothing without a solved machine; curve, readings and claims of each."""
    told = machine.power((machines["r1"], machines["r2"]))
    assert told.title == "Power by wind, r1 and r2"
    parts = [
        "Computed power into battery and dump load by wind at the rotor. r1: ",
        " r2: ",
        "M5: ",
        "M8: ",
        "Claimed: ",
    ]
    places = [told.alt.index(part) for part in parts]
    assert places == sorted(places)


# --- torque -----------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def torques(machines):
    """The torque of each machine, seen."""
    return {ref: Seen(machine.torques(m)) for ref, m in machines.items()}


def rotor_curves(seen):
    """Torque of the rotor in each wind, from the weakest wind."""
    return [x.get_xydata() for x in seen.axes.lines if x.get_color() == MIDDLE]


def generator_curve(seen):
    """The thick dark line."""
    (found,) = [x.get_xydata() for x in seen.axes.lines if x.get_color() == DARK and len(x.get_xdata()) > 100]
    return found


@pytest.mark.parametrize("ref", ["r1", "r2"])
def test_the_machine_runs_where_both_torques_are_equal(torques, ref):
    """Each mark lies on the rotor's curve of its wind and on the generator's, which is what equilibrium means."""
    seen = torques[ref]
    holds, curves = generator_curve(seen), rotor_curves(seen)
    marks = sorted((x, y) for x, y, _ in seen.marks("o"))
    assert len(curves) == len(marks)
    scale = seen.axes.get_ylim()[1]
    for curve, (x, y) in zip(curves, marks, strict=True):
        assert at(curve, x) == pytest.approx(y, abs=0.02 * scale)
        assert at(holds, x) == pytest.approx(y, abs=0.05 * scale)


@pytest.mark.parametrize("ref", ["r1", "r2"])
def test_it_charges_from_the_speed_of_the_shade_on(torques, machines, ref):
    """Marks are full right of the shade and open within it; the words stand inside the shade at its top."""
    seen = torques[ref]
    begins = charging_speed(machines[ref].solved) * RPM
    ((left, bottom, width, high),) = seen.bars
    assert (left, bottom, width, high) == pytest.approx((0, 0, begins, 1))
    for x, _, fill in seen.marks("o"):
        assert fill == (DARK if x > begins else WHITE)
    assert {fill for *_, fill in seen.marks("o")} == ({DARK, WHITE} if ref == "r1" else {DARK})
    x0, _, x1, y1 = seen.box("turns without charging")
    assert 0 < x0 < x1 <= begins
    assert 0.9 * seen.axes.get_ylim()[1] < y1 <= seen.axes.get_ylim()[1]
    # The generator hardly holds the rotor before, and then ever more.
    holds = generator_curve(seen)
    assert at(holds, 0.9 * begins) < 0.2 * at(holds, 1.15 * begins)


@pytest.mark.parametrize("ref", ["r1", "r2"])
def test_torque_is_drawn_over_speed_at_its_scale(torques, machines, ref):
    """In rpm and Nm, from nought; every wind named above the top of its curve, the last with what it is."""
    seen, found = torques[ref], machines[ref].solved
    winds = machine._winds(found)
    half = seen.axes.get_xlim()[1] / 2
    for wind, curve in zip(winds, rotor_curves(seen), strict=True):
        expected = torque.rotor_torque(found.machine, np.array([wind]), np.array([half / RPM]))[0, 0]
        if expected > 0:
            assert at(curve, half) == pytest.approx(expected, rel=0.02, abs=0.02)
        top = curve[np.nanargmax(curve[:, 1])]
        left, bottom, right, _ = seen.box(f"rotor in {wind:g} m/s" if wind == winds[-1] else f"{wind:g} m/s")
        assert left <= top[0] + 1e-6
        assert right > top[0]
        assert top[1] < bottom < top[1] + 0.1 * seen.axes.get_ylim()[1]
        # Nothing below nought.
        assert np.nanmin(curve[:, 1]) > -0.03 * seen.axes.get_ylim()[1]
    assert (seen.axes.get_xlim()[0], seen.axes.get_ylim()[0]) == (0, 0)
    assert seen.axes.get_xlabel() == "speed of the rotor, rpm      ● it charges   ○ it does not"
    assert seen.axes.get_title(loc="left") == "torque, Nm"
    assert on_the_sheet(seen) == []
    assert over_each_other(seen) == []


@pytest.mark.parametrize("ref", ["r1", "r2"])
def test_all_that_matters_lies_within_the_picture(torques, ref):
    """Every mark and the top of every curve, and not much more."""
    seen = torques[ref]
    (_, right), (_, top) = seen.axes.get_xlim(), seen.axes.get_ylim()
    xs, ys = zip(*((x, y) for x, y, _ in seen.marks("o")), strict=True)
    assert max(xs) < 0.95 * right
    highest = max(np.nanmax(c[:, 1]) for c in rotor_curves(seen))
    assert max(*ys, highest) <= 0.87 * top
    assert highest > 0.7 * top
    assert np.nanmax(generator_curve(seen)[:, 1]) <= top


@pytest.mark.parametrize("ref", ["r1", "r2"])
def test_the_line_of_most_power_passes_where_the_rotor_gives_most(torques, ref):
    """In each wind, torque times speed is nowhere greater than at its tick; the name stands at a tick."""
    seen = torques[ref]
    (most,) = [x.get_xydata() for x in seen.axes.lines if x.get_marker() == "|"]
    for curve, (x, y) in zip(rotor_curves(seen), most, strict=True):
        kept = curve[~np.isnan(curve[:, 1])]
        best = np.max(kept[:, 0] * kept[:, 1])
        if x <= kept[-1, 0]:
            assert at(curve, x) == pytest.approx(y, rel=0.02)
            assert x * y == pytest.approx(best, rel=0.02)
    named = seen.word("most power").xy
    assert any(np.allclose(named, p) for p in most)
    assert named[0] == max(x for x, _ in most if x < 0.9 * seen.axes.get_xlim()[1])
    left, bottom, _, _ = seen.box("most power")
    assert left > named[0]
    assert bottom > named[1] - 0.02 * seen.axes.get_ylim()[1]


@pytest.mark.parametrize("ref", ["r1", "r2"])
def test_the_generator_is_named_beside_its_curve(torques, ref):
    """Left of it where the curve is far to the right, at a place where the curve is in the picture."""
    seen = torques[ref]
    holds, words = generator_curve(seen), seen.word("generator")
    assert at(holds, words.xy[0]) == pytest.approx(words.xy[1])
    left, _, right, _ = seen.box("generator")
    far = words.xy[0] > 0.55 * seen.axes.get_xlim()[1]
    assert far
    assert right < words.xy[0]
    assert left > 0


def test_the_torque_in_words(machines):
    """Where it charges, how fast it turns in each wind, and what it then gives."""
    found = machines["r2"].solved
    told = machine.torques(machines["r2"])
    parts = told.alt.split(". ", 2)
    assert parts[0] == "Torque of the rotor of r2 against that of its generator, by speed"
    rpm = charging_speed(found) * RPM
    assert float(parts[1].removeprefix("Charging begins at ").removesuffix(" rpm")) == pytest.approx(rpm, rel=0.05)
    assert parts[2].startswith("In 4 m/s it turns at ")
    assert parts[2].count("; in ") == len(machine._winds(found)) - 1
    assert told.title == "Torque by speed, r2"


# --- where the watts go -----------------------------------------------------------------------------------------------

WINDS = np.array([5.0, 7.0, 9.0])
#: Shares of three winds; four of the layers get nothing, and the winding so little that it has no name.
SHARES = {
    "stored": np.array([0.9, 0.7, 0.5]), "dump": np.zeros(3), "inside_battery": np.array([0.02, 0.1, 0.15]),
    "cable": np.array([0.03, 0.1, 0.2]), "diodes": np.array([0.02, 0.05, 0.1]),
    "copper": np.array([0.02, 0.02, 0.004]), "drag": np.array([0.01, 0.03, 0.046]),
    "converter": np.zeros(3), "field": np.zeros(3), "drive": np.zeros(3),
}  # fmt: skip


@pytest.fixture(scope="module")
def shared():
    """Where the watts go, of made-up shares."""
    return Seen(Picture("watts", "", "", partial(machine._watts, WINDS, np.array([100.0, 300.0, 700.0]), SHARES)))


def test_bars_are_stacked_to_the_whole(shared):
    """Each layer on the one below, as high as its share, one bar for each wind; nothing of what is nought."""
    for i in range(3):
        stack = sorted((b, h) for x, b, w, h in shared.bars if x < i < x + w)
        shares = [100 * s[i] for s in SHARES.values() if s.any()]
        assert [h for _, h in stack] == pytest.approx(shares)
        assert [b for b, _ in stack] == pytest.approx(np.cumsum([0, *shares[:-1]]))
    assert {round(w, 2) for _, _, w, _ in shared.bars} == {0.72}


def test_layers_look_different(shared):
    """Neighbours in fill or hatch, all with an edge."""
    looks = [(p.get_facecolor(), p.get_hatch()) for p in shared.axes.patches[::3]]
    assert len(set(looks)) == len(looks) == 6


def test_the_watts_stand_above_their_bars(shared):
    """What the rotor takes in each wind, and the wind below."""
    for i, text in enumerate(["100 W", "300 W", "700 W"]):
        left, bottom, right, _ = shared.box(text)
        assert (left + right) / 2 == pytest.approx(i, abs=0.02)
        assert 100 < bottom < 105
    assert [t.get_text() for t in shared.axes.get_xticklabels()] == ["5", "7", "9"]
    assert list(shared.axes.get_xticks()) == [0, 1, 2]
    assert shared.axes.get_xlabel() == "wind at the rotor, m/s"
    assert shared.axes.get_title(loc="left") == "of what the rotor takes, in W above each bar"
    assert [t.get_text() for t in shared.axes.get_yticklabels()] == ["0", "25", "50", "75", "100 %"]
    assert list(shared.axes.get_yticks()) == [0, 25, 50, 75, 100]
    assert shared.axes.get_ylim() == (0, 100)


def test_layers_are_named_beside_the_last_bar(shared):
    """Each with a line to the middle of its layer, apart, in the order of the bar; none for less than a hundredth."""
    named = [t for t in shared.axes.texts if t.arrow_patch is not None]
    assert [t.get_text() for t in named] == [
        "into the battery", "inside the battery", "cable", "diodes", "bearings and iron",
    ]  # fmt: skip
    assert [t.xy[1] for t in named] == pytest.approx([25.0, 57.5, 75.0, 90.0, 97.7])
    edge = 2 + 0.72 / 2
    assert {round(t.xy[0], 6) for t in named} == {round(edge, 6)}
    places = [t.xyann[1] for t in named]
    assert np.all(np.diff(places) >= 9 - 1e-6)
    assert all(edge < shared.box(t.get_text())[0] for t in named)
    assert on_the_sheet(shared) == []
    assert over_each_other(shared) == []


@pytest.mark.parametrize("count", [1, 5])
def test_few_and_many_winds_fit(count):
    """The names have room beside one bar and beside five; the ground ends with the bars."""
    shares = {name: np.full(count, s[1]) for name, s in SHARES.items()}
    winds = np.arange(5.0, 5.0 + count)
    one = Seen(Picture("watts", "", "", partial(machine._watts, winds, 100 * winds, shares)))
    assert on_the_sheet(one) == []
    assert over_each_other(one) == []
    assert one.axes.spines["bottom"].get_bounds() == (-0.5, count - 0.5)
    assert one.axes.get_xlim()[0] == -0.5


def test_the_watts_in_words(machines):
    """Odd winds from where it charges well, up to where it is held back; the shares of the last add up."""
    told = machine.watts(machines["r2"])
    found = machines["r2"].solved
    first, last = (float(x) for x in re.findall(r"in (\d+) m/s", told.alt))
    assert float(found.charging) + 0.5 <= first < float(found.charging) + 1.5
    assert first < last <= min(float(found.limit), first + 8)
    shares = [float(x) for x in re.findall(r" ([\d.]+) %(?:,|\.)", told.alt.partition(". Of ")[2])]
    assert sum(shares) == pytest.approx(100, abs=1.5)
    assert min(shares) > 0.05
