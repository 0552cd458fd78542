"""The sentence in which power and years end, and what they show before it."""

import json
import math

import numpy as np
import pytest

from calc.finding import Status
from calc.machine.design import build_design
from calc.machine.system import KeyFigure, System
from calc.physics.calendar import YEAR
from journal.book import records, sheet, store
from journal.review import electric, enough, explore, verdict
from journal.review.enough import Enough
from tests.calc.test_system import SITED

KWH = 3.6e6
DAY = 86400.0

#: Energy of a year with its limits, what is asked for (kWh), how that stands, and in what words.
YEARS = [
    ((540, 240, 940), 81, Enough.HALF_WOULD_DO,
     "540 kWh a year come (240 to 940), 81 are asked for: 6.7 times what the loads need; half would do."),
    ((540, 100, 940), 81, Enough.ENOUGH,
     "540 kWh a year come (100 to 940), 81 are asked for: 6.7 times what the loads need, enough whatever the doubts."),
    ((100, 90, 115), 81, Enough.JUST,
     "100 kWh a year come (90 to 120), 81 are asked for: 120 % of what the loads need, with little to spare for calm "
     "weeks."),
    ((16, 1.2, 52), 44, Enough.OPEN,
     "16 kWh a year come (1.2 to 52), 44 are asked for: 36 % of what the loads need, likely too little, but the doubts "
     "reach from 2.7 to 120 %; galebook doubts tells what to find out."),
    ((100, 30, 180), 81, Enough.OPEN,
     "100 kWh a year come (30 to 180), 81 are asked for: 120 % of what the loads need, likely enough, but the doubts "
     "reach from 37 to 220 %; galebook doubts tells what to find out."),
    ((16, 10, 30), 44, Enough.TOO_LITTLE,
     "16 kWh a year come (10 to 30), 44 are asked for: 36 % of what the loads need, too little whatever the doubts."),
    ((16, math.nan, math.nan), 44, Enough.TOO_LITTLE,
     "16 kWh a year come, 44 are asked for: 36 % of what the loads need, too little."),
    ((0, math.nan, math.nan), 44, Enough.TOO_LITTLE,
     "0 kWh a year come, 44 are asked for: 0 % of what the loads need, too little."),
    ((180, math.nan, math.nan), 81, Enough.ENOUGH,
     "180 kWh a year come, 81 are asked for: 2.2 times what the loads need, enough."),
]  # fmt: skip


@pytest.mark.parametrize(("come", "asked", "stands", "says"), YEARS, ids=[f"{y[2]}-{y[0][0]}" for y in YEARS])
def test_a_year_is_set_beside_what_is_asked_for(come, asked, stands, says):
    """With its doubt: nothing is called enough that the doubts could make too little."""
    figure = KeyFigure("yearly_energy", "Energy in a year", *(v * KWH for v in come), "kWh")
    assert enough._beside(figure, asked * KWH) == enough.Conclusion(stands, says)


#: What a sheet lacks or has, how it stands then, and in what words.
WITHOUT = [
    ({"load": None}, Enough.NOTHING_ASKED, "a year come, and nothing is asked for: no load is on the sheet."),
    ({"load.lamp.hours": None}, Enough.CANNOT_TELL, "what is asked for cannot be told: missing load.lamp.hours."),
    ({"load.lamp.hours": 0.0}, Enough.CANNOT_TELL, "never run"),
    ({"site.mean_wind": None}, Enough.CANNOT_TELL, "What a year brings cannot be told: missing site.mean_wind."),
    ({"generator.emf_constant": None}, Enough.CANNOT_TELL, "cannot be told: missing generator.emf_constant."),
    ({"storage.chemistry": "none", "load.lamp.voltage": 24.0, "load.lamp.kind": "filament lamp"},
     Enough.NOT_STORED, "while it blows, and nothing is stored"),
]  # fmt: skip


def machine(**changes):
    """The worked machine of the tests of calc, with a lamp as its only load unless it has none."""
    values = dict(SITED)
    if "load" not in changes:
        values |= {"load.lamp.power": 20.0, "load.lamp.hours": 0.25}
    values |= {k: v for k, v in changes.items() if k != "load"}
    return System(build_design({k: v for k, v in values.items() if v is not None}))


@pytest.mark.parametrize(("changes", "stands", "says"), WITHOUT, ids=[str(w[0]) for w in WITHOUT])
def test_a_year_that_cannot_be_set_beside_anything_says_why(changes, stands, says):
    """Nothing asked for, nothing stored, or something missing, named."""
    found = enough.of_year(machine(**changes))
    assert found.enough is stands
    assert says in found.says


@pytest.mark.parametrize("hours", [0.5, 2, 6, 12, 20, 24])
def test_it_never_says_other_than_check(story, hours):
    """What check fails is not called enough, and what is called enough check finds within limits."""
    with store.journal(story) as s:
        changes = {"load.lights.power": "60 W", "load.lights.hours": f"{hours} h/day"}
        result = verdict.check(s, "r2", changes=changes)
        status = result.by_key["energy.year", "energy"].status
        found = enough.of_year(result.system)
    if status is Status.FAIL:
        assert found.enough in (Enough.TOO_LITTLE, Enough.OPEN)
        assert "too little" in found.says
    if found.enough in (Enough.ENOUGH, Enough.HALF_WOULD_DO):
        assert status is Status.OK
    if found.enough is Enough.TOO_LITTLE:
        assert status is Status.FAIL


def supply(come, met=1.0, met_low=None, dark=0.0):
    """Years in which 100 kWh are asked for."""
    return enough.Supply(come * KWH, 100 * KWH, met, met if met_low is None else met_low, dark * DAY)


#: Years as they are, the same with what was tried, how that stands, and the end of the sentence.
SUPPLIES = [
    (supply(50, 0.4), None, Enough.TOO_LITTLE, "50 % of what the loads need, too little; the loads get 40 % of it."),
    (supply(700), supply(350), Enough.HALF_WOULD_DO,
     "7 times what the loads need, and they never go short; half would do."),
    (supply(700), supply(350, 0.99, 0.97), Enough.ENOUGH,
     "they never go short; half would leave them short of 3 % in a poor year."),
    (supply(180), None, Enough.ENOUGH, "1.8 times what the loads need, and they never go short."),
    (supply(180, 0.95, 0.9, 6), supply(180), Enough.JUST,
     "yet 5 % of it does not come when it is wanted, up to 6 days in a row; twice the battery would bring them all."),
    (supply(180, 0.95, 0.9, 0.5), supply(180, 0.99, 0.96), Enough.JUST,
     "yet 5 % of it does not come when it is wanted; twice the battery would leave 4 % short in a poor year."),
    (supply(180, 0.95, 0.9), supply(180, 0.955, 0.91), Enough.JUST,
     "twice the battery would change little, so more has to come in the calm months, or less be asked for."),
    (supply(180, 1.0, 0.98), supply(180), Enough.JUST, "yet in a poor year 2 % of it does not come when it is wanted"),
]  # fmt: skip


@pytest.mark.parametrize(("as_it_is", "tried", "stands", "says"), SUPPLIES)
def test_years_end_in_what_was_tried(as_it_is, tried, stands, says):
    """Plenty is tried with half the machine, a lack in spite of enough with twice the battery."""
    found = enough.of_years(as_it_is, tried)
    assert found.enough is stands
    assert says in found.says
    assert found.says.startswith(f"{as_it_is.come / KWH:.0f} kWh come in a usual year, 100 are asked for: ")
    assert (enough.tries(as_it_is) is None) == (tried is None)


def test_half_the_machine_and_twice_the_battery_are_what_they_say():
    """Half the power in each wind gives half the energy; twice the battery is the sheet with twice the capacity."""
    system = machine()
    plain, half = system.through_years(2), system.through_years(2, power=0.5)
    np.testing.assert_allclose(half.generated, 0.5 * plain.generated, rtol=1e-9)
    hungry = {"load.lamp.hours": 1.0, "load.lamp.power": 30.0}
    twice = machine(**hungry).through_years(2, storage=2.0)
    bigger = machine(**hungry, **{"storage.capacity": 2 * SITED["storage.capacity"]}).through_years(2)
    np.testing.assert_allclose(twice.met, bigger.met, rtol=5e-3)
    assert np.all(twice.met > machine(**hungry).through_years(2).met)


def test_the_demo_ends_in_a_sentence(story, run):
    """The last line of both screens, and the same as data."""
    for command in ("power", "years"):
        told = json.loads(run(command, "r2", "--json").out)["conclusion"]
        assert " ".join(run(command, "r2").out.split()).endswith(told["says"])
        assert told["enough"] == "half would do"
        assert "81 are asked for" in told["says"]
    with store.journal(story) as s:
        found = electric.years(s, "r2", 3)
        asked = enough.battery_need(verdict.opened(s, records.find_revision(s, "r2")).system.inputs())
        assert found.demanded.middle == pytest.approx(float(asked.mean) * YEAR, rel=3e-3)
        assert explore.power(s, "r1").conclusion.enough in (Enough.OPEN, Enough.TOO_LITTLE)


def test_a_range_of_one_number_is_told_as_one(story, run):
    """In the years; others carry their unit once."""
    said = run("years", "r2", "--years", "3").out
    assert "100 %        100 %" in said
    assert "100 % to 100 %" not in said
    assert " and " not in next(row for row in said.splitlines() if row.startswith("Energy that came"))


def test_years_say_what_check_takes_off_for_stops(story, run):
    """One energy is not told as two: hour by hour it never stands still, in a year of check it does."""
    assert "check and power take off 10 % of the year" in " ".join(run("years", "r2", "--years", "1").out.split())
    with store.journal(story, write=True) as s:
        sheet.set_values(s, records.find_revision(s, "r2"), {"site.availability": {"typed": "100 %"}}, "to see")
    assert "take off" not in run("years", "r2", "--years", "1").out
