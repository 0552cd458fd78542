"""What people type instead of the plain form: numbers, units, words, names, money."""

import math

import pytest

from calc.machine import catalogue
from calc.quantities import QUANTITIES
from calc.units import in_si, plain_unit, si_size, to_shown
from journal.book import naming, turns
from journal.book.choosing import word
from journal.book.heard import hearing
from journal.book.measurements import quantity_named, read_measurement
from journal.book.plain_quantity import Unclear
from journal.book.quantity import parse
from journal.book.sheet import named_input, read_value
from journal.book.spoken_units import units_meant
from journal.book.written import money
from journal.errors import BadInput

INPUTS = catalogue.catalogue()
ASKED = {**QUANTITIES, **INPUTS}

#: What is asked for, what is typed, and what it means in its plain form (read by the plain reader alone).
READ = [
    ("rotor.diameter", "2,2 m", "2.2 m"), ("rotor.diameter", "2 200 mm", "2200 mm"),
    ("rotor.diameter", "2'200 mm", "2200 mm"), ("rotor.diameter", "2,200 m", "2.2 m"),
    ("rotor.diameter", "2.2 metres", "2.2 m"), ("rotor.diameter", "two metres", "2 m"),
    ("rotor.diameter", "2 m 20", "2.2 m"), ("rotor.diameter", "seven feet", "7 ft"),
    ("rotor.diameter", "7'2\"", "86 in"), ("rotor.diameter", "7 ft 2 in", "86 in"),
    ("rotor.diameter", "7' 2 1/2\"", "86.5 in"), ("mast.height", "17'", "17 ft"), ("mast.height", "5'6", "66 in"),
    ("mast.tube_diameter", "2\"", "2 in"), ("mast.tube_diameter", "1 1/2\"", "1.5 in"),
    ("mast.tube_diameter", "1-1/2 inch", "1.5 in"), ("mast.tube_diameter", "½ in", "0.5 in"),
    ("guy.pretension", "2,5 kN", "2.5 kN"), ("guy.pretension", "250 kg", "2451.6625 N"),
    ("gin.winch", "2000 lb", "8896.443230521 N"), ("rotor.design_speed", "1,000 rpm", "1000 rpm"),
    ("rotor.design_speed", "1 000 rpm", "1000 rpm"), ("rotor.design_speed", "15 Hz", "900 rpm"),
    ("generator.emf_constant", "31 V at 240 rpm", "7.741935483871 rpm/V"),
    ("generator.emf_constant", "60 1/min/V", "60 rpm/V"), ("storage.voltage", "12v", "12 V"),
    ("storage.voltage", "12 volts", "12 V"), ("storage.voltage", "24 V DC", "24 V"),
    ("storage.voltage", "24VDC", "24 V"), ("storage.voltage", "twelve volts", "12 V"),
    ("storage.voltage", "twenty-four volts", "24 V"), ("storage.capacity", "100ah", "100 Ah"),
    ("storage.capacity", "100 Ahr", "100 Ah"), ("storage.capacity", "100 amp hours", "100 Ah"),
    ("charge.current", "3 amps", "3 A"), ("charge.current", "-0,9 A", "-0.9 A"),
    ("battery.voltage", "12 to 14 V", "12 to 14 V"), ("battery.voltage", "12-14 V", "12 to 14 V"),
    ("battery.voltage", "12..14 V", "12 to 14 V"), ("battery.voltage", "between 12 and 14 V", "12 to 14 V"),
    ("battery.voltage", "12V - 14V", "12 to 14 V"), ("battery.voltage", "12V±0.5", "12 V +- 0.5 V"),
    ("battery.voltage", "12 V plus minus 5%", "12 V +- 5 %"),
    ("battery.voltage", "12,5 V +/- 0,5 V", "12.5 V +- 0.5 V"),
    ("battery.voltage", "about 12 V", "12 V +- 10 %"), ("battery.voltage", "ca. 12 V", "12 V +- 10 %"),
    ("battery.voltage", "~12v", "12 V +- 10 %"), ("battery.voltage", "approx. 12 V", "12 V +- 10 %"),
    ("battery.voltage", "roughly 12,4 volts", "12.4 V +- 10 %"), ("battery.voltage", "about 12 V ± 1 V", "12 V +- 1 V"),
    ("battery.temperature", "50F", "50 degF"), ("battery.temperature", "50 F", "50 degF"),
    ("battery.temperature", "50 °F", "50 degF"), ("battery.temperature", "-8 C", "-8 degC"),
    ("battery.temperature", "\u22128 °C", "-8 degC"), ("battery.temperature", "minus 8 degrees C", "-8 degC"),
    ("battery.temperature", "about 20 C", "20 degC +- 2 K"), ("generator.short_current", "<5 A", "0 to 5 A"),
    ("cable.area", "12 gauge", "12 AWG"), ("cable.area", "12ga", "12 AWG"), ("cable.area", "#12 AWG", "12 AWG"),
    ("cable.area", "10 sq mm", "10 mm2"), ("cable.area", "10mm²", "10 mm2"), ("cable.area", "10 square", "10 mm2"),
    ("cable.area", "2,5mm2", "2.5 mm2"), ("rotor.blades", "three", "3"), ("rotor.blades", "3 blades", "3"),
    ("guy.ropes", "4 ropes", "4"), ("hub.bolts", "6 pcs", "6"), ("storage.cells", "a dozen", "12"),
    ("blade.age", "0 years", "0"), ("hub.bolt_diameter", "M10", "10 mm"), ("guy.turnbuckle_size", "M12", "12 mm"),
    ("load.hours", "6 hours a day", "6 h/day"), ("load.from_hour", "6 pm", "18 h"),
    ("load.from_hour", "18:30", "18.5 h"),
    ("wind.speed", "5 Bft", "Bft 5"), ("wind.speed", "15 kmh", "15 km/h"), ("stop.time", "1 min 30 s", "90 s"),
    ("neighbour.direction", "SW", "225 deg"), ("site.latitude", "33° S", "-33 deg"),
    ("blade.grain", "1 in 15", "0.0666667"), ("generator.ratio", "4:1", "4"), ("generator.ratio", "4 to 1", "4"),
    ("inverter.efficiency", "90 percent", "90 %"), ("protection.main_fuse_breaking", "20 kA", "20000 A"),
    ("vibration.frequency", "360 rpm", "6 Hz"), ("rotor.design_torque", "10 ft-lb", "13.55817948 Nm"),
]  # fmt: skip
#: What is asked for, what is typed, and words of the line that refuses it or asks.
REFUSED = [
    ("rotor.blades", "2.5", "no whole number"), ("rotor.blades", "about 3", "is a count"),
    ("rotor.diameter", "dunno", "Leave it out"), ("rotor.diameter", "2.2 kg", "wrong kind"),
    ("rotor.diameter", "about 2", "has no unit. Type it like 2 m +- 10 % or 2 ft +- 10 %"),
    ("rotor.diameter", "100 ft", "0.656 ft to 49.2 ft (0.2 m to 15 m)"),
    ("rotor.diameter", "20 kg/m", "wrong kind"), ("battery.voltage", "over 20 V", "like 20 to 30 V"),
    ("charge.current", "<5 A", "is a limit"), ("storage.voltage", "<60 V", "is a limit"),
    ("storage.temperature", "10 degrees", "10 degC or 10 degF"), ("generator.ratio", "1:4", "0.25 or 4"),
    ("generator.ratio", "1 to 4", "0.25 or 4"), ("load.power", "400 MW", "load.power"),
    ("cable.area", "10 mm", "wrong kind"),
    ("charge.power", "1,500 W", "1500 W or 1.5 W"), ("rotor.design_speed", "3201/min", "3201 rpm or 320 rpm"),
    ("generator.emf_constant", "1 V*min", "cannot read"), ("mast.tube_diameter", "M10", "cannot read"),
    ("rotor.blades", "3 ropes", "ropes"), ("storage.temperature", "150 F", "-40 degF to 122 degF"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "typed", "plain"), READ, ids=[f"{n}-{t}" for n, t, _ in READ])
def test_what_people_type_is_read_as_its_plain_form(name, typed, plain):
    """The same number and the same limits."""
    got, expected = parse(typed, ASKED[name], name), parse(plain, ASKED[name], name)
    assert got.typed == typed
    assert got.value == pytest.approx(expected.value, rel=1e-6)
    assert (got.low is None) == (expected.low is None)
    if expected.low is not None:
        assert (got.low, got.high) == pytest.approx((expected.low, expected.high))


@pytest.mark.parametrize(("name", "typed", "words"), REFUSED, ids=[f"{n}-{t}" for n, t, _ in REFUSED])
def test_what_cannot_be_taken_is_told_in_one_line(name, typed, words):
    """With what would be accepted."""
    with pytest.raises(BadInput) as caught:
        parse(typed, ASKED[name], name)
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_reading_that_is_not_the_plain_one_is_heard_once():
    """In the words of the builder; a plain one is not."""
    with hearing() as heard:
        parse("about 12 V", QUANTITIES["battery.voltage"], "It")
        parse("about 12 V", QUANTITIES["battery.voltage"], "It")
        parse("12.1 V", QUANTITIES["battery.voltage"], "It")
        parse("900 1/min", QUANTITIES["rotor.speed"], "It")
        parse("250 kg", INPUTS["guy.pretension"], "It")
        word("on the roof", INPUTS["mast.kind"].choices, "It", INPUTS["mast.kind"].also)
    assert list(heard) == [
        "It: about 12 V: taken as 12 V +- 10 %",
        "It: 900 1/min = 900 rpm",
        "It: 250 kg = 250 kgf = 2.45 kN, its weight",
        "It: on the roof = on a roof or gable",
    ]


#: Every spelling of turns per minute and per second of data plates and manuals, as an expression of turns.
PER_MINUTE = [
    "rpm",
    "RPM",
    "r.p.m.",
    "r/min",
    "U/min",
    "Upm",
    "1/min",
    "/min",
    "min-1",
    "min^-1",
    "min**-1",
    "min⁻¹",
    "rev/min",
    "revs/min",
    "rot/min",
    "tr/min",
    "turns/min",
    "1 / min",
    "turns per minute",
    "revolutions per minute",
    "rotations per minute",
    "turns a minute",
]
PER_SECOND = ["rps", "1/s", "s-1", "s^-1", "rev/s", "r/s", "turns/s", "turns per second", "Hz", "hz"]
TURNING = {n: q for n, q in ASKED.items() if getattr(q, "unit", "") in turns.TURNING}
FREQUENCIES = {n: q for n, q in ASKED.items() if getattr(q, "unit", "") == turns.FREQUENCY}


@pytest.mark.parametrize("name", TURNING)
@pytest.mark.parametrize("spelling", [*PER_MINUTE, *PER_SECOND, "krpm", "1000 rpm"])
def test_turns_are_turns_wherever_a_speed_or_a_constant_is_asked(name, spelling):
    """Never radians: one turn is two pi of them, by definition."""
    asked = TURNING[name]
    times = {True: 60.0, False: 1.0}[spelling in PER_SECOND] * (1000.0 if spelling in ("krpm", "1000 rpm") else 1.0)
    one = 2 * math.pi / 60 * times
    if asked.unit == turns.SPEED:
        number = 0.5 if spelling == "krpm" else 500 / times
        if spelling != "1000 rpm":
            typed = f"{number:.6g} {spelling}"
            assert parse(typed, asked, name).value == pytest.approx(float(f"{number:.6g}") * one)
        return
    volts = 0.1 * one
    for typed in (f"{volts:.9g} V/{spelling.lstrip('/')}", f"{volts:.9g} V per {spelling.lstrip('/')}",
                  f"{1000 * volts:.9g} mV/{spelling.lstrip('/')}"):  # fmt: skip
        if spelling != "/min":
            assert parse(typed, asked, name).value == pytest.approx(0.1)
    if spelling != "1000 rpm":
        assert parse(f"{10 / one:.9g} {spelling}/V", asked, name).value == pytest.approx(0.1)


@pytest.mark.parametrize("name", FREQUENCIES)
@pytest.mark.parametrize("spelling", [*PER_MINUTE, *PER_SECOND])
def test_a_frequency_is_in_cycles(name, spelling):
    """Of a shake, turns per minute are cycles per minute."""
    per = 1.0 if spelling in PER_SECOND else 60.0
    assert parse(f"{6 * per:g} {spelling}", FREQUENCIES[name], name).value == pytest.approx(6.0)


NUMBERS = [(n, q) for n, q in ASKED.items() if getattr(q, "kind", "number") == "number" and plain_unit(q.unit)]


@pytest.mark.parametrize(("name", "asked"), NUMBERS, ids=[n for n, _ in NUMBERS])
def test_every_quantity_takes_a_comma_small_letters_and_about(name, asked):
    """And reads the same number as in its plain form, with the doubt that "about" means."""
    number, _, unit = asked.example.partition(" ")
    plain = parse(asked.example, asked, name)
    with_comma = number.replace(".", ",") if "." in number else f"{number},0"
    assert parse(f"{with_comma} {unit}", asked, name).value == pytest.approx(plain.value)
    assert parse(f"about {asked.example}", asked, name).low <= plain.value
    small = next(iter(units_meant(unit.casefold(), asked.unit, asked.shown)), None)
    # A megohm and a milliohm differ by their first letter alone; the wrong one is out of all bounds there, and refused.
    told_apart = asked.shown == "Mohm" and small == "mohm"
    assert small is None or told_apart or si_size(small) == pytest.approx(si_size(unit))


#: Input, what is typed, and the word it means; several where it is asked about.
WORDS = [
    ("storage.chemistry", "car battery", ["flooded lead-acid"]),
    ("storage.chemistry", "lead acid", ["flooded lead-acid", "gel lead-acid", "AGM lead-acid"]),
    ("storage.chemistry", "floded lead acid", ["flooded lead-acid"]), ("storage.chemistry", "lifepo4", ["LiFePO4"]),
    ("storage.place", "shed", ["shed, cellar or utility room with vents", "closet, cellar or room without vents"]),
    ("storage.place", "shed with vents", ["shed, cellar or utility room with vents"]),
    ("storage.place", "shed without vents", ["closet, cellar or room without vents"]),
    ("storage.place", "no vents", ["closet, cellar or room without vents"]),
    ("mast.kind", "on the roof", ["on a roof or gable"]), ("mast.kind", "pole", ["free-standing pole"]),
    ("mast.kind", "latice", ["lattice tower"]), ("mast.kind", "Guyed Tilt Up", ["guyed tilt-up"]),
    ("house.feed", "two plugs", ["inverter into a socket by a lead with two plugs"]),
    ("house.feed", "transfer switch",
     ["transfer switch fitted by an electrician", "transfer switch fitted by the builder"]),
    ("yaw.rotor_side", "upwind", ["ahead of the mast, as the wind sees it"]), ("guy.anchor", "a tree", ["tree"]),
    ("base.soil", "clay", ["firm clay or silt"]), ("base.soil", "soft clay", ["soft, wet or made-up ground"]),
    ("generator.phases", "3 phase", ["three-phase"]), ("generator.phases", "3-phase", ["three-phase"]),
    ("protection.mast_earth", "not joined", ["earth electrode of its own, not joined"]),
    ("protection.mast_earth", "joined", ["earth electrode, joined to the earth of the system"]),
    ("blade.straight_edge", "trialing", ["trailing"]), ("blade.section", "naca4412", ["NACA 4412"]),
    ("cable.terminals", "75 C", ["75 degC"]), ("rotor.brake", "no", ["none"]),
    ("rotor.brake", "brake", ["switch that shorts the generator", "mechanical brake"]),
]  # fmt: skip


@pytest.mark.parametrize(("name", "typed", "words"), WORDS, ids=[f"{n}-{t}" for n, t, _ in WORDS])
def test_words_are_taken_by_part_by_what_is_said_and_nearly_spelt(name, typed, words):
    """Where two fit, neither is taken, and both are named."""
    entry = INPUTS[name]
    if len(words) == 1:
        assert word(typed, entry.choices, name, entry.also) == words[0]
        return
    with pytest.raises(Unclear) as caught:
        word(typed, entry.choices, name, entry.also)
    assert list(caught.value.between) == words
    assert all(w in str(caught.value) for w in words)


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("hub.bolt_class", "8.9"),
        ("mast.kind", "boat"),
        ("mast.joint", "welded"),
        ("site.wiring_practice", "XEC"),
        ("blade.straight_edge", "edge"),
    ],
)
def test_what_is_none_of_them_is_not_taken_for_one(name, typed):
    """Nor is a number taken for another, or a word that says too little."""
    entry = INPUTS[name]
    with pytest.raises(BadInput) as caught:
        word(typed, entry.choices, name, entry.also)
    assert "Did you mean" not in str(caught.value)


CHOICES = [e for e in INPUTS.values() if e.kind == "choice" and not e.recorded]


@pytest.mark.parametrize("entry", CHOICES, ids=lambda e: e.path)
def test_what_is_said_of_a_choice_leads_to_it(entry):
    """Or is said of several, and then asked about; each is of a choice that there is."""
    assert set(entry.also) <= {*entry.choices, ""}
    for choice in entry.choices:
        assert word(choice, entry.choices, entry.path, entry.also) == choice
        for said in entry.also.get(choice, ()):
            assert choice in _meanings(said, entry), said


def _meanings(said, entry):
    """The word that is taken, or those between which is asked."""
    try:
        return [word(said, entry.choices, entry.path, entry.also)]
    except Unclear as e:
        return e.between


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("battery.voltage", "storage.voltage"),
        ("rotor diameter", "rotor.diameter"),
        ("tower height", "mast.height"),
        ("cable mast length", "cable.mast.length"),
        ("alternator resistance", "generator.winding_resistance"),
    ],
)
def test_an_input_is_found_by_what_it_is_called_otherwise(typed, name):
    """And told."""
    with hearing() as heard:
        assert named_input(typed) == name
    assert list(heard) == [f"{typed} = {name}"]


@pytest.mark.parametrize(
    ("typed", "hint"),
    [
        ("diamter", "rotor.diameter"),
        ("cable.length", "cable.main.length"),
        ("raising", "galebook names raising"),
        ("xyzzy", "galebook names"),
    ],
)
def test_a_wrong_name_gets_the_right_hint(typed, hint):
    """Or the way to the list of all."""
    with pytest.raises(BadInput) as caught:
        named_input(typed)
    assert hint in str(caught.value)


def test_names_are_found_by_meaning():
    """Raising finds what is raised; a quantity is found by its words."""
    found = naming.about("raising", naming.inputs())
    assert {"gin.way", "gin.winch", "gin.length"} <= set(found)
    assert quantity_named("winding temperature") == "generator.temperature"


@pytest.mark.parametrize(
    ("typed", "given", "amount", "code"),
    [
        ("£40", None, 40, "GBP"),
        ("40 EUR", None, 40, "EUR"),
        ("$12.50", None, 12.5, "USD"),
        ("12,50 €", None, 12.5, "EUR"),
        ("$12.50", "CAD", 12.5, "CAD"),
        ("1,200 EUR", None, 1200, "EUR"),
        ("1.234,50 €", None, 1234.5, "EUR"),
        ("40 kr", "SEK", 40, "SEK"),
        ("40 euros", None, 40, "EUR"),
        ("1'200 CHF", None, 1200, "CHF"),
    ],
)
def test_money_has_its_currency_before_or_behind(typed, given, amount, code):
    """A sign, a word or a code of ISO 4217."""
    assert money(typed, given) == {"cost": amount, "currency": code}


@pytest.mark.parametrize(
    ("typed", "words"),
    [("40 quid", "no currency"), ("40 kr", "SEK or NOK"), ("1.200 EUR", "1200 or 1.2"), ("40", "no currency")],
)
def test_money_that_can_mean_two_things_is_not_taken(typed, words):
    """Nor slang."""
    with pytest.raises(BadInput, match=words):
        money(typed, None)


def test_what_was_typed_is_kept_beside_what_it_means():
    """On the sheet and in a reading."""
    fields = read_value("storage.voltage", "about 24 V", "estimate")
    assert (fields["typed"], fields["number"], fields["doubt"]) == ("about 24 V", 24.0, "10 %")
    assert read_measurement("battery.voltage", "12,50 V")["typed"] == "12,50 V"
    assert float(to_shown(in_si(50.0, "degF"), "degC")) == pytest.approx(10.0)


#: As typed on the command line, and words of what is said of it.
CALLS = [
    (["set", "storage.coldest", "-8 degC"], "storage.coldest = -8"), (["set", "storage.coldest", "-8", "C"], "(-8 "),
    (["set", "rotor", "diameter", "2,2", "m"], "2,2 m = 2.2 m"), (["set", "rotor", "diameter", "2.2 m"], "= 2.2 m"),
    (["set", "battery.voltage", "12v"], "battery.voltage = storage.voltage"),
    (["measure", "-0.9 A", "charge.current"], "charge.current, -0.9 A"),
    (["measure", "900 1/min", "rotor.speed"], "900 1/min = 900 rpm"),
    (["measure", "about 12 V", "battery.voltage"], "taken as 12 V +- 10 %"),
    (["attempt", "ran it", "--wind", "ca. 6 m/s", "--outcome", "ok", "--hours", "20 hrs"], "6 m/s +- 10 %"),
    (["part", "add", "bolts", "--cost", "12,50 €"], "12.5 EUR"),
]  # fmt: skip


@pytest.mark.parametrize(("call", "words"), CALLS, ids=[" ".join(c) for c, _ in CALLS])
def test_commands_take_it_and_tell(path, run, call, words):
    """On stderr, in one line each."""
    result = run(*call)
    assert result.code == 0, result.err
    assert words in result.err


def test_what_was_typed_can_be_seen(path, run, monkeypatch):
    """On the sheet, of a reading, and in JSON; and it is read again as it was."""
    run("set", "storage.voltage", "about 24 V"), run("set", "mast.kind", "on the roof")
    run("measure", "900 U/min", "rotor.speed")
    monkeypatch.setenv("COLUMNS", "160")
    assert "about 24 V" in run("sheet").out
    assert '"read": "about 24 V: taken as 24 V +- 10 %"' in run("sheet", "--json").out
    assert "900 U/min" in run("show", "M1").out
    assert '"read": "900 U/min = 900 rpm"' in run("show", "M1", "--json").out
    assert 'value = "on the roof"' in run("sheet", "--toml").out


def test_examples_fit_the_machine_on_the_sheet(path, run):
    """No charge voltage of another bank, and nothing is no example of a brake."""
    run("set", "storage.voltage", "12 V"), run("set", "storage.chemistry", "AGM")
    told = " ".join(run("missing").out.split())
    assert "28.8 V" not in told
    assert "one of: none" not in told
    assert INPUTS["rotor.brake"].example != "none"
