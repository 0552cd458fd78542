"""A comparison in five lines, what changed in the order of what it moves, and what is folded."""

import json
import re
from types import SimpleNamespace

import pytest

from calc.finding import Finding, Status
from calc.machine.system import KeyFigure
from calc.units import show
from journal.book import records, revisions, sheet, store
from journal.review import comparison, summary, verdict

NAN, INF = float("nan"), float("inf")
KWH = 3.6e6


def figure(value, low=NAN, high=NAN, unit="kWh"):
    """A figure with its range, as shown."""
    return KeyFigure("x", "X", value * KWH, low * KWH, high * KWH, unit)


def review(energy=None, charging=None, findings=()):
    """A review that has some figures and findings."""
    figures = {"yearly_energy": energy, "charging_wind": charging}
    of = lambda *statuses: [f for f in findings if f.status in statuses]  # noqa: E731
    return SimpleNamespace(
        system=SimpleNamespace(figures={k: v for k, v in figures.items() if v}), with_status=of,
        deadly=[f for f in findings if f.deadly], findings=list(findings), accepted={},
        by_key={f.key: f for f in findings},
    )  # fmt: skip


ENERGY = [
    (figure(16, 1.2, 52), figure(540, 240, 940),
     "16 kWh a year before (1.2 to 52), 540 kWh now (240 to 940): 34 times as much, at least 4 times.", True),
    (figure(100, 50, 150), figure(120, 60, 180),
     "100 kWh a year before (50 to 150), 120 kWh now (60 to 180): 20 % more, but the doubts are wider than the "
     "difference.", False),
    (figure(200), figure(100), "200 kWh a year before, 100 kWh now: 50 % less.", True),
    (figure(100), figure(101), "100 kWh a year before, 100 kWh now: about as much.", True),
    (figure(0), figure(10), "0 kWh a year before, 10 kWh now: it gave nothing.", True),
    (figure(10), figure(0), "10 kWh a year before, 0 kWh now: it gives nothing.", True),
    (None, figure(10, 5, 15), "not known a year before, 10 kWh now (5 to 15).", None),
    (None, None, "not known a year before, not known now.", None),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "says", "settled"), ENERGY)
def test_energy_is_told_with_its_doubt(old, new, says, settled):
    """Nothing is called more that the doubts do not settle, and nothing that is not known is computed with."""
    line = summary._energy(SimpleNamespace(old=review(old), new=review(new)))
    assert (line.says, line.data["settled"]) == (says, settled)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (8.1, 3.6, "From 8.1 m/s before, from 3.6 m/s now."), (INF, 3.6, "Never before, from 3.6 m/s now."),
        (None, INF, "Not known before, never now."),
    ],
)  # fmt: skip
def test_charging_is_told_as_a_wind(old, new, says):
    """Or as never, or as not known."""
    sides = [None if v is None else KeyFigure("x", "X", v, NAN, NAN, "m/s") for v in (old, new)]
    told = summary._charging(SimpleNamespace(old=review(charging=sides[0]), new=review(charging=sides[1])))
    assert told.says == says


def turn(before, after, title="What stops the rotor"):
    """One finding on both sides."""
    sides = [None if s is None else Finding("a.b", "rotor", Status(s), title, "s.") for s in (before, after)]
    return comparison.Turn(title, "rotor", *sides, comparison._turn(*sides))


FATES = [
    ("danger", "ok", "shown to be gone: 1"), ("danger", "marginal", "shown to be gone: 1"),
    ("danger", "stated", "now only stated, not checked: what stops the rotor"),
    ("danger", "unknown", "no longer known: what stops the rotor"), ("danger", None, "no longer applies: 1"),
    ("danger", "fail", "fails now: what stops the rotor"), ("danger", "danger", "still: what stops the rotor"),
    ("ok", "danger", "new: what stops the rotor"), (None, "danger", "new: what stops the rotor"),
]  # fmt: skip


@pytest.mark.parametrize(("before", "after", "says"), FATES)
def test_what_became_of_a_danger(before, after, says):
    """Only what a number or a rule settled is called gone."""
    t = turn(before, after)
    sides = [review(findings=[f] if f else []) for f in (t.old, t.new)]
    told = summary._dangers(SimpleNamespace(old=sides[0], new=sides[1], turns=[t])).says
    assert says in told.lower()
    assert ("shown to be gone" in told.lower()) == (after in ("ok", "marginal"))


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ("danger", "stated", "now only stated, not checked"), ("fail", "stated", "now only stated, not checked"),
        ("unknown", "stated", "now only stated, not checked"), ("ok", "stated", "now only stated, not checked"),
        ("stated", "stated", "same"), ("stated", "ok", "now checked"), ("stated", "marginal", "now checked"),
        ("stated", "fail", "worse"), ("stated", "danger", "worse"), ("stated", "unknown", "no longer known"),
    ],
)  # fmt: skip
def test_what_is_only_stated_is_never_better(before, after, said):
    """Whatever it was before."""
    assert turn(before, after).turn == said


@pytest.fixture
def both(story):
    """The demo's two revisions compared: the session, and the comparison."""
    with store.journal(story) as s:
        yield s, comparison.compare(s, "r1", "r2")


def test_the_demo_in_five_lines(both, run):
    """Each line with its numbers, and the same as data."""
    s, c = both
    lines = {line.name: line for line in summary.summary(s, c)}
    assert list(lines) == ["purpose", "yearly_energy", "charging_wind", "dangers", "cost"]
    assert lines["purpose"].says == (
        "r1 hardly charged, and threw a blade. Answers F1; against F3 not yet shown to work; nothing against F2."
    )
    assert lines["purpose"].data["decided"]["D1"] == "24 V"
    new = c.new.system.figures["yearly_energy"]
    assert show(new.value, "kWh", 2) in lines["yearly_energy"].says
    assert lines["yearly_energy"].data["new"]["value"] == pytest.approx(new.value / KWH)
    assert "what stops the rotor" in lines["dangers"].data["became"]["now only stated, not checked"]
    assert lines["cost"].data == {"old": {"GBP": 99.0}, "new": {"GBP": 1010.0}, "new_parts": {"GBP": 1004.0}}
    data = json.loads(run("compare", "r1", "r2", "--json").out)["summary"]
    assert {name: part["says"] for name, part in data.items()} == {name: line.says for name, line in lines.items()}
    head = run("compare", "r1", "r2").out.splitlines()[1:12]
    assert [w for row in head for w in re.findall(r"^(For|Energy|Charges|Dangers|Cost) ", row)] == [
        "For", "Energy", "Charges", "Dangers", "Cost",
    ]  # fmt: skip


def test_without_a_reason_the_decisions_tell_what_it_was_for(s):
    """And without any, nobody said; a look back says that it is one."""
    sheet.set_values(s, records.find_revision(s), {"rotor.diameter": {"typed": "2 m"}})
    revisions.revise(s)
    pair = [verdict.check(s, ref) for ref in ("r1", "r2")]
    assert summary.summary(s, comparison.side_by_side(s, *pair))[0].says == "Nobody said."
    back = comparison.side_by_side(s, *reversed(pair))
    assert summary.summary(s, back)[0].says == "This looks back: r1 came before r2."


def test_what_moves_most_stands_first(both):
    """Generator, rotor and storage before labels and fuses; each value that both state stands once."""
    _, c = both
    order = [m.changed.path for m in summary.put_back(c)]
    assert sorted(order) == sorted(row.path for row in c.changed if row.old and row.new)
    first = set(order[:6])
    assert {"generator.emf_constant", "rotor.diameter", "storage.voltage"} <= first
    assert order.index("rotor.overspeed") < order.index("storage.coldest")
    assert order.index("rotor.diameter") < order.index("cable.mast.fuse_voltage")
    weights = [m.weight for m in summary.put_back(c)]
    assert weights == sorted(weights, reverse=True)


@pytest.mark.parametrize(
    "path", ["rotor.diameter", "storage.voltage", "rotor.overspeed", "house.feed", "blade.chord_tip"]
)
def test_what_a_value_left_as_it_was_would_do_is_what_check_says(both, path):
    """The same change through the whole verdict brings the same dangers, fails and energy."""
    s, c = both
    one = next(m for m in summary.put_back(c) if m.changed.path == path)
    after = verdict.check(s, "r2", changes={path: c.old.sheet.values[path].typed})
    for status, more in ((Status.DANGER, one.dangers), (Status.FAIL, one.fails)):
        assert len(after.with_status(status)) - len(c.new.with_status(status)) == more
    if one.energy is not None:
        assert after.system.figures["yearly_energy"].value == pytest.approx(one.energy, rel=1e-6)


def test_a_value_that_does_not_fit_the_rest_is_told_so(both):
    """The old pipe is too small for the new root."""
    _, c = both
    assert next(m for m in summary.put_back(c) if m.changed.path == "blade.pipe_diameter").text == "does not fit"


def test_what_only_one_states_and_what_did_not_turn_is_folded(story, run):
    """To one line each, which says how to see it; nothing that is wrong is ever folded."""
    short, full = (run("compare", "r1", "r2", *more).out for more in ((), ("--all",)))
    flat = " ".join(short.split())
    found = json.loads(run("compare", "r1", "r2", "--json").out)
    assert re.search(r"\d+ that only r2 states: galebook compare r1 r2 --all", flat)
    assert re.search(r"\d+ that did not turn \(", flat)
    assert "Stated for r2 only" not in short
    assert "Stated for r2 only" in full
    assert "that did not turn" not in full
    same = [f for f in found["findings"] if f["turn"] == "same"]
    assert {f["title"] for f in same if f["new"]["status"] == "ok"}
    for f in found["findings"]:
        wrong = any(side and side["status"] in ("danger", "fail") for side in (f["old"], f["new"]))
        head = f["title"].split()[0]
        assert head in full
        if wrong:
            assert head in short


def test_a_danger_that_stays_is_shown(s, path, run):
    """Though it did not turn."""
    plugs = {"house.feed": {"typed": "inverter into a socket by a lead with two plugs"}}
    sheet.set_values(s, records.find_revision(s), plugs)
    revisions.revise(s)
    s.commit()
    said = " ".join(run("compare", "r1", "r2").out.split())
    assert "Still: " in said
    assert re.search(r"danger danger same", said)


def test_the_deciding_figure_has_its_unit(story, run):
    """A number in a finding's cell is never bare."""
    said = run("compare", "r1", "r2").out
    cells = re.findall(r"(?:danger|fail|marginal|ok), ([\d.]+)( [^\s]+)?", said)
    assert len(cells) > 10
    assert all(unit.strip() for _, unit in cells)
