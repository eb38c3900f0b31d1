"""Arithmetic that gives a number and a column of numbers the same result to the last bit.

The library functions for numbers and those for columns differ in the last digit here and there (logarithm, exponential,
hypotenuse). A verdict must not hang on whether a reading came alone or in a column, so columns are worked out with the
functions for numbers where the two differ, and with operations that IEEE 754 rounds correctly everywhere else. Over
columns `xlogy` and `inv_boxcox` are such doors: they call the C library's own logarithm and exponential as `math` does.
"""

from __future__ import annotations

import math
from functools import reduce
from operator import add
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray
from scipy import special

Array = NDArray[np.float64]
Value = TypeVar("Value", float, Array)


def root_sum_square(*parts: Value) -> Value:
    """Root of the sum of the squares, of numbers between 1e-150 and 1e150 or 0.

    >>> root_sum_square(3.0, 4.0)
    5.0
    """
    total = reduce(add, [part * part for part in parts])
    return np.asarray(np.sqrt(total)) if isinstance(total, np.ndarray) else math.sqrt(total)


def logarithms(values: Array) -> Array:
    """`math.log` of each value; all positive.

    >>> float(logarithms(np.array([1.0]))[0])
    0.0
    """
    return np.asarray(special.xlogy(1.0, values))


def exponentials(values: Array) -> Array:
    """`math.exp` of each value.

    >>> float(exponentials(np.array([0.0]))[0])
    1.0
    """
    return np.asarray(special.inv_boxcox(values, 0.0))


def ten_digits(values: Array) -> Array:
    """Each value to ten significant digits, as `float(f"{value:.10g}")` gives it; NaN stays NaN.

    >>> ten_digits(np.array([3.141592653589793, 0.0])).tolist()
    [3.141592654, 0.0]
    """
    size = np.abs(values)
    fits = (size >= _SMALLEST) & (size < _LARGEST)
    power = 9 - np.floor(np.log10(np.where(fits, size, 1.0))).astype(np.int64)
    up, down = _POWERS[np.maximum(power, 0)], _POWERS[np.maximum(-power, 0)]
    scaled = np.where(fits, values, 1.0) * up / down
    near_tie = np.abs(np.abs(scaled - np.trunc(scaled)) - 0.5) < _TIE
    rounded = np.rint(scaled) / up * down
    by_text = np.flatnonzero((near_tie | ~fits) & (size > 0))
    rounded[by_text] = [float(f"{value:.10g}") for value in values[by_text].tolist()]
    rounded[size == 0] = 0.0
    rounded[np.isnan(values)] = np.nan
    return np.asarray(rounded)


_SMALLEST, _LARGEST = 1e-12, 1e15
"""Between them the powers of ten that are needed are doubles of their own, so that one division rounds correctly."""
_TIE = 1e-4
_POWERS = 10.0 ** np.arange(23)
