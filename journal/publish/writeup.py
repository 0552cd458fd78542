"""The build history rendered for a reader: Markdown through templates, HTML through Markdown."""

from __future__ import annotations

import contextlib
import os
import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from calc.machine import diagram
from calc.machine.catalogue import Sheet
from calc.physics.storage import lithium
from calc.quantities import QUANTITIES
from calc.units import digits, show
from journal.errors import BadInput, Refused
from journal.publish import story
from journal.publish.inlays import Inlays
from journal.review import verdict
from journal.review.wording import day_text, wind_text

_SPECIAL = re.compile(r"([\\`*_\[\]|])")
#: A revision begins a sentence in its own small letter.
_REFERENCE = re.compile(r"r\d+\b")
_LEADING = re.compile(r"^(\s*)([-+=#~]|\d+[.)](?=\s))")

#: What stays private for each reader, and where to see whether there is any.
_TAGS = {
    "h1", "h2", "h3", "h4", "p", "ul", "ol", "li", "table", "thead", "tbody", "tr", "th", "td", "em", "strong", "code",
    "pre", "blockquote", "hr", "br",
}  # fmt: skip


READERS = ("forum", "neighbour", "workshop")
FORMS = ("md", "html")
#: What stays out of a write-up for others unless it is asked for.
PRIVATE = ("place", "builder", "contact", "serials", "prices", "notes")
_SHOWN = {"forum": frozenset[str](), "neighbour": frozenset({"contact"}), "workshop": frozenset(PRIVATE)}


@dataclass(frozen=True, slots=True)
class Made:
    """A rendered write-up, what was left out of it for privacy, and the pictures to lie beside it."""

    text: str
    left_out: tuple[str, ...]
    files: dict[str, bytes] = field(default_factory=dict)


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
    package = Path(__file__).parents[1]
    inside = package / "templates"
    return inside if inside.is_dir() else package.parent / "templates"


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
        day=day_text,
        upper_first=lambda text: text if _REFERENCE.match(text) else text[:1].upper() + text[1:],
        share=lambda value: f"{100 * value:.0f} %",
        passed=verdict.passed,
        headline=verdict.headline,
        ways=verdict.ways,
        measured=verdict.measured_text,
        wind=wind_text,
        quantity=lambda name: QUANTITIES[name].meaning,
        digits=digits,
        # As a block of code, in which nothing is marked up.
        diagram=lambda design: Markup("\n".join(f"    {line}".rstrip() for line in diagram.lines(design))),
    )
    return environment


def render(
    tale: story.Story,
    reader: str,
    form: str,
    own: Path | None = None,
    include: frozenset[str] = frozenset(),
    folder: str | None = None,
) -> Made:
    """Render the tale of a build for a reader.

    Parameters
    ----------
    tale : Story
        What :func:`journal.publish.story.tell` gathered.
    reader : {"forum", "neighbour", "workshop"}
        Who reads it.
    form : {"md", "html"}
        Markdown, or one self-contained HTML page.
    own : Path, optional
        Folder of templates that stand in for ours of the same name.
    include : frozenset of str
        Which of :data:`PRIVATE` are let in.
    folder : str, optional
        Folder in which the pictures of a Markdown file lie, as it names it; without one it has none.

    Raises
    ------
    BadInput
        If a template cannot be used, with its file and line.
    """
    import jinja2

    if own is not None and not own.is_dir():
        raise BadInput(f"{own} is not a folder", "Name a folder that holds templates")
    environment = _environment(own)
    shown = _SHOWN[reader] | include
    inlays = Inlays(tale, reader, form, folder, markdown_text)
    environment.globals.update(picture=inlays.picture, photo=inlays.photo)
    try:
        text = environment.get_template(f"{reader}.md").render(
            story=tale, build=tale.build, shown=shown, **(_for_neighbours(tale) if reader == "neighbour" else {})
        )
        text = _blanked(re.sub(r"\n{3,}", "\n\n", text).strip() + "\n", tale.build, shown)
        if form == "html":
            text = _page(text, own, inlays)
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
    return Made(text, _left_out(tale, shown), inlays.files)


#: What somebody without the trade's words would call it.
_PLAIN = {
    "rotor.overspeed": {
        "furling tail": "a tail that turns it out of the wind",
        "pitching blades": "blades that turn out of the wind by themselves",
        "mechanical brake worked by speed": "a brake that works by itself when it turns too fast",
        "other, worked by speed": "a means of its own, not described here,",
    },
    "rotor.brake": {
        "switch that shorts the generator": "a switch that brakes it electrically",
        "mechanical brake": "a mechanical brake",
        "other": "a brake that is not described here",
    },
    "mast.kind": {
        "guyed tilt-up": "a mast of its own, held by ropes, that can be lowered",
        "free-standing pole": "a pole of its own",
        "lattice tower": "a lattice tower of its own",
        "on a roof or gable": "a mast fixed to a building",
        "other": "a mast that is not described here",
    },
}


def _for_neighbours(tale: story.Story) -> dict[str, Any]:
    """What the plain page says of the machine that stands: in plain words, and two distances."""
    stands = tale.standing
    if stands is None:
        return {"c": None}
    design = stands.review.sheet.design
    chemistry = design.get(Sheet.storage.chemistry)
    words = {
        path: plain.get(str(stands.review.sheet.values[path].word), "")
        for path, plain in _PLAIN.items()
        if path in stands.review.sheet.values
    }
    height, across = design.get(Sheet.mast.height), design.get(Sheet.rotor.diameter)
    system = stands.review.system
    return {
        "c": stands,
        "height": None if height is None else show(height, "m", 2),
        "across": None if across is None else show(across, "m", 2),
        "fall_radius": None if system.fall_radius is None else show(system.fall_radius, "m", 2),
        "throw": None if system.throw is None else (show(system.throw[0], "m/s", 2), show(system.throw[1], "m", 1)),
        "slowed_by": words.get("rotor.overspeed", ""),
        "stopped_by": words.get("rotor.brake", ""),
        "stands_on": words.get("mast.kind", ""),
        "feed": design.get(Sheet.house.feed),
        "lithium": lithium(str(chemistry)),
        "battery": chemistry not in (None, "none"),
    }


def _blanked(text: str, build: Any, shown: frozenset[str]) -> str:
    """Take the exact place, the builder's name and how to reach them out of what records say in free text."""
    private = [getattr(build, name) for name in ("place", "builder", "contact") if name not in shown]
    kept = " ".join(str(getattr(build, name) or "") for name in ("place", "builder", "contact") if name in shown)
    for secret in filter(None, private):
        # What holds no word could not be told from the marks of the page itself.
        if not re.search(r"\w{3}", secret) or secret in kept:
            continue
        for piece in {secret, markdown_text(secret)}:
            text = re.sub(rf"(?<!\w){re.escape(piece)}(?!\w)", "(left out)", text, flags=re.IGNORECASE)
    return text


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


def _left_out(tale: story.Story, shown: frozenset[str]) -> tuple[str, ...]:
    build = tale.build
    all_parts = [p for c in tale.chapters for p, _ in c.parts]
    options = [o for c in tale.chapters for d in c.decisions for o in d.options]
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
        "place": ("the exact place", build.place),
        "builder": ("the builder's name", build.builder),
        "contact": ("how to reach the builder", build.contact),
        "serials": ("serial numbers", any(p.serial for p in all_parts)),
        "prices": ("prices", any(p.cost is not None for p in all_parts) or any(o.cost for o in options)),
        "notes": ("private notes", any(getattr(r, "private_note", None) for r in noted)),
    }
    return tuple(what for name, (what, there) in private.items() if there and name not in shown)


def _page(text: str, own: Path | None, inlays: Inlays) -> str:
    """Markdown as one HTML page that fetches nothing and runs nothing."""
    import jinja2
    import markdown
    import nh3

    body = nh3.clean(
        markdown.markdown(text, extensions=["tables", "sane_lists"], output_format="html"), tags=_TAGS, attributes={}
    )
    # A wide table or diagram is scrolled sideways on a phone; by keyboard that takes a focus.
    body = body.replace("<table>", '<table tabindex="0">').replace("<pre>", '<pre tabindex="0">')
    title = re.sub(
        r"\\(.)", r"\1", next((line[2:] for line in text.splitlines() if line.startswith("# ")), "Build history")
    )
    folders = [str(f) for f in (own, templates_folder()) if f is not None]
    shell = jinja2.Environment(loader=jinja2.FileSystemLoader(folders), autoescape=True).get_template("page.html")
    from markupsafe import Markup

    return shell.render(title=Markup(title), body=Markup(inlays.into(body)))


def folder_of(out: Path) -> str:
    """Name of the folder for the pictures of a Markdown file."""
    return f"{out.stem}-pictures"


def save(made: Made, out: Path) -> None:
    """Write a write-up to a file, whole or not at all, and its pictures into the folder beside it first."""
    half = out.parent / f".galebook-{os.getpid()}"
    try:
        if out.exists() and not out.is_file():
            raise Refused(f"{out} is not a plain file", "Name another file with --out")
        if made.files:
            beside = out.with_name(folder_of(out))
            beside.mkdir(exist_ok=True)
            for name, data in made.files.items():
                (beside / name).write_bytes(data)
        half.write_text(made.text, encoding="utf-8")
        os.replace(half, out)
    except OSError as e:
        with contextlib.suppress(OSError):
            half.unlink()
        raise Refused(f"{out} cannot be written ({e.strerror})", "Name another file with --out") from e
