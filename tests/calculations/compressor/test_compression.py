"""Compression: every derived number, its uncertainty, and the verdict at the level of readings."""

import dataclasses
import math
from typing import Any

import numpy as np
import pytest

from witnessmark.calculations.circuit.superheat import basis_uncertainty
from witnessmark.calculations.compressor import compression as c
from witnessmark.calculations.compressor.compression_gas import Gas
from witnessmark.calculations.compressor.compression_numbers import derive
from witnessmark.calculations.compressor.performance_map import MapRange, PerformanceMap
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import InputError, OutOfRangeError, UnknownNameError
from witnessmark.refrigerants import saturation

P1, P2, T1, T2 = 930e3, 2.75e6, 290.0, 358.0
ENDS = c.CompressorReadings(Measured(P1, 17e3), Measured(P2, 17e3), Measured(T1, 1.0), Measured(T2, 1.5))
FULL = dataclasses.replace(
    ENDS,
    mass_flow=Measured(0.100, 0.001),
    power=Measured(4900.0, 90.0),
    displacement=Measured(60e-6, 0.6e-6),
    speed=Measured(58.0, 0.2),
)
SCROLL = c.RunningCompressor("scroll", running=True)


def constant_map(quantity: str, value: float, **more: object) -> PerformanceMap:
    return PerformanceMap(quantity, (value, *([0.0] * 9)), "degC", 1.0, **more)  # type: ignore[arg-type]


def test_efficiencies_by_their_definitions() -> None:
    """By hand from the R-410A equation of Lemmon, Int. J. Thermophys. 24 (2003) 991, evaluated once by itself.

    930 kPa, 290 K: 32.9163 kg/m3; at the same entropy and 2.75 MPa 347.482 K and 31 969.8 J/kg more; at 358 K 45 015.7
    J/kg more.
    """
    found = c.assess("R-410A", FULL, SCROLL).numbers
    expected = {
        "pressure_ratio": 2.956989,
        "isentropic_discharge_temperature": 347.4822,
        "isentropic_efficiency": 0.710191,  # 31 969.8 / 45 015.7
        "power_efficiency": 0.652445,  # 0.1 · 31 969.8 / 4900
        "volumetric_efficiency": 0.872990,  # 0.1 / (32.9163 · 60e-6 · 58)
        "shell_loss": 0.081311,  # 1 - 0.1 · 45 015.7 / 4900
        "discharge_above_isentropic": 10.5178,
    }
    assert {name: getattr(found, name).value for name in expected} == pytest.approx(expected, rel=1e-4)


def test_a_sound_scroll_pumps() -> None:
    found = c.assess("R-410A", FULL, SCROLL)
    assert found.judgement.verdict == "pumping"
    assert found.notes == ("adiabatic-shell", "efficiency-band")


def test_running_without_pressure_difference_is_not_pumping() -> None:
    flat = c.CompressorReadings(
        Measured(1.05e6, 17e3), Measured(1.06e6, 17e3), Measured(300.0, 1.0), Measured(305.0, 1.5)
    )
    found = c.assess("R-410A", flat, SCROLL)
    assert found.judgement.verdict == "not pumping"
    assert found.numbers.pressure_ratio.value == pytest.approx(1.0095, abs=1e-3)


def test_discharge_below_suction_gives_no_work_and_no_verdict() -> None:
    found = c.assess("R-410A", dataclasses.replace(ENDS, discharge_pressure=Measured(800e3, 5e3)), SCROLL)
    assert found.numbers.isentropic_discharge_temperature is None
    assert found.judgement.verdict == "cannot tell"


def test_flow_from_the_energy_balance_where_none_was_measured() -> None:
    found = c.assess("R-410A", dataclasses.replace(FULL, mass_flow=None), SCROLL)
    assert "flow-from-energy" in found.notes
    assert found.numbers.estimated_mass_flow is not None
    assert found.numbers.estimated_mass_flow.value == pytest.approx(0.101231, rel=1e-4), "4900 · 0.93 / 45 015.7"
    assert found.numbers.volumetric_efficiency is not None
    assert found.numbers.power_efficiency is None


def test_without_power_or_flow_there_is_no_flow() -> None:
    numbers = c.assess("R-410A", dataclasses.replace(ENDS, mass_flow=Measured(0.1, 0.001)), SCROLL).numbers
    assert (numbers.estimated_mass_flow, numbers.volumetric_efficiency, numbers.shell_loss) == (None, None, None)


def test_flow_and_power_without_a_discharge_temperature() -> None:
    numbers = c.assess("R-410A", dataclasses.replace(FULL, discharge_temperature=None), SCROLL).numbers
    assert numbers.power_efficiency is not None
    assert numbers.shell_loss is None
    assert numbers.discharge_superheat is None


def test_pressures_alone() -> None:
    found = c.assess("R-410A", c.CompressorReadings(ENDS.suction_pressure, ENDS.discharge_pressure), SCROLL)
    assert found.judgement.verdict == "cannot tell"
    assert found.numbers.suction_superheat is None
    assert found.numbers.discharge_bubble_temperature is not None


def test_expected_discharge_temperature_covers_the_band_of_the_type() -> None:
    """Value at the middle of the band, spread that of a flat band: about (hot end - cold end) / sqrt(12).

    At the efficiencies 0.55, 0.675 and 0.80, 7 % of the work lost: 365.571, 357.201 and 351.604 K by Lemmon's equation.
    """
    exact = c.CompressorReadings(Measured(P1), Measured(P2), Measured(T1))
    found = c.assess("R-410A", exact, SCROLL).numbers.expected_discharge_temperature
    assert found is not None
    assert found.value == pytest.approx(357.201, abs=0.002)
    assert found.uncertainty == pytest.approx((365.571 - 351.604) / math.sqrt(12), rel=0.1)


def test_a_discharge_colder_than_ideal_yields_no_efficiency() -> None:
    found = c.assess("R-410A", dataclasses.replace(FULL, mass_flow=None, discharge_temperature=Measured(330.0, 1.5)))
    assert found.numbers.isentropic_efficiency is None
    assert found.numbers.estimated_mass_flow is None
    assert found.judgement.reasons[0].id == "colder-than-ideal"


def test_a_discharge_at_dew_yields_no_efficiency() -> None:
    found = c.assess("R-410A", dataclasses.replace(ENDS, discharge_temperature=Measured(316.0, 1.5)))
    assert found.numbers.isentropic_efficiency is None


def test_suction_at_or_below_dew_is_taken_as_dry_and_said() -> None:
    found = c.assess("R-410A", dataclasses.replace(ENDS, suction_temperature=Measured(277.0, 1.0)))
    assert "suction-taken-dry" in found.notes


def test_above_the_critical_pressure() -> None:
    """Transcritical carbon dioxide: no condensing temperature, everything else stands."""
    readings = c.CompressorReadings(
        Measured(3.5e6, 2e4), Measured(9.5e6, 3e4), Measured(283.0, 1.0), Measured(372.0, 1.5)
    )
    found = c.assess(
        "R-744", readings, c.RunningCompressor("reciprocating", running=True, maps=(constant_map("mass_flow", 0.1),))
    )
    assert "supercritical-discharge" in found.notes
    assert found.numbers.discharge_dew_temperature is None
    assert found.numbers.discharge_superheat is None
    assert found.numbers.map_mass_flow is None
    assert [(m.quantity, m.range, m.mass_flow) for m in found.maps] == [("mass_flow", "not stated", None)]
    assert found.numbers.isentropic_efficiency is not None
    assert 0.5 < found.numbers.isentropic_efficiency.value < 1


def test_a_map_gives_shares_and_coverage() -> None:
    flow = constant_map("mass_flow", 0.1, rating_superheat=12.0, stated=MapRange(evaporating=(260.0, 290.0)))
    current = constant_map("current", 9.0)
    found = c.assess("R-410A", FULL, dataclasses.replace(SCROLL, maps=(flow, current)))
    assert [(m.quantity, m.range) for m in found.maps] == [("mass_flow", "inside"), ("current", "not stated")]
    assert found.maps[0].measured_share == found.numbers.mass_flow_share
    assert (found.maps[0].mass_flow, found.maps[0].current) == (found.numbers.map_mass_flow, None)
    assert (found.maps[1].current, found.maps[1].measured_share) == (found.numbers.map_current, None)
    assert found.numbers.mass_flow_share is not None
    assert found.numbers.mass_flow_share.value == pytest.approx(1.0, abs=0.01)
    assert found.numbers.mass_flow_share.uncertainty > 0.05 / math.sqrt(3) * 0.99
    assert found.numbers.map_current is not None
    assert found.numbers.map_current.value == pytest.approx(9.0)
    assert "map-not-corrected" in found.notes


def test_a_corrected_map_is_not_said_to_be_uncorrected() -> None:
    flow = constant_map("mass_flow", 0.1, rating_suction_temperature=290.0)
    assert "map-not-corrected" not in c.assess("R-410A", FULL, dataclasses.replace(SCROLL, maps=(flow,))).notes


def test_a_map_without_suction_temperature_stands_as_published() -> None:
    flow = constant_map("mass_flow", 0.1, rating_superheat=5.0)
    bare = dataclasses.replace(FULL, suction_temperature=None)
    found = c.assess("R-410A", bare, dataclasses.replace(SCROLL, maps=(flow,)))
    assert found.numbers.map_mass_flow is not None
    assert found.numbers.map_mass_flow.value == pytest.approx(0.1)
    assert "map-not-corrected" in found.notes


def test_a_map_that_gives_nothing_gives_no_share() -> None:
    found = c.assess("R-410A", FULL, dataclasses.replace(SCROLL, maps=(constant_map("mass_flow", -0.1),)))
    assert found.numbers.map_mass_flow is not None
    assert found.numbers.mass_flow_share is None


def test_weak_flow_against_the_map() -> None:
    flow = constant_map("mass_flow", 0.16, rating_superheat=12.0)
    readings = dataclasses.replace(FULL, displacement=None)
    assert c.assess("R-410A", readings, dataclasses.replace(SCROLL, maps=(flow,))).judgement.verdict == "weak"


def test_expected_temperature_beyond_the_equations_is_left_out() -> None:
    """Ammonia over a ratio of 60: the ideal discharge is near 390 °C, the expected one beyond 452 °C."""
    readings = c.CompressorReadings(Measured(5e4), Measured(3e6), Measured(260.0), Measured(480.0))
    numbers = c.assess("R-717", readings, SCROLL).numbers
    assert numbers.expected_discharge_temperature is None
    assert numbers.discharge_above_expected is None
    assert numbers.discharge_above_isentropic is not None


@pytest.mark.parametrize(
    ("name", "reading"),
    [
        (name, reading)
        for name in ("mass_flow", "power", "displacement", "speed", "suction_pressure")
        for reading in (Measured(0.0), Measured(0.1, 0.2))
        if name != "suction_pressure" or reading.value == 0.0  # a deep vacuum may be known worse
    ],
)
def test_readings_must_be_positive_and_more_than_their_uncertainty(name: str, reading: Measured) -> None:
    with pytest.raises(InputError) as caught:
        c.assess("R-410A", dataclasses.replace(FULL, **{name: reading}))
    assert caught.value.field == name


def test_absurd_coefficients_name_their_map() -> None:
    maps = (constant_map("mass_flow", 0.1), constant_map("power", 1e12))
    with pytest.raises(InputError) as caught:
        c.assess("R-410A", FULL, dataclasses.replace(SCROLL, maps=maps))
    assert caught.value.field == "maps.1.coefficients"


def test_errors_name_the_reading() -> None:
    with pytest.raises(OutOfRangeError) as caught:
        c.assess("R-410A", dataclasses.replace(ENDS, suction_pressure=Measured(9e6)))
    assert caught.value.field == "suction_pressure"
    with pytest.raises(OutOfRangeError) as caught:
        c.assess("R-410A", dataclasses.replace(ENDS, discharge_temperature=Measured(900.0)))
    assert caught.value.field == "discharge_temperature"
    with pytest.raises(UnknownNameError):
        c.assess("R-410A", ENDS, c.RunningCompressor("warp"))  # type: ignore[arg-type]


def test_uncertainty_agrees_with_random_draws_within_5_percent() -> None:
    """GUM supplement 1 on the results that need states: 1,500 draws (sampling error of a spread 1.8 %)."""
    found = c.assess(
        "R-134a",
        c.CompressorReadings(Measured(350e3, 4e3), Measured(1.16e6, 8e3), Measured(290.0, 0.8), Measured(345.0, 1.0)),
        SCROLL,
    )
    generator = np.random.default_rng(4)
    basis = basis_uncertainty("R-134a")
    spreads = {
        "suction_pressure": 4e3,
        "discharge_pressure": 8e3,
        "suction_temperature": 0.8,
        "discharge_temperature": 1.0,
    }
    centre = {
        "suction_pressure": 350e3,
        "discharge_pressure": 1.16e6,
        "suction_temperature": 290.0,
        "discharge_temperature": 345.0,
    }
    draws = []
    for _ in range(1500):
        moved = {name: generator.normal(centre[name], spread) for name, spread in spreads.items()}
        draws.append(
            derive(Gas("R-134a"), {**moved, "_basis": generator.normal(0, basis), "_efficiency": 0.675, "_loss": 0.07})
        )
    for name in ("pressure_ratio", "suction_superheat", "isentropic_discharge_temperature", "isentropic_efficiency"):
        drawn = float(np.std([draw[name] for draw in draws]))
        assert getattr(found.numbers, name).uncertainty == pytest.approx(drawn, rel=0.05), name


@pytest.mark.parametrize(("hot", "told"), [(375.0, False), (415.0, True)])
def test_gas_hotter_than_the_data_is_said(hot: float, *, told: bool) -> None:
    """The data behind R-454B end at 410 K; without a suction temperature no state rests on the discharge reading."""
    found = c.assess("R-454B", dataclasses.replace(ENDS, discharge_temperature=Measured(hot, 1.0)), SCROLL)
    assert ("extrapolated" in found.notes) == told
    bare = c.CompressorReadings(Measured(P1), Measured(P2), discharge_temperature=Measured(hot))
    assert "extrapolated" not in c.assess("R-454B", bare, SCROLL).notes


def test_a_suction_line_colder_than_wet_gas_is_told_by_the_bubble_temperature() -> None:
    """In the glide of R-448A (6 K) the line may be wet; below it the reading cannot be."""
    pressure = 500e3
    bubble, dew = (f("R-448A", pressure) for f in (saturation.bubble_temperature, saturation.dew_temperature))
    for temperature, first in ((bubble - 6, "suction-below-bubble"), ((bubble + dew) / 2, "volumetric-efficiency")):
        readings = dataclasses.replace(
            FULL, suction_pressure=Measured(pressure, 5e3), displacement=Measured(75e-6, 1e-6)
        )
        readings = dataclasses.replace(readings, suction_temperature=Measured(temperature, 1.0), speed=Measured(70.0))
        found = c.assess("R-448A", readings, SCROLL)
        assert found.numbers.suction_above_bubble is not None
        assert found.numbers.suction_above_bubble.value == pytest.approx(temperature - bubble)
        assert found.judgement.reasons[0].id == first


def test_below_the_bubble_curve_nothing_is_said_of_it() -> None:
    low = saturation.pressure_range("R-407C", "bubble")[0] * 0.98
    assert saturation.pressure_range("R-407C", "dew")[0] < low
    readings = c.CompressorReadings(Measured(low), Measured(2e5), Measured(260.0, 1.0))
    assert c.assess("R-407C", readings).numbers.suction_above_bubble is None


def test_a_deep_vacuum_has_no_states_but_a_ratio() -> None:
    """R-410A at 0.7 kPa lies below its curve (1 kPa at 160 K): no evaporating temperature, no superheat."""
    readings = c.CompressorReadings(
        Measured(700.0, 300.0),
        Measured(1.48e6, 2e4),
        Measured(290.0, 1.0),
        Measured(390.0, 1.0),
    )
    numbers = c.assess("R-410A", readings, c.RunningCompressor(running=True)).numbers
    assert (numbers.suction_dew_temperature, numbers.suction_superheat, numbers.isentropic_efficiency) == (None,) * 3
    assert numbers.pressure_ratio.value == pytest.approx(1480 / 0.7)
    assert numbers.pressure_ratio.uncertainty == pytest.approx(906.5, rel=0.01)  # 2114 x hypot(3/7, 2/148)


def test_a_shared_error_that_leaves_nothing_is_an_error() -> None:
    with pytest.raises(InputError, match="nothing is left"):
        derive(Gas("R-134a"), {"suction_pressure": 1e3, "discharge_pressure": 1e6, "_basis": 0.0, "air": -2e3})


def test_cooled_gas_has_no_expectation() -> None:
    readings = c.CompressorReadings(Measured(240e3), Measured(1.34e6), Measured(262.0), Measured(420.0))
    cooled = c.assess("R-717", readings, c.RunningCompressor("screw")).numbers
    assert cooled.isentropic_discharge_temperature is not None
    assert (cooled.expected_discharge_temperature, cooled.isentropic_efficiency) == (None, None)
    plain = c.assess("R-717", readings, c.RunningCompressor("screw", cooling="none")).numbers
    assert plain.isentropic_efficiency is not None


@pytest.mark.parametrize(
    ("compressor", "cooling", "judged"),
    [("reciprocating", None, False), (None, None, False), ("reciprocating", "none", True), ("scroll", None, True)],
)
def test_heads_of_ammonia_machines_may_be_cooled(
    compressor: Any,
    cooling: Any,
    judged: bool,  # noqa: FBT001 - a parameter of the table
) -> None:
    """Wrong answer: an ordinary ammonia machine with water-cooled heads is `41 K too cold: suspect liquid` (memory)."""
    bar = 1e5
    readings = c.CompressorReadings(
        Measured(2.4 * bar, 5e3), Measured(12 * bar, 1e4), Measured(268.15, 0.5), Measured(393.15, 1.0)
    )
    found = c.assess("R-717", readings, c.RunningCompressor(compressor, running=True, cooling=cooling))
    assert (found.numbers.expected_discharge_temperature is not None) == judged
    assert ("heads-may-be-cooled" in found.notes) != judged
    wet = [reason.id for reason in found.judgement.reasons if "cold" in reason.id or "wet" in reason.id]
    assert judged or wet == []
    ids = {reason.id for reason in found.judgement.reasons}
    assert ("heads-perhaps-cooled" in ids) != judged
    assert "cooled-compression" not in ids, "nobody said that oil or injection cools it"
    assert (found.judgement.verdict == "pumping") == judged


def test_exact_pressures_beside_vague_temperatures_are_drawn_too() -> None:
    """Some readings then stay numbers while the others become columns of draws."""
    readings = c.CompressorReadings(Measured(0.2e6), Measured(1e6), Measured(280.0, 0.5), Measured(333.0, 3.0))
    efficiency = c.assess("R-134a", readings).numbers.isentropic_efficiency
    assert efficiency is not None
    assert efficiency.uncertainty > 0.05
