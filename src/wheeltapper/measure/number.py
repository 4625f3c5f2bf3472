"""One number or an array of them: the maths takes either, so one call serves one corner or a fleet."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Num = TypeVar("Num", float, Floats)
