"""Refrigerant samples: families, uses, what is missing, conflicts, the maker's limit."""

from typing import Any

import pytest
from pydantic import ValidationError

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.samples.refrigerant_quality import (
    TABLE,
    CheckOutcome,
    Impurity,
    PurityCheck,
    PurityTable,
    SampleUse,
    family,
    judge,
    limits,
    unit_of,
)
from witnessmark.errors import InputError, OutOfRangeError, UnknownNameError
from witnessmark.refrigerants.catalogue import designations

CLEAN: dict[Impurity, Measured] = {
    "water": Measured(5e-6),
    "acidity": Measured(0.2e-6),
    "non_condensables": Measured(0.005),
    "residue_volume": Measured(0.00005),
}
PASSED: dict[PurityCheck, CheckOutcome] = {"chloride": "pass", "particulates": "pass"}


@pytest.mark.parametrize(
    ("designation", "expected"),
    [
        ("R-410A", "fluorocarbon"),
        ("R-427A", "fluorocarbon"),
        ("R-123", "low-pressure"),
        ("R-290", "hydrocarbon"),
        ("R-744", "carbon-dioxide"),
        ("R-717", "ammonia"),
    ],
)
def test_families(designation: str, expected: str) -> None:
    assert family(designation) == expected


def test_every_name_in_the_data_is_catalogued() -> None:
    named = {n for family in TABLE().family.values() for n in family.refrigerants}
    named |= {n for limit in TABLE().limit for n in limit.refrigerants}
    assert named <= set(designations())


def test_clean_refrigerant_may_be_charged_only_when_all_was_measured() -> None:
    found = judge("R-410A", "to-be-charged", CLEAN, PASSED)
    assert (found.verdict, found.missing) == ("measured values within limits", ())
    for left_out in ("water", "acidity", "non_condensables", "residue_volume"):
        part = {key: value for key, value in CLEAN.items() if key != left_out}
        found = judge("R-410A", "to-be-charged", part, PASSED)
        assert found.verdict == "cannot tell"
        assert found.missing == (left_out.removesuffix("_volume"),)
    assert judge("R-410A", "to-be-charged", CLEAN, {"chloride": "pass"}).missing == ("particulates",)


@pytest.mark.parametrize(
    ("quantity", "value"),
    [("water", 11e-6), ("acidity", 1.1e-6), ("non_condensables", 0.016), ("residue_volume", 0.00011)],
)
def test_one_figure_over_and_it_is_not_charged(quantity: Impurity, value: float) -> None:
    assert judge("R-427A", "to-be-charged", {**CLEAN, quantity: Measured(value)}, PASSED).verdict == "do not charge"
    assert judge("R-427A", "to-be-charged", {quantity: Measured(value)}, {}).verdict == "do not charge"


@pytest.mark.parametrize("check", ["chloride", "particulates"])
def test_a_failed_check(check: PurityCheck) -> None:
    assert judge("R-410A", "to-be-charged", CLEAN, {**PASSED, check: "fail"}).verdict == "do not charge"
    assert judge("R-410A", "in-service", {}, {check: "fail"}).verdict == "clean or replace"


@pytest.mark.parametrize("designation", ["R-410A", "R-123", "R-290", "R-744", "R-717"])
def test_every_family_knows_every_check(designation: str) -> None:
    found = judge(designation, "in-service", {}, PASSED)
    assert [item.check for item in found.checks] == ["chloride", "particulates"]


def test_chloride_is_asked_for_where_a_standard_asks() -> None:
    hydrocarbon: dict[Impurity, Measured] = {**CLEAN, "residue_mass": Measured(20e-6)}
    found = judge("R-290", "to-be-charged", hydrocarbon, {"particulates": "pass"})
    assert (found.verdict, found.missing) == ("measured values within limits", ())
    assert judge("R-290", "to-be-charged", hydrocarbon, {"particulates": "pass", "chloride": "fail"}).verdict == (
        "do not charge"
    )
    assert "chloride" in judge("R-134a", "to-be-charged", CLEAN, {"particulates": "pass"}).missing


def test_the_uncertainty_decides() -> None:
    for width, verdict in ((0.4e-6, "measured values within limits"), (0.6e-6, "cannot tell")):
        readings = {**CLEAN, "water": Measured(9e-6, width)}
        assert judge("R-410A", "to-be-charged", readings, PASSED).verdict == verdict


@pytest.mark.parametrize(
    ("water", "verdict"),
    [(8e-6, "measured values within limits"), (30e-6, "sample again"), (60e-6, "clean or replace")],
)
def test_in_service_limits_of_new_refrigerant_are_a_watch_level(water: float, verdict: str) -> None:
    found = judge("R-410A", "in-service", {"water": Measured(water)}, {})
    assert found.verdict == verdict
    assert found.items[0].watch is not None
    assert found.items[0].watch.note == "of refrigerant that is charged"
    assert "residue" not in found.missing


def test_residue_in_service_is_oil_and_not_judged() -> None:
    found = judge("R-410A", "in-service", {"residue_mass": Measured(0.02)}, {})
    assert (found.not_judged, found.items, found.verdict) == (("residue_mass",), (), "cannot tell")


def test_conflicting_sources() -> None:
    """Recycled refrigerant for vehicles may hold 50 mg/kg, new or reclaimed 10: the stricter decides."""
    (item,) = judge("R-134a", "to-be-charged", {"water": Measured(30e-6)}, {}).items
    assert (item.standing, item.sources_disagree) == ("over", True)
    assert [round(limit.value * 1e6) for limit in item.limits] == [10, 50]


def test_no_limit_known_is_no_pass() -> None:
    found = judge("R-717", "to-be-charged", {"water": Measured(1e-6)}, PASSED)
    assert (found.items[0].standing, found.verdict) == ("no limit known", "cannot tell")
    assert limits("R-123", "to-be-charged", "non_condensables") == ()


def test_the_maker_overrides() -> None:
    found = judge("R-410A", "in-service", {"water": Measured(60e-6)}, {}, {"water": 75e-6}, "Guide 7, page 2")
    assert (found.items[0].standing, found.items[0].looser_than_published) == ("watch", True)
    far = judge("R-410A", "to-be-charged", {"water": Measured(200e-6)}, PASSED, {"water": 500e-6}, "Guide 7, page 2")
    assert (far.verdict, far.items[0].maker_overrides) == ("do not charge", False)


def test_bad_input() -> None:
    with pytest.raises(InputError):
        judge("R-410A", "in-service", {}, {})
    with pytest.raises(UnknownNameError) as unknown:
        judge("R-0", "in-service", {"water": Measured(1e-6)}, {})
    assert unknown.value.field == "refrigerant"
    with pytest.raises(OutOfRangeError) as beyond:
        judge("R-410A", "in-service", {"non_condensables": Measured(1.5)}, {})
    assert beyond.value.field == "non_condensables"


def changed(part: str, change: dict[str, Any]) -> dict[str, Any]:
    """The tables with the first row of a part changed."""
    tables = TABLE().model_dump()
    first, *rest = tables[part]
    return {**tables, part: ({**first, **change}, *rest)}


@pytest.mark.parametrize(
    ("part", "change"),
    [
        ("limit", {"quantity": "smell"}),
        ("limit", {"use": "sold"}),
        ("limit", {"level": "perhaps"}),
        ("limit", {"families": frozenset({"steam"})}),
        ("limit", {"source": "nowhere"}),
        ("check", {"check": "colour"}),
        ("check", {"families": frozenset({"steam"})}),
        ("check", {"families": frozenset({"fluorocarbon"})}),  # low-pressure has no row for chloride then
    ],
)
def test_tables_are_checked_when_loaded(part: str, change: dict[str, Any]) -> None:
    assert PurityTable.model_validate(changed(part, {})) == TABLE()
    with pytest.raises(ValidationError):
        PurityTable.model_validate(changed(part, change))


@pytest.mark.parametrize(
    ("designation", "use", "quantity", "limit"),
    [
        ("R-410A", "to-be-charged", "water", 10e-6),
        ("R-123", "to-be-charged", "water", 20e-6),
        ("R-290", "to-be-charged", "water", 10e-6),
        ("R-744", "to-be-charged", "water", 10e-6),
        ("R-410A", "in-service", "water", 50e-6),
        ("R-410A", "to-be-charged", "acidity", 1e-6),
        ("R-123", "to-be-charged", "acidity", 1e-6),
        ("R-290", "to-be-charged", "acidity", 1e-6),
        ("R-744", "to-be-charged", "non_condensables", 0.015),
        ("R-744", "to-be-charged", "residue_mass", 5e-6),
        ("R-410A", "in-service", "acidity", 1e-6),
        ("R-410A", "to-be-charged", "non_condensables", 0.015),
        ("R-290", "to-be-charged", "non_condensables", 0.015),
        ("R-410A", "in-service", "non_condensables", 0.03),
        ("R-410A", "to-be-charged", "residue_volume", 1e-4),
        ("R-290", "to-be-charged", "residue_mass", 50e-6),
        ("R-410A", "to-be-charged", "residue_mass", 100e-6),
    ],
)
def test_the_edges_of_every_limit(designation: str, use: SampleUse, quantity: Impurity, limit: float) -> None:
    at, beyond = (judge(designation, use, {quantity: Measured(limit * x)}, {}).items[0] for x in (1.0, 1.0001))
    assert at.standing in ("in limit", "watch")
    assert beyond.standing == "over"


def test_the_example_of_the_docstring() -> None:
    found = judge("R-410A", "to-be-charged", {"water": Measured(12e-6)}, {})
    assert (found.verdict, found.refrigerant, found.use) == ("do not charge", "R-410A", "to-be-charged")
    assert (unit_of("water"), unit_of("residue_volume")) == (("mg/kg", 1e-6), ("%", 0.01))


@pytest.mark.parametrize(
    ("quantity", "ends"),
    [
        ("water", (0.0, 0.1, "mass_fraction")),
        ("acidity", (0.0, 0.1, "mass_fraction")),
        ("non_condensables", (0.0, 1.0, "number")),
        ("residue_volume", (0.0, 1.0, "number")),
        ("residue_mass", (0.0, 1.0, "mass_fraction")),
    ],
)
def test_a_reading_out_of_range_is_told_the_range(quantity: Impurity, ends: tuple[float, float, str]) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        judge("R-410A", "to-be-charged", {quantity: Measured(-1.0)}, {})
    error = caught.value
    assert (error.field, (error.low, error.high, error.dimension)) == (quantity, ends)


def test_acid_propane_is_not_in_limit() -> None:
    """10 mg/kg lie below the 13 of the one standard and above the 1 of the other: the stricter one decides."""
    (item,) = judge("R-290", "to-be-charged", {"acidity": Measured(10e-6)}, {}).items
    assert (item.standing, item.sources_disagree) == ("over", True)
    assert {limit.source for limit in item.limits} == {"ahri-700-other-memory", "din-8960"}


def test_carbon_dioxide_is_not_passed_on_water_alone() -> None:
    found = judge("R-744", "to-be-charged", {"water": Measured(1e-6)}, {"particulates": "pass"})
    assert (found.verdict, set(found.missing)) == ("cannot tell", {"non_condensables", "residue"})
