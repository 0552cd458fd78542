"""What waits to be done, dated and undated; names before values; the history of one value; sums of a bill."""

import json

import pytest


@pytest.fixture
def do(run, path):
    def command(*words):
        done = run(*words)
        assert done.code == 0, (words, done.err)
        return done

    return command


def _todo(do):
    return [(t["ref"], t["over"]) for t in json.loads(do("todo", "--json").out)]


def test_a_promised_reading_waits_until_it_is_taken(do, run):
    do("measure", "rotor.speed", "--missing", "no tachometer", "--by", "2027-03-01")
    do("measure", "rotor.speed", "--missing", "no tachometer", "--by", "2020-03-01")
    assert _todo(do) == [("M2", True), ("M1", False)]
    assert "speed of the rotor" in do("todo").out
    do("measure", "charge.current", "3 A")
    assert len(_todo(do)) == 2
    do("measure", "rotor.speed", "320 rpm")
    assert _todo(do) == []
    assert "Nothing waits" in do("todo").out
    told = run("measure", "rotor.speed", "320 rpm", "--by", "2027-03-01")
    assert told.code == 2
    assert "--by" in told.err


def test_failures_decisions_and_papers_wait(do):
    do("fail", "hummed")
    do("decide", "Which voltage?")
    do("paper", "house", "--kind", "insurance", "--until", "2020-01-01")
    do("paper", "mast", "--kind", "permission", "--until", "2099-01-01")
    assert _todo(do) == [("L1", True), ("F1", False), ("D1", False), ("L2", False)]
    said = do("todo").out
    assert said.index("Over") < said.index("L1") < said.index("To do") < said.index("F1") < said.index("Until a day")
    do("withdraw", "F1", "--because", "not so")
    assert _todo(do) == [("L1", True), ("D1", False), ("L2", False)]


@pytest.mark.parametrize("words", [("battery.voltage", "12.1 V"), ("12.1 V", "battery.voltage")])
def test_either_order_is_understood(do, run, words):
    done = run("measure", *words)
    assert done.code == 0
    assert "battery.voltage, 12.1 V" in done.err


def test_two_values_or_two_names_are_refused(run, path):
    for words in (("12 V", "13 V"), ("battery.voltage", "charge.current"), ("3 A",)):
        assert run("measure", *words).code == 2


def test_a_correction_is_understood_with_and_without_the_sign(do):
    do("attempt", "bench", "--outcome", "worked")
    do("amend", "A1", "wind", "Bft 6", "--because", "the station")
    do("amend", "A1", "wind=Bft 7", "--because", "the station")
    assert "Bft 7" in do("show", "A1").out


def test_the_history_of_one_value(do, run):
    do("set", "rotor.diameter", "2.2 m")
    do("set", "rotor.diameter", "2.4 m")
    do("set", "rotor.blades", "3")
    do("revise", "--because", "bigger")
    do("set", "rotor.diameter", "2.6 m")
    told = do("history", "rotor.diameter").out
    assert told.index("2.2 m") < told.index("2.4 m") < told.index("2.6 m")
    assert "rotor.blades" not in told
    assert run("history", "rotor.tip_speed_ratio").code == 1
    assert run("history", "rotor.nonsense").code == 2


def test_a_bill_is_summed(do):
    do("part", "add", "motor", "--cost", "40 EUR", "--mass", "4 kg")
    do("part", "add", "bolts", "--cost", "5 EUR", "--quantity", "3", "--mass", "0.1 kg")
    do("part", "add", "rope")
    told = do("part", "list").out
    assert "Mass: 4.3 kg, without 1 whose mass is not known" in told
    do("set", "rotor.diameter", "2.2 m")
    do("revise", "--because", "bigger")
    do("part", "fate", "P1", "scrapped")
    do("part", "add", "wheel", "--cost", "100 EUR")
    bill = json.loads(do("part", "list", "r2", "--json").out)
    assert bill["cost_of_all_revisions"] == {"EUR": 145.0}


def test_help_of_a_command(run):
    assert "galebook todo" in run("help", "todo").out
    assert "Commands" in run("help").out or "COMMAND" in run("help").out
    assert run("help", "nonsense").code == 2


def test_a_page_is_opened(story, run, monkeypatch):
    import typer

    opened = []
    monkeypatch.setattr(typer, "launch", lambda url: opened.append(url) or 0)
    assert run("open", "neighbour").code == 0
    (url,) = opened
    from pathlib import Path
    from urllib.parse import unquote, urlparse

    page = Path(unquote(urlparse(url).path))
    assert page.is_relative_to(story.parent)
    assert "<html" in page.read_text(encoding="utf-8")
    monkeypatch.setattr(typer, "launch", lambda url: 1)
    assert "open the file yourself" in run("open", "neighbour").err
    assert run("open", "nobody").code == 2
