"""Every verdict of a calculation is worth something definite to the gate."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, get_args

import pytest

from witnessmark.calculations.electrical import insulation, single_phase, winding_rules, windings
from witnessmark.calculations.electrical.supply_unbalance import SupplyOutcome, SupplyReadings, supply
from witnessmark.calculations.metrology.limits import Standing
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples import oil_quality
from witnessmark.calculations.tightness import evacuation, pressure_test
from witnessmark.calculations.tightness.decay_fit import DecayReading
from witnessmark.restart import evidence
from witnessmark.restart.evidence import EvidenceOutcome


def literals(kind: Any) -> set[str]:
    """All strings of a closed list."""
    return set(get_args(getattr(kind, "__value__", kind)))


@pytest.mark.parametrize(
    ("table", "kind"),
    [
        (evidence.INSULATION, insulation.InsulationOutcome),
        (evidence.WINDINGS, winding_rules.WindingVerdict),
        (evidence.PRESSURE, pressure_test.PressureTestVerdict),
        (evidence.VACUUM, evacuation.EvacuationVerdict),
        (evidence.OIL, oil_quality.OilVerdict),
        (evidence.STANDING, Standing),
        (evidence.SUPPLY, SupplyOutcome),
    ],
)
def test_no_verdict_is_left_without_an_outcome(table: Mapping[str, EvidenceOutcome], kind: Any) -> None:
    assert set(table) == literals(kind)


@pytest.mark.parametrize(
    "table", [evidence.WINDINGS, evidence.PRESSURE, evidence.VACUUM, evidence.OIL, evidence.SUPPLY]
)
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
        (SupplyReadings(three(400, 410, 400), rated_voltage=400), "failed"),  # 1.65 %: a derating
        (SupplyReadings(three(277, 277, 277), between="line-to-neutral"), "undecided"),
        (SupplyReadings(three(480, 0, 240), rated_voltage=480), "failed"),
        (SupplyReadings(three(400, 400, 400), three(40, 0, 0), 400), "conflicting"),
        (SupplyReadings(three(400, 406, 400, 3.0)), "undecided"),
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


def test_pressure_test() -> None:
    stage = pressure_test.StageReading(
        Measured(3.9e6, 1e3), Measured(300.0, 0.1), Measured(3.9e6, 1e3), Measured(300.0, 0.1), 86400.0
    )
    found = pressure_test.pressure_test(pressure_test.PressureTest((stage,)))
    assert evidence.from_pressure_test(found).outcome == "passed"
    assert evidence.from_pressure_test(found, 3.9e6, 1.6e6).outcome == "passed"


def test_a_test_below_what_the_refrigerant_reaches_proves_nothing() -> None:
    low = pressure_test.StageReading(
        Measured(1.2e5, 1e2), Measured(300.0, 0.1), Measured(1.2e5, 1e2), Measured(300.0, 0.1), 86400.0
    )
    found = pressure_test.pressure_test(pressure_test.PressureTest((low,)))
    told = evidence.from_pressure_test(found, 1.2e5, 1.6e6)
    assert (found.verdict, told.outcome) == ("no loss seen", "missing")
    assert "1.6 MPa" in told.detail


def decay(level: float, after: float, coldest: float = 293.15) -> evidence.Evidence:
    readings = tuple(DecayReading(600.0 * k, Measured(level, 0.2)) for k in range(7))
    test = evacuation.DecayTest(readings, Measured(coldest, 1.0), scale_uncertainty=0.02, maker_after_hold=after)
    return evidence.from_decay(evacuation.decay(test))


def test_a_vacuum_that_stood_still_must_have_been_deep() -> None:
    assert decay(20.0, 66.0).outcome == "passed"
    shallow = decay(1000.0, 5000.0)
    assert (shallow.outcome, shallow.detail) == ("failed", "the vacuum was not deep enough to begin with")
    disputed = decay(40.0, 66.0)  # 300 microns, polyolester: some ask for 200
    assert (disputed.outcome, "some sources only" in disputed.detail) == ("conflicting", True)
    near = decay(26.0, 66.0)
    assert (near.outcome, "cannot tell" in near.detail) == ("undecided", True)


def test_oil_counts_for_acid_only_with_an_acid_number() -> None:
    colour = oil_quality.judge("POE", {"colour": Measured(1.0)})
    assert evidence.from_oil(colour).outcome == "undecided"
    acid = oil_quality.judge("POE", {"acid_number": Measured(0.001)})
    assert evidence.from_oil(acid).outcome == "passed"


def test_ice_at_a_cold_spot_is_not_taken_for_dry() -> None:
    """At -40 degC ice stands at 13 Pa: a flat 20 Pa there never let water boil."""
    assert decay(20.0, 66.0, 233.15).outcome == "undecided"
    readings = tuple(DecayReading(600.0 * k, Measured(8.0 if k else 14.0, 0.2)) for k in range(7))
    test = evacuation.DecayTest(readings, Measured(233.15, 0.5), scale_uncertainty=0.02)
    told = evidence.from_decay(evacuation.decay(test))
    assert (told.outcome, "could not boil" in told.detail) == ("missing", True)


def test_a_low_polarisation_index_fails_whatever_the_resistance() -> None:
    valid = insulation.InsulationConditions(through_drive=False, power_locked_out=True)
    for ten_minutes, outcome in ((500e6, "passed"), (250e6, "failed"), (150e6, "failed")):
        reading = insulation.InsulationReading(
            Measured(200e6), Measured(313.15), "open-form-wound", Measured(ten_minutes), None, "F", conditions=valid
        )
        assert evidence.from_insulation(insulation.insulation(reading)).outcome == outcome


@pytest.mark.parametrize(("reached", "outcome"), [(1.6e6, "passed"), (1.6e6 - 1, "missing")])
def test_the_edge_of_the_least_test_pressure(reached: float, outcome: EvidenceOutcome) -> None:
    stage = pressure_test.StageReading(Measured(3e6), Measured(300.0), Measured(3e6), Measured(300.0), 86400.0)
    found = pressure_test.pressure_test(pressure_test.PressureTest((stage,)))
    assert evidence.from_pressure_test(found, reached, 1.6e6).outcome == outcome
