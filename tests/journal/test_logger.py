"""Files of data loggers: whatever their heads, marks and clocks; every fault counted; kept whole or not at all."""

import gzip
import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from journal.book import attachments, records, store
from journal.book.places import files_folder
from journal.book.tables import LoggerFile
from journal.demo import june
from journal.errors import BadInput, NotFound, Refused
from journal.logger import keeping, mapping, reading, text, times, ways
from journal.logger.channels import guess
from journal.logger.means import minute_means, stated_doubts
from journal.review import logged
from journal.screens import logger as screen
from tests.conftest import rows

HEADS = "time (UTC),wind (m/s),power (W),battery (V)"


def lines_of(count, step=10, wind=lambda i: 4 + (i % 7) * 0.25):
    """Rows of a plain logger: `count` of them, one every `step` seconds from noon on 1 June."""
    began = datetime(2026, 6, 1, 12)
    return [f"{began + timedelta(seconds=i * step)},{wind(i):.2f},{100 + i % 9},{26 + (i % 5) / 10:.1f}"
            for i in range(count)]  # fmt: skip


@pytest.fixture
def written(tmp_path):
    """Write a file of a logger; its place."""

    def write(text_, name="log.csv", encoding="utf-8"):
        file = tmp_path / name
        data = text_ if isinstance(text_, bytes) else text_.encode(encoding)
        file.write_bytes(gzip.compress(data) if name.endswith(".gz") else data)
        return file

    return write


@pytest.fixture
def run(run):
    """A command with places among its words."""
    return lambda *words: run(*map(str, words))


def read(file, folder=None, **said):
    """A file read as the command does, without a journal."""
    sample = text.sample_of(file)
    layout = text.layout_of(sample, file.name)
    columns = mapping.read_said(said.pop("mapped", []))
    meant = mapping.propose(layout, columns, None, said.pop("zone", None), said.pop("days", None))
    return reading.read(ways.way_of(file, sample, layout, meant, said.pop("began", ())), folder)


def table(*rows_):
    """Lines of a file."""
    return "\n".join([*rows_, ""])


def minutes(made):
    """Minutes of a file: time, and the means by channel."""
    return made.minutes.columns


PLAIN = [("2026-06-01 12:00:00", 5.0, 80.0), ("2026-06-01 12:00:30", 6.0, 120.0), ("2026-06-01 12:01:00", 7.0, 160.0)]
#: The same three rows as loggers write them: head, rows, what is said of them.
WRITTEN = {
    "commas": ("time,wind (m/s),power (W)", [f"{t},{w},{p}" for t, w, p in PLAIN], {}),
    "semicolons and decimal commas": (
        "Zeit;Wind [m/s];Leistung [W]", [f"{t};{w:.1f};{p:.1f}".replace(".", ",") for t, w, p in PLAIN], {}),
    "tabs, ISO with T and Z": (
        "timestamp\twind_ms\tP_W", [f"{t.replace(' ', 'T')}Z\t{w}\t{p}" for t, w, p in PLAIN], {}),
    "an offset": ("time|ws m/s|power W", [f"{t.replace(' ', 'T')}+02:00|{w}|{p}" for t, w, p in PLAIN], {"ahead": 2}),
    "day first": (
        "Datum;Uhrzeit;Wind (km/h);Leistung (kW)",
        [f"01.06.2026;{t[11:]};{w * 3.6:.2f};{p / 1e3:.3f}".replace(".", ",").replace("01,06,2026", "01.06.2026")
         for t, w, p in PLAIN], {}),
    "month first": ("date time,wind mph,watts", [f"06/01/2026 {t[11:]},{w / 0.44704:.6f},{p}" for t, w, p in PLAIN],
                    {"days": "month-first"}),
    "am and pm": ("time,wind (m/s),power (W)", [f"06/01/2026 {t[11:]} PM,{w},{p}" for t, w, p in PLAIN],
                  {"days": "month-first"}),
    "Unix seconds": (
        "unix,wind (m/s),power (W)", [f"{1780315200 + i * 30},{w},{p}" for i, (_, w, p) in enumerate(PLAIN)], {}),
    "Unix milliseconds": (
        "ts,wind (m/s),power (W)", [f"{(1780315200 + i * 30) * 1000},{w},{p}" for i, (_, w, p) in enumerate(PLAIN)],
        {}),
    "days of a spreadsheet": (
        "time,wind (m/s),power (W)",
        [f"{46174.5 + i * 30 / 86400:.8f},{w},{p}" for i, (_, w, p) in enumerate(PLAIN)], {}),
    "a clock from zero": ("millis,wind (m/s),power (W)", [f"{i * 30000},{w},{p}" for i, (_, w, p) in enumerate(PLAIN)],
                          {"began": ["2026-06-01 12:00"]}),
    "quotes": ('"time","wind (m/s)","power (W)"', [f'"{t}","{w}","{p}"' for t, w, p in PLAIN], {}),
    "quotes around decimal commas": (
        '"time","wind (m/s)","power (W)"', [f'"{t}","{w:.1f}","{p:.1f}"'.replace(".", ",") for t, w, p in PLAIN], {}),
    "spaces": ("date time wind_ms power_W", [f"{t}  {w}   {p}" for t, w, p in PLAIN], {}),
    "parts of seconds": ("time,wind (m/s),power (W)", [f"{t}.25,{w},{p}" for t, w, p in PLAIN], {}),
    "newest first": ("time,wind (m/s),power (W)", [f"{t},{w},{p}" for t, w, p in reversed(PLAIN)], {}),
    "names and units apart": (
        '"TOA","station 7"\n"TIMESTAMP","WS_Avg","P_Avg"\n"TS","meters/second","W"\n"","Avg","Avg"',
        [f'"{t}",{w},{p}' for t, w, p in PLAIN], {}),
    "no heads": ("", [f"{t},{w},{p}" for t, w, p in PLAIN], {"mapped": ["2=wind", "3=power"]}),
}  # fmt: skip


@pytest.mark.parametrize("name", WRITTEN)
@pytest.mark.parametrize("letters", ["utf-8", "utf-8-sig", "utf-16", "gz", "CRLF"])
def test_the_same_rows_are_read_however_they_are_written(written, name, letters):
    """Two minutes: the first with 5 and 6 m/s, 80 and 120 W; the second with 7 m/s and 160 W."""
    head, lines, said = WRITTEN[name]
    said = dict(said)
    ahead = said.pop("ahead", 0)
    whole = table(*([head] if head else []), *lines)
    if letters == "CRLF":
        whole = whole.replace("\n", "\r\n")
    file = written(whole, "log.csv.gz" if letters == "gz" else "log.csv", "utf-8" if len(letters) < 5 else letters)
    made = read(file, **said)
    assert (made.rows, made.bad.count, made.spikes.count, made.order.resets.count) == (3, 0, 0, 0)
    found = minutes(made)
    noon = datetime(2026, 6, 1, 12, tzinfo=UTC).timestamp() - ahead * 3600
    assert found["time"].tolist() == [noon, noon + 60]
    assert found["rows"].tolist() == [2, 1]
    assert found["wind"] == pytest.approx([5.5, 7.0], abs=2e-3)
    assert found["power"] == pytest.approx([100.0, 160.0], abs=1e-3)
    # The standard deviation of 5 and 6 is 1 / sqrt(2); of one row there is none.
    assert found["wind_sd"] == pytest.approx([0.5**0.5, np.nan], abs=2e-3, nan_ok=True)
    assert found["gust"] == pytest.approx([6.0, 7.0], abs=2e-3)


@pytest.mark.parametrize(
    ("head", "channel", "unit", "height"),
    [
        ("Wind speed (m/s)", "wind", "m/s", None), ("WS_10m_Avg", "wind", "m/s", 10),
        ("v_wind [km/h]", "wind", "km/h", None), ("Windgeschwindigkeit", "wind", "m/s", None),
        ("wind 8 m (m/s)", "wind", "m/s", 8), ("WindDir", "direction", "deg", None),
        ("Windrichtung (°)", "direction", "deg", None), ("P_gen (W)", "power", "W", None),
        ("Leistung kW", "power", "kW", None),
        ("Batt_V", "volts", "V", None), ("U_batt", "volts", "V", None), ("I_batt (mA)", "amps", "mA", None),
        ("charge current", "amps", "A", None), ("Drehzahl (1/min)", "rpm", "rpm", None),
        ("rotor (Hz)", "rpm", "Hz", None),
        ("T_air [°C]", "temperature", "degC", None), ("AirTemp_F", "temperature", "degF", None),
        ("baro (hPa)", "pressure", "hPa", None), ("dump (W)", "dump", "W", None), ("E (kWh)", "energy", "kWh", None),
    ],
)  # fmt: skip
def test_heads_are_understood(head, channel, unit, height):
    """Words, letters and units of several tongues."""
    found = guess(head)
    assert (found.channel, found.unit, found.height) == (channel, unit, height)


@pytest.mark.parametrize("head", [
    "wind max", "gust (m/s)", "WS_std", "gen temp (°C)", "battery temperature", "humidity",
                                  "rssi", "V wind dir std", "status"])  # fmt: skip
def test_what_is_something_else_is_left_out(head):
    """A gust is no wind speed, the winding is not the air."""
    assert guess(head) is None


def test_two_anemometers_are_told_apart_by_their_heights(written):
    """The higher one is the wind, the lower the second."""
    made = read(
        written(table("time,wind 4m (m/s),wind 10m (m/s)", "2026-06-01 12:00,4.0,5.0", "2026-06-01 12:01,4.4,5.5"))
    )
    assert minutes(made)["wind"].tolist() == [5.0, 5.5]
    assert minutes(made)["wind_low"].tolist() == [4.0, 4.4]
    assert (made.way.mapping.height("wind"), made.way.mapping.height("wind_low")) == (10, 4)


def test_directions_are_averaged_as_vectors(written):
    """Between 350 and 10 degrees lies north, not south."""
    made = read(written(table("time,wind dir (deg)", "2026-06-01 12:00:00,350", "2026-06-01 12:00:30,10",
                              "2026-06-01 12:01:00,90")))  # fmt: skip
    assert np.degrees(minutes(made)["direction"]).round(3).tolist() in ([0.0, 90.0], [360.0, 90.0])


def test_power_is_that_of_volts_and_amperes_row_by_row(written):
    """The mean of products, not the product of means: (24 * 1 + 26 * 3) / 2 = 51 W, not 25 * 2 = 50 W."""
    made = read(written(table("time,volts,amps", "2026-06-01 12:00:00,24,1", "2026-06-01 12:00:30,26,3",
                              "2026-06-01 12:01:00,25,2")))  # fmt: skip
    assert minutes(made)["power"].tolist() == [51.0, 50.0]


@pytest.mark.parametrize("zone", ["Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "UTC+1", "-03:30"])
def test_a_local_clock_gives_utc_around_both_changes_of_the_year(zone):
    """Held against zoneinfo, the IANA tables of the standard library; an hour shown twice by its order."""
    place = times.zone_named(zone)
    for change in (datetime(2026, 3, 8), datetime(2026, 3, 29), datetime(2026, 4, 5), datetime(2026, 10, 4),
                   datetime(2026, 10, 25), datetime(2025, 11, 2)):  # fmt: skip
        utc = [change.replace(tzinfo=UTC) - timedelta(hours=16) + timedelta(minutes=10 * i) for i in range(240)]
        local = np.array([round(u.astimezone(place).replace(tzinfo=UTC).timestamp() * 1000) for u in utc])
        found = np.concatenate([times.Clock(place).utc(local)])
        assert (found / 1000).tolist() == [u.timestamp() for u in utc]
        clock = times.Clock(place)
        pieces = np.concatenate([clock.utc(part) for part in np.array_split(local, 23)])
        assert pieces.tolist() == found.tolist()


def test_an_hour_that_a_clock_never_shows_is_counted(written):
    """A clock without summer time that is said to have one: an hour in March is none of that zone's."""
    lines = [f"2026-03-29 {h:02}:{m:02}:00,5.{m // 10}" for h in range(1, 5) for m in range(0, 60, 10)]
    made = read(written(table("time,wind (m/s)", *lines)), zone="Europe/Berlin")
    assert (made.skipped, made.rows) == (6, 18)
    assert ZoneInfo("Europe/Berlin").utcoffset(datetime(2026, 3, 29, 4)) == timedelta(hours=2)


def test_each_fault_is_counted_and_told(written, tmp_path):
    """A gap, a start, a clock that goes back, a stuck anemometer, a spike, nonsense, bad lines and cells."""
    lines = lines_of(1000)
    wind = [float(x.split(",")[1]) for x in lines]
    stuck = range(300, 450)
    for i in stuck:
        parts = lines[i].split(",")
        lines[i] = ",".join([parts[0], "6.10", *parts[2:]])
    lines[600] = lines[600].replace(lines[600].split(",")[1], "41.00", 1)
    lines[650] = ",".join([*lines[650].split(",")[:3], "-5.0"])
    lines[700] = ",".join([*lines[700].split(",")[:2], "oops", "26.0"])
    lines[710] = lines[710][:15]
    lines[720] += ",9"
    lines[730] = "nonsense,5.0,100,26.0"
    lines[740] = ",".join([*lines[740].split(",")[:2], "NaN", ""])
    again = [*lines[:800], HEADS, *lines[780:790], *lines[830:]]
    folder = tmp_path / "parts"
    folder.mkdir()
    made = read(written(table(HEADS, *again)), folder)
    found = keeping.found_of(made)
    assert (made.rows, made.bad.count, made.spikes.count, made.order.gaps.count) == (800 - 3 + 10 + 170, 4, 2, 4)
    assert [b["line"] for b in sorted(made.bad.some, key=lambda b: b["line"])] == [702, 712, 722, 732]
    assert {b["why"] for b in made.bad.some} == {
        "has 1 cell, not 4", "has 5 cells, not 4", "has no time that can be read", "power (W): 'oops' is no number",
    }  # fmt: skip
    assert sorted(s["channel"] for s in found["spikes"]) == ["volts", "wind"]
    assert {r["what"] for r in found["resets"]} == {"heads again", "clock went back"}
    assert (found["aside"], made.order.resets.count) == (10, 2)
    assert [(s["channel"], s["value"]) for s in found["stuck"]] == [("wind", 6.1)]
    assert found["stuck"][0]["from"] == "2026-06-01T12:50:00Z"
    # Rows 300 to 449 are whole minutes from 12:50 to 13:14.
    assert found["stuck_minutes"] == 25
    means = minutes(made)
    at = np.flatnonzero(means["time"] == datetime(2026, 6, 1, 13, 40, tzinfo=UTC).timestamp())[0]
    # Row 600 is the first of its minute: the spike is in no mean, the other five are.
    assert means["wind"][at] == pytest.approx(np.mean(wind[601:606]))
    assert np.isnan(means["wind"][means["time"] == datetime(2026, 6, 1, 13, tzinfo=UTC).timestamp()]).all()


def test_everything_that_was_read_is_kept_faults_too(written, tmp_path):
    """The rows that are kept hold the spike; only the means do not."""
    import polars as pl

    lines = lines_of(60)
    lines[30] = lines[30].replace(lines[30].split(",")[1], "41.00", 1)
    folder = tmp_path / "parts"
    folder.mkdir()
    made = read(written(table(HEADS, *lines)), folder)
    kept = pl.read_parquet(made.parts[0][0])
    assert (kept.height, kept["wind"].max(), kept["time"].dtype) == (60, 41.0, pl.Datetime("ms", "UTC"))
    assert np.nanmax(minutes(made)["gust"]) < 6


def test_small_blocks_tell_the_same(written, monkeypatch, tmp_path):
    """What is counted does not depend on where a block of the stream ends."""
    lines = lines_of(900)
    lines[100] = lines[100].replace(lines[100].split(",")[1], "41.00", 1)
    lines[200] = lines[200][:9]
    file = written(table(HEADS, *lines[:300], *lines[340:]))
    whole = read(file)
    blocks = text.LoggerSource.blocks
    monkeypatch.setattr(text.LoggerSource, "blocks", lambda self, size=0: blocks(self, 97))
    pieces = read(file)
    assert keeping.found_of(pieces) == keeping.found_of(whole)
    assert whole.spikes.count == 1
    for name, column in minutes(whole).items():
        assert minutes(pieces)[name] == pytest.approx(column, nan_ok=True), name


def test_a_calm_is_not_stuck_and_an_iced_anemometer_is(written):
    """Still air lasts for hours; an anemometer that stands still while the machine gives power is iced."""

    def made(power):
        lines = [f"{datetime(2026, 1, 5) + timedelta(minutes=i)},{0.4 if 100 <= i < 200 else 5 + i % 3},{power(i)}"
                 for i in range(400)]  # fmt: skip
        return read(written(table("time (UTC),wind (m/s),power (W)", *lines)))

    calm = made(lambda i: 0 if 100 <= i < 200 else 80 + i % 7)
    iced = made(lambda i: 80 + i % 7)
    assert (calm.minutes.still, [s.channel for s in iced.minutes.still]) == ([], ["wind"])


def limited(seed=2, limit=300.0, stuck=None):
    """Three days of a machine that an inverter holds at a limit, a row a minute; its power stuck for a while."""
    made = np.random.default_rng(seed)
    n = 3 * 1440
    wind = 6 + 3 * np.sin(np.arange(n) / 200) + np.repeat(made.normal(0, 1, n // 10), 10) + made.normal(0, 0.3, n)
    wind = np.clip(wind, 0, None)
    power = np.minimum(0.9 * wind**3, limit)
    if stuck:
        power[2000:2100] = stuck
    began = datetime(2026, 6, 1)
    return [f"{began + timedelta(minutes=i)},{wind[i]:.2f},{power[i]:.1f}" for i in range(n)]


@pytest.mark.parametrize("column", ["power (W)", "amps", "rotor rpm"])
def test_a_limit_that_holds_is_no_stuck_sensor(written, column):
    """Reached again and again in much wind, nothing above it: counted. What stands still below it is stuck."""
    head = f"time (UTC),wind (m/s),{column}"
    name = next(n for n in ("power", "amps", "rpm") if n in column)
    made = read(written(table(head, *limited())))
    assert made.minutes.still == []
    assert np.isfinite(minutes(made)[name]).all()
    held = keeping.found_of(made)["held"]
    assert [(h["channel"], h["value"]) for h in held] == [(name, 300.0)]
    assert held[0]["minutes"] > 600
    assert any("Held at a limit" in line for line in screen.told_of(keeping.found_of(made), screen._counts(made)))
    both = read(written(table(head, *limited(stuck=137.2))))
    assert [(s.channel, s.value) for s in both.minutes.still] == [(name, 137.2)]
    assert keeping.found_of(both)["stuck_minutes"] == 100


@pytest.mark.parametrize("of", ["never else", "in a calm", "through calms", "passed often", "all still"])
def test_what_lacks_a_sign_of_a_limit_is_stuck(written, of):
    """Its top reached once only; in too light a wind, always or in part; passed often; or the wind as still as it."""
    lines = limited(limit={"never else": 1e9, "passed often": 1e9}.get(of, 300.0))
    rows_ = [line.split(",") for line in lines]
    span = range(2000, 2100)
    top = max(float(r[2]) for r in rows_)
    for i in span:
        rows_[i][2] = f"{top + 5:.1f}" if of == "never else" else "300.0"
        if of == "in a calm":
            rows_[i][1] = f"{1 + i % 7 / 10}"
        if of == "through calms":
            rows_[i][1] = f"{(1 if 2030 <= i < 2065 else 10) + i % 7 / 10}"
        if of == "all still":
            rows_[i][1] = "9.00"
    if of in ("in a calm", "through calms"):
        for i in (*range(1990, 2000), *range(2100, 2110)):
            rows_[i][2] = "12.0"
    made = read(written(table("time (UTC),wind (m/s),power (W)", *map(",".join, rows_))))
    assert "power" in [s.channel for s in made.minutes.still]


def test_a_curve_tells_of_the_limit(story, run, written):
    """It is not that of the rotor there; a sensor whose range ends looks the same."""
    run("logger", written(table("time (UTC),wind (m/s),power (W)", *limited())), "--on", "r1")
    with store.journal(story) as s:
        found = logged.curve(s, "r1")
    assert found.cannot[0].startswith("The power of the generator was held at 300 W for ")
    assert "where its sensor's range ends" in found.cannot[0]


PLAIN = lines_of(40)
TIMES = [line.split(",")[0] for line in PLAIN]
BAD = {
    "empty": (b"", "log.csv is empty"),
    "blank": (b"\n\n  \n", "log.csv is empty"),
    "heads alone": (table(HEADS).encode(), "log.csv"),
    "prose": (b"Dear diary,\ntoday the wind blew.\nIt was cold.\n", "log.csv"),
    "a picture": (b"\x89PNG\r\n\x1a\n" + bytes(range(32)) * 40, "log.csv is no text"),
    "a workbook": (b"PK\x03\x04" + bytes(100), "log.csv is a zip or a workbook"),
    "nothing known": (table("time,foo,bar", "2026-06-01 12:00,1,2", "2026-06-01 12:01,1,2").encode(), "No column"),
    "no time": (table("wind (m/s),power (W)", "5,80", "6,90").encode(), "No column is known to hold the time"),
    "two meanings": (table("time,wind (m/s)", "03/04/2026 12:00,5", "03/04/2026 12:01,6").encode(), "two ways"),
    "a clock from zero": (table("seconds,time,wind (m/s)", "0,0,5", "1,1,6", "2,2,6").encode(), "counts from zero"),
    "mostly bad": (
        table(HEADS, *lines_of(8000)[:5000], *["x,y"] * 9000).encode(),
        "9,000 lines or cells of the 14,001",
    ),
    "heads too few": (table("time,wind", *[f"{x},5,80" for x in TIMES]).encode(), "name 2 columns, most"),
    "heads too many": (
        table("time,wind,power", *[f"{x},5" for x in TIMES]).encode(),
        "lines have 2 cells",
    ),
    "no readings": (
        table(HEADS, *[f"{x},NaN,-999," for x in TIMES]).encode(),
        "has times but no readings",
    ),
    "below nothing": (table("time,wind (m/s)", *[f"{x},-5.5" for x in TIMES]).encode(), "like -5.5 m/s"),
    "another unit": (table("time,wind (m/s)", *[f"{x},550" for x in TIMES]).encode(), "wind km/h"),
    "no order": (table(HEADS, *[PLAIN[i * 17 % 40] for i in range(40)]).encode(), "in no order of time"),
    "never set": (table(HEADS, *[f"1970{x[4:]}" for x in PLAIN]).encode(), "never set: it begins 1970-06-01 12:00:00"),
    "ahead": (table(HEADS, *[f"2031{x[4:]}" for x in PLAIN]).encode(), "runs ahead: it begins 2031-06-01 12:00:00"),
    "packed twice": (gzip.compress(gzip.compress(table(HEADS, *PLAIN).encode())), "was packed with gzip twice"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_file_gets_one_clear_line_and_nothing_is_kept(run, written, path, name):
    """Exit 2, one line, no record, no file beside the journal."""
    data, told = BAD[name]
    result = run("logger", written(data), "--on", "r1")
    assert (result.code, result.err.count("\n")) == (2, 1), result.err
    assert told in result.err
    assert rows(path, "SELECT count(*) FROM loggerfile") == [(0,)]
    assert _left(path) == []


def test_lines_of_unlike_length_are_counted_and_the_rest_read(written):
    """Each third line was cut short; spaces within the times cut none."""
    lines = lines_of(60)
    made = read(written(table(HEADS, *[x.rsplit(",", 1)[0] if i % 3 == 0 else x for i, x in enumerate(lines)])))
    assert (made.way.layout.separator, made.rows, made.bad.count) == (",", 40, 20)
    # Steps are ten seconds, however many of them are doubled.
    assert made.way.step == 10_000


def test_a_mark_behind_the_last_cell_is_a_column_of_nothing(written):
    """Of which nobody has to say anything."""
    made = read(written(table(HEADS, *[f"{x}," for x in lines_of(30)])))
    assert (made.channels, made.rows, made.bad.count) == (["wind", "power", "volts"], 30, 0)


def test_of_two_alike_heads_each_can_be_named(written, run, path):
    """By its own name, or by its place."""
    file = written(table("time (UTC),wind,wind,power (W)", *[f"{x.split(',')[0]},5,4,80" for x in lines_of(30)]))
    told = " ".join(run("logger", file, "--try").out.split())
    assert "wind (column 3) left out another wind; choose with --map" in told
    for name in ("wind (column 3)", "3"):
        both = read(file, mapped=["wind=wind at 10 m", f"{name}=wind_low at 6 m"])
        assert both.channels == ["wind", "wind_low", "power"]
        assert minutes(both)["wind_low"][0] == pytest.approx(4.0)


def test_a_clock_that_was_never_set_counts_from_where_somebody_says(written):
    """All its rows are moved alike, however its zone goes."""
    lines = [f"1970{x[4:]}" for x in lines_of(40)]
    made = read(written(table(HEADS, *lines)), began=["2026-07-01 08:00+00:00"])
    assert times.as_text(made.first) == "2026-07-01T08:00:00Z"
    assert made.last - made.first == 39 * 10_000
    with pytest.raises(BadInput, match="was set"):
        read(written(table(HEADS, *lines_of(40))), began=["2026-07-01 08:00"])


@pytest.mark.parametrize("repeated", [1, 10])
def test_no_row_at_a_time_that_was_read_already_is_in_a_mean(written, repeated):
    """Neither the first nor the last of those that stand there once more."""
    lines = [f"2026-06-01 12:{m:02}:00,4,80,26" for m in range(10)]
    again = [x.replace(",4,", ",8,") for x in lines[:repeated]]
    made = read(written(table(HEADS, *lines, *again)))
    assert made.order.aside == len(again)
    assert minutes(made)["wind"] == pytest.approx(np.full(10, 4.0))


def test_power_of_the_other_sign_is_asked_about_and_turned(written):
    """Some write what is drawn, and not what is given."""
    lines = [f"{x.split(',')[0]},5,-80,26" for x in lines_of(40)]
    with pytest.raises(BadInput, match=r"negative, -80 W on average.*power \(W\)=-power"):
        read(written(table(HEADS, *lines)))
    made = read(written(table(HEADS, *lines)), mapped=["power (W)=-power"])
    assert minutes(made)["power"] == pytest.approx(80.0)


def test_winds_that_no_place_has_ask_for_their_unit(written):
    """20 of something unnamed on average are km/h, mostly; said, they are taken as said."""
    lines = [f"{x.split(',')[0]},{20 + i % 3}" for i, x in enumerate(PLAIN)]
    with pytest.raises(BadInput, match="of no unit named"):
        read(written(table("time,wind", *lines)))
    assert read(written(table("time,wind", *lines)), mapped=["wind=wind m/s"]).rows == 40


@pytest.mark.parametrize("number", ["1.005,0", "1 005,0", "1'005.0", "1,000,005"])
def test_marks_of_thousands_are_refused(written, number):
    """Left out one by one, they would take the strongest readings along."""
    mark = "," if number.endswith(",0") else "."
    lines = [f"{x.split(',')[0]};5{mark}5;{number if i == 7 else '985' + mark + '0'}" for i, x in enumerate(PLAIN)]
    with pytest.raises(BadInput, match="have a mark of thousands"):
        read(written(table("time;wind (m/s);power (W)", *lines)))


def test_a_day_and_an_hour_beside_it_are_one_time(written):
    """Whatever the hour is called; two columns of time are one too many."""
    lines = [f"2026-06-{1 + i // 20:02},{i % 20}:00,5" for i in range(60)]
    assert read(written(table("date,hour,wind (m/s)", *lines))).rows == 60
    with pytest.raises(BadInput, match="Two columns are said to be the time"):
        read(written(table("date,hour,wind (m/s)", *lines)), mapped=["date=time", "hour=time"])


def test_beaufort_is_no_unit_of_a_logger(written):
    """A number of a scale is not taken for metres a second."""
    with pytest.raises(BadInput, match="No column of log"):
        read(written(table("time,wind bft", *[f"{x.split(',')[0]},{3 + i % 3}" for i, x in enumerate(PLAIN)])))


def test_what_was_said_of_a_file_that_was_taken_back_is_forgotten(run, written, path):
    """Nothing was kept of it."""
    lines = [f"{x.split(',')[0]},{20 + i % 3}" for i, x in enumerate(PLAIN)]
    assert run("logger", written(table("time,wind", *lines)), "--on", "r1", "--map", "wind=wind km/h").code == 0
    assert run("undo").code == 0
    assert "of no unit named" in run("logger", written(table("time,wind", *lines), "b.csv"), "--on", "r1").err


@pytest.mark.parametrize("unit", [1e3, 1e6, 1e9])
def test_parts_of_seconds_since_1970_are_told_apart(written, unit):
    """Milliseconds, microseconds, nanoseconds."""
    at = datetime(2026, 6, 1, 12, tzinfo=UTC).timestamp()
    made = read(written(table("ts,wind (m/s)", *[f"{int((at + 10 * i) * unit)},{5 + i % 3}" for i in range(20)])))
    assert (times.as_text(made.first), made.way.step) == ("2026-06-01T12:00:00Z", 10_000)


def test_what_is_empty_is_counted(written):
    """By column; what is empty in all rows is told as that."""
    lines = [f"{x.split(',')[0]},{'' if i < 4 else 5},,26" for i, x in enumerate(lines_of(30))]
    made = read(written(table(HEADS, *lines)))
    assert keeping.found_of(made)["empty"] == {"wind": [4, False], "power": [30, True]}
    told = screen.told_of(keeping.found_of(made), dict.fromkeys(("gaps", "resets", "stuck", "spikes", "bad"), 0))
    assert told == ["No reading of wind speed in 4 rows, of power of the generator in all rows."]


def test_bad_lines_alike_are_told_once(written):
    """With what is wrong, one of them, and where the others stand."""
    lines = [f"{x.split(',')[0]},ERR,80,26" if i in (3, 5, 9) else x for i, x in enumerate(lines_of(30))]
    made = read(written(table(HEADS, *lines)))
    counts = dict.fromkeys(("gaps", "resets", "stuck", "spikes"), 0) | {"bad": made.bad.count}
    told = screen.told_of(keeping.found_of(made), counts)[0]
    assert told.endswith("wind (m/s): 'ERR' is no number (lines 5, 7, 11).")
    assert told.count("ERR") == 2


def test_a_comma_among_points_is_never_guessed(written):
    """1,234 may be a little more than one, or a thousand."""
    lines = [f"{x.split(',')[0]};{'5.1' if i < 30 else '5,1'}" for i, x in enumerate(PLAIN)]
    made = read(written(table("time;wind (m/s)", *lines)))
    assert (made.bad.count, made.empty["wind"]) == (10, 10)
    assert made.bad.some[0]["why"] == "wind (m/s): '5,1' has a comma, where most have a point"


def test_the_same_rows_packed_are_known(run, written, path):
    """A file and the same with gzip; and in the try already."""
    data = table(HEADS, *lines_of(200))
    assert run("logger", written(data), "--on", "r1").code == 0
    packed = written(data, "log.csv.gz")
    assert "were read before, as G1 log.csv" in run("logger", packed, "--on", "r1", "--try").out
    again = run("logger", packed, "--on", "r1")
    assert (again.code, rows(path, "SELECT count(*) FROM loggerfile")) == (1, [(1,)])
    assert "The rows of log.csv.gz were read before, as G1 log.csv" in again.err


def test_files_of_the_same_days_say_so(run, written, path):
    """The earlier counts; what only the later tells is added."""
    lines = lines_of(200)
    assert run("logger", written(table(HEADS, *lines[:120]), "a.csv"), "--on", "r1").code == 0
    assert "of which G1 told before" in run("logger", written(table(HEADS, *lines[60:]), "b.csv"), "--on", "r1").out


@pytest.mark.parametrize(("zone", "named"), [("Europe/Dublin", "UTC+0, or UTC+1"), ("America/New_York", "UTC-5, or")])
def test_a_clock_never_put_forward_is_named_as_there(written, zone, named):
    """By the winter's time of its place first."""
    lines = [
        f"{datetime(2026, 3, 8 if 'York' in zone else 29, 0) + timedelta(minutes=10 * i)},5,80,26" for i in range(30)
    ]
    made = read(written(table("time,wind (m/s),power (W),battery (V)", *lines)), zone=zone)
    assert made.skipped == 6
    counts = dict.fromkeys(("gaps", "resets", "stuck", "spikes", "bad"), 0)
    assert f"--zone {named}" in " ".join(screen.told_of(keeping.found_of(made), counts))


def counted(*runs, head="millis", unit=1000):
    """Rows of a clock that counts from zero: a run each, of so many rows ten seconds apart."""
    rows_ = [f"{i * 10 * unit},{4 + n},100" for n, many in enumerate(runs) for i in range(many)]
    return table(f"{head},wind (m/s),power (W)", *rows_)


@pytest.mark.parametrize(("head", "unit"), [("millis", 1000), ("elapsed s", 1)])
def test_each_run_of_a_clock_is_laid_where_it_began(written, monkeypatch, head, unit):
    """Ten minutes of 4 m/s, then fifteen of 5 m/s two days later, however the file is cut into blocks."""
    began = ["2026-06-01 12:00", "2026-06-03 09:00"]
    blocks = text.LoggerSource.blocks
    for size in (text.BLOCK, 97):
        monkeypatch.setattr(text.LoggerSource, "blocks", lambda self, size=size: blocks(self, size))
        made = read(written(counted(60, 90, head=head, unit=unit)), began=began)
        found = minutes(made)
        assert found["wind"].tolist() == [4.0] * 10 + [5.0] * 15
        assert [times.as_text(1000 * int(found["time"][i])) for i in (0, 10)] == [
            "2026-06-01T12:00:00Z",
            "2026-06-03T09:00:00Z",
        ]
        assert made.order.aside == 0
        assert made.order.resets.some == [{"what": "switched on again", "line": 62}]


@pytest.mark.parametrize(
    ("runs", "began", "words"),
    [
        (
            (60, 120),
            ["2026-06-01 12:00"],
            r"begins again: 2 runs, from line 2, 62; --began tells of 1\. .*--began .*--began",
        ),
        ((60, 30, 40), ["2026-06-01 12:00", "2026-06-02"], r"3 runs, from line 2, 62, 92; .*and on, 3 in all"),
        ((60,), ["2026-06-01 12:00", "2026-06-02"], "tells of 2 runs"),
        (
            (60, 120),
            ["2026-06-01 12:00", "2026-06-01 12:05"],
            "cannot begin at 2026-06-01 12:05:00 UTC: run 1 goes on until",
        ),
    ],
)
def test_runs_that_nobody_told_of_are_refused(written, runs, began, words):
    """With the lines at which they begin, and what would be accepted."""
    with pytest.raises(BadInput, match=words):
        read(written(counted(*runs)), began=began)


@pytest.mark.parametrize("beyond", [timedelta(days=400), timedelta(days=-1)])
def test_a_run_that_would_go_on_into_the_future_is_refused(written, beyond):
    """Begun then, or going on until then: its rows were left out as those of a clock that nobody set."""
    last = f"{datetime.now(UTC) + beyond:%Y-%m-%d %H:%M}"
    file = written(counted(60, 30_000))
    with pytest.raises(BadInput, match=r"Run 2 of .*, which is still to come"):
        read(file, began=["2026-06-01 12:00", last])


def test_a_clock_that_was_never_set_may_begin_anew_too(written):
    """At midnight of 1 January 2000 again: the second run is no more laid over the first."""
    rows_ = [f"2000-01-01 00:{m:02d}:{s:02d},{4 + n},100" for n in (0, 1) for m in range(10) for s in (0, 30)]
    file = written(table("time,wind (m/s),power (W)", *rows_))
    made = read(file, began=["2026-06-01 12:00", "2026-06-03 09:00"])
    assert minutes(made)["wind"].tolist() == [4.0] * 10 + [5.0] * 10
    with pytest.raises(BadInput, match="2 runs, from line 2, 22"):
        read(file, began=["2026-06-01 12:00"])


def test_a_full_counter_goes_on_and_a_single_early_row_is_no_run(written):
    """Of milliseconds in 32 bits, after 49.7 days; one row of zero among others is out of order."""
    first = 2**32 - 600_000
    rows_ = [f"{(first + i * 10_000) % 2**32},5,100" for i in range(120)]
    made = read(written(table("millis,wind (m/s),power (W)", *rows_)), began=["2026-01-01 00:00"])
    assert made.last - made.first == 119 * 10_000
    assert made.order.resets.count == 0
    odd = counted(60).replace("300000,", "0,")
    assert read(written(odd), began=["2026-06-01 12:00"]).order.aside == 1


def test_began_is_of_one_file(run, written, path):
    """Two files of such clocks would lie one over the other."""
    files = written(counted(60)), written(counted(90), "b.csv")
    got = run("logger", *files, "--on", "site", "--began", "2026-06-01 12:00")
    assert got.code == 2
    assert "--began tells of the runs of one file" in got.err


def celled(*rows_, head="time;wind;battery;amps"):
    """Rows a few seconds apart with these cells."""
    return table(head, *(f"2026-06-01 12:00:{i:02d};{';'.join(cells)}" for i, cells in enumerate(rows_)))


def test_units_may_stand_in_the_cells(written):
    """A knot is 1852 m an hour, by definition; what is missing needs no unit."""
    file = celled(("3,6 kn", "12,4 V", "500mA"), ("7,2 kn", "--", "1500 mA"), ("7,2 kn", "-999", "1000 mA"))
    made = read(written(file))
    assert {n: (c.unit, c.why) for n, c in made.way.mapping.channels.items()} == {
        "wind": ("kn", "cells"), "volts": ("V", "cells"), "amps": ("mA", "cells"),
    }  # fmt: skip
    found = minutes(made)
    assert found["wind"][0] == pytest.approx(6.0 * 1852 / 3600)
    assert (found["volts"][0], found["amps"][0]) == pytest.approx((12.4, 1.0))
    assert made.bad.count == 0


@pytest.mark.parametrize(
    ("cells", "said", "words"),
    [
        (["3.0 kn", "3.0 kn", "3.0 m/s"], [], "do not all end with one unit.* known, like '3.0 m/s'.*in every cell"),
        (["3.0 kn", "4.0 kn", "4.0"], [], "do not all end with one unit.*like '4.0'"),
        (["3.0 furlongs", "4.0 furlongs"], ["wind=wind"], "one unit that is known, like '3.0 furlongs'"),
        (["3.0 V", "4.0 V"], ["wind=wind"], "end with V, which is no unit of wind"),
        (["3.0 kn", "4.0 kn"], ["wind=wind km/h"], "end with kn, but km/h is named for it.*--map 'wind=wind kn'"),
    ],
)
def test_units_in_cells_that_do_not_agree_are_refused(written, cells, said, words):
    """With a cell and what to do."""
    with pytest.raises(BadInput, match=words):
        read(written(celled(*((c, "12.4", "5") for c in cells))), mapped=said)


def test_a_gap_may_have_a_unit_too(written):
    """Three dashes and the unit, as a display shows it."""
    made = read(written(celled(("3,6 kn", "12,4 V", "1 A"), ("3,6 kn", "--- V", "1 A"), ("3,6 kn", "12,4 V", "1 A"))))
    assert (made.bad.count, made.empty["volts"], made.way.mapping.channels["volts"].why) == (0, 1, "cells")


@pytest.mark.parametrize(("cells", "degrees"), [
    (["N", "nnw", "N"], 352.5), (["-10", "10", "-20"], 353.33), (["350", "10", "340"], 353.33),
    (["SW", "SW", "--"], 225.0),
])  # fmt: skip
def test_a_vane_may_count_to_both_sides_or_tell_points(written, cells, degrees):
    """West is 270 or -90; the points are those of a compass card, 22.5 degrees apart (from memory)."""
    made = read(
        written(table("time,wind (m/s),direction", *(f"2026-06-01 12:00:{i:02d},5.0,{c}" for i, c in enumerate(cells))))
    )
    assert made.bad.count == 0
    assert np.degrees(minutes(made)["direction"][0]) == pytest.approx(degrees, abs=0.1)


def test_opposite_winds_have_no_mean(written):
    """Of east and west in turn no mean tells; of east and north there is one."""
    rows_ = [f"2026-06-01 12:0{i // 6}:{i % 6 * 10:02d},5.0,{(90, 270 if i < 6 else 0)[i % 2]}" for i in range(12)]
    found = minutes(read(written(table("time,wind (m/s),direction", *rows_))))["direction"]
    assert np.isnan(found[0])
    assert np.degrees(found[1]) == pytest.approx(45.0)


def test_hours_without_their_day_are_told_so(written):
    """With what would be taken."""
    with pytest.raises(BadInput, match=r"holds hours without their day, like '00:00:00'.*=date.*--began"):
        read(
            written(table("elapsed,wind (m/s)", "00:00:00,5.0", "00:00:10,5.1", "00:00:20,5.2")),
            mapped=["elapsed=time"],
        )


def test_volts_that_stand_still_through_calms_are_stuck(written):
    """At the top that a dump load holds, too: a battery does not stay there without wind."""
    hours = np.arange(5 * 1440) / 60.0
    wind = 6.0 + 5.0 * np.sin(hours / 5.0) + 0.5 * np.sin(hours * 7.0)
    volts = np.minimum(24.0 + 0.6 * np.maximum(wind, 0.0), 28.2) + np.where(wind < 6.5, 0.01 * np.sin(hours * 40), 0.0)

    def made(still):
        told = np.where((hours >= 48) & (hours < 96), 28.2, volts) if still else volts
        began = datetime(2026, 6, 1)
        rows_ = (
            f"{began + timedelta(minutes=i)},{max(w, 0):.2f},{v:.2f}"
            for i, (w, v) in enumerate(zip(wind, told, strict=True))
        )
        return keeping.found_of(read(written(table("time (UTC),wind (m/s),battery (V)", *rows_))))

    assert {s["channel"] for s in made(still=True)["stuck"]} == {"volts"}
    assert made(still=False)["stuck"] == []


def test_a_unit_that_turns_up_late_is_refused(written):
    """Beyond the lines that are looked at first it would be lost, or a wrong number."""
    for usual, odd in (("4.0", "4.0 kn"), ("4.0 kn", "4.0 km/h"), ("4.0 kn", "4.0")):
        lines = [f"{1780315200 + i},{usual if i < 5000 else odd}" for i in range(5010)]
        with pytest.raises(BadInput, match=f"{odd!r} in 'wind'"):
            read(written(table("unix,wind", *lines)))


def test_a_head_of_another_unit_than_its_cells_is_asked_about(written):
    """Either may be right; a word settles it."""
    file = written(celled(("3.0 kn", "12.4", "5"), ("3.0 kn", "12.4", "5"), head="time;wind (m/s);battery V;amps"))
    with pytest.raises(BadInput, match="end with kn, but m/s is named"):
        read(file)
    assert minutes(read(file, mapped=["wind (m/s)=wind kn"]))["wind"][0] == pytest.approx(3 * 1852 / 3600)


def test_what_was_said_of_a_column_keeps_the_unit_of_its_head(written):
    """Pointed at as the wind, a column in km/h stays one."""
    made = read(written(celled(("36", "12.4", "5"), ("36", "12.4", "5"), head="time;Kanal 1 km/h;b;c")),
                mapped=["Kanal 1 km/h=wind"])  # fmt: skip
    assert minutes(made)["wind"][0] == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("typed", "share", "amount"),
    [
        ("wind +-0.2", 0.0, 0.2),
        ("wind km/h at 8 m +- 0,36", 0.0, 0.1),
        ("wind m/s ± 3 %", 0.03, 0.0),
        ("wind km/h +/- 3 % + 0.2 m/s", 0.03, 0.2),
    ],
)
def test_what_an_instrument_may_be_off_by_is_typed_with_its_column(typed, share, amount):
    """An amount in any unit of the channel, a share, or both; it is kept with the mapping, and over again."""
    column = mapping.read_said([f"v={typed}"])["v"]
    column = column if column.unit else replace(column, unit="m/s")
    kept = mapping.mapping_of(mapping.Mapping((column,)).text()).columns[0]
    assert kept == column
    assert (kept.stated.share, kept.stated.amount) == pytest.approx((share, amount))
    # Limits alike all over are a standard deviation of half their width over the root of three (GUM 4.3.7).
    assert kept.stated.deviation == pytest.approx((share / 3**0.5, amount / 3**0.5))


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("wind +-0.2 V", "cannot be read.*Accepted: \\+-0.2 m/s"), ("wind +-", "cannot be read"),
        ("- +-0.2", "has no doubt"), ("time +-1", "has no doubt"), ("wind +-0", "without any doubt"),
        ("temperature +-2 %", "tells nothing"), ("wind +-a bit", "cannot be read"),
    ],
)  # fmt: skip
def test_a_doubt_that_cannot_be_used_is_refused(typed, words):
    """In one line, with what would do."""
    with pytest.raises(BadInput, match=words):
        mapping.read_said([f"v={typed}"])


def test_of_several_files_the_greatest_doubt_counts_and_the_place_fills_in():
    """A file that states nothing leaves what is assumed; what the machine's logger reads the place does not state."""

    def file(**doubts):
        columns = tuple(mapping.LoggerColumn(n, n, "m/s" if n == "wind" else "W", "said", doubt=d)
                        for n, d in doubts.items())  # fmt: skip
        return LoggerFile(mapping=mapping.Mapping(columns).text())

    small, large, none = file(wind="0.1"), file(wind="0.3"), file(wind="")
    assert stated_doubts([small, large], [])["wind"].amount == 0.3
    assert stated_doubts([small, none], []) == {}
    assert stated_doubts([file(power="5")], [large])["wind"].amount == 0.3
    assert stated_doubts([none], [large]) == {}


def _left(path):
    """Files beside a journal, but the mark of whose they are."""
    return [f for f in files_folder(path).rglob("*") if f.is_file() and f.name != attachments.MARK]


def test_a_packed_file_that_is_cut_off_or_damaged_is_refused(run, written, path, tmp_path):
    """Whatever was read of it until then."""
    whole = gzip.compress(table(HEADS, *lines_of(20_000)).encode())
    for name, data in {"cut.csv.gz": whole[:-2000], "torn.csv.gz": whole[:-9000] + bytes(50) + whole[-8950:]}.items():
        (tmp_path / name).write_bytes(data)
        result = run("logger", tmp_path / name, "--on", "r1")
        assert (result.code, result.err.count("\n")) == (2, 1)
        assert "packed with gzip" in result.err
    assert _left(path) == []


@pytest.mark.parametrize(
    ("said", "told"),
    [
        (["--map", "wnd=wind"], "There is no column"), (["--map", "wind (m/s)=wnd"], "is no quantity"),
        (["--map", "wind (m/s)=wind V"], "is no unit of wind"), (["--map", "wind"], "cannot be read"),
        (["--zone", "Europe/Berln"], "Did you mean Europe/Berlin?"), (["--began", "noon"], "is no time"),
        (["--days", "sideways"], "days"), (["--on", "r9"], "There is no revision r9"),
    ],
)  # fmt: skip
def test_what_cannot_be_meant_is_told(run, path, written, said, told):
    """In one line, before anything is read."""
    result = run("logger", written(table(HEADS, *lines_of(60))), *said)
    assert result.code in (1, 2)
    assert (told in result.err, result.err.count("\n")) == (True, 1), result.err
    assert rows(path, "SELECT count(*) FROM loggerfile") == [(0,)]


def test_it_is_tried_kept_listed_and_remembered(run, written, path):
    """A try writes nothing; what was said of columns holds for the next file with the same heads."""
    first = written(table("when?,a,b", *(f"{x.split(',')[0]},{x.split(',')[1]},7" for x in lines_of(300))), "one.csv")
    said = ["--map", "a=wind km/h at 8 m", "--map", "when?=time", "--zone", "UTC+1"]
    tried = json.loads(run("logger", first, *said, "--try", "--json").out)
    assert (tried["kept"], _left(path)) == (False, [])
    assert run("logger", first, *said, "--note", "by the hedge").code == 0
    assert run("logger", first).err.startswith("galebook: one.csv was read before, as G1")
    later = [f"{datetime(2026, 7, 1) + timedelta(minutes=i)},{20 + i % 5},7" for i in range(90)]
    second = json.loads(run("logger", written(table("when?,a,b", *later), "two.csv"), "--json").out)
    column = second["files"][0]["columns"][1]
    assert (column["what"], column["unit"], column["height"], column["why"]) == ("wind", "km/h", 8.0, "remembered")
    assert second["files"][0]["zone"] == "UTC+01:00"
    assert [r["ref"] for r in json.loads(run("logger", "--json").out)] == ["G1", "G2"]
    assert "by the hedge" in run("show", "G1").out
    assert "G2" in run("list", "loggers").out
    assert "is whole" in run("doctor").out


def test_several_files_are_kept_each_and_those_known_are_passed_over(run, written, path):
    """In order of their times; the same content is not kept twice."""
    lines = lines_of(600)
    a = written(table(HEADS, *lines[300:]), "a.csv")
    b = written(table(HEADS, *lines[:300]), "b.csv.gz")
    assert run("logger", a, b, "--on", "r1").code == 0
    assert rows(path, "SELECT filename FROM loggerfile ORDER BY number") == [("b.csv.gz",), ("a.csv",)]
    c = written(table(HEADS, *lines_of(900)[600:]), "c.csv")
    told = run("logger", a, c)
    assert (told.code, "a.csv was read before, as G2" in told.err) == (0, True)
    with store.journal(path) as s:
        means = minute_means(s, records.find_revision(s, "r1"))
    assert (len(means), means.rows.sum(), means.step) == (150, 900, 10.0)
    assert np.isfinite(means.wind).all()


def test_a_wind_logger_belongs_to_the_place_and_fills_what_a_machine_does_not_read(run, written, path):
    """Power and volts of the machine, the wind of a mast of its own."""
    lines = [x.split(",") for x in lines_of(120)]
    wind = written(table("time (UTC),wind 10 m (m/s)", *(f"{x[0]},{x[1]}" for x in lines)), "mast.csv")
    power = written(
        table("time (UTC),power (W),battery (V)", *(f"{x[0]},{x[2]},{x[3]}" for x in lines[:60])), "box.csv"
    )
    assert run("logger", wind).code == 0
    assert run("logger", power, "--on", "r1").code == 0
    with store.journal(path) as s:
        place = minute_means(s)
        machine = minute_means(s, records.find_revision(s, "r1"))
    assert (len(place), len(machine), machine.height) == (20, 10, 10.0)
    assert machine.wind == pytest.approx(place.wind[:10])
    assert np.isfinite(machine.power).all()
    assert np.isnan(place.power).all()


def test_a_file_of_an_attempt_belongs_to_its_revision(run, written, path):
    """Named by the attempt; a revision that it was not on is refused."""
    run("attempt", "ran in June", "--on", "r1", "--outcome", "worked")
    run("revise", "r1", "--because", "another")
    file = written(table(HEADS, *lines_of(60)))
    assert "A1 was on r1, not on r2" in run("logger", file, "--attempt", "A1", "--on", "r2").err
    assert run("logger", file, "--attempt", "A1").code == 0
    with store.journal(path) as s:
        attempt = records.find_record(s, "A1")
        assert len(minute_means(s, attempt=attempt)) == 10
        assert len(minute_means(s, records.find_revision(s, "r2"))) == 0


def test_what_was_kept_goes_along_and_a_loss_of_it_is_told(run, written, path, tmp_path):
    """Export and import carry it, doctor looks at it, and means are refused where it is gone."""
    run("logger", written(table(HEADS, *lines_of(120))), "--on", "r1")
    assert run("export", tmp_path / "plain.zip").code == 0
    other = tmp_path / "other.db"
    assert run("--journal", other, "import", tmp_path / "plain.zip").code == 0
    with store.journal(path) as s, store.journal(other) as t:
        one, two = (minute_means(x, records.find_revision(x, "r1")) for x in (s, t))
    assert one.wind.tolist() == two.wind.tolist()
    assert run("backup", tmp_path / "copy.db").code == 0
    assert len(list(files_folder(tmp_path / "copy.db").rglob("*.parquet"))) == 2
    for file in files_folder(other).rglob("*.parquet"):
        file.write_bytes(b"PAR1" + bytes(64))
    with store.journal(other) as t, pytest.raises(Refused, match="damaged"):
        minute_means(t, records.find_revision(t, "r1"))
    for file in tmp_path.rglob("*.parquet"):
        file.unlink()
    with store.journal(other) as t, pytest.raises(Refused, match="missing"):
        minute_means(t, records.find_revision(t, "r1"))
    assert run("--journal", other, "doctor").code != 0


def test_withdrawn_files_count_no_more_and_may_be_read_again(run, written, path):
    """With other columns this time."""
    file = written(table(HEADS, *lines_of(120)))
    run("logger", file, "--on", "r1")
    run("withdraw", "G1", "--because", "the wrong columns")
    with store.journal(path) as s:
        assert len(minute_means(s, records.find_revision(s, "r1"))) == 0
    assert run("logger", file, "--on", "r1").code == 0


def test_the_demo_logger_has_the_faults_that_were_put_into_it(tmp_path):
    """A gap with a start, a stuck hour, a spike, a line cut off; the same bytes every time."""
    data = june.logged_in_june()
    assert data == june.logged_in_june()
    (tmp_path / "june.csv").write_bytes(data)
    made = read(tmp_path / "june.csv")
    found = keeping.found_of(made)
    assert (made.order.gaps.count, made.order.resets.count, made.spikes.count, made.bad.count) == (1, 1, 1, 1)
    assert [(s["channel"], s["from"]) for s in found["stuck"]] == [("wind", "2026-06-17T14:00:00Z")]
    assert found["spikes"][0]["value"] == 63.8
    assert found["missing_s"] == pytest.approx((june.DARK[1] - june.DARK[0]) * june.STEP)


def test_what_is_not_there_is_told(tmp_path):
    """No file, a folder."""
    with pytest.raises(NotFound):
        text.sample_of(tmp_path / "none.csv")
    with pytest.raises(BadInput, match="not a plain file"):
        text.sample_of(tmp_path)


@pytest.mark.both
def test_a_journal_on_a_server_keeps_them_too(run, written, path):
    """In the database itself; the means are the same."""
    assert run("logger", written(table(HEADS, *lines_of(120))), "--on", "r1").code == 0
    with store.journal(path) as s:
        means = minute_means(s, records.find_revision(s, "r1"))
    assert (len(means), means.rows.sum()) == (20, 120)
    assert means.wind[0] == pytest.approx(np.mean([4 + i * 0.25 for i in range(6)]))


@pytest.mark.parametrize(("every", "count"), [(3600, 240), (600, 1440)], ids=["an hour", "ten minutes"])
def test_rows_far_apart_stand_for_the_time_until_the_next(path, run, written, every, count):
    """Ten days are ten days, however seldom a row was written."""
    file = written("\n".join([HEADS, *lines_of(count, every), ""]))
    assert run("logger", file, "--on", "r1", "--zone", "UTC").code == 0
    with store.journal(path) as s:
        means = minute_means(s, records.find_revision(s, "r1"))
    assert len(means) == 10 * 24 * 60
    assert means.power.mean() == pytest.approx(104.0, abs=0.2)


def test_numbers_without_end_are_no_readings(written, recwarn):
    """A broken logger writes what it likes: it is counted, and nothing is warned of in the program's own words."""
    lines = [
        f"2026-06-01 12:{m:02}:00,{5 if m != 7 else 1e300},{80 if m != 7 else 'inf'},{26 + m % 3}" for m in range(20)
    ]
    assert read(written("\n".join([HEADS, *lines, ""])))
    assert [w for w in recwarn if issubclass(w.category, RuntimeWarning)] == []
