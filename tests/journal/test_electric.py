"""The diagram, and the battery through years of wind, from the journal's side."""

from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from calc.finding import Status
from calc.physics.storage_time import Outcome
from journal.book import sheet, store
from journal.book.records import find_revision
from journal.errors import BadInput, Refused
from journal.review import electric, verdict
from journal.review.hourly_winds import WindFileTyped, file_winds
from journal.review.wind_rows import read_winds
from journal.screens.years import show_years


@pytest.fixture
def winds(tmp_path):
    """Write a file of winds."""

    def write(text):
        file = tmp_path / "winds.csv"
        file.write_text(text, encoding="utf-8")
        return file

    return write


def hours(*values):
    """Rows of a file, as many as a day has hours unless more are given."""
    return "\n".join(str(v) for v in (values if len(values) > 1 else values * 24)) + "\n"


# 36 km/h and 22.37 mph are 10 m/s by definition (1 mile = 1609.344 m).
@pytest.mark.parametrize(
    ("head", "value"),
    [
        ("", 10),
        ("wind\n", 10),
        ("wind m/s\n", 10),
        ("Wind (km/h)\n", 36),
        ("wind_speed [mph]\n", 22.3694),
        ("wind, m/s", None),
    ],
)
def test_unit_of_the_head(winds, head, value):
    """Named with or without brackets; a comma there parts columns, so the second has no wind."""
    if value is None:
        head, value = "when;wind m/s;gust\n", "noon;10;14"
    assert read_winds(winds(head + hours(value))) == pytest.approx(np.full(24, 10.0), rel=1e-5)


@pytest.mark.parametrize(
    ("rows", "value"),
    [
        ("wind\n" + "3,5\n" * 24, 3.5),
        ("time;wind\n" + "".join(f"{h}:00;3,5\n" for h in range(24)), 3.5),
        ("time\twind km/h\n" + "".join(f"{h}:00\t12,6\n" for h in range(24)), 3.5),
        ("wind\n" + '"3,5"\n' * 24, 3.5),
        ("wind\n" + "3.5\n" * 24, 3.5),
    ],
)
def test_a_decimal_comma_is_read_as_one(winds, rows, value):
    """Wherever it can be told from the comma between two columns."""
    assert read_winds(winds(rows)) == pytest.approx(np.full(24, value))


@pytest.mark.parametrize(
    "rows",
    [
        "time,wind\n" + "0:00,3,5\n" * 24,
        "wind,time\n" + "3.5,0:00\n" * 23 + "3,5,0:00\n",
        "wind\n" + "3,5,1\n" * 24,
        "wind\n" + "1,234.5\n" * 24,
        "3,5\n" * 24,
    ],
)
def test_a_comma_that_may_mean_two_things_is_refused(winds, rows):
    """A wind is never cut to a whole number in silence."""
    with pytest.raises(BadInput, match=r"winds\.csv, line \d+: (\d columns|'\d|no column)"):
        read_winds(winds(rows))


def test_a_file_that_never_ends_is_refused():
    """Before it fills the memory."""
    with pytest.raises(BadInput, match="longer than"):
        read_winds(Path("/dev/zero"))


def test_days_become_hours(winds):
    """Each hour has the mean of its day."""
    got = read_winds(winds("wind\n3\n5\n"), daily=True)
    assert got.tolist() == [3.0] * 24 + [5.0] * 24


@pytest.mark.parametrize(
    ("text", "phrase"),
    [
        ("", "is empty"),
        ("speed,gust\n3,4\n", "line 1: no column is called wind"),
        ("breeze\n3\n", "line 1: 'breeze' is neither"),
        ("wind furlong\n3\n", "line 1: unknown unit"),
        ("wind\n3\nfour\n", "line 3: 'four' is not a number"),
        ("wind,gust\n3,4\n,4\n", "line 3: the wind is missing"),
        ("wind\n3\n\n-1\n", "line 4: -1 is no wind"),
        ("wind\nnan\n", "line 2: nan is no wind"),
        ("wind\n3\n75\n", "line 3: 75 m/s is no mean wind"),
        ("wind\n3\n4\n", "2 hours, which is not whole days"),
        ("wind\n", "0 hours"),
    ],
)
def test_what_cannot_be_read_names_its_line(winds, text, phrase):
    """One line, with the place."""
    with pytest.raises(BadInput, match=r"winds\.csv") as refused:
        read_winds(winds(text))
    assert phrase in str(refused.value)


def test_a_file_that_is_not_there(tmp_path):
    """Says so."""
    with pytest.raises(BadInput, match="cannot be read"):
        read_winds(tmp_path / "none.csv")


def test_diagram_of_the_demo(story):
    """What is stated, and a question mark for what is not."""
    with store.journal(story) as s:
        text = "\n".join(electric.diagram(s, "r2").lines)
    assert "Brake switch, shorts the leads ]  ahead of the rectifier, all leads, 63 A" in text
    assert "breaks ?, 0.12 m from the battery" in text


def test_years_of_the_demo(story):
    """r2 carries the lights; r1 leaves the shed dark for most of the year. Shares and days add up."""
    with store.journal(story) as s:
        small, big = electric.years(s, "r1", 3), electric.years(s, "r2", 3)
    assert small.met.middle < 0.5 < 0.99 < big.met.middle
    assert small.dark.middle > 5 * 86400.0
    assert big.dumped.middle > 0.0 == small.dumped.middle
    for found in (small, big):
        assert sum(found.depth) == pytest.approx(365.0)
        assert found.met.low <= found.met.middle <= found.met.high
        assert len(found.met_by_year) == found.years == 3


def test_calm_brings_nothing(story, winds):
    """In a measured calm only the full battery at the beginning meets some of the demand, then it stays dark."""
    file = winds(hours(*[0] * 24 * 60))
    with store.journal(story) as s:
        found = electric.years(s, "r2", series=file)
    assert found.generated.middle == 0.0
    assert 0.0 < found.met.middle < 1.0
    assert found.depth[-1] > 0.0
    assert found.weather == "winds.csv"


def test_height_of_the_measurement(story, winds):
    """Measured at 10 m over farmland with hedges the rotor at 8 m has ln(8/0.1)/ln(10/0.1) = 0.9516 of it."""
    file = winds(hours(6))
    with store.journal(story) as s:
        there = electric.years(s, "r2", series=file)
        below = electric.years(s, "r2", series=file, height="10 m")
    assert there.mean_wind == 6.0
    assert below.mean_wind == pytest.approx(6.0 * 0.9516, rel=1e-3)


@pytest.mark.parametrize(
    ("gone", "phrase"),
    [
        (["generator.emf_constant"], "generator.emf_constant"),
        (["mast.height"], "mast.height"),
        (
            [f"load.{name}.{what}" for name in ("lights", "pump") for what in ("power", "hours", "kind")]
            + ["load.pump.surge"],
            "loads",
        ),
        (["load.lights.hours"], "load.lights.hours"),
    ],
)
def test_what_is_missing_is_named(story, gone, phrase):
    """Of machine, site and loads."""
    with store.journal(story, write=True) as s:
        sheet.unset(s, find_revision(s, "r2"), gone, correction="to see")
        with pytest.raises(Refused, match=phrase):
            electric.years(s, "r2", 1)


def test_american_sizes_bring_american_practice(story):
    """An assumption, named with its reason in the findings that use it; a stated practice goes before."""
    with store.journal(story) as s:
        plain = verdict.check(s, "r2").by_key["wiring.ampacity", "cable.mast"]
        gauges = verdict.check(s, "r2", changes={"cable.inverter.area": "6 AWG"})
        stated = verdict.check(
            s,
            "r2",
            changes={"cable.inverter.area": "6 AWG", "site.wiring_practice": "IEC"},
        ).by_key["wiring.ampacity", "cable.mast"]
    found = gauges.by_key["wiring.ampacity", "cable.mast"]
    assert "By NEC practice" in found.more
    assert any("NEC (cable sizes were typed in AWG)" in a for a in found.assumptions)
    assert ("site.wiring_practice", "assumed") in {(i.path, i.provenance) for i in found.inputs}
    assert (found.limit, found.says) != (plain.limit, plain.says)
    assert (stated.limit, stated.says, stated.more) == (plain.limit, plain.says, plain.more)
    assert "NEC" not in plain.says + plain.more


def test_r2_has_few_unknowns(story):
    """The second sheet says nearly all; what it leaves open is real."""
    with store.journal(story) as s:
        found = verdict.check(s, "r2")
    assert [f.key for f in found.with_status(Status.UNKNOWN)] == [("protection.fuse", "cable.inverter")]
    assert not found.with_status(Status.DANGER)
    surge, sag = (found.by_key[f"inverter.{name}", "inverter"] for name in ("surge", "sag"))
    assert (surge.status, sag.status) == (Status.MARGINAL, Status.OK)


@pytest.mark.parametrize(("terminal", "seconds", "told"), [(True, 5.0, True), (True, 0.5, False), (False, 5.0, False)])
def test_progress_is_told_to_a_person_who_waits(monkeypatch, capsys, terminal, seconds, told):
    """On stderr, after a second, at a terminal; wiped at the end."""
    from journal.cli import electric as command

    clock = iter([0.0, seconds, seconds + 1.0])
    monkeypatch.setattr(command.sys.stderr, "isatty", lambda: terminal)
    monkeypatch.setattr(command.time, "monotonic", lambda: next(clock))
    tell = command._progress()
    assert (tell is not None) == terminal
    for share in (0.5, 1.0) if tell else ():
        tell(share)
    said = capsys.readouterr()
    assert said.out == ""
    assert ("50%" in said.err) == told


# --- the years by themselves ------------------------------------------------------------------------------------------

#: What a year leaves behind, by name, in SI: three whole years, and one of a hundred days.
YEARLY = ("generated", "demanded", "met", "charged", "drawn", "dumped", "refused", "unmet", "dark", "cycles")


def outcome(*days):
    """Years of so many days, in the first of which everything is 1, in the second 2, and so on."""
    n = np.arange(1.0, len(days) + 1)
    depth = np.zeros((len(days), 10))
    depth[:, 0], depth[:, 9] = [d - 1 for d in days], 1
    given = dict.fromkeys(YEARLY, n) | {"demanded": 10 * n, "met": n}
    return Outcome(**given, depth=depth, stored=np.zeros(2), lost=0 * n)


@pytest.mark.parametrize(("days", "whole"), [((365, 365, 366, 100), 3), ((365, 365), 2), ((100,), 1), ((366, 364), 1)])
def test_a_year_that_is_not_whole_is_left_out_unless_it_is_alone(days, whole):
    """It would stand beside whole ones as if it were."""
    found = electric._summary(None, "made up", 5.0, outcome(*days))
    assert found.years == len(found.met_by_year) == len(found.dark_by_year) == whole
    assert found.dark_by_year == list(range(1, whole + 1))
    assert (found.weather, found.mean_wind) == ("made up", 5.0)
    assert sum(found.depth) == pytest.approx(365.0)
    assert found.depth[9] == pytest.approx(365.0 * whole / sum(days[:whole]))


def test_results_of_the_years_are_ranges():
    """A tenth, half and nine tenths of eleven years lie below: those of the second, sixth and tenth."""
    found = electric._summary(None, "made up", 5.0, outcome(*[365] * 11))
    for name in ("dark", "unmet", "generated", "dumped", "refused", "cycles"):
        assert getattr(found, name) == electric.Range(2.0, 6.0, 10.0)
    assert found.demanded == electric.Range(20.0, 60.0, 100.0)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"count": 0}, "0 years.*1 to 200"), ({"count": 201}, "201 years"),
        ({"typed": WindFileTyped(daily=True)}, "No file of winds"),
        ({"typed": WindFileTyped(zone="UTC")}, "No file of winds"),
        ({"height": "10 m"}, "No file of winds"),
    ],
)  # fmt: skip
def test_years_that_cannot_be_taken(s, given, words):
    """Before anything is computed."""
    with pytest.raises(BadInput, match=words):
        electric.years(s, None, **given)


def test_twenty_years_unless_another_count_is_asked_for():
    """As the guide says."""
    import inspect

    given = inspect.signature(electric.years).parameters
    assert (given["count"].default, electric.YEARS, electric.MOST_YEARS) == (None, 20, 200)


def test_the_first_line_that_is_too_windy_is_named(winds):
    """The strongest row, counted from the head."""
    with pytest.raises(BadInput, match=r"line 4: 80 m/s is no mean wind"):
        read_winds(winds("wind\n3\n75\n80\n"))
    with pytest.raises(BadInput, match=r"line 2: 80 m/s is no mean wind"):
        read_winds(winds("3\n80\n75\n"))


def timed(count, step=1.0, gone=(), head="time,wind", form="%Y-%m-%d %H:%M:%S", wind=lambda h: 4 + h % 5):
    """A file with times: so many rows so many hours apart from 1 January on, but for some."""
    moments = (datetime(2025, 1, 1) + timedelta(hours=i * step) for i in range(count))
    kept = [f"{m:{form}},{wind(int(i * step))}" for i, m in enumerate(moments) if i not in gone]
    return "\n".join([head, *kept, ""])


def test_times_say_which_hour_a_row_is_of(winds):
    """Half-hourly rows make hours; the hours of a gap are those of the nearest day, and said."""
    found = file_winds(None, winds(timed(960, 0.5)))
    assert found.winds.tolist() == [4 + h % 5 for h in range(480)]
    assert not [n for n in found.notes if "missing" in n]
    gap = file_winds(None, winds(timed(480, gone=range(100, 110), wind=lambda h: h % 24)))
    assert gap.winds.tolist() == [h % 24 for h in range(480)]
    assert gap.notes[1] == (
        "10 of 480 hours are missing, the longest gap 10 h from 2025-01-05 04:00; "
        "the same hours of the nearest days stand in."
    )


def test_any_heads_and_units_of_a_logger_do(winds):
    """Semicolons, decimal commas, km/h, days first; packed; other columns are no matter."""
    rows = [(f"{1 + h // 24:02d}.01.2025 {h % 24:02d}:00", f"{3.6 * (3 + h % 4):.1f}") for h in range(72)]
    text = "Zeit;Leistung [W];Wind [km/h]\n" + "".join(f"{t};-5;{v.replace('.', ',')}\n" for t, v in rows)
    assert file_winds(None, winds(text)).winds == pytest.approx([3 + h % 4 for h in range(72)])


def test_a_day_begins_by_the_clock_of_its_zone(winds):
    """Midnight in Europe/Paris is 23:00 UTC, summer or winter; the hours left at both ends are said."""
    text = timed(72, form="%Y-%m-%dT%H:%MZ", wind=lambda h: h % 24)
    assert file_winds(None, winds(text)).winds[0] == 0
    found = file_winds(None, winds(text), WindFileTyped(zone="Europe/Paris"))
    assert (found.winds[0], found.winds.size) == (23, 48)
    assert "24 hours of days that are not whole are left out." in found.notes


@pytest.mark.parametrize(
    ("text", "said", "words"),
    [
        (
            timed(480, gone=range(100, 200)),
            {},
            "100 of 480 hours are missing, the longest gap 4.2 days",
        ),
        (timed(480, form="%Y-%m-%d"), {}, "460 of 480 rows of winds.csv stand at the time of the row before"),
        (timed(10), {}, "10 hours of wind and no whole day"),
        (timed(480, head="time,gust"), {}, "No column of winds.csv is known to be the wind"),
        (timed(48), {"daily": True}, "are 1 h apart, no days"),
        ("wind\n" + "5\n" * 24, {"zone": "UTC"}, "has no times"),
        (
            "hour,wind\n" + "".join(f"{h},5\n" for h in range(49) if h != 30),
            {},
            "line 32: the hour '31'",
        ),
        ("elapsed s,wind\n" + "".join(f"{60 * m},5\n" for m in range(1500)), {}, "counts from zero"),
    ],
)
def test_times_that_cannot_be_used_are_refused(winds, text, said, words):
    """Each with what was wrong and what would be accepted."""
    with pytest.raises(BadInput, match=words) as refused:
        file_winds(None, winds(text), WindFileTyped(**said))
    assert refused.value.accepted


def test_hours_that_are_counted_may_turn_at_midnight(winds):
    """0 to 23, 1 to 24 or on and on: rows as before."""
    for of in (lambda h: h % 24, lambda h: h % 24 + 1, lambda h: h):
        text = "month,day,hour,wind\n" + "".join(f"1,{1 + h // 24},{of(h)},{h % 7}\n" for h in range(72))
        assert file_winds(None, winds(text)).winds.tolist() == [h % 7 for h in range(72)]


def test_rows_of_days_with_their_date_need_no_word(winds):
    """Each hour has the mean of its day, and a short series says what it lacks."""
    found = file_winds(None, winds(timed(3, 24, form="%d.%m.%Y", wind=lambda h: h // 24)))
    assert found.winds.tolist() == [0.0] * 24 + [1.0] * 24 + [2.0] * 24
    assert any("mean of its day" in n for n in found.notes)
    assert any("other seasons" in n for n in found.notes)


def test_what_is_known_of_the_winds_is_told(story, winds, capsys):
    """Below the first line, and as data."""
    with store.journal(story) as s:
        found = electric.years(s, "r2", series=winds(timed(480, gone=range(100, 110))))
        show_years(found, False)
    assert "10 of 480 hours are missing" in " ".join(capsys.readouterr().out.split())
    assert found.weather == "winds.csv"


@pytest.mark.parametrize(("days", "said"), [(90, "these 90 days"), (1, "that day")])
def test_less_than_a_year_is_not_told_as_a_year(story, winds, capsys, days, said):
    """Sums are those of the days; a year of the same wind brings so many times as much, and only it is judged."""
    hours = "wind\n" + "8\n" * 24
    with store.journal(story) as s:
        part = electric.years(s, "r2", series=winds(hours + "8\n" * 24 * (days - 1)))
        year = electric.years(s, "r2", series=winds(hours + "8\n" * 24 * 364))
        show_years(part, False)
    told = " ".join(capsys.readouterr().out.split())
    assert (part.days, year.days) == (days, None)
    assert year.generated.middle == pytest.approx(365 / days * part.generated.middle, rel=0.02)
    assert f"In {said}" in told
    assert f"{days} day" in told
    assert not any(w in told for w in ("1 year of wind", "In a year", "usual year", "In 8 of 10", "half would do"))
    assert part.conclusion.enough == "cannot tell"
    assert "half would do" in year.conclusion.says


def logged_year(run, winds, days=400, gone=range(0), height=" at 10 m"):
    """Hours of a logger at the place, of which some are missing: by `galebook logger`."""
    file = winds(timed(days * 24, gone=gone, head="time (UTC),wind (m/s)", wind=lambda h: 3 + h % 24 / 12))
    run("logger", str(file), "--on", "site", "--map", f"wind (m/s)=wind m/s{height}")


def test_a_logged_year_is_taken_itself(story, run, winds):
    """The newest 365 days, brought from 10 m to the rotor at 8 m: ln(8/0.1)/ln(10/0.1) = 0.9516 of it."""
    logged_year(run, winds, gone=range(5000, 5100))
    with store.journal(story) as s:
        found, made_up = electric.years(s, "r2"), electric.years(s, "r2", 1)
    assert found.weather == "as the logger of the place wrote it, 2025-02-05 to 2026-02-04"
    assert found.years == 1
    assert found.mean_wind == pytest.approx(0.9516 * (3 + 11.5 / 12), rel=1e-3)
    assert found.notes[0].startswith("100 of 8,760 hours are missing, the longest gap 4.2 days from 2025-07-28 08:00")
    assert "--years 20" in found.notes[-1]
    assert made_up.weather.startswith("made up from the sheet's mean")
    assert made_up.notes == ()


@pytest.mark.parametrize(
    ("how", "why"),
    [
        (
            {"days": 360},
            "The logger of the place has 360 days of wind; its hours are taken themselves from a whole year",
        ),
        ({"gone": range(4000, 5000)}, "with at most 10 % missing."),
        ({"height": ""}, "the height of their cup is not on record."),
        ({"height": " at 0.5 m"}, "follows no known rule."),
    ],
)
def test_logged_hours_that_do_not_do_are_said_to_be_left(story, run, winds, how, why):
    """And weather is made up as without them."""
    logged_year(run, winds, **how)
    with store.journal(story) as s:
        found, made_up = electric.years(s, "r2"), electric.years(s, "r2", electric.YEARS)
    assert why in found.notes[0]
    assert (found.met, found.mean_wind) == (made_up.met, made_up.mean_wind)


def test_a_height_in_the_head_or_said_of_the_column_counts(story, winds):
    """From 10 m to the rotor at 8 m as with --height: 0.9516 of it; --height stands above both."""
    plain, named = timed(48, wind=lambda h: 6), timed(48, head="time,wind_10m (m/s)", wind=lambda h: 6)
    with store.journal(story) as s:
        said = electric.years(s, "r2", series=winds(plain), typed=WindFileTyped(["wind=wind m/s at 10 m"]))
        found = electric.years(s, "r2", series=winds(named))
        typed = electric.years(s, "r2", series=winds(named), height="8 m")
    assert (said.mean_wind, found.mean_wind) == pytest.approx((6.0 * 0.9516,) * 2, rel=1e-3)
    assert typed.mean_wind == pytest.approx(6.0)
    assert "Brought from 10 m, where it was measured, to the rotor." in found.notes


def test_an_hour_that_a_clock_shows_twice_is_two(winds):
    """Hourly rows by a clock that is put back: no hour is missing, and none is a mean of two."""
    began = datetime(2025, 10, 25, tzinfo=ZoneInfo("UTC"))
    moments = [(began + timedelta(hours=h)).astimezone(ZoneInfo("Europe/Dublin")) for h in range(-1, 71)]
    rows = [f"{m:%Y-%m-%d %H:%M},{i % 24}" for i, m in enumerate(moments)]
    found = file_winds(None, winds("\n".join(["time,wind", *rows, ""])), WindFileTyped(zone="Europe/Dublin"))
    # Days are those of a clock that stays: midnight UTC is the second row.
    assert found.winds.tolist() == [(h + 1) % 24 for h in range(48)]
    assert not [n for n in found.notes if "missing" in n]


def test_a_unit_in_the_rows_is_asked_into_the_head(winds):
    """Rows without times know one unit."""
    with pytest.raises(BadInput, match=r"'3.0 kn' is not a number.*Name the unit in the head alone: wind kn"):
        file_winds(None, winds("wind\n" + "3.0 kn\n" * 24))
