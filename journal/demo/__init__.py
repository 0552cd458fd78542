"""An invented machine at an invented place, played through the services as a builder would have typed it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any

from sqlmodel import Session

from journal.book import (
    attachments,
    attempts,
    builds,
    claims,
    days,
    decisions,
    failures,
    measurements,
    parts,
    records,
    revisions,
    sheet,
    sheet_toml,
    store,
)
from journal.book.safe_files import OwnFiles
from journal.demo.first_machine import AUTUMN, GALE, WINTER
from journal.demo.june import JUNE, JUNE_FILE, logged_in_june
from journal.demo.scene import Scene, Step
from journal.demo.second_machine import SPRING, SUMMER
from journal.demo.sheets import SPIN_TEST
from journal.drawing import blade
from journal.drawing.saving import PDF, save
from journal.drawing.saving import files_of as drawn_files
from journal.drawing.subject import CLOCKWISE, drawn, subject_of
from journal.errors import Refused
from journal.logger import keeping
from journal.publish import saving, story, writeup
from journal.publish.readers import READERS
from journal.review import acceptance, forecast, proof, weighing

#: The day on which the story is told.
ENDS = date(2026, 9, 30)
SCENES = (AUTUMN, GALE, WINTER, SPRING, SUMMER, JUNE)


def _fill_sheet(session: Session, ref: str, text: str) -> None:
    sheet.set_values(session, records.find_revision(session, ref), sheet_toml.from_toml(text))


def _read_logger(session: Session, file: Path, on: str, note: str) -> None:
    typed = keeping.LoggerTyped(on=on, note=note)
    with keeping.workplace(session.info["path"]) as folder:
        for made in keeping.read_all(keeping.ways(session, [file], typed), folder):
            keeping.keep(session, made, typed)


#: The service behind each command of the story, and the object of what is typed for it, if it takes one.
SERVICES: dict[str, tuple[Callable[..., Any], type[Any] | None]] = {
    "start": (builds.start, builds.BuildTyped),
    "revise": (revisions.revise, None),
    "sheet": (_fill_sheet, None),
    "part": (parts.add_part, parts.PartTyped),
    "fate": (parts.fate, None),
    "claim": (claims.log_claim, None),
    "attempt": (attempts.log_attempt, attempts.AttemptTyped),
    "measure": (measurements.log_measurement, measurements.MeasurementTyped),
    "attach": (attachments.attach, None),
    "logger": (_read_logger, None),
    "fail": (failures.log_failure, failures.FailureTyped),
    "cause": (failures.believe, failures.CauseTyped),
    "reject": (failures.reject, None),
    "evidence": (failures.add_evidence, failures.EvidenceTyped),
    "fix": (failures.correct, None),
    "verify": (proof.verify, None),
    "decide": (decisions.open_decision, decisions.DecisionTyped),
    "option": (weighing.offer_option, decisions.OptionTyped),
    "criterion": (decisions.add_criterion, None),
    "mark": (decisions.give_marks, None),
    "choose": (weighing.choose_option, weighing.ChoiceTyped),
    "accept": (acceptance.accept_finding, None),
    "outcome": (forecast.conclude, None),
}


def play(folder: Path) -> Iterator[str]:
    """Make ``demo.db`` in a folder, play the story, write its write-ups and a template; say what was done.

    Raises
    ------
    Refused
        If one of its files is there already.
    """
    path, table, logged = folder / "demo.db", folder / "spin-test.csv", folder / JUNE_FILE
    outs = {(r, f): folder / f"{r}.{f}" for r in READERS for f in ("md", "html")}
    template = folder / "drawings" / "blade-r2.pdf"
    for file in (path, table, logged, template, *outs.values()):
        if file.exists():
            raise Refused(f"{file} exists already", "Name another folder, or remove it first")
    if not store.create(path):
        raise Refused(f"{path} exists already", "Name another folder, or remove it first")
    OwnFiles(path).put(table, SPIN_TEST.encode())
    OwnFiles(path).put(logged, logged_in_june())
    yield f"Made the journal {path}."
    for scene in SCENES:
        with store.journal(path, write=True) as s:
            told = list(_played(s, scene, folder))
        yield from told
    with store.journal(path) as s:
        tale = story.tell(s)
    for (reader, form), out in outs.items():
        saving.save(writeup.render(tale, reader, form, folder=saving.folder_of(out)), out, path)
        yield f"Wrote {out}."
    _draw(path, template)
    yield f"Wrote {template}."


def _draw(path: Path, template: Path) -> None:
    """The template from which the second machine's blades could be cut."""
    with store.journal(path) as s:
        of = subject_of(s, "r2", CLOCKWISE, None, "3 mm")
        files = drawn_files(template.stem, drawn(blade.drawings, of), "a4", [PDF])
    save(files, template.parent, path)


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
    service, as_typed = SERVICES[step.verb]
    if as_typed is not None:
        about = {"ref": typed.pop("ref")} if "ref" in typed else {}
        typed = {**about, "typed": as_typed(**typed)}
    with days.told_on(ENDS):
        service(session, **typed)
