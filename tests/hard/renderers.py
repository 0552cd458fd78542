"""Hostile words in front of every text, each in turn, through common renderers: the long form of a test.

    .venv/bin/python tests/hard/renderers.py

It plays the demo once, writes each attack of `tests/journal/test_renderers.py` in front of every text of it in turn,
and prints how many pages were looked through and what became live. Ends with 1 where something did.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))


def main() -> int:
    """Try all of it."""
    from journal import demo
    from tests.journal import test_renderers as short

    folder, live, pages = Path(tempfile.mkdtemp(prefix="renderers-")), 0, 0
    for _ in demo.play(folder / "told"):
        pass
    for first in range(len(short.ATTACKS)):
        shutil.copytree(folder / "told", folder / "turn")
        made = short.written(folder / "turn" / "demo.db", first)
        shutil.rmtree(folder / "turn")
        for renderer in short.RENDERERS:
            pages += sum(form == short.FORMS.get(renderer, "markdown") for _, form in made)
            try:
                short.held(made, renderer)
            except AssertionError as e:
                live += 1
                print(f"FOUND with {short.ATTACKS[first]!a} in front: {str(e)[:300]!a}")
    shutil.rmtree(folder)
    print(f"{pages} pages, {live} with something live")
    return 1 if live else 0


if __name__ == "__main__":
    sys.exit(main())
