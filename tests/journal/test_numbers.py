"""Powers that were read, as pictures and pages show them; and what a story knows of a failure and its revisions."""

from types import SimpleNamespace

import numpy as np
import pytest

from calc.finding import Finding, Status
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Unknown
from journal.book.tables import Claim, Measurement
from journal.publish import numbers, story
from journal.publish.numbers import Claimed, MachineTold, Reading


def system(bank=24.0, chemistry="LiFePO4", *, at_rotor=lambda V, height: 0.9 * V, solved=None):
    """A machine that is not computed: the wind at its rotor is nine tenths of any other."""
    stated = {Sheet.storage.voltage: bank, Sheet.storage.chemistry: chemistry}
    return SimpleNamespace(design=SimpleNamespace(get=stated.get), at_rotor=at_rotor, solved=solved)


def read(quantity, value, low=None, high=None, *, number=1, attempt=1, load="battery", wind=(5.0, 8.0)):
    """A reading."""
    return Measurement(
        build_id=1, number=number, quantity=quantity, value=value, low=low, high=high, attempt_id=attempt,
        load_state=load, wind_low=wind[0], wind_high=wind[1], wind_height=10.0,
    )  # fmt: skip


def powers(*readings, of=None):
    """What is shown of them."""
    return numbers.power_readings(of or system(), readings)


BLEW = (pytest.approx(4.5), pytest.approx(7.2))


def test_a_power_is_shown_as_it_was_read():
    """With its limits, and the wind carried to the rotor."""
    (got,) = powers(read("charge.power", 90.0, 80.0, 100.0))
    assert (got.ref, got.wind, got.power, got.value) == ("M1", BLEW, (80.0, 100.0), 90.0)
    assert got.middle == pytest.approx(5.85)


@pytest.mark.parametrize("load", ["nothing connected", None, "loads"])
def test_what_was_read_while_it_did_not_charge_is_not_shown(load):
    """Nor what was not read, nor in no wind; the battery with its loads will do."""
    assert powers(read("charge.power", 90.0, load=load)) == []
    assert powers(read("charge.power", None)) == []
    assert (
        powers(read("charge.power", 90.0, wind=(None, 8.0)))
        == powers(read("charge.power", 90.0, wind=(5.0, None)))
        == []
    )
    assert powers(read("rotor.speed", 90.0)) == []
    assert len(powers(read("charge.power", 90.0, load="battery and loads"))) == 1


def test_a_wind_that_tells_nothing_of_the_rotor_shows_nothing():
    """Read too near the ground."""
    blind = system(at_rotor=lambda V, height: Unknown("too near the ground"))
    assert powers(read("charge.power", 90.0), of=blind) == []


def test_a_current_goes_with_the_voltage_of_its_attempt():
    """The first that was read there; the limits are those of both, whichever way they lie."""
    volts = [
        read("battery.voltage", 26.0, 25.0, 27.0, number=2),
        read("battery.voltage", 99.0, number=3),
        read("battery.voltage", 12.0, number=4, attempt=2),
    ]
    (got,) = powers(read("charge.current", 3.0, 2.0, 4.0), *volts)
    assert (got.power, got.value) == ((50.0, 108.0), 78.0)
    (got,) = powers(read("charge.current", -3.0, -4.0, 2.0), *volts)
    assert got.power == (-108.0, 54.0)
    (got,) = powers(read("charge.current", 3.0, attempt=2), *volts)
    assert got.value == 36.0


def test_a_current_without_a_voltage_goes_with_the_bank():
    """From its nominal voltage to a fifth more; nothing without a bank. A voltage of no attempt goes with none."""
    (got,) = powers(read("charge.current", 10.0, 9.0, 11.0, attempt=None), read("battery.voltage", 30.0, attempt=None))
    assert got.power == pytest.approx((9 * 24.0, 11 * 28.8))
    assert got.value == pytest.approx(264.0)
    (got,) = powers(read("charge.current", 10.0), read("battery.voltage", None))
    assert got.value == pytest.approx(264.0)
    assert powers(read("charge.current", 10.0), of=system(bank=None)) == []


def test_claims_are_shown_where_they_name_a_wind():
    """A power alone stands nowhere in the picture."""
    said = [
        Claim(build_id=1, number=n, said="", who="", power=p, wind_speed=v)
        for n, (p, v) in enumerate([(400.0, 9.0), (400.0, None), (None, 9.0)], 1)
    ]
    assert MachineTold("r1", system(), (), tuple(said)).claims == [Claimed("C1", 9.0, 400.0)]
    assert Reading("M1", (4.0, 6.0), (1.0, 2.0), 1.5).middle == 5.0


def test_a_machine_without_a_battery_or_that_cannot_be_solved_shows_no_numbers():
    """Neither curve, nor throw, nor year."""
    for of in (system(chemistry="none", solved="solved"), system(solved=Unknown("missing"))):
        told = MachineTold("r1", of)
        assert (told.solved, told.curve, told.throw, told.year) == (None, None, None, None)
    assert MachineTold("r1", system(solved="solved")).solved == "solved"


# --- the story --------------------------------------------------------------------------------------------------------


def failed(ranked, believed):
    """A failure with what the numbers say, and which mechanisms somebody believes."""
    why = SimpleNamespace(ranked=ranked, beliefs=[SimpleNamespace(mechanism=b) for b in believed])
    return story.Failed(*[None] * 11, why=why)


def test_explanations_that_nobody_believed():
    """Those that the numbers support, and no others; none where the numbers say nothing."""
    ranked = [
        SimpleNamespace(id=i, verdict=v) for i, v in (("a", "supported"), ("b", "contradicted"), ("c", "supported"))
    ]
    assert [w.id for w in failed(ranked, ["a", None]).also] == ["c"]
    assert [w.id for w in failed(ranked, []).also] == ["a", "c"]
    assert story.Failed(*[None] * 12).also == []


def chapter(number, frozen, parent=None, steps=()):
    """A revision, built or not, with failures of which a step is missing or none."""
    revision = SimpleNamespace(number=number, key=number, ref=f"r{number}", frozen_at=frozen, parent_id=parent)
    return SimpleNamespace(
        revision=revision, failed=[SimpleNamespace(loop=SimpleNamespace(next_step=s)) for s in steps]
    )


def told(*chapters):
    """A story of some chapters."""
    return story.Story(None, "2026-11-25", list(chapters), None, None)


def test_what_stands_and_what_is_planned():
    """The newest that was built; newer drafts; failures that are still open."""
    old, built = chapter(1, "2026-01-01", steps=["verified", ""]), chapter(2, "2026-02-01", 1, ["built in"])
    draft = chapter(3, None, 2)
    tale = told(old, built, draft)
    assert (tale.newest, tale.standing, tale.planned) == (draft, built, [draft])
    assert tale.open == [old.failed[0], built.failed[0]]
    assert (told().newest, told().standing, told().planned) == (None, None, [])
    assert told(draft).planned == [draft]
    assert told(old, built).planned == []


def test_a_revision_is_compared_with_the_one_it_was_made_from():
    """Of those between that were never built with the one before; with a draft where nothing before it was built."""

    def made(number, parent=None, *, built=True):
        return SimpleNamespace(key=number, parent_id=parent, frozen_at="2026-01-01" if built else None)

    one, paper, three, lone = made(1), made(2, 1, built=False), made(3, 2), made(4)
    every = [one, paper, three, lone]
    assert story._made_from(three, every) is one
    assert story._made_from(paper, every) is one
    assert story._made_from(lone, every) is None
    draft = made(1, built=False)
    assert story._made_from(made(2, 1), [draft]) is draft


def test_findings_of_a_chapter_by_their_words():
    """As templates ask for them."""
    some = [Finding("a.b", "x", Status(w), "t", "s.") for w in ("danger", "ok", "fail")]
    checked = story.Checked(None, some, "")
    assert checked.with_status(Status.OK, Status.FAIL) == [some[1], some[2]]


def test_key_figures_come_in_their_order():
    """Whatever the order of the sheet; of several cables each; the rest is left to the whole sheet."""
    paths = ["site.mean_wind", "cable.b.length", "rotor.diameter", "cable.a.length", "cable.a.area", "site.ground"]
    figures = [story.Figure(p, "", "", "") for p in paths]
    assert [f.path for f in story._key(figures)] == [
        "rotor.diameter", "cable.a.length", "cable.b.length", "cable.a.area", "site.mean_wind",
    ]  # fmt: skip
    assert np.all([p.count(".") for p in story.KEY_FIGURES])
