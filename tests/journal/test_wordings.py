"""Private things in other words are known, honest words are not taken for them, and what is found is told."""

import itertools
import re
import time

import pytest

from journal.book import store
from journal.errors import Refused
from journal.publish import gate, redact, writeup
from journal.publish import story as story_of
from journal.publish.coordinates import Hidden, positions
from journal.publish.finds import Find, told
from journal.publish.likeness import Likeness
from journal.publish.scrub import LEFT_OUT, Scrub, pieces
from journal.publish.suspects import suspects
from tests.conftest import copied
from tests.journal.wordings import HONEST, KEPT_APART, SECRETS, WORKED_WITH

PUBLIC = "upland farmland"
#: Words in the examples that tell nothing by themselves.
_NOTHING = re.compile(
    r"\b(?:the|and|near|for|png|jpg|IMG|https?|maps|invalid|mailto|number|farm|nbsp|Mr|lat|lon|geo|spare|key|behind|shed|"
    r"pott?|17z)\b|(?<=_)jpg|IMG_",
    re.IGNORECASE,
)


def scrub():
    """What hides all of them."""
    hidden = {kind: [p for t in texts for p in pieces(kind, t, PUBLIC)] for kind, texts in SECRETS.items()}
    return Scrub(hidden, like=Likeness(SECRETS, PUBLIC))


def caught(one, wording):
    """Whether nothing of a wording is left that tells anything."""
    left = one(f"seen at {wording} today").replace(LEFT_OUT, " ").removeprefix("seen at").removesuffix("today")
    return re.search(r"[^\W_]{3,}|\d", _NOTHING.sub("", left)) is None


@pytest.mark.parametrize(("half", "least"), [(WORKED_WITH, 1.0), (KEPT_APART, 0.95)], ids=["worked with", "kept apart"])
def test_other_wordings_are_known(half, least):
    """Of those that the program was made with, all; of those that were kept apart, nearly all."""
    one = scrub()
    wordings = [w for kind in half.values() for w in kind]
    missed = [w for w in wordings if not caught(one, w)]
    assert len(wordings) > 60
    assert 1 - len(missed) / len(wordings) >= least, f"{len(missed)} of {len(wordings)}"


@pytest.mark.parametrize("text", HONEST)
def test_honest_words_are_not_taken_for_them(text):
    """Nor warned of."""
    assert scrub()(text) == text
    assert list(suspects(text)) == []


def test_the_demo_tells_nothing_by_accident(told):
    """With all those secrets on record, its own texts stay as they are, but for what is really in them."""
    with store.journal(told / "demo.db") as s:
        tale = story_of.tell(s)
    tale.secrets.update({kind: [*texts, *tale.secrets.get(kind, [])] for kind, texts in SECRETS.items()})
    found = redact.for_reader(tale, frozenset())
    assert (found.finds, found.suspects) == ((), ())


def test_time_grows_with_the_text_only():
    """Four times the text takes about four times as long; measured on the same machine, in one run."""
    text = "\n".join(HONEST) + "\nnothing of it here, at 12.3 V and 4.5 A\n"

    def seconds(times):
        one = Likeness(SECRETS, PUBLIC)
        began = time.perf_counter()
        for line in (text * times).split("\n"):
            one.spots(line)
        return time.perf_counter() - began

    seconds(10)
    assert min(seconds(80) for _ in range(3)) < 8 * min(seconds(20) for _ in range(3))


# From the specification of Open Location Code, its own example and test data: code, latitude, longitude of the middle.
CODES = [("8FVC9G8F+6X", 47.365562, 8.524938), ("7FG49QCJ+2V", 20.3700625, 2.7821875)]


@pytest.mark.parametrize(("code", "north", "east"), CODES)
def test_plus_codes_are_read_as_their_specification_says(code, north, east):
    """To half of their smallest square."""
    p = next(iter(positions(f"at {code}, north")))
    assert (p.north, p.east) == (pytest.approx(north, abs=1e-4), pytest.approx(east, abs=1e-4))


@pytest.mark.parametrize("other", ["55.47781, -2.11234", "54.47781, -3.11234", "54.4 W and 2.1 A", "12:34:56 N"])
def test_another_place_is_another(other):
    """A degree away."""
    assert list(Hidden(["54.47781 N 2.11234 W"]).spots(other)) == []


LOOKS = [
    ("an address of mail", "write to a.b@quern.invalid"),
    ("a telephone number", "ring +49 30 1234567"),
    ("a telephone number", "0000 111 222"),
    ("a street address", "7 Hollow Lane"),
    ("a street address", "Mühlenstraße 12"),
    ("coordinates", "54.47781, -2.11234"),
    ("coordinates", "54°28'40\"N 2°06'44\"W"),
    ("a number plate", "AB12 CDE"),
    ("a number plate", "M-AB 1234"),
    ("a bank account", "GB82 WEST 1234 5698 7654 32"),
    ("a serial number", "serial no. KX-4711"),
    ("coordinates", "https://maps.invalid/x/1"),
    # Forms of the Ordnance Survey grid, UTM, MGRS, open location codes and Maidenhead locators; all invented.
    ("coordinates", "SK 123 456"),
    ("coordinates", "NY1234567890"),
    ("coordinates", "32U 456789 5678901"),
    ("coordinates", "32UMV 12345 67890"),
    ("coordinates", "9F4MGC2X+3X"),
    ("coordinates", "JO62qm"),
]
TRADE = [
    "12 V 60 Ah",
    "2026-01-12 21:40",
    "2026-01-12T21:40Z",
    "0.42 ohm, 62 rpm/V",
    "160 x 4.0 mm pipe",
    "PVC-U 250",
    "H07RN-F 3G2.5",
    "IEC 60228",
    "12.01.2026",
    "LiFePO4 100 Ah",
    "0.3 0.4 0.5 A",
    "from 08:15 to 17:30",
    "r2 A3 M12",
    "1000 1200 1400 1600",
    "12.345 V, 0.302 A",
    "4.500, 5.250 m/s",
    "60.3 x 3.0 tube, 8 m",
    "M8 x 40 A2-70",
    "54 N and 12 N at the tail",
    "SM 60 mm, TP 4056 and 3500+350 W",
    "BTA41 and 2N3055",
    "DC 120 240, AC 230 400 V",
]


@pytest.mark.parametrize(("what", "text"), LOOKS, ids=[t for _, t in LOOKS])
def test_what_looks_private_is_warned_of(what, text):
    """Though nobody marked it so."""
    assert [found for found, *_ in suspects(f"Today {text} was here")] == [what]


@pytest.mark.parametrize("text", TRADE)
def test_what_the_trade_writes_is_not(text):
    """Voltages, days, sizes and names of cables."""
    assert list(suspects(f"Today {text} was here")) == []


# The words above are also those of an IBAN with a wrong check digit, which is none.
def test_an_account_is_known_by_its_check_digits():
    """ISO 13616."""
    assert list(suspects("GB83 WEST 1234 5698 7654 32")) == []


@pytest.fixture
def private_demo(told, tmp_path, clock):
    """The demo with a builder, and three texts that tell: certainly, nearly, and what only looks private."""
    copied(told, tmp_path / "p")
    path = tmp_path / "p" / "demo.db"
    with store.journal(path, write=True) as s:
        from journal.book import attempts, records

        records.current_build(s).builder = "Odo Quillfeather"
        attempts.log_attempt(
            s, attempts.AttemptTyped("Looked\nwith Odo Quillfeather", saw="At Windel Fold; ring 0000 111 222", on="r2")
        )
    return path


def test_finds_are_shown_with_where_they_stand(private_demo, run, tmp_path):
    """Before anything is written; with --try nothing is."""
    args = ["--journal", str(private_demo), "writeup", "--for", "forum", "--with", "appendix"]
    args += ["--out", str(tmp_path / "f.md")]
    done = run(*args, "--try")
    assert done.code == 0
    assert "“Odo Quillfeather” (A10, did, line 2)" in done.err
    assert "“Windel Fold” (A10, saw), like it only" in done.err
    assert "“0000 111 222” (A10, saw)" in done.err
    assert not (tmp_path / "f.md").exists()
    assert run(*args).code == 0
    text = (tmp_path / "f.md").read_text()
    assert "Windel" not in text
    assert "Quillfeather" not in text
    assert "0000 111 222" in text


@pytest.mark.parametrize(("answer", "stays"), [("y", False), ("n", True)])
def test_at_a_terminal_what_is_only_like_it_is_asked_about(
    private_demo, run, answers, monkeypatch, tmp_path, answer, stays
):
    """And what is certain is not."""
    from journal.cli import writeup as command

    monkeypatch.setattr(command, "at_terminal", lambda: True)
    asked = answers(*itertools.repeat(answer, 9))
    args = ["--journal", str(private_demo), "writeup", "--for", "forum", "--with", "appendix"]
    run(*args, "--out", str(tmp_path / "f.md"))
    assert len(asked) == 1
    assert "Windel Fold" in asked[0]
    text = (tmp_path / "f.md").read_text()
    assert ("Windel" in text) is stays
    assert "Quillfeather" not in text


def test_words_of_a_template_go_through_the_gate_too(private_demo, tmp_path):
    """The builder's own template may name what the story does not; two fields may tell together."""
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / "forum.md").write_text("# By Odo Quillfeather\n\nat Windle\u00a0Fold | and | Windle | Fold\n")
    with store.journal(private_demo) as s:
        made = writeup.render(story_of.tell(s), "forum", "md", tmp_path / "own")
    assert made.text == f"# By {LEFT_OUT}\n\nat {LEFT_OUT} | and | Windle | Fold\n"
    assert [f.where for f in made.finds if f.where == "the finished text"] == ["the finished text"] * 2


@pytest.mark.parametrize(
    "source",
    [
        "<p>at <em>Windle</em> Fold</p>",
        '<img alt="Windle Fold">',
        "<!-- windle-fold -->",
        "<p>W&#105;ndle&nbsp;Fold</p>",
        '<img src="data:image/svg+xml;base64,PHN2Zz48ZGVzYz5XaW5kbGUgRm9sZDwvZGVzYz48L3N2Zz4=">',
        "<!DOCTYPE windle fold>",
        '<img src="data:image/png;base64,iVBORw0KGgoAAAADdEVYdGFiYwAAAAA=">',
        "<title>WINDLE FOLD</title>",
    ],
)
def test_a_page_that_tells_all_the_same_is_not_written(source):
    """In a text, an attribute, a comment, the source of a picture, or a picture's own words."""
    one = Scrub({"place": ["Windle Fold"]}, like=Likeness({"place": ["Windle Fold"]}))
    with pytest.raises(Refused, match="Nothing was written"):
        gate.page(f"<html><body>{source}</body></html>", one)
    gate.page("<p>Windle</p><p>Fold</p>", one)


def test_long_lists_are_cut_short():
    """Unless all is asked for."""
    finds = [Find("place", f"A{i}, saw", 1, "x") for i in range(30)]
    assert told(finds)[-1] == "  and 20 more; see all with --try"
    assert len(told(finds, every=True)) == 31


#: Of a builder and a place with postcode and coordinates, all invented.
TOLD_OTHERWISE = [
    "Ottilie's garden", "Ottilies shed", "N47.3512 E11.2207", "47 deg 21 min 4 sec north, 11 deg 13 min 15 sec east",
    "lat: 47.3512", "47.3512 north and then some 11.2207 east", "PLZ 83999", "D-83999", "Quellg. 14", "Hinter-moos",
]  # fmt: skip
NOT_TOLD = ["47.4 rpm", "12.345 V", "83.999 kWh", "14 bolts", "a well in a garden", "47 deg and 21 minutes of rain"]


@pytest.mark.parametrize("text", [*TOLD_OTHERWISE, *NOT_TOLD])
def test_a_name_at_the_beginning_and_half_a_place_are_found(path, run, text):
    """First names, postcodes, one coordinate, streets cut short; not what only looks like numbers."""
    run("amend", "build", "place=Quellgasse 14, 83999 Hintermoos, 47.3512 N 11.2207 E", "--because", "told now")
    run("amend", "build", "builder=Ottilie Zackenfels", "--because", "told now")
    assert run("attempt", text).code == 0
    page = run("writeup", "--for", "forum").out
    assert ("(left out)" in page) == (text in TOLD_OTHERWISE)
