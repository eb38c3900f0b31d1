"""A discharge too cold for dry gas. Worst: ammonia at 52 °C "within limits"; water-cooled heads taken for liquid."""

from __future__ import annotations

import pytest

from witnessmark.calculations.compressor import compression
from witnessmark.calculations.compressor.cold_discharge import colder_than_cooled_heads
from witnessmark.calculations.compressor.wet_suction import WetSuctionReadings
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.vocabulary import Compressor, Cooling


def cold(hot: float, kind: Compressor | None = "reciprocating", cooling: Cooling | None = None) -> bool:
    readings = WetSuctionReadings(Measured(2.9e5, 1e4), Measured(13.5e5, 1.7e4), Measured(hot + 273.15, 1.2))
    return colder_than_cooled_heads("R-717", readings, kind, cooling)


@pytest.mark.parametrize(("hot", "too_cold"), [(52.0, True), (60.0, True), (88.0, False), (118.0, False)])
def test_ammonia_by_its_discharge(hot: float, too_cold: bool) -> None:  # noqa: FBT001 - a parameter of the table
    """Dry gas from -10 to 35 °C comes to some 110 °C; heads that take a third of the work leave it at 80 and more."""
    assert cold(hot) is too_cold
    assert cold(hot, None) is too_cold


def test_where_heads_are_not_what_cools_it_says_nothing() -> None:
    assert not cold(52.0, "screw")
    assert not cold(52.0, "reciprocating", "oil")
    assert not cold(30.0), "below its dew temperature: the readings do not fit"


@pytest.mark.parametrize("kind", ["reciprocating", None])
def test_no_cold_ammonia_machine_is_within_limits(kind: Compressor | None) -> None:
    readings = compression.CompressorReadings(
        Measured(2.9e5, 1e4), Measured(13.5e5, 1.7e4), Measured(268.15, 1.0), Measured(325.15, 1.2)
    )
    for running in (None, True):
        found = compression.assess("R-717", readings, compression.RunningCompressor(kind, running))
        assert found.judgement.reasons[0].id == "colder-than-cooled-heads"
        assert found.operation.verdict == "cannot tell"
    stopped = compression.assess("R-717", readings, compression.RunningCompressor(kind, running=False))
    assert "colder-than-cooled-heads" not in {reason.id for reason in stopped.judgement.reasons}


def test_without_a_discharge_temperature_nothing_is_cold() -> None:
    readings = compression.CompressorReadings(Measured(2.9e5, 1e4), Measured(13.5e5, 1.7e4))
    found = compression.assess("R-717", readings, compression.RunningCompressor("reciprocating", running=True))
    assert "colder-than-cooled-heads" not in {reason.id for reason in found.judgement.reasons}
