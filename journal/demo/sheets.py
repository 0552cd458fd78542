"""What the two machines are, as their builder would have written it down, and the table of a spin test."""

FIRST_SHEET = """
[site]
mean_wind = { value = "4.6 m/s", from = "estimate", note = "regional wind map" }
wind_height = { value = "10 m", from = "data plate", note = "height named on the map" }
ground = { value = "farmland with hedges", from = "measured" }
latitude = { value = "54 deg", from = "estimate", doubt = "0.5 deg", note = "map, to the half degree" }
terrain = { value = "side of a slope", from = "measured" }
boundary = { value = "60 m", from = "measured", doubt = "3 m", note = "the lane's hedge" }

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

[hub]
bolts = { value = "2", from = "measured" }
bolt_diameter = { value = "6 mm", from = "measured" }
bolt_spacing = { value = "30 mm", from = "measured", doubt = "1 mm" }
end_distance = { value = "12 mm", from = "measured", doubt = "1 mm", note = "from the piece by the gate" }
side_distance = { value = "22 mm", from = "measured", doubt = "1 mm" }
held = { value = "bolted to one plate", from = "measured" }
plate_thickness = { value = "4 mm", from = "measured" }
plate_width = { value = "60 mm", from = "measured" }
shaft_diameter = { value = "14 mm", from = "measured" }

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

[yaw]
cable = { value = "it twists up, and nothing lets it untwist", from = "measured" }

[mast]
kind = { value = "on a roof or gable", from = "measured" }
height = { value = "8.5 m", from = "measured", doubt = "0.2 m", note = "4.5 m of mast, its foot 4 m up the gable" }
building_height = { value = "5 m", from = "measured", doubt = "0.2 m", note = "ridge of the shed" }
line_distance = { value = "70 m", from = "measured", doubt = "5 m", note = "paced out to the line along the lane" }
foot_height = { value = "4 m", from = "measured", doubt = "0.2 m", note = "up the gable" }
engineer = { value = "no", from = "measured" }

[load.lights]
power = { value = "24 W", from = "data plate" }
hours = { value = "5 h/day", from = "estimate" }

[neighbour.gate]
kind = { value = "path", from = "measured" }
distance = { value = "31 m", from = "measured", doubt = "0.5 m", note = "field gate, used every day" }
direction = { value = "80 deg", from = "estimate", doubt = "10 deg" }

[neighbour.house]
kind = { value = "own house", from = "measured" }
distance = { value = "42 m", from = "measured", doubt = "1 m" }
direction = { value = "310 deg", from = "estimate", doubt = "10 deg" }

[neighbour.lane]
kind = { value = "road", from = "measured" }
distance = { value = "64 m", from = "measured", doubt = "3 m" }

[neighbour.line]
kind = { value = "power line", from = "measured" }
distance = { value = "70 m", from = "measured", doubt = "5 m", note = "along the lane" }

[neighbour.farm]
kind = { value = "somebody else's house", from = "measured" }
distance = { value = "230 m", from = "estimate", doubt = "15 m" }
direction = { value = "20 deg", from = "estimate", doubt = "10 deg" }

[obstacle.hedge]
height = { value = "3 m", from = "estimate", doubt = "0.5 m" }
distance = { value = "45 m", from = "measured", doubt = "2 m" }
direction = { value = "240 deg", from = "estimate", doubt = "10 deg" }
kind = { value = "dense trees or hedge", from = "measured" }
share = { value = "30 %", from = "estimate", doubt = "15 %" }
"""

SECOND_SHEET = """
[site]
latitude = { value = "54 deg", from = "estimate", doubt = "0.5 deg", note = "map, to the half degree" }
terrain = { value = "side of a slope", from = "measured" }
boundary = { value = "54 m", from = "measured", doubt = "3 m", note = "the lane's hedge" }

[rotor]
diameter = { value = "2.2 m", from = "measured", doubt = "1 cm" }
overhang = { value = "310 mm", from = "measured", doubt = "5 mm", note = "set out so far that no tip meets the mast" }
limit_wind = { value = "11 m/s", from = "estimate", doubt = "1.5 m/s", note = "tail test on a moving trailer" }

[blade]
pipe_diameter = { value = "250 mm", from = "data plate" }
pipe_wall = { value = "6.2 mm", from = "data plate" }
chord_root = { value = "150 mm", from = "measured", doubt = "3 mm" }
chord_tip = { value = "70 mm", from = "measured", doubt = "3 mm" }
age = { value = "0", from = "measured", note = "new" }
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

[neighbour.gate]
kind = { value = "path", from = "measured" }
distance = { value = "38 m", from = "measured", doubt = "0.5 m", note = "field gate, used every day" }
direction = { value = "80 deg", from = "estimate", doubt = "10 deg" }

[neighbour.house]
kind = { value = "own house", from = "measured" }
distance = { value = "36 m", from = "measured", doubt = "1 m" }
direction = { value = "310 deg", from = "estimate", doubt = "10 deg" }

[neighbour.lane]
kind = { value = "road", from = "measured" }
distance = { value = "58 m", from = "measured", doubt = "3 m" }

[neighbour.line]
kind = { value = "power line", from = "measured" }
distance = { value = "64 m", from = "measured", doubt = "5 m", note = "along the lane" }

[neighbour.farm]
kind = { value = "somebody else's house", from = "measured" }
distance = { value = "225 m", from = "estimate", doubt = "15 m" }
direction = { value = "20 deg", from = "estimate", doubt = "10 deg" }

[obstacle.hedge]
height = { value = "3 m", from = "estimate", doubt = "0.5 m" }
distance = { value = "40 m", from = "measured", doubt = "2 m" }
direction = { value = "240 deg", from = "estimate", doubt = "10 deg" }
kind = { value = "dense trees or hedge", from = "measured" }
share = { value = "30 %", from = "estimate", doubt = "15 %" }

[obstacle.shed]
height = { value = "5 m", from = "measured", doubt = "0.2 m", note = "ridge" }
distance = { value = "26 m", from = "measured", doubt = "0.5 m" }
direction = { value = "60 deg", from = "estimate", doubt = "10 deg" }
share = { value = "10 %", from = "estimate", doubt = "5 %" }

[place.knoll]
mean_wind = { value = "5.0 m/s", from = "estimate", doubt = "0.5 m/s", note = "open to the west, 160 m of cable" }
"""

#: From the hub to the ground, measured when the mast lay on its trestles.
SECOND_MAST = """[rotor]
offset = { value = "90 mm", from = "measured", doubt = "3 mm" }

[hub]
bolts = { value = "3", from = "measured" }
bolt_diameter = { value = "8 mm", from = "measured" }
bolt_class = { value = "8.8", from = "data plate" }
bolt_spacing = { value = "35 mm", from = "measured", doubt = "1 mm" }
end_distance = { value = "25 mm", from = "measured", doubt = "1 mm" }
side_distance = { value = "35 mm", from = "measured", doubt = "1 mm" }
held = { value = "clamped between two plates", from = "measured" }
plate_thickness = { value = "8 mm", from = "measured" }
plate_width = { value = "90 mm", from = "measured" }
shaft_diameter = { value = "25 mm", from = "measured" }
bearing_distance = { value = "35 mm", from = "measured" }
head_mass = { value = "28 kg", from = "estimate", doubt = "4 kg", note = "bathroom scale, with and without" }

[tail]
hinge = { value = "by a hinge, so that it can fold", from = "measured" }
area = { value = "0.36 m2", from = "measured", doubt = "0.01 m2" }
vane_height = { value = "60 cm", from = "measured", doubt = "1 cm" }
arm = { value = "1.4 m", from = "measured", doubt = "2 cm" }
mass = { value = "4.4 kg", from = "measured", doubt = "0.1 kg" }
mass_arm = { value = "95 cm", from = "measured", doubt = "2 cm" }
inclination = { value = "20 deg", from = "measured", doubt = "1 deg" }
hinge_direction = { value = "45 deg", from = "measured", doubt = "5 deg" }
rest_angle = { value = "12 deg", from = "measured", doubt = "2 deg" }
stop_angle = { value = "95 deg", from = "measured", doubt = "3 deg" }
hinge_behind = { value = "120 mm", from = "measured", doubt = "5 mm" }
boom_diameter = { value = "60 mm", from = "measured" }
boom_wall = { value = "4 mm", from = "measured", doubt = "0.2 mm" }
boom_material = { value = "aluminium", from = "measured" }
vane_thickness = { value = "6 mm", from = "measured" }
vane_material = { value = "plywood", from = "measured" }
cushioned = { value = "yes", from = "measured", note = "an exhaust rubber on the stop" }

[yaw]
rotor_side = { value = "ahead of the mast, as the wind sees it", from = "measured" }
friction = { value = "0.8 Nm", from = "measured", doubt = "0.3 Nm", note = "spring scale on the boom, in a calm" }
bearing_distance = { value = "220 mm", from = "measured", doubt = "2 mm" }
bearing_rating = { value = "14000 N", from = "data plate", note = "two taper roller bearings off a trailer hub" }
shaft_height = { value = "90 mm", from = "measured", doubt = "5 mm" }
cable = { value = "it hangs free in the mast, and a plug at the foot lets it be untwisted", from = "measured" }

[weighed.a]
mass = { value = "1.042 kg", from = "measured", doubt = "2 g" }
balance_point = { value = "548 mm", from = "measured", doubt = "1 mm" }

[weighed.b]
mass = { value = "1.078 kg", from = "measured", doubt = "2 g" }
balance_point = { value = "551 mm", from = "measured", doubt = "1 mm" }

[weighed.c]
mass = { value = "1.061 kg", from = "measured", doubt = "2 g" }
balance_point = { value = "546 mm", from = "measured", doubt = "1 mm" }

[mast]
foot_height = { value = "0 m", from = "measured" }
line_distance = { value = "64 m", from = "measured", doubt = "5 m" }
joint = { value = "sleeve, three diameters long or more, bolted through", from = "measured" }
joint_height = { value = "5 m", from = "measured", doubt = "5 cm" }

[guy.low]
height = { value = "3.4 m", from = "measured", doubt = "5 cm" }
anchor_radius = { value = "4.5 m", from = "measured", doubt = "10 cm" }
ropes = { value = "4", from = "measured" }
rope_diameter = { value = "5 mm", from = "data plate" }
rope = { value = "6x7 or 7x7, steel core, galvanised", from = "data plate" }
end = { value = "thimble and U-bolt clips", from = "measured" }
clips = { value = "3", from = "measured" }
clip_kind = { value = "EN 13411-5, type A", from = "data plate" }
turnbuckle = { value = "eye or jaw at both ends", from = "measured" }
turnbuckle_size = { value = "12 mm", from = "measured" }
pretension = { value = "600 N", from = "estimate", doubt = "200 N", note = "by the sag" }
anchor = { value = "block of concrete in the ground", from = "measured" }
anchor_width = { value = "500 mm", from = "measured", doubt = "20 mm" }
anchor_height = { value = "500 mm", from = "measured", doubt = "20 mm" }
anchor_depth = { value = "0.9 m", from = "measured", doubt = "5 cm" }

[guy.top]
height = { value = "6.7 m", from = "measured", doubt = "5 cm" }
anchor_radius = { value = "4.5 m", from = "measured", doubt = "10 cm" }
ropes = { value = "4", from = "measured" }
rope_diameter = { value = "5 mm", from = "data plate" }
rope = { value = "6x7 or 7x7, steel core, galvanised", from = "data plate" }
end = { value = "thimble and U-bolt clips", from = "measured" }
clips = { value = "3", from = "measured" }
clip_kind = { value = "EN 13411-5, type A", from = "data plate" }
turnbuckle = { value = "eye or jaw at both ends", from = "measured" }
turnbuckle_size = { value = "12 mm", from = "measured" }
pretension = { value = "600 N", from = "estimate", doubt = "200 N", note = "by the sag" }
anchor = { value = "block of concrete in the ground", from = "measured" }
anchor_width = { value = "500 mm", from = "measured", doubt = "20 mm" }
anchor_height = { value = "500 mm", from = "measured", doubt = "20 mm" }
anchor_depth = { value = "0.9 m", from = "measured", doubt = "5 cm" }

[base]
kind = { value = "hinge on a block of concrete in the ground", from = "measured" }
width = { value = "500 mm", from = "measured", doubt = "20 mm" }
depth = { value = "0.5 m", from = "measured", doubt = "3 cm" }
height = { value = "0.5 m", from = "measured", doubt = "3 cm" }
soil = { value = "firm clay or silt", from = "measured", note = "the hole was dug by hand" }

[gin]
way = { value = "whole machine at once, tilted up", from = "measured" }
length = { value = "3.5 m", from = "measured", doubt = "5 cm" }
pull_distance = { value = "5 m", from = "measured", doubt = "10 cm" }
tube_diameter = { value = "48.3 mm", from = "data plate" }
tube_wall = { value = "3.2 mm", from = "data plate" }
rope_breaking = { value = "12000 N", from = "data plate" }
winch = { value = "4000 N", from = "data plate" }
side_guys = { value = "side guys, their anchors in line with the hinge", from = "measured" }
back_guy = { value = "a back guy of the right length, or a rope paid out", from = "measured" }
"""

SPIN_TEST = "rpm,open_volts\n310,5.1\n620,10.2\n930,15.2\n"
