"""Every verdict of a calculation is worth something definite to the gate."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, get_args

import pytest
from tests.evaluation.vacuum.score import drawn
from tests.evaluation.vacuum.score import test_of as decay_test

from witnessmark.calculations.electrical import insulation, single_phase, winding_rules, windings
from witnessmark.calculations.electrical.supply_unbalance import SupplyReadings, supply
from witnessmark.calculations.metrology.limits import Standing
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples import oil_quality
from witnessmark.calculations.tightness import decay_rules, evacuation, pressure_test
from witnessmark.calculations.tightness.decay_fit import DecayReading
from witnessmark.restart import evidence
from witnessmark.restart.evidence import EvidenceOutcome
from witnessmark.vocabulary import Oil


def literals(kind: Any) -> set[str]:
    """All strings of a closed list."""
    return set(get_args(getattr(kind, "__value__", kind)))


@pytest.mark.parametrize(
    ("table", "kind"),
    [
        (evidence.INSULATION, insulation.InsulationOutcome),
        (evidence.WINDINGS, winding_rules.WindingVerdict),
        (evidence.PRESSURE, pressure_test.PressureTestVerdict),
        (evidence.VACUUM, decay_rules.EvacuationVerdict),
        (evidence.STANDING, Standing),
    ],
)
def test_no_verdict_is_left_without_an_outcome(table: Mapping[str, EvidenceOutcome], kind: Any) -> None:
    assert set(table) == literals(kind)


@pytest.mark.parametrize("table", [evidence.WINDINGS, evidence.PRESSURE, evidence.VACUUM])
def test_exactly_one_verdict_passes(table: Mapping[str, EvidenceOutcome]) -> None:
    # windings pass by balance where there are three, by their sum where there are two
    assert list(table.values()).count("passed") == (2 if table is evidence.WINDINGS else 1)


def test_only_a_minimum_met_in_a_valid_test_passes() -> None:
    passing = {verdict for verdict, outcome in evidence.INSULATION.items() if outcome == "passed"}
    assert passing == {"meets every stated minimum", "meets the maker's minimum"}


def three(a: float, b: float, c: float, uncertainty: float = 0.1) -> tuple[Measured, Measured, Measured]:
    return Measured(a, uncertainty), Measured(b, uncertainty), Measured(c, uncertainty)


@pytest.mark.parametrize(
    ("readings", "outcome"),
    [
        (SupplyReadings(three(400, 401, 400)), "missing"),  # balanced, but of which voltage?
        (SupplyReadings(three(400, 401, 400), rated_voltage=400), "passed"),
        (SupplyReadings(three(400, 401, 400), three(10, 10, 9.9, 0.01), 400), "passed"),
        (SupplyReadings(three(400, 440, 400)), "failed"),
        (SupplyReadings(three(400, 404.4, 400), rated_voltage=400), "passed"),  # 0.73 %
        (SupplyReadings(three(400, 406.6, 400), rated_voltage=400), "passed"),  # 1.09 %: no derating by itself
        (SupplyReadings(three(400, 410, 400), rated_voltage=400), "passed"),  # 1.65 %: at less load
        (SupplyReadings(three(400, 412.2, 400, 0.001), rated_voltage=400), "conflicting"),  # 2.01 %
        (SupplyReadings(three(400, 430, 400), rated_voltage=400), "conflicting"),  # 4.9 %
        (SupplyReadings(three(400, 410, 400), rated_voltage=400, maker_voltage_unbalance=0.01), "failed"),
        (SupplyReadings(three(277, 277, 277), between="line-to-neutral"), "undecided"),
        (SupplyReadings(three(480, 0, 240), rated_voltage=480), "failed"),
        (SupplyReadings(three(400, 400, 400), three(40, 0, 0), 400), "conflicting"),
        (SupplyReadings(three(400, 406, 400, 3.0), rated_voltage=400), "undecided"),
        (SupplyReadings(three(400, 401, 400), three(10, 10, 0.1, 0.01)), "failed"),
        (SupplyReadings(three(340, 340, 340), rated_voltage=400), "failed"),
    ],
)
def test_supply(readings: SupplyReadings, outcome: EvidenceOutcome) -> None:
    assert evidence.from_supply(supply(readings)).outcome == outcome


def test_a_lost_phase_is_named() -> None:
    found = evidence.from_supply(supply(SupplyReadings(three(400, 400, 400), three(17, 17, 0.0))))
    assert found.outcome == "failed"
    assert found.detail == "single phasing: L3 carries next to no current"


def test_insulation_and_windings() -> None:
    proved = insulation.InsulationConditions(under_vacuum=False, through_drive=False, power_locked_out=True)
    reading = insulation.InsulationReading(Measured(1e9), Measured(313.15), "hermetic", conditions=proved)
    assert evidence.from_insulation(insulation.insulation(reading)).outcome == "passed"
    balanced = windings.three_phase(windings.ThreePhaseReadings(three(1.0, 1.0, 1.0, 0.001)))
    assert evidence.from_windings(balanced).outcome == "passed"
    single = windings.single_phase(single_phase.SinglePhaseReadings((None, None, Measured(4.0))))
    assert evidence.from_windings(single).outcome == "undecided"


def test_a_good_insulation_reading_of_unstated_validity_proves_nothing() -> None:
    reading = insulation.InsulationReading(Measured(1e9), Measured(313.15), "hermetic")
    found = evidence.from_insulation(insulation.insulation(reading))
    assert found.outcome == "missing"
    assert "under vacuum" in found.detail
    assert "drive was connected" in found.detail
    assert "locked out" in found.detail


def test_the_maker_s_minimum_passes_and_fails() -> None:
    valid = insulation.InsulationConditions(
        under_vacuum=False, through_drive=False, liquid_refrigerant=False, power_locked_out=True
    )
    for ohms, outcome in ((0.6e6, "passed"), (0.4e6, "failed")):
        reading = insulation.InsulationReading(
            Measured(ohms), Measured(313.15), "hermetic", maker_minimum=0.5e6, conditions=valid
        )
        assert evidence.from_insulation(insulation.insulation(reading)).outcome == outcome


def test_the_load_that_an_unbalanced_supply_carries_is_a_condition() -> None:
    """396, 402, 404 V is 1.2 %: everyday; NEMA MG 1 derates, no source forbids it."""
    for volts, condition in ((three(401, 402, 400), ""), (three(396, 402, 404), "load the motor to 98% at most")):
        found = evidence.from_supply(supply(SupplyReadings(volts, rated_voltage=400)))
        assert found.outcome == "passed"
        assert condition in found.condition
        assert bool(found.condition) == bool(condition)


def test_a_current_unbalance_that_the_supply_explains_adds_nothing() -> None:
    volts, amperes = three(400, 408, 400, 0.01), three(10.0, 11.1, 10.0, 0.001)
    assert evidence.from_supply(supply(SupplyReadings(volts, amperes, 400))).outcome == "passed"
    level = three(400, 400.1, 400, 0.01)
    assert evidence.from_supply(supply(SupplyReadings(level, three(10.0, 12, 10.0, 0.001), 400))).outcome == "failed"


@pytest.mark.parametrize(
    ("volts", "outcome"), [(230, "passed"), (253, "passed"), (253.3, "failed"), (207, "passed"), (206.7, "failed")]
)
def test_a_single_phase_supply_within_ten_percent(volts: float, outcome: str) -> None:
    assert evidence.from_line(Measured(volts), 230).outcome == outcome


STAGE = pressure_test.StageReading(Measured(3.9e6, 1e3), Measured(300.0), Measured(3.9e6, 1e3), Measured(300.0), 86400)


def side_tested(hold: float, **changed: float | None) -> evidence.Evidence:
    stage = replace(STAGE, duration=hold)
    side = evidence.TestedSide("high", 3.8e6, 3.8e6, 2.3e6, hold)
    result = pressure_test.pressure_test(pressure_test.PressureTest((stage,)))
    return evidence.from_pressure_test(result, replace(side, **changed))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("changed", "outcome"),
    [
        ({}, "passed"),
        ({"reached": 3.8e6 - 1}, "missing"),
        ({"design": None}, "missing"),
        ({"least_design": None}, "passed"),
        ({"least_design": 3.8e6}, "passed"),
        ({"least_design": 3.8e6 + 1}, "conflicting"),
    ],
)
def test_a_side_must_have_stood_at_its_own_design_pressure(changed: dict[str, float | None], outcome: str) -> None:
    """ASHRAE 15, EN 378-2, ISO 5149-2: the tightness test is at the design pressure, a factor of 1."""
    assert side_tested(86400.0, **changed).outcome == outcome


def test_a_240_psig_test_does_not_pass_a_high_side_of_r410a() -> None:
    found = side_tested(86400.0, reached=240 * 6894.757, design=2.96e6)
    assert (found.outcome, "its design pressure is 2.96 MPa" in found.detail) == ("missing", True)


@pytest.mark.parametrize(("hold", "outcome"), [(86400, "passed"), (3600, "passed"), (3599, "undecided")])
def test_less_than_a_day_counts_from_an_hour_on(hold: float, outcome: str) -> None:
    found = side_tested(hold)
    assert found.outcome == outcome
    assert bool(found.condition) == (hold == 3600)


@pytest.mark.parametrize(
    ("maker_hold", "stood", "outcome"), [(300, 360, "missing"), (300, 3600, "passed"), (90_000, 90_000, "passed")]
)
def test_a_maker_s_few_minutes_are_no_standing_test(maker_hold: float, stood: float, outcome: str) -> None:
    """Six minutes show no leak that an hour would; below a day every joint is looked at, whoever asks less."""
    stage = replace(STAGE, duration=stood)
    result = pressure_test.pressure_test(pressure_test.PressureTest((stage,), maker_hold=maker_hold))
    assert result.verdict == "no loss seen"
    found = evidence.from_pressure_test(result, evidence.TestedSide("high", 4e6, 3.8e6, None, stood))
    assert found.outcome == outcome
    assert bool(found.condition) == (stood == 3600)


def test_a_leak_is_a_leak_at_any_pressure() -> None:
    leaking = replace(STAGE, end_pressure=Measured(3.5e6, 1e3))
    result = pressure_test.pressure_test(pressure_test.PressureTest((leaking,)))
    side = evidence.TestedSide("low", 1e5, 3.8e6, None, 86400.0)
    assert evidence.from_pressure_test(result, side).outcome == "failed"


ISOLATED = evidence.Isolation(pump_valved_off=True, gauge_at_pump=False)
MICRON = 0.133322387415


def decay(microns: Mapping[float, float], coldest: float = 293.15) -> evacuation.DecayVerdict:
    readings = tuple(
        DecayReading(60 * t, Measured(m * MICRON, evacuation.default_scatter(m * MICRON))) for t, m in microns.items()
    )
    return evacuation.decay(evacuation.DecayTest(readings, Measured(coldest, 1.0), oil="POE", volume=0.024))


LEVELS_OFF = {0.0: 260.0, 5.0: 291.0, 10.0: 304.0, 15.0: 310.0, 30.0: 313.0}


def test_the_verdict_on_a_vacuum_decides() -> None:
    for verdict, outcome in evidence.VACUUM.items():
        found = evidence.from_decay(replace(decay(LEVELS_OFF), verdict=verdict), ISOLATED)
        assert found.outcome == outcome


def test_a_short_hold_counts_for_dryness_where_the_pressure_tests_show_tightness() -> None:
    result = decay(LEVELS_OFF)
    assert result.verdict == "cannot tell"
    assert evidence.from_decay(result, ISOLATED).outcome == "undecided"
    assert evidence.from_decay(result, ISOLATED, shown_tight=True).outcome == "passed"


@pytest.mark.parametrize(
    "microns",
    [
        {0.0: 260.0, 5.0: 291.0, 9.0: 304.0},  # nine minutes: no source asks so little
        {t: 1.6 * m for t, m in LEVELS_OFF.items()},  # levels off at 500
        {t: m + 8 * t for t, m in LEVELS_OFF.items()},  # a leak behind the outgassing
        {0.0: 300.0, 10.0: 700.0},
    ],
)
def test_tightness_elsewhere_excuses_no_bad_vacuum(microns: dict[float, float]) -> None:
    assert evidence.from_decay(decay(microns), ISOLATED, shown_tight=True).outcome in ("failed", "undecided")


@pytest.mark.parametrize(
    ("pascals", "coldest", "volume"),
    [
        # a puddle chilled by its own boiling, which warms up for hours
        ({0: 13.2, 4: 21.6, 8: 28.1, 12: 31.5}, 300.0, 0.065),
        ({0: 13.3, 5: 24.0, 10: 30.7, 15: 34.7}, 262.0, 0.065),  # water that comes out of oil for hours
        ({0: 20.0, 6: 20.0, 12: 20.0}, 264.0, 0.026),  # ice under a display in steps of 50 micron
        ({0: 15.9, 4: 36.1, 7: 45.5, 11: 49.5, 15: 52.7}, 277.0, 0.035),
    ],
)
def test_water_that_begins_slowly_does_not_pass_for_levelling(
    pascals: dict[int, float], coldest: float, volume: float
) -> None:
    """Wet circuits that hold pressure: what they show in a quarter of an hour is not where they come to stand."""
    readings = tuple(DecayReading(60 * t, Measured(p, evacuation.default_scatter(p))) for t, p in pascals.items())
    result = evacuation.decay(evacuation.DecayTest(readings, Measured(coldest, 1.0), oil="POE", volume=volume))
    assert evidence.from_decay(result, ISOLATED, shown_tight=True).outcome != "passed"


def test_the_edges_of_a_levelling_vacuum() -> None:
    """Four readings and a quarter of an hour; what remains of the hour at the last rate has to stay below as well."""
    quarter = {0.0: 215.0, 5.0: 236.0, 10.0: 243.0, 15.0: 244.0}
    assert evidence.from_decay(decay(quarter), ISOLATED, shown_tight=True).outcome == "passed"
    for less in ({0.0: 215.0, 7.5: 243.0, 15.0: 244.0}, {0.94 * t: m for t, m in quarter.items()}):
        assert evidence.from_decay(decay(less), ISOLATED, shown_tight=True).outcome == "undecided"
    on_course = {0.0: 250.0, 5.0: 270.0, 10.0: 280.0, 15.0: 300.0}  # 180 micron more by the end of the hour
    assert decay(on_course).at_last_rate.value.value == pytest.approx(480 * MICRON, rel=0.01)
    assert evidence.from_decay(decay(on_course), ISOLATED, shown_tight=True).outcome == "undecided"


def test_few_wet_circuits_pass_for_levelling() -> None:
    """Curves of a model of their own, a twentieth of three seeds: water without a leak, which pressure tests pass."""
    curves = [one for seed in (1, 2, 3) for one in drawn(seed, 10)]
    wet = [one.sample for one in curves if one.sample.truth.wet and one.sample.truth.leak_ratio < 2]
    passed = [
        evidence.from_decay(evacuation.decay(decay_test(one)), ISOLATED, shown_tight=True).outcome == "passed"
        for one in wet
    ]
    assert len(wet) >= 290
    assert sum(passed) <= 0.01 * len(wet)


def test_after_a_burn_the_strictest_level_is_a_condition() -> None:
    """340 micron: below the 500 of an ordinary circuit, above the 300 that three pulls have to hold."""
    high, low = ({0.0: level - 2, 15.0: level, 30.0: level, 45.0: level, 60.0: level} for level in (340.0, 200.0))
    said = evidence.from_decay(decay(high), ISOLATED, shown_tight=True, burnt=True)
    assert (said.outcome, "300 micron" in said.condition) == ("passed", True)
    assert evidence.from_decay(decay(high), ISOLATED, shown_tight=True).condition == ""
    assert evidence.from_decay(decay(low), ISOLATED, shown_tight=True, burnt=True).condition == ""


def test_a_leak_behind_outgassing_is_never_tight_and_dry() -> None:
    readings = (150, 203, 225, 239, 250, 260, 270, 280, 290, 300, 310, 320, 330)
    result = decay({5.0 * k: float(m) for k, m in enumerate(readings)})
    assert evidence.from_decay(result, ISOLATED, shown_tight=True).outcome != "passed"


@pytest.mark.parametrize(
    ("isolation", "detail"),
    [
        (evidence.Isolation(None, False), "not said to be valved off"),  # noqa: FBT003
        (evidence.Isolation(False, False), "was not valved off"),  # noqa: FBT003
        (evidence.Isolation(True, True), "gauge stood at the pump"),  # noqa: FBT003
        (evidence.Isolation(True, None), "gauge was not said to stand in the circuit"),  # noqa: FBT003
    ],
)
def test_a_gauge_that_saw_the_pump_proves_nothing(isolation: evidence.Isolation, detail: str) -> None:
    found = evidence.from_decay(decay(dict.fromkeys((0.0, 30.0, 60.0), 150.0)), isolation, shown_tight=True)
    assert (found.outcome, detail in found.detail) == ("missing", True)


def outcomes(sample: evidence.OilSampleOf, oil: Oil, maker: float | None = None, **read: float) -> list[str]:
    readings: Any = {name: Measured(value) for name, value in read.items()}
    quality = oil_quality.judge(oil, readings, {} if maker is None else {"acid_number": maker})
    return [e.outcome for e in evidence.from_oil(sample, quality)]


@pytest.mark.parametrize(
    ("sample", "oil", "limit"),
    [
        ("new-charge", "POE", 0.05),
        ("new-charge", "mineral", 0.05),
        ("circuit", "POE", 0.10),
        ("circuit", "PVE", 0.06),
        ("circuit", "mineral", 0.05),
        ("circuit", "PAG", 0.05),
    ],
)
def test_acid_by_sample_and_oil_leaves_no_gap(sample: evidence.OilSampleOf, oil: Oil, limit: float) -> None:
    """A reading passes or fails, never "sample again": measuring is not worse than claiming."""
    assert outcomes(sample, oil, acid_number=limit) == ["passed"]
    assert outcomes(sample, oil, acid_number=limit * 1.0001) == ["failed"]
    assert outcomes(sample, oil, maker=0.3, acid_number=0.3) == ["passed"]
    assert outcomes(sample, oil, maker=0.01, acid_number=0.02) == ["failed"]


def test_an_acid_number_known_too_poorly_says_nothing() -> None:
    """0.09 ± 0.5 mg KOH/g: as likely acid as not."""
    for spread, outcome in ((0.099, "passed"), (0.1, "missing"), (0.5, "missing")):
        quality = oil_quality.judge("POE", {"acid_number": Measured(0.09, spread)})
        assert [e.outcome for e in evidence.from_oil("circuit", quality)] == [outcome]
    above = oil_quality.judge("POE", {"acid_number": Measured(0.11, 0.5)})
    assert [e.outcome for e in evidence.from_oil("circuit", above)] == ["failed"]


def test_a_field_test_for_acid() -> None:
    assert [e.outcome for e in evidence.from_acid_test("circuit", "negative")] == ["passed"]
    assert [e.outcome for e in evidence.from_acid_test("new-charge", "positive")] == ["failed"]
    assert [e.outcome for e in evidence.from_acid_test("old-compressor", "positive", 0)] == ["conflicting"]
    assert list(evidence.from_acid_test("old-compressor", "positive", 2)) == []
    assert list(evidence.from_acid_test("old-compressor", "negative", 0)) == []


def test_what_else_is_measured_on_oil() -> None:
    assert outcomes("new-charge", "POE", acid_number=0.01, water=49e-6) == ["passed"]
    assert outcomes("new-charge", "POE", acid_number=0.01, water=51e-6) == ["passed", "failed"]
    assert outcomes("circuit", "POE", acid_number=0.01, water=51e-6, contamination=16) == ["passed", "failed"]
    assert outcomes("new-charge", "PVE", water=300e-6) == []  # no limit is known: nothing is said


def test_old_oil_speaks_only_against_a_failure_graded_clean() -> None:
    acid = oil_quality.judge("POE", {"acid_number": Measured(0.5), "colour": Measured(8.0)})
    assert [e.outcome for e in evidence.from_oil("old-compressor", acid, 0)] == ["conflicting"]
    assert list(evidence.from_oil("old-compressor", acid, 2)) == []
    clean = oil_quality.judge("POE", {"acid_number": Measured(0.05)})
    assert list(evidence.from_oil("old-compressor", clean, 0)) == []


def test_new_oil_of_another_base_fails() -> None:
    quality = oil_quality.judge("mineral", {"acid_number": Measured(0.01)})
    found = [e.outcome for e in evidence.from_oil("new-charge", quality, 0, "POE")]
    assert found == ["failed", "passed"]
    assert [e.outcome for e in evidence.from_oil("circuit", quality, 0, "POE")] == ["passed"]


def test_oil_level() -> None:
    levels: dict[evidence.OilLevel, str] = {"in-glass": "passed", "below-glass": "failed", "above-glass": "failed"}
    for level, outcome in levels.items():
        assert evidence.from_oil_level(level).outcome == outcome


def test_what_was_filled_in() -> None:
    assert list(evidence.from_charge("R-410A", "R-410A", separates=False)) == []
    assert [e.outcome for e in evidence.from_charge("R-407C", "R-22", separates=True)] == ["failed", "failed"]


@pytest.mark.parametrize(
    ("setting", "opened", "design", "outcome"),
    [
        (3e6, 2.98e6, 3.2e6, "passed"),
        (3e6, 3.3e6, None, "passed"),
        (3e6, 3.31e6, None, "failed"),
        (3e6, 2.69e6, None, "failed"),
        (3e6, 3.01e6, 3.0e6, "failed"),
        (3e6, None, None, "failed"),
    ],
)
def test_a_pressure_switch(setting: float, opened: float | None, design: float | None, outcome: str) -> None:
    assert evidence.from_cutout(evidence.Cutout("high", setting, opened), design).outcome == outcome


def test_a_low_pressure_switch_knows_no_design_pressure() -> None:
    assert evidence.from_cutout(evidence.Cutout("low", 3e6, 3e6), 2e6).outcome == "passed"


def test_a_low_polarisation_index_fails_whatever_the_resistance() -> None:
    valid = insulation.InsulationConditions(through_drive=False, power_locked_out=True)
    for ten_minutes, outcome in ((500e6, "passed"), (250e6, "failed"), (150e6, "failed")):
        reading = insulation.InsulationReading(
            Measured(200e6), Measured(313.15), "open-form-wound", Measured(ten_minutes), None, "F", conditions=valid
        )
        assert evidence.from_insulation(insulation.insulation(reading)).outcome == outcome
