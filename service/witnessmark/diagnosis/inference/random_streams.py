"""Random numbers by what they are for: a seed and ids name each stream, so that a new id shifts no other stream.

SplitMix64 of Steele, Lea & Flood 2014, "Fast splittable pseudorandom number generators", OOPSLA '14, figure 17: number
i of a stream is its key plus i steps of a fixed size, mixed. Nothing is drawn in turn, so whole arrays come at once.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import reduce
from hashlib import blake2b

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

Floats = NDArray[np.float64]
Keys = NDArray[np.uint64]
_STEP = np.uint64(0x9E3779B97F4A7C15)
_FACTORS = (np.uint64(0xBF58476D1CE4E5B9), np.uint64(0x94D049BB133111EB))
_SHIFTS = (np.uint64(30), np.uint64(27), np.uint64(31))
_LOST_BITS = np.uint64(12)
"""A float holds 53 bits; with 52 of 64 and a half added, neither 0 nor 1 can come out."""


def _mixed(state: Keys) -> Keys:
    with np.errstate(over="ignore"):  # modulo 2^64 is meant
        for shift, factor in zip(_SHIFTS, _FACTORS, strict=False):
            state = (state ^ (state >> shift)) * factor
    return state ^ (state >> _SHIFTS[2])


def keys(names: Iterable[object]) -> Keys:
    """(n,) keys of names or numbers: the same name has the same key wherever it stands."""
    digests = b"".join(blake2b(str(name).encode(), digest_size=8).digest() for name in names)
    return np.frombuffer(digests, "<u8").astype(np.uint64)


def joined(*parts: Keys) -> Keys:
    """Keys of streams named by several things, in this order; shapes are broadcast."""
    with np.errstate(over="ignore"):
        return reduce(lambda whole, part: _mixed(_mixed(whole) + part), parts)


def integers(stream: Keys, draws: int) -> Keys:
    """(draws, …) the first 64-bit numbers of every stream."""
    steps = np.arange(1, draws + 1, dtype=np.uint64).reshape(-1, *(1 for _ in stream.shape))
    with np.errstate(over="ignore"):
        return _mixed(stream + steps * _STEP)


def uniform(stream: Keys, draws: int) -> Floats:
    """(draws, …) numbers between 0 and 1, ends excluded."""
    return np.asarray(((integers(stream, draws) >> _LOST_BITS) + 0.5) * 2.0**-52)


def normal(stream: Keys, draws: int) -> Floats:
    """(draws, …) standard normal numbers."""
    return np.asarray(ndtri(uniform(stream, draws)))
