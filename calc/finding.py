"""What a rule says of a revision: a value, never an exception."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum


class Status(StrEnum):
    """How a rule came out. ``DANGER`` means people can be hurt and cannot be waived."""

    OK = "ok"
    MARGINAL = "marginal"
    FAIL = "fail"
    DANGER = "danger"
    UNKNOWN = "unknown"
    #: The sheet says that it is so, and nothing was computed: neither right nor wrong by any number.
    STATED = "stated"


#: Worst first, the order in which findings are shown.
WORST_FIRST: tuple[Status, ...] = (
    Status.DANGER,
    Status.FAIL,
    Status.MARGINAL,
    Status.UNKNOWN,
    Status.STATED,
    Status.OK,
)


_ENDS = re.compile(r"(?<=[.?!])\s+(?=[\"“(]?[A-Z0-9])")


def first_sentence(text: str) -> str:
    """The first sentence of a text.

    Examples
    --------
    >>> first_sentence("It needs 8.1 m/s. The mean is 4.4 m/s.")
    'It needs 8.1 m/s.'
    """
    return _ENDS.split(text, maxsplit=1)[0]


@dataclass(frozen=True, slots=True)
class Source:
    """Where a formula, limit or value comes from.

    Parameters
    ----------
    title : str
        Document, with edition where one is known.
    place : str
        Table, section, or equation.
    standing : str
        ``"published"``, ``"reproduction"`` (a third party's copy was read), ``"common practice"`` or
        ``"from memory"`` (not confirmed in any copy read).
    """

    title: str
    place: str = ""
    standing: str = "published"

    def __str__(self) -> str:
        text = ", ".join(filter(None, [self.title, self.place]))
        mark = {"published": "", "reproduction": "read in a reproduction"}.get(self.standing, self.standing)
        return f"{text} ({mark})" if mark else text


#: For what builders do and nobody has published.
COMMON_PRACTICE = Source("Common practice, no source", standing="common practice")


@dataclass(frozen=True, slots=True)
class Input:
    """One sheet value that a finding used.

    Parameters
    ----------
    path : str
        Name in the catalogue, such as ``"cable.main.length"``.
    meaning : str
        The catalogue's one-line meaning.
    shown : str
        The value with its unit, for people.
    provenance : str
        Where it comes from: measured, data plate, seller's claim, calculated, estimate, assumed.
    """

    path: str
    meaning: str
    shown: str
    provenance: str


@dataclass(frozen=True, slots=True)
class Influence:
    """How much the doubt of one input moves a finding.

    Parameters
    ----------
    path, meaning : str
        The input.
    share : float
        Share of the finding's spread that goes with this input: the squared rank correlation, 0 to 1.
    """

    path: str
    meaning: str
    share: float


class Act(StrEnum):
    """What kind of thing a remedy asks for."""

    #: Change what is on the sheet: fit, replace, set, leave out.
    CHANGE = "change"
    #: Put it somewhere else.
    MOVE = "move"
    #: Measure or find out, before it is relied on.
    MEASURE = "measure"
    #: Go and look, and put it on the sheet.
    LOOK = "look"
    #: Ask somebody who is licensed, or who made it.
    ASK = "ask"
    #: Do it each time, such as stopping the rotor first.
    DO = "do"
    #: Expect less of it.
    EXPECT = "expect"


@dataclass(frozen=True, slots=True)
class Change:
    """One value of the sheet that a remedy sets.

    Parameters
    ----------
    path : str
        Name in the catalogue, such as ``"cable.main.area"``.
    value : float, str or bool
        In SI, or a word.
    shown, before : str
        The new value and the one on the sheet, with their units, for people; ``before`` is empty where it has none.
    """

    path: str
    value: float | str | bool
    shown: str
    before: str = ""


@dataclass(frozen=True, slots=True)
class Effect:
    """What a remedy does to one figure of the machine; both values in ``unit``."""

    name: str
    meaning: str
    before: float
    after: float
    unit: str


@dataclass(frozen=True, slots=True)
class Remedy:
    """What would put a finding right: changes that were tried on the whole machine, or an act that no sheet can try.

    Parameters
    ----------
    kind : Act
        What kind of thing it asks for.
    says : str
        What to do, in words made from ``changes``.
    changes : tuple of Change
        What it sets on the sheet; empty for every other kind of act.
    becomes : Status or None
        What its own finding is then; None where nothing was tried.
    clears, eases : tuple of (rule, subject)
        Other findings that are then neither danger nor fail; those that are then better than they were.
    breaks, blurs : tuple of (rule, subject)
        Findings that then fail and did not; those of what can kill that are then not known.
    effects : tuple of Effect
        What it does to the figures that matter.
    """

    kind: Act
    says: str
    changes: tuple[Change, ...] = ()
    becomes: Status | None = None
    clears: tuple[tuple[str, str], ...] = ()
    eases: tuple[tuple[str, str], ...] = ()
    breaks: tuple[tuple[str, str], ...] = ()
    blurs: tuple[tuple[str, str], ...] = ()
    effects: tuple[Effect, ...] = ()


@dataclass(frozen=True, slots=True)
class Finding:
    """What one rule says of one subject.

    Parameters
    ----------
    rule, subject : str
        Together the identity of the finding, such as ``"wiring.voltage-drop"`` of ``"cable.main"``.
    status : Status
        How it came out at the values on the sheet.
    title, says, more, remedy, caution : str
        For people. ``says`` begins with the number that decides; ``more`` is what only a reader of everything wants;
        ``remedy`` is what ``remedies`` say; ``caution`` stands where people can be hurt.
    remedies : tuple of Remedy
        What would put it right, each tried on the whole machine; empty where that was not asked for.
    value, limit : float or None
        The number judged and the number it is judged against, both in ``unit``.
    unit : str
        Unit of ``value`` and ``limit``.
    margin : float or None
        Distance from the limit as a share of it; negative is beyond the limit.
    inputs : tuple of Input
        The sheet values used.
    assumptions : tuple of str
        What was assumed because the sheet does not say.
    sources : tuple of Source
        Where the formulas and limits come from.
    probability : float or None
        Share of the ways the doubtful inputs could turn out in which this rule fails or is a danger.
        None where no doubtful number enters.
    missing : tuple of str
        For ``UNKNOWN``: the catalogue names that would settle it.
    ranking : tuple of Influence
        Doubtful inputs, the one whose doubt moves this finding most first.
    deadly : bool
        For ``UNKNOWN``: whether what is not known can kill. It then stands right after the dangers.
    by_limit : bool
        Whether the machine's own number is ``limit``, such as how far it throws, and ``value`` that of what it meets.
    """

    rule: str
    subject: str
    status: Status
    title: str
    says: str
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    margin: float | None = None
    inputs: tuple[Input, ...] = ()
    assumptions: tuple[str, ...] = ()
    remedy: str = ""
    sources: tuple[Source, ...] = ()
    probability: float | None = None
    caution: str = ""
    missing: tuple[str, ...] = ()
    ranking: tuple[Influence, ...] = ()
    deadly: bool = False
    more: str = ""
    remedies: tuple[Remedy, ...] = ()
    by_limit: bool = False

    @property
    def figure(self) -> float | None:
        """The number that is the machine's own, as two machines are compared by."""
        return self.limit if self.by_limit else self.value

    @property
    def first(self) -> str:
        """What decides, in one sentence."""
        return first_sentence(self.says)

    @property
    def over(self) -> bool:
        """Whether it is beyond its limit, and marginal only because something else keeps it from coming to that."""
        return self.status is Status.MARGINAL and self.margin is not None and self.margin < 0.0

    @property
    def rank(self) -> float:
        """Place in the order in which findings are shown, least first: what can kill, then the worst."""
        if self.deadly:
            return WORST_FIRST.index(Status.DANGER) + 0.5
        return float(WORST_FIRST.index(self.status))

    @property
    def of_reading(self) -> bool:
        """Whether it holds a reading against the machine, instead of the machine against a limit.

        A reading that disagrees is a question, not a fault of the machine.
        """
        return self.subject.startswith("measured.")

    @property
    def key(self) -> tuple[str, str]:
        """Identity across revisions."""
        return (self.rule, self.subject)
