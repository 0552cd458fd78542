"""The rotor and its blades."""

from __future__ import annotations

from calc.machine.entry import DEG, Assumed, Group, choice, count, number

FURLING, WORKED_BY_SPEED = "furling tail", "mechanical brake worked by speed"
OVERSPEED = (
    "none",
    FURLING,
    "pitching blades",
    WORKED_BY_SPEED,
    "other, worked by speed",
)
HORIZONTAL, VERTICAL = "horizontal axis", "vertical axis"
SHORTING_SWITCH, MECHANICAL_BRAKE = "switch that shorts the generator", "mechanical brake"
MATERIALS = ("PVC-U pipe", "wood", "glass-fibre", "aluminium", "other")
COLOURS = ("white or light", "grey or orange brown", "dark or black")
KNOTS = ("none", "small ones, outer half only", "in the inner half")
COATS = ("paint or varnish that is kept up", "none")
EDGES = ("trailing", "leading", "neither")
#: A section whose lift and drag are typed, see ``polar.``.
TYPED_SECTION = "lift and drag typed as a table"
YEARS = ("year", "yr", "a")
SECTIONS = (
    "arc of the pipe", "NACA 4412", "NACA 4415", "NACA 2412", "NACA 4418", "Clark Y", "SG6043", TYPED_SECTION,
)  # fmt: skip


class RotorGroup(Group):
    """The rotor as a whole."""

    said = ("turbine", "propeller", "machine")

    axis = choice(
        "How its axis lies", HORIZONTAL, VERTICAL, also={HORIZONTAL: ("hawt",), VERTICAL: ("vawt", "upright")}
    )
    diameter = number("Diameter, tip to tip", "m", "m", 0.2, 15.0, "2.2 m")
    blades = count("Number of blades", 1, 24, "3", of=("blade", "vane"))
    tip_speed_ratio = number(
        "Tip-speed ratio at which it works best",
        "",
        "",
        0.8,
        15.0,
        "5",
        Assumed(5.0, "three blades cut from pipe; common practice, no source", 4.0, 6.5),
    )
    free_tip_speed_ratio = number(
        "Tip-speed ratio with nothing connected",
        "",
        "",
        0.8,
        25.0,
        "8",
        Assumed(8.0, "about 1.6 times the working value; common practice, no source", 6.5, 10.0),
    )
    power_coefficient = number(
        "Share of the wind's power the rotor takes",
        "",
        "",
        0.01,
        0.7,
        "0.2",
        Assumed(
            0.28,
            "blades cut from pipe: builders tell of 0.15 to 0.30, their shape may give up to 0.42; weak",
            0.15,
            0.42,
        ),
    )
    overspeed = choice(
        "What limits the rotor's speed by itself in a storm",
        *OVERSPEED,
        also={
            "none": ("no", "nothing", "without"),
            FURLING: ("furling", "furl", "folding tail", "tail"),
            "pitching blades": ("pitch", "pitch control", "variable pitch"),
            WORKED_BY_SPEED: ("brake", "governor", "centrifugal brake"),
        },
    )
    limit_wind = number("Wind from which the rotor is held back", "m/s", "m/s", 3.0, 40.0, "11 m/s")
    overhang = number("Distance from the rotor's centre to the yaw axis", "m", "mm", 0.01, 5.0, "220 mm")
    brake = choice(
        "What stops the rotor on demand",
        "none",
        SHORTING_SWITCH,
        MECHANICAL_BRAKE,
        "other",
        also={
            "none": ("no", "nothing", "without"),
            SHORTING_SWITCH: (
                "shorting switch",
                "short circuit switch",
                "brake switch",
                "stop switch",
                "electric brake",
                "brake",
            ),
            MECHANICAL_BRAKE: ("disc brake", "disk brake", "drum brake", "band brake", "brake"),
        },
    )
    design_speed = number("Speed of the rotor in the design wind, with its load", "rad/s", "rpm", 0.5, 800.0, "350 rpm")
    design_torque = number("Torque of the rotor in the design wind", "N*m", "Nm", 0.01, 5000.0, "12 Nm")
    greatest_speed = number(
        "Greatest speed that the rotor reaches, loaded or not", "rad/s", "rpm", 1.0, 1500.0, "700 rpm"
    )
    offset = number("Distance from the rotor's shaft to the yaw axis, to the side", "m", "mm", 0.0, 2.0, "90 mm")


class BladeGroup(Group):
    """One blade."""

    said = ("vane",)

    material = choice(
        "Material of the blades",
        *MATERIALS,
        also={
            "PVC-U pipe": ("pvc", "upvc", "pipe", "plastic", "plastic pipe", "drain pipe", "sewer pipe"),
            "wood": ("wooden", "timber", "pine", "spruce", "cedar"),
            "glass-fibre": ("fibreglass", "fiberglass", "glass fiber", "glassfibre", "grp", "gfk"),
            "aluminium": ("aluminum", "alu"),
            "other": ("carbon", "carbon fibre", "carbon fiber", "cfrp", "steel", "bamboo"),
        },
    )
    pipe_diameter = number("Outside diameter of the pipe", "m", "mm", 0.03, 1.2, "160 mm")
    pipe_wall = number("Wall of the pipe as it is sold", "m", "mm", 0.001, 0.05, "4.0 mm")
    wall_mean = number("Wall of the pipe, mean of several places measured", "m", "mm", 0.001, 0.05, "4.3 mm")
    chord_root = number("Chord at the root", "m", "mm", 0.01, 1.0, "95 mm")
    chord_tip = number("Chord at the tip", "m", "mm", 0.01, 1.0, "45 mm")
    thickness_root = number(
        "Thickness of a carved blade at its root, where it leaves the hub", "m", "mm", 0.005, 0.3, "32 mm"
    )
    laminate = number("Thickness of a moulded blade's laminate at its root", "m", "mm", 0.0005, 0.05, "4 mm")
    density = number("Density of the blade's material", "kg/m**3", "kg/m3", 100.0, 3000.0, "450 kg/m3")
    strength = number("Strength of the blade's material, as tested", "Pa", "MPa", 1e6, 2e9, "24 MPa")
    mass = number("Mass of one blade", "kg", "kg", 0.01, 100.0, "0.35 kg")
    root_radius = number("Distance from the shaft at which the blade begins", "m", "mm", 0.005, 3.0, "80 mm")
    mounting_angle = number(
        "Angle of the root chord to the plane of the rotor",
        "rad",
        "deg",
        -20 * DEG,
        60 * DEG,
        "21 deg",
        Assumed(
            21 * DEG, "as when bolted along a line a quarter of the way in from the trailing edge", 15 * DEG, 26 * DEG
        ),
    )
    straight_edge = choice(
        "Edge that lies along the pipe",
        *EDGES,
        assumed=Assumed("trailing", "the cut that turns the tip into the plane of the rotor, as it must be"),
        also={"trailing": ("te", "back", "rear"), "leading": ("le", "front"), "neither": ("none", "no")},
    )
    section = choice(
        "Shape of the blade's section",
        *SECTIONS,
        assumed=Assumed("arc of the pipe", "blades of this sheet are described as cut from pipe"),
    )
    lift_factor = number(
        "Lift of the section, compared with the table",
        "",
        "",
        0.3,
        1.7,
        "1",
    )
    drag_factor = number(
        "Drag of the section, compared with the table",
        "",
        "",
        0.3,
        3.0,
        "1",
    )
    stall_later = number(
        "Angle by which the blade stalls later than the table of its section",
        "rad",
        "deg",
        -5 * DEG,
        10 * DEG,
        "2 deg",
        Assumed(
            0.0,
            "a blade that turns stalls later than its section, rough edges make it stall earlier",
            -2 * DEG,
            6 * DEG,
        ),
    )
    stiffness = number("Modulus of elasticity of the blade's material along it", "Pa", "GPa", 1e8, 3e11, "2.9 GPa")
    colour = choice(
        "Colour of blades of plastic",
        *COLOURS,
        assumed=Assumed(COLOURS[1], "drain pipe is grey or orange brown"),
        also={COLOURS[0]: ("painted white", "cream"), COLOURS[1]: ("gray", "orange", "brown")},
    )
    coat = choice(
        "What keeps sun and rain off the blades",
        *COATS,
        assumed=Assumed(COATS[1], "blades cut from pipe are seldom painted, and no coat lasts by itself"),
        also={
            COATS[0]: ("painted", "varnished", "paint", "varnish"),
            COATS[1]: ("no", "nothing", "bare", "unpainted", "not painted"),
        },
    )
    age = number(
        "Years that the blades have been out in the sun",
        "",
        "",
        0.0,
        60.0,
        "2",
        Assumed(0.0, "new blades"),
        nouns=YEARS,
    )
    grain = number(
        "Slope at which the grain of a wooden blade runs out to its side, rise over run",
        "",
        "",
        0.0,
        0.2,
        "0.05",
        Assumed(1 / 15, "picked by eye; one in fifteen is the usual limit for ladder wood, from memory", 0.02, 0.1),
    )
    moisture = number(
        "Moisture of the wood when it was carved, by mass of dry wood",
        "",
        "%",
        0.04,
        0.6,
        "12 %",
        Assumed(0.18, "wood outdoors and painted stays at 15 to 20 %; from memory", 0.12, 0.22),
    )
    knots = choice("Knots in a wooden blade", *KNOTS, also={KNOTS[0]: ("no", "no knots", "clear")})
    years = number(
        "Years that the blades are to run",
        "",
        "",
        0.1,
        40.0,
        "10",
        Assumed(10.0, "what a builder hopes for; common practice, no source", 5.0, 15.0),
        nouns=YEARS,
    )
    fatigue_slope = number("Slope of the line of stress against cycles of the blade's material", "", "", 3.0, 25.0, "7")


class PolarGroup(Group):
    """Lift and drag of the blade's section at one angle, measured or from a book."""

    angle = number("Angle between the chord and the wind", "rad", "deg", -20 * DEG, 30 * DEG, "6 deg", exact=True)
    lift = number("Lift coefficient there", "", "", -2.0, 3.0, "0.9", exact=True)
    drag = number("Drag coefficient there", "", "", 0.001, 1.0, "0.02", exact=True)


class StationGroup(Group):
    """Chord and twist of a carved blade at one radius."""

    radius = number("Distance of the station from the shaft", "m", "mm", 0.005, 8.0, "300 mm")
    chord = number("Chord there", "m", "mm", 0.005, 1.5, "140 mm")
    twist = number("Angle of the chord there to the plane of the rotor", "rad", "deg", -20 * DEG, 80 * DEG, "12 deg")
