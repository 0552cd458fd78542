"""No file is longer than 500 lines, no function than 40: what does not fit into one look is not understood in one."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
FILES = {str(p.relative_to(ROOT)): p for room in ("calc", "journal") for p in sorted((ROOT / room).rglob("*.py"))}
LONGEST_FILE, LONGEST_FUNCTION = 500, 40

#: Tables of data, which are looked up and not read, may be as long as they must; with what each holds.
TABLES = {
    "journal/book/migrations/versions/0001_the_first_tables.py": "the tables of the first release, never edited again",
    "calc/mechanisms/phrases.py": "what builders say of what they see and believe",
    "calc/mechanisms/looks.py": "the catalogue of looks",
}
#: Files that are still too long. Nothing is ever added here; what has been put right is taken off.
LONG_FILES: set[str] = set()
#: Functions that are still too long, the same way.
LONG_FUNCTIONS: set[str] = set()


def functions(source):
    """Every function of a source with its lines: the signature counts, the docstring does not."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            said = node.body[0] if ast.get_docstring(node) is not None else None
            words = said.end_lineno - said.lineno + 1 if said is not None else 0
            yield node.name, node.end_lineno - node.lineno + 1 - words


def long_functions(file, source):
    """Functions of a file that are too long."""
    return {f"{file} {name}" for name, lines in functions(source) if lines > LONGEST_FUNCTION}


@pytest.mark.parametrize("file", FILES)
def test_a_file_is_short(file):
    """At most 500 lines; what is listed above as too long must still be so, or be taken off the list."""
    is_long = len(FILES[file].read_text(encoding="utf-8").splitlines()) > LONGEST_FILE
    assert is_long == (file in LONG_FILES) or file in TABLES, f"{file} is {'long' if is_long else 'short now'}"


@pytest.mark.parametrize("file", FILES)
def test_functions_are_short(file):
    """At most 40 lines without the docstring; what is listed above must still be so, or be taken off the list."""
    known = {f for f in LONG_FUNCTIONS if f.split()[0] == file}
    assert file in TABLES or long_functions(file, FILES[file].read_text(encoding="utf-8")) == known


def test_lists_name_what_there_is():
    """A file that is gone is on none of the lists."""
    assert {*TABLES, *LONG_FILES, *(f.split()[0] for f in LONG_FUNCTIONS)} - set(FILES) == set()


def test_a_long_function_is_found():
    """41 lines are too many, 40 are not, however long the docstring is."""
    words = "    More of it.\n" * 30
    for lines, found in ((40, set()), (41, {"x f"})):
        body = "    a = 1\n" * (lines - 1)
        assert long_functions("x", f'def f():\n    """Say.\n\n{words}    """\n{body}') == found
