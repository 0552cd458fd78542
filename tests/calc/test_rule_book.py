"""No module of rules or mechanisms is forgotten, and none leans on another of its kind."""

import ast
import importlib
from pathlib import Path

import pytest

from calc.mechanisms import ALL
from calc.rules import RULES

CALC = Path(__file__).parents[2] / "calc"


def _modules(room, name):
    """Files of a room that give a tuple of a name at their top, by module."""
    found = {}
    for path in sorted((CALC / room).glob("[!_]*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        given = {t.id for n in tree.body if isinstance(n, ast.Assign) for t in n.targets if isinstance(t, ast.Name)}
        if name in given:
            found[f"calc.{room}.{path.stem}"] = tree
    return found


RULE_FILES, MECHANISM_FILES = _modules("rules", "RULES"), _modules("mechanisms", "MECHANISMS")


@pytest.mark.parametrize("module", RULE_FILES)
def test_rules_of_every_file_are_in_the_book(module):
    """A file of rules that calc/rules/__init__.py leaves out would never be asked."""
    own = importlib.import_module(module).RULES
    assert [r.id for r in own if r not in RULES] == [], f"{module} is missing in calc/rules/__init__.py"


@pytest.mark.parametrize("module", MECHANISM_FILES)
def test_mechanisms_of_every_file_are_in_the_catalogue(module):
    """A file of mechanisms that calc/mechanisms/__init__.py leaves out would never be considered."""
    own = importlib.import_module(module).MECHANISMS
    assert [m.id for m in own if m not in ALL] == [], f"{module} is missing in calc/mechanisms/__init__.py"


def test_both_catalogues_hold_nothing_else():
    """Each rule and mechanism comes out of one file, and the files were found."""
    rules = [r for module in RULE_FILES for r in importlib.import_module(module).RULES]
    mechanisms = [m for module in MECHANISM_FILES for m in importlib.import_module(module).MECHANISMS]
    assert sorted(r.id for r in rules) == sorted(r.id for r in RULES)
    assert sorted(m.id for m in mechanisms) == sorted(m.id for m in ALL)
    assert len(RULE_FILES) > 10
    assert len(MECHANISM_FILES) > 5


@pytest.mark.parametrize("module", [*RULE_FILES, *MECHANISM_FILES])
def test_a_subject_stands_by_itself(module):
    """A file of rules imports no other, a file of mechanisms neither; what they share has a file of its own."""
    tree = (RULE_FILES | MECHANISM_FILES)[module]
    named = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            named |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            named |= {f"{node.module}.{alias.name}" for alias in node.names} | {node.module}
    assert named & (RULE_FILES.keys() | MECHANISM_FILES.keys()) == set()
