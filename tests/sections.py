"""Sections given as tables, for rotors whose theory is known; builders have arc plates and named sections only."""

import numpy as np

from calc.physics.polar import JOIN, Section, _joined


def tabulated(alpha, cl, cd):
    """One section, the same at every Reynolds number, straight lines between the points, joined to a flat plate."""
    step = np.pi / 360
    first, end = int(np.ceil(alpha[0] / step - 1e-9)), int(np.floor(alpha[-1] / step + 1e-9))
    even = np.arange(first, end + 1, dtype=np.float64) * step
    values = np.interp(even, alpha, cl) + 1j * np.interp(even, alpha, cd)
    excess = _joined(even, values, np.asarray(len(even) - 1), step)
    low = (first - round(JOIN / step)) * step
    return Section(excess=np.stack([excess, excess]), log_re=np.array([0.0, 30.0]), low=low, step=step)
