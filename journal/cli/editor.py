"""A text in the person's own editor, and a place where it is kept if it cannot be used."""

from __future__ import annotations

from pathlib import Path

from journal.errors import BadInput, Refused


def edited(text: str, name: str) -> str:
    """Let the person edit a text, as a file of some name.

    Raises
    ------
    BadInput
        If the editor cannot be started, or ends with an error.
    """
    import os
    import shlex
    import subprocess
    import tempfile

    editor = os.environ.get("VISUAL") or os.environ.get("EDITOR") or "vi"
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        path.write_text(text, encoding="utf-8")
        try:
            subprocess.run([*shlex.split(editor), str(path)], check=True)
            return path.read_text(encoding="utf-8")
        except (OSError, ValueError, subprocess.CalledProcessError) as e:
            raise BadInput(f"The editor {editor!r} could not be used ({e})", "Set EDITOR, or use --file") from None


def keep_text(text: str, stem: str, ending: str) -> Path:
    """Write a text to a new file, here or where temporary files go.

    Raises
    ------
    Refused
        If it can be written nowhere.
    """
    import tempfile

    for folder in (Path(), Path(tempfile.gettempdir())):
        for number in range(1, 100):
            kept = folder / f"{stem}{f'-{number}' if number > 1 else ''}{ending}"
            try:
                with kept.open("x", encoding="utf-8") as file:
                    file.write(text)
            except FileExistsError:
                continue
            except OSError:
                break
            return kept
    raise Refused("Your text could not be kept anywhere", "Nothing was saved")
