"""What is redacted, each rule by itself: fields, files, names of the sheet, labels, costs, and what is strange."""

from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np
import pytest

from calc.finding import Act, Effect, Finding, Remedy, Status
from journal.book.tables import Attachment, Build, Part
from journal.publish.redact import _Redactor
from journal.publish.scrub import LEFT_OUT

SECRET = "Windle Fold"


def redactor(*shown):
    """For a reader who may have some kinds, of a tale with one secret place."""
    build = SimpleNamespace(region=None)
    tale = SimpleNamespace(
        story=SimpleNamespace(build=build), secrets={"place": [SECRET], "serials": ["SN-4711"]}, currencies=["GBP"]
    )
    return _Redactor(tale, frozenset(shown))


def attachment(number, *, private=False):
    """A photo."""
    return Attachment(
        build_id=1, number=number, recorded_at="2026-01-01T00:00Z", about="A1", filename=f"{number}.jpg",
        sha256="0" * 64, size=1, media_type="image/jpeg", caption=f"at {SECRET}", private=private,
    )  # fmt: skip


def test_private_files_are_not_there():
    """Nor may their copies go out; the others may, with their words taken out of their captions."""
    one = redactor()
    got = one.copied([attachment(1), attachment(2, private=True)])
    assert [a.ref for a in got] == ["X1"]
    assert got[0].caption == f"at {LEFT_OUT}"
    assert got[0].sha256 is None
    assert (one.files, one.taken) == ({"X1"}, {"files"})
    all_of_it = redactor("files", "place")
    assert [a.ref for a in all_of_it.copied([attachment(1), attachment(2, private=True)])] == ["X1", "X2"]
    assert (all_of_it.files, all_of_it.taken) == ({"X1"}, set())


@pytest.mark.parametrize("shown", [(), ("serials",), ("serials", "prices", "notes")])
def test_private_fields_are_empty(shown):
    """And counted where there was something in them."""
    part = Part(build_id=1, number=1, recorded_at="", name="motor", serial="SN-4711", cost=40.0, currency="GBP")
    one = redactor(*shown)
    got = one.copied(part)
    assert (got.serial, got.cost) == (
        "SN-4711" if "serials" in shown else None, 40.0 if "prices" in shown else None,
    )  # fmt: skip
    assert got.private_note is None
    assert one.taken == {"serials", "prices"} - set(shown)
    assert (got.name, got.ref) == ("motor", "P1")
    for change in (lambda: setattr(got, "name", "x"), lambda: delattr(got, "name"), lambda: got.nothing):
        with pytest.raises(AttributeError):
            change()
    assert {"name", "serial", "ref"} <= set(dir(got))


def test_the_build_keeps_its_place_to_itself():
    """A place of the build is private; the place of another thing is a text like any."""
    one = redactor()
    got = one.copied(Build(id=1, name="Shed", place=SECRET, builder="Odo", recorded_at=""))
    assert (got.name, got.place, got.builder) == ("Shed", None, None)
    assert one.taken == {"place", "builder"}
    assert redactor("place").copied(Build(id=1, name="Shed", place=SECRET, recorded_at="")).place == SECRET


def test_private_values_of_the_sheet_are_not_there():
    """By name in a mapping, by path in a list; what only ends like one stays."""
    values = {"cable.mast.price": 3.0, "cable.mast.area": 1e-5}
    one = redactor()
    assert dict(one.copied(values)) == {"cable.mast.area": 1e-5}
    assert one.taken == {"prices"}
    rows = [SimpleNamespace(path=p) for p in ("cable.mast.price", "cable.mast.area")]
    assert [one._withheld(r) for r in rows] == [True, False]
    assert one._withheld("cable.mast.price") is False
    assert dict(redactor("prices").copied(values)) == values
    kept = redactor()
    assert kept._hides("price") is False
    assert kept._hides("elsewhere.price") is False
    assert kept.taken == set()


@dataclass
class Thing:
    """A view of two fields."""

    cost: str
    what: str


def test_a_thing_under_a_private_name_is_not_a_field():
    """What goes by a label is redacted inside; a plain value under a private name goes."""
    one = redactor()
    got = one.copied({"cost": Thing("40", "ok"), "price": 40.0, "mass": 4.0})
    assert got["cost"] == Thing(None, "ok")
    assert (got["price"], got["mass"]) == (None, 4.0)
    assert one.taken == {"prices"}


def costly():
    """A finding whose remedy tells what a cable costs, in words and as a figure."""
    effects = (Effect("metal", "Metal", 1.0, 2.0, "kg"), Effect("cost", "Price", 60.0, 120.0, ""))
    remedy = Remedy(Act.CHANGE, "Take 10 mm2.", effects=effects)
    told = "Take 10 mm2. The cable is then 2 kg for about 120 of metal."
    says = "It was open for about 120 s."
    return Finding("a.b", "cable.mast", Status.FAIL, "t", says, remedy=told, remedies=(remedy,))


@pytest.mark.parametrize(
    ("shown", "told", "figures"),
    [((), "2 kg of", ["metal"]), (("prices",), "2 kg for about 120 of", ["metal", "cost"])],
)
def test_what_a_remedy_would_cost_is_a_price(shown, told, figures):
    """Where prices are not for this reader; in its words and in its figures, wherever the remedy is told."""
    one = redactor(*shown)
    got = one.copied(costly())
    assert got.says == "It was open for about 120 s."
    assert got.remedy == f"Take 10 mm2. The cable is then {told} metal."
    assert [e.name for e in got.remedies[0].effects] == figures
    assert one.taken == {"prices"} - set(shown)


def test_what_a_remedy_clears_goes_by_the_label_of_its_finding():
    """A remedy names other findings; a label that tells something is another there, and the same one."""
    key = ("wiring.fuse", "cable.windle-fold")
    got = redactor().copied(Remedy(Act.CHANGE, "x", clears=(key,), eases=(key,), breaks=(key,), blurs=(key,)))
    assert {*got.clears, *got.eases, *got.breaks, *got.blurs} == {("wiring.fuse", "cable.left-out")}


def test_labels_that_tell_something_get_another():
    """The same one each time, another for each; those that tell nothing stay."""
    one = redactor()
    paths = ["cable.windle-fold.area", "cable.windle-fold.length", "cable.sn-4711.area", "cable.mast.area"]
    assert [one.copied(p, "path") for p in paths] == [
        "cable.left-out.area", "cable.left-out.length", "cable.left-out-2.area", "cable.mast.area",
    ]  # fmt: skip
    assert one.copied("rotor.diameter", "path") == "rotor.diameter"
    assert dict(one.copied({"cable.windle-fold.area": 1.0, "windle-fold": 2.0, 3: 4.0})) == {
        "cable.left-out.area": 1.0, "left-out": 2.0, 3: 4.0,
    }  # fmt: skip


@pytest.mark.parametrize("value", [None, True, 3, 2.5, np.float64(2.5), Status.OK])
def test_what_holds_no_word_stays_itself(value):
    """Numbers, flags and words of closed sets."""
    assert redactor().copied(value) is value


def test_what_nobody_thought_of_is_an_error():
    """Never a leak; and a text by a fixed name is read by programs, so it stays."""
    with pytest.raises(TypeError, match="SimpleNamespace in a story cannot be redacted"):
        redactor().copied([SimpleNamespace()])
    with pytest.raises(TypeError, match="A type in a story"):
        redactor().copied(Thing)
    assert redactor().copied(SECRET, "rule") == SECRET
    assert redactor().copied(f"at {SECRET}", "what") == f"at {LEFT_OUT}"
    assert redactor("place").copied(f"at {SECRET}", "what") == f"at {SECRET}"


def test_the_same_thing_is_copied_once():
    """So that what is one in the story is one in its copy."""
    thing = Thing("1", "x")
    one, other = redactor().copied([thing, thing])
    assert one is other
    assert one is not thing
