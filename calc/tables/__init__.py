"""Published tables as CSV, each with its source in the leading lines that begin with ``#``.

A column ``standing`` says how each row is known: ``published``, ``reproduction`` (a third party's copy was
read), ``common practice`` or ``from memory`` (not confirmed in any copy read).
"""

from __future__ import annotations

import csv
from functools import cache
from importlib import resources

Row = dict[str, str]


@cache
def table_rows(name: str) -> tuple[Row, ...]:
    """Rows of a table, in the order of the file.

    Parameters
    ----------
    name : str
        File name without ``.csv``.

    Examples
    --------
    >>> table_rows("beaufort")[4]["low"]
    '5.5'
    """
    text = (resources.files("calc") / "tables" / f"{name}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))
