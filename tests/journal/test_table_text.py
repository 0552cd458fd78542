"""Tables as text: the separator found, lines as cells, and one clear line for what is no table."""

import csv
import io
import zipfile

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal.book.plain_text import steering
from journal.book.table_numbers import decimal_mark, with_point
from journal.book.table_text import SEPARATORS, table_of
from journal.errors import BadInput


def read(text, encoding="utf-8"):
    """A table from a text."""
    return table_of(text.encode(encoding), "t.csv")


def cells(table):
    """Lines as numbers and cells."""
    return [(line.number, line.cells) for line in table.lines]


@pytest.mark.parametrize("separator", SEPARATORS)
def test_every_separator_is_found(separator):
    """Whatever parts the cells, with texts that hold another separator."""
    rows = [["rpm", "volts (V)", "note"], ["300", "3.9", "a b"], ["600", "8.7", "c. d"]]
    table = read("\n".join(separator.join(row) for row in rows))
    assert (table.header, table.parted) == (tuple(rows[0]), SEPARATORS[separator])
    assert cells(table) == [(2, tuple(rows[1])), (3, tuple(rows[2]))]


def test_decimal_commas_do_not_part_cells():
    """As spreadsheets write tables where decimals have a comma: the standard library's sniffer takes the comma."""
    table = read("wind;volts;amps\n5,2;12,1;0,3\n6,0;12,4;1,2\n7,1;12,5;2,2\n")
    assert (table.parted, table.lines[0].cells) == ("semicolons", ("5,2", "12,1", "0,3"))


def test_what_spreadsheets_add_is_no_line():
    """A mark ahead of the text, a line that names the separator, empty columns and lines, lines ended in any way."""
    table = read("\ufeffrpm,volts,,\r\n\r\n,,,\r\n300,3.9,,\r600,8.7,,")
    assert (table.header, cells(table)) == (("rpm", "volts"), [(4, ("300", "3.9")), (5, ("600", "8.7"))])
    table = read("sep=;\nrpm;volts\n300;3,9")
    assert (table.header, cells(table)) == (("rpm", "volts"), [(3, ("300", "3,9"))])


def test_bars_are_drawn_around_a_table():
    """With a rule below the header, as in notes; and without."""
    table = read("| rpm | volts |\n|-----|:-----:|\n| 300 | 3.9 |\n")
    assert (table.header, cells(table)) == (("rpm", "volts"), [(3, ("300", "3.9"))])


def test_quotes_hold_separators_and_line_ends():
    """The next line has the number that it has in the file."""
    table = read('rpm,note\n300,"hummed,\nthen stopped"\n600,"a ""thud"""\n')
    assert cells(table) == [(2, ("300", "hummed,\nthen stopped")), (4, ("600", 'a "thud"'))]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_letters_of_other_encodings(encoding):
    """Those in which spreadsheets write; that it was none of Unicode is told."""
    table = read("Böe,volts\nstürmisch,12.1", encoding)
    assert (table.header[0], table.lines[0].cells[0]) == ("Böe", "stürmisch")
    assert table.decoded == ("Windows-1252" if encoding == "cp1252" else "")


HOSTILE = {
    "nothing": (b"", "t.csv is empty"),
    "blank lines": (b"\n \n,,\n", "t.csv is empty"),
    "no header": (b"300,3.9\n600,8.7\n", "line 1: the first line heads no columns"),
    "NUL": (b"rpm,volts\n300,3.9\n\x00,1\n", "line 3: this is no text"),
    "a picture": (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "this is no text"),
    "a cell of 1 MB": (b"rpm,note\n300," + b"x" * 1_000_000 + b"\n", "Line 2: a cell is too long"),
    "a cell too long": (b"rpm,note\n300," + b"x" * 20_000 + b"\n", "Line 2, column 2: a cell of 20000 characters"),
    "too few cells": (b"rpm,volts,note\n300,3.9,\n600,8.7\n", "Line 3: 2 cells where the header has 3"),
    "too many cells": (b"rpm,volts\n300,3.9\n600,8,7\n", "Line 3: 3 cells where the header has 2"),
    "a quote left open": (b'rpm,note\n300,"hum\n600,x\n', "Line 2: a quote is opened here and never closed"),
    "text behind a quote": (b'rpm,note\n300,"hum"med\n', "Line 2: something stands behind a closed quote"),
    "turned letters": (
        "rpm,note\n300,\u202egnp.exe\n".encode(),
        "Line 2, column 2: a character that nobody sees, U+202E",
    ),
    "an escape": (b"rpm,note\n300,\x1b[31m\n", "Line 2, column 2: a character that nobody sees, U+001B"),
    "a head twice": (b"rpm,rpm\n300,301\n", "two columns are headed 'rpm'"),
    "no workbook": (b"PK\x03\x04 nothing more", "cannot be read as a spreadsheet"),
    "600 columns": (b",".join(b"c%d" % i for i in range(600)) + b"\n", "Line 1 has 600 cells"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_what_is_no_table_gets_one_line(name):
    """What is wrong, and in which line."""
    given, words = HOSTILE[name]
    with pytest.raises(BadInput) as e:
        table_of(given, "t.csv")
    assert words in str(e.value)
    assert len(str(e.value)) < 300
    assert "\n" not in str(e.value)


@given(st.binary(max_size=200) | st.text(max_size=200).map(lambda t: f"a,b\n{t}".encode("utf-8", "replace")))
def test_any_bytes_are_a_table_or_refused(given):
    """Never anything but a table whose lines are as long as its header, or one line."""
    try:
        table = table_of(given, "t.csv")
    except BadInput:
        return
    assert {len(line.cells) for line in table.lines} <= {len(table.header)}
    assert not steering("".join(c for line in table.lines for c in line.cells))


WORDS = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")) | st.just(" "), max_size=8).map(str.strip)


@given(st.lists(st.lists(WORDS, min_size=3, max_size=3), min_size=3, max_size=8), st.sampled_from(["\t", ";", ","]))
def test_what_csv_writes_is_read_again(rows, separator):
    """Any cells, as the standard library quotes them: the same lines, but those that are empty."""
    rows = [row for row in rows if any(row)]
    text = io.StringIO()
    csv.writer(text, delimiter=separator, quoting=csv.QUOTE_ALL).writerows([["one", "two", "three"], *rows])
    assert [list(line.cells) for line in read(text.getvalue()).lines] == rows


@pytest.mark.parametrize(
    ("numbers", "mark"),
    [
        (["12.1", "3"], "."),
        (["12,1", "3"], ","),
        (["1.234,5"], ","),
        (["1,234.5"], "."),
        (["0,123"], ","),
        (["1,234,567"], "."),
        (["1,234", "12.5"], "."),
        (["1.234", "7"], "."),
        (["3", "5 to 7 m/s"], "."),
        ([], "."),
    ],
)
def test_decimals_are_told_by_all_numbers_together(numbers, mark):
    """One sure number settles what the others leave open."""
    assert decimal_mark(enumerate(numbers, 2)) == mark


@pytest.mark.parametrize(("numbers", "words"), [(["12,1", "12.4"], "line 2 (12,1)"), (["1,234"], "1.234 or 1234")])
def test_what_cannot_be_told_of_decimals_is_asked(numbers, words):
    """Both marks, or a comma that could part thousands: the flag that says it is named."""
    with pytest.raises(BadInput, match=r"--decimal comma\|point") as e:
        decimal_mark(enumerate(numbers, 2))
    assert words in str(e.value)


@pytest.mark.parametrize(
    ("cell", "mark", "read"),
    [("12,1 V", ",", "12.1 V"), ("1.234,5", ",", "1234.5"), ("5,2 to 6,1", ",", "5.2 to 6.1"),
     ("1,234.5", ".", "1234.5"),
     ("-0,9 A", ",", "-0.9 A"), ("12", ",", "12"), ("12.5", ".", "12.5"), ("2026-01-12", ".", "2026-01-12")],
)  # fmt: skip
def test_numbers_as_a_program_writes_them(cell, mark, read):
    """Thousands without a mark, decimals with a point."""
    assert with_point(cell, mark) == read


@pytest.mark.parametrize(("cell", "mark"), [("1.234", ","), ("12,1", "."), ("1,2,3", ","), ("12.3.4,5", ",")])
def test_numbers_of_another_mark_are_refused(cell, mark):
    """None is silently taken for a thousand times itself."""
    with pytest.raises(BadInput, match="cannot be read where decimals have"):
        with_point(cell, mark)


def workbook(*rows):
    """A spreadsheet with some rows."""
    openpyxl = pytest.importorskip("openpyxl")
    book, kept = openpyxl.Workbook(), io.BytesIO()
    for row in rows:
        book.active.append(row)
    book.save(kept)
    return kept.getvalue()


def test_a_spreadsheet_is_read_as_it_shows():
    """Days, times, whole numbers and decimals as one would type them; a formula that was never worked out stays."""
    from datetime import date, datetime

    table = table_of(
        workbook(
            ["date", "rpm", "volts"], [date(2026, 1, 12), 300, 3.9], [datetime(2026, 1, 12, 9, 30), 600.0, "=B2*2"]
        ),
        "t.xlsx",
    )
    assert cells(table) == [(2, ("2026-01-12", "300", "3.9")), (3, ("2026-01-12 09:30", "600", "=B2*2"))]


def test_a_spreadsheet_that_is_none_or_would_fill_the_memory(monkeypatch):
    """A zip of something else; one whose content is far larger than itself."""
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("a", "x" * 1000)
    with pytest.raises(BadInput, match="cannot be read as a spreadsheet"):
        table_of(kept.getvalue(), "t.xlsx")
    monkeypatch.setattr("journal.book.table_workbook.MOST_UNPACKED", 100)
    with pytest.raises(BadInput, match="too large unpacked"):
        table_of(kept.getvalue(), "t.xlsx")


def test_without_the_reader_of_spreadsheets_that_is_said(monkeypatch):
    """In one line, with what installs it."""
    monkeypatch.setitem(__import__("sys").modules, "openpyxl", None)
    with pytest.raises(BadInput, match=r"galebook\[tables\]"):
        table_of(b"PK\x03\x04", "t.xlsx")
