"""Pictures: whole and self-contained SVG and PNG, told in words, the same each time, none where nothing is known."""

import base64
import hashlib
import io
import os
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest
from matplotlib.text import Text
from PIL import Image

from calc.finding import Status
from journal.book import attempts, builds, failures, measurements, sheet, store
from journal.publish import figures, inlays, redact
from journal.publish import story as story_of
from journal.publish.figures import canvas
from journal.publish.numbers import MachineTold
from journal.publish.readers import READERS
from journal.review import verdict
from tests.journal.pictures import Seen, on_the_sheet, over_each_other

EVERY = (
    "elevation-r2", "timeline", "chain-F1", "chain-F3", "machines-r2", "wiring-r1", "wiring-r2", "findings-r2",
    "power-r2", "torque-r1", "torque-r2", "watts-r2", "swings-r2", "week-r2",
)  # fmt: skip


def gathered(s):
    """The tale of a journal, as somebody may have it who may have nothing private."""
    return redact.for_reader(story_of.tell(s), frozenset())


@pytest.fixture(scope="module")
def tale(told):
    """The demo's tale."""
    with store.journal(told / "demo.db") as s:
        yield gathered(s)


@pytest.fixture(scope="module")
def r2(told):
    """The sheet of the demo's second machine."""
    with store.journal(told / "demo.db") as s:
        yield verdict.check(s, "r2").sheet


@pytest.fixture(scope="module")
def drawn(tale):
    """The demo's pictures by name."""
    return {p.name: p for p in figures.pictures(tale)}


@pytest.fixture(params=EVERY)
def picture(drawn, request):
    """Each picture in turn."""
    return drawn[request.param]


#: What our own readers get; any other gets what its entry says.
WHO = {"forum": EVERY[:-2], "neighbour": EVERY[:1], "workshop": EVERY, "raising": [], "storm": []}


@pytest.mark.parametrize("reader", READERS)
def test_who_gets_which(tale, reader):
    """The neighbour where it stands, the forum all but the battery's week and how the mast swings, the builder all."""
    given = inlays.Inlays(tale, READERS[reader], "md", "folder")
    for name in EVERY:
        given.picture(name)
    may = WHO.get(reader) or [name for name in EVERY if READERS[reader].pictures(name.partition("-")[0])]
    assert set(given.files) == {f"{name}.png" for name in may}
    with pytest.raises(LookupError, match="there is no picture called 'nothing of that name'"):
        given.picture("nothing of that name")
    assert [p.name for p in figures.pictures(tale)] == list(EVERY)


def test_svg_stands_for_itself(picture):
    """Valid XML that runs nothing, fetches nothing and says when it was made to nobody."""
    root = ET.fromstring(picture.svg)
    names = {e.tag.rpartition("}")[2] for e in root.iter()}
    assert names <= {"svg", "g", "path", "use", "defs", "clipPath", "rect", "style", "title", "desc", "pattern"}
    outside = [
        (key, value)
        for e in root.iter()
        for key, value in e.attrib.items()
        if ("href" in key and not value.startswith("#")) or key.startswith("on") or "url(" in value.replace("url(#", "")
    ]
    assert outside == []
    assert re.findall(r"<!DOCTYPE|<!ENTITY|<script|@import|<!--|<metadata|20\d\d-\d\d-\d\dT", picture.svg) == []
    refs = set(re.findall(r'(?:href="#|url\(#)([^")]+)', picture.svg))
    assert refs <= {e.get("id") for e in root.iter()}


def test_svg_carries_its_words(picture):
    """Title and description inside, for those who cannot see it; light enough to stand in a page."""
    root = ET.fromstring(picture.svg)
    assert root.get("role") == "img"
    space = "{http://www.w3.org/2000/svg}"
    assert (root.findtext(f"{space}title"), root.findtext(f"{space}desc")) == (picture.title, picture.alt)
    assert len(picture.svg) < 140_000
    head, _, body = picture.uri.partition(",")
    assert head == "data:image/svg+xml;base64"
    assert base64.b64decode(body).decode() == picture.svg


def test_png_shows_something(picture):
    """720 pixels wide; ink on white, also in grey; nothing told beside the pixels but their size."""
    with Image.open(io.BytesIO(picture.png)) as image:
        assert image.width == 720
        assert set(image.info) <= {"dpi"}
        grey = np.asarray(image.convert("L"))
    assert grey.max() == 255
    assert grey.min() < 60
    assert 0.005 < np.mean(grey < 200) < 0.6


NUMBERS = {
    "chain-F1": ["charging begins: 8.1 m/s", "0.3 A, read", "Missing here: a generator that gives more volts"],
    "chain-F3": [
        "Bft 9 (20 to 24 m/s at the rotor)",
        "15 A fuse opens (about 21 A flow",
        "a load that stays on",
        "2700 rpm, tips 190 m/s",
        "140 % of the root's strength",
        "31 m from the mast",
        "Luck",
    ],
    "machines-r2": ["1.3 m across", "8.1 m/s against", "12 V against 24 V", "16 kWh", "nothing against furling tail"],
    "wiring-r1": [
        "strongest gust: 87 V DC",
        "danger: what stops the rotor",
        "2 x 2.5 mm²",
        "carries up to 32 A",
        "not known: main fuse",
        "shorted up to 2400 A",
    ],
    "wiring-r2": ["strongest gust: 460 V DC", "1.4 Ω", "carries up to 43 A", "up to 28.8 V", "63 A"],
    "elevation-r2": ["2.2 m", "8 m", "11 m", "1.75 m", "5 m"],
    "timeline": [
        "F3, 2026-01-08: The unloaded rotor",
        "2025-10-11",
        "2 revisions",
        "9 attempts",
        "4 failures",
        "6 decisions",
    ],
    "findings-r2": ["r1: 9 danger", "r2:", "unknown"],
    "swings-r2": ["3.1 Hz by itself", "once a turn at 190 rpm", "3 times a turn at 63 rpm"],
    "power-r2": ["held back from 11 m/s", "M5:", "M8:", "400 W at 9 m/s"],
    "torque-r1": ["Charging begins at 890 rpm", "In 4 m/s it turns at", "without charging"],
    "torque-r2": ["Charging begins at 210 rpm", "and charges with"],
    "watts-r2": ["into the battery", "r1 in 10 m/s", "cable", "59 %"],
    "week-r2": ["W come from the wind", "% at its lowest", "Wh"],
}


@pytest.mark.parametrize("name", EVERY)
def test_the_words_tell_its_numbers(drawn, name):
    """What is seen can be read; in sentences, with no Python and no promise."""
    text = drawn[name].alt
    assert [n for n in NUMBERS[name] if n not in text] == []
    assert text.endswith(".")
    assert re.findall(r"nan|None|inf\b|\bsafe\b|  |\.\.", text) == []


@pytest.mark.parametrize("name", EVERY)
def test_every_letter_can_be_read_on_a_telephone(drawn, name):
    """Eleven pixels or more where the picture is 360 wide; none cut off, none over another."""
    seen = Seen(drawn[name])
    per_point = 360 / (72 * seen.figure.get_size_inches()[0])
    letters = [t for t in seen.figure.findobj(Text) if t.get_text().strip() and t.get_visible()]
    assert [t.get_text() for t in letters if t.get_fontsize() * per_point < 11] == []
    assert on_the_sheet(seen) == []
    assert over_each_other(seen) == []
    assert not re.search(r"mm2|degC|\bohm\b", " ".join(t.get_text() for t in letters))


def test_the_words_of_the_findings_are_their_count(tale, drawn):
    """Each status as often as the checks found it."""
    newest = tale.story.newest.review
    for status in Status:
        count = len(newest.with_status(status))
        assert (f"{count} {status}" in drawn["findings-r2"].alt.partition("r2: ")[2]) == (count > 0)


AGAIN = """
import hashlib, sys
from pathlib import Path
from calc.machine import spread
from journal.book import store
from journal.publish import figures, redact, story
spread.SAMPLES = 24
with store.journal(Path(sys.argv[1])) as s:
    for p in figures.pictures(redact.for_reader(story.tell(s), frozenset()))[1:9]:
        print(p.name, hashlib.sha256(p.svg.encode() + p.png).hexdigest())
"""


def test_another_run_gives_the_same_bytes(told, drawn):
    """In a process of its own, on another day, whatever the order of sets."""
    run = [sys.executable, "-c", AGAIN, str(told / "demo.db")]
    env = {**os.environ, "PYTHONHASHSEED": "7"}
    done = subprocess.run(run, capture_output=True, text=True, check=True, env=env)
    here = [f"{p.name} {hashlib.sha256(p.svg.encode() + p.png).hexdigest()}" for p in map(drawn.get, EVERY[1:9])]
    assert done.stdout.splitlines() == here


def test_a_style_of_the_reader_changes_nothing(drawn):
    """Neither colours nor sizes nor formulas set for other pictures."""
    import matplotlib

    picture = drawn["watts-r2"]
    with matplotlib.rc_context({"font.size": 30, "axes.facecolor": "black", "svg.fonttype": "none"}):
        again = replace(picture)
        assert again.svg == picture.svg
        assert matplotlib.rcParams["font.size"] == 30


def test_curves_go_through_what_was_computed(tale):
    """The band holds the curve where the rotor charges steadily, and the wind of a Beaufort number is that at 10 m."""
    newest = tale.machines["r2"]
    curve = newest.curve
    at = np.interp(5.0, curve.winds, curve.power)
    assert np.interp(5.0, curve.band_winds, curve.low) < at < np.interp(5.0, curve.band_winds, curve.high) * 1.2
    (read,) = newest.readings
    # 5.5 to 8.0 m/s (Bft 4) at 10 m over hedged farmland, roughness 0.1 m: ln(8 / 0.1) / ln(10 / 0.1) at 8 m.
    assert read.wind == pytest.approx((5.5 * 0.9515, 8.0 * 0.9515), rel=1e-3)
    # 3.1 to 3.7 A at 26.5 to 26.7 V.
    assert read.power == pytest.approx((3.1 * 26.5, 3.7 * 26.7))


def test_an_empty_build_has_few_pictures(path):
    """What the checks miss can be shown; nothing else, and nothing raises."""
    with store.journal(path) as s:
        made = figures.pictures(gathered(s))
    assert {p.name for p in made} <= {"findings-r1"}, "nothing is wired, led to a failure, or has two machines"
    assert all(p.svg and p.png for p in made)


def test_a_build_without_revisions_has_none(path):
    """Not even an empty one."""
    with store.journal(path) as s:
        told = gathered(s)
        assert figures.pictures(replace(told, story=replace(told.story, chapters=[]))) == []


GROUPS = ("site", "rotor", "blade", "generator", "cable", "storage", "dump", "mast", "load", "inverter", "house")


@pytest.mark.parametrize("group", GROUPS)
def test_an_incomplete_sheet_never_raises(r2, group):
    """With a whole group of the sheet gone, what can still be shown is shown."""
    part = replace(r2, values={p: v for p, v in r2.values.items() if p.partition(".")[0] != group})
    machine = MachineTold("r2", part.system)
    made = [f(machine) for f in (figures.torques, figures.week, figures.elevation)]
    other = MachineTold("r1", replace(r2, values={p: v for p, v in r2.values.items() if p != "rotor.overspeed"}).system)
    made += [figures.watts((machine,)), figures.wiring(machine, ()), figures.machines((other, machine))]
    assert all(p.svg.startswith("<?xml") for p in made if p)
    assert (made[0] is None) == (group in ("rotor", "generator", "storage"))
    assert (made[2] is None) == (made[5] is None) == (group in ("rotor", "mast"))
    assert made[4]


@pytest.mark.parametrize(
    ("path", "number", "word", "draw"),
    [
        ("storage.chemistry", None, "none", figures.power),
        ("generator.phases", None, "single-phase", figures.power),
        ("generator.phases", None, "DC with brushes", figures.power),
        ("generator.emf_constant", 0.01, None, figures.torques),
        ("storage.capacity", 3600.0, None, figures.week),
        ("rotor.diameter", 0.2, None, figures.torques),
        ("rotor.diameter", 9.0, None, figures.watts),
        ("rotor.overspeed", None, "none", figures.torques),
        ("mast.height", 30.0, None, figures.elevation),
        ("mast.building_height", 60.0, None, figures.elevation),
        ("mast.kind", None, "on a roof or gable", figures.elevation),
        ("site.mean_wind", 12.0, None, figures.week),
    ],
)
def test_an_odd_sheet_never_raises(r2, path, number, word, draw):
    """No battery, one phase, a generator that never charges, a toy, a giant: a picture or none."""
    row = sheet.SheetValue(revision_id=1, path=path, typed="", number=number, word=word, provenance="measured")
    odd = replace(r2, values=r2.values | {path: row})
    machine = MachineTold("r2", odd.system)
    one = draw((machine,)) if draw in (figures.power, figures.watts) else draw(machine)
    assert (one is None) == (word == "none" and draw is figures.power)
    if one:
        ET.fromstring(one.svg)
        assert re.findall(r"nan|None", one.alt) == []


def test_loads_that_go_short_are_shown(tale):
    """r1 hardly charges: in its worst week the loads lack power, and the picture says for how long."""
    week = figures.week(tale.machines["r1"])
    hours = int(re.search(r"for (\d+) hours", week.alt)[1])
    assert 24 < hours <= 168


HOSTILE = ["$x^{2$ 100 %", "<b>&amp;</b> ]]>", "日本 \u202eback", "--> x", "\U0001f300", "a" * 300]


@pytest.mark.parametrize("text", HOSTILE)
def test_what_builders_write_draws_as_it_stands(text):
    """No formula, no markup, no sign that the font lacks, nothing that leaves the file."""

    def draw():
        figure, (axes,) = canvas.sheet(2.0)
        canvas.label(axes, 0.5, 0.5, text)
        return figure

    one = canvas.Picture("x", text, text, draw)
    root = ET.fromstring(one.svg)
    assert root.findtext("{http://www.w3.org/2000/svg}title") == text
    assert one.png


def test_many_events_share_their_names(path):
    """Forty attempts in as many days, one failure a week: still one picture, the same size."""
    with store.journal(path, write=True) as s:
        for i in range(40):
            attempts.log_attempt(
                s, attempts.AttemptTyped("ran", began=f"2026-{1 + i // 28:02d}-{1 + i % 28:02d}", outcome="partly")
            )
            if not i % 7:
                failures.log_failure(s, failures.FailureTyped("it stopped", attempt=f"A{i + 1}"))
        one = figures.timeline(gathered(s).story)
    assert "40 attempts, 6 failures, 6 of them still open" in one.alt
    with Image.open(io.BytesIO(one.png)) as image:
        assert image.width == 720


def test_labels_keep_apart():
    """In their order, at least so far from each other, inside the ends, moved no more than that takes."""
    got = canvas.spread([50.0, 51.0, 98.0, 10.0], 9.0, 2.0, 98.0)
    assert got[3] == 10.0
    assert np.all(np.diff(sorted(got)) >= 9.0 - 1e-9)
    assert got[0] < got[1] < got[2] == 98.0
    assert got[0] == pytest.approx(46.0)
    assert canvas.spread([1.0], 9.0, 2.0, 98.0) == [2.0]


def test_nothing_is_loaded_before_it_is_drawn():
    """Neither the drawing library nor the picture library, until the bytes are asked for."""
    code = (
        "import sys; from journal.publish import figures, photos; from journal.screens import power_plots; "
        "print({'matplotlib', 'PIL'} & set(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "set()"


def test_two_builds_do_not_mix(path):
    """The tale of the build that is meant, and no other."""
    with store.journal(path, write=True) as s:
        attempts.log_attempt(s, attempts.AttemptTyped("ran it", began="2026-01-01"))
        builds.start(s, builds.BuildTyped("Another machine"))
        s.info["build"] = "Another machine"
        assert figures.timeline(gathered(s).story) is None


def test_many_readings_are_told_by_their_range(story):
    """Nobody reads a thousand names."""
    with store.journal(story, write=True) as s:
        a = attempts.log_attempt(s, attempts.AttemptTyped("Ran it", on="r2", wind="6 m/s", outcome="worked"))
        for i in range(20):
            measurements.log_measurement(
                s,
                measurements.MeasurementTyped(
                    "charge.power", f"{90 + i} W", attempt=a.ref, load_state="battery", doubt="5 W"
                ),
            )
    with store.journal(story) as s:
        told = gathered(s)
        drawn = {p.name: p for p in figures.pictures(told)}
    assert re.search(r"22 readings, 3 to 110 W in 5\.2 to 10 m/s\.", drawn["power-r2"].alt)
    assert Image.open(io.BytesIO(drawn["power-r2"].png)).size[0] > 400
