"""The sandbox in which templates run: what they may read, use and make."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from journal.errors import BadInput
from journal.publish.bounds import OPERATORS, SOURCE, UNNEEDED, Bounds, bounded, joined, may_use


def templates_folder() -> Path:
    """The templates that come with Galebook: inside the package when installed, beside it in a checkout."""
    package = Path(__file__).parents[1]
    inside = package / "templates"
    return inside if inside.is_dir() else package.parent / "templates"


def sandbox(own: Path | None, **how: Any) -> Any:
    """A Jinja environment that finds templates in a folder of the reader's own, then in ours, and lets them do little.

    Parameters
    ----------
    own : Path or None
        Folder of templates that stand in for ours of the same name.
    """
    bounds = Bounds()
    folders = [str(f) for f in (own, templates_folder()) if f is not None]
    # What is constant is computed when it is reached, within bounds, and not beforehand.
    kept = _compiled(frozenset(how)) if own is None else None
    environment = _bounded(bounds)(
        loader=_loader(folders), autoescape=True, optimized=False, bytecode_cache=kept, **how
    )
    needed = {name: made for name, made in environment.filters.items() if name not in UNNEEDED}
    environment.filters = {name: bounded(name, made) for name, made in needed.items()}
    environment.filters.update(turns=bounds.turns, joined=joined, printed=bounds.letters)
    environment.globals["range"] = bounds.numbers
    del environment.globals["lipsum"]
    environment.binop_table = {**environment.binop_table, **OPERATORS}
    return environment


@cache
def _compiled(_options: frozenset[str]) -> Any:
    """Our own templates as they were compiled for an earlier page, as long as their text is the same."""
    from jinja2 import BytecodeCache

    class Compiled(BytecodeCache):
        def __init__(self) -> None:
            self._kept: dict[str, tuple[str, Any]] = {}

        def load_bytecode(self, bucket: Any) -> None:
            checksum, bucket.code = self._kept.get(bucket.key, ("", None))
            if checksum != bucket.checksum:
                bucket.reset()

        def dump_bytecode(self, bucket: Any) -> None:
            self._kept[bucket.key] = bucket.checksum, bucket.code

    return Compiled()


def _bounded(bounds: Bounds) -> Any:
    """The kind of environment that counts what a template does."""
    from jinja2 import nodes
    from jinja2.sandbox import SandboxedEnvironment

    class Bounded(SandboxedEnvironment):
        """Counts turns of loops and calls, and looks at what could fill the memory in one step."""

        intercepted_binops = frozenset(OPERATORS)

        def _parse(self, *source: Any) -> nodes.Template:
            tree = super()._parse(*source)
            for loop in tree.find_all(nodes.For):
                loop.iter = nodes.Filter(loop.iter, "turns", [], [], None, None, lineno=loop.iter.lineno)
            for sum_ in tree.find_all(nodes.Concat):
                things = nodes.List(sum_.nodes, lineno=sum_.lineno)
                sum_.nodes = [nodes.Filter(things, "joined", [], [], None, None, lineno=sum_.lineno)]
            return tree

        def wrap_str_format(self, value: Any) -> None:
            """A format can ask for any width; there is a filter for it, within bounds."""

        def is_safe_attribute(self, thing: Any, name: str, value: Any) -> bool:
            return super().is_safe_attribute(thing, name, value) and may_use(thing, name)

        def call(self, *about: Any, **named: Any) -> Any:
            bounds.step()
            return super().call(*about, **named)

    return Bounded


def _loader(folders: list[str]) -> Any:
    """What reads templates of some folders, nothing that a link leads to outside of them, and no huge file."""
    import jinja2
    from jinja2.loaders import split_template_path

    class Inside(jinja2.FileSystemLoader):
        def get_source(self, environment: Any, template: str) -> Any:
            for folder in map(Path, self.searchpath):
                if (file := folder.joinpath(*split_template_path(template))).is_file():
                    if not file.resolve().is_relative_to(folder.resolve()):
                        raise BadInput(f"{file} leads out of its folder", "Put the template itself there")
                    if file.stat().st_size > SOURCE:
                        raise BadInput(f"{file} is larger than any template", f"At most {SOURCE} bytes are read")
                    break
            return super().get_source(environment, template)

    return Inside(folders)
