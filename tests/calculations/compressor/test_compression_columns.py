"""Columns against single analyses, to the last bit, verdicts included; and which rows are left to them."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from witnessmark.arithmetic import Array
from witnessmark.calculations.compressor import compression, compression_columns
from witnessmark.calculations.compressor.compression import CompressorReadings, RunningCompressor
from witnessmark.calculations.compressor.compression_gas import GasColumns
from witnessmark.calculations.compressor.compressor_types import LIMITS
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import InputError
from witnessmark.refrigerants import saturation

ROWS = 60
Pairs = dict[str, tuple[Array, Array]]


def drawn(name: str, seed: int, *, flows: bool) -> Pairs:
    """Machines sound and weak, dry and nearly wet, exact and vague."""
    generator = np.random.default_rng(seed)
    evaporating, condensing = generator.uniform(262.0, 285.0, ROWS), generator.uniform(300.0, 325.0, ROWS)
    low, high = saturation.dew_pressure(name, evaporating), saturation.dew_pressure(name, condensing)
    pairs = {
        "suction_pressure": (low, low * generator.choice([0.002, 0.01, 0.04], ROWS)),
        "discharge_pressure": (high, high * 0.01),
        "suction_temperature": (evaporating + generator.uniform(0.5, 25.0, ROWS), np.full(ROWS, 1.0)),
        "discharge_temperature": (condensing + generator.uniform(5.0, 70.0, ROWS), generator.choice([0.0, 1.5], ROWS)),
    }
    if flows:
        pairs |= {
            "mass_flow": (generator.uniform(0.01, 0.1, ROWS), np.full(ROWS, 1e-3)),
            "power": (generator.uniform(1e3, 8e3, ROWS), np.full(ROWS, 50.0)),
            "displacement": (np.full(ROWS, 6e-5), np.zeros(ROWS)),
            "speed": (np.full(ROWS, 48.0), np.full(ROWS, 0.5)),
        }
    return pairs | {"air": (np.zeros(ROWS), np.full(ROWS, 600.0))}


@pytest.mark.parametrize("flows", [False, True])
@pytest.mark.parametrize(("name", "compressor"), [("R-454B", "scroll"), ("R-134a", "screw"), ("R-448A", None)])
def test_numbers_and_verdicts_are_those_of_single_analyses(name: str, compressor: Any, *, flows: bool) -> None:
    machine, pairs = RunningCompressor(compressor, running=True), drawn(name, 4, flows=flows)
    found = compression_columns.assess(name, pairs, machine)
    assert found.plain.mean() > 0.6
    for row in np.flatnonzero(found.plain).tolist():
        own = {key: Measured(float(value[row]), float(width[row])) for key, (value, width) in pairs.items()}
        known = compression.assess(name, CompressorReadings(**own), machine)
        for key, (value, width) in found.numbers.items():
            number = getattr(known.numbers, key)
            if number is None:
                assert np.isnan(value[row]), key
            else:
                assert (value[row], width[row]) == (number.value, number.uncertainty), key
        judged = compression_columns.judged(name, pairs, machine, found, row)
        assert judged == (known.judgement, known.operation)
    alike = list(found.alike())
    assert sorted(row for rows in alike for row in rows.tolist()) == np.flatnonzero(found.plain).tolist()


@pytest.mark.parametrize("running", [True, None, False])
@pytest.mark.parametrize(("name", "compressor"), [("R-454B", "scroll"), ("R-134a", "screw"), ("R-22", None)])
def test_rows_that_stand_alike_to_every_limit_are_judged_as_each_alone(
    name: str,
    compressor: Any,
    running: bool | None,  # noqa: FBT001
) -> None:
    machine, pairs = RunningCompressor(compressor, running=running), drawn(name, 11, flows=True)
    found = compression_columns.assess(name, pairs, machine)
    seen: list[int] = []
    for same in compression_columns.alike(name, pairs, machine, found):
        for row in same.rows.tolist():
            judgement, operation = compression_columns.judged(name, pairs, machine, found, row)
            assert (judgement.verdict, operation.verdict) == (same.judgement.verdict, same.operation.verdict)
            for own, first in zip(judgement.reasons, same.judgement.reasons, strict=True):
                assert (own.id, own.favours, own.limit) == (first.id, first.favours, first.limit)
                if own.value is not None:
                    value, width = found.numbers[same.number[id(first.value)]]
                    assert (own.value.value, own.value.uncertainty) == (value[row], width[row])
            for mine, its in zip(operation.checks, same.operation.checks, strict=True):
                assert (mine.quantity, mine.limit, mine.standing, mine.text) == (
                    its.quantity, its.limit, its.standing, its.text,
                )  # fmt: skip
        seen += same.rows.tolist()
    assert sorted(seen) == np.flatnonzero(found.plain).tolist()


@pytest.mark.parametrize("step", [-1, 0, 1])
def test_rows_at_a_limit_to_the_last_bit_stand_on_their_own_side(step: int) -> None:
    """A ratio at the limit of lift, one bit below, and one bit above."""
    limit, machine = LIMITS().no_lift.ratio, RunningCompressor("scroll", running=True)
    high = np.float64(8e5 * limit)
    for _ in range(abs(step)):
        high = np.nextafter(high, high + step)
    exact = np.zeros(2)
    pairs = {"suction_pressure": (np.full(2, 8e5), exact), "discharge_pressure": (np.array([high, 2.5e6]), exact)}
    found = compression_columns.assess("R-454B", pairs, machine)
    for same in compression_columns.alike("R-454B", pairs, machine, found):
        for row in same.rows.tolist():
            judgement, _ = compression_columns.judged("R-454B", pairs, machine, found, row)
            assert judgement.verdict == same.judgement.verdict
            assert [r.id for r in judgement.reasons] == [r.id for r in same.judgement.reasons]


def one(**changed: tuple[float, float]) -> Pairs:
    usual = {
        "suction_pressure": (8e5, 8e3), "discharge_pressure": (2.5e6, 2.5e4),
        "suction_temperature": (288.0, 0.5), "discharge_temperature": (348.0, 1.0),
    }  # fmt: skip
    return {name: tuple(np.array([part]) for part in pair) for name, pair in (usual | changed).items()}  # type: ignore[misc]


@pytest.mark.parametrize(
    "changed",
    [
        {"suction_temperature": (270.0, 0.5)},  # wet: the note on it is of the single analysis
        {"discharge_pressure": (7.9e5, 1e3)},
        {"discharge_pressure": (5.2e6, 1e4)},
        {"suction_temperature": (530.0, 0.5)},
        {"discharge_temperature": (530.0, 0.5)},
        {"suction_pressure": (500.0, 5.0)},
        {"suction_pressure": (2e5, 1.5e5)},
    ],
)
def test_what_lies_off_the_surfaces_or_asks_for_a_note_is_not_plain(changed: dict[str, tuple[float, float]]) -> None:
    assert compression_columns.assess("R-454B", one(), RunningCompressor("scroll")).plain.tolist() == [True]
    assert compression_columns.assess("R-454B", one(**changed), RunningCompressor("scroll")).plain.tolist() == [False]


@pytest.mark.parametrize("pressure", [(1.0, 0.5), (5e4, 6e4), (2e5, 1.9e5), (7e6, 1e4), (2e7, 1e7)])
def test_a_row_off_the_surfaces_harms_no_neighbour(pressure: tuple[float, float]) -> None:
    alone, beside = one(), one(suction_pressure=pressure, discharge_pressure=(2e7, 1.9e7))
    both = {key: tuple(np.concatenate(parts) for parts in zip(alone[key], beside[key], strict=True)) for key in alone}
    machine = RunningCompressor("scroll")
    known = compression_columns.assess("R-454B", alone, machine)
    found = compression_columns.assess("R-454B", both, machine)  # type: ignore[arg-type]
    assert found.plain.tolist() == [True, False]
    for name, (value, width) in known.numbers.items():
        assert (found.numbers[name][0][0], found.numbers[name][1][0]) == (value[0], width[0])


def test_pressures_alone() -> None:
    pairs = {name: pair for name, pair in one().items() if name.endswith("pressure")}
    found = compression_columns.assess("R-454B", pairs, RunningCompressor())
    assert found.plain.tolist() == [True]
    assert "suction_superheat" not in found.numbers


def test_a_refrigerant_without_surfaces_has_no_columns() -> None:
    with pytest.raises(InputError, match="no surfaces"):
        GasColumns("R-32=60%+R-125=40%", 1)


def test_what_points_do_not_have_is_nothing_in_their_rows(monkeypatch: pytest.MonkeyPatch) -> None:
    """A number that the lines made of a row that they do not hold for is not taken for one that points made."""
    at_points = compression_columns._at_points  # noqa: SLF001

    def without_efficiency(*arguments: Any) -> Any:
        found, good = at_points(*arguments)
        return {name: pair for name, pair in found.items() if name != "isentropic_efficiency"}, good

    monkeypatch.setattr(compression_columns, "_at_points", without_efficiency)
    alone, wet = one(), one(suction_temperature=(277.0, 0.5))
    both = {key: tuple(np.concatenate(parts) for parts in zip(alone[key], wet[key], strict=True)) for key in alone}
    found = compression_columns.assess("R-454B", both, RunningCompressor("scroll"))  # type: ignore[arg-type]
    assert np.isnan(found.numbers["isentropic_efficiency"][0]).tolist() == [False, True]
