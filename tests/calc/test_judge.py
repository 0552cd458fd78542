"""How mechanisms are weighed and told apart, held on small ones made up here, in the winding and the battery."""

from __future__ import annotations

import math

import numpy as np
import pytest

from calc.finding import COMMON_PRACTICE
from calc.machine.catalogue import Sheet
from calc.machine.design import build_design
from calc.machine.inputs import Unknown
from calc.machine.system import System
from calc.mechanisms.base import Circumstances, Correction, Indication, Mechanism, Telling
from calc.mechanisms.judge import FailedMachine, as_designed, judge_mechanisms, separating_measurement
from calc.physics import generator
from tests.outside.turning_points import AMPS, CHARGED, SPEED, UP, WINDING, WORKED

LOADED, OPEN = ("battery", "battery and loads"), ("nothing connected",)
SEEN = ("inverter cuts out", "fuse blown")


def mechanism(name="one", speaks=0.0, symptoms=("fuse blown",), **parts):
    """One that says what it is told to: arrays to the samples, their middle to the sheet as it stands."""

    def indicate(case):
        sign = {"speaks": speaks, **parts.get("sign", {})}
        if case.x.drawn is None:
            sign = {k: float(np.median(v)) if isinstance(v, np.ndarray) else v for k, v in sign.items()}
        return Indication(says=lambda: f"{name}.", **sign)

    given = {"tells": (), "leaves": (), "corrections": (), "indicate": indicate} | parts
    given.pop("sign", None)
    return Mechanism(f"made-up.{name}", name, symptoms, sources=(COMMON_PRACTICE,), **given)


def bench(changes=None, *, doubts=None, n=200, **c):
    """The worked machine, failed in 8 m/s with its battery."""
    values = {k: v for k, v in (WORKED | (changes or {})).items() if v is not None}
    given = {"wind_low": 8.0, "wind_high": 8.0, "load": "battery", "symptoms": SEEN} | c
    return FailedMachine(System(build_design(values), {} if doubts is None else doubts, n), Circumstances(**given))


def read(label, quantity, value, half=0.0, load="battery", wind=(8.0, 8.0)):
    """One reading as values of a sheet."""
    parts = {"quantity": quantity, "value": value, "low": value - half, "high": value + half, "load": load}
    if wind:
        parts |= {"wind_low": wind[0], "wind_high": wind[1]}
    return {f"measured.{label}.{k}": v for k, v in parts.items()}


@pytest.mark.parametrize(
    ("supports", "contradicts", "verdict"),
    [
        (79, 0, "cannot tell"),
        (81, 0, "supported"),
        (0, 79, "cannot tell"),
        (0, 81, "contradicted"),
        (50, 50, "cannot tell"),
    ],
)
def test_four_fifths_of_the_ways_must_agree(supports, contradicts, verdict):
    """Before the numbers are said to support or contradict; what is silent counts for neither."""
    speaks = np.array([0.6] * supports + [-0.4] * contradicts + [0.0] * (100 - supports - contradicts))
    (row,) = judge_mechanisms(bench(), [mechanism(speaks=speaks)])
    assert (row.verdict, row.supports, row.contradicts) == (verdict, supports / 100, contradicts / 100)
    assert row.strength == pytest.approx(0.006 * supports - 0.004 * contradicts)


def test_the_likeliest_stand_first():
    """By verdict, then by how much of what was seen they explain, then by what is known at all, then by strength."""
    unknown = mechanism("unknown", symptoms=SEEN, indicate=lambda case: Unknown("nobody knows"))
    rows = judge_mechanisms(bench(), [
        mechanism("against", -0.5), mechanism("weak", 0.3), mechanism("strong", 0.9), mechanism("both", 0.2, SEEN),
        unknown, mechanism("open", 0.0), mechanism("wide open", 0.0, SEEN), mechanism("elsewhere", 1.0, ()),
        mechanism("not here", 1.0, applies=lambda x: False),
    ])  # fmt: skip
    assert [r.title for r in rows] == [
        "both", "strong", "weak", "elsewhere", "wide open", "unknown", "open", "against",
    ]  # fmt: skip
    assert [r.explains for r in rows[:2]] == [SEEN, ("fuse blown",)]


def test_what_was_judged_is_shown_with_the_range_of_its_doubts():
    """In the unit of the sign: nine tenths of the samples between the ends."""
    spread = np.linspace(0.10, 0.30, 201)
    (row,) = judge_mechanisms(
        bench(), [mechanism(sign={"value": spread, "limit": 0.5, "unit": "%", "what": "Share"}, speaks=1.0)]
    )
    assert (row.low, row.high) == (pytest.approx(11.0), pytest.approx(29.0))
    assert (row.limit, row.unit, row.what) == (50.0, "%", "Share")


def test_what_has_no_end_has_no_range():
    """A wind that never comes is not a number."""
    (row,) = judge_mechanisms(bench(), [mechanism(sign={"value": math.inf, "limit": 5.0, "unit": "m/s"}, speaks=1.0)])
    assert (row.value, row.limit, row.low, row.high) == (None, 5.0, None, None)


def test_corrections_name_what_they_would_change():
    """After the words, where they change anything on the sheet."""
    ways = (Correction("a larger one", (Sheet.rotor.diameter, Sheet.mast.height)), Correction("patience"))
    (row,) = judge_mechanisms(bench(), [mechanism(corrections=ways, look="Look at it.")])
    assert row.corrections == ("a larger one (rotor.diameter, mast.height)", "patience")
    assert (row.look, row.sources, row.missing) == (
        "Look at it.",
        ("Common practice, no source (common practice)",),
        (),
    )


def test_what_the_sheet_lacks_is_told():
    """By meaning and name; or the reason as it is given."""
    lacking = mechanism(indicate=lambda case: Unknown("", (Sheet.generator.cogging_torque,)))
    (row,) = judge_mechanisms(bench(), [lacking])
    assert row.says.startswith("The sheet does not say ")
    assert row.says.endswith(" (generator.cogging_torque).")
    assert (row.missing, row.verdict) == (("generator.cogging_torque",), "cannot tell")
    (row,) = judge_mechanisms(bench(), [mechanism(indicate=lambda case: Unknown("Nobody looked"))])
    assert (row.says, row.missing) == ("Nobody looked.", ())


def test_a_measurement_is_told_with_its_instrument_and_what_speaks_for_what():
    """What has to be connected stands with it."""
    tells = (
        Telling("cable.drop", "much", "little", LOADED), Telling("generator.open_voltage", "low", "high", OPEN),
        Telling("blade.mass", "heavy", "light"), Telling("charge.power", "more", "less", ("battery", "dump load")),
    )  # fmt: skip
    (row,) = judge_mechanisms(bench(), [mechanism(tells=tells)])
    assert row.tells == (
        "Voltage lost in the cable, battery connected (multimeter): for it, much; against it, little",
        "Generator voltage with nothing connected, nothing connected (multimeter): for it, low; against it, high",
        "Mass of one blade (kitchen scale): for it, heavy; against it, light",
        "Power into the battery, battery or dump load (clamp meter): for it, more; against it, less",
    )


# The winding has 1.58 ohm on the sheet; the mechanism would have it at 2 to 3 ohm.
THICK = Telling("generator.resistance", "more", "less", (), lambda case: (2.0, 3.0))


@pytest.mark.parametrize(
    ("value", "half", "leans"),
    [(2.5, 0.1, "for"), (1.95, 0.06, "for"), (1.95, 0.04, "against"), (3.05, 0.06, "for"), (3.05, 0.04, "against"),
     (WINDING, 0.01, "against"), (2.2, 0.65, "neither")],
)  # fmt: skip
def test_a_reading_leans_by_which_range_it_fits(value, half, leans):
    """For, where it fits the mechanism and not the sound machine; neither, where it fits both."""
    (row,) = judge_mechanisms(bench(read("M1", "generator.resistance", value, half)), [mechanism(tells=(THICK,))])
    (one,) = row.evidence
    assert (one.label, one.leans) == ("M1", leans)
    assert "ohm was read" in one.says
    assert "2 ohm to 3 ohm if it were so" in one.says
    assert one.says.endswith("about 1.6 ohm if not.")


def test_without_an_expectation_a_reading_leans_nowhere():
    """It is only set beside what the sound machine would show."""
    bare = Telling("generator.resistance", "more", "less")
    (row,) = judge_mechanisms(bench(read("M1", "generator.resistance", 2.5)), [mechanism(tells=(bare,))])
    assert [e.leans for e in row.evidence] == ["neither"]
    assert "if it were so" not in row.evidence[0].says


def test_a_range_that_is_none_is_no_expectation():
    """Least above greatest: nothing could be read that would speak for it."""
    empty = Telling("generator.resistance", "more", "less", (), lambda case: (3.0, 2.0))
    (row,) = judge_mechanisms(bench(read("M1", "generator.resistance", 2.5)), [mechanism(tells=(empty,))])
    assert [e.leans for e in row.evidence] == ["neither"]


@pytest.mark.parametrize(
    ("values", "verdict"),
    [((2.5,), "supported"), ((1.6,), "contradicted"), ((2.5, 1.6), "cannot tell"), ((), "cannot tell")],
)
def test_where_the_sheet_tells_nothing_readings_may(values, verdict):
    """As long as they agree with each other."""
    readings = {}
    for i, value in enumerate(values, start=1):
        readings |= read(f"M{i}", "generator.resistance", value)
    (row,) = judge_mechanisms(
        bench(readings), [mechanism(tells=(THICK,), indicate=lambda case: Unknown("nobody knows"))]
    )
    assert row.verdict == verdict


def test_only_readings_of_afterwards_count_for_what_it_left_behind():
    """And those of before still do for anything else."""
    left = Telling("generator.resistance", "more", "less", (), lambda case: (2.0, 3.0), since=True)
    both = read("M1", "generator.resistance", 2.5) | read("M2", "generator.resistance", 2.6)
    rows = [judge_mechanisms(bench(both, earlier=("M1",)), [mechanism(tells=(t,))])[0] for t in (left, THICK)]
    assert [[e.label for e in row.evidence] for row in rows] == [["M2"], ["M1", "M2"]]


@pytest.mark.parametrize(
    ("wind", "load", "counts"),
    [((7.0, 8.0), "battery", True), ((8.0, 9.0), "battery", True), ((7.0, 7.9), "battery", False),
     ((8.1, 9.0), "battery", False), (None, "battery", True), (None, "dump load", False)],
)  # fmt: skip
def test_readings_that_move_with_the_wind_must_be_of_a_wind_like_it(wind, load, counts):
    """8 m/s must lie within their limits; where it was not read, a connected battery is enough."""
    drop = Telling("cable.drop", "much", "little", (), lambda case: (2.0, 3.0))
    doubts = {"generator.emf_constant": (0.999, 1.001)}
    (row,) = judge_mechanisms(
        bench(read("M1", "cable.drop", 2.5, load=load, wind=wind), doubts=doubts), [mechanism(tells=(drop,))]
    )
    assert len(row.evidence) == counts


# --- what a sound machine shows: the worked machine in 8 m/s ----------------------------------------------------------

DESIGNED = [
    ("generator.resistance", (), WINDING),
    ("generator.emf", (), 1.0),
    ("generator.open_voltage", OPEN, 64.0),
    ("rotor.speed", OPEN, 64.0),
    ("rotor.speed", LOADED, SPEED),
    ("charge.current", LOADED, AMPS),
    ("charge.power", LOADED, CHARGED),
    ("cable.drop", LOADED, AMPS * 2 * 10.0 * 1.83e-3),
]


@pytest.mark.parametrize(("quantity", "loads", "value"), DESIGNED, ids=[f"{r[0]}-{len(r[1])}" for r in DESIGNED])
def test_a_sound_machine_shows_what_was_worked_out(quantity, loads, value):
    """64 rad/s free, 40 rad/s with the battery, and what follows from them."""
    assert as_designed(bench().plain, quantity, loads) == pytest.approx(value, rel=0.005)


def test_the_constant_is_that_behind_the_bridge():
    """1 V s/rad between leads are 1.35 there."""
    case = bench({"generator.emf_form": "between two leads, RMS"}).plain
    assert as_designed(case, "generator.emf") == pytest.approx(generator.MEAN_OVER_RMS["three-phase"])


@pytest.mark.parametrize(
    ("changes", "c", "quantity", "loads"),
    [({"generator.emf_constant": None}, {}, "generator.emf", ()), ({}, {"wind_low": None}, "charge.current", LOADED),
     ({}, {"load": "dump load"}, "charge.current", ()), ({"rotor.diameter": None}, {}, "rotor.speed", OPEN),
     ({}, {}, "battery.voltage", LOADED)],
)  # fmt: skip
def test_what_is_not_known_of_a_sound_machine_is_not_made_up(changes, c, quantity, loads):
    """Neither without the sheet, nor without the wind, nor for what it does not settle."""
    assert as_designed(bench(changes, **c).plain, quantity, loads) is None


# --- telling two apart ------------------------------------------------------------------------------------------------


def telling(quantity, low, high, loads=(), **more):
    """A measurement that would show a value between two limits."""
    return Telling(quantity, "so", "so", loads, lambda case: (low, high), **more)


def test_the_cheapest_measurement_that_separates_is_named():
    """A scale before a tachometer; both ranges, in the unit in which it is shown."""
    a = mechanism("a", tells=(telling("rotor.speed", 10.0, 20.0), telling("blade.mass", 1.0, 2.0)))
    b = mechanism("b", tells=(telling("rotor.speed", 30.0, 40.0), telling("blade.mass", 3.0, 4.0)))
    found = separating_measurement(bench(), a, b)
    assert (found.quantity, found.instrument, found.first, found.second) == (
        "blade.mass",
        "kitchen scale",
        "1 kg to 2 kg",
        "3 kg to 4 kg",
    )
    assert (found.load, found.caution) == ("", "")
    assert [w for w in ("1 kg to 2 kg", "“a”", "3 kg to 4 kg", "“b”", "kitchen scale") if w not in found.says] == []


def test_what_was_read_already_is_not_asked_for_again():
    """Nor what overlaps, nor what only one of them predicts."""
    a = mechanism("a", tells=(telling("blade.mass", 1.0, 2.0),))
    assert (
        separating_measurement(
            bench(read("M1", "blade.mass", 1.5)), a, mechanism("b", tells=(telling("blade.mass", 3.0, 4.0),))
        )
        is None
    )
    assert separating_measurement(bench(), a, mechanism("b", tells=(telling("blade.mass", 2.0, 4.0),))) is None
    assert separating_measurement(bench(), a, mechanism("b", tells=(telling("blade.mass", 0.5, 1.0),))) is None
    assert separating_measurement(bench(), a, mechanism("b")) is None


def test_one_that_leaves_a_thing_as_it_was_predicts_the_design():
    """1.58 ohm, against 2 to 3."""
    found = separating_measurement(
        bench(), mechanism("a", tells=(THICK,)), mechanism("b", leaves=("generator.resistance",))
    )
    assert (found.first, found.second) == ("2 ohm to 3 ohm", "about 1.6 ohm")


@pytest.mark.parametrize(
    ("low", "high", "quantity", "words"),
    [(50.0, 1e9, "charge.current", "50 A or more"), (0.0, 2.0, "cable.drop", "2 V or less"),
     (0.0, 0.5, "generator.emf", "19.1 rpm/V or more"), (0.5, 1.0, "generator.emf", "9.5 rpm/V to 19 rpm/V"),
     (20.0, 40.0, "rotor.speed", "190 rpm to 380 rpm")],
)  # fmt: skip
def test_a_range_is_told_from_small_to_great_as_shown(low, high, quantity, words):
    """Also where the unit shown is the other way up; without an end where there is none."""
    other = telling(quantity, 1e-3, 1e-3) if low > 1e-2 else telling(quantity, 900.0, 990.0)
    found = separating_measurement(
        bench(), mechanism("a", tells=(telling(quantity, low, high),)), mechanism("b", tells=(other,))
    )
    assert found.first.replace(" rpm/V to", " to").replace(" rpm to", " to") == words.replace(
        " rpm/V to", " to"
    ).replace(" rpm to", " to")


def test_reading_without_a_load_comes_with_a_caution():
    """Taking the load off a rotor lets it run away."""
    a, b = (mechanism(n, tells=(telling("rotor.speed", v, v + 1.0, OPEN),)) for n, v in (("a", 10.0), ("b", 30.0)))
    found = separating_measurement(bench(), a, b)
    assert found.load == "nothing connected"
    assert "runs away" in found.caution


def test_readings_of_before_count_unless_only_those_since_are_asked_for():
    """What the failure left behind shows only afterwards; how the machine was built showed before."""
    read_twice = read("M1", "cable.drop", 1.0) | read("M2", "cable.drop", 2.0)
    case = bench(read_twice, earlier=("M1",)).plain
    assert [r.label for r in case.readings("cable.drop")] == ["M1", "M2"]
    assert [r.label for r in case.readings("cable.drop", since=True)] == ["M2"]
    assert [r.label for r in case.readings("cable.drop", OPEN)] == []


def test_what_was_read_before_it_happened_is_asked_for_again():
    """The magnets may have weakened since; a reading of since is enough."""
    a = mechanism("a", tells=(telling("blade.mass", 1.0, 2.0),))
    b = mechanism("b", tells=(telling("blade.mass", 3.0, 4.0),))
    before = read("M1", "blade.mass", 1.5)
    assert separating_measurement(bench(before, earlier=("M1",)), a, b).quantity == "blade.mass"
    assert separating_measurement(bench(before), a, b) is None


# --- readings as a case sees them -------------------------------------------------------------------------------------


def test_a_reading_is_found_by_quantity_and_load():
    """Those of another quantity, under another load, or without a value are not; the oldest stands first."""
    some = (
        read("M1", "cable.drop", 1.0) | read("M2", "charge.current", 5.0)
        | read("M3", "cable.drop", 2.0, load="nothing connected") | read("M4", "cable.drop", 3.0)
        | read("M5", "cable.drop", 4.0)
    )  # fmt: skip
    del some["measured.M4.value"]
    some["measured.M5.load"] = None
    case = bench(some).plain
    assert [r.label for r in case.all_readings("cable.drop")] == ["M1", "M3", "M5"]
    assert [r.label for r in case.all_readings("cable.drop", LOADED)] == ["M1"]
    assert [r.label for r in case.all_readings("cable.drop", OPEN)] == ["M3"]
    assert [r.load for r in case.all_readings("cable.drop")] == ["battery", "nothing connected", "not known"]
    assert [r.value for r in case.all_readings("charge.current")] == [5.0]


def test_a_reading_without_limits_is_exact():
    """Its limits are the value itself, each by itself."""
    whole = read("M1", "cable.drop", 2.0, half=0.5)
    for gone, limits in (((), (1.5, 2.5)), (("low",), (2.0, 2.5)), (("high",), (1.5, 2.0)), (("low", "high"), (2, 2))):
        case = bench({name: v for name, v in whole.items() if name.rpartition(".")[2] not in gone}).plain
        (one,) = case.readings("cable.drop")
        assert (one.low, one.high, one.value) == (*limits, 2.0)


def test_samples_of_a_reading_lie_between_its_limits():
    """Evenly; the sheet itself keeps what was read."""
    case = bench(read("M1", "cable.drop", 2.0, half=0.5), doubts={})
    (many,), (one,) = case.many.readings("cable.drop"), case.plain.readings("cable.drop")
    assert one.value == 2.0
    assert many.value.shape == (200,)
    assert 1.5 <= many.value.min() < 1.51
    assert 2.49 < many.value.max() <= 2.5


def test_a_wind_read_at_another_height_is_carried_to_the_rotor():
    """Each of its ends; as it is where no height was written down, and none where none was read."""
    low = read("M1", "cable.drop", 2.0, wind=(5.0, 6.0)) | {"measured.M1.wind_height": 10.0}
    case = bench(low, wind_low=5.0, wind_high=6.5).plain
    (one,) = case.readings("cable.drop")
    assert (one.wind_low, one.wind_high) == (pytest.approx(5.0 * UP), pytest.approx(6.0 * UP))
    (same,) = bench(read("M1", "cable.drop", 2.0, wind=(5.0, 6.0)), wind_low=5.0, wind_high=6.0).plain.readings(
        "cable.drop"
    )
    assert (same.wind_low, same.wind_high) == (5.0, 6.0)
    (none,) = bench(read("M1", "cable.drop", 2.0, wind=None)).plain.readings("cable.drop")
    assert (none.wind_low, none.wind_high) == (None, None)


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (None, None, "in a wind that is not on record"),
        (5.0, None, "in a wind that is not on record"),
        (None, 5.0, "in a wind that is not on record"),
        (5.0, 5.04, "in 5 m/s at the rotor"),
        (5.0, 5.06, "in 5 to 5.1 m/s at the rotor"),
        (5.0, 7.0, "in 5 to 7 m/s at the rotor"),
    ],
)
def test_the_wind_of_a_case_in_words(low, high, words):
    """One number where both ends are as good as the same."""
    case = bench(wind_low=low, wind_high=high).plain
    assert case.wind_text() == words
    assert (case.wind is None) is (low is None or high is None)


def test_no_wind_is_as_good_as_a_breath():
    """Nothing is divided by a calm: 0.3 m/s, the end of Beaufort 0."""
    assert bench(wind_low=0.0, wind_high=0.0).plain.wind == 0.3
    assert bench(wind_low=0.0, wind_high=0.5).plain.wind == pytest.approx(0.4)


@pytest.mark.parametrize(
    ("load", "loaded"),
    [("battery", True), ("battery and loads", True), ("not known", True), ("nothing connected", False),
     ("dump load", False)],
)  # fmt: skip
def test_what_counts_as_loaded(load, loaded):
    """As far as is on record."""
    assert bench(load=load).plain.loaded is loaded
