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
from journal.publish.figures import balance as balance_of
from journal.publish.figures import machine
from journal.publish.figures.canvas import Picture
from journal.publish.figures.machine import Shown
from journal.publish.numbers import Blowing, Claimed, Reading, charging_speed
from tests.journal.pictures import Seen, at, on_the_sheet, over_each_other

RPM = 60 / (2 * np.pi)
DARK, MIDDLE, WHITE = "#16365c", "#c07a12", "white"


@pytest.fixture(scope="module")
def machines(told):
    """Both machines of the demo."""
    with store.journal(told / "demo.db") as s:
        return redact.for_reader(story_of.tell(s), frozenset()).machines


def curve(top, *, limit=np.inf, band=True):
    """Power that grows evenly up to a top at 20 m/s, with bands 20 W and 10 W wide on both sides from 4 m/s on."""
    winds = np.arange(0.0, 21.0)
    power, some = top * winds / 20, np.array([4.0, 12.0, 20.0]) if band else np.array([])
    ends = [np.interp(some, winds, power) + d for d in (-20, 20, -10, 10)]
    return CurveWithBand(winds, power, some, ends[0], ends[1], limit, (ends[2], ends[3]) if band else ())


READ = (Reading("M1", (4.0, 6.0), (90.0, 120.0), 100.0), Reading("M2", (9.0, 9.5), (190.0, 210.0), 200.0))
SAID = (Claimed("C1", 9.0, 400.0),)
OLD, NEW = Shown("r1", curve(600.0), (), SAID), Shown("r2", curve(1000.0, limit=11.0), READ)
#: A mean of 5 m/s at the rotor: the scale of its Rayleigh distribution.
BLOWS = Blowing(5.0 * 2.0 / np.sqrt(np.pi), 2.0)


def powers(*shown, blowing=None):
    """The picture of some curves, seen."""
    return Seen(Picture("power", "", "", partial(machine._power, list(shown), blowing)))


@pytest.fixture(scope="module")
def seen():
    """Power of two revisions with all that can stand beside it."""
    return powers(OLD, NEW, blowing=BLOWS)


def line_of(seen, colour):
    """The curve of a colour and its dashes."""
    (found,) = [x for x in seen.axes.lines if x.get_color() == colour and len(x.get_xdata()) > 2]
    return found


def test_power_is_drawn_over_wind_at_its_scale(seen):
    """The newest dark and whole, the older dashed; from nought on both axes, all that lies in the winds shown."""
    newest, older = line_of(seen, DARK), line_of(seen, MIDDLE)
    assert at(newest.get_xydata(), 10.0) == pytest.approx(500.0)
    assert at(older.get_xydata(), 10.0) == pytest.approx(300.0)
    assert (newest.get_linestyle(), older.get_linestyle()) == ("-", "--")
    low, high = seen.axes.get_ylim()
    assert low == 0
    assert 750 <= high < 950
    assert seen.axes.get_title(loc="left") == (
        "power into battery and dump load, W\ndark half of the ways, light 9 in 10   ○ read   ◇ claimed"
    )
    alone = powers(Shown("r1", curve(600.0)))
    assert line_of(alone, DARK).get_linestyle() == "-"
    assert "read" not in alone.axes.get_title(loc="left")


@pytest.mark.parametrize(
    ("mean", "end"),
    # A thousandth of the time it blows harder than 2.97 times the mean of a Rayleigh wind: sqrt(4 ln(1000) / pi).
    [(2.0, 10.0), (4.4, 14.0), (5.0, 15.0), (9.0, 20.0), (None, 14.0)],
)
def test_the_winds_shown_are_those_that_blow(mean, end):
    """Up to what is passed for nine hours of a year, no fewer than 10 and no more than 20 m/s; 14 where not known."""
    blowing = None if mean is None else Blowing(mean * 2 / np.sqrt(np.pi), 2.0)
    assert powers(Shown("r1", curve(600.0)), blowing=blowing).axes.get_xlim() == (0, end)


def test_what_was_claimed_or_read_in_more_wind_is_shown():
    """The picture reaches beyond it, up to 20 m/s."""
    far = Shown("r1", curve(600.0), (), (Claimed("C1", 12.0, 500.0),))
    assert powers(far, blowing=Blowing(4.0, 2.0)).axes.get_xlim() == (0, 13)


def test_how_often_each_wind_blows_stands_below(seen):
    """Hours of a year for each m/s, by Rayleigh's distribution of a mean of 5 m/s; all but nine of 8760."""
    below = seen.all_axes[1]
    hours = [p.get_height() for p in below.patches]
    assert below.get_title(loc="left") == "hours a year that it blows"
    assert below.get_xlabel() == "wind at the rotor, m/s"

    def over(v):
        return 8760 * np.exp(-np.pi / 4 * (v / 5.0) ** 2)

    assert hours == pytest.approx([over(v) - over(v + 1) for v in range(15)])
    assert sum(hours) == pytest.approx(8760 - 9, abs=2)
    assert len(powers(OLD).all_axes) == 1


def test_of_four_revisions_each_has_a_dash():
    """The oldest two share one, for there are three."""
    four = powers(*(Shown(f"r{i}", curve(100.0 * i)) for i in range(1, 5)))
    styles = [x._dash_pattern[1] for x in four.axes.lines if len(x.get_xdata()) == 21]
    assert styles[0] is None
    assert None not in styles[1:]
    assert styles[1] != styles[2] == styles[3]


def test_bands_are_drawn_from_low_to_high(seen):
    """Nine in ten light, half darker over it; the older hatched, so that they are told apart in grey; curves above."""
    bands = seen.bands()
    light, dark, *older = seen.axes.collections[:4]
    newest = [(NEW.curve.low, NEW.curve.high), NEW.curve.half]
    for band, (low, high) in zip(bands, [*newest, (OLD.curve.low, OLD.curve.high), OLD.curve.half], strict=True):
        for i, x in enumerate(OLD.curve.band_winds):
            ends = band[band[:, 0] == x][:, 1]
            assert (ends.min(), ends.max()) == pytest.approx((low[i], high[i]))
    assert [c.get_hatch() for c in (light, dark, *older)] == [None, None, "//", "//"]
    grey = [float(np.mean(c.get_facecolor()[0][:3])) for c in (light, dark)]
    assert grey[0] - grey[1] > 0.1
    assert light.get_zorder() < dark.get_zorder()
    curves = [line_of(seen, c).get_zorder() for c in (DARK, MIDDLE)]
    assert max(c.get_zorder() for c in (light, dark, *older)) < min(curves)


def test_a_curve_without_doubt_has_no_bands():
    """And none are explained."""
    bare = powers(Shown("r1", curve(600.0, band=False)))
    assert bare.bands() == []
    assert bare.axes.get_title(loc="left") == "power into battery and dump load, W"


def test_readings_stand_with_their_limits_in_the_colour_of_their_revision(seen):
    """Mark at the value in the middle of its wind; bars to both limits of wind and power; named to the left."""
    assert [(x, y, fill) for x, y, fill in seen.marks("o")] == [(5.0, 100.0, WHITE), (9.25, 200.0, WHITE)]
    (points, _, (across, up)) = seen.axes.containers[0]
    assert points.get_color() == DARK
    assert [tuple(s[:, 0]) for s in across.get_segments()] == [(4.0, 6.0), (9.0, 9.5)]
    assert [tuple(s[:, 1]) for s in up.get_segments()] == [(90.0, 120.0), (190.0, 210.0)]
    for name, begins in {"M1": 4.0, "M2": 9.0}.items():
        assert seen.box(name)[2] < begins
        assert seen.word(name).get_color() == DARK
    # Before the curves, so that it is seen where they cross.
    assert points.get_zorder() > line_of(seen, DARK).get_zorder()


def test_many_readings_are_small_and_have_no_names():
    """Eight are named; of nine the marks are small."""
    eight = tuple(Reading(f"M{i}", (i, i + 0.5), (50.0 * i, 50.0 * i + 10), 50.0 * i + 5) for i in range(1, 9))
    few = powers(Shown("r1", curve(600.0), eight))
    assert len([t for t in few.axes.texts if t.get_text().startswith("M")]) == 8
    many = powers(Shown("r1", curve(600.0), (*eight, Reading("M9", (9.0, 9.5), (450.0, 460.0), 455.0))))
    assert [t for t in many.axes.texts if t.get_text().startswith("M")] == []
    assert len(many.marks("o")) == 9
    size = [x.axes.containers[0][0].get_markersize() for x in (few, many)]
    assert size[0] > size[1]
    assert len(many.axes.containers[0][1]) == 0


def test_a_claim_stands_where_it_was_made_in_the_colour_of_its_revision(seen):
    """An open diamond with its name."""
    assert seen.marks("D") == [(9.0, 400.0, WHITE)]
    assert seen.word("C1").get_color() == MIDDLE
    assert 7.5 < seen.box("C1")[0] < seen.box("C1")[2] < 9.0


def test_where_a_rotor_is_held_back_stands_a_line(seen):
    """With its name at the top; none for a rotor that never is."""
    (upright,) = [x for x in seen.axes.lines if list(x.get_xdata()) == [11.0, 11.0]]
    assert list(upright.get_ydata()) == [0, 1]
    assert upright.get_zorder() < 1
    _, _, right, top = seen.box("r2 held back")
    assert right < 11.0
    assert 0.9 * seen.axes.get_ylim()[1] < top <= seen.axes.get_ylim()[1]
    assert [t for t in seen.axes.texts if t.get_text() == "r1 held back"] == []


def test_each_curve_is_named_at_its_end(seen):
    """In its colour, above it; nothing over anything else."""
    for name, end, colour in (("r1", 450.0, MIDDLE), ("r2", 750.0, DARK)):
        left, bottom, right, _ = seen.box(name)
        assert 13 < left < right <= 15
        assert end * 0.9 < bottom < end * 1.1
        assert seen.word(name).get_color() == colour
    assert on_the_sheet(seen) == []
    assert over_each_other(seen) == []


def test_the_winds_in_words():
    """How often it blows harder than 8 m/s: exp(-pi/4 (8/5)^2) of a Rayleigh wind of 5 m/s."""
    assert machine._told_winds(BLOWS) == "It blows harder than 8 m/s for 13 % of the time."


def test_the_power_in_words():
    """At 6 and 10 m/s as far as the curve reaches, with the doubt at the last, and where it is held back."""
    assert machine._told("r2", curve(1000.0, limit=14.0)) == (
        "Of r2: 300 W at 6 m/s and 500 W at 10 m/s (the doubt of the inputs allows 480 to 520 W there), held back from "
        "14 m/s on."
    )
    short = CurveWithBand(np.arange(9.0), 50 * np.arange(9.0), np.array([]), np.array([]), np.array([]), np.inf)
    assert machine._told("r1", short) == "Of r1: 300 W at 6 m/s."
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
    assert machine._told_readings(list(READ)) == [
        "M1: 90 to 120 W read in 4 to 6 m/s.", "M2: 190 to 210 W read in 9 to 9.5 m/s.",
    ]  # fmt: skip
    assert len(machine._told_readings(list(READ * 4))) == 8
    assert machine._told_readings([*READ * 4, READ[0]]) == ["9 readings, 90 to 210 W in 4 to 9.5 m/s."]


def test_what_is_told_stands_beside_the_curve(machines):
    """Nothing without a solved machine; curve, readings and claims of each."""
    told = machine.power((machines["r1"], machines["r2"]))
    assert told.title == "Power by wind, r1 and r2"
    parts = [
        "Computed power into battery and dump load by wind at the rotor. Of r1: ",
        " Of r2: ",
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
    return {ref: Seen(balance_of.torques(m)) for ref, m in machines.items()}


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
    winds = balance_of._winds(found)
    half = seen.axes.get_xlim()[1] / 2
    for wind, curve in zip(winds, rotor_curves(seen), strict=True):
        expected = torque.rotor_torque(found.machine, np.array([wind]), np.array([half / RPM]))[0, 0]
        if expected > 0:
            assert at(curve, half) == pytest.approx(expected, rel=0.02, abs=0.02)
        top = curve[np.nanargmax(curve[:, 1])]
        left, bottom, right, _ = seen.box(f"{wind:g} m/s")
        assert left <= top[0] + 1e-6
        assert right > top[0]
        assert top[1] < bottom < top[1] + 0.1 * seen.axes.get_ylim()[1]
        # Nothing below nought.
        assert np.nanmin(curve[:, 1]) > -0.03 * seen.axes.get_ylim()[1]
    assert (seen.axes.get_xlim()[0], seen.axes.get_ylim()[0]) == (0, 0)
    assert seen.axes.get_xlabel() == "speed of the rotor, rpm   ● charges  ○ does not"
    assert seen.axes.get_title(loc="left") == "torque of the rotor in each wind, of the generator, Nm"
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
    told = balance_of.torques(machines["r2"])
    parts = told.alt.split(". ", 2)
    assert parts[0] == "Torque of the rotor of r2 against that of its generator, by speed"
    rpm = charging_speed(found) * RPM
    assert float(parts[1].removeprefix("Charging begins at ").removesuffix(" rpm")) == pytest.approx(rpm, rel=0.05)
    assert parts[2].startswith("In 4 m/s it turns at ")
    assert parts[2].count("; in ") == len(balance_of._winds(found)) - 1
    assert told.title == "Torque by speed, r2"


# --- where the watts go -----------------------------------------------------------------------------------------------

WINDS = np.array([4.0, 7.0, 10.0])
#: Shares of the wind's watts in three winds; four layers get nothing, and the winding too little to be told of.
SHARES = {
    "stored": np.array([0.1, 0.25, 0.12]), "dump": np.zeros(3), "inside_battery": np.array([0.01, 0.02, 0.03]),
    "cable": np.array([0.01, 0.02, 0.05]), "diodes": np.array([0.02, 0.02, 0.02]),
    "copper": np.array([0.001, 0.001, 0.002]), "drag": np.array([0.02, 0.01, 0.004]),
    "converter": np.zeros(3), "field": np.zeros(3), "drive": np.zeros(3),
}  # fmt: skip


def going(ref, carried, part=1.0):
    """Where the watts of one machine go."""
    shares = {k: part * v for k, v in SHARES.items()}
    return machine.Going(ref, np.array(carried), shares | {"left": 1 - sum(shares.values())})


BOTH = [going("r1", [50.0, 280.0, 810.0], 0.2), going("r2", [150.0, 800.0, 2300.0])]


@pytest.fixture(scope="module")
def shared():
    """Where the watts of the wind go in two machines, of made-up shares."""
    return Seen(Picture("watts", "", "", partial(machine._watts, WINDS, BOTH)))


def test_bars_are_stacked_up_to_what_is_caught(shared):
    """Each layer on the one below, as high as its share of the wind's watts; both machines in each wind."""
    for n, g in enumerate(BOTH):
        for i in range(3):
            x = i + (n - 0.5) * 0.45
            stack = sorted((b, h) for left, b, w, h in shared.bars if left < x < left + w and h < 60)
            shares = [100 * g.shares[k][i] for k in ("stored", "inside_battery", "cable", "diodes", "drag")]
            assert [h for _, h in stack] == pytest.approx(shares)
            assert [b for b, _ in stack] == pytest.approx(np.cumsum([0, *shares[:-1]]))


def test_no_rotor_catches_more_than_betz(shared):
    """A dashed line at 16/27 of the wind, and every bar below it."""
    (line,) = [x for x in shared.axes.lines if list(x.get_xdata()) == [0, 1]]
    assert list(line.get_ydata()) == pytest.approx([1600 / 27] * 2)
    assert line.get_linestyle() == "--"
    assert shared.axes.get_ylim()[1] > 1600 / 27


def test_the_watts_of_the_wind_stand_above_their_bars(shared):
    """And below them the revision and the wind; layers explained in words below."""
    for text, x in {"50 W": 0, "150 W": 0, "280 W": 1, "800 W": 1, "810 W": 2, "2300 W": 2}.items():
        left, bottom, right, _ = shared.box(text)
        assert (left + right) / 2 == pytest.approx(x, abs=0.26)
        assert bottom > shared.axes.get_ylim()[1]
    assert [t.get_text() for t in shared.axes.get_xticklabels()] == ["4", "7", "10"]
    assert shared.axes.get_xlabel() == "wind at the rotor, m/s"
    assert [t.get_text() for t in shared.axes.texts].count("r1") == 3
    assert [t.get_text() for t in shared.axes.get_legend().get_texts()] == [
        "into the battery", "inside the battery", "cable", "diodes", "bearings and iron", "not caught by the blades",
    ]  # fmt: skip
    looks = [(p.get_facecolor(), p.get_hatch()) for p in shared.axes.get_legend().get_patches()]
    assert len(set(looks)) == len(looks)
    assert on_the_sheet(shared) == []
    assert over_each_other(shared) == []


def test_one_machine_has_the_whole_width():
    """Nothing cut off."""
    one = Seen(Picture("watts", "", "", partial(machine._watts, WINDS, BOTH[1:])))
    assert on_the_sheet(one) == []
    assert over_each_other(one) == []


def test_the_watts_in_words(machines):
    """Of both machines; the shares of each wind add up to the wind, as far as they are told."""
    told = machine.watts((machines["r1"], machines["r2"]))
    assert told.name == "watts-r2"
    parts = re.findall(r"(r\d) in (\d+) m/s, of \d+ W: ([^.]*(?:\.\d[^.]*)*)\.", told.alt)
    assert [(ref, wind) for ref, wind, _ in parts] == [("r1", "7"), ("r1", "10"), ("r2", "7"), ("r2", "10")]
    for *_, said in parts:
        assert 97 <= sum(float(x) for x in re.findall(r" ([\d.]+) %", said)) <= 101
    # 0.5 x 1.24 kg/m3 x pi x 1.1^2 m2 x 7^3, about 800 W: the wind's, not the rotor's.
    assert "r2 in 7 m/s, of 800 W" in told.alt


def test_watts_of_nothing_are_not_drawn(machines):
    """A machine that cannot be solved has no watts."""
    assert machine.watts(()) is None
