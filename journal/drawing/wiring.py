"""The one-line diagram on one sheet of paper: from mast to battery above, what hangs on the battery below."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from calc.finding import Finding
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.house import NOT_EARTHED, ONE_PLACE, TWO_PLACES
from calc.machine.catalogue.rotor import SHORTING_SWITCH
from calc.machine.catalogue.storage import DUMPS
from calc.machine.catalogue.wiring import AFTER_RECTIFIER, BEFORE_RECTIFIER
from calc.machine.design import Design
from calc.machine.diagram import UNSTATED, Device, has_rectifier, has_store
from calc.machine.system import System
from journal.drawing import symbols
from journal.drawing.feeding import chain
from journal.drawing.lettering import FACT, NAME, Slate
from journal.drawing.model import Circle, Drawing, Line, Part, Pen, Point, box, extent
from journal.drawing.subject import Subject
from journal.drawing.symbols import HALF, HOUSE, SYMBOLS, Symbol
from journal.errors import Refused
from journal.review.wired import Hung, Weak, everything, hang

#: Width of a device of the upper row, most of them in one row, and least width of the whole; of each lane below, by
#: what it carries. [mm]
COLUMN, MOST, WIDE = 32.0, 9, 277.0
#: Most width and height that all of it should have, lest its letters become too small on paper. [mm]
_WIDEST, _HIGHEST = 288.0, 206.0
_LANES = {"dump": 60.0, "battery": 62.0, "loads": 58.0, "house": 92.0}
#: Where a lane's line runs and its words begin, from its left; least height of a device in it. [mm]
_RUN, _SAID, _STEP = 7.0, 15.0, 11.5
#: A longer line of words is not read at ease. [mm]
_READ = 150.0
#: Of a long line, lest it count as wider than what stands above it: the usual width of letters is a little too much.
_EVEN = 0.86
#: What is drawn with a question mark where the sheet tells nothing of it.
_ASKED = ("rectifier", "battery", "brake", "main fuse", "fuse", "switch", "battery switch", "surge", "dump", "rcd")
#: What switches a dump load, by its kind.
_SWITCHED = {DUMPS[1]: "Charge controller", DUMPS[2]: "Relay on voltage"}
#: From the lowest words of the upper row to the bus. [mm]
_TO_BUS = 9.0
#: So many loads on the line have a lane each.
_LOADS_APART = 2
_DRAWN = (
    "Drawn from the design sheet; where it does not say, there is a question mark, and galebook diagram tells how it "
    "is entered. Whether the machine is wired like this was not checked, nor terminals, glands, protective conductors "
    "or the wiring of the house."
)
_DEAD = (
    "and measure that all is dead. A turning generator is live whatever is switched off. House wiring is for a "
    "licensed electrician. Local rules decide."
)
NOTES = (
    _DRAWN,
    "Numbers after 'carries', 'nothing connected' and 'shorted' are computed. A triangle marks what the checks call a "
    "danger, FAILS what they say fails. What is only close to its limit is not marked: see galebook check.",
    "A fuse must break the voltage that comes when the battery is off while the rotor turns, not only the bank's, and "
    "the current of the shorted battery: hence high ratings on a low bank. What is fed is drawn as house.feed says.",
    f"Before work: stop the rotor and tie it, open the battery's switch, {_DEAD}",
)
NOTES_WITHOUT_BATTERY = (
    *NOTES[:2],
    "No battery holds the voltage: it follows the wind, and rises to what a free rotor gives when a load burns out, a "
    "fuse opens or the grid fails. Whatever hangs on the line must withstand that, and the rotor be held otherwise.",
    f"Before work: stop the rotor and tie it, {_DEAD}",
)


@dataclass(frozen=True)
class _Sorted:
    """The devices by where they hang; those of dump load and loads with what they hang on, run by run."""

    machine: list[Hung]
    storage: list[Hung]
    dumps: list[list[Hung]]
    loads: list[list[Hung]]
    house: list[Hung]
    earth: Hung
    #: Whether there is a battery, as far as the sheet says.
    stored: bool
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
        If the sheet says nothing of generator, battery, loads and inverter.
    """
    every = everything(system, findings)
    if not every:
        raise Refused(
            f"The sheet of {ref} says nothing of generator, battery, loads or inverter",
            f'Say something of one, like: galebook set generator.phases "three-phase" --on {ref}',
        )
    board, found = Slate(), _sort(every, system, findings)
    tap, end = _upper(board, found, system.design, 0.0)
    fused = any(h.device.kind == "fuse" for h in found.machine)
    free = _lower(board, found, system.design, tap, end, fused)
    notes = (*(NOTES if found.stored else NOTES_WITHOUT_BATTERY), *_dangers_below(board, free))
    return Drawing(f"One-line diagram, {title}", notes, tuple(board.parts), name=f"wiring-{ref}", true_size=False)


def _sort(every: list[Hung], system: System, findings: Sequence[Finding]) -> _Sorted:
    every = [_placed(h, system.design) for h in every]
    kinds = [h.device.kind for h in every]
    if not has_store(system.design):
        return _sort_without_battery(every, system, findings)
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
        every[-1], True, "dump" in kinds[first:],
    )  # fmt: skip


def _sort_without_battery(every: list[Hung], system: System, findings: Sequence[Finding]) -> _Sorted:
    """What hangs on the line itself stands in lanes of its own; the last of the row before them is the arrester."""
    after = [h.device.kind for h in every].index("surge") + 1
    while every[after].device.kind == "fuse" and every[after].device.run in _line_runs(system.design):
        after += 1
    lanes: dict[str, list[list[Hung]]] = {"dump": [], "loads": [], "house": [[]]}
    for h in every[after:-1]:
        kind = h.device.kind
        if h.device.ahead:
            lanes[kind] += _through(h, system, findings)
        elif kind == "dump":
            lanes[kind].append([*_switched_by(h, system.design), h])
        elif kind in ("loads", "fed"):
            lanes["loads"].append([h])
        else:
            lanes["house"][0] += chain(h, system.design) if kind == "house" else [h]
    return _Sorted(every[:after], [], [], [*lanes["dump"], *_few(lanes["loads"])], lanes["house"][0], every[-1],
                   stored=False, behind_switch=False)  # fmt: skip


def _line_runs(design: Design) -> list[str]:
    """Labels of the generator's runs behind the rectifier, whose fuses stand in the line."""
    return [n for n in design.labels(Sheet.cable) if design.get(Sheet.cable.carries[n]) == AFTER_RECTIFIER]


def _few(lanes: list[list[Hung]]) -> list[list[Hung]]:
    """Lanes of loads; more than two of them that hang on the line directly are told as one."""
    if len(lanes) <= _LOADS_APART or any(len(lane) > 1 for lane in lanes):
        return lanes
    every = [lane[0] for lane in lanes]
    told = "; ".join(f"{h.name.partition(' ')[2]}: {', '.join(h.facts)}" for h in every)
    weak = tuple(w for h in every for w in h.weak)
    return [[Hung(Device("loads", "Loads, beside each other"), (told,), weak, sum(h.more for h in every))]]


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
    source = "battery" if has_store(system.design) else "rectifier"
    own = replace(h, facts=told or (f"from the {source} by cable {h.device.run}",))
    runs = [[_placed(hang(d, system, findings), system.design) for d in run] for run in h.device.runs]
    again = replace(own, facts=("the same, through a second cable",), weak=(), more=0)
    return [[*run, *switch, own if at == 0 or h.device.kind == "loads" else again] for at, run in enumerate(runs)]


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


def _upper(board: Slate, found: _Sorted, design: Design, y: float) -> tuple[Point | None, Point]:
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


def _tap_fuse(board: Slate, fuse: Hung, design: Design, tap: Point, low: float) -> tuple[Point, float]:
    """The fuse of the dump load right below its tap, where it is fitted: where its line goes on, and how low it is."""
    # A step aside: the words of what hangs before the tap reach up to its line.
    x, top = tap[0] + 2.5, low - 3.0
    board.line(tap, (tap[0], top), (x, top))
    board.parts += _symbol(fuse, design)((x, top - HALF), False)
    told = tuple(f.replace("from the battery", "from the battery by the sheet") for f in fuse.facts)
    named = replace(
        fuse, facts=(*told, "at the tap"), device=replace(fuse.device, name=f"{fuse.device.name}, dump load")
    )
    return (x, top - 2 * HALF), board.told((x + 3.5, top), named, COLUMN - 5.0)


def _columns(count: int) -> tuple[int, float]:
    """How many devices stand in a row, rows alike, and how wide they are."""
    per_row = math.ceil(count / math.ceil(count / MOST))
    return per_row, max(WIDE, per_row * COLUMN)


def _mast_earth(board: Slate, h: Hung, at: Point) -> None:
    x, y = at[0] + 6.0, at[1]
    board.line((x, y + 6.0), (x, y), pen=Pen.CUT)
    board.words((x + 2.0, y + 3.0), "mast", FACT)
    draw = symbols.missing if h.lacking else symbols.earth if UNSTATED not in h.facts[:1] else symbols.unknown
    board.parts += draw((x, y - HALF), False)
    board.told((at[0], y - 11.0), h, COLUMN - 3.0)


def _in_row(board: Slate, h: Hung, design: Design, at: Point, end: Point) -> float:
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


def _zone(board: Slate, devices: list[Hung], i: int, at: Point, design: Design) -> None:
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
        board.words((x, y), "BATTERY END" if has_store(design) else "AT THE LOAD", NAME)


@dataclass(frozen=True)
class _Free:
    """Room below the lanes: how low all and those left of the house reach, how wide all are and those."""

    low: float
    low_left: float
    wide: float
    wide_left: float


def _lower(
    board: Slate, found: _Sorted, design: Design, tap: Point | None, end: Point, fused: bool
) -> _Free:  # fmt: skip
    """The battery's bus with what hangs on it, and the dump load; ``fused`` where its fuse is drawn at the tap."""
    # The fuse of what is tapped off in the row above is drawn there.
    lanes = [("dump", lane[1:] if tap is not None and fused and n == 0 else lane) for n, lane in enumerate(found.dumps)]
    lanes += [("battery", found.storage), *(("loads", lane) for lane in found.loads), ("house", found.house)]
    lanes = [(kind, lane) for kind, lane in lanes if lane]
    right, low = end
    across = sum(_LANES[kind] for kind, _ in lanes)
    stretch = max(min(1.0, _WIDEST / across), right / across)
    bus, x, left = low - _TO_BUS, 0.0, low
    tops: list[tuple[float, str]] = []
    for kind, lane in lanes:
        wide = _LANES[kind] * stretch
        tops.append((x + _RUN, kind))
        # What hangs behind the battery's switch begins below it.
        top = bus - 8.0 - (_STEP + 3.0 if kind == "dump" and found.behind_switch else 0.0)
        below = _lane(board, lane, design, (x, top), wide)
        far = x + wide
        if kind == "house":
            break
        left, x = min(left, below), far
    hung = [at for at, kind in tops if kind != "dump"]
    _bus(board, found, design, (hung[0], bus), max(far, right))
    for at in hung:
        board.line((at, bus), (at, bus - 8.0))
    for at in (at for at, kind in tops if kind == "dump"):
        if tap is not None:
            board.line(tap, (tap[0], low - 5.0), (at, low - 5.0), (at, bus - 8.0))
        else:
            down = bus - 8.0 - _STEP - 0.5
            board.line((hung[0], down), (at, down), (at, down - 2.5))
            board.parts.append(Circle((hung[0], down), 0.7, Pen.CUT))
    return _Free(min(left, below), left, max(far, right), x)


def _bus(board: Slate, found: _Sorted, design: Design, left: Point, right: float) -> None:
    """The thick line to which all on the battery's side is joined, or all that hangs on the line without one."""
    x, y = left
    for lift in (-0.25, 0.0, 0.25):
        board.line((x, y + lift), (right, y + lift), pen=Pen.CUT)
    board.words((x + 3.0, y - 3.6), _bus_name(found, design), NAME)


def _bus_name(found: _Sorted, design: Design) -> str:
    if not found.stored:
        free = next((f for h in found.machine for f in h.facts if f.startswith("nothing connected")), "")
        kind = "DIRECT CURRENT" if has_rectifier(design) else "THE GENERATOR'S LEADS, ALTERNATING CURRENT"
        return f"{kind}, NO BATTERY{f'; {free}' if free else ''}"
    volts = design.get(Sheet.storage.voltage)
    told = "voltage ?" if volts is None else Sheet.storage.voltage.text(volts)
    battery = next(h for h in found.storage if h.device.kind == "battery")
    up_to = next((f for f in battery.facts if f.startswith("up to")), "")
    return ", ".join(filter(None, [f"BATTERY BUS: {told} DC", up_to]))


def _lane(board: Slate, lane: list[Hung], design: Design, at: Point, wide: float) -> float:
    """Devices one below the other, words to their right; how far down they reach."""
    x, y = at[0] + _RUN, at[1]
    for i, h in enumerate(lane):
        draw = _neutral(design) if h.device.kind == "neutral" else _symbol(h, design)
        board.parts += draw((x, y - HALF), False)
        end = board.told((at[0] + _SAID, y), h, min(wide - _SAID - 3.0, _READ))
        below = min(y - _STEP, end - 2.0)
        if i + 1 < len(lane) and lane[i + 1].device.kind != "apart":
            board.line((x, y - 2 * HALF), (x, below))
        y = below
    return y


def _dangers_below(board: Slate, free: _Free) -> tuple[str, ...]:
    """What the dangers are, in full: beside a long lane of the house, or below all; where they have no room, notes."""
    if not board.dangers:
        return ()
    below, beside = Slate(dangers=board.dangers), Slate(dangers=board.dangers)
    low = _in_full(below, free.low - 2.0, free.wide)
    low_beside = _in_full(beside, free.low_left - 6.0, free.wide_left - 8.0)
    high = max(y for part in board.parts for _, y in extent(part)) - min(free.low, max(low, low_beside))
    if high > _HIGHEST:
        return tuple(_whole(n, weak) for n, weak in enumerate(board.dangers, 1))
    board.parts += (beside if low_beside > low else below).parts
    return ()


def _whole(n: int, weak: Weak) -> str:
    return f"DANGER {n}, {weak.title}: {weak.says}"


def _in_full(board: Slate, y: float, wide: float) -> float:
    for n, weak in enumerate(board.dangers, 1):
        end = board.paragraph((7.0, y), _whole(n, weak), _EVEN * wide)
        board.parts += symbols.warning((3.0, y - 4.4), 3.8)
        y = min(end, y - 4.6) - 0.8
    return y
