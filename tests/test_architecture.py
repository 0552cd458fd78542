"""Who may import whom, what start-up may load, and that every public function is explained. Read from the source."""

import ast
import importlib
import inspect
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.reached import Reached

ROOT = Path(__file__).parent.parent
CALC = sorted((ROOT / "calc").rglob("*.py"))
TEMPLATES = sorted(p for p in (ROOT / "templates").rglob("*") if p.is_file() and p.suffix != ".png")
JOURNAL = sorted(p for p in (ROOT / "journal").rglob("*.py") if "versions" not in p.parts)
#: Rooms, lowest first; a module may import from its own room and from those below it.
ROOMS = (
    "calc.wording",
    "calc.units",
    "calc.quantities",
    "calc.finding",
    "calc.tables",
    "calc.physics",
    "calc.curve",
    "calc.evidence",
    "calc.cutting",
    "calc.machine",
    "calc.rules",
    "calc.mechanisms",
    "journal.errors",
    "journal.book",
    "journal.logger",
    "journal.review",
    "journal.drawing",
    "journal.publish",
    "journal.screens",
    "journal.demo",
    "journal.web",
    "journal.cli",
)
#: What pages for a phone are made with; nothing else may ask for it, for it is not installed with the program.
FOR_PHONES = {"starlette", "uvicorn", "segno", "python_multipart"}


def name(path):
    """A readable id."""
    return str(path.relative_to(ROOT))


def imports(path, *, top=False):
    """Every module that a file imports, also inside functions unless only the top is asked for."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    guarded = {
        n for block in ast.walk(tree) if isinstance(block, ast.If) and "TYPE_CHECKING" in ast.dump(block.test)
        for n in ast.walk(block)
    }  # fmt: skip
    nodes = tree.body if top else ast.walk(tree)
    for node in nodes:
        if node in guarded:
            continue
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


@pytest.mark.parametrize("path", CALC, ids=name)
def test_calc_imports_only_itself_numbers_and_the_standard_library(path):
    """Numpy, the propagation of uncertainty, how alike words are; not the journal, no database, nothing that prints."""
    allowed = {"calc", "numpy", "rapidfuzz", "uncertainties"} | sys.stdlib_module_names
    assert {m.split(".")[0] for m in imports(path)} <= allowed - {"sqlite3", "logging"}


@pytest.mark.parametrize("path", CALC, ids=name)
def test_calc_prints_nothing_and_writes_nothing(path):
    """Numbers in, numbers out."""
    calls = [n.func for n in ast.walk(ast.parse(path.read_text())) if isinstance(n, ast.Call)]
    called = {f.id for f in calls if isinstance(f, ast.Name)}
    assert not called & {"print", "input", "exec", "eval"}


@pytest.mark.parametrize("path", JOURNAL, ids=name)
def test_only_one_file_imports_rich(path):
    """What all screens share; a screen says what it shows, not how a table is drawn."""
    assert name(path) == "journal/screens/terminal.py" or not any(m.split(".")[0] == "rich" for m in imports(path))


@pytest.mark.parametrize("path", JOURNAL, ids=name)
def test_typer_stays_in_the_command_line(path):
    """Services know nothing of how they are called."""
    assert "cli" in path.parts or not any(m.split(".")[0] in ("typer", "click") for m in imports(path))


@pytest.mark.parametrize("path", JOURNAL, ids=name)
def test_what_is_not_installed_with_the_program_stays_with_the_pages_that_need_it(path):
    """Whoever serves no pages need not have it."""
    assert "web" in path.parts or not {m.split(".")[0] for m in imports(path)} & FOR_PHONES


def _room(module):
    return next((i for i, room in enumerate(ROOMS) if f"{module}.".startswith(f"{room}.")), None)


def _module(path):
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


@pytest.mark.parametrize(
    "path", [p for p in [*CALC, *JOURNAL] if _module(p) not in ("calc", "journal", "journal.__main__")], ids=name
)
def test_arrows_run_down_only(path):
    """No module imports from a room above its own, inside a function or not."""
    own = _room(_module(path))
    assert own is not None, f"{path.name} has no room"
    inner = {m for m in imports(path) if m.startswith(("calc.", "journal."))}
    assert {m for m in inner if (_room(m) if _room(m) is not None else -1) > own} == set()


MODULES = {_module(p): p for p in [*CALC, *JOURNAL]}


def graph():
    """Which module imports which, inside functions or not, and the files that corrections are looked up in."""
    from journal.book.tables import NUMBERED, Build

    edges = {name: {_known(m) for m in imports(path)} - {name, None} for name, path in MODULES.items()}
    edges["journal.book.corrections"] |= {f"journal.book.{k.__name__.lower()}s" for k in [Build, *NUMBERED.values()]}
    return edges


def _known(module):
    """The module that an import loads: itself, or the one that holds the name."""
    while module and module not in MODULES:
        module = module.rpartition(".")[0]
    return module or None


def cycle(edges):
    """One circle of imports, as a list of modules that ends where it begins; empty if there is none."""
    done = set()

    def walk(module, above):
        if module in above:
            return [*above[above.index(module) :], module]
        if module in done:
            return []
        found = next(filter(None, (walk(m, [*above, module]) for m in sorted(edges[module]))), [])
        done.add(module)
        return found

    return next(filter(None, (walk(m, []) for m in sorted(edges))), [])


def test_no_module_imports_itself_by_a_detour():
    """Not even where the import stands inside a function: a circle has no floor to read it from."""
    assert " -> ".join(cycle(graph())) == ""


def test_a_circle_is_seen_and_named():
    """The search for circles finds one, also behind a module that is in none."""
    assert cycle({"a": {"b"}, "b": {"c"}, "c": {"d", "b"}, "d": set()}) == ["b", "c", "b"]
    assert cycle({"a": {"b", "c"}, "b": {"d"}, "c": {"d"}, "d": set()}) == []


def test_a_class_name_means_one_thing():
    """Whoever searches for a class finds one."""
    defined = [
        node.name
        for path in MODULES.values()
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_")
    ]
    assert {name for name in defined if defined.count(name) > 1} == set()


def test_every_room_stands():
    """No room is named that is gone."""
    found = {room for p in [*CALC, *JOURNAL] for room in ROOMS if f"{_module(p)}.".startswith(f"{room}.")}
    assert set(ROOMS) - found == set()


LIGHT = {"typer", "journal"} | sys.stdlib_module_names


@pytest.mark.parametrize("path", sorted((ROOT / "journal" / "cli").glob("*.py")), ids=name)
def test_the_command_line_imports_nothing_heavy_at_its_top(path):
    """Start-up is felt at every command: services are imported inside the command that uses them."""
    heads = set(imports(path, top=True))
    assert {m.split(".")[0] for m in heads} <= LIGHT
    inner = {m for m in heads if m.startswith("journal.")}
    assert all(m.startswith(("journal.cli", "journal.errors")) for m in inner)


#: What knowing the place of the journal loads, for now.
STORE = ("calc", "sqlmodel", "sqlalchemy", "numpy", "journal.book.store", "journal.book.tables")
HEAVY = ("numpy", "sqlmodel", "sqlalchemy", "pint", "tomlkit", "alembic", "jinja2", "markdown", "nh3", "matplotlib",
         "PIL", "platformdirs", "starlette", "uvicorn", "segno", "python_multipart", "journal.web", "calc",
         "journal.book.store", "journal.book.tables", "journal.screens")  # fmt: skip


@pytest.mark.parametrize("args", [["--help"], ["check", "--help"], ["--version"], ["where"]], ids=" ".join)
def test_start_up_loads_nothing_heavy(args, tmp_path):
    """Neither help, version nor place needs the database, arrays or units."""
    heavy = [h for h in HEAVY if args != ["where"] or h not in STORE]
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "journal", *args], capture_output=True, text=True, cwd=ROOT
    )
    loaded = {line.rsplit("|", 1)[1].strip() for line in done.stderr.splitlines() if line.startswith("import time:")}
    assert "journal.cli" in loaded
    assert [m for m in loaded if m in heavy or m.split(".")[0] in heavy] == []


def _public(path):
    module = importlib.import_module(_module(path))
    for key, thing in vars(module).items():
        if not key.startswith("_") and getattr(thing, "__module__", "") == module.__name__ and callable(thing):
            yield thing


@pytest.mark.parametrize("path", CALC, ids=name)
def test_everything_public_in_calc_is_explained(path):
    """A docstring of its own, more than the signature that dataclasses make up."""
    texts = {thing.__name__: inspect.getdoc(thing) or "" for thing in _public(path)}
    assert [n for n, text in texts.items() if not re.match(r".+\.", text, re.DOTALL)] == []
    assert [n for n, text in texts.items() if text.startswith(f"{n}(")] == []


SENTENCE = re.compile(r"\bsafe\b", re.IGNORECASE)


@pytest.mark.parametrize("path", [*CALC, *JOURNAL, *TEMPLATES], ids=name)
def test_nothing_is_ever_called_safe(path):
    """Not in any text that people could see; the template filter of that name is no text."""
    text = re.sub(r"\|\s*safe\b", "", path.read_text(encoding="utf-8"))
    assert [line for line in text.splitlines() if SENTENCE.search(line)] == []


def test_everything_public_in_calc_is_reached_by_the_program():
    """What only tests call is offered to the builder or deleted."""
    sources = {_module(p): p.read_text(encoding="utf-8") for p in [*CALC, *JOURNAL]}
    assert Reached(sources).not_reached() == []


def test_what_is_not_reached_is_named():
    """A function, a method, a constant, and what only they call; not what the journal or a used name mentions."""
    lone = """
USED = 1
LONE = 3
def used(): return USED
def lone(): return other()
def other(): return LONE
class Thing:
    def asked(self): return 1
    def never_asked(self): return 2
"""
    package = "from calc.room.lone import Thing, lone, used"
    caller = "from calc import room\ndef do(): return room.used() + room.Thing().asked()"
    found = Reached({"calc.room.lone": lone, "calc.room": package, "journal.caller": caller}).not_reached()
    assert found == [f"calc.room.lone.{name}" for name in ("LONE", "Thing.never_asked", "lone", "other")]
