"""What a compressor swallows: speeds, heat, ramps, slugs, words."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from witnessmark.calculations.circuit.saturated import latent_heat, vapour_density
from witnessmark.calculations.compressor.liquid_ingestion import AtSpeed, Run, SpeedRamp, liquid_ingestion
from witnessmark.calculations.compressor.liquid_model import PocketCompressor, WetSuctionState, load, model
from witnessmark.calculations.compressor.liquid_rules import RULES
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import ConflictError, InputError, OutOfRangeError

LOW, HIGH = 933_176.2, 2_726_131.0
"""Dew pressures at 5 and 45 degC, Pa; like the densities of LOW from the R-410A equation, Lemmon, IJT 24 (2003) 991."""
MACHINE = PocketCompressor(Measured(50e-6, 5e-7), Measured(2.6, 0.1))
RATIO = 1150.04 / 35.8593


def suction(quality: float, uncertainty: float = 0.0) -> WetSuctionState:
    return WetSuctionState("R-410A", Measured(LOW, 5e3), Measured(quality, uncertainty), Measured(HIGH, 1e4))


def at(quality: float, uncertainty: float = 0.0, speed: float = 60.0, machine: PocketCompressor = MACHINE) -> AtSpeed:
    return liquid_ingestion(machine, suction(quality, uncertainty), Run(speed)).at_speed


def test_liquid_per_turn_by_hand() -> None:
    found = at(0.5)
    share = (0.5 / RATIO) / (0.5 / RATIO + 0.5)
    assert found.liquid_per_turn.value == pytest.approx(50e-6 * share)
    assert found.filled.value == pytest.approx(2.6 * share)
    assert found.expelling_pressure.value == 0.0
    assert found.load_factor is not None
    assert found.load_factor.value > 1.05


def test_verdicts_run_from_dry_to_locked() -> None:
    cases = [(1.0, "dry"), (0.97, "taken"), (0.9, "dilutes"), (0.5, "dilutes"), (0.07, "over-current"), (0.0, "locks")]
    for quality, verdict in cases:
        found = at(quality)
        assert found.verdict == verdict
        assert found.by_the_numbers == verdict
    unsure = at(0.2, 0.05)
    assert unsure.verdict == "cannot tell"
    assert liquid_ingestion(MACHINE, suction(0.2, 0.05), Run(60.0)).advice[0] == "unsure"


@pytest.mark.parametrize(
    ("refrigerant", "pressures", "pocket", "speed", "qualities", "brink"),
    [
        ("R-404A", (2e5, 18e5), (70e-6, 25.0), 1450 / 60, (0.15, 0.10, 0.05, 0.03, 0.02), 0.17),
        ("R-134a", (2e5, 12e5), (70e-6, 20.0), 1450 / 60, (0.10, 0.05, 0.03), 0.14),
        ("R-410A", (8e5, 28e5), (30e-6, 2.6), 50.0, (0.03, 0.01), 0.05),
    ],
)
def test_a_pocket_more_than_full_never_trips_first(
    refrigerant: str,
    pressures: tuple[float, float],
    pocket: tuple[float, float],
    speed: float,
    qualities: tuple[float, ...],
    brink: float,
) -> None:
    """Clearance of 2.8 cm3, liquid of 4.9 cm3 at a quality of 0.10: what estimated gaps let out saves nothing."""
    machine = PocketCompressor(Measured(pocket[0]), Measured(pocket[1]))
    for quality in qualities:
        gas = WetSuctionState(refrigerant, Measured(pressures[0]), Measured(quality), Measured(pressures[1]))
        found = liquid_ingestion(machine, gas, Run(speed)).at_speed
        assert found.filled.value > 1
        assert (found.verdict, found.by_the_numbers) == ("locks", "locks")
    doubtful = replace(gas, quality=Measured(brink, 0.02))
    assert liquid_ingestion(machine, doubtful, Run(speed)).at_speed.verdict != "over-current"


def test_locked_pocket_has_no_load_but_an_expelling_pressure() -> None:
    found = at(0.0)
    assert found.load_factor is None
    assert found.expelling_pressure.value > 1e7
    with pytest.raises(InputError, match="fills the pocket"):
        load(model(MACHINE, suction(0.0)), Measured(0.0))


def test_slow_turning_forgives_more() -> None:
    found = liquid_ingestion(MACHINE, suction(0.5), Run(60.0, (15.0, 120.0)))
    slow, fast = found.other_speeds
    here = found.at_speed
    assert slow.lock_quality is not None
    assert here.lock_quality is not None
    assert fast.lock_quality is not None
    assert slow.lock_quality.value < here.lock_quality.value < fast.lock_quality.value
    rigid = (2.6 - 1) / (RATIO + 2.6 - 1)
    assert fast.lock_quality.value < rigid
    assert here.least_slug is not None
    assert 50e-6 / 2.6 < here.least_slug.value < 50e-6
    assert "slow-forgiving" in found.advice
    assert "slow-forgiving" not in liquid_ingestion(MACHINE, suction(0.5), Run(60.0)).advice


def test_wide_gaps_at_crawling_speed_never_lock() -> None:
    wide = replace(MACHINE, leakage_area=Measured(4e-5), closing_turns=Measured(2.0))
    found = at(0.0, speed=5.0, machine=wide)
    assert (found.lock_quality, found.least_slug) == (None, None)
    assert found.by_the_numbers == "over-current"


def test_heat_before_the_pocket_dries_the_gas() -> None:
    warm = replace(suction(0.9), heat=Measured(500.0, 50.0))
    found = liquid_ingestion(MACHINE, warm, Run(60.0)).at_speed
    flow = 50e-6 * 60 * vapour_density("R-410A", LOW) / (0.9 + 0.1 / RATIO)
    assert found.pocket_quality.value == pytest.approx(0.9 + 500 / flow / latent_heat("R-410A", LOW))
    assert found.liquid_per_turn.value < at(0.9).liquid_per_turn.value


def test_ramp_into_locking_warns_when_slow_and_endangers_when_fast() -> None:
    slow = liquid_ingestion(MACHINE, suction(0.9), Run(20.0, (), SpeedRamp(90.0, 120.0, 0.0)))
    fast = liquid_ingestion(MACHINE, suction(0.9), Run(20.0, (), SpeedRamp(90.0, 2.0, 0.0)))
    assert slow.time_to_act is not None
    assert fast.time_to_act is not None
    assert slow.time_to_act > RULES().protection.thermal > fast.time_to_act
    assert "ramp-warned" in slow.advice
    assert "ramp-danger" in fast.advice
    assert [s.speed for s in slow.ramp][:: len(slow.ramp) - 1] == [20.0, 90.0]
    assert slow.ramp[-1].verdict == "locks"
    locks = [s.lock_quality for s in slow.ramp if s.lock_quality is not None]
    assert locks == sorted(locks)


def test_ramp_that_stays_dry_or_wet_is_clear() -> None:
    heated = replace(suction(1.0), heat=Measured(100.0))
    clear = liquid_ingestion(MACHINE, heated, Run(20.0, (), SpeedRamp(90.0, 60.0, 0.8)))
    assert clear.time_to_act is None
    assert "ramp-clear" in clear.advice
    assert {s.verdict for s in clear.ramp} == {"dry", "taken", "dilutes"}
    crawling = replace(MACHINE, leakage_area=Measured(2e-4))
    free = liquid_ingestion(crawling, suction(0.9), Run(5.0, (), SpeedRamp(6.0, 60.0, 0.0)))
    assert free.ramp[-1].lock_quality is None
    assert free.ramp[-1].verdict == "over-current"


def test_every_word_exists() -> None:
    found = liquid_ingestion(MACHINE, suction(0.9), Run(20.0, (60.0,), SpeedRamp(90.0, 120.0, 0.0)))
    assert found.advice[0] == "dilutes"
    assert set(found.advice) <= RULES().advice.keys()


GOOD = suction(0.9)
FAULTS = [
    (replace(MACHINE, displacement=Measured(1.0)), GOOD, Run(60.0), "displacement"),
    (replace(MACHINE, volume_ratio=Measured(1.0)), GOOD, Run(60.0), "volume_ratio"),
    (replace(MACHINE, leakage_area=Measured(1.0)), GOOD, Run(60.0), "leakage_area"),
    (replace(MACHINE, closing_turns=Measured(9.0)), GOOD, Run(60.0), "closing_turns"),
    (MACHINE, suction(1.1), Run(60.0), "quality"),
    (MACHINE, replace(GOOD, heat=Measured(-1.0)), Run(60.0), "heat"),
    (MACHINE, replace(GOOD, discharge_pressure=Measured(1e5)), Run(60.0), "discharge_pressure"),
    (MACHINE, replace(GOOD, discharge_pressure=Measured(math.nan)), Run(60.0), "discharge_pressure"),
    (MACHINE, replace(GOOD, pressure=Measured(900.0)), Run(60.0), "pressure"),
    (MACHINE, replace(GOOD, refrigerant="R-0"), Run(60.0), "refrigerant"),
    (MACHINE, GOOD, Run(0.0), "speed"),
    (MACHINE, GOOD, Run(60.0, (1.0, math.inf)), "other_speeds.1"),
    (MACHINE, GOOD, Run(60.0, (), SpeedRamp(0.0, 1.0, 0.5)), "ramp.speed"),
    (MACHINE, GOOD, Run(60.0, (), SpeedRamp(60.0, 0.0, 0.5)), "ramp.time"),
    (MACHINE, GOOD, Run(60.0, (), SpeedRamp(60.0, 1.0, -0.5)), "ramp.quality"),
]


@pytest.mark.parametrize(("machine", "gas", "run", "field"), FAULTS)
def test_faults_name_the_field(machine: PocketCompressor, gas: WetSuctionState, run: Run, field: str) -> None:
    with pytest.raises(InputError) as caught:
        liquid_ingestion(machine, gas, run)
    assert caught.value.field == field


RANGES = [
    (replace(MACHINE, displacement=Measured(1.0)), GOOD, Run(60.0), "displacement", (1e-7, 0.1, "volume")),
    (replace(MACHINE, volume_ratio=Measured(1.0)), GOOD, Run(60.0), "volume_ratio", (1.05, 60.0, "number")),
    (replace(MACHINE, leakage_area=Measured(1.0)), GOOD, Run(60.0), "leakage_area", (1e-9, 1e-2, "area")),
    (replace(MACHINE, closing_turns=Measured(0.1)), GOOD, Run(60.0), "closing_turns", (0.2, 5.0, "number")),
    (MACHINE, suction(-0.1), Run(60.0), "quality", (0.0, 1.0, "number")),
    (MACHINE, replace(GOOD, heat=Measured(2e6)), Run(60.0), "heat", (0.0, 1e6, "power")),
    (MACHINE, GOOD, Run(501.0), "speed", (0.5, 500.0, "frequency")),
    (MACHINE, GOOD, Run(60.0, (0.4,)), "other_speeds.0", (0.5, 500.0, "frequency")),
    (MACHINE, GOOD, Run(60.0, (), SpeedRamp(501.0, 1.0, 0.5)), "ramp.speed", (0.5, 500.0, "frequency")),
    (MACHINE, GOOD, Run(60.0, (), SpeedRamp(60.0, 2e5, 0.5)), "ramp.time", (1e-3, 1e5, "time")),
    (MACHINE, GOOD, Run(60.0, (), SpeedRamp(60.0, 1.0, 1.5)), "ramp.quality", (0.0, 1.0, "number")),
]


@pytest.mark.parametrize(("machine", "gas", "run", "field", "ends"), RANGES)
def test_a_number_out_of_range_is_told_the_range(
    machine: PocketCompressor, gas: WetSuctionState, run: Run, field: str, ends: tuple[float, float, str]
) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        liquid_ingestion(machine, gas, run)
    assert (caught.value.field, (caught.value.low, caught.value.high, caught.value.dimension)) == (field, ends)


def test_a_discharge_pressure_equal_to_suction_is_accepted() -> None:
    """A compressor at rest: nothing to compress against, and nothing to refuse."""
    level = replace(GOOD, discharge_pressure=GOOD.pressure)
    assert liquid_ingestion(MACHINE, level, Run(60.0)).at_speed.liquid_per_turn.value > 0


def test_turned_pressures_name_both() -> None:
    with pytest.raises(ConflictError) as caught:
        liquid_ingestion(MACHINE, replace(GOOD, discharge_pressure=Measured(LOW - 1)), Run(60.0))
    assert caught.value.fields == ("discharge_pressure", "pressure")


@pytest.mark.parametrize("quality", [0.7, 0.6, 0.5, 0.94])
def test_half_liquid_is_not_taken(quality: float) -> None:
    """Worst wrong answer: "the pocket takes it" of a machine whose bearings run in refrigerant."""
    result = liquid_ingestion(MACHINE, suction(quality), Run(60.0))
    assert (result.at_speed.verdict, result.at_speed.by_the_numbers) == ("dilutes", "dilutes")
    assert "Do not let it run so" in RULES().advice[result.advice[0]]


def test_the_edge_of_dilution() -> None:
    assert RULES().dilution.quality == 0.95
    assert (at(0.95).verdict, at(0.9499).verdict) == ("taken", "dilutes")
    assert (at(0.96, 0.01).verdict, at(0.94, 0.01).verdict) == ("cannot tell", "cannot tell")


def test_motor_heat_that_dries_the_gas_does_not_save_the_oil() -> None:
    """The bearings meet the liquid before the motor's heat has boiled it."""
    hot = replace(suction(0.9), heat=Measured(4000.0))
    state = liquid_ingestion(MACHINE, hot, Run(60.0)).at_speed
    assert state.pocket_quality.value == 1.0
    assert (state.verdict, state.by_the_numbers) == ("dilutes", "dilutes")
