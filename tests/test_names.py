"""A public name means one thing: who searches for it finds one class or function."""

import ast
from collections import defaultdict
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
#: Rooms whose names are held to it, against each other and against everything else.
HELD = ("calc/machine/", "calc/rules/", "calc/mechanisms/")


def _homes():
    """Files in which each public class or function of the program stands, by its name."""
    homes = defaultdict(set)
    for room in ("calc", "journal"):
        for path in sorted((ROOT / room).rglob("*.py")):
            if "versions" not in path.parts:
                for node in ast.parse(path.read_text(encoding="utf-8")).body:
                    if isinstance(node, ast.ClassDef | ast.FunctionDef) and not node.name.startswith("_"):
                        homes[node.name].add(path.relative_to(ROOT).as_posix())
    return homes


@pytest.mark.parametrize("room", HELD)
def test_a_name_has_one_home(room):
    """No class or function of these rooms has a namesake in another file."""
    twice = {name: files for name, files in _homes().items() if len(files) > 1}
    assert {name: files for name, files in twice.items() if any(f.startswith(room) for f in files)} == {}
