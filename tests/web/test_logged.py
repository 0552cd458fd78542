"""What loggers wrote, as pages: the words, numbers and pictures of the commands."""

import io
import json
import re

import pytest
from PIL import Image

from journal.web.app import make
from journal.web.desk import Desk
from journal.web.door import Door
from journal.web.pagetext import PageText
from tests.journal.test_logger import HEADS, lines_of
from tests.web.conftest import HERE, Phone, said


@pytest.fixture
def demo(story):
    """A phone at the journal of the demo."""
    desk = Desk(story, None, Door())
    with Phone(make(desk, frozenset({HERE}))) as phone:
        phone.come_in(desk.door.new_code())
        yield phone


def told(run, monkeypatch, *words):
    """What a command tells, cell by cell, not folded."""
    monkeypatch.setenv("COLUMNS", "400")
    done = run(*words)
    assert done.code == 0, done.err
    cells = [cell for line in done.out.splitlines() for cell in re.split(r"\s{2,}", line.strip())]
    return [c for c in cells if c.strip("─")]


@pytest.mark.parametrize(
    ("page", "words"),
    [
        ("/curve/r2", ("curve", "r2")),
        ("/curve/r2?all=1", ("curve", "r2", "--all")),
        ("/wind?all=1", ("wind", "--all")),
        ("/wind/r2?station=5.1+m/s&then=4.4+m/s&all=1",
         ("wind", "r2", "--station", "5.1 m/s", "--then", "4.4 m/s", "--all")),
    ],
)  # fmt: skip
def test_a_page_tells_what_the_command_tells(demo, run, monkeypatch, page, words):
    """Every line of it and every cell of its tables; bars are drawn, not written."""
    answer = demo.get(page)
    assert answer.status_code == 200
    here = said(answer)
    cells = [re.sub(r"^#+ ", "", cell) for cell in told(run, monkeypatch, *words)]
    assert [cell for cell in cells if cell not in here] == []
    assert len(cells) > 20


def test_the_table_of_a_page_is_that_of_the_screen(demo, run, monkeypatch):
    """Row by row, what stands beside each other."""
    monkeypatch.setenv("COLUMNS", "400")
    rows = [" ".join(line.split()) for line in run("curve", "r2").out.splitlines() if re.match(r"\d+ m/s  ", line)]
    here = said(demo.get("/curve/r2"))
    assert len(rows) > 5
    assert [row for row in rows if row not in here] == []


def test_a_bar_is_as_long_as_what_it_tells(demo, run):
    """Beside the longest, in per cent."""
    spread = [s["share"] for s in json.loads(run("wind", "--json").out)["spread"]]
    bars = [float(w) for w in re.findall(r'<rect width="([\d.]+)"', demo.get("/wind").text)]
    shown = [100 * s / max(spread) for s in spread if s >= 5e-4]
    assert bars == pytest.approx([max(s, 1.0) for s in shown], abs=0.51)


def test_the_picture_is_that_of_the_command(demo, run, tmp_path):
    """The same bytes; in words what it shows."""
    run("curve", "r2", "--to", str(tmp_path / "c.png"))
    answer = demo.get("/curve/r2/picture")
    assert (answer.headers["content-type"], answer.content) == ("image/png", (tmp_path / "c.png").read_bytes())
    assert Image.open(io.BytesIO(answer.content)).width == 720
    page = demo.get("/curve/r2").text
    assert '<img src="/curve/r2/picture" alt="Computed power' in page
    assert "Measured by a logger on r2" in page


def test_what_there_is_leads_to_its_pages(demo):
    """From the list of all there is, and from that of the files."""
    more = demo.form("/more").links
    assert {"/loggers", "/wind", "/curve/r2", "/drawings/r1", "/drawings/r2", "/buying/r1", "/buying/r2"} <= set(more)
    assert "/curve/r1" not in more
    files = demo.get("/loggers")
    assert "G1 june.csv Of: r2" in said(files)
    assert "Odd: 1 gap, 1 reset, 1 stuck, 1 spike, 1 bad line" in said(files)
    assert "/records/G1" in files.text
    assert "1 stuck sensor, 60 minutes left out" in said(demo.get("/records/G1"))


def test_earlier_revisions_stand_behind_a_button(demo, run):
    """All can be reached, the newest first."""
    for _ in range(2):
        assert run("revise", "--because", "to try").code == 0
    before, _, behind = demo.get("/more").text.partition("<details>")
    assert re.findall(r"/buying/(r\d)", before) == ["r4", "r3"]
    assert re.findall(r"/buying/(r\d)", behind) == ["r2", "r1"]


def test_a_build_told_in_feet_is_told_so_here(demo, run):
    """The units of screens."""
    assert "m/s" in said(demo.get("/wind"))
    assert run("amend", "build", "units=feet").code == 0
    for page in ("/wind", "/curve/r2", "/buying/r2"):
        # What is typed has its metric example in every build.
        here = said(demo.get(page)).partition("Correct it by a station")[0]
        assert re.search(r"\d (mph|in|ft)\b", here), page
        assert not re.search(r"\d m/s", here), page


def test_without_a_file_there_is_nothing_to_tell(phone):
    """In one line each; and no page leads where nothing is."""
    assert "Nothing yet" in said(phone.get("/loggers"))
    assert not {"/wind", "/curve/r1"} & set(phone.form("/more").links + phone.form("/loggers").links)
    for page, why in (("/curve/r1", "No logger wrote of r1"), ("/wind", "No logger wrote any wind"),
                      ("/wind/site", "No logger wrote any wind")):  # fmt: skip
        answer = phone.get(page)
        assert (answer.status_code, why in said(answer)) == (409, True), page
    assert phone.get("/curve/r9").status_code == phone.get("/curve/r1/picture").status_code == 404


def test_a_station_that_tells_by_half_is_asked_for_the_rest(demo):
    """As the command asks."""
    answer = demo.get("/wind?station=5.1+m/s")
    assert (answer.status_code, "A station tells by two means" in said(answer)) == (400, True)


def test_what_has_no_room_beside_each_other_stands_below():
    """Numbers of a few letters are a table; sentences are not."""
    out = PageText()
    out.table(("Wind", "Minutes\nmin", "Empty"), [("4 m/s", 12, ""), ("5 m/s", 7, "")])
    out.table(("Column", "Is", ""), [("time", "time", "by head"), ("wind", "wind", "as said")])
    kinds = [(p.kind, len(p.rows[0])) for p in out.pieces_told]
    assert kinds == [("table", 2), ("stacked", 3)]
    out.table(tuple("abcdefg"), [("12 m/s", *["1000"] * 6)])
    out.table(tuple("abcdefghijk"), [("12 m/s", *["10000"] * 10)])
    assert [p.kind for p in out.pieces_told[2:]] == ["table", "stacked"]


def test_a_curve_beside_which_nothing_can_be_computed(phone, run, tmp_path):
    """It stands alone, without a picture; the wind of the place is told as well."""
    (tmp_path / "a.csv").write_text("\n".join([HEADS, *lines_of(2000)]), encoding="utf-8")
    (tmp_path / "b.csv").write_text(
        "time (UTC),wind (m/s)\n" + "\n".join(line.rsplit(",", 2)[0] for line in lines_of(1500)), encoding="utf-8"
    )
    assert run("logger", str(tmp_path / "a.csv"), "--on", "r1").code == 0
    assert run("logger", str(tmp_path / "b.csv"), "--on", "site").code == 0
    page = phone.get("/curve/r1")
    assert (page.status_code, "<img" in page.text) == (200, False)
    assert "The sheet says too little to compute a curve beside it" in said(page)
    assert phone.get("/curve/r1/picture").status_code == 404
    wind = phone.get("/wind/site")
    assert "Wind by the logger of the place" in said(wind)
    assert "/wind/site" in phone.form("/wind").links
