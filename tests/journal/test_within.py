"""Options, causes, evidence and readings put right by their references, with what rests on them computed anew."""

import json

import pytest

from tests.conftest import rows


@pytest.fixture
def failed(do, path):
    """A failure with two causes and two pieces of evidence."""
    do(
        "fail 'hardly charged' --cause 'weak magnets' --sure 60%",
        "cause F1 'thin cable' --sure 20%",
        "evidence F1 'as on the plate' --leans against --cause 1",
        "evidence F1 'it was warm' --cause 2",
    )
    return path


@pytest.fixture
def asked(do, path):
    """An open decision with two options."""
    do("decide 'Which pipe?'", "option D1 'steel [/] pipe'", "option D1 'aluminium' --set storage.voltage='24 V'")
    return path


CAUSES = [
    ("F1.1", "what=weak rotor", "what", "weak rotor"),
    ("F1.2", "sure=0.3", "sure", 0.3),
    ("F1.2", "because=it was warm", "because", "it was warm"),
    ("f1.2", "said_on=2026-01-12", "said_on", "2026-01-12"),
    ("F1.1", "standing=contributing", "standing", "contributing"),
    ("F1.1", "rule=wiring.voltage-drop", "rule", "wiring.voltage-drop"),
]


@pytest.mark.parametrize(("ref", "change", "column", "value"), CAUSES)
def test_a_cause_is_corrected(failed, run, ref, change, column, value):
    """By the number that show tells; the history keeps what stood there, and why."""
    done = run("amend", ref, change, "--because", "a slip")
    assert done.code == 0, done.err
    number = int(ref[-1])
    assert rows(failed, f"SELECT {column} FROM cause WHERE id = ?", number) == [(value,)]
    (last,) = rows(failed, "SELECT action, ref, why FROM history ORDER BY id DESC LIMIT 1")
    assert last == ("correction", "F1 cause", "a slip")


def test_evidence_is_corrected(failed, do):
    """Its words, which way it leans, which cause it is about, and the reading that shows it."""
    do(
        "measure '12 V' battery.voltage",
        "amend F1.e1 'what=58 rpm/V, and the plate says 62' --because 'read again'",
        "amend F1.e1 leans=for --because x",
        "amend F1.e1 cause=2 --because x",
        "amend F1.e1 measurement=M1 --because x",
    )
    assert rows(failed, "SELECT what, leans, cause_id, measurement_id FROM evidence WHERE id = 1") == [
        ("58 rpm/V, and the plate says 62", "for", 2, 1)
    ]
    do("amend F1.e1 cause=none --because x", "amend F1.e1 measurement=none --because x")
    assert rows(failed, "SELECT cause_id, measurement_id FROM evidence WHERE id = 1") == [(None, None)]


def test_a_cause_rejected_by_mistake_stands_again(failed, do, run):
    """To give one up is a step of its own."""
    do("reject F1 1 --because 'the spin test'", "amend F1.1 'rejected_because=the second spin test' --because x")
    assert "rejected: the second spin test" in " ".join(run("show", "F1").out.split())
    do("amend F1.1 standing=believed --because 'the test was of another motor'")
    assert rows(failed, "SELECT standing, rejected_because FROM cause WHERE id = 1") == [("believed", None)]
    for change in ("standing=rejected", "rejected_because=x"):
        refused = run("amend", "F1.1", change, "--because", "x")
        assert (refused.code, "galebook reject" in refused.err) == (2, True)


def test_what_was_taken_back_leaves_its_number_unused(failed, do, run):
    """The others keep theirs, in show and for reject; a new one gets the next. The history tells the reason."""
    do("withdraw F1.e1 --because 'of another failure'", "withdraw F1.1 --because 'of another failure'")
    shown = run("show", "F1").out
    assert ["2. thin cable" in shown, "e2. for: it was warm" in shown, "weak magnets" in shown] == [True, True, False]
    assert [c["ref"] for c in json.loads(run("show", "F1", "--json").out)["causes"]] == ["F1.2"]
    assert run("reject", "F1", "1", "--because", "x").code == 1
    do("cause F1 'too fast a motor'", "reject F1 3 --because x")
    assert rows(failed, "SELECT what, standing FROM cause ORDER BY id") == [
        ("thin cable", "believed"), ("too fast a motor", "rejected"),
    ]  # fmt: skip
    assert rows(failed, "SELECT ref, why FROM history WHERE action = 'remove' ORDER BY id") == [
        ("F1 evidence", "of another failure"), ("F1 cause", "of another failure"),
    ]  # fmt: skip


def test_the_last_one_taken_back_leaves_its_number_unused_too(failed, do, run):
    """Where the database gives its row to the next."""
    do("withdraw F1.e2 --because x", "withdraw F1.2 --because x", "cause F1 'too fast a motor'")
    assert "3. too fast a motor" in run("show", "F1").out
    do("amend F1.3 sure=0.9 --because x")
    assert run("amend", "F1.2", "sure=0.9", "--because", "x").code == 1


def test_a_cause_with_evidence_is_not_taken_back(failed, run):
    """The evidence is named."""
    refused = run("withdraw", "F1.1", "--because", "x")
    assert (refused.code, "F1.e1" in refused.err) == (1, True)


def test_an_option_is_corrected(asked, do, run):
    """Also one whose name broke the screen; what it does is computed anew where it sets something else."""
    do("amend D1.1 'name=steel pipe' --because 'misspelt'", "amend D1.1 cost='30 EUR' --because x")
    do("amend D1.1 mass='4 kg' --because x", "amend D1.1 summary='as sold' --because x")
    assert rows(asked, "SELECT name, cost, currency, mass, summary FROM option WHERE position = 1") == [
        ("steel pipe", 30.0, "EUR", 4.0, "as sold")
    ]
    before = rows(asked, "SELECT consequences FROM option ORDER BY position")
    do("amend D1.2 'changes=storage.voltage=48 V, mast.kind=guyed tilt-up' --because 'meant 48'")
    assert rows(asked, "SELECT changes FROM option WHERE position = 2") == [
        ('{"storage.voltage": "48 V", "mast.kind": "guyed tilt-up"}',)
    ]
    after = rows(asked, "SELECT consequences FROM option ORDER BY position")
    assert (before[0] == after[0], before[1] == after[1]) == (True, False)
    do("amend D1.2 changes=none --because x")
    assert rows(asked, "SELECT changes FROM option WHERE position = 2") == [("{}",)]


def test_what_an_option_sets_must_fit_the_sheet(asked, run):
    """And two options of one decision have two names."""
    for change in ("changes=storage.voltage=24 kg", "changes=24 V", "changes=rotor.diametre=2 m", "mass=4 V"):
        assert run("amend", "D1.2", change, "--because", "x").code == 2
    refused = run("amend", "D1.2", "name=Steel [/] pipe", "--because", "x")
    assert (refused.code, "has an option" in refused.err) == (1, True)
    assert run("amend", "D1.2", "name=Aluminium", "--because", "capital").code == 0


def test_an_option_that_a_danger_comes_with_is_told(asked, do):
    """As when it was added."""
    said = do("amend D1.2 'changes=house.feed=inverter into a socket by a lead with two plugs' --because x").err
    assert "cannot be chosen" in said
    assert rows(asked, "SELECT refused_because IS NULL FROM option ORDER BY position") == [(1,), (0,)]


def test_an_option_is_taken_back_with_its_marks(asked, do, run):
    """Unless the decision rests on it; its number is not used again."""
    do("criterion D1 looks --weight 2", "mark D1 2 looks 7", "withdraw D1.2 --because 'not sold'", "option D1 wood")
    assert rows(asked, "SELECT position, name FROM option ORDER BY position") == [(1, "steel [/] pipe"), (3, "wood")]
    assert rows(asked, "SELECT count(*) FROM score") == [(0,)]
    do("choose D1 3 --because x")
    refused = run("withdraw", "D1.3", "--because", "x")
    assert (refused.code, "was chosen" in refused.err) == (1, True)
    assert run("amend", "D1.3", "changes=none", "--because", "x").code == 1
    do("amend D1.3 name=larch --because 'to be exact'")


@pytest.mark.parametrize("ref", ["D1.3", "D1.e1", "F1.e9", "F1.9", "A1.1", "F1.x1"])
def test_what_is_not_there_is_told_with_what_is(failed, do, run, ref):
    """One line, with what would be accepted."""
    do("decide 'Which pipe?'", "option D1 steel", "attempt x")
    for call in (["amend", ref, "what=x"], ["withdraw", ref]):
        refused = run(*call, "--because", "x")
        assert (refused.code, refused.err.count("\n")) == (1, 1)
    if ref == "F1.9":
        assert "F1.1, F1.2" in refused.err


# Readings


@pytest.fixture
def read(do, path):
    """Two runs of two revisions, and readings in the first: one with the wind of its own, one of no run."""
    do(
        "set rotor.blades 3",
        "attempt one --when 2026-05-01 --wind 'Bft 5' --load battery",
        "revise --because x",
        "attempt two --when 2026-06-01 --wind 'Bft 3' --load 'nothing connected' --on r2",
        "measure '12.1 V' battery.voltage -a A1",
        "measure '12.2 V' battery.voltage -a A1 --wind '9 m/s' --load 'short circuit' --when 2026-05-02",
        "measure '12.3 V' battery.voltage --load battery --on r1",
    )
    return path


COLUMNS = "attempt_id, revision_id, taken, wind, wind_low IS NULL, load_state"


@pytest.mark.parametrize(
    ("ref", "row"),
    [
        ("M1", (2, 2, "2026-06-01", "Bft 3", 0, "nothing connected")),
        ("M2", (2, 2, "2026-05-02", "9 m/s", 0, "short circuit")),
        ("M3", (2, 2, "2026-11-25", None, 1, "battery")),
    ],
)
def test_a_reading_of_another_attempt(read, do, ref, row):
    """It has its revision, and wind, day and load where it had those of the former; what was said of it stays."""
    do(f"amend {ref} attempt=A2 --because 'logged with the wrong run'")
    assert rows(read, f"SELECT {COLUMNS} FROM measurement WHERE number = ?", int(ref[1:])) == [row]
    do(f"amend {ref} attempt=none --because 'of no run'")
    assert rows(read, f"SELECT {COLUMNS} FROM measurement WHERE number = ?", int(ref[1:])) == [(None, *row[1:])]


def test_a_reading_there_and_back_is_as_it_was(read, do, run):
    """What it has from an attempt goes with that, also to one of which less is known; the message says what went."""
    was = rows(read, f"SELECT {COLUMNS} FROM measurement ORDER BY number")
    do("attempt 'spun in the shed' --kind bench --when 2026-05-20")
    for ref in ("M1", "M2"):
        moved = run("amend", ref, "attempt=A3", "--because", "the wrong run")
        assert "and with it its" in moved.err
        assert ("wind" in moved.err) == (ref == "M1")
        do(f"amend {ref} attempt=A1 --because 'no, it was right'")
    assert rows(read, f"SELECT {COLUMNS} FROM measurement ORDER BY number") == was


def test_what_a_withdrawal_opens_again_is_told(story, run):
    """A failure whose correction or proof is gone, with its next step."""
    said = run("withdraw", "D1", "--because", "a slip").err
    assert "F1 is open again: choose a correction" in said
    assert "open again" not in run("withdraw", "M7", "--because", "a slip").err


def test_a_reading_is_not_put_where_nothing_is(read, do, run):
    """No such attempt, one that was withdrawn, another kind of record."""
    do("withdraw A2 --because x")
    assert [run("amend", "M1", f"attempt={a}", "--because", "x").code for a in ("A9", "A2", "r1", "x")] == [1, 1, 2, 2]


@pytest.mark.parametrize(
    ("typed", "change", "row"),
    [
        ("12.1 V +- 0.1 V", "generator.voltage", ("generator.voltage", 12.1, 12.0, 12.2, "battery")),
        ("12.1 V", "quantity", None),
        ("12.1 V", "charge.current", None),
        ("12.1 V", "charge.current 0.3 A", ("charge.current", 0.3, 0.3, 0.3, "battery")),
        ("12.1 V", "rotor.speed 320 rpm +- 2 %", ("rotor.speed", 33.5103, 32.8401, 34.1805, "battery")),
        ("12.1 V", "wind.speed 900 m/s", None),
    ],
)
def test_a_reading_of_another_quantity(do, run, path, typed, change, row):
    """Its value is read in the units of that, within its limits; the load stays. 320 rpm are 320 times pi over 30."""
    from calc.quantities import QUANTITIES

    if change == "generator.voltage":
        # Another quantity in volts, whichever the catalogue has.
        change = next(q for q, asked in QUANTITIES.items() if asked.unit == "V" and q != "battery.voltage")
        row = (change, *row[1:])
    do(f"measure '{typed}' battery.voltage --load battery")
    done = run("amend", "M1", f"quantity={change}", "--because", "the other lead")
    found = rows(path, "SELECT quantity, value, low, high, load_state FROM measurement")[0]
    if row is None:
        assert (done.code, found[0]) == (2, "battery.voltage")
        assert done.err.count("\n") == 1
    else:
        assert done.code == 0, done.err
        assert found == (row[0], *(pytest.approx(v, rel=1e-5) for v in row[1:4]), row[4])


def test_a_meter_s_accuracy_holds_for_a_corrected_value(do, path):
    """0.8 % of 12.50 V and 3 of the last digit; also where it is of another quantity."""
    from calc.quantities import QUANTITIES

    other = next(q for q, asked in QUANTITIES.items() if asked.unit == "V" and q != "battery.voltage")
    do("instrument meter --accuracy '0.8 % + 3 digits'", "measure '11.5 V' battery.voltage --instrument I1")
    do("amend M1 value='12.50 V' --because 'misread'")
    limits = (12.5 - 0.13, 12.5 + 0.13)
    assert rows(path, "SELECT low, high FROM measurement") == [pytest.approx(limits)]
    do(f"amend M1 quantity={other} --because 'the other lead'")
    assert rows(path, "SELECT low, high FROM measurement") == [pytest.approx(limits)]


def test_a_reading_that_was_not_taken_can_be_of_something_else(do, path):
    """Or be given its value after all."""
    do("measure rotor.speed --missing 'no tachometer'", "amend M1 quantity=battery.voltage --because x")
    assert rows(path, "SELECT quantity, missing_because FROM measurement") == [("battery.voltage", "no tachometer")]
    do("amend M1 'quantity=battery.voltage 12.1 V' --because 'found the note'")
    assert rows(path, "SELECT value, missing_because FROM measurement") == [(12.1, None)]
