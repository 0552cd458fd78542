"""A write-up and the pictures beside it, written whole or not at all."""

from __future__ import annotations

import contextlib
import os
from dataclasses import dataclass, field
from pathlib import Path

from journal.errors import Refused


@dataclass(frozen=True, slots=True)
class Made:
    """A rendered write-up.

    Parameters
    ----------
    text : str
        Markdown or HTML.
    left_out : tuple of str
        What was taken out for privacy, in words.
    files : dict of str to bytes
        Pictures to lie beside it, by file name.
    folder : str
        Name of the folder in which the text looks for them.
    """

    text: str
    left_out: tuple[str, ...]
    files: dict[str, bytes] = field(default_factory=dict)
    folder: str = ""


def folder_of(out: Path) -> str:
    """Name of the folder for the pictures of a Markdown file."""
    return f"{out.stem}-pictures"


def save(made: Made, out: Path) -> None:
    """Write a write-up to a file, whole or not at all, and its pictures into the folder beside it first.

    Raises
    ------
    Refused
        If it cannot be written there.
    """
    half = out.parent / f".galebook-{os.getpid()}"
    try:
        if out.exists() and not out.is_file():
            raise Refused(f"{out} is not a plain file", "Name another file with --out")
        if made.files:
            beside = out.with_name(made.folder)
            beside.mkdir(exist_ok=True)
            for name, data in made.files.items():
                (beside / name).write_bytes(data)
        half.write_text(made.text, encoding="utf-8")
        os.replace(half, out)
    except OSError as e:
        with contextlib.suppress(OSError):
            half.unlink()
        raise Refused(f"{out} cannot be written ({e.strerror})", "Name another file with --out") from e
