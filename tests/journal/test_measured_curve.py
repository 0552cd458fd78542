"""What a logger wrote, taken in from a file and told: curve, wind, and what counts it elsewhere."""

import json
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from calc.curve.base import MinuteMeans
from calc.curve.uncertainty import MOUNTED, Instruments
from calc.finding import Status
from journal.book import store
from journal.logger.means import logger_files
from journal.logger.stated import read_stated
from journal.review import at_site, logged, logged_wind, verdict

#: Days of the made-up record, and rows a minute apart.
DAYS = 6


def winds(days=DAYS):
    """Winds from calm to 13 m/s that wander slowly, the same in every run."""
    at = np.arange(days * 1440)
    slow = np.sin(2 * np.pi * at / 1440.0 / 2.3) + 0.6 * np.sin(2 * np.pi * at / 397.0) + 0.3 * np.sin(at / 7.0)
    return np.clip(5.5 + 3.5 * slow, 0.2, 13.2)


def write(path, V, P, more=None):
    """A file of a logger with a row a minute, from 1 June 2026, UTC."""
    heads = ["time", "wind m/s", "power W", *(more or {})]
    began = datetime(2026, 6, 1, tzinfo=UTC)
    columns = [V, P, *(more or {}).values()]
    rows = [
        ",".join([f"{began + timedelta(minutes=i):%Y-%m-%d %H:%M:%S}", *(f"{c[i]:.2f}" for c in columns)])
        for i in range(len(V))
    ]
    path.write_text("\n".join([",".join(heads), *rows]) + "\n", encoding="utf-8")
    return path


@pytest.fixture
def given(story, run, tmp_path):
    """Take a file in on r3, a draft made from r2: its computed power times a share, and more columns."""
    assert run("revise", "r2", "--because", "to be measured").code == 0

    def take(share=1.0, days=DAYS, said=("wind m/s=wind m/s at 8 m",), **more):
        V = winds(days)
        with store.journal(story) as s:
            solved = verdict.opened(s, _revision(s, "r3")).system.solved
        P = share * np.interp(V, solved.winds, solved.operation.running.charge)
        file = write(tmp_path / "logger.csv", V, P, more)
        done = run("logger", str(file), "--on", "r3", "--zone", "UTC", *(w for s in said for w in ("--map", s)))
        assert done.code == 0, done.err
        return V, P

    return take


def _revision(s, ref):
    from journal.book.records import find_revision

    return find_revision(s, ref)


def told(run, *words):
    """The JSON of a command."""
    done = run(*words, "--json")
    assert done.code in (0, 3), done.err
    return json.loads(done.out)


def test_the_demos_logger_gives_a_curve(story, run):
    """Screen, JSON and numbers tell the same; the screen opens short."""
    done = run("curve", "r2")
    assert done.code == 0, done.err
    data = told(run, "curve", "r2")
    share = data["shape"]["share"]
    assert f"brings {100 * share:.0f} %" in done.out
    assert 0.5 < share < 1.3
    assert len(done.out.splitlines()) <= 44
    for line in ("What the data cannot tell", "kWh a year if it never stood still", "Longest calm", "4 m/s "):
        assert line in done.out
    assert sum(b["minutes"] for b in data["bins"]) <= 30 * 1440


def test_what_was_burnt_is_told_first(story, run):
    """Most of June went into the dump load, below the voltage of the sheet: ahead of how the curve looks."""
    whole = " ".join(run("curve", "r2").out.split())
    burnt = told(run, "curve", "r2")["burnt"]
    rows = [line.split(",") for line in (story.parent / "june.csv").read_text(encoding="utf-8").splitlines()[1:]]
    rows = [[float(cell) for cell in r[1:]] for r in rows if len(r) == 8 and r[0][:2] == "20"]
    share = sum(r[3] for r in rows) / sum(r[1] for r in rows)
    assert burnt["share"] == pytest.approx(share, abs=0.01)
    acting = sorted(r[2] for r in rows if r[3] > 0.5 * r[1] > 0)
    assert burnt["volts"] == pytest.approx(acting[len(acting) // 2], abs=0.1)
    says = f"{100 * share:.0f} % of what came was burnt in the dump load"
    assert whole.index(says) < whole.index("It brings")
    assert "the sheet says 28.8 V: check its setting" in whole
    assert says in " ".join(run("compare", "r1", "r2").out.split())


def test_without_a_dump_load_on_record_nothing_was_burnt(given, run):
    """No word of it; and little of it is no headline."""
    V, P = given()
    assert told(run, "curve", "r3")["burnt"] is None
    assert "burnt" not in run("curve", "r3").out
    assert len(V) == len(P)


def test_little_that_was_burnt_comes_no_first(given, run):
    """A tenth of what came: among the facts alone."""
    V = winds()
    given(**{"dump W": np.where(np.arange(len(V)) % 20 == 0, 5.0, 0.0)})
    assert 0 < told(run, "curve", "r3")["burnt"]["share"] < 0.1
    assert "was burnt" not in run("curve", "r3").out


def test_compare_tells_the_power_that_the_curve_tells(story, run):
    """In the same wind the same number; and a bin that holds too little is not filled from its neighbours."""
    bins = {b["bin"]: b for b in told(run, "curve", "r2")["bins"]}
    for row in told(run, "compare", "r1", "r2")["curves"]:
        assert row["new"] == pytest.approx(bins[row["wind"]]["power"])


def test_compare_and_check_tell_one_thing(story, run):
    """What may come down, how far a piece flies, how fast, how many volts: as `check` has them."""
    out = " ".join(run("compare", "r1", "r2").out.split())
    assert "it may come down in a storm: strength of the mast's tube in a storm" in out
    for words in (
        "marginal, 460 V can kill; enclosed by your",
        "danger, 360 m marginal, 230 m",
        "it holds the",
        "marginal, 55 % of",
    ):
        assert words in out, words
    assert re.search(r"\d+ times as much, at least \d+ times", out)
    # Its cell is folded.
    assert "danger, more " in out
    assert "360 m/s" not in out
    every = " ".join(run("check", "r2", "--all").out.split())
    assert "460 V" in every
    assert "450 V" not in every


def test_the_forum_tells_what_was_logged(story, run):
    """In its headline, its table, and what is not settled."""
    text = (story.parent / "forum.md").read_text(encoding="utf-8")
    assert "gives 250 W in 9.5 m/s (logger)" in text.splitlines()[0]
    assert "| most read | 3.6 W in a force 5 | 250 W in 9.5 m/s (logger) |" in text
    assert "I first thought: magnets too weak" in text
    assert "ran away and threw a blade" in text.split("## r1")[0]
    unsettled = next(line for line in text.splitlines() if line.startswith("**Not settled:**"))
    for words in ("may come down in a storm", "On my word alone: 24 things", "78 % was burnt in the dump load"):
        assert words in unsettled


def test_the_numbers_to_reckon_with_are_asked_for(story, run):
    """No scale and shape at first; all of them with --all, and in the JSON."""
    assert "Weibull" not in run("wind").out
    assert "galebook wind r2 --all" in run("wind").out
    assert "Weibull" in run("wind", "--all").out
    assert told(run, "wind")["weibull"]


def test_what_was_odd_is_told_in_plain_words(story, run):
    """Nobody need know what a mean is made of."""
    out = " ".join(run("show", "G1").out.split())
    assert "logger restarted at line" in out
    assert "in no mean" not in out
    assert "1 spike, left out" in out


def test_what_was_put_in_comes_out(given, run):
    """Half of the computed power: every bin has half of it, the shape is a share of a half, `check` asks about it."""
    given(share=0.5)
    data = told(run, "curve", "r3")
    for b in data["bins"]:
        if b["counts"] and b["computed"] > 5.0:
            assert b["power"] == pytest.approx(0.5 * b["computed"], rel=0.05, abs=1.0)
    assert data["shape"]["form"] == "a share of it"
    assert data["shape"]["amount"] == pytest.approx(0.5, rel=0.03)
    found = next(f for f in told(run, "check", "r3")["findings"] if f["rule"] == "measured.curve")
    assert found["value"] == pytest.approx(50.0, rel=0.03)
    assert found["of_reading"]


def test_what_is_missing_is_said(given, run):
    """No direction, no air, no volts, a row a minute, bins with too little: each is told in a sentence."""
    given()
    cannot = " ".join(told(run, "curve", "r3")["cannot_tell"])
    for words in (
        "Where the wind came from",
        "No air temperature or pressure",
        "voltage was not recorded",
        "row a minute",
    ):
        assert words in cannot


def _by_instruments(data, wind, power):
    """Doubt of each bin that instruments add, by the formula of the standard, worked out from the told bins.

    The place of the cup has 2 % of the wind on top.
    """
    V = np.array([b["wind"] for b in data["bins"]])
    wind, power = np.hypot(wind / 3**0.5, 0.02 * V), tuple(p / 3**0.5 for p in power)
    P = np.array([b["power"] for b in data["bins"]])
    steep = np.abs(np.diff(P, prepend=0.0) / np.diff(V, prepend=V[0] - 0.5))
    air = np.hypot(P * 8.0 / 288.15, P * 1000.0 / 101325.0)
    return np.sqrt((steep * wind) ** 2 + (power[0] * P) ** 2 + power[1] ** 2 + air**2)


def test_a_typed_doubt_counts_in_place_of_the_assumed(given, run):
    """Limits of 0.2 m/s, and of 3 % and 5 W: each over the root of three, in every bin."""
    given(said=("wind m/s=wind m/s at 8 m +-0.2", "power W=power +- 3 % + 5 W"))
    data = told(run, "curve", "r3")
    assert data["instruments"]["typed"] == {"wind": "0.2 m/s", "power": "3 % + 5 W"}
    found = np.array([b["doubt_b"] for b in data["bins"]])
    assert found == pytest.approx(_by_instruments(data, 0.2, (0.03, 5.0)), rel=0.02)
    shown = " ".join(run("curve", "r3").out.split())
    assert "Of the instruments: wind ± 0.2 m/s, as typed; power ± 3 % + 5 W, as typed;" in shown
    assert "for the place of the cup ± 3.5 % of the wind, assumed." in shown


def test_rules_reckon_with_the_typed_doubt(given, story):
    """The points that they see have that of the curve, and another than without it."""
    given(said=("wind m/s=wind m/s at 8 m +-0.5",))
    with store.journal(story) as s:
        of = _revision(s, "r3")
        found = logged.curve(s, "r3")
        seen = at_site.points(s, of, found.sheet, logger_files(s, of))
    assert [p.doubt for p in seen] == pytest.approx(found.doubt.total[found.bins.enough])
    assert found.typed == {"wind": "0.5 m/s"}
    # What is typed of the cup says nothing of where it stands.
    assert found.instruments.wind_share == MOUNTED


def test_without_a_word_the_doubt_is_assumed_and_said_to_be(given, run):
    """3 % and 0.15 m/s are standard deviations, limits the root of three more."""
    given()
    assert told(run, "curve", "r3")["instruments"]["typed"] == {}
    assert "wind ± 5.2 % + 0.26 m/s, assumed; power ± 3.5 % + 1.7 W, assumed" in " ".join(
        run("curve", "r3").out.split()
    )


def test_volts_and_amperes_give_their_power_their_doubt():
    """One per cent each are 1.4 % together; 0.1 A at 24 V are 2.4 W; each over the root of three."""
    means = MinuteMeans(np.arange(3), np.ones(3, int), *(np.full(3, np.nan) for _ in range(12)))
    means = replace(means, volts=np.full(3, 24.0))
    stated = {"volts": read_stated("1 %", "volts", "V"), "amps": read_stated("1 % + 0.1", "amps", "A")}
    by, typed = at_site.as_stated(Instruments(), means, stated)
    assert (by.power_share, by.power_least) == pytest.approx((0.01 * 2**0.5 / 3**0.5, 2.4 / 3**0.5))
    assert by.wind_share == Instruments().wind_share
    assert typed == {"power": "1 % of the volts, 1 % + 0.1 A of the amperes"}


def test_minutes_that_stood_in_good_wind_are_counted(given, run):
    """A rotor that stood: the rows stay in the curve, and it is said that they pull it down."""
    V = winds()
    rpm = np.where(V > 3.0, 40.0 * V, 0.0)
    strong = np.flatnonzero(V > 10.0)[:120]
    rpm[strong] = 0.0
    given(rpm=rpm)
    data = told(run, "curve", "r3")
    assert data["happened"]["stopped"] == 120
    assert any("stood in good wind" in line for line in data["cannot_tell"])


def test_without_a_logger_there_is_no_curve_and_no_wind(story, run):
    """One clear line, and what to do."""
    done = run("curve", "r1")
    assert (done.code, done.out) == (1, "")
    assert "No logger wrote of r1" in done.err
    assert "galebook logger FILE" in done.err


def test_wind_and_power_that_never_meet_make_no_curve(given, run, tmp_path):
    """A logger of winds alone on a revision."""
    V = winds()
    file = tmp_path / "wind.csv"
    began = datetime(2026, 6, 1, tzinfo=UTC)
    rows = [f"{began + timedelta(minutes=i):%Y-%m-%d %H:%M:%S},{v:.2f}" for i, v in enumerate(V)]
    file.write_text("\n".join(["time,wind m/s", *rows]) + "\n", encoding="utf-8")
    assert run("logger", str(file), "--on", "r1", "--zone", "UTC").code == 0
    done = run("curve", "r1")
    assert done.code == 1
    assert "galebook wind" in done.err


@pytest.mark.parametrize(("name", "code"), [("c.svg", 0), ("c.png", 0), ("c.pdf", 2)])
def test_the_picture_goes_into_a_file(story, run, tmp_path, name, code):
    """Of two kinds; another name is refused, and nothing is written."""
    to = tmp_path / name
    done = run("curve", "r2", "--to", str(to))
    assert done.code == code
    assert to.exists() is (code == 0)
    if name == "c.svg":
        assert "Measured by a logger on r2" in to.read_text(encoding="utf-8")


def test_a_file_of_somebody_else_is_not_replaced(story, run, tmp_path):
    """Unless it is said."""
    to = tmp_path / "c.svg"
    to.write_text("mine", encoding="utf-8")
    assert run("curve", "r2", "--to", str(to)).code == 1
    assert to.read_text(encoding="utf-8") == "mine"
    assert run("curve", "r2", "--to", str(to), "--over").code == 0


def test_two_measured_curves_stand_beside_each_other(given, run):
    """`compare`: the same winds, each revision's own power."""
    given(share=0.5)
    rows = {row["wind"]: row for row in told(run, "compare", "r2", "r3")["curves"]}
    assert rows[6.0]["old"] is not None
    assert rows[6.0]["new"] is not None
    assert "Measured by loggers" in run("compare", "r2", "r3").out


def test_an_expected_power_is_settled_by_the_logger(story, run):
    """Came true, did not, and what the curve does not settle."""
    with store.journal(story) as s:
        points = {round(p.wind): p for p in verdict.opened(s, _revision(s, "r2")).curve}
    for above, result in ((0.3, "came true"), (3.0, "did not")):
        value = above * points[8].power
        run("decide", "Which blades?", "--on", "r2")
        made = run("list", "decisions")
        ref = [w for w in made.out.split() if w.startswith("D")][-1]
        assert run("option", ref, "long").code == 0, made.out
        done = run("choose", ref, "1", "--because", "they turn", "--expect", "power enough", "--expect-reading",
                   f"charge.power above {value:.0f} W", "--in", "8 m/s")  # fmt: skip
        assert done.code == 0, done.err
        done = run("outcome", ref, "--by", "logger")
        assert done.code == 0, done.err
        assert result in done.err + done.out


def _written(tmp_path, name, winds_, minute=0):
    """A logger's file of wind alone, a row a minute."""
    began = datetime(2026, 8, 1, tzinfo=UTC) + timedelta(minutes=minute)
    lines = [f"{began + timedelta(minutes=i):%Y-%m-%d %H:%M:%S},{v:.2f}" for i, v in enumerate(winds_)]
    (tmp_path / name).write_text("\n".join(["time,wind (m/s)", *lines, ""]), encoding="utf-8")
    return str(tmp_path / name)


def test_of_several_loggers_the_wind_is_that_of_the_one_that_wrote_most(story, run, tmp_path):
    """A minute at the place does not stand before a month on the machine; each is still to be had by name."""
    assert run("logger", _written(tmp_path, "one.csv", [5.0, 6.0]), "--on", "site", "--zone", "UTC").code == 0
    data = told(run, "wind")
    assert (data["revision"], data["others"]) == ("r2", ["site (2 min)"])
    assert "Other wind was logged, and is not in it: site" in run("wind").out
    assert told(run, "wind", "site")["revision"] is None


def test_a_cup_that_never_turned_tells_no_wind(path, run, tmp_path):
    """No endless energy in no wind."""
    assert run("logger", _written(tmp_path, "still.csv", np.zeros(2000)), "--on", "site", "--zone", "UTC").code == 0
    done = run("wind")
    assert done.code == 1
    assert "The cup of the place never turned: no minute reached 0.5 m/s" in done.err


def test_the_wind_alone(story, run):
    """Mean, distribution and how far to trust it; screen and JSON."""
    done = run("wind")
    assert done.code == 0, done.err
    data = told(run, "wind")
    assert f"{data['mean']:.3g} m/s" in done.out
    assert "not corrected for the long term" in done.out
    assert sum(step["share"] for step in data["spread"]) == pytest.approx(1.0)
    corrected = told(run, "wind", "--station", "5 m/s", "--then", "4 m/s")
    assert corrected["long_term"] == pytest.approx(1.25 * data["mean"])
    assert corrected["doubt"] < data["doubt"]


def test_a_vane_tells_from_where_the_wind_came(story, run, tmp_path):
    """A third of the time from the south-west at 6 m/s, else from the east at 3: 72 to 18 parts of energy."""
    began = datetime(2026, 5, 1, tzinfo=UTC)
    rows_ = [f"{began + timedelta(minutes=i):%Y-%m-%dT%H:%MZ},{3 if i % 3 else 6}.{i % 2},{90 if i % 3 else 225}"
             for i in range(3000)]  # fmt: skip
    file = tmp_path / "vane.csv"
    file.write_text("\n".join(["time,wind (m/s),wind direction (deg)", *rows_, ""]))
    assert run("logger", str(file), "--on", "site").code == 0
    data = told(run, "wind", "site")
    by = {s["from"]: s for s in data["sectors"]}
    assert (by["SW"]["share"], by["E"]["share"]) == pytest.approx((1 / 3, 2 / 3))
    assert by["SW"]["mean"] == pytest.approx(6.05)
    assert by["SW"]["energy"] == pytest.approx(0.8, abs=0.01)
    assert by["N"]["mean"] is None
    text = " ".join(run("wind", "site").out.split())
    assert re.search(r"E 67 %, 3(\.1)? m/s; SW 33 %, 6(\.1)? m/s", text)
    assert "from SW, 80 % of it" in text
    assert "Of its energy" in " ".join(run("wind", "site", "--all").out.split())


def test_without_a_vane_nothing_is_told_of_where_from(story, run):
    """The demo's logger has none."""
    assert told(run, "wind", "r2")["sectors"] is None
    assert "Most energy" not in run("wind", "r2").out


def test_a_station_tells_by_two_means(story, run):
    """One alone is refused."""
    done = run("wind", "--station", "5 m/s")
    assert done.code == 2
    assert "--then" in done.err


def test_what_was_measured_goes_onto_the_sheet(story, run):
    """Of the next draft: mean, height and spread, as measured, with its doubt; `power` then takes it."""
    assert run("revise", "r2", "--because", "measured wind").code == 0
    done = run("wind", "r2", "--use", "--on", "r3")
    assert done.code == 0, done.err
    mean = told(run, "wind", "r2")["mean"]
    with store.journal(story) as s:
        rows = verdict.opened(s, _revision(s, "r3")).values
    assert rows["site.mean_wind"].provenance == "measured"
    assert rows["site.mean_wind"].number == pytest.approx(mean, rel=5e-3)
    assert rows["site.mean_wind"].low < 0.8 * mean
    assert rows["site.wind_height"].number == pytest.approx(8.0)


def test_a_week_cannot_stand_for_a_year(given, run):
    """Refused, and the sheet stays as it was."""
    given()
    done = run("wind", "r3", "--use")
    assert done.code == 1
    assert "cannot stand for a year" in done.err


def test_a_curve_that_ended_before_a_failure_is_no_evidence_of_it(story, run):
    """The gale of January came before the logger of June on r2; what was logged until then would not count."""
    from journal.book.records import find_record
    from journal.book.tables import Failure
    from journal.review import why

    with store.journal(story) as s:
        failure = find_record(s, "F1", Failure)
        values = verdict.opened(s, _revision(s, "r2"))
        failure.revision_id, failure.attempt_id = values_key(s), None
        circumstances = why._circumstances(s, failure, values, (), None, None)[0]
        assert "logger" not in circumstances.earlier
        failure.happened = "2026-09-01"
        assert "logger" in why._circumstances(s, failure, values, (), None, None)[0].earlier


def values_key(s):
    """The key of r2."""
    return _revision(s, "r2").key


def test_the_curve_is_worked_out_once(story, monkeypatch):
    """The second session takes what was kept, for reading minutes takes longer than judging them."""
    with store.journal(story) as s:
        first = verdict.opened(s, _revision(s, "r2")).curve
    monkeypatch.setattr("journal.review.at_site.minute_means", None)
    with store.journal(story) as s:
        assert verdict.opened(s, _revision(s, "r2")).curve == first
    assert len(first) > 10


def test_what_was_kept_and_is_gone_stops_no_check(story, run, anew):
    """`check` tells of everything else, `curve` says what is missing."""
    from journal.book.places import files_folder

    for file in files_folder(story).glob("??/*"):
        file.unlink()
    for words in (["r2"], ["r2", "--all"]):
        done = run("check", *words)
        assert done.code in (0, 3)
        assert "What was kept of G1 june.csv is missing" in " ".join(done.out.split())
    assert "G1 june.csv is missing" in told(run, "check", "r2")["lost"]
    done = run("curve", "r2")
    assert (done.code, done.out) == (1, "")
    assert "is missing" in done.err


def test_nothing_of_the_services_prints(story, capsys):
    """They give values; screens tell them."""
    with store.journal(story) as s:
        found = logged.curve(s, "r2")
        logged_wind.wind(s, "r2")
    assert capsys.readouterr().out == ""
    assert found.shape is not None
    assert Status.OK in {f.status for f in verdict_of(story)}


def verdict_of(story):
    """Findings of r2's measured curve."""
    with store.journal(story) as s:
        return [f for f in verdict.check(s, "r2").findings if f.rule == "measured.curve"]
