"""A discharge too cold for dry gas. Worst: ammonia at 52 °C "within limits"; water-cooled heads taken for liquid."""

from __future__ import annotations

import pytest

from witnessmark.calculations.compressor import compression
from witnessmark.calculations.compressor.cold_discharge import colder_than_cooled_heads
from witnessmark.calculations.compressor.operating_limits import LIMITS
from witnessmark.calculations.compressor.wet_suction import WetSuctionReadings
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.refrigerants import saturation
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


def assessed(
    designation: str, celsius: tuple[float, float, float, float], compressor: Compressor | None = "reciprocating"
) -> compression.CompressionAssessment:
    """Evaporating, condensing, suction line, discharge line; gauges and thermometers as they are."""
    evaporating, condensing, suction, discharge = celsius
    low, high = (float(saturation.dew_pressure(designation, t + 273.15)) for t in (evaporating, condensing))
    readings = compression.CompressorReadings(
        Measured(low, 8e3), Measured(high, 1.5e4), Measured(suction + 273.15, 1.0), Measured(discharge + 273.15, 1.0)
    )
    return compression.assess(designation, readings, compression.RunningCompressor(compressor, running=True))


@pytest.mark.parametrize(
    ("designation", "celsius", "expected"),
    [
        ("R-1234yf", (7, 35, 12, 42.9), "within"),  # 5 K of superheat, efficiency 0.72, by CoolProp
        ("R-1234ze(E)", (6, 40, 11, 51.4), "within"),
        ("R-1234ze(E)", (6, 36, 8, 42.2), "cannot tell"),  # 2 K of superheat, within the error of the readings
        ("R-227ea", (40, 85, 50, 91.6), "within"),
        ("R-1234yf", (7, 35, 7, 35.1), "outside"),  # at its dew temperature
        ("R-1234yf", (7, 35, 12, 35.1), "outside"),
        ("R-410A", (5, 45, 10, 53.0), "outside"),
        ("R-134a", (0, 40, 5, 45.0), "outside"),
    ],
)
def test_a_discharge_as_near_dew_as_dry_gas_leaves_it(
    designation: str, celsius: tuple[float, float, float, float], expected: str
) -> None:
    """Worst: a sound machine is stopped for liquid, or a wet one passed since its refrigerant leaves little."""
    found = assessed(designation, celsius)
    check = next(c for c in found.operation.checks if c.quantity == "discharge_superheat")
    assert check.standing == expected
    assert (check.text == LIMITS().dry) == (expected == "within")


@pytest.mark.parametrize(
    ("designation", "celsius"),
    [
        ("R-1234yf", (7, 35, 7, 35.1)),
        ("R-1234ze(E)", (6, 40, 6, 40.1)),
        ("R-1233zd(E)", (50, 100, 50, 100.5)),
    ],
)
def test_a_discharge_that_may_be_wet_tells_no_efficiency(
    designation: str, celsius: tuple[float, float, float, float]
) -> None:
    """Suction of quality 0.8 to 0.9 discharges at dew, where dry saturated gas would come out nearly ideal."""
    found = assessed(designation, celsius).judgement
    assert found.verdict == "cannot tell"
    assert "discharge-at-dew" in {reason.id for reason in found.reasons}


def test_what_cools_the_gas_leaves_the_usual_limit() -> None:
    check = next(
        c
        for c in assessed("R-1234yf", (7, 35, 12, 42.9), "screw").operation.checks
        if c.quantity == "discharge_superheat"
    )
    assert check.standing == "outside"
