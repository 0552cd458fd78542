"""Twelve small wind generators as their builders would have written them down: six built with care, six without.

A table of data for ``test_systems``; every machine is invented. The careful ones were sized the way somebody would who
has built some and an electrician who knows batteries; nothing of them comes from the program. Common good practice, no
source where none is named:

- cable of the generator for 5 to 8 % at the greatest current (IEC 60364-5-52, Table G.52.1 B: 8 % of an own supply),
  its fuse the largest that the cable bears (B.52.2 and B.52.4; NEC 310.16), for one that opens unloads the rotor;
- a tail that folds at 9 to 10.5 m/s: the rotor 4 % of its diameter beside the yaw axis, a vane of 10 % of the swept
  area, a hinge that leans by 20 degrees, and a weight for which thrust times offset is the moment of the weight on the
  leaning hinge, the thrust by a builder's rule (CT 0.85), a fifth less of it; a stop short of the rotor;
- a switch that shorts the generator ahead of the rectifier (NEC 694.24, 694.28);
- one main fuse that can break the battery's short circuit, within a hand of its terminal (ABYC E-11: 7 in), behind it a
  switch (NEC 706.7) and a board with a fuse for each circuit; or such a fuse for each circuit at the battery itself;
- a dump load on the rectifier's side for half as much again as the generator gives, wire and fuse for half as much
  again as its controller (NEC 706.23(B)(2)), on stone or metal, and a second one of its own (706.23(B)(1));
- earth rod at the mast, joined to the system's earth with 16 mm2 or 6 AWG (NEC 694.40), arresters (694.7(D)), labels
  (694.54, 694.56), covers over everything (694.10(C)), air for lead cells (EN IEC 62485-2: 28 cm2 for each m3/h).

A sheet is text: a heading names the group, and its values follow as they are typed. In brackets stands where one is
from; it was measured, or looked at, where nothing does.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from journal.book.sheet import RevisionSheet, read_value
from journal.book.tables import PROVENANCES, SheetValue

_GROUP = re.compile(r"\[([^]]+)\]([^[]+)")
_VALUE = re.compile(rf"(\w+): (.*?)(?: \(({'|'.join(PROVENANCES)})\))?")


@dataclass(frozen=True)
class Machine:
    """One machine.

    Parameters
    ----------
    name, what : str
        For the test's name, and what it is and which practice or which carelessness it stands for.
    text : str
        Its sheet, as typed.
    fails : mapping of (rule, subject) to str
        What still fails on a careful one, and why that is right.
    dangers : tuple of str
        The rules whose dangers come first on a careless one, as often as they do.
    """

    name: str
    what: str
    text: str
    fails: dict[tuple[str, str], str] = field(default_factory=dict)
    dangers: tuple[str, ...] = ()

    def sheet(self, **changes: str) -> RevisionSheet:
        """Its sheet as the journal reads it, some values typed anew (``group__name``)."""
        typed = {}
        for group, words in _GROUP.findall(self.text):
            for value in words.split(";"):
                name, said, whence = _VALUE.fullmatch(" ".join(value.split())).groups()
                typed[f"{group}.{name}"] = (said, whence or "measured")
        typed |= {name.replace("__", "."): (value, "measured") for name, value in changes.items()}
        rows = {path: SheetValue(revision_id=1, path=path, **read_value(path, *said)) for path, said in typed.items()}
        return RevisionSheet(rows)


SHED = Machine(
    "12 V shed, pipe blades",
    "1.2 m of pipe on a treadmill motor behind a diode, 10 m of cable, flooded lead, lamps on direct current: small, "
    "cheap and complete.",
    """
[site] latitude: 52 deg;
  mean_wind: 5.2 m/s (estimate); wind_height: 10 m (data plate); ground: open farmland
[rotor] axis: horizontal axis; diameter: 1.2 m +- 1 cm; blades: 3; overspeed: furling tail;
  limit_wind: 9 m/s +- 1 m/s; overhang: 130 mm; brake: switch that shorts the generator; offset: 48 mm
[tail] hinge: by a hinge, so that it can fold; area: 0.11 m2; vane_height: 34 cm; arm: 74 cm;
  mass: 1.3 kg; mass_arm: 52 cm; inclination: 20 deg; hinge_direction: 45 deg;
  rest_angle: 10 deg; stop_angle: 95 deg; hinge_behind: 72 mm
[yaw] rotor_side: ahead of the mast, as the wind sees it; friction: 0.05 Nm;
  cable: it hangs free in the mast, and a plug at the foot lets it be untwisted
[blade] material: PVC-U pipe; pipe_diameter: 160 mm (data plate); pipe_wall: 4.7 mm (data plate);
  chord_root: 100 mm +- 2 mm; chord_tip: 50 mm +- 2 mm; mounting_angle: 24 deg +- 1 deg; root_radius: 80 mm
[hub] bolts: 3; bolt_diameter: 6 mm; bolt_class: 8.8 (data plate); bolt_spacing: 30 mm; end_distance: 20 mm;
  side_distance: 25 mm; held: clamped between two plates
[generator] emf_constant: 28 rpm/V; winding_resistance: 1.1 ohm; phases: DC with brushes; field: permanent magnets;
  drive: the rotor, on one shaft; rated_current: 9 A (estimate); drag_torque: 0.1 Nm; cogging_torque: 0.1 Nm;
  insulation: F (data plate); rectifier_voltage: 1000 V (data plate); rectifier_current: 35 A (data plate);
  enclosed: yes
[cable.tower] carries: generator before the rectifier; length: 10 m; area: 10 mm2 (data plate)
[cable.charge] carries: generator after the rectifier; length: 1.5 m; area: 10 mm2 (data plate); fused: yes;
  fuse: 50 A; fuse_kind: ANL; fuse_distance: 60 cm
[cable.lamps] carries: battery to loads; length: 12 m; area: 2.5 mm2 (data plate); fused: yes; fuse: 10 A;
  fuse_kind: blade, ATC; fuse_distance: 80 cm
[cable.dump] carries: to the dump load; length: 1.5 m; area: 10 mm2 (data plate); fused: yes; fuse: 50 A;
  fuse_kind: ANL; fuse_distance: 60 cm
[storage] chemistry: flooded lead-acid; voltage: 12 V; capacity: 110 Ah (data plate); charge_voltage: 14.4 V;
  compensated: yes; coldest: -6 degC +- 2 degC; starter: no; strings: 1; alike: yes;
  place: shed, cellar or utility room with vents; vent_area: 100 cm2
[dump] kind: switched by the charge controller; power: 300 W (data plate); resistance: 0.9 ohm; voltage: 24 V;
  controller_current: 30 A; controller_voltage: 60 V;
  place: on the rectifier's side of whatever can disconnect the battery;
  mounted: stone, concrete or metal, with air around it; second_means: a second dump load with a control of its own
[house] feed: nothing in the house; labels: yes
[protection] brake_place: ahead of the rectifier, all leads; brake_current: 40 A;
  generator_switch: shorts the generator as it opens the circuit; main_fuse: ANL; main_fuse_rating: 60 A;
  main_fuse_distance: 15 cm; battery_switch: yes; covered: yes;
  surge: where the generator's cable enters the building; surge_voltage: 350 V;
  mast_earth: earth electrode, joined to the earth of the system; earth_area: 16 mm2 (data plate);
  polarity: connectors that fit one way only
[mast] kind: guyed tilt-up; height: 7 m; building_height: 2.6 m; line_distance: 80 m;
  tube_diameter: 48.3 mm (data plate); tube_wall: 3.2 mm (data plate);
  joint: sleeve, three diameters long or more, bolted through
[guy.low] height: 3 m; anchor_radius: 3.5 m; ropes: 4; rope_diameter: 4 mm (data plate);
  rope: 6x7 or 7x7, steel core, galvanised (data plate);
  end: thimble and U-bolt clips; clips: 3; clip_kind: EN 13411-5, type A;
  turnbuckle: eye or jaw at both ends; turnbuckle_size: 12 mm (data plate); pretension: 600 N (estimate);
  anchor: block of concrete in the ground; anchor_width: 500 mm; anchor_height: 500 mm; anchor_depth: 0.9 m
[guy.top] height: 6 m; anchor_radius: 3.5 m; ropes: 4; rope_diameter: 4 mm (data plate);
  rope: 6x7 or 7x7, steel core, galvanised (data plate);
  end: thimble and U-bolt clips; clips: 3; clip_kind: EN 13411-5, type A;
  turnbuckle: eye or jaw at both ends; turnbuckle_size: 12 mm (data plate); pretension: 600 N (estimate);
  anchor: block of concrete in the ground; anchor_width: 500 mm; anchor_height: 500 mm; anchor_depth: 0.9 m
[neighbour.house] kind: own house; distance: 45 m; direction: 300 deg
[neighbour.lane] kind: road; distance: 80 m
[base] kind: hinge on a block of concrete in the ground; width: 500 mm; depth: 500 mm; height: 500 mm;
  soil: firm clay or silt
[gin] way: whole machine at once, tilted up; length: 3 m; pull_distance: 4 m;
  tube_diameter: 48.3 mm (data plate); tube_wall: 3.2 mm (data plate); rope_breaking: 12000 N (data plate);
  winch: 5000 N (data plate); side_guys: side guys, their anchors in line with the hinge;
  back_guy: a back guy of the right length, or a rope paid out
[load.lamps] power: 24 W (data plate); hours: 5 h/day (estimate); kind: electronics, LED lamp or charger;
  voltage: 12 V; voltage_max: 30 V
""",
)

CABIN = Machine(
    "12 V cabin, wooden blades",
    "1.8 m of carved wood, axial-flux generator, 20 m of cable in American gauges, rectifier at the mast foot, AGM in "
    "a box outdoors, lamps and a fridge on direct current. After NEC 694 and 706, read in a stored copy.",
    """
[site] latitude: 52 deg;
  mean_wind: 5.6 m/s (estimate); wind_height: 10 m (data plate); ground: smooth open ground;
  storm_wind: 37.5 m/s +- 2 m/s
[rotor] axis: horizontal axis; diameter: 1.8 m +- 1 cm; blades: 3; overspeed: furling tail;
  limit_wind: 10 m/s +- 1 m/s; overhang: 200 mm; brake: switch that shorts the generator; offset: 72 mm
[tail] hinge: by a hinge, so that it can fold; area: 0.25 m2; vane_height: 50 cm; arm: 1.12 m;
  mass: 3.8 kg; mass_arm: 78 cm; inclination: 20 deg; hinge_direction: 45 deg;
  rest_angle: 10 deg; stop_angle: 95 deg; hinge_behind: 108 mm
[yaw] rotor_side: ahead of the mast, as the wind sees it; friction: 0.15 Nm;
  cable: it hangs free in the mast, and a plug at the foot lets it be untwisted
[blade] material: wood; section: NACA 4412; density: 500 kg/m3; thickness_root: 36 mm; knots: none
[station.1] radius: 150 mm; chord: 130 mm; twist: 24 deg
[station.2] radius: 300 mm; chord: 112 mm; twist: 13 deg
[station.3] radius: 450 mm; chord: 95 mm; twist: 8.5 deg
[station.4] radius: 600 mm; chord: 80 mm; twist: 6 deg
[station.5] radius: 750 mm; chord: 67 mm; twist: 4.5 deg
[station.6] radius: 900 mm; chord: 55 mm; twist: 3.5 deg
[hub] bolts: 4; bolt_diameter: 8 mm; bolt_class: 8.8 (data plate); bolt_spacing: 60 mm; end_distance: 80 mm;
  side_distance: 32 mm; held: clamped between two plates
[generator] emf_constant: 15.5 rpm/V; winding_resistance: 0.32 ohm; phases: three-phase; field: permanent magnets;
  drive: the rotor, on one shaft; rated_current: 22 A (calculated); pole_pairs: 4; inductance: 0.15 mH;
  drag_torque: 0.1 Nm; cogging_torque: 0.05 Nm; insulation: F (data plate); rectifier_voltage: 1000 V (data plate);
  rectifier_current: 50 A (data plate); enclosed: yes
[cable.tower] carries: generator before the rectifier; length: 9 m; area: 6 AWG (data plate);
  insulation: XLPE or rubber, 90 degC; terminals: 75 degC
[cable.ground] carries: generator after the rectifier; length: 11 m; area: 2 AWG (data plate);
  insulation: XLPE or rubber, 90 degC; terminals: 75 degC; fused: yes; fuse: 110 A; fuse_kind: class T;
  fuse_distance: 60 cm
[cable.loads] carries: battery to loads; length: 4 m; area: 10 AWG (data plate); insulation: XLPE or rubber, 90 degC;
  fused: yes; fuse: 25 A; fuse_kind: blade, ATC; fuse_distance: 80 cm
[cable.dump] carries: to the dump load; length: 2 m; area: 4 AWG (data plate); insulation: XLPE or rubber, 90 degC;
  terminals: 75 degC; fused: yes; fuse: 80 A; fuse_kind: class T; fuse_distance: 60 cm
[storage] chemistry: AGM lead-acid; voltage: 12 V; capacity: 200 Ah (data plate); charge_voltage: 14.4 V;
  compensated: yes; coldest: -10 degC +- 3 degC; starter: no; strings: 1; alike: yes;
  place: box or cabinet outdoors with vents; vent_area: 60 cm2
[dump] kind: switched by the charge controller; power: 500 W (data plate); resistance: 0.5 ohm; voltage: 24 V;
  controller_current: 40 A; controller_voltage: 80 V;
  place: on the rectifier's side of whatever can disconnect the battery;
  mounted: stone, concrete or metal, with air around it; second_means: a second dump load with a control of its own
[house] feed: nothing in the house; labels: yes
[protection] brake_place: ahead of the rectifier, all leads; brake_current: 60 A;
  generator_switch: shorts the generator as it opens the circuit; main_fuse: class T; main_fuse_rating: 125 A;
  main_fuse_distance: 15 cm; battery_switch: yes; covered: yes; surge: at both ends of the generator's cable;
  surge_voltage: 385 V; mast_earth: earth electrode, joined to the earth of the system;
  earth_area: 6 AWG (data plate); polarity: connectors that fit one way only
[mast] kind: guyed tilt-up; height: 10 m; building_height: 4 m; line_distance: 300 m;
  tube_diameter: 76.1 mm (data plate); tube_wall: 3.6 mm (data plate);
  joint: sleeve, three diameters long or more, bolted through
[guy.low] height: 4 m; anchor_radius: 4.5 m; ropes: 4; rope_diameter: 6 mm (data plate);
  rope: 6x7 or 7x7, steel core, galvanised (data plate);
  end: thimble and U-bolt clips; clips: 3; clip_kind: EN 13411-5, type A;
  turnbuckle: eye or jaw at both ends; turnbuckle_size: 12 mm (data plate); pretension: 1000 N (estimate);
  anchor: block of concrete in the ground; anchor_width: 800 mm; anchor_height: 800 mm; anchor_depth: 1.2 m
[guy.top] height: 8.5 m; anchor_radius: 4.5 m; ropes: 4; rope_diameter: 6 mm (data plate);
  rope: 6x7 or 7x7, steel core, galvanised (data plate);
  end: thimble and U-bolt clips; clips: 3; clip_kind: EN 13411-5, type A;
  turnbuckle: eye or jaw at both ends; turnbuckle_size: 12 mm (data plate); pretension: 1000 N (estimate);
  anchor: block of concrete in the ground; anchor_width: 800 mm; anchor_height: 800 mm; anchor_depth: 1.2 m
[neighbour.cabin] kind: own house; distance: 60 m; direction: 20 deg
[base] kind: hinge on a block of concrete in the ground; width: 700 mm; depth: 700 mm; height: 700 mm;
  soil: gravel or sandy gravel
[gin] way: whole machine at once, tilted up; length: 4 m; pull_distance: 5.5 m;
  tube_diameter: 48.3 mm (data plate); tube_wall: 3.2 mm (data plate); rope_breaking: 20000 N (data plate);
  winch: 8000 N (data plate); side_guys: side guys, their anchors in line with the hinge;
  back_guy: a back guy of the right length, or a rope paid out
[load.lamps] power: 30 W (data plate); hours: 5 h/day (estimate); kind: electronics, LED lamp or charger;
  voltage: 12 V; voltage_max: 30 V
[load.fridge] power: 45 W (data plate); hours: 6 h/day (estimate); kind: motor, pump or compressor; voltage: 12 V;
  voltage_max: 31 V
""",
)

WORKSHOP = Machine(
    "24 V workshop, wooden blades",
    "2.4 m of carved wood, axial-flux generator, 34 m of cable, flooded traction cells that get a tenth of their "
    "capacity at most, an inverter on circuits of its own behind an RCD of 30 mA (IEC 60364-4-41, from memory).",
    """
[site] latitude: 52 deg;
  mean_wind: 5.4 m/s (estimate); wind_height: 10 m (data plate); ground: farmland with scattered hedges;
  storm_wind: 30 m/s +- 2 m/s
[rotor] axis: horizontal axis; diameter: 2.4 m +- 1 cm; blades: 3; overspeed: furling tail;
  limit_wind: 10.5 m/s +- 1 m/s; overhang: 260 mm; brake: switch that shorts the generator; offset: 96 mm
[tail] hinge: by a hinge, so that it can fold; area: 0.45 m2; vane_height: 67 cm; arm: 1.49 m;
  mass: 7.4 kg; mass_arm: 1.04 m; inclination: 20 deg; hinge_direction: 45 deg;
  rest_angle: 10 deg; stop_angle: 95 deg; hinge_behind: 144 mm
[yaw] rotor_side: ahead of the mast, as the wind sees it; friction: 0.4 Nm;
  cable: it hangs free in the mast, and a plug at the foot lets it be untwisted
[blade] material: wood; section: NACA 4412; density: 520 kg/m3; thickness_root: 45 mm; knots: none
[station.1] radius: 200 mm; chord: 170 mm; twist: 23 deg
[station.2] radius: 400 mm; chord: 145 mm; twist: 12.5 deg
[station.3] radius: 600 mm; chord: 122 mm; twist: 8.5 deg
[station.4] radius: 800 mm; chord: 102 mm; twist: 6 deg
[station.5] radius: 1000 mm; chord: 85 mm; twist: 4.5 deg
[station.6] radius: 1200 mm; chord: 70 mm; twist: 3.5 deg
[hub] bolts: 4; bolt_diameter: 8 mm; bolt_class: 8.8 (data plate); bolt_spacing: 70 mm; end_distance: 80 mm;
  side_distance: 40 mm; held: clamped between two plates
[generator] emf_constant: 7.0 rpm/V; winding_resistance: 0.50 ohm; phases: three-phase; field: permanent magnets;
  drive: the rotor, on one shaft; rated_current: 26 A (calculated); pole_pairs: 6; inductance: 0.4 mH;
  drag_torque: 0.2 Nm; cogging_torque: 0.1 Nm; insulation: F (data plate); rectifier_voltage: 1600 V (data plate);
  rectifier_current: 100 A (data plate); enclosed: yes
[cable.tower] carries: generator before the rectifier; length: 13 m; area: 16 mm2 (data plate)
[cable.ground] carries: generator after the rectifier; length: 21 m; area: 25 mm2 (data plate); fused: yes;
  fuse: 80 A; fuse_kind: class T; fuse_distance: 1 m
[cable.inverter] carries: battery to inverter; length: 1.5 m; area: 35 mm2 (data plate); fused: yes; fuse: 100 A;
  fuse_kind: class T; fuse_distance: 1 m
[cable.dump] carries: to the dump load; length: 2 m; area: 25 mm2 (data plate); fused: yes; fuse: 80 A;
  fuse_kind: class T; fuse_distance: 1 m
[storage] chemistry: flooded lead-acid; voltage: 24 V; capacity: 460 Ah (data plate); charge_voltage: 28.8 V;
  compensated: yes; coldest: -5 degC +- 2 degC; starter: no; strings: 1; alike: yes;
  place: shed, cellar or utility room with vents; vent_area: 200 cm2
[dump] kind: switched by the charge controller; power: 1200 W (data plate); resistance: 0.9 ohm; voltage: 48 V;
  controller_current: 45 A; controller_voltage: 150 V;
  place: on the rectifier's side of whatever can disconnect the battery;
  mounted: stone, concrete or metal, with air around it; second_means: a second dump load with a control of its own
[inverter] power: 1500 W; surge_power: 3000 W (data plate); input_voltage_min: 21 V (data plate);
  input_voltage_max: 34 V; efficiency: 92 % (data plate); fuse: 100 A; wave: sine
[house] feed: own circuits, apart from the house; neutral: joined to earth at one place; rcd: yes; labels: yes
[protection] brake_place: ahead of the rectifier, all leads; brake_current: 63 A;
  generator_switch: shorts the generator as it opens the circuit; main_fuse: class T; main_fuse_rating: 200 A;
  main_fuse_distance: 15 cm; battery_switch: yes; covered: yes; surge: at both ends of the generator's cable;
  surge_voltage: 600 V; mast_earth: earth electrode, joined to the earth of the system;
  earth_area: 16 mm2 (data plate); polarity: connectors that fit one way only
[mast] kind: guyed tilt-up; height: 13 m; building_height: 4.5 m; line_distance: 60 m;
  tube_diameter: 88.9 mm (data plate); tube_wall: 4.0 mm (data plate);
  joint: sleeve, three diameters long or more, bolted through
[guy.low] height: 5.5 m; anchor_radius: 7 m; ropes: 4; rope_diameter: 6 mm (data plate);
  rope: 6x7 or 7x7, steel core, galvanised (data plate); end: thimble and pressed sleeve;
  turnbuckle: eye or jaw at both ends; turnbuckle_size: 12 mm (data plate); pretension: 1200 N (estimate);
  anchor: block of concrete in the ground; anchor_width: 800 mm; anchor_height: 800 mm; anchor_depth: 1.2 m
[guy.top] height: 11.4 m; anchor_radius: 7 m; ropes: 4; rope_diameter: 6 mm (data plate);
  rope: 6x7 or 7x7, steel core, galvanised (data plate); end: thimble and pressed sleeve;
  turnbuckle: eye or jaw at both ends; turnbuckle_size: 12 mm (data plate); pretension: 1200 N (estimate);
  anchor: block of concrete in the ground; anchor_width: 800 mm; anchor_height: 800 mm; anchor_depth: 1.2 m
[neighbour.farm] kind: somebody else's house; distance: 260 m; direction: 90 deg
[neighbour.shop] kind: own house; distance: 50 m; direction: 10 deg
[base] kind: hinge on a block of concrete in the ground; width: 700 mm; depth: 700 mm; height: 700 mm;
  soil: sand, silty or clayey sand
[gin] way: whole machine at once, tilted up; length: 5 m; pull_distance: 8 m;
  tube_diameter: 60.3 mm (data plate); tube_wall: 4.0 mm (data plate); rope_breaking: 30000 N (data plate);
  winch: 10000 N (data plate); side_guys: side guys, their anchors in line with the hinge;
  back_guy: a back guy of the right length, or a rope paid out
[load.lights] power: 60 W (data plate); hours: 5 h/day (estimate); kind: electronics, LED lamp or charger
[load.fridge] power: 90 W (data plate); hours: 8 h/day (estimate); kind: motor, pump or compressor;
  surge: 600 W (estimate)
[load.drill] power: 700 W (data plate); hours: 0.2 h/day (estimate); kind: motor, pump or compressor;
  surge: 1500 W (estimate)
""",
)

HUB = Machine(
    "24 V smallholding, hub motor",
    "2 m of pipe on a salvaged scooter hub, 20 m of cable, LiFePO4 whose electronics block charging in the cold (0 to "
    "60 degC, a cell maker's sheet), a fuse for each circuit at the battery, a control that brakes when the dump load "
    "fails.",
    """
[site] latitude: 52 deg;
  mean_wind: 5.0 m/s (estimate); wind_height: 10 m (data plate); ground: farmland with scattered hedges
[rotor] axis: horizontal axis; diameter: 2.0 m +- 1 cm; blades: 3; overspeed: furling tail;
  limit_wind: 9 m/s +- 1 m/s; overhang: 200 mm; brake: switch that shorts the generator; offset: 80 mm
[tail] hinge: by a hinge, so that it can fold; area: 0.31 m2; vane_height: 56 cm; arm: 1.24 m;
  mass: 4 kg; mass_arm: 87 cm; inclination: 20 deg; hinge_direction: 45 deg;
  rest_angle: 10 deg; stop_angle: 95 deg; hinge_behind: 120 mm
[yaw] rotor_side: ahead of the mast, as the wind sees it; friction: 0.25 Nm;
  cable: it hangs free in the mast, and a plug at the foot lets it be untwisted
[blade] material: PVC-U pipe; pipe_diameter: 250 mm (data plate); pipe_wall: 7.3 mm (data plate);
  chord_root: 150 mm +- 3 mm; chord_tip: 70 mm +- 3 mm; mounting_angle: 21 deg +- 1 deg; root_radius: 120 mm
[hub] bolts: 3; bolt_diameter: 8 mm; bolt_class: 8.8 (data plate); bolt_spacing: 35 mm; end_distance: 30 mm;
  side_distance: 40 mm; held: clamped between two plates
[generator] emf_constant: 8.0 rpm/V; winding_resistance: 0.25 ohm; phases: three-phase; field: permanent magnets;
  drive: the rotor, on one shaft; rated_current: 14 A (estimate); pole_pairs: 23; inductance: 0.25 mH (estimate);
  drag_torque: 0.3 Nm; cogging_torque: 0.3 Nm; rectifier_voltage: 1000 V (data plate);
  rectifier_current: 35 A (data plate); enclosed: yes
[cable.tower] carries: generator before the rectifier; length: 9 m; area: 6 mm2 (data plate); strands: fine strands
[cable.ground] carries: generator after the rectifier; length: 11 m; area: 10 mm2 (data plate); fused: yes;
  fuse: 50 A; fuse_kind: cartridge, NH or BS 88; fuse_distance: 15 cm
[cable.inverter] carries: battery to inverter; length: 1.2 m; area: 16 mm2 (data plate); fused: yes; fuse: 63 A;
  fuse_kind: cartridge, NH or BS 88; fuse_distance: 15 cm
[cable.dump] carries: to the dump load; length: 2 m; area: 10 mm2 (data plate); fused: yes; fuse: 50 A;
  fuse_kind: cartridge, NH or BS 88; fuse_distance: 15 cm
[storage] chemistry: LiFePO4; voltage: 24 V; cells: 8; capacity: 200 Ah (data plate); charge_voltage: 28.0 V;
  coldest: 4 degC +- 1 degC; cold_charge_block: yes; cell_monitor: yes; monitor_voltage: 100 V; strings: 1;
  alike: yes; place: shed, cellar or utility room with vents
[dump] kind: switched by the charge controller; power: 700 W (data plate); resistance: 1.5 ohm; voltage: 48 V;
  controller_current: 30 A; controller_voltage: 150 V;
  place: on the rectifier's side of whatever can disconnect the battery;
  mounted: stone, concrete or metal, with air around it; second_means: a control that brakes the rotor
[inverter] power: 800 W; surge_power: 1600 W (data plate); input_voltage_min: 21 V (data plate);
  input_voltage_max: 33 V; efficiency: 90 % (data plate); fuse: 63 A; wave: sine
[house] feed: own circuits, apart from the house; neutral: joined to earth at one place; rcd: yes; labels: yes
[protection] brake_place: ahead of the rectifier, all leads; brake_current: 63 A;
  generator_switch: shorts the generator as it opens the circuit;
  main_fuse: none, each cable has its own at the battery; battery_switch: yes; covered: yes;
  surge: where the generator's cable enters the building; surge_voltage: 385 V;
  mast_earth: earth electrode, joined to the earth of the system; earth_area: 16 mm2 (data plate);
  polarity: connectors that fit one way only
[mast] kind: guyed tilt-up; height: 10 m; building_height: 4 m; line_distance: 50 m;
  tube_diameter: 60.3 mm (data plate); tube_wall: 5.0 mm (data plate);
  joint: sleeve, three diameters long or more, bolted through
[guy.low] height: 4.2 m; anchor_radius: 5 m; ropes: 4; rope_diameter: 5 mm (data plate);
  rope: 6x7 or 7x7, steel core, galvanised (data plate);
  end: thimble and U-bolt clips; clips: 3; clip_kind: EN 13411-5, type A;
  turnbuckle: eye or jaw at both ends; turnbuckle_size: 12 mm (data plate); pretension: 800 N (estimate);
  anchor: block of concrete in the ground; anchor_width: 700 mm; anchor_height: 700 mm; anchor_depth: 1.1 m
[guy.top] height: 8.6 m; anchor_radius: 5 m; ropes: 4; rope_diameter: 5 mm (data plate);
  rope: 6x7 or 7x7, steel core, galvanised (data plate);
  end: thimble and U-bolt clips; clips: 3; clip_kind: EN 13411-5, type A;
  turnbuckle: eye or jaw at both ends; turnbuckle_size: 12 mm (data plate); pretension: 800 N (estimate);
  anchor: block of concrete in the ground; anchor_width: 700 mm; anchor_height: 700 mm; anchor_depth: 1.1 m
[neighbour.house] kind: own house; distance: 60 m; direction: 330 deg
[base] kind: hinge on a block of concrete in the ground; width: 600 mm; depth: 600 mm; height: 600 mm;
  soil: sand, silty or clayey sand
[gin] way: whole machine at once, tilted up; length: 4 m; pull_distance: 6 m;
  tube_diameter: 48.3 mm (data plate); tube_wall: 4.0 mm (data plate); rope_breaking: 20000 N (data plate);
  winch: 8000 N (data plate); side_guys: side guys, their anchors in line with the hinge;
  back_guy: a back guy of the right length, or a rope paid out
[load.lights] power: 40 W (data plate); hours: 5 h/day (estimate); kind: electronics, LED lamp or charger
[load.pump] power: 250 W (data plate); hours: 0.5 h/day (estimate); kind: motor, pump or compressor;
  surge: 900 W (estimate)
""",
)

COTTAGE = Machine(
    "48 V cottage, glass-fibre blades",
    "3 m of glass fibre, 50 m of three wires to a rectifier at the battery, 16 LiFePO4 cells held at 3.45 V, a board "
    "2 m from the battery, transfer switch by an electrician (NEC 702.5, IEC 60364-5-55, 551).",
    """
[site] latitude: 52 deg;
  mean_wind: 5.5 m/s (estimate); wind_height: 10 m (data plate); ground: open farmland;
  storm_wind: 30 m/s +- 2 m/s
[rotor] axis: horizontal axis; diameter: 3.0 m +- 1 cm; blades: 3; overspeed: furling tail;
  limit_wind: 9.5 m/s +- 1 m/s; overhang: 320 mm; brake: switch that shorts the generator; offset: 120 mm
[tail] hinge: by a hinge, so that it can fold; area: 0.71 m2; vane_height: 84 cm; arm: 1.86 m;
  mass: 9.6 kg; mass_arm: 1.3 m; inclination: 20 deg; hinge_direction: 45 deg;
  rest_angle: 10 deg; stop_angle: 95 deg; hinge_behind: 180 mm
[yaw] rotor_side: ahead of the mast, as the wind sees it; friction: 0.8 Nm;
  cable: it hangs free in the mast, and a plug at the foot lets it be untwisted
[blade] material: glass-fibre; section: NACA 4415; laminate: 8 mm; mass: 2.3 kg
[station.1] radius: 250 mm; chord: 200 mm; twist: 20 deg
[station.2] radius: 500 mm; chord: 170 mm; twist: 11.5 deg
[station.3] radius: 750 mm; chord: 140 mm; twist: 7.5 deg
[station.4] radius: 1000 mm; chord: 115 mm; twist: 5 deg
[station.5] radius: 1250 mm; chord: 95 mm; twist: 3.5 deg
[station.6] radius: 1500 mm; chord: 75 mm; twist: 2.5 deg
[hub] bolts: 4; bolt_diameter: 10 mm; bolt_class: 8.8 (data plate); bolt_spacing: 60 mm; end_distance: 40 mm;
  side_distance: 50 mm; held: clamped between two plates
[generator] emf_constant: 3.0 rpm/V; winding_resistance: 1.8 ohm; phases: three-phase; field: permanent magnets;
  drive: the rotor, on one shaft; rated_current: 18 A (calculated); pole_pairs: 8; inductance: 2 mH;
  drag_torque: 0.4 Nm; cogging_torque: 0.1 Nm; insulation: F (data plate); rectifier_voltage: 1600 V (data plate);
  rectifier_current: 100 A (data plate); enclosed: yes
[cable.field] carries: generator before the rectifier; length: 50 m; area: 16 mm2 (data plate)
[cable.charge] carries: generator after the rectifier; length: 2 m; area: 16 mm2 (data plate); fused: yes; fuse: 63 A;
  fuse_kind: cartridge, NH or BS 88; fuse_distance: 2 m
[cable.inverter] carries: battery to inverter; length: 2 m; area: 50 mm2 (data plate); fused: yes; fuse: 125 A;
  fuse_kind: cartridge, NH or BS 88; fuse_distance: 2 m
[cable.dump] carries: to the dump load; length: 2 m; area: 16 mm2 (data plate); fused: yes; fuse: 63 A;
  fuse_kind: cartridge, NH or BS 88; fuse_distance: 2 m
[storage] chemistry: LiFePO4; voltage: 48 V; cells: 16; capacity: 280 Ah (data plate); charge_voltage: 55.2 V;
  coldest: 3 degC +- 1 degC; cold_charge_block: yes; cell_monitor: yes; monitor_voltage: 120 V; strings: 1;
  alike: yes; place: shed, cellar or utility room with vents
[dump] kind: switched by the charge controller; power: 2000 W (data plate); resistance: 2.2 ohm; voltage: 96 V;
  controller_current: 40 A; controller_voltage: 150 V;
  place: on the rectifier's side of whatever can disconnect the battery;
  mounted: stone, concrete or metal, with air around it; second_means: a second dump load with a control of its own
[inverter] power: 3000 W; surge_power: 6000 W (data plate); input_voltage_min: 44 V (data plate);
  input_voltage_max: 66 V; efficiency: 93 % (data plate); fuse: 125 A; wave: sine
[house] feed: transfer switch fitted by an electrician; neutral: joined to earth at one place; rcd: yes; labels: yes
[protection] brake_place: ahead of the rectifier, all leads; brake_current: 80 A;
  generator_switch: shorts the generator as it opens the circuit; main_fuse: class T; main_fuse_rating: 200 A;
  main_fuse_distance: 15 cm; battery_switch: yes; covered: yes; surge: at both ends of the generator's cable;
  surge_voltage: 600 V; mast_earth: earth electrode, joined to the earth of the system;
  earth_area: 16 mm2 (data plate); polarity: a diode, contactor or fuse chosen to act on it
[mast] kind: guyed tilt-up; height: 15 m; building_height: 5 m; line_distance: 70 m;
  tube_diameter: 101.6 mm (data plate); tube_wall: 5.0 mm (data plate);
  joint: sleeve, three diameters long or more, bolted through
[guy.low] height: 6.5 m; anchor_radius: 8 m; ropes: 4; rope_diameter: 8 mm (data plate);
  rope: 6x7 or 7x7, steel core, galvanised (data plate); end: thimble and pressed sleeve;
  turnbuckle: eye or jaw at both ends; turnbuckle_size: 12 mm (data plate); pretension: 2000 N (estimate);
  anchor: block of concrete in the ground; anchor_width: 1000 mm; anchor_height: 1000 mm; anchor_depth: 1.4 m
[guy.top] height: 13.1 m; anchor_radius: 8 m; ropes: 4; rope_diameter: 8 mm (data plate);
  rope: 6x7 or 7x7, steel core, galvanised (data plate); end: thimble and pressed sleeve;
  turnbuckle: eye or jaw at both ends; turnbuckle_size: 12 mm (data plate); pretension: 2000 N (estimate);
  anchor: block of concrete in the ground; anchor_width: 1000 mm; anchor_height: 1000 mm; anchor_depth: 1.4 m
[neighbour.lane] kind: road; distance: 120 m
[neighbour.house] kind: own house; distance: 70 m; direction: 30 deg
[base] kind: hinge on a block of concrete in the ground; width: 800 mm; depth: 800 mm; height: 800 mm;
  soil: firm clay or silt
[gin] way: whole machine at once, tilted up; length: 6 m; pull_distance: 9 m;
  tube_diameter: 76.1 mm (data plate); tube_wall: 4.0 mm (data plate); rope_breaking: 50000 N (data plate);
  winch: 16000 N (data plate); side_guys: side guys, their anchors in line with the hinge;
  back_guy: a back guy of the right length, or a rope paid out
[load.lights] power: 120 W (data plate); hours: 5 h/day (estimate); kind: electronics, LED lamp or charger
[load.fridge] power: 100 W (data plate); hours: 8 h/day (estimate); kind: motor, pump or compressor;
  surge: 700 W (estimate)
[load.pump] power: 750 W (data plate); hours: 0.5 h/day (estimate); kind: motor, pump or compressor;
  surge: 3000 W (estimate)
""",
)

FARM = Machine(
    "48 V farmhouse, wooden blades",
    "4.5 m of carved wood, axial-flux generator, rectifier at the mast foot and 80 m of cable, flooded traction "
    "cells, a board 2 m from the battery with fuses for 50 kA, transfer switch by an electrician.",
    """
[site] latitude: 52 deg;
  mean_wind: 5.5 m/s (estimate); wind_height: 10 m (data plate); ground: open farmland;
  storm_wind: 37.5 m/s +- 2 m/s
[rotor] axis: horizontal axis; diameter: 4.5 m +- 1 cm; blades: 3; overspeed: furling tail;
  limit_wind: 10.5 m/s +- 1 m/s; overhang: 450 mm; brake: switch that shorts the generator; offset: 180 mm
[tail] hinge: by a hinge, so that it can fold; area: 1.6 m2; vane_height: 1.26 m; arm: 2.79 m;
  mass: 26 kg; mass_arm: 1.95 m; inclination: 20 deg; hinge_direction: 45 deg;
  rest_angle: 10 deg; stop_angle: 95 deg; hinge_behind: 270 mm
[yaw] rotor_side: ahead of the mast, as the wind sees it; friction: 3 Nm;
  cable: it hangs free in the mast, and a plug at the foot lets it be untwisted
[blade] material: wood; section: NACA 4415; density: 520 kg/m3; thickness_root: 75 mm; knots: none
[station.1] radius: 350 mm; chord: 280 mm; twist: 20 deg
[station.2] radius: 750 mm; chord: 240 mm; twist: 11 deg
[station.3] radius: 1125 mm; chord: 205 mm; twist: 7 deg
[station.4] radius: 1500 mm; chord: 170 mm; twist: 5 deg
[station.5] radius: 1875 mm; chord: 140 mm; twist: 3.5 deg
[station.6] radius: 2250 mm; chord: 110 mm; twist: 2.5 deg
[hub] bolts: 6; bolt_diameter: 12 mm; bolt_class: 8.8 (data plate); bolt_spacing: 90 mm; end_distance: 100 mm;
  side_distance: 60 mm; held: clamped between two plates
[generator] emf_constant: 2.15 rpm/V; winding_resistance: 0.50 ohm; phases: three-phase; field: permanent magnets;
  drive: the rotor, on one shaft; rated_current: 55 A (calculated); pole_pairs: 8; inductance: 0.7 mH;
  drag_torque: 0.8 Nm; cogging_torque: 0.2 Nm; insulation: F (data plate); rectifier_voltage: 1600 V (data plate);
  rectifier_current: 200 A (data plate); enclosed: yes
[cable.tower] carries: generator before the rectifier; length: 18 m; area: 35 mm2 (data plate)
[cable.ground] carries: generator after the rectifier; length: 62 m; area: 70 mm2 (data plate); fused: yes;
  fuse: 160 A; fuse_kind: cartridge, NH or BS 88; fuse_distance: 2 m; fuse_breaking: 50000 A
[cable.inverter] carries: battery to inverter; length: 2.5 m; area: 70 mm2 (data plate);
  insulation: XLPE or rubber, 90 degC; strands: fine strands; fused: yes; fuse: 200 A;
  fuse_kind: cartridge, NH or BS 88; fuse_distance: 2 m; fuse_breaking: 50000 A
[cable.dump] carries: to the dump load; length: 3 m; area: 70 mm2 (data plate); fused: yes; fuse: 160 A;
  fuse_kind: cartridge, NH or BS 88; fuse_distance: 2 m; fuse_breaking: 50000 A
[storage] chemistry: flooded lead-acid; voltage: 48 V; capacity: 750 Ah (data plate); charge_voltage: 58.0 V;
  compensated: yes; coldest: -4 degC +- 2 degC; starter: no; strings: 1; alike: yes;
  place: shed, cellar or utility room with vents; vent_area: 600 cm2
[dump] kind: switched by a relay on voltage; power: 5000 W (data plate); resistance: 0.9 ohm; voltage: 96 V;
  controller_current: 100 A; place: on the rectifier's side of whatever can disconnect the battery;
  mounted: stone, concrete or metal, with air around it; second_means: a second dump load with a control of its own
[inverter] power: 5000 W; surge_power: 10000 W (data plate); input_voltage_min: 42 V (data plate);
  input_voltage_max: 68 V; efficiency: 93 % (data plate); fuse: 200 A; wave: sine
[house] feed: transfer switch fitted by an electrician; neutral: joined to earth at one place; rcd: yes; labels: yes
[protection] brake_place: ahead of the rectifier, all leads; brake_current: 160 A;
  generator_switch: shorts the generator as it opens the circuit; main_fuse: cartridge, NH or BS 88;
  main_fuse_rating: 250 A; main_fuse_distance: 15 cm; main_fuse_breaking: 50000 A; battery_switch: yes; covered: yes;
  surge: at both ends of the generator's cable; surge_voltage: 600 V;
  mast_earth: earth electrode, joined to the earth of the system; earth_area: 16 mm2 (data plate);
  polarity: connectors that fit one way only
[mast] kind: guyed tilt-up; height: 18 m; building_height: 6 m; line_distance: 120 m;
  tube_diameter: 193.7 mm (data plate); tube_wall: 6.3 mm (data plate);
  joint: sleeve, three diameters long or more, bolted through
[guy.low] height: 7.7 m; anchor_radius: 11 m; ropes: 4; rope_diameter: 12 mm (data plate);
  rope: 6x7 or 7x7, steel core, galvanised (data plate); end: thimble and pressed sleeve;
  turnbuckle: eye or jaw at both ends; turnbuckle_size: 12 mm (data plate); pretension: 3500 N (estimate);
  anchor: block of concrete in the ground; anchor_width: 1400 mm; anchor_height: 1400 mm; anchor_depth: 1.8 m
[guy.top] height: 15.4 m; anchor_radius: 11 m; ropes: 4; rope_diameter: 12 mm (data plate);
  rope: 6x7 or 7x7, steel core, galvanised (data plate); end: thimble and pressed sleeve;
  turnbuckle: eye or jaw at both ends; turnbuckle_size: 12 mm (data plate); pretension: 3500 N (estimate);
  anchor: block of concrete in the ground; anchor_width: 1400 mm; anchor_height: 1400 mm; anchor_depth: 1.8 m
[neighbour.house] kind: own house; distance: 90 m; direction: 340 deg
[neighbour.farm] kind: somebody else's house; distance: 400 m; direction: 120 deg
[base] kind: hinge on a block of concrete in the ground; width: 1200 mm; depth: 1200 mm; height: 1200 mm;
  soil: firm clay or silt
[gin] way: whole machine at once, tilted up; length: 7 m; pull_distance: 11 m;
  tube_diameter: 101.6 mm (data plate); tube_wall: 5.0 mm (data plate); rope_breaking: 100000 N (data plate);
  winch: 30000 N (data plate); side_guys: side guys, their anchors in line with the hinge;
  back_guy: a back guy of the right length, or a rope paid out
[load.lights] power: 150 W (data plate); hours: 5 h/day (estimate); kind: electronics, LED lamp or charger
[load.fridges] power: 200 W (data plate); hours: 9 h/day (estimate); kind: motor, pump or compressor;
  surge: 1400 W (estimate)
[load.washing] power: 500 W (data plate); hours: 1 h/day (estimate); kind: motor, pump or compressor;
  surge: 1500 W (estimate)
[load.pump] power: 1100 W (data plate); hours: 0.7 h/day (estimate); kind: motor, pump or compressor;
  surge: 4400 W (estimate)
""",
)

SOUND = (SHED, CABIN, WORKSHOP, HUB, COTTAGE, FARM)

GABLE = Machine(
    "12 V on the gable",
    "1.5 m of drain pipe on a treadmill motor, screwed to a gable, a car battery: no tail, no brake, no dump load. "
    "Against NEC 694.7(C) and all practice; what roofs give: Warwick trials, 2009.",
    """
[site] mean_wind: 5 m/s (estimate); ground: farmland with hedges
[rotor] axis: horizontal axis; diameter: 1.5 m; blades: 3; overspeed: none; brake: none
[blade] material: PVC-U pipe; pipe_diameter: 160 mm (data plate); pipe_wall: 4 mm (data plate); chord_root: 95 mm;
  chord_tip: 45 mm
[generator] emf_constant: 28 rpm/V (seller's claim); winding_resistance: 1 ohm; phases: DC with brushes;
  rated_current: 8 A (estimate); rectifier_voltage: 1000 V (seller's claim); rectifier_current: 35 A (seller's claim);
  enclosed: yes
[cable.drop] carries: generator after the rectifier; length: 14 m; area: 2.5 mm2 (data plate); fused: yes; fuse: 15 A;
  fuse_kind: blade, ATC; fuse_distance: 15 cm
[cable.lamps] carries: battery to loads; length: 6 m; area: 1.5 mm2 (data plate); fused: yes; fuse: 10 A;
  fuse_kind: blade, ATC; fuse_distance: 15 cm
[storage] chemistry: flooded lead-acid; voltage: 12 V; capacity: 60 Ah (data plate); starter: yes;
  coldest: -6 degC (estimate); place: shed, cellar or utility room with vents; vent_area: 100 cm2
[dump] kind: none
[house] feed: nothing in the house
[protection] generator_switch: none; main_fuse: none, each cable has its own at the battery; battery_switch: no;
  covered: no; surge: none; mast_earth: none; polarity: none
[mast] kind: on a roof or gable; height: 7 m; building_height: 5 m; line_distance: 60 m
[load.lamps] power: 20 W (data plate); hours: 4 h/day (estimate); voltage: 12 V; voltage_max: 15 V
""",
    dangers=("rotor.overspeed", "rotor.brake", "blade.root-strength", "blade.stress", "storage.dump"),
)

SCRAP = Machine(
    "24 V of scrapped car cells",
    "Cells of a scrapped car (outside IEC 62619) in the stairwell, unwatched, charged to 4.36 V each where they take "
    "4.20 (a controller's manual); the dump load on a shelf of wood.",
    """
[site] mean_wind: 5.2 m/s (estimate); ground: open farmland
[rotor] axis: horizontal axis; diameter: 2 m; blades: 3; tip_speed_ratio: 6 (estimate); overspeed: furling tail;
  limit_wind: 10 m/s (estimate); brake: switch that shorts the generator
[blade] material: wood
[generator] emf_constant: 8 rpm/V; winding_resistance: 0.5 ohm; phases: three-phase; rated_current: 18 A (estimate);
  pole_pairs: 6; inductance: 0.4 mH; rectifier_voltage: 1600 V (data plate); rectifier_current: 50 A (data plate);
  enclosed: yes
[cable.ground] carries: generator after the rectifier; length: 22 m; area: 16 mm2 (data plate); fused: yes;
  fuse: 63 A; fuse_kind: class T; fuse_distance: 15 cm
[cable.dump] carries: to the dump load; length: 2 m; area: 10 mm2 (data plate); fused: yes; fuse: 50 A;
  fuse_kind: class T; fuse_distance: 15 cm
[storage] chemistry: NMC lithium; voltage: 24 V; cells: 7; capacity: 60 Ah (estimate); charge_voltage: 30.5 V;
  reused: yes; cell_monitor: no; alike: yes; coldest: 6 degC; place: stairs, hall or other way out
[dump] kind: switched by a relay on voltage; power: 700 W (data plate); resistance: 1.5 ohm; voltage: 48 V;
  controller_current: 30 A; place: on the rectifier's side of whatever can disconnect the battery;
  mounted: wood or another thing that can burn; second_means: none
[house] feed: nothing in the house
[protection] brake_place: ahead of the rectifier, all leads; brake_current: 63 A;
  generator_switch: shorts the generator as it opens the circuit;
  main_fuse: none, each cable has its own at the battery; battery_switch: no; covered: yes; surge: none;
  mast_earth: none; polarity: none
[mast] kind: guyed tilt-up; height: 9 m; building_height: 5 m; line_distance: 60 m
""",
    dangers=("storage.charge-voltage", "storage.place", "storage.cell-monitor", "storage.reused", "dump.mount"),
)

PLUGS = Machine(
    "24 V into the socket",
    "A lead with two plugs into the house (US CPSC, warning of 15 September 2022), garden tools without an RCD, "
    "breakers for AC in place of the battery's fuses (NEC 694.15(C)).",
    """
[site] mean_wind: 5.2 m/s (estimate); ground: farmland with scattered hedges
[rotor] axis: horizontal axis; diameter: 2.2 m; blades: 3; overspeed: furling tail; limit_wind: 10 m/s (estimate);
  brake: switch that shorts the generator
[blade] material: wood
[generator] emf_constant: 7.5 rpm/V; winding_resistance: 0.5 ohm; phases: three-phase; rated_current: 20 A (estimate);
  pole_pairs: 6; inductance: 0.4 mH; rectifier_voltage: 1600 V (data plate); rectifier_current: 50 A (data plate);
  enclosed: yes
[cable.ground] carries: generator after the rectifier; length: 25 m; area: 16 mm2 (data plate); fused: yes;
  fuse: 63 A; fuse_kind: breaker for AC
[cable.inverter] carries: battery to inverter; length: 2 m; area: 35 mm2 (data plate); fused: no
[storage] chemistry: flooded lead-acid; voltage: 24 V; capacity: 220 Ah (data plate); charge_voltage: 28.8 V;
  compensated: no; starter: no; coldest: -4 degC (estimate); place: shed, cellar or utility room with vents;
  vent_area: 150 cm2
[dump] kind: switched by the charge controller; power: 900 W (data plate); resistance: 1.2 ohm; voltage: 48 V;
  controller_current: 30 A; controller_voltage: 60 V;
  place: on the rectifier's side of whatever can disconnect the battery;
  mounted: stone, concrete or metal, with air around it; second_means: none
[inverter] power: 1500 W; input_voltage_min: 21 V (data plate); wave: stepped (modified sine); outdoors: yes;
  appliances: 4
[house] feed: inverter into a socket by a lead with two plugs; neutral: not joined to earth; rcd: no; labels: no
[protection] brake_place: ahead of the rectifier, all leads; brake_current: 63 A;
  generator_switch: shorts the generator as it opens the circuit; main_fuse: breaker for AC; main_fuse_rating: 80 A;
  battery_switch: no; covered: no; surge: none; mast_earth: none; polarity: none
[mast] kind: guyed tilt-up; height: 10 m; building_height: 5 m; line_distance: 60 m
[load.mower] power: 1200 W (data plate); hours: 0.2 h/day (estimate); kind: motor, pump or compressor;
  surge: 2500 W (estimate)
""",
    dangers=("protection.main-fuse", "protection.fuse", "house.feed", "house.shock"),
)

LINES = Machine(
    "12 V under the line",
    "A mast that falls onto the overhead line (Colorado State University: 1.5 heights away), and flooded cells in a "
    "bedroom cupboard without a vent (EN IEC 62485-2).",
    """
[site] mean_wind: 5 m/s (estimate); ground: farmland with scattered hedges
[rotor] axis: horizontal axis; diameter: 1.8 m; blades: 3; overspeed: furling tail; limit_wind: 10 m/s (estimate);
  brake: switch that shorts the generator
[blade] material: wood
[generator] emf_constant: 15 rpm/V; winding_resistance: 0.35 ohm; phases: three-phase; rated_current: 20 A (estimate);
  pole_pairs: 4; inductance: 0.2 mH; rectifier_voltage: 1000 V (data plate); rectifier_current: 35 A (data plate);
  enclosed: yes
[cable.ground] carries: generator after the rectifier; length: 18 m; area: 10 mm2 (data plate); fused: yes;
  fuse: 50 A; fuse_kind: ANL; fuse_distance: 15 cm
[cable.dump] carries: to the dump load; length: 2 m; area: 10 mm2 (data plate); fused: yes; fuse: 50 A;
  fuse_kind: ANL; fuse_distance: 15 cm
[storage] chemistry: flooded lead-acid; voltage: 12 V; capacity: 220 Ah (data plate); charge_voltage: 14.4 V;
  compensated: no; starter: no; coldest: 12 degC; place: room where people live or sleep; vent_area: 0 cm2
[dump] kind: switched by the charge controller; power: 400 W (data plate); resistance: 0.7 ohm; voltage: 24 V;
  controller_current: 30 A; controller_voltage: 60 V;
  place: on the rectifier's side of whatever can disconnect the battery;
  mounted: stone, concrete or metal, with air around it; second_means: none
[house] feed: nothing in the house
[protection] brake_place: ahead of the rectifier, all leads; brake_current: 63 A;
  generator_switch: shorts the generator as it opens the circuit;
  main_fuse: none, each cable has its own at the battery; battery_switch: no; covered: no; surge: none;
  mast_earth: none; polarity: none
[mast] kind: guyed tilt-up; height: 12 m; building_height: 5 m; line_distance: 8 m
[load.lamps] power: 40 W (data plate); hours: 5 h/day (estimate); voltage: 12 V; voltage_max: 15 V
""",
    dangers=("storage.ventilation", "storage.place", "mast.overhead-lines"),
)

BARE = Machine(
    "48 V with bare terminals",
    "Wired by feel: terminals open to the hand (EN 60204-1: 25 V AC), no main fuse, one fuse far too big, one left "
    "out, the brake behind the rectifier.",
    """
[site] mean_wind: 5.4 m/s (estimate); ground: open farmland
[rotor] axis: horizontal axis; diameter: 3 m; blades: 3; overspeed: furling tail; limit_wind: 10 m/s (estimate);
  brake: switch that shorts the generator
[blade] material: wood
[generator] emf_constant: 3 rpm/V; winding_resistance: 1.8 ohm; phases: three-phase; rated_current: 18 A (estimate);
  pole_pairs: 8; inductance: 2 mH; rectifier_voltage: 1600 V (data plate); rectifier_current: 50 A (data plate);
  enclosed: no
[cable.ground] carries: generator after the rectifier; length: 30 m; area: 4 mm2 (data plate); fused: yes; fuse: 80 A;
  fuse_kind: cartridge, NH or BS 88; fuse_distance: 15 cm
[cable.lamps] carries: battery to loads; length: 6 m; area: 2.5 mm2 (data plate); fused: no
[storage] chemistry: AGM lead-acid; voltage: 48 V; capacity: 100 Ah (data plate); charge_voltage: 57.6 V;
  compensated: no; starter: no; coldest: 2 degC; place: shed, cellar or utility room with vents; vent_area: 100 cm2
[dump] kind: switched by the charge controller; power: 2000 W (data plate); resistance: 2 ohm; voltage: 96 V;
  controller_current: 40 A; controller_voltage: 100 V;
  place: on the rectifier's side of whatever can disconnect the battery;
  mounted: stone, concrete or metal, with air around it; second_means: none
[house] feed: nothing in the house
[protection] brake_place: after the rectifier; brake_current: 63 A; generator_switch: none; main_fuse: none;
  battery_switch: no; covered: no; surge: none; mast_earth: none; polarity: none
[mast] kind: guyed tilt-up; height: 12 m; building_height: 4 m; line_distance: 60 m
[load.lamps] power: 60 W (data plate); hours: 5 h/day (estimate); voltage: 48 V; voltage_max: 60 V
""",
    dangers=(
        "generator.touch-voltage", "wiring.fuse", "wiring.fuse", "protection.main-fuse", "protection.brake-switch",
    ),
)  # fmt: skip

BARN = Machine(
    "12 V lithium in the barn",
    "A lead charger's equalising on LiFePO4 (3.65 V a cell, rackbattery.com) in the frost, blade fuses of 1 kA on it, "
    "and a dump load behind the battery as all that holds the rotor.",
    """
[site] mean_wind: 5.4 m/s (estimate); ground: open farmland
[rotor] axis: horizontal axis; diameter: 1.8 m; blades: 3; overspeed: none; brake: switch that shorts the generator
[blade] material: PVC-U pipe; pipe_diameter: 200 mm (data plate); pipe_wall: 4.9 mm (data plate); chord_root: 120 mm;
  chord_tip: 55 mm
[generator] emf_constant: 15 rpm/V; winding_resistance: 0.35 ohm; phases: three-phase; rated_current: 18 A (estimate);
  pole_pairs: 4; inductance: 0.2 mH; rectifier_voltage: 1000 V (data plate); rectifier_current: 35 A (data plate);
  enclosed: yes
[cable.ground] carries: generator after the rectifier; length: 15 m; area: 16 mm2 (data plate); fused: yes;
  fuse: 40 A; fuse_kind: blade, ATC; fuse_distance: 15 cm
[storage] chemistry: LiFePO4; voltage: 12 V; cells: 4; capacity: 300 Ah (seller's claim); charge_voltage: 15.5 V;
  coldest: -9 degC (estimate); cold_charge_block: no; cell_monitor: yes; monitor_voltage: 40 V; alike: yes;
  place: shed, cellar or utility room with vents
[dump] kind: switched by the charge controller; power: 400 W (data plate); resistance: 0.6 ohm; voltage: 24 V;
  controller_current: 30 A; controller_voltage: 40 V; place: on the battery's side of whatever can disconnect it;
  mounted: stone, concrete or metal, with air around it; second_means: the battery's own electronics disconnect it
[house] feed: nothing in the house
[protection] brake_place: ahead of the rectifier, all leads; brake_current: 40 A;
  generator_switch: only opens the circuit; main_fuse: blade, ATC; main_fuse_rating: 40 A; main_fuse_distance: 15 cm;
  battery_switch: no; covered: no; surge: none; mast_earth: none; polarity: none
[mast] kind: guyed tilt-up; height: 9 m; building_height: 4 m; line_distance: 60 m
""",
    dangers=(
        "rotor.overspeed", "blade.root-strength", "blade.stress", "protection.main-fuse", "protection.fuse",
        "storage.charge-voltage", "storage.cold-charge", "dump.open-charge",
    ),
)  # fmt: skip

CARELESS = (GABLE, SCRAP, PLUGS, LINES, BARE, BARN)
