"""Tables as records: what a column is, what is asked, what is logged and what refuses; all of it or nothing."""

import csv
import io

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlmodel import select

from calc.quantities import QUANTITIES
from calc.units import to_shown
from journal.book import attempts, health, records
from journal.book.table_text import table_of
from journal.book.tables import Attempt, Claim, Failure, Measurement, Part, PartUse
from journal.book.taking_rows import for_all_lines, log_rows, read_rows
from journal.book.taking_table import read_map, remember, remembered, take
from journal.errors import BadInput
from journal.review.spun import spun_from


def table(text):
    """A table from a text."""
    return table_of(text.encode(), "t.csv")


def taken(text, kind=None, said="", **shared):
    """How a table is taken, by head."""
    found = take(table(text), kind, read_map(said) if said else {}, shared)
    return {c.head: f"{c.target} {c.unit}".strip() for c in found.columns}


def plan(s, text, kind=None, said="", day=None, **shared):
    """What a table would log."""
    of = table(text)
    how = take(of, kind, read_map(said) if said else {}, shared, remembered(s, of))
    return read_rows(s, of, for_all_lines(s, how, day))


def logged(s, text, *args, **shared):
    """Records of a table that was logged."""
    return log_rows(s, plan(s, text, *args, **shared))


@pytest.mark.parametrize(
    ("head", "is_"),
    [
        ("battery.voltage", "battery.voltage"),
        ("Battery Voltage (V)", "battery.voltage V"),
        ("battery volts", "battery.voltage V"),
        ("RPM", "rotor.speed rpm"),
        ("U/min", "rotor.speed rpm"),
        ("speed [rpm]", "rotor.speed rpm"),
        ("no-load volts", "generator.open_voltage V"),
        ("volts open", "generator.open_voltage V"),
        ("loaded_voltage", "generator.loaded_voltage"),
        ("charge amps", "charge.current A"),
        ("noise, dB(A)", "noise.level dB(A)"),
        ("sound level", "noise.level"),
        ("air temperature (C)", "air.temperature degC"),
        ("temperature of the winding", "generator.temperature"),
        ("specific gravity", "battery.density"),
        ("cable drop in V", "cable.drop V"),
    ],
)
def test_heads_in_builders_words(head, is_):
    """What was read, and the unit of its numbers."""
    assert taken(f'"{head}"\n1\n', "readings")[head] == is_


@pytest.mark.parametrize(
    ("head", "is_"),
    [("wind km/h", "wind km/h"), ("Wind (m/s)", "wind m/s"), ("Beaufort", "wind Bft"), ("Date", "taken"),
     ("when", "taken"),
     ("time", "time"), ("Attempt", "attempt"), ("meter", "instrument"), ("remarks", "private_note"), ("nr.", "none"),
     ("weather", "conditions"), ("connected to", "load_state")],
)  # fmt: skip
def test_heads_of_what_readings_share(head, is_):
    """Columns beside those of quantities."""
    assert taken(f'"{head}",battery voltage\n1,2\n', "readings")[head] == is_


@pytest.mark.parametrize(
    ("header", "kind"),
    [
        ("date,wind,battery voltage,note", "readings"),
        ("quantity,value,date", "readings"),
        ("date,what was done,outcome,wind", "attempts"),
        ("part,role,cost,mass", "parts"),
        ("date,what failed,believed cause,sure", "failures"),
        ("claim,by", "claims"),
    ],
)
def test_the_kind_is_told_by_the_header(header, kind):
    """By how many columns are understood as one of it."""
    assert take(table(f"{header}\n"), None, {}, {}).kind == kind


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("volts,rpm\n12,300\n", "open_voltage, generator.loaded_voltage or battery.voltage"),
        ("power (W),rpm\n12,300\n", "'power (W)' can be charge.power or load.power"),
        ("current\n2\n", "generator.short_current or charge.current"),
        ("temperature,rpm\n2,3\n", "generator.temperature, battery.temperature or air.temperature"),
        ("speed,battery voltage\n2,3\n", "wind.speed or rotor.speed"),
        ("banana,rpm\n2,300\n", "'banana' is not understood"),
        ("apples,pears\n2,300\n", "cannot be told from its header"),
    ],
)
def test_between_two_meanings_none_is_guessed(text, words):
    """All that it can be is named, with the flag that says which."""
    with pytest.raises(BadInput, match="--map") as e:
        taken(text)
    assert words in str(e.value)


def test_all_unclear_columns_are_told_at_once():
    """One flag puts them right."""
    with pytest.raises(BadInput) as e:
        taken("volts,temperature,banana,battery voltage\n1,2,3,4\n")
    assert "banana=" in str(e.value)
    assert "volts=generator.open_voltage, temperature=generator.temperature" in str(e.value)


def test_what_else_stands_in_the_table_settles_a_meaning():
    """Units, what was connected, a voltage beside the current, a wind beside the speed."""
    assert taken("speed (rpm),speed (km/h)\n1,2\n", "readings") == {
        "speed (rpm)": "rotor.speed rpm",
        "speed (km/h)": "wind.speed km/h",
    }
    assert taken("volts,rpm\n1,2\n", load_state="nothing connected")["volts"] == "generator.open_voltage V"
    assert taken("amps,battery voltage\n1,2\n")["amps"] == "charge.current A"
    assert taken("amps\n1\n", load_state="short circuit")["amps"] == "generator.short_current A"
    assert taken("wind,speed\n1,2\n") == {"wind": "wind", "speed": "rotor.speed"}
    assert taken("wind (m/s)\n1\n") == {"wind (m/s)": "wind.speed m/s"}
    assert taken("speed,battery voltage\n300 rpm,2\n")["speed"] == "rotor.speed"


def test_the_person_has_the_last_word():
    """By head, with or without its unit, by a name's last part, with a unit, or to leave it out."""
    said = "Spannung=battery.voltage V, U/min=rotor.speed, Wetter=conditions, x=none"
    assert taken("Spannung,U/min,Wetter,x\n1,2,a,b\n", said=said) == {
        "Spannung": "battery.voltage V", "U/min": "rotor.speed rpm", "Wetter": "conditions", "x": "none",
    }  # fmt: skip
    assert taken("Strom (A),rpm\n1,2\n", said="Strom=charge.current")["Strom (A)"] == "charge.current A"


@pytest.mark.parametrize(
    ("said", "words"),
    [("volts", "does not say what a column is"), ("amps=charge.current", "no column is headed 'amps'"),
     ("volts=batery.voltage", "no quantity called"), ("volts=battery.voltage A", "is not read in 'A'"),
     ("volts=rotor.speed", "would both be rotor.speed"), ("volts=none, rpm=none", "No column holds a quantity")],
)  # fmt: skip
def test_what_is_said_wrongly_is_refused(said, words):
    """In one line."""
    with pytest.raises(BadInput) as e:
        taken("volts,rpm\n1,2\n", "readings", said)
    assert words in str(e.value)


def test_what_was_said_of_a_header_is_remembered(s, path):
    """For the next table with the same one in this build; another header, and another build, know nothing of it."""
    first = table("Spannung;n\n12;300\n")
    remember(s, first, take(first, None, read_map("Spannung=battery.voltage V, n=rotor.speed rpm"), {}))
    again = take(table("spannung;n\n13;310\n"), None, {}, {}, remembered(s, table("spannung;n\n1;2\n")))
    # Heads are kept as they stood.
    kept = remembered(s, first)
    found = take(first, None, {}, {}, kept)
    assert [(c.target, c.why) for c in found.columns] == [
        ("battery.voltage", "remembered"),
        ("rotor.speed", "remembered"),
    ]
    assert [c.target for c in again.columns] == [c.target for c in found.columns]
    assert remembered(s, table("Spannung;m\n1;2\n")) == {}
    (path.parent / f"{path.name}.kept" / "tables.json").write_text("[")
    assert remembered(s, first) == {}


def test_a_wide_table_gives_a_reading_a_cell(s):
    """Date, time, wind, attempt hold for all of a line; an empty cell is no reading, a text is why there is none."""
    a = attempts.log_attempt(s, attempts.AttemptTyped("ran", wind="Bft 3", load_state="battery", began="2026-01-01"))
    made = logged(s, "Attempt;date;time;wind km/h;battery volts;Amps;rpm\nA1;2026-01-12;9:30;18;12,1;0,3;-\n"
                     "A1;;;;12,4;meter flat;n/a\n-;2026-01-13;;;;;\n")  # fmt: skip
    told = [
        (m.quantity, m.typed, m.value, m.missing_because, m.taken, m.wind, m.attempt_id, m.load_state) for m in made
    ]
    assert told == [
        ("battery.voltage", "12.1 V", 12.1, None, "2026-01-12T09:30Z", "18 km/h", a.key, "battery"),
        ("charge.current", "0.3 A", 0.3, None, "2026-01-12T09:30Z", "18 km/h", a.key, "battery"),
        ("battery.voltage", "12.4 V", 12.4, None, "2026-01-01", "Bft 3", a.key, "battery"),
        ("charge.current", None, None, "meter flat", "2026-01-01", "Bft 3", a.key, "battery"),
    ]
    assert [m.ref for m in made] == ["M1", "M2", "M3", "M4"]


def test_a_long_table_gives_a_reading_a_line(s):
    """Quantity, value and unit each in a column; and units in the cell."""
    made = logged(s, "what,value,unit,doubt\nbattery.voltage,12.1,V,0.1 V\nopen_voltage,31 V,,\nrotor.speed,,,\n")
    assert [(m.quantity, m.value, m.doubt) for m in made] == [
        ("battery.voltage", 12.1, "0.1 V"),
        ("generator.open_voltage", 31.0, None),
    ]


def test_every_bad_line_is_named(s):
    """With its number, its column, what was wrong and what would do; nothing is logged."""
    found = plan(s, "date,attempt,battery volts,rpm\n2026-01-12,A7,12.1,300\n2026-13-01,,12.4,3x9\n,,12.5,300\n"
                    "2026-01-14,,=A1*2,99999999\n2026-01-15,,12.6,310\n")  # fmt: skip
    told = [str(b) for b in found.bad]
    for at, words in (
        ("Line 2, column 'attempt'", "There is no attempt A7"), ("Line 3, column 'date'", "'2026-13-01'"),
        ("Line 4", "The date is empty"), ("Line 5, column 'battery volts'", "is a formula"),
    ):  # fmt: skip
        assert [t for t in told if t.startswith(at) and words in t], (at, told)
    with pytest.raises(BadInput):
        log_rows(s, found)
    assert s.exec(select(Measurement)).all() == []


def test_a_bad_number_names_its_column(s):
    """Out of range, no number, no unit, in a line that is right but for it."""
    found = plan(s, "rpm,battery voltage,wind\n99999999,12 V,\n3x9,12 V,\n300,12 kg,\n300,12 V,gusty 3\n")
    assert [(b.line, b.column) for b in found.bad] == [(2, "rpm"), (3, "rpm"), (4, "battery voltage"), (5, "wind")]


def test_slashed_days_are_read_as_the_person_says(s):
    """03/04/2023 is April or March; where nobody says which it is not guessed."""
    of = table("date,battery volts\n03/04/2023,12.1\n")
    how = take(of, None, {}, {})
    for month_first, day in ((False, "2023-04-03"), (True, "2023-03-04")):
        (entry,) = read_rows(s, of, how, month_first=month_first).entries
        assert entry.columns["taken"] == day
    assert len(read_rows(s, of, how).bad) == 1


def test_what_stands_already_is_told_and_left_out_only_when_wanted(s):
    """The same quantity, value, attempt and time."""
    text = "date,battery volts,rpm\n2026-01-12,12.1,300\n"
    logged(s, text)
    again = plan(s, text + "2026-01-13,12.1,300\n")
    assert [e.known for e in again.entries] == ["M1", "M2", "", ""]
    assert len(log_rows(s, again, skip_known=True)) == 2
    assert len(log_rows(s, again)) == 4


def test_attempts_parts_failures_and_claims(s):
    """Each kind through the very function that logs one, with whatever its flags can say."""
    parts = logged(
        s, 'part,role,price (EUR),weight,fate\nhub motor,generator,40,"4,1 kg",x\nmast,,,,\n', "parts", "fate=none"
    )
    assert [(p.name, p.cost, p.currency, p.mass) for p in parts] == [
        ("hub motor", 40.0, "EUR", 4.1),
        ("mast", None, None, None),
    ]
    assert len(s.exec(select(PartUse)).all()) == 2
    claims = logged(s, "power (W),wind (m/s),seller\n400,9,the motor's seller\n500,,a neighbour\n", "claims")
    assert [(c.said, c.power, c.wind_speed) for c in claims] == [("400 W at 9 m/s", 400.0, 9.0), ("500 W", 500.0, None)]
    tried = logged(s, "date,did,outcome,wind,hours\n2025-03-14,ran a week,part,Bft 5,20\n2025-04-01,a gale,failed,,\n")
    assert [(a.ref, a.began, a.outcome, a.hours) for a in tried] == [
        ("A1", "2025-03-14", "partly", 20.0),
        ("A2", "2025-04-01", "failed", None),
    ]
    failed = logged(
        s,
        "attempt,what failed,date,believed cause,sure\nA2,a blade broke,,thin root,60%\n,the fuse blew,2025-04-02,,\n",
        "failures",
    )
    assert [(f.saw, f.happened) for f in failed] == [("a blade broke", "2025-04-01"), ("the fuse blew", "2025-04-02")]
    for cls, count in ((Part, 2), (Claim, 2), (Attempt, 2), (Failure, 2)):
        assert len(records.all_records(s, cls, records.current_build(s))) == count


@pytest.mark.parametrize(
    ("text", "kind", "words"),
    [("did,outcome\n,worked\n", "attempts", "It says nothing of 'did'"),
     ("who,said\nhe,lots\n", "claims", "400 W at 9 m/s"),
     ("name,qty\nmast,none\n", "parts", "is not a count"), ("saw,sure\nx,60%\n", "failures", "belong to a cause")],
)  # fmt: skip
def test_lines_of_other_kinds_that_cannot_be_used(s, text, kind, words):
    """They are named like those of readings."""
    (bad,) = plan(s, text, kind).bad
    assert (bad.line, words in str(bad)) == (2, True)


def test_a_flag_that_does_not_concern_such_records_is_refused(s):
    """Nothing that was said goes nowhere."""
    with pytest.raises(BadInput, match="Parts have no wind"):
        plan(s, "part\nmast\n", "parts", wind="Bft 3")


def test_history_words_and_chain_are_whole(opened, path):
    """As if each had been logged by itself; the history says whence they came."""
    from journal.book import store
    from journal.book.search import find, read_terms
    from journal.book.tables import History

    with opened(write=True) as s:
        log_rows(s, plan(s, "rpm,note\n300,swallowtail\n310,\n"), source="it stood in a.csv")
    with opened() as s:
        rows = s.exec(select(History).where(History.kind == "measurement").order_by(History.id)).all()
        assert [(r.ref, r.action, r.why) for r in rows] == [
            ("M1", "add", "it stood in a.csv"),
            ("M2", "add", "it stood in a.csv"),
        ]
        assert [hit.ref for hit in find(s, read_terms("swallowtail"))] == ["M1"]
    assert health.first_fault(path) is None
    assert store.exists(path)


#: A table as Hypothesis makes it, in the units shown: some quantities, a line a moment, some cells empty.
NUMBERS = st.integers(1, 999).map(lambda n: n / 10)


@given(
    quantities=st.lists(
        st.sampled_from(["battery.voltage", "charge.current", "rotor.speed", "cable.drop"]), min_size=1, unique=True
    ),
    lines=st.lists(st.lists(st.none() | NUMBERS, min_size=4, max_size=4), min_size=1, max_size=5),
    separator=st.sampled_from(["\t", ";", ",", "|"]),
    comma=st.booleans(),
    wide=st.booleans(),
)
@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_table_written_from_records_gives_the_same_records(s, quantities, lines, separator, comma, wide):
    """Wide or long, whatever parts cells and decimals: number for number."""
    wanted = [
        (i, q, v) for i, line in enumerate(lines, 2) for q, v in zip(quantities, line, strict=False) if v is not None
    ]
    written = lambda v: "" if v is None else str(v).replace(".", "," if comma else ".")  # noqa: E731
    text = io.StringIO()
    to = csv.writer(text, delimiter=separator)
    if wide:
        to.writerow([f"{q} ({QUANTITIES[q].shown})" for q in quantities] + ["conditions"])
        to.writerows([*map(written, line[: len(quantities)]), "dry"] for line in lines)
    else:
        to.writerow(["quantity", "value", "unit", "conditions"])
        to.writerows([q, written(v), QUANTITIES[q].shown, "dry"] for _, q, v in wanted)
    found = plan(s, text.getvalue(), "readings")
    assert found.bad == []
    got = [
        (e.typed.quantity, round(float(to_shown(e.columns["value"], QUANTITIES[e.typed.quantity].shown)), 9))
        for e in found.entries
    ]
    assert got == [(q, v) for _, q, v in wanted]
    if wide:
        assert [e.line for e in found.entries] == [line for line, *_ in wanted]


SPUN = "rpm,volts\n300,3.9\n600,8.7\n900,13.6\n1200,18.4\n"


def test_a_spin_test_gives_the_constant(s):
    """The number is that of the attempt's own screen; the sheet's line can be typed."""
    found = spun_from(plan(s, SPUN, load_state="nothing connected"))
    ((typed, known),) = found.values.values()
    assert (typed[:9], known) == ("61.98 rpm", "measured")
    assert found.commands == [f'galebook set generator.emf_constant "{typed}" --from measured']
    assert len(found.points) == 4
    assert not any(p.astray for p in found.points)


def test_a_misread_voltage_is_named_and_goes_on_no_sheet(s):
    """By its line; then no value is offered."""
    found = spun_from(plan(s, SPUN.replace("13.6", "16.3") + "1500,23.2\n", load_state="nothing connected"))
    assert [p.line for p in found.points if p.astray] == [4]
    assert found.values == {}
    assert "line 4 fits none of the others" in " ".join(found.told)


def test_lines_under_load_give_the_winding(s):
    """0.154 V s/rad less 0.95 V, and 0.4 ohm times the current: open lines give the constant, the others the ohms."""
    text = "rpm,volts,amps\n300,3.9,\n600,8.75,0\n900,13.57,\n600,7.93,2.0\n900,11.75,4.5\n1200,16.0,6.0\n"
    found = plan(s, text, said="volts=generator.voltage")
    assert [e.typed.load_state for e in found.entries if e.line in (2, 5)] == ["nothing connected"] * 2 + [
        "not known"
    ] * 3
    told = spun_from(found)
    assert set(told.values) == {"generator.emf_constant", "generator.winding_resistance"}
    assert float(told.values["generator.winding_resistance"][0].split()[0]) == pytest.approx(0.4, abs=0.02)


@pytest.mark.parametrize(
    ("text", "shared"),
    [("rpm,battery volts\n300,12\n600,13\n", {}), ("rpm,open voltage (V)\n300,3.9\n", {}),
     ("rpm,open voltage (V)\n300,3.9\n600,8\n", {"load_state": "battery"}), ("rpm,open voltage (V)\n0,3.9\n0,8\n", {})],
)  # fmt: skip
def test_other_tables_are_no_spin_test(s, text, shared):
    """Another voltage, one line, something connected, no speed."""
    assert spun_from(plan(s, text, **shared)) is None


def test_voltages_that_fall_with_speed_are_no_generator(s):
    """That is told, and nothing is offered."""
    found = spun_from(plan(s, "rpm,open voltage (V)\n300,8\n600,4\n900,2\n"))
    assert (found.values, "do not rise with speed" in found.told[0]) == ({}, True)
