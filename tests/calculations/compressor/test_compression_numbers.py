import pytest

from witnessmark.calculations.compressor.compression import CompressorReadings, apparent_efficiency, assess
from witnessmark.calculations.compressor.compression_gas import Gas
from witnessmark.calculations.compressor.compression_numbers import EFFICIENCY, derive, efficiency_alone
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import InputError

READ = {"suction_pressure": 0.2e6, "discharge_pressure": 1e6, "_basis": 0.0, "_efficiency": 0.7, "_loss": 0.05}
HOT = {"suction_temperature": 273.15, "discharge_temperature": 338.15}


@pytest.mark.parametrize("air", [0.0, 2e3])
def test_the_efficiency_alone_is_that_among_all_numbers(air: float) -> None:
    values = {**READ, **HOT, "air": air}
    assert efficiency_alone(Gas("R-134a"), values) == {EFFICIENCY: derive(Gas("R-134a"), values)[EFFICIENCY]}


@pytest.mark.parametrize(
    "values",
    [
        READ,
        {**READ, "suction_temperature": 273.15},
        {**READ, **HOT, "discharge_pressure": 0.2e6},  # no work
        {**READ, **HOT, "discharge_temperature": 280.0},  # wet at the discharge
        {**READ, **HOT, "suction_pressure": 200.0},  # below every curve
    ],
)
def test_there_is_no_efficiency_alone_where_there_is_none_among_all(values: dict[str, float]) -> None:
    assert EFFICIENCY not in derive(Gas("R-134a"), values)
    assert efficiency_alone(Gas("R-134a"), values) == {}


def test_a_shared_error_that_leaves_no_suction_is_an_error_for_both() -> None:
    for function in (derive, efficiency_alone):
        with pytest.raises(InputError, match="nothing is left"):
            function(Gas("R-134a"), {**READ, **HOT, "air": -0.3e6})


def test_the_apparent_efficiency_is_that_of_the_assessment() -> None:
    readings = CompressorReadings(
        Measured(0.2e6, 2e3), Measured(1e6, 5e3), Measured(273.15, 0.5), Measured(338.15, 0.8)
    )  # fmt: skip
    alone, among = apparent_efficiency("R-134a", readings), assess("R-134a", readings).numbers.isentropic_efficiency
    assert alone is not None
    assert among is not None
    assert alone.value == among.value
    assert alone.uncertainty == pytest.approx(among.uncertainty, rel=1e-9)
    assert apparent_efficiency("R-134a", CompressorReadings(Measured(0.2e6), Measured(1e6))) is None


def test_draws_of_the_efficiency_alone_are_those_of_all_numbers(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hardly any pressure rise: first order does not hold, and the draws ask for no more than the efficiency."""
    readings = CompressorReadings(
        Measured(0.2e6, 2e3), Measured(0.21e6, 2e3), Measured(273.15, 0.5), Measured(290.0, 0.8)
    )  # fmt: skip
    narrowed = assess("R-134a", readings).numbers
    monkeypatch.setattr("witnessmark.calculations.compressor.compression.efficiency_alone", derive)
    assert assess("R-134a", readings).numbers == narrowed


@pytest.mark.parametrize(("pressure", "air"), [(0.0, 0.0), (1e5, -1e5), (1e5, -2e5)])
def test_nothing_or_less_is_no_suction_pressure(pressure: float, air: float) -> None:
    """A gauge and the air above it may leave nothing: that is refused, not taken for a deep vacuum."""
    with pytest.raises(InputError, match="nothing is left of it"):
        derive(Gas("R-134a"), {**READ, **HOT, "suction_pressure": pressure, "air": air})
