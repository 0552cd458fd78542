"""How far a piece of a blade can fly: never less than the record, and the same in text and picture."""

import re
from dataclasses import replace

import pytest

from calc.machine.catalogue import Sheet
from calc.machine.falling import flying
from calc.machine.system import System
from calc.units import show
from journal.book import store
from journal.publish import figures, writeup
from journal.publish import story as story_of


@pytest.fixture(scope="module")
def tale(told):
    """The demo's tale: tips read at 380 rpm on 2.2 m, the hub 8 m up, a piece of the first machine at 31 m."""
    with store.journal(told / "demo.db") as s:
        yield story_of.tell(s)


def _page(tale, **changes):
    machines = tale.machines | {"r2": replace(tale.machines["r2"], **changes)}
    changed = replace(tale, machines=machines)
    pages = [writeup.render(changed, reader, "md").text for reader in ("neighbour", "storm")]
    return *pages, figures.elevation(machines["r2"])


def _free(tale):
    """The same machine without anything that limits its speed."""
    design = tale.machines["r2"].system.design
    values = dict(design.values) | {Sheet.rotor.overspeed.full: "none"}
    return System(replace(design, values=values))


def test_the_record_counts(tale):
    """What the checks compute for a piece edge first, rounded up; a piece that lay nearer is told beside it."""
    text, sheet, picture = _page(tale)
    far = float(flying(tale.machines["r2"].system.inputs()).edge_first)
    told = float(re.search(r"fly up to (\d+) m, in a runaway more", text)[1])
    assert far <= told < 1.05 * far
    (finding,) = [f for f in tale.story.standing.review.findings if f.rule == "neighbour.throw"]
    assert f"and up to {told:g} m edge first" in finding.says
    assert f"up to {told:g} m with its load lost but the rotor held back" in sheet
    assert f"{told:g} m, in a runaway more" in picture.alt
    assert any(f"blade piece: {told:g} m" in words.get_text() for words in picture.draw().axes[0].texts)
    assert "was found 31 m away" in text


def test_a_piece_that_flew_further_counts(tale):
    """It is told as it was found, and the distance is no less."""
    text, sheet, picture = _page(tale, landed=412.0)
    assert "a piece lay 412 m away, and the next can fly further" in sheet
    assert "A piece of a blade was found 412 m away, from where it stood then, and the next can fly further" in text
    assert "230 m" not in text
    assert "one lay 412 m away" in picture.alt


def test_where_nothing_limits_the_rotor_no_distance_is_the_greatest(tale):
    """What the checks tell is told, and that a piece may fly further; a piece on record stays told."""
    system = _free(tale)
    machine = replace(tale.machines["r2"], system=system)
    far = float(flying(system.inputs()).edge_first)
    assert not machine.throw.held
    assert far <= machine.throw.distance < 1.1 * far
    told = show(machine.throw.distance, "m", 2)
    picture = figures.elevation(machine)
    assert f"A piece of a blade can fly further: {told}, and more." in picture.alt
    assert any(f"blade piece: {told}, and more" in words.get_text() for words in picture.draw().axes[0].texts)
    chapters = [*tale.story.chapters[:-1], replace(tale.story.chapters[-1], design=system.design)]
    free = replace(tale, story=replace(tale.story, chapters=chapters))
    text, sheet, _ = _page(free, system=system)
    assert f"can fly {told}, and further: nothing on record limits how fast the rotor turns" in text
    assert f"{told}, and further, for nothing on record limits" in sheet
    assert "up to" not in text.split("## Where to keep away")[1].split("##")[0]
    assert "was found 31 m away" in text
