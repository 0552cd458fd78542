"""An invented machine at an invented place, played through the services as a builder would have typed it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from sqlmodel import Session

from journal.book import (
    attachments,
    attempts,
    builds,
    claims,
    common,
    failures,
    measurements,
    parts,
    revisions,
    sheet,
    store,
)
from journal.demo.first_machine import AUTUMN, GALE, WINTER
from journal.demo.scene import Scene, Step
from journal.demo.second_machine import SPRING, SUMMER
from journal.demo.sheets import SPIN_TEST
from journal.errors import Refused
from journal.publish import story, writeup
from journal.review import decisions

SCENES = (AUTUMN, GALE, WINTER, SPRING, SUMMER)


def _fill_sheet(session: Session, ref: str, text: str) -> None:
    sheet.set_values(session, common.revision(session, ref), sheet.from_toml(text))


#: The service behind each command of the story.
SERVICES: dict[str, Callable[..., Any]] = {
    "start": builds.start,
    "revise": revisions.revise,
    "sheet": _fill_sheet,
    "part": parts.add_part,
    "fate": parts.fate,
    "claim": claims.claim,
    "attempt": attempts.log,
    "measure": measurements.log,
    "attach": attachments.attach,
    "fail": failures.log,
    "cause": failures.believe,
    "reject": failures.reject,
    "evidence": failures.add_evidence,
    "fix": failures.correct,
    "verify": failures.verify,
    "decide": decisions.ask,
    "option": decisions.offer,
    "criterion": decisions.judge_by,
    "mark": decisions.mark,
    "choose": decisions.choose,
    "accept": decisions.accept,
    "outcome": decisions.conclude,
}


def play(folder: Path) -> Iterator[str]:
    """Make ``demo.db`` in a folder, play the story, write the write-ups; say what was done, line by line.

    Raises
    ------
    Refused
        If one of its files is there already.
    """
    path, table = folder / "demo.db", folder / "spin-test.csv"
    outs = {(r, f): folder / f"{r}.{f}" for r in writeup.READERS for f in writeup.FORMS}
    for file in (path, table, *outs.values()):
        if file.exists():
            raise Refused(f"{file} exists already", "Name another folder, or remove it first")
    store.create(path)
    table.write_text(SPIN_TEST, encoding="utf-8")
    yield f"Made the journal {path}."
    for scene in SCENES:
        with store.journal(path, write=True) as s:
            yield from _played(s, scene, folder)
    with store.journal(path) as s:
        tale = story.tell(s)
    for (reader, form), out in outs.items():
        writeup.save(writeup.render(tale, reader, form, folder=writeup.folder_of(out)), out)
        yield f"Wrote {out}."


def _played(session: Session, scene: Scene, folder: Path) -> Iterator[str]:
    for step in scene.steps:
        try:
            _take(session, step, folder)
        except Refused as refusal:
            if not step.refused:
                raise
            yield f"{step.refused}: {str(refusal).split(':')[0]}."
    yield scene.told


def _take(session: Session, step: Step, folder: Path) -> None:
    typed = dict(step.typed)
    if "file" in typed:
        # Files of the story lie beside its journal.
        typed["file"] = folder / typed["file"]
    SERVICES[step.verb](session, **typed)
