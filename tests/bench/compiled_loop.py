"""The same saturation pressures by a loop in C, as the floor that columns are held against. Needs a C compiler."""

from __future__ import annotations

import ctypes
import shutil
import subprocess
import tempfile
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
from numpy.polynomial.chebyshev import cheb2poly

from witnessmark.refrigerants.series import Array, Series

SOURCE = """
#include <math.h>
#include <stddef.h>
void pressures(
    const double *x, double *out, size_t n, const double *edges, int pieces, const double *table, int terms) {
  for (size_t i = 0; i < n; i++) {
    double u = 1.0 / x[i];
    int p = 0;
    while (p < pieces - 1 && u >= edges[p]) p++;
    const double *row = table + p * (terms + 2);
    double t = row[0] * u + row[1], y = row[2];
    for (int j = 1; j < terms; j++) y = y * t + row[2 + j];
    out[i] = exp(y);
  }
}
"""


def loop(series: Series, column: Array, flags: tuple[str, ...]) -> Callable[[], Array] | None:
    """Pressures of a column of temperatures by the shipped pieces; None without a compiler."""
    compiler = shutil.which("cc")
    if compiler is None:
        return None
    work, out = _compiled(compiler, flags).pressures, np.empty_like(column)
    terms = max(map(len, series.pieces))
    table = np.array(
        [_row(span, piece, terms) for span, piece in zip(pairwise(series.edges), series.pieces, strict=True)]
    )
    inner = np.array(series.edges[1:-1])

    def call() -> Array:
        work(_at(column), _at(out), ctypes.c_size_t(column.size), _at(inner), len(table), _at(table), terms)
        return out

    return call


def _row(span: tuple[float, float], piece: tuple[float, ...], terms: int) -> Array:
    """Scale and shift to -1 ... 1, and the coefficients of powers, highest first."""
    low, high = span
    powers = cheb2poly(piece)[::-1]
    return np.array([2.0 / (high - low), -(low + high) / (high - low), *np.zeros(terms - powers.size), *powers])


def _at(column: Array) -> Any:
    return column.ctypes.data_as(ctypes.c_void_p)


def _compiled(compiler: str, flags: tuple[str, ...]) -> ctypes.CDLL:
    with tempfile.TemporaryDirectory() as folder:
        source, library = Path(folder, "loop.c"), Path(folder, "loop.so")
        source.write_text(SOURCE, "utf-8")
        command = [compiler, *flags, "-shared", "-fPIC", str(source), "-o", str(library), "-lm"]
        subprocess.run(command, check=True)  # noqa: S603 - our own source
        return ctypes.CDLL(str(library))
