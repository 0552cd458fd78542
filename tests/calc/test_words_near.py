"""Words that are near another meaning: told apart, or asked about; denied ones; words from abroad."""

import pytest

from calc.mechanisms import MECHANISMS
from calc.mechanisms.clearing import ABROAD, made_plain
from calc.mechanisms.hearing import SaidWords, patterns
from calc.mechanisms.words import SHORT_LIST, mechanisms_heard, symptoms_of


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("the amp meter and the volt-meter", "the ammeter and the voltmeter"),
        ("Sliprings, slip-rings", "slip ring, slip ring"),
        ("it doesn't charge no more", "it doesnt charge any more"),
        ("no more than 30 W", "no more than 30 w"),
        ("hit the mast & broke", "hit the mast  and  broke"),
        ("fused solid", "shorted solid"),
        ("Flügel gebrochen, décollé", "blade broken, loose"),
        ("the fuse", "the fuse"),
    ],
)
def test_what_is_written_in_several_ways_is_made_one(text, wanted):
    """And what only looks like it stays."""
    assert made_plain(text) == wanted


def test_words_from_abroad_are_no_english_words():
    """Of those that stand in the program's own phrases none is one from abroad; accents are off."""
    from calc.mechanisms.hearing import vocabulary

    known, _ = vocabulary()
    # "Fusible" and "blitz" would be, but mean the same; what an English builder writes must not be changed.
    assert {w for w in ABROAD if w in known} <= {"fusible", "akku", "kaput"}
    assert all(w.isascii() and w.islower() for w in ABROAD)


def test_where_a_phrase_stands_is_told():
    """Places of the words that hold it, not of those between."""
    told = SaidWords("the wing has just snapped")
    assert told.held(patterns("wing snap")[0]) == {1, 4}
    assert told.held(patterns("wing tear")[0]) is None


@pytest.mark.parametrize(
    ("text", "among"),
    [
        ("the hinge is stiff and the bearing worn", {"furling.seized", "bearing.drag"}),
        ("ice on the blades, and the magnets too weak", {"blade.ice", "generator.weak-magnets"}),
        ("a diode failed", {"rectifier.diode-open", "rectifier.diode-shorted"}),
        ("the fuse", {"fuse.gust-current", "fuse.short-circuit"}),
        ("the hinge", {"furling.seized", "furling.early"}),
        ("rust", {"furling.seized", "charging.loose-connection"}),
    ],
)
def test_two_near_meanings_are_asked_about(text, among):
    """Each that rests on words of its own is in the short list."""
    heard = mechanisms_heard(text)
    assert heard.sure == ()
    assert among <= set(heard.likely[:SHORT_LIST])


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("magnets are fine, must be the cable, too thin", "charging.cable-loss"),
        ("nothing wrong with the bearings, blades out of balance", "vibration.imbalance"),
        ("I ruled out the rectifier, one phase is dead", "generator.phase-open"),
        ("I don't think it's the diode, more like a loose terminal", "charging.loose-connection"),
        ("battery fine, controller looks ok, cable too long", "charging.cable-loss"),
        ("tail too light, not the spring", "furling.early"),
        ("blades back to front rather than wrong pitch", "blade.back-to-front"),
        ("not magnets", None),
        ("isn't cogging", None),
        ("nor the bearings", None),
    ],
)
def test_what_is_denied_is_never_taken(text, first):
    """What stands beside the denial is offered first."""
    heard = mechanisms_heard(text)
    assert heard.sure == ()
    assert first in (None, heard.likely[0])


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("not enough wind", "site.wind-low"),
        ("never furls", "furling.never"),
        ("rotor not balanced", "vibration.imbalance"),
        ("hinge rusted", "furling.seized"),
        ("corroded lug", "charging.loose-connection"),
        ("corroded guy wire", "mast.overload"),
        ("ice on a guy", "mast.overload"),
        ("neodymium cooked", "generator.demagnetised"),
        ("trailing edge at the front", "blade.back-to-front"),
        ("old batteries in parallel with new", "battery.strings-uneven"),
        ("set for sealed cells, mine are open", "controller.set-wrongly"),
        ("inverter idles all night", "load.phantom"),
        ("the dirty sliprings", "charging.slip-rings"),
        ("only two phases connected", "generator.phase-open"),
        ("coil the wrong way up", "generator.phase-reversed"),
        ("the brake is too weak", "brake.does-not-hold"),
        ("bearing race worn", "bearing.drag"),
        ("Kugellager kaputt", "bearing.drag"),
        ("les aimants sont décollés", "generator.magnets-loose"),
    ],
)
def test_siblings_of_what_is_believed(text, wanted):
    """A cause is told by what is wrong with which part."""
    assert mechanisms_heard(text).sure == (wanted,)


@pytest.mark.parametrize(
    "text",
    [
        "eddy currents in the plates", "swapped the blades for longer ones", "swapped batteries", "fuse too big",
        "string of lights", "a set of gel batteries", "the light", "something corroded", "leading edge", "one phase",
        "I had no time", "open circuit", "flooded cells", "tracking", "varnish on one blade",
    ],
)  # fmt: skip
def test_a_part_named_is_no_fault(text):
    """Nor is what was done, nor a word of two senses: it is asked."""
    assert [name for name in mechanisms_heard(text).sure if name in MECHANISMS] == []


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("the lead-acid bank is flat at dawn", {"battery flat"}),
        ("a bearing race is grinding", {"noise or shaking"}),
        ("the anchor held but a blade broke", {"blade lost or broken"}),
        ("the blade hit the pole & split", {"blade lost or broken"}),
        ("a tree fell on the mast and it broke", {"mast or guy failed"}),
        ("the ammeter's needle does not move", {"turns but hardly charges"}),
        ("the battery won't hold a charge no longer", {"battery flat", "battery damaged"}),
        ("took the belt off to test", set()),
        ("swapped the battery last week", set()),
        ("the tail hinge seized solid", {"tail folds too early or never"}),
        ("shocked to see how it wobbles", {"noise or shaking"}),
        ("the dump heater never gets warm", {"dump load cold or always hot"}),
        ("no juice", set()),
        ("the lights went out", set()),
        ("it roars at night", {"noise or shaking"}),
        ("impossible to stop", {"does not stop when braked"}),
        ("some days it works and some days it doesn't", {"charging comes and goes"}),
        ("needs a gale until it turns", {"does not start"}),
        ("I pulled the brake, it only slowed", {"does not stop when braked"}),
        ("third fuse this month", {"fuse blown"}),
        ("Batterie immer leer", {"battery flat"}),
        ("das Rad dreht, aber kein Strom", {"turns but hardly charges"}),
    ],
)
def test_siblings_of_what_is_seen(text, wanted):
    """No symptom too many."""
    assert set(symptoms_of(text)) == wanted
