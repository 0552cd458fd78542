"""What all pages share: the journal and the build, templates, and how a form is taken in once."""

from __future__ import annotations

import contextlib
import hashlib
import re
import secrets
import tempfile
import threading
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import jinja2
from sqlmodel import Session
from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from calc.units import as_written
from journal.book import store
from journal.book.heard import hearing
from journal.book.places import Place, files_folder, kept_folder
from journal.book.plain_text import harmless
from journal.book.records import current_build
from journal.book.shown import written
from journal.book.tables import Numbered
from journal.errors import GalebookError
from journal.publish.sandbox import templates_folder
from journal.web.door import Door
from journal.web.fields import Field, Filled, hold
from journal.web.receipts import Receipt, Receipts
from journal.web.tray import Tray, write_down

#: Records of which it is known how they were read.
_REMEMBERED = 50
_ONCE = re.compile(r"[\w-]{16,64}")
#: A path of two steps or more, of either kind of system.
_PATH = re.compile(r"(?<![\w:/.])(?:/[\w.+-]+){2,}/?|\b[A-Za-z]:\\[^\s'\"]+")
#: Said where a form has the secret of another session.
EARLIER_SESSION = "This page is from an earlier session. All that you typed is here: send it once more."
_SENT_BEFORE = (
    "This form was sent before, and made {}. What stands here now is not what was sent then; "
    "send it again to log it as well."
)


@dataclass(frozen=True)
class Desk:
    """Where the pages come from.

    Parameters
    ----------
    place : Path or Address
        The journal.
    build : str or None
        The build meant, as for the command line.
    door : Door
        Who has come in.
    whole : bool
        Whether the connection is encrypted, so that a cookie may be held to that.
    say : callable
        Tells whoever sits at the machine.
    understood : dict
        How values were read that were not typed in their plain form, by the record just made.
    tray : Tray
        Where a logger's file lies until it is kept.
    """

    place: Place
    build: str | None
    door: Door
    whole: bool = False
    say: Callable[[str], None] = field(default=lambda _: None)
    writing_alone: threading.Lock = field(default_factory=threading.Lock)
    thinking: threading.Lock = field(default_factory=threading.Lock)
    understood: dict[str, tuple[str, ...]] = field(default_factory=dict)
    tray: Tray = field(default_factory=Tray)

    @contextlib.contextmanager
    def reading(self) -> Iterator[Session]:
        """The journal, to look at."""
        with store.journal(self.place, build=self.build) as session:
            yield session

    @contextlib.contextmanager
    def writing(self) -> Iterator[Session]:
        """The journal, for one transaction; forms take their turns."""
        with self.writing_alone, store.journal(self.place, write=True, build=self.build) as session:
            if session.info["said"]:
                self.say(session.info["said"])
            yield session

    @contextlib.contextmanager
    def reckoning(self) -> Iterator[Session]:
        """The journal, to work out what takes a while: one at a time, as the machine has other things to do."""
        with self.thinking, self.reading() as session:
            yield session

    def page(self, request: Request, template: str, status: int = 200, **about: Any) -> HTMLResponse:
        """A page made of a template."""
        guest = request.scope.get("state", {}).get("guest")
        text = (
            _templates()
            .get_template(template)
            .render(path=request.url.path, secret=guest.secret if guest else "", inside=guest is not None, **about)
        )
        return HTMLResponse(text, status)

    def plain(self, error: GalebookError) -> str:
        """What an error says, without where things lie on this machine."""
        text = str(error)
        for place in (kept_folder(self.place), files_folder(self.place), self.place):
            text = text.replace(str(place), "the journal")
        return _PATH.sub("(a place on that machine)", text)

    def build_name(self, session: Session) -> str:
        """What the build is called."""
        return current_build(session).name

    def told(self, request: Request, status: int, text: str) -> HTMLResponse:
        """A page that says one thing."""
        return self.page(request, "told.html", status, text=text)

    def is_of_session(self, request: Request, sent: FormData) -> bool:
        """Whether a form has the secret of the session by which it came."""
        secret = sent.get("secret")
        own = request.scope["state"]["guest"].secret
        return isinstance(secret, str) and secrets.compare_digest(secret.encode(), own.encode())

    def _note(self, ref: str, heard: Iterable[str]) -> None:
        """Keep how a record was read for the page that is shown next."""
        self.understood[ref] = tuple(heard)
        for old in list(self.understood)[:-_REMEMBERED]:
            del self.understood[old]

    def take(
        self,
        request: Request,
        sent: FormData,
        fields: Sequence[Field],
        log: Callable[[Session, Filled], Sequence[Numbered]],
        again: Callable[[Filled, int], Response],
        onward: Callable[[Sequence[str], Filled], str],
        held: Callable[[Filled], None] = lambda _: None,
    ) -> Response:
        """Take a form in: hold what was typed, log it once, and go on.

        Parameters
        ----------
        sent : FormData
            What came.
        fields : sequence of Field
            Those of the form.
        log : callable (session, filled)
            Calls the service; gives the records made, the first the one that is meant.
        again : callable (filled, status)
            Shows the form once more, with all that was typed.
        onward : callable (refs, filled)
            The page to show after that.
        held : callable (filled), optional
            Notes what is wrong between fields.
        """
        filled = hold(fields, sent)
        held(filled)
        if not self.is_of_session(request, sent):
            filled.wrong[""] = EARLIER_SESSION
            return again(filled, 403)
        if filled.wrong:
            return again(filled, 422)
        once, digest = str(sent.get("once", "")), _digest(sent)
        receipts = Receipts(self.place)
        try:
            with hearing() as heard, self.writing() as session:
                earlier = receipts.of(session, once) if _ONCE.fullmatch(once) else None
                if earlier is None:
                    made = log(session, filled)
                    session.flush()
                    refs = [r.ref for r in made]
                    if _ONCE.fullmatch(once):
                        receipts.keep(once, Receipt(digest, refs, made[0].recorded_at))
        except GalebookError as e:
            filled.wrong[""] = self.plain(e)
            return again(filled, 422)
        if earlier is None:
            self._note(refs[0], heard)
            return RedirectResponse(onward(refs, filled), 303)
        if earlier.sent == digest:
            return RedirectResponse(onward(earlier.refs, filled), 303)
        filled.wrong[""] = _SENT_BEFORE.format(" ".join(earlier.refs))
        return again(filled, 409)


def new_once() -> str:
    """What tells one sheet of a form from every other."""
    return secrets.token_urlsafe(18)


def desk_of(request: Request) -> Desk:
    """The desk that a request comes to."""
    found: Desk = request.app.state.desk
    return found


def _digest(sent: FormData) -> str:
    """A hash of all that was sent, but for what only says that it may be."""
    whole = hashlib.sha256()
    for name, value in sorted(sent.multi_items(), key=lambda pair: pair[0]):
        if name in ("secret", "once"):
            continue
        whole.update(f"{name}\0".encode())
        if isinstance(value, UploadFile):
            whole.update(f"{value.filename}\0{value.size}\0".encode())
            value.file.seek(0)
            for piece in iter(lambda source=value.file: source.read(1024 * 1024), b""):  # type: ignore[misc]
                whole.update(hashlib.sha256(piece).digest())
            value.file.seek(0)
        else:
            whole.update(f"{value}\0".encode(errors="replace"))
    return whole.hexdigest()


@contextlib.contextmanager
def laid_down(file: UploadFile, name: str) -> Iterator[Path]:
    """A file that came, under a name of its own in a folder that is gone afterwards."""
    with tempfile.TemporaryDirectory(prefix="galebook-") as folder:
        path = Path(folder) / name
        write_down(file, path)
        yield path


_made: dict[str, jinja2.Environment] = {}


def _templates() -> jinja2.Environment:
    """Our own templates; they are no reader's, so they need no sandbox, only that every text is escaped."""
    folder = str(templates_folder() / "web")
    if folder not in _made:
        made = jinja2.Environment(
            loader=jinja2.FileSystemLoader(folder), autoescape=True, undefined=jinja2.StrictUndefined,
            trim_blocks=True, lstrip_blocks=True,
        )  # fmt: skip
        made.filters["told"] = lambda text: written(harmless(str(text)))
        made.filters["said"] = lambda text: as_written(harmless(str(text)))
        made.globals["once"] = new_once
        _made[folder] = made
    return _made[folder]
