"""An installed copy works away from the checkout."""

import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    """The wheel, built from a copy of the source so that nothing is left in the checkout."""
    folder = tmp_path_factory.mktemp("wheel")
    source = folder / "source"
    source.mkdir()
    for part in ("calc", "journal", "templates"):
        shutil.copytree(ROOT / part, source / part, ignore=shutil.ignore_patterns("__pycache__"))
    for part in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / part, source / part)
    command = [sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "-w", str(folder), str(source)]
    done = subprocess.run(command, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    (built,) = folder.glob("galebook-*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel, tmp_path_factory):
    """The wheel in a folder of its own; what it depends on comes from this environment."""
    folder = tmp_path_factory.mktemp("installed")
    command = [sys.executable, "-m", "pip", "install", "-q", "--no-deps", "--target", str(folder), str(wheel)]
    done = subprocess.run(command, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return folder


@pytest.fixture(scope="module")
def away(tmp_path_factory):
    """An empty folder that is not the checkout."""
    return tmp_path_factory.mktemp("away")


@pytest.fixture(scope="module")
def galebook(installed, away):
    """Run the installed command from there."""

    def run(*args):
        env = {**os.environ, "PYTHONPATH": str(installed), "PYTHONDONTWRITEBYTECODE": "1"}
        script = [sys.executable, str(installed / "bin" / "galebook")]
        return subprocess.run([*script, *args], capture_output=True, text=True, env=env, cwd=away)

    return run


#: A small machine that fails, for the whole story takes a while.
SMALL = """
[rotor]
diameter = "1.3 m"
overspeed = "none"
[site]
storm_wind = "30 m/s"
"""


@pytest.fixture(scope="module")
def played(galebook, away):
    """A journal begun with the installed command, and its pages."""
    (away / "small.toml").write_text(SMALL)
    (away / "out").mkdir()
    journal = ("--journal", "out/small.db")
    done = [galebook(*journal, "start", "Shed wind generator"), galebook(*journal, "sheet", "--file", "small.toml")]
    for form in ("md", "html"):
        done.append(galebook(*journal, "writeup", "--for", "forum", "--format", form, "--out", f"out/forum.{form}"))
    return done


def test_the_wheel_holds_all_that_is_needed_and_no_more(wheel):
    """Code, tables, migrations and templates; no tests."""
    names = zipfile.ZipFile(wheel).namelist()
    for source, inside in (("calc/tables", "calc/tables"), ("templates", "journal/templates")):
        wanted = {f"{inside}/{p.name}" for p in (ROOT / source).iterdir() if p.suffix in (".csv", ".md", ".html")}
        assert wanted <= set(names)
    pages = {f"journal/templates/web/{p.name}" for p in (ROOT / "templates" / "web").iterdir()}
    assert pages <= set(names)
    assert any(n.startswith("journal/book/migrations/versions/0001") for n in names)
    assert {n.split("/")[0].split("-")[0] for n in names} == {"calc", "journal", "galebook"}


def test_pages_are_made_from_the_wheel(played, away, installed):
    """Of the templates inside the package, by a journal made with its migrations."""
    assert [(done.returncode, done.stderr) for done in played if done.returncode] == []
    assert {p.name for p in (away / "out").iterdir()} >= {"small.db", "forum.md", "forum.html"}
    assert (away / "out" / "forum.html").stat().st_size > 2_000
    place = "import journal.publish.sandbox as w; print(w.__file__, w.templates_folder(), sep='\\n')"
    env = {**os.environ, "PYTHONPATH": str(installed)}
    told = subprocess.run([sys.executable, "-c", place], capture_output=True, text=True, env=env, cwd=away)
    assert told.stdout.split("\n")[:2] == [
        str(installed / "journal" / "publish" / "sandbox.py"), str(installed / "journal" / "templates"),
    ]  # fmt: skip


def test_the_installed_command_checks_and_tells_its_version(galebook, played):
    """Exit code 3 from a revision that fails."""
    assert galebook("--journal", "out/small.db", "check", "r1").returncode == 3
    assert galebook("--version").stdout.strip()
