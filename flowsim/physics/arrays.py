"""Types of the arrays that pass through the laws."""

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
"""An array of floats, of any shape; each function states which."""

FloatLike = float | FloatArray
"""A float or an array of floats."""

BoolArray = npt.NDArray[np.bool_]
"""An array of yes or no, of any shape."""

IntArray = npt.NDArray[np.intp]
"""An array of indices or counts, of any shape."""
