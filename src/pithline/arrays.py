"""Array types shared by the core: double-precision floats, indices, and yes or no."""

from typing import TypeAlias

import numpy as np
import numpy.typing as npt

__all__ = ["Flags", "Floats", "Indices", "frozen"]

Floats: TypeAlias = npt.NDArray[np.float64]
Indices: TypeAlias = npt.NDArray[np.int64]
Flags: TypeAlias = npt.NDArray[np.bool_]


def frozen(values: npt.ArrayLike) -> Floats:
    """Return a read-only copy of an array of floats.

    Parameters
    ----------
    values : array_like
        Anything numpy reads as numbers.

    Returns
    -------
    ndarray of float
        Contiguous, not writeable.

    Source
    ------
    definition
    """
    array = np.array(values, dtype=np.float64, order="C")
    array.setflags(write=False)
    return array
