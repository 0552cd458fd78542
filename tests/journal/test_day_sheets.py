"""The sheets to hold in the hand: for raising day, and before a storm."""

import json
import re

import pytest

SHEETS = ("raising", "storm")


def _page(run, sheet):
    done = run("writeup", "--for", sheet)
    assert done.code == 0, done.err
    return done.out


def _set(run, *values):
    for value in values:
        done = run("set", *value.split("=", 1), "--on", "r2", "--correct", "measured again")
        assert done.code == 0, done.err


@pytest.mark.parametrize("sheet", SHEETS)
def test_where_nothing_is_known_it_says_so(path, run, sheet):
    """An empty sheet gives no number, and no comfort."""
    page = _page(run, sheet)
    assert re.search(r"Nothing (is on the sheet|stands) yet", page)
    run("set", "rotor.diameter", "2 m")
    page = _page(run, sheet)
    assert "not known" in page
    assert "inside this circle" in page


def test_the_raising_sheet_of_the_demo(story, run):
    """Numbers of this revision, who does what, signals, what nobody does."""
    page = _page(run, "raising")
    for words in ("For r2", "8 m, 2.2 m", "64 m from the foot", "Pull in the rope",
                  "shown to hold", "Leads", "**stop**", "Stand under it",
                  "Where we are: Windle Fold", "comes with the wind"):  # fmt: skip
        assert words in page, words
    assert "Do not raise it today" not in page


def test_a_power_line_within_reach_stops_it(story, run):
    """First thing on the page, with both distances."""
    _set(run, "mast.line_distance=9 m")
    page = _page(run, "raising")
    assert "**Do not raise it today.** First:" in page
    assert "An overhead line is 9 m away, and it reaches 11 m as it falls." in page
    assert page.index("Do not raise it today") < page.index("## The numbers of the day")


def test_a_line_that_is_only_a_neighbour_stands_on_the_raising_sheet(story, run):
    """The nearer of the two, and all that stands in the circle, by name."""
    run("set", "neighbour.play.kind", "play area or garden where people stay", "--on", "r2", "--correct", "seen")
    _set(run, "neighbour.line.distance=9 m", "neighbour.play.distance=6 m")
    page = _page(run, "raising")
    assert "An overhead line is 9 m away, and it reaches 11 m as it falls." in page
    assert re.search(r"within that there is: play 6 m, line 9 m", page)
    assert "| Overhead line | 9 m from the foot |" in page
    _set(run, "neighbour.line.distance=12 m", "neighbour.play.distance=60 m")
    page = _page(run, "raising")
    assert "Do not raise it today" not in page
    assert "12 m from the foot, nearer than one and a half heights" in page


def test_a_mast_of_which_nothing_is_known_is_not_raised(run, path):
    """What can kill while it goes up stands ahead of the numbers, as what forbids raising it."""
    run("set", "rotor.diameter", "2.4 m")
    for value in ("mast.height=12 m", "mast.kind=guyed tilt-up"):
        run("set", *value.split("=", 1))
    page = _page(run, "raising")
    (line,) = (row for row in page.splitlines() if row.startswith("**Do not raise it before this is known:**"))
    for title in ("where the guys stand", "whether the base stands", "how the machine is raised"):
        assert title in line
    assert page.index(line) < page.index("## The numbers of the day")


def test_a_mast_that_fails_is_named_before_the_numbers(story, run):
    """Not only what is a danger: the demo's tube has a little less reserve than the least."""
    page, told = _page(run, "raising"), run("check", "r2", "--json").out
    failing = [f["rule"] for f in json.loads(told)["findings"] if f["status"] == "fail"]
    assert "mast.tube-strength" in failing
    weak = "**Do not raise it as it is, it may come down:** strength of the mast's tube in a storm."
    assert page.index(weak) < page.index("## The numbers of the day")
    _set(run, "mast.tube_wall=5 mm", "mast.tube_diameter=60.3 mm")
    assert "may come down" not in _page(run, "raising")


def test_a_roof_has_its_own_line(story, run):
    """Nobody walks what does not bear."""
    assert "walks the roof" not in _page(run, "raising")
    _set(run, "mast.kind=on a roof or gable")
    assert "Nobody walks the roof where it does not bear" in _page(run, "raising")
    assert "It cannot be lowered in a hurry" in _page(run, "storm")


def test_the_storm_sheet_is_of_what_stands(story, run):
    """A draft is on paper only; and dangers that are open come before anything else."""
    run("revise", "--because", "another try")
    page = _page(run, "storm")
    assert "For r2" in page
    assert "from 11 m/s on" in page
    assert "without its load the rotor runs faster" in page
    assert "lower it while the air is still calm" in page
    assert "For r3" in _page(run, "raising")
    _set(run, "rotor.overspeed=none")
    page = _page(run, "storm")
    assert "it can run away" in page
    assert page.index("**Dangers still open:**") < page.index("## What it can and cannot do")
