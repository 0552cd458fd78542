"""What blades are made of: strengths that are seldom known, with the range in which they lie."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calc.physics.blade.strength import PVC_DENSITIES, PVC_DENSITY, PVC_STRENGTH, pvc_factor
from calc.units import Num


@dataclass(frozen=True, slots=True)
class Material:
    """A material of blades.

    Parameters
    ----------
    name : str
        As a sentence names it.
    strength : float
        Stress of the outermost fibre in bending that it bears for a short time. [Pa]
    strengths : tuple of (low, high)
        Where the true one may well lie. [Pa]
    tension : float
        Strength in plain tension as a share of that.
    hole : float
        How much a bolt hole in the root raises the stress.
    density : float
        Density. [kg/m3]
    densities : tuple of (low, high)
        Its range. [kg/m3]
    why, weight_why : str
        Ground of strength and of density, and its standing.
    stiffness, stiffnesses : float, and tuple of (low, high)
        Modulus of elasticity along the blade for a short time, and its range. [Pa]
    slope, slopes : float, and tuple of (low, high)
        Slope of the line of stress against cycles, see :func:`calc.physics.structure.fatigue.cycles_to_failure`.
    shear : float
        Strength in shear, along the grain where there is one, as a share of ``strength``.
    end : float
        Least distance of a bolt from the end, in diameters of the bolt.
    stiff_why, slope_why : str
        Ground of both.
    """

    name: str
    strength: float
    strengths: tuple[float, float]
    tension: float
    hole: float
    density: float
    densities: tuple[float, float]
    why: str
    weight_why: str
    stiffness: float
    stiffnesses: tuple[float, float]
    slope: float
    slopes: tuple[float, float]
    shear: float
    end: float
    stiff_why: str
    slope_why: str


#: At the rim of a hole in a pulled strip the stress is three times that of the strip; from memory. Wood gives way there
#: and is counted by what the holes leave of it, two thirds; common practice, no source.
RIM, LEFT_BY_HOLES = 3.0, 1.5

PVC_U = Material(
    "new PVC-U", PVC_STRENGTH, (0.97 * PVC_STRENGTH, PVC_STRENGTH), 1.0, RIM, PVC_DENSITY, PVC_DENSITIES,
    "7450 psi, ASTM D638; another list has 3 % less; plastics supplier's table",
    "gives the published masses of EN 1401 pipe; plain compound 1400 kg/m3",
    2.9e9, (2.5e9, 3.3e9), 7.0, (5.0, 10.0), 0.6, 2.5,
    "420 000 psi, plastics supplier's table; EN 1401 has 3 GPa short term", "5 to 10 for PVC-U, doubtful; from memory",
)  # fmt: skip
#: EN 338: 24 MPa in bending and 14.5 in tension are what 95 of 100 planks of the class bear. Outdoors, in a gust, 0.9
#: of it (EN 1995-1-1, Table 3.1, class 3). Clear spruce has 63 to 70 MPa on average; from memory.
WOOD = Material(
    "wood", 0.9 * 24e6, (0.9 * 24e6, 65e6), 14.5 / 24.0, LEFT_BY_HOLES, 450.0, (350.0, 640.0),
    "graded softwood C24 of EN 338 outdoors, as 95 of 100 planks bear; clear wood up to three times, from memory",
    "softwood of EN 338; hardwood up to 640 kg/m3",
    11e9, (7.4e9, 13e9), 12.0, (11.0, 13.0), 4.0 / 24.0, 7.0,
    "softwood C24 of EN 338, mean; 7.4 GPa in 5 of 100", "11 to 13 for laminated wood, weak; from memory",
)  # fmt: skip
GLASS_FIBRE = Material(
    "glass-fibre", 80e6, (80e6, 110e6), 1.0, RIM, 1500.0, (1400.0, 1800.0),
    "chopped mat in polyester, 80 to 110 MPa in tension, the weakest that is usual; from memory",
    "glass mat in polyester; from memory",
    7e9, (6e9, 8e9), 10.0, (9.0, 12.0), 0.6, 3.0,
    "chopped mat in polyester, 6 to 8 GPa; from memory", "about 10 for glass-fibre; from memory",
)  # fmt: skip
#: Soft sheet yields at 35 MPa, half-hard at 90, extruded 6060 at 140 and hard 6082 at 250; all from memory.
ALUMINIUM = Material(
    "aluminium", 90e6, (65e6, 150e6), 1.0, RIM, 2700.0, (2650.0, 2800.0),
    "yield of half-hard sheet; soft sheet has half of it, hard alloys twice and more; from memory", "from memory",
    70e9, (68e9, 72e9), 10.0, (7.0, 14.0), 0.58, 2.0,
    "70 GPa, all alloys; from memory", "7 to 14 by alloy and surface, weak; from memory",
)  # fmt: skip

MATERIALS = {"PVC-U pipe": PVC_U, "wood": WOOD, "glass-fibre": GLASS_FIBRE, "aluminium": ALUMINIUM}


def warm_share(material: Material, T: Num) -> Num:
    """Share of the strength left at an air temperature [K]; of the materials here only PVC-U loses much."""
    return pvc_factor(np.minimum(np.asarray(T), 300.0)) if material is PVC_U else 1.0
