"""Readings of the liquid model."""

from __future__ import annotations

import pytest

from witnessmark.calculations.compressor.liquid_model import (
    PocketCompressor,
    WetSuctionState,
    clipped,
    exact,
    filled_share,
    liquid_per_turn,
    lock_share,
    model,
    trip_quality,
)
from witnessmark.calculations.metrology.uncertainty import Measured

MACHINE = PocketCompressor(Measured(50e-6, 5e-7), Measured(2.6, 0.1))
SUCTION = WetSuctionState("R-134a", Measured(3.5e5, 4e3), Measured(0.9, 0.02), Measured(1.0e6, 1e4))


def test_readings() -> None:
    found = model(MACHINE, SUCTION)
    assert found.work[0].value == pytest.approx(1.1, abs=0.06)  # isentropic exponent of saturated R-134a vapour
    assert found.work[1].value == pytest.approx(1.0 / 0.35)
    assert found.gaps[0].value == pytest.approx(0.003 * 50e-6 ** (2 / 3))
    given = PocketCompressor(MACHINE.displacement, MACHINE.volume_ratio, Measured(1e-6), Measured(1.5))
    assert model(given, SUCTION).gaps[0] == Measured(1e-6)
    assert model(given, SUCTION).gaps[2] == Measured(1.5)


def test_exact_has_no_uncertainty() -> None:
    plain = exact(model(MACHINE, SUCTION))
    assert lock_share(plain, 60.0).method == "exact"
    assert trip_quality(plain).uncertainty == 0.0
    assert plain.displacement == Measured(50e-6)


def test_clipped() -> None:
    assert [clipped(x) for x in (-0.1, 0.4, 1.2)] == [0.0, 0.4, 1.0]


def test_without_escape_the_pocket_locks_at_one_over_its_volume_ratio() -> None:
    """1 / 2.6 = 0.384615; a gap of 1e-13 m2 lets next to nothing out."""
    sealed = PocketCompressor(MACHINE.displacement, MACHINE.volume_ratio, Measured(1e-13))
    assert lock_share(exact(model(sealed, SUCTION)), 60.0).value == pytest.approx(0.384615, rel=1e-4)


@pytest.mark.parametrize(("quality", "filled", "taken"), [(0.0, 2.6, 50e-6), (1.0, 0.0, 0.0), (-0.1, 2.6, 50e-6)])
def test_pure_liquid_fills_the_pocket_as_often_as_its_volume_ratio(quality: float, filled: float, taken: float) -> None:
    plain = exact(model(MACHINE, SUCTION))
    assert filled_share(plain, Measured(quality)).value == pytest.approx(filled)
    assert liquid_per_turn(plain, Measured(quality)).value == pytest.approx(taken)
