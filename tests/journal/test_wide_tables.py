"""Tables on a phone: what is cut off at the right is said to go on there."""

import re
from types import SimpleNamespace

import pytest

from journal.publish.page import WIDE, html_page

#: A page without pictures and marks.
BARE = SimpleNamespace(into=str, marks=SimpleNamespace(into=str))


def table(columns):
    """A table in Markdown."""
    row = "| " + " | ".join("x" for _ in range(columns)) + " |"
    return f"# T\n\n{row}\n|{'---|' * columns}\n{row}\n"


@pytest.mark.parametrize("columns", [2, WIDE - 1, WIDE, 7])
def test_a_wide_table_says_that_it_goes_on(columns):
    """Ahead of it, on narrow screens alone; a narrow one says nothing."""
    made = html_page(table(columns), None, BARE)
    assert ('<p class="slide">' in made) == (columns >= WIDE)
    assert made.count('<table tabindex="0">') == 1


def test_every_wide_table_of_the_workshop_page_has_its_hint(story):
    """The page of the demo: as many hints as tables of four columns or more, each right ahead of one."""
    made = (story.parent / "workshop.html").read_text(encoding="utf-8")
    tables = re.findall(r"<table.*?</tr>", made, re.DOTALL)
    wide = [t for t in tables if len(re.findall(r"<th[ >]", t)) >= WIDE]
    hints = re.findall(r'<p class="slide">[^<]*</p>\s*<table', made)
    assert len(hints) == len(wide) > 2
    assert re.search(r"@media screen and \(max-width: 46rem\) \{ \.slide \{ display: block", made)
