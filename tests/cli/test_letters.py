"""Units in the letters of people: wherever these can be shown, and as they are typed back."""

import io
import json
import re
import sys

import pytest

from calc.machine.design import catalogue
from calc.quantities import QUANTITIES
from calc.units import as_written, show
from journal.book import records, store
from journal.book.quantity import parse
from journal.book.sheet import load_sheet, read_value
from journal.publish.figures import canvas
from journal.screens.terminal import Terminal

#: Plain, and as standards print them (BIPM, The International System of Units, 9th edition, tables 4 to 8).
LETTERS = [
    ("16 mm2", "16 mm²"), ("0.42 ohm", "0.42 Ω"), ("12 mohm", "12 mΩ"), ("1.83 ohm/km", "1.83 Ω/km"),
    ("-6 degC", "-6 °C"), ("68 degF", "68 °F"), ("9.8 m/s2", "9.8 m/s²"), ("900 W/m2", "900 W/m²"),
    ("2.4 m3/h", "2.4 m³/h"), ("1.2 kg/m3", "1.2 kg/m³"), ("0.3 kg m2", "0.3 kg m²"), ("250 uH", "250 µH"),
    ("22 deg", "22°"), ("20 to 24 deg.", "20 to 24°."), ("(16 mm2)", "(16 mm²)"), ('"16 mm2"', '"16 mm²"'),
]  # fmt: skip
#: What is no unit behind a number, though it looks like one.
LEFT = [
    "r2 m3", "F3 A2", "15 A3", "the 10 mm2.jpg", "/home/10 mm2/x", "mm2", "12 AWG", "3 ohms", "41 dB(A)", "10 mm22",
    "cable.mast.area", "62 rpm/V", "10 V", "16 mm²",
]  # fmt: skip


@pytest.mark.parametrize(("plain", "letters"), LETTERS)
def test_units_are_written_as_people_write_them(plain, letters):
    """And what is written so is written so again."""
    assert as_written(plain) == letters
    assert as_written(letters) == letters


@pytest.mark.parametrize("text", LEFT)
def test_what_is_no_unit_stays(text):
    """Names, files, and units that have no other letters."""
    assert as_written(text) == text


@pytest.mark.parametrize(
    ("encoding", "shown"),
    [
        ("utf-8", "16 mm² of 0.4 Ω at 20 °C"), ("ascii", "16 mm2 of 0.4 ohm at 20 degC"),
        ("cp1252", "16 mm² of 0.4 ohm at 20 °C"), ("cp437", "16 mm² of 0.4 Ω at 20 °C"),
        ("no-such", "16 mm2 of 0.4 ohm at 20 degC"),
    ],
)  # fmt: skip
def test_a_terminal_gets_the_letters_that_it_has(monkeypatch, encoding, shown):
    """Windows' western code page has no omega (Unicode's CP1252.TXT), that of old DOS has (CP437.TXT)."""
    text = "16 mm2 of 0.4 ohm at 20 degC"
    assert as_written(text, encoding) == shown
    if encoding != "no-such":
        out = io.BytesIO()
        monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(out, encoding=encoding))
        Terminal().line(text)
        sys.stdout.flush()
        assert out.getvalue().decode(encoding).rstrip() == shown


def test_every_way_of_a_screen_writes_them(capsys):
    """Lines, blocks, tables, facts."""
    out = Terminal()
    out.title("1 mm2"), out.heading("2 mm2"), out.block("3 mm2", ["4 mm2"]), out.indent("5 mm2"), out.unfolded("6 mm2")
    out.pieces(("7 mm2", "bold")), out.table(("8 mm2", ""), [("9 mm2", "10 mm2")]), out.facts([("11 mm2", "12 mm2")])
    said = capsys.readouterr().out
    assert "mm2" not in said
    assert said.count("mm²") == 12


SHOWN = sorted({(e.unit, e.shown, e.path) for e in catalogue().values() if e.kind == "number" and e.shown})


@pytest.mark.parametrize(("unit", "shown", "path"), SHOWN, ids=[path for *_, path in SHOWN])
def test_what_is_shown_can_be_typed_again(unit, shown, path):
    """Either form means the same."""
    entry = catalogue()[path]
    middle = (max(entry.low, -1e9) + min(entry.high, 1e9)) / 2
    plain = show(middle, shown)
    assert parse(as_written(plain), entry, path).value == parse(plain, entry, path).value


@pytest.mark.parametrize("typed", ["0.42 Ω", "0.42 \u2126", "420 mΩ", "0.42 ohm +- 50 mΩ"])
def test_both_omegas_are_ohms(typed):
    """That of the Greek alphabet and that of the ohm sign."""
    assert parse(typed, QUANTITIES["generator.resistance"], "x").value == pytest.approx(0.42)


def test_a_command_copied_from_a_screen_is_taken(path, run):
    """With the letters of people in it, and with plain ones; the sheet that a person edits stays plain."""
    for typed in ("16 mm²", "16 mm2"):
        assert run("set", "cable.mast.area", typed).code == 0
        with store.journal(path) as s:
            assert load_sheet(s, records.find_revision(s)).values["cable.mast.area"].number == pytest.approx(16e-6)
    assert "16 mm²" in run("sheet").out
    assert "mm²" not in run("sheet", "--toml").out
    assert run("set", "storage.coldest", "-6 °C").code == 0
    assert "-6 °C" in run("sheet").out


WORDS = [(e.path, word) for e in catalogue().values() for word in e.choices if as_written(word) != word]


@pytest.mark.parametrize(("path", "word"), WORDS, ids=[word for _, word in WORDS])
def test_a_word_with_a_unit_in_it_is_taken_as_it_is_shown(path, word):
    """And kept as the catalogue has it; also its beginning, plain or not."""
    for typed in (word, as_written(word), as_written(word)[:-1], word[:-1]):
        assert read_value(path.replace("cable.", "cable.main."), typed)["word"] == word


def test_a_name_with_a_unit_in_it_is_taken_as_it_is_shown(path, run):
    """Of an option and of a criterion: whoever copies what the screen shows means the same."""
    run("set", "rotor.diameter", "2 m"), run("decide", "Which cable?"), run("option", "D1", "10 mm2 of copper")
    assert "10 mm² of copper" in run("weigh", "D1").out
    assert run("option", "D1", "10 mm² of copper").code == 1
    run("criterion", "D1", "fits 16 mm2 lugs", "--weight", "2")
    assert run("mark", "D1", "10 mm² of copper", "fits 16 mm² lugs", "7").code == 0
    assert run("choose", "D1", "10 mm² of copper", "--because", "at hand").code == 0


@pytest.mark.parametrize("call", ["check r2", "compare r1 r2", "sheet r2", "power r2"])
def test_scripts_get_plain_letters(story, run, call):
    """JSON stays as it was."""
    told = run(*call.split(), "--json").out
    assert not re.search(r"\d (mm²|Ω|mΩ|°C)", told)
    json.loads(told)
    if call == "check r2":
        assert re.search(r"\d °C", run(*call.split(), "--all").out)


@pytest.mark.parametrize("reader", ["forum", "neighbour", "workshop"])
def test_pages_have_the_letters_always(told, reader):
    """Whatever the machine that writes them can show."""
    for form in ("md", "html"):
        page = (told / f"{reader}.{form}").read_text(encoding="utf-8")
        assert not re.search(r"\d (mm2|m?ohm|degC|m3|m/s2|W/m2)\b", page)
        assert (reader == "neighbour") or re.search(r"\d (mm²|Ω)", page)


def test_pictures_have_them_too():
    """In what is drawn, and in the words for those who cannot see it."""
    picture = canvas.Picture("p", "2 x 16 mm2", "at 20 degC", lambda: None)
    assert (picture.title, picture.alt, canvas.plain("16 mm2")) == ("2 x 16 mm²", "at 20 °C", "16 mm²")
