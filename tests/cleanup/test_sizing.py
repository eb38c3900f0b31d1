"""Flow, turnover, needs, loads and oil changes of a case."""

from dataclasses import replace
from typing import Literal

import pytest
from tests.cleanup.cases import RATED, job
from tests.cleanup.units import PSI

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup import sizing
from witnessmark.cleanup.drop_limits import drop_limit
from witnessmark.cleanup.filters import AcidCapacity
from witnessmark.cleanup.job import OilCharge
from witnessmark.cleanup.maker_limits import MakerLimits
from witnessmark.cleanup.notes import Notes
from witnessmark.cleanup.turnover import CircuitFlow
from witnessmark.errors import ConflictError, InputError, OutOfRangeError

LIMIT = drop_limit("R-410A", 277.6, "temporary")


def test_a_given_flow_is_taken_before_capacity() -> None:
    assert sizing.circuit_flow(job(mass_flow=0.2), Notes()) == CircuitFlow(0.2)


def test_flow_follows_from_capacity_and_is_noted() -> None:
    notes = Notes()
    found = sizing.circuit_flow(job(), notes)
    assert found is not None
    assert found.mass_flow == pytest.approx(0.169, abs=0.002)
    assert len(notes.assumptions) == 1


@pytest.mark.parametrize("changes", [{"capacity": None}, {"liquid_temperature": None}])
def test_without_capacity_or_liquid_there_is_no_flow(changes: dict[str, None]) -> None:
    notes = Notes()
    found = sizing.circuit_flow(job(**changes), notes)
    assert found is None
    assert sizing.filter_needs(job(), LIMIT, found, notes) == ()
    assert sizing.turnover_of(job(), found, notes) is None


def test_without_a_charge_there_is_no_turnover() -> None:
    assert sizing.turnover_of(job(charge=None), CircuitFlow(0.1), Notes()) is None


def test_without_an_oil_charge_only_the_charge_turns_over() -> None:
    found = sizing.turnover_of(job(oil_charge={"total": None}), CircuitFlow(0.1), Notes())
    assert found is not None
    assert found.oil_time is None


def test_needs_of_both_lines() -> None:
    notes = Notes()
    both = sizing.filter_needs(job(), LIMIT, CircuitFlow(0.17), notes)
    assert [need.line for need in both] == ["suction", "liquid"]
    assert both[0].start_drop == pytest.approx(LIMIT.drop / 2)
    alone = sizing.filter_needs(job(liquid_temperature=None, suction_superheat=None), LIMIT, CircuitFlow(0.17), notes)
    assert [need.line for need in alone] == ["suction"]
    assert any("Suction superheat" in text for text in notes.assumptions)


def test_the_makers_limit_of_the_liquid_drier_overrides_and_is_named() -> None:
    """1 psi instead of the printed 3: a third of the drop to start with."""
    notes = Notes()
    usual = sizing.filter_needs(job(), LIMIT, CircuitFlow(0.17), Notes())[1]
    makers = sizing.filter_needs(job(maker_limits=MakerLimits(liquid_drop=PSI)), LIMIT, CircuitFlow(0.17), notes)[1]
    assert makers.start_drop == pytest.approx(usual.start_drop / 3)
    assert "maker-limit" in notes.sources
    assert any("maker's limit" in text for text in notes.assumptions)


def test_acid_of_the_old_oil_that_stays() -> None:
    """2.1 kg at 0.12 + 2 x 0.01 mg KOH/g above 0.02: 0.252 g KOH; a core counts for half of 2 g."""
    (load,) = sizing.contaminant_loads(job(), Notes())
    assert load.contaminant == "acid"
    assert load.mass == pytest.approx(2.52e-4)
    assert load.cores == 1


def test_water_in_oil_and_refrigerant_adds_up() -> None:
    made = job(oil="POE", signs={"water": Measured(150e-6)}, refrigerant_water=60e-6)
    water = next(load for load in sizing.contaminant_loads(made, Notes()) if load.contaminant == "water")
    assert water.mass == pytest.approx(2.1 * 100e-6 + 9.5 * 50e-6)
    assert water.cores == 1


def test_water_in_the_refrigerant_alone() -> None:
    made = job(refrigerant_water=60e-6, oil_charge={"total": None}, filters=())
    (water,) = sizing.contaminant_loads(made, Notes())
    assert (water.contaminant, water.cores) == ("water", None)


def test_water_of_the_refrigerant_needs_the_charge() -> None:
    made = job(refrigerant_water=60e-6, charge=None, signs={"acid_number": None})
    assert sizing.contaminant_loads(made, Notes()) == ()


def test_the_smallest_rated_capacity_counts() -> None:
    capacities = (AcidCapacity(0.002, "KOH"), AcidCapacity(0.0002, "KOH"), None)
    filters = tuple(replace(RATED, acid_capacity=capacity) for capacity in capacities)
    (load,) = sizing.contaminant_loads(job(filters=filters), Notes())
    assert load.cores == 3


def test_a_makers_limit_is_the_target() -> None:
    made = job(maker_limits=MakerLimits(acid_number=0.1, document="Guide 7, page 2"))
    (load,) = sizing.contaminant_loads(made, Notes())
    assert load.mass == pytest.approx(2.1 * 0.04e-3)


def test_oil_changes_bring_the_acid_down() -> None:
    """0.7 of the oil is old; 0.02 / 0.14 may stay; each change leaves two thirds: 0.7 (2/3)^4 = 0.138."""
    found = sizing.oil_dilution(job(), 2, Notes())
    assert found is not None
    assert found.target == pytest.approx(1 / 7)
    assert found.changes == 4
    assert found.residual == pytest.approx(0.7 * (2 / 3) ** 4)


@pytest.mark.parametrize(("grade", "target"), [(1, 0.05), (2, 0.01)])
def test_without_an_acid_number_the_printed_share_is_the_target(grade: int, target: float) -> None:
    notes = Notes()
    found = sizing.oil_dilution(job(signs={"acid_number": None}), grade, notes)  # type: ignore[arg-type]
    assert found is not None
    assert found.target == target
    assert sizing.UNMEASURED in notes.assumptions


def test_oil_without_acid_may_stay() -> None:
    found = sizing.oil_dilution(job(signs={"acid_number": Measured(0.0)}), 0, Notes())
    assert found is not None
    assert (found.target, found.changes) == (1.0, 0)


@pytest.mark.parametrize("oil", [{"total": None}, {"drained_per_change": None}])
def test_without_amounts_there_is_no_series(oil: dict[str, None]) -> None:
    assert sizing.oil_dilution(job(oil_charge=oil), 2, Notes()) is None


def test_nothing_drained_means_all_oil_is_old() -> None:
    assert sizing.spoiled_oil(job(oil_charge={"drained": None}).oil_charge) == 3.0


def test_amounts_that_cannot_be_are_refused() -> None:
    with pytest.raises(ConflictError) as more:
        sizing.spoiled_oil(job(oil_charge={"drained": 4.0}).oil_charge)
    assert more.value.fields == ("oil_charge.drained", "oil_charge.total")
    with pytest.raises(OutOfRangeError) as tiny:
        sizing.spoiled_oil(job(oil_charge={"total": 1e-6}).oil_charge)
    assert tiny.value.field == "oil_charge.total"
    with pytest.raises(OutOfRangeError) as none:
        sizing.oil_dilution(job(oil_charge={"drained_per_change": 0.0}), 2, Notes())
    assert none.value.field == "oil_charge.drained_per_change"


def test_a_rating_without_a_liquid_temperature_names_its_filter() -> None:
    rated = replace(RATED, mass_flow=None, capacity=9e3)
    with pytest.raises(InputError) as caught:
        sizing.filter_fits(job(liquid_temperature=None, filters=(RATED, rated)), (), Notes())
    assert caught.value.field == "filters.1.liquid_temperature"


def test_edges_of_an_oil_charge() -> None:
    assert sizing.spoiled_oil(OilCharge(3.0, 3.0)) == 0.0
    assert [sizing.spoiled_oil(OilCharge(end)) for end in sizing.OIL_CHARGES] == [0.001, 5000.0]
    all_of_it = sizing.oil_dilution(job(oil_charge={"drained_per_change": 3.0}), 2, Notes())
    assert all_of_it is not None
    assert all_of_it.drained_share == 1.0


@pytest.mark.parametrize(("line", "standard"), [("liquid", "ahri-710"), ("suction", "ahri-730")])
def test_a_rating_is_by_the_standard_of_its_line(line: Literal["liquid", "suction"], standard: str) -> None:
    notes = Notes()
    sizing.filter_fits(job(filters=(replace(RATED, line=line),)), (), notes)
    assert list(notes.sources) == [standard]


def test_a_flow_from_the_capacity_cites_the_properties_it_rests_on() -> None:
    notes = Notes()
    sizing.circuit_flow(job(), notes)
    assert list(notes.sources) == ["coolprop"]
    untouched = Notes()
    sizing.circuit_flow(job(mass_flow=0.2), untouched)
    assert list(untouched.sources) == []


@pytest.mark.parametrize(("flow", "fits"), [(1.4, False), (0.0615, True), (0.08, True), (0.04, True), (0.01, False)])
def test_flow_and_capacity_of_one_circuit(flow: float, fits: bool) -> None:  # noqa: FBT001
    """10 kW of R-22 take 0.0615 kg/s; 5000 kg/h (1.4 kg/s) are of another plant, or pounds, or a slip."""
    case = job(
        refrigerant="R-22", evaporating_temperature=258.15, capacity=1e4, liquid_temperature=303.15, mass_flow=flow
    )
    if fits:
        assert sizing.circuit_flow(case, Notes()) == CircuitFlow(flow)
        return
    with pytest.raises(ConflictError, match="does not go with this flow"):
        sizing.circuit_flow(case, Notes())
