"""Data files and formulas read back: what a source prints against what was typed from it. No check of truth."""

from __future__ import annotations

import pytest

from witnessmark.calculations.electrical.insulation import InsulationConditions, InsulationReading, insulation
from witnessmark.calculations.electrical.supply_unbalance import (
    derating,
    extra_temperature_rise,
)
from witnessmark.calculations.metrology.uncertainty import Measured


@pytest.mark.parametrize(("percent", "factor"), [(0.5, 1.0), (1.5, 0.97), (2.0, 0.95), (4.0, 0.82), (4.5, 0.78)])
def test_derating_table(percent: float, factor: float) -> None:
    """Engineering reference site, table 'Voltage imbalance derating factor': where no other source asks for less."""
    found = derating(percent / 100)
    assert found is not None
    assert dict(found.by_source)["derating-handbook-table"] == pytest.approx(factor)
    assert found.factor <= factor


@pytest.mark.parametrize(("percent", "rise"), [(3.0, 18.0), (5.0, 50.0)])
def test_temperature_rise_rule(percent: float, rise: float) -> None:
    """Course text: 3 % unbalance -> about 18 % more rise, 5 % -> about 50 %. The formula 2 u^2 is from memory."""
    assert 100 * extra_temperature_rise(Measured(percent / 100)).value == pytest.approx(rise)


READY = InsulationConditions(under_vacuum=False, through_drive=False, liquid_refrigerant=False, power_locked_out=True)


@pytest.mark.parametrize(
    ("machine", "ohms", "celsius", "verdict"),
    [
        # IEEE Std 43-2013 as quoted by the motor repair trade: 100 and 5 MOhm at 40 degC. By its correction (halving
        # for each 10 K) 400 and 20 MOhm at 20 degC are the same insulation; above 40 degC its rule for thermosetting
        # insulation asks for more, exp(4230 (1/313 - 1/323)) = 1.52 at 50 degC: 66 MOhm.
        ("open-form-wound", 410e6, 20.0, "meets every stated minimum"),
        ("open-form-wound", 390e6, 20.0, "below every stated minimum"),
        ("open-form-wound", 67e6, 50.0, "meets every stated minimum"),
        ("open-form-wound", 65e6, 50.0, "below every stated minimum"),
        ("open-random-wound", 20.5e6, 20.0, "meets every stated minimum"),
        ("open-random-wound", 19.5e6, 20.0, "below every stated minimum"),
        # A chiller maker's manual: 50 MOhm as read.
        ("hermetic-centrifugal", 51e6, 40.0, "meets every stated minimum"),
        ("hermetic-centrifugal", 49e6, 40.0, "below every stated minimum"),
        # A scroll maker's bulletin as quoted on a trade page: 0.5 MOhm. A service handbook: under 2 MOhm is a ground
        # fault; between the two the sources disagree, and below 0.5 none is met.
        ("hermetic", 2.1e6, 20.0, "meets every stated minimum"),
        ("hermetic", 0.6e6, 40.0, "sources disagree"),
        ("hermetic", 0.4e6, 40.0, "below every stated minimum"),
        # An inverter condensing unit's service page: 100 kOhm.
        ("hermetic-inverter", 0.2e6, 40.0, "sources disagree"),
        ("hermetic-inverter", 0.09e6, 40.0, "below every stated minimum"),
    ],
)
def test_published_minima_decide(machine: str, ohms: float, celsius: float, verdict: str) -> None:
    reading = InsulationReading(
        Measured(ohms),
        Measured(celsius + 273.15),
        machine,
        rated_voltage=4160.0 if machine == "open-form-wound" else 460.0,
        conditions=READY,
    )
    assert insulation(reading).verdict == verdict


@pytest.mark.parametrize(("insulation_class", "minimum"), [("A", 1.5), ("B", 2.0), ("F", 2.0), ("H", 2.0)])
def test_polarisation_minima(insulation_class: str, minimum: float) -> None:
    """Insulation tester's manual, appendix 3, quoting IEEE Std 43-2000."""
    reading = InsulationReading(
        Measured(100e6),
        Measured(313.15),
        "open-form-wound",
        Measured(250e6),
        None,
        insulation_class,  # type: ignore[arg-type]
    )
    found = insulation(reading).polarisation
    assert found is not None
    assert found.minimum == minimum
    assert found.index.value == pytest.approx(2.5)
    assert found.verdict == "sufficient"
