"""README.md and DEVELOPERS.md are executed: every command in them is typed literally, in order."""

import dataclasses
import gzip
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image

from calc.rules.engine import Judgement
from journal.cli import common
from tests.outside.turning_points import Row

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
#: What the questions of a bare command are answered, where the guide shows one.
ANSWERS = {
    "galebook start": ["First wheel", "", "half 65 cm", *["-"] * 17],
    "galebook ask": ["-"] * 5,
    "galebook attempt": ["looked at it on the mast", "", "", "", "", "", "", "", "n", ""],
}


def commands(text):
    """The program's commands in the blocks of a text, in order, each on one line."""
    lines = [line[4:] for line in text.splitlines() if line.startswith("    ")]
    calls = [call.strip() for line in lines for call in line.split("&&")]
    return [re.sub(r"^\.venv/bin/", "", c) for c in calls if re.match(r"(\.venv/bin/)?galebook\b", c)]


def test_the_first_session_can_be_typed_as_it_stands(run, answers, tmp_path, monkeypatch):
    """From a fresh journal; nothing is refused, nothing misunderstood."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("EDITOR", "true")
    monkeypatch.setenv("VISUAL", "true")
    Image.new("RGB", (64, 48), "white").save(tmp_path / "windy-day.jpg")
    rows = [f"2026-06-01 12:{m:02}:00,{18 + m % 5},{70 + m % 9}\n" for m in range(60)]
    (tmp_path / "june.csv").write_text("".join(["time,wind (m/s),power (W)\n", *rows]))
    (tmp_path / "july.csv.gz").write_bytes(gzip.compress("".join(["time,Kanal 3,Kanal 4\n", *rows]).encode()))
    session = README.split("## Your first session")[1].split("\n## ")[0]
    typed = commands(session)
    assert len(typed) > 40
    for line in typed:
        if line in ANSWERS:
            answers(*ANSWERS[line])
        done = run(*shlex.split(line)[1:])
        assert done.code in (0, 3), f"{line}\n{done.err}"
        # The next one is typed with all that it needs.
        monkeypatch.setattr(common, "somebody", lambda: False)


def test_the_demo_can_be_looked_at_as_the_readme_says(story, run, tmp_path, monkeypatch):
    """Each command after the demo's own; and the page that it names is there."""
    looked = README.split("## See it work")[1].split("\n## ")[0]
    typed = [line for line in commands(looked) if not line.startswith("galebook demo")]
    assert len(typed) >= 4
    for line in typed:
        assert run(*shlex.split(line)[1:]).code in (0, 3), line
    for page in re.findall(r"`demo/([\w.]+)`", looked):
        assert (story.parent / page).is_file()


def test_an_old_machine_can_be_typed_as_it_stands(tmp_path, monkeypatch):
    """The whole block by a shell, here-documents and all; what it comes to is on record."""
    block = README.split("## An old machine from a notebook")[1].split("\n## ")[0]
    script = "\n".join(line[4:] for line in block.splitlines() if line.startswith("    "))
    tool = tmp_path / "galebook"
    tool.write_text(f'#!/bin/sh\nPYTHONPATH="{ROOT}" exec "{sys.executable}" -m journal "$@"\n')
    tool.chmod(0o755)
    monkeypatch.setenv("PATH", f"{tmp_path}:/usr/bin:/bin")
    done = subprocess.run(["sh", "-e"], input=script, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert "Logged: 8 readings: M1 to M8." not in done.stdout
    assert "Logged: 7 readings: M1 to M7." in done.stdout
    assert 'galebook set generator.emf_constant "61.98 rpm/V' in done.stdout


#: Whatever is installed for this project.
TOOLS = r"(?:galebook|python|pip|pytest|ruff|mypy)\b"
INLINE = [re.sub(r"^\.venv/bin/", "", line) for line in re.findall(r"`(\.venv/bin/galebook [^`]+)`", GUIDE)]


def test_tools_are_called_where_they_were_installed():
    """By their place in the guide, and in README until its reader has put them on the path; after that by name."""
    before, after = README.split("## Your first session")
    blocks = [
        call.strip()
        for line in f"{before}\n{GUIDE}".splitlines()
        if line.startswith("    ")
        for call in re.split(r"&&|nice -n 15", line)
    ]
    assert len([call for call in blocks if re.match(rf"\.venv/bin/{TOOLS}", call)]) > 10
    assert [call for call in blocks if re.match(TOOLS, call)] == []
    assert re.findall(rf"`({TOOLS} [^`]+)`", GUIDE) == []
    assert ".venv/bin/activate" in after
    assert ".venv/bin/" not in after.replace(".venv/bin/activate", "")


@pytest.mark.parametrize("cls", [Judgement, Row])
def test_the_guide_tells_every_field_of_what_a_rule_is_made_of(cls):
    """Whoever writes a rule or its row fills these in."""
    chapter = GUIDE.split("## Add a rule")[1].split("\n## ")[0]
    assert [f.name for f in dataclasses.fields(cls) if f"`{f.name}`" not in chapter] == []


@pytest.mark.parametrize("line", [*commands(GUIDE), *INLINE], ids=str)
def test_the_guide_for_contributors_can_be_typed(line, story, run, tmp_path, monkeypatch):
    """On a copy of the demo's journal, with a folder and a reader for those that the guide leaves open."""
    monkeypatch.chdir(tmp_path)
    own = tmp_path / "templates"
    own.mkdir()
    line = line.replace("FOLDER", str(own)).replace("READER", "forum")
    done = run(*shlex.split(line)[1:])
    assert done.code in (0, 3), f"{line}\n{done.err}"


def test_every_place_that_the_guide_names_is_there():
    """Files and folders in its text and on its map."""
    named = set(re.findall(r"`((?:calc|journal|templates|tests|tools)/[\w./]*\w/?)`", GUIDE))
    assert len(named) > 10
    assert [place for place in sorted(named) if not (ROOT / place).exists()] == []


def test_names_are_where_the_guide_says():
    """A name with a place behind it, such as that of trade lore, is found there."""
    said = re.findall(r"`(\w+)`\s+(?:\(`|in\s+`)((?:calc|journal)/[\w./]+\.py)`", GUIDE)
    assert {"COMMON_PRACTICE", "GOOD_DROP", "voltage_drop_dc"} <= {name for name, _ in said}
    assert [(name, place) for name, place in said if not re.search(rf"\b{name}\b", (ROOT / place).read_text())] == []


def test_screens_are_asked_for_by_journal_and_folder(tmp_path):
    """The tool says how it is used, and makes nothing where it cannot be."""
    for typed, code in (([], 2), (["--help"], 0), (["nowhere.db", "new"], 2), (["journal.db", "."], 2)):
        tool = [sys.executable, str(ROOT / "tools" / "screens.py"), *typed]
        done = subprocess.run(tool, cwd=tmp_path, capture_output=True, text=True, check=False)
        assert (done.returncode, "Traceback" in done.stderr) == (code, False), done.stderr
        assert "usage: screens.py" in done.stdout + done.stderr
    assert list(tmp_path.iterdir()) == []
