"""Every command that a message names is one that there is. Read from the sources, so that no message is forgotten."""

import ast
import re
from pathlib import Path

import pytest
import typer

from journal.cli import build

ROOT = Path(__file__).parent.parent.parent
TEMPLATES = [p for p in (ROOT / "templates").rglob("*") if p.suffix in (".md", ".html")]
SOURCES = sorted([*(ROOT / "calc").rglob("*.py"), *(ROOT / "journal").rglob("*.py"), *TEMPLATES])
_NAMED = re.compile(r"\bgalebook ((?:--[a-z]+ \S+ )*)([a-z][a-z-]*)(?: ([a-z]+))?")


def _texts(path):
    """Every text in a source, with what is put into it as a blank."""
    source = path.read_text(encoding="utf-8")
    if path.suffix != ".py":
        yield source
        return
    # Of the others no text names a command.
    tree = ast.parse(source if "galebook" in source else "")
    inner = {id(v) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for v in ast.walk(node)}
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            yield "".join(v.value if isinstance(v, ast.Constant) else "\0" for v in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in inner:
            yield node.value


NAMED = sorted(
    {(m[2], m[3] or "") for path in SOURCES for text in _texts(path) for m in _NAMED.finditer(text)}
)  # fmt: skip


@pytest.fixture(scope="module")
def there():
    """The commands that there are."""
    command = typer.main.get_command(build())
    return {name: set(getattr(sub, "commands", {})) for name, sub in command.commands.items()}


def test_messages_name_commands():
    """Many of them, so that this test tests something."""
    assert len({word for word, _ in NAMED}) > 25


@pytest.mark.parametrize(("word", "then"), NAMED)
def test_a_message_names_a_command_that_there_is(there, word, then):
    """Also one of a group, as galebook part add is."""
    assert word in there
    assert not there[word] or then in there[word]
