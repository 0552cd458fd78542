"""The build history rendered for a reader: Markdown through templates, HTML through Markdown."""

from __future__ import annotations

import contextlib
import os
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from calc.quantities import QUANTITIES
from calc.units import digits, show
from journal import overview, review, story
from journal.errors import BadInput, Refused

_SPECIAL = re.compile(r"([\\`*_\[\]|])")
_LEADING = re.compile(r"^(\s*)([-+=#~]|\d+[.)](?=\s))")

#: What stays private for each reader, and where to see whether there is any.
_TAGS = {
    "h1", "h2", "h3", "h4", "p", "ul", "ol", "li", "table", "thead", "tbody", "tr", "th", "td", "em", "strong", "code",
    "pre", "blockquote", "hr", "br",
}  # fmt: skip


READERS = ("forum", "neighbour", "workshop")
FORMS = ("md", "html")


@dataclass(frozen=True, slots=True)
class Made:
    """A rendered write-up, and what was left out of it for privacy."""

    text: str
    left_out: tuple[str, ...]


def markdown_text(value: Any) -> str:
    r"""A text as it must stand in Markdown to mean nothing but itself, on one line.

    Examples
    --------
    >>> markdown_text("a*b <script> | 1")
    'a\\\\*b &lt;script&gt; \\\\| 1'
    """
    text = " ".join(str(value).split())
    text = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    text = _SPECIAL.sub(r"\\\1", text)
    return _LEADING.sub(lambda m: m[1] + (m[2][:-1] + "\\" + m[2][-1] if len(m[2]) > 1 else "\\" + m[2]), text)


def templates_folder() -> Path:
    """The templates that come with Galebook: inside the package when installed, beside it in a checkout."""
    inside = Path(__file__).parent / "templates"
    return inside if inside.is_dir() else Path(__file__).parent.parent / "templates"


def _environment(own: Path | None) -> Any:
    import jinja2
    from markupsafe import Markup

    def finalize(value: Any) -> Any:
        if isinstance(value, Markup) or value is None:
            return value or ""
        return Markup(markdown_text(value))

    folders = [str(f) for f in (own, templates_folder()) if f is not None]
    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(folders),
        # Macros then give marked text, so that nothing is escaped twice; plain values are escaped by finalize.
        autoescape=True,
        finalize=finalize,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters.update(
        lower_first=lambda text: text[:1].lower() + text[1:],
        stop=lambda text: text if str(text).rstrip().endswith((".", "!", "?")) else f"{str(text).rstrip()}.",
        bare=lambda text: str(text).rstrip().rstrip("."),
        day=overview.day,
        upper_first=lambda text: text[:1].upper() + text[1:],
        share=lambda value: f"{100 * value:.0f} %",
        headline=review.headline,
        ways=review.ways,
        measured=review.measured_text,
        wind=overview.wind_text,
        quantity=lambda name: QUANTITIES[name].meaning,
        digits=digits,
    )
    return environment


def render(tale: story.Story, reader: str, form: str, own: Path | None = None) -> Made:
    """Render the tale of a build for a reader.

    Parameters
    ----------
    tale : Story
        What :func:`journal.story.tell` gathered.
    reader : {"forum", "neighbour", "workshop"}
        Who reads it.
    form : {"md", "html"}
        Markdown, or one self-contained HTML page.
    own : Path, optional
        Folder of templates that stand in for ours of the same name.

    Raises
    ------
    BadInput
        If a template cannot be used, with its file and line.
    """
    import jinja2

    if own is not None and not own.is_dir():
        raise BadInput(f"{own} is not a folder", "Name a folder that holds templates")
    environment = _environment(own)
    try:
        text = environment.get_template(f"{reader}.md").render(
            story=tale, build=tale.build, fall_radius=_fall_radius(tale)
        )
        text = re.sub(r"\n{3,}", "\n\n", text).strip() + "\n"
        if form == "html":
            text = _page(text, own)
    except jinja2.TemplateSyntaxError as e:
        raise BadInput(f"{e.filename or e.name}, line {e.lineno}: {e.message}", "Mend the template") from e
    except jinja2.TemplateError as e:
        raise BadInput(f"{_place(e)}: {e.message}", "Mend the template") from e
    except (ArithmeticError, AttributeError, LookupError, TypeError, ValueError) as e:
        # What a template computes can go wrong in any of these ways; anything else is our own mistake.
        place = f"A template in {own}" if isinstance(e, UnicodeDecodeError) else _place(e)
        if place == _NOWHERE:
            raise
        raise BadInput(f"{place}: {e}", "Mend the template") from e
    return Made(text, () if reader == "workshop" else _left_out(tale, reader))


def _fall_radius(tale: story.Story) -> str:
    """How far a mast would reach if it fell: the highest point of the rotor, with a tenth to spare."""
    design = tale.newest.review.sheet.design if tale.newest else None
    if design is None or design.mast.height is None or design.rotor.diameter is None:
        return ""
    return show(1.1 * (design.mast.height + design.rotor.diameter / 2), "m", 2)


_NOWHERE = "template"


def _place(error: Exception) -> str:
    """File and line of the template an error came from."""
    place = _NOWHERE
    trace = error.__traceback__
    while trace is not None:
        name = trace.tb_frame.f_code.co_filename
        if name.endswith((".md", ".html")):
            place = f"{name}, line {trace.tb_lineno}"
        trace = trace.tb_next
    return place


def _left_out(tale: story.Story, reader: str) -> tuple[str, ...]:
    build = tale.build
    all_parts = [p for c in tale.chapters for p, _ in c.parts]
    noted = [
        *(t.attempt for c in tale.chapters for t in c.tried),
        *(m for c in tale.chapters for t in c.tried for m in t.read),
        *(m for c in tale.chapters for m in c.read_apart),
        *(f.failure for c in tale.chapters for f in c.failed),
        *(d.decision for c in tale.chapters for d in c.decisions),
        *all_parts,
        build,
    ]
    private = {
        "the exact place": build.place and reader == "forum",
        "the builder's name": build.builder,
        "how to reach the builder": build.contact and reader == "forum",
        "serial numbers": any(p.serial for p in all_parts),
        "private notes": any(getattr(r, "private_note", None) for r in noted),
    }
    return tuple(what for what, there in private.items() if there)


def _page(text: str, own: Path | None) -> str:
    """Markdown as one HTML page that fetches nothing and runs nothing."""
    import jinja2
    import markdown
    import nh3

    body = nh3.clean(
        markdown.markdown(text, extensions=["tables", "sane_lists"], output_format="html"), tags=_TAGS, attributes={}
    )
    title = re.sub(
        r"\\(.)", r"\1", next((line[2:] for line in text.splitlines() if line.startswith("# ")), "Build history")
    )
    folders = [str(f) for f in (own, templates_folder()) if f is not None]
    shell = jinja2.Environment(loader=jinja2.FileSystemLoader(folders), autoescape=True).get_template("page.html")
    from markupsafe import Markup

    return shell.render(title=Markup(title), body=Markup(body))


def save(made: Made, out: Path) -> None:
    """Write a write-up to a file, whole or not at all."""
    half = out.parent / f".galebook-{os.getpid()}"
    try:
        if out.exists() and not out.is_file():
            raise Refused(f"{out} is not a plain file", "Name another file with --out")
        half.write_text(made.text, encoding="utf-8")
        os.replace(half, out)
    except OSError as e:
        with contextlib.suppress(OSError):
            half.unlink()
        raise Refused(f"{out} cannot be written ({e.strerror})", "Name another file with --out") from e
