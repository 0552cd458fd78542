"""Blades measured back, beside the sheet, and what the difference does."""

from __future__ import annotations

import math
from typing import Any

from calc.cutting.balance_sheet import NOTHING
from calc.finding import Status
from calc.quantities import QUANTITIES
from calc.units import digits, show, with_unit
from calc.wording import number_of
from journal.book.on_blade import ANGLE
from journal.review.blades_on_scale import OnScale, ScaledSet
from journal.review.measured_blades import AtMark, MeasuredBlades, SetAside, Shifted
from journal.screens.terminal import Terminal, revision_title, screen

CAUTION = (
    "Computed by the same rules as galebook check, with the blades as measured and all else as on the sheet. Cracks, "
    "gouges and thin places do not show in these readings: look for them. Nothing on the sheet was changed."
)

_BALANCE = "Balance"


def _data(found: MeasuredBlades) -> dict[str, Any]:
    return {
        "revision": found.revision.ref,
        "blades": found.blades,
        "scale": {
            "blades": [
                {
                    "name": b.name,
                    "mass": b.mass,
                    "balance_point": b.balance_point,
                    "moment": b.moment,
                    "add": b.add,
                    "from": b.source,
                }
                for b in found.scale.blades
            ],
            "order": list(found.scale.order),
            "left": found.scale.left,
            "at": found.scale.at,
            "pull": found.scale.pull,
            "speed": found.scale.speed,
        },
        "marks": [{**_plain(m), "off": m.off, "beyond_doubt": m.beyond_doubt} for m in found.marks],
        "figures": [{"name": a.name, "unit": a.unit, "sheet": a.value, "measured": b.value} for a, b in found.figures],
        "strength": [_shift_data(s) for s in found.strength],
        "balance": [_shift_data(s) for s in found.balance],
        "turned": [_shift_data(s) for s in found.turned],
        "pushes": found.pushes,
        "unused": found.unused,
        "notes": found.notes,
    }


def _plain(m: AtMark) -> dict[str, Any]:
    return {"ref": m.ref, "blade": m.blade, "radius": m.r, "quantity": m.quantity, "read": m.read, "low": m.low,
            "high": m.high, "sheet": m.sheet}  # fmt: skip


def _shift_data(s: Shifted) -> dict[str, Any]:
    return {
        "rule": s.new.rule, "subject": s.new.subject, "blade": s.blade, "unit": s.new.unit,
        "sheet": {"status": str(s.old.status), "value": s.old.value, "limit": s.old.limit},
        "measured": {"status": str(s.new.status), "value": s.new.value, "limit": s.new.limit, "says": s.new.says},
    }  # fmt: skip


@screen(_data)
def show_measured_blades(out: Terminal, found: MeasuredBlades) -> None:
    """What was read at each mark; then power, strength, balance."""
    out.title(revision_title(found.revision))
    wrong = sum(bool(a.do) for a in found.unused)
    if wrong:
        out.line(f"{number_of(wrong, 'reading is', 'readings are')} set aside, named at the end with what to type.")
    if found.marks:
        out.heading("Against the sheet")
        out.table(("", "Blade", "At", "", "Measured", "By the sheet", "Off"), (_mark(m) for m in found.marks))
    _scale(out, found.scale)
    if found.figures:
        out.heading("Power")
        out.table(("", "By the sheet", "As measured"), (
            (a.meaning, _figure(a.value, a.unit), _figure(b.value, b.unit)) for a, b in found.figures))  # fmt: skip
        many = len([b for b in found.blades if b.marks])
        if many > 1:
            out.line(f"All blades are taken as the middle of the {many} that were measured.")
    if len(found.pushes) > 1:
        out.line(_push(found.pushes))
    if found.blades:
        _section(
            out, "Strength, of the worst blade", found.strength, "The rules of strength say the same as by the sheet."
        )
    if found.balance:
        _section(out, _BALANCE, found.balance, "")
    else:
        out.heading(_BALANCE)
        out.line("Not known: each blade must be weighed and balanced (blade.mass and blade.balance_point).")
    if found.turned:
        _section(out, "What else turns", found.turned, "")
    _unused(out, found.unused)
    for note in found.notes:
        out.line(note)
    out.line(CAUTION)


def _scale(out: Terminal, scale: ScaledSet) -> None:
    """Each blade on the scale with from where it is known, and what they leave together."""
    if not scale.blades:
        return
    out.heading("On the scale")
    heads = ("Blade", "Mass", "Balances at", "Moment", "Add", "From")
    out.table(heads, (_on_scale(b) for b in scale.blades))
    if scale.left is None:
        return
    told = f"Fitted in the order {', '.join(scale.order)} they leave {_moment(scale.left)}"
    if scale.pull is not None and scale.speed is not None:
        told += (f": that drags the head around with {show(scale.pull, 'N', 2)} at {show(scale.speed, 'rpm', 2)}, the "
                 "fastest while what holds it back works")  # fmt: skip
    out.line(f"{told}.")
    if any(b.add for b in scale.blades):
        out.line(f"What is to be added is for {show(scale.at, 'mm', 3)} from the shaft, bolted, never strapped; weigh "
                 "again.")  # fmt: skip


def _moment(moment: float) -> str:
    return f"{digits(moment * 1e3, 3)} g m"


def _digits(added: float) -> int:
    """So many that a weight, in [kg], is told to the gram, as on the sheet that is drawn for the scale."""
    return 3 if added >= 0.0995 else 2


def _on_scale(b: OnScale) -> tuple[str, ...]:
    return (
        b.name,
        "" if b.mass is None else show(b.mass, "kg", 4),
        "" if b.balance_point is None else show(b.balance_point, "mm", 4),
        "" if b.moment is None else _moment(b.moment),
        "" if b.add is None else "nothing" if b.add < NOTHING else show(b.add, "g", _digits(b.add)),
        b.source,
    )


def _unused(out: Terminal, unused: list[SetAside]) -> None:
    """Each reading that is left out: what is wrong, what would be plausible, what to type."""
    if unused:
        out.heading("Set aside")
    for a in unused:
        accepted = f" Plausible: {a.accepted}." if a.accepted else ""
        out.indent(f"{', '.join(filter(None, [a.ref, a.place, a.read]))}: {a.why}.{accepted}")
        for line in a.do:
            out.indent(line, 4)


def _named(blade: str) -> str:
    return f"blade {blade}" if blade else "a blade"


def _mark(m: AtMark) -> tuple[str, ...]:
    unit = QUANTITIES[m.quantity].shown
    what = "angle" if m.quantity == ANGLE else "chord, outside"
    sign = "+" if m.off > 0 else "-" if m.off < 0 else ""
    off = f"{sign}{show(abs(m.off), unit, 2)}" + ("" if m.beyond_doubt else " (within its doubt)")
    return m.ref, m.blade, show(m.r, "mm", 4), what, show(m.read, unit), show(m.sheet, unit), off


def _figure(value: float, unit: str) -> str:
    return "never" if math.isinf(value) else show(value, unit)


def _push(pushes: dict[str, float]) -> str:
    told = ", ".join(f"{_named(name)} {show(force, 'N', 2)}" for name, force in pushes.items())
    apart = (max(pushes.values()) - min(pushes.values())) / max(max(pushes.values()), 1e-9)
    return (
        f"In 10 m/s the wind pushes, at the rotor's best speed: {told}; {show(apart, '%', 2)} apart. What they differ "
        "by shakes the head once a turn, however well the blades are balanced."
    )


def _section(out: Terminal, title: str, shifted: list[Shifted], none: str) -> None:
    out.heading(title)
    if not shifted and none:
        out.line(none)
    for s in shifted:
        same = s.old.status is s.new.status
        status = f"{s.new.status}" if same else f"{s.old.status} becomes {s.new.status}"
        of = f" ({_named(s.blade)})" if s.blade else ""
        head = f"{status.upper() if s.new.status in (Status.DANGER, Status.FAIL) else status}: {s.title}{of}. "
        out.indent(f"{head}{_moved(s)}")
        if s.new.status in (Status.DANGER, Status.FAIL) or not same or s.old is s.new or title == _BALANCE:
            out.indent(s.new.says, 4)


def _moved(s: Shifted) -> str:
    a, b = s.old, s.new
    if a.value is None or b.value is None or a is b:
        return ""
    limit = "" if b.limit is None else f", limit {_of(b.limit, b.unit)}"
    return f"{_of(a.value, a.unit)} by the sheet, {_of(b.value, b.unit)} as measured{limit}."


def _of(value: float, unit: str) -> str:
    """The number of a finding, which is in the unit in which it is shown."""
    return with_unit(digits(value), unit)
