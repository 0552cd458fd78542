"""What the words of builders are taken for: rightly, or asked about, and never wrongly."""

import pytest

from calc.mechanisms import MECHANISMS, phrases
from calc.mechanisms.by_rule import JUDGED_BY, mechanisms_of_rule
from calc.mechanisms.hearing import SaidWords, stem, vocabulary
from calc.mechanisms.hearing import patterns as parsed
from calc.mechanisms.words import (
    SHORT_LIST,
    SYMPTOMS,
    mechanism_meant,
    mechanisms_heard,
    symptoms_heard,
    symptoms_of,
)
from calc.rules import RULES
from tests.calc import said
from tests.stories import names

TABLES = (phrases.SEEN, phrases.PERHAPS_SEEN, phrases.MEANT, phrases.PERHAPS_MEANT)
#: Of a hundred wordings so many at least are understood, or asked about with the right one in the short list.
ENOUGH = 0.95
#: Of those kept apart so many were taken for a symptom too many when they were first counted. None is what is wanted.
TOO_MANY = 5


def holds(phrase, text):
    """Whether a text holds a phrase as it stands in a table."""
    return SaidWords(text).has(parsed(phrase)[0])


# Tables


def test_tables_name_the_same():
    """Every symptom and mechanism has phrases that say it, and some that call for a question."""
    assert phrases.SEEN.keys() == phrases.PERHAPS_SEEN.keys() == set(SYMPTOMS)
    assert phrases.MEANT.keys() == phrases.PERHAPS_MEANT.keys()
    assert MECHANISMS.keys() - phrases.MEANT.keys() == set()


def test_tables_use_only_concepts_that_there_are():
    """A word in capitals that is no concept would never be found."""
    words = {
        w
        for table in TABLES
        for line in table.values()
        for p in parsed(line)
        for part in (*p.parts, *p.never)
        for w in part
    }
    assert {w for w in words if w.isupper()} <= phrases.CONCEPTS.keys()


@pytest.mark.parametrize("table", [phrases.SEEN, phrases.MEANT], ids=["seen", "meant"])
def test_no_phrase_says_two_things(table):
    """What stands at two names would make one doubtful, or take one thing for two."""
    lines = [p.strip() for line in table.values() for p in line.split(";")]
    assert sorted({p for p in lines if p and lines.count(p) > 1}) == []


def test_rules_of_mechanisms_are_there():
    """By their ids, and led back: a rule names the mechanism of which it decides first."""
    assert JUDGED_BY.keys() <= MECHANISMS.keys()
    assert {rule for rules in JUDGED_BY.values() for rule in rules} <= {r.id for r in RULES}
    assert mechanisms_of_rule("wiring.voltage-drop") == ("charging.cable-loss",)
    assert mechanisms_of_rule(None) == mechanisms_of_rule("house.labels") == ()


# How it is looked for


@pytest.mark.parametrize(
    ("phrase", "text", "wanted"),
    [
        ("NOT turn", "it won't turn", True),
        ("NOT turn", "it does not even turn", True),
        ("NOT turn", "never charges, turns well", False),
        ("NOT turn", "it turns, not well", False),
        ("wing snap", "the wing, as I saw, snapped", False),
        ("wing + snap", "the wing, as I saw, snapped", True),
        ("wing snap", "the wing that we had made snapped", False),
        ("wing snap", "the wing has just snapped", True),
        ("turn slow + !charge", "turns slow and does not charge", False),
        ("turn slow + !charge", "turns slow", True),
        ("16 volt", "16.2V on a 12 V battery", True),
        ("2 amp", "2 A", True),
        ("amp", "a wing", False),
    ],
)
def test_how_a_phrase_is_held(phrase, text, wanted):
    """In order, not far apart, within a clause; what must not be there is not."""
    assert holds(phrase, text) is wanted


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("batery", "battery"), ("battrey", "battery"), ("batterys", "battery"), ("controler", "controller"),
        ("alternater", "alternator"), ("chraging", "charge"), ("bearng", "bearing"), ("vibrats", "vibrate"),
        ("rectifer", "rectifier"), ("overspeeed", "overspeed"), ("magnits", "magnet"), ("demagnetized", "demagnetize"),
    ],
)  # fmt: skip
def test_typing_errors_are_seen_through(typed, meant):
    """A letter more, less, other or before its neighbour, in a word long enough."""
    assert SaidWords(typed).tokens == [stem(meant)]


@pytest.mark.parametrize(
    "word", ["changed", "through", "inspect", "collection", "story", "water", "stream", "lots", "boat"]
)
def test_plain_words_stay(word):
    """What is like a word that is looked for and another, is taken for none."""
    assert SaidWords(word).tokens == [stem(word)]


def test_words_one_letter_apart_are_told_apart():
    """Charge and change, tail and fail, mast and most: short words have too many neighbours."""
    for word in ("change", "fail", "most", "cable", "table", "power", "tower"):
        assert SaidWords(word).tokens == [stem(word)]


def test_spelling_of_both_sides_of_the_ocean():
    """American and British alike."""
    for british, american in (
        ("demagnetised", "demagnetized"),
        ("sulphated plates", "sulfated plates"),
        ("the aerofoil cracked", "the airfoil cracked"),
    ):
        assert mechanisms_heard(british) == mechanisms_heard(american)
        assert symptoms_of(british) == symptoms_of(american)


def test_the_vocabulary_holds_stems_of_its_words():
    """So that a mistyped form is led to the stem of the word it means."""
    known, plain = vocabulary()
    assert known["battery"] == known[stem("batteries")]
    assert not {w for w in plain if w in set(known.values())} - {stem(w) for w in phrases.PLAIN.split()}


# What is heard


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("It turned in most winds but hardly charged the battery", ("turns but hardly charges",)),
        ("The unloaded rotor ran away and threw a blade", ("blade lost or broken", "rotor ran away")),
        ("The inverter cut out when the pump started", ("inverter cuts out",)),
        ("A human error on a humid day", ()),
        ("it broke", ()),
        ("no noise at all", ()),
        ("the fuse did not blow", ()),
        ("no blade was lost", ()),
    ],
)
def test_what_a_failure_looks_like(text, wanted):
    """Without doubt or not at all; what is denied is not seen."""
    assert symptoms_of(text) == wanted


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("magnets too weak", "generator.weak-magnets"),
        ("the motor is too fast for this rotor", "charging.never-reached"),
        ("the pipe had gone brittle in the sun", "blade.brittle"),
        ("gusts drove more current than the fuse carries", "fuse.gust-current"),
        ("the battery voltage sagged below the inverter's limit", "inverter.low-voltage"),
        ("lost in the thin cable", "charging.cable-loss"),
        ("bad luck", None),
        ("it is not the magnets", None),
        ("cable or magnets", None),
        ("bearing worn out", "bearing.drag"),
    ],
)
def test_what_a_builder_means(text, wanted):
    """The phrase of most words tells; what is denied or left between two is asked about."""
    assert mechanism_meant(text, MECHANISMS) == wanted


def test_a_worn_out_battery_is_no_bearing():
    """Nor is it asked about as one."""
    heard = mechanisms_heard("Battery worn out")
    assert heard.sure == ("battery.worn",)
    assert "bearing.drag" not in heard.likely[:2]


def test_what_is_doubtful_has_a_list():
    """The likeliest first."""
    assert symptoms_heard("the blades and the mast").sure == ()
    assert {"blade lost or broken", "mast or guy failed"} <= set(
        symptoms_heard("the blades and the mast").likely[:SHORT_LIST]
    )
    assert mechanisms_heard("bird strike").sure == ()
    assert "blade.tip-strike" in mechanisms_heard("bird strike").likely[:SHORT_LIST]
    assert mechanisms_heard("no idea").likely == ()


# Two hundred wordings


def right_ways(means):
    """Names of mechanisms by the stories' causes, or as they stand."""
    return {name for key in means for name in names.CAUSES.get(key, (key,))}


def counted(half):
    """Of what was seen and of what is believed: how many, understood, asked about by the short list, taken wrongly."""
    found = []
    for heard, rows in (
        (symptoms_heard, said.seen(half)),
        # A cause without a mechanism here must be taken for none.
        (mechanisms_heard, [(words, right_ways(right)) for words, right in said.meant(half)]),
    ):
        understood = asked = 0
        wrong = []
        for words, right in rows:
            h = heard(words)
            sure = [name for name in h.sure if name in SYMPTOMS or name in MECHANISMS]
            understood += bool(h.sure) and set(sure) <= right
            asked += not h.sure and (not right or bool(right & set(h.likely[:SHORT_LIST])))
            if not set(sure) <= right:
                wrong.append((words, h.sure))
        found.append((len(rows), understood, asked, wrong))
    return found


def test_wordings_worked_with_are_understood_or_asked_about():
    """Which ones are not is told."""
    for total, understood, asked, wrong in counted(said.WORKED_WITH):
        assert wrong == []
        assert understood + asked >= ENOUGH * total, f"{understood} understood, {asked} asked about, of {total}"


def test_wordings_kept_apart_are_understood_or_asked_about():
    """Of these only how many is told. A symptom too many beside the right one counts as taken wrongly."""
    totals = counted(said.KEPT_APART)
    right = sum(understood + asked for _, understood, asked, _ in totals)
    assert right >= ENOUGH * sum(total for total, *_ in totals), right
    (_, _, _, seen), (_, _, _, meant) = totals
    assert len(meant) == 0
    assert len(seen) <= TOO_MANY, len(seen)


def test_there_are_two_hundred_wordings():
    """In two halves of about the same size."""
    counts = [len(said.seen(half)) + len(said.meant(half)) for half in (said.WORKED_WITH, said.KEPT_APART)]
    assert sum(counts) >= 200
    assert min(counts) >= 90
