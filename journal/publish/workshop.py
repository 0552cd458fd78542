"""What the workshop record tells of the machine that stands: nothing twice, and what is missing as a blank.

The first page is for whoever is licensed to work on the wiring: voltages, currents, fuses, what was tested and who
fitted what. Assumptions and sources are told once, numbered, and findings name their numbers.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import TYPE_CHECKING, Any

import numpy as np

from calc.evidence.electrical_tests import shortfall
from calc.finding import Finding, Source, Status
from calc.machine import currents
from calc.machine.battery import charge_top, fault_currents, has_battery
from calc.machine.catalogue import LABELLED, Sheet, split
from calc.machine.catalogue.wiring import FUSED_BY_RUN, NO_MAIN_FUSE
from calc.machine.drive import rotor_emf
from calc.machine.inputs import Inputs, Unknown
from calc.machine.storm import unloaded_in_storm
from calc.physics import generator, protection
from calc.quantities import ELECTRICAL_TESTS, QUANTITIES
from calc.units import as_written, digits, rounded_up, show, show_up, with_unit
from journal.book.days import latest, order
from journal.publish.numbers import MachineTold
from journal.publish.redact import Redacted
from journal.publish.standing import HowItStands, standing
from journal.review.counsel import ByCause
from journal.review.verdict import headline
from journal.review.wording import lower_first

if TYPE_CHECKING:
    from calc.machine.entry import Entry
    from journal.publish.story import Chapter, Figure, Story

#: Subjects of rules that are an electrician's, by how their names begin; of the rotor only how it is stopped.
_ELECTRICAL = ("generator.touch-voltage", "generator.storm-voltage", "protection.", "wiring.", "storage.", "dump.",
               "inverter.", "house.", "converter.", "loads.", "rotor.brake", "rotor.dump-holds")  # fmt: skip
#: Words by which a part is known to belong to the wiring.
_WIRING = ("generator", "motor", "alternator", "rectif", "cable", "wire", "wiring", "batter", "storage", "dump",
           "controller", "inverter", "switch", "brake", "fuse", "breaker", "earth", "ground", "surge", "arrester",
           "transfer", "residual", "rcd", "gfci", "socket", "plug", "box", "electr", "meter", "load", "lamp", "light",
           "diode", "converter")  # fmt: skip
#: The band of :func:`calc.physics.protection.band` in which a shock can kill.
_KILLS = 2
#: What gives way by what the free rotor, or the shorted generator, may come to: that is the value that is judged, or
#: the limit of what has to bear it. It warns, and is rounded up as everywhere on the page.
_COMES_AS_VALUE = ("generator.touch-voltage", "generator.storm-voltage")
_COMES_AS_LIMIT = ("protection.surge", "protection.brake-switch", "neighbour.throw")
#: Of these it is the peaks that count, more than what is read behind the rectifier.
_PEAKS = ("generator.storm-voltage", "protection.surge")
#: Names of the sheet, in brackets behind what they are.
_NAMES = re.compile(r" \([a-z]\w*(?:\.\w+)+\)")
#: Predictions of which a yes or no came before a score says anything. Own choice.
SCORED_FROM = 5


@dataclass(frozen=True)
class Fact:
    """What stands in a line: what it is of, and what is known of it, empty where that is a blank."""

    what: str
    known: str


@dataclass(frozen=True)
class RunTold:
    """A cable run with its fuse, in words; what is not known is empty."""

    name: str
    size: str
    carries: str
    may: str
    fuse: str
    breaks: str
    at: str


@dataclass(frozen=True)
class ElectricalTest:
    """An electrical test: what is read, its unit, and the readings on record, the newest first.

    With each stands why it is not what a standard asks for, nothing where it is.
    """

    meaning: str
    unit: str
    read: list[tuple[Any, str]]


@dataclass(frozen=True)
class WeakSpot:
    """A weak spot in words alone: how bad, what it is, what was found, and what the check asks for."""

    status: str
    title: str
    says: str
    asks: str


@dataclass(frozen=True)
class FirstPage:
    """The page for whoever works on the wiring."""

    volts: list[Fact]
    shorts: list[Fact]
    runs: list[RunTold]
    stops: list[Fact]
    weak: list[WeakSpot]
    close: list[Finding]
    unknown: list[Finding]
    tests: list[ElectricalTest]
    fitted: list[tuple[Any, Any]]

    @property
    def failed(self) -> list[tuple[str, Any, str]]:
        """Tests whose newest reading is not what a standard asks for: what was read, the reading, and why."""
        return [(t.meaning, *t.read[0]) for t in self.tests if t.read and t.read[0][1]]


@dataclass(frozen=True)
class FindingLine:
    """A finding in a line: its number against its limit, what is left of that, and what it rests on.

    ``notes`` are numbers of assumptions and sources in a row, each first and last.
    """

    finding: Finding
    title: str
    found: str
    limit: str
    margin: str
    notes: list[tuple[str, str]]

    @property
    def plain(self) -> bool:
        """Whether it has no number."""
        return not self.found

    @property
    def short(self) -> str:
        """What is said where there is no number, and more to say than its status."""
        f = self.finding
        if self.found:
            return ""
        if f.status is Status.UNKNOWN:
            return f"missing: {', '.join(f.missing)}" if f.missing else f.first
        return "" if f.status in (Status.OK, Status.STATED) else f.first


@dataclass(frozen=True)
class Document:
    """Sources of one document: their numbers, each with its place in it."""

    title: str
    places: list[tuple[str, str]]


class Notes:
    """Numbers of assumptions and sources, in the order in which findings first name them."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        self._assumed: dict[str, str] = {}
        self._sources: dict[Source, str] = {}
        for f in findings:
            for text in f.assumptions:
                self._assumed.setdefault(text, f"a{len(self._assumed) + 1}")
            for source in f.sources:
                self._sources.setdefault(source, f"s{len(self._sources) + 1}")

    @property
    def assumed(self) -> list[tuple[str, str]]:
        """Number and words of each assumption."""
        return [(number, text) for text, number in self._assumed.items()]

    @property
    def sources(self) -> list[Document]:
        """The sources, those of one document together."""
        documents: dict[str, list[tuple[str, str]]] = {}
        for source, number in self._sources.items():
            title, place = _parted(source)
            documents.setdefault(title, []).append((number, place))
        return [Document(title, places) for title, places in documents.items()]

    def of(self, f: Finding) -> list[tuple[str, str]]:
        """What a finding rests on, numbers in a row told by the first and the last of them."""
        assumed = {int(self._assumed[a][1:]) for a in f.assumptions}
        sources = {int(self._sources[s][1:]) for s in f.sources}
        return [*_ranges("a", assumed), *_ranges("s", sources)]


def _parted(source: Source) -> tuple[str, str]:
    """The document of a source, and in words the rest of it: its place and how it was read."""
    said = str(source)
    rest = said.removeprefix(source.title).strip(" ,")
    return source.title, rest


def _ranges(letter: str, numbers: set[int]) -> Iterator[tuple[str, str]]:
    runs = groupby(enumerate(sorted(numbers)), key=lambda pair: pair[1] - pair[0])
    for _, run in runs:
        some = [number for _, number in run]
        yield f"{letter}{some[0]}", f"{letter}{some[-1]}"


def for_workshop(told: Redacted) -> dict[str, Any]:
    """What the workshop's page sees beside the story."""
    story = told.story
    c = story.standing or story.newest
    if c is None:
        return {"c": None}
    notes = Notes(c.review.findings)
    rows = [_row(f, notes) for f in c.review.findings]
    return {
        "c": c,
        "stands": story.standing is not None,
        "state": standing(c),
        "first": _first_page(c, told.machines[c.revision.ref]),
        "to_do": _to_do(c),
        "tested": {m.ref for name in ELECTRICAL_TESTS for m in _read(name, c)},
        "rows": [r for r in rows if not r.finding.of_reading],
        "readings": [r for r in rows if r.finding.of_reading],
        "values": _by_group(c.sheet),
        "assumed": notes.assumed,
        "sources": notes.sources,
        "retired": [_retired(other, story) for other in story.chapters if _before(other, c)],
        "drafts": [d for d in story.planned if d is not c],
        "scores": [s for s in story.predictions.scores if s.count >= SCORED_FROM],
    }


def _to_do(c: Chapter) -> list[ByCause]:
    """What is to be done first, by cause; then what no single change settles, and what is not known and can kill."""
    found = list(c.review.groups)
    told = {g.lead.key for g in found}
    named = {title for g in found for title in g.also}
    wrong = [*c.findings("danger"), *c.review.deadly, *c.findings("fail")]
    left = [f for f in wrong if f.key not in told and not {lower_first(f.title), lower_first(headline(f))} & named]
    return found + [ByCause(f, (), f.remedies[0].says if f.remedies else f.remedy) for f in left]


def _before(other: Chapter, c: Chapter) -> bool:
    return bool(other.revision.number < c.revision.number)


def _row(f: Finding, notes: Notes) -> FindingLine:
    def shown(value: float | None, warning: tuple[str, ...]) -> str:
        if value is None:
            return ""
        peak = " peak" if f.rule in _PEAKS and f.rule in warning else ""
        # What a part is rated for stands on it, and is not rounded.
        rated = f.rule in _COMES_AS_LIMIT and f.rule not in warning
        told = digits(rounded_up(value, 2), 2) if f.rule in warning else digits(value, 3 if rated else 2)
        return with_unit(told, f.unit) + peak

    title = headline(f)
    found, limit = shown(f.value, _COMES_AS_VALUE), shown(f.limit, _COMES_AS_LIMIT)
    if found == limit and f.value is not None and f.limit is not None and f.value != f.limit:
        # What falls short by a little is seen to.
        found, limit = (with_unit(digits(v, 3), f.unit) for v in (f.value, f.limit))
    margin = "" if f.margin is None or not np.isfinite(f.margin) else f"{_signed(100.0 * f.margin)} %"
    return FindingLine(f, title, found, limit, margin, notes.of(f))


def _signed(percent: float) -> str:
    """A share that is left, with as many digits as anybody needs of it."""
    if abs(percent) >= 1000.0:
        return "over 1000" if percent > 0 else "below -1000"
    return digits(round(percent), 2)


def _by_group(figures: Sequence[Figure]) -> list[tuple[str, list[Figure]]]:
    """Values of the sheet by what they are about."""

    def group(figure: Figure) -> str:
        label = split(figure.path)[1]
        name = figure.path.partition(".")[0]
        return f"{name} {label}" if name in LABELLED and label else name

    found: dict[str, list[Figure]] = {}
    for figure in figures:
        label = split(figure.path)[1]
        # The label stands above, once for all.
        plain = replace(figure, meaning=figure.meaning.removesuffix(f" ({label})"))
        found.setdefault(group(figure), []).append(plain)
    return [(f"{name[0].upper()}{name[1:]}", some) for name, some in found.items()]


def _first_page(c: Chapter, machine: MachineTold) -> FirstPage:
    x = machine.system.inputs()
    electrical = [f for f in c.review.findings if f.rule.startswith(_ELECTRICAL)]
    return FirstPage(
        volts=list(_volts(x, c, machine)),
        shorts=list(_shorts(x, c)),
        runs=[_run(c, machine, label) for label in c.design.labels(Sheet.cable)],
        stops=list(_stops(c)),
        weak=[_spot(f) for f in electrical if f.status in (Status.DANGER, Status.FAIL) or f.deadly or f.over],
        close=[f for f in electrical if f.status is Status.MARGINAL and not f.over],
        unknown=[f for f in electrical if f.status is Status.UNKNOWN and not f.deadly],
        tests=[_tested(name, c, machine) for name in ELECTRICAL_TESTS],
        fitted=[(p, use) for p, use in c.parts if is_wiring(p)],
    )


def _spot(f: Finding) -> WeakSpot:
    asks = (f.remedies[0].says if f.remedies else f.remedy) if f.over else ""
    status = "not known, and it can kill" if f.deadly else "over its limit" if f.over else str(f.status)
    return WeakSpot(status, headline(f), _NAMES.sub("", f.first), _NAMES.sub("", asks))


def is_wiring(part: Any) -> bool:
    """Whether a part belongs to the wiring, by its role, or by its name where it has none."""
    said = (part.role or part.name or "").casefold()
    return any(word in said for word in _WIRING)


def _text(c: Chapter, entry: Entry[Any]) -> str:
    value = c.design.get(entry)
    return "" if value is None else entry.text(value)


def _volts(x: Inputs, c: Chapter, machine: MachineTold) -> Iterator[Fact]:
    if has_battery(x):
        yield Fact("Battery, nominal", _text(c, Sheet.storage.voltage))
        top = charge_top(x)
        yield Fact("Battery, at the end of charge", "" if top is None else show(top, "V"))
    yield Fact("Generator with nothing connected, in the strongest gust, rectified", _free(machine, _rectified))
    if c.design.get(Sheet.generator.phases) != "DC with brushes":
        peaks = None if machine.solved is None else unloaded_in_storm(x)
        known = "" if peaks is None else show_up(float(np.asarray(peaks.peak)), "V", 2)
        yield Fact("Its peaks, for rectifier and surge arresters", known)
        yield Fact("The same between two of its leads, alternating", _free(machine, _between_leads))


def _free(machine: MachineTold, volts: Callable[[MachineTold], Any]) -> str:
    """A voltage of the free rotor, rounded up, for it warns."""
    found = _volts_of(machine, volts)
    if not np.isfinite(found):
        return ""
    return f"{show_up(found, 'V', 2)}{': it can kill' if _kills(found, volts) else ''}"


def _volts_of(machine: MachineTold, volts: Callable[[MachineTold], Any]) -> float:
    return np.nan if machine.solved is None else float(np.asarray(volts(machine)))


def _kills(found: float, volts: Callable[[MachineTold], Any]) -> bool:
    return int(np.asarray(protection.band(found, alternating=volts is _between_leads))) == _KILLS


def _extra_low(machine: MachineTold) -> bool:
    """Whether its wires stay extra-low in every storm, as far as that is known."""
    found = [(_volts_of(machine, volts), volts) for volts in (_rectified, _between_leads)]
    return all(np.isfinite(V) and not _kills(V, volts) for V, volts in found)


def _rectified(machine: MachineTold) -> Any:
    return machine.solved.V_free if machine.solved else np.nan


def _between_leads(machine: MachineTold) -> Any:
    x = machine.system.inputs()
    if machine.solved is None or x.lacks(Sheet.generator.emf_constant):
        return np.nan
    k = generator.emf_between_leads(rotor_emf(x), x.generator.emf_form, x.generator.phases)
    return machine.solved.omega_free * k


def _shorts(x: Inputs, c: Chapter) -> Iterator[Fact]:
    if has_battery(x):
        found = fault_currents(x, 0.0)
        known = "" if isinstance(found, Unknown) else f"up to {show_up(float(np.max(found[1])), 'A', 2)}"
        yield Fact("Battery shorted at its terminals", known)
    of = _brake_switch(c)
    shorted = "" if of is None or of.limit is None else f"up to {show_up(of.limit, of.unit, 2)} in each lead"
    yield Fact("Generator shorted by its brake, at the most its tips should do", shorted)


def _brake_switch(c: Chapter) -> Finding | None:
    return next((f for f in c.review.findings if f.rule == "protection.brake-switch" and f.limit is not None), None)


def _run(c: Chapter, machine: MachineTold, label: str) -> RunTold:
    x = machine.system.inputs(label)
    flows = Unknown("") if x.lacks(Sheet.cable.carries[label]) else currents.run_current(x, label)
    held = Unknown("") if x.lacks(Sheet.cable.area[label]) else currents.run_capacity(x, label)
    fused = c.design.get(Sheet.cable.fused[label])
    size = [_text(c, Sheet.cable.length[label]), _text(c, Sheet.cable.area[label])]
    return RunTold(
        label,
        ", ".join(filter(None, size)),
        "" if isinstance(flows, Unknown) else flows.shown(),
        "" if isinstance(held, Unknown) else show(held.amps, "A", 2),
        _text(c, Sheet.cable.fuse[label]) or ("none" if fused is False else ""),
        _text(c, Sheet.cable.fuse_breaking[label]),
        _text(c, Sheet.cable.fuse_voltage[label]),
    )


def _stops(c: Chapter) -> Iterator[Fact]:
    said = c.design.get
    switch = said(Sheet.protection.battery_switch)
    about = [_text(c, Sheet.rotor.brake), _text(c, Sheet.protection.brake_place)]
    yield Fact("Stop the rotor", ", ".join(filter(None, about)))
    weak = _brake_switch(c)
    if weak is not None and weak.value is not None and weak.limit is not None and weak.status is not Status.OK:
        amps = show(weak.value, weak.unit, 3), show_up(weak.limit, weak.unit, 2)
        yield Fact("Only in light wind", "the switch is made for {}, and a fast rotor drives up to {}".format(*amps))
    yield Fact("Generator off", _text(c, Sheet.protection.generator_switch))
    stored = said(Sheet.storage.chemistry) != "none"
    steps = "stop and tie the rotor, then the battery: without it a turning rotor runs away"
    yield Fact("In this order", steps if stored else "stop and tie the rotor first")
    yield Fact("If the brake fails", "keep out of the rotor's reach until the wind drops (common practice, no source)")
    if not stored:
        return
    battery = (
        {True: "one switch within sight of it", False: "no switch"}.get(bool(switch), "") if switch is not None else ""
    )
    yield Fact("Battery off", battery)
    main = said(Sheet.protection.main_fuse)
    words = {NO_MAIN_FUSE: "none", FUSED_BY_RUN: "each cable has its own at the battery"}.get(
        str(main), str(main or "")
    )
    rated = _text(c, Sheet.protection.main_fuse_rating)
    yield Fact("Main battery fuse", ", ".join(filter(None, [words, rated])))


def _read(name: str, c: Chapter) -> list[Any]:
    """Readings of a test, the newest first."""
    every = [m for t in c.tried for m in t.read] + list(c.read_apart)
    read = [m for m in every if m.quantity == name and m.value is not None]
    return sorted(read, key=lambda m: order(m.taken), reverse=True)


def _tested(name: str, c: Chapter, machine: MachineTold) -> ElectricalTest:
    of, low = QUANTITIES[name], _extra_low(machine)

    def short(m: Any) -> str:
        told = " ".join(filter(None, [m.conditions, m.where]))
        low_end, high_end = (m.value if end is None else end for end in (m.low, m.high))
        return shortfall(name, low_end, high_end, extra_low=low, conditions=told)

    unit = as_written(f"1 {of.shown}").removeprefix("1 ")
    return ElectricalTest(of.meaning, unit, [(m, short(m)) for m in _read(name, c)])


@dataclass(frozen=True)
class Retired:
    """A revision that stands no more: what it was, when it was built, and when it was last tried."""

    chapter: Chapter
    was: str
    began: HowItStands
    until: str | None
    followed_by: list[Any]
    dangers: list[str]


def _retired(c: Chapter, story: Story) -> Retired:
    tried = [t.attempt.ended or t.attempt.began for t in c.tried]
    return Retired(
        c,
        ", ".join(_was(c)),
        standing(c),
        max(tried, key=latest, default=None),
        [other.revision for other in story.chapters if other.revision.parent_id == c.revision.id],
        list(dict.fromkeys(headline(f) for f in c.findings("danger"))),
    )


def _was(c: Chapter) -> Iterator[str]:
    """What a machine was, in few words."""
    across, blades, made = (_text(c, e) for e in (Sheet.rotor.diameter, Sheet.rotor.blades, Sheet.blade.material))
    if across:
        yield f"a rotor {across} across"
    if blades:
        yield f"{blades} blades{f' of {made}' if made else ''}"
    if volts := _text(c, Sheet.generator.emf_constant):
        yield f"a generator of {volts}"
    battery = [_text(c, e) for e in (Sheet.storage.voltage, Sheet.storage.capacity, Sheet.storage.chemistry)]
    if any(battery):
        yield f"battery {' '.join(filter(None, battery))}"
    mast, height = _text(c, Sheet.mast.kind), _text(c, Sheet.mast.height)
    if mast or height:
        yield f"mast {', '.join(filter(None, [mast, height and f'its rotor {height} up']))}"
