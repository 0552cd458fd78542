"""Readings, one after the other: what is read as a large button, then the number on a number pad."""

from __future__ import annotations

import re
from collections.abc import Sequence
from urllib.parse import urlencode

from sqlmodel import Session, col, func, select
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from calc.machine.catalogue.generator import EMF_FORMS
from calc.quantities import FORMED, QUANTITIES, Quantity
from calc.units import as_written
from journal.book import measurements
from journal.book.records import current_build, find_record
from journal.book.tables import Attempt, Measurement
from journal.book.written import read_wind
from journal.errors import BadInput, NotFound
from journal.review.verdict import measured_text
from journal.web.attempts import attempt_field, chosen_attempt
from journal.web.desk import Desk, desk_of
from journal.web.fields import Field, Filled
from journal.web.sending import posted

#: Quantities as large buttons; the others stand behind one.
FIRST = 8
#: Of a machine that nobody has read yet, what is read first.
_BEFORE_ANY = ("battery.voltage", "charge.current", "wind.speed", "rotor.speed", "generator.open_voltage")
#: What else meters show, by the unit in which a quantity is shown.
OTHERS = {
    "V": ("mV",), "A": ("mA",), "W": ("kW",), "ohm": ("mohm",), "degC": ("degF",), "kg": ("g", "lb"), "Wh": ("kWh",),
    "m/s": ("km/h", "mph", "kn", "Bft"), "mm": ("cm", "in"), "m": ("ft",), "s": ("min",), "rpm/V": ("mV/rpm", "V/krpm"),
}  # fmt: skip
_UNIT = re.compile(r"[^\W\d_]|[%°Ω]")


def units_of(q: Quantity) -> tuple[str, ...]:
    """Units in which a quantity can be typed, that of the screens first."""
    return (q.shown, *OTHERS.get(q.shown, ()))


def below_zero(q: Quantity) -> bool:
    """Whether it can be less than nothing in the unit shown; number pads of some phones have no minus."""
    return q.low < 0 or q.unit == "kelvin"


def as_typed(value: str, unit: str, *, below: bool) -> str:
    """A number from a number pad as the journal takes it: with its unit, unless that was typed too.

    Examples
    --------
    >>> as_typed("12.1", "V", below=False), as_typed("0.2", "A", below=True), as_typed("12 mV", "V", below=False)
    ('12.1 V', '-0.2 A', '12 mV')
    >>> as_typed("5", "Bft", below=False)
    'Bft 5'
    """
    value = value.strip()
    signed = f"-{value}" if below and not value.startswith(("-", "\N{MINUS SIGN}")) else value
    if _UNIT.search(value) or not unit:
        return signed
    return f"Bft {signed}" if unit == "Bft" else f"{signed} {unit}"


#: In what form a voltage without load is read; unsaid, as the sheet's own constant.
_FORMS = (("", "as on the sheet"), *((form, form) for form in EMF_FORMS))


def _fields(q: Quantity) -> list[Field]:
    units = tuple((u, as_written(f"1 {u}")[2:] or "no unit") for u in units_of(q))
    minus = [Field("below", "Below zero (minus)", "tick")] if below_zero(q) else []
    return [
        Field("value", as_written(q.meaning), hint=q.example.partition(" ")[0], mode="decimal"),
        *([Field("unit", "Unit", "choice", options=units)] if q.shown else []),
        *minus,
        *([Field("form", "How it was read", "choice", options=_FORMS)] if q.name in FORMED else []),
        Field("wind", "Wind at that moment", read=read_wind, hint="Bft 5; left empty, that of the attempt"),
        Field("where", "Where on the circuit?", hint="at the battery"),
        Field("instrument", "Read with", hint="pocket multimeter, or I1"),
        Field("conditions", "Anything that matters", "text", hint="gusts, the lamp on"),
        Field("missing", "Could it not be read? Why?", hint="no tachometer"),
        Field("attempt", "Attempt"),
    ]


def in_order(session: Session) -> list[Quantity]:
    """All quantities, those that this build reads most before the others."""
    build = current_build(session)
    query = select(Measurement.quantity, func.count()).where(Measurement.build_id == build.id)
    many = dict(session.exec(query.group_by(col(Measurement.quantity))).all())
    early = {name: len(_BEFORE_ANY) - place for place, name in enumerate(_BEFORE_ANY)}
    return sorted(QUANTITIES.values(), key=lambda q: (-many.get(q.name, 0), -early.get(q.name, 0)))


def choose(request: Request) -> Response:
    """The attempt, and what was read."""
    desk = desk_of(request)
    with desk.reading() as s:
        attempt = attempt_field(s)
        chosen = chosen_attempt(request, attempt)
        quantities = in_order(s)
        made = _made(desk, s, request.query_params.get("made", ""))
    return desk.page(
        request, "readings.html", attempt=attempt, filled=Filled({"attempt": chosen}), made=made,
        first=quantities[:FIRST], more=sorted(quantities[FIRST:], key=lambda q: q.meaning),
        query=urlencode({"attempt": chosen}),
    )  # fmt: skip


def _made(desk: Desk, session: Session, ref: str) -> list[str]:
    """The reading just logged, and how it was understood where it was not typed in its plain form."""
    try:
        m = find_record(session, ref, Measurement)
    except (BadInput, NotFound):
        return []
    return [f"{m.ref} {QUANTITIES[m.quantity].meaning}: {measured_text(m)}", *desk.understood.get(m.ref, ())]


def _quantity(request: Request) -> Quantity:
    name = request.path_params["quantity"]
    if name not in QUANTITIES:
        raise NotFound(f"There is no quantity called {name!r}", "Choose one of those shown")
    return QUANTITIES[name]


def show(request: Request) -> Response:
    """The number pad for one quantity."""
    named = request.query_params.get("attempt", "")
    return _page(request, Filled({"attempt": named, "unit": _quantity(request).shown}))


def _page(request: Request, filled: Filled, status: int = 200) -> Response:
    desk, q = desk_of(request), _quantity(request)
    with desk.reading() as s:
        try:
            tried = find_record(s, filled.typed.get("attempt", ""), Attempt)
        except (BadInput, NotFound):
            tried = None
        made = _made(desk, s, request.query_params.get("made", ""))
    fields = {f.name: f for f in _fields(q)}
    about = {"q": q, "fields": fields, "filled": filled, "tried": tried, "made": made}
    return desk.page(request, "reading.html", status, query=urlencode({"attempt": tried.ref if tried else ""}), **about)


def _value(filled: Filled) -> str | None:
    typed = filled.get("value")
    return typed and as_typed(typed, filled.typed.get("unit", ""), below=bool(filled.get("below")))


def _held(q: Quantity, filled: Filled) -> None:
    value, missing = _value(filled), filled.get("missing")
    if value is None and missing is None:
        filled.wrong["value"] = f"A number is needed here, like {q.example}; or say below why it could not be read."
    elif value is not None and missing is not None:
        filled.wrong["missing"] = "Either there is a value, or a reason why there is none."
    elif value is not None:
        try:
            measurements.read_measurement(q.name, value)
        except BadInput as e:
            filled.wrong["value"] = str(e)


@posted
def log(request: Request, sent: FormData) -> Response:
    """Log it, and go on with the next."""
    desk, q = desk_of(request), _quantity(request)

    def make(session: Session, filled: Filled) -> Sequence[Measurement]:
        given = filled.given("attempt", "missing", "form", "where", "instrument", "conditions", "wind")
        return [measurements.log_measurement(session, measurements.MeasurementTyped(q.name, _value(filled), **given))]

    def onward(refs: Sequence[str], filled: Filled) -> str:
        after = str(sent.get("then", "next"))
        query = urlencode({"attempt": filled.typed.get("attempt", ""), "made": refs[0]})
        return f"/readings/{q.name}?{query}" if after == "same" else f"/readings?{query}"

    return desk.take(
        request, sent, _fields(q), make, lambda filled, status: _page(request, filled, status), onward,
        lambda filled: _held(q, filled),
    )  # fmt: skip


ROUTES = [
    Route("/readings", choose, methods=["GET"]),
    Route("/readings/{quantity}", show, methods=["GET"]),
    Route("/readings/{quantity}", log, methods=["POST"]),
]
