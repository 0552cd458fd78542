"""What commands do does not grow with the number of readings: counted, not timed."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Engine, event

from journal.book import readings, records, store
from journal.book.readings import Taken, together
from journal.publish import story, writeup
from journal.review import comparison, next_step, series, verdict, why
from journal.screens.history import gather_history
from journal.screens.listing import gather_listing
from journal.screens.record import gather_record
from tests.conftest import copied
from tests.journal.large_journal import Size, fill

FEW, MANY = 120, 1200


@pytest.fixture(scope="module")
def journals(told: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The demo grown by two revisions and a few attempts, with some readings and with ten times as many."""
    made: list[Path] = []
    for count in (FEW, MANY):
        folder = tmp_path_factory.mktemp("large")
        copied(told, folder / "demo")
        (folder / "files").mkdir()
        path = folder / "demo" / "demo.db"
        fill(path, Size(readings=count, attempts=13, failures=5, revisions=3, files=3), folder / "files")
        made.append(path)
    return made[0], made[1]


@pytest.fixture(autouse=True)
def _kept(journals: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch) -> None:
    """What one test had judged, the next finds kept."""
    monkeypatch.setenv("GALEBOOK_CACHE", str(journals[0].parent / "verdicts"))


@contextmanager
def counted() -> Iterator[list[str]]:
    """The statements that are sent to the database meanwhile."""
    sent: list[str] = []

    def keep(_connection: Any, _cursor: Any, statement: str, *_more: Any) -> None:
        sent.append(statement)

    event.listen(Engine, "before_cursor_execute", keep)
    try:
        yield sent
    finally:
        event.remove(Engine, "before_cursor_execute", keep)


ASKED: dict[str, Callable[[Any], object]] = {
    "status": next_step.status_of,
    "check": lambda s: verdict.check(s, "r3", advise=True),
    "compare": lambda s: comparison.compare(s, "r2", "r3"),
    "why": lambda s: why.explain(s, "F5"),
    "show": lambda s: gather_record(s, "A12"),
    "list": lambda s: gather_listing(s, "measurements", 50),
    "history": lambda s: gather_history(s, None, 50),
    "write-up": story.tell,
}


@pytest.mark.parametrize("command", ASKED)
def test_ten_times_the_readings_take_no_more_statements(journals, command):
    """A query in a loop over readings would show here."""
    counts = []
    for path in journals:
        with store.journal(path) as s, counted() as sent:
            ASKED[command](s)
        counts.append(len(sent))
    # Singly told readings are asked for in lots of some hundred.
    assert counts[1] <= counts[0] + 4, counts


def test_what_is_judged_grows_with_winds_and_loads(journals):
    """Ten times the readings are a few times the findings, and each reading is counted in one of them."""
    counts = []
    for path in journals:
        with store.journal(path) as s:
            values = verdict.opened(s, records.find_revision(s, "r3"))
        assert sum(t.count for t in values.told) == len(values.readings)
        counts.append((len(values.readings), len(values.told)))
    (few, told_few), (many, told_many) = counts
    assert many > 8 * few
    assert told_many < 4 * told_few
    assert told_many < many / 2


def test_the_page_grows_with_attempts_and_not_with_readings(journals):
    """Readings of one quantity beyond a dozen are one line, so ten times as many are not ten times the page."""
    lengths = []
    for path in journals:
        with store.journal(path) as s:
            text = writeup.render(story.tell(s), "forum", "md").text
        lengths.append(len(text.splitlines()))
    assert lengths[1] < 1.6 * lengths[0], lengths


def reading(number, value, wind=None, quantity="rotor.speed", day="2026-01-01"):
    """One reading under the battery, in a wind at the rotor."""
    return Taken(number, quantity, value, value - 1.0, value + 1.0, "battery", wind, wind, None, day, 1)


def test_few_readings_are_seen_one_by_one():
    """As many as are judged one by one stay as they are."""
    some = [reading(n, 10.0 + n, 5.0) for n in range(1, readings.MANY + 1)]
    told = together(some, [])
    assert [t.reading for t in told] == some
    assert {t.count for t in told} == {1}


def test_many_readings_are_laid_together_by_steps_of_wind():
    """IEC 61400-12-1, method of bins: steps of half a metre a second, with integer multiples of it in the middle."""
    some = [reading(n, float(n), 4.9 if n % 2 else 5.6) for n in range(1, 31)]
    first, second = sorted(together(some, []), key=lambda t: t.wind[0] or 0.0)
    assert (first.count, first.least, first.most, first.reading.value) == (15, 1.0, 29.0, 15.0)
    assert (first.wind, second.wind) == ((4.9, 4.9), (5.6, 5.6))
    mixed = [reading(n, float(n), 4.9 if n % 2 else 5.1) for n in range(1, 31)]
    (one,) = together(mixed, [])
    assert one.wind == (4.75, 5.25)
    assert one.reading.value == 15.0


def test_what_a_failure_left_behind_is_not_laid_together_with_what_was_before():
    """The volts per speed before and after a burnt winding are two things."""
    some = [reading(n, 1.0 + n, quantity="generator.emf", day=f"2026-01-{n:02d}") for n in range(1, 31)]
    told = together(some, ["2026-01-11"])
    assert [t.count for t in told] == [10, 20]
    assert [t.last for t in told] == ["2026-01-10", "2026-01-30"]


def test_a_series_tells_how_many_between_what_and_when():
    """Thirteen readings of one attempt are one line with the least, the middle and the most."""
    some = [reading(n, 10.0 * n, 3.0 + n, day=f"2026-02-{n:02d}") for n in range(1, series.SINGLY + 2)]
    singly, (one,) = series.parted(some)
    assert singly == []
    text = series.series_text(one)
    assert text.startswith(
        "13 readings of the speed of the rotor, M1 to M13, battery: lowest 95.5 rpm, middle 668 rpm "
    )
    assert text.endswith("highest 1240 rpm; wind 4 to 16 m/s; 2026-02-01 to 2026-02-13")
    assert series.parted(some[:-1]) == (some[:-1], [])
