"""The shipped surfaces: an index (JSON) of ranges and proven errors, and a file of coefficients for each refrigerant.

The coefficients are whole multiples of a step that is far below the errors; the differences of neighbours along both
directions are kept, byte plane by byte plane, and packed. A refrigerant's file is read when it is first asked for; a
start holds every file to its hash.
"""

from __future__ import annotations

import lzma
from functools import lru_cache
from typing import Literal

import numpy as np

from witnessmark import data
from witnessmark.arithmetic import Array
from witnessmark.refrigerants.surfaces.lattice import DEGREE, Lattice
from witnessmark.refrigerants.surfaces.phase import LINE, SURFACES, Phase, PhaseSide

FOLDER = "surfaces/coefficients"
PACKAGE = "witnessmark.refrigerants"
STEP = {LINE: 1e-6, "enthalpy": 1e-2, "entropy": 3e-5, "from_enthalpy": 1e-4, "from_entropy": 1e-4}
DENSITY_STEP: dict[PhaseSide, float] = {"gas": 1e-7, "liquid": 1e-4}
"""What one unit of a coefficient is: K, J/kg, J/(kg K), of v; compressibility is shipped times the gas constant."""
LARGEST = 2**31
KEPT = 64
"""Phases that are kept ready for use: a few hundred kilobytes each."""
_PACKING = [{"id": lzma.FILTER_LZMA2, "preset": 6}]
Worst = Literal["enthalpy", "entropy", "density", "temperature"]


class Range(data.Row):
    """Where the surfaces of one phase answer, and their worst errors against the equation of state there.

    low, high: Pa; far: K, the hottest gas or the coldest liquid. strips: parts across ln p; rows: along v.
    worst: J/kg, J/(kg K), relative density, and K of the inverses. reason: why the range ends where it does.
    """

    low: float
    high: float
    far: float
    strips: int
    rows: int
    worst: dict[Worst, float]
    reason: str


class Surfaces(data.Row):
    """The surfaces of one refrigerant; library: that of the equation of state; sha256: of its file of coefficients."""

    library: str
    sha256: str
    gas_constant: float
    phases: dict[PhaseSide, Range]


INDEX = data.table(PACKAGE, "surfaces/index.json", dict[str, Surfaces])


@lru_cache(KEPT)
def phase(designation: str, side: PhaseSide) -> Phase | None:
    """One phase of a refrigerant; None where no surfaces are shipped for it."""
    found = INDEX().get(designation)
    if found is None or side not in found.phases:
        return None
    return unpacked(found, _read(designation, found))[side]


@data.checked
def check_coefficients() -> None:
    """Every file of coefficients is there and is the one that the index describes. Raises data.DataError."""
    for designation, found in INDEX().items():
        _read(designation, found)
    data.only(PACKAGE, FOLDER, [file_name(name) for name in INDEX()])


def file_name(designation: str) -> str:
    """File name of a refrigerant's coefficients."""
    return f"{designation}.xz"


def _read(designation: str, found: Surfaces) -> bytes:
    return data.sealed(PACKAGE, f"{FOLDER}/{file_name(designation)}", found.sha256)


def steps(side: PhaseSide, gas_constant: float) -> dict[str, float]:
    """The step of each table of coefficients, in the order in which they are shipped."""
    density = DENSITY_STEP[side] / (gas_constant if side == "gas" else 1.0)
    return {LINE: STEP[LINE]} | {name: density if name == "density" else STEP[name] for name in SURFACES}


def packed(parts: dict[PhaseSide, tuple[Array, dict[str, Array]]], gas_constant: float) -> bytes:
    """Edges and spline coefficients of each phase as one file; the same numbers give the same bytes.

    ValueError where a coefficient is too large for its step.
    """
    out = b""
    for side, (edges, splines) in parts.items():
        out += edges.astype("<f8").tobytes()
        for name, step in steps(side, gas_constant).items():
            whole = np.rint(splines[name] / step).astype(np.int64)
            for axis in range(whole.ndim):
                whole = np.diff(whole, axis=axis, prepend=0)
            if np.abs(whole).max() >= LARGEST:
                raise ValueError(f"{side}, {name}: too large for its step")
            out += whole.ravel().astype("<i4").view(np.uint8).reshape(-1, 4).T.tobytes()
    return lzma.compress(out, format=lzma.FORMAT_XZ, check=lzma.CHECK_NONE, filters=_PACKING)


def unpacked(found: Surfaces, content: bytes) -> dict[PhaseSide, Phase]:
    """The phases from the file of coefficients."""
    raw, phases, at = lzma.decompress(content), {}, 0
    for side, given in found.phases.items():
        edges = np.frombuffer(raw, "<f8", given.strips + 1, at).astype(np.float64)
        at += edges.nbytes
        splines: dict[str, Array] = {}
        for name, step in steps(side, found.gas_constant).items():
            shape = (given.strips + DEGREE, given.rows + DEGREE)[: 1 if name == LINE else 2]
            size = int(np.prod(shape))
            planes = np.frombuffer(raw, np.uint8, 4 * size, at).reshape(4, size)
            whole = np.ascontiguousarray(planes.T).view("<i4").astype(np.int64).reshape(shape)
            for axis in range(whole.ndim):
                whole = np.cumsum(whole, axis=axis)
            splines[name] = whole.astype(np.float64) * step
            at += 4 * size
        phases[side] = Phase(side, Lattice(edges, given.rows, splines), given.far, (given.low, given.high))
    return phases
