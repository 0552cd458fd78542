"""What is struck off: only what every number of fits, and never by a word alone."""

import csv
import io

import pytest

from calc.finding import Status
from calc.machine.buying import Needed, Rated, needed
from calc.machine.design import build_design
from calc.units import in_si
from journal.book import parts, records, revisions, sheet, store
from journal.book.tables import Part
from journal.errors import BadInput, Refused
from journal.review import verdict
from journal.review.buying import AtHand, Shopping, ShoppingLine, at_hand, match, shopping
from journal.screens.buying import notes, price_told, ratings
from journal.screens.buying_file import as_markdown, as_table, hold_place

FUSE = Needed("fuse", "fuse of cable mast", (Rated("", 63.0, "A", "63 A"), Rated("DC voltage", 80.0, "V", "80 V", True),
              Rated("breaks", 10000.0, "A", "10000 A", True)), run="mast")  # fmt: skip
CABLE = Needed("cable", "cable mast", (Rated("length", 34.0, "m", "34 m", True), Rated("", 10.0, "mm2", "10 mm2")))
BATTERY = Needed("battery", "battery", (Rated("", 24.0, "V", "24 V"), Rated("", 100.0, "Ah", "100 Ah", True)))
BLADES = Needed("blades", "pipe", (Rated("outside", 250.0, "mm", "250 mm"), Rated("wall", 6.2, "mm", "6.2 mm")))


def part(name, number=1, **more):
    """A part at hand."""
    return Part(build_id=1, number=number, name=name, **more)


def stands(line, *held):
    """How one line stands with some parts."""
    (found,) = match([line], list(held))
    return found


@pytest.mark.parametrize(
    ("line", "name", "standing"),
    [
        (FUSE, "fuse 63 A, 80 V DC, breaks 20 kA", AtHand.HAVE),
        (FUSE, "fuse 63 A, 125 V DC, breaks 10000 A", AtHand.HAVE),
        (FUSE, "fuse 63 A", AtHand.LOOK),
        (FUSE, "a box of fuses", AtHand.LOOK),
        (FUSE, "fuse 63 A, 32 V DC, breaks 20 kA", AtHand.BUY),
        (FUSE, "fuse 80 A, 80 V DC", AtHand.BUY),
        (FUSE, "main fuse 63 A, 80 V DC, breaks 20 kA", AtHand.BUY),
        (CABLE, "34 m of 10 mm2 cable", AtHand.HAVE),
        (CABLE, "40 m of 10 mm² cable", AtHand.HAVE),
        (CABLE, "30 m of 10 mm2 cable", AtHand.BUY),
        (CABLE, "34 m of 2.5 mm2 cable", AtHand.BUY),
        (CABLE, "34 m of 8 AWG cable", AtHand.BUY),
        (CABLE, "a drum of cable", AtHand.LOOK),
        (CABLE, "cable lugs for 10 mm2, 34 m of it", AtHand.BUY),
        (BATTERY, "LiFePO4 battery, 24 V 100 Ah", AtHand.HAVE),
        (BATTERY, "LiFePO4 battery, 24 V 280 Ah", AtHand.HAVE),
        (BATTERY, "LiFePO4 battery, 12 V 100 Ah", AtHand.BUY),
        (BATTERY, "battery switch, 24 V", AtHand.BUY),
        (BLADES, "2 m of drain pipe 250 x 6.2", AtHand.HAVE),
        (BLADES, "drain pipe 160 x 4.0", AtHand.BUY),
        (BLADES, "drain pipe", AtHand.LOOK),
    ],
)
def test_only_what_fits_in_every_number_is_struck_off(line, name, standing):
    """A fuse for 32 V is not that for 80 V, thin cable not thick, and a fuse of no rating is looked at first."""
    assert stands(line, part(name)).standing is standing


def test_what_will_not_do_says_why_and_what_is_not_said_is_asked():
    """In words that can be acted upon."""
    assert stands(CABLE, part("34 m of 2.5 mm2 cable")).unfit == ("P1 will not do: 2.5 mm2, 10 mm2 is wanted",)
    assert stands(FUSE, part("fuse 63 A")).look == ("DC voltage 80 V", "breaks 10000 A")


def test_the_best_part_serves_and_each_serves_one_line_of_a_kind():
    """Two runs are not both fed by one drum."""
    short = Needed("cable", "cable dump", (Rated("length", 2.0, "m", "2 m", True), Rated("", 10.0, "mm2", "10 mm2")))
    drum, left = part("34 m of 10 mm2 cable", 1), part("3 m of 10 mm2 cable", 2)
    one, other = match([CABLE, short], [drum, left])
    assert (one.part, other.part) == (drum, left)
    one, other = match([CABLE, short], [drum])
    assert one.standing is AtHand.HAVE
    assert other.standing is AtHand.BUY


def test_what_comes_with_something_else_is_looked_at():
    """The numbers of a tube tell nothing of the guys that came with it."""
    rope = Needed(
        "guy rope", "ropes", (Rated("", 5.0, "mm", "5 mm"), Rated("length", 9.0, "m", "9 m", True)), count=4.0
    )
    found = stands(rope, part("steel tube 60.3 x 3.0, 8 m, with guys and anchors", role="mast"))
    assert found.standing is AtHand.LOOK


def test_pieces_are_counted():
    """Three of four turnbuckles are not enough."""
    four = Needed("turnbuckle", "turnbuckles", (Rated("", 12.0, "mm", "12 mm"),), count=4.0)
    assert stands(four, part("turnbuckle 12 mm", quantity=3.0)).standing is AtHand.BUY
    assert stands(four, part("turnbuckle 12 mm", quantity=4.0)).standing is AtHand.HAVE
    assert stands(four, part("4 turnbuckles M12")).standing is AtHand.HAVE
    assert stands(four, part("3 turnbuckles M12")).standing is AtHand.BUY
    assert stands(four, part("turnbuckle M12")).standing is AtHand.BUY
    assert stands(four, part("turnbuckles M12")).look == ("4 pieces",)
    assert stands(four, part("turnbuckles M10", quantity=4.0)).standing is AtHand.BUY


def test_the_demo_is_told_with_what_the_checks_say(told):
    """The cable and the battery are struck off, the fuses are to be bought; of r1 nothing yet."""
    with store.journal(told / "demo.db") as s:
        second, first = shopping(s, "r2"), shopping(s, "r1")
    by_name = {line.needed.name: line for line in second.lines}
    assert by_name["cable mast"].standing is AtHand.HAVE
    assert by_name["battery"].standing is AtHand.LOOK, "its cell monitor is over its limit"
    assert by_name["fuse of cable inverter, with holder"].standing is AtHand.BUY
    assert by_name["fuse of cable inverter, with holder"].needed.unsaid == ("breaks",)
    brake = by_name["brake switch"]
    assert (brake.standing, brake.unfit) == (
        AtHand.BUY, ("P13 three-pole brake switch will not do: 63 A by the sheet, 160 A is wanted",)
    )  # fmt: skip
    assert by_name["ropes of the guys low"].standing is AtHand.BUY, "those of the sheet are shorter"
    assert "BUY NOTHING FOR IT YET" in as_markdown(first)
    assert "BUY NOTHING" not in as_markdown(second)
    assert {h.device.kind for h in first.absent} >= {"brake", "dump", "earth"}


def test_the_size_that_holds_is_asked_for_and_not_that_of_the_sheet(told):
    """As the remedies of the checks name it: arresters, brake switch, hub plate, and the mast with its ropes."""
    with store.journal(told / "demo.db") as s:
        found = shopping(s, "r2")
        asked = {f.rule: f.remedies for f in verdict.check(s, "r2", advise=True).findings}
    by_name = {line.needed.name: line for line in found.lines}
    for name, rule, path in (("surge arresters", "protection.surge", "protection.surge_voltage"),
                             ("brake switch", "protection.brake-switch", "protection.brake_current")):  # fmt: skip
        (change,) = [c for c in asked[rule][0].changes if c.path == path]
        assert by_name[name].asked.rated[0].value == pytest.approx(change.value), name
        assert by_name[name].needed.rated[0].value < change.value
    plate = by_name["hub plates"]
    assert (plate.needed.rated[0].text, plate.asked.rated[0].text) == ("8 mm", "10 mm")
    assert ratings(plate) == "thickness 10 mm or more (THE SHEET HAS thickness 8 mm)"
    rope = by_name["ropes of the guys top"]
    assert rope.asked.rated[1].value > rope.needed.rated[1].value, "a taller mast has longer ropes"


def test_bolts_reach_through_the_plates_that_are_bought(told):
    """By hand: two plates of 10 mm, a wall of 6.2 mm, 6 mm and 6 + 8.856 mm of packers, and two diameters of 8 mm."""
    with store.journal(told / "demo.db") as s:
        bolts = next(line for line in shopping(s, "r2").lines if line.needed.kind == "bolts")
    through = 2 * 10 + 6.2 + 6 + 6 + (118.8 - (118.8**2 - 45**2) ** 0.5) + 2 * 8
    (length,) = [r for r in bolts.asked.rated if r.what == "length"]
    assert through <= length.value < through + 5
    assert any("hub plate" in words for words in bolts.asks), "and why"


def test_whatever_goes_with_something_that_is_bought_larger_goes_with_that_size(told):
    """The list of the sheet with all those sizes put on it is the list of what is bought."""
    with store.journal(told / "demo.db") as s:
        review = verdict.check(s, "r2", advise=True)
        lines = shopping(s, "r2").lines
    again = {r.path: in_si(r.value, r.unit) for line in lines if line.holds for r in line.holds.rated if r.path}
    # Lengths of ropes follow from heights, which are no size of a thing that is bought.
    again |= {c.path: c.value for f in review.findings if f.rule == "mast.height" for c in f.remedies[0].changes}
    other = {(n.kind, n.run, n.name): n for n in needed(build_design({**review.sheet.design.values, **again}))}
    for line in lines:
        of = line.needed
        assert line.asked.rated == other[of.kind, of.run, of.name].rated, of.name


def test_what_check_would_have_is_told_where_it_is_not_taken_up(told):
    """A larger vane is asked for by a marginal finding only: the line follows the sheet, and says so."""
    with store.journal(told / "demo.db") as s:
        found = shopping(s, "r2")
        (finding,) = [f for f in verdict.check(s, "r2", advise=True).findings if f.rule == "yaw.tail-size"]
    (tail,) = [line for line in found.lines if line.needed.kind == "tail"]
    assert finding.remedies[0].says in tail.rather
    assert tail.holds is None
    assert any("Follows the sheet" in note and "Make the vane larger" in note for note in notes(tail))
    for line in found.lines:
        assert not set(line.rather) & set(line.asks), line.needed.name


@pytest.mark.parametrize("ref", ["r1", "r2"])
def test_the_list_asks_for_what_check_asks_for(told, ref):
    """Each thing of its plan is at a line, or told apart: nothing that check says to do is missing, or other."""
    with store.journal(told / "demo.db") as s:
        found, review = shopping(s, ref), verdict.check(s, ref, advise=True)
    plan = [r for t in review.plan.todos for r in t.remedies if r.changes]
    assert plan
    asked = {says for line in found.lines for says in line.asks} | {says for says, _ in found.also}
    lifts = [says for says in asked if "rotor's centre" in says]
    for remedy in plan:
        # A stronger tube alone goes with the taller mast on that same tube.
        assert remedy.says in asked or (lifts and "Make the mast of tube" in remedy.says), remedy.says
    if ref == "r1":
        assert "Use cable of 10 mm2 or more." in asked, "with a tail that furls, as check has it, and not 16 mm2"
        brought = {name for _, names in found.also for name in names}
        assert {"brake switch", "dump load", "battery switch"} <= brought
        assert "brake switch" in as_markdown(found)


def test_masses_and_prices_are_those_of_what_is_bought():
    """Of 10 mm2 in place of 2.5 mm2 four times the copper; what a metre of 2.5 mm2 costs tells nothing of it."""
    thin = Needed("cable", "cable mast", (Rated("", 2.5, "mm2", "2.5 mm2"),), mass=1.5, price=20.0)
    thick = Needed("cable", "cable mast", (Rated("", 10.0, "mm2", "10 mm2"),), mass=6.0, price=20.0)
    line = ShoppingLine(thin, AtHand.BUY, None, (), (), (), holds=thick)
    assert Shopping(None, [line], [], [], []).mass == (6.0, 0)
    assert Shopping(None, [line], [], [], []).price == (0, 1)
    assert ShoppingLine(thin, AtHand.BUY, None, (), (), ()).price == 20.0


def test_what_fails_a_check_is_bought_though_it_lies_there(told):
    """The first tube is not struck off; that of the taller mast is what is to be bought."""
    with store.journal(told / "demo.db") as s:
        found = shopping(s, "r2")
    (mast,) = [line for line in found.lines if line.needed.kind == "mast"]
    assert mast.standing is AtHand.BUY
    assert mast.part is None
    assert [r.text for r in mast.asked.rated[:2]] == ["76.1 mm", "4 mm"]
    assert any(words.startswith("P9 ") and "will not do" in words for words in mast.unfit)
    assert "P9" not in {p.ref for p in found.others}
    for line in found.standing(AtHand.HAVE):
        assert not any(w.status in (Status.DANGER, Status.FAIL) or w.over for w in line.against), line.needed.name


def test_what_was_paid_for_a_part_is_told_once(told):
    """One tail is vane and boom, and cost its price once."""
    with store.journal(told / "demo.db") as s:
        found = shopping(s, "r2")
    paid = [price_told(line) for line in found.lines if line.part is not None and line.part.ref == "P15"]
    assert sorted(paid) == ["22 GBP paid", "paid with P15 above"]


def test_what_guards_is_bought_first(told):
    """Fuses, arresters and the earth stand before all else, on paper too."""
    with store.journal(told / "demo.db") as s:
        text = as_markdown(shopping(s, "r2"))
    assert text.index("surge arresters") < text.index("bolts of the blades")
    assert text.index("earth electrode") < text.index("hub plate")


def test_broken_and_sold_parts_are_not_at_hand_and_spare_ones_of_other_revisions_are(path):
    """Whatever is gone is bought anew."""
    with store.journal(path, write=True) as s:
        for name in ("brake switch one", "brake switch two", "brake switch three"):
            parts.add_part(s, parts.PartTyped(name, on="r1"))
        parts.fate(s, "P1", "broken", on="r1")
        parts.fate(s, "P2", "spare", on="r1")
        sheet.set_values(s, records.find_revision(s, "r1"), {"rotor.diameter": {"typed": "2 m"}})
        revisions.revise(s, "r1")
    with store.journal(path) as s:
        first, second = (records.find_revision(s, ref) for ref in ("r1", "r2"))
        assert [p.ref for p in at_hand(s, first)] == ["P2", "P3"]
        assert "P2" in [p.ref for p in at_hand(s, second)]
        assert "P1" not in [p.ref for p in at_hand(s, second)]


def test_files_are_dead_text(told):
    """A name that a program for tables would compute, or a page take for a link, stays a name."""
    with store.journal(told / "demo.db") as s:
        found = shopping(s, "r2")
    found.lines[0].part.name = "=HYPERLINK(1) [x](http://example.org) <b>"
    rows = list(csv.reader(io.StringIO(as_table(found))))
    assert len({len(row) for row in rows}) == 1
    assert not any(cell.startswith(("=", "+", "-", "@")) for row in rows for cell in row)
    assert "http:" not in as_markdown(found)
    assert "<b>" not in as_markdown(found)


def test_a_place_that_cannot_be_is_refused_with_what_could_be(tmp_path):
    """Before anything is worked out: what was typed, what is wrong with it, and what would be taken."""
    (tmp_path / "plain").write_text("in the way")
    for name, wrong, accepted in (
        ("list.xls", "has the ending .xls", "list.md"),
        ("list", "has no ending", "list.md"),
        (".", "is a folder", "shopping.md"),
    ):
        with pytest.raises(BadInput, match=wrong) as told:
            hold_place(tmp_path / name)
        assert accepted in str(told.value)
        assert f"--to {tmp_path}" in str(told.value)
    for name, wrong in (("none/list.md", "none is no folder that is there"), ("plain/list.md", "plain is a file, not")):
        with pytest.raises(Refused, match=wrong):
            hold_place(tmp_path / name)
    hold_place(tmp_path / "list.CSV")


def _listed(path, **values):
    """The list of a fresh revision with some values, in words as typed."""
    with store.journal(path, write=True) as s:
        typed = {name.replace("__", "."): {"typed": value} for name, value in values.items()}
        sheet.set_values(s, records.find_revision(s, "r1"), typed)
    with store.journal(path) as s:
        return shopping(s, "r1")


def test_what_the_sheet_says_nothing_of_is_named_with_its_command(path):
    """A rectifier of which nothing is known is on no line, and told apart; once stated it is on the list."""
    first = _listed(path, generator__phases="three-phase", generator__emf_constant="7.5 rpm/V",
                    storage__chemistry="none")  # fmt: skip
    assert "rectifier" not in {line.needed.kind for line in first.lines}
    text = as_markdown(first)
    assert 'Rectifier: galebook set generator.rectifier_voltage "1000 V" --on r1' in text.replace("\\", "")
    assert not any("battery" in name.casefold() for name, _ in first.unstated)
    second = _listed(path, generator__rectifier_current="35 A")
    assert "rectifier" in {line.needed.kind for line in second.lines}
    assert "Rectifier" not in dict(second.unstated)
    assert "(generator.rectifier_voltage)" in as_markdown(second).replace("\\", "")


def test_a_heater_is_listed_as_it_is_and_what_the_checks_ask_of_it_in_words(path):
    """Several in series are no heater of as many volts."""
    found = _listed(
        path, storage__chemistry="none", load__heater__power="600 W", load__heater__voltage="48 V",
        load__heater__kind="heater or other resistance", rotor__diameter="1.8 m", rotor__blades="3",
        generator__emf_constant="7.5 rpm/V", generator__winding_resistance="0.6 ohm", generator__phases="three-phase",
        mast__height="9 m", site__mean_wind="4.8 m/s",
    )  # fmt: skip
    (line,) = [line for line in found.lines if line.needed.kind == "loads"]
    assert "power 600 W or more" in ratings(line)
    assert "THE SHEET HAS" not in ratings(line)
    assert any(w.status is Status.FAIL for w in line.against)
    assert any("in series" in words for words in line.asks)


@pytest.mark.parametrize("name", ["heating element 600 W, 48 V", "two lamps"])
def test_a_heater_at_hand_is_known_as_what_loads_the_rotor(name):
    """By its name; the dump load is another thing."""
    heater = Needed(
        "loads", "load heater", (Rated("power", 600.0, "W", "600 W", True), Rated("made for", 48.0, "V", "48 V"))
    )
    assert stands(heater, part(name)).part is not None
    assert stands(heater, part("dump load heater 600 W 48 V")).part is None
