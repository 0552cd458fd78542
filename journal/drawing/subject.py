"""Of what drawings are made: a revision, and what is wanted of it; what is refused before anything is drawn."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

from sqlmodel import Session

from calc.cutting.blade import Bolts, Template, bolt_holes, template
from calc.finding import Status
from calc.machine.blade_root import ARC, material_of, pipe_root
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.rotor import VERTICAL
from calc.machine.entry import Entry
from calc.machine.hub_loads import LOOSE
from calc.machine.inputs import CannotTellError, Inputs
from calc.machine.rotor_curves import root_radius
from calc.physics.blade import Masses
from journal.book import sheet
from journal.book.plain_quantity import Wanted
from journal.book.plain_text import harmless
from journal.book.quantity import parse
from journal.book.records import find_revision
from journal.book.shown import in_units
from journal.drawing.model import Drawing, Words
from journal.errors import Refused
from journal.review import verdict
from journal.review.verdict import Review

T = TypeVar("T")

CLOCKWISE, ANTICLOCKWISE = "clockwise", "anticlockwise"
#: Ways in which a rotor turns, as seen with the wind at one's back.
TURNS = (CLOCKWISE, ANTICLOCKWISE)
#: As many findings are named before what is drawn of a machine that fails.
MOST_SAID = 3
#: A title that is longer is cut off: it stands in a line.
_LONGEST = 60
_PIPE = Wanted("m", "m", 0.05, 20.0, "2 m")
_KERF = Wanted("m", "mm", 0.0, 0.02, "3 mm")


@dataclass(frozen=True, slots=True)
class Subject:
    """What is to be drawn of a revision.

    Parameters
    ----------
    ref, title : str
        Of the revision.
    x : Inputs
        Its sheet.
    turns : str
        One of :data:`TURNS`.
    pipe : float or None
        Length of the pipe that is at hand [m]; else the shortest that is sold.
    kerf : float
        What the saw takes away. [m]
    checked : callable, optional
        Gives what the checks say of it, for what is drawn with its weak spots.
    """

    ref: str
    title: str
    x: Inputs
    turns: str = CLOCKWISE
    pipe: float | None = None
    kerf: float = 0.003
    checked: Callable[[], Review] | None = None

    @property
    def blades(self) -> int:
        """How many the rotor has."""
        return int(self.x.rotor.blades)

    @property
    def radius(self) -> float:
        """Of the rotor, in [m]."""
        return float(self.x.rotor.diameter) / 2.0


def subject_of(session: Session, ref: str | None, turns: str, pipe: str | None, kerf: str) -> Subject:
    """A revision with its sheet, and what is wanted of its drawings.

    Parameters
    ----------
    session : Session
        Of the journal.
    ref : str or None
        The revision; else the newest.
    turns : str
        One of :data:`TURNS`.
    pipe, kerf : str or None, str
        Length of the pipe at hand and width of a cut, as typed.

    Raises
    ------
    BadInput
        If one of them is no length that can be meant.
    NotFound
        If there is no such revision.
    """
    whole = None if pipe is None else float(parse(pipe, _PIPE, "--pipe").value)
    saw = float(parse(kerf, _KERF, "--kerf").value)
    of = find_revision(session, ref)
    title = harmless(" ".join(f"{of.ref} {of.title or ''}".split()))
    short = title if len(title) <= _LONGEST else title[: _LONGEST - 3] + "..."
    x = Inputs(sheet.load_sheet(session, of).design)
    return Subject(of.ref, short, x, turns, whole, saw, lambda: verdict.check(session, of.ref))


def drawn(make: Callable[[Subject], tuple[Drawing, ...]], of: Subject) -> tuple[Drawing, ...]:
    """Drawings of a revision, told in the units of its build.

    Raises
    ------
    Refused
        In one line, where the sheet lacks something or what it says cannot be made.
    """
    try:
        return tuple(map(_told, make(of)))
    except CannotTellError as e:
        if e.unknown.missing:
            raise Refused(_lacks(of, *e.unknown.missing), _say_it(of, e.unknown.missing[0])) from e
        raise Refused(f"{of.ref} cannot be drawn: {e.unknown.why}") from e


def checks_note(of: Subject, rules: tuple[str, ...], order: str = "DO NOT CUT YET") -> str:
    """What the checks call a danger or a failure by rules whose names begin so: it is read before anything is made."""
    if of.checked is None:
        return ""
    bad = [f for f in of.checked().findings if f.status in (Status.DANGER, Status.FAIL) and f.rule.startswith(rules)]
    if not bad:
        return ""
    said = "; ".join(f.title for f in bad[:MOST_SAID])
    more = f" and {len(bad) - MOST_SAID} more" if len(bad) > MOST_SAID else ""
    return f"{order}. The checks fail: {said}{more}. What to change: galebook check {of.ref}."


def hold_stated(of: Subject, *entries: Entry[Any]) -> None:
    """Hold that the sheet says what a drawing needs.

    Raises
    ------
    Refused
        With all that it lacks.
    """
    if missing := of.x.lacks(*entries):
        raise Refused(_lacks(of, *missing), _say_it(of, missing[0]))


def _lacks(of: Subject, *missing: Entry[Any]) -> str:
    return f"The sheet of {of.ref} does not say {', '.join(entry.full for entry in missing)}, which the drawing needs"


def _say_it(of: Subject, entry: Entry[Any]) -> str:
    return f'Say it with: galebook set {entry.full} "{entry.example}" --on {of.ref}'


def possible(of: Subject, what: str, change: str, make: Callable[[], T]) -> T:
    """What is computed, or a refusal that names what cannot be made as typed and what could be changed."""
    try:
        return make()
    except ValueError as e:
        raise Refused(f"{what} of {of.ref} cannot be made as typed: {e}", f"Change {change}, then draw again") from e


def _told(drawing: Drawing) -> Drawing:
    exact = drawing.true_size
    parts = tuple(
        dataclasses.replace(part, text=in_units(part.text, exact=exact)) if isinstance(part, Words) else part
        for part in drawing.parts
    )
    notes = tuple(in_units(note, exact=exact) for note in drawing.notes)
    return dataclasses.replace(drawing, notes=notes, parts=parts)


# --- what several drawings are of -------------------------------------------------------------------------------------


def template_of(of: Subject) -> Template:
    """The blade of a sheet as it is cut from pipe.

    Raises
    ------
    Refused
        If it is not cut from pipe, something is not said, or it cannot be cut as typed.
    """
    x = of.x
    if x.maybe(Sheet.rotor.axis) == VERTICAL:
        raise Refused(f"The rotor of {of.ref} stands upright; templates are for rotors with a horizontal axis")
    material, section = x.maybe(Sheet.blade.material), x.maybe(Sheet.blade.section)
    if material in ("wood", "glass-fibre") or section != "arc of the pipe":
        what = material if material in ("wood", "glass-fibre") else section
        raise Refused(f"The blades of {of.ref} are not cut from pipe ({what}), and a template wraps around pipe")
    hold_stated(of, *ARC, Sheet.rotor.diameter)
    diameter, wall, root, tip = (float(x.need(entry)) for entry in ARC)
    edge = x.blade.straight_edge
    angle, r_root = float(x.blade.mounting_angle), float(root_radius(x))
    return possible(
        of,
        "A blade",
        "blade.chord_root, blade.chord_tip, blade.pipe_diameter or blade.mounting_angle",
        lambda: template(diameter, wall, root, tip, of.radius, r_root, angle, edge),  # type: ignore[arg-type]
    )


def masses_of(of: Subject) -> Masses:
    """Mass of one blade and where its centre of gravity lies, as all that is computed takes them."""
    x = of.x
    return pipe_root(x, of.radius, root_radius(x), x.blade.mounting_angle, x.blade.straight_edge)[0]


#: What tells where the bolts of a blade are.
BOLTS = (Sheet.hub.bolts, Sheet.hub.bolt_diameter, Sheet.hub.end_distance, Sheet.hub.bolt_spacing)


@dataclass(frozen=True, slots=True)
class Drilled:
    """Bolt holes of a blade, and how far they should be from its edges, in [m].

    Parameters
    ----------
    holes : Bolts
        Where they are.
    bolt, hole : float
        Diameters.
    end, side : float
        Least distances from end and edge that the rule of the bolts asks.
    """

    holes: Bolts
    bolt: float
    hole: float
    end: float
    side: float


def drilled_of(of: Subject, cut: Template) -> Drilled:
    """The bolt holes of a blade.

    Raises
    ------
    Refused
        If the sheet does not say where they are, or they would not lie on the blade.
    """
    hold_stated(of, *(entry for entry in BOLTS if entry is not Sheet.hub.bolt_spacing or not _single(of)))
    x = of.x
    spacing = 0.0 if _single(of) else float(x.hub.bolt_spacing)
    d, n, end = float(x.hub.bolt_diameter), int(x.hub.bolts), float(x.hub.end_distance)
    change = "hub.bolts, hub.bolt_spacing or hub.end_distance"
    holes = possible(of, "The row of bolts", change, lambda: bolt_holes(cut, n, end, spacing))
    if min(holes.side, end) <= (d + LOOSE) / 2:
        raise Refused(
            f"The bolts of {of.ref} cannot be drilled as typed: at this angle, bolted flat, a hole of "
            f"{(d + LOOSE) * 1e3:g} mm comes {holes.side * 1e3:.1f} mm from the edge and {end * 1e3:.1f} mm from the "
            "end",
            "Change blade.mounting_angle, hub.end_distance or hub.bolt_diameter, then draw again",
        )
    of_blade = material_of(x)
    share = of_blade.end if of_blade is not None else 2.5
    return Drilled(holes, d, d + LOOSE, share * d, 2.0 * d)


def _single(of: Subject) -> bool:
    return of.x.maybe(Sheet.hub.bolts) == 1


def mm(length: float, digits: int = 1) -> str:
    """A length as it is written on drawings."""
    return f"{length * 1e3:.{digits}f} mm"
