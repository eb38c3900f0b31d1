"""Filling, overflow, carry-over and sizing of a suction accumulator.

Properties: the R-410A equation of Lemmon, Int. J. Thermophys. 24 (2003) 991, evaluated once by itself.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from witnessmark.calculations.compressor.accumulator import (
    AccumulatorCase,
    CircuitCharge,
    LoadRamp,
    Vessel,
    WetReturn,
    accumulator,
)
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import ConflictError, InputError, OutOfRangeError

LOW, HIGH = 1_084_818.0, 798_083.0
"""Dew pressures at 10 and 0 degC, Pa."""
DENSITY, COLD_DENSITY, COLD_GAS = 1128.92, 1170.36, 30.575
"""Saturated liquid at LOW and at HIGH, saturated vapour at HIGH, kg/m3."""
BACK = WetReturn("R-410A", Measured(LOW, 5e3), Measured(0.03, 0.001), Measured(0.90, 0.01))
CASE = AccumulatorCase(
    Vessel(Measured(6e-3, 1e-4), Measured(0.15)),
    BACK,
    CircuitCharge(Measured(12.0, 0.1)),
    3600.0,
)
RAMP = LoadRamp(Measured(HIGH, 5e3), Measured(0.08, 0.002), Measured(30.0, 3.0))


def test_level_rises_by_what_comes_in_until_it_is_full() -> None:
    found = accumulator(CASE)
    assert found.liquid_in.value == pytest.approx(0.003)
    assert found.net.value == pytest.approx(0.003)
    assert found.sizing.holding_mass.value == pytest.approx(6.7735, rel=1e-4), "6 L"
    assert found.outcome == "fills and overflows"
    assert found.time_to_overflow is not None
    assert found.time_to_overflow.value == pytest.approx(2257.8, rel=1e-4), "6.7735 kg at 3 g/s"
    assert found.time_to_overflow.uncertainty / found.time_to_overflow.value == pytest.approx(0.1, abs=0.03)
    times = [level.time for level in found.levels]
    assert (times[0], times[-1]) == (0.0, 3600.0)
    assert found.levels[1].mass.value == pytest.approx(0.003 * times[1])
    assert found.levels[-1].share == pytest.approx(1.0)
    assert found.levels[-1].mass.high <= found.sizing.holding_mass.high + 0.1
    assert found.quality_before.value == 1.0
    assert found.quality_overflowing.value == pytest.approx(0.90)
    assert found.ramp is None


def test_start_level_shortens_the_time() -> None:
    charge = replace(CASE.charge, in_vessel=Measured(3.0))
    found = accumulator(replace(CASE, charge=charge))
    assert found.time_to_overflow is not None
    assert found.time_to_overflow.value == pytest.approx(1257.8, rel=1e-4)
    assert found.levels[0].mass.value == 3.0
    full = accumulator(replace(CASE, charge=replace(CASE.charge, in_vessel=Measured(9.0))))
    assert full.time_to_overflow is not None
    assert full.time_to_overflow.value == 0.0


def test_spare_refrigerant_that_fits_never_overflows() -> None:
    charge = replace(CASE.charge, overcharge=Measured(1.0, 0.1), held_elsewhere=Measured(9.0, 0.2))
    found = accumulator(replace(CASE, charge=charge))
    assert found.spare is not None
    assert found.spare.value == pytest.approx(4.0)
    assert found.outcome == "holds all there is"
    assert found.time_to_overflow is None
    assert found.levels[-1].mass.value == pytest.approx(4.0)


def test_a_vessel_that_holds_the_whole_charge_never_overflows() -> None:
    """What the rest of the circuit holds is not known here: the charge itself is the bound."""
    found = accumulator(
        replace(CASE, charge=CircuitCharge(Measured(3.0, 0.05), Measured(0.5, 0.05)), duration=36_000.0)
    )
    assert found.spare is None
    assert found.outcome == "holds all there is"
    assert found.time_to_overflow is None
    assert found.levels[-1].mass.value == pytest.approx(3.5)


def test_an_uncertain_flow_leaves_the_quality_of_the_return_alone() -> None:
    """Without a dry stream the overflowing quality is that of the return, however badly the flow is known."""
    vague = replace(BACK, mass_flow=Measured(0.03, 0.003))
    found = accumulator(replace(CASE, wet_return=vague)).quality_overflowing
    assert found.uncertainty == pytest.approx(BACK.quality.uncertainty, rel=0.01)


def test_overcharge_can_decide() -> None:
    charge = CircuitCharge(Measured(12.0, 0.1), Measured(5.0, 0.2), Measured(8.0, 0.2))
    assert accumulator(replace(CASE, charge=charge)).outcome == "fills and overflows"
    close = CircuitCharge(Measured(12.0, 0.3), Measured(2.7, 0.3), Measured(8.0, 0.3))
    assert accumulator(replace(CASE, charge=close)).outcome == "cannot tell"


def test_oil_hole_drains_and_feeds_liquid() -> None:
    vessel = replace(CASE.vessel, oil_hole=Measured(0.003))
    found = accumulator(replace(CASE, vessel=vessel))
    expected = 9.0125e-3  # 0.6 pi / 4 (3 mm)² sqrt(2 · 1128.92 kg/m3 · 2 kPa)
    assert found.through_oil_hole.value == pytest.approx(expected, rel=1e-4)
    assert found.outcome == "drains"
    assert found.quality_before.value == pytest.approx(0.90), "an empty vessel passes on what comes in, and no more"
    assert found.levels[-1].mass.value == 0.0
    wet = accumulator(replace(CASE, vessel=vessel, charge=replace(CASE.charge, in_vessel=Measured(3.0))))
    assert wet.quality_before.value == pytest.approx(1 - expected / 0.03, rel=1e-4)
    middle = accumulator(replace(CASE, vessel=replace(CASE.vessel, oil_hole=Measured(0.00165))))
    assert middle.outcome == "cannot tell"


def test_superheated_stream_boils_liquid() -> None:
    """10 K of superheat at LOW are 11 638 J/kg, the latent heat is 208 771 J/kg; half of it reaches the liquid."""
    back = replace(BACK, superheated_flow=Measured(0.03), superheat=Measured(10.0, 1.0))
    found = accumulator(replace(CASE, wet_return=back))
    assert found.boil_off.value == pytest.approx(0.5 * 0.03 * 0.055745, rel=1e-4)
    assert found.net.value == pytest.approx(0.003 - found.boil_off.value)


def test_sizing_rule_and_its_verdicts() -> None:
    found = accumulator(replace(CASE, motor_power=4 * 745.7))
    assert found.sizing.verdict == "meets"
    assert found.sizing.required is not None
    assert (found.sizing.required.above_charge, found.sizing.required.required) == (4.5, True)
    assert found.sizing.share.value == pytest.approx(0.56446, rel=1e-4), "6.7735 of 12 kg"
    small = accumulator(replace(CASE, vessel=Vessel(Measured(3e-3))))
    assert small.sizing.verdict == "below"
    border = accumulator(replace(CASE, vessel=Vessel(Measured(6.0 / DENSITY, 1e-4))))
    assert border.sizing.verdict == "cannot tell"
    over = accumulator(replace(CASE, charge=replace(CASE.charge, overcharge=Measured(3.0))))
    assert over.sizing.share_overcharged.value == pytest.approx(over.sizing.share.value * 12 / 15)


def test_ramp_flashes_and_a_full_vessel_carries_over() -> None:
    full = accumulator(replace(CASE, ramp=RAMP)).ramp
    assert full is not None
    assert full.flash_share.value == pytest.approx(0.069669, rel=1e-4)
    assert full.carried is not None
    assert full.quality is not None
    assert full.gas_speed is not None
    mass, share = 6e-3 * DENSITY, 0.069669
    flux = mass * share / 30 / COLD_GAS / (math.pi / 4 * 0.15**2)
    void = flux / (1.2 * flux + 0.15)
    assert full.carried.value == pytest.approx(mass * (1 - share) - 6e-3 * (1 - void) * COLD_DENSITY, rel=1e-3)
    assert full.carried.low == 0.0 < full.carried.value < full.carried.high
    assert full.quality.value == pytest.approx(1 - full.carried.value / 30 / 0.08)
    assert full.gas_speed.value > 0


def test_ramp_with_little_liquid_carries_nothing_and_a_slow_one_carries_less() -> None:
    early = accumulator(replace(CASE, ramp=RAMP, duration=600.0)).ramp
    assert early is not None
    assert early.carried is not None
    assert early.carried.value == 0.0
    fast, slow = (accumulator(replace(CASE, ramp=replace(RAMP, time=Measured(t)))).ramp for t in (10.0, 300.0))
    assert fast is not None
    assert slow is not None
    assert fast.carried is not None
    assert slow.carried is not None
    assert fast.carried.value > slow.carried.value


def test_without_a_diameter_only_flash_is_known() -> None:
    found = accumulator(replace(CASE, vessel=Vessel(Measured(6e-3)), ramp=RAMP)).ramp
    assert found is not None
    assert (found.carried, found.quality, found.gas_speed) == (None, None, None)


FAULTS = [
    (replace(CASE, vessel=Vessel(Measured(0.0))), "vessel.holding_volume"),
    (replace(CASE, vessel=Vessel(Measured(6e-3), Measured(9.0))), "vessel.diameter"),
    (replace(CASE, vessel=Vessel(Measured(6e-3), None, Measured(0.5))), "vessel.oil_hole"),
    (replace(CASE, wet_return=replace(BACK, quality=Measured(1.1))), "wet_return.quality"),
    (replace(CASE, wet_return=replace(BACK, pressure=Measured(1e9))), "wet_return.pressure"),
    (replace(CASE, wet_return=replace(BACK, superheat=Measured(-1.0))), "wet_return.superheat"),
    (replace(CASE, charge=CircuitCharge(Measured(12.0), Measured(-1.0))), "charge.overcharge"),
    (replace(CASE, duration=math.nan), "duration"),
    (replace(CASE, motor_power=0.0), "motor_power"),
    (replace(CASE, ramp=replace(RAMP, time=Measured(0.0))), "ramp.time"),
    (replace(CASE, ramp=replace(RAMP, pressure=Measured(2 * LOW))), "ramp.pressure"),
    (replace(CASE, ramp=replace(RAMP, pressure=Measured(1.0))), "ramp.pressure"),
]


@pytest.mark.parametrize(("case", "field"), FAULTS)
def test_faults_name_the_field(case: AccumulatorCase, field: str) -> None:
    with pytest.raises(InputError) as caught:
        accumulator(case)
    assert caught.value.field == field


def test_draws_that_would_drain_are_left_out() -> None:
    back = replace(BACK, quality=Measured(0.90, 0.045))
    found = accumulator(replace(CASE, wet_return=back))
    assert found.time_to_overflow is not None
    assert found.time_to_overflow.method == "random draws"
    assert found.time_to_overflow.low > 0


RANGES = [
    (replace(CASE, vessel=Vessel(Measured(200.0))), "vessel.holding_volume", (1e-6, 100.0, "volume")),
    (replace(CASE, vessel=Vessel(Measured(6e-3), Measured(9.0))), "vessel.diameter", (0.01, 5.0, "length")),
    (replace(CASE, vessel=Vessel(Measured(6e-3), None, Measured(0.5))), "vessel.oil_hole", (1e-4, 0.02, "length")),
    (
        replace(CASE, wet_return=replace(BACK, mass_flow=Measured(0.0))),
        "wet_return.mass_flow",
        (1e-6, 1e3, "mass_flow"),
    ),
    (replace(CASE, wet_return=replace(BACK, quality=Measured(-0.1))), "wet_return.quality", (0.0, 1.0, "number")),
    (
        replace(CASE, wet_return=replace(BACK, superheated_flow=Measured(-1.0))),
        "wet_return.superheated_flow",
        (0.0, 1e3, "mass_flow"),
    ),
    (
        replace(CASE, wet_return=replace(BACK, superheat=Measured(101.0))),
        "wet_return.superheat",
        (0.0, 100.0, "temperature_difference"),
    ),
    (replace(CASE, charge=CircuitCharge(Measured(0.0))), "charge.nominal", (1e-3, 1e5, "mass")),
    (replace(CASE, charge=replace(CASE.charge, overcharge=Measured(2e5))), "charge.overcharge", (0.0, 1e5, "mass")),
    (
        replace(CASE, charge=replace(CASE.charge, held_elsewhere=Measured(2e5))),
        "charge.held_elsewhere",
        (0.0, 1e5, "mass"),
    ),
    (replace(CASE, charge=replace(CASE.charge, in_vessel=Measured(-1.0))), "charge.in_vessel", (0.0, 1e5, "mass")),
    (replace(CASE, duration=0.5), "duration", (1.0, 1e7, "time")),
    (replace(CASE, motor_power=0.5), "motor_power", (1.0, 1e6, "power")),
    (replace(CASE, ramp=replace(RAMP, mass_flow=Measured(0.0))), "ramp.mass_flow", (1e-6, 1e3, "mass_flow")),
    (replace(CASE, ramp=replace(RAMP, time=Measured(2e7))), "ramp.time", (1.0, 1e7, "time")),
]


@pytest.mark.parametrize(("case", "field", "ends"), RANGES)
def test_a_number_out_of_range_is_told_the_range(
    case: AccumulatorCase, field: str, ends: tuple[float, float, str]
) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        accumulator(case)
    assert (caught.value.field, (caught.value.low, caught.value.high, caught.value.dimension)) == (field, ends)


def test_levels_are_told_at_eight_even_times() -> None:
    assert [level.time for level in accumulator(CASE).levels] == pytest.approx([3600 * k / 7 for k in range(8)])


def test_the_same_suction_pressure_at_high_load_is_no_rise() -> None:
    level = accumulator(replace(CASE, ramp=replace(RAMP, pressure=BACK.pressure))).ramp
    assert level is not None
    assert level.flash_share.value == 0.0


def test_no_more_lies_in_the_vessel_than_was_charged() -> None:
    whole = replace(CASE.charge, overcharge=Measured(2.0))
    for held, charge in ((20.0, CASE.charge), (14.3, whole)):
        with pytest.raises(ConflictError) as caught:
            accumulator(replace(CASE, charge=replace(charge, in_vessel=Measured(held))))
        assert caught.value.fields == ("charge.in_vessel", "charge.nominal")
    big = replace(CASE, vessel=Vessel(Measured(12e-3)))
    assert accumulator(replace(big, charge=replace(whole, in_vessel=Measured(13.9)))).levels


SLIPS = [
    (replace(CASE, vessel=Vessel(Measured(0.6))), "vessel.holding_volume"),
    (replace(CASE, vessel=Vessel(Measured(6e-6))), "vessel.holding_volume"),
    (replace(CASE, charge=CircuitCharge(Measured(12000.0))), "vessel.holding_volume"),
    (replace(CASE, vessel=Vessel(Measured(6e-3), Measured(1.5))), "vessel.diameter"),
    (replace(CASE, vessel=Vessel(Measured(6e-3), Measured(0.015))), "vessel.diameter"),
    (replace(CASE, vessel=Vessel(Measured(6e-3), Measured(0.15), Measured(0.012))), "vessel.oil_hole"),
    (replace(CASE, charge=replace(CASE.charge, in_vessel=Measured(11.0))), "charge.in_vessel"),
    (replace(CASE, wet_return=replace(BACK, mass_flow=Measured(30.6))), "wet_return.mass_flow"),
]


@pytest.mark.parametrize(("case", "field"), SLIPS)
def test_sizes_that_no_accumulator_has_are_asked_about(case: AccumulatorCase, field: str) -> None:
    """Litres for millilitres, kilograms for grams, a pipe for a vessel: no verdict is built on them."""
    with pytest.raises(ConflictError) as fault:
        accumulator(case)
    assert fault.value.fields[0] == field


@pytest.mark.parametrize(
    ("volume", "diameter", "hole", "charge"),
    [
        (0.35e-3, 0.06, 1.0e-3, 0.8),  # a rotary's own
        (14e-3, 0.22, 2.0e-3, 26.0),  # a multi-split plant's
        (2.5, 0.9, 6e-3, 1500.0),  # a low-pressure vessel
    ],
)
def test_usual_vessels_are_taken(volume: float, diameter: float, hole: float, charge: float) -> None:
    vessel = Vessel(Measured(volume), Measured(diameter), Measured(hole))
    back = replace(BACK, mass_flow=Measured(charge / 400))
    assert accumulator(AccumulatorCase(vessel, back, CircuitCharge(Measured(charge)), 600.0)).levels
