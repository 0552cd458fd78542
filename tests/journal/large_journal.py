"""The demo's build grown to the size of many years: seeded, through the services, so that its history is right."""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from sqlmodel import Session

from journal.book import (
    attachments,
    attempts,
    decisions,
    failures,
    measurements,
    records,
    revisions,
    sheet,
    store,
    written,
)
from journal.book.days import told_on
from journal.book.history import now
from journal.book.tables import Attempt, Instrument, Measurement, Revision
from journal.demo import ENDS

#: The first day of what is added; the demo's own year comes before it in the telling, not in the calendar.
BEGINS = date(2016, 10, 1)
YEARS = 10
SEEN = (
    ("It turned in most winds but hardly charged the battery", "magnets too weak", "generator.charging-begins"),
    ("The fuse at the battery was found blown", "a gust drove too much current", "fuse.rating"),
    ("A blade broke at its root", "the root was too thin", "blade.root"),
    ("The inverter cut out every evening", "the cable to it is too thin", "wiring.voltage-drop"),
    ("The battery was flat after a calm week", "too little wind for the lamps", "energy.year"),
    ("It shook and hummed at one speed", "a blade is heavier than the others", "rotor.balance"),
)
#: What is read, between which values, and with which unit.
READ = (
    ("battery.voltage", 24.0, 28.4, "V"),
    ("charge.current", 0.4, 14.0, "A"),
    ("rotor.speed", 90.0, 390.0, "rpm"),
    ("noise.level", 35.0, 55.0, "dB(A)"),
    ("cable.drop", 0.1, 1.4, "V"),
)


@dataclass(frozen=True)
class Size:
    """How much of each kind a journal is to hold when it is filled; attachments come on top."""

    readings: int = 20_000
    attempts: int = 500
    failures: int = 60
    revisions: int = 10
    files: int = 150


def fill(path: Path, size: Size, files: Path, seed: int = 1) -> None:
    """Bring the demo's journal up to a size, in one transaction for each revision.

    Parameters
    ----------
    path : Path
        A journal that holds the demo.
    size : Size
        What it is to hold.
    files : Path
        An empty folder for the files that get attached.
    seed : int
        The same seed gives the same records.
    """
    draw = random.Random(seed)
    with told_on(ENDS):
        with store.journal(path) as s:
            build = records.current_build(s)
            have = {cls: len(records.all_records(s, cls, build)) for cls in (Attempt, Measurement, Revision)}
            failed = len(records.all_records(s, failures.Failure, build))
        more = size.revisions - have[Revision]
        tries = _shares(size.attempts - have[Attempt], [1.0] * more)
        # The last year has a logger: half of all readings are its own.
        last = sum(tries) - tries[-1]
        weights = [draw.lognormvariate(0.0, 1.2) * (1 if i < last else max(more - 1, 1)) for i in range(sum(tries))]
        reads = _shares(size.readings - have[Measurement], weights)
        fails = _shares(size.failures - failed, [1.0] * more)
        days = YEARS * 365 // max(sum(tries), 1)
        done = 0
        for n in range(more):
            with store.journal(path, write=True) as s:
                _year(s, draw, n, tries[n], reads[done : done + tries[n]], fails[n], days, done)
            done += tries[n]
        with store.journal(path, write=True) as s:
            _attach(s, draw, size, files)


def _shares(total: int, weights: list[float]) -> list[int]:
    """Whole numbers that add up to a total and are as their weights."""
    every, shares, given, passed = sum(weights), [], 0, 0.0
    for weight in weights:
        passed += weight
        upto = round(total * passed / every)
        shares.append(upto - given)
        given = upto
    return shares


def _year(
    s: Session, draw: random.Random, n: int, tries: int, reads: list[int], fails: int, days: int, done: int
) -> None:
    """One more revision: what was tried on it, read, failed, decided and put right."""
    of = revisions.revise(s, title=f"Year {n + 1}", because="what broke last year")
    sheet.set_values(s, of, {"mast.height": {"typed": f"{8 + 0.2 * n:.1f} m", "provenance": "measured"}})
    meter = records.add_record(s, Instrument, name=f"pocket multimeter {n + 1}", accuracy="0.8 % + 3 digits")
    tried, taken = [], []
    number = records.next_number(s, Measurement, records.current_build(s))
    for i in range(tries):
        a = _attempt(s, draw, of, BEGINS + timedelta(days=days * (done + i)))
        tried.append(a)
        taken += (some := _readings(draw, a, meter, number, reads[i]))
        number += len(some)
        s.add_all(some)
    s.flush()
    for i in range(fails):
        _fail(s, draw, tried[i * len(tried) // fails], taken, SEEN[i % len(SEEN)])
    d = decisions.open_decision(s, decisions.DecisionTyped(f"What to change in year {n + 1}?", on=of.ref))
    for name in ("leave it", "thicker cable"):
        decisions.add_option(s, d, decisions.OptionTyped(name, changes={"cable.mast.area": "16 mm2"}))


def _attempt(s: Session, draw: random.Random, of: Revision, day: date) -> Attempt:
    wind = draw.choice([f"Bft {draw.randint(1, 7)}", f"{draw.uniform(2, 14):.1f} m/s", None])
    return attempts.log_attempt(
        s,
        attempts.AttemptTyped(
            f"Let it run from {day}, the tail set to {draw.randint(1, 60)} degrees",
            on=of.ref,
            kind=draw.choice(["run", "run", "run", "storm", "repair", "bench test"]),
            began=day.isoformat(),
            ended=(day + timedelta(days=draw.randint(0, 6))).isoformat(),
            outcome=draw.choice(["worked", "worked", "partly", "failed"]),
            saw="It did what it did the week before",
            wind=wind,
            wind_height="10 m" if wind and wind.endswith("m/s") else None,
            load_state=draw.choice(["battery", "battery", "battery and loads", "nothing connected"]),
        ),
    )  # fmt: skip


def _readings(draw: random.Random, a: Attempt, meter: Instrument, number: int, count: int) -> list[Measurement]:
    """Readings of one attempt, as a person or a logger would type them; in every third each has its own wind."""
    windy, made = a.number % 3 == 0, []
    for i in range(count):
        name, low, high, unit = READ[draw.randrange(min(len(READ), 1 + a.number % len(READ)))]
        wind = {"wind": a.wind, "wind_low": a.wind_low, "wind_high": a.wind_high, "wind_height": a.wind_height}
        if windy:
            wind = written.read_wind(f"{draw.uniform(2, 14):.1f} m/s", "10 m")
        made.append(
            Measurement(
                build_id=a.build_id,
                number=number + i,
                recorded_at=now(),
                revision_id=a.revision_id,
                attempt_id=a.key,
                quantity=name,
                **measurements.read_measurement(name, f"{draw.uniform(low, high):.1f} {unit}"),
                load_state=a.load_state,
                instrument=meter.name,
                instrument_id=meter.key,
                taken=a.began,
                **wind,
            )
        )
    return made


def _fail(s: Session, draw: random.Random, a: Attempt, taken: list[Measurement], seen: tuple[str, str, str]) -> None:
    saw, cause, _ = seen
    failure = failures.log_failure(
        s,
        failures.FailureTyped(
            saw, attempt=a.ref, severity=draw.randint(1, 4), harm="none", cause=cause, sure="60%",
            evidence="it looked like it",
        ),
    )  # fmt: skip
    failures.believe(s, failure.ref, failures.CauseTyped("something that nobody thought of", sure="20%"))
    for leans in ("for", "against")[: 1 + draw.randrange(2)]:
        named = draw.choice(taken).ref if taken else None
        failures.add_evidence(
            s, failure.ref, failures.EvidenceTyped("read again", leans=leans, cause=1, measurement=named)
        )


def _attach(s: Session, draw: random.Random, size: Size, files: Path) -> None:
    """Small tables and plans, each to an attempt or a failure."""
    for i in range(size.files):
        file = files / f"log-{i}.csv"
        file.write_text("wind,volts\n" + "".join(f"{draw.uniform(2, 14):.1f},{draw.uniform(24, 28):.2f}\n" * 20))
        about = f"A{draw.randint(1, size.attempts)}" if i % 4 else f"F{draw.randint(1, size.failures)}"
        attachments.attach(s, file, about, caption=f"the hedge on day {i}")
