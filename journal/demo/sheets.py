"""What the two machines are, as their builder would have written it down, and the table of a spin test."""

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
pipe_wall = { value = "4.0 mm", from = "data plate" }
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
line_distance = { value = "70 m", from = "measured", doubt = "5 m", note = "paced out to the line along the lane" }

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
pipe_wall = { value = "6.2 mm", from = "data plate" }
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
monitor_voltage = { value = "100 V", from = "data plate", note = "its transistors" }
alike = { value = "yes", from = "measured" }

[dump]
kind = { value = "switched by the charge controller", from = "measured" }
power = { value = "600 W", from = "data plate" }
resistance = { value = "1.4 ohm", from = "measured", doubt = "0.05 ohm" }
voltage = { value = "48 V", from = "data plate" }
controller_current = { value = "40 A", from = "data plate" }
place = { value = "on the rectifier's side of whatever can disconnect the battery", from = "measured" }
second_means = { value = "the battery's own electronics disconnect it", from = "measured" }
mounted = { value = "stone, concrete or metal, with air around it", from = "measured" }
controller_voltage = { value = "150 V", from = "data plate" }

[protection]
main_fuse = { value = "none, each cable has its own at the battery", from = "measured" }
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
input_voltage_max = { value = "32 V", from = "data plate" }
wave = { value = "sine", from = "data plate" }
surge_power = { value = "800 W", from = "data plate", note = "names no more than that for starts" }
fuse = { value = "63 A", from = "data plate" }

[house]
neutral = { value = "joined to earth at one place", from = "measured", note = "by the electrician, with the switch" }
rcd = { value = "yes", from = "measured" }
labels = { value = "yes", from = "measured" }

[load.lights]
kind = { value = "electronics, LED lamp or charger", from = "measured" }

[load.pump]
kind = { value = "motor, pump or compressor", from = "measured" }
power = { value = "250 W", from = "data plate" }
hours = { value = "0.3 h/day", from = "estimate" }
surge = { value = "750 W", from = "estimate" }
"""

SPIN_TEST = "rpm,open_volts\n310,5.1\n620,10.2\n930,15.2\n"
