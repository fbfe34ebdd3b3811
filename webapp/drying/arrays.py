"""The kinds of array that the model is written in."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.floating[Any]]
Index = NDArray[np.integer[Any]]
Flags = NDArray[np.bool_]
