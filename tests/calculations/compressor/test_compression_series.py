"""Numbers by derivatives against the same at points round the readings, and where these are left the word."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from witnessmark.calculations.compressor import compression, compression_series
from witnessmark.calculations.compressor.compression import CompressorReadings, RunningCompressor
from witnessmark.calculations.compressor.compression_gas import Gas
from witnessmark.calculations.compressor.compression_series import DRAWS, AtPoints, of_columns, of_numbers
from witnessmark.calculations.metrology.uncertainty import Measured, propagate_all
from witnessmark.refrigerants import saturation, states

MACHINE = RunningCompressor("scroll", running=True)
Pairs = dict[str, tuple[float, float]]


def discharge(name: str, efficiency: float) -> float:
    """K of the discharge at this isentropic efficiency."""
    low, high = (saturation.dew_pressure(name, t) for t in (278.15, 318.15))
    suction = states.gas(name, low, 286.15)
    work = states.at_entropy(name, high, suction.entropy).enthalpy - suction.enthalpy
    return states.at_enthalpy(name, high, suction.enthalpy + work / efficiency).temperature


def given(name: str, **changed: tuple[float, float] | None) -> Pairs:
    low, high = saturation.dew_pressure(name, 278.15), saturation.dew_pressure(name, 318.15)
    usual: dict[str, Any] = {
        "suction_pressure": (low, 0.01 * low), "discharge_pressure": (high, 0.01 * high),
        "suction_temperature": (286.15, 0.5), "discharge_temperature": (discharge(name, 0.6), 1.0),
    }  # fmt: skip
    readings = {key: pair for key, pair in (usual | changed).items() if pair is not None}
    own = CompressorReadings(**{key: Measured(*pair) for key, pair in readings.items() if key != "air"})
    known = own.present() | {"air": Measured(*readings.get("air", (0.0, 0.0)))} | compression.assumptions(name, MACHINE)
    return {key: (reading.value, reading.uncertainty) for key, reading in known.items()}


def at_points(name: str, pairs: Pairs) -> dict[str, Any]:
    work = AtPoints(Gas(name), ())
    return dict(
        propagate_all(work.everything, {k: Measured(*p) for k, p in pairs.items()}, DRAWS, work.only, work.many)
    )


FLOWS = {
    "mass_flow": (0.05, 5e-4), "power": (2500.0, 25.0), "displacement": (6e-5, 0.0), "speed": (48.0, 0.5),
}  # fmt: skip


@pytest.mark.parametrize("name", ["R-32", "R-134a", "R-410A", "R-454B", "R-448A", "R-407C"])
@pytest.mark.parametrize("more", [{}, {"air": (0.0, 600.0)}, {"air": (0.0, 300.0), **FLOWS}])
def test_numbers_are_the_same_and_uncertainties_to_a_per_cent(name: str, more: dict[str, Any]) -> None:
    pairs = given(name, **more)
    found, known = of_numbers(name, pairs), at_points(name, pairs)
    assert found is not None
    assert set(found) == set(known) - {"pressure_ratio"}
    for key, (value, width) in found.items():
        assert value == known[key].value, key
        assert width == pytest.approx(known[key].uncertainty, rel=1e-2), key


def test_an_efficiency_whose_series_do_not_hold_is_drawn_as_at_points() -> None:
    """Near where an efficiency is impossible."""
    pairs = given("R-454B", discharge_temperature=(discharge("R-454B", 1.1), 1.5))
    found, known = of_numbers("R-454B", pairs), at_points("R-454B", pairs)
    assert known["isentropic_efficiency"].method == "random draws"
    assert found is not None
    assert found["isentropic_efficiency"][0] == known["isentropic_efficiency"].value
    assert found["isentropic_efficiency"][1] == pytest.approx(known["isentropic_efficiency"].uncertainty, rel=0.05)


def test_gas_colder_than_any_efficiency_allows_has_none() -> None:
    pairs = given("R-454B", discharge_temperature=(discharge("R-454B", 1.25), 0.2))
    found, known = of_numbers("R-454B", pairs), at_points("R-454B", pairs)
    assert found is not None
    assert "isentropic_efficiency" not in found
    assert "isentropic_efficiency" not in known
    assert set(found) == set(known) - {"pressure_ratio"}


@pytest.mark.parametrize(
    "changed",
    [
        {"suction_temperature": (278.3, 0.5)},  # perhaps wet
        {"suction_temperature": (270.0, 0.5)},
        {"discharge_temperature": (318.5, 1.0)},
        {"discharge_temperature": (523.0, 1.0)},
        {"suction_pressure": (500.0, 1.0)},
        {"suction_pressure": (1200.0, 400.0)},
        {"discharge_pressure": (8.8e5, 9e3)},  # no rise to speak of
        {"discharge_pressure": (6.0e6, 1e4)},
        {"air": (0.0, 5e5)},
    ],
)
def test_what_may_leave_the_gas_is_left_to_points(changed: dict[str, Any]) -> None:
    assert of_numbers("R-454B", given("R-454B")) is not None
    assert of_numbers("R-454B", given("R-454B", **changed)) is None


def test_a_mixture_without_surfaces_is_left_to_points() -> None:
    name = "R-32/125 (60/40)"
    assert of_numbers(name, given("R-410A")) is None
    assert not of_columns(name, {k: (np.array([v]), w) for k, (v, w) in given("R-410A").items()}, 1)[1].any()


def test_pressures_alone() -> None:
    pairs = given("R-134a", suction_temperature=None, discharge_temperature=None)
    found, known = of_numbers("R-134a", pairs), at_points("R-134a", pairs)
    assert found is not None
    assert {key: pytest.approx(width, rel=1e-3) for key, (_, width) in found.items()} == {
        key: estimate.uncertainty for key, estimate in known.items() if key != "pressure_ratio"
    }


def test_exact_readings_are_exact() -> None:
    exact = {key: (value, 0.0) for key, (value, _) in given("R-134a").items()}
    found = of_numbers("R-134a", exact)
    assert found is not None
    assert {width for _, width in found.values()} == {0.0}


def test_where_hardly_a_draw_has_an_efficiency_points_decide(monkeypatch: pytest.MonkeyPatch) -> None:
    """No readings were found for it: the spread that loses the draws leaves the gas first."""
    pairs = given("R-454B", discharge_temperature=(discharge("R-454B", 1.1), 1.5))
    assert of_numbers("R-454B", pairs) is not None
    monkeypatch.setattr(compression_series, "drawn", lambda *_: (np.array([0.1]), np.array([False])))
    assert of_numbers("R-454B", pairs) is None


@pytest.mark.parametrize("keys", [{"isentropic_efficiency"}, {"isentropic_efficiency", "suction_superheat"}])
@pytest.mark.parametrize("spread", [1.0, 25.0])
def test_many_points_give_what_each_gives(keys: set[str], spread: float) -> None:
    """The wide ones lie partly off the surfaces, and partly where there is no efficiency."""
    work, generator = AtPoints(Gas("R-134a"), ()), np.random.default_rng(3)
    values: dict[str, Any] = {
        "suction_pressure": 0.2e6, "discharge_pressure": 1e6, "air": 0.0, "_basis": 0.0, "_loss": 0.05,
        "_efficiency": 0.7, "suction_temperature": 280.0,
        "discharge_temperature": generator.normal(345.0, spread, DRAWS),
    }  # fmt: skip
    found = work.many(frozenset(keys), values)
    assert found is not None
    for k in range(0, DRAWS, 7):
        one = {key: float(value[k]) if np.ndim(value) else value for key, value in values.items()}
        known = work.only(frozenset(keys))(one)
        assert dict(found[k]) == {key: known[key] for key in keys & known.keys()}


def test_a_map_is_asked_one_by_one() -> None:
    assert AtPoints(Gas("R-32/125 (60/40)"), ()).many(frozenset({"suction_superheat"}), {}) is None
