from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from witnessmark import data
from witnessmark.api import warm_up
from witnessmark.refrigerants import catalogue
from witnessmark.refrigerants.surfaces import files
from witnessmark.refrigerants.surfaces.files import INDEX, Range, Surfaces
from witnessmark.refrigerants.surfaces.lattice import DEGREE
from witnessmark.refrigerants.surfaces.phase import LINE, SURFACES

FOLDER = Path(files.__file__).with_name("coefficients")
LARGEST_PACKAGE = 20_000_000
"""Bytes of all data that the package ships, by what the project allows itself."""


def test_the_index_names_catalogued_refrigerants_and_sensible_ranges() -> None:
    assert INDEX().keys() <= set(catalogue.designations())
    for name, row in INDEX().items():
        for side, found in row.phases.items():
            assert 0 < found.low < found.high < catalogue.get(name).critical_pressure
            assert found.reason
            assert (found.far > 500.0) == (side == "gas")


def test_every_file_is_held_to_its_hash_at_a_start(monkeypatch: pytest.MonkeyPatch) -> None:
    read = data._bytes  # noqa: SLF001
    monkeypatch.setattr(data, "_bytes", lambda file: read(file) + b"!" * (file.name == "R-32.xz"))
    with pytest.raises(data.DataError, match=r"R-32\.xz: not the file that is described"):
        warm_up.warm_up()


def test_a_missing_file_and_one_that_nobody_reads_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(files, "file_name", lambda name: f"{name}.gone" if name == "R-32" else f"{name}.xz")
    with pytest.raises(data.DataError, match=r"R-32\.gone"):
        files.check_coefficients()
    monkeypatch.undo()
    rest = {name: row for name, row in INDEX().items() if name != "R-32"}
    monkeypatch.setattr(files, "INDEX", lambda: rest)
    with pytest.raises(data.DataError, match=r"R-32\.xz: nobody reads this file"):
        files.check_coefficients()


def test_what_is_packed_comes_back_to_half_a_step() -> None:
    generator = np.random.default_rng(5)
    edges, rows = np.array([7.0, 8.5, 9.0, 11.0]), 4
    shape = (edges.size - 1 + DEGREE, rows + DEGREE)
    splines: dict[str, Any] = {name: generator.normal(0.0, 0.1, shape) for name in SURFACES}
    splines[LINE] = generator.normal(300.0, 50.0, shape[0])
    content = files.packed({"gas": (edges, splines)}, 80.0)
    assert files.packed({"gas": (edges, splines)}, 80.0) == content
    found = Range(low=1e3, high=6e4, far=500.0, strips=3, rows=rows, worst={}, reason="tried")
    index = Surfaces(library="8", sha256="", gas_constant=80.0, phases={"gas": found})
    lattice = files.unpacked(index, content)["gas"].lattice
    for name, step in files.steps("gas", 80.0).items():
        assert lattice._splines[name] == pytest.approx(splines[name], abs=0.51 * step)  # noqa: SLF001
    splines["density"] *= 1e5
    with pytest.raises(ValueError, match="gas, density: too large for its step"):
        files.packed({"gas": (edges, splines)}, 80.0)


def test_the_package_stays_small() -> None:
    """Of all that is shipped of refrigerants; the learned reader of notes has a bound of its own."""
    package = Path(data.__file__).parent / "refrigerants"
    sizes = {
        file: file.stat().st_size for file in package.rglob("*") if file.suffix in {".toml", ".json", ".npz", ".xz"}
    }
    assert sum(size for file, size in sizes.items() if file.parent == FOLDER) < 4_500_000
    assert sum(sizes.values()) < LARGEST_PACKAGE
