"""Every verdict of a calculation is worth something definite to the gate."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, get_args

import pytest

from witnessmark.calculations.electrical import insulation, single_phase, winding_rules, windings
from witnessmark.calculations.electrical.supply_unbalance import SupplyReadings, supply
from witnessmark.calculations.metrology.limits import Standing
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples import oil_quality
from witnessmark.calculations.tightness import decay_rules, pressure_test
from witnessmark.restart import evidence, vacuum_evidence
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
        (vacuum_evidence.VACUUM, decay_rules.EvacuationVerdict),
        (evidence.STANDING, Standing),
    ],
)
def test_no_verdict_is_left_without_an_outcome(table: Mapping[str, EvidenceOutcome], kind: Any) -> None:
    assert set(table) == literals(kind)


@pytest.mark.parametrize("table", [evidence.WINDINGS, evidence.PRESSURE, vacuum_evidence.VACUUM])
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


def side_tested(hold: float, **changed: object) -> evidence.Evidence:
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
    result = pressure_test.pressure_test(
        pressure_test.PressureTest((stage,), maker_hold=maker_hold, maker_document="Guide 7, page 2")
    )
    assert result.verdict == "no loss seen"
    found = evidence.from_pressure_test(result, evidence.TestedSide("high", 4e6, 3.8e6, None, stood))
    assert found.outcome == outcome
    assert bool(found.condition) == (stood == 3600)


def test_a_leak_is_a_leak_at_any_pressure() -> None:
    leaking = replace(STAGE, end_pressure=Measured(3.5e6, 1e3))
    result = pressure_test.pressure_test(pressure_test.PressureTest((leaking,)))
    side = evidence.TestedSide("low", 1e5, 3.8e6, None, 86400.0)
    assert evidence.from_pressure_test(result, side).outcome == "failed"


def outcomes(sample: evidence.OilSampleOf, oil: Oil, maker: float | None = None, **read: float) -> list[str]:
    readings: Any = {name: Measured(value) for name, value in read.items()}
    quality = oil_quality.judge(oil, readings, {} if maker is None else {"acid_number": maker}, "Guide 7, page 2")
    return [e.outcome for e in evidence.from_oil(sample, quality)]


@pytest.mark.parametrize(
    ("sample", "oil", "limit"),
    [
        ("new-charge", "POE", 0.05),
        ("new-charge", "mineral", 0.05),
        ("circuit", "POE", 0.06),
        ("circuit", "PVE", 0.06),
        ("circuit", "mineral", 0.05),
        ("circuit", "PAG", 0.05),
    ],
)
def test_acid_by_sample_and_oil_leaves_no_gap(sample: evidence.OilSampleOf, oil: Oil, limit: float) -> None:
    """A reading passes or fails, never "sample again": measuring is not worse than claiming."""
    assert outcomes(sample, oil, acid_number=limit) == ["passed"]
    assert outcomes(sample, oil, acid_number=limit * 1.0001) == ["failed"]
    assert outcomes(sample, oil, maker=0.08, acid_number=0.08) == ["passed"]
    assert outcomes(sample, oil, maker=0.5, acid_number=0.3) == ["failed"]  # no source allows half of that
    assert outcomes(sample, oil, maker=0.01, acid_number=0.02) == ["failed"]


def test_an_acid_number_known_too_poorly_says_nothing() -> None:
    """0.05 ± 0.5 mg KOH/g: as likely acid as not."""
    for spread, outcome in ((0.059, "passed"), (0.06, "missing"), (0.5, "missing")):
        quality = oil_quality.judge("POE", {"acid_number": Measured(0.05, spread)})
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
    assert outcomes("new-charge", "PVE", contamination=300) == []  # no limit is known: nothing is said
    assert outcomes("new-charge", "PVE", water=900e-6) == ["failed"]  # held as POE is


def test_old_oil_speaks_only_against_a_failure_graded_clean() -> None:
    acid = oil_quality.judge("POE", {"acid_number": Measured(0.5), "colour": Measured(8.0)})
    assert [e.outcome for e in evidence.from_oil("old-compressor", acid, 0)] == ["conflicting"] * 2
    assert list(evidence.from_oil("old-compressor", acid, 2)) == []
    clean = oil_quality.judge(
        "POE", {"acid_number": Measured(0.05), "colour": Measured(3.0), "water": Measured(120e-6)}
    )
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


def test_a_low_polarisation_index_fails_whatever_the_resistance() -> None:
    valid = insulation.InsulationConditions(through_drive=False, power_locked_out=True)
    for ten_minutes, outcome in ((500e6, "passed"), (250e6, "failed"), (150e6, "failed")):
        reading = insulation.InsulationReading(
            Measured(200e6), Measured(313.15), "open-form-wound", Measured(ten_minutes), None, "F", conditions=valid
        )
        assert evidence.from_insulation(insulation.insulation(reading)).outcome == outcome


@pytest.mark.parametrize(
    ("number", "outcome", "asked"),
    [(0.04, "passed", False), (0.05, "passed", True), (0.06, "passed", True), (0.09, "failed", False)],
)
def test_what_the_table_of_oils_would_change_is_a_condition(number: float, outcome: str, *, asked: bool) -> None:
    """The strictest source takes 0.05 and more after a motor failure for acid, another more than 0.06."""
    quality = oil_quality.judge("POE", {"acid_number": Measured(number)})
    (found,) = evidence.from_oil("circuit", quality, 2)
    assert (found.outcome, "change" in found.condition) == (outcome, asked)


@pytest.mark.parametrize("oil", ["POE", "PVE", "PAG", "mineral", "alkylbenzene", "PAO"])
def test_after_the_worst_burn_only_below_0_05_is_free_of_acid(oil: Oil) -> None:
    """The handbook's page on burnt motors; a limit of the maker decides all the same."""
    for number, maker, outcome in ((0.049, None, "passed"), (0.05, None, "failed"), (0.06, 0.1, "passed")):
        quality = oil_quality.judge(
            oil, {"acid_number": Measured(number)}, {} if maker is None else {"acid_number": maker}, "Guide 7, page 2"
        )
        (found,) = evidence.from_oil("circuit", quality, 3)
        assert (found.outcome, found.condition) == (outcome, "")


def test_a_cascade_may_be_built_for_less_than_its_standstill() -> None:
    assert side_tested(90000.0, least_design=6.6e6).outcome == "conflicting"
    kept = side_tested(90000.0, least_design=6.6e6, kept_cold=True)
    assert kept.outcome == "passed"
    assert "standstill" in kept.condition


@pytest.mark.parametrize(
    ("ohm", "uncertainty", "outcome", "asked"),
    [(0.58, 0.0, "passed", False), (1.2, 0.0, "failed", False), (0.64, 0.02, "passed", True)],
)
def test_windings_are_held_against_their_reference(
    ohm: float, uncertainty: float, outcome: str, *, asked: bool
) -> None:
    readings = windings.ThreePhaseReadings(three(0.58, 0.58, 0.58, 0.0))
    reference = windings.Reference(Measured(ohm, uncertainty), Measured(298.15))
    check = windings.against_reference(Measured(0.58), Measured(298.15), reference)
    found = evidence.from_windings(replace(windings.three_phase(readings), reference=check))
    assert (found.outcome, bool(found.condition)) == (outcome, asked)


def test_a_test_voltage_that_proves_nothing_is_named() -> None:
    """500 megohm at 9 V on a motor of 400 V."""
    conditions = insulation.InsulationConditions(
        under_vacuum=False, through_drive=False, liquid_refrigerant=False, power_locked_out=True
    )
    reading = insulation.InsulationReading(
        Measured(5e8), Measured(298.15), "hermetic", conditions=conditions, rated_voltage=400.0, test_voltage=9.0
    )
    found = evidence.from_insulation(insulation.insulation(reading))
    assert found.outcome == "missing"
    assert "test voltage" in found.detail


@pytest.mark.parametrize(
    ("design", "document", "outcome"),
    [(2.4e6, "", "conflicting"), (2.9e6, "", "conflicting"), (2.4e6, "plate", "passed"), (3.0e6, "", "passed")],
)
def test_a_typed_design_pressure_does_not_beat_the_refrigerant_s_own(
    design: float, document: str, outcome: str
) -> None:
    """R-410A, high side: 50 and 55 degC (ASHRAE 15, EN 378-2) make 2.96 and 3.33 MPa gauge."""
    found = side_tested(90000.0, design=design, own=(2.96e6, 3.33e6), documented=bool(document))
    assert found.outcome == outcome
    assert f"{design / 1e6:.3g} MPa gauge" in found.detail + found.condition
    assert ("3.33 MPa" in found.condition) is (outcome == "passed")
    assert ("2.96 MPa" in found.detail) is (outcome == "conflicting")


def test_a_document_does_not_bring_a_side_below_what_stands_in_it() -> None:
    found = side_tested(90000.0, design=2.2e6, own=(2.96e6, 3.33e6), documented=True)
    assert (found.outcome, "2.3 MPa" in found.detail) == ("conflicting", True)
