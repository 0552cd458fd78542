"""Names of files as a terminal gets them when they are dragged into it, or as somebody types them."""

from __future__ import annotations

import os
import re
from pathlib import Path
from urllib.parse import unquote, urlsplit

from journal.errors import BadInput

#: One name: in quotes, or with its blanks behind backslashes.
_NAME = re.compile(r"""'([^']*)'|"((?:[^"\\]|\\.)*)"|((?:[^\s'"\\]|\\.)+)""")
_ESCAPED = re.compile(r"\\(.)")


def dropped(text: str, *, backslashes: bool = os.sep != "\\") -> list[Path]:
    """The files that a line names: plain, in quotes, with backslashes, as file:// addresses, one or several.

    Parameters
    ----------
    backslashes : bool
        Whether a backslash takes the meaning from what is behind it, as it does where it parts no folders.

    Raises
    ------
    BadInput
        If a quote is left open, or one of the names is that of no file.
    """
    whole = text.strip()
    # A name with blanks that nobody escaped is understood where there is such a file.
    files = [Path(whole).expanduser()] if _is_file(whole) else names_in(whole, backslashes=backslashes)
    for file in files:
        if not file.exists():
            raise BadInput(f"There is no file {file}", "Drag it into the terminal, or type its name")
    return files


def names_in(text: str, *, backslashes: bool = True) -> list[Path]:
    r"""The names that a line holds, whether there are such files or not.

    Examples
    --------
    >>> [str(f) for f in names_in(r"'a b.jpg' c\ d.jpg file:///tmp/e%20f.jpg")]
    ['a b.jpg', 'c d.jpg', '/tmp/e f.jpg']
    """
    names, end = [], 0
    for match in _NAME.finditer(text):
        if text[end : match.start()].strip():
            break
        single, double, plain = match.groups()
        name = single if single is not None else double if double is not None else plain
        names.append(name if single is not None or not backslashes else _ESCAPED.sub(r"\1", name))
        end = match.end()
    if text[end:].strip():
        raise BadInput(f"{text!r} has a quote that does not end", "Drag the files in again")
    return [_from_address(name) for name in names]


def _from_address(name: str) -> Path:
    """A file by its name or its address."""
    if not name.casefold().startswith("file:"):
        return Path(name).expanduser()
    path = unquote(urlsplit(name).path)
    # Where drives have letters, an address has a slash before them.
    return Path(path[1:] if re.match(r"/[A-Za-z]:", path) else path)


def _is_file(name: str) -> bool:
    try:
        return bool(name) and Path(name).expanduser().is_file()
    except OSError:
        return False
