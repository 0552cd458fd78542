"""How each kind of record looks, on its own and as a row among its kind: one file a kind."""

from journal.screens.looks import (
    attachment,
    attempt,
    claim,
    decision,
    failure,
    instrument,
    loggerfile,
    measurement,
    observation,
    paper,
    part,
    revision,
)
from journal.screens.looks.look import AnyLook

#: Every kind, in the order in which people are told of them.
LOOKS: tuple[AnyLook, ...] = (
    revision.LOOK,
    part.LOOK,
    claim.LOOK,
    attempt.LOOK,
    measurement.LOOK,
    failure.LOOK,
    observation.LOOK,
    decision.LOOK,
    attachment.LOOK,
    instrument.LOOK,
    loggerfile.LOOK,
    paper.LOOK,
)
