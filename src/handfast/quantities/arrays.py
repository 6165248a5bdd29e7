"""The array types that every handbook function speaks."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike as ArrayLike
from numpy.typing import NDArray

Array = NDArray[np.float64]
