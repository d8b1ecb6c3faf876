"""The array types that every floor above uses."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]
CodeArray = NDArray[np.int64]
PlaneArray = NDArray[np.uint8] | NDArray[np.uint16]

__all__ = ["ArrayLike", "CodeArray", "FloatArray", "PlaneArray"]
