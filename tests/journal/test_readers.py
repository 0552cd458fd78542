"""Readers and pictures stand each in one table; templates, ours or a friend's, run in a sandbox."""

import ast
import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from journal.book import corrections, store
from journal.errors import BadInput
from journal.publish import figures, sandbox, writeup
from journal.publish import story as story_of
from journal.publish.readers import READERS, Reader

FOLDER = sandbox.templates_folder()
PACKAGE = Path(figures.__file__).parent


def test_every_reader_has_a_template_and_every_template_a_reader():
    """A file of one of ours that no reader is named after could never be written."""
    assert {p.stem for p in FOLDER.glob("[!_]*.md")} == set(READERS)


def test_a_reader_is_added_by_a_template_and_one_entry(story_path, run, tmp_path, monkeypatch):
    """Nothing else: the command knows the name, privacy is kept, its pictures and its own names are there."""
    folder = tmp_path / "templates"
    shutil.copytree(FOLDER, folder)
    (folder / "insurer.md").write_text(
        "# {{ build.name }}\n\n{{ build.builder }}, {{ build.place }}: {{ count }} revisions\n\n"
        "{{ picture('power') }}\n"
    )
    monkeypatch.setattr(sandbox, "templates_folder", lambda: folder)
    entry = Reader(shows=frozenset({"builder"}), names=lambda told: {"count": len(told.story.chapters)})
    monkeypatch.setitem(READERS, "insurer", entry)
    out = tmp_path / "insurer.md"
    done = run("writeup", "--for", "insurer", "--out", str(out))
    assert (done.code, done.err.split("Left out: ")[1]) == (0, "the exact place, serial numbers, prices.\n")
    text = out.read_text()
    assert text.startswith("# Shed wind generator\n\nOdo Quillfeather, : 2 revisions\n\n![Computed power")
    assert (tmp_path / "insurer-pictures" / "power-r2.png").exists()
    assert "insurer" in run("writeup", "--for", "nobody").err
    assert "insurer" in " ".join(run("writeup", "--help").out.split())


@pytest.fixture
def story_path(story):
    """The demo with a builder's name."""
    with store.journal(story, write=True) as s:
        corrections.amend(s, "build", "builder", "Odo Quillfeather", "told now")
    return story


def makers():
    """Every function that makes a picture, by its name, from the source."""
    for path in PACKAGE.glob("*.py"):
        for node in ast.parse(path.read_text()).body:
            public = isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
            if public and node.returns is not None and ast.unparse(node.returns).startswith("Picture"):
                yield node.name


def test_every_picture_stands_in_the_table():
    """Whoever writes one and forgets the entry is told its name."""
    source = (PACKAGE / "__init__.py").read_text()
    after = source[source.index("FIGURES:") : source.index("def pictures_named")]
    named = {n.id for n in ast.walk(ast.parse(after)) if isinstance(n, ast.Name)}
    every = set(makers())
    assert len(every) >= 7
    assert every - named == set()


def test_templates_ask_for_pictures_that_there_are():
    """By the names of the table."""
    asked = {n for p in FOLDER.glob("*.md") for n in re.findall(r"picture\(['\"]([a-z]+)", p.read_text())}
    assert asked - set(figures.FIGURES) == set()


def test_a_picture_is_added_by_one_entry(story, run, tmp_path, monkeypatch):
    """The forum's template can set it in at once, as any other's."""
    monkeypatch.setitem(figures.FIGURES, "mine", lambda of: [replace(figures.timeline(of.story), name="mine")])
    (tmp_path / "forum.md").write_text("{{ picture('mine') }}")
    out = tmp_path / "out" / "page.md"
    out.parent.mkdir()
    assert run("writeup", "--for", "forum", "--templates", str(tmp_path), "--out", str(out)).code == 0
    assert re.fullmatch(r"!\[From [^]]+\]\(page-pictures/mine\.png\)\n", out.read_text())
    assert [p.name for p in (out.parent / "page-pictures").iterdir()] == ["mine.png"]


ATTACKS = [
    "{{ lipsum.__globals__['os'].popen('touch FILE').read() }}",
    "{{ cycler.__init__.__globals__.os.popen('touch FILE').read() }}",
    "{{ picture.__func__.__globals__['__builtins__']['open']('FILE', 'w') }}",
    "{{ story.__class__.__mro__[-1].__subclasses__() }}",
    "{{ build._fields }}",
    "{{ story['__class__'] }}",
    "{{ build | attr('__class__') }}",
    "{{ [build] | map(attribute='__class__') | first }}",
    "{{ '{0.__class__}'.format(build) }}",
    "{{ story.chapters[0].findings.__globals__ }}",
    "{{ self.__init__.__globals__ }}",
    "{{ photo.__self__._told }}",
]


@pytest.fixture
def tale(path):
    """All that was gathered of an empty journal."""
    with store.journal(path) as s:
        yield story_of.tell(s)


@pytest.mark.parametrize("attack", ATTACKS)
def test_a_friends_template_reaches_nothing_behind_what_it_is_given(tale, tmp_path, attack):
    """No program runs, no file is made; the line is told."""
    (tmp_path / "forum.md").write_text(f"# Mine\n{attack.replace('FILE', str(tmp_path / 'made'))}\n")
    with pytest.raises(BadInput, match=r"forum\.md, line 2: .*(unsafe|undefined|no attribute|has no element)"):
        writeup.render(tale, "forum", "md", tmp_path)
    assert not (tmp_path / "made").exists()


@pytest.mark.parametrize("attack", ATTACKS[:2])
def test_nor_does_a_friends_page(tale, tmp_path, attack):
    """The frame of the page runs in the same sandbox."""
    (tmp_path / "page.html").write_text(attack.replace("FILE", str(tmp_path / "made")))
    with pytest.raises(BadInput, match=r"unsafe|undefined"):
        writeup.render(tale, "forum", "html", tmp_path)
    assert not (tmp_path / "made").exists()
