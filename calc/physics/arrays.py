"""Names for the kinds of arrays that ``calc`` takes and gives."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Array: TypeAlias = NDArray[np.float64]
Flags: TypeAlias = NDArray[np.bool_]
Index: TypeAlias = NDArray[np.intp]
