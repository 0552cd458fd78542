"""The one-line diagram on one sheet of paper: from mast to battery above, what hangs on the battery below."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from calc.finding import Finding, Status
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.house import NOT_EARTHED, ONE_PLACE, TWO_PLACES
from calc.machine.catalogue.rotor import SHORTING_SWITCH
from calc.machine.catalogue.storage import DUMPS
from calc.machine.catalogue.wiring import BEFORE_RECTIFIER
from calc.machine.design import Design
from calc.machine.diagram import UNSTATED, Device
from calc.machine.system import System
from journal.book.plain_text import harmless
from journal.book.shown import written
from journal.drawing import symbols
from journal.drawing.feeding import chain
from journal.drawing.letters import width_of, wrapped
from journal.drawing.model import Circle, Drawing, Line, Part, Pen, Point, Words, box
from journal.drawing.subject import Subject
from journal.drawing.symbols import HALF, HOUSE, SYMBOLS, Symbol
from journal.errors import Refused
from journal.review.wired import Hung, Weak, everything, hang

#: Heights of letters [mm]: of names and of facts; and what a line of facts takes.
NAME, FACT, LEAD = 2.3, 2.0, 3.1
#: Width of a device of the upper row, most of them in one row, and least width of the whole; of each lane below, by
#: what it carries. [mm]
COLUMN, MOST, WIDE = 34.0, 9, 277.0
_LANES = {"dump": 60.0, "battery": 62.0, "loads": 58.0, "house": 92.0}
#: Where a lane's line runs and its words begin, from its left; least height of a device in it. [mm]
_RUN, _SAID, _STEP = 7.0, 15.0, 13.0
#: Of a long line, lest it count as wider than what stands above it: the usual width of letters is a little too much.
_EVEN = 0.86
#: The space between a number and its unit, and what holds them together while a text is folded.
_WITH_UNIT, _HELD = re.compile(r"(?<=\d) (?=[^\W\d]|%)"), "\0"
#: What is drawn with a question mark where the sheet tells nothing of it.
_ASKED = ("brake", "main fuse", "fuse", "switch", "battery switch", "surge", "dump", "rcd")
#: What switches a dump load, by its kind.
_SWITCHED = {DUMPS[1]: "Charge controller", DUMPS[2]: "Relay on voltage"}
#: From the lowest words of the upper row to the bus. [mm]
_TO_BUS = 9.0
NOTES = (
    "Drawn from the design sheet; where it does not say, there is a question mark. Whether the machine is wired like "
    "this was not checked, nor terminals, glands, protective conductors or the wiring of the house.",
    "Numbers after 'carries', 'nothing connected' and 'shorted' are computed. A triangle marks what the checks call a "
    "danger, FAILS what they say fails. What is only close to its limit is not marked: see galebook check.",
    "A fuse must break the voltage that comes when the battery is off while the rotor turns, not only the bank's, and "
    "the current of the shorted battery: hence high ratings on a low bank. What is fed is drawn as house.feed says.",
    "Before work: stop the rotor and tie it, open the battery's switch, and measure that all is dead. A turning "
    "generator is live whatever is switched off. House wiring is for a licensed electrician. Local rules decide.",
)


@dataclass
class _Board:
    """What has been drawn, and the dangers that were met, in order."""

    parts: list[Part] = field(default_factory=list)
    dangers: list[Weak] = field(default_factory=list)

    def line(self, *points: Point, pen: Pen = Pen.THIN) -> None:
        self.parts.append(Line(points, pen=pen))

    def words(self, at: Point, text: str, height: float = FACT) -> None:
        self.parts.append(Words(at, text, height))

    def paragraph(self, at: Point, text: str, wide: float, height: float = FACT) -> float:
        """A text folded to a width, its first line below a place; where it ends."""
        x, y = at
        for line in fold(text, wide, height):
            y -= LEAD * height / FACT
            self.words((x, y), line, height)
        return y

    def told(self, at: Point, h: Hung, wide: float) -> float:
        """Name, facts and weak spots of a device below a place; where they end."""
        x, y = at
        y = self.paragraph((x, y), h.name, wide, NAME)
        if h.facts:
            y = self.paragraph((x, y), ", ".join(h.facts), wide)
        for weak in h.weak:
            y = self._weak((x, y), weak, wide)
        return self.paragraph((x, y), f"and {h.more} more", wide) if h.more else y

    def _weak(self, at: Point, weak: Weak, wide: float) -> float:
        x, y = at
        if weak.status is Status.DANGER:
            if weak not in self.dangers:
                self.dangers.append(weak)
            y -= 0.6
            self.parts += symbols.warning((x + 2.5, y - 5.4), 4.6)
            end = self.paragraph((x + 6.0, y - 0.6), f"DANGER {self.dangers.index(weak) + 1}: {weak.title}", wide - 7.0)
            end = min(end - 1.2, y - 6.2)
            self.parts.append(box(x - 1.0, end, wide, y - 0.6 - end, Pen.CUT))
            return end - 0.6
        if weak.status is Status.MARGINAL and not weak.over:
            return y
        head = "FAILS: " if weak.status is Status.FAIL else ""
        return self.paragraph((x, y), f"{head}{weak.title}" if head else weak.words.capitalize(), wide)


def fold(text: str, wide: float, height: float) -> list[str]:
    """A text, in the units and letters of people, as lines that fit a width; no number is parted from its unit."""
    told = _WITH_UNIT.sub(_HELD, written(harmless(text)))
    lines: list[str] = []
    for line in wrapped(told, wide, height):
        while width_of(line, height) > wide:
            cut = next(n for n in range(len(line), 0, -1) if n == 1 or width_of(line[:n], height) <= wide)
            lines.append(line[:cut])
            line = line[cut:]
        lines.append(line)
    return [line.replace(_HELD, " ") for line in lines]


@dataclass(frozen=True)
class _Sorted:
    """The devices by where they hang; those of dump load and loads with what they hang on, run by run."""

    machine: list[Hung]
    storage: list[Hung]
    dumps: list[list[Hung]]
    loads: list[list[Hung]]
    house: list[Hung]
    earth: Hung
    #: Whether the dump load is lost when the battery's switch is opened.
    behind_switch: bool


def drawings(of: Subject) -> tuple[Drawing, ...]:
    """The wiring of a revision on one sheet."""
    assert of.checked is not None, "what is drawn is what the checks judged"
    review = of.checked()
    return (wiring_drawing(of.ref, of.title, review.system, review.findings),)


def wiring_drawing(ref: str, title: str, system: System, findings: Sequence[Finding]) -> Drawing:
    """The wiring of a revision, to be fitted on one sheet.

    Parameters
    ----------
    ref, title : str
        The revision, and what it is called.
    system : System
        Its machine.
    findings : sequence of Finding
        What its checks say.

    Raises
    ------
    Refused
        If the sheet says nothing of generator and battery, or that there is none.
    """
    if system.design.get(Sheet.storage.chemistry) == "none":
        # Drawn with a battery's bus it would be another machine.
        raise Refused(f"{ref} has no battery, and only machines with one are drawn", f"See: galebook check {ref}")
    every = everything(system, findings)
    if not every:
        raise Refused(f"The sheet of {ref} says nothing of generator and battery", f"See: galebook missing {ref}")
    board, found = _Board(), _sort(every, system, findings)
    tap, end = _upper(board, found, system.design, 0.0)
    fused = any(h.device.kind == "fuse" for h in found.machine)
    free = _lower(board, found, system.design, tap, end, fused)
    _dangers_below(board, free)
    return Drawing(f"One-line diagram, {title}", NOTES, tuple(board.parts), name=f"wiring-{ref}", true_size=False)


def _sort(every: list[Hung], system: System, findings: Sequence[Finding]) -> _Sorted:
    every = [_placed(h, system.design) for h in every]
    kinds = [h.device.kind for h in every]
    first, last = kinds.index("battery switch"), kinds.index("battery")

    def lanes(kind: str) -> list[list[Hung]]:
        of = [h for h in every if h.device.kind == kind and h.device.ahead]
        return [lane for h in of for lane in _through(h, system, findings)]

    def in_line(some: list[Hung]) -> list[Hung]:
        return [h for h in some if not h.device.ahead]

    rest = [h for h in every[last + 1 :] if h.device.kind not in ("loads", "earth")]
    house = [*rest[:-1], *chain(rest[-1], system.design)]
    return _Sorted(
        in_line(every[:first]), in_line(every[first : last + 1]), lanes("dump"), lanes("loads"), house,
        every[-1], "dump" in kinds[first:],
    )  # fmt: skip


def _placed(h: Hung, design: Design) -> Hung:
    """A device with what tells whoever fits it where it goes and of what kind it is."""
    kind, run = h.device.kind, h.device.run
    told: list[str] = []
    if kind == "fuse" and run and not h.lacking and (make := design.get(Sheet.cable.fuse_kind[run])) is not None:
        told.append(make)
    if kind == "main fuse" and not h.lacking and (far := design.get(Sheet.protection.main_fuse_distance)) is not None:
        told.append(f"{Sheet.protection.main_fuse_distance.text(far)} from the battery")
    if kind == "cable" and (laid := design.get(Sheet.cable.laid[run])) is not None:
        told.append(laid)
    if kind == "battery" and (place := design.get(Sheet.storage.place)) is not None:
        told.append(f"in: {place}")
    if kind == "dump" and not h.lacking and (on := design.get(Sheet.dump.mounted)) is not None:
        told.append(f"on: {on}")
    return replace(h, facts=(*h.facts, *told)) if told else h


def _switched_by(h: Hung, design: Design) -> list[Hung]:
    """What switches the dump load, where the sheet names it."""
    name = _SWITCHED.get(str(design.get(Sheet.dump.kind)))
    if name is None or h.device.kind != "dump" or h.lacking:
        return []
    amps, volts = Sheet.dump.controller_current, Sheet.dump.controller_voltage
    told = [f"rated {amps.text(amp)}"] if (amp := design.get(amps)) is not None else [f"rated {UNSTATED}"]
    if (volt := design.get(volts)) is not None:
        told.append(f"withstands {volts.text(volt)}")
    return [Hung(Device("controller", name), tuple(told), ())]


def _through(h: Hung, system: System, findings: Sequence[Finding]) -> list[list[Hung]]:
    """What hangs on fuse and cable, each run a lane of its own."""
    switch = _switched_by(h, system.design)
    told = *h.device.facts, *(f for f in h.facts if f.startswith("on: "))
    own = replace(h, facts=told or (f"from the battery by cable {h.device.run}",))
    ahead = [_placed(hang(device, system, findings), system.design) for device in h.device.ahead]
    runs = list(zip(ahead[::2], ahead[1::2], strict=True))
    again = replace(own, facts=("the same, through a second cable",), weak=(), more=0)
    return [[fuse, cable, *switch, own if at == 0 or h.device.kind == "loads" else again]
            for at, (fuse, cable) in enumerate(runs)]  # fmt: skip


def _symbol(h: Hung, design: Design) -> Symbol:
    """How a device is drawn."""
    kind = h.device.kind
    if h.lacking:
        return symbols.missing
    if _not_known(h, design) or kind == "unknown":
        return symbols.unknown
    if kind == "brake" and design.get(Sheet.rotor.brake) != SHORTING_SWITCH:
        return symbols.box_of
    if kind == "cable":
        wires = _wires(h)
        return lambda at, across: symbols.cable(at, across, wires)
    if kind == "main fuse" and h.device.lacking:
        return symbols.cable
    return SYMBOLS.get(kind) or HOUSE.get(kind, symbols.box_of)


def _not_known(h: Hung, design: Design) -> bool:
    """Whether the sheet tells nothing of a device that need not be there."""
    told = [h.device.name.partition(": ")[2], *h.facts] if ": " in h.device.name else list(h.facts)
    if h.device.kind not in _ASKED or (h.device.kind == "main fuse" and h.device.lacking):
        return False
    if h.device.kind == "fuse" and h.device.run and design.get(Sheet.cable.fused[h.device.run]):
        return False
    return bool(told) and all(UNSTATED in fact for fact in told)


def _wires(h: Hung) -> int | None:
    found = next((f for f in h.device.facts if " x " in f), "")
    head = found.partition(" x ")[0]
    return int(head) if head.isdigit() else None


def _neutral(design: Design) -> Symbol:
    """The line with as many earths as the neutral has."""
    places = {ONE_PLACE: 1, TWO_PLACES: 2, NOT_EARTHED: 0}.get(str(design.get(Sheet.house.neutral)), 0)

    def draw(at: Point, across: bool) -> list[Part]:
        x, y = at
        parts: list[Part] = [Line(((x, y + HALF), (x, y - HALF)), pen=Pen.THIN)]
        for i in range(places):
            down = y + 3.0 - 4.5 * i
            parts += [
                Circle((x, down), 0.5, Pen.THIN),
                Line(((x, down), (x - 3.6, down), (x - 3.6, down - 1.6)), pen=Pen.THIN),
                *(Line(((x - 3.6 - w, down - 1.6 - d), (x - 3.6 + w, down - 1.6 - d)), pen=Pen.THIN)
                  for w, d in ((1.6, 0.0), (0.9, 0.8))),
            ]  # fmt: skip
        return parts

    return draw


def _upper(board: _Board, found: _Sorted, design: Design, y: float) -> tuple[Point | None, Point]:
    """From the mast to the battery's bus: where the dump load's line goes on from its tap, and where the line ends."""
    devices, tapped = found.machine, bool(found.dumps) and not found.behind_switch
    # The tap belongs right after what can part the rectifier from it, just ahead of the first fuse of the line.
    at_tap = next((i for i, h in enumerate(devices) if h.device.kind == "fuse"), len(devices)) if tapped else -1
    per_row, wide = _columns(len(devices) + 1)
    left, end, tap = 0.0, (0.0, y), None
    lowest = y
    _mast_earth(board, found.earth, (left, y))
    for i, h in enumerate(devices):
        place = (i + 1) % per_row
        if place == 0:
            low = lowest - 8.0
            board.line(end, (wide, end[1]), (wide, low), (0.0, low), (0.0, low - 12.0), (4.0, low - 12.0))
            y, end = low - 12.0, (4.0, low - 12.0)
        x = place * COLUMN + COLUMN / 2
        if i == at_tap:
            tap = (x - COLUMN / 2 - 1.0, y)
            board.parts.append(Circle(tap, 0.7, Pen.CUT))
        if i == 0:
            end = (x - HALF, y)
        low = _in_row(board, h, design, (x, y), end)
        if i == at_tap and tap is not None:
            tap, low = _tap_fuse(board, found.dumps[0][0], design, tap, low)
        lowest = min(lowest, low)
        end = (x, y) if h.device.branch else (x + HALF, y)
        _zone(board, devices, i, (x, y), design)
    if tapped and tap is None:
        tap = (end[0] + 4.0, y)
        board.parts.append(Circle(tap, 0.7, Pen.CUT))
    board.line(end, (wide, y), (wide, lowest - _TO_BUS))
    return tap, (wide, lowest)


def _tap_fuse(board: _Board, fuse: Hung, design: Design, tap: Point, low: float) -> tuple[Point, float]:
    """The fuse of the dump load right below its tap, where it is fitted: where its line goes on, and how low it is."""
    # A step aside: the words of what hangs before the tap reach up to its line.
    x, top = tap[0] + 2.5, low - 3.0
    board.line(tap, (tap[0], top), (x, top))
    board.parts += _symbol(fuse, design)((x, top - HALF), False)
    told = tuple(f.replace("from the battery", "from the battery by the sheet") for f in fuse.facts)
    named = replace(
        fuse, facts=(*told, "at the tap"), device=replace(fuse.device, name=f"{fuse.device.name}, dump load")
    )
    return (x, top - 2 * HALF), board.told((x + 3.5, top), named, COLUMN - 7.0)


def _columns(count: int) -> tuple[int, float]:
    """How many devices stand in a row, rows alike, and how wide they are."""
    per_row = math.ceil(count / math.ceil(count / MOST))
    return per_row, max(WIDE, per_row * COLUMN)


def _mast_earth(board: _Board, h: Hung, at: Point) -> None:
    x, y = at[0] + 6.0, at[1]
    board.line((x, y + 6.0), (x, y), pen=Pen.CUT)
    board.words((x + 2.0, y + 3.0), "mast", FACT)
    draw = symbols.missing if h.lacking else symbols.earth if UNSTATED not in h.facts[:1] else symbols.box_of
    board.parts += draw((x, y - HALF), False)
    board.told((at[0], y - 11.0), h, COLUMN - 3.0)


def _in_row(board: _Board, h: Hung, design: Design, at: Point, end: Point) -> float:
    """A device of the upper row, joined to where the line had come to; how far down it reaches."""
    x, y = at
    if not h.device.branch:
        board.line(end, (x - HALF, y))
        board.parts += _symbol(h, design)((x, y), True)
        return board.told((x - COLUMN / 2 + 2.0, y - HALF - 0.5), h, COLUMN - 3.5)
    board.line(end, (x, y))
    draw = _symbol(h, design)
    if h.device.kind == "brake" and draw is symbols.box_of:
        # It works on the shaft and hangs on no wire.
        board.parts.append(box(x - HALF, y - 3.0 - 2 * HALF, 2 * HALF, 2 * HALF))
        return board.told((x - COLUMN / 2 + 2.0, y - 13.5), h, COLUMN - 3.5)
    board.parts.append(Circle((x, y), 0.7, Pen.CUT))
    if h.lacking:
        board.parts.append(Line(((x, y), (x, y - 3.0)), pen=Pen.FOLD))
        board.parts += symbols.missing((x, y - 3.0 - HALF), False)
        return board.told((x - COLUMN / 2 + 2.0, y - 13.0), h, COLUMN - 3.5)
    board.line((x, y), (x, y - 3.0))
    board.parts += draw((x, y - 3.0 - HALF), False)
    deep = 20.0 if h.device.kind == "surge" else 13.5
    return board.told((x - COLUMN / 2 + 2.0, y - deep), h, COLUMN - 3.5)


def _zone(board: _Board, devices: list[Hung], i: int, at: Point, design: Design) -> None:
    """Words above the line where the place changes: at the mast, on the way, at the battery."""
    x, y = at[0] - COLUMN / 2 + 2.0, at[1] + 8.0
    first = next((j for j, h in enumerate(devices) if h.device.kind == "cable"), None)
    if first is None:
        return
    of = devices[first].device
    kind = "AC" if design.get(Sheet.cable.carries[of.run]) == BEFORE_RECTIFIER else "DC"
    if i == 0:
        board.words((x, y), "MAST END", NAME)
    elif i == first:
        board.words((x, y), f"THE CABLE, {kind}", NAME)
    elif i == first + 1 and devices[i].device.kind != "cable":
        board.words((x, y), "BATTERY END", NAME)


@dataclass(frozen=True)
class _Free:
    """Room below the lanes: how low all and those left of the house reach, how wide all are and those."""

    low: float
    low_left: float
    wide: float
    wide_left: float


def _lower(
    board: _Board, found: _Sorted, design: Design, tap: Point | None, end: Point, fused: bool
) -> _Free:  # fmt: skip
    """The battery's bus with what hangs on it, and the dump load; ``fused`` where its fuse is drawn at the tap."""
    # The fuse of what is tapped off in the row above is drawn there.
    lanes = [("dump", lane[1:] if tap is not None and fused and n == 0 else lane) for n, lane in enumerate(found.dumps)]
    lanes += [("battery", found.storage), *(("loads", lane) for lane in found.loads), ("house", found.house)]
    right, low = end
    stretch = max(1.0, right / sum(_LANES[kind] for kind, _ in lanes))
    bus, x, left = low - _TO_BUS, 0.0, low
    tops: list[tuple[float, str]] = []
    for kind, lane in lanes:
        wide = _LANES[kind] * stretch
        tops.append((x + _RUN, kind))
        # What hangs behind the battery's switch begins below it.
        top = bus - 8.0 - (_STEP + 3.0 if kind == "dump" and found.behind_switch else 0.0)
        below = _lane(board, lane, design, (x, top), wide)
        if kind == "house":
            break
        left, x = min(left, below), x + wide
    hung = [at for at, kind in tops if kind != "dump"]
    _bus(board, found, design, (hung[0], bus), max(x + wide, right))
    for at in hung:
        board.line((at, bus), (at, bus - 8.0))
    for at in (at for at, kind in tops if kind == "dump"):
        if tap is not None:
            board.line(tap, (tap[0], low - 5.0), (at, low - 5.0), (at, bus - 8.0))
        else:
            down = bus - 8.0 - _STEP - 0.5
            board.line((hung[0], down), (at, down), (at, down - 2.5))
            board.parts.append(Circle((hung[0], down), 0.7, Pen.CUT))
    return _Free(min(left, below), left, max(x + wide, right), x)


def _bus(board: _Board, found: _Sorted, design: Design, left: Point, right: float) -> None:
    """The thick line to which all on the battery's side is joined."""
    volts = design.get(Sheet.storage.voltage)
    told = "voltage ?" if volts is None else Sheet.storage.voltage.text(volts)
    battery = next(h for h in found.storage if h.device.kind == "battery")
    up_to = next((f for f in battery.facts if f.startswith("up to")), "")
    x, y = left
    for lift in (-0.25, 0.0, 0.25):
        board.line((x, y + lift), (right, y + lift), pen=Pen.CUT)
    name = ", ".join(filter(None, [f"BATTERY BUS: {told} DC", up_to]))
    board.words((x + 3.0, y - 3.6), name, NAME)


def _lane(board: _Board, lane: list[Hung], design: Design, at: Point, wide: float) -> float:
    """Devices one below the other, words to their right; how far down they reach."""
    x, y = at[0] + _RUN, at[1]
    for i, h in enumerate(lane):
        draw = _neutral(design) if h.device.kind == "neutral" else _symbol(h, design)
        board.parts += draw((x, y - HALF), False)
        end = board.told((at[0] + _SAID, y), h, wide - _SAID - 3.0)
        below = min(y - _STEP, end - 2.0)
        if i + 1 < len(lane) and lane[i + 1].device.kind != "apart":
            board.line((x, y - 2 * HALF), (x, below))
        y = below
    return y


def _dangers_below(board: _Board, free: _Free) -> None:
    """What the dangers are, in full: beside a long lane of the house, or below all."""
    if not board.dangers:
        return
    below, beside = _Board(dangers=board.dangers), _Board(dangers=board.dangers)
    low = _in_full(below, free.low - 2.0, free.wide)
    low_beside = _in_full(beside, free.low_left - 6.0, free.wide_left - 8.0)
    board.parts += (beside if low_beside > low else below).parts


def _in_full(board: _Board, y: float, wide: float) -> float:
    for n, weak in enumerate(board.dangers, 1):
        end = board.paragraph((7.0, y), f"DANGER {n}, {weak.title}: {weak.says}", _EVEN * wide)
        board.parts += symbols.warning((3.0, y - 4.4), 3.8)
        y = min(end, y - 4.6) - 0.8
    return y
