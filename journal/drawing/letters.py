"""The font of drawings, and how wide words are in it."""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

#: Height of a capital over the size of the letters.
CAPITAL = 0.729


def font_file() -> Path:
    """A font with the letters of most scripts that people write names in; it comes with the library for pictures."""
    found = find_spec("matplotlib")
    assert found is not None, "it is installed with the program"
    assert found.submodule_search_locations, "it is a package"
    return Path(found.submodule_search_locations[0]) / "mpl-data" / "fonts" / "ttf" / "DejaVuSans.ttf"


def width_of(text: str, height: float) -> float:
    """How wide a line is whose capitals have a height, in [mm]."""
    return float(_large().getlength(text)) / 1000.0 * height / CAPITAL


@cache
def _large() -> Any:
    from PIL import ImageFont

    # The layout that comes with the library itself, which draws nothing but one letter after the other.
    return ImageFont.truetype(str(font_file()), 1000, layout_engine=ImageFont.Layout.BASIC)


def wrapped(text: str, width: float, height: float) -> list[str]:
    """Lines of a text that fit a width [mm]; a word that is longer stands alone."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_of(longer, height) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines or [""]
