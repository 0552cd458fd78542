"""README.md and DEVELOPERS.md are executed: every command in them is typed literally, in order."""

import re
import shlex
from pathlib import Path

import pytest
from PIL import Image

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
#: What the questions of a bare command are answered, where the guide shows one.
ANSWERS = {"galebook attempt": ["looked at it on the mast", "", "", "", "", "", "", "", "", "", "", "n", "n"]}


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
    session = README.split("## Your first session")[1].split("\n## ")[0]
    typed = commands(session)
    assert len(typed) > 40
    for line in typed:
        if line in ANSWERS:
            answers(*ANSWERS[line])
        done = run(*shlex.split(line)[1:])
        assert done.code in (0, 3), f"{line}\n{done.err}"


def test_the_demo_can_be_looked_at_as_the_readme_says(story, run, tmp_path, monkeypatch):
    """Each command after the demo's own; and the page that it names is there."""
    looked = README.split("## See it work")[1].split("\n## ")[0]
    typed = [line for line in commands(looked) if not line.startswith("galebook demo")]
    assert len(typed) >= 4
    for line in typed:
        assert run(*shlex.split(line)[1:]).code in (0, 3), line
    for page in re.findall(r"`demo/([\w.]+)`", looked):
        assert (story.parent / page).is_file()


@pytest.mark.parametrize("line", [*commands(GUIDE), *re.findall(r"`(galebook [^`]+)`", GUIDE)], ids=str)
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
