"""The place where templates run: their filters, what becomes of a text in Markdown, and how their errors are told.

A template may come from a friend. It runs in a sandbox: it reads what it is given and reaches nothing behind it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from pathlib import Path
from typing import Any

from calc.finding import first_sentence
from calc.machine import diagram
from calc.machine.design import Design
from calc.quantities import QUANTITIES
from calc.units import digits
from journal.book.days import day_in_words
from journal.book.plain_text import harmless
from journal.book.shown import written
from journal.errors import BadInput, stopped
from journal.publish.bounds import in_memory
from journal.publish.sandbox import sandbox
from journal.review import verdict
from journal.review.series import series_text
from journal.review.wording import day_text, wind_text

_SPECIAL = re.compile(r"([\\`*_\[\]|])")
#: Of what many forums make a link or a stroke by themselves, the signs that tell them so.
_LINKED = re.compile(
    r":?//|(?<=mailto):|(?<=www)\.|@|~~"
    r"|(?<=\w)\.(?=(?:[a-z]{2}|com|net|org|edu|gov|biz|pro|web|xxx|aero|asia|coop|info|museum|name|shop)\b)",
    re.IGNORECASE,
)
_LEADING = re.compile(r"^(\s*)([-+=#~]|\d+[.)](?=\s))")
#: A revision begins a sentence in its own small letter.
_REFERENCE = re.compile(r"r\d+\b")
_NOWHERE = "template"


def markdown_text(value: Any) -> str:
    r"""A text as it must stand in Markdown to mean nothing but itself, on one line.

    Examples
    --------
    >>> markdown_text("a*b <script> | 1")
    'a\\\\*b &lt;script&gt; \\\\| 1'
    """
    text = harmless(" ".join(str(value).split()))
    text = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    text = _SPECIAL.sub(r"\\\1", text)
    text = _LINKED.sub(lambda m: "\\." if m[0] == "." else "".join(f"&#{ord(c)};" for c in m[0]), text)
    return _LEADING.sub(lambda m: m[1] + (m[2][:-1] + "\\" + m[2][-1] if len(m[2]) > 1 else "\\" + m[2]), text)


def for_markdown(own: Path | None) -> Any:
    """The environment in which a write-up's Markdown is made.

    Parameters
    ----------
    own : Path or None
        As for :func:`sandbox`.
    """
    import jinja2
    from markupsafe import Markup

    def finalize(value: Any) -> Any:
        if not isinstance(value, Markup) and value is not None:
            value = Markup(markdown_text(written(str(value))))
        return environment.filters["printed"](value or "")

    environment = sandbox(
        own,
        # Macros then give marked text, so that nothing is escaped twice; plain values are escaped by finalize.
        finalize=finalize,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters.update(_filters())
    return environment


def _diagram(design: Design) -> Any:
    """As a block of code, in which nothing is marked up."""
    from markupsafe import Markup

    return Markup("\n".join(f"    {written(harmless(line))}".rstrip() for line in diagram.lines(design)))


def _filters() -> dict[str, Any]:

    return {
        "lower_first": lambda text: text[:1].lower() + text[1:],
        "upper_first": lambda text: text if _REFERENCE.match(text) else text[:1].upper() + text[1:],
        "stop": lambda text: stopped(str(text)),
        "bare": lambda text: str(text).rstrip().rstrip("."),
        "day": day_text,
        "in_words": day_in_words,
        "share": lambda value: f"{100 * value:.0f} %",
        "first_sentence": first_sentence,
        "passed": verdict.passed,
        "headline": verdict.headline,
        "ways": verdict.ways,
        "measured": verdict.measured_text,
        "series": series_text,
        "wind": wind_text,
        "quantity": lambda name: QUANTITIES[name].meaning,
        "digits": digits,
        "diagram": _diagram,
    }


@contextmanager
def errors_told(own: Path | None) -> Iterator[None]:
    """Tell what goes wrong in a template with its file and line.

    Raises
    ------
    BadInput
        In place of whatever a template raised.
    """
    import jinja2

    if own is not None and not own.is_dir():
        raise BadInput(f"{own} is not a folder", "Name a folder that holds templates")
    try:
        with in_memory() if own is not None else nullcontext():
            yield
    except jinja2.TemplateSyntaxError as e:
        raise BadInput(f"{e.filename or e.name}, line {e.lineno}: {e.message}", "Correct the template") from e
    except jinja2.TemplateError as e:
        raise BadInput(f"{_line_of(e)}: {e.message}", "Correct the template") from e
    except (ArithmeticError, AttributeError, LookupError, RecursionError, SyntaxError, TypeError, ValueError) as e:
        # What a template computes can go wrong in any of these ways; anything else is our own mistake.
        place = _line_of(e)
        if place == _NOWHERE and own is None:
            raise
        place = f"A template in {own}" if place == _NOWHERE else place
        raise BadInput(f"{place}: {e}", "Correct the template") from e


def _line_of(error: Exception) -> str:
    """File and line of the template an error came from."""
    place = _NOWHERE
    trace = error.__traceback__
    while trace is not None:
        name = trace.tb_frame.f_code.co_filename
        if name.endswith((".md", ".html")):
            place = f"{name}, line {trace.tb_lineno}"
        trace = trace.tb_next
    return place
