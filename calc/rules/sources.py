"""Sources that several rules or mechanisms share."""

from __future__ import annotations

from calc.finding import Source

BALANCE = Source(
    "Torque and voltage in balance at each wind", "blade-element momentum after Ning, 2014, and Buhl, 2005"
)

SECTION_TABLE = Source(
    "Arc-plate sections", "estimate by a neural surrogate; no measured table was found", "own estimate"
)

BETZ_SOURCE = Source(
    "Kramm et al., On the Maximum of Wind Power Efficiency, J. Power and Energy Eng. 4(1), 2016", "abstract"
)

LOG_PROFILE = Source("P. Jain, Wind Energy Engineering", "Table 3-5, roughness lengths after the European Wind Atlas")

FAULT_SOURCE = Source(
    "solar-wind.co.uk, When is a fuse not a fuse: 1000 to 4000 A from 100 Ah of lead-acid at 12 V", "", "reproduction"
)

LITHIUM_OHMS = Source("Internal resistance of lithium banks by their size", "", "from memory")

NEC_CONTINUOUS = Source(
    "NEC 2017", "694.12(B): 125 % of the current; 706.21(B) the same, a duty above 60 V DC (706.1)", "reproduction"
)

IEC_AMPACITY = (
    Source("IEC 60364-5-52:2009", "Table B.52.2, PVC, two wires, 1.5 to 16 mm2", "reproduction"),
    Source(
        "IEC 60364-5-52:2009",
        "Table B.52.4, PVC, three wires, up to 120 mm2 (B2), 35 mm2 (C)",
        "reproduction",
    ),
    Source("IEC 60364-5-52:2009", "larger PVC cables, all XLPE, 90 degC, and Table B.52.17, grouping", "from memory"),
    Source("Ambient factors of PVC cable, reproduced by sqrt((70 - T)/40)", "", "reproduction"),
)

NEC_AMPACITY = (
    Source("NEC", "Table 310.16, copper; 3 and 1 AWG at 90 degC from memory", "reproduction"),
    Source("NEC", "310.15 ambient and grouping factors, all aluminium", "from memory"),
    Source("NEC", "110.14(C)(1): terminals for 60 degC up to 100 A and 1 AWG, 75 degC above", "reproduction"),
)

NEC_SMALL = Source("NEC 2017", "240.4(B) next rating up, 240.4(D) 14, 12 and 10 AWG", "reproduction")

HOUSEHOLD_SOURCE = Source("ODYSSEE-MURE, Electricity consumption per dwelling", "European Union, 2025")

SITING = Source(
    "University extension siting advice, after the American Wind Energy Association",
    "rotor 30 ft above anything within 500 ft",
    "reproduction",
)

FREEZING_TABLE = Source("Army TM 5-1185", "Table III, electrolyte freezing points", "reproduction")

CELL_MONITOR = Source("IEC 62619, functions required of a lithium battery's electronics", "", "reproduction")

UNLOADED = Source("A battery that disconnects itself unloads the rotor", "engineering rule", "from memory")

GUST = Source(
    "IEC 61400-2: a gust of 1.4 times the reference wind; what has no load is taken to follow it fully",
    "",
    "reproduction",
)

IN_OPERATION = Source(
    "NEC 2017", "694.2: the highest voltage is that given in operation, open circuit included", "reproduction"
)

BLADE_PULL = Source("D. Wood, Small Wind Turbines, Springer 2011", "eq. 9.49, pull of the blade")

YAWING = Source("IEC 61400-2, simplified load case B", "D. Wood, Small Wind Turbines, eq. 9.45", "reproduction")

WOODEN = Source("EN 338, class C24, and EN 1995-1-1, Table 3.1", "", "reproduction")

PVC = Source("PVC-U, ASTM D638, 7450 psi at 23 degC", "plastics supplier's table")

INSULATION_CLASSES = Source("IEC 60034-1", "classes of insulation", "reproduction")

TWICE_THE_PEAK = Source("Rectifier for twice the highest voltage", "", "from memory")

HARD_STARTS = Source("Pumps and refrigerators start with 3 to 7 times their power", "", "from memory")

DRAG_BY_SIZE = Source("Drag and cogging by the size of the generator, unless measured", "", "own estimate")

WEIBULL = Source("Weibull distribution; k = 2 is the Rayleigh distribution of IEC 61400-12-1")
