"""Flow, turnover, needs, loads and oil changes of a case."""

import pytest
from tests.cleanup.cases import case
from tests.cleanup.logs import PSI

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup import quantities
from witnessmark.cleanup.drop_limits import drop_limit
from witnessmark.cleanup.filters import Rating
from witnessmark.cleanup.quantities import Notes
from witnessmark.errors import ConflictError, OutOfRangeError

LIMIT = drop_limit("R-410A", 277.6, "temporary")


def test_a_given_flow_is_taken_before_capacity() -> None:
    assert quantities.flow(case(circuit={"mass_flow": 0.2}).circuit, Notes()) == (0.2, "given")


def test_flow_follows_from_capacity_and_is_noted() -> None:
    notes = Notes()
    found = quantities.flow(case().circuit, notes)
    assert found is not None
    assert found[0] == pytest.approx(0.169, abs=0.002)
    assert len(notes.assumptions) == 1


@pytest.mark.parametrize("changes", [{"capacity": None}, {"liquid": None}])
def test_without_capacity_or_liquid_there_is_no_flow(changes: dict[str, None]) -> None:
    notes = Notes()
    found = quantities.flow(case(circuit=changes).circuit, notes)
    assert found is None
    assert quantities.needs(case(), LIMIT, found, notes) == ()
    assert quantities.turnover_of(case().circuit, case().oil, found, notes) is None


def test_without_a_charge_there_is_no_turnover() -> None:
    circuit = case(circuit={"charge": None}).circuit
    assert quantities.turnover_of(circuit, case().oil, (0.1, "given"), Notes()) is None


def test_without_an_oil_charge_only_the_charge_turns_over() -> None:
    found = quantities.turnover_of(case().circuit, case(oil={"total": None}).oil, (0.1, "given"), Notes())
    assert found is not None
    assert found.oil_time is None


def test_needs_of_both_lines() -> None:
    notes = Notes()
    both = quantities.needs(case(), LIMIT, (0.17, "given"), notes)
    assert [need.line for need in both] == ["suction", "liquid"]
    assert both[0].start_drop == pytest.approx(LIMIT.drop / 2)
    alone = quantities.needs(case(circuit={"liquid": None, "superheat": None}), LIMIT, (0.17, "given"), notes)
    assert [need.line for need in alone] == ["suction"]
    assert any("Suction superheat" in text for text in notes.assumptions)


def test_the_makers_limit_of_the_liquid_drier_overrides_and_is_named() -> None:
    """1 psi instead of the printed 3: a third of the drop to start with."""
    notes = Notes()
    usual = quantities.needs(case(), LIMIT, (0.17, "given"), Notes())[1]
    makers = quantities.needs(case(maker_liquid_drop=PSI), LIMIT, (0.17, "given"), notes)[1]
    assert makers.start_drop == pytest.approx(usual.start_drop / 3)
    assert "maker-limit" in notes.sources
    assert any("maker's limit" in text for text in notes.assumptions)


def test_acid_of_the_old_oil_that_stays() -> None:
    """2.1 kg at 0.12 + 2 x 0.01 mg KOH/g above 0.02: 0.252 g KOH; a core counts for half of 2 g."""
    (load,) = quantities.loads(case(), Notes())
    assert load.contaminant == "acid"
    assert load.mass == pytest.approx(2.52e-4)
    assert load.cores == 1


def test_water_in_oil_and_refrigerant_adds_up() -> None:
    made = case(signs={"oil": "POE", "water": Measured(150e-6)}, circuit={"water_in_refrigerant": 60e-6})
    water = next(load for load in quantities.loads(made, Notes()) if load.contaminant == "water")
    assert water.mass == pytest.approx(2.1 * 100e-6 + 9.5 * 50e-6)
    assert water.cores == 1


def test_water_in_the_refrigerant_alone() -> None:
    made = case(circuit={"water_in_refrigerant": 60e-6}, oil={"total": None}, ratings=())
    (water,) = quantities.loads(made, Notes())
    assert (water.contaminant, water.cores) == ("water", None)


def test_water_of_the_refrigerant_needs_the_charge() -> None:
    made = case(circuit={"water_in_refrigerant": 60e-6, "charge": None}, signs={"acid_number": None})
    assert quantities.loads(made, Notes()) == ()


def test_the_smallest_rated_capacity_counts() -> None:
    ratings = tuple(Rating("suction", 0.2, 1e4, 30.0, acid_capacity=c) for c in (0.002, 0.0002, None))
    (load,) = quantities.loads(case(ratings=ratings), Notes())
    assert load.cores == 3


def test_a_makers_limit_is_the_target() -> None:
    made = case(signs={"maker_limits": {"acid_number": 0.1}})
    (load,) = quantities.loads(made, Notes())
    assert load.mass == pytest.approx(2.1 * 0.04e-3)


def test_oil_changes_bring_the_acid_down() -> None:
    """0.7 of the oil is old; 0.02 / 0.14 may stay; each change leaves two thirds: 0.7 (2/3)^4 = 0.138."""
    found = quantities.dilution(case(), 2, Notes())
    assert found is not None
    assert found.target == pytest.approx(1 / 7)
    assert found.changes == 4
    assert found.residual == pytest.approx(0.7 * (2 / 3) ** 4)


@pytest.mark.parametrize(("grade", "target"), [(1, 0.05), (2, 0.01)])
def test_without_an_acid_number_the_printed_share_is_the_target(grade: int, target: float) -> None:
    found = quantities.dilution(case(signs={"acid_number": None}), grade, Notes())  # type: ignore[arg-type]
    assert found is not None
    assert found.target == target


def test_oil_without_acid_may_stay() -> None:
    found = quantities.dilution(case(signs={"acid_number": Measured(0.0)}), 0, Notes())
    assert found is not None
    assert (found.target, found.changes) == (1.0, 0)


@pytest.mark.parametrize("oil", [{"total": None}, {"drained_per_change": None}])
def test_without_amounts_there_is_no_series(oil: dict[str, None]) -> None:
    assert quantities.dilution(case(oil=oil), 2, Notes()) is None


def test_nothing_drained_means_all_oil_is_old() -> None:
    assert quantities.spoiled_oil(case(oil={"drained": None}).oil) == 3.0


def test_amounts_that_cannot_be_are_refused() -> None:
    with pytest.raises(ConflictError) as more:
        quantities.spoiled_oil(case(oil={"drained": 4.0}).oil)
    assert more.value.fields == ("oil.drained", "oil.charge")
    with pytest.raises(OutOfRangeError) as tiny:
        quantities.spoiled_oil(case(oil={"total": 1e-6}).oil)
    assert tiny.value.field == "oil.charge"
    with pytest.raises(OutOfRangeError) as none:
        quantities.dilution(case(oil={"drained_per_change": 0.0}), 2, Notes())
    assert none.value.field == "oil.drained_per_change"
