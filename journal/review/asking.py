"""What to ask a builder next: the few values that decide, then what settles most of the unknown and the doubtful."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass

from calc.finding import Finding, Status
from calc.machine.catalogue import LABELLED, RECORDED, Sheet, split
from calc.machine.inputs import Unknown
from calc.physics import generator, wind
from calc.units import show
from journal.book.plain_quantity import in_unit_of
from journal.book.shed import read_raw, ways_of
from journal.book.sheet import RevisionSheet, entry_of, read_value
from journal.review.find_out import find_out, ranked, unsure
from journal.review.verdict import Review, headline
from journal.review.wording import lower_first

#: So many questions at a time, and so many lines of what can be said after a chapter.
MOST, LINES = 5, 2
#: The wind in which a rotor is told what it can take; the voltages of banks that are common.
A_BREEZE, BANKS = 6.0, (12.0, 24.0, 48.0)


@dataclass(frozen=True, slots=True)
class Wording:
    """How a value of the sheet is asked for in the builder's words.

    Parameters
    ----------
    path : str
        The value, of which a labelled one has the label it gets where none of its kind is there yet.
    asks, why, typical, how : str
        The question; what hangs on it; what is usual; how it is found with what a shed has.
    usual : str
        Where it comes from, unless the answer says so.
    """

    path: str
    asks: str
    why: str = ""
    typical: str = ""
    how: str = ""
    usual: str = "estimate"


@dataclass(frozen=True, slots=True)
class Topic:
    """Some questions, and the rules whose word is told after them, the most telling first."""

    title: str
    questions: tuple[Wording, ...]
    speaks: tuple[str, ...]


_S = Sheet
#: Typical ranges are common practice, no source.
CHAPTERS = (
    Topic("The rotor", (
        Wording(_S.rotor.diameter.path, "How wide is the rotor, from tip to tip?",
              "It sets how much wind it catches.", "1 to 3 m",
              "Measure from the shaft's middle to a tip and type: half 65 cm."),
        Wording(_S.rotor.blades.path, "How many blades has it?",
              "Few blades run fast, many start early.", "3", "Count them.", "measured"),
    ), ()),
    Topic("The generator", (
        Wording(_S.generator.emf_constant.path, "How fast must the generator turn for one volt?",
              "It decides from which wind the battery is charged.", "5 to 20 rpm/V suits 12 to 48 V",
              "Spin it with a drill, nothing connected, a voltmeter behind the rectifier; read speed and volts at two "
              "speeds. A data plate with rated volts and rpm gives it roughly: rpm divided by volts."),
        Wording(_S.generator.winding_resistance.path, "What resistance has it between two leads?",
              "It sets what is lost in the winding, and how it brakes.", "0.1 to 2 ohm",
              "Send a known current through two leads, from a battery through a lamp, and read the volts between these "
              "leads. A meter's ohm range is too coarse below 1 ohm; short its tips first, and take that off."),
        Wording(_S.generator.phases.path, "How is it wound?", "The rectifier and its losses follow from it.",
              "three-phase", "Three leads that all read alike: three-phase. Two: single-phase, or brushes.",
              "measured"),
    ), ()),
    Topic("The battery", (
        Wording(_S.storage.chemistry.path, "What battery is it?", "It sets how it is charged, and where it may stand.",
              "", "It stands on its label. Type none if there is no battery.", "data plate"),
        Wording(_S.storage.voltage.path, "Which voltage has the whole bank?",
              "The generator charges only above it.", "12, 24 or 48 V", "Its nominal voltage, as on the label; of "
              "batteries in a row, the sum.", "data plate"),
        Wording(_S.storage.capacity.path, "How many ampere hours has the bank?",
              "It sets what it stores, and the current it can take.", "50 to 200 Ah", "On the label; Wh divided by "
              "volts are Ah. Batteries side by side add up.", "data plate"),
    ), ("generator.charging-begins", "storage.charge-current", "storage.autonomy")),
    Topic("The cable from the mast", (
        Wording(_S.cable.carries["mast"].full, "What runs through the cable down the mast?",
              "Three wires share the current, two do not.", "", "Look where the rectifier sits: at the top, or by the "
              "battery.", "measured"),
        Wording(_S.cable.length["mast"].full, "How long is it, one way?", "Every metre costs power.", "10 to 60 m",
              "Pace it out from generator to battery, and add the mast.", "estimate"),
        Wording(_S.cable.area["mast"].full, "How thick is each conductor?", "Thin cable eats power and gets hot.",
              "2.5 to 16 mm2, or 12 AWG", "It is printed on the sheath. A solid wire's thickness tells it: "
              "wire 1.78 mm.", "data plate"),
    ), ("wiring.voltage-drop", "wiring.ampacity")),
    Topic("Mast and place", (
        Wording(_S.mast.kind.path, "What does it stand on?", "It decides what can fall, and how rough the air is.",
              "", "", "measured"),
        Wording(_S.mast.height.path, "How high is the rotor's middle above ground?", "Higher is windier, and falls "
              "further.", "6 to 18 m", "A stick of known length and both shadows tell it: height is stick times mast's "
              "shadow over stick's shadow."),
        Wording(_S.site.mean_wind.path, "What is your mean wind over the year?", "Energy goes with its cube.",
              "3 to 6 m/s", "A wind atlas or the nearest weather station gives it, mostly for 10 m above ground. If "
              "you only feel it: leaves that rustle all day are about 3 m/s, small branches that move about 6."),
    ), ("generator.charging-begins", "site.power", "mast.roof")),
    Topic("What it shall feed", (
        Wording(_S.load.power["first"].full, "How many watts shall it feed?", "It tells whether what comes is "
              "enough.", "5 to 100 W", "It is on the label, or volts times amps. Others are added later as "
              "load.NAME.power."),
        Wording(_S.load.hours["first"].full, "How many hours a day?", "Watts times hours are what a day asks for.",
              "2 to 24 h/day", "", "estimate"),
    ), ("energy.year", "storage.autonomy", "loads.need")),
    Topic("What stops it in a storm", (
        Wording(_S.rotor.overspeed.path, "What holds it back by itself when the wind gets too strong?",
              "Rotors that run away throw blades.", "", "If nothing does, say none.", "measured"),
        Wording(_S.rotor.brake.path, "What stops it when you want it to?", "Nobody can go near a rotor that turns.",
              "", "", "measured"),
    ), ("rotor.overspeed", "rotor.brake", "rotor.second-means")),
)  # fmt: skip

#: Others that are often asked for later, in the builder's words.
_LATER = (
    Wording(_S.storage.place.path, "Where does the battery stand?", "Its gas can explode, and it can burn.", "",
          "", "measured"),
    Wording(_S.house.feed.path, "How is the house fed?", "A wrong lead kills who repairs the line.", "", "",
          "measured"),
    Wording(_S.mast.line_distance.path, "How far is the nearest overhead line from the mast's foot?",
          "A mast that falls into a line kills.", "at least 1.5 times its height", "Pace it out; 1 km if there is "
          "none."),
    Wording(_S.protection.main_fuse.path, "Which fuse is the battery's first?", "A battery's short circuit burns and "
          "throws metal.", "", "Its kind stands on it; none, if there is none.", "measured"),
    Wording(_S.mast.engineer.path, "Has a structural engineer confirmed in writing that the building carries it?",
          "A roof can be torn open.", "", "", "measured"),
    Wording(_S.blade.pipe_diameter.path, "How thick is the pipe that the blades were cut from?",
          "Its curve shapes the blade.", "110 to 315 mm", "Lay a string round the pipe and type: string 50.3 cm.",
          "data plate"),
    Wording(_S.blade.pipe_wall.path, "How thick is its wall?", "It is all that holds the blade.", "3 to 8 mm",
          "Printed on the pipe, or a caliper at three places.", "data plate"),
    Wording(_S.mast.tube_diameter.path, "How thick is the mast's tube?", "It bends by it.", "48 to 114 mm",
          "Lay a string round it and type: string 18.9 cm."),
    Wording(_S.storage.internal_resistance.path, "What inner resistance has the bank?", "It feeds a short circuit.",
          "5 to 50 milliohm", "Read its volts without, and with a lamp of known amps: 12.60 V 12.45 V 5 A."),
)  # fmt: skip
_KNOWN = {split(a.path)[0]: a for a in (*(q for c in CHAPTERS for q in c.questions), *_LATER)}


def wording(path: str) -> Wording:
    """How a value is asked for; one without words of its own by its meaning in the catalogue."""
    entry, label = entry_of(path)
    known = _KNOWN.get(entry.path)
    if known is not None:
        return Wording(path, known.asks, known.why, known.typical, known.how, known.usual)
    about = f" ({entry.group} {label})" if label else ""
    typical = "" if entry.kind != "number" else entry.accepts
    return Wording(path, f"{entry.meaning}{about}?", typical=typical, usual="estimate")


def help_of(asked: Wording) -> str:
    """All that ``?`` tells of a question: why, what is usual, how to find it, and what can be typed."""
    entry = entry_of(asked.path)[0]
    raw = [f"Or the reading itself: {way.like}." for way in ways_of(asked.path)]
    like = f"Type it like {entry.example}." if entry.kind == "number" else ""
    typical = f"Usual: {asked.typical}." if asked.typical else ""
    name = f"On the sheet it is {asked.path}: {lower_first(entry.meaning)}."
    return " ".join(filter(None, [asked.why, typical, asked.how, *raw, like, name]))


def in_place(path: str, known: Collection[str]) -> str:
    """A value with the label that things of its kind have on a sheet, where there are some."""
    bare, label = split(path)
    if label is None:
        return path
    group, _, field = bare.partition(".")
    labels = [split(p)[1] for p in known if p.startswith(f"{group}.")]
    return path if not labels or label in labels else f"{group}.{labels[0]}.{field}"


def fits(path: str, sheet: RevisionSheet) -> bool:
    """Whether a question has a meaning on a sheet: nobody is asked for the volts of a battery that is not there."""
    chemistry = sheet.values.get(Sheet.storage.chemistry.path)
    none = chemistry is not None and chemistry.word == "none"
    return not (none and path in (Sheet.storage.voltage.path, Sheet.storage.capacity.path))


# What can be said


def can_be_said(review: Review, chapter: Topic) -> list[str]:
    """What the numbers say after a chapter, in a line or two; empty where they say nothing yet."""
    lines = [line for line in _figures(review, chapter) if line]
    for rule in chapter.speaks:
        lines += [f"{_spoken(f)}" for f in review.findings if f.rule == rule and f.status is not Status.UNKNOWN]
    return list(dict.fromkeys(lines))[:LINES]


def _spoken(f: Finding) -> str:
    head = {Status.DANGER: "DANGER: ", Status.FAIL: "Fails: ", Status.MARGINAL: "Marginal: "}.get(f.status, "")
    return f"{head}{f.first}"


def _figures(review: Review, chapter: Topic) -> Iterator[str]:
    x = review.system.inputs()
    asked = {split(q.path)[0] for q in chapter.questions}
    if Sheet.rotor.diameter.path in asked and not x.lacks(Sheet.rotor.diameter):
        area = wind.swept_area(x.rotor.diameter)
        power = 0.3 * wind.power_in_wind(1.225, area, A_BREEZE)
        yield (f"It sweeps {show(area, 'm2', 2)}: in {show(A_BREEZE, 'm/s')} of wind a rotor of that size takes "
               f"{show(power, 'W', 2)} at most, if it takes three tenths.")  # fmt: skip
    if Sheet.generator.emf_constant.path in asked and not x.lacks(Sheet.generator.emf_constant):
        k = x.generator.emf_constant
        speeds = [f"{show(generator.charging_speed(V, 0.0, k), 'rpm', 2)} for {show(V, 'V')}" for V in BANKS]
        yield f"A battery is charged above about {', '.join(speeds)}, diodes not counted."
    if Sheet.storage.voltage.path in asked and (f := review.system.figures.get("charging_wind")):
        yield f"Charges from {show(f.value, 'm/s', 2)} of wind at the rotor{_range(f.low, f.high)}."
    if Sheet.site.mean_wind.path in asked and (f := review.system.figures.get("charging_wind")):
        mean = review.system.figures.get("hub_wind")
        if mean:
            yield f"Charges from {show(f.value, 'm/s', 2)}; your mean at the rotor is {show(mean.value, 'm/s', 2)}."


def _range(low: float, high: float) -> str:
    return f" ({show(low, '', 2)} to {show(high, 'm/s', 2)} by your doubts)" if low < high else ""


# What comes next


@dataclass(frozen=True, slots=True)
class Next:
    """One value to be asked for, why now, and whether it is on the sheet and only in doubt."""

    path: str
    because: str
    doubtful: bool = False


def questions(review: Review, but: Collection[str] = ()) -> list[Next]:
    """What to ask for, the most telling first: what can kill, what findings wait for, what a doubt could turn.

    Parameters
    ----------
    but : collection of str
        Values not to be asked for, as they were left open before.
    """
    missing = [Next(path, _waiting(of)) for path, of in review.missing.items() if _askable(path)]
    doubtful: list[Next] = []
    if not isinstance(review.system.solved, Unknown):
        open_ = unsure(review)
        doubtful = [Next(path, _turning(path, open_), True) for path in ranked(open_) if path in review.sheet.values]
    return [n for n in (*missing, *doubtful) if n.path not in but]


def _askable(path: str) -> bool:
    group, *rest = path.split(".")
    return group not in RECORDED and not (group in LABELLED and rest and rest[0] == "LABEL")


def _waiting(findings: list[Finding]) -> str:
    deadly = [headline(f) for f in findings if f.deadly]
    titles = list(dict.fromkeys(deadly or [headline(f) for f in findings]))
    named = lower_first(titles[0]) + (f", and {len(titles) - 1} more" if titles[1:] else "")
    return f"Not known, and it can kill: {named}." if deadly else f"Waits for it: {named}."


def _turning(path: str, findings: list[Finding]) -> str:
    """The finding that the doubt of a value decides most of."""
    shares = [(i.share, f) for f in findings for i in f.ranking if i.path == path]
    f = max(shares, key=lambda item: item[0])[1]
    return f"Its doubt decides: {lower_first(headline(f))} fails in {100 * (f.probability or 0.0):.0f} of 100 ways."


def how_to_settle(review: Review, path: str) -> str:
    """What to do about a value that is on the sheet and in doubt."""
    found = find_out(review, path)
    return f"To settle it, {found.says}: {found.how}"


# What was answered

_KNOWN_BY = {
    "m": "measured", "p": "data plate", "g": "estimate", "c": "calculated", "s": "seller's claim",
    "measured": "measured", "plate": "data plate", "data plate": "data plate", "guess": "estimate",
    "estimate": "estimate", "calculated": "calculated", "seller": "seller's claim",
}  # fmt: skip
_BEHIND_COMMA = re.compile(r"(?P<value>.*\S)\s*,\s*(?P<by>[a-z][a-z ]*)", re.IGNORECASE)
HOW_KNOWN = "Behind a comma: m measured, p data plate, g guess, c calculated, s what a seller says."


@dataclass(frozen=True, slots=True)
class ValueSaid:
    """A value as it goes onto the sheet, and what was made of the answer, in a few words."""

    item: dict[str, str]
    says: str


def answer_of(asked: Wording, typed: str) -> ValueSaid:
    """What an answer says of a value: typed as it is, or as raw readings, with how it is known behind a comma.

    Raises
    ------
    BadInput
        If it cannot be used.
    """
    match = _BEHIND_COMMA.fullmatch(typed.strip())
    by = _KNOWN_BY.get(match["by"].casefold()) if match else None
    body = match["value"] if match and by else typed.strip()
    entry = entry_of(asked.path)[0]
    raw = read_raw(asked.path, body)
    if raw is None:
        body = in_unit_of(entry, body) if entry.kind == "number" else body
        item = {"typed": body, "provenance": by or asked.usual}
    else:
        item = {"typed": raw.typed, "doubt": raw.doubt, "provenance": by or "measured", "note": f"from {body}"}
    fields = read_value(asked.path, **item)
    shown = entry.text(fields["number"]) if fields["number"] is not None else str(fields["word"])
    doubt = f" ± {fields['doubt']}" if fields["doubt"] else ""
    said = f"{raw.says}: " if raw else ""
    known = f", {item['provenance']}" if fields["number"] is not None else ""
    return ValueSaid(item, f"{said}{shown}{doubt}{known}")
