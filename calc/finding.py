"""What a rule says of a revision: a value, never an exception."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Status(StrEnum):
    """How a rule came out. ``DANGER`` means people can be hurt and cannot be waived."""

    OK = "ok"
    MARGINAL = "marginal"
    FAIL = "fail"
    DANGER = "danger"
    UNKNOWN = "unknown"


#: Worst first, the order in which findings are shown.
WORST_FIRST: tuple[Status, ...] = (Status.DANGER, Status.FAIL, Status.MARGINAL, Status.UNKNOWN, Status.OK)


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


@dataclass(frozen=True, slots=True)
class Finding:
    """What one rule says of one subject.

    Parameters
    ----------
    rule, subject : str
        Together the identity of the finding, such as ``"wiring.voltage-drop"`` of ``"cable.main"``.
    status : Status
        How it came out at the values on the sheet.
    title, says, remedy, caution : str
        For people. ``remedy`` is computed from the same numbers; ``caution`` stands where people can be hurt.
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
