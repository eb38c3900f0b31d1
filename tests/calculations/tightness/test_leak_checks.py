"""Leak checks of the European Union: steps, blends, hermetic plant, leak detection."""

from __future__ import annotations

from datetime import date

import pytest

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness import leak_checks, leak_rules
from witnessmark.calculations.tightness.leak_checks import LeakCheck, gwp, leak_check
from witnessmark.errors import UnknownNameError
from witnessmark.refrigerants import catalogue

TODAY = date(2026, 11, 1)


def checked(name: str, kilograms: float, *, hermetic: bool = False, detection: bool = False) -> LeakCheck:
    return leak_check(name, Measured(kilograms), TODAY, hermetic=hermetic, detection=detection)


@pytest.mark.parametrize(
    ("tonnes", "months"),
    [(4.999, None), (5.0, 12), (49.99, 12), (50.0, 6), (499.9, 6), (500.0, 3)],
)
def test_steps_by_warming(tonnes: float, months: int | None) -> None:
    found = checked("R-134a", tonnes * 1000 / 1430)
    assert found.months == months
    assert found.detection_required is (tonnes >= 500)


@pytest.mark.parametrize(
    ("kilograms", "months"), [(0.999, None), (1.0, 12), (9.99, 12), (10.0, 6), (99.9, 6), (100.0, 3)]
)
def test_steps_of_unsaturated_gases_by_mass(kilograms: float, months: int | None) -> None:
    found = checked("R-1234yf", kilograms)
    assert (found.months, found.gwp) == (months, 0.0)
    assert found.detection_required is (kilograms >= 100)


@pytest.mark.parametrize(("kilograms", "months"), [(2.99, None), (3.0, 12), (30.0, 6), (300.0, 3)])
def test_steps_of_ozone_depleting_gases_by_mass(kilograms: float, months: int | None) -> None:
    assert checked("R-22", kilograms).months == months


def test_of_a_blend_both_parts_count() -> None:
    """The wrong answer that hurts: 2 kg of R-455A told free since their hydrofluorocarbon is 0.3 t."""
    found = checked("R-455A", 2.0)
    assert {a.kind: a.months for a in found.amounts} == {"warming": None, "unsaturated": 12}
    assert found.months == 12
    assert "eu-blends-both" in found.sources


def test_unsaturated_gases_count_since_march_2024() -> None:
    assert leak_check("R-1234yf", Measured(5.0), date(2024, 3, 10)).months is None
    assert leak_check("R-1234yf", Measured(5.0), date(2024, 3, 11)).months == 12


def test_detection_doubles_the_term_and_exempts_from_nothing() -> None:
    assert [checked("R-404A", m, detection=True).months for m in (1.0, 2.0, 20.0, 200.0)] == [None, 24, 12, 6]
    assert checked("R-404A", 200.0, detection=True).detection_required


def test_hermetic_plant_is_exempt_below_ten_tonnes_or_two_kilograms_only() -> None:
    assert checked("R-410A", 4.7, hermetic=True).months is None
    assert checked("R-410A", 4.8, hermetic=True).months == 12
    assert [checked("R-1234yf", m, hermetic=True).months for m in (1.99, 2.0)] == [None, 12]
    assert [checked("R-22", m, hermetic=True).months for m in (5.99, 6.0)] == [None, 12]


def test_near_a_step_the_shorter_term_stands() -> None:
    known = leak_check("R-134a", Measured(34.0, 0.01), TODAY)
    vague = leak_check("R-134a", Measured(34.0, 2.0), TODAY)
    assert (known.months, known.near_a_step) == (12, False)
    assert (vague.months, vague.near_a_step) == (6, True)


def test_natural_refrigerants_are_not_checked_by_this_rule() -> None:
    for name in ("R-290", "R-744", "R-717"):
        found = checked(name, 1000.0)
        assert (found.months, found.amounts, found.gwp, found.detection_required) == (None, (), 0.0, False)


def test_every_component_of_the_catalogue_is_classed() -> None:
    """A component that nobody classed would count as nothing."""
    table, rules = leak_checks.TABLE(), leak_rules.TABLE().substances
    natural = {"R-170", "R-290", "R-600", "R-600a", "R-601", "R-601a", "R-717", "R-744", "R-1270", "R-13I1", "R-1150"}
    natural |= {"R-50", "R-718", "R-728", "R-764", "R-E170", "R-610", "R-C270", "R-744A"}
    natural |= {"R-702", "R-704", "R-720", "R-732", "R-740"}
    natural |= {"R-40", "R-150", "R-1140", "R-E143a"}  # in no annex that counts charges
    classed = table.gwp.keys() | table.rules.unsaturated | rules.ozone_depleting | natural
    parts = {part for name in catalogue.designations() for part in catalogue.recipe(name).components}
    assert parts - classed == set()


def test_the_example_of_the_docstring() -> None:
    assert gwp("R-410A") == pytest.approx(2087.5)
    assert [checked("R-410A", 10.0, detection=d).months for d in (False, True)] == [12, 24]
    assert checked("R-410A", 10.0).amounts[0].amount.value == pytest.approx(20.875)


def test_an_unknown_refrigerant_is_told() -> None:
    with pytest.raises(UnknownNameError):
        gwp("R-0")
