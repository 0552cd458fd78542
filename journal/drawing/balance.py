"""A sheet to fill in while blades are weighed: masses, moments, the order in which they are fitted."""

from __future__ import annotations

import math

import numpy as np

from calc.cutting.balance_sheet import NOTHING, BalanceSheet, WeighedBlade, balance_sheet
from calc.machine.catalogue import Sheet
from calc.machine.hub_loads import outermost_bolt
from calc.machine.inputs import Unknown
from calc.units import show, show_up
from journal.book.plain_text import harmless
from journal.drawing.model import Circle, Drawing, Line, Part, Pen, Words, box
from journal.drawing.subject import Subject, hold_stated, possible

_TEXT = 3.0
#: Heads and widths of the table's columns, and height of a row. [mm]
_COLUMNS = (("blade", 28.0), ("mass, g", 36.0), ("balances at, mm", 40.0), ("moment, g m", 40.0), ("place", 26.0))
_ROW = 10.0
#: Blades that stand alike in every order.
_ALL_ALIKE = 3
#: Letters of a name that have room in its cell.
_NAME = 10


def drawings(of: Subject) -> tuple[Drawing, ...]:
    """The sheet, with what is known already."""
    hold_stated(of, Sheet.rotor.blades, Sheet.rotor.diameter)
    x = of.x
    labels = x.labels(Sheet.weighed)
    mass, point = Sheet.weighed.mass, Sheet.weighed.balance_point
    rows = tuple(WeighedBlade(one, _maybe(x.maybe(mass[one])), _maybe(x.maybe(point[one]))) for one in labels)
    at, bolted = _place(of)
    filled = possible(
        of, "The set of blades", "rotor.blades or what was weighed", lambda: balance_sheet(rows, of.blades, at)
    )
    parts = (*_table(filled), *_circle(of.blades, filled))
    notes = _notes(of, filled, bolted)
    return (Drawing(f"Balance of the blades, {of.title}", notes, parts, name=f"balance-{of.ref}"),)


def _place(of: Subject) -> tuple[float, bool]:
    """Radius of the weights [m], and whether it is that of the outermost bolts, which hold them."""
    bolt = outermost_bolt(of.x)
    return (bolt, True) if bolt is not None else (round(of.radius / 3.0, 2), False)


def _pull(of: Subject, moment: float) -> str:
    """How hard a weight of a moment [kg m] pulls outwards at the greatest speed, in words."""
    from calc.machine.falling import fastest_tips
    from calc.machine.system import System

    solved = (of.checked().system if of.checked is not None else System(of.x.design)).solved
    unloaded = math.nan if isinstance(solved, Unknown) else float(np.max(solved.omega_free))
    if not math.isfinite(unloaded) or isinstance(solved, Unknown):
        return "how hard that pulls at speed is not known, for the sheet does not tell the greatest speed"

    def at(speed: float) -> str:
        return f"{show_up(moment * speed**2, 'N', 2)} at {show(speed, 'rpm', 2)}"

    held = float(np.max(fastest_tips(of.x, solved)[0])) / of.radius
    told = f"with nothing connected the heaviest pulls outwards with {at(held)}"
    return told if held >= unloaded else f"{told}, and in a storm with nothing that holds the rotor back {at(unloaded)}"


def _maybe(value: object) -> float | None:
    return None if value is None else float(value)  # type: ignore[arg-type]


def _table(filled: BalanceSheet) -> list[Part]:
    parts: list[Part] = []
    total = len(filled.rows) + 1
    x = 0.0
    for n, (head, width) in enumerate(_COLUMNS):
        parts.append(box(x, -total * _ROW, width, total * _ROW, Pen.MARK))
        parts.append(Words((x + width / 2, -_ROW * 0.65), head, _TEXT, anchor="middle"))
        for i, row in enumerate(filled.rows, 1):
            text = _cell(n, row, filled)
            if text:
                parts.append(Words((x + width / 2, -(i + 0.65) * _ROW), text, _TEXT, anchor="middle"))
        x += width
    parts += [Line(((0.0, -i * _ROW), (x, -i * _ROW)), pen=Pen.MARK) for i in range(1, total)]
    return parts


def _cell(column: int, row: WeighedBlade, filled: BalanceSheet) -> str:
    moment = row.moment
    place = filled.order.index(row.name) + 1 if row.name in filled.order else None
    name = harmless(row.name)
    return (
        name if len(name) <= _NAME else f"{name[:_NAME]}...",
        "" if row.mass is None else f"{row.mass * 1e3:.4g}",
        "" if row.point is None else f"{row.point * 1e3:.0f}",
        "" if moment is None else f"{moment * 1e3:.3g}" if moment < 1.0 else f"{moment * 1e3:.0f}",
        "" if place is None else f"{place}" if filled.order else "",
    )[column] or ("spare" if column == 4 and filled.order and place is None else "")


def _circle(blades: int, filled: BalanceSheet) -> list[Part]:
    """The places around the hub, seen from the wind, to write names and weights into."""
    middle = (85.0, -(len(filled.rows) + 1) * _ROW - 62.0)
    parts: list[Part] = [
        Circle(middle, 10.0, Pen.MARK),
        Words((middle[0], middle[1] - 1.5), "hub", _TEXT, anchor="middle"),
    ]
    for i in range(blades):
        turn = math.pi / 2 - 2.0 * math.pi * i / blades
        c, s = math.cos(turn), math.sin(turn)
        parts.append(Line(((middle[0] + 10.0 * c, middle[1] + 10.0 * s), (middle[0] + 36.0 * c, middle[1] + 36.0 * s))))
        at = (middle[0] + 47.0 * c + 12.0 * c * abs(c), middle[1] + 45.0 * s)
        known = i < len(filled.order)
        name = harmless(filled.order[i]) if known else "..........."
        parts.append(Words((at[0], at[1] + 1.0), f"{i + 1}: {name[: _NAME + 2]}", _TEXT, anchor="middle"))
        weight = _grams(filled.weights[i]) if known else "+ ........ g"
        parts.append(Words((at[0], at[1] - 4.5), weight, _TEXT, anchor="middle"))
    return parts


def _grams(added: float) -> str:
    """A weight that is to be added, given in [kg], no finer than it can be made."""
    if added < NOTHING:
        return "nothing added"
    return f"+ {added * 1e3:.{0 if added >= 0.01 else 1}f} g"


def _notes(of: Subject, filled: BalanceSheet, bolted: bool) -> tuple[str, ...]:
    blank = any(row.moment is None for row in filled.rows)
    first = (
        "Weigh every blade that you have made, spare ones too, finished and painted. Then lay each on an edge as it "
        "will be fitted, find where it balances, and measure from there to the middle of the shaft, to 1 mm. Moment: "
        f"mass times that distance.{' Fill in what is blank.' if blank else ''}"
    )
    last = (
        "Log them, and the order is computed: galebook set weighed.a.mass=... weighed.a.balance_point=... --on "
        f"{of.ref}; then draw this sheet again. Whether what is left is little enough: galebook check {of.ref} "
        "hub.balance.",
        "Static balance only. Not checked here: what holds a weight that is added; that the tips run in one plane "
        "and at even angles, which throws a rotor out of balance as well. Turn it by hand first, and stand beside it, "
        "never in line with it.",
    )
    if not filled.order or filled.left is None:
        return (first, *last)
    out = f"{show(filled.left * 1e3, '', 2)} g m, {show(filled.left / of.radius, 'g', 2)} at a tip"
    names = ", ".join(map(harmless, filled.order))
    # With so few blades every order is the same one, turned or seen from behind.
    same = len(filled.rows) == of.blades <= _ALL_ALIKE
    order = (
        f"Any order leaves the same, {out}."
        if same
        else f"Order that leaves least, seen from the wind and once around the way of the clock: {names}. It leaves "
        f"{out}."
    )
    return first, order, *_added(of, filled, bolted), *last


def _added(of: Subject, filled: BalanceSheet, bolted: bool) -> tuple[str, ...]:
    """What is added where, how hard it pulls, and by what it is held."""
    most = max(filled.weights)
    if most < NOTHING:
        return ()
    at = f"{filled.at * 1e3:.0f} mm from the shaft"
    held = (
        f"To balance it fully, bolt the weights named below to the hub's plate under each blade's outermost bolt, "
        f"{at}, as thick washers under its nut, with a bolt that is as much longer."
        if bolted
        else f"To balance it fully, fix the weights named below to the hub, {at}, under bolts that hold a blade."
    )
    pull = _pull(of, most * filled.at)
    return (f"{held} Nothing strapped or glued on: {pull}, and what lets go flies. Weigh again.",)
