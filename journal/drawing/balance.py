"""A sheet to fill in while blades are weighed: masses, moments, the order in which they are fitted."""

from __future__ import annotations

import math

from calc.cutting.balance_sheet import BalanceSheet, WeighedBlade, balance_sheet
from calc.machine.catalogue import Sheet
from calc.units import show
from journal.book.plain_text import harmless
from journal.drawing.model import Circle, Drawing, Line, Part, Pen, Words, box
from journal.drawing.subject import Subject, hold_stated, possible

_TEXT = 3.0
#: Heads and widths of the table's columns, and height of a row. [mm]
_COLUMNS = (("blade", 28.0), ("mass, g", 36.0), ("balances at, mm", 40.0), ("moment, g m", 40.0), ("place", 26.0))
_ROW = 10.0
#: Letters of a name that have room in its cell.
_NAME = 10


def drawings(of: Subject) -> tuple[Drawing, ...]:
    """The sheet, with what is known already."""
    hold_stated(of, Sheet.rotor.blades, Sheet.rotor.diameter)
    x = of.x
    labels = x.labels(Sheet.weighed)
    mass, point = Sheet.weighed.mass, Sheet.weighed.balance_point
    rows = tuple(WeighedBlade(one, _maybe(x.maybe(mass[one])), _maybe(x.maybe(point[one]))) for one in labels)
    at = round(of.radius / 3.0, 2)
    filled = possible(
        of, "The set of blades", "rotor.blades or what was weighed", lambda: balance_sheet(rows, of.blades, at)
    )
    parts = (*_table(filled), *_circle(of.blades, filled))
    return (
        Drawing(f"Balance of the blades, {of.title}", _notes(of, filled), parts, name=f"balance-{of.ref}"),
    )  # fmt: skip


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
        "" if row.mass is None else f"{row.mass * 1e3:.1f}",
        "" if row.point is None else f"{row.point * 1e3:.1f}",
        "" if moment is None else f"{moment * 1e3:.1f}",
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
        added = filled.weights[i] * 1e3 if known else 0.0
        weight = "+ ........ g" if not known else f"+ {added:.1f} g" if added >= 0.05 else "nothing added"
        parts.append(Words((at[0], at[1] - 4.5), weight, _TEXT, anchor="middle"))
    return parts


def _notes(of: Subject, filled: BalanceSheet) -> tuple[str, ...]:
    first = (
        "Weigh every blade that you have made, spare ones too, finished and painted. Then lay each on an edge as it "
        "will be "
        "fitted, find where it balances, and measure from there to the middle of the shaft, to 1 mm. Moment: mass "
        "times "
        "that distance. Fill in what is blank."
    )
    last = (
        "Log them, and the order is computed: galebook set weighed.a.mass=... weighed.a.balance_point=... --on "
        f"{of.ref}; "
        f"then draw this sheet again. Whether what is left is little enough: galebook check {of.ref} hub.balance.",
        "Static balance only. Not checked here: that the tips run in one plane and at even angles, which throws a "
        "rotor out "
        "of balance as well. Turn it by hand first, and stand beside it, never in line with it.",
    )
    if not filled.order or filled.left is None:
        return (first, *last)
    out = f"{show(filled.left * 1e3, '', 3)} g m, {show(filled.left / of.radius, 'g', 2)} at a tip"
    return (
        first,
        f"Order that leaves least, seen from the wind and once around the way of the clock: {', '.join(filled.order)}. "
        f"It leaves {out}. To balance it fully, fix the weights named below {filled.at * 1e3:.0f} mm from the shaft, "
        "strapped on without a new hole, and weigh again.",
        *last,
    )
