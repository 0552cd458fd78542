"""What all screens are written with: lines, blocks and tables as they stand, and JSON of whatever is shown."""

import json
import math
import shlex
from dataclasses import dataclass

import pytest

from calc.finding import Source, Status
from journal.book.tables import Attempt, Build, Revision, SheetValue
from journal.screens import terminal


@pytest.fixture
def out():
    """A place to write on, a hundred columns wide."""
    return terminal.Terminal()


def test_a_block_stands_under_its_heading(out, capsys):
    """A line apart, set in by two; nothing at all where there are no lines."""
    out.title("r2")
    out.block("To do", ["measure", "amend"])
    out.block("Nothing", [])
    out.indent("deeper", 4)
    out.pieces(("one ", "bold"), ("two", ""))
    said = [row.rstrip() for row in capsys.readouterr().out.splitlines()]
    assert said == ["r2", "", "To do", "  measure", "  amend", "    deeper", "one two"]


def test_what_carries_its_meaning_by_place_is_never_folded(out, capsys):
    """Any other paragraph is, between words, at a hundred columns."""
    long = "word " * 30
    out.unfolded(long)
    out.line(long)
    first, *rest = capsys.readouterr().out.splitlines()
    assert first == long
    assert len(rest) == 2
    assert max(map(len, rest)) <= 100


@pytest.mark.parametrize("width", [40, 60, 100])
def test_a_command_that_does_not_fit_stays_one_command(capsys, monkeypatch, width):
    """A shell that is given its lines reads the same words; what stands in quotes is never cut."""
    monkeypatch.setenv("COLUMNS", str(width))
    command = 'galebook set cable.mast.area "16 mm²" --doubt "2 %" --from measured --on r2 --correct "read as M7"'
    terminal.Terminal().command(command, 4)
    said = capsys.readouterr().out
    assert shlex.split(said.replace("\\\n", " ")) == shlex.split(command)
    assert max(map(len, said.splitlines())) <= width
    assert said.startswith("    galebook set ")


def test_a_table_folds_its_cells_but_never_a_name(out, capsys):
    """Such as that of a rule, which is to be copied; values of any kind are shown as they print."""
    name = "a.rule-with-a-name-as-long-as-they-get"
    out.table(("Rule", "Says", "n"), [(name, "word " * 40, 3)])
    head, line, *rows = capsys.readouterr().out.splitlines()
    assert [w for w in head.split() if w] == ["Rule", "Says", "n"]
    assert set(line.strip()) == {"─"}
    assert any(name in row for row in rows)
    assert rows[0].rstrip().endswith("3")
    assert sum(row.count("word") for row in rows) == 40
    assert len(rows) > 2


def test_facts_stand_side_by_side(out, capsys):
    """Labels in a column of their own."""
    out.facts([("when", "2026-01-08"), ("wind", "Bft 5")])
    assert [row.rstrip() for row in capsys.readouterr().out.splitlines()] == ["when  2026-01-08", "wind  Bft 5"]


@dataclass
class Thing:
    """A view."""

    status: Status
    values: tuple[float, ...]


SOURCE = Source("Handbook", "Table 3")


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (1.5, 1.5), (math.nan, None), (math.inf, None), (-math.inf, None), (3, 3), (None, None), ("word", "word"),
        (True, True), (Status.OK, "ok"), ([1, math.nan], [1, None]), ((1, 2), [1, 2]), ({1: math.inf}, {"1": None}),
        (Thing(Status.FAIL, (1.0, math.nan)), {"status": "fail", "values": [1.0, None]}),
        (SOURCE, {"title": "Handbook", "place": "Table 3", "standing": "published"}),
    ],
)  # fmt: skip
def test_anything_that_is_shown_is_json(value, shown):
    """Also what is not finite, for which JSON has no word (RFC 8259, section 6)."""
    assert terminal.plain(value) == shown
    json.dumps(terminal.plain(value), allow_nan=False)


def test_records_begin_with_their_reference():
    """Then their own columns, without the numbers that only the file knows; a build has its name."""
    tried = terminal.plain(Attempt(build_id=7, number=3, id=9, kind="run", began="2026-01-08", outcome="worked"))
    assert next(iter(tried)) == "ref"
    assert (tried["ref"], tried["kind"]) == ("A3", "run")
    assert {"id", "build_id"} & set(tried) == set()
    build = terminal.plain(Build(id=7, name="Shed", recorded_at=""))
    assert build["name"] == "Shed"
    assert {"ref", "id"} & set(build) == set()
    row = terminal.plain(SheetValue(id=1, revision_id=2, path="rotor.blades", typed="3", provenance="measured"))
    assert (row["id"], row["path"]) == (1, "rotor.blades")
    assert {"id", "number"} & set(terminal.columns_of(Revision(build_id=1, number=2), "id", "number")) == set()


@pytest.mark.parametrize(("title", "head"), [("Bigger", "r2 Bigger"), (None, "r2"), ("", "r2")])
def test_a_revision_heads_its_screens(title, head):
    """With its title where it has one."""
    assert terminal.revision_title(Revision(build_id=1, number=2, title=title)) == head


@pytest.mark.parametrize("as_json", [True, False])
def test_a_screen_has_two_forms(capsys, as_json):
    """The text for people with whatever is asked of it, the JSON always whole."""

    @terminal.screen(lambda thing: {"status": thing.status, "size": math.nan})
    def show(out, thing, brief=False):
        """Says it."""
        out.line(f"{thing.status}{'' if brief else ' indeed'}")

    show(Thing(Status.OK, ()), as_json, brief=True)
    said = capsys.readouterr().out
    assert said == ('{\n  "status": "ok",\n  "size": null\n}\n' if as_json else "ok\n")
    assert show.__doc__ == "Says it."
