"""One truth for a run: what compression and superheat call within their limits stops no machine."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Literal

import pytest

from witnessmark.calculations.circuit.superheat import MarginMachine, superheat
from witnessmark.calculations.compressor.operating_limits import OperatingMachine, operation
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.refrigerants import saturation
from witnessmark.restart.after_run import after_run
from witnessmark.restart.context import Machine
from witnessmark.restart.machine_limits import machine_limits, suction_in_vacuum
from witnessmark.restart.run_readings import RunReading
from witnessmark.restart.watch_list import MakerBand, watch_list

SCROLL = Machine("scroll", "fixed-speed", "three-phase", "air-conditioning", "A1", refrigerant="R-410A")
HOUR = 3600.0


def outside(machine: Machine, **values: float) -> set[str]:
    log = (RunReading(HOUR, {name: Measured(value) for name, value in values.items()}),)
    return {r.item.item for r in after_run(machine, log, 1.1 * HOUR).outside if r.standing == "outside"}


def of(**changed: Any) -> Machine:
    return replace(SCROLL, **changed)


PISTON = of(compressor="reciprocating", application="low-temperature")


@pytest.mark.parametrize(
    ("machine", "celsius", "stops"),
    [
        (of(compressor="reciprocating", application="medium-temperature", refrigerant="R-744"), 112, False),
        (replace(PISTON, refrigerant="R-717"), 125, False),
        (replace(PISTON, refrigerant="R-717"), 140, False),
        (replace(PISTON, refrigerant="R-717"), 152, True),
        (of(refrigerant="R-32"), 115, False),
        (of(refrigerant="R-32"), 125, True),
        (SCROLL, 106, False),
        (SCROLL, 108, True),
        (of(compressor="screw", refrigerant="R-134a"), 102, True),
        (of(refrigerant=None), 108, True),
    ],
)
def test_the_discharge_is_as_hot_as_compression_allows(machine: Machine, celsius: float, stops: bool) -> None:  # noqa: FBT001
    kelvin = celsius + 273.15
    assert ("discharge_temperature" in outside(machine, discharge_temperature=kelvin)) is stops
    if machine.refrigerant is not None:
        cooling: Literal["oil", "none"] = "oil" if machine.compressor == "screw" else "none"
        known = OperatingMachine(machine.refrigerant, machine.compressor, machine.application, cooling)
        found = operation(known, {"discharge_temperature": Measured(kelvin)}).verdict
        assert (found == "outside limits") is stops


FLOODED = of(compressor="screw", refrigerant="R-134a", metering="float")


@pytest.mark.parametrize(
    ("machine", "kelvin", "stops"),
    [
        (FLOODED, 3.0, False),
        (FLOODED, 15.0, True),
        (replace(FLOODED, metering="thermostatic-valve"), 3.0, True),
        (replace(FLOODED, metering=None), 3.0, True),
        (replace(FLOODED, metering=None, refrigerant="R-717"), 1.0, False),  # ammonia plants mostly are flooded
        (replace(FLOODED, metering="thermostatic-valve", refrigerant="R-717"), 1.0, True),
        (of(compressor="centrifugal", refrigerant="R-134a"), 0.8, False),
        (of(compressor="centrifugal", refrigerant="R-134a", metering="fixed-orifice"), 0.8, False),
        (of(compressor="centrifugal", refrigerant="R-134a", metering="electronic-valve"), 12.0, False),
        (of(compressor="centrifugal", refrigerant="R-134a", metering="electronic-valve"), 34.0, True),
        (replace(PISTON, refrigerant="R-404A"), 34.0, False),
        (replace(PISTON, refrigerant="R-404A", metering="thermostatic-valve"), 34.0, False),
        (replace(PISTON, refrigerant="R-404A"), 55.0, True),
        (SCROLL, 34.0, True),
        (SCROLL, 28.0, False),
        (replace(SCROLL, metering="capillary"), 28.0, False),
    ],
)
def test_the_superheat_is_what_superheat_allows_this_machine(machine: Machine, kelvin: float, stops: bool) -> None:  # noqa: FBT001
    assert ("suction_superheat" in outside(machine, suction_superheat=kelvin)) is stops


@pytest.mark.parametrize(
    ("metering", "verdict"), [(None, "within"), ("thermostatic-valve", "within"), ("capillary", "within")]
)
def test_return_gas_of_a_rack_is_not_above(metering: Any, verdict: str) -> None:
    """R-404A, 15 psig, 40 degF at the compressor: 34 K; the usual rating point is 65 degF over -25 degF."""
    machine = MarginMachine("reciprocating", "low-temperature", metering)
    found = superheat("R-404A", Measured(204.7e3, 2e3), Measured(277.6, 0.5), "suction", machine)
    assert found.margin.value == pytest.approx(34, abs=1.0)
    assert found.verdict == verdict


CHILLER = of(compressor="centrifugal", refrigerant="R-123", metering="float")


@pytest.mark.parametrize(
    ("machine", "kilopascal", "stops"),
    [
        (CHILLER, 40.4, False),  # 18 inHg of vacuum, 4 degC
        (CHILLER, 17.0, True),  # 25 inHg: -15 degC, the feed is blocked or the charge gone
        (SCROLL, 40.4, True),
        (of(refrigerant=None), 40.4, True),
        (replace(PISTON, refrigerant="R-404A"), 90.0, False),
    ],
)
def test_a_chiller_of_low_pressure_runs_in_vacuum(machine: Machine, kilopascal: float, stops: bool) -> None:  # noqa: FBT001
    assert ("suction_pressure" in outside(machine, suction_pressure=1e3 * kilopascal)) is stops


def test_what_is_vacuum_for_a_refrigerant() -> None:
    at_minus_5 = float(saturation.dew_pressure("R-123", 268.15))
    assert suction_in_vacuum(CHILLER) == pytest.approx(at_minus_5)
    assert suction_in_vacuum(of(refrigerant=None)) is None


def test_an_ammonia_screw_with_oil_runs_at_its_ratio() -> None:
    screw = of(compressor="screw", refrigerant="R-717", application="low-temperature")
    assert outside(screw, compression_ratio=13.0) == set()
    assert outside(replace(screw, cooling="none"), compression_ratio=13.0) == {"compression_ratio"}


def test_a_maker_s_limit_lies_no_further_off_than_the_list_says() -> None:
    high = next(
        i
        for i in watch_list(SCROLL, {"discharge_temperature": MakerBand(None, 440.0, "Guide 7")})
        if i.item == "discharge_temperature"
    ).high
    assert high is not None
    assert high.value == pytest.approx(380.37)


def test_the_limits_of_a_machine_without_properties_are_its_superheat_s() -> None:
    assert set(machine_limits(of(refrigerant=None))) == {("suction_superheat", "high")}
    assert ("suction_superheat", "low") in machine_limits(FLOODED)


def test_bands_without_an_upper_end_set_none(monkeypatch: pytest.MonkeyPatch) -> None:
    high = ("suction_superheat", "high")
    assert high in dict(machine_limits(SCROLL))
    monkeypatch.setattr("witnessmark.restart.machine_limits.limits_for", lambda *_: ())
    assert high not in dict(machine_limits(SCROLL))
