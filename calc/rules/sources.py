"""Sources and limits that several rules share."""

from __future__ import annotations

from calc.finding import Source

BALANCE = Source(
    "Torque and voltage in balance at each wind", "blade-element momentum after Ning, 2014, and Buhl, 2005"
)


SECTION_TABLE = Source(
    "Arc-plate sections", "estimate by a neural surrogate; no measured table was to be had", "own estimate"
)


BETZ_SOURCE = Source(
    "Kramm et al., On the Maximum of Wind Power Efficiency, J. Power and Energy Eng. 4(1), 2016", "abstract"
)


LOG_PROFILE = Source("P. Jain, Wind Energy Engineering", "Table 3-5, roughness lengths after the European Wind Atlas")


FAULT_SOURCE = Source(
    "solar-wind.co.uk, When is a fuse not a fuse: 1000 to 4000 A from 100 Ah of lead-acid at 12 V", "", "reproduction"
)


LITHIUM_OHMS = Source("Internal resistance of lithium banks by their size", "", "from memory")


NEC_CONTINUOUS = Source("NEC 2017", "694.12(B), 706.21(B): 125 % of the current", "reproduction")
