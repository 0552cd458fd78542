"""What is still to be bought for a revision: what its sheet needs, less what is at hand, and what the checks say of it.

A part strikes a line off only if every number asked for is written of it. Where one is not, it is to be looked at
first: a fuse of unknown voltage is not the fuse. Where a check fails, and something that puts it right is known, the
size of that is asked for instead of the one on the sheet.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Any

from sqlmodel import Session

from calc.finding import Finding, Status
from calc.machine.buying import Needed, Rated, needed
from calc.machine.design import Design
from calc.machine.diagram import UNSTATED, devices
from calc.machine.entry import Entry
from calc.physics.wiring import awg_area
from calc.wording import number_of
from journal.book import parts
from journal.book.records import find_revision
from journal.book.tables import Part, Revision
from journal.review import verdict
from journal.review.buying_asks import AsksOfThings, SizesAsked
from journal.review.wired import ON, Hung, Weak, everything

#: What became of a part that is still at hand.
_AT_HAND = ("in use", "carried on", "spare")
#: Rules that judge what does not hang on the wires.
_JUDGED = ON | {
    "blades": ("blade.root-strength", "blade.stress", "blade.fatigue", "blade.condition", "blade.tip-clearance"),
    "bolts": ("hub.bolts",), "plate": ("hub.plate",), "tail": ("tail.vane", "yaw.tail-size"), "boom": ("tail.boom",),
    "mast": ("mast.tube-strength", "mast.height"), "guy rope": ("guy.rope",), "clips": ("guy.clips",),
    "turnbuckle": ("guy.turnbuckle",), "gin pole": ("raising.gin", "raising.bending"),
    "yaw bearing": ("yaw.bearing",), "controller": ("dump.controller", "dump.controller-voltage"),
    "inverter": (*ON["inverter"], "inverter.surge", "inverter.wave"),
    "battery switch": ("protection.switches",), "connectors": ("protection.polarity",),
    "battery": (*ON["battery"], "storage.starter", "storage.reused"),
}  # fmt: skip
#: Devices that are joined, not bought; a cable run has its line as soon as it has its name.
_NOT_BOUGHT = ("neutral", "house", "field", "cable")
#: Words of a part's name or role by the thing that it may be, and words that say it is another.
_CALLED = {
    "blades": (r"\bblades?\b|\bpipe\b", ""),
    "bolts": (r"\bbolts?\b", "clamp|anchor"),
    "plate": (r"\bhub plates?\b|\bclamp plates?\b", ""),
    "packers": (r"\bpackers?\b|\bsaddles?\b", ""),
    "generator": (r"\bgenerator\b|\balternator\b|\bmotor\b|\bdynamo\b", "switch"),
    "drive": (r"\bbelt\b|\bchain\b|\bgears?\b|\bgearbox\b|\bpulleys?\b", ""),
    "tail": (r"\btail\b|\bvane\b", ""),
    "boom": (r"\btail\b|\bboom\b", ""),
    "yaw bearing": (r"\bbearings?\b", "shaft"),
    "mast": (r"\bmast\b|\btower\b", ""),
    "guy rope": (r"\bguys?\b", "clip|turnbuckle|anchors? for"),
    "clips": (r"\bclips?\b|\bgrips?\b", ""),
    "turnbuckle": (r"\bturnbuckles?\b|\brigging screws?\b", ""),
    "gin pole": (r"\bgin\b", ""),
    "brake": (r"\bbrake\b|\bshorting\b", ""),
    "rectifier": (r"\brectifier\b|\bbridge\b", ""),
    "converter": (r"\bconverter\b|\bmppt\b|\bbuck\b", ""),
    "switch": (r"\bgenerator switch\b", ""),
    "surge": (r"\bsurge\b|\barresters?\b|\bspd\b", ""),
    "cable": (r"\bcables?\b|\bwire\b", "lug|gland|tie|guy|earth"),
    "fuse": (r"\bfuses?\b|\bbreaker\b", r"\bmain\b|blown"),
    "main fuse": (r"\bmain fuse\b|\bclass t\b", ""),
    "battery switch": (r"\bbattery switch\b|\bisolator\b", ""),
    "battery": (r"\bbattery\b|\bbatteries\b|\bstorage\b|\bcells\b", "switch|box|cable|connector|monitor"),
    "dump": (r"\bdump\b", ""),
    "loads": (r"\blamps?\b|\bbulbs?\b|\bheaters?\b|\bresistors?\b|\bheating element\b", "dump"),
    "controller": (r"\bcontroller\b|\brelay\b", ""),
    "connectors": (r"\bconnectors?\b", ""),
    "earth": (r"\bearth (?:rod|electrode|wire)\b|\bground rod\b", ""),
    "inverter": (r"\binverter\b", "cable"),
    "rcd": (r"\brcd\b|\bgfci\b|\bresidual", ""),
    "house": (r"\btransfer switch\b|\bchangeover\b", ""),
}
_AMOUNT = re.compile(
    r"(?<![\w.,])(\d+(?:[.,]\d+)?)\s*"
    r"(mm2|mm²|sq\.? ?mm|mm|m|kA|A|kV|V|kW|W|Ah|rpm/V|rpm per volt|ohms?|Ω|AWG|N|kN)(?![\w²])",
    re.IGNORECASE,
)
_PAIR = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:mm)?\s*[x×]\s*(\d+(?:[.,]\d+)?)\s*(?:mm)?(?![\w²2])")
#: A thread, and what tells that a part counted as one may be several.
_THREAD = re.compile(r"(?<!\w)M(\d+)(?!\w)")
_PLURAL = re.compile(r"s\b|\b(?:set|pair|box|bag)\b", re.IGNORECASE)
#: In which unit of the sheet what is written on a part counts, and how many of it.
_COUNTS = {
    "mm2": ("mm2", 1.0), "mm²": ("mm2", 1.0), "sqmm": ("mm2", 1.0), "sq.mm": ("mm2", 1.0), "mm": ("mm", 1.0),
    "m": ("m", 1.0), "ka": ("A", 1000.0), "a": ("A", 1.0), "kv": ("V", 1000.0), "v": ("V", 1.0), "kw": ("W", 1000.0),
    "w": ("W", 1.0), "ah": ("Ah", 1.0), "rpm/v": ("rpm/V", 1.0), "rpmpervolt": ("rpm/V", 1.0), "ohm": ("ohm", 1.0),
    "ohms": ("ohm", 1.0), "ω": ("ohm", 1.0), "n": ("N", 1.0), "kn": ("N", 1000.0),
}  # fmt: skip
#: How far two numbers of one size may lie apart: what is sold and what was typed are rounded.
_ALIKE = 0.02


_FAILING = (Status.DANGER, Status.FAIL)
#: What is bought before all else: what stops, parts, fuses and earths.
_GUARDS = frozenset({"brake", "switch", "surge", "fuse", "main fuse", "battery switch", "dump", "controller",
                     "connectors", "earth", "rcd"})  # fmt: skip


class AtHand(StrEnum):
    """Whether a thing must still be bought."""

    BUY = "buy"
    LOOK = "at hand, look first"
    HAVE = "at hand"


@dataclass(frozen=True)
class ShoppingLine:
    """One thing that the sheet needs, and how it stands.

    Parameters
    ----------
    needed : Needed
        What it is.
    standing : AtHand
        Whether it must still be bought.
    part : Part or None
        What is at hand of it.
    look : tuple of str
        What is not said of that part and must be looked at.
    unfit : tuple of str
        Why other parts at hand will not do.
    against : tuple of Weak
        What the checks say against it as the sheet has it.
    holds : Needed or None
        The same with the sizes that hold, where a check asks for others than the sheet has.
    asks : tuple of str
        What else to do, or what these sizes come with, as the checks say.
    rather : tuple of str
        What checks would also have of it, and what is not taken up, for without it the thing has only less reserve.
    told : bool
        Whether what was paid for the part stands at another line already.
    """

    needed: Needed
    standing: AtHand
    part: Part | None
    look: tuple[str, ...]
    unfit: tuple[str, ...]
    against: tuple[Weak, ...]
    holds: Needed | None = None
    asks: tuple[str, ...] = ()
    rather: tuple[str, ...] = ()
    told: bool = False

    @property
    def asked(self) -> Needed:
        """What is to be bought: with the sizes that hold."""
        return self.holds or self.needed

    @property
    def price(self) -> float | None:
        """What it costs by the sheet; a price per metre is that of the section on the sheet, and of no other."""
        area = [r for r in self.needed.rated if r.unit == "mm2"]
        same = all(r in self.asked.rated for r in area)
        return self.asked.price if same else None

    @property
    def first(self) -> bool:
        """Whether it stops, parts, fuses or earths, and is bought before what it guards."""
        return self.needed.kind in _GUARDS


@dataclass(frozen=True)
class Shopping:
    """All of it.

    Parameters
    ----------
    revision : Revision
        For which.
    lines : list of ShoppingLine
        From the rotor down to the house.
    absent : list of Hung
        What the sheet says there is none of, with what the checks say to that.
    dangers : list of Finding
        What can hurt people as the sheet stands.
    others : list of Part
        Parts at hand that were not recognised as any of these things.
    unstated : list of tuple of str and Entry
        What the machine may need, and the sheet says nothing of: its name, and what would tell of it first.
    also : list of tuple of str and tuple of str
        What the checks ask for that is on no line, in words, and the things that it brings, if any is known.
    """

    revision: Revision
    lines: list[ShoppingLine]
    absent: list[Hung]
    dangers: list[Finding]
    others: list[Part]
    unstated: list[tuple[str, Entry[Any]]] = field(default_factory=list)
    also: list[tuple[str, tuple[str, ...]]] = field(default_factory=list)

    def standing(self, *of: AtHand) -> list[ShoppingLine]:
        """Lines that stand so."""
        return [line for line in self.lines if line.standing in of]

    @property
    def price(self) -> tuple[float, int]:
        """Price of what is to be bought as far as the sheet has it, and of how many lines it has none."""
        open_lines = self.standing(AtHand.BUY)
        known = [line.price for line in open_lines if line.price is not None]
        return sum(known), len(open_lines) - len(known)

    @property
    def mass(self) -> tuple[float, int]:
        """Mass of what is to be bought as far as it is known [kg], and of how many lines it is not."""
        open_lines = self.standing(AtHand.BUY)
        known = [line.asked.mass for line in open_lines if line.asked.mass is not None]
        return sum(known), len(open_lines) - len(known)


def shopping(session: Session, ref: str | None) -> Shopping:
    """What is to be bought for a revision; without a reference, for the newest."""
    of = find_revision(session, ref)
    review = verdict.check(session, of.ref, advise=True)
    lines = needed(review.sheet.design)
    held = at_hand(session, of)
    design = review.sheet.design
    matched, asks = match(lines, held), AsksOfThings(review)
    bought = asks.bought((line.needed, _counting(line, review.findings)) for line in matched)
    own = frozenset(p.number for p, _ in parts.on_revision(session, of))
    told = _paid_once([_judged(line, review.findings, asks, bought, own) for line in matched])
    used = {
        p.number for p in held for line in told
        if line.part is p or any(words.startswith(f"{p.ref} ") for words in line.unfit)
    }  # fmt: skip
    absent = [h for h in everything(review.system, review.findings) if h.lacking]
    others = [p for p in held if p.number not in used]
    return Shopping(of, told, absent, review.with_status(Status.DANGER), others, _unstated(design, lines),
                    asks.also())  # fmt: skip


def _unstated(design: Design, lines: Sequence[Needed]) -> list[tuple[str, Entry[Any]]]:
    """Devices of the diagram of which the sheet says nothing, so that no line of the list can tell what to buy."""
    listed = {(n.kind, n.run) for n in lines}
    found: dict[str, Entry[Any]] = {}
    for d in devices(design):
        for one in (*d.ahead, d):
            blank = all(UNSTATED in fact for fact in one.facts) and not one.lacking
            known = (one.kind, one.run) in listed or (not one.run and any(kind == one.kind for kind, _ in listed))
            if one.unstated and blank and not known and one.kind not in _NOT_BOUGHT:
                name = f"{one.name.lower()} of cable {one.run}" if one.kind == "fuse" and one.run else one.name
                found.setdefault(name.partition(":")[0], one.unstated[0])
    return list(found.items())


def at_hand(session: Session, of: Revision) -> list[Part]:
    """Parts of a revision that are neither broken nor gone, and what lies spare from others."""
    own = [(p, u) for p, u in parts.on_revision(session, of)]
    found = [p for p, u in own if u.fate in _AT_HAND]
    known = {p.number for p, _ in own}
    return [*found, *(p for p in parts.spare(session, of) if p.number not in known)]


def match(lines: Sequence[Needed], held: Sequence[Part]) -> list[ShoppingLine]:
    """Give each line the part at hand that serves best; a part serves one line of a kind."""
    pairs = []
    for i, line in enumerate(lines):
        for part in held:
            if is_called(line, part):
                wrong, unsaid, fits = compared(line, part)
                pairs.append((bool(wrong), -fits, len(unsaid), i, part, wrong, unsaid))
    taken: dict[int, tuple[Part, tuple[str, ...]]] = {}
    used: set[tuple[str, int]] = set()
    unfit: dict[int, list[str]] = {}
    serving = {pair[4].number for pair in pairs if not pair[0]}
    for bad, _, _, i, part, wrong, unsaid in sorted(pairs, key=lambda pair: (pair[:4], pair[4].number)):
        key = (lines[i].kind, part.number)
        if bad and part.number not in serving:
            unfit.setdefault(i, []).append(f"{part.ref} will not do: {', '.join(wrong)}")
        elif not bad and i not in taken and key not in used:
            taken[i] = part, unsaid
            used.add(key)
    return [_standing(line, taken.get(i), unfit.get(i, [])) for i, line in enumerate(lines)]


def _standing(line: Needed, found: tuple[Part, tuple[str, ...]] | None, unfit: list[str]) -> ShoppingLine:
    if found is None:
        return ShoppingLine(line, AtHand.BUY, None, (), tuple(unfit), ())
    part, unsaid = found
    return ShoppingLine(line, AtHand.LOOK if unsaid else AtHand.HAVE, part, unsaid, (), ())


def is_called(line: Needed, part: Part) -> bool:
    """Whether a part's name or role is that of such a thing."""
    return _called(line, f"{part.role or ''} {part.name}")


def _called(line: Needed, told: str) -> bool:
    called, but = _CALLED[line.kind]
    told = told.casefold()
    return re.search(called, told) is not None and not (but and re.search(but, told))


def amounts(part: Part) -> dict[str, list[float]]:
    """The numbers that are written of a part, by unit; sizes such as ``60.3 x 3.0`` are millimetres."""
    found: dict[str, list[float]] = {}
    told = " ".join(filter(None, [part.name, part.rating]))
    for number, unit in _AMOUNT.findall(told):
        value, plain = float(number.replace(",", ".")), re.sub(r"\s", "", unit.casefold())
        if plain == "awg":
            found.setdefault("mm2", []).append(awg_area(int(value)) * 1e6)
        else:
            to, times = _COUNTS[plain]
            found.setdefault(to, []).append(value * times)
    found.setdefault("mm", []).extend(float(n) for n in _THREAD.findall(told))
    for pair in _PAIR.findall(told):
        found.setdefault("mm", []).extend(float(n.replace(",", ".")) for n in pair)
    return found


def compared(line: Needed, part: Part) -> tuple[tuple[str, ...], tuple[str, ...], int]:
    """What of a part is wrong, what is not said of it, and how many numbers fit."""
    head = f"{part.role or ''} {re.split(r' with | and ', part.name)[0]}"
    # Of what only comes with something else the numbers of that tell nothing.
    told = amounts(part) if _called(line, head) else {}
    # A blade that is cut tells no more of its pipe than its size.
    cut = line.kind == "blades" and part.condition == "made"
    asked = [r for r in line.rated if not (cut and r.what != "outside")]
    wrong, unsaid, fits = [], [], 0
    for r in asked:
        written = told.get(r.unit, [])
        if r.value is None:
            unsaid.append(f"{r.what or 'rating'} (not on the sheet)".strip())
        elif any(_does(r, value) for value in written):
            fits += 1
        elif written and _tells(r, line.rated, written):
            wrong.append(f"{_numbers(written, r.unit)}, {r.says} is wanted")
        else:
            unsaid.append(f"{r.says}")
    if part.quantity < line.count:
        _count(line, part, wrong, unsaid)
    return tuple(wrong), tuple(unsaid), fits


def _count(line: Needed, part: Part, wrong: list[str], unsaid: list[str]) -> None:
    """Whether there are enough; a part counted as one may be a set, as its name tells, or is to be looked at."""
    number = re.match(r"(\d+)\s", part.name)
    many = float(number[1]) if number and part.quantity == 1.0 else part.quantity
    if many >= line.count:
        return
    if number is None and part.quantity == 1.0 and _PLURAL.search(part.name):
        unsaid.append(number_of(line.count, "piece"))
    else:
        wrong.append(f"{many:g}, {line.count:g} are wanted")


def _does(r: Rated, written: float) -> bool:
    assert r.value is not None
    short = written < r.value * (1.0 - _ALIKE / 4.0)
    return not short if r.least else abs(written / r.value - 1.0) <= _ALIKE if r.value else written == 0.0


def _tells(r: Rated, every: Iterable[Rated], written: Sequence[float]) -> bool:
    """Whether what is written must mean this number: more of its kind are written than the others account for."""
    others = [o for o in every if o is not r and o.unit == r.unit and o.value is not None]
    accounted = sum(any(_does(o, value) for value in written) for o in others)
    return len(set(written)) > accounted


def _numbers(written: Sequence[float], unit: str) -> str:
    return f"{' and '.join(f'{value:g}' for value in dict.fromkeys(written))} {unit}".strip()


def _counting(line: ShoppingLine, findings: Sequence[Finding]) -> list[Finding]:
    """What counts against a thing; what lies there already and holds, only without the whole reserve, is not bought."""
    found = _against(line.needed, findings)
    return [f for f in found if line.part is None or f.over or f.status is not Status.MARGINAL]


def _judged(
    line: ShoppingLine, findings: Sequence[Finding], asks: AsksOfThings, bought: SizesAsked, fitted: frozenset[int]
) -> ShoppingLine:
    """With what the checks say against the thing as the sheet has it, and the sizes that hold.

    Of parts that are fitted, by their numbers, the sheet tells what they are.
    """
    of = line.needed
    found, own = _against(of, findings), _counting(line, findings)
    holds, total = asks.holding(of, own, bought)
    told = tuple(
        Weak(f.status, f.title if of.run else verdict.headline(f), f.over, f.says)
        for f in found
        if f.status is not Status.MARGINAL or f.over
    )
    says = tuple(dict.fromkeys([*total.says, *asks.acts(of, own)]))
    line = replace(
        line, against=tuple(dict.fromkeys(told)), holds=holds, asks=says, rather=asks.rather(of, found, total)
    )
    return _with_part(line, any(f.status in _FAILING for f in found), fitted)


def _against(of: Needed, findings: Sequence[Finding]) -> list[Finding]:
    """Findings about a thing that are not well, worst first."""
    rules = ON[of.kind] if of.kind in ("cable", "fuse") else _JUDGED.get(of.kind, ())
    bad = [
        f
        for f in findings
        if f.rule in rules
        and (f.status in (Status.DANGER, Status.FAIL, Status.MARGINAL) or f.deadly)
        and (of.kind not in ("cable", "fuse") or f.subject == f"cable.{of.run}")
        and (of.kind != "loads" or f.subject == of.name.replace(" ", ".", 1))
    ]
    return sorted(bad, key=lambda f: f.rank)


def _with_part(line: ShoppingLine, failing: bool, fitted: frozenset[int]) -> ShoppingLine:
    """What fails a check is bought, whatever lies there of it; what is over its limit is looked at."""
    if line.part is None:
        return line
    over = any(w.over for w in line.against)
    wrong, unsaid, _ = compared(line.asked, line.part) if failing or over or line.holds else ((), line.look, 0)
    if line.part.number in fitted:
        wrong = (*wrong, *_by_sheet(line, unsaid))
    if wrong or failing:
        why = ", ".join(wrong) or "it fails a check"
        unfit = (*line.unfit, f"{line.part.ref} {line.part.name} will not do: {why}")
        return replace(line, standing=AtHand.BUY, part=None, look=(), unfit=unfit)
    return replace(line, standing=AtHand.LOOK if unsaid or over else line.standing, look=tuple(unsaid))


def _by_sheet(line: ShoppingLine, unsaid: Sequence[str]) -> Iterator[str]:
    """Of numbers that a part's name does not tell those that the sheet has, and that will not do."""
    had = {r.called: r for r in line.needed.rated}
    for r in line.asked.rated:
        one = had.get(r.called)
        if r.says in unsaid and r.value is not None and one and one.value is not None and not _does(r, one.value):
            yield f"{one.text} by the sheet, {r.says} is wanted"


def _paid_once(lines: Sequence[ShoppingLine]) -> list[ShoppingLine]:
    """Lines of which only the first that is shown tells what was paid for its part."""
    order = sorted(range(len(lines)), key=lambda i: list(AtHand).index(lines[i].standing))
    seen: set[int] = set()
    again: set[int] = set()
    for i in order:
        if (part := lines[i].part) is not None:
            (again if part.number in seen else seen).add(i if part.number in seen else part.number)
    return [replace(line, told=i in again) for i, line in enumerate(lines)]
