"""An invented machine at an invented place, played through the services as a builder would have typed it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from sqlmodel import Session

from journal.book import (
    attachments,
    attempts,
    builds,
    claims,
    common,
    failures,
    measurements,
    parts,
    revisions,
    sheet,
    store,
)
from journal.errors import Refused
from journal.publish import story, writeup
from journal.review import decisions

FIRST_SHEET = """
[site]
mean_wind = { value = "4.6 m/s", from = "estimate", note = "regional wind map" }
wind_height = { value = "10 m", from = "data plate", note = "height named on the map" }
ground = { value = "farmland with hedges", from = "measured" }

[rotor]
diameter = { value = "1.3 m", from = "measured", doubt = "1 cm" }
blades = { value = "3", from = "measured" }
overspeed = { value = "none", from = "measured" }
brake = { value = "none", from = "measured" }

[blade]
material = { value = "PVC-U pipe", from = "measured" }
pipe_diameter = { value = "160 mm", from = "data plate" }
pipe_wall = { value = "4.0 mm", from = "measured", doubt = "0.2 mm" }
chord_root = { value = "95 mm", from = "measured", doubt = "2 mm" }
chord_tip = { value = "45 mm", from = "measured", doubt = "2 mm" }
mounting_angle = { value = "22 deg", from = "measured", doubt = "1.5 deg", note = "protractor at the root" }

[generator]
emf_constant = { value = "62 rpm/V", from = "data plate" }
winding_resistance = { value = "0.42 ohm", from = "measured", doubt = "0.05 ohm" }
phases = { value = "three-phase", from = "measured" }
rectifier_voltage = { value = "1000 V", from = "seller's claim" }
rectifier_current = { value = "35 A", from = "seller's claim" }
enclosed = { value = "no", from = "measured", note = "screw terminals in an open box" }

[cable.mast]
carries = { value = "generator after the rectifier", from = "measured" }
length = { value = "34 m", from = "measured", doubt = "0.5 m" }
area = { value = "2.5 mm2", from = "data plate" }
fused = { value = "yes", from = "measured" }
fuse = { value = "15 A", from = "data plate" }
fuse_distance = { value = "1.2 m", from = "measured", doubt = "5 cm" }
fuse_voltage = { value = "32 V", from = "data plate" }

[storage]
chemistry = { value = "flooded lead-acid", from = "data plate" }
voltage = { value = "12 V", from = "data plate" }
capacity = { value = "60 Ah", from = "data plate", doubt = "30 %", note = "second-hand, never tested" }
place = { value = "shed, cellar or utility room with vents", from = "measured" }
coldest = { value = "-6 degC", from = "estimate", note = "bucket frozen through in the winter before" }

[dump]
kind = { value = "none", from = "measured" }

[protection]
generator_switch = { value = "none", from = "measured" }
battery_switch = { value = "no", from = "measured" }
surge = { value = "none", from = "measured" }
mast_earth = { value = "none", from = "measured" }
polarity = { value = "none", from = "measured" }

[house]
feed = { value = "own circuits, apart from the house", from = "measured" }

[mast]
kind = { value = "on a roof or gable", from = "measured" }
height = { value = "8.5 m", from = "measured", doubt = "0.2 m", note = "4.5 m of mast, its foot 4 m up the gable" }
building_height = { value = "5 m", from = "measured", doubt = "0.2 m", note = "ridge of the shed" }

[load.lights]
power = { value = "24 W", from = "data plate" }
hours = { value = "5 h/day", from = "estimate" }
"""

SECOND_SHEET = """
[rotor]
diameter = { value = "2.2 m", from = "measured", doubt = "1 cm" }
limit_wind = { value = "11 m/s", from = "estimate", doubt = "1.5 m/s", note = "tail test on a moving trailer" }

[blade]
pipe_diameter = { value = "250 mm", from = "data plate" }
pipe_wall = { value = "6.2 mm", from = "measured", doubt = "0.2 mm" }
chord_root = { value = "150 mm", from = "measured", doubt = "3 mm" }
chord_tip = { value = "70 mm", from = "measured", doubt = "3 mm" }
mounting_angle = { value = "22 deg", from = "measured", doubt = "1.5 deg", note = "protractor at the root" }

[generator]
emf_constant = { value = "7.5 rpm/V", from = "seller's claim" }
winding_resistance = { value = "0.24 ohm", from = "measured", doubt = "0.02 ohm" }
rated_current = { value = "15 A", from = "estimate" }
pole_pairs = { value = "23", from = "measured", note = "46 magnets counted" }
inductance = { value = "0.25 mH", from = "estimate", note = "usual for such hub motors" }
enclosed = { value = "yes", from = "measured" }

[cable.mast]
area = { value = "10 mm2", from = "data plate" }
fuse = { value = "32 A", from = "data plate" }
fuse_distance = { value = "15 cm", from = "measured", doubt = "1 cm" }
fuse_voltage = { value = "1000 V", from = "data plate" }
fuse_breaking = { value = "30000 A", from = "data plate" }

[cable.inverter]
carries = { value = "battery to inverter", from = "measured" }
length = { value = "1.5 m", from = "measured", doubt = "5 cm" }
area = { value = "16 mm2", from = "data plate" }
fused = { value = "yes", from = "measured" }
fuse = { value = "63 A", from = "data plate" }
fuse_distance = { value = "12 cm", from = "measured", doubt = "1 cm" }
fuse_voltage = { value = "58 V", from = "data plate" }

[cable.dump]
carries = { value = "to the dump load", from = "measured" }
length = { value = "2 m", from = "measured", doubt = "5 cm" }
area = { value = "16 mm2", from = "data plate" }
fused = { value = "yes", from = "measured" }
fuse = { value = "63 A", from = "data plate" }
fuse_distance = { value = "15 cm", from = "measured", doubt = "1 cm" }
fuse_voltage = { value = "1000 V", from = "data plate" }
fuse_breaking = { value = "30000 A", from = "data plate" }

[storage]
charge_voltage = { value = "14.4 V", from = "calculated" }
place = { value = "shed, cellar or utility room with vents", from = "measured" }
coldest = { value = "-4 degC", from = "measured", doubt = "1 degC", note = "thermometer with a memory, one winter" }
cold_charge_block = { value = "yes", from = "data plate" }
cell_monitor = { value = "yes", from = "data plate" }
alike = { value = "yes", from = "measured" }

[dump]
kind = { value = "switched by the charge controller", from = "measured" }
power = { value = "600 W", from = "data plate" }
resistance = { value = "1.4 ohm", from = "measured", doubt = "0.05 ohm" }
voltage = { value = "48 V", from = "data plate" }
controller_current = { value = "40 A", from = "data plate" }
place = { value = "on the rectifier's side of whatever can disconnect the battery", from = "measured" }
second_means = { value = "the battery's own electronics disconnect it", from = "measured" }

[protection]
brake_place = { value = "ahead of the rectifier, all leads", from = "measured" }
brake_current = { value = "63 A", from = "data plate" }
generator_switch = { value = "shorts the generator as it opens the circuit", from = "measured" }
battery_switch = { value = "yes", from = "measured" }
covered = { value = "yes", from = "measured" }
surge = { value = "where the generator's cable enters the building", from = "measured" }
surge_voltage = { value = "385 V", from = "data plate" }
mast_earth = { value = "earth electrode, joined to the earth of the system", from = "measured" }
earth_area = { value = "16 mm2", from = "data plate" }
polarity = { value = "connectors that fit one way only", from = "measured" }

[inverter]
power = { value = "800 W", from = "data plate" }
input_voltage_min = { value = "21 V", from = "data plate" }
surge_power = { value = "800 W", from = "data plate", note = "names no more than that for starts" }
fuse = { value = "63 A", from = "data plate" }

[house]
neutral = { value = "joined to earth at one place", from = "measured", note = "by the electrician, with the switch" }
rcd = { value = "yes", from = "measured" }
labels = { value = "yes", from = "measured" }

[load.pump]
power = { value = "250 W", from = "data plate" }
hours = { value = "0.3 h/day", from = "estimate" }
surge = { value = "750 W", from = "estimate" }
"""

SPIN_TEST = "rpm,open_volts\n310,5.1\n620,10.2\n930,15.2\n"


def play(folder: Path) -> Iterator[str]:
    """Make ``demo.db`` in a folder, play the story, write the write-ups; say what was done, line by line.

    Raises
    ------
    Refused
        If one of its files is there already.
    """
    path = folder / "demo.db"
    outs = [folder / f"{reader}.{form}" for reader in writeup.READERS for form in writeup.FORMS]
    for file in (path, folder / "spin-test.csv", *outs):
        if file.exists():
            raise Refused(f"{file} exists already", "Name another folder, or remove it first")
    store.create(path)
    (folder / "spin-test.csv").write_text(SPIN_TEST, encoding="utf-8")
    yield f"Made the journal {path}."
    for scene in (_autumn, _gale, _winter, _spring, _summer):
        with store.journal(path, write=True) as s:
            yield from scene(s, folder)
    with store.journal(path) as s:
        tale = story.tell(s)
    for reader in writeup.READERS:
        for form in writeup.FORMS:
            out = folder / f"{reader}.{form}"
            writeup.save(writeup.render(tale, reader, form, folder=writeup.folder_of(out)), out)
            yield f"Wrote {out}."


def _set(s: Session, ref: str, text: str) -> None:
    sheet.set_values(s, common.revision(s, ref), sheet.from_toml(text))


def _autumn(s: Session, folder: Path) -> Iterator[str]:
    builds.start(
        s,
        "Shed wind generator",
        purpose="Light a lambing shed that has no mains",
        region="upland farmland",
        place="Windle Fold",
        title="Small and fast",
    )
    _set(s, "r1", FIRST_SHEET)
    parts.add_part(
        s,
        "three blades cut from 160 mm drain pipe",
        role="rotor",
        quantity="3",
        condition="made",
        source="offcut from the yard drain",
        cost="0 GBP",
        mass="0.75 kg",
        history="two summers in the sun",
    )
    parts.add_part(
        s,
        "industrial servo motor",
        role="generator",
        condition="salvaged",
        source="scrap dealer",
        cost="40 GBP",
        mass="5.2 kg",
        rating="62 rpm per volt",
        serial="invented-0001",
    )
    parts.add_part(s, "steel tube, 4.5 m", role="mast", condition="salvaged", cost="15 GBP", mass="19 kg")
    parts.add_part(s, "34 m of 2.5 mm2 cable", role="cable", condition="new", cost="38 GBP", mass="4.5 kg")
    parts.add_part(
        s, "60 Ah lead-acid battery", role="storage", condition="salvaged", source="old tractor", cost="0 GBP"
    )
    parts.add_part(s, "three-phase bridge, 35 A", role="rectifier", condition="new", cost="6 GBP")
    claims.claim(s, "400 W at 9 m/s", "the motor's seller")
    attempts.log(
        s,
        "Spun the motor with a cordless drill on the bench",
        kind="bench test",
        began="2025-10-11",
        outcome="worked",
        load="nothing connected",
        saw="Volts came up at once",
    )
    measurements.log(s, "generator.open_voltage", "9.6 V", attempt="A1", instrument="pocket multimeter", doubt="0.1 V")
    measurements.log(s, "rotor.speed", None, attempt="A1", missing="no tachometer that day")
    measurements.log(
        s, "generator.resistance", "0.42 ohm", attempt="A1", instrument="pocket multimeter", doubt="0.05 ohm"
    )
    attempts.log(
        s,
        "Raised the mast on the shed gable",
        kind="raising",
        began="2025-10-18",
        outcome="worked",
        wind_typed="Bft 2",
        saw="Turned in the first breeze",
    )
    attempts.log(
        s,
        "Let it run for three weeks",
        kind="run",
        began="2025-10-19",
        ended="2025-11-09",
        outcome="failed",
        load="battery",
        wind_typed="Bft 5",
        wind_how="judged by the trees on the windiest day",
        saw="It turned in most winds but hardly charged",
    )
    measurements.log(
        s,
        "battery.voltage",
        "12.1 V",
        attempt="A3",
        where="at the battery",
        instrument="pocket multimeter",
        doubt="0.1 V",
    )
    measurements.log(
        s,
        "charge.current",
        "0.3 A",
        attempt="A3",
        where="at the battery",
        instrument="pocket multimeter",
        doubt="0.05 A",
    )
    failures.log(
        s,
        "It turned in most winds but hardly charged the battery",
        attempt="A3",
        happened="2025-11-09",
        item="generator",
        effect="The lights went out after the second week",
        severity=4,
        harm="none",
        cause="magnets too weak",
        sure="70%",
        evidence="somebody said that old motors lose their magnetism",
    )
    yield "Logged r1: sheet, parts, claim, bench test, raising, three weeks of hardly charging (F1)."


def _gale(s: Session, folder: Path) -> Iterator[str]:
    attempts.log(
        s,
        "Left it running through a January gale",
        kind="storm",
        began="2026-01-08",
        outcome="failed",
        load="battery",
        wind_typed="Bft 9",
        wind_how="reported by a weather station 12 km away, at 10 m",
        saw="A roar, then a bang; one blade gone, two cracked at the root",
    )
    failures.log(
        s,
        "The battery fuse was found blown",
        attempt="A4",
        happened="2026-01-08",
        item="battery fuse",
        severity=3,
        harm="none",
        effect="Nothing held the rotor back any more",
        cause="gusts drove more current than the 15 A fuse carries",
        sure="50%",
        evidence="the fuse wire had melted in the middle, not at the ends",
    )
    failures.log(
        s,
        "The unloaded rotor ran away and threw a blade",
        attempt="A4",
        item="blades",
        part="P1",
        severity=1,
        harm="near miss",
        effect="A piece of blade landed by the gate, 31 m away",
        caused_by="F2",
        contained="Mast lowered the next morning, gate closed off until then",
    )
    failures.believe(
        s,
        "F3",
        "nothing connected and nothing that limits speed: the rotor ran far faster than the blades can bear",
        sure="90%",
        why="the roar came before the bang, and the root tore at the first bolt hole",
        rule="rotor.overspeed",
        said_on="2026-01-09",
    )
    failures.believe(
        s,
        "F3",
        "the pipe had gone brittle in the sun",
        sure="30%",
        standing="contributing",
        said_on="2026-01-09",
        why="the fracture is clean, without whitening",
    )
    parts.fate(s, "P1", "broken", note="one thrown, two cracked at the root")
    parts.fate(s, "P3", "scrapped", note="bent when the blade left")
    yield "Logged the gale: fuse blown (F2), then a blade thrown (F3)."


def _winter(s: Session, folder: Path) -> Iterator[str]:
    attempts.log(
        s,
        "Spun the motor again, with a tachometer",
        kind="bench test",
        began="2026-02-14",
        outcome="worked",
        load="nothing connected",
        saw="Volts rise evenly with speed",
    )
    measurements.log(
        s,
        "generator.emf",
        "61 rpm/V",
        attempt="A5",
        doubt="3 %",
        instrument="pocket multimeter and optical tachometer",
    )
    attachments.attach(s, folder / "spin-test.csv", "A5", caption="three speeds and the volts at each")
    failures.add_evidence(
        s,
        "F1",
        "the spin test gives the volts of the data plate, so the magnets are as strong as ever",
        leans="against",
        measurement="M6",
    )
    failures.reject(s, "F1", 1, "the spin test gives the volts of the data plate")
    failures.believe(
        s,
        "F1",
        "the motor is too fast for this rotor: it needs more speed than the wind gives to reach 12 V",
        sure="85%",
        why="at 61 rpm/V it needs nearly 900 rpm before any current flows",
        rule="generator.charging-begins",
        said_on="2026-02-15",
    )
    failures.believe(
        s,
        "F1",
        "what little came was partly lost in the thin cable",
        sure="40%",
        standing="contributing",
        rule="wiring.voltage-drop",
        said_on="2026-02-15",
    )
    parts.fate(s, "P2", "spare", note="good motor, wrong machine")
    parts.fate(s, "P4", "spare")
    parts.fate(s, "P5", "scrapped", note="stood flat all winter")
    yield "Gave up the first diagnosis of F1 after a spin test; logged the second."


def _spring(s: Session, folder: Path) -> Iterator[str]:
    revisions.revise(s, "r1", title="Bigger and slower", because="r1 hardly charged, and threw a blade")
    _set(s, "r2", SECOND_SHEET)
    parts.add_part(
        s,
        "three blades cut from 250 mm sewer pipe",
        role="rotor",
        quantity="3",
        condition="made",
        source="builders' merchant",
        cost="31 GBP",
        mass="3.9 kg",
    )
    parts.add_part(
        s,
        "direct-drive scooter hub motor",
        role="generator",
        condition="salvaged",
        source="broken scooter",
        cost="35 GBP",
        mass="6.1 kg",
        rating="7.5 rpm per volt",
    )
    parts.add_part(
        s,
        "steel tube 60.3 x 3.0, 8 m, with guys and anchors",
        role="mast",
        condition="new",
        cost="118 GBP",
        mass="46 kg",
    )
    parts.add_part(s, "34 m of 10 mm2 cable", role="cable", condition="new", cost="164 GBP", mass="11 kg")
    parts.add_part(s, "LiFePO4 battery, 24 V 100 Ah", role="storage", condition="new", cost="420 GBP", mass="22 kg")
    parts.add_part(s, "charge controller with dump load, 600 W", role="dump load", condition="new", cost="85 GBP")
    parts.add_part(s, "three-pole brake switch", role="brake", condition="new", cost="19 GBP")
    parts.add_part(s, "inverter, 800 W", role="inverter", condition="new", cost="110 GBP", mass="2.4 kg")
    parts.add_part(
        s, "hinged tail with side plate", role="furling tail", condition="made", cost="22 GBP", mass="3.5 kg"
    )
    _voltage(s)
    _place(s)
    _battery(s)
    _stopping(s)
    yield from _feeding(s)
    failures.correct(s, "F1", by="D1", built_into="r2", criterion="more than 2 A into the battery at Bft 4")
    failures.correct(s, "F3", by="D4", built_into="r2", criterion="comes through a Bft 9 gale below 430 rpm")
    yield "Made r2; decided voltage, mast, battery, overspeed and house feed from computed options."


def _voltage(s: Session) -> None:
    decisions.ask(s, "Which battery voltage?", context="r1 lost power in the cable and clamped a fast motor to 12 V")
    for name, volts, charge, amp_hours, cost in (
        ("12 V", "12 V", "14.4 V", "200 Ah", "450 GBP"),
        ("24 V", "24 V", "28.8 V", "100 Ah", "420 GBP"),
        ("48 V", "48 V", "57.6 V", "50 Ah", "480 GBP"),
    ):
        changes = {"storage.voltage": volts, "storage.charge_voltage": charge, "storage.capacity": amp_hours}
        decisions.offer(s, "D1", name, changes={**changes, "storage.chemistry": "LiFePO4"}, cost=cost)
    for criterion, weight in (("yearly_energy", "5"), ("charging_wind", "4"), ("cost", "2")):
        decisions.judge_by(s, "D1", criterion, weight)
    decisions.judge_by(s, "D1", "things that can be bought second-hand", "2")
    for option, marks in (("12 V", "9"), ("24 V", "8"), ("48 V", "3")):
        decisions.mark(s, "D1", option, "things that can be bought second-hand", marks)
    decisions.choose(
        s,
        "D1",
        "24 V",
        "half the current of 12 V in the same cable, it charges in ordinary wind, and parts are easy to find",
        expected="more than 2 A into the battery at Bft 4",
        odds="75%",
        review_on="2026-06-01",
        decided_on="2026-03-01",
        reading="charge.current above 2 A",
        reading_wind="Bft 4",
    )


def _place(s: Session) -> None:
    decisions.ask(s, "Where does the mast stand?", context="the gable shook the whole shed")
    decisions.offer(s, "D2", "on the gable again", changes={"mast.kind": "on a roof or gable", "mast.height": "8.5 m"})
    decisions.offer(
        s,
        "D2",
        "guyed tilt-up mast in the paddock",
        summary="8 m of tube, comes down with a hand winch in ten minutes",
        changes={
            "mast.kind": "guyed tilt-up",
            "mast.height": "8 m",
            "mast.tube_diameter": "60.3 mm",
            "mast.tube_wall": "3.0 mm",
        },
        cost="118 GBP",
    )
    decisions.choose(
        s,
        "D2",
        "2",
        "nothing shakes the shed, and it can be lowered before a gale",
        decided_on="2026-03-01",
        expected="no hum to be heard inside the shed",
        odds="90%",
        review_on="2026-06-01",
    )


def _battery(s: Session) -> None:
    decisions.ask(
        s, "Which kind of battery?", context="the lead-acid battery stood flat for weeks and was ruined by it"
    )
    decisions.offer(s, "D3", "flooded lead-acid", changes={"storage.chemistry": "flooded lead-acid"})
    decisions.offer(s, "D3", "LiFePO4", changes={"storage.chemistry": "LiFePO4"})
    decisions.choose(s, "D3", "LiFePO4", "does not mind standing half full", decided_on="2026-03-02")


def _stopping(s: Session) -> None:
    decisions.ask(s, "What keeps the rotor from running away?", context="in F3 an unloaded rotor threw a blade")
    brake = {"rotor.brake": "switch that shorts the generator"}
    decisions.offer(s, "D4", "a brake switch alone", changes={**brake, "rotor.overspeed": "none"}, cost="19 GBP")
    decisions.offer(
        s,
        "D4",
        "a furling tail, and a brake switch",
        changes={**brake, "rotor.overspeed": "furling tail"},
        cost="41 GBP",
    )
    decisions.choose(
        s,
        "D4",
        "2",
        "a switch helps only while somebody stands beside it",
        decided_on="2026-03-02",
        expected="comes through a Bft 9 gale below 430 rpm",
        odds="70%",
        review_on="2027-03-01",
        reading="rotor.speed below 430 rpm",
        reading_wind="Bft 9",
    )


def _feeding(s: Session) -> Iterator[str]:
    decisions.ask(
        s,
        "How is the shed fed when the battery is empty?",
        context="the shed has a cable to the house that is rarely used",
    )
    decisions.offer(
        s,
        "D5",
        "inverter into a wall socket with a two-plug lead",
        summary="plug both ends in and the shed lights up",
        changes={"house.feed": "inverter into a socket by a lead with two plugs"},
    )
    decisions.offer(
        s,
        "D5",
        "transfer switch fitted by an electrician",
        changes={"house.feed": "transfer switch fitted by an electrician"},
    )
    try:
        decisions.choose(s, "D5", "1", "cheapest")
    except Refused as refusal:
        yield f"Tried to choose the two-plug lead: {str(refusal).split(':')[0]}."
    decisions.choose(s, "D5", "2", "the shed is on one source or the other, never on both", decided_on="2026-03-07")


def _summer(s: Session, folder: Path) -> Iterator[str]:
    attempts.log(
        s,
        "Spun the hub motor in the lathe",
        on="r2",
        kind="bench test",
        began="2026-04-18",
        outcome="worked",
        load="nothing connected",
    )
    measurements.log(
        s, "generator.emf", "7.6 rpm/V", attempt="A6", doubt="2 %", instrument="pocket multimeter and lathe speed"
    )
    attempts.log(s, "Raised the tilt-up mast", kind="raising", began="2026-04-25", outcome="worked", wind_typed="Bft 2")
    attempts.log(
        s,
        "Ran it through May with the shed lights on",
        kind="run",
        began="2026-05-02",
        ended="2026-05-30",
        outcome="worked",
        load="battery and loads",
        wind_typed="Bft 4",
        wind_how="judged by the hedge; a hand anemometer said 6 to 7 m/s once",
        saw="Charged on most days; the shed was quiet inside",
    )
    measurements.log(
        s, "charge.current", "3.4 A", attempt="A8", doubt="0.3 A", where="at the battery", instrument="clamp meter"
    )
    measurements.log(
        s,
        "battery.voltage",
        "26.6 V",
        attempt="A8",
        doubt="0.1 V",
        where="at the battery",
        instrument="pocket multimeter",
    )
    measurements.log(
        s, "stop.time", "4 s", attempt="A8", doubt="1 s", instrument="a watch", conditions="by the brake switch"
    )
    failures.log(
        s,
        "The inverter cut out when the pump started",
        attempt="A8",
        happened="2026-05-17",
        item="inverter",
        severity=4,
        harm="none",
        effect="Pump stopped, lights blinked",
        cause="the battery voltage sagged below the inverter's limit",
        sure="40%",
    )
    attempts.log(
        s,
        "Watched it through a September blow, then braked it",
        kind="storm",
        began="2026-09-14",
        outcome="worked",
        load="battery and loads",
        wind_typed="Bft 8",
        wind_how="reported by a weather station 12 km away, at 10 m",
        saw="The tail folded in the gusts; the brake held",
    )
    measurements.log(
        s,
        "rotor.speed",
        "380 rpm",
        attempt="A9",
        doubt="5 %",
        instrument="optical tachometer",
        conditions="highest of ten readings",
    )
    failures.verify(s, "F1", "A8", "3.4 A at Bft 4")
    decisions.conclude(s, "D1", note="3.4 A at Bft 4 in May", on="2026-06-01", by="M8")
    decisions.conclude(s, "D2", "came true", "quiet inside, said by two people", on="2026-06-01")
    decisions.accept(
        s, "r2", "mast.height", "a taller mast needs another anchor field; the hedge to the east is low", "2027-03-01"
    )
    yield "Logged the summer of r2: it charges (F1 verified), one new failure (F4), a Bft 8 blow weathered."
