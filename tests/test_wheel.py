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


@pytest.fixture(scope="module")
def played(galebook):
    """The demo, played once; it takes a while."""
    return galebook("demo", "out")


def test_the_wheel_holds_all_that_is_needed_and_no_more(wheel):
    """Code, tables, migrations and templates; no tests."""
    names = zipfile.ZipFile(wheel).namelist()
    for source, inside in (("calc/tables", "calc/tables"), ("templates", "journal/templates")):
        wanted = {f"{inside}/{p.name}" for p in (ROOT / source).iterdir() if p.suffix in (".csv", ".md", ".html")}
        assert wanted <= set(names)
    assert any(n.startswith("journal/book/migrations/versions/0001") for n in names)
    assert {n.split("/")[0].split("-")[0] for n in names} == {"calc", "journal", "galebook"}


def test_the_demo_runs_from_the_wheel(played, away, installed):
    """The whole story, its write-ups made from the templates inside the package."""
    assert (played.returncode, "Traceback" in played.stderr) == (0, False), played.stderr
    made = {p.name for p in (away / "out").iterdir()}
    assert made >= {"demo.db", "forum.md", "forum.html", "neighbour.md", "neighbour.html", "workshop.md"}
    assert (away / "out" / "forum.md").stat().st_size > 10_000
    place = "import journal.publish.sandbox as w; print(w.__file__, w.templates_folder(), sep='\\n')"
    env = {**os.environ, "PYTHONPATH": str(installed)}
    told = subprocess.run([sys.executable, "-c", place], capture_output=True, text=True, env=env, cwd=away)
    assert told.stdout.split("\n")[:2] == [
        str(installed / "journal" / "publish" / "sandbox.py"), str(installed / "journal" / "templates"),
    ]  # fmt: skip


def test_the_installed_command_checks_and_tells_its_version(galebook, played):
    """Exit code 3 from the first revision of the story, which fails."""
    assert galebook("--journal", "out/demo.db", "check", "r1").returncode == 3
    assert galebook("--version").stdout.strip()
