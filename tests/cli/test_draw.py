"""Drawings by the command line: what is written, and what is refused before anything is."""

import json
import re

import ezdxf
import pytest

from tests.drawn import papers, tiles

SET = """
[rotor]
diameter = { value = "1.3 m", from = "measured" }
blades = { value = "3", from = "measured" }

[blade]
material = { value = "PVC-U pipe", from = "measured" }
pipe_diameter = { value = "160 mm", from = "measured" }
pipe_wall = { value = "4 mm", from = "measured" }
chord_root = { value = "95 mm", from = "measured" }
chord_tip = { value = "45 mm", from = "measured" }
mounting_angle = { value = "22 deg", from = "measured" }
"""
BOLTED = """
[hub]
bolts = { value = "2", from = "measured" }
bolt_diameter = { value = "6 mm", from = "measured" }
bolt_spacing = { value = "30 mm", from = "measured" }
end_distance = { value = "20 mm", from = "measured" }
plate_width = { value = "60 mm", from = "measured" }
shaft_diameter = { value = "14 mm", from = "measured" }
"""


@pytest.fixture
def said(do, tmp_path):
    """Fill a sheet in."""

    def fill(text, *changes):
        (tmp_path / "sheet.toml").write_text(text)
        return do(f"sheet --file {tmp_path / 'sheet.toml'}", *changes)

    return fill


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """Where it is called, apart from the journal."""
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    return tmp_path / "here"


def names(folder):
    """Names of all files in a folder."""
    return sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())


def refused(run, folder, *words):
    """What is told of a drawing that is not made: one line, and no file."""
    done = run("draw", *words)
    assert done.code in (1, 2), done
    assert done.out == ""
    assert len(done.err.strip().splitlines()) == 1
    assert names(folder) == []
    return done.err


def test_all_forms_of_a_template(do, said, run, folder):
    """One PDF with all of it; of SVG the whole and each sheet, of DXF the whole."""
    said(SET)
    done = do("draw blade --as pdf --as svg --as dxf --paper letter --to out")
    assert [n for n in names(folder) if "-sheet-" not in n] == [
        "out/blade-r1.dxf", "out/blade-r1.pdf", "out/blade-r1.svg", "out/pipe-r1.dxf", "out/pipe-r1.svg",
    ]  # fmt: skip
    assert "Print at 100 %" in done.err
    pages = papers((folder / "out/blade-r1.pdf").read_bytes())
    sheets = [n for n in names(folder) if n.startswith("out/blade-r1-sheet-")]
    assert len(sheets) == len(pages) - 1
    assert len(tiles(pages)) == 3
    assert ezdxf.readfile(folder / "out/pipe-r1.dxf").audit().errors == []


def test_it_is_drawn_anew_in_place_of_its_own_but_not_of_what_somebody_made(do, said, run, folder):
    """Sheets that an earlier writing had more are taken away."""
    said(SET, "draw blade --as svg --to .")
    assert "blade-r1-sheet-4.svg" in names(folder)
    do('set rotor.diameter "0.8 m"', "draw blade --as svg --to .")
    assert [n for n in names(folder) if n.startswith("blade-r1-sheet-")][-1] == "blade-r1-sheet-3.svg"
    (folder / "hub-r1.pdf").write_text("mine")
    said(SET + BOLTED)
    done = run("draw", "hub", "--to", ".")
    assert done.code == 1
    assert "is there already" in done.err
    assert (folder / "hub-r1.pdf").read_text() == "mine"
    do("draw hub --to . --over")
    assert (folder / "hub-r1.pdf").read_bytes().startswith(b"%PDF")


REFUSED = {
    "a chord wider than half the pipe": ('set blade.chord_root "158 mm"', "blade", "wider than the pipe"),
    "a tip wider than half the pipe": ('set blade.chord_tip "157 mm"', "blade", "wider than the pipe"),
    "a wall that fills the pipe": ('set blade.pipe_diameter "80 mm"', "blade", "wider than the pipe"),
    "carved": ("set blade.material wood", "blade", "not cut from pipe (wood)"),
    "another section": ('set blade.section "NACA 4412"', "blade", "not cut from pipe (NACA 4412)"),
    "upright": ('set rotor.axis "vertical axis"', "blade", "upright"),
    "a root beyond the tip": ('set blade.root_radius "700 mm"', "blade", "inside the tip"),
    "an angle that no bolts give": ('set blade.mounting_angle "45 deg"', "blade", "bolted flat"),
    "bolts in the edge": ('set blade.mounting_angle "36 deg"', "blade", "comes 2.1 mm from the edge"),
    "a row longer than the blade": ('set hub.bolt_spacing "600 mm"', "blade", "longer than the blade"),
    "a pipe shorter than the blade": ("", "blade --pipe 400mm", "shorter than one blade"),
    "blades that meet at the shaft": (
        'set blade.root_radius "12 mm"; set rotor.blades 8; set hub.end_distance "5 mm"',
        "blade",
        "roots of r1 meet",
    ),
    "nothing left of the roots": ('set blade.root_radius "5 mm"; set rotor.blades 8', "blade", "meet at the shaft"),
    "an arm too narrow": ('set hub.plate_width "12 mm"', "hub", "narrower than 2.4 times a hole"),
    "bolts on top of each other": ('set hub.bolt_spacing "10 mm"', "hub", "closer than 2.2 times a hole"),
    "nothing said of the tail": ("", "tail", "tail.area, tail.arm"),
    "no such drawing": ("", "propeller", "blade"),
    "no such paper": ("", "blade --paper b4", "letter"),
    "no such form": ("", "blade --as dwg", "dxf"),
    "a cut that is no length": ("", "blade --kerf 3kg", "--kerf"),
    "no such revision": ("", "blade r9", "no revision r9"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_cannot_be_cut_as_typed_is_refused_before_it_is_drawn(do, said, run, folder, case):
    """In one line that names what is wrong, and nothing is written."""
    change, what, told = REFUSED[case]
    said(SET + BOLTED, *filter(None, change.split("; ")))
    assert told in refused(run, folder, *what.split(), "--to", "out")


def test_what_the_sheet_lacks_is_named_with_how_to_say_it(do, said, run, folder):
    """All of it, in the words that are typed."""
    said("\n".join(SET.splitlines()[:4]))
    told = refused(run, folder, "blade")
    assert "blade.pipe_diameter, blade.pipe_wall, blade.chord_root, blade.chord_tip" in told
    assert 'galebook set blade.pipe_diameter "160 mm" --on r1' in told


def test_json_gives_the_lines_and_writes_nothing(do, said, folder):
    """In mm; with as many sheets as would be printed."""
    said(SET)
    told = json.loads(do("draw blade --json").out)
    assert names(folder) == []
    pipe, template = told["drawings"]
    assert told["unit"] == "mm"
    assert template["sheets"] == 4
    assert (template["true_size"], pipe["true_size"]) == (True, False)
    (outline,) = [p for p in template["parts"] if p.get("closed") and p["pen"] == "cut"]
    assert len(outline["line"]) == 4


def test_a_build_in_feet_is_told_in_inches_and_drawn_the_same(do, said, folder):
    """The words change, no line does; the ruler has both."""
    said(SET)
    metric = json.loads(do("draw blade --json").out)["drawings"][1]
    do("amend build units=feet --because inches")
    feet = json.loads(do("draw blade --json").out)["drawings"][1]
    lines = [[p for p in one["parts"] if "words" not in p] for one in (metric, feet)]
    assert lines[0] == lines[1]
    assert any(p.get("words", "").endswith(" in") for p in feet["parts"])
    assert not any(" mm" in p.get("words", "") for p in feet["parts"])
    # Each mark stands within a hundredth of an inch of where its words say it does.
    for was, now in zip(metric["parts"], feet["parts"], strict=True):
        told = [re.match(r"(\d+) mm", was.get("words", "")), re.match(r"([\d.]+) in", now.get("words", ""))]
        if all(told):
            assert abs(float(told[0][1]) - 25.4 * float(told[1][1])) < 0.26


def test_the_balance_sheet_is_blank_until_blades_are_weighed(do, said):
    """Then it tells the order and what to add."""
    said(SET)
    words = [p["words"] for p in json.loads(do("draw balance --json").out)["drawings"][0]["parts"] if "words" in p]
    assert "1: ..........." in words
    for name, mass in (("a", 300), ("b", 306), ("c", 303)):
        do(f'set weighed.{name}.mass "{mass} g"', f'set weighed.{name}.balance_point "300 mm"')
    words = [p["words"] for p in json.loads(do("draw balance --json").out)["drawings"][0]["parts"] if "words" in p]
    # To weigh as much as the heaviest at 0.22 m, a third of the radius: (306 - 300) g times 300 over 220.
    assert "+ 8.2 g" in words
    assert "nothing added" in words


def test_a_root_that_would_meet_its_neighbours_is_cut_out(do, said):
    """And it is told from where on the chord is whole."""
    said(SET, 'set blade.root_radius "20 mm"')
    template = json.loads(do("draw blade --json").out)["drawings"][1]
    (outline,) = [p for p in template["parts"] if p.get("closed") and p["pen"] == "cut"]
    assert len(outline["line"]) > 4
    assert any("the corners come off as drawn" in note for note in template["notes"])
