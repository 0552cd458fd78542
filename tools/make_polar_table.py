"""Make the tables of sections that ``calc.physics.polar`` reads: plates bent to an arc, and named sections for carving.

Run it by hand, and only when the grid or the library changes. It needs a library that Galebook itself does
not need::

    pip install neuralfoil
    python tools/make_polar_table.py calc/tables
"""

from __future__ import annotations

import argparse
from importlib.metadata import version
from pathlib import Path

import numpy as np

CAMBERS = (0.03, 0.05, 0.08, 0.11, 0.14, 0.17, 0.20, 0.25)
THICKNESSES = (0.02, 0.04, 0.06, 0.09, 0.12, 0.15)
REYNOLDS = (1e4, 3e4, 6e4, 1e5, 2e5, 5e5, 1e6)
ALPHAS = tuple(range(-10, 17))
NOSE, TAPER, POINTS = 0.02, 0.10, 80

HEAD = """\
# Circular-arc plates: lift, drag and the estimator's own confidence.
# An estimate by a neural surrogate of a panel code, not a measurement: NeuralFoil {neuralfoil},
# AeroSandbox {aerosandbox}, model "xlarge", critical amplification 9, free transition.
# Section: circular-arc mean line, wall of constant thickness measured square to it, elliptic nose over the
# first 2 % of the chord, straight taper over the last 10 %.
# camber: height of the arc / chord. thickness: wall / chord. alpha: angle to the chord. [deg]
# confidence: 0 to 1, given by the library; low values lie outside what it was trained on.
# Made by tools/make_polar_table.py.
camber,thickness,reynolds,alpha,cl,cd,confidence
"""

NAMED_HEAD = """\
# Named sections for carved blades: lift, drag and the estimator's own confidence.
# An estimate by a neural surrogate of a panel code, not a measurement: NeuralFoil {neuralfoil},
# AeroSandbox {aerosandbox}, model "xlarge", critical amplification 9, free transition.
# Sections: NACA four-digit series (Jacobs, Ward and Pinkerton, NACA Report 460, 1933), Clark Y, and SG6043 (Giguere and
# Selig, 1998, for small wind turbines), as the library draws them.
# alpha: angle to the chord. [deg] confidence: 0 to 1, given by the library.
# Made by tools/make_polar_table.py.
section,reynolds,alpha,cl,cd,confidence
"""
NAMED = ("NACA 2412", "NACA 4412", "NACA 4415", "NACA 4418", "Clark Y", "SG6043")


def arc(camber: float, thickness: float) -> np.ndarray:
    """Outline of a plate bent to a circular arc, upper trailing edge to nose to lower trailing edge."""
    x = (1 - np.cos(np.linspace(0, np.pi, POINTS))) / 2
    radius = (0.25 + camber**2) / (2 * camber)
    height = np.sqrt(radius**2 - (x - 0.5) ** 2)
    y = height - (radius - camber)
    half = np.full_like(x, thickness / 2)
    half *= np.sqrt(1 - np.clip(1 - x / NOSE, 0, 1) ** 2) * np.clip((1 - x) / TAPER, 0, 1)
    normal = np.stack([(x - 0.5) / radius, height / radius], axis=1)
    mean = np.stack([x, y], axis=1)
    upper, lower = mean + half[:, None] * normal, mean - half[:, None] * normal
    return np.concatenate([upper[::-1], lower[1:]])


def rows() -> list[str]:
    """Lines of the table."""
    import neuralfoil

    alpha, reynolds = (a.ravel() for a in np.meshgrid(ALPHAS, REYNOLDS))
    lines = []
    for camber in CAMBERS:
        for thickness in THICKNESSES:
            got = neuralfoil.get_aero_from_coordinates(
                arc(camber, thickness), alpha=alpha.astype(float), Re=reynolds, model_size="xlarge"
            )
            columns = zip(reynolds, alpha, got["CL"], got["CD"], got["analysis_confidence"], strict=True)
            lines += [f"{camber},{thickness},{r:.0f},{a},{cl:.4f},{cd:.4f},{q:.3f}" for r, a, cl, cd, q in columns]
    return lines


def named_rows() -> list[str]:
    """Lines of the table of named sections."""
    import aerosandbox
    import neuralfoil

    alpha, reynolds = (a.ravel() for a in np.meshgrid(ALPHAS, REYNOLDS))
    lines = []
    for name in NAMED:
        outline = aerosandbox.Airfoil(name.replace(" ", "").lower()).coordinates
        got = neuralfoil.get_aero_from_coordinates(outline, alpha=alpha.astype(float), Re=reynolds, model_size="xlarge")
        columns = zip(reynolds, alpha, got["CL"], got["CD"], got["analysis_confidence"], strict=True)
        lines += [f"{name},{r:.0f},{a},{cl:.4f},{cd:.4f},{q:.3f}" for r, a, cl, cd, q in columns]
    return lines


def main() -> None:
    """Write the tables into the folder named on the command line."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    folder: Path = parser.parse_args().folder
    versions = {name: version(name) for name in ("neuralfoil", "aerosandbox")}
    for file, head, lines in (("arc_plate", HEAD, rows), ("named_sections", NAMED_HEAD, named_rows)):
        text = head.format(**versions) + "\n".join(lines()) + "\n"
        (folder / f"{file}.csv").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
