"""The array types that every floor above uses."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]
CodeArray = NDArray[np.int64]
PlaneArray = NDArray[np.unsignedinteger[Any]]  # uint8 at 8 bits, uint16 above

__all__ = ["ArrayLike", "CodeArray", "FloatArray", "PlaneArray"]
